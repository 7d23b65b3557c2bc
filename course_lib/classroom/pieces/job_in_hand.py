"""The job that a lesson is about: one of the demo pieces, or the learner's own."""

import hashlib
import json
from functools import cached_property
from pathlib import Path

from course_lib.bench.job import Job
from course_lib.bench.plan import Plan
from course_lib.bench.refusals import Refused
from course_lib.bench.tables import data_folder, table_by
from course_lib.classroom.pieces.own_folder import own_file


class CannotGoOn(Refused):
    """Something the notebook cannot do without. A notebook shows its sentence and no lines of code."""

    def _render_traceback_(self) -> list[str]:
        return [str(self)]


class JobInHand(Job):
    """A job whose plan is worked out once and kept, for every exercise asks for it."""

    def plan(self) -> Plan:
        """The whole plan (see `Job.plan`), worked out at the first call."""
        return self._kept_plan

    @cached_property
    def _kept_plan(self) -> Plan:
        return super().plan()

    @cached_property
    def digest(self) -> str:
        """Twelve signs that change when the sheet itself changes: a reading, a gauge, metal, stone or choice.

        A changed table of the trade leaves them as they are: what was answered of a piece stays with it.

        >>> demo_job().digest == demo_job().digest != demo_job("six claws").digest
        True
        """
        said = {
            "alloy": self.alloy,
            "gem": self.gem,
            "claws": self.claws,
            "readings": {key: self._as_shown(key) for key in self.readings},
            "gauges": {key: gauge for key, (gauge, _) in self.shared.items()},
            "chosen": {name: _tidied(text) for name, text in self.chosen.items()},
        }
        return hashlib.sha256(json.dumps(said, sort_keys=True).encode()).hexdigest()[:12]

    def _as_shown(self, key: str) -> list[float]:
        """What was read, in mm or g, without what the table of gauges adds to it."""
        reading, low = self.readings[key], 0.0
        if key in self.shared:
            low = table_by("instruments", "instrument")[self.shared[key][0]].amount("reads_low_by", empty=0)
        return [round(number, 6) for number in (reading.value - low, *sorted(reading.shown))]


def _tidied(text: str) -> str:
    """A choice as it is compared: ``2,0`` is the same as ``2``."""
    try:
        return f"{float(text.replace(',', '.')):.9g}"
    except ValueError:
        return " ".join(text.split())


def demo_names() -> list[str]:
    """How the demo jobs are called, in alphabetical order."""
    return sorted(
        path.stem.removeprefix("demo-").replace("-", " ") for path in data_folder().glob("demo-*.csv")
    )


def demo_job(name: str = "four claws") -> JobInHand:
    """One of the demo jobs of the course.

    Args:
        name: one of `demo_names`.

    Returns:
        The job.

    Raises:
        CannotGoOn: there is no demo of that name.

    >>> demo_job().claws
    4
    """
    if name not in demo_names():
        raise CannotGoOn(f"There is no demo job {name!r}. Write one of: {', '.join(demo_names())}.")
    return load_job(data_folder() / f"demo-{name.replace(' ', '-')}.csv")


def load_job(path: str | Path) -> JobInHand:
    """The job of a measuring sheet, for example of your own earring.

    Args:
        path: a CSV file as `course_lib.bench.sheet` describes it.

    Returns:
        The job.

    Raises:
        CannotGoOn: with the row, the column and what to write.

    >>> load_job(data_folder() / "demo-six-claws.csv").claws
    6
    """
    try:
        found = JobInHand.load(_found_at(path))
    except Refused as error:
        raise CannotGoOn(str(error)) from None
    assert isinstance(found, JobInHand)
    return found


def _found_at(path: str | Path) -> Path:
    """Beside the notebook, or where the learner's own files are kept."""
    try:
        own = own_file(path)
        return own if own.exists() and not Path(path).exists() else Path(path)
    except (OSError, ValueError):  # a name that no file can have: loading says so
        return Path(path)
