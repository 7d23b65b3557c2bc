"""Paper and pencil: true to size, kept and moved, and the same as SVG as in print."""

import io
import math
import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import is_color_like

from course_lib.screen.charts import Chart, even_ticks
from course_lib.screen.drafting import Placed, arrowhead, hatching
from course_lib.screen.sheet import GREY, INK, LINE_STYLES, Look, Sheet, text_width
from course_lib.screen.svg import as_svg, marks_as_svg

SQUARE = np.array([[0, 0], [10, 0], [10, 10], [0, 10]], dtype=float)


def some_of_everything(sheet: Sheet, across: float) -> None:
    sheet.area(SQUARE + across, Look("#e6e6e6", INK, 1.1))
    sheet.circle((30, 20), across, Look(None, GREY, 0.5, "dashed"))
    sheet.line([[5, 5], [across, 25], [math.nan, math.nan], [40, 5], [50, 10]], Look(width=0.5))
    sheet.lettering((20, 30), f"{across:.2f} mm & more", 8, side="center", turned=30)


def test_a_millimetre_of_the_sheet_is_a_millimetre_of_paper() -> None:
    sheet = Sheet(80, 40)
    assert sheet.figure.get_size_inches() * 25.4 == pytest.approx([80, 40])
    ends = sheet.axes.transData.transform([(0, 0), (80, 40)])
    assert (ends[1] - ends[0]) / sheet.figure.dpi * 25.4 == pytest.approx([80, 40])


def test_drawing_again_moves_what_is_there() -> None:
    sheet = Sheet(80, 40)
    some_of_everything(sheet, 12)
    before = [id(mark.artist) for mark in sheet.marks()]
    for across in (13.0, 15.5):
        some_of_everything(sheet.begin(), across)
        sheet.end()
    assert [id(mark.artist) for mark in sheet.marks()] == before
    fresh = Sheet(80, 40)
    some_of_everything(fresh, 15.5)
    assert marks_as_svg(sheet) == marks_as_svg(fresh)


def test_what_is_not_drawn_again_is_taken_off() -> None:
    sheet = Sheet(80, 40)
    some_of_everything(sheet, 12)
    sheet.begin().line([[0, 0], [1, 1]])
    sheet.end()
    assert [mark.kind for mark in sheet.marks()] == ["line"]
    assert len(sheet.axes.lines) + len(sheet.axes.patches) + len(sheet.axes.texts) == 1


def test_of_two_things_on_one_layer_the_later_lies_on_top_however_often_they_are_drawn() -> None:
    sheet = Sheet(80, 40)
    for order in ("ab", "ba", "ab"):
        sheet.begin()
        for name in order:
            sheet.circle((1, 1), 1, Look("#ffffff" if name == "a" else "#e6e6e6"))
        sheet.end()
        fills = [mark.looks[0].fill for mark in sheet.marks()]
        assert fills == [{"a": "#ffffff", "b": "#e6e6e6"}[name] for name in order]
        by_height = sorted(sheet.axes.patches, key=lambda patch: patch.get_zorder())
        assert [tuple(np.round(p.get_facecolor(), 2)) for p in by_height] == [
            (1, 1, 1, 1) if name == "a" else (0.9, 0.9, 0.9, 1) for name in order
        ]


def test_the_artists_hold_what_the_marks_say() -> None:
    """The card is printed from the artists and a page is written from the marks: both are one drawing."""
    sheet = Sheet(80, 40)
    some_of_everything(sheet, 12)
    some_of_everything(sheet.begin(), 14)
    sheet.end()
    for mark in sheet.marks():
        if mark.kind == "area":
            assert np.array_equal(mark.artist.get_xy()[:-1], mark.points)
        elif mark.kind == "circle":
            assert (*mark.artist.center, 2 * mark.artist.radius) == pytest.approx(tuple(mark.points))
        elif mark.kind == "line":
            assert np.array_equal(mark.artist.get_xydata(), mark.points, equal_nan=True)
        else:
            assert (mark.artist.get_text(), mark.artist.get_rotation()) == (mark.looks[0], mark.looks[5])
            assert mark.artist.get_position() == tuple(mark.points)


def test_svg_places_everything_where_matplotlib_places_it() -> None:
    """The numbers in the SVG against matplotlib's own transformation to the page."""
    sheet = Sheet(80, 40)
    some_of_everything(sheet, 12)
    root = ET.fromstring(as_svg(sheet, "words"))
    space = "{http://www.w3.org/2000/svg}"
    to_page = sheet.axes.transData.transform
    pixel = 2540 / sheet.figure.dpi  # hundredths of a millimetre in a dot of matplotlib's page
    circle = root.find(f"{space}circle")
    assert circle is not None
    x, y = to_page((30, 20)) * pixel
    assert float(circle.get("cx", "")) == pytest.approx(x, abs=1)
    assert float(circle.get("cy", "")) == pytest.approx(4000 - y, abs=1)
    first = root.findall(f"{space}path")[0].get("d", "")
    corners = np.array(re.findall(r"-?\d+", first), dtype=float).reshape(-1, 2)
    expected = to_page(SQUARE + 12) * pixel
    assert corners == pytest.approx(np.column_stack([expected[:, 0], 4000 - expected[:, 1]]), abs=1)


