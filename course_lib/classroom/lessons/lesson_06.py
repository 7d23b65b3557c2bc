"""Lesson 06, Scroll: strip for the curls, folds by saw cuts, and whether it springs."""

import math

from course_lib.bench.alloy import alloy_facts
from course_lib.bench.forming import saw_fold
from course_lib.bench.stock import worked_yield
from course_lib.bench.tables import numbers_of
from course_lib.classroom.exercise import Lesson, Slip, turn, unless_it_is, unless_near
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


def _times(job: JobInHand) -> str:
    return "once" if curl(job)[1] == 1 else f"{curl(job)[1]:g} times"


def _round(across: float, turns: float) -> float:
    return math.pi * across * turns


CURL = SizeAsked(
    name="curl",
    title="Strip in one curl",
    task=lambda job: (
        f"A curl is {curl(job)[0]:.2f} mm across inside, of strip {strip(job):.2f} mm thick, and goes round "
        f"{_times(job)}, each turn lying on the one before. How long is the strip in it, along "
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
            "the middle of the strip keeps its length.",
        ),
        Slip(
            "growth forgotten",
            lambda job: _round(curl(job)[0] + strip(job), curl(job)[1]),
            "You went round on the first circle only. Each turn lies on the one before, so it is wider by "
            "two thicknesses by the time it is round.",
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
    well_done=lambda job: (
        f"A strip only 0.05 mm thicker wants {0.05 * math.pi * curl(job)[1] * (1 + curl(job)[1]):.1f} mm "
        "more in each curl. So gauge the strip that you rolled, and not the one that you meant to roll."
    ),
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
    well_done=lambda job: (
        f"Cut half a millimetre too short at one end, that curl goes round {_short_by(job, 0.5):.0f}° "
        "less, and the nut is lopsided. Too long can be snipped. So cut a little long, and mark the middle "
        "first."
    ),
)


def _short_by(job: JobInHand, missing: float) -> float:
    """How much less a curl goes round, in degrees, where so many mm of strip are missing at its end."""
    inside, turns = curl(job)
    return math.degrees(missing / ((inside + strip(job)) / 2 + strip(job) * turns))


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
    well_done=lambda job: (
        f"Under the cut {(1 - _share(job)) * _thick(job):.2f} mm stay: about a sheet of writing paper. "
        "One stroke too many and the strip is in two. So look from the side after every second stroke."
    ),
)


# --- how many cuts --------------------------------------------------------------------------------------


def blade(job: JobInHand) -> float:
    """How wide the saw at hand cuts, in mm: for each piece another blade of the course's table."""
    kerfs = numbers_of("blades", "kerf_mm")
    # where the cuts come out nearly even, a rounded number would say one more or one fewer
    clear = [kerf for kerf in kerfs if 0.07 <= (_goes_in(job, kerf) % 1) <= 0.93]
    at_hand = clear or list(kerfs)
    return at_hand[turn(job, "strip_width", len(at_hand))]


def _deep(job: JobInHand) -> float:
    return _share(job) * _thick(job)


def _each(job: JobInHand, kerf: float) -> float:
    """What one cut with this blade closes through, in degrees."""
    return float(saw_fold.plain(job.choices["fold_angle"], kerf, _deep(job)).angle_per_cut)


def _goes_in(job: JobInHand, kerf: float) -> float:
    return job.choices["fold_angle"] / _each(job, kerf)


def cuts(job: JobInHand) -> int:
    """How many cuts a fold takes with the blade at hand."""
    return int(saw_fold.plain(job.choices["fold_angle"], blade(job), _deep(job)).cuts)


