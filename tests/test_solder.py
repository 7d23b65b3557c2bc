"""Solder in order, against trying every choice; and how much solder a joint takes."""

import itertools
import math
from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from course_lib.bench.refusals import NoSolder, Refused
from course_lib.bench.solder import (
    Solder,
    assign,
    groove_joint,
    joint_solder,
    pallion_volume,
    pallions,
    plan_heats,
    round_joint,
)
from course_lib.bench.tables import frame, practice, rows_of
from course_lib.bench.units import quantity, size
from tests.published_values import published, worked_example

UNHURRIED = settings(max_examples=300, deadline=None)
COLUMNS = ("name", "solidus_degC", "flow_degC")
SIX_JOINTS = ("ring seam", "crossing", "claw 1", "claw 2", "post", "back plate")
HARD, MEDIUM, EASY = ("hard", 760, 790), ("medium", 720, 745), ("easy", 680, 705)


def planned(
    joints: Sequence[str], box: Sequence[tuple[str, float, float]], metal: float, margin: float
) -> Any:
    return assign(
        joints, frame(COLUMNS, box), quantity(float(metal), "degC"), quantity(float(margin), "delta_degC")
    )


def shields_of(
    choice: Sequence[tuple[str, float, float]], margin: float, fires: Sequence[Sequence[int]]
) -> list[list[int]]:
    """For each heat, which finished joints in the fire are less than `margin` below melting again."""
    return [
        [i for i in fire if choice[i][1] - solder[2] < margin]
        for solder, fire in zip(choice, fires, strict=True)
    ]


def best_of_all(
    count: int,
    box: Sequence[tuple[str, float, float]],
    metal: float,
    margin: float,
    fires: Sequence[Sequence[int]],
) -> int | None:
    usable = [s for s in box if metal - s[2] >= margin]
    choices = itertools.product(usable, repeat=count)
    return min((sum(map(len, shields_of(c, margin, fires))) for c in choices), default=None)


BOXES = st.lists(st.tuples(st.integers(580, 820), st.integers(0, 60)), min_size=0, max_size=4).map(
    lambda rows: [(f"solder {i}", solidus, solidus + more) for i, (solidus, more) in enumerate(rows)]
)


@UNHURRIED
@given(st.integers(1, 5), BOXES, st.integers(700, 900), st.integers(0, 40))
def test_the_fewest_shields_of_all_choices(
    count: int, box: list[tuple[str, float, float]], metal: int, margin: int
) -> None:
    """In whole degrees there is no rounding: a joint just `margin` below is safe."""
    joints, fires = SIX_JOINTS[:count], [list(range(i)) for i in range(count)]
    wanted = best_of_all(count, box, metal, margin, fires)
    if wanted is None:
        with pytest.raises(NoSolder, match="cannot be done with these solders"):
            planned(joints, box, metal, margin)
        return
    table = planned(joints, box, metal, margin)
    assert list(table.columns) == ["joint", "solder", "flow_degC", "shield"] and list(table.joint) == list(
        joints
    )
    by_name = {solder[0]: solder for solder in box}
    chosen = [by_name[name] for name in table.solder]
    assert [s[2] for s in chosen] == list(table.flow_degC)
    assert all(metal - s[2] >= margin for s in chosen)
    found = shields_of(chosen, margin, fires)
    assert [tuple(joints[i] for i in each) for each in found] == [tuple(each) for each in table.shield]
    assert sum(map(len, found)) == wanted


@pytest.mark.parametrize("seed", range(100))
def test_the_fewest_shields_where_not_every_joint_is_in_the_fire(seed: int) -> None:
    random = np.random.default_rng(seed)
    count, margin = int(random.integers(4, 7)), int(random.integers(0, 30))
    solidi = [int(each) for each in random.integers(600, 800, size=3)]
    box = [
        (f"solder {i}", solidus, solidus + int(random.integers(0, 60))) for i, solidus in enumerate(solidi)
    ]
    fires = [[joint for joint in range(heat) if random.random() < 0.5] for heat in range(count)]
    heats = plan_heats(SIX_JOINTS[:count], [Solder(*s) for s in box], 2000, margin, fires)
    assert sum(len(h.shield) for h in heats) == best_of_all(count, box, 2000, margin, fires)


