"""Every lesson as a learner meets it: opened, run, answered by box, and gone on with after a restart."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Locator

from course_lib.classroom.exercises.course import find_lesson
from course_lib.classroom.pieces.job_in_hand import demo_job

from .lab import TOP, Lab, OpenNotebook

Opener = Callable[..., OpenNotebook]
LESSONS = sorted(path.name for path in (TOP / "lessons").glob("[0-9][0-9]-*.ipynb"))


def records(lab: Lab) -> list[dict[str, str]]:
    file = next(Path(lab.root).rglob("answers.jsonl"), Path(lab.root) / "none")
    return [json.loads(line) for line in file.read_text("utf-8").splitlines()] if file.exists() else []


def asked(notebook: OpenNotebook, title: str) -> Locator:
    """The box of one exercise, by its title."""
    heading = notebook.page.get_by_role("heading", name=title, exact=True)
    return notebook.part(".jp-OutputArea-output").filter(has=heading)


def answer(notebook: OpenNotebook, title: str, text: str) -> str:
    """Type an answer and press Enter; returns what is said."""
    field = asked(notebook, title).locator("input[type=text]").first
    field.scroll_into_view_if_needed()
    field.fill(text)
    field.press("Enter")
    said = asked(notebook, title).locator("[role=status]")
    notebook.page.wait_for_timeout(300)
    notebook.wait_for_kernel()
    notebook.page.wait_for_timeout(300)
    return said.inner_text()


def test_there_are_lessons_to_open() -> None:
    assert len(LESSONS) >= 2


@pytest.mark.parametrize("name", LESSONS)
def test_a_lesson_opens_runs_and_shows_its_panel(name: str, open_notebook: Opener) -> None:
    notebook = open_notebook(f"lessons/{name}")
    # every cell is drawn, not only those in sight
    notebook.run_all()
    notebook.page.wait_for_timeout(1500)
    assert notebook.tracebacks() == []
    assert notebook.errors == []
    panel = notebook.part(".course-panel:has(svg)").first
    panel.scroll_into_view_if_needed()
    panel.locator("svg[aria-label]").first.wait_for()
    handle = panel.locator(".noUi-handle[aria-label]").first
    handle.focus()
    before = panel.locator("svg[aria-label]").first.get_attribute("aria-label")
    said = panel.locator(".course-numbers").first.inner_text()
    for key in ("ArrowRight", "ArrowLeft", "ArrowLeft"):
        notebook.page.keyboard.press(key)
        notebook.page.wait_for_timeout(250)
        now = panel.locator("svg[aria-label]").first.get_attribute("aria-label")
        if now != before or panel.locator(".course-numbers").first.inner_text() != said:
            break
    else:
        pytest.fail(f"{name}: the panel did not follow the key")
    found = Axe().run(notebook.page, context={"include": [[".jp-OutputArea"]]})
    serious = [
        (each["id"], [node["html"][:160] for node in each["nodes"]])
        for each in found.response["violations"]
        if each["impact"] in ("serious", "critical")
    ]
    assert serious == []


def test_answers_given_by_box_are_judged_kept_and_outlive_a_restart(lab: Lab, open_notebook: Opener) -> None:
    """Lesson 00, first exercise: a wrong unit, then a right answer worked here from the demo sheet itself."""
    notebook = open_notebook("lessons/00-start-here.ipynb")
    notebook.run_all()
    exercise = find_lesson("00").exercises[0]
    job = demo_job()
    right = exercise.written(exercise.expected(job), job)
    number = right.split()[0]
    before = len(records(lab))
    assert "in which unit" in answer(notebook, exercise.title, number)
    assert "Right." in answer(notebook, exercise.title, right)
    kept = records(lab)[before:]
    assert [each["answer"] for each in kept] == [number, right]
    # the kernel is started anew, and the learner goes on
    notebook.page.evaluate("() => jupyterapp.shell.currentWidget.sessionContext.session.kernel.restart()")
    notebook.page.wait_for_timeout(1500)
    notebook.wait_for_kernel()
    notebook.run_all()
    again = asked(notebook, exercise.title).locator("[role=status]")
    again.scroll_into_view_if_needed()
    assert "answered this right before" in again.inner_text()
    assert len(records(lab)) == before + 2
    assert notebook.tracebacks() == []
