"""Paper: a page measured in millimetres, with pencil lines, dimensions and lettering.

Conventions follow ISO 128 and 129 where they fit: thick outlines, thin dimension lines with the
figure above the line, long-dash-dot centre lines.
"""

from __future__ import annotations

import functools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties, findfont, get_font
from matplotlib.patches import Polygon

A4 = (210.0, 297.0)
POINT = 25.4 / 72

INK, GREY, PALE = "black", "0.45", "0.88"
OUTLINE, THIN, HAIR = 1.1, 0.5, 0.3


def new_page(size: tuple[float, float] = A4) -> tuple[Figure, Axes]:
    """A page whose axes run in millimetres from its lower left corner."""
    figure = Figure(figsize=(size[0] / 25.4, size[1] / 25.4))
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_xlim(0, size[0])
    axes.set_ylim(0, size[1])
    axes.set_axis_off()
    return figure, axes


@dataclass(frozen=True)
class Placed:
    """A place on the page where the piece is drawn: its origin in page mm, and the scale."""

    axes: Axes
    x: float
    y: float
    scale: float

    def at(self, points: Any) -> Any:
        """Points of the piece as points of the page."""
        return np.asarray(points, dtype=float) * self.scale + [self.x, self.y]

    def outline(
        self, points: Any, fill: str | None = None, width: float = OUTLINE, ink: str = INK,
        dashed: bool = False, layer: float = 2,
    ) -> None:  # fmt: skip
        """A closed outline, filled or open."""
        self.axes.add_patch(
            Polygon(
                self.at(points), closed=True, fill=fill is not None, facecolor=fill or "none", edgecolor=ink,
                linewidth=width, linestyle=(0, (4, 2)) if dashed else "-", zorder=layer,
                joinstyle="round",
            )
        )  # fmt: skip

    def line(
        self, points: Any, width: float = THIN, ink: str = INK, style: str = "solid", layer: float = 3
    ) -> None:
        """An open line: ``solid``, ``dashed`` or ``centre`` (long dash, dot)."""
        place = self.at(points)
        dashes = {"solid": "-", "dashed": (0, (4, 2)), "centre": (0, (10, 2, 1, 2))}[style]
        self.axes.plot(place[:, 0], place[:, 1], color=ink, linewidth=width, linestyle=dashes, zorder=layer)

    def dimension(
        self,
        start: Sequence[float],
        end: Sequence[float],
        away: float,
        text: str,
        along: str = "",
        letter: float = 7,
    ) -> None:
        """A dimension between two points of the piece.

        `away` is how far off the line stands, in page mm, to the left of the way from start to end.
        `along` is ``"x"`` or ``"y"`` to measure only across or only up.
        """
        first, last = self.at(start), self.at(end)
        if along == "x":
            line = np.array([[first[0], first[1] + away], [last[0], first[1] + away]])
        elif along == "y":
            line = np.array([[first[0] + away, first[1]], [first[0] + away, last[1]]])
        else:
            way = (last - first) / np.hypot(*(last - first))
            line = np.array([first, last]) + np.array([-way[1], way[0]]) * away
        self._dimension_line(first, last, line, text, letter)

    def _dimension_line(self, first: Any, last: Any, line: Any, text: str, letter: float) -> None:
        ends = line[1] - line[0]
        length = float(np.hypot(*ends))
        for point, stop in ((first, line[0]), (last, line[1])):
            reach = stop - point
            far = float(np.hypot(*reach))
            if far > 0.5:
                lead = np.array([point + reach / far * 0.6, stop + reach / far * 1.0])
                self.axes.plot(lead[:, 0], lead[:, 1], color=INK, linewidth=HAIR, zorder=4)
        roomy = length > max(5.0, text_width(text, letter) - 1)
        style = "<|-|>,head_width=0.10,head_length=0.28"
        if roomy:
            self._arrow(line[0], line[1], style)
        else:
            unit = ends / length
            single = style.replace("<|-|>", "-|>")
            self._arrow(line[0] - unit * 3.5, line[0], single)
            self._arrow(line[1] + unit * 3.5, line[1], single)
            self.axes.plot(line[:, 0], line[:, 1], color=INK, linewidth=HAIR, zorder=4)
        self._figure_over(line, text, letter, roomy)

    def _arrow(self, start: Any, end: Any, style: str) -> None:
        self.axes.annotate(
            "", xy=tuple(end), xytext=tuple(start), zorder=4,
            arrowprops={"arrowstyle": style, "linewidth": HAIR, "color": INK, "shrinkA": 0, "shrinkB": 0},
        )  # fmt: skip

    def _figure_over(self, line: Any, text: str, letter: float, roomy: bool) -> None:
        ends = line[1] - line[0]
        angle = float(np.degrees(np.arctan2(ends[1], ends[0])))
        angle = angle - 180 if angle > 90.5 else angle + 180 if angle < -89.5 else angle
        up = np.array([-np.sin(np.radians(angle)), np.cos(np.radians(angle))])
        along = np.array([np.cos(np.radians(angle)), np.sin(np.radians(angle))])
        middle = line.mean(axis=0) + up * 0.5
        if not roomy and text_width(text, letter) > np.hypot(*ends) - 0.5:
            reach = float(np.hypot(*ends)) / 2 + 4 + text_width(text, letter) / 2
            middle = line.mean(axis=0) + along * reach + up * 0.5
        self.axes.text(
            middle[0], middle[1], text, fontsize=letter, rotation=angle, rotation_mode="anchor",
            ha="center", va="bottom", zorder=6,
            bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.4},
        )  # fmt: skip

    def note(self, point: Sequence[float], text: str, dx: float, dy: float, letter: float = 7) -> None:
        """A word with a thin leader to a point of the piece; dx, dy in page mm."""
        place = self.at(point)
        self.axes.annotate(
            text, xy=tuple(place), xytext=(place[0] + dx, place[1] + dy), fontsize=letter, zorder=6,
            ha="left" if dx >= 0 else "right", va="center",
            arrowprops={"arrowstyle": "-", "linewidth": HAIR, "color": INK, "shrinkA": 1, "shrinkB": 0},
        )  # fmt: skip


