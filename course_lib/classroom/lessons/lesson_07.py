"""Lesson 07, Gallery ring: wire, mandrel, and what the saw takes out of a ring."""

import math

from course_lib.bench.ring import shrink_from_kerf
from course_lib.classroom.exercise import Lesson, Slip, unless_near
from course_lib.classroom.fineness import GaugeStep, Step
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.lists import ChoiceAsked, SymptomAsked
from course_lib.classroom.sizes import SizeAsked

_MANDRELS = 0.1  # mm from one drill shank in the set to the next


def ring(job: JobInHand) -> tuple[float, float]:
    """The pattern's ring: inside and wire, in mm."""
    return job.readings["ring_inside"].value, job.readings["ring_wire"].value


def kerf(job: JobInHand) -> float:
    """What the saw takes out of a ring, in mm."""
    return job.choices.ring_kerf


def spring(job: JobInHand) -> float:
    """The share by which the coil opens."""
    return job.choices["spring_back"]


def made(job: JobInHand) -> tuple[float, float]:
    """The ring as it is closed, before the mop: inside and wire, in mm."""
    return job.plan().plain("ring_inside_as_made"), job.plan().plain("ring_wire_before_polishing")


WIRE = SizeAsked(
    name="wire",
    title="Wire in the ring",
    task=lambda job: (
        f"The pattern's gallery ring is {ring(job)[0]:.2f} mm across inside, of wire {ring(job)[1]:.2f} "
        "mm thick. How much "
        "wire is in it, along the middle of the wire?"
    ),
    expected=lambda job: job.plan().plain("ring_length"),
    unit="mm",
    fineness=Step(0.05, "a bent wire is measured no finer"),
    slips=(
        Slip(
            "inside way round",
            lambda job: math.pi * ring(job)[0],
            "That is the inside way round. The wire's middle lies half a wire further out.",
        ),
        Slip(
            "outside way round",
            lambda job: math.pi * (ring(job)[0] + 2 * ring(job)[1]),
            "That is the outside way round. The wire's middle lies half a wire further in.",
        ),
        Slip(
            "half a wire only",
            lambda job: math.pi * (ring(job)[0] + ring(job)[1] / 2),
            "You went out by half a wire across. It is half a wire on each side: a whole one across.",
        ),
        Slip(
            "across for round",
            lambda job: ring(job)[0] + ring(job)[1],
            "That is straight across the middle of the wire. Round about it is π times as far.",
        ),
    ),
    clue="How wide is the circle on which the middle of the wire runs?",
    working=lambda job: (
        f"1. The middle of the wire runs on a circle {ring(job)[0]:.2f} + {ring(job)[1]:.2f} = "
        f"{sum(ring(job)):.2f} mm "
        f"across\n2. π × {sum(ring(job)):.2f} = {math.pi * sum(ring(job)):.2f} mm"
    ),
    basis="standard",
    source="circumference; the middle of a bent wire keeps its length",
    objective="wire",
)


SHRINK = SizeAsked(
    name="shrink",
    title="What closing does",
    task=lambda job: (
        f"You saw through a ring; the blade takes {kerf(job):.2f} mm. Then you close it until the ends "
        "meet. By how much "
        "does its inside diameter get smaller?"
    ),
    expected=lambda job: shrink_from_kerf.plain(kerf(job)),
    unit="mm",
    fineness=GaugeStep("caliper"),
    slips=(
        Slip(
            "whole cut",
            kerf,
            "The way round gets shorter by the cut. The way across is π times less.",
        ),
        Slip(
            "half the cut",
            lambda job: kerf(job) / 2,
            "You halved it. Between the way round and the way across stands π, not two.",
        ),
        Slip(
            "π times the cut",
            lambda job: math.pi * kerf(job),
            "You multiplied by π. Round about is the longer way: divide.",
        ),
    ),
    clue="The way round is shorter by the cut. How do the way round and the way across hang together?",
    working=lambda job: (
        f"1. The way round loses {kerf(job):.2f} mm\n2. The way across loses {kerf(job):.2f} / π = "
        f"{shrink_from_kerf.plain(kerf(job)):.2f} mm"
    ),
    basis="standard",
    source="circumference of a circle",
    objective="mandrel",
)


