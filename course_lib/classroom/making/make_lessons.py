"""Lessons are made from solutions: the same notebooks with the answers taken out.

    python -m course_lib.classroom.making.make_lessons           write heads and words, make lessons/
    python -m course_lib.classroom.making.make_lessons --check   only say whether they differ
    python -m course_lib.classroom.making.make_lessons --run     run the solutions first, keep what they say

What a cell is for stands in its metadata, ``{"course": {"cell": ...}}``:

answer
    one exercise. What stands behind the first ``=`` becomes ``None``; its comment stays.
teacher
    only in the solution: a worked answer, an explanation, the check at the end.
folded
    code that a learner need not touch: folded away, under a first line that says so in plain words.
head
    the top of the page, written from the lesson's words file in data/lessons.
words
    ends with the table of the lesson's words, written from the words file and data/glossary.csv.
"""

import argparse
import ast
import io
import json
import os
import re
import sys
import tempfile
import tokenize
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from course_lib.bench.filing import write_whole
from course_lib.bench.refusals import Refused
from course_lib.classroom.exercises.course import find_lesson
from course_lib.classroom.making.lesson_page import WORDS, head_of, words_of

TOP = Path(__file__).resolve().parents[3]
OF_TEXT = ("head", "words")
OF_CODE = ("answer", "folded")
KINDS = (*OF_CODE, "teacher", *OF_TEXT)
LONGEST_CELL = 15
NOTEBOOKS = "[0-9][0-9]-*.ipynb"

# The ordinary names, so that a notebook looks the same whoever saved it.
_METADATA = {
    "kernelspec": {"display_name": "Python 3 (ipykernel)", "language": "python", "name": "python3"},
    "language_info": {"name": "python"},
}
_WIDGET = "application/vnd.jupyter.widget-view+json"

Cell = dict[str, Any]
Notebook = dict[str, Any]


class BadNotebook(Refused):
    """A solution from which no lesson can be made; the message names the notebook and the cell."""


def lesson_from(solution: Notebook, name: str = "the notebook") -> Notebook:
    """The lesson of one solution.

    Args:
        solution: a notebook as read from its file.
        name: what to call it in a message.

    Returns:
        The lesson's notebook.

    Raises:
        BadNotebook: something in it would mislead a learner or a test.
    """
    for at, cell in enumerate(_checked_cells(solution, name), 1):
        for fault in _faults(cell):
            raise BadNotebook(f"{name}, cell {at} ({cell['id']}): {fault}")
    return _notebook([_lesson_cell(cell) for cell in solution["cells"] if _kind(cell) != "teacher"])


def as_text(notebook: Notebook) -> str:
    """A notebook as it stands in its file: always the same text for the same notebook."""
    return json.dumps(notebook, ensure_ascii=False, indent=1, sort_keys=True) + "\n"


def make(solutions: Path, lessons: Path) -> list[Path]:
    """Write head and words of every solution anew, and make every lesson.

    Returns:
        The notebooks whose file was changed.

    Raises:
        BadNotebook: a solution cannot be used; no lesson is changed then.
        Refused: a file cannot be written.
    """
    changed = different(solutions, lessons)
    for path, text in changed.items():
        write_whole(path, text.encode("utf-8"))
    return list(changed)


def different(solutions: Path, lessons: Path) -> dict[Path, str]:
    """The notebooks that are not as they would be made, each with the text it should have.

    Raises:
        BadNotebook: a solution cannot be used, there is none, or a lesson has no solution.
        Refused: a lesson has no words file, or a word of it no row in data/glossary.csv.
    """
    sources = sorted(solutions.glob(NOTEBOOKS))
    if not sources:
        raise BadNotebook(f"There is no notebook in {solutions}.")
    for stray in sorted({path.name for path in lessons.glob(NOTEBOOKS)} - {path.name for path in sources}):
        raise BadNotebook(f"{stray} is in lessons but not in solutions. Rename or remove it.")
    made: dict[Path, str] = {}
    for path in sources:
        solution = _read(path)
        made[lessons / path.name] = as_text(lesson_from(solution, path.name))
        filled = with_its_words(solution, path.name)
        if [_source(cell) for cell in filled] != [_source(cell) for cell in solution["cells"]]:
            made[path] = as_text(_notebook(filled))
            made[lessons / path.name] = as_text(lesson_from(_notebook(filled), path.name))
    return {path: text for path, text in made.items() if not path.exists() or _text_of(path) != text}


def with_its_words(solution: Notebook, name: str) -> list[Cell]:
    """The cells of a solution, head and words written anew from what the lesson's words file says.

    Args:
        solution: a notebook as read from its file.
        name: of its file; the lesson's number stands first.

    Returns:
        The cells; all others are as they were.

    Raises:
        Refused: there is no such lesson, or a word of it has no row in data/glossary.csv.
    """
    return [{**cell, "source": _written(cell, name[:2])} for cell in solution["cells"]]


