"""Lesson 12, Would anyone know: what an eye sees, what a gauge knows, and how often the pair passes."""

import math
from functools import lru_cache

from course_lib.bench.imagined import COMPARED, Chance, chance_to_pass, imagine
from course_lib.bench.measuring import guard_band
from course_lib.bench.pair import smallest_visible
from course_lib.classroom.exercise import Lesson, Slip
from course_lib.classroom.fineness import Step, TwoFigures
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.lists import ChoiceAsked, SymptomAsked
from course_lib.classroom.open_tasks import OpenTask
from course_lib.classroom.sizes import FigureRead, SizeAsked

_MINUTE = 1 / 60  # degree
_GUIDE = "JCGM 100:2008, Guide to the expression of uncertainty in measurement"
READ_AT = 1000.0  # mm: the distance read off the figure


def distance(job: JobInHand) -> float:
    """From the eye to the earring, in mm."""
    return job.choices["viewing_distance"]


def visible(job: JobInHand) -> float:
    """The smallest difference an eye tells there, in mm."""
    return float(smallest_visible.plain(distance(job)))


EYE = SizeAsked(
    name="eye",
    title="What an eye sees",
    task=lambda job: (
        "Good eyes tell two things apart when they lie one minute of arc apart (a sixtieth of a degree). "
        "Somebody looks at "
        f"the pair from {distance(job):.0f} mm. How large is the smallest difference that can be seen?"
    ),
    expected=visible,
    unit="mm",
    fineness=Step(0.01, "eyes differ by more than that"),
    slips=(
        Slip(
            "a degree",
            lambda job: distance(job) * math.tan(math.radians(1)),
            "You took a whole degree. A minute of arc is sixty times less.",
        ),
        Slip(
            "half the angle",
            lambda job: visible(job) / 2,
            "You took half of the angle. The whole minute lies between the two things.",
        ),
        Slip(
            "no radians",
            lambda job: distance(job) * _MINUTE,
            "You multiplied by the angle in degrees. Take its tangent (or the angle in radians).",
        ),
    ),
    clue="Distance times the tangent of a sixtieth of a degree.",
    working=lambda job: (
        f"1. Tangent of 1/60°: {math.tan(math.radians(_MINUTE)):.6f}\n"
        f"2. {distance(job):.0f} × {math.tan(math.radians(_MINUTE)):.6f} = {visible(job):.2f} mm"
    ),
    basis="standard",
    source="one minute of arc: visual acuity 1.0, ISO 8596",
    objective="eye",
    well_done="Two edges that should be in line are told apart much finer: an eye sees a crooked claw "
    "before a thick one.",
)


# --- the band of a difference ---------------------------------------------------------------------------

PATTERN_BAND, DUPLICATE_BAND = 0.030, 0.040  # mm, for 95 %: invented


BAND = SizeAsked(
    name="band",
    title="How sure is the difference",
    task=(
        f"The pattern's size is known to ± {1000 * PATTERN_BAND:.0f} µm, the duplicate's to ± "
        f"{1000 * DUPLICATE_BAND:.0f} µm "
        "(both for 95 times out of 100, with different gauges). How well is the difference of the two "
        "known, in µm?"
    ),
    expected=lambda job: 1000 * math.hypot(PATTERN_BAND, DUPLICATE_BAND),
    unit="um",
    fineness=TwoFigures(),
    sample="12 µm",
    slips=(
        Slip(
            "straight sum",
            lambda job: 1000 * (PATTERN_BAND + DUPLICATE_BAND),
            "You added them straight. The two are seldom wrong the same way: add the squares, and take "
            "the root.",
        ),
        Slip(
            "difference of the doubts",
            lambda job: 1000 * (DUPLICATE_BAND - PATTERN_BAND),
            "You took one doubt off the other. A difference of sizes has more doubt than either size, not "
            "less.",
        ),
        Slip(
            "the larger alone",
            lambda job: 1000 * DUPLICATE_BAND,
            "That is the larger of the two. The other adds to it.",
        ),
    ),
    clue="Square, add, root.",
    working=(
        f"1. {1000 * PATTERN_BAND:.0f}² + {1000 * DUPLICATE_BAND:.0f}² = "
        f"{(1000 * PATTERN_BAND) ** 2 + (1000 * DUPLICATE_BAND) ** 2:.0f}\n2. The root: "
        f"{1000 * math.hypot(PATTERN_BAND, DUPLICATE_BAND):.0f} µm"
    ),
    basis="standard",
    source=f"{_GUIDE}, 5.1.2",
    objective="decide",
)