def text_width(text: str, letter: float, bold: bool = False) -> float:
    """How wide a line of lettering is, in page mm."""
    return sum(_letter_width(sign, bold) for sign in text) * letter * POINT


@functools.cache
def _letter_width(sign: str, bold: bool) -> float:
    """How wide one letter is, as a share of the size of the lettering."""
    font = get_font(findfont(FontProperties(weight="bold" if bold else "normal")))
    font.set_size(100, 72)
    return font.load_char(ord(sign)).linearHoriAdvance / 65536 / 100


def letters(
    axes: Axes,
    x: float,
    y: float,
    text: str,
    letter: float = 7.5,
    bold: bool = False,
    ink: str = INK,
    side: str = "left",
) -> None:
    """Lettering whose first line's top is at y."""
    axes.text(
        x, y, text, fontsize=letter, fontweight="bold" if bold else "normal", color=ink, ha=side, va="top",
        linespacing=1.15, parse_math=False, zorder=6,
    )  # fmt: skip


def paragraph(
    axes: Axes,
    x: float,
    y: float,
    width: float,
    text: str,
    letter: float = 7.5,
    bold: bool = False,
    ink: str = INK,
) -> float:
    """Lettering wrapped to a width; returns the y under it."""
    lines = wrapped(text, width, letter, bold)
    letters(axes, x, y, "\n".join(lines), letter, bold, ink)
    return y - height_of(len(lines), letter)


def wrapped(text: str, width: float, letter: float, bold: bool = False) -> list[str]:
    """A text in lines of at most this width."""
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and text_width(longer, letter, bold) > width:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines


def height_of(lines: int, letter: float) -> float:
    """How tall that many lines are, in page mm."""
    return lines * letter * POINT * 1.3


def table(
    axes: Axes, x: float, y: float, widths: Sequence[float], head: Sequence[str],
    rows: Sequence[Sequence[str]], letter: float = 7, row_height: float = 4.2,
) -> float:  # fmt: skip
    """A ruled table; the first column is set left, the others right. Returns the y under it."""
    edges = np.concatenate([[0], np.cumsum(widths)]) + x
    head_lines = max(h.count("\n") + 1 for h in head)
    head_height = head_lines * row_height * 0.72 + 1.2
    for at, text in enumerate(head):
        left = at == 0
        letters(
            axes,
            edges[at] + 0.8 if left else edges[at + 1] - 0.8,
            y - 0.6,
            text,
            letter - 0.5,
            True,
            side="left" if left else "right",
        )
    axes.plot([edges[0], edges[-1]], [y - head_height] * 2, color=INK, linewidth=0.7)
    line = y - head_height
    for row in rows:
        for at, text in enumerate(row):
            left = at == 0
            letters(
                axes,
                edges[at] + 0.8 if left else edges[at + 1] - 0.8,
                line - 0.9,
                text,
                letter,
                side="left" if left else "right",
            )
        line -= row_height
        axes.plot([edges[0], edges[-1]], [line] * 2, color=GREY, linewidth=0.25)
    return line


def tick_box(axes: Axes, x: float, y: float, side: float = 3.2) -> None:
    """An empty box to tick, its top left corner at x, y."""
    axes.add_patch(
        Polygon(
            [(x, y), (x + side, y), (x + side, y - side), (x, y - side)],
            closed=True,
            fill=False,
            edgecolor=INK,
            linewidth=0.7,
        )
    )


def blank(axes: Axes, x: float, y: float, width: float, label: str, letter: float = 7) -> None:
    """A line to write on, with a word before it."""
    letters(axes, x, y, label, letter)
    start = x + text_width(label, letter) + 1
    axes.plot([start, x + width], [y - letter * POINT * 1.15] * 2, color=INK, linewidth=0.4)
