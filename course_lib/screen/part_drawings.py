"""Workshop drawings of a plan: the earring from the front and from above, and its nut."""

import numpy as np

from course_lib.screen import outlines
from course_lib.screen.drafting import Placed
from course_lib.screen.outlines import Piece
from course_lib.screen.sheet import GREY, HAIR, OUTLINE, POINT, THIN


def front_view(place: Placed, piece: Piece, letter: float = 7) -> None:
    """The earring from the front, in the plane of one staple, dimensioned. The stone is a light outline."""
    basket_front(place, piece)
    place.outline(outlines.stone_outline(piece), None, THIN, GREY, dashed=True, layer=2.6)
    place.outline(outlines.post_outline(piece), "white", layer=2)
    top = max(piece.girdle + piece.tip, piece.girdle + piece.depth - piece.pavilion)
    place.line([[0, top + 0.5], [0, _tip(piece) - 0.5]], HAIR, GREY, "centre")
    _front_dimensions(place, piece, letter)


def basket_front(place: Placed, piece: Piece) -> None:
    """Ring and claws from the front, in the plane of one staple."""
    for angle in outlines.claw_angles(piece)[1:]:
        if abs(np.cos(angle)) < 0.99 and np.sin(angle) < 0:
            place.outline(outlines.claw_seen_from_front(piece, float(angle)), "white", THIN, GREY, layer=1.5)
    place.outline(outlines.ring_side(piece), "white", layer=2)
    in_plane(place, piece)


def in_plane(place: Placed, piece: Piece) -> None:
    """The staple that lies in the plane of the drawing; of an odd number of claws, one and its neighbour."""
    if piece.claws % 2 == 0:
        place.outline(outlines.staple(piece), "white", layer=2.2)
        return
    place.outline(outlines.band(outlines.claw_middle(piece), piece.claw), "white", layer=2.2)
    other = outlines.claw_seen_from_front(piece, 2 * np.pi / piece.claws)
    place.outline(other, "white", layer=2.1)
    _one_metal(place, piece)


def _one_metal(place: Placed, piece: Piece) -> None:
    """Take off the line where two half bases meet in the middle: they are soldered into one."""
    half, edge = piece.claw / 2, OUTLINE * POINT / 2 / place.scale
    low, high = -piece.base - half + edge, -piece.base + half - edge
    wide = 2 * edge
    place.outline([[-wide, low], [wide, low], [wide, high], [-wide, high]], "white", ink=None, layer=2.25)


def side_view(place: Placed, piece: Piece) -> None:
    """The earring turned so that one looks between two claws. No dimensions: they stand at the front view."""
    turned = outlines.claw_angles(piece) + np.pi / piece.claws
    claws = {float(np.sin(angle)): float(angle) for angle in turned}
    for far in sorted(claws, reverse=True):
        # what lies behind the ring is drawn before it
        layer = 1.5 if far > 1e-6 else 2.2
        place.outline(outlines.claw_seen_from_front(piece, claws[far]), "white", layer=layer)
    _one_metal(place, piece)
    place.outline(outlines.ring_side(piece), "white", layer=2)
    place.outline(outlines.stone_outline(piece), None, THIN, GREY, dashed=True, layer=2.6)
    place.outline(outlines.post_outline(piece), "white", layer=1.9)
    top = max(piece.girdle + piece.tip, piece.girdle + piece.depth - piece.pavilion)
    place.line([[0, top + 0.5], [0, _tip(piece) - 0.5]], HAIR, GREY, "centre")


def _tip(piece: Piece) -> float:
    return -piece.base - piece.claw / 2 - piece.post_length


