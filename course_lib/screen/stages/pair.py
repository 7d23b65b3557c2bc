"""Lesson 12, would anyone know: a hundred imagined pairs, how many match, and what costs most of them."""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from course_lib.bench.imagined import (
    COMPARED,
    MANY,
    Chance,
    Imagined,
    chance_to_pass,
    imagine,
    spreads_of,
    worst_of_each,
)
from course_lib.bench.pair import farthest_seen, smallest_visible
from course_lib.bench.plan import Plan
from course_lib.bench.suspicions import Remark
from course_lib.screen.charts import Chart, even_ticks
from course_lib.screen.drafting import LIFT_PEN, Placed
from course_lib.screen.sheet import GREY, HAIR, INK, PALE, PAPER, SIGNAL, THIN, Look, Sheet
from course_lib.screen.stage import Control, Figure, Pick, Seen, Size, Stage, Values, drawn_figure

EVEN = "none more than others"
_ARC_MINUTES_PER_DEGREE = 60
_FIVE = 5  # sizes that are worth more care
_NEAR = 250.0  # mm: nearer than anybody comes to a worn earring
# The sizes as they are seen, from the front, from the side, and on the nut.
_VIEWS = {
    "from the front": ("stone_diameter", "claw_wire", "claw_tip", "claw_spread"),
    "from the side": ("ring_over_all", "ring_wire", "base_to_girdle", "base_to_ring", "post_length"),
    "the nut": ("plate_diameter", "strip_width", "base_length", "curl_over_all"),
}
# Where rounds and bars lie on the paper, in mm.
_APART, _FIRST = 5.5, (8.0, 84.0)
_ROW, _TOP, _BARS_LEFT, _BARS_WIDE, _BARS_LOW = 4.75, 88.0, 108.0, 33.0, 12.0
# The scale of the bars goes up in these steps only, so that a longer bar means more.
_ENDS = (2, 5, 10, 20, 50, 100)
_SHOWN = 0.05  # of 100 pairs: less is not written
_GRID = Look(None, GREY, HAIR, "dotted")


@lru_cache(maxsize=2)
def imagined_for(plan: Plan) -> Imagined:
    """The imagined duplicates of a plan, made once for panel and drawings."""
    return imagine(plan)


@dataclass(frozen=True)
class _Asked:
    """A chance, and what it was asked for; mm."""

    chance: Chance
    distance: float
    visible: float
    gauge_over_hand: bool


