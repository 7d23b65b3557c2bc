"""Lessons are made from solutions: always the same, and never from a notebook that would mislead."""

import copy
import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from nbformat import validate
from nbformat.v4 import nbformat_minor

from course_lib.bench.refusals import Refused
from course_lib.bench.tables import data_folder
from course_lib.classroom.exercises.course import find_lesson
from course_lib.classroom.exercises.words_file import WordsFile, check_words
from course_lib.classroom.making import make_lessons
from course_lib.classroom.making.lesson_page import words_of
from course_lib.classroom.making.make_lessons import (
    BadNotebook,
    as_text,
    different,
    lesson_from,
    main,
    make,
    run_solutions,
    without_answer,
)

Cell = dict[str, Any]


def text(id: str, source: str, kind: str = "") -> Cell:
    metadata = {"course": {"cell": kind}} if kind else {}
    return {"cell_type": "markdown", "id": id, "metadata": metadata, "source": source}


def code(id: str, source: str, kind: str = "", outputs: list[Cell] | None = None) -> Cell:
    made = text(id, source, kind) | {"cell_type": "code", "execution_count": 3, "outputs": outputs or []}
    made["metadata"] |= {"trusted": True}
    return made


def said(words: str) -> list[Cell]:
    data = {"text/plain": [words]}
    return [{"data": data, "execution_count": 3, "metadata": {}, "output_type": "execute_result"}]


ANSWER = 'my_answer = 2 * 0.4   # for example "123.4 mm"\nlesson.ask("stone", my_answer)'


def solution() -> Cell:
    cells = [
        text("title", "# 00 · A lesson"),
        code("open", "job = 1\nlesson = 2", outputs=said("2")),
        text("why", "Only for the teacher.", "teacher"),
        code("worked", "half = 0.4", "teacher"),
        code("ask", ANSWER, "answer", said("Read one size: Right.")),
        code("panel", "# This cell shows a panel.\njob", "folded"),
        code("end", "lesson", "teacher", said("All right.")),
    ]
    return {"cells": cells, "metadata": {"widgets": {"much": "state"}}, "nbformat": 4, "nbformat_minor": 5}


def with_cell(cell: Cell, at: int = 4) -> Cell:
    notebook = solution()
    notebook["cells"][at] = cell
    return notebook


# --- what is made ---


def test_a_lesson_is_the_solution_without_answers() -> None:
    made = lesson_from(solution())
    assert [cell["id"] for cell in made["cells"]] == ["title", "open", "ask", "panel"]
    source = "".join(made["cells"][2]["source"])
    assert source == 'my_answer = None   # for example "123.4 mm"\nlesson.ask("stone", my_answer)'
    for cell in made["cells"]:
        if cell["cell_type"] == "code":
            assert cell["outputs"] == [] and cell["execution_count"] is None
    assert made["cells"][3]["metadata"]["jupyter"] == {"source_hidden": True}
    assert "trusted" not in made["cells"][1]["metadata"]
    assert "widgets" not in made["metadata"]
    assert made["metadata"]["kernelspec"]["name"] == "python3"


def test_what_is_made_is_a_sound_notebook() -> None:
    made = lesson_from(solution())
    validate(json.loads(as_text(made)))
    assert made["nbformat_minor"] <= nbformat_minor


def test_the_same_solution_always_makes_the_same_text() -> None:
    shuffled = json.loads(json.dumps(solution(), sort_keys=True))
    assert as_text(lesson_from(solution())) == as_text(lesson_from(shuffled))
    assert as_text(lesson_from(solution())).endswith("}\n")


def test_the_solution_itself_is_left_alone() -> None:
    notebook = solution()
    before = copy.deepcopy(notebook)
    lesson_from(notebook)
    assert notebook == before


@pytest.mark.parametrize(
    ("source", "blank"),
    [
        ("a = 1", "a = None"),
        ("a = 1  # mm", "a = None  # mm"),
        ('a = "x = 1 # no"  # yes', "a = None  # yes"),
        ("a = (\n    1 +\n    2  # inside\n)  # outside\nb(a)", "a = None  # outside\nb(a)"),
        ("a = b = 3\nc", "a = None\nc"),
        ("a = f(x=1, y=[2])", "a = None"),
        ("a: float = 3", "a: float = None"),
        ('größe = "½ mm"   # µm', "größe = None   # µm"),
        ("a = [i for i in (1, 2) if i == 2]", "a = None"),
    ],
)
def test_only_what_is_assigned_becomes_none(source: str, blank: str) -> None:
    assert without_answer(source) == blank


# --- what is refused ---

ERROR = [{"output_type": "error", "ename": "NameError", "evalue": "", "traceback": []}]
WIDGET = [{"output_type": "display_data", "metadata": {},
           "data": {"text/plain": "x", "application/vnd.jupyter.widget-view+json": {}}}]  # fmt: skip


