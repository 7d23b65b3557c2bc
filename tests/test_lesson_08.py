"""Lesson 08: a seat that is asked another way of another piece, and a panel that opens as planned."""

import re

import pytest

from course_lib.classroom.exercises.course import find_lesson
from course_lib.classroom.exercises.exercise import task_text, text_for
from course_lib.classroom.exercises.lesson_check import faults_of_lesson
from course_lib.classroom.exercises.sizes import SizeAsked
from course_lib.classroom.pieces.job_in_hand import JobInHand, demo_job, demo_names
from course_lib.classroom.pieces.own_numbers import made_up_jobs
from course_lib.screen.stages.basket import STAGE

LESSON = find_lesson("08")
GROOVES, DEPTH, FLARE, STAPLE, ROCKS = (
    LESSON.exercise(name) for name in ("grooves", "depth", "flare", "staple", "rocks")
)
JOBS = [demo_job(name) for name in demo_names()] + made_up_jobs(60)


def test_no_slip_falls_on_another_on_any_piece() -> None:
    assert [fault for job in JOBS for fault in faults_of_lesson(LESSON, job)] == []


def test_every_cause_is_asked_of_some_piece() -> None:
    assert {ROCKS.expected(job) for job in JOBS} == set(ROCKS.choices(JOBS[0]))


@pytest.mark.parametrize("job", JOBS[:12], ids=lambda job: job.title)
def test_the_clue_and_the_signs_do_not_name_the_cause(job: JobInHand) -> None:
    cause = ROCKS.choices(job)[ROCKS.expected(job)]
    assert cause not in text_for(ROCKS.clue, job)
    assert cause not in task_text(ROCKS, job, listed=False)


@pytest.mark.parametrize("job", JOBS[:12], ids=lambda job: job.title)
def test_the_panel_opens_with_the_sizes_of_the_plan(job: JobInHand) -> None:
    stage, plan = STAGE(job.plan()), job.plan()
    at = stage.pattern_values()
    read = {"stone": "stone_diameter", "claw": "claw_wire", "ring_inside": "ring_inside"}
    assert {key: at[key] for key in read} == {key: job.readings[name].value for key, name in read.items()}
    rows = dict(stage.see(at).rows)
    assert rows["flare of the claws"] == f"{plan.plain('flare'):.1f}°"
    assert rows["groove to groove"] == f"{plan.plain('groove_spacing'):.2f} mm"
    assert rows["staple, girdle to girdle"] == f"{plan.plain('staple_length'):.2f} mm"
    assert rows["air under the culet"] == f"{plan.plain('culet_clearance'):.2f} mm"


@pytest.mark.parametrize("job", JOBS[:12], ids=lambda job: job.title)
@pytest.mark.parametrize(
    ("figure", "exercises"),
    [("grooves", (GROOVES, DEPTH)), ("lean", (FLARE,)), ("staple", (GROOVES, DEPTH, FLARE, STAPLE))],
)
def test_a_figure_does_not_tell_the_answer_that_follows(
    job: JobInHand, figure: str, exercises: tuple[SizeAsked, ...]
) -> None:
    shown = STAGE(job.plan()).figures()[figure]()
    lettered = [mark.looks[0] for mark in shown.sheet.marks() if mark.kind == "lettering"]
    told = {float(number) for text in (*lettered, shown.words) for number in re.findall(r"\d+\.\d+", text)}
    for exercise in exercises:
        answer = float(exercise.expected(job))
        assert not [number for number in told if abs(number - answer) <= 0.011], exercise.name


@pytest.mark.parametrize("job", JOBS, ids=lambda job: job.title)
def test_the_tries_do_what_the_page_says(job: JobInHand) -> None:
    stage = STAGE(job.plan())
    at = stage.pattern_values()
    groove = next(control for control in stage.controls() if control.key == "groove")
    assert groove.most > at["ring_wire"] / 2  # type: ignore[union-attr]
    warned = [remark.text for remark in stage.see(at | {"groove": groove.most}).warnings]  # type: ignore[union-attr]
    assert any("more than half of the ring" in text for text in warned)
    air, lean = ({key: _number(stage, at | {key: f * at[key]}, row) for key, f in TRIES} for row in ROWS)
    now = {row: _number(stage, at, row) for row in ROWS}
    assert air["girdle"] < now[ROWS[0]] and air["claw"] < now[ROWS[0]] and air["stone"] < now[ROWS[0]]
    assert (
        lean["girdle"] > now[ROWS[1]] and lean["stone"] > now[ROWS[1]] and lean["ring_inside"] < now[ROWS[1]]
    )


TRIES = (("girdle", 0.85), ("claw", 1.2), ("stone", 1.1), ("ring_inside", 1.15))
ROWS = ("air under the culet", "flare of the claws")


def _number(stage: STAGE, at: dict[str, float], row: str) -> float:
    return float(dict(stage.see(at).rows)[row].split(" ")[0].rstrip("°"))
