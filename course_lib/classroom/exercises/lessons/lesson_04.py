"""Lesson 04, Roll and draw: what a pass takes, when to anneal, how long the stock becomes."""

from course_lib.bench.alloy import alloy_facts
from course_lib.bench.forming import Pass, largest_draft, length_after
from course_lib.bench.refusals import Refused
from course_lib.classroom.exercises.worked import Worked, say, turn, unless_near
from course_lib.classroom.pieces.job_in_hand import JobInHand

FRICTION = 0.1  # of dry steel on metal; from memory
_ROLLS = (36.0, 40.0, 44.0, 50.0, 56.0, 60.0, 70.0)  # mm across; invented
_PIECES = (12.0, 15.0, 18.0, 20.0, 25.0)  # mm of wire; invented
_TABLE_ROWS = 5
_FIRES = ("cold", "hot", "late", "melted")
_CURVES = ("right", "plain", "left", "marked")


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
    """Where the claw wire starts, in mm, and its passes.

    Raises:
        Refused: the wire needs no drawing.
    """
    run = job.plan().runs["claw"]
    if not run:
        raise Refused("its claw wire needs no drawing.")
    return job.plan().starts["claw"], run


def work_pass(job: JobInHand) -> Worked:
    """What the first pass takes, in per cent of the thickness before."""
    before, run = strip_run(job)
    after = run[0].size_mm
    thinner, reduction = before - after, 100 * (1 - after / before)
    return Worked(
        reduction,
        {
            "of the thickness after": 100 * (before / after - 1),
            "of what stays": 100 * (after / before),
            "of the whole way": unless_near(100 * (thinner / (before - run[-1].size_mm)), 0.5, reduction),
        },
        {
            "before": before,
            "after": after,
            "thinner": thinner,
            "reduction": reduction,
            "bears": 100 * alloy_facts(job.alloy).roll_reduction,
        },
    )


def work_wire(job: JobInHand) -> Worked:
    """What the first hole takes, in per cent of the area; and whether the hole after it will do at once."""
    wire, run = wire_run(job)
    hole, next_hole = run[0].size_mm, run[min(1, len(run) - 1)].size_mm
    areas = (hole / wire) ** 2
    both_holes, bears = 100 * (1 - (next_hole / wire) ** 2), 100 * alloy_facts(job.alloy).draw_reduction
    return Worked(
        100 * (1 - areas),
        {
            "diameter for area": 100 * (1 - hole / wire),
            "of the area after": 100 * ((wire / hole) ** 2 - 1),
            "what stays": 100 * areas,
        },
        {
            "wire": wire,
            "hole": hole,
            "next_hole": next_hole,
            "diameters": hole / wire,
            "areas": areas,
            "reduction": 100 * (1 - areas),
            "both_holes": both_holes,
            "bears": bears,
        },
        way="one_hole" if len(run) < 2 else "tears" if both_holes > bears else "may_hold",
    )


def rolls(job: JobInHand) -> float:
    """How far the rolls of a mill are across, in mm: for each piece another mill."""
    return _ROLLS[turn(job, "plate_thickness", len(_ROLLS))]


def bite(job: JobInHand) -> float:
    """The most that this mill takes in a pass, in mm."""
    return float(largest_draft.plain(FRICTION, rolls(job) / 2))


def work_draft(job: JobInHand) -> Worked:
    """The most that a mill takes in a pass, in mm; and whether it bites the first pass."""
    (start, run), radius, most = strip_run(job), rolls(job) / 2, bite(job)
    wanted = start - run[0].size_mm
    return Worked(
        most,
        {"diameter for radius": 2 * most, "friction not squared": FRICTION * radius},
        {"rolls": rolls(job), "radius": radius, "friction": FRICTION, "bite": most, "wanted": wanted},
        way="bites" if wanted <= most else "slips",
    )


def rows_shown(job: JobInHand) -> list[tuple[float, Pass]]:
    """The passes asked for, each with the size it begins at; over an anneal where there is one early."""
    start, run = strip_run(job)
    both = list(zip([start, *(each.size_mm for each in run)], run, strict=False))
    anneal = next((at for at, each in enumerate(run) if each.anneal_before), 0)
    first = max(0, min(anneal - 2, len(both) - _TABLE_ROWS))
    return both[first : first + _TABLE_ROWS]


def _percents(job: JobInHand, reset: bool = True, add: bool = False) -> list[list[float]]:
    """Per cent of each pass, and since the last anneal; with the slips' own sums where asked."""
    rows: list[list[float]] = []
    # what was worked before the rows shown does not count here: the task says that they start soft
    soft, added = rows_shown(job)[0][0], 0.0
    for before, each in rows_shown(job):
        if each.anneal_before and reset and rows:
            soft, added = before, 0.0
        taken = 100 * (1 - each.size_mm / before)
        added += taken
        rows.append([taken, added if add else 100 * (1 - each.size_mm / soft)])
    return rows


def _unless_alike(other: list[list[float]], right: list[list[float]]) -> list[list[float]] | None:
    apart = (abs(a - b) for x, y in zip(other, right, strict=True) for a, b in zip(x, y, strict=True))
    return other if max(apart) > 0.35 else None


def work_table(job: JobInHand) -> Worked:
    """What each pass takes, and how much the strip is worked since its anneal, in per cent."""
    shown, right, limit = rows_shown(job), _percents(job), 100 * alloy_facts(job.alloy).anneal_at
    soft = next((before for before, each in reversed(shown) if each.anneal_before), shown[0][0])
    rows = [
        {"row": row, "before": before, "after": each.size_mm, "this_pass": this_pass, "since": since}
        for row, ((before, each), (this_pass, since)) in enumerate(zip(shown, right, strict=True), 1)
    ]
    return Worked(
        right,
        {
            "per cents added": _unless_alike(_percents(job, add=True), right),
            "anneal passed over": _unless_alike(_percents(job, reset=False), right),
        },
        {
            "passes": [
                say("annealed_first" if each.anneal_before and row["row"] > 1 else "one_pass", **row)
                for (_, each), row in zip(shown, rows, strict=True)
            ],
            "sums": [say("sum", **row) for row in rows],
            "limit": limit,
            "soft": soft,
            "least": soft * (1 - limit / 100),
        },
        shown=[str(row["row"]) for row in rows],
    )


def work_fire(job: JobInHand) -> Worked:
    """What the fire did to a strip: for each piece something else."""
    fault = _FIRES[turn(job, "base_to_girdle", len(_FIRES))]
    holes = {"alloy": job.alloy, "begins_to_melt": alloy_facts(job.alloy).solidus}
    return Worked(fault, holes=holes, way=fault)


def piece(job: JobInHand) -> float:
    """So many millimetres of wire are drawn: for each piece others."""
    return _PIECES[turn(job, "claw_wire", len(_PIECES))]


def work_length(job: JobInHand) -> Worked:
    """How long a piece of wire becomes, in mm."""
    (thick, run), cut = wire_run(job), piece(job)
    thin = run[-1].size_mm
    length = float(length_after.plain(cut, thick**2, thin**2))
    return Worked(
        length,
        {
            "diameters for areas": cut * thick / thin,
            "shorter": cut * (thin / thick) ** 2,
            "as it was": cut,
        },
        {"piece": cut, "thick": thick, "thin": thin, "times": length / cut, "length": length},
    )


def work_curve(job: JobInHand) -> Worked:
    """Why a strip curves: for each piece another cause."""
    cause = _CURVES[turn(job, "strip_width", len(_CURVES))]
    return Worked(cause, way=cause)
