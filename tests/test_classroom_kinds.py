"""Tables to fill, symptoms, figures to read, open tasks: judged kindly, whatever comes."""

import math
from dataclasses import replace
from typing import Any

import ipywidgets
import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from markupsafe import escape

from course_lib.bench.refusals import Refused
from course_lib.classroom.exercises.course import find_lesson, lesson_numbers
from course_lib.classroom.exercises.exercise import Exercise, Lesson, Slip
from course_lib.classroom.exercises.filled_tables import Column, TableAsked
from course_lib.classroom.exercises.fineness import Step
from course_lib.classroom.exercises.judge import Found
from course_lib.classroom.exercises.lesson_check import faults_of, faults_of_lesson, words_hold_the_answer
from course_lib.classroom.exercises.lists import ChoiceAsked, OrderAsked, SymptomAsked
from course_lib.classroom.exercises.open_tasks import OpenTask
from course_lib.classroom.exercises.sizes import FigureRead
from course_lib.classroom.exercises.verdicts import Verdict
from course_lib.classroom.making.lesson_list import listed
from course_lib.classroom.page.answer_box import AnswerBox, Ticks
from course_lib.classroom.page.asking import OpenLesson
from course_lib.classroom.page.record import tries_in
from course_lib.classroom.pieces.job_in_hand import demo_job, demo_names
from course_lib.classroom.pieces.own_numbers import made_up_jobs

JOB = demo_job()


class Hostile:
    """A stranger's object: whatever is asked of it, it raises."""

    def __getattr__(self, name: str) -> Any:
        raise RuntimeError(name)

    def __str__(self) -> str:
        raise RuntimeError("no words")

    __repr__ = __float__ = __iter__ = __len__ = __str__  # type: ignore[assignment]


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
        "12,no\n22.5,yes\n31,no",
        "12, no\n22,5, yes\n31,0, no",
        "12  no\n22,5  yes\n31  no",
        "1; 12; no\n2.; 22.5; yes\n3; 31; no",
        "Pass 1  12  no\nPass 2  22.5  yes\nPass 3  31  no",
        "| taken (%) | anneal |\n|---|---|\n| 12 | no |\n| 22.5 | yes |\n| 31 | no |",
        "taken\tanneal\r\n12\tno\r\n22,5\tyes\r\n31\tno\r\n",
        "12 n\n22.5 y\n31 NO",
        "pass 1; 12; no\npass 2; 22.5; yes\npass 3; 31; no",
        "taken; anneal\n12; no\n22.5; yes\n31; no",
        "\n 12 ; no \n\n 22.4 ; yes\n 31.2 ; no \n",
        RIGHT,
        [(12, "no"), (22.5, "yes"), (31, "no")],
        pd.DataFrame(RIGHT),
        np.array(RIGHT, dtype=object),
    ],
)
def test_a_table_is_read_however_it_is_written(answer: Any) -> None:
    assert TABLE.judged(answer, JOB).found is Found.RIGHT
    assert TABLE.judged(TABLE.kept(answer, JOB), JOB).found is Found.RIGHT


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        ("", "0 rows"), ("12; no", "1 row came, and 3 are asked"),
        ("12; no\n22; yes\nthick; no", "pass 3, taken"),
        ("12; no\n22; perhaps\n31; no", "pass 2, anneal"), ("12\n22\n31", "pass 1: 1 cell came"),
        (None, "no table"), (7, "no table"), ("12 mm; no\n22; yes\n31; no", "pass 1, taken"),
        ([[1], [2], [3]], "pass 1: 1 cell came"),
        ([[math.nan, "no"]] * 3, "pass 1"), ("9" * 9000, "1 row came"),
        ([["=1+1", "no"]] * 3, "pass 1, taken"),
        ("1e999; no\n2; no\n3; no", "pass 1"),
        ("12; no\n22;\n31; no", "pass 2, anneal: nothing stands there"),
        ("12 mm; no\n22; yes\n31; no", "is a length; here a share is asked, in %"),
        ("12°; no\n22; yes\n31; no", "is an angle; here a share is asked"),
        ("12; no; 3\n22; yes; 3\n31; no; 3", "3 cells came"),
        ("1,2,3,4\n" * 3, "came. Write taken (%); anneal"),
        ("1,2,3\n1,2,3\n1,2,3", "pass 1"),
        ({"pass 1": 12}, "no table"), ("\ud800; no\n1; no\n2; no", "pass 1"),
        ([[10**400, "no"]] * 3, "pass 1"), ([[True, "no"]] * 3, "pass 1"), (object, "no table"),
    ],
)  # fmt: skip
def test_what_is_no_such_table_is_told_and_never_raises(answer: Any, said: str) -> None:
    verdict = TABLE.judged(answer, JOB)
    assert verdict.found is Found.UNREADABLE and said in verdict.says
    assert isinstance(TABLE.kept(answer, JOB), str)


