"""Judging a whole hand-in by the answer key: what was right, after how many tries, and by which slips.

Nothing of what the file says of its own answers is believed; where it claims more than is true, that is told.
"""

import json
import zlib
from array import array
from base64 import b64decode, b64encode
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from functools import lru_cache
from itertools import pairwise
from operator import itemgetter
from typing import Any

from course_lib.classroom.answer_key import (
    CANNOT_BE_ASKED,
    NOT_ASKED,
    RIGHT,
    WRONG,
    Entry,
    Judge,
    plain_number,
    quick_right,
)
from course_lib.classroom.exercise import Exercise
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.judge import Found
from course_lib.classroom.sent_files import Sent, SentTry

# How an exercise of a hand-in stands: not answered, right at once, right later, not right; and one that the
# learner's job does not allow.
NOTHING, AT_ONCE, LATER, NOT_RIGHT, CANNOT_BE = ".", "R", "r", "x", "-"
# A pause longer than this is no time at work, in seconds.
_LONGEST_PAUSE = 600
# So many answers of one file may need an exercise itself, which takes long; nobody types more in odd forms.
_MOST_AT_LENGTH = 300
_MOST_KNOWN = 100_000
_CLAIMS_RIGHT = (Found.RIGHT.value, Found.TOO_FINE.value)
_SHOW_THE_ANSWER = ("working", "source")
_ANSWER, _TIME = itemgetter("answer"), itemgetter("time")
# Whether an answer was right before something was corrected: by the exercise's name, the text, its judge.
WasRight = Callable[[str, str, Judge], bool]
_NO_NUMBER = float("nan")


class LearnersKey:
    """The key of one learner, as it lies in a line of the key file: opened only as far as is needed.

    `quick` holds for each exercise what decides at a glance that an answer is right.
    """

    def __init__(self, line: bytes) -> None:
        head, *self._entries = line.split(b"\t")
        self.quick: list[Any] = json.loads(head)

    def entry(self, at: int) -> Entry:
        """All that is known of one exercise."""
        return _entry_in(self._entries[at])

    @staticmethod
    def line_of(key: Sequence[Entry]) -> bytes:
        """A key as a line."""
        parts = [[quick_right(entry) for entry in key], *key]
        return b"\t".join(json.dumps(part, separators=(",", ":")).encode() for part in parts)


@lru_cache(maxsize=4096)
def _entry_in(part: bytes) -> Entry:
    """An entry from its JSON. For most choices and orders it is the same with every learner."""
    found: Entry = json.loads(part)
    return found


@dataclass
class Judged:
    """What came of one hand-in.

    Args:
        mark: digest of the file's content.
        code: the learner's.
        answers: digest of all that was answered, whatever the code: two alike were made by one hand.
        origin: digest of the first try: hand-ins of one record of answers, and so of one computer, share it.
        turn, handed_in: which one it is, and when it says it was handed in.
        stands: a sign an exercise, see `NOTHING` and the others.
        tries: how often each exercise was tried.
        slips: place of an exercise to the slips that were made there, in order, and `UNIT` and `UNREADABLE`.
        later: place of an exercise that was right later to the place of that try in the file.
        after_working: exercises in which the working was open before the first right answer.
        minutes: at work, by the times of the tries.
        typed: the last number typed in each exercise, for comparing hand-ins.
        remarks: what the teacher should look at.
    """

    mark: str
    code: str
    answers: str
    origin: str
    turn: int
    handed_in: str
    stands: str
    tries: list[int]
    slips: dict[int, list[int]]
    later: dict[int, int]
    after_working: list[int]
    minutes: int
    typed: str
    remarks: list[str] = field(default_factory=list)

    @property
    def right(self) -> int:
        """How many exercises are right."""
        return self.stands.count(AT_ONCE) + self.stands.count(LATER)

    def numbers_typed(self) -> "array[float]":
        """The last number of each exercise, NaN where there is none."""
        numbers = array("f")
        numbers.frombytes(b64decode(self.typed))
        return numbers

    def as_line(self) -> bytes:
        """One line of JSON."""
        return json.dumps(vars(self), separators=(",", ":")).encode("ascii")

    @staticmethod
    def from_line(line: bytes) -> "Judged":
        """From such a line."""
        said = json.loads(line)
        for name in ("slips", "later"):
            said[name] = {int(at): found for at, found in said[name].items()}
        return Judged(**said)


