"""Verdicts: what the judge found of an answer, in words for the learner.

The general sentences stand in ``data/lessons/verdicts.toml``; those of a slip and of a right answer are the
exercise's own.
"""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Protocol

from course_lib.bench.tables import data_folder
from course_lib.classroom.exercises.judge import RIGHT_ONES, Finding, Found
from course_lib.classroom.pieces.job_in_hand import JobInHand


@dataclass(frozen=True)
class Verdict:
    """What is said of one answer: what was found, its sentence, and the slip's name if it is one.

    `more` is what a right answer means at the bench.
    """

    found: Found
    says: str
    slip: str = ""
    more: str = ""

    @property
    def in_full(self) -> str:
        """All that is said."""
        return f"{self.says} {self.more}".strip()

    @property
    def is_right(self) -> bool:
        """The learner may go on."""
        return self.found in RIGHT_ONES


class Sayings(Protocol):
    """What an exercise has to say for itself."""

    @property
    def ticks(self) -> bool:
        """Whether its points are ticked."""

    def said_when_right(self, job: JobInHand) -> str:
        """What a right answer means at the bench."""

    def slip_at(self, at: int, job: JobInHand) -> tuple[str, str]:
        """Name and sentence of a slip, by its place."""

    def written(self, value: Any, job: JobInHand) -> str:
        """An answer as a careful learner would type it."""

    def why_no_finer(self) -> str:
        """Why more decimals say more than anybody knows."""

    def offered(self, job: JobInHand) -> Mapping[str, str]:
        """Letter and text of what can be chosen or ticked."""

    def form_words(self) -> Mapping[str, str]:
        """What the general sentences say of the form of an answer."""


def in_words(finding: Finding, exercise: Sayings, job: JobInHand) -> Verdict:
    """Put a finding into words.

    Args:
        finding: from the judge.
        exercise: that was answered.
        job: whose numbers it has.

    Returns:
        What is said of the answer.
    """
    if finding.is_right:
        return _of_a_right_answer(finding, exercise, job)
    slip = exercise.slip_at(finding.slips[0], job)[0] if finding.slips else ""
    if finding.found is Found.SLIP:
        return Verdict(finding.found, _of_slips(finding, exercise, job), slip)
    return Verdict(finding.found, _general(finding, exercise, job), slip)


def _of_a_right_answer(finding: Finding, exercise: Sayings, job: JobInHand) -> Verdict:
    said = _sentences()["done" if exercise.ticks else "right"]
    if finding.found is Found.TOO_FINE:
        said = _sentences()["too fine"].format(
            why=exercise.why_no_finer(), shorter=exercise.written(finding.number, job)
        )
    return Verdict(finding.found, said, more=exercise.said_when_right(job))


def _of_slips(finding: Finding, exercise: Sayings, job: JobInHand) -> str:
    """On some jobs two slips lead to one number; then both are said."""
    return _sentences()["or else"].join(exercise.slip_at(at, job)[1] for at in finding.slips)


def _general(finding: Finding, exercise: Sayings, job: JobInHand) -> str:
    holes = dict(finding.holes)
    if "before" in holes:
        holes["before"] = _sentences()["before"] if holes["before"] else ""
    if "still" in holes:
        offered = exercise.offered(job)
        holes["points"] = "\n".join(f"- {offered[letter]}" for letter in holes["still"])
    if finding.slips:
        holes["slips"] = _of_slips(finding, exercise, job)
    if finding.found is Found.UNREADABLE:
        letters = exercise.offered(job)
        holes |= {"letters": ", ".join(letters), "in_a_row": " ".join(letters)}
    return _sentences()[finding.said].format_map({**holes, **exercise.form_words()})


@cache
def _sentences() -> Mapping[str, str]:
    return tomllib.loads((data_folder() / "lessons" / "verdicts.toml").read_text(encoding="utf-8"))
