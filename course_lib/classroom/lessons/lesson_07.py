"""Lesson 07, Gallery ring: wire, mandrel, and what the saw takes out of a ring."""

import math

from course_lib.bench.ring import shrink_from_kerf
from course_lib.bench.tables import find
from course_lib.classroom.exercise import Lesson, Slip, turn, unless_it_is, unless_near
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


def stretched(job: JobInHand) -> float:
    """The share by which the outer skin of the wire is longer than its middle, bent to the ring."""
    return ring(job)[1] / sum(ring(job))


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
    well_done=lambda job: (
        f"The outside is {math.pi * ring(job)[1]:.2f} mm longer than that, the inside as much shorter: the "
        f"skin is stretched and squeezed by {100 * stretched(job):.0f} %. Hard wire may crack there. "
        "So anneal it first."
    ),
)


_BLADES = ("6/0", "4/0", "3/0", "2/0", "1/0", "1")


def blade(job: JobInHand) -> tuple[str, float]:
    """A blade, for each piece another, and what it takes, in mm."""
    name = _BLADES[turn(job, "claw_wire", len(_BLADES))]
    return name, find("blades", "blade", name, "a blade").amount("kerf_mm")


def _shrinks(job: JobInHand) -> float:
    return float(shrink_from_kerf.plain(blade(job)[1]))


SHRINK = SizeAsked(
    name="shrink",
    title="What closing does",
    task=lambda job: (
        f"You saw through a ring with a {blade(job)[0]} blade. It takes {blade(job)[1]:.2f} mm. Then you "
        "close the ring until its ends meet. By how much does its inside diameter get smaller?"
    ),
    expected=_shrinks,
    unit="mm",
    fineness=GaugeStep("caliper"),
    slips=(
        Slip(
            "whole cut",
            lambda job: blade(job)[1],
            "The way round gets shorter by the cut. The way across is π times less.",
        ),
        Slip(
            "half the cut",
            lambda job: blade(job)[1] / 2,
            "You halved it. Between the way round and the way across stands π, not two.",
        ),
        Slip(
            "π times the cut",
            lambda job: math.pi * blade(job)[1],
            "You multiplied by π. Round about is the longer way: divide.",
        ),
    ),
    clue="The way round is shorter by the cut. How do the way round and the way across hang together?",
    working=lambda job: (
        f"1. The way round loses {blade(job)[1]:.2f} mm\n2. The way across loses {blade(job)[1]:.2f} / π = "
        f"{_shrinks(job):.2f} mm"
    ),
    basis="standard",
    source="circumference of a circle; the kerf of the blade from memory",
    objective="mandrel",
    well_done=lambda job: (
        f"A second cut through the closed ends takes up to {_shrinks(job):.2f} mm more. Turned about: a ring "
        f"that is 0.10 mm too large inside needs {math.pi * 0.1:.2f} mm out of its way round."
    ),
)


def _shanks(job: JobInHand) -> tuple[float, float]:
    """The drill shanks below and above the mandrel wanted, in mm."""
    below = math.floor(_mandrel(job) / _MANDRELS) * _MANDRELS
    return below, below + _MANDRELS


# --- spring-back ----------------------------------------------------------------------------------------

_LEAST, _FINE = 0.04, 61  # invented: wire that is not quite soft opens by 4 to 10 per cent


def trial(job: JobInHand) -> tuple[float, float]:
    """One turn on trial: the shank it is wound on, and its inside when let go, as they are read, in mm."""
    shank = _shanks(job)[0]
    return shank, round(shank * (1 + _LEAST + turn(job, "ring_wire", _FINE) / 1000), 2)


def _opened_by(job: JobInHand) -> float:
    return 100 * (trial(job)[1] / trial(job)[0] - 1)


SPRING = SizeAsked(
    name="spring",
    title="How far your wire springs",
    task=lambda job: (
        f"You wind one turn on a shank of {trial(job)[0]:.2f} mm, to try the wire. Let go, the turn measures "
        f"{trial(job)[1]:.2f} mm inside. By how much did it open, in per cent of what it was wound on?"
    ),
    expected=_opened_by,
    unit="percent",
    fineness=Step(0.2, "a hundredth of a millimetre in the reading is some tenths of a per cent"),
    sample="2.5 %",
    slips=(
        Slip(
            "of what it became",
            lambda job: unless_near(100 * (1 - trial(job)[0] / trial(job)[1]), 0.45, _opened_by(job)),
            "You divided by the size it sprang to. It is counted from the shank that it was wound on.",
        ),
        Slip(
            "hundredths for per cent",
            lambda job: unless_near(
                100 * (trial(job)[1] - trial(job)[0]),
                0.45,
                _opened_by(job),
                100 * (1 - trial(job)[0] / trial(job)[1]),
            ),
            "Those are hundredths of a millimetre. Which part of the shank are they?",
        ),
        Slip(
            "of the whole",
            lambda job: 100 * trial(job)[1] / trial(job)[0],
            "That is the whole turn, with the 100 % that it had on the shank. Only what came to it counts.",
        ),
    ),
    clue="How many millimetres did it open? Which part is that of the shank?",
    working=lambda job: (
        f"1. It opened by {trial(job)[1]:.2f} − {trial(job)[0]:.2f} = "
        f"{trial(job)[1] - trial(job)[0]:.2f} mm\n2. Of the shank: "
        f"{trial(job)[1] - trial(job)[0]:.2f} / {trial(job)[0]:.2f} = {_opened_by(job):.1f} %"
    ),
    basis="standard",
    source="a part of what was there before; the reading is invented",
    objective="mandrel",
    well_done=lambda job: (
        f"The plan reckons with {100 * spring(job):g} %. With this wire the mandrel would have to be "
        f"{before_closing(job) / (1 + _opened_by(job) / 100):.2f} mm. Annealed once more it springs less: "
        "wind one turn again, and measure."
    ),
)


