"""Lesson 08, the basket: how ring, claws and stone stand to one another, and whether the culet is free."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from course_lib.bench.basket import basket, crossing_gap
from course_lib.bench.plan import Plan
from course_lib.bench.refusals import Refused
from course_lib.bench.suspicions import Remark
from course_lib.screen import outlines
from course_lib.screen.charts import told_in_lines
from course_lib.screen.drafting import PATTERN, Placed
from course_lib.screen.outlines import Piece, piece_of
from course_lib.screen.part_drawings import in_plane, plan_view
from course_lib.screen.sheet import GREY, HAIR, INK, OUTLINE, PALE, PAPER, SIGNAL, THIN, Look, Sheet
from course_lib.screen.stage import Control, Figure, Seen, Stage, Values, around, drawn_figure

# Common practice: claws that lean out further look splayed; claws
# must stand this many wires apart for a file.
_FLATTEST, _FILE_ROOM = 20.0, 1.3


class BasketStage(Stage):
    """Ring, claws and stone: a cut through the middle, the view from above, and the culet enlarged."""

    title = "Basket"
    paper = (150.0, 92.0)

    def __init__(self, plan: Plan) -> None:
        super().__init__(plan)
        self.piece = piece_of(plan)
        self.bearing = plan.plain("bearing_cut")
        reach = 1.4 * max(self.piece.stone / 2, outlines.ring_radius(self.piece)) + self.piece.claw
        tall = 1.4 * (self.piece.girdle + self.piece.tip + self.piece.base) + 2 * self.piece.claw
        scales = (20, 15, 12, 10, 8, 7, 6, 5, 4, 3, 2, 1)
        self.scale = next((s for s in scales if s * 2 * reach <= 76 and s * tall <= 62), 1)
        self.second = next((s for s in scales if s <= self.scale and s * 2 * reach <= 54), 1)

    def controls(self) -> Sequence[Control]:
        """Stone, wires, ring and heights."""
        piece = self.piece
        return (
            around("stone", "stone across", piece.stone, 0.05, 0.3),
            around("claw", "claw wire", piece.claw, 0.01, 0.4),
            around("ring_inside", "ring inside", piece.ring_inside, 0.05, 0.3),
            around("ring_wire", "ring wire", piece.ring_wire, 0.01, 0.4),
            # far enough to go past half of the ring's wire, on every piece
            around(
                "groove", "groove depth", piece.groove, 0.01, 0.8,
                most=max(1.8 * piece.groove, 0.58 * piece.ring_wire),
            ),
            around("girdle", "girdle over ring's middle", piece.girdle, 0.05, 0.4),
            around("base", "base under ring's middle", piece.base, 0.05, 0.4),
        )  # fmt: skip

    def see(self, at: Values) -> Seen:
        """Flare, grooves, staple and the air under the culet."""
        old, claw = self.piece, at["claw"]
        if at["groove"] > at["ring_wire"]:
            raise Refused(
                f"groove depth {at['groove']:.2f} mm cuts the ring wire of {at['ring_wire']:.2f} mm right "
                f"through. A third of the claw wire does: {claw / 3:.2f} mm."
            )
        bend = old.bend * claw / old.claw
        made = basket.plain(
            at["stone"], at["ring_inside"], at["ring_wire"], claw, at["groove"], at["girdle"], at["base"],
            self.bearing * claw / old.claw, bend, old.claws,
        )  # fmt: skip
        grown = at["stone"] / old.stone
        piece = replace(
            old, stone=at["stone"], depth=old.depth * grown, pavilion=old.pavilion * grown,
            claw=claw, bend=bend, groove=at["groove"], ring_inside=at["ring_inside"],
            ring_wire=at["ring_wire"], girdle=at["girdle"], base=at["base"],
            lean=float(np.radians(made.flare)),
        )  # fmt: skip
        air = float(made.culet_clearance(piece.pavilion))
        rows = [
            ("flare of the claws", f"{made.flare:.1f}°"),
            ("groove to groove", f"{made.groove_spacing:.2f} mm"),
            ("staple, girdle to girdle", f"{made.staple_length:.2f} mm"),
            ("air under the culet", f"{air:.2f} mm"),
        ]
        if old.claws % 2 == 0:
            rows.insert(3, ("gap in the first staple", f"{crossing_gap.plain(claw, old.claws):.2f} mm"))
        return Seen(
            rows=rows, words=_words(piece, made, air), warnings=self._warnings(piece, made, air), made=piece
        )

    def draw_still(self, sheet: Sheet) -> None:
        """The pattern behind, and what each view is."""
        side, plan, detail = self._places(sheet)
        for outline in _outlines_behind(self.piece):
            sheet.area(side.at(outline), PATTERN, 1)
        plan.circle(self.piece.stone, width=THIN, ink=GREY, layer=1)
        plan.circle(self.piece.ring_inside + 2 * self.piece.ring_wire, width=THIN, ink=GREY, layer=1)
        sheet.lettering((4, 86), f"Cut through the middle, {self.scale} : 1", 8, True)
        sheet.lettering((4, 82.2), "thin grey: the pattern", 7, ink=GREY)
        sheet.lettering((92, 86), f"From above, stone out, {self.second} : 1", 8, True)
        sheet.lettering((92, 27), f"The culet, {2 * self.scale} : 1", 8, True)
        sheet.area(_frame(detail), Look(None, GREY, THIN), 1)

    def draw(self, sheet: Sheet, seen: Seen) -> None:
        """The duplicate as the sizes make it."""
        piece: Piece = seen.made
        side, plan, detail = self._places(sheet)
        cut_through(side, piece)
        _dimensions(side, piece)
        plan_view(plan, piece, 6.5, "")
        _culet(detail, piece)

    def figures(self) -> Mapping[str, Callable[[], Figure]]:
        """The grooves, how a claw leans, a staple straightened and bent, and the culet for reading off."""
        return {
            "grooves": self._grooves, "lean": self._lean, "staple": self._staple, "culet": self._culet_alone,
        }  # fmt: skip

    def _grooves(self) -> Figure:
        piece = self.piece
        outside = piece.ring_inside + 2 * piece.ring_wire
        scale = max(1, int(38 / outside))

        def draw(sheet: Sheet) -> None:
            sheet.lettering((4, 64), f"The ring from above, {scale} : 1", 8, True)
            _ring_with_grooves(Placed(sheet, 60, 33, scale), piece)

        words = (
            f"The ring from above, {outside:.2f} mm across outside, with {piece.claws} grooves spread evenly "
            "round it. From the mouth of one groove to the mouth of the next the dividers go straight "
            "across; the way along the ring is longer. The claws lie in their grooves for a third."
        )
        return drawn_figure((128.0, 69.0), draw, words)

    def _lean(self) -> Figure:
        piece = self.piece
        wide = max(piece.stone / 2, outlines.ring_radius(piece) + piece.claw)
        scale = max(1, int(min(52 / wide, 42 / (piece.girdle + piece.tip + piece.base + piece.claw))))

        def draw(sheet: Sheet) -> None:
            sheet.lettering((4, 68), f"One claw from the side, {scale} : 1", 8, True)
            _one_claw_leaning(Placed(sheet, 24, 16 + (piece.base + piece.claw / 2) * scale, scale), piece)

        words = (
            f"One claw from the side. The girdle is {piece.girdle:.2f} mm over the ring's middle. A dashed "
            "line goes straight up from the claw's middle at the ring; at the girdle the claw stands a "
            "little further out. These two ways, up and out, make the triangle."
        )
        return drawn_figure((100.0, 73.0), draw, words)

    def _staple(self) -> Figure:
        piece, plan = self.piece, self.plan
        long, flat = plan.plain("staple_blank"), plan.plain("staple_base")
        turn = np.pi / 2 - piece.lean
        arc = turn * (piece.bend + piece.claw / 2)
        tall = piece.girdle + piece.tip + piece.base + piece.claw
        scale = max(1, int(min(130 / long, 36 / tall)))

        def draw(sheet: Sheet) -> None:
            sheet.lettering((4, 64), f"One staple, bent and straightened, {scale} : 1", 8, True)
            bent = Placed(sheet, 75, 30 + piece.base * scale, scale)
            in_plane(bent, piece)
            place = Placed(sheet, 75, 12, scale)
            half, wire = long / 2, piece.claw / 2
            place.outline([[-half, -wire], [half, -wire], [half, wire], [-half, wire]], PAPER)
            for start in (flat / 2, flat / 2 + arc):
                for side in (-1, 1):
                    place.line(
                        [[side * start, -wire - 0.2], [side * start, wire + 0.2]], THIN, style="dashed"
                    )
            place.line([[0, -wire - 0.5], [0, wire + 0.5]], HAIR, GREY, "centre")
            place.dimension([-half, -wire], [half, -wire], -5, f"{long:.1f}", "x")
            place.dimension([-flat / 2, wire], [flat / 2, wire], 3, f"{flat:.2f}", "x", 6.5)

        words = (
            f"A staple of {piece.claw:.2f} mm wire: bent, and under it straightened, {long:.1f} mm long, "
            "with dashed "
            f"lines where each bend begins and ends. The straight base between the bends is {flat:.2f} mm."
        )
        return drawn_figure((150.0, 70.0), draw, words)

    def _culet_alone(self) -> Figure:
        scale = 2 * self.scale

        def draw(sheet: Sheet) -> None:
            sheet.lettering((4, 45), f"The stone's point over the crossing, {scale} : 1", 8, True)
            place = Placed(sheet, 35, 20, scale)
            sheet.area(_frame(place), Look(None, GREY, THIN), 1)
            _culet(place, self.piece, told=False)
            for fifth in range(-3, 8):
                y = 20 + fifth * 0.2 * scale
                if 20 + _WINDOW[2] <= y <= 20 + _WINDOW[1]:
                    sheet.line([[52, y], [54.5, y]], Look(width=0.7))
                    if 0.2 * scale >= 2.6:
                        sheet.lettering((55.5, y - 0.9), f"{fifth * 0.2:.1f}", 6.5)
            sheet.lettering((4, 4), "a line every 0.2 mm, from the top of the crossing up", 6.5, ink=GREY)

        air = self.plan.plain("culet_clearance")
        words = (
            "The stone's point over the top of the crossing, with a scale of five lines to a millimetre that "
            f"begins at the top of the crossing. The point stands at {told_in_lines(air, (0.0, 0.2))} lines."
        )
        return drawn_figure((112.0, 50.0), draw, words)

    def _warnings(self, piece: Piece, made: Any, air: float) -> list[Remark]:
        least = self.plan.job.choices["smallest_culet_gap"]
        return [*_about_the_culet(air, least), *_about_the_claws(piece, made)]

    def _places(self, sheet: Sheet) -> tuple[Placed, Placed, Placed]:
        """Where the three views stand: the middle of the ring, the middle of the plan, the crossing's top."""
        low = 12 + 1.4 * self.piece.base * self.scale + self.piece.claw * self.scale
        return (
            Placed(sheet, 42, low, self.scale),
            Placed(sheet, 110, 59, self.second),
            Placed(sheet, 110, 11, 2 * self.scale),
        )


