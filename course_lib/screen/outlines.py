"""Outlines of every part, to scale, in millimetres of the piece.

Heights are from the ring's mid-plane, upward to the stone; the middle of the piece is at x = 0. A
drawing places and scales them; nothing here knows of paper or screen.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from course_lib.bench.plan import Plan
from course_lib.bench.scroll import riser_height

Line = Any  # an array of points, two columns
_END_ON = 1e-6


@dataclass(frozen=True)
class Piece:
    """The plain sizes that the outlines need, in mm."""

    claws: int
    stone: float
    depth: float
    pavilion: float
    ring_inside: float
    ring_wire: float
    claw: float
    groove: float
    bend: float
    tip: float
    girdle: float
    base: float
    lean: float
    post: float
    post_length: float
    notch: tuple[float, float, float] | None
    plate: float
    plate_thick: float
    hole: float
    strip: float
    strip_width: float
    scroll_base: float
    curl_inside: float
    turns: float
    gap: float


def piece_of(plan: Plan) -> Piece:
    """The sizes of the finished duplicate of a plan."""
    read = {key: reading.value for key, reading in plan.job.readings.items()}
    notch = None
    if "notch_wire" in read:
        depth = (read["post_wire"] - read["notch_wire"]) / 2
        notch = (read.get("notch_from_tip", 2.0), depth, read.get("notch_width", 0.4))
    return Piece(
        claws=plan.job.claws,
        stone=read["stone_diameter"],
        depth=read["stone_depth"],
        pavilion=plan.plain("pavilion_depth"),
        ring_inside=read["ring_inside"],
        ring_wire=read["ring_wire"],
        claw=read["claw_wire"],
        groove=plan.plain("groove_depth"),
        bend=plan.plain("bend_radius"),
        tip=read["claw_tip"],
        girdle=plan.plain("girdle_height"),
        base=plan.plain("base_depth"),
        lean=float(np.radians(plan.plain("flare"))),
        post=read["post_wire"],
        post_length=read["post_length"],
        notch=notch,
        plate=read["plate_diameter"],
        plate_thick=read["plate_thickness"],
        hole=plan.drill,
        strip=read["strip_thickness"],
        strip_width=read["strip_width"],
        scroll_base=read["base_length"],
        curl_inside=read["curl_inside"],
        turns=read["curl_turns"],
        gap=read["curl_gap"],
    )


def ring_radius(piece: Piece) -> float:
    """From the middle to a claw's centre line at the ring."""
    return piece.ring_inside / 2 + piece.ring_wire - piece.groove + piece.claw / 2


def claw_middle(piece: Piece) -> Line:
    """Centre line of the right half of a staple, from the middle of the base to the tip."""
    up = np.array([np.sin(piece.lean), np.cos(piece.lean)])
    at_ring = np.array([ring_radius(piece), 0.0])
    corner = at_ring - up * piece.base / np.cos(piece.lean)
    radius = piece.bend + piece.claw / 2
    turn = np.pi / 2 - piece.lean
    back = radius * np.tan(turn / 2)
    centre = np.array([corner[0] - back, corner[1] + radius])
    angles = np.linspace(-np.pi / 2, -piece.lean, 13)
    bend = centre + radius * np.column_stack([np.cos(angles), np.sin(angles)])
    tip = at_ring + up * (piece.girdle + piece.tip) / np.cos(piece.lean)
    return np.vstack([[0.0, -piece.base], bend, tip])


def band(middle: Line, width: float) -> Line:
    """The outline of a wire or strip of this width along a centre line, closed."""
    # a wire seen along its length has points that fall together
    moved = np.hypot(*np.diff(middle, axis=0).T) > 1e-9
    middle = middle[np.concatenate([[True], moved])]
    along = np.gradient(middle, axis=0)
    along /= np.hypot(*along.T)[:, None]
    across = np.column_stack([-along[:, 1], along[:, 0]]) * width / 2
    return np.vstack([middle + across, (middle - across)[::-1], (middle + across)[:1]])


def staple(piece: Piece) -> Line:
    """A whole staple seen along its plane, closed outline."""
    right = claw_middle(piece)
    left = right[:0:-1] * [-1, 1]
    return band(np.vstack([left, right]), piece.claw)


