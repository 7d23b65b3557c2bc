"""Lesson 02, the metal: what an alloy is made of, how heavy it is, and weighing in water."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from course_lib.bench.job import Plan
from course_lib.bench.metal import composition, mixed_density, water_density
from course_lib.bench.suspicions import Remark
from course_lib.bench.tables import find, table_by
from course_lib.screen.drafting import Placed
from course_lib.screen.sheet import GREY, HAIR, INK, PALE, PAPER, THIN, Look, Sheet
from course_lib.screen.stage import Control, Pick, Seen, Size, Stage, Values

PARTS = {
    "gallery ring": "ring_volume", "claws": "claws_volume", "post": "post_volume",
    "back plate": "plate_volume", "scroll": "scroll_volume",
}  # fmt: skip
_HATCH = ("solid", "rising", "falling", "crossed", "none")


@dataclass(frozen=True)
class _Mixed:
    """An alloy by weight and by volume; g/cm3, g, mm3."""

    shares: tuple[tuple[str, float], ...]
    volumes: tuple[tuple[str, float], ...]
    density: float
    part: str
    volume: float
    weight: float
    in_water: float
    water: float


class MetalStage(Stage):
    """Two bars for the alloy, by weight and by volume; a part; and the same part hanging in water."""

    title = "Know the metal"
    paper = (150.0, 82.0)

    def __init__(self, plan: Plan) -> None:
        super().__init__(plan)
        self.recipe = composition(plan.job.alloy)
        self.main = max(self.recipe, key=lambda element: self.recipe[element])
        self.volumes = {part: plan.plain(name) for part, name in PARTS.items()}

    def controls(self) -> Sequence[Control]:
        """How fine, the part, the water, and how much larger the part is."""
        fineness = 1000 * self.recipe[self.main]
        return (
            Size(
                key="fineness", label=f"{_name(self.main)} in 1000 "
                                      "parts", pattern=fineness, least=300, most=999,
                step=1, unit="",
            ),
            Pick(key="part", label="part", pattern="post", options=tuple(PARTS)),
            Size(key="grown", label="its volume", pattern=100, least=50, most=150, step=1, unit="percent"),
            Size(key="water", label="water", pattern=20, least=5, most=35, step=1, unit="degC"),
        )  # fmt: skip

    def see(self, at: Values) -> Seen:
        """Density, weight in air and in water."""
        share = at["fineness"] / 1000
        rest = {e: s for e, s in self.recipe.items() if e != self.main}
        others = sum(rest.values()) or 1.0
        mix = {self.main: share, **{e: (1 - share) * s / others for e, s in rest.items()}}
        density = float(mixed_density(mix))
        known = table_by("elements", "element")
        volumes = {e: s / float(known[e]["density_g_cm3"]) * density for e, s in mix.items()}
        volume = self.volumes[at["part"]] * at["grown"] / 100
        water = float(water_density.plain(at["water"]))
        weight = volume * density / 1000
        in_water = (volume * (density - water)) / 1000
        made = _Mixed(
            tuple(mix.items()), tuple(volumes.items()), density, at["part"], volume, weight, in_water, water
        )
        rows = [(_name(e), f"{100 * s:.1f} % by weight") for e, s in mix.items()]
        rows += [
            ("density", f"{density:.2f} g/cm³"),
            (f"{at['part']}: volume", f"{volume:.2f} mm³"),
            ("weight in air", f"{weight:.4f} g"),
            ("weight in water", f"{in_water:.4f} g"),
            ("water", f"{water:.4f} g/cm³"),
            ("the water carries", f"{weight - in_water:.4f} g"),
        ]
        told = ", ".join(f"{_name(e)} {100 * s:.1f} %" for e, s in mix.items())
        words = (
            f"An alloy of {told} by weight. Its density is {density:.2f} g/cm³. The {at['part']} of "
            f"{volume:.2f} mm³ "
            f"weighs {weight:.4f} g in air and {in_water:.4f} g hanging in water of {at['water']:.0f} °C."
        )
        return Seen(rows=rows, words=words, warnings=list(self._warnings(made)), made=made)

    def draw_still(self, sheet: Sheet) -> None:
        """What each picture is."""
        sheet.lettering((4, 76), "The alloy by weight", 8, True)
        sheet.lettering((54, 76), "and by volume", 8, True)
        sheet.lettering((98, 76), "Weighed in air, and in water", 8, True)

    def draw(self, sheet: Sheet, seen: Seen) -> None:
        """Bars and balances."""
        made: _Mixed = seen.made
        _bar(sheet, 8, made.shares)
        _bar(sheet, 58, made.volumes)
        _hanging(sheet, 110, f"{made.weight:.4f} g", None)
        _hanging(sheet, 134, f"{made.in_water:.4f} g", made.water)

    def _warnings(self, made: _Mixed) -> Iterator[Remark]:
        alloy = self.plan.job.alloy
        if "Ni" in dict(made.shares):
            yield Remark(
                "This recipe holds nickel: it can make skin ill, and the law limits what it may give off. "
                "Ask the "
                "supplier in writing, and do not use it for a post.",
                True,
            )
        fine = int(float(find("alloys", "alloy", alloy, "an alloy")["fineness"]))
        share = 1000 * dict(made.shares)[self.main]
        if share < fine - 0.5:
            yield Remark(
                f"Below {fine} parts in 1000 it may not carry the mark {fine}: a mark is a least value."
            )
        if made.weight < 0.05:
            yield Remark("So light a part needs a balance that shows a ten-thousandth of a gram in water.")


def _name(element: str) -> str:
    return str(table_by("elements", "element")[element]["name"])


def _bar(sheet: Sheet, left: float, shares: Sequence[tuple[str, float]]) -> None:
    """A standing bar built of its shares, each with its name."""
    low, high, wide = 8.0, 62.0, 16.0
    y, last = low, low - 4.0
    flat = Placed(sheet, 0, 0, 1)
    for (element, share), hatch in zip(shares, _HATCH, strict=False):
        top = y + high * share
        corners = np.array([[left, y], [left + wide, y], [left + wide, top], [left, top]])
        sheet.area(corners, Look(PALE if hatch == "solid" else PAPER, INK, THIN))
        for way, falling in (("rising", False), ("falling", True)):
            if hatch in (way, "crossed"):
                flat.hatch(corners, apart=1.4, falling=falling)
        place = max((y + top) / 2 - 0.9, last + 3.4)
        sheet.lettering((left + wide + 1.5, place), f"{_name(element)} {100 * share:.1f} %", 7)
        y, last = top, place


def _hanging(sheet: Sheet, middle: float, shown: str, water: float | None) -> None:
    """A part on its thread under a balance, in air or in a glass of water."""
    box = np.array([[middle - 10, 56], [middle + 10, 56], [middle + 10, 66], [middle - 10, 66]])
    sheet.area(box, Look(PAPER, INK, 1.1))
    sheet.lettering((middle, 60), shown, 7.5, True, side="center")
    sheet.line([[middle, 56], [middle, 26]], Look(width=HAIR))
    sheet.circle((middle, 23.5), 5, Look(PALE, INK, 1.1), 3)
    if water is None:
        sheet.lettering((middle, 8), "in air", 7, side="center")
        return
    glass = [[middle - 9, 40], [middle - 9, 13], [middle + 9, 13], [middle + 9, 40]]
    sheet.line(glass, Look(width=1.1))
    sheet.line([[middle - 9, 36], [middle + 9, 36]], Look(None, GREY, THIN))
    waves = [[middle - 8, y] for y in (18, 21, 24, 27, 30, 33)]
    for x, y in waves:
        sheet.line([[x, y], [x + 3, y], [float("nan")] * 2, [x + 13, y], [x + 16, y]], Look(None, GREY, HAIR))
    sheet.lettering((middle, 8), "in water", 7, side="center")


STAGE = MetalStage