@UNHURRIED
@given(st.integers(1, 4), BOXES.filter(bool), st.integers(0, 30))
def test_of_equal_choices_the_first_joints_get_the_hardest_solder(
    count: int, box: list[tuple[str, float, float]], margin: int
) -> None:
    fires = [list(range(i)) for i in range(count)]
    table = planned(SIX_JOINTS[:count], box, 2000, margin)
    fewest = sum(map(len, table.shield))
    equal = [
        c
        for c in itertools.product(box, repeat=count)
        if sum(map(len, shields_of(c, margin, fires))) == fewest
    ]
    assert list(table.flow_degC) == list(max(tuple(s[2] for s in c) for c in equal))


def test_hard_first_and_easy_last() -> None:
    """Common practice."""
    table = planned(SIX_JOINTS[:3], [EASY, HARD, MEDIUM], 830, 10)
    assert list(table.solder) == ["hard", "medium", "easy"]
    assert not any(table.shield)


def test_one_joint_more_than_there_are_solders_must_be_shielded() -> None:
    table = planned(SIX_JOINTS[:4], [HARD, MEDIUM, EASY], 830, 10)
    assert sum(map(len, table.shield)) == 1


@pytest.mark.parametrize(("margin", "safe"), [(15, True), (15.001, False), (14.9, True)])
def test_the_margin_to_a_finished_joint(margin: float, safe: bool) -> None:
    """Hard begins to melt at 760, medium flows at 745: 15 degrees between them."""
    table = planned(["seam", "post"], [HARD, MEDIUM], 2000, margin)
    assert (not any(table.shield)) is safe


@pytest.mark.parametrize(("metal", "usable"), [(800, True), (799.999, False)])
def test_the_margin_to_the_metal(metal: float, usable: bool) -> None:
    if usable:
        assert list(planned(["seam"], [HARD], metal, 10).solder) == ["hard"]
    else:
        with pytest.raises(NoSolder, match=r"begins to melt at.*hard, flows at 790.*easier"):
            planned(["seam"], [HARD], metal, 10)


@given(st.integers(700, 900), st.integers(0, 30))
@settings(max_examples=60, deadline=None)
def test_a_margin_just_kept_is_kept_in_any_unit(flow: int, margin: int) -> None:
    """Degrees Fahrenheit and kelvin do not come out in whole degrees Celsius."""
    box = frame(COLUMNS, [("hard", flow - 20, flow)])
    for metal in (
        quantity(float(flow + margin), "degC").to("degF"),
        quantity(flow + margin + 273.15, "kelvin"),
    ):
        for step in (quantity(margin * 1.8, "delta_degF"), quantity(float(margin), "kelvin")):
            assert len(assign(["seam"], box, metal, step)) == 1


# --- a real set -----------------------------------------------------------------------------------
@pytest.mark.parametrize("row", published("silver_solders"), ids=lambda r: r["name"])
def test_fahrenheit_and_celsius_of_the_handbook_agree(row: dict[str, str]) -> None:
    for which in ("solidus", "flow"):
        turned = quantity(float(row[f"{which}_F"]), "degF").m_as("degC")
        assert turned == pytest.approx(float(row[f"{which}_C"]), abs=1)
    assert float(row["solidus_C"]) <= float(row["flow_C"])


def test_three_joints_with_the_silver_solders_of_aws() -> None:
    """Worked by hand from AWS A5.8 (Machinery's Handbook, 31st ed., Table 1a).

    BAg-8 melts at once at 779. BAg-20 flows at 766, thirteen below, and begins to melt at 677; BAg-5 and
    others flow lower. BAg-7 flows at 652, twenty-five below 677. So no joint needs a shield, and each is
    the hardest that leaves it so. Metal: sterling, solidus 802 degC."""
    box = [(r["name"], float(r["solidus_C"]), float(r["flow_C"])) for r in published("silver_solders")]
    table = planned(SIX_JOINTS[:3], box, 802, 10)
    assert list(table.solder) == ["BAg-8", "BAg-20", "BAg-7"] and not any(table.shield)
    assert "BAg-13" not in set(planned(SIX_JOINTS, box, 802, 10).solder)


def test_the_table_holds_the_handbooks_silver_easy() -> None:
    (ours,) = [r for r in rows_of("solders") if r["basis"] == "handbook"]
    (theirs,) = [r for r in published("silver_solders") if r["name"] in ours["source"]]
    for our, their in (("solidus_degC", "solidus_C"), ("flow_degC", "flow_C")):
        assert float(ours[our]) == pytest.approx(float(theirs[their]), abs=float(theirs["tolerance"]))