def cut_through(place: Placed, piece: Piece) -> None:
    """Ring, staples and stone, cut through the middle along one staple; cut wire is hatched."""
    for angle in outlines.claw_angles(piece)[1:]:
        if abs(np.cos(angle)) < 0.99 and np.sin(angle) < 0:
            place.outline(outlines.claw_seen_from_front(piece, float(angle)), PAPER, THIN, GREY, layer=1.5)
    middle = (piece.ring_inside + piece.ring_wire) / 2
    half = piece.ring_wire / 2
    # the half of the ring behind the cut
    back = [[-middle, -half], [middle, -half], [middle, half], [-middle, half]]
    place.outline(np.array(back), PAPER, THIN, GREY, layer=1.8)
    for side in (-1, 1):
        wire = outlines.circle(piece.ring_wire, (side * middle, 0.0), 40)
        place.outline(wire, PAPER, layer=2)
        place.hatch(wire, apart=0.9, layer=2.05)
    in_plane(place, piece)
    place.outline(outlines.stone_outline(piece), None, THIN, GREY, dashed=True, layer=2.6)
    if piece.claws % 2 == 0:
        crossing = outlines.circle(piece.claw, (0.0, -piece.base), 40)
        place.outline(crossing, PAPER, layer=2.3)
        place.hatch(crossing, apart=0.9, falling=True, layer=2.35)
    top = piece.girdle + max(piece.tip, piece.depth - piece.pavilion) + 0.4
    place.line([[0, top], [0, -piece.base - piece.claw]], HAIR, GREY, "centre")


