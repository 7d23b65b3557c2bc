"""Reading what learners sent, trusting nothing: every file is bounded before it is looked at.

Nothing in a file is run, followed or unpacked. What cannot be used is refused with its reason, and the next
file is read.
"""

import hashlib
import json
import os
import re
import stat
from collections.abc import Container, Iterator
from dataclasses import dataclass, field
from datetime import datetime
from itertools import chain
from operator import itemgetter
from pathlib import Path
from typing import Any, NoReturn

from course_lib.bench.for_spreadsheets import printable
from course_lib.bench.refusals import Refused
from course_lib.classroom.page.hand_in import FORMAT, TRY_FIELDS, WHAT
from course_lib.classroom.pieces.learner_code import read_code

LARGEST = 4_000_000
MOST_TRIES = 8_000
MOST_FILES = 1_000_000
LONGEST_ANSWER = 4_000
_LONGEST_WORD = 200
_DEEPEST_FOLDER = 5
_HEAD_TEXTS = ("what", "course", "code", "job", "handed_in")
_HEAD = dict.fromkeys((*_HEAD_TEXTS, "version", "turn", "left_out", "tries")).keys()
# A hand-in is an object that holds a list of objects: three deep.
_DEEPEST = 6
_BRACKETS = b"[]{}"
_ALL_BUT_BRACKETS = bytes(set(range(256)) - set(_BRACKETS))
_STRING_OR_BRACKET = re.compile(rb'"(?:[^"\\]|\\.)*"?|[\[\]{}]', re.DOTALL)
_ARCHIVES = (
    b"PK\x03\x04",
    b"PK\x05\x06",
    b"\x1f\x8b",
    b"7z\xbc\xaf",
    b"Rar!",
    b"BZh",
    b"\xfd7zXZ",
    b"\x28\xb5\x2f\xfd",
)
_OTHER_ESCAPE = re.compile(rb"\\[^n]")
_ANSWER = itemgetter("answer")
_NEEDED = {"lesson", "exercise", "answer"}
_YEARS = range(2020, 2200)
# Files that systems leave in folders of their own accord.
_NOBODYS = ("thumbs.db", "desktop.ini", "__macosx")


class CannotUse(Refused):
    """A file that is not marked; the message says why, in words for the teacher."""


# A try as it was sent, of which only the answer is believed: names of `TRY_FIELDS`, and text for each.
SentTry = dict[str, str]


@dataclass(frozen=True)
class Sent:
    """A hand-in that could be read. `remarks` is what was odd about it."""

    code: str
    job: str
    course: str
    turn: int
    handed_in: datetime | None
    tries: list[SentTry]
    remarks: list[str] = field(default_factory=list)


def sent_files(folder: str | Path, not_in: str | Path | None = None) -> list[str]:
    """Every file under a folder, by its path from there, in order of name; links are listed, not followed.

    Args:
        folder: where the files were collected, one level or several.
        not_in: a folder that is passed over, where the marks are kept.

    Returns:
        The paths.

    Raises:
        Refused: there is no such folder.
    """
    top = Path(folder)
    if not top.is_dir():
        raise Refused(f"{folder} is no folder. Give the folder that holds what the learners sent.")
    passed_over = Path(not_in).resolve() if not_in is not None else None
    found = list(_files(top, "", 0, passed_over))
    if len(found) > MOST_FILES:
        raise Refused(f"{folder} holds more than {MOST_FILES} files. Is it the right folder?")
    return found


def _files(top: Path, inside: str, depth: int, passed_over: Path | None) -> Iterator[str]:
    try:
        with os.scandir(top / inside) as listed:
            entries = sorted(listed, key=lambda entry: entry.name)
    except OSError:
        yield inside  # told by whoever tries to read it
        return
    for at, entry in enumerate(entries):
        name = f"{inside}/{entry.name}" if inside else entry.name
        if entry.name.startswith(".") or entry.name.lower() in _NOBODYS or at > MOST_FILES:
            continue
        if not entry.is_dir(follow_symlinks=False):
            yield name
        elif passed_over is None or Path(entry.path).resolve() != passed_over:
            if depth < _DEEPEST_FOLDER:
                yield from _files(top, name, depth + 1, passed_over)
            else:
                yield name


