"""Lesson 03, Work back from the finish: what papers and mop take, and where to stop before them."""

from course_lib.bench.finish import grain_um, removal_mm, stock_size
from course_lib.classroom.exercise import Lesson, Slip, unless_near
from course_lib.classroom.fineness import GaugeStep, Step
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.lists import ChoiceAsked, OrderAsked, SymptomAsked
from course_lib.classroom.sizes import FigureRead, SizeAsked

_ROOM = 0.0011  # mm: two micrometer readings closer than this are one


def papers(job: JobInHand) -> tuple[str, ...]:
    """The ladder of papers of the job, coarse to fine."""
    return job.choices.papers


def share(job: JobInHand) -> float:
    """How much of its own grain a paper takes."""
    return job.choices["grain_share"]


def mop(job: JobInHand) -> float:
    """What the mop takes off a face, in mm."""
    return job.choices["polishing"]


def taken(job: JobInHand) -> float:
    """What the papers take off a face, in mm."""
    return removal_mm(papers(job), share(job))


def finished(job: JobInHand) -> float:
    """The finished thickness of the back plate, in mm."""
    return job.readings["plate_thickness"].value


def _grains(job: JobInHand) -> str:
    return ", ".join(f"{grade} ({grain_um(grade):g} µm)" for grade in papers(job))


REMOVAL = SizeAsked(
    name="removal",
    title="What the papers take off",
    task=lambda job: (
        f"You go through the papers {_grains(job)}; in brackets stands the size of the grain. Each paper "
        "is worked "
        f"until the marks of the one before are gone, and takes about {share(job):.2f} of its own grain "
        "off. How much "
        "do all of them take off one face, in µm?"
    ),
    expected=lambda job: 1000 * taken(job),
    unit="um",
    fineness=Step(1, "how long a hand rubs differs by more than a micrometre"),
    slips=(
        Slip(
            "whole grains",
            lambda job: sum(grain_um(g) for g in papers(job)),
            "You added the whole grains. A grain stands in the paper and cuts with its tip only.",
        ),
        Slip(
            "both faces",
            lambda job: 2000 * taken(job),
            "This is for both faces. One face was asked.",
        ),
        Slip(
            "first paper only",
            lambda job: share(job) * grain_um(papers(job)[0]),
            "This is the first paper alone. Every paper after it takes its share too.",
        ),
        Slip(
            "with the mop",
            lambda job: 1000 * (taken(job) + mop(job)),
            "This holds the mop as well. Only the papers were asked.",
        ),
    ),
    clue="Each paper takes its share of its own grain. Add them all, for one face.",
    working=lambda job: (
        f"1. Add the grains: {' + '.join(f'{grain_um(g):g}' for g in papers(job))} = "
        f"{sum(grain_um(g) for g in papers(job)):g} µm\n"
        f"2. Of that {share(job):.2f}: {1000 * taken(job):.0f} µm off each face"
    ),
    basis="common practice",
    source="grain sizes: FEPA 43-1 / ISO 6344",
    objective="removal",
    well_done="Less than half the width of a hair, and yet it makes the piece one size thinner.",
)


MOP = SizeAsked(
    name="before the mop",
    title="Before the mop",
    task=lambda job: (
        f"The back plate is to be {finished(job):.3f} mm thick when finished. The mop takes "
        f"{1000 * mop(job):.0f} µm "
        "off each face. How thick must it be when you go to the mop?"
    ),
    expected=lambda job: stock_size.plain(finished(job), mop(job)),
    unit="mm",
    fineness=GaugeStep("micrometer"),
    slips=(
        Slip(
            "one face",
            lambda job: finished(job) + mop(job),
            "You added it once. A plate has two faces, and the mop goes over both.",
        ),
        Slip(
            "taken off",
            lambda job: finished(job) - 2 * mop(job),
            "You took it off. What the mop will take must be there first: add it.",
        ),
        Slip("as finished", finished, "This is the finished thickness: after the mop it would be too thin."),
    ),
    clue="Two faces. And do you add or take off, when you go backwards?",
    working=lambda job: (
        f"1. Two faces: 2 × {1000 * mop(job):.0f} µm = {2 * mop(job):.3f} mm\n2. Backwards means adding: "
        f"{finished(job):.3f} + {2 * mop(job):.3f} = {stock_size.plain(finished(job), mop(job)):.3f} mm"
    ),
    basis="common practice",
    source="",
    objective="back",
)