class SentJudge:
    """Judges hand-ins of one assignment, one after the other."""

    def __init__(self, asked: Sequence[tuple[str, Exercise]]) -> None:
        self._judges = [Judge(exercise) for _, exercise in asked]
        self._units = [judge.unit for judge in self._judges]
        self._names = [f"{lesson}/{exercise.name}" for lesson, exercise in asked]
        self._places = {(lesson, exercise.name): at for at, (lesson, exercise) in enumerate(asked)}
        self._known: dict[str, tuple[float, str]] = {}

    def judged(
        self,
        sent: Sent,
        mark: str,
        key: LearnersKey,
        job: Callable[[], JobInHand],
        was_right: WasRight = lambda *_: False,
    ) -> Judged:
        """Judge a hand-in.

        Args:
            sent: what was read of the file.
            mark: the digest of its content.
            key: of the learner whose code it holds.
            job: gives their job, should an exercise itself have to judge.
            was_right: whether an answer was right by an earlier key, and so was honestly called right.
        """
        tally = _Tally(key.quick)
        claimed: list[str] = []
        at_length, worked_out = _MOST_AT_LENGTH, dict[int, Exercise | None]()
        places, quick, known, numbers = self._places, key.quick, self._known, self._numbers
        for place, one in enumerate(sent.tries):
            at, text = places.get((one["lesson"], one["exercise"])), one["answer"]
            if at is None:
                continue  # of another lesson than those that were set
            right, number = quick[at], None
            if type(right) is list:
                # only in the plain form, with the usual unit; any other is looked at below
                number, unit = known.get(text) or numbers(text)
                is_right = right[0] <= number <= right[1] and unit == self._units[at]
            elif type(right) is dict:
                is_right = self._fills(text, right)
            else:
                is_right = right == text
            what = RIGHT if is_right else self._judges[at].quickly(text, key.entry(at))
            if what is None:
                at_length -= 1
                what = self._at_length(at, text, key, job, worked_out) if at_length >= 0 else NOT_ASKED
            claims = what != RIGHT and one["verdict"] in _CLAIMS_RIGHT
            if claims and not was_right(self._names[at], text, self._judges[at]):
                claimed.append(self._names[at])
            tally.count(at, what, number, one, place)
        remarks = [*sent.remarks, *_odd(claimed, at_length)]
        minutes = _minutes(sent.tries, remarks)
        handed_in = sent.handed_in.astimezone(UTC).isoformat() if sent.handed_in else ""
        whose = (
            mark,
            sent.code,
            _digest_of(map(_ANSWER, sent.tries)),
            _origin_of(sent),
            sent.turn,
            handed_in,
        )
        return tally.summed_up(whose, minutes, remarks)

    def _at_length(
        self,
        at: int,
        text: str,
        key: LearnersKey,
        job: Callable[[], JobInHand],
        worked_out: dict[int, Exercise | None],
    ) -> int:
        """By the exercise itself, whose sums are done once a file: some take long."""
        judge = self._judges[at]
        if at not in worked_out:
            worked_out[at] = judge.worked_out(key.entry(at), job)
        return judge.at_length(text, worked_out[at], job)

    def _numbers(self, text: str) -> tuple[float, str]:
        """The number and the unit of an answer in the plain form; many learners type the same."""
        found = self._known.get(text)
        if found is None:
            if len(self._known) > _MOST_KNOWN:
                self._known.clear()
            found = self._known[text] = plain_number(text.strip()) or (_NO_NUMBER, "")
        return found

    def _fills(self, text: str, right: dict[str, Any]) -> bool:
        """Whether a table is filled with the right numbers and words, all in the plain form."""
        cells = text.replace("\n", ";").split(";")
        if len(cells) != len(right["low"]) or text.count("\n") != right["lines"] - 1:
            return False
        known, numbers = self._known, self._numbers
        for cell, low, high, unit in zip(cells, right["low"], right["high"], right["units"], strict=True):
            if high is None:
                if cell.strip() != low:
                    return False
            else:
                number, typed = known.get(cell) or numbers(cell)
                if not low <= number <= high or typed not in ("", unit):
                    return False
        return True