def test_the_first_wrong_cell_is_named_and_slips_speak_before_it() -> None:
    verdict = TABLE.judged("12; no\n25; yes\n31; no", JOB)
    assert verdict.found is Found.WRONG and verdict.says.startswith("pass 2, taken: too large.")
    assert "anneal" in TABLE.judged("12; no\n22.5; no\n31; no", JOB).says
    assert TABLE.judged("6; no\n11.25; yes\n15.5; no", JOB).slip == "halved"
    assert TABLE.judged("24; no\n45; yes\n62; no", JOB).says == "You doubled it."


def test_a_strangers_object_is_no_answer_and_raises_nothing(tmp_path: Any) -> None:
    for number in ("00", "04", "08", "09", "12"):
        opened = OpenLesson(find_lesson(number), JOB, tmp_path / "answers.jsonl")
        for exercise in opened.lesson.exercises:
            for answer in (Hostile(), [Hostile()], [[Hostile(), 1]] * 3, (Hostile(),) * 2, {}, set(), object):
                assert not opened.judge(exercise, answer).is_right, exercise.name
                opened.ask(exercise.name, answer)


@pytest.mark.parametrize(("row", "at"), [(0, 0), (1, 0), (2, 0)])
def test_a_single_cell_that_a_slip_fills_is_told_as_that_slip(row: int, at: int) -> None:
    given = [list(cells) for cells in RIGHT]
    given[row][at] = RIGHT[row][at] / 2  # type: ignore[operator]
    verdict = TABLE.judged(given, JOB)
    assert (verdict.found, verdict.slip) == (Found.WRONG, "halved")
    assert verdict.says.startswith(f"pass {row + 1}, taken: You halved it.")
    assert verdict.says.endswith("What stands before it is right.") == (row > 0)


COUNTED = replace(
    TABLE, counted="passes",
    slips=(*TABLE.slips, Slip("anneal forgotten", lambda job: [*RIGHT[:2]], "You left the last pass out.")),
)  # fmt: skip


@pytest.mark.parametrize(
    ("answer", "found", "said"),
    [
        ("12; no\n22.5; yes\n31; no", Found.RIGHT, "Right."),
        ("taken; anneal\n12; no\n22.5; yes\n31; no", Found.RIGHT, "Right."),
        ("pass 1; 12; no\npass 2; 22.5; yes\npass 3; 31; no", Found.RIGHT, "Right."),
        ("12; no\n22.5; yes", Found.SLIP, "You left the last pass out."),
        ("12; no", Found.WRONG, "1 passes: that is fewer than it takes."),
        ("12; no\n22.5; yes\n31; no\n40; no", Found.WRONG, "4 passes: that is more than it takes."),
        ("taken; anneal", Found.UNREADABLE, "one line for each of the passes"),
    ],
)
def test_where_rows_are_to_be_counted_their_number_is_judged_too(
    answer: str, found: Found, said: str
) -> None:
    verdict = COUNTED.judged(answer, JOB)
    assert verdict.found is found and said in verdict.says
    assert "pass 3" not in COUNTED.form(JOB), "the form must not tell how many there are"


def test_a_table_shows_a_pattern_row_in_the_right_form() -> None:
    assert TABLE.form(JOB).endswith("In each line: taken (%); anneal; like this: 12; yes")
    assert TABLE.prompt(JOB).splitlines()[0] == "for example 12; yes"


@given(
    st.lists(
        st.lists(st.one_of(st.floats(), st.text(max_size=9), st.none(), st.integers()), max_size=4),
        max_size=5,
    )
)
def test_no_list_of_lists_raises(rows: list[list[Any]]) -> None:
    assert isinstance(TABLE.judged(rows, JOB), Verdict)
    assert TABLE.judged(TABLE.kept(rows, JOB), JOB).is_right == TABLE.judged(rows, JOB).is_right


@given(st.text(alphabet="0123456789.,;|\t\n -%ynoes", max_size=60))
def test_no_text_raises(text: str) -> None:
    verdict = TABLE.judged(text, JOB)
    assert verdict.says
    assert TABLE.judged(TABLE.kept(text, JOB), JOB) == verdict


