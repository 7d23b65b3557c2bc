"""Lesson 13, Price the job: metal, time, and what to tell the customer."""

from course_lib.bench.job import metal_without_solder
from course_lib.bench.metal import fine_metals
from course_lib.bench.price import Quote, hallmark_needed, rates_from, stage_minutes
from course_lib.bench.refusals import Refused
from course_lib.bench.tables import find, table_by
from course_lib.classroom.exercise import Lesson, Slip, unless_near
from course_lib.classroom.filled_tables import Column, TableAsked
from course_lib.classroom.fineness import Step
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.lists import ChoiceAsked
from course_lib.classroom.sizes import NumberAsked, SizeAsked

_MONEY = Step(1, "nobody quotes less than a whole unit of money")


def taken(job: JobInHand) -> float:
    """Metal taken from the drawer, in g, as the card shows it."""
    return round(job.plan().metal_taken, 3)


def main_metal(job: JobInHand) -> tuple[str, float]:
    """The metal that gives the mark, and its share of the alloy."""
    shares = fine_metals(job.alloy)
    name = max(shares, key=lambda metal: shares[metal])
    return name, shares[name]


def rates(job: JobInHand) -> tuple[float, float]:
    """An hour at the bench, in money, and the overhead as a share."""
    found = rates_from(job.choices.__getitem__)
    return found.labour_rate, found.overhead


def quote(job: JobInHand) -> Quote:
    """The quote of the plan."""
    return job.plan().quote


FINE = SizeAsked(
    name="fine",
    title="Fine metal in it",
    task=lambda job: (
        f"{taken(job):.3f} g of {job.alloy} are taken from the drawer. It holds "
        f"{1000 * main_metal(job)[1]:.0f} parts of "
        f"{main_metal(job)[0]} in 1000. How much fine {main_metal(job)[0]} is that?"
    ),
    expected=lambda job: taken(job) * main_metal(job)[1],
    unit="gram",
    fineness=Step(0.01, "prices are asked to a hundredth of a gram"),
    sample="12.34 g",
    slips=(
        Slip(
            "all of it",
            taken,
            "That is all of the alloy. Only a part of it is fine.",
        ),
        Slip(
            "the other metals",
            lambda job: unless_near(
                taken(job) * (1 - main_metal(job)[1]), 0.02, taken(job) * main_metal(job)[1]
            ),
            "That is what the other metals weigh.",
        ),
        Slip(
            "divided",
            lambda job: taken(job) / main_metal(job)[1],
            "You divided. There is less fine metal than alloy.",
        ),
    ),
    clue="Parts in 1000, of the weight taken.",
    working=lambda job: (
        f"1. {taken(job):.3f} × {1000 * main_metal(job)[1]:.0f} / 1000 = "
        f"{taken(job) * main_metal(job)[1]:.2f} g"
    ),
    basis="standard",
    source="fineness per mille as in ISO 9202",
    objective="metal",
)


# --- time -----------------------------------------------------------------------------------------------


def _minutes(at: int) -> float:
    return sum(three[at] for three in stage_minutes().values())


TIME = NumberAsked(
    name="time",
    title="What the time costs",
    task=lambda job: (
        f"All stages together take {_minutes(1):.0f} minutes, most likely. An hour at the bench is "
        f"charged at {rates(job)[0]:.0f}. "
        "(All rates here are invented.) What does the time cost?"
    ),
    counted="money",
    expected=lambda job: _minutes(1) / 60 * rates(job)[0],
    fineness=_MONEY,
    sample="1234",
    slips=(
        Slip(
            "minutes for hours",
            lambda job: _minutes(1) * rates(job)[0],
            "You multiplied minutes by the rate of an hour. Divide by sixty.",
        ),
        Slip(
            "hundred minutes an hour",
            lambda job: _minutes(1) / 100 * rates(job)[0],
            "You divided by a hundred. An hour has sixty minutes.",
        ),
        Slip(
            "the shortest time",
            lambda job: unless_near(_minutes(0) / 60 * rates(job)[0], 1, _minutes(1) / 60 * rates(job)[0]),
            "That is the shortest time. The likely one was asked.",
        ),
    ),
    clue="How many hours are that?",
    working=lambda job: (
        f"1. {_minutes(1):.0f} / 60 = {_minutes(1) / 60:.2f} h\n2. × {rates(job)[0]:.0f} = "
        f"{_minutes(1) / 60 * rates(job)[0]:.0f}"
    ),
    basis="invented",
    source="the rates and minutes of data/practice.csv and data/minutes.csv: put your own",
    objective="time",
)


