"""What the sums need to know of an alloy, and the solders that suit it."""

import math
from dataclasses import dataclass
from functools import cache

from course_lib.bench.metal import composition, mixed_density
from course_lib.bench.solder import Solder
from course_lib.bench.tables import Row, find, rows_of


@dataclass(frozen=True, eq=False)
class AlloyFacts:
    """What the sums need to know of an alloy, in g/cm3, degC, MPa and shares."""

    row: Row
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


@cache
def solders_for(alloy: str) -> tuple[Solder, ...]:
    """The solders of data/solders.csv for an alloy."""
    return tuple(
        Solder(row["name"], row.amount("solidus_degC"), row.amount("flow_degC"))
        for row in rows_of("solders")
        if row["alloy"] == alloy
    )
