"""Carry the doubt of the readings to every result.

Each reading is moved up and down by its standard uncertainty, all at once in one run of the sums;
half the change of a result is that reading's share of its doubt (JCGM 100:2008, 5.1.3 note 2).
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from course_lib.bench.measuring import Reading


@dataclass(frozen=True, eq=False)
class Carried:
    """Results with their doubt.

    `doubts` is how far each input was moved; `shares` is, for each result, how far each input moved it,
    in the order of `inputs`.
    """

    results: Mapping[str, Reading]
    inputs: tuple[str, ...]
    doubts: Mapping[str, float]
    shares: Mapping[str, Any]

    def largest_share(self, result: str, most: int = 3) -> list[tuple[str, float]]:
        """The inputs that put most doubt into a result, each with its part of the whole variance."""
        parts = np.asarray(self.shares[result]) ** 2
        total = float(parts.sum())
        if total == 0:
            return []
        order = np.argsort(-parts)[:most]
        return [(self.inputs[i], float(parts[i]) / total) for i in order if parts[i] > 0]


def carry(
    sums: Callable[[Mapping[str, Any]], Mapping[str, Any]],
    readings: Mapping[str, Reading],
    wanted: Mapping[str, Any],
) -> Carried:
    """Run sums once on the readings and on each reading moved by its doubt.

    Args:
        sums: takes the readings by name as arrays and gives results by name.
        readings: value, standard uncertainty and degrees of freedom by name; independent of each other.
        wanted: names of the results to carry.

    Returns:
        A `Carried`. Good while a result is nearly straight over the doubt of each reading.

    Source: JCGM 100:2008 5.1.2, 5.1.3 note 2, G.4.1.

    >>> both = {"a": Reading(3.0, 0.03, math.inf), "b": Reading(4.0, 0.04, math.inf)}
    >>> side = carry(lambda r: {"c": np.hypot(r["a"], r["b"])}, both, ["c"]).results["c"]
    >>> round(side.value, 3), round(side.standard_uncertainty, 4)
    (5.0, 0.0367)
    """
    names = tuple(readings)
    count = len(names)
    values = np.array([readings[n].value for n in names])
    doubts = np.array([readings[n].standard_uncertainty for n in names])
    moved = np.repeat(values[:, None], 2 * count + 1, axis=1)
    each = np.arange(count)
    moved[each, 1 + each] += doubts
    moved[each, 1 + count + each] -= doubts
    found = sums(dict(zip(names, moved, strict=True)))
    table = np.empty((len(wanted), 2 * count + 1))
    for row, name in enumerate(wanted):
        table[row] = found[name]
    halves = (table[:, 1 : count + 1] - table[:, count + 1 :]) / 2
    squares = halves**2
    variance = squares.sum(axis=1)
    freedoms = np.array([readings[n].degrees_of_freedom for n in names])
    known = (squares**2 / freedoms).sum(axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        freedom = np.where(known > 0, variance**2 / known, math.inf)
    results = {
        name: Reading(value, doubt, free)
        for name, value, doubt, free in zip(
            wanted, table[:, 0].tolist(), np.sqrt(variance).tolist(), freedom.tolist(), strict=True
        )
    }
    return Carried(
        results, names, dict(zip(names, doubts.tolist(), strict=True)), dict(zip(wanted, halves, strict=True))
    )
