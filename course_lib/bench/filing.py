"""Keeping files: the one small place that writes.

A file is written whole or not at all, so a failed run never spoils what was there before.
"""

import contextlib
import os
from collections.abc import Iterable
from pathlib import Path

from course_lib.bench.refusals import Refused


def write_whole(path: str | Path, content: bytes) -> Path:
    """Write a file in one step: the old one stays until the new one is complete.

    Args:
        path: where to; the folder must be there.
        content: the bytes.

    Returns:
        The path.

    Raises:
        Refused: the folder is missing or cannot be written to.

    >>> import tempfile
    >>> folder = tempfile.mkdtemp()
    >>> write_whole(Path(folder) / "card.csv", b"part;size").read_bytes()
    b'part;size'
    """
    return write_parts(path, [content])


def write_parts(path: str | Path, parts: Iterable[bytes]) -> Path:
    """As `write_whole`, for what is made bit by bit and need not all be in memory.

    Args:
        path: where to; the folder must be there.
        parts: the bytes, in order.

    Returns:
        The path.

    Raises:
        Refused: the folder is missing or cannot be written to.
    """
    target = Path(path)
    try:
        missing, folder = not target.parent.is_dir(), target.is_dir()
    except OSError as error:
        raise Refused(f"{target} cannot be written: {error.strerror}. Choose another name.") from None
    if missing:
        raise Refused(f"{target}: the folder {target.parent} is not there. Make it first, or choose another.")
    if folder:
        raise Refused(f"{target} is a folder. Give the name of a file in it.")
    half = target.with_name(f".half-{os.getpid()}-{target.name}")
    try:
        with half.open("wb") as file:
            file.writelines(parts)
            file.flush()
            os.fsync(file.fileno())
        os.replace(half, target)
    except OSError as error:
        raise Refused(
            f"{target} cannot be written: {error.strerror}. Close it if it is open, or choose another folder."
        ) from None
    finally:
        with contextlib.suppress(OSError):
            half.unlink(missing_ok=True)
    return target


def add_line(path: str | Path, line: str) -> None:
    """Add one line to the end of a file and see that it has reached the disk.

    A half line that an earlier stop left at the end is closed first, so it can never run into
    this one.

    Raises:
        Refused: the file cannot be written.
    """
    target = Path(path)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with target.open("ab+") as file:
            end = file.seek(0, os.SEEK_END)
            start = b""
            if end:
                file.seek(end - 1)
                start = b"" if file.read(1) == b"\n" else b"\n"
            file.write(start + line.encode("utf-8") + b"\n")
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        raise Refused(f"{target} cannot be written: {error.strerror}.") from None
