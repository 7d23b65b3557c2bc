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
from course_lib.classroom.exercise import Lesson, Slip, Text, unless_near
from course_lib.classroom.fineness import Step
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.lists import ChoiceAsked, SymptomAsked
from course_lib.classroom.size_table import ShownTable
from course_lib.classroom.sizes import SizeAsked

WATER = 20.0  # degC
MELT = 10.0  # g of fine metal
SHORT = 2.0  # parts in 1000 that the assay of the melt finds too few
_WEIGHT_STEP = 0.001  # g: what a fine balance shows
_EARRING = "earring without its nut"


def density_of(element: str) -> float:
    """Density of a pure metal, in g/cm3."""
    return table_by("elements", "element")[element].amount("density_g_cm3")


def name_of(element: str) -> str:
    """What a metal is called."""
    return str(table_by("elements", "element")[element]["name"])


def shares(job: JobInHand) -> dict[str, float]:
    """What the job's alloy is made of."""
    return composition(job.alloy)


def main_of(job: JobInHand) -> str:
    """The metal of which the job's alloy holds most."""
    return max(shares(job), key=lambda element: shares(job)[element])


def _recipe(job: JobInHand) -> str:
    return ", ".join(
        f"{100 * s:g} % {name_of(e)} ({density_of(e):.2f} g/cm³)" for e, s in shares(job).items()
    )


# --- density --------------------------------------------------------------------------------------------


def _density(job: JobInHand) -> float:
    return float(mixed_density(shares(job)))


def _density_working(job: JobInHand) -> str:
    mix = shares(job)
    parts = [f"{100 * s:g} / {density_of(e):.2f}" for e, s in mix.items()]
    volume = sum(100 * s / density_of(e) for e, s in mix.items())
    return (
        "1. Take 100 g of the alloy. The volume of each metal in it is its weight divided by its density: "
        f"{' + '.join(parts)} = {volume:.3f} cm³\n"
        f"2. Density is weight over volume: 100 / {volume:.3f} = {_density(job):.2f} g/cm³"
    )


DENSITY = SizeAsked(
    name="density",
    title="The density of the alloy",
    task=lambda job: (
        f"The piece is of {job.alloy}. By weight it holds {_recipe(job)}; in brackets stands the density of "
        "each pure metal. What is the density of the alloy?"
    ),
    expected=_density,
    unit="gram/cm**3",
    fineness=Step(0.01, "alloys of one name differ by more than a hundredth"),
    sample="12.34 g/cm³",
    slips=(
        Slip(
            "densities averaged by weight",
            lambda job: sum(s * density_of(e) for e, s in shares(job).items()),
            "You averaged the densities by weight. A gram of a light metal takes more room than a gram of a "
            "heavy one: add the volumes, and divide the weight by them.",
        ),
        Slip(
            "plain average",
            lambda job: fmean(density_of(e) for e in shares(job)),
            "This is the plain average of the densities, as if there were equally much of each metal.",
        ),
        Slip(
            "the main metal alone",
            lambda job: density_of(main_of(job)),
            "This is the density of the main metal alone. The others take room too.",
        ),
    ),
    clue="Take 100 g of the alloy. How many cm³ does each metal in it fill? Weight over volume is density.",
    working=_density_working,
    basis="handbook",
    source="volumes add: Kraut and Stern, Gold Bulletin 33 (2000); real alloys lie within about 1 % of it",
    objective="density",
    well_done="Real alloys lie within about a hundredth part of this.",
)


# --- weight ---------------------------------------------------------------------------------------------


def post_wire(job: JobInHand) -> float:
    """Diameter of the post's wire, in mm."""
    return job.readings["post_wire"].value


def post_length(job: JobInHand) -> float:
    """Length of the post, in mm."""
    return job.readings["post_length"].value


def _post_volume(job: JobInHand) -> float:
    return float(wire_volume.plain(post_wire(job), post_length(job)))


def _post_weight(job: JobInHand) -> float:
    return float(weight_of.plain(_post_volume(job), _density(job)))


def _all_of_fine_metal(job: JobInHand) -> float | None:
    weight, square = _post_weight(job), 4 / math.pi * _post_weight(job)
    fine = float(weight_of.plain(_post_volume(job), density_of(main_of(job))))
    return unless_near(fine, 1.1 * _WEIGHT_STEP, weight, square)


