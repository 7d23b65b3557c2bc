"""The ledger of marks: a row whenever a learner's mark came about or changed, with the date and the reason.

Rows are only ever added. It is CSV, so that it can be read in any spreadsheet.
"""

import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from course_lib.bench.filing import add_line
from course_lib.bench.for_spreadsheets import as_csv

LEDGER_NAME = "ledger.csv"
_HEADS = (
    "when", "number", "name", "code", "points", "of", "late", "points before", "why", "stands", "file",
    "rules",
)  # fmt: skip
_AT_ONCE = 400


@dataclass(frozen=True)
class Mark:
    """What a learner has, and what it rests on: a sign an exercise, the digest of the file, and the rules."""

    points: int
    of: int
    late: bool
    stands: str
    file: str
    rules: str


@dataclass(frozen=True)
class Change:
    """One row of the ledger."""

    when: str
    number: str
    name: str
    code: str
    mark: Mark
    before: int | None
    why: str


class Ledger:
    """The ledger in a folder. Only where each learner's last row begins is held in memory."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / LEDGER_NAME
        self._last: dict[str, int] = {}
        self._waiting: list[Change] = []
        start = 0
        if self.path.exists():
            with self.path.open("rb") as file:
                for line in file:
                    change = _read(line)
                    if change:
                        self._last[change.code] = start
                    start += len(line)

    def last(self, code: str) -> Change | None:
        """The last row of a learner."""
        start = self._last.get(code)
        if start is None:
            return None
        with self.path.open("rb") as file:
            file.seek(start)
            return _read(file.readline())

    def changes(self) -> Iterator[Change]:
        """Every row, the oldest first."""
        if self.path.exists():
            with self.path.open("rb") as file:
                yield from filter(None, map(_read, file))

    def add(self, change: Change) -> None:
        """Add a row; it has reached the disk after `flush`, or when enough others came."""
        self._waiting.append(change)
        if len(self._waiting) >= _AT_ONCE:
            self.flush()

    def flush(self) -> None:
        """See that all rows have reached the disk.

        Raises:
            Refused: the ledger cannot be written, for example because a spreadsheet has it open.
        """
        if not self._waiting:
            return
        if not self.path.exists():
            add_line(self.path, "\ufeff" + as_csv([_HEADS]).strip())
        add_line(self.path, as_csv(map(_written, self._waiting)).strip("\r\n"))
        self._waiting.clear()


def today() -> str:
    """The time of Greenwich, as the ledger writes it."""
    return datetime.now(UTC).isoformat(timespec="seconds")


def _written(change: Change) -> Sequence[object]:
    mark = change.mark
    return (
        change.when, change.number, change.name, change.code, mark.points, mark.of,
        "late" if mark.late else "", change.before, change.why, f"[{mark.stands}]", mark.file, mark.rules,
    )  # fmt: skip


def _read(line: bytes) -> Change | None:
    """A row, or None where it was cut short or is the first."""
    if not line.endswith(b"\n"):
        return None
    try:
        cells = next(csv.reader(io.StringIO(line.decode("utf-8-sig"), newline="")))
        when, number, name, code, points, of, late, before, why, stands, file, rules = cells
        mark = Mark(int(points), int(of), late == "late", stands.strip("[]"), file, rules)
        return Change(when, number, name, code, mark, int(before) if before else None, why)
    except (ValueError, csv.Error, StopIteration):
        return None
