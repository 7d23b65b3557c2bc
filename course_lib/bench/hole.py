"""The hole in the back plate: the smallest drill that frees the post, never more."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from course_lib.bench.refusals import NoDrill, Refused
from course_lib.bench.tables import numbers_of, practice
from course_lib.bench.units import Kind, Length, as_list, plain, quantity, with_units

_LENGTH = Kind("mm", "a length", "size('0.9 mm')")
_PLAY = Kind("mm", "a length", "size('0.02 mm')", zero=True)
_ROUNDING = 1e-9


@dataclass(frozen=True)
class Drill:
    """A drill chosen, the clearance on the diameter, and the drills to go through in order."""

    drill: Any
    clearance: Any
    steps: tuple[Any, ...]


def drill_for(
    post: Any, least: Any, most: Any, drills: Sequence[Any] | None = None, step: Any = None
) -> Drill:
    """The smallest drill that frees the post.

    Args:
        post: its diameter.
        least: the least clearance on the diameter.
        most: the most.
        drills: the drills there are; left out, the stocked metric sizes of data/drills.csv.
        step: how much one drill may open the hole of the one before; left out, `hole_step` of
            data/practice.csv.

    Returns:
        `.drill`, `.clearance` (on the diameter) and `.steps`, the drills in order from the pilot on.

    Raises:
        NoDrill: none lies between; the message names the nearest.
        Refused: an argument that is not sound, or `most` below `least`.

    Basis: common practice. Sizes: BS 328.

    >>> from course_lib.bench.units import as_list, size
    >>> chosen = drill_for(size("0.9 mm"), size("0.02 mm"), size("0.1 mm"))
    >>> print(f"{chosen.drill:.2f~P} {chosen.clearance:.2f~P}")
    0.92 mm 0.02 mm
    """
    sizes = (
        numbers_of("drills", "diameter_mm")
        if drills is None
        else [plain(drill, _LENGTH, "drills", "drill_for") for drill in as_list(drills)]
    )
    size, clearance, steps = choose_drill(
        plain(post, _LENGTH, "post", "drill_for"),
        plain(least, _PLAY, "least", "drill_for"),
        plain(most, _PLAY, "most", "drill_for"),
        sizes,
        practice("hole_step") if step is None else plain(step, _LENGTH, "step", "drill_for"),
    )
    return Drill(quantity(size, "mm"), quantity(clearance, "mm"), tuple(quantity(s, "mm") for s in steps))


def choose_drill(
    post: float, least: float, most: float, drills: Sequence[float], step: float
) -> tuple[float, float, tuple[float, ...]]:
    """The inner form of `drill_for`: drill, clearance and steps in mm.

    Args:
        post: diameter of the post, in mm.
        least, most: clearance between post and hole, in mm.
        drills: the diameters there are, in mm.
        step: the most that one drill may be larger than the one before it, in mm.

    Returns:
        The drill, its clearance, and the drills before it up to itself, all in mm.

    Raises:
        Refused: `most` is below `least`.
        NoDrill: no drill lies between; the message names the nearest.
    """
    if most < least:
        raise Refused(f"drill_for: most came as {most:g} mm, below least, {least:g} mm. Exchange them.")
    right = [d for d in drills if post + least - _ROUNDING <= d <= post + most + _ROUNDING]
    if not right:
        below = max((d for d in drills if d < post + least), default=None)
        above = min((d for d in drills if d > post + most), default=None)
        near = " and ".join(f"{d:g} mm" for d in (below, above) if d is not None) or "none at all"
        raise NoDrill(
            f"drill_for: no drill between {post + least:g} and {post + most:g} mm frees a post of {post:g} "
            f"mm; the nearest drills are {near}. Drill under size and open the hole with a broach, or get "
            "the drill."
        )
    drill = min(right)
    return drill, drill - post, _steps(drill, drills, step)


def _steps(drill: float, drills: Sequence[float], step: float) -> tuple[float, ...]:
    """From the finished hole back to a pilot: each drill the smallest that the next may follow."""
    chain = [drill]
    while chain[0] > 2 * step + _ROUNDING:
        smaller = [d for d in drills if chain[0] - step - _ROUNDING <= d < chain[0] - _ROUNDING]
        if not smaller:
            break
        chain.insert(0, min(smaller))
    return tuple(chain)


@with_units
def dimple_depth(thickness: Length) -> Length:
    """How deep to punch the dimple that guides the drill.

    Args:
        thickness: of the strip or plate.

    Returns:
        The depth in mm: about a third of it.

    Basis: common practice.

    >>> from course_lib.bench.units import as_list, size
    >>> print(f"{dimple_depth(size('0.4 mm')):.2f~P}")
    0.13 mm
    """
    return thickness * practice("dimple_share")
