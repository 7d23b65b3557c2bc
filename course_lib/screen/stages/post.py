"""Lesson 10, the post: how far it gives, when it stays bent, and what the notch costs."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from course_lib.bench.alloy import alloy_facts
from course_lib.bench.plan import Plan
from course_lib.bench.post import load_that_bends, post_blank, tip_give
from course_lib.bench.refusals import Refused
from course_lib.bench.stock import worked_yield
from course_lib.bench.suspicions import Remark
from course_lib.screen.charts import Chart, even_ticks
from course_lib.screen.drafting import Placed
from course_lib.screen.outlines import band, circle
from course_lib.screen.sheet import GREY, HAIR, INK, PALE, PAPER, SIGNAL, THIN, Sheet
from course_lib.screen.stage import Control, Figure, Pick, Seen, Size, Stage, Values, around, drawn_figure

SOFT, HARD = "soft: annealed by its own joint", "hard: worked and not heated since"


@dataclass(frozen=True)
class _Loaded:
    """A post with a load at its tip; mm, N, MPa."""

    wire: float
    length: float
    from_tip: float
    left: float
    load: float
    give: float
    bends_at: float
    at_notch: bool
    tilt: float


class PostStage(Stage):
    """The post from the side, straight and under a load; the notch enlarged; load against what it bears."""

    title = "Post"
    paper = (150.0, 92.0)

    def __init__(self, plan: Plan) -> None:
        super().__init__(plan)
        read = plan.job.readings
        self.wire, self.length = read["post_wire"].value, read["post_length"].value
        self.left = min(read["notch_wire"].value if "notch_wire" in read else self.wire, self.wire)
        self.notched = self.left < self.wire
        self.from_tip = read["notch_from_tip"].value if "notch_from_tip" in read else 0.25 * self.length
        self.load = plan.job.choices["slip_load"]
        facts = alloy_facts(plan.job.alloy)
        self.modulus, self.soft = facts.elastic_modulus, facts.yield_soft
        self.hard = worked_yield(plan.runs["post"], facts)
        self.scale = max(1, int(70 / (1.35 * self.length)))

    def controls(self) -> Sequence[Control]:
        """Wire, length, notch, load, how hard the root is, and how straight it stands."""
        notch = [around("left", "wire left in the notch", self.left, 0.01, 0.35, most=round(self.wire, 2))]
        return (
            around("wire", "post wire", self.wire, 0.01, 0.3),
            around("length", "post length", self.length, 0.1, 0.3),
            *(notch if self.notched else ()),
            Size(
                key="load", label="knock at the tip", pattern=self.load, least=0.1, most=10, step=0.1,
                unit="newton",
            ),
            Pick(key="root", label="the root is", pattern=SOFT, options=(SOFT, HARD)),
            Size(key="tilt", label="out of square by", pattern=0, least=0, most=5, step=0.1, unit="degree"),
        )  # fmt: skip

    def see(self, at: Values) -> Seen:
        """Give at the tip, and the load that leaves it bent at root or notch."""
        wire, length = at["wire"], at["length"]
        left = min(at["left"], wire) if self.notched else wire
        if self.from_tip >= length:
            raise Refused(
                f"the notch lies {self.from_tip:.2f} mm from the tip, beyond the post's whole length."
            )
        give = float(tip_give.plain(wire, length, at["load"], self.modulus))
        root = float(load_that_bends.plain(wire, length, self.soft if at["root"] == SOFT else self.hard))
        notch = float(load_that_bends.plain(left, self.from_tip, self.hard))
        made = _Loaded(
            wire, length, self.from_tip, left, at["load"], give, min(root, notch), notch < root, at["tilt"]
        )
        off = length * np.sin(np.radians(at["tilt"]))
        rows = [
            ("cut the post to", f"{post_blank.plain(length, self.plan.job.choices['post_spare']):.1f} mm"),
            ("the tip gives way by", f"{give:.2f} mm"),
            ("stays bent at the root from", f"{root:.2f} N"),
            ("out of square, the tip is off by", f"{off:.2f} mm"),
        ]
        if self.notched:
            rows.append(("stays bent at the notch from", f"{notch:.2f} N"))
            rows.append(("notch depth, each side", f"{(wire - left) / 2:.2f} mm"))
        where = "notch" if made.at_notch else "root"
        notched = f"The notch leaves {left:.2f} mm of wire." if self.notched else "It has no notch."
        words = (
            f"A post of {wire:.2f} mm wire, {length:.2f} mm long. A knock of {at['load']:.1f} N across its "
            f"tip moves it {give:.2f} mm. From {made.bends_at:.2f} N on it stays bent, first at the {where}. "
            f"{notched}"
        )
        return Seen(rows=rows, words=words, warnings=list(self._warnings(made)), made=made)

    def figures(self) -> dict[str, Callable[[], Figure]]:
        """What bends the post and where, how far its metal is from the middle, three feet, and two sides."""
        return {"lever": self._lever, "section": self._section, "feet": _feet, "two sides": _two_sides}

    def _lever(self) -> Figure:
        scale = max(1, int(84 / self.length))

        def draw(sheet: Sheet) -> None:
            sheet.lettering((4, 52), f"The post as a lever, {scale} : 1", 8, True)
            _held(Placed(sheet, 24, 22, scale), self.wire, self.length)
            sheet.lettering(
                (4, 3), "dashed: where the load pushes it (drawn far more than it is)", 6.5, ink=GREY
            )

        words = (
            f"The post lies to the right, held at its root; it is {self.length:.2f} mm long and "
            f"{self.wire:.2f} mm thick. A load pushes down on its tip. A dashed line shows how it bends: "
            "its tip moves most, but it is bent most sharply at the root, where the load has the longest "
            "lever."
        )
        return drawn_figure((130.0, 57.0), draw, words)

    def _section(self) -> Figure:
        scale = max(1, int(40 / self.wire))

        def draw(sheet: Sheet) -> None:
            sheet.lettering((4, 62), f"The post cut through, {scale} : 1", 8, True)
            place = Placed(sheet, 40, 32, scale)
            place.circle(self.wire, fill=PALE)
            place.circle(self.wire / 2, fill=PAPER, width=THIN, layer=2.2)
            place.hatch(circle(self.wire / 2, (0.0, 0.0), 48), apart=1.6)
            place.centre_cross((0, 0), self.wire / 2 + 3 / scale)
            place.dimension([-self.wire / 2, 0], [self.wire / 2, 0], -26, f"ø {self.wire:.2f}", "x")
            up = np.sqrt(0.5) * self.wire
            place.note([0.375 * up, 0.375 * up], "the ring outside: three quarters of the metal", 16, 6)
            place.note([0.16 * self.wire, 0], "the core, half as wide: one quarter", 26, -4)

        words = (
            f"The post cut through, {self.wire:.2f} mm across. A circle inside it, half as wide, is the "
            "core: one quarter of the metal. The ring outside it is three quarters."
        )
        return drawn_figure((130.0, 67.0), draw, words)

    def draw_still(self, sheet: Sheet) -> None:
        """Titles, and where the post is held."""
        sheet.lettering((4, 86), f"The post, held at its root, {self.scale} : 1", 8, True)
        sheet.lettering((92, 86), "The notch, cut through" if self.notched else "No notch", 8, True)
        sheet.lettering((92, 34), "The knock, and what it bears (N)", 8, True)
        sheet.lettering(
            (4, 3.5), "thin grey: the pattern's post; dashed: where the knock pushes it", 6.5, ink=GREY
        )
        place = self._place(sheet)
        wall = np.array([[-3, 0], [3, 0], [3, 0.9], [-3, 0.9]]) * 6 / self.scale
        place.hatch(wall, apart=1.2)
        place.line([[-18 / self.scale, 0], [18 / self.scale, 0]], 1.1)
        place.outline(_bar(self.wire, self.length), None, THIN, GREY, layer=1)

    def draw(self, sheet: Sheet, seen: Seen) -> None:
        """The post, its bent line, the notch and the bars."""
        made: _Loaded = seen.made
        place = self._place(sheet)
        self._post(place, made)
        if self.notched:
            self._notch(sheet, made)
        self._bars(sheet, made)

    def _place(self, sheet: Sheet) -> Placed:
        return Placed(sheet, 34, 76, self.scale)

    def _post(self, place: Placed, made: _Loaded) -> None:
        turn = np.radians(made.tilt)
        lean = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
        place.outline(_bar(made.wire, made.length, made.from_tip, made.left) @ lean, PAPER)
        along = np.linspace(0, 1, 25)
        # the curve of a beam held at one end: its tip moves by the whole give
        aside = made.give * (3 * along**2 - along**3) / 2
        middle = np.column_stack([aside, -along * made.length]) @ lean
        shown = made.give * place.scale <= 40
        if shown and made.give > 0:
            place.outline(band(middle, made.wire), None, THIN, INK, dashed=True, layer=4)
        end = middle[0] + np.array([0, -made.length]) @ lean
        push = 10 / place.scale
        start = [float(end[0]) - push - made.wire, float(end[1]) + 0.3]
        place.arrow(start, [float(end[0]) - made.wire / 2, float(end[1]) + 0.3], 1.1)
        place.lettering([start[0] - 1 / place.scale, start[1]], f"{made.load:.1f} N", 7, "right")
        right = 24 / place.scale
        place.dimension([right, 0], [right, -made.length], 0, f"{made.length:.2f}", "y")
        place.dimension([-made.wire / 2, -0.3 * made.length], [made.wire / 2, -0.3 * made.length], 0,
                        f"ø {made.wire:.2f}", "x")  # fmt: skip
        place.line([[0, 0.6], [0, -made.length - 0.6]], HAIR, GREY, "centre")

    def _notch(self, sheet: Sheet, made: _Loaded) -> None:
        scale = 16 / max(made.wire, self.wire * 1.3)
        place = Placed(sheet, 114, 62, scale)
        half, left, reach, wide = made.wire / 2, made.left / 2, 16 / scale, 3.5 / scale
        right = [[half, reach], [half, wide], [left, wide]]
        right += [[x, -y] for x, y in reversed(right)]
        outline = np.array([*right, *([-x, y] for x, y in reversed(right))])
        place.outline(outline, PAPER)
        place.hatch(outline, apart=1.4)
        place.line([[0, reach + 1.5 / scale], [0, -reach - 1.5 / scale]], HAIR, GREY, "centre")
        place.dimension([-half, reach], [half, reach], 3.5, f"ø {made.wire:.2f}", "x")
        place.dimension([-left, -wide], [left, -wide], -(reach - wide) * scale - 4, f"ø {made.left:.2f}", "x")
        sheet.lettering((128, 62), f"{made.from_tip:.2f}", 7)
        sheet.lettering((128, 58.5), "from the tip", 7)

    def _bars(self, sheet: Sheet, made: _Loaded) -> None:
        most = 1.15 * max(made.load, made.bends_at, 1.0)
        chart = Chart(sheet, 104, 14, 42, 16, (0, most), (-0.5, 1.5))
        chart.scale_below("", even_ticks(0, most, 4))
        chart.bar(0, made.load, 1, 5, "crossed" if made.load > made.bends_at else "rising")
        chart.bar(0, made.bends_at, 0, 5, "solid")
        sheet.lettering((102.5, float(chart.y(1)) - 0.9), "knock", 7, side="right")
        sheet.lettering((102.5, float(chart.y(0)) - 0.9), "it bears", 7, side="right")
        if made.load > made.bends_at:
            sheet.lettering((104, 4), "stays bent", 7.5, True, SIGNAL)

    def _warnings(self, made: _Loaded) -> Iterator[Remark]:
        if made.load > made.bends_at:
            where = "at the notch" if made.at_notch else "at its root"
            yield Remark(
                f"This knock leaves the post bent {where}. A little more wire helps most: strength grows "
                "with the third power of it.",
                True,
            )
        if made.at_notch:
            yield Remark(
                "The notch is the weakest place: file it less deep, or further from the load's lever."
            )
        hole = self.plan.drill
        if made.wire >= hole:
            yield Remark(f"The hole in the nut is {hole:.2f} mm: this post does not go through it.", True)
        elif made.wire < hole - self.plan.job.choices["hole_most"]:
            yield Remark(f"In a hole of {hole:.2f} mm this post rattles, and the scroll hardly grips it.")
        if made.tilt > 2:
            yield Remark(
                "An eye sees a post out of square by two degrees. True it before the solder is hard."
            )


def _bar(wire: float, length: float, from_tip: float = 0.0, left: float = 0.0) -> np.ndarray:
    """A straight post hanging from the origin, with its notch if it has one."""
    half = wire / 2
    right = [[half, 0.0]]
    if 0 < left < wire:
        low, high = -length + from_tip - 0.2, -length + from_tip + 0.2
        right += [[half, high], [left / 2, high], [left / 2, low], [half, low]]
    right += [[half, -length]]
    points = np.array(right)
    return np.vstack([points, (points * [-1, 1])[::-1]])


def _held(place: Placed, wire: float, length: float) -> None:
    """A post that is held at its left end and pushed down at its right end."""
    mm = 1 / place.scale
    wall = np.array([[-8, -10], [0, -10], [0, 10], [-8, 10]]) * mm
    place.hatch(wall, apart=1.6)
    place.line([wall[1], wall[2]], 1.1)
    half = wire / 2
    place.outline([[0, -half], [length, -half], [length, half], [0, half]], PAPER)
    along = np.linspace(0, 1, 25)
    middle = np.column_stack([along * length, -9 * mm * (3 * along**2 - along**3) / 2])
    place.outline(band(middle, wire), None, THIN, INK, dashed=True, layer=4)
    place.line([[-10 * mm, 0], [length + 4 * mm, 0]], HAIR, GREY, "centre")
    place.arrow([length, half + 11 * mm], [length, half + 0.6 * mm], 1.2)
    place.lettering([length + 1.5 * mm, half + 8 * mm], "load", side="left")
    place.dimension([0, half], [length, half], 13, "the lever", "x")
    place.dimension([0.4 * length, -half], [0.4 * length, half], 0, f"ø {wire:.2f}", "y")
    place.note([0, -half], "root: here the lever is longest", 6, -9)


def _foot(place: Placed, word: str, foot: list[list[float]]) -> None:
    """A post over the wire that it stands on, with what solder has to fill between them."""
    block = np.array([[-16, -9], [16, -9], [16, 0], [-16, 0]])
    place.outline(block, PAPER)
    place.hatch(block, apart=1.6)
    edge = np.array(foot)
    gap = np.vstack([edge, [[8.0, 0.0], [-8.0, 0.0]]])
    place.outline(gap, SIGNAL, 0.3, SIGNAL, layer=2.1)
    rod = np.vstack([[[-8.0, 26.0]], edge, [[8.0, 26.0]]])
    place.outline(rod, PALE, layer=2.3)
    place.hatch(rod, apart=1.6, falling=True, layer=2.4)
    place.lettering((0, -13), word)


def _feet() -> Figure:
    """Three feet of a post, cut through: a sketch, and so the same for every piece."""
    arch = [[x, 1.1 * (1 - (x / 8) ** 2) + 0.3] for x in np.linspace(-8, 8, 17)]
    bulge = [[x, 3.2 * (x / 8) ** 2 + 0.3] for x in np.linspace(-8, 8, 17)]

    def draw(sheet: Sheet) -> None:
        sheet.lettering((4, 56), "Three feet of a post, cut through (a sketch, not to scale)", 8, True)
        _foot(Placed(sheet, 24, 22, 1), "square, a hair hollow", arch)
        _foot(Placed(sheet, 66, 22, 1), "rounded", bulge)
        _foot(Placed(sheet, 108, 22, 1), "filed at a slant", [[-8.0, 0.3], [8.0, 3.6]])
        sheet.lettering((4, 3), "filled: the gap that the solder must fill", 6.5, ink=GREY)

    words = (
        "Three feet of a post on the wire they stand on, cut through. The first is square and a hair hollow: "
        "its whole rim touches. The second is rounded and touches in the middle alone, with a gap all round. "
        "The third was filed at a slant and touches on one side alone, with a wedge for the solder to fill."
    )
    return drawn_figure((132.0, 61.0), draw, words)


def _two_sides() -> Figure:
    """One leaning post seen from two sides: a sketch, and so the same for every piece."""

    def draw(sheet: Sheet) -> None:
        sheet.lettering((4, 62), "One post, seen from two sides (a sketch, not to scale)", 8, True)
        for left, lean, word in ((30, 0.0, "from the front"), (84, 0.14, "from the side")):
            place = Placed(sheet, left, 16, 1)
            block = np.array([[-20, -6], [20, -6], [20, 0], [-20, 0]])
            place.outline(block, PAPER, layer=2.4)
            place.hatch(block, apart=1.6)
            turned = np.array([[np.cos(lean), -np.sin(lean)], [np.sin(lean), np.cos(lean)]])
            rod = np.array([[-3.0, 0.0], [3.0, 0.0], [3.0, 38.0], [-3.0, 38.0]])
            place.outline(rod @ turned, PALE, layer=2.3)
            place.line([[0, -8], [0, 42]], HAIR, GREY, "centre", layer=4)
            place.lettering((0, -10), word)
        Placed(sheet, 84, 16, 1).note([3 + 38 * np.sin(0.14), 30], "it leans after all", 8, 2)

    words = (
        "The same post, seen from two sides. From the front it stands upright on the line. From the side it "
        "leans away from the line."
    )
    return drawn_figure((130.0, 67.0), draw, words)


STAGE = PostStage
