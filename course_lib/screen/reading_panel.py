"""Readings of one wire, and how far they may be trusted: more readings, a zero error, another gauge."""

import html
import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean, stdev
from typing import Any

from matplotlib.figure import Figure
from matplotlib.patches import Circle

from course_lib.bench.measuring import combine_readings, coverage
from course_lib.bench.tables import find
from course_lib.screen.first_slider import GREY, INK, PALE, picture

GAUGES = ("micrometer", "caliper", "vernier caliper")
MOST_READINGS = 30
_ALWAYS = math.inf
_BAND, _LESS, _READ = 0.5, 1.5, 3.2  # heights of the rows on the enlarged scale
_SEEN = 0.040  # the enlarged scale reaches so far to either side, in mm
_WIDEST_BAR = 15.0  # in µm
_LABEL = {"facecolor": "white", "edgecolor": "none", "pad": 1.0}
_WIDGET = "application/vnd.jupyter.widget-view+json"


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
        readings: what a fine gauge read, in mm, two or more; a coarser gauge shows them rounded to its step.
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
    step, own = float(row["resolution"]), float(row["instrument_uncertainty"])
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
    """Readings as a gauge with this step shows them.

    >>> as_shown([0.803, 0.811], 0.01)
    [0.8, 0.81]
    """
    return [round(round(reading / step) * step, 6) for reading in readings]


