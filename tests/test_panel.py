"""The panel: moves together, refuses kindly, keeps the last good drawing, and can be used by keys alone."""

import xml.etree.ElementTree as ET
from typing import Any

import ipywidgets
import matplotlib.pyplot as plt
import pytest

from course_lib.bench.refusals import Refused
from course_lib.bench.suspicions import Remark
from course_lib.classroom.pieces.job_in_hand import demo_job
from course_lib.screen.panel import Panel, stage_panel
from course_lib.screen.sheet import Sheet
from course_lib.screen.stage import Count, Figure, NotDrawn, Pick, Seen, Size, Stage, Walk, around, figure_of
from course_lib.screen.stages.basket import STAGE as BASKET
from course_lib.screen.typed_size import typed_value, written

WIRE = Size(key="wire", label="wire", pattern=0.803, least=0.5, most=1.2, step=0.01)


class Trial(Stage):
    """A stage with one control of each kind."""

    paper = (60.0, 40.0)
    looked = 0

    def __init__(self) -> None:
        pass

    def controls(self) -> Any:
        return (
            WIRE,
            Count(key="count", label="how many", pattern=3, least=1, most=9),
            Pick(key="gauge", label="gauge", pattern="caliper", options=("caliper", "micrometer")),
            Walk(key="at", label="pass"),
        )

    def see(self, at: Any) -> Seen:
        self.looked += 1
        if at["wire"] > 1.1:
            raise Refused("a wire over 1.1 mm goes through no hole here. Take 1.1 mm or less.")
        thick = at["wire"] > 1.0
        return Seen(
            rows=[("wire", f"{at['wire']:.3f} mm"), ("gauge", at["gauge"])],
            words=f"A wire of {at['wire']:.3f} mm, step {at['at']}.",
            warnings=[Remark("Thick <wire>.", True)] if thick else [],
            steps={"at": [f"pass {n}" for n in range(at["count"])]},
            made=at["wire"],
        )

    def draw(self, sheet: Sheet, seen: Seen) -> None:
        sheet.circle((30, 20), 20 * seen.made)


@pytest.fixture(name="panel")
def _panel() -> Panel:
    return Panel(Trial())


def box_of(panel: Panel) -> Any:
    return panel.rows["wire"].box


def type_in(panel: Panel, text: str) -> None:
    box_of(panel).value = text


def is_turned(panel: Panel) -> bool:
    return "course-wrong" in box_of(panel)._dom_classes


def test_it_opens_at_the_patterns_sizes(panel: Panel) -> None:
    assert panel.values == {"wire": 0.803, "count": 3, "gauge": "caliper", "at": 0}
    assert "0.803 mm" in panel.page.value
    assert panel.rows["wire"].slider.value == 0.803


def test_a_slider_moves_drawing_table_and_box_together(panel: Panel) -> None:
    before = panel.page.value
    panel.rows["wire"].slider.value = 0.95
    assert panel.page.value != before
    assert "A wire of 0.950 mm" in panel.page.value and "<td>0.950 mm</td>" in panel.page.value
    assert box_of(panel).value == "0.95 mm"


def test_a_move_is_worked_out_once(panel: Panel) -> None:
    panel.stage.looked = 0
    panel.rows["wire"].slider.value = 0.95
    assert panel.stage.looked == 1
    type_in(panel, "0.9 mm")
    assert panel.stage.looked == 2
    panel.set(wire=0.7, count=5, gauge="micrometer")
    assert panel.stage.looked == 3


def test_the_pages_rounding_of_a_typed_size_is_not_taken_for_a_move(panel: Panel) -> None:
    type_in(panel, "20 AWG")
    typed = panel.values["wire"]
    panel.rows["wire"].slider.value = 0.81  # what a page with steps of 0.01 sends back
    assert panel.values["wire"] == typed == pytest.approx(0.8118, abs=1e-4)
    panel.rows["wire"].slider.value = 0.82
    assert panel.values["wire"] == 0.82


