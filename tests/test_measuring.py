"""Readings, their uncertainty and decisions, against the GUM, ISO 14253-1, GTC and scipy."""

import math
from statistics import stdev

import GTC
import pytest
from GTC import reporting, type_b
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import stats

from course_lib.bench.measuring import (
    coverage,
    decide,
    effective_freedom,
    guard_band,
    measured,
    readings_enough,
)
from course_lib.bench.refusals import Refused, WrongUnit
from course_lib.bench.units import quantity, size
from tests.published_values import published, worked_example

UNHURRIED = settings(max_examples=150, deadline=None)


def lengths(*in_mm: float) -> list[object]:
    return [quantity(each, "mm") for each in in_mm]


# --- Student's t ----------------------------------------------------------------------------------
@pytest.mark.parametrize("row", published("student_t"), ids=lambda r: f"{r['dof']} at {r['percent']}")
def test_coverage_is_table_g2(row: dict[str, str]) -> None:
    found = coverage(float(row["dof"]), float(row["percent"]) / 100)
    assert found == pytest.approx(float(row["t_table"]), abs=float(row["tolerance"]) + 1e-9)
    assert found == pytest.approx(float(row["t_library"]), abs=6e-5)


@UNHURRIED
@given(st.floats(0.5, 1e4), st.floats(0.01, 0.9999))
def test_coverage_is_scipys_t(freedom: float, confidence: float) -> None:
    assert coverage(freedom, confidence) == pytest.approx(
        stats.t.ppf((1 + confidence) / 2, freedom), rel=1e-7
    )


@pytest.mark.parametrize("freedom", [1e5, 1e6, 1e7, 9e7, 1e9, math.inf])
@pytest.mark.parametrize("confidence", [0.5, 0.95, 0.9999])
def test_coverage_ends_at_the_normal_curve(freedom: float, confidence: float) -> None:
    assert coverage(freedom, confidence) == pytest.approx(
        stats.t.ppf((1 + confidence) / 2, freedom), rel=1e-5
    )


@pytest.mark.parametrize("freedom", [0, -1, 0.2, math.nan])
def test_too_little_freedom_is_refused(freedom: float) -> None:
    with pytest.raises(Refused, match="degrees_of_freedom"):
        coverage(freedom)


# --- worked examples of the GUM -------------------------------------------------------------------
def test_end_gauge_of_annex_h1() -> None:
    """JCGM 100:2008 H.1: five components in nm, each with its degrees of freedom; two levels."""
    difference = [(5.8, 24.0), (3.9, 5.0), (6.7, 8.0)]
    u_difference = math.hypot(*(u for u, _ in difference))
    components = [
        (25.0, 18.0),
        (u_difference, effective_freedom(difference)),
        # difference of expansion: 50 mm x 0.1 degC x 1e-6/sqrt(3)
        # difference of temperature: 50 mm x 11.5e-6 x 0.05/sqrt(3)
        (50e6 * 0.1 * 1e-6 / math.sqrt(3), 50.0),
        (50e6 * 11.5e-6 * 0.05 / math.sqrt(3), 2.0),
    ]
    freedom = effective_freedom(components)
    combined = math.hypot(*(u for u, _ in components))
    value, tolerance = worked_example("end gauge: effective degrees of freedom")
    assert freedom == pytest.approx(value, abs=tolerance)
    value, tolerance = worked_example("end gauge: combined standard uncertainty")
    assert combined == pytest.approx(value, abs=tolerance)
    value, tolerance = worked_example("end gauge: t for 99 %, 16 degrees of freedom")
    assert coverage(math.floor(freedom), 0.99) == pytest.approx(value, abs=tolerance)
    value, tolerance = worked_example("end gauge: expanded uncertainty, 99 %")
    assert coverage(math.floor(freedom), 0.99) * combined == pytest.approx(value, abs=tolerance)


