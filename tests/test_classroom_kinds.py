"""Tables to fill, symptoms, figures to read, open tasks: judged kindly, whatever comes."""

import math
from typing import Any

import ipywidgets
import pandas as pd
import pytest

from course_lib.classroom.answer_box import AnswerBox, Ticks
from course_lib.classroom.asking import OpenLesson
from course_lib.classroom.exercise import Found, Lesson, Slip, find_lesson, lesson_numbers
from course_lib.classroom.filled_tables import Column, TableAsked
from course_lib.classroom.fineness import Step
from course_lib.classroom.job_in_hand import demo_job
from course_lib.classroom.lesson_list import listed
from course_lib.classroom.open_tasks import OpenTask

JOB = demo_job()
RIGHT = [[12.0, "no"], [22.5, "yes"], [31.0, "no"]]

TABLE = TableAsked(
    name="passes", title="Passes", task="Fill it.",
    columns=(Column("taken", "percent", Step(1)), Column("anneal", words=("yes", "no"))),
    rows=lambda job: ["pass 1", "pass 2", "pass 3"],
    expected=lambda job: RIGHT,
    slips=(
        Slip("halved", lambda job: [[a / 2, b] for a, b in RIGHT], "You halved it."),
        Slip("doubled", lambda job: [[a * 2, b] for a, b in RIGHT], "You doubled it."),
    ),
    clue="Look.", working="1. So", basis="common practice", source="", objective="x",
)  # fmt: skip

OPEN = OpenTask(
    name="do", title="Do it", task="Do it.", points=("first", "second"), slips=(), clue="Go.",
    working="1. Go",
    basis="common practice", source="", objective="x",
)  # fmt: skip


@pytest.mark.parametrize(
    "answer",
    [
        "12; no\n22.5; yes\n31; no",
        "12 %;no\n22,5 %;yes\n31 %;no",
        "12\tno\n22.5\tyes\n31\tno",
        "| 12 | no |\n| 22.5 | yes |\n| 31 | no |",
        "12, no\n22.5, yes\n31, no",
        "12 n\n22.5 y\n31 NO",
        "pass 1; 12; no\npass 2; 22.5; yes\npass 3; 31; no",
        "taken; anneal\n12; no\n22.5; yes\n31; no",
        "\n 12 ; no \n\n 22.4 ; yes\n 31.2 ; no \n",
        RIGHT,
        [(12, "no"), (22.5, "yes"), (31, "no")],
        pd.DataFrame(RIGHT),
    ],
)
def test_a_table_is_read_however_it_is_written(answer: Any) -> None:
    assert TABLE.judged(answer, JOB).found is Found.RIGHT
    assert TABLE.judged(TABLE.kept(answer, JOB), JOB).found is Found.RIGHT


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        ("", "0 rows"), ("12; no", "1 rows"), ("12; no\n22; yes\nthick; no", "pass 3, taken"),
        ("12; no\n22; perhaps\n31; no", "pass 2, anneal"), ("12\n22\n31", "pass 1: 1 cells"),
        (None, "no table"), (7, "no table"), ("12 mm; no\n22; yes\n31; no", "pass 1, taken"),
        ([[1], [2], [3]], "pass 1"),
        ([[math.nan, "no"]] * 3, "pass 1"), ("9" * 9000, "rows"), ([["=1+1", "no"]] * 3, "pass 1"),
        ("1e999; no\n2; no\n3; no", "pass 1"),
    ],
)  # fmt: skip
def test_what_is_no_such_table_is_told_and_never_raises(answer: Any, said: str) -> None:
    verdict = TABLE.judged(answer, JOB)
    assert verdict.found is Found.UNREADABLE and said in verdict.says


def test_the_first_wrong_cell_is_named_and_slips_speak_before_it() -> None:
    verdict = TABLE.judged("12; no\n25; yes\n31; no", JOB)
    assert verdict.found is Found.WRONG and verdict.says.startswith("pass 2, taken: too large.")
    assert "anneal" in TABLE.judged("12; no\n22.5; no\n31; no", JOB).says
    assert TABLE.judged("6; no\n11.25; yes\n15.5; no", JOB).slip == "halved"
    assert TABLE.judged("24; no\n45; yes\n62; no", JOB).says == "You doubled it."


def test_an_open_task_is_done_when_all_is_ticked() -> None:
    assert OPEN.judged("a", JOB).says == "Still to do: - second"
    done = OPEN.judged("b a", JOB)
    assert (done.found, done.says) == (Found.RIGHT, "Done.")
    assert OPEN.judged(OPEN.written("", JOB), JOB).is_right


def box_for(exercise: Any, tmp_path: Any) -> AnswerBox:
    lesson = Lesson(
        number="99", title="x", minutes=1, objectives={"x": "x"}, exercises=(exercise,), stage="basket"
    )
    opened = OpenLesson(lesson, JOB, tmp_path / "answers.jsonl")
    return AnswerBox(opened, exercise, opened.judge(exercise, None))


def test_a_table_has_a_field_of_many_lines(tmp_path: Any) -> None:
    box = box_for(TABLE, tmp_path)
    assert isinstance(box.entry, ipywidgets.Textarea)
    box.entry.value = "12; no\n22.5; yes\n31; no"
    box.give.click()
    assert "Right." in box.verdict.value


def test_an_open_task_has_boxes_to_tick(tmp_path: Any) -> None:
    box = box_for(OPEN, tmp_path)
    assert isinstance(box.entry, Ticks)
    for tick in box.entry.children:
        tick.value = True
    box.give.click()
    assert "Done." in box.verdict.value


@pytest.mark.parametrize("number", lesson_numbers())
def test_figures_to_read_are_shown_and_do_not_give_the_answer_away(number: str, tmp_path: Any) -> None:
    lesson = find_lesson(number)
    for exercise in lesson.exercises:
        if exercise.kind != "figure" or number == "09":
            continue
        opened = OpenLesson(lesson, JOB, tmp_path / "answers.jsonl")
        words = opened.figure(exercise.figure).words  # type: ignore[attr-defined]
        assert exercise.written(exercise.expected(JOB), JOB).split()[0] not in words
        shown = AnswerBox(opened, exercise, opened.judge(exercise, None)).view.children[0].value
        assert "<img alt=" in shown


def test_there_are_many_exercises_of_many_kinds() -> None:
    kinds: dict[str, int] = {}
    for number in lesson_numbers():
        for exercise in find_lesson(number).exercises:
            kinds[exercise.kind] = kinds.get(exercise.kind, 0) + 1
            if exercise.kind in ("size", "number", "figure", "table"):
                assert len(exercise.slips) >= 2, exercise.name
    assert sum(kinds.values()) >= 80
    assert set(kinds) >= {"size", "number", "choice", "order", "table", "figure", "symptom", "open"}
    assert kinds["open"] == 3
    assert f"{sum(kinds.values())} exercises" in listed()