@pytest.mark.parametrize(
    ("typed", "in_mm"),
    [
        ("0.9 mm", 0.9),
        ("0,9", 0.9),
        ("20 AWG", 0.8118),
        ("1/32 in", 0.79375),
        ("900 µm", 0.9),
        (" 0.09 cm", 0.9),
    ],
)
def test_a_size_can_be_typed_with_any_unit(panel: Panel, typed: str, in_mm: float) -> None:
    type_in(panel, typed)
    assert panel.values["wire"] == pytest.approx(in_mm, abs=1e-4)
    assert not is_turned(panel) and panel.trouble.value == ""
    assert panel.rows["wire"].slider.value == pytest.approx(in_mm, abs=0.006)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("", "nothing is written"), ("thick", "cannot be read"), ("0", "outside"), ("-0.8 mm", "wire"),
        ("9 mm", "from 0.50 mm to 1.20 mm"), ("0.8 g", "wire"), ("1e308 mm", "wire"),
        ("nan", "cannot be read"),
        ("0.8 mm 0.9 mm", "wire"), ("0.8 €", "wire"), ("=1+1", "cannot be read"), ("<b>", "&lt;b&gt;"),
        ("9" * 400, "wire"),
    ],
)  # fmt: skip
def test_an_impossible_size_turns_its_box_and_the_last_drawing_stays(
    panel: Panel, typed: str, said: str
) -> None:
    before, values = panel.page.value, dict(panel.values)
    type_in(panel, "0.85 mm")
    good = panel.page.value
    assert good != before
    type_in(panel, typed)
    assert is_turned(panel) and panel.page.value == good
    assert said in panel.trouble.value and 'role="alert"' in panel.trouble.value
    assert panel.values == values | {"wire": 0.85}
    type_in(panel, "0.9")
    assert not is_turned(panel) and panel.trouble.value == ""


def test_moving_the_slider_turns_a_wrong_box_back(panel: Panel) -> None:
    type_in(panel, "thick")
    panel.rows["wire"].slider.value = 0.7
    assert not is_turned(panel) and box_of(panel).value == "0.70 mm" and panel.trouble.value == ""


def test_sizes_that_allow_no_drawing_keep_the_last_one_and_say_why(panel: Panel) -> None:
    good = panel.page.value
    panel.rows["wire"].slider.value = 1.15
    assert panel.page.value == good
    assert "goes through no hole" in panel.trouble.value
    panel.rows["wire"].slider.value = 0.9
    assert panel.trouble.value == "" and panel.page.value != good


def test_a_warning_comes_the_moment_the_size_brings_it_and_goes_with_it(panel: Panel) -> None:
    panel.rows["wire"].slider.value = 1.05
    assert "Thick &lt;wire&gt;." in panel.page.value and "Stop:" in panel.page.value
    panel.rows["wire"].slider.value = 0.9
    assert "Thick" not in panel.page.value


def test_back_to_the_pattern(panel: Panel) -> None:
    first = panel.page.value
    panel.set(wire=0.6, count=7, gauge="micrometer", at=4)
    type_in(panel, "thick")
    panel.back.click()
    assert panel.page.value == first and panel.values["gauge"] == "caliper" and not is_turned(panel)


def test_a_walk_steps_to_its_ends_and_no_further(panel: Panel) -> None:
    row = panel.rows["at"]
    row.before.click()
    assert panel.values["at"] == 0
    for _ in range(5):
        row.after.click()
    assert panel.values["at"] == 2 and "3 of 3: pass 2" in row.name.value
    panel.set(count=1)
    assert panel.values["at"] == 0 and "1 of 1: pass 0" in row.name.value and row.slider.max == 0