def _front_dimensions(place: Placed, piece: Piece, letter: float) -> None:
    under = -piece.base - piece.claw / 2
    half, top = piece.stone / 2, piece.girdle + piece.depth - piece.pavilion
    place.dimension([-half, top], [half, top], 5, f"{piece.stone:.2f} stone", letter=letter)
    if piece.claws % 2 == 0:
        spread = _spread(piece) / 2
        lift = 11 + (top - piece.girdle) * place.scale
        ends = [-spread, piece.girdle], [spread, piece.girdle]
        place.dimension(*ends, lift, f"{2 * spread:.2f} claw to claw at the girdle", letter=letter)
    reach = outlines.ring_radius(piece) + piece.claw
    edge = max(half, reach)
    place.dimension([-edge, under], [-edge, piece.girdle], -12, f"{piece.girdle - under:.2f}", "y", letter)
    place.dimension(
        [-edge, under], [-edge, piece.ring_wire / 2], -5, f"{piece.ring_wire / 2 - under:.2f}", "y", letter
    )
    outer = float(outlines.staple(piece)[:, 0].max())
    clear = 4 + (outer - half) * place.scale
    place.dimension(
        [half, piece.girdle], [half, piece.girdle + piece.tip], clear, f"{piece.tip:.2f}", "y", letter
    )
    place.dimension(
        [piece.post / 2, _tip(piece)],
        [piece.post / 2, under],
        8,
        f"{piece.post_length:.2f} trim last",
        "y",
        letter,
    )
    middle = under - piece.post_length * 0.35
    place.note([-piece.post / 2, middle], f"post ø {piece.post:.2f}", -7, 0, letter)
    if piece.notch:
        notch = _tip(piece) + piece.notch[0]
        place.dimension(
            [-piece.post / 2, _tip(piece)], [-piece.post / 2, notch], -7, f"{piece.notch[0]:.2f}", "y", letter
        )
    claw = outlines.claw_middle(piece)[-1] * [1, 0] + [0, piece.girdle * 0.55]
    place.note(
        [float(claw[0]) - 0.3 * piece.claw, float(claw[1])], f"claws ø {piece.claw:.2f}", 12, 1, letter
    )
    ring = (piece.ring_inside + piece.ring_wire) / 2
    place.note(
        [ring * 0.5, 0], f"ring ø {piece.ring_wire:.2f}", 14 + (half - ring * 0.5) * place.scale, -4, letter
    )


def _spread(piece: Piece) -> float:
    """Over the outside of two claws at the girdle."""
    lean = float(np.tan(piece.lean)) * piece.girdle
    return 2 * (outlines.ring_radius(piece) + lean) + piece.claw


def plan_view(place: Placed, piece: Piece, letter: float = 7, between: str = "groove to groove") -> None:
    """The basket from above without its stone: ring, claws, groove spacing."""
    place.outline(outlines.circle(piece.ring_inside + 2 * piece.ring_wire), "white")
    place.outline(outlines.circle(piece.ring_inside), "white")
    place.outline(outlines.circle(piece.stone), None, THIN, GREY, dashed=True)
    radius = outlines.ring_radius(piece)
    angles = outlines.claw_angles(piece) + np.pi / 2 - np.pi / piece.claws
    _arms(place, piece, radius, angles)
    for angle in angles:
        at = (radius * float(np.cos(angle)), radius * float(np.sin(angle)))
        place.outline(outlines.circle(piece.claw, at), "white", layer=3.2)
    far = max(piece.stone / 2, radius + piece.claw / 2) + 0.6
    for line in ([[-far, 0], [far, 0]], [[0, -far], [0, far]]):
        place.line(line, HAIR, GREY, "centre", layer=3.4)
    outside = piece.ring_inside / 2 + piece.ring_wire
    first, last = ([outside * float(np.cos(a)), outside * float(np.sin(a))] for a in (angles[1], angles[0]))
    spacing = float(np.hypot(last[0] - first[0], last[1] - first[1]))
    lift = (max(piece.stone / 2, radius + piece.claw / 2) - float(first[1])) * place.scale + 4
    place.dimension(first, last, lift, f"{spacing:.2f} {between}".strip(), letter=letter)
    half = piece.ring_inside / 2
    down = -(max(piece.stone / 2, radius + piece.claw / 2) * place.scale + 5)
    place.dimension([-half, 0], [half, 0], down, f"ø {piece.ring_inside:.2f} inside", letter=letter)


