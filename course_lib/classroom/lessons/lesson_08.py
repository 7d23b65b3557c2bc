"""Lesson 08, Basket: grooves, flare, staples, and the air under the culet."""

import math

from course_lib.classroom.exercise import Lesson, Slip, unless_it_is
from course_lib.classroom.fineness import Step
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.lists import ChoiceAsked, SymptomAsked
from course_lib.classroom.sizes import FigureRead, SizeAsked
from course_lib.classroom.worked import turn, unless_near


def size_of(job: JobInHand, key: str) -> float:
    """A reading or a planned size, in its plain unit."""
    return job.readings[key].value if key in job.readings else job.plan().plain(key)


def outside(job: JobInHand) -> float:
    """The ring's outside diameter, finished, in mm."""
    return size_of(job, "ring_inside") + 2 * size_of(job, "ring_wire")


def _spacing(job: JobInHand) -> float:
    return job.plan().plain("groove_spacing")


GROOVES = SizeAsked(
    name="grooves",
    title="Groove to groove",
    task=lambda job: (
        f"The finished ring is {outside(job):.2f} mm across outside. {job.claws} grooves are spread "
        "evenly round it. How "
        "far is it from one groove to the next, straight across with the dividers?"
    ),
    expected=_spacing,
    unit="mm",
    fineness=Step(0.02, "dividers are set no finer"),
    slips=(
        Slip(
            "round the ring",
            lambda job: math.pi * outside(job) / job.claws,
            "That is the way along the ring. Dividers go straight across, which is shorter.",
        ),
        Slip(
            "on the middle of the wire",
            lambda job: (outside(job) - size_of(job, "ring_wire")) * math.sin(math.pi / job.claws),
            "You measured on the middle of the wire. The grooves are marked on the outside.",
        ),
        Slip(
            "whole angle",
            lambda job: unless_near(
                outside(job) * math.sin(2 * math.pi / job.claws),
                0.03,
                _spacing(job),
                math.pi * outside(job) / job.claws,
            ),
            "You took the sine of the whole angle between two grooves. Half of it is right: draw the "
            "triangle and cut it "
            "in the middle.",
        ),
        Slip(
            "radius for diameter",
            lambda job: outside(job) / 2 * math.sin(math.pi / job.claws),
            "You took the radius. The chord is the diameter times the sine of half the angle.",
        ),
    ),
    clue=lambda job: (
        f"Between two grooves lie 360° / {job.claws} = {360 / job.claws:g}°. The chord is the diameter "
        "times the sine of "
        "half of that."
    ),
    working=lambda job: (
        f"1. Half the angle: 180° / {job.claws} = {180 / job.claws:g}°\n2. Its sine: "
        f"{math.sin(math.pi / job.claws):.4f}\n"
        f"3. {outside(job):.2f} × {math.sin(math.pi / job.claws):.4f} = {_spacing(job):.2f} mm"
    ),
    basis="standard",
    source="chord of a circle",
    objective="grooves",
    well_done="Walk the dividers round the ring: after the last step you must land on the first mark.",
)


def _groove(job: JobInHand) -> float:
    return job.choices["groove_share"] * size_of(job, "claw_wire")


DEPTH = SizeAsked(
    name="depth",
    title="How deep to file",
    task=lambda job: (
        f"The claws are of {size_of(job, 'claw_wire'):.2f} mm wire. A groove holds about a third of the claw "
        f"({job.choices['groove_share']:.2f} of it). How deep is a groove in the finished ring?"
    ),
    expected=_groove,
    unit="mm",
    fineness=Step(0.02, "a groove is filed by eye"),
    slips=(
        Slip(
            "half the claw",
            lambda job: size_of(job, "claw_wire") / 2,
            "That is half of the claw. So deep a groove weakens the ring for nothing.",
        ),
        Slip(
            "a third of the ring",
            lambda job: unless_near(
                job.choices["groove_share"] * size_of(job, "ring_wire"),
                0.021,
                _groove(job),
                size_of(job, "claw_wire") / 2,
            ),
            "That is a third of the ring's wire. It is the claw that must be held.",
        ),
        Slip(
            "what stands out",
            lambda job: (1 - job.choices["groove_share"]) * size_of(job, "claw_wire"),
            "That is what stands out of the groove.",
        ),
    ),
    clue="A third of which wire?",
    working=lambda job: (
        f"1. {job.choices['groove_share']:.2f} × {size_of(job, 'claw_wire'):.2f} = {_groove(job):.2f} mm"
    ),
    basis="common practice",
    source="",
    objective="grooves",
    well_done=lambda job: (
        f"Behind the groove {size_of(job, 'ring_wire') - _groove(job):.2f} mm of the ring's "
        f"{size_of(job, 'ring_wire'):.2f} mm wire are left. File a little, look, and file again: a "
        "groove that is too deep cannot be filled."
    ),
)


