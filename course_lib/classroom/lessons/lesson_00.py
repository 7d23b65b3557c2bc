"""Lesson 00, Start here: how the pages work, how to give an answer, and sizes as people write them."""

import math
from typing import Any

from course_lib.bench.sheet import label_of
from course_lib.bench.units import gauge_size, nearest_gauge, size
from course_lib.classroom.exercise import Lesson, Slip
from course_lib.classroom.fineness import GaugeStep, Step
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.lists import ChoiceAsked, OrderAsked
from course_lib.classroom.sizes import NumberAsked, SizeAsked

INCH = "inch: 25.4 mm exactly, international yard and pound agreement, 1959"
GAUGE = "ASTM B258: d = 0.005 in × 92^((36 − n)/39)"


def _value(job: JobInHand, key: str) -> float:
    """A size of the pattern in plain mm."""
    return job.readings[key].value


def _said(job: JobInHand, key: str) -> str:
    return f"{_value(job, key):.2f} mm"


# --- read the sheet ------------------------------------------------------------------------------------

STONE = SizeAsked(
    name="stone",
    title="Read one size",
    task=lambda job: (
        f"How wide is the stone of '{job.title}' across its girdle? The girdle is the widest line around a"
        " cut stone. Look in the table above."
    ),
    expected=lambda job: job.measured["stone_diameter"].value,
    unit="mm",
    fineness=GaugeStep("caliper"),
    slips=(
        Slip(
            "depth for diameter",
            lambda job: _value(job, "stone_depth"),
            "This is the depth of the stone, from its flat top down to its point. Across the girdle is the"
            " row 'stone, diameter'.",
        ),
        Slip(
            "radius for diameter",
            lambda job: _value(job, "stone_diameter") / 2,
            "This is half of it: from the middle to the edge. At the bench a round thing is always measured "
            "right across.",
        ),
    ),
    clue=f"The row is called '{label_of('stone_diameter')}'. Write the number and mm behind it.",
    working=lambda job: f"The table says: {label_of('stone_diameter')}, {_said(job, 'stone_diameter')}.",
    basis="common practice",
    source="",
    objective="answer",
    well_done="A number and its unit: that is how every size is answered here.",
)


# --- the slider ----------------------------------------------------------------------------------------


def _gauge(job: JobInHand) -> int:
    """The gauge number nearest to the claw wire."""
    return nearest_gauge(job.measured["claw_wire"].value)


def _gauge_mm(number: int) -> float:
    return float(gauge_size(number).m_as("mm"))


NEAREST = NumberAsked(
    name="gauge",
    title="The nearest gauge number",
    task=lambda job: (
        f"Wire is often sold by gauge number (AWG). The claws of this piece are of {_said(job, 'claw_wire')}"
        " wire. Set the slider to that size. Which gauge number is nearest?"
    ),
    expected=_gauge,
    counted="AWG",
    sample="12",
    slips=(
        Slip(
            "next thinner gauge",
            lambda job: _gauge(job) + 1,
            lambda job: (
                f"Gauge {_gauge(job) + 1} is {_gauge_mm(_gauge(job) + 1):.3f} mm. Another one is nearer."
            ),
        ),
        Slip(
            "next thicker gauge",
            lambda job: _gauge(job) - 1,
            lambda job: (
                f"Gauge {_gauge(job) - 1} is {_gauge_mm(_gauge(job) - 1):.3f} mm. Another one is nearer."
            ),
        ),
    ),
    clue=(
        "Move the slider until the picture says the size of the claw wire, then read the last line beside it."
    ),
    working=lambda job: (
        f"1. Claw wire: {_said(job, 'claw_wire')}\n"
        f"2. Gauge {_gauge(job) - 1} is {_gauge_mm(_gauge(job) - 1):.3f} mm, gauge {_gauge(job)} is "
        f"{_gauge_mm(_gauge(job)):.3f} mm, gauge {_gauge(job) + 1} is {_gauge_mm(_gauge(job) + 1):.3f} mm\n"
        f"3. The nearest is {_gauge(job)}"
    ),
    basis="standard",
    source=GAUGE,
    objective="slider",
)

