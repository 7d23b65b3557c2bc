"""The tables in data/: read once, each row with its basis and source."""

import csv
import functools
from collections.abc import Iterable, Mapping, Sequence
from difflib import get_close_matches
from pathlib import Path
from types import MappingProxyType
from typing import Any

from course_lib.bench.refusals import Refused

Row = Mapping[str, str]


def data_folder() -> Path:
    """Where the tables and the demo jobs lie: in the installed package, else beside it."""
    package = Path(__file__).resolve().parent.parent
    inside = package / "data"
    return inside if inside.is_dir() else package.parent / "data"


@functools.cache
def rows_of(table: str) -> tuple[Row, ...]:
    """The rows of a table in data/.

    >>> rows_of("elements")[0]["name"]
    'gold'
    """
    with (data_folder() / f"{table}.csv").open(encoding="utf-8", newline="") as file:
        return tuple(MappingProxyType(row) for row in csv.DictReader(file))


@functools.cache
def table_by(table: str, key: str) -> Mapping[str, Row]:
    """The rows of a table, found by the text in one column."""
    return MappingProxyType({row[key]: row for row in rows_of(table)})


@functools.cache
def _other_names(table: str, key: str) -> Mapping[str, str]:
    names = {row[key].lower(): row[key] for row in rows_of(table)}
    for row in rows_of(table):
        for other in (row.get("also_said") or "").split(";"):
            if other.strip():
                names.setdefault(other.strip().lower(), row[key])
    return names


def find(table: str, key: str, wanted: str, called: str) -> Row:
    """One row by name, in any of the names the trade gives it.

    Args:
        table: the table's name.
        key: the column that holds its own name.
        wanted: what the person wrote.
        called: what it is, for the message.

    Returns:
        The row.

    Raises:
        Refused: there is none; the message offers the nearest.

    >>> find("stones", "gem", "Sapphire", "a stone")["gem"]
    'corundum'
    """
    names = _other_names(table, key)
    tidy = " ".join(str(wanted).lower().split())
    if tidy in names:
        return table_by(table, key)[names[tidy]]
    near = get_close_matches(tidy, names, n=2, cutoff=0.4)
    offer = " or ".join(dict.fromkeys(names[n] for n in near)) or ", ".join(
        row[key] for row in rows_of(table)
    )
    raise Refused(f"{wanted!r} is not {called} known here. Nearest: {offer}.")


@functools.cache
def numbers_of(table: str, column: str) -> tuple[float, ...]:
    """A whole column as numbers, in the order of the table.

    >>> numbers_of("drills", "diameter_mm")[:3]
    (0.2, 0.22, 0.25)
    """
    return tuple(float(row[column]) for row in rows_of(table))


@functools.cache
def practice(parameter: str) -> float:
    """The default of one of the trade's choices, from data/practice.csv.

    >>> practice("fold_share")
    0.75
    """
    return float(table_by("practice", "parameter")[parameter]["value"])


@functools.cache
def practice_names(parameter: str) -> tuple[str, ...]:
    """A choice that is made of names, such as the ladder of papers."""
    return tuple(table_by("practice", "parameter")[parameter]["value"].split())


def frame(columns: Sequence[str], rows: Iterable[Sequence[Any]]) -> Any:
    """A pandas table. pandas is loaded here, at first use, for it takes longer than the sums."""
    import pandas

    listed = list(rows)
    by_column = zip(*listed, strict=True) if listed else ([] for _ in columns)
    return pandas.DataFrame(dict(zip(columns, map(list, by_column), strict=True)), columns=list(columns))