# --- decide ---------------------------------------------------------------------------------------------


def _off(job: JobInHand) -> float:
    """A difference near to what an eye sees, in mm: invented."""
    return round(0.85 * visible(job), 3)


def _verdict(job: JobInHand) -> str:
    return guard_band(_off(job), math.hypot(PATTERN_BAND, DUPLICATE_BAND), visible(job))


DECIDE = ChoiceAsked(
    name="decide",
    title="Can anybody see it?",
    task=lambda job: (
        f"A claw tip of the duplicate is {_off(job):.3f} mm higher than the pattern's, known to "
        f"± {math.hypot(PATTERN_BAND, DUPLICATE_BAND):.3f} mm. From {distance(job):.0f} mm an eye sees "
        f"{visible(job):.3f} mm. What can you say?"
    ),
    choices=lambda job: {
        "accept": "nobody can see it",
        "reject": "an eye can see it",
        "cannot say": "it cannot be said: measure it again with a finer gauge",
    },
    expected=_verdict,
    slips=tuple(
        Slip(name, lambda job, name=name: None if _verdict(job) == name else name, said)  # type: ignore[misc]
        for name, said in (
            (
                "accept",
                "The difference is smaller than what an eye sees, but with its doubt it reaches beyond it.",
            ),
            (
                "reject",
                "The difference lies under what an eye sees. Its doubt reaches over the limit, so it is "
                "not sure.",
            ),
            (
                "cannot say",
                "Add the doubt to the difference, and take it off: both ends lie on one side of the limit.",
            ),
        )
    ),
    clue="Where do the two ends lie: difference less doubt, and difference plus doubt?",
    working=lambda job: (
        f"1. From {_off(job) - math.hypot(PATTERN_BAND, DUPLICATE_BAND):.3f} to "
        f"{_off(job) + math.hypot(PATTERN_BAND, DUPLICATE_BAND):.3f} mm\n2. The eye's limit is "
        f"{visible(job):.3f} mm\n"
        "3. Wholly under it: nobody sees it. Wholly over: an eye does. On both sides: it cannot be said"
    ),
    basis="standard",
    source="guard bands on both sides of a limit: ISO 14253-1:2017",
    objective="decide",
)


FIGURE = FigureRead(
    name="figure",
    title="Read it off",
    figure="eye",
    task=f"From the figure: what is the smallest difference an eye tells at {READ_AT:.0f} mm?",
    expected=lambda job: smallest_visible.plain(READ_AT),
    unit="mm",
    fineness=Step(0.04, "the figure is read to about a fiftieth of a millimetre"),
    sample="12.3 mm",
    slips=(
        Slip(
            "at half the distance",
            lambda job: smallest_visible.plain(READ_AT / 2),
            "That is at half the distance.",
        ),
        Slip(
            "at one and a half",
            lambda job: smallest_visible.plain(READ_AT * 1.5),
            "That is at the right end of the figure.",
        ),
    ),
    clue="Go up from the distance to the line, and then left to the scale.",
    working=f"1. Up from {READ_AT:.0f} mm to the line\n2. Left to the scale: about "
    f"{smallest_visible.plain(READ_AT):.2f} mm",
    basis="standard",
    source="one minute of arc: visual acuity 1.0, ISO 8596",
    objective="eye",
)


# --- care -----------------------------------------------------------------------------------------------

_FEW = 20_000


@lru_cache(maxsize=64)
def chance(job: JobInHand) -> Chance:
    """How often the pair passes, from the distance of the job."""
    return chance_to_pass(imagine(job.plan(), _FEW), visible(job))


