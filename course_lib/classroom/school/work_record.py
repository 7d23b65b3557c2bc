"""Set work: which exercises are set, until when, and whose code is whose. The teacher's own record.

It is plain JSON with one line a learner. It holds all that marks hang on, as it was on that day: each
learner's measuring sheet, the choices of the trade and the key of their answers; and what the course was.
"""

import json
import re
import secrets
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path
from typing import Any

from course_lib.bench.choices import Choices, choices_kept, choices_to_keep
from course_lib.bench.filing import write_whole
from course_lib.bench.refusals import Refused
from course_lib.classroom.exercises.course import find_lesson
from course_lib.classroom.exercises.exercise import Exercise
from course_lib.classroom.exercises.keys import Key, NoKey, as_plain, from_plain
from course_lib.classroom.exercises.own_exercises import load_own
from course_lib.classroom.pieces.job_in_hand import JobInHand
from course_lib.classroom.pieces.learner_code import read_code
from course_lib.classroom.pieces.own_numbers import job_of_sheet
from course_lib.classroom.school.class_keys import course_now

WHAT = "lost earring course: set work"
_FIRST_WHAT = "lost earring course: assignment"
VERSION = 2
RECORD_NAME = "set-work.json"
_LARGEST = 400_000_000
_LEARNERS = b'"learners": ['
# No text of a learner can hold it: a quote in a name stands with a stroke before it.
_SHEET = b', "sheet": '


@dataclass(frozen=True)
class Given:
    """One learner, and what they were given: their code and the digest of its job."""

    number: str
    name: str
    code: str
    digest: str


@dataclass(frozen=True, eq=False)
class SetWork:
    """What was set.

    `asked` are the exercises by lesson and name; `own_files` the names of files of a teacher's own exercises,
    which lie beside the record; `due` is None where there is no end.
    """

    title: str
    asked: tuple[tuple[str, str], ...]
    learners: tuple[Given, ...]
    due: datetime | None = None
    difficulty: str = "usual"
    seed: str = ""
    made: str = ""
    own_files: tuple[str, ...] = ()
    place: Path | None = None
    course: Mapping[str, Any] = field(default_factory=dict, repr=False)
    lines: "dict[str, dict[str, Any] | int]" = field(default_factory=dict, repr=False)

    def exercises(self) -> list[Exercise]:
        """The exercises that were set, as they are today; one that is gone since stands there by its name.

        Raises:
            Refused: a teacher's own file will not do.
        """
        return [self._exercise(lesson, name) for lesson, name in self.asked]

    def _exercise(self, lesson: str, name: str) -> Exercise:
        if lesson in self._own:
            return load_own(self.folder / self._own[lesson]).exercise(name)
        try:
            return find_lesson(lesson).exercise(name)
        except Refused:
            if not self.keeps_keys:
                raise
            return Gone.called(name)

    @property
    def _own(self) -> dict[str, str]:
        return {Path(name).stem: name for name in self.own_files}

    @property
    def keeps_keys(self) -> bool:
        """Whether the record holds the keys of the day; those of the first version do not."""
        return bool(self.course)

    def of_the_course(self) -> list[bool]:
        """For each exercise, whether it is the course's and not a teacher's own."""
        return [lesson not in self._own for lesson, _ in self.asked]

    @property
    def folder(self) -> Path:
        """The folder of the record, where a teacher's own exercises lie too."""
        return self.place.parent if self.place else Path()

    def own_paths(self) -> list[Path]:
        """The files of a teacher's own exercises."""
        return [self.folder / name for name in self.own_files]

    @cached_property
    def _names_twice(self) -> set[str]:
        return {name for name, count in Counter(each.name for each in self.learners).items() if count > 1}

    def called(self, given: Given) -> str:
        """How a learner is called on what is printed: two of one name are told apart by their numbers."""
        return f"{given.name} ({given.number})" if given.name in self._names_twice else given.name

    def sheet_of(self, code: str) -> str:
        """The measuring sheet of a learner, as it was when the work was set."""
        return str(self._line(code)["sheet"])

    def keys_of(self, code: str) -> list[Key]:
        """The keys of a learner's answers, as they were when the work was set; empty where none are kept."""
        return [from_plain(each) for each in self._line(code).get("keys", ())]

    def job_of(self, code: str) -> JobInHand:
        """The job of a learner, by the record alone: its sheet, and the choices of that day."""
        line = self._line(code)
        job = job_of_sheet(str(line["sheet"]))
        return replace(job, choices=choices_kept(line["choices"])) if "choices" in line else job

    def _line(self, code: str) -> dict[str, Any]:
        kept = self.lines[code]
        if not isinstance(kept, int):
            return kept
        assert self.place is not None
        with self.place.open("rb") as file:
            file.seek(kept)
            found: dict[str, Any] = json.loads(file.readline().rstrip(b",\r\n "))
        return found


