"""Lesson 07, the gallery ring: wound on a mandrel, sawn through, closed, and soldered."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from course_lib.bench.plan import Plan
from course_lib.bench.ring import mandrel_for, ring_volume, shrink_from_kerf, wire_for_coil, wire_for_ring
from course_lib.bench.suspicions import Remark
from course_lib.screen import outlines
from course_lib.screen.drafting import Placed
from course_lib.screen.sheet import GREY, HAIR, INK, OUTLINE, PALE, PAPER, SIGNAL, THIN, Sheet
from course_lib.screen.stage import (
    Control,
    Count,
    Figure,
    Seen,
    Size,
    Stage,
    Values,
    Walk,
    around,
    drawn_figure,
)

STEPS = (
    "wind the wire close on the mandrel",
    "let go: the coil springs open a little",
    "saw along the coil: each turn is a ring",
    "close the ring until its ends meet flat",
    "solder the seam, and true it up on the mandrel",
)
# Common practice: wire thicker than this share of the inside can hardly be wound round by hand.
_STIFF = 0.5
_MOST_TURNS = 4


@dataclass(frozen=True)
class _Wound:
    """A ring on its way: what the drawing needs, in mm."""

    inside: float
    wire: float
    kerf: float
    mandrel: float
    as_wound: float
    turns: int
    step: int


class RingStage(Stage):
    """Coil, sawn ring and closed ring, from the side, from above and cut through."""

    title = "Gallery ring"
    paper = (150.0, 62.0)

    def __init__(self, plan: Plan) -> None:
        super().__init__(plan)
        self.inside = plan.plain("ring_inside_as_made")
        self.wire = plan.plain("ring_wire_before_polishing")
        self.kerf = plan.job.choices.ring_kerf
        self.spring = plan.job.choices["spring_back"]
        self.turns = int(plan.job.choices["coil_turns"])
        widest = 1.4 * (self.inside + 2 * self.wire)
        tallest = 1.4 * self.wire * (_MOST_TURNS + 3)
        self.scale = max(1, int(min(36 / widest, 38 / tallest)))

    def controls(self) -> Sequence[Control]:
        """Inside, wire, saw cut, spring-back, turns, and the steps."""
        return (
            around("inside", "ring inside", self.inside, 0.05, 0.3),
            around("wire", "ring wire", self.wire, 0.01, 0.4),
            Size(key="kerf", label="saw cut", pattern=self.kerf, least=0.1, most=0.6, step=0.01),
            Size(
                key="spring", label="spring-back", pattern=100 * self.spring, least=0, most=10, step=0.5,
                unit="percent",
            ),
            Count(key="turns", label="turns in the coil", pattern=self.turns, least=1, most=_MOST_TURNS),
            Walk(key="step", label="step"),
        )  # fmt: skip

    def see(self, at: Values) -> Seen:
        """Mandrel, wire for the coil, and what the saw cut does."""
        inside, wire, kerf, spring = at["inside"], at["wire"], at["kerf"], at["spring"] / 100
        mandrel = float(mandrel_for.plain(inside, wire, kerf, spring))
        made = _Wound(inside, wire, kerf, mandrel, mandrel * (1 + spring), at["turns"], at["step"])
        shrinks = float(shrink_from_kerf.plain(kerf))
        rows = [
            ("mandrel", f"{mandrel:.2f} mm"),
            ("coil inside, let go", f"{made.as_wound:.2f} mm"),
            ("closing takes off", f"{shrinks:.2f} mm"),
            ("wire in one ring, on its middle", f"{wire_for_ring.plain(inside, wire):.2f} mm"),
            ("wire for the coil", f"{wire_for_coil.plain(mandrel, wire, at['turns']):.1f} mm"),
            ("metal in one ring", f"{ring_volume.plain(inside, wire):.2f} mm³"),
        ]
        words = (
            f"A ring {inside:.2f} mm inside of {wire:.2f} mm wire. Step {at['step'] + 1}: "
            f"{STEPS[at['step']]}. "
            f"The mandrel is {mandrel:.2f} mm; let go, the coil is {made.as_wound:.2f} mm inside; the saw "
            "takes "
            f"{kerf:.2f} mm out of each turn, and closing makes the ring {shrinks:.2f} mm smaller inside."
        )
        return Seen(rows=rows, words=words, warnings=list(_warnings(made)), steps={"step": STEPS}, made=made)

    def draw_still(self, sheet: Sheet) -> None:
        """What each view is, and the pattern's ring behind."""
        sheet.lettering((4, 57), f"Coil from the side, {self.scale} : 1", 8, True)
        sheet.lettering((58, 57), f"From above, {self.scale} : 1", 8, True)
        sheet.lettering((110, 57), f"Cut through, {self.scale} : 1", 8, True)
        place = self._above(sheet)
        for diameter in (self.inside, self.inside + 2 * self.wire):
            place.circle(diameter, width=THIN, ink=GREY, layer=1)
        sheet.lettering((58, 3), "thin grey: the pattern's ring before the mop", 6.5, ink=GREY)

    def draw(self, sheet: Sheet, seen: Seen) -> None:
        """The step that is set: coil, sawn ring or closed ring."""
        made: _Wound = seen.made
        self._coil(Placed(sheet, 28, 30, self.scale), made)
        self._ring(self._above(sheet), made)
        self._section(Placed(sheet, 125, 30, self.scale), made)

    def figures(self) -> Mapping[str, Callable[[], Figure]]:
        """Three circles of a bent wire laid straight, what closing does, and joints that gape."""
        return {"middle": self._middle, "closing": _closing, "joints": _joints}

    def _middle(self) -> Figure:
        read = self.plan.job.readings
        inside, wire = read["ring_inside"].value, read["ring_wire"].value
        outer = inside + 2 * wire
        scale = max(1, int(min(36 / outer, 104 / (np.pi * outer))))

        def draw(sheet: Sheet) -> None:
            sheet.lettering((4, 78), f"The pattern's ring from above, {scale} : 1", 8, True)
            _three_circles(Placed(sheet, 46, 52, scale), inside, wire)
            sheet.lettering((4, 24), f"The three circles, laid straight, {scale} : 1", 8, True)
            rows = (("outside", outer, INK), ("middle", inside + wire, SIGNAL), ("inside", inside, INK))
            for at, (name, across, ink) in enumerate(rows):
                y = 18 - 6 * at
                place = Placed(sheet, 22, y, scale)
                place.line([[0, 0], [np.pi * across, 0]], 1.8, ink)
                sheet.lettering((4, y - 0.9), name, 7)

        words = (
            f"A ring {inside:.2f} mm inside, of {wire:.2f} mm wire, from above, with the circle on which the "
            "middle of the wire runs. Under it the outside, the middle and the inside, laid straight: the "
            "outside is the longest, the inside the shortest, and the middle lies half-way between them."
        )
        return drawn_figure((130.0, 83.0), draw, words)

    def _above(self, sheet: Sheet) -> Placed:
        return Placed(sheet, 79, 30, self.scale)

    def _coil(self, place: Placed, made: _Wound) -> None:
        """The turns from the side, on the mandrel as long as it is in there."""
        core = made.mandrel if made.step == 0 else made.as_wound
        half, reach = core / 2 + made.wire, made.turns * made.wire / 2
        if made.step == 0:
            long = reach + 1.5 * made.wire
            bar = [[-made.mandrel / 2, -long], [made.mandrel / 2, -long]]
            bar += [[made.mandrel / 2, long], [-made.mandrel / 2, long]]
            place.outline(np.array(bar), PALE, layer=1.5)
        for turn in range(made.turns):
            middle = (turn + 0.5) * made.wire - reach
            place.outline(_rounded(half, middle, made.wire), PAPER, layer=2)
        if made.step >= 2:
            cut = made.kerf / 2
            strip = [[-cut, -reach - 0.3], [cut, -reach - 0.3], [cut, reach + 0.3], [-cut, reach + 0.3]]
            place.outline(np.array(strip), PAPER, HAIR, SIGNAL, layer=2.2)
        place.line([[0, -reach - 2 * made.wire], [0, reach + 2 * made.wire]], HAIR, GREY, "centre")
        place.dimension([-core / 2, reach], [core / 2, reach], 9, f"{core:.2f}", "x")
        if made.step == 0:
            place.sheet.lettering((place.x, 4), "mandrel", 6.5, side="center")

    def _ring(self, place: Placed, made: _Wound) -> None:
        """One turn from above: whole, sawn open, or closed."""
        inside = {0: made.mandrel, 1: made.as_wound, 2: made.as_wound}.get(made.step, made.inside)
        outer = inside + 2 * made.wire
        place.circle(outer, fill=PAPER)
        place.circle(inside, fill=PAPER)
        if made.step == 2:
            cut, low, high = made.kerf / 2, inside / 2 - 0.05, outer / 2 + 0.05
            gap = [[-cut, low], [cut, low], [cut, high], [-cut, high]]
            place.outline(np.array(gap), PAPER, ink=None, layer=2.5)
            place.line(
                [[-cut, low], [-cut, high], [np.nan, np.nan], [cut, low], [cut, high]], OUTLINE, layer=2.6
            )
            place.dimension([-cut, outer / 2], [cut, outer / 2], 5, f"saw cut {made.kerf:.2f}", "x")
        elif made.step >= 3:
            place.line([[0, inside / 2], [0, outer / 2]], OUTLINE if made.step == 3 else HAIR, layer=2.6)
        place.centre_cross((0, 0), outer / 2 + 0.5)
        place.dimension(
            [-inside / 2, 0], [inside / 2, 0], -(outer / 2 * self.scale + 6), f"ø {inside:.2f}", "x"
        )

    def _section(self, place: Placed, made: _Wound) -> None:
        """The closed ring cut through its middle: two rounds of wire."""
        middle = (made.inside + made.wire) / 2
        for side in (-1, 1):
            wire = outlines.circle(made.wire, (side * middle, 0.0), 40)
            place.outline(wire, PAPER)
            place.hatch(wire, apart=0.9)
        half = made.wire / 2
        for y in (-half, half):
            place.line([[-middle, y], [middle, y]], THIN)
        place.line([[0, -half - 0.5], [0, half + 0.5]], HAIR, GREY, "centre")
        place.line([[-middle, 0], [middle, 0]], HAIR, GREY, "centre")
        place.dimension(
            [-made.inside / 2, 0], [made.inside / 2, 0], 8 + half * self.scale, f"ø {made.inside:.2f}", "x"
        )
        place.dimension([-middle, -half], [middle, -half], -7, f"{made.inside + made.wire:.2f}", "x")
        place.dimension([-middle - half, -half], [-middle - half, half], -4, f"{made.wire:.2f}", "y")


