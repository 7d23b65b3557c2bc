"""Lesson 10, Post: length to trim, stiffness, and what bends it for good."""

import math

from course_lib.bench.alloy import alloy_facts
from course_lib.bench.post import load_that_bends, post_blank, tip_give
from course_lib.classroom.exercises.worked import Worked, moved, say, turn
from course_lib.classroom.pieces.job_in_hand import JobInHand

_CAUSES = ("annealed", "dry", "thin", "twisted", "deep")


def post(job: JobInHand) -> tuple[float, float]:
    """The post's diameter and length, in mm."""
    return job.readings["post_wire"].value, job.readings["post_length"].value


def notched(job: JobInHand) -> bool:
    """Whether the pattern's post has a notch."""
    return "notch_wire" in job.readings


def _blank(job: JobInHand) -> float:
    return post_blank.plain(post(job)[1], job.choices["post_spare"])


def _give(job: JobInHand) -> float:
    """How far a light knock moves the tip, in mm."""
    return float(tip_give.plain(*post(job), job.choices["slip_load"], alloy_facts(job.alloy).elastic_modulus))


def _bends(job: JobInHand) -> float:
    """The load at the tip that bends the post at its soft root for good, in N."""
    return float(load_that_bends.plain(*post(job), alloy_facts(job.alloy).yield_soft))


def work_blank(job: JobInHand) -> Worked:
    """How long the post is cut, in mm."""
    (_, length), spare, blank = post(job), job.choices["post_spare"], _blank(job)
    return Worked(
        blank,
        {"both ends": length + 2 * spare, "as long as the pattern": length, "shorter": length - spare},
        {"length": length, "spare": spare, "blank": blank},
    )


def work_give(job: JobInHand) -> Worked:
    """How far the tip gives, in mm."""
    (wire, length), knock = post(job), job.choices["slip_load"]
    stiffness, give = alloy_facts(job.alloy).elastic_modulus, _give(job)
    section = math.pi * wire**4 / 64
    return Worked(
        give,
        {
            "radius for diameter": 16 * give,
            "I of the whole circle": give / 2,
            "the three forgotten": 3 * give,
            "length squared": give / length,
        },
        {
            "wire": wire,
            "length": length,
            "stiffness": stiffness,
            "stiffness_gpa": stiffness / 1000,
            "knock": knock,
            "section": section,
            "give": give,
            "longer_gives": give * ((length + 1) / length) ** 3,
        },
    )


def work_bends(job: JobInHand) -> Worked:
    """The load that leaves the post bent, in N."""
    (wire, length), facts, bends = post(job), alloy_facts(job.alloy), _bends(job)
    hard_bends = float(load_that_bends.plain(wire, length, facts.yield_hard))
    section = math.pi * wire**3 / 32
    moment = facts.yield_soft * section
    return Worked(
        bends,
        {"as hard as drawn": hard_bends, "radius for diameter": bends / 8, "length forgotten": moment},
        {
            "soft": facts.yield_soft,
            "wire": wire,
            "length": length,
            "section": section,
            "moment": moment,
            "bends": bends,
            "hard": facts.yield_hard,
            "hard_bends": hard_bends,
        },
    )


def other_wire(job: JobInHand) -> int:
    """By how much the wire in the drawer is thicker than the post, in per cent; below 0 it is thinner."""
    return (10, -8, 8, -10, 12)[turn(job, "plate_thickness", 5)]


def work_stiffer(job: JobInHand) -> Worked:
    """How many times as stiff a post of the other wire is."""
    other, give, bends = other_wire(job), _give(job), _bends(job)
    thick = 1 + other / 100
    stiff = thick**4
    return Worked(
        stiff,
        {"like the diameter": thick, "by the area": thick**2, "by the cube": thick**3},
        {
            "percent": abs(other),
            "times_as_thick": thick,
            "times_as_stiff": stiff,
            "gives": give,
            "other_gives": give / stiff,
            "bends": bends,
            "other_bends": bends * thick**3,
        },
        way="thicker" if other > 0 else "thinner",
    )


def leans(job: JobInHand) -> float:
    """How far the post in the question leans, in degrees; for each piece another."""
    return (2.0, 3.0, 1.5, 2.5)[turn(job, "post_wire", 4)]


def work_tilt(job: JobInHand) -> Worked:
    """How far the tip of a leaning post is aside, in mm."""
    (wire, length), degrees = post(job), leans(job)
    angle = math.radians(degrees)
    aside = length * math.sin(angle)
    return Worked(
        aside,
        {
            "radians": length * math.sin(degrees),
            "how much lower it is": length * (1 - math.cos(angle)),
            "angle as a part of the length": length * degrees / 100,
        },
        {
            "length": length,
            "leans": degrees,
            "sine": math.sin(angle),
            "aside": aside,
            "wire": wire,
            "gap": wire * math.sin(angle),
        },
    )


def work_order(job: JobInHand) -> Worked:
    """The steps for the post in order; a twist would go to the notch, so a notched one is burnished."""
    steps = ["file", "notch", "solder", "harden", "trim"]
    order = [step for step in steps if step != "notch" or notched(job)]
    # why it is soldered before it is hardened is told with the hardening
    told = [step for step in order if step != "solder"]
    spare, from_tip = job.choices["post_spare"], job.readings.get("notch_from_tip")
    placed = {}
    if notched(job) and from_tip is not None:
        placed = {"from_tip": from_tip.value, "from_cut_end": from_tip.value + spare, "spare": spare}
    return Worked(
        order,
        {
            "notch last": moved(order, "notch", "trim", after=True),
            "hardened before soldering": moved(order, "harden", "solder", after=False),
            "trimmed before hardening": moved(order, "trim", "harden", after=False),
            "trimmed before soldering": moved(order, "trim", "solder", after=False),
        },
        {
            "reasons": [say(step, at=at) for at, step in enumerate(told, 1)],
            "last_word": say("place_of_the_notch" if placed else "burr", **placed),
        },
        way="notched" if notched(job) else "plain",
    )


def work_soft(job: JobInHand) -> Worked:
    """Why a post failed: for each piece another cause; what has no notch cannot fail at it."""
    wire, length = post(job)
    causes = [name for name in _CAUSES if name != "deep" or notched(job)]
    cause = causes[turn(job, "plate_thickness", len(causes))]
    shown = ("thin", "twisted", "annealed", "dry", "deep")
    return Worked(
        cause,
        holes={
            "near_the_tip": say("notched" if notched(job) else "plain"),
            "harden": say("burnish" if notched(job) else "twist"),
            "bends": _bends(job),
            "blank": _blank(job),
            "length": length,
            "wire": wire,
            "less_stiff": 100 * (1 - ((wire - 0.05) / wire) ** 4),
            "left": job.readings["notch_wire"].value if notched(job) else wire,
        },
        way=cause,
        shown=[name for name in shown if name in causes],
    )
