"""Tasks that nobody can judge from afar: the learner ticks what is done, and writes a few words."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from string import ascii_lowercase
from typing import ClassVar

from course_lib.classroom.exercises.exercise import Exercise, Text, text_for
from course_lib.classroom.exercises.judge import ticked_in
from course_lib.classroom.exercises.keys import TicksKey
from course_lib.classroom.exercises.typed import as_typed
from course_lib.classroom.exercises.worked import Answer
from course_lib.classroom.pieces.job_in_hand import JobInHand

LONGEST_WORDS = 2000


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

    def key(self, job: JobInHand) -> TicksKey:
        """Nothing is right or wrong here: all points are to be ticked."""
        return TicksKey(len(self.points))

    def kept(self, answer: Answer, job: JobInHand) -> str:
        """The letters, and the learner's words in all their length."""
        if isinstance(answer, (list, tuple)):
            return " ".join(as_typed(each) for each in answer)[:LONGEST_WORDS]
        return answer.strip()[:LONGEST_WORDS] if isinstance(answer, str) else as_typed(answer)

    def written(self, value: Answer, job: JobInHand) -> str:
        """All letters."""
        return " ".join(self.offered(job))

    def form(self, job: JobInHand) -> str:
        """Tick, or write the letters."""
        return (
            "Tick what you have done, and write a few words if you like. In the cell: the letters, then a "
            "colon and your words, like this: a b: my words"
        )

    def told_before(self, answer: str, job: JobInHand) -> str:
        """What was ticked before, whether it is all of it or not."""
        done = self.judged(answer, job).is_right
        letters, words = ticked_in(answer)
        said = (
            "You have ticked all of it before."
            if done
            else f"Ticked so far: {' '.join(letters) or 'nothing'}."
        )
        return f"{said} You wrote: {words}" if words else said
