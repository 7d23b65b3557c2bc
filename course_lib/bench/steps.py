"""The job step by step, in the order of the bench, with its numbers, cautions and what to note down."""

from collections.abc import Iterator
from dataclasses import dataclass

from course_lib.bench.alloy import alloy_facts, annealing, fire_is_known
from course_lib.bench.finish import papers_for
from course_lib.bench.forming import Pass
from course_lib.bench.plan import Plan
from course_lib.bench.stock import DRAWN, ROLLED, Blank
from course_lib.bench.tables import numbers_of, table_by


@dataclass(frozen=True, eq=False)
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
    stages = (_stock_steps, _plate_steps, _scroll_steps, _ring_steps, _basket_steps, _post_steps, _last_steps)
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
    facts, hold = alloy_facts(plan.job.alloy), plan.job.choices["hold_length"]
    blanks = {b.part: b for b in plan.blanks}
    for part, _, hardness in ROLLED:
        b = blanks[part]
        end = " End hard: no anneal after the last pass." if hardness else ""
        yield Step(
            "roll and draw",
            f"Roll the {part}'s sheet from {plan.starts[part]:.2f} to {size_text(b.stock_mm)} mm in "
            f"{len(plan.runs[part])} passes, none over {facts.roll_reduction * 100:.0f} %: "
            f"{run_text(plan.starts[part], plan.runs[part])}.{end}",
            ("roll", "anneal") if fire_is_known(plan.job.alloy) else ("roll", "anneal", "platinum"),
            "rolled to",
        )
    for part, _, hardness in DRAWN:
        b = blanks[part]
        end = " Leave it hard." if hardness else " Anneal it last, so that it bends without cracking."
        yield Step(
            "roll and draw",
            f"Draw the {part} wire from {plan.starts[part]:.2f} to {size_text(b.stock_mm)} mm through "
            f"{len(plan.runs[part])} holes: {run_text(plan.starts[part], plan.runs[part])}.{end}",
            ("draw",),
            "drawn to",
        )
    yield Step(
        "roll and draw",
        f"For each, begin with {hold:.0f} mm more than the table says, to point and to hold; it goes back "
        f"to the drawer. {annealing(plan.job.alloy)}",
        ("pickle",) if fire_is_known(plan.job.alloy) else (),
    )
    yield from _paper_steps(plan, blanks)


def _paper_steps(plan: Plan, blanks: dict[str, Blank]) -> Iterator[Step]:
    """Papers come now: once it is built, no paper reaches inside the curls and the basket."""
    strip, plate = blanks["scroll"], blanks["back plate"]
    width = plan.plain("strip_width_before_polishing")
    yield Step(
        "paper the stock",
        f"Saw the strip {strip.blank_mm:.1f} mm long and {strip.width_mm:.2f} mm wide. Paper both faces, "
        f"each paper until the marks of the one before are gone: strip to {_papered(plan, strip)}, its "
        f"edges to {width:.2f} wide; plate sheet to {_papered(plan, plate)}.",
        ("saw", "sand"),
        "strip",
    )
    ring, claw, post = (_papered(plan, blanks[part]) for part, _, _ in DRAWN)
    yield Step(
        "paper the stock",
        f"Paper the wires all round: ring wire to {ring}, claw wire to {claw}, post wire to {post}.",
        (),
        "post",
    )


def _papered(plan: Plan, b: Blank) -> str:
    """The size before the mop, and the papers that lead there from the stock."""
    choices = plan.job.choices
    usual = choices.post_papers if b.part == "post" else choices.papers
    needed = (b.stock_mm - b.before_polishing_mm) / 2
    papers = papers_for(needed, usual, choices["grain_share"])
    return f"{b.before_polishing_mm:.2f} ({', '.join(papers)})"


def _plate_steps(plan: Plan) -> Iterator[Step]:
    read, choices = plan.job.readings, plan.job.choices
    steps = ", ".join(f"{d:.2f}" for d in plan.drill_steps)
    glued = "Bond the template on with instant glue."
    if plan.drill_steps:
        # a loose disc cannot be held under a drill
        yield Step(
            "plate and hole",
            f"{glued} Punch the middle and drill {steps} mm in turn, with wood behind and the sheet "
            "clamped. The "
            f"last frees the finished {read['post_wire'].value:.2f} mm post by "
            f"{plan.drill - read['post_wire'].value:.2f} mm: a hair and no more.",
            ("drill",),
            "post slides",
        )
    yield Step(
        "plate and hole",
        f"{'' if plan.drill_steps else f'{glued} '}Saw the disc {plan.plain('plate_blank'):.2f} mm across, "
        f"outside the line; file to {plan.plain('plate_diameter_before_sanding'):.2f} mm.",
        ("saw",),
        "filed to",
    )
    yield Step(
        "plate and hole",
        f"Let the glue go with gentle heat, about {choices['glue_let_go']:.0f} °C, and clean off every "
        "trace of it before any flame comes near. Paper the edge to "
        f"{plan.plain('plate_diameter_before_polishing'):.2f} mm.",
        ("glue",),
    )


