"""Lesson 13, the price: where the money goes, low, likely and high, and whether to buy the nut."""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from course_lib.bench.metal import fine_metals
from course_lib.bench.plan import Plan, metal_without_solder
from course_lib.bench.price import (
    Quote,
    QuoteLine,
    Rates,
    fine_prices,
    quote_plain,
    rates_from,
    stage_minutes,
    three_point,
    time_cost,
)
from course_lib.bench.suspicions import Remark
from course_lib.screen.charts import Chart, even_ticks
from course_lib.screen.drafting import kept_apart, on_paper
from course_lib.screen.sheet import GREY, HAIR, INK, THIN, Look, Sheet
from course_lib.screen.stage import Control, Figure, Pick, Seen, Size, Stage, Values, around, drawn_figure

_OF_THE_NUT = ("plate and hole", "scroll")
MADE, BOUGHT = "make the nut", "buy a stamped one"
# The lines of a quote as they are called here, and how each is hatched.
_SHORT = {
    "metal used, less what comes back": "metal", "stone": "stone", "bench time": "bench time",
    "overhead": "overhead", "hallmark": "hallmark",
}  # fmt: skip
_HATCH = {
    "metal": "crossed", "stone": "none", "bench time": "rising", "overhead": "falling", "hallmark": "solid",
    "bought nut": "none",
}  # fmt: skip
# The scales go up in these steps only, so that a higher column means more.
_ENDS = (1.0, 1.5, 2.0, 3.0, 4.0, 6.0, 8.0)
_LOW, _HIGH = 14.0, 66.0  # of the charts on the paper, in mm
_ROOM = 4.0  # mm: a part of a column that holds its figure


@dataclass(frozen=True)
class _Priced:
    """A quote with its lines by short names, and the nut made and bought; in money."""

    lines: tuple[QuoteLine, ...]
    low: float
    likely: float
    high: float
    # what making the nut costs: metal, time, overhead
    nut: tuple[tuple[str, float], ...]
    bought: float
    buys: bool

    @property
    def average(self) -> float:
        """On the average of many such jobs."""
        return three_point(self.low, self.likely, self.high)

    @property
    def made(self) -> float:
        """What making the nut costs."""
        return sum(amount for _, amount in self.nut)