def _written(cell: Cell, number: str) -> str:
    source = _source(cell)
    if _kind(cell) == "head":
        return head_of(find_lesson(number))
    if _kind(cell) == "words":
        # what to remember stands over the table, and is typed there
        return source.partition(WORDS)[0] + words_of(find_lesson(number))
    return source


def run_solutions(solutions: Path) -> None:
    """Run every solution and keep, of what it shows, the words of its answer and teacher cells.

    Pictures, tables and widgets are not kept: they would differ from run to run, and a test that
    compares outputs needs only the words.

    Raises:
        BadNotebook: a cell raised something.
    """
    import nbformat
    from nbclient import NotebookClient
    from nbclient.exceptions import CellExecutionError

    for path in sorted(solutions.glob(NOTEBOOKS)):
        notebook = nbformat.reads(as_text(_notebook(_read(path)["cells"])), as_version=4)
        # answers given here belong to nobody: their record goes to a passing folder
        with tempfile.TemporaryDirectory() as scratch:
            place = {"metadata": {"path": scratch}}
            client = NotebookClient(notebook, kernel_name="python3", record_timing=False, resources=place)
            try:
                client.execute(env=_this_copy())
            except CellExecutionError as error:
                raise BadNotebook(f"{path.name}: a cell does not run. {error}") from None
        cells = [_tidied(cell, at) for at, cell in enumerate(notebook["cells"], 1)]
        write_whole(path, as_text(_notebook(cells)).encode("utf-8"))


def _this_copy() -> dict[str, str]:
    """The settings of a kernel that must find this copy of the course and no other."""
    paths = [str(TOP), *filter(None, [os.environ.get("PYTHONPATH")])]
    return os.environ | {"PYTHONPATH": os.pathsep.join(paths)}


def _tidied(cell: Cell, at: int) -> Cell:
    """A cell of a solution; `at` is its place, which stands for the count of a cell that has run."""
    tidy = {key: cell[key] for key in ("cell_type", "id", "source")} | {"metadata": _metadata_of(cell)}
    if cell["cell_type"] != "code":
        return tidy
    heard = cell["outputs"] if _kind(cell) in ("answer", "teacher") else []
    outputs = [_words(output, at) for output in heard if _in_words(output)]
    return {**tidy, "execution_count": at if outputs else None, "outputs": outputs}


def _in_words(output: Cell) -> bool:
    """Only words, but for the view of a widget."""
    data = output.get("data", {})
    return set(data) - {_WIDGET} == {"text/plain"} and " at 0x" not in "".join(data["text/plain"])


def _words(output: Cell, at: int) -> Cell:
    text = "".join(output["data"]["text/plain"])
    return {
        "data": {"text/plain": text.splitlines(keepends=True)},
        "execution_count": at,
        "metadata": {},
        "output_type": "execute_result",
    }


def _read(path: Path) -> Notebook:
    try:
        found = json.loads(_text_of(path))
        cells = found["cells"]
    except (ValueError, KeyError, TypeError):
        raise BadNotebook(f"{path.name} is not a notebook.") from None
    if found.get("nbformat") != 4 or not isinstance(cells, list):
        raise BadNotebook(f"{path.name} is a notebook of another format. Open it in JupyterLab and save it.")
    return dict(found)


def _text_of(path: Path) -> str:
    return path.read_bytes().decode("utf-8").replace("\r\n", "\n")


def _notebook(cells: Sequence[Cell]) -> Notebook:
    return {
        "cells": [{**cell, "source": _source(cell).splitlines(keepends=True)} for cell in cells],
        "metadata": _METADATA,
        "nbformat": 4,
        "nbformat_minor": 5,
    }


def _source(cell: Cell) -> str:
    return "".join(cell["source"])


def _kind(cell: Cell) -> str:
    return str(cell.get("metadata", {}).get("course", {}).get("cell", ""))


def _lesson_cell(cell: Cell) -> Cell:
    """One cell of a lesson: nothing is kept of it but what a learner needs."""
    kind = _kind(cell)
    source = without_answer(_source(cell)) if kind == "answer" else _source(cell)
    made = {
        "cell_type": cell["cell_type"],
        "id": cell["id"],
        "metadata": _metadata_of(cell),
        "source": source,
    }
    if cell["cell_type"] == "code":
        made |= {"execution_count": None, "outputs": []}
    return made


def _metadata_of(cell: Cell) -> Cell:
    """What a cell is for, and what a learner may do to it: no cell can be deleted, no text be typed over."""
    kind = _kind(cell)
    marks: Cell = {"deletable": False} | ({"course": {"cell": kind}} if kind else {})
    if cell["cell_type"] == "markdown" or kind == "folded":
        marks |= {"editable": False}
    return marks | ({"jupyter": {"source_hidden": True}} if kind == "folded" else {})


def without_answer(source: str) -> str:
    """An answer cell with ``None`` behind its first ``=``.

    >>> print(without_answer('my_answer = 2 * wire  # for example "0.8 mm"'))
    my_answer = None  # for example "0.8 mm"

    Raises:
        BadNotebook: nothing is assigned in it.
    """
    start, end = _behind_first_equals(source)
    return f"{source[:start]} None{source[end:]}"


