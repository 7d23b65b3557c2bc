"""Rolling, drawing, bending and folding, against published examples and searches that try everything."""

import itertools
import math
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from course_lib.bench.forming import (
    bend_length,
    draw,
    largest_draft,
    length_after,
    on_mill_steps,
    plan_drawing,
    plan_rolling,
    roll,
    saw_fold,
)
from course_lib.bench.refusals import NoRoute, Refused
from course_lib.bench.tables import numbers_of, practice, rows_of
from course_lib.bench.units import quantity, size
from tests.published_values import worked_example

UNHURRIED = settings(max_examples=120, deadline=None)
COLUMNS = ["reduction", "since_anneal", "anneal_before", "length_ratio"]


def mm(value: float) -> Any:
    return quantity(float(value), "mm")


# --- published examples ---------------------------------------------------------------------------
def test_largest_draft() -> None:
    value, tolerance = worked_example("largest draft, friction 0.12, roll radius 250 mm")
    assert largest_draft(0.12, size("250 mm")).m_as("mm") == pytest.approx(value, abs=tolerance)


def test_bend_allowance() -> None:
    value, tolerance = worked_example("bend allowance, 60 degree, R 4.75 mm, t 3.2 mm")
    found = bend_length(quantity(60, "degree"), size("4.75 mm"), size("3.2 mm")).m_as("mm")
    assert found == pytest.approx(value, abs=tolerance)
    # the same example's blank: legs of 38 and 25 mm
    assert 38 + 25 + found == pytest.approx(69.08, abs=0.01)


def test_volume_constancy() -> None:
    value, tolerance = worked_example("length after, 50 mm, 200 to 173.3 mm2")
    found = length_after(size("50 mm"), quantity(200, "mm**2"), quantity(173.3, "mm**2"))
    assert found.m_as("mm") == pytest.approx(value, abs=tolerance)


def test_cold_work_does_not_add_as_percentages() -> None:
    """Askeland and Phule, example 8.1: 50 % and 68 % make 84 %."""
    first, _ = worked_example("cold work 1.00 to 0.50 cm")
    second, _ = worked_example("cold work 0.50 to 0.16 cm")
    total, tolerance = worked_example("cold work 1.00 to 0.16 cm")
    table = roll(size("10 mm"), size("1.6 mm"), 0.7, 0.9)
    assert table.since_anneal.iloc[-1] == pytest.approx(total, abs=tolerance)
    assert 1 - np.prod(1 - table.reduction) == pytest.approx(total, abs=tolerance)
    assert 1 - (1 - first) * (1 - second) == pytest.approx(total, abs=tolerance)
    one_by_one = [roll(size(a), size(b), 0.9, 0.95) for a, b in (("10 mm", "5 mm"), ("5 mm", "1.6 mm"))]
    assert [t.reduction.iloc[0] for t in one_by_one] == pytest.approx([first, second], abs=tolerance)


def test_cold_work_of_a_drawn_bar() -> None:
    value, tolerance = worked_example("cold work of a bar drawn 15.2 to 12.2 mm")
    table = draw(size("15.2 mm"), size("12.2 mm"), [size("12.2 mm")], 0.4, 0.9)
    assert table.reduction.iloc[0] == pytest.approx(value, abs=tolerance)


@pytest.mark.parametrize("row", rows_of("alloys"), ids=lambda r: r["alloy"])
def test_alloys_are_drawn_within_the_practical_limits(row: dict[str, str]) -> None:
    practical, _ = worked_example("wire reduction a pass, practical limit")
    perfect, tolerance = worked_example("wire reduction a pass, perfectly plastic limit")
    assert 0 < float(row["draw_reduction"]) <= practical < perfect
    assert perfect == pytest.approx(1 - math.exp(-1), abs=tolerance)


# --- what every table of passes must keep ---------------------------------------------------------
def check_table(
    table: Any,
    column: str,
    start: float,
    finish: float,
    area_power: int,
    pass_reduction: float,
    anneal_at: float,
    worked: float = 0.0,
    end_worked: float = 0.0,
) -> None:
    """Follow the metal through the table, pass by pass, keeping its own tally."""
    assert list(table.columns) == [column, *COLUMNS]
    before, soft = start, start / (1 - worked) ** (1 / area_power)
    for row in table.itertuples(index=False):
        now = getattr(row, column)
        assert now < before
        if row.anneal_before:
            soft = before
        assert row.reduction == pytest.approx(1 - (now / before) ** area_power, abs=1e-12)
        assert row.since_anneal == pytest.approx(1 - (now / soft) ** area_power, abs=1e-12)
        assert row.reduction <= pass_reduction + 1e-8
        assert row.since_anneal <= anneal_at + 1e-8
        # volume stays: length x section is what it was
        assert row.length_ratio * now**area_power == pytest.approx(start**area_power, rel=1e-9)
        before = now
    assert before == pytest.approx(finish, rel=1e-9)
    if len(table):
        assert table.since_anneal.iloc[-1] >= end_worked - 1e-6