# --- flare ----------------------------------------------------------------------------------------------


def _heights(job: JobInHand) -> tuple[float, float, float]:
    """Radius at the ring, radius at the girdle (both to the claw's middle), and how far up, in mm."""
    claw = size_of(job, "claw_wire")
    at_ring = outside(job) / 2 - size_of(job, "groove_depth") + claw / 2
    at_girdle = size_of(job, "stone_diameter") / 2 - size_of(job, "bearing_cut") + claw / 2
    return at_ring, at_girdle, job.plan().plain("girdle_height")


def _flare(job: JobInHand) -> float:
    return job.plan().plain("flare")


def _angle(aside: float, up: float) -> float:
    return math.degrees(math.atan2(aside, up))


FLARE = SizeAsked(
    name="flare",
    title="How far the claws lean",
    task=lambda job: (
        f"At the ring the middle of a claw lies {_heights(job)[0]:.2f} mm from the middle of the piece; "
        "at the girdle, "
        f"{_heights(job)[2]:.2f} mm higher, it lies {_heights(job)[1]:.2f} mm out. How far does the claw "
        "lean out of upright?"
    ),
    expected=_flare,
    unit="degree",
    fineness=Step(1, "an angle so small is set to about a degree"),
    sample="45°",
    slips=(
        Slip(
            "from the horizontal",
            lambda job: 90 - _flare(job),
            "That is the angle from the horizontal. How far from upright?",
        ),
        Slip(
            "diameters",
            lambda job: unless_near(
                _angle(2 * (_heights(job)[1] - _heights(job)[0]), _heights(job)[2]),
                1.1,
                _flare(job),
                90 - _flare(job),
            ),
            "You took diameters: twice as far out. One claw leans by the difference of the radii.",
        ),
        Slip(
            "upside down",
            lambda job: unless_near(
                _angle(_heights(job)[0], _heights(job)[2]), 1.1, _flare(job), 90 - _flare(job)
            ),
            "You took the whole radius. Only how much further out it is at the girdle makes it lean.",
        ),
    ),
    clue="A triangle: so much further out, so much higher up. Tangent = out / up.",
    working=lambda job: (
        f"1. Further out: {_heights(job)[1]:.2f} − {_heights(job)[0]:.2f} = "
        f"{_heights(job)[1] - _heights(job)[0]:.2f} mm\n"
        f"2. Tangent: {_heights(job)[1] - _heights(job)[0]:.2f} / {_heights(job)[2]:.2f} = "
        f"{(_heights(job)[1] - _heights(job)[0]) / _heights(job)[2]:.3f}\n3. The angle: {_flare(job):.1f}°"
    ),
    basis="standard",
    source="right triangle",
    objective="staple",
)


# --- staple ---------------------------------------------------------------------------------------------


def _staple(job: JobInHand) -> float:
    return job.plan().plain("staple_length")


def _legs(job: JobInHand) -> tuple[float, float]:
    """One leg and half the base to the sharp corner, in mm."""
    lean = math.radians(_flare(job))
    at_ring, _, up = _heights(job)
    down = job.plan().plain("base_depth")
    return (up + down) / math.cos(lean), at_ring - down * math.tan(lean)


def _bend(job: JobInHand) -> tuple[float, float]:
    """How far the corner is cut off on each side, and the arc on the wire's middle, in mm."""
    turn = math.pi / 2 - math.radians(_flare(job))
    middle = size_of(job, "bend_radius") + size_of(job, "claw_wire") / 2
    return middle * math.tan(turn / 2), middle * turn


def _inside_bend(job: JobInHand) -> float:
    turn = math.pi / 2 - math.radians(_flare(job))
    return 2 * (sum(_legs(job)) - 2 * _bend(job)[0] + size_of(job, "bend_radius") * turn)


