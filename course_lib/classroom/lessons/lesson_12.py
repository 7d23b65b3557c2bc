"""Lesson 12, Would anyone know: what an eye sees, what a gauge knows, and how often the pair passes."""

import math
from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from itertools import permutations

from course_lib.bench.imagined import COMPARED, Spread, limit_for, spreads_of
from course_lib.bench.measuring import coverage, guard_band
from course_lib.bench.pair import compare, farthest_seen, smallest_visible
from course_lib.bench.units import quantity
from course_lib.classroom.exercise import Lesson, Slip, unless_it_is
from course_lib.classroom.filled_tables import Column, TableAsked
from course_lib.classroom.fineness import Step, TwoFigures
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.lists import ChoiceAsked, SymptomAsked
from course_lib.classroom.open_tasks import OpenTask
from course_lib.classroom.size_table import ShownTable
from course_lib.classroom.sizes import FigureRead, SizeAsked

_MINUTE = 1 / 60  # degree
_GUIDE = "JCGM 100:2008, Guide to the expression of uncertainty in measurement"
_ACUITY = "one minute of arc: visual acuity 1.0, ISO 8596"
_VERDICTS = {"accept": "no", "reject": "yes", "cannot say": "cannot say"}


def usual_distance(job: JobInHand) -> float:
    """From which people look, in mm: the choice of the job."""
    return job.choices["viewing_distance"]


def limit(job: JobInHand) -> float:
    """The smallest difference an eye tells from there, in mm."""
    return float(smallest_visible.plain(usual_distance(job)))


def _turn(job: JobInHand, size: str, ways: int) -> int:
    """One of so many ways to ask, for each piece another: it follows from a size, to a micrometre."""
    return round(1000 * job.readings[size].value) % ways


@lru_cache(maxsize=64)
def spreads(job: JobInHand) -> dict[str, Spread]:
    """How far each compared size of the duplicate scatters."""
    return spreads_of(job.plan())


# --- what an eye sees -----------------------------------------------------------------------------------


def seat(job: JobInHand) -> float:
    """Where somebody sits who looks at this pair, in mm: near the usual distance, and invented."""
    return round(usual_distance(job) * (0.8 + 0.05 * _turn(job, "stone_diameter", 9)), -1)


def seen_there(job: JobInHand) -> float:
    """The smallest difference that is seen from that seat, in mm."""
    return float(smallest_visible.plain(seat(job)))


EYE = SizeAsked(
    name="eye",
    title="What an eye sees",
    task=lambda job: (
        "Good eyes tell two things apart when they lie one minute of arc apart. A minute of arc is a "
        f"sixtieth of a degree. Somebody looks at the pair from {seat(job):.0f} mm. How large is the "
        "smallest difference that can be seen?"
    ),
    expected=seen_there,
    unit="mm",
    fineness=Step(0.01, "eyes differ by more than that"),
    sample="1.23 mm",
    slips=(
        Slip(
            "a degree",
            lambda job: seat(job) * math.tan(math.radians(1)),
            "You took a whole degree. A minute of arc is sixty times less.",
        ),
        Slip(
            "half the angle",
            lambda job: seen_there(job) / 2,
            "You took half of the angle. The whole minute lies between the two things.",
        ),
        Slip(
            "a minute to each side",
            lambda job: 2 * seen_there(job),
            "You counted a minute to each side. One minute lies between the two things.",
        ),
        Slip(
            "no tangent",
            lambda job: seat(job) * _MINUTE,
            "You multiplied by the angle in degrees. Take its tangent.",
        ),
    ),
    clue="Distance times the tangent of a sixtieth of a degree.",
    working=lambda job: (
        f"1. Tangent of 1/60°: {math.tan(math.radians(_MINUTE)):.6f}\n"
        f"2. {seat(job):.0f} × {math.tan(math.radians(_MINUTE)):.6f} = {seen_there(job):.2f} mm"
    ),
    basis="standard",
    source=_ACUITY,
    objective="eye",
    well_done="Two edges that should be in line are told apart much finer than this: an eye sees a crooked "
    "claw before a thick one.",
)


