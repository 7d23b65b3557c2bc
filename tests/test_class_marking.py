"""Marking an invented class: good, late, copied, edited, broken and hostile hand-ins, and every fault."""

import csv
import errno
import json
import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

import course_lib
from course_lib import class_commands
from course_lib.bench import filing, tables
from course_lib.bench.refusals import Refused
from course_lib.bench.tables import data_folder
from course_lib.classroom.exercises.course import find_lesson
from course_lib.classroom.exercises.exercise import Lesson
from course_lib.classroom.pieces.own_numbers import job_of_sheet
from course_lib.classroom.school import class_keys, file_judge, kept_lines, work_record
from course_lib.classroom.school.class_figures import ClassFigures, class_figures
from course_lib.classroom.school.class_report import report_page
from course_lib.classroom.school.file_judge import FileJudge
from course_lib.classroom.school.kept_lines import KeptLines
from course_lib.classroom.school.mark_list import write_mark_list
from course_lib.classroom.school.marking import Marks, mark
from course_lib.classroom.school.returned_page import write_returned
from course_lib.classroom.school.work_record import SetWork, read_record
from tests.invented_class import NAMES, changed, class_list, hand_in_of, tries_of, write_hand_ins

TOP = Path(course_lib.__file__).resolve().parent.parent
DUE = (datetime.now(UTC) - timedelta(days=1)).replace(microsecond=0)
LESSONS = ("02", "04", "07")


class Room:
    """A class whose work was set, handed in and marked, in a folder."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        (folder / "class.csv").write_text(class_list(), encoding="utf-8")
        arguments = [str(folder / "class.csv"), "-o", str(folder / "set"), "--lessons", *LESSONS]
        assert class_commands.set_work([*arguments, "--due", DUE.isoformat(), "--seed", "room"]) == 0
        self.record = folder / "set" / "set-work.json"
        self.work: SetWork = read_record(self.record)
        self.made = write_hand_ins(self.work, folder / "in", DUE)
        self.marks: Marks = mark(folder / "in", self.work, folder / "marks")
        self.figures: ClassFigures = class_figures(self.marks)
        write_mark_list(self.marks, folder / "marks" / "mark-list.csv")

    def path_of(self, what: str) -> str:
        (found,) = [name for name, said in self.made.items() if said == what]
        return found

    def code(self, at: int) -> str:
        return self.work.learners[at].code

    def refused(self) -> dict[str, str]:
        return {one.path: one.why for one in self.marks.not_marked}


@pytest.fixture(scope="module")
def room(tmp_path_factory: pytest.TempPathFactory) -> Room:
    return Room(tmp_path_factory.mktemp("room"))


def points_by_hand(room: Room, path: str, at: int) -> tuple[int, str]:
    """Judge every try with the exercise itself and the learner's whole job: no key, no quick look."""
    job, given = room.work.job_of(room.code(at)), json.loads((room.folder / "in" / path).read_bytes())
    right = 0
    signs = ""
    for (lesson, name), exercise in zip(room.work.asked, room.work.exercises(), strict=True):
        mine = [one["answer"] for one in given["tries"] if (one["lesson"], one["exercise"]) == (lesson, name)]
        judged = [exercise.judged(answer, job).is_right for answer in mine]
        right += any(judged) and not exercise.ticks
        signs += "." if not mine else "R" if judged[0] else "r" if any(judged) else "x"
    return right, signs


def test_every_good_file_gets_the_points_that_the_exercises_themselves_give(room: Room) -> None:
    checked = 0
    for path, what in room.made.items():
        if what not in ("good", "late", "every verdict edited to right", "copied from number 5"):
            continue
        at = [given.code for given in room.work.learners].index(
            json.loads((room.folder / "in" / path).read_bytes())["code"]
        )
        judged = room.marks.judged_of(room.code(at))
        assert judged is not None
        assert (room.marks.mark_of(room.code(at)).points, judged.stands) == points_by_hand(room, path, at), (
            path
        )
        checked += 1
    assert checked > 20


def test_what_cannot_be_marked_is_listed_with_its_reason_and_the_rest_is_marked(room: Room) -> None:
    refused = room.refused()
    wanted = {
        "cut short": "cut short or damaged",
        "nobody's code": "is nobody's in this work",
        "empty": "it is empty",
        "NaN": "NaN, which is no number",
        "deep nesting": "nested more deeply",
        "a name twice": "stands in it twice",
        "too many tries": "more than 8000",
        "no UTF-8": "no text (UTF-8)",
        "no hand-in": "no hand-in of this course",
        "a newer version": "newer version",
        "a letter": "no hand-in of this course",
        "no code": "holds no code",
        "a path for a code": "is none",
        "no list of tries": "no list of tries",
        "too large": "a hand-in is under 4 MB",
    }
    for what, said in wanted.items():
        assert said in refused[room.path_of(what)], what
    archives = [path for path, what in room.made.items() if what == "an archive"]
    assert len(archives) == 2 and all("archive" in refused[path] for path in archives)
    assert not [why for why in refused.values() if "foresaw" in why]
    assert len(refused) == len(wanted) + 2
    # nothing from 8, 9 and 10, and 11 sent somebody else's work
    assert [at for at in range(30) if room.code(at) not in room.marks.counted] == [8, 9, 10, 11]


