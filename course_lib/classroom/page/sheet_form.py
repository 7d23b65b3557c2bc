"""The form of a measuring sheet: a row a size, checked as it is typed, saved as CSV at every change.

What is checked is what loading the sheet checks, row by row; so a form without marks is a sheet that loads.
"""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from course_lib.bench.measuring import decimals_of
from course_lib.bench.refusals import Refused
from course_lib.bench.sheet import Written, check_row, split_readings
from course_lib.bench.tables import Row, find, rows_of
from course_lib.bench.units import is_gauge, unit_behind, unit_called
from course_lib.classroom.page.own_sheet import CLOSED, OwnSheet, cells_of, head
from course_lib.classroom.pieces.job_in_hand import CannotGoOn, JobInHand, load_job
from course_lib.classroom.pieces.own_folder import own_file
from course_lib.screen.page_parts import heard_and_seen
from course_lib.screen.pages import part_from

_WIDGET = "application/vnd.jupyter.widget-view+json"
_LISTED = {"alloy": ("alloys", "alloy", "an alloy"), "gem": ("stones", "gem", "a stone")}
# Gauges that suit, by how the size is taken; the first is offered.
_GAUGES = {
    "length": ("caliper", "micrometer", "vernier caliper", "thickness gauge", "plug gauge", "loupe scale",
               "steel rule"),
    "weight": ("fine balance", "balance"),
}  # fmt: skip
# What a size is usually taken with, where it is no caliper.
_USUAL = {
    **dict.fromkeys(("claw_wire", "ring_wire", "post_wire", "notch_wire", "plate_thickness",
                     "strip_thickness", "sheet_start", "wire_start"), "micrometer"),
    **dict.fromkeys(("ring_inside", "plate_hole", "curl_inside", "curl_gap"), "plug gauge"),
    **dict.fromkeys(("claw_tip", "notch_width", "bend_radius"), "loupe scale"),
}  # fmt: skip
# Gauges that can be closed, and what they show then.
_CLOSED = ("micrometer", "caliper", "vernier caliper", "fine balance", "balance")
# Not of the pattern, so no duplicate has them.
_OF_THE_DRAWER = ("sheet_start", "wire_start")
_MOST_REMARKS = 4


@dataclass(frozen=True)
class Question:
    """What one row of the form asks. `kind` is that of data/sheet_sizes.csv, or ``closed`` for a gauge."""

    key: str
    part: str
    size: str
    kind: str
    unit: str
    how: str
    needed: bool
    example: str = ""

    @property
    def name(self) -> str:
        """How the row is called."""
        return f"{self.part}, {'closed' if self.kind == 'closed' else self.size}"

    @property
    def gauges(self) -> tuple[str, ...]:
        """The gauges that it can be taken with, the usual one first."""
        if self.kind == "closed":
            return (self.part,)
        if self.kind not in _GAUGES:
            return ("eye",)
        usual = _USUAL.get(self.key, _GAUGES[self.kind][0])
        return (usual, *(gauge for gauge in _GAUGES[self.kind] if gauge != usual))


def _question(row: Row) -> Question:
    return Question(
        row["key"], row["part"], row["size"], row["kind"], row["unit"], row["how"].split(": see data/")[0],
        row["needed"] == "yes", _example(row),
    )  # fmt: skip


def _example(row: Row) -> str:
    """What could stand in the field: readings of the size that such parts have, which are nobody's."""
    if row["kind"] == "name":
        return ""
    least, most = row.amount("least"), row.amount("most")
    if row["kind"] == "count":
        return f"for example {round(math.sqrt(least * most))}"
    step = 0.001 if row["kind"] == "weight" else 0.01
    middle = round(math.sqrt(least * most), decimals_of(step))
    written = (f"{middle + more * step:.{decimals_of(step)}f}" for more in (0, 1, 0))
    return f"for example {' '.join(written)}"


