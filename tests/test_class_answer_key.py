"""The answer key judges as the exercises themselves do: whatever is answered, on any job."""

import itertools
import json
import random
from typing import Any

import pytest

from course_lib.bench.refusals import Refused
from course_lib.classroom.answer_key import (
    NOT_ASKED,
    RIGHT,
    UNIT,
    UNREADABLE,
    WRONG,
    Judge,
    asks_the_same,
    can_be_asked,
    key_of,
    rules_now,
)
from course_lib.classroom.course import find_lesson, lesson_numbers
from course_lib.classroom.exercise import Exercise
from course_lib.classroom.job_in_hand import JobInHand, demo_job
from course_lib.classroom.judge import Found
from course_lib.classroom.lists import ChoiceAsked, OrderAsked
from course_lib.classroom.own_numbers import made_up_jobs

JOBS = [demo_job(), demo_job("three claws"), *made_up_jobs(3)]
ODD = (
    "", " ", "0", "-", "1e308 mm", "1e400", "nan mm", "inf", "١٢ mm", "0x10 mm", "1_0 mm", "12 mm; DROP", "a",
    "z", "ab", "b a", "\u0000", "9" * 400, "mm", "1/0 mm", "20 AWG", "1/32 in", "0.8 g", "45 °", "45°", "7 %",
    "3 pieces", "0,8", "1,234.5 mm", "-3.1 mm", "3.1  mm", "3.1mm", "[1, 2]", "['a', 'b']", "a b c d",
    "d c b a", "1; 2\n3; 4", "=1+1", "\ud800 mm", "½ mm", "12.5 N", "100 °C", "yes", "no",
)  # fmt: skip


def every_exercise() -> list[tuple[str, Exercise]]:
    return [(number, each) for number in lesson_numbers() for each in find_lesson(number).exercises]


def as_itself(exercise: Exercise, text: str, job: JobInHand) -> int:
    """What the exercise finds with the whole job at hand: what the learner was told."""
    try:
        verdict = exercise.judged(text, job)
    except Refused:
        return NOT_ASKED
    if verdict.is_right:
        return RIGHT
    if verdict.found is Found.SLIP:
        return [slip.name for slip in exercise.slips].index(verdict.slip)
    if verdict.found in (Found.NO_UNIT, Found.OTHER_KIND, Found.WRONG_UNIT):
        return UNIT
    return {Found.UNREADABLE: UNREADABLE, Found.NOT_FOR_THIS_JOB: NOT_ASKED}.get(verdict.found, WRONG)


def likely_answers(exercise: Exercise, job: JobInHand) -> list[str]:
    values = [exercise.written("", job) if exercise.ticks else exercise.expected(job)]
    values += [value for slip in exercise.slips if (value := slip.value(job)) is not None]
    texts = [exercise.written(value, job) for value in values]
    texts += [text.replace(".", ",") for text in texts] + [f" {text} " for text in texts[:2]]
    texts += [text.split(" ")[0] for text in texts[:2]] + [text.replace(" ", "") for text in texts[:2]]
    texts += [text.replace("mm", "cm") for text in texts[:1]] + [exercise.kept(values[0], job)]
    if getattr(exercise, "unit", None) is not None and not exercise.ticks:
        texts += list(near_misses(exercise, values[0]))
    if exercise.offered(job):
        letters = list(exercise.offered(job))
        texts += [
            *letters,
            " ".join(letters),
            "".join(letters),
            " ".join(reversed(letters)),
            letters[0].upper(),
        ]
        texts += list(exercise.offered(job).values())[:2]
    return texts


def near_misses(exercise: Any, expected: Any) -> Any:
    """At both sides of every edge: half a tolerance, just within, just outside, three of them."""
    number = exercise.number(expected)
    unit = exercise.written(expected, JOBS[0]).split(" ")[-1] if exercise.unit else ""
    for times in (0.5, 0.99, 1.01, 2.9, 3.1):
        for way in (-1, 1):
            yield f"{number + way * times * exercise.tolerance(number):.6f} {unit}".strip()


@pytest.mark.parametrize(
    ("number", "exercise"), every_exercise(), ids=lambda each: getattr(each, "name", each)
)
def test_the_key_finds_what_the_exercise_finds(number: str, exercise: Exercise) -> None:
    rng = random.Random(f"{number} {exercise.name}")
    judge, quick, all_of_it = Judge(exercise), 0, 0
    for job in JOBS:
        # through JSON and back, as it lies on the disk
        (entry,) = json.loads(json.dumps(key_of([exercise], job)))
        if not can_be_asked(entry):
            with pytest.raises(Refused):
                exercise.expected(job)
            continue
        likely = likely_answers(exercise, job)
        for text in [*likely, *rng.sample(ODD, 12)]:
            found = judge.finds(text, entry, lambda job=job: job)
            assert found == as_itself(exercise, text, job), (text, entry)
        quick += sum(judge.quickly(text, entry) is not None for text in likely[:2])
        all_of_it += 2
    # and it does so by the key alone for what is written as it should be
    assert quick == all_of_it


def test_two_jobs_ask_the_same_only_where_one_answer_does_for_both() -> None:
    for _, exercise in every_exercise():
        keys = [(job, key_of([exercise], job)[0]) for job in JOBS]
        for (job, mine), (other, theirs) in itertools.permutations(keys, 2):
            if exercise.ticks or not (can_be_asked(mine) and can_be_asked(theirs)):
                continue
            if asks_the_same(mine, theirs):
                expected = exercise.expected(job)
                # letters may be copied where the choices or the steps stand in another order
                lettered = isinstance(exercise, (ChoiceAsked, OrderAsked))
                copied = exercise.written(expected, job) if lettered else None
                right = exercise.same(expected, exercise.expected(other), other)
                assert right or (copied and exercise.judged(copied, other).is_right), exercise.name


def test_the_rules_have_a_word_that_changes_with_a_teachers_file(tmp_path: Any) -> None:
    own = tmp_path / "mine.py"
    own.write_text("EXERCISES = ()\n", encoding="utf-8")
    before = rules_now([own])
    assert before == rules_now([own]) != rules_now()
    own.write_text("EXERCISES = () # mended\n", encoding="utf-8")
    assert rules_now([own]) != before