def test_late_is_marked_late_and_the_latest_before_the_due_date_counts(room: Room) -> None:
    assert room.marks.counted[room.code(3)].late
    twice = room.marks.counted[room.code(4)]
    assert not twice.late and twice.path.startswith("again/") and twice.files == 3
    assert sum(counted.late for counted in room.marks.counted.values()) == 1


def test_scores_that_were_edited_are_seen_and_give_nothing(room: Room) -> None:
    judged = room.marks.judged_of(room.code(7))
    assert judged is not None and "answers right that are not" in judged.remarks[0]
    good = room.marks.judged_of(room.code(0))
    assert good is not None and good.remarks == []


def test_who_copied_is_found_and_earns_nothing_by_it(room: Room) -> None:
    pairs = {(each.one, each.other): each for each in room.figures.alike}
    pair = pairs[room.code(5), room.code(6)]
    assert pair.same == pair.of >= 5
    assert [room.code(5), room.code(6)] in room.figures.the_same_file
    # nobody else is accused
    assert set(pairs) == {(room.code(5), room.code(6))}
    own, copied = room.marks.mark_of(room.code(5)), room.marks.mark_of(room.code(6))
    assert own.points > copied.points + 5


def test_a_file_named_after_another_code_is_told(room: Room) -> None:
    said = room.marks.counted[room.code(0)].remarks
    assert any(room.code(11) in remark and room.code(0) in remark for remark in said)


def test_nothing_is_written_outside_the_folder_for_the_marks(tmp_path: Path, room: Room) -> None:
    shutil.copytree(room.folder / "in", tmp_path / "in")
    shutil.copytree(room.folder / "set", tmp_path / "set")
    (tmp_path / "in" / "link.json").symlink_to(tmp_path / "set" / "set-work.json")
    os.mkfifo(tmp_path / "in" / "pipe.json")

    def tree(folder: Path) -> dict[str, Any]:
        return {str(path): path.lstat().st_mtime_ns for path in sorted(folder.rglob("*"))}

    before = tree(tmp_path / "in") | tree(tmp_path / "set")
    arguments = [str(tmp_path / "in"), "--record", str(tmp_path / "set" / "set-work.json")]
    assert class_commands.mark([*arguments, "-o", str(tmp_path / "marks")]) == 0
    assert tree(tmp_path / "in") | tree(tmp_path / "set") == before
    assert sorted(path.name for path in tmp_path.iterdir()) == ["in", "marks", "set"]
    names = {path.name for path in (tmp_path / "marks" / "returned").iterdir()}
    assert all(name == "index.html" or name[:3].isdigit() for name in names) and len(names) == 27


def test_marks_kept_among_the_hand_ins_are_not_taken_for_hand_ins(tmp_path: Path, room: Room) -> None:
    shutil.copytree(room.folder / "in", tmp_path / "in")
    place = tmp_path / "in" / "my marks"
    once = mark(tmp_path / "in", room.work, place)
    twice = mark(tmp_path / "in", room.work, place)
    assert [one.path for one in once.not_marked] == [one.path for one in twice.not_marked]


# --- the ledger ----------------------------------------------------------------------------------------


def ledger_rows(folder: Path) -> list[dict[str, str]]:
    with (folder / "ledger.csv").open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


