"""Lesson 07: joints and sizes asked another way of another piece, and a panel that opens as planned."""

import math
import re

import numpy as np
import pytest

from course_lib.bench.tables import find
from course_lib.classroom.exercises.course import find_lesson
from course_lib.classroom.exercises.exercise import task_text, text_for
from course_lib.classroom.exercises.lesson_check import faults_of_lesson
from course_lib.classroom.exercises.lists import ChoiceAsked
from course_lib.classroom.pieces.job_in_hand import JobInHand, demo_job, demo_names
from course_lib.classroom.pieces.own_numbers import made_up_jobs
from course_lib.screen.stages.ring import STAGE, _end, _peaked, _wedge_inside

LESSON = find_lesson("07")
SHRINK, SPRING, OPENED, SIZE = (LESSON.exercise(name) for name in ("shrink", "spring", "opened", "size"))
JOBS = [demo_job(name) for name in demo_names()] + made_up_jobs(60)


def test_no_slip_falls_on_another_on_any_piece() -> None:
    assert [fault for job in JOBS for fault in faults_of_lesson(LESSON, job)] == []


@pytest.mark.parametrize("exercise", [OPENED, SIZE], ids=lambda exercise: exercise.name)
def test_every_cause_is_asked_of_some_piece(exercise: ChoiceAsked) -> None:
    assert {exercise.expected(job) for job in JOBS} == set(exercise.choices(JOBS[0]))


@pytest.mark.parametrize("exercise", [OPENED, SIZE], ids=lambda exercise: exercise.name)
@pytest.mark.parametrize("job", JOBS[:12], ids=lambda job: job.title)
def test_the_clue_and_the_signs_do_not_name_the_answer(job: JobInHand, exercise: ChoiceAsked) -> None:
    answer = exercise.choices(job)[exercise.expected(job)]
    assert answer not in text_for(exercise.clue, job)
    assert answer not in task_text(exercise, job, listed=False)


def test_shrinking_and_spring_back_differ_from_piece_to_piece() -> None:
    assert len({round(SHRINK.expected(job), 4) for job in JOBS}) == 6
    assert len({round(SPRING.expected(job), 1) for job in JOBS}) > 30


# --- what is said of joints and stretched rings, worked from the shape itself ---


def _closed(radius: float, wire: float, kerf: float) -> tuple[float, float]:
    """The gap outside and inside of a sawn ring, its end turned until the first edge meets the other end's.

    Every section of the wire stays flat and square to the middle of the wire, which keeps its length.
    """
    thick = np.linspace(-wire / 2, wire / 2, 401)
    start = np.arcsin(kerf / 2 / radius)
    # the face is straight: how far it lies before or behind the flat section through the middle of the end
    face = kerf / 2 - (radius + thick) * np.sin(start)
    before = face / np.cos(start)
    gap = 2 * (before - before.min())
    return float(gap[-1]), float(gap[0])


@pytest.mark.parametrize(
    "job", [job for job in JOBS if OPENED.expected(job) == "sides"], ids=lambda j: j.title
)
def test_between_straight_sides_the_outer_edges_meet_first(job: JobInHand) -> None:
    plan = job.plan()
    inside, wire = plan.plain("ring_inside_as_made"), plan.plain("ring_wire_before_polishing")
    kerf = float(find("blades", "blade", "4/0", "a blade")["kerf_mm"])
    outer, inner = _closed((inside + wire) / 2 + kerf / (2 * math.pi), wire, kerf)
    assert outer == pytest.approx(0, abs=1e-9) and inner > 0
    (told,) = re.findall(r"up to (\d\.\d+) mm", text_for(OPENED.well_done, job))
    assert float(told) == pytest.approx(inner, abs=0.011)