class PairStage(Stage):
    """A hundred pairs as rounds, crossed where told apart, and a bar for what each size costs."""

    title = "Would anyone know?"
    paper = (150.0, 100.0)

    def __init__(self, plan: Plan) -> None:
        super().__init__(plan)
        # imagined once; every move of a slider only asks it another question
        self.imagined = imagined_for(plan)
        self.spreads = spreads_of(plan)
        self.distance = plan.job.choices["viewing_distance"]
        self.many = f"{MANY:,}".replace(",", " ")

    def controls(self) -> Sequence[Control]:
        """Distance, sight, hand and gauge, and the size that gets more care."""
        far = max(1500.0, self.distance)
        return (
            Size(key="distance", label="eye to earring", pattern=self.distance, least=100, most=far, step=10),
            Size(key="sight", label="the eye tells apart", pattern=1, least=0.5, most=3, step=0.1,
                 unit="arcmin"),
            Size(key="care", label="my hand's scatter", pattern=100, least=20, most=200, step=5,
                 unit="percent"),
            Size(key="gauge", label="my gauges' doubt", pattern=100, least=0, most=300, step=10,
                 unit="percent"),
            Pick(key="most", label="twice the care on", pattern=EVEN, options=self._worth_care()),
        )  # fmt: skip

    def _worth_care(self) -> tuple[str, ...]:
        """The sizes that scatter most, in the order of the bars."""
        widest = sorted(COMPARED, key=lambda name: -self.spreads[name].by_hand)[:_FIVE]
        return (EVEN, *(COMPARED[name] for name in COMPARED if name in widest))

    def see(self, at: Values) -> Seen:
        """How many match, and what each size costs."""
        visible = float(smallest_visible.plain(at["distance"], at["sight"] / _ARC_MINUTES_PER_DEGREE))
        share, doubt = at["care"] / 100, at["gauge"] / 100
        care = {name: share / (2 if label == at["most"] else 1) for name, label in COMPARED.items()}
        chance = chance_to_pass(self.imagined, visible, care, doubt)
        spread = self.spreads[chance.seen_most]
        hand, gauge = care[chance.seen_most] * spread.by_hand, doubt * spread.by_gauge
        made = _Asked(chance, at["distance"], visible, gauge > hand)
        return Seen(rows=_table(made), words=_in_words(made), warnings=list(_warnings(made)), made=made)

    def draw_still(self, sheet: Sheet) -> None:
        """What each picture is, the hundred rounds, and the names of the bars."""
        sheet.lettering((4, 94), "A hundred imagined pairs", 8, True)
        for at in range(100):
            sheet.circle(_place(at), 4.4, Look(PAPER, INK, THIN), 1)
            sheet.circle(_place(at), 2.4, Look(None, GREY, HAIR), 1)
        sheet.lettering((6, 15), "open: looks like its twin", 7)
        sheet.lettering((6, 11), "crossed: an eye tells them apart", 7)
        sheet.lettering((6, 4), f"counted on {self.many} imagined duplicates", 6.5, ink=GREY)
        sheet.lettering((70, 94), "Of 100 pairs, each size gives away", 8, True)
        sheet.lettering((71, 4), "filled: this size alone; open: others as well", 6.5, ink=GREY)
        for view, y in _heads().items():
            sheet.lettering((71, y - 0.9), view, 6.5, True)
        for name, y in _rows().items():
            sheet.lettering((_BARS_LEFT - 1.5, y - 0.9), COMPARED[name], 6.5, side="right")

    def draw(self, sheet: Sheet, seen: Seen) -> None:
        """Crosses and bars."""
        made: _Asked = seen.made
        passing = round(100 * made.chance.passes)
        strokes = [stroke for at in range(passing, 100) for stroke in _cross(_place(at))]
        sheet.line(np.array(strokes or LIFT_PEN), Look(None, SIGNAL, 1.2), 3)
        sheet.lettering((6, 24), f"{passing} match", 9, True)
        sheet.lettering((30, 24), f"{100 - passing} given away", 9, True, SIGNAL)
        _bars(sheet, made.chance)

    def figures(self) -> Mapping[str, Callable[[], Figure]]:
        """What an eye tells apart; a limit and a doubt; one size of many; from how far the pair matches."""
        return {"eye": self._eye, "guard": self._guard, "one size": self._one_size, "far": self._far}

    def _eye(self) -> Figure:
        far = math.ceil(max(1500.0, 1.2 * self.distance) / 250) * 250.0
        most = math.ceil(10 * float(smallest_visible.plain(far))) / 10

        def draw(sheet: Sheet) -> None:
            sheet.lettering((4, 62), "The smallest difference an eye tells apart", 8, True)
            chart = Chart(sheet, 18, 14, 100, 40, (0, far), (0, most))
            chart.scale_below("from the eye to the earring (mm)", even_ticks(0, far, 6))
            chart.scale_beside("mm", even_ticks(0, most, 5))
            _grid(chart, even_ticks(0, far, 6)[1:], even_ticks(0, most, 5)[1:])
            chart.curve(np.array([0, far]), smallest_visible.plain(np.array([0, far])))
            for distance, place in ((_NEAR, "in the hand"), (1000.0, "across a table")):
                height = float(smallest_visible.plain(distance))
                at = Placed(sheet, float(chart.x(distance)), float(chart.y(height)), 1)
                at.circle(1.6, fill=INK)
                at.note((0, 0), place, 5, -4, 6.5)

        words = (
            "A straight line through nothing: twice as far away, the smallest difference an eye tells apart "
            f"is twice as large. The scale goes to {far:.0f} mm across and {most:.1f} mm up."
        )
        return drawn_figure((125.0, 68.0), draw, words)

    def _guard(self) -> Figure:
        """Three differences with their doubt, beside what an eye sees; in parts of the limit."""
        cases = (
            ("A", 0.5, 0.3, "wholly inside: nobody sees it"),
            ("B", 0.9, 0.3, "across the limit: cannot say"),
            ("C", -1.1, 0.3, "across the limit: cannot say"),
            ("D", -1.5, 0.3, "wholly outside: an eye sees it"),
        )

        def draw(sheet: Sheet) -> None:
            sheet.lettering((4, 52), "A difference, its doubt, and what an eye sees", 8, True)
            chart = Chart(sheet, 12, 12, 70, 34, (-2, 2), (-0.5, 3.6))
            inside = np.array([[-1, -0.5], [1, -0.5], [1, 3.6], [-1, 3.6]])
            sheet.area(np.column_stack([chart.x(inside[:, 0]), chart.y(inside[:, 1])]), Look(PALE, None), 1)
            for limit in (-1, 1):
                chart.upright(limit)
            chart.upright(0, look=Look(None, GREY, THIN, "centre"))
            for row, (name, middle, doubt, said) in enumerate(cases):
                self._whisker(chart, 3 - row, middle, doubt)
                up = float(chart.y(3 - row)) - 0.9
                sheet.lettering((7, up), name, 8, True)
                sheet.lettering((86, up), said, 7)
            for at, text in ((-1, "smaller"), (0, "alike"), (1, "larger")):
                sheet.lettering((float(chart.x(at)), 7.5), text, 6.5, side="center")
            sheet.lettering((47, 3.5), "grey: no eye sees a difference", 6.5, side="center", ink=GREY)

        told = "; ".join(f"{name}: {said}" for name, _, _, said in cases)
        words = (
            "Four differences as dots with their doubt as a line to both sides, over a grey band in which no "
            f"eye sees a difference. {told}."
        )
        return drawn_figure((140.0, 58.0), draw, words)

    @staticmethod
    def _whisker(chart: Chart, row: float, middle: float, doubt: float) -> None:
        y, ends = float(chart.y(row)), [float(chart.x(middle + way * doubt)) for way in (-1, 1)]
        bar = [[ends[0], y], [ends[1], y]]
        caps = [stroke for x in ends for stroke in (*LIFT_PEN, [x, y - 1.2], [x, y + 1.2])]
        chart.sheet.line(np.array([*bar, *caps]), Look(None, INK, 1.1), 5)
        chart.sheet.circle((float(chart.x(middle)), y), 2.2, Look(INK, None), 6)

    def _one_size(self) -> Figure:
        """The claw over the girdle of all imagined duplicates, and the limit of the eye."""
        visible = float(smallest_visible.plain(self.distance))
        off = self.imagined.off("claw_tip")
        wanted = max(4.2 * self.spreads["claw_tip"].together, 1.3 * visible)
        # the limit falls between two columns
        step = visible / math.ceil(20 * visible / wanted)
        many = math.ceil(wanted / step)
        reach = many * step
        counts, edges = np.histogram(off, bins=2 * many, range=(-reach, reach))
        inside = 100 * float((np.abs(off) < visible).mean())

        def draw(sheet: Sheet) -> None:
            sheet.lettering(
                (4, 58), "One size of a hundred thousand duplicates: claw over the girdle", 8, True
            )
            chart = Chart(sheet, 14, 14, 100, 34, (-reach, reach), (0, 1.1 * counts.max()))
            chart.scale_below("difference from the pattern (mm)", even_ticks(-reach, reach, 6))
            for count, left, right in zip(counts, edges[:-1], edges[1:], strict=True):
                hidden = abs(left + right) / 2 < visible
                box = np.array([[left, 0], [right, 0], [right, count], [left, count]])
                points = np.column_stack([chart.x(box[:, 0]), chart.y(box[:, 1])])
                sheet.area(points, Look(PALE if hidden else PAPER, INK, HAIR), 2)
                if not hidden:
                    Placed(sheet, 0, 0, 1).hatch(points, apart=1.0, layer=2.1)
            for limit in (-visible, visible):
                chart.upright(limit)
            sheet.lettering((64, 51.5), "between the lines no eye sees it", 6.5, side="center")

        words = (
            "A heap that is highest in the middle and thins out to both sides. Of 100 duplicates "
            f"{inside:.0f} have claws that differ by less than the {visible:.2f} mm that an eye tells apart "
            f"from {self.distance:.0f} mm. The few that lie outside are hatched."
        )
        return drawn_figure((125.0, 64.0), draw, words)

    def _far(self) -> Figure:
        """From how far so many of a hundred pairs match."""
        worst = worst_of_each(self.imagined)
        end = math.ceil(1.1 * float(farthest_seen.plain(float(np.quantile(worst, 0.99)))) / 100) * 100.0

        def passing(distance: float) -> float:
            limit = np.float32(smallest_visible.plain(distance))
            return 100 * float(np.searchsorted(worst, limit)) / len(worst)

        def draw(sheet: Sheet) -> None:
            sheet.lettering((4, 90), "Of 100 imagined pairs, so many match", 8, True)
            chart = Chart(sheet, 14, 14, 120, 66, (0, end), (0, 100))
            across = even_ticks(0, end, round(end / 100))
            chart.scale_below("from the eye to the earring (mm)", across)
            chart.scale_beside("pairs", even_ticks(0, 100, 10))
            _grid(chart, [at for at in np.arange(50, end + 1, 50)], even_ticks(0, 100, 20)[1:])
            distances = np.linspace(end / 240, end, 240)
            chart.curve(distances, np.array([passing(float(at)) for at in distances]))

        told = ", ".join(f"from {at // 10} cm {passing(at):.0f}" for at in range(100, int(end) + 1, 100))
        words = f"A curve that rises steeply and then bends over. Of 100 pairs so many match: {told}."
        return drawn_figure((140.0, 96.0), draw, words)


