"""Lesson 05: every cause is asked of some piece, and the lean of a plate is the one that its room allows."""

import math
import re

import pytest
from scipy.optimize import brentq

from course_lib.classroom.exercises.course import find_lesson
from course_lib.classroom.exercises.exercise import text_for
from course_lib.classroom.exercises.lesson_check import faults_of_lesson
from course_lib.classroom.pieces.job_in_hand import JobInHand, demo_job, demo_names
from course_lib.classroom.pieces.own_numbers import made_up_jobs
from course_lib.screen.stages.plate import STAGE

LESSON = find_lesson("05")
BLANK, _, DRILL, CLEARANCE, ORDER, _, WANDERED = LESSON.exercises
JOBS = [demo_job(name) for name in demo_names()] + made_up_jobs(60)


def test_no_slip_falls_on_another_on_any_piece() -> None:
    assert [fault for job in JOBS for fault in faults_of_lesson(LESSON, job)] == []


def test_every_cause_is_asked_of_some_piece() -> None:
    assert {WANDERED.expected(job) for job in JOBS} == set(WANDERED.choices(JOBS[0]))


def test_every_step_is_asked_somewhere_and_the_letters_are_never_in_order() -> None:
    orders = [ORDER.written(ORDER.expected(job), job).split() for job in JOBS]
    asked = {step for job in JOBS for step in ORDER.expected(job)}
    assert asked == {"bar", "clean", "template", "punch", "drill", "saw", "file", "warm"}
    assert all(order != sorted(order) for order in orders)
    assert len({tuple(order) for order in orders}) > 4


@pytest.mark.parametrize("demo", demo_names())
def test_the_lean_is_the_one_that_the_room_allows(demo: str) -> None:
    """A leaning hole leaves, upright, its width times the cosine less the thickness times the sine."""
    job = demo_job(demo)
    told = re.search(r"by about (\d+)°", text_for(CLEARANCE.well_done, job))
    assert told
    room = CLEARANCE.expected(job) / 1000
    thick = job.readings["plate_thickness"].value
    post = job.readings["post_wire"].value

    def left(degrees: float) -> float:
        lean = math.radians(degrees)
        return (post + room) * math.cos(lean) - thick * math.sin(lean) - post

    # told in whole degrees
    assert int(told[1]) == pytest.approx(brentq(left, 0, 45), abs=0.6)


@pytest.mark.parametrize("job", JOBS[:12], ids=lambda job: job.title)
def test_the_panel_opens_with_the_sizes_of_the_plan(job: JobInHand) -> None:
    stage = STAGE(job.plan())
    rows = dict(stage.see(stage.pattern_values()).rows)
    assert rows["file to"] == f"ø {job.plan().plain('plate_diameter_before_sanding'):.2f} mm"
    assert rows["finished"] == f"ø {job.readings['plate_diameter'].value:.2f} mm"


@pytest.mark.parametrize("job", JOBS[:12], ids=lambda job: job.title)
def test_no_figure_tells_the_circle_the_drill_or_the_room(job: JobInHand) -> None:
    answers = [BLANK.expected(job), DRILL.expected(job), CLEARANCE.expected(job) / 1000]
    for figure in STAGE(job.plan()).figures().values():
        shown = figure()
        lettered = [mark.looks[0] for mark in shown.sheet.marks() if mark.kind == "lettering"]
        told = {float(each) for each in re.findall(r"\d+\.\d+", " ".join([*lettered, shown.words]))}
        assert not [each for each in answers if round(each, 2) in told]
