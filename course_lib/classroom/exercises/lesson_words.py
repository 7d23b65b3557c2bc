"""A lesson from its words (TOML, ``data/lessons``) and its sums (``lessons/lesson_NN.py``).

The words file holds all that is read: task, clue, working, slips, sources, objectives. A hole such as
``{strip:.2f}`` in a text is filled with what the sums give for the piece; ``{doubt:two figures}`` writes
16, 4.4 or 0.29; ``{metals:, }`` sets a comma between several phrases that would else have a line each. A hole
in a source holds a phrase, so that a book's name stands once. What does not fit together is refused with file
and line.
"""

import random
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from string import Formatter
from typing import Any

from course_lib.bench.refusals import Refused
from course_lib.bench.tables import find
from course_lib.classroom.exercises.exercise import Exercise, Lesson, Slip, Text
from course_lib.classroom.exercises.filled_tables import Column, TableAsked
from course_lib.classroom.exercises.fineness import (
    Division,
    Fineness,
    GaugeDivision,
    Money,
    TwoFigures,
    Whole,
)
from course_lib.classroom.exercises.formulas import Numbers, worked_out
from course_lib.classroom.exercises.lists import ChoiceAsked, OrderAsked, SymptomAsked
from course_lib.classroom.exercises.open_tasks import OpenTask
from course_lib.classroom.exercises.sizes import FigureRead, NumberAsked, SizeAsked
from course_lib.classroom.exercises.words_file import WordsFile, check_words
from course_lib.classroom.exercises.worked import Answer, Say, Worked
from course_lib.classroom.pieces.job_in_hand import JobInHand

Work = Callable[[JobInHand], Worked]