class _Tally:
    """What is counted of one hand-in, try by try."""

    def __init__(self, quick: Sequence[Any]) -> None:
        self.tries = [0] * len(quick)
        self.stands = [CANNOT_BE if right is CANNOT_BE_ASKED else NOTHING for right in quick]
        self.slips: dict[int, list[int]] = {}
        self.later: dict[int, int] = {}
        self.after_working: list[int] = []
        self.typed = [_NO_NUMBER] * len(quick)

    def count(self, at: int, what: int, number: float | None, one: SentTry, place: int) -> None:
        """One try at an exercise; `place` is where it stands in the file."""
        if what == NOT_ASKED:
            return
        self.tries[at] += 1
        if number is not None:
            self.typed[at] = number
        before = self.stands[at]
        if before in (AT_ONCE, LATER):
            return
        if what == RIGHT:
            self.stands[at] = AT_ONCE if before == NOTHING else LATER
            if before != NOTHING:
                self.later[at] = place
            if one["seen"] in _SHOW_THE_ANSWER:
                self.after_working.append(at)
            return
        self.stands[at] = NOT_RIGHT
        # a wrong answer without a name says nothing of how it came about
        if what != WRONG and what not in self.slips.setdefault(at, []):
            self.slips[at].append(what)

    def summed_up(
        self, whose: tuple[str, str, str, str, int, str], minutes: int, remarks: list[str]
    ) -> Judged:
        """All of it; `whose` is what stands first in a `Judged`."""
        typed = b64encode(array("f", self.typed).tobytes()).decode("ascii")
        return Judged(
            *whose, "".join(self.stands), self.tries, self.slips, self.later, self.after_working, minutes,
            typed, remarks,
        )  # fmt: skip


def _odd(claimed: Sequence[str], at_length: int) -> Iterator[str]:
    """What was odd about the answers as a whole."""
    if claimed:
        listed = ", ".join(dict.fromkeys(claimed[:4]))
        yield (
            f"it calls {len(claimed)} answers right that are not ({listed}): another version of the course "
            "judged them, or somebody edited the file"
        )
    if at_length < 0:
        yield f"{-at_length} of its answers are in forms that nobody types, and were not judged"


def _digest_of(texts: Iterable[str]) -> str:
    """The same for the same texts in the same order."""
    whole = "\n".join(texts).encode("utf-8", "replace")
    return f"{zlib.crc32(whole):08x}{len(whole):x}"


def _origin_of(sent: Sent) -> str:
    return _digest_of(sent.tries[0].values()) if sent.tries else ""


def _minutes(tries: Sequence[SentTry], remarks: list[str]) -> int:
    """Time at work: from one try to the next, pauses left out."""
    try:
        # as the course writes them, which is quick
        moments = [*map(datetime.fromisoformat, map(_TIME, tries))]
        gaps = [(after - before).total_seconds() for before, after in pairwise(moments)]
    except (ValueError, TypeError, OverflowError):
        remarks.append("the times of its tries cannot be read")
        return 0
    if gaps and min(gaps) < -1:
        remarks.append("the clock went back between its tries")
    return round(sum(gap for gap in gaps if 0 < gap <= _LONGEST_PAUSE) / 60)
