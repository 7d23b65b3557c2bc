"""How far a long run has come, in one line of the terminal."""

import sys
import time
from collections.abc import Iterable, Iterator
from typing import TextIO, TypeVar

_T = TypeVar("_T")
_WIDE = 24
_SECONDS = 0.2


def with_bar(each: Iterable[_T], count: int, what: str, to: TextIO | None = None) -> Iterator[_T]:
    """Go through something and show how far it is; nothing is shown where nobody watches a terminal.

    Args:
        each: what to go through.
        count: how many there are.
        what: what they are, in the plural.
        to: where the line is written; the terminal, if left out.

    Returns:
        The same, one after the other.
    """
    out = to or sys.stderr
    if to is None and not out.isatty():
        yield from each
        return
    last = 0.0
    for at, one in enumerate(each):
        if time.monotonic() - last > _SECONDS:
            last = time.monotonic()
            out.write(f"\r{bar(at, count)} {what}")
            out.flush()
        yield one
    out.write(f"\r{bar(count, count)} {what}\n")
    out.flush()


def bar(done: int, count: int) -> str:
    """A bar, and the numbers for whoever hears it.

    >>> bar(6, 24)
    '[######..................] 6 of 24'
    """
    full = _WIDE * done // count if count else _WIDE
    return f"[{'#' * full}{'.' * (_WIDE - full)}] {done} of {count}"
