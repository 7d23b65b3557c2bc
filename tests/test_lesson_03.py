"""Lesson 03: other papers, other mops, and sizes that tell what went wrong."""

import re
from dataclasses import replace

import pytest

from course_lib.bench.tables import numbers_of, rows_of
from course_lib.classroom.exercises.course import find_lesson
from course_lib.classroom.exercises.exercise import text_for
from course_lib.classroom.exercises.lesson_check import faults_of_lesson
from course_lib.classroom.exercises.lessons.lesson_03 import where_to_stop
from course_lib.classroom.pieces.job_in_hand import JobInHand, demo_job, demo_names

LESSON = find_lesson("03")
REMOVAL, PAPERS, THIN, LAYERS = (
    LESSON.exercise(name) for name in ("removal", "before the papers", "too thin", "layers")
)
GRAIN = {row["grade"]: float(row["grain_um"]) for row in rows_of("abrasives")}


def with_choices(**changed: object) -> JobInHand:
    """The demo of four claws in another workshop."""
    job = demo_job()
    names = {key: value for key, value in changed.items() if key.endswith("papers")}
    numbers = {key: value for key, value in changed.items() if key not in names}
    other = replace(job.choices, numbers={**job.choices.numbers, **numbers}, **names)  # type: ignore[arg-type]
    return replace(job, choices=other)


WORKSHOPS: dict[str, dict[str, object]] = {
    "no mop": {"polishing": 0.0},
    "hardly a mop": {"polishing": 0.0004},
    "a hard mop": {"polishing": 0.05},
    "a mop like the papers": {"polishing": 0.033},
    "half of each grain": {"grain_share": 0.5},
    "all of each grain": {"grain_share": 1.0},
    "one paper": {"papers": ("P1200",), "post_papers": ("P1200",)},
    "two papers": {"papers": ("P600", "P1200")},
    "no paper but for the post": {"post_papers": ("P3000",)},
    "coarse": {"papers": ("P80", "P120", "P240", "P400", "P600", "P1000", "P1500", "P2500")},
}


@pytest.mark.parametrize("workshop", WORKSHOPS)
def test_no_slip_falls_on_another_in_any_workshop(workshop: str) -> None:
    assert faults_of_lesson(LESSON, with_choices(**WORKSHOPS[workshop])) == []


@pytest.mark.parametrize("workshop", WORKSHOPS)
def test_what_is_asked_follows_the_papers_of_the_workshop(workshop: str) -> None:
    job = with_choices(**WORKSHOPS[workshop])
    choices, read = job.choices, {key: reading.value for key, reading in job.readings.items()}
    off = choices["grain_share"] * sum(GRAIN[grade] for grade in choices.papers)
    off_post = choices["grain_share"] * sum(GRAIN[grade] for grade in choices.post_papers)
    mop = 1000 * choices["polishing"]
    assert REMOVAL.expected(job) == pytest.approx(off)
    assert PAPERS.expected(job) == pytest.approx(read["plate_thickness"] + 2 * (off + mop) / 1000)
    assert LAYERS.expected(job) == pytest.approx(read["post_wire"] + 2 * (off_post + mop) / 1000)


@pytest.mark.parametrize("demo", demo_names())
def test_the_thin_plate_lacks_just_what_one_face_lost(demo: str) -> None:
    job = demo_job(demo)
    off, stop, left, pattern = map(float, re.findall(r"(\d+(?:\.\d+)?) (?:µm|mm)", text_for(THIN.task, job)))
    assert stop - pattern == pytest.approx(off / 1000, abs=0.0015)
    assert stop - left == pytest.approx(2 * off / 1000, abs=0.0015)
    assert pattern - left == pytest.approx(off / 1000, abs=0.0015)


@pytest.mark.parametrize("demo", demo_names())
def test_every_stock_stops_at_the_next_step_or_hole(demo: str) -> None:
    job = demo_job(demo)
    holes = numbers_of("drawplate", "diameter_mm")
    keys = ("plate_thickness", "strip_thickness", "ring_wire", "claw_wire", "post_wire")
    rows = where_to_stop(job).rows
    assert len(rows) == 5
    for key, (called, *shown) in zip(keys, rows, strict=True):
        finished, at_mop, at_papers, stop = (float(size.split()[0]) for size in shown)
        papers = ("P1500", "P2500") if key == "post_wire" else ("P400", "P600", "P1000", "P1500", "P2500")
        assert finished == pytest.approx(job.readings[key].value, abs=0.0005)
        assert at_mop == pytest.approx(finished + 0.010, abs=0.0011)
        assert at_papers == pytest.approx(
            at_mop + 2 * 0.33 * sum(GRAIN[p] for p in papers) / 1000, abs=0.0011
        )
        if called.endswith("wire"):
            assert stop == min(hole for hole in holes if hole >= at_papers - 0.0005)
        else:
            assert 0 <= stop - at_papers + 0.0005 <= 0.0105
