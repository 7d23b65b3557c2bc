"""The four-claw demo worked on paper, line by line, as a goldsmith would check the bench card.

Nothing here comes from the library: the readings and the trade's choices are typed out again, and where a
closed formula is at hand another way is taken (coordinates, short chords, thin slices). Lengths in mm,
weights in g, areas and volumes in mm2 and mm3, forces in N, stresses in MPa, angles in degrees.
"""

import itertools
import math
from collections.abc import Callable, Sequence

Sizes = dict[str, float]

# --- the measuring sheet, typed out again ---------------------------------------------------------------

# Each gauge: its smallest step, its own standard doubt, and what is to be added to all that it shows.
GAUGES = {
    "micrometer": (0.001, 0.0012, -0.001),  # wiped and closed it shows 0.001: every reading is 0.001 too big
    "caliper": (0.01, 0.012, 0.0),
    # the hole is as wide as the largest shank that enters, or up to a step wider: half a step in the middle
    "plug gauge": (0.03, 0.006, 0.015),
    "loupe scale": (0.05, 0.029, 0.0),
    "fine balance": (0.001, 0.0006, 0.0),
}

SHEET: dict[str, tuple[str, tuple[float, ...]]] = {
    "pattern_weight": ("fine balance", (0.435, 0.434, 0.435)),
    "stone": ("caliper", (5.02, 5.00, 5.01)),
    "stone_depth": ("caliper", (3.05, 3.04, 3.06)),
    "ring_inside": ("caliper", (2.60, 2.60, 2.62)),
    "ring_wire": ("micrometer", (0.898, 0.902, 0.900)),
    "claw_wire": ("micrometer", (0.801, 0.799, 0.803)),
    "base_to_girdle": ("caliper", (3.42, 3.40, 3.41)),
    "base_to_ring": ("caliper", (1.90, 1.92, 1.91)),
    "tip": ("loupe scale", (0.70, 0.75, 0.70)),
    "post_wire": ("micrometer", (0.899, 0.901, 0.900)),
    "post_length": ("caliper", (10.52, 10.50, 10.51)),
    "notch_from_tip": ("caliper", (2.02, 2.00, 2.01)),
    "notch_wire": ("micrometer", (0.741, 0.739, 0.740)),
    "notch_width": ("loupe scale", (0.40, 0.40, 0.45)),
    "plate_diameter": ("caliper", (5.80, 5.81, 5.79)),
    "plate_thickness": ("micrometer", (0.499, 0.501, 0.500)),
    "plate_hole": ("plug gauge", (0.95, 0.95, 0.95)),
    "strip": ("micrometer", (0.401, 0.399, 0.400)),
    "strip_width": ("caliper", (2.60, 2.61, 2.59)),
    "base": ("caliper", (4.80, 4.82, 4.81)),
    "curl_inside": ("plug gauge", (0.60, 0.60, 0.62)),
    "gap": ("plug gauge", (0.82, 0.82, 0.80)),
    "pattern_nut_weight": ("fine balance", (0.406, 0.406, 0.405)),
    "sheet": ("micrometer", (1.501, 1.499, 1.500)),
    "wire": ("micrometer", (2.001, 1.999, 2.000)),
}
CLAWS = 4

# --- the trade's choices --------------------------------------------------------------------------------

GRAIN = {  # coarse to fine
    "P80": 0.201, "P100": 0.162, "P120": 0.125, "P150": 0.100, "P180": 0.082,
    "P220": 0.068, "P240": 0.0585, "P280": 0.0522, "P320": 0.0462, "P360": 0.0405,
    "P400": 0.0350, "P500": 0.0302, "P600": 0.0258, "P800": 0.0218, "P1000": 0.0183,
    "P1200": 0.0153, "P1500": 0.0126, "P2000": 0.0103, "P2500": 0.0084, "P3000": 0.0070,
}  # fmt: skip
PAPERS = ("P400", "P600", "P1000", "P1500", "P2500")
POST_PAPERS = ("P1500", "P2500")  # drawn wire is smooth already
GRAIN_SHARE = 0.33  # each paper takes a third of its own grain off a face
COARSER, ENOUGH = 2, 0.9  # grades from a paper to the one before it; how much of a face papers must take
MOP = 0.005  # and the mop this much
SAW_ALLOWANCE, FILE_ALLOWANCE = 0.2, 0.1
END_WASTE = 5.0  # pointed or cut off at the end of a wire or strip
HOLD = 20.0  # more to hold by while it is rolled or drawn; it goes back to the drawer
MILL_STEP = 0.01
ROLL_LIMIT, DRAW_LIMIT, ANNEAL_AT = 0.12, 0.20, 0.50  # 585 yellow: of thickness, of area, since the anneal
END_HARD = 0.30  # scroll strip and post are left at least this much worked
PLATE_HOLES = (
    tuple(round(0.30 + 0.05 * n, 2) for n in range(19))  # 0.30 to 1.20 by 0.05
    + tuple(round(1.30 + 0.10 * n, 2) for n in range(18))  # 1.30 to 3.00 by 0.10
)
DRILLS = (
    *(round(0.2 + 0.1 * tenth + more, 2) for tenth in range(8) for more in (0.0, 0.02, 0.05, 0.08)),
    *(round(1.0 + 0.05 * n, 2) for n in range(40)),  # 1.00 to 2.95
)
HOLE_LEAST, HOLE_MOST, HOLE_STEP = 0.02, 0.12, 0.35
FOLD_KERF, RING_KERF = 0.18, 0.22  # blades 6/0 and 4/0
FOLD_SHARE, FOLD_ANGLE, DIMPLE_SHARE = 0.75, 90.0, 1 / 3
SPRING_BACK, COIL_TURNS = 0.02, 2
GROOVE_SHARE, BEARING_SHARE, BEND_SHARE = 0.33, 0.33, 0.5
CLAW_SPARE, POST_SPARE = 1.0, 1.5
PAVILION_SHARE = 0.431  # of the stone's diameter, where the pavilion was not measured
SOLDER_GAP, SOLDER_FILLET, NUT_SOLDER_SHARE = 0.05, 0.5, 0.4
PALLION = 0.7 * 0.7 * 0.15
SOLDERS = (("hard", 760.0, 790.0), ("medium", 720.0, 745.0), ("easy", 680.0, 705.0))  # begins, flows
METAL_BEGINS, MARGIN = 830.0, 10.0
GLUE_LETS_GO = 100.0
COMES_BACK = 0.9  # of all that does not end in the piece, offcuts and lemel together
STIFFNESS, SOFT_YIELD, FRICTION, KNOCK = 95_000.0, 350.0, 0.2, 1.0
MINUTES = {  # least, likely, most
    "measure": (15, 20, 30),
    "roll and draw": (20, 30, 45),
    "paper the stock": (15, 25, 35),
    "plate and hole": (15, 20, 30),
    "scroll": (20, 30, 50),
    "ring": (10, 15, 25),
    "basket": (35, 50, 80),
    "solder": (25, 35, 60),
    "post": (10, 15, 20),
    "finish": (25, 35, 50),
    "set": (15, 25, 40),
    "check and trim": (10, 15, 20),
}
HOUR, OVERHEAD = 45.0, 0.35  # money
GOLD_PRICE, SILVER_PRICE = (95.0, 0.95), (1.1, 0.85)  # a fine gram, and the share of it paid for scrap
PRICE_SWING, EXEMPT = 0.05, 1.0  # from so many g of gold on it needs a hallmark
NUT_BOUGHT = 9.0  # money
RECIPE = ((0.585, 19.3), (0.205, 10.5), (0.21, 8.96))  # gold, silver, copper: share by weight, density
CHORDS = 600  # short straight bits that stand for a curl
SLICES = 200  # thin slices that stand for a groove


