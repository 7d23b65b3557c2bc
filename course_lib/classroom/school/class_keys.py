"""The answer key of a class: what every exercise comes to for every learner's job, as a line a learner.

Marks go by the key of the day on which the work was set, which the teacher's record keeps. Where tables or
course have changed since, today's key stands beside it: an answer that is right by either is right.
"""

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any

from course_lib.bench.tables import data_folder
from course_lib.classroom.exercises.exercise import Exercise, key_for
from course_lib.classroom.exercises.judge import Finding, Found, Patience, judged
from course_lib.classroom.exercises.keys import (
    ChoiceKey,
    Key,
    NumberKey,
    OrderKey,
    TicksKey,
    as_plain,
    can_be_asked,
    from_plain,
)
from course_lib.classroom.pieces.job_in_hand import JobInHand
from course_lib.version import VERSION

# What an answer turned out to be. A slip is given by its place in the exercise's list, 0 and up.
RIGHT, WRONG, UNIT, UNREADABLE, NOT_ASKED = -1, -2, -3, -4, -5
_AS_FOUND = {
    Found.RIGHT: RIGHT,
    Found.TOO_FINE: RIGHT,
    Found.NO_UNIT: UNIT,
    Found.OTHER_KIND: UNIT,
    Found.WRONG_UNIT: UNIT,
    Found.UNREADABLE: UNREADABLE,
    Found.NOT_FOR_THIS_JOB: NOT_ASKED,
}


def key_of(exercises: Sequence[Exercise], job: JobInHand) -> list[Key]:
    """What the exercises come to for a job.

    Args:
        exercises: those that were set.
        job: the learner's.

    Returns:
        One key an exercise, in their order.

    >>> from course_lib.classroom.exercises.course import find_lesson
    >>> from course_lib.classroom.pieces.job_in_hand import demo_job
    >>> key_of([find_lesson("01").exercise("value")], demo_job())[0].unit
    'mm'
    """
    return [key_for(exercise, job) for exercise in exercises]


class LearnersKey:
    """The key of one learner, as it lies in a line of the key file: opened only as far as is needed.

    Each exercise has one key, or two where the course of today differs from that of the day.
    """

    def __init__(self, line: bytes) -> None:
        self._parts = line.split(b"\t")

    def __len__(self) -> int:
        return len(self._parts)

    def keys(self, at: int) -> tuple[Key, ...]:
        """The keys of one exercise; that of the day first."""
        return _keys_in(self._parts[at])

    def key(self, at: int) -> Key:
        """The key of the day for one exercise."""
        return self.keys(at)[0]

    def can_be_asked(self, at: int) -> bool:
        """Whether the job allows an exercise, by any of its keys."""
        # most lines never need to be opened for it
        return b'["none",' not in self._parts[at] or any(map(can_be_asked, self.keys(at)))

    @staticmethod
    def line_of(keys: Sequence[Key], today: Sequence[Key] = ()) -> bytes:
        """Keys as a line.

        Args:
            keys: of the day.
            today: of today's course, where that is another; empty if it is the same.

        Returns:
            JSON of each exercise, with tabs between.
        """
        day, now = map(_as_json, keys), map(_as_json, today or keys)
        parts = (
            f"[{one}]" if one == other else f"[{one},{other}]" for one, other in zip(day, now, strict=True)
        )
        return b"\t".join(part.encode() for part in parts)


def _as_json(key: Key) -> str:
    return json.dumps(as_plain(key), separators=(",", ":"))


@lru_cache(maxsize=8192)
def _keys_in(part: bytes) -> tuple[Key, ...]:
    """Keys from their JSON. For most choices and orders it is the same with every learner."""
    return tuple(map(from_plain, json.loads(part)))


def found_by(text: str, keys: Sequence[Key], patience: Patience) -> Finding:
    """What an answer is by the key of the day, or by today's where only that makes something of it.

    >>> day, now = NumberKey(0.8, 0.005, 0.01, "mm", "", []), NumberKey(0.9, 0.005, 0.01, "mm", "", [])
    >>> [found_by(text, (day, now), Patience()).is_right for text in ("0.8 mm", "0.9 mm", "1.0 mm")]
    [True, True, False]
    """
    found = judged(text, keys[0], patience)
    for key in keys[1:]:
        if not found.is_right:
            other = judged(text, key, patience)
            found = other if other.is_right or (other.slips and not found.slips) else found
    return found


def what_it_is(finding: Finding) -> int:
    """A finding as marks count it: `RIGHT`, `WRONG`, ... or the place of the slip."""
    if finding.found is Found.SLIP:
        return finding.slips[0]
    return _AS_FOUND.get(finding.found, WRONG)


def number_in(key: Key) -> tuple[float, float] | None:
    """The right number and its tolerance, for an exercise that is answered with one."""
    return (key.right, key.tolerance) if isinstance(key, NumberKey) else None


def is_own_word(key: Key) -> bool:
    """Whether only the learner can say that it is done: nothing that a mark can rest on."""
    return isinstance(key, TicksKey)


def right_in_words(key: Key) -> str:
    """What is right by a key, for the ledger."""
    if isinstance(key, NumberKey):
        return f"{key.right:.6g}"
    if isinstance(key, ChoiceKey):
        return str(key.names[key.right])
    if isinstance(key, OrderKey):
        return ", ".join(key.names[at] for at in key.right)
    return str(key[0])[:60]


def course_now() -> dict[str, Any]:
    """The course as it is: version, and a digest of each table and words file, and of the program.

    A record keeps it, so that a later marking can say what has changed since.
    """
    tables = {path.name: _digest(path) for path in _read_files()}
    program = hashlib.sha256(b"".join(path.read_bytes() for path in _program_files())).hexdigest()[:16]
    return {"version": VERSION, "tables": tables, "program": program}


def changed_since(then: Mapping[str, Any]) -> list[str]:
    """What of the course has changed since it was so, in words; nothing if it is the same."""
    now = course_now()
    return list(_changes(then, now))


def _changes(then: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[str]:
    if then.get("version") != now["version"]:
        yield f"version {now['version']} instead of {then.get('version')}"
    before = then.get("tables", {})
    for name in sorted({*before, *now["tables"]}):
        if before.get(name) != now["tables"].get(name):
            yield (
                f"{name} differs"
                if name in before and name in now["tables"]
                else (f"{name} is new" if name in now["tables"] else f"{name} is gone")
            )
    if then.get("program") != now["program"]:
        yield "the program differs"


def _read_files() -> list[Path]:
    folder = data_folder()
    return sorted([*folder.glob("*.csv"), *folder.glob("lessons/*.toml")])


def _program_files() -> list[Path]:
    package = Path(__file__).resolve().parents[2]
    return sorted([*(package / "bench").rglob("*.py"), *(package / "classroom").rglob("*.py")])


def _digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()[:12]


def rules_now(own_files: Sequence[Path] = ()) -> str:
    """A word that changes when anything changes by which answers are judged.

    Args:
        own_files: files in which a teacher wrote exercises.

    Returns:
        Sixteen signs, from the bench's and the classroom's files, all tables, and the teacher's own files.
    """
    whole = hashlib.sha256(json.dumps(course_now(), sort_keys=True).encode())
    for path in sorted(own_files):
        whole.update(f"{path.name} {_digest(path)} ".encode("utf-8", "surrogateescape"))
    return whole.hexdigest()[:16]
