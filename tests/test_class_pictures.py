"""Pictures of a class: every bar as long as its number says, every picture also in words."""

import io
import re
from itertools import pairwise

import pytest

from course_lib.classroom.school.progress_bar import bar, with_bar
from course_lib.screen.class_pictures import (
    WIDE,
    ExerciseBar,
    Row,
    SlipBar,
    board,
    by_exercise,
    points_spread,
    slips_made,
)
from course_lib.screen.sheet import Sheet, text_width
from course_lib.screen.svg import as_svg


def letterings(sheet: Sheet) -> list[tuple[float, float, float, str]]:
    """Left and right end, base line and text of everything that is lettered, in mm."""
    found = []
    for mark in sheet.marks():
        if mark.kind == "lettering" and mark.looks[0]:
            text, size, bold, _, side, *_ = mark.looks
            wide = text_width(text, size, bold)
            left = float(mark.points[0]) - wide * {"left": 0.0, "center": 0.5, "right": 1.0}[side]
            found.append((left, left + wide, float(mark.points[1]), text))
    return found


def widths_of_bars(sheet: Sheet, high: float) -> list[float]:
    """How wide the bars of a height are, in mm, in the order in which they were drawn."""
    corners = [mark.points for mark in sheet.marks() if mark.kind == "area" and mark.looks[0].ink]
    return [
        float(c[:, 0].max() - c[:, 0].min())
        for c in corners
        if abs(c[:, 1].max() - c[:, 1].min() - high) < 1e-6
    ]


def test_a_bar_is_as_long_as_its_number() -> None:
    bars = [ExerciseBar("One", (10, 5, 3, 2), 1.5), ExerciseBar("Two", (1, 1, 1, 17), 3.0)]
    sheet, words = by_exercise("07 Gallery ring", bars)
    wide = widths_of_bars(sheet, 4.2)
    assert [round(each / sum(wide[:4]) * 20, 6) for each in wide] == [10, 5, 3, 2, 1, 1, 1, 17]
    assert words == (
        "07 Gallery ring. One: 10 right at once, 5 right later, 3 not right, 2 not answered, 1.5 tries each; "
        "Two: 1 right at once, 1 right later, 1 not right, 17 not answered, 3.0 tries each."
    )


def test_a_slip_is_told_by_how_many_of_how_many() -> None:
    sheet, words = slips_made([SlipBar("inside diameter", "07/wire: Wire in the ring", 11, 20)])
    assert "11 of 20: inside diameter (07/wire: Wire in the ring)" in words
    whole, part = widths_of_bars(sheet, 4.4)
    assert part / whole == pytest.approx(11 / 20)
    assert any(text == "11 of 20" for *_, text in letterings(sheet))
    assert "Nobody made a slip" in slips_made([])[1]


def test_columns_stand_as_high_as_their_numbers() -> None:
    sheet, words = points_spread([0, 2, 0, 0, 0, 4, 0, 0, 0, 6])
    areas = [mark.points for mark in sheet.marks() if mark.kind == "area"]
    # the patches of the key are narrower
    columns = [c for c in areas if abs(float(c[:, 0].max() - c[:, 0].min()) - 13) < 1e-6]
    heights = [float(c[:, 1].max() - c[:, 1].min()) for c in columns]
    assert [round(height / heights[0], 6) for height in heights] == [1, 2, 3]
    assert words.endswith("10 to 20 per cent: 2; 50 to 60 per cent: 4; 90 to 100 per cent: 6.")
    assert "Nobody yet" in points_spread([0] * 10)[1]


def test_the_board_has_a_sign_for_everybody_and_everything() -> None:
    rows = [Row("Ann", "Rrx.-", 2, 4, True), Row("Bo", "RRRRR", 5, 5, False)]
    sheet, words = board(rows, [("02", 2), ("04", 3)])
    assert words == "Points of every learner. Ann: 2 of 4; Bo: 5 of 5."
    # five rounds of Bo; a full and an empty one and a dot of Ann; three in the legend
    assert len([mark for mark in sheet.marks() if mark.kind == "circle"]) == 5 + 3 + 3
    assert [text for *_, text in letterings(sheet)].count("look") == 1


@pytest.mark.parametrize("learners", [1, 30, 60])
@pytest.mark.parametrize("exercises", [1, 7, 28])
def test_no_lettering_runs_off_the_paper_or_over_another(learners: int, exercises: int) -> None:
    names = ["山田 見本", "x" * 80, "Ann Example", "=cmd|' /C calc'!A0", "\u202eevil", "e\u0301", "🙂 Smile"]
    rows = [Row(names[at % 7], "Rrx."[at % 4] * exercises, at, 99, at % 2 == 0) for at in range(learners)]
    long = "A title that is a great deal longer than anybody would ever write over an exercise, and then more"
    bars = [ExerciseBar(long, (learners, 0, 1, 2), 1.0)] * exercises
    slips = [SlipBar(long * 2, long, 1, learners)] * 12
    pictures = [
        board(rows, [("02", exercises)]), by_exercise(long[:40], bars), slips_made(slips),
        points_spread([learners] * 10),
    ]  # fmt: skip
    for sheet, _ in pictures:
        told = letterings(sheet)
        for left, right, low, text in told:
            assert left > -0.5 and right < WIDE + 0.5 and -0.5 < low < sheet.height, text
        by_line: dict[float, list[tuple[float, float, str]]] = {}
        for left, right, low, text in told:
            by_line.setdefault(round(low, 2), []).append((left, right, text))
        for line in by_line.values():
            line.sort()
            for (_, right, one), (left, _, other) in pairwise(line):
                assert right <= left + 0.01, (one, other)
        # a page is made of it, with nothing in it that a name could have brought in
        assert not re.search(r"<script|\x00", as_svg(sheet, "words"))


def test_a_sign_that_the_font_lacks_has_a_width_too() -> None:
    assert text_width("山", 10) > text_width("i", 10) > 0 and text_width("🙂\u202e\uffff", 7) > 0


def test_the_bar_shows_how_far_it_is() -> None:
    out = io.StringIO()
    assert list(with_bar(range(3), 3, "files", out)) == [0, 1, 2]
    assert out.getvalue().endswith("\r[########################] 3 of 3 files\n")
    assert (
        bar(0, 0) == "[########################] 0 of 0"
        and bar(1, 48) == "[........................] 1 of 48"
    )
    # where nobody watches, nothing is written
    assert list(with_bar(iter("ab"), 2, "files")) == ["a", "b"]
