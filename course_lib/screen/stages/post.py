"""Lesson 10, the post: how far it gives, when it stays bent, and what the notch costs."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from course_lib.bench.alloy import alloy_facts
from course_lib.bench.job import Plan
from course_lib.bench.post import load_that_bends, post_blank, tip_give
from course_lib.bench.refusals import Refused
from course_lib.bench.stock import worked_yield
from course_lib.bench.suspicions import Remark
from course_lib.screen.charts import Chart, even_ticks
from course_lib.screen.drafting import Placed
from course_lib.screen.outlines import band
from course_lib.screen.sheet import GREY, HAIR, INK, PAPER, SIGNAL, THIN, Sheet
from course_lib.screen.stage import Control, Pick, Seen, Size, Stage, Values, around

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
                "with "
                "the third power of it.",
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


STAGE = PostStage