def _rounded(half: float, middle: float, wire: float) -> Any:
    """A turn of wire from the side: a bar with round ends."""
    turned = np.linspace(-np.pi / 2, np.pi / 2, 12)
    right = np.column_stack([half - wire / 2 + wire / 2 * np.cos(turned), middle + wire / 2 * np.sin(turned)])
    return np.vstack([right, (right * [-1, 1])[::-1]])


def _three_circles(place: Placed, inside: float, wire: float) -> None:
    """A ring of wire from above, with the circle of its middle."""
    outer = inside + 2 * wire
    place.circle(outer, fill=PALE)
    place.circle(inside, fill=PAPER)
    place.circle(inside + wire, width=1.2, ink=SIGNAL, dashed=True, layer=2.6)
    place.centre_cross((0, 0), outer / 2 + 1 / place.scale)
    for text, across, up in (("outside: stretched", outer, 11), ("inside: squeezed", inside, -11)):
        place.note(_at(across / 2, np.sign(up) * 0.75), text, 22, up / 2)
    place.note(_at((inside + wire) / 2, 0.15), "middle: keeps its length", 26, 0)
    place.dimension([-inside / 2, 0], [inside / 2, 0], -(outer / 2 * place.scale + 5), f"ø {inside:.2f}", "x")
    place.dimension([-outer / 2, 0], [-inside / 2, 0], outer / 2 * place.scale + 3, f"{wire:.2f}", "x")


