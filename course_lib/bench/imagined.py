"""Imagined duplicates: how a maker's hand scatters, and how often the pair would pass.

A hundred thousand duplicates are imagined at once. Each size differs from the plan by what a hand does,
and from the pattern by what the gauge left in doubt; the sums of the whole piece make of that the sizes
that an eye compares.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from course_lib.bench.alloy import alloy_facts
from course_lib.bench.job import Plan
from course_lib.bench.refusals import Refused
from course_lib.bench.stock import worked_yield
from course_lib.bench.tables import table_by
from course_lib.bench.whole_piece import Fixed, work_out

MANY = 100_000
# What people compare when the pair lies side by side, and how it is called.
COMPARED: dict[str, str] = {
    "claw_wire": "claw wire",
    "ring_wire": "ring wire",
    "claw_tip": "claw over the girdle",
    "base_to_girdle": "base to girdle",
    "base_to_ring": "base to ring top",
    "claw_spread": "claw to claw",
    "plate_diameter": "plate across",
    "strip_width": "strip width",
    "curl_over_all": "curl over all",
    "post_length": "post length",
}
# The draws are the same every time, so that a lesson and its answer agree.
_SAME_DRAWS = 20_260_101


@dataclass(frozen=True, eq=False)
class Imagined:
    """Imagined duplicates against their pattern, in mm.

    `by_hand` has a column for each size of `COMPARED`: how far the hand missed. `by_gauge` the same for what
    the gauge had left in doubt. The two add.
    """

    names: tuple[str, ...]
    by_hand: Any
    by_gauge: Any


@dataclass(frozen=True)
class Chance:
    """How often the pair passes, as a share; and for each size, how much more often if it were perfect."""

    passes: float
    costs: Mapping[str, float]

    @property
    def dearest(self) -> str:
        """The size that costs most."""
        return max(self.costs, key=lambda name: self.costs[name])


def imagine(plan: Plan, count: int = MANY) -> Imagined:
    """Imagine so many duplicates of a plan.

    Args:
        plan: of the job.
        count: how many, two or more.

    Returns:
        An `Imagined`.

    Basis: each size scatters about the plan as a normal distribution with the standard deviation of
    data/maker_scatter.csv (from memory: measure your own); readings with their own standard uncertainty.
    Monte Carlo as in JCGM 101:2008. Limit: hand and gauge are taken as independent.

    >>> from course_lib.bench.job import Job
    >>> from course_lib.bench.tables import data_folder
    >>> made = imagine(Job.load(data_folder() / "demo-four-claws.csv").plan(), 1000)
    >>> made.by_hand.shape
    (1000, 10)
    """
    if count < 2:
        raise Refused(f"imagine: count came as {count}; imagine two duplicates or more, for example 100 000.")
    draw = np.random.Generator(np.random.PCG64(_SAME_DRAWS))
    read = {key: reading.value for key, reading in plan.job.readings.items()}
    read |= {key: plan.plain(key) for key in ("groove_depth", "bearing_cut", "bend_radius")}
    spreads = {key: float(row["spread_mm"]) for key, row in table_by("maker_scatter", "size").items()}
    hand = {key: read[key] + spreads[key] * draw.standard_normal(count) for key in spreads}
    doubts = {key: plan.job.readings[key].standard_uncertainty for key in spreads if key in plan.job.readings}
    gauge = {key: read[key] + doubt * draw.standard_normal(count) for key, doubt in doubts.items()}
    exact = _compared(plan, read)
    return Imagined(
        tuple(COMPARED),
        _off(_compared(plan, read | hand), exact, count),
        _off(_compared(plan, read | gauge), exact, count),
    )


def _compared(plan: Plan, read: Mapping[str, Any]) -> dict[str, Any]:
    """The sizes that people compare, by the sums of the whole piece."""
    facts = alloy_facts(plan.job.alloy)
    fixed = Fixed(
        plan.job.claws, plan.job.choices, plan.drill, plan.fold.cuts, facts.elastic_modulus, facts.yield_soft,
        worked_yield(plan.runs["post"], facts),
    )  # fmt: skip
    # nothing that weighs plays a part in what is seen
    known = {"density": facts.density, "specific_gravity": 1.0, "stone_factor": 1.0}
    found = work_out({**read, **known}, fixed)
    return {name: read[name] if name in read else found[name] for name in COMPARED}


def _off(made: Mapping[str, Any], exact: Mapping[str, Any], count: int) -> Any:
    # single precision holds a tenth of a micrometre, and goes through a panel twice as fast
    table = np.empty((count, len(COMPARED)), dtype=np.float32)
    for at, name in enumerate(COMPARED):
        table[:, at] = made[name] - exact[name]
    return table


def chance_to_pass(imagined: Imagined, visible: float, care: Mapping[str, float] | float = 1.0) -> Chance:
    """How often nobody sees a difference, and what each size costs.

    Args:
        imagined: from `imagine`.
        visible: the smallest difference that an eye sees, in mm.
        care: how large the hand's scatter is against the table's, for all sizes or by name: 0.5 is twice the
            care.

    Returns:
        A `Chance`. A pair passes if every size differs by less than `visible`.

    Limit: a derived size (claw to claw) scales with the care as a whole.

    >>> alone = Imagined(("a",), np.array([[0.0], [0.2]]), np.zeros((2, 1)))
    >>> chance_to_pass(alone, 0.1).passes, chance_to_pass(alone, 0.1, 0.4).passes
    (0.5, 1.0)
    """
    if isinstance(care, Mapping):
        factors = np.array([care.get(name, 1.0) for name in imagined.names], dtype=imagined.by_hand.dtype)
        off = imagined.by_hand * factors + imagined.by_gauge
    else:
        off = imagined.by_hand * imagined.by_hand.dtype.type(care) + imagined.by_gauge
    seen = np.abs(off) >= visible
    how_many = seen.sum(axis=1)
    passes = float((how_many == 0).mean())
    alone = seen[how_many == 1].sum(axis=0) / len(seen)
    return Chance(passes, {name: float(share) for name, share in zip(imagined.names, alone, strict=True)})


def passes_by_normal(spread: float, visible: float) -> float:
    """The chance that one size alone passes: the share of a normal distribution within the limit.

    Args:
        spread: standard deviation of its difference, in mm.
        visible: the limit to either side, in mm.

    Returns:
        The share.

    Formula: erf(limit / (spread root 2)).

    >>> round(passes_by_normal(0.05, 0.098), 3)
    0.95
    """
    return math.erf(visible / (spread * math.sqrt(2))) if spread else 1.0
