"""Judging one file after the other: from a path to what came of it, whatever lies there.

Of very many files each of several programs judges a share (`judged_files`); the one that started them counts
and keeps. Should one of them end before its time, the others' work stands and its share is judged here.
"""

import json
import os
import subprocess
import sys
from collections.abc import Iterator, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import IO, NamedTuple

from course_lib.bench.refusals import Refused
from course_lib.classroom.school.class_keys import LearnersKey
from course_lib.classroom.school.earlier_keys import EarlierKeys
from course_lib.classroom.school.kept_lines import KeptLines
from course_lib.classroom.school.sent_files import CannotUse, content_of, mark_of, read_sent, sent_files
from course_lib.classroom.school.tally import Judged, SentJudge
from course_lib.classroom.school.work_record import Given, SetWork, read_record

# Fewer files are judged sooner than other programs have begun.
_MANY = 3_000
_MOST_PROGRAMS = 4


class Outcome(NamedTuple):
    """What came of a file: whose it is and what it is worth; or in `why`, why it is not marked.

    `line` is what is to be kept of it; empty if it was judged before.
    """

    path: str
    file: str = ""
    code: str = ""
    origin: str = ""
    turn: int = 0
    handed_in: str = ""
    stands: str = ""
    why: str = ""
    line: bytes = b""


class FileJudge:
    """Judges files by the key that was made for set work."""

    def __init__(self, work: SetWork, key: KeptLines, judged: KeptLines) -> None:
        self.work, self.key, self.judged = work, key, judged
        self.judge = SentJudge([f"{lesson}/{name}" for lesson, name in work.asked])
        self.earlier = EarlierKeys(key.path)
        self.given: Mapping[str, Given] = {each.code: each for each in work.learners}

    def outcome(self, folder: Path, path: str) -> Outcome:
        """Judge one file. Nothing that lies there stops the next from being judged."""
        try:
            content = content_of(folder / path)
            file = mark_of(content)
            known = self.judged.get(file)
            judged = self._still_somebodys(known) if known else self._judged(content, file)
        except CannotUse as error:
            return Outcome(path, why=str(error))
        except Refused:  # the teacher's own files, without which nothing can be marked
            raise
        except Exception as error:
            why = f"it brings about what nobody foresaw ({type(error).__name__}): tell who keeps the course"
            return Outcome(path, why=why)
        line = b"" if known else judged.as_line()
        return Outcome(
            path, file, judged.code, judged.origin, judged.turn, judged.handed_in, judged.stands, "", line
        )

    def _still_somebodys(self, known: bytes) -> Judged:
        """What was judged before, unless its learner was taken out of the record since."""
        judged = Judged.from_line(known)
        if judged.code not in self.given:
            raise CannotUse(f"its code {judged.code} stands in the record no more")
        return judged

    def _judged(self, content: bytes, file: str) -> Judged:
        sent = read_sent(content, self.given)
        given, line = self.given.get(sent.code), self.key.get(sent.code)
        if given is None:
            raise CannotUse(f"its code {sent.code} is nobody's in this work")
        assert line is not None, "the key is made before anything is judged"
        judged = self.judge.judged(
            sent,
            file,
            LearnersKey(line),
            partial(self.earlier.was_right, sent.code),
        )
        # the job is worked out only where the digest does not say it already: that takes long
        if sent.job != given.digest and sent.job != self.work.job_of(sent.code).digest:
            judged.remarks.append(
                "it was made for other numbers than those of its code: perhaps another version of the course"
            )
        return judged


def judged_files(judge: FileJudge, folder: Path, paths: Sequence[str], not_in: Path) -> Iterator[Outcome]:
    """What came of each file, in the order of the paths.

    Args:
        judge: of the work.
        folder: that the paths start from.
        paths: from `sent_files`.
        not_in: the folder of the marks.

    Returns:
        One outcome a file.
    """
    new = len(paths) - len(judge.judged)
    count = min(_MOST_PROGRAMS, os.cpu_count() or 1)
    if new < _MANY or count < 2 or judge.work.place is None:
        yield from (judge.outcome(folder, path) for path in paths)
        return
    yield from _by_many(judge, folder, paths, not_in, count)


def _by_many(
    judge: FileJudge, folder: Path, paths: Sequence[str], not_in: Path, count: int
) -> Iterator[Outcome]:
    """In turn the next file of each program's share; what does not come from there is judged here."""
    programs = [_start(judge, folder, not_in, share, count) for share in range(count)]
    try:
        for at, path in enumerate(paths):
            found = _next(programs[at % count].stdout)
            yield found if found is not None and found.path == path else judge.outcome(folder, path)
    finally:
        for program in programs:
            program.kill()
            program.wait()
            if program.stdout:
                program.stdout.close()


def _start(judge: FileJudge, folder: Path, not_in: Path, share: int, count: int) -> "subprocess.Popen[bytes]":
    places = (judge.work.place, folder.absolute(), not_in, judge.key.path, judge.judged.path)
    command = [sys.executable, "-m", __name__, *map(str, places), str(share), str(count)]
    top = str(Path(__file__).resolve().parents[3])
    environment = os.environ | {
        "PYTHONPATH": os.pathsep.join(filter(None, [top, os.environ.get("PYTHONPATH")]))
    }
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, env=environment)


def _next(told: IO[bytes] | None) -> Outcome | None:
    """The next line of a program as what it is; None if it has ended."""
    line = told.readline() if told else b""
    if not line.endswith(b"\n"):
        return None
    head, _, kept = line[:-1].partition(b"\t")
    return Outcome._make([*json.loads(head), kept])


def _tell(outcome: Outcome, to: IO[bytes]) -> None:
    to.write(json.dumps(outcome[:-1]).encode("ascii") + b"\t" + outcome.line + b"\n")


def main(arguments: Sequence[str]) -> None:
    """Judge a share of the files, and tell on the output what came of each, for as long as somebody reads."""
    record, folder, not_in, key, judged, share, count = arguments
    judge = FileJudge(read_record(record), KeptLines(Path(key)), KeptLines(Path(judged)))
    paths = sent_files(folder, not_in)
    try:
        for path in paths[int(share) :: int(count)]:
            _tell(judge.outcome(Path(folder), path), sys.stdout.buffer)
        sys.stdout.buffer.flush()
    except BrokenPipeError:
        os._exit(0)


if __name__ == "__main__":
    main(sys.argv[1:])
