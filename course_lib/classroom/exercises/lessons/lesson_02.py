"""Lesson 02, Know the metal: density, weight, fineness, and whether the balance agrees."""

import math
from statistics import fmean

from course_lib.bench.measuring import coverage
from course_lib.bench.metal import (
    MARKS,
    composition,
    density_in_water,
    metal_to_add,
    mixed_density,
    water_density,
    weight_in_water,
    weight_of,
)
from course_lib.bench.post import wire_volume
from course_lib.bench.refusals import Refused
from course_lib.bench.tables import find, table_by
from course_lib.classroom.exercises.worked import Worked, say, unless_near
from course_lib.classroom.pieces.job_in_hand import JobInHand
from course_lib.classroom.pieces.size_table import ShownTable

WATER = 20.0  # degC
MELT = 10.0  # g of fine metal
SHORT = 2.0  # parts in 1000 that the assay of the melt finds too few
_EARRING = "earring without its nut"


def density_of(element: str) -> float:
    """Density of a pure metal, in g/cm3."""
    return table_by("elements", "element")[element].amount("density_g_cm3")


def _density(job: JobInHand) -> float:
    return float(mixed_density(composition(job.alloy)))


def work_density(job: JobInHand) -> Worked:
    """The density of the alloy, in g/cm3."""
    mix, names = composition(job.alloy), table_by("elements", "element")
    metals = [
        {"share": 100 * share, "name": names[element]["name"], "density": density_of(element)}
        for element, share in mix.items()
    ]
    return Worked(
        _density(job),
        {
            "densities averaged by weight": sum(share * density_of(metal) for metal, share in mix.items()),
            "plain average": fmean(map(density_of, mix)),
            "the main metal alone": _density_of_main(job),
        },
        {
            "alloy": job.alloy,
            "metals": [say("metal", **metal) for metal in metals],
            "volumes": [say("volume_of_metal", **metal) for metal in metals],
            "volume": sum(100 * share / density_of(metal) for metal, share in mix.items()),
            "density_of_alloy": _density(job),
        },
    )


def _density_of_main(job: JobInHand) -> float:
    """Density of the metal of which the alloy holds most, in g/cm3."""
    mix = composition(job.alloy)
    return density_of(max(mix, key=lambda element: mix[element]))


def work_weight(job: JobInHand) -> Worked:
    """What the post weighs, in g."""
    wire, length = job.readings["post_wire"].value, job.readings["post_length"].value
    volume, density = float(wire_volume.plain(wire, length)), _density(job)
    weight = float(weight_of.plain(volume, density))
    square = 4 / math.pi * weight
    all_fine = float(weight_of.plain(volume, _density_of_main(job)))
    return Worked(
        weight,
        {
            "thickness for half of it": 4 * weight,
            "a square wire": square,
            "weight of water": volume / 1000,
            "volume left in mm³": volume * density,
            # a fine balance shows thousandths
            "all of fine metal": unless_near(all_fine, 0.0011, weight, square),
        },
        {
            "wire": wire,
            "length": length,
            "density": density,
            "area": volume / length,
            "volume": volume,
            "volume_in_cm3": volume / 1000,
            "weight": weight,
        },
    )


def work_balance(job: JobInHand) -> Worked:
    """Whether the balance agrees with the sizes; asked in another way where the pattern was not weighed."""
    _, weight, doubt, pattern, agrees = next(row for row in job.plan().weight_rows() if row[0] == _EARRING)
    found = {"yes": "agrees", "no": "differs"}.get(agrees, "unknown")
    by_sizes = {"what": _EARRING, "weight": weight, "doubt_of_sizes": 1000 * doubt}
    if found == "unknown":
        return Worked(found, holes=by_sizes, way=found)
    by_balance = {
        "pattern": pattern,
        "doubt_of_balance": 1000 * _doubt_of_balance(job),
        "apart": 1000 * abs(weight - pattern),
        "both_doubts": 1000 * math.hypot(doubt, _doubt_of_balance(job)),
    }
    return Worked(found, holes=by_sizes | by_balance, way=found)