def questions() -> list[Question]:
    """All that the form asks: the name, what is needed, what may be added, and the closed gauges."""
    sizes = [_question(row) for row in rows_of("sheet_sizes")]
    first = [each for each in sizes if each.key == "title" or each.needed]
    return [*first, *(each for each in sizes if each not in first), *_closed_gauges()]


def _closed_gauges() -> list[Question]:
    units = {row["instrument"]: row["unit"] for row in rows_of("instruments")}
    return [
        Question(
            f"{CLOSED}{gauge}", gauge, "closed reading", "closed", units[gauge],
            "what it shows with nothing in it; empty if that is nothing", False, "for example 0.01",
        )
        for gauge in _CLOSED
    ]  # fmt: skip


def lengths_of(pattern: JobInHand) -> list[Question]:
    """What is asked of a finished duplicate: the lengths that were taken on its pattern."""
    taken = set(pattern.measured) - set(_OF_THE_DRAWER)
    sizes = [each for each in questions() if each.kind == "length" and each.key in taken]
    return [*sizes, *_closed_gauges()]


def written_as(question: Question, gauge: str, typed: str, note: str = "") -> Written:
    """A row of the sheet from what was typed. Readings stand apart by spaces or semicolons.

    >>> wire = next(each for each in questions() if each.key == "claw_wire")
    >>> written_as(wire, "micrometer", "0,80; 0,81, 0,80").readings
    ('0,80', '0,81', '0,80')
    >>> written_as(wire, "micrometer", "20 awg").unit
    'awg'
    """
    if question.kind in ("name", "count"):
        readings, unit = [typed.strip()], question.unit
    else:
        unit, readings = _unit_typed(typed, question.unit)
    return Written(question.key, question.part, question.size, unit, gauge, tuple(readings), note)


def _unit_typed(typed: str, usual: str) -> tuple[str, list[str]]:
    """The one unit that stands behind the readings, and the readings without it."""
    found = [unit.lower() for unit in unit_behind().findall(typed)]
    if len({unit_called(unit) for unit in found}) > 1:
        # as one cell: checking the row says what is wrong with it
        return usual, [re.sub(r"\s+", "\u00a0", typed.strip())]
    unit = found[0] if found else usual
    bare = re.sub(r", +", " ", unit_behind().sub(" ", typed)).strip(" ,")
    return unit, split_readings(bare, "awg" if is_gauge(unit) else unit_called(unit))


def shown_as(question: Question, row: Written) -> str:
    """What stands in the field for a row of the sheet: readings, and a unit that is not the usual one."""
    readings = " ".join(row.readings)
    if question.kind in ("name", "count") or row.unit.lower() in ("", question.unit):
        return readings
    return f"{readings} {row.unit}"


