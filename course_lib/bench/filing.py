"""Keeping files: the one small place that writes.

A file is written whole or not at all, so a failed run never spoils what was there before.
"""

import contextlib
import os
from collections.abc import Callable, Iterable, Iterator
from datetime import UTC, datetime
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


def leave_others_alone(path: str | Path, called: str, is_ours: Callable[[bytes], bool]) -> None:
    """See that a file which the course did not write is not overwritten.

    Args:
        path: of what is to be written.
        called: what that is, such as ``"bench card"``.
        is_ours: whether the content of a file that is there was written as one of these.

    Raises:
        Refused: a file of another kind is there already, or it cannot be looked at; it is left alone.
    """
    target = Path(path)
    try:
        content = target.read_bytes() if target.is_file() else b""
    except OSError as error:
        raise Refused(f"{target} cannot be written: {error.strerror}. Choose another name.") from None
    if content and not is_ours(content):
        raise Refused(
            f"{target} is there already and is no {called} of ours. Give the {called} another name."
        )


def put_aside_as(path: str | Path) -> Path:
    """A name beside a file under which it can be put aside: with today's date and time, and not taken yet.

    >>> put_aside_as("answers.jsonl").name.startswith("answers-until-2")
    True
    """
    target = Path(path)
    stem = f"{target.stem}-until-{datetime.now(UTC):%Y-%m-%d-%H%M%S}"
    aside, at = target.with_name(f"{stem}{target.suffix}"), 1
    while aside.exists():
        at += 1
        aside = target.with_name(f"{stem}-{at}{target.suffix}")
    return aside


def add_line(path: str | Path, line: str) -> None:
    """Add one line to the end of a file and see that it has reached the disk.

    Whoever else adds lines at the same time waits their turn, and a half line that an earlier stop left at
    the end is closed first: so no line ever runs into another.

    Raises:
        Refused: the file cannot be written.
    """
    target = Path(path)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        is_new = not target.exists()
        file = os.open(target, os.O_RDWR | os.O_APPEND | os.O_CREAT | getattr(os, "O_BINARY", 0), 0o666)
        try:
            with _alone(file):
                _write_line(file, line.encode("utf-8") + b"\n")
                os.fsync(file)
        finally:
            os.close(file)
    except OSError as error:
        raise Refused(f"{target} cannot be written: {error.strerror}.") from None
    if is_new:
        _remember_name(target)


def _write_line(file: int, line: bytes) -> None:
    """All of a line in one writing; what a full disk left of an earlier one is closed before it."""
    if os.lseek(file, 0, os.SEEK_END):
        os.lseek(file, -1, os.SEEK_END)
        line = line if os.read(file, 1) == b"\n" else b"\n" + line
    while line:
        line = line[os.write(file, line) :]


@contextlib.contextmanager
def _alone(file: int) -> Iterator[None]:
    """Nobody else adds to the file meanwhile, on systems and disks that can promise it.

    The promise ends with the process, however that ends.
    """
    try:
        import fcntl

        fcntl.flock(file, fcntl.LOCK_EX)
    except (ImportError, AttributeError, OSError):
        pass  # one writing at the end is then all there is, and it does for lines that are not cut short
    yield


def _remember_name(target: Path) -> None:
    """See that a new file's name has reached the disk too, where a system can do that."""
    with contextlib.suppress(OSError):
        folder = os.open(target.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)