def _doubt_of_balance(job: JobInHand) -> float:
    """Half the width of the 95 % band of what the balance showed, in g."""
    shown = job.readings["weight"]
    return coverage(shown.degrees_of_freedom) * shown.standard_uncertainty


def in_air(job: JobInHand) -> float:
    """What the scrap weighs in air, in g: invented, ten times the metal of the piece."""
    return round(10 * job.plan().plain("metal_weight"), 2)


def in_water(job: JobInHand) -> float:
    """What it shows hanging in water, in g: invented, for a density half a per cent under the recipe's."""
    return round(float(weight_in_water.plain(in_air(job), 0.995 * _density(job), WATER)), 3)


def work_hanging(job: JobInHand) -> Worked:
    """The density of the scrap by weighing in water, in g/cm3."""
    air, water = in_air(job), in_water(job)
    carried, density_of_water = air - water, float(water_density.plain(WATER))
    density = float(density_in_water.plain(air, water, WATER))
    return Worked(
        density,
        {
            "weight in water over the difference": water / carried,
            "air over water": air / water,
            "upside down": carried / air,
        },
        {
            "in_air": air,
            "in_water": water,
            "warmth": WATER,
            "density_of_water": density_of_water,
            "carried": carried,
            "room": carried / density_of_water,
            "density": density,
            "density_by_recipe": _density(job),
        },
    )


def work_light(job: JobInHand) -> Worked:
    """Why a lump shows less in water each time."""
    return Worked("bubbles")


def fineness_of(job: JobInHand) -> float:
    """The fineness of the job's alloy, per mille."""
    return find("alloys", "alloy", job.alloy, "an alloy").amount("fineness")


def _metal(job: JobInHand) -> str:
    return str(find("alloys", "alloy", job.alloy, "an alloy")["metal"])


def work_alloy(job: JobInHand) -> Worked:
    """What is melted with the fine metal to bring it down to the fineness, in g."""
    fineness = fineness_of(job)
    to_add = float(metal_to_add.plain(MELT, 1000.0, fineness, 0.0))
    whole = MELT * 1000 / fineness
    return Worked(
        to_add,
        {
            "share of the fine metal": MELT * (1000 - fineness) / 1000,
            "the whole melt": whole,
            "as much fine as mark": MELT * fineness / 1000,
        },
        {"melt": MELT, "metal": _metal(job), "fineness": fineness, "whole_melt": whole, "to_add": to_add},
    )


def fine_to_mend(job: JobInHand) -> float:
    """Fine metal that brings 10 g of a melt which came out short up to its mark, in g."""
    return float(metal_to_add.plain(MELT, fineness_of(job) - SHORT, fineness_of(job), 1000.0))


def work_mark(job: JobInHand) -> Worked:
    """The mark that a melt may carry which came out short."""
    metal, fineness = _metal(job), fineness_of(job)
    if metal not in MARKS:
        raise Refused(f"the marks of {metal} are not in the tables here.")
    below = [mark for mark in MARKS[metal] if mark < fineness]
    return Worked(
        "lower",
        {"tolerance taken": "same", "told the buyer": "round"},
        {
            "fineness": fineness,
            "found": fineness - SHORT,
            "short": SHORT,
            "metal": metal,
            "which": say("such_as", next_mark=max(below)) if below else say("by_law"),
            "melt": MELT,
            "to_mend": fine_to_mend(job),
            "mended": MELT + fine_to_mend(job),
        },
    )


def weights_shown(job: JobInHand) -> ShownTable:
    """What each part should weigh by its sizes, and what the balance showed of the pattern.

    >>> from course_lib.classroom.pieces.job_in_hand import demo_job
    >>> print("|".join(weights_shown(demo_job()).columns))
    part|should weigh|give or take (95 %)|the balance showed
    """
    rows = [
        (part, f"{weight:.3f} g", f"{1000 * band:.1f} mg", f"{pattern:.3f} g" if agrees else "")
        for part, weight, band, pattern, agrees in job.plan().weight_rows()
    ]
    return ShownTable(("part", "should weigh", "give or take (95 %)", "the balance showed"), rows)
