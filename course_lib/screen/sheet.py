"""A sheet of paper, in millimetres, on which every drawing of the course is made.

A drawing asks the sheet for four things only: a closed outline, a circle, an open line, and a line of
lettering. The sheet makes matplotlib artists of them, and keeps these: when a drawing is made again, the
artists are moved and nothing is built anew. So one drawing, written once, serves the printed card, a
picture in a lesson, and a panel that must follow the hand.
"""

from __future__ import annotations

import functools
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties, findfont, get_font
from matplotlib.lines import Line2D
from matplotlib.patches import Circle, Polygon

# a drawing takes its inks from its sheet
from course_lib.screen.inks import GREY as GREY
from course_lib.screen.inks import INK as INK
from course_lib.screen.inks import PALE as PALE
from course_lib.screen.inks import PAPER as PAPER
from course_lib.screen.inks import SIGNAL as SIGNAL

A4 = (210.0, 297.0)
POINT = 25.4 / 72

OUTLINE, THIN, HAIR = 1.1, 0.5, 0.3  # line widths, in points

# Lengths of dash and gap, in line widths.
LINE_STYLES: dict[str, tuple[float, ...]] = {
    "solid": (),
    "dashed": (4.0, 2.0),
    "dotted": (1.0, 2.0),
    "centre": (10.0, 2.0, 1.0, 2.0),
}
# A capital's height as a share of the lettering's size, for the font that matplotlib brings.
CAPITAL = 0.729


@dataclass(frozen=True)
class Look:
    """How a line or an area looks: filling (None: see-through), ink (None: no line), width in points."""

    fill: str | None = None
    ink: str | None = INK
    width: float = OUTLINE
    style: str = "solid"


@dataclass(slots=True)
class Mark:
    """One thing on a sheet: its artist, where it lies and how it looks, and its place in the order."""

    kind: str
    artist: Any
    points: Any
    looks: tuple[Any, ...]
    layer: float
    order: int
    # how it is written for a page; whoever writes it keeps it here until the mark is changed
    written: str = ""


