"""Lesson 04, roll and draw: the section after each pass, the anneals, and how hard the metal is by then."""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from course_lib.bench.alloy import alloy_facts
from course_lib.bench.forming import Pass, largest_draft
from course_lib.bench.plan import Plan
from course_lib.bench.refusals import NoRoute, Refused
from course_lib.bench.stock import DRAWN, ROLLED, drawing_route, rolling_route
from course_lib.bench.suspicions import Remark
from course_lib.bench.tables import numbers_of
from course_lib.screen.charts import Chart
from course_lib.screen.drafting import Placed, on_paper
from course_lib.screen.outlines import circle
from course_lib.screen.sheet import GREY, INK, OUTLINE, PALE, PAPER, THIN, Look, Sheet
from course_lib.screen.stage import Control, Figure, Pick, Seen, Size, Stage, Values, Walk, drawn_figure

WIRES = {part: key for part, key, _ in DRAWN}
SHEETS = {part: key for part, key, _ in ROLLED}
SPRINGS = {"scroll": "spring_hardness", "post": "post_hardness"}
# From memory: dry steel rolls on gold alloy, and the rolls of a small hand mill, in mm.
_FRICTION, _ROLL_RADIUS = 0.10, 25.0
_MOST_SHOWN = 24


@dataclass(frozen=True)
class _Route:
    """Passes from start to finish, and the step that is looked at."""

    part: str
    is_wire: bool
    start: float
    passes: tuple[Pass, ...]
    at: int
    one: float
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
        """Part, start and passes as parts of the job's own, the anneal limit, and the passes."""
        nearest = max(self.ends[part] / self.plan.starts[part] for part in self.ends)
        return (
            Pick(key="part", label="stock for", pattern="scroll", options=(*SHEETS, *WIRES)),
            Size(
                key="start", label="start, of what you have", pattern=100,
                least=min(100, math.ceil(100 * nearest) + 5), most=150, step=1, unit="percent",
            ),
            Size(
                key="one", label="of what a pass may take", pattern=100, least=50, most=250, step=5,
                unit="percent",
            ),
            Size(
                key="limit", label="anneal at", pattern=100 * self.limit, least=20, most=75, step=1,
                unit="percent",
            ),
            Walk(key="at", label="pass"),
        )  # fmt: skip

    def _route(self, part: str, start: float, one: float, limit: float) -> tuple[Pass, ...]:
        hard, end = self.hardness.get(part, 0.0), self.ends[part]
        if part in WIRES:
            return drawing_route(start, end, numbers_of("drawplate", "diameter_mm"), one, limit, hard)
        return rolling_route(start, end, one, limit, self.plan.job.choices["mill_step"], hard)

    def see(self, at: Values) -> Seen:
        """Passes, anneals, and how long the stock has become."""
        part, limit = at["part"], at["limit"] / 100
        is_wire = part in WIRES
        start = self.plan.starts[part] * (at["start"] / 100)
        one = (self.draws if is_wire else self.roll) * (at["one"] / 100)
        trouble = ""
        try:
            passes = self._route(part, start, one, limit)
        except NoRoute as error:
            passes, trouble = (), str(error).split(": ", 1)[1]
            if not self.plan.runs[part]:
                raise Refused(f"{part}: {trouble}") from None
        if len(passes) > _MOST_SHOWN:
            raise Refused(f"{len(passes)} passes are more than can be shown. Let a pass take more.")
        route = _Route(
            part, is_wire, start, passes, min(at["at"], len(passes)), one, limit, self.hardness.get(part, 0.0)
        )
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
        """What a pass and a hole take, how the rolls bite, cold work by passes, and a strip that curves."""
        return {
            "both ways": self._both_ways, "bite": self._bite, "passes": self._passes, "curve": _curve,
        }  # fmt: skip

    def _one_step(self, part: str) -> tuple[float, float]:
        """Where a part's stock starts, and its size after the first pass or hole."""
        if not self.plan.runs[part]:
            raise Refused(f"{part}: its stock needs no pass.")
        return self.plan.starts[part], self.plan.runs[part][0].size_mm

    def _both_ways(self) -> Figure:
        thick, thin = self._one_step("scroll")
        wide, narrow = self._one_step("claw")
        scale = max(1, int(26 / max(thick, wide)))

        def draw(sheet: Sheet) -> None:
            sheet.lettering((4, 48), f"Sheet, one pass, {scale} : 1", 8, True)
            sheet.lettering((74, 48), f"Wire, one hole, {scale} : 1", 8, True)
            _sheet_thinned(Placed(sheet, 36, 24, scale), thick, thin)
            _wire_thinned(Placed(sheet, 96, 24, scale), wide, narrow)
            sheet.lettering((4, 3), "grey, within the dashed line: what the pass pushes into the length", 6.5)

        words = (
            f"Two sections before and after one pass. The sheet goes from {thick:.2f} to {thin:.2f} mm and "
            f"keeps its width: it gets thinner one way. The wire goes from {wide:.2f} to {narrow:.2f} mm "
            "across: it gets thinner both ways."
        )
        return drawn_figure((130.0, 53.0), draw, words)

    def _bite(self) -> Figure:
        thick, thin = self._one_step("scroll")
        scale = max(1, int(22 / thick))

        def draw(sheet: Sheet) -> None:
            sheet.lettering((4, 66), f"Sheet between the rolls, from the side, {scale} : 1", 8, True)
            _between_rolls(Placed(sheet, 64, 36, scale), thick, thin)

        words = (
            f"Sheet between two rolls, from the side. It comes in {thick:.2f} mm thick and goes out "
            f"{thin:.2f} mm thick: the difference is the draft. The rolls touch it along a short arc, and "
            "there the friction pulls it in."
        )
        return drawn_figure((130.0, 71.0), draw, words)

    def _passes(self) -> Figure:
        seen = self.see(self.pattern_values() | {"at": 0})

        def draw(sheet: Sheet) -> None:
            self.draw_still(sheet)
            draw_route(sheet, seen.made, told=False)

        route = seen.made
        anneals = [f"{at}" for at, each in enumerate(route.passes, 1) if each.anneal_before]
        words = (
            f"Sections and a bar chart over {len(route.passes)} passes. The bars, cold work since the last "
            f"anneal, grow with every pass up to a line at {100 * route.limit:.0f} %, the limit, "
            + (f"and begin anew after an anneal before pass {', '.join(anneals)}. " if anneals else "")
            + ("The last bar stands over a second line: so hard that it springs." if route.hard else "")
        )
        return drawn_figure(self.paper, draw, words)