def _scroll_steps(plan: Plan) -> Iterator[Step]:
    fold, read, choices = plan.fold, plan.job.readings, plan.job.choices
    turns, mop = read["curl_turns"].value, 2 * choices["polishing"]
    steps = ", ".join(f"{d:.2f}" for d in plan.drill_steps) or f"{plan.drill:.2f}"
    yield Step(
        "scroll",
        f"Mark the strip's middle with a dimple {plan.plain('dimple_depth'):.2f} mm deep (a third) and "
        f"drill {steps} mm there.",
        (),
        "dimple",
    )
    yield Step(
        "scroll",
        f"Curl both ends to the same side, {turns:g} {'turn' if turns == 1 else 'turns'} each, "
        f"{read['curl_inside'].value - mop:.2f} mm inside; a curl is then "
        f"{plan.plain('curl_over_all') + mop:.2f} mm over all. From the fold line to where the curl begins "
        f"the strip stays straight for {plan.plain('arm'):.2f} mm.",
        (),
        "curls over all",
    )
    apart = choices.fold_kerf + choices["fold_web"]
    yield Step(
        "scroll",
        f"Fold lines {plan.plain('fold_lines'):.2f} mm apart make a {read['base_length'].value:.2f} mm "
        f"base. With a {choices.fold_blade} blade {fold.cuts} cuts on the inside of each, {apart:.2f} mm "
        f"from cut to cut, their middle on the line, {plan.plain('fold_depth'):.2f} mm deep (three "
        f"quarters). A cut closes through up to {fold.angle_per_cut:.0f}°; fold to about "
        f"{choices['fold_angle']:.0f}°, curls inward, until they are {plan.plain('curl_gap') - mop:.2f} mm "
        "apart: the gap decides, and the mop opens it a little.",
        (),
        "gap",
    )
    if fire_is_known(plan.job.alloy):
        yield Step(
            "scroll",
            "From here on, at every heat: clean, fit close, flux, solder, let it cool, quench and pickle, "
            "and look at the seam under the loupe before the next heat.",
            ("solder", "cadmium", "pickle"),
        )
    else:
        yield Step(
            "scroll",
            "From here on, at every heat: clean, fit close, solder and cool as the makers of this alloy and "
            "of its solder say: ask. Look at the seam under the loupe before the next heat.",
            ("platinum", "cadmium"),
        )
    yield from _heat(plan, "scroll", "folds")
    yield from _heat(plan, "scroll", "scroll to plate")


def _ring_steps(plan: Plan) -> Iterator[Step]:
    choices, mandrel = plan.job.choices, plan.plain("mandrel")
    shank = min(numbers_of("drills", "diameter_mm"), key=lambda d: abs(d - mandrel))
    near = f" (a drill shank of {shank:.2f} mm is near)" if abs(shank - mandrel) < 0.06 else ""
    turns = choices["coil_turns"]
    yield Step(
        "ring",
        f"Wind {turns:g} {'turn' if turns == 1 else 'turns'} on a {mandrel:.2f} mm mandrel{near}: "
        f"{plan.plain('coil_length'):.0f} mm of wire, and ends to hold. Saw through with a "
        f"{choices.ring_blade} blade. Close one ring, ends flush and no light between them: "
        f"{plan.plain('ring_inside_as_made'):.2f} mm inside.",
        (),
        "inside",
    )
    yield from _heat(plan, "ring", "ring seam")


def _basket_steps(plan: Plan) -> Iterator[Step]:
    claws, read = plan.job.claws, plan.job.readings
    mop = 2 * plan.job.choices["polishing"]
    yield Step(
        "basket",
        f"Mark {claws} grooves on the ring's outside, {plan.plain('grooves_apart'):.2f} mm from one to the "
        "next, straight across, the seam between two of them. File each "
        f"{plan.plain('groove_to_file'):.2f} mm deep, leaning {plan.plain('flare'):.1f}° outward.",
        (),
        "spacing",
    )
    yield Step("basket", _staple_text(plan), (), "base")
    yield from _heat(plan, "basket", "crossing")
    yield Step(
        "basket",
        f"Set the ring in the claws, level, its top {read['base_to_ring'].value + mop:.2f} mm over the "
        f"underside of the base. Claw to {'claw' if claws % 2 == 0 else 'the next claw'}, over the outside "
        f"at the girdle: {plan.plain('claw_spread') + mop:.2f} mm.",
        (),
        "claw to claw",
    )
    yield from _heat(plan, "basket", "claws to ring")


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
    why = ": the gap is the wire as it is now" if staples == 2 else ""
    cut = "the first" if staples == 2 else f"{staples - 1} of them, ends filed to {360 / claws:.0f}°,"
    return (
        f"Cut {staples} staples {length:.1f} mm; {bends}. Cut a gap of {plan.plain('gap_to_cut'):.2f} mm "
        f"in the middle of {cut} and slide the other one in{why}."
    )


