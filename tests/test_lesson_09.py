"""Lesson 09: other solders and other signs for another piece; figures are to scale and tell no answer."""

import itertools
import math
import re
from dataclasses import replace

import numpy as np
import pytest

from course_lib.bench.tables import rows_of
from course_lib.classroom.exercises.course import find_lesson
from course_lib.classroom.exercises.exercise import text_for
from course_lib.classroom.exercises.lesson_check import faults_of_lesson
from course_lib.classroom.exercises.lessons.lesson_09 import left
from course_lib.classroom.exercises.lists import ChoiceAsked
from course_lib.classroom.pieces.job_in_hand import JobInHand, demo_job, demo_names
from course_lib.classroom.pieces.own_numbers import made_up_jobs
from course_lib.screen.stages.solder import STAGE
from tests.drawn import crossing, off_the_paper
from tests.test_expected_answers import WORKED, Piece

LESSON = find_lesson("09")
BALLED, MISSING, VOLUME = (LESSON.exercise(name) for name in ("balled", "missing", "volume"))
JOBS = [demo_job(name) for name in demo_names()] + made_up_jobs(60)


def test_no_slip_falls_on_another_on_any_piece() -> None:
    assert [fault for job in JOBS for fault in faults_of_lesson(LESSON, job)] == []


@pytest.mark.parametrize("key", ["solder_margin", "solder_gap", "solder_fillet"])
@pytest.mark.parametrize("demo", demo_names())
def test_it_can_be_asked_with_the_least_and_the_most_that_a_sheet_may_choose(demo: str, key: str) -> None:
    job = demo_job(demo)
    [row] = [row for row in rows_of("practice") if row["parameter"] == key]
    for end in ("least", "most"):
        numbers = {**job.choices.numbers, key: float(row[end])}
        chosen = replace(job, choices=replace(job.choices, numbers=numbers))
        assert faults_of_lesson(LESSON, chosen) == []
        for make in STAGE(chosen.plan()).figures().values():
            sheet = make().sheet
            assert crossing(sheet) == [] and off_the_paper(sheet) == []


@pytest.mark.parametrize("exercise", [BALLED, MISSING], ids=lambda exercise: exercise.name)
def test_every_answer_is_asked_of_some_piece(exercise: ChoiceAsked) -> None:
    assert {exercise.expected(job) for job in JOBS} == set(exercise.choices(JOBS[0]))


def test_the_three_demos_ask_three_different_things() -> None:
    assert len({MISSING.expected(job) for job in JOBS[:3]}) == 3
    assert len({BALLED.expected(job) for job in JOBS[:3]}) == 3


@pytest.mark.parametrize("name", ["ladder", "missing", "balled"])
def test_what_the_task_tells_is_enough_to_answer_it(name: str) -> None:
    """From the words of the task alone, every way tried: on all pieces, and not on the demos only."""
    for job in JOBS:
        assert LESSON.exercise(name).expected(job) == WORKED["09", name](Piece(job)), job.title


def test_the_stick_of_a_friend_flows_below_the_metal_and_yet_too_near_to_it() -> None:
    asked = [text_for(MISSING.task, job) for job in JOBS if left(job) == "stick"]
    assert asked
    for text in asked:
        metal, margin, flow = (
            float(re.search(pattern, text)[1])  # type: ignore[index]
            for pattern in (r"metal itself begins to melt at (\d+)", r"Keep (\d+) degrees", r"flows at (\d+)")
        )
        assert metal - margin < flow < metal


@pytest.mark.parametrize("job", JOBS[:12], ids=lambda job: job.title)
def test_so_many_pallions_hold_the_solder_and_one_less_does_not(job: JobInHand) -> None:
    thick, side, few, gap, many = map(float, re.findall(r"\d+(?:\.\d+)?", text_for(VOLUME.well_done, job)))
    foot = math.pi / 4 * job.readings["post_wire"].value ** 2
    for count, apart in ((few, gap / 4), (many, gap)):
        volume = foot * apart * 1.5
        assert (count - 1) * thick * side**2 < volume <= count * thick * side**2


@pytest.mark.parametrize("job", JOBS[:12], ids=lambda job: job.title)
def test_the_panel_opens_with_the_heats_of_the_plan(job: JobInHand) -> None:
    stage = STAGE(job.plan())
    seen = stage.see(stage.pattern_values())
    assert seen.made.heats == job.plan().setting_heats


@pytest.mark.parametrize("job", JOBS[:12], ids=lambda job: job.title)
def test_the_drawn_solder_is_as_much_as_the_joint_takes(job: JobInHand) -> None:
    """The drawn outline, turned about the middle of the post in thin shells, against pi/4 d2 x gap x 1.5."""
    figure = STAGE(job.plan()).figures()["gap"]()
    scale = int(re.search(r"(\d+) : 1", _lettered(figure))[1])  # type: ignore[index]
    solder = next(mark for mark in figure.sheet.marks() if mark.kind == "area" and len(mark.points) == 6)
    points = np.asarray(solder.points) / scale
    middle, floor = points[:2, 0].mean(), points[0, 1]
    reach, high = points[1, 0] - middle, points[2, 1] - floor
    foot, gap = points[3, 0] - middle, points[3, 1] - floor
    shells = (np.arange(20000) + 0.5) * reach / 20000
    heights = np.where(shells < foot, gap, high * (reach - shells) / (reach - foot))
    volume = float((2 * math.pi * shells * heights).sum() * reach / 20000)
    assert volume == pytest.approx(math.pi / 4 * job.readings["post_wire"].value ** 2 * 0.05 * 1.5, rel=0.01)


def _lettered(figure: object) -> str:
    return " ".join(
        mark.looks[0]
        for mark in figure.sheet.marks()  # type: ignore[attr-defined]
        if mark.kind == "lettering"
    )


@pytest.mark.parametrize("job", JOBS[:12], ids=lambda job: job.title)
def test_no_figure_tells_an_answer(job: JobInHand) -> None:
    figures = {name: make() for name, make in STAGE(job.plan()).figures().items()}
    # the joints are named, but neither numbered nor lettered in the order in which they are made
    assert not re.search(r"\d|first|then|last", f"{_lettered(figures['joints'])} {figures['joints'].words}")
    words = " ".join(
        f"{_lettered(figures[name])} {figures[name].words}" for name in ("joints", "fires", "gap")
    )
    assert not re.search(r"\bhard|\bmedium|\beasy|shield|°", words)
    assert f"{VOLUME.expected(job):.3f}" not in words


@pytest.mark.parametrize("demo", demo_names())
def test_what_the_page_says_of_its_tries_is_so(demo: str) -> None:
    stage = STAGE(demo_job(demo).plan())
    start = stage.pattern_values() | {"heat": 3}
    for name in ("hard", "medium", "easy"):
        seen = stage.see(start | {"without": name})
        assert seen.made.heats[3].shield == ("claws to ring",)
    most = 0
    while not stage.see(start | {"margin": most + 1}).made.heats[3].shield:
        most += 1
    box = sorted(stage.box, key=lambda solder: -solder.flow_degC)
    apart = [one.solidus_degC - other.flow_degC for one, other in itertools.pairwise(box)]
    assert most == min(apart)
    nut = stage.see(stage.pattern_values() | {"piece": "the nut"})
    assert {heat.solder for heat in nut.made.heats} == {"medium", "easy"}
