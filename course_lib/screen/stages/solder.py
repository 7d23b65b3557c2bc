"""Lesson 09, solder in order: each heat on a ladder of temperatures, and what has to be shielded."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from course_lib.bench.alloy import alloy_facts, solders_for
from course_lib.bench.plan import Plan
from course_lib.bench.refusals import NoSolder
from course_lib.bench.solder import Heat, Solder, joint_solder, pallion_volume, pallions, plan_heats
from course_lib.bench.suspicions import Remark
from course_lib.bench.whole_piece import NUT_FIRES, NUT_JOINTS, SETTING_FIRES, SETTING_JOINTS
from course_lib.screen import outlines
from course_lib.screen.charts import Chart, even_ticks, told_in_lines
from course_lib.screen.drafting import Placed
from course_lib.screen.outlines import Piece, piece_of
from course_lib.screen.part_drawings import basket_front
from course_lib.screen.sheet import GREY, INK, PALE, PAPER, SIGNAL, THIN, Look, Sheet
from course_lib.screen.stage import Control, Figure, Pick, Seen, Size, Stage, Values, Walk, drawn_figure

SETTING, NUT = "the setting", "the nut"
ALL = "all in the box"
_LINES = 6


@dataclass(frozen=True)
class _Ladder:
    """The solders, the metal, and the heats planned; degC."""

    solders: tuple[Solder, ...]
    solidus: float
    margin: float
    heats: tuple[Heat, ...]
    at: int
    piece: str


class SolderStage(Stage):
    """Temperatures as a ladder, and the joints on the piece."""

    title = "Solder in order"
    paper = (150.0, 84.0)

    def __init__(self, plan: Plan) -> None:
        super().__init__(plan)
        self.piece = piece_of(plan)
        self.box = tuple(sorted(solders_for(plan.job.alloy), key=lambda s: -s.flow_degC))
        self.solidus = alloy_facts(plan.job.alloy).solidus
        self.margin = plan.job.choices["solder_margin"]
        self.gap = plan.job.choices["solder_gap"]

    def controls(self) -> Sequence[Control]:
        """Piece, margin, a solder left out, joint gap, and the heats."""
        return (
            Pick(key="piece", label="piece", pattern=SETTING, options=(SETTING, NUT)),
            Size(
                key="margin", label="margin to keep", pattern=self.margin, least=0, most=60, step=1,
                unit="delta_degC",
            ),
            Pick(key="without", label="solder not there", pattern=ALL, options=self._names()),
            Size(key="gap", label="gap in the joints", pattern=self.gap, least=0.01, most=0.2, step=0.01),
            Walk(key="heat", label="heat"),
        )  # fmt: skip

    def _names(self) -> tuple[str, ...]:
        return (ALL, *(solder.name for solder in self.box))

    def see(self, at: Values) -> Seen:
        """The solder of each joint, what to shield, and how much solder."""
        setting = at["piece"] == SETTING
        joints, fires = (SETTING_JOINTS, SETTING_FIRES) if setting else (NUT_JOINTS, NUT_FIRES)
        solders = tuple(s for s in self.box if s.name != at["without"])
        if not setting:
            # the gentlest two, so that the curls keep more of their spring
            solders = solders[-2:]
        trouble = ""
        try:
            heats = tuple(
                plan_heats([name for name, _ in joints], solders, self.solidus, at["margin"], fires)
            )
        except NoSolder as error:
            heats, trouble = (), str(error).split(": ", 1)[1]
        names = tuple(f"{heat.joint}: {heat.solder}" for heat in heats) or ("cannot be done",)
        made = _Ladder(
            solders, self.solidus, at["margin"], heats, min(at["heat"], len(names) - 1), at["piece"]
        )
        rows = [
            (f"{n}. {heat.joint}", f"{heat.solder}, {heat.flow_degC:.0f} °C")
            for n, heat in enumerate(heats, 1)
        ]
        if heats:
            rows += self._solder_rows(made, dict(joints), at["gap"])
        return Seen(
            rows=rows or [("joints", "none can be made")], words=_words(made), steps={"heat": names},
            warnings=list(_warnings(made, trouble)), made=made,
        )  # fmt: skip

    def _solder_rows(self, made: _Ladder, areas: dict[str, str], gap: float) -> list[tuple[str, str]]:
        choices = self.plan.job.choices
        area = self.plan.plain(areas[made.heats[made.at].joint])
        volume = float(joint_solder.plain(area, gap, choices["solder_fillet"]))
        one = float(pallion_volume.plain(choices["pallion_side"], choices["pallion_thickness"]))
        return [("solder for this joint", f"{volume:.3f} mm³"), ("in pallions", f"{pallions(volume, one)}")]

    def draw_still(self, sheet: Sheet) -> None:
        """What each picture is."""
        sheet.lettering((4, 78), "Ladder of temperatures (°C)", 8, True)
        sheet.lettering((106, 78), "The joints, by number", 8, True)

    def draw(self, sheet: Sheet, seen: Seen) -> None:
        """Ladder and piece at this heat."""
        draw_ladder(sheet, seen.made)
        if seen.made.piece == SETTING:
            self._setting(sheet, seen.made)
        else:
            self._nut(sheet, seen.made)

    def figures(self) -> dict[str, Callable[[], Figure]]:
        """The ladder without heats, the joints by name, what is in which fire, and the gap under the post."""
        return {
            "ladder": self._ladder, "joints": self._joints, "fires": _fires, "gap": self._gap_filled,
        }  # fmt: skip

    def _joints(self) -> Figure:
        """Where the joints of the setting are, without their order."""

        def draw(sheet: Sheet) -> None:
            place, spots = self._setting_placed(sheet, 60.0, 31.0, 44.0, 46.0)
            sheet.lettering((4, 66), "The setting from the front", 8, True)
            words = ("ring seam", "crossing", "claws to ring", "post")
            away = ((-24, 9), (-26, -7), (22, 9), (22, -9))
            for spot, word, (dx, dy) in zip(spots, words, away, strict=True):
                place.circle(1.4 / place.scale, spot, INK, layer=5)
                place.note(spot, word, dx, dy)

        words = (
            "The setting from the front, with its four joints named: the seam of the ring, the crossing of "
            "the claw wires under it, the claws where they lie in the grooves of the ring, and the foot of "
            "the post under the crossing."
        )
        return drawn_figure((120.0, 71.0), draw, words)

    def _gap_filled(self) -> Figure:
        """The foot of the post, with the solder that fills its gap and its corner, to scale."""
        post, gap = self.piece.post, self.gap
        leg = _corner_leg(post, gap, self.plan.job.choices["solder_fillet"])
        scale = 10 * max(1, int(4.4 / (post + 2 * leg)))

        def draw(sheet: Sheet) -> None:
            sheet.lettering((4, 56), f"The foot of the post, cut through, {scale} : 1", 8, True)
            _foot(Placed(sheet, 66, 20, scale), post, gap, leg)

        words = (
            f"The foot of the post, cut through. It is {post:.2f} mm across, and stands {gap:.2f} mm off the "
            "wire. Solder fills this thin gap from edge to edge, and a small corner all round the foot."
        )
        return drawn_figure((130.0, 61.0), draw, words)

    def _ladder(self) -> Figure:
        made = _Ladder(self.box, self.solidus, self.margin, (), 0, SETTING)

        def draw(sheet: Sheet) -> None:
            sheet.lettering((4, 78), "Solders for this metal (°C)", 8, True)
            draw_ladder(sheet, made)

        return drawn_figure((106.0, 84.0), draw, self._ladder_in_words(made))

    def _ladder_in_words(self, made: _Ladder) -> str:
        """To be read as the drawing is: by the lines of the scale."""
        lines = even_ticks(*_ends(made), _LINES)
        bars = (
            f"{s.name} from {told_in_lines(s.solidus_degC, lines)} up to {told_in_lines(s.flow_degC, lines)}"
            for s in self.box
        )
        return (
            "A ladder of temperatures: for each solder a bar from where it begins to melt to where it flows. "
            f"Its scale has a line every {lines[1] - lines[0]:.0f} °C, the lowest at {lines[0]:.0f} °C. "
            f"Counted in lines over the lowest, the bars go: {'; '.join(bars)}. "
            f"The metal itself begins to melt at {told_in_lines(self.solidus, lines)}."
        )

    def _setting(self, sheet: Sheet, made: _Ladder) -> None:
        place, spots = self._setting_placed(sheet, 124.0, 36.0, 26.0, 40.0)
        away = ((-11, 10), (-12, -9), (8, 12), (10, -9))
        _numbered(place, made, spots, away)

    def _setting_placed(
        self, sheet: Sheet, x: float, y: float, broad: float, high: float
    ) -> tuple[Placed, tuple[tuple[float, float], ...]]:
        """The setting drawn into a space in mm of the sheet, and where its joints are, in their order."""
        piece: Piece = self.piece
        tall = piece.girdle + piece.tip + piece.base + piece.claw + 3
        wide = 2 * (outlines.ring_radius(piece) + piece.claw) + 1
        place = Placed(sheet, x, y, min(high / tall, broad / wide))
        basket_front(place, piece)
        low = -piece.base - piece.claw / 2
        half = piece.post / 2
        place.outline(np.array([[-half, low], [half, low], [half, low - 2.2], [-half, low - 2.2]]), PAPER)
        ring = (piece.ring_inside + piece.ring_wire) / 2
        return place, ((-ring * 0.3, 0.0), (0.0, -piece.base), (ring, 0.0), (0.0, low))

    def _nut(self, sheet: Sheet, made: _Ladder) -> None:
        piece = self.piece
        scale = 30 / max(piece.plate, piece.scroll_base)
        place = Placed(sheet, 124, 38, scale)
        for outline in (*outlines.scroll(piece), outlines.plate_side(piece)):
            place.outline(outline, PAPER)
        fold = piece.scroll_base / 2
        _numbered(place, made, ((-fold, piece.strip / 2), (0.0, 0.0)), ((-4, 20), (10, -12)))


def _corner_leg(post: float, gap: float, share: float) -> float:
    """How far the corner of solder reaches, along the wire and up the post, in mm.

    Formula: a ring of right-angled triangles about the foot, by Pappus: its volume is that share of the
    gap's, so leg cubed / 3 + post x leg squared / 2 = share x post squared x gap / 4.
    """
    legs = np.roots([1 / 3, post / 2, 0.0, -share * post**2 * gap / 4])
    return float(max(leg.real for leg in legs if abs(leg.imag) < 1e-9))


def _foot(place: Placed, post: float, gap: float, leg: float) -> None:
    half, broad = post / 2, 46.0 / place.scale
    low, high = -11.0 / place.scale, 26.0 / place.scale
    wire = np.array([[-broad, low], [broad, low], [broad, 0], [-broad, 0]])
    place.outline(wire, PAPER)
    place.hatch(wire, apart=1.6)
    foot = np.array([[-half, gap], [half, gap], [half, high], [-half, high]])
    place.outline(foot, PAPER)
    place.hatch(foot, apart=1.6, falling=True)
    solder = [[-half - leg, 0], [half + leg, 0], [half, leg], [half, gap], [-half, gap], [-half, leg]]
    place.outline(solder, INK, THIN, layer=3)
    place.lettering((-half - 14 / place.scale, low / 2), "wire")
    place.note([half, high * 0.8], "post", 8, 2)
    place.note([half + leg / 3, leg / 3], "solder in the corner", 14, 9)
    place.note([-half, gap / 2], f"solder in the gap of {gap:.2f}", -10, 12)


def _fires() -> Figure:
    """Which joints are in which fire: the same for every piece."""
    names = [name for name, _ in SETTING_JOINTS]

    def draw(sheet: Sheet) -> None:
        sheet.lettering((4, 54), "What is in the fire", 8, True)
        for at, fire in enumerate(SETTING_FIRES):
            middle = 52.0 + 24 * at
            sheet.lettering((middle, 45), f"heat {at + 1}", 7, side="center")
            for row, name in enumerate(names):
                y = 36.0 - 9 * row
                if at == 0:
                    sheet.lettering((36, y - 0.9), name, 7, side="right")
                    sheet.line(np.array([[40, y], [136, y]]), Look(None, GREY, THIN, "dotted"), 1)
                if row == at:
                    sheet.circle((middle, y), 5.0, Look(INK, INK), 4)
                elif row in fire:
                    sheet.circle((middle, y), 5.0, Look(PAPER, INK, 1.4), 4)
        sheet.circle((8, 3.4), 3.4, Look(INK, INK), 4)
        sheet.lettering((11, 2.6), "made in this heat", 6.5)
        sheet.circle((48, 3.4), 3.4, Look(PAPER, INK, 1.2), 4)
        sheet.lettering((51, 2.6), "finished, and in the fire again", 6.5)

    again = (
        f"heat {at + 1} makes {names[at]}, and "
        + (
            f"{', '.join(names[row] for row in fire)} are in the fire again"
            if fire
            else "nothing else is hot"
        )
        for at, fire in enumerate(SETTING_FIRES)
    )
    return drawn_figure((142.0, 59.0), draw, f"A chart of four heats: {'; '.join(again)}.")


def _ends(made: _Ladder) -> tuple[float, float]:
    """Lowest and highest temperature of the ladder, in degC."""
    every = [s.solidus_degC for s in made.solders] or [made.solidus - 200]
    return min(every) - 15, made.solidus + 15


def draw_ladder(sheet: Sheet, made: _Ladder) -> None:
    """Each solder as a bar from solidus to flow, the metal's own solidus, and what is in the fire."""
    low, high = _ends(made)
    chart = Chart(sheet, 18, 8, 64, 62, (0, max(len(made.solders), 1)), (low, high))
    chart.scale_beside("", even_ticks(low, high, _LINES), "{:.0f}".format)
    chart.level(made.solidus, look=Look(None, INK, 1.4))
    sheet.lettering((83, float(chart.y(made.solidus)) - 0.8), "metal melts", 6.5)
    safe = made.solidus - made.margin
    if made.margin >= 8:
        chart.level(safe, look=Look(None, GREY, THIN, "dashed"))
        if float(chart.y(made.solidus) - chart.y(safe)) > 3.2:
            sheet.lettering((83, float(chart.y(safe)) - 0.8), "keep below", 6.5, ink=GREY)
    heat = made.heats[made.at] if made.heats else None
    for at, solder in enumerate(made.solders):
        used = heat is not None and solder.name == heat.solder
        melts = heat is not None and not used and heat.flow_degC > solder.solidus_degC - made.margin
        hatch = "crossed" if used else ("rising" if melts else "solid")
        chart.column(at + 0.5, solder.solidus_degC, solder.flow_degC, 9, hatch)
        middle = float(chart.x(at + 0.5))
        down = 0.0 if at % 2 == 0 or len(made.solders) < 4 else 2.6
        sheet.lettering((middle, 4.2 - down), solder.name, 6.5, used, side="center")
    if heat is not None:
        chart.level(heat.flow_degC, look=Look(None, SIGNAL, 1.2))
        sheet.lettering((83, float(chart.y(heat.flow_degC)) - 0.8), "this heat", 6.5, True, SIGNAL)


