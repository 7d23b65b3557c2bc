"""The workshop drawing of a whole duplicate: front, side and plan, the nut, and the notch enlarged."""

import numpy as np

from course_lib.bench.pair import smallest_visible
from course_lib.bench.plan import Plan
from course_lib.screen.drafting import Placed
from course_lib.screen.outlines import Piece, piece_of, ring_radius
from course_lib.screen.part_drawings import front_view, nut_side, nut_view, plan_view, side_view, words_of
from course_lib.screen.sheet import GREY, HAIR, PAPER, Sheet
from course_lib.screen.stage import Figure, drawn_figure

PAPER_SIZE = (210.0, 140.0)
_SCALES = (15, 12, 10, 8, 7, 6, 5, 4, 3, 2, 1)


def whole_drawing(plan: Plan) -> Figure:
    """The workshop drawing of a plan, with the same in words.

    Args:
        plan: of the job.

    Returns:
        A figure; a notebook shows it.
    """
    piece = piece_of(plan)
    return drawn_figure(PAPER_SIZE, lambda sheet: _draw(sheet, plan, piece), words_of(piece))


def _draw(sheet: Sheet, plan: Plan, piece: Piece) -> None:
    up = max(piece.girdle + piece.tip, piece.girdle + piece.depth - piece.pavilion)
    tall = up + piece.base + piece.claw / 2 + piece.post_length
    wide = 2 * max(piece.stone / 2, ring_radius(piece) + piece.claw)
    scale = next((s for s in _SCALES if s * tall <= 108 and s * wide <= 40 and s * piece.plate <= 48), 1)
    top = 118 - up * scale
    sheet.lettering((4, 134), f"{plan.job.title}, {scale} : 1, sizes in mm", 8, True)
    front_view(Placed(sheet, 50, top, scale), piece, 6.5)
    # under the front view's widest dimension, whose words may reach this far
    sheet.lettering((96, 122), "between the claws", 7, ink=GREY)
    side_view(Placed(sheet, 112, top, scale), piece)
    sheet.lettering((140, 128), "from above, stone out", 7, ink=GREY)
    plan_view(Placed(sheet, 172, 104, scale), piece, 6.5, "")
    _nut(sheet, piece, scale)
    _notch(sheet, piece, scale)
    visible = float(smallest_visible.plain(plan.job.choices["viewing_distance"]))
    said = f"Unless it says otherwise: ± {visible:.2f}, the least that an eye tells at {_distance(plan)}."
    # beside the notch, whose sizes may reach down to the edge
    sheet.lettering((34, 3), said, 6.5)


def _distance(plan: Plan) -> str:
    return f"{plan.job.choices['viewing_distance']:.0f} mm"


def _nut(sheet: Sheet, piece: Piece, scale: int) -> None:
    lesser = next((s for s in _SCALES if s <= scale and s * piece.plate <= 34), 1)
    sheet.lettering((140, 56), f"the nut, {lesser} : 1", 7, ink=GREY)
    nut_view(Placed(sheet, 146, 28, lesser), piece, 6.5)
    nut_side(Placed(sheet, 190, 28, lesser), piece, 6.5)


def _notch(sheet: Sheet, piece: Piece, scale: int) -> None:
    """The notch near the post's tip, cut through along the middle and enlarged again."""
    if not piece.notch:
        return
    from_tip, depth, width = piece.notch
    large = max(1, min(3 * scale, int(14 / piece.post)))
    place = Placed(sheet, 16, 24, large)
    half, reach = piece.post / 2, 1.6 * width + depth
    right = [[half, reach], [half, width / 2], [half - depth, width / 2]]
    right += [[x, -y] for x, y in reversed(right)]
    outline = np.array([*right, *([-x, y] for x, y in reversed(right))])
    place.outline(outline, PAPER)
    place.hatch(outline, apart=1.4)
    place.line([[0, reach + 0.2], [0, -reach - 0.2]], HAIR, GREY, "centre")
    place.dimension(
        [half - depth, -width / 2], [half - depth, width / 2], depth * large + 4, f"{width:.2f}", "y"
    )
    place.dimension([-half + depth, -width / 2], [half - depth, -width / 2], -(reach * large + 4),
                    f"ø {piece.post - 2 * depth:.2f}", "x")  # fmt: skip
    top = 24 + reach * large
    sheet.lettering((6, top + 13), f"the notch, {large} : 1,", 7, ink=GREY)
    sheet.lettering((6, top + 9.5), f"{from_tip:.2f} from the tip", 7, ink=GREY)
