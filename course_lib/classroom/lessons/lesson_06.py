"""Lesson 06, Scroll: strip for the curls, folds by saw cuts, and whether it springs."""

import math

from course_lib.bench.alloy import alloy_facts
from course_lib.bench.stock import worked_yield
from course_lib.classroom.exercise import Lesson, Slip, unless_near
from course_lib.classroom.fineness import GaugeStep, Step
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.lists import ChoiceAsked, OrderAsked, SymptomAsked
from course_lib.classroom.sizes import NumberAsked, SizeAsked


def strip(job: JobInHand) -> float:
    """The strip's finished thickness, in mm."""
    return job.readings["strip_thickness"].value


def curl(job: JobInHand) -> tuple[float, float]:
    """Inside diameter of a curl in mm, and its turns."""
    return job.readings["curl_inside"].value, job.readings["curl_turns"].value


def _curl_length(job: JobInHand) -> float:
    return job.plan().plain("curl_length")


def _round(across: float, turns: float) -> float:
    return math.pi * across * turns


CURL = SizeAsked(
    name="curl",
    title="Strip in one curl",
    task=lambda job: (
        f"A curl is {curl(job)[0]:.2f} mm across inside, of strip {strip(job):.2f} mm thick, and goes round "
        f"{curl(job)[1]:g} times, each turn lying on the one before. How long is the strip in it, along "
        "its middle?"
    ),
    expected=_curl_length,
    unit="mm",
    fineness=Step(0.1, "nobody cuts a curl to less than a tenth"),
    slips=(
        Slip(
            "inside way round",
            lambda job: _round(curl(job)[0], curl(job)[1]),
            "You went round on the inside. The inside of a bend is squeezed and the outside stretched: "
            "the middle of "
            "the strip keeps its length.",
        ),
        Slip(
            "growth forgotten",
            lambda job: _round(curl(job)[0] + strip(job), curl(job)[1]),
            "You went round on the first circle only. Each turn lies on the one before, so it is wider by "
            "two "
            "thicknesses by the time it is round.",
        ),
        Slip(
            "outermost circle",
            lambda job: _round(curl(job)[0] + strip(job) * (1 + 2 * curl(job)[1]), curl(job)[1]),
            "You took the widest circle for the whole way. The strip begins on a smaller one.",
        ),
    ),
    clue="The middle of the strip begins on one circle and ends on a wider one. Take the circle half way "
    "between.",
    working=lambda job: (
        f"1. The middle begins {curl(job)[0]:.2f} + {strip(job):.2f} = {curl(job)[0] + strip(job):.2f} mm "
        "across\n"
        f"2. In {curl(job)[1]:g} turns it grows by 2 × {strip(job):.2f} × {curl(job)[1]:g} = "
        f"{2 * strip(job) * curl(job)[1]:.2f} mm across; half way it is "
        f"{curl(job)[0] + strip(job) * (1 + curl(job)[1]):.2f} mm\n"
        f"3. π × {curl(job)[0] + strip(job) * (1 + curl(job)[1]):.2f} × {curl(job)[1]:g} = "
        f"{_curl_length(job):.1f} mm"
    ),
    basis="standard",
    source="arc length of an Archimedean spiral, worked exactly by the course; the mean circle is near "
    "enough by hand",
    objective="strip",
)


# --- the whole strip ------------------------------------------------------------------------------------


def _whole(job: JobInHand) -> float:
    return job.plan().plain("strip_length")


def _parts(job: JobInHand) -> tuple[float, float, float]:
    """Fold line to fold line, one arm, one curl, in mm."""
    plan = job.plan()
    return plan.plain("fold_lines"), plan.plain("arm"), plan.plain("curl_length")


STRIP = SizeAsked(
    name="strip",
    title="The whole strip",
    task=lambda job: (
        f"From fold line to fold line the strip is {_parts(job)[0]:.2f} mm. On each side "
        f"{_parts(job)[1]:.2f} mm rise "
        f"straight from the fold, and then come {_parts(job)[2]:.2f} mm of curl. How long is the strip "
        "that you cut?"
    ),
    expected=_whole,
    unit="mm",
    fineness=Step(0.1, "nobody cuts it to less than a tenth"),
    slips=(
        Slip(
            "one curl",
            lambda job: sum(_parts(job)),
            "You counted one side. A scroll has two arms and two curls.",
        ),
        Slip(
            "arms forgotten",
            lambda job: _parts(job)[0] + 2 * _parts(job)[2],
            "You left out the straight part between fold and curl.",
        ),
        Slip(
            "base forgotten",
            lambda job: unless_near(2 * (_parts(job)[1] + _parts(job)[2]), 0.11, sum(_parts(job))),
            "You left out the base between the folds.",
        ),
    ),
    clue="Walk along the strip from one end to the other.",
    working=lambda job: (
        f"1. One side: {_parts(job)[1]:.2f} + {_parts(job)[2]:.2f} = "
        f"{_parts(job)[1] + _parts(job)[2]:.2f} mm\n"
        f"2. Both sides and the base: 2 × {_parts(job)[1] + _parts(job)[2]:.2f} + {_parts(job)[0]:.2f} = "
        f"{_whole(job):.1f} mm"
    ),
    basis="common practice",
    source="",
    objective="strip",
)


