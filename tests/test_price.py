"""What a job costs, kept as a small ledger; and when a hallmark is needed."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import beta

from course_lib.bench.price import (
    hallmark_needed,
    making_costs,
    metal_cost,
    metal_price,
    per_gram,
    quote,
    quote_plain,
    rates_from,
    scrap_price,
    stage_minutes,
    three_point,
    time_cost,
)
from course_lib.bench.refusals import Refused
from course_lib.bench.tables import practice, rows_of
from course_lib.bench.units import quantity
from tests.published_values import published

UNHURRIED = settings(max_examples=100, deadline=None)
RATES = ("labour_rate", "overhead", "hallmark_fee", "price_swing", "lemel_recovered", "nut_bought")
PRICE = {row["metal"]: float(row["price_per_gram_fine"]) for row in rows_of("prices")}
SCRAP = {row["metal"]: float(row["scrap_share"]) for row in rows_of("prices")}


@pytest.mark.parametrize("row", published("hallmark_limits"), ids=lambda r: r["metal"])
def test_hallmarks_from_the_limit_on(row: dict[str, str]) -> None:
    """Exempt is what weighs less than the limit, not what weighs as much."""
    limit = float(row["exempt_below_g"])
    assert hallmark_needed(row["metal"], limit)
    assert not hallmark_needed(row["metal"], limit - 0.001)
    with pytest.raises(Refused, match="assay office"):
        hallmark_needed(row["metal"], limit, "elsewhere")


def test_a_metal_without_a_limit() -> None:
    with pytest.raises(Refused, match="brass"):
        hallmark_needed("brass", 5)


@UNHURRIED
@given(st.floats(0.5, 20), st.floats(0, 1), st.floats(0, 1))
def test_metal_is_bought_and_the_rest_sold_back(taken: float, share: float, gold: float) -> None:
    """A ledger: buy all the metal; sell what was swept up."""
    leaves, silver = taken * share, 1 - gold
    bought = taken * gold * PRICE["gold"] + taken * silver * PRICE["silver"]
    swept = (taken - leaves) * practice("lemel_recovered")
    sold = swept * gold * PRICE["gold"] * SCRAP["gold"] + swept * silver * PRICE["silver"] * SCRAP["silver"]
    assert metal_cost(taken, leaves, {"gold": gold, "silver": silver, "copper": 0.1}) == pytest.approx(
        bought - sold
    )


@UNHURRIED
@given(
    st.floats(0.5, 20),
    st.floats(0, 1),
    st.floats(0, 500),
    st.floats(1, 200),
    st.floats(0, 2),
    st.lists(st.tuples(st.floats(0, 30), st.floats(0, 30), st.floats(0, 30)), min_size=1, max_size=5),
    st.booleans(),
)
def test_a_quote_is_the_sum_of_its_lines(
    taken: float,
    share: float,
    stone: float,
    rate: float,
    overhead: float,
    minutes: list[tuple[float, float, float]],
    mark: bool,
) -> None:
    stages = {f"stage {i}": (a, a + b, a + b + c) for i, (a, b, c) in enumerate(minutes)}
    asked = quote(
        quantity(taken, "gram"),
        quantity(taken * share, "gram"),
        {"gold": 0.585},
        stone,
        stages,
        rate,
        overhead,
        mark,
        7.0,
    )
    hours = [sum(m[i] for m in stages.values()) / 60 for i in range(3)]
    metal = metal_cost(taken, taken * share, {"gold": 0.585})
    fee = 7.0 if mark else 0.0
    assert asked.likely == pytest.approx(metal + stone + hours[1] * rate * (1 + overhead) + fee)
    assert asked.low <= asked.likely <= asked.high
    for i, total in enumerate((asked.low, asked.likely, asked.high)):
        assert total == pytest.approx(sum(line[1 + i] for line in asked.lines))
    # twice the wage costs just one wage more, with its overhead
    dearer = quote(
        quantity(taken, "gram"),
        quantity(taken * share, "gram"),
        {"gold": 0.585},
        stone,
        stages,
        2 * rate,
        overhead,
        mark,
        7.0,
    )
    assert dearer.likely - asked.likely == pytest.approx(hours[1] * rate * (1 + overhead), abs=1e-6)


def test_buy_the_nut_or_make_it() -> None:
    piece = (quantity(3, "gram"), quantity(1, "gram"), {"gold": 0.585})
    assert not quote(*piece).buy_the_nut
    cheap = quote(*piece, labour_rate=1.0, nut_minutes=5, nut_metal=quantity(0.01, "gram"))
    dear = quote(*piece, labour_rate=60.0, nut_minutes=60, nut_metal=quantity(0.2, "gram"))
    assert not cheap.buy_the_nut and dear.buy_the_nut


def test_more_leaves_than_was_taken() -> None:
    with pytest.raises(Refused, match="metal_in_piece"):
        quote(quantity(1, "gram"), quantity(1.1, "gram"), {"gold": 0.585})


def test_minutes_run_from_least_to_most() -> None:
    assert len(stage_minutes()) >= 10
    for least, likely, most in stage_minutes().values():
        assert 0 < least <= likely <= most


def test_a_price_an_ounce_is_for_the_troy_ounce() -> None:
    """The published weight of a troy ounce; not that of the ounce of the kitchen."""
    weights = {(row["unit"], row["in_unit"]): float(row["value"]) for row in published("weight_units")}
    assert per_gram(1.0) == pytest.approx(1 / weights["troy_ounce", "g"], rel=1e-12)
    assert per_gram(1.0) != pytest.approx(1 / weights["ounce", "g"], rel=0.05)


@UNHURRIED
@given(
    st.floats(1, 300),
    st.floats(1, 300),
    st.floats(0, 1),
    st.floats(0, 1),
    st.floats(0.5, 20),
    st.floats(0, 1),
)
def test_other_prices_than_those_of_the_table(
    gold: float, silver: float, fine: float, part: float, taken: float, share: float
) -> None:
    """Buy and sell each metal by itself, at the prices given."""
    mix, paid = {"gold": fine, "silver": (1 - fine) * part}, {"gold": gold, "silver": silver}
    assert metal_price(mix, paid) == pytest.approx(fine * gold + (1 - fine) * part * silver)
    bought = sum(taken * mix[m] * paid[m] for m in mix)
    sold = sum(0.9 * (1 - share) * taken * mix[m] * paid[m] * SCRAP[m] for m in mix)
    assert metal_cost(taken, share * taken, mix, 0.9, paid) == pytest.approx(bought - sold)
    assert scrap_price(mix, paid) == pytest.approx(sum(mix[m] * paid[m] * SCRAP[m] for m in mix))


def test_metal_twice_as_dear_costs_one_metal_line_more() -> None:
    rates, stages = rates_from(practice), stage_minutes()
    dear = {metal: 2 * price for metal, price in PRICE.items()}
    before = quote_plain(3.0, 1.0, {"gold": 0.585}, rates, stages)
    after = quote_plain(3.0, 1.0, {"gold": 0.585}, rates, stages, prices=dear)
    assert after.likely - before.likely == pytest.approx(before.lines[0][2])
    assert after.lines[1:] == before.lines[1:]


@UNHURRIED
@given(st.floats(0, 600), st.floats(0, 200), st.floats(0, 2), st.floats(0, 50))
def test_what_making_a_part_costs(minutes: float, rate: float, overhead: float, metal: float) -> None:
    chosen = {name: practice(name) for name in RATES} | {"labour_rate": rate, "overhead": overhead}
    rates = rates_from(chosen.__getitem__)
    hours = minutes / 60
    assert time_cost(minutes, rate) == pytest.approx(hours * rate)
    assert making_costs(minutes, metal, rates) == pytest.approx(
        hours * rate + hours * rate * overhead + metal
    )


def test_three_points_against_the_distribution_they_stand_for() -> None:
    """The average of the beta distribution that three points stand for, by scipy."""
    for mode in (0.2, 0.35, 0.5):
        least, most = 20.0, 80.0
        likely = least + mode * (most - least)
        # the beta distribution of three-point estimates: shapes that add up to 6, its peak at the likely time
        alpha = 1 + 4 * mode
        found = beta(alpha, 6 - alpha, loc=least, scale=most - least)
        assert three_point(least, likely, most) == pytest.approx(found.mean())
    assert three_point(20, 20, 20) == 20
    assert three_point(15, 20, 37) > 20
    for bad in ((30, 20, 40), (10, 40, 30), (-1, 2, 3), (1, 2, float("inf")), (1, float("nan"), 3)):
        with pytest.raises(Refused, match="rising"):
            three_point(*bad)
