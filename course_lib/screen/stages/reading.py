"""Lesson 01: readings of one wire, and how far they may be trusted.

More readings, a zero error, another gauge: what each does to the size and to its doubt.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean, stdev
from typing import TYPE_CHECKING, Any

import numpy as np

from course_lib.bench.measuring import combine_readings, coverage
from course_lib.bench.tables import find
from course_lib.screen.charts import Chart
from course_lib.screen.drafting import Placed
from course_lib.screen.sheet import GREY, INK, PALE, PAPER, Look, Sheet
from course_lib.screen.stage import Control, Count, Pick, Seen, Size, Stage, Values

if TYPE_CHECKING:
    from course_lib.screen.panel import Panel

GAUGES = ("micrometer", "caliper", "vernier caliper")
MOST_READINGS = 30
FURTHEST_ZERO = 20  # µm
_ALWAYS = math.inf
_BAND, _LESS, _READ = 0.5, 1.5, 3.2  # heights of the rows on the enlarged scale
_SEEN = 0.040  # the enlarged scale reaches so far to either side, in mm
_WIDEST_BAR = 15.0  # in µm


@dataclass(frozen=True)
class Trust:
    """A size and the parts of its doubt: `value` in mm, the others as standard uncertainties in µm.

    `scatter` gets smaller with more readings; `gauge` does not. `together` is both. The others are for
    95 %: `band` of both, and what each part alone would leave.
    """

    value: float
    scatter: float
    gauge: float
    together: float
    band: float
    scatter_band: float
    gauge_band: float


def trust(readings: Sequence[float], count: int, zero: float, gauge: str) -> Trust:
    """What so many readings with this gauge would tell.

    Args:
        readings: what a fine gauge read, in mm, two or more; a coarser gauge rounds them to its division.
        count: how many readings are taken, two or more; those beyond the given ones are imagined alike.
        zero: what the closed gauge shows, in mm.
        gauge: an instrument of data/instruments.csv.

    Returns:
        The size and its doubts.

    >>> few, many = (trust([0.803, 0.809, 0.801], n, 0.004, "micrometer") for n in (3, 30))
    >>> few.gauge == many.gauge, few.scatter > many.scatter
    (True, True)
    """
    row = find("instruments", "instrument", gauge, "an instrument")
    step, own = row.amount("resolution"), row.amount("instrument_uncertainty")
    seen = as_shown(readings, step)
    imagined = alike(fmean(seen), stdev(seen), count)
    found = combine_readings(imagined, step, zero, own)
    scatter = 1000 * stdev(seen) / math.sqrt(count)
    gauge_alone = 1000 * math.hypot(step / 2 / math.sqrt(3), own)
    together = 1000 * found.standard_uncertainty
    return Trust(
        found.value,
        scatter,
        gauge_alone,
        together,
        coverage(found.degrees_of_freedom) * together,
        coverage(count - 1) * scatter,
        coverage(_ALWAYS) * gauge_alone,
    )


def as_shown(readings: Sequence[float], step: float) -> list[float]:
    """Readings as a gauge with this division shows them.

    >>> as_shown([0.803, 0.811], 0.01)
    [0.8, 0.81]
    """
    return [round(round(reading / step) * step, 6) for reading in readings]


def alike(middle: float, scatter: float, count: int) -> list[float]:
    """So many readings with this mean and this standard deviation, evenly spread.

    Args:
        middle: the mean, in any one unit.
        scatter: the standard deviation, in the same unit.
        count: how many, two or more.

    Returns:
        The readings, lowest first, in the same unit.

    >>> alike(5.0, 1.0, 3)
    [4.0, 5.0, 6.0]
    """
    places = [place - (count - 1) / 2 for place in range(count)]
    spread = stdev(places)
    return [middle + scatter * place / spread for place in places]


def words(found: Trust, count: int, gauge: str) -> list[str]:
    """What the panel says, a line each."""
    return [
        f"{count} readings with the {gauge}: {found.value:.3f} mm ± {found.band / 1000:.3f} mm",
        f"the scatter alone would leave ± {found.scatter_band:.2f} µm (95 %)",
        f"the gauge alone would leave ± {found.gauge_band:.2f} µm (95 %), however often it is read",
    ]


class ReadingStage(Stage):
    """The wire to scale, its edge enlarged with the readings and the band, and the doubts as bars."""

    title = "Readings"
    paper = (150.0, 66.0)

    def __init__(self, readings: Sequence[float], zero: float, called: str = "wire") -> None:
        self.readings, self.zero, self.called = tuple(readings), zero, called
        self.middle = round(fmean(readings) - zero, 3)
        self.scale = max(1, math.floor(24 / self.middle))

    def controls(self) -> Sequence[Control]:
        """How many readings, what the closed gauge shows, and which gauge."""
        count = len(self.readings)
        return (
            Count(key="count", label="readings", pattern=count, least=2, most=MOST_READINGS),
            Size(
                key="zero", label="closed gauge", pattern=round(1000 * self.zero), least=-FURTHEST_ZERO,
                most=FURTHEST_ZERO, step=1, unit="um",
            ),
            Pick(key="gauge", label="gauge", pattern=GAUGES[0], options=GAUGES),
        )  # fmt: skip

    def see(self, at: Values) -> Seen:
        """The size and its band. How long the bars are is to be judged by eye: lesson 01 asks for it."""
        count, zero, gauge = at["count"], at["zero"] / 1000, at["gauge"]
        found = trust(self.readings, count, zero, gauge)
        rows = [
            (f"{count} readings, {gauge}", f"{found.value:.3f} mm ± {found.band / 1000:.3f} mm"),
            ("the scatter alone would leave", f"± {found.scatter_band:.2f} µm"),
            ("the gauge alone, however often", f"± {found.gauge_band:.2f} µm"),
        ]
        return Seen(rows=rows, words="; ".join(words(found, count, gauge)) + ".", made=(found, zero, gauge))

    def draw_still(self, sheet: Sheet) -> None:
        """The scales, and what stands in each row."""
        sheet.lettering((3, 60), f"the {self.called}, {self.scale} : 1", 8, True)
        sheet.lettering((52, 60), "the same size, enlarged (mm)", 8, True)
        enlarged, bars = self._enlarged(sheet), self._bars(sheet)
        ticks = [round(self.middle + at * 0.01, 3) for at in range(-4, 5, 2)]
        enlarged.scale_below("", ticks, "{:.3f}".format)
        for name, row in (("band", _BAND), ("less zero", _LESS), ("read", _READ)):
            sheet.lettering((50, float(enlarged.y(row)) - 0.8), name, 7, side="right")
        bars.scale_below("standard uncertainty (µm)", [0, 5, 10, 15])
        for name, row in (("scatter", 2), ("gauge", 1), ("together", 0)):
            sheet.lettering((70, float(bars.y(row)) - 0.8), name, 7, side="right")

    def draw(self, sheet: Sheet, seen: Seen) -> None:
        """The wire, the readings with their band, and the bars."""
        found, zero, gauge = seen.made
        wire = Placed(sheet, 20, 36, self.scale)
        wire.circle(found.value, fill=PALE)
        half = found.value / 2
        wire.dimension([-half, 0], [half, 0], -16, f"{found.value:.3f}", "x", 8)
        self._readings(self._enlarged(sheet), found, zero, gauge)
        self._doubts(self._bars(sheet), found)

    def _enlarged(self, sheet: Sheet) -> Chart:
        return Chart(sheet, 52, 36, 92, 21, (self.middle - _SEEN, self.middle + _SEEN), (0, 4.8))

    def _bars(self, sheet: Sheet) -> Chart:
        return Chart(sheet, 72, 10, 72, 15, (0, _WIDEST_BAR), (-0.6, 2.6))

    def _readings(self, chart: Chart, found: "Trust", zero: float, gauge: str) -> None:
        step = find("instruments", "instrument", gauge, "an instrument").amount("resolution")
        read = as_shown(self.readings, step)
        less = [reading - zero for reading in read]
        for sizes, row, fill in ((read, _READ, PAPER), (less, _LESS, INK)):
            for size, height in zip(sizes, stacked(sizes, row), strict=True):
                if abs(size - self.middle) <= _SEEN:
                    chart.sheet.circle(
                        (float(chart.x(size)), float(chart.y(height))), 1.4, Look(fill, INK, 0.7)
                    )
        self._mean_and_band(chart, found)

    def _mean_and_band(self, chart: Chart, found: "Trust") -> None:
        edge = (self.middle - _SEEN, self.middle + _SEEN)
        mean, band = float(np.clip(found.value, *edge)), found.band / 1000
        chart.curve([mean, mean], [0, _LESS + 0.6], Look(None, GREY, 0.8, "dashed"))
        ends = np.clip([found.value - band, found.value + band], *edge)
        chart.curve(ends, [_BAND, _BAND], Look(None, INK, 2.5))
        for end in ends:
            chart.curve([end, end], [_BAND - 0.25, _BAND + 0.25], Look(None, INK, 1.0))
        if abs(found.value - self.middle) + band > _SEEN:
            at = (chart.left + chart.wide, chart.low + chart.high - 2)
            chart.sheet.lettering(at, "the band goes on beyond the picture", 7, side="right")

    def _doubts(self, chart: Chart, found: "Trust") -> None:
        """No figures on the bars: what they come to is asked in the lesson."""
        sizes = ((found.scatter, 2, "rising"), (found.gauge, 1, "falling"), (found.together, 0, "solid"))
        for size, row, hatch in sizes:
            chart.bar(0, min(size, _WIDEST_BAR), row, 3.2, hatch)
            if size > _WIDEST_BAR:
                at = (chart.left + chart.wide - 1, float(chart.y(row)) - 0.8)
                chart.sheet.lettering(at, "longer →", 7, side="right")


def stacked(readings: Sequence[float], row: float) -> list[float]:
    """Heights at which equal readings stand one over the other.

    >>> stacked([0.80, 0.81, 0.80], 1.0)
    [1.0, 1.0, 1.3]
    """
    return [row + 0.3 * list(readings[:at]).count(reading) for at, reading in enumerate(readings)]


def reading_panel(readings: Sequence[Any], zero_error: Any, called: str = "wire") -> "Panel":
    """A panel to play with repeated readings.

    Args:
        readings: two or more, as quantities.
        zero_error: what the closed gauge shows, a quantity.
        called: what was measured.

    Returns:
        The panel; a notebook shows it.
    """
    # here and not above, so that a figure can be drawn where there are no sliders
    from course_lib.screen.panel import Panel

    return Panel(ReadingStage([float(r.m_as("mm")) for r in readings], float(zero_error.m_as("mm")), called))
