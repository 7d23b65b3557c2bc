"""Lesson 04, Roll and draw: what a pass takes, when to anneal, how long the stock becomes."""

from course_lib.bench.alloy import alloy_facts
from course_lib.bench.forming import Pass, largest_draft, length_after
from course_lib.bench.refusals import Refused
from course_lib.classroom.exercise import Lesson, Slip, unless_it_is
from course_lib.classroom.filled_tables import Column, TableAsked
from course_lib.classroom.fineness import Step
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.lists import SymptomAsked
from course_lib.classroom.sizes import SizeAsked
from course_lib.classroom.worked import turn, unless_near

FRICTION = 0.1  # of dry steel on metal; from memory
_BOOK = "Groover, Fundamentals of Modern Manufacturing"
_TABLE_ROWS = 5


def strip_run(job: JobInHand) -> tuple[float, tuple[Pass, ...]]:
    """Where the strip starts, in mm, and its passes.

    Raises:
        Refused: this job's strip cannot be rolled.
    """
    run = job.plan().runs["scroll"]
    if len(run) < 2:
        raise Refused("its strip needs fewer than two passes.")
    return job.plan().starts["scroll"], run


def wire_run(job: JobInHand) -> tuple[float, tuple[Pass, ...]]:
    """Where the claw wire starts, in mm, and its passes."""
    run = job.plan().runs["claw"]
    if not run:
        raise Refused("its claw wire needs no drawing.")
    return job.plan().starts["claw"], run


# --- one pass -------------------------------------------------------------------------------------------


def bears(job: JobInHand) -> tuple[float, float, float]:
    """What the alloy bears, in per cent: a pass, a hole, and since its last anneal."""
    facts = alloy_facts(job.alloy)
    return _percent(facts.roll_reduction), _percent(facts.draw_reduction), _percent(facts.anneal_at)


def _first(job: JobInHand) -> tuple[float, float]:
    start, run = strip_run(job)
    return start, run[0].size_mm


def _percent(part: float) -> float:
    return 100 * part


ONE_PASS = SizeAsked(
    name="pass",
    title="What the first pass takes",
    task=lambda job: (
        f"The strip for the scroll is rolled from {_first(job)[0]:.2f} mm. After the first pass it measures "
        f"{_first(job)[1]:.2f} mm. By how much was it reduced, in per cent?"
    ),
    expected=lambda job: _percent(1 - _first(job)[1] / _first(job)[0]),
    unit="percent",
    fineness=Step(0.2, "a hundredth of a millimetre is a few tenths of a per cent here"),
    sample="4.5 %",
    slips=(
        Slip(
            "of the thickness after",
            lambda job: _percent(_first(job)[0] / _first(job)[1] - 1),
            "You divided by the thickness after the pass. A reduction is a part of what was there before.",
        ),
        Slip(
            "of what stays",
            lambda job: _percent(_first(job)[1] / _first(job)[0]),
            "This is what stays. What was taken is the rest to 100 %.",
        ),
        Slip(
            "of the whole way",
            lambda job: unless_near(
                _percent(
                    (_first(job)[0] - _first(job)[1]) / (_first(job)[0] - strip_run(job)[1][-1].size_mm)
                ),
                0.5,
                _percent(1 - _first(job)[1] / _first(job)[0]),
            ),
            "You took it as a part of the whole way to the finished strip. Only this pass counts, against "
            "the thickness before it.",
        ),
    ),
    clue="How much thinner did it get, and which part is that of the thickness before?",
    working=lambda job: (
        f"1. Thinner by {_first(job)[0]:.2f} − {_first(job)[1]:.2f} = "
        f"{_first(job)[0] - _first(job)[1]:.2f} mm\n"
        f"2. Of the thickness before: {_first(job)[0] - _first(job)[1]:.2f} / {_first(job)[0]:.2f} = "
        f"{_percent(1 - _first(job)[1] / _first(job)[0]):.1f} %"
    ),
    basis="handbook",
    source=f"{_BOOK}, 18.1: reduction = draft over starting thickness",
    objective="pass",
    well_done=lambda job: (
        f"As a rule of the trade this alloy bears about {bears(job)[0]:.0f} % a pass. Less takes longer and "
        "works the skin only; more tears the edges."
    ),
)


# --- wire: by area --------------------------------------------------------------------------------------


def _hole(job: JobInHand) -> tuple[float, float]:
    start, run = wire_run(job)
    return start, run[0].size_mm


