"""Lesson 13, Price the job: metal, time, what to buy, and what to tell the customer."""

from dataclasses import dataclass

from course_lib.bench.metal import fine_metals
from course_lib.bench.plan import metal_without_solder
from course_lib.bench.price import (
    GRAMS_A_TROY_OUNCE,
    QuoteLine,
    Rates,
    fine_prices,
    hallmark_needed,
    making_costs,
    metal_cost,
    metal_price,
    rates_from,
    scrap_price,
    stage_minutes,
    three_point,
    time_cost,
)
from course_lib.bench.refusals import Refused
from course_lib.bench.tables import find, table_by
from course_lib.classroom.exercises.fineness import Money
from course_lib.classroom.exercises.worked import Worked, say, turn, turned_round, unless_near
from course_lib.classroom.pieces.job_in_hand import JobInHand
from course_lib.classroom.pieces.size_table import ShownTable

# The ounce of the kitchen, avoirdupois, in g (NIST SP 811): the one that metal is not sold by.
_KITCHEN_OUNCE = 28.349523125
_TOGETHER = "all together"

Ends = list[list[float]]


def _apart(value: float, *others: float) -> float | None:
    """A sum of money that a slip leads to, unless it cannot be told from the answer or from another slip."""
    return unless_near(value, 2.2 * Money().tolerance(max(abs(value), *map(abs, others)), ""), *others)


def _told(amount: float) -> str:
    """Money as a person writes it: small sums finer than large ones."""
    return f"{amount:.2f}" if amount >= 10 else f"{amount:.3f}"


def taken(job: JobInHand) -> float:
    """Metal taken from the drawer, in g, as the card shows it."""
    return round(job.plan().metal_taken, 3)


def leaves(job: JobInHand) -> float:
    """Metal that leaves in earring and nut, in g."""
    return metal_without_solder(job.plan().carried, job.plan().metal_taken)


def main_metal(job: JobInHand) -> tuple[str, float]:
    """The metal that gives the mark, and its share of the alloy."""
    return max(fine_metals(job.alloy).items(), key=lambda metal: metal[1])


def rates(job: JobInHand) -> Rates:
    """What this workshop charges and pays."""
    return rates_from(job.choices.__getitem__)


def work_fine(job: JobInHand) -> Worked:
    """What the fine metal costs, in money."""
    grams, (metal, share) = taken(job), main_metal(job)
    gram = fine_prices()[metal]
    costs, all_fine = grams * share * gram, grams * gram
    return Worked(
        costs,
        {
            "all of it fine": _apart(all_fine, costs),
            "per cent": 10 * costs,
            "the ounce of the kitchen": _apart(costs * GRAMS_A_TROY_OUNCE / _KITCHEN_OUNCE, costs, all_fine),
            "an ounce for a gram": costs * GRAMS_A_TROY_OUNCE,
        },
        {
            "taken": grams,
            "alloy": job.alloy,
            "parts": 1000 * share,
            "metal": metal,
            "ounce": gram * GRAMS_A_TROY_OUNCE,
            "grams_an_ounce": GRAMS_A_TROY_OUNCE,
            "gram": _told(gram),
            "fine_grams": grams * share,
            "costs": costs,
        },
    )


def work_paid(job: JobInHand) -> Worked:
    """What the metal costs in the end, in money."""
    grams, left, shares = job.plan().metal_taken, leaves(job), fine_metals(job.alloy)
    buy, sell, recovered = metal_price(shares), scrap_price(shares), rates(job).lemel_recovered
    costs = metal_cost(grams, left, shares, recovered)
    back = recovered * (grams - left)
    nothing_back, in_piece, full_price = grams * buy, left * buy, (grams - back) * buy
    nothing_lost = nothing_back - (grams - left) * sell
    return Worked(
        costs,
        {
            "nothing comes back": _apart(nothing_back, costs),
            "only what leaves": _apart(in_piece, costs, nothing_back),
            "back at the full price": _apart(full_price, costs, nothing_back, in_piece),
            "nothing lost": _apart(nothing_lost, costs, nothing_back, in_piece, full_price),
        },
        {
            "taken": grams,
            "alloy": job.alloy,
            "buy": _told(buy),
            "leaves": left,
            "recovered": recovered,
            "recovered_percent": 100 * recovered,
            "sell": _told(sell),
            "given": nothing_back,
            "back": back,
            "for_the_scrap": back * sell,
            "costs": costs,
        },
    )