def content_of(path: str | Path) -> bytes:
    """The bytes of a file, no more than `LARGEST` of them.

    Raises:
        CannotUse: it is no ordinary file, too large, empty, or cannot be read.
    """
    try:
        _check(os.stat(path, follow_symlinks=False))
        flags = os.O_RDONLY
        for name in ("O_NOFOLLOW", "O_NONBLOCK", "O_CLOEXEC", "O_BINARY"):
            flags |= getattr(os, name, 0)
        handle = os.open(path, flags)
        try:
            # the file may have been exchanged since it was looked at
            _check(os.fstat(handle))
            content = _read_all(handle)
        finally:
            os.close(handle)
    except (OSError, ValueError) as error:
        if isinstance(error, CannotUse):
            raise
        raise CannotUse(f"it cannot be read: {getattr(error, 'strerror', None) or error}") from None
    if not content:
        raise CannotUse("it is empty")
    return content


def _check(found: os.stat_result) -> None:
    if stat.S_ISLNK(found.st_mode):
        raise CannotUse("it is a link to another file; only a file itself can be marked")
    if stat.S_ISDIR(found.st_mode):
        raise CannotUse("it is a folder in a folder in a folder; take the files out of it")
    if not stat.S_ISREG(found.st_mode):
        raise CannotUse("it is no ordinary file but a pipe or a device")
    if found.st_size > LARGEST:
        _too_large(found.st_size)


def _too_large(amount: int) -> NoReturn:
    raise CannotUse(f"it holds {amount / 1e6:.0f} MB; a hand-in is under {LARGEST / 1e6:.0f} MB")


def _read_all(handle: int) -> bytes:
    parts, amount = [], 0
    while part := os.read(handle, min(1 << 20, LARGEST + 1 - amount)):
        parts.append(part)
        amount += len(part)
        if amount > LARGEST:
            _too_large(amount)
    return b"".join(parts)


def mark_of(content: bytes) -> str:
    """The digest of a file's content, by which it is known again."""
    return hashlib.sha256(content).hexdigest()[:24]


def read_sent(content: bytes, codes: Container[str] = ()) -> Sent:
    """A hand-in from its bytes.

    Args:
        content: from `content_of`.
        codes: those that were given out; one of them needs no second look.

    Returns:
        The hand-in.

    Raises:
        CannotUse: it is none, or something in it is beyond all bounds.
    """
    said = _as_json(content)
    if not isinstance(said, dict) or said.get("what") != WHAT:
        raise CannotUse("it is no hand-in of this course")
    version = said.get("version")
    if type(version) is not int or version < 1:
        raise CannotUse("it does not say which version of a hand-in it is")
    if version > FORMAT:
        raise CannotUse("a newer version of the course wrote it: mark with that version")
    tries = said.get("tries")
    if not isinstance(tries, list):
        raise CannotUse("it holds no list of tries")
    if len(tries) > MOST_TRIES:
        raise CannotUse(f"it holds {len(tries)} tries; more than {MOST_TRIES} nobody makes by hand")
    remarks: list[str] = []
    if not _is_as_written(content, said, tries):
        said = _as_json(content, _each_name_once)
        tries = _only_as_written(said["tries"], remarks)
    turn = said.get("turn", 1)
    return Sent(
        _code(said.get("code"), codes),
        _word(said.get("job")),
        _word(said.get("course")),
        turn if type(turn) is int and 0 < turn < 1_000_000 else 1,
        moment(said.get("handed_in")),
        tries,
        remarks,
    )


