"""Lesson 05, Back plate and hole: the blank to saw, the drill that frees the post, and the way there."""

from math import atan2, degrees

from course_lib.bench.hole import drill_for
from course_lib.bench.plate import disc_blank
from course_lib.bench.refusals import Refused
from course_lib.bench.tables import numbers_of
from course_lib.bench.units import quantity
from course_lib.classroom.exercise import Lesson, Slip, turn, unless_it_is, unless_near
from course_lib.classroom.fineness import GaugeStep, Step
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.lists import ChoiceAsked, OrderAsked, SymptomAsked
from course_lib.classroom.sizes import SizeAsked

BAR, PRINTED = 50.0, 48.5  # mm: the bar on the card, and what a badly printed one measures


def allowances(job: JobInHand) -> tuple[float, float]:
    """What file and saw are left, on each side, in mm."""
    return job.choices["file_allowance"], job.choices["saw_allowance"]


def line(job: JobInHand) -> float:
    """The diameter of the line to file to, in mm."""
    return job.plan().plain("plate_diameter_before_sanding")


def _blank(job: JobInHand) -> float:
    return float(disc_blank.plain(line(job), *allowances(job)))


BLANK = SizeAsked(
    name="blank",
    title="The circle to saw",
    task=lambda job: (
        f"The plate is filed to a line of ø {line(job):.2f} mm. You leave {allowances(job)[0]:.2f} mm for "
        "the file and "
        f"{allowances(job)[1]:.2f} mm for the saw, on each side. How wide is the circle that you draw for "
        "the saw?"
    ),
    expected=_blank,
    unit="mm",
    fineness=GaugeStep("caliper"),
    slips=(
        Slip(
            "one side",
            lambda job: line(job) + sum(allowances(job)),
            "You added it once. A circle has metal on both sides: add it twice.",
        ),
        Slip(
            "saw alone",
            lambda job: line(job) + 2 * allowances(job)[1],
            "You left room for the saw but none for the file.",
        ),
        Slip(
            "taken off",
            lambda job: line(job) - 2 * sum(allowances(job)),
            "You took it off. Then the plate is too small before the file has touched it.",
        ),
    ),
    clue="What is left on one side is left on the other side too.",
    working=lambda job: (
        f"1. On one side: {allowances(job)[0]:.2f} + {allowances(job)[1]:.2f} = "
        f"{sum(allowances(job)):.2f} mm\n"
        f"2. On both: {2 * sum(allowances(job)):.2f} mm\n3. {line(job):.2f} + "
        f"{2 * sum(allowances(job)):.2f} = "
        f"{_blank(job):.2f} mm"
    ),
    basis="common practice",
    source="",
    objective="blank",
)


# --- the drill ------------------------------------------------------------------------------------------


def post(job: JobInHand) -> float:
    """The post's diameter, in mm."""
    return job.readings["post_wire"].value


def clearances(job: JobInHand) -> tuple[float, float]:
    """Least and most clearance on the diameter, in mm."""
    return job.choices["hole_least"], job.choices["hole_most"]


def _drill(job: JobInHand) -> float:
    least, most = (quantity(each, "mm") for each in clearances(job))
    return float(drill_for(quantity(post(job), "mm"), least, most).drill.m_as("mm"))


def _box(job: JobInHand) -> list[float]:
    """The drills about the post's size."""
    wanted = [d for d in numbers_of("drills", "diameter_mm") if abs(d - post(job)) <= 0.22]
    if not any(clearances(job)[0] <= d - post(job) + 1e-9 <= clearances(job)[1] + 1e-9 for d in wanted):
        raise Refused("no drill in the box frees its post.")
    return wanted


