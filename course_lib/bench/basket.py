"""Basket: gallery ring and claws, and where the stone sits in them.

All heights are from the ring's mid-plane. A claw is a straight wire that lies in its groove at the
ring, leans out to the girdle, and runs on in the same line down to the bend at the base.
"""

import functools
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from course_lib.bench.refusals import Refused
from course_lib.bench.units import (
    Factor,
    Kind,
    Length,
    LengthOrZero,
    SignedAngle,
    SignedLength,
    Volume,
    as_number,
    plain,
    quantity,
    with_units,
)


@dataclass(frozen=True)
class Basket:
    """A basket worked out. Lengths in mm, the flare in degrees from upright.

    `ring_radius` and `girdle_radius` are from the middle to a claw's centre line, at the ring and at
    the girdle; `claw_length` is along one claw from the girdle to the sharp corner at the base;
    `base_radius` is from the middle to that corner.
    """

    flare: SignedAngle
    groove_spacing: Length
    staple_length: Length
    ring_radius: Length
    girdle_radius: Length
    base_radius: SignedLength
    claw_length: Length
    culet_room: SignedLength = field(repr=False)

    def culet_clearance(self, pavilion_depth: Any) -> Any:
        """Air between the stone's point and the top of the base wire.

        Args:
            pavilion_depth: from the girdle down to the culet.

        Returns:
            The clearance in mm; less than nothing when the culet would touch.
        """
        if hasattr(self.culet_room, "m_as"):
            depth = plain(pavilion_depth, _LENGTH, "pavilion_depth", "culet_clearance")
            return quantity(self.culet_room.m_as("mm") - depth, "mm")
        return self.culet_room - pavilion_depth


_LENGTH = Kind("mm", "a length", "size('2.2 mm')")


@with_units
def basket(
    stone_diameter: Length,
    ring_inside: Length,
    ring_wire: Length,
    claw_wire: Length,
    groove_depth: LengthOrZero,
    girdle_height: Length,
    base_depth: Length,
    bearing_cut: LengthOrZero,
    bend_radius: LengthOrZero,
    claws: Factor = 4,
) -> Basket:
    """Where the claws stand, how they lean, and how long a staple is.

    Args:
        stone_diameter: of a round stone, at the girdle.
        ring_inside: inside diameter of the gallery ring.
        ring_wire: its wire.
        claw_wire: the claws' wire.
        groove_depth: filed into the ring's outside for each claw.
        girdle_height: from the ring's mid-plane up to the girdle.
        base_depth: from the ring's mid-plane down to the base wire's centre line.
        bearing_cut: how deep the girdle sits in each claw.
        bend_radius: inside radius of the bends at the base.
        claws: how many, three or more.

    Returns:
        A `Basket`: `.flare`, `.groove_spacing` (straight across between neighbouring grooves on the
        ring's outside), `.staple_length` (along the middle of the wire, girdle to girdle over the
        base), `.culet_clearance(pavilion_depth)`, and the radii they come from.

    Raises:
        Refused: fewer than three claws, or a groove deeper than the ring's wire.

    Formula: chord 2 R sin(180/n); flare atan((girdle radius - ring radius)/girdle height); the staple
    is the straight legs and base less the two corners, plus two arcs through 90 degrees less the
    flare, on the middle of the wire. The tip over the girdle is not in it.

    >>> from course_lib.bench.units import size
    >>> b = basket(*(size(f"{mm} mm") for mm in (5.0, 2.6, 0.9, 0.8, 0.27, 2.2, 1.2, 0.27, 0.4)), claws=4)
    >>> print(f"{b.flare:.2f~D} {b.groove_spacing:.3f~P} {b.staple_length:.2f~P}")
    7.77 deg 3.111 mm 10.70 mm
    """
    if np.any(np.less(claws, 3)) or np.any(np.mod(claws, 1) != 0):
        raise Refused(
            f"basket: claws came as {claws}; a stone needs three or more whole ones, for example 4."
        )
    if np.any(np.greater(groove_depth, ring_wire)):
        raise Refused(
            f"basket: groove_depth came as {np.max(groove_depth):g} mm, deeper than the ring's wire; a "
            "third of the claw does."
        )
    outside = ring_inside / 2 + ring_wire
    ring_radius = outside - groove_depth + claw_wire / 2
    girdle_radius = stone_diameter / 2 - bearing_cut + claw_wire / 2
    # below half a wire of height no claw can lean: the plan says so, and the sums stay within reason
    upright = np.maximum(girdle_height, claw_wire / 2)
    lean = np.arctan2(girdle_radius - ring_radius, upright)
    corner_radius = ring_radius - base_depth * np.tan(lean)
    leg = (upright + base_depth) / np.cos(lean)
    turn = np.pi / 2 - lean
    middle_radius = bend_radius + claw_wire / 2
    corner = middle_radius * (2 * np.tan(turn / 2) - turn)
    return Basket(
        flare=np.degrees(lean),
        groove_spacing=2 * outside * np.sin(np.pi / claws),
        staple_length=2 * (leg + corner_radius - corner),
        ring_radius=ring_radius,
        girdle_radius=girdle_radius,
        base_radius=corner_radius,
        claw_length=leg,
        culet_room=girdle_height + base_depth - claw_wire / 2,
    )