def test_marking_again_changes_nothing_and_judges_nothing_anew(
    room: Room, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = (room.folder / "marks" / "ledger.csv").read_bytes()
    monkeypatch.setattr(FileJudge, "_judged", lambda *_: pytest.fail("judged a second time"))
    refused_only = mark_only_known(room)
    assert (room.folder / "marks" / "ledger.csv").read_bytes() == before
    assert refused_only.counted.keys() == room.marks.counted.keys()


def mark_only_known(room: Room) -> Marks:
    """Mark a copy that holds only files that were marked before."""
    again = room.folder / "known"
    if not again.exists():
        shutil.copytree(room.folder / "in", again)
        for path in room.refused():
            (again / path).unlink()
    return mark(again, room.work, room.folder / "marks")


def test_every_first_mark_is_in_the_ledger(room: Room) -> None:
    rows = ledger_rows(room.folder / "marks")
    assert len(rows) == len(room.marks.counted) == 26
    assert {row["why"] for row in rows} == {"first mark"}
    assert [row for row in rows if row["name"].startswith(("=", "@", "+", "-"))] == []


class Small:
    """Two learners and one lesson, for what needs to be done several times over."""

    def __init__(
        self, folder: Path, own: str = "", exercises: tuple[str, ...] = ("07/wire", "02/density")
    ) -> None:
        self.folder = folder
        (folder / "class.csv").write_text(class_list(NAMES[:2]), encoding="utf-8")
        arguments = [
            str(folder / "class.csv"),
            "-o",
            str(folder / "set"),
            "--due",
            DUE.isoformat(),
            "--seed",
            "s",
        ]
        if own:
            (folder / "our-wire.toml").write_text(own, encoding="utf-8")
        chosen = ["--own", str(folder / "our-wire.toml")] if own else ["--exercises", *exercises]
        assert class_commands.set_work([*arguments, *chosen]) == 0
        self.record = folder / "set" / "set-work.json"
        self.work = read_record(self.record)
        (folder / "in").mkdir()

    def tries(self, at: int, skill: float = 1.0) -> list[dict[str, str]]:
        asked = list(zip([one for one, _ in self.work.asked], self.work.exercises(), strict=True))
        return tries_of(
            asked,
            self.work.job_of(self.work.learners[at].code),
            skill,
            at,
            DUE - timedelta(days=3),
        )

    def send(self, at: int, tries: list[dict[str, str]], turn: int = 1, late: bool = False) -> None:
        when = DUE + timedelta(hours=1 if late else -1)
        given = self.work.learners[at]
        (self.folder / "in" / f"{given.code}-{turn}.json").write_bytes(hand_in_of(given, tries, when, turn))

    def mark(self) -> Marks:
        return mark(self.folder / "in", read_record(self.record), self.folder / "marks")

    def rows(self) -> list[dict[str, str]]:
        return ledger_rows(self.folder / "marks")


def test_handing_in_again_changes_the_mark_and_the_ledger_says_so(tmp_path: Path) -> None:
    small = Small(tmp_path)
    small.send(0, small.tries(0)[:1])
    small.mark()
    small.send(0, small.tries(0), 2)
    small.mark()
    assert [(row["points before"], row["points"], row["why"]) for row in small.rows()] == [
        ("", "1", "first mark"),
        ("1", "2", "handed in again"),
    ]


def test_two_files_that_do_not_go_on_from_one_another_are_told_of(tmp_path: Path) -> None:
    """Half at school and half at home; or somebody else's file with this code."""
    small = Small(tmp_path)
    whole = small.tries(0)
    small.send(0, whole[:1])
    small.mark()
    assert small.rows()[-1]["points"] == "1"
    small.send(0, whole[1:], 2)
    marks = small.mark()
    remark = marks.counted[small.work.learners[0].code].remarks[-1]
    assert "on another computer or by another hand" in remark and "1 answers are right in the other" in remark
    small.send(0, [], 3)
    small.mark()
    assert small.rows()[-1]["why"] == "handed in again, from another computer or by another hand"


def test_a_file_that_came_after_the_marking_stays_one_that_did(tmp_path: Path) -> None:
    small = Small(tmp_path)
    small.send(1, small.tries(1))
    small.mark()
    small.send(0, small.tries(0))  # it says that it was on time
    code = small.work.learners[0].code
    for _ in range(3):
        (remark,) = small.mark().counted[code].remarks
        assert "was not there when you marked on" in remark


@pytest.mark.parametrize("name", ["mark-list.csv", "report.html", "ledger.csv"])
def test_what_somebody_else_wrote_is_not_overwritten(tmp_path: Path, name: str) -> None:
    small = Small(tmp_path)
    small.send(0, small.tries(0))
    (tmp_path / "marks").mkdir()
    (tmp_path / "marks" / name).write_text("mine", encoding="utf-8")
    with pytest.raises(Refused, match="did not write"):
        small.mark()
    assert [path.name for path in (tmp_path / "marks").iterdir()] == [name]
    with pytest.raises(Refused, match="where the hand-ins lie"):
        mark(tmp_path / "in", small.work, tmp_path / "in")


def test_a_late_one_takes_the_place_of_none(tmp_path: Path) -> None:
    small = Small(tmp_path)
    small.send(0, small.tries(0)[:1])
    small.send(0, small.tries(0), 2, late=True)
    marks = small.mark()
    code = small.work.learners[0].code
    assert marks.mark_of(code).points == 1 and not marks.counted[code].late


def test_a_file_that_is_gone_takes_no_mark_with_it(tmp_path: Path) -> None:
    small = Small(tmp_path)
    small.send(0, small.tries(0))
    small.send(1, small.tries(1))
    small.mark()
    for path in (tmp_path / "in").glob(f"{small.work.learners[0].code}*"):
        path.unlink()
    marks = small.mark()
    assert marks.gone == [small.work.learners[0].code] and len(small.rows()) == 2
    write_mark_list(marks, tmp_path / "g.csv")
    first = next(csv.DictReader((tmp_path / "g.csv").open(encoding="utf-8-sig")))
    assert first["points"] == "2" and "the mark stands" in first["look at"]


OWN = """
title = "Our wire"

[exercise.wire]
kind = "size"
title = "Our wire"
task = "How thick is the claw wire?"
right = "claw_wire * {factor}"
unit = "mm"
fine = "caliper"
clue = "Look at the sheet."
working = "It stands on the sheet."
basis = "common practice"

[exercise.wire.slips]
"ring wire" = {{gives = "ring_wire", says = "That is the ring's wire."}}
doubled = {{gives = "2 * claw_wire", says = "That is twice the wire."}}
"""


def test_a_corrected_exercise_re_marks_everybody_and_says_what_was_right_before(tmp_path: Path) -> None:
    small = Small(tmp_path, OWN.format(factor=1))
    for at in (0, 1):
        small.send(at, small.tries(at))
    first = small.mark()
    assert [first.mark_of(given.code).points for given in small.work.learners] == [1, 1]
    # the teacher sees that it should have been half of it, and mends the file beside the record
    (tmp_path / "set" / "our-wire.toml").write_text(OWN.format(factor=0.5), encoding="utf-8")
    second = small.mark()
    assert [second.mark_of(given.code).points for given in small.work.learners] == [0, 0]
    rows = small.rows()
    assert len(rows) == 4 and [row["points before"] for row in rows[2:]] == ["1", "1"]
    wire = small.work.job_of(small.work.learners[0].code).readings["claw_wire"].value
    assert f"our-wire/wire was corrected (right was {wire:.6g}, is {wire / 2:.6g})" in rows[2]["why"]
    # whoever was right before it is called no cheat, and the teacher hears of it before the learners do
    for given in small.work.learners:
        judged = second.judged_of(given.code)
        assert judged is not None and judged.remarks == []
    assert "2 lower" in second.moved_in_words() and first.moved_in_words() == ""
    # and back again: nothing was forgotten on the way
    (tmp_path / "set" / "our-wire.toml").write_text(OWN.format(factor=1), encoding="utf-8")
    small.mark()
    assert [row["points"] for row in small.rows()] == ["1", "1", "0", "0", "1", "1"]


def test_another_due_date_is_told_in_the_ledger(tmp_path: Path) -> None:
    small = Small(tmp_path)
    small.send(0, small.tries(0), late=True)
    assert small.mark().counted[small.work.learners[0].code].late
    said = small.record.read_text(encoding="utf-8")
    later = (DUE + timedelta(days=2)).isoformat()
    head, _, rest = said.partition('"due": "')
    small.record.write_text(f'{head}"due": "{later}{rest[rest.index(chr(34)) :]}', encoding="utf-8")
    assert not small.mark().counted[small.work.learners[0].code].late
    assert "by another due date" in small.rows()[-1]["why"]


def test_a_file_that_says_it_was_on_time_but_came_later_is_told(tmp_path: Path) -> None:
    """The teacher has marked after the due date; then a file turns up that says it is older."""
    small = Small(tmp_path)
    small.send(0, small.tries(0))
    small.mark()
    small.send(1, small.tries(1))
    marks = small.mark()
    said = marks.counted[small.work.learners[1].code].remarks
    assert any("was not there when you marked on" in remark for remark in said)
    assert marks.counted[small.work.learners[0].code].remarks == []
    by_time = mark(tmp_path / "in", small.work, tmp_path / "other", by_file_time=True)
    assert all(counted.late for counted in by_time.counted.values())


def test_clocks_that_go_back_or_ahead_are_told(tmp_path: Path) -> None:
    small = Small(tmp_path)
    tries = small.tries(0)
    tries[1]["time"] = "2020-01-01T00:00:00+00:00"
    small.send(0, tries)
    given = small.work.learners[1]
    ahead = hand_in_of(
        given, [{**one, "time": "?"} for one in small.tries(1)], datetime.now(UTC) + timedelta(days=3)
    )
    (tmp_path / "in" / "ahead.json").write_bytes(ahead)
    marks = small.mark()
    back, future = (marks.judged_of(each.code) for each in small.work.learners)
    assert back is not None and "the clock went back between its tries" in back.remarks
    assert future is not None and "the times of its tries cannot be read" in future.remarks
    assert any("has not come yet" in remark for remark in marks.counted[given.code].remarks)


def test_the_turn_counts_where_a_clock_went_back(tmp_path: Path) -> None:
    """The second hand-in says an earlier hour than the first: somebody put the clock back between them."""
    small = Small(tmp_path)
    given = small.work.learners[0]
    for turn, hours, tries in ((1, 2, small.tries(0)[:1]), (2, 5, small.tries(0))):
        content = hand_in_of(given, tries, DUE - timedelta(hours=hours), turn)
        (tmp_path / "in" / f"{turn}.json").write_bytes(content)
    assert small.mark().mark_of(given.code).points == 2


def test_of_two_computers_the_later_hand_in_counts_whatever_its_turn(tmp_path: Path) -> None:
    """Five times at home, then once at school: the turns of two records say nothing of each other."""
    small = Small(tmp_path)
    given, all_of_it = small.work.learners[0], small.tries(0)
    at_home = [{**one, "time": "2026-01-01T00:00:00+00:00"} for one in all_of_it[:1]]
    for turn in range(1, 6):
        content = hand_in_of(given, at_home, DUE - timedelta(hours=9 - turn), turn)
        (tmp_path / "in" / f"home-{turn}.json").write_bytes(content)
    (tmp_path / "in" / "school.json").write_bytes(hand_in_of(given, all_of_it, DUE - timedelta(hours=1), 1))
    marks = small.mark()
    assert marks.counted[given.code].path == "school.json" and marks.mark_of(given.code).points == 2


def test_other_numbers_than_those_of_the_record_are_told(tmp_path: Path) -> None:
    small = Small(tmp_path)
    content = hand_in_of(small.work.learners[0], small.tries(0), DUE)
    (tmp_path / "in" / "a.json").write_bytes(changed(content, job="another digest"))
    judged = small.mark().judged_of(small.work.learners[0].code)
    assert judged is not None and "other numbers than those of its code" in judged.remarks[0]


def test_no_file_of_many_odd_answers_holds_up_the_others(tmp_path: Path) -> None:
    small = Small(tmp_path)
    one = small.tries(0)[0]
    odd = [{**one, "answer": f"about {at} mm or so"} for at in range(5000)]
    (tmp_path / "in" / "odd.json").write_bytes(hand_in_of(small.work.learners[0], odd, DUE))
    small.send(1, small.tries(1))
    marks = small.mark()
    assert marks.mark_of(small.work.learners[1].code).points == 2
    judged = marks.judged_of(small.work.learners[0].code)
    assert judged is not None and "in forms that nobody types" in judged.remarks[-1]


# --- faults --------------------------------------------------------------------------------------------

MARK = """
import sys, time
from course_lib.classroom.school import kept_lines, marking
from course_lib.classroom.school.work_record import read_record
kept_lines._AT_ONCE = 3
take = marking._Run.take
def slowly(self, outcome):
    take(self, outcome)
    print(outcome.path, flush=True)
    time.sleep(0.02)
marking._Run.take = slowly
folder, record, out = sys.argv[1:]
marking.mark(folder, read_record(record), out)
print("done", flush=True)
"""


def started(*arguments: object) -> "subprocess.Popen[str]":
    return subprocess.Popen(
        [sys.executable, "-c", MARK, *map(str, arguments)],
        stdout=subprocess.PIPE,
        text=True,
        env=os.environ | {"PYTHONPATH": str(TOP)},
    )


def test_marking_killed_at_any_moment_goes_on_and_ends_as_if_it_never_was(tmp_path: Path, room: Room) -> None:
    arguments = room.folder / "in", room.record, tmp_path / "marks"
    for most in (1, 8, 20):
        process = started(*arguments)
        assert process.stdout is not None
        for _ in range(most):
            process.stdout.readline()
        process.send_signal(signal.SIGKILL)
        process.wait()
        process.stdout.close()
    # a kill can also leave half a line
    for path in (tmp_path / "marks" / "kept").glob("judged-*"):
        with path.open("ab") as file:
            file.write(b'0123456789abcdef01234567\t{"mark":')
    process = started(*arguments)
    assert process.stdout is not None
    left = process.stdout.read().splitlines()
    assert process.wait() == 0 and left[-1] == "done"
    marks = mark(*arguments[:1], room.work, tmp_path / "marks")
    write_mark_list(marks, tmp_path / "mark-list.csv")
    assert (tmp_path / "mark-list.csv").read_bytes() == (room.folder / "marks" / "mark-list.csv").read_bytes()
    rows = ledger_rows(tmp_path / "marks")
    assert sorted(row["code"] for row in rows) == sorted(room.marks.counted)


def test_only_one_marks_in_a_folder_at_a_time(tmp_path: Path, room: Room) -> None:
    process = started(room.folder / "in", room.record, tmp_path / "marks")
    assert process.stdout is not None
    process.stdout.readline()
    with pytest.raises(Refused, match="Somebody is marking"):
        mark(room.folder / "in", room.work, tmp_path / "marks")
    process.kill()
    process.wait()
    process.stdout.close()
    # whoever was killed holds nobody up
    assert mark(room.folder / "in", room.work, tmp_path / "marks").counted


@pytest.mark.parametrize("after", [0, 1, 2, 3])
def test_a_full_disk_while_marking_is_told_and_costs_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, after: int
) -> None:
    small = Small(tmp_path)
    small.send(0, small.tries(0))
    fsync, calls = os.fsync, [0]

    def full(handle: int) -> None:
        calls[0] += 1
        if calls[0] > after:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        fsync(handle)

    monkeypatch.setattr(filing.os, "fsync", full)
    with pytest.raises(Refused, match="No space left"):
        small.mark()
    monkeypatch.undo()
    marks = small.mark()
    assert marks.mark_of(small.work.learners[0].code).points == 2
    assert [row["why"] for row in small.rows()] == ["first mark"]


