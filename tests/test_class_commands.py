"""The teacher's commands as they are typed: where things lie, and what is told."""

import json
from pathlib import Path

import pytest

from course_lib import class_commands
from course_lib.classroom.school.work_record import read_record
from tests.invented_class import NAMES, class_list, hand_in_of, tries_of


@pytest.fixture
def autumn(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    """A folder as `set-work` makes it, for five learners."""
    (tmp_path / "class.csv").write_text(class_list(NAMES[:5]), encoding="utf-8")
    folder = tmp_path / "autumn"
    asked = ["--exercises", "02/density", "05/blank", "--due", "2027-01-15"]
    assert class_commands.set_work([str(tmp_path / "class.csv"), "-o", str(folder), *asked]) == 0
    # what to type next is told
    assert f"mark {folder}" in capsys.readouterr().out
    return folder


def send(folder: Path, into: Path) -> None:
    """Everybody hands in, and everybody knows everything."""
    work = read_record(folder / "set-work.json")
    asked = list(zip([lesson for lesson, _ in work.asked], work.exercises(), strict=True))
    assert work.due is not None
    for given in work.learners:
        tries = tries_of(asked, work.job_of(given.code), 1.0, given.code, work.due)
        (into / f"{given.code}.json").write_bytes(hand_in_of(given, tries, work.due))


def points_in(book: Path) -> list[str]:
    lines = book.read_text(encoding="utf-8-sig").splitlines()
    at = lines[0].split(",").index("points")
    return [line.split(",")[at] for line in lines[1:6]]


def test_the_folder_of_the_work_is_all_that_marking_needs(
    autumn: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    send(autumn, autumn / "handed-in")
    assert class_commands.mark([str(autumn)]) == 0
    assert "5 of 5 learners have handed in" in capsys.readouterr().out
    assert points_in(autumn / "marks" / "mark-list.csv") == ["2"] * 5
    assert (autumn / "marks" / "report.html").exists()


def test_files_collected_elsewhere_are_marked_beside_the_record(autumn: Path, tmp_path: Path) -> None:
    sent = tmp_path / "from the school's own place"
    sent.mkdir()
    send(autumn, sent)
    before = sorted(path.name for path in sent.iterdir())
    assert class_commands.mark([str(sent), "--record", str(autumn / "set-work.json")]) == 0
    assert points_in(autumn / "marks" / "mark-list.csv") == ["2"] * 5
    assert sorted(path.name for path in sent.iterdir()) == before


def test_a_folder_without_a_record_says_what_to_give(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert class_commands.mark([str(tmp_path)]) == 2
    said = capsys.readouterr().err
    assert "holds no set-work.json" in said and "--record" in said
    assert list(tmp_path.iterdir()) == []


def test_a_second_work_in_the_same_folder_is_refused_and_changes_nothing(
    autumn: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = json.loads((autumn / "set-work.json").read_bytes())
    again = [str(tmp_path / "class.csv"), "-o", str(autumn), "--lessons", "04"]
    assert class_commands.set_work(again) == 2
    assert "holds set work already" in capsys.readouterr().err
    assert json.loads((autumn / "set-work.json").read_bytes()) == before


def test_hand_ins_beside_the_record_are_told_of(autumn: Path, capsys: pytest.CaptureFixture[str]) -> None:
    send(autumn, autumn / "handed-in")
    (autumn / "hand-in-LO47-MI82-L-20270110-120000.json").write_text("{}", encoding="utf-8")
    assert class_commands.mark([str(autumn)]) == 0
    assert f"Move them into {autumn / 'handed-in'}" in capsys.readouterr().out


def test_a_due_date_may_be_mended_by_hand(autumn: Path, capsys: pytest.CaptureFixture[str]) -> None:
    send(autumn, autumn / "handed-in")
    record = autumn / "set-work.json"
    head, due, rest = record.read_text(encoding="utf-8").partition('"due": "')
    after = rest[rest.index('"') :]
    for typed, late in (("2027-01-20", 0), ("1.2.2026", 5), ("2027-01-20T18:00", 0)):
        record.write_text(head + due + typed + after, encoding="utf-8")
        assert class_commands.mark([str(autumn)]) == 0
        assert f"{late} of them late" in capsys.readouterr().out
    record.write_text(head + due + "next week" + after, encoding="utf-8")
    assert class_commands.mark([str(autumn)]) == 2
    assert "'next week' is no date" in capsys.readouterr().err


def test_a_folder_with_the_record_of_the_first_version_is_marked_and_takes_more_learners(
    autumn: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    said = json.loads((autumn / "set-work.json").read_text(encoding="utf-8"))
    said |= {"what": "lost earring course: assignment", "version": 1, "course": "0.1.0"}
    for each in said["learners"]:
        del each["choices"], each["keys"]
    send(autumn, autumn / "handed-in")
    (autumn / "set-work.json").unlink()
    (autumn / "assignment.json").write_text(json.dumps(said), encoding="utf-8")
    assert class_commands.mark([str(autumn)]) == 0
    told = capsys.readouterr().out
    assert "is a record of the first version" in told and "5 of 5 learners" in told and "keeps no key" in told
    assert class_commands.mark([str(autumn / "handed-in"), "--record", str(autumn / "assignment.json")]) == 0
    assert "5 of 5 learners" in capsys.readouterr().out
    # it is no empty folder for other work, but more learners can come to it
    assert class_commands.set_work([str(tmp_path / "class.csv"), "-o", str(autumn), "--lessons", "04"]) == 2
    assert "holds set work already" in capsys.readouterr().err
    before = (autumn / "assignment.json").read_bytes()
    (tmp_path / "later.csv").write_text(class_list(NAMES[:6]), encoding="utf-8")
    assert class_commands.set_work([str(tmp_path / "later.csv"), "-o", str(autumn), "--add"]) == 0
    assert "assignment.json is not read any more" in capsys.readouterr().out
    assert (autumn / "assignment.json").read_bytes() == before
    after = read_record(autumn / "set-work.json")
    assert [given.code for given in after.learners][:5] == [each["code"] for each in said["learners"]]
    assert class_commands.mark([str(autumn)]) == 0
    told = capsys.readouterr().out
    assert "5 of 6 learners have handed in" in told and "first version" not in told


HINGE = """
[exercise.knuckle]
kind = "size"
title = "A knuckle"
task = "How wide is one of three?"
right = "hinge_width / 3"
unit = "mm"
fine = "caliper"
clue = "Count them."
working = "A third."
basis = "common practice"

[exercise.knuckle.slips]
halved = {gives = "1.0", says = "Halved."}
whole = {gives = "3.0", says = "Whole."}
"""
HINGE = 'title = "A hinge"' + HINGE


def test_a_sum_that_fails_in_a_teachers_file_is_told_with_its_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "class.csv").write_text(class_list(NAMES[:5]), encoding="utf-8")
    (tmp_path / "our-hinge.toml").write_text(HINGE, encoding="utf-8")
    given = [str(tmp_path / "class.csv"), "-o", str(tmp_path / "set"), "--due", "2027-01-15"]
    given += ["--own", str(tmp_path / "our-hinge.toml")]
    assert class_commands.set_work(given) == 2
    said = capsys.readouterr().err
    assert "'knuckle'" in said and "our-hinge.toml, line 6: knuckle: 'hinge_width' is no size" in said
    assert not (tmp_path / "set").exists()
    # one that was sound when it was set, and was spoilt since
    (tmp_path / "our-hinge.toml").write_text(HINGE.replace("hinge_width", "claw_wire"), encoding="utf-8")
    assert class_commands.set_work(given) == 0
    assert f"copied to {tmp_path / 'set' / 'our-hinge.toml'}. Correct them there." in capsys.readouterr().out
    send(tmp_path / "set", tmp_path / "set" / "handed-in")
    (tmp_path / "set" / "our-hinge.toml").write_text(HINGE, encoding="utf-8")
    assert class_commands.mark([str(tmp_path / "set")]) == 2
    assert "our-hinge.toml, line 6" in capsys.readouterr().err


def test_two_learners_of_one_name_are_told_apart(tmp_path: Path) -> None:
    (tmp_path / "class.csv").write_text("name,number\nAnn Test,7\nBo Test,8\nAnn Test,9\n", encoding="utf-8")
    given = [
        str(tmp_path / "class.csv"),
        "-o",
        str(tmp_path / "set"),
        "--exercises",
        "02/density",
        "--lessons",
    ]
    assert class_commands.set_work([*given, "05"]) == 0
    tickets = (tmp_path / "set" / "tickets.html").read_text(encoding="utf-8")
    assert "Ann Test (7)" in tickets and "Ann Test (9)" in tickets and "<h2>Bo Test</h2>" in tickets
    # what is set stands on the ticket: of a whole lesson its number, else the exercises by their titles
    assert "Lesson 02: The density of the alloy. Lesson 05: all." in tickets


def test_what_lies_in_the_folder_is_not_overwritten(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "class.csv").write_text(class_list(NAMES[:5]), encoding="utf-8")
    (tmp_path / "set").mkdir()
    (tmp_path / "set" / "codes.csv").write_text("mine", encoding="utf-8")
    assert (
        class_commands.set_work([str(tmp_path / "class.csv"), "-o", str(tmp_path / "set"), "--lessons", "05"])
        == 2
    )
    assert "codes.csv" in capsys.readouterr().err
    assert [path.name for path in (tmp_path / "set").iterdir()] == ["codes.csv"]


def test_whoever_comes_later_gets_a_code_and_all_others_keep_theirs(
    autumn: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    send(autumn, autumn / "handed-in")
    assert class_commands.mark([str(autumn)]) == 0
    ledger = (autumn / "marks" / "ledger.csv").read_bytes()
    before = read_record(autumn / "set-work.json")
    sheets = {given.code: before.sheet_of(given.code) for given in before.learners}
    (tmp_path / "later.csv").write_text(class_list(NAMES[:7]), encoding="utf-8")
    later = [str(tmp_path / "later.csv"), "-o", str(autumn), "--add"]
    assert class_commands.set_work(later) == 0
    assert "2 learners added, 7 in all" in capsys.readouterr().out
    after = read_record(autumn / "set-work.json")
    assert after.learners[:5] == before.learners and after.asked == before.asked and after.due == before.due
    assert {code: after.sheet_of(code) for code in sheets} == sheets
    assert len({given.digest for given in after.learners}) == 7
    # the marks go on where they were, and no mark that was given has changed
    assert class_commands.mark([str(autumn)]) == 0
    assert (autumn / "marks" / "ledger.csv").read_bytes() == ledger
    send(autumn, autumn / "handed-in")
    assert class_commands.mark([str(autumn)]) == 0
    assert "7 of 7 learners have handed in" in capsys.readouterr().out
    # nothing is left to be done, and a number that is somebody else's is told
    assert class_commands.set_work(later) == 2
    (tmp_path / "later.csv").write_text(class_list(NAMES[1:8]), encoding="utf-8")
    record = (autumn / "set-work.json").read_bytes()
    assert class_commands.set_work(later) == 2
    assert "in the record. Mend the list" in capsys.readouterr().err
    assert class_commands.set_work([*later, "--lessons", "05"]) == 2
    assert (autumn / "set-work.json").read_bytes() == record