def minutes(at: int) -> float:
    """All stages of data/minutes.csv together: the least (0), the likely (1) and the most (2)."""
    return sum(three[at] for three in stage_minutes().values())


def notes(job: JobInHand) -> tuple[float, float, float]:
    """Least, likely and most minutes as somebody noted them at earlier jobs of this kind: invented."""
    pace = 0.8 + 0.05 * turn(job, "stone_diameter", 9)
    least, likely, most = (5 * round(pace * minutes(at) / 5) for at in range(3))
    return least, likely, most


def work_time(job: JobInHand) -> Worked:
    """What the time costs, in money."""
    (least, likely, most), rate = notes(job), rates(job).labour_rate
    average = three_point(least, likely, most)
    costs, as_a_rule = time_cost(average, rate), time_cost(likely, rate)
    mean, middle = time_cost((least + likely + most) / 3, rate), time_cost((least + most) / 2, rate)
    return Worked(
        costs,
        {
            "the likely time": _apart(as_a_rule, costs),
            "plain mean": _apart(mean, costs, as_a_rule),
            "middle of the ends": _apart(middle, costs, as_a_rule, mean),
            "hundred minutes an hour": _apart(60 / 100 * costs, costs, as_a_rule, mean),
            "minutes for hours": _apart(60 * costs, costs),
        },
        {
            "least": least,
            "likely": likely,
            "most": most,
            "rate": rate,
            "average": average,
            "hours": average / 60,
            "costs": costs,
        },
    )


def lines(job: JobInHand) -> list[QuoteLine]:
    """The lines of the quote that cost something, but for the stone: name, low, likely, high."""
    short = {"metal used, less what comes back": "metal"}
    return [
        (short.get(name, name), low, likely, high)
        for name, low, likely, high in job.plan().quote.lines
        if name != "stone" and likely > 0
    ]


def _with_total(rows: Ends) -> Ends:
    return [*rows, [sum(row[0] for row in rows), sum(row[1] for row in rows)]]


def _unlike(wrong: Ends, right: Ends) -> Ends | None:
    """A table that a slip leads to, unless it can be taken for the right one: each end within its step."""
    apart = [abs(a - b) for ends in zip(wrong, right, strict=True) for a, b in zip(*ends, strict=True)]
    return wrong if max(apart) > 3 else None


def work_table(job: JobInHand) -> Worked:
    """Low and high end of each line of the quote and of all together, in money."""
    quoted, swing = lines(job), rates(job).price_swing
    names = [*(name for name, *_ in quoted), _TOGETHER]
    right = _with_total([[low, high] for _, low, _, high in quoted])
    all_swing = _with_total([[(1 - swing) * likely, (1 + swing) * likely] for _, _, likely, _ in quoted])
    left = _with_total(
        [[likely, likely] if name == "overhead" else [low, high] for name, low, likely, high in quoted]
    )
    return Worked(
        right,
        {
            "the same part of every line": _unlike(all_swing, right),
            "low and high exchanged": _unlike([[high, low] for low, high in right], right),
            "overhead left as it was": _unlike(left, right),
        },
        {
            "lines": [say("line", name=name, likely=likely) for name, _, likely, _ in quoted],
            "swing_percent": 100 * swing,
            "least": minutes(0),
            "usual": minutes(1),
            "most": minutes(2),
            "ends": [
                say("end", at=at, name=name, low=low, high=high)
                for at, (name, (low, high)) in enumerate(zip(names, right, strict=True), 1)
            ],
        },
        shown=names,
    )