def test_lettering_is_as_wide_as_matplotlib_makes_it() -> None:
    sheet = Sheet(80, 40)
    sheet.lettering((5, 5), "12.34 mm, ø 0.80", 8)
    FigureCanvasAgg(sheet.figure).draw()
    box = sheet.axes.texts[0].get_window_extent()
    drawn = box.width / sheet.figure.dpi * 25.4
    assert drawn == pytest.approx(text_width("12.34 mm, ø 0.80", 8), rel=0.03)


def test_words_and_signs_cannot_break_the_page() -> None:
    sheet = Sheet(10, 10)
    sheet.lettering((1, 1), "<b> & \"quoted\" 'so'")
    root = ET.fromstring(as_svg(sheet, 'a "wire" < 1 & more'))
    assert root.get("aria-label") == 'a "wire" < 1 & more'
    assert root.get("role") == "img"


def test_inks_and_dashes_are_known_to_matplotlib_too() -> None:
    sheet = Sheet(10, 10)
    for style in LINE_STYLES:
        sheet.line([[0, 0], [1, 1]], Look(None, GREY, 0.5, style))
    sheet.figure.savefig(io.BytesIO(), format="pdf")
    assert is_color_like(GREY)


# --- drafting ---


@pytest.mark.parametrize("falling", [False, True])
@pytest.mark.parametrize("radius", [2.0, 5.0, 11.0])
def test_hatching_fills_a_disc_and_leaves_its_hole(radius: float, falling: bool) -> None:
    """Total length of the lines times their distance is the hatched area (a Riemann sum over the disc)."""
    angles = np.linspace(0, 2 * np.pi, 400)
    ring = np.column_stack([np.cos(angles), np.sin(angles)])
    lines = hatching([ring * radius, ring * radius / 2], 0.1, falling)
    strokes = lines[~np.isnan(lines[:, 0])].reshape(-1, 2, 2)
    ways = strokes[:, 1] - strokes[:, 0]
    assert np.hypot(*ways.T).sum() * 0.1 == pytest.approx(math.pi * radius**2 * 0.75, rel=0.03)
    slopes = ways[:, 1] / ways[:, 0]
    assert slopes == pytest.approx(np.full(len(ways), -1.0 if falling else 1.0))
    middles = strokes.mean(axis=1)
    assert np.all(np.hypot(*strokes.reshape(-1, 2).T) < radius * 1.001)
    assert len(middles) > 10


def test_hatching_of_nothing_is_nothing() -> None:
    assert len(hatching([np.zeros((3, 2))], 1.0)) == 0


def test_a_dimension_says_its_figure_over_its_line_and_points_at_both_ends() -> None:
    sheet = Sheet(80, 60)
    Placed(sheet, 20, 20, 4).dimension([0, 0], [8, 0], 6, "8.00")
    heads = [mark.points for mark in sheet.marks() if mark.kind == "area" and len(mark.points) == 3]
    assert sorted(float(head[0][0]) for head in heads) == pytest.approx([20, 52])
    assert [float(head[0][1]) for head in heads] == pytest.approx([26, 26])
    figure = next(mark for mark in sheet.marks() if mark.kind == "lettering")
    assert figure.points == pytest.approx([36, 26.8])


def test_a_narrow_dimension_points_inward_and_stands_beside() -> None:
    sheet = Sheet(80, 60)
    Placed(sheet, 20, 20, 1).dimension([0, 0], [1, 0], 6, "1.00")
    heads = [mark.points for mark in sheet.marks() if mark.kind == "area" and len(mark.points) == 3]
    for head in heads:
        outward = head[1:].mean(axis=0)[0] - head[0][0]
        assert outward * (head[0][0] - 20.5) > 0  # the arrow's body lies outside the size
    figure = next(mark for mark in sheet.marks() if mark.kind == "lettering")
    assert figure.points[0] > 22


def test_dimensions_of_nothing_raise_nothing() -> None:
    sheet = Sheet(80, 60)
    Placed(sheet, 20, 20, 1).dimension([1, 1], [1, 1], 6, "0.00")
    Placed(sheet, 20, 20, 1).arrow([1, 1], [1, 1])
    assert "nan" not in as_svg(sheet, "").lower()


def test_an_arrowhead_points_where_it_is_told() -> None:
    tip, left, right = arrowhead(np.array([5.0, 5.0]), np.array([1.0, 0.0]))
    assert tip == pytest.approx([5, 5])
    assert (left + right) / 2 == pytest.approx([3.0, 5.0])


# --- charts ---


def test_a_bar_is_as_long_as_its_value() -> None:
    sheet = Sheet(100, 60)
    chart = Chart(sheet, 20, 10, 50, 40, (0, 10), (0, 4))
    chart.bar(0, 4, 1, 5, "crossed")
    bar = next(mark.points for mark in sheet.marks() if mark.kind == "area")
    assert np.ptp(bar, axis=0) == pytest.approx([20, 5])
    assert bar.mean(axis=0) == pytest.approx([30, 20])


@pytest.mark.parametrize(("least", "most"), [(0, 1), (0.1, 0.55), (-3, 7), (100, 935), (0, 0.004)])
def test_ticks_are_even_round_and_inside(least: float, most: float) -> None:
    ticks = even_ticks(least, most)
    assert 3 <= len(ticks) <= 12
    assert min(ticks) >= least - 1e-12 and max(ticks) <= most + 1e-12
    assert np.diff(ticks) == pytest.approx(np.full(len(ticks) - 1, ticks[1] - ticks[0]))
