"""Lesson 09, Solder in order: hard, medium, easy, so that no finished joint flows again."""

from course_lib.bench.alloy import alloy_facts, solders_for
from course_lib.bench.refusals import NoSolder, Refused
from course_lib.bench.solder import Heat, Solder, joint_solder, pallion_volume, pallions, plan_heats
from course_lib.bench.whole_piece import SETTING_FIRES, SETTING_JOINTS
from course_lib.classroom.exercise import Lesson, Slip, unless_it_is
from course_lib.classroom.filled_tables import Column, TableAsked
from course_lib.classroom.fineness import Step, TwoFigures
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.lists import ChoiceAsked, OrderAsked, SymptomAsked
from course_lib.classroom.sizes import FigureRead, NumberAsked, SizeAsked
from course_lib.classroom.worked import turn, unless_near

JOINTS = [name for name, _ in SETTING_JOINTS]
_TOLD = {
    "ring seam": "the seam of the gallery ring",
    "crossing": "the crossing of the claw wires",
    "claws to ring": "the claws to the ring",
    "post": "the post to the crossing",
}


def solders(job: JobInHand) -> list[Solder]:
    """The solders for the job's metal, the one that flows highest first."""
    return sorted(solders_for(job.alloy), key=lambda s: -s.flow_degC)


def heats(job: JobInHand) -> tuple[Heat, ...]:
    """The heats of the setting.

    Raises:
        Refused: it cannot be soldered with what there is.
    """
    found = job.plan().setting_heats
    if not found:
        raise Refused("with these solders its setting cannot be soldered.")
    return found


ORDER = OrderAsked(
    name="order",
    title="In which order",
    task="The setting has four joints. In which order are they soldered, so that each part is there when "
    "it is needed?",
    items=lambda job: {name: _TOLD[name] for name in ("post", "claws to ring", "ring seam", "crossing")},
    first="the first one soldered",
    expected=lambda job: JOINTS,
    slips=(
        Slip(
            "post before the ring",
            lambda job: ["ring seam", "crossing", "post", "claws to ring"],
            "You set the post before the ring is in. It is then in the way of pliers and flame while you "
            "fit the ring.",
        ),
        Slip(
            "claws before the crossing",
            lambda job: ["ring seam", "claws to ring", "crossing", "post"],
            "You solder claws to the ring before they are one cross. Loose staples move apart while you "
            "fit the second.",
        ),
        Slip(
            "ring last",
            lambda job: ["crossing", "claws to ring", "ring seam", "post"],
            "You solder claws to a ring whose seam is open. It springs, and the grooves move.",
        ),
    ),
    clue="What must be in one piece before the next can be fitted to it?",
    working="1. The ring must be closed before grooves are filed in it\n2. The staples must be one cross "
    "before they go round "
    "the ring\n3. The post comes last: it stands in the way of everything",
    basis="common practice",
    source="",
    objective="order",
    well_done="With the solders it goes the same way: what is made first must bear the most heats.",
)


def _solder_words(job: JobInHand) -> tuple[str, ...]:
    return tuple(s.name for s in solders(job))


def _table(job: JobInHand) -> list[list[str]]:
    return [[heat.solder] for heat in heats(job)]


def _different(job: JobInHand, other: list[list[str]]) -> list[list[str]] | None:
    return None if other == _table(job) else other


def _table_task(job: JobInHand) -> str:
    box = "\n".join(
        f"{s.name}: begins to melt at {s.solidus_degC:.0f} °C, flows at {s.flow_degC:.0f} °C"
        for s in solders(job)
    )
    return (
        f"The metal itself begins to melt at {alloy_facts(job.alloy).solidus:.0f} °C. These solders are "
        f"there:\n\n{box}\n\n"
        f"Keep {job.choices['solder_margin']:.0f} degrees between one solder's flow and the next thing "
        "that would melt. The ring "
        "seam and the crossing are soldered apart, each by itself; from the third joint on, all is in the "
        "fire together. Which "
        "solder for which joint? Use as high a one as you can."
    )


