"""The exercises of every lesson: sound on every job, and right by workings typed here anew."""

import csv
import io
import math
import random
from collections.abc import Callable
from dataclasses import replace
from statistics import NormalDist
from typing import Any

import pytest
from scipy.stats import t as student

from course_lib.bench.measuring import Reading
from course_lib.bench.measuring_sheet import label_of
from course_lib.bench.tables import data_folder
from course_lib.classroom.exercises.course import find_lesson, lesson_numbers
from course_lib.classroom.exercises.exercise import Exercise, Slip, task_text, text_for
from course_lib.classroom.exercises.judge import Found
from course_lib.classroom.exercises.lesson_check import faults_of, faults_of_lesson
from course_lib.classroom.exercises.lessons.lesson_01 import workshop_readings
from course_lib.classroom.exercises.sizes import SizeAsked
from course_lib.classroom.exercises.typed import read_answer
from course_lib.classroom.pieces.job_in_hand import JobInHand, demo_job, demo_names
from course_lib.classroom.pieces.own_numbers import made_up_jobs

DEMOS = demo_names()
LESSONS = lesson_numbers()


def varied(job: JobInHand, seed: int) -> JobInHand:
    """A made-up piece: every size up to a tenth larger or smaller."""
    chance = random.Random(seed)
    moved = {
        key: Reading(
            each.value * chance.uniform(0.9, 1.1), each.standard_uncertainty, each.degrees_of_freedom
        )
        for key, each in job.readings.items()
    }
    return replace(job, readings=moved, title=f"made up {seed}")


JOBS = [
    *(demo_job(name) for name in DEMOS),
    *(varied(demo_job(name), seed) for name in DEMOS for seed in range(12)),
    *made_up_jobs(40),
]


def test_there_are_demos_and_lessons_to_test() -> None:
    assert len(DEMOS) >= 3
    assert LESSONS[:2] == ["00", "01"]


@pytest.mark.parametrize("job", JOBS, ids=lambda job: job.title)
@pytest.mark.parametrize("number", LESSONS)
def test_every_exercise_is_sound_on_every_job(number: str, job: JobInHand) -> None:
    assert faults_of_lesson(find_lesson(number), job) == []


@pytest.mark.parametrize("demo", DEMOS)
@pytest.mark.parametrize("number", LESSONS)
def test_each_slip_is_recognised_as_typed(number: str, demo: str) -> None:
    job = demo_job(demo)
    recognised = 0
    for exercise in find_lesson(number).exercises:
        for slip in exercise.slips:
            value = slip.value(job)
            if value is None:
                continue
            verdict = exercise.judged(exercise.written(value, job), job)
            assert (verdict.found, verdict.slip) == (Found.SLIP, slip.name), exercise.name
            assert verdict.says == text_for(slip.says, job)
            recognised += 1
    assert recognised >= 12


@pytest.mark.parametrize("number", LESSONS)
def test_what_every_exercise_must_have(number: str) -> None:
    lesson = find_lesson(number)
    assert {exercise.objective for exercise in lesson.exercises} == set(lesson.objectives)
    for exercise in lesson.exercises:
        assert len(exercise.slips) >= 2 or exercise.ticks, exercise.name
        assert exercise.clue and exercise.working and exercise.basis, exercise.name
        assert exercise.source or exercise.basis == "common practice", exercise.name
        assert exercise.source_line().endswith("."), exercise.name


@pytest.mark.parametrize("demo", DEMOS)
@pytest.mark.parametrize("number", LESSONS)
def test_the_working_ends_with_the_learners_own_answer(number: str, demo: str) -> None:
    job = demo_job(demo)
    for exercise in find_lesson(number).exercises:
        if isinstance(exercise, SizeAsked):
            last = text_for(exercise.working, job).splitlines()[-1]
            shown = [word.strip(":;,.") for word in last.split()]
            near = [
                exercise.judged(f"{number} {unit}" if exercise.unit else number, job)
                for number, unit in zip(shown, [*shown[1:], ""], strict=True)
                if number[:1].isdigit()
            ]
            assert any(verdict.is_right for verdict in near), (exercise.name, last)


# Numbers of the workshop and not of the piece: they follow what the sheet chooses, here named.
OF_THE_WORKSHOP = {
    ("03", "removal"): "grain_share",
    ("12", "eye"): "viewing_distance",
    ("13", "paid"): "lemel_recovered",
    ("13", "time"): "labour_rate",
}
# A gauge's step, plain arithmetic: alike on every piece.
ALIKE = {("01", "step"), ("12", "band"), ("12", "figure")}


