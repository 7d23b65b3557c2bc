"""Lesson 06, the scroll: curls, folds by saw cuts, the flat strip, and how it grips the post."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from course_lib.bench.alloy import alloy_facts
from course_lib.bench.forming import saw_fold
from course_lib.bench.plan import Plan
from course_lib.bench.refusals import Refused
from course_lib.bench.scroll import curl_length, fold_stands_out, grip, riser_height, scroll_strip
from course_lib.bench.stock import worked_yield
from course_lib.bench.suspicions import Remark
from course_lib.screen import outlines
from course_lib.screen.drafting import HIDDEN, PATTERN, Placed
from course_lib.screen.outlines import Piece, piece_of
from course_lib.screen.sheet import GREY, HAIR, INK, OUTLINE, PALE, PAPER, SIGNAL, THIN, Look, Sheet
from course_lib.screen.stage import Control, Figure, Seen, Stage, Values, Walk, around, drawn_figure

# Common practice: below this the nut slides off by itself, above it nobody gets it off an ear, in N.
_WEAK, _STRONG = 0.3, 8.0


@dataclass(frozen=True)
class _Curled:
    """A scroll worked out; mm, N, MPa, degrees."""

    piece: Piece
    strip_length: float
    fold_lines: float
    curl: float
    cuts: int
    each: float
    deep: float
    done: int
    force: float
    stress: float


class ScrollStage(Stage):
    """The scroll on its post, its fold after each cut, its flat strip, and the stress in it."""

    title = "Scroll"
    paper = (150.0, 92.0)

    def __init__(self, plan: Plan) -> None:
        super().__init__(plan)
        self.piece = piece_of(plan)
        facts = alloy_facts(plan.job.alloy)
        self.modulus = facts.elastic_modulus
        self.bears = worked_yield(plan.runs["scroll"], facts)
        self.thicker = plan.plain("strip_thickness_before_polishing") - self.piece.strip
        widest = max(self.piece.scroll_base, self.piece.plate) * 1.15
        tallest = 1.6 * (self._high(self.piece) + self.piece.plate_thick)
        self.scale = max(1, int(min(64 / widest, 36 / tallest)))
        self.flat = max(1, int(74 / (1.35 * plan.plain("strip_length"))))

    @staticmethod
    def _high(piece: Piece) -> float:
        return float(outlines.curl_middle(piece)[:, 1].max()) + piece.strip / 2

    def controls(self) -> Sequence[Control]:
        """Strip, curl, gap, base and the cuts of the fold."""
        piece = self.piece
        return (
            around("strip", "strip thickness", piece.strip, 0.01, 0.4),
            around("curl", "curl inside", piece.curl_inside, 0.05, 0.4),
            around("turns", "turns in a curl", piece.turns, 0.05, 0.3, least=0.8, unit=""),
            around("gap", "gap between curls", piece.gap, 0.01, 0.25),
            around("base", "base over all", piece.scroll_base, 0.05, 0.2),
            Walk(key="cut", label="fold"),
        )

    def see(self, at: Values) -> Seen:
        """Strip to cut, cuts for the fold, and the grip."""
        piece = replace(
            self.piece, strip=at["strip"], curl_inside=at["curl"], turns=at["turns"], gap=at["gap"],
            scroll_base=at["base"],
        )  # fmt: skip
        made = self._made(piece, at["cut"])
        steps = ("flat, before the first cut", *(f"cut {n} closed" for n in range(1, made.cuts + 1)))
        rows = [
            ("strip to cut", f"{made.strip_length:.1f} mm"),
            ("of that in one curl", f"{made.curl:.1f} mm"),
            ("fold lines apart", f"{made.fold_lines:.2f} mm"),
            ("saw cut, deep", f"{made.deep:.2f} mm"),
            ("cuts in a fold", f"{made.cuts} of {made.each:.0f}°"),
            ("force that slides the nut", f"{made.force:.1f} N"),
            ("stress in the strip", f"{made.stress:.0f} MPa"),
            ("it springs back up to", f"{self.bears:.0f} MPa"),
        ]
        words = (
            f"A scroll of strip {piece.strip:.2f} mm thick with a gap of {piece.gap:.2f} mm on a post of "
            f"{piece.post:.2f} mm. The flat strip is {made.strip_length:.1f} mm. Each fold takes "
            f"{made.cuts} saw "
            f"cuts {made.deep:.2f} mm deep; step {made.done + 1}: {steps[min(made.done, made.cuts)]}. It "
            "takes "
            f"{made.force:.1f} N to slide the nut; the strip is stressed to {made.stress:.0f} of "
            f"{self.bears:.0f} MPa."
        )
        return Seen(
            rows=rows, words=words, warnings=list(self._warnings(made)), steps={"cut": steps}, made=made
        )

    def _made(self, piece: Piece, cut: int) -> _Curled:
        choices = self.plan.job.choices
        inner = (piece.curl_inside + piece.strip) / 2
        deep = choices["fold_share"] * (piece.strip + self.thicker)
        fold = saw_fold.plain(choices["fold_angle"], choices.fold_kerf, deep)
        apart = choices.fold_kerf + choices["fold_web"]
        out = float(fold_stands_out.plain(choices["fold_angle"], fold.cuts, apart))
        riser = float(riser_height.plain(inner, piece.turns, piece.strip, piece.strip))
        lines = piece.scroll_base - 2 * out
        if lines <= 0 or riser <= out:
            raise Refused("with these sizes the two folds run into each other. Make the base longer.")
        curl = float(curl_length.plain(inner, piece.turns, piece.strip))
        to_post = riser + np.pi * (inner + piece.strip * (piece.turns - 0.25))
        held = grip.plain(
            piece.post,
            piece.gap,
            piece.strip,
            piece.strip_width,
            to_post,
            self.modulus,
            choices["nut_friction"],
        )
        strip = float(scroll_strip.plain(lines, riser - out, curl))
        return _Curled(
            piece, strip, lines, curl, fold.cuts, fold.angle_per_cut, deep, min(cut, fold.cuts), held.force,
            held.stress,
        )  # fmt: skip

    def figures(self) -> dict[str, Callable[[], Figure]]:
        """One curl, the strip laid flat, a cut that closes, and the post that pushes the curls apart."""
        return {"curl": self._curl, "flat": self._flat, "cut": self._cut, "grip": self._grip}

    def _curl(self) -> Figure:
        piece = self.piece
        middle = outlines.curl_middle(piece)
        begins = (piece.curl_inside + piece.strip) / 2
        way = 2 * np.pi * piece.turns
        centre = middle[0] - begins * np.array([np.cos(way), np.sin(way)])
        reach = float(np.hypot(*(middle - centre).T).max()) + piece.strip / 2
        scale = max(1, int(25 / reach))

        def draw(sheet: Sheet) -> None:
            sheet.lettering((4, 66), f"One curl, strip from its edge, {scale} : 1", 8, True)
            place = Placed(sheet, 56, 33, scale)
            spiral = middle - centre
            place.outline(outlines.band(spiral, piece.strip), PALE)
            place.line(spiral, THIN, style="centre")
            place.circle(piece.curl_inside, width=THIN, dashed=True, layer=4)
            place.centre_cross((0, 0), piece.curl_inside / 2 + 0.1, 4)
            half = piece.curl_inside / 2
            out = reach * scale
            place.dimension([-half, 0], [half, 0], -out - 5, f"ø {piece.curl_inside:.2f}", "x")
            end, half_strip = spiral[-1], np.array([piece.strip / 2, 0.0])
            place.dimension(end - half_strip, end + half_strip, -out * 0.55, f"{piece.strip:.2f}", "x")
            inner, far = spiral[0], spiral[len(spiral) // 2]
            place.note(inner, "begins here", out + 6 - float(inner[0]) * scale, out - 6)
            place.note(far, "middle of the strip", -out - 6 - float(far[0]) * scale, 16)
            place.note(end, "ends here, in the arm", 12, 10)

        words = (
            f"One curl seen from the edge of its strip, which is {piece.strip:.2f} mm thick. It is "
            f"{piece.curl_inside:.2f} mm across inside. A line along the middle of the strip begins close "
            "round that circle and runs outward, wider and wider, until the strip goes over into the arm."
        )
        return drawn_figure((130.0, 71.0), draw, words)

    def _flat(self) -> Figure:
        plan, wide = self.plan, self.piece.strip_width
        long, lines = plan.plain("strip_length"), plan.plain("fold_lines") / 2
        arm = lines + plan.plain("arm")
        scale = max(1, int(112 / long))

        def draw(sheet: Sheet) -> None:
            high = wide * scale
            sheet.lettering((4, high + 28), f"The strip, flat, {scale} : 1", 8, True)
            place = Placed(sheet, 65, 14 + high / 2, scale)
            half = long / 2
            place.outline([[-half, -wide / 2], [half, -wide / 2], [half, wide / 2], [-half, wide / 2]], PAPER)
            for side in (-1, 1):
                for at, style in ((lines, "dashed"), (arm, "dotted")):
                    place.line([[side * at, -wide / 2 - 0.3], [side * at, wide / 2 + 0.3]], THIN, style=style)
                below = -wide / 2 - 5 / scale
                place.lettering((side * (arm + half) / 2, below), "curl")
                place.lettering((side * (arm + lines) / 2, below), "arm")
                place.note([side * lines, wide / 2 + 0.3], "fold line", side * 5, 4)
            place.lettering((0, below), "base")
            place.circle(plan.drill, width=THIN)
            place.centre_cross((0, 0), plan.drill / 2 + 0.3)

        words = (
            "The flat strip from above, to scale. From one end to the other: curl, arm, fold line, base "
            "with the hole in its middle, fold line, arm, curl. The curls are the longest parts."
        )
        return drawn_figure((130.0, wide * scale + 33), draw, words)

    def _cut(self) -> Figure:
        thick = self.plan.plain("strip_thickness_before_polishing")
        kerf, deep = self.plan.job.choices.fold_kerf, self.plan.job.choices["fold_share"] * thick
        scale = max(1, int(15 / thick))

        def draw(sheet: Sheet) -> None:
            sheet.lettering((4, 52), f"One cut, strip from its edge, {scale} : 1", 8, True)
            for left, closed, name in ((32, False, "sawn"), (92, True, "closed")):
                place = Placed(sheet, left, 16, scale)
                outline = _sawn(thick, kerf, deep, 21.0 / scale, closed)
                place.outline(outline, PAPER)
                place.hatch(outline, apart=1.6)
                sheet.lettering((left - 10, 5), name, 7, side="center")
            place = Placed(sheet, 32, 16, scale)
            place.dimension([-kerf / 2, thick], [kerf / 2, thick], 6, "the blade", "x")
            place.note([0, (thick - deep) / 2], "what stays", 12, -9)
            place = Placed(sheet, 92, 16, scale)
            place.line([[0, 0], [24 / scale, 0]], THIN, style="dashed")
            place.note([-kerf / 2, thick], "lips touch", -6, 9)
            sheet.lettering((109, 11), "the angle of one cut", 7, side="center")

        words = (
            "The strip from its edge, twice. First with one open cut, as wide as the blade, three quarters "
            "through. Then closed: the right part has turned up about the floor of the cut until the two "
            "lips touch. It can turn no further."
        )
        return drawn_figure((130.0, 57.0), draw, words)

    def _grip(self) -> Figure:
        piece, pushed, foot = _pushed_apart(self.piece, np.radians(7.0))
        high = self._high(piece)
        scale = max(1, int(min(34 / (1.25 * high + piece.plate_thick), 60 / piece.scroll_base)))

        def draw(sheet: Sheet) -> None:
            sheet.lettering((4, 60), "The post pushes the curls apart (bending drawn too large)", 8, True)
            place = Placed(sheet, 65, 12, scale)
            flat, *at_rest = outlines.scroll(piece)
            for side, rests in zip((1, -1), at_rest, strict=True):
                place.outline(pushed * [side, 1], PAPER, layer=2.2)
                sheet.area(place.at(rests), HIDDEN, 3)
            place.outline(flat, PAPER, layer=2.3)
            place.outline(outlines.plate_side(piece), PAPER)
            half, low, top = piece.post / 2, -piece.plate_thick - 0.4, high * 1.3
            place.outline([[-half, low], [half, low], [half, top], [-half, top]], PALE, THIN, layer=3.5)
            place.lettering((0, top + 3.5 / scale), "post")
            touch = pushed[pushed[:, 0].argmin()]
            for side in (-1, 1):
                first = touch * [side, 1]
                place.arrow(first, first + np.array([side * 5.0 / scale, 0.0]), THIN, INK)
            far = 14 + piece.strip / 2 * scale
            place.note((foot[0], foot[1]), "bends most here,", far, 6)
            x, y = place.at(foot)
            sheet.lettering((x + far + 0.6, y + 1.5), "at the fold", 7, side="left")
            top_x, top_y = rests[rests[:, 1].argmax()]
            place.note((top_x, top_y), "dashed: without post", -20, 9)

        words = (
            "The scroll from its end, with the post between its curls. Dashed, how the curls stand without "
            "the post: closer together, and down on the base. The post pushes each of them outward. The "
            "arms bend, and most of all at their foot, at the fold."
        )
        return drawn_figure((130.0, 65.0), draw, words)

    def draw_still(self, sheet: Sheet) -> None:
        """The pattern's scroll behind, and what each view is."""
        sheet.lettering((4, 86), f"On its post, from the end, {self.scale} : 1", 8, True)
        sheet.lettering((90, 86), "One fold, strip cut through", 8, True)
        sheet.lettering((4, 25), f"The strip, flat, {self.flat} : 1", 8, True)
        sheet.lettering((90, 34), "Stress in the strip (MPa)", 8, True)
        for outline in outlines.scroll(self.piece):
            sheet.area(self._place(sheet).at(outline), PATTERN, 1)

    def draw(self, sheet: Sheet, seen: Seen) -> None:
        """Scroll, fold, strip and bars."""
        made: _Curled = seen.made
        self._scroll(self._place(sheet), made)
        _fold(Placed(sheet, 118, 56, 10), made, self.plan.job.choices["fold_angle"])
        self._strip(Placed(sheet, 6, 13, self.flat), made)
        self._stress(sheet, made)

    def _place(self, sheet: Sheet) -> Placed:
        return Placed(sheet, 42, 44, self.scale)

    def _scroll(self, place: Placed, made: _Curled) -> None:
        piece = made.piece
        for outline in outlines.scroll(piece):
            place.outline(outline, PAPER)
        plate = outlines.plate_side(piece)
        place.outline(plate, PAPER)
        half, high = piece.post / 2, self._high(piece)
        for side in (-half, half):
            place.line([[side, -piece.plate_thick - 0.8], [side, high + 0.4]], THIN, GREY, "dashed", 4)
        place.line([[0, -piece.plate_thick - 1], [0, high + 0.8]], HAIR, GREY, "centre")
        place.dimension([-piece.gap / 2, high], [piece.gap / 2, high], 4, f"gap {piece.gap:.2f}", "x")
        base = piece.scroll_base / 2
        place.dimension([-base, 0], [base, 0], -piece.plate_thick * place.scale - 5, f"{2 * base:.2f}", "x")
        outer = float(outlines.curl_middle(piece)[:, 0].max()) + piece.strip / 2
        place.dimension([outer, 0], [outer, high], 5, f"{high:.2f}", "y")
        # what presses on the post
        if made.force > 0:
            push = 3.5 / place.scale
            level = high * 0.5
            for side in (-1, 1):
                place.arrow([side * (half + push), level], [side * half, level], 0.8)

    def _strip(self, place: Placed, made: _Curled) -> None:
        long, wide = made.strip_length, made.piece.strip_width
        place.outline(np.array([[0, 0], [long, 0], [long, wide], [0, wide]]), PAPER, OUTLINE)
        middle = long / 2
        for side in (-1, 1):
            at = middle + side * made.fold_lines / 2
            place.line([[at, -0.2], [at, wide + 0.2]], THIN, style="dashed")
        place.circle(self.plan.drill, (middle, wide / 2), width=THIN)
        place.line([[middle, -0.4], [middle, wide + 0.4]], HAIR, GREY, "centre")
        place.dimension([0, 0], [long, 0], -8, f"{long:.1f}", "x")
        lines = made.fold_lines / 2
        place.dimension([middle - lines, 0], [middle + lines, 0], -3.5, f"{made.fold_lines:.2f}", "x", 6.5)

    def _stress(self, sheet: Sheet, made: _Curled) -> None:
        most = 1.1 * max(self.bears, made.stress)
        for row, (name, value) in enumerate((("springs up to", self.bears), ("now", made.stress))):
            long = 40 * value / most
            y = 16 + 8 * row
            corners = np.array([[106, y], [106 + long, y], [106 + long, y + 5], [106, y + 5]])
            wrong = row == 1 and made.stress > self.bears
            sheet.area(corners, Look(PAPER, SIGNAL if wrong else INK, 1.8 if wrong else THIN))
            Placed(sheet, 0, 0, 1).hatch(corners, apart=1.3, falling=row == 1)
            sheet.lettering((104.5, y + 1.5), name, 7, side="right")
        if made.stress > self.bears:
            sheet.lettering((106, 10), "stays bent open", 7.5, True, SIGNAL)

    def _warnings(self, made: _Curled) -> Iterator[Remark]:
        piece = made.piece
        if made.stress > self.bears:
            yield Remark(
                "The strip is bent beyond its spring: the nut grips once and is loose ever after. A wider "
                "gap or a larger curl helps.",
                True,
            )
        if piece.gap >= piece.post - 0.0005:
            yield Remark("The gap is as wide as the post: nothing grips.", True)
        elif made.force < _WEAK:
            yield Remark("So weak a grip lets the nut slide off.")
        elif made.force > _STRONG:
            yield Remark("So strong a grip hurts the ear when the nut is pulled off.")
        inner = outlines.curl_middle(piece)[:, 0].min() - piece.strip / 2
        if inner < piece.gap / 2 - 0.02:
            yield Remark("The curls touch each other before the post comes in.", True)
        if made.deep > 0.85 * (piece.strip + self.thicker):
            yield Remark("The saw cuts go so deep that the fold may tear.")