def _dimensions(place: Placed, piece: Piece) -> None:
    half = piece.stone / 2
    edge = max(half, outlines.ring_radius(piece) + piece.claw)
    top = piece.girdle + piece.depth - piece.pavilion
    place.dimension([-half, top], [half, top], 5, f"{piece.stone:.2f}", letter=6.5)
    place.dimension([-edge, 0], [-edge, piece.girdle], -4, f"{piece.girdle:.2f}", "y", 6.5)
    place.dimension([-edge, -piece.base], [-edge, 0], -4, f"{piece.base:.2f}", "y", 6.5)
    low = -piece.base - piece.claw / 2
    across = outlines.ring_radius(piece)
    place.dimension([across - piece.claw / 2, 0], [across + piece.claw / 2, 0], low * place.scale - 5,
                    f"claw ø {piece.claw:.2f}", "x", 6.5)  # fmt: skip


def _culet(place: Placed, piece: Piece, told: bool = True) -> None:
    """The stone's point over the crossing, enlarged; the origin is the top of the crossing."""
    half, high, low = (size / place.scale for size in _WINDOW)
    point = piece.girdle - piece.pavilion + piece.base - piece.claw / 2
    slope = piece.stone / 2 / piece.pavilion
    wire = np.array([[-half, 0], [half, 0], [half, low], [-half, low]])
    place.outline(wire, PAPER, ink=None, layer=2)
    place.hatch(wire, apart=1.4, layer=2.1)
    place.line([[-half, 0], [half, 0]], OUTLINE)
    # along the pavilion, no further than the frame
    up, tip = min(high, point + half / slope), max(point, low)
    if up <= tip:
        return
    touches = point < 0
    right = [[(tip - point) * slope, tip], [(up - point) * slope, up]]
    stone = [[-x, y] for x, y in reversed(right)] + right
    place.line(stone, 1.8 if touches else OUTLINE, SIGNAL if touches else INK, layer=4)
    if told:
        said = f"{-point:.2f} too low" if touches else f"{point:.2f}"
        place.dimension([half, 0], [half, tip], 4, said, "y")


