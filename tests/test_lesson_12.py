"""Lesson 12 with other eyes, hands and gauges: what is asked follows, and no slip falls on another."""

import math
import re
from dataclasses import replace

import numpy as np
import pytest
from GTC import reporting, ureal
from scipy.stats import t as student

from course_lib.bench import imagined
from course_lib.bench.imagined import COMPARED, Spread, chance_to_pass, imagine
from course_lib.bench.measuring import Reading
from course_lib.classroom.exercises.course import find_lesson
from course_lib.classroom.exercises.exercise import text_for
from course_lib.classroom.exercises.lesson_check import faults_of_lesson
from course_lib.classroom.exercises.lessons import lesson_12
from course_lib.classroom.exercises.lessons.lesson_12 import LOOK_FROM, set_beside
from course_lib.classroom.pieces.job_in_hand import JobInHand, demo_job, demo_names
from course_lib.classroom.pieces.own_numbers import made_up_jobs

LESSON = find_lesson("12")
EYE, BAND, DECIDE, FIGURE, CARE, LOOKS = (
    LESSON.exercise(name) for name in ("eye", "band", "decide", "figure", "care", "looks")
)
PIECES = {name: demo_job(name) for name in demo_names()} | {job.title: job for job in made_up_jobs(24)}
ARC = math.tan(math.radians(1 / 60))


def from_afar(distance: float, job: JobInHand | None = None) -> JobInHand:
    job = job or demo_job()
    other = replace(job.choices, numbers={**job.choices.numbers, "viewing_distance": distance})
    return replace(job, choices=other)


def read_with(step: float) -> JobInHand:
    """The demo of four claws, every size read once with a coarser or a finer gauge."""
    job = demo_job()
    doubt = step / math.sqrt(12)
    return replace(
        job, readings={key: Reading(read.value, doubt, math.inf) for key, read in job.readings.items()}
    )


OTHERS = {
    "as near as can be": from_afar(200.0),
    "across a room": from_afar(2000.0),
    "a rule": read_with(0.5),
    "a micrometer for all": read_with(0.001),
}


@pytest.mark.parametrize("name", OTHERS)
def test_no_slip_falls_on_another_from_anywhere_and_with_any_gauge(name: str) -> None:
    assert faults_of_lesson(LESSON, OTHERS[name]) == []


@pytest.mark.parametrize("distance", [200.0, 500.0, 2000.0])
def test_who_sits_farther_away_sees_less(distance: float) -> None:
    job = from_afar(distance)
    seat = float(re.search(r"from (\d+) mm", text_for(EYE.task, job)).group(1))  # type: ignore[union-attr]
    assert 0.75 * distance <= seat <= 1.25 * distance
    assert EYE.expected(job) == pytest.approx(seat * ARC, rel=1e-6)


@pytest.mark.parametrize("name", PIECES)
def test_the_doubt_of_the_difference_by_gtc(name: str) -> None:
    """Bands as in the task, made standard uncertainties, taken off one another, and made a band again."""
    job = PIECES[name]
    ours, theirs = map(float, re.findall(r"± (\d+) µm", text_for(BAND.task, job)))
    read = job.readings["base_to_girdle"]
    assert ours == round(1000 * student.ppf(0.975, read.degrees_of_freedom) * read.standard_uncertainty)
    difference = ureal(0, ours / 1.96) - ureal(0, theirs / 1.96)
    assert BAND.expected(job) == pytest.approx(1.96 * difference.u)
    assert reporting.k_factor(difference.df, p=95) == pytest.approx(1.96, abs=0.001)


@pytest.mark.parametrize("name", PIECES)
def test_each_verdict_by_looking_at_both_ends(name: str) -> None:
    """By brute force: every size within the band is tried against the limit."""
    job = PIECES[name]
    text = text_for(DECIDE.task, job)
    limit = float(re.search(r"sees ([\d.]+) mm", text).group(1))  # type: ignore[union-attr]
    lines = re.findall(r"([+-][\d.]+) mm, known to ± ([\d.]+) mm", text)
    found = []
    for off, band in ((float(a), float(b)) for a, b in lines):
        over = [abs(each) > limit for each in np.linspace(off - band, off + band, 201)]
        found.append(["yes" if all(over) else "cannot say" if any(over) else "no"])
    assert DECIDE.expected(job) == found
    assert sorted(verdict for [verdict] in found) == ["cannot say", "cannot say", "no", "yes"]


