"""Lesson 04, roll and draw: the section after each pass, the anneals, and how hard the metal is by then."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from course_lib.bench.alloy import alloy_facts
from course_lib.bench.forming import Pass, largest_draft, on_mill_steps, plan_drawing, plan_rolling
from course_lib.bench.job import Plan
from course_lib.bench.refusals import NoRoute, Refused
from course_lib.bench.stock import DRAWN, ROLLED
from course_lib.bench.suspicions import Remark
from course_lib.bench.tables import numbers_of
from course_lib.screen.charts import Chart
from course_lib.screen.drafting import Placed, on_paper
from course_lib.screen.sheet import GREY, PALE, THIN, Look, Sheet
from course_lib.screen.stage import Control, Figure, Pick, Seen, Size, Stage, Values, Walk, drawn_figure

WIRES = {part: key for part, key, _ in DRAWN}
SHEETS = {part: key for part, key, _ in ROLLED}
SPRINGS = {"scroll": "spring_hardness", "post": "post_hardness"}
# From memory: dry steel rolls on gold alloy, and the rolls of a small hand mill, in mm.
_FRICTION, _ROLL_RADIUS = 0.10, 25.0
_MOST_SHOWN = 24
_MILL_STEP = 0.01  # mm, as on the scale of a mill


@dataclass(frozen=True)
class _Route:
    """Passes from start to finish, and the step that is looked at."""

    part: str
    is_wire: bool
    start: float
    passes: tuple[Pass, ...]
    at: int
    limit: float
    hard: float

    @property
    def sizes(self) -> list[float]:
        """Size before the first pass and after each."""
        return [self.start, *(p.size_mm for p in self.passes)]

    @property
    def worked(self) -> list[float]:
        """Cold reduction since the last anneal, before the first pass and after each."""
        return [0.0, *(p.since_anneal for p in self.passes)]


@cache
def _rolled(start: float, finish: float, one: float, limit: float, hard: float) -> tuple[Pass, ...]:
    passes = plan_rolling(start, finish, one, limit, 0.0, hard)
    return tuple(on_mill_steps(start, passes, _MILL_STEP, one, limit, hard))


@cache
def _through(start: float, finish: float, one: float, limit: float, hard: float) -> tuple[Pass, ...]:
    return tuple(plan_drawing(start, finish, numbers_of("drawplate", "diameter_mm"), one, limit, 0.0, hard))


class FormingStage(Stage):
    """Sections to scale after each pass, and a bar of cold work against the alloy's limit."""

    title = "Roll and draw"
    paper = (150.0, 82.0)

    def __init__(self, plan: Plan) -> None:
        super().__init__(plan)
        facts = alloy_facts(plan.job.alloy)
        self.limit, self.roll, self.draws = facts.anneal_at, facts.roll_reduction, facts.draw_reduction
        self.ends = {part: run[-1].size_mm if run else plan.starts[part] for part, run in plan.runs.items()}
        self.hardness = {part: plan.job.choices[key] for part, key in SPRINGS.items()}

    def controls(self) -> Sequence[Control]:
        """Part, start, what a pass may take, the anneal limit, and the passes."""
        largest = max(max(self.plan.starts.values()) * 1.5, 3.0)
        return (
            Pick(key="part", label="stock for", pattern="scroll", options=(*SHEETS, *WIRES)),
            Size(
                key="start", label="thickness to start from", pattern=self.plan.starts["scroll"],
                least=round(max(self.ends.values()) + 0.1, 1), most=round(largest, 1), step=0.05,
            ),
            Size(
                key="one", label="a pass takes at most", pattern=100 * self.roll, least=5, most=35, step=1,
                unit="percent",
            ),
            Size(
                key="limit", label="anneal at", pattern=100 * self.limit, least=20, most=75, step=1,
                unit="percent",
            ),
            Walk(key="at", label="pass"),
        )  # fmt: skip

    def see(self, at: Values) -> Seen:
        """Passes, anneals, and how long the stock has become."""
        part, start = at["part"], at["start"]
        is_wire = part in WIRES
        one, limit, hard = at["one"] / 100, at["limit"] / 100, self.hardness.get(part, 0.0)
        find = _through if is_wire else _rolled
        trouble = ""
        try:
            passes = find(start, self.ends[part], one, limit, hard)
        except NoRoute as error:
            passes, trouble = (), str(error).split(": ", 1)[1]
            if not self.plan.runs[part]:
                raise Refused(f"{part}: {trouble}") from None
        if len(passes) > _MOST_SHOWN:
            raise Refused(
                f"{len(passes)} passes are more than can be shown. Let a pass take more, for example 12 %."
            )
        route = _Route(part, is_wire, start, passes, min(at["at"], len(passes)), limit, hard)
        steps = ("as it comes from the drawer", *(_named(route, n) for n in range(len(passes))))
        rows = _rows(route)
        told, warned = _words(route, steps), list(_warnings(route, trouble))
        return Seen(rows=rows, words=told, warnings=warned, steps={"at": steps}, made=route)

    def draw_still(self, sheet: Sheet) -> None:
        """What each picture is."""
        sheet.lettering((4, 76), "Section after each pass, to one scale; A: annealed before it", 8, True)
        sheet.lettering((4, 40), "Cold work since the last anneal (%)", 8, True)

    def draw(self, sheet: Sheet, seen: Seen) -> None:
        """Sections and bars, the step looked at with a thick line."""
        draw_route(sheet, seen.made)

    def figures(self) -> dict[str, Callable[[], Figure]]:
        """The passes of the scroll's strip, for reading off."""
        return {"passes": self._passes}

    def _passes(self) -> Figure:
        seen = self.see(self.pattern_values() | {"at": 0})

        def draw(sheet: Sheet) -> None:
            self.draw_still(sheet)
            draw_route(sheet, seen.made)

        route = seen.made
        words = (
            f"A bar chart over {len(route.passes)} passes: cold work since the last anneal after each "
            "pass, with a "
            f"line at the limit of {100 * route.limit:.0f} %."
        )
        return drawn_figure(self.paper, draw, words)


