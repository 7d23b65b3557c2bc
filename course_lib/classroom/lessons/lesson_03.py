"""Lesson 03, Work back from the finish: what papers and mop take, and where to stop before them."""

from course_lib.bench.finish import grain_um, removal_mm, stock_size
from course_lib.classroom.exercise import Lesson, Slip
from course_lib.classroom.fineness import GaugeStep, Step
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.lists import OrderAsked, SymptomAsked
from course_lib.classroom.size_table import ShownTable
from course_lib.classroom.sizes import FigureRead, SizeAsked
from course_lib.classroom.worked import unless_near

_GAUGE = 0.0011  # mm: two micrometer readings closer than this are one
_RUBBED = 1.1  # µm: so much differs from hand to hand


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


def where_to_stop(job: JobInHand) -> ShownTable:
    """For every stock, the size at each stop: what the mill or the plate leaves, then papers, then mop.

    >>> from course_lib.classroom.job_in_hand import demo_job
    >>> len(where_to_stop(demo_job()).rows)
    5
    """
    # a staple and a half staple are of one wire
    blanks = {blank.part: blank for blank in job.plan().blanks}.values()
    rows = [
        (
            f"{b.part} {'wire' if b.form == 'wire' else 'sheet'}",
            f"{b.finished_mm:.3f} mm",
            f"{b.before_polishing_mm:.3f} mm",
            f"{b.before_sanding_mm:.3f} mm",
            f"{b.stock_mm:.2f} mm",
        )
        for b in blanks
    ]
    columns = ("stock", "finished", "before the mop", "before the papers", "roll or draw to")
    return ShownTable(columns, rows)


# --- papers ---------------------------------------------------------------------------------------------


def _grains(job: JobInHand) -> str:
    return ", ".join(f"{grade} ({grain_um(grade):g} µm)" for grade in papers(job))


def _off_one_face(job: JobInHand) -> float:
    return 1000 * taken(job)


REMOVAL = SizeAsked(
    name="removal",
    title="What the papers take off",
    task=lambda job: (
        f"You go through the papers {_grains(job)}; in brackets stands the size of the grain. Each paper is "
        "worked until the marks of the one before are gone, and takes about "
        f"{share(job):.2f} of its own grain off. How much do all of them take off one face, in µm?"
    ),
    expected=_off_one_face,
    unit="um",
    fineness=Step(1, "how long a hand rubs differs by more than a micrometre"),
    slips=(
        Slip(
            "whole grains",
            lambda job: unless_near(sum(grain_um(g) for g in papers(job)), _RUBBED, _off_one_face(job)),
            "You added the whole grains. A grain stands in the paper and cuts with its tip only.",
        ),
        Slip(
            "both faces",
            lambda job: unless_near(
                2 * _off_one_face(job), _RUBBED, _off_one_face(job), sum(grain_um(g) for g in papers(job))
            ),
            "This is for both faces. One face was asked.",
        ),
        Slip(
            "first paper only",
            lambda job: unless_near(share(job) * grain_um(papers(job)[0]), _RUBBED, _off_one_face(job)),
            "This is the first paper alone. Every paper after it takes its share too.",
        ),
        Slip(
            "with the mop",
            lambda job: unless_near(
                1000 * (taken(job) + mop(job)), _RUBBED,
                _off_one_face(job), 2 * _off_one_face(job), sum(grain_um(g) for g in papers(job)),
            ),
            "This holds the mop as well. Only the papers were asked.",
        ),
    ),
    clue="Each paper takes its share of its own grain. Add them all, for one face.",
    working=lambda job: (
        f"1. Add the grains: {' + '.join(f'{grain_um(g):g}' for g in papers(job))} = "
        f"{sum(grain_um(g) for g in papers(job)):g} µm\n"
        f"2. Of that {share(job):.2f}: {_off_one_face(job):.0f} µm off each face"
    ),
    basis="common practice",
    source="grain sizes: FEPA 43-1 / ISO 6344",
    objective="removal",
    well_done="Less than half the width of a hair, and yet a gauge reads it at once.",
)  # fmt: skip


