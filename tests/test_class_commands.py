"""The teacher's commands as they are typed: where things lie, and what is told."""

import json
from pathlib import Path

import pytest

from course_lib import class_commands
from course_lib.classroom.assignment import read_assignment
from tests.invented_class import NAMES, class_list, hand_in_of, tries_of


@pytest.fixture
def autumn(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    """A folder as `assign` makes it, for five learners."""
    (tmp_path / "class.csv").write_text(class_list(NAMES[:5]), encoding="utf-8")
    folder = tmp_path / "autumn"
    asked = ["--exercises", "02/density", "05/blank", "--due", "2027-01-15"]
    assert class_commands.assign([str(tmp_path / "class.csv"), "-o", str(folder), *asked]) == 0
    # what to type next is told
    assert f"mark {folder}" in capsys.readouterr().out
    return folder


def send(folder: Path, into: Path) -> None:
    """Everybody hands in, and everybody knows everything."""
    assignment = read_assignment(folder / "assignment.json")
    asked = list(zip([lesson for lesson, _ in assignment.asked], assignment.exercises(), strict=True))
    assert assignment.due is not None
    for given in assignment.learners:
        tries = tries_of(asked, assignment.job_of(given.code), 1.0, given.code, assignment.due)
        (into / f"{given.code}.json").write_bytes(hand_in_of(given, tries, assignment.due))


def points_in(gradebook: Path) -> list[str]:
    lines = gradebook.read_text(encoding="utf-8-sig").splitlines()
    at = lines[0].split(",").index("points")
    return [line.split(",")[at] for line in lines[1:6]]


def test_the_folder_of_the_assignment_is_all_that_marking_needs(
    autumn: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    send(autumn, autumn / "handed-in")
    assert class_commands.mark([str(autumn)]) == 0
    assert "5 of 5 learners have handed in" in capsys.readouterr().out
    assert points_in(autumn / "marks" / "gradebook.csv") == ["2"] * 5
    assert (autumn / "marks" / "report.html").exists()


def test_files_collected_elsewhere_are_marked_beside_the_record(autumn: Path, tmp_path: Path) -> None:
    sent = tmp_path / "from the school's own place"
    sent.mkdir()
    send(autumn, sent)
    before = sorted(path.name for path in sent.iterdir())
    assert class_commands.mark([str(sent), "--assignment", str(autumn / "assignment.json")]) == 0
    assert points_in(autumn / "marks" / "gradebook.csv") == ["2"] * 5
    assert sorted(path.name for path in sent.iterdir()) == before


def test_a_folder_without_a_record_says_what_to_give(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert class_commands.mark([str(tmp_path)]) == 2
    said = capsys.readouterr().err
    assert "holds no assignment.json" in said and "--assignment" in said
    assert list(tmp_path.iterdir()) == []


def test_a_second_assignment_in_the_same_folder_is_refused_and_changes_nothing(
    autumn: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = json.loads((autumn / "assignment.json").read_bytes())
    again = [str(tmp_path / "class.csv"), "-o", str(autumn), "--lessons", "04"]
    assert class_commands.assign(again) == 2
    assert "holds an assignment already" in capsys.readouterr().err
    assert json.loads((autumn / "assignment.json").read_bytes()) == before