@dataclass(frozen=True)
class WordedExercise:
    """One exercise of a words file together with its sums: gives each text with the piece's numbers in it."""

    file: WordsFile
    name: str
    table: Mapping[str, Any]
    work: Work

    def worked(self, job: JobInHand) -> Worked:
        """What it comes to for a job: worked out once for each."""
        kept: dict[Work, Worked] = job.__dict__.setdefault("_worked_out", {})
        if self.work not in kept:
            kept[self.work] = self._checked(self.work(job))
        return kept[self.work]

    def _checked(self, worked: Worked) -> Worked:
        if worked.way and worked.way not in self.table.get("ways", {}):
            raise self.refused(f"there is no way to ask called {worked.way!r}, which the sums choose", "ways")
        said, summed = self.table.get("slips", {}), worked.slips
        for name in summed:
            if name not in said:
                raise self.refused(f"the slip {name!r} has a sum but no sentence", "slips")
        if summed or not self._slips_are_choices:
            for name in said:
                if name not in summed:
                    raise self.refused(f"the slip {name!r} has a sentence but no sum", "slips", name)
        return worked

    @property
    def _slips_are_choices(self) -> bool:
        return self.table["kind"] in ("choice", "symptom")

    def refused(self, said: str, *place: str) -> Refused:
        """A refusal at a place of this exercise."""
        return self.file.refused(f"{self.name}: {said}", "exercise", self.name, *place)

    def way(self, job: JobInHand) -> Mapping[str, Any]:
        """The table of the way in which the job is asked; empty where there is one way only."""
        worked = self.worked(job)
        found: Mapping[str, Any] = self.table.get("ways", {}).get(worked.way, {})
        return found

    def text(self, *keys: str) -> Text:
        """A text by its place in the table; the way's own goes before."""
        said = [_found(table, keys) for table in (self.table, *self.table.get("ways", {}).values())]
        if not any(said[1:]) and not any(hole for _, hole, _, _ in Formatter().parse(said[0]) if hole):
            return said[0].format()

        def filled(job: JobInHand) -> str:
            return self.filled(_found(self.way(job), keys) or said[0], job, keys)

        return filled

    def filled(self, text: str, job: JobInHand, keys: Sequence[str]) -> str:
        """A text with the job's numbers in its holes."""
        holes = dict(self.worked(job).holes)
        if "choices" in self.table and "{answer}" in text:
            holes["answer"] = self.listed("choices")(job)[self.right(job)]
        return self._fill(text, holes, job, keys)

    def _fill(self, text: str, holes: Mapping[str, Any], job: JobInHand, keys: Sequence[str]) -> str:
        parts = []
        for before, name, form, _ in Formatter().parse(text):
            parts.append(before)
            if name is None:
                continue
            value = holes.get(name, Say(name, {}) if self._phrase(name, job) is not None else None)
            if value is None:
                raise self.refused(f"{{{name}}} is no hole that the sums fill; {_near(name, holes)}", *keys)
            parts.append(self._shown(value, form or "", holes, job))
        return "".join(parts)

    def _shown(self, value: Any, form: str, holes: Mapping[str, Any], job: JobInHand) -> str:
        if isinstance(value, Say):
            said = self._phrase(value.phrase, job)
            if said is None:
                raise self.refused(f"there is no phrase {value.phrase!r}, which the sums put in", "phrases")
            more = {**holes, **value.holes}
            return self._fill(said, more, job, ("phrases", value.phrase))
        if isinstance(value, (list, tuple)):
            between = (form or "\n") if any(isinstance(each, Say) for each in value) else ", "
            return between.join(self._shown(each, form, holes, job) for each in value)
        return TwoFigures().written(value) if form == "two figures" else format(value, form)

    def _phrase(self, name: str, job: JobInHand) -> str | None:
        """A phrase by its name: of the way to ask, the exercise, the lesson; None if there is none."""
        for table in (self.way(job), self.table, self.file.all):
            if name in table.get("phrases", {}):
                return str(table["phrases"][name])
        return None

    def listed(self, key: str) -> Callable[[JobInHand], dict[str, str]]:
        """Choices, steps or rows: name and text of each, in the order shown."""

        def found(job: JobInHand) -> dict[str, str]:
            said = {**self.table.get(key, {}), **self.way(job).get(key, {})}
            shown = self.worked(job).shown or tuple(said)
            # the name of a joint or of a line of the quote is its own text; a paper has a phrase
            own = shown if isinstance(shown, Mapping) else {}
            own = {name: self._shown(text, "", self.worked(job).holes, job) for name, text in own.items()}
            texts = {name: said.get(name, own.get(name, name)) for name in shown}
            return {name: self.filled(text, job, (key, name)) for name, text in texts.items()}

        return found

    def right(self, job: JobInHand) -> Answer:
        """The right answer."""
        return self.worked(job).right

    def slips(self) -> tuple[Slip, ...]:
        """The slips, in the order of the words file."""
        return tuple(Slip(name, self._value(name), self.text("slips", name)) for name in self._slip_names())

    def _slip_names(self) -> dict[str, None]:
        ways = [self.table, *self.table.get("ways", {}).values()]
        return dict.fromkeys(name for table in ways for name in table.get("slips", {}))

    def _value(self, name: str) -> Callable[[JobInHand], Answer]:
        def value(job: JobInHand) -> Answer:
            worked = self.worked(job)
            if self._slips_are_choices and not worked.slips:
                shown = worked.shown or {**self.table["choices"], **self.way(job).get("choices", {})}
                return name if name != worked.right and name in shown else None
            return worked.slips.get(name)

        return value

    def exercise(self) -> Exercise:
        """The exercise, of its kind."""
        kind, table = self.table["kind"], self.table
        common: dict[str, Any] = {
            "name": self.name,
            "title": table["title"],
            "basis": table["basis"],
            "source": self._source,
            "objective": table.get("objective", self.name),
            "slips": self.slips(),
            "task": self.text("task"),
            "clue": self.text("clue"),
            "working": self.text("working"),
            "well_done": self.text("well_done"),
        }
        if kind == "open":
            points = tuple(self._point(point) for point in table["points"])
            return OpenTask(points=points, **common)
        common["expected"] = self.right
        if kind in ("choice", "symptom"):
            asked = ChoiceAsked if kind == "choice" else SymptomAsked
            return asked(choices=self.listed("choices"), **common)
        if kind == "order":
            return OrderAsked(items=self.listed("items"), first=table["first"], **common)
        if kind == "table":
            rows = self.listed("rows")
            return TableAsked(
                columns=self._columns,
                rows=lambda job: list(rows(job).values()),
                counted=table.get("counted", ""),
                **common,
            )
        sizes = {key: table[key] for key in ("unit", "sample", "counted", "figure") if key in table}
        if "fine" in table:
            sizes["fineness"] = self._fineness(table["fine"])
        if kind == "number":
            return NumberAsked(**sizes, **common)
        return FigureRead(**sizes, **common) if kind == "figure" else SizeAsked(**sizes, **common)

    @property
    def _source(self) -> str:
        """What the exercise rests on, with the phrases in its holes: the same for every job."""
        phrases = {**self.file.all.get("phrases", {}), **self.table.get("phrases", {})}
        phrases = {name: said for name, said in phrases.items() if "{" not in said}
        parts = []
        for before, name, _, _ in Formatter().parse(self.table.get("source", "")):
            parts.append(before)
            if name is None:
                continue
            if name not in phrases:
                said = f"{{{name}}} in a source is no phrase that is the same for every job"
                raise self.refused(f"{said}; {_near(name, phrases)}", "source")
            parts.append(str(phrases[name]))
        return "".join(parts)

    def _point(self, point: str) -> Callable[[JobInHand], str]:
        return lambda job: self.filled(point, job, ("points",))

    def _columns(self, job: JobInHand) -> tuple[Column, ...]:
        own = self.worked(job).columns
        return tuple(
            Column(
                each["name"],
                each.get("unit", ""),
                self._fineness(each.get("fine", "whole")),
                tuple(own.get(each["name"], each.get("words", ()))),
            )
            for each in self.table["columns"]
        )

    def _fineness(self, said: Any) -> Fineness:
        if said == "two figures":
            return TwoFigures()
        if said == "money":
            return Money()
        if said == "whole":
            return Whole()
        if isinstance(said, str):
            said = {"gauge": said}
        if isinstance(said, Mapping) and "gauge" in said:
            try:
                find("instruments", "instrument", said["gauge"], "an instrument")
            except Refused as error:
                raise self.refused(str(error), "fine") from None
            return GaugeDivision(said["gauge"], bool(said.get("mean")))
        if isinstance(said, Mapping) and "to" in said:
            return Division(float(said["to"]), **({"because": said["why"]} if "why" in said else {}))
        raise self.refused(
            f'fine = {said!r} says nothing. Write fine = "caliper", fine = "two figures", fine = "money", '
            'fine = "whole" or fine = {to = 0.1, why = "nobody cuts finer"}',
            "fine",
        )


