"""Lesson 11, weigh and set: part by part against the pattern, and where the metal went."""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from course_lib.bench.lemel import loss_budget
from course_lib.bench.measuring import coverage, difference_band
from course_lib.bench.plan import Plan, metal_without_solder
from course_lib.bench.suspicions import Remark
from course_lib.bench.tables import find
from course_lib.screen.charts import Chart, even_ticks
from course_lib.screen.drafting import Placed
from course_lib.screen.outlines import circle
from course_lib.screen.sheet import GREY, HAIR, INK, PALE, PAPER, SIGNAL, THIN, Look, Sheet
from course_lib.screen.stage import Control, Figure, Seen, Size, Stage, Values, drawn_figure

PARTS = {
    "ring": "ring_weight", "claws": "claws_weight", "post": "post_weight", "solder": "solder_weight",
    "stone": "stone_weight", "plate": "plate_weight", "scroll": "scroll_weight",
}  # fmt: skip
_NUT = ("plate", "scroll")
_AGAINST_THE_PLAN = {
    "wire": "wires against the plan", "plate": "plate thickness", "strip": "strip thickness",
}  # fmt: skip


@dataclass(frozen=True)
class _Weighed:
    """Weights in g: planned and as made, part by part, and the metal's way."""

    planned: dict[str, float]
    made: dict[str, float]
    bands: dict[str, float]
    taken: float
    leaves: float
    back: float
    lost: float

    @property
    def earring(self) -> tuple[float, float]:
        """The earring without its nut: planned, as made."""
        of = [sum(w for p, w in weights.items() if p not in _NUT) for weights in (self.planned, self.made)]
        return of[0], of[1]