@pytest.mark.parametrize(
    ("cell", "sentence"),
    [
        (code("ask", 'lesson.ask("stone", 1)', "answer", said("x")), "nothing is assigned"),
        (code("ask", "my_answer == 1\nlesson.ask()", "answer", said("x")), "nothing is assigned"),
        (
            code("ask", 'print(1)\nmy_answer = 1\nlesson.ask("s", 1)', "answer", said("x")),
            "begins with the answer",
        ),
        (code("ask", "my_answer = 1", "answer", said("x")), "asks nothing"),
        (code("ask", ANSWER, "answer"), "no verdict is stored"),
        (code("ask", ANSWER, "answer", ERROR), "an error is stored"),
        (code("other", "1", outputs=ERROR), "an error is stored"),
        (code("shown", "1", outputs=WIDGET), "a widget is stored"),
        (code("long", "\n".join("a = 1" for _ in range(16))), "16 lines of code"),
        (code("folded", "job", "folded"), "plain sentence"),
        (code("folded", "# todo\njob", "folded"), "plain sentence"),
        (code("empty", "  \n"), "it is empty"),
        (code("shell", "!ls"), "not plain Python"),
        (code("magic", "%time 1"), "not plain Python"),
        (code("kind", "1", "question"), "no kind of cell"),
        (text("kind", "words", "answer"), "a cell of text"),
        (code("raises", "1") | {"metadata": {"tags": ["raises-exception"]}}, "marked as one that raises"),
        (code("head", "1", "head"), "a cell of code"),
        (code("title", "1"), "that of an earlier cell"),
        (code("", "1"), "has no id"),
        ({"cell_type": "code", "metadata": {}, "source": "1", "outputs": []}, "has no id"),
    ],
)
def test_a_bad_notebook_is_refused_with_its_cell(cell: Cell, sentence: str) -> None:
    with pytest.raises(BadNotebook, match=sentence) as refusal:
        lesson_from(with_cell(cell), "00-bad.ipynb")
    assert str(refusal.value).startswith("00-bad.ipynb, cell 5")


def test_fifteen_lines_are_not_too_many() -> None:
    lesson_from(with_cell(code("long", "\n".join("a = 1" for _ in range(15)))))


# --- folders and the command ---


@pytest.fixture
def top(tmp_path: Path) -> Path:
    (tmp_path / "solutions").mkdir()
    (tmp_path / "lessons").mkdir()
    (tmp_path / "solutions" / "00-a.ipynb").write_text(as_text(solution()), "utf-8")
    return tmp_path


def test_making_twice_changes_nothing_the_second_time(top: Path) -> None:
    assert [path.name for path in make(top / "solutions", top / "lessons")] == ["00-a.ipynb"]
    assert make(top / "solutions", top / "lessons") == []
    assert main(["--top", str(top), "--check"]) == 0


def test_the_check_fails_on_any_difference_and_mends_nothing(top: Path, capsys: Any) -> None:
    assert main(["--top", str(top), "--check"]) == 1
    assert not (top / "lessons" / "00-a.ipynb").exists()
    assert main(["--top", str(top)]) == 0
    lesson = top / "lessons" / "00-a.ipynb"
    lesson.write_text(lesson.read_text("utf-8").replace("A lesson", "A  lesson"), "utf-8")
    assert main(["--top", str(top), "--check"]) == 1
    assert "00-a.ipynb is not as it would be made" in capsys.readouterr().out


def with_page(top: Path, head: str, table: str) -> Path:
    """A solution of lesson 08 with a head and a table of words as they are typed here."""
    (top / "solutions" / "00-a.ipynb").unlink()
    remember = text("words", f"## What to remember\n\n- Do not press.\n\n{table}", "words")
    path = top / "solutions" / "08-b.ipynb"
    cells = [text("title", head, "head"), *solution()["cells"][1:], remember]
    path.write_text(as_text(solution() | {"cells": cells}), "utf-8")
    return path


def test_head_and_words_are_written_from_the_words_file(top: Path, capsys: Any) -> None:
    path = with_page(top, "# 08 · Another title", "**Words of this lesson**\n\nNone.")
    assert main(["--top", str(top), "--check"]) == 1
    assert "solutions/08-b.ipynb is not as it would be made" in capsys.readouterr().out
    assert "Another title" in path.read_text("utf-8")
    assert main(["--top", str(top)]) == 0
    for made in (path, top / "lessons" / "08-b.ipynb"):
        cells = {cell["id"]: "".join(cell["source"]) for cell in json.loads(made.read_text("utf-8"))["cells"]}
        assert cells["title"].startswith("# 08 · Basket\n\nRing and claws together hold the stone.")
        assert "**You need** about 45 minutes, lesson 07, and" in cells["title"]
        assert cells["words"].startswith(
            "## What to remember\n\n- Do not press.\n\n**Words of this lesson**\n\n|"
        )
        assert "| claw | a wire that holds the stone | prong |" in cells["words"]
    assert main(["--top", str(top), "--check"]) == 0


