"""The notebooks: lessons equal what is made of the solutions, and solutions are right on every job."""

import io
import json
import re
from contextlib import redirect_stdout
from pathlib import Path
from typing import Any

import pytest
from nbformat import validate

import course_lib
from course_lib.classroom import notebook
from course_lib.classroom.exercises.course import find_lesson, lesson_numbers
from course_lib.classroom.exercises.exercise import Lesson
from course_lib.classroom.making.make_lessons import as_text, different, lesson_from
from course_lib.classroom.pieces import job_in_hand
from course_lib.classroom.pieces.job_in_hand import JobInHand, demo_job, demo_names
from course_lib.classroom.pieces.own_numbers import made_up_jobs

TOP = Path(course_lib.__file__).resolve().parent.parent
SOLUTIONS = sorted((TOP / "solutions").glob("[0-9][0-9]-*.ipynb"))
NAMES = [path.name for path in SOLUTIONS]

# A size with a decimal mark, as it would be typed into a sentence.
SIZE_IN_PROSE = re.compile(r"\d+[.,]\d+\s*(mm|µm|um|g|ct|°|N|MPa)\b")
EXACT = {"25.4 mm"}


def read(path: Path) -> dict[str, Any]:
    return dict(json.loads(path.read_text("utf-8")))


def lesson_of(name: str) -> Lesson:
    return find_lesson(name[:2])


def sources(path: Path, cell_type: str, *kinds: str) -> list[str]:
    """The cells of a notebook of one type, and of these kinds if any are named."""
    return [
        "".join(cell["source"])
        for cell in read(path)["cells"]
        if cell["cell_type"] == cell_type
        and (not kinds or cell["metadata"].get("course", {}).get("cell", "") in kinds)
    ]


def test_there_is_a_notebook_for_every_lesson() -> None:
    assert len(NAMES) >= 2
    assert [name[:2] for name in NAMES] == lesson_numbers()


def test_lessons_are_what_is_made_of_the_solutions() -> None:
    assert different(TOP / "solutions", TOP / "lessons") == {}


@pytest.mark.parametrize("folder", ["lessons", "solutions"])
@pytest.mark.parametrize("name", NAMES)
def test_every_notebook_is_sound_and_tidy(folder: str, name: str) -> None:
    found = read(TOP / folder / name)
    validate(found)
    assert as_text(found) == (TOP / folder / name).read_text("utf-8")
    assert found["metadata"]["language_info"] == {"name": "python"}
    for cell in found["cells"]:
        for output in cell.get("outputs", []):
            assert set(output["data"]) == {"text/plain"}


@pytest.mark.parametrize("name", NAMES)
def test_no_answer_is_left_in_a_lesson(name: str) -> None:
    answers = sources(TOP / "lessons" / name, "code", "answer")
    assert len(answers) == len(lesson_of(name).exercises)
    assert all(re.match(r"my_answer = None  # \S", answer) for answer in answers)
    assert "expect_all_right" not in (TOP / "lessons" / name).read_text("utf-8")


@pytest.mark.parametrize("name", NAMES)
def test_the_example_beside_an_answer_is_the_one_that_the_exercise_gives(name: str) -> None:
    for cell in sources(TOP / "lessons" / name, "code", "answer"):
        told = re.search(r'# for example "?([^"\n]+)"?\nlesson\.ask\("([^"]+)"', cell)
        if told:
            assert told[1] == getattr(lesson_of(name).exercise(told[2]), "example", None), cell


@pytest.mark.parametrize("name", NAMES)
def test_every_exercise_is_asked_once_and_in_its_order(name: str) -> None:
    asked = re.findall(r'lesson\.ask\("([^"]+)"', "\n".join(sources(TOP / "lessons" / name, "code")))
    assert asked == [exercise.name for exercise in lesson_of(name).exercises]


@pytest.mark.parametrize("name", NAMES)
def test_a_solution_ends_by_asserting_that_all_is_right(name: str) -> None:
    last = read(TOP / "solutions" / name)["cells"][-1]
    assert "".join(last["source"]) == "lesson.expect_all_right()"
    count = len(lesson_of(name).exercises)
    assert last["outputs"][0]["data"]["text/plain"] == [
        f"All {count} answers of lesson {name[:2]} are right."
    ]


@pytest.mark.parametrize("name", NAMES)
def test_every_stored_verdict_is_right(name: str) -> None:
    verdicts = [
        "".join(cell["outputs"][0]["data"]["text/plain"])
        for cell in read(TOP / "solutions" / name)["cells"]
        if cell["metadata"].get("course", {}).get("cell") == "answer"
    ]
    assert verdicts == [
        f"{each.title}: {'Done.' if each.ticks else 'Right.'}" for each in lesson_of(name).exercises
    ]


# --- what stands in a lesson ---


@pytest.mark.parametrize("name", NAMES)
def test_head_and_words_are_written_from_the_words_file(name: str) -> None:
    cells = read(TOP / "solutions" / name)["cells"]
    kinds = [cell["metadata"].get("course", {}).get("cell") for cell in cells]
    assert kinds[0] == "head"
    assert (kinds.count("head"), kinds.count("words")) == (1, 1)


@pytest.mark.parametrize("name", NAMES)
def test_a_head_forgets_neither_the_time_nor_an_earlier_lesson(name: str) -> None:
    lesson = lesson_of(name)
    assert lesson.intro and lesson.words
    assert "about {minutes} minutes" in lesson.need
    assert ("{earlier" in lesson.need) == bool(lesson.earlier)


