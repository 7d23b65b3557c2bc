"""The post: length with something to trim, stiffness, and the load that leaves it bent."""

import numpy as np

from course_lib.bench.refusals import Refused
from course_lib.bench.units import Factor, Force, Length, LengthOrZero, Share, Stress, Volume, with_units


@with_units
def post_blank(length: Length, spare: LengthOrZero) -> Length:
    """The length to cut the post to; it is trimmed last, against the pattern.

    >>> from course_lib.bench.units import size
    >>> print(post_blank(size("10.5 mm"), size("1.5 mm")))
    12.0 mm
    """
    return length + spare


@with_units
def wire_volume(wire: Length, length: Length) -> Volume:
    """Metal in a straight round wire.

    Args:
        wire: its diameter.
        length: its length.

    Returns:
        The volume in mm3.

    >>> from course_lib.bench.units import size
    >>> print(f"{wire_volume(size('0.9 mm'), size('11 mm')):.6f~P}")
    6.997898 mm³
    """
    return np.pi / 4 * wire**2 * length


@with_units
def notch_volume(wire: Length, depth: LengthOrZero, width: Length) -> Volume:
    """Metal turned or filed out of the notch that the nut clicks into, all round the post.

    Args:
        wire: the post's diameter.
        depth: of the notch, from the outside.
        width: of the notch, along the post.

    Returns:
        The volume in mm3.

    Raises:
        Refused: a notch that goes to the middle of the post or beyond.

    Formula: a ring with the notch's depth and width, pi x depth x (wire - depth) x width.

    >>> from course_lib.bench.units import size
    >>> print(f"{notch_volume(size('0.9 mm'), size('0.08 mm'), size('0.4 mm')):.3f~P}")
    0.082 mm³
    """
    if np.any(np.greater_equal(depth, np.asarray(wire) / 2)):
        raise Refused(
            f"notch_volume: depth came as {depth} mm; it goes less than half way through the wire of "
            f"{wire} mm."
        )
    return np.pi * depth * (wire - depth) * width


@with_units
def tip_give(wire: Length, length: Length, load: Force, elastic_modulus: Stress) -> Length:
    """How far the tip of a post gives under a load across it.

    Args:
        wire: its diameter.
        length: from where it is held to the load.
        load: across the tip.
        elastic_modulus: of the alloy.

    Returns:
        The movement of the tip in mm, as long as the post springs back.

    Source: cantilever with an end load, Bansal, Strength of Materials, 13.1: F L^3 / (3 E I).

    >>> from course_lib.bench.units import quantity, size
    >>> moved = tip_give(size("0.9 mm"), size("10 mm"), quantity(2, "newton"), quantity(95, "GPa"))
    >>> print(f"{moved:.3f~P}")
    0.218 mm
    """
    return load * length**3 / (3 * elastic_modulus * np.pi * wire**4 / 64)


@with_units
def load_that_bends(wire: Length, length: Length, yield_stress: Stress) -> Force:
    """The load across the tip at which the post begins to stay bent.

    Args:
        wire: its diameter; at a notch, what is left there.
        length: from where it is held to the load.
        yield_stress: of the alloy as it is: hard-drawn or soft.

    Returns:
        The load in N.

    Formula: yield stress x pi d^3 / 32 / length (first yield in bending of a round bar).

    >>> from course_lib.bench.units import quantity, size
    >>> print(f"{load_that_bends(size('0.9 mm'), size('10 mm'), quantity(650, 'MPa')):.2f~P}")
    4.65 N
    """
    return yield_stress * np.pi * wire**3 / 32 / length


@with_units
def yield_when_worked(yield_soft: Stress, yield_hard: Stress, worked: Share, hard_at: Factor) -> Stress:
    """A rough yield stress between soft and hard, by how much the metal is worked since its anneal.

    Args:
        yield_soft: annealed.
        yield_hard: worked to `hard_at`.
        worked: cold reduction, as a share.
        hard_at: the reduction at which `yield_hard` holds.

    Returns:
        The yield stress in MPa.

    Raises:
        Refused: `hard_at` is not a share below 1.

    Basis: from memory; a straight line in the true strain, a guide only.

    >>> from course_lib.bench.units import quantity
    >>> print(f"{yield_when_worked(quantity(350, 'MPa'), quantity(650, 'MPa'), 0.5, 0.5):.0f~P}")
    650 MPa
    """
    if np.any(np.greater_equal(hard_at, 1)):
        raise Refused(f"yield_when_worked: hard_at came as {hard_at}; a share below 1 does, for example 0.5.")
    way = np.minimum(np.log1p(-np.minimum(worked, 0.99)) / np.log1p(-np.asarray(hard_at)), 1.0)
    return yield_soft + (yield_hard - yield_soft) * way