CUTS = NumberAsked(
    name="cuts",
    title="How many cuts",
    task=lambda job: (
        f"One cut {_deep(job):.2f} mm deep with a blade that cuts {blade(job):.2f} mm wide closes until "
        "its lips "
        f"touch: through {_each(job, blade(job)):.0f}°. How many cuts, side by side, does a fold of "
        f"{job.choices['fold_angle']:.0f}° need?"
    ),
    counted="cuts",
    expected=cuts,
    slips=(
        Slip(
            "rounded down",
            lambda job: unless_near(float(cuts(job) - 1), 0.5, 1.0),
            "With so few the fold stops before it is square. Part of a cut is no cut: round up.",
        ),
        Slip(
            "one too many",
            lambda job: float(cuts(job) + 1),
            "One fewer does it. Every cut weakens the fold and takes solder.",
        ),
        Slip(
            "a single one",
            lambda job: unless_near(1.0, 0.5, float(cuts(job))),
            "One cut closes long before the fold is square.",
        ),
    ),
    clue="How often does the angle of one cut go into the whole fold? Round up.",
    working=lambda job: (
        f"1. {job.choices['fold_angle']:.0f}° / {_each(job, blade(job)):.1f}° = "
        f"{_goes_in(job, blade(job)):.2f}\n"
        f"2. Rounded up: {cuts(job)}"
    ),
    basis="common practice",
    source="",
    objective="fold",
    well_done=lambda job: (
        f"Each of them closes through {job.choices['fold_angle'] / cuts(job):.0f}° only, of the "
        f"{_each(job, blade(job)):.0f}° it could. So stop when the fold is square, and not when the lips "
        "touch: "
        f"what stays open is filled with solder. With the {job.choices.fold_blade} blade on your sheet it "
        "would "
        f"be {job.plan().fold.cuts}."
    ),
)


# --- order ----------------------------------------------------------------------------------------------

_STEPS = {
    "paper": "paper both faces of the strip",
    "dimple": "punch the guide dimple in the middle",
    "hole": "drill the hole for the post",
    "curl": "curl both ends",
    "cut": "saw the cuts of both folds",
    "fold": "fold both arms up",
    "solder": "run solder into the folds",
    "plate": "solder the base to the back plate",
    "burnish": "burnish the arms, to give back some spring",
}
_SHUFFLED = ("fold", "paper", "plate", "hole", "burnish", "curl", "dimple", "solder", "cut")
_ASKED = (
    {"dimple", "hole", "solder"},
    {"paper", "hole", "plate"},
    {"hole", "solder", "burnish"},
    {"paper", "solder", "plate"},
    {"dimple", "solder", "plate"},
)


def right_order(job: JobInHand) -> list[str]:
    """The steps that are asked of this piece, as the job card has them."""
    asked = _ASKED[turn(job, "base_length", len(_ASKED))] | {"curl", "cut", "fold"}
    return [name for name in _STEPS if name in asked]


def _mixed(job: JobInHand) -> dict[str, str]:
    """The same steps, mixed up for each piece in another way."""
    asked = [name for name in _SHUFFLED if name in right_order(job)]
    first = turn(job, "plate_thickness", len(asked))
    return {name: _STEPS[name] for name in asked[first:] + asked[:first]}


def _moved(job: JobInHand, name: str, beside: str, after: bool) -> list[str] | None:
    """The right order with one step put just before or after another; nothing where either is not asked."""
    order = right_order(job)
    if name not in order or beside not in order:
        return None
    order.remove(name)
    order.insert(order.index(beside) + after, name)
    return order


def _out_of_order(called: str, name: str, beside: str, after: bool, says: str) -> Slip:
    return Slip(called, lambda job: _moved(job, name, beside, after), says)


_REASONS = {
    "paper": "Paper first, while there is no edge for it to catch on",
    "dimple": "The dimple guides the drill",
    "hole": "Drill while the strip lies flat under its clamp",
    "curl": "Curl while there is room all round, and while the strip is strong at the folds",
    "cut": "Saw from inside, once nothing else will bend it",
    "fold": "Fold up until the gap is right",
    "solder": "Solder closes the folds: first the solder that flows later",
    "plate": "Then the plate, with the solder that flows first",
    "burnish": "Spring is given back last: any heat after it would take it again",
}

