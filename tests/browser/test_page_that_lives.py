"""A page that typing cannot wreck, and that still shows its boxes on the next day."""

import json
from collections.abc import Callable

import pytest

from course_lib.classroom.exercises.course import find_lesson
from course_lib.classroom.pieces.job_in_hand import demo_job

from .lab import Lab, OpenNotebook
from .test_lessons_in_browser import answer

Opener = Callable[..., OpenNotebook]


def cells_of(notebook: OpenNotebook) -> list[str]:
    """Every cell's kind and source, as the open page has them."""
    found: list[str] = notebook.page.evaluate(
        "() => jupyterapp.shell.currentWidget.content.widgets.map(c => c.model.type + ': ' +"
        " c.model.sharedModel.getSource())"
    )
    return found


def test_typing_at_the_text_changes_nothing(open_notebook: Opener) -> None:
    """Click a text, press the letters that are commands elsewhere, double-click: the page is as it was."""
    notebook = open_notebook("lessons/02-know-the-metal.ipynb")
    before = cells_of(notebook)
    assert len(before) > 20
    text = notebook.page.locator(".jp-MarkdownCell .jp-RenderedMarkdown p").nth(2)
    text.click()
    for key in "acfebdxyzmrv123":
        notebook.page.keyboard.press(key)
    notebook.page.keyboard.press("d")
    text.dblclick()
    notebook.page.keyboard.type("spoilt")
    notebook.page.wait_for_timeout(500)
    assert cells_of(notebook) == before
    assert notebook.page.locator(".jp-MarkdownCell .jp-InputArea-editor:visible").count() == 0
    # an answer is still typed where it belongs
    cell = notebook.page.locator(".jp-CodeCell .cm-content", has_text="my_answer").first
    cell.click()
    notebook.page.keyboard.press("Control+Home")
    notebook.page.keyboard.type("# mine")
    assert any("# mine" in source for source in cells_of(notebook))


@pytest.mark.parametrize("number", ["00", "04", "09"])
def test_the_boxes_stand_on_the_next_day(lab: Lab, open_notebook: Opener, number: str) -> None:
    """Saved, kernels shut down, opened again: every box shows, with what was answered."""
    (path,) = (lab.root / "lessons").glob(f"{number}-*.ipynb")
    notebook = open_notebook(f"lessons/{path.name}")
    notebook.run_all()
    exercise = find_lesson(number).exercises[0]
    right = exercise.written(exercise.expected(demo_job()), demo_job())
    assert "Right." in answer(notebook, exercise.title, right)
    notebook.page.evaluate("() => jupyterapp.commands.execute('docmanager:save')")
    notebook.page.wait_for_timeout(3000)
    saved = json.loads(path.read_text(encoding="utf-8"))
    assert "widgets" in saved["metadata"], "the boxes are kept with the page"
    notebook.page.close()
    lab.end_kernels()
    again = open_notebook(f"lessons/{path.name}")
    again.page.wait_for_timeout(4000)
    assert again.page.get_by_text("Error displaying widget").count() == 0
    title = again.page.get_by_role("heading", name=exercise.title)
    title.first.scroll_into_view_if_needed()
    assert title.count() >= 1 and again.page.get_by_text("Right.").count() >= 1
