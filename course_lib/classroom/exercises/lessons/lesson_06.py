"""Lesson 06, Scroll: strip for the curls, folds by saw cuts, and whether it springs."""

import math

from course_lib.bench.alloy import alloy_facts
from course_lib.bench.forming import saw_fold
from course_lib.bench.stock import worked_yield
from course_lib.bench.tables import numbers_of
from course_lib.classroom.exercises.worked import Worked, moved, say, turn, turned_round, unless_near
from course_lib.classroom.pieces.job_in_hand import JobInHand

_ORDER = ("paper", "dimple", "hole", "curl", "cut", "fold", "solder", "plate", "burnish")
_SHUFFLED = ("fold", "paper", "plate", "hole", "burnish", "curl", "dimple", "solder", "cut")
_ASKED = (
    {"dimple", "hole", "solder"},
    {"paper", "hole", "plate"},
    {"hole", "solder", "burnish"},
    {"paper", "solder", "plate"},
    {"dimple", "solder", "plate"},
)


def strip(job: JobInHand) -> float:
    """The strip's finished thickness, in mm."""
    return job.readings["strip_thickness"].value


def curl(job: JobInHand) -> tuple[float, float]:
    """Inside diameter of a curl in mm, and its turns."""
    return job.readings["curl_inside"].value, job.readings["curl_turns"].value


def work_curl(job: JobInHand) -> Worked:
    """Strip in one curl, in mm."""
    (inside, turns), thick = curl(job), strip(job)
    length = job.plan().plain("curl_length")

    def round_on(across: float) -> float:
        return math.pi * across * turns

    mean = inside + thick * (1 + turns)
    return Worked(
        length,
        {
            "inside way round": round_on(inside),
            "growth forgotten": round_on(inside + thick),
            "outermost circle": round_on(inside + thick * (1 + 2 * turns)),
        },
        {
            "inside": inside,
            "strip": thick,
            "turns": turns,
            "times": say("once" if turns == 1 else "several"),
            "first_circle": inside + thick,
            "growth": 2 * thick * turns,
            "mean_circle": mean,
            "length": length,
            "more": 0.05 * math.pi * turns * (1 + turns),
        },
    )


def work_strip(job: JobInHand) -> Worked:
    """The whole strip, in mm."""
    plan = job.plan()
    base, arm, one_curl = plan.plain("fold_lines"), plan.plain("arm"), plan.plain("curl_length")
    whole = plan.plain("strip_length")
    one_side = base + arm + one_curl
    return Worked(
        whole,
        {
            "one curl": one_side,
            "arms forgotten": base + 2 * one_curl,
            "base forgotten": unless_near(2 * (arm + one_curl), 0.11, one_side),
        },
        {
            "base": base,
            "arm": arm,
            "curl": one_curl,
            "side": arm + one_curl,
            "whole": whole,
            "less": _short_by(job, 0.5),
        },
    )


def _short_by(job: JobInHand, missing: float) -> float:
    """How much less a curl goes round, in degrees, where so many mm of strip are missing at its end."""
    inside, turns = curl(job)
    return math.degrees(missing / ((inside + strip(job)) / 2 + strip(job) * turns))


def _thick(job: JobInHand) -> float:
    """The strip as it is when it is folded: papered, not yet polished, in mm."""
    return job.plan().plain("strip_thickness_before_polishing")


def _deep(job: JobInHand) -> float:
    return job.choices["fold_share"] * _thick(job)


def work_cut(job: JobInHand) -> Worked:
    """How deep a fold is sawn, in mm."""
    thick, deep = _thick(job), _deep(job)
    left = (1 - job.choices["fold_share"]) * thick
    return Worked(
        deep,
        {"what is left": left, "right through": thick, "a third": thick / 3},
        {"thick": thick, "share": job.choices["fold_share"], "deep": deep, "left": left},
    )


def blade(job: JobInHand) -> float:
    """How wide the saw at hand cuts, in mm: for each piece another blade of the course's table."""
    kerfs = numbers_of("blades", "kerf_mm")
    # where the cuts come out nearly even, a rounded number would say one more or one fewer
    clear = [kerf for kerf in kerfs if 0.07 <= (_goes_in(job, kerf) % 1) <= 0.93]
    at_hand = clear or list(kerfs)
    return at_hand[turn(job, "strip_width", len(at_hand))]


def _each(job: JobInHand, kerf: float) -> float:
    """What one cut with this blade closes through, in degrees."""
    return float(saw_fold.plain(job.choices["fold_angle"], kerf, _deep(job)).angle_per_cut)


def _goes_in(job: JobInHand, kerf: float) -> float:
    return job.choices["fold_angle"] / _each(job, kerf)


def cuts(job: JobInHand) -> int:
    """How many cuts a fold takes with the blade at hand."""
    return int(saw_fold.plain(job.choices["fold_angle"], blade(job), _deep(job)).cuts)