def _numbered(
    place: Placed, made: _Ladder, spots: Sequence[tuple[float, float]], away: Sequence[tuple[float, float]]
) -> None:
    """A number at each joint: done, in the fire, to be shielded, or still to come."""
    heat = made.heats[made.at] if made.heats else None
    for at, (spot, (dx, dy)) in enumerate(zip(spots, away, strict=True)):
        joint = made.heats[at].joint if made.heats else ""
        now, shield = at == made.at and bool(made.heats), heat is not None and joint in heat.shield
        where = place.at(spot)
        end = where + np.array([dx, dy])
        ink = SIGNAL if now or shield else (INK if at < made.at else GREY)
        place.sheet.line(np.array([where, end]), Look(None, ink, 1.0 if now else 0.5), 4)
        place.sheet.circle(
            (float(end[0]), float(end[1])),
            5.0,
            Look(PALE if at < made.at else PAPER, ink, 1.6 if now else 0.7),
            5,
        )
        place.sheet.lettering((float(end[0]), float(end[1]) - 0.95), f"{at + 1}", 7.5, True, ink, "center")
        word = "now" if now else ("shield" if shield else ("done" if at < made.at else ""))
        if word:
            side = "left" if dx > 0 else "right"
            shift = 3.2 if dx > 0 else -3.2
            place.sheet.lettering((float(end[0]) + shift, float(end[1]) - 0.8), word, 6.5, ink=ink, side=side)