@pytest.mark.parametrize("number", LESSONS)
def test_numbers_follow_the_job(number: str) -> None:
    jobs = [demo_job(name) for name in DEMOS]
    for exercise in find_lesson(number).exercises:
        which = (number, exercise.name)
        if isinstance(exercise, SizeAsked) and which not in ALIKE and which not in OF_THE_WORKSHOP:
            assert len({exercise.written(exercise.expected(job), job) for job in jobs}) > 1, exercise.name


@pytest.mark.parametrize(("which", "choice"), OF_THE_WORKSHOP.items(), ids=str)
def test_numbers_of_the_workshop_follow_what_the_sheet_chooses(which: tuple[str, str], choice: str) -> None:
    job = demo_job()
    exercise = find_lesson(which[0]).exercise(which[1])
    other = replace(job.choices, numbers={**job.choices.numbers, choice: 1.5 * job.choices[choice]})
    changed = replace(job, choices=other)
    before, after = (exercise.number(exercise.expected(each)) for each in (job, changed))  # type: ignore[attr-defined]
    assert after != pytest.approx(before, rel=0.02)


# --- workings typed here anew, from the readings themselves ---


def sheet(demo: str) -> dict[str, list[float]]:
    """The readings of a demo sheet by 'part, size', read without the course."""
    text = (data_folder() / f"demo-{demo.replace(' ', '-')}.csv").read_text(encoding="utf-8-sig")
    mark = ";" if ";" in text.splitlines()[0] else ","
    found = {}
    for row in csv.reader(io.StringIO(text), delimiter=mark):
        numbers = [cell.strip().replace(",", ".") for cell in row[4:7]]
        if len(row) > 4 and row[2].strip() in ("mm", "g") and numbers[0]:
            found[f"{row[0].strip()}, {row[1].strip()}"] = [float(number) for number in numbers if number]
    return found


def read_size(demo: str, label: str) -> float:
    """Mean of a row, less what the closed gauge of the row showed."""
    text = (data_folder() / f"demo-{demo.replace(' ', '-')}.csv").read_text(encoding="utf-8-sig")
    gauge = next(
        row.replace(";", ",").split(",")[3].strip()
        for row in text.splitlines()
        if row.replace(";", ",").startswith(label.replace(", ", ",") + ",")
    )
    readings = sheet(demo)[label]
    closed = sheet(demo).get(f"{gauge}, closed reading", [0.0])[0]
    return sum(readings) / len(readings) - closed


def deviation(readings: list[float]) -> float:
    middle = sum(readings) / len(readings)
    return math.sqrt(sum((reading - middle) ** 2 for reading in readings) / (len(readings) - 1))


def awg(number: int) -> float:
    return 0.127 * 92 ** ((36 - number) / 39)


def nearest_awg(wire: float) -> int:
    return min(range(57), key=lambda number: abs(awg(number) - wire))


def uncertainty(demo: str) -> tuple[float, float]:
    """Standard uncertainty in µm and degrees of freedom of the workshop's readings."""
    read = [1000 * reading for reading in workshop_readings(demo_job(demo)).in_mm]
    mean_of_five = deviation(read) ** 2 / 5
    total = mean_of_five + (1.0 / 2) ** 2 / 3 + 1.2**2
    return math.sqrt(total), 4 * total**2 / mean_of_five**2


def enough(demo: str) -> int:
    read = [1000 * reading for reading in workshop_readings(demo_job(demo)).in_mm]
    gauge = NormalDist().inv_cdf(0.975) * math.sqrt(0.25 / 3 + 1.2**2)
    return next(
        n for n in range(2, 99) if student.ppf(0.975, n - 1) * deviation(read) / math.sqrt(n) <= gauge
    )


def workshop_mean(demo: str) -> float:
    read = workshop_readings(demo_job(demo))
    return sum(read.in_mm) / 5 - read.zero


BY_HAND: dict[tuple[str, str], Callable[[str], float]] = {
    ("00", "stone"): lambda demo: read_size(demo, "stone, diameter"),
    ("00", "gauge"): lambda demo: nearest_awg(read_size(demo, "claw, wire")),
    ("00", "one thicker"): lambda demo: awg(nearest_awg(read_size(demo, "claw, wire")) - 1),
    ("00", "reach"): lambda demo: read_size(demo, "claw, base to girdle") + read_size(demo, "post, length"),
    ("01", "value"): workshop_mean,
    ("01", "scatter"): lambda demo: 1000 * deviation(list(workshop_readings(demo_job(demo)).in_mm)),
    ("01", "step"): lambda demo: 1.0 / math.sqrt(12),
    ("01", "together"): lambda demo: uncertainty(demo)[0],
    ("01", "band"): lambda demo: uncertainty(demo)[0] * student.ppf(0.975, uncertainty(demo)[1]),
    ("01", "enough"): enough,
}