DRILL = SizeAsked(
    name="drill",
    title="The drill that frees the post",
    task=lambda job: (
        f"The post is ø {post(job):.3f} mm. It must have at least {clearances(job)[0]:.2f} mm of room on "
        "the diameter. "
        f"In the box lie the drills {', '.join(f'{d:.2f}' for d in _box(job))} mm. Which one do you take?"
    ),
    expected=_drill,
    unit="mm",
    fineness=Step(0.01, "drills are marked in hundredths"),
    slips=(
        Slip(
            "largest that is allowed",
            lambda job: unless_near(
                max(d for d in _box(job) if d <= post(job) + clearances(job)[1] + 1e-9), 0.006, _drill(job)
            ),
            "That drill frees the post too, but the nut will rattle. Take the smallest that does it.",
        ),
        Slip(
            "nearest below",
            lambda job: unless_near(max(d for d in _box(job) if d <= post(job)), 0.006, _drill(job)),
            "The post does not go through that. A hole must be larger than what goes through it.",
        ),
        Slip(
            "next above, no room",
            lambda job: unless_near(
                min(d for d in _box(job) if d > post(job)),
                0.006,
                _drill(job),
                max(d for d in _box(job) if d <= post(job) + clearances(job)[1] + 1e-9),
            ),
            "That drill is larger than the post, but by less than the room it needs.",
        ),
    ),
    clue="The smallest drill that is at least so much larger than the post.",
    working=lambda job: (
        f"1. The hole must be at least {post(job):.3f} + {clearances(job)[0]:.2f} = "
        f"{post(job) + clearances(job)[0]:.3f} mm\n2. The smallest drill that is no smaller: "
        f"{_drill(job):.2f} mm"
    ),
    basis="standard",
    source="drill sizes: BS 328; clearance: common practice",
    objective="hole",
    well_done="Drill a scrap of the same sheet first: a worn drill cuts wide.",
)


def _lean(job: JobInHand) -> float:
    """How far the plate can lean on its post, in degrees, where the post is stiff and straight."""
    room = _drill(job) - post(job)
    return degrees(atan2(room, job.readings["plate_thickness"].value))


CLEARANCE = SizeAsked(
    name="clearance",
    title="The room that is left",
    task=lambda job: (
        f"You drill ø {_drill(job):.2f} mm for the post of ø {post(job):.3f} mm. How much room is that on "
        "the diameter, in µm?"
    ),
    expected=lambda job: 1000 * (_drill(job) - post(job)),
    unit="um",
    fineness=Step(2, "a micrometer and a new drill are good for that"),
    sample="123 µm",
    slips=(
        Slip(
            "on one side",
            lambda job: 500 * (_drill(job) - post(job)),
            "That is the room on one side, with the post in the middle. On the diameter it is twice as much.",
        ),
        Slip(
            "of the largest allowed",
            lambda job: unless_near(
                1000 * clearances(job)[1],
                4,
                1000 * (_drill(job) - post(job)),
                500 * (_drill(job) - post(job)),
            ),
            "That is the most that is allowed. How much is it with this drill?",
        ),
    ),
    clue="Hole less post. 1 mm is 1000 µm.",
    working=lambda job: (
        f"1. {_drill(job):.2f} − {post(job):.3f} = {_drill(job) - post(job):.3f} mm\n"
        f"2. × 1000 = {1000 * (_drill(job) - post(job)):.0f} µm"
    ),
    basis="common practice",
    source="",
    objective="hole",
    well_done=lambda job: (
        f"With this room, in a plate of {job.readings['plate_thickness'].value:.2f} mm, the plate alone "
        "can lean "
        f"by about {_lean(job):.0f}°. A thicker plate leans less, with the same room."
    ),
)


# --- order ----------------------------------------------------------------------------------------------

_STEPS = {
    "bar": "gauge the bar on the printed card",
    "clean": "take the grease off the sheet",
    "template": "glue the paper template on",
    "punch": "punch the middle",
    "drill": "drill through, from the pilot up to the last drill",
    "saw": "saw round, outside the line",
    "file": "file to the line",
    "warm": "let the glue go with gentle heat",
}
_SHUFFLED = ("drill", "template", "file", "clean", "punch", "warm", "bar", "saw")
_ASKED = ({"punch", "file"}, {"bar", "file"}, {"clean", "punch"}, {"bar", "punch"}, {"clean", "file"})


def right_order(job: JobInHand) -> list[str]:
    """The steps that are asked of this piece, as they are done."""
    asked = _ASKED[turn(job, "plate_diameter", len(_ASKED))] | {"template", "drill", "saw", "warm"}
    return [name for name in _STEPS if name in asked]


def _mixed(job: JobInHand) -> dict[str, str]:
    """The same steps, mixed up for each piece in another way."""
    asked = [name for name in _SHUFFLED if name in right_order(job)]
    first = turn(job, "plate_thickness", len(asked))
    return {name: _STEPS[name] for name in asked[first:] + asked[:first]}