def before_closing(job: JobInHand) -> float:
    """Inside of the coil when let go, in mm: closing takes the rest."""
    return made(job)[0] + kerf(job) / math.pi


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
    well_done=lambda job: (
        f"No shank of {_mandrel(job):.2f} mm in the drawer? Take the thinner one, not the thicker: a "
        "soldered ring is stretched in a moment, but to make it smaller you cut it open again."
    ),
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
    well_done=lambda job: (
        f"One turn more costs {math.pi * (_mandrel(job) + made(job)[1]):.1f} mm of wire, and gives a ring to "
        "spare. To wind anew later costs two ends to hold by as well."
    ),
)


# --- not quite the size ---------------------------------------------------------------------------------

_MENDED = {
    "stretch": "push it up a tapered mandrel, and tap it all round until it is larger",
    "cut": "saw it open at the seam, take out a little of its length, and solder it again",
    "true": "tap it round on the mandrel, and take care to make it no larger",
    "new": "wind a new coil on a larger mandrel",
}


def _remedy(job: JobInHand) -> str:
    return tuple(_MENDED)[turn(job, "strip_width", len(_MENDED))]


def two_ways(job: JobInHand) -> tuple[float, float]:
    """What the soldered ring measures inside, one way and across that, as it is read, in mm; invented."""
    want = made(job)[0]
    one, other = {
        "stretch": (0.98 * want, 0.98 * want),
        # so much that one cut of the blade is not too much already
        "cut": (1.02 * want + kerf(job) / math.pi, 1.02 * want + kerf(job) / math.pi),
        "true": (1.04 * want, 0.96 * want),
        "new": (0.8 * want, 0.8 * want),
    }[_remedy(job)]
    return round(one, 2), round(other, 2)


def _now(job: JobInHand) -> float:
    """The mean of both ways, in mm."""
    return sum(two_ways(job)) / 2


def thinned(job: JobInHand) -> float:
    """The wire after the ring is stretched to its size, in mm: its metal stays, its length grows."""
    wire = made(job)[1]
    return wire * math.sqrt((_now(job) + wire) / (made(job)[0] + wire))


def _with_care(job: JobInHand) -> str:
    off = made(job)[0] - _now(job)
    return {
        "stretch": f"It wants {off:.2f} mm. Take the ring off after every few blows, and put it on again the "
        "other way round: a taper makes it wider on one side.",
        "cut": f"{-off:.2f} mm across is {-math.pi * off:.2f} mm of the way round. A cut with your "
        f"{job.choices.ring_blade} blade takes {kerf(job):.2f} mm of it; file off the rest, and the old "
        "solder with it.",
        "true": f"Both ways together are {sum(two_ways(job)):.2f} mm, half of that is {_now(job):.2f} mm: so "
        "there is just enough wire in it, and only the form is wrong.",
        "new": f"Stretched so far, the wire would get thinner, from {made(job)[1]:.2f} to about "
        f"{thinned(job):.2f} mm, and the seam may tear. Measure the mandrel before you wind.",
    }[_remedy(job)]


SIZE = ChoiceAsked(
    name="size",
    title="Not quite the size",
    task=lambda job: (
        f"The ring is soldered and pickled. It should be {made(job)[0]:.2f} mm inside. It measures "
        f"{two_ways(job)[0]:.2f} mm one way, and {two_ways(job)[1]:.2f} mm across that. What do you do?"
    ),
    choices=lambda job: _MENDED,
    expected=_remedy,
    slips=(
        unless_it_is(
            _remedy,
            "stretch",
            "Blows on a taper make a ring larger, by a few per cent. Does this ring want that, and no more?",
        ),
        unless_it_is(
            _remedy,
            "cut",
            "Wire that is taken out makes the ring smaller. Is it too large, whichever way you measure?",
        ),
        unless_it_is(
            _remedy,
            "true",
            "That brings two unequal ways together, and changes nothing else. Are they unequal here?",
        ),
        unless_it_is(
            _remedy,
            "new",
            "A new coil is the last way. Look again: how far is it from its size, as a part of the whole?",
        ),
    ),
    clue="Take the mean of both ways first. Is it too large, too small, or right? And by how much?",
    working=lambda job: (
        f"1. The mean of both ways: {_now(job):.2f} mm, and {made(job)[0]:.2f} mm are wanted\n"
        f"2. So: {_MENDED[_remedy(job)]}\n3. {_with_care(job)}"
    ),
    basis="common practice",
    source="",
    objective="hands",
    well_done=_with_care,
)