# --- open tasks ---


@pytest.mark.parametrize(
    ("answer", "done", "left"),
    [
        ("a", False, ["second"]), ("b a", True, []), ("ab", True, []), ("a, b", True, []),
        (["a", "b"], True, []),
        ("a b: it took a whole day, and the ring opened", True, []), ("", False, ["first", "second"]),
        (": a b, but not yet", False, ["first", "second"]), ("a: b", False, ["second"]),
        ("about to begin", False, ["first", "second"]), (7, False, ["first", "second"]),
    ],
)  # fmt: skip
def test_an_open_task_is_done_when_all_is_ticked(answer: Any, done: bool, left: list[str]) -> None:
    verdict = OPEN.judged(answer, JOB)
    assert verdict.found is (Found.RIGHT if done else Found.OPEN)
    assert verdict.is_right is done
    assert [line[2:] for line in verdict.says.splitlines() if line.startswith("- ")] == left
    assert "wrong" not in verdict.says.lower()


def test_a_learners_words_are_kept_in_all_their_length() -> None:
    words = "a b: " + "I filed too far and began again. " * 20
    assert OPEN.kept(words, JOB) == words.strip()
    assert OPEN.judged(OPEN.kept(words, JOB), JOB).is_right


def lesson_of(exercise: Exercise) -> Lesson:
    return Lesson(
        number="99", title="x", minutes=1, objectives={"x": "x"}, exercises=(exercise,), stage="basket"
    )


def box_for(exercise: Exercise, tmp_path: Any) -> AnswerBox:
    opened = OpenLesson(lesson_of(exercise), JOB, tmp_path / "answers.jsonl")
    return AnswerBox(opened, exercise, opened.judge(exercise, None))


def test_a_table_has_a_field_of_many_lines(tmp_path: Any) -> None:
    box = box_for(TABLE, tmp_path)
    assert isinstance(box.entry, ipywidgets.Textarea)
    box.entry.value = "12; no\n22.5; yes\n31; no"
    box.give.click()
    assert "Right." in box.verdict.value


def test_an_open_task_has_boxes_to_tick_and_goes_on_where_it_was_left(tmp_path: Any) -> None:
    box = box_for(OPEN, tmp_path)
    assert isinstance(box.entry, Ticks)
    first, second, words = box.entry.children
    assert (first.description, second.description) == ("a)  first", "b)  second")
    assert "a)  first" not in box.view.children[0].value, "a list beside boxes to tick would be said twice"
    first.value, words.value = True, "began: on Monday"
    box.give.click()
    assert "Still to do:" in box.verdict.value and "second" in box.verdict.value
    # days later, with a new kernel
    again = box_for(OPEN, tmp_path)
    first, second, words = again.entry.children
    assert (first.value, second.value, words.value) == (True, False, "began: on Monday")
    assert "Ticked so far: a. You wrote: began: on Monday" in again.verdict.value
    second.value = True
    again.give.click()
    assert "Done." in again.verdict.value
    assert "You have ticked all of it before." in box_for(OPEN, tmp_path).verdict.value
    assert [one.answer for one in tries_in(tmp_path / "answers.jsonl")] == [
        "a: began: on Monday", "a b: began: on Monday",
    ]  # fmt: skip


def test_a_job_that_a_question_cannot_be_asked_of_still_shows_its_box(tmp_path: Any) -> None:
    def refuse(job: Any) -> Any:
        raise Refused("its strip needs fewer than two passes.")

    for exercise in (
        replace(TABLE, rows=refuse),
        replace(OPEN, points=(refuse, refuse)),
        ChoiceAsked(
            name="x", title="x", task="?", choices=refuse, expected=refuse, slips=(), clue="?", working="?",
            basis="common practice", source="", objective="x",
        ),
    ):  # fmt: skip
        box = box_for(exercise, tmp_path)
        assert "This cannot be asked of your job" in box.view.children[0].value
        assert box.entry.disabled
        assert "cannot be asked" in repr(
            OpenLesson(lesson_of(exercise), JOB, tmp_path / "a").ask(exercise.name)
        )


TO_READ = [
    (number, exercise)
    for number in lesson_numbers()
    for exercise in find_lesson(number).exercises
    if isinstance(exercise, FigureRead)
]


