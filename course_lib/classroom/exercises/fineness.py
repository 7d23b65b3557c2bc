"""How finely an answer can be known: what a gauge shows decides it, not what a computer can print."""

import math
from dataclasses import dataclass
from typing import Protocol

from course_lib.bench.measuring import decimals_of
from course_lib.bench.tables import find
from course_lib.bench.units import quantity
from course_lib.classroom.exercises.typed import written_unit


class Fineness(Protocol):
    """How an exercise says what is near enough, and what is finer than makes sense."""

    def tolerance(self, value: float, unit: str) -> float:
        """How far from `value` an answer may lie and still be right."""
        ...

    def finest(self, value: float, unit: str) -> float:
        """The last decimal place worth writing."""
        ...

    def why(self, unit: str) -> str:
        """Why a finer answer says more than anybody knows."""
        ...


@dataclass(frozen=True)
class GaugeDivision:
    """As fine as an instrument of data/instruments.csv shows.

    A mean of readings may be written one place finer than the gauge shows (`mean`); nearer than half a
    division it is right all the same.

    >>> GaugeDivision("caliper").tolerance(5.8, "mm"), GaugeDivision("caliper").finest(5.8, "mm")
    (0.005, 0.01)
    """

    instrument: str
    mean: bool = False

    def _division(self, unit: str) -> float:
        row = find("instruments", "instrument", self.instrument, "an instrument")
        return float(quantity(row.amount("resolution"), row["unit"]).m_as(unit))

    def tolerance(self, value: float, unit: str) -> float:
        """Half a division."""
        return self._division(unit) / 2

    def finest(self, value: float, unit: str) -> float:
        """One division, or a tenth of it for a mean."""
        return self._division(unit) / (10 if self.mean else 1)

    def why(self, unit: str) -> str:
        """What the instrument shows."""
        return f"one division of the {self.instrument} is {_tidy(self._division(unit))} {written_unit(unit)}"


@dataclass(frozen=True)
class Division:
    """To the nearest so much, in the unit of the exercise: a slider's step, or whole pieces.

    >>> Division(1).tolerance(11, "")
    0.5
    """

    to: float
    because: str = "that is as fine as it can be read"

    def tolerance(self, value: float, unit: str) -> float:
        """Half a division."""
        return self.to / 2

    def finest(self, value: float, unit: str) -> float:
        """The decimal place in which the division is written: hundredths for 0.02, whole numbers for 10."""
        return min(1.0, 10.0 ** math.floor(math.log10(self.to) + 1e-9))

    def why(self, unit: str) -> str:
        """What was said of the division."""
        return self.because


@dataclass(frozen=True)
class Whole:
    """A count: only the very number is right."""

    def tolerance(self, value: float, unit: str) -> float:
        """So little that no other whole number is right."""
        return 0.01

    def finest(self, value: float, unit: str) -> float:
        """One."""
        return 1.0

    def why(self, unit: str) -> str:
        """It is a count."""
        return "it is a count"


@dataclass(frozen=True)
class TwoFigures:
    """A doubt is known to two figures at best: 0.29 µm, 4.4 µm, 16 µm.

    The tolerance is half of the second figure's place, and one part in a hundred for rounding on the way.

    >>> round(TwoFigures().tolerance(0.2887, "um"), 4), TwoFigures().finest(0.2887, "um")
    (0.0079, 0.001)
    >>> [TwoFigures().written(doubt) for doubt in (0.2887, 4.0, 16.3)]
    ['0.29', '4.0', '16']
    """

    def written(self, value: float) -> str:
        """A doubt as it is written, to two figures."""
        return f"{value:.{decimals_of(self._second_figure(value))}f}"

    def _second_figure(self, value: float) -> float:
        if not value:
            return 0.01  # nothing has no figures
        return float(10.0 ** (math.floor(math.log10(abs(value))) - 1))

    def tolerance(self, value: float, unit: str) -> float:
        """Half of the second figure, and a hundredth of the value."""
        return self._second_figure(value) / 2 + abs(value) / 100

    def finest(self, value: float, unit: str) -> float:
        """A third figure does no harm."""
        return self._second_figure(value) / 10

    def why(self, unit: str) -> str:
        """So few readings know no more."""
        return "a doubt is known to two figures at best"


@dataclass(frozen=True)
class Money:
    """As fine as a sum of money is worked out on paper: half a part in a hundred, and a hundredth.

    >>> round(Money().tolerance(64.20, ""), 3), Money().finest(64.20, "")
    (0.331, 0.01)
    """

    def tolerance(self, value: float, unit: str) -> float:
        """For rounding on the way."""
        return 0.005 * abs(value) + 0.01

    def finest(self, value: float, unit: str) -> float:
        """A hundredth."""
        return 0.01

    def why(self, unit: str) -> str:
        """Nobody pays less."""
        return "nobody pays less than a hundredth"


def _tidy(number: float) -> str:
    return f"{number:.10f}".rstrip("0").rstrip(".")
