"""Handing in: what was acknowledged is in the file, whatever happened to clock, disk and record meanwhile."""

import errno
import json
import os
import signal
import subprocess
import sys
from dataclasses import asdict
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

import course_lib
from course_lib.bench import filing
from course_lib.bench.refusals import Refused
from course_lib.classroom.page import hand_in as handing
from course_lib.classroom.page.asking import open_lesson
from course_lib.classroom.page.hand_in import HandedIn, hand_in, hand_in_box
from course_lib.classroom.page.progress import start_over
from course_lib.classroom.page.record import Try, keep, stamped, tries_in
from course_lib.classroom.pieces.job_in_hand import CannotGoOn, demo_job
from course_lib.classroom.pieces.learner_code import code_from
from course_lib.classroom.pieces.own_numbers import my_job
from course_lib.classroom.school.sent_files import read_sent

TOP = Path(course_lib.__file__).resolve().parent.parent
CODE = code_from("first", "somebody who hands in")
JOB = my_job(CODE)


def answered(record: Path, count: int = 3, **said: str) -> None:
    for at in range(count):
        usual = Try("01", "value", f"0.{800 + at} mm", "wrong", "", JOB.title, JOB.digest)
        keep(record, stamped(Try(**{**asdict(usual), **said})))


def content(found: HandedIn) -> dict[str, Any]:
    said: dict[str, Any] = json.loads(found.path.read_text(encoding="utf-8"))
    return said


def test_what_was_answered_in_a_lesson_is_handed_in(tmp_path: Path) -> None:
    record = tmp_path / "my-answers" / "answers.jsonl"
    lesson = open_lesson("01", JOB, record)
    right = lesson.lesson.exercise("value").written(lesson.lesson.exercise("value").expected(JOB), JOB)
    lesson.ask("value", "1 g")
    lesson.ask("value", right)
    found = hand_in(CODE.lower(), record)
    said = content(found)
    assert said["code"] == CODE and said["job"] == JOB.digest and said["version"] == 1
    assert [one["answer"] for one in said["tries"]] == ["1 g", right]
    assert [one["verdict"] for one in said["tries"]] == ["wrong kind of unit", "right"]
    assert "lesson 01: 1 answered, 1 of them right" in repr(found) and found.path.name in repr(found)
    # and the teacher's side reads it at once, without a second look
    sent = read_sent(found.path.read_bytes(), {CODE})
    assert sent.remarks == [] and sent.tries == said["tries"] and sent.handed_in is not None


def test_it_is_plain_and_small(tmp_path: Path) -> None:
    record = tmp_path / "answers.jsonl"
    answered(record, 80, answer="0,81 µm ½")
    text = hand_in(CODE, record).path.read_text(encoding="utf-8")
    assert "0,81 µm ½" in text and len(text) < 20_000
    assert len(text.splitlines()) > 40  # a line a try, for the eye


def test_only_the_answers_of_this_job_are_in_it(tmp_path: Path) -> None:
    record = tmp_path / "answers.jsonl"
    answered(record, 2)
    answered(record, 3, digest="another one")
    assert len(content(hand_in(CODE, record))["tries"]) == 2
    other = code_from("first", "somebody else")
    with pytest.raises(CannotGoOn, match="Nothing is answered yet"):
        hand_in(other, record)


def test_handing_in_again_writes_another_file_only_if_something_is_new(tmp_path: Path) -> None:
    record = tmp_path / "answers.jsonl"
    answered(record, 2)
    first = hand_in(CODE, record)
    again = hand_in(CODE, record)
    assert again.path == first.path and "Nothing is new" in again.says
    answered(record, 1)
    second = hand_in(CODE, record)
    assert second.path != first.path and first.path.exists()
    assert [content(found)["turn"] for found in (first, second)] == [1, 2]


def test_a_clock_that_goes_back_loses_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    record, shown = tmp_path / "answers.jsonl", [datetime(2026, 5, 4, 10, 0, tzinfo=UTC)]

    class Clock(datetime):
        @classmethod
        def now(cls, tz: Any = None) -> Any:
            return shown[0]

    monkeypatch.setattr(handing, "datetime", Clock)
    found = []
    for hour in (10, 9, 9, 8):
        shown[0] = datetime(2026, 5, 4, hour, 0, tzinfo=UTC)
        answered(record, 1)
        found.append(hand_in(CODE, record))
    assert len({each.path for each in found}) == 4, "no file took the place of another"
    said = [content(each) for each in found]
    assert [each["turn"] for each in said] == [1, 2, 3, 4]
    assert [len(each["tries"]) for each in said] == [1, 2, 3, 4]


