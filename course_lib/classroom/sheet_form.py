"""The form of a measuring sheet: a row a size, checked as it is typed, saved as CSV at every change.

What is checked is what loading the sheet checks, row by row; so a form without marks is a sheet that loads.
"""

import csv
import html
import io
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from course_lib.bench.filing import write_whole
from course_lib.bench.job import Job
from course_lib.bench.pair import compare
from course_lib.bench.refusals import Refused
from course_lib.bench.sheet import check_row
from course_lib.bench.tables import Row, rows_of
from course_lib.bench.units import quantity
from course_lib.classroom.asking import Said
from course_lib.classroom.job_in_hand import CannotGoOn, JobInHand, load_job
from course_lib.screen.page_parts import heard_and_seen

_HEAD = ("part", "size", "unit", "instrument", "reading 1", "reading 2", "reading 3", "note")
_WIDGET = "application/vnd.jupyter.widget-view+json"
_LISTED = {"alloy": ("alloys", "alloy"), "gem": ("stones", "gem")}
# Gauges that suit, by how the size is taken; the first is offered.
_GAUGES = {
    "length": ("caliper", "micrometer", "vernier caliper", "plug gauge", "loupe scale"),
    "weight": ("fine balance", "balance"),
}
_FINE = (
    "claw_wire",
    "ring_wire",
    "post_wire",
    "notch_wire",
    "plate_thickness",
    "strip_thickness",
    "sheet_start",
    "wire_start",
)


# What stands in an empty field.
_EXAMPLES = {
    "length": "for example 0.80 0.81 0.80",
    "weight": "for example 0.435 0.434",
    "count": "for example 4",
}


def asked_rows() -> list[Row]:
    """The rows of data/sheet_sizes.csv that the form asks for: all that is needed, then what may be added."""
    rows = rows_of("sheet_sizes")
    return [row for row in rows if row["needed"] == "yes" or row["key"] == "title"] + [
        row for row in rows if row["needed"] != "yes" and row["key"] != "title"
    ]


def usual_gauge(row: Row) -> str:
    """The gauge that a size is usually taken with."""
    if row["kind"] in ("name", "count") or row["unit"] == "turns":
        return "eye"
    if row["kind"] == "weight":
        return _GAUGES["weight"][0]
    return "micrometer" if row["key"] in _FINE else _GAUGES["length"][0]


def row_as_cells(row: Row, gauge: str, readings: str) -> list[str]:
    """A row of the sheet. Readings stand apart by semicolons or spaces; words stay together."""
    words = [readings.strip()]
    if row["kind"] not in ("name", "count"):
        # the unit stands in its own column
        bare = re.sub(rf"(?<=[\d.,])\s*{row['unit']}\b", " ", readings) if row["unit"] else readings
        words = bare.replace(";", " ").split()
    cells = [row["part"], row["size"], row["unit"], gauge, *words[:3]]
    return cells + [""] * (len(_HEAD) - len(cells))


