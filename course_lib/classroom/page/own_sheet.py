"""A measuring sheet of one's own as a file: rows are put in one by one, and whatever else is in it stays.

The same file may be open in a spreadsheet or in a second notebook; what was saved there in the meantime is
taken over before a row is changed.
"""

import csv
import io
from collections.abc import Iterable, Sequence
from pathlib import Path

from course_lib.bench.csv_read import (
    Rows,
    decoded,
    exported_text,
    filled_lines,
    filled_rows,
    split_lines,
)
from course_lib.bench.filing import put_aside_as, write_whole
from course_lib.bench.measuring_sheet import LARGEST_SHEET, Written, written_rows
from course_lib.bench.refusals import Refused

_FEWEST_COLUMNS = 3
CLOSED = "closed "


def head(readings: int) -> list[str]:
    """The first row of a sheet with so many columns of readings.

    >>> head(1)
    ['part', 'size', 'unit', 'instrument', 'reading 1', 'note']
    """
    return ["part", "size", "unit", "instrument", *(f"reading {at}" for at in range(1, readings + 1)), "note"]


def cells_of(row: Written, readings: int) -> list[str]:
    """A row as cells under such a head."""
    empty = [""] * (readings - len(row.readings))
    return [row.part, row.size, row.unit, row.instrument, *row.readings, *empty, row.note]


def as_csv(rows: Sequence[Written], separator: str = ",") -> str:
    """Rows as a measuring sheet, with as many columns of readings as they need.

    >>> print(as_csv([Written("post_wire", "post", "wire", "mm", "micrometer", ("0.9",))]).splitlines()[1])
    post,wire,mm,micrometer,0.9,,,
    """
    readings = max([_FEWEST_COLUMNS, *(len(row.readings) for row in rows)])
    out = io.StringIO()
    writer = csv.writer(out, delimiter=separator, lineterminator="\n")
    writer.writerows([head(readings), *(cells_of(row, readings) for row in rows)])
    return out.getvalue()


class OwnSheet:
    """The sheet in one file.

    `rows` holds what is understood by its key, `others` the rows that are none of the sheet's sizes,
    `trouble` why the file that is there cannot be read; empty when all is well.
    """

    def __init__(self, path: str | Path) -> None:
        self.path = Path(path)
        self.rows: dict[str, Written] = {}
        self.others: list[Written] = []
        self.trouble = ""
        self._seen: bytes | None = None
        self._separator = ","
        self.look()

    def look(self) -> bool:
        """Read the file if it is not as it was when it was seen last; says whether it was read."""
        content = self._content()
        if content == self._seen:
            return False
        self._seen, self.rows, self.others, self.trouble = content, {}, [], ""
        if content is None or not content.strip():
            return True
        try:
            text = exported_text(self.path, "a measuring sheet", LARGEST_SHEET)
            found = written_rows(text) if text.strip() else []
        except Refused as error:
            self.trouble = str(error)
            return True
        if found:
            self._separator = _rows_in(text).separator
        for row in found:
            key = row.key or _closed_key(row)
            if key and key not in self.rows:
                self.rows[key] = row
            else:
                self.others.append(row)
        return True

    def _content(self) -> bytes | None:
        try:
            return self.path.read_bytes()
        except OSError:
            return None

    def put(self, key: str, row: Written | None, order: Iterable[str] = ()) -> None:
        """Put a row in, or take it out, and save.

        Args:
            key: of the row.
            row: what it holds now; None takes it out.
            order: all keys, in the order in which the rows should stand.

        Raises:
            Refused: the file cannot be written.
        """
        self.look()
        rows = dict(self.rows)
        if row is None:
            rows.pop(key, None)
        else:
            rows[key] = row
        places = {each: at for at, each in enumerate(order)}
        self._keep_what_is_foreign()
        self.rows = dict(sorted(rows.items(), key=lambda item: places.get(item[0], len(places))))
        content = self.text().encode("utf-8-sig")
        write_whole(self.path, content)
        self._seen, self.trouble = content, ""

    def _keep_what_is_foreign(self) -> None:
        """Where the file that is there holds more than is understood, a copy of it is kept."""
        if self._seen is None or not self._seen.strip():
            return
        if self.trouble or self._said_by(self._seen) - self._said_by(self.text().encode("utf-8")):
            write_whole(put_aside_as(self.path), self._seen)

    def _said_by(self, content: bytes) -> set[str]:
        """Every text that stands in a cell under the first row."""
        rows = _rows_in(decoded(content, self.path.name)).filled[1:]
        return {cell for _, cells in rows for cell in cells if cell}

    def text(self) -> str:
        """The whole sheet as CSV."""
        return as_csv([*self.rows.values(), *self.others], self._separator)


def _rows_in(text: str) -> Rows:
    lines = split_lines(text)
    return filled_rows(lines, next(filled_lines(lines), len(lines)))


def _closed_key(row: Written) -> str:
    return f"{CLOSED}{row.part.lower()}" if row.size.lower() == "closed reading" else ""