def _offered(job: JobInHand) -> dict[str, str]:
    costs = chance(job).costs
    ranked = sorted(costs, key=lambda name: -costs[name])
    shown = sorted((ranked[0], ranked[-1], ranked[-2], ranked[len(ranked) // 2]), key=list(COMPARED).index)
    return {name: COMPARED[name] for name in shown}


def _others(at: int, said: str) -> Slip:
    def value(job: JobInHand) -> str | None:
        wrong = [name for name in _offered(job) if name != chance(job).dearest]
        return wrong[at] if at < len(wrong) else None

    return Slip(f"another size {at + 1}", value, said)


CARE = ChoiceAsked(
    name="care",
    title="Where to spend your care",
    task=lambda job: (
        f"Look at the panel, from {distance(job):.0f} mm, with the hand's scatter at 100 %. Which of "
        "these sizes gives away most "
        "pairs by itself?"
    ),
    choices=_offered,
    expected=lambda job: chance(job).dearest,
    slips=(
        _others(0, "Its bar is shorter. Which bar is the longest?"),
        _others(1, "That size hardly ever differs by so much that an eye sees it. Which bar is the longest?"),
        _others(2, "Its bar is shorter. Look for the longest."),
    ),
    clue="The longest bar in the panel.",
    working=lambda job: "\n".join(
        f"{at}. {text}: {100 * chance(job).costs[name]:.1f} of 100"
        for at, (name, text) in enumerate(_offered(job).items(), 1)
    ),
    basis="standard",
    source="Monte Carlo as in JCGM 101:2008; the hand's scatter from memory: measure your own",
    objective="care",
    well_done="Care spent on a size with a short bar is wasted. This is where a filing gauge pays.",
)


LOOKS = SymptomAsked(
    name="looks",
    title="All sizes agree, and yet",
    task="Every size agrees within what an eye can see. Side by side, one still looks new. What is it, "
    "most likely?",
    choices=lambda job: {
        "surface": "its surface: fresh edges, a brighter polish, another colour of metal",
        "sizes": "a size that was not measured",
        "stone": "the weight",
        "light": "the nut",
    },
    expected=lambda job: "surface",
    slips=(
        Slip(
            "sizes",
            lambda job: "sizes",
            "It could be, but an eye sees a surface long before it sees a tenth of a millimetre.",
        ),
        Slip("stone", lambda job: "stone", "An eye cannot weigh."),
        Slip("light", lambda job: "light", "The nut is behind the ear."),
    ),
    clue="What do years of wear do to an edge, and to a polish?",
    working="1. Worn edges are round, and a worn polish has fine scratches all ways\n2. Copper in the "
    "alloy and old solder change "
    "the colour\n3. With the customer's leave, polish both alike, or rub the new one with a soft worn "
    "paper and wash",
    basis="common practice",
    source="",
    objective="care",
)


BESIDE = OpenTask(
    name="beside",
    title="Put two side by side",
    task=(
        "Take any pair of earrings that you may handle, clean them, and compare the two. Nobody can mark "
        "this for you: tick what "
        "you have done."
    ),
    points=(
        "I measured three sizes of each, with the same gauge.",
        "I wrote down each difference with its doubt.",
        "I said for each whether an eye could see it from half a metre.",
        "I asked somebody else which of the two looks newer, and why.",
    ),
    slips=(),
    clue="Take the sizes that the panel says cost most.",
    working="1. Measure\n2. Difference, with its doubt\n3. Compare with what an eye sees\n4. Ask somebody "
    "who does not know",
    basis="common practice",
    source="",
    objective="care",
    well_done="That is how a pair is judged in the trade: by somebody who does not know which is new.",
)


LESSON = Lesson(
    number="12",
    title="Would anyone know?",
    minutes=40,
    objectives={
        "eye": "say what an eye can see at a distance",
        "decide": "decide with the doubt of both sizes whether a difference can be seen",
        "care": "say which size to spend your care on",
    },
    exercises=(EYE, BAND, DECIDE, FIGURE, CARE, LOOKS, BESIDE),
    earlier=("01", "11"),
    stage="pair",
)
