"""What the sums need to know of an alloy, and the solders that suit it."""

import math
from dataclasses import dataclass
from functools import cache

from course_lib.bench.metal import composition, mixed_density
from course_lib.bench.solder import Solder
from course_lib.bench.tables import TableRow, find, rows_of


@dataclass(frozen=True, eq=False)
class AlloyFacts:
    """What the sums need to know of an alloy, in g/cm3, degC, MPa and shares."""

    row: TableRow
    density: float
    density_doubt: float
    solidus: float
    anneal_at: float
    roll_reduction: float
    draw_reduction: float
    elastic_modulus: float
    yield_soft: float
    yield_hard: float


@cache
def alloy_facts(alloy: str) -> AlloyFacts:
    """The facts of an alloy of data/alloys.csv; its density is mixed from its composition."""
    row = find("alloys", "alloy", alloy, "an alloy")
    density = mixed_density(composition(alloy))
    return AlloyFacts(
        row,
        density,
        density * row.amount("density_give_or_take") / math.sqrt(3),
        row.amount("solidus_degC"),
        row.amount("anneal_at"),
        row.amount("roll_reduction"),
        row.amount("draw_reduction"),
        row.amount("elastic_modulus_GPa") * 1000,
        row.amount("yield_soft_MPa"),
        row.amount("yield_hard_MPa"),
    )


def fire_is_known(alloy: str) -> bool:
    """Whether the course says how an alloy is annealed and soldered: of gold and silver it does.

    >>> fire_is_known("585 yellow"), fire_is_known("950 platinum")
    (True, False)
    """
    return find("alloys", "alloy", alloy, "an alloy")["metal"] in ("gold", "silver")


def annealing(alloy: str) -> str:
    """How to anneal an alloy, as the card says it; its maker's word where ours will not do.

    >>> annealing("950 platinum")
    'Anneal as the maker of this alloy says: ask. Then dry it: a wet strip rusts the rollers.'
    """
    row = find("alloys", "alloy", alloy, "an alloy")
    if not fire_is_known(alloy):
        return "Anneal as the maker of this alloy says: ask. Then dry it: a wet strip rusts the rollers."
    if row["metal"] == "gold" and row["colour"] == "white":
        # palladium white wants more heat than yellow, and how much differs from alloy to alloy
        return (
            "ANNEAL: white golds differ, so heat to what its maker says, by its colour or temperature, cool "
            "or quench as its maker says, pickle and dry: a wet strip rusts the rollers."
        )
    return (
        "ANNEAL: to a dull red seen in dim light, then cool or quench as your alloy's maker says, pickle and "
        "dry: a wet strip rusts the rollers."
    )


@cache
def solders_for(alloy: str) -> tuple[Solder, ...]:
    """The solders of data/solders.csv for an alloy."""
    return tuple(
        Solder(row["name"], row.amount("solidus_degC"), row.amount("flow_degC"))
        for row in rows_of("solders")
        if row["alloy"] == alloy
    )
