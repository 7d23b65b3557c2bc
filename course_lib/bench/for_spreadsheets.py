"""Tables that any spreadsheet or school system opens, and in which no cell runs as a formula."""

import csv
import io
from collections.abc import Iterable, Sequence
from typing import Any

# What a spreadsheet takes for the beginning of a formula, in narrow and wide letters.
_STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "|", "%", "＝", "＋", "－", "＠")


def as_cell(value: Any) -> str:
    """What stands in a cell. Text that would run as a formula gets an apostrophe before it.

    >>> as_cell("=1+1"), as_cell(-3), as_cell("Ann"), as_cell(" @SUM(A1)")
    ("'=1+1", '-3', 'Ann', "' @SUM(A1)")
    """
    if isinstance(value, (int, float)) or value is None:
        return "" if value is None else f"{value:.6g}" if isinstance(value, float) else str(value)
    text = str(value)
    if not text.isprintable():
        text = "".join(sign if sign.isprintable() else " " for sign in printable(text))
    return f"'{text}" if text.lstrip().startswith(_STARTS_A_FORMULA) else text


def printable(text: str) -> str:
    """Text that can be written to any file: half signs of an alphabet become question marks."""
    return text if text.isascii() else text.encode("utf-8", "replace").decode("utf-8")


def as_csv(rows: Iterable[Sequence[Any]], separator: str = ",") -> str:
    """Rows as the text of a CSV file, each cell through `as_cell`."""
    written = io.StringIO()
    csv.writer(written, delimiter=separator, lineterminator="\r\n").writerows(
        [value if type(value) is int else as_cell(value) for value in row] for row in rows
    )
    return written.getvalue()


def csv_file(rows: Iterable[Sequence[Any]], separator: str = ",") -> bytes:
    """Rows as the content of a CSV file, with the mark by which a spreadsheet knows that it is UTF-8."""
    return ("\ufeff" + as_csv(rows, separator)).encode("utf-8")
