"""A panel under a real hand: keys, mouse, typed sizes, a narrow window, and whoever cannot see it."""

from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe
from PIL import Image
from playwright.sync_api import Browser

from .lab import Lab, OpenNotebook
from .moves import one_drag, one_step
from .notebooks import PANEL, write_notebook


@pytest.fixture(scope="module", name="open_panel")
def _open_panel(browser: Browser, lab: Lab) -> Iterator[OpenNotebook]:
    notebook = opened(browser, lab)
    yield notebook
    notebook.close()
    lab.end_kernels()


@pytest.fixture(name="panel")
def _panel(open_panel: OpenNotebook) -> OpenNotebook:
    """The open panel, put back to the pattern."""
    open_panel.page.get_by_role("button", name="Back to the pattern").click()
    open_panel.wait_for_kernel()
    open_panel.page.wait_for_timeout(300)
    return open_panel


def opened(browser: Browser, lab: Lab, wide: int = 1400, high: int = 1000) -> OpenNotebook:
    write_notebook(Path(lab.root) / "panel.ipynb", PANEL)
    notebook = OpenNotebook(browser, lab, "panel.ipynb", wide, high)
    notebook.run_all()
    notebook.page.wait_for_selector(".course-panel .noUi-handle[aria-label]")
    notebook.page.wait_for_selector(".course-drawing svg[aria-label]")
    notebook.part(".course-panel").evaluate("e => e.scrollIntoView({block: 'start'})")
    notebook.page.wait_for_timeout(400)
    return notebook


def words(notebook: OpenNotebook) -> str:
    return notebook.part(".course-drawing svg[aria-label]").get_attribute("aria-label") or ""


def box(notebook: OpenNotebook, label: str) -> Any:
    return notebook.page.get_by_label(f"{label}, exact size")


def type_in(notebook: OpenNotebook, label: str, text: str) -> None:
    box(notebook, label).fill(text)
    box(notebook, label).press("Tab")
    notebook.wait_for_kernel()
    notebook.page.wait_for_timeout(200)


def test_keys_move_slider_picture_box_and_table_together(panel: OpenNotebook) -> None:
    handle = panel.handle("claw wire")
    for key, size in (("ArrowRight", "0.81"), ("ArrowRight", "0.82"), ("ArrowLeft", "0.81"), ("End", "1.12")):
        step = one_step(panel, handle, key)
        assert f"claws of {size} mm wire" in words(panel)
        assert box(panel, "claw wire").input_value() == f"{size} mm"
        assert (step.bare, step.jump) == (0, 0)
    assert panel.errors == [] and panel.tracebacks() == []


def test_after_a_fast_drag_the_picture_is_the_last_values(panel: OpenNotebook) -> None:
    drag = one_drag(panel, panel.handle("claw wire"))
    assert drag.right
    assert (drag.bare, drag.jump) == (0, 0)
    # one update may be on its way when the hand lets go, and one more follows it; a queue would be longer
    assert drag.left_over <= 3
    assert panel.errors == []


def test_a_mouse_click_on_the_track_moves_it_too(panel: OpenNotebook) -> None:
    track = panel.handle("stone across").locator("xpath=ancestor::*[contains(@class,'noUi-base')]")
    place = track.bounding_box()
    assert place
    before = words(panel)
    panel.begin()
    panel.page.mouse.click(place["x"] + 0.8 * place["width"], place["y"] + place["height"] / 2)
    assert not panel.settled()["late"]
    assert words(panel) != before


def test_a_size_is_typed_with_any_unit_and_an_impossible_one_is_refused(panel: OpenNotebook) -> None:
    type_in(panel, "claw wire", "20 AWG")
    assert "claws of 0.81 mm wire" in words(panel)
    assert box(panel, "claw wire").input_value() == "0.812 mm"
    good = words(panel)
    type_in(panel, "stone across", "45 mm")
    assert words(panel) == good
    assert box(panel, "stone across").get_attribute("aria-invalid") == "true"
    told = panel.part(".course-trouble[role=alert]").inner_text()
    assert "outside what can be shown" in told and "5.01 mm" in told
    type_in(panel, "stone across", "5,2 mm")
    assert box(panel, "stone across").get_attribute("aria-invalid") == "false"
    assert panel.part(".course-trouble").count() == 0
    assert "stone 5.20 mm across" in words(panel)
    assert panel.tracebacks() == []


