"""Marking: everything that was handed in, judged anew from the teacher's own record.

No learner's code is run and nothing in a file is believed. Marking can be stopped at any moment and started
again; it goes on where it was. What was marked before and has not changed is not judged a second time.
"""

import hashlib
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from functools import cached_property, lru_cache
from pathlib import Path
from typing import NamedTuple

from course_lib.bench.filing import add_line, write_whole
from course_lib.bench.for_spreadsheets import printable
from course_lib.bench.refusals import Refused
from course_lib.classroom.exercises.exercise import Exercise
from course_lib.classroom.exercises.keys import Key, NoKey
from course_lib.classroom.pieces.job_in_hand import JobInHand
from course_lib.classroom.pieces.learner_code import code_in
from course_lib.classroom.pieces.own_numbers import job_of_sheet
from course_lib.classroom.school.class_keys import (
    LearnersKey,
    changed_since,
    is_own_word,
    key_of,
    right_in_words,
    rules_now,
)
from course_lib.classroom.school.earlier_keys import EarlierKeys, key_file, name_exercises
from course_lib.classroom.school.file_judge import FileJudge, Outcome, judged_files
from course_lib.classroom.school.kept_lines import KeptLines
from course_lib.classroom.school.mark_ledger import LEDGER_NAME, Change, Ledger, Mark, today
from course_lib.classroom.school.progress_bar import with_bar
from course_lib.classroom.school.sent_files import moment, sent_files
from course_lib.classroom.school.tally import AT_ONCE, LATER, Judged
from course_lib.classroom.school.work_record import Gone, SetWork

_ABOUT = "marks-of.txt"
_ARRIVALS, _RUNS = "arrivals.tsv", "runs.txt"
# What people read of the marks. If one of these was there before, it is somebody else's.
_WRITTEN = (LEDGER_NAME, "mark-list.csv", "not-marked.csv", "report.html", "returned")
_IS_RIGHT = (AT_ONCE, LATER)
# A clock that is so much ahead is no rounding.
_AHEAD = timedelta(minutes=10)


@dataclass(frozen=True)
class NotMarked:
    """A file that was not marked, and why."""

    path: str
    why: str

    @property
    def named_after(self) -> str:
        """The code that its name or its folder holds; empty if there is none."""
        return code_in(self.path) or ""


@dataclass(slots=True)
class Counted:
    """The hand-in that counts for a learner: where it lies, its digest, whether it was late, and how many."""

    path: str
    file: str
    stands: str
    late: bool
    files: int = 1
    remarks: list[str] = field(default_factory=list)


