"""Lesson 12, would anyone know: a hundred imagined pairs, how many pass, and what costs most of them."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from course_lib.bench.imagined import COMPARED, MANY, Chance, chance_to_pass, imagine
from course_lib.bench.job import Plan
from course_lib.bench.pair import smallest_visible
from course_lib.bench.suspicions import Remark
from course_lib.screen.charts import Chart, even_ticks
from course_lib.screen.sheet import GREY, INK, PAPER, SIGNAL, THIN, Look, Sheet
from course_lib.screen.stage import Control, Figure, Pick, Seen, Size, Stage, Values, drawn_figure

EVEN = "none more than others"
_BY_HAND = 0.035  # mm of scatter: less is the drawplate's or the file's along a line
_ARC_MINUTES_PER_DEGREE = 60


@dataclass(frozen=True)
class _Asked:
    """A chance, and what it was asked for; mm."""

    chance: Chance
    distance: float
    visible: float


class PairStage(Stage):
    """A hundred pairs as rounds, crossed where told apart, and a bar for what each size costs."""

    title = "Would anyone know?"
    paper = (150.0, 90.0)

    def __init__(self, plan: Plan) -> None:
        super().__init__(plan)
        # imagined once; every move of a slider only asks it another question
        self.imagined = imagine(plan)
        self.distance = plan.job.choices["viewing_distance"]

    def controls(self) -> Sequence[Control]:
        """Distance, sight, care, and the size that gets more of it."""
        return (
            Size(
                key="distance", label="eye to earring", pattern=self.distance, least=100, most=1500, step=10
            ),
            Size(
                key="sight",
                label="the eye tells apart",
                pattern=1,
                least=0.5,
                most=3,
                step=0.1,
                unit="arcmin",
            ),
            Size(
                key="care", label="my hand's scatter", pattern=100, least=20, most=200, step=5, unit="percent"
            ),
            Pick(key="most", label="twice the care on", pattern=EVEN, options=self._worth_care()),
        )

    def _worth_care(self) -> tuple[str, ...]:
        """Sizes that a hand makes: what the drawplate makes is never what gives a pair away."""
        spreads = self.imagined.by_hand.std(axis=0)
        return (
            EVEN,
            *(COMPARED[n] for n, s in zip(self.imagined.names, spreads, strict=True) if s > _BY_HAND),
        )

    def see(self, at: Values) -> Seen:
        """How many pass, and what each size costs."""
        visible = float(smallest_visible.plain(at["distance"], at["sight"] / _ARC_MINUTES_PER_DEGREE))
        share = at["care"] / 100
        care = {name: share / (2 if label == at["most"] else 1) for name, label in COMPARED.items()}
        chance = chance_to_pass(self.imagined, visible, care)
        made = _Asked(chance, at["distance"], visible)
        dearest = COMPARED[chance.dearest]
        rows = [
            ("the eye sees from", f"{visible:.3f} mm"),
            ("pairs that pass", f"{100 * chance.passes:.1f} of 100"),
            ("dearest size", dearest),
            ("it alone costs", f"{100 * chance.costs[chance.dearest]:.1f} of 100"),
        ]
        words = (
            f"Of 100 imagined pairs, looked at from {at['distance']:.0f} mm, {100 * chance.passes:.0f} "
            "pass: no size "
            f"differs by the {visible:.2f} mm that an eye tells apart there. The size that costs most is "
            f"{dearest}: "
            f"alone it gives away {100 * chance.costs[chance.dearest]:.1f} of 100."
        )
        return Seen(rows=rows, words=words, warnings=list(_warnings(made)), made=made)

    def figures(self) -> Mapping[str, Callable[[], Figure]]:
        """What an eye tells apart, by distance."""
        return {"eye": self._eye}

    def _eye(self) -> Figure:
        def draw(sheet: Sheet) -> None:
            sheet.lettering((4, 56), "The smallest difference an eye tells apart", 8, True)
            chart = Chart(sheet, 18, 14, 100, 36, (0, 1500), (0, 0.5))
            chart.scale_below("from the eye to the earring (mm)", [0, 250, 500, 750, 1000, 1250, 1500])
            chart.scale_beside("mm", [0, 0.1, 0.2, 0.3, 0.4, 0.5])
            far = np.linspace(0, 1500, 31)
            chart.curve(far, smallest_visible.plain(far))
            for height in (0.1, 0.2, 0.3, 0.4):
                chart.level(height, look=Look(None, GREY, 0.3, "dotted"))
            for value in (250, 500, 750, 1000, 1250):
                chart.upright(value, look=Look(None, GREY, 0.3, "dotted"))

        words = (
            "A straight line: the smallest difference an eye tells apart, in mm, over the distance up "
            "to 1500 mm."
        )
        return drawn_figure((125.0, 62.0), draw, words)

    def draw_still(self, sheet: Sheet) -> None:
        """What each picture is."""
        sheet.lettering((4, 84), "A hundred imagined pairs", 8, True)
        sheet.lettering(
            (4, 4), f"worked out from {MANY:,} imagined duplicates".replace(",", " "), 6.5, ink=GREY
        )
        sheet.lettering((76, 84), "Given away by this size alone (of 100)", 8, True)

    def draw(self, sheet: Sheet, seen: Seen) -> None:
        """Rounds and bars."""
        made: _Asked = seen.made
        _rounds(sheet, round(100 * made.chance.passes))
        _costs(sheet, made.chance)


def _rounds(sheet: Sheet, passing: int) -> None:
    """Ten rows of ten: an empty round passes, a crossed one is given away."""
    for at in range(100):
        x, y = 8 + 5.6 * (at % 10), 74 - 5.6 * (at // 10)
        passes = at < passing
        sheet.circle((x, y), 4.2, Look(PAPER, INK if passes else GREY, THIN), 2)
        if not passes:
            half = 1.5
            cross = [
                [x - half, y - half],
                [x + half, y + half],
                [float("nan")] * 2,
                [x - half, y + half],
                [x + half, y - half],
            ]
            sheet.line(cross, Look(None, SIGNAL, 1.1), 3)
    sheet.lettering((5.5, 12), f"{passing} pass", 8, True)
    sheet.lettering((30, 12), f"{100 - passing} given away", 8, True, SIGNAL)


def _costs(sheet: Sheet, chance: Chance) -> None:
    most = max(2.0, 1.05 * 100 * max(chance.costs.values()))
    chart = Chart(sheet, 104, 12, 40, 68, (0, most), (-0.5, len(COMPARED) - 0.5))
    chart.scale_below("", even_ticks(0, most, 4))
    order = sorted(COMPARED, key=lambda name: chance.costs[name])
    for row, name in enumerate(order):
        cost = 100 * chance.costs[name]
        chart.bar(0, cost, row, 4.4, "crossed" if name == chance.dearest else "solid")
        sheet.lettering(
            (102.5, float(chart.y(row)) - 0.9), COMPARED[name], 6.5, name == chance.dearest, side="right"
        )


def _warnings(made: _Asked) -> Iterator[Remark]:
    if made.distance < 250:
        yield Remark(
            "Nobody looks at a worn earring from so near. This is how a customer compares them in the hand."
        )
    if made.chance.passes < 0.5:
        yield Remark(
            "More than half of the pairs would be told apart. Spend your care on the "
            f"{COMPARED[made.chance.dearest]}."
        )


STAGE = PairStage
