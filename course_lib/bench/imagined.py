"""Imagined duplicates: how a maker's hand scatters, and how often the pair would pass.

A hundred thousand duplicates are imagined at once. Each size differs from the plan by what a hand does,
and from the pattern by what the gauge left in doubt; the sums of the whole piece make of that the sizes
that an eye compares. Two ways lead to the chance that a pair passes: counting them, and, where the sizes
hang together little, the normal distribution.
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from course_lib.bench.alloy import alloy_facts
from course_lib.bench.carry import carry
from course_lib.bench.measuring import Reading
from course_lib.bench.plan import Plan
from course_lib.bench.refusals import Refused
from course_lib.bench.stock import worked_yield
from course_lib.bench.tables import table_by
from course_lib.bench.whole_piece import Fixed, work_out

MANY = 100_000
# What people compare when the pair lies side by side, and how it is called.
COMPARED: dict[str, str] = {
    "stone_diameter": "stone across",
    "claw_wire": "claw wire",
    "claw_tip": "claw over the girdle",
    "claw_spread": "claw to claw",
    "ring_over_all": "ring across",
    "ring_wire": "ring wire",
    "base_to_girdle": "base to girdle",
    "base_to_ring": "base to ring top",
    "post_length": "post length",
    "plate_diameter": "plate across",
    "strip_width": "strip width",
    "base_length": "scroll's base",
    "curl_over_all": "curl over all",
}
# The draws are the same every time, so that a lesson and its answer agree.
_SAME_DRAWS = 20_260_101
# So many go through the sums in one run: all at once would fill a small computer's memory.
_AT_ONCE = 10_000


@dataclass(frozen=True, eq=False)
class Imagined:
    """Imagined duplicates against their pattern, in mm.

    `by_hand` has a row for each size of `names` and a column for each duplicate: how far the hand missed.
    `by_gauge` the same for what the gauge had left in doubt. The two add.
    """

    names: tuple[str, ...]
    by_hand: Any
    by_gauge: Any

    def off(self, name: str, care: float = 1.0, gauge: float = 1.0) -> Any:
        """How far one size of each duplicate is off.

        Args:
            name: of the size.
            care: how large the hand's scatter is against the table's: 0.5 is twice the care.
            gauge: how large the doubt of the readings is, as a factor of the sheet's.

        Returns:
            An array: so many mm for each duplicate.
        """
        row = self.names.index(name)
        return care * self.by_hand[row] + gauge * self.by_gauge[row]


@dataclass(frozen=True)
class Chance:
    """How often the pair passes, as a share of all.

    `seen` is for each size the share of pairs in which an eye sees it differ; `costs` the share that would
    pass if only this size were perfect.
    """

    passes: float
    seen: Mapping[str, float]
    costs: Mapping[str, float]

    @property
    def seen_most(self) -> str:
        """The size that is seen most often; of independent sizes it is the one that costs most."""
        return max(self.seen, key=lambda name: self.seen[name])


@dataclass(frozen=True)
class Spread:
    """How far a size of the duplicate lies from the pattern's, as standard deviations in mm."""

    by_hand: float
    by_gauge: float

    @property
    def together(self) -> float:
        """Hand and gauge: the root of the squares."""
        return math.hypot(self.by_hand, self.by_gauge)


def imagine(plan: Plan, count: int = MANY) -> Imagined:
    """Imagine so many duplicates of a plan.

    Args:
        plan: of the job.
        count: how many, two or more.

    Returns:
        An `Imagined`.

    Raises:
        Refused: fewer than two.

    Basis: each size scatters about the plan as a normal distribution with the standard deviation of
    data/maker_scatter.csv (from memory: measure your own); readings with their own standard uncertainty.
    Monte Carlo as in JCGM 101:2008. Limits: hand and gauge are taken as independent, and all claws of one
    piece as alike; a gauge's own error, which both pieces share if one gauge measures them, is counted in
    full.

    >>> from course_lib.bench.job import Job
    >>> from course_lib.bench.tables import data_folder
    >>> made = imagine(Job.load(data_folder() / "demo-four-claws.csv").plan(), 1000)
    >>> made.by_hand.shape
    (13, 1000)
    """
    if count < 2:
        raise Refused(f"imagine: count came as {count}; imagine two duplicates or more, for example 100 000.")
    sums = _Sums(plan)
    draw = np.random.Generator(np.random.PCG64(_SAME_DRAWS))
    # single precision holds a tenth of a micrometre, and a panel goes through it twice as fast
    tables = [np.empty((len(COMPARED), count), dtype=np.float32) for _ in range(2)]
    for start in range(0, count, _AT_ONCE):
        block = slice(start, min(start + _AT_ONCE, count))
        for table, spreads in zip(tables, (sums.hand, sums.gauge), strict=True):
            many = block.stop - block.start
            moved = {key: sums.read[key] + by * draw.standard_normal(many) for key, by in spreads.items()}
            found = sums.compared(sums.read | moved)
            for row, name in enumerate(COMPARED):
                table[row, block] = found[name] - sums.exact[name]
    return Imagined(tuple(COMPARED), *tables)


