"""Lesson 11, Finish, weigh, set: weights against the pattern, where the metal went, and what comes last."""

from course_lib.bench.alloy import alloy_facts
from course_lib.bench.job import metal_without_solder
from course_lib.bench.lemel import loss_budget
from course_lib.bench.tables import find
from course_lib.classroom.exercise import Lesson, Slip
from course_lib.classroom.filled_tables import Column, TableAsked
from course_lib.classroom.fineness import Step
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.lists import ChoiceAsked, OrderAsked, SymptomAsked
from course_lib.classroom.sizes import SizeAsked

_CARAT = 0.2  # g, exactly
_BALANCE = "a fine balance shows thousandths of a gram"
PARTS = {
    "gallery ring": "ring_volume",
    "claws": "claws_volume",
    "post": "post_volume",
    "back plate": "plate_volume",
}


def _volumes(job: JobInHand) -> dict[str, float]:
    return {part: job.plan().plain(name) for part, name in PARTS.items()}


def _density(job: JobInHand) -> float:
    return alloy_facts(job.alloy).density


def _weights(job: JobInHand) -> list[list[float]]:
    return [[volume * _density(job) / 1000] for volume in _volumes(job).values()]


TABLE = TableAsked(
    name="table",
    title="Part by part",
    task=lambda job: (
        "Fill in what each part should weigh. The metal weighs "
        f"{_density(job):.2f} g/cm³ (a cm³ is 1000 mm³). Their volumes:\n\n"
        + "\n".join(f"{part}: {volume:.2f} mm³" for part, volume in _volumes(job).items())
    ),
    columns=(Column("weight", "gram", Step(0.002, _BALANCE)),),
    rows=lambda job: list(_volumes(job)),
    expected=_weights,
    slips=(
        Slip(
            "as heavy as water",
            lambda job: [[volume / 1000] for volume in _volumes(job).values()],
            "That is what so much water weighs. Multiply by the density.",
        ),
        Slip(
            "mm³ for cm³",
            lambda job: [[volume * _density(job)] for volume in _volumes(job).values()],
            "A thousand times too heavy: the density is for a cubic centimetre.",
        ),
    ),
    clue="Volume in cm³ times density.",
    working=lambda job: "\n".join(
        f"{at}. {part}: {volume:.2f} / 1000 × {_density(job):.2f} = {volume * _density(job) / 1000:.3f} g"
        for at, (part, volume) in enumerate(_volumes(job).items(), 1)
    ),
    basis="standard",
    source="definition of density",
    objective="weigh",
)


# --- stone ----------------------------------------------------------------------------------------------


def _carats(job: JobInHand) -> float:
    return round(job.plan().plain("stone_carat"), 2)


STONE = SizeAsked(
    name="stone",
    title="Take the stone off",
    task=lambda job: (
        f"The {job.gem} is {_carats(job):.2f} ct by its sizes. How many grams of the earring's weight are "
        "stone?"
    ),
    expected=lambda job: _carats(job) * _CARAT,
    unit="gram",
    fineness=Step(0.001, _BALANCE),
    sample="1.234 g",
    slips=(
        Slip(
            "divided",
            lambda job: _carats(job) / _CARAT,
            "You divided. A carat is a fifth of a gram: a stone has fewer grams than carats.",
        ),
        Slip(
            "carat of gold",
            lambda job: _carats(job) / 24,
            "That is the carat of gold, a part of 24. A stone's carat is a weight.",
        ),
        Slip(
            "as many grams",
            _carats,
            "A carat is not a gram.",
        ),
    ),
    clue="Five carats make one gram.",
    working=lambda job: f"1. {_carats(job):.2f} ct × 0.2 g = {_carats(job) * _CARAT:.3f} g",
    basis="standard",
    source="metric carat: 0.2 g exactly (SI Brochure, and 4th CGPM, 1907)",
    objective="weigh",
)


# --- loss -----------------------------------------------------------------------------------------------


def taken(job: JobInHand) -> float:
    """Metal taken from the drawer, in g, as the card shows it."""
    return round(job.plan().metal_taken, 3)


