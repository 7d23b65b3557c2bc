"""Moving a slider as a hand does, and how long the picture takes to follow."""

import math
import time
from dataclasses import dataclass

from playwright.sync_api import Locator

from .lab import OpenNotebook


@dataclass(frozen=True)
class Step:
    """One key: ms to the painted picture, frames without a picture, and how far the layout jumped."""

    lag: float
    bare: int
    jump: float
    messages: int
    bytes: int


@dataclass(frozen=True)
class Drag:
    """One drag: ms from the last move of the hand to the last picture; pictures a second on the way."""

    lag: float
    right: bool
    a_second: float
    bare: int
    jump: float
    left_over: int


def one_step(notebook: OpenNotebook, handle: Locator, key: str = "ArrowRight", quiet: float = 200) -> Step:
    """Press a key on a slider.

    Raises:
        AssertionError: the picture did not change.
    """
    handle.evaluate("e => e.focus({preventScroll: true})")
    notebook.begin()
    notebook.page.keyboard.press(key)
    seen = notebook.settled(quiet)
    assert not seen["late"], f"{notebook.path}: the picture did not follow the key"
    pressed = next(at for kind, at in seen["inputs"] if kind == "keydown")
    # the first frame from which on the picture is the final one
    shown = next(at for at, picture in seen["changes"] if picture == seen["changes"][-1][1])
    return Step(shown - pressed, seen["bare"], seen["jump"], seen["got"], seen["bytes"])


def one_drag(notebook: OpenNotebook, handle: Locator, seconds: float = 2.0, quiet: float = 700) -> Drag:
    """Drag a slider there and back for some seconds, and let go while it moves.

    Whether the last picture is the right one is found by stepping away from the value and back to it.
    """
    page = notebook.page
    track = handle.locator("xpath=ancestor::*[contains(@class,'noUi-base')]").bounding_box()
    start = handle.bounding_box()
    assert track and start
    x, y = start["x"] + start["width"] / 2, start["y"] + start["height"] / 2
    low, high = track["x"] + 0.1 * track["width"], track["x"] + 0.9 * track["width"]
    notebook.begin(light=True)
    page.mouse.move(x, y)
    page.mouse.down()
    began = time.perf_counter()
    while (gone := (time.perf_counter() - began) / seconds) < 1:
        # twice to one end and back
        page.mouse.move(low + (high - low) * (0.5 - 0.5 * math.cos(2 * math.pi * 2 * gone + 0.9)), y)
        time.sleep(0.004)
    page.mouse.up()
    seen = notebook.settled(quiet, 20_000)
    hand = [at for kind, at in seen["inputs"] if kind == "pointermove"]
    on_the_way = [at for at, _ in seen["changes"] if hand[0] <= at <= hand[-1]]
    lag = max(0.0, seen["changes"][-1][0] - hand[-1])
    left_over = sum(at > hand[-1] for at, _ in seen["changes"])
    one_step(notebook, handle, "ArrowRight")
    handle.evaluate("e => e.focus({preventScroll: true})")
    notebook.begin()
    page.keyboard.press("ArrowLeft")
    back = notebook.settled()
    right = back["picture"] == seen["picture"] and back["tables"] == seen["tables"]
    return Drag(
        lag, right, 1000 * len(on_the_way) / (hand[-1] - hand[0]), seen["bare"], seen["jump"], left_over
    )


def ninety_fifth(values: list[float]) -> float:
    """The value that 95 of 100 do not pass."""
    return sorted(values)[max(0, math.ceil(0.95 * len(values)) - 1)]