def _found(table: Mapping[str, Any], keys: Sequence[str]) -> str:
    """A text by its place in a table; nothing where there is none."""
    found: Any = table
    for key in keys:
        found = found.get(key) if isinstance(found, Mapping) else None
    return found if isinstance(found, str) else ""


def _near(name: str, names: Any) -> str:
    near = get_close_matches(name, list(names), n=1)
    return f"did you mean {{{near[0]}}}?" if near else f"there are {', '.join(sorted(names)) or 'none'}"


def lesson_from(path: Path, number: str, work: Callable[[str], Work | None]) -> Lesson:
    """A lesson of a words file and its sums.

    Args:
        path: the words file.
        number: of the lesson, or how a teacher's own file is called.
        work: gives the sums of an exercise by its name; None where there are none.

    Returns:
        The lesson.

    Raises:
        Refused: the file does not hold what a lesson needs; the message names file and line.
    """
    file = WordsFile(path)
    check_words(file)
    questions = []
    for name, table in file.all["exercise"].items():
        sums = work(name) or _sums_in(file, name, table)
        questions.append(WordedExercise(file, name, _words_of(table), sums))
    return Lesson(
        number=number,
        title=file.all["title"],
        minutes=file.all.get("minutes", 0),
        objectives=_objectives(file),
        exercises=tuple(each.exercise() for each in questions),
        earlier=tuple(file.all.get("earlier", ())),
        stage=file.all.get("stage", ""),
        words=tuple(file.all.get("words", ())),
        intro=file.all.get("intro", ""),
        need=file.all.get("need", ""),
    )


def _objectives(file: WordsFile) -> dict[str, str]:
    """What a learner can do; where a teacher's own file names nothing, the titles of its exercises."""
    found = {name: table["title"] for name, table in file.all["exercise"].items() if "objective" not in table}
    return {**file.all.get("objectives", {}), **found}


def _words_of(table: Mapping[str, Any]) -> dict[str, Any]:
    """The words of an exercise; a slip that stands there with its formula is its sentence only."""
    slips = {
        name: said["says"] if isinstance(said, Mapping) else said
        for name, said in table.get("slips", {}).items()
    }
    return {**table, "slips": slips}


def _sums_in(file: WordsFile, name: str, table: Mapping[str, Any]) -> Work:
    """The sums that stand beside the words, as formulas."""
    if table["kind"] == "open":
        return lambda job: Worked("")
    if "right" not in table and table["kind"] != "order":
        raise file.refused(f"{name}: it has words but no sums: write right = ...", "exercise", name)
    gives = {slip: said for slip, said in table.get("slips", {}).items() if isinstance(said, Mapping)}
    items = list(table.get("items", ()))

    def work(job: JobInHand) -> Worked:
        numbers = Numbers(job, table.get("sums", {}))

        def at(said: Any, *place: str, kind: str = table["kind"]) -> Any:
            try:
                return _answer_in(kind, table.get("columns", ()), said, numbers)
            except Refused as error:
                raise file.refused(f"{name}: {error}.", "exercise", name, *place) from None

        right = at(table.get("right", items), "right")
        slips = {slip: at(said["gives"], "slips", slip) for slip, said in gives.items()}
        sums = {each: at(each, "sums", each, kind="number") for each in table.get("sums", {})}
        sizes = {key: reading.value for key, reading in job.readings.items()}
        # what stands in order in the file is shown in another, for each piece its own
        shown = random.Random(job.digest).sample(items, len(items))
        return Worked(right, slips, {**job.choices.numbers, **sizes, **sums, "right": right}, shown=shown)

    return work


def _answer_in(kind: str, columns: Sequence[Mapping[str, Any]], said: Any, numbers: Numbers) -> Any:
    """An answer as it is written in a words file: a formula, the names of choices, or rows of a table."""
    if kind in ("choice", "symptom", "order"):
        return said
    if kind == "table":
        worded = [bool(column.get("words")) for column in columns]
        return [
            [cell if word else worked_out(cell, numbers) for cell, word in zip(row, worded, strict=True)]
            for row in said
        ]
    return worked_out(said, numbers)
