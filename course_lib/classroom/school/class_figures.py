"""What a teacher wants to know of a class: exercise by exercise, slip by slip, and who needs help."""

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from course_lib.bench.refusals import Refused
from course_lib.classroom.exercises.exercise import Exercise, Slip, text_for
from course_lib.classroom.exercises.lists import ChoiceAsked
from course_lib.classroom.pieces.job_in_hand import JobInHand
from course_lib.classroom.school.alike import Alike, alike_pairs, compared
from course_lib.classroom.school.class_keys import UNIT, UNREADABLE
from course_lib.classroom.school.mark_ledger import Mark
from course_lib.classroom.school.marking import Marks
from course_lib.classroom.school.tally import Judged

# Below half of the points, or so many exercises tried so often and still not right: somebody is stuck.
_HALF = 0.5
_MANY_TRIES = 5
_STUCK_ON = 2
_NO_NAME = "a slip that the course names no more"
_NOT_NAMED = {UNIT: "unit left out or of another kind", UNREADABLE: "could not be read"}
# In a large class the report names so many; the mark list names all.
MOST_NAMED = 60


@dataclass
class ExerciseFigures:
    """One exercise in the class: how many stand how, and who made which slip."""

    name: str
    title: str
    own_word: bool
    at_once: int = 0
    later: int = 0
    not_right: int = 0
    nothing: int = 0
    tries: int = 0
    after_working: int = 0
    slips: Counter[str] = field(default_factory=Counter)
    # what the lesson says to a slip, where that holds for every job
    says: dict[str, str] = field(default_factory=dict)

    @property
    def answered(self) -> int:
        """How many answered it at all."""
        return self.at_once + self.later + self.not_right


@dataclass
class LearnerFigures:
    """One learner in a line of the report."""

    number: str
    name: str
    code: str
    points: int
    of: int
    late: bool
    minutes: int
    tries: int
    stands: str
    needs: list[str]
    remarks: list[str]


@dataclass
class ClassFigures:
    """A class."""

    learners: int
    exercises: list[ExerciseFigures]
    handed_in: int = 0
    late: int = 0
    # how many have which share of the points, in tenths: nothing up to 10 %, ... up to 100 %
    tenths: list[int] = field(default_factory=lambda: [0] * 10)
    minutes: list[int] = field(default_factory=list)
    named: list[LearnerFigures] = field(default_factory=list)
    need_help: int = 0
    missing: list[str] = field(default_factory=list)
    # of the missing, those of whom a file came that cannot be marked
    unusable: list[str] = field(default_factory=list)
    # whose file was there once and is not any more: so many, and their names
    no_more: int = 0
    gone: list[str] = field(default_factory=list)
    alike: list[Alike] = field(default_factory=list)
    the_same_file: list[list[str]] = field(default_factory=list)

    @property
    def usual_minutes(self) -> int:
        """The time that half of them took no longer than."""
        return int(np.median(self.minutes)) if self.minutes else 0


def needs_help(judged: Judged, mark: Mark) -> list[str]:
    """Why somebody may need help, in words; nothing if they seem to get on."""
    reasons = []
    if mark.of and mark.points < _HALF * mark.of:
        reasons.append(f"{mark.points} of {mark.of} right")
    stuck = sum(
        sign == "x" and tries >= _MANY_TRIES for sign, tries in zip(judged.stands, judged.tries, strict=True)
    )
    if stuck >= _STUCK_ON:
        reasons.append(f"{stuck} exercises tried {_MANY_TRIES} times or more and still not right")
    return reasons