# --- the doubt of a difference --------------------------------------------------------------------------


def doubts(job: JobInHand) -> tuple[int, int]:
    """Bands for 95 % of the girdle's height, on the pattern and on the duplicate (invented), in µm."""
    read = job.readings["base_to_girdle"]
    band = 1000 * coverage(read.degrees_of_freedom) * read.standard_uncertainty
    pattern = max(round(band), 5)
    return pattern, max(round((0.6, 0.75, 0.9)[_turn(job, "plate_diameter", 3)] * pattern), 3)


def together(job: JobInHand) -> float:
    """The band of the difference, in µm."""
    return math.hypot(*doubts(job))


BAND = SizeAsked(
    name="band",
    title="How sure is the difference",
    task=lambda job: (
        f"From base to girdle, the pattern is known to ± {doubts(job)[0]} µm and the duplicate to "
        f"± {doubts(job)[1]} µm, both for 95 times out of 100, and read with different gauges. How well is "
        "the difference of the two known, in µm?"
    ),
    expected=together,
    unit="um",
    fineness=TwoFigures(),
    sample="123 µm",
    slips=(
        Slip(
            "straight sum",
            lambda job: float(sum(doubts(job))),
            "You added them straight. The two are seldom wrong the same way: add the squares, and take "
            "the root.",
        ),
        Slip(
            "one taken off the other",
            lambda job: float(doubts(job)[0] - doubts(job)[1]),
            "You took one doubt off the other. A difference of sizes has more doubt than either size, not "
            "less.",
        ),
        Slip(
            "the larger alone",
            lambda job: float(max(doubts(job))),
            "That is the larger of the two. The other adds to it.",
        ),
        Slip(
            "no root",
            lambda job: float(sum(each**2 for each in doubts(job))),
            "You added the squares. The root is still to be taken.",
        ),
    ),
    clue="Square each, add, take the root.",
    working=lambda job: (
        f"1. {doubts(job)[0]}² + {doubts(job)[1]}² = {sum(each**2 for each in doubts(job))}\n"
        f"2. The root: {together(job):.0f} µm"
    ),
    basis="standard",
    source=f"{_GUIDE}, 5.1.2",
    objective="decide",
)


# --- decide ---------------------------------------------------------------------------------------------

# Differences and their bands, as parts of what an eye sees: invented, and each another case.
_CASES = ((0.55, 0.30), (-1.45, 0.25), (0.85, 0.30), (-1.15, 0.30))
_ASKED = ("claw over the girdle", "claw to claw", "base to girdle", "plate across")


def differences(job: JobInHand) -> list[tuple[str, float, float]]:
    """Size, difference from the pattern, and the band of the difference, in mm."""
    order = list(permutations(_CASES))[_turn(job, "post_length", 24)]
    return [
        (name, round(off * limit(job), 3), round(band * limit(job), 3))
        for name, (off, band) in zip(_ASKED, order, strict=True)
    ]


def _verdicts(job: JobInHand) -> list[list[str]]:
    return [[_VERDICTS[guard_band(off, band, limit(job))]] for _, off, band in differences(job)]


def _without_doubt(job: JobInHand) -> list[list[str]]:
    return [["no" if abs(off) < limit(job) else "yes"] for _, off, _ in differences(job)]


def _without_sign(job: JobInHand) -> list[list[str]]:
    """What is smaller than the pattern is taken for no difference."""
    return [
        [_VERDICTS[guard_band(off, band, limit(job))] if off > 0 else "no"]
        for _, off, band in differences(job)
    ]


def _seen_unless_sure(job: JobInHand) -> list[list[str]]:
    return [["no" if verdict == "no" else "yes"] for [verdict] in _verdicts(job)]


def _ends(off: float, band: float) -> str:
    low, high = abs(off) - band, abs(off) + band
    return f"{abs(off):.3f} − {band:.3f} = {low:.3f} and {abs(off):.3f} + {band:.3f} = {high:.3f} mm"