class Marks:
    """All that marking found out, kept in a folder."""

    def __init__(self, work: SetWork, folder: Path) -> None:
        self.work = work
        self.folder = folder
        self.asked: list[tuple[str, Exercise]] = [
            (lesson, exercise) for (lesson, _), exercise in zip(work.asked, work.exercises(), strict=True)
        ]
        self.rules = _word_of(work)
        self.names = [f"{lesson}/{exercise.name}" for lesson, exercise in self.asked]
        self.changed = self._changed()
        # by the learner's own word only
        self.own_word = [
            at for at, (_, exercise) in enumerate(self.asked) if exercise.ticks or self._ticked(at)
        ]
        kept = kept_in(folder)
        self.keys = KeptLines(key_file(kept, self.rules))
        self.judged = KeptLines(kept / f"judged-{self.rules}.tsv")
        self.arrivals = KeptLines(kept / _ARRIVALS)
        self.earlier = EarlierKeys(self.keys.path)
        self.ledger = Ledger(folder)
        self.counted: dict[str, Counted] = {}
        self.not_marked: list[NotMarked] = []
        self.gone: list[str] = []
        # marks that were given before and are other now, by code: so many points more, or fewer
        self.moved: dict[str, int] = {}

    def _changed(self) -> list[str]:
        """What of the course is another than on the day of the record, in words; nothing if none is."""
        if not self.work.keeps_keys:
            return []
        gone = [
            name
            for name, (_, exercise) in zip(self.names, self.asked, strict=True)
            if isinstance(exercise, Gone)
        ]
        return [*changed_since(self.work.course), *(f"{name} is not in it any more" for name in gone)]

    def _ticked(self, at: int) -> bool:
        """Whether an exercise that is gone was an open task: the key of the day tells."""
        learners = self.work.learners
        return (
            isinstance(self.asked[at][1], Gone)
            and bool(learners)
            and is_own_word(self.work.keys_of(learners[0].code)[at])
        )

    def close(self) -> None:
        """See that everything has reached the disk."""
        for kept in (self.keys, self.judged, self.arrivals):
            kept.close()
        self.ledger.flush()

    def judged_of(self, code: str) -> Judged | None:
        """What came of the hand-in that counts for a learner."""
        counted = self.counted.get(code)
        line = self.judged.get(counted.file) if counted else None
        return Judged.from_line(line) if line else None

    def unusable_of(self, code: str) -> list[NotMarked]:
        """The files that are named after a learner's code, and could not be marked."""
        return self._unusable.get(code, [])

    @cached_property
    def _unusable(self) -> dict[str, list[NotMarked]]:
        """By code. First asked for when all files have been looked at."""
        found: dict[str, list[NotMarked]] = {}
        for one in self.not_marked:
            found.setdefault(one.named_after, []).append(one)
        return found

    def course_in_words(self) -> str:
        """That the course is not the one of the day, and what follows; nothing if it is the same."""
        if not self.work.keeps_keys:
            return (
                "This record is of the first version and keeps no key: marks go by the course as it is today."
            )
        if not self.changed:
            return ""
        other = self._otherwise()
        said = (
            f"Another right answer today: {'; '.join(other)}."
            if other
            else "Every right answer is still the same."
        )
        return (
            f"The course is not the one of the day the work was set: {', '.join(self.changed)}. {said} Marks "
            "go by the key of that day; what is right today is right too."
        )

    def _otherwise(self) -> list[str]:
        """The exercises whose right answer is another today, each with for how many learners."""
        keys = [self.key_of(given.code) for given in self.work.learners]
        counts = {name: sum(len(key.keys(at)) > 1 for key in keys) for at, name in enumerate(self.names)}
        return [f"{name} for {count}" for name, count in counts.items() if count]

    def moved_in_words(self) -> str:
        """How many marks are other than before this marking; nothing if none is."""
        lower = sum(points < 0 for points in self.moved.values())
        higher = len(self.moved) - lower
        said = [f"{count} {which}" for count, which in ((lower, "lower"), (higher, "higher")) if count]
        if not said:
            return ""
        return f"Marks that were given before and are other now: {' and '.join(said)}."

    def key_at(self, code: str, at: int) -> Key:
        """The key of a learner for an exercise."""
        return self.key_of(code).key(at)

    @lru_cache(maxsize=64)  # noqa: B019 - there is one of these in a run
    def key_of(self, code: str) -> LearnersKey:
        """The key of a learner."""
        line = self.keys.get(code)
        assert line is not None, "the key is made before anything is judged"
        return LearnersKey(line)

    @lru_cache(maxsize=4)  # noqa: B019
    def job_of(self, code: str) -> JobInHand:
        """The job of a learner."""
        return self.work.job_of(code)

    def mark_of(self, code: str) -> Mark:
        """Points: one for each exercise that is right, however often it was tried."""
        counted = self.counted[code]
        stands = counted.stands
        for at in self.own_word:
            stands = f"{stands[:at]}-{stands[at + 1 :]}"
        points = stands.count("R") + stands.count("r")
        of = len(stands) - stands.count("-")
        return Mark(points, of, counted.late, counted.stands, counted.file, self.rules)


