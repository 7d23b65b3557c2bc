"""Lesson 10, Post: length to trim, stiffness, and what bends it for good."""

import math
from collections.abc import Callable

from course_lib.bench.alloy import alloy_facts
from course_lib.bench.post import load_that_bends, post_blank, tip_give
from course_lib.classroom.exercise import Lesson, Slip, turn
from course_lib.classroom.fineness import Step, TwoFigures
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.lists import OrderAsked, SymptomAsked
from course_lib.classroom.sizes import NumberAsked, SizeAsked

_BOOK = "Bansal, Strength of Materials"


def post(job: JobInHand) -> tuple[float, float]:
    """The post's diameter and length, in mm."""
    return job.readings["post_wire"].value, job.readings["post_length"].value


def knock(job: JobInHand) -> float:
    """A light knock at the tip, in N."""
    return job.choices["slip_load"]


def _spare(job: JobInHand) -> float:
    return job.choices["post_spare"]


BLANK = SizeAsked(
    name="blank",
    title="How long to cut it",
    task=lambda job: (
        f"The pattern's post is {post(job)[1]:.2f} mm long. You leave {_spare(job):.1f} mm to trim at the "
        "end. The other end is "
        "filed square and soldered on. How long do you cut it?"
    ),
    expected=lambda job: post_blank.plain(post(job)[1], _spare(job)),
    unit="mm",
    fineness=Step(0.1, "it is trimmed last, so a tenth will do"),
    slips=(
        Slip(
            "both ends",
            lambda job: post(job)[1] + 2 * _spare(job),
            "You left it at both ends. The root is soldered: only the tip is trimmed.",
        ),
        Slip(
            "as long as the pattern",
            lambda job: post(job)[1],
            "Then there is nothing to trim, and no second try.",
        ),
        Slip(
            "shorter", lambda job: post(job)[1] - _spare(job), "You took it off. Too short is lost for good."
        ),
    ),
    clue="At which end is it trimmed?",
    working=lambda job: f"1. {post(job)[1]:.2f} + {_spare(job):.1f} = {post(job)[1] + _spare(job):.1f} mm",
    basis="common practice",
    source="",
    objective="length",
    well_done=lambda job: (
        f"The {_spare(job):.1f} mm are what you hold it by, and they leave room to file the foot a second "
        "time. Trim it last, beside the pattern, and round the tip."
    ),
)


# --- give -----------------------------------------------------------------------------------------------


def _modulus(job: JobInHand) -> float:
    return alloy_facts(job.alloy).elastic_modulus


def _give(job: JobInHand) -> float:
    return float(tip_give.plain(*post(job), knock(job), _modulus(job)))


def _inertia(wire: float) -> float:
    return math.pi * wire**4 / 64


GIVE = SizeAsked(
    name="give",
    title="How far the tip gives",
    task=lambda job: (
        f"The post is {post(job)[0]:.2f} mm thick and {post(job)[1]:.2f} mm long, of metal with a "
        "stiffness of "
        f"{_modulus(job) / 1000:.0f} GPa ({_modulus(job):.0f} N/mm²). Something knocks its tip with "
        f"{knock(job):g} N. How far "
        "does the tip give way?\n\ngive = F L³ / (3 E I), with I = π d⁴ / 64"
    ),
    expected=_give,
    unit="mm",
    fineness=TwoFigures(),
    slips=(
        Slip(
            "radius for diameter",
            lambda job: knock(job) * post(job)[1] ** 3 / (3 * _modulus(job) * _inertia(post(job)[0] / 2)),
            "You put the radius into I. The formula asks for the diameter; the fourth power makes it "
            "sixteen times.",
        ),
        Slip(
            "I of the whole circle",
            lambda job: (
                knock(job) * post(job)[1] ** 3 / (3 * _modulus(job) * math.pi * post(job)[0] ** 4 / 32)
            ),
            "You divided by 32. For bending it is 64.",
        ),
        Slip(
            "the three forgotten",
            lambda job: 3 * _give(job),
            "You left out the 3 under the line.",
        ),
        Slip(
            "length squared",
            lambda job: knock(job) * post(job)[1] ** 2 / (3 * _modulus(job) * _inertia(post(job)[0])),
            "You squared the length. Give grows with the third power of it.",
        ),
    ),
    clue="First I, from the diameter to the fourth power. Then everything in N and mm.",
    working=lambda job: (
        f"1. I = π × {post(job)[0]:.2f}⁴ / 64 = {_inertia(post(job)[0]):.5f} mm⁴\n"
        f"2. {knock(job):g} × {post(job)[1]:.2f}³ / (3 × {_modulus(job):.0f} × "
        f"{_inertia(post(job)[0]):.5f}) = {_give(job):.3f} mm"
    ),
    basis="handbook",
    source=f"cantilever with a load at its end: {_BOOK}, 13.1",
    objective="stiff",
    well_done=lambda job: (
        "It springs back from that. A longer post gives far more: with one millimetre more, the same knock "
        f"moves the tip by {_give(job) * ((post(job)[1] + 1) / post(job)[1]) ** 3:.2f} mm. The length goes "
        "with its third power."
    ),
)