THICKER = SizeAsked(
    name="one thicker",
    title="One gauge thicker",
    task=lambda job: (
        f"The supplier has no {_gauge(job)} AWG and sends the next thicker gauge. How thick is that wire? "
        "Find it with the slider, and answer in mm."
    ),
    expected=lambda job: gauge_size(_gauge(job) - 1),
    unit="mm",
    fineness=Step(0.01, "the slider has steps of 0.01 mm"),
    slips=(
        Slip(
            "thinner for thicker",
            lambda job: gauge_size(_gauge(job) + 1),
            "This is the next thinner wire. Gauge numbers run backwards: the larger the number, the thinner"
            " the wire, because it has gone through more holes of the drawplate.",
        ),
        Slip(
            "same gauge",
            lambda job: gauge_size(_gauge(job)),
            "This is the gauge that the supplier does not have. Thicker wire has a smaller number.",
        ),
        Slip(
            "two gauges",
            lambda job: gauge_size(_gauge(job) - 2),
            "This is two gauges thicker. Go only one number down.",
        ),
    ),
    clue=(
        "Thicker wire has a smaller gauge number. Move the slider to the right until the number has just"
        " changed, and read the size behind 'which is'."
    ),
    working=lambda job: (
        f"1. The nearest gauge to the claw wire is {_gauge(job)}; one thicker is {_gauge(job) - 1}\n"
        f"2. Gauge {_gauge(job) - 1} is {_gauge_mm(_gauge(job) - 1):.2f} mm"
    ),
    basis="standard",
    source=GAUGE,
    objective="slider",
    well_done="It would still have to be drawn down to the size of the pattern.",
)


# --- sizes as people write them ------------------------------------------------------------------------


def _wires(job: JobInHand) -> dict[str, str]:
    """Four wires about the claw wire, each written in another way."""
    wire = _value(job, "claw_wire")
    top = math.ceil(1.35 * wire / 25.4 * 64)
    shared = math.gcd(top, 64)
    return {
        "comma": f"{1.12 * wire:.2f} mm".replace(".", ","),
        "gauge": f"{_gauge(job) + 2} AWG",
        "inch": f"{top // shared}/{64 // shared} in",
        "thou": f"{0.95 * wire / 0.0254:.0f} thou",
    }


def _by(job: JobInHand, measure: Any) -> list[str]:
    """The wires in the order of some measure of them."""
    wires = _wires(job)
    return sorted(wires, key=lambda name: measure(name, wires[name]))


def _in_mm(name: str, text: str) -> float:
    return float(size(text).m_as("mm"))


def _printed(name: str, text: str) -> float:
    """The number as printed, without its unit."""
    number = text.split()[0].replace(",", ".")
    top, _, bottom = number.partition("/")
    return float(top) / float(bottom or 1)


def _gauge_backwards(name: str, text: str) -> float:
    return math.inf if name == "gauge" else _in_mm(name, text)


def _thou_as_hundredths(name: str, text: str) -> float:
    return _printed(name, text) / 100 if name == "thou" else _in_mm(name, text)


def _order_working(job: JobInHand) -> str:
    wires = _wires(job)
    lines = [f"{wires[name]} is {_in_mm(name, wires[name]):.3f} mm" for name in wires]
    order = ", ".join(wires[name] for name in _by(job, _in_mm))
    return "Everything in mm:\n" + "\n".join(lines) + f"\n\nFrom thin to thick: {order}"


WRITTEN = OrderAsked(
    name="written",
    title="Thin to thick",
    task=(
        "Four wires lie in the drawer, and each label is written in another way. Put them in order, the "
        "thinnest first."
    ),
    items=_wires,
    expected=lambda job: _by(job, _in_mm),
    first="the thinnest",
    slips=(
        Slip(
            "by the printed number",
            lambda job: _by(job, _printed),
            "You went by the numbers as printed. 1 in is 25.4 mm, 1 thou is 0.0254 mm, and a gauge number is"
            " no length at all: bring all four to mm first.",
        ),
        Slip(
            "thick to thin",
            lambda job: _by(job, _in_mm)[::-1],
            "This is the right order backwards. The thinnest comes first.",
        ),
        Slip(
            "gauge backwards",
            lambda job: _by(job, _gauge_backwards),
            "Three are right, but the gauge number stands at the wrong end: a large number is a thin wire.",
        ),
        Slip(
            "thou as hundredths of a millimetre",
            lambda job: _by(job, _thou_as_hundredths),
            "A thou was taken for a hundredth of a millimetre. It is a thousandth of an inch: 0.0254 mm.",
        ),
    ),
    clue="Bring each to mm: 1 in = 25.4 mm, 1 thou = 0.0254 mm. For the gauge number, use the slider above.",
    working=_order_working,
    basis="standard",
    source=f"{INCH}; {GAUGE}",
    objective="written",
    well_done="You may answer in any of these ways: 0.8 mm, 0,8 mm, 20 AWG and 1/32 in are all understood.",
)