# --- read the pattern -----------------------------------------------------------------------------------


def mean_of(name: str) -> float:
    """The middle of the readings, with what the gauge shows too much or too little put right."""
    gauge, readings = SHEET[name]
    return math.fsum(readings) / len(readings) + GAUGES[gauge][2]


def doubt_of(name: str) -> tuple[float, float]:
    """The standard doubt that is a size's own, and its degrees of freedom; the gauge's is not in it."""
    gauge, readings = SHEET[name]
    n, middle = len(readings), math.fsum(readings) / len(readings)
    # scatter of the single readings, and of their middle
    scatter = math.sqrt(math.fsum((x - middle) ** 2 for x in readings) / (n - 1)) / math.sqrt(n)
    # a step that rounds hides half a step to either side, anywhere in it alike
    whole = math.hypot(scatter, GAUGES[gauge][0] / math.sqrt(12))
    # only the scatter is badly known, from n - 1 degrees of freedom
    return whole, math.inf if scatter < 1e-12 else (n - 1) * (whole / scatter) ** 4


def density() -> float:
    """585 yellow: what a gram of the recipe fills, turned over."""
    return 1 / math.fsum(share / metal for share, metal in RECIPE)


def inputs() -> dict[str, tuple[float, float, float]]:
    """Everything that carries doubt: value, standard doubt, degrees of freedom."""
    read = {name: (mean_of(name), *doubt_of(name)) for name in SHEET}
    # a gauge that is a little off is off alike in all that is read with it: one shift a gauge
    read.update({gauge: (0.0, own, math.inf) for gauge, (_, own, _) in GAUGES.items()})
    # one turn of curl, told to the nearest eighth
    read["turns"] = (1.0, 0.125 / math.sqrt(12), math.inf)
    # a real alloy lies within 1 % of its recipe's density
    read["density"] = (density(), density() * 0.01 / math.sqrt(3), math.inf)
    # spinel lies between 3.57 and 3.63
    read["gravity"] = (3.6, (3.63 - 3.57) / 2 / math.sqrt(3), math.inf)
    # the rule for a round stone's weight is good to 4 %
    read["cut"] = (1.0, 0.04 / math.sqrt(3), math.inf)
    return read


def gauges_shift(r: Sizes) -> Sizes:
    """Every reading moves with its gauge; one less another from the same gauge does not move at all."""
    return {name: r[name] + r[gauge] for name, (gauge, _) in SHEET.items()}


# --- work back from the finish --------------------------------------------------------------------------


def taken_by(papers: Sequence[str]) -> float:
    """What a ladder of papers takes off a face."""
    return GRAIN_SHARE * math.fsum(GRAIN[paper] for paper in papers)


PAPERS_TAKE, POST_PAPERS_TAKE = taken_by(PAPERS), taken_by(POST_PAPERS)

WORKED = ("ring_wire", "claw_wire", "post_wire", "plate_thickness", "plate_diameter", "strip", "strip_width")


def before_finish(r: Sizes) -> Sizes:
    """Two faces lose to the mop, and before that two faces to the papers.

    Sheet, strip and wire are papered first; all that is cut and built is cut and built before the mop.
    """
    w = {f"{name}_before_polish": r[name] + 2 * MOP for name in WORKED}
    for name in WORKED:
        take = POST_PAPERS_TAKE if name == "post_wire" else PAPERS_TAKE
        w[f"{name}_before_papers"] = w[f"{name}_before_polish"] + 2 * take
    return w


def next_mill_step(size: float) -> float:
    """The mill is set to whole hundredths: the next one that still leaves enough."""
    return math.ceil(size / MILL_STEP - 1e-9) * MILL_STEP