def _late(called: str, name: str, after: str, says: str) -> Slip:
    """One step done only after another that it should come before."""

    def done(job: JobInHand) -> list[str] | None:
        order = right_order(job)
        if name not in order or after not in order:
            return None
        order.remove(name)
        order.insert(order.index(after) + 1, name)
        return order

    return Slip(called, done, says)


_REASONS = {
    "bar": "A card that is printed too small is found out while it is only paper",
    "clean": "Glue lifts from grease",
    "template": "Now the lines and the middle lie on the metal",
    "punch": "The mark guides the drill",
    "drill": "Drill while the sheet is large enough to be clamped",
    "saw": "Saw outside the line, and leave some for the file",
    "file": "File while the line is still there",
    "warm": "Only now is the paper of no more use",
}

ORDER = OrderAsked(
    name="order",
    title="In which order",
    task="Put these steps for the plate in order.",
    items=_mixed,
    first="the first step",
    expected=right_order,
    slips=(
        _late(
            "sawn before drilled",
            "drill",
            "saw",
            "You drill after sawing. A small loose disc is hard to hold: the drill takes it and spins it. "
            "Drill while the sheet is large enough to clamp.",
        ),
        _late(
            "drilled without a punch mark",
            "punch",
            "drill",
            "Without a mark the drill wanders before it bites. Punch first.",
        ),
        _late(
            "filed without a line",
            "file",
            "warm",
            "You take the template off before you file. The line goes with it, and you file blind.",
        ),
        _late(
            "gauged too late",
            "bar",
            "template",
            "You gauge the bar when the template is on already. If the print is wrong, all of it must come "
            "off again.",
        ),
        _late(
            "glued on grease",
            "clean",
            "template",
            "Glue does not hold on grease: the template lifts under the saw, and you saw beside the line.",
        ),
    ),
    clue="For each step ask: can I still hold it, and can I still see the line?",
    working=lambda job: "\n".join(f"{at}. {_REASONS[name]}" for at, name in enumerate(right_order(job), 1)),
    basis="common practice",
    source="",
    objective="order",
    well_done="Two things can be lost too early: what you hold the metal by, and the line that you work to.",
)


GLUE = ChoiceAsked(
    name="glue",
    title="Off with the paper",
    task="The template is stuck on with instant glue. How do you get it off?",
    choices=lambda job: {
        "torch": "with the torch, quickly",
        "gentle": f"with gentle heat of about {job.choices['glue_let_go']:.0f} °C, in moving air",
        "knife": "with a knife, cold",
        "pickle": "in the pickle",
    },
    expected=lambda job: "gentle",
    slips=(
        Slip(
            "torch",
            lambda job: "torch",
            "Never: burning instant glue gives off fumes that hurt eyes and lungs. It lets go long before "
            "that.",
        ),
        Slip("knife", lambda job: "knife", "A knife scratches the plate, and slips into the hand."),
        Slip("pickle", lambda job: "pickle", "Pickle does not loosen glue, and paper fouls it."),
    ),
    clue="Read the caution on warm glue.",
    working=lambda job: (
        f"1. Instant glue lets go at about {job.choices['glue_let_go']:.0f} °C\n2. Warm it no further, "
        "with the window open "
        "or the extraction on\n3. Lift the paper off; wipe the rest away"
    ),
    basis="common practice",
    source="",
    objective="order",
)


TRUE_SIZE = SizeAsked(
    name="true size",
    title="A card that came out small",
    task=lambda job: (
        f"On the printed card the bar that should be {BAR:.0f} mm long measures {PRINTED:.1f} mm. How "
        "wide did the circle "
        f"for the saw come out, which should be {_blank(job):.2f} mm?"
    ),
    expected=lambda job: _blank(job) * PRINTED / BAR,
    unit="mm",
    fineness=Step(0.02, "two lines of a printer are no finer"),
    slips=(
        Slip(
            "wrong way",
            lambda job: _blank(job) * BAR / PRINTED,
            "You made it larger. The bar came out short, so everything did.",
        ),
        Slip(
            "same millimetres",
            lambda job: _blank(job) - (BAR - PRINTED),
            "You took off as many millimetres as the bar lost. It lost a part: the circle loses the same "
            "part.",
        ),
        Slip("as it should be", _blank, "This is what it should be. The whole page came out small."),
    ),
    clue="Everything on the page shrinks by the same part.",
    working=lambda job: (
        f"1. The page is {PRINTED:.1f} / {BAR:.0f} = {PRINTED / BAR:.3f} of its size\n"
        f"2. {_blank(job):.2f} × {PRINTED / BAR:.3f} = {_blank(job) * PRINTED / BAR:.2f} mm: too small. "
        "Print again at 100 %"
    ),
    basis="common practice",
    source="",
    objective="blank",
)