def test_temperatures_keep_a_temperature_and_a_difference_apart() -> None:
    readings = [99.2, 100.1, 100.9, 99.7, 100.6]
    found = measured([quantity(t, "degC") for t in readings], resolution=quantity(0.1, "delta_degC"))
    by_gtc = GTC.type_a.estimate(readings) + GTC.ureal(0, type_b.uniform(0.05))
    assert found.value.m_as("degC") == pytest.approx(GTC.value(by_gtc))
    assert found.standard_uncertainty.m_as("delta_degC") == pytest.approx(GTC.uncertainty(by_gtc))
    k = reporting.k_factor(GTC.dof(by_gtc), p=95)
    assert found.expanded(0.95).m_as("kelvin") == pytest.approx(k * GTC.uncertainty(by_gtc), rel=1e-6)
    with pytest.raises(WrongUnit, match="resolution"):
        measured([quantity(20.0, "degC")], resolution=quantity(0.01, "degC"))


def test_a_resolution_alone() -> None:
    found = measured(lengths(0.8), size("0.01 mm"))
    value, tolerance = worked_example("resolution 0.01 mm as a standard uncertainty")
    assert found.standard_uncertainty.m_as("mm") == pytest.approx(value, abs=tolerance)
    assert found.degrees_of_freedom == math.inf
    assert "one reading" in found.remark
    # a step of 0.04 mm is a half-width of 0.02 mm
    value, tolerance = worked_example("half-width 0.02 mm, rectangular, as a standard uncertainty")
    assert measured(lengths(0.8), size("0.04 mm")).standard_uncertainty.m_as("mm") == pytest.approx(
        value, abs=tolerance
    )


# --- against GTC ----------------------------------------------------------------------------------
@UNHURRIED
@given(
    st.lists(st.floats(0.5, 1.5), min_size=2, max_size=12),
    st.floats(0.001, 0.1),
    st.floats(-0.1, 0.1),
    st.floats(0, 0.05),
)
def test_measured_is_type_a_and_type_b_together(
    readings: list[float], resolution: float, zero: float, gauge: float
) -> None:
    """GTC combines the same three influences by its own means."""
    assume(stdev(readings) > 1e-6)
    found = measured(
        lengths(*readings), quantity(resolution, "mm"), quantity(zero, "mm"), quantity(gauge, "mm")
    )
    by_scatter = GTC.type_a.estimate(readings)
    by_gtc = by_scatter + GTC.ureal(-zero, type_b.uniform(resolution / 2)) + GTC.ureal(0, gauge)
    assert found.value.m_as("mm") == pytest.approx(GTC.value(by_gtc), abs=1e-12)
    assert found.standard_uncertainty.m_as("mm") == pytest.approx(GTC.uncertainty(by_gtc), rel=1e-9)
    freedom = GTC.dof(by_gtc)
    assert (
        found.degrees_of_freedom == pytest.approx(freedom, rel=1e-6)
        or min(freedom, found.degrees_of_freedom) > 1e5
    )
    if freedom < 1e4:
        k = reporting.k_factor(freedom, p=95)
        assert found.expanded(0.95).m_as("mm") == pytest.approx(k * GTC.uncertainty(by_gtc), rel=1e-5)


@UNHURRIED
@given(st.lists(st.tuples(st.floats(0.1, 10), st.floats(1, 60)), min_size=1, max_size=6))
def test_effective_freedom_is_gtcs(components: list[tuple[float, float]]) -> None:
    together = sum(GTC.ureal(0, u, freedom) for u, freedom in components)
    assert effective_freedom(components) == pytest.approx(GTC.dof(together), rel=1e-6)


@UNHURRIED
@given(st.floats(0.5, 2), st.floats(0, 0.05), st.integers(2, 10))
def test_readings_that_agree_leave_only_the_gauge(value: float, gauge: float, count: int) -> None:
    found = measured(lengths(*[value] * count), size("0.01 mm"), instrument_uncertainty=quantity(gauge, "mm"))
    assert found.standard_uncertainty.m_as("mm") == pytest.approx(
        math.hypot(0.01 / math.sqrt(12), gauge), rel=1e-6
    )


@pytest.mark.parametrize("closed", [-0.02, 0.0, 0.03])
def test_the_zero_error_is_taken_off(closed: float) -> None:
    """A closed gauge that reads 0.03 mm reads everything 0.03 mm too large."""
    true_size = 0.8
    found = measured(lengths(true_size + closed), size("0.01 mm"), zero_error=quantity(closed, "mm"))
    assert found.value.m_as("mm") == pytest.approx(true_size)