def next_hole(size: float) -> float:
    """The tightest hole of the plate that still leaves enough."""
    return min(hole for hole in PLATE_HOLES if hole >= size - 1e-9)


MIDDLES = {name: value for name, (value, _, _) in inputs().items()}
_ROUGH = before_finish(MIDDLES)
STOCK = {
    "plate": next_mill_step(_ROUGH["plate_thickness_before_papers"]),  # 0.575 -> 0.58
    "scroll": next_mill_step(_ROUGH["strip_before_papers"]),  # 0.475 -> 0.48
    "ring": next_hole(_ROUGH["ring_wire_before_papers"]),  # 0.975 -> 1.00
    "claw": next_hole(_ROUGH["claw_wire_before_papers"]),  # 0.876 -> 0.90
    "post": next_hole(_ROUGH["post_wire_before_papers"]),  # 0.923 -> 0.95
}
START = {part: MIDDLES["sheet" if part in ("plate", "scroll") else "wire"] for part in STOCK}
# what is gauged of each stock, and what papers must take off each of its faces
GAUGED = {
    "plate": "plate_thickness",
    "scroll": "strip",
    "ring": "ring_wire",
    "claw": "claw_wire",
    "post": "post_wire",
}
TO_PAPER = {part: (STOCK[part] - _ROUGH[f"{GAUGED[part]}_before_polish"]) / 2 for part in STOCK}


def papers_from(take: float, usual: Sequence[str]) -> tuple[str, ...]:
    """Coarser papers before the usual ones, until nine tenths of what must come off a face is taken."""
    papers, grades = list(usual), list(GRAIN)
    while taken_by(papers) < ENOUGH * take - 1e-9:
        papers.insert(0, grades[grades.index(papers[0]) - COARSER])
    return tuple(papers)


LADDERS = {
    "plate": papers_from(TO_PAPER["plate"], PAPERS),  # 0.035 a face, the usual ones take 0.033: enough
    "scroll": papers_from(TO_PAPER["scroll"], PAPERS),  # the same
    "ring": papers_from(TO_PAPER["ring"], PAPERS),  # 0.045: P320 takes 0.015 more, 0.048 in all
    "claw": papers_from(TO_PAPER["claw"], PAPERS),  # 0.045 too
    "post": papers_from(TO_PAPER["post"], POST_PAPERS),  # 0.020: 0.007 does not do, nor 0.013 from P1000
}


# --- roll and draw --------------------------------------------------------------------------------------


def roll_passes(start: float, finish: float) -> int:
    """Count passes by taking all that a pass may, again and again, until the finish is within reach.

    One pass fewer would not do: even with every pass at its limit the sheet would still be too thick.
    So many are the fewest if the mill could be set to any thickness.
    """
    count, thickness = 0, start
    while thickness > finish + 1e-9:
        thickness *= 1 - ROLL_LIMIT
        count += 1
    return count


def on_the_mill(start: float, finish: float, end_hard: float) -> tuple[int, int]:
    """Fewest passes with the mill on whole hundredths, and the fewest anneals for so many.

    Sizes are counted in steps of the mill here. `ways` has every size that so many passes lead to, with the
    size at its last anneal, and how many anneals it took.
    """
    ways = {(start / MILL_STEP, start / MILL_STEP): 0}
    last = round(finish / MILL_STEP)
    for passes in itertools.count(1):
        ways = one_more_pass(ways, last)
        hard = [n for (size, soft), n in ways.items() if size == last and 1 - size / soft >= end_hard - 1e-9]
        if hard:
            return passes, min(hard)
    raise AssertionError("a mill that is set to whole steps always gets there")


def one_more_pass(ways: dict[tuple[float, float], int], last: int) -> dict[tuple[float, float], int]:
    """Where one more pass leads, annealed before it or not."""
    further: dict[tuple[float, float], int] = {}
    for (size, soft), anneals in ways.items():
        for after in range(max(last, math.ceil(size * (1 - ROLL_LIMIT) - 1e-9)), math.ceil(size)):
            for since, count in ((soft, anneals), (size, anneals + 1)):
                if 1 - after / since <= ANNEAL_AT + 1e-9:
                    further[after, since] = min(count, further.get((after, since), count))
    return further


def smallest_next_hole(diameter: float) -> float:
    """The smallest hole that a wire goes through without losing more than a fifth of its area."""
    return min(hole for hole in PLATE_HOLES if (hole / diameter) ** 2 >= 1 - DRAW_LIMIT - 1e-9)


def draw_passes(start: float, finish: float) -> int:
    """Always through the smallest hole allowed: no other choice is further down after as many holes."""
    count, diameter = 0, start
    while diameter > finish + 1e-9:
        diameter = smallest_next_hole(diameter)
        count += 1
    return count


def routes(start: float, finish: float, passes: int) -> list[tuple[float, ...]]:
    """Every way from start to finish in so many holes, each within the limit of a hole."""
    if passes == 0:
        return [()] if abs(start - finish) < 1e-9 else []
    nexts = [h for h in PLATE_HOLES if finish <= h < start and (h / start) ** 2 >= 1 - DRAW_LIMIT - 1e-9]
    nexts = [h for h in nexts if draw_passes(h, finish) <= passes - 1]
    return [(hole, *rest) for hole in nexts for rest in routes(hole, finish, passes - 1)]


def runs_of(sizes: Sequence[float], anneals: Sequence[int]) -> list[tuple[float, float]]:
    """From anneal to anneal: the size where each run begins, and where it ends. Drawer stock is soft."""
    stops = [0, *anneals, len(sizes) - 1]
    return [(sizes[a], sizes[b]) for a, b in itertools.pairwise(stops)]