def mark(folder: str | Path, work: SetWork, out: str | Path, *, by_file_time: bool = False) -> Marks:
    """Mark everything under a folder.

    Args:
        folder: what the learners handed in, as it was collected; in folders too.
        work: the teacher's record.
        out: the folder for the marks; made if it is not there. One set work has one such folder.
        by_file_time: late is whose file is later than the due date, whatever stands in it.

    Returns:
        The marks. They are in the ledger now; `mark list` and the others write what people read.

    Raises:
        Refused: the folder holds nothing to mark, or the marks of other set work, or somebody else is
            marking there at the moment.
    """
    place = Path(out).absolute()
    if place.resolve() == Path(folder).resolve():
        raise Refused(f"{out} is where the hand-ins lie. Choose a folder of its own for the marks (-o).")
    found = sent_files(folder, not_in=place)
    _make_ready(place, work)
    with _alone(place):
        marks = Marks(work, place)
        try:
            _make_key(marks)
            _judge_all(marks, Path(folder), found, by_file_time)
            _write_ledger(marks)
        finally:
            marks.close()
    return marks


def kept_in(folder: Path) -> Path:
    """Where in the folder of the marks lies what only marking itself needs."""
    return folder / "kept"


def _make_ready(place: Path, work: SetWork) -> None:
    """Make the folder, or see that it holds the marks of this set work and nothing else's."""
    about = kept_in(place) / _ABOUT
    try:
        said = about.read_text(encoding="utf-8", errors="replace") if about.exists() else None
        strange = [] if said else [name for name in _WRITTEN if (place / name).exists()]
        if strange:
            raise Refused(
                f"{place} holds a {strange[0]} that marking did not write. Choose another folder (-o), or "
                "take it out."
            )
        about.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise Refused(f"{place} cannot hold the marks: {error.strerror}. Choose another folder.") from None
    whose = f"{identity_of(work)} {printable(work.title)}\n"
    if said is None:
        write_whole(about, whose.encode("utf-8"))
    elif said.split(" ")[0] != whose.split(" ")[0]:
        raise Refused(f"{place} holds the marks of other set work ({said.strip()}). Choose another folder.")


def identity_of(work: SetWork) -> str:
    """A word that stays the same as long as it is the same work, whatever is mended in it or added."""
    return hashlib.sha256(f"{work.made} {work.seed}".encode()).hexdigest()[:16]


def _word_of(work: SetWork) -> str:
    """A word for everything by which is judged: the course, and what is asked of whom."""
    said = f"{rules_now(work.own_paths())} {work.asked} {identity_of(work)}"
    return hashlib.sha256(said.encode()).hexdigest()[:12]


@contextmanager
def _alone(place: Path) -> Iterator[None]:
    """Only one marks in a folder at a time. The system lets go by itself if a run is killed."""
    try:
        lock = (kept_in(place) / "marking.lock").open("a+b")
    except OSError as error:
        raise Refused(f"{place} cannot hold the marks: {error.strerror}. Choose another folder.") from None
    with lock:
        try:
            if sys.platform == "win32":
                import msvcrt

                msvcrt.locking(lock.fileno(), msvcrt.LK_NBLCK, 1)
            else:
                import fcntl

                fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except (BlockingIOError, PermissionError):
            raise Refused(f"Somebody is marking in {place} at this moment. Wait until it is done.") from None
        yield


def _make_key(marks: Marks) -> None:
    """Work out what is not in the key yet."""
    missing = [given for given in marks.work.learners if given.code not in marks.keys]
    exercises = [exercise for _, exercise in marks.asked]
    for given in with_bar(missing, len(missing), "answer keys"):
        marks.keys.put(given.code, _line_of_keys(marks, exercises, given.code))
    name_exercises(marks.keys, marks.names)
    marks.keys.flush()


def _line_of_keys(marks: Marks, exercises: Sequence[Exercise], code: str) -> bytes:
    """The keys of the day; beside them today's, where the course has changed since.

    A teacher's own exercises are judged as they are now: whoever corrects one means it.
    """
    of_the_day = marks.work.keys_of(code)
    if of_the_day and not marks.changed and all(marks.work.of_the_course()):
        return LearnersKey.line_of(of_the_day)
    # by the tables of today, for a learner's course may follow them too
    today = key_of(exercises, job_of_sheet(marks.work.sheet_of(code)))
    if not of_the_day:
        return LearnersKey.line_of(today)
    day, now = list(of_the_day), list(today)
    for at, of_the_course in enumerate(marks.work.of_the_course()):
        now_asked = today[at]
        if not of_the_course:
            if isinstance(now_asked, NoKey):
                raise Refused(f"{marks.names[at]}: {now_asked.why} Mend it, and mark again.")
            day[at] = now_asked
        elif isinstance(now_asked, NoKey):
            now[at] = of_the_day[at]
    return LearnersKey.line_of(day, now)