def test_everything_that_can_be_moved_is_reached_by_keys_and_has_a_name(panel: Panel) -> None:
    reached = (ipywidgets.FloatSlider, ipywidgets.IntSlider, ipywidgets.Dropdown, ipywidgets.Button)
    found = 0
    todo = [panel.view]
    while todo:
        widget = todo.pop()
        todo += getattr(widget, "children", ())
        if isinstance(widget, reached):
            found += 1
            assert widget.description.strip() and widget.tabbable is not False and not widget.disabled
    assert found == 7  # three sliders, a list, two buttons to step, one back to the pattern


def test_the_panel_leaves_no_figure_open_and_keeps_its_artists(panel: Panel) -> None:
    assert plt.get_fignums() == []
    before = [id(mark.artist) for mark in panel._moving.marks()]
    for value in (0.6, 1.0, 0.7):
        panel.rows["wire"].slider.value = value
    assert [id(mark.artist) for mark in panel._moving.marks()] == before


def test_its_text_form_is_words(panel: Panel) -> None:
    bundle = panel._repr_mimebundle_()
    assert bundle["text/plain"] == repr(panel) and repr(panel).startswith("A wire of 0.803 mm")
    assert "<" not in repr(panel)


def test_the_drawing_on_the_page_is_sound_and_told_in_words(panel: Panel) -> None:
    svg = panel.page.value[panel.page.value.index("<svg") : panel.page.value.index("</svg>") + 6]
    assert ET.fromstring(svg).get("aria-label") == panel.seen.words


# --- typed sizes and ranges ---


def test_degrees_per_cent_and_plain_numbers_are_read_too() -> None:
    heat = Size(key="t", label="heat", pattern=700, least=500, most=900, step=5, unit="degC")
    assert typed_value(heat, "710 °C") == typed_value(heat, "710") == 710
    assert typed_value(heat, "1300 degF") == pytest.approx(704.4, abs=0.1)
    share = Size(key="s", label="share", pattern=20, least=5, most=40, step=1, unit="percent")
    assert typed_value(share, "25 %") == 25
    count = Size(key="n", label="factor", pattern=1, least=0, most=2, step=0.1, unit="")
    assert typed_value(count, "1,5") == 1.5
    with pytest.raises(Refused, match="plain number"):
        typed_value(count, "1.5 mm")


@pytest.mark.parametrize("pattern", [0.2, 0.803, 2.6, 8.01])
def test_a_range_around_a_size_holds_it_and_ends_on_whole_steps(pattern: float) -> None:
    size = around("a", "a", pattern, 0.05)
    assert size.least < pattern < size.most and size.least > 0
    for end in (size.least, size.most):
        assert abs(end / 0.05 - round(end / 0.05)) < 1e-6
    assert typed_value(size, written(size, pattern)) == pytest.approx(pattern, abs=0.026)


# --- where a job allows no drawing ---


class Never(Trial):
    """A stage that no job allows."""

    def __init__(self, plan: Any) -> None:
        super().__init__()

    def see(self, at: Any) -> Seen:
        raise Refused("no stone is measured.")


def test_a_job_that_allows_no_drawing_is_told_and_nothing_raises() -> None:
    for shown in (stage_panel(Never, demo_job().plan()), figure_of(Never, demo_job().plan())):
        assert isinstance(shown, NotDrawn)
        assert "no stone is measured" in repr(shown) and "text/html" in shown._repr_mimebundle_()


def test_a_figure_is_an_image_with_its_words() -> None:
    figure = figure_of(BASKET, demo_job().plan())
    assert isinstance(figure, Figure)
    bundle = figure._repr_mimebundle_()
    assert bundle["text/plain"] == figure.words
    assert (
        'alt="A basket of 4 claws' in bundle["text/html"]
        and "data:image/svg+xml;base64" in bundle["text/html"]
    )


@pytest.mark.parametrize("text", ["12 °C", "12", "12 K", "12 degrees"])
def test_so_many_degrees_apart_are_typed_as_a_workshop_writes_them(text: str) -> None:
    margin = Size(key="m", label="margin", pattern=10, least=0, most=50, step=1, unit="delta_degC")
    assert typed_value(margin, text) == 12
    assert written(margin, 12) == "12 °C"
