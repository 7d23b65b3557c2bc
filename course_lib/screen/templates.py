"""Templates at true size: print, check the bar with a gauge, cut out, glue on."""

import numpy as np

from course_lib.bench.plan import Plan
from course_lib.screen import outlines
from course_lib.screen.drafting import Placed
from course_lib.screen.paper import letters
from course_lib.screen.sheet import GREY, HAIR, THIN

BAR = 50.0


def scale_bar(place: Placed, letter: float = 7) -> None:
    """A bar of known length, to check that the printer kept the size."""
    place.line([[0, 0], [BAR, 0]], 0.9)
    for at in range(0, int(BAR) + 1, 10):
        place.line([[at, -1.2 if at % 50 else -2], [at, 1.2 if at % 50 else 2]], 0.7)
    letters(
        place.sheet,
        place.x + BAR + 3,
        place.y + 1.6,
        f"This bar is {BAR:.0f} mm. Gauge it: if it is not, print again at 100 %, 'actual size'.",
        letter,
    )


def plate_template(place: Placed, plan: Plan, letter: float = 6.5) -> None:
    """The disc: saw outside the outer circle, file to the inner one, punch the cross."""
    blank, filed = plan.plain("plate_blank"), plan.plain("plate_diameter_before_sanding")
    place.outline(outlines.circle(blank), None, THIN)
    place.outline(outlines.circle(filed), None, HAIR, dashed=True)
    for line in ([[-1, 0], [1, 0]], [[0, -1], [0, 1]]):
        place.line(line, HAIR)
    letters(
        place.sheet,
        place.x - blank / 2,
        place.y - blank / 2 - 0.8,
        f"plate: saw {blank:.2f}, file {filed:.2f}",
        letter,
    )


def strip_template(place: Placed, plan: Plan, letter: float = 6.5) -> None:
    """The scroll's strip, flat: the middle, the two folds, and where each curl begins."""
    length, width = plan.plain("strip_length"), plan.plain("strip_width_before_sanding")
    base = plan.plain("fold_lines")
    place.outline([[0, 0], [length, 0], [length, width], [0, width], [0, 0]], None, THIN)
    for at in ((length - base) / 2, (length + base) / 2):
        place.line([[at, 0], [at, width]], THIN, style="dashed")
    place.line([[length / 2, -0.6], [length / 2, width + 0.6]], HAIR, GREY, "centre")
    place.outline(outlines.circle(plan.drill, (length / 2, width / 2)), None, HAIR)
    letters(
        place.sheet,
        place.x,
        place.y - 0.8,
        f"strip {length:.1f} x {width:.2f}; folds dashed, {base:.2f} apart",
        letter,
    )


def groove_template(place: Placed, plan: Plan, letter: float = 6.5) -> None:
    """A paper band to wrap round the ring: a mark for each groove."""
    piece = outlines.piece_of(plan)
    way, tall = plan.plain("way_round"), 3.0
    place.outline([[0, 0], [way, 0], [way, tall], [0, tall], [0, 0]], None, THIN)
    for mark in range(piece.claws):
        at = way * (mark + 0.5) / piece.claws
        place.line([[at, 0], [at, tall]], 0.9)
    letters(
        place.sheet,
        place.x,
        place.y - 0.8,
        f"round the ring: {piece.claws} grooves (way round {way:.2f})",
        letter,
    )


def staple_template(place: Placed, plan: Plan, letter: float = 6.5) -> None:
    """A staple, straightened: the middle and where each bend begins and ends."""
    length, base = plan.plain("staple_blank"), plan.plain("staple_base")
    turn = np.pi / 2 - np.radians(plan.plain("flare"))
    wire = plan.job.readings["claw_wire"].value
    arc = turn * (plan.plain("bend_radius") + wire / 2)
    place.outline([[0, 0], [length, 0], [length, wire], [0, wire], [0, 0]], None, THIN)
    for start in (base / 2, base / 2 + arc):
        for side in (-1, 1):
            at = length / 2 + side * start
            place.line([[at, -0.7], [at, wire + 0.7]], THIN, style="dashed")
    place.line([[length / 2, -1], [length / 2, wire + 1]], HAIR, GREY, "centre")
    letters(place.sheet, place.x, place.y - 1.2, f"staple {length:.1f}; bend between the dashes", letter)


def post_template(place: Placed, plan: Plan, letter: float = 6.5) -> None:
    """The post: cut to the whole length, trim last to the mark."""
    length, blank = plan.job.readings["post_length"].value, plan.plain("post_blank")
    wire = plan.job.readings["post_wire"].value
    place.outline([[0, 0], [blank, 0], [blank, wire], [0, wire], [0, 0]], None, THIN)
    place.line([[length, -0.7], [length, wire + 0.7]], THIN, style="dashed")
    letters(place.sheet, place.x, place.y - 1.2, f"post {blank:.1f}; trim last to {length:.2f}", letter)


def all_templates(place: Placed, plan: Plan, width: float) -> None:
    """Every template within a strip of paper of this width; `place` is its upper left corner."""
    sheet, x, y = place.sheet, place.x, place.y
    scale_bar(Placed(sheet, x + 2, y - 4, 1))
    blank = plan.plain("plate_blank")
    top = y - 13
    plate_template(Placed(sheet, x + blank / 2 + 1, top - blank / 2, 1), plan)
    columns = (x + max(blank, 40.0) + 6, x + max(blank, 40.0) + 6 + (width - max(blank, 40.0)) / 2)
    pieces = (
        (strip_template, plan.plain("strip_width_before_sanding")),
        (groove_template, 3.0),
        (staple_template, plan.job.readings["claw_wire"].value),
        (post_template, plan.job.readings["post_wire"].value),
    )
    for at, (draw, tall) in enumerate(pieces):
        draw(Placed(sheet, columns[at % 2], top - tall - (at // 2) * 14, 1), plan)