class SheetForm:
    """The form on the page. `rows` holds its rows by the keys of data/sheet_sizes.csv.

    Args:
        path: of the sheet.
        asked: what to ask for.
        whole: the sheet is one that a plan can be made of.
    """

    def __init__(self, path: Path, asked: Sequence[Question], whole: bool = True) -> None:
        self.sheet = OwnSheet(path)
        self.path = self.sheet.path
        self.whole = whole
        self.said = widgets.HTML()
        self.said.add_class("course-trouble-place")
        self._busy = False
        self.rows = {each.key: _FormRow(each, self) for each in asked}
        self.view = heard_and_seen([self.said, *self._sections(), self.said])
        self.refresh()

    def _sections(self) -> list[Any]:
        of = list(self.rows.values())
        parts = {
            "Needed" if self.whole else "The duplicate": [
                row for row in of if row.is_first or not self.whole
            ],
            "If you have measured it": [row for row in of if not row.is_first and self.whole],
            "Your gauges, closed": [row for row in of if row.question.kind == "closed"],
        }
        closed = parts["Your gauges, closed"]
        listed: list[Any] = []
        for title, rows in parts.items():
            shown = rows if rows is closed else [row for row in rows if row not in closed]
            if shown:
                listed += [widgets.HTML(f"<h4>{title}</h4>"), *(row.view for row in shown)]
        return listed

    def fill(self, **readings: str) -> None:
        """Type into several rows at once, by their keys; for tests and for whoever pastes."""
        for key, text in readings.items():
            self.rows[key].box.value = text

    def changed(self, key: str) -> None:
        """Save a row as it stands, whatever it is, and say how far the sheet is."""
        if self._busy:
            return
        try:
            self.sheet.put(key, self.rows[key].written(), self.rows)
        except Refused as error:
            self.rows[key].check()
            self.said.value = _trouble(f"It could not be saved: {error}")
            return
        self.refresh()

    def refresh(self) -> None:
        """Show what stands in the file, and say how far it is."""
        self._busy = True
        try:
            for key, row in self.rows.items():
                row.show(self.sheet.rows.get(key))
        finally:
            self._busy = False
        self.tell()

    def tell(self) -> None:
        """How far the sheet is."""
        empty = [row.name for row in self.rows.values() if row.question.needed and not row.is_filled]
        wrong = [row.name for row in self.rows.values() if row.trouble]
        if self.sheet.trouble:
            said = _trouble(
                f"{self.sheet.trouble} What you type here begins a new sheet; a copy of that file is kept."
            )
        elif wrong:
            said = _trouble(f"Look again at: {'; '.join(wrong)}.")
        elif self.whole and empty:
            shown = "; ".join(empty[:3]) + ("; and more" if len(empty) > 3 else "")
            said = part_from("form.html", "empty", count=len(empty), names=shown)
        else:
            said = self._tell_complete() if self.whole else self._tell_part()
        if self.said.value != said:
            self.said.value = said

    def _tell_complete(self) -> str:
        """The whole sheet is looked at as it will be planned: sizes may be right alone and not together."""
        try:
            remarks = self.job().plan().remarks
        except Refused as error:
            return _trouble(str(error))
        return part_from("form.html", "complete", file=self.path.name, remarks=remarks)

    def _tell_part(self) -> str:
        done = sum(row.is_filled for row in self.rows.values() if row.question.kind != "closed")
        of = sum(row.question.kind != "closed" for row in self.rows.values())
        return part_from("form.html", "begun", done=done, of=of, file=self.path.name)

    def job(self) -> JobInHand:
        """The job of the sheet.

        Raises:
            CannotGoOn: it does not load yet; the message has row, column and remedy.
        """
        if not self.path.exists():
            raise CannotGoOn("Nothing is written in the form yet.")
        return load_job(self.path)

    def job_or(self, other: JobInHand) -> JobInHand:
        """The job of the sheet, or another one as long as the sheet is not complete."""
        try:
            return self.job()
        except CannotGoOn:
            return other

    def __repr__(self) -> str:
        filled = sum(row.is_filled for row in self.rows.values())
        return f"A measuring sheet with {filled} of {len(self.rows)} rows filled, kept in {self.path.name}."

    def _repr_mimebundle_(self, **_: Any) -> dict[str, Any]:
        return {"text/plain": repr(self), _WIDGET: self.view._repr_mimebundle_()[_WIDGET]}


