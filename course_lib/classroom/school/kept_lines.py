"""Lines that are kept by a name, in a file to which lines are only ever added.

A run that was broken off goes on from what is there: a line that was not written to its end counts as none.
Only where each line begins is held in memory.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from course_lib.bench.filing import add_line
from course_lib.bench.refusals import Refused

# Ends every line, so that one that was cut is known for what it is.
_END = b"\t.\n"
_AT_ONCE = 1000
# Most lines are shorter, so that one look is enough.
_A_LINE = 1 << 14


class KeptLines:
    """Lines by name. Of two with one name the later counts."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._starts: dict[str, int] = {}
        self._waiting: dict[str, bytes] = {}
        self._file: Any = None
        self._index()

    def _index(self) -> None:
        if not self.path.exists():
            return
        start = 0
        with self.path.open("rb") as file:
            for line in file:
                if line.endswith(_END):
                    name, _, _ = line.partition(b"\t")
                    self._starts[name.decode("utf-8", "replace")] = start
                start += len(line)

    def __contains__(self, name: str) -> bool:
        return name in self._waiting or name in self._starts

    def __len__(self) -> int:
        return len(self._starts.keys() | self._waiting.keys()) if self._waiting else len(self._starts)

    def names(self) -> Iterator[str]:
        """Every name, once."""
        yield from self._starts
        yield from (name for name in self._waiting if name not in self._starts)

    def get(self, name: str) -> bytes | None:
        """A line, or None."""
        waiting = self._waiting.get(name)
        if waiting is not None:
            return waiting
        start = self._starts.get(name)
        if start is None:
            return None
        return self._line_at(start)[len(name.encode()) + 1 :]

    def _line_at(self, start: int) -> bytes:
        """A line, without its end."""
        if self._file is None:
            self._file = self.path.open("rb", buffering=0)
        self._file.seek(start)
        found = self._file.read(_A_LINE) or b""
        while (end := found.find(_END)) < 0:
            more = self._file.read(_A_LINE)
            if not more:
                raise Refused(f"{self.path} has become shorter while it was read. Start again.")
            found += more
        return found[:end]

    def put(self, name: str, line: bytes) -> None:
        """Keep a line. It has reached the disk after `flush`, or when enough others came.

        Args:
            name: without a tab.
            line: without a line end.
        """
        self._waiting[name] = line
        assert b"\n" not in line, "a line is one line"
        if len(self._waiting) >= _AT_ONCE:
            self.flush()

    def flush(self) -> None:
        """See that all has reached the disk.

        Raises:
            Refused: the file cannot be written.
        """
        if not self._waiting:
            return
        lines = b"".join(name.encode() + b"\t" + line + _END for name, line in self._waiting.items())
        before = self.path.stat().st_size if self.path.exists() else 0
        add_line(self.path, lines[:-1].decode("utf-8"))
        # a half line of an earlier run was closed first
        start = self.path.stat().st_size - len(lines)
        assert start >= before
        for name, line in self._waiting.items():
            self._starts[name] = start
            start += len(name.encode()) + 1 + len(line) + len(_END)
        self._waiting.clear()

    def close(self) -> None:
        """Write what waits, and let go of the file."""
        self.flush()
        if self._file is not None:
            self._file.close()
            self._file = None
