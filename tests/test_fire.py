"""What the card and the lessons say of heat, alloy by alloy: nothing of gold or silver for platinum."""

import csv
from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader

from course_lib.bench.job import Job
from course_lib.bench.plan import Plan
from course_lib.bench.steps import bench_steps
from course_lib.bench.tables import data_folder, rows_of
from course_lib.classroom.page.cautions import cautions

DEMO = data_folder() / "demo-four-claws.csv"
OF_GOLD = ("dull red", "flux", "pickle", "quench", "shade 3", "3 or 4", "tweezers", "flows at")
UNKNOWN = [row["alloy"] for row in rows_of("alloys") if row["metal"] not in ("gold", "silver")]
KNOWN = [row["alloy"] for row in rows_of("alloys") if row["metal"] in ("gold", "silver")]


def plan_in(alloy: str) -> Plan:
    return replace(Job.load(DEMO), alloy=alloy).plan()


def card_of(alloy: str, folder: Path) -> str:
    pages = PdfReader(plan_in(alloy).card(folder / "card.pdf")).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split()).lower()


def test_there_is_a_platinum() -> None:
    assert "950 platinum" in UNKNOWN and len(KNOWN) > 5


@pytest.mark.parametrize("alloy", UNKNOWN)
def test_a_card_in_platinum_says_nothing_that_is_said_of_gold(alloy: str, tmp_path: Path) -> None:
    text = card_of(alloy, tmp_path)
    assert not [said for said in OF_GOLD if said in text]
    assert "anneal as the maker of this alloy says: ask." in text
    assert "shade 5 to anneal, 7 or darker to solder, about 10 to melt" in text
    assert "ask a qualified person" in text
    assert text.count("ask the makers of alloy and solder") == 6


@pytest.mark.parametrize("alloy", UNKNOWN)
def test_no_step_in_platinum_gives_a_heat(alloy: str) -> None:
    steps = bench_steps(plan_in(alloy))
    assert not [step.text for step in steps if "°C" in step.text and "glue" not in step.text]
    hot = [step for step in steps if step.text.startswith("Heat, ") or "ANNEAL" in step.text]
    assert len(hot) > 6
    assert all("solder" not in step.cautions and "pickle" not in step.cautions for step in steps)
    assert all("platinum" in step.cautions for step in hot if step.text.startswith("Heat, "))
    first = next(at for at, step in enumerate(steps) if "platinum" in step.cautions)
    assert all("anneal" not in step.text.lower() for step in steps[:first])


@pytest.mark.parametrize("alloy", UNKNOWN)
def test_the_cut_list_in_platinum_gives_no_heat(alloy: str, tmp_path: Path) -> None:
    plan_in(alloy).card(tmp_path / "cuts.csv")
    with (tmp_path / "cuts.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = [row for row in csv.reader(file) if row[0] == "solder"]
    assert len(rows) == 6
    assert all(row[3:5] == ["", ""] and row[5].endswith("ask the makers") for row in rows)


def test_white_gold_is_annealed_as_its_maker_says(tmp_path: Path) -> None:
    text = card_of("750 palladium white", tmp_path)
    assert "dull red" not in text and "white golds differ" in text and "its maker says" in text
    assert "flux" in text and "shade 3 or 4" in text and "platinum glows" not in text


@pytest.mark.parametrize("alloy", [alloy for alloy in KNOWN if "palladium" not in alloy])
def test_gold_and_silver_keep_their_words(alloy: str, tmp_path: Path) -> None:
    text = card_of(alloy, tmp_path)
    assert all(said in text for said in ("dull red", "flux", "pickle", "shade 3 or 4", "flows at"))
    assert "platinum glows" not in text and "ask the makers" not in text


@pytest.mark.parametrize("step", ["solder", "anneal"])
def test_a_lesson_with_a_flame_warns_of_platinum(step: str) -> None:
    said = repr(cautions("saw", step))
    assert "7 or darker to solder" in said
    assert "7 or darker" not in repr(cautions("saw", "drill"))
