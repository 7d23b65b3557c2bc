"""The panels of the first two lessons: right at both ends of every slider, and never an old picture."""

import itertools
import math

import pytest

from course_lib.bench.measuring import measured
from course_lib.bench.units import mm
from course_lib.classroom.exercises.lessons.lesson_01 import workshop_readings
from course_lib.classroom.pieces.job_in_hand import demo_job, demo_names
from course_lib.screen.sheet import Sheet
from course_lib.screen.stages.reading import (
    GAUGES,
    MOST_READINGS,
    ReadingStage,
    alike,
    as_shown,
    reading_panel,
    stacked,
    trust,
    words,
)
from course_lib.screen.stages.wire import WireStage, first_slider, slider_range, writings

DEMOS = demo_names()
READ = (0.803, 0.811, 0.802, 0.804, 0.802)


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
    assert ("with a comma", "0,79 mm") in found.rows()
    assert writings(25.4 / 1000).fraction == "1/64"  # the smallest there is


@pytest.mark.parametrize("demo", DEMOS)
def test_both_ends_and_the_middle_of_the_first_slider_differ(demo: str) -> None:
    panel = first_slider(demo_job(demo).size("claw", "wire"), "claw wire")
    slider = panel.rows["wire"].slider
    seen = set()
    for value in (slider.min, slider.value, slider.max):
        slider.value = value
        assert f"{value:.2f} mm" in panel.seen.words
        assert f"<td>{value:.2f} mm</td>" in panel.page.value
        seen.add(panel.page.value)
    assert len(seen) == 3


def test_the_wire_and_the_bar_are_drawn_to_one_scale() -> None:
    stage, still, moving = WireStage(0.8, "claw wire"), Sheet(90, 66), Sheet(90, 66)
    stage.draw_still(still)
    stage.draw(moving, stage.see({"wire": 1.1}))
    across = [mark.points[2] for mark in moving.marks() if mark.kind == "circle"]
    bar = next(mark.points for mark in still.marks() if mark.kind == "line")
    assert across == pytest.approx([1.1 * (bar[1, 0] - bar[0, 0]), 0.8 * (bar[1, 0] - bar[0, 0])])


def test_the_picture_in_words_says_thicker_thinner_or_equal() -> None:
    picture = WireStage(0.8, "claw wire")
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
    for key, ends in (("count", (2, MOST_READINGS)), ("zero", (-20, 20)), ("gauge", GAUGES[1:])):
        before, seen = panel.values[key], set()
        for value in (ends[0], before, ends[1]):
            panel.set(**{key: value})
            seen.add((panel.page.value, panel.seen.words))
        assert len(seen) == 3, key
        panel.set(**{key: before})


def test_all_corners_of_the_panel_can_be_drawn() -> None:
    panel = reading_panel([r * mm for r in READ], 0.004 * mm)
    for count, zero, gauge in itertools.product((2, MOST_READINGS), (-20, 20), GAUGES):
        panel.set(count=count, zero=zero, gauge=gauge)
        now = trust(READ, count, zero / 1000, gauge)
        assert panel.seen.words == "; ".join(words(now, count, gauge)) + "."
        assert "nan" not in panel.page.value.lower()


@pytest.mark.parametrize("size", [0.5, 0.8, 1.2])
def test_the_wire_of_the_readings_is_to_the_scale_that_is_written(size: float) -> None:
    readings = [size, size + 0.002, size - 0.001]
    stage = ReadingStage(readings, 0.0, "wire")
    sheet = Sheet(*stage.paper)
    stage.draw(sheet, stage.see(stage.pattern_values()))
    largest = max(mark.points[2] for mark in sheet.marks() if mark.kind == "circle")
    assert largest == pytest.approx(trust(readings, 3, 0.0, "micrometer").value * stage.scale)


def test_a_band_beyond_the_picture_is_told_in_the_picture() -> None:
    panel = reading_panel([r * mm for r in READ], 0.004 * mm)
    assert "beyond" not in panel.page.value
    panel.set(gauge="vernier caliper")
    assert "beyond" in panel.page.value


def test_the_panel_does_not_say_what_the_exercises_ask() -> None:
    # the bars are to be judged by eye: their figures are the answers of exercises
    panel = reading_panel([r * mm for r in READ], 0.004 * mm)
    found = trust(READ, 5, 0.004, "micrometer")
    assert f"{found.together:.1f}" not in panel.page.value