@pytest.mark.parametrize("demo", DEMOS)
@pytest.mark.parametrize(("number", "name"), BY_HAND, ids="-".join)
def test_the_expected_answer_is_that_worked_by_hand(number: str, name: str, demo: str) -> None:
    exercise = find_lesson(number).exercise(name)
    assert isinstance(exercise, SizeAsked)
    job = demo_job(demo)
    assert exercise.number(exercise.expected(job)) == pytest.approx(BY_HAND[number, name](demo), rel=1e-9)


def test_every_numeric_exercise_is_also_worked_by_hand() -> None:
    asked = {
        (number, exercise.name)
        for number in LESSONS
        for exercise in find_lesson(number).exercises
        if isinstance(exercise, SizeAsked)
    }
    # later lessons bring their workings in tests of their own
    assert {key for key in asked if key[0] in ("00", "01")} == set(BY_HAND)


def test_the_order_of_wires_by_hand() -> None:
    exercise, job = find_lesson("00").exercise("written"), demo_job()
    in_mm = {}
    for letter, text in exercise.offered(job).items():
        number, unit = text.replace(",", ".").split()
        top, _, bottom = number.partition("/")
        value = float(top) / float(bottom or 1)
        in_mm[letter] = {"mm": value, "in": 25.4 * value, "thou": 0.0254 * value, "AWG": awg(int(value))}[
            unit
        ]
    assert exercise.judged(sorted(in_mm, key=lambda letter: in_mm[letter]), job).is_right


def test_the_size_that_matters_by_moving_readings_and_working_the_weight_out_anew() -> None:
    job = demo_job()
    exercise = find_lesson("01").exercise("matters")

    def weight(moved: dict[str, Reading]) -> float:
        return replace(job, readings=moved).plan().plain("earring_weight")

    def share(key: str) -> float:
        read = job.readings[key]
        moved = {
            way: dict(job.readings) | {key: replace(read, value=read.value + way * read.standard_uncertainty)}
            for way in (1, -1)
        }
        return abs(weight(moved[1]) - weight(moved[-1]))

    by_label = {label_of(key): share(key) for key in job.measured}
    offered = exercise.offered(job)
    worst = max(offered, key=lambda letter: by_label[offered[letter]])
    assert exercise.judged(worst, job).is_right
    assert by_label[offered[worst]] == max(by_label.values())


# --- the check that teachers and tests rely on finds what is wrong ---


def spoiled(**changed: Any) -> Exercise:
    return replace(find_lesson("01").exercise("value"), **changed)


@pytest.mark.parametrize(
    ("changed", "fault"),
    [
        ({"slips": ()}, "slips"),
        (
            {"slips": (Slip("right", lambda job: workshop_readings(job).found.value, "?"),) * 2},
            "leads to the right",
        ),
        (
            {"slips": (Slip("a", lambda job: 1.0, "A."), Slip("b", lambda job: 1.0003, "B."))},
            "cannot be told apart",
        ),
        ({"slips": (Slip("a", lambda job: 1.0, ""), Slip("b", lambda job: 2.0, "B."))}, "says nothing"),
        ({"clue": " "}, "no clue"),
        ({"working": ""}, "no working"),
        (
            {"clue": lambda job: f"It is {workshop_readings(job).found.value.m_as('mm'):.4f} mm."},
            "gives the answer",
        ),
        ({"basis": "hearsay"}, "basis"),
        ({"basis": "standard", "source": ""}, "no source"),
        ({"sample": "ten"}, "example"),
    ],
)
def test_a_spoiled_exercise_is_found_out(changed: dict[str, Any], fault: str) -> None:
    assert any(fault in found for found in faults_of(spoiled(**changed), demo_job()))


def test_a_lesson_with_an_objective_that_no_exercise_shows_is_found_out() -> None:
    lesson = find_lesson("01")
    spoiled_lesson = replace(lesson, objectives={**lesson.objectives, "more": "do more"})
    assert "no exercise shows the objective 'more'" in faults_of_lesson(spoiled_lesson, demo_job())


def test_a_job_without_room_for_a_slip_is_judged_all_the_same() -> None:
    job = replace(demo_job(), readings={**demo_job().readings})
    assert find_lesson("00").exercise("stone").judged("1 mm", job).found is Found.WRONG


def test_the_task_says_how_an_answer_is_written() -> None:
    for number in LESSONS:
        for exercise in find_lesson(number).exercises:
            assert (
                task_text(exercise, demo_job())
                .splitlines()[-1]
                .startswith(("Write your answer", "Write one line", "Answer with", "Tick what"))
            )


def test_examples_can_be_read() -> None:
    for number in LESSONS:
        for exercise in find_lesson(number).exercises:
            if isinstance(exercise, SizeAsked):
                assert read_answer(exercise.example).number > 0