def test_not_everybody_has_the_same_answers() -> None:
    for exercise, at_least in ((EYE, 4), (BAND, 5), (DECIDE, 6), (FIGURE, 8), (CARE, 4), (LOOKS, 3)):
        told = {exercise.written(exercise.expected(job), job) for job in PIECES.values()}
        assert len(told) >= at_least, exercise.name


@pytest.mark.parametrize("name", list(PIECES)[:9])
def test_the_distance_is_where_so_many_are_counted(name: str) -> None:
    """Counted on imagined duplicates, where the exercise multiplies the chances of single sizes."""
    job = PIECES[name]
    asked = int(re.search(r"do (\d+) of 100 match", text_for(FIGURE.task, job)).group(1))  # type: ignore[union-attr]
    passes = chance_to_pass(imagine(job.plan()), FIGURE.expected(job) * ARC).passes
    assert 100 * passes == pytest.approx(asked, abs=0.7)


@pytest.mark.parametrize("name", list(PIECES)[:9])
def test_the_size_that_pays_has_the_longest_bar_of_those_offered(name: str) -> None:
    job = PIECES[name]
    costs = chance_to_pass(imagine(job.plan()), LOOK_FROM * ARC).costs
    offered = CARE.choices(job)
    assert len(offered) == 4
    assert CARE.expected(job) == max(offered, key=lambda key: costs[key])
    others = [costs[key] for key in offered if key != CARE.expected(job)]
    assert costs[CARE.expected(job)] > 1.3 * max(others)


def test_in_other_hands_another_size_pays(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the post is what scatters, it is the answer and no slip."""
    wide = {name: Spread(0.01, 0.001) for name in COMPARED} | {
        "post_length": Spread(0.5, 0.01), "stone_diameter": Spread(0.4, 0.01), "claw_wire": Spread(0.3, 0.01),
    }  # fmt: skip
    monkeypatch.setattr(lesson_12, "spreads_of", lambda plan: wide)
    job = demo_job()
    assert CARE.expected(job) in ("post_length", "stone_diameter", "claw_wire")
    assert CARE.expected(job) in CARE.choices(job)
    assert faults_of_lesson(LESSON, job) == []
    assert imagined.spreads_of is not lesson_12.spreads_of


CUES = {"surface": "bright line", "alloy": "redder", "angle": "flashes"}


@pytest.mark.parametrize("name", PIECES)
def test_each_sign_has_its_own_cause(name: str) -> None:
    task = text_for(LOOKS.task, PIECES[name])
    assert [cause for cause, cue in CUES.items() if cue in task] == [LOOKS.expected(PIECES[name])]


@pytest.mark.parametrize("name", PIECES)
def test_a_finished_duplicate_beside_its_pattern(name: str) -> None:
    job = PIECES[name]
    *rows, last = set_beside(job).rows
    assert len(rows) == 7
    limit = 500 * ARC
    assert last[3] == f"{limit:.3f} mm"
    for _, pattern, duplicate, difference, doubt, said in rows:
        a, b, off, band = (
            float(text.strip("± ").split()[0]) for text in (pattern, duplicate, difference, doubt)
        )
        assert b - a == pytest.approx(off, abs=0.0016)
        if min(abs(abs(off) + way * band - limit) for way in (-1, 1)) > 0.002:
            expected = (
                "nobody sees it" if abs(off) + band < limit
                else "an eye sees it" if abs(off) - band > limit else "cannot say"
            )  # fmt: skip
            assert said == expected
    assert {"nobody sees it", "an eye sees it"} <= {row[-1] for row in rows}