def as_csv(rows: Sequence[Sequence[str]]) -> str:
    """Rows as a measuring sheet.

    >>> print(as_csv([["post", "wire", "mm", "micrometer", "0.9", "", "", ""]]).splitlines()[1])
    post,wire,mm,micrometer,0.9,,,
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(_HEAD)
    writer.writerows(rows)
    return out.getvalue()


class SheetForm:
    """The form on the page. `typed` holds what stands in each row, by the keys of data/sheet_sizes.csv."""

    def __init__(self, path: str | Path) -> None:
        self.path = Path(path).absolute()
        self.rows = {row["key"]: _FormRow(row, self) for row in asked_rows()}
        self.said = widgets.HTML()
        self.said.add_class("course-trouble-place")
        self._loading = True
        self._load_again()
        self._loading = False
        needed = [row.view for row in self.rows.values() if row.is_needed]
        more = [row.view for row in self.rows.values() if not row.is_needed]
        self.view = heard_and_seen(
            [
                widgets.HTML("<h4>Needed</h4>"), *needed,
                widgets.HTML("<h4>If you have measured it</h4>"), *more, self.said,
            ]
        )  # fmt: skip
        self.tell()

    def _load_again(self) -> None:
        """What was saved before is there again."""
        if not self.path.exists():
            return
        by_name = {(row.row["part"], row.row["size"]): row for row in self.rows.values()}
        for cells in csv.DictReader(io.StringIO(self.path.read_text("utf-8-sig"))):
            row = by_name.get((str(cells.get("part")), str(cells.get("size"))))
            if row is not None:
                readings = (cells.get(f"reading {at}") or "" for at in (1, 2, 3))
                row.put(str(cells.get("instrument") or ""), " ".join(each for each in readings if each))

    def fill(self, **readings: str) -> None:
        """Type into several rows at once, by their keys; for tests and for whoever pastes."""
        for key, text in readings.items():
            self.rows[key].box.value = text

    def changed(self) -> None:
        """Save what is there, whatever it is, and say what is missing."""
        if self._loading:
            return
        try:
            write_whole(self.path, self.text().encode("utf-8"))
        except Refused as error:
            self.said.value = _marked(f"It could not be saved: {error}")
            return
        self.tell()

    def text(self) -> str:
        """The sheet as CSV text: the rows that hold something."""
        return as_csv([row.cells() for row in self.rows.values() if row.box.value.strip()])

    def tell(self) -> None:
        """How far the sheet is."""
        missing = [row.name for row in self.rows.values() if row.is_needed and not row.box.value.strip()]
        wrong = [row.name for row in self.rows.values() if row.trouble]
        if missing:
            shown = ", ".join(missing[:3]) + (" and more" if len(missing) > 3 else "")
            self.said.value = f"<p>{len(missing)} needed rows are empty: {html.escape(shown)}.</p>"
        elif wrong:
            self.said.value = _marked(f"Look again at: {', '.join(wrong)}.")
        else:
            self.said.value = f"<p>Complete, and saved as {html.escape(self.path.name)}.</p>"

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
        filled = sum(bool(row.box.value.strip()) for row in self.rows.values())
        return f"A measuring sheet with {filled} of {len(self.rows)} rows filled, kept in {self.path.name}."

    def _repr_mimebundle_(self, **_: Any) -> dict[str, Any]:
        return {"text/plain": repr(self), _WIDGET: self.view._repr_mimebundle_()[_WIDGET]}


class _FormRow:
    """One row: what it is, the gauge, the readings, and what is wrong with them."""

    def __init__(self, row: Row, form: SheetForm) -> None:
        self.row, self.form = row, form
        self.is_needed = row["needed"] == "yes"
        self.name = f"{row['part']}, {row['size']}"
        self.trouble = ""
        named = {"description_width": "18em"}
        unit = f" ({row['unit']})" if row["unit"] else ""
        if row["key"] in _LISTED:
            table, column = _LISTED[row["key"]]
            options = [("choose one", ""), *((each[column], each[column]) for each in rows_of(table))]
            self.box: Any = widgets.Dropdown(options=options, value="", description=self.name, style=named)
        else:
            self.box = widgets.Text(
                description=self.name + unit,
                placeholder=_EXAMPLES.get(row["kind"], ""),
                style=named,
                continuous_update=False,
            )
        self.box.layout = widgets.Layout(width="38em", max_width="100%")
        self.box.add_class("course-box")
        gauges = [g for g in _GAUGES.get(row["kind"], ()) if row["unit"] != "turns"] or [usual_gauge(row)]
        self.gauge = widgets.Dropdown(
            options=gauges, value=usual_gauge(row), layout=widgets.Layout(width="10em"),
            description=f"gauge for {self.name}", style={"description_width": "0px"},
        )  # fmt: skip
        self.said = widgets.HTML(f'<span style="opacity: 0.85">{html.escape(row["how"])}</span>')
        self.box.observe(lambda _: self.check(), "value")
        self.gauge.observe(lambda _: self.check(), "value")
        parts = [self.box, self.said] if len(gauges) == 1 else [self.box, self.gauge, self.said]
        self.view = widgets.HBox(parts, layout=widgets.Layout(flex_flow="row wrap"))

    def cells(self) -> list[str]:
        """The row as it stands in the sheet."""
        return row_as_cells(self.row, self.gauge.value, self.box.value)

    def put(self, gauge: str, readings: str) -> None:
        """Take over what was saved."""
        if gauge in self.gauge.options:
            self.gauge.value = gauge
        try:
            self.box.value = readings
        except Exception:  # a list does not hold what somebody wrote into the file by hand
            self.box.value = ""

    def check(self) -> None:
        """Check what was typed; the box turns, and what would do is said beside it."""
        self.trouble = ""
        if self.box.value.strip():
            try:
                check_row(self.cells(), _HEAD)
            except Refused as error:
                self.trouble = str(error).split(": ", 1)[-1]
        (self.box.add_class if self.trouble else self.box.remove_class)("course-wrong")
        self.said.value = (
            _marked(self.trouble) if self.trouble else f"<span>{html.escape(self.row['how'])}</span>"
        )
        self.form.changed()


def _marked(text: str) -> str:
    return f'<span class="course-trouble" role="alert">{html.escape(text)}</span>'


def sheet_form(path: str | Path = "my-earring.csv") -> SheetForm:
    """A form to type the readings of your own earring into.

    Args:
        path: where the sheet is kept; what is there already is shown again.

    Returns:
        The form; a notebook shows it.
    """
    return SheetForm(path)


def finished_beside(pattern: JobInHand, path: str | Path = "my-duplicate.csv") -> Any:
    """The finished duplicate beside its pattern: a table, a row a size that both sheets hold.

    Args:
        pattern: the job.
        path: the sheet of the duplicate, measured when it was finished.

    Returns:
        The table of `bench.pair.compare`, from the viewing distance of the job; or a sentence, where there is
        no such sheet yet or it cannot be read.
    """
    if not Path(path).exists():
        return Said(f"There is no {path} yet. Fill the second form when the duplicate is finished.")
    try:
        duplicate = Job.load(path)
        return compare(pattern, duplicate, quantity(pattern.choices["viewing_distance"], "mm"))  # type: ignore[arg-type]
    except Refused as error:
        return Said(str(error))


def card_of(job: JobInHand, path: str | Path = "my-earring.pdf") -> Said:
    """Write the bench card beside the notebook, and say where it is and what to see to first."""
    try:
        written = job.plan().card(path)
    except Refused as error:
        return Said(str(error))
    stops = [str(remark) for remark in job.plan().remarks if remark.stop]
    told = (
        f"The card of {job.title!r} is in {written.name}: open it from the list of files, and print it "
        "at 100 %."
    )
    return Said("\n".join([told, *(f"See to this first: {stop}" for stop in stops)]))
