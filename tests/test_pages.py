"""Layouts of pages: whatever is filled in stays text; one stylesheet, and inks that can be seen."""

import re
from html.parser import HTMLParser
from itertools import count
from types import SimpleNamespace as Thing
from typing import Any

import ipywidgets
import pytest
from jinja2.runtime import Macro

from course_lib.classroom.page.answer_box import AnswerBox
from course_lib.classroom.page.asking import open_lesson
from course_lib.classroom.pieces.job_in_hand import demo_job
from course_lib.screen import inks
from course_lib.screen.pages import LAYOUTS, layouts, page_from, part_from

EVIL = '<script>alert(1)</script>{{7*7}}{% raw %}"onload="x\' &lt;b&gt; \u202eשלום مرحبا'
# Not filled by themselves: they stand in the others.
FRAMES = {"whole_page.html", "lines.html"}


class Text:
    """Texts of a stranger, each with a number, so that one that went missing is missed."""

    def __init__(self) -> None:
        self._numbers = count(100)

    def __call__(self) -> str:
        return f"{next(self._numbers)}{EVIL}"


class Line(Thing):
    """What says its text when it is written."""

    def __str__(self) -> str:
        return str(self.text)


class Found(HTMLParser):
    """The tags and attributes of a page, and everything that is said in it."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.attributes: set[str] = set()
        self.said = ""
        self.feed(str(text))  # what is cut from a filled layout would be made safe again
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes |= {name for name, _ in attrs}
        self.said += "".join(f"\n{value}\n" for _, value in attrs)

    def handle_data(self, data: str) -> None:
        self.said += data


def pages(t: Text) -> dict[str, dict[str, Any]]:
    """Every layout that is filled as a whole, with what it asks for."""
    verdict = Thing(is_right=False, in_full=t())
    slip = t()
    each = Thing(name=t(), title=t(), answered=t(), says={slip: t()})
    worst = Thing(name=t(), title=t(), at_once=1, later=2, answered=t())
    return {
        "paragraphs.html": {"text": f"{t()}\n{t()}\n\n{t()}"},
        "told.html": {"role": t(), "text": t()},
        "table.html": {"columns": [t()], "rows": [(t(), t())], "named": True},
        "cautions.html": {"cautions": [("saw", t())]},
        "set_up.html": {"lines": [Line(in_order=True, text=t()), Line(in_order=False, text=t())]},
        "progress.html": {"drawing": t()},
        "returned_list.html": {"title": t(), "pages": [(t(), t())]},
        "tickets.html": {"title": t(), "due": t(), "set": t(), "learners": [(t(), t())]},
        "returned.html": {
            "name": t(), "title": t(), "code": t(), "made": t(), "mark": Thing(points=t(), of=t(), late=True),
            "lessons": [
                (t(), [Thing(title=t(), task=t(), clue=t(), answer=t(), tries=2, verdict=verdict)]),
                (t(), [Thing(title=t(), task=t(), clue=t(), answer="", tries=0, verdict=None)]),
            ],
        },
        "report.html": {
            "title": t(), "course": t(), "count": t(), "due": t(), "made": t(), "handed_in": t(),
            "usual_minutes": t(), "moved": t(), "commonest": [(t(), each, slip)], "worst": worst,
            "points": t(), "slips": t(), "boards": [(t(), [(t(), [t(), t()])])],
            "need_help": [(t(), t(), t())], "more_need_help": t(), "alike": [t()],
            "to_look_at": [(t(), t())], "lessons": [(t(), [(t(), t())])],
            "not_marked": [(t(), t(), t())], "more_not_marked": t(), "changes": [(t(), t(), t(), t())],
        },
    }  # fmt: skip


def parts(t: Text) -> dict[tuple[str, str], dict[str, Any]]:
    """Every part of the layouts that hold several."""
    remark = Line(stop=True, text=t())
    return {
        ("answer_box.html", "task"): {"title": t(), "figure": t(), "asked": t()},
        ("answer_box.html", "verdict"): {"kind": t(), "says": t()},
        ("answer_box.html", "help"): {"steps": [(t(), t())]},
        ("form.html", "trouble"): {"text": t()},
        ("form.html", "how"): {"text": t()},
        ("form.html", "empty"): {"count": t(), "names": t()},
        ("form.html", "complete"): {"file": t(), "remarks": [Line(stop=False, text=t())]},
        ("form.html", "begun"): {"done": t(), "of": t(), "file": t()},
        ("panel.html", "seen"): {"drawing": t(), "rows": [(t(), t())], "warnings": [remark]},
        ("panel.html", "still"): {"drawing": t()},
        ("panel.html", "troubles"): {"said": [t()]},
        ("panel.html", "step"): {"now": t(), "of": t(), "name": t()},
        ("panel.html", "not_drawn"): {"why": t()},
        ("panel.html", "look"): {},
        ("drawing.html", "drawing"): {
            "wide": t(), "high": t(), "words": t(), "across": t(), "down": t(), "font": t(), "paper": t(),
            "marks": t(),
        },
        ("drawing.html", "image"): {"words": t(), "data": t()},
    }  # fmt: skip


def check(page: str, given: list[str]) -> None:
    found = Found(page)
    assert "script" not in found.tags and "b" not in found.tags and "onload" not in found.attributes
    missing = [text for text in given if text not in found.said]
    assert missing == [], page


def test_a_layout_is_filled_with_text_only() -> None:
    names = set(pages(Text()))
    assert names | FRAMES | {name for name, _ in parts(Text())} == {
        each.name for each in LAYOUTS.glob("*.html")
    }
    for name in names:
        values = pages(Text())[name]
        check(page_from(name, **values), texts_in(values))


def test_a_part_is_filled_with_text_only() -> None:
    every = parts(Text())
    for name in {name for name, _ in every}:
        macros = {n for n, m in vars(layouts().get_template(name).module).items() if isinstance(m, Macro)}
        assert macros == {part for each, part in every if each == name}
    for name, part in every:
        values = parts(Text())[name, part]
        check(part_from(name, part, **values), texts_in(values))


def texts_in(values: Any) -> list[str]:
    """Every text of a stranger in values, however deep; those of several lines by the line."""
    if isinstance(values, str):
        return [line for line in values.split("\n") if EVIL in line]
    if isinstance(values, Thing):
        return texts_in(vars(values))
    if isinstance(values, dict):
        return texts_in([*values, *values.values()])
    return [text for each in values for text in texts_in(each)] if isinstance(values, list | tuple) else []


def test_a_text_that_a_program_typed_goes_to_a_file() -> None:
    assert "half ?" in page_from("paragraphs.html", text="half \ud83d")


def brightness(ink: str) -> float:
    parts_of = (int(ink[at : at + 2], 16) / 255 for at in (1, 3, 5))
    linear = [each / 12.92 if each <= 0.04045 else ((each + 0.055) / 1.055) ** 2.4 for each in parts_of]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    low, high = sorted((brightness(one), brightness(other)))
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("ink", [inks.SIGNAL, inks.RIGHT, inks.GREY])
def test_an_ink_that_means_something_is_seen_on_paper_and_on_a_dark_screen(ink: str) -> None:
    assert contrast(ink, inks.PAPER) >= 4.5
    assert contrast(ink, "#111111") >= 3


def test_no_colour_stands_anywhere_but_among_the_inks() -> None:
    package = LAYOUTS.parent.parent
    files = [*package.rglob("*.py"), *LAYOUTS.iterdir()]
    assert len(files) > 100
    colours = {
        path.name: found
        for path in files
        if path.name != "inks.py"
        and (found := re.findall(r"(?<![&\w])#(?:[0-9a-fA-F]{6}|[0-9a-fA-F]{3})\b", path.read_text("utf-8")))
    }
    assert colours == {}


def test_help_begins_with_a_capital_and_its_headings_are_no_smaller_than_the_rest(tmp_path: Any) -> None:
    lesson = open_lesson("02", demo_job(), tmp_path / "answers.jsonl")
    exercise = next(each for each in lesson.lesson.exercises if each.source_line()[0].islower())
    box = AnswerBox(lesson, exercise, lesson.judge(exercise, None))
    for step in box.steps:
        step.click()
    line = exercise.source_line()
    assert isinstance(box.help, ipywidgets.HTML)
    assert f"<h5>Source</h5>{page_from('paragraphs.html', text=line[0].upper() + line[1:])}" in box.help.value
    sizes = re.findall(r"h[45] \{ font-size: ([\d.]+)em", box.view.children[0].value)
    assert len(sizes) == 2 and all(float(each) >= 1 for each in sizes)
