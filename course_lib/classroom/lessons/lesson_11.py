"""Lesson 11, Finish, weigh, set: weights against the pattern, where the metal went, and what comes last."""

import math

from course_lib.bench.alloy import alloy_facts
from course_lib.bench.job import metal_without_solder
from course_lib.bench.lemel import loss_budget
from course_lib.bench.post import wire_volume
from course_lib.bench.tables import find
from course_lib.classroom.exercise import Lesson, Slip, unless_it_is
from course_lib.classroom.filled_tables import Column, TableAsked
from course_lib.classroom.fineness import Step
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.lists import ChoiceAsked, OrderAsked, SymptomAsked
from course_lib.classroom.sizes import SizeAsked
from course_lib.classroom.worked import turn

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
    well_done=lambda job: (
        "Weigh each part before it is soldered on: that is the last time it lies on the pan alone. A claw "
        f"wire one hundredth of a millimetre too thick makes the claws {_heavier(job, 0.01):.3f} g too heavy."
    ),
)


def _heavier(job: JobInHand, thicker: float) -> float:
    """How much heavier the claws are with a wire that is so much thicker, in g."""
    wire = job.readings["claw_wire"].value
    return _weights(job)[1][0] * (((wire + thicker) / wire) ** 2 - 1)


# --- stone ----------------------------------------------------------------------------------------------


def _carats(job: JobInHand) -> float:
    return round(job.plan().plain("stone_carat"), 2)


def _across(job: JobInHand) -> float:
    return job.readings["stone_diameter"].value


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
    well_done=lambda job: (
        "By its sizes that is good to a few per cent only: cuts differ. Weigh the stone before you set it. "
        f"One of {_across(job):.2f} mm that is a tenth of a millimetre wider, and cut alike, is "
        f"{100 * ((1 + 0.1 / _across(job)) ** 3 - 1):.0f} % heavier."
    ),
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


def _rest(job: JobInHand) -> float:
    return taken(job) - leaves(job)


LOST = SizeAsked(
    name="lost",
    title="What is lost",
    task=lambda job: (
        f"{taken(job):.3f} g were taken from the drawer, and {leaves(job):.3f} g of them are in the piece. "
        f"Of the rest, bench skin and boxes keep {100 * _kept(job):.0f} %: offcuts and lemel, which come "
        "back. How much of what was taken is lost, in per cent?"
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
            lambda job: 100 * _rest(job) / taken(job),
            "That is all that is not in the piece. Most of it came back.",
        ),
        Slip(
            "what comes back",
            lambda job: 100 * _loss(job)[0] / taken(job),
            "That part comes back. The question is what nobody finds again.",
        ),
        Slip(
            "of all that was taken",
            lambda job: 100 * (1 - _kept(job)),
            "You took that part of everything. What is in the piece cannot fall on the floor: it is a part "
            "of the rest only.",
        ),
    ),
    clue="First: what is not in the piece? Which part of that does not come back? Compare it with what was "
    "taken.",
    working=lambda job: (
        f"1. Not in the piece: {taken(job):.3f} − {leaves(job):.3f} = {_rest(job):.3f} g\n"
        f"2. Of that {100 * _kept(job):.0f} % come back: {_loss(job)[0]:.3f} g. Lost: {_loss(job)[1]:.3f} g\n"
        f"3. Of what was taken: {_loss(job)[1]:.3f} / {taken(job):.3f} = "
        f"{100 * _loss(job)[1] / taken(job):.1f} %"
    ),
    basis="common practice",
    source="",
    objective="loss",
    well_done=lambda job: (
        f"That is {_loss(job)[1]:.3f} g. In ten such jobs as much is lost as "
        f"{10 * _loss(job)[1] / _weights(job)[2][0]:.0f} posts weigh. Sweep after each job, weigh what you "
        "sweep, and after ten jobs you know your own figure."
    ),
)


# --- order ----------------------------------------------------------------------------------------------

_STEPS = {
    "mop": "polish",
    "set": "set the stone",
    "trim": "trim the post against the pattern, and round its tip",
    "pickle": "pickle, rinse and look at every joint",
    "papers": "go through the last papers",
    "weigh": "weigh it, and compare with the pattern",
}
_RIGHT = ["pickle", "papers", "mop", "set", "trim", "weigh"]


def spare_weight(job: JobInHand) -> float:
    """What the spare end of the post weighs, in g."""
    wire, spare = job.readings["post_wire"].value, job.choices["post_spare"]
    return float(wire_volume.plain(wire, spare)) * _density(job) / 1000


