"""Lesson 09, solder in order: each heat on a ladder of temperatures, and what has to be shielded."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from course_lib.bench.alloy import alloy_facts, solders_for
from course_lib.bench.job import Plan
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
        """The ladder of this metal's solders, without heats."""
        return {"ladder": self._ladder}

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
        piece: Piece = self.piece
        tall = piece.girdle + piece.tip + piece.base + piece.claw + 3
        wide = 2 * (outlines.ring_radius(piece) + piece.claw) + 1
        scale = min(40 / tall, 26 / wide)
        place = Placed(sheet, 124, 36, scale)
        basket_front(place, piece)
        low = -piece.base - piece.claw / 2
        stub = np.array(
            [
                [-piece.post / 2, low],
                [piece.post / 2, low],
                [piece.post / 2, low - 2.2],
                [-piece.post / 2, low - 2.2],
            ]
        )
        place.outline(stub, PAPER)
        ring = (piece.ring_inside + piece.ring_wire) / 2
        spots = ((-ring * 0.55, 0.0), (0.0, -piece.base), (ring, 0.0), (0.0, low))
        away = ((-11, 10), (-12, -9), (8, 12), (10, -9))
        _numbered(place, made, spots, away)

    def _nut(self, sheet: Sheet, made: _Ladder) -> None:
        piece = self.piece
        scale = 30 / max(piece.plate, piece.scroll_base)
        place = Placed(sheet, 124, 38, scale)
        for outline in (*outlines.scroll(piece), outlines.plate_side(piece)):
            place.outline(outline, PAPER)
        fold = piece.scroll_base / 2
        _numbered(place, made, ((-fold, piece.strip / 2), (0.0, 0.0)), ((-4, 20), (10, -12)))


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
            "heat paste "
            "or a wet rag of ceramic wool, and heat from the other side."
        )
    if made.solidus - heat.flow_degC < 30:
        yield Remark(
            f"This solder flows only {made.solidus - heat.flow_degC:.0f} degrees below where the metal "
            "melts: warm "
            "the whole piece slowly, and take the flame away when the solder flashes."
        )


STAGE = SolderStage