def unevenness(steps: Sequence[tuple[float, float]]) -> float:
    """Least where each step draws the wire out alike; logarithms add up where percentages do not."""
    return math.fsum(math.log(before / after) ** 2 for before, after in steps)


def in_limits(runs: Sequence[tuple[float, float]], end_hard: float) -> bool:
    """Whether no run tires the wire, and the last leaves it hard enough."""
    worked_in = [1 - (after / before) ** 2 for before, after in runs]
    return max(worked_in) <= ANNEAL_AT + 1e-9 and worked_in[-1] >= end_hard - 1e-9


def draw_row(start: float, finish: float, end_hard: float) -> list[str]:
    """Fewest holes, then fewest anneals, then the evenest runs between anneals, then the evenest holes."""
    ways = [(start, *way) for way in routes(start, finish, draw_passes(start, finish))]
    for count in range(len(ways[0])):
        choices = [
            (unevenness(runs), unevenness(list(itertools.pairwise(way))), way, anneals)
            for way in ways
            for anneals in itertools.combinations(range(1, len(way) - 1), count)
            if in_limits(runs := runs_of(way, anneals), end_hard)
        ]
        if choices:
            _, _, way, anneals = min(choices)
            return [("ANNEAL > " if n in anneals else "") + f"{way[n + 1]:.2f}" for n in range(len(way) - 1)]
    raise AssertionError("no way through these holes")


ROWS = {
    "ring": draw_row(START["ring"], STOCK["ring"], 0.0),
    "claw": draw_row(START["claw"], STOCK["claw"], 0.0),
    "post": draw_row(START["post"], STOCK["post"], END_HARD),
}


def forming() -> Sizes:
    """How many passes and anneals each stock takes."""
    w: Sizes = {}
    for part, hard in (("plate", 0.0), ("scroll", END_HARD)):
        w[f"{part}_passes"], w[f"{part}_anneals"] = on_the_mill(START[part], STOCK[part], hard)
    for part, row in ROWS.items():
        w[f"{part}_passes"] = len(row)
        w[f"{part}_anneals"] = sum("ANNEAL" in step for step in row)
    return w


def drawer_length(blank: float, start: float, stock: float, powers: int) -> float:
    """What to cut off the stock in the drawer: volume stays, so length goes as the section shrinks.

    A strip keeps its width between the rolls (one power of the thickness); a wire shrinks both ways (two).
    """
    return (blank + END_WASTE) * (stock / start) ** powers


# --- back plate and hole --------------------------------------------------------------------------------


def plate_and_hole(r: Sizes) -> Sizes:
    """Allowances lie on both sides of a diameter."""
    filed = r["plate_diameter_before_papers"]  # 5.80 and twice 0.038: file to 5.88
    # 0.1 for the file and 0.2 for the saw, left and right: saw at 6.48
    return {"plate_filed": filed, "plate_blank": filed + 2 * FILE_ALLOWANCE + 2 * SAW_ALLOWANCE}


def drill_for_post(post: float) -> float:
    """The first drill in the box that leaves the post two hundredths: 0.899 + 0.020 = 0.919, so 0.92."""
    return min(d for d in DRILLS if post + HOLE_LEAST - 1e-9 <= d <= post + HOLE_MOST + 1e-9)


def drill_steps(drill: float) -> tuple[float, ...]:
    """Back from the last drill, each time to the smallest in the box that it may follow.

    A drill opens a hole by at most 0.35. The first one goes into solid metal and may be two such steps wide.
    """
    steps = [drill]
    while steps[0] > 2 * HOLE_STEP:
        steps.insert(0, min(d for d in DRILLS if d >= steps[0] - HOLE_STEP - 1e-9))
    return tuple(steps)


DRILL = drill_for_post(MIDDLES["post_wire"])
STEPS = drill_steps(DRILL)


# --- scroll ---------------------------------------------------------------------------------------------


def spiral_points(inner: float, pitch: float, first: float, last: float) -> list[tuple[float, float]]:
    """Points along the strip's middle, from one turn number to another."""
    turns = [first + (last - first) * n / CHORDS for n in range(CHORDS + 1)]
    radii = [inner + pitch * turn for turn in turns]
    return [
        (q * math.cos(math.tau * n), q * math.sin(math.tau * n)) for q, n in zip(radii, turns, strict=True)
    ]


def along(points: Sequence[tuple[float, float]]) -> float:
    """Step along the points with dividers."""
    return math.fsum(math.dist(a, b) for a, b in itertools.pairwise(points))


def scroll(r: Sizes) -> Sizes:
    """Curls whose turns touch, arms that rise from the base, and the strip that all of it is made from."""
    strip, turns = r["strip"], r["turns"]
    inner = r["curl_inside"] / 2 + strip / 2  # the strip's middle lies half a strip outside the hole
    end, half_before = inner + strip * turns, inner + strip * (turns - 0.5)  # turns touch: a strip a turn
    lowest, top = inner + strip * (turns - 0.75), inner + strip * (turns - 0.25)
    curl = along(spiral_points(inner, strip, 0.0, turns))
    # the curl rests on the base: two strips' thickness up, less half a strip, and the curl's lowest radius
    riser = 2 * strip - strip / 2 + lowest
    # a sawn fold keeps its outer skin, so base and arms count over the outside; its corner stands out
    out, up = folded_corner(FOLD_CUTS, FOLD_APART)
    return {
        "curl_length": curl,
        # a caliper over the curl spans the radius of its end, that of half a turn before, and a strip
        "curl_over_all": end + half_before + strip,
        # before the mop the strip is thicker on both faces, its middle stays
        "curl_inside_made": r["curl_inside"] - 2 * MOP,
        "curl_over_all_made": end + half_before + strip + 2 * MOP,
        "riser": riser,
        "scroll_height": riser + top + strip / 2,
        # sizes that were read apart and must agree: two curls and the gap between them fill the base
        "gap_misfit": r["base"] - 2 * (end + half_before + strip) - r["gap"],
        "fold_lines": r["base"] - 2 * out,
        "arm": riser - up,
        "strip_length": r["base"] - 2 * out + 2 * (riser - up) + 2 * curl,
        "free_length": riser + along(spiral_points(inner, strip, turns - 0.5, turns)),
    }


