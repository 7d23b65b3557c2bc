"""Tasks that nobody can judge from afar: the learner ticks what is done, and writes a few words."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from string import ascii_lowercase
from typing import ClassVar

from course_lib.bench.refusals import Refused
from course_lib.classroom.exercise import Answer, Exercise, Found, Text, Verdict, text_for
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.typed import as_typed

LONGEST_WORDS = 2000


def _nothing(job: JobInHand) -> str:
    return ""


def ticked_in(answer: str) -> tuple[list[str], str]:
    """What is ticked in an answer, and the learner's own words, which stand behind a colon.

    >>> ticked_in("a b: the ring opened twice"), ticked_in("bca"), ticked_in("a, then c")
    ((['a', 'b'], 'the ring opened twice'), (['a', 'b', 'c'], ''), (['a', 'c'], ''))
    """
    said, _, words = answer.partition(":")
    parts = re.findall(r"[^\W\d_]+", said.lower())
    # letters without anything between them are letters too, but no word of the language is
    if len(parts) == 1 and len(set(parts[0])) == len(parts[0]) and set(parts[0]) <= set("abcdefgh"):
        parts = list(parts[0])
    return sorted({part for part in parts if len(part) == 1 and part in ascii_lowercase}), words.strip()


@dataclass(frozen=True, kw_only=True)
class OpenTask(Exercise):
    """An open task with a list to check oneself by. It is done when every point is ticked.

    Args:
        points: what to tick, in order.
    """

    points: tuple[Text, ...]
    kind: ClassVar[str] = "open"
    ticks: ClassVar[bool] = True
    expected: Callable[[JobInHand], Answer] = _nothing

    def offered(self, job: JobInHand) -> Mapping[str, str]:
        """Letter and text of each point."""
        return {
            letter: text_for(point, job) for letter, point in zip(ascii_lowercase, self.points, strict=False)
        }

    def judged(self, answer: Answer, job: JobInHand) -> Verdict:
        """Nothing is right or wrong here; what is not ticked is named."""
        letters, _ = ticked_in(self.kept(answer, job))
        still = [text for letter, text in self.offered(job).items() if letter not in letters]
        if not still:
            return Verdict(Found.RIGHT, "Done.", more=text_for(self.well_done, job))
        return Verdict(Found.OPEN, "Kept. Still to do:\n" + "\n".join(f"- {text}" for text in still))

    def kept(self, answer: Answer, job: JobInHand) -> str:
        """The letters, and the learner's words in all their length."""
        if isinstance(answer, (list, tuple)):
            return " ".join(as_typed(each) for each in answer)[:LONGEST_WORDS]
        return answer.strip()[:LONGEST_WORDS] if isinstance(answer, str) else as_typed(answer)

    def written(self, value: Answer, job: JobInHand) -> str:
        """All letters."""
        return " ".join(self.offered(job))

    def same(self, one: Answer, other: Answer, job: JobInHand) -> bool:
        """Open tasks have no slips to compare."""
        return bool(one == other)

    def form(self, job: JobInHand) -> str:
        """Tick, or write the letters."""
        return (
            "Tick what you have done, and write a few words if you like. In the cell: the letters, then a "
            "colon and your words, like this: a b: my words"
        )

    def told_before(self, answer: str, job: JobInHand) -> str:
        """What was ticked before, whether it is all of it or not."""
        try:
            done = self.judged(answer, job).is_right
        except Refused:
            done = False
        letters, words = ticked_in(answer)
        said = (
            "You have ticked all of it before."
            if done
            else f"Ticked so far: {' '.join(letters) or 'nothing'}."
        )
        return f"{said} You wrote: {words}" if words else said