# --- stays bent -----------------------------------------------------------------------------------------


def _soft(job: JobInHand) -> float:
    return alloy_facts(job.alloy).yield_soft


def _bends(job: JobInHand) -> float:
    return float(load_that_bends.plain(*post(job), _soft(job)))


def _bends_hard(job: JobInHand) -> float:
    return float(load_that_bends.plain(*post(job), alloy_facts(job.alloy).yield_hard))


BENDS = SizeAsked(
    name="bends",
    title="When it stays bent",
    task=lambda job: (
        f"At its root the post was heated by its own joint: there it bears {_soft(job):.0f} N/mm² before "
        "it stays bent. It is "
        f"{post(job)[0]:.2f} mm thick and {post(job)[1]:.2f} mm long. Which load at the tip leaves it "
        "bent?\n\n"
        "load = stress × π d³ / 32 / L"
    ),
    expected=_bends,
    unit="newton",
    fineness=TwoFigures(),
    sample="12 N",
    slips=(
        Slip(
            "as hard as drawn",
            _bends_hard,
            "That is for hard wire. The root was annealed by its own joint.",
        ),
        Slip(
            "radius for diameter",
            lambda job: float(load_that_bends.plain(post(job)[0] / 2, post(job)[1], _soft(job))),
            "You put in the radius. The formula asks for the diameter.",
        ),
        Slip(
            "length forgotten",
            lambda job: _soft(job) * math.pi * post(job)[0] ** 3 / 32,
            "That is the bending moment. The load has the whole length for a lever: divide by it.",
        ),
    ),
    clue="First what the root bears as a moment; then divide by the lever.",
    working=lambda job: (
        f"1. π × {post(job)[0]:.2f}³ / 32 = {math.pi * post(job)[0] ** 3 / 32:.4f} mm³\n"
        f"2. × {_soft(job):.0f} N/mm² = {_soft(job) * math.pi * post(job)[0] ** 3 / 32:.1f} N mm\n"
        f"3. / {post(job)[1]:.2f} mm = {_bends(job):.1f} N"
    ),
    basis="handbook",
    source=f"first yield of a round bar in bending: {_BOOK}; what the alloy bears: from memory",
    objective="stiff",
    well_done=lambda job: (
        f"Fully hard, the same wire bears {alloy_facts(job.alloy).yield_hard:.0f} N/mm², and so "
        f"{_bends_hard(job):.1f} N. Burnishing or twisting does not make all of it so hard, but its skin, "
        "and it is the skin that bears most."
    ),
)


def other_wire(job: JobInHand) -> int:
    """By how much the wire in the drawer is thicker than the post, in per cent; below 0 it is thinner."""
    return (10, -8, 8, -10, 12)[turn(job, "plate_thickness", 5)]


def _as_stiff(job: JobInHand, power: int = 4) -> float:
    return float((1 + other_wire(job) / 100) ** power)


def _how_other(job: JobInHand) -> str:
    return f"{abs(other_wire(job))} % {'thicker' if other_wire(job) > 0 else 'thinner'}"