def _before(job: JobInHand) -> float:
    return float(stock_size.plain(finished(job), taken(job) + mop(job)))


PAPERS = SizeAsked(
    name="before the papers",
    title="Where to stop rolling",
    task=lambda job: (
        f"The same plate, {finished(job):.3f} mm when finished. The papers take {1000 * taken(job):.1f} "
        "µm off each "
        f"face and the mop {1000 * mop(job):.0f} µm. How thick must it be before the first paper?"
    ),
    expected=_before,
    unit="mm",
    fineness=GaugeStep("micrometer"),
    slips=(
        Slip(
            "one face",
            lambda job: finished(job) + taken(job) + mop(job),
            "That is for one face. Both faces are papered and polished.",
        ),
        Slip(
            "mop forgotten",
            lambda job: finished(job) + 2 * taken(job),
            "The mop comes after the papers, and takes its part too.",
        ),
        Slip(
            "taken off",
            lambda job: finished(job) - 2 * (taken(job) + mop(job)),
            "You took it off. You work backwards: what will be gone must be there first.",
        ),
        Slip(
            "papers once, mop twice",
            lambda job: unless_near(finished(job) + taken(job) + 2 * mop(job), _ROOM, _before(job)),
            "You counted the papers for one face only.",
        ),
    ),
    clue="Everything that goes over it later must still be on it now, on both faces.",
    working=lambda job: (
        f"1. Off one face: {1000 * taken(job):.1f} + {1000 * mop(job):.0f} = "
        f"{1000 * (taken(job) + mop(job)):.1f} µm\n"
        f"2. Off both: {2 * (taken(job) + mop(job)):.3f} mm\n"
        f"3. {finished(job):.3f} + {2 * (taken(job) + mop(job)):.3f} = {_before(job):.3f} mm"
    ),
    basis="common practice",
    source="grain sizes: FEPA 43-1 / ISO 6344",
    objective="back",
    well_done=lambda job: (
        f"The mill goes in steps, so you stop at the next one above: "
        f"{next(b.stock_mm for b in job.plan().blanks if b.part == 'back plate'):.2f} mm."
    ),
)


LATE = ChoiceAsked(
    name="late",
    title="Why not at once?",
    task="Why is the post left longer, and the plate thicker, than the pattern until the very end?",
    choices=lambda job: {
        "can": "what is too long can still be made shorter; what is too short is lost",
        "heat": "metal grows when it is heated, and stays so",
        "scrap": "so that more scrap comes back",
        "gauge": "a gauge reads larger sizes more finely",
    },
    expected=lambda job: "can",
    slips=(
        Slip("heat", lambda job: "heat", "It grows in the flame, but cold again it has its old size."),
        Slip("scrap", lambda job: "scrap", "Scrap is paid for at less than you gave for the metal."),
        Slip("gauge", lambda job: "gauge", "A gauge reads a large and a small size alike."),
    ),
    clue="Which of the two mistakes can you undo?",
    working="1. Every step may slip: solder creeps, a file goes too far\n2. Too long: file on. Too short: "
    "begin again\n"
    "3. So leave metal on, and take it off last, against the pattern",
    basis="common practice",
    source="",
    objective="late",
)


def _shuffled(job: JobInHand) -> dict[str, str]:
    ladder = papers(job)
    middle = len(ladder) // 2
    mixed = (*ladder[middle:], *ladder[:middle])
    return {grade: f"paper {grade}" for grade in mixed}