def folds(r: Sizes) -> Sizes:
    """A slot folds about the middle of its floor until its lips touch."""
    thick = r["strip_before_polish"]
    depth = FOLD_SHARE * thick  # 0.75 of 0.409: 0.307
    # half a kerf over the depth is the slope of each lip: 0.09 / 0.307, twice 16.4 degrees
    closes = 2 * math.degrees(math.atan2(FOLD_KERF / 2, depth))
    cuts = math.ceil(FOLD_ANGLE / closes - 1e-9)  # two would fold 65 degrees, three 98: three
    # The slots are sawdust for good: the outer skin keeps its length, the inside does not. (The mop's
    # layer over them counts twice: 0.01 mm3.)
    slot = FOLD_KERF * depth * r["strip_width"]
    return {
        "dimple": DIMPLE_SHARE * thick,
        "fold_depth": depth,
        "fold_closes": closes,
        "fold_cuts": cuts,
        "fold_sawdust": 2 * cuts * slot,
        "fold_apart": FOLD_APART,
    }


# Three cuts of 0.18 with 0.05 left standing between them (worked out in `folds`).
FOLD_CUTS, FOLD_APART = 3, 0.18 + 0.05


def folded_corner(cuts: int, apart: float) -> tuple[float, float]:
    """How far a fold stands out over a sharp corner on its middle cut: sideways, and upward.

    The outer skin is walked in chords: it turns a little at each cut, and runs straight from one to the next.
    """
    out = up = 0.0
    for n in range(1, cuts):
        heading = math.radians(FOLD_ANGLE) * n / cuts
        out += apart * math.cos(heading)
        up += apart * math.sin(heading)
    before = after = (cuts - 1) / 2 * apart  # as much of the base and of the arm lies in the fold
    return out - before, up - after


def grip(r: Sizes) -> Sizes:
    """Two arms, each pushed aside by half of what the post is wider than the gap."""
    aside = max(r["post_wire"] - r["gap"], 0.0) / 2
    width, strip, free = r["strip_width"], r["strip"], r["free_length"]
    # a bar held at one end: the push that moves its other end so far
    push = 3 * STIFFNESS * (width * strip**3 / 12) * aside / free**3
    return {
        "grip_force": 2 * FRICTION * push,
        "grip_stress": push * free * (strip / 2) / (width * strip**3 / 12),
    }


# --- gallery ring ---------------------------------------------------------------------------------------


def ring(r: Sizes) -> Sizes:
    """The wire's middle stays where it is while the mop thins the wire all round."""
    wire = r["ring_wire_before_polish"]  # papered already: 0.909
    middle = r["ring_inside"] + r["ring_wire"]  # diameter of the circle through the wire's middle
    as_made = middle - wire  # 3.506 less 0.909: 2.597 inside, with the wire still thick
    # the sawn turn loses a kerf of its way round, so it is wound that much larger
    let_go = as_made + RING_KERF / math.pi  # 0.22 of way round is 0.07 across
    mandrel = let_go / (1 + SPRING_BACK)  # the coil opens by a fiftieth when it is let go
    # wound tight on the mandrel, each turn against the last: down one wire a turn
    turn = math.hypot(math.pi * (mandrel + wire), wire)
    return {
        "ring_as_made": as_made,
        "mandrel": mandrel,
        "ring_length": math.pi * middle,
        "coil_length": COIL_TURNS * turn,
        "way_round": math.pi * (middle + wire),  # over the outside, where the band is laid to mark it
        "near_shank": min(DRILLS, key=lambda d: abs(d - mandrel)),
    }


# --- basket ---------------------------------------------------------------------------------------------


def basket(r: Sizes) -> Sizes:
    """Put the claw on squared paper: the ring's middle plane is the line of no height."""
    ring_wire, claw = r["ring_wire"], r["claw_wire"]
    groove, bearing = GROOVE_SHARE * claw, BEARING_SHARE * claw
    # the ring's middle is half its wire under its top: 1.91 - 0.45 = 1.46 over the underside of the base
    up = r["base_to_girdle"] - (r["base_to_ring"] - ring_wire / 2)  # 3.41 - 1.46
    down = r["base_to_ring"] - ring_wire / 2 - claw / 2  # 1.46 less half the base wire
    outside = r["ring_inside"] / 2 + ring_wire
    at_ring = outside - groove + claw / 2  # the claw's middle, lying in its groove
    at_girdle = r["stone"] / 2 - bearing + claw / 2  # the claw's middle, with the girdle let into it
    lean = math.hypot(at_girdle - at_ring, up)
    pavilion = PAVILION_SHARE * r["stone"]
    w = {
        "girdle_height": up,
        "base_depth": down,
        "groove": groove,
        "bearing": bearing,
        "at_ring": at_ring,
        "at_girdle": at_girdle,
        "flare": math.degrees(math.atan2(at_girdle - at_ring, up)),
        "tip_along": r["tip"] * lean / up,  # a leaning claw is longer than it is high
        "groove_spacing": groove_spacing(outside),
        "claw_spread": 2 * at_girdle + claw,
        "pavilion": pavilion,
        "culet_air": up + down - claw / 2 - pavilion,
        "girdle_over_ring": up - ring_wire / 2,
    }
    return {**w, **before_the_mop({**r, **w})}