def _judge_all(marks: Marks, folder: Path, paths: Sequence[str], by_file_time: bool) -> None:
    run = _Run(marks, folder, by_file_time)
    judge = FileJudge(marks.work, marks.keys, marks.judged)
    for outcome in with_bar(judged_files(judge, folder, paths, marks.folder), len(paths), "files"):
        if outcome.why:
            marks.not_marked.append(NotMarked(printable(outcome.path), printable(outcome.why)))
            continue
        if outcome.line:
            marks.judged.put(outcome.file, outcome.line)
        run.take(outcome)
    marks.judged.flush()
    marks.arrivals.flush()
    marks.counted = {code: _that_counts(files) for code, files in run.files.items()}
    add_line(kept_in(marks.folder) / _RUNS, run.now)


class _File(NamedTuple):
    """A file of a learner: what came of it, whether it is late, and what is odd about where it lay."""

    outcome: Outcome
    late: bool
    remarks: list[str]


class _Run:
    """One run over all files."""

    def __init__(self, marks: Marks, folder: Path, by_file_time: bool) -> None:
        self.marks, self.folder, self.by_file_time, self.now = marks, folder, by_file_time, today()
        self.due = marks.work.due
        self.after_due = _earlier_run_after(self.due, kept_in(marks.folder) / _RUNS)
        self.soon = datetime.now(UTC) + _AHEAD
        self.files: dict[str, list[_File]] = {}

    def take(self, outcome: Outcome) -> None:
        """Put a file with the others of its learner."""
        remarks = list(self._odd(outcome))
        late = self._is_late(outcome, remarks)
        # what was to be kept of it is kept
        self.files.setdefault(outcome.code, []).append(_File(outcome._replace(line=b""), late, remarks))

    def _odd(self, outcome: Outcome) -> Iterator[str]:
        """What the place and the name of a file tell."""
        path, code = outcome.path, outcome.code
        if code not in path and (named := code_in(path)):
            yield f"{path!r} is named after the code {named}, but it holds {code}"
        sender, before = _sender(path), self.files.get(code)
        if before and sender and (other := _sender(before[0].outcome.path)) not in ("", sender):
            yield f"files with this code lie in the folders {other!r} and {sender!r}"
        arrived = self.marks.arrivals.get(outcome.file)
        if arrived is None:
            arrived = f"{self.now}\t{printable(path)!r}\t{self.after_due[:10]}".encode()
            self.marks.arrivals.put(outcome.file, arrived)
        marked_before = arrived.decode("utf-8", "replace").split("\t")[2]
        if marked_before:
            yield f"{path!r} was not there when you marked on {marked_before}"

    def _is_late(self, outcome: Outcome, remarks: list[str]) -> bool:
        """By the time that the file says; where it says none, by that of the file itself."""
        if self.by_file_time or not outcome.handed_in:
            if not outcome.handed_in:
                remarks.append("it does not say when it was handed in; the time of the file is taken")
            said = datetime.fromtimestamp((self.folder / outcome.path).lstat().st_mtime, UTC)
        else:
            said = datetime.fromisoformat(outcome.handed_in)
            if said > self.soon:
                remarks.append("it says that it was handed in at a time that has not come yet")
        return self.due is not None and said > self.due


def _sender(path: str) -> str:
    """The folder in which a file lies: many schools collect in a folder a learner."""
    return path.rpartition("/")[0].rpartition("/")[2]


