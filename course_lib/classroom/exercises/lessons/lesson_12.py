"""Lesson 12, Would anyone know: what an eye sees, what a gauge knows, and how often the pair passes."""

import math
from dataclasses import replace
from functools import lru_cache
from itertools import permutations
from typing import Any

from course_lib.bench.imagined import COMPARED, Spread, limit_for, spreads_of
from course_lib.bench.measuring import coverage, guard_band
from course_lib.bench.pair import compare, farthest_seen, smallest_visible
from course_lib.bench.units import quantity
from course_lib.classroom.exercises.worked import Worked, say, turn, turned_round
from course_lib.classroom.pieces.job_in_hand import JobInHand
from course_lib.classroom.pieces.size_table import ShownTable

LOOK_FROM = 300  # mm: near enough for long bars
_MINUTE = 1 / 60  # degree
_VERDICTS = {"accept": "no", "reject": "yes", "cannot say": "cannot say"}
# differences and their bands, as parts of what an eye sees: invented, and each another case
_CASES = ((0.55, 0.30), (-1.45, 0.25), (0.85, 0.30), (-1.15, 0.30))
_ASKED = ("claw_tip", "claw_spread", "base_to_girdle", "plate_diameter")
# as parts of what an eye sees
_INVENTED = {
    "claw_wire": -0.06, "ring_wire": 0.08, "claw_tip": 0.9, "base_to_girdle": -0.35, "plate_diameter": 0.2,
    "strip_width": -1.5, "post_length": 0.4,
}  # fmt: skip
_WANTED = (80, 85, 90, 95)
_CLEARLY = 1.12  # so much wider a size must scatter for its bar to be clearly the longer
_LESS = ("post_length", "claw_wire", "stone_diameter", "plate_diameter", "strip_width", "ring_wire")
_CAUSES = ("surface", "alloy", "angle")


def usual_distance(job: JobInHand) -> float:
    """From which people look, in mm: the choice of the job."""
    return job.choices["viewing_distance"]


def limit(job: JobInHand) -> float:
    """The smallest difference an eye tells from there, in mm."""
    return float(smallest_visible.plain(usual_distance(job)))


@lru_cache(maxsize=64)
def spreads(job: JobInHand) -> dict[str, Spread]:
    """How far each compared size of the duplicate scatters."""
    return spreads_of(job.plan())


def seat(job: JobInHand) -> float:
    """Where somebody sits who looks at this pair, in mm: near the usual distance, and invented."""
    return round(usual_distance(job) * (0.8 + 0.05 * turn(job, "stone_diameter", 9)), -1)


def work_eye(job: JobInHand) -> Worked:
    """The smallest difference that is seen from that seat, in mm."""
    away, seen = seat(job), float(smallest_visible.plain(seat(job)))
    return Worked(
        seen,
        {
            "a degree": away * math.tan(math.radians(1)),
            "half the angle": seen / 2,
            "a minute to each side": 2 * seen,
            "no tangent": away * _MINUTE,
        },
        {"seat": away, "tangent": math.tan(math.radians(_MINUTE)), "seen": seen},
    )


def doubts(job: JobInHand) -> tuple[int, int]:
    """Bands for 95 % of the girdle's height, on the pattern and on the duplicate (invented), in µm."""
    read = job.readings["base_to_girdle"]
    band = 1000 * coverage(read.degrees_of_freedom) * read.standard_uncertainty
    pattern = max(round(band), 5)
    return pattern, max(round((0.6, 0.75, 0.9)[turn(job, "plate_diameter", 3)] * pattern), 3)


def work_band(job: JobInHand) -> Worked:
    """The band of the difference, in µm."""
    pattern, duplicate = doubts(job)
    together, squares = math.hypot(pattern, duplicate), pattern**2 + duplicate**2
    return Worked(
        together,
        {
            "straight sum": float(pattern + duplicate),
            "one taken off the other": float(pattern - duplicate),
            "the larger alone": float(max(pattern, duplicate)),
            "no root": float(squares),
        },
        {"pattern": pattern, "duplicate": duplicate, "squares": squares, "together": together},
    )


def differences(job: JobInHand) -> list[tuple[str, float, float]]:
    """Size, difference from the pattern, and the band of the difference, in mm."""
    order = list(permutations(_CASES))[turn(job, "post_length", 24)]
    return [
        (COMPARED[key], round(off * limit(job), 3), round(band * limit(job), 3))
        for key, (off, band) in zip(_ASKED, order, strict=True)
    ]


