"""Where the metal goes: into the piece, back as offcuts and lemel, and away as dust."""

from dataclasses import dataclass

import numpy as np

from course_lib.bench.refusals import Refused
from course_lib.bench.units import Mass, MassOrZero, Share, with_units


@dataclass(frozen=True)
class LossBudget:
    """What comes back to the drawer and the lemel box, and what is lost."""

    comes_back: MassOrZero
    lost: MassOrZero


@with_units
def loss_budget(metal_in: Mass, metal_in_piece: MassOrZero, recovered: Share) -> LossBudget:
    """Share out the metal that does not end in the piece.

    Args:
        metal_in: taken from the drawer.
        metal_in_piece: that leaves with the customer.
        recovered: the share of the rest that the bench skin catches.

    Returns:
        `.comes_back` as offcuts, filings and dust for refining, and `.lost`, in g.

    Raises:
        Refused: more metal in the piece than was taken.

    Formula: what is taken is in the piece, comes back, or is lost. Basis: common practice.

    >>> from course_lib.bench.units import quantity
    >>> kept = loss_budget(quantity(1.7, "gram"), quantity(0.7, "gram"), 0.9)
    >>> print(f"{kept.comes_back:.2f~P} {kept.lost:.2f~P}")
    0.90 g 0.10 g
    """
    if np.any(np.greater(metal_in_piece, metal_in)):
        raise Refused(
            f"loss_budget: metal_in_piece came as {metal_in_piece} g, more than the {metal_in} g "
            "taken. Exchange them?"
        )
    rest = metal_in - metal_in_piece
    return LossBudget(rest * recovered, rest * (1 - recovered))