def _by_area(job: JobInHand) -> float:
    return _percent(1 - (_hole(job)[1] / _hole(job)[0]) ** 2)


WIRE = SizeAsked(
    name="wire",
    title="What one hole takes",
    task=lambda job: (
        f"Wire of {_hole(job)[0]:.2f} mm is drawn through a hole of {_hole(job)[1]:.2f} mm. By how much "
        "is its section (its area) reduced, in per cent?"
    ),
    expected=_by_area,
    unit="percent",
    fineness=Step(0.4, "a hundredth of a millimetre in the hole is some tenths of a per cent"),
    sample="4.5 %",
    slips=(
        Slip(
            "diameter for area",
            lambda job: _percent(1 - _hole(job)[1] / _hole(job)[0]),
            "You compared the diameters. Wire gets thinner both ways at once: compare the areas, which go "
            "with the square of the diameter.",
        ),
        Slip(
            "of the area after",
            lambda job: _percent((_hole(job)[0] / _hole(job)[1]) ** 2 - 1),
            "You divided by the area after the hole. A reduction is a part of what was there before.",
        ),
        Slip(
            "what stays",
            lambda job: _percent((_hole(job)[1] / _hole(job)[0]) ** 2),
            "This is the area that stays. What was taken is the rest to 100 %.",
        ),
    ),
    clue="The area of a round wire goes with the square of its diameter.",
    working=lambda job: (
        f"1. Diameters as a ratio: {_hole(job)[1]:.2f} / {_hole(job)[0]:.2f} = "
        f"{_hole(job)[1] / _hole(job)[0]:.4f}\n"
        f"2. Areas as a ratio: its square, {(_hole(job)[1] / _hole(job)[0]) ** 2:.4f}\n"
        f"3. Taken: 1 − {(_hole(job)[1] / _hole(job)[0]) ** 2:.4f} = {_by_area(job):.1f} %"
    ),
    basis="handbook",
    source=f"{_BOOK}, 18.6.1: reduction of area; a practical limit for wire is 30 % a pass",
    objective="pass",
    well_done=lambda job: _next_but_one(job),
)


def _next_but_one(job: JobInHand) -> str:
    """Whether a hole may be left out."""
    start, run = wire_run(job)
    if len(run) < 2:
        return "Pull it straight through, in one go."
    both = _percent(1 - (run[1].size_mm / start) ** 2)
    said = f"Straight through the hole after that, {run[1].size_mm:.2f} mm, it would be {both:.0f} %. "
    return said + (
        f"This alloy bears about {bears(job)[1]:.0f} % a hole: the wire would tear off at the tongs."
        if both > bears(job)[1]
        else "It may bear that too, if it is soft."
    )


# --- draft ----------------------------------------------------------------------------------------------


def rolls(job: JobInHand) -> float:
    """How far the rolls of a mill are across, in mm; the mill is invented, for each piece another."""
    return (36.0, 40.0, 44.0, 50.0, 56.0, 60.0, 70.0)[turn(job, "plate_thickness", 7)]


def bite(job: JobInHand) -> float:
    """The most that this mill takes in a pass, in mm."""
    return float(largest_draft.plain(FRICTION, rolls(job) / 2))


def _bitten(job: JobInHand) -> str:
    start, first = _first(job)
    said = f"Your first pass wants {start - first:.2f} mm. "
    return said + (
        "This mill bites that. Later passes want less and less, so it will bite them all."
        if start - first <= bite(job)
        else "This mill would slip on it, though the alloy bears it: take it in two goes."
    )


DRAFT = SizeAsked(
    name="draft",
    title="What the mill bites",
    task=lambda job: (
        f"The rolls of a mill are {rolls(job):.0f} mm across, and the friction between steel and metal is "
        f"{FRICTION:g}. The largest draft is friction times friction times the radius of a roll. By how "
        "many millimetres can one pass thin a sheet at most, before the rolls slip?"
    ),
    expected=bite,
    unit="mm",
    fineness=Step(0.01, "friction is known no better than that"),
    sample="1.23 mm",
    slips=(
        Slip(
            "diameter for radius",
            lambda job: 2 * bite(job),
            "You took the whole width of the roll. The radius is half of it.",
        ),
        Slip(
            "friction not squared",
            lambda job: FRICTION * rolls(job) / 2,
            "The friction counts twice: once where the roll takes hold, and once along the arc. Square it.",
        ),
    ),
    clue="Half of what the roll is across, times the friction, and times the friction again.",
    working=lambda job: (
        f"1. Radius: {rolls(job):.0f} / 2 = {rolls(job) / 2:.0f} mm\n2. {FRICTION:g} × {FRICTION:g} × "
        f"{rolls(job) / 2:.0f} = {bite(job):.2f} mm"
    ),
    basis="handbook",
    source=f"{_BOOK}, equation 18.8; the friction from memory",
    objective="pass",
    well_done=_bitten,
)


