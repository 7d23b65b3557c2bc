"""Lesson 11, Finish, weigh, set: weights against the pattern, where the metal went, and what comes last."""

import math

from course_lib.bench.alloy import alloy_facts
from course_lib.bench.lemel import loss_budget
from course_lib.bench.plan import metal_without_solder
from course_lib.bench.post import wire_volume
from course_lib.bench.tables import find
from course_lib.classroom.exercises.worked import Worked, moved, turn
from course_lib.classroom.pieces.job_in_hand import JobInHand

_CARAT = 0.2  # g, exactly
_HUNDREDTH = 0.01  # mm
_PARTS = ("ring", "claws", "post", "plate")
_ORDER = ["pickle", "papers", "mop", "set", "trim", "weigh"]
_CAUSES = ("wet", "solder", "thin", "zero", "spare")


def _volumes(job: JobInHand) -> dict[str, float]:
    """The volume of each part, in mm³."""
    return {part: job.plan().plain(f"{part}_volume") for part in _PARTS}


def _weigh(job: JobInHand, volume: float) -> float:
    """What so many mm³ of the job's metal weigh, in g."""
    return volume * alloy_facts(job.alloy).density / 1000


def _weights(job: JobInHand) -> dict[str, float]:
    """What each part should weigh, in g."""
    return {part: _weigh(job, volume) for part, volume in _volumes(job).items()}


def work_table(job: JobInHand) -> Worked:
    """What each part should weigh, in g."""
    volumes, weights = _volumes(job), _weights(job)
    density, wire = alloy_facts(job.alloy).density, job.readings["claw_wire"].value
    return Worked(
        [[weight] for weight in weights.values()],
        {
            "as heavy as water": [[volume / 1000] for volume in volumes.values()],
            "mm³ for cm³": [[volume * density] for volume in volumes.values()],
        },
        {
            **volumes,
            "density": density,
            "ring_weighs": weights["ring"],
            "claws_weigh": weights["claws"],
            "post_weighs": weights["post"],
            "plate_weighs": weights["plate"],
            "heavier": weights["claws"] * ((1 + _HUNDREDTH / wire) ** 2 - 1),
        },
    )


def work_stone(job: JobInHand) -> Worked:
    """What the stone weighs, in g."""
    carats, across = round(job.plan().plain("stone_carat"), 2), job.readings["stone_diameter"].value
    weight = carats * _CARAT
    return Worked(
        weight,
        {"divided": carats / _CARAT, "carat of gold": carats / 24, "as many grams": carats},
        {
            "gem": job.gem,
            "carats": carats,
            "one_carat": _CARAT,
            "weight": weight,
            "across": across,
            "heavier": 100 * ((1 + 0.1 / across) ** 3 - 1),
        },
    )


def taken(job: JobInHand) -> float:
    """Metal taken from the drawer, in g, as the card shows it."""
    return round(job.plan().metal_taken, 3)


def leaves(job: JobInHand) -> float:
    """Metal of the drawer that is in the piece, in g, as the card shows it."""
    return round(metal_without_solder(job.plan().carried, job.plan().metal_taken), 3)


def work_lost(job: JobInHand) -> Worked:
    """What is lost of the metal that was taken, in per cent."""
    out, in_piece, kept = taken(job), leaves(job), job.choices["lemel_recovered"]
    found = loss_budget.plain(out, in_piece, kept)
    comes_back, lost, rest = float(found.comes_back), float(found.lost), out - in_piece
    return Worked(
        100 * lost / out,
        {
            "of the piece": 100 * lost / in_piece,
            "all that is not in the piece": 100 * rest / out,
            "what comes back": 100 * comes_back / out,
            "of all that was taken": 100 * (1 - kept),
        },
        {
            "taken": out,
            "in_piece": in_piece,
            "kept": 100 * kept,
            "rest": rest,
            "comes_back": comes_back,
            "lost": lost,
            "per_cent": 100 * lost / out,
            "posts": 10 * lost / _weights(job)["post"],
        },
    )


def _spare_end(job: JobInHand) -> float:
    """What the spare end of the post weighs, in g."""
    wire, spare = job.readings["post_wire"].value, job.choices["post_spare"]
    return _weigh(job, float(wire_volume.plain(wire, spare)))


def work_order(job: JobInHand) -> Worked:
    """The last steps in their order."""
    return Worked(
        _ORDER,
        {
            "set before polishing": moved(_ORDER, "set", "mop", after=False),
            "papers before pickling": moved(_ORDER, "papers", "pickle", after=False),
            "weighed before trimming": moved(_ORDER, "weigh", "trim", after=False),
            "weighed without its stone": moved(_ORDER, "weigh", "set", after=False),
        },
        {"spare_end": _spare_end(job)},
    )


def work_heat(job: JobInHand) -> Worked:
    """Whether the stone bears the torch."""
    stone = find("stones", "gem", job.gem, "a gem")
    bears = "hardy" if stone["heat_sensitive"] == "no" else "tender"
    return Worked(bears, holes={"gem": job.gem, "note": stone["note"], "claws": job.claws})


def first_claw(job: JobInHand) -> int:
    """The claw that was pushed first; for each piece another."""
    return 1 + turn(job, "base_to_girdle", job.claws)


def work_claws(job: JobInHand) -> Worked:
    """Which claw is pushed next."""
    first, listed = first_claw(job), ("round", "home", "across")
    # no letter is the right one on every piece
    start = first % len(listed)
    return Worked(
        "across",
        holes={
            "claws": job.claws,
            "first": first,
            "neighbour": first % job.claws + 1,
            "opposite": (first - 1 + job.claws // 2) % job.claws + 1,
        },
        way="none_opposite" if job.claws % 2 else "opposite",
        shown=listed[start:] + listed[:start],
    )


def work_heavy(job: JobInHand) -> Worked:
    """Why the balance shows more or less than for the pattern; for each piece another cause."""
    cause = _CAUSES[turn(job, "plate_thickness", len(_CAUSES))]
    return Worked(
        cause,
        holes={
            "spare_end": _spare_end(job),
            "spare": job.choices["post_spare"],
            "bead": _weigh(job, math.pi / 6),
            "too_light": _too_light(job),
        },
        way=cause,
    )


def _too_light(job: JobInHand) -> float:
    """What ring and claws lose, in g, when their wires lose a hundredth of a millimetre."""
    weights = _weights(job)
    return sum(
        weights[part] * (1 - (1 - _HUNDREDTH / job.readings[wire].value) ** 2)
        for part, wire in (("ring", "ring_wire"), ("claws", "claw_wire"))
    )