TABLE = TableAsked(
    name="table",
    title="Which solder for which joint",
    task=_table_task,
    columns=lambda job: (Column("solder", words=_solder_words(job)),),
    rows=lambda job: [heat.joint for heat in heats(job)],
    expected=_table,
    slips=(
        Slip(
            "the easiest everywhere",
            lambda job: _different(job, [[solders(job)[-1].name]] * len(JOINTS)),
            "With the easiest everywhere, each new heat lets all the earlier joints flow again.",
        ),
        Slip(
            "the hardest everywhere",
            lambda job: _different(job, [[solders(job)[0].name]] * len(JOINTS)),
            "With the hardest everywhere, each new heat lets all the earlier joints flow again.",
        ),
        Slip(
            "easy first",
            lambda job: _different(job, list(reversed(_table(job)))),
            "That is the wrong way round: the first joint must bear the heat of all that come after it.",
        ),
    ),
    clue="The joints that will be in the fire again need a solder that melts well above the later ones.",
    working=lambda job: "\n".join(
        f"{at}. {_TOLD[heat.joint]}: {heat.solder} ({heat.flow_degC:.0f} °C)"
        + (f", shielding {' and '.join(heat.shield)}" if heat.shield else "")
        for at, heat in enumerate(heats(job), 1)
    ),
    basis="common practice",
    source="",
    objective="solder",
    well_done=lambda job: (
        f"So in the last heat the metal is {alloy_facts(job.alloy).solidus - heats(job)[-1].flow_degC:.0f} "
        "degrees below where it begins to melt. Temperatures differ from maker to maker: ask yours, and put "
        "them in the table."
    ),
)


# --- margin ---------------------------------------------------------------------------------------------


def _last_two(job: JobInHand) -> tuple[Solder, Solder]:
    box = solders(job)
    if len(box) < 2:
        raise Refused("there is only one solder for its metal.")
    return box[-2], box[-1]


MARGIN = NumberAsked(
    name="margin",
    title="How many degrees apart",
    task=lambda job: (
        f"A joint was made with {_last_two(job)[0].name} ({_last_two(job)[0].solidus_degC:.0f} to "
        f"{_last_two(job)[0].flow_degC:.0f} °C: where it begins to melt, and where it flows). The next is "
        "made with "
        f"{_last_two(job)[1].name} ({_last_two(job)[1].solidus_degC:.0f} to "
        f"{_last_two(job)[1].flow_degC:.0f} °C). How many "
        "degrees lie between this heat and the moment when the finished joint begins to melt?"
    ),
    counted="degrees",
    expected=lambda job: _last_two(job)[0].solidus_degC - _last_two(job)[1].flow_degC,
    slips=(
        Slip(
            "flow to flow",
            lambda job: _last_two(job)[0].flow_degC - _last_two(job)[1].flow_degC,
            "You went from flow to flow. A solder gives way long before it flows: count from where it "
            "begins to melt.",
        ),
        Slip(
            "melting to melting",
            lambda job: unless_near(
                _last_two(job)[0].solidus_degC - _last_two(job)[1].solidus_degC,
                0.5,
                _last_two(job)[0].solidus_degC - _last_two(job)[1].flow_degC,
                _last_two(job)[0].flow_degC - _last_two(job)[1].flow_degC,
            ),
            "You went from where one begins to melt to where the other does. The new one must be heated "
            "until it flows.",
        ),
    ),
    clue="How hot must the new joint get? At what heat does the old one begin to give way?",
    working=lambda job: (
        f"1. The new joint is heated to {_last_two(job)[1].flow_degC:.0f} °C\n2. The old one begins to "
        "melt at "
        f"{_last_two(job)[0].solidus_degC:.0f} °C\n3. Between them: "
        f"{_last_two(job)[0].solidus_degC - _last_two(job)[1].flow_degC:.0f} degrees"
    ),
    basis="common practice",
    source="",
    objective="solder",
    well_done="No torch shows degrees. The first flash of the solder is your thermometer: take the flame "
    "away then, and these degrees are yours. Go on for a few breaths more, and they are used up.",
)


# --- the ladder -----------------------------------------------------------------------------------------


def bar(job: JobInHand) -> Solder:
    """The solder whose bar is read; for each piece another."""
    return solders(job)[turn(job, "base_to_ring", len(solders(job)))]