@pytest.mark.parametrize("fallen", [(), (1,), (0, 1, 2)])
def test_several_programs_find_what_one_finds_even_if_some_of_them_fall(
    tmp_path: Path, room: Room, monkeypatch: pytest.MonkeyPatch, fallen: tuple[int, ...]
) -> None:
    begin, begun = file_judge._start, []

    def start(judge: Any, folder: Path, not_in: Path, share: int, count: int) -> Any:
        program = begin(judge, folder, not_in, share, count)
        begun.append(program)
        if share in fallen:
            program.stdout.readline()
            program.kill()
        return program

    monkeypatch.setattr(file_judge, "_MANY", 0)
    monkeypatch.setattr(file_judge, "_start", start)
    monkeypatch.setattr(file_judge.os, "cpu_count", lambda: 3)
    marks = mark(room.folder / "in", room.work, tmp_path / "marks")
    assert len(begun) == 3 and all(program.poll() is not None for program in begun)
    assert marks.not_marked == room.marks.not_marked
    write_mark_list(marks, tmp_path / "mark-list.csv")
    wanted = (room.folder / "marks" / "mark-list.csv").read_bytes()
    assert (tmp_path / "mark-list.csv").read_bytes() == wanted


def test_marks_of_another_work_are_not_mixed_in(tmp_path: Path, room: Room) -> None:
    small = Small(tmp_path)
    small.send(0, small.tries(0))
    small.mark()
    with pytest.raises(Refused, match="marks of other set work"):
        mark(room.folder / "in", room.work, tmp_path / "marks")


