"""Lesson 10, Post: length to trim, stiffness, and what bends it for good."""

import math

from course_lib.bench.alloy import alloy_facts
from course_lib.bench.post import load_that_bends, post_blank, tip_give
from course_lib.classroom.exercise import Lesson, Slip
from course_lib.classroom.fineness import Step, TwoFigures
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.lists import OrderAsked, SymptomAsked
from course_lib.classroom.sizes import NumberAsked, SizeAsked

_BOOK = "Bansal, Strength of Materials"
THICKER, TILTED = 10, 2.0  # per cent, degrees


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
    well_done="Trim it against the pattern when everything else is done, and round the tip.",
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
)


# --- stays bent -----------------------------------------------------------------------------------------


def _soft(job: JobInHand) -> float:
    return alloy_facts(job.alloy).yield_soft


def _bends(job: JobInHand) -> float:
    return float(load_that_bends.plain(*post(job), _soft(job)))


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
            lambda job: float(load_that_bends.plain(*post(job), alloy_facts(job.alloy).yield_hard)),
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
)


STIFFER = NumberAsked(
    name="stiffer",
    title="A little more wire",
    task=f"You take wire that is {THICKER} % thicker. How many times as stiff is the post? Answer to two "
    "decimals.",
    counted="times",
    expected=lambda job: (1 + THICKER / 100) ** 4,
    fineness=Step(0.02, "two decimals are enough"),
    sample="9.87",
    slips=(
        Slip(
            "as much stiffer as thicker",
            lambda job: 1 + THICKER / 100,
            "It would be, if stiffness grew like the diameter. It grows with the fourth power.",
        ),
        Slip(
            "by the area",
            lambda job: (1 + THICKER / 100) ** 2,
            "That is the area: how much more metal. Metal further from the middle stiffens far more.",
        ),
        Slip(
            "by the cube",
            lambda job: (1 + THICKER / 100) ** 3,
            "The cube is for strength: when it stays bent. Stiffness goes with the fourth power.",
        ),
    ),
    clue="In I = π d⁴ / 64 only d has changed.",
    working=f"1. {1 + THICKER / 100:g}⁴ = {(1 + THICKER / 100) ** 4:.2f}",
    basis="handbook",
    source=f"{_BOOK}, 13.1",
    objective="stiff",
    well_done="So a post that is a little too thin is much too weak, and one a little too thick does not "
    "go into the ear.",
)


def _off(job: JobInHand, degrees: float = TILTED) -> float:
    return post(job)[1] * math.sin(math.radians(degrees))


TILT = SizeAsked(
    name="tilt",
    title="Out of square",
    task=lambda job: (
        f"The post of {post(job)[1]:.2f} mm stands {TILTED:g}° out of square. How far is its tip beside "
        "where it "
        "should be?"
    ),
    expected=_off,
    unit="mm",
    fineness=Step(0.05, "an angle is seen no finer"),
    slips=(
        Slip(
            "radians",
            lambda job: post(job)[1] * math.sin(TILTED),
            "Your calculator took the angle in radians. Switch it to degrees: two degrees are a small angle.",
        ),
        Slip(
            "how much lower it is",
            lambda job: post(job)[1] * (1 - math.cos(math.radians(TILTED))),
            "That is how much lower the tip is. How far aside?",
        ),
        Slip(
            "angle as a part of the length",
            lambda job: post(job)[1] * TILTED / 100,
            "You took degrees for per cent. Sine of the angle times the length.",
        ),
    ),
    clue="Length times the sine of the angle.",
    working=lambda job: (
        f"1. Sine of {TILTED:g}°: {math.sin(math.radians(TILTED)):.4f}\n2. {post(job)[1]:.2f} × "
        f"{math.sin(math.radians(TILTED)):.4f} = {_off(job):.2f} mm"
    ),
    basis="standard",
    source="right triangle",
    objective="square",
    well_done="An eye sees that from across the room, when the pair lies side by side.",
)


_STEPS = {
    "trim": "trim it to the pattern's length and round the tip",
    "file": "file its root square",
    "solder": "solder it on, in the middle of the crossing, standing square",
    "twist": "twist it, held in pliers, until it is hard again",
    "notch": "cut the notch, measured from the tip",
}
_RIGHT = ["file", "solder", "twist", "trim", "notch"]

ORDER = OrderAsked(
    name="order",
    title="In which order",
    task="Put the steps for the post in order. (The notch must be as far from the tip as on the pattern.)",
    items=lambda job: dict(_STEPS),
    first="the first step",
    expected=lambda job: _RIGHT,
    slips=(
        Slip(
            "notch before trimming",
            lambda job: ["file", "solder", "twist", "notch", "trim"],
            "You cut the notch first. When the tip is trimmed, the notch is too near to it.",
        ),
        Slip(
            "hardened before soldering",
            lambda job: ["file", "twist", "solder", "trim", "notch"],
            "You hardened it, and then the torch made it soft again.",
        ),
    ),
    clue="What does the torch undo? And from where is the notch measured?",
    working="1. Square root, so that solder fills a close joint\n2. Heat softens: harden afterwards\n3. "
    "Length first, then the "
    "notch from the tip",
    basis="common practice",
    source="",
    objective="length",
)


SOFT = SymptomAsked(
    name="soft",
    title="It bends in the hand",
    task="The post has the right thickness, and its wire was hard. A week later it bends when the nut is "
    "pushed on. Why?",
    choices=lambda job: {
        "annealed": "its own joint made it soft, and it was not hardened again",
        "long": "it is too long",
        "notch": "the tip is too round",
        "thin": "the hole in the nut is too large",
    },
    expected=lambda job: "annealed",
    slips=(
        Slip("long", lambda job: "long", "It is as long as the pattern's, and that one does not bend."),
        Slip("notch", lambda job: "notch", "A round tip goes in more easily. What has changed in the wire?"),
        Slip("thin", lambda job: "thin", "A large hole pushes less. What has changed in the wire?"),
    ),
    clue="It was hard when it was drawn. What happened to it since?",
    working="1. Soldering heats the post far beyond where metal softens\n2. Twisting works it without "
    "bending it: hold the tip in "
    "flat pliers and turn, two or three times round\n3. Look whether it stands square afterwards",
    basis="common practice",
    source="",
    objective="square",
)


LESSON = Lesson(
    number="10",
    title="Post",
    minutes=35,
    objectives={
        "length": "cut, trim and notch the post in the right order",
        "stiff": "work out how far it gives, and what leaves it bent",
        "square": "set it square, and keep it hard",
    },
    exercises=(BLANK, GIVE, BENDS, STIFFER, TILT, ORDER, SOFT),
    earlier=("09",),
    stage="post",
)
