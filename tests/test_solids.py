"""Volumes and lengths against exact solids: the same parts built in a solid modeller."""

import math

import build123d as bd
import numpy as np
import pytest
from scipy.integrate import quad

from course_lib.bench.basket import basket, groove_volume
from course_lib.bench.forming import bend_length
from course_lib.bench.plate import plate_volume
from course_lib.bench.post import notch_volume, wire_volume
from course_lib.bench.ring import ring_volume, wire_for_coil, wire_for_ring
from course_lib.bench.scroll import curl_length
from course_lib.bench.solder import groove_joint
from course_lib.bench.units import quantity

# stone, ring inside, ring wire, claw wire, groove depth, girdle height, base depth, bearing cut, bend radius
BASKETS = {
    "four claws, 5 mm": (5.0, 2.6, 0.9, 0.8, 0.27, 2.2, 1.2, 0.27, 0.4),
    "four claws, 6.5 mm": (6.5, 4.0, 1.0, 1.0, 0.33, 2.8, 1.6, 0.3, 0.5),
    "upright": (4.4, 2.6, 0.9, 0.8, 0.27, 2.2, 1.2, 0.27, 0.4),
    "leaning in": (4.0, 2.6, 0.9, 0.8, 0.27, 2.2, 1.2, 0.27, 0.4),
    "sharp bends": (5.0, 2.6, 0.9, 0.8, 0.27, 2.2, 1.2, 0.27, 0.0),
}


def mm(*values: float) -> list[object]:
    return [quantity(float(each), "mm") for each in values]


def in_mm3(volume: object) -> float:
    return float(volume.m_as("mm**3"))  # type: ignore[attr-defined]


@pytest.mark.parametrize(("inside", "wire"), [(1.4, 0.6), (2.6, 0.9), (4.0, 1.0), (12.0, 2.0)])
def test_a_ring_is_a_torus(inside: float, wire: float) -> None:
    solid = bd.Solid.make_torus((inside + wire) / 2, wire / 2)
    assert in_mm3(ring_volume(*mm(inside, wire))) == pytest.approx(solid.volume, rel=1e-12)
    middle = bd.Edge.make_circle((inside + wire) / 2)
    assert wire_for_ring(*mm(inside, wire)).m_as("mm") == pytest.approx(middle.length, rel=1e-12)


@pytest.mark.parametrize(("wire", "length"), [(0.9, 11.0), (0.8, 9.5), (1.2, 18.0)])
def test_a_post_is_a_cylinder(wire: float, length: float) -> None:
    solid = bd.Solid.make_cylinder(wire / 2, length)
    assert in_mm3(wire_volume(*mm(wire, length))) == pytest.approx(solid.volume, rel=1e-12)


@pytest.mark.parametrize(("wire", "depth", "width"), [(0.9, 0.08, 0.4), (0.8, 0.1, 0.5), (1.2, 0.3, 1.0)])
def test_a_notch_is_what_goes_missing(wire: float, depth: float, width: float) -> None:
    post = bd.Solid.make_cylinder(wire / 2, 10)
    sleeve = bd.Solid.make_cylinder(wire, width, bd.Plane((0, 0, 7))) - bd.Solid.make_cylinder(
        wire / 2 - depth, width, bd.Plane((0, 0, 7))
    )
    missing = post.volume - (post - sleeve).volume
    assert in_mm3(notch_volume(*mm(wire, depth, width))) == pytest.approx(missing, rel=1e-9)


@pytest.mark.parametrize(
    ("diameter", "thickness", "hole"), [(6.0, 0.5, 0.92), (5.0, 0.4, 0.95), (9.0, 1.0, 0.0)]
)
def test_a_plate_with_a_hole(diameter: float, thickness: float, hole: float) -> None:
    solid = bd.Solid.make_cylinder(diameter / 2, thickness)
    if hole:
        solid = solid - bd.Solid.make_cylinder(hole / 2, thickness)
    assert in_mm3(plate_volume(*mm(diameter, thickness, hole))) == pytest.approx(solid.volume, rel=1e-9)


def bent_staple(sizes: tuple[float, ...]) -> tuple[float, float]:
    """Bend a wire along its middle: up to the girdle on both sides, corners rounded. Length and volume."""
    found = basket(*mm(*sizes))
    out, foot = found.girdle_radius.m_as("mm"), found.base_radius.m_as("mm")
    top, low, wire = sizes[5], -sizes[6], sizes[3]
    corners = bd.Polyline((-out, 0, top), (-foot, 0, low), (foot, 0, low), (out, 0, top))
    path = bd.Wire(corners.edges()).fillet_2d(sizes[8] + wire / 2, corners.vertices()[1:3])
    across = bd.Plane(origin=path @ 0, z_dir=path % 0)
    solid = bd.sweep(bd.Face(bd.Wire.make_circle(wire / 2, across)), path=path)
    return float(path.length), float(solid.volume)


