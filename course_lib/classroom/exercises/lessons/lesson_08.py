"""Lesson 08, Basket: grooves, flare, staples, and the air under the culet."""

import math

from course_lib.classroom.exercises.worked import Worked, turn, unless_near
from course_lib.classroom.pieces.job_in_hand import JobInHand

_SEATS = ("heights", "culet", "close", "wide")


def _size(job: JobInHand, key: str) -> float:
    """A reading or a planned size, in its plain unit."""
    return job.readings[key].value if key in job.readings else job.plan().plain(key)


def _outside(job: JobInHand) -> float:
    """The ring's outside diameter, finished, in mm."""
    return _size(job, "ring_inside") + 2 * _size(job, "ring_wire")


def work_grooves(job: JobInHand) -> Worked:
    """Groove to groove, straight across, in mm."""
    outside, spacing = _outside(job), _size(job, "groove_spacing")
    sine = math.sin(math.pi / job.claws)
    along, whole_angle = math.pi * outside / job.claws, outside * math.sin(2 * math.pi / job.claws)
    return Worked(
        spacing,
        {
            "round the ring": along,
            "on the middle of the wire": (outside - _size(job, "ring_wire")) * sine,
            "whole angle": unless_near(whole_angle, 0.03, spacing, along),
            "radius for diameter": outside / 2 * sine,
        },
        {
            "outside": outside,
            "claws": job.claws,
            "angle": 360 / job.claws,
            "half_angle": 180 / job.claws,
            "sine": sine,
            "spacing": spacing,
        },
    )


def work_depth(job: JobInHand) -> Worked:
    """How deep a groove is filed, in mm."""
    claw, ring_wire, share = _size(job, "claw_wire"), _size(job, "ring_wire"), job.choices["groove_share"]
    groove = share * claw
    return Worked(
        groove,
        {
            "half the claw": claw / 2,
            "a third of the ring": unless_near(share * ring_wire, 0.021, groove, claw / 2),
            "what stands out": claw - groove,
        },
        {"claw": claw, "share": share, "groove": groove, "left": ring_wire - groove, "ring_wire": ring_wire},
    )


def _claw_middle(job: JobInHand) -> tuple[float, float, float]:
    """How far out a claw's middle lies at the ring and at the girdle, and how far up that is, in mm."""
    claw = _size(job, "claw_wire")
    at_ring = _outside(job) / 2 - _size(job, "groove_depth") + claw / 2
    at_girdle = _size(job, "stone_diameter") / 2 - _size(job, "bearing_cut") + claw / 2
    return at_ring, at_girdle, _size(job, "girdle_height")


def _angle(aside: float, up: float) -> float:
    return math.degrees(math.atan2(aside, up))


def work_flare(job: JobInHand) -> Worked:
    """How far the claws lean out, in degrees."""
    (at_ring, at_girdle, higher), lean = _claw_middle(job), _size(job, "flare")
    further_out = at_girdle - at_ring
    return Worked(
        lean,
        {
            "from the horizontal": 90 - lean,
            "diameters": unless_near(_angle(2 * further_out, higher), 1.1, lean, 90 - lean),
            "upside down": unless_near(_angle(at_ring, higher), 1.1, lean, 90 - lean),
        },
        {
            "at_ring": at_ring,
            "at_girdle": at_girdle,
            "higher": higher,
            "further_out": further_out,
            "tangent": further_out / higher,
            "lean": lean,
        },
    )


def work_staple(job: JobInHand) -> Worked:
    """The wire of a staple from girdle to girdle, in mm."""
    staple, lean = _size(job, "staple_length"), math.radians(_size(job, "flare"))
    (at_ring, _, up), down = _claw_middle(job), _size(job, "base_depth")
    leg, half_base = (up + down) / math.cos(lean), at_ring - down * math.tan(lean)
    inside, bent = _size(job, "bend_radius"), math.pi / 2 - lean
    middle = inside + _size(job, "claw_wire") / 2
    corner, arc = middle * math.tan(bent / 2), middle * bent
    sharp_half = leg + half_base
    cut_half = sharp_half - 2 * corner
    return Worked(
        staple,
        {
            "sharp corners": 2 * sharp_half,
            "corners cut, arcs forgotten": 2 * cut_half,
            "inside of the bend": unless_near(2 * (cut_half + inside * bent), 0.055, staple),
            "half a staple": staple / 2,
        },
        {
            "leg": leg,
            "half_base": half_base,
            "corner": corner,
            "arc": arc,
            "sharp_half": sharp_half,
            "half": staple / 2,
            "staple": staple,
            "to_cut": _size(job, "staple_blank"),
        },
    )


def work_crossing(job: JobInHand) -> Worked:
    """What is done where the wires cross."""
    done = "ends" if job.claws % 2 else "wire" if job.claws == 4 else "wider"
    staples = job.claws // 2
    return Worked(done, holes={"claws": job.claws, "staples": staples, "angle": 180 / staples}, way=done)


def work_culet(job: JobInHand) -> Worked:
    """The air under the culet, in mm."""
    air = _size(job, "culet_clearance")
    return Worked(
        air,
        {
            "from the middle of the wire": unless_near(air + _size(job, "claw_wire") / 2, 0.11, air),
            "a line for a millimetre": unless_near(5 * air, 0.6, air),
        },
        {"air": air},
    )


def work_rocks(job: JobInHand) -> Worked:
    """Why the stone does not sit: for each piece another cause."""
    cause = _SEATS[turn(job, "plate_diameter", len(_SEATS))]
    if cause == "heights" and job.claws == 3:
        # on three bearings a stone lies still, only tilted: the signs of a high one are not those told here
        cause = "culet"
    bearing = _size(job, "bearing_cut")
    return Worked(
        cause,
        holes={
            "claws": job.claws,
            "air": _size(job, "culet_clearance"),
            "stone": _size(job, "stone_diameter"),
            "bearing": bearing,
            "left_behind": _size(job, "claw_wire") - bearing,
        },
        way=cause,
    )