STAPLE = SizeAsked(
    name="staple",
    title="A staple, straightened",
    task=lambda job: (
        f"To sharp corners, one leg of a staple is {_legs(job)[0]:.2f} mm and half of its base "
        f"{_legs(job)[1]:.2f} mm. Each "
        f"corner is bent round: that cuts {_bend(job)[0]:.2f} mm off both sides, and puts an arc of "
        f"{_bend(job)[1]:.2f} mm "
        "(on the wire's middle) in their place. How long is the wire from girdle to girdle?"
    ),
    expected=_staple,
    unit="mm",
    fineness=Step(0.05, "bends come out a little differently each time"),
    slips=(
        Slip(
            "sharp corners",
            lambda job: 2 * sum(_legs(job)),
            "You went round sharp corners. A bend cuts the corner, so less wire is needed.",
        ),
        Slip(
            "corners cut, arcs forgotten",
            lambda job: 2 * (sum(_legs(job)) - 2 * _bend(job)[0]),
            "You cut the corners off and put nothing in their place. The arcs are wire too.",
        ),
        Slip(
            "inside of the bend",
            lambda job: unless_near(_inside_bend(job), 0.055, _staple(job)),
            "You took the inside of the bend. It is squeezed; the middle keeps its length.",
        ),
        Slip(
            "half a staple",
            lambda job: _staple(job) / 2,
            "That is one half. A staple has two legs.",
        ),
    ),
    clue="Walk along it: leg less what is cut off, arc, half a base less what is cut off; and the same "
    "again.",
    working=lambda job: (
        f"1. One half to the sharp corner: {_legs(job)[0]:.2f} + {_legs(job)[1]:.2f} = "
        f"{sum(_legs(job)):.2f} mm\n"
        f"2. Corner off on both sides, arc in: {sum(_legs(job)):.2f} − 2 × {_bend(job)[0]:.2f} + "
        f"{_bend(job)[1]:.2f} = "
        f"{_staple(job) / 2:.2f} mm\n3. Two halves: {_staple(job):.2f} mm"
    ),
    basis="handbook",
    source="bend allowance on the neutral line: Groover, Fundamentals of Modern Manufacturing, equation 19.6",
    objective="staple",
    well_done=lambda job: (
        "To that come the tips over the girdle and something to hold: "
        f"{job.plan().plain('staple_blank'):.1f} mm to cut."
    ),
)


# --- the crossing ---------------------------------------------------------------------------------------


def _kind(job: JobInHand) -> str:
    if job.claws % 2:
        return "ends"
    return "wire" if job.claws == 4 else "wider"


CROSSING = ChoiceAsked(
    name="crossing",
    title="Where the wires cross",
    task=lambda job: (
        f"This piece has {job.claws} claws. All the base wires lie at one height under the stone. What is "
        "done in the middle, "
        "where they meet?"
    ),
    choices=lambda job: {
        "wire": "a gap just as wide as the wire is cut in one staple; the other slides in",
        "wider": "gaps a little wider than the wire, for they cross at less than a square angle",
        "ends": "there are no two opposite claws: half staples are filed to an angle and meet in the middle",
        "over": "one wire is bent over the other",
    },
    expected=_kind,
    slips=(
        *(
            unless_it_is(_kind, name, said)
            for name, said in (
                (
                    "wire",
                    "At which angle do the wires cross on this piece? And are there two opposite claws?",
                ),
                ("wider", "Count the claws: at which angle do two staples cross here?"),
                ("ends", "Are there claws that stand opposite each other? Then they can be one wire."),
            )
        ),
        Slip(
            "over",
            lambda job: "over",
            "Then one staple stands a wire higher than the other, and so do its claws.",
        ),
    ),
    clue="Count the claws. Do they stand opposite in pairs? And at which angle do the pairs cross?",
    working=lambda job: {
        "wire": "1. Two staples cross square\n2. A gap as wide as the wire lets the other in, and solder "
        "closes it",
        "wider": "1. Three staples cross at 60°\n2. A wire that crosses slantwise takes more room: its "
        "width divided by the "
        "sine of the angle",
        "ends": "1. An odd number has no opposite claws\n2. One whole staple is bent, and a half one is "
        "filed to meet its "
        "middle",
    }[_kind(job)],
    basis="common practice",
    source="",
    objective="crossing",
)


CULET = FigureRead(
    name="culet",
    title="Air under the culet",
    figure="culet",
    task="The picture shows the stone's point over the top of the crossing, with a scale. How much air is "
    "there?",
    expected=lambda job: job.plan().plain("culet_clearance"),
    unit="mm",
    fineness=Step(0.1, "a scale with a line every 0.2 mm is read to half a line"),
    sample="1.5 mm",
    slips=(
        Slip(
            "from the middle of the wire",
            lambda job: unless_near(
                job.plan().plain("culet_clearance") + size_of(job, "claw_wire") / 2,
                0.11,
                job.plan().plain("culet_clearance"),
            ),
            "You read from the middle of the wire. The point would touch its top.",
        ),
        Slip(
            "a line for a millimetre",
            lambda job: unless_near(
                5 * job.plan().plain("culet_clearance"), 0.6, job.plan().plain("culet_clearance")
            ),
            "You counted a millimetre for each line. There are five lines to a millimetre.",
        ),
    ),
    clue="The scale begins at the top of the wire. Five lines make a millimetre.",
    working=lambda job: (
        f"1. The point stands at about {job.plan().plain('culet_clearance'):.1f} mm on the scale\n"
        f"2. By the sums it is {job.plan().plain('culet_clearance'):.2f} mm"
    ),
    basis="standard",
    source="heights added and taken off; pavilion 43 % of the diameter where it was not measured "
    "(Tolkowsky 1919)",
    objective="crossing",
    well_done="Less than a tenth is too little: a drop of solder or a bent claw closes it.",
)