# --- sizes before mop and papers ------------------------------------------------------------------------


def _at_the_mop(job: JobInHand) -> float:
    return float(stock_size.plain(finished(job), mop(job)))


MOP = SizeAsked(
    name="before the mop",
    title="Before the mop",
    task=lambda job: (
        f"The back plate is to be {finished(job):.3f} mm thick when finished. The mop takes "
        f"{1000 * mop(job):.0f} µm off each face. How thick must it be when you go to the mop?"
    ),
    expected=_at_the_mop,
    unit="mm",
    fineness=GaugeStep("micrometer"),
    sample="1.234 mm",
    slips=(
        Slip(
            "one face",
            lambda job: unless_near(finished(job) + mop(job), _GAUGE, _at_the_mop(job)),
            "You added it once. A plate has two faces, and the mop goes over both.",
        ),
        Slip(
            "taken off",
            lambda job: unless_near(finished(job) - 2 * mop(job), _GAUGE, _at_the_mop(job)),
            "You took it off. What the mop will take must be there first: add it.",
        ),
        Slip(
            "as finished",
            lambda job: unless_near(
                finished(job), _GAUGE,
                _at_the_mop(job), finished(job) + mop(job), finished(job) - 2 * mop(job),
            ),
            "This is the finished thickness: after the mop it would be too thin.",
        ),
    ),
    clue="Two faces. And do you add or take off, when you go backwards?",
    working=lambda job: (
        f"1. Two faces: 2 × {1000 * mop(job):.0f} µm = {2 * mop(job):.3f} mm\n2. Backwards means adding: "
        f"{finished(job):.3f} + {2 * mop(job):.3f} = {_at_the_mop(job):.3f} mm"
    ),
    basis="common practice",
    source="",
    objective="back",
    well_done="Gauge it there. If it is already thinner, stop: the mop will not put anything back.",
)  # fmt: skip


def _before(job: JobInHand) -> float:
    return float(stock_size.plain(finished(job), taken(job) + mop(job)))


def _one_face(job: JobInHand) -> float:
    return finished(job) + taken(job) + mop(job)


def _without_mop(job: JobInHand) -> float:
    return finished(job) + 2 * taken(job)