def leaves(job: JobInHand) -> float:
    """Metal of the drawer that is in the piece, in g, as the card shows it."""
    return round(metal_without_solder(job.plan().carried, job.plan().metal_taken), 3)


def _kept(job: JobInHand) -> float:
    return job.choices["lemel_recovered"]


def _loss(job: JobInHand) -> tuple[float, float]:
    found = loss_budget.plain(taken(job), leaves(job), _kept(job))
    return float(found.comes_back), float(found.lost)


BACK = SizeAsked(
    name="back",
    title="What comes back",
    task=lambda job: (
        f"{taken(job):.3f} g were taken from the drawer, and {leaves(job):.3f} g of them are in the "
        "piece. Of all the rest, "
        f"bench skin and boxes keep {100 * _kept(job):.0f} %. How much comes back as offcuts and lemel?"
    ),
    expected=lambda job: _loss(job)[0],
    unit="gram",
    fineness=Step(0.002, _BALANCE),
    sample="7.654 g",
    slips=(
        Slip(
            "all the rest",
            lambda job: taken(job) - leaves(job),
            "That is all the rest. A part of it is dust that nobody finds.",
        ),
        Slip(
            "part of what was taken",
            lambda job: _kept(job) * taken(job),
            "You took the part of everything. What is in the piece does not come back.",
        ),
        Slip(
            "what is lost",
            lambda job: _loss(job)[1],
            "That is what is lost.",
        ),
    ),
    clue="First: what is not in the piece? Then the part of it that is kept.",
    working=lambda job: (
        f"1. Not in the piece: {taken(job):.3f} − {leaves(job):.3f} = {taken(job) - leaves(job):.3f} g\n"
        f"2. Of that {100 * _kept(job):.0f} %: {_loss(job)[0]:.3f} g"
    ),
    basis="common practice",
    source="",
    objective="loss",
    well_done="Weigh what you sweep up, job by job: after ten jobs you know your own figure.",
)


LOST = SizeAsked(
    name="lost",
    title="What is lost",
    task=lambda job: (
        f"The same job: {taken(job):.3f} g taken, {leaves(job):.3f} g in the piece, {_loss(job)[0]:.3f} "
        "g came back. How much "
        "of what was taken is lost, in per cent?"
    ),
    expected=lambda job: 100 * _loss(job)[1] / taken(job),
    unit="percent",
    fineness=Step(0.4, "the balance leaves some tenths in doubt"),
    sample="12.3 %",
    slips=(
        Slip(
            "of the piece",
            lambda job: 100 * _loss(job)[1] / leaves(job),
            "You divided by what is in the piece. The question is of what was taken.",
        ),
        Slip(
            "all that is not in the piece",
            lambda job: 100 * (taken(job) - leaves(job)) / taken(job),
            "That is all that is not in the piece. Most of it came back.",
        ),
    ),
    clue="Taken, less in the piece, less what came back.",
    working=lambda job: (
        f"1. Lost: {taken(job):.3f} − {leaves(job):.3f} − {_loss(job)[0]:.3f} = {_loss(job)[1]:.3f} g\n"
        f"2. Of what was taken: {_loss(job)[1]:.3f} / {taken(job):.3f} = "
        f"{100 * _loss(job)[1] / taken(job):.1f} %"
    ),
    basis="common practice",
    source="",
    objective="loss",
)


# --- order ----------------------------------------------------------------------------------------------

_STEPS = {
    "mop": "polish",
    "set": "set the stone",
    "trim": "trim the post against the pattern",
    "pickle": "pickle, rinse and look at every joint",
    "papers": "go through the papers",
    "weigh": "weigh, and compare with the pattern",
}
_RIGHT = ["pickle", "papers", "mop", "weigh", "set", "trim"]