FIGURE = FigureRead(
    name="ladder",
    title="Read the ladder",
    figure="ladder",
    task=lambda job: (
        "The picture shows the solders for this metal, each as a bar from where it begins to melt up to "
        "where it flows. At "
        f"which heat does {bar(job).name} flow?"
    ),
    expected=lambda job: bar(job).flow_degC,
    unit="degC",
    fineness=Step(10, "the ladder is read to ten degrees"),
    sample="1234 °C",
    slips=(
        Slip(
            "lower end",
            lambda job: unless_near(bar(job).solidus_degC, 11, bar(job).flow_degC),
            "That is the lower end of the bar: there it only begins to melt.",
        ),
        Slip(
            "the metal's line",
            lambda job: unless_near(
                alloy_facts(job.alloy).solidus, 11, bar(job).flow_degC, bar(job).solidus_degC
            ),
            "That is the line where the metal itself begins to melt. Never go there.",
        ),
    ),
    clue="One end of a bar is where the solder begins to melt. Where is the other?",
    working=lambda job: f"1. Flow is the upper end of the bar: {bar(job).flow_degC:.0f} °C",
    basis="from memory",
    source="the solders of data/solders.csv; temperatures differ from maker to maker: ask yours",
    objective="solder",
    well_done=lambda job: (
        f"From where it begins to melt to where it flows, {bar(job).name} solder takes "
        f"{bar(job).flow_degC - bar(job).solidus_degC:.0f} degrees. On the way it is like wet "
        "sand: whatever is moved then stays rough and weak. Keep your hands still until it is solid again."
    ),
)


# --- other solders than the plan's ----------------------------------------------------------------------

_LEFT = {
    "none": "nothing more: no finished joint gives way",
    "each": "shield finished joints in more than one heat",
    "never": "it cannot be done with this: look for another solder",
    "once": "shield finished joints in one heat",
}


def left(job: JobInHand) -> str:
    """What the drawer of this piece still holds: ``one gone``, ``pendant``, ``stick`` or ``easy``."""
    return ("pendant", "one gone", "stick", "easy")[turn(job, "plate_diameter", 4)]


def gone(job: JobInHand) -> Solder:
    """The solder that is used up."""
    return solders(job)[turn(job, "stone_depth", len(solders(job)))]


def drawer(job: JobInHand) -> list[Solder]:
    """The solders that are left."""
    box = solders(job)
    if len(box) < 2:
        raise Refused("there is only one solder for its metal.")
    if left(job) == "stick":
        metal = alloy_facts(job.alloy).solidus
        # one that flows half a margin too high, and at least a little below the metal
        high = round(metal - max(job.choices["solder_margin"] / 2, 1))
        return [Solder("the stick", high - 30.0, float(high))]
    if left(job) == "easy":
        return box[-1:]
    return [solder for solder in box if solder != gone(job)]


def joints_asked(job: JobInHand) -> list[str]:
    """The joints of this question: a pendant has no post."""
    return JOINTS[:3] if left(job) == "pendant" else JOINTS


def least_to_do(job: JobInHand) -> str:
    """What must be done to solder them with what is left: one of `_LEFT`."""
    joints, metal = joints_asked(job), alloy_facts(job.alloy).solidus
    fires = SETTING_FIRES[: len(joints)]
    try:
        found = plan_heats(joints, drawer(job), metal, job.choices["solder_margin"], fires)
    except NoSolder:
        return "never"
    return ("none", "once", "each")[min(2, sum(bool(heat.shield) for heat in found))]


def _drawer_task(job: JobInHand) -> str:
    metal = f"The metal itself begins to melt at {alloy_facts(job.alloy).solidus:.0f} °C."
    keep = (
        f"Keep {job.choices['solder_margin']:.0f} degrees between a solder's flow and the next thing that "
        "would melt. Ring seam and crossing are soldered apart; from the third joint on, all is in the fire."
    )
    there = "\n".join(
        f"{s.name}: begins to melt at {s.solidus_degC:.0f} °C, flows at {s.flow_degC:.0f} °C"
        for s in drawer(job)
    )
    story = {
        "one gone": f"The {gone(job).name} solder is used up. All four joints are still to be made.",
        "pendant": f"The {gone(job).name} solder is used up. You make the same setting once more, but for a "
        "pendant: without a post. So there are three joints.",
        "stick": "All your solder is used up. A friend gives you one stick, free of cadmium, with its "
        "temperatures on it. All four joints are still to be made.",
        "easy": f"Only the {solders(job)[-1].name} solder is left. All four joints are still to be made.",
    }[left(job)]
    return f"{story} {metal} {keep} This is what you have:\n\n{there}\n\nWhat must you do, at the least?"