# Half the width of the enlarged detail, and how far it goes up and down from the crossing, in mm of paper.
_WINDOW = (13.0, 13.0, -8.5)


def _frame(place: Placed) -> Any:
    half, high, low = _WINDOW
    corners = [[-half, low], [half, low], [half, high], [-half, high]]
    return np.add(corners, [place.x, place.y])


def _ring_with_grooves(place: Placed, piece: Piece) -> None:
    """Ring and claws from above; two grooves side by side at the top."""
    outside = piece.ring_inside + 2 * piece.ring_wire
    ring = outlines.circle(outside)
    place.outline(ring, PAPER)
    place.hatch(ring, outlines.circle(piece.ring_inside), apart=1.6)
    place.outline(outlines.circle(piece.ring_inside), None)
    radius, half = outlines.ring_radius(piece), np.pi / piece.claws
    angles = outlines.claw_angles(piece) + np.pi / 2 - half
    for angle in angles:
        way = np.array([np.cos(angle), np.sin(angle)])
        place.outline(outlines.circle(piece.claw, tuple(way * radius)), PALE, layer=2.8)
    reach = outside / 2 + 3 / place.scale
    for angle in angles[:2]:
        way = np.array([np.cos(angle), np.sin(angle)])
        place.line([[0, 0], way * reach], HAIR, GREY, "centre", 3.4)
    first, last = (outside / 2 * np.array([np.cos(a), np.sin(a)]) for a in (angles[1], angles[0]))
    place.line([first, last], 1.4, SIGNAL, layer=4)
    place.centre_cross((0, 0), outside / 2 + 1 / place.scale)
    along = np.linspace(angles[0], angles[1], 25)
    place.line(outside / 2 * np.column_stack([np.cos(along), np.sin(along)]), 2.2, GREY, layer=2.7)
    place.note((0.3 * last + 0.7 * first).tolist(), "dividers: straight across", -16, 11)
    place.note(
        [outside / 2 * np.cos(along[9]), outside / 2 * np.sin(along[9])], "along the ring: longer", 16, 6
    )
    low = angles[-1]
    place.note([radius * np.cos(low), radius * np.sin(low)], "a claw in its groove", 20, -3)
    place.dimension(
        [-outside / 2, 0], [outside / 2, 0],
        -(max(outside / 2, radius + piece.claw / 2) * place.scale + 5), f"ø {outside:.2f} outside", "x",
    )  # fmt: skip