def before_the_mop(r: Sizes) -> Sizes:
    """What is cut and set while wires and strip still are thick, their middles where they will be."""
    ring_wire, claw = r["ring_wire_before_polish"], r["claw_wire_before_polish"]
    outside = (r["ring_inside"] + r["ring_wire"] + ring_wire) / 2  # 0.005 further out than when it is done
    return {
        "spacing_to_mark": groove_spacing(outside),
        "groove_to_file": outside + claw / 2 - r["at_ring"],
        "gap_to_cut": claw,  # the other staple, as thick as it is now, must go in
        # from the ring's middle down to the base wires' middle, and half of either wire as it is now
        "ring_top_to_set": r["base_to_ring"] - (r["ring_wire"] + r["claw_wire"]) / 2 + (ring_wire + claw) / 2,
        "spread_to_set": 2 * r["at_girdle"] + claw,
        # each curl reaches into the gap by what its face there still has to lose
        "curls_apart": r["gap"] - (r["strip_before_polish"] - r["strip"]),
    }


def groove_spacing(outside: float) -> float:
    """Four points a quarter round apart on the ring's outside: straight from one to the next."""
    first, second = ((outside * math.cos(a), outside * math.sin(a)) for a in (math.pi / 4, 3 * math.pi / 4))
    return math.dist(first, second)


def staple(r: Sizes) -> Sizes:
    """One staple on squared paper, from tangent point to tangent point."""
    claw, down = r["claw_wire"], r["base_depth"]
    inside = BEND_SHARE * claw
    round_ = inside + claw / 2  # the wire's middle goes round this radius
    run, rise = r["at_girdle"] - r["at_ring"], r["girdle_height"]
    slope = run / rise
    unit = math.hypot(1.0, slope)
    # The bend's middle lies one radius over the base's middle line, and one radius in from the claw's.
    middle_y = -down + round_
    middle_x = r["at_ring"] + slope * middle_y - round_ * unit
    on_claw = (middle_x + round_ / unit, middle_y - round_ * slope / unit)
    on_base = (middle_x, -down)
    leg = math.dist((r["at_girdle"], rise), on_claw)
    turned = math.atan2(on_claw[0] - middle_x, middle_y - on_claw[1])  # from straight down to the claw's side
    length = 2 * (leg + round_ * turned + on_base[0])
    return {
        "bend_inside": inside,
        "staple_base": 2 * on_base[0],
        "staple_length": length,
        "staple_blank": length + 2 * (r["tip_along"] + CLAW_SPARE),
        "crossing_gap": claw,  # two staples that cross square: the gap is just the wire
    }


# --- post -----------------------------------------------------------------------------------------------


def post(r: Sizes) -> Sizes:
    """A bar held at the crossing and knocked at its tip."""
    radius, length = r["post_wire"] / 2, r["post_length"]
    stiff = math.pi / 4 * radius**4
    return {
        "notch_depth": (r["post_wire"] - r["notch_wire"]) / 2,  # read with one gauge: its shift is in neither
        "notch_from_end": r["notch_from_tip"] + POST_SPARE,  # the spare is at the tip, to be trimmed last
        "post_blank": length + POST_SPARE,
        "post_gives": KNOCK * length**3 / (3 * STIFFNESS * stiff),
        "post_bends_at": SOFT_YIELD * stiff / radius / length,  # soft at the root after the fire
    }


# --- solder ---------------------------------------------------------------------------------------------


def groove_by_slices(ring_wire: float, claw: float, depth: float) -> tuple[float, float]:
    """Metal filed out for one claw, and the floor it lies on; the ring's wire taken as straight here.

    The slices stand across the line from the ring's middle outward and crowd at both ends, where they are
    short.
    """
    half_ring, half_claw = ring_wire / 2, claw / 2
    middle = half_ring - depth + half_claw
    volume = floor = 0.0
    edge = math.acos(1 - depth / half_claw)
    for n in range(SLICES):
        swing = math.pi * (n + 0.5) / SLICES
        out = half_ring - depth / 2 - depth / 2 * math.cos(swing)
        high = 2 * math.sqrt(max(half_ring**2 - out**2, 0.0))
        wide = 2 * math.sqrt(max(half_claw**2 - (out - middle) ** 2, 0.0))
        volume += high * wide * depth / 2 * math.sin(swing) * math.pi / SLICES
        turn = edge * math.cos(swing)  # the same for the floor, strip by strip round the claw
        deep = middle - half_claw * math.cos(turn)
        strip = half_claw * edge * math.sin(swing) * math.pi / SLICES
        floor += 2 * math.sqrt(max(half_ring**2 - deep**2, 0.0)) * strip
    return volume, floor


JOINTS = {"seam": 1, "crossing": 2, "claws": CLAWS, "post": 1, "folds": 2, "nut": 1}  # and their places


def joints(r: Sizes) -> Sizes:
    """Faces that meet, and what fills the gap between them with a fillet half as much again."""
    _, floor = groove_by_slices(r["ring_wire"], r["claw_wire"], r["groove"])
    w = {
        "seam_area": math.pi / 4 * r["ring_wire"] ** 2,
        "crossing_area": 2 * math.pi / 4 * r["claw_wire"] ** 2,  # two cut ends against the whole staple
        "claws_area": CLAWS * floor,
        "post_area": math.pi / 4 * r["post_wire"] ** 2,
        # each slot closes lip on lip: one face to solder for each, at both ends of the base
        "folds_area": 2 * r["fold_cuts"] * r["fold_depth"] * r["strip_width"],
        "nut_area": r["base"] * r["strip_width"] * NUT_SOLDER_SHARE,
    }
    for name, spots in JOINTS.items():
        needed = w[f"{name}_area"] * SOLDER_GAP * (1 + SOLDER_FILLET)
        w[f"{name}_solder"] = needed
        w[f"{name}_pallions"] = spots * math.ceil(needed / spots / PALLION)  # no spot gets half a pallion
    return w


