"""What a spreadsheet exported: text in any encoding, rows with any separator."""

import csv
import re
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from course_lib.bench.refusals import Refused


def exported_text(path: Path, called: str, largest: int) -> str:
    """The text of a CSV file.

    Args:
        path: the file.
        called: what it should be, for the messages, such as ``"a measuring sheet"``.
        largest: more bytes than this cannot be right.

    Returns:
        The text, without a byte-order mark. What is not UTF-8 is read as Windows writes it.

    Raises:
        Refused: there is no such file, or it is none that a spreadsheet exports as CSV.
    """
    try:
        if not path.exists():
            raise Refused(f"{path}: there is no such file. Check the name and the folder.")
        if path.is_dir():
            raise Refused(f"{path} is a folder. Give the name of {called} in it.")
        amount = path.stat().st_size
        if amount > largest:
            raise Refused(
                f"{path.name} holds {amount / 1e6:.0f} MB; {called} is text, under {largest / 1e6:.0f} MB. "
                "Is it the right file?"
            )
        content = path.read_bytes()
    except (OSError, RuntimeError) as error:
        said = getattr(error, "strerror", None) or error
        raise Refused(f"{path} cannot be read: {said}.") from None
    return decoded(content, path.name)


def decoded(content: bytes, name: str) -> str:
    """The text in the content of a CSV file, whatever its spreadsheet encodes it in.

    Args:
        content: of the file.
        name: of the file, for the messages.

    Returns:
        The text, without a byte-order mark.

    Raises:
        Refused: it is a workbook, cut short, or no text at all.

    >>> decoded("µm".encode("cp1252"), "sizes.csv")
    'µm'
    """
    if content.startswith(b"PK"):
        raise Refused(f"{name} is a workbook, not CSV. In the spreadsheet choose 'Save as' and the kind CSV.")
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        try:
            return content.decode("utf-16")
        except UnicodeDecodeError:
            raise Refused(f"{name} is cut short or damaged. Export it again as CSV.") from None
    if b"\0" in content:
        raise Refused(f"{name} is not text. In the spreadsheet choose 'Save as' and the kind CSV.")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("cp1252", errors="replace")


_NOTHING = str.maketrans("", "", ';,\t\ufeff"')
_QUOTED = re.compile(r'"[^"]*"')


class Rows(NamedTuple):
    """The filled rows of a CSV file: the number of each in the file, and its cells without stray spaces."""

    separator: str
    filled: tuple[tuple[int, list[str]], ...]


def filled_lines(lines: Sequence[str]) -> Iterator[int]:
    """Where something stands in a file: the line numbers from 0, without blank lines and ``sep=;``.

    >>> list(filled_lines(["sep=;", ";;", "part;size", "", "post;wire"]))
    [2, 4]
    """
    for at, line in enumerate(lines):
        if line.translate(_NOTHING).strip() and not line.lower().lstrip("\ufeff").startswith("sep="):
            yield at


def filled_rows(lines: Sequence[str], first: int = 0) -> Rows:
    """Read the rows of a CSV file, whichever separator its spreadsheet uses.

    Args:
        lines: of the file, as `split_lines` makes them.
        first: the line with the heads, from 0; what stands most between them separates the columns.

    Returns:
        The `Rows` from that line on.

    Raises:
        Refused: a row is no CSV; the message says which.

    >>> filled_rows(["part; size ", "", "post;0,9"])
    Rows(separator=';', filled=((1, ['part', 'size']), (3, ['post', '0,9'])))
    """
    heads = _QUOTED.sub("", lines[first]) if first < len(lines) else ""
    separator = max(";\t,", key=heads.count)
    parsed = csv.reader(lines[first:], delimiter=separator, skipinitialspace=True)
    filled, at = [], first
    try:
        for cells in parsed:
            row, at = at + 1, first + parsed.line_num
            tidy = [" ".join(cell.split()) for cell in cells]
            if any(tidy):
                filled.append((row, tidy))
    except csv.Error as error:
        raise Refused(f"Row {at + 1} cannot be read as CSV ({error}). Export it again.") from None
    return Rows(separator, tuple(filled))


def split_lines(text: str) -> list[str]:
    """The lines of a file, each with its end, so that a cell of two lines keeps a space between them."""
    return text.splitlines(keepends=True)