def _sheet_thinned(place: Placed, thick: float, thin: float) -> None:
    half = 16.0 / place.scale
    for size, fill, ink, dashed in ((thick, PALE, GREY, True), (thin, PAPER, INK, False)):
        corners = np.array([[-half, -size / 2], [half, -size / 2], [half, size / 2], [-half, size / 2]])
        place.outline(corners, fill, THIN if dashed else OUTLINE, ink, dashed, 1.9 if dashed else 2)
    place.hatch(corners, apart=1.6)
    place.dimension([-half, -thick / 2], [-half, thick / 2], -6, f"{thick:.2f}", "y")
    place.dimension([half, -thin / 2], [half, thin / 2], 6, f"{thin:.2f}", "y")


def _wire_thinned(place: Placed, wide: float, narrow: float) -> None:
    place.circle(wide, fill=PALE, width=THIN, ink=GREY, dashed=True, layer=1.9)
    place.circle(narrow, fill=PAPER)
    place.hatch(circle(narrow, (0.0, 0.0), 48), apart=1.6)
    far = wide / 2 * place.scale + 6
    place.dimension([0, -wide / 2], [0, wide / 2], -far, f"ø {wide:.2f}", "y")
    place.dimension([0, -narrow / 2], [0, narrow / 2], far, f"ø {narrow:.2f}", "y")


def _between_rolls(place: Placed, thick: float, thin: float) -> None:
    """The sheet runs to the right; only the lower and the upper edge of a roll are on the paper."""
    touch = float(np.sqrt(_ROLL_RADIUS * (thick - thin)))
    reach = 34.0 / place.scale
    x = np.linspace(-reach, reach, 81)
    arc = thin / 2 + _ROLL_RADIUS - np.sqrt(_ROLL_RADIUS**2 - x**2)
    top = thick / 2 + 11.0 / place.scale
    for side, name in ((1, "upper roll"), (-1, "lower roll")):
        edge = np.column_stack([x, side * arc])
        place.outline(np.vstack([edge, [[reach, side * top], [-reach, side * top]]]), PALE, THIN)
        place.lettering((0, side * (top - 4.5 / place.scale)), name)
    far = 50.0 / place.scale
    along = np.linspace(-touch, 0, 21)
    squeezed = thin / 2 + _ROLL_RADIUS - np.sqrt(_ROLL_RADIUS**2 - along**2)
    upper = np.vstack([[[-far, thick / 2]], np.column_stack([along, squeezed]), [[far, thin / 2]]])
    strip = np.vstack([upper, upper[::-1] * [1, -1]])
    place.outline(strip, PAPER, OUTLINE, layer=2.2)
    place.hatch(strip, apart=1.6)
    place.dimension([-far, -thick / 2], [-far, thick / 2], -5, f"{thick:.2f}", "y")
    place.dimension([far, -thin / 2], [far, thin / 2], 5, f"{thin:.2f}", "y")
    place.dimension([-touch, -top], [0, -top], -5, "here they bite", "x")


def _curve() -> Figure:
    """A strip that leaves the rolls in a bow: a sketch, and so the same for every piece."""
    bow, half, turned = 60.0, 5.0, np.linspace(0, 0.62, 31)
    left, low = 60.0, 22.0

    def edge(off: float) -> np.ndarray:
        radius = bow + off
        return np.column_stack([left - bow + radius * np.cos(turned), low + radius * np.sin(turned)])

    def draw(sheet: Sheet) -> None:
        sheet.lettering((4, 66), "A curved strip from above (a sketch, not to scale)", 8, True)
        flat = Placed(sheet, 0, 0, 1)
        before = np.array([[left - half, 6.0], [left + half, 6.0]])
        flat.outline(np.vstack([before, edge(half), edge(-half)[::-1]]), PAPER)
        flat.outline([[30, 12], [90, 12], [90, low], [30, low]], PALE, layer=2.3)
        flat.lettering((36, 17), "rolls", side="left")
        flat.arrow((left, 7.0), (left, 11.4))
        flat.note(edge(half)[16], "longer edge", 10, 2)
        flat.note(edge(-half)[16], "shorter edge", -10, -2)

    words = (
        "A strip from above that leaves the rolls in a bow to one side. Its outer edge is the longer one, "
        "its inner edge the shorter one."
    )
    return drawn_figure((120.0, 71.0), draw, words)


def draw_route(sheet: Sheet, route: _Route, told: bool = True) -> None:
    """The sections in a row and the bars under them; `told`: with the figures over the bars."""
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
            if told and (not small or now):
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
    rows = [("starts at", f"{route.start:.2f} mm")]
    rows.append(
        ("a hole takes at most" if route.is_wire else "a pass takes at most", f"{100 * route.one:.0f} %")
    )
    rows += [("passes", f"{len(route.passes)}"), ("anneals", f"{anneals}")]
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