def _grid(chart: Chart, across: Sequence[float], up: Sequence[float]) -> None:
    for value in across:
        chart.upright(value, look=_GRID)
    for value in up:
        chart.level(value, look=_GRID)


def _place(at: int) -> tuple[float, float]:
    """Where a round lies: ten rows of ten, from the upper left."""
    return _FIRST[0] + _APART * (at % 10), _FIRST[1] - _APART * (at // 10)


def _cross(middle: tuple[float, float]) -> list[list[float]]:
    (x, y), half = middle, 1.7
    return [
        [x - half, y - half], [x + half, y + half], *LIFT_PEN,
        [x - half, y + half], [x + half, y - half], *LIFT_PEN,
    ]  # fmt: skip


def _heads() -> dict[str, float]:
    """How high on the paper the heading of each view stands."""
    heads, row = {}, 0
    for view, names in _VIEWS.items():
        heads[view] = _TOP - _ROW * row
        row += len(names) + 1
    return heads


def _rows() -> dict[str, float]:
    """How high on the paper the bar of each size lies."""
    heads = _heads()
    return {
        name: heads[view] - _ROW * at for view, names in _VIEWS.items() for at, name in enumerate(names, 1)
    }


def _bars(sheet: Sheet, chance: Chance) -> None:
    """A bar for each size: as long as it is seen often, filled as far as it alone gives the pair away."""
    seen = {name: 100 * share for name, share in chance.seen.items()}
    end = next(top for top in _ENDS if top >= max(seen.values()))
    chart = Chart(sheet, _BARS_LEFT, _BARS_LOW, _BARS_WIDE, _TOP - _BARS_LOW, (0, end), (_BARS_LOW, _TOP))
    chart.scale_below("", even_ticks(0, end, 4))
    for name, y in _rows().items():
        shown = seen[name] >= _SHOWN
        most = shown and name == chance.seen_most
        chart.bar(0, seen[name], y, 3.4)
        chart.bar(0, 100 * chance.costs[name], y, 3.4, "crossed" if most else "solid", 2.2)
        told = f"{seen[name]:.1f}" if shown else "0"
        sheet.lettering((float(chart.x(seen[name])) + 1.2, y - 0.9), told, 6.5, most)


def _table(made: _Asked) -> list[tuple[str, str]]:
    passes, often, cost = _in_a_hundred(made.chance)
    return [
        ("an eye tells apart", f"{made.visible:.3f} mm"),
        ("pairs that match", f"{passes:.1f} of 100"),
        ("size that is seen most", COMPARED[made.chance.seen_most] if often >= _SHOWN else "none"),
        ("it is seen in", f"{often:.1f} of 100"),
        ("it alone gives away", f"{cost:.1f} of 100"),
        ("if it were perfect, would match", f"{passes + cost:.1f} of 100"),
    ]


def _in_words(made: _Asked) -> str:
    passes, often, cost = _in_a_hundred(made.chance)
    most = (
        f"The size that is seen most is {COMPARED[made.chance.seen_most]}: in {often:.1f} of 100 pairs, and "
        f"in {cost:.1f} it alone gives the pair away."
        if often >= _SHOWN
        else "No size is seen."
    )
    return (
        f"Of 100 imagined pairs, looked at from {made.distance:.0f} mm, {passes:.0f} match: no size differs "
        f"by the {made.visible:.2f} mm that an eye tells apart there. {most}"
    )


def _in_a_hundred(chance: Chance) -> tuple[float, float, float]:
    """How many match; in how many the size that is seen most is seen, and in how many it alone."""
    most = chance.seen_most
    return 100 * chance.passes, 100 * chance.seen[most], 100 * chance.costs[most]


def _warnings(made: _Asked) -> Iterator[Remark]:
    if made.distance < _NEAR:
        yield Remark(
            "Nobody looks at a worn earring from so near. This is how a customer compares them in the hand."
        )
    if made.chance.passes < 0.5:
        yield Remark(
            "More than half of the pairs would be told apart. Spend your care where the longest bar is."
        )
    if made.gauge_over_hand:
        yield Remark(
            "Here your gauge leaves more in doubt than your hand does. Measure better first; more care at "
            "the bench cannot help."
        )


STAGE = PairStage