_SEAT = {
    "heights": "one bearing is cut higher than the others",
    "culet": "the stone's point stands on the crossing",
    "close": "the claws stand too close together for the stone",
    "wide": "the claws stand too far apart for the stone",
}
_SEEN = {
    "heights": "At one claw the girdle lies in its bearing. At a claw beside it you see light under the "
    "girdle, and from the side the table is not level. From below, against the light, nothing touches the "
    "stone in the middle.",
    "culet": "At every claw you see light under the girdle. Touch any side of the table, and the stone "
    "tips that way. Nothing holds its edge.",
    "close": "The stone stays up on the edges of the claws, above all bearings alike, and does not tip. "
    "Spread two claws a little with a wooden stick, and on that side it sinks. From below, against the "
    "light, there is air in the middle.",
    "wide": "The stone can be pushed sideways with a finger, to and fro. When its girdle is in one "
    "bearing as deep as it goes, it lies free of the others.",
}


def _seat(job: JobInHand) -> str:
    asked = tuple(_SEEN)[turn(job, "plate_diameter", 4)]
    # on three bearings a stone lies still, only tilted: the signs of a high one are not those told here
    return "culet" if asked == "heights" and job.claws == 3 else asked


def _seat_mended(job: JobInHand) -> str:
    return {
        "heights": "File the high one a little lower and try again; a bearing that is cut too low cannot be "
        "filled. Measure each from the ring, with the dividers.",
        "culet": f"By the plan your piece has {job.plan().plain('culet_clearance'):.2f} mm of air there. "
        "Measure the stone's real depth: another stone of the same width may be deeper. Never press: the "
        "point breaks.",
        "close": f"Your stone is {size_of(job, 'stone_diameter'):.2f} mm across, and each bearing goes "
        f"{size_of(job, 'bearing_cut'):.2f} mm into its claw. Take the stone out, open all claws by the same "
        "little, and try again. Cutting deeper instead makes the claw thin where it is bent.",
        "wide": "Take the stone out and press the claws in, each a little, going crosswise or round. If the "
        "bearings were cut too deep, that does not bring back the wire: "
        f"{size_of(job, 'claw_wire') - size_of(job, 'bearing_cut'):.2f} mm should be left behind yours.",
    }[_seat(job)]


ROCKS = SymptomAsked(
    name="rocks",
    title="The stone does not sit",
    task=lambda job: (
        f"All bearings are cut, and the stone is tried in its {job.claws} claws, before any claw is pushed "
        f"over. {_SEEN[_seat(job)]} What went wrong, most likely?"
    ),
    choices=lambda job: _SEAT,
    expected=_seat,
    slips=(
        unless_it_is(
            _seat,
            "heights",
            "With one bearing too high, the stone lies in that one and is lifted off others. Is it so?",
        ),
        unless_it_is(
            _seat,
            "culet",
            "On its point the stone touches no bearing, and tips to every side. Is that so here?",
        ),
        unless_it_is(
            _seat,
            "close",
            "Claws that are too close hold the stone up at its edge, and let it sink when spread. Is "
            "that so here?",
        ),
        unless_it_is(
            _seat,
            "wide",
            "Between claws that are too far apart the stone has play to the side. Is that so here?",
        ),
    ),
    clue="Ask three things: what does the stone touch, where do you see light, and which way can it move?",
    working=lambda job: (
        f"1. The signs: {_SEEN[_seat(job)]}\n2. So: {_SEAT[_seat(job)]}\n3. {_seat_mended(job)}"
    ),
    basis="common practice",
    source="",
    objective="crossing",
    well_done=_seat_mended,
)


LESSON = Lesson(
    number="08",
    title="Basket",
    minutes=45,
    objectives={
        "grooves": "mark out the grooves, and say how deep they go",
        "staple": "work out how far the claws lean, and how long a staple is",
        "crossing": "say what is done at the crossing, keep the culet free, and seat the stone",
    },
    exercises=(GROOVES, DEPTH, FLARE, STAPLE, CROSSING, CULET, ROCKS),
    earlier=("07",),
    stage="basket",
)
