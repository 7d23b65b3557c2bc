"""Exercises that are answered from a list: choose one, or put all in order."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from string import ascii_lowercase
from typing import ClassVar

from course_lib.classroom.exercises.exercise import Exercise, Text, key_for, text_for
from course_lib.classroom.exercises.judge import places_in
from course_lib.classroom.exercises.keys import ChoiceKey, OrderKey, print_of
from course_lib.classroom.exercises.typed import as_typed
from course_lib.classroom.exercises.worked import Answer
from course_lib.classroom.pieces.job_in_hand import JobInHand


@dataclass(frozen=True, kw_only=True)
class ChoiceAsked(Exercise):
    """One of several.

    Args:
        choices: name and text of each, in the order shown. `expected` and the slips give names.
    """

    choices: Callable[[JobInHand], Mapping[str, Text]]
    kind: ClassVar[str] = "choice"
    picks_one: ClassVar[bool] = True

    def offered(self, job: JobInHand) -> Mapping[str, str]:
        """Letter and text of each choice."""
        return _lettered(self.choices(job), job)

    def key(self, job: JobInHand) -> ChoiceKey:
        """Which one is right, and which one each slip chooses."""
        texts = self.choices(job)
        names = list(texts)
        slips = [(at, names.index(name)) for at, name in self.slip_values(job) if name in names]
        return ChoiceKey(names, _prints(texts, job), names.index(self.expected(job)), slips)

    def written(self, value: Answer, job: JobInHand) -> str:
        """The letter of a choice."""
        return ascii_lowercase[list(self.choices(job)).index(value)]

    def form(self, job: JobInHand) -> str:
        """A letter."""
        return "Answer with one letter."


@dataclass(frozen=True, kw_only=True)
class SymptomAsked(ChoiceAsked):
    """What went wrong? The task is a symptom, the choices are what may have caused it."""

    kind: ClassVar[str] = "symptom"


@dataclass(frozen=True, kw_only=True)
class OrderAsked(Exercise):
    """All of a list, put in order.

    Args:
        items: name and text of each, in the order shown. `expected` and the slips give lists of names.
        first: what stands first when it is right, for example "the thinnest".
    """

    items: Callable[[JobInHand], Mapping[str, Text]]
    first: str
    kind: ClassVar[str] = "order"

    def offered(self, job: JobInHand) -> Mapping[str, str]:
        """Letter and text of each item."""
        return _lettered(self.items(job), job)

    def key(self, job: JobInHand) -> OrderKey:
        """The right order, and that of each slip."""
        texts = self.items(job)
        names = list(texts)

        def places(order: Sequence[str]) -> list[int]:
            return [names.index(name) for name in order]

        slips = [(at, places(order)) for at, order in self.slip_values(job)]
        return OrderKey(names, _prints(texts, job), places(self.expected(job)), slips)

    def kept(self, answer: Answer, job: JobInHand) -> str:
        """A list of names is kept as letters; text as it was typed."""
        key = key_for(self, job)
        order = places_in(answer, key) if isinstance(key, OrderKey) else None
        if isinstance(answer, (list, tuple)) and order is not None:
            return " ".join(ascii_lowercase[at] for at in order)
        return as_typed(answer)

    def written(self, value: Answer, job: JobInHand) -> str:
        """The letters in order."""
        names = list(self.items(job))
        return " ".join(ascii_lowercase[names.index(name)] for name in value)

    def form(self, job: JobInHand) -> str:
        """All letters."""
        return f"Answer with all the letters, {self.first} first, like this: {' '.join(self.offered(job))}"

    def form_words(self) -> dict[str, str]:
        """What stands first."""
        return {"first": self.first}

    def prompt(self, job: JobInHand) -> str:
        """The letters as they stand on the page."""
        return f"for example {' '.join(self.offered(job))}"


def _lettered(texts: Mapping[str, Text], job: JobInHand) -> dict[str, str]:
    return {
        letter: text_for(text, job) for letter, text in zip(ascii_lowercase, texts.values(), strict=False)
    }


def _prints(texts: Mapping[str, Text], job: JobInHand) -> list[int]:
    return [print_of(text_for(text, job)) for text in texts.values()]
