"""Lesson 00, Start here: how the pages work, how to give an answer, and sizes as people write them."""

import math
from collections.abc import Mapping

from course_lib.bench.measuring_sheet import label_of
from course_lib.bench.units import gauge_size, nearest_gauge
from course_lib.classroom.exercises.worked import Worked, say
from course_lib.classroom.pieces.job_in_hand import JobInHand

_INCH = 25.4  # mm
_THOU = _INCH / 1000


def work_stone(job: JobInHand) -> Worked:
    """The stone across its girdle, in mm."""
    across = job.readings["stone_diameter"].value
    return Worked(
        across,
        {"depth for diameter": job.readings["stone_depth"].value, "radius for diameter": across / 2},
        {"piece": job.title, "row": label_of("stone_diameter"), "across": across},
    )


def _claw_wire(job: JobInHand) -> float:
    """The claw wire of the pattern, in mm."""
    return job.readings["claw_wire"].value


def _gauge(job: JobInHand) -> int:
    """The gauge number nearest to the claw wire."""
    return nearest_gauge(job.measured["claw_wire"].value)


def _gauge_mm(number: int) -> float:
    return float(gauge_size(number).m_as("mm"))


def work_gauge(job: JobInHand) -> Worked:
    """The gauge number nearest to the claw wire."""
    nearest = _gauge(job)
    return Worked(
        nearest,
        {"next thinner gauge": nearest + 1, "next thicker gauge": nearest - 1},
        {"claw_wire": _claw_wire(job), **_gauges_about(nearest)},
    )


def _gauges_about(nearest: int) -> dict[str, float]:
    """A gauge and its neighbours, by number and in mm."""
    numbers = {"thicker": nearest - 1, "nearest": nearest, "thinner": nearest + 1}
    return {**numbers, **{f"{name}_mm": _gauge_mm(number) for name, number in numbers.items()}}


def work_one_thicker(job: JobInHand) -> Worked:
    """The next thicker gauge, in mm."""
    nearest = _gauge(job)
    gauges = _gauges_about(nearest)
    return Worked(
        gauges["thicker_mm"],
        {
            "thinner for thicker": gauges["thinner_mm"],
            "same gauge": gauges["nearest_mm"],
            "two gauges": _gauge_mm(nearest - 2),
        },
        gauges,
    )


def work_written(job: JobInHand) -> Worked:
    """Four wires about the claw wire, each written in another way, from thin to thick."""
    wire, gauge = _claw_wire(job), _gauge(job) + 2
    hundredths, thousandths = round(112 * wire), round(0.95 * wire / _THOU)
    parts, parts_in_an_inch = (math.ceil(1.35 * wire / _INCH * 64) / 64).as_integer_ratio()
    printed = {
        "comma": hundredths / 100,
        "gauge": gauge,
        "inch": parts / parts_in_an_inch,
        "thou": thousandths,
    }
    in_mm = {
        "comma": hundredths / 100,
        "gauge": _gauge_mm(gauge),
        "inch": _INCH * parts / parts_in_an_inch,
        "thou": _THOU * thousandths,
    }
    order = _thin_to_thick(in_mm)
    return Worked(
        order,
        {
            "by the printed number": _thin_to_thick(printed),
            "thick to thin": order[::-1],
            "gauge backwards": _thin_to_thick({**in_mm, "gauge": math.inf}),
            "thou as hundredths of a millimetre": _thin_to_thick({**in_mm, "thou": thousandths / 100}),
        },
        {
            "mm_in_an_inch": _INCH,
            "mm_in_a_thou": _THOU,
            "whole_mm": hundredths // 100,
            "hundredths": hundredths % 100,
            "gauge_number": gauge,
            "parts": parts,
            "parts_in_an_inch": parts_in_an_inch,
            "thousandths": thousandths,
            **{f"{name}_in_mm": thick for name, thick in in_mm.items()},
            "order": [say(name) for name in order],
        },
    )


def _thin_to_thick(wires: Mapping[str, float]) -> list[str]:
    return sorted(wires, key=lambda name: wires[name])


def work_reach(job: JobInHand) -> Worked:
    """From the girdle of the stone to the tip of the post, in mm."""
    up, down = job.readings["base_to_girdle"].value, job.readings["post_length"].value
    return Worked(
        up + down,
        {
            "post alone": down,
            "only to the ring": job.readings["base_to_ring"].value + down,
            "taken away for added": abs(down - up),
            "claws over the girdle too": up + down + job.readings["claw_tip"].value,
        },
        {
            "row_up": label_of("base_to_girdle"),
            "row_down": label_of("post_length"),
            "up": up,
            "down": down,
            "together": up + down,
        },
    )


def work_first(job: JobInHand) -> Worked:
    """What is done first with an earring that comes from an ear."""
    slips = {"tried in an ear": "try", "measured dirty": "measure", "polished the pattern": "polish"}
    return Worked("clean", slips)