ORDER = OrderAsked(
    name="order",
    title="In which order",
    task="Put these steps for the scroll in order.",
    items=_mixed,
    first="the first step",
    expected=right_order,
    slips=(
        _out_of_order(
            "sawn before curled", "cut", "curl", False,
            "You saw before you curl. A strip sawn three quarters through is weak there: it bends at its "
            "cuts, and not at its end where you want the curl.",
        ),
        _out_of_order(
            "curled after folding", "curl", "fold", True,
            "You curl after folding. Between two arms that stand up there is hardly room to turn a curl, "
            "and all the bending pulls at the folds.",
        ),
        _out_of_order(
            "drilled after folding", "hole", "fold", True,
            "You drill after folding. Between two arms there is no room to hold the strip, and the drill "
            "takes it.",
        ),
        _out_of_order(
            "papered after curling", "paper", "curl", True,
            "You paper after curling. No paper reaches the inside of a curl.",
        ),
        _out_of_order(
            "plate before folds", "plate", "solder", False,
            "You solder the plate first. The folds have the solder that flows later: at their heat the "
            "plate would come loose again.",
        ),
        _out_of_order(
            "burnished before the fire", "burnish", "solder", False,
            "You burnish before the fire. Heat takes away the spring that burnishing gave.",
        ),
    ),
    clue="For each step ask: can I still hold it, does anything stand in the way, and what will the next "
    "step do to it?",
    working=lambda job: "\n".join(f"{at}. {_REASONS[name]}" for at, name in enumerate(right_order(job), 1)),
    basis="common practice",
    source="",
    objective="order",
    well_done="While the folds are soldered, heavy tweezers on the curls lead the heat away. They are only a "
    "millimetre or two from the flame.",
)  # fmt: skip


# --- spring ---------------------------------------------------------------------------------------------


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


_MADE = {
    "hard": "The curls were kept cool in the fire.",
    "hot": "In the fire nobody held the curls, and the whole strip was as hot as the solder.",
    "wide": "The curls were kept cool in the fire. On the mop they were bent apart a little.",
    "tight": "The curls were kept cool in the fire. Then, to make it grip better, they were pressed close "
    "together.",
}


def _told_of_the_nut(job: JobInHand) -> str:
    way, gap = nut_asked(job)
    told = f"A nut for your post of {_gaps(job)[1]:.2f} mm: its gap is {gap:.2f} mm. {_MADE[way]} "
    if gap < _gaps(job)[1]:
        told += f"Pushed open by the post, the strip is stressed to {_asked_stress(job):.0f} MPa. "
    return told + (
        f"This alloy springs back from up to {_hard(job):.0f} MPa as hard as it was rolled, and from up to "
        f"{_soft(job):.0f} MPa when it is soft. What will the nut do?"
    )


def _of_the_fold(job: JobInHand) -> str:
    """The fold itself was hot, whatever was done for the curls."""
    stress, said = _asked_stress(job), "the fold itself was at the heat of solder"
    if springs(job) == "loose":
        return f"Close the curls to a gap of about {_good_gap(job):.2f} mm, and try it on the post."
    if springs(job) == "stays":
        cure = (
            "keep the curls cool in the fire"
            if nut_asked(job)[0] == "hot"
            else f"a gap of about {_good_gap(job):.2f} mm"
        )
        return f"Bent curls can be closed again, but not often. The cure is less bending: {cure}."
    if nut_asked(job)[0] == "hot":
        return (
            f"Kept cool, it would bear {_hard(job):.0f} MPa. Pulled off askew it is bent more than the "
            "sum says, and soft as it is, it may stay open. Burnish the arms."
        )
    if stress <= _soft(job):
        return (
            f"And {said} and is soft: even there {_soft(job):.0f} MPa are enough. A sum, and so a guide only."
        )
    return f"But {said} and bears {_soft(job):.0f} MPa only: it will give a little there. Burnish the arms."


SPRING = ChoiceAsked(
    name="spring",
    title="Does it spring?",
    task=_told_of_the_nut,
    choices=lambda job: {
        "springs": "spring: it grips each time it is pushed on",
        "stays": "stay bent open: it grips once and is loose ever after",
        "loose": "not grip at all: the gap is as wide as the post, or wider",
    },
    expected=springs,
    slips=(
        unless_it_is(
            springs,
            "springs",
            "To spring, the curls must first be pushed apart, and then be stressed to less than what the "
            "strip bears. Is it hard or soft here?",
        ),
        unless_it_is(
            springs,
            "stays",
            "To stay open, a strip must be stressed to more than what it bears. Look first whether the post "
            "pushes the curls apart at all, and then whether the strip is hard or soft.",
        ),
        unless_it_is(
            springs,
            "loose",
            "Here the post is thicker than the gap, so it pushes the curls apart, and they press back.",
        ),
    ),
    clue="Three questions: is the post thicker than the gap? Is the strip hard or soft? Is the stress "
    "above or below what it bears?",
    working=lambda job: (
        f"1. Post {_gaps(job)[1]:.2f} mm, gap {nut_asked(job)[1]:.2f} mm\n"
        + (
            "2. The post does not push the curls apart"
            if springs(job) == "loose"
            else f"2. Stress {_asked_stress(job):.0f} MPa; "
            f"{'soft' if nut_asked(job)[0] == 'hot' else 'hard'}, it bears {_asked_bears(job):.0f} MPa"
        )
    ),
    basis="handbook",
    source="a straight cantilever, Bansal, Strength of Materials, 13.1; a guide, for a curl is no "
    "straight strip; what the alloy bears from memory",
    objective="spring",
    well_done=_of_the_fold,
)