@dataclass(frozen=True, kw_only=True)
class Gone(Exercise):
    """An exercise that was set and is not in the course any more: the record's keys still judge it."""

    def key(self, job: JobInHand) -> Key:
        """None: only the record knows what was right."""
        return NoKey("It is not in the course any more.")

    @classmethod
    def called(cls, name: str) -> "Gone":
        """The exercise of that name."""
        return cls(
            name=name, title=f"{name} (not in the course any more)", task="", expected=lambda job: None,
            slips=(), clue="", working="", basis="common practice", source="", objective="",
        )  # fmt: skip


def asked_in(
    lessons: Sequence[str], names: Sequence[str], own_files: Sequence[Path]
) -> list[tuple[str, Exercise]]:
    """The exercises that a teacher chose.

    Args:
        lessons: numbers of lessons, all of whose exercises are set.
        names: single exercises as ``LESSON/NAME``, such as ``02/density``.
        own_files: files of a teacher's own exercises, all of which are set.

    Returns:
        Lesson and exercise, each once, in the order of the course.

    Raises:
        Refused: there is no such lesson or exercise, or none is chosen.

    >>> [each.name for _, each in asked_in([], ["01/value"], [])]
    ['value']
    """
    chosen: dict[tuple[str, str], Exercise] = {}
    for number in lessons:
        lesson = find_lesson(number)
        chosen |= {(lesson.number, each.name): each for each in lesson.exercises}
    for said in names:
        number, _, name = said.partition("/")
        if not name:
            raise Refused(f"{said!r}: write a single exercise as LESSON/NAME, for example 02/density.")
        lesson = find_lesson(number)
        chosen[lesson.number, name] = lesson.exercise(name)
    for path in own_files:
        if path.name in [other.name for other in own_files if other is not path]:
            raise Refused(
                f"Two files of your own exercises are called {path.name}. Call one of them otherwise."
            )
        own = load_own(path)
        chosen |= {(own.number, each.name): each for each in own.exercises}
    if not chosen:
        raise Refused(
            "No exercise is set. Name lessons (--lessons 02 04) or exercises (--exercises 02/density)."
        )
    order = {each: at for at, each in enumerate(chosen)}
    return [(key[0], chosen[key]) for key in sorted(chosen, key=lambda key: (key[0], order[key]))]


def due_at(text: str | None) -> datetime | None:
    """A due date as a teacher types it: the end of that day, or an hour of it, where they are.

    Raises:
        Refused: it is no date.

    >>> due_at("2027-01-15").strftime("%d %H:%M"), due_at("15.1.2027") == due_at("2027-01-15")
    ('15 23:59', True)
    """
    if not text:
        return None
    said = text.strip()
    try:
        if by_dots := re.fullmatch(r"(\d{1,2})\.(\d{1,2})\.(\d{4})", said):
            said = f"{by_dots[3]}-{by_dots[2]:>02}-{by_dots[1]:>02}"
        if re.fullmatch(r"\d{4}-\d\d-\d\d", said):
            said += "T23:59:59"
        return datetime.fromisoformat(said).astimezone()
    except (ValueError, OSError, OverflowError):
        raise Refused(f"{text!r} is no date. Write it like 2027-01-15, or 2027-01-15T18:00.") from None


def new_seed() -> str:
    """A seed that nobody can guess."""
    return secrets.token_hex(8)


def write_record(
    work: SetWork,
    sheets: Sequence[str],
    choices: Sequence[Choices],
    keys: Sequence[Sequence[Key]],
    path: Path,
) -> SetWork:
    """Write the teacher's record.

    Args:
        work: what is set.
        sheets: the measuring sheet of each learner, in their order.
        choices: of the trade, by which each learner's job was worked out.
        keys: of each learner's answers.
        path: where to.

    Returns:
        The work as it now lies there.

    Raises:
        Refused: it cannot be written.
    """
    head = {
        "what": WHAT,
        "version": VERSION,
        "course": work.course or course_now(),
        "made": work.made or datetime.now(UTC).isoformat(timespec="seconds"),
        "title": work.title,
        "due": work.due.isoformat() if work.due else None,
        "difficulty": work.difficulty,
        "seed": work.seed,
        "asked": [f"{lesson}/{name}" for lesson, name in work.asked],
        "own_files": list(work.own_files),
    }
    lines = ",\n".join(
        json.dumps(
            {
                "number": each.number,
                "name": each.name,
                "code": each.code,
                "job": each.digest,
                "sheet": sheet,
                "choices": choices_to_keep(chosen),
                "keys": [as_plain(key) for key in key_of_learner],
            },
            ensure_ascii=False,
        )
        for each, sheet, chosen, key_of_learner in zip(work.learners, sheets, choices, keys, strict=True)
    )
    start = json.dumps(head, ensure_ascii=False, indent=1)[:-2]
    content = f"{start},\n {_LEARNERS.decode()}\n{lines}\n]}}\n".encode("utf-8", "replace")
    return read_record(write_whole(path, content))


