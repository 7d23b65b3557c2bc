"""Exercises that are answered from a list: choose one, or put all in order."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from string import ascii_lowercase
from typing import Any, ClassVar

from course_lib.bench.refusals import Refused
from course_lib.classroom.exercise import Answer, Exercise, Found, Text, Verdict, text_for
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.typed import as_typed


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

    def judged(self, answer: Answer, job: JobInHand) -> Verdict:
        """Right, a slip with its own sentence, or none of the list."""
        chosen = _name_of(answer, self.choices(job), job)
        if chosen is None:
            return Verdict(Found.UNREADABLE, f"Choose one of the letters {', '.join(self.offered(job))}.")
        if chosen == self.expected(job):
            return Verdict(Found.RIGHT, "Right.", more=text_for(self.well_done, job))
        return self.slip_of(chosen, job) or Verdict(Found.WRONG, "Not this one.")

    def same(self, one: Answer, other: Answer, job: JobInHand) -> bool:
        """Whether both are one choice."""
        return bool(one == other)

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

    def judged(self, answer: Answer, job: JobInHand) -> Verdict:
        """Right, a slip, two neighbours exchanged, or how far it is right."""
        order = self._order(answer, job)
        if order is None:
            letters = " ".join(self.offered(job))
            said = f"Write each letter once, {self.first} first, for example {letters}."
            return Verdict(Found.UNREADABLE, said)
        wanted = list(self.expected(job))
        if order == wanted:
            return Verdict(Found.RIGHT, "Right.", more=text_for(self.well_done, job))
        return self.slip_of(order, job) or _how_far(order, wanted, self.first)

    def _order(self, answer: Answer, job: JobInHand) -> list[str] | None:
        items = self.items(job)
        parts = _parts(answer, len(items))
        names = [_name_of(part, items, job) for part in parts]
        found = [name for name in names if name is not None]
        return found if len(found) == len(names) and sorted(found) == sorted(items) else None

    def kept(self, answer: Answer, job: JobInHand) -> str:
        """A list of names is kept as letters; text as it was typed."""
        if isinstance(answer, (list, tuple)):
            try:
                order = self._order(answer, job)
            except Refused:  # this cannot be asked of the job
                order = None
            if order is not None:
                return self.written(order, job)
        return as_typed(answer)

    def same(self, one: Answer, other: Answer, job: JobInHand) -> bool:
        """Whether both put the items in one order."""
        return list(one) == list(other)

    def written(self, value: Answer, job: JobInHand) -> str:
        """The letters in order."""
        names = list(self.items(job))
        return " ".join(ascii_lowercase[names.index(name)] for name in value)

    def form(self, job: JobInHand) -> str:
        """All letters."""
        return f"Answer with all the letters, {self.first} first, like this: {' '.join(self.offered(job))}"

    def prompt(self, job: JobInHand) -> str:
        """The letters as they stand on the page."""
        return f"for example {' '.join(self.offered(job))}"


def _lettered(texts: Mapping[str, Text], job: JobInHand) -> dict[str, str]:
    return {
        letter: text_for(text, job) for letter, text in zip(ascii_lowercase, texts.values(), strict=False)
    }


def _name_of(answer: Any, texts: Mapping[str, Text], job: JobInHand) -> str | None:
    """The name of what was chosen, by its letter, its name or its text."""
    tidy = " ".join(as_typed(answer).lower().split()).strip(" ).'")
    for letter, (name, text) in zip(ascii_lowercase, texts.items(), strict=False):
        if tidy in (letter, name.lower(), " ".join(text_for(text, job).lower().split()).strip(" ).'")):
            return name
    return None


def _parts(answer: Any, count: int) -> list[Any]:
    """The parts of an order: a list, or letters with or without something between them."""
    if not isinstance(answer, str):
        return list(answer) if isinstance(answer, (list, tuple)) else [answer]
    parts = [part for part in re.split(r"[\s,;<>\-]+", answer.strip()) if part]
    return list(parts[0]) if len(parts) == 1 and len(parts[0]) == count else parts


def _how_far(order: list[str], wanted: list[str], first: str) -> Verdict:
    apart = [i for i, (one, other) in enumerate(zip(order, wanted, strict=True)) if one != other]
    if len(apart) == 2 and apart[1] == apart[0] + 1:
        return Verdict(Found.CLOSE, "Close: two neighbours are exchanged.")
    if apart[0] == 0:
        return Verdict(Found.WRONG, f"Not this order: look again for {first}.")
    count = "one is" if apart[0] == 1 else f"{apart[0]} are"
    return Verdict(Found.WRONG, f"Not yet: the first {count} in place, the rest not.")
