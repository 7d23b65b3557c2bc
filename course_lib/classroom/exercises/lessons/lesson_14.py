"""Lesson 14, Your own pattern: from your readings to your card, and to the finished pair."""

from course_lib.bench.measuring_sheet import label_of
from course_lib.classroom.exercises.lessons.lesson_05 import BAR
from course_lib.classroom.exercises.worked import Worked, say, unless_near
from course_lib.classroom.pieces.job_in_hand import JobInHand


def work_tenfold(job: JobInHand) -> Worked:
    """Three readings, of which one has its decimal mark in the wrong place."""
    wire = job.readings["claw_wire"].value
    return Worked("comma", holes={"wire": wire, "slipped": 10 * wire, "a_little_more": wire + 0.01})


def _one_of(right: str, slips: dict[str, str], *shown: str) -> Worked:
    """A choice among sizes of the sheet, which are called there what they are called here."""
    return Worked(right, slips, shown={key: label_of(key) for key in shown})


def work_least(job: JobInHand) -> Worked:
    """The size that may be left out."""
    slips = {"stone": "stone_diameter", "claw": "claw_wire", "post": "post_length"}
    return _one_of("pavilion_depth", slips, "stone_diameter", "pavilion_depth", "claw_wire", "post_length")


def work_staple(job: JobInHand) -> Worked:
    """How long a staple is cut, in mm."""
    cut, length, base, post = map(
        job.plan().plain, ("staple_blank", "staple_length", "staple_base", "post_blank")
    )
    return Worked(
        cut,
        {"girdle to girdle": length, "base": base, "post": unless_near(post, 0.21, cut, length, base)},
        {"which": say("any_staple" if job.claws % 2 == 0 else "whole_staple"), "cut": cut},
    )


def work_roll(job: JobInHand) -> Worked:
    """How thick the strip for the scroll is rolled, in mm."""
    blanks = {blank.part: blank for blank in job.plan().blanks}
    strip, plate = blanks["scroll"], blanks["back plate"]
    rolled, finished = strip.stock_mm, strip.finished_mm
    return Worked(
        rolled,
        {"finished": finished, "plate": unless_near(plate.stock_mm, 0.011, rolled, finished)},
        {"rolled": rolled},
    )


def work_stop(job: JobInHand) -> Worked:
    """The reading to take again first."""
    slips = {"post": "post_length", "plate": "plate_diameter", "strip": "strip_width"}
    return _one_of("base_to_girdle", slips, "base_to_girdle", *slips.values())


def work_finished(job: JobInHand) -> Worked:
    """What stands in the list to tick."""
    return Worked("", holes={"bar": BAR})