class WeighingStage(Stage):
    """Two bars a part, planned and as made, and one long bar for where the metal went."""

    title = "Finish, weigh, set"
    paper = (150.0, 92.0)

    def __init__(self, plan: Plan) -> None:
        super().__init__(plan)
        found = plan.carried.results
        self.planned = {part: found[name].value for part, name in PARTS.items()}
        self.bands = {
            part: coverage(found[name].degrees_of_freedom) * found[name].standard_uncertainty
            for part, name in PARTS.items()
        }
        pattern = plan.job.readings.get("weight")
        self.pattern = pattern.value if pattern else None
        self.agrees = difference_band(found["earring_weight"], pattern) if pattern else None
        sizes = plan.job.readings
        self.claws, self.stone = plan.job.claws, sizes["stone_diameter"].value
        self.ring, self.claw = sizes["ring_wire"].value, sizes["claw_wire"].value
        self.most = 1.4 * max(self.planned.values())

    def controls(self) -> Sequence[Control]:
        """How the hand was off: wires, plate, strip, solder; and what the bench skin keeps."""
        return (
            *(
                Size(key=key, label=label, pattern=100, least=80, most=120, step=1, unit="percent")
                for key, label in _AGAINST_THE_PLAN.items()
            ),
            Size(key="solder", label="solder", pattern=100, least=50, most=400, step=10, unit="percent"),
            Size(
                key="kept", label="bench skin keeps", pattern=100 * self.plan.job.choices["lemel_recovered"],
                least=50, most=100, step=1, unit="percent",
            ),
        )  # fmt: skip

    def see(self, at: Values) -> Seen:
        """Weights as made, and where the metal went."""
        wire, solder = (at["wire"] / 100) ** 2, at["solder"] / 100
        grown = {"ring": wire, "claws": wire, "post": wire, "solder": solder}
        grown |= {"plate": at["plate"] / 100, "scroll": at["strip"] / 100}
        made = {part: weight * grown.get(part, 1.0) for part, weight in self.planned.items()}
        taken = self.plan.metal_taken
        leaves = metal_without_solder(self.plan.carried, taken)
        more = sum(made[p] - self.planned[p] for p in made if p != "solder")
        leaves = min(leaves + more, taken)
        budget = loss_budget.plain(taken, leaves, at["kept"] / 100)
        found = _Weighed(self.planned, made, self.bands, taken, leaves, budget.comes_back, budget.lost)
        planned, now = found.earring
        rows = [("earring, as planned", f"{planned:.3f} g"), ("earring, as made", f"{now:.3f} g")]
        if self.pattern is not None:
            rows.append(("the pattern weighed", f"{self.pattern:.3f} g"))
        rows += [
            ("taken from the drawer", f"{taken:.2f} g"),
            ("in the piece", f"{leaves:.2f} g"),
            ("offcuts and lemel", f"{found.back:.2f} g"),
            ("lost as dust", f"{found.lost:.3f} g"),
        ]
        words = (
            f"Part by part, planned and as made: the earring without its nut comes to {now:.3f} g against "
            f"{planned:.3f} g. Of {taken:.2f} g taken from the drawer, {leaves:.2f} g are in the piece, "
            f"{found.back:.2f} g come back as offcuts and lemel, and {found.lost:.3f} g are lost."
        )
        return Seen(rows=rows, words=words, warnings=list(self._warnings(found)), made=found)

    def figures(self) -> dict[str, Callable[[], Figure]]:
        """Claws by number, a level stone and one askew, and joints with little and with much solder."""
        return {"claws": self._claws, "askew": _askew, "flood": self._flood}

    def _claws(self) -> Figure:
        scale = max(1, int(46 / (self.stone + 2 * self.claw)))

        def draw(sheet: Sheet) -> None:
            sheet.lettering(
                (4, 62), f"Stone and claws from above, before they are pushed, {scale} : 1", 8, True
            )
            place = Placed(sheet, 58, 30, scale)
            place.circle(self.stone, fill=PAPER)
            place.circle(0.55 * self.stone, fill=None, width=THIN, ink=GREY)
            place.centre_cross((0, 0), self.stone / 2 + self.claw + 1 / scale)
            for at in range(self.claws):
                turned = np.radians(90 - 360 * at / self.claws)
                way = np.array([np.cos(turned), np.sin(turned)])
                # its groove takes a third of it, as the bearing does
                place.circle(self.claw, list(way * (self.stone / 2 + self.claw / 6)), PALE, layer=2.3)
                place.lettering(
                    list(way * (self.stone / 2 + self.claw + 3 / scale)), f"{at + 1}", 8, bold=True
                )

        words = (
            f"The stone from above, {self.stone:.2f} mm across, with {self.claws} claws evenly round its "
            "edge. They are numbered from 1 at the top, in the way that a clock goes."
        )
        return drawn_figure((116.0, 67.0), draw, words)

    def _flood(self) -> Figure:
        scale = max(1, int(40 / (self.ring + self.claw)))

        def draw(sheet: Sheet) -> None:
            sheet.lettering((4, 50), f"A joint of two wires, cut through, {scale} : 1", 8, True)
            for left, filled, word in (
                (34, 0.5, "enough: a crisp line"),
                (96, 0.95, "too much: a soft hollow"),
            ):
                _joint(Placed(sheet, left, 26, scale), self.ring, self.claw, filled)
                sheet.lettering((left, 5), word, 7, side="center")

        words = (
            f"Two joints of a wire of {self.ring:.2f} mm with one of {self.claw:.2f} mm, cut through. In the "
            "first, a little solder fills the corner where they touch. In the second it fills the whole "
            "hollow between them, nearly to their full height."
        )
        return drawn_figure((130.0, 55.0), draw, words)

    def draw_still(self, sheet: Sheet) -> None:
        """What each picture is, and the planned weights with their bands."""
        sheet.lettering((4, 86), "Weight of each part (g): upper bar planned, lower bar as made", 8, True)
        sheet.lettering((4, 26), "Where the metal goes (g)", 8, True)
        chart = self._chart(sheet)
        chart.scale_below("", even_ticks(0, self.most, 5))
        for row, (part, weight) in enumerate(reversed(self.planned.items())):
            chart.bar(0, weight, row + 0.19, 2.4, "none")
            y = float(chart.y(row + 0.19))
            ends = [float(chart.x(max(weight + side * self.bands[part], 0.0))) for side in (-1, 1)]
            sheet.line([[ends[0], y], [ends[1], y]], Look(None, INK, 1.0), 4)
            sheet.lettering((19, float(chart.y(row)) - 0.9), part, 7, side="right")

    def draw(self, sheet: Sheet, seen: Seen) -> None:
        """Weights as made, and the long bar."""
        made: _Weighed = seen.made
        chart = self._chart(sheet)
        for row, part in enumerate(reversed(list(self.planned))):
            weight = min(made.made[part], self.most)
            beyond = abs(made.made[part] - made.planned[part]) > made.bands[part]
            chart.bar(0, weight, row - 0.19, 2.4, "crossed" if beyond else "solid")
            x = max(float(chart.x(weight)), float(chart.x(made.planned[part] + made.bands[part])))
            sheet.lettering((x + 2, float(chart.y(row)) - 0.9), f"{made.made[part]:.3f}", 6.5, beyond)
        _metal_way(sheet, made)

    def _chart(self, sheet: Sheet) -> Chart:
        return Chart(sheet, 21, 38, 108, 44, (0, self.most), (-0.5, len(PARTS) - 0.5))

    def _warnings(self, made: _Weighed) -> Iterator[Remark]:
        now = made.earring[1]
        if self.pattern is not None and self.agrees is not None and abs(now - self.pattern) > self.agrees:
            way = "heavier" if now > self.pattern else "lighter"
            yield Remark(
                f"The duplicate is {abs(now - self.pattern):.3f} g {way} than its pattern: more than the "
                "sizes and the balance leave in doubt. A hand that wears the pair can feel it."
            )
        if made.made["solder"] > 2 * made.planned["solder"]:
            yield Remark("That is a flood of solder: it fills grooves and rounds every corner.")
        if made.lost > 0.1 * made.taken:
            yield Remark("A tenth of the metal and more is lost. Sweep, and look at the bench skin.")
        row = find("stones", "gem", self.plan.job.gem, "a gem")
        if row["heat_sensitive"] != "no":
            yield Remark(f"{self.plan.job.gem.capitalize()} does not bear the torch: set it last.")