def usable_solders() -> list[tuple[str, float, float]]:
    """Those that flow at least the margin below the metal's own melting: 790 is under 820, all three."""
    return [solder for solder in SOLDERS if solder[2] <= METAL_BEGINS - MARGIN]


def safe_after(finished: str, fire: str) -> bool:
    """Whether a finished joint stays put when the fire for another one is up."""
    begins = {name: low for name, low, _ in SOLDERS}
    flows = {name: high for name, _, high in SOLDERS}
    return flows[fire] <= begins[finished] - MARGIN


HEATS = {
    "seam": "hard",  # first fire, and the ring is alone in it
    "crossing": "hard",  # another piece: the ring's seam is not in this fire
    "claws": "medium",  # 745 is 15 under the 760 at which both hard joints begin to run
    "post": "easy",  # 705 is 15 under the 720 of the medium joints
    "folds": "medium",  # the nut has only two joints: the two easiest solders will do for it
    "nut": "easy",  # the least heat last: it leaves the arms the most spring
}


# --- weights --------------------------------------------------------------------------------------------


def volumes(r: Sizes) -> Sizes:
    """What is left of each part when it is finished."""
    groove, _ = groove_by_slices(r["ring_wire"], r["claw_wire"], r["groove"])
    claw_section = math.pi / 4 * r["claw_wire"] ** 2
    post_section = math.pi / 4 * r["post_wire"] ** 2
    hole = math.pi / 4 * DRILL**2
    ring_section = math.pi / 4 * r["ring_wire"] ** 2
    return {
        "ring_volume": ring_section * r["ring_length"] - CLAWS * groove,
        # two staples to the trimmed tips, less the gap in the first
        "claws_volume": claw_section * (2 * (r["staple_length"] + 2 * r["tip_along"]) - r["crossing_gap"]),
        "post_volume": post_section * r["post_length"]
        - (post_section - math.pi / 4 * r["notch_wire"] ** 2) * r["notch_width"],
        "plate_volume": (math.pi / 4 * r["plate_diameter"] ** 2 - hole) * r["plate_thickness"],
        # the flat strip, less its hole and what the saw took out of the folds
        "scroll_volume": (r["strip_length"] * r["strip_width"] - hole) * r["strip"] - r["fold_sawdust"],
    }


def weights(r: Sizes) -> Sizes:
    """Volume by density; the stone by the rule of diameter twice and depth."""
    gram = r["density"] / 1000
    w = {
        f"{part}_weight": r[f"{part}_volume"] * gram for part in ("ring", "claws", "post", "plate", "scroll")
    }
    w["solder_weight"] = sum(r[f"{j}_solder"] for j in ("seam", "crossing", "claws", "post")) * gram
    w["nut_solder_weight"] = (r["folds_solder"] + r["nut_solder"]) * gram
    w["stone_carat"] = r["stone"] ** 2 * r["stone_depth"] * 0.0061 * (r["gravity"] / 3.52) * r["cut"]
    w["stone_weight"] = 0.2 * w["stone_carat"]
    # a carat is a fifth of a gram, and the stone is not metal
    setting = w["ring_weight"] + w["claws_weight"] + w["post_weight"] + w["solder_weight"]
    w["earring_weight"] = setting + w["stone_weight"]
    w["nut_weight"] = w["plate_weight"] + w["scroll_weight"] + w["nut_solder_weight"]
    w["metal_weight"] = setting + w["nut_weight"]
    return w


# --- the whole job, and how far to trust it -------------------------------------------------------------

STAGES: tuple[Callable[[Sizes], Sizes], ...] = (
    gauges_shift, before_finish, plate_and_hole, scroll, folds, grip,
    ring, basket, staple, post, joints, volumes, weights,
)  # fmt: skip


def worked(readings: Sizes) -> Sizes:
    """Every size of the job, stage by stage, each from the ones before."""
    w = dict(readings)
    for stage in STAGES:
        w.update(stage(w))
    return w


def doubts() -> dict[str, tuple[float, float]]:
    """Standard doubt and degrees of freedom of every result.

    Lean each reading by a hundredth of its doubt, see how far each result goes, and a hundred times that is
    the reading's share. Shares add as squares.
    """
    middle, shares = worked(MIDDLES), {}
    for name, (value, doubt, freedom) in inputs().items():
        leaned = worked({**MIDDLES, name: value + doubt / 100})
        shares[name] = ({key: 100 * (leaned[key] - middle[key]) for key in middle}, freedom)
    found = {}
    for key in middle:
        square = math.fsum(share[key] ** 2 for share, _ in shares.values())
        fourth = math.fsum(share[key] ** 4 / freedom for share, freedom in shares.values())
        found[key] = (math.sqrt(square), square**2 / fourth if fourth > 0 else math.inf)
    return found


def doubt_of_difference(one: str, other: str) -> tuple[float, float]:
    """Standard doubt and degrees of freedom of what two results differ by that share no reading or gauge."""
    both = (DOUBTS[one], DOUBTS[other])
    square = math.fsum(doubt**2 for doubt, _ in both)
    return math.sqrt(square), square**2 / math.fsum(doubt**4 / freedom for doubt, freedom in both)


