"""Lesson 09, Solder in order: hard, medium, easy, so that no finished joint flows again."""

from course_lib.bench.alloy import alloy_facts, solders_for
from course_lib.bench.refusals import NoSolder, Refused
from course_lib.bench.solder import Heat, Solder, joint_solder, plan_heats
from course_lib.bench.whole_piece import SETTING_FIRES, SETTING_JOINTS
from course_lib.classroom.exercise import Lesson, Slip, unless_near
from course_lib.classroom.filled_tables import Column, TableAsked
from course_lib.classroom.fineness import Step, TwoFigures
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.lists import ChoiceAsked, OrderAsked, SymptomAsked
from course_lib.classroom.sizes import FigureRead, NumberAsked, SizeAsked

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
    well_done="Temperatures differ from maker to maker: ask yours, and put them in the table.",
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
)


FIGURE = FigureRead(
    name="ladder",
    title="Read the ladder",
    figure="ladder",
    task=lambda job: (
        "The picture shows the solders for this metal, each as a bar from where it begins to melt up to "
        "where it flows. At "
        f"which heat does {solders(job)[0].name} flow?"
    ),
    expected=lambda job: solders(job)[0].flow_degC,
    unit="degC",
    fineness=Step(10, "the ladder is read to ten degrees"),
    sample="1234 °C",
    slips=(
        Slip(
            "lower end",
            lambda job: unless_near(solders(job)[0].solidus_degC, 11, solders(job)[0].flow_degC),
            "That is the lower end of the bar: there it only begins to melt.",
        ),
        Slip(
            "the metal's line",
            lambda job: unless_near(
                alloy_facts(job.alloy).solidus, 11, solders(job)[0].flow_degC, solders(job)[0].solidus_degC
            ),
            "That is the line where the metal itself begins to melt. Never go there.",
        ),
    ),
    clue="The upper end of its bar.",
    working=lambda job: f"1. Its bar ends at {solders(job)[0].flow_degC:.0f} °C",
    basis="from memory",
    source="the solders of data/solders.csv; temperatures differ from maker to maker: ask yours",
    objective="solder",
)


# --- one is missing -------------------------------------------------------------------------------------


def without_the_hardest(job: JobInHand) -> str:
    """What can be done without the solder that flows highest."""
    try:
        found = plan_heats(
            JOINTS,
            solders(job)[1:],
            alloy_facts(job.alloy).solidus,
            job.choices["solder_margin"],
            SETTING_FIRES,
        )
    except NoSolder:
        return "no"
    return "shield" if any(heat.shield for heat in found) else "yes"


MISSING = ChoiceAsked(
    name="missing",
    title="One solder is used up",
    task=lambda job: (
        f"The {solders(job)[0].name} solder is used up. Can the four joints still be made with what is left "
        f"({', '.join(s.name for s in solders(job)[1:]) or 'nothing'}), keeping "
        f"{job.choices['solder_margin']:.0f} degrees?"
    ),
    choices=lambda job: {
        "yes": "yes, as they are",
        "shield": "yes, but a finished joint must be shielded from the heat",
        "no": "no, not with these",
    },
    expected=without_the_hardest,
    slips=tuple(
        Slip(name, lambda job, name=name: None if without_the_hardest(job) == name else name, said)  # type: ignore[misc]
        for name, said in (
            (
                "yes",
                "Three joints are in the fire with the last one. With fewer solders, do two of them share "
                "one?",
            ),
            (
                "shield",
                "Go through the heats: does any finished joint reach the heat where its solder gives way?",
            ),
            ("no", "A shielded joint can be kept below the heat. What is there to work with?"),
        )
    ),
    clue="Ring seam and crossing are made apart. From then on all is in the fire. Which joints would give "
    "way?",
    working=lambda job: (
        "1. The first two joints may share a solder, for they are soldered apart\n2. The third and the "
        "fourth heat reach all "
        "before them\n3. Where two of those share a solder, the finished one would flow again: shield it"
    ),
    basis="common practice",
    source="",
    objective="solder",
)


# --- how much -------------------------------------------------------------------------------------------


def _area(job: JobInHand) -> float:
    return job.plan().plain("post_area")


def _volume(job: JobInHand) -> float:
    return float(joint_solder.plain(_area(job), job.choices["solder_gap"], job.choices["solder_fillet"]))


VOLUME = SizeAsked(
    name="volume",
    title="How much solder",
    task=lambda job: (
        f"The foot of the post is {_area(job):.3f} mm² and stands {job.choices['solder_gap']:.2f} mm off "
        "the wire. In the corner "
        "round it stays half as much solder again as fills the gap. How much solder does the joint take, "
        "in mm³?"
    ),
    expected=_volume,
    unit="mm**3",
    fineness=TwoFigures(),
    sample="1.2 mm³",
    slips=(
        Slip(
            "gap alone",
            lambda job: _area(job) * job.choices["solder_gap"],
            "That fills the gap only. The corner takes half as much again.",
        ),
        Slip(
            "gap twice",
            lambda job: 2 * _area(job) * job.choices["solder_gap"],
            "You counted the gap for both faces. It lies between them: once.",
        ),
        Slip(
            "corner alone",
            lambda job: job.choices["solder_fillet"] * _area(job) * job.choices["solder_gap"],
            "That is what stays in the corner. The gap must be filled too.",
        ),
    ),
    clue="Area times gap, and half of that again.",
    working=lambda job: (
        f"1. Gap: {_area(job):.3f} × {job.choices['solder_gap']:.2f} = "
        f"{_area(job) * job.choices['solder_gap']:.4f} mm³\n"
        f"2. With the corner: × {1 + job.choices['solder_fillet']:g} = {_volume(job):.3f} mm³"
    ),
    basis="handbook",
    source="gap of 0.05 to 0.13 mm: Machinery's Handbook, 31st ed., Table 1a; the corner by common practice",
    objective="much",
    well_done="That is less than a grain of sugar. More only has to be filed off again.",
)


BALLED = SymptomAsked(
    name="balled",
    title="The solder makes a ball",
    task="The pallion melts, draws together to a ball, and will not run into the joint. What went wrong?",
    choices=lambda job: {
        "cold": "the metal beside it is dirty or colder than the solder, or the flux is burnt off",
        "much": "there is too much solder",
        "tight": "the joint fits too closely",
        "easy": "the solder flows too easily",
    },
    expected=lambda job: "cold",
    slips=(
        Slip("much", lambda job: "much", "Too much solder floods the joint; it does not stay a ball."),
        Slip("tight", lambda job: "tight", "A close joint draws solder in best of all."),
        Slip(
            "easy",
            lambda job: "easy",
            "A solder that flows easily would run. What keeps it from wetting the metal?",
        ),
    ),
    clue="Solder runs to where it is hottest and clean.",
    working="1. Flame on the solder melts it before the metal is hot: it draws together\n2. Heat the "
    "metal all round, and let the "
    "metal melt the solder\n3. If the flux has turned dark, quench, pickle, clean and begin again",
    basis="common practice",
    source="",
    objective="much",
)


LESSON = Lesson(
    number="09",
    title="Solder in order",
    minutes=40,
    objectives={
        "order": "put the joints in order",
        "solder": "choose a solder for each joint, so that no finished one flows again",
        "much": "say how much solder a joint takes, and why it does not run",
    },
    exercises=(ORDER, TABLE, MARGIN, FIGURE, MISSING, VOLUME, BALLED),
    earlier=("07", "08"),
    stage="solder",
)