def test_lines_that_were_cut_count_as_none(tmp_path: Path) -> None:
    path = tmp_path / "lines.tsv"
    kept = KeptLines(path)
    kept.put("a", b"one")
    kept.put("b", b"two" * 10_000)
    kept.close()
    whole = path.read_bytes()
    for cut in (1, 5, 8, 40, len(whole) - 1):
        path.write_bytes(whole[:cut])
        again = KeptLines(path)
        assert list(again.names()) == [name for name, end in (("a", 8), ("b", len(whole))) if cut >= end]
        again.put("c", b"three")
        again.close()
        once_more = KeptLines(path)
        assert once_more.get("c") == b"three" and once_more.get("a") == (b"one" if cut >= 8 else None)
        once_more.close()
    assert kept_lines._AT_ONCE > 1


# --- the command ---------------------------------------------------------------------------------------


def test_the_command_marks_and_writes_all_that_a_teacher_gets(
    room: Room, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "marks"
    arguments = [str(room.folder / "in"), "--record", str(room.record), "-o", str(out)]
    assert class_commands.mark([*arguments, "--separator", ";"]) == 0
    said = capsys.readouterr().out
    assert "26 of 30 learners have handed in, 1 of them late." in said and "Not marked: " in said
    assert {"mark-list.csv", "not-marked.csv", "report.html", "returned", "ledger.csv"} <= {
        p.name for p in out.iterdir()
    }
    assert (out / "mark-list.csv").read_text(encoding="utf-8-sig").startswith("number;name;code;points")
    assert class_commands.mark([*arguments, "--no-returned"]) == 0


@pytest.mark.parametrize("bad", ["folder", "record", "out"])
def test_the_command_says_what_will_not_do(
    room: Room, tmp_path: Path, bad: str, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "file").write_text("x")
    places = {"folder": room.folder / "in", "record": room.record, "out": tmp_path / "marks"} | {
        bad: tmp_path / "file"
    }
    if bad == "out":
        places["out"] = tmp_path / "file" / "marks"
    code = class_commands.mark(
        [str(places["folder"]), "--record", str(places["record"]), "-o", str(places["out"])]
    )
    assert code == 2 and "Traceback" not in capsys.readouterr().err


def edited(folder: Path, table: str, *changes: tuple[str, str]) -> Path:
    """A copy of the data folder with changes in one table."""
    copied = folder / "data"
    shutil.copytree(data_folder(), copied)
    text = (copied / table).read_text(encoding="utf-8")
    for before, after in changes:
        assert before in text
        text = text.replace(before, after)
    (copied / table).write_text(text, encoding="utf-8")
    return copied


@pytest.fixture
def tables_of(monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[Path], None]]:
    """Points the course at other tables, and back at the end."""

    def forget() -> None:
        for read in (tables.rows_of, tables.table_by):
            read.cache_clear()

    def point(folder: Path) -> None:
        for module in (tables, class_keys):
            monkeypatch.setattr(module, "data_folder", lambda: folder)
        forget()

    yield point
    monkeypatch.undo()
    forget()


