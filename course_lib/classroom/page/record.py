"""The record of answers: one line a try, in a file beside the notebooks.

A line is added whole and has reached the disk before the learner sees the verdict. Reading survives
a line that was cut off and lines that somebody else wrote.
"""

import json
import os
from collections.abc import Iterator
from dataclasses import asdict, dataclass, fields
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from course_lib.bench.filing import add_line
from course_lib.version import VERSION

_FIRST_VERSIONS = ("", "0.1.0")


@dataclass(frozen=True)
class Try:
    """One try at an exercise: what was answered, what the judge found, and which job it was for.

    `seen` is the furthest help that lay open: nothing, ``clue``, ``working`` or ``source``.
    """

    lesson: str
    exercise: str
    answer: str
    verdict: str
    slip: str
    job: str
    digest: str
    seen: str = ""
    time: str = ""
    version: str = ""

    def is_of(self, job: str, digest: str) -> bool:
        """Whether it was for the job of this title and digest.

        The digests of the first version changed with the tables of the trade: there the title tells.
        """
        return self.digest == digest or (self.version in _FIRST_VERSIONS and self.job == job)


def stamped(one: Try) -> Try:
    """A try with the time (of Greenwich) and the version of the course."""
    now = datetime.now(UTC).isoformat(timespec="seconds")
    return Try(**{**asdict(one), "time": now, "version": VERSION})


def keep(path: str | Path, one: Try) -> None:
    """Add a try to the record.

    Raises:
        Refused: the file cannot be written; the message says why.
    """
    # only plain signs, so that no line end of any alphabet can cut a line in two
    add_line(path, json.dumps(asdict(one), ensure_ascii=True))


def tries_in(path: str | Path) -> list[Try]:
    """Every try in a record, oldest first. A record that is not there holds none.

    >>> tries_in("no-such-folder/answers.jsonl")
    []
    """
    try:
        content = Path(path).read_bytes()
    except OSError:
        return []
    return list(_tries(content))


class Followed:
    """A record that other notebooks add to as well: what is new in it since it was last looked at."""

    def __init__(self, path: str | Path) -> None:
        self.path = Path(path)
        self._at = 0
        self._which: tuple[int, int] | None = None

    def from_the_start(self) -> None:
        """Take everything for new again."""
        self._at = 0

    def news(self) -> tuple[list[Try], bool]:
        """The tries that were added, oldest first; and whether the record was begun anew meanwhile.

        A line that somebody is just writing is left for the next time.
        """
        try:
            with self.path.open("rb") as file:
                found = os.fstat(file.fileno())
                which = (found.st_dev, found.st_ino)
                anew = self._which not in (None, which) or found.st_size < self._at
                self._which = which
                file.seek(0 if anew else self._at)
                content = file.read()
                self._at = file.tell()
        except OSError:
            anew, self._at, self._which = self._which is not None, 0, None
            return [], anew
        whole = content.rfind(b"\n") + 1
        self._at -= len(content) - whole
        return list(_tries(content[:whole])), anew


def _tries(content: bytes) -> Iterator[Try]:
    # an older version of the course may not have kept all of it: what came later is empty then
    usual = {field.name: field.default if field.default == "" else None for field in fields(Try)}
    for line in content.split(b"\n"):
        try:
            said = json.loads(line)
        except (ValueError, RecursionError):
            continue  # cut off, or not ours
        if isinstance(said, dict):
            kept: dict[str, Any] = {name: said.get(name, default) for name, default in usual.items()}
            if all(isinstance(value, str) for value in kept.values()):
                yield Try(**kept)
