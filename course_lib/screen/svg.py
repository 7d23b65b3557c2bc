"""A sheet written as SVG, for a page: fast enough to be written again at every move of a slider.

What has not changed since it was last written is taken from the mark itself. Lengths are in hundredths
of a millimetre, so that nearly all of them are whole numbers.
"""

import base64
import html
from functools import lru_cache
from itertools import pairwise
from typing import Any

import numpy as np
from markupsafe import Markup

from course_lib.screen.inks import PAPER
from course_lib.screen.pages import part_from
from course_lib.screen.sheet import LINE_STYLES, POINT, Look, Mark, Sheet, text_width

_UNIT = 100  # of a millimetre
# larger than on paper, for a screen is further off than a card on the bench
PIXELS_PER_MM = 4.6
_FONT = "DejaVu Sans, Verdana, sans-serif"
_ANCHOR = {"left": "start", "center": "middle", "right": "end"}


def marks_as_svg(sheet: Sheet) -> str:
    """Everything on the sheet as the inside of an SVG element, the lowest first."""
    parts = []
    for mark in sheet.marks():
        if not mark.written:
            mark.written = _WRITE[mark.kind](mark, sheet.height)
        parts.append(mark.written)
    return "".join(parts)


def as_svg(sheet: Sheet, words: str, paper: str | None = PAPER, inside: str = "") -> Markup:
    """The sheet as an SVG element of a page.

    Args:
        sheet: what is drawn.
        words: the same in words, for whoever does not see it; empty for a layer that says nothing of its own.
        paper: the paper's colour, or None for a layer that lies over another.
        inside: marks that were written before, in place of the sheet's own.

    Returns:
        The element. It fills the width that it is given and keeps its form.

    >>> sheet = Sheet(20, 10)
    >>> sheet.line([[0, 0], [20, 10]])
    >>> print(as_svg(sheet, "A slanting line.")[:46])
    <svg xmlns="http://www.w3.org/2000/svg" viewBo
    """
    wide, high = round(sheet.width * _UNIT), round(sheet.height * _UNIT)
    return part_from(
        "drawing.html", "drawing",
        wide=wide, high=high, words=words, paper=paper, font=_FONT,
        across=f"{sheet.width * PIXELS_PER_MM:g}", down=f"{sheet.height * PIXELS_PER_MM:g}",
        # every letter on a sheet went through `_write_lettering`
        marks=Markup(inside or marks_as_svg(sheet)),
    )  # fmt: skip


def as_image(sheet: Sheet, words: str) -> Markup:
    """The sheet as an image of a page, with its text alternative; no page takes anything out of it."""
    data = base64.b64encode(as_svg(sheet, words).encode()).decode("ascii")
    return part_from("drawing.html", "image", words=words, data=data)


def _path(points: Any, height: float, closed: bool) -> str:
    placed = np.empty_like(points)
    placed[:, 0] = points[:, 0] * _UNIT
    placed[:, 1] = (height - points[:, 1]) * _UNIT
    lifted = np.isnan(placed[:, 0])
    if not lifted.any():
        return _strokes(placed, closed)
    ends = [-1, *np.flatnonzero(lifted).tolist(), len(placed)]
    pieces = (placed[start + 1 : end] for start, end in pairwise(ends))
    return "".join(_strokes(piece, closed) for piece in pieces if len(piece))


def _strokes(points: Any, closed: bool) -> str:
    flat = np.rint(points).astype(int).ravel().tolist()
    return ("M" + "%d %d " * (len(flat) // 2) + ("z" if closed else "")) % tuple(flat)


@lru_cache(maxsize=4096)
def _style(look: Look) -> str:
    fill = f'fill="{look.fill}"' if look.fill else 'fill="none"'
    if not look.ink:
        return fill
    width = look.width * POINT * _UNIT
    dashes = LINE_STYLES[look.style]
    dashed = f' stroke-dasharray="{" ".join(f"{d * width:.0f}" for d in dashes)}"' if dashes else ""
    return f'{fill} stroke="{look.ink}" stroke-width="{width:.3g}"{dashed}'


def _write_area(mark: Mark, height: float) -> str:
    return f'<path d="{_path(mark.points, height, True)}" {_style(mark.looks[0])}/>'


def _write_line(mark: Mark, height: float) -> str:
    return f'<path d="{_path(mark.points, height, False)}" {_style(mark.looks[0])}/>'


def _write_circle(mark: Mark, height: float) -> str:
    x, y, diameter = mark.points.tolist()
    across, down = x * _UNIT, (height - y) * _UNIT
    return (
        f'<circle cx="{across:.0f}" cy="{down:.0f}" r="{diameter * _UNIT / 2:.1f}" {_style(mark.looks[0])}/>'
    )


def _write_lettering(mark: Mark, height: float) -> str:
    text, size, bold, ink, side, turned, leaning = mark.looks
    if not text:
        return " "
    x, y = mark.points.tolist()
    across, down = round(x * _UNIT), round((height - y) * _UNIT)
    # a page may have another font: its letters are then spread or drawn in to the width of ours
    length = text_width(text, size, bold) * _UNIT
    weight = ' font-weight="bold"' if bold else ""
    slant = ' font-style="italic"' if leaning else ""
    turn = f' transform="rotate({-turned:g} {across} {down})"' if turned else ""
    return (
        f'<text x="{across}" y="{down}" font-size="{size * POINT * _UNIT:.0f}" textLength="{length:.0f}" '
        f'lengthAdjust="spacingAndGlyphs" text-anchor="{_ANCHOR[side]}" fill="{ink}"{weight}{slant}{turn}>'
        f"{html.escape(text, quote=False)}</text>"
    )


_WRITE = {
    "area": _write_area,
    "circle": _write_circle,
    "line": _write_line,
    "lettering": _write_lettering,
}