OVERHEAD = NumberAsked(
    name="overhead",
    title="Rent, light and gas",
    task=lambda job: (
        f"On the bench time of {_minutes(1) / 60 * rates(job)[0]:.0f} comes an overhead of "
        f"{100 * rates(job)[1]:.0f} %: rent, light, "
        "gas, tools. How much is time and overhead together?"
    ),
    counted="money",
    expected=lambda job: _minutes(1) / 60 * rates(job)[0] * (1 + rates(job)[1]),
    fineness=_MONEY,
    sample="1234",
    slips=(
        Slip(
            "overhead alone",
            lambda job: _minutes(1) / 60 * rates(job)[0] * rates(job)[1],
            "That is the overhead alone. The time comes on top.",
        ),
        Slip(
            "divided by the rest",
            lambda job: _minutes(1) / 60 * rates(job)[0] / (1 - rates(job)[1]),
            "You divided by what is left of 100 %. The overhead is a part of the time, not of the sum.",
        ),
        Slip(
            "taken off",
            lambda job: _minutes(1) / 60 * rates(job)[0] * (1 - rates(job)[1]),
            "You took it off. Overhead is a cost: add it.",
        ),
    ),
    clue="So many per cent of the time, added to the time.",
    working=lambda job: (
        f"1. {_minutes(1) / 60 * rates(job)[0]:.0f} × {1 + rates(job)[1]:g} = "
        f"{_minutes(1) / 60 * rates(job)[0] * (1 + rates(job)[1]):.0f}"
    ),
    basis="invented",
    source="the rates and minutes of data/practice.csv and data/minutes.csv: put your own",
    objective="time",
)


# --- table ----------------------------------------------------------------------------------------------

_LINES = {"metal used, less what comes back": "metal", "bench time": "bench time", "overhead": "overhead"}


def _lines(job: JobInHand) -> list[tuple[str, float, float, float]]:
    return [
        (_LINES[name], low, likely, high) for name, low, likely, high in quote(job).lines if name in _LINES
    ]


def _swing(job: JobInHand) -> float:
    return rates_from(job.choices.__getitem__).price_swing


def _money_table(job: JobInHand) -> list[list[float]]:
    return [[low, high] for _, low, _, high in _lines(job)]


def _table_task(job: JobInHand) -> str:
    likely = {name: middle for name, _, middle, _ in _lines(job)}
    return (
        f"The likely quote: metal {likely['metal']:.0f}, bench time {likely['bench time']:.0f}, overhead "
        f"{likely['overhead']:.0f}. "
        f"The metal's price may move by {100 * _swing(job):.0f} % either way. The time may be "
        f"{_minutes(0):.0f} minutes at least "
        f"and {_minutes(2):.0f} at most, instead of {_minutes(1):.0f}; overhead goes with the time. Fill "
        "in the low and the high "
        "end of each line."
    )


def _other(job: JobInHand, rows: list[list[float]]) -> list[list[float]] | None:
    mine = _money_table(job)
    near = all(abs(a - b) <= 1.2 for x, y in zip(mine, rows, strict=True) for a, b in zip(x, y, strict=True))
    return None if near else rows


TABLE = TableAsked(
    name="table",
    title="Low and high",
    task=_table_task,
    columns=(
        Column("low", fineness=Step(2, "whole units of money")),
        Column("high", fineness=Step(2, "whole units of money")),
    ),
    rows=lambda job: [name for name, *_ in _lines(job)],
    expected=_money_table,
    slips=(
        Slip(
            "the same part of every line",
            lambda job: _other(
                job, [[(1 - _swing(job)) * m, (1 + _swing(job)) * m] for _, _, m, _ in _lines(job)]
            ),
            "You moved every line as much as the metal's price. Time has its own ends: the shortest and "
            "the longest.",
        ),
        Slip(
            "low and high exchanged",
            lambda job: _other(job, [[high, low] for _, low, _, high in _lines(job)]),
            "Low and high are exchanged.",
        ),
        Slip(
            "overhead left as it was",
            lambda job: _other(
                job, [[m, m] if name == "overhead" else [low, high] for name, low, m, high in _lines(job)]
            ),
            "The overhead goes with the time: it has a low and a high end too.",
        ),
    ),
    clue="Metal: its price moves. Time: in proportion to the minutes. Overhead: the same part of the time "
    "as before.",
    working=lambda job: "\n".join(
        f"{at}. {name}: {low:.0f} to {high:.0f}" for at, (name, low, _, high) in enumerate(_lines(job), 1)
    ),
    basis="invented",
    source="the rates and minutes of data/practice.csv and data/minutes.csv: put your own",
    objective="quote",
)


# --- choices --------------------------------------------------------------------------------------------


def _cheaper(job: JobInHand) -> str:
    return "buy" if quote(job).buy_the_nut else "make"


def _nut_costs(job: JobInHand) -> tuple[float, float]:
    found, (hour, extra) = stage_minutes(), rates(job)
    minutes = found["plate and hole"][1] + found["scroll"][1]
    return minutes, minutes / 60 * hour * (1 + extra)