def test_the_sketches_touch_where_they_say() -> None:
    half = 4.0  # of the wire in the sketch
    wedge, peak = (np.array(ends()[0]) for ends in (_wedge_inside, _peaked))
    outer, inner = wedge[np.argmin(abs(wedge[:, 1] - half))], wedge[np.argmin(abs(wedge[:, 1] + half))]
    assert outer[0] == pytest.approx(0) and inner[0] > 0.5
    first, second = peak[:2]
    assert second[0] == pytest.approx(0, abs=1e-9) and first[0] > 0.5 and first[1] > second[1]
    assert len(_end((0.0, 24.0), (0.0, 16.0))) == 2


@pytest.mark.parametrize("job", [job for job in JOBS if SIZE.expected(job) == "new"], ids=lambda j: j.title)
def test_a_ring_stretched_so_far_has_thinner_wire(job: JobInHand) -> None:
    """Its metal by Pappus before and after: area times the way of the middle."""
    want, now, _ = map(float, re.findall(r"(\d+\.\d+) mm", task_text(SIZE, job, listed=False))[:3])
    wire, thin = map(float, re.findall(r"\d+\.\d+", text_for(SIZE.well_done, job)))
    assert thin**2 * (want + wire) == pytest.approx(wire**2 * (now + wire), rel=0.03)
    assert thin < wire


@pytest.mark.parametrize("job", [job for job in JOBS if SIZE.expected(job) == "cut"], ids=lambda j: j.title)
def test_one_cut_never_takes_more_than_is_too_much(job: JobInHand) -> None:
    across, around, taken = map(
        float, re.findall(r"(?<!/)\d+\.\d+", text_for(SIZE.well_done, job).replace("4/0", ""))
    )
    assert around == pytest.approx(math.pi * across, abs=0.02)
    assert taken < around


# --- panel and figures ---


@pytest.mark.parametrize("job", JOBS[:12], ids=lambda job: job.title)
def test_the_panel_opens_with_the_sizes_of_the_plan(job: JobInHand) -> None:
    stage, plan = STAGE(job.plan()), job.plan()
    rows = dict(stage.see(stage.pattern_values()).rows)
    assert rows["mandrel"] == f"{plan.plain('mandrel'):.2f} mm"
    assert rows["wire for the coil"] == f"{plan.plain('coil_length'):.1f} mm"


@pytest.mark.parametrize("job", JOBS[:12], ids=lambda job: job.title)
def test_the_figures_do_not_tell_an_answer(job: JobInHand) -> None:
    # inside and wire are what the first task gives; no other size may stand there
    given = [job.readings[key].value for key in ("ring_inside", "ring_wire")]
    for name, figure in STAGE(job.plan()).figures().items():
        shown = figure()
        lettered = [mark.looks[0] for mark in shown.sheet.marks() if mark.kind == "lettering"]
        told = [float(n) for text in (*lettered, shown.words) for n in re.findall(r"\d+\.\d+", text)]
        assert [n for n in told if min(abs(n - each) for each in given) > 0.006] == [], name


@pytest.mark.parametrize("job", JOBS, ids=lambda job: job.title)
def test_the_tries_do_what_the_page_says(job: JobInHand) -> None:
    stage = STAGE(job.plan())
    at = stage.pattern_values()
    ends = {each.key: each.most for each in stage.controls() if hasattr(each, "most")}
    now = dict(stage.see(at).rows)
    cut, spring, thick = (stage.see(at | {key: ends[key]}) for key in ("kerf", "spring", "wire"))
    assert _mm(dict(cut.rows)["mandrel"]) > _mm(now["mandrel"])
    assert any("coarse blade" in remark.text for remark in cut.warnings)
    assert _mm(dict(spring.rows)["mandrel"]) < _mm(now["mandrel"])
    assert dict(spring.rows)["coil inside, let go"] == now["coil inside, let go"]
    assert dict(thick.rows)["mandrel"] == now["mandrel"]
    row = "wire in one ring, on its middle"
    assert _mm(dict(thick.rows)[row]) > _mm(now[row])


def _mm(text: str) -> float:
    return float(text.split(" ")[0])