def test_a_record_from_an_older_version_is_read(tmp_path: Path) -> None:
    """Before help, time and version were kept, a line had seven things in it; later there may be more."""
    record = tmp_path / "answers.jsonl"
    old = {
        "lesson": "01", "exercise": "value", "answer": "0.8 mm", "verdict": "right", "slip": "",
        "job": JOB.title, "digest": JOB.digest,
    }  # fmt: skip
    record.write_text(
        json.dumps(old) + "\n" + json.dumps({**old, "from": "the future"}) + "\n", encoding="utf-8"
    )
    answered(record, 1)
    assert [one.answer for one in tries_in(record)] == ["0.8 mm", "0.8 mm", "0.800 mm"]
    said = content(hand_in(CODE, record))
    assert [one["time"] == "" for one in said["tries"]] == [True, True, False]


def test_starting_over_takes_nothing_back(tmp_path: Path) -> None:
    record = tmp_path / "answers.jsonl"
    answered(record, 2)
    start_over(record)
    answered(record, 1)
    assert len(content(hand_in(CODE, record))["tries"]) == 3


def test_of_very_many_tries_the_first_the_last_and_the_first_right_one_are_kept(tmp_path: Path) -> None:
    record = tmp_path / "answers.jsonl"
    one = asdict(Try("01", "value", "", "wrong", "", JOB.title, JOB.digest))
    lines = [
        json.dumps({**one, "answer": str(at), "verdict": "right" if at == 500 else "wrong"})
        for at in range(5000)
    ]
    record.write_text("\n".join(lines) + "\n", encoding="utf-8")
    said = content(hand_in(CODE, record))
    assert [each["answer"] for each in said["tries"]] == [
        *map(str, range(20)),
        "500",
        *map(str, range(4980, 5000)),
    ]
    assert said["left_out"] == 5000 - 41


@pytest.mark.parametrize("bad", ["", "nonsense", "LO47-MI82-M", None, 7])
def test_a_mistyped_code_is_refused_kindly_and_nothing_is_written(tmp_path: Path, bad: Any) -> None:
    record = tmp_path / "answers.jsonl"
    answered(record)
    with pytest.raises(CannotGoOn, match="code"):
        hand_in(bad, record)
    assert [path.name for path in tmp_path.iterdir()] == ["answers.jsonl"]


def test_the_button_hands_in_and_says_what_is_wrong(tmp_path: Path) -> None:
    record = tmp_path / "answers.jsonl"
    answered(record)
    view = hand_in_box("LO47", record)
    (entry, give), told = view.children[0].children, view.children[1]
    give.click()
    assert "ticket" in told.value and 'role="alert"' in told.value
    entry.value = CODE
    give.click()
    assert "Send this file" in told.value and 'role="status"' in told.value
    assert len(list(tmp_path.glob("hand-in-*.json"))) == 1


# --- faults --------------------------------------------------------------------------------------------


def test_a_full_disk_is_told_and_the_earlier_file_stays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    record = tmp_path / "answers.jsonl"
    answered(record, 2)
    first = hand_in(CODE, record)
    answered(record, 1)

    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(filing.os, "fsync", full)
    with pytest.raises(CannotGoOn, match="No space left"):
        hand_in(CODE, record)
    monkeypatch.undo()
    assert [path.name for path in tmp_path.glob("hand-in-*")] == [first.path.name]
    assert len(content(hand_in(CODE, record))["tries"]) == 3


FILLER = """
import resource, sys
from course_lib.classroom.page.record import Try, keep, stamped
from course_lib.bench.refusals import Refused
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[2]), int(sys.argv[2])))
import signal
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
for at in range(1000):
    try:
        keep(sys.argv[1], stamped(Try("01", "value", str(at), "wrong", "", "job", "digest")))
    except Refused as refusal:
        print("refused", refusal, flush=True)
        break
    print(at, flush=True)
"""


