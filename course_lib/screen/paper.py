"""Lettering on a printed sheet: paragraphs, ruled tables, boxes to tick and lines to write on."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from course_lib.screen.sheet import CAPITAL, GREY, INK, POINT, Look, Sheet, text_width

# from one base line to the next, in sizes of the lettering
_LINE_SPACING = 1.3


def letters(
    sheet: Sheet, x: float, y: float, text: str, letter: float = 7.5, bold: bool = False, ink: str = INK,
    side: str = "left", leaning: bool = False,
) -> None:  # fmt: skip
    """Lettering whose first line's top is at y.

    Args:
        sheet: to draw on.
        x, y: where the first line's top begins, in mm of the sheet.
        text: what it says; a line end begins a new line.
        letter: size of the lettering, in points.
        bold: thick letters.
        ink: colour.
        side: which side of the lines stands at x: ``left``, ``center`` or ``right``.
        leaning: slanted letters.
    """
    for at, line in enumerate(text.split("\n")):
        down = (CAPITAL + 0.06 + at * _LINE_SPACING) * letter * POINT
        sheet.lettering((x, y - down), line, letter, bold, ink, side, leaning=leaning)


def paragraph(
    sheet: Sheet,
    x: float,
    y: float,
    width: float,
    text: str,
    letter: float = 7.5,
    bold: bool = False,
    ink: str = INK,
) -> float:
    """Lettering wrapped to a width.

    Args:
        sheet: to draw on.
        x, y: the upper left corner, in mm of the sheet.
        width: of the longest line, in mm of the sheet.
        text: what it says.
        letter: size of the lettering, in points.
        bold: thick letters.
        ink: colour.

    Returns:
        The y under it, in mm of the sheet.
    """
    lines = wrapped(text, width, letter, bold)
    letters(sheet, x, y, "\n".join(lines), letter, bold, ink)
    return y - height_of(len(lines), letter)


def wrapped(text: str, width: float, letter: float, bold: bool = False) -> list[str]:
    """A text in lines of at most this width.

    Args:
        text: what it says.
        width: of the longest line, in mm of the sheet.
        letter: size of the lettering, in points.
        bold: thick letters.

    Returns:
        The lines, first to last.
    """
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
    return lines * letter * POINT * _LINE_SPACING


def table(
    sheet: Sheet, x: float, y: float, widths: Sequence[float], head: Sequence[str],
    rows: Sequence[Sequence[str]], letter: float = 7, row_height: float = 4.2,
) -> float:  # fmt: skip
    """A ruled table; the first column is set left, the others right.

    Args:
        sheet: to draw on.
        x, y: the upper left corner, in mm of the sheet.
        widths: of the columns, in mm of the sheet.
        head: what stands over each column.
        rows: the cells, row by row.
        letter: size of the lettering, in points.
        row_height: from one row to the next, in mm of the sheet.

    Returns:
        The y under it, in mm of the sheet.
    """
    edges = np.concatenate([[0], np.cumsum(widths)]) + x
    head_lines = max(h.count("\n") + 1 for h in head)
    head_height = head_lines * row_height * 0.72 + 1.2
    for at, text in enumerate(head):
        left = at == 0
        letters(
            sheet,
            edges[at] + 0.8 if left else edges[at + 1] - 0.8,
            y - 0.6,
            text,
            letter - 0.5,
            True,
            side="left" if left else "right",
        )
    _rule(sheet, edges[0], edges[-1], y - head_height, Look(None, INK, 0.7))
    line = y - head_height
    for row in rows:
        for at, text in enumerate(row):
            left = at == 0
            letters(
                sheet,
                edges[at] + 0.8 if left else edges[at + 1] - 0.8,
                line - 0.9,
                text,
                letter,
                side="left" if left else "right",
            )
        line -= row_height
        _rule(sheet, edges[0], edges[-1], line, Look(None, GREY, 0.25))
    return line


def tick_box(sheet: Sheet, x: float, y: float, side: float = 3.2) -> None:
    """An empty box to tick, its top left corner at x, y.

    Args:
        sheet: to draw on.
        x, y: the upper left corner, in mm of the sheet.
        side: of the box, in mm of the sheet.
    """
    corners = [(x, y), (x + side, y), (x + side, y - side), (x, y - side)]
    sheet.area(np.array(corners), Look(width=0.7))


def blank(sheet: Sheet, x: float, y: float, width: float, label: str, letter: float = 7) -> None:
    """A line to write on, with a word before it.

    Args:
        sheet: to draw on.
        x, y: the upper left corner, in mm of the sheet.
        width: of word and line together, in mm of the sheet.
        label: the word before it.
        letter: size of the lettering, in points.
    """
    letters(sheet, x, y, label, letter)
    start = x + text_width(label, letter) + 1
    _rule(sheet, start, x + width, y - letter * POINT * 1.15, Look(None, INK, 0.4))


def _rule(sheet: Sheet, left: float, right: float, y: float, look: Look) -> None:
    sheet.line(np.array([[left, y], [right, y]]), look)
