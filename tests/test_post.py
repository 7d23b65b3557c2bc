"""The post: what is cut off at the end, how it gives, and when it stays bent."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

from course_lib.bench.post import (
    load_that_bends,
    notch_volume,
    post_blank,
    tip_give,
    wire_volume,
    yield_when_worked,
)
from course_lib.bench.refusals import Refused
from course_lib.bench.tables import practice
from course_lib.bench.units import quantity, size
from tests.published_values import worked_example

UNHURRIED = settings(max_examples=60, deadline=None)


def mm(value: float) -> object:
    return quantity(value, "mm")


def second_moment(wire: float) -> float:
    """Of a round section, in strips of its own width across the bending."""
    half = wire / 2
    return quad(
        lambda a: 2 * (half * math.cos(a)) ** 2 * (half * math.sin(a)) ** 2, -math.pi / 2, math.pi / 2
    )[0]


def test_second_moment_of_a_circle() -> None:
    value, tolerance = worked_example("second moment of a circle, d 0.9 mm")
    assert second_moment(0.9) == pytest.approx(value, abs=tolerance)
    # the project's own, out of the way the tip gives: I = F L^3 / (3 E y)
    gives = tip_give(size("0.9 mm"), size("10 mm"), quantity(2, "newton"), quantity(9e4, "MPa")).m_as("mm")
    assert 2 * 10**3 / (3 * 9e4 * gives) == pytest.approx(value, abs=tolerance)


def test_the_cantilever_of_bansal() -> None:
    value, tolerance = worked_example("cantilever, end load 25 kN, 3 m, I 1e8 mm4, E 2.1e5 MPa")
    wire = (1e8 * 64 / math.pi) ** 0.25
    found = tip_give(mm(wire), size("3000 mm"), quantity(25, "kN"), quantity(2.1e5, "MPa"))
    assert found.m_as("mm") == pytest.approx(value, abs=tolerance)


@UNHURRIED
@given(st.floats(0.6, 1.3), st.floats(5, 18), st.floats(0.5, 10), st.floats(6e4, 1.8e5))
def test_the_tip_gives_as_the_bent_line_does(wire: float, length: float, load: float, modulus: float) -> None:
    stiff = modulus * second_moment(wire)
    line = solve_ivp(
        lambda x, s: [s[1], load * (length - x) / stiff], (0, length), [0.0, 0.0], rtol=1e-9, atol=1e-12
    )
    found = tip_give(mm(wire), mm(length), quantity(load, "newton"), quantity(modulus, "MPa"))
    assert found.m_as("mm") == pytest.approx(line.y[0, -1], rel=1e-6)


@UNHURRIED
@given(st.floats(0.6, 1.3), st.floats(5, 18), st.floats(100, 700))
def test_the_load_that_bends_brings_the_root_to_its_yield(wire: float, length: float, limit: float) -> None:
    load = load_that_bends(mm(wire), mm(length), quantity(limit, "MPa")).m_as("newton")
    stress_at_the_root = load * length * (wire / 2) / second_moment(wire)
    assert stress_at_the_root == pytest.approx(limit, rel=1e-6)


def test_a_straight_round_wire() -> None:
    value, tolerance = worked_example("cylinder, d 0.9, L 11")
    assert wire_volume(size("0.9 mm"), size("11 mm")).m_as("mm**3") == pytest.approx(value, rel=tolerance)


@UNHURRIED
@given(st.floats(0.6, 1.3), st.floats(0.01, 0.49), st.floats(0.1, 1.5))
def test_a_notch_is_a_thick_wire_less_a_thin_one(wire: float, share: float, width: float) -> None:
    depth = wire * share
    left = wire_volume(mm(wire - 2 * depth), mm(width)).m_as("mm**3")
    whole = wire_volume(mm(wire), mm(width)).m_as("mm**3")
    found = notch_volume(mm(wire), mm(depth), mm(width)).m_as("mm**3")
    assert found == pytest.approx(whole - left, rel=1e-9)


@pytest.mark.parametrize("depth", ["0.45 mm", "0.6 mm"])
def test_a_notch_leaves_some_post(depth: str) -> None:
    with pytest.raises(Refused, match="depth came as"):
        notch_volume(size("0.9 mm"), size(depth), size("0.4 mm"))


def test_the_post_is_made_longer_than_the_patterns_and_trimmed_last() -> None:
    """Common practice."""
    assert practice("post_spare") > 0
    blank = post_blank(size("10.5 mm"), quantity(practice("post_spare"), "mm"))
    assert blank.m_as("mm") - 10.5 == pytest.approx(practice("post_spare"))


def test_yield_goes_from_soft_to_hard() -> None:
    soft, hard = quantity(350, "MPa"), quantity(650, "MPa")
    at = [yield_when_worked(soft, hard, worked, 0.5).m_as("MPa") for worked in (0.0, 0.1, 0.3, 0.5, 0.8)]
    assert at[0] == pytest.approx(350) and at[3] == at[4] == pytest.approx(650)
    assert at == sorted(at)
    # halfway in true strain: the reduction done twice gives the whole
    half = 1 - math.sqrt(0.5)
    assert yield_when_worked(soft, hard, half, 0.5).m_as("MPa") == pytest.approx(500)
    with pytest.raises(Refused, match="hard_at"):
        yield_when_worked(soft, hard, 0.3, 1.0)
