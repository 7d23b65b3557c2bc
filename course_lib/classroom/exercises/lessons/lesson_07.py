"""Lesson 07, Gallery ring: wire, mandrel, and what the saw takes out of a ring."""

import math

from course_lib.bench.ring import shrink_from_kerf
from course_lib.bench.tables import find
from course_lib.classroom.exercises.worked import Worked, turn, unless_near
from course_lib.classroom.pieces.job_in_hand import JobInHand

_MANDRELS = 0.1  # mm from one drill shank in the set to the next
_BLADES = ("6/0", "4/0", "3/0", "2/0", "1/0", "1")
_LEAST, _FINE = 0.04, 61  # invented: wire that is not quite soft opens by 4 to 10 per cent
_JOINTS = ("sides", "straight", "level", "springs", "rocked")
_REMEDIES = ("stretch", "cut", "true", "new")


def _made(job: JobInHand) -> tuple[float, float]:
    """The ring as it is closed, before the mop: inside and wire, in mm."""
    return job.plan().plain("ring_inside_as_made"), job.plan().plain("ring_wire_before_polishing")


def _closing(job: JobInHand) -> float:
    """What closing the cut of the course's own blade takes off the inside, in mm."""
    return job.choices.ring_kerf / math.pi


def work_wire(job: JobInHand) -> Worked:
    """Wire in the pattern's ring, in mm."""
    inside, wire = job.readings["ring_inside"].value, job.readings["ring_wire"].value
    middle = inside + wire
    return Worked(
        job.plan().plain("ring_length"),
        {
            "inside way round": math.pi * inside,
            "outside way round": math.pi * (inside + 2 * wire),
            "half a wire only": math.pi * (inside + wire / 2),
            "across for round": middle,
        },
        {
            "inside": inside,
            "wire": wire,
            "middle": middle,
            "round_middle": math.pi * middle,
            "longer": math.pi * wire,
            "stretched": 100 * wire / middle,
        },
    )


def blade(job: JobInHand) -> tuple[str, float]:
    """A blade, for each piece another, and what it takes, in mm."""
    name = _BLADES[turn(job, "claw_wire", len(_BLADES))]
    return name, find("blades", "blade", name, "a blade").amount("kerf_mm")


def work_shrink(job: JobInHand) -> Worked:
    """How much smaller a ring gets when its cut is closed, in mm."""
    name, cut = blade(job)
    smaller, too_large = float(shrink_from_kerf.plain(cut)), 0.1
    return Worked(
        smaller,
        {"whole cut": cut, "half the cut": cut / 2, "π times the cut": math.pi * cut},
        {
            "blade": name,
            "cut": cut,
            "smaller": smaller,
            "too_large": too_large,
            "to_take_out": math.pi * too_large,
        },
    )


def trial(job: JobInHand) -> tuple[float, float]:
    """One turn on trial: the shank it is wound on, and its inside when let go, as they are read, in mm."""
    shank = math.floor(job.plan().plain("mandrel") / _MANDRELS) * _MANDRELS
    return shank, round(shank * (1 + _LEAST + turn(job, "ring_wire", _FINE) / 1000), 2)


def work_spring(job: JobInHand) -> Worked:
    """How far the wire springs, in per cent of the shank."""
    shank, let_go = trial(job)
    opened, per_cent = let_go - shank, 100 * (let_go / shank - 1)
    of_what_it_became = 100 * (1 - shank / let_go)
    return Worked(
        per_cent,
        {
            "of what it became": unless_near(of_what_it_became, 0.45, per_cent),
            "hundredths for per cent": unless_near(100 * opened, 0.45, per_cent, of_what_it_became),
            "of the whole": 100 * let_go / shank,
        },
        {
            "shank": shank,
            "let_go": let_go,
            "opened": opened,
            "per_cent": per_cent,
            "planned": 100 * job.choices["spring_back"],
            "mandrel": (_made(job)[0] + _closing(job)) / (1 + per_cent / 100),
        },
    )


