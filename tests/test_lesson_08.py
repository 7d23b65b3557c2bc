"""Lesson 08: a seat that is asked another way of another piece, and a panel that opens as planned."""

import pytest

from course_lib.classroom.exercise import task_text, text_for
from course_lib.classroom.job_in_hand import JobInHand, demo_job, demo_names
from course_lib.classroom.lesson_check import faults_of_lesson
from course_lib.classroom.lessons.lesson_08 import LESSON, ROCKS
from course_lib.classroom.own_numbers import made_up_jobs

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
