"""The panels of the first two lessons: right at both ends of every slider, and never an old picture."""

import base64
import itertools
import math
import re
from typing import Any

import matplotlib.pyplot as plt
import pytest
from matplotlib.colors import to_rgb
from matplotlib.patches import Circle

from course_lib.bench.measuring import measured
from course_lib.bench.units import mm
from course_lib.classroom.job_in_hand import demo_job, demo_names
from course_lib.classroom.lessons.lesson_01 import workshop_readings
from course_lib.screen.first_slider import WirePicture, first_slider, slider_range, writings
from course_lib.screen.reading_panel import (
    GAUGES,
    MOST_READINGS,
    ReadingPicture,
    alike,
    as_shown,
    reading_panel,
    stacked,
    trust,
    words,
)

DEMOS = demo_names()
READ = (0.803, 0.811, 0.802, 0.804, 0.802)


def alternative(image: str) -> str:
    found = re.search(r'alt="([^"]+)"', image)
    assert found
    return found[1]


def drawing(image: str) -> str:
    found = re.search(r"base64,([^\"]+)", image)
    assert found
    return base64.b64decode(found[1]).decode("utf-8")


# --- the first slider ---


@pytest.mark.parametrize("wire", [0.3, 0.5, 0.7, 0.8, 0.912, 1.3, 2.0, 2.9])
def test_the_slider_holds_the_patterns_wire(wire: float) -> None:
    least, most = slider_range(wire)
    assert 0 < least < wire < most


def test_one_size_is_written_in_every_way() -> None:
    found = writings(25.4 / 32)
    assert (found.fraction, found.gauge) == ("1/32", 20)
    assert found.thou == pytest.approx(31.25)
    assert found.gauge_mm == pytest.approx(0.127 * 92 ** (16 / 39))
    assert "0,79 mm" in found.lines()[0]
    assert writings(25.4 / 1000).fraction == "1/64"  # the smallest there is


@pytest.mark.parametrize("demo", DEMOS)
def test_both_ends_and_the_middle_of_the_first_slider_differ(demo: str) -> None:
    panel = first_slider(demo_job(demo).size("claw", "wire"), "claw wire")
    seen = set()
    for value in (panel.slider.min, panel.slider.value, panel.slider.max):
        panel.slider.value = value
        shown = (drawing(panel.image.value), panel.said.value, alternative(panel.image.value))
        assert f"{value:.2f} mm" in shown[2]
        assert f"{value:.2f} mm" in shown[1]
        seen.add(shown)
    assert len(seen) == 3


def test_the_wire_is_drawn_to_scale_and_round() -> None:
    picture = WirePicture(0.8, 1.2)
    picture.drawn(1.1)
    axes = picture.figure.axes[0]
    radii = [patch.get_radius() for patch in axes.patches if isinstance(patch, Circle)]
    assert radii == [0.4, 0.55]
    picture.figure.canvas.draw()
    across, up = axes.transData.transform([(0, 0), (1, 1)]).T
    assert abs((across[1] - across[0]) / (up[1] - up[0]) - 1) < 0.01
    bar = axes.lines[0].get_xdata()
    assert bar[1] - bar[0] == 1.0


def test_the_same_picture_is_always_the_same_text() -> None:
    first, second = WirePicture(0.8, 1.2), WirePicture(0.8, 1.2)
    second.drawn(1.0)
    assert first.drawn(0.9) == second.drawn(0.9)


def test_the_picture_in_words_says_thicker_thinner_or_equal() -> None:
    picture = WirePicture(0.8, 1.2, "claw wire")
    assert "0.10 mm thicker than the pattern's claw wire" in picture.words(0.9)
    assert "0.10 mm thinner" in picture.words(0.7)
    assert "as thick as" in picture.words(0.8)


# --- the readings ---


def test_as_many_readings_as_were_taken_tell_what_the_bench_tells() -> None:
    found = trust(READ, 5, 0.004, "micrometer")
    bench = measured([r * mm for r in READ], 0.001 * mm, 0.004 * mm, 0.0012 * mm)
    assert found.value == pytest.approx(bench.value.m_as("mm"))
    assert found.together == pytest.approx(bench.standard_uncertainty.m_as("um"))
    assert found.band == pytest.approx(bench.expanded().m_as("um"))


def test_together_is_the_root_of_the_squares() -> None:
    for count, gauge in itertools.product((2, 5, MOST_READINGS), GAUGES):
        found = trust(READ, count, 0.0, gauge)
        assert found.together == pytest.approx(math.hypot(found.scatter, found.gauge))
        assert found.together >= max(found.scatter, found.gauge)


@pytest.mark.parametrize("gauge", GAUGES)
def test_more_readings_shrink_the_scatter_and_never_the_gauge(gauge: str) -> None:
    found = [trust(READ, count, 0.0, gauge) for count in range(2, MOST_READINGS + 1)]
    assert all(later.scatter <= earlier.scatter for earlier, later in itertools.pairwise(found))
    assert len({round(each.gauge, 9) for each in found}) == 1


def test_readings_that_agree_are_not_known_exactly() -> None:
    found = trust((0.80, 0.80, 0.80), 3, 0.0, "vernier caliper")
    assert found.scatter == 0
    assert found.band > 50