def _what_the_other_costs(job: JobInHand) -> str:
    says = (
        f"The knock that moved the tip by {_give(job):.2f} mm moves it by {_give(job) / _as_stiff(job):.2f} "
        f"mm, and the load that bends it goes from {_bends(job):.1f} to "
        f"{_bends(job) * _as_stiff(job, 3):.1f} N. "
    )
    if other_wire(job) > 0:
        return says + "But does it still go through the ear, and through the nut?"
    return says + "A paper too many on a post does the same."


STIFFER = NumberAsked(
    name="stiffer",
    title="The wire in the drawer",
    task=lambda job: (
        f"The only wire in your drawer is {_how_other(job)} than the pattern's post. How many times as stiff "
        "is a post of that wire? Answer to two decimals."
    ),
    counted="times",
    expected=_as_stiff,
    fineness=Step(0.02, "two decimals are enough"),
    sample="9.87",
    slips=(
        Slip(
            "like the diameter",
            lambda job: _as_stiff(job, 1),
            "It would be, if stiffness went with the diameter. It goes with the fourth power.",
        ),
        Slip(
            "by the area",
            lambda job: _as_stiff(job, 2),
            "That is the area: how much metal there is. Metal further from the middle stiffens far more.",
        ),
        Slip(
            "by the cube",
            lambda job: _as_stiff(job, 3),
            "The cube is for strength: when it stays bent. Stiffness goes with the fourth power.",
        ),
    ),
    clue="In I = π d⁴ / 64 only d has changed.",
    working=lambda job: (
        f"1. It is {1 + other_wire(job) / 100:g} times as thick\n"
        f"2. {1 + other_wire(job) / 100:g}⁴ = {_as_stiff(job):.2f} times"
    ),
    basis="handbook",
    source=f"{_BOOK}, 13.1",
    objective="stiff",
    well_done=_what_the_other_costs,
)


def leans(job: JobInHand) -> float:
    """How far the post in the question leans, in degrees; for each piece another."""
    return (2.0, 3.0, 1.5, 2.5)[turn(job, "post_wire", 4)]


def _off(job: JobInHand) -> float:
    return post(job)[1] * math.sin(math.radians(leans(job)))


def _gap_at_root(job: JobInHand) -> float:
    return post(job)[0] * math.sin(math.radians(leans(job)))


TILT = SizeAsked(
    name="tilt",
    title="Out of square",
    task=lambda job: (
        f"The post of {post(job)[1]:.2f} mm stands {leans(job):g}° out of square. How far is its tip beside "
        "where it should be?"
    ),
    expected=_off,
    unit="mm",
    fineness=Step(0.05, "an angle is seen no finer"),
    slips=(
        Slip(
            "radians",
            lambda job: post(job)[1] * math.sin(leans(job)),
            "Your calculator took the angle in radians. Switch it to degrees: this is a small angle.",
        ),
        Slip(
            "how much lower it is",
            lambda job: post(job)[1] * (1 - math.cos(math.radians(leans(job)))),
            "That is how much lower the tip is. How far aside?",
        ),
        Slip(
            "angle as a part of the length",
            lambda job: post(job)[1] * leans(job) / 100,
            "You took degrees for per cent. Sine of the angle times the length.",
        ),
    ),
    clue="Length times the sine of the angle.",
    working=lambda job: (
        f"1. Sine of {leans(job):g}°: {math.sin(math.radians(leans(job))):.4f}\n2. {post(job)[1]:.2f} × "
        f"{math.sin(math.radians(leans(job))):.4f} = {_off(job):.2f} mm"
    ),
    basis="standard",
    source="right triangle",
    objective="square",
    well_done=lambda job: (
        "The root hardly shows it: across the foot of "
        f"{post(job)[0]:.2f} mm it is a gap of {_gap_at_root(job):.2f} mm on one "
        "side. So look at the tip, and not at the root."
    ),
)


def notched(job: JobInHand) -> bool:
    """Whether the pattern's post has a notch."""
    return "notch_wire" in job.readings