def _words(made: _Ladder) -> str:
    if not made.heats:
        return (
            f"With these solders {made.piece} cannot be soldered: the metal begins to melt at "
            f"{made.solidus:.0f} °C."
        )
    told = "; ".join(
        f"{n}. {h.joint} with {h.solder} at {h.flow_degC:.0f} °C"
        + (f", shielding {' and '.join(h.shield)}" if h.shield else "")
        for n, h in enumerate(made.heats, 1)
    )
    return (
        f"The heats of {made.piece}, in order: {told}. The metal begins to melt at {made.solidus:.0f} °C; "
        f"{made.margin:.0f} degrees are kept. Now heat {made.at + 1}."
    )


def _warnings(made: _Ladder, trouble: str) -> Iterator[Remark]:
    if trouble:
        yield Remark(trouble, True)
        return
    heat = made.heats[made.at]
    if heat.shield:
        yield Remark(
            f"In this heat the solder of {' and '.join(heat.shield)} would flow again: shield it with "
            "heat paste or a wet rag of ceramic wool, and heat from the other side."
        )
    if made.solidus - heat.flow_degC < 30:
        yield Remark(
            f"This solder flows only {made.solidus - heat.flow_degC:.0f} degrees below where the metal "
            "melts: warm the whole piece slowly, and take the flame away when the solder flashes."
        )


STAGE = SolderStage
