"""The published values themselves: every row says where it comes from, and none rests on a weak memory."""

import re
from pathlib import Path

import pytest

from tests.published_values import FOLDER, published

TABLES = sorted(path.stem for path in FOLDER.glob("*.csv"))


def test_there_are_tables() -> None:
    assert len(TABLES) >= 15


@pytest.mark.parametrize("table", TABLES)
def test_every_row_has_source_provenance_and_tolerance(table: str) -> None:
    for row in published(table):
        assert row["source"].strip() and row["provenance"].strip(), row
        assert float(row["tolerance"]) >= 0


@pytest.mark.parametrize("table", TABLES)
def test_no_row_rests_on_memory_below_nine_tenths(table: str) -> None:
    for row in published(table):
        for confidence in re.findall(r"memory \(?(?:conf )?(0\.\d+)", row["provenance"]):
            assert float(confidence) >= 0.9, row
        if "from memory" in row["provenance"]:
            assert re.search(r"from memory 0\.\d", row["provenance"]), row


def test_every_table_and_worked_example_is_asserted_somewhere() -> None:
    tests = "\n".join(path.read_text(encoding="utf-8") for path in Path(__file__).parent.glob("test_*.py"))
    for table in TABLES:
        assert table == "worked_examples" or f'"{table}"' in tests, f"no test reads {table}.csv"
    for row in published("worked_examples"):
        # families such as "1 arcmin at 300 mm" are asserted through a pattern
        stem = re.sub(r"^\d+ arc\w+ at \d+ mm$", "arc", row["check"])
        stem = re.sub(r"^loss in water a gram, .*$", "loss in water a gram", stem)
        stem = re.sub(r"^(minimum resolvable|brazing gap), .*$", r"\1", stem)
        assert stem in tests, f"no test asserts {row['check']!r}"