ORDER = OrderAsked(
    name="order",
    title="In which order",
    task=(
        "All is soldered. Put the last steps in order. (The metal is weighed before the stone goes in, so "
        "that metal can be "
        "compared with metal. The mop must not touch the stone.)"
    ),
    items=lambda job: dict(_STEPS),
    first="the first step",
    expected=lambda job: _RIGHT,
    slips=(
        Slip(
            "set before polishing",
            lambda job: ["pickle", "papers", "set", "mop", "weigh", "trim"],
            "You set the stone and then polish. The mop rounds the edges of many stones and fills them "
            "with polish.",
        ),
        Slip(
            "papers before pickling",
            lambda job: ["papers", "pickle", "mop", "weigh", "set", "trim"],
            "You paper over glass of flux: it blunts the paper and hides pits. Pickle first.",
        ),
    ),
    clue="Clean, smooth, bright, weigh, stone, length.",
    working="1. Pickle takes flux and oxide off, so that joints can be seen\n2. Papers, then the mop\n3. "
    "Weigh the metal alone\n"
    "4. The stone, when no more heat or mop comes\n5. Length last: now it can be held to the pattern",
    basis="common practice",
    source="",
    objective="last",
)


# --- heat -----------------------------------------------------------------------------------------------


def _tender(job: JobInHand) -> str:
    return "tender" if find("stones", "gem", job.gem, "a gem")["heat_sensitive"] != "no" else "hardy"


HEAT = ChoiceAsked(
    name="heat",
    title="The customer wants it tighter",
    task=lambda job: (
        f"The {job.gem} is set. Now the solder at the post shows a pit. May you solder it again with the "
        "stone in place?"
    ),
    choices=lambda job: {
        "tender": "no: this stone does not bear the torch; take it out first",
        "hardy": "only as a last resort, warmed and cooled slowly and shielded: the gem bears it, its "
        "flaws may not",
        "water": "yes, if the stone hangs in water meanwhile",
    },
    expected=_tender,
    slips=(
        *(
            Slip(name, lambda job, name=name: None if _tender(job) == name else name, said)  # type: ignore[misc]
            for name, said in (
                (
                    "tender",
                    "Look it up: this gem is one of the few that bear heat. And yet, would you risk it?",
                ),
                ("hardy", "Look it up: this gem cracks, changes colour or bursts when it is heated."),
            )
        ),
        Slip(
            "water",
            lambda job: "water",
            "A wet stone cools the joint, and one side hot and the other cold cracks most gems.",
        ),
    ),
    clue="Look up the gem in the table of stones: does it bear heat?",
    working=lambda job: (
        f"1. The table says of {job.gem}: {find('stones', 'gem', job.gem, 'a gem')['note']}\n2. Whatever "
        "it says: set "
        "the stone last, when no more heat comes"
    ),
    basis="handbook",
    source="International Gem Society tables, as in data/stones.csv",
    objective="last",
)


HEAVY = SymptomAsked(
    name="heavy",
    title="Heavier than its twin",
    task="Every size agrees with the pattern within what a gauge can tell, but the duplicate is clearly "
    "heavier. Where do you look?",
    choices=lambda job: {
        "solder": "at the joints: solder has filled grooves and corners",
        "balance": "at the polish: it adds weight",
        "stone": "at the mark: stamping adds weight",
        "air": "at the weather: damp air is heavier",
    },
    expected=lambda job: "solder",
    slips=(
        Slip("balance", lambda job: "balance", "Polishing takes metal off."),
        Slip("stone", lambda job: "stone", "A stamp pushes metal aside. Nothing is added."),
        Slip(
            "air",
            lambda job: "air",
            "Air carries a millionth of it. Where can metal hide that no gauge reaches?",
        ),
    ),
    clue="Where is metal that you do not measure?",
    working="1. Wires and plate agree, so the weight hides where no gauge reaches\n2. Solder in grooves, "
    "under the crossing, in the "
    "folds\n3. Next time: fewer pallions, cut smaller",
    basis="common practice",
    source="",
    objective="weigh",
)


LESSON = Lesson(
    number="11",
    title="Finish, weigh, set",
    minutes=35,
    objectives={
        "weigh": "weigh part by part, and compare with the pattern",
        "loss": "say what comes back and what is lost",
        "last": "put the last steps in order, and keep heat away from the stone",
    },
    exercises=(TABLE, STONE, BACK, LOST, ORDER, HEAT, HEAVY),
    earlier=("02", "10"),
    stage="weighing",
)
