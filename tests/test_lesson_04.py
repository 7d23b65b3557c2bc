"""Lesson 04: another question for another piece, and a panel that opens just as the plan rolls and draws."""

import math
import re

import pytest

from course_lib.classroom.exercises.course import find_lesson
from course_lib.classroom.exercises.exercise import text_for
from course_lib.classroom.exercises.lesson_check import faults_of_lesson
from course_lib.classroom.exercises.lessons.lesson_04 import bite, rows_shown
from course_lib.classroom.exercises.lists import SymptomAsked
from course_lib.classroom.pieces.job_in_hand import JobInHand, demo_job, demo_names
from course_lib.classroom.pieces.own_numbers import made_up_jobs
from course_lib.screen.sheet import Drawn
from course_lib.screen.stages.forming import STAGE

LESSON = find_lesson("04")
CURVE, DRAFT, FIRE, TABLE = (LESSON.exercise(name) for name in ("curve", "draft", "fire", "table"))
JOBS = [demo_job(name) for name in demo_names()] + made_up_jobs(60)


def test_no_slip_falls_on_another_on_any_piece() -> None:
    assert [fault for job in JOBS for fault in faults_of_lesson(LESSON, job)] == []


@pytest.mark.parametrize("exercise", [FIRE, CURVE], ids=lambda exercise: exercise.name)
def test_every_cause_is_asked_of_some_piece(exercise: SymptomAsked) -> None:
    asked = {exercise.expected(job) for job in JOBS}
    # that the strip is too hard is never why it curves
    assert asked == set(exercise.choices(JOBS[0])) - {"hard"}


@pytest.mark.parametrize("job", JOBS[:12], ids=lambda job: job.title)
def test_the_panel_opens_with_the_passes_of_the_plan(job: JobInHand) -> None:
    stage = STAGE(job.plan())
    for part, run in job.plan().runs.items():
        seen = stage.see(stage.pattern_values() | {"part": part})
        assert seen.made.passes == run
        assert dict(seen.rows)["starts at"] == f"{job.plan().starts[part]:.2f} mm"


@pytest.mark.parametrize("job", JOBS[:12], ids=lambda job: job.title)
def test_the_picture_of_the_passes_does_not_tell_the_table(job: JobInHand) -> None:
    figure = STAGE(job.plan()).figures()["passes"]()
    lettered = [mark.looks[0] for mark in figure.sheet.marks() if mark.kind == "lettering"]
    # sizes have two places; passes are counted; and no bar carries its per cent
    numbers = [text for text in lettered if re.fullmatch(r"\d+", text)]
    assert numbers == [f"{at}" for at in range(1, len(job.plan().runs["scroll"]) + 1)]
    for row in TABLE.expected(job):
        assert not re.search(rf"(?<![\d.]){row[1]:.1f}(?!\d)", figure.words)


@pytest.mark.parametrize("demo", demo_names())
def test_rolls_touch_the_sheet_as_far_as_a_circle_does(demo: str) -> None:
    """Half a chord of a circle at the height by which the pass thins one face, by Pythagoras."""
    job = demo_job(demo)
    start, first = job.plan().starts["scroll"], job.plan().runs["scroll"][0].size_mm
    radius, rise = 25.0, (start - first) / 2
    touch = math.sqrt(radius**2 - (radius - rise) ** 2)
    figure = STAGE(job.plan()).figures()["bite"]()
    heads = [mark for mark in figure.sheet.marks() if mark.kind == "area" and len(mark.points) == 3]
    scale = max(1, int(22 / start))
    assert _apart(heads[-2:]) == pytest.approx(touch * scale, rel=0.01)


def _apart(heads: list[Drawn]) -> float:
    return float(abs(heads[0].points[0][0] - heads[1].points[0][0]))


def test_a_pass_that_the_mill_does_not_bite_is_told() -> None:
    told = {True: "bites that", False: "slip on it"}
    seen = set()
    for job in JOBS:
        draft = job.plan().starts["scroll"] - job.plan().runs["scroll"][0].size_mm
        assert told[draft <= bite(job)] in text_for(DRAFT.well_done, job)
        seen.add(draft <= bite(job))
    assert True in seen


@pytest.mark.parametrize("job", JOBS[:12], ids=lambda job: job.title)
def test_after_its_anneal_the_strip_may_go_as_far_as_the_alloy_bears(job: JobInHand) -> None:
    said = text_for(TABLE.well_done, job)
    limit, soft, least = map(float, re.findall(r"(\d+(?:\.\d+)?) (?:%|mm)", said))
    assert least == pytest.approx(soft * (1 - limit / 100), abs=0.011)
    assert any(abs(before - soft) < 0.006 for before, _ in rows_shown(job))