def whole_quote(job: JobInHand) -> ShownTable:
    """The quote of this job, line by line, and on the average.

    >>> from course_lib.classroom.pieces.job_in_hand import demo_job
    >>> whole_quote(demo_job()).columns
    ('line', 'low', 'likely', 'high', 'on the average')
    """
    asked = job.plan().quote
    rows = [*lines(job), (_TOGETHER, asked.low, asked.likely, asked.high)]
    return ShownTable(
        ("line", "low", "likely", "high", "on the average"),
        [
            (name, f"{low:.0f}", f"{likely:.0f}", f"{high:.0f}", f"{three_point(low, likely, high):.0f}")
            for name, low, likely, high in rows
        ],
    )


def stage_times() -> ShownTable:
    """The minutes of each stage, as invented for the course.

    >>> len(stage_times().rows) == len(stage_minutes()) + 1
    True
    """
    rows = [(stage, *(f"{time:.0f}" for time in three)) for stage, three in stage_minutes().items()]
    return ShownTable(
        ("stage", "least (min)", "likely (min)", "most (min)"),
        [*rows, (_TOGETHER, *(f"{minutes(at):.0f}" for at in range(3)))],
    )


_MUCH = 0.04  # less overhead than this decides nothing


@dataclass(frozen=True)
class _Nut:
    """What making the nut takes, and what a colleague asks for it: minutes and money."""

    minutes: float
    metal: float
    time: float
    make: float
    colleague: float


def nut(job: JobInHand) -> _Nut:
    """The nut of this job, made here or by a colleague; what the colleague asks is invented."""
    stages, our = stage_minutes(), rates(job)
    spent = stages["plate and hole"][1] + stages["scroll"][1]
    weights = job.plan().carried.results
    weight = max(weights["nut_weight"].value - weights["nut_solder_weight"].value, 0.0)
    metal = weight * metal_price(fine_metals(job.alloy))
    time, make = time_cost(spent, our.labour_rate), making_costs(spent, metal, our)
    decides = our.overhead > _MUCH and turn(job, "strip_width", 2) == 0
    asks = round((make + time + metal) / 2 if decides else 1.2 * make + 1)
    return _Nut(spent, metal, time, make, asks)


def work_nut(job: JobInHand) -> Worked:
    """Whether the nut is made here or by a colleague; the stamped one never does."""
    costs, our = nut(job), rates(job)
    return Worked(
        "colleague" if costs.colleague < costs.make else "make",
        holes={
            **vars(costs),
            "time_and_overhead": costs.make - costs.metal,
            "rate": our.labour_rate,
            "overhead_percent": 100 * our.overhead,
            "stamped": our.nut_bought,
        },
    )


def _limit(metal: str) -> float:
    """What a piece of this metal weighs, in g, from which on it needs a hallmark."""
    row = table_by("hallmark_limits", "metal").get(metal)
    if row is None:
        raise Refused(f"the limit for {metal} is not in the tables here.")
    return row.amount("exempt_below_g")


def work_hallmark(job: JobInHand) -> Worked:
    """Whether the piece needs a hallmark."""
    metal, weight = str(find("alloys", "alloy", job.alloy, "an alloy")["metal"]), leaves(job)
    limit, needed = _limit(metal), hallmark_needed(metal, weight)
    return Worked(
        "yes" if needed else "no",
        {
            "heavy enough": "no" if needed else None,
            "too light for it": None if needed else "yes",
            "earrings never do": "never",
        },
        {
            "leaves": weight,
            "alloy": job.alloy,
            "metal": metal,
            "limit": limit,
            "compared": say("at_or_above" if needed else "below"),
        },
    )


def work_honest(job: JobInHand) -> Worked:
    """What to do when the high end comes: call; the mishap and the order of the choices follow the piece."""
    mishaps, ways = ("claws_burnt", "strip_cracked", "stone_too_wide"), ("finish", "silent", "call", "hurry")
    quote = job.plan().quote
    return Worked(
        "call",
        holes={
            "likely": quote.likely,
            "high": quote.high,
            "mishap": say(mishaps[turn(job, "claw_wire", len(mishaps))]),
        },
        shown=turned_round(job, "post_length", ways),
    )