WEIGHT = SizeAsked(
    name="weight",
    title="What the post weighs",
    task=lambda job: (
        f"The post is a round wire {post_wire(job):.3f} mm thick and {post_length(job):.2f} mm long (leave "
        f"its notch out). The density of the alloy is {_density(job):.2f} g/cm³. What does the post weigh, "
        "in grams?"
    ),
    expected=_post_weight,
    unit="gram",
    fineness=Step(_WEIGHT_STEP, "a fine balance shows thousandths of a gram"),
    sample="1.234 g",
    slips=(
        Slip(
            "thickness for half of it",
            lambda job: 4 * _post_weight(job),
            "Four times too much: you squared the whole thickness. The circle wants the half of it, from "
            "the middle to the outside.",
        ),
        Slip(
            "a square wire",
            lambda job: 4 / math.pi * _post_weight(job),
            "That is a square wire of this thickness. A round one lacks the corners.",
        ),
        Slip(
            "weight of water",
            lambda job: _post_volume(job) / 1000,
            "That is what so much water weighs. Metal is heavier by its density: multiply.",
        ),
        Slip(
            "volume left in mm³",
            lambda job: _post_volume(job) * _density(job),
            "A thousand times too much: the density is for a cubic centimetre, and that holds 1000 mm³. "
            "What you have are milligrams.",
        ),
        Slip(
            "all of fine metal",
            _all_of_fine_metal,
            "You took the density of the fine metal. The post is of the alloy.",
        ),
    ),
    clue="First the round area of the wire, then times its length: that is the volume in mm³. Density "
    "tells what one cm³ weighs, and one cm³ is 10 × 10 × 10 mm³.",
    working=lambda job: (
        f"1. Area of the wire: π × ({post_wire(job):.3f} / 2)² = {_post_volume(job) / post_length(job):.4f} "
        f"mm²\n2. Times {post_length(job):.2f} mm: {_post_volume(job):.3f} mm³ = "
        f"{_post_volume(job) / 1000:.6f} cm³\n3. {_post_volume(job) / 1000:.6f} cm³ × {_density(job):.2f} "
        f"g/cm³ = {_post_weight(job):.3f} g"
    ),
    basis="standard",
    source="definition of density; 1 cm³ = 1000 mm³ (SI Brochure, 9th edition)",
    objective="weigh",
    well_done="A notch takes off a milligram or so. A tenth more in thickness is a fifth more in weight.",
)


# --- in water -------------------------------------------------------------------------------------------


def in_air(job: JobInHand) -> float:
    """What the scrap weighs in air, in g: invented, ten times the metal of the piece."""
    return round(10 * job.plan().plain("metal_weight"), 2)


def in_water(job: JobInHand) -> float:
    """What it shows hanging in water, in g: invented, for a density half a per cent under the recipe's."""
    return round(float(weight_in_water.plain(in_air(job), 0.995 * _density(job), WATER)), 3)


def _found_density(job: JobInHand) -> float:
    return float(density_in_water.plain(in_air(job), in_water(job), WATER))


def _water_working(job: JobInHand) -> str:
    air, water = in_air(job), in_water(job)
    dense = float(water_density.plain(WATER))
    return (
        f"1. The water carries {air:.2f} − {water:.3f} = {air - water:.3f} g: so much water fits into the "
        f"room of the scrap.\n2. Water of {WATER:.0f} °C weighs {dense:.4f} g/cm³, so that room is "
        f"{(air - water) / dense:.4f} cm³.\n3. {air:.2f} g / {(air - water) / dense:.4f} cm³ = "
        f"{_found_density(job):.1f} g/cm³"
    )