def _steps(job: JobInHand) -> dict[str, str]:
    """What is done to the post; a twist would go to the notch, so a notched one is burnished."""
    steps = {
        "trim": "when all else is done, trim it beside the pattern, and round the tip",
        "harden": "burnish its root all round, until it is hard again"
        if notched(job)
        else "twist it, its spare end held in pliers, until it is hard again",
        "file": "cut it with its spare, and file its root square",
        "solder": "solder it on, in the middle of the crossing, standing square",
        "notch": "turn the notch, with the wire spinning in a pin vice",
    }
    return {name: text for name, text in steps.items() if notched(job) or name != "notch"}


def _in_turn(*steps: str) -> Callable[[JobInHand], list[str]]:
    """These steps, without the notch where the pattern has none."""
    return lambda job: [step for step in steps if notched(job) or step != "notch"]


def _notch_from_cut_end(job: JobInHand) -> str:
    if not notched(job) or "notch_from_tip" not in job.readings:
        return "Feel the rounded tip with a wet finger: skin finds a burr that no eye sees."
    far = job.readings["notch_from_tip"].value
    return (
        f"The notch is turned {far:.2f} + {_spare(job):.1f} = {far + _spare(job):.2f} mm from the cut end. "
        f"When the spare is trimmed off, {far:.2f} mm are left, as on the pattern."
    )


ORDER = OrderAsked(
    name="order",
    title="In which order",
    task=lambda job: (
        "Put the steps for the post in order. "
        + (
            "(The notch must be as far from the tip as on the pattern.)"
            if notched(job)
            else "(The pattern's post is plain: it has no notch.)"
        )
    ),
    items=_steps,
    first="the first step",
    expected=_in_turn("file", "notch", "solder", "harden", "trim"),
    slips=(
        Slip(
            "notch last",
            lambda job: ["file", "solder", "harden", "trim", "notch"] if notched(job) else None,
            "You turn the notch last. A post on its earring cannot spin any more, and a notch that is "
            "filed by hand comes out deeper on one side.",
        ),
        Slip(
            "hardened before soldering",
            _in_turn("file", "notch", "harden", "solder", "trim"),
            "You hardened it, and then the torch made it soft again.",
        ),
        Slip(
            "trimmed before hardening",
            _in_turn("file", "notch", "solder", "trim", "harden"),
            "You trimmed it, and then you hold the finished tip to make it hard, and mark it. Hold it by "
            "what is trimmed off.",
        ),
        Slip(
            "trimmed before soldering",
            _in_turn("file", "notch", "trim", "solder", "harden"),
            "You trimmed it before it stood. If its foot must be filed once more, it is too short.",
        ),
    ),
    clue="What does the torch undo? What must spin freely? And what cannot be taken back?",
    working=lambda job: (
        "1. Square root first, so that solder fills a close joint\n"
        + ("2. The notch while the wire can still spin\n" if notched(job) else "")
        + f"{3 if notched(job) else 2}. Heat softens: harden after the solder\n"
        f"{4 if notched(job) else 3}. Length last: what is off is off"
    ),
    basis="common practice",
    source="",
    objective="length",
    well_done=_notch_from_cut_end,
)


# --- why it failed --------------------------------------------------------------------------------------

_CAUSES = {
    "thin": "too much was taken off its sides by papers and mop",
    "twisted": "it was twisted too far",
    "annealed": "its own joint made it soft, and it was not hardened again",
    "dry": "the solder never took on its foot",
    "deep": "its notch is too deep",
}
_SIGNS = {
    "annealed": "Its joint is whole, and it is as thick as the pattern's. But it has bent close to its root, "
    "and you straighten it there with two fingers, as if it were lead.",
    "dry": "The post fell off, whole and straight. Its foot is as smooth as the file left it; all the solder "
    "sits on the crossing.",
    "thin": "It is straight, its joint is whole, and it springs back as it should. But under a finger its "
    "tip gives more than the pattern's, and the nut rattles on it.",
    "twisted": "The post snapped off just above its joint, and the solder still holds the stump. In the "
    "loupe fine lines run round it like the thread of a screw, close together.",
    "deep": "Its root stands straight and its joint is whole. But near the tip, where the nut clicks, it "
    "bent and then tore off.",
}


