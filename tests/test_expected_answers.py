"""Every expected answer of lessons 02 to 14, worked anew from the readings on the demo sheets.

Nothing here calls a sum of the bench: formulas are typed again from their sources, with the sizes as the
sheet gives them and the shares of the trade as data/practice.csv gives them. What the plan itself worked out
is used only where it is what the exercise gives the learner (a length on the card, the passes), and each of
those is worked by hand elsewhere: tests/worked_example and the tests of its module.
"""

import itertools
import math
from collections.abc import Callable
from typing import Any

import pytest

from course_lib.bench.tables import find, numbers_of, practice, rows_of, table_by
from course_lib.classroom.exercise import find_lesson, lesson_numbers
from course_lib.classroom.job_in_hand import JobInHand, demo_job, demo_names

DEMOS = demo_names()


class Piece:
    """The readings of a demo sheet as plain numbers, and what is worked from them here."""

    def __init__(self, job: JobInHand) -> None:
        self.job, self.plan = job, job.plan()
        self.alloy = find("alloys", "alloy", job.alloy, "an alloy")
        words = self.alloy["composition_percent"].split()
        self.mix = {e: float(p) / 100 for e, p in zip(words[::2], words[1::2], strict=True)}
        self.box = sorted(
            (row for row in rows_of("solders") if row["alloy"] == job.alloy),
            key=lambda row: -float(row["flow_degC"]),
        )

    def __getattr__(self, key: str) -> float:
        return float(self.job.readings[key].value)

    def practice(self, name: str) -> float:
        return float(practice(name))

    @property
    def density(self) -> float:
        elements = table_by("elements", "element")
        return 1 / sum(share / float(elements[e]["density_g_cm3"]) for e, share in self.mix.items())

    @property
    def mop(self) -> float:
        return self.practice("polishing")

    @property
    def papers(self) -> float:
        """All papers, one face, in mm: a third of each grain."""
        grades = ["P400", "P600", "P1000", "P1500", "P2500"]
        grain = {row["grade"]: float(row["grain_um"]) for row in rows_of("abrasives")}
        return self.practice("grain_share") * sum(grain[g] for g in grades) / 1000

    @property
    def kerf(self) -> float:
        return float(find("blades", "blade", "4/0", "a blade")["kerf_mm"])

    @property
    def fold_kerf(self) -> float:
        return float(find("blades", "blade", "6/0", "a blade")["kerf_mm"])

    @property
    def outside(self) -> float:
        return self.ring_inside + 2 * self.ring_wire

    @property
    def base_depth(self) -> float:
        return self.base_to_ring - self.ring_wire / 2 - self.claw_wire / 2

    @property
    def girdle(self) -> float:
        return self.base_to_girdle - self.claw_wire / 2 - self.base_depth

    @property
    def groove(self) -> float:
        return 0.33 * self.claw_wire

    @property
    def flare(self) -> float:
        """In radians: bearing and groove take a third of the claw each."""
        at_ring = self.outside / 2 - self.groove + self.claw_wire / 2
        at_girdle = self.stone_diameter / 2 - 0.33 * self.claw_wire + self.claw_wire / 2
        return math.atan2(at_girdle - at_ring, self.girdle)

    @property
    def staple(self) -> float:
        """By walking along the middle of the wire in small steps: legs, arcs and base as points."""
        at_ring = self.outside / 2 - self.groove + self.claw_wire / 2
        lean, radius = self.flare, 0.5 * self.claw_wire + self.claw_wire / 2
        corner = at_ring - self.base_depth * math.tan(lean)
        turn = math.pi / 2 - lean
        back = radius * math.tan(turn / 2)
        centre = (corner - back, -self.base_depth + radius)
        arc = [
            (centre[0] + radius * math.sin(turn * at / 2000), centre[1] - radius * math.cos(turn * at / 2000))
            for at in range(2001)
        ]
        top = (at_ring + self.girdle * math.tan(lean), self.girdle)
        points = [(0.0, -self.base_depth), *arc, top]
        return 2 * sum(math.dist(a, b) for a, b in itertools.pairwise(points))

    def volume(self, part: str) -> float:
        return self.plan.plain(f"{part}_volume")


def _visible(mm: float) -> float:
    return 2 * mm * math.tan(math.radians(1 / 60) / 2)


def _water(t: float) -> float:
    """Kell's formula for water (J. Chem. Eng. Data 20, 1975, 97), another than the course uses, in g/cm3."""
    top = 999.83952 + 16.945176 * t - 7.9870401e-3 * t**2 - 46.170461e-6 * t**3 + 105.56302e-9 * t**4
    return (top - 280.54253e-12 * t**5) / (1 + 16.879850e-3 * t) / 1000