# --- the table ------------------------------------------------------------------------------------------


def rows_shown(job: JobInHand) -> list[tuple[float, Pass]]:
    """The passes asked for, each with the size it begins at; over an anneal where there is one early."""
    start, run = strip_run(job)
    before = [start, *(p.size_mm for p in run)]
    both = list(zip(before, run, strict=False))
    anneal = next((at for at, p in enumerate(run) if p.anneal_before), 0)
    first = max(0, min(anneal - 2, len(both) - _TABLE_ROWS))
    return both[first : first + _TABLE_ROWS]


def _since(job: JobInHand, reset: bool = True, add: bool = False) -> list[list[float]]:
    """Per cent of this pass, and since the last anneal; with the slips' own sums where asked."""
    rows: list[list[float]] = []
    shown = rows_shown(job)
    soft, added = shown[0][0], 0.0
    first = True
    # what was worked before the rows shown does not count here: the task says that they start soft
    for before, each in shown:
        if each.anneal_before and reset and not first:
            soft, added = before, 0.0
        taken = _percent(1 - each.size_mm / before)
        added += taken
        rows.append([taken, added if add else _percent(1 - each.size_mm / soft)])
        first = False
    return rows


def _table_task(job: JobInHand) -> str:
    lines = [
        f"{'annealed; ' if each.anneal_before and at else ''}from {before:.2f} mm to {each.size_mm:.2f} mm"
        for at, (before, each) in enumerate(rows_shown(job))
    ]
    told = "\n".join(f"- row {at}: {line}" for at, line in enumerate(lines, 1))
    return (
        "Fill the table of these passes. For each, say what it takes of the thickness before it, and how "
        "much the "
        f"strip is worked since its last anneal (it is soft at the start of row 1).\n\n{told}"
    )


def _different(job: JobInHand, other: list[list[float]]) -> list[list[float]] | None:
    mine = _since(job)
    close = all(
        abs(a - b) <= 0.35 for x, y in zip(mine, other, strict=True) for a, b in zip(x, y, strict=True)
    )
    return None if close else other


TABLE = TableAsked(
    name="table",
    title="A run of passes",
    task=_table_task,
    columns=(
        Column("this pass", "percent", Step(0.5, "rounded to half a per cent")),
        Column("since the anneal", "percent", Step(0.5, "rounded to half a per cent")),
    ),
    rows=lambda job: [f"row {at}" for at in range(1, len(rows_shown(job)) + 1)],
    expected=_since,
    slips=(
        Slip(
            "per cents added",
            lambda job: _different(job, _since(job, add=True)),
            "You added the per cents. The second pass takes its part of a strip that is thinner already: "
            "compare the thickness now with the thickness at the last anneal.",
        ),
        Slip(
            "anneal passed over",
            lambda job: _different(job, _since(job, reset=False)),
            "An anneal makes the strip soft again: from there on, count anew.",
        ),
    ),
    clue="Second column: thickness now against thickness at the last anneal. After an anneal it begins anew.",
    working=lambda job: "\n".join(
        f"{at}. 1 − {each.size_mm:.2f} / {before:.2f} = {row[0]:.1f} %; since the anneal {row[1]:.1f} %"
        for at, ((before, each), row) in enumerate(zip(rows_shown(job), _since(job), strict=True), 1)
    ),
    basis="handbook",
    source="cold work from the thickness at the last anneal: Askeland and Phulé, The Science and "
    "Engineering of Materials, example 8.1; the limit of the alloy from memory",
    objective="anneal",
    well_done=lambda job: _how_far(job),
)


def _how_far(job: JobInHand) -> str:
    """From the last anneal in the rows: down to where."""
    shown = rows_shown(job)
    soft = next((before for before, each in reversed(shown) if each.anneal_before), shown[0][0])
    limit = bears(job)[2]
    return (
        f"This alloy is annealed before it is worked {limit:.0f} %. Soft at {soft:.2f} mm, it may go down to "
        f"{soft * (1 - limit / 100):.2f} mm, and no further."
    )


# --- what the fire did ----------------------------------------------------------------------------------

