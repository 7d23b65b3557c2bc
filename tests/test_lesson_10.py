"""Lesson 10: every cause is asked of some piece, and what is said after a right answer holds."""

import math
import re

import pytest
from scipy.integrate import quad

from course_lib.bench.alloy import alloy_facts
from course_lib.bench.steps import bench_steps
from course_lib.classroom.exercises.course import find_lesson
from course_lib.classroom.exercises.exercise import task_text, text_for
from course_lib.classroom.exercises.lesson_check import faults_of_lesson
from course_lib.classroom.pieces.job_in_hand import JobInHand, demo_job, demo_names
from course_lib.classroom.pieces.own_numbers import made_up_jobs
from course_lib.screen.stages.post import HARD, STAGE

LESSON = find_lesson("10")
BLANK, GIVE, BENDS, STIFFER, TILT, ORDER, SOFT = LESSON.exercises
JOBS = [demo_job(name) for name in demo_names()] + made_up_jobs(60)


def test_no_slip_falls_on_another_on_any_piece() -> None:
    assert [fault for job in JOBS for fault in faults_of_lesson(LESSON, job)] == []


def test_every_cause_is_asked_of_some_piece() -> None:
    assert {SOFT.expected(job) for job in JOBS} == {name for job in JOBS for name in SOFT.choices(job)}


def test_thicker_and_thinner_wire_are_asked_for() -> None:
    asked = {STIFFER.expected(job) for job in JOBS}
    assert min(asked) < 0.9 and max(asked) > 1.1 and len(asked) >= 4


def test_a_plain_post_is_not_asked_about_a_notch() -> None:
    plain = [job for job in JOBS if "notch_wire" not in job.readings]
    assert plain
    for job in plain:
        offered = " ".join([*ORDER.offered(job).values(), *SOFT.offered(job).values()])
        assert "notch" not in offered
        assert "notch" not in text_for(SOFT.working, job) + text_for(ORDER.working, job)


@pytest.mark.parametrize("job", JOBS[:12], ids=lambda job: job.title)
def test_the_clue_and_the_signs_do_not_name_the_cause(job: JobInHand) -> None:
    cause = SOFT.choices(job)[SOFT.expected(job)]
    assert cause not in text_for(SOFT.clue, job)
    assert cause not in task_text(SOFT, job, listed=False)


def _tip_gives(wire: float, length: float, load: float, modulus: float) -> float:
    """By the work of the bending moment along the post, with the section summed strip by strip."""
    half = wire / 2
    section = quad(lambda y: 2 * math.sqrt(half**2 - y**2) * y**2, -half, half)[0]
    return float(quad(lambda x: load * x**2 / (modulus * section), 0, length)[0])


@pytest.mark.parametrize("demo", demo_names())
def test_a_millimetre_more_gives_as_much_as_is_told(demo: str) -> None:
    job = demo_job(demo)
    wire, length = job.readings["post_wire"].value, job.readings["post_length"].value
    modulus = alloy_facts(job.alloy).elastic_modulus
    told = re.search(r"by (\d\.\d\d) mm", text_for(GIVE.well_done, job))
    assert told
    assert float(told[1]) == pytest.approx(_tip_gives(wire, length + 1, 1.0, modulus), abs=0.006)


@pytest.mark.parametrize("demo", demo_names())
def test_the_other_wire_gives_and_bears_what_is_told(demo: str) -> None:
    job = demo_job(demo)
    much = re.search(r"is (\d+) % (thicker|thinner)", text_for(STIFFER.task, job))
    said = text_for(STIFFER.well_done, job)
    assert much
    wire = job.readings["post_wire"].value * (1 + int(much[1]) / 100 * (1 if much[2] == "thicker" else -1))
    length, facts = job.readings["post_length"].value, alloy_facts(job.alloy)
    moves, bears = (float(re.findall(what, said)[-1]) for what in (r"by (\d\.\d\d) mm", r"to (\d+\.\d) N"))
    assert moves == pytest.approx(_tip_gives(wire, length, 1.0, facts.elastic_modulus), abs=0.006)
    # the moment of stresses that grow evenly from the middle to what the outermost skin bears
    half = wire / 2
    moment = quad(lambda y: 2 * math.sqrt(half**2 - y**2) * y * facts.yield_soft * y / half, -half, half)[0]
    assert bears == pytest.approx(moment / length, abs=0.06)


@pytest.mark.parametrize("job", JOBS[:12], ids=lambda job: job.title)
def test_the_panel_opens_with_the_pattern_and_hardness_changes_no_give(job: JobInHand) -> None:
    stage = STAGE(job.plan())
    opened = stage.see(stage.pattern_values())
    assert dict(opened.rows)["cut the post to"] == f"{BLANK.expected(job):.1f} mm"
    assert dict(opened.rows)["stays bent at the root from"] == f"{BENDS.expected(job):.2f} N"
    hard = stage.see(stage.pattern_values() | {"root": HARD})
    assert hard.made.give == opened.made.give
    assert hard.made.bends_at > opened.made.bends_at


@pytest.mark.parametrize("job", JOBS[:12], ids=lambda job: job.title)
def test_a_notch_near_the_tip_fails_first_only_when_the_root_is_hard_and_it_is_deep(job: JobInHand) -> None:
    stage = STAGE(job.plan())
    if not stage.notched:
        assert "left" not in {control.key for control in stage.controls()}
        return
    deepest = next(control for control in stage.controls() if control.key == "left")
    tried = {"left": deepest.least, "root": HARD}  # type: ignore[union-attr]
    assert not stage.see(stage.pattern_values()).made.at_notch
    assert stage.see(stage.pattern_values() | tried).made.at_notch


@pytest.mark.parametrize("job", JOBS[:12], ids=lambda job: job.title)
def test_no_figure_tells_an_answer(job: JobInHand) -> None:
    answers = [exercise.expected(job) for exercise in (BLANK, GIVE, BENDS, STIFFER, TILT)]
    for figure in STAGE(job.plan()).figures().values():
        shown = figure()
        lettered = [mark.looks[0] for mark in shown.sheet.marks() if mark.kind == "lettering"]
        told = {float(each) for each in re.findall(r"\d+\.\d+", " ".join([*lettered, shown.words]))}
        assert not [each for each in answers if round(each, 2) in told or round(each, 1) in told]


@pytest.mark.parametrize("demo", demo_names())
def test_the_core_that_is_drawn_is_a_quarter_of_the_metal(demo: str) -> None:
    sheet = STAGE(demo_job(demo).plan()).figures()["section"]().sheet
    core, whole = sorted(float(mark.points[2]) for mark in sheet.marks() if mark.kind == "circle")
    assert (core / whole) ** 2 == pytest.approx(0.25)
    scale = whole / demo_job(demo).readings["post_wire"].value
    assert scale == pytest.approx(round(scale))


@pytest.mark.parametrize("job", JOBS[:12], ids=lambda job: job.title)
def test_the_order_is_that_of_the_card(job: JobInHand) -> None:
    texts = [step.text for step in bench_steps(job.plan())]
    turned = next((at for at, text in enumerate(texts) if "Turn the notch now" in text), None)
    hardened = next(at for at, text in enumerate(texts) if "Its root is soft afterwards" in text)
    trimmed = next(at for at, text in enumerate(texts) if "Trim the post last" in text)
    assert hardened < trimmed
    if turned is None:
        assert "notch" not in ORDER.expected(job)
        return
    assert turned < hardened
    told = re.search(r"= (\d+\.\d\d) mm from the cut end", text_for(ORDER.well_done, job))
    assert told and f"{told[1]} mm from the cut end" in texts[turned]