def _sawn(thick: float, kerf: float, deep: float, half: float, closed: bool) -> np.ndarray:
    """A strip from its edge with one cut from above, closed outline; the left part lies still."""
    floor = np.array([0.0, thick - deep])
    left = np.array([[-kerf / 2, floor[1]], [-kerf / 2, thick], [-half, thick], [-half, 0.0], [0.0, 0.0]])
    right = left[::-1] * [-1, 1]
    if not closed:
        return np.vstack([left, right])
    turned = 2 * np.arctan(kerf / (2 * deep))
    way = np.array([[np.cos(turned), np.sin(turned)], [-np.sin(turned), np.cos(turned)]])
    # the skin under the cut goes round the middle of its floor
    skin = np.linspace(-np.pi / 2, -np.pi / 2 + turned, 12)
    under = floor + floor[1] * np.column_stack([np.cos(skin), np.sin(skin)])
    return np.vstack([left, under, (right - floor) @ way + floor])


def _pushed_apart(piece: Piece, lean: float) -> tuple[Piece, np.ndarray, np.ndarray]:
    """The scroll at rest, its right arm as it leans outward and just touches the post, and its foot.

    Only a sketch: the arm is turned about its foot, where a true one bends along its length.
    """
    piece = replace(piece, gap=piece.post)
    foot = np.array([float(outlines.curl_middle(piece)[-1, 0]), piece.strip / 2])
    way = np.array([[np.cos(lean), -np.sin(lean)], [np.sin(lean), np.cos(lean)]])
    leaning = (outlines.scroll(piece)[1] - foot) @ way + foot
    closer = np.array([float(leaning[:, 0].min()) - piece.post / 2, 0.0])
    foot = foot - closer
    rests = replace(
        piece, gap=piece.post - 2 * float(closer[0]), scroll_base=2 * float(foot[0]) + piece.strip
    )
    return rests, leaning - closer, foot