_FIRE = {
    "late": "it was worked too far before the anneal",
    "hot": "it was too hot, or too long at the glow",
    "cold": "the fire did not reach all of it: too short, or in patches",
    "melted": "it began to melt",
}
_SIGNS = {
    "cold": "It is dark with oxide, and yet it springs back when you bend it: at one end more than at the "
    "other.",
    "hot": "It is soft from end to end. But where you bend it, its skin turns rough, like the peel of an "
    "orange.",
    "late": "It is soft from end to end, and its skin is fine. But short cracks run in from both edges, "
    "straight across.",
    "melted": "Its sharp corners have become round, its skin is grey and wrinkled, and where you bend it it "
    "breaks. The break is grainy, like sugar.",
}


def _fire(job: JobInHand) -> str:
    return tuple(_SIGNS)[turn(job, "base_to_girdle", 4)]


def _what_now(job: JobInHand) -> str:
    return {
        "cold": "Nothing is lost: anneal it again, with a larger and softer flame that covers all of it.",
        "hot": "Neither papers nor another heat mend that, for the large crystals go right through. Rolled "
        "well down and annealed once at the right glow, it has small ones again. A part that is at its size "
        "already is made anew.",
        "late": "Saw each crack out to beyond its end, and file the edge smooth. A crack that is left runs "
        "on with every pass, and no heat closes it.",
        "melted": f"That cannot be undone: rolled on, it crumbles. It goes to the refiner. This alloy begins "
        f"to melt at about {alloy_facts(job.alloy).solidus:.0f} °C; your supplier names the glow to stop at, "
        "far below that.",
    }[_fire(job)]


FIRE = SymptomAsked(
    name="fire",
    title="What did the fire do?",
    task=lambda job: (
        f"A strip of {job.alloy} was rolled, annealed, pickled, rinsed and dried. {_SIGNS[_fire(job)]} What "
        "went wrong, most likely?"
    ),
    choices=lambda job: _FIRE,
    expected=_fire,
    slips=(
        unless_it_is(
            _fire,
            "late",
            "Metal that is worked too far tears at its edges, straight across. It does so before it comes to "
            "the fire. What do you see here?",
        ),
        unless_it_is(
            _fire,
            "hot",
            "Too much heat makes the crystals grow. The metal is soft then, but its skin turns rough where "
            "it is bent. What do you see here?",
        ),
        unless_it_is(
            _fire,
            "cold",
            "With too little fire it stays hard, all of it or in places. What do you see here?",
        ),
        unless_it_is(
            _fire,
            "melted",
            "Metal that began to melt has lost its sharp corners and its smooth skin, and it breaks. What do "
            "you see here?",
        ),
    ),
    clue="Is it soft? Is its skin fine? Are its edges and corners whole? Ask in this order.",
    working=lambda job: (
        f"1. What is seen: {_SIGNS[_fire(job)]}\n"
        "2. Still hard: too little fire. Soft with a rough skin: too much. Corners gone: it melted. Soft, "
        "fine, but torn at the edges: worked too far before\n"
        f"3. So {_FIRE[_fire(job)]}"
    ),
    basis="common practice",
    source="",
    objective="anneal",
    well_done=_what_now,
)


# --- length ---------------------------------------------------------------------------------------------


def piece(job: JobInHand) -> float:
    """So many millimetres of wire are drawn; for each piece others."""
    return (12.0, 15.0, 18.0, 20.0, 25.0)[turn(job, "claw_wire", 5)]


def _grows(job: JobInHand) -> float:
    start, run = wire_run(job)
    return float(length_after.plain(piece(job), start**2, run[-1].size_mm ** 2))