# --- the cut --------------------------------------------------------------------------------------------


def _thick(job: JobInHand) -> float:
    """The strip as it is when it is folded: papered, not yet polished, in mm."""
    return job.plan().plain("strip_thickness_before_polishing")


def _share(job: JobInHand) -> float:
    return job.choices["fold_share"]


CUT = SizeAsked(
    name="cut",
    title="How deep to saw",
    task=lambda job: (
        f"The strip is folded before it is polished; then it measures {_thick(job):.3f} mm. A fold is "
        "sawn three quarters "
        "through. How deep is the cut?"
    ),
    expected=lambda job: _share(job) * _thick(job),
    unit="mm",
    fineness=GaugeStep("caliper"),
    slips=(
        Slip(
            "what is left",
            lambda job: (1 - _share(job)) * _thick(job),
            "That is what stays under the cut.",
        ),
        Slip(
            "right through",
            _thick,
            "That is right through: the strip falls in two.",
        ),
        Slip(
            "a third",
            lambda job: _thick(job) / 3,
            "A third is for the guide dimple. A fold needs a deeper cut, or it will not close.",
        ),
    ),
    clue="Three quarters of the thickness as it is now.",
    working=lambda job: f"1. {_share(job):g} × {_thick(job):.3f} = {_share(job) * _thick(job):.2f} mm",
    basis="common practice",
    source="",
    objective="fold",
    well_done="Mark the depth on the blade with a felt pen, and look from the side as you saw.",
)


# --- how many cuts --------------------------------------------------------------------------------------


def _each(job: JobInHand, deep: float) -> float:
    """What one cut of this depth closes through, in degrees."""
    return 2 * math.degrees(math.atan(job.choices.fold_kerf / (2 * deep)))


def _cuts(job: JobInHand, deep: float) -> int:
    return math.ceil(job.choices["fold_angle"] / _each(job, deep) - 1e-9)


def _deep(job: JobInHand) -> float:
    return _share(job) * _thick(job)


CUTS = NumberAsked(
    name="cuts",
    title="How many cuts",
    task=lambda job: (
        f"One cut {_deep(job):.2f} mm deep with a blade of {job.choices.fold_kerf:.2f} mm closes until "
        "its lips touch: "
        f"through {_each(job, _deep(job)):.0f}°. How many cuts, side by side, does a fold of "
        f"{job.choices['fold_angle']:.0f}° need?"
    ),
    counted="cuts",
    expected=lambda job: job.plan().fold.cuts,
    slips=(
        Slip(
            "rounded down",
            lambda job: unless_near(
                float(int(job.choices["fold_angle"] / _each(job, _deep(job)))),
                0.5,
                float(job.plan().fold.cuts),
            ),
            "With so few the fold stops before it is square. Part of a cut is no cut: round up.",
        ),
        Slip(
            "one too many",
            lambda job: float(job.plan().fold.cuts + 1),
            "One fewer does it. Every cut weakens the fold and takes solder.",
        ),
        Slip(
            "a single one",
            lambda job: unless_near(1.0, 0.5, float(job.plan().fold.cuts)),
            "One cut closes long before the fold is square.",
        ),
    ),
    clue="How often does the angle of one cut go into the whole fold? Round up.",
    working=lambda job: (
        f"1. {job.choices['fold_angle']:.0f}° / {_each(job, _deep(job)):.1f}° = "
        f"{job.choices['fold_angle'] / _each(job, _deep(job)):.2f}\n2. Rounded up: {job.plan().fold.cuts}"
    ),
    basis="common practice",
    source="",
    objective="fold",
)


# --- order ----------------------------------------------------------------------------------------------

_STEPS = {
    "solder": "solder the folds from inside",
    "hole": "drill the hole in the middle of the strip",
    "curl": "curl both ends",
    "cut": "saw the cuts of both folds",
    "dimple": "punch the guide dimple in the middle",
    "fold": "fold both arms up",
}
_RIGHT = ["dimple", "hole", "cut", "fold", "solder", "curl"]

