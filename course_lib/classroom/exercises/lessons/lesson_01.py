"""Lesson 01, Read the pattern: from repeated readings to a value and how far it may be trusted."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import mean, median, pstdev, stdev
from typing import Any

from course_lib.bench.measuring import Measured, coverage, measured, readings_enough
from course_lib.bench.measuring_sheet import label_of
from course_lib.bench.tables import find
from course_lib.bench.units import quantity
from course_lib.classroom.exercises.worked import Say, Worked, say
from course_lib.classroom.pieces.job_in_hand import JobInHand
from course_lib.classroom.pieces.size_table import doubt_shares, pattern_sizes, share_of_measuring

GAUGE = "micrometer"
RESULT = "earring_weight"

# How five readings of a soft wire may fall, in steps of the gauge about the size, and what the closed
# gauge showed. Each job gets one of them. They are uneven on purpose: where the middle reading equals
# the mean, nobody could tell which of the two was taken.
_PATTERNS = (
    ((-1, 7, -2, 0, -2), 4),
    ((0, -3, 5, -1, -3), 4),
    ((4, -6, 2, 4, -2), 5),
    ((3, -4, 2, 4, -3), 6),
    ((2, -6, -1, 4, 2), 3),
    ((-2, 6, -5, 2, -2), 7),
)


@dataclass(frozen=True)
class WorkshopReadings:
    """Readings of one wire, in plain mm; `zero` is what the closed gauge showed, `gauge` its own doubt."""

    in_mm: tuple[float, ...]
    zero: float
    step: float
    gauge: float

    @property
    def readings(self) -> list[Any]:
        """The readings as quantities."""
        return [quantity(reading, "mm") for reading in self.in_mm]

    @property
    def zero_error(self) -> Any:
        """What the closed gauge showed."""
        return quantity(self.zero, "mm")

    @property
    def resolution(self) -> Any:
        """The division of the gauge: the smallest difference that it shows."""
        return quantity(self.step, "mm")

    @property
    def instrument_uncertainty(self) -> Any:
        """The standard uncertainty of the gauge itself."""
        return quantity(self.gauge, "mm")

    @property
    def found(self) -> Measured:
        """What they tell."""
        return measured(self.readings, self.resolution, self.zero_error, self.instrument_uncertainty)


def workshop_readings(job: JobInHand) -> WorkshopReadings:
    """Five readings of the job's claw wire with the workshop's micrometer: invented, about the real size.

    >>> from course_lib.classroom.pieces.job_in_hand import demo_job
    >>> len(workshop_readings(demo_job()).in_mm)
    5
    """
    row = find("instruments", "instrument", GAUGE, "an instrument")
    step = row.amount("resolution")
    middle = round(job.readings["claw_wire"].value / step)
    # any sum will do that differs from job to job
    falls, zero = _PATTERNS[(middle + round(job.readings["stone_diameter"].value / step)) % len(_PATTERNS)]
    read = tuple(round((middle + zero + fall) * step, 6) for fall in falls)
    return WorkshopReadings(read, round(zero * step, 6), step, row.amount("instrument_uncertainty"))


def work_value(job: JobInHand) -> Worked:
    """The size of the wire: the mean, less what the closed gauge shows."""
    read = workshop_readings(job)
    of_all, zero = mean(read.in_mm), read.zero
    places = ("first", "second", "third", "fourth", "fifth")
    return Worked(
        read.found.value,
        {
            "zero error left in": of_all,
            "zero error with the wrong sign": of_all + zero,
            "largest reading": max(read.in_mm) - zero,
            "largest reading, zero error left in": max(read.in_mm),
            "middle reading": median(read.in_mm) - zero,
            "middle reading, zero error left in": median(read.in_mm),
            "smallest reading": min(read.in_mm) - zero,
        },
        {
            **dict(zip(places, read.in_mm, strict=True)),
            "readings": read.in_mm,
            "count": len(read.in_mm),
            "gauge": GAUGE,
            "zero": zero,
            "mean": of_all,
            "size": of_all - zero,
        },
    )


def _scatter(read: WorkshopReadings) -> float:
    """Standard deviation of one reading, in µm."""
    return 1000 * stdev(read.in_mm)


def work_scatter(job: JobInHand) -> Worked:
    """How far the readings scatter, in µm."""
    read = workshop_readings(job).in_mm
    scatter, apart = _scatter(workshop_readings(job)), 1000 * (max(read) - min(read))
    distances = [1000 * (reading - mean(read)) for reading in read]
    squares = math.fsum(each**2 for each in distances)
    return Worked(
        scatter,
        {
            "divided by n": 1000 * pstdev(read),
            "largest less smallest": apart,
            "half of largest less smallest": apart / 2,
            "mean distance": mean(abs(each) for each in distances),
            "root forgotten": scatter**2,
        },
        {
            "readings": read,
            "distances": distances,
            "squares": squares,
            "one_less": len(read) - 1,
            "divided": squares / (len(read) - 1),
            "scatter": scatter,
        },
    )


def work_step(job: JobInHand) -> Worked:
    """The standard uncertainty that the division of the gauge leaves, in µm."""
    read = workshop_readings(job)
    step, root = 1000 * read.step, math.sqrt(3)
    doubt = step / 2 / root
    return Worked(
        doubt,
        {
            "whole division for half": step / root,
            "half a division": step / 2,
            "whole division": step,
            "divided by three": step / 6,
        },
        {"gauge": GAUGE, "step": read.step, "half": step / 2, "root_of_three": root, "doubt": doubt},
    )


def _parts(read: WorkshopReadings) -> tuple[float, float, float]:
    """Doubt of the mean by scatter, by the division, and by the gauge itself, in µm."""
    return (
        _scatter(read) / math.sqrt(len(read.in_mm)),
        1000 * read.step / 2 / math.sqrt(3),
        1000 * read.gauge,
    )


def _in_um(value: Any) -> float:
    return float(1000 * value.m_as("mm"))


def work_together(job: JobInHand) -> Worked:
    """The standard uncertainty of the mean, in µm."""
    read = workshop_readings(job)
    count, scatter, doubt = len(read.in_mm), _scatter(read), _in_um(read.found.standard_uncertainty)
    of_mean, of_step, of_gauge = _parts(read)
    return Worked(
        doubt,
        {
            "added straight": of_mean + of_step + of_gauge,
            "scatter of one reading": math.hypot(scatter, of_step, of_gauge),
            "divided by n": math.hypot(scatter / count, of_step, of_gauge),
            "gauge left out": math.hypot(of_mean, of_step),
            "scatter divided by n for n - 1": math.hypot(
                1000 * pstdev(read.in_mm) / math.sqrt(count), of_step, of_gauge
            ),
        },
        {
            "count": count,
            "scatter": scatter,
            "of_mean": of_mean,
            "of_step": of_step,
            "of_gauge": of_gauge,
            "doubt": doubt,
        },
    )


def work_band(job: JobInHand) -> Worked:
    """The band to one side for 95 times out of 100, in µm."""
    read = workshop_readings(job)
    found, count = read.found, len(read.in_mm)
    doubt, band = _in_um(found.standard_uncertainty), _in_um(found.expanded())
    return Worked(
        band,
        {
            "standard for expanded": doubt,
            "factor 2 for few readings": 2 * doubt,
            "whole width": 2 * band,
            "factor for n - 1": coverage(count - 1) * doubt,
        },
        {
            "count": count,
            "factor": coverage(found.degrees_of_freedom),
            "freedom": found.degrees_of_freedom,
            "as_readings": found.degrees_of_freedom + 1,
            "doubt": doubt,
            "band": band,
            "size": found.value.m_as("mm"),
            "band_mm": band / 1000,
        },
    )


def work_enough(job: JobInHand) -> Worked:
    """From how many readings on the scatter leaves no more doubt than the gauge."""
    read = workshop_readings(job)
    scatter, of_gauge = _scatter(read), math.hypot(*_parts(read)[1:])
    enough = readings_enough(quantity(scatter, "um"), quantity(of_gauge, "um"))
    taken, without_factor = len(read.in_mm), math.ceil((scatter / of_gauge) ** 2)

    def scatter_band(count: int) -> float:
        return coverage(count - 1) * scatter / math.sqrt(count)

    return Worked(
        enough,
        {
            "one too few": enough - 1,
            "factor left out": without_factor if without_factor < enough - 1 else None,
            "as many as were taken": None if enough == taken else taken,
            "as many as the slider has": 30,
        },
        {
            "gauge_band": coverage(math.inf) * of_gauge,
            "one_fewer": enough - 1,
            "band_with_one_fewer": scatter_band(enough - 1),
            "enough": enough,
            "band_with_enough": scatter_band(enough),
        },
    )


def work_matters(job: JobInHand) -> Worked:
    """The reading that puts most doubt into the weight, among four."""
    ranked = doubt_shares(job.plan(), RESULT)
    most, *others = _suspects(job, ranked)
    slips = dict(zip(("less doubtful size", "large size", "small size"), others, strict=True))
    return Worked(
        most,
        slips,
        {
            **{name.replace(" ", "_"): _doubt_of(key, ranked, job) for name, key in slips.items()},
            "shares": [
                say("line", at=at, part=label_of(key), share=_percent(share))
                for at, (key, share) in enumerate(ranked[:4], 1)
            ],
            "share": _percent(share_of_measuring(job.plan(), RESULT)),
        },
        shown={key: label_of(key) for key in sorted([most, *others], key=label_of)},
    )


def _suspects(job: JobInHand, ranked: Sequence[tuple[str, float]]) -> list[str]:
    """Four readings: the one that puts most doubt into the weight, and three that put clearly less."""
    most, share = ranked[0]
    less = [key for key, each in ranked[1:] if each < 0.8 * share]
    largest = max(pattern_sizes(job), key=lambda key: _length(key, job))
    finest = min(pattern_sizes(job), key=lambda key: _length(key, job) or math.inf)
    chosen = dict.fromkeys([less[0], largest, finest, *less])
    return [most, *[key for key in chosen if key != most][:3]]


def _length(key: str, job: JobInHand) -> float:
    found = job.measured[key].value
    return float(found.m_as("mm")) if found.is_compatible_with("mm") else 0.0


def _doubt_of(key: str, ranked: Sequence[tuple[str, float]], job: JobInHand) -> Say:
    """What a reading leaves in doubt, as the learner is told who chose it."""
    found = job.measured[key]
    unit = f"{found.value.units:~P}"
    return say(
        "doubt_of_size",
        part=label_of(key),
        share=_percent(dict(ranked).get(key, 0.0)),
        size=found.value.m_as(unit),
        band=found.expanded().m_as(unit),
        unit=unit,
    )


def _percent(share: float) -> Say:
    return say("percent", percent=100 * share) if share >= 0.01 else say("hardly_any")