def _arms(place: Placed, piece: Piece, radius: float, angles: np.ndarray) -> None:
    """The base wires under the ring, where they can be seen through it."""
    whole = piece.claws % 2 == 0
    for at, angle in enumerate(angles[: piece.claws // 2] if whole else angles):
        along = np.array([np.cos(angle), np.sin(angle)])
        across = np.array([-along[1], along[0]]) * piece.claw / 2
        # the rim of the ring hides the rest
        end = along * (piece.ring_inside / 2) * 0.995
        start = -end if whole else along * 0
        band = np.array([start + across, end + across, end - across, start - across, start + across])
        place.outline(band, "white", THIN, layer=2.4 + at * 0.01)
    if not whole:
        # where the ends meet they are one piece: no line runs across
        place.outline(outlines.circle(piece.claw * 1.1), "white", 0, layer=2.5)


def nut_view(place: Placed, piece: Piece, letter: float = 7) -> None:
    """The friction nut from the end of its scroll, on its post; the plate's top is at the origin."""
    for outline in outlines.scroll(piece):
        place.outline(outline, "white")
    place.outline(outlines.plate_side(piece), "white")
    curl = outlines.curl_middle(piece)
    high = float(curl[:, 1].max()) + piece.strip / 2
    half = piece.post / 2
    for side in (-half, half):
        place.line([[side, -piece.plate_thick - 1.2], [side, high + 0.6]], THIN, GREY, "dashed", 4)
    place.line([[0, -piece.plate_thick - 1.6], [0, high + 1]], HAIR, GREY, "centre")
    place.dimension(
        [-piece.plate / 2, -piece.plate_thick],
        [piece.plate / 2, -piece.plate_thick],
        -11,
        f"ø {piece.plate:.2f} plate",
        letter=letter,
    )
    place.dimension(
        [-piece.plate / 2, -piece.plate_thick],
        [-piece.plate / 2, 0],
        -4,
        f"{piece.plate_thick:.2f}",
        "y",
        letter=letter,
    )
    place.dimension([-piece.gap / 2, high], [piece.gap / 2, high], 6, f"gap {piece.gap:.2f}", letter=letter)
    base = piece.scroll_base / 2
    place.dimension(
        [-base, 0],
        [base, 0],
        -5 - piece.plate_thick * place.scale,
        f"{piece.scroll_base:.2f} base",
        letter=letter,
    )
    outer = float(curl[:, 0].max()) + piece.strip / 2
    place.dimension([outer, 0], [outer, high], 7, f"{high:.2f}", "y", letter=letter)
    left = [-outer + piece.strip / 2, high * 0.55]
    place.note(left, f"strip {piece.strip:.2f} x {piece.strip_width:.2f}", -6, 7, letter)
    place.note(
        [piece.hole / 2, -piece.plate_thick / 2],
        f"hole ø {piece.hole:.2f}",
        piece.plate / 2 * place.scale + 4,
        -6,
        letter,
    )


def nut_side(place: Placed, piece: Piece, letter: float = 7) -> None:
    """The friction nut from the side, its strip in full width; the plate's top is at the origin."""
    curl = outlines.curl_middle(piece)
    high = float(curl[:, 1].max()) + piece.strip / 2
    half, wide = piece.post / 2, piece.strip_width / 2
    place.outline(outlines.plate_side(piece), "white")
    place.outline([[-wide, 0], [wide, 0], [wide, high], [-wide, high]], "white")
    # the top of the base, behind the arm
    place.line([[-wide, piece.strip], [wide, piece.strip]], THIN, GREY, "dashed")
    for side in (-half, half):
        place.line([[side, -piece.plate_thick - 1.2], [side, high + 0.6]], THIN, GREY, "dashed", 4)
    place.line([[0, -piece.plate_thick - 1.6], [0, high + 1]], HAIR, GREY, "centre")
    place.dimension([-wide, high], [wide, high], 6, f"{piece.strip_width:.2f}", letter=letter)


def words_of(piece: Piece) -> str:
    """The drawing in words, for whoever cannot see it."""
    return (
        f"A stud with {piece.claws} claws of {piece.claw:.2f} mm wire round a stone {piece.stone:.2f} mm "
        "across. "
        f"The gallery ring is {piece.ring_inside:.2f} mm inside, of {piece.ring_wire:.2f} mm wire. The "
        "claws lean outward "
        f"{np.degrees(piece.lean):.1f} degrees. The post is {piece.post:.2f} mm thick and "
        f"{piece.post_length:.2f} mm long. "
        f"The nut has a plate {piece.plate:.2f} mm across and {piece.plate_thick:.2f} mm thick, and a "
        "scroll of strip "
        f"{piece.strip:.2f} by {piece.strip_width:.2f} mm with a gap of {piece.gap:.2f} mm."
    )