HANGING = SizeAsked(
    name="hanging",
    title="Weighed in water",
    task=lambda job: (
        f"A lump of scrap that should be the same alloy weighs {in_air(job):.2f} g in air. Hanging by a "
        f"hair in water of {WATER:.0f} °C it shows {in_water(job):.3f} g. Water of that warmth weighs "
        f"{water_density.plain(WATER):.4f} g/cm³. What is the density of the scrap, to a tenth?"
    ),
    expected=_found_density,
    unit="gram/cm**3",
    fineness=Step(0.1, "a thousandth of a gram in water leaves a tenth in doubt"),
    sample="9.9 g/cm³",
    slips=(
        Slip(
            "weight in water over the difference",
            lambda job: in_water(job) / (in_air(job) - in_water(job)),
            "You divided the weight in water. It is the weight in air that the lump really has.",
        ),
        Slip(
            "air over water",
            lambda job: in_air(job) / in_water(job),
            "You divided one weight by the other. What the water carries is the difference of the two.",
        ),
        Slip(
            "upside down",
            lambda job: (in_air(job) - in_water(job)) / in_air(job),
            "Upside down: weight over volume, not volume over weight.",
        ),
    ),
    clue="The weight that is missing in water is the weight of the water that the lump pushes aside.",
    working=_water_working,
    basis="standard",
    source="buoyancy method, as in ISO 1183-1; water density after Tanaka et al., Metrologia 38 (2001) "
    "301-309",
    objective="water",
    well_done=lambda job: (
        f"The recipe says {_density(job):.1f} g/cm³. Within two parts in a hundred, the scrap may be this "
        "alloy. It is no proof: different alloys can be equally heavy."
    ),
)


LIGHT = SymptomAsked(
    name="light",
    title="Too light in the water",
    task="You weigh a lump three times in the same water. Each time it shows a little less, and the density "
    "comes out lower. In air it weighs the same as before. Why?",
    choices=lambda job: {
        "cold": "the water is a degree colder than you thought",
        "thread": "the thread is too thin",
        "bubbles": "air bubbles sit on it",
        "alloy": "the metal dissolves a little in water",
    },
    expected=lambda job: "bubbles",
    slips=(
        Slip(
            "cold",
            lambda job: "cold",
            "A degree changes the water's density by two parts in ten thousand: no bench balance shows it.",
        ),
        Slip(
            "thread",
            lambda job: "thread",
            "A thin thread is right: it pushes hardly any water aside.",
        ),
        Slip(
            "alloy",
            lambda job: "alloy",
            "Then it would weigh less in air too. What could carry it a little upward?",
        ),
    ),
    clue="Something lifts the lump, and more of it each time.",
    working="1. Bubbles lift the lump, so it shows less in water\n2. The difference grows, so the room "
    "seems larger and the density smaller\n3. Boil the water and let it cool, add a drop of soap, brush "
    "the lump under water",
    basis="common practice",
    source="",
    objective="water",
    well_done="A lump with a hollow in it, or plated over a light metal, comes out too light as well, but "
    "each time equally.",
)


# --- alloying -------------------------------------------------------------------------------------------


def fineness_of(job: JobInHand) -> float:
    """The fineness of the job's alloy, per mille."""
    return find("alloys", "alloy", job.alloy, "an alloy").amount("fineness")


def _metal(job: JobInHand) -> str:
    return str(find("alloys", "alloy", job.alloy, "an alloy")["metal"])


def _to_add(job: JobInHand) -> float:
    return float(metal_to_add.plain(MELT, 1000.0, fineness_of(job), 0.0))


ALLOY = SizeAsked(
    name="alloy",
    title="Alloy it down",
    task=lambda job: (
        f"You have {MELT:.2f} g of fine {_metal(job)} (1000 parts in 1000) and want {fineness_of(job):.0f} "
        "parts in 1000. How many grams of other metals, which hold none of it, do you melt with it?"
    ),
    expected=_to_add,
    unit="gram",
    fineness=Step(0.01, "a bench balance shows hundredths of a gram"),
    slips=(
        Slip(
            "share of the fine metal",
            lambda job: MELT * (1000 - fineness_of(job)) / 1000,
            "You took that share of the fine metal. The share is of the whole melt, which is heavier.",
        ),
        Slip(
            "the whole melt",
            lambda job: MELT * 1000 / fineness_of(job),
            "This is the weight of the whole melt. Take off the fine metal that is in it already.",
        ),
        Slip(
            "as much fine as mark",
            lambda job: MELT * fineness_of(job) / 1000,
            "This is the fine metal in that many grams of the alloy. Here all of the fine metal stays: "
            "what is added?",
        ),
    ),
    clue="All the fine metal stays in the melt. Of how heavy a melt is it just that many parts in 1000?",
    working=lambda job: (
        f"1. {MELT:.2f} g are to be {fineness_of(job):.0f} parts in 1000 of the melt: {MELT:.2f} × 1000 / "
        f"{fineness_of(job):.0f} = {MELT * 1000 / fineness_of(job):.2f} g\n"
        f"2. So {MELT * 1000 / fineness_of(job):.2f} − {MELT:.2f} = {_to_add(job):.2f} g are added"
    ),
    basis="standard",
    source="fineness per mille as in ISO 9202; the fine metal before and after is the same",
    objective="alloy",
    well_done="Zinc and copper burn off a little in each melt: weigh again, and have it assayed before it "
    "is marked.",
)