def _at(radius: float, angle: float) -> list[float]:
    return [radius * float(np.cos(angle)), radius * float(np.sin(angle))]


def _arc(radius: float, first: float, last: float) -> Any:
    turned = np.linspace(first, last, 61)
    return radius * np.column_stack([np.cos(turned), np.sin(turned)])


def _closing() -> Figure:
    """A sketch with the gap drawn much too wide: what the saw takes comes out of the way round."""
    gap, wire, before = 11.0, 5.0, 14.0
    after = before - gap / (2 * np.pi)

    def draw(sheet: Sheet) -> None:
        sheet.lettering((4, 56), "Sawn, and closed (a sketch: the gap is drawn much too wide)", 8, True)
        open_ring, closed = Placed(sheet, 32, 27, 1), Placed(sheet, 88, 27, 1)
        half = [np.pi / 2 - float(np.arcsin(gap / 2 / r)) for r in (before - wire / 2, before + wire / 2)]
        inner = _arc(before - wire / 2, half[0], np.pi - half[0] - 2 * np.pi)
        outer = _arc(before + wire / 2, half[1], np.pi - half[1] - 2 * np.pi)
        open_ring.outline(np.vstack([outer, inner[::-1]]), PALE)
        open_ring.dimension([-gap / 2, before], [gap / 2, before], 7, "what the saw took", "x")
        closed.circle(2 * after + wire, fill=PALE)
        closed.circle(2 * after - wire, fill=PAPER)
        closed.line([[0, after - wire / 2], [0, after + wire / 2]], OUTLINE)
        closed.circle(2 * before + wire, width=THIN, ink=GREY, dashed=True, layer=3)
        closed.note([0, before + wire / 2], "as it was before", 14, 4)
        for place in (open_ring, closed):
            place.centre_cross((0, 0), before + wire / 2 + 1)

    words = (
        "A sketch of one ring twice, from above. Left it is sawn open, with a gap that is drawn much too "
        "wide. Right it is closed: the gap is gone, and the whole ring has become smaller. A dashed "
        "circle shows how large it was before."
    )
    return drawn_figure((134.0, 61.0), draw, words)