def _as_json(content: bytes, pairs: Any = None) -> Any:
    if content.startswith(_ARCHIVES):
        raise CannotUse("it is an archive; unpack it yourself, and mark what is in it")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise CannotUse("it is no text (UTF-8), or was cut in the middle of a sign") from None
    if _is_too_deep(content):
        raise CannotUse("its brackets are nested more deeply than in any hand-in")
    try:
        return json.loads(text, object_pairs_hook=pairs, parse_constant=_no_number)
    except CannotUse:
        raise
    except json.JSONDecodeError as error:
        if WHAT not in text[:LONGEST_ANSWER]:
            raise CannotUse("it is no hand-in of this course") from None
        raise CannotUse(f"it is cut short or damaged in line {error.lineno}") from None
    except (ValueError, RecursionError, MemoryError):
        raise CannotUse("it holds what no hand-in holds") from None


def _is_as_written(content: bytes, said: dict[str, Any], tries: list[Any]) -> bool:
    """Whether a file is, beyond doubt, of the form in which the course writes it.

    Where nothing but line ends is escaped, every string has two quotation marks. If all names and texts
    that there should be are there, and just as many marks, then no name stands twice. Any other file is
    read again, with care.
    """
    marks = 2 * (len(_HEAD) + len(_HEAD_TEXTS)) + 4 * len(TRY_FIELDS) * len(tries)
    if _OTHER_ESCAPE.search(content) or content.count(b'"') != marks or said.keys() != _HEAD:
        return False
    if not all(type(said[name]) is str for name in _HEAD_TEXTS):
        return False
    try:
        # only text can be joined: a quick way to see that nothing else is there
        "".join(chain.from_iterable(map(dict.values, tries)))
        names = list(chain.from_iterable(tries))
    except TypeError:
        return False
    return (
        names == list(TRY_FIELDS) * len(tries)
        and len(max(map(_ANSWER, tries), key=len, default="")) <= LONGEST_ANSWER
    )


def _is_too_deep(content: bytes) -> bool:
    """Whether brackets are nested beyond all reason. Nearly always the quick look decides."""
    left = content.translate(None, _ALL_BUT_BRACKETS)
    for _ in range(_DEEPEST):
        left = left.replace(b"{}", b"").replace(b"[]", b"")
    if not left:
        return False
    # brackets in an answer, or a file that was cut: now look at what lies outside the strings
    depth = 0
    for found in _STRING_OR_BRACKET.finditer(content):
        sign = found[0]
        if sign in (b"[", b"{"):
            depth += 1
            if depth > _DEEPEST:
                return True
        elif sign in (b"]", b"}"):
            depth -= 1
    return False


def _each_name_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise CannotUse("a name stands in it twice, so that it says two things")
    return found


def _no_number(text: str) -> NoReturn:
    raise CannotUse(f"it holds {text}, which is no number")


def _code(said: Any, codes: Container[str]) -> str:
    if not isinstance(said, str):
        raise CannotUse("it holds no code")
    if said in codes:
        return said
    try:
        return read_code(said)
    except Refused:
        raise CannotUse(f"its code {said[:20]!r} is none") from None


def _word(said: Any) -> str:
    return said if isinstance(said, str) and len(said) <= _LONGEST_WORD else ""


def moment(said: Any) -> datetime | None:
    """A time with its zone, of our century; None for whatever else stands there."""
    if not isinstance(said, str) or len(said) > 40:
        return None
    try:
        found = datetime.fromisoformat(said)
    except ValueError:
        return None
    return found if found.tzinfo is not None and found.year in _YEARS else None


def _only_as_written(tries: list[Any], remarks: list[str]) -> list[SentTry]:
    """The tries that are what they should be; how many are not is remarked."""
    kept = [_as_try(one) for one in tries]
    odd = kept.count(None)
    if odd:
        remarks.append(f"{odd} of its tries are not written as the course writes them, and are left out")
    return [one for one in kept if one is not None]


def _as_try(one: Any) -> SentTry | None:
    if type(one) is not dict:
        return None
    if not one.keys() >= _NEEDED:
        return None
    # an older version of the course may have told less of a try
    found = {name: one.get(name, "") for name in TRY_FIELDS}
    if any(type(text) is not str for text in found.values()) or len(found["answer"]) > LONGEST_ANSWER:
        return None
    if any(len(text) > _LONGEST_WORD for name, text in found.items() if name != "answer"):
        return None
    return {name: printable(text) for name, text in found.items()}