DECIDE = TableAsked(
    name="decide",
    title="Can anybody see it?",
    task=lambda job: (
        f"A duplicate differs from its pattern like this. From {usual_distance(job):.0f} mm an eye sees "
        f"{limit(job):.3f} mm. Say for each size whether an eye can see it.\n"
        + "\n".join(
            f"- {name}: {off:+.3f} mm, known to ± {band:.3f} mm" for name, off, band in differences(job)
        )
    ),
    columns=(Column("can an eye see it?", words=("no", "yes", "cannot say")),),
    rows=lambda job: list(_ASKED),
    expected=_verdicts,
    slips=(
        Slip(
            "doubt not counted",
            _without_doubt,
            "You compared the differences alone. Add the doubt to each, and take it off: where one end lies "
            "under the limit and the other over it, nobody can say.",
        ),
        Slip(
            "smaller is no difference",
            _without_sign,
            "You let everything pass that is smaller than the pattern. An eye sees too small as well as too "
            "large: leave the sign away.",
        ),
        Slip(
            "not sure, so seen",
            _seen_unless_sure,
            "You called everything seen that is not sure. Over the limit with both ends: seen. With one end: "
            "cannot say.",
        ),
    ),
    clue="For each: where do the two ends lie, difference less doubt and difference plus doubt?",
    working=lambda job: (
        "\n".join(
            f"{at}. {name}: {_ends(off, band)}: {verdict}"
            for at, ((name, off, band), [verdict]) in enumerate(
                zip(differences(job), _verdicts(job), strict=True), 1
            )
        )
        + f"\n5. The limit is {limit(job):.3f} mm: both ends under it, both over it, or one on each side"
    ),
    basis="standard",
    source="guard bands on both sides of a limit: ISO 14253-1:2017",
    objective="decide",
    well_done="Where nobody can say, measure again with a finer gauge before you touch a file.",
)


# As parts of what an eye sees.
_INVENTED = {
    "claw_wire": -0.06, "ring_wire": 0.08, "claw_tip": 0.9, "base_to_girdle": -0.35, "plate_diameter": 0.2,
    "strip_width": -1.5, "post_length": 0.4,
}  # fmt: skip


def set_beside(job: JobInHand) -> ShownTable:
    """A finished duplicate of this piece beside its pattern, size by size; the duplicate is invented.

    >>> from course_lib.classroom.job_in_hand import demo_job
    >>> [row[-1] for row in set_beside(demo_job()).rows][:2]
    ['nobody sees it', 'nobody sees it']
    """
    said = {"accept": "nobody sees it", "reject": "an eye sees it", "cannot say": "cannot say"}
    pattern = {key: job.measured[key] for key in _INVENTED}
    duplicate = {
        key: replace(each, value=each.value + quantity(_INVENTED[key] * limit(job), "mm"))
        for key, each in pattern.items()
    }
    table = compare(pattern, duplicate, quantity(usual_distance(job), "mm"))
    rows = [
        (
            COMPARED[row.size],
            f"{row.pattern_mm:.3f} mm",
            f"{row.duplicate_mm:.3f} mm",
            f"{row.difference_mm:+.3f} mm",
            f"± {row.uncertainty_mm:.3f} mm",
            said[row.verdict],
        )
        for row in table.itertuples()
    ]
    rows.append(
        ("what an eye sees", "", "", f"{limit(job):.3f} mm", "", f"from {usual_distance(job):.0f} mm")
    )
    columns = ("size", "pattern", "duplicate", "difference", "its doubt (95 %)", "can an eye see it?")
    return ShownTable(columns, rows)


# --- how often, and from how far ------------------------------------------------------------------------


def wanted(job: JobInHand) -> int:
    """So many of a hundred pairs are to pass."""
    return (80, 85, 90, 95)[_turn(job, "claw_wire", 4)]


def far_enough(job: JobInHand, share: float) -> float:
    """From where such a share of pairs passes, in mm."""
    return float(farthest_seen.plain(limit_for(spreads(job), share)))