_CAUSES = {
    "big": "a large drill was put straight on a small mark",
    "loose": "the sheet was held by hand, or the clamp was loose",
    "bare": "there was no wood behind the sheet where the drill came through",
    "dull": "the drill was blunt",
}
_SIGNS = {
    "big": "The hole is clean, but it lies half a millimetre beside the punch mark. The drill skated "
    "before it bit, and it was the first drill that you took.",
    "loose": "The hole began on the mark. When the drill came through, it caught, and the sheet spun "
    "round with it.",
    "bare": "The sheet was clamped fast. The hole is on the mark and clean in front. But at the back "
    "the metal round it is pushed out, with a high torn burr.",
    "dull": "The hole is on the mark. But you had to press hard, the drill squeaked, and it made dust "
    "in place of curls. Drill and sheet became hot.",
}


def _cause(job: JobInHand) -> str:
    return tuple(_SIGNS)[turn(job, "plate_thickness", 4)]


def _mended(job: JobInHand) -> str:
    return {
        "big": "A pilot finds the mark, and each larger drill follows the hole before it. While the hole is "
        f"still well below {_drill(job):.2f} mm, a round needle file can bring it back to the mark.",
        "loose": "Look at the hole: if it is still round, and below its last size, clamp the sheet and drill "
        f"on to {_drill(job):.2f} mm. If it was torn too large, saw a new plate.",
        "bare": "Lay the back on hard wood and take the burr off with a larger drill turned by the "
        "fingers. If the metal round the hole bulges, tap it flat with a mallet, and gauge the hole again.",
        "dull": "The hole may be good: gauge it, for a blunt drill often cuts wide. Sharpen the drill "
        "or take another, and use oil.",
    }[_cause(job)]


WANDERED = SymptomAsked(
    name="wandered",
    title="What went wrong with the hole?",
    task=lambda job: f"{_SIGNS[_cause(job)]} What went wrong, most likely?",
    choices=lambda job: dict(_CAUSES),
    expected=_cause,
    slips=(
        unless_it_is(
            _cause,
            "big",
            "The middle of a drill scrapes and does not cut. A large one skates on a small mark, and the "
            "hole begins beside it. Is that what you see here?",
        ),
        unless_it_is(
            _cause,
            "loose",
            "A drill pulls itself into the metal as it breaks through. Sheet that is not held turns with "
            "it. Was it held here?",
        ),
        unless_it_is(
            _cause,
            "bare",
            "Without wood behind it the last thin skin is not cut but pushed out at the back. What does the "
            "back tell you here?",
        ),
        unless_it_is(
            _cause,
            "dull",
            "A blunt drill rubs. It needs force, it squeaks, and it makes dust and heat. What did you feel "
            "and hear here?",
        ),
    ),
    clue="Did it go wrong at the start, on the way, or when the drill came through?",
    working=lambda job: (
        f"1. What is seen: {_SIGNS[_cause(job)]}\n"
        "2. Beside the mark: too large a first drill. Force, noise and heat: a blunt one. Spun round: "
        "not held. "
        f"Torn at the back only: nothing behind it\n3. So {_CAUSES[_cause(job)]}"
    ),
    basis="common practice",
    source="",
    objective="hole",
    well_done=_mended,
)


LESSON = Lesson(
    number="05",
    title="Back plate and hole",
    minutes=30,
    objectives={
        "blank": "work out the circle to saw, and check a printed card",
        "hole": "choose the drill that frees the post, and say what room is left",
        "order": "put the steps of the plate in order, and loosen glue safely",
    },
    exercises=(BLANK, TRUE_SIZE, DRILL, CLEARANCE, ORDER, GLUE, WANDERED),
    earlier=("03",),
    stage="plate",
)