def _mandrel(job: JobInHand) -> float:
    return job.plan().plain("mandrel")


MANDREL = SizeAsked(
    name="mandrel",
    title="The mandrel",
    task=lambda job: (
        f"The closed ring is to be {made(job)[0]:.2f} mm inside (before the mop). The saw takes "
        f"{kerf(job):.2f} mm, and the "
        f"coil opens by {100 * spring(job):g} % of its inside diameter when you let it go. On which "
        "mandrel do you wind?"
    ),
    expected=_mandrel,
    unit="mm",
    fineness=Step(0.02, "spring-back is known no better"),
    slips=(
        Slip(
            "saw cut forgotten",
            lambda job: made(job)[0] / (1 + spring(job)),
            "You left out the saw: closing makes the ring smaller, so wind it larger.",
        ),
        Slip(
            "spring-back forgotten",
            lambda job: made(job)[0] + kerf(job) / math.pi,
            "You left out the spring-back: the coil opens, so wind it smaller.",
        ),
        Slip(
            "spring-back the wrong way",
            lambda job: (made(job)[0] + kerf(job) / math.pi) * (1 + spring(job)),
            "You wound it larger for the spring-back. The coil opens by itself: wind it smaller.",
        ),
        Slip(
            "whole cut added",
            lambda job: unless_near(
                (made(job)[0] + kerf(job)) / (1 + spring(job)),
                0.021,
                _mandrel(job),
                (made(job)[0] + kerf(job) / math.pi) * (1 + spring(job)),
            ),
            "You added the whole cut. It comes out of the way round; across it is π times less.",
        ),
    ),
    clue="Two things, in this order: what closing takes off is added; then, how much smaller must it be "
    "wound?",
    working=lambda job: (
        f"1. Before closing it must be {made(job)[0]:.2f} + {kerf(job):.2f} / π = "
        f"{made(job)[0] + kerf(job) / math.pi:.2f} mm "
        f"inside\n2. The coil opens {100 * spring(job):g} %: {made(job)[0] + kerf(job) / math.pi:.2f} / "
        f"{1 + spring(job):g} = {_mandrel(job):.2f} mm"
    ),
    basis="common practice",
    source="",
    objective="mandrel",
    well_done="Every wire springs differently: wind one turn, measure it, and put your own figure in the "
    "sheet.",
)


def _turns(job: JobInHand) -> int:
    return int(job.choices["coil_turns"])


COIL = SizeAsked(
    name="coil",
    title="Wire for the coil",
    task=lambda job: (
        f"You wind {_turns(job)} turns close together on a mandrel of {_mandrel(job):.2f} mm, with wire of "
        f"{made(job)[1]:.2f} mm. How much wire goes into the coil, without the ends to hold by?"
    ),
    expected=lambda job: job.plan().plain("coil_length"),
    unit="mm",
    fineness=Step(0.1, "a bent wire is measured no finer"),
    slips=(
        Slip(
            "one turn",
            lambda job: None if _turns(job) == 1 else math.pi * (_mandrel(job) + made(job)[1]),
            "That is one turn.",
        ),
        Slip(
            "round the mandrel",
            lambda job: _turns(job) * math.pi * _mandrel(job),
            "You went round the mandrel. The middle of the wire runs half a wire further out.",
        ),
        Slip(
            "outside way round",
            lambda job: _turns(job) * math.pi * (_mandrel(job) + 2 * made(job)[1]),
            "You went round the outside. The middle of the wire runs half a wire further in.",
        ),
    ),
    clue="One turn along the middle of the wire, times the turns. That each turn climbs by a wire hardly "
    "counts.",
    working=lambda job: (
        f"1. The middle runs {_mandrel(job):.2f} + {made(job)[1]:.2f} = "
        f"{_mandrel(job) + made(job)[1]:.2f} mm across\n"
        f"2. {_turns(job)} × π × {_mandrel(job) + made(job)[1]:.2f} = "
        f"{_turns(job) * math.pi * (_mandrel(job) + made(job)[1]):.2f} mm; climbing makes it "
        f"{job.plan().plain('coil_length'):.2f} mm"
    ),
    basis="standard",
    source="length of a helix",
    objective="wire",
)