ORDER = OrderAsked(
    name="order",
    title="In which order",
    task="All is soldered. Put the last steps in order. (The pattern is weighed with its stone, and the mop "
    "must not touch a stone.)",
    items=lambda job: dict(_STEPS),
    first="the first step",
    expected=lambda job: _RIGHT,
    slips=(
        Slip(
            "set before polishing",
            lambda job: ["pickle", "papers", "set", "mop", "trim", "weigh"],
            "You set the stone and then polish. The mop rounds the edges of many stones and fills them "
            "with polish.",
        ),
        Slip(
            "papers before pickling",
            lambda job: ["papers", "pickle", "mop", "set", "trim", "weigh"],
            "You paper over glass of flux: it blunts the paper and hides pits. Pickle first.",
        ),
        Slip(
            "weighed before trimming",
            lambda job: ["pickle", "papers", "mop", "set", "weigh", "trim"],
            "You weigh it while the spare end of the post is still on. The pattern has none.",
        ),
        Slip(
            "weighed without its stone",
            lambda job: ["pickle", "papers", "mop", "weigh", "set", "trim"],
            "You weigh it without its stone and with the spare end of its post. The pattern was weighed "
            "with a stone and without a spare end.",
        ),
    ),
    clue="Clean, smooth, bright, stone, length. And when is it just like what it is compared with?",
    working="1. Pickle takes flux and oxide off, so that joints can be seen\n2. Papers, then the mop\n3. "
    "The stone, when no more heat or mop comes\n"
    "4. Length: now it can be held to the pattern\n5. Weigh last, when it is just like the pattern",
    basis="common practice",
    source="",
    objective="last",
    well_done=lambda job: (
        f"The spare end of the post alone weighs {spare_weight(job):.3f} g: weighed too early, that is what "
        "the duplicate seems to be too heavy by."
    ),
)


# --- setting --------------------------------------------------------------------------------------------


def first_claw(job: JobInHand) -> int:
    """The claw that was pushed first; for each piece another."""
    return 1 + turn(job, "base_to_girdle", job.claws)


def _claw_on(job: JobInHand, steps: int) -> int:
    return (first_claw(job) - 1 + steps) % job.claws + 1


def _next_claws(job: JobInHand) -> dict[str, str]:
    first, beside = first_claw(job), _claw_on(job, 1)
    ways = {
        "round": f"claw {beside}, its neighbour, then on round the stone, each until it lies tight",
        "home": f"claw {first} again, until it lies tight on the stone",
    }
    across = f"claw {beside}, just as little, then the others in turn"
    if job.claws % 2 == 0:
        across = f"claw {_claw_on(job, job.claws // 2)}, just as little"
    listed = list((ways | {"across": across}).items())
    # no letter is the right one on every piece
    start = first_claw(job) % len(listed)
    return dict(listed[start:] + listed[:start])


CLAWS = ChoiceAsked(
    name="claws",
    title="Which claw next?",
    task=lambda job: (
        f"The {job.claws} claws are numbered round the stone, as in the picture. The stone lies level on its "
        f"seats. You have pushed claw {first_claw(job)} a little over its edge. Which one next, and how far?"
    ),
    choices=_next_claws,
    expected=lambda job: "across",
    slips=(
        Slip(
            "round",
            lambda job: "round",
            "Tight claws on one side lift the stone on the other side. It stands askew, and a claw that lies "
            "tight no longer lets it go back.",
        ),
        Slip(
            "home",
            lambda job: "home",
            "One claw that is tight alone presses its side of the stone down, and the far side comes up. "
            "Then the stone leans on one point of its seat, and there it chips.",
        ),
    ),
    clue="What keeps the stone level while it is pressed down?",
    working=lambda job: (
        f"1. Claw {first_claw(job)} presses its side down\n2. "
        + (
            f"Straight across stands claw {_claw_on(job, job.claws // 2)}: as little there, and it is level "
            "again"
            if job.claws % 2 == 0
            else f"Of {job.claws} claws none stands straight across: a little on each in turn keeps it level"
        )
        + "\n3. Then all again, and again, each time a little more"
    ),
    basis="common practice",
    source="",
    objective="last",
    well_done=lambda job: (
        "Look from the side after each round: the girdle must stay as level as the ring. Tight is when a "
        f"thread drawn over all {job.claws} claws does not catch, and the stone does not tick when you tap "
        "it."
    ),
)


# --- heat -----------------------------------------------------------------------------------------------


def _tender(job: JobInHand) -> str:
    return "tender" if find("stones", "gem", job.gem, "a gem")["heat_sensitive"] != "no" else "hardy"


HEAT = ChoiceAsked(
    name="heat",
    title="A pit, seen too late",
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
            unless_it_is(_tender, name, said)
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
        "it says: set the stone last, when no more heat comes"
    ),
    basis="handbook",
    source="International Gem Society tables, as in data/stones.csv",
    objective="last",
    well_done=lambda job: (
        f"To take it out, {job.claws} claws are opened and closed once more, and a claw that is bent to and "
        "fro gets hard, and cracks in the end. A look after the pickle would have cost a minute."
    ),
)


# --- what the balance says ------------------------------------------------------------------------------

