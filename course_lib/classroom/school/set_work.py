"""Setting work: a code, and so an earring, for every learner, no two alike in the numbers that are asked."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from course_lib.bench.choices import Choices
from course_lib.bench.refusals import Refused
from course_lib.classroom.exercises.exercise import Exercise
from course_lib.classroom.exercises.keys import Key, NoKey, NumberKey, asks_the_same
from course_lib.classroom.pieces.job_in_hand import JobInHand
from course_lib.classroom.pieces.learner_code import code_from
from course_lib.classroom.pieces.own_numbers import job_of_sheet, sheet_of
from course_lib.classroom.school.class_keys import is_own_word, key_of, number_in
from course_lib.classroom.school.class_list import Learner
from course_lib.classroom.school.progress_bar import with_bar
from course_lib.classroom.school.work_record import Given, SetWork

# For any two learners, at most this share of the number answers may be right for both.
MOST_SHARED = 0.5
_MOST_CODES = 40
_CHOSEN_FROM = 12


@dataclass
class WorkSet:
    """What each learner was given, and how far their numbers differ."""

    given: list[Given] = field(default_factory=list)
    sheets: list[str] = field(default_factory=list)
    choices: list[Choices] = field(default_factory=list)
    keys: list[list[Key]] = field(default_factory=list)
    # the largest share of number answers that any two learners have in common
    most_shared: float = 0.0
    # exercises, in order, that are answered with a number
    numbers: list[int] = field(default_factory=list)

    def differing(self, asked: Sequence[tuple[str, Exercise]]) -> list[str]:
        """How far the numbers asked differ, in sentences for the teacher; the first is the sum of it."""
        return list(_differing(self, asked))


def set_work(
    learners: Sequence[Learner],
    asked: Sequence[tuple[str, Exercise]],
    difficulty: str,
    seed: str,
    already: SetWork | None = None,
) -> WorkSet:
    """Give every learner a code.

    Args:
        learners: the class.
        asked: the exercises by lesson.
        difficulty: of the jobs.
        seed: the same class, exercises, difficulty and seed lead to the same codes.
        already: what was set before, when more learners come to it: their codes stay, and come first.

    Returns:
        The `WorkSet`. Every exercise can be asked of every job, and in none does a slip lead to the right
        answer.

    Raises:
        Refused: an exercise cannot be asked of jobs of this difficulty.
    """
    exercises = [each for _, each in asked]
    work, known = WorkSet(), _Known()

    def give(whose: Given | Learner, chosen: _Candidate, job: JobInHand) -> None:
        known.add(chosen)
        work.given.append(Given(whose.number, whose.name, chosen.code, job.digest))
        work.sheets.append(chosen.sheet)
        work.choices.append(job.choices)
        work.keys.append(chosen.key)
        work.most_shared = max(work.most_shared, chosen.shared)

    if already:
        for given in already.learners:
            # key and choices of their day: the course may have changed since
            job = already.job_of(given.code)
            key = already.keys_of(given.code) or key_of(exercises, job)
            give(given, _candidate(given.code, already.sheet_of(given.code), key, known), job)
    for learner in with_bar(learners, len(learners), "learners"):
        candidates = _candidates(learner, exercises, difficulty, seed, known)
        chosen = min(candidates, key=lambda each: each.worth)
        give(learner, chosen, job_of_sheet(chosen.sheet))
    work.numbers = [at for at, key in enumerate(work.keys[0]) if number_in(key)]
    return work


@dataclass(frozen=True)
class _Candidate:
    code: str
    sheet: str
    key: list[Key]
    shared: float
    collisions: int

    @property
    def worth(self) -> tuple[bool, int, float]:
        """Less is better: alike to nobody first, then no slip on the right answer."""
        return self.shared > MOST_SHARED, self.collisions, self.shared if self.shared > MOST_SHARED else 0.0


class _Known:
    """The number answers of all learners so far, for comparing a new one with all of them at once."""

    def __init__(self) -> None:
        self.codes: set[str] = set()
        self._rows: list[Any] = []
        self._table = np.empty((0, 0, 2))

    def shared(self, numbers: Any) -> float:
        """The largest share of answers that one of the others has too."""
        if not self._rows or not len(numbers):
            return 0.0
        if len(self._table) < len(self._rows):
            self._table = np.array(self._rows)
        apart = np.abs(self._table[:, :, 0] - numbers[None, :, 0])
        near = apart <= np.minimum(self._table[:, :, 1], numbers[None, :, 1])
        return float(near.mean(axis=1).max())

    def add(self, chosen: _Candidate) -> None:
        self.codes.add(chosen.code)
        self._rows.append(_numbers(chosen.key))


def _candidates(
    learner: Learner, exercises: Sequence[Exercise], difficulty: str, seed: str, known: _Known
) -> Iterable[_Candidate]:
    """Codes for a learner until one is as it should be."""
    offered, last, why = 0, "", ""
    for at in range(_MOST_CODES):
        code = code_from(difficulty, f"{seed} {learner.number} {at}")
        if code in known.codes:
            continue
        sheet = sheet_of(code)
        found = _candidate(code, sheet, key_of(exercises, job_of_sheet(sheet)), known)
        both = zip(exercises, found.key, strict=True)
        cannot = [(each.name, key.why) for each, key in both if isinstance(key, NoKey)]
        if cannot:
            last, why = cannot[0]
            continue
        offered += 1
        yield found
        if found.worth == (False, 0, 0.0) or offered == _CHOSEN_FROM:
            return
    if not offered:
        raise Refused(
            f"The exercise {last!r} cannot be asked of jobs of the difficulty {difficulty!r}: {why} Leave it "
            "out, or choose another difficulty."
        )


def _candidate(code: str, sheet: str, key: list[Key], known: _Known) -> _Candidate:
    numbers = _numbers(key)
    return _Candidate(code, sheet, key, known.shared(numbers), sum(map(_collisions, key)))


def _numbers(key: Sequence[Key]) -> Any:
    return np.array([found for each in key if (found := number_in(each))])


def _collisions(key: Key) -> int:
    """How many slips of an exercise lead to the right answer or to that of another slip."""
    if not isinstance(key, NumberKey):
        return 0
    values = [(key.right, key.tolerance), *((value, tolerance) for _, value, tolerance in key.slips)]
    return sum(
        abs(one - other) <= max(near, far)
        for at, (one, near) in enumerate(values)
        for other, far in values[:at]
    )


def _differing(work: WorkSet, asked: Sequence[tuple[str, Exercise]]) -> Iterable[str]:
    count = len(work.given)
    own, some, same = [], [], []
    for at, (lesson, exercise) in enumerate(asked):
        if is_own_word(work.keys[0][at]):
            continue
        different, called = _how_many_different([key[at] for key in work.keys]), f"{lesson}/{exercise.name}"
        if different == count:
            own.append(called)
        elif different == 1:
            same.append(called)
        else:
            some.append(f"{called} ({different})")
    if count > 1 and work.numbers:
        yield (
            f"Of the {len(work.numbers)} answers that are numbers, no two learners have more than "
            f"{work.most_shared:.0%} in common."
        )
    if own:
        yield f"Another right answer for every learner: {', '.join(own)}."
    if some:
        yield f"Shared by some (how many different answers there are): {', '.join(some)}."
    if same:
        yield f"The same for all, for it does not hang on the sizes: {', '.join(same)}."


def _how_many_different(keys: Sequence[Key]) -> int:
    """How many answers are needed so that everybody's is among them."""
    numbers = [found for key in keys if (found := number_in(key))]
    if len(numbers) == len(keys):
        return _different_numbers(sorted(numbers))
    kinds: list[Key] = []
    for key in keys:
        if not any(asks_the_same(key, kind) for kind in kinds):
            kinds.append(key)
    return len(kinds)


def _different_numbers(ordered: Sequence[tuple[float, float]]) -> int:
    different, last = 0, -float("inf")
    for value, tolerance in ordered:
        if value - last > tolerance:
            different, last = different + 1, value
    return different
