"""Where claws stand and lean, by points in space."""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from course_lib.bench.basket import Basket, basket, crossing_gap
from course_lib.bench.refusals import Refused
from course_lib.bench.tables import practice
from course_lib.bench.units import quantity, size

UNHURRIED = settings(max_examples=150, deadline=None)
DEMO = {
    "stone_diameter": 5.0,
    "ring_inside": 2.6,
    "ring_wire": 0.9,
    "claw_wire": 0.8,
    "groove_depth": 0.27,
    "girdle_height": 2.2,
    "base_depth": 1.2,
    "bearing_cut": 0.27,
    "bend_radius": 0.4,
}


def built(claws: int = 4, **sizes: float) -> Basket:
    return basket(**{k: quantity(float(v), "mm") for k, v in (DEMO | sizes).items()}, claws=claws)


def mm(value: Any) -> float:
    return float(value.m_as("mm"))


SIZES = st.fixed_dictionaries(
    {
        "stone_diameter": st.floats(3, 12),
        "ring_inside": st.floats(1.5, 8),
        "ring_wire": st.floats(0.6, 1.5),
        "claw_wire": st.floats(0.5, 1.5),
        "groove_depth": st.floats(0.05, 0.5),
        "girdle_height": st.floats(1.5, 5),
        "base_depth": st.floats(0.8, 3),
        "bearing_cut": st.floats(0.05, 0.5),
        "bend_radius": st.floats(0, 0.5),
    }
)


@pytest.mark.parametrize("claws", [3, 4, 5, 6, 8])
def test_grooves_stand_evenly_on_the_outside_of_the_ring(claws: int) -> None:
    outside = DEMO["ring_inside"] / 2 + DEMO["ring_wire"]
    points = [outside * np.array([math.cos(a), math.sin(a)]) for a in np.arange(claws) * 2 * math.pi / claws]
    for here, there in zip(points, points[1:] + points[:1], strict=True):
        assert mm(built(claws).groove_spacing) == pytest.approx(float(np.linalg.norm(here - there)))


def test_chords_everyone_knows() -> None:
    """Three: root three; four: root two; six: one; each times the radius."""
    for claws, chord in ((3, math.sqrt(3)), (4, math.sqrt(2)), (6, 1.0)):
        assert mm(built(claws).groove_spacing) == pytest.approx(chord * (1.3 + 0.9))


@UNHURRIED
@given(SIZES)
def test_a_claw_touches_its_groove_and_the_girdle(sizes: dict[str, float]) -> None:
    """Two points of a claw's middle, one at the ring's height and one at the girdle's, make its line."""
    b = built(**sizes)
    half = sizes["claw_wire"] / 2
    at_ring, at_girdle = mm(b.ring_radius), mm(b.girdle_radius)
    # the floor of the groove, and the bearing the stone sits in, are half a claw inside the middle
    assert at_ring - half == pytest.approx(
        sizes["ring_inside"] / 2 + sizes["ring_wire"] - sizes["groove_depth"]
    )
    assert at_girdle - half == pytest.approx(sizes["stone_diameter"] / 2 - sizes["bearing_cut"])
    line = np.array([at_girdle - at_ring, sizes["girdle_height"]])
    upright = np.array([0.0, 1.0])
    angle = math.degrees(math.acos(line @ upright / np.linalg.norm(line)))
    assert abs(b.flare.m_as("degree")) == pytest.approx(angle, abs=1e-5)
    assert (b.flare.m > 0) == (at_girdle > at_ring) or angle < 1e-6
    # further down the same line lies the corner at the base
    share = sizes["base_depth"] / sizes["girdle_height"]
    corner = np.array([at_ring, 0.0]) - share * line
    assert mm(b.base_radius) == pytest.approx(corner[0], abs=1e-9)
    tip = np.array([at_girdle, sizes["girdle_height"]])
    assert mm(b.claw_length) == pytest.approx(float(np.linalg.norm(tip - corner)))


def rounded_path_length(points: np.ndarray, radius: float) -> float:
    """Length of a run of straight lines whose corners are rounded by circles that touch both lines."""
    length = 0.0
    here = points[0]
    for before, corner, after in zip(points, points[1:], points[2:], strict=False):
        into = (corner - before) / np.linalg.norm(corner - before)
        out = (after - corner) / np.linalg.norm(after - corner)
        # the circle's middle lies on the line that halves the corner, `radius` from both sides
        inward = (out - into) / np.linalg.norm(out - into)
        half_corner = math.acos(float(np.clip(-into @ out, -1, 1))) / 2
        middle = corner + inward * radius / math.sin(half_corner)
        first = corner + into * ((middle - corner) @ into)
        second = corner + out * ((middle - corner) @ out)
        swept = math.acos(float(np.clip((first - middle) @ (second - middle) / radius**2, -1, 1)))
        length += float(np.linalg.norm(first - here)) + radius * swept
        here = second
    return length + float(np.linalg.norm(points[-1] - here))