def failures(job: JobInHand) -> dict[str, str]:
    """What may have gone wrong with this post; what has no notch cannot fail at it."""
    return {name: text for name, text in _CAUSES.items() if notched(job) or name != "deep"}


def _failed(job: JobInHand) -> str:
    causes = [name for name in _SIGNS if name in failures(job)]
    return causes[turn(job, "plate_thickness", len(causes))]


def _not_so(name: str, says: str) -> Slip:
    return Slip(name, lambda job: None if _failed(job) == name or name not in failures(job) else name, says)


def _mended(job: JobInHand) -> str:
    wire, length = post(job)
    fresh = f"a new post, cut to {post_blank.plain(length, _spare(job)):.1f} mm"
    left = job.readings["notch_wire"].value if notched(job) else wire
    hard = (
        "burnish its root all round"
        if notched(job)
        else "hold its tip in flat pliers and turn it two or three times round"
    )
    return {
        "annealed": f"Straighten it, and {hard}. Soft, it stays bent from {_bends(job):.1f} N on; with a "
        "hard skin it bears more. Then look from two sides.",
        "dry": "The foot was dirty, or colder than the crossing. File it bright and square, flux both, and "
        "warm the crossing first. If the file makes it shorter than "
        f"{length:.2f} mm, it is {fresh}.",
        "thin": f"Nobody puts metal back: {fresh}. A twentieth of a millimetre less makes a post of "
        f"{wire:.2f} mm {100 * (1 - ((wire - 0.05) / wire) ** 4):.0f} % less stiff.",
        "twisted": f"That needs {fresh}. Two or three turns are enough for a plain post; one with a notch is "
        "burnished.",
        "deep": f"That needs {fresh}. Gauge what is left in the notch at each stroke, and stop at the "
        f"pattern's {left:.2f} mm.",
    }[_failed(job)]


SOFT = SymptomAsked(
    name="soft",
    title="Why did the post fail?",
    task=lambda job: (
        f"An earring comes back after a week in the ear. {_SIGNS[_failed(job)]} Why, most likely?"
    ),
    choices=failures,
    expected=_failed,
    slips=(
        _not_so(
            "thin",
            "A post that lost too much to the papers is weak all along, and the nut is loose on it. Is "
            "that what you see here?",
        ),
        _not_so(
            "twisted",
            "Wire that is twisted too far gets brittle: it does not bend but snaps, and its skin is a screw. "
            "Is that what you see here?",
        ),
        _not_so(
            "annealed",
            "Soft metal bends, close to the joint that heated it, and stays bent. Is that what you see here?",
        ),
        _not_so(
            "dry",
            "Where solder never took, the post comes off whole, with no solder on its foot. Is that what you "
            "see here?",
        ),
        _not_so(
            "deep",
            "At a notch that is too deep the rest of the wire is weak, and it fails there and nowhere else. "
            "Where did this one fail?",
        ),
    ),
    clue="Where did it fail: at the joint, at the root, near the tip, or nowhere? And did it bend, snap or "
    "come off?",
    working=lambda job: (
        f"1. What is seen: {_SIGNS[_failed(job)]}\n"
        "2. Bent at the root: soft. Off without solder on its foot: never joined. Snapped, with lines round "
        "it: twisted too far. Springs, but gives and rattles: too thin"
        + (". Torn near the tip: the notch" if notched(job) else "")
        + f"\n3. So {_CAUSES[_failed(job)]}"
    ),
    basis="common practice",
    source="",
    objective="square",
    well_done=_mended,
)


LESSON = Lesson(
    number="10",
    title="Post",
    minutes=40,
    objectives={
        "length": "cut, trim and harden the post in the right order",
        "stiff": "work out how far it gives, and what leaves it bent",
        "square": "set it square, and see why a post failed",
    },
    exercises=(BLANK, GIVE, BENDS, STIFFER, TILT, ORDER, SOFT),
    earlier=("09",),
    stage="post",
)
