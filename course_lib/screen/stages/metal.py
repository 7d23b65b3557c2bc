"""Lesson 02, the metal: what an alloy is made of, what the parts weigh in it, and weighing in water."""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from course_lib.bench.measuring import difference_band
from course_lib.bench.metal import (
    composition,
    density_in_water,
    mixed_density,
    water_density,
    weight_in_water,
)
from course_lib.bench.plan import Plan
from course_lib.bench.post import wire_volume
from course_lib.bench.refusals import Refused
from course_lib.bench.ring import ring_volume
from course_lib.bench.suspicions import Remark
from course_lib.bench.tables import find, table_by
from course_lib.screen.charts import HATCHES, Chart, even_ticks
from course_lib.screen.drafting import kept_apart, on_paper
from course_lib.screen.sheet import CAPITAL, GREY, HAIR, INK, PALE, PAPER, POINT, SIGNAL, THIN, Look, Sheet
from course_lib.screen.stage import (
    Control,
    Figure,
    Pick,
    Seen,
    Size,
    Stage,
    Values,
    around,
    drawn_figure,
)

AS_SHEET = "as on the sheet"
MIXED_WITH = {"silver": "Ag", "copper": "Cu", "palladium": "Pd", "nickel": "Ni"}
PARTS = ("gallery ring", "claws", "post", "solder", "stone")
_NONE, _RISING, _FALLING, _CROSSED, _SOLID = HATCHES
_HATCHES = (_SOLID, _RISING, _FALLING, _CROSSED, _NONE)
_SCRAP = (0.2, 20.0)  # g: least and most
# Real alloys lie within about one part in a hundred of the sum; a test in doubt by twice that tells nothing.
_TELLS = 0.02


@dataclass(frozen=True)
class _Known:
    """An alloy by weight and by volume, the earring in it, and a lump of it in water; g/cm3, g, mm3."""

    shares: Mapping[str, float]
    density: float
    parts: Mapping[str, float]
    scrap: float
    bubble: float
    temperature: float
    in_water: float
    found: float
    doubt: float

    @property
    def by_volume(self) -> dict[str, float]:
        """How much of the room each metal fills."""
        return {e: share / _density_of(e) * self.density for e, share in self.shares.items()}

    @property
    def earring(self) -> float:
        """The earring without its nut."""
        return sum(self.parts.values())