@UNHURRIED
@given(SIZES)
def test_a_staple_is_two_claws_and_a_base_with_rounded_corners(sizes: dict[str, float]) -> None:
    b = built(**sizes)
    top, low, out, foot = sizes["girdle_height"], -sizes["base_depth"], mm(b.girdle_radius), mm(b.base_radius)
    middle_radius = sizes["bend_radius"] + sizes["claw_wire"] / 2
    turn = math.radians(90 - b.flare.m_as("degree"))
    # a real staple has some straight base and leg between its bends
    assume(middle_radius * math.tan(turn / 2) < min(foot, mm(b.claw_length)) - 1e-6)
    points = np.array([[-out, top], [-foot, low], [foot, low], [out, top]])
    assert mm(b.staple_length) == pytest.approx(rounded_path_length(points, middle_radius), rel=1e-7)


def test_upright_claws() -> None:
    """A stone exactly as wide as the ring lets the claws stand upright: flare nothing, quarter bends."""
    upright = DEMO | {"stone_diameter": 2 * (1.3 + 0.9 - 0.27 + 0.27)}
    b = built(**upright)
    assert b.flare.m_as("degree") == pytest.approx(0, abs=1e-9)
    radius, bend = mm(b.ring_radius), 0.4 + 0.4
    assert mm(b.base_radius) == pytest.approx(radius)
    straight = 2 * (2.2 + 1.2 - bend) + 2 * (radius - bend)
    assert mm(b.staple_length) == pytest.approx(straight + math.pi * bend)
    smaller = built(**(upright | {"stone_diameter": 3.0}))
    assert smaller.flare.m_as("degree") < 0


@UNHURRIED
@given(SIZES, st.floats(0.5, 6))
def test_air_under_the_culet(sizes: dict[str, float], pavilion: float) -> None:
    """Heights above the ring's middle: the culet, and the top of the wire that crosses under it."""
    culet = sizes["girdle_height"] - pavilion
    top_of_base = -sizes["base_depth"] + sizes["claw_wire"] / 2
    found = built(**sizes).culet_clearance(quantity(pavilion, "mm"))
    assert mm(found) == pytest.approx(culet - top_of_base, abs=1e-9)


def test_a_deeper_stone_would_touch() -> None:
    assert mm(built().culet_clearance(size("2.2 mm"))) > 0 > mm(built().culet_clearance(size("3.2 mm")))


def test_the_gap_in_the_first_staple_is_the_wire_of_the_second() -> None:
    """Common practice, for four claws."""
    assert mm(crossing_gap(size("0.8 mm"))) == pytest.approx(0.8)


@pytest.mark.parametrize("claws", [4, 6, 8])
def test_the_gap_where_staples_cross_at_an_angle(claws: int) -> None:
    """How much of the first staple's line lies inside the second wire, which crosses it at 360/n degrees."""
    angle, wire = 2 * math.pi / claws, 0.8
    along = np.linspace(-5, 5, 200001)
    from_the_other = np.abs(along * math.sin(angle))
    inside = along[from_the_other <= wire / 2]
    assert mm(crossing_gap(quantity(wire, "mm"), claws)) == pytest.approx(float(np.ptp(inside)), abs=2e-4)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"claws": 2}, "claws"),
        ({"claws": 3.5}, "claws"),
        ({"claws": 1}, "claws"),
        ({"groove_depth": 1.0}, "groove_depth"),
    ],
)
def test_baskets_that_cannot_be(wrong: dict[str, float], said: str) -> None:
    with pytest.raises(Refused, match=rf"{said} came as"):
        built(**wrong)  # type: ignore[arg-type]


@pytest.mark.parametrize("claws", [3, 5])
def test_odd_claws_have_no_staple_opposite(claws: int) -> None:
    with pytest.raises(Refused, match="even number"):
        crossing_gap(size("0.8 mm"), claws)


def test_bearing_and_groove_take_about_a_third() -> None:
    """Common practice: never more than half of the claw."""
    for share in ("bearing_share", "groove_share"):
        assert practice(share) == pytest.approx(1 / 3, abs=0.02) and practice(share) <= 0.5
