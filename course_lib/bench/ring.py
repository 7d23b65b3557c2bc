"""Gallery ring: coil on a mandrel, saw through, close."""

import numpy as np

from course_lib.bench.refusals import Refused
from course_lib.bench.units import Factor, Length, LengthOrZero, Share, Volume, with_units


@with_units
def wire_for_ring(inside_diameter: Length, wire: Length) -> Length:
    """Length of wire in a closed ring, along the middle of the wire.

    Args:
        inside_diameter: of the ring.
        wire: its diameter.

    Returns:
        The length in mm.

    Formula: the circle through the wire's middle lies half a wire outside the inside: pi (D + w).

    >>> from course_lib.bench.units import size
    >>> print(f"{wire_for_ring(size('4 mm'), size('0.9 mm')):.3f~P}")
    15.394 mm
    """
    return np.pi * (inside_diameter + wire)


@with_units
def ring_volume(inside_diameter: Length, wire: Length) -> Volume:
    """Metal in a closed round ring of round wire.

    Args:
        inside_diameter: of the ring.
        wire: its diameter.

    Returns:
        The volume in mm3.

    Formula: Pappus: 2 pi^2 R r^2, with R to the middle of the wire and r half the wire.

    >>> from course_lib.bench.units import size
    >>> print(f"{ring_volume(size('1.4 mm'), size('0.6 mm')):.6f~P}")
    1.776529 mm³
    """
    return np.pi**2 / 4 * wire**2 * (inside_diameter + wire)


@with_units
def mandrel_for(
    inside_diameter: Length, wire: Length, kerf: LengthOrZero, spring_back: Share = 0.0
) -> Length:
    """The mandrel to wind on, so that the ring is right after sawing and closing.

    Args:
        inside_diameter: wanted, of the closed ring.
        wire: its diameter.
        kerf: what the saw takes out of each ring.
        spring_back: the share of its inside diameter by which the coil opens when let go.

    Returns:
        The mandrel's diameter in mm.

    Raises:
        Refused: a kerf wider than a sixth of the ring's way round; that is no saw.

    Formula: pi (M (1 + s) + w) - kerf = pi (D + w); the wire falls out of it.

    >>> from course_lib.bench.units import size
    >>> print(f"{mandrel_for(size('4 mm'), size('0.9 mm'), size('0.22 mm'), 0.02):.3f~P}")
    3.990 mm
    """
    if np.any(np.greater(kerf, np.pi / 6 * (inside_diameter + wire))):
        raise Refused(
            f"mandrel_for: kerf came as {kerf} mm; a saw takes a few tenths, for example size('0.22 mm')."
        )
    return (inside_diameter + kerf / np.pi) / (1 + spring_back)


@with_units
def wire_for_coil(inside_diameter: Length, wire: Length, turns: Factor) -> Length:
    """Wire wound into a close coil.

    Args:
        inside_diameter: of the coil, as wound.
        wire: its diameter; each turn lies against the one before.
        turns: how many.

    Returns:
        The length in mm, with nothing for the ends to hold by.

    Formula: a helix of pitch w: turns x sqrt((pi (D + w))^2 + w^2).

    >>> from course_lib.bench.units import size
    >>> print(f"{wire_for_coil(size('4 mm'), size('0.9 mm'), 2):.2f~P}")
    30.84 mm
    """
    return turns * np.sqrt((np.pi * (inside_diameter + wire)) ** 2 + wire**2)


@with_units
def shrink_from_kerf(kerf: Length) -> Length:
    """How much smaller a sawn ring is once it is closed.

    >>> from course_lib.bench.units import size
    >>> print(f"{shrink_from_kerf(size('0.22 mm')):.3f~P}")
    0.070 mm
    """
    return kerf / np.pi