@pytest.mark.parametrize(("number", "exercise"), TO_READ, ids=lambda each: getattr(each, "name", each))
def test_figures_to_read_are_shown_and_do_not_give_the_answer_away(
    number: str, exercise: FigureRead, tmp_path: Any
) -> None:
    lesson = find_lesson(number)
    jobs = [demo_job(name) for name in demo_names()] + made_up_jobs(6)
    assert sum(words_hold_the_answer(lesson, exercise, job) for job in jobs) <= len(jobs) / 3
    for job in jobs[:3]:
        opened = OpenLesson(lesson, job, tmp_path / "answers.jsonl")
        words = opened.figure(exercise.figure).words
        assert words in repr(opened.ask(exercise.name)), "who cannot see the figure is told of it"
        shown = AnswerBox(opened, exercise, opened.judge(exercise, None)).view.children[0].value
        assert f'<img alt="{escape(words)}"' in shown


def test_what_gives_an_answer_away_would_be_found() -> None:
    lesson, exercise = find_lesson("09"), find_lesson("09").exercise("ladder")
    told = replace(exercise, figure="panel")  # whose words name each temperature
    jobs = [demo_job(name) for name in demo_names()]
    assert all(words_hold_the_answer(lesson, told, job) for job in jobs)  # type: ignore[arg-type]


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


# --- what a teacher is told of an exercise that is not sound ---

CAUSES = SymptomAsked(
    name="why", title="Why", task="It rattles.", choices=lambda job: {"a": "loose", "b": "bent", "c": "cold"},
    expected=lambda job: "a",
    slips=(Slip("bent", lambda job: "b", "Then it would not turn."), Slip("c", lambda job: "c", "No.")),
    clue="Shake it.", working="1. Listen", basis="common practice", source="", objective="x",
)  # fmt: skip
IN_ORDER = OrderAsked(
    name="order", title="Order", task="Order them.", items=lambda job: {"x": "one", "y": "two", "z": "three"},
    first="the first", expected=lambda job: ["x", "y", "z"],
    slips=(Slip("back", lambda job: ["z", "y", "x"], "No."), Slip("odd", lambda job: ["y", "x", "z"], "No.")),
    clue="Begin.", working="1. So", basis="common practice", source="", objective="x",
)  # fmt: skip


def with_slip(slip: Slip) -> TableAsked:
    return replace(TABLE, slips=(*TABLE.slips, slip))


@pytest.mark.parametrize("exercise", [TABLE, COUNTED, OPEN, CAUSES, IN_ORDER], ids=lambda each: each.name)
def test_a_sound_exercise_has_no_faults(exercise: Exercise) -> None:
    assert faults_of(exercise, JOB) == []


@pytest.mark.parametrize(
    ("exercise", "fault"),
    [
        (replace(TABLE, rows=lambda job: ["one", "two"]), "it expects 3 rows and names 2"),
        (replace(TABLE, expected=lambda job: [[12.0], [22.5], [31.0]]), "do not fill its 2 columns"),
        (with_slip(Slip("short", lambda job: RIGHT[:2], "Short.")), "another number of rows"),
        (with_slip(Slip("same", lambda job: RIGHT, "Same.")), "leads to the right answer"),
        (with_slip(replace(TABLE.slips[0], name="twin")), "cannot be told apart"),
        (replace(TABLE, slips=TABLE.slips[:1]), "2 is the least"),
        (replace(CAUSES, slips=CAUSES.slips[:1]), "nothing says why the cause 'c' does not fit"),
        (replace(CAUSES, expected=lambda job: "d"), "'d' is none of its choices"),
        (replace(CAUSES, choices=lambda job: dict.fromkeys("abc", "loose")), "read the same"),
        (replace(IN_ORDER, expected=lambda job: ["x", "y"]), "does not hold each item once"),
        (replace(OPEN, points=("only one",)), "2 to 8 points"),
        (replace(OPEN, clue=" "), "it has no clue"),
    ],
)  # fmt: skip
def test_what_is_not_sound_is_told(exercise: Exercise, fault: str) -> None:
    assert any(fault in each for each in faults_of(exercise, JOB)), faults_of(exercise, JOB)


def test_a_figure_that_no_stage_draws_is_told() -> None:
    reading = replace(find_lesson("09").exercise("ladder"), figure="stairs")  # type: ignore[call-arg]
    for stage in ("solder", ""):
        lesson = replace(find_lesson("09"), exercises=(reading,), stage=stage)
        assert any(
            f"the stage {stage!r} has no figure 'stairs'" in each for each in faults_of_lesson(lesson, JOB)
        )
