"""Lesson 02, Know the metal: density, weight, fineness, and whether the balance agrees."""

from statistics import fmean

from course_lib.bench.metal import (
    MARKS,
    composition,
    density_in_water,
    metal_to_add,
    mixed_density,
    water_density,
    weight_of,
)
from course_lib.bench.refusals import Refused
from course_lib.bench.tables import find, table_by
from course_lib.classroom.exercise import Lesson, Slip
from course_lib.classroom.fineness import Step
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.lists import ChoiceAsked, SymptomAsked
from course_lib.classroom.sizes import SizeAsked

WATER = 20.0  # degC
MELT = 10.0  # g of fine metal
_BALANCE = "a balance shows thousandths of a gram"


def density_of(element: str) -> float:
    """Density of a pure metal, in g/cm3."""
    return float(table_by("elements", "element")[element]["density_g_cm3"])


def name_of(element: str) -> str:
    """What a metal is called."""
    return str(table_by("elements", "element")[element]["name"])


def shares(job: JobInHand) -> dict[str, float]:
    """What the job's alloy is made of."""
    return composition(job.alloy)


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
        f"1. Take 100 g of the alloy. The volume of each metal in it is its weight divided by its density: "
        f"{' + '.join(parts)} = {volume:.3f} cm³\n"
        f"2. Density is weight over volume: 100 / {volume:.3f} = {_density(job):.2f} g/cm³"
    )


