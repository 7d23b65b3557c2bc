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
from itertools import pairwise
from operator import itemgetter

from course_lib.classroom.exercises.judge import Found, OutOfPatience, Patience
from course_lib.classroom.school.class_keys import NOT_ASKED, RIGHT, WRONG, LearnersKey, found_by, what_it_is
from course_lib.classroom.school.sent_files import Sent, SentTry

# How an exercise of a hand-in stands: not answered, right at once, right later, not right; and one that the
# learner's job does not allow.
NOTHING, AT_ONCE, LATER, NOT_RIGHT, CANNOT_BE = ".", "R", "r", "x", "-"
# A pause longer than this is no time at work, in seconds.
_LONGEST_PAUSE = 600
# So many answers of one file may be read at length, which takes long; nobody types more in odd forms.
_MOST_AT_LENGTH = 300
_CLAIMS_RIGHT = (Found.RIGHT.value, Found.TOO_FINE.value)
_SHOW_THE_ANSWER = ("working", "source")
_ANSWER, _TIME = itemgetter("answer"), itemgetter("time")
# Whether an answer was right before something was corrected: by the exercise's name and the text.
WasRight = Callable[[str, str], bool]
_NO_NUMBER = float("nan")


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
    """Judges hand-ins of one set work, one after the other.

    Args:
        names: of the exercises, as ``LESSON/NAME``, in their order.
    """

    def __init__(self, names: Sequence[str]) -> None:
        self._names = names
        self._places = {tuple(name.split("/", 1)): at for at, name in enumerate(names)}

    def judged(
        self, sent: Sent, mark: str, key: LearnersKey, was_right: WasRight = lambda name, text: False
    ) -> Judged:
        """Judge a hand-in.

        Args:
            sent: what was read of the file.
            mark: the digest of its content.
            key: of the learner whose code it holds.
            was_right: whether an answer was right by an earlier key, and so was honestly called right.

        Returns:
            What came of it, exercise by exercise.
        """
        tally, patience = _Tally(key), Patience(_MOST_AT_LENGTH)
        claimed: list[str] = []
        for place, one in enumerate(sent.tries):
            at, text = self._places.get((one["lesson"], one["exercise"])), one["answer"]
            if at is None:
                continue  # of another lesson than those that were set
            try:
                finding = found_by(text, key.keys(at), patience)
            except OutOfPatience:
                continue
            what = what_it_is(finding)
            claims = what != RIGHT and one["verdict"] in _CLAIMS_RIGHT
            if claims and not was_right(self._names[at], text):
                claimed.append(self._names[at])
            tally.count(at, what, finding.number, one, place)
        remarks = [*sent.remarks, *_odd(claimed, patience)]
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


class _Tally:
    """What is counted of one hand-in, try by try."""

    def __init__(self, key: LearnersKey) -> None:
        self.tries = [0] * len(key)
        self.stands = [NOTHING if key.can_be_asked(at) else CANNOT_BE for at in range(len(key))]
        self.slips: dict[int, list[int]] = {}
        self.later: dict[int, int] = {}
        self.after_working: list[int] = []
        self.typed = [_NO_NUMBER] * len(key)

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


def _odd(claimed: Sequence[str], patience: Patience) -> Iterator[str]:
    """What was odd about the answers as a whole."""
    if claimed:
        listed = ", ".join(dict.fromkeys(claimed[:4]))
        yield (
            f"it calls {len(claimed)} answers right that are not ({listed}): another version of the course "
            "judged them, or somebody edited the file"
        )
    if patience.left < 0:
        yield f"{-patience.left:.0f} of its answers are in forms that nobody types, and were not judged"


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
