"""Tasks that nobody can judge from afar: the learner does them, and ticks what is done."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from string import ascii_lowercase
from typing import ClassVar

from course_lib.classroom.exercise import Answer, Exercise, Found, Text, Verdict, text_for
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.typed import as_typed


def _nothing(job: JobInHand) -> str:
    return ""


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
        letters = set(re.findall(r"[a-z]", as_typed(answer).lower()))
        open_ones = [text for letter, text in self.offered(job).items() if letter not in letters]
        if not open_ones:
            return Verdict(Found.RIGHT, "Done.", more=text_for(self.well_done, job))
        return Verdict(Found.CLOSE, "Still to do: " + " ".join(f"- {text}" for text in open_ones))

    def written(self, value: Answer, job: JobInHand) -> str:
        """All letters."""
        return " ".join(self.offered(job))

    def same(self, one: Answer, other: Answer, job: JobInHand) -> bool:
        """Open tasks have no slips to compare."""
        return bool(one == other)

    def form(self, job: JobInHand) -> str:
        """Tick, or write the letters."""
        return "Tick what you have done. In words: write the letters, like this: a b"
