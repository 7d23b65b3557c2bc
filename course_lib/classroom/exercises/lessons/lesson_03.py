"""Lesson 03, Work back from the finish: what papers and mop take, and where to stop before them."""

from course_lib.bench.finish import grain_um, marks_left, removal_mm, stock_size
from course_lib.classroom.exercises.worked import Worked, say, unless_near
from course_lib.classroom.pieces.job_in_hand import JobInHand
from course_lib.classroom.pieces.size_table import ShownTable

_GAUGE = 0.0011  # mm: two micrometer readings closer than this are one
_RUBBED = 1.1  # µm: so much differs from hand to hand


def _share(job: JobInHand) -> float:
    """How much of its own grain a paper takes."""
    return job.choices["grain_share"]


def _mop(job: JobInHand) -> float:
    """What the mop takes off a face, in mm."""
    return job.choices["polishing"]


def _taken(job: JobInHand) -> float:
    """What the papers take off a face, in mm."""
    return removal_mm(job.choices.papers, _share(job))


def _finished(job: JobInHand) -> float:
    """The finished thickness of the back plate, in mm."""
    return job.readings["plate_thickness"].value


def _stop(job: JobInHand, part: str) -> float:
    """What the stock of a part is rolled or drawn to, in mm."""
    return next(blank.stock_mm for blank in job.plan().blanks if blank.part == part)


def where_to_stop(job: JobInHand) -> ShownTable:
    """For every stock, the size at each stop: what the mill or the plate leaves, then papers, then mop.

    >>> from course_lib.classroom.pieces.job_in_hand import demo_job
    >>> len(where_to_stop(demo_job()).rows)
    5
    """
    # a staple and a half staple are of one wire
    blanks = {blank.part: blank for blank in job.plan().blanks}.values()
    rows = [
        (
            f"{b.part} {'wire' if b.form == 'wire' else 'sheet'}",
            f"{b.finished_mm:.3f} mm",
            f"{b.before_polishing_mm:.3f} mm",
            f"{b.before_sanding_mm:.3f} mm",
            f"{b.stock_mm:.2f} mm",
        )
        for b in blanks
    ]
    columns = ("stock", "finished", "before the mop", "before the papers", "roll or draw to")
    return ShownTable(columns, rows)


def work_order(job: JobInHand) -> Worked:
    """The papers, coarse to fine; they are shown with the finer half first."""
    ladder = list(job.choices.papers)
    middle = len(ladder) // 2
    mixed = [*ladder[middle:], *ladder[:middle]]
    backward = ladder[::-1]
    return Worked(
        ladder,
        {
            "fine first": None if backward in (ladder, mixed) else backward,
            "as offered": None if mixed == ladder else mixed,
        },
        {"papers": ladder},
        shown={grade: say("paper", grade=grade) for grade in mixed},
    )


def work_removal(job: JobInHand) -> Worked:
    """What the papers take off one face, in µm."""
    grains = {grade: grain_um(grade) for grade in job.choices.papers}
    off, whole = 1000 * _taken(job), sum(grains.values())
    first, *_ = grains.values()
    return Worked(
        off,
        {
            "whole grains": unless_near(whole, _RUBBED, off),
            "both faces": unless_near(2 * off, _RUBBED, off, whole),
            "first paper only": unless_near(_share(job) * first, _RUBBED, off),
            "with the mop": unless_near(off + 1000 * _mop(job), _RUBBED, off, 2 * off, whole),
        },
        {
            "papers": [say("paper", grade=grade, grain=grain) for grade, grain in grains.items()],
            "grains": [say("grain_of_paper", grain=grain) for grain in grains.values()],
            "all_grains": whole,
            "share": _share(job),
            "off": off,
        },
    )


def work_before_the_mop(job: JobInHand) -> Worked:
    """The back plate before the mop, in mm."""
    finished, mop = _finished(job), _mop(job)
    before = float(stock_size.plain(finished, mop))
    one_face, taken_off = finished + mop, finished - 2 * mop
    return Worked(
        before,
        {
            "one face": unless_near(one_face, _GAUGE, before),
            "taken off": unless_near(taken_off, _GAUGE, before),
            "as finished": unless_near(finished, _GAUGE, before, one_face, taken_off),
        },
        {"finished": finished, "mop": 1000 * mop, "both_faces": 2 * mop, "before": before},
    )


def work_before_the_papers(job: JobInHand) -> Worked:
    """The back plate before the papers, in mm."""
    finished, papers, mop = _finished(job), _taken(job), _mop(job)
    before = float(stock_size.plain(finished, papers + mop))
    one_face, without_mop = finished + papers + mop, finished + 2 * papers
    papers_once = finished + papers + 2 * mop
    return Worked(
        before,
        {
            "one face": unless_near(one_face, _GAUGE, before, without_mop),
            "mop forgotten": unless_near(without_mop, _GAUGE, before),
            "taken off": finished - 2 * (papers + mop),
            "papers once, mop twice": unless_near(papers_once, _GAUGE, before, one_face, without_mop),
        },
        {
            "finished": finished,
            "papers": 1000 * papers,
            "mop": 1000 * mop,
            "one_face": 1000 * (papers + mop),
            "both_faces": 2 * (papers + mop),
            "before": before,
            "roll_to": _stop(job, "back plate"),
        },
    )


def work_too_thin(job: JobInHand) -> Worked:
    """Why a plate came out too thin by what one face loses."""
    finished, off = _finished(job), _taken(job) + _mop(job)
    return Worked(
        "one",
        holes={
            "one_face": 1000 * off,
            "stopped": finished + off,
            "left": finished - off,
            "finished": finished,
            "mop_on_both": 2000 * _mop(job),
        },
    )


def work_layers(job: JobInHand) -> Worked:
    """The post's wire before the papers, in mm."""
    finished, papers, mop = job.readings["post_wire"].value, job.choices.post_sanding, _mop(job)
    side = papers + mop
    before = float(stock_size.plain(finished, side))

    def with_more(more: float, *others: float) -> float | None:
        """The post with so much added, unless that reads like the answer or like another slip."""
        return unless_near(finished + more, _GAUGE, before, *(finished + other for other in others))

    return Worked(
        before,
        {
            "one side": with_more(side),
            "mop forgotten": with_more(2 * papers, side),
            "papers forgotten": with_more(2 * mop, side, 2 * papers),
            "taken off": with_more(-2 * side),
            "the plate's papers": with_more(2 * (_taken(job) + mop), side),
        },
        {
            "finished": finished,
            "papers": 1000 * papers,
            "mop": 1000 * mop,
            "one_side": 1000 * side,
            "both_sides": 2 * side,
            "before": before,
            "draw_to": _stop(job, "post"),
        },
    )


def work_scratches(job: JobInHand) -> Worked:
    """Why scratches come up under the mop."""
    coarse = job.choices.papers[0]
    marks = float(marks_left.plain(grain_um(coarse), _share(job)))
    return Worked("skipped", holes={"coarse_paper": coarse, "marks": marks, "mop": 1000 * _mop(job)})