def _hanging(p: Piece) -> float:
    from course_lib.classroom.lessons.lesson_02 import in_air, in_water

    air, wet = in_air(p.job), in_water(p.job)
    return air / (air - wet) * (_water(20) - 0.0012) + 0.0012


def _balance(p: Piece) -> str:
    """Difference of the weights against the root of the squares of both bands; all demos were weighed."""
    _, weight, band, pattern, _ = next(r for r in p.plan.weight_rows() if r[0] == "earring without its nut")
    return "agrees" if abs(weight - pattern) <= math.hypot(band, 0.003) else "differs"


def _spiral(p: Piece) -> float:
    """The curl as ten thousand short chords."""
    inner, steps = (p.curl_inside + p.strip_thickness) / 2, 10_000
    ways = [2 * math.pi * p.curl_turns * at / steps for at in range(steps + 1)]
    points = []
    for way in ways:
        out = inner + p.strip_thickness * way / (2 * math.pi)
        points.append((out * math.cos(way), out * math.sin(way)))
    return sum(math.dist(a, b) for a, b in itertools.pairwise(points))


def _cuts(p: Piece) -> int:
    deep = 0.75 * (p.strip_thickness + 2 * p.mop)
    return math.ceil(90 / (2 * math.degrees(math.atan(p.fold_kerf / 2 / deep))))


def _mandrel(p: Piece) -> float:
    # the mop works inside and outside alike: the middle of the wire stays, the wire is thicker before it
    inside = p.ring_inside - 2 * p.mop
    return (inside + p.kerf / math.pi) / (1 + p.practice("spring_back"))


def _coil(p: Piece) -> float:
    wire = p.ring_wire + 2 * p.mop
    return 2 * math.hypot(math.pi * (_mandrel(p) + wire), wire)


def _drill(p: Piece) -> float:
    return min(d for d in numbers_of("drills", "diameter_mm") if d >= p.post_wire + 0.02 - 1e-9)


def _blank(p: Piece) -> float:
    return p.plate_diameter + 2 * (p.papers + p.mop) + 2 * (0.1 + 0.2)


def _table_04(p: Piece) -> list[list[float]]:
    from course_lib.classroom.lessons.lesson_04 import rows_shown

    rows, soft = [], None
    for before, each in rows_shown(p.job):
        if soft is None or each.anneal_before:
            soft = before
        rows.append([100 * (before - each.size_mm) / before, 100 * (soft - each.size_mm) / soft])
    return rows


def _anneals(p: Piece) -> int:
    thickness, count, end = p.plan.starts["scroll"], 0, p.plan.runs["scroll"][-1].size_mm
    while thickness * (1 - float(p.alloy["anneal_at"])) > end + 1e-9:
        thickness *= 1 - float(p.alloy["anneal_at"])
        count += 1
    return count


def _solders(p: Piece) -> list[list[str]]:
    """Hard, hard, medium, easy: the first two are apart in the fire, the others reach all before them."""
    names = [row["name"] for row in p.box]
    return [[names[0]], [names[0]], [names[1]], [names[2]]]


def _fine(p: Piece) -> float:
    return round(p.plan.metal_taken, 3) * max(p.mix.values())


def _minutes(at: str) -> float:
    return sum(float(row[f"minutes_{at}"]) for row in rows_of("minutes"))


def _metal_line(p: Piece) -> float:
    return next(line[2] for line in p.plan.quote.lines if line[0].startswith("metal"))


def _quote(p: Piece) -> list[list[float]]:
    hour, extra, swing = p.practice("labour_rate"), p.practice("overhead"), p.practice("price_swing")
    least, most, metal = _minutes("least") / 60 * hour, _minutes("most") / 60 * hour, _metal_line(p)
    return [[metal * (1 - swing), metal * (1 + swing)], [least, most], [extra * least, extra * most]]


def _in_piece(p: Piece) -> float:
    return round(
        sum(p.volume(part) for part in ("ring", "claws", "post", "plate", "scroll")) * p.density / 1000, 3
    )


def _back(p: Piece) -> float:
    return 0.9 * (round(p.plan.metal_taken, 3) - _in_piece(p))


def _tender(p: Piece) -> str:
    # spinel and corundum bear heat, quartz (amethyst) does not: International Gem Society tables
    return {"spinel": "hardy", "corundum": "hardy", "quartz": "tender"}[p.job.gem]


