"""The job step by step, in the order of the bench, with its numbers, cautions and what to note down."""

from collections.abc import Iterator
from dataclasses import dataclass

from course_lib.bench.forming import Pass
from course_lib.bench.job import DRAWN, ROLLED, Plan, alloy_facts
from course_lib.bench.tables import numbers_of, practice, table_by


@dataclass(frozen=True)
class Step:
    """One step: its stage, what to do, its cautions by name, and what to note (nothing if empty)."""

    stage: str
    text: str
    cautions: tuple[str, ...] = ()
    note: str = ""


def caution_text(name: str, short: bool = False) -> str:
    """The words of a caution of data/cautions.csv, in full or as they fit on the card."""
    return table_by("cautions", "step")[name]["short" if short else "caution"]


def bench_steps(plan: Plan) -> list[Step]:
    """Every step of a plan, in order."""
    stages = (
        _stock_steps,
        _plate_steps,
        _scroll_steps,
        _ring_steps,
        _basket_steps,
        _solder_steps,
        _last_steps,
    )
    return [step for stage in stages for step in stage(plan)]


def run_text(start: float, run: tuple[Pass, ...]) -> str:
    """A run of passes in one line: sizes in mm, with the anneals in their places.

    >>> run_text(1.0, (Pass(0.9, 0.1, 0.1, False, 1.1), Pass(0.8, 0.11, 0.11, True, 1.25)))
    '1.00 > 0.90 > ANNEAL > 0.80'
    """
    words = [f"{start:.2f}"]
    for p in run:
        words += ["ANNEAL"] * p.anneal_before + [size_text(p.size_mm)]
    return " > ".join(words)


def size_text(size: float) -> str:
    """A size to the hundredth, or to the thousandth where it does not lie on a hundredth.

    >>> size_text(0.58), size_text(1.1637)
    ('0.58', '1.164')
    """
    return f"{size:.2f}" if abs(size - round(size, 2)) < 5e-4 else f"{size:.3f}"


def _stock_steps(plan: Plan) -> Iterator[Step]:
    facts = alloy_facts(plan.job.alloy)
    blanks = {b.part: b for b in plan.blanks}
    for part, _, hardness in ROLLED:
        b = blanks[part]
        end = " End hard: no anneal after the last pass." if hardness else ""
        yield Step(
            "roll and draw",
            f"Roll the {part}'s sheet from {plan.starts[part]:.2f} to {size_text(b.stock_mm)} mm in "
            f"{len(plan.runs[part])} passes, none over {facts.roll_reduction * 100:.0f} %: "
            f"{run_text(plan.starts[part], plan.runs[part])} mm.{end}",
            ("roll", "anneal"),
            "rolled to",
        )
    for part, _, hardness in DRAWN:
        b = blanks[part]
        end = " Leave it hard." if hardness else " Anneal it last, so that it bends without cracking."
        yield Step(
            "roll and draw",
            f"Draw the {part} wire from {plan.starts[part]:.2f} to {size_text(b.stock_mm)} mm through "
            f"{len(plan.runs[part])} holes: {run_text(plan.starts[part], plan.runs[part])} mm.{end}",
            ("draw",),
            "drawn to",
        )


def _plate_steps(plan: Plan) -> Iterator[Step]:
    read, choices = plan.job.readings, plan.job.choices
    yield Step(
        "plate and hole",
        f"Bond the template on with instant glue. Saw the disc {plan.plain('plate_blank'):.2f} mm across, "
        f"outside the line; file to {plan.plain('plate_diameter_before_sanding'):.2f} mm. Let the glue go "
        f"with gentle heat, about {choices['glue_let_go']:.0f} °C.",
        ("saw", "glue"),
        "filed to",
    )
    steps = ", ".join(f"{d:.2f}" for d in plan.drill_steps)
    if plan.drill_steps:
        free = plan.drill - read["post_wire"].value
        yield Step(
            "plate and hole",
            f"Punch the middle. Drill {steps} mm in turn. The last frees the {read['post_wire'].value:.2f} "
            f"mm post by {free:.2f} mm; try the post before you open it any further.",
            ("drill",),
            "post slides",
        )


def _scroll_steps(plan: Plan) -> Iterator[Step]:
    fold = plan.fold
    yield Step(
        "scroll",
        f"Cut the strip {plan.plain('strip_length'):.1f} x {plan.plain('strip_width_before_sanding'):.2f} "
        f"mm. Mark its middle with a dimple {plan.plain('dimple_depth'):.2f} mm deep (a third) and drill "
        f"{plan.drill:.2f} mm there.",
        ("drill",),
        "strip length",
    )
    yield Step(
        "scroll",
        f"Curl both ends inward, {plan.job.readings['curl_turns'].value:g} turns each, "
        f"{plan.job.readings['curl_inside'].value:.2f} mm inside; a curl is then "
        f"{plan.plain('curl_over_all'):.2f} mm over all. Leave {plan.plain('riser'):.2f} mm straight "
        "between curl and fold.",
        (),
        "curls over all",
    )
    yield Step(
        "scroll",
        f"Fold at both ends of the {plan.job.readings['base_length'].value:.2f} mm base: {fold.cuts} saw "
        f"cuts side by side, each {plan.plain('fold_depth'):.2f} mm deep (three quarters), closing "
        f"{fold.angle_per_cut:.0f}° each. Close until the gap is {plan.plain('curl_gap'):.2f} mm.",
        ("saw",),
        "gap",
    )