def draw_route(sheet: Sheet, route: _Route) -> None:
    """The sections in a row and the bars under them."""
    count = len(route.sizes)
    each = min(128.0 / count, 22.0)
    scale = min(20.0 / max(route.sizes), 0.82 * each / (max(route.sizes) if route.is_wire else 1.0), 14.0)
    chart = Chart(sheet, 8, 8, each * count, 26, (0, count), (0, max(75.0, 100 * route.limit + 10)))
    chart.level(100 * route.limit)
    sheet.lettering((8 + each * count + 1, float(chart.y(100 * route.limit)) - 0.8), "limit", 6.5)
    if route.hard:
        chart.level(100 * route.hard, look=Look(None, GREY, THIN, "dotted"))
        sheet.lettering((8 + each * count + 1, float(chart.y(100 * route.hard)) - 0.8), "springs", 6.5)
    for at, (size, worked) in enumerate(zip(route.sizes, route.worked, strict=True)):
        middle = 8 + each * (at + 0.5)
        now = at == route.at
        _one_section(Placed(sheet, middle, 58, scale), size, route.is_wire, now, 0.82 * each)
        annealed = at > 0 and route.passes[at - 1].anneal_before
        if annealed:
            sheet.lettering((middle, 70.5), "A", 8, True, side="center")
        small = each < 9
        if not small or at % 2 == 0 or now:
            sheet.lettering((middle, 45), f"{size:.2f}", 6.5, now, side="center")
        if worked:
            chart.column(at + 0.5, 0, 100 * worked, 0.55 * each, "crossed" if now else "rising")
            if not small or now:
                top = float(chart.y(100 * worked)) + 0.7
                on_paper(sheet, (middle, top), f"{100 * worked:.0f}", 6.5)
        sheet.lettering((middle, 4), "start" if at == 0 and not small else f"{at}", 6.5, side="center")


def _one_section(place: Placed, size: float, is_wire: bool, now: bool, wide: float) -> None:
    width = 1.8 if now else 0.7
    if is_wire:
        place.circle(size, fill=PALE, width=width)
        return
    half, high = wide / place.scale / 2, size / 2
    place.outline(np.array([[-half, -high], [half, -high], [half, high], [-half, high]]), PALE, width)


def _named(route: _Route, n: int) -> str:
    step = route.passes[n]
    first = "anneal, then " if step.anneal_before else ""
    return f"{first}{'hole' if route.is_wire else 'set the mill to'} {step.size_mm:.2f} mm"


def _rows(route: _Route) -> list[tuple[str, str]]:
    anneals = sum(p.anneal_before for p in route.passes)
    rows = [("passes", f"{len(route.passes)}"), ("anneals", f"{anneals}")]
    if not route.passes:
        return rows
    rows.append(("ends worked", f"{100 * route.passes[-1].since_anneal:.0f} %"))
    rows.append(("becomes longer", f"{route.passes[-1].length_ratio:.2f} times"))
    if route.at:
        step = route.passes[route.at - 1]
        rows.append(
            ("this pass takes", f"{100 * step.reduction:.1f} %" + (" of the area" if route.is_wire else ""))
        )
        rows.append(("worked since the anneal", f"{100 * step.since_anneal:.0f} %"))
    return rows


def _words(route: _Route, steps: Sequence[str]) -> str:
    anneals = [at for at, p in enumerate(route.passes, 1) if p.anneal_before]
    before = f"annealed before pass {', '.join(map(str, anneals))}" if anneals else "without an anneal"
    return (
        f"Stock for the {route.part}: from {route.start:.2f} mm in {len(route.passes)} passes, {before}, "
        "within "
        f"{100 * route.limit:.0f} % of cold work. Step {route.at + 1}: {steps[route.at]}."
    )


def _warnings(route: _Route, trouble: str) -> Iterator[Remark]:
    if trouble:
        yield Remark(trouble, True)
        return
    if route.hard and route.passes and route.passes[-1].since_anneal < route.hard + 0.02:
        yield Remark("It ends just hard enough to spring: any more heat, and it is too soft.")
    if not route.is_wire:
        bites = float(largest_draft.plain(_FRICTION, _ROLL_RADIUS))
        drafts = [a - b for a, b in zip(route.sizes, route.sizes[1:], strict=False)]
        if drafts and max(drafts) > bites:
            yield Remark(
                f"A pass takes {max(drafts):.2f} mm; a small mill with rolls of {2 * _ROLL_RADIUS:.0f} mm "
                "bites "
                f"{bites:.2f} mm at most. The rolls slip: set it closer in two goes."
            )
    if route.limit > 0.65:
        yield Remark("So late an anneal risks cracks at the edges. Few alloys bear it.")


STAGE = FormingStage