LENGTH = SizeAsked(
    name="length",
    title="How long it becomes",
    task=lambda job: (
        f"You cut {piece(job):.0f} mm of the {wire_run(job)[0]:.2f} mm wire and draw it down to "
        f"{wire_run(job)[1][-1].size_mm:.2f} mm. Nothing is lost. How long is it then?"
    ),
    expected=_grows,
    unit="mm",
    fineness=Step(1, "the ends are never quite square"),
    sample="345 mm",
    slips=(
        Slip(
            "diameters for areas",
            lambda job: piece(job) * wire_run(job)[0] / wire_run(job)[1][-1].size_mm,
            "You went by the diameters. The metal fills length times area, and the area goes with the "
            "square.",
        ),
        Slip(
            "shorter",
            lambda job: piece(job) * (wire_run(job)[1][-1].size_mm / wire_run(job)[0]) ** 2,
            "Drawn wire gets thinner, so it gets longer.",
        ),
        Slip(
            "as it was",
            piece,
            "The metal that leaves the thickness must go somewhere: into the length.",
        ),
    ),
    clue="Length times area stays the same.",
    working=lambda job: (
        f"1. The area gets smaller by ({wire_run(job)[0]:.2f} / {wire_run(job)[1][-1].size_mm:.2f})² = "
        f"{_grows(job) / piece(job):.2f} times\n2. So the length grows as often: {piece(job):.0f} × "
        f"{_grows(job) / piece(job):.2f} = "
        f"{_grows(job):.0f} mm"
    ),
    basis="handbook",
    source=f"volume stays the same: {_BOOK}, example 3.2",
    objective="length",
    well_done=lambda job: (
        f"Turn it round: for so much thin wire you cut only {piece(job):.0f} mm from the drawer, and what "
        "the point and the tongs need."
    ),
)


# --- why it curves --------------------------------------------------------------------------------------

_CURVES = {
    "right": "the rolls stand closer together on your right",
    "marked": "the strip itself is thicker along its marked edge",
    "hard": "the strip is too hard",
    "left": "the rolls stand closer together on your left",
    "plain": "the strip itself is thicker along its other edge",
}
_SEEN = {
    "right": "Every time it comes out curved to your left: once towards the mark, once away from it.",
    "plain": "Every time it comes out curved towards the mark: once to your left, once to your right.",
    "left": "Every time it comes out curved to your right: once towards the mark, once away from it.",
    "marked": "Every time it comes out curved away from the mark: once to your left, once to your right.",
}


def _curved(job: JobInHand) -> str:
    return tuple(_SEEN)[turn(job, "strip_width", 4)]


def _is_mill(job: JobInHand) -> bool:
    return _curved(job) in ("right", "left")


CURVE = SymptomAsked(
    name="curve",
    title="The strip curves",
    task=lambda job: (
        "You mark one edge of the strip with a felt pen, and roll it, away from you. It lies flat on the "
        "table, but it is curved to one side. You straighten it, turn it end for end with the same face up, "
        f"roll it again, and so on. {_SEEN[_curved(job)]} Why?"
    ),
    choices=lambda job: _CURVES,
    expected=_curved,
    slips=(
        unless_it_is(
            _curved,
            "right",
            "Rolls that stand closer on your right make the right edge longer, and the strip curves to your "
            "left, wherever the mark lies. What does it do here?",
        ),
        unless_it_is(
            _curved,
            "left",
            "Rolls that stand closer on your left make the left edge longer, and the strip curves to your "
            "right, wherever the mark lies. What does it do here?",
        ),
        unless_it_is(
            _curved,
            "marked",
            "A strip that is thicker along the mark gets longer there, and curves away from the mark, on "
            "whichever side the mark lies. What does it do here?",
        ),
        unless_it_is(
            _curved,
            "plain",
            "A strip that is thicker along its other edge gets longer there, and curves towards the mark, on "
            "whichever side the mark lies. What does it do here?",
        ),
        Slip("hard", lambda job: "hard", "A hard strip cracks at its edges; it does not choose a side."),
    ),
    clue="Does the curve stay with the mill, or does it go with the mark? And which edge has become longer?",
    working=lambda job: (
        f"1. {_SEEN[_curved(job)]} So it stays with the {'mill' if _is_mill(job) else 'strip'}\n"
        "2. It curves away from the edge that has become longer, and longer is what was thinned more\n"
        f"3. So {_CURVES[_curved(job)]}"
    ),
    basis="common practice",
    source="",
    objective="straight",
    well_done=lambda job: (
        "Set both ends of the rolls alike: roll two bits of one soft wire, one at each end of the rolls, and "
        "gauge them. Then anneal the strip, and pull it straight."
        if _is_mill(job)
        else "Level rolls make it even after a few passes, and each curves it less. Gauge both edges before "
        "the first pass next time. Then anneal the strip, and pull it straight."
    ),
)


LESSON = Lesson(
    number="04",
    title="Roll and draw",
    minutes=40,
    objectives={
        "pass": "say what a pass or a hole takes, and what a mill can take",
        "anneal": "say how far metal may be worked, and see what the fire did",
        "length": "say how long the stock becomes",
        "straight": "see why a strip curves, and mend it",
    },
    exercises=(ONE_PASS, WIRE, DRAFT, TABLE, FIRE, LENGTH, CURVE),
    earlier=("03",),
    stage="forming",
)