def alike(middle: float, scatter: float, count: int) -> list[float]:
    """So many readings with this mean and this standard deviation, evenly spread.

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


class ReadingPicture:
    """The wire to scale, its edge enlarged with the readings and the band, and the doubts as bars.

    The still parts are drawn once; the readings, the band and the bars are kept and only moved.
    """

    def __init__(self, readings: Sequence[float], zero: float, called: str) -> None:
        self.readings = readings
        self.called = called
        self.middle = round(fmean(readings) - zero, 3)
        self.figure = Figure(figsize=(7.6, 3.5))
        self._wire(self.figure.add_axes((0.01, 0.14, 0.24, 0.74)))
        self._edge(self.figure.add_axes((0.31, 0.53, 0.66, 0.36)))
        self._bars(self.figure.add_axes((0.45, 0.12, 0.52, 0.24)))

    def _wire(self, axes: Any) -> None:
        half = self.middle / 2
        # room for the bar of one millimetre, and as wide for its height as the axes: so the wire is round
        reach = max(1.25 * half, 0.56)
        axes.set_xlim(-reach, reach)
        axes.set_ylim(-1.62 * reach, 1.23 * reach)
        axes.set_axis_off()
        axes.set_title(f"the {self.called}, to scale", fontsize=8)
        self._round = Circle((0, 0), half, facecolor=PALE, edgecolor=INK, linewidth=1.4)
        axes.add_patch(self._round)
        self._across = axes.plot([], [], color=INK, linewidth=0.6, marker="|", markersize=7)[0]
        self._size = axes.text(0, 0.06 * half, "", ha="center", va="bottom", fontsize=8)
        low = -1.15 * reach
        axes.text(0, low - 0.06 * reach, "1 mm", ha="center", va="top", fontsize=7)
        axes.plot([-0.5, 0.5], [low, low], color=INK, linewidth=1.0, marker="|", markersize=6)

    def _edge(self, axes: Any) -> None:
        axes.set_xlim(self.middle - _SEEN, self.middle + _SEEN)
        axes.set_ylim(0, 4.8)
        axes.set_yticks([_BAND, _LESS, _READ], ["band", "less zero", "read"], fontsize=7)
        axes.tick_params(axis="x", labelsize=7)
        axes.set_title("the same size, enlarged (mm)", fontsize=8)
        for side in ("top", "right", "left"):
            axes.spines[side].set_visible(False)
        axes.tick_params(axis="y", length=0)
        mark = {"linestyle": "none", "color": INK, "markersize": 5}
        self._read = axes.plot([], [], marker="o", markerfacecolor="white", **mark)[0]
        self._less = axes.plot([], [], marker="o", **mark)[0]
        self._mean = axes.plot([], [], color=GREY, linewidth=1.0, linestyle="--")[0]
        self._band = axes.plot([], [], color=INK, linewidth=3.5, solid_capstyle="butt")[0]
        self._ends = axes.plot([], [], color=INK, linestyle="none", marker="|", markersize=12)[0]
        self._beyond = axes.text(0.99, 0.97, "", transform=axes.transAxes, ha="right", va="top", fontsize=7)

    def _bars(self, axes: Any) -> None:
        axes.set_xlim(0, _WIDEST_BAR)
        axes.set_ylim(-0.6, 2.6)
        names = ["scatter", "gauge", "together"]
        axes.set_yticks([2, 1, 0], names, fontsize=8)
        axes.tick_params(axis="x", labelsize=7)
        axes.set_title("standard uncertainty (µm)", fontsize=8)
        for side in ("top", "right"):
            axes.spines[side].set_visible(False)
        looks = (("white", "///"), ("white", "\\\\\\"), (GREY, None))
        drawn = axes.barh([2, 1, 0], [0, 0, 0], height=0.62, edgecolor=INK, linewidth=0.8)
        self._bar = list(drawn)
        for bar, (fill, hatch) in zip(self._bar, looks, strict=True):
            bar.set_facecolor(fill)
            bar.set_hatch(hatch)
        place = 0.97 * _WIDEST_BAR
        self._arrows = [
            axes.text(place, y, "", ha="right", va="center", fontsize=7, bbox=_LABEL) for y in (2, 1, 0)
        ]

    def drawn(self, found: Trust, zero: float, count: int, gauge: str) -> str:
        """The picture, as part of a page."""
        step = float(find("instruments", "instrument", gauge, "an instrument")["resolution"])
        read = as_shown(self.readings, step)
        less = [reading - zero for reading in read]
        band = found.band / 1000
        self._round.set_radius(found.value / 2)
        self._across.set_data([-found.value / 2, found.value / 2], [0, 0])
        self._size.set_text(f"{found.value:.3f} mm")
        self._read.set_data(read, stacked(read, _READ))
        self._less.set_data(less, stacked(less, _LESS))
        self._mean.set_data([found.value] * 2, [0, _LESS + 0.6])
        for line in (self._band, self._ends):
            line.set_data([found.value - band, found.value + band], [_BAND, _BAND])
        outside = abs(found.value - self.middle) + band > _SEEN
        self._beyond.set_text("the band goes on beyond the picture" if outside else "")
        self._move_bars((found.scatter, found.gauge, found.together))
        return picture(self.figure, "; ".join(words(found, count, gauge)) + ".")

    def _move_bars(self, sizes: Sequence[float]) -> None:
        """No figures on the bars: what they come to is asked in the lesson."""
        for bar, arrow, size in zip(self._bar, self._arrows, sizes, strict=True):
            bar.set_width(min(size, _WIDEST_BAR))
            arrow.set_text("longer →" if size > _WIDEST_BAR else "")


def stacked(readings: Sequence[float], row: float) -> list[float]:
    """Heights at which equal readings stand one over the other.

    >>> stacked([0.80, 0.81, 0.80], 1.0)
    [1.0, 1.0, 1.3]
    """
    return [row + 0.3 * list(readings[:at]).count(reading) for at, reading in enumerate(readings)]


class ReadingPanel:
    """The panel: sliders for the number of readings and the zero error, a list of gauges, and the picture."""

    def __init__(self, readings: Sequence[float], zero: float, called: str) -> None:
        import ipywidgets as widgets

        self._readings = readings
        self._picture = ReadingPicture(readings, zero, called)
        wide = widgets.Layout(width="34em")
        label = {"description_width": "9em"}
        self.count = widgets.IntSlider(
            value=len(readings), min=2, max=MOST_READINGS, description="readings", style=label, layout=wide
        )
        self.zero = widgets.IntSlider(
            value=round(1000 * zero),
            min=-20,
            max=20,
            description="closed gauge, µm",
            style=label,
            layout=wide,
        )
        self.gauge = widgets.Dropdown(options=GAUGES, description="gauge", style=label)
        self.image, self.said = widgets.HTML(), widgets.HTML()
        for control in (self.count, self.zero, self.gauge):
            control.observe(self._show, "value")
        self.view = widgets.VBox([self.count, self.zero, self.gauge, self.image, self.said])
        self._show()

    def _found(self) -> Trust:
        return trust(self._readings, self.count.value, self.zero.value / 1000, self.gauge.value)

    def _show(self, _: object = None) -> None:
        found = self._found()
        count, gauge = self.count.value, self.gauge.value
        self.image.value = self._picture.drawn(found, self.zero.value / 1000, count, gauge)
        lines = "".join(f"<li>{html.escape(line)}</li>" for line in words(found, count, gauge))
        self.said.value = f"<ul>{lines}</ul>"

    def __repr__(self) -> str:
        return "\n".join(words(self._found(), self.count.value, self.gauge.value))

    def _repr_mimebundle_(self, **_: Any) -> dict[str, Any]:
        return {"text/plain": repr(self), _WIDGET: self.view._repr_mimebundle_()[_WIDGET]}


def reading_panel(readings: Sequence[Any], zero_error: Any, called: str = "wire") -> ReadingPanel:
    """A panel to play with repeated readings.

    Args:
        readings: two or more, as quantities.
        zero_error: what the closed gauge shows, a quantity.
        called: what was measured.

    Returns:
        The panel; a notebook shows it.
    """
    return ReadingPanel([float(r.m_as("mm")) for r in readings], float(zero_error.m_as("mm")), called)
