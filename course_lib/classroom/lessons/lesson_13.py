"""Lesson 13, Price the job: metal, time, what to buy, and what to tell the customer."""

from collections.abc import Mapping
from dataclasses import dataclass

from course_lib.bench.job import metal_without_solder
from course_lib.bench.metal import fine_metals
from course_lib.bench.price import (
    GRAMS_A_TROY_OUNCE,
    Quote,
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
from course_lib.classroom.exercise import Lesson, Slip, unless_it_is, unless_near
from course_lib.classroom.filled_tables import Column, TableAsked
from course_lib.classroom.fineness import Step
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.lists import ChoiceAsked
from course_lib.classroom.size_table import ShownTable
from course_lib.classroom.sizes import NumberAsked

_INVENTED = "the prices, rates and minutes of data/prices.csv, practice.csv and minutes.csv: put your own"
# The ounce of the kitchen, avoirdupois, in g (NIST SP 811): the one that metal is not sold by.
_KITCHEN_OUNCE = 28.349523125


@dataclass(frozen=True)
class Money:
    """As fine as a sum of money is worked out on paper: half a part in a hundred, and a hundredth."""

    def tolerance(self, value: float, unit: str) -> float:
        """For rounding on the way."""
        return 0.005 * abs(value) + 0.01

    def finest(self, value: float, unit: str) -> float:
        """A hundredth."""
        return 0.01

    def why(self, unit: str) -> str:
        """Nobody pays less."""
        return "nobody pays less than a hundredth"


_MONEY = Money()


def _apart(value: float, *others: float) -> float | None:
    """A sum of money that a slip leads to, unless it cannot be told from the answer or from another slip."""
    return unless_near(value, 2.2 * _MONEY.tolerance(max(abs(value), *map(abs, others)), ""), *others)


def _turn(job: JobInHand, size: str, ways: int) -> int:
    """One of so many ways to ask, for each piece another: it follows from a size, to a micrometre."""
    return round(1000 * job.readings[size].value) % ways


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
    shares = fine_metals(job.alloy)
    name = max(shares, key=lambda metal: shares[metal])
    return name, shares[name]


def rates(job: JobInHand) -> Rates:
    """What this workshop charges and pays."""
    return rates_from(job.choices.__getitem__)


def quote(job: JobInHand) -> Quote:
    """The quote of the plan."""
    return job.plan().quote


# --- metal ----------------------------------------------------------------------------------------------


def _fine_costs(job: JobInHand) -> float:
    name, share = main_metal(job)
    return taken(job) * share * fine_prices()[name]


def _ounce(job: JobInHand) -> float:
    return fine_prices()[main_metal(job)[0]] * GRAMS_A_TROY_OUNCE


def _without_share(job: JobInHand) -> float:
    return _fine_costs(job) / main_metal(job)[1]


FINE = NumberAsked(
    name="fine",
    title="What the fine metal costs",
    task=lambda job: (
        f"{taken(job):.3f} g of {job.alloy} are taken from the drawer. Of 1000 parts, "
        f"{1000 * main_metal(job)[1]:.0f} are fine {main_metal(job)[0]}. The dealer asks "
        f"{_ounce(job):.2f} for a troy ounce of it, which is {GRAMS_A_TROY_OUNCE:.3f} g (the price is "
        f"invented). What does the fine {main_metal(job)[0]} cost?"
    ),
    counted="money",
    expected=_fine_costs,
    fineness=_MONEY,
    sample="1234.56",
    slips=(
        Slip(
            "all of it fine",
            lambda job: _apart(_without_share(job), _fine_costs(job)),
            "You paid for all of the alloy as if it were fine. Only so many parts in 1000 are.",
        ),
        Slip(
            "per cent",
            lambda job: 10 * _fine_costs(job),
            "You took parts in 1000 for per cent: this is ten times too much.",
        ),
        Slip(
            "the ounce of the kitchen",
            lambda job: _apart(
                _fine_costs(job) * GRAMS_A_TROY_OUNCE / _KITCHEN_OUNCE, _fine_costs(job), _without_share(job)
            ),
            "You took the ounce of the kitchen. Precious metal is sold by the troy ounce, which is heavier.",
        ),
        Slip(
            "an ounce for a gram",
            lambda job: _fine_costs(job) * GRAMS_A_TROY_OUNCE,
            "You took the price of an ounce for that of a gram.",
        ),
    ),
    clue="First the price of a gram. Then how many grams are fine.",
    working=lambda job: (
        f"1. A gram of fine {main_metal(job)[0]}: {_ounce(job):.2f} / {GRAMS_A_TROY_OUNCE:.3f} = "
        f"{_told(fine_prices()[main_metal(job)[0]])}\n"
        f"2. Fine metal: {taken(job):.3f} × {1000 * main_metal(job)[1]:.0f} / 1000 = "
        f"{taken(job) * main_metal(job)[1]:.3f} g\n"
        f"3. Together: {_fine_costs(job):.2f}"
    ),
    basis="standard",
    source="troy ounce: NIST Handbook 44, appendix C; fineness per mille: ISO 9202; the price is invented",
    objective="metal",
    well_done="The dealer adds for alloying, rolling and drawing. Ask for the price of the sheet you buy.",
)


@dataclass(frozen=True)
class _Ledger:
    """What is bought and what is sold back of the metal of a job: g, and money a gram of alloy."""

    taken: float
    leaves: float
    back: float
    buy: float
    sell: float


def ledger(job: JobInHand) -> _Ledger:
    """Metal taken, left in the piece and sold back, and its prices."""
    shares, rest = fine_metals(job.alloy), job.plan().metal_taken - leaves(job)
    return _Ledger(
        job.plan().metal_taken, leaves(job), rates(job).lemel_recovered * rest, metal_price(shares),
        scrap_price(shares),
    )  # fmt: skip


def _paid(job: JobInHand) -> float:
    return metal_cost(job.plan().metal_taken, leaves(job), fine_metals(job.alloy), rates(job).lemel_recovered)


def _nothing_back(job: JobInHand) -> float:
    return ledger(job).taken * ledger(job).buy


def _only_what_leaves(job: JobInHand) -> float:
    return ledger(job).leaves * ledger(job).buy


def _full_price_back(job: JobInHand) -> float:
    return (ledger(job).taken - ledger(job).back) * ledger(job).buy


def _nothing_lost(job: JobInHand) -> float:
    book = ledger(job)
    return book.taken * book.buy - (book.taken - book.leaves) * book.sell


PAID = NumberAsked(
    name="paid",
    title="What you pay for in the end",
    task=lambda job: (
        f"You take {ledger(job).taken:.3f} g of {job.alloy}, at {_told(ledger(job).buy)} a gram. "
        f"{ledger(job).leaves:.3f} g leave with the customer. Of the rest "
        f"{100 * rates(job).lemel_recovered:.0f} % come back as offcuts and lemel, and the refiner pays "
        f"{_told(ledger(job).sell)} a gram for that. What does the metal of this job cost you in the end?"
    ),
    counted="money",
    expected=_paid,
    fineness=_MONEY,
    sample="1234.56",
    slips=(
        Slip(
            "nothing comes back",
            lambda job: _apart(_nothing_back(job), _paid(job)),
            "That is all you took. What comes back is paid for by the refiner.",
        ),
        Slip(
            "only what leaves",
            lambda job: _apart(_only_what_leaves(job), _paid(job), _nothing_back(job)),
            "That is only the metal in the piece. Somebody pays for what is lost, and for what the refiner "
            "keeps.",
        ),
        Slip(
            "back at the full price",
            lambda job: _apart(_full_price_back(job), _paid(job), _nothing_back(job), _only_what_leaves(job)),
            "You sold the scrap for as much as you gave. The refiner pays less.",
        ),
        Slip(
            "nothing lost",
            lambda job: _apart(
                _nothing_lost(job),
                _paid(job),
                _nothing_back(job),
                _only_what_leaves(job),
                _full_price_back(job),
            ),
            "You sold all the rest. A part of it is dust that nobody sweeps up.",
        ),
    ),
    clue="What you gave for all of it, less what you are given for what comes back.",
    working=lambda job: (
        f"1. Taken: {ledger(job).taken:.3f} × {_told(ledger(job).buy)} = "
        f"{ledger(job).taken * ledger(job).buy:.2f}\n"
        f"2. Back: {rates(job).lemel_recovered:g} × ({ledger(job).taken:.3f} − {ledger(job).leaves:.3f}) = "
        f"{ledger(job).back:.3f} g\n"
        f"3. For that: {ledger(job).back:.3f} × {_told(ledger(job).sell)} = "
        f"{ledger(job).back * ledger(job).sell:.2f}\n"
        f"4. What is left to pay: {_paid(job):.2f}"
    ),
    basis="invented",
    source=_INVENTED,
    objective="metal",
    well_done="More than the metal in the piece alone would cost. So a quote never goes by the finished "
    "weight.",
)


# --- time -----------------------------------------------------------------------------------------------


def minutes(at: int) -> float:
    """All stages of data/minutes.csv together: the least (0), the likely (1) and the most (2)."""
    return sum(three[at] for three in stage_minutes().values())


def notes(job: JobInHand) -> tuple[float, float, float]:
    """Least, likely and most minutes as somebody noted them at earlier jobs of this kind: invented."""
    pace = 0.8 + 0.05 * _turn(job, "stone_diameter", 9)
    return tuple(5 * round(pace * minutes(at) / 5) for at in range(3))  # type: ignore[return-value]


def _time_money(job: JobInHand, time: float) -> float:
    return time_cost(time, rates(job).labour_rate)


def _average(job: JobInHand) -> float:
    return three_point(*notes(job))


def _costs(job: JobInHand) -> float:
    return _time_money(job, _average(job))


def _likely_costs(job: JobInHand) -> float:
    return _time_money(job, notes(job)[1])


def _plain_mean(job: JobInHand) -> float:
    return _time_money(job, sum(notes(job)) / 3)


def _middle_of_ends(job: JobInHand) -> float:
    return _time_money(job, (notes(job)[0] + notes(job)[2]) / 2)


def _hundred(job: JobInHand) -> float:
    return 60 / 100 * _costs(job)


TIME = NumberAsked(
    name="time",
    title="What the time costs",
    task=lambda job: (
        f"Your notes on earlier jobs say: {notes(job)[0]:.0f} minutes if all goes well, {notes(job)[1]:.0f} "
        f"as a rule, {notes(job)[2]:.0f} if it does not. Plan with the average: a sixth of (least + four "
        f"times likely + most). An hour at the bench is charged at {rates(job).labour_rate:g}. What does the "
        "time cost? (Minutes and rates are invented.)"
    ),
    counted="money",
    expected=_costs,
    fineness=_MONEY,
    sample="1234.56",
    slips=(
        Slip(
            "the likely time",
            lambda job: _apart(_likely_costs(job), _costs(job)),
            "That is the likely time. A job runs over by more than it ever runs under, so the average is "
            "longer.",
        ),
        Slip(
            "plain mean",
            lambda job: _apart(_plain_mean(job), _costs(job), _likely_costs(job)),
            "You took a third of the three. The likely time counts four times, for it comes most often.",
        ),
        Slip(
            "middle of the ends",
            lambda job: _apart(_middle_of_ends(job), _costs(job), _likely_costs(job), _plain_mean(job)),
            "You took the middle between least and most. The likely time is missing.",
        ),
        Slip(
            "hundred minutes an hour",
            lambda job: _apart(_hundred(job), _costs(job), _likely_costs(job), _plain_mean(job)),
            "You divided by a hundred. An hour has sixty minutes.",
        ),
        Slip(
            "minutes for hours",
            lambda job: _apart(60 * _costs(job), _costs(job)),
            "You multiplied minutes by the rate of an hour. Divide by sixty.",
        ),
    ),
    clue="First the average in minutes, then hours, then money.",
    working=lambda job: (
        f"1. ({notes(job)[0]:.0f} + 4 × {notes(job)[1]:.0f} + {notes(job)[2]:.0f}) / 6 = {_average(job):.1f} "
        f"minutes\n2. {_average(job):.1f} / 60 = {_average(job) / 60:.3f} h\n"
        f"3. × {rates(job).labour_rate:g} = {_costs(job):.2f}"
    ),
    basis="handbook",
    source="three-point estimate: Malcolm, Roseboom, Clark and Fazar, Operations Research 7 (1959) 646; "
    "minutes and rates are invented",
    objective="time",
    well_done="Who quotes the likely time gives away the difference, job after job.",
)


# --- low and high ---------------------------------------------------------------------------------------

_LINES = {
    "metal used, less what comes back": "metal", "bench time": "bench time", "overhead": "overhead",
    "hallmark": "hallmark",
}  # fmt: skip
_TOGETHER = "all together"
_WHOLE = Step(3, "a quote is told in whole units of money")
Row = tuple[str, float, float, float]


def lines(job: JobInHand) -> list[Row]:
    """The lines of the quote that cost something: name, low, likely, high."""
    return [
        (_LINES[name], low, likely, high)
        for name, low, likely, high in quote(job).lines
        if name in _LINES and likely > 0
    ]


def _with_total(rows: list[list[float]]) -> list[list[float]]:
    return [*rows, [sum(row[0] for row in rows), sum(row[1] for row in rows)]]


def _ends(job: JobInHand) -> list[list[float]]:
    return _with_total([[low, high] for _, low, _, high in lines(job)])


def _unlike(job: JobInHand, rows: list[list[float]]) -> list[list[float]] | None:
    """A table that a slip leads to, unless it can be taken for the right one."""
    pairs = [
        abs(mine - other)
        for right, wrong in zip(_ends(job), rows, strict=True)
        for mine, other in zip(right, wrong, strict=True)
    ]
    return rows if max(pairs) > _WHOLE.step else None


def _all_by_the_swing(job: JobInHand) -> list[list[float]]:
    swing = rates(job).price_swing
    return _with_total([[(1 - swing) * likely, (1 + swing) * likely] for _, _, likely, _ in lines(job)])


def _overhead_left(job: JobInHand) -> list[list[float]]:
    return _with_total(
        [[likely, likely] if name == "overhead" else [low, high] for name, low, likely, high in lines(job)]
    )


def _table_task(job: JobInHand) -> str:
    told = ", ".join(f"{name} {likely:.0f}" for name, _, likely, _ in lines(job))
    return (
        f"The likely quote is: {told}; the stone is told apart. The metal's price may move by "
        f"{100 * rates(job).price_swing:.0f} % either way. The time may be {minutes(0):.0f} minutes at least "
        f"and {minutes(2):.0f} at most, instead of {minutes(1):.0f}; the overhead is a part of the time, and "
        "goes with it. A fee stays as it is. Fill in the low and the high end of each line, and of all "
        "together."
    )


TABLE = TableAsked(
    name="table",
    title="Low and high",
    task=_table_task,
    columns=(Column("low", fineness=_WHOLE), Column("high", fineness=_WHOLE)),
    rows=lambda job: [*(name for name, *_ in lines(job)), _TOGETHER],
    expected=_ends,
    slips=(
        Slip(
            "the same part of every line",
            lambda job: _unlike(job, _all_by_the_swing(job)),
            "You moved every line as much as the metal's price. Time has its own ends: the shortest and "
            "the longest.",
        ),
        Slip(
            "low and high exchanged",
            lambda job: _unlike(job, [[high, low] for low, high in _ends(job)]),
            "Low and high are exchanged.",
        ),
        Slip(
            "overhead left as it was",
            lambda job: _unlike(job, _overhead_left(job)),
            "The overhead goes with the time: it has a low and a high end too.",
        ),
    ),
    clue="Metal: its price moves. Time: in proportion to the minutes. Overhead: the same part of the time as "
    "before. Then add up.",
    working=lambda job: "\n".join(
        [
            *(
                f"{at}. {name}: {low:.0f} to {high:.0f}"
                for at, (name, low, _, high) in enumerate(lines(job), 1)
            ),
            f"{len(lines(job)) + 1}. {_TOGETHER}: {_ends(job)[-1][0]:.0f} to {_ends(job)[-1][1]:.0f}",
        ]
    ),
    basis="invented",
    source=_INVENTED,
    objective="quote",
    well_done="The high end lies farther off than the low one. That is usual where time is the largest line.",
)


def whole_quote(job: JobInHand) -> ShownTable:
    """The quote of this job, line by line, and on the average.

    >>> from course_lib.classroom.job_in_hand import demo_job
    >>> whole_quote(demo_job()).columns
    ('line', 'low', 'likely', 'high', 'on the average')
    """
    asked = quote(job)
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


# --- buy or make ----------------------------------------------------------------------------------------

_MUCH = 0.04  # less overhead than this decides nothing


@dataclass(frozen=True)
class _Nut:
    """What making the nut takes, and what a colleague asks for it: minutes and money."""

    minutes: float
    metal: float
    make: float
    without_overhead: float
    colleague: float
    stamped: float


def nut(job: JobInHand) -> _Nut:
    """The nut of this job, made here, by a colleague, or stamped; what the colleague asks is invented."""
    stages, our = stage_minutes(), rates(job)
    time = stages["plate and hole"][1] + stages["scroll"][1]
    weights = job.plan().carried.results
    weight = max(weights["nut_weight"].value - weights["nut_solder_weight"].value, 0.0)
    metal = weight * metal_price(fine_metals(job.alloy))
    make, without = making_costs(time, metal, our), time_cost(time, our.labour_rate) + metal
    decides = our.overhead > _MUCH and _turn(job, "strip_width", 2) == 0
    asks = round((make + without) / 2 if decides else 1.2 * make + 1)
    return _Nut(time, metal, make, without, asks, our.nut_bought)


def _cheapest(job: JobInHand) -> str:
    return "colleague" if nut(job).colleague < nut(job).make else "make"


NUT = ChoiceAsked(
    name="nut",
    title="Buy the nut or make it?",
    task=lambda job: (
        f"Plate and scroll take {nut(job).minutes:.0f} minutes at {rates(job).labour_rate:g} an hour, with "
        f"{100 * rates(job).overhead:.0f} % of overhead on the time. The metal in the nut is worth "
        f"{nut(job).metal:.2f}. A colleague makes nuts like this one for {nut(job).colleague:.0f}, metal and "
        f"all. A stamped nut costs {nut(job).stamped:g}: it is thin and light, and its curls look different. "
        "The customer wants the nut to look like its twin. What costs you least, and will do?"
    ),
    choices=lambda job: {
        "stamped": "buy the stamped one",
        "make": "make it yourself",
        "colleague": "buy it from the colleague",
    },
    expected=_cheapest,
    slips=(
        Slip(
            "stamped",
            lambda job: "stamped",
            "It is the cheapest. But it will not do: laid beside its twin, it is told apart at once.",
        ),
        unless_it_is(
            _cheapest,
            "make",
            "Did you count the overhead? An hour at your bench costs its rent and its light too, whatever "
            "you make in it.",
        ),
        unless_it_is(
            _cheapest,
            "colleague",
            "Work out your own nut again: time, overhead on it, and the metal. Which of the two is less?",
        ),
    ),
    clue="Time, and overhead on the time, and metal. Then compare.",
    working=lambda job: (
        f"1. Time: {nut(job).minutes:.0f} / 60 × {rates(job).labour_rate:g} = "
        f"{nut(job).without_overhead - nut(job).metal:.2f}\n"
        f"2. With overhead: {nut(job).make - nut(job).metal:.2f}\n"
        f"3. With the metal: {nut(job).make:.2f}\n"
        f"4. The colleague asks {nut(job).colleague:.0f}; the stamped one will not do"
    ),
    basis="invented",
    source=_INVENTED,
    objective="decide",
    well_done="Before you buy: does its hole fit your post, is it nickel-free, and is it the same alloy?",
)


# --- hallmark -------------------------------------------------------------------------------------------


def _limit(job: JobInHand) -> tuple[str, float]:
    metal = str(find("alloys", "alloy", job.alloy, "an alloy")["metal"])
    row = table_by("hallmark_limits", "metal").get(metal)
    if row is None:
        raise Refused(f"the limit for {metal} is not in the tables here.")
    return metal, row.amount("exempt_below_g")


def _needed(job: JobInHand) -> str:
    return "yes" if hallmark_needed(_limit(job)[0], leaves(job)) else "no"


HALLMARK = ChoiceAsked(
    name="hallmark",
    title="Does it need a hallmark?",
    task=lambda job: (
        f"The metal of earring and nut weighs {leaves(job):.3f} g and is {job.alloy}. In the UK, "
        f"{_limit(job)[0]} of less than {_limit(job)[1]:g} g may be sold without a hallmark. Must this piece "
        "go to the assay office?"
    ),
    choices=lambda job: {
        "yes": "yes, it must",
        "no": "no, it may but need not",
        "never": "no, earrings never need one",
    },
    expected=_needed,
    slips=(
        Slip(
            "heavy enough",
            lambda job: None if _needed(job) == "no" else "no",
            "Compare the two weights again: at the limit, and above it, a piece must go.",
        ),
        Slip(
            "too light for it",
            lambda job: None if _needed(job) == "yes" else "yes",
            "Compare the two weights again. Below the limit a piece need not go.",
        ),
        Slip(
            "earrings never do", lambda job: "never", "The law asks for metal and weight, not for what it is."
        ),
    ),
    clue="Two weights. At the limit a piece must go, and above it.",
    working=lambda job: (
        f"1. {leaves(job):.3f} g, against a limit of {_limit(job)[1]:g} g for {_limit(job)[0]}\n"
        f"2. {'At or above it: yes' if _needed(job) == 'yes' else 'Below it: it need not'}"
    ),
    basis="standard",
    source="Hallmarking Act 1973, Schedule 1 Part II, as amended",
    objective="decide",
    well_done="Other countries have other rules: ask your own assay office before you quote. And what is not "
    "hallmarked must still be what you say it is.",
)


# --- the honest word ------------------------------------------------------------------------------------

_MISHAPS = (
    "two claws are burnt, and the basket must be made again",
    "the strip has cracked, and the scroll must be made again",
    "the new stone is a hair too wide, and all bearings must be cut again",
)
_WORDS: Mapping[str, str] = {
    "finish": "finish it, and put the high sum on the bill: it was in the quote",
    "silent": "finish it for the likely sum and say nothing; the loss is yours",
    "call": "stop and call: what happened, what it will come to, and go on when the customer agrees",
    "hurry": "go on, and save the time at papers and mop",
}


def _words(job: JobInHand) -> Mapping[str, str]:
    names, first = list(_WORDS), _turn(job, "post_length", len(_WORDS))
    return {name: _WORDS[name] for name in names[first:] + names[:first]}


HONEST = ChoiceAsked(
    name="honest",
    title="When the high end comes",
    task=lambda job: (
        f"You told the customer: {quote(job).likely:.0f}, and up to {quote(job).high:.0f} if something goes "
        f"wrong. Half way through, {_MISHAPS[_turn(job, 'claw_wire', 3)]}. You see that it will come to the "
        "high end. What do you do?"
    ),
    choices=_words,
    expected=lambda job: "call",
    slips=(
        Slip(
            "finish",
            lambda job: "finish",
            "You may, for you said it. But who hears of it only from the bill does not come back.",
        ),
        Slip(
            "silent",
            lambda job: "silent",
            "Once in a while a goldsmith does that. Who does it always works for less than the apprentice. "
            "And the customer never learns what the work is worth.",
        ),
        Slip(
            "hurry",
            lambda job: "hurry",
            "Time saved at the finish is seen by everybody, and stays to be seen for years.",
        ),
    ),
    clue="What would you want to hear, and when?",
    working="1. The quote named a likely and a high sum, and what makes the difference\n"
    "2. Now it has come: say so at once, while the customer can still choose\n"
    "3. Write it on the slip, with the day and the new sum",
    basis="common practice",
    source="",
    objective="quote",
    well_done="Most customers say yes. They pay for the work; what they do not forgive is not being asked.",
)


LESSON = Lesson(
    number="13",
    title="Price the job",
    minutes=40,
    objectives={
        "metal": "work out what the metal of a job costs, with what comes back",
        "time": "plan a time from its least, likely and most, and turn it into money",
        "decide": "say whether to buy a part or make it, and whether a hallmark is needed",
        "quote": "give a low and a high sum, and stay honest when the high one comes",
    },
    exercises=(FINE, PAID, TIME, TABLE, NUT, HALLMARK, HONEST),
    earlier=("02", "11"),
    stage="price",
)
