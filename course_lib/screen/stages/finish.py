"""Lesson 03, the finish: what each paper and the mop take off, and the size to stop at before them."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from course_lib.bench.finish import grain_um, marks_left, stock_size
from course_lib.bench.job import Plan
from course_lib.bench.suspicions import Remark
from course_lib.bench.tables import numbers_of, rows_of
from course_lib.screen.drafting import Placed
from course_lib.screen.sheet import GREY, INK, PALE, PAPER, THIN, Look, Sheet
from course_lib.screen.stage import (
    Control,
    Figure,
    Pick,
    Seen,
    Size,
    Stage,
    Values,
    Walk,
    around,
    drawn_figure,
)

NONE_SKIPPED = "none"
PARTS = {
    "back plate": "plate_thickness", "scroll strip": "strip_thickness", "gallery ring wire": "ring_wire",
    "claw wire": "claw_wire", "post wire": "post_wire",
}  # fmt: skip
# Common practice: a paper with less than this share of the grain before it takes for ever to clear its marks.
_LEAP = 0.35


@dataclass(frozen=True)
class _Taken:
    """Layers on one face: what each step takes, in mm, the coarsest first."""

    part: str
    finished: float
    before: float
    steps: tuple[str, ...]
    takes: tuple[float, ...]
    done: int
    stock: float
    is_wire: bool


class FinishStage(Stage):
    """A face of the metal, far enlarged: the layers that papers and mop take, and the ladder of grains."""

    title = "Finish"
    paper = (150.0, 88.0)

    def __init__(self, plan: Plan) -> None:
        super().__init__(plan)
        self.papers = plan.job.choices.papers
        self.share = plan.job.choices["grain_share"]
        self.mop = plan.job.choices["polishing"]
        self.read = {part: plan.job.readings[key].value for part, key in PARTS.items()}

    def controls(self) -> Sequence[Control]:
        """Part, first paper, a skipped one, the mop, and the steps."""
        grades = [row["grade"] for row in rows_of("abrasives")]
        coarsest = grades.index(self.papers[0])
        first = "back plate"
        return (
            Pick(key="part", label="part", pattern=first, options=tuple(PARTS)),
            around("more", "size against the pattern's", 1.0, 0.01, 0.2, unit=""),
            Pick(
                key="start",
                label="first paper",
                pattern=self.papers[0],
                options=grades[max(0, coarsest - 2) : coarsest + 3],
            ),
            Pick(
                key="skip",
                label="paper left out",
                pattern=NONE_SKIPPED,
                options=(NONE_SKIPPED, *self.papers[1:]),
            ),
            Size(
                key="mop", label="the mop takes", pattern=1000 * self.mop, least=0, most=30, step=1, unit="um"
            ),
            Walk(key="step", label="step"),
        )

    def see(self, at: Values) -> Seen:
        """The layers, the size before papers and mop, and what to stop at."""
        finer = [grade for grade in self.papers if grain_um(grade) < grain_um(at["start"])]
        ladder = tuple(grade for grade in (at["start"], *finer) if grade != at["skip"])
        takes = tuple(float(marks_left.plain(grain_um(grade) / 1000, self.share)) for grade in ladder)
        mop = at["mop"] / 1000
        steps = ("as rolled or drawn", *(f"after {grade}" for grade in ladder), "after the mop")
        part, finished = at["part"], self.read[at["part"]] * at["more"]
        before = float(stock_size.plain(finished, sum(takes) + mop))
        wire = "wire" in part
        stock = _next_size(before, wire, self.plan.job.choices["mill_step"])
        made = _Taken(part, finished, before, ("", *ladder, "mop"), (*takes, mop), at["step"], stock, wire)
        rows = [
            ("finished", f"{finished:.3f} mm"),
            ("papers take, each face", f"{1000 * sum(takes):.0f} µm"),
            ("before the mop", f"{stock_size.plain(finished, mop):.3f} mm"),
            ("before the papers", f"{before:.3f} mm"),
            ("draw to" if wire else "stop rolling at", f"{stock:.2f} mm"),
        ]
        words = (
            f"The {part}, {finished:.3f} mm when finished. Papers {', '.join(ladder)} take "
            f"{1000 * sum(takes):.0f} µm off each face and the mop {1000 * mop:.0f} µm, so it measures "
            f"{before:.3f} "
            f"mm before them. Step {at['step'] + 1}: {steps[min(at['step'], len(steps) - 1)]}."
        )
        return Seen(
            rows=rows, words=words, warnings=list(_warnings(made, ladder)), steps={"step": steps}, made=made
        )

    def draw_still(self, sheet: Sheet) -> None:
        """What each picture is."""
        sheet.lettering((4, 82), "One face, cut through and far enlarged", 8, True)
        sheet.lettering((92, 82), "Whole section, 20 : 1", 8, True)
        sheet.lettering((92, 47), "Grain of the papers, 300 : 1", 8, True)

    def draw(self, sheet: Sheet, seen: Seen) -> None:
        """Layers, section and grains."""
        made: _Taken = seen.made
        self._layers(sheet, made)
        _section(Placed(sheet, 118, 65, 20), made)
        _grains(sheet, made.steps[1:-1], 92.0, 27.0, 55.0)

    def _layers(self, sheet: Sheet, made: _Taken) -> None:
        total = max(sum(made.takes), 1e-6)
        high = min(52.0, 52.0 * total / 0.06)
        left, right, low = 6.0, 50.0, 8.0
        body = np.array([[left, low], [right, low], [right, low + 14], [left, low + 14]])
        sheet.area(body, Look(PAPER, INK, 1.1))
        Placed(sheet, 0, 0, 1).hatch(body, apart=1.6)
        sheet.lettering((right + 2, low + 6), "what stays", 7)
        top = low + 14
        lines = list(zip(made.steps[1:], made.takes, strict=True))
        for at, (name, takes) in reversed(list(enumerate(lines))):
            thick = high * takes / total
            gone = at < made.done
            corners = np.array([[left, top], [right, top], [right, top + thick], [left, top + thick]])
            look = Look(None, GREY, THIN, "dotted") if gone else Look(PALE if at % 2 else PAPER, INK, THIN)
            sheet.area(corners, look)
            if thick >= 2.4:
                said = f"{name} {1000 * takes:.1f} µm" + (", gone" if gone else "")
                sheet.lettering((right + 2, top + thick / 2 - 0.9), said, 7, ink=GREY if gone else INK)
            top += thick

    def figures(self) -> dict[str, Any]:
        """The ladder of papers alone, for reading off it."""
        return {"ladder": self._ladder}

    def _ladder(self) -> Figure:
        words = (
            f"Circles for the grains of the papers {', '.join(self.papers)}, to one scale, with a bar "
            "of 0.1 mm."
        )
        return drawn_figure((120.0, 34.0), lambda sheet: _grains(sheet, self.papers, 6, 18, 108), words)


def _next_size(before: float, wire: bool, step: float) -> float:
    """The next hole of the plate, or the mill's next step, that is no smaller."""
    if wire:
        return min((h for h in numbers_of("drawplate", "diameter_mm") if h >= before - 1e-9), default=before)
    return float(np.ceil(before / step - 1e-9) * step)