class MetalStage(Stage):
    """Two bars for the alloy, by weight and by volume; the parts added up; a lump in air and in water."""

    title = "Know the metal"
    paper = (150.0, 114.0)

    def __init__(self, plan: Plan) -> None:
        super().__init__(plan)
        self.recipe = composition(plan.job.alloy)
        self.main = max(self.recipe, key=lambda element: self.recipe[element])
        self.fine = find("alloys", "alloy", plan.job.alloy, "an alloy").amount("fineness")
        read = plan.job.readings
        self.ring_inside, self.ring_wire = read["ring_inside"].value, read["ring_wire"].value
        self.post_wire, self.post_length = read["post_wire"].value, read["post_length"].value
        # what the grooves and the notch take out
        self.grooves = ring_volume.plain(self.ring_inside, self.ring_wire) - plan.plain("ring_volume")
        self.notch = wire_volume.plain(self.post_wire, self.post_length) - plan.plain("post_volume")
        self.solder_volume = 1000 * plan.plain("solder_weight") / float(mixed_density(self.recipe))
        pattern = read.get("weight")
        self.pattern = pattern.value if pattern else None
        found = plan.carried.results["earring_weight"]
        self.apart = difference_band(found, pattern) if pattern else 0.0
        self.step = find("instruments", "instrument", "fine balance", "an instrument").amount("resolution")
        heaviest = self._weights(
            max(_density_of(e) for e in (self.main, *MIXED_WITH.values())),
            1.25 * self.ring_wire + 0.02, 1.25 * self.post_wire + 0.02,
        )  # fmt: skip
        self.most = 1.05 * max(sum(heaviest.values()), self.pattern or 0.0)

    def controls(self) -> Sequence[Control]:
        """How fine and with what, two sizes, and the lump in the water."""
        rest = {e for e in self.recipe if e != self.main}
        others = [name for name, e in MIXED_WITH.items() if e != self.main and rest != {e}]
        scrap = min(max(round(10 * self.plan.plain("metal_weight"), 1), _SCRAP[0]), _SCRAP[1])
        return (
            Size(
                key="fineness", label=f"{_name(self.main)} in 1000 parts",
                pattern=1000 * self.recipe[self.main], least=300, most=999, step=1, unit="",
            ),
            Pick(key="mixed", label="mixed with", pattern=AS_SHEET, options=(AS_SHEET, *others)),
            around("ring", "ring wire", self.ring_wire, 0.01, 0.25),
            around("post", "post wire", self.post_wire, 0.01, 0.25),
            Size(
                key="scrap", label="lump in the water", pattern=scrap, least=_SCRAP[0], most=_SCRAP[1],
                step=0.1, unit="gram",
            ),
            Size(key="bubble", label="air bubble on it, across", pattern=0, least=0, most=4, step=0.1),
            Size(key="water", label="warmth of the water", pattern=20, least=5, most=35, step=1, unit="degC"),
        )  # fmt: skip

    def see(self, at: Values) -> Seen:
        """Density, the weight of the parts, and what the balance shows of the lump."""
        mix = self._mix(at["fineness"] / 1000, at["mixed"])
        density = float(mixed_density(mix))
        scrap, bubble = round(at["scrap"], 3), math.pi / 6 * at["bubble"] ** 3
        shown = self._as_shown(float(weight_in_water.plain(scrap, density, at["water"], bubble)))
        if not 0 < shown < scrap:
            raise Refused("the balance shows no difference that could be reckoned with. Hang a heavier lump.")
        found = float(density_in_water.plain(scrap, shown, at["water"]))
        # the balance shows whole steps: half of one either way, in air and in water
        doubt = found * self.step / (scrap - shown)
        made = _Known(
            mix, density, self._weights(density, at["ring"], at["post"]), scrap, at["bubble"], at["water"],
            shown, found, doubt,
        )  # fmt: skip
        return Seen(
            rows=self._rows(made), words=self._words(made, at), warnings=list(self._warnings(made)), made=made
        )

    def draw_still(self, sheet: Sheet) -> None:
        """What each picture is, the scale of the weights, and what the balance showed of the pattern."""
        sheet.lettering((4, 108), "The alloy by weight", 8, True)
        sheet.lettering((49, 108), "and by volume", 8, True)
        sheet.lettering((94, 108), "A lump of it, 1 : 1", 8, True)
        sheet.lettering((4, 52), "The earring without its nut, part upon part (g)", 8, True)
        self._balance_band(self._chart(sheet))

    def draw(self, sheet: Sheet, seen: Seen) -> None:
        """Bars, parts and balances."""
        made: _Known = seen.made
        _bar(sheet, 6, 61, made.shares)
        _bar(sheet, 51, 61, made.by_volume)
        _hanging(sheet, 106, 61, made, wet=False)
        _hanging(sheet, 133, 61, made, wet=True)
        self._parts(self._chart(sheet), made)

    def figures(self) -> Mapping[str, Callable[[], Figure]]:
        """The bars, the parts, and the two weighings, each alone."""
        return {"shares": self._shares_alone, "parts": self._parts_alone, "water": self._water_alone}

    def _mix(self, share: float, mixed: str) -> dict[str, float]:
        if mixed == AS_SHEET:
            rest = {e: s for e, s in self.recipe.items() if e != self.main}
        else:
            rest = {MIXED_WITH[mixed]: 1.0}
        others = sum(rest.values()) or 1.0
        return {self.main: share, **{e: (1 - share) * s / others for e, s in rest.items()}}

    def _weights(self, density: float, ring: float, post: float) -> dict[str, float]:
        plan = self.plan
        volumes = {
            "gallery ring": float(ring_volume.plain(self.ring_inside, ring)) - self.grooves,
            "claws": plan.plain("claws_volume"),
            "post": float(wire_volume.plain(post, self.post_length)) - self.notch,
            "solder": self.solder_volume,
        }
        weights = {part: volume * density / 1000 for part, volume in volumes.items()}
        return {**weights, "stone": plan.plain("stone_weight")}

    def _as_shown(self, weight: float) -> float:
        return round(round(weight / self.step) * self.step, 6)

    def _rows(self, made: _Known) -> list[tuple[str, str]]:
        rows = [(_name(e), f"{100 * s:.1f} % by weight") for e, s in made.shares.items()]
        rows += [
            ("density of the alloy", f"{made.density:.2f} g/cm³"),
            ("earring, from its sizes", f"{made.earring:.3f} g"),
        ]
        if self.pattern is not None:
            rows.append(("the balance showed", f"{self.pattern:.3f} g"))
        return [
            *rows,
            ("lump in air", f"{made.scrap:.3f} g"),
            ("lump in water", f"{made.in_water:.3f} g"),
            ("the water carries", f"{made.scrap - made.in_water:.3f} g"),
            ("density found in water", f"{made.found:.2f} ± {made.doubt:.2f} g/cm³"),
        ]

    def _words(self, made: _Known, at: Values) -> str:
        told = ", ".join(f"{_name(e)} {100 * s:.1f} %" for e, s in made.shares.items())
        room = ", ".join(f"{_name(e)} {100 * s:.1f} %" for e, s in made.by_volume.items())
        parts = ", ".join(f"{part} {weight:.3f}" for part, weight in made.parts.items())
        clings = f", with an air bubble {made.bubble:.1f} mm across on it" if made.bubble else ""
        return (
            f"An alloy of {told} by weight (mixed {at['mixed']}); by volume {room}. Its density is "
            f"{made.density:.2f} g/cm³. Part upon part, in g: {parts}; together {made.earring:.3f} g. A lump "
            f"of {made.scrap:.3f} g shows {made.in_water:.3f} g hanging in water of {made.temperature:.0f} °C"
            f"{clings}: a density of {made.found:.2f} g/cm³."
        )

    def _warnings(self, made: _Known) -> Iterator[Remark]:
        yield from _about_nickel(made)
        share = 1000 * made.shares[self.main]
        if share < self.fine - 0.5:
            yield Remark(
                f"Below {self.fine:.0f} parts in 1000 it may not carry the fineness mark {self.fine:.0f}: "
                "that is a least value."
            )
        if self.pattern is not None and abs(made.earring - self.pattern) > self.apart:
            way = "more" if made.earring > self.pattern else "less"
            yield Remark(
                f"The balance disagrees: in this alloy and these sizes the earring would weigh "
                f"{1000 * abs(made.earring - self.pattern):.0f} mg {way} than the pattern, and "
                f"{1000 * self.apart:.0f} mg is all that may be put down to doubt. Another alloy, or a size "
                "was misread."
            )
        yield from _about_the_water(made)

    def _chart(self, sheet: Sheet, low: float = 9.0) -> Chart:
        return Chart(sheet, 37, low, 104, 34, (0, self.most), (-0.6, len(PARTS) + 0.6))

    def _balance_band(self, chart: Chart) -> None:
        chart.scale_below("", even_ticks(0, self.most, 6))
        for row, name in enumerate(reversed((*PARTS, "together"))):
            y = float(chart.y(row)) - CAPITAL * 7 * POINT / 2
            chart.sheet.lettering((24, y), name, 7, row == 0, side="right")
        if self.pattern is None:
            return
        for side in (-1, 1):
            chart.upright(self.pattern + side * self.apart)
        middle = min(max(float(chart.x(self.pattern)), 48.0), 128.0)
        over = chart.low + chart.high + 0.8
        chart.sheet.lettering((middle, over), f"balance {self.pattern:.3f}", 6.5, side="center")

    def _parts(self, chart: Chart, made: _Known) -> None:
        sheet, done = chart.sheet, 0.0
        half = CAPITAL * 7 * POINT / 2
        for row, (part, weight) in enumerate(made.parts.items()):
            at = len(PARTS) - row
            chart.bar(done, done + weight, at, 3.6, _NONE if part == "stone" else _SOLID)
            done += weight
            x, y = float(chart.x(done)), float(chart.y(at))
            sheet.line([[x, y - 1.8], [x, float(chart.y(at - 1)) + 1.8]], Look(None, GREY, HAIR))
            sheet.lettering((35, y - half), f"{weight:.3f}", 7, side="right")
        beyond = self.pattern is not None and abs(made.earring - self.pattern) > self.apart
        y, left, right = float(chart.y(0)), chart.left, float(chart.x(done))
        corners = [[left, y - 1.8], [right, y - 1.8], [right, y + 1.8], [left, y + 1.8]]
        sheet.area(np.array(corners), Look(PALE, SIGNAL if beyond else INK, 1.8 if beyond else 1.1), 2.2)
        sheet.lettering((35, y - half), f"{done:.3f}", 7, True, side="right")
        if beyond:
            # beside the bar, or within it where the paper ends
            end = (right - 1.2, "right") if right > 118 else (right + 1.2, "left")
            on_paper(sheet, (end[0], y - half), "does not agree", 6.5, end[1])

    def _seen(self) -> Seen:
        return self.see(self.pattern_values())

    def _shares_alone(self) -> Figure:
        made: _Known = self._seen().made

        def draw(sheet: Sheet) -> None:
            sheet.lettering((4, 54), f"{self.plan.job.alloy} by weight", 8, True)
            sheet.lettering((59, 54), "and by volume", 8, True)
            _bar(sheet, 6, 5, made.shares)
            _bar(sheet, 61, 5, made.by_volume)

        told = ", ".join(f"{_name(e)} {100 * s:.1f} %" for e, s in made.shares.items())
        room = ", ".join(f"{_name(e)} {100 * s:.1f} %" for e, s in made.by_volume.items())
        return drawn_figure((112.0, 60.0), draw, f"Two bars. By weight: {told}. By volume: {room}.")

    def _parts_alone(self) -> Figure:
        made: _Known = self._seen().made

        def draw(sheet: Sheet) -> None:
            chart = self._chart(sheet, 6.0)
            self._balance_band(chart)
            self._parts(chart, made)

        parts = ", ".join(f"{part} {weight:.3f}" for part, weight in made.parts.items())
        words = f"The parts of the earring without its nut, one upon the other, in g: {parts}; together "
        words += f"{made.earring:.3f}."
        if self.pattern is not None:
            words += f" The balance showed {self.pattern:.3f}, and {self.apart:.3f} may be put down to doubt."
        return drawn_figure((150.0, 46.0), draw, words)

    def _water_alone(self) -> Figure:
        made: _Known = self._seen().made

        def draw(sheet: Sheet) -> None:
            _hanging(sheet, 30, 3, made, wet=False, told=False)
            _hanging(sheet, 75, 3, made, wet=True, told=False)

        words = (
            "Twice the same lump hangs by a hair under a balance: once in air, once wholly in a glass of "
            "water. In water the balance shows less."
        )
        return drawn_figure((110.0, 52.0), draw, words)


