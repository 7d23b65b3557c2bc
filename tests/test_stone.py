"""What a stone weighs by its sizes, against published rules and plain solid geometry."""

import math

import pytest

from course_lib.bench.stone import BRILLIANT_FACTOR, DIAMOND_GRAVITY, round_weight
from course_lib.bench.tables import find, rows_of
from course_lib.bench.units import quantity
from tests.published_values import published, worked_example


def carat_of(diameter: float, depth: float, gravity: float = 3.52, girdle: float = 1.0) -> float:
    return round_weight(quantity(diameter, "mm"), quantity(depth, "mm"), gravity, girdle).m_as("carat")


def test_published_brilliants() -> None:
    value, tolerance = worked_example("brilliant 10.0 x 6.0 mm, diamond")
    assert carat_of(10, 6) == pytest.approx(value, abs=tolerance)
    value, tolerance = worked_example("brilliant 6.5 mm, depth 60 %, diamond")
    assert carat_of(6.5, 6.5 * 0.6) == pytest.approx(value, abs=tolerance)


def test_a_thick_girdle_weighs_more() -> None:
    factor, _ = worked_example("slightly thick girdle weighs more by")
    assert carat_of(5, 3, girdle=factor) == pytest.approx(carat_of(5, 3) * factor)


def smooth_cone_factor() -> float:
    """Carat per mm3 of diameter^2 x depth, for a brilliant without facets: two frusta and a cylinder."""
    table, crown, girdle, pavilion = 0.53, 0.162, 0.02, 0.431
    r, t = 0.5, table / 2
    volume = (
        math.pi / 3 * crown * (r * r + r * t + t * t)
        + math.pi * r * r * girdle
        + math.pi / 3 * r * r * pavilion
    )
    return volume * 3.52e-3 / 0.2 / (crown + girdle + pavilion)


def test_a_smooth_cone_brilliant_weighs_nearly_as_much() -> None:
    factor, tolerance = worked_example("smooth cone brilliant: carat per mm3 of d x d x depth")
    assert smooth_cone_factor() == pytest.approx(factor, abs=tolerance)
    assert 0 < BRILLIANT_FACTOR / smooth_cone_factor() - 1 < 0.04


@pytest.mark.parametrize("row", rows_of("stones"), ids=lambda r: r["gem"])
def test_other_gems_weigh_in_proportion(row: dict[str, str]) -> None:
    gravity = float(row["specific_gravity"])
    assert carat_of(5, 3, gravity) / carat_of(5, 3, DIAMOND_GRAVITY) == pytest.approx(gravity / 3.52)


@pytest.mark.parametrize("row", published("stone_gravities"), ids=lambda r: r["table_name"])
def test_gems_of_the_table_are_those_published(row: dict[str, str]) -> None:
    ours, slack = find("stones", "gem", row["table_name"], "a stone"), float(row["tolerance"])
    assert float(ours["specific_gravity"]) == pytest.approx(float(row["single"]), abs=slack)
    if row["least"]:
        assert float(row["least"]) - slack <= float(ours["specific_gravity"]) <= float(row["most"]) + slack
    if row["least"] != row["most"]:
        assert (float(ours["least"]), float(ours["most"])) == (float(row["least"]), float(row["most"]))
    hardness = [float(each) for each in row["mohs"].split("-")]
    assert hardness[0] <= float(ours["mohs"]) <= hardness[-1]


def test_names_the_trade_uses_find_their_gem() -> None:
    """Common practice."""
    for said, gem in (
        ("sapphire", "corundum"),
        ("Ruby", "corundum"),
        ("amethyst", "quartz"),
        ("CZ", "cubic zirconia"),
    ):
        assert find("stones", "gem", said, "a stone")["gem"] == gem


def test_the_pavilion_of_a_brilliant_is_tolkowskys() -> None:
    from course_lib.bench.whole_piece import PAVILION_SHARE

    value, tolerance = worked_example("pavilion of a brilliant, share of its diameter")
    assert pytest.approx(value, abs=tolerance) == PAVILION_SHARE
    # Tolkowsky's pavilion angle of 40.75 degrees gives the same depth
    assert math.tan(math.radians(40.75)) / 2 == pytest.approx(PAVILION_SHARE, abs=tolerance)