def _heat(plan: Plan, stage: str, joint: str) -> Iterator[Step]:
    """The heat that makes one joint, at its place in the work; nothing if no solder will do."""
    for _, name, solder, flow, shield, _, count in plan.joint_rows():
        if name == joint:
            many = "1 pallion" if count == 1 else f"{count} pallions"
            if not fire_is_known(plan.job.alloy):
                how = _HOW_ELSE.get(joint, _HOW[joint])
                asked = "How it is heated, ask the makers of alloy and solder."
                yield Step(stage, f"Heat, {joint}: {solder} solder, {many}. {asked}{how}", ("platinum",))
                continue
            keep = f" Shield: {', '.join(shield)}." if shield else ""
            text = f"Heat, {joint}: {solder} solder, flows at {flow:.0f} °C, {many}.{keep}{_HOW[joint]}"
            yield Step(stage, text, ("solder",))


_HOW = {
    "ring seam": " Make the ring round again on its mandrel.",
    "crossing": " See that the staples stand square and level first.",
    "claws to ring": " Bring the whole basket up evenly; the solder follows the heat.",
    "post": " Stand it square on the middle of the crossing. Its root is soft afterwards: burnish it.",
    "folds": " A sawn fold hinges and breaks if it is not run with solder.",
    "scroll to plate": (
        " Only at the middle of the base. Heat the plate from below and grip the curls in heavy tweezers, "
        "which lead the heat away. Burnish the arms afterwards to give back some spring."
    ),
}

# what is left to say where the course does not know how the alloy takes heat
_HOW_ELSE = {"claws to ring": "", "scroll to plate": " Only at the middle of the base."}


def _post_steps(plan: Plan) -> Iterator[Step]:
    read = plan.job.readings
    spare = plan.job.choices["post_spare"]
    notch = ""
    if "notch_wire" in read:
        place = ""
        if "notch_from_tip" in read:
            from_tip = read["notch_from_tip"].value
            place = f"{from_tip + spare:.2f} mm from the cut end ({from_tip:.2f} from the final tip), "
        notch = f" Turn the notch now: {place}down to {read['notch_wire'].value:.2f} mm."
    yield Step(
        "post",
        f"Before it is soldered on, cut the post {plan.plain('post_blank'):.1f} mm long, {spare:g} mm more "
        f"than the pattern's.{notch}",
        (),
        "cut to",
    )
    yield from _heat(plan, "post", "post")


def _last_steps(plan: Plan) -> Iterator[Step]:
    read, choices = plan.job.readings, plan.job.choices
    yield Step(
        "finish",
        "Where fire skin or solder shows and a paper still reaches, use the last two papers again, "
        f"lightly. Then only the mop: it takes about {choices['polishing']:.3f} mm a face. Gauge as you "
        f"go: ring wire {read['ring_wire'].value:.2f}, claws {read['claw_wire'].value:.2f}, post "
        f"{read['post_wire'].value:.2f}, strip {read['strip_thickness'].value:.2f}, plate "
        f"{read['plate_diameter'].value:.2f} mm.",
        ("polish",),
        "claw wire",
    )
    yield Step(
        "set",
        f"Cut the bearings {plan.plain('bearing_cut'):.2f} mm deep, {plan.plain('bearing_over_ring'):.2f} "
        f"mm over the ring's top. Look for light under the culet ({plan.plain('culet_clearance'):.2f} mm). "
        f"Trim the claws so that, pressed down, they stand {read['claw_tip'].value:.2f} mm over the girdle "
        "like the pattern's." + _stone_words(plan),
        ("set",),
    )
    yield Step(
        "check and trim",
        f"Trim the post last, beside the pattern, to {read['post_length'].value:.2f} mm; round the tip. "
        f"Weigh: earring {plan.plain('earring_weight'):.2f} g, nut {plan.plain('nut_weight'):.2f} g. Set "
        "it beside the pattern at arm's length. Mark it as your law asks.",
        ("measure",),
        "weight",
    )


def _stone_words(plan: Plan) -> str:
    stone = table_by("stones", "gem")[plan.job.gem]
    if stone["heat_sensitive"] == "yes":
        return f" {plan.job.gem.capitalize()}: no heat from here on."
    return ""