PAPERS = SizeAsked(
    name="before the papers",
    title="Where to stop rolling",
    task=lambda job: (
        f"The same plate, {finished(job):.3f} mm when finished. The papers take {1000 * taken(job):.1f} µm "
        f"off each face and the mop {1000 * mop(job):.0f} µm. How thick must it be before the first paper?"
    ),
    expected=_before,
    unit="mm",
    fineness=GaugeStep("micrometer"),
    sample="1.234 mm",
    slips=(
        Slip(
            "one face",
            lambda job: unless_near(_one_face(job), _GAUGE, _before(job), _without_mop(job)),
            "That is for one face. Both faces are papered and polished.",
        ),
        Slip(
            "mop forgotten",
            lambda job: unless_near(_without_mop(job), _GAUGE, _before(job)),
            "The mop comes after the papers, and takes its part too.",
        ),
        Slip(
            "taken off",
            lambda job: finished(job) - 2 * (taken(job) + mop(job)),
            "You took it off. You work backwards: what will be gone must be there first.",
        ),
        Slip(
            "papers once, mop twice",
            lambda job: unless_near(
                finished(job) + taken(job) + 2 * mop(job), _GAUGE,
                _before(job), _one_face(job), _without_mop(job),
            ),
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
        "The mill goes in steps, so you stop at the next one above: "
        f"{next(b.stock_mm for b in job.plan().blanks if b.part == 'back plate'):.2f} mm."
    ),
)  # fmt: skip


# --- what went wrong ------------------------------------------------------------------------------------


def _thin_task(job: JobInHand) -> str:
    stop, left = _one_face(job), finished(job) - taken(job) - mop(job)
    return (
        f"Papers and mop take {1000 * (taken(job) + mop(job)):.0f} µm off a face. Somebody stopped rolling "
        f"at {stop:.3f} mm, took the plate through all papers and the mop on both faces, and now it measures "
        f"{left:.3f} mm. The pattern has {finished(job):.3f} mm. What went wrong, and what now?"
    )


THIN = SymptomAsked(
    name="too thin",
    title="Too thin",
    task=_thin_task,
    choices=lambda job: {
        "mop": "the mop was forgotten in the sum; use it more gently next time, this plate will do",
        "skipped": "a paper was left out; use it now",
        "grow": "one face was forgotten in the sum; anneal the plate, and it grows back",
        "one": "one face was forgotten in the sum; roll a new plate, and stop thicker",
    },
    expected=lambda job: "one",
    slips=(
        Slip(
            "mop",
            lambda job: "mop",
            lambda job: (
                f"A forgotten mop would leave it {2000 * mop(job):.0f} µm too thin. How much is missing here?"
            ),
        ),
        Slip(
            "skipped",
            lambda job: "skipped",
            "A paper left out leaves more metal on, and scratches. This plate is too thin.",
        ),
        Slip(
            "grow",
            lambda job: "grow",
            "The cause is right. But metal grows in the flame only: cold again, it has its old size.",
        ),
    ),
    clue="How much is missing? Compare it with what papers and mop take off one face, and off two.",
    working=lambda job: (
        f"1. Missing: {1000 * (taken(job) + mop(job)):.0f} µm, just what papers and mop take off one face\n"
        "2. So the sum held one face, and two were worked\n"
        "3. Too thick can still be papered; too thin can only be made again. So metal is left on until the "
        "last step"
    ),
    basis="common practice",
    source="",
    objective="late",
    well_done="That is why a post is left long and a plate thick until the end: file on what is too large, "
    "begin again with what is too small.",
)


# --- papers in order ------------------------------------------------------------------------------------


def _mixed(job: JobInHand) -> list[str]:
    ladder = papers(job)
    middle = len(ladder) // 2
    return [*ladder[middle:], *ladder[:middle]]


def _fine_first(job: JobInHand) -> list[str] | None:
    backward = list(reversed(papers(job)))
    return None if backward in (list(papers(job)), _mixed(job)) else backward


def _as_offered(job: JobInHand) -> list[str] | None:
    return None if _mixed(job) == list(papers(job)) else _mixed(job)


ORDER = OrderAsked(
    name="order",
    title="The ladder of papers",
    task="Put the papers in the order in which you use them.",
    items=lambda job: {grade: f"paper {grade}" for grade in _mixed(job)},
    first="the first one you use",
    expected=lambda job: list(papers(job)),
    slips=(
        Slip(
            "fine first",
            _fine_first,
            "That is from fine to coarse: each paper would scratch what the one before has smoothed. The "
            "higher the number, the finer the grain.",
        ),
        Slip(
            "as offered",
            _as_offered,
            "That is the order of the list. The higher the number, the finer the grain.",
        ),
    ),
    clue="A higher number is a finer grain. Which must come first?",
    working=lambda job: (
        "1. Coarse takes the marks of file or mill away; each finer one the marks before it\n"
        f"2. {', '.join(papers(job))}"
    ),
    basis="standard",
    source="FEPA 43-1 / ISO 6344: the grade rises as the grain gets finer",
    objective="ladder",
)


# --- off a drawing --------------------------------------------------------------------------------------


def post_finished(job: JobInHand) -> float:
    """The finished thickness of the post, in mm."""
    return job.readings["post_wire"].value


def _over_the_post(job: JobInHand) -> float:
    """What papers and mop take off the drawn post on every side, in mm."""
    return job.choices.post_sanding + mop(job)


def _post_before(job: JobInHand) -> float:
    return float(stock_size.plain(post_finished(job), _over_the_post(job)))


def _post_and(over: float, job: JobInHand, *others: float) -> float | None:
    """The post with so much over it, unless that reads like the answer or like another slip."""
    said = [post_finished(job) + other for other in others]
    return unless_near(post_finished(job) + over, _GAUGE, _post_before(job), *said)


LAYERS = FigureRead(
    name="layers",
    title="Read the layers",
    figure="post layers",
    task=lambda job: (
        "The post is drawn wire, smooth from the drawplate, so it needs fewer papers. The picture shows one "
        f"side of it, cut through, with a scale. The finished post is {post_finished(job):.3f} mm thick. How "
        "thick must the wire be before the first paper?"
    ),
    expected=_post_before,
    unit="mm",
    fineness=Step(0.002, "a picture is read to about half a micrometre"),
    sample="1.234 mm",
    slips=(
        Slip(
            "one side",
            lambda job: _post_and(_over_the_post(job), job),
            "You added one side. The wire is measured straight across, and it loses on both ends of that.",
        ),
        Slip(
            "mop forgotten",
            lambda job: _post_and(2 * job.choices.post_sanding, job, _over_the_post(job)),
            "You read the layers of the papers alone. The mop's layer stands over the finished post too.",
        ),
        Slip(
            "papers forgotten",
            lambda job: _post_and(2 * mop(job), job, _over_the_post(job), 2 * job.choices.post_sanding),
            "You read the lowest layer. What the papers take stands over it.",
        ),
        Slip(
            "taken off",
            lambda job: _post_and(-2 * _over_the_post(job), job),
            "You took it off. What will be gone must be there first: add it.",
        ),
        Slip(
            "the plate's papers",
            lambda job: _post_and(2 * (taken(job) + mop(job)), job, _over_the_post(job)),
            "That is what comes off the back plate. The post goes through fewer papers: look at the picture.",
        ),
    ),
    clue="Follow the uppermost line of the layers across to the scale: so much stands over the finished post "
    "on every side. How often does that count, straight across?",
    working=lambda job: (
        f"1. Off the scale: {1000 * _over_the_post(job):.0f} µm on every side (papers "
        f"{1000 * job.choices.post_sanding:.1f}, mop {1000 * mop(job):.0f})\n"
        f"2. Straight across that counts twice: {2 * _over_the_post(job):.3f} mm\n"
        f"3. {post_finished(job):.3f} + {2 * _over_the_post(job):.3f} = {_post_before(job):.3f} mm"
    ),
    basis="common practice",
    source="grain sizes: FEPA 43-1 / ISO 6344",
    objective="back",
    well_done=lambda job: (
        "You draw to the next hole above: "
        f"{next(b.stock_mm for b in job.plan().blanks if b.part == 'post'):.2f} mm."
    ),
)


SCRATCHES = SymptomAsked(
    name="scratches",
    title="Scratches under the mop",
    task="The plate looked smooth after the last paper. Under the mop deep scratches come up. What went "
    "wrong?",
    choices=lambda job: {
        "mop": "the mop turns too fast",
        "skipped": "a paper was left out, or not worked until the marks before it were gone",
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
    working=lambda job: (
        f"1. Marks of {papers(job)[0]} go about {share(job) * grain_um(papers(job)[0]):.0f} µm deep; the mop "
        f"takes {1000 * mop(job):.0f} µm\n"
        "2. Fine paper over coarse marks rubs their edges smooth, and they seem gone; the mop opens them "
        "again\n"
        "3. Go back to the paper before the gap, and rub across the old marks until its own alone are left"
    ),
    basis="common practice",
    source="",
    objective="ladder",
    well_done="Each time back costs metal: gauge before you go on. Turn the piece a quarter at each new "
    "paper, and you see when the old marks are gone.",
)


LESSON = Lesson(
    number="03",
    title="Work back from the finish",
    minutes=35,
    objectives={
        "ladder": "put papers in order, and see when one was left out",
        "removal": "work out what papers and mop take off a face",
        "back": "work back to the size before the mop, and before the papers",
        "late": "tell from a size what went wrong, and say why metal is left on until the last step",
    },
    exercises=(ORDER, REMOVAL, MOP, PAPERS, THIN, LAYERS, SCRATCHES),
    earlier=("01",),
    stage="finish",
)
