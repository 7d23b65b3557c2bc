"""What a learner meets in a notebook: questions, the answer box, cautions, the check of the set-up."""

import re
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from course_lib.bench.filing import add_line
from course_lib.bench.refusals import Refused
from course_lib.bench.tables import data_folder, rows_of
from course_lib.bench.units import mm
from course_lib.classroom.exercises.judge import Found
from course_lib.classroom.exercises.verdicts import Verdict
from course_lib.classroom.page import asking, set_up_check
from course_lib.classroom.page.answer_box import AnswerBox
from course_lib.classroom.page.asking import Asked, OpenLesson, open_lesson
from course_lib.classroom.page.cautions import cautions
from course_lib.classroom.page.progress import start_over
from course_lib.classroom.page.record import tries_in
from course_lib.classroom.page.set_up_check import check_set_up
from course_lib.classroom.pieces.job_in_hand import CannotGoOn, demo_job, demo_names, load_job
from course_lib.classroom.pieces.size_table import doubt_shares, doubt_table, sizes_of

JOB = demo_job()
RIGHT = JOB.size("stone", "diameter")
DEPTH = f"{JOB.size('stone', 'depth').m_as('mm'):.2f} mm"


@pytest.fixture
def lesson(tmp_path: Path) -> OpenLesson:
    return open_lesson("00", JOB, tmp_path / "my-answers" / "answers.jsonl")


def box_for(lesson: OpenLesson, name: str) -> AnswerBox:
    exercise = lesson.lesson.exercise(name)
    return AnswerBox(lesson, exercise, lesson.judge(exercise, None))


def press_enter(box: AnswerBox, text: str) -> None:
    """As a browser sends it: the key first, then the text."""
    box.entry._handle_custom_msg({"event": "submit"}, [])
    box.entry.value = text


# --- asking ---


def test_an_exercise_that_is_not_answered_says_so_and_shows_its_task(lesson: OpenLesson) -> None:
    for exercise in lesson.lesson.exercises:
        words = repr(lesson.ask(exercise.name))
        assert words.startswith(f"{exercise.title}: Not answered yet.")
        assert len(words.splitlines()) > 2
    assert tries_in(lesson.record) == []


def test_a_right_answer_is_short_and_a_wrong_one_repeats_the_task(lesson: OpenLesson) -> None:
    assert len(repr(lesson.ask("stone", RIGHT)).splitlines()) == 1
    wrong = repr(lesson.ask("stone", DEPTH))
    assert "the depth of the stone" in wrong and "How wide" in wrong


def test_every_try_is_kept_with_all_that_a_teacher_needs(lesson: OpenLesson) -> None:
    lesson.ask("stone", DEPTH)
    lesson.ask("stone", RIGHT)
    first, second = tries_in(lesson.record)
    assert (first.lesson, first.exercise, first.answer) == ("00", "stone", DEPTH)
    assert (first.verdict, first.slip) == ("slip", "depth for diameter")
    assert (second.verdict, second.slip) == ("right", "")
    assert (second.job, second.digest) == (JOB.title, JOB.digest)
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\+00:00", second.time)


def test_running_a_cell_again_is_no_new_try(lesson: OpenLesson) -> None:
    for _ in range(3):
        lesson.ask("stone", RIGHT)
    assert len(tries_in(lesson.record)) == 1
    again = open_lesson("00", JOB, lesson.record)
    again.ask("stone", RIGHT)
    assert len(tries_in(lesson.record)) == 1


def test_what_was_right_is_remembered_when_the_notebook_is_opened_again(lesson: OpenLesson) -> None:
    lesson.ask("stone", RIGHT)
    again = open_lesson("00", JOB, lesson.record)
    assert "right before, with" in repr(again.ask("stone"))
    assert "1 of 6" in repr(again.standing())


def test_another_job_begins_afresh(lesson: OpenLesson) -> None:
    lesson.ask("stone", RIGHT)
    other = open_lesson("00", demo_job("six claws"), lesson.record)
    assert "Not answered yet" in repr(other.ask("stone"))