@with_units
def crossing_gap(claw_wire: Length, claws: Factor = 4) -> Length:
    """The gap cut in a staple that another one slides into.

    Args:
        claw_wire: the claws' wire.
        claws: an even number of them.

    Returns:
        The gap along the staple, in mm: for four claws just the wire; where staples cross at a
        sharper angle, and the ends are filed to that angle, a little more.

    Raises:
        Refused: an odd number of claws, which has no staple opposite.

    Formula: wire / sin(crossing angle). Basis: common practice.

    >>> from course_lib.bench.units import size
    >>> print(crossing_gap(size("0.8 mm")), f"{crossing_gap(size('0.8 mm'), 6):.3f~P}")
    0.8 mm 0.924 mm
    """
    if np.any(np.mod(claws, 2) != 0):
        raise Refused(
            f"crossing_gap: claws came as {claws}; only an even number is made of whole staples, for "
            "example 4."
        )
    return claw_wire / np.sin(2 * np.pi / claws)


@with_units
def groove_volume(ring_wire: Length, claw_wire: Length, groove_depth: Length) -> Volume:
    """Metal filed out of the ring for one claw.

    Args:
        ring_wire: the ring's wire.
        claw_wire: the claw that will lie in it.
        groove_depth: how deep, on the ring's outside.

    Returns:
        The volume in mm3.

    Formula: what two round bars share when they cross square and one lies `groove_depth` into the
    other; the ring is taken as straight and the claw as upright over the width of a claw, which
    is right within a few per cent.

    >>> from course_lib.bench.units import size
    >>> print(f"{groove_volume(size('0.9 mm'), size('0.8 mm'), size('0.27 mm')):.4f~P}")
    0.0813 mm³
    """
    ring, claw = np.asarray(ring_wire, dtype=float) / 2, np.asarray(claw_wire, dtype=float) / 2
    depth = np.asarray(groove_depth, dtype=float)
    # halves the shared height by a cosine, so that both square roots end gently at its ends
    nodes, weights = _places_to_add()
    share = (1 - np.cos(np.pi * nodes)) / 2
    into = depth[..., None] * share
    in_ring = np.sqrt(np.maximum(into * (2 * ring[..., None] - into), 0))
    up = depth[..., None] - into
    in_claw = np.sqrt(np.maximum(up * (2 * claw[..., None] - up), 0))
    slope = depth[..., None] * np.pi / 2 * np.sin(np.pi * nodes)
    volume = (4 * in_ring * in_claw * slope * weights).sum(axis=-1)
    return as_number(volume)


@functools.cache
def _places_to_add() -> tuple[Any, Any]:
    """Twelve places between 0 and 1 and their weights, for adding up a smooth shape (Gauss-Legendre)."""
    from numpy.polynomial.legendre import leggauss

    nodes, weights = leggauss(12)
    return (nodes + 1) / 2, weights / 2
