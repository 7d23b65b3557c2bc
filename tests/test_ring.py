"""Gallery ring: the coil, the mandrel and the kerf, by walking along the wire."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import dblquad

from course_lib.bench.refusals import Refused
from course_lib.bench.ring import mandrel_for, ring_volume, shrink_from_kerf, wire_for_coil, wire_for_ring
from course_lib.bench.units import quantity, size
from tests.published_values import worked_example

UNHURRIED = settings(max_examples=100, deadline=None)
INSIDE, WIRE = st.floats(1, 20), st.floats(0.3, 2)


def mm(value: float) -> object:
    return quantity(value, "mm")


def test_torus_of_pappus() -> None:
    value, tolerance = worked_example("torus volume, R 1, r 0.3")
    assert ring_volume(size("1.4 mm"), size("0.6 mm")).m_as("mm**3") == pytest.approx(value, rel=tolerance)


@pytest.mark.parametrize(("inside", "wire"), [(4.0, 0.9), (1.0, 1.0), (10.0, 0.5)])
def test_ring_volume_by_integration(inside: float, wire: float) -> None:
    """Rings of metal, 2 pi times their radius long, over the wire's section."""
    middle, half = (inside + wire) / 2, wire / 2
    by_scipy, _ = dblquad(
        lambda z, r: 2 * math.pi * r,
        middle - half,
        middle + half,
        lambda r: -math.sqrt(max(half**2 - (r - middle) ** 2, 0)),
        lambda r: math.sqrt(max(half**2 - (r - middle) ** 2, 0)),
    )
    assert ring_volume(mm(inside), mm(wire)).m_as("mm**3") == pytest.approx(by_scipy, rel=1e-6)


@UNHURRIED
@given(INSIDE, WIRE)
def test_wire_is_measured_along_its_middle(inside: float, wire: float) -> None:
    """Halfway between the ways round inside and outside; and length times section is the volume."""
    length = wire_for_ring(mm(inside), mm(wire)).m_as("mm")
    assert length == pytest.approx((math.pi * inside + math.pi * (inside + 2 * wire)) / 2)
    assert length * math.pi / 4 * wire**2 == pytest.approx(ring_volume(mm(inside), mm(wire)).m_as("mm**3"))


@UNHURRIED
@given(INSIDE, WIRE, st.floats(0, 0.3), st.floats(0, 0.1))
def test_winding_opening_sawing_and_closing_gives_the_ring(
    inside: float, wire: float, kerf: float, spring_back: float
) -> None:
    """Do at the bench what the sum says: wind, let go, saw, close."""
    mandrel = mandrel_for(mm(inside), mm(wire), mm(kerf), spring_back).m_as("mm")
    opened = mandrel * (1 + spring_back)
    length = wire_for_ring(mm(opened), mm(wire)).m_as("mm") - kerf
    assert length / math.pi - wire == pytest.approx(inside, rel=1e-9)


@UNHURRIED
@given(INSIDE, WIRE, st.floats(0.01, 0.3))
def test_the_kerf_shrinks_the_ring(inside: float, wire: float, kerf: float) -> None:
    closed = (wire_for_ring(mm(inside), mm(wire)).m_as("mm") - kerf) / math.pi - wire
    assert inside - closed == pytest.approx(shrink_from_kerf(mm(kerf)).m_as("mm"), rel=1e-6)


def test_a_kerf_that_is_no_saw() -> None:
    with pytest.raises(Refused, match=r"kerf came as.*for example"):
        mandrel_for(size("4 mm"), size("0.9 mm"), size("3 mm"))


@UNHURRIED
@given(INSIDE, WIRE, st.floats(0.5, 12))
def test_a_coil_is_a_helix(inside: float, wire: float, turns: float) -> None:
    """Walk along the wire's middle: each turn climbs by one wire, for it lies against the one before."""
    turn = np.linspace(0, 2 * math.pi * turns, 20001)
    radius = (inside + wire) / 2
    steps = np.diff([radius * np.cos(turn), radius * np.sin(turn), wire * turn / (2 * math.pi)])
    walked = np.sqrt((steps**2).sum(axis=0)).sum()
    found = wire_for_coil(mm(inside), mm(wire), turns).m_as("mm")
    assert found == pytest.approx(walked, rel=1e-5)
    assert found > turns * wire_for_ring(mm(inside), mm(wire)).m_as("mm")