def _name(element: str) -> str:
    return str(table_by("elements", "element")[element]["name"])


def _density_of(element: str) -> float:
    return table_by("elements", "element")[element].amount("density_g_cm3")


def _bar(sheet: Sheet, left: float, low: float, shares: Mapping[str, float]) -> None:
    """A standing bar built of its shares, each with its name."""
    high, wide = 43.0, 13.0
    chart = Chart(sheet, left, low, wide, high, (0, 1), (0, 1))
    foot, middles = 0.0, []
    for share, hatch in zip(shares.values(), _HATCHES, strict=False):
        chart.column(0.5, foot, foot + share, wide, hatch)
        middles.append(float(chart.y(foot + share / 2)))
        foot += share
    half = CAPITAL * 7 * POINT / 2
    places = kept_apart(middles, 3.4, low + half, low + high - half)
    for (element, share), middle, place in zip(shares.items(), middles, places, strict=True):
        sheet.line([[left + wide, middle], [left + wide + 1.6, place]], Look(None, GREY, HAIR))
        said = f"{_name(element)} {100 * share:.1f} %"
        sheet.lettering((left + wide + 2.2, place - half), said, 7)


def _hanging(sheet: Sheet, x: float, low: float, made: _Known, wet: bool, told: bool = True) -> None:
    """A lump on its thread under a balance, in air or in a glass of water; the lump is to scale, 1 : 1."""
    box = [[x - 11, low + 35], [x + 11, low + 35], [x + 11, low + 43], [x - 11, low + 43]]
    sheet.area(np.array(box), Look(PAPER, INK, 1.1))
    shown = f"{made.in_water if wet else made.scrap:.3f} g" if told else ("less" if wet else "weight")
    sheet.lettering((x, low + 38), shown, 7.5, True, side="center")
    across = 10 * (6 / math.pi * made.scrap / made.density) ** (1 / 3)
    middle = low + 13.5
    sheet.line([[x, low + 35], [x, middle + across / 2]], Look(width=HAIR))
    sheet.circle((x, middle), across, Look(PALE, INK, 1.1), 3)
    said = "in air"
    if wet:
        said = f"in water, {made.temperature:.0f} °C" if told else "in water"
        _glass(sheet, x, low, middle)
        if made.bubble:
            # a bubble clings to the side, one on the other
            away = (across + made.bubble) / 2 * math.sqrt(0.5)
            sheet.circle((x + away, middle + away), made.bubble, Look(PAPER, INK, THIN), 3.2)
    sheet.lettering((x, low), said, 7, side="center")


