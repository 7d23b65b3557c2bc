"""Lesson 14, your own pattern: the finished duplicate beside its pattern, size by size."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from course_lib.bench.basket import basket
from course_lib.bench.measuring import guard_band
from course_lib.bench.pair import smallest_visible
from course_lib.bench.plan import Plan
from course_lib.bench.suspicions import Remark
from course_lib.screen import outlines
from course_lib.screen.drafting import PATTERN, Placed
from course_lib.screen.outlines import Piece, piece_of
from course_lib.screen.part_drawings import front_view, nut_view
from course_lib.screen.sheet import GREY, INK, PAPER, Look, Sheet
from course_lib.screen.stage import Control, Figure, Seen, Size, Stage, Values, around
from course_lib.screen.whole_drawing import whole_drawing

# keys of the sheet, and how the panel calls them
MEASURED = {
    "claw_tip": "claw over the girdle", "base_to_girdle": "base to girdle", "ring_wire": "ring wire",
    "claw_wire": "claw wire", "post_length": "post length", "plate_diameter": "plate across",
}  # fmt: skip
# From memory: standard uncertainty of a careful reading of the new piece, in mm.
_READ = 0.015
_VERDICTS = {"accept": "cannot be seen", "reject": "can be seen", "cannot say": "cannot say"}


@dataclass(frozen=True)
class _Beside:
    """The duplicate as measured, and what an eye would say of each size."""

    piece: Piece
    off: dict[str, float]
    verdicts: dict[str, str]
    visible: float


class OwnPatternStage(Stage):
    """The duplicate as it was measured over the pattern's outline, and a verdict for each size."""

    title = "Your own pattern"
    paper = (150.0, 104.0)

    def __init__(self, plan: Plan) -> None:
        super().__init__(plan)
        self.piece = piece_of(plan)
        self.read = {key: plan.job.readings[key].value for key in MEASURED}
        self.distance = plan.job.choices["viewing_distance"]
        up = max(
            self.piece.girdle + self.piece.tip, self.piece.girdle + self.piece.depth - self.piece.pavilion
        )
        self.tall = 1.15 * (up + self.piece.base + self.piece.claw + self.piece.post_length)
        self.up = 1.15 * up
        self.scale = max(1, int(78 / self.tall))

    def controls(self) -> Sequence[Control]:
        """The duplicate's sizes as measured, and the distance."""
        sizes = [around(key, label, self.read[key], 0.01, 0.15) for key, label in MEASURED.items()]
        distance = Size(
            key="distance", label="eye to earring", pattern=self.distance, least=100, most=1500, step=10
        )
        return (*sizes, distance)

    def see(self, at: Values) -> Seen:
        """Each difference, and whether an eye sees it."""
        visible = float(smallest_visible.plain(at["distance"]))
        off = {key: at[key] - self.read[key] for key in MEASURED}
        band = 2 * _READ
        verdicts = {key: guard_band(off[key], band, visible) for key in MEASURED}
        made = _Beside(self._as_made(at), off, verdicts, visible)
        rows = [(MEASURED[key], f"{off[key]:+.2f} mm: {_VERDICTS[verdicts[key]]}") for key in MEASURED]
        rows.append(("the eye sees from", f"{visible:.2f} mm"))
        seen = [MEASURED[key] for key in MEASURED if verdicts[key] == "reject"]
        words = (
            "The duplicate over the pattern's outline, from the front, with its nut. From "
            f"{at['distance']:.0f} mm an "
            f"eye tells {visible:.2f} mm apart: {', '.join(seen) if seen else 'no size'} "
            f"{'differ' if len(seen) > 1 else 'differs'} by more."
        )
        return Seen(rows=rows, words=words, warnings=list(_warnings(made)), made=made)

    def _as_made(self, at: Values) -> Piece:
        """The piece with the sizes that were measured on the duplicate."""
        old = self.piece
        claw, ring = at["claw_wire"], at["ring_wire"]
        base = old.base + (old.claw - claw) / 2 + (old.ring_wire - ring) / 2
        girdle = at["base_to_girdle"] - claw / 2 - base
        made = basket.plain(
            old.stone, old.ring_inside, ring, claw, min(old.groove, ring / 2), girdle, base,
            self.plan.plain("bearing_cut"), old.bend, old.claws,
        )  # fmt: skip
        return replace(
            old, claw=claw, ring_wire=ring, tip=at["claw_tip"], girdle=girdle, base=base,
            lean=float(np.radians(made.flare)), post_length=at["post_length"], plate=at["plate_diameter"],
        )  # fmt: skip

    def figures(self) -> Mapping[str, Callable[[], Figure]]:
        """The workshop drawing of the whole duplicate."""
        return {"drawing": lambda: whole_drawing(self.plan)}

    def draw_still(self, sheet: Sheet) -> None:
        """The pattern's outline, and what each view is."""
        sheet.lettering((4, 98), f"Duplicate over pattern, {self.scale} : 1", 8, True)
        sheet.lettering((4, 94), "thin grey: the pattern", 7, ink=GREY)
        sheet.lettering((88, 98), f"The nut, {self._nut_scale} : 1", 8, True)
        front, nut = self._places(sheet)
        piece = self.piece
        shapes = [outlines.ring_side(piece), outlines.post_outline(piece)]
        shapes.append(
            outlines.staple(piece)
            if piece.claws % 2 == 0
            else outlines.band(outlines.claw_middle(piece), piece.claw)
        )
        for shape in shapes:
            sheet.area(front.at(shape), PATTERN, 1)
        sheet.area(nut.at(outlines.plate_side(piece)), PATTERN, 1)

    @property
    def _nut_scale(self) -> int:
        return max(1, int(32 / (1.2 * self.piece.plate)))

    def _places(self, sheet: Sheet) -> tuple[Placed, Placed]:
        return Placed(sheet, 42, 80 - self.up * self.scale, self.scale), Placed(
            sheet, 116, 66, self._nut_scale
        )

    def draw(self, sheet: Sheet, seen: Seen) -> None:
        """The duplicate, and a mark for each size."""
        made: _Beside = seen.made
        front, nut = self._places(sheet)
        front_view(front, made.piece, 6.5)
        nut_view(nut, made.piece, 6.5)
        for row, key in enumerate(MEASURED):
            y = 32 - 5 * row
            ratio = min(abs(made.off[key]) / made.visible, 1.6)
            sheet.lettering((113, y), MEASURED[key], 6.5, made.verdicts[key] == "reject", side="right")
            sheet.line([[115, y + 0.9], [115 + 20, y + 0.9]], Look(None, GREY, 0.3))
            sheet.circle((115 + 20 * ratio / 1.6, y + 0.9), 1.8, Look(PAPER if ratio < 1 else INK), 4)
        limit = 115 + 20 / 1.6
        sheet.line([[limit, 4], [limit, 36]], Look(None, INK, 0.5, "dashed"))
        sheet.lettering((limit, 37.5), "seen from here on", 6.5, side="center")


def _warnings(made: _Beside) -> Iterator[Remark]:
    for key, verdict in made.verdicts.items():
        if verdict == "reject":
            yield Remark(f"The {MEASURED[key]} differs by {abs(made.off[key]):.2f} mm: an eye sees that.")
    if "cannot say" in made.verdicts.values():
        yield Remark(
            "Some differences lie too near to what an eye sees: measure them again, with a finer gauge."
        )


STAGE = OwnPatternStage