# --- the joint ------------------------------------------------------------------------------------------

_JOINTS = {
    "sides": "a saw cut has straight sides, and each end has turned since it was sawn",
    "straight": "the last bit of wire was never bent round",
    "level": "a turn climbs, and its ends were not brought level",
    "springs": "the ends were not pushed past each other before",
    "rocked": "the ends were filed, and the file rocked",
}
_GAPES = {
    "sides": "The ring is round. At the outside the ends touch. At the inside, a thin wedge of "
    "light is left.",
    "straight": "From above, the ring has the form of a drop, with the joint at its point. The ends touch at "
    "the inside, and gape at the outside.",
    "level": "From above you see no gap. From the side, one end stands higher than the other.",
    "springs": "In the pliers the joint shuts, and no light comes through. When you let go, there is a gap, "
    "as wide inside as outside.",
    "rocked": "The ring is round. The ends touch in the middle of the wire. At all edges, inside and "
    "outside, you see light.",
}


def _joint(job: JobInHand) -> str:
    return tuple(_GAPES)[turn(job, "plate_thickness", len(_GAPES))]


def wedge(job: JobInHand) -> float:
    """How wide the joint gapes inside at most, when it is closed just as it was sawn, in mm.

    The faces turn towards each other by the cut over the radius of the wire's middle, and so gape over
    the thickness of the wire.
    """
    inside, wire = made(job)
    return wire * kerf(job) / ((inside + wire) / 2)


def _shut(job: JobInHand) -> str:
    return {
        "sides": f"On your ring the wedge may be up to {wedge(job):.2f} mm wide. Run the blade once more "
        "through the closed joint: it takes only what is too much. Close it again, and both faces are flat.",
        "straight": "Open it a little, bend the last bit of both ends round over the mandrel, and close it "
        "again. A ring from the middle of a longer coil has round ends from the start.",
        "level": f"Each turn climbs by a wire, {made(job)[1]:.2f} mm on yours. Bend the ends sideways, level "
        "and a little beyond, and let them come back.",
        "springs": "Push the ends past each other, sideways, to and fro, each time a little further. Then "
        "they press on each other by themselves. Solder never pulls a joint shut.",
        "rocked": "Leave the file. Run a fine blade through the closed joint, until it touches both ends "
        f"from edge to edge. Each cut makes the ring up to {kerf(job) / math.pi:.2f} mm smaller.",
    }[_joint(job)]


OPENED = SymptomAsked(
    name="opened",
    title="The ends do not meet",
    task=lambda job: (
        f"You close a ring, and look at its joint with a loupe, against the light. {_GAPES[_joint(job)]} "
        "Why is that, most likely?"
    ),
    choices=lambda job: _JOINTS,
    expected=_joint,
    slips=(
        unless_it_is(
            _joint,
            "sides",
            "Between straight sides that have turned, the outer edges meet first. Is the light inside only?",
        ),
        unless_it_is(
            _joint,
            "straight",
            "Ends that were left straight meet in a point, and the ring looks like a drop. Does it here?",
        ),
        unless_it_is(
            _joint, "level", "Ends that are not level show it from the side. What do you see from there?"
        ),
        unless_it_is(
            _joint, "springs", "A joint that springs open can be shut with pliers. Is that said here?"
        ),
        unless_it_is(
            _joint,
            "rocked",
            "A file that rocks takes more at the edges than in the middle. Is the light all round?",
        ),
    ),
    clue="Which edges touch, and where is the light? Is the ring still round? What do the pliers change?",
    working=lambda job: f"1. {_GAPES[_joint(job)]}\n2. So: {_JOINTS[_joint(job)]}\n3. {_shut(job)}",
    basis="common practice",
    source="",
    objective="hands",
    well_done=_shut,
)


LESSON = Lesson(
    number="07",
    title="Gallery ring",
    minutes=40,
    objectives={
        "wire": "work out the wire for a ring and for a coil",
        "mandrel": "choose the mandrel, with saw cut and spring-back",
        "hands": "close a small ring flat, see why it gapes, and mend it",
    },
    exercises=(WIRE, SHRINK, SPRING, MANDREL, COIL, OPENED, SIZE),
    earlier=("04",),
    stage="ring",
)
