"""The record of answers: nothing that was acknowledged is ever lost."""

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

import course_lib
from course_lib.bench.filing import add_line
from course_lib.bench.refusals import Refused
from course_lib.classroom.page.record import Followed, Try, keep, stamped, tries_in
from course_lib.classroom.pieces.own_folder import kept_at, own_file

TOP = Path(course_lib.__file__).resolve().parent.parent
ONE = Try("01", "value", "0,81 mm", "slip", "zero error left in", "the harbour pair", "0123456789ab", "clue")

# Keeps tries for ever, and says on its output which one is safe.
WRITER = """
import sys
from course_lib.classroom.page.record import Try, keep, stamped
at = 0
while True:
    keep(sys.argv[1], stamped(Try("01", sys.argv[2], str(at), "wrong", "", "job", "digest")))
    print(at, flush=True)
    at += 1
"""


# A learner's own notebook: opens the lesson, answers one size after another, says which one was acknowledged.
NOTEBOOK = """
import sys
from course_lib.classroom.notebook import demo_job, open_lesson
lesson = open_lesson("00", demo_job(), sys.argv[1])
exercise = lesson.lesson.exercise(sys.argv[2])
for at in range(100000):
    verdict = lesson.judge(exercise, f"{at}.5 mm")
    if "could not be kept" not in verdict.says:
        print(at, flush=True)
"""

# Has a full disk: a file may grow to so many bytes and no further.
FULL = """
import resource, signal, sys
from course_lib.bench.refusals import Refused
from course_lib.classroom.page.record import Try, keep
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[3]), resource.RLIM_INFINITY))
for at in range(1000):
    try:
        keep(sys.argv[1], Try("01", sys.argv[2], str(at), "wrong", "", "job", "digest"))
    except Refused as error:
        print("refused", error, flush=True)
        break
    print(at, flush=True)
"""


def writer(path: Path, name: str, program: str = WRITER, *more: str) -> "subprocess.Popen[str]":
    return subprocess.Popen(
        [sys.executable, "-c", program, str(path), name, *more],
        stdout=subprocess.PIPE,
        text=True,
        env=os.environ | {"PYTHONPATH": str(TOP)},
    )


def test_a_try_comes_back_as_it_was_kept(tmp_path: Path) -> None:
    record = tmp_path / "my-answers" / "answers.jsonl"
    keep(record, ONE)
    keep(record, stamped(ONE))
    first, second = tries_in(record)
    assert first == ONE
    assert second.time.endswith("+00:00") and second.version == course_lib.__version__


@pytest.mark.parametrize("answer", ["0,81 mm", "µm ″ ½", "a\nb", "\u2028\u2029\x85\x0b", "\ud800", '"\\', ""])
def test_any_answer_keeps_to_one_line(tmp_path: Path, answer: str) -> None:
    record = tmp_path / "answers.jsonl"
    keep(record, Try("00", "stone", answer, "right", "", "job", "digest"))
    assert record.read_bytes().count(b"\n") == 1
    assert [one.answer for one in tries_in(record)] == [answer]


@pytest.mark.parametrize("cut", range(1, 60, 7))
def test_a_line_that_was_cut_off_costs_only_itself(tmp_path: Path, cut: int) -> None:
    record = tmp_path / "answers.jsonl"
    keep(record, ONE)
    keep(record, ONE)
    record.write_bytes(record.read_bytes()[:-cut])
    assert tries_in(record)[0] == ONE
    keep(record, stamped(ONE))
    assert len(tries_in(record)) >= 2
    assert tries_in(record)[-1].version == course_lib.__version__


def test_foreign_lines_are_passed_over(tmp_path: Path) -> None:
    record = tmp_path / "answers.jsonl"
    foreign = [b"hello", b"{}", b"[1, 2]", b'{"lesson": 1}', b"\xff\xfe\x00", b"", b"null", b"{" * 2000]
    record.write_bytes(b"\n".join(foreign) + b"\n")
    keep(record, ONE)
    with record.open("ab") as file:
        file.write(b"\n".join(foreign))
    assert tries_in(record) == [ONE]


def test_a_later_version_may_write_more(tmp_path: Path) -> None:
    record = tmp_path / "answers.jsonl"
    keep(record, ONE)
    said = json.loads(record.read_text("utf-8")) | {"mood": "good"}
    record.write_text(json.dumps(said) + "\n", "utf-8")
    assert tries_in(record) == [ONE]


def test_no_record_holds_no_tries(tmp_path: Path) -> None:
    assert tries_in(tmp_path / "nothing.jsonl") == []
    assert tries_in(tmp_path) == []


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="this system has no signal that cannot be caught")
@pytest.mark.parametrize("after", [1, 7, 40])
def test_a_notebook_that_is_killed_loses_nothing_it_acknowledged(tmp_path: Path, after: int) -> None:
    record = tmp_path / "answers.jsonl"
    process = writer(record, "killed")
    assert process.stdout
    safe = [int(process.stdout.readline()) for _ in range(after)]
    process.send_signal(signal.SIGKILL)
    rest, _ = process.communicate()
    safe += [int(line) for line in rest.splitlines(keepends=True) if line.endswith("\n")]
    kept = [int(one.answer) for one in tries_in(record)]
    assert kept[: len(safe)] == safe
    assert len(kept) <= len(safe) + 1
    keep(record, ONE)
    assert tries_in(record)[-1] == ONE