# --- mark -----------------------------------------------------------------------------------------------


def _lower(job: JobInHand) -> str:
    metal = _metal(job)
    if metal not in MARKS:
        raise Refused(f"the marks of {metal} are not in the tables here.")
    below = [mark for mark in MARKS[metal] if mark < fineness_of(job)]
    return f"only a lower mark, such as {max(below)}" if below else "only a lower mark, if your law has one"


def fine_to_mend(job: JobInHand) -> float:
    """Fine metal that brings 10 g of a melt which came out short up to its mark, in g."""
    return float(metal_to_add.plain(MELT, fineness_of(job) - SHORT, fineness_of(job), 1000.0))


MARK = ChoiceAsked(
    name="mark",
    title="Which mark",
    task=lambda job: (
        f"You meant to make {fineness_of(job):.0f}. The assay of your melt finds "
        f"{fineness_of(job) - SHORT:.0f} parts of {_metal(job)} in 1000. Your law follows ISO 9202. Which "
        "mark may the melt carry as it is?"
    ),
    choices=lambda job: {
        "same": f"the mark {fineness_of(job):.0f}: {SHORT:.0f} parts in 1000 are nothing",
        "round": f"the mark {fineness_of(job):.0f}, if the buyer is told",
        "lower": _lower(job),
    },
    expected=lambda job: "lower",
    slips=(
        Slip(
            "tolerance taken",
            lambda job: "same",
            "A mark promises a least value. There is nothing to spare below it.",
        ),
        Slip(
            "told the buyer",
            lambda job: "round",
            "The law asks what is in it, not what was said about it.",
        ),
    ),
    clue="A mark promises at least so much.",
    working=lambda job: (
        f"1. The mark {fineness_of(job):.0f} promises at least {fineness_of(job):.0f} parts in 1000\n"
        f"2. {fineness_of(job) - SHORT:.0f} is less: {_lower(job)}\n"
        f"3. Or mend it: to every {MELT:.0f} g of the melt, {fine_to_mend(job):.2f} g of fine {_metal(job)} "
        f"bring it up to {fineness_of(job):.0f}, for ({MELT:.0f} × {fineness_of(job) - SHORT:.0f} + "
        f"{fine_to_mend(job):.2f} × 1000) / {MELT + fine_to_mend(job):.2f} = {fineness_of(job):.0f}"
    ),
    basis="standard",
    source="ISO 9202: values are minima; UK Hallmarking Act 1973, section 1: no overstating to any degree",
    objective="alloy",
    well_done="Which marks are legal, and whether anything is let pass, differs from country to country: "
    "ask your assay office.",
)


# --- balance --------------------------------------------------------------------------------------------


def _earring_row(job: JobInHand) -> tuple[str, float, float, float, str]:
    return next(row for row in job.plan().weight_rows() if row[0] == _EARRING)


def _agrees(job: JobInHand) -> str:
    return {"yes": "agrees", "no": "differs"}.get(_earring_row(job)[4], "unknown")


def _balance_band(job: JobInHand) -> float:
    """Half the width of the 95 % band of what the balance showed, in g."""
    found = job.readings["weight"]
    return coverage(found.degrees_of_freedom) * found.standard_uncertainty


