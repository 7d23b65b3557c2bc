"""Exercises that are answered with a size or a plain number."""

from dataclasses import dataclass, field
from typing import Any, ClassVar

from course_lib.bench.measuring import decimals_of
from course_lib.classroom.exercises.exercise import Exercise
from course_lib.classroom.exercises.fineness import Fineness, Whole
from course_lib.classroom.exercises.keys import NumberKey
from course_lib.classroom.exercises.typed import written_unit
from course_lib.classroom.exercises.worked import Answer
from course_lib.classroom.pieces.job_in_hand import JobInHand

_EXAMPLES = {"mm": "98.76 mm", "um": "45 µm", "gram": "12.34 g", "degree": "45°", "percent": "45 %"}


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
    counted: str = ""
    kind: ClassVar[str] = "size"

    def key(self, job: JobInHand) -> NumberKey:
        """The right number, how near and how fine, and the number of each slip."""
        right = self.number(self.expected(job))
        numbers = [(at, self.number(value)) for at, value in self.slip_values(job)]
        return NumberKey(
            right,
            self.tolerance(right),
            self.fineness.finest(right, self.unit),
            self.unit,
            self.counted,
            [(at, number, self.tolerance(number)) for at, number in numbers],
        )

    def number(self, value: Any) -> float:
        """A quantity, something measured, or a number in the exercise's unit, as a plain number."""
        if hasattr(value, "value") and not hasattr(value, "m_as"):
            value = value.value
        return float(value.m_as(self.unit) if hasattr(value, "m_as") else value)

    def tolerance(self, number: float) -> float:
        """How far from a number its like may lie."""
        return self.fineness.tolerance(number, self.unit)

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

    def form_words(self) -> dict[str, str]:
        """An example."""
        return {"example": self.example}

    def why_no_finer(self) -> str:
        """What the gauge shows, or what is known."""
        return self.fineness.why(self.unit)

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


@dataclass(frozen=True, kw_only=True)
class FigureRead(SizeAsked):
    """A size to be read off a figure, which is shown above the task.

    Args:
        figure: a figure of the lesson's stage, by name. Its words must not give the answer away.
    """

    figure: str
    kind: ClassVar[str] = "figure"