def _fold(place: Placed, made: _Curled, angle: float) -> None:
    """The strip from its edge, with the cuts closed so far and those still open."""
    thick = 1.2  # the strip is drawn at one thickness, so that the angles can be compared
    each = np.radians(angle) / made.cuts
    turned = each * made.done
    apart = 0.55
    points, way, direction = [np.array([-2.2, 0.0])], 0.0, np.array([1.0, 0.0])
    points.append(np.array([-apart * made.cuts / 2, 0.0]))
    for cut in range(made.cuts):
        if cut < made.done:
            way += each
            direction = np.array([np.cos(way), np.sin(way)])
        points.append(points[-1] + direction * apart)
    points.append(points[-1] + direction * 1.6)
    outer = np.array(points)
    outline = outlines.band(np.array(_dense(outer)), thick)
    place.outline(outline, PAPER)
    for cut in range(made.cuts):
        at, along = outer[cut + 1], outer[cut + 2] - outer[cut + 1]
        across = np.array([-along[1], along[0]]) / np.hypot(*along)
        start, stop = at + across * thick / 2, at - across * thick / 4
        place.line([start, stop], OUTLINE if cut < made.done else 2.5, layer=4)
    place.sheet.lettering((92, 44), f"folded {np.degrees(turned):.0f}° of {angle:.0f}°", 7)


def _dense(points: np.ndarray) -> list[np.ndarray]:
    """The same way with points close together, so that a band along it keeps its width at corners."""
    way: list[np.ndarray] = []
    for start, stop in pairwise(points):
        way += [start + (stop - start) * share for share in np.linspace(0, 1, 6, endpoint=False)]
    return [*way, points[-1]]


STAGE = ScrollStage