class _FormRow:
    """One row: what it is, the gauge, the readings, and what is wrong with them."""

    def __init__(self, question: Question, form: SheetForm) -> None:
        self.question, self.form = question, form
        self.name = question.name
        self.is_first = question.needed or question.key == "title"
        self.trouble = self._note = ""
        self.box = self._make_box()
        self.gauge = widgets.Dropdown(
            options=question.gauges, value=question.gauges[0], layout=widgets.Layout(width="10em"),
            description=f"gauge for {self.name}", style={"description_width": "0px"},
        )  # fmt: skip
        # beside the field where there is room, and narrower rather than under it where there is little
        self.said = widgets.HTML(layout=widgets.Layout(flex="1 1 13em", margin="2px 2px 2px 1em"))
        self.box.observe(lambda _: form.changed(question.key), "value")
        self.gauge.observe(lambda _: self._gauge_chosen(), "value")
        chosen = [self.gauge] if len(question.gauges) > 1 else []
        self.view = widgets.HBox([self.box, *chosen, self.said], layout=widgets.Layout(flex_flow="row wrap"))

    def _make_box(self) -> Any:
        question, named = self.question, {"description_width": "18em"}
        unit = f" ({question.unit})" if question.unit else ""
        if question.key in _LISTED:
            table, column, _ = _LISTED[question.key]
            options = [
                ("choose one", ""),
                *((_called(each, column), each[column]) for each in rows_of(table)),
            ]
            box: Any = widgets.Dropdown(options=options, value="", description=self.name, style=named)
        else:
            box = widgets.Text(
                description=self.name + unit, placeholder=question.example, style=named,
                continuous_update=False,
            )  # fmt: skip
        box.layout = widgets.Layout(width="34em", max_width="100%")
        box.add_class("course-box")
        return box

    @property
    def is_filled(self) -> bool:
        """Something stands in it."""
        return bool(self.box.value.strip())

    def _gauge_chosen(self) -> None:
        if self.is_filled:
            self.form.changed(self.question.key)

    def written(self) -> Written | None:
        """The row as it will stand in the sheet; None if nothing stands in it."""
        if not self.is_filled:
            return None
        return written_as(self.question, self.gauge.value, self.box.value, self._note)

    def check(self) -> None:
        """Check what stands in the field."""
        row = self.written()
        self._tell(_trouble_of(row) if row else "")

    def show(self, row: Written | None) -> None:
        """Show a row of the sheet, and check it."""
        self._note = row.note if row else ""
        text = shown_as(self.question, row) if row else ""
        unknown = ""
        if row and self.question.key in _LISTED:
            text, unknown = self._listed(text)
        if row is None or written_as(self.question, "", self.box.value).readings != row.readings:
            self.box.value = text
        if row and row.instrument:
            self._show_gauge(row.instrument)
        self._tell(unknown or (_trouble_of(row) if row else ""))

    def _listed(self, text: str) -> tuple[str, str]:
        """What the list calls it, and what is wrong where the list does not hold it."""
        table, column, called = _LISTED[self.question.key]
        try:
            return find(table, column, text, called)[column], ""
        except Refused as error:
            return "", str(error)

    def _show_gauge(self, said: str) -> None:
        try:
            gauge = find("instruments", "instrument", said, "an instrument")["instrument"]
        except Refused:
            return
        if gauge not in self.gauge.options:
            self.gauge.options = (*self.gauge.options, gauge)
        self.gauge.value = gauge

    def _tell(self, trouble: str) -> None:
        """Turn the box where something cannot be right, and say beside it what would do."""
        self.trouble = trouble
        (self.box.add_class if trouble else self.box.remove_class)("course-wrong")
        said = _trouble(trouble) if trouble else part_from("form.html", "how", text=self.question.how)
        if self.said.value != said:
            self.said.value = said


def _called(row: Row, column: str) -> str:
    """A name of a list with what else it is called."""
    also = row.get("also_said").replace(";", ",")
    return f"{row[column]} ({also})" if also else row[column]


def _trouble_of(row: Written) -> str:
    """What loading the sheet would say of this row; empty if nothing."""
    readings = max(1, len(row.readings))
    try:
        check_row(cells_of(row, readings), head(readings))
    except Refused as error:
        return str(error).split(": ", 1)[-1]
    return ""


def _trouble(text: str) -> str:
    return part_from("form.html", "trouble", text=text)


def sheet_form(path: str | Path = "my-earring.csv") -> SheetForm:
    """A form to type the readings of your own earring into.

    Args:
        path: where the sheet is kept; what is there already is shown again.

    Returns:
        The form; a notebook shows it.
    """
    return SheetForm(own_file(path), questions())


def duplicate_form(pattern: JobInHand, path: str | Path = "my-duplicate.csv") -> SheetForm:
    """A form for the finished duplicate: it asks for the lengths that were taken on the pattern.

    Args:
        pattern: the job.
        path: where the sheet is kept.

    Returns:
        The form; a notebook shows it.
    """
    return SheetForm(own_file(path), lengths_of(pattern), whole=False)