def claw_seen_from_front(piece: Piece, angle: float) -> Line:
    """One claw and its half of the base, turned by an angle from the plane of the drawing, closed outline."""
    middle = claw_middle(piece) * [np.cos(angle), 1.0]
    if abs(np.cos(angle)) < _END_ON:
        # the base comes straight at the eye: its round end hangs half a wire lower
        middle = np.vstack([[0.0, -piece.base - piece.claw / 2], middle[1:]])
    return band(middle, piece.claw)


def stone_outline(piece: Piece) -> Line:
    """A round brilliant from the side: table, crown, girdle, pavilion, closed."""
    half, table = piece.stone / 2, 0.53 * piece.stone / 2
    thick = max(min(0.02 * piece.stone, piece.depth - piece.pavilion), 0.0)
    top = piece.girdle + piece.depth - piece.pavilion
    edge = piece.girdle + thick
    right = np.array([[0, piece.girdle - piece.pavilion], [half, piece.girdle], [half, edge], [table, top]])
    return np.vstack([right, right[:0:-1] * [-1, 1], right[:1]])


def ring_side(piece: Piece) -> Line:
    """The gallery ring from the side, closed outline with rounded ends."""
    middle = (piece.ring_inside + piece.ring_wire) / 2
    angles = np.linspace(-np.pi / 2, np.pi / 2, 15)
    end = piece.ring_wire / 2 * np.column_stack([np.cos(angles), np.sin(angles)]) + [middle, 0]
    return np.vstack([end, end[::-1] * [-1, 1], end[:1]])


def circle(diameter: float, at: tuple[float, float] = (0.0, 0.0), points: int = 72) -> Line:
    """A circle, closed.

    Args:
        diameter: in mm.
        at: its middle, in mm.
        points: how many corners it is drawn with.

    Returns:
        Points, two columns, in mm; the last is the first.
    """
    angles = np.linspace(0, 2 * np.pi, points + 1)
    return diameter / 2 * np.column_stack([np.cos(angles), np.sin(angles)]) + at


def post_outline(piece: Piece) -> Line:
    """The post from the side, down from the underside of the base wires, closed."""
    top = -piece.base - piece.claw / 2
    end, half = top - piece.post_length, piece.post / 2
    right = [[half, top]]
    if piece.notch:
        from_tip, depth, width = piece.notch
        low, high = end + from_tip - width / 2, end + from_tip + width / 2
        right += [[half, high], [half - depth, high], [half - depth, low], [half, low]]
    nose = half * 0.6
    right += [[half, end + nose], [half * 0.45, end]]
    points = np.array(right)
    return np.vstack([points, points[::-1] * [-1, 1], points[:1]])


def claw_angles(piece: Piece) -> Line:
    """Where the claws stand round the ring, in radians; the first lies in the plane of the drawing."""
    return 2 * np.pi * np.arange(piece.claws) / piece.claws


def curl_middle(piece: Piece) -> Line:
    """Centre line of the right-hand curl, from its inside end out to the fold.

    The base lies at height 0. The strip rises at the fold, goes round over the top and inward; its
    outside is half the gap from the middle.
    """
    inner = (piece.curl_inside + piece.strip) / 2
    turned = np.linspace(0, 2 * np.pi * piece.turns, int(48 * piece.turns) + 2)
    radius = inner + piece.strip * turned / (2 * np.pi)
    # ends straight down on the outer side, where it meets the fold
    start = -turned[-1]
    points = radius[:, None] * np.column_stack([np.cos(turned + start), np.sin(turned + start)])
    points[:, 1] *= -1
    inward = points[:, 0].min() - piece.strip / 2
    riser = riser_height.plain(inner, piece.turns, piece.strip, piece.strip)
    return points + np.array([piece.gap / 2 - inward, riser])


def scroll(piece: Piece) -> list[Line]:
    """The scroll from its end: two curls and the base, as closed outlines. The plate's top is at 0."""
    curl = curl_middle(piece)
    foot = np.array([[curl[-1, 0], piece.strip / 2]])
    right = np.vstack([curl, foot])
    half = max(float(curl[-1, 0]), piece.scroll_base / 2)
    flat = np.array([[-half, 0], [half, 0], [half, piece.strip], [-half, piece.strip], [-half, 0.0]])
    return [flat, band(right, piece.strip), band(right * [-1, 1], piece.strip)]


def plate_side(piece: Piece) -> Line:
    """The back plate from its edge, closed, its top at height 0."""
    half = piece.plate / 2
    return np.array(
        [[-half, 0], [half, 0], [half, -piece.plate_thick], [-half, -piece.plate_thick], [-half, 0.0]]
    )