def inside(t: float, freedom: float) -> float:
    """The chance that Student's t lies between -t and t, by strips under the curve."""
    lead = math.lgamma((freedom + 1) / 2) - math.lgamma(freedom / 2) - 0.5 * math.log(freedom * math.pi)
    strips = 400
    heights = [
        math.exp(lead - (freedom + 1) / 2 * math.log1p((t * (n + 0.5) / strips) ** 2 / freedom))
        for n in range(strips)
    ]
    return 2 * math.fsum(heights) * t / strips


def for_95(freedom: float) -> float:
    """How many standard doubts hold 95 of 100, by halving."""
    freedom, low, high = min(freedom, 1e7), 1.0, 15.0
    for _ in range(50):
        t = (low + high) / 2
        low, high = (t, high) if inside(t, freedom) < 0.95 else (low, t)
    return (low + high) / 2


# --- what to cut ----------------------------------------------------------------------------------------


def cutting(r: Sizes) -> Sizes:
    """Stock taken from the drawer, by constant volume."""
    lengths = {
        "plate": r["plate_blank"],
        "scroll": r["strip_length"],
        "ring": r["coil_length"],
        "claw": 2 * r["staple_blank"],
        "post": r["post_blank"],
    }
    w = {f"{part}_stock": STOCK[part] for part in STOCK}
    for part, length in lengths.items():
        powers = 1 if part in ("plate", "scroll") else 2
        # cut short is scrap: up to the next mm
        w[f"{part}_drawer"] = math.ceil(drawer_length(length, START[part], STOCK[part], powers))
    # the mill thins a strip and does not widen it: as wide from the drawer as it is sawn
    w["plate_drawer_wide"] = math.ceil(r["plate_blank"])
    w["scroll_drawer_wide"] = math.ceil(r["strip_width_before_papers"])
    return w


def metal_in_and_out(r: Sizes) -> Sizes:
    """What leaves the drawer is in the piece, comes back, or is dust. Solder is not from the drawer.

    Sheet and wire leave it as they were cut there, in whole mm; what is more to hold by stays out of it.
    """
    gram = r["density"] / 1000
    # 5 x 7 and 7 x 3 mm of sheet; 7, 7 and 4 mm of wire
    sheet = r["plate_drawer"] * r["plate_drawer_wide"] + r["scroll_drawer"] * r["scroll_drawer_wide"]
    wire = r["ring_drawer"] + r["claw_drawer"] + r["post_drawer"]
    taken = (sheet * r["sheet"] + wire * math.pi / 4 * r["wire"] ** 2) * gram
    from_drawer = r["metal_weight"] - r["solder_weight"] - r["nut_solder_weight"]
    melt = {
        f"{name}_to_melt": share * taken
        for name, (share, _) in zip(("gold", "silver", "copper"), RECIPE, strict=True)
    }
    back = COMES_BACK * (taken - from_drawer)
    return {"metal_taken": taken, "comes_back": back, "dust": taken - from_drawer - back, **melt}


def asked(r: Sizes) -> dict[str, tuple[float, float, float]]:
    """Money, likely, least and most: the metal that does not come back, the hours, and the house's share."""
    # fine gold and silver are paid for in all that is taken, and paid back as scrap for all that comes back
    metal = math.fsum(
        share * price * (r["metal_taken"] - paid * r["comes_back"])
        for (share, _), (price, paid) in zip(RECIPE, (GOLD_PRICE, SILVER_PRICE), strict=False)
    )
    least, likely, most = (math.fsum(column) / 60 * HOUR for column in zip(*MINUTES.values(), strict=True))
    money = {
        "metal used, less what comes back": (metal, metal * (1 - PRICE_SWING), metal * (1 + PRICE_SWING)),
        "bench time": (likely, least, most),
        "overhead": (OVERHEAD * likely, OVERHEAD * least, OVERHEAD * most),
        # the stone is the customer's, and a piece under the hallmark's weight need not go to the assay office
        "stone": (0.0, 0.0, 0.0),
        "hallmark": (0.0, 0.0, 0.0),
    }
    likely, least, most = (math.fsum(column) for column in zip(*money.values(), strict=True))
    return {**money, "quote": (likely, least, most)}


def nut_made(r: Sizes) -> float:
    """What a nut of one's own costs: its metal, the two stages that only it needs, and the house's share."""
    hours = (MINUTES["plate and hole"][1] + MINUTES["scroll"][1]) / 60
    (gold, _), (silver, _) = GOLD_PRICE, SILVER_PRICE
    gram = RECIPE[0][0] * gold + RECIPE[1][0] * silver
    # 0.389 g at 55.80 and 50 minutes with 35 % on top: 21.7 and 50.6
    return (r["nut_weight"] - r["nut_solder_weight"]) * gram + hours * HOUR * (1 + OVERHEAD)


SIZES = worked(MIDDLES)
SIZES.update(forming(), **cutting(SIZES))
SIZES.update(metal_in_and_out(SIZES))
MONEY = asked(SIZES)
SIZES.update(
    mop=MOP,
    drill=DRILL,
    pilot=STEPS[0],
    clearance=DRILL - MIDDLES["post_wire"],
    roll_limit=100 * ROLL_LIMIT,
    glue=GLUE_LETS_GO,
    coil_turns=COIL_TURNS,
    hold=HOLD,
    post_spare=POST_SPARE,
    fold_angle=FOLD_ANGLE,
    claws=CLAWS,
    staples=CLAWS / 2,
    hard_flows=790.0,
    medium_flows=745.0,
    easy_flows=705.0,
)
DOUBTS = doubts()


def band(key: str) -> float:
    """Half the width that holds a result 95 times in 100."""
    doubt, freedom = DOUBTS[key]
    return doubt * for_95(freedom)
