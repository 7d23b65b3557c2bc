"""Lesson 04, Roll and draw: what a pass takes, when to anneal, how long the stock becomes."""

import math

from course_lib.bench.alloy import alloy_facts
from course_lib.bench.forming import Pass, largest_draft, length_after
from course_lib.bench.refusals import Refused
from course_lib.classroom.exercise import Lesson, Slip, unless_near
from course_lib.classroom.filled_tables import Column, TableAsked
from course_lib.classroom.fineness import Step
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.lists import SymptomAsked
from course_lib.classroom.sizes import NumberAsked, SizeAsked

PIECE = 20.0  # mm of wire to draw
ROLL_ACROSS, FRICTION = 50.0, 0.1  # mm, and steel on metal nearly dry
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
            "the "
            "thickness before it.",
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
        "is its "
        "section (its area) reduced, in per cent?"
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
            "with the "
            "square of the diameter.",
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
    told = "\n".join(f"row {at}: {line}" for at, line in enumerate(lines, 1))
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
            "compare the "
            "thickness now with the thickness at the last anneal.",
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
    "Engineering of "
    "Materials, example 8.1",
    objective="anneal",
)


# --- length ---------------------------------------------------------------------------------------------


def _grows(job: JobInHand) -> float:
    start, run = wire_run(job)
    return float(length_after.plain(PIECE, start**2, run[-1].size_mm ** 2))


LENGTH = SizeAsked(
    name="length",
    title="How long it becomes",
    task=lambda job: (
        f"You cut {PIECE:.0f} mm of the {wire_run(job)[0]:.2f} mm wire and draw it down to "
        f"{wire_run(job)[1][-1].size_mm:.2f} mm. Nothing is lost. How long is it then?"
    ),
    expected=_grows,
    unit="mm",
    fineness=Step(1, "the ends are never quite square"),
    sample="45 mm",
    slips=(
        Slip(
            "diameters for areas",
            lambda job: PIECE * wire_run(job)[0] / wire_run(job)[1][-1].size_mm,
            "You went by the diameters. The metal fills length times area, and the area goes with the "
            "square.",
        ),
        Slip(
            "shorter",
            lambda job: PIECE * (wire_run(job)[1][-1].size_mm / wire_run(job)[0]) ** 2,
            "Drawn wire gets thinner, so it gets longer.",
        ),
        Slip(
            "as it was",
            lambda job: PIECE,
            "The metal that leaves the thickness must go somewhere: into the length.",
        ),
    ),
    clue="Length times area stays the same.",
    working=lambda job: (
        f"1. The area gets smaller by ({wire_run(job)[0]:.2f} / {wire_run(job)[1][-1].size_mm:.2f})² = "
        f"{_grows(job) / PIECE:.2f} times\n2. So the length grows as often: {PIECE:.0f} × "
        f"{_grows(job) / PIECE:.2f} = "
        f"{_grows(job):.0f} mm"
    ),
    basis="handbook",
    source=f"volume stays the same: {_BOOK}, example 3.2",
    objective="length",
    well_done="So you cut only a few millimetres from the drawer, and what you need for the tongs.",
)


# --- anneals --------------------------------------------------------------------------------------------


def _fewest_anneals(job: JobInHand) -> int:
    start, run = strip_run(job)
    way = math.log(start / run[-1].size_mm)
    return max(0, math.ceil(way / -math.log1p(-alloy_facts(job.alloy).anneal_at) - 1e-9) - 1)


def _added_up(job: JobInHand) -> float | None:
    """Anneals if the per cents of the passes were added."""
    total = sum(p.reduction for p in strip_run(job)[1])
    found = math.ceil(total / alloy_facts(job.alloy).anneal_at - 1e-9) - 1
    return unless_near(float(found), 0.5, float(_fewest_anneals(job)), float(_fewest_anneals(job) + 1))


ANNEALS = NumberAsked(
    name="anneals",
    title="How often to anneal",
    task=lambda job: (
        f"The strip goes from {strip_run(job)[0]:.2f} mm to {strip_run(job)[1][-1].size_mm:.2f} mm. This "
        "alloy is to be "
        f"annealed before it is worked more than {100 * alloy_facts(job.alloy).anneal_at:.0f} % since the "
        "last anneal. "
        "It is soft at the start. How many anneals does it need on the way, at the least?"
    ),
    counted="anneals",
    expected=_fewest_anneals,
    slips=(
        Slip(
            "one after the last pass",
            lambda job: _fewest_anneals(job) + 1,
            "You annealed once more than needed. After the last pass the strip must stay hard, or it does "
            "not spring.",
        ),
        Slip(
            "per cents added",
            _added_up,
            "You added the per cents of the passes. Compare thicknesses: how far down may one run go?",
        ),
        Slip(
            "an anneal a pass",
            lambda job: unless_near(
                float(len(strip_run(job)[1])),
                0.5,
                _fewest_anneals(job),
                _fewest_anneals(job) + 1,
                _added_up(job) or -1,
            ),
            "That is an anneal for each pass. Metal bears several passes.",
        ),
    ),
    clue="To which thickness may the first run go? And the next one from there? Go on until you are through.",
    working=lambda job: _anneal_steps(job),
    basis="handbook",
    source="cold work 1 − t/t0: Askeland and Phulé, example 8.1; the limit of the alloy from memory",
    objective="anneal",
)


