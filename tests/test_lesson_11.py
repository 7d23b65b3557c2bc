"""Lesson 11: every cause is asked of some piece, no letter is always right, and what is told holds."""

import math
import re

import pytest

from course_lib.bench.alloy import alloy_facts
from course_lib.bench.steps import bench_steps
from course_lib.classroom.exercises.course import find_lesson
from course_lib.classroom.exercises.exercise import task_text, text_for
from course_lib.classroom.exercises.lesson_check import faults_of_lesson
from course_lib.classroom.exercises.lessons.lesson_11 import first_claw
from course_lib.classroom.pieces.job_in_hand import JobInHand, demo_job, demo_names
from course_lib.classroom.pieces.own_numbers import made_up_jobs
from course_lib.screen.stages.weighing import STAGE

LESSON = find_lesson("11")
TABLE, STONE, LOST, ORDER, CLAWS, HEAVY = (
    LESSON.exercise(name) for name in ("table", "stone", "lost", "order", "claws", "heavy")
)
JOBS = [demo_job(name) for name in demo_names()] + made_up_jobs(60)


def test_no_slip_falls_on_another_on_any_piece() -> None:
    assert [fault for job in JOBS for fault in faults_of_lesson(LESSON, job)] == []


def test_every_cause_is_asked_of_some_piece() -> None:
    assert {HEAVY.expected(job) for job in JOBS} == set(HEAVY.choices(JOBS[0]))


def test_another_claw_and_another_letter_on_another_piece() -> None:
    assert {CLAWS.written(CLAWS.expected(job), job) for job in JOBS} == {"a", "b", "c"}
    for claws in {job.claws for job in JOBS}:
        assert len({first_claw(job) for job in JOBS if job.claws == claws}) > 1


@pytest.mark.parametrize("job", JOBS, ids=lambda job: job.title)
def test_claws_of_an_even_number_go_straight_across(job: JobInHand) -> None:
    claw = re.match(r"claw (\d), just as little", CLAWS.choices(job)["across"])  # type: ignore[arg-type]
    assert claw and 1 <= int(claw[1]) <= job.claws
    apart = (int(claw[1]) - first_claw(job)) % job.claws
    assert apart == (job.claws / 2 if job.claws % 2 == 0 else 1)


@pytest.mark.parametrize("job", JOBS[:12], ids=lambda job: job.title)
def test_the_clue_and_the_signs_do_not_name_the_cause(job: JobInHand) -> None:
    cause = HEAVY.choices(job)[HEAVY.expected(job)]
    assert cause not in text_for(HEAVY.clue, job)
    assert cause not in task_text(HEAVY, job, listed=False)


@pytest.mark.parametrize("demo", demo_names())
def test_the_spare_end_of_the_post_weighs_what_is_told(demo: str) -> None:
    job = demo_job(demo)
    told = re.search(r"weighs (\d\.\d+) g", text_for(ORDER.well_done, job))
    assert told
    # a cylinder in cm, by the density in g/cm3
    across, long = job.readings["post_wire"].value / 10, job.choices["post_spare"] / 10
    weight = math.pi * (across / 2) ** 2 * long * alloy_facts(job.alloy).density
    assert float(told[1]) == pytest.approx(weight, abs=0.0006)


@pytest.mark.parametrize("demo", demo_names())
def test_a_thicker_claw_wire_weighs_what_is_told(demo: str) -> None:
    job = demo_job(demo)
    told = re.search(r"claws (\d\.\d+) g too heavy", text_for(TABLE.well_done, job))
    assert told
    wire = job.readings["claw_wire"].value
    # a skin of half a hundredth all round, over the length that the claws' weight makes
    area = math.pi / 4 * wire**2
    length = TABLE.expected(job)[1][0] / area
    skin = math.pi * (wire + 0.005) * 0.005
    assert float(told[1]) == pytest.approx(length * skin, abs=0.0006)


@pytest.mark.parametrize("demo", demo_names())
def test_the_order_is_that_of_the_card(demo: str) -> None:
    texts = [step.text for step in bench_steps(demo_job(demo).plan())]
    signs = {
        "mop": "only the mop",
        "set": "Cut the bearings",
        "trim": "Trim the post last",
        "weigh": "Weigh:",
    }
    places = {
        name: next((at, text.index(sign)) for at, text in enumerate(texts) if sign in text)
        for name, sign in signs.items()
    }
    assert sorted(places, key=places.__getitem__) == [
        name for name in ORDER.expected(demo_job(demo)) if name in signs
    ]


@pytest.mark.parametrize("job", JOBS[:12], ids=lambda job: job.title)
def test_the_panel_opens_with_the_plan_and_does_what_the_page_says(job: JobInHand) -> None:
    stage = STAGE(job.plan())
    start = stage.pattern_values()
    opened = stage.see(start)
    assert dict(opened.rows)["earring, as made"] == dict(opened.rows)["earring, as planned"]
    for part, weight in zip(("ring", "claws", "post", "plate"), TABLE.expected(job), strict=True):
        assert opened.made.made[part] == pytest.approx(weight[0], rel=1e-6)
    assert 100 * opened.made.lost / opened.made.taken == pytest.approx(LOST.expected(job), abs=0.2)
    thicker = stage.see(start | {"wire": 102}).made.made
    for part in ("ring", "claws", "post"):
        assert thicker[part] / opened.made.made[part] == pytest.approx(1.0404)
    # the plate is the nut's
    assert stage.see(start | {"plate": 110}).made.earring == opened.made.earring


@pytest.mark.parametrize("job", JOBS[:12], ids=lambda job: job.title)
def test_no_figure_tells_an_answer(job: JobInHand) -> None:
    answers = [LOST.expected(job), STONE.expected(job), *(row[0] for row in TABLE.expected(job))]
    for figure in STAGE(job.plan()).figures().values():
        shown = figure()
        lettered = [mark.looks[0] for mark in shown.sheet.marks() if mark.kind == "lettering"]
        told = {float(each) for each in re.findall(r"\d+\.\d+", " ".join([*lettered, shown.words]))}
        assert not [each for each in answers if round(each, 3) in told or round(each, 1) in told]


@pytest.mark.parametrize("demo", demo_names())
def test_the_claws_are_drawn_where_they_stand(demo: str) -> None:
    """Each claw with its number, as far apart as on a clock, over the edge of the stone by a third."""
    job = demo_job(demo)
    sheet = STAGE(job.plan()).figures()["claws"]().sheet
    rounds = [mark.points for mark in sheet.marks() if mark.kind == "circle"]
    stone = max(rounds, key=lambda each: each[2])
    scale = stone[2] / job.readings["stone_diameter"].value
    claws = [each for each in rounds if each[2] == pytest.approx(scale * job.readings["claw_wire"].value)]
    assert len(claws) == job.claws
    for x, y, wide in claws:
        over = stone[2] / 2 - (math.hypot(x - stone[0], y - stone[1]) - wide / 2)
        assert over == pytest.approx(wide / 3)
    numbers = [mark.looks[0] for mark in sheet.marks() if mark.kind == "lettering"]
    assert [each for each in numbers if each.isdigit()] == [f"{at + 1}" for at in range(job.claws)]