def _that_counts(files: Sequence[_File]) -> Counted:
    """Of several, the latest before the due date counts; of late ones the latest.

    From one computer the latest is that of the highest turn, for its clock may have gone back. From two
    computers it is that of the latest time.
    """
    on_time = [each for each in files if not each.late] or files
    of_origin: dict[str, _File] = {}
    for each in on_time:
        other = of_origin.setdefault(each.outcome.origin, each)
        if (each.outcome.turn, each.outcome.handed_in) > (other.outcome.turn, other.outcome.handed_in):
            of_origin[each.outcome.origin] = each
    chosen = max(of_origin.values(), key=lambda each: (each.outcome.handed_in, each.outcome.turn))
    remarks = [remark for each in files for remark in each.remarks]
    remarks += [
        _of_two_records(chosen.outcome, each.outcome) for each in of_origin.values() if each != chosen
    ]
    how_many = len({each.outcome.file for each in files})
    path, file = chosen.outcome.path, chosen.outcome.file
    return Counted(path, file, chosen.outcome.stands, chosen.late, how_many, remarks)


def _of_two_records(counts: Outcome, other: Outcome) -> str:
    """One learner on two computers, or two learners with one code: the teacher must know which."""
    more = sum(
        theirs in _IS_RIGHT and mine not in _IS_RIGHT
        for mine, theirs in zip(counts.stands, other.stands, strict=True)
    )
    return (
        f"{other.path!r} has this code too and was made from other answers, on another computer or by "
        f"another hand: {counts.path!r} counts, for it is later; {more} answers are right in the other only"
    )


def _earlier_run_after(due: datetime | None, runs: Path) -> str:
    """When it was first marked after the due date; empty if it was not yet."""
    if due is None or not runs.exists():
        return ""
    moments = filter(None, map(moment, runs.read_text(encoding="utf-8", errors="replace").split()))
    return min((when.isoformat() for when in moments if when > due), default="")


def _write_ledger(marks: Marks) -> None:
    now = today()
    for given in marks.work.learners:
        last = marks.ledger.last(given.code)
        if given.code not in marks.counted:
            if last is not None:
                marks.gone.append(given.code)
            continue
        new = marks.mark_of(given.code)
        if last is None or _differ(last.mark, new):
            why = _why(marks, given.code, last, new)
            before = last.mark.points if last else None
            if before is not None and before != new.points:
                marks.moved[given.code] = new.points - before
            marks.ledger.add(Change(now, given.number, given.name, given.code, new, before, why))
    marks.ledger.flush()


def _differ(one: Mark, other: Mark) -> bool:
    return (one.points, one.of, one.late, one.stands) != (other.points, other.of, other.late, other.stands)


def _why(marks: Marks, code: str, last: Change | None, new: Mark) -> str:
    """Why a mark is not what it was, as far as can be told."""
    if last is None:
        return "first mark"
    reasons = []
    old = last.mark
    if old.file != new.file:
        reasons.append(_handed_in_again(marks, code, old.file))
    elif old.late != new.late:
        reasons.append("late is reckoned anew: by another due date, or by the times of the files")
    if len(old.stands) != len(new.stands):
        reasons.append("other exercises are set")
    elif old.rules != new.rules:
        changed = [at for at, (was, now) in enumerate(zip(old.stands, new.stands, strict=True)) if was != now]
        reasons += [_corrected(marks, code, at, old.rules) for at in changed[:6]]
    return "; ".join(reasons) or "judged again"


def _handed_in_again(marks: Marks, code: str, before: str) -> str:
    """Whether the later file goes on from the earlier one, as far as that is known."""
    line, now = marks.judged.get(before), marks.judged_of(code)
    if line is not None and now is not None and Judged.from_line(line).origin != now.origin:
        return "handed in again, from another computer or by another hand"
    return "handed in again"


def _corrected(marks: Marks, code: str, at: int, old_rules: str) -> str:
    """What is right now in an exercise, and what was."""
    called = f"{marks.names[at]} was corrected"
    was = marks.earlier.key(old_rules, code, marks.names[at])
    if was is None:
        return called
    now = marks.key_at(code, at)
    return called if was == now else f"{called} (right was {right_in_words(was)}, is {right_in_words(now)})"
