"""Bars and curves in the look of the drawings: a scale along the bottom or the side, thin rules."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from course_lib.screen.drafting import Placed, on_paper
from course_lib.screen.sheet import (
    CAPITAL,
    HAIR,
    INK,
    PALE,
    PAPER,
    POINT,
    THIN,
    Look,
    Sheet,
)

HATCHES = ("none", "rising", "falling", "crossed", "solid")


@dataclass(frozen=True)
class Chart:
    """An area of the sheet with a scale each way.

    Args:
        sheet: to draw on.
        left, low, wide, high: where it lies, in mm of the sheet.
        across, up: the values at its left and right edge, and at its lower and upper edge.

    Its methods take:
        label: what stands on the scale, with its unit.
        ticks: the values that get a figure, in the unit of the scale.
        write: makes the figure of a value.
        values, heights: along the bottom scale and up the side scale, in their units.
        middle, start, stop: of a bar, in the units of the scales.
        thick: of a bar, in mm of the sheet.
        hatch: one of `HATCHES`.
        layer: a number; what has the higher one lies on top.
    """

    sheet: Sheet
    left: float
    low: float
    wide: float
    high: float
    across: tuple[float, float]
    up: tuple[float, float]

    def x(self, value: Any) -> Any:
        """Where a value lies along the bottom, in mm of the sheet."""
        first, last = self.across
        return self.left + (np.asarray(value, dtype=float) - first) / (last - first) * self.wide

    def y(self, value: Any) -> Any:
        """Where a value lies up the side, in mm of the sheet."""
        first, last = self.up
        return self.low + (np.asarray(value, dtype=float) - first) / (last - first) * self.high

    def scale_below(
        self, label: str, ticks: Sequence[float], write: Callable[[float], str] = "{:g}".format
    ) -> None:
        """The scale along the bottom, with its label and figures."""
        self._rule([[self.left, self.low], [self.left + self.wide, self.low]])
        for value in ticks:
            at = float(self.x(value))
            self._rule([[at, self.low], [at, self.low - 1.2]])
            self.sheet.lettering((at, self.low - 4.0), write(value), 6.5, side="center")
        self.sheet.lettering((self.left + self.wide / 2, self.low - 7.6), label, 7, side="center")

    def scale_beside(
        self, label: str, ticks: Sequence[float], write: Callable[[float], str] = "{:g}".format
    ) -> None:
        """The scale up the left side, with its figures; its label stands over it."""
        self._rule([[self.left, self.low], [self.left, self.low + self.high]])
        for value in ticks:
            at = float(self.y(value))
            self._rule([[self.left, at], [self.left - 1.2, at]])
            down = CAPITAL * 6.5 * POINT / 2
            self.sheet.lettering((self.left - 2.0, at - down), write(value), 6.5, side="right")
        self.sheet.lettering((self.left, self.low + self.high + 2.0), label, 7, side="left")

    def curve(self, values: Any, heights: Any, look: Look = Look(width=1.1), layer: float = 3) -> None:  # noqa: B008
        """A curve through these values."""
        self.sheet.line(np.column_stack([self.x(values), self.y(heights)]), look, layer)

    def level(self, height: float, text: str = "", look: Look = Look(None, INK, THIN, "dashed")) -> None:  # noqa: B008
        """A line right across at one height: a limit, with its name."""
        at = float(self.y(height))
        self.sheet.line(np.array([[self.left, at], [self.left + self.wide, at]]), look, 4)
        if text:
            on_paper(self.sheet, (self.left + self.wide, at + 0.8), text, 6.5, "right")

    def upright(self, value: float, text: str = "", look: Look = Look(None, INK, THIN, "dashed")) -> None:  # noqa: B008
        """A line right up at one value: a limit, with its name over it."""
        at = float(self.x(value))
        self.sheet.line(np.array([[at, self.low], [at, self.low + self.high]]), look, 4)
        if text:
            on_paper(self.sheet, (at, self.low + self.high + 0.8), text, 6.5, "center")

    def bar(
        self, start: float, stop: float, middle: float, thick: float, hatch: str = "none", layer: float = 2
    ) -> None:
        """A bar that lies: from `start` to `stop` along the bottom scale, `middle` up the side scale."""
        at = float(self.y(middle))
        ends = np.sort([float(self.x(start)), float(self.x(stop))])
        self._block(ends[0], at - thick / 2, ends[1], at + thick / 2, hatch, layer)

    def column(
        self, middle: float, start: float, stop: float, thick: float, hatch: str = "none", layer: float = 2
    ) -> None:
        """A bar that stands: from `start` to `stop` up the side scale."""
        at = float(self.x(middle))
        ends = np.sort([float(self.y(start)), float(self.y(stop))])
        self._block(at - thick / 2, ends[0], at + thick / 2, ends[1], hatch, layer)

    def _block(self, left: float, low: float, right: float, top: float, hatch: str, layer: float) -> None:
        corners = np.array([[left, low], [right, low], [right, top], [left, top]])
        fill = {"none": PAPER, "solid": PALE}.get(hatch, PAPER)
        self.sheet.area(corners, Look(fill, INK, THIN), layer)
        flat = Placed(self.sheet, 0, 0, 1)
        for way, falling in (("rising", False), ("falling", True)):
            if hatch in (way, "crossed"):
                flat.hatch(corners, apart=1.3, falling=falling, layer=layer + 0.01)

    def _rule(self, ends: Any) -> None:
        self.sheet.line(np.array(ends), Look(None, INK, HAIR), 3)


def even_ticks(least: float, most: float, about: int = 5) -> list[float]:
    """Round values between two ends, about so many.

    Args:
        least, most: the two ends, in the unit of the scale.
        about: how many are wanted.

    Returns:
        The values, lowest first, in the same unit.

    >>> even_ticks(0, 1.3, 5)
    [0.0, 0.25, 0.5, 0.75, 1.0, 1.25]
    """
    rough = (most - least) / max(about, 1)
    power = 10.0 ** np.floor(np.log10(rough))
    step = min((s * power for s in (1, 2, 2.5, 5, 10) if s * power >= rough * 0.95), default=10 * power)
    first = np.ceil(least / step - 1e-9)
    count = int(np.floor(most / step + 1e-9) - first) + 1
    return [round(float((first + at) * step), 10) + 0.0 for at in range(count)]


def told_in_lines(value: float, ticks: Sequence[float]) -> str:
    """Where a value lies on a scale, for whoever hears the drawing: so many lines over the lowest.

    So a scale is read with the ear as with the eye, and the value itself is not given away.

    >>> told_in_lines(790, [650, 700, 750, 800]), told_in_lines(620, [650, 700])
    ('2.8', '0.6 below it')
    """
    lines = round((value - ticks[0]) / (ticks[1] - ticks[0]), 1)
    return f"{lines:.1f}" if lines >= 0 else f"{-lines:.1f} below it"