def _drawer_working(job: JobInHand) -> str:
    metal, margin = alloy_facts(job.alloy).solidus, job.choices["solder_margin"]
    joints = joints_asked(job)
    try:
        found = plan_heats(joints, drawer(job), metal, margin, SETTING_FIRES[: len(joints)])
    except NoSolder:
        return (
            f"1. The solder may flow at {metal:.0f} − {margin:.0f} = {metal - margin:.0f} °C at most\n"
            f"2. It flows at {min(s.flow_degC for s in drawer(job)):.0f} °C, so the piece is in danger with "
            "the very first joint"
        )
    return "\n".join(
        f"{at}. {_TOLD[heat.joint]}: {heat.solder}, {heat.flow_degC:.0f} °C; "
        + (f"shield {' and '.join(heat.shield)}" if heat.shield else "nothing to shield")
        for at, heat in enumerate(found, 1)
    )


_THEN = {
    "none": "Two joints may share a solder where neither is in the fire of the other.",
    "once": "Heat paste on the finished joint, the flame from the other side, and no breath longer than "
    "needed. And buy the solder before the next piece.",
    "each": "It can be done, and it is a gamble: with each heat there is more to shield, and one slip opens "
    "a joint that was good. A stick of solder costs less.",
    "never": "Shielding helps a finished joint. It does not help here, for the metal at the new joint must "
    "be as hot as its solder needs.",
}

MISSING = ChoiceAsked(
    name="missing",
    title="What is left in the drawer",
    task=_drawer_task,
    choices=lambda job: _LEFT,
    expected=least_to_do,
    slips=(
        unless_it_is(
            least_to_do,
            "none",
            "Go through the heats one by one. Is every solder far enough below the metal? And does every "
            "finished joint that is in the fire melt high enough?",
        ),
        unless_it_is(
            least_to_do,
            "once",
            "Count the heats in which a finished joint would give way. Ring seam and crossing are made "
            "apart, so they do not count.",
        ),
        unless_it_is(
            least_to_do,
            "each",
            "Give the lowest solder to the joint made last, and the highest to those made first. Then count "
            "the heats in which a finished joint would still give way.",
        ),
        unless_it_is(
            least_to_do,
            "never",
            "It cannot be done only where every solder flows too near to where the metal melts. Compare the "
            "lowest flow with the metal.",
        ),
    ),
    clue="First: does a solder flow far enough below the metal? Then: which finished joints are in the fire "
    "each time?",
    working=_drawer_working,
    basis="common practice",
    source="",
    objective="solder",
    well_done=lambda job: _THEN[least_to_do(job)],
)


# --- how much -------------------------------------------------------------------------------------------


def _area(job: JobInHand) -> float:
    return job.plan().plain("post_area")


def _volume(job: JobInHand) -> float:
    return float(joint_solder.plain(_area(job), job.choices["solder_gap"], job.choices["solder_fillet"]))


def _pallions(job: JobInHand, volume: float) -> int:
    one = float(pallion_volume.plain(job.choices["pallion_side"], job.choices["pallion_thickness"]))
    return pallions(volume, one)


def _apart(job: JobInHand, times: float, *others: float) -> float | None:
    """So many times what fills the gap, unless that is near the answer or another slip."""
    filled = _area(job) * job.choices["solder_gap"]
    near = [_volume(job), *(other * filled for other in others)]
    return unless_near(times * filled, 0.1 * times * filled, *near) if times else None


VOLUME = SizeAsked(
    name="volume",
    title="How much solder",
    task=lambda job: (
        f"The foot of the post is {_area(job):.3f} mm² and stands {job.choices['solder_gap']:.2f} mm off "
        "the wire. In the corner round it stays some solder too: "
        f"{100 * job.choices['solder_fillet']:.0f} % of what fills the gap. How much solder does the joint "
        "take, in mm³?"
    ),
    expected=_volume,
    unit="mm**3",
    fineness=TwoFigures(),
    sample="1.2 mm³",
    slips=(
        Slip(
            "gap alone",
            lambda job: _apart(job, 1.0),
            "That fills the gap only. The corner takes its share as well.",
        ),
        Slip(
            "gap twice",
            lambda job: _apart(job, 2.0, 1.0),
            "You counted the gap for both faces. It lies between them: once.",
        ),
        Slip(
            "corner alone",
            lambda job: _apart(job, job.choices["solder_fillet"], 1.0, 2.0),
            "That is what stays in the corner. The gap must be filled too.",
        ),
    ),
    clue="Area times gap, and the share of the corner on top of that.",
    working=lambda job: (
        f"1. Gap: {_area(job):.3f} × {job.choices['solder_gap']:.2f} = "
        f"{_area(job) * job.choices['solder_gap']:.4f} mm³\n"
        f"2. With the corner: × {1 + job.choices['solder_fillet']:g} = {_volume(job):.3f} mm³"
    ),
    basis="handbook",
    source="gap of 0.05 to 0.13 mm: Machinery's Handbook, 31st ed., Table 1a; the corner by common practice",
    objective="much",
    well_done=lambda job: (
        f"Cut from solder {job.choices['pallion_thickness']:g} mm thick into squares of "
        f"{job.choices['pallion_side']:g} mm, pallions to lay on: {_pallions(job, _volume(job))}. Fitted "
        f"badly, with a gap of {4 * job.choices['solder_gap']:.2f} mm: {_pallions(job, 4 * _volume(job))}. A "
        "minute with the file is cheaper."
    ),
)


