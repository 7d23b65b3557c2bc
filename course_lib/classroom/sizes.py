"""Exercises that are answered with a size or a plain number, and the judge's stages for them."""

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, ClassVar

from course_lib.bench.units import quantity
from course_lib.classroom.exercise import Answer, Exercise, Found, Verdict, text_for
from course_lib.classroom.fineness import Fineness, Whole, decimals_of
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.typed import CannotRead, Typed, called_after, read_answer, written_unit

# How many tolerances off still counts as close.
_CLOSE = 3
_TENFOLD = {10: "ten", 100: "a hundred", 1000: "a thousand"}
_EXAMPLES = {"mm": "98.76 mm", "um": "45 µm", "gram": "12.34 g", "degree": "45°", "percent": "45 %"}


@dataclass(frozen=True)
class _Given:
    """One answer on its way through the stages: as typed, and as a plain number in the exercise's unit."""

    exercise: "SizeAsked"
    job: JobInHand
    typed: Typed
    expected: float

    @property
    def number(self) -> float:
        """The answer in the unit of the exercise."""
        if self.typed.amount is None or not self.exercise.unit:
            return self.typed.number
        return float(self.typed.amount.m_as(self.exercise.unit))

    def is_near(self, number: float, tolerances: float = 1) -> bool:
        """Whether a number lies within so many tolerances of the expected one."""
        return _near(number, self.expected, tolerances * self.exercise.tolerance(self.expected))


@dataclass(frozen=True, kw_only=True)
class SizeAsked(Exercise):
    """A size, a weight, an angle, ...: a number with its unit.

    Args:
        unit: pint's name of the unit that the answer is shown in.
        fineness: how finely it can be known.
        sample: an answer in the right form; made from the unit if left out.
    """

    unit: str
    fineness: Fineness
    sample: str = ""
    kind: ClassVar[str] = "size"

    def judged(self, answer: Answer, job: JobInHand) -> Verdict:
        """Go through the stages; the first that finds something speaks."""
        try:
            typed = read_answer(answer)
        except CannotRead as error:
            return Verdict(Found.UNREADABLE, f"{error} Write for example {self.example}.")
        wrong_form = self._form(typed, job)
        if wrong_form:
            return wrong_form
        given = _Given(self, job, typed, self.number(self.expected(job)))
        for stage in _STAGES:
            verdict = stage(given)
            if verdict:
                return verdict
        raise AssertionError("the last stage always speaks")

    def _form(self, typed: Typed, job: JobInHand) -> Verdict | None:
        """Stages before the number is looked at: is there a unit, and is it of the right kind?"""
        if typed.amount is None:
            said = (
                f"A number alone is not {called_after(self.unit)}: say in which unit it is, "
                f"for example {self.example}."
            )
            return Verdict(Found.NO_UNIT, said)
        came, asked = called_after(str(typed.amount.units)), called_after(self.unit)
        if came != asked or not typed.amount.is_compatible_with(quantity(1.0, self.unit)):
            said = f"{typed.unit} is the unit of {came}; here {asked} is asked."
            return Verdict(Found.OTHER_KIND, f"{said} Write for example {self.example}.")
        return None

    def number(self, value: Any) -> float:
        """A quantity, something measured, or a number in the exercise's unit, as a plain number."""
        if hasattr(value, "value") and not hasattr(value, "m_as"):
            value = value.value
        return float(value.m_as(self.unit) if hasattr(value, "m_as") else value)

    def tolerance(self, number: float) -> float:
        """How far from a number its like may lie."""
        return self.fineness.tolerance(number, self.unit)

    def same(self, one: Answer, other: Answer, job: JobInHand) -> bool:
        """Whether `one` is within the tolerance of `other`."""
        return _near(self.number(one), self.number(other), self.tolerance(self.number(other)))

    def written(self, value: Answer, job: JobInHand) -> str:
        """The value as a careful learner would write it."""
        number = self.number(value)
        text = f"{number:.{decimals_of(self.fineness.finest(number, self.unit))}f}"
        return f"{text} {written_unit(self.unit)}".strip()

    def form(self, job: JobInHand) -> str:
        """With the unit, as in the example."""
        return f"Write your answer like this: {self.example}"

    def prompt(self, job: JobInHand) -> str:
        """The example."""
        return f"for example {self.example}"

    @property
    def example(self) -> str:
        """A size in the right form that answers nothing."""
        return self.sample or _EXAMPLES.get(self.unit) or f"123.4 {written_unit(self.unit)}"


