"""What a job costs, kept as a small ledger; and when a hallmark is needed."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from course_lib.bench.price import hallmark_needed, metal_cost, quote, stage_minutes
from course_lib.bench.refusals import Refused
from course_lib.bench.tables import practice, rows_of
from course_lib.bench.units import quantity
from tests.published_values import published

UNHURRIED = settings(max_examples=100, deadline=None)
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
