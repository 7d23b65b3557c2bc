"""The sizes of a job as a table in a notebook: what was read, and how well it is known."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from course_lib.bench.plan import Plan
from course_lib.bench.sheet import label_of
from course_lib.bench.units import shown
from course_lib.classroom.pieces.job_in_hand import JobInHand
from course_lib.screen.pages import page_from

# On the sheet, but not measured on the pattern.
_NOT_OF_THE_PATTERN = ("sheet_start", "wire_start")


@dataclass(frozen=True)
class ShownTable:
    """A table of words as a cell shows it: every word of it, from the left."""

    columns: Sequence[str]
    rows: Sequence[Sequence[str]]

    def __repr__(self) -> str:
        return "\n".join(" | ".join(row) for row in (self.columns, *self.rows))

    def _repr_html_(self) -> str:
        return page_from("table.html", columns=self.columns, rows=self.rows, named=False)


def sizes_of(job: JobInHand) -> ShownTable:
    """The sizes of the pattern, each as fine as it is known.

    >>> from course_lib.classroom.pieces.job_in_hand import demo_job
    >>> print("|".join(sizes_of(demo_job()).columns))
    part|size|value|give or take (95 %)
    """
    return ShownTable(("part", "size", "value", "give or take (95 %)"), list(_rows(job)))


def _rows(job: JobInHand) -> Iterator[tuple[str, str, str, str]]:
    for key in pattern_sizes(job):
        part, size = label_of(key).split(", ")
        found = job.measured[key]
        unit, band = _unit_of(found.value), found.expanded()
        places = decimals_for(band.m_as(unit))
        yield part, size, shown(found.value, unit, places), shown(band, unit, places)


def pattern_sizes(job: JobInHand) -> list[str]:
    """The keys of what was measured on the pattern."""
    return [key for key in job.measured if key not in _NOT_OF_THE_PATTERN]


def decimals_for(doubt: float) -> int:
    """How many decimal places are worth writing with this doubt: down to its first figure.

    >>> decimals_for(0.027), decimals_for(0.0034), decimals_for(1.2)
    (2, 3, 0)
    """
    return max(0, -math.floor(math.log10(doubt)))


def _unit_of(value: Any) -> str:
    return f"{value.units:~P}"


def doubt_shares(plan: Plan, result: str) -> list[tuple[str, float]]:
    """The readings of the pattern that put doubt into a result, most first, each with its share.

    Each reading is moved alone, by all of its doubt: its scatter, the step and the gauge. What comes
    from the alloy or from the shape of the stone is left out, for no gauge mends it.
    """
    effects = dict(zip(plan.carried.inputs, plan.carried.shares[result], strict=True))
    squares = {key: (effects[key] * _all_to_own(plan, key)) ** 2 for key in plan.job.measured}
    whole = math.fsum(squares.values())
    ranked = sorted(squares, key=lambda key: -squares[key])
    return [(key, float(squares[key] / whole)) for key in ranked if squares[key] > 0]


def _all_to_own(plan: Plan, key: str) -> float:
    """How much larger a reading's whole doubt is than the part that it does not share with its gauge."""
    doubt = plan.job.readings[key].standard_uncertainty
    _, gauge = plan.job.shared.get(key, ("", 0.0))
    # the gauge's step always leaves something of its own; the guard is for a gauge with none
    return doubt / math.sqrt(max(doubt**2 - gauge**2, 1e-9 * doubt**2))


def share_of_measuring(plan: Plan, result: str) -> float:
    """How much of the doubt of a result comes from measuring at all: from readings and from gauges."""
    gauges = {gauge for gauge, _ in plan.job.shared.values()}
    ranked = plan.carried.largest_share(result, most=len(plan.carried.inputs))
    return math.fsum(share for name, share in ranked if name in plan.job.measured or name in gauges)


def doubt_table(plan: Plan, results: Mapping[str, str], most: int = 3) -> ShownTable:
    """For some results, the readings that put most doubt into them.

    Args:
        plan: the plan of the job.
        results: what to call each result, and its name in the plan.
        most: how many readings to name.

    >>> from course_lib.classroom.pieces.job_in_hand import demo_job
    >>> len(doubt_table(demo_job().plan(), {"weight": "earring_weight"}).rows)
    1
    """
    rows = []
    for called, result in results.items():
        top = doubt_shares(plan, result)[:most]
        rows.append((called, "; ".join(f"{label_of(key)}: {100 * share:.0f} %" for key, share in top)))
    return ShownTable(("result", "where its doubt comes from"), rows)
