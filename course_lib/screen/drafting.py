"""Drawing a part to scale on a sheet: outlines, centre lines, dimensions, hatching and notes.

Conventions follow ISO 128 (lines, hatching of cut faces) and ISO 129 (dimensions) where they fit: thick
outlines, thin dimension lines with filled arrowheads and the figure above the line, long-dash-dot centre
lines, cut faces hatched at 45 degrees.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from course_lib.screen.sheet import (
    CAPITAL,
    GREY,
    HAIR,
    INK,
    OUTLINE,
    PAPER,
    POINT,
    SIGNAL,
    THIN,
    Look,
    Sheet,
    text_width,
)

ARROW_LONG, ARROW_WIDE = 2.0, 0.7  # mm of paper
LIFT_PEN = [[np.nan, np.nan]]

# The pattern lies behind the duplicate, light and without filling.
PATTERN = Look(None, GREY, THIN)
HIDDEN = Look(None, GREY, THIN, "dashed")
WRONG = Look(None, SIGNAL, 1.8)


@dataclass(frozen=True)
class Placed:
    """A place on the sheet where a part is drawn: its origin, and the scale.

    Args:
        sheet: to draw on.
        x, y: its origin, in mm of the sheet.
        scale: how many mm of the sheet one mm of the piece is.

    Its methods take:
        points, point, middle, start, end, outlines: in mm of the piece.
        diameter, reach: in mm of the piece.
        apart, away, dx, dy: in mm of the sheet.
        fill, ink: colour inside and colour of the line; None for none.
        width: of the line, in points.
        dashed, style, falling: how the line is broken, and which way a hatch runs.
        layer: a number; what has the higher one lies on top.
        text: what it says.
        letter: size of the lettering, in points.
        side: which side of the text stands at its place: ``left``, ``center`` or ``right``.
        bold: thick letters.
        along: ``"x"`` or ``"y"`` to measure only across or only up; left out, straight.
    """

    sheet: Sheet
    x: float
    y: float
    scale: float

    def at(self, points: Any) -> Any:
        """Points of the piece as points of the sheet."""
        return np.asarray(points, dtype=float) * self.scale + [self.x, self.y]

    def outline(
        self, points: Any, fill: str | None = None, width: float = OUTLINE, ink: str | None = INK,
        dashed: bool = False, layer: float = 2,
    ) -> None:  # fmt: skip
        """A closed outline, filled or open."""
        self.sheet.area(self.at(points), Look(fill, ink, width, "dashed" if dashed else "solid"), layer)

    def circle(
        self, diameter: float, middle: Sequence[float] = (0.0, 0.0), fill: str | None = None,
        width: float = OUTLINE, ink: str | None = INK, dashed: bool = False, layer: float = 2,
    ) -> None:  # fmt: skip
        """A circle of the piece."""
        look = Look(fill, ink, width, "dashed" if dashed else "solid")
        self.sheet.circle(self.at(middle), diameter * self.scale, look, layer)

    def line(
        self, points: Any, width: float = THIN, ink: str = INK, style: str = "solid", layer: float = 3
    ) -> None:
        """An open line: ``solid``, ``dashed``, ``dotted`` or ``centre`` (long dash, dot)."""
        self.sheet.line(self.at(points), Look(None, ink, width, style), layer)

    def centre_cross(self, middle: Sequence[float], reach: float, layer: float = 3.5) -> None:
        """The two centre lines of a round part, each `reach` mm of the piece to either side."""
        x, y = middle
        cross = [[x - reach, y], [x + reach, y], *LIFT_PEN, [x, y - reach], [x, y + reach]]
        self.line(cross, HAIR, GREY, "centre", layer)

    def hatch(self, *outlines: Any, apart: float = 1.2, falling: bool = False, layer: float = 2.5) -> None:
        """Hatch a cut face, at 45 degrees; a second outline within the first is a hole.

        Parts that touch are hatched the other way: `falling`.
        """
        lines = hatching([self.at(outline) for outline in outlines], apart, falling)
        if len(lines):
            self.sheet.line(lines, Look(None, INK, HAIR), layer)

    def dimension(
        self, start: Sequence[float], end: Sequence[float], away: float, text: str, along: str = "",
        letter: float = 7,
    ) -> None:  # fmt: skip
        """A dimension between two points of the piece.

        The line stands `away` to the left of the way from start to end.
        """
        first, last = self.at(start), self.at(end)
        if along == "x":
            line = np.array([[first[0], first[1] + away], [last[0], first[1] + away]])
        elif along == "y":
            line = np.array([[first[0] + away, first[1]], [first[0] + away, last[1]]])
        else:
            far = float(np.hypot(*(last - first)))
            way = (last - first) / far if far else np.array([1.0, 0.0])
            line = np.array([first, last]) + np.array([-way[1], way[0]]) * away
        self._dimension_line(first, last, line, text, letter)

    def _dimension_line(self, first: Any, last: Any, line: Any, text: str, letter: float) -> None:
        ends = line[1] - line[0]
        length = float(np.hypot(*ends))
        unit = ends / length if length else np.array([1.0, 0.0])
        roomy = length > max(5.0, text_width(text, letter) - 1)
        # where the arrows do not fit between the extension lines, they point inward from outside
        out = unit * (0.0 if roomy else 3.5)
        strokes = [_leader(first, line[0]), _leader(last, line[1]), np.array([line[0] - out, line[1] + out])]
        self.sheet.line(_joined(strokes), Look(None, INK, HAIR), 4)
        for tip, way in ((line[0], -unit), (line[1], unit)):
            self.sheet.area(arrowhead(tip, way if roomy else -way), Look(INK, None), 4)
        self._figure_over(line, text, letter, roomy)

    def _figure_over(self, line: Any, text: str, letter: float, roomy: bool) -> None:
        ends = line[1] - line[0]
        angle = float(np.degrees(np.arctan2(ends[1], ends[0])))
        angle = angle - 180 if angle > 90.5 else angle + 180 if angle < -89.5 else angle
        up = np.array([-np.sin(np.radians(angle)), np.cos(np.radians(angle))])
        along = np.array([np.cos(np.radians(angle)), np.sin(np.radians(angle))])
        middle = line.mean(axis=0) + up * 0.8
        if not roomy and text_width(text, letter) > np.hypot(*ends) - 0.5:
            reach = float(np.hypot(*ends)) / 2 + 4 + text_width(text, letter) / 2
            middle = line.mean(axis=0) + along * reach + up * 0.8
        on_paper(self.sheet, middle, text, letter, "center", angle)

    def note(
        self, point: Sequence[float], text: str, dx: float, dy: float, letter: float = 7, ink: str = INK
    ) -> None:
        """A word with a thin leader to a point of the piece; dx, dy in sheet mm."""
        place = self.at(point)
        stop = place + np.array([dx, dy])
        self.sheet.line(np.array([place, stop]), Look(None, ink, HAIR), 4)
        gap = 0.6 if dx >= 0 else -0.6
        middle = stop + np.array([gap, -CAPITAL * letter * POINT / 2])
        on_paper(self.sheet, middle, text, letter, "left" if dx >= 0 else "right", ink=ink)

    def arrow(
        self, start: Sequence[float], end: Sequence[float], width: float = THIN, ink: str = INK
    ) -> None:
        """An arrow from one point of the piece to another: a movement, or a force."""
        first, last = self.at(start), self.at(end)
        far = float(np.hypot(*(last - first)))
        if not far:
            return
        way = (last - first) / far
        size = min(1.0 + width / 2, far / ARROW_LONG)
        self.sheet.line(np.array([first, last - way * ARROW_LONG * size * 0.8]), Look(None, ink, width), 4)
        self.sheet.area(arrowhead(last, way, size), Look(ink, None), 4)

    def lettering(
        self, point: Sequence[float], text: str, letter: float = 7, side: str = "center", ink: str = INK,
        bold: bool = False,
    ) -> None:  # fmt: skip
        """A word whose middle height is at a point of the piece."""
        at = self.at(point) - [0, CAPITAL * letter * POINT / 2]
        self.sheet.lettering(at, text, letter, bold, ink, side)


def on_paper(
    sheet: Sheet, at: Any, text: str, letter: float, side: str = "center", turned: float = 0, ink: str = INK
) -> None:
    """Lettering on a patch of bare paper, so that no line runs through it.

    Args:
        sheet: to draw on.
        at: a point of its base line, in mm of the sheet.
        text: what it says.
        letter: size of the lettering, in points.
        side: which side of the text stands there: ``left``, ``center`` or ``right``.
        turned: in degrees against the clock.
        ink: its colour.
    """
    wide = text_width(text, letter)
    left = -wide * {"left": 0.0, "center": 0.5, "right": 1.0}[side] - 0.4
    low, high = -0.3, CAPITAL * letter * POINT + 0.3
    turn = np.radians(turned)
    across, up = np.array([np.cos(turn), np.sin(turn)]), np.array([-np.sin(turn), np.cos(turn)])
    at = np.asarray(at, dtype=float)
    corners = [at + across * x + up * y for x in (left, left + wide + 0.8) for y in (low, high)]
    sheet.area(np.array([corners[i] for i in (0, 2, 3, 1)]), Look(PAPER, None), 5.5)
    sheet.lettering(at, text, letter, ink=ink, side=side, turned=turned)


def arrowhead(tip: Any, way: Any, size: float = 1.0) -> Any:
    """A filled arrowhead that points along `way` to its tip.

    Args:
        tip: its place, in mm of the sheet.
        way: where it points: a direction of length 1.
        size: as a factor of the usual arrowhead.

    Returns:
        Its three corners, in mm of the sheet.
    """
    across = np.array([-way[1], way[0]]) * ARROW_WIDE * size / 2
    foot = np.asarray(tip) - np.asarray(way) * ARROW_LONG * size
    return np.array([tip, foot + across, foot - across])


def _leader(point: Any, stop: Any) -> Any:
    """The extension line from a part to its dimension line: it leaves a gap, and goes a little beyond."""
    reach = stop - point
    far = float(np.hypot(*reach))
    if far <= 0.5:
        return np.empty((0, 2))
    return np.array([point + reach / far * 0.6, stop + reach / far * 1.0])


def _joined(strokes: Sequence[Any]) -> Any:
    """Several strokes as one line that lifts the pen between them."""
    parts = [part for stroke in strokes if len(stroke) for part in (stroke, LIFT_PEN)]
    return np.vstack(parts[:-1])


def hatching(outlines: Sequence[Any], apart: float, falling: bool = False) -> Any:
    """Lines at 45 degrees within closed outlines, as one line that lifts the pen between strokes.

    Args:
        outlines: closed, in mm of paper; what lies within two of them is a hole.
        apart: distance between the lines, in mm.
        falling: from upper left to lower right.

    Returns:
        Points, two columns; empty where nothing is large enough to be hatched.

    Basis: even-odd crossings of a family of parallels with every edge.

    >>> square = [[0, 0], [1, 0], [1, 1], [0, 1]]
    >>> len(hatching([square], 0.5)) > 0
    True
    """
    lean = np.sqrt(0.5) * (-1 if falling else 1)
    turned = [
        np.asarray(o, dtype=float) @ np.array([[np.sqrt(0.5), -lean], [lean, np.sqrt(0.5)]]) for o in outlines
    ]
    starts = np.vstack(turned)
    stops = np.vstack([np.roll(outline, -1, axis=0) for outline in turned])
    low, high = starts[:, 1].min(), starts[:, 1].max()
    # the lines of every drawing lie on one grid, so that they do not crawl when a part grows
    rows = np.arange(np.ceil(low / apart), np.floor(high / apart) + 1) * apart
    strokes = []
    for row in rows:
        below = (starts[:, 1] <= row) != (stops[:, 1] <= row)
        a, b = starts[below], stops[below]
        if not len(a):
            continue
        cuts = np.sort(a[:, 0] + (row - a[:, 1]) / (b[:, 1] - a[:, 1]) * (b[:, 0] - a[:, 0]))
        for start, stop in zip(cuts[::2], cuts[1::2], strict=False):
            strokes += [[start, row], [stop, row], LIFT_PEN[0]]
    if not strokes:
        return np.empty((0, 2))
    back = np.array([[np.sqrt(0.5), lean], [-lean, np.sqrt(0.5)]])
    return np.array(strokes[:-1]) @ back


def kept_apart(places: Sequence[float], room: float, low: float, high: float) -> list[float]:
    """Places for lines of lettering, near where they are wanted, but none over another.

    Args:
        places: where each is wanted, from the lowest up, in mm of the sheet.
        room: how far apart two of them must be, in mm of the sheet.
        low, high: between which they all lie, in mm of the sheet, if there is room for all.

    Returns:
        A place for each, in mm of the sheet, in the same order.

    Basis: push each up off the one below it, then all back down under the upper end.

    >>> kept_apart([1.0, 1.5, 9.0], 2.0, 0.0, 10.0)
    [1.0, 3.0, 9.0]
    >>> kept_apart([9.0, 9.5, 9.9], 2.0, 0.0, 10.0)
    [6.0, 8.0, 10.0]
    """
    found: list[float] = []
    for place in places:
        found.append(max(place, found[-1] + room if found else low))
    top = high
    for at in reversed(range(len(found))):
        found[at] = min(found[at], top)
        top = found[at] - room
    return found