def test_another_lesson_in_the_same_record_is_left_alone(lesson: OpenLesson) -> None:
    lesson.ask("stone", RIGHT)
    assert "0 of 7" in repr(open_lesson("01", JOB, lesson.record).standing())


def test_a_wrong_name_is_answered_with_the_nearest(lesson: OpenLesson) -> None:
    assert repr(lesson.ask("stoen", "1 mm")) == "Lesson 00 has no exercise 'stoen'. Write 'stone'."


def test_an_answer_that_cannot_be_kept_is_judged_all_the_same(tmp_path: Path) -> None:
    in_the_way = tmp_path / "my-answers"
    in_the_way.write_text("a file where the folder should be")
    lesson = open_lesson("00", JOB, in_the_way / "answers.jsonl")
    words = repr(lesson.ask("stone", RIGHT))
    assert "Right." in words and "cannot be written to" in words
    assert "1 of 6" in repr(lesson.standing())


def test_a_question_that_the_job_does_not_allow_is_told(lesson: OpenLesson, monkeypatch: Any) -> None:
    exercise = lesson.lesson.exercise("stone")

    def refuse(answer: Any, job: Any) -> Verdict:
        raise Refused("'stone, diameter' is not measured in this job.")

    monkeypatch.setitem(exercise.__dict__, "judged", refuse)
    verdict = lesson.judge(exercise, RIGHT)
    assert verdict.found is Found.NOT_FOR_THIS_JOB
    assert verdict.says.endswith("is not measured in this job.")


def test_standing_names_what_is_open(lesson: OpenLesson) -> None:
    words = repr(lesson.standing())
    assert words.startswith("Lesson 00: 0 of 6 exercises are right.")
    assert all(exercise.title in words for exercise in lesson.lesson.exercises)


def test_the_check_of_a_solution_fails_unless_all_is_right(lesson: OpenLesson) -> None:
    lesson.ask("stone", DEPTH)
    with pytest.raises(AssertionError, match="stone: This is the depth"):
        lesson.expect_all_right()
    for exercise in lesson.lesson.exercises:
        lesson.ask(exercise.name, exercise.written(exercise.expected(JOB), JOB))
    assert repr(lesson.expect_all_right()) == "All 6 answers of lesson 00 are right."


def test_what_was_right_before_is_not_enough_for_a_solution(lesson: OpenLesson) -> None:
    for exercise in lesson.lesson.exercises:
        lesson.ask(exercise.name, exercise.written(exercise.expected(JOB), JOB))
    again = open_lesson("00", JOB, lesson.record)
    with pytest.raises(AssertionError, match="not asked"):
        again.expect_all_right()


def test_a_lesson_needs_a_number_and_a_job(tmp_path: Path) -> None:
    with pytest.raises(CannotGoOn, match="There is no lesson 'ninety'"):
        open_lesson("ninety", JOB)
    with pytest.raises(CannotGoOn, match=r"job = demo_job\(\)"):
        open_lesson("00", "my-earring.csv")  # type: ignore[arg-type]


def test_a_sheet_that_cannot_be_used_shows_its_sentence_and_no_code(tmp_path: Path) -> None:
    sheet = tmp_path / "my-earring.csv"
    sheet.write_text("part,size,unit,instrument,readings\nstone,diametre,mm,caliper,5.0\n")
    with pytest.raises(CannotGoOn) as refusal:
        load_job(sheet)
    assert refusal.value._render_traceback_() == [str(refusal.value)]
    assert "Row 2, column 'size'" in str(refusal.value)
    with pytest.raises(CannotGoOn, match="no demo job 'two claws'"):
        demo_job("two claws")


def test_every_demo_is_there() -> None:
    assert len(demo_names()) == len(list(data_folder().glob("demo-*.csv"))) >= 3
    assert len({demo_job(name).digest for name in demo_names()}) == len(demo_names())


# --- words beside the box ---


def test_without_a_notebook_all_is_said_in_words(lesson: OpenLesson) -> None:
    assert set(lesson.ask("stone")._repr_mimebundle_()) == {"text/plain"}


