"""A job: one measured pattern, ready to plan."""

import math
from pathlib import Path
from types import MappingProxyType

from course_lib.bench.choices import choices_from
from course_lib.bench.measuring import Reading
from course_lib.bench.measuring_sheet import MeasuringSheet, read_sheet, sheet_from_text
from course_lib.bench.pattern import Pattern
from course_lib.bench.plan import Plan
from course_lib.bench.planning import make_plan


class Job(Pattern):
    """A measured pattern, ready to plan."""

    @classmethod
    def load(cls, path: str | Path) -> "Job":
        """Read a measuring sheet (see `course_lib.bench.measuring_sheet`).

        Args:
            path: a CSV file, one row a size: part, size, unit, instrument, readings.

        Returns:
            The job.

        Raises:
            Refused: with the row, the column and what to write.

        >>> from course_lib.bench.tables import data_folder
        >>> Job.load(data_folder() / "demo-four-claws.csv").alloy
        '585 yellow'
        """
        return cls.from_sheet(read_sheet(path), Path(path).stem.replace("-", " "))

    @classmethod
    def from_text(cls, text: str, title: str = "my earring") -> "Job":
        """A job from the text of a measuring sheet."""
        return cls.from_sheet(sheet_from_text(text), title)

    @classmethod
    def from_sheet(cls, sheet: MeasuringSheet, title: str) -> "Job":
        """A job from a sheet that has been read."""
        turns = sheet.counts["curl_turns"]
        # turns are read to the nearest eighth
        readings = {**sheet.readings, "curl_turns": Reading(turns, 0.125 / math.sqrt(12), math.inf)}
        claws = int(sheet.counts["claws"])
        choices = choices_from(sheet.choices)
        title = sheet.names.get("title", title)
        alloy, gem = sheet.names["alloy"], sheet.names["gem"]
        return cls(
            title, alloy, gem, claws, MappingProxyType(readings), choices, sheet.shared, sheet.remarks,
            sheet.choices,
        )  # fmt: skip

    def plan(self) -> Plan:
        """Work out the whole duplicate.

        Returns:
            The `Plan`. What cannot be or looks wrong is in its remarks; the rest is planned all the same.

        >>> from course_lib.bench.tables import data_folder
        >>> plan = Job.load(data_folder() / "demo-four-claws.csv").plan()
        >>> [remark.text for remark in plan.remarks if remark.stop]
        []
        """
        return make_plan(self)
