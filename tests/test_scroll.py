"""The scroll: its curls, its grip and its guide dimple, against textbooks and integration."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

from course_lib.bench.hole import dimple_depth
from course_lib.bench.refusals import Refused
from course_lib.bench.scroll import (
    curl_length,
    curl_over_all,
    fold_stands_out,
    grip,
    riser_height,
    scroll_strip,
)
from course_lib.bench.tables import practice
from course_lib.bench.units import quantity, size
from tests.published_values import worked_example

UNHURRIED = settings(max_examples=150, deadline=None)


def curl(inner: float, turns: float, pitch: float) -> float:
    return float(curl_length(quantity(inner, "mm"), turns, quantity(pitch, "mm")).m_as("mm"))


# --- curls ----------------------------------------------------------------------------------------
def test_archimedes() -> None:
    value, tolerance = worked_example("Archimedean spiral r = theta, one turn")
    assert curl(0, 1, 2 * math.pi) == pytest.approx(value, abs=tolerance)


@UNHURRIED
@given(st.floats(0, 5), st.floats(0.1, 4), st.floats(0.001, 3))
def test_a_curl_by_integration(inner: float, turns: float, pitch: float) -> None:
    rise = pitch / (2 * math.pi)
    by_scipy, _ = quad(lambda a: math.hypot(inner + rise * a, rise), 0, 2 * math.pi * turns, epsrel=1e-12)
    assert curl(inner, turns, pitch) == pytest.approx(by_scipy, rel=1e-7)


@UNHURRIED
@given(st.floats(0.1, 5), st.floats(0.1, 4))
def test_a_curl_without_pitch_is_a_circle(inner: float, turns: float) -> None:
    circle = 2 * math.pi * inner * turns
    assert curl(inner, turns, 0) == pytest.approx(circle)
    for pitch in (1e-12, 1e-9, 1e-7, 1e-5):
        # the middle of a narrow spiral lies half its growth further out
        assert curl(inner, turns, pitch) == pytest.approx(circle + math.pi * turns**2 * pitch, rel=1e-6)


@UNHURRIED
@given(st.floats(0.1, 3), st.floats(0.3, 3), st.floats(0.05, 1))
def test_a_curl_lies_between_its_smallest_and_largest_circle(
    inner: float, turns: float, pitch: float
) -> None:
    outer = inner + pitch * turns
    length = curl(inner, turns, pitch)
    assert (
        2 * math.pi * inner * turns < length < 2 * math.pi * turns * math.hypot(outer, pitch / (2 * math.pi))
    )
    # two shorter curls, one after the other, are the long one
    assert curl(inner, turns / 2, pitch) + curl(inner + pitch * turns / 2, turns / 2, pitch) == pytest.approx(
        length
    )


def spiral_points(inner: float, turns: float, pitch: float) -> np.ndarray:
    """The strip's middle: it begins inside and ends at nine o'clock, where the arm comes up from the base."""
    turned = np.linspace(0, turns, 4001)
    radius, angle = inner + pitch * turned, math.pi + 2 * math.pi * (turned - turns)
    return np.array([radius * np.cos(angle), radius * np.sin(angle)])


@UNHURRIED
@given(st.floats(0.3, 2), st.floats(1, 3), st.floats(0.1, 0.8), st.floats(0.2, 0.6))
def test_the_width_of_a_curl_and_the_arm_under_it(
    inner: float, turns: float, pitch: float, thickness: float
) -> None:
    """The curl drawn point by point: a caliper closes on its sides, and its underside rests on the base."""
    sizes = (quantity(inner, "mm"), turns, quantity(pitch, "mm"), quantity(thickness, "mm"))
    across, up = spiral_points(inner, turns, pitch)
    # a spiral bulges a trifle beyond the radius a half turn back: rise^2 / radius, under a hundredth here
    rise = pitch / (2 * math.pi)
    assert curl_over_all(*sizes).m_as("mm") == pytest.approx(
        np.ptp(across) + thickness, abs=rise**2 / inner + 1e-5
    )
    top_of_base = thickness
    centre = top_of_base + thickness / 2 - up.min()
    assert riser_height(*sizes).m_as("mm") == pytest.approx(centre, abs=rise**2 / inner + 1e-5)


def test_the_strip_of_a_scroll_is_laid_out_flat() -> None:
    found = scroll_strip(size("4.8 mm"), size("1.2 mm"), size("4.4 mm")).m_as("mm")
    assert found == pytest.approx(4.4 + 1.2 + 4.8 + 1.2 + 4.4)


def test_a_curl_of_nothing() -> None:
    with pytest.raises(Refused, match="inner_radius and pitch"):
        curl(0, 1, 0)


# --- grip -----------------------------------------------------------------------------------------
def test_a_cantilever_of_bansal() -> None:
    """The same I of 1e8 mm4 as a strip of 1200 x 100 mm; friction 0.5 on two sides is the push."""
    aside, tolerance = worked_example("cantilever, end load 25 kN, 3 m, I 1e8 mm4, E 2.1e5 MPa")
    held = grip(
        quantity(50 + 2 * aside, "mm"),
        size("50 mm"),
        size("100 mm"),
        size("1200 mm"),
        size("3000 mm"),
        quantity(2.1e5, "MPa"),
        0.5,
    )
    assert held.force.m_as("kN") == pytest.approx(25, rel=tolerance / aside)
    # bending stress at the root by moment and section modulus: 25 kN x 3 m / (1200 x 100^2 / 6 mm3)
    assert held.stress.m_as("MPa") == pytest.approx(25e3 * 3000 / (1200 * 100**2 / 6), rel=tolerance / aside)


@settings(max_examples=25, deadline=None)
@given(
    st.floats(0.7, 1.2),
    st.floats(0.02, 0.3),
    st.floats(0.25, 0.6),
    st.floats(2, 5),
    st.floats(3, 8),
    st.floats(60e3, 120e3),
    st.floats(0.1, 0.5),
)
def test_grip_by_bending_the_strip_along_its_length(
    post: float, fills: float, thickness: float, width: float, length: float, modulus: float, friction: float
) -> None:
    """Push each end with the force found and let scipy bend the strip, curvature by curvature."""
    held = grip(
        quantity(post, "mm"),
        quantity(post - fills, "mm"),
        quantity(thickness, "mm"),
        quantity(width, "mm"),
        quantity(length, "mm"),
        quantity(modulus, "MPa"),
        friction,
    )
    push = held.force.m_as("newton") / friction / 2
    second_moment, _ = quad(lambda y: width * y * y, -thickness / 2, thickness / 2)

    def bend(x: float, state: np.ndarray) -> list[float]:
        return [state[1], push * (length - x) / (modulus * second_moment)]

    tip = solve_ivp(bend, (0, length), [0.0, 0.0], rtol=1e-9, atol=1e-12).y[0, -1]
    assert tip == pytest.approx(fills / 2, rel=1e-6)
    assert held.stress.m_as("MPa") == pytest.approx(push * length * (thickness / 2) / second_moment, rel=1e-9)


@pytest.mark.parametrize("gap", ["0.9 mm", "1.0 mm"])
def test_a_post_that_does_not_fill_the_gap_is_not_held(gap: str) -> None:
    held = grip(
        size("0.9 mm"), size(gap), size("0.4 mm"), size("3 mm"), size("5 mm"), quantity(90, "GPa"), 0.2
    )
    assert held.force.m == 0 and held.stress.m == 0


def test_a_gap_of_nothing_is_allowed() -> None:
    held = grip(
        size("0.9 mm"),
        quantity(0.0, "mm"),
        size("0.4 mm"),
        size("3 mm"),
        size("5 mm"),
        quantity(90, "GPa"),
        0.2,
    )
    assert held.force.m > 0


# --- common practice ------------------------------------------------------------------------------
def test_a_guide_dimple_goes_about_a_third_into_a_strip_of_four_tenths() -> None:
    """Common practice."""
    depth = dimple_depth(size("0.4 mm")).m_as("mm")
    assert depth == pytest.approx(0.4 / 3, rel=0.01)
    assert 0 < practice("dimple_share") < 0.5


@pytest.mark.parametrize("cuts", [1, 2, 3, 5])
def test_a_sawn_fold_stands_out_as_its_chords_walked_in_coordinates(cuts: int) -> None:
    """The flat strip, marked from the fold's middle, walked cut by cut; a single cut is a sharp corner."""
    apart, heading = 0.23, 1 + 0j
    place = complex(-(cuts - 1) / 2 * apart, 0)
    turn = complex(math.cos(math.pi / 2 / cuts), math.sin(math.pi / 2 / cuts))
    for cut in range(cuts):
        heading *= turn
        if cut < cuts - 1:
            place += apart * heading
    out = fold_stands_out(quantity(90, "degree"), cuts, quantity(apart, "mm")).m_as("mm")
    assert place.real == pytest.approx(out, abs=1e-12)
    assert place.imag - (cuts - 1) / 2 * apart == pytest.approx(out, abs=1e-12)
    assert heading.real == pytest.approx(0, abs=1e-12)