FIGURE = FigureRead(
    name="figure",
    title="From how far away",
    figure="far",
    task=lambda job: (
        "The picture shows how many of 100 imagined pairs pass, and from how far away. From which distance "
        f"on do {wanted(job)} of 100 pass?"
    ),
    expected=lambda job: far_enough(job, wanted(job) / 100),
    unit="mm",
    fineness=Step(50, "a picture is read to about half of its squares"),
    sample="1230 mm",
    slips=(
        Slip(
            "given away",
            lambda job: far_enough(job, 1 - wanted(job) / 100),
            "There so many are given away. The picture counts those that pass.",
        ),
        Slip(
            "half of them",
            lambda job: far_enough(job, 0.5),
            "There only half of the pairs pass.",
        ),
    ),
    clue="Find the number of pairs on the left, go straight across to the curve, and then straight down.",
    working=lambda job: (
        f"1. Across from {wanted(job)} to the curve\n"
        f"2. Down to the scale: about {far_enough(job, wanted(job) / 100):.0f} mm"
    ),
    basis="standard",
    source="Monte Carlo as in JCGM 101:2008; the hand's scatter from memory: measure your own",
    objective="chance",
    well_done="That is how near a stranger must not come. Nobody looks at a worn earring from a hand's "
    "breadth.",
)


# --- care -----------------------------------------------------------------------------------------------

LOOK_FROM = 300  # mm: near enough for long bars
_CLEARLY = 1.12  # so much wider a size must scatter for its bar to be clearly the longer
_LESS = ("post_length", "claw_wire", "stone_diameter", "plate_diameter", "strip_width", "ring_wire")


def _costs_most(job: JobInHand) -> str:
    """One of the three sizes that scatter most."""
    ranked = sorted(COMPARED, key=lambda name: -spreads(job)[name].together)
    return ranked[_turn(job, "strip_width", 3)]


def _offered(job: JobInHand) -> Mapping[str, str]:
    most = _costs_most(job)
    wide = spreads(job)[most].together
    others = [name for name in _LESS if name != most and _CLEARLY * spreads(job)[name].together < wide][:3]
    offered = [name for name in COMPARED if name in (most, *others)]
    first = _turn(job, "base_to_girdle", len(offered))
    return {name: COMPARED[name] for name in offered[first:] + offered[:first]}


def _other(name: str, said: str) -> Slip:
    def value(job: JobInHand) -> str | None:
        return name if name in _offered(job) and name != _costs_most(job) else None

    return Slip(COMPARED[name], value, said)


CARE = ChoiceAsked(
    name="care",
    title="Where to spend your care",
    task=(
        f"Bring the eye to {LOOK_FROM} mm in the panel; leave all else as it was. Of these sizes, which one "
        "pays best for more care?"
    ),
    choices=_offered,
    expected=_costs_most,
    slips=(
        _other(
            "post_length",
            "It is the longest of these sizes. But an eye sees a tenth of a millimetre, on a long post or on "
            "a short one: look at the bars.",
        ),
        _other(
            "claw_wire",
            "It is the finest of these sizes. But the drawplate makes it, not your hand: it hardly differs.",
        ),
        _other(
            "stone_diameter",
            "The stone comes first to the eye. But it was chosen with a caliper, and hardly differs.",
        ),
        _other("plate_diameter", "It is filed to a line, and hardly differs. Which bar is the longest?"),
        _other("strip_width", "It is filed to a line, and hardly differs. Which bar is the longest?"),
        _other("ring_wire", "The drawplate makes it, not your hand: it hardly differs."),
    ),
    clue="Of the sizes offered, the one with the longest bar.",
    working=lambda job: "\n".join(
        [
            *(
                f"{at}. {text}: hand and gauge scatter it by {1000 * spreads(job)[name].together:.0f} µm"
                for at, (name, text) in enumerate(_offered(job).items(), 1)
            ),
            f"{len(_offered(job)) + 1}. What scatters most is seen most often: {COMPARED[_costs_most(job)]}",
        ]
    ),
    basis="standard",
    source="Monte Carlo as in JCGM 101:2008; the hand's scatter from memory: measure your own",
    objective="care",
    well_done="Care spent on a size with a short bar is wasted. Where the bar is long, a filing gauge or a "
    "stop pays.",
)