def test_units_and_arrays_of_readings() -> None:
    inches = measured([size("1/32 in"), quantity(0.0315, "inch")], quantity(0.0005, "inch"))
    in_mm = measured(lengths(0.79375, 0.8001), size("0.0127 mm"))
    assert inches.value.m_as("mm") == pytest.approx(in_mm.value.m_as("mm"))
    assert inches.standard_uncertainty.m_as("mm") == pytest.approx(in_mm.standard_uncertainty.m_as("mm"))
    array = measured(quantity([0.79375, 0.8001], "mm"), size("0.0127 mm"))
    assert array == in_mm
    weights = measured([quantity(1.25, "gram"), quantity(1251, "mg")], quantity(0.01, "gram"))
    assert weights.value.m_as("gram") == pytest.approx(1.2505)
    degrees = measured([quantity(30.0, "degree"), quantity(31, "degree")], quantity(30, "arcmin"))
    assert degrees.value.m_as("degree") == pytest.approx(30.5)
    for mixed in (
        [size("0.8 mm"), quantity(1, "gram")],
        [0.8],
        ["0.8 mm"],
        [quantity(3, "second")],
        [quantity(1.0, "")],
    ):
        with pytest.raises(WrongUnit, match="readings"):
            measured(mixed, size("0.01 mm"))
    with pytest.raises(Refused, match="readings"):
        measured([], size("0.01 mm"))
    with pytest.raises(Refused, match="zero_error"):
        measured(lengths(0.1), size("0.01 mm"), zero_error=size("0.2 mm"))


# --- decisions ------------------------------------------------------------------------------------
@pytest.mark.parametrize("row", published("decisions"), ids=lambda r: r["value_mm"])
def test_decisions_at_the_boundaries(row: dict[str, str]) -> None:
    verdict = decide(size(f"{row['value_mm']} mm"), size("0.008 mm"), size("0.92 mm"), size("0.02 mm"))
    assert verdict == row["verdict"]


@UNHURRIED
@given(st.integers(-300, 300), st.integers(0, 100), st.integers(1, 150))
def test_decisions_by_whole_micrometres(difference: int, band: int, tolerance: int) -> None:
    """In whole numbers there is no rounding: accept if all of the band is inside, reject if none is."""
    ends = (difference - band, difference + band)
    inside = [-tolerance <= end <= tolerance for end in ends]
    outside = ends[0] > tolerance or ends[1] < -tolerance
    wanted = "accept" if all(inside) else "reject" if outside else "cannot say"
    assert guard_band(difference / 1000, band / 1000, tolerance / 1000) == wanted
    found = decide(
        quantity(1 + difference / 1000, "mm"),
        quantity(band / 1000, "mm"),
        size("1 mm"),
        quantity(tolerance / 1000, "mm"),
    )
    # where the band just touches the limit, one size less another may round either way
    if min(abs(abs(difference) + s * band - tolerance) for s in (-1, 1)) > 0:
        assert found == wanted


def test_decide_on_temperatures() -> None:
    near, far = quantity(101.0, "degC"), quantity(120.0, "degC")
    about, off = quantity(100.0, "degC"), quantity(5.0, "delta_degC")
    assert decide(near, quantity(1.0, "kelvin"), about, off) == "accept"
    assert decide(far, quantity(1.0, "kelvin"), about, off) == "reject"


# --- how many readings ----------------------------------------------------------------------------
@UNHURRIED
@given(st.floats(0.001, 0.1), st.floats(0.002, 0.1))
def test_readings_enough_is_the_first_that_is(scatter: float, floor: float) -> None:
    count = readings_enough(quantity(scatter, "mm"), quantity(floor, "mm"))

    def left(n: int) -> float:
        return float(stats.t.ppf(0.975, n - 1)) * scatter / math.sqrt(n)

    limit = float(stats.norm.ppf(0.975)) * floor
    assert 2 <= count <= 30
    assert count == 30 or left(count) <= limit * (1 + 1e-9)
    assert count == 2 or left(count - 1) > limit * (1 - 1e-9)