_CAUSES = {
    "wet": "water sits in its grooves",
    "solder": "solder has filled its grooves and corners",
    "thin": "papers and mop took too much off its wires",
    "zero": "the balance did not stand at nought",
    "spare": "its post is still too long",
}


def _told(job: JobInHand) -> str:
    return {
        "solder": "The duplicate is dry, and clearly heavier than the pattern. Every size agrees within "
        "what a gauge can tell, and so does the zero. But where the pattern's wires meet in a crisp line, "
        "those of the duplicate meet in a soft, round hollow.",
        "wet": "The duplicate is heavier than the pattern. You leave it on the pan, and the figure falls: "
        "one step of the balance, and after a while another.",
        "zero": "The duplicate is heavier than the pattern was last week. You weigh the pattern again, and "
        "it is heavier than last week, too, by as much.",
        "spare": f"The duplicate is {spare_weight(job):.3f} g heavier than the pattern, each time. All "
        "gauges agree, and its joints are crisp. But laid side by side, one reaches further than the other.",
        "thin": "The duplicate is lighter than the pattern, each time. Its joints are crisp, and its post "
        "is right. But the gauge finds ring and claws too small, at every place.",
    }[_why(job)]


def _why(job: JobInHand) -> str:
    return tuple(_CAUSES)[turn(job, "plate_thickness", len(_CAUSES))]


def _too_light(job: JobInHand) -> float:
    """What ring and claws lose, in g, when their wires lose a hundredth of a millimetre."""
    ring, claws = (job.readings[key].value for key in ("ring_wire", "claw_wire"))
    of_ring, of_claws = _weights(job)[0][0], _weights(job)[1][0]
    return of_ring * (1 - (1 - 0.01 / ring) ** 2) + of_claws * (1 - (1 - 0.01 / claws) ** 2)


def _what_then(job: JobInHand) -> str:
    bead = math.pi / 6 * _density(job) / 1000
    return {
        "solder": f"A bead of it one millimetre across weighs about {bead:.3f} g. With a fine scraper some "
        "of it comes out again; next time fewer pallions, cut smaller.",
        "wet": "A drop one millimetre across is half a thousandth of a gram. Rinse in hot water, dry it in "
        "warm air, let it cool, and weigh when the figure stands still.",
        "zero": "Empty the pan, set it to nought, and weigh pattern, duplicate and pattern again. What the "
        "balance is off is then off on all three.",
        "spare": f"The spare end of {job.choices['post_spare']:.1f} mm weighs just that. Trim it beside the "
        "pattern, round the tip, and weigh again.",
        "thin": f"One hundredth of a millimetre off these wires is {_too_light(job):.3f} g. Nobody puts that "
        "back. Gauge between two papers: that is when you can still stop.",
    }[_why(job)]


HEAVY = SymptomAsked(
    name="heavy",
    title="What does the balance say?",
    task=lambda job: (
        "Pattern and duplicate are weighed on one balance, each with its stone and without its nut. "
        f"{_told(job)} Why, most likely?"
    ),
    choices=lambda job: _CAUSES,
    expected=_why,
    slips=(
        unless_it_is(_why, "wet", "Water dries: the weight falls while it lies on the pan. Does it here?"),
        unless_it_is(
            _why,
            "solder",
            "Solder fills what should be crisp, and no gauge reaches in there. What do the joints look like "
            "here?",
        ),
        unless_it_is(
            _why, "thin", "What papers take makes it lighter, and a gauge finds it. Is that so here?"
        ),
        unless_it_is(
            _why,
            "zero",
            "A balance that does not stand at nought adds as much to everything it weighs, to the pattern "
            "too. Was the pattern weighed with it again here?",
        ),
        unless_it_is(
            _why,
            "spare",
            "A post that is too long is always heavier by the same, and its length shows it beside the "
            "pattern. Is that so here?",
        ),
    ),
    clue="Is it heavier or lighter? Does the figure stand still? Do the pattern, the gauge and the joints "
    "say more?",
    working=lambda job: (
        f"1. What is seen: {_told(job)}\n"
        "2. A figure that falls: water. The pattern heavier, too: the zero. Round joints: solder. Small "
        "wires: the papers. Crisp, and longer: the post\n"
        f"3. So {_CAUSES[_why(job)]}"
    ),
    basis="common practice",
    source="",
    objective="weigh",
    well_done=_what_then,
)


LESSON = Lesson(
    number="11",
    title="Finish, weigh, set",
    minutes=40,
    objectives={
        "weigh": "weigh part by part, and say why a weight differs",
        "loss": "say what is lost on the way",
        "last": "put the last steps in order, set the stone level, and keep heat away from it",
    },
    exercises=(TABLE, STONE, LOST, ORDER, HEAT, CLAWS, HEAVY),
    earlier=("02", "10"),
    stage="weighing",
)
