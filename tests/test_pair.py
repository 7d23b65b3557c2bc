"""Pattern and duplicate side by side: what an eye sees, and how sure a difference is."""

import math

import GTC
import pytest
from GTC import reporting
from hypothesis import given, settings
from hypothesis import strategies as st

from course_lib.bench.measuring import Measured, measured
from course_lib.bench.pair import compare, farthest_seen, smallest_visible
from course_lib.bench.refusals import Refused
from course_lib.bench.units import quantity, size
from tests.published_values import published, worked_example

UNHURRIED = settings(max_examples=100, deadline=None)
ANGLES = [
    row["check"]
    for row in published("worked_examples")
    if " arcmin at " in row["check"] or " arcsec at " in row["check"]
]


@pytest.mark.parametrize("check", ANGLES)
def test_what_an_eye_sees(check: str) -> None:
    value, tolerance = worked_example(check)
    angle, unit, _, distance, _ = check.split()
    found = smallest_visible(quantity(float(distance), "mm"), quantity(float(angle), unit)).m_as("mm")
    assert found == pytest.approx(value, abs=tolerance)


def test_there_are_nine_angles() -> None:
    assert len(ANGLES) == 9


def test_left_out_the_eye_resolves_one_arcmin() -> None:
    """ISO 8596; between the minimum resolvable that a textbook gives."""
    least, most = (worked_example(f"minimum resolvable, {which}")[0] for which in ("least", "most"))
    found = math.degrees(smallest_visible(size("500 mm")).m_as("mm") / 500) * 3600
    assert found == pytest.approx(60, rel=1e-6) and least <= found <= most + 1e-6


@UNHURRIED
@given(st.floats(100, 3000), st.floats(0.1, 120))
def test_an_angle_by_two_points(distance: float, arcmin: float) -> None:
    """Two points straight before the eye, the difference apart: the angle between the lines to them."""
    apart = smallest_visible(quantity(distance, "mm"), quantity(arcmin, "arcmin")).m_as("mm")
    angle = 2 * math.atan2(apart / 2, distance)
    assert math.degrees(angle) * 60 == pytest.approx(arcmin, rel=1e-9)


@UNHURRIED
@given(st.floats(0.01, 3), st.floats(0.1, 120))
def test_the_farthest_place_from_which_it_is_seen(apart: float, arcmin: float) -> None:
    """From there the difference fills just that angle, by two points straight before the eye."""
    far = farthest_seen(quantity(apart, "mm"), quantity(arcmin, "arcmin")).m_as("mm")
    assert math.degrees(2 * math.atan2(apart / 2, far)) * 60 == pytest.approx(arcmin, rel=1e-9)
    assert farthest_seen(quantity(apart, "mm")).m_as("mm") == pytest.approx(apart * 3437.7467, rel=1e-6)


def reading_of(value: float, u: float, freedom: float) -> Measured:
    return Measured(quantity(value, "mm"), quantity(u, "mm"), freedom)


@UNHURRIED
@given(
    st.floats(0.5, 10),
    st.floats(-0.4, 0.4),
    st.floats(0.001, 0.1),
    st.floats(0.001, 0.1),
    st.integers(1, 30),
    st.integers(1, 30),
)
def test_a_difference_is_as_sure_as_gtc_says(
    value: float, off: float, u: float, other_u: float, freedom: int, other_freedom: int
) -> None:
    ours, theirs = GTC.ureal(value, u, freedom), GTC.ureal(value + off, other_u, other_freedom)
    difference = theirs - ours
    table = compare(
        {"wire": reading_of(value, u, freedom)},
        {"wire": reading_of(value + off, other_u, other_freedom)},
        size("500 mm"),
    )
    assert table.difference_mm[0] == pytest.approx(GTC.value(difference), abs=1e-12)
    band = reporting.k_factor(GTC.dof(difference), p=95) * GTC.uncertainty(difference)
    assert table.uncertainty_mm[0] == pytest.approx(band, rel=1e-5)
    visible = 500 * math.radians(1 / 60)
    wanted = (
        "accept" if abs(off) + band < visible else "reject" if abs(off) - band > visible else "cannot say"
    )
    # the published formula for a small angle is right within a part in a million
    if min(abs(abs(off) + s * band - visible) for s in (-1, 1)) > 1e-5:
        assert table.verdict[0] == wanted


def test_columns_and_shared_sizes() -> None:
    pattern = {"claw wire": size("0.80 mm"), "post": size("0.9 mm"), "only here": size("1 mm")}
    duplicate = {"post": size("1.3 mm"), "claw wire": measured([size("0.82 mm")] * 3, size("0.01 mm"))}
    table = compare(pattern, duplicate, size("500 mm"))
    assert list(table["size"]) == ["claw wire", "post"]
    assert list(table.verdict) == ["accept", "reject"]
    assert list(table.columns) == [
        "size",
        "pattern_mm",
        "duplicate_mm",
        "difference_mm",
        "uncertainty_mm",
        "visible_mm",
        "verdict",
    ]
    assert table.uncertainty_mm[1] == 0
    finer = compare(pattern, duplicate, size("500 mm"), quantity(5, "arcsec"))
    assert finer.verdict[0] == "reject"


def test_nothing_to_compare() -> None:
    with pytest.raises(Refused, match="share no size"):
        compare({"a": size("1 mm")}, {"b": size("1 mm")}, size("500 mm"))
    with pytest.raises(Refused, match="weight"):
        compare({"weight": quantity(1, "gram")}, {"weight": quantity(1, "gram")}, size("500 mm"))