def test_the_culet_touches_the_moment_it_does_and_back_to_the_pattern_frees_it(panel: OpenNotebook) -> None:
    type_in(panel, "girdle over ring's middle", "1.3 mm")
    assert "The culet touches" in panel.part(".course-warnings").inner_text()
    panel.page.get_by_role("button", name="Back to the pattern").press("Enter")
    panel.page.wait_for_function("!document.querySelector('.course-warnings').innerText.includes('touches')")
    assert box(panel, "girdle over ring's middle").input_value() == "1.95 mm"


def test_the_tab_key_reaches_every_control_in_the_order_shown(panel: OpenNotebook) -> None:
    panel.handle("stone across").focus()
    reached = []
    for _ in range(15):
        reached.append(
            panel.page.evaluate(
                "document.activeElement.getAttribute('aria-label') ?? document.activeElement.innerText"
            )
        )
        panel.page.keyboard.press("Tab")
    labels = ["stone across", "claw wire", "ring inside", "ring wire", "groove depth"]
    labels += ["girdle over ring's middle", "base under ring's middle"]
    expected = [name for label in labels for name in (label, f"{label}, exact size")]
    assert reached == [*expected, "Back to the pattern"]


def boxes(notebook: OpenNotebook) -> dict[str, dict[str, float]]:
    parts = {
        "drawing": ".course-drawing svg[aria-label]", "still": ".course-drawing svg[aria-hidden]",
        "table": ".course-numbers", "slider": ".course-panel .widget-hslider >> nth=0",
        "panel": ".course-panel",
    }  # fmt: skip
    return {name: dict(notebook.part(where).bounding_box() or {}) for name, where in parts.items()}


def test_in_a_wide_window_the_table_stands_beside_the_drawing(panel: OpenNotebook) -> None:
    at = boxes(panel)
    assert at["drawing"] == at["still"]
    assert at["table"]["x"] >= at["drawing"]["x"] + at["drawing"]["width"]
    assert at["drawing"]["width"] / at["drawing"]["height"] == pytest.approx(150 / 92, rel=0.01)


@pytest.mark.parametrize("wide", [700, 480])
def test_in_a_narrow_window_and_at_twice_the_size_nothing_is_cut_off(
    browser: Browser, lab: Lab, wide: int
) -> None:
    """A window of 1400 pixels enlarged to 200 % is laid out as one of 700."""
    notebook = opened(browser, lab, wide, 900)
    notebook.command("application:toggle-left-area")
    notebook.page.wait_for_timeout(600)
    at = boxes(notebook)
    assert at["drawing"] == at["still"]
    assert at["table"]["y"] >= at["drawing"]["y"] + at["drawing"]["height"]
    for name in ("drawing", "table", "slider"):
        assert at[name]["x"] >= 0 and at[name]["x"] + at[name]["width"] <= wide, name
    assert at["drawing"]["width"] / at["drawing"]["height"] == pytest.approx(150 / 92, rel=0.01)
    notebook.close()


def ink(notebook: OpenNotebook) -> np.ndarray:
    """The panel, coarse enough to show only the layout: is there ink in each square of 16 pixels?"""
    picture = Image.open(BytesIO(notebook.part(".course-panel").screenshot())).convert("L")
    dark = np.asarray(picture) < 200
    high, wide = (side // 16 * 16 for side in dark.shape)
    return dark[:high, :wide].reshape(high // 16, 16, wide // 16, 16).any(axis=(1, 3))


def test_the_layout_is_the_same_after_moving_there_and_back(panel: OpenNotebook) -> None:
    before = ink(panel)
    for key in ("ArrowRight", "ArrowRight", "ArrowLeft"):
        one_step(panel, panel.handle("ring inside"), key)
    panel.page.get_by_role("button", name="Back to the pattern").click()
    panel.page.wait_for_timeout(500)
    after = ink(panel)
    assert after.shape == before.shape
    # the ring of light round what has the keyboard's attention is elsewhere
    assert (after != before).mean() < 0.03


@pytest.mark.parametrize("theme", ["JupyterLab Light", "JupyterLab Dark"])
def test_nothing_in_the_panel_shuts_anybody_out(panel: OpenNotebook, theme: str) -> None:
    panel.page.evaluate("theme => jupyterapp.commands.execute('apputils:change-theme', {theme})", theme)
    panel.page.wait_for_timeout(1200)
    type_in(panel, "stone across", "45 mm")
    type_in(panel, "girdle over ring's middle", "1.3 mm")
    found = Axe().run(panel.page, context={"include": [[".course-panel"]]})
    serious = [
        (each["id"], each["impact"], [node["html"][:160] for node in each["nodes"]])
        for each in found.response["violations"]
        if each["impact"] in ("serious", "critical")
    ]
    assert serious == []
    assert len(found.response["passes"]) > 5