def test_a_correction_of_words_file_or_glossary_reaches_both_notebooks(top: Path, monkeypatch: Any) -> None:
    path = with_page(top, "# 08", "")
    make(top / "solutions", top / "lessons")
    corrected = replace(find_lesson("08"), title="The basket", words=("culet",))
    monkeypatch.setattr(make_lessons, "find_lesson", lambda number: corrected)
    assert set(different(top / "solutions", top / "lessons")) == {path, top / "lessons" / "08-b.ipynb"}


@pytest.mark.parametrize(
    ("word", "sentence"), [("clow", "'clow' is not a word of the glossary"), ("prong", "has as 'claw'")]
)
def test_a_word_without_a_row_of_its_own_is_told(word: str, sentence: str) -> None:
    with pytest.raises(Refused, match=sentence):
        words_of(replace(find_lesson("08"), words=(word,)))


def test_what_is_needed_is_filled_with_time_and_lessons_only() -> None:
    path = next(data_folder().glob("lessons/09-*.toml"))
    file = WordsFile(path)
    check_words(file)
    file.all["need"] = "about {hours} hours"
    with pytest.raises(
        Refused, match=rf"{path.name}, line \d+: {{hours}} is no hole here: write {{minutes}} or"
    ):
        check_words(file)


def test_other_line_ends_are_no_difference(top: Path) -> None:
    make(top / "solutions", top / "lessons")
    lesson = top / "lessons" / "00-a.ipynb"
    lesson.write_bytes(lesson.read_bytes().replace(b"\n", b"\r\n"))
    assert different(top / "solutions", top / "lessons") == {}


def test_a_lesson_without_a_solution_is_told(top: Path, capsys: Any) -> None:
    (top / "lessons" / "07-gone.ipynb").write_text("{}")
    assert main(["--top", str(top)]) == 1
    assert "07-gone.ipynb is in lessons but not in solutions" in capsys.readouterr().err


def test_a_learners_own_notebook_beside_the_lessons_is_no_matter(top: Path) -> None:
    (top / "lessons" / "my notes.ipynb").write_text("{}")
    assert main(["--top", str(top)]) == 0


@pytest.mark.parametrize(
    "content", ["", "not json", "[]", "{}", '{"cells": 3, "nbformat": 4}', '{"cells": [], "nbformat": 3}']
)
def test_what_is_no_notebook_is_told(top: Path, content: str, capsys: Any) -> None:
    (top / "solutions" / "00-a.ipynb").write_text(content)
    assert main(["--top", str(top)]) == 1
    assert "00-a.ipynb is" in capsys.readouterr().err


def test_no_solutions_is_no_success(tmp_path: Path, capsys: Any) -> None:
    assert main(["--top", str(tmp_path), "--check"]) == 1
    assert "There is no notebook" in capsys.readouterr().err


def test_one_bad_solution_changes_no_lesson(top: Path) -> None:
    (top / "solutions" / "01-b.ipynb").write_text(as_text(with_cell(code("empty", ""))), "utf-8")
    with pytest.raises(BadNotebook):
        make(top / "solutions", top / "lessons")
    assert list((top / "lessons").iterdir()) == []


# --- running the solutions ---

REAL = [
    text("title", "# A small one"),
    code("open", "from course_lib.classroom.notebook import demo_job, open_lesson\n"
         'job = demo_job()\nlesson = open_lesson("00", job)'),
    code("ask", 'my_answer = job.size("stone", "diameter")\nlesson.ask("stone", my_answer)', "answer"),
    code("table", "from course_lib.classroom.pieces.size_table import sizes_of\nsizes_of(job)", "teacher"),
    code("panel", "# This cell shows a panel.\nfrom course_lib.screen.stages.wire import first_slider\n"
         'first_slider(job.size("claw", "wire"))', "folded"),
]  # fmt: skip


def test_a_run_keeps_the_words_of_answers_and_nothing_else(top: Path) -> None:
    path = top / "solutions" / "00-a.ipynb"
    path.write_text(as_text(solution() | {"cells": REAL}), "utf-8")
    run_solutions(top / "solutions")
    cells = {cell["id"]: cell for cell in json.loads(path.read_text("utf-8"))["cells"]}
    assert cells["ask"]["outputs"][0]["data"] == {"text/plain": ["Read one size: Right."]}
    assert cells["ask"]["execution_count"] == 3  # a test passes over a cell that seems never to have run
    assert cells["table"]["outputs"] == cells["panel"]["outputs"] == cells["open"]["outputs"] == []
    first = path.read_text("utf-8")
    run_solutions(top / "solutions")
    assert path.read_text("utf-8") == first
    assert not (top / "solutions" / "my-answers").exists()
    assert lesson_from(json.loads(first))


def test_a_solution_that_does_not_run_is_told(top: Path, capsys: Any) -> None:
    broken = solution() | {"cells": [code("one", "1 / 0")]}
    (top / "solutions" / "00-a.ipynb").write_text(as_text(broken), "utf-8")
    assert main(["--top", str(top), "--run"]) == 1
    assert "a cell does not run" in capsys.readouterr().err