def _section(place: Placed, made: _Taken) -> None:
    """The part cut through, finished size within the size before papers; wide parts are broken off."""
    for size, look in (
        (made.before, Look(None, GREY, THIN, "dashed")),
        (made.finished, Look(PAPER, INK, 1.1)),
    ):
        if made.is_wire:
            place.sheet.circle((place.x, place.y), size * place.scale, look, 2 if look.fill else 2.6)
        else:
            half, wide = size / 2, 0.8
            corners = [[-wide, -half], [wide, -half], [wide, half], [-wide, half]]
            place.sheet.area(place.at(corners), look, 2 if look.fill else 2.6)
    half = made.finished / 2
    turned = np.linspace(0, 2 * np.pi, 49)
    disc = half * np.column_stack([np.cos(turned), np.sin(turned)])
    bar = np.array([[-0.8, -half], [0.8, -half], [0.8, half], [-0.8, half]])
    place.hatch(disc if made.is_wire else bar, apart=1.1)
    edge = half if made.is_wire else 0.8
    place.dimension([edge, -half], [edge, half], 5, f"{made.finished:.3f}", "y", 6.5)
    outer = made.before / 2
    far = outer if made.is_wire else 0.8
    place.dimension([-far, -outer], [-far, outer], -4, f"{made.before:.3f}", "y", 6.5)


def _grains(sheet: Sheet, ladder: Sequence[str], left: float, middle: float, wide: float) -> None:
    """A grain of each paper as a circle, to one scale, with a bar of a tenth of a millimetre."""
    scale = 300.0
    widths = [grain_um(grade) / 1000 * scale for grade in ladder]
    room = (wide - sum(widths)) / max(len(ladder) - 1, 1) if len(ladder) > 1 else 0
    room = max(min(room, 6.0), 1.0)
    x = left
    for at, (grade, across) in enumerate(zip(ladder, widths, strict=True)):
        sheet.circle((x + across / 2, middle), across, Look(PALE, INK, 0.7))
        drop = 5.0 if at % 2 == 0 else 8.5
        sheet.lettering((x + across / 2, middle - 8 - drop), grade, 6.5, side="center")
        x += across + room
    sheet.line([[left, middle + 12], [left + 0.1 * scale, middle + 12]], Look(width=1.0))
    sheet.lettering((left + 0.1 * scale + 1.5, middle + 11), "0.1 mm", 6.5)


def _warnings(made: _Taken, ladder: Sequence[str]) -> Iterator[Remark]:
    sizes = [grain_um(grade) for grade in ladder]
    for (one, before), (other, after) in zip(
        zip(ladder, sizes, strict=True), list(zip(ladder, sizes, strict=True))[1:], strict=False
    ):
        if after < _LEAP * before:
            yield Remark(
                f"From {one} to {other} is a leap: {other} hardly takes off the marks that {one} leaves, "
                "and they "
                "come up again under the mop."
            )
    if made.is_wire and made.stock - made.before > 0.04:
        yield Remark(
            f"The plate's next hole is {made.stock:.2f} mm, {1000 * (made.stock - made.before):.0f} µm "
            "more than "
            "needed: take a coarser paper first, and gauge often."
        )
    if made.takes[-1] > 0.015:
        yield Remark("A mop that takes so much rounds every edge. Leave more to the papers.")
    if made.takes[-1] == 0:
        yield Remark("Without the mop the marks of the last paper stay to be seen.")


STAGE = FinishStage