def test_a_changed_table_lowers_no_mark_and_accuses_nobody(
    tmp_path: Path, tables_of: Callable[[Path], None]
) -> None:
    """An hour costs more today: honest learners keep their points, and it is said once what has changed."""
    small = Small(tmp_path, exercises=("13/time", "07/wire"))
    for at in (0, 1):
        small.send(at, small.tries(at))
    first = small.mark()
    points = [first.mark_of(given.code).points for given in small.work.learners]
    assert points == [2, 2] and first.course_in_words() == ""
    tables_of(edited(tmp_path, "practice.csv", ("labour_rate,45", "labour_rate,60")))
    second = small.mark()
    assert [second.mark_of(given.code).points for given in small.work.learners] == points
    assert second.moved == {} and len(small.rows()) == 2
    for given in small.work.learners:
        judged = second.judged_of(given.code)
        assert judged is not None and judged.remarks == []
    said = second.course_in_words()
    assert said.startswith("The course is not the one of the day the work was set: practice.csv differs.")
    assert "Another right answer today: 13/time for 2." in said
    report = report_page(second, class_figures(second)).decode()
    assert report.index("practice.csv differs") < report.index("learners have handed in")
    # the learner whose own course has the new table is right too
    job = job_of_sheet(small.work.sheet_of(small.work.learners[0].code))
    exercise = find_lesson("13").exercise("time")
    answer = exercise.written(exercise.expected(job), job)
    tries = [{**one, "answer": answer} if one["exercise"] == "time" else one for one in small.tries(0)]
    small.send(0, tries, turn=2)
    third = small.mark()
    assert third.mark_of(small.work.learners[0].code).points == 2
    # and the page that is returned says of both what the mark says
    write_returned(third, tmp_path / "in", tmp_path / "returned")
    for given in small.work.learners:
        (page,) = (tmp_path / "returned").glob(f"*{given.code}*")
        said = page.read_text(encoding="utf-8")
        assert "<strong>2 of 2</strong>" in said and said.count('class="right"') == 2


