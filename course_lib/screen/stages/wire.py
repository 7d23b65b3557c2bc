"""Lesson 00, the first slider: one wire from its end, to scale, and its size in the ways people write it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from course_lib.bench.units import gauge_size, nearest_gauge, quantity
from course_lib.screen.drafting import HIDDEN, Placed
from course_lib.screen.sheet import GREY, INK, PALE, Look, Sheet
from course_lib.screen.stage import Control, Seen, Size, Stage, Values

if TYPE_CHECKING:
    from course_lib.screen.panel import Panel

_MM_PER_INCH = 25.4
_FINEST_FRACTION = 64
_SLIDER_STEP = 0.01
_SMALLEST, _LARGEST = 0.2, 3.0


@dataclass(frozen=True)
class Writings:
    """One size as people write it: `mm`, thousandths of an inch, the nearest fraction and gauge number."""

    mm: float
    thou: float
    fraction: str
    gauge: int
    gauge_mm: float

    def rows(self) -> list[tuple[str, str]]:
        """A row for each way of writing."""
        point = f"{self.mm:.2f}"
        return [
            ("with a point", f"{point} mm"),
            ("with a comma", f"{point.replace('.', ',')} mm"),
            ("thousandths of an inch", f"{self.thou:.1f} thou"),
            ("nearest fraction of an inch", f"{self.fraction} in"),
            ("nearest gauge number", f"{self.gauge} AWG"),
            ("that gauge number is", f"{self.gauge_mm:.3f} mm"),
        ]


def writings(diameter: float) -> Writings:
    """A size in mm in the ways people write it.

    >>> writings(0.8).gauge, writings(0.8).fraction
    (20, '1/32')
    """
    inches = diameter / _MM_PER_INCH
    top = max(1, round(inches * _FINEST_FRACTION))
    shared = math.gcd(top, _FINEST_FRACTION)
    gauge = nearest_gauge(quantity(diameter, "mm"))
    return Writings(
        diameter,
        inches * 1000,
        f"{top // shared}/{_FINEST_FRACTION // shared}",
        gauge,
        float(gauge_size(gauge).m_as("mm")),
    )


def slider_range(wire: float) -> tuple[float, float]:
    """From half the pattern's wire to one and a half of it, in whole slider steps.

    >>> slider_range(0.8)
    (0.4, 1.2)
    """
    least, most = max(wire / 2, _SMALLEST), min(wire * 1.5, _LARGEST)
    steps = [round(end / _SLIDER_STEP, 6) for end in (least, most)]
    return round(math.floor(steps[0]) * _SLIDER_STEP, 2), round(math.ceil(steps[1]) * _SLIDER_STEP, 2)


class WireStage(Stage):
    """The end of a wire before the end of the pattern's wire, and its size as people write it."""

    title = "A wire"
    paper = (90.0, 66.0)

    def __init__(self, wire: float, called: str = "wire") -> None:
        self.wire, self.called = wire, called
        self.least, self.most = slider_range(wire)
        self.scale = 50 / self.most

    def controls(self) -> Sequence[Control]:
        """Only the wire."""
        start = min(max(round(self.wire, 2), self.least), self.most)
        return (
            Size(
                key="wire",
                label=self.called,
                pattern=start,
                least=self.least,
                most=self.most,
                step=_SLIDER_STEP,
            ),
        )

    def see(self, at: Values) -> Seen:
        """The size in every way of writing."""
        found = writings(at["wire"])
        return Seen(rows=found.rows(), words=self.words(at["wire"]), made=at["wire"])

    def words(self, diameter: float) -> str:
        """What the picture shows, for whoever does not see it."""
        more = diameter - self.wire
        if abs(more) < _SLIDER_STEP / 2:
            beside = "as thick as"
        else:
            beside = f"{abs(more):.2f} mm {'thicker' if more > 0 else 'thinner'} than"
        pattern = f"the pattern's {self.called} of {self.wire:.2f} mm"
        return f"A round wire of {diameter:.2f} mm from its end, {beside} {pattern}."

    def draw_still(self, sheet: Sheet) -> None:
        """A bar of one millimetre, and what the dashed circle is."""
        place = self._place(sheet)
        half = 0.5 * self.scale
        bar = [[45 - half, 5], [45 + half, 5]]
        ends = [[x, y] for x in (45 - half, 45 + half) for y in (3.8, 6.2)]
        lift = [math.nan, math.nan]
        sheet.line([*bar, lift, *ends[:2], lift, *ends[2:]], Look(None, INK, 1.0))
        sheet.lettering((45 + half + 1.5, 4.2), "1 mm", 8)
        sheet.lettering((3, 61), f"dashed: the pattern's {self.called}", 8, ink=GREY)
        place.centre_cross((0, 0), self.most / 2 + 2 / self.scale)

    def draw(self, sheet: Sheet, seen: Seen) -> None:
        """The wire, the pattern's wire over it, and its diameter."""
        place = self._place(sheet)
        diameter = seen.made
        place.circle(diameter, fill=PALE)
        sheet.circle((place.x, place.y), self.wire * self.scale, HIDDEN, 3)
        place.dimension([-diameter / 2, 0], [diameter / 2, 0], 0, f"{diameter:.2f} mm", letter=9)

    def _place(self, sheet: Sheet) -> Placed:
        return Placed(sheet, 45, 34, self.scale)


def first_slider(wire: Any, called: str = "wire") -> "Panel":
    """A panel with one slider.

    Args:
        wire: the pattern's wire, a quantity; the slider goes from half to one and a half of it.
        called: which wire it is.

    Returns:
        The panel; a notebook shows it.
    """
    # here and not above, so that a figure can be drawn where there are no sliders
    from course_lib.screen.panel import Panel

    return Panel(WireStage(float(wire.m_as("mm")), called))
