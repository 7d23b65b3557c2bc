"""The published values in tests/published, read for the tests: each row has its source and tolerance."""

import csv
from pathlib import Path

FOLDER = Path(__file__).parent / "published"


def published(table: str) -> list[dict[str, str]]:
    """All rows of a table, as text; an empty table is an error, for a test over it would prove nothing."""
    with (FOLDER / f"{table}.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert rows, f"tests/published/{table}.csv holds no rows"
    return rows


def worked_example(check: str) -> tuple[float, float]:
    """Value and tolerance of one row of worked_examples.csv."""
    (row,) = [r for r in published("worked_examples") if r["check"] == check]
    return float(row["value"]), float(row["tolerance"])