def _one_claw_leaning(place: Placed, piece: Piece) -> None:
    """The right half of the cut: ring wire, claw, half the stone, and the triangle by which it leans."""
    at_ring = outlines.ring_radius(piece)
    out = at_ring + piece.girdle * float(np.tan(piece.lean))
    middle = (piece.ring_inside + piece.ring_wire) / 2
    wire = outlines.circle(piece.ring_wire, (middle, 0.0), 40)
    place.outline(wire, PAPER)
    place.hatch(wire, apart=0.9)
    place.outline(outlines.band(outlines.claw_middle(piece), piece.claw), PAPER, layer=2.6)
    stone = outlines.stone_outline(piece)
    place.line(stone[stone[:, 0] >= -1e-9], THIN, GREY, "dashed", 2.7)
    top = piece.girdle + piece.tip + 2 / place.scale
    place.line([[0, -piece.base - piece.claw], [0, top]], HAIR, GREY, "centre")
    place.line([[at_ring, 0], [at_ring, piece.girdle]], 1.2, SIGNAL, "dashed", 4)
    place.line([[at_ring, piece.girdle], [out, piece.girdle]], 1.2, SIGNAL, layer=4)
    place.line([[at_ring, 0], [out, piece.girdle]], 1.2, SIGNAL, layer=4)
    edge = max(out, at_ring) + piece.claw
    place.dimension([edge, 0], [edge, piece.girdle], 5, f"{piece.girdle:.2f} up", "y")
    place.note([(at_ring + out) / 2, piece.girdle], "out", 12, 12)
    place.note([middle, 0], "ring", -middle * place.scale - 3, 0)
    low = -piece.base - piece.claw / 2
    place.dimension([0, low], [at_ring, low], -5, "at the ring", "x")
    place.dimension([0, top], [out, top], 4, "at the girdle", "x")


def _outlines_behind(piece: Piece) -> list[Any]:
    """The pattern as it lies behind the duplicate."""
    ring = [outlines.ring_side(piece), outlines.stone_outline(piece)]
    if piece.claws % 2 == 0:
        return [*ring, outlines.staple(piece)]
    return [*ring, outlines.band(outlines.claw_middle(piece), piece.claw)]


def _words(piece: Piece, made: Any, air: float) -> str:
    if air >= 0:
        under = f"{air:.2f} mm of air lie under the culet"
    else:
        under = f"The culet would have to go {-air:.2f} mm into the wire under it"
    return (
        f"A basket of {piece.claws} claws of {piece.claw:.2f} mm wire round a stone {piece.stone:.2f} mm "
        f"across, on a ring {piece.ring_inside:.2f} mm inside of {piece.ring_wire:.2f} mm wire: cut through "
        f"the middle, from above, and with the culet enlarged. The claws lean outward {made.flare:.1f} "
        f"degrees. The girdle is {piece.girdle:.2f} mm over the ring's middle, the base wire "
        f"{piece.base:.2f} mm under it. {under}."
    )


def _about_the_culet(air: float, least: float) -> Iterator[Remark]:
    if air < 0:
        said = (
            f"The culet touches the crossing: {-air:.2f} mm are missing. Raise the girdle or lower the base "
            "wire by more than that; pressing the stone down would break it."
        )
        yield Remark(said, True)
    elif air < least:
        yield Remark("Hardly any air under the culet: solder or a bent claw would make it touch.")


def _about_the_claws(piece: Piece, made: Any) -> Iterator[Remark]:
    if piece.groove > piece.ring_wire / 2:
        yield Remark("The grooves go through more than half of the ring's wire: it breaks there.", True)
    if made.flare < 0:
        yield Remark("The claws lean inward: the stone does not go in from above.", True)
    elif made.flare > _FLATTEST:
        yield Remark(f"The claws lean out more than {_FLATTEST:.0f}°: they show, and they open.")
    set_back = (piece.bend + piece.claw / 2) * np.tan((np.pi / 2 - piece.lean) / 2)
    if made.base_radius < set_back:
        yield Remark("There is no straight wire left between the bends of the base.", True)
    if made.groove_spacing < _FILE_ROOM * piece.claw:
        yield Remark("The claws stand so close that no file gets between them.")


STAGE = BasketStage