def test_in_a_notebook_there_is_a_box_and_a_short_text(lesson: OpenLesson, monkeypatch: Any) -> None:
    monkeypatch.setattr(asking, "_in_notebook", lambda: True)
    bundle = lesson.ask("stone", RIGHT)._repr_mimebundle_()
    assert bundle["text/plain"] == "Read one size: Right."
    assert "model_id" in bundle["application/vnd.jupyter.widget-view+json"]
    assert "Not answered yet" in lesson.ask("gauge")._repr_mimebundle_()["text/plain"]


def test_where_ipywidgets_is_missing_the_words_remain(lesson: OpenLesson, monkeypatch: Any) -> None:
    monkeypatch.setitem(sys.modules, "ipywidgets", None)
    assert set(lesson.ask("stone")._repr_mimebundle_()) == {"text/plain"}


def test_a_sentence_without_an_exercise_needs_no_box() -> None:
    assert Asked("Only words.")._repr_mimebundle_() == {"text/plain": "Only words."}


# --- the box ---


def test_the_box_judges_and_keeps_like_the_cell(lesson: OpenLesson) -> None:
    box = box_for(lesson, "stone")
    box.entry.value = DEPTH
    box.give.click()
    assert "the depth of the stone" in box.verdict.value
    box.entry.value = f"{RIGHT.m_as('mm'):.2f} mm"
    box.give.click()
    assert "Right." in box.verdict.value
    assert [one.verdict for one in tries_in(lesson.record)] == ["slip", "right"]


def test_the_enter_key_gives_the_answer_that_was_typed_last(lesson: OpenLesson) -> None:
    box = box_for(lesson, "stone")
    press_enter(box, DEPTH)
    assert "the depth of the stone" in box.verdict.value
    press_enter(box, f"{RIGHT.m_as('mm'):.2f} mm")
    assert "Right." in box.verdict.value
    assert len(tries_in(lesson.record)) == 2


def test_leaving_the_field_is_no_answer_but_enter_afterwards_is(lesson: OpenLesson) -> None:
    box = box_for(lesson, "stone")
    box.entry.value = DEPTH
    assert "Not answered yet" in box.verdict.value
    assert tries_in(lesson.record) == []
    box.entry._handle_custom_msg({"event": "submit"}, [])
    assert "the depth of the stone" in box.verdict.value


def test_an_empty_box_is_not_answered(lesson: OpenLesson) -> None:
    box = box_for(lesson, "stone")
    box.give.click()
    assert "Not answered yet" in box.verdict.value
    assert tries_in(lesson.record) == []


def test_help_opens_a_step_at_a_time(lesson: OpenLesson) -> None:
    box = box_for(lesson, "reach")
    clue, working, source = box.steps
    assert [step.disabled for step in box.steps] == [False, True, True]
    clue.click()
    assert [step.disabled for step in box.steps] == [True, False, True]
    assert "underside of the base wires" in box.help.value
    working.click()
    assert "Together:" in box.help.value
    source.click()
    assert "Common practice." in box.help.value
    assert box.help.value.count("<h5>") == 3


def test_the_record_says_how_much_help_lay_open(lesson: OpenLesson) -> None:
    box = box_for(lesson, "reach")
    for text, step in (("1 mm", 0), ("2 mm", 1), ("3 mm", 2)):
        box.entry.value = text
        box.give.click()
        box.steps[step].click()
    box.entry.value = "4 mm"
    box.give.click()
    assert [one.seen for one in tries_in(lesson.record)] == ["", "clue", "working", "source"]


def test_a_choice_is_made_from_a_list(lesson: OpenLesson) -> None:
    box = box_for(lesson, "first")
    assert [value for _, value in box.entry.options] == ["", "a", "b", "c", "d"]
    box.entry.value = "c"
    box.give.click()
    assert "Right." in box.verdict.value


def test_every_control_has_a_label_and_the_verdict_is_announced(lesson: OpenLesson) -> None:
    for exercise in lesson.lesson.exercises:
        box = box_for(lesson, exercise.name)
        assert all(control.description for control in (box.entry, box.give, *box.steps))
        assert 'role="status"' in box.verdict.value