def test_whoever_is_added_under_another_table_changes_nobody_elses_key(
    tmp_path: Path, tables_of: Callable[[Path], None]
) -> None:
    """The record keeps the choices and keys of the day for those who were there on that day."""
    small = Small(tmp_path, exercises=("13/time",))
    for at in (0, 1):
        small.send(at, small.tries(at))
    before = {given.code: small.work.keys_of(given.code) for given in small.work.learners}
    tables_of(edited(tmp_path, "practice.csv", ("labour_rate,45", "labour_rate,60")))
    (tmp_path / "class.csv").write_text(class_list(NAMES[:3]), encoding="utf-8")
    assert class_commands.set_work([str(tmp_path / "class.csv"), "-o", str(tmp_path / "set"), "--add"]) == 0
    after = read_record(small.record)
    assert {code: after.keys_of(code) for code in before} == before
    rates = [after.job_of(given.code).choices["labour_rate"] for given in after.learners]
    assert rates == [45, 45, 60]
    marks = small.mark()
    assert [marks.mark_of(code).points for code in before] == [1, 1]


def test_a_learner_taken_out_of_the_record_is_named_though_the_file_was_marked_before(tmp_path: Path) -> None:
    small = Small(tmp_path)
    for at in (0, 1):
        small.send(at, small.tries(at))
    assert small.mark().not_marked == []
    said = json.loads(small.record.read_text(encoding="utf-8"))
    gone = said["learners"].pop(0)["code"]
    small.record.write_text(json.dumps(said), encoding="utf-8")
    marks = small.mark()
    (one,) = marks.not_marked
    assert one.named_after == gone and one.why == f"its code {gone} stands in the record no more"
    assert list(marks.counted) == [small.work.learners[1].code]


