"""A pattern: the surviving earring as it was measured."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from types import MappingProxyType
from typing import Any

from course_lib.bench.choices import Choices
from course_lib.bench.measuring import Measured, Reading
from course_lib.bench.measuring_sheet import label_of
from course_lib.bench.refusals import Refused
from course_lib.bench.tables import table_by
from course_lib.bench.units import quantity


@dataclass(frozen=True, eq=False)
class Pattern:
    """A measured pattern: all that a sheet says of it.

    `readings` are in mm and g by the keys of data/sheet_sizes.csv; `shared` names the gauge of each and
    its own standard uncertainty; `remarks` is what was noticed while reading the sheet; `chosen` what the
    sheet itself chooses otherwise than the trade's tables.
    """

    title: str
    alloy: str
    gem: str
    claws: int
    readings: Mapping[str, Reading]
    choices: Choices
    shared: Mapping[str, tuple[str, float]]
    remarks: tuple[str, ...] = ()
    chosen: Mapping[str, str] = field(default_factory=dict)

    @cached_property
    def measured(self) -> Mapping[str, Measured]:
        """The readings as quantities, by their keys."""
        return MappingProxyType(
            {key: as_measured(key, reading) for key, reading in self.readings.items() if key != "curl_turns"}
        )

    def size(self, part: str, name: str) -> Any:
        """One measured size by the names of the sheet.

        Raises:
            Refused: the sheet does not measure it.

        >>> from course_lib.bench.job import Job
        >>> from course_lib.bench.tables import data_folder
        >>> job = Job.load(data_folder() / "demo-four-claws.csv")
        >>> print(f"{job.size('back plate', 'diameter'):.2f~P}")
        5.80 mm
        """
        for key, each in self.measured.items():
            if label_of(key) == f"{part}, {name}":
                return each.value
        raise Refused(f"'{part}, {name}' is not measured in this job.")


def as_measured(key: str, reading: Reading) -> Measured:
    """A reading with its unit."""
    unit = "gram" if table_by("sheet_sizes", "key")[key]["kind"] == "weight" else "mm"
    return Measured(
        quantity(reading.value, unit),
        quantity(reading.standard_uncertainty, unit),
        reading.degrees_of_freedom,
    )