def work_cuts(job: JobInHand) -> Worked:
    """How many cuts a fold takes."""
    needed, kerf = cuts(job), blade(job)
    return Worked(
        needed,
        {
            "rounded down": unless_near(float(needed - 1), 0.5, 1.0),
            "one too many": float(needed + 1),
            "a single one": unless_near(1.0, 0.5, float(needed)),
        },
        {
            "deep": _deep(job),
            "kerf": kerf,
            "each": _each(job, kerf),
            "fold": job.choices["fold_angle"],
            "goes_in": _goes_in(job, kerf),
            "cuts": needed,
            "closes": job.choices["fold_angle"] / needed,
            "own_blade": job.choices.fold_blade,
            "own_cuts": job.plan().fold.cuts,
        },
    )


def right_order(job: JobInHand) -> list[str]:
    """The steps that are asked of this piece, as the job card has them."""
    asked = _ASKED[turn(job, "base_length", len(_ASKED))] | {"curl", "cut", "fold"}
    return [name for name in _ORDER if name in asked]


def work_order(job: JobInHand) -> Worked:
    """The steps of the scroll in order; they are shown mixed up, for each piece in another way."""
    order = right_order(job)
    return Worked(
        order,
        {
            "sawn before curled": moved(order, "cut", "curl", after=False),
            "curled after folding": moved(order, "curl", "fold", after=True),
            "drilled after folding": moved(order, "hole", "fold", after=True),
            "papered after curling": moved(order, "paper", "curl", after=True),
            "plate before folds": moved(order, "plate", "solder", after=False),
            "burnished before the fire": moved(order, "burnish", "solder", after=False),
        },
        {"reasons": [say(name, at=at) for at, name in enumerate(order, 1)]},
        shown=turned_round(job, "plate_thickness", [name for name in _SHUFFLED if name in order]),
    )


def _gaps(job: JobInHand) -> tuple[float, float]:
    """Gap and post of the pattern, in mm."""
    return job.readings["curl_gap"].value, job.readings["post_wire"].value


def _good_gap(job: JobInHand) -> float:
    """The gap of the pattern, in mm; where that one is worn wide, nine tenths of the post."""
    gap, post = _gaps(job)
    return gap if gap < post else 0.9 * post


def _hard(job: JobInHand) -> float:
    """What the strip bears as it was rolled, in MPa."""
    return worked_yield(job.plan().runs["scroll"], alloy_facts(job.alloy))


def _soft(job: JobInHand) -> float:
    return alloy_facts(job.alloy).yield_soft


def _stress_at(job: JobInHand, gap: float) -> float:
    """The stress with another gap: it goes with how far the post pushes the curls apart."""
    pattern, post = _gaps(job)
    return job.plan().plain("grip_stress") * max(post - gap, 0.0) / (post - pattern)


def nut_asked(job: JobInHand) -> tuple[str, float]:
    """How the nut was treated, and the gap it has, in mm: for each piece another."""
    pattern, post = _gaps(job)
    way = ("hard", "hot", "wide", "tight")[turn(job, "plate_diameter", 4)]
    if pattern >= post:
        return "hard", pattern
    # so far together that the strip is stressed to a quarter over what it bears
    tight = post - 1.25 * _hard(job) / job.plan().plain("grip_stress") * (post - pattern)
    if way == "tight":
        return ("tight", round(tight, 2)) if tight > 0.1 else ("hard", pattern)
    return (way, math.ceil(post * 20 - 1e-9) / 20) if way == "wide" else (way, pattern)


def _asked_stress(job: JobInHand) -> float:
    pattern, post = _gaps(job)
    return _stress_at(job, nut_asked(job)[1]) if post > pattern else 0.0


def _asked_bears(job: JobInHand) -> float:
    return _soft(job) if nut_asked(job)[0] == "hot" else _hard(job)


def springs(job: JobInHand) -> str:
    """What the nut that is asked for does on its post."""
    if nut_asked(job)[1] >= _gaps(job)[1]:
        return "loose"
    return "springs" if _asked_stress(job) <= _asked_bears(job) else "stays"


def work_spring(job: JobInHand) -> Worked:
    """What a nut does that was treated in one of four ways."""
    (way, gap), (_, post) = nut_asked(job), _gaps(job)
    stress, does = _asked_stress(job), springs(job)
    return Worked(
        does,
        holes={
            "made": say(way),
            "pushed": say("pushed" if gap < post else "not_pushed"),
            "found": say("not_apart" if does == "loose" else "soft_bears" if way == "hot" else "hard_bears"),
            "of_the_fold": say(_of_the_fold(does, way, stress <= _soft(job))),
            "cure": say("keep_cool" if way == "hot" else "gap_of"),
            "gap": gap,
            "post": post,
            "stress": stress,
            "hard": _hard(job),
            "soft": _soft(job),
            "bears": _asked_bears(job),
            "good_gap": _good_gap(job),
        },
    )


def _of_the_fold(does: str, way: str, soft_bears: bool) -> str:
    """What is said of the fold itself, which was hot, whatever was done for the curls."""
    if does == "loose":
        return "close"
    if does == "stays":
        return "less_bending"
    if way == "hot":
        return "if_cool"
    return "fold_holds" if soft_bears else "fold_gives"


def work_slides(job: JobInHand) -> Worked:
    """Why a nut slides off: for each piece another cause."""
    cause = ("soft", "wide", "fold", "opened")[turn(job, "strip_thickness", 4)]
    return Worked(cause, holes={"gap": _good_gap(job)}, way=cause)
