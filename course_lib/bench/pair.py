"""Would anyone know? Pattern and duplicate compared, size by size, with what an eye can see."""

import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from course_lib.bench.measuring import Measured, Reading, difference_band, guard_band
from course_lib.bench.refusals import Refused
from course_lib.bench.tables import frame
from course_lib.bench.units import Angle, Kind, Length, plain, with_units

_LENGTH = Kind("mm", "a length", "size('0.8 mm')")
_COLUMNS = (
    "size",
    "pattern_mm",
    "duplicate_mm",
    "difference_mm",
    "uncertainty_mm",
    "visible_mm",
    "verdict",
)


@with_units
def smallest_visible(distance: Length, acuity: Angle = 1 / 60) -> Length:
    """The smallest difference that an eye can tell at a distance.

    Args:
        distance: from the eye.
        acuity: the angle the eye resolves; 1 arcmin for good sight. Two edges in line are told apart
            much finer, down to 5 to 10 arcsec.

    Returns:
        The difference in mm.

    Source: resolution of 1 arcmin, ISO 8596 (visual acuity 1.0); edges in line: Westheimer,
    Investigative Ophthalmology 14 (1975) 570.

    >>> from course_lib.bench.units import size
    >>> print(f"{smallest_visible(size('500 mm')):.4f~P}")
    0.1454 mm
    """
    return 2 * distance * np.tan(np.radians(acuity) / 2)


@with_units
def farthest_seen(difference: Length, acuity: Angle = 1 / 60) -> Length:
    """From how far an eye can still tell a difference; from farther away nobody sees it.

    Args:
        difference: between pattern and duplicate.
        acuity: as for `smallest_visible`.

    Returns:
        The distance in mm.

    Formula: that of `smallest_visible`, turned round.

    >>> from course_lib.bench.units import size
    >>> print(f"{farthest_seen(size('0.2 mm')):.0f~P}")
    688 mm
    """
    return difference / (2 * np.tan(np.radians(acuity) / 2))


def compare(
    pattern: Mapping[str, Any], duplicate: Mapping[str, Any], distance: Any, acuity: Any = None
) -> Any:
    """Set the duplicate beside its pattern, size by size.

    Args:
        pattern: sizes by name, each a length or a `Measured`; a `Job` will do.
        duplicate: the same sizes of the new piece.
        distance: from which people will look.
        acuity: as for `smallest_visible`.

    Returns:
        A table, a row a size: ``size, pattern_mm, duplicate_mm, difference_mm, uncertainty_mm,
        visible_mm, verdict``. The uncertainty is that of the difference, for 95 %; the verdict is
        ``accept`` (nobody can see it), ``reject`` or ``cannot say``.

    Raises:
        Refused: no size in common, or one that is not a length.

    Source: guard band on both sides, ISO 14253-1:2017; the band of a difference, JCGM 100:2008 5.1.2 and
    annex G.

    >>> from course_lib.bench.units import size
    >>> compare({"claw wire": size("0.80 mm")}, {"claw wire": size("0.83 mm")}, size("500 mm")).verdict[0]
    'accept'
    """
    visible = smallest_visible(distance) if acuity is None else smallest_visible(distance, acuity)
    limit = visible.m_as("mm")
    ours, theirs = _lengths(pattern), _lengths(duplicate)
    shared = [name for name in ours if name in theirs]
    if not shared:
        raise Refused(
            "compare: pattern and duplicate share no size by name. Give the same names on both sides."
        )
    rows = []
    for name in shared:
        one, other = _read(name, ours[name]), _read(name, theirs[name])
        difference, band = other.value - one.value, difference_band(one, other)
        verdict = guard_band(difference, band, limit)
        rows.append((name, one.value, other.value, difference, band, limit, verdict))
    return frame(_COLUMNS, rows)


def _lengths(sizes: Any) -> Any:
    """The sizes as a mapping; of a job only the lengths."""
    measured = getattr(sizes, "measured", sizes)
    if measured is sizes:
        return sizes
    return {name: each for name, each in measured.items() if each.value.check("[length]")}


def _read(name: str, size: Any) -> Reading:
    """A length or a `Measured` as a plain reading in mm."""
    if isinstance(size, Measured):
        spread = float(size.standard_uncertainty.m_as("mm"))
        return Reading(plain(size.value, _LENGTH, name, "compare"), spread, size.degrees_of_freedom)
    return Reading(plain(size, _LENGTH, name, "compare"), 0.0, math.inf)
