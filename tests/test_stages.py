"""Every stage on very different pieces: both ends of every control, words, lettering that reads."""

import itertools
import re
from importlib import import_module
from pkgutil import iter_modules
from typing import Any

import pytest

from course_lib.bench.refusals import Refused
from course_lib.classroom.pieces.job_in_hand import demo_job, demo_names
from course_lib.classroom.pieces.own_numbers import made_up_jobs
from course_lib.screen import stages
from course_lib.screen.panel import Panel, stage_panel
from course_lib.screen.sheet import Sheet
from course_lib.screen.stage import Count, Figure, NotDrawn, Pick, Size, Stage, Walk
from course_lib.screen.svg import marks_as_svg

from .drawn import crossing, off_the_paper

NAMES = [
    module.name
    for module in iter_modules(stages.__path__)
    if hasattr(import_module(f"{stages.__name__}.{module.name}"), "STAGE")
]
# the demos, and of many made-up pieces those with the smallest and the largest stone
MADE_UP = sorted(made_up_jobs(90), key=lambda job: job.readings["stone_diameter"].value)
PIECES = {name: demo_job(name) for name in demo_names()} | {"smallest": MADE_UP[0], "largest": MADE_UP[-1]}
EACH = list(itertools.product(NAMES, PIECES))


def stage_of(name: str, piece: str) -> Stage:
    found: type[Stage] = import_module(f"{stages.__name__}.{name}").STAGE
    return found(PIECES[piece].plan())


def ends_of(control: Any, steps: int) -> tuple[Any, ...]:
    if isinstance(control, Size | Count):
        return control.least, control.most
    if isinstance(control, Pick):
        return tuple(option for option in control.options if option != control.pattern)
    return tuple(sorted({1, steps // 2, steps - 1} - {0, -1}))


def drawn(stage: Stage, values: dict[str, Any]) -> tuple[Any, Sheet]:
    seen = stage.see(values)
    sheet = Sheet(*stage.paper)
    stage.draw(sheet, seen)
    return seen, sheet


def test_there_are_stages() -> None:
    assert "basket" in NAMES


@pytest.mark.parametrize(("name", "demo"), EACH)
def test_it_opens_at_the_pattern_and_says_what_it_shows(name: str, demo: str) -> None:
    stage = stage_of(name, demo)
    panel = stage_panel(type(stage), stage.plan)
    assert isinstance(panel, Panel), panel
    assert stage.title and len(panel.seen.words) > 40 and panel.seen.words.endswith((".", "?"))
    assert 1 <= len(panel.seen.rows) <= 14
    assert all(what and much for what, much in panel.seen.rows)
    assert "nan" not in re.sub(r"[a-z]*nan[a-z]+|[a-z]+nan", "", panel.page.value.lower())
    for control in stage.controls():
        if isinstance(control, Size):
            assert control.least <= control.pattern <= control.most, control.key
            assert len(control.label) <= 30


@pytest.mark.parametrize(("name", "demo"), EACH)
def test_both_ends_of_every_control_change_drawing_or_table(name: str, demo: str) -> None:
    stage = stage_of(name, demo)
    start = stage.pattern_values()
    seen, sheet = drawn(stage, start)
    before = (marks_as_svg(sheet), tuple(seen.rows), seen.words)
    for control in stage.controls():
        steps = len(seen.steps[control.key]) if isinstance(control, Walk) else 0
        changed, refused = [], []
        for value in ends_of(control, steps):
            if value == start[control.key]:
                continue
            try:
                at_end, there = drawn(stage, start | {control.key: value})
            except Refused as error:
                refused.append(str(error))
                continue
            changed.append((marks_as_svg(there), tuple(at_end.rows), at_end.words) != before)
            assert off_the_paper(there) == [], (control.key, value)
        assert changed and all(changed), (control.key, refused)


@pytest.mark.parametrize(("name", "demo"), EACH)
def test_no_lettering_lies_over_another_or_off_the_paper(name: str, demo: str) -> None:
    stage = stage_of(name, demo)
    seen, moving = drawn(stage, stage.pattern_values())
    still = Sheet(*stage.paper)
    stage.draw_still(still)
    assert crossing(still, moving) == []
    assert off_the_paper(still, moving) == []
    for key, names in seen.steps.items():
        for at in range(len(names)):
            _, there = drawn(stage, stage.pattern_values() | {key: at})
            assert crossing(still, there) == [], (key, names[at])


@pytest.mark.parametrize(("name", "demo"), EACH)
def test_every_figure_of_the_stage_can_be_read(name: str, demo: str) -> None:
    for called, figure in stage_of(name, demo).figures().items():
        shown = figure()
        assert isinstance(shown, Figure | NotDrawn), called
        if isinstance(shown, Figure):
            assert (
                len(shown.words) > 20 and crossing(shown.sheet) == [] and off_the_paper(shown.sheet) == []
            ), called