ORDER = OrderAsked(
    name="order",
    title="The ladder of papers",
    task="Put the papers in the order in which you use them.",
    items=_shuffled,
    first="the first one you use",
    expected=lambda job: list(papers(job)),
    slips=(
        Slip(
            "fine first",
            lambda job: list(reversed(papers(job))),
            "That is from fine to coarse: each paper would scratch what the one before has smoothed. The "
            "higher the "
            "number, the finer the grain.",
        ),
        Slip(
            "as offered",
            lambda job: list(_shuffled(job)),
            "That is the order of the list. The higher the number, the finer the grain.",
        ),
    ),
    clue="A higher number is a finer grain. Which must come first?",
    working=lambda job: (
        "1. Coarse takes the file marks away; each finer one the marks before it\n2. "
        f"{', '.join(papers(job))}"
    ),
    basis="standard",
    source="FEPA 43-1 / ISO 6344: the grade rises as the grain gets finer",
    objective="ladder",
)


LADDER = FigureRead(
    name="ladder",
    title="Read the ladder",
    figure="ladder",
    task=lambda job: (
        "The picture shows a grain of each paper, to one scale, under a bar of 0.1 mm. How wide is a "
        "grain of "
        f"{papers(job)[0]}, in µm? (0.1 mm is 100 µm.)"
    ),
    expected=lambda job: grain_um(papers(job)[0]),
    unit="um",
    fineness=Step(10, "a picture is read to about a tenth of its bar"),
    slips=(
        Slip(
            "another paper",
            lambda job: grain_um(papers(job)[-1]),
            "That is the finest paper. The coarsest was asked.",
        ),
        Slip("the bar", lambda job: 100.0, "That is the bar. How large is the grain against it?"),
    ),
    clue="Lay the edge of a sheet of paper on the bar, mark its length, and hold it to the grain.",
    working=lambda job: (
        f"1. The bar is 100 µm long\n2. The grain of {papers(job)[0]} is about "
        f"{grain_um(papers(job)[0]) / 100:.2f} of it\n"
        f"3. About {grain_um(papers(job)[0]):g} µm"
    ),
    basis="standard",
    source="FEPA 43-1 / ISO 6344",
    objective="ladder",
)


SCRATCHES = SymptomAsked(
    name="scratches",
    title="Scratches under the mop",
    task="The plate looked smooth after the last paper. Under the mop deep scratches come up. What went "
    "wrong?",
    choices=lambda job: {
        "skipped": "a paper was left out, or not worked until the marks before it were gone",
        "mop": "the mop turns too fast",
        "soft": "the metal is annealed",
        "paste": "there is too little polish on the mop",
    },
    expected=lambda job: "skipped",
    slips=(
        Slip("mop", lambda job: "mop", "A fast mop burns and rounds edges; it makes no deep scratches."),
        Slip(
            "soft",
            lambda job: "soft",
            "Soft metal drags, but the scratches were there before: the mop only shows them.",
        ),
        Slip(
            "paste",
            lambda job: "paste",
            "Too little polish leaves it dull. Where do deep scratches come from?",
        ),
    ),
    clue="The mop takes only a few µm. How deep are marks of the coarse paper?",
    working="1. Fine paper laid over coarse marks rubs their edges smooth, and they seem gone\n2. The mop "
    "opens them "
    "again\n3. Go back to the paper before the gap, rub across the old direction until its marks alone "
    "are left",
    basis="common practice",
    source="",
    objective="ladder",
    well_done="Turn the piece a quarter at each new paper: then you see when the old marks are gone.",
)


LESSON = Lesson(
    number="03",
    title="Work back from the finish",
    minutes=30,
    objectives={
        "removal": "work out what papers take off a face",
        "back": "work back to the size before mop and papers",
        "late": "say why metal is left on until the last step",
        "ladder": "put papers in order, and see when one was left out",
    },
    exercises=(REMOVAL, MOP, PAPERS, LATE, ORDER, LADDER, SCRATCHES),
    earlier=("01",),
    stage="finish",
)