def test_a_coarse_gauge_shows_whole_steps() -> None:
    assert as_shown(READ, 0.05) == [0.8] * 5
    assert as_shown(READ, 0.001) == list(READ)


@pytest.mark.parametrize("count", [2, 3, 5, 30])
def test_imagined_readings_have_the_scatter_asked_for(count: int) -> None:
    made = alike(0.8, 0.004, count)
    middle = sum(made) / count
    spread = math.sqrt(sum((each - middle) ** 2 for each in made) / (count - 1))
    assert (len(made), middle, spread) == (count, pytest.approx(0.8), pytest.approx(0.004))


def test_equal_readings_stand_over_each_other() -> None:
    assert stacked([0.8, 0.8, 0.81], 2.0) == [2.0, 2.3, 2.0]


@pytest.mark.parametrize("demo", DEMOS)
def test_every_control_changes_the_picture_and_the_words_at_both_ends(demo: str) -> None:
    read = workshop_readings(demo_job(demo))
    panel = reading_panel(read.readings, read.zero_error, "claw wire")
    for control in (panel.count, panel.zero):
        before, seen = control.value, set()
        for value in (control.min, before, control.max):
            control.value = value
            seen.add((drawing(panel.image.value), alternative(panel.image.value)))
        assert len(seen) == 3, control.description
        control.value = before
    seen = set()
    for gauge in GAUGES:
        panel.gauge.value = gauge
        assert gauge in panel.said.value
        seen.add(drawing(panel.image.value))
    assert len(seen) == len(GAUGES)


def test_all_corners_of_the_panel_can_be_drawn() -> None:
    panel = reading_panel([r * mm for r in READ], 0.004 * mm)
    for count, zero, gauge in itertools.product((2, MOST_READINGS), (-20, 20), GAUGES):
        panel.count.value, panel.zero.value, panel.gauge.value = count, zero, gauge
        now = trust(READ, count, zero / 1000, gauge)
        assert alternative(panel.image.value) == "; ".join(words(now, count, gauge)) + "."
        assert "nan" not in panel.said.value


def test_the_wire_of_the_readings_is_round_and_to_scale() -> None:
    for size in (0.5, 0.8, 1.2):
        readings = [size, size + 0.002, size - 0.001]
        picture = ReadingPicture(readings, 0.0, "wire")
        picture.drawn(trust(readings, 3, 0.0, "micrometer"), 0.0, 3, "micrometer")
        axes = picture.figure.axes[0]
        picture.figure.canvas.draw()
        across, up = axes.transData.transform([(0, 0), (1, 1)]).T
        assert abs((across[1] - across[0]) / (up[1] - up[0]) - 1) < 0.01
        assert axes.patches[0].get_radius() == pytest.approx(size / 2, abs=0.001)
        least, most = axes.get_xlim()
        assert least < -0.5 < 0.5 < most


def test_a_band_beyond_the_picture_is_told_in_the_picture() -> None:
    picture = ReadingPicture(READ, 0.004, "wire")
    picture.drawn(trust(READ, 5, 0.004, "vernier caliper"), 0.004, 5, "vernier caliper")
    assert "beyond" in picture._beyond.get_text()
    picture.drawn(trust(READ, 5, 0.004, "micrometer"), 0.004, 5, "micrometer")
    assert picture._beyond.get_text() == ""


def test_the_panel_does_not_say_what_the_exercises_ask() -> None:
    # the bars are to be judged by eye: their figures are the answers of exercises
    panel = reading_panel([r * mm for r in READ], 0.004 * mm)
    found = trust(READ, 5, 0.004, "micrometer")
    assert f"{found.together:.1f}" not in panel.said.value
    assert not [each for each in panel._picture.figure.axes[2].texts if each.get_text()]


# --- all panels ---


def panels() -> list[Any]:
    read = workshop_readings(demo_job())
    return [first_slider(0.8 * mm), reading_panel(read.readings, read.zero_error)]


def test_panels_leave_no_figure_open() -> None:
    before = plt.get_fignums()
    panels()
    assert plt.get_fignums() == before


def test_panels_keep_their_figure_and_lines() -> None:
    for panel in panels():
        figure = panel._picture.figure
        drawn = [id(artist) for axes in figure.axes for artist in axes.get_children()]
        slider = panel.slider if hasattr(panel, "slider") else panel.count
        for value in (slider.min, slider.max, slider.min):
            slider.value = value
        assert panel._picture.figure is figure
        assert [id(artist) for axes in figure.axes for artist in axes.get_children()] == drawn


def test_panels_need_no_colour() -> None:
    for panel in panels():
        for axes in panel._picture.figure.axes:
            for patch in axes.patches:
                red, green, blue, _ = patch.get_facecolor()
                assert red == green == blue or not patch.get_fill()
            for line in axes.lines:
                assert len(set(to_rgb(line.get_color()))) == 1


def test_panels_have_a_short_text_for_where_no_widget_is_shown() -> None:
    for panel in panels():
        bundle = panel._repr_mimebundle_()
        assert bundle["text/plain"] == repr(panel)
        assert len(repr(panel)) < 300
        assert "0x" not in repr(panel)