def _dearest(p: Piece) -> str:
    """The size whose normal distribution alone passes least often; spreads from data/maker_scatter.csv."""
    spread = {row["size"]: float(row["spread_mm"]) for row in rows_of("maker_scatter")}
    across = 1.0 if p.job.claws % 2 == 0 else math.sin(math.pi / p.job.claws)
    hand = {
        "claw_tip": spread["claw_tip"],
        "claw_spread": math.hypot(2 * across * spread["bearing_cut"], (1 + across) * spread["claw_wire"]),
        "curl_over_all": spread["curl_inside"],
    }
    both = {
        key: math.hypot(s, p.job.readings[key].standard_uncertainty if key in p.job.readings else 0.0)
        for key, s in hand.items()
    }
    return max(both, key=lambda key: both[key])


def _hallmark(p: Piece) -> str:
    limit = {"gold": 1.0, "silver": 7.78, "palladium": 1.0, "platinum": 0.5}[p.alloy["metal"]]
    return "yes" if _in_piece(p) >= limit else "no"


Worked = Callable[[Piece], Any]

WORKED: dict[tuple[str, str], Worked] = {
    ("02", "density"): lambda p: p.density,
    ("02", "weight"): lambda p: math.pi * (p.post_wire / 2) ** 2 * p.post_length * p.density / 1000,
    ("02", "hanging"): _hanging,
    ("02", "light"): lambda p: "bubbles",
    ("02", "alloy"): lambda p: 10 * (1000 / float(p.alloy["fineness"]) - 1),
    ("02", "mark"): lambda p: "lower",
    ("02", "balance"): _balance,
    ("03", "removal"): lambda p: 1000 * p.papers,
    ("03", "before the mop"): lambda p: p.plate_thickness + 0.010,
    ("03", "before the papers"): lambda p: p.plate_thickness + 2 * (p.papers + 0.005),
    ("03", "too thin"): lambda p: "one",
    ("03", "order"): lambda p: ["P400", "P600", "P1000", "P1500", "P2500"],
    # two papers for drawn wire, P1500 and P2500, and the mop
    ("03", "layers"): lambda p: p.post_wire + 2 * (0.33 * (12.6 + 8.4) + 5) / 1000,
    ("03", "scratches"): lambda p: "skipped",
    ("04", "pass"): lambda p: 100 * (1 - p.plan.runs["scroll"][0].size_mm / p.plan.starts["scroll"]),
    ("04", "wire"): lambda p: 100 * (1 - (p.plan.runs["claw"][0].size_mm / p.plan.starts["claw"]) ** 2),
    ("04", "table"): _table_04,
    ("04", "anneals"): _anneals,
    ("04", "length"): lambda p: 20 * (p.plan.starts["claw"] / p.plan.runs["claw"][-1].size_mm) ** 2,
    ("04", "draft"): lambda p: 0.01 * 25,
    ("04", "curve"): lambda p: "askew",
    ("05", "blank"): _blank,
    ("05", "true size"): lambda p: _blank(p) * 0.97,
    ("05", "drill"): _drill,
    ("05", "clearance"): lambda p: 1000 * (_drill(p) - p.post_wire),
    ("05", "order"): lambda p: ["template", "punch", "drill", "saw", "warm", "file"],
    ("05", "glue"): lambda p: "gentle",
    ("05", "wandered"): lambda p: "big",
    ("06", "curl"): _spiral,
    ("06", "strip"): lambda p: p.plan.plain("fold_lines") + 2 * (p.plan.plain("arm") + _spiral(p)),
    ("06", "cut"): lambda p: 0.75 * (p.strip_thickness + 0.010),
    ("06", "cuts"): _cuts,
    ("06", "order"): lambda p: ["dimple", "hole", "cut", "fold", "solder", "curl"],
    ("06", "spring"): lambda p: "springs",
    ("06", "slides"): lambda p: "annealed",
    ("07", "wire"): lambda p: math.pi * (p.ring_inside + p.ring_wire),
    ("07", "shrink"): lambda p: p.kerf / math.pi,
    ("07", "mandrel"): _mandrel,
    ("07", "coil"): _coil,
    ("07", "choose"): lambda p: "below",
    ("07", "hold"): lambda p: "clamp",
    ("07", "opened"): lambda p: "round",
    ("08", "grooves"): lambda p: math.dist(
        (p.outside / 2, 0),
        (
            p.outside / 2 * math.cos(2 * math.pi / p.job.claws),
            p.outside / 2 * math.sin(2 * math.pi / p.job.claws),
        ),
    ),
    ("08", "depth"): lambda p: p.groove,
    ("08", "flare"): lambda p: math.degrees(p.flare),
    ("08", "staple"): lambda p: p.staple,
    ("08", "crossing"): lambda p: {3: "ends", 4: "wire", 6: "wider"}[p.job.claws],
    ("08", "culet"): lambda p: p.base_to_girdle - p.claw_wire - p.plan.plain("pavilion_depth"),
    ("08", "rocks"): lambda p: "heights",
    ("09", "order"): lambda p: ["ring seam", "crossing", "claws to ring", "post"],
    ("09", "table"): _solders,
    ("09", "margin"): lambda p: float(p.box[-2]["solidus_degC"]) - float(p.box[-1]["flow_degC"]),
    ("09", "ladder"): lambda p: float(p.box[0]["flow_degC"]),
    ("09", "missing"): lambda p: "shield",
    ("09", "volume"): lambda p: math.pi / 4 * p.post_wire**2 * 0.05 * 1.5,
    ("09", "balled"): lambda p: "cold",
    ("10", "blank"): lambda p: p.post_length + 1.5,
    ("10", "give"): lambda p: (
        64 * p.post_length**3 / (3 * math.pi * 1000 * float(p.alloy["elastic_modulus_GPa"]) * p.post_wire**4)
    ),
    ("10", "bends"): lambda p: (
        float(p.alloy["yield_soft_MPa"]) * (math.pi * p.post_wire**4 / 64) / (p.post_wire / 2) / p.post_length
    ),
    ("10", "stiffer"): lambda p: 1.4641,
    ("10", "tilt"): lambda p: p.post_length * 0.0348995,  # sine of two degrees, from a table
    ("10", "order"): lambda p: ["file", "solder", "twist", "trim", "notch"],
    ("10", "soft"): lambda p: "annealed",
    ("11", "table"): lambda p: [
        [p.volume(part) * p.density / 1000] for part in ("ring", "claws", "post", "plate")
    ],
    ("11", "stone"): lambda p: round(p.plan.plain("stone_carat"), 2) / 5,
    ("11", "back"): _back,
    ("11", "lost"): lambda p: 100 * _back(p) / 9 / round(p.plan.metal_taken, 3),
    ("11", "order"): lambda p: ["pickle", "papers", "mop", "weigh", "set", "trim"],
    ("11", "heat"): _tender,
    ("11", "heavy"): lambda p: "solder",
    ("12", "eye"): lambda p: _visible(500),
    ("12", "band"): lambda p: 50.0,  # 30, 40, 50: the oldest right triangle
    ("12", "decide"): lambda p: "cannot say",
    ("12", "figure"): lambda p: _visible(1000),
    ("12", "care"): _dearest,
    ("12", "looks"): lambda p: "surface",
    ("12", "beside"): lambda p: "",
    ("13", "fine"): _fine,
    ("13", "time"): lambda p: _minutes("likely") / 60 * 45,
    ("13", "overhead"): lambda p: _minutes("likely") / 60 * 45 * 1.35,
    ("13", "table"): _quote,
    ("13", "nut"): lambda p: "buy",
    ("13", "hallmark"): _hallmark,
    ("13", "honest"): lambda p: "both",
    ("14", "measure"): lambda p: "",
    ("14", "tenfold"): lambda p: "comma",
    ("14", "least"): lambda p: "pavilion_depth",
    ("14", "staple"): lambda p: p.staple + 2 * (p.claw_tip / math.cos(p.flare) + p.job.choices["claw_spare"]),
    ("14", "roll"): lambda p: math.ceil(100 * (p.strip_thickness + 2 * (p.papers + p.mop)) - 1e-6) / 100,
    ("14", "stop"): lambda p: "base_to_girdle",
    ("14", "finished"): lambda p: "",
}


def test_every_exercise_is_worked_here() -> None:
    asked = {(n, each.name) for n in lesson_numbers() if n >= "02" for each in find_lesson(n).exercises}
    assert asked == set(WORKED)
    assert len(asked) + 13 >= 80


@pytest.mark.parametrize("demo", DEMOS)
@pytest.mark.parametrize("which", WORKED, ids=" ".join)
def test_the_expected_answer_is_what_is_worked_here(which: tuple[str, str], demo: str) -> None:
    number, name = which
    job = demo_job(demo)
    exercise = find_lesson(number).exercise(name)
    worked = WORKED[which](Piece(job))
    expected = exercise.expected(job)
    if isinstance(worked, str):
        assert expected == worked
    else:
        assert exercise.same(worked, expected, job), (worked, expected)
        # and nearer than the tolerance, so that a wrong sum cannot hide in it
        if isinstance(worked, float | int):
            assert exercise.number(expected) == pytest.approx(worked, rel=4e-3, abs=1e-9)  # type: ignore[attr-defined]