def test_two_notebooks_at_once_lose_nothing(tmp_path: Path) -> None:
    record = tmp_path / "answers.jsonl"
    both = [writer(record, name) for name in ("one", "other")]
    safe = {}
    for name, process in zip(("one", "other"), both, strict=True):
        assert process.stdout
        safe[name] = [process.stdout.readline().strip() for _ in range(100)]
    for process in both:
        process.terminate()
        process.communicate()
    kept = tries_in(record)
    for name in safe:
        assert [one.answer for one in kept if one.exercise == name][:100] == safe[name]


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="this system has no signal that cannot be caught")
def test_notebooks_that_write_at_once_and_are_killed_lose_nothing(tmp_path: Path) -> None:
    """Two kernels answer at once; each is killed in the middle of it, and opened again."""
    record, safe = tmp_path / "answers.jsonl", {"stone": [], "reach": []}  # type: dict[str, list[str]]
    for after in (3, 11, 30):
        both = {name: writer(record, name, NOTEBOOK) for name in safe}
        for name, process in both.items():
            assert process.stdout
            safe[name] += [process.stdout.readline().strip() for _ in range(after)]
        for name, process in both.items():
            process.send_signal(signal.SIGKILL)
            rest, _ = process.communicate()
            safe[name] += [line.strip() for line in rest.splitlines(keepends=True) if line.endswith("\n")]
    kept = tries_in(record)
    for name, acknowledged in safe.items():
        mine = [one.answer.split(".")[0] for one in kept if one.exercise == name]
        # in order; at most the last of each of the three notebooks was written and not acknowledged
        rest = iter(mine)
        assert all(at in rest for at in acknowledged), name
        assert len(mine) <= len(acknowledged) + 3
    whole = [line for line in record.read_bytes().split(b"\n") if line]
    assert len(whole) == len(kept), "no line ran into another"


@pytest.mark.skipif(sys.platform == "win32", reason="this system cannot be told that a disk is full")
@pytest.mark.parametrize("room", [250, 333, 501, 1024])
def test_a_full_disk_costs_only_the_answer_that_was_refused(tmp_path: Path, room: int) -> None:
    record = tmp_path / "answers.jsonl"
    process = writer(record, "full", FULL, str(room))
    said, _ = process.communicate()
    lines = said.splitlines()
    assert lines[-1].startswith("refused") and "cannot be written" in lines[-1]
    assert record.stat().st_size == room, "the disk was full in the middle of a line"
    assert [one.answer for one in tries_in(record)] == lines[:-1]
    keep(record, ONE)
    assert [one.answer for one in tries_in(record)] == [*lines[:-1], ONE.answer]


def test_a_writing_that_is_cut_short_goes_on_to_its_end(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = os.write
    monkeypatch.setattr(os, "write", lambda file, line: whole(file, line[:7]))
    for _ in range(3):
        keep(tmp_path / "answers.jsonl", ONE)
    assert tries_in(tmp_path / "answers.jsonl") == [ONE] * 3


def test_a_line_waits_until_another_has_been_written(tmp_path: Path) -> None:
    fcntl = pytest.importorskip("fcntl")
    record = tmp_path / "answers.jsonl"
    add_line(record, "first")
    with record.open("ab") as other:
        fcntl.flock(other, fcntl.LOCK_EX)
        other.write(b"half of a li")
        other.flush()
        process = writer(record, "waits")
        assert process.stdout
        # whoever holds the file may take as long as it needs
        other.write(b"ne\n")
        other.flush()
        fcntl.flock(other, fcntl.LOCK_UN)
        first = process.stdout.readline()
    process.kill()
    process.communicate()
    assert first == "0\n"
    assert record.read_bytes().split(b"\n")[:2] == [b"first", b"half of a line"]


def test_what_others_add_is_news_once_and_a_half_line_waits(tmp_path: Path) -> None:
    record = tmp_path / "answers.jsonl"
    followed = Followed(record)
    assert followed.news() == ([], False)
    keep(record, ONE)
    assert followed.news() == ([ONE], False)
    assert followed.news() == ([], False)
    with record.open("ab") as file:
        line = json.dumps(vars(ONE)).encode()
        file.write(line[:20])
        file.flush()
        assert followed.news() == ([], False)
        file.write(line[20:] + b"\n")
    assert followed.news() == ([ONE], False)
    record.rename(tmp_path / "old.jsonl")
    assert followed.news() == ([], True)
    keep(record, ONE)
    assert followed.news() == ([ONE], False)
    record.write_bytes(b"")
    assert followed.news() == ([], True)


def test_own_files_go_where_the_answers_go(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert own_file("my-earring.csv") == tmp_path / "my-earring.csv"
    monkeypatch.setenv("COURSE_ANSWERS", str(tmp_path / "home"))
    assert own_file("my-earring.csv") == tmp_path / "home" / "my-earring.csv"
    assert kept_at().parent == tmp_path / "home"
    assert own_file(tmp_path / "else" / "my-earring.csv") == tmp_path / "else" / "my-earring.csv"


def test_a_record_that_cannot_be_written_is_refused_in_words(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="cannot be written"):
        keep(tmp_path, ONE)