# --- what went wrong ------------------------------------------------------------------------------------

_CAUSES = {
    "fold": "a fold was not run with solder, and has begun to break",
    "soft": "the curls got too hot when the nut was soldered",
    "opened": "it was bent open once, beyond its spring",
    "wide": "the gap was never narrower than the post",
}
_SIGNS = {
    "soft": "On the first day it gripped, and each day since a little less. Press the curls together with "
    "tweezers: they stay just where you put them.",
    "wide": "It never gripped, from the first day on. With the post in, you see light between post and "
    "curls. Press the curls together with tweezers: they spring back.",
    "fold": "It gripped well for weeks, and then from one push to the next no more. One curl leans "
    "outward, the other stands as it was. Inside one bend you see a dark line.",
    "opened": "It gripped well, until it was pushed over the thicker post of another earring. Both curls "
    "lean outward alike. Press them together a little: they spring back.",
}


def _cause(job: JobInHand) -> str:
    return tuple(_SIGNS)[turn(job, "strip_thickness", 4)]


def _mended(job: JobInHand) -> str:
    gap = _good_gap(job)
    return {
        "soft": f"Close the curls to {gap:.2f} mm, and rub the arms hard with a burnisher: that gives "
        "back some spring. If it is slack again in a week, make a new scroll.",
        "wide": f"Close the curls until a drill shank of {gap:.2f} mm just goes between them. Press "
        "further than that, for they spring back.",
        "fold": "If the strip still holds, clean it and flux it, and run the fold with the solder that flows "
        "first of all, or the plate comes loose. Grip the curls in heavy tweezers. If it is broken through, "
        "make a new scroll.",
        "opened": f"Close the curls again to {gap:.2f} mm. It has kept its hardness. But each time it is "
        "bent and bent back, it comes nearer to a crack.",
    }[_cause(job)]


SLIDES = SymptomAsked(
    name="slides",
    title="The nut slides off",
    task=lambda job: f"A nut slides off its post by itself. {_SIGNS[_cause(job)]} Why does it slide off?",
    choices=lambda job: dict(_CAUSES),
    expected=_cause,
    slips=(
        unless_it_is(
            _cause,
            "fold",
            "A fold that breaks lets one curl go, and the other stands. Do both lean here, or one, or none?",
        ),
        unless_it_is(
            _cause,
            "soft",
            "Soft metal stays where it is bent, a little more each day. Did it come slowly here? And does "
            "the metal spring back when you press it?",
        ),
        unless_it_is(
            _cause,
            "opened",
            "A hard scroll that is bent open too far stays open from that moment on, on both sides alike. "
            "Was there such a moment here?",
        ),
        unless_it_is(
            _cause,
            "wide",
            "With too wide a gap it never gripped at all. Did it grip at first?",
        ),
    ),
    clue="When did it begin: at once, slowly, or from one moment to the next? And does one side differ "
    "from the other?",
    working=lambda job: (
        f"1. What is seen: {_SIGNS[_cause(job)]}\n"
        "2. Never gripped: too wide. Slowly less, and stays where it is put: soft. Suddenly, on one side: "
        "a fold. "
        "Suddenly, on both: bent open\n"
        f"3. So {_CAUSES[_cause(job)]}"
    ),
    basis="common practice",
    source="",
    objective="spring",
    well_done=_mended,
)


LESSON = Lesson(
    number="06",
    title="Scroll",
    minutes=35,
    objectives={
        "strip": "work out the strip for two curls and a base",
        "fold": "work out depth and number of the saw cuts of a fold",
        "order": "put the steps of the scroll in order, and say why",
        "spring": "say whether the nut springs, and why one does not",
    },
    exercises=(CURL, STRIP, CUT, CUTS, ORDER, SPRING, SLIDES),
    earlier=("04", "05"),
    stage="scroll",
)