class Sheet:
    """Paper of a given size in mm, its origin at the lower left corner."""

    def __init__(self, width: float, height: float) -> None:
        self.width, self.height = width, height
        self.figure = Figure(figsize=(width / 25.4, height / 25.4))
        self.axes: Axes = self.figure.add_axes((0.0, 0.0, 1.0, 1.0))
        self.axes.set_xlim(0, width)
        self.axes.set_ylim(0, height)
        self.axes.set_axis_off()
        self._marks: dict[str, list[Mark]] = {"area": [], "circle": [], "line": [], "lettering": []}
        self._used = dict.fromkeys(self._marks, 0)
        self._order = 0

    def begin(self) -> Sheet:
        """Start the drawing again: what is drawn from now on moves what is there."""
        self._used = dict.fromkeys(self._marks, 0)
        self._order = 0
        return self

    def end(self) -> None:
        """Finish the drawing: what was there before and has not been drawn again is taken off."""
        for kind, marks in self._marks.items():
            for mark in marks[self._used[kind] :]:
                mark.artist.remove()
            del marks[self._used[kind] :]

    def marks(self) -> list[Mark]:
        """Everything on the sheet, the lowest first."""
        every = [mark for marks in self._marks.values() for mark in marks]
        return sorted(every, key=lambda mark: (mark.layer, mark.order))

    def area(self, points: Any, look: Look = Look(), layer: float = 2) -> None:
        """A closed outline through these points."""
        mark = self._mark("area", np.asarray(points, dtype=float), (look,), layer)
        if mark:
            mark.artist.set_xy(mark.points)
            _fill(mark.artist, look)

    def circle(self, middle: Sequence[float], diameter: float, look: Look = Look(), layer: float = 2) -> None:
        """A circle."""
        mark = self._mark("circle", np.array([*middle, diameter], dtype=float), (look,), layer)
        if mark:
            mark.artist.set_center((middle[0], middle[1]))
            mark.artist.set_radius(diameter / 2)
            _fill(mark.artist, look)

    def line(self, points: Any, look: Look = Look(width=THIN), layer: float = 3) -> None:
        """An open line; a point of NaN lifts the pen."""
        mark = self._mark("line", np.asarray(points, dtype=float), (look,), layer)
        if mark:
            mark.artist.set_data(mark.points[:, 0], mark.points[:, 1])
            mark.artist.set(color=look.ink or "none", linewidth=look.width, linestyle=_dashes(look))

    def lettering(
        self, at: Sequence[float], text: str, size: float = 7, bold: bool = False, ink: str = INK,
        side: str = "left", turned: float = 0, leaning: bool = False, layer: float = 6,
    ) -> None:  # fmt: skip
        """A line of lettering: `at` is on its base line, at its ``left``, ``center`` or ``right``.

        `size` in points, `turned` in degrees against the clock.
        """
        looks = (text, size, bold, ink, side, turned, leaning)
        mark = self._mark("lettering", np.array(at, dtype=float), looks, layer)
        if mark:
            mark.artist.set_position((at[0], at[1]))
            mark.artist.set(
                text=text, fontsize=size, fontweight="bold" if bold else "normal", color=ink,
                fontstyle="italic" if leaning else "normal", ha=side, rotation=turned,
            )  # fmt: skip

    def _mark(self, kind: str, points: Any, looks: tuple[Any, ...], layer: float) -> Mark | None:
        """The next mark of this kind, to be changed; None where it stands as asked already."""
        at, marks = self._used[kind], self._marks[kind]
        self._used[kind] += 1
        self._order += 1
        if at == len(marks):
            mark = Mark(kind, self._new_artist(kind), points, looks, layer, self._order)
            marks.append(mark)
        else:
            mark = marks[at]
            if (
                mark.looks == looks
                and mark.layer == layer
                and mark.order == self._order
                and mark.points.shape == points.shape
                and np.array_equal(mark.points, points, equal_nan=True)
            ):
                return None
            mark.points, mark.looks, mark.layer, mark.order = points, looks, layer, self._order
            mark.written = ""
        # of two things on one layer, the later one lies on top
        mark.artist.set_zorder(layer + self._order * 1e-6)
        return mark

    def _new_artist(self, kind: str) -> Any:
        if kind == "area":
            return self.axes.add_patch(Polygon([(0, 0)], closed=True, joinstyle="round"))
        if kind == "circle":
            return self.axes.add_patch(Circle((0, 0), 1))
        if kind == "line":
            line = Line2D([], [], solid_capstyle="butt", solid_joinstyle="round")
            return self.axes.add_line(line)
        return self.axes.text(0, 0, "", va="baseline", rotation_mode="anchor", parse_math=False)


def _fill(patch: Any, look: Look) -> None:
    patch.set_fill(look.fill is not None)
    patch.set_facecolor(look.fill or "none")
    patch.set_edgecolor(look.ink or "none")
    patch.set_linewidth(look.width if look.ink else 0)
    patch.set_linestyle(_dashes(look))


def _dashes(look: Look) -> Any:
    dashes = LINE_STYLES[look.style]
    return (0, dashes) if dashes else "-"


def text_width(text: str, letter: float, bold: bool = False) -> float:
    """How wide a line of lettering is, in page mm."""
    return sum(_letter_width(sign, bold) for sign in text) * letter * POINT


@functools.cache
def _letter_width(sign: str, bold: bool) -> float:
    """How wide one letter is, as a share of the size of the lettering."""
    font = get_font(findfont(FontProperties(weight="bold" if bold else "normal")))
    if not font.get_char_index(ord(sign)):
        # of an alphabet that this font lacks: the page or the printer takes another
        return 1.0 if unicodedata.east_asian_width(sign) in "WF" else 0.6
    font.set_size(100, 72)
    return float(font.load_char(ord(sign)).linearHoriAdvance / 65536 / 100)


def can_letter(text: str) -> bool:
    """Whether a printed sheet can show every letter of a text: the font lacks some alphabets.

    >>> can_letter("Wilma Přemyslová"), can_letter("日本")
    (True, False)
    """
    font = get_font(findfont(FontProperties()))
    return all(font.get_char_index(ord(sign)) for sign in text if sign.isprintable())