@UNHURRIED
@given(
    st.floats(0.3, 5), st.floats(0.05, 0.999), st.floats(0.02, 0.6), st.floats(0.05, 0.9), st.floats(0, 0.95)
)
def test_rolling_keeps_its_limits(
    start: float, share: float, one: float, between: float, worked: float
) -> None:
    table = roll(mm(start), mm(start * share), one, between, worked)
    check_table(table, "thickness_mm", start, start * share, 1, one, between, worked)


@UNHURRIED
@given(
    st.lists(st.integers(30, 300), min_size=1, max_size=25, unique=True),
    st.integers(2, 30),
    st.floats(0.05, 0.6),
    st.floats(0.1, 0.9),
    st.floats(0, 0.9),
    st.floats(0, 0.5),
)
def test_drawing_keeps_its_limits(
    holes: list[int], above: int, one: float, between: float, worked: float, hard: float
) -> None:
    start, finish = (max(holes) + above) / 100, min(holes) / 100
    plate = [hole / 100 for hole in holes]
    try:
        table = draw(mm(start), mm(finish), [mm(h) for h in plate], one, between, worked, hard)
    except NoRoute as why:
        assert "missing" in str(why) or "Ask for less" in str(why)
        return
    check_table(table, "diameter_mm", start, finish, 2, one, between, worked, hard)
    assert set(table.diameter_mm) <= set(plate)


# --- the fewest passes, then the fewest anneals: against a search that tries everything -----------
def true_strain(share: float) -> float:
    return -math.log(1 - share)


def anneal_places(passes: int) -> Iterator[tuple[bool, ...]]:
    return itertools.product((False, True), repeat=passes)


def runs_of(anneals: Sequence[bool]) -> list[list[int]]:
    """The passes between anneals, as lists of their places."""
    runs: list[list[int]] = [[]]
    for place, annealed in enumerate(anneals):
        if annealed and place:
            runs.append([])
        runs[-1].append(place)
    return runs


def can_be_rolled(
    way: float, anneals: Sequence[bool], one: float, between: float, spent: float, hard: float
) -> bool:
    """With anneals at these places: strains of a run lie in an interval, and intervals add."""
    low = high = 0.0
    runs = runs_of(anneals)
    for at, run in enumerate(runs):
        had = 0.0 if at or anneals[0] else spent
        most = min(len(run) * one, between - had)
        least = max(0.0, hard - had) if at == len(runs) - 1 else 0.0
        if most <= 1e-9 or least > most + 1e-9:
            return False
        low, high = low + least, high + most
    return low <= way + 1e-9 and way <= high + 1e-9


def best_rolling(
    way: float, one: float, between: float, spent: float, hard: float, most_passes: int
) -> tuple[int, int] | None:
    for passes in range(1, most_passes + 1):
        counts = [sum(a) for a in anneal_places(passes) if can_be_rolled(way, a, one, between, spent, hard)]
        if counts:
            return passes, min(counts)
    return None


@settings(max_examples=400, deadline=None)
@given(
    st.floats(0.02, 1.2),
    st.floats(0.15, 0.5),
    st.floats(0.1, 0.8),
    st.floats(0, 0.9),
    st.floats(0, 1),
    st.booleans(),
    st.booleans(),
)
def test_rolling_takes_the_fewest_passes_then_the_fewest_anneals(
    way: float, one: float, between: float, spent: float, hard_share: float, is_worked: bool, ends_hard: bool
) -> None:
    spent, hard = spent * is_worked, hard_share * between * ends_hard
    # where way and hardness are the same to the last digit, either answer is right
    assume(abs(way - hard) > 1e-6)
    most_passes = 8
    assume(way / min(one, between) < most_passes - 2)
    worked, end_worked = 1 - math.exp(-spent), 1 - math.exp(-hard)
    wanted = best_rolling(way, one, between, spent, hard, most_passes)
    limits = (1 - math.exp(-one), 1 - math.exp(-between))
    if wanted is None:
        with pytest.raises(NoRoute, match="roll: "):
            plan_rolling(1.0, math.exp(-way), *limits, worked, end_worked)
        return
    found = plan_rolling(1.0, math.exp(-way), *limits, worked, end_worked)
    assert (len(found), sum(p.anneal_before for p in found)) == wanted
    table = roll(mm(1), mm(math.exp(-way)), *limits, worked, end_worked)
    check_table(table, "thickness_mm", 1.0, math.exp(-way), 1, *limits, worked, end_worked)