def test_the_verdict_is_told_by_a_sign_and_words_not_by_colour_alone(lesson: OpenLesson) -> None:
    box = box_for(lesson, "stone")
    box.entry.value = DEPTH
    box.give.click()
    assert "→" in box.verdict.value
    box.entry.value = str(RIGHT)
    box.give.click()
    assert "✓" in box.verdict.value


def test_what_is_typed_cannot_write_into_the_page(lesson: OpenLesson) -> None:
    box = box_for(lesson, "stone")
    box.entry.value = "<img src=x onerror=alert(1)> 5 mm"
    box.give.click()
    assert "<img" not in box.verdict.value


def test_box_and_cell_share_one_record(lesson: OpenLesson) -> None:
    box = box_for(lesson, "stone")
    box.entry.value = "5.01 mm"
    box.give.click()
    lesson.ask("stone", "5.01 mm")
    assert len(tries_in(lesson.record)) == 1


def test_the_record_may_be_added_to_by_another_notebook_meanwhile(lesson: OpenLesson) -> None:
    lesson.ask("stone", DEPTH)
    add_line(lesson.record, '{"half": ')
    lesson.ask("stone", RIGHT)
    assert [one.verdict for one in tries_in(lesson.record)] == ["slip", "right"]


def test_two_notebooks_know_of_each_other(lesson: OpenLesson) -> None:
    other = open_lesson("00", JOB, lesson.record)
    box = box_for(other, "stone")
    lesson.ask("stone", RIGHT)
    assert "right before, with" in repr(other.ask("stone"))
    assert "1 of 6" in repr(other.standing())
    box.entry.value = DEPTH
    box.give.click()
    assert [one.verdict for one in tries_in(lesson.record)] == ["right", "slip"]
    assert "1 of 6" in repr(lesson.standing()), "what was right once stays right"


def test_a_cell_run_again_after_the_box_is_no_new_try(lesson: OpenLesson) -> None:
    """A wrong answer still stands in the cell, the right one was given in the box; then all is run again."""
    lesson.ask("stone", DEPTH)
    box = box_for(lesson, "stone")
    box.entry.value = f"{RIGHT.m_as('mm'):.2f} mm"
    box.give.click()
    for opened in (lesson, open_lesson("00", JOB, lesson.record)):
        opened.ask("stone", DEPTH)
        assert [one.verdict for one in tries_in(lesson.record)] == ["slip", "right"]
        assert "1 of 6" in repr(opened.standing())


def test_starting_over_reaches_the_notebooks_that_are_open(lesson: OpenLesson) -> None:
    lesson.ask("stone", RIGHT)
    start_over(lesson.record)
    assert "0 of 6" in repr(lesson.standing())
    assert "Not answered yet" in repr(lesson.ask("stone"))
    lesson.ask("stone", RIGHT)
    assert len(tries_in(lesson.record)) == 1, "the same answer is a new try in a new record"


def test_going_on_with_another_job_keeps_only_what_is_right_for_it(tmp_path: Path) -> None:
    opened = open_lesson("14", JOB, tmp_path / "answers.jsonl")
    for exercise in opened.lesson.exercises:
        opened.ask(exercise.name, exercise.written(exercise.expected(JOB), JOB))
    own = demo_job("six claws")
    opened.take(own)
    assert opened.open_ones() == ["staple", "roll"], "lengths of the demo are not lengths of one's own"
    staple = opened.lesson.exercise("staple")
    opened.ask("staple", staple.written(staple.expected(own), own))
    again = open_lesson("14", JOB, tmp_path / "answers.jsonl")
    again.take(own)
    assert again.open_ones() == ["roll"]