@pytest.mark.parametrize("name", NAMES)
def test_a_lesson_has_all_its_parts(name: str) -> None:
    prose = "\n".join(sources(TOP / "lessons" / name, "markdown"))
    code = "\n".join(sources(TOP / "lessons" / name, "code"))
    for part in (
        "## On your own piece",
        "## What to remember",
        "**Words of this lesson**",
        "## How far you have come",
    ):
        assert part in prose
    assert "cautions(" in code
    assert "course_lib.screen." in code or "lesson.panel()" in code
    assert "job = demo_job()" in code
    assert 4 <= len(lesson_of(name).exercises) <= 7


@pytest.mark.parametrize("name", NAMES)
def test_folded_cells_say_what_they_do(name: str) -> None:
    cells = [cell for cell in read(TOP / "lessons" / name)["cells"] if cell["metadata"].get("jupyter")]
    assert cells
    for cell in cells:
        assert cell["metadata"]["jupyter"] == {"source_hidden": True}
        assert cell["source"][0].startswith("# This cell ")


@pytest.mark.parametrize("name", NAMES)
def test_no_size_of_a_piece_is_typed_into_a_sentence(name: str) -> None:
    for source in sources(TOP / "solutions" / name, "markdown"):
        prose = re.sub(r"`[^`]*`", "", source)
        typed = {found.group() for found in SIZE_IN_PROSE.finditer(prose)} - EXACT
        assert not typed, typed


@pytest.mark.parametrize("name", NAMES)
def test_cells_are_short(name: str) -> None:
    for source in sources(TOP / "lessons" / name, "code"):
        assert len(source.splitlines()) <= 15
    for source in sources(TOP / "lessons" / name, "markdown"):
        words = [line for line in source.splitlines() if not line.startswith("|")]
        assert len(" ".join(words).split()) < 190, source[:60]


# --- other jobs: change one line, and everything follows ---


@pytest.mark.parametrize("demo", demo_names())
@pytest.mark.parametrize("name", NAMES)
def test_a_solution_is_right_on_every_job(name: str, demo: str, tmp_path: Path, monkeypatch: Any) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(notebook, "demo_job", lambda: demo_job(demo))
    room: dict[str, Any] = {}
    with redirect_stdout(io.StringIO()):
        for source in sources(TOP / "solutions" / name, "code"):
            exec(compile(source, name, "exec"), room)
    assert room["job"].title == demo_job(demo).title
    assert room["lesson"].open_ones() == []


MADE_UP = made_up_jobs(10)


@pytest.mark.parametrize("job", MADE_UP, ids=lambda job: job.title)
@pytest.mark.parametrize("name", NAMES)
def test_a_lesson_and_its_solution_run_on_made_up_jobs(
    name: str, job: JobInHand, tmp_path: Path, monkeypatch: Any
) -> None:
    """Ten invented earrings: every answer right, nothing raised, nothing left of the demo."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(notebook, "demo_job", lambda: job)
    for folder, still_open in (("lessons", len(lesson_of(name).exercises)), ("solutions", 0)):
        room: dict[str, Any] = {}
        for source in sources(TOP / folder / name, "code"):
            exec(compile(source, name, "exec"), room)
        assert room["job"] is job
        assert len(room["lesson"].open_ones()) == still_open


@pytest.mark.parametrize("name", NAMES)
def test_a_lesson_runs_with_nothing_answered(name: str, tmp_path: Path, monkeypatch: Any) -> None:
    monkeypatch.chdir(tmp_path)
    room: dict[str, Any] = {}
    for source in sources(TOP / "lessons" / name, "code"):
        exec(compile(source, name, "exec"), room)
    assert len(room["lesson"].open_ones()) == len(lesson_of(name).exercises)
    assert not (tmp_path / "my-answers" / "answers.jsonl").exists()


@pytest.mark.parametrize("name", NAMES)
def test_a_lesson_runs_on_a_sheet_of_ones_own(name: str, tmp_path: Path, monkeypatch: Any) -> None:
    own = job_in_hand.data_folder() / "demo-six-claws.csv"
    (tmp_path / "my-earring.csv").write_bytes(own.read_bytes())
    monkeypatch.chdir(tmp_path)
    room: dict[str, Any] = {}
    for source in sources(TOP / "lessons" / name, "code"):
        exec(compile(source.replace("demo_job()", 'load_job("my-earring.csv")'), name, "exec"), room)
    assert room["job"].claws == 6


@pytest.mark.parametrize("name", NAMES)
def test_an_answer_left_in_a_lesson_would_be_found(name: str) -> None:
    solution = read(TOP / "solutions" / name)
    for cell in solution["cells"]:
        if cell["metadata"].get("course", {}).get("cell") == "answer":
            cell["metadata"] = {}
    assert as_text(lesson_from(solution)) != (TOP / "lessons" / name).read_text("utf-8")


# --- a teacher's code ---


@pytest.mark.parametrize("name", NAMES)
def test_a_lesson_takes_a_teachers_code_and_hands_in(name: str) -> None:
    """What the ticket says is all that a learner needs."""
    first = next(text for text in sources(TOP / "lessons" / name, "code") if "open_lesson(" in text)
    assert re.search(r"import .*\bmy_job\b", first)
    last = [text for text in sources(TOP / "lessons" / name, "code", "folded") if "lesson.hand_in()" in text]
    assert len(last) == 1 and "if a teacher gave you a code" in last[0]