def _metal_way(sheet: Sheet, made: _Weighed) -> None:
    """One bar as long as what was taken, in three parts."""
    left, wide, low, high = 8.0, 134.0, 11.0, 18.0
    x = left
    flat = Placed(sheet, 0, 0, 1)
    parts = (
        ("in the piece", made.leaves, PALE, False),
        ("comes back", made.back, PAPER, True),
        ("lost", made.lost, PAPER, False),
    )
    last = left - 30
    for name, weight, fill, hatched in parts:
        end = x + wide * weight / made.taken
        corners = np.array([[x, low], [end, low], [end, high], [x, high]])
        sheet.area(corners, Look(fill, SIGNAL if name == "lost" else INK, 1.2 if name == "lost" else THIN))
        if hatched:
            flat.hatch(corners, apart=1.4)
        middle = max((x + end) / 2, last + 27)
        said = f"{name} {weight:.3f}"
        sheet.lettering((min(middle, 138.0), 6.0), said, 7, side="center")
        x, last = end, middle
    sheet.lettering((left, 20), f"taken {made.taken:.3f}", 7, ink=GREY)


def _joint(place: Placed, ring: float, claw: float, filled: float) -> None:
    """Two round wires side by side that touch, and what fills the corners between them."""
    high = filled * min(ring, claw) / 2
    x = np.linspace(-ring / 2, claw / 2, 31)
    # solder draws itself up the wires, and so its skin is hollow
    left = -ring / 2 + math.sqrt(ring**2 / 4 - high**2)
    right = claw / 2 - math.sqrt(claw**2 / 4 - high**2)
    middle, half = (left + right) / 2, (right - left) / 2
    skin = high - 0.3 * high * np.clip(1 - ((x - middle) / half) ** 2, 0, 1)
    solder = np.vstack([np.column_stack([x, skin]), np.column_stack([x, -skin])[::-1]])
    place.outline(solder, SIGNAL, THIN, SIGNAL, layer=1.9)
    for wire, middle, falling in ((ring, -ring / 2, False), (claw, claw / 2, True)):
        place.circle(wire, (middle, 0.0), PAPER)
        place.hatch(circle(wire, (middle, 0.0), 48), apart=1.6, falling=falling)


def _askew() -> Figure:
    """A stone on its two seats, level and askew: a sketch, and so the same for every piece."""

    def draw(sheet: Sheet) -> None:
        sheet.lettering((4, 58), "A stone in its claws, from the side (a sketch, not to scale)", 8, True)
        for left, lean, word in ((34, 0.0, "pushed alike: level"), (94, 0.13, "one alone: askew")):
            place = Placed(sheet, left, 26, 1)
            turned = np.array([[np.cos(lean), -np.sin(lean)], [np.sin(lean), np.cos(lean)]])
            gem = [[-15, 1], [-9, 6], [9, 6], [15, 1], [15, 0], [0, -13], [-15, 0]]
            # askew, it turns about the side that is pressed down
            place.outline((np.array(gem) - [15, 0]) @ turned + [15, 0], PAPER)
            for side in (-1, 1):
                pushed = lean == 0 or side == 1
                tip = [[13.5, 4.5], [18, 4.5]] if pushed else [[16, 10], [20, 9]]
                claw = np.array([[13, -16], [16.2, -1.2], [15.2, 0], *tip, [18.6, -1.2], [16, -16]])
                place.outline(claw * [side, 1], PALE, layer=2.3)
            place.line([[-24, 0], [24, 0]], HAIR, GREY, "centre", layer=4)
            place.lettering((0, -21), word)

    words = (
        "A stone between two claws, from the side. On the left both claws are pushed over its edge alike, "
        "and its girdle lies level. On the right one claw alone lies tight: its side of the stone is down, "
        "and the other side has come up off its seat."
    )
    return drawn_figure((130.0, 63.0), draw, words)


STAGE = WeighingStage