def test_the_pass_that_is_left_over_goes_where_it_gains_most() -> None:
    """In true strain: 0.20 a pass and 0.45 between anneals, 0.10 spent already, 0.70 to go.

    The first run has 0.35 left, a whole pass and 0.15; the last has two whole passes and 0.05. Three
    whole passes make 0.60, and only a fourth in the first run brings the 0.10 that is missing."""
    one, between, spent, way = 0.2, 0.45, 0.1, 0.7
    assert best_rolling(way, one, between, spent, 0.0, 6) == (4, 1)
    found = plan_rolling(1, math.exp(-way), 1 - math.exp(-one), 1 - math.exp(-between), 1 - math.exp(-spent))
    assert [p.anneal_before for p in found] == [False, False, True, False]


@pytest.mark.parametrize("seed", range(25))
def test_the_rolling_search_agrees_with_linear_programming(seed: int) -> None:
    """The intervals above are themselves checked: is there any set of strains, pass by pass?"""
    random = np.random.default_rng(seed)
    way, one, between = random.uniform(0.3, 1.0), random.uniform(0.15, 0.4), random.uniform(0.2, 0.8)
    spent, hard = random.uniform(0, 0.6), random.uniform(0, between)
    for anneals in anneal_places(4):
        rows, limits = [], []
        runs = runs_of(anneals)
        for at, run in enumerate(runs):
            had = 0.0 if at or anneals[0] else spent
            row = np.zeros(4)
            row[run] = 1
            rows.append(row)
            limits.append(between - had)
            if at == len(runs) - 1:
                rows.append(-row)
                limits.append(had - hard)
        by_program = linprog(np.zeros(4), rows, limits, np.ones((1, 4)), [way], [(1e-9, one)] * 4)
        assert (by_program.status == 0) == can_be_rolled(way, anneals, one, between, spent, hard)


def best_drawing(
    start: float,
    finish: float,
    plate: Sequence[float],
    one: float,
    between: float,
    worked: float,
    hard: float,
) -> tuple[int, int] | None:
    """All subsets of the holes, all places for anneals; areas are compared, not diameters."""
    inner = [h for h in plate if finish < h < start]
    best = None
    for length in range(len(inner) + 1):
        for chosen in itertools.combinations(sorted(inner, reverse=True), length):
            way = [start, *chosen, finish]
            if any(b * b < a * a * (1 - one) - 1e-9 for a, b in itertools.pairwise(way)):
                continue
            for anneals in anneal_places(len(way) - 1):
                soft, right = start**2 / (1 - worked), True
                for before, now, annealed in zip(way, way[1:], anneals, strict=False):
                    soft = before**2 if annealed else soft
                    right = right and now**2 >= soft * (1 - between) - 1e-9
                if right and 1 - finish**2 / soft >= hard - 1e-9:
                    cost = (len(way) - 1, sum(anneals))
                    best = cost if best is None else min(best, cost)
        if best:
            return best
    return best


@settings(max_examples=400, deadline=None)
@given(
    st.lists(st.integers(60, 99), min_size=1, max_size=7, unique=True),
    st.sampled_from([0.1, 0.15, 0.19, 0.2, 0.25, 0.3, 0.36]),
    st.sampled_from([0.19, 0.25, 0.36, 0.4, 0.5, 0.6]),
    st.sampled_from([0.0, 0.0, 0.1, 0.3, 0.45, 0.7]),
    st.sampled_from([0.0, 0.0, 0.1, 0.2, 0.3, 0.5]),
)
def test_drawing_takes_the_fewest_passes_then_the_fewest_anneals(
    holes: list[int], one: float, between: float, worked: float, hard: float
) -> None:
    plate, finish = [h / 100 for h in holes], min(holes) / 100
    wanted = best_drawing(1.0, finish, plate, one, between, worked, hard)
    if wanted is None:
        with pytest.raises(NoRoute, match="draw: "):
            plan_drawing(1.0, finish, plate, one, between, worked, hard)
        return
    found = plan_drawing(1.0, finish, plate, one, between, worked, hard)
    assert (len(found), sum(p.anneal_before for p in found)) == wanted
    table = draw(mm(1), mm(finish), [mm(h) for h in plate], one, between, worked, hard)
    check_table(table, "diameter_mm", 1.0, finish, 2, one, between, worked, hard)