def test_the_files_of_learners_are_read_without_working_out_their_jobs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A hand-in whose digest is that of the record needs no job: it would be most of the time."""
    small = Small(tmp_path)
    small.send(0, small.tries(0))
    small.mark()
    small.send(0, small.tries(0)[:1], turn=2)

    def never(self: SetWork, code: str) -> None:
        raise AssertionError("worked out")

    monkeypatch.setattr(SetWork, "job_of", never)
    marks = small.mark()
    assert marks.not_marked == [] and marks.counted[small.work.learners[0].code].files == 2


def test_keys_that_the_first_version_kept_stop_nothing(
    tmp_path: Path, tables_of: Callable[[Path], None]
) -> None:
    """They hold no unit, so nothing can be judged by them; the file lies there all the same."""
    small = Small(tmp_path, exercises=("13/time",))
    small.send(0, small.tries(0))
    small.mark()
    code = small.work.learners[0].code
    old = KeptLines(tmp_path / "marks" / "kept" / "answer-key-1f4f15b23aec.tsv")
    old.put(code, b'[[293.5,296.5]]\t["n",295.0,1.5,[[0,270.0,1.5]]]')
    old.put("exercises", b'["13/time"]')
    old.close()
    said = json.loads(small.record.read_text(encoding="utf-8")) | {"version": 1, "course": "0.1.0"}
    for each in said["learners"]:
        del each["choices"], each["keys"]
    small.record.write_text(json.dumps(said), encoding="utf-8")
    tables_of(edited(tmp_path, "practice.csv", ("labour_rate,45", "labour_rate,60")))
    marks = small.mark()
    assert marks.not_marked == [] and marks.mark_of(code).points == 0
    assert "13/time was corrected" in small.rows()[-1]["why"]


def test_an_exercise_that_is_gone_is_marked_by_the_key_of_the_day(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    small = Small(tmp_path, exercises=("07/wire", "02/density", "12/beside"))
    small.send(0, small.tries(0))
    # the second learner makes a slip that the key of the day still knows
    job, wire = small.work.job_of(small.work.learners[1].code), find_lesson("07").exercise("wire")
    slip = next(value for each in wire.slips if (value := each.value(job)) is not None)
    tries = small.tries(1)
    tries[0] |= {"lesson": "07", "exercise": "wire", "answer": wire.written(slip, job), "verdict": "slip"}
    small.send(1, tries[:1])

    def without(number: str) -> Lesson:
        lesson = find_lesson(number)
        kept = tuple(each for each in lesson.exercises if each.name not in ("wire", "beside"))
        return replace(lesson, exercises=kept)

    monkeypatch.setattr(work_record, "find_lesson", without)
    marks = small.mark()
    # the open task gives no points, as before
    assert [
        (mark.points, mark.of) for mark in (marks.mark_of(each.code) for each in small.work.learners)
    ] == [
        (2, 2),
        (0, 2),
    ]
    gone = "07/wire is not in it any more, 12/beside is not in it any more"
    assert gone in marks.course_in_words()
    report = report_page(marks, class_figures(marks)).decode()
    assert report.index(gone) < report.index("learners have handed in")
    assert "wire (not in the course any more)" in report
    assert "a slip that the course names no more" in report
    write_returned(marks, tmp_path / "in", tmp_path / "returned")
    first, second = (
        next((tmp_path / "returned").glob(f"*{given.code}*")).read_text(encoding="utf-8")
        for given in small.work.learners
    )
    assert "Right. It was marked by the course of the day" in first and first.count('class="right"') == 3
    assert "→ Not right." in second and "A clue: <" not in second and "cannot be asked" not in second


def test_a_record_of_the_first_version_is_marked_as_it_was_and_says_so(tmp_path: Path) -> None:
    small = Small(tmp_path)
    small.send(0, small.tries(0))
    said = json.loads(small.record.read_text(encoding="utf-8"))
    said |= {"version": 1, "course": "0.1.0"}
    for each in said["learners"]:
        del each["choices"], each["keys"]
    small.record.write_text(json.dumps(said), encoding="utf-8")
    marks = small.mark()
    assert marks.mark_of(small.work.learners[0].code).points == 2
    assert "first version and keeps no key" in marks.course_in_words()
