"""Lesson 05, Back plate and hole: the blank to saw, the drill that frees the post, and the way there."""

from math import atan2, degrees

from course_lib.bench.hole import drill_for
from course_lib.bench.plate import disc_blank
from course_lib.bench.refusals import Refused
from course_lib.bench.tables import numbers_of
from course_lib.bench.units import quantity
from course_lib.classroom.exercises.worked import Worked, moved, say, turn, turned_round, unless_near
from course_lib.classroom.pieces.job_in_hand import JobInHand

BAR, PRINTED = 50.0, 48.5  # mm: the bar on the card, and what a badly printed one measures

_ORDER = ("bar", "clean", "template", "punch", "drill", "saw", "file", "warm")
_SHUFFLED = ("drill", "template", "file", "clean", "punch", "warm", "bar", "saw")
_ASKED = ({"punch", "file"}, {"bar", "file"}, {"clean", "punch"}, {"bar", "punch"}, {"clean", "file"})


def _blank(job: JobInHand) -> tuple[float, float, float, float]:
    """The line to file to, what file and saw are left on each side, and the circle for the saw, in mm."""
    line = job.plan().plain("plate_diameter_before_sanding")
    file, saw = job.choices["file_allowance"], job.choices["saw_allowance"]
    return line, file, saw, float(disc_blank.plain(line, file, saw))


def work_blank(job: JobInHand) -> Worked:
    """The circle to saw, in mm."""
    line, file, saw, circle = _blank(job)
    both = 2 * (file + saw)
    return Worked(
        circle,
        {"one side": line + both / 2, "saw alone": line + 2 * saw, "taken off": line - both},
        {
            "line": line,
            "file": file,
            "saw": saw,
            "one_side": both / 2,
            "both_sides": both,
            "circle": circle,
        },
    )


def work_true_size(job: JobInHand) -> Worked:
    """The circle on a card that was printed too small, in mm."""
    circle, part = _blank(job)[-1], PRINTED / BAR
    return Worked(
        circle * part,
        {
            "wrong way": circle / part,
            "same millimetres": circle - (BAR - PRINTED),
            "as it should be": circle,
        },
        {"bar": BAR, "printed": PRINTED, "circle": circle, "part": part, "came_out": circle * part},
    )


def _post(job: JobInHand) -> float:
    """The post's diameter, in mm."""
    return job.readings["post_wire"].value


def _clearances(job: JobInHand) -> tuple[float, float]:
    """Least and most clearance on the diameter, in mm."""
    return job.choices["hole_least"], job.choices["hole_most"]


def _drill(job: JobInHand) -> float:
    least, most = (quantity(each, "mm") for each in _clearances(job))
    return float(drill_for(quantity(_post(job), "mm"), least, most).drill.m_as("mm"))


def _box(job: JobInHand) -> list[float]:
    """The drills about the post's size."""
    post, (least, most) = _post(job), _clearances(job)
    box = [each for each in numbers_of("drills", "diameter_mm") if abs(each - post) <= 0.22]
    if not any(least <= each - post + 1e-9 <= most + 1e-9 for each in box):
        raise Refused("no drill in the box frees its post.")
    return box


def work_drill(job: JobInHand) -> Worked:
    """The drill that frees the post, in mm."""
    post, (least, most), box, drill = _post(job), _clearances(job), _box(job), _drill(job)
    largest = max(each for each in box if each <= post + most + 1e-9)
    above = min(each for each in box if each > post)
    return Worked(
        drill,
        {
            "largest that is allowed": unless_near(largest, 0.006, drill),
            "nearest below": unless_near(max(each for each in box if each <= post), 0.006, drill),
            "next above, no room": unless_near(above, 0.006, drill, largest),
        },
        {"post": post, "least": least, "hole": post + least, "box": box, "drill": drill},
    )


def work_clearance(job: JobInHand) -> Worked:
    """The room on the diameter, in µm."""
    post, drill, plate = _post(job), _drill(job), job.readings["plate_thickness"].value
    room, most = 1000 * (drill - post), 1000 * _clearances(job)[1]
    return Worked(
        room,
        {"on one side": room / 2, "of the largest allowed": unless_near(most, 4, room, room / 2)},
        {
            "post": post,
            "drill": drill,
            "room": drill - post,
            "room_um": room,
            "plate": plate,
            # where the post is stiff and straight
            "lean": degrees(atan2(drill - post, plate)),
        },
    )


def right_order(job: JobInHand) -> list[str]:
    """The steps that are asked of this piece, as they are done."""
    asked = _ASKED[turn(job, "plate_diameter", len(_ASKED))] | {"template", "drill", "saw", "warm"}
    return [name for name in _ORDER if name in asked]


def work_order(job: JobInHand) -> Worked:
    """The steps of the plate in order; they are shown mixed up, for each piece in another way."""
    order = right_order(job)
    return Worked(
        order,
        {
            "sawn before drilled": moved(order, "drill", "saw", after=True),
            "drilled without a punch mark": moved(order, "punch", "drill", after=True),
            "filed without a line": moved(order, "file", "warm", after=True),
            "gauged too late": moved(order, "bar", "template", after=True),
            "glued on grease": moved(order, "clean", "template", after=True),
        },
        {"reasons": [say(name, at=at) for at, name in enumerate(order, 1)]},
        shown=turned_round(job, "plate_thickness", [name for name in _SHUFFLED if name in order]),
    )


def work_glue(job: JobInHand) -> Worked:
    """How the paper comes off."""
    return Worked("gentle", holes={"lets_go": job.choices["glue_let_go"]})


def work_wandered(job: JobInHand) -> Worked:
    """What went wrong with the hole: for each piece something else."""
    cause = ("big", "loose", "bare", "dull")[turn(job, "plate_thickness", 4)]
    # the others can be asked of a post for which no drill fits, too
    drilled_on = cause in ("big", "loose")
    return Worked(cause, holes={"drill": _drill(job)} if drilled_on else {}, way=cause)