def class_figures(marks: Marks) -> ClassFigures:
    """Add up a class.

    Args:
        marks: from `mark`.

    Returns:
        The class, exercise by exercise and learner by learner.
    """
    slip_names = _slip_names(marks)
    figures = ClassFigures(
        len(marks.work.learners),
        [
            ExerciseFigures(name, exercise.title, at in marks.own_word, says=_said_of(exercise, names))
            for at, (name, (_, exercise), names) in enumerate(
                zip(marks.names, marks.asked, slip_names, strict=True)
            )
        ],
    )
    codes: list[str] = []
    counts = _Counts(len(marks.asked))
    typed = np.full((len(marks.counted), len(marks.asked)), np.nan, dtype=np.float32)
    same: dict[str, list[str]] = defaultdict(list)
    for given in marks.work.learners:
        judged = marks.judged_of(given.code)
        if judged is None:
            known = figures.gone if given.code in marks.gone else figures.missing
            if len(known) < MOST_NAMED:
                known.append(marks.work.called(given))
            figures.no_more += given.code in marks.gone
            if marks.unusable_of(given.code) and len(figures.unusable) < MOST_NAMED:
                figures.unusable.append(marks.work.called(given))
            continue
        typed[len(codes)] = np.frombuffer(judged.numbers_typed(), dtype=np.float32)
        codes.append(given.code)
        same[judged.answers].append(given.code)
        _add(figures, marks, judged, slip_names, counts)
        mark = marks.mark_of(given.code)
        needs = needs_help(judged, mark)
        figures.need_help += bool(needs)
        remarks = [*judged.remarks, *marks.counted[given.code].remarks]
        if figures.learners <= MOST_NAMED or ((needs or remarks) and len(figures.named) < MOST_NAMED):
            figures.named.append(
                LearnerFigures(
                    given.number,
                    marks.work.called(given),
                    given.code,
                    mark.points,
                    mark.of,
                    mark.late,
                    judged.minutes,
                    sum(judged.tries),
                    judged.stands,
                    needs,
                    list(dict.fromkeys(remarks)),
                )
            )
    counts.give_to(figures.exercises)
    rows = {code: typed[at] for at, code in enumerate(codes)}
    figures.the_same_file = [each for each in same.values() if _is_copied(each, rows, marks)]
    figures.alike = alike_pairs(codes, typed[: len(codes)], marks.key_at)
    return figures


def _slip_names(marks: Marks) -> list[list[str]]:
    """How the slips of each exercise are called: by their name, and a wrong choice by what was chosen."""
    jobs = [marks.job_of(given.code) for given in marks.work.learners[:3]]
    return [[_slip_name(exercise, slip, jobs) for slip in exercise.slips] for _, exercise in marks.asked]


def _slip_name(exercise: Exercise, slip: Slip, jobs: Sequence[JobInHand]) -> str:
    if not isinstance(exercise, ChoiceAsked):
        return slip.name
    try:
        named = [(job, name) for job in jobs if (name := slip.value(job)) is not None]
        chosen = {text_for(exercise.choices(job)[name], job) for job, name in named}
    except (Refused, KeyError):
        return slip.name
    # a text that holds one learner's numbers tells nothing of the class
    return f"chose: {chosen.pop()}" if len(chosen) == 1 else slip.name


def _said_of(exercise: Exercise, names: Sequence[str]) -> dict[str, str]:
    """The lessons' sentences by the names of the slips; those that hold one job's numbers are left out."""
    return {
        name: slip.says
        for name, slip in zip(names, exercise.slips, strict=True)
        if isinstance(slip.says, str)
    }


def _is_copied(together: Sequence[str], rows: Mapping[str, Any], marks: Marks) -> bool:
    """Whether hand-ins with the same answers should have had others: words may be alike by right."""
    if len(together) < 2:
        return False
    one, other = together[:2]
    return compared(one, other, rows[one], rows[other], marks.key_at).worth_a_talk


class _Counts:
    """How the exercises stand, counted for all of them at once."""

    def __init__(self, exercises: int) -> None:
        self.stands = {sign: np.zeros(exercises, dtype=int) for sign in "Rrx."}
        self.tries = np.zeros(exercises, dtype=int)

    def add(self, judged: Judged) -> None:
        """One learner."""
        signs = np.frombuffer(judged.stands.encode("ascii"), dtype=np.uint8)
        for sign, count in self.stands.items():
            count += signs == ord(sign)
        self.tries += judged.tries

    def give_to(self, exercises: Sequence[ExerciseFigures]) -> None:
        """Put down what was counted."""
        for at, each in enumerate(exercises):
            each.at_once, each.later, each.not_right, each.nothing = (
                int(self.stands[sign][at]) for sign in "Rrx."
            )
            each.tries = int(self.tries[at])


def _add(
    figures: ClassFigures,
    marks: Marks,
    judged: Judged,
    slip_names: Sequence[Sequence[str]],
    counts: _Counts,
) -> None:
    mark = marks.mark_of(judged.code)
    figures.handed_in += 1
    figures.late += mark.late
    figures.minutes.append(judged.minutes)
    if mark.of:
        figures.tenths[min(9, 10 * mark.points // mark.of)] += 1
    counts.add(judged)
    for at in judged.after_working:
        figures.exercises[at].after_working += 1
    for at, made in judged.slips.items():
        for slip in made:
            named = (
                slip_names[at][slip] if 0 <= slip < len(slip_names[at]) else _NOT_NAMED.get(slip, _NO_NAME)
            )
            figures.exercises[at].slips[named] += 1