ORDER = OrderAsked(
    name="order",
    title="In which order",
    task="Put these steps for the scroll in order. (The curls must stay hard, so that they spring.)",
    items=lambda job: dict(_STEPS),
    first="the first step",
    expected=lambda job: _RIGHT,
    slips=(
        Slip(
            "curled before soldered",
            lambda job: ["dimple", "hole", "curl", "cut", "fold", "solder"],
            "You curl before the torch. The heat of the folds then reaches the curls, and they are soft: "
            "a nut that does "
            "not spring.",
        ),
        Slip(
            "drilled after folding",
            lambda job: ["dimple", "cut", "fold", "hole", "solder", "curl"],
            "You drill after folding. Between two arms there is no room to hold the strip, and the drill "
            "takes it.",
        ),
    ),
    clue="Flat is easy to hold. And what does heat do to a hard strip?",
    working="1. While it is flat: dimple and hole\n2. Saw and fold, and close the folds with solder\n3. "
    "Curl last, in hard "
    "metal: only its middle was hot",
    basis="common practice",
    source="",
    objective="order",
)


# --- spring ---------------------------------------------------------------------------------------------


def _stress(job: JobInHand) -> float:
    return job.plan().plain("grip_stress")


def _bears(job: JobInHand) -> float:
    return worked_yield(job.plan().runs["scroll"], alloy_facts(job.alloy))


def _springs(job: JobInHand) -> str:
    if job.plan().plain("grip_force") <= 0:
        return "loose"
    return "springs" if _stress(job) <= _bears(job) else "stays"


SPRING = ChoiceAsked(
    name="spring",
    title="Does it spring?",
    task=lambda job: (
        f"The gap between the curls is {job.readings['curl_gap'].value:.2f} mm, the post "
        f"{job.readings['post_wire'].value:.2f}"
        f" mm. Pushed open by the post, the strip is stressed to {_stress(job):.0f} MPa. As hard as it "
        "was rolled, it springs "
        f"back from anything up to {_bears(job):.0f} MPa. What will the nut do?"
    ),
    choices=lambda job: {
        "springs": "spring: it grips each time it is pushed on",
        "stays": "stay bent open: it grips once and is loose ever after",
        "loose": "not grip at all: the gap is as wide as the post",
    },
    expected=_springs,
    slips=tuple(
        Slip(name, lambda job, name=name: None if _springs(job) == name else name, said)  # type: ignore[misc]
        for name, said in (
            (
                "springs",
                "Compare the two figures again: which is larger, the stress or what the strip bears?",
            ),
            ("stays", "The stress is less than what the strip bears, so it comes back each time."),
            ("loose", "The post is thicker than the gap, so it pushes the curls apart, and they press back."),
        )
    ),
    clue="First: is the post thicker than the gap? Then: is the stress above or below what the strip bears?",
    working=lambda job: (
        f"1. Post {job.readings['post_wire'].value:.2f} mm, gap {job.readings['curl_gap'].value:.2f} mm\n"
        f"2. Stress {_stress(job):.0f} MPa, bears {_bears(job):.0f} MPa"
    ),
    basis="handbook",
    source="a straight cantilever, Bansal, Strength of Materials, 13.1; a guide, for a curl is no "
    "straight strip",
    objective="spring",
    well_done=lambda job: (
        f"It takes about {job.plan().plain('grip_force'):.1f} N to slide it: a guide, not a promise."
    ),
)


SLIDES = SymptomAsked(
    name="slides",
    title="The nut slides off",
    task="The new nut gripped well on the bench. After a week of wear it slides off by itself. The sizes "
    "are right. Why?",
    choices=lambda job: {
        "annealed": "the curls were heated after they were curled, and are soft",
        "hole": "the hole in the plate is too small",
        "polish": "the curls are polished too well",
        "thick": "the plate is too thick",
    },
    expected=lambda job: "annealed",
    slips=(
        Slip("hole", lambda job: "hole", "A small hole makes it stick, not slide."),
        Slip("polish", lambda job: "polish", "Polish changes it from the first day, not after a week."),
        Slip("thick", lambda job: "thick", "The plate does not grip. What has changed in a week?"),
    ),
    clue="Something gave way a little each time the nut was pushed on.",
    working="1. Soft metal bends and stays\n2. Each time the post opens the curls a little for good\n3. "
    "Make the scroll of "
    "hard strip, solder it to the plate with the easiest solder, and keep the curls out of the flame",
    basis="common practice",
    source="",
    objective="spring",
)


LESSON = Lesson(
    number="06",
    title="Scroll",
    minutes=35,
    objectives={
        "strip": "work out the strip for two curls and a base",
        "fold": "work out depth and number of the saw cuts of a fold",
        "order": "put the steps of the scroll in order, so that it stays hard",
        "spring": "say whether the nut springs, and why one does not",
    },
    exercises=(CURL, STRIP, CUT, CUTS, ORDER, SPRING, SLIDES),
    earlier=("04", "05"),
    stage="scroll",
)