@dataclass(frozen=True, kw_only=True)
class NumberAsked(SizeAsked):
    """A plain number: how many of something, a gauge number, a ratio.

    Args:
        counted: what is counted, in the plural; a learner may write it after the number.
    """

    counted: str
    unit: str = ""
    fineness: Fineness = field(default_factory=Whole)
    sample: str = "7"
    kind: ClassVar[str] = "number"

    def _form(self, typed: Typed, job: JobInHand) -> Verdict | None:
        if typed.amount is not None and typed.unit:
            said = f"{typed.unit} makes a size of it; here only a number is asked."
            return Verdict(Found.OTHER_KIND, f"{said} Write for example {self.example}.")
        return None

    def judged(self, answer: Answer, job: JobInHand) -> Verdict:
        """As for a size, but what is counted may stand behind the number."""
        if isinstance(answer, str):
            word = re.escape(self.counted.removesuffix("s"))
            answer = re.sub(rf"^\s*{word}s?\b|\b{word}s?\s*$", "", answer, flags=re.IGNORECASE)
        return super().judged(answer, job)


@dataclass(frozen=True, kw_only=True)
class FigureRead(SizeAsked):
    """A size to be read off a figure, which is shown above the task.

    Args:
        figure: a figure of the lesson's stage, by name. Its words must not give the answer away.
    """

    figure: str
    kind: ClassVar[str] = "figure"


def _near(one: float, other: float, tolerance: float) -> bool:
    # a hair more, so that 0.805 and 0.8 are half a step of 0.01 apart in whatever order they are taken away
    return abs(one - other) <= tolerance * (1 + 1e-9) + 1e-12 * abs(other)


def _right(given: _Given) -> Verdict | None:
    if not given.is_near(given.number):
        return None
    exercise, place = given.exercise, given.typed.place
    well_done = text_for(exercise.well_done, given.job)
    finest = exercise.fineness.finest(given.expected, exercise.unit)
    if place is not None and _in_unit(place, given) < finest * (1 - 1e-9):
        shorter = exercise.written(given.number, given.job)
        why = exercise.fineness.why(exercise.unit)
        said = f"Right, but finer than anybody can read: {why}. Write {shorter}."
        return Verdict(Found.TOO_FINE, said, more=well_done)
    return Verdict(Found.RIGHT, "Right.", more=well_done)


def _in_unit(place: float, given: _Given) -> float:
    """A decimal place of the typed unit, in the unit of the exercise."""
    number = given.typed.number
    if given.typed.amount is None or not given.exercise.unit or not number:
        return place
    return abs(place * given.number / number)


def _wrong_unit(given: _Given) -> Verdict | None:
    unit = given.exercise.unit
    if not unit or given.typed.amount is None or not given.is_near(given.typed.number):
        return None
    said = (
        f"The number is right but its unit is not: you wrote {given.typed.unit}. "
        "Which unit does the number belong to?"
    )
    return Verdict(Found.WRONG_UNIT, said)


def _slip(given: _Given) -> Verdict | None:
    return given.exercise.slip_of(given.number, given.job)


def _decimal_mark(given: _Given) -> Verdict | None:
    for factor, called in _TENFOLD.items():
        for times, way in ((factor, "large"), (1 / factor, "small")):
            if given.is_near(given.number / times):
                said = f"The figures are right, but this is {called} times too {way}."
                return Verdict(Found.WRONG, f"{said} Look at the decimal mark.")
    return None


def _sign(given: _Given) -> Verdict | None:
    if given.is_near(-given.number):
        return Verdict(Found.WRONG, "The size is right, but the sign is the wrong way round.")
    return None


def _close(given: _Given) -> Verdict | None:
    if not given.is_near(given.number, _CLOSE):
        return None
    way = "large" if given.number > given.expected else "small"
    said = f"Close, but a little too {way}: more than can be put down to reading. Round only at the end."
    return Verdict(Found.CLOSE, said)


def _direction(given: _Given) -> Verdict | None:
    ratio = given.number / given.expected if given.expected else 0.0
    if ratio > 2:
        return Verdict(Found.WRONG, "Too large: more than twice what it should be.")
    if 0 < ratio < 0.5:
        return Verdict(Found.WRONG, "Too small: less than half of what it should be.")
    return Verdict(Found.WRONG, f"Too {'large' if given.number > given.expected else 'small'}.")


_STAGES: tuple[Callable[[_Given], Verdict | None], ...] = (
    _right,
    _wrong_unit,
    _slip,
    _decimal_mark,
    _sign,
    _close,
    _direction,
)