def _behind_first_equals(source: str) -> tuple[int, int]:
    """From just behind the first ``=`` to the end of what is assigned, as places in the text."""
    lines = [0]
    for line in source.splitlines(keepends=True):
        lines.append(lines[-1] + len(line))
    depth, start, end = 0, -1, -1
    for token in tokenize.generate_tokens(io.StringIO(source).readline):
        depth += token.string in "([{" if token.type == tokenize.OP else 0
        depth -= token.string in ")]}" if token.type == tokenize.OP else 0
        if start < 0 and token.string == "=" and not depth:
            start = lines[token.end[0] - 1] + token.end[1]
        elif start >= 0 and not depth and token.type in (tokenize.COMMENT, tokenize.NEWLINE):
            return start, end
        end = lines[token.end[0] - 1] + token.end[1]
    raise BadNotebook("nothing is assigned in this answer cell; write my_answer = ... in it.")


def _checked_cells(notebook: Notebook, name: str) -> list[Cell]:
    """The cells, once it is sure that each has a name of its own."""
    seen: set[str] = set()
    for at, cell in enumerate(notebook["cells"], 1):
        found = cell.get("id")
        if not found:
            raise BadNotebook(f"{name}, cell {at}: it has no id. Open it in JupyterLab and save it.")
        if found in seen:
            raise BadNotebook(f"{name}, cell {at}: its id {found!r} is that of an earlier cell. Change one.")
        seen.add(found)
    return list(notebook["cells"])


def _faults(cell: Cell) -> Iterator[str]:
    """What is wrong with one cell, each as a sentence."""
    kind = _kind(cell)
    if kind and kind not in KINDS:
        yield f"{kind!r} is no kind of cell here. Kinds are: {', '.join(KINDS)}."
    if not _source(cell).strip():
        yield "it is empty. Remove it."
    if cell["cell_type"] != "code":
        if kind in OF_CODE:
            yield f"a cell of text cannot be of the kind {kind!r}."
        return
    if kind in OF_TEXT:
        yield f"a cell of code cannot be of the kind {kind!r}."
    yield from _faults_of_code(_source(cell), kind)
    yield from _faults_of_outputs(cell, kind)
    if "raises-exception" in cell.get("metadata", {}).get("tags", []):
        yield "it is marked as one that raises; a lesson never shows lines of code as an answer."


def _faults_of_code(source: str, kind: str) -> Iterator[str]:
    lines = source.splitlines()
    if len(lines) > LONGEST_CELL:
        yield f"it has {len(lines)} lines of code and {LONGEST_CELL} is the most. Move sums to course_lib."
    try:
        body = ast.parse(source).body
    except SyntaxError:
        yield "it is not plain Python."
        return
    if kind == "folded" and not re.match(r"# \S.*[.:]$", lines[0]):
        yield "it is folded, so its first line must be a plain sentence: # ... with a full stop."
    if kind == "answer":
        if not any(isinstance(each, (ast.Assign, ast.AnnAssign)) for each in body):
            yield "nothing is assigned in this answer cell; write my_answer = ... in it."
        elif not isinstance(body[0], (ast.Assign, ast.AnnAssign)):
            yield "an answer cell begins with the answer. Put what leads to it in a teacher cell before it."
        if ".ask(" not in source:
            yield "this answer cell asks nothing; end it with lesson.ask(...)."


def _faults_of_outputs(cell: Cell, kind: str) -> Iterator[str]:
    outputs = cell.get("outputs", [])
    again = "Run: python -m course_lib.classroom.making.make_lessons --run"
    if any(output.get("output_type") == "error" for output in outputs):
        yield "an error is stored with it. Mend the cell and run it again."
    elif any(_WIDGET in output.get("data", {}) for output in outputs):
        yield f"a widget is stored with it, which no test can compare. {again}"
    elif kind == "answer" and not any("text/plain" in output.get("data", {}) for output in outputs):
        yield f"no verdict is stored with this answer cell, so no test would compare it. {again}"


def main(arguments: Sequence[str]) -> int:
    """The command; returns its exit code."""
    parser = argparse.ArgumentParser(prog="make_lessons", description="Make lessons/ from solutions/.")
    parser.add_argument("--check", action="store_true", help="change nothing; fail if something would change")
    parser.add_argument("--run", action="store_true", help="run the solutions first and keep their words")
    parser.add_argument("--top", type=Path, default=TOP, help="the folder that holds both")
    wanted = parser.parse_args(arguments)
    solutions, lessons = wanted.top / "solutions", wanted.top / "lessons"
    try:
        if wanted.run and not wanted.check:
            run_solutions(solutions)
        changed = list(different(solutions, lessons)) if wanted.check else make(solutions, lessons)
    except Refused as error:
        print(error, file=sys.stderr)
        return 1
    for path in changed:
        print(f"{path.parent.name}/{path.name} {'is not as it would be made' if wanted.check else 'made'}")
    return 1 if wanted.check and changed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
