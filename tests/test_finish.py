"""What papers and mop take off, and the size to stop at before them."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from course_lib.bench.finish import grain_um, marks_left, papers_for, removal, stock_size
from course_lib.bench.refusals import Refused
from course_lib.bench.tables import practice, practice_names, rows_of
from course_lib.bench.units import quantity, size
from tests.published_values import published

UNHURRIED = settings(max_examples=100, deadline=None)
GRADES = [row["grade"] for row in rows_of("abrasives")]


@pytest.mark.parametrize("row", published("abrasives"), ids=lambda r: r["grade"])
def test_grains_are_those_of_fepa(row: dict[str, str]) -> None:
    assert grain_um(row["grade"]) == pytest.approx(float(row["grain_um"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize(
    "row", [r for r in published("abrasives") if r["grade"] != "P80"], ids=lambda r: r["grade"]
)
def test_each_paper_follows_the_one_before_by_the_published_ratio(row: dict[str, str]) -> None:
    """The grade before is in the table too: the ratio to it is FEPA's, so none is missing in between."""
    before = GRADES[GRADES.index(row["grade"]) - 1]
    assert grain_um(before) / grain_um(row["grade"]) == pytest.approx(
        float(row["ratio_to_previous"]), abs=0.0051
    )


def test_sanding_begins_at_about_p400_and_ends_at_p2500_to_p3000() -> None:
    """Common practice."""
    papers = practice_names("papers")
    assert papers[0] == "P400"
    assert papers[-1] in ("P2500", "P3000")
    grains = [grain_um(paper) for paper in papers]
    assert grains == sorted(grains, reverse=True)


def test_a_plate_of_half_a_millimetre_is_rolled_to_no_more_than_six_tenths() -> None:
    """Common practice: enough is left on for the papers and the mop, and not much more."""
    off = removal(practice_names("papers"), polishing=quantity(practice("polishing"), "mm"))
    stock = stock_size(size("0.5 mm"), off, faces=2).m_as("mm")
    assert 0.52 < stock <= 0.6


@UNHURRIED
@given(st.lists(st.sampled_from(GRADES), min_size=1, unique=True), st.floats(0.1, 1), st.floats(0, 0.05))
def test_removal_is_a_share_of_every_grain(grades: list[str], share: float, mop: float) -> None:
    in_order = sorted(grades, key=grain_um, reverse=True)
    found = removal(in_order, share, quantity(mop, "mm")).m_as("mm")
    each = [removal([grade], share).m_as("mm") for grade in in_order]
    assert found == pytest.approx(sum(each) + mop)
    assert each[0] == pytest.approx(share * grain_um(in_order[0]) / 1000)
    if len(in_order) > 1:
        with pytest.raises(Refused, match="coarse to fine"):
            removal(in_order[::-1], share)


@UNHURRIED
@given(st.floats(0.1, 5), st.floats(0, 0.1), st.sampled_from([1, 2]))
def test_sanding_the_stock_leaves_the_finished_size(finished: float, off: float, faces: int) -> None:
    left = stock_size(quantity(finished, "mm"), quantity(off, "mm"), faces).m_as("mm")
    for _ in range(faces):
        left -= off
    assert left == pytest.approx(finished)


@pytest.mark.parametrize("bad", [[], "P400", ["P401"], ["P400", "P400"], ["P1000", "P400"], [400]])
def test_papers_that_are_no_ladder(bad: object) -> None:
    with pytest.raises(Refused, match="grades"):
        removal(bad)  # type: ignore[arg-type]


@given(st.floats(0.001, 0.15))
def test_coarser_papers_are_put_before_until_they_take_enough(amount: float) -> None:
    """Common practice; a tenth too little is near enough for a rule of thumb."""
    papers = papers_for(amount, ("P1500", "P2500"), 0.33)
    takes = [grain_um(paper) * 0.33 / 1000 for paper in papers]
    assert papers[-2:] == ("P1500", "P2500") and takes == sorted(takes, reverse=True)
    assert sum(takes) >= 0.9 * amount
    assert len(papers) == 2 or sum(takes[1:]) < 0.9 * amount


def test_marks_of_a_paper_are_a_share_of_its_grain() -> None:
    """Common practice: about a third of a grain."""
    assert marks_left(quantity(35, "um"), practice("grain_share")).m_as("um") == pytest.approx(
        35 / 3, rel=0.02
    )