def test_what_was_ticked_stays_ticked_when_a_reading_is_put_right(tmp_path: Path) -> None:
    opened = open_lesson("14", JOB, tmp_path / "answers.jsonl")
    opened.ask("finished", "a b")
    moved = {**JOB.readings, "post_length": replace(JOB.readings["post_length"], value=10.0)}
    again = open_lesson("14", replace(JOB, readings=moved), tmp_path / "answers.jsonl")
    assert again.job.digest != JOB.digest
    assert "Ticked so far: a b." in repr(again.ask("finished"))
    assert "Not answered yet" in repr(
        open_lesson("14", demo_job("six claws"), tmp_path / "answers.jsonl").ask("finished")
    )


def test_a_job_that_cannot_be_planned_says_so_where_its_figure_should_stand(
    lesson: OpenLesson, monkeypatch: Any
) -> None:
    def refuse(job: Any) -> None:
        raise Refused("its claws would cross.")

    monkeypatch.setattr(type(JOB), "plan", refuse)
    opened = open_lesson("08", JOB, lesson.record)
    for shown in (opened.panel(), opened.figure("culet")):
        assert "cannot be shown for your job: its claws would cross." in repr(shown)
        assert "its claws would cross" in shown._repr_mimebundle_()["text/html"]


# --- cautions, tables, set-up ---


@pytest.mark.parametrize("step", [row["step"] for row in rows_of("cautions")])
def test_every_caution_can_be_shown(step: str) -> None:
    shown = cautions(step)
    assert shown.lines[-1][0] == "general"
    assert shown.lines[0][1] in repr(shown)
    assert "Caution" in shown._repr_html_() and 'role="note"' in shown._repr_html_()


def test_an_unknown_step_has_no_caution() -> None:
    with pytest.raises(Refused, match="Nearest"):
        cautions("soldering iron")


@pytest.mark.parametrize("demo", demo_names())
def test_the_table_shows_every_size_as_fine_as_it_is_known(demo: str) -> None:
    job = demo_job(demo)
    shown = sizes_of(job)
    assert len(shown.rows) == len([key for key in job.measured if not key.endswith("_start")])
    for *_, value, band in shown.rows:
        assert len(value.split()[0].split(".")[-1]) == len(band.split()[0].split(".")[-1])
        assert float(band.split()[0]) > 0
    assert shown._repr_html_().count("<tr>") == len(shown.rows) + 1


@pytest.mark.parametrize("demo", demo_names())
def test_shares_of_doubt_add_up_to_the_whole(demo: str) -> None:
    shares = doubt_shares(demo_job(demo).plan(), "earring_weight")
    assert sum(share for _, share in shares) == pytest.approx(1)
    assert shares == sorted(shares, key=lambda pair: -pair[1])
    assert "%" in doubt_table(demo_job(demo).plan(), {"grip": "grip_force"}).rows[0][1]


def test_the_set_up_is_in_order_where_the_tests_run(tmp_path: Path, monkeypatch: Any) -> None:
    monkeypatch.chdir(tmp_path)
    checked = check_set_up()
    assert checked.in_order, repr(checked)
    assert not list(tmp_path.rglob("*.txt"))
    assert "model_id" in checked._repr_mimebundle_()["application/vnd.jupyter.widget-view+json"]


def test_an_old_python_is_told_with_the_line_that_mends_it(monkeypatch: Any) -> None:
    monkeypatch.setattr(set_up_check, "OLDEST_PYTHON", (99, 0))
    assert re.search(r"NOT in order.*python3 -m course_lib", repr(check_set_up()).splitlines()[0])


def test_a_missing_package_is_told(monkeypatch: Any) -> None:
    monkeypatch.setattr(set_up_check, "NEEDED", ("no-such-package",))
    assert "no-such-package: NOT in order" in repr(check_set_up())


def test_a_folder_that_cannot_be_written_is_told(tmp_path: Path, monkeypatch: Any) -> None:
    (tmp_path / "my-answers").write_text("in the way")
    monkeypatch.chdir(tmp_path)
    checked = check_set_up()
    assert not checked.in_order
    assert "a folder of your own" in repr(checked)


def test_a_quantity_may_be_answered_as_number_times_unit(lesson: OpenLesson) -> None:
    assert "Right." in repr(lesson.ask("stone", round(RIGHT.m_as("mm"), 2) * mm))
