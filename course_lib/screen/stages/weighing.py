"""Lesson 11, weigh and set: part by part against the pattern, and where the metal went."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from course_lib.bench.job import Plan, metal_without_solder
from course_lib.bench.lemel import loss_budget
from course_lib.bench.measuring import coverage, difference_band
from course_lib.bench.suspicions import Remark
from course_lib.bench.tables import find
from course_lib.screen.charts import Chart, even_ticks
from course_lib.screen.drafting import Placed
from course_lib.screen.sheet import GREY, INK, PALE, PAPER, SIGNAL, THIN, Look, Sheet
from course_lib.screen.stage import Control, Seen, Size, Stage, Values

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
                "sizes and "
                "the balance leave in doubt. A hand that wears the pair can feel it."
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


STAGE = WeighingStage