# --- limits met exactly ---------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("start", "finish", "one", "between", "passes", "anneals"),
    [
        (1.0, 0.729, 0.1, 0.5, 3, 0),  # 0.9 x 0.9 x 0.9
        (1.0, 0.7289, 0.1, 0.5, 4, 0),
        (1.0, 0.5, 0.5, 0.5, 1, 0),
        (1.0, 0.25, 0.5, 0.5, 2, 1),
        (1.0, 0.64, 0.2, 0.36, 2, 0),
        (2.0, 1.0, 0.2, 0.5, 4, 0),  # 0.8^3 = 0.512 is just not enough
        (1.0, 0.512, 0.2, 0.488, 3, 0),
        (1.0, 0.4096, 0.2, 0.36, 4, 1),
    ],
)
def test_limits_met_exactly_in_rolling(
    start: float, finish: float, one: float, between: float, passes: int, anneals: int
) -> None:
    table = roll(mm(start), mm(finish), one, between)
    assert (len(table), int(table.anneal_before.sum())) == (passes, anneals)


def test_limits_met_exactly_in_drawing() -> None:
    plate = [size(f"{d} mm") for d in ("0.9", "0.8", "0.72", "0.64")]
    table = draw(size("1.0 mm"), size("0.64 mm"), plate, 0.36, 0.36)
    # 0.8 and 0.64 take 36 % each: the limit itself, so the metal is annealed between them
    assert list(table.diameter_mm) == [0.8, 0.64]
    assert list(table.anneal_before) == [False, True]


def test_nothing_to_do_is_an_empty_table() -> None:
    for table, column in (
        (roll(size("1 mm"), size("1 mm"), 0.1, 0.5), "thickness_mm"),
        (draw(size("1 mm"), size("1 mm"), [size("1 mm")], 0.1, 0.5), "diameter_mm"),
    ):
        assert len(table) == 0 and list(table.columns) == [column, *COLUMNS]


def test_metal_that_is_worked_out_is_annealed_first() -> None:
    for table in (
        roll(size("1 mm"), size("0.9 mm"), 0.15, 0.5, worked=0.5),
        roll(size("1 mm"), size("0.9 mm"), 0.15, 0.5, worked=0.8),
        draw(size("1 mm"), size("0.9 mm"), [size("0.9 mm")], 0.2, 0.5, worked=0.5),
    ):
        assert list(table.anneal_before) == [True]


def test_the_last_anneal_leaves_the_strip_hard_enough_to_spring() -> None:
    free = roll(size("1.0 mm"), size("0.48 mm"), 0.12, 0.5)
    springy = roll(size("1.0 mm"), size("0.48 mm"), 0.12, 0.5, end_worked=0.3)
    assert springy.since_anneal.iloc[-1] >= 0.3 - 1e-9
    assert len(springy) <= len(free) + 1


# --- no route: why --------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("call", "why"),
    [
        (lambda: roll(mm(1), mm(1.1), 0.1, 0.5), "thicker than the start"),
        (lambda: roll(mm(1), mm(0.5), 0.1, 0.4, end_worked=0.45), "annealed at 40 %"),
        (lambda: roll(mm(1), mm(0.9), 0.1, 0.5, end_worked=0.3), "works the metal 10 %"),
        (lambda: roll(mm(1), mm(1), 0.1, 0.5, end_worked=0.3), "does not work the metal"),
        (lambda: roll(mm(1), mm(0.8), 0.3, 0.4, worked=0.35, end_worked=0.3), "annealed on the way"),
        (lambda: roll(mm(1), mm(0.5), 1e-6, 0.5), "more than 1000 passes"),
        (lambda: draw(mm(1), mm(1.1), [mm(1.1)], 0.3, 0.5), "thicker than the start"),
        (
            lambda: draw(mm(1), mm(0.8), [mm(0.9), mm(0.75)], 0.3, 0.5),
            "no hole of 0.8 mm; the nearest are 0.75 and 0.9",
        ),
        (lambda: draw(mm(1), mm(0.8), [], 0.3, 0.5), "no holes"),
        (lambda: draw(mm(1), mm(0.5), [mm(0.9), mm(0.5)], 0.3, 0.5), "from 0.9 mm the next hole is 0.5 mm"),
        (lambda: draw(mm(1), mm(0.9), [mm(0.9)], 0.3, 0.5, end_worked=0.4), "cannot end 40 % worked"),
        (lambda: draw(mm(1), mm(1), [mm(1)], 0.3, 0.5, end_worked=0.4), "does not work the metal"),
    ],
)
def test_no_route_says_why(call: Any, why: str) -> None:
    with pytest.raises(NoRoute, match=why):
        call()


