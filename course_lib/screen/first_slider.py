"""The first slider: one wire from its end, to scale, and its size in the ways people write it."""

import base64
import html
import io
import math
from dataclasses import dataclass
from typing import Any

import matplotlib
import numpy as np
from matplotlib.figure import Figure
from matplotlib.patches import Circle

from course_lib.bench.units import gauge_size, nearest_gauge, quantity

INK, GREY, PALE = "black", "0.45", "0.85"
_MM_PER_INCH = 25.4
_FINEST_FRACTION = 64
_SLIDER_STEP = 0.01
_SMALLEST, _LARGEST = 0.2, 3.0
_WIDGET = "application/vnd.jupyter.widget-view+json"


@dataclass(frozen=True)
class Writings:
    """One size as people write it: `mm`, thousandths of an inch, the nearest fraction and gauge number."""

    mm: float
    thou: float
    fraction: str
    gauge: int
    gauge_mm: float

    def lines(self) -> list[str]:
        """A line for each way of writing."""
        point = f"{self.mm:.2f}"
        return [
            f"{point} mm, or with a comma {point.replace('.', ',')} mm",
            f"{self.thou:.1f} thou (thousandths of an inch)",
            f"nearest fraction of an inch: {self.fraction} in",
            f"nearest gauge number: {self.gauge} AWG, which is {self.gauge_mm:.3f} mm",
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


class WirePicture:
    """The end of a wire before the end of the pattern's wire. Its lines are kept and only moved."""

    def __init__(self, pattern: float, most: float, called: str = "wire") -> None:
        self.pattern = pattern
        self.called = called
        half = most / 2
        self.figure = Figure(figsize=(4.2, 3.0))
        axes = self.figure.add_axes((0.0, 0.0, 1.0, 1.0))
        # as wide for its height as the figure, so that the wire is round
        axes.set_xlim(-1.96 * half, 1.96 * half)
        axes.set_ylim(-1.45 * half, 1.35 * half)
        axes.set_axis_off()
        self._still(axes, half)
        self._wire = Circle((0, 0), 0.1, facecolor=PALE, edgecolor=INK, linewidth=1.4)
        axes.add_patch(self._wire)
        self._across = axes.plot([], [], color=INK, linewidth=0.6, marker="|", markersize=7)[0]
        self._figure_over = axes.text(0, 0.02 * half, "", ha="center", va="bottom", fontsize=9)

    def _still(self, axes: Any, half: float) -> None:
        """What never moves: the pattern's wire and a bar of one millimetre."""
        pattern = Circle((0, 0), self.pattern / 2, fill=False, edgecolor=GREY, linewidth=1.2, linestyle="--")
        pattern.set_zorder(3)
        axes.add_patch(pattern)
        low = -1.2 * half
        axes.plot([-0.5, 0.5], [low, low], color=INK, linewidth=1.2, marker="|", markersize=9)
        axes.text(0, low - 0.04 * half, "1 mm", ha="center", va="top", fontsize=8)
        words = f"dashed: the pattern's {self.called}"
        axes.text(-1.9 * half, 1.3 * half, words, fontsize=8, color="0.3", va="top")

    def words(self, diameter: float) -> str:
        """What the picture shows, for whoever does not see it."""
        more = diameter - self.pattern
        if abs(more) < _SLIDER_STEP / 2:
            beside = "as thick as"
        else:
            beside = f"{abs(more):.2f} mm {'thicker' if more > 0 else 'thinner'} than"
        pattern = f"the pattern's {self.called} of {self.pattern:.2f} mm"
        return f"A round wire of {diameter:.2f} mm from its end, {beside} {pattern}."

    def drawn(self, diameter: float) -> str:
        """The picture for one diameter, as part of a page."""
        self._wire.set_radius(diameter / 2)
        self._across.set_data([-diameter / 2, diameter / 2], [0, 0])
        self._figure_over.set_text(f"{diameter:.2f} mm")
        return picture(self.figure, self.words(diameter))


def picture(figure: Figure, words: str) -> str:
    """A figure as an image with its text alternative."""
    out = io.BytesIO()
    # the same picture must always be the same text, so that it can be compared
    with matplotlib.rc_context({"svg.hashsalt": "course", "svg.fonttype": "path"}):
        figure.savefig(out, format="svg", metadata={"Date": None})
    data = base64.b64encode(out.getvalue()).decode("ascii")
    return f'<img alt="{html.escape(words)}" src="data:image/svg+xml;base64,{data}">'


class FirstSlider:
    """The panel: a slider for the wire, its picture, and its size in words."""

    def __init__(self, wire: float, called: str) -> None:
        import ipywidgets as widgets

        least, most = slider_range(wire)
        self._picture = WirePicture(wire, most, called)
        self.slider = widgets.FloatSlider(
            value=float(np.clip(round(wire, 2), least, most)),
            min=least,
            max=most,
            step=_SLIDER_STEP,
            description="Wire, mm",
            readout_format=".2f",
            layout=widgets.Layout(width="30em"),
        )
        self.image, self.said = widgets.HTML(), widgets.HTML()
        self.slider.observe(self._show, "value")
        self.view = widgets.VBox([self.slider, widgets.HBox([self.image, self.said])])
        self._show()

    def _show(self, _: object = None) -> None:
        size = self.slider.value
        self.image.value = self._picture.drawn(size)
        lines = "".join(f"<li>{html.escape(line)}</li>" for line in writings(size).lines())
        self.said.value = f"<ul>{lines}</ul>"

    def __repr__(self) -> str:
        return self._picture.words(self.slider.value)

    def _repr_mimebundle_(self, **_: Any) -> dict[str, Any]:
        return {"text/plain": repr(self), _WIDGET: self.view._repr_mimebundle_()[_WIDGET]}


def first_slider(wire: Any, called: str = "wire") -> FirstSlider:
    """A panel with one slider.

    Args:
        wire: the pattern's wire, a quantity; the slider goes from half to one and a half of it.
        called: which wire it is.

    Returns:
        The panel; a notebook shows it.
    """
    return FirstSlider(float(wire.m_as("mm")), called)