def _joints() -> Figure:
    """Five joints, enlarged: a sketch, and so the same for every piece."""
    drawn = (
        (_wedge_inside, "wedge of light", "inside"),
        (_peaked, "a point; light", "outside"),
        (_round_ends, "light at", "all edges"),
        (_even_gap, "an even gap", "when let go"),
        (_one_higher, "from the side:", "one end higher"),
    )

    def draw(sheet: Sheet) -> None:
        sheet.lettering((4, 46), "Joints, enlarged, the ring's outside up (a sketch, not to scale)", 8, True)
        for at, (halves, first, second) in enumerate(drawn):
            place = Placed(sheet, 18 + 29 * at, 0, 1)
            for outline in halves():
                place.outline(np.add(outline, [0, 27]), PALE)
            for y, text in ((10, first), (6, second)):
                sheet.lettering((place.x, y), text, 7, side="center")

    words = (
        "Five joints of a ring, enlarged, as a sketch. The first has a wedge of light at the inside only. "
        "The second comes to a point, and gapes at the outside. The third touches in the middle, with "
        "light at all edges. The fourth has an even gap when it is let go. The fifth is seen from the side, "
        "and one end stands higher."
    )
    return drawn_figure((152.0, 51.0), draw, words)


# A bit of a ring round its joint, as the sketch has it: inner and outer radius, and how far round it goes.
_IN, _OUT, _WIDE = 16.0, 24.0, 0.5


def _end(*face: tuple[float, float]) -> list[Any]:
    """Both ends at a joint; `face` is that of the right one, from the ring's outside in."""
    low = (_IN + _OUT) / 2
    right = np.vstack(
        [
            face,
            _arc(_IN, np.pi / 2 - 0.12, np.pi / 2 - _WIDE),
            _arc(_OUT, np.pi / 2 - _WIDE, np.pi / 2 - 0.12),
        ]
    )
    right = right - [0, low]
    return [right, right * [-1, 1]]


def _wedge_inside() -> list[Any]:
    return _end((0.0, _OUT), (1.3, _IN))


def _even_gap() -> list[Any]:
    return _end((1.0, _OUT), (1.0, _IN))


def _round_ends() -> list[Any]:
    bow = [(1.5 * (t / 4) ** 2, (_IN + _OUT) / 2 + t) for t in np.linspace(4, -4, 17)]
    return _end(*bow)


def _peaked() -> list[Any]:
    """The wire is bent as far as an angle, and goes on straight until its inner edges meet."""
    turned, low = 0.3, (_IN + _OUT) / 2
    far = _IN * np.tan(turned)
    way = np.array([-np.cos(turned), np.sin(turned)])
    face = [radius * np.array([np.sin(turned), np.cos(turned)]) + far * way for radius in (_OUT, _IN)]
    inner = _arc(_IN, np.pi / 2 - turned, np.pi / 2 - _WIDE)
    outer = _arc(_OUT, np.pi / 2 - _WIDE, np.pi / 2 - turned)
    right = np.vstack([face, inner, outer]) - [0, low]
    return [right, right * [-1, 1]]


def _one_higher() -> list[Any]:
    end = np.array([[0.2, 4.0], [0.2, -4.0], [11.0, -4.0], [11.0, 4.0]])
    return [np.add(end, [0, 1.6]), end * [-1, 1] - [0, 1.6]]


def _warnings(made: _Wound) -> Iterator[Remark]:
    if made.wire > _STIFF * made.inside:
        yield Remark("This wire is thick for so small a ring: anneal it, and wind it in two goes.")
    if made.kerf > 0.4:
        yield Remark(
            "That is a coarse blade: the ends will not meet flat, and the ring closes out of round. "
            "Take a finer one."
        )
    if made.as_wound - made.mandrel > 0.1 * made.mandrel - 1e-9:
        yield Remark("The coil springs far: the wire is hard. Anneal it, or wind twice.")


STAGE = RingStage
