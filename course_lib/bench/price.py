"""Price the job: metal in and out, solder, stone, minutes, hallmark, overhead."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

from course_lib.bench.lemel import loss_budget
from course_lib.bench.refusals import Refused
from course_lib.bench.tables import find, practice, rows_of, table_by
from course_lib.bench.units import Kind, plain

_GRAM = Kind("gram", "a weight", "1.25 * gram", zero=True)
_PLAIN = Kind("", "a plain number", "45", zero=True)


@dataclass(frozen=True, eq=False)
class Quote:
    """A price, low, likely and high, in the money of data/prices.csv, and what it is made of."""

    low: float
    likely: float
    high: float
    lines: tuple[tuple[str, float, float, float], ...]
    buy_the_nut: bool


def metal_price(fine_shares: Mapping[str, float]) -> float:
    """The price of a gram of alloy from its precious metals (data/prices.csv, invented).

    >>> metal_price({"gold": 0.5})
    47.5
    """
    prices = table_by("prices", "metal")
    return sum(
        float(prices[m]["price_per_gram_fine"]) * share for m, share in fine_shares.items() if m in prices
    )


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
        labour_rate, overhead, hallmark_fee: left out, those of data/practice.csv.
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
) -> Quote:
    """The inner form of `quote`, weights in g."""
    fee = rates.hallmark_fee if hallmark else 0.0
    metal = metal_cost(taken, leaves, fine_shares, rates.lemel_recovered)
    swing, extra = rates.price_swing, rates.overhead
    labour = [sum(m[i] for m in stages.values()) / 60 * rates.labour_rate for i in range(3)]
    lines = (
        ("metal used, less what comes back", metal * (1 - swing), metal, metal * (1 + swing)),
        ("stone", stone_price, stone_price, stone_price),
        ("bench time", labour[0], labour[1], labour[2]),
        ("overhead", labour[0] * extra, labour[1] * extra, labour[2] * extra),
        ("hallmark", fee, fee, fee),
    )
    low, likely, high = (sum(amounts) for amounts in zip(*(line[1:] for line in lines), strict=True))
    made = nut_minutes / 60 * rates.labour_rate * (1 + extra) + nut_metal * metal_price(fine_shares)
    return Quote(low, likely, high, lines, nut_minutes > 0 and made > rates.nut_bought)


def metal_cost(
    taken: float, leaves: float, fine_shares: Mapping[str, float], recovered: float | None = None
) -> float:
    """Metal paid for: all that was taken, less what comes back as scrap and lemel at its price.

    >>> round(metal_cost(3, 1, {"gold": 0.585}), 2)
    71.69
    """
    prices = table_by("prices", "metal")
    share_back = practice("lemel_recovered") if recovered is None else recovered
    back = loss_budget.plain(taken, leaves, share_back).comes_back
    scrap = sum(
        float(prices[m]["price_per_gram_fine"]) * float(prices[m]["scrap_share"]) * share
        for m, share in fine_shares.items()
        if m in prices
    )
    return taken * metal_price(fine_shares) - back * scrap


def stage_minutes() -> dict[str, tuple[float, float, float]]:
    """Least, likely and most minutes of each stage, from data/minutes.csv (invented)."""
    return {
        row["stage"]: (float(row["minutes_least"]), float(row["minutes_likely"]), float(row["minutes_most"]))
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
    limit = float(find("hallmark_limits", "metal", metal, "a precious metal")["exempt_below_g"])
    return weight >= limit