def _ring_steps(plan: Plan) -> Iterator[Step]:
    choices, mandrel = plan.job.choices, plan.plain("mandrel")
    shank = min(numbers_of("drills", "diameter_mm"), key=lambda d: abs(d - mandrel))
    near = f" (a drill shank of {shank:.2f} mm is near)" if abs(shank - mandrel) < 0.06 else ""
    yield Step(
        "ring",
        f"Wind {choices['coil_turns']:g} turns on a {mandrel:.2f} mm mandrel{near}: "
        f"{plan.plain('coil_length'):.0f} mm of wire, and ends to hold. Saw through with a "
        f"{choices.ring_blade} blade and close: inside {plan.plain('ring_inside_as_made'):.2f} mm now, "
        f"{plan.job.readings['ring_inside'].value:.2f} mm when finished.",
        ("saw",),
        "inside",
    )


def _basket_steps(plan: Plan) -> Iterator[Step]:
    claws = plan.job.claws
    yield Step(
        "basket",
        f"Mark {claws} grooves on the ring's outside, {plan.plain('groove_spacing'):.2f} mm from one to "
        f"the next, straight across. File each {plan.plain('groove_depth'):.2f} mm deep, leaning "
        f"{plan.plain('flare'):.1f}° outward.",
        (),
        "spacing",
    )
    yield Step("basket", _staple_text(plan), ("saw",), "base")


def _staple_text(plan: Plan) -> str:
    claws, length, base = plan.job.claws, plan.plain("staple_blank"), plan.plain("staple_base")
    bends = (
        f"leave {base:.2f} mm straight between two bends of {plan.plain('bend_radius'):.2f} mm inside radius"
    )
    if claws % 2:
        halves = claws - 2
        return (
            f"Cut one staple {length:.1f} mm and {halves} half {'staple' if halves == 1 else 'staples'} "
            f"{length / 2:.1f} mm. {bends.capitalize()}; turn the staple in plan to {360 / claws:.0f}° and "
            "file the half's end to meet it."
        )
    staples = claws // 2
    gap = plan.plain("crossing_gap")
    cut = "the first" if staples == 2 else f"{staples - 1} of them, ends filed to {360 / claws:.0f}°,"
    return (
        f"Cut {staples} staples {length:.1f} mm; {bends}. Cut a gap of {gap:.2f} mm in the middle of {cut} "
        "and slide the other one in."
    )


def _solder_steps(plan: Plan) -> Iterator[Step]:
    for piece, joint, solder, flow, shield, _, count in plan.joint_rows():
        keep = f" Shield: {', '.join(shield)}." if shield else ""
        many = "1 pallion" if count == 1 else f"{count} pallions"
        yield Step(
            "solder",
            f"{joint.capitalize()} ({piece}): {solder} solder, flows at {flow:.0f} °C, "
            f"{many}.{keep}{_HOW.get(joint, '')}",
            ("solder", "cadmium") if joint == "ring seam" else ("pickle",) if joint == "crossing" else (),
        )


_HOW = {
    "claws to ring": " Bring the whole basket up evenly; the solder follows the heat.",
    "post": " Stand it square on the middle of the crossing.",
    "scroll to plate": " Heat the plate from below and wrap the curls in wet tissue: heat takes their "
    "spring.",
}


def _last_steps(plan: Plan) -> Iterator[Step]:
    read, choices = plan.job.readings, plan.job.choices
    yield Step(
        "post",
        f"Post cut to {plan.plain('post_blank'):.1f} mm. After soldering, burnish it or pull it straight "
        "and twist it half a turn, to stiffen the root that the heat left soft.",
        (),
    )
    if "notch_depth" in read:
        place = read["notch_from_tip"].value if "notch_from_tip" in read else None
        where = f"{place:.2f} mm from the final tip" if place else "where the pattern has it"
        yield Step("post", f"Turn the notch {read['notch_depth'].value:.2f} mm deep, {where}.", ())
    yield Step(
        "finish",
        f"Papers {', '.join(choices.papers)}, then the mop. Each face loses {choices.sanding:.3f} mm to "
        f"the papers and {choices['polishing']:.3f} mm to the mop. Stop and gauge before the last paper.",
        ("sand", "polish"),
        "claw wire",
    )
    yield Step(
        "set",
        f"Cut the bearings {plan.plain('bearing_cut'):.2f} mm deep, {plan.plain('girdle_height'):.2f} mm "
        f"over the ring's middle. Look for light under the culet ({plan.plain('culet_clearance'):.2f} mm). "
        f"Trim the claws to {read['claw_tip'].value:.2f} mm over the girdle and press them down."
        + _stone_words(plan),
        ("set",),
    )
    yield Step(
        "check and trim",
        f"Trim the post last, beside the pattern, to {read['post_length'].value:.2f} mm; round the tip. "
        f"Weigh: earring {plan.plain('earring_weight'):.2f} g, nut {plan.plain('nut_weight'):.2f} g. Set "
        "it beside the pattern at arm's length.",
        ("measure",),
        "weight",
    )


def _stone_words(plan: Plan) -> str:
    stone = table_by("stones", "gem")[plan.job.gem]
    if stone["heat_sensitive"] == "yes":
        return f" {plan.job.gem.capitalize()}: no heat from here on."
    return ""


def glue_temperature() -> float:
    """At about this gentle heat, in degC, instant glue lets go.

    >>> glue_temperature()
    100.0
    """
    return practice("glue_let_go")
