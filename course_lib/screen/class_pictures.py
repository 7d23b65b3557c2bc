"""Pictures of a class: how points are spread, how each exercise went, which slips were made, and by whom."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from course_lib.screen.charts import Chart, even_ticks
from course_lib.screen.sheet import GREY, INK, OUTLINE, PAPER, SIGNAL, THIN, Look, Sheet, text_width

WIDE = 180.0
_ROW = 6.4
# How an exercise stands, in the order in which a bar shows it: what it is called, and its hatch.
STANDS = (
    ("right at once", "solid"),
    ("right later", "rising"),
    ("not right", "crossed"),
    ("not answered", "none"),
)
SHARES = (("less than half", "crossed"), ("half and more", "solid"))
SLIPPED = (("made this slip", "crossed"), ("answered without it", "none"))
AT_ONCE, LATER, NOT_RIGHT, NOTHING = "R", "r", "x", "."


@dataclass(frozen=True)
class ExerciseBar:
    """One exercise: how it is called, how many learners stand how (as in `STANDS`), and tries a learner."""

    title: str
    counts: tuple[int, int, int, int]
    tries: float


@dataclass(frozen=True)
class SlipBar:
    """One slip: what was done, in which exercise, by how many of how many."""

    name: str
    exercise: str
    made: int
    of: int


@dataclass(frozen=True)
class Row:
    """One learner on the board: name, a sign an exercise, and whether somebody should look."""

    name: str
    stands: str
    points: int
    of: int
    look: bool


def points_spread(tenths: Sequence[int]) -> tuple[Sheet, str]:
    """How many learners have which share of the points.

    Args:
        tenths: how many have up to 10 %, up to 20 %, ... up to 100 %.

    Returns:
        The sheet, and the same in words.
    """
    sheet, most = Sheet(WIDE, 62), max([*tenths, 1])
    sheet.lettering((4, 56), "Learners by their share of the points", 8, True)
    _legend(sheet, (96.0, 55.5), SHARES)
    chart = Chart(sheet, 14, 12, 160, 36, (0, 10), (0, 1.15 * most))
    chart.scale_below("share of the points, in per cent", range(11), lambda tenth: f"{10 * tenth:.0f}")
    chart.scale_beside("", [tick for tick in even_ticks(0, most, 4) if tick == int(tick)])
    for at, count in enumerate(tenths):
        if count:
            chart.column(at + 0.5, 0, count, 13, SHARES[at >= 5][1])
            sheet.lettering(
                (float(chart.x(at + 0.5)), float(chart.y(count)) + 1), str(count), 7, side="center"
            )
    told = [f"{10 * at} to {10 * at + 10} per cent: {count}" for at, count in enumerate(tenths) if count]
    return sheet, f"How many learners have which share of the points. {'; '.join(told) or 'Nobody yet'}."


def by_exercise(heading: str, bars: Sequence[ExerciseBar]) -> tuple[Sheet, str]:
    """How each exercise of a lesson went, a bar an exercise."""
    sheet = Sheet(WIDE, 22 + _ROW * len(bars))
    top = sheet.height
    sheet.lettering((4, top - 6), heading, 8, True)
    _legend(sheet, (66.0, top - 13), STANDS)
    learners = max([sum(bar.counts) for bar in bars] + [1])
    chart = Chart(sheet, 66, 3, 88, top - 20, (0, learners), (0, len(bars)))
    sheet.lettering((176, top - 16.5), "tries each", 6.5, side="right", ink=GREY)
    for at, bar in enumerate(bars):
        middle = len(bars) - at - 0.5
        _exercise_bar(sheet, chart, middle, bar)
    told = [
        f"{bar.title}: "
        + ", ".join(f"{count} {name}" for count, (name, _) in zip(bar.counts, STANDS, strict=True) if count)
        + f", {bar.tries:.1f} tries each"
        for bar in bars
    ]
    return sheet, f"{heading}. {'; '.join(told)}."


def _exercise_bar(sheet: Sheet, chart: Chart, middle: float, bar: ExerciseBar) -> None:
    low = float(chart.y(middle)) - 0.9
    sheet.lettering((64, low), _fitting(bar.title, 58, 7.5), 7.5, side="right")
    start = 0
    for count, (_, hatch) in zip(bar.counts, STANDS, strict=True):
        if count:
            chart.bar(start, start + count, middle, 4.2, hatch)
            across = float(chart.x(start + count / 2))
            if float(chart.x(count) - chart.x(0)) > 5:
                _on_patch(sheet, (across, low), str(count))
        start += count
    sheet.lettering((176, low), f"{bar.tries:.1f}", 7, side="right")


def _on_patch(sheet: Sheet, at: tuple[float, float], text: str) -> None:
    """A figure on a bar, on a patch of paper so that no hatch runs through it."""
    half = text_width(text, 7) / 2 + 0.5
    x, y = at
    corners = np.array([[x - half, y - 0.5], [x + half, y - 0.5], [x + half, y + 2.3], [x - half, y + 2.3]])
    sheet.area(corners, Look(PAPER, None), 5)
    sheet.lettering(at, text, 7, side="center")


def _legend(sheet: Sheet, at: tuple[float, float], hatches: Sequence[tuple[str, str]]) -> None:
    x, y = at
    for name, hatch in hatches:
        Chart(sheet, x, y, 6, 3, (0, 1), (0, 1)).bar(0, 1, 0.5, 3, hatch)
        sheet.lettering((x + 7.5, y + 0.5), name, 7)
        x += 10.5 + text_width(name, 7)


def slips_made(bars: Sequence[SlipBar]) -> tuple[Sheet, str]:
    """The slips that most learners made, a bar a slip."""
    sheet = Sheet(WIDE, 12 + 8.6 * max(len(bars), 1))
    top = sheet.height
    sheet.lettering((4, top - 6), "What went wrong most often", 8, True)
    if not bars:
        sheet.lettering((4, top - 14), "Nobody made a slip that the course knows.", 7.5)
        return sheet, "Nobody made a slip that the course knows."
    _legend(sheet, (96.0, top - 6.5), SLIPPED)
    chart = Chart(sheet, 96, 2, 62, top - 12, (0, 1), (0, len(bars)))
    for at, bar in enumerate(bars):
        middle = len(bars) - at - 0.5
        low = float(chart.y(middle))
        sheet.lettering((94, low + 0.4), _fitting(bar.name, 88, 7.5), 7.5, side="right")
        sheet.lettering((94, low - 2.8), _fitting(bar.exercise, 88, 6.5), 6.5, side="right", ink=GREY)
        chart.bar(0, 1, middle, 4.4, "none")
        chart.bar(0, bar.made / max(bar.of, 1), middle, 4.4, "crossed")
        sheet.lettering((160, low - 0.9), f"{bar.made} of {bar.of}", 7.5, True)
    told = "; ".join(f"{bar.made} of {bar.of}: {bar.name} ({bar.exercise})" for bar in bars)
    return sheet, f"What went wrong most often. {told}."


def board(rows: Sequence[Row], groups: Sequence[tuple[str, int]]) -> tuple[Sheet, str]:
    """Every learner and every exercise: a sign where they meet.

    Args:
        rows: the learners.
        groups: heading of each lesson, and how many exercises it has here.

    Returns:
        The sheet, and the same in words.
    """
    count = sum(size for _, size in groups)
    apart = min(5.2, (WIDE - 76) / max(count, 1))
    sheet = Sheet(WIDE, 29 + 5.2 * len(rows))
    top = sheet.height
    sheet.lettering((4, top - 6), "Every learner, every exercise", 8, True)
    _board_legend(sheet, top - 13)
    left = 50.0
    for heading, size in groups:
        for at in range(size):
            sheet.lettering((left + apart * (at + 0.4), top - 24), f"{at + 1}", 5.5, side="center")
        sheet.lettering((left, top - 20), _fitting(heading, apart * size, 6.5), 6.5)
        if left > 50:
            sheet.line([[left - apart / 4, top - 22], [left - apart / 4, 2]], Look(None, GREY, 0.3))
        left += apart * size
    for at, row in enumerate(rows):
        _board_row(sheet, top - 28 - 5.2 * at, row, apart)
    told = "; ".join(f"{row.name}: {row.points} of {row.of}" for row in rows)
    return sheet, f"Points of every learner. {told}."


def _board_row(sheet: Sheet, y: float, row: Row, apart: float) -> None:
    sheet.lettering((46, y), _fitting(row.name, 42, 7), 7, row.look, side="right")
    for at, sign in enumerate(row.stands):
        _sign(sheet, (50 + apart * (at + 0.4), y + 0.9), sign, min(3.4, apart * 0.75))
    x = 50 + apart * len(row.stands) + 3
    sheet.lettering((x, y), f"{row.points} of {row.of}", 7, True)
    if row.look:
        sheet.lettering((x + 14, y), "look", 7, ink=SIGNAL)


def _sign(sheet: Sheet, at: tuple[float, float], sign: str, size: float) -> None:
    """A full round: right at once; an empty one: right later; a cross: not right; a dot: not answered."""
    if sign == AT_ONCE:
        sheet.circle(at, size, Look(GREY, INK, THIN))
    elif sign == LATER:
        sheet.circle(at, size, Look(PAPER, INK, THIN))
    elif sign == NOT_RIGHT:
        half = size / 2.6
        x, y = at
        gap = [np.nan, np.nan]
        cross = [[x - half, y - half], [x + half, y + half], gap, [x - half, y + half], [x + half, y - half]]
        sheet.line(np.array(cross), Look(None, SIGNAL, OUTLINE))
    elif sign == NOTHING:
        sheet.circle(at, 0.5, Look(GREY, None))


def _board_legend(sheet: Sheet, y: float) -> None:
    x = 50.0
    for sign, (name, _) in zip((AT_ONCE, LATER, NOT_RIGHT, NOTHING), STANDS, strict=True):
        _sign(sheet, (x + 1.5, y + 0.9), sign, 3.4)
        sheet.lettering((x + 4.5, y), name, 7)
        x += 9 + text_width(name, 7)


def _fitting(text: str, wide: float, letter: float) -> str:
    """A text cut to a width in mm, with dots where it was cut."""
    if text_width(text, letter) <= wide:
        return text
    while text and text_width(f"{text}...", letter) > wide:
        text = text[:-1]
    return f"{text}..." if text else ""
