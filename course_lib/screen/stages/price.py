"""Lesson 13, the price: where the money goes, low, likely and high, and whether to buy the nut."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from course_lib.bench.job import Plan, metal_without_solder
from course_lib.bench.metal import fine_metals
from course_lib.bench.price import Quote, Rates, quote_plain, rates_from, stage_minutes
from course_lib.bench.suspicions import Remark
from course_lib.screen.charts import Chart, even_ticks
from course_lib.screen.sheet import Sheet
from course_lib.screen.stage import Control, Pick, Seen, Size, Stage, Values

_OF_THE_NUT = ("plate and hole", "scroll")
MADE, BOUGHT = "make the nut", "buy the nut"
_SHORT = {
    "metal used, less what comes back": "metal", "stone": "stone", "bench time": "bench time",
    "overhead": "overhead", "hallmark": "hallmark", "bought nut": "bought nut",
}  # fmt: skip
_HATCH = {
    "metal": "crossed", "stone": "none", "bench time": "rising", "overhead": "falling", "hallmark": "solid",
    "bought nut": "none",
}  # fmt: skip


@dataclass(frozen=True)
class _Priced:
    """A quote with its lines by short names, and the nut made or bought; in money."""

    lines: tuple[tuple[str, float, float, float], ...]
    low: float
    likely: float
    high: float
    made_nut: float
    bought: float


class PriceStage(Stage):
    """The quote as three standing bars, each built of its lines."""

    title = "Price the job"
    paper = (150.0, 86.0)

    def __init__(self, plan: Plan) -> None:
        super().__init__(plan)
        self.taken, self.leaves = plan.metal_taken, metal_without_solder(plan.carried, plan.metal_taken)
        self.shares = fine_metals(plan.job.alloy)
        self.rates = rates_from(plan.job.choices.__getitem__)
        self.minutes = stage_minutes()
        nut = plan.carried.results
        self.nut_metal = max(nut["nut_weight"].value - nut["nut_solder_weight"].value, 0.0)
        self.hallmark = plan.hallmark

    def controls(self) -> Sequence[Control]:
        """Rates, stone, how fast the hand is, and the nut."""
        rates = self.rates
        return (
            Size(key="hour", label="an hour at the bench", pattern=rates.labour_rate, least=10, most=150,
                 step=1, unit=""),
            Size(key="overhead", label="overhead on labour", pattern=100 * rates.overhead, least=0, most=150,
                 step=5, unit="percent"),
            Size(key="stone", label="the stone costs", pattern=0, least=0, most=300, step=5, unit=""),
            Size(key="pace", label="my time against the table", pattern=100, least=50, most=200, step=5,
                 unit="percent"),
            Size(key="swing", label="metal price may move", pattern=100 * rates.price_swing, least=0,
                 most=30, step=1, unit="percent"),
            Pick(key="nut", label="friction nut", pattern=MADE, options=(MADE, BOUGHT)),
        )  # fmt: skip

    def see(self, at: Values) -> Seen:
        """Low, likely, high, and the nut made or bought."""
        rates = replace(
            self.rates, labour_rate=at["hour"], overhead=at["overhead"] / 100, price_swing=at["swing"] / 100
        )
        pace, bought = at["pace"] / 100, at["nut"] == BOUGHT
        stages = {name: (pace * a, pace * b, pace * c) for name, (a, b, c) in self.minutes.items()}
        whole = self._asked(rates, stages, at["stone"])
        without = self._asked(
            rates, {n: t for n, t in stages.items() if n not in _OF_THE_NUT}, at["stone"], True
        )
        lines = [
            (_SHORT[name], low, likely, high)
            for name, low, likely, high in (without if bought else whole).lines
        ]
        if bought:
            lines.append(("bought nut", rates.nut_bought, rates.nut_bought, rates.nut_bought))
        low, likely, high = sum(x[1] for x in lines), sum(x[2] for x in lines), sum(x[3] for x in lines)
        made = _Priced(tuple(lines), low, likely, high, whole.likely - without.likely, rates.nut_bought)
        rows = [(name, f"{likely:.0f}") for name, _, likely, _ in made.lines if likely]
        rows += [("low", f"{low:.0f}"), ("likely", f"{made.likely:.0f}"), ("high", f"{high:.0f}")]
        rows += [("a nut made costs", f"{made.made_nut:.0f}"), ("a nut bought costs", f"{made.bought:.0f}")]
        told = ", ".join(f"{name} {likely:.0f}" for name, _, likely, _ in made.lines if likely)
        words = (
            f"The quote is {made.likely:.0f}, at least {low:.0f} and at most {high:.0f}. In the likely "
            f"sum: {told}. "
            f"Making the nut costs {made.made_nut:.0f}, buying one {made.bought:.0f}. All rates are invented."
        )
        return Seen(rows=rows, words=words, warnings=list(self._warnings(made, bought)), made=made)

    def _asked(
        self, rates: Rates, stages: dict[str, tuple[float, float, float]], stone: float, no_nut: bool = False
    ) -> Quote:
        """The quote of the whole job, or of the job without its nut."""
        less = self.nut_metal if no_nut else 0.0
        return quote_plain(
            self.taken - less, self.leaves - less, self.shares, rates, stages, stone, self.hallmark
        )

    def draw_still(self, sheet: Sheet) -> None:
        """What the picture is."""
        sheet.lettering((4, 80), "The quote, built up (money; every rate is invented)", 8, True)

    def draw(self, sheet: Sheet, seen: Seen) -> None:
        """Three columns."""
        made: _Priced = seen.made
        most = 1.12 * max(made.high, 1.0)
        chart = Chart(sheet, 18, 10, 96, 64, (0, 3), (0, most))
        chart.scale_beside("", even_ticks(0, most, 5), "{:.0f}".format)
        for column, (name, total) in enumerate(
            (("low", made.low), ("likely", made.likely), ("high", made.high))
        ):
            at = 0.0
            for line in made.lines:
                amount = (line[1], line[2], line[3])[column]
                chart.column(column + 0.5, at, at + amount, 20, _HATCH[line[0]])
                at += amount
            middle = float(chart.x(column + 0.5))
            sheet.lettering((middle, float(chart.y(total)) + 1.2), f"{total:.0f}", 8, True, side="center")
            sheet.lettering((middle, 5.5), name, 7.5, column == 1, side="center")
        self._names(sheet, chart, made)

    def _names(self, sheet: Sheet, chart: Chart, made: _Priced) -> None:
        """What each part of the right-hand column is, with names kept apart from one another."""
        at, last = 0.0, 6.0
        for name, _, _, amount in made.lines:
            if amount <= 0:
                continue
            middle = float(chart.y(at + amount / 2)) - 0.9
            place = max(middle, last + 3.4)
            sheet.lettering((116, place), f"{name} {amount:.0f}", 7)
            at, last = at + amount, place

    def _warnings(self, made: _Priced, bought: bool) -> Iterator[Remark]:
        if not bought and made.made_nut > made.bought:
            yield Remark(
                "To buy the nut is cheaper than to make it. Make it only where a bought one would be seen."
            )
        if self.hallmark:
            yield Remark("So heavy a piece needs a hallmark in the UK. Ask your own assay office.")
        if made.high > 1.5 * made.low:
            yield Remark("Low and high lie far apart: tell the customer both before you begin.")


STAGE = PriceStage