@pytest.mark.parametrize("name", BASKETS)
def test_a_staple_bent_from_wire(name: str) -> None:
    sizes = BASKETS[name]
    length, volume = bent_staple(sizes)
    staple = basket(*mm(*sizes)).staple_length
    assert staple.m_as("mm") == pytest.approx(length, rel=1e-6)
    assert in_mm3(wire_volume(quantity(sizes[3], "mm"), staple)) == pytest.approx(volume, rel=1e-4)


@pytest.mark.parametrize("name", [name for name in BASKETS if name != "sharp bends"])
def test_the_groove_for_a_leaning_claw(name: str) -> None:
    """File the claw out of the round ring: within a few per cent, as the sum says of itself."""
    _, inside, ring_wire, claw_wire, depth, *_ = BASKETS[name]
    found = basket(*mm(*BASKETS[name]))
    flare, radius = math.radians(found.flare.m_as("degree")), found.ring_radius.m_as("mm")
    lean = np.array([math.sin(flare), 0.0, math.cos(flare)])
    start = np.array([radius, 0.0, 0.0]) - 4 * lean
    claw = bd.Solid.make_cylinder(claw_wire / 2, 8, bd.Plane(origin=tuple(start), z_dir=tuple(lean)))
    ring = bd.Solid.make_torus((inside + ring_wire) / 2, ring_wire / 2)
    grooved = ring - claw
    filed = ring.volume - grooved.volume
    assert in_mm3(groove_volume(*mm(ring_wire, claw_wire, depth))) == pytest.approx(filed, rel=0.07)
    floor = sum(face.area for face in grooved.faces() if face.geom_type == bd.GeomType.CYLINDER)
    assert groove_joint(*mm(ring_wire, claw_wire, depth)).m_as("mm**2") == pytest.approx(floor, rel=0.08)


@pytest.mark.parametrize(
    ("ring_wire", "claw_wire", "depth"), [(0.9, 0.8, 0.27), (1.0, 1.0, 0.33), (1.2, 0.7, 0.1)]
)
def test_the_groove_in_a_straight_bar(ring_wire: float, claw_wire: float, depth: float) -> None:
    """What the sum takes it for: two round bars that cross square, exactly."""
    bar = bd.Solid.make_cylinder(ring_wire / 2, 6, bd.Plane((0, -3, 0), z_dir=(0, 1, 0)))
    middle = ring_wire / 2 - depth + claw_wire / 2
    claw = bd.Solid.make_cylinder(claw_wire / 2, 6, bd.Plane((middle, 0, -3)))
    grooved = bar - claw
    filed = bar.volume - grooved.volume
    assert in_mm3(groove_volume(*mm(ring_wire, claw_wire, depth))) == pytest.approx(filed, rel=1e-4)
    (floor,) = [
        f
        for f in grooved.faces()
        if f.geom_type == bd.GeomType.CYLINDER
        and abs(f.radius - claw_wire / 2) < 1e-9
        and f.area < bar.area / 3
    ]
    assert groove_joint(*mm(ring_wire, claw_wire, depth)).m_as("mm**2") == pytest.approx(floor.area, rel=1e-3)


@pytest.mark.parametrize(("inner", "turns", "pitch"), [(0.6, 1.25, 0.45), (0.3, 2.0, 0.5), (1.0, 0.75, 0.6)])
def test_a_curl_laid_along_a_spline(inner: float, turns: float, pitch: float) -> None:
    rise = pitch / (2 * math.pi)
    turned = np.linspace(0, 2 * math.pi * turns, 60)
    points = [((inner + rise * a) * math.cos(a), (inner + rise * a) * math.sin(a)) for a in turned]
    spline = bd.Spline(*points)
    found = curl_length(*mm(inner), turns, *mm(pitch)).m_as("mm")
    assert found == pytest.approx(spline.length, rel=1e-4)
    by_scipy, _ = quad(lambda a: math.hypot(inner + rise * a, rise), 0, turned[-1])
    assert found == pytest.approx(by_scipy, rel=1e-9)


@pytest.mark.parametrize(("inside", "wire", "turns"), [(4.0, 0.9, 2.0), (2.6, 0.9, 5.0)])
def test_a_coil_is_the_modellers_helix(inside: float, wire: float, turns: float) -> None:
    helix = bd.Helix(pitch=wire, height=wire * turns, radius=(inside + wire) / 2)
    assert wire_for_coil(*mm(inside, wire), turns).m_as("mm") == pytest.approx(helix.length, rel=1e-6)


@pytest.mark.parametrize(
    ("angle", "inside", "thickness"), [(60.0, 4.75, 3.2), (90.0, 0.4, 0.4), (135.0, 1.0, 0.5)]
)
def test_a_bend_keeps_its_metal_on_the_middle_line(angle: float, inside: float, thickness: float) -> None:
    """A bar bent on its middle keeps its volume: the arc there, times the section, is the solid."""
    width = 3.0
    section = bd.Pos(inside + thickness / 2, 0, 0) * bd.Rectangle(thickness, width)
    solid = bd.revolve(section, axis=bd.Axis.Y, revolution_arc=angle)
    length = bend_length(quantity(angle, "degree"), *mm(inside, thickness), 0.5).m_as("mm")
    assert length * width * thickness == pytest.approx(solid.volume, rel=1e-9)
