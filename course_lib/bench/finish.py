"""Work back from the finish: what papers and mop take off, and the size to stop at before them."""

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from course_lib.bench.refusals import Refused
from course_lib.bench.tables import practice, rows_of, table_by
from course_lib.bench.units import Factor, Kind, Length, LengthOrZero, Share, plain, quantity, with_units


def grain_um(grade: str) -> float:
    """Mean grain of an abrasive paper, in micrometres.

    Args:
        grade: as printed on its back, such as ``"P400"``.

    Returns:
        The grain size.

    Raises:
        Refused: a grade the table does not hold.

    Source: FEPA 43-1 / ISO 6344.

    >>> grain_um("P400")
    35.0
    """
    grades = table_by("abrasives", "grade")
    row = grades.get(str(grade).strip().upper())
    if row is None:
        raise Refused(f"grades: {grade!r} is not a paper known here. Papers: {', '.join(grades)}.")
    return row.amount("grain_um")


def removal_mm(grades: Sequence[str], grain_share: float, polishing: float = 0.0) -> float:
    """The inner form of `removal`, in mm.

    Args:
        grades: of the papers, coarse to fine.
        grain_share: how large a share of its grain a paper takes off.
        polishing: what the mop takes off, in mm.

    Returns:
        What comes off a face, in mm.

    Raises:
        Refused: the grades do not go from coarse to fine.
    """
    sizes = [grain_um(grade) for grade in grades]
    if any(later >= earlier for earlier, later in pairwise(sizes)):
        raise Refused(
            f"grades came as {', '.join(grades)}; put them from coarse to fine, for example P400, P1000, "
            "P2500."
        )
    return sum(sizes) / 1000 * grain_share + polishing


def removal(grades: Sequence[str], grain_share: float | None = None, polishing: Any = None) -> Any:
    """What a ladder of papers takes off one face.

    Args:
        grades: the papers in their order, coarse to fine, such as ``["P400", "P1000", "P2500"]``.
        grain_share: the share of its own grain that each paper takes off; the default is in
            data/practice.csv (`grain_share`).
        polishing: what the mop takes off afterwards, if it is to be counted in.

    Returns:
        The removal per face, in mm.

    Raises:
        Refused: no papers, an unknown one, or an order that is not coarse to fine.

    Basis: common practice: a paper is worked until the marks of the one before are gone; the marks go
    about a third of a grain deep. Grain sizes: FEPA 43-1 / ISO 6344. Measure yours on a scrap.

    >>> print(f"{removal(['P400', 'P600', 'P1000', 'P1500', 'P2500']):.4f~P}")
    0.0330 mm
    """
    if isinstance(grades, str) or not grades:
        raise Refused(
            f"removal: grades came as {grades!r}; give a list of papers, for example ['P400', 'P1000']."
        )
    share = practice("grain_share") if grain_share is None else grain_share
    share = plain(share, Kind("", "a plain number", "0.33"), "grain_share", "removal")
    mop = 0.0 if polishing is None else plain(polishing, _MOP, "polishing", "removal")
    return quantity(removal_mm(grades, share, mop), "mm")


_MOP = Kind("mm", "a length", "size('0.005 mm')", zero=True)


def papers_for(amount: float, papers: Sequence[str], grain_share: float) -> tuple[str, ...]:
    """The ladder of papers with coarser ones before it, until it can take an amount off a face.

    Args:
        amount: to take off a face, as a plain number in mm.
        papers: the ladder to begin with, coarse to fine.
        grain_share: how large a share of its grain a paper takes off.

    Returns:
        The papers, coarse to fine; the coarsest there is comes first if even that is not enough.

    Basis: common practice: go two grades coarser at a time.

    >>> papers_for(0.02, ("P1500", "P2500"), 0.33)
    ('P600', 'P1000', 'P1500', 'P2500')
    """
    names = [row["grade"] for row in rows_of("abrasives")]
    chosen = list(papers)
    # what a paper takes is a rule of thumb: a tenth too little is near enough
    while removal_mm(chosen, grain_share) < 0.9 * amount and (at := names.index(chosen[0])) > 0:
        chosen.insert(0, names[max(at - 2, 0)])
    return tuple(chosen)


@with_units
def stock_size(finished: Length, removal: LengthOrZero, faces: Factor = 2) -> Length:
    """The size to stop at before the papers, so that the finished size is left.

    Args:
        finished: the size wanted at the end.
        removal: what comes off each face.
        faces: how many of the two faces are worked: 2 for a sheet or a wire, 1 for one side.

    Returns:
        The size before, in mm.

    Formula: finished + faces x removal.

    >>> from course_lib.bench.units import size
    >>> print(f"{stock_size(size('0.5 mm'), removal(['P400', 'P1000', 'P2500'])):.3f~P}")
    0.541 mm
    """
    return finished + faces * removal


@with_units
def marks_left(grain: Length, grain_share: Share) -> Length:
    """How deep the marks of a paper go: the next one must take off this much.

    >>> from course_lib.bench.units import size
    >>> print(f"{marks_left(size('0.035 mm'), 0.33):.4f~P}")
    0.0116 mm
    """
    return grain * grain_share