def _glass(sheet: Sheet, x: float, low: float, middle: float) -> None:
    wall = [[x - 12, low + 28], [x - 12, low + 4], [x + 12, low + 4], [x + 12, low + 28]]
    sheet.line(wall, Look(width=1.1))
    sheet.line([[x - 12, low + 25], [x + 12, low + 25]], Look(None, GREY, THIN))
    lift = float("nan")
    for y in range(7, 24, 3):
        dashes = [[x - 11, low + y], [x - 9, low + y], [lift, lift], [x + 9, low + y], [x + 11, low + y]]
        sheet.line(dashes, Look(None, GREY, HAIR), 1)


def _about_nickel(made: _Known) -> Iterator[Remark]:
    if made.shares.get("Ni"):
        yield Remark(
            "This alloy holds nickel. Nickel that comes out of the metal can make skin ill for life, and the "
            "law limits how much may come out. Nothing for a post: ask the supplier in writing.",
            True,
        )


def _about_the_water(made: _Known) -> Iterator[Remark]:
    if made.doubt > _TELLS * made.found:
        yield Remark(
            "So light a lump tells nothing: one division of the balance already changes the density by "
            f"{100 * made.doubt / made.found:.0f} in 100. Hang more of the same scrap together."
        )
    if made.bubble:
        lift = math.pi / 6 * made.bubble**3 / 1000 * float(water_density.plain(made.temperature))
        if made.density - made.found > made.doubt:
            yield Remark(
                f"The bubble carries {1000 * lift:.0f} mg, and the density comes out "
                f"{made.density - made.found:.1f} g/cm³ too low. Brush it off under water."
            )


STAGE = MetalStage