def _shanks(job: JobInHand) -> tuple[float, float]:
    """The drill shanks below and above the mandrel wanted, in mm."""
    below = math.floor(_mandrel(job) / _MANDRELS) * _MANDRELS
    return below, below + _MANDRELS


CHOOSE = ChoiceAsked(
    name="choose",
    title="None fits quite",
    task=lambda job: (
        f"You need a mandrel of {_mandrel(job):.2f} mm. In the drawer are shanks of {_shanks(job)[0]:.1f} "
        "and "
        f"{_shanks(job)[1]:.1f} mm. Which do you take?"
    ),
    choices=lambda job: {
        "above": f"{_shanks(job)[1]:.1f} mm, and close the ring tighter",
        "below": f"{_shanks(job)[0]:.1f} mm, and stretch the ring on the mandrel after soldering",
        "either": "either: a tenth is nothing",
    },
    expected=lambda job: "below",
    slips=(
        Slip(
            "too large",
            lambda job: "above",
            "A closed ring that is too large can only be cut again. Which way can a soldered ring still "
            "be changed?",
        ),
        Slip(
            "a tenth is nothing",
            lambda job: "either",
            "A tenth across is three tenths round: the claws will not sit.",
        ),
    ),
    clue="A soldered ring can be made larger, but not smaller.",
    working="1. A few blows on a tapered mandrel stretch a ring by a tenth\n2. To make it smaller you saw "
    "a piece out and "
    "solder again\n3. So begin smaller",
    basis="common practice",
    source="",
    objective="mandrel",
)


HOLD = ChoiceAsked(
    name="hold",
    title="Hold a tiny ring",
    task="How do you hold so small a ring to file its ends flat?",
    choices=lambda job: {
        "fingers": "with thumb and finger",
        "pliers": "with flat pliers, hard",
        "clamp": "in a ring clamp of wood or leather, or pushed on a tapered stick",
        "vice": "in the steel vice",
    },
    expected=lambda job: "clamp",
    slips=(
        Slip("fingers", lambda job: "fingers", "The file slips off so small a ring and into the finger."),
        Slip("pliers", lambda job: "pliers", "Hard jaws press it oval and mark the wire."),
        Slip("vice", lambda job: "vice", "Steel jaws mark it, and crush it before you feel it."),
    ),
    clue="Soft jaws, and fingers out of the way of the file.",
    working="1. Steel marks soft metal\n2. A wooden clamp grips without marking\n3. A tapered stick holds "
    "it round and "
    "leaves the seam free",
    basis="common practice",
    source="",
    objective="hands",
)


OPENED = SymptomAsked(
    name="opened",
    title="The ends will not meet flat",
    task="You saw along the coil and close a ring. Its ends touch at the inside, but gape at the outside. "
    "Why?",
    choices=lambda job: {
        "round": "the cut has straight sides; closed to a smaller circle they meet at the inner edge first",
        "hard": "the wire is annealed",
        "small": "the mandrel was too small",
        "solder": "there was no flux on it",
    },
    expected=lambda job: "round",
    slips=(
        Slip("hard", lambda job: "hard", "Soft wire closes more easily. Look at the shape of the cut."),
        Slip("small", lambda job: "small", "That makes a smaller ring. Look at the shape of the cut."),
        Slip("solder", lambda job: "solder", "Flux comes later. Look at the shape of the cut."),
    ),
    clue="A saw cut is as wide outside as inside. What happens when the ring turns further in on itself?",
    working="1. The cut is as wide at the outside as at the inside\n2. Closing turns each end inward, so "
    "the inner edges "
    "meet first\n3. Run the blade once more through the closed joint: it takes only what is too much, and "
    "both faces are flat",
    basis="common practice",
    source="",
    objective="hands",
    well_done="That second pass of the blade takes a little more out: leave for it when you wind.",
)


LESSON = Lesson(
    number="07",
    title="Gallery ring",
    minutes=30,
    objectives={
        "wire": "work out the wire for a ring and for a coil",
        "mandrel": "choose the mandrel, with saw cut and spring-back",
        "hands": "hold so small a ring, and close it flat",
    },
    exercises=(WIRE, SHRINK, MANDREL, COIL, CHOOSE, HOLD, OPENED),
    earlier=("04",),
    stage="ring",
)
