"""The record of answers: nothing that was acknowledged is ever lost."""

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

import course_lib
from course_lib.classroom.record import Try, keep, stamped, tries_in

TOP = Path(course_lib.__file__).resolve().parent.parent
ONE = Try("01", "value", "0,81 mm", "slip", "zero error left in", "the harbour pair", "0123456789ab", "clue")

# Keeps tries for ever, and says on its output which one is safe.
WRITER = """
import sys
from course_lib.classroom.record import Try, keep, stamped
at = 0
while True:
    keep(sys.argv[1], stamped(Try("01", sys.argv[2], str(at), "wrong", "", "job", "digest")))
    print(at, flush=True)
    at += 1
"""


def writer(path: Path, name: str) -> "subprocess.Popen[str]":
    return subprocess.Popen(
        [sys.executable, "-c", WRITER, str(path), name],
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
