"""Back plate: the round plate of the friction nut, and the blank it is sawn from."""

import numpy as np

from course_lib.bench.refusals import Refused
from course_lib.bench.units import Length, LengthOrZero, Volume, with_units


@with_units
def disc_blank(diameter: Length, file_allowance: LengthOrZero, saw_allowance: LengthOrZero) -> Length:
    """The circle to saw along, so that filing brings the plate to its size.

    Args:
        diameter: of the plate before the papers.
        file_allowance: filed back to the line, on each side.
        saw_allowance: left outside the line by the saw, on each side.

    Returns:
        The diameter of the sawn blank in mm.

    Formula: allowances lie on both sides of a diameter.

    >>> from course_lib.bench.units import size
    >>> print(f"{disc_blank(size('6 mm'), size('0.1 mm'), size('0.2 mm')):.2f~P}")
    6.60 mm
    """
    return diameter + 2 * (file_allowance + saw_allowance)


@with_units
def plate_volume(diameter: Length, thickness: Length, hole: LengthOrZero = 0.0) -> Volume:
    """Metal in a round flat plate with a hole.

    Args:
        diameter: of the plate.
        thickness: of the plate.
        hole: its diameter.

    Returns:
        The volume in mm3.

    Raises:
        Refused: a hole as wide as the plate.

    Formula: a cylinder less a cylinder.

    >>> from course_lib.bench.units import size
    >>> print(f"{plate_volume(size('6 mm'), size('0.5 mm'), size('0.92 mm')):.3f~P}")
    13.805 mm³
    """
    if np.any(np.greater_equal(hole, diameter)):
        raise Refused(
            f"plate_volume: hole came as {hole} mm, as wide as the plate of {diameter} mm. Exchange them?"
        )
    return np.pi / 4 * (diameter**2 - hole**2) * thickness