@pytest.mark.parametrize("row", rows_of("alloys"), ids=lambda r: r["alloy"])
def test_every_alloy_can_be_soldered_hard_medium_easy(row: dict[str, str]) -> None:
    box = [
        (r["name"], float(r["solidus_degC"]), float(r["flow_degC"]))
        for r in rows_of("solders")
        if r["alloy"] == row["alloy"]
    ]
    table = planned(SIX_JOINTS[:3], box, float(row["solidus_degC"]), practice("solder_margin"))
    assert list(table.solder) == ["hard", "medium", "easy"] and not any(table.shield)
    limit, _ = worked_example("hard soldering begins above")
    assert all(flow > limit for _, _, flow in box)


# --- what is refused ------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("joints", "box", "said"),
    [
        ([], [HARD], "joints"),
        (["a", "a"], [HARD], "joints"),
        (["a"], [("odd", 790, 760)], "must begin to melt first"),
        (["a"], [("odd", math.nan, 760)], "must begin to melt first"),
        (["a"], [("odd", 760, math.inf)], "must begin to melt first"),
    ],
)
def test_orders_and_solders_that_make_no_sense(joints: list[str], box: list[Any], said: str) -> None:
    with pytest.raises(Refused, match=said):
        planned(joints, box, 2000, 10)


def test_an_empty_box_and_a_table_without_flow() -> None:
    with pytest.raises(NoSolder, match="there are none"):
        planned(["a"], [], 830, 10)
    with pytest.raises(Refused, match="flow_degC"):
        assign(
            ["a"],
            frame(("name", "solidus_degC"), [("hard", 760)]),
            quantity(830, "degC"),
            quantity(10, "delta_degC"),
        )


# --- how much -------------------------------------------------------------------------------------
def test_gaps_are_those_of_the_handbook() -> None:
    least, most = (
        worked_example(f"brazing gap, {which} for silver fillers")[0] for which in ("least", "most")
    )
    assert least <= practice("solder_gap") <= most


@settings(max_examples=80, deadline=None)
@given(st.floats(0.2, 10), st.floats(0.01, 0.2), st.floats(0, 2))
def test_solder_fills_the_gap_and_a_fillet(area: float, gap: float, fillet: float) -> None:
    found = joint_solder(quantity(area, "mm**2"), quantity(gap, "mm"), fillet).m_as("mm**3")
    assert found == pytest.approx(area * gap + fillet * area * gap)


@settings(max_examples=80, deadline=None)
@given(st.integers(1, 40), st.floats(0.01, 0.2))
def test_whole_pallions_hold_the_solder(count: int, one: float) -> None:
    assert pallions(count * one, one) == count
    assert pallions(count * one * 1.001, one) == count + 1
    assert pallions(one / 1000, one) == 1
    assert pallion_volume(size("0.7 mm"), size("0.15 mm")).m_as("mm**3") == pytest.approx(0.7 * 0.7 * 0.15)


def test_a_butted_wire_is_soldered_over_its_section() -> None:
    by_strips, _ = quad(lambda y: 2 * math.sqrt(0.45**2 - y * y), -0.45, 0.45)
    assert round_joint(size("0.9 mm")).m_as("mm**2") == pytest.approx(by_strips, rel=1e-6)


@settings(max_examples=80, deadline=None)
@given(st.floats(0.6, 1.5), st.floats(0.5, 1.5), st.floats(0.05, 0.5))
def test_a_groove_is_soldered_over_its_floor(ring: float, claw: float, share: float) -> None:
    """Along the floor of the groove, each strip as long as it is deep in the ring's round wire."""
    depth = share * min(ring, claw)

    def strip(across: float) -> float:
        half = claw / 2
        below_top = depth - half + math.sqrt(half**2 - across**2)
        slant = half / math.sqrt(half**2 - across**2)
        return 2 * math.sqrt(max(below_top * (ring - below_top), 0)) * slant

    reach = math.sqrt((claw / 2) ** 2 - (claw / 2 - depth) ** 2)
    by_scipy, _ = quad(strip, -reach * (1 - 1e-12), reach * (1 - 1e-12), limit=200)
    found = groove_joint(quantity(ring, "mm"), quantity(claw, "mm"), quantity(depth, "mm")).m_as("mm**2")
    assert found == pytest.approx(by_scipy, rel=2e-4)
    assert np.isfinite(found)