class PriceStage(Stage):
    """The quote as three standing bars, each built of its lines; beside them the nut, made and bought."""

    title = "Price the job"
    paper = (150.0, 94.0)

    def __init__(self, plan: Plan) -> None:
        super().__init__(plan)
        self.taken, self.leaves = plan.metal_taken, metal_without_solder(plan.carried, plan.metal_taken)
        self.shares, self.prices = fine_metals(plan.job.alloy), fine_prices()
        self.main = max(self.shares, key=lambda metal: self.shares[metal])
        self.rates = rates_from(plan.job.choices.__getitem__)
        self.minutes = stage_minutes()
        nut = plan.carried.results
        self.nut_metal = max(nut["nut_weight"].value - nut["nut_solder_weight"].value, 0.0)

    def controls(self) -> Sequence[Control]:
        """Prices, rates, how fast the hand is, and the nut."""
        rates, price = self.rates, self.prices[self.main]
        hour, extra, nut = rates.labour_rate, 100 * rates.overhead, rates.nut_bought
        return (
            around("metal", f"a gram of fine {self.main}", price, 1.0 if price > 20 else 0.05, 0.6,
                   most=2.5 * price, unit=""),
            Size(key="hour", label="an hour at the bench", pattern=hour, least=min(10, hour),
                 most=max(150, 1.5 * hour), step=1, unit=""),
            Size(key="overhead", label="overhead on the time", pattern=extra, least=0,
                 most=max(150, extra), step=5, unit="percent"),
            Size(key="pace", label="my time against the table", pattern=100, least=50, most=200, step=5,
                 unit="percent"),
            Size(key="stone", label="the stone costs", pattern=0, least=0, most=300, step=5, unit=""),
            Size(key="stamped", label="a stamped nut costs", pattern=nut, least=0, most=max(100, 1.5 * nut),
                 step=1, unit=""),
            Pick(key="nut", label="friction nut", pattern=MADE, options=(MADE, BOUGHT)),
        )  # fmt: skip

    def see(self, at: Values) -> Seen:
        """Low, likely, high, and the nut made or bought."""
        made = self._priced(at)
        rows = [(name, f"{likely:.0f}") for name, _, likely, _ in made.lines]
        rows += [("low", f"{made.low:.0f}"), ("likely", f"{made.likely:.0f}"), ("high", f"{made.high:.0f}")]
        rows += [("on the average", f"{made.average:.0f}")]
        rows += [("a nut made costs", f"{made.made:.0f}"), ("a stamped nut costs", f"{made.bought:.0f}")]
        told = ", ".join(f"{name} {likely:.0f}" for name, _, likely, _ in made.lines)
        words = (
            f"The quote is {made.likely:.0f}, at least {made.low:.0f} and at most {made.high:.0f}, and "
            f"{made.average:.0f} on the average. In the likely sum: {told}. Making the nut costs "
            f"{made.made:.0f}, a stamped one {made.bought:.0f}. All prices and rates are invented."
        )
        return Seen(rows=rows, words=words, warnings=list(self._warnings(made, at)), made=made)

    def _priced(self, at: Values) -> _Priced:
        extra, pace, buys = at["overhead"] / 100, at["pace"] / 100, at["nut"] == BOUGHT
        rates = replace(self.rates, labour_rate=at["hour"], overhead=extra, nut_bought=at["stamped"])
        prices = {**self.prices, self.main: at["metal"]}
        stages = {name: (pace * a, pace * b, pace * c) for name, (a, b, c) in self.minutes.items()}
        asked = self._asked(rates, prices, stages, at["stone"], buys)
        lines = [(_SHORT[name], low, likely, high) for name, low, likely, high in asked.lines if likely]
        if buys and rates.nut_bought:
            lines.append(("bought nut", rates.nut_bought, rates.nut_bought, rates.nut_bought))
        time = time_cost(sum(stages[name][1] for name in _OF_THE_NUT), rates.labour_rate)
        metal = self.nut_metal * sum(prices[each] * share for each, share in self.shares.items())
        nut = (("metal", metal), ("bench time", time), ("overhead", extra * time))
        low, likely, high = (sum(amounts) for amounts in zip(*(line[1:] for line in lines), strict=True))
        return _Priced(tuple(lines), low, likely, high, nut, rates.nut_bought, buys)

    def _asked(
        self, rates: Rates, prices: Mapping[str, float], stages: Mapping[str, tuple[float, float, float]],
        stone: float, buys: bool,
    ) -> Quote:  # fmt: skip
        """The quote of the whole job, or of the job without its nut."""
        less = self.nut_metal if buys else 0.0
        left = {name: three for name, three in stages.items() if not (buys and name in _OF_THE_NUT)}
        return quote_plain(
            self.taken - less, self.leaves - less, self.shares, rates, left, stone, self.plan.hallmark,
            prices=prices,
        )  # fmt: skip

    def draw_still(self, sheet: Sheet) -> None:
        """What the picture is."""
        sheet.lettering((4, 88), "The quote, line on line", 8, True)
        sheet.lettering((121, 88), "The nut alone", 8, True)
        sheet.lettering((4, 2.5), "in money; every price and rate is invented", 6.5, ink=GREY)

    def draw(self, sheet: Sheet, seen: Seen) -> None:
        """Three columns with their names, and two for the nut."""
        made: _Priced = seen.made
        end = _end_of_scale(made.high)
        chart = Chart(sheet, 16, _LOW, 72, _HIGH, (0, 3), (0, end))
        chart.scale_beside("", even_ticks(0, end, 5), "{:.0f}".format)
        self._quote(sheet, chart, made)
        self._names(sheet, chart, made)
        self._nut(sheet, made)

    def _quote(self, sheet: Sheet, chart: Chart, made: _Priced) -> None:
        ends = (
            ("low", made.low, [(name, low) for name, low, _, _ in made.lines]),
            ("likely", made.likely, [(name, likely) for name, _, likely, _ in made.lines]),
            ("high", made.high, [(name, high) for name, _, _, high in made.lines]),
        )
        average = float(chart.y(made.average))
        sheet.line([[chart.left, average], [91, average]], Look(None, INK, THIN, "dashed"), 4)
        for column, (name, total, parts) in enumerate(ends):
            _column(chart, column + 0.5, parts, 17)
            middle = float(chart.x(column + 0.5))
            on_paper(sheet, (middle, float(chart.y(total)) + 1.4), f"{total:.0f}", 8, "center")
            sheet.lettering((middle, _LOW - 4.5), name, 7.5, column == 1, side="center")

    def _names(self, sheet: Sheet, chart: Chart, made: _Priced) -> None:
        """What each part of the right-hand column is, with names kept apart from one another."""
        tops = np.cumsum([0.0, *(line[3] for line in made.lines)])
        wanted = [
            (float(chart.y((a + b) / 2)), line[0], True)
            for a, b, line in zip(tops, tops[1:], made.lines, strict=False)
        ]
        wanted.append((float(chart.y(made.average)), f"average {made.average:.0f}", False))
        wanted.sort()
        edge = float(chart.x(2.5)) + 8.5
        places = kept_apart([place for place, _, _ in wanted], 3.4, _LOW + 1, _LOW + _HIGH + 2)
        for at, (place, name, is_part) in zip(places, wanted, strict=True):
            start = edge if is_part else 91.0
            sheet.line([[start, place], [94, at]], Look(None, GREY, HAIR), 3)
            sheet.lettering((94.8, at - 0.9), name, 7, not is_part)

    def _nut(self, sheet: Sheet, made: _Priced) -> None:
        end = _end_of_scale(max(made.made, made.bought, 1.0))
        chart = Chart(sheet, 126, _LOW, 22, _HIGH, (0, 2), (0, end))
        chart.scale_beside("", even_ticks(0, end, 5), "{:.0f}".format)
        kinds = (("made", made.nut), ("stamped", (("bought nut", made.bought),)))
        for at, (name, parts) in enumerate(kinds):
            _column(chart, at + 0.5, parts, 8.5)
            total, middle = sum(amount for _, amount in parts), float(chart.x(at + 0.5))
            chosen = (name == "stamped") == made.buys
            sheet.lettering((middle, float(chart.y(total)) + 1.4), f"{total:.0f}", 7.5, chosen, side="center")
            sheet.lettering((middle, _LOW - 4.5), name, 7, chosen, side="center")

    def figures(self) -> Mapping[str, Callable[[], Figure]]:
        """Where the metal goes, and why the average lies above the likely time."""
        return {"metal": self._metal, "time": self._time}

    def _metal(self) -> Figure:
        """All that is taken as one bar: what leaves, what comes back, what is lost."""
        loss = self.plan.loss
        parts = (
            ("leaves with the customer", self.leaves, "crossed"),
            ("comes back: offcuts and lemel", loss.comes_back, "rising"),
            ("lost", loss.lost, "none"),
        )

        def draw(sheet: Sheet) -> None:
            sheet.lettering((4, 44), f"Of the {self.taken:.3f} g that are taken from the drawer", 8, True)
            chart = Chart(sheet, 6, 26, 118, 12, (0, self.taken), (0, 1))
            start = 0.0
            samples = Chart(sheet, 6, 4, 8, 19, (0, 1), (0, 19))
            for row, (name, weight, hatch) in enumerate(parts):
                if weight:
                    chart.bar(start, start + weight, 0.5, 10, hatch)
                up = 15.0 - 6 * row
                samples.bar(0, 1, up, 4, hatch)
                sheet.lettering((28, up + 3.1), f"{weight:.3f} g", 7, side="right")
                sheet.lettering((31, up + 3.1), name, 7)
                start += weight

        told = ", ".join(f"{weight:.3f} g {name}" for name, weight, _ in parts)
        return drawn_figure((130.0, 50.0), draw, f"One bar, in three parts. {told}.")

    def _time(self) -> Figure:
        """A hump that leans: least, likely, most, and the average to the right of the likely."""
        least, likely, most = (sum(three[end] for three in self.minutes.values()) for end in range(3))
        average = three_point(least, likely, most)
        # the beta curve of three points: shapes 1 + 4 share and 5 - 4 share, its top at the likely time
        share = (likely - least) / (most - least)
        at = np.linspace(0, 1, 121)
        height = at ** (4 * share) * (1 - at) ** (4 - 4 * share)
        marks = ((least, "least"), (likely, "likely"), (most, "most"))

        def draw(sheet: Sheet) -> None:
            sheet.lettering((4, 54), "How long such a job takes, job after job", 8, True)
            margin = 0.08 * (most - least)
            chart = Chart(sheet, 10, 14, 110, 26, (least - margin, most + margin), (0, 1.05 * height.max()))
            chart.scale_below("all stages together (minutes)", even_ticks(least, most, 6))
            chart.curve(least + at * (most - least), height)
            for value, name in marks:
                chart.upright(value, look=Look(None, GREY, THIN, "dotted"))
                lift = 7.0 if name == "likely" else 1.5
                sheet.lettering((float(chart.x(value)), 40 + lift), name, 7, side="center")
            chart.upright(average)
            x = float(chart.x(average))
            sheet.lettering((x + 1.5, 41.5), f"average {average:.0f}", 7, True)

        words = (
            f"A hump that rises steeply from {least:.0f} minutes to its top at {likely:.0f}, and falls "
            f"slowly to {most:.0f}. The average, {average:.0f} minutes, lies to the right of the top."
        )
        return drawn_figure((130.0, 60.0), draw, words)

    def _warnings(self, made: _Priced, at: Values) -> Iterator[Remark]:
        if not made.buys and made.made > made.bought:
            yield Remark(
                "A stamped nut is cheaper than one you make. Make it only where it will lie beside its twin."
            )
        if made.buys:
            yield Remark(
                "A stamped nut is thin, and its curls look different. Ask the customer before you buy it."
            )
        if self.plan.hallmark:
            yield Remark("So heavy a piece needs a hallmark in the UK. Ask your own assay office.")
        if made.high > 1.5 * made.low:
            yield Remark("Low and high lie far apart: tell the customer both before you begin.")
        if not at["overhead"]:
            yield Remark("Without overhead you pay rent and light out of your own wage.")


def _column(chart: Chart, middle: float, parts: Sequence[tuple[str, float]], thick: float) -> None:
    """A standing bar of parts, each with its figure where there is room for it."""
    start, x = 0.0, float(chart.x(middle))
    for name, amount in parts:
        chart.column(middle, start, start + amount, thick, _HATCH[name])
        low, high = float(chart.y(start)), float(chart.y(start + amount))
        if high - low > _ROOM:
            on_paper(chart.sheet, (x, (low + high) / 2 - 0.9), f"{amount:.0f}", 6.5, "center")
        start += amount


def _end_of_scale(most: float) -> float:
    """A round number above a sum of money, that leaves room for the figure over its column."""
    wanted = max(1.06 * most, 1.0)
    power = 10.0 ** math.floor(math.log10(wanted))
    return next((each * power for each in _ENDS if each * power >= wanted), 10 * power)


STAGE = PriceStage
