"""The stone: what it weighs, by its sizes."""

from course_lib.bench.units import Carat, Factor, Length, with_units

# 0.0061 holds for a round brilliant of diamond; other stones weigh in proportion to their density.
BRILLIANT_FACTOR = 0.0061
DIAMOND_GRAVITY = 3.52


@with_units
def round_weight(
    diameter: Length, depth: Length, specific_gravity: Factor, girdle_factor: Factor = 1
) -> Carat:
    """Weight of a round brilliant from its sizes.

    Args:
        diameter: at the girdle.
        depth: from table to culet.
        specific_gravity: of the gem, such as 3.52 for diamond.
        girdle_factor: 1.02 to 1.04 for a thick girdle.

    Returns:
        The weight in carat.

    Source: d x d x depth x 0.0061 (after Scharffenberg 1931; factor as in Pagel-Theisen, Diamond
    Grading ABC), in proportion to the density. Good to about 4 %.

    >>> from course_lib.bench.units import size
    >>> print(f"{round_weight(size('10 mm'), size('6 mm'), 3.52):.2f~P}")
    3.66 ct
    """
    return diameter**2 * depth * BRILLIANT_FACTOR * specific_gravity / DIAMOND_GRAVITY * girdle_factor