def test_no_route_is_a_refusal() -> None:
    assert issubclass(NoRoute, Refused)


# --- the mill set to whole steps ------------------------------------------------------------------
@UNHURRIED
@given(
    st.integers(80, 300), st.integers(25, 75), st.floats(0.08, 0.3), st.floats(0.3, 0.7), st.floats(0, 0.3)
)
def test_whole_steps_of_the_mill_keep_every_limit(
    start: int, finish: int, one: float, between: float, hard: float
) -> None:
    assume(hard < 1 - finish / start - 1e-6)
    passes = plan_rolling(start / 100, finish / 100, one, between, 0.0, hard)
    rounded = on_mill_steps(start / 100, passes, 0.01, one, between, hard)
    assert len(rounded) == len(passes)
    before = soft = start / 100
    for p in rounded:
        soft = before if p.anneal_before else soft
        assert 0 < 1 - p.size_mm / before <= one + 1e-8
        assert 1 - p.size_mm / soft <= between + 1e-8
        before = p.size_mm
    assert before == pytest.approx(finish / 100) and 1 - before / soft >= hard - 1e-8
    if rounded != passes:
        assert all(abs(p.size_mm * 100 - round(p.size_mm * 100)) < 1e-4 for p in rounded)


# --- bends and folds ------------------------------------------------------------------------------
@UNHURRIED
@given(st.floats(1, 180), st.floats(0, 10), st.floats(0.2, 3), st.floats(0, 1))
def test_a_bend_is_an_arc(angle: float, inside: float, thickness: float, neutral: float) -> None:
    """Walk along the arc in small straight steps."""
    turn = np.radians(np.linspace(0, angle, 4001))
    radius = inside + neutral * thickness
    walked = np.hypot(np.diff(radius * np.cos(turn)), np.diff(radius * np.sin(turn))).sum()
    found = bend_length(quantity(angle, "degree"), mm(inside), mm(thickness), neutral)
    assert found.m_as("mm") == pytest.approx(walked, rel=1e-6, abs=1e-12)


@pytest.mark.parametrize(("inside", "share"), [(0.0, 0.33), (1.99, 0.33), (2.0, 0.5), (5.0, 0.5)])
def test_the_neutral_line_of_sharp_and_wide_bends(inside: float, share: float) -> None:
    """Groover, Fundamentals of Modern Manufacturing, equation 19.6: 0.33 under two thicknesses, else 0.50."""
    found = bend_length(quantity(90, "degree"), mm(inside), mm(1)).m_as("mm")
    assert found == pytest.approx(math.pi / 2 * (inside + share))
    with pytest.raises(Refused, match="neutral"):
        bend_length(quantity(90, "degree"), mm(1), mm(1), 1.2)


@UNHURRIED
@given(st.floats(0.1, 0.4), st.floats(0.1, 1.0), st.floats(5, 170))
def test_a_cut_closes_until_its_lips_touch(kerf: float, depth: float, angle: float) -> None:
    """Turn both upper corners of the slot towards each other about the middle of its floor."""
    fold = saw_fold(quantity(angle, "degree"), mm(kerf), mm(depth))
    half = math.radians(fold.angle_per_cut.m_as("degree")) / 2
    corner = complex(kerf / 2, depth)
    turned = corner * complex(math.cos(half), math.sin(half))
    assert turned.real == pytest.approx(0, abs=1e-12) and turned.imag > 0
    each = fold.angle_per_cut.m_as("degree")
    assert isinstance(fold.cuts, int)
    assert fold.cuts * each >= angle * (1 - 1e-8) and (fold.cuts - 1) * each < angle


def test_a_fold_is_sawn_three_quarters_through() -> None:
    """Common practice."""
    assert practice("fold_share") == 0.75
    blades = {row["blade"]: float(row["kerf_mm"]) for row in rows_of("blades")}
    fold = saw_fold(quantity(90, "degree"), mm(blades["6/0"]), mm(0.4 * 0.75))
    assert 2 <= fold.cuts <= 5


def test_the_shop_plate_draws_every_wire_of_an_earring() -> None:
    """Common practice: steps of the plate are close enough for 20 % of the area a pass."""
    holes = [mm(h) for h in numbers_of("drawplate", "diameter_mm")]
    for finish in (0.7, 0.8, 0.9, 1.0, 1.2):
        table = draw(size("2.0 mm"), mm(finish), holes, 0.2, 0.5)
        check_table(table, "diameter_mm", 2.0, finish, 2, 0.2, 0.5)