DENSITY = SizeAsked(
    name="density",
    title="The density of the alloy",
    task=lambda job: (
        f"The piece is marked {job.alloy}. By weight it holds {_recipe(job)}; in brackets stands the "
        "density of "
        "each pure metal. What is the density of the alloy?"
    ),
    expected=_density,
    unit="gram/cm**3",
    fineness=Step(0.01, "alloys of one name differ by more than a hundredth"),
    slips=(
        Slip(
            "densities averaged by weight",
            lambda job: sum(s * density_of(e) for e, s in shares(job).items()),
            "You averaged the densities by weight. A gram of a light metal takes more room than a gram of "
            "a heavy "
            "one: add the volumes, and divide the weight by them.",
        ),
        Slip(
            "plain average",
            lambda job: fmean(density_of(e) for e in shares(job)),
            "This is the plain average of the densities, as if there were equally much of each metal.",
        ),
        Slip(
            "the main metal alone",
            lambda job: density_of(max(shares(job), key=lambda e: shares(job)[e])),
            "This is the density of the main metal alone. The others count too.",
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


def _ring_volume(job: JobInHand) -> float:
    return job.plan().plain("ring_volume")


def _ring_weight(job: JobInHand) -> float:
    return float(weight_of.plain(_ring_volume(job), _density(job)))


WEIGHT = SizeAsked(
    name="weight",
    title="What the gallery ring weighs",
    task=lambda job: (
        f"The sizes of the gallery ring give a volume of {_ring_volume(job):.3f} mm³ of metal. The "
        "density is "
        f"{_density(job):.2f} g/cm³. What does the ring weigh, in grams?"
    ),
    expected=_ring_weight,
    unit="gram",
    fineness=Step(0.001, _BALANCE),
    sample="1.234 g",
    slips=(
        Slip(
            "the other metal's density",
            lambda job: float(
                weight_of.plain(_ring_volume(job), density_of("Cu" if _density(job) > 9.5 else "Au"))
            ),
            "You took the density of a pure metal. The ring is of the alloy.",
        ),
        Slip(
            "weight of water",
            lambda job: _ring_volume(job) / 1000,
            "That is what so much water weighs. Metal is heavier by its density: multiply.",
        ),
        Slip(
            "volume left in mm³",
            lambda job: _ring_volume(job) * _density(job),
            "A thousand times too much: the density is for a cubic centimetre, and that holds 1000 mm³.",
        ),
    ),
    clue="Density tells what one cm³ weighs. How many cm³ are those mm³? One cm³ is 10 × 10 × 10 mm³.",
    working=lambda job: (
        f"1. {_ring_volume(job):.3f} mm³ = {_ring_volume(job) / 1000:.6f} cm³\n"
        f"2. {_ring_volume(job) / 1000:.6f} cm³ × {_density(job):.2f} g/cm³ = {_ring_weight(job):.3f} g"
    ),
    basis="standard",
    source="definition of density; 1 cm³ = 1000 mm³ (SI Brochure, 9th edition)",
    objective="weigh",
)


# --- in water -------------------------------------------------------------------------------------------


def in_air(job: JobInHand) -> float:
    """What the scrap weighs in air, in g: invented, ten times the metal of the piece."""
    return round(10 * job.plan().plain("metal_weight"), 2)


def in_water(job: JobInHand) -> float:
    """What it shows hanging in water, in g: invented, for a density half a per cent under the recipe's."""
    water = float(water_density.plain(WATER))
    return round(in_air(job) * (1 - water / (0.995 * _density(job))), 3)


def _found_density(job: JobInHand) -> float:
    return float(density_in_water.plain(in_air(job), in_water(job), WATER))


def _water_working(job: JobInHand) -> str:
    air, water = in_air(job), in_water(job)
    dense = float(water_density.plain(WATER))
    return (
        f"1. The water carries {air:.2f} − {water:.3f} = {air - water:.3f} g: so much water fits into the "
        "room of the "
        f"scrap.\n2. Water of {WATER:.0f} °C weighs {dense:.4f} g/cm³, so that room is "
        f"{(air - water) / dense:.4f} cm³.\n3. {air:.2f} g / {(air - water) / dense:.4f} cm³ = "
        f"{_found_density(job):.1f} g/cm³"
    )


HANGING = SizeAsked(
    name="hanging",
    title="Weighed in water",
    task=lambda job: (
        f"A piece of scrap that should be the same alloy weighs {in_air(job):.2f} g in air. Hanging by a "
        "hair in "
        f"water of {WATER:.0f} °C it shows {in_water(job):.3f} g. Water of that warmth weighs "
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
            "You divided the weight in water. It is the weight in air that the piece really has.",
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
    clue="The weight that is missing in water is the weight of the water that the piece pushes aside.",
    working=_water_working,
    basis="standard",
    source="buoyancy method, as in ISO 1183-1; water density after Tanaka et al., Metrologia 38 (2001) "
    "301-309",
    objective="water",
    well_done=lambda job: (
        f"The recipe says {_density(job):.1f} g/cm³. Within two parts in a hundred, the scrap may be this "
        "alloy; it is "
        "no proof, for different alloys can be equally heavy."
    ),
)


# --- alloying -------------------------------------------------------------------------------------------


def fineness_of(job: JobInHand) -> float:
    """The fineness of the job's alloy, per mille."""
    return float(find("alloys", "alloy", job.alloy, "an alloy")["fineness"])


def _metal(job: JobInHand) -> str:
    return str(find("alloys", "alloy", job.alloy, "an alloy")["metal"])


def _to_add(job: JobInHand) -> float:
    return float(metal_to_add.plain(MELT, 1000.0, fineness_of(job), 0.0))


ALLOY = SizeAsked(
    name="alloy",
    title="Alloy it down",
    task=lambda job: (
        f"You have {MELT:.2f} g of fine {_metal(job)} (1000 parts in 1000) and want "
        f"{fineness_of(job):.0f} parts in "
        "1000. How many grams of the other metals, which hold none, do you melt with it?"
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
    well_done="A little burns off in each melt: weigh again, and have it assayed before it is marked.",
)


# --- mark -----------------------------------------------------------------------------------------------


def _marks(job: JobInHand) -> tuple[int, ...]:
    metal = _metal(job)
    if metal not in MARKS:
        raise Refused(f"the marks of {metal} are not in the tables here.")
    return MARKS[metal]


def _lower(job: JobInHand) -> str:
    below = [mark for mark in _marks(job) if mark < fineness_of(job)]
    return f"the mark {max(below)}" if below else "no mark at all"


MARK = ChoiceAsked(
    name="mark",
    title="Which mark",
    task=lambda job: (
        f"An assay of your melt finds {fineness_of(job) - 2:.0f} parts of {_metal(job)} in 1000. You "
        "meant to make "
        f"{fineness_of(job):.0f}. Which mark may it carry?"
    ),
    choices=lambda job: {
        "same": f"the mark {fineness_of(job):.0f}: two parts in 1000 are nothing",
        "round": f"the mark {fineness_of(job):.0f}, if the buyer is told",
        "lower": _lower(job),
    },
    expected=lambda job: "lower",
    slips=(
        Slip(
            "tolerance taken", lambda job: "same", "A mark is a least value. There is no tolerance below it."
        ),
        Slip(
            "told the buyer", lambda job: "round", "The law asks what is in it, not what was said about it."
        ),
    ),
    clue="A mark promises at least so much.",
    working=lambda job: (
        f"1. A mark promises at least so many parts in 1000\n2. {fineness_of(job) - 2:.0f} is less than "
        f"{fineness_of(job):.0f}\n3. So: {_lower(job)}. Add fine metal, or mark it lower"
    ),
    basis="standard",
    source="ISO 9202: the fineness of a mark is a minimum; Hallmarking Act 1973",
    objective="alloy",
    well_done="Which marks are legal differs from country to country: ask your assay office.",
)


# --- balance --------------------------------------------------------------------------------------------


def _agrees(job: JobInHand) -> str:
    row = next(row for row in job.plan().weight_rows() if row[0] == "earring without its nut")
    return {"yes": "agrees", "no": "differs"}.get(row[4], "unknown")


def _balance_task(job: JobInHand) -> str:
    _, weight, band, pattern, _ = next(
        r for r in job.plan().weight_rows() if r[0] == "earring without its nut"
    )
    weighed = "was not weighed" if pattern != pattern else f"shows {pattern:.3f} g (± 0.002 g)"
    return (
        f"From the sizes, the earring without its nut should weigh {weight:.3f} g, give or take "
        f"{band:.3f} g (95 times "
        f"out of 100). The pattern {weighed}. Does the balance agree with the sizes?"
    )


BALANCE = ChoiceAsked(
    name="balance",
    title="Does the balance agree?",
    task=_balance_task,
    choices=lambda job: {
        "agrees": "yes: they differ by no more than is in doubt",
        "differs": "no: they differ by more than is in doubt",
        "unknown": "nobody can say: the pattern was not weighed",
    },
    expected=_agrees,
    slips=tuple(
        Slip(name, lambda job, name=name: None if _agrees(job) == name else name, said)  # type: ignore[misc]
        for name, said in (
            ("agrees", "Take the difference of the two weights, and compare it with both doubts together."),
            (
                "differs",
                "Two weights are never alike to the last figure. Compare the difference with the doubt.",
            ),
            ("unknown", "Read the task again: was it weighed?"),
        )
    ),
    clue="How far apart are the two weights? How far apart may they be, with the doubts of both?",
    working=lambda job: (
        f"1. {_balance_task(job).split('. Does')[0]}\n2. The two doubts together are the root of the sum "
        "of their "
        "squares\n3. Compare the difference of the weights with that"
    ),
    basis="standard",
    source="JCGM 100:2008, 5.1.2: doubts of a difference add as squares",
    objective="balance",
    well_done="A weight checks all the sizes at once. If it does not agree, measure again before you saw.",
)


LIGHT = SymptomAsked(
    name="light",
    title="Too light in the water",
    task="You weigh a piece in water three times. Each time it seems lighter, and the density comes out "
    "lower. Why?",
    choices=lambda job: {
        "bubbles": "air bubbles sit on the piece",
        "cold": "the water is a degree colder than you thought",
        "thread": "the thread is too thin",
        "alloy": "gold dissolves a little in water",
    },
    expected=lambda job: "bubbles",
    slips=(
        Slip(
            "cold",
            lambda job: "cold",
            "A degree changes the water's density by two parts in ten thousand: unseen.",
        ),
        Slip("thread", lambda job: "thread", "A thin thread is right: it pushes hardly any water aside."),
        Slip(
            "alloy", lambda job: "alloy", "Nothing of it dissolves. What else could carry it a little upward?"
        ),
    ),
    clue="Something lifts the piece, and more of it each time.",
    working="1. Bubbles lift the piece, so it shows less in water\n2. The difference grows, so the room "
    "seems larger and "
    "the density smaller\n3. Boil the water before, add a drop of soap, brush the piece under water",
    basis="common practice",
    source="",
    objective="water",
)


LESSON = Lesson(
    number="02",
    title="Know the metal",
    minutes=35,
    objectives={
        "density": "work out the density of an alloy from what is in it",
        "weigh": "work out what a part weighs",
        "water": "find a density by weighing in water",
        "alloy": "alloy down to a fineness, and say which mark it may carry",
        "balance": "say whether the balance agrees with the sizes",
    },
    exercises=(DENSITY, WEIGHT, HANGING, LIGHT, ALLOY, MARK, BALANCE),
    earlier=("01",),
    stage="metal",
)
