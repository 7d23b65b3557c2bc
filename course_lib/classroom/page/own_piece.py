"""From the sheet of one's own earring to its card, and from the finished duplicate back to its pattern."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from course_lib.bench.csv_read import exported_text
from course_lib.bench.measuring import Measured
from course_lib.bench.measuring_sheet import LARGEST_SHEET, label_of, sheet_from_text
from course_lib.bench.pair import compare
from course_lib.bench.pattern import as_measured
from course_lib.bench.refusals import Refused
from course_lib.bench.tables import table_by
from course_lib.bench.units import quantity
from course_lib.classroom.page.asking import Said
from course_lib.classroom.pieces.job_in_hand import JobInHand
from course_lib.classroom.pieces.own_folder import own_file
from course_lib.classroom.pieces.size_table import ShownTable, decimals_for, pattern_sizes
from course_lib.screen.pages import paragraphs

DUPLICATE = "my-duplicate.csv"
_SAID = {"accept": "nobody sees it", "reject": "an eye sees it", "cannot say": "cannot say: measure again"}


def card_of(job: JobInHand, path: str | Path = "my-earring.pdf") -> Said:
    """Write the bench card beside the notebook, and say where it is and what to see to first."""
    try:
        written = job.plan().card(own_file(path))
    except Refused as error:
        return Said(str(error))
    stops = [str(remark) for remark in job.plan().remarks if remark.stop]
    told = (
        f"The card of {job.title!r} is in {written.name}: open it from the list of files, and print it "
        "at 100 %."
    )
    return Said("\n".join([told, *(f"See to this first: {stop}" for stop in stops)]))


@dataclass(frozen=True, repr=False)
class Finished:
    """The finished duplicate beside its pattern. `compared` is the table of `bench.pair.compare`."""

    compared: Any
    summary: str

    @property
    def table(self) -> ShownTable:
        """The comparison in words, a row a size; all in mm."""
        columns = ("size", "pattern", "duplicate", "difference", "give or take", "an eye sees", "so")
        return ShownTable(columns, [self._row(row) for row in self.compared.itertuples()])

    @staticmethod
    def _row(row: Any) -> tuple[str, ...]:
        places = max(2, decimals_for(row.uncertainty_mm)) if row.uncertainty_mm > 0 else 3
        sizes = (f"{row.pattern_mm:.{places}f}", f"{row.duplicate_mm:.{places}f}")
        doubts = (f"{row.difference_mm:+.{places}f}", f"{row.uncertainty_mm:.{places}f}")
        return (label_of(row.size), *sizes, *doubts, f"{row.visible_mm:.2f}", _SAID[row.verdict])

    def __repr__(self) -> str:
        return f"{self.summary}\n{self.table!r}"

    def _repr_html_(self) -> str:
        return paragraphs(self.summary) + self.table._repr_html_()


def lengths_in(path: str | Path) -> dict[str, Measured]:
    """The lengths of a sheet that need not be whole, by their keys.

    Raises:
        Refused: there is no such sheet, or a cell of it cannot be used.
    """
    sheet = sheet_from_text(
        exported_text(own_file(path), "a measuring sheet", LARGEST_SHEET), all_needed=False
    )
    kinds = table_by("sheet_sizes", "key")
    return {
        key: as_measured(key, reading)
        for key, reading in sheet.readings.items()
        if kinds[key]["kind"] == "length"
    }


def finished_beside(pattern: JobInHand, path: str | Path = DUPLICATE) -> "Finished | Said":
    """The finished duplicate beside its pattern: a row a size that was measured on both.

    Args:
        pattern: the job.
        path: the sheet of the duplicate, measured when it was finished; it need not hold every size.

    Returns:
        The comparison, from the viewing distance of the job; or a sentence, where there is no such sheet
        yet or it cannot be read.
    """
    if not own_file(path).exists():
        return Said(
            f"There is no {Path(path).name} yet. Fill the second form when the duplicate is finished."
        )
    try:
        ours = {key: pattern.measured[key] for key in pattern_sizes(pattern)}
        lengths = {key: each for key, each in ours.items() if each.value.check("[length]")}
        distance = quantity(pattern.choices["viewing_distance"], "mm")
        found = compare(lengths, lengths_in(path), distance)
    except Refused as error:
        return Said(str(error))
    return Finished(found, _summary(found, pattern))


def _summary(found: Any, pattern: JobInHand) -> str:
    verdicts = list(found.verdict)
    seen = [label_of(row.size) for row in found.itertuples() if row.verdict == "reject"]
    open_ones = [label_of(row.size) for row in found.itertuples() if row.verdict == "cannot say"]
    lines = [
        f"{len(verdicts)} sizes compared, as seen from {pattern.choices['viewing_distance']:.0f} mm: "
        f"in {verdicts.count('accept')} of them nobody sees a difference."
    ]
    lines += [f"An eye sees a difference in: {'; '.join(seen)}."] if seen else []
    lines += (
        [f"Too near to say; measure again, with a finer gauge: {'; '.join(open_ones)}."] if open_ones else []
    )
    return "\n".join(lines)


def beside_on(panel: Any, path: str | Path = DUPLICATE) -> Any:
    """The panel of lesson 14 with the duplicate as it was measured; as it is where nothing is measured yet.

    Args:
        panel: from ``lesson.panel()``.
        path: the sheet of the duplicate.

    Returns:
        The panel that came.
    """
    try:
        measured = lengths_in(path)
    except Refused:
        return panel
    rows = getattr(panel, "rows", {})
    found = {key: measured[key].value.m_as("mm") for key in rows if key in measured}
    if found:
        ends = {key: rows[key].control for key in found}
        panel.set(**{key: min(max(at, ends[key].least), ends[key].most) for key, at in found.items()})
    return panel