def _balance_task(job: JobInHand) -> str:
    _, weight, band, pattern, agrees = _earring_row(job)
    sizes = f"From the sizes, the {_EARRING} should weigh {weight:.3f} g, give or take {1000 * band:.1f} mg."
    if not agrees:
        return f"{sizes} The pattern was not weighed. Does the balance agree with the sizes?"
    return (
        f"{sizes} The balance showed {pattern:.3f} g, give or take {1000 * _balance_band(job):.1f} mg. (Both "
        "for 95 times out of 100. 1 mg, a milligram, is 0.001 g.) Does the balance agree with the sizes?"
    )


def _balance_working(job: JobInHand) -> str:
    _, weight, band, pattern, agrees = _earring_row(job)
    if not agrees:
        return "1. There is only one weight\n2. Nothing can be compared: weigh the pattern, clean and dry"
    own, apart = 1000 * _balance_band(job), 1000 * abs(weight - pattern)
    least = f"{1000 * band:.1f}² + {own:.1f}²"
    both = math.hypot(1000 * band, own)
    end = "less than that: they agree" if agrees == "yes" else "more than that: they do not agree"
    return (
        f"1. The two weights lie {apart:.1f} mg apart\n2. Both doubts together: √({least}) = {both:.1f} mg\n"
        f"3. {apart:.1f} mg is {end}"
    )


def _not_so(said: str) -> Text:
    """What to say of a choice that does not fit, on a job where the pattern was weighed and where not."""
    return lambda job: "Read again: was the pattern weighed?" if _agrees(job) == "unknown" else said


BALANCE = ChoiceAsked(
    name="balance",
    title="Does the balance agree?",
    task=_balance_task,
    choices=lambda job: {
        "agrees": "yes: they lie no further apart than both doubts together allow",
        "differs": "no: they lie further apart than both doubts together allow",
        "alike": "no: two weights of one piece must be alike to the last figure",
        "unknown": "nobody can say: there is nothing to compare",
    },
    expected=_agrees,
    slips=(
        Slip(
            "agrees",
            lambda job: None if _agrees(job) == "agrees" else "agrees",
            _not_so("Take the difference of the two weights, and compare it with both doubts together."),
        ),
        Slip(
            "differs",
            lambda job: None if _agrees(job) == "differs" else "differs",
            _not_so("Square both doubts, add them, take the root. How far apart are the weights?"),
        ),
        Slip(
            "alike",
            lambda job: "alike",
            _not_so("No two weighings are alike to the last figure, and no size is known to the last one."),
        ),
        Slip(
            "unknown",
            lambda job: None if _agrees(job) == "unknown" else "unknown",
            "It was weighed: read the task again.",
        ),
    ),
    clue="How far apart are the two weights? How far apart may they be, with the doubts of both? Doubts "
    "add up as squares.",
    working=_balance_working,
    basis="standard",
    source="JCGM 100:2008, 5.1.2: doubts of a difference add as squares",
    objective="balance",
    well_done=lambda job: (
        "A weight checks all the sizes and the alloy at once. Agreement is no proof, but it is good news."
        if _agrees(job) == "agrees"
        else "Before anything is sawn: weigh again, then measure again, the widest bands first."
    ),
)


def weights_shown(job: JobInHand) -> ShownTable:
    """What each part should weigh by its sizes, and what the balance showed of the pattern.

    >>> from course_lib.classroom.job_in_hand import demo_job
    >>> print("|".join(weights_shown(demo_job()).columns))
    part|should weigh|give or take (95 %)|the balance showed
    """
    rows = [
        (part, f"{weight:.3f} g", f"{1000 * band:.1f} mg", f"{pattern:.3f} g" if agrees else "")
        for part, weight, band, pattern, agrees in job.plan().weight_rows()
    ]
    return ShownTable(("part", "should weigh", "give or take (95 %)", "the balance showed"), rows)


LESSON = Lesson(
    number="02",
    title="Know the metal",
    minutes=40,
    objectives={
        "density": "work out the density of an alloy from what is in it",
        "weigh": "work out what a part weighs",
        "balance": "say whether the balance agrees with the sizes",
        "water": "find a density by weighing in water, and say why it comes out wrong",
        "alloy": "alloy down to a fineness, and say which mark it may carry",
    },
    exercises=(DENSITY, WEIGHT, BALANCE, HANGING, LIGHT, ALLOY, MARK),
    earlier=("01",),
    stage="metal",
)