# --- what else gives a pair away ------------------------------------------------------------------------

_CAUSES = {
    "surface": "the surface: sharp new edges and a fresh polish",
    "alloy": "the metal: an alloy of another colour",
    "angle": "an angle: one stone sits at a slant",
    "size": "a size: one that nobody measured",
}
_SIGNS = {
    "surface": "Under the lamp a bright line runs along every edge of the duplicate, and along none of the "
    "pattern. In the shade they look the same.",
    "alloy": "By the window one is a little redder than the other, on the ring, the claws and the post "
    "alike. Under the warm lamp they look the same.",
    "angle": "From straight in front, one stone flashes while the other is dark. Turn both a little, and it "
    "is the other way round.",
}
_WHAT_NOW = {
    "surface": "With the customer's leave, give both the same last polish, or take the sharpness off the new "
    "edges with a worn fine paper.",
    "alloy": "No polish mends that. Lay a scrap of your alloy beside the pattern, by the window, before you "
    "roll it.",
    "angle": "Mend it before the claws are closed for good: the bearing of one claw lies too high.",
}


def _cause(job: JobInHand) -> str:
    return tuple(_SIGNS)[_turn(job, "plate_diameter", 3)]


LOOKS = SymptomAsked(
    name="looks",
    title="All sizes agree, and yet",
    task=lambda job: (
        f"Every size of the duplicate passes. Laid side by side, one looks new. {_SIGNS[_cause(job)]} What "
        "is it, most likely?"
    ),
    choices=lambda job: _CAUSES,
    expected=_cause,
    slips=(
        unless_it_is(
            _cause, "surface", "New edges and a fresh polish shine as lines and streaks under a lamp."
        ),
        unless_it_is(
            _cause, "alloy", "Another colour of metal shows on every part alike, and most by daylight."
        ),
        unless_it_is(_cause, "angle", "A stone at a slant shows in its flash, which changes as you turn it."),
        unless_it_is(
            _cause,
            "size",
            "It could be, but a wrong size looks wrong in any light. What makes the difference come and go "
            "here?",
        ),
    ),
    clue="What makes the difference come and go: the lamp, the window, or turning?",
    working=lambda job: (
        "1. A size stays wrong in any light, and however you turn it\n"
        f"2. Here it comes and goes. {_SIGNS[_cause(job)]}\n"
        f"3. So it is {_CAUSES[_cause(job)]}"
    ),
    basis="common practice",
    source="",
    objective="care",
    well_done=lambda job: _WHAT_NOW[_cause(job)],
)


BESIDE = OpenTask(
    name="beside",
    title="Put two side by side",
    task=(
        "Take any pair of earrings that you may handle. Clean both, lay them on a grey cloth by a window, "
        "and find out which came first. Nobody can mark this for you: tick what you have done."
    ),
    points=(
        "I measured three sizes of each, with the same gauge, three times.",
        "I wrote down each difference with its doubt.",
        "I said of each whether an eye can see it from half a metre: yes, no, or cannot say.",
        "I exchanged left and right, turned both under the lamp, and looked again.",
        "I asked somebody who did not know which of the two looks newer, and why.",
    ),
    slips=(),
    clue="Take the sizes that the panel says cost most.",
    working="1. Measure\n2. Difference, with its doubt\n3. Compare with what an eye sees\n4. Turn, exchange, "
    "other light\n5. Ask somebody who does not know",
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
        "chance": "read off a picture how often a pair passes, and from how far away",
        "care": "say where care pays, and what else gives a pair away",
    },
    exercises=(EYE, BAND, DECIDE, FIGURE, CARE, LOOKS, BESIDE),
    earlier=("01", "11"),
    stage="pair",
)