def _anneal_steps(job: JobInHand) -> str:
    start, run = strip_run(job)
    limit, finish, now, lines = alloy_facts(job.alloy).anneal_at, run[-1].size_mm, start, []
    while now * (1 - limit) > finish * (1 + 1e-9):
        lines.append(f"{now:.2f} mm may go down to {now * (1 - limit):.2f} mm: then anneal")
        now *= 1 - limit
    lines.append(f"from {now:.2f} mm it reaches {finish:.2f} mm within the limit")
    lines.append(f"anneals on the way: {_fewest_anneals(job)}")
    return "\n".join(f"{at}. {line}" for at, line in enumerate(lines, 1))


# --- draft ----------------------------------------------------------------------------------------------

DRAFT = SizeAsked(
    name="draft",
    title="What the mill bites",
    task=(
        f"The rolls of a small mill are {ROLL_ACROSS:.0f} mm across, and the friction between steel and "
        "metal is "
        f"{FRICTION:g}. By how many millimetres can one pass thin a sheet at most, before the rolls slip?"
    ),
    expected=lambda job: largest_draft.plain(FRICTION, ROLL_ACROSS / 2),
    unit="mm",
    fineness=Step(0.02, "friction is known no better than that"),
    slips=(
        Slip(
            "diameter for radius",
            lambda job: largest_draft.plain(FRICTION, ROLL_ACROSS),
            "You took the diameter of the rolls. The formula asks for the radius.",
        ),
        Slip(
            "friction not squared",
            lambda job: FRICTION * ROLL_ACROSS / 2,
            "The friction counts twice: once where the roll takes hold, and once along the arc. Square it.",
        ),
    ),
    clue="Largest draft = friction × friction × radius of the roll.",
    working=(
        f"1. Radius: {ROLL_ACROSS:.0f} / 2 = {ROLL_ACROSS / 2:.0f} mm\n2. {FRICTION:g} × {FRICTION:g} × "
        f"{ROLL_ACROSS / 2:.0f} = {FRICTION**2 * ROLL_ACROSS / 2:.2f} mm"
    ),
    basis="handbook",
    source=f"{_BOOK}, equation 18.8",
    objective="pass",
    well_done="Oil on the rolls makes this smaller: wipe them dry.",
)


BANANA = SymptomAsked(
    name="curve",
    title="The strip curves to the left",
    task="Each time it goes through the mill, the strip comes out curved to the left, flat on the table. "
    "Why?",
    choices=lambda job: {
        "askew": "the rolls stand closer together on the right",
        "hard": "the strip is too hard",
        "thick": "the pass takes too little",
        "upper": "the upper roll turns faster than the lower",
    },
    expected=lambda job: "askew",
    slips=(
        Slip("hard", lambda job: "hard", "A hard strip cracks at its edges; it does not choose a side."),
        Slip("thick", lambda job: "thick", "A light pass leaves it straight. Which side has become longer?"),
        Slip("upper", lambda job: "upper", "Then it would curl up or down, not to one side."),
    ),
    clue="It curves to the left, so its right edge has become longer. What makes an edge longer?",
    working="1. The right edge was thinned more, and so became longer\n2. So the gap is smaller on the "
    "right: set the two "
    "screws alike, and feed the strip in the middle\n3. A curved strip is drawn straight between two pins "
    "when it is soft",
    basis="common practice",
    source="",
    objective="straight",
)


LESSON = Lesson(
    number="04",
    title="Roll and draw",
    minutes=40,
    objectives={
        "pass": "say what a pass or a hole takes, and what a mill can take",
        "anneal": "say when to anneal",
        "length": "say how long the stock becomes",
        "straight": "see why a strip curves, and mend it",
    },
    exercises=(ONE_PASS, WIRE, TABLE, ANNEALS, LENGTH, DRAFT, BANANA),
    earlier=("03",),
    stage="forming",
)
