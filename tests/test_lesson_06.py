"""Lesson 06: another question for another piece; sums of the page worked anew; pictures that tell nothing."""

import math
import re
from dataclasses import replace

import numpy as np
import pytest

from course_lib.bench.alloy import alloy_facts
from course_lib.classroom.exercises.course import find_lesson
from course_lib.classroom.exercises.exercise import text_for
from course_lib.classroom.exercises.lesson_check import faults_of_lesson
from course_lib.classroom.exercises.lessons.lesson_06 import blade, nut_asked
from course_lib.classroom.pieces.job_in_hand import JobInHand, demo_job, demo_names
from course_lib.classroom.pieces.own_numbers import made_up_jobs
from course_lib.screen.stages.scroll import STAGE

LESSON = find_lesson("06")
CURL, STRIP, CUT, CUTS, ORDER, SPRING, SLIDES = LESSON.exercises
JOBS = [demo_job(name) for name in demo_names()] + made_up_jobs(60)


def test_no_slip_falls_on_another_on_any_piece() -> None:
    assert [fault for job in JOBS for fault in faults_of_lesson(LESSON, job)] == []


@pytest.mark.parametrize("exercise", [SLIDES, SPRING], ids=lambda exercise: exercise.name)
def test_every_answer_is_right_for_some_piece(exercise: object) -> None:
    assert {exercise.expected(job) for job in JOBS} == set(exercise.choices(JOBS[0]))  # type: ignore[attr-defined]


def test_every_treatment_of_the_nut_is_asked_of_some_piece() -> None:
    assert {nut_asked(job)[0] for job in JOBS} == {"hard", "hot", "wide", "tight"}


def test_every_step_is_asked_somewhere_and_the_letters_are_never_in_order() -> None:
    orders = [ORDER.written(ORDER.expected(job), job).split() for job in JOBS]
    assert {step for job in JOBS for step in ORDER.expected(job)} >= {"paper", "dimple", "plate", "burnish"}
    assert all(order != sorted(order) for order in orders)
    assert len({tuple(order) for order in orders}) > 4


@pytest.mark.parametrize("job", JOBS[:20], ids=lambda job: job.title)
def test_the_stress_is_that_of_a_beam(job: JobInHand) -> None:
    """A beam held at one end: force from its deflection, moment at its foot, stress in its skin."""
    told = re.search(r"stressed to (\d+) MPa", text_for(SPRING.task, job))
    read = {key: reading.value for key, reading in job.readings.items()}
    gap = nut_asked(job)[1]
    if gap >= read["post_wire"]:
        assert told is None
        return
    thick, wide, turns = read["strip_thickness"], read["strip_width"], read["curl_turns"]
    inner = (read["curl_inside"] + thick) / 2
    rises = inner + thick * (turns - 0.75) + 1.5 * thick
    long = rises + math.pi * (inner + thick * (turns - 0.25))
    bulk = wide * thick**3 / 12
    force = 3 * alloy_facts(job.alloy).elastic_modulus * bulk * (read["post_wire"] - gap) / 2 / long**3
    assert told
    assert float(told[1]) == pytest.approx(force * long * thick / 2 / bulk, abs=0.6)


@pytest.mark.parametrize("job", JOBS[:20], ids=lambda job: job.title)
def test_a_short_end_goes_round_less_as_the_spiral_has_it(job: JobInHand) -> None:
    """The spiral as fifty thousand chords: where half a millimetre from its outer end lies."""
    told = re.search(r"goes round (\d+)° less", text_for(STRIP.well_done, job))
    read = {key: reading.value for key, reading in job.readings.items()}
    way = np.linspace(0, 2 * np.pi * read["curl_turns"], 50_001)
    out = (read["curl_inside"] + read["strip_thickness"]) / 2 + read["strip_thickness"] * way / (2 * np.pi)
    chords = np.hypot(*np.diff([out * np.cos(way), out * np.sin(way)]))
    from_the_end = np.cumsum(chords[::-1])
    less = np.degrees(way[-1] - way[::-1][1:][np.searchsorted(from_the_end, 0.5)])
    # by hand the outermost circle is taken; half a millimetre inward the circle is a little smaller
    assert told
    assert float(told[1]) == pytest.approx(float(less), rel=0.08, abs=0.6)