# --- clue, working, source -----------------------------------------------------------------------------

REACH = SizeAsked(
    name="reach",
    title="From girdle to tip",
    task=(
        "How far is it from the girdle of the stone to the tip of the post, all the way down? It is not in "
        "the table: two of its rows make it. This time press Clue first."
    ),
    expected=lambda job: _value(job, "base_to_girdle") + _value(job, "post_length"),
    unit="mm",
    fineness=GaugeStep("caliper"),
    slips=(
        Slip(
            "post alone",
            lambda job: _value(job, "post_length"),
            "This is the post alone. Above its upper end the claws still go up to the girdle.",
        ),
        Slip(
            "only to the ring",
            lambda job: _value(job, "base_to_ring") + _value(job, "post_length"),
            "This reaches only to the top of the gallery ring. The girdle is higher: use 'base to girdle'.",
        ),
        Slip(
            "taken away for added",
            lambda job: abs(_value(job, "post_length") - _value(job, "base_to_girdle")),
            "The two were taken from each other. One goes up from the base wires and one goes down, so they"
            " add.",
        ),
        Slip(
            "claws over the girdle too",
            lambda job: _value(job, "base_to_girdle") + _value(job, "post_length") + _value(job, "claw_tip"),
            "This begins at the tips of the claws. They stand over the girdle: leave them out.",
        ),
    ),
    clue=(
        "Both rows begin at the same place, the underside of the base wires: 'claw, base to girdle' goes up"
        " from there, 'post, length' goes down."
    ),
    working=lambda job: (
        f"1. Up from the base wires to the girdle: {_said(job, 'base_to_girdle')}\n"
        f"2. Down from the base wires to the tip: {_said(job, 'post_length')}\n"
        f"3. Together: {_value(job, 'base_to_girdle') + _value(job, 'post_length'):.2f} mm"
    ),
    basis="common practice",
    source="",
    objective="help",
    well_done="Every exercise has a clue, a working and a source. Using them costs nothing.",
)


# --- cautions ------------------------------------------------------------------------------------------

FIRST = ChoiceAsked(
    name="first",
    title="Before you measure",
    task="A customer takes an earring out of one ear and puts it on your bench. What do you do first?",
    choices=lambda job: {
        "try": "put it in your own ear, to see how it sits",
        "measure": "measure it at once, before anything happens to it",
        "clean": "clean it, and mind the tip of the post",
        "polish": "polish it, so that the gauge has bright metal to close on",
    },
    expected=lambda job: "clean",
    slips=(
        Slip(
            "tried in an ear",
            lambda job: "try",
            "Never: an earring that has been worn is not put in anybody else's ear, and a piercing is a"
            " matter for the wearer and a trained person. How it sits, the sizes tell.",
        ),
        Slip(
            "measured dirty",
            lambda job: "measure",
            "Not yet. It comes from an ear, so it is not clean for your hands; and dirt under the gauge is"
            " measured along with the wire.",
        ),
        Slip(
            "polished the pattern",
            lambda job: "polish",
            "Polishing takes metal off. Then you measure what you made of the pattern, not what the customer "
            "brought, and the earring has changed.",
        ),
    ),
    clue="Read the box of cautions again.",
    working=(
        "1. It comes from an ear: clean it before you handle it\n2. The tip of the post is sharp: hold the"
        " earring by its setting\n3. Nothing may be taken off the pattern, so clean it with a soft brush,"
        " water and soap, and dry it"
    ),
    basis="common practice",
    source="",
    objective="caution",
)


LESSON = Lesson(
    number="00",
    title="Start here",
    minutes=25,
    objectives={
        "answer": "run a cell and give a size with its unit",
        "slider": "move a slider and read what it changes",
        "written": "read sizes in every way that people write them",
        "help": "use a clue when you are stuck",
        "caution": "say what comes first when an earring is put on your bench",
    },
    exercises=(STONE, NEAREST, THICKER, WRITTEN, REACH, FIRST),
)
