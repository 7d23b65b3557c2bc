"""Price the job: metal in and out, solder, stone, minutes, hallmark, overhead."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

from course_lib.bench.lemel import loss_budget
from course_lib.bench.refusals import Refused
from course_lib.bench.tables import find, practice, rows_of
from course_lib.bench.units import Kind, plain

_GRAM = Kind("gram", "a weight", "1.25 * gram", zero=True)
_PLAIN = Kind("", "a plain number", "45", zero=True)

QuoteLine = tuple[str, float, float, float]  # what it is for, and what it costs: low, likely, high


@dataclass(frozen=True, eq=False)
class Quote:
    """A price, low, likely and high, in the money of data/prices.csv, and what it is made of."""

    low: float
    likely: float
    high: float
    lines: tuple[QuoteLine, ...]
    buy_the_nut: bool


# A troy ounce is 480 grains of 64.79891 mg (NIST Handbook 44, appendix C).
GRAMS_A_TROY_OUNCE = 31.1034768


def per_gram(price_an_ounce: float) -> float:
    """A price for a troy ounce, as dealers tell it, as a price for a gram.

    >>> round(per_gram(3110.35), 2)
    100.0
    """
    return price_an_ounce / GRAMS_A_TROY_OUNCE


def fine_prices() -> dict[str, float]:
    """What a gram of each fine metal costs (data/prices.csv, invented).

    >>> fine_prices()["gold"]
    95.0
    """
    return {row["metal"]: row.amount("price_per_gram_fine") for row in rows_of("prices")}


def metal_price(fine_shares: Mapping[str, float], prices: Mapping[str, float] | None = None) -> float:
    """The price of a gram of alloy from its precious metals; left out, the prices of `fine_prices`.

    >>> metal_price({"gold": 0.5})
    47.5
    """
    known = fine_prices() if prices is None else prices
    return sum(known[metal] * share for metal, share in fine_shares.items() if metal in known)


def scrap_price(fine_shares: Mapping[str, float], prices: Mapping[str, float] | None = None) -> float:
    """What the refiner pays for a gram of scrap of this alloy: a share of the price of each metal in it.

    >>> round(scrap_price({"gold": 0.5}), 3)
    45.125
    """
    known = fine_prices() if prices is None else prices
    paid = {row["metal"]: row.amount("scrap_share") for row in rows_of("prices")}
    return sum(known[metal] * paid[metal] * share for metal, share in fine_shares.items() if metal in known)


def quote(
    metal_in: Any,
    metal_in_piece: Any,
    fine_shares: Mapping[str, float],
    stone_price: float = 0.0,
    minutes: Mapping[str, tuple[float, float, float]] | None = None,
    labour_rate: float | None = None,
    overhead: float | None = None,
    hallmark: bool = False,
    hallmark_fee: float | None = None,
    nut_minutes: float = 0.0,
    nut_metal: Any = None,
) -> Quote:
    """What to ask for the job: low, likely and high.

    Args:
        metal_in: metal taken from the drawer.
        metal_in_piece: metal that leaves with the customer.
        fine_shares: precious metals in the alloy by share, such as ``{"gold": 0.585}``.
        stone_price: of the stone, as a plain amount of money.
        minutes: least, likely and most minutes by stage; left out, those of data/minutes.csv.
        labour_rate: money an hour; left out, that of data/practice.csv.
        overhead: as a share of the labour; left out, that of data/practice.csv.
        hallmark_fee: in money; left out, that of data/practice.csv.
        hallmark: whether the piece goes to the assay office.
        nut_minutes: of the likely minutes, those spent on the friction nut.
        nut_metal: the nut's weight.

    Returns:
        A `Quote`. Metal that is not in the piece comes back as lemel and scrap at its scrap price,
        less what the bench skin loses.

    Raises:
        Refused: more metal in the piece than was taken, or an argument that is not sound.

    Basis: common practice; all default prices, rates and minutes are invented: put your own.

    >>> from course_lib.bench.units import quantity
    >>> asked = quote(quantity(3, "gram"), quantity(1, "gram"), {"gold": 0.585})
    >>> asked.low < asked.likely < asked.high
    True
    """
    taken = plain(metal_in, _GRAM, "metal_in", "quote")
    leaves = plain(metal_in_piece, _GRAM, "metal_in_piece", "quote")
    _check_shares(fine_shares)
    stages = stage_minutes() if minutes is None else minutes
    _check_minutes(stages)
    chosen = {"labour_rate": labour_rate, "overhead": overhead, "hallmark_fee": hallmark_fee}
    given = {name: plain(value, _PLAIN, name, "quote") for name, value in chosen.items() if value is not None}
    return quote_plain(
        taken,
        leaves,
        fine_shares,
        replace(rates_from(practice), **given),
        stages,
        plain(stone_price, _PLAIN, "stone_price", "quote"),
        hallmark,
        plain(nut_minutes, _PLAIN, "nut_minutes", "quote"),
        plain(nut_metal, _GRAM, "nut_metal", "quote") if nut_metal is not None else 0.0,
    )


def _check_shares(fine_shares: Mapping[str, float]) -> None:
    known = {row["name"] for row in rows_of("elements")}
    for metal, share in fine_shares.items():
        if metal not in known:
            raise Refused(f"quote: fine_shares names {metal!r}; write a metal such as 'gold' or 'silver'.")
        if isinstance(share, (bool, str)) or not 0 <= share <= 1:
            raise Refused(
                f"quote: fine_shares: {metal} came as {share!r}; a share lies between 0 and 1, for example "
                "0.585."
            )


def _check_minutes(stages: Mapping[str, tuple[float, float, float]]) -> None:
    for stage, times in stages.items():
        if len(times) != 3 or not 0 <= times[0] <= times[1] <= times[2] < math.inf:
            raise Refused(
                f"quote: minutes of {stage!r} came as {times!r}; give least, likely and most, for example "
                "(15, 20, 30)."
            )


@dataclass(frozen=True, eq=False)
class Rates:
    """What a workshop charges and pays: plain amounts of money, and shares."""

    labour_rate: float
    overhead: float
    hallmark_fee: float
    price_swing: float
    lemel_recovered: float
    nut_bought: float


def rates_from(chosen: Callable[[str], float]) -> Rates:
    """The rates by their names in data/practice.csv, from the defaults or from a job's choices.

    >>> rates_from(practice).overhead
    0.35
    """
    return Rates(**{field.name: chosen(field.name) for field in fields(Rates)})


def quote_plain(
    taken: float,
    leaves: float,
    fine_shares: Mapping[str, float],
    rates: Rates,
    stages: Mapping[str, tuple[float, float, float]],
    stone_price: float = 0.0,
    hallmark: bool = False,
    nut_minutes: float = 0.0,
    nut_metal: float = 0.0,
    prices: Mapping[str, float] | None = None,
) -> Quote:
    """The inner form of `quote`, on plain numbers.

    Args:
        taken: metal from the drawer, in g.
        leaves: metal that leaves with the customer, in g.
        fine_shares: precious metals in the alloy by share, such as ``{"gold": 0.585}``.
        rates: what an hour, the overhead and the rest cost.
        stages: least, likely and most minutes by stage.
        stone_price: in money.
        hallmark: whether the piece goes to the assay office.
        nut_minutes: of the likely minutes, those spent on the nut.
        nut_metal: the nut's weight, in g.
        prices: money for a gram of each fine metal; left out, those of data/prices.csv.

    Returns:
        A `Quote`, in money.
    """
    fee = rates.hallmark_fee if hallmark else 0.0
    metal = metal_cost(taken, leaves, fine_shares, rates.lemel_recovered, prices)
    swing, extra = rates.price_swing, rates.overhead
    labour = [time_cost(sum(m[i] for m in stages.values()), rates.labour_rate) for i in range(3)]
    lines = (
        ("metal used, less what comes back", metal * (1 - swing), metal, metal * (1 + swing)),
        ("stone", stone_price, stone_price, stone_price),
        ("bench time", labour[0], labour[1], labour[2]),
        ("overhead", labour[0] * extra, labour[1] * extra, labour[2] * extra),
        ("hallmark", fee, fee, fee),
    )
    low, likely, high = (sum(amounts) for amounts in zip(*(line[1:] for line in lines), strict=True))
    made = making_costs(nut_minutes, nut_metal * metal_price(fine_shares, prices), rates)
    return Quote(low, likely, high, lines, nut_minutes > 0 and made > rates.nut_bought)


def metal_cost(
    taken: float,
    leaves: float,
    fine_shares: Mapping[str, float],
    recovered: float | None = None,
    prices: Mapping[str, float] | None = None,
) -> float:
    """Metal paid for: all that was taken, less what comes back as scrap and lemel at its price.

    Args:
        taken: metal from the drawer, in g.
        leaves: metal that leaves with the customer, in g.
        fine_shares: precious metals in the alloy by share, such as ``{"gold": 0.585}``.
        recovered: of what is not in the piece, the share that comes back; left out, that of
            data/practice.csv.
        prices: money for a gram of each fine metal; left out, those of data/prices.csv.

    Returns:
        What the metal costs, in money.

    >>> round(metal_cost(3, 1, {"gold": 0.585}), 2)
    71.69
    """
    share_back = practice("lemel_recovered") if recovered is None else recovered
    back = loss_budget.plain(taken, leaves, share_back).comes_back
    return float(taken * metal_price(fine_shares, prices) - back * scrap_price(fine_shares, prices))


def time_cost(minutes: float, rate: float) -> float:
    """Minutes at the bench as money; `rate` is for an hour.

    >>> time_cost(40, 45)
    30.0
    """
    return minutes / 60 * rate


def making_costs(minutes: float, metal: float, rates: Rates) -> float:
    """What it costs to make a part: time with its overhead, and the metal in it; in money.

    >>> round(making_costs(40, 5.0, rates_from(practice)), 2)
    45.5
    """
    return time_cost(minutes, rates.labour_rate) * (1 + rates.overhead) + metal


def three_point(least: float, likely: float, most: float) -> float:
    """What a time comes to on the average, from its least, its likely and its most.

    Args:
        least, likely, most: in one unit, rising.

    Returns:
        The average in the same unit.

    Raises:
        Refused: they do not rise.

    Formula: (least + 4 likely + most) / 6. A job runs over by more than it ever runs under, so this lies
    above the likely time. Source: Malcolm, Roseboom, Clark and Fazar, Operations Research 7 (1959) 646.

    >>> three_point(15, 20, 37)
    22.0
    """
    if not 0 <= least <= likely <= most < math.inf:
        raise Refused(
            f"three_point: {least}, {likely}, {most} came; give least, likely and most, rising, for example "
            "15, 20, 30."
        )
    return (least + 4 * likely + most) / 6


def stage_minutes() -> dict[str, tuple[float, float, float]]:
    """Least, likely and most minutes of each stage, from data/minutes.csv (invented)."""
    return {
        row["stage"]: (row.amount("minutes_least"), row.amount("minutes_likely"), row.amount("minutes_most"))
        for row in rows_of("minutes")
    }


def hallmark_needed(metal: str, weight: float, country: str = "UK") -> bool:
    """Whether a piece is heavy enough to need a hallmark.

    Args:
        metal: gold, silver, platinum or palladium.
        weight: of the precious metal, as a plain number in g.
        country: only ``"UK"`` is known here; elsewhere ask your assay office.

    Returns:
        True at the limit and above it. That the metal is of the least fineness is taken for granted.

    Raises:
        Refused: a metal or a country that the table does not hold, or a weight that is no number.

    Source: Hallmarking Act 1973, Schedule 1 Part II paragraph 12, as amended: exempt if less than 1 g
    of gold or palladium, 7.78 g of silver, 0.5 g of platinum, and of minimum fineness.

    >>> hallmark_needed("gold", 0.999), hallmark_needed("gold", 1.0)
    (False, True)
    """
    if country != "UK":
        raise Refused(
            f"country came as {country!r}; only the UK's limits are in the table. Ask your assay office."
        )
    plain(weight, _PLAIN, "weight", "hallmark_needed")
    limit = find("hallmark_limits", "metal", metal, "a precious metal").amount("exempt_below_g")
    return weight >= limit