class _Sums:
    """The sizes that people compare, by the sums of the whole piece, and what moves them."""

    def __init__(self, plan: Plan) -> None:
        facts, readings = alloy_facts(plan.job.alloy), plan.job.readings
        self.fixed = Fixed(
            plan.job.claws, plan.job.choices, plan.drill, plan.fold.cuts, facts.elastic_modulus,
            facts.yield_soft, worked_yield(plan.runs["post"], facts),
        )  # fmt: skip
        # nothing that weighs plays a part in what is seen
        self.known = {"density": facts.density, "specific_gravity": 1.0, "stone_factor": 1.0}
        self.read: dict[str, Any] = {key: reading.value for key, reading in readings.items()}
        self.read |= {key: plan.plain(key) for key in ("groove_depth", "bearing_cut", "bend_radius")}
        self.hand = {key: row.amount("spread_mm") for key, row in table_by("maker_scatter", "size").items()}
        self.gauge = {key: readings[key].standard_uncertainty for key in self.hand if key in readings}
        self.exact = self.compared(self.read)

    def compared(self, read: Mapping[str, Any]) -> dict[str, Any]:
        """The sizes of `COMPARED`, in mm, on numbers or arrays."""
        found = {**work_out({**read, **self.known}, self.fixed), **read}
        found["ring_over_all"] = read["ring_inside"] + 2 * read["ring_wire"]
        return {name: found[name] for name in COMPARED}


def chance_to_pass(
    imagined: Imagined, visible: float, care: Mapping[str, float] | float = 1.0, gauge: float = 1.0
) -> Chance:
    """How often nobody sees a difference, and what each size costs.

    Args:
        imagined: from `imagine`.
        visible: the smallest difference that an eye sees, in mm.
        care: how large the hand's scatter is against the table's, for all sizes or by name: 0.5 is twice the
            care.
        gauge: how large the doubt of the readings is against the sheet's.

    Returns:
        A `Chance`. A pair passes if every size differs by less than `visible`.

    Limit: a derived size (claw to claw) scales with the care as a whole.

    >>> alone = Imagined(("a",), np.array([[0.0, 0.2]]), np.zeros((1, 2)))
    >>> chance_to_pass(alone, 0.1).passes, chance_to_pass(alone, 0.1, 0.4).passes
    (0.5, 1.0)
    """
    limit, count = imagined.by_hand.dtype.type(visible), imagined.by_hand.shape[1]
    how_many = np.zeros(count, dtype=np.uint8)
    seen = []
    for each in _offs(imagined, care, gauge):
        np.abs(each, out=each)
        seen.append(each >= limit)
        how_many += seen[-1]
    alone = how_many == 1
    return Chance(
        float(np.count_nonzero(how_many == 0) / count),
        {name: float(np.count_nonzero(it) / count) for name, it in zip(imagined.names, seen, strict=True)},
        {
            name: float(np.count_nonzero(it & alone) / count)
            for name, it in zip(imagined.names, seen, strict=True)
        },
    )


def _offs(imagined: Imagined, care: Mapping[str, float] | float, gauge: float) -> Iterator[Any]:
    """How far each size in turn is off, in an array of its own."""
    single = imagined.by_hand.dtype.type
    for name, hand, doubt in zip(imagined.names, imagined.by_hand, imagined.by_gauge, strict=True):
        factor = care.get(name, 1.0) if isinstance(care, Mapping) else care
        off = hand * single(factor)
        off += doubt * single(gauge)
        yield off


def worst_of_each(imagined: Imagined) -> Any:
    """How far the worst size of each imagined duplicate is off, in mm, from the best pair to the worst.

    >>> worst_of_each(Imagined(("a", "b"), np.array([[0.1, -0.4], [-0.2, 0.3]]), np.zeros((2, 2)))).tolist()
    [0.2, 0.4]
    """
    worst = np.zeros(imagined.by_hand.shape[1], dtype=imagined.by_hand.dtype)
    for each in _offs(imagined, 1.0, 1.0):
        np.maximum(worst, np.abs(each, out=each), out=worst)
    return np.sort(worst)


def spreads_of(plan: Plan) -> dict[str, Spread]:
    """How far each compared size scatters about the pattern's, without imagining anything.

    Each input is moved by its own standard deviation, once, and the squares are added (see `carry`).

    >>> from course_lib.bench.job import Job
    >>> from course_lib.bench.tables import data_folder
    >>> found = spreads_of(Job.load(data_folder() / "demo-four-claws.csv").plan())
    >>> found["post_length"].by_hand
    0.05
    """
    sums = _Sums(plan)

    def carried(doubts: Mapping[str, float]) -> list[float]:
        readings = {key: Reading(sums.read[key], doubt, math.inf) for key, doubt in doubts.items()}
        results = carry(lambda moved: sums.compared(sums.read | dict(moved)), readings, COMPARED).results
        return [round(results[name].standard_uncertainty, 9) for name in COMPARED]

    pairs = zip(carried(sums.hand), carried(sums.gauge), strict=True)
    return {name: Spread(*pair) for name, pair in zip(COMPARED, pairs, strict=True)}


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


def limit_for(spreads: Mapping[str, Spread], share: float) -> float:
    """The difference that the worst size of such a share of pairs stays under.

    Args:
        spreads: from `spreads_of`.
        share: which share of pairs is to pass, over 0 and under 1.

    Returns:
        The limit in mm.

    Raises:
        Refused: another share, or sizes that do not scatter at all.

    Formula: the chances of all sizes multiplied are the share; found by halving. Limit: sizes are taken as
    independent, though ring and claws hang together a little.

    >>> round(limit_for({"a": Spread(0.03, 0.04)}, 0.95), 3)
    0.098
    """
    widest = max((each.together for each in spreads.values()), default=0.0)
    if not 0 < share < 1 or not widest:
        raise Refused(
            f"limit_for: share came as {share}, of {len(spreads)} sizes; a share lies between 0 and 1, for "
            "example 0.95, and one size at least must scatter."
        )
    low, high = 0.0, 40 * widest
    for _ in range(60):
        middle = (low + high) / 2
        passes = math.prod(passes_by_normal(each.together, middle) for each in spreads.values())
        low, high = (middle, high) if passes < share else (low, middle)
    return high