@pytest.mark.parametrize("job", JOBS[:20], ids=lambda job: job.title)
def test_a_thicker_strip_wants_as_much_more_as_the_spiral_has_it(job: JobInHand) -> None:
    told = re.search(r"wants ([\d.]+) mm more", text_for(CURL.well_done, job))
    read = {key: reading.value for key, reading in job.readings.items()}

    def long(thick: float) -> float:
        way = np.linspace(0, 2 * np.pi * read["curl_turns"], 20_001)
        out = (read["curl_inside"] + thick) / 2 + thick * way / (2 * np.pi)
        return float(np.hypot(*np.diff([out * np.cos(way), out * np.sin(way)])).sum())

    thick = read["strip_thickness"]
    assert told
    assert float(told[1]) == pytest.approx(long(thick + 0.05) - long(thick), abs=0.06)


@pytest.mark.parametrize("job", JOBS[:20], ids=lambda job: job.title)
def test_so_many_cuts_close_a_square_fold_and_one_fewer_does_not(job: JobInHand) -> None:
    """Each lip turns about the middle of the floor until both lie on one line: by two triangles."""
    count, deep = CUTS.expected(job), CUT.expected(job)
    lip = math.hypot(blade(job) / 2, deep)
    each = 2 * math.degrees(math.acos(deep / lip))
    assert (count - 1) * each < 90 <= count * each


@pytest.mark.parametrize("job", JOBS[:12], ids=lambda job: job.title)
def test_the_panel_opens_with_the_sizes_of_the_plan(job: JobInHand) -> None:
    stage = STAGE(job.plan())
    rows = dict(stage.see(stage.pattern_values()).rows)
    assert rows["strip to cut"] == f"{STRIP.expected(job):.1f} mm"
    assert rows["of that in one curl"] == f"{CURL.expected(job):.1f} mm"
    assert rows["saw cut, deep"] == f"{CUT.expected(job):.2f} mm"


@pytest.mark.parametrize("job", JOBS[:12], ids=lambda job: job.title)
def test_no_figure_tells_a_length_a_depth_or_a_number_of_cuts(job: JobInHand) -> None:
    told = set()
    for figure in STAGE(job.plan()).figures().values():
        shown = figure()
        lettered = [mark.looks[0] for mark in shown.sheet.marks() if mark.kind == "lettering"]
        told |= set(re.findall(r"\d+\.\d+", " ".join([*lettered, shown.words])))
    read = {key: reading.value for key, reading in job.readings.items()}
    assert told == {f"{read['curl_inside']:.2f}", f"{read['strip_thickness']:.2f}"}


@pytest.mark.parametrize("job", JOBS[:12], ids=lambda job: job.title)
def test_a_thicker_strip_with_the_same_curl_is_not_stressed_more(job: JobInHand) -> None:
    """What the page says: a thicker strip makes a longer arm; and a wider gap always stresses it less."""
    stage = STAGE(job.plan())
    at = stage.pattern_values()

    def stress(**moved: float) -> float:
        return float(stage.see(at | moved).made.stress)

    def force(**moved: float) -> float:
        return float(stage.see(at | moved).made.force)

    thicker = at["strip"] + 0.06
    assert stress(strip=thicker) <= stress()
    assert force(strip=thicker) > force()
    assert stress(gap=at["gap"] - 0.02) > stress()


def test_a_worn_pattern_is_asked_too() -> None:
    """Where the pattern's own gap is as wide as its post, no nut of it grips, and no cure copies that gap."""
    job = demo_job()
    post = job.readings["post_wire"]
    worn = replace(job, readings={**job.readings, "curl_gap": replace(post, value=post.value + 0.02)})
    assert faults_of_lesson(LESSON, worn) == []
    assert SPRING.expected(worn) == "loose"
    for exercise in (SPRING, SLIDES):
        for cure in re.findall(r"([\d.]+) mm", text_for(exercise.well_done, worn)):
            assert float(cure) < post.value