# --- what the solder did --------------------------------------------------------------------------------

_CAUSES = {
    "again": "the heat reached what an earlier solder cannot bear",
    "cold": "both parts were dirty, or not hot enough, or the flux was burnt off",
    "much": "there was too much solder",
    "side": "one part was hotter than the other",
}
_SIGNS = {
    "side": "The solder has run up one of the two parts. The other part is just as clean, but it has none, "
    "and a dry line is left between them.",
    "again": "The new joint is good. But a joint that was finished before has opened, and its parts have "
    "moved.",
    "cold": "The pallion has melted and drawn together to a ball. The ball lies there and will not run, to "
    "neither side.",
    "much": "The joint is closed all round. But its corner is round like a drop, and solder has run over the "
    "wire beside it and filled a groove that was to stay open.",
}


def gone_wrong(job: JobInHand) -> str:
    """What went wrong at the joint of this piece."""
    return tuple(_SIGNS)[turn(job, "post_wire", 4)]


def _mended(job: JobInHand) -> str:
    """What to do now."""
    new, metal = solders(job)[-1], alloy_facts(job.alloy).solidus
    return {
        "cold": "Quench, pickle, rinse, new flux. Then heat round the joint, and not the solder: the "
        f"metal must be at {new.flow_degC:.0f} °C or so before {new.name} solder can run.",
        "side": "It can be mended. Pickle, clean the dry side, new flux, and heat the dry side first: the "
        "solder that has run away comes back to where it is hotter.",
        "again": "It can be mended, as long as no wire has melted: put it back, bind or pin it, and solder "
        "it again. Next time leave more degrees between the two solders, or shield the finished joint.",
        "much": "What is too much must come off again, with file and graver. "
        f"Never try to burn it away: {metal - new.flow_degC:.0f} degrees over the flow of {new.name} "
        "solder the metal itself begins to melt.",
    }[gone_wrong(job)]


BALLED = SymptomAsked(
    name="balled",
    title="What the solder did",
    task=lambda job: (
        f"A joint was soldered, pickled and looked at with a loupe. {_SIGNS[gone_wrong(job)]} What went "
        "wrong, most likely?"
    ),
    choices=lambda job: _CAUSES,
    expected=gone_wrong,
    slips=(
        unless_it_is(
            gone_wrong,
            "cold",
            "Solder that finds no clean and hot metal stays where it melted, as a ball. What did it do here?",
        ),
        unless_it_is(
            gone_wrong,
            "side",
            "Solder runs to the hotter part and leaves the colder one dry. Is one of the parts dry here?",
        ),
        unless_it_is(
            gone_wrong,
            "again",
            "Then a joint that was made earlier would have given way. Has one moved here?",
        ),
        unless_it_is(
            gone_wrong,
            "much",
            "Too much solder closes the joint, and then goes on to where nobody wants it. What do you see "
            "here?",
        ),
    ),
    clue="Did the solder run? To both parts? No further than it should? And did anything else move? Ask in "
    "this order.",
    working=lambda job: (
        f"1. What is seen: {_SIGNS[gone_wrong(job)]}\n"
        "2. It did not run: cold or dirty. It ran to one part only: that one was hotter. It ran too far: too "
        "much. An old joint moved: too hot for its solder\n"
        f"3. So {_CAUSES[gone_wrong(job)]}"
    ),
    basis="common practice",
    source="",
    objective="much",
    well_done=_mended,
)


LESSON = Lesson(
    number="09",
    title="Solder in order",
    minutes=40,
    objectives={
        "order": "put the joints in order",
        "solder": "choose a solder for each joint, so that no finished one flows again",
        "much": "say how much solder a joint takes, and see what went wrong with it",
    },
    exercises=(ORDER, TABLE, MARGIN, FIGURE, MISSING, VOLUME, BALLED),
    earlier=("07", "08"),
    stage="solder",
)