NUT = ChoiceAsked(
    name="nut",
    title="Buy the nut or make it?",
    task=lambda job: (
        f"Plate and scroll take {_nut_costs(job)[0]:.0f} minutes, which with overhead is "
        f"{_nut_costs(job)[1]:.0f}; its metal comes to "
        f"that. A bought nut of the same alloy costs {job.choices['nut_bought']:.0f}. Only the money "
        "counts here: which?"
    ),
    choices=lambda job: {"buy": "buy it", "make": "make it"},
    expected=_cheaper,
    slips=(
        Slip(
            "made",
            lambda job: None if _cheaper(job) == "make" else "make",
            "Compare the two sums again. (A maker may still make it, where a bought one would be seen. "
            "That is another question.)",
        ),
        Slip(
            "bought",
            lambda job: None if _cheaper(job) == "buy" else "buy",
            "Compare the two sums again: here the bought one costs more.",
        ),
    ),
    clue="Two sums. Which is smaller?",
    working=lambda job: (
        f"1. Making: {_nut_costs(job)[1]:.0f} and the metal\n2. Buying: {job.choices['nut_bought']:.0f}"
    ),
    basis="invented",
    source="the rates and minutes of data/practice.csv and data/minutes.csv: put your own",
    objective="quote",
)


def _weight(job: JobInHand) -> float:
    return metal_without_solder(job.plan().carried, job.plan().metal_taken)


def _limit(job: JobInHand) -> tuple[str, float]:
    metal = str(find("alloys", "alloy", job.alloy, "an alloy")["metal"])
    row = table_by("hallmark_limits", "metal").get(metal)
    if row is None:
        raise Refused(f"the limit for {metal} is not in the tables here.")
    return metal, float(row["exempt_below_g"])


def _needed(job: JobInHand) -> str:
    return "yes" if hallmark_needed(_limit(job)[0], _weight(job)) else "no"


HALLMARK = ChoiceAsked(
    name="hallmark",
    title="Does it need a hallmark?",
    task=lambda job: (
        f"The metal of the finished piece weighs {_weight(job):.3f} g and is {job.alloy}. In the UK, "
        f"{_limit(job)[0]} of less than "
        f"{_limit(job)[1]:g} g needs no hallmark. Must this piece go to the assay office?"
    ),
    choices=lambda job: {"yes": "yes", "no": "no, it may but need not", "never": "no, earrings never do"},
    expected=_needed,
    slips=(
        Slip(
            "too light for it",
            lambda job: None if _needed(job) == "no" else "no",
            "Compare the two weights again.",
        ),
        Slip(
            "heavy enough",
            lambda job: None if _needed(job) == "yes" else "yes",
            "Compare the two weights again.",
        ),
        Slip(
            "earrings never do", lambda job: "never", "The law asks for metal and weight, not for what it is."
        ),
    ),
    clue="At the limit, and above it.",
    working=lambda job: f"1. {_weight(job):.3f} g against {_limit(job)[1]:g} g",
    basis="standard",
    source="Hallmarking Act 1973, Schedule 1 Part II, as amended",
    objective="metal",
    well_done="Other countries have other rules: ask your own assay office before you quote.",
)


HONEST = ChoiceAsked(
    name="honest",
    title="What to tell the customer",
    task=lambda job: (
        f"Low {quote(job).low:.0f}, likely {quote(job).likely:.0f}, high {quote(job).high:.0f}. The "
        "customer asks what it will cost. "
        "What do you say, before you begin?"
    ),
    choices=lambda job: {
        "low": "the low sum, and the rest when it is done",
        "both": "the likely sum, that it may come to the high one and why, and that you ask before it "
        "goes beyond",
        "high": "the high sum twice, to be safe",
        "none": "that it cannot be said beforehand",
    },
    expected=lambda job: "both",
    slips=(
        Slip("low", lambda job: "low", "Whoever is surprised at the end does not come back."),
        Slip("high", lambda job: "high", "Nobody is helped by a sum that you do not believe yourself."),
        Slip("none", lambda job: "none", "You have just worked it out, with its ends. Say them."),
    ),
    clue="What would you want to hear?",
    working="1. The likely sum is what you expect\n2. The high one is what may happen: say why\n3. Ask "
    "before it goes beyond",
    basis="common practice",
    source="",
    objective="quote",
)


LESSON = Lesson(
    number="13",
    title="Price the job",
    minutes=30,
    objectives={
        "metal": "work out the fine metal, and say whether a hallmark is needed",
        "time": "turn minutes into money",
        "quote": "give a low, a likely and a high sum, and say them honestly",
    },
    exercises=(FINE, TIME, OVERHEAD, TABLE, NUT, HALLMARK, HONEST),
    earlier=("11",),
    stage="price",
)