def work_mandrel(job: JobInHand) -> Worked:
    """The mandrel to wind the coil on, in mm."""
    (inside, _), cut, mandrel = _made(job), job.choices.ring_kerf, job.plan().plain("mandrel")
    # closing takes the rest of the coil's inside
    before_closing, opens_to = inside + _closing(job), 1 + job.choices["spring_back"]
    wrong_way = before_closing * opens_to
    return Worked(
        mandrel,
        {
            "saw cut forgotten": inside / opens_to,
            "spring-back forgotten": before_closing,
            "spring-back the wrong way": wrong_way,
            "whole cut added": unless_near((inside + cut) / opens_to, 0.021, mandrel, wrong_way),
        },
        {
            "inside": inside,
            "cut": cut,
            "spring_back": 100 * job.choices["spring_back"],
            "before_closing": before_closing,
            "opens_to": opens_to,
            "mandrel": mandrel,
        },
    )


def work_coil(job: JobInHand) -> Worked:
    """Wire for the coil, in mm."""
    turns, mandrel, (_, wire) = int(job.choices["coil_turns"]), job.plan().plain("mandrel"), _made(job)
    length, middle = job.plan().plain("coil_length"), mandrel + wire
    one_turn = math.pi * middle
    return Worked(
        length,
        {
            "one turn": None if turns == 1 else one_turn,
            "round the mandrel": turns * math.pi * mandrel,
            "outside way round": turns * math.pi * (mandrel + 2 * wire),
        },
        {
            "turns": turns,
            "mandrel": mandrel,
            "wire": wire,
            "middle": middle,
            "all_turns": turns * one_turn,
            "length": length,
            "one_turn": one_turn,
        },
    )


def work_opened(job: JobInHand) -> Worked:
    """Why the ends of a ring do not meet: for each piece another cause."""
    cause = _JOINTS[turn(job, "plate_thickness", len(_JOINTS))]
    holes = {"wedge": _wedge(job), "wire": _made(job)[1], "smaller": _closing(job)}
    return Worked(cause, holes=holes, way=cause)


def _wedge(job: JobInHand) -> float:
    """How wide the joint gapes inside at most, when it is closed just as it was sawn, in mm.

    The faces turn towards each other by the cut over the radius of the wire's middle, and so gape over
    the thickness of the wire.
    """
    inside, wire = _made(job)
    return wire * job.choices.ring_kerf / ((inside + wire) / 2)


def work_size(job: JobInHand) -> Worked:
    """How a soldered ring is brought to its size: for each piece another way."""
    remedy, (wanted, wire) = _REMEDIES[turn(job, "strip_width", len(_REMEDIES))], _made(job)
    one_way, across_that = _two_ways(job, remedy)
    mean = (one_way + across_that) / 2
    return Worked(
        remedy,
        holes={
            "wanted": wanted,
            "one_way": one_way,
            "across_that": across_that,
            "both_ways": one_way + across_that,
            "mean": mean,
            "too_small": wanted - mean,
            "too_large": mean - wanted,
            "too_long": math.pi * (mean - wanted),
            "blade": job.choices.ring_blade,
            "cut": job.choices.ring_kerf,
            "wire": wire,
            # its metal stays, its length grows
            "thinned": wire * math.sqrt((mean + wire) / (wanted + wire)),
        },
        way=remedy,
    )


def _two_ways(job: JobInHand, remedy: str) -> tuple[float, float]:
    """What the soldered ring measures inside, one way and across that, as it is read, in mm; invented."""
    wanted = _made(job)[0]
    # to be cut, it is so large that one cut of the blade is not too much already
    too_large = 1.02 * wanted + _closing(job)
    one, other = {
        "stretch": (0.98 * wanted, 0.98 * wanted),
        "cut": (too_large, too_large),
        "true": (1.04 * wanted, 0.96 * wanted),
        "new": (0.8 * wanted, 0.8 * wanted),
    }[remedy]
    return round(one, 2), round(other, 2)