def work_decide(job: JobInHand) -> Worked:
    """Of each size, whether an eye can see that it differs."""
    sees = limit(job)
    rows: list[dict[str, Any]] = [
        {
            "at": at,
            "size": size,
            "off": off,
            "band": band,
            "apart": abs(off),
            "low": abs(off) - band,
            "high": abs(off) + band,
            "verdict": _VERDICTS[guard_band(off, band, sees)],
        }
        for at, (size, off, band) in enumerate(differences(job), 1)
    ]
    return Worked(
        [[row["verdict"]] for row in rows],
        {
            "doubt not counted": [["no" if row["apart"] < sees else "yes"] for row in rows],
            # what is smaller than the pattern is taken for no difference
            "smaller is no difference": [[row["verdict"] if row["off"] > 0 else "no"] for row in rows],
            "not sure, so seen": [["no" if row["verdict"] == "no" else "yes"] for row in rows],
        },
        {
            "distance": usual_distance(job),
            "limit": sees,
            "differences": [say("difference", **row) for row in rows],
            "ends": [say("two_ends", **row) for row in rows],
            "last": len(rows) + 1,
        },
        shown=[row["size"] for row in rows],
    )


def set_beside(job: JobInHand) -> ShownTable:
    """A finished duplicate of this piece beside its pattern, size by size; the duplicate is invented.

    >>> from course_lib.classroom.pieces.job_in_hand import demo_job
    >>> [row[-1] for row in set_beside(demo_job()).rows][:2]
    ['nobody sees it', 'nobody sees it']
    """
    said = {"accept": "nobody sees it", "reject": "an eye sees it", "cannot say": "cannot say"}
    pattern = {key: job.measured[key] for key in _INVENTED}
    duplicate = {
        key: replace(each, value=each.value + quantity(_INVENTED[key] * limit(job), "mm"))
        for key, each in pattern.items()
    }
    table = compare(pattern, duplicate, quantity(usual_distance(job), "mm"))
    rows = [
        (
            COMPARED[row.size],
            f"{row.pattern_mm:.3f} mm",
            f"{row.duplicate_mm:.3f} mm",
            f"{row.difference_mm:+.3f} mm",
            f"± {row.uncertainty_mm:.3f} mm",
            said[row.verdict],
        )
        for row in table.itertuples()
    ]
    rows.append(
        ("what an eye sees", "", "", f"{limit(job):.3f} mm", "", f"from {usual_distance(job):.0f} mm")
    )
    columns = ("size", "pattern", "duplicate", "difference", "its doubt (95 %)", "can an eye see it?")
    return ShownTable(columns, rows)


def wanted(job: JobInHand) -> int:
    """So many of a hundred pairs are to pass."""
    return _WANTED[turn(job, "claw_wire", len(_WANTED))]


def far_enough(job: JobInHand, share: float) -> float:
    """From where such a share of pairs passes, in mm."""
    return float(farthest_seen.plain(limit_for(spreads(job), share)))


def work_figure(job: JobInHand) -> Worked:
    """From which distance on so many of a hundred pairs pass, in mm."""
    share = wanted(job) / 100
    far = far_enough(job, share)
    return Worked(
        far,
        {"given away": far_enough(job, 1 - share), "half of them": far_enough(job, 0.5)},
        {"wanted": wanted(job), "far": far},
    )


def work_care(job: JobInHand) -> Worked:
    """Which of four sizes pays best for more care: one of the three that scatter most."""
    scatter = {name: spreads(job)[name].together for name in COMPARED}
    most = sorted(COMPARED, key=lambda name: -scatter[name])[turn(job, "strip_width", 3)]
    less = [name for name in _LESS if name != most and _CLEARLY * scatter[name] < scatter[most]][:3]
    offered = [name for name in COMPARED if name in (most, *less)]
    shown = turned_round(job, "base_to_girdle", offered)
    return Worked(
        most,
        {COMPARED[name]: name if name in less else None for name in _LESS},
        {
            "look_from": LOOK_FROM,
            "scatters": [
                say("scatter_of", at=at, size=COMPARED[name], scatter=1000 * scatter[name])
                for at, name in enumerate(shown, 1)
            ],
            "last": len(shown) + 1,
            "most": COMPARED[most],
        },
        shown={name: COMPARED[name] for name in shown},
    )


def work_looks(job: JobInHand) -> Worked:
    """What else gives the pair away: for each piece something else."""
    cause = _CAUSES[turn(job, "plate_diameter", len(_CAUSES))]
    return Worked(cause, way=cause)
