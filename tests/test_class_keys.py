"""The key goes to the disk and back unchanged in what it says: whatever is answered, on any job."""

import itertools
import json
import random
from typing import Any

import pytest

from course_lib.bench.refusals import Refused
from course_lib.classroom.exercises.course import find_lesson, lesson_numbers
from course_lib.classroom.exercises.exercise import Exercise
from course_lib.classroom.exercises.judge import Found, OutOfPatience, Patience, judged
from course_lib.classroom.exercises.keys import as_plain, asks_the_same, can_be_asked, from_plain
from course_lib.classroom.exercises.lesson_check import with_unit
from course_lib.classroom.exercises.lists import ChoiceAsked, OrderAsked
from course_lib.classroom.pieces.job_in_hand import JobInHand, demo_job
from course_lib.classroom.pieces.own_numbers import made_up_jobs
from course_lib.classroom.school.class_keys import LearnersKey, key_of, rules_now

JOBS = [demo_job(), demo_job("three claws"), *made_up_jobs(3)]
ODD = (
    "", " ", "0", "-", "1e308 mm", "1e400", "nan mm", "inf", "١٢ mm", "0x10 mm", "1_0 mm", "12 mm; DROP", "a",
    "z", "ab", "b a", "\u0000", "9" * 400, "mm", "1/0 mm", "20 AWG", "1/32 in", "0.8 g", "45 °", "45°", "7 %",
    "3 pieces", "0,8", "1,234.5 mm", "-3.1 mm", "3.1  mm", "3.1mm", "[1, 2]", "['a', 'b']", "a b c d",
    "d c b a", "1; 2\n3; 4", "=1+1", "\ud800 mm", "½ mm", "12.5 N", "100 °C", "yes", "no",
)  # fmt: skip


def every_exercise() -> list[tuple[str, Exercise]]:
    return [(number, each) for number in lesson_numbers() for each in find_lesson(number).exercises]


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
def test_a_key_that_was_kept_judges_as_the_notebook_does(number: str, exercise: Exercise) -> None:
    rng = random.Random(f"{number} {exercise.name}")
    for job in JOBS:
        (key,) = key_of([exercise], job)
        # through JSON and back, as it lies on the disk
        kept = LearnersKey(LearnersKey.line_of([from_plain(json.loads(json.dumps(as_plain(key))))])).key(0)
        if not can_be_asked(kept):
            with pytest.raises(Refused):
                exercise.expected(job)
            continue
        likely = likely_answers(exercise, job)
        for text in [*likely, *rng.sample(ODD, 12)]:
            verdict, finding = exercise.judged(text, job), judged(text, kept)
            slip = exercise.slips[finding.slips[0]].name if finding.slips else ""
            assert (finding.found, slip) == (verdict.found, verdict.slip), (text, kept)
        # what is written as it should be is read at a glance
        assert judged(likely[0], kept, Patience(0)).is_right


def test_whoever_is_out_of_patience_reads_no_odd_forms() -> None:
    exercise = find_lesson("01").exercise("value")
    (key,) = key_of([exercise], demo_job())
    assert judged("1/32 in", key, Patience(1)).found is not Found.UNREADABLE
    with pytest.raises(OutOfPatience):
        judged("1/32 in", key, Patience(0))


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
                right = judged(with_unit(exercise, expected), theirs).is_right
                assert right or (copied and exercise.judged(copied, other).is_right), exercise.name


def test_the_rules_have_a_word_that_changes_with_a_teachers_file(tmp_path: Any) -> None:
    own = tmp_path / "mine.toml"
    own.write_text("title = 'Mine'\n", encoding="utf-8")
    before = rules_now([own])
    assert before == rules_now([own]) != rules_now()
    own.write_text("title = 'Mine, mended'\n", encoding="utf-8")
    assert rules_now([own]) != before