@pytest.mark.parametrize("room", [1_000, 1_017, 2_345])
def test_a_disk_that_fills_up_in_the_middle_of_a_line_loses_no_answer_that_was_acknowledged(
    tmp_path: Path, room: int
) -> None:
    """The system itself stops the write, in the middle of a line, as a full disk does."""
    record = tmp_path / "answers.jsonl"
    ran = subprocess.run(
        [sys.executable, "-c", FILLER, str(record), str(room)],
        capture_output=True,
        text=True,
        env=os.environ | {"PYTHONPATH": str(TOP)},
        check=True,
    )
    *acknowledged, last = ran.stdout.splitlines()
    assert last.startswith("refused") and "cannot be written" in last
    assert record.stat().st_size <= room
    # there is room again: the next answer is added, and the half line costs nothing but itself
    keep(record, stamped(Try("01", "value", "after", "wrong", "", "job", "digest")))
    assert [one.answer for one in tries_in(record)] == [*acknowledged, "after"]


HANDER = """
import sys
from course_lib.classroom.page.hand_in import hand_in
from course_lib.classroom.page.record import Try, keep, stamped
from course_lib.classroom.pieces.own_numbers import my_job
code, record = sys.argv[1:]
job = my_job(code)
at = 0
while True:
    keep(record, stamped(Try("01", "value", str(at), "wrong", "", job.title, job.digest)))
    at += 1
    print(hand_in(code, record).path, at, flush=True)
"""


def test_killed_at_any_moment_every_file_that_was_told_of_is_whole(tmp_path: Path) -> None:
    record, told = tmp_path / "answers.jsonl", []
    for most in (3, 9, 17):
        process = subprocess.Popen(
            [sys.executable, "-c", HANDER, CODE, str(record)],
            stdout=subprocess.PIPE,
            text=True,
            env=os.environ | {"PYTHONPATH": str(TOP)},
        )
        assert process.stdout is not None
        for _ in range(most):
            told.append(process.stdout.readline().split())
        process.send_signal(signal.SIGKILL)
        process.wait()
        process.stdout.close()
    for path, _ in told:
        sent = read_sent(Path(path).read_bytes())
        assert sent.code == CODE and sent.remarks == []
    # whatever the kill left behind, the next hand-in holds every answer that was acknowledged
    last = content(hand_in(CODE, record))
    assert len(last["tries"]) + last["left_out"] >= sum((3, 9, 17))
    assert max(json.loads(Path(path).read_bytes())["turn"] for path, _ in told) <= last["turn"]


def test_two_kernels_that_answer_at_once_are_both_handed_in(tmp_path: Path) -> None:
    record, program = (
        tmp_path / "answers.jsonl",
        (
            "import sys\n"
            "from course_lib.classroom.page.record import Try, keep, stamped\n"
            "for at in range(150):\n"
            "    one = Try('01', 'value', f'{sys.argv[2]} {at}', 'wrong', '', '', sys.argv[3])\n"
            "    keep(sys.argv[1], stamped(one))\n"
        ),
    )
    both = [
        subprocess.Popen(
            [sys.executable, "-c", program, str(record), name, JOB.digest],
            env=os.environ | {"PYTHONPATH": str(TOP)},
        )
        for name in ("left", "right")
    ]
    assert [process.wait() for process in both] == [0, 0]
    answers = [one.answer for one in tries_in(record)]
    for name in ("left", "right"):
        assert [answer for answer in answers if answer.startswith(name)] == [
            f"{name} {at}" for at in range(150)
        ]
    said = content(hand_in(CODE, record))
    assert len(said["tries"]) + said["left_out"] == 300


def test_a_folder_that_cannot_be_written_to_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    record = tmp_path / "answers.jsonl"
    answered(record)

    def refuse(path: Any, parts: Any) -> Any:
        raise Refused(f"{path} cannot be written: Read-only file system.")

    monkeypatch.setattr(handing, "write_whole", refuse)
    with pytest.raises(CannotGoOn, match="Read-only"):
        hand_in(CODE, record)


# --- from a lesson ---


def test_a_lesson_hands_in_for_a_code_and_says_why_not_for_a_demo(tmp_path: Path) -> None:
    record = tmp_path / "my-answers" / "answers.jsonl"
    assert "came from no code" in repr(open_lesson("02", demo_job(), record).hand_in())
    lesson = open_lesson("02", my_job(CODE), record)
    lesson.ask("mark", "lower")
    box = lesson.hand_in()
    entry, give = box.children[0].children
    assert entry.value == CODE
    give.click()
    assert "Send this file to your teacher" in box.children[1].value
    [made] = record.parent.glob(f"hand-in-{CODE}-*.json")
    assert [one["exercise"] for one in json.loads(made.read_bytes())["tries"]] == ["mark"]
