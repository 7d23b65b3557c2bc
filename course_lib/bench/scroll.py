"""Scroll: the strip that is curled at both ends, folded into a heart, and grips the post."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from course_lib.bench.refusals import Refused
from course_lib.bench.units import Angle, Factor, Force, Length, LengthOrZero, Stress, as_number, with_units


@with_units
def curl_length(inner_radius: LengthOrZero, turns: Factor, pitch: LengthOrZero) -> Length:
    """Length of strip in a curl, along its middle.

    Args:
        inner_radius: from the curl's centre to the middle of the strip where the curl begins.
        turns: how many times round.
        pitch: how far the strip's middle moves outward in one turn; nothing for a plain round bend.

    Returns:
        The length in mm.

    Raises:
        Refused: inner radius and pitch are both nothing.

    Formula: arc length of an Archimedean spiral r = r0 + pitch x turn, exactly.

    >>> from course_lib.bench.units import Angle, size
    >>> print(f"{curl_length(size('0.6 mm'), 1.25, size('0.45 mm')):.3f~P}")
    6.945 mm
    """
    if np.any(np.equal(inner_radius, 0) & np.equal(pitch, 0)):
        raise Refused(
            "curl_length: inner_radius and pitch are both nothing; a curl needs one, for example size('0.6 "
            "mm')."
        )
    rise = np.asarray(pitch, dtype=float) / (2 * np.pi)
    angle = 2 * np.pi * turns
    round_bend = inner_radius * angle
    with np.errstate(divide="ignore", invalid="ignore"):
        outer = inner_radius + rise * angle
        spiral = (_arc(outer, rise) - _arc(inner_radius, rise)) / (2 * rise)
    length = np.where(rise > 1e-9 * np.maximum(inner_radius, 1e-9), spiral, round_bend)
    return as_number(length)


def _arc(radius: Any, rise: Any) -> Any:
    """Twice the rise times the arc length from the centre out to this radius."""
    slant = np.hypot(radius, rise)
    return radius * slant + rise**2 * np.arcsinh(radius / rise)


@with_units
def curl_over_all(
    inner_radius: Length, turns: Factor, pitch: LengthOrZero, strip_thickness: Length
) -> Length:
    """Width of a curl over all, as a caliper takes it.

    Args:
        inner_radius: from the curl's centre to the middle of the strip where the curl begins.
        turns: how many times round, a half or more.
        pitch: how far the strip's middle moves outward in one turn.
        strip_thickness: of the strip.

    Returns:
        The width in mm.

    Formula: the radius where the curl ends, the radius half a turn before, and a strip's thickness.

    >>> from course_lib.bench.units import Angle, size
    >>> print(f"{curl_over_all(size('0.5 mm'), 1, size('0.4 mm'), size('0.4 mm')):.2f~P}")
    2.00 mm
    """
    outer = inner_radius + pitch * turns
    return 2 * outer - pitch / 2 + strip_thickness


@with_units
def riser_height(inner_radius: Length, turns: Factor, pitch: LengthOrZero, strip_thickness: Length) -> Length:
    """How far the strip rises straight from its fold before the curl begins, when the curl rests on the base.

    Args:
        inner_radius, turns, pitch, strip_thickness: as for `curl_over_all`.

    Returns:
        The height in mm, from the underside of the base to the curl's centre.

    Formula: two strips less half a one, and the radius at the curl's lowest point, three quarters of a
    turn before its end.

    >>> from course_lib.bench.units import Angle, size
    >>> print(f"{riser_height(size('0.5 mm'), 1, size('0.4 mm'), size('0.4 mm')):.2f~P}")
    1.20 mm
    """
    return inner_radius + pitch * (turns - 0.75) + 1.5 * strip_thickness


@with_units
def fold_stands_out(angle: Angle, cuts: Factor, apart: LengthOrZero) -> LengthOrZero:
    """How far the outside of a sawn fold stands out over a sharp corner on its middle.

    Args:
        angle: folded through, about a right angle.
        cuts: how many, side by side.
        apart: from the middle of one cut to the next.

    Returns:
        The distance in mm, sideways and upward alike: the fold lines lie closer by so much at each end,
        and the arm's straight part is shorter by so much.

    Formula: the outer skin walked in chords, turning a little at each cut, less half its length; the sum
    of cosines of equal steps in closed form.

    >>> from course_lib.bench.units import Angle, quantity, size
    >>> print(f"{fold_stands_out(quantity(90, 'degree'), 3, size('0.23 mm')):.3f~P}")
    0.084 mm
    """
    each = np.radians(angle) / cuts
    return apart * (np.sin((cuts - 0.5) * each) / (2 * np.sin(each / 2)) - cuts / 2)


@with_units
def scroll_strip(base: Length, riser: LengthOrZero, curl: Length) -> Length:
    """Length of the flat strip that a scroll is made from.

    Args:
        base: over the outside of the two arms.
        riser: straight part of each arm, from the underside of the base.
        curl: strip in one curl, on its middle.

    Returns:
        The length in mm. A sawn fold keeps the length of its outer skin, for the cut is on the inside.

    >>> from course_lib.bench.units import Angle, size
    >>> print(scroll_strip(size("4.8 mm"), size("1.2 mm"), size("4.4 mm")))
    16.0 mm
    """
    return base + 2 * (riser + curl)


@dataclass(frozen=True)
class Grip:
    """How the scroll holds: the force that slides the nut, and the highest stress in the strip."""

    force: Force
    stress: Stress


@with_units
def grip(
    post: Length,
    gap: LengthOrZero,
    strip_thickness: Length,
    strip_width: Length,
    free_length: Length,
    elastic_modulus: Stress,
    friction: Factor,
) -> Grip:
    """How hard the scroll grips the post.

    Args:
        post: its diameter.
        gap: between the two curls with the post out.
        strip_thickness: of the scroll.
        strip_width: of the scroll.
        free_length: along the strip, from the fold to where it touches the post.
        elastic_modulus: of the alloy.
        friction: of the strip on the post.

    Returns:
        `.force` that slides the nut along the post, in N, and `.stress` in the strip, in MPa. Both are
        nothing where the post does not fill the gap.

    Formula: two cantilevers (Bansal, Strength of Materials, 13.1), each pushed aside by half of post
    less gap; both press, so the friction counts twice. The curl is taken as a straight strip, so
    the force is a guide, not a promise.

    >>> from course_lib.bench.units import Angle, quantity, size
    >>> held = grip(size("0.9 mm"), size("0.8 mm"), size("0.4 mm"), size("3 mm"), size("5 mm"),
    ...             quantity(90, "GPa"), 0.2)
    >>> print(f"{held.force:.2f~P} {held.stress:.0f~P}")
    0.69 N 108 MPa
    """
    aside = np.maximum((np.asarray(post, dtype=float) - gap) / 2, 0.0)
    stiffness = elastic_modulus * strip_width * strip_thickness**3 / (4 * free_length**3)
    force = 2 * friction * stiffness * aside
    stress = 1.5 * elastic_modulus * aside * strip_thickness / free_length**2
    return Grip(as_number(force), as_number(stress))