def read_record(path: str | Path) -> SetWork:
    """Read the teacher's record.

    Args:
        path: the file that `set-work` wrote.

    Returns:
        The work.

    Raises:
        Refused: it is no such record, it is damaged, or a newer course wrote it.
    """
    place = Path(path).absolute()
    try:
        if place.stat().st_size > _LARGEST:
            raise Refused(f"{place.name} is too large for the record of set work. Is it the right file?")
        head, lines = _parts(place)
    except OSError as error:
        raise Refused(
            f"{path} cannot be read: {error.strerror}. Give the {RECORD_NAME} of the work."
        ) from None
    except (ValueError, RecursionError):
        raise Refused(f"{path} is no record of set work, or it is cut short.") from None
    try:
        return _set_work_of(head, lines, place)
    except Refused as error:
        raise Refused(f"{place.name}: {error}") from None
    except (KeyError, TypeError, AttributeError, ValueError):
        raise Refused(f"{place.name} lacks something that the record of set work holds.") from None


def _parts(place: Path) -> tuple[dict[str, Any], Iterator[tuple[dict[str, Any], int | None]]]:
    """The head of the record, and its learners one by one, each with where its line begins."""
    head = b""
    with place.open("rb") as file:
        for line in file:
            head += line
            if line.strip() == _LEARNERS and file.readline(2) in (b'{"', b"]}"):
                return json.loads(head + b"]}"), _by_lines(place, len(head))
    # somebody wrote it anew: still JSON, but not a line a learner
    whole = json.loads(place.read_bytes())
    if not isinstance(whole, dict):
        raise ValueError("no record")
    return whole, ((each, None) for each in whole.get("learners", ()))


def _who_stands_in(line: bytes) -> dict[str, Any]:
    """A learner's line without sheet, choices and keys, which are many times as long and rarely asked for.

    Raises:
        ValueError: it is cut short or damaged.
    """
    head, mark, rest = line.partition(_SHEET)
    if not mark:
        found: dict[str, Any] = json.loads(line)
        return found
    if not rest.endswith(b"}"):
        raise ValueError("cut short")
    found = json.loads(head + b"}")
    return found


def _by_lines(place: Path, start: int) -> Iterator[tuple[dict[str, Any], int]]:
    """The learners, one line at a time: a large school's sheets need not all be in memory."""
    with place.open("rb") as file:
        file.seek(start)
        at = start
        for line in file:
            if line.strip() == b"]}":
                return
            try:
                yield _who_stands_in(line.rstrip(b",\r\n ")), at
            except ValueError:
                break
            at += len(line)
    raise Refused("it is cut short or damaged")


def _set_work_of(
    head: dict[str, Any], lines: Iterator[tuple[dict[str, Any], int | None]], place: Path
) -> SetWork:
    if head.get("what") not in (WHAT, _FIRST_WHAT):
        raise Refused("this is no record of set work")
    if head["version"] > VERSION:
        raise Refused("a newer version of the course wrote this record. Mark with that version")
    learners: list[Given] = []
    kept: dict[str, dict[str, Any] | int] = {}
    for each, at in lines:
        code = read_code(each["code"])
        if code in kept:
            raise Refused(f"the code {code} stands there twice")
        learners.append(Given(str(each["number"]), str(each["name"]), code, str(each["job"])))
        kept[code] = each if at is None else at
    due = due_at(head["due"])
    asked = tuple(_split(said) for said in head["asked"])
    return SetWork(
        str(head["title"]), asked, tuple(learners), due, str(head["difficulty"]), str(head["seed"]),
        str(head["made"]), tuple(Path(name).name for name in head["own_files"]), place,
        head["course"] if isinstance(head["course"], dict) else {}, kept,
    )  # fmt: skip


def _split(said: str) -> tuple[str, str]:
    lesson, _, name = said.partition("/")
    return lesson, name
