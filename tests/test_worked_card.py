"""Every number on the bench card and in the cut list, against the job worked by hand.

`tests/worked_example/four_claws.py` works the four-claw demo on paper. Here the card is printed and read
back: each line must carry the worked numbers, and when all worked lines are struck out no number may be left.
"""

import csv
import itertools
import math
import random
import re
import statistics
from collections import Counter
from pathlib import Path

import build123d as bd
import pytest
from pypdf import PdfReader

from course_lib.bench.job import Job
from course_lib.bench.plan import Plan
from course_lib.bench.tables import data_folder
from tests.worked_example import four_claws as hand

SIZES = hand.SIZES
NUMBERS = {**SIZES, **{f"band_{key}": hand.band(key) for key in hand.DOUBTS}}
PAPERS = {f"{part}_papers": ", ".join(papers) for part, papers in hand.LADDERS.items()}
POINT = 25.4 / 72

# --- what the card should say ---------------------------------------------------------------------------

# {name:.2f} is a worked number as rounded on the card, {name_papers} a ladder of papers; {run} is a row of
# passes, checked on its own.
HEAD = {"": ("{claws:.0f} claws",)}
SHEET_ONE = {
    "Drawn to scale": (
        "{stone:.2f} stone",
        "{claw_spread:.2f} claw to claw at the girdle",
        "{post_length:.2f} trim last",
        "post ø {post_wire:.2f}",
        "claws ø {claw_wire:.2f}",
        "ring ø {ring_wire:.2f}",
    ),
    "From above, stone out": ("{groove_spacing:.2f} groove to groove", "ø {ring_inside:.2f} inside"),
    "Friction nut": (
        "ø {plate_diameter:.2f} plate",
        "{base:.2f} base",
        "gap {gap:.2f}",
        "strip {strip:.2f} x {strip_width:.2f}",
        "hole ø {drill:.2f}",
    ),
    "Stock": (
        "finished before the mop before papers roll or draw to cut from the drawer, "
        "and {hold:.0f} to hold measured",
        "back plate {plate_thickness:.2f} {plate_thickness_before_polish:.2f} "
        "{plate_thickness_before_papers:.2f} {plate_stock:.2f} ø {plate_blank:.2f} "
        "{plate_drawer:.0f} x {plate_drawer_wide:.0f} of {sheet:.2f}",
        "scroll {strip:.2f} {strip_before_polish:.2f} {strip_before_papers:.2f} {scroll_stock:.2f} "
        "{strip_length:.1f} x {strip_width_before_papers:.2f} "
        "{scroll_drawer:.0f} x {scroll_drawer_wide:.0f} of {sheet:.2f}",
        "gallery ring {ring_wire:.2f} {ring_wire_before_polish:.2f} {ring_wire_before_papers:.2f} "
        "{ring_stock:.2f} {coil_length:.1f} for {coil_turns:.0f} rings {ring_drawer:.0f} of ø {wire:.2f}",
        "claw {claw_wire:.2f} {claw_wire_before_polish:.2f} {claw_wire_before_papers:.2f} {claw_stock:.2f} "
        "{staples:.0f} x {staple_blank:.1f} {claw_drawer:.0f} of ø {wire:.2f}",
        "post {post_wire:.2f} {post_wire_before_polish:.2f} {post_wire_before_papers:.2f} {post_stock:.2f} "
        "1 x {post_blank:.1f} {post_drawer:.0f} of ø {wire:.2f}",
    ),
    "Weights, g": (
        "planned +/-, 95 % pattern agrees",
        "gallery ring {ring_weight:.3f} {band_ring_weight:.3f}",
        "claws {claws_weight:.3f} {band_claws_weight:.3f}",
        "post {post_weight:.3f} {band_post_weight:.3f}",
        "solder in the setting {solder_weight:.3f} {band_solder_weight:.3f}",
        "stone {stone_weight:.3f} {band_stone_weight:.3f}",
        "earring without its nut {earring_weight:.3f} {band_earring_weight:.3f} {pattern_weight:.3f} yes",
        "back plate {plate_weight:.3f} {band_plate_weight:.3f}",
        "scroll {scroll_weight:.3f} {band_scroll_weight:.3f}",
        "solder in the nut {nut_solder_weight:.3f} {band_nut_solder_weight:.3f}",
        "friction nut {nut_weight:.3f} {band_nut_weight:.3f} {pattern_nut_weight:.3f} yes",
        "metal in earring and nut {metal_weight:.3f} {band_metal_weight:.3f}",
        "taken from the drawer {metal_taken:.3f}",
        "offcuts and lemel to keep {comes_back:.3f}",
    ),
    "Templates at true size": (
        "plate: saw {plate_blank:.2f}, file {plate_filed:.2f}",
        "strip {strip_length:.1f} x {strip_width_before_papers:.2f}; folds dashed, {fold_lines:.2f} apart",
        "round the ring: {claws:.0f} grooves (way round {way_round:.2f})",
        "staple {staple_blank:.1f}; bend between the dashes",
        "post {post_blank:.1f}; trim last to {post_length:.2f}",
    ),
}
SHEET_TWO = {
    "Roll and draw": (
        "Roll the back plate's sheet from {sheet:.2f} to {plate_stock:.2f} mm in {plate_passes:.0f} passes, "
        "none over {roll_limit:.0f} %: {run}",
        "Roll the scroll's sheet from {sheet:.2f} to {scroll_stock:.2f} mm in {scroll_passes:.0f} passes, "
        "none over {roll_limit:.0f} %: {run}",
        "Draw the gallery ring wire from {wire:.2f} to {ring_stock:.2f} mm through {ring_passes:.0f} holes: "
        "{run}",
        "Draw the claw wire from {wire:.2f} to {claw_stock:.2f} mm through {claw_passes:.0f} holes: {run}",
        "Draw the post wire from {wire:.2f} to {post_stock:.2f} mm through {post_passes:.0f} holes: {run}",
        "For each, begin with {hold:.0f} mm more than the table says, to point and to hold",
    ),
    "Paper the stock": (
        "Saw the strip {strip_length:.1f} mm long and {strip_width_before_papers:.2f} mm wide",
        "strip to {strip_before_polish:.2f} ({scroll_papers}), "
        "its edges to {strip_width_before_polish:.2f} wide; "
        "plate sheet to {plate_thickness_before_polish:.2f} ({plate_papers}).",
        "ring wire to {ring_wire_before_polish:.2f} ({ring_papers}), "
        "claw wire to {claw_wire_before_polish:.2f} ({claw_papers}), "
        "post wire to {post_wire_before_polish:.2f} ({post_papers}).",
    ),
    "Plate and hole": (
        "Saw the disc {plate_blank:.2f} mm across, outside the line; file to {plate_filed:.2f} mm",
        "Punch the middle and drill {pilot:.2f}, {drill:.2f} mm in turn",
        "frees the finished {post_wire:.2f} mm post by {clearance:.2f} mm",
        "with gentle heat, about {glue:.0f} °C",
        "Paper the edge to {plate_diameter_before_polish:.2f} mm",
    ),
    "Scroll": (
        "dimple {dimple:.2f} mm deep (a third) and drill {pilot:.2f}, {drill:.2f} mm there",
        "{turns:.0f} turn each, {curl_inside_made:.2f} mm inside; a curl is then {curl_over_all_made:.2f} "
        "mm over all",
        "From the fold line to where the curl begins the strip stays straight for {arm:.2f} mm",
        "Fold lines {fold_lines:.2f} mm apart make a {base:.2f} mm base",
        "{fold_cuts:.0f} cuts on the inside of each, {fold_apart:.2f} mm from cut to cut, their middle on "
        "the line, {fold_depth:.2f} mm deep (three quarters)",
        "A cut closes through up to {fold_closes:.0f}°; fold to about {fold_angle:.0f}°, curls inward, "
        "until they are {curls_apart:.2f} mm apart",
        "Heat, folds: medium solder, flows at {medium_flows:.0f} °C, {folds_pallions:.0f} pallions.",
        "Heat, scroll to plate: easy solder, flows at {easy_flows:.0f} °C, {nut_pallions:.0f} pallions.",
    ),
    "Ring": (
        "Wind {coil_turns:.0f} turns on a {mandrel:.2f} mm mandrel "
        "(a drill shank of {near_shank:.2f} mm is near): {coil_length:.0f} mm of wire",
        "no light between them: {ring_as_made:.2f} mm inside",
        "Heat, ring seam: hard solder, flows at {hard_flows:.0f} °C, {seam_pallions:.0f} pallion.",
    ),
    "Basket": (
        "Mark {claws:.0f} grooves on the ring's outside, {spacing_to_mark:.2f} mm from one to the next, "
        "straight across",
        "File each {groove_to_file:.2f} mm deep, leaning {flare:.1f}° outward",
        "Cut {staples:.0f} staples {staple_blank:.1f} mm",
        "leave {staple_base:.2f} mm straight between two bends of {bend_inside:.2f} mm inside radius",
        "Cut a gap of {gap_to_cut:.2f} mm in the middle of the first",
        "Heat, crossing: hard solder, flows at {hard_flows:.0f} °C, {crossing_pallions:.0f} pallions.",
        "its top {ring_top_to_set:.2f} mm over the underside of the base",
        "Claw to claw, over the outside at the girdle: {spread_to_set:.2f} mm",
        "Heat, claws to ring: medium solder, flows at {medium_flows:.0f} °C, {claws_pallions:.0f} pallions.",
    ),
    "Post": (
        "cut the post {post_blank:.1f} mm long, {post_spare:.1f} mm more than the pattern's",
        "Turn the notch now: {notch_from_end:.2f} mm from the cut end ({notch_from_tip:.2f} from the final "
        "tip), down to {notch_wire:.2f} mm",
        "Heat, post: easy solder, flows at {easy_flows:.0f} °C, {post_pallions:.0f} pallion.",
    ),
    "Finish": (
        "use the last two papers again, lightly. Then only the mop: it takes about {mop:.3f} mm a face",
        "ring wire {ring_wire:.2f}, claws {claw_wire:.2f}, post {post_wire:.2f}, strip {strip:.2f}, "
        "plate {plate_diameter:.2f} mm",
    ),
    "Set": (
        "Cut the bearings {bearing:.2f} mm deep, {girdle_over_ring:.2f} mm over the ring's top",
        "under the culet ({culet_air:.2f} mm)",
        "they stand {tip:.2f} mm over the girdle",
    ),
    "Check and trim": (
        "Trim the post last, beside the pattern, to {post_length:.2f} mm",
        "Weigh: earring {earring_weight:.2f} g, nut {nut_weight:.2f} g",
    ),
}
# Sizes that stand alone on a drawing, with no word beside them.
BARE = {
    "Drawn to scale": ("base_to_girdle", "base_to_ring", "tip", "notch_from_tip"),
    "Friction nut": ("plate_thickness", "scroll_height"),
}
# Numbers that are no results: names, grades and the words of the cautions.
NO_RESULTS = (
    "585 yellow",
    "sheet 1",
    "sheet 2",
    "This bar is 50 mm",
    "100 %, 'actual size'",
    "a 6/0 blade",
    "a 4/0 blade",
    "filter shade 3 or 4",
)
LINES = [
    (block, line) for blocks in (HEAD, SHEET_ONE, SHEET_TWO) for block in blocks for line in blocks[block]
]

# --- reading the card back ------------------------------------------------------------------------------

SCALE = re.compile(r"^Drawn (\d+) : 1$", re.MULTILINE)
FIELD = re.compile(r"\{(\w+)(?::\.(\d)f)?\}")
NUMBER = r"(\d+(?:\.\d+)?)"
RUN = r"((?:\d+\.\d+ > |ANNEAL > )+\d+\.\d+)"
LADDER = r"((?:P\d+, )*P\d+)"


def pattern_of(line: str) -> str:
    """A line with any numbers in the places of its worked ones."""
    wanted, end = r"(?<![\w.])", 0
    for field in FIELD.finditer(line):
        kind = RUN if field[1] == "run" else NUMBER if field[2] else LADDER
        wanted += re.escape(line[end : field.start()]) + kind
        end = field.end()
    return wanted + re.escape(line[end:])


def wrong_numbers(line: str, found: re.Match[str]) -> list[str]:
    """The numbers and papers of a line that are not the worked ones, to the digits printed."""
    wrong = []
    for (name, digits), text in zip(FIELD.findall(line), found.groups(), strict=True):
        if digits and not same_as_printed(text, NUMBERS[name], int(digits)):
            wrong.append(f"{name}: the card has {text}, worked {NUMBERS[name]:.4f}")
        elif not digits and name != "run" and text != PAPERS[name]:
            wrong.append(f"{name}: the card has {text}, worked {PAPERS[name]}")
    return wrong


def same_as_printed(text: str, worked: float, digits: int) -> bool:
    """Whether a printed number is the worked one, rounded (a half may go either way)."""
    decimals = len(text.partition(".")[2])
    return decimals == digits and abs(float(text) - worked) <= 0.5 * 10**-digits + 1e-7


def blocks_of(path: Path) -> dict[str, str]:
    """The card's text under each of its headings, on one line each."""
    blocks, now = {"": ""}, ""
    for page in PdfReader(path).pages:
        for line in page.extract_text().splitlines():
            line = SCALE.sub("Drawn to scale", line)
            if line in SHEET_ONE or line in SHEET_TWO:
                now = line
            blocks[now] = blocks.get(now, "") + " " + line
        now = ""
    return {block: " ".join(text.split()) for block, text in blocks.items()}


@pytest.fixture(scope="module", name="plan")
def _plan() -> Plan:
    return Job.load(data_folder() / "demo-four-claws.csv").plan()


@pytest.fixture(scope="module", name="card")
def _card(plan: Plan, tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    return blocks_of(plan.card(tmp_path_factory.mktemp("card") / "card.pdf"))


# --- the card, line by line -----------------------------------------------------------------------------


@pytest.mark.parametrize(("block", "line"), LINES, ids=[line.split(" {")[0] for _, line in LINES])
def test_a_line_of_the_card(card: dict[str, str], block: str, line: str) -> None:
    found = list(re.finditer(pattern_of(line), card[block]))
    assert len(found) == 1, f"{len(found)} lines like this under {block!r}: {line}"
    assert not wrong_numbers(line, found[0])


@pytest.mark.parametrize("block", BARE)
def test_sizes_that_stand_alone_on_a_drawing(card: dict[str, str], block: str) -> None:
    left = re.findall(r"\d+\.\d+", struck_out(block, card[block]))
    assert sorted(left) == sorted(f"{SIZES[name]:.2f}" for name in BARE[block])


def struck_out(block: str, text: str) -> str:
    """What is left of a block when every line that is worked, and every number that is no result, is gone."""
    for line in (*HEAD.get(block, ()), *SHEET_ONE.get(block, ()), *SHEET_TWO.get(block, ())):
        text = re.sub(pattern_of(line), " | ", text)
    return re.sub("|".join(map(re.escape, NO_RESULTS)), " ", text)


def test_no_number_on_the_card_is_left_over(card: dict[str, str]) -> None:
    left = {block: re.findall(r"\S*\d\S*", struck_out(block, text)) for block, text in card.items()}
    for block, names in BARE.items():
        assert len(left.pop(block)) == len(names)
    assert not {block: numbers for block, numbers in left.items() if numbers}


def test_every_heading_is_on_the_card(card: dict[str, str]) -> None:
    assert list(card) == ["", *SHEET_ONE, *SHEET_TWO]


def test_sizes_stand_beside_what_they_measure(plan: Plan, tmp_path: Path) -> None:
    """The middle of each upright size, in mm of the piece over the underside of the base, to scale."""
    page = PdfReader(plan.card(tmp_path / "card.pdf")).pages[0]
    told = SCALE.search(page.extract_text())
    assert told
    places: dict[str, float] = {}

    def note(text: str, now: list[float], text_now: list[float], *_: object) -> None:
        places.setdefault(text.strip(), (now[5] + text_now[5]) * POINT / int(told[1]))

    page.extract_text(visitor_text=note)
    girdle, ring_top, tip = (SIZES[name] for name in ("base_to_girdle", "base_to_ring", "tip"))
    notch = -SIZES["post_length"] + SIZES["notch_from_tip"] / 2
    over = {f"{girdle:.2f}": girdle / 2, f"{ring_top:.2f}": ring_top / 2, f"{tip:.2f}": girdle + tip / 2}
    over[f"{SIZES['notch_from_tip']:.2f}"] = notch
    zero = places[f"{girdle:.2f}"] - girdle / 2
    for text, height in over.items():
        assert places[text] - zero == pytest.approx(height, abs=0.02), text


# --- roll and draw --------------------------------------------------------------------------------------

RUNS = {
    "the back plate's sheet": ("plate", 1, hand.ROLL_LIMIT, 0.0),
    "the scroll's sheet": ("scroll", 1, hand.ROLL_LIMIT, hand.END_HARD),
    "the gallery ring wire": ("ring", 2, hand.DRAW_LIMIT, 0.0),
    "the claw wire": ("claw", 2, hand.DRAW_LIMIT, 0.0),
    "the post wire": ("post", 2, hand.DRAW_LIMIT, hand.END_HARD),
}


def run_of(card: dict[str, str], words: str) -> list[str]:
    """The sizes and anneals of a row of passes, as printed."""
    found = re.search(re.escape(words) + " from .*?: " + RUN, card["Roll and draw"])
    assert found, words
    return found[1].split(" > ")


def worked_since(before: float, after: float, powers: int) -> float:
    """The cold reduction from one size to the next, of thickness (1) or of area (2)."""
    return 1 - (after / before) ** powers


@pytest.mark.parametrize("words", RUNS)
def test_a_row_of_passes_keeps_every_limit(card: dict[str, str], words: str) -> None:
    part, powers, limit, end_hard = RUNS[words]
    first, *steps = run_of(card, words)
    assert same_as_printed(first, hand.START[part], 2)
    size = soft = hand.START[part]
    for step in steps:
        if step == "ANNEAL":
            soft = size
            continue
        after = float(step)
        assert 0 < worked_since(size, after, powers) <= limit, step
        assert worked_since(soft, after, powers) <= hand.ANNEAL_AT, step
        size = after
    assert size == pytest.approx(hand.STOCK[part])
    assert worked_since(soft, size, powers) >= end_hard


@pytest.mark.parametrize("words", RUNS)
def test_a_row_of_passes_is_the_shortest_with_the_fewest_anneals(card: dict[str, str], words: str) -> None:
    part = RUNS[words][0]
    steps = run_of(card, words)[1:]
    assert steps.count("ANNEAL") == SIZES[f"{part}_anneals"]
    assert len(steps) - steps.count("ANNEAL") == SIZES[f"{part}_passes"]


def test_one_pass_more_only_where_the_mills_steps_ask_for_it() -> None:
    """Set to any thickness the mill would do the plate in 8 and the scroll in 9; on its steps, 8 and 10."""
    for part, any_thickness, on_steps in (("plate", 8, 8), ("scroll", 9, 10)):
        assert hand.roll_passes(hand.START[part], hand.STOCK[part]) == any_thickness
        assert SIZES[f"{part}_passes"] == on_steps


def test_one_hole_fewer_would_not_do() -> None:
    for part in ("ring", "claw", "post"):
        passes = int(SIZES[f"{part}_passes"])
        assert hand.routes(hand.START[part], hand.STOCK[part], passes)
        assert not hand.routes(hand.START[part], hand.STOCK[part], passes - 1)


@pytest.mark.parametrize("words", ["the gallery ring wire", "the claw wire", "the post wire"])
def test_the_wire_goes_through_the_holes_that_tire_it_evenly(card: dict[str, str], words: str) -> None:
    """Hole by hole and anneal by anneal, as chosen from all the ways there are."""
    assert " > ".join(run_of(card, words)[1:]) == " > ".join(hand.ROWS[RUNS[words][0]])


@pytest.mark.parametrize("words", ["the back plate's sheet", "the scroll's sheet"])
def test_the_mill_is_set_to_its_steps_and_each_pass_takes_a_like_share(
    card: dict[str, str], words: str
) -> None:
    """The mill is set to whole hundredths: each thickness lies within one of even passes."""
    part = RUNS[words][0]
    steps = [step for step in run_of(card, words)[1:] if step != "ANNEAL"]
    assert not [step for step in steps if len(step) > 4]
    shrink = (hand.STOCK[part] / hand.START[part]) ** (1 / len(steps))
    even = [hand.START[part] * shrink ** (n + 1) for n in range(len(steps))]
    assert [float(step) for step in steps] == pytest.approx(even, abs=hand.MILL_STEP)


# --- as it lies on the bench ----------------------------------------------------------------------------


def test_what_is_filed_before_the_mop_is_right_after_it() -> None:
    """The mop takes the ring's outside and the claw down: what is left of the groove is the pattern's."""
    assert SIZES["groove_to_file"] - 2 * hand.MOP == pytest.approx(SIZES["groove"])
    outside = SIZES["way_round"] / math.pi / 2
    assert hand.groove_spacing(outside) == pytest.approx(SIZES["spacing_to_mark"])
    assert hand.groove_spacing(outside - hand.MOP) == pytest.approx(SIZES["groove_spacing"])


@pytest.mark.parametrize(
    ("as_set", "finished", "faces"),
    [
        ("curls_apart", "gap", 2),
        ("ring_top_to_set", "base_to_ring", -2),
        ("spread_to_set", "claw_spread", -2),
    ],
)
def test_what_is_set_before_the_mop_is_right_after_it(as_set: str, finished: str, faces: int) -> None:
    """The mop widens a gap by what it takes off two faces, and takes as much off a size over two faces."""
    assert SIZES[as_set] + faces * hand.MOP == pytest.approx(SIZES[finished])


@pytest.mark.parametrize("part", hand.LADDERS)
def test_the_papers_take_what_must_come_off_and_no_coarser_one_is_there_for_nothing(part: str) -> None:
    papers, take = hand.LADDERS[part], hand.TO_PAPER[part]
    assert hand.taken_by(papers) == pytest.approx(take, rel=0.1)
    usual = hand.POST_PAPERS if part == "post" else hand.PAPERS
    assert papers[-len(usual) :] == usual
    assert papers == usual or hand.taken_by(papers[1:]) < hand.ENOUGH * take


def test_the_folds_as_told_make_the_base_and_the_height_that_are_drawn(card: dict[str, str]) -> None:
    """Three cuts side by side fold no sharp corner: their outer skin stands out over their middle one."""
    assert SIZES["fold_cuts"] == hand.FOLD_CUTS
    assert "their middle on the line" in card["Scroll"]
    folds_apart = re.search(r"folds dashed, (\d+\.\d+) apart", card["Templates at true size"])
    straight = re.search(r"stays straight for (\d+\.\d+) mm", card["Scroll"])
    assert folds_apart and straight
    out, up = hand.folded_corner(int(SIZES["fold_cuts"]), SIZES["fold_apart"])
    base = float(folds_apart[1]) + 2 * out
    height = SIZES["scroll_height"] - SIZES["riser"] + float(straight[1]) + up
    assert base == pytest.approx(SIZES["base"], abs=hand.band("base"))
    assert height == pytest.approx(SIZES["scroll_height"], abs=hand.band("scroll_height"))


def test_the_sawn_edges_of_the_strip_are_papered_with_the_papers_of_its_faces() -> None:
    edge = (SIZES["strip_width_before_papers"] - SIZES["strip_width_before_polish"]) / 2
    assert hand.papers_from(edge, hand.PAPERS) == hand.LADDERS["scroll"]


def test_the_pattern_has_such_a_hole_too_and_the_post_goes_through_unpolished() -> None:
    assert hand.HOLE_LEAST <= SIZES["plate_hole"] - SIZES["post_wire"] <= hand.HOLE_MOST
    assert SIZES["post_wire_before_polish"] + hand.HOLE_LEAST / 2 <= SIZES["drill"]


def test_each_drill_opens_the_hole_by_no_more_than_it_may() -> None:
    assert hand.STEPS[-1] == SIZES["drill"] and hand.STEPS[0] <= 2 * hand.HOLE_STEP
    for before, after in itertools.pairwise(hand.STEPS):
        assert after - before <= hand.HOLE_STEP
        smaller = [drill for drill in hand.DRILLS if drill < before]
        assert not [drill for drill in smaller if after - drill <= hand.HOLE_STEP]


# --- the cut list ---------------------------------------------------------------------------------------

# label and unit in the cut list: the worked number
IN_THE_LIST = {
    ("gallery ring, wire before the mop", "mm"): "ring_wire_before_polish",
    ("claw, wire before the mop", "mm"): "claw_wire_before_polish",
    ("post, wire before the mop", "mm"): "post_wire_before_polish",
    ("back plate, thickness before the mop", "mm"): "plate_thickness_before_polish",
    ("back plate, diameter before the mop", "mm"): "plate_diameter_before_polish",
    ("scroll, strip thickness before the mop", "mm"): "strip_before_polish",
    ("scroll, strip width before the mop", "mm"): "strip_width_before_polish",
    ("gallery ring, wire before papers", "mm"): "ring_wire_before_papers",
    ("claw, wire before papers", "mm"): "claw_wire_before_papers",
    ("post, wire before papers", "mm"): "post_wire_before_papers",
    ("back plate, thickness before papers", "mm"): "plate_thickness_before_papers",
    ("back plate, diameter before papers", "mm"): "plate_diameter_before_papers",
    ("scroll, strip thickness before papers", "mm"): "strip_before_papers",
    ("scroll, strip width before papers", "mm"): "strip_width_before_papers",
    ("inside of the ring as it is closed", "mm"): "ring_as_made",
    ("mandrel", "mm"): "mandrel",
    ("wire in the ring, on its middle", "mm"): "ring_length",
    ("wire for the coil", "mm"): "coil_length",
    ("ring's middle up to the girdle", "mm"): "girdle_height",
    ("ring's middle down to the base wire's middle", "mm"): "base_depth",
    ("groove depth", "mm"): "groove",
    ("groove to groove on the finished ring, straight across", "mm"): "groove_spacing",
    ("groove depth to file before the mop", "mm"): "groove_to_file",
    ("groove to groove before the mop, straight across", "mm"): "spacing_to_mark",
    ("way round the ring before the mop", "mm"): "way_round",
    ("girdle over the ring's top", "mm"): "girdle_over_ring",
    ("bearing cut", "mm"): "bearing",
    ("flare of the claws from upright", "deg"): "flare",
    ("staple, girdle to girdle", "mm"): "staple_length",
    ("staple blank", "mm"): "staple_blank",
    ("straight base between the bends", "mm"): "staple_base",
    ("inside radius of the bends", "mm"): "bend_inside",
    ("gap in the finished staple", "mm"): "crossing_gap",
    ("gap to cut in the staple before the mop", "mm"): "gap_to_cut",
    ("claw to claw over the outside at the girdle (odd number: to the next claw)", "mm"): "claw_spread",
    ("air between culet and crossing", "mm"): "culet_air",
    ("pavilion depth", "mm"): "pavilion",
    ("post blank", "mm"): "post_blank",
    ("tip gives way under a knock", "mm"): "post_gives",
    ("load that bends the post for good", "N"): "post_bends_at",
    ("back plate blank", "mm"): "plate_blank",
    ("strip for the scroll", "mm"): "strip_length",
    ("strip in one curl", "mm"): "curl_length",
    ("a curl over all", "mm"): "curl_over_all",
    ("height of the curl's centre over the plate", "mm"): "riser",
    ("fold line to fold line on the flat strip", "mm"): "fold_lines",
    ("straight from fold line to curl on the flat strip", "mm"): "arm",
    ("gap between the curls", "mm"): "gap",
    ("guide dimple", "mm"): "dimple",
    ("fold cut depth", "mm"): "fold_depth",
    ("force that slides the nut", "N"): "grip_force",
    ("stress in the strip", "MPa"): "grip_stress",
    ("ring seam", "mm²"): "seam_area",
    ("crossing", "mm²"): "crossing_area",
    ("claws to ring", "mm²"): "claws_area",
    ("post", "mm²"): "post_area",
    ("folds", "mm²"): "folds_area",
    ("scroll to plate", "mm²"): "nut_area",
    ("gallery ring", "mm³"): "ring_volume",
    ("claws", "mm³"): "claws_volume",
    ("post", "mm³"): "post_volume",
    ("back plate", "mm³"): "plate_volume",
    ("scroll", "mm³"): "scroll_volume",
    ("gallery ring", "g"): "ring_weight",
    ("claws", "g"): "claws_weight",
    ("post", "g"): "post_weight",
    ("solder in the setting", "g"): "solder_weight",
    ("stone", "g"): "stone_weight",
    ("stone", "ct"): "stone_carat",
    ("earring without its nut", "g"): "earring_weight",
    ("back plate", "g"): "plate_weight",
    ("scroll", "g"): "scroll_weight",
    ("solder in the nut", "g"): "nut_solder_weight",
    ("friction nut", "g"): "nut_weight",
    ("metal in earring and nut", "g"): "metal_weight",
}
# Told with more digits than the sum can carry: the curl is taken as a straight strip, and how long half a
# turn of it is, is a matter of half a percent. The sizes agree to one part in a hundred, the doubts to three.
GUIDES = {"grip_force": (0.01, 0.03), "grip_stress": (0.01, 0.03)}
BLANKS = {
    "back plate": ("plate_thickness", "plate_stock", "disc", "plate_blank", "plate_drawer"),
    "scroll": ("strip", "scroll_stock", "strip", "strip_length", "scroll_drawer"),
    "gallery ring": ("ring_wire", "ring_stock", "wire", "coil_length", "ring_drawer"),
    "claw": ("claw_wire", "claw_stock", "wire", "staple_blank", "claw_drawer"),
    "post": ("post_wire", "post_stock", "wire", "post_blank", "post_drawer"),
}
JOINTS = {
    "ring seam": ("seam", "setting"),
    "crossing": ("crossing", "setting"),
    "claws to ring": ("claws", "setting"),
    "post": ("post", "setting"),
    "folds": ("folds", "nut"),
    "scroll to plate": ("nut", "nut"),
}
Rows = list[dict[str, str]]


@pytest.fixture(scope="module", name="rows")
def _rows(plan: Plan, tmp_path_factory: pytest.TempPathFactory) -> Rows:
    path = plan.card(tmp_path_factory.mktemp("list") / "card.csv")
    with path.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


def row_of(rows: Rows, **wanted: str) -> dict[str, str]:
    """The one row of the list that has these cells."""
    found = [row for row in rows if all(row[key] == text for key, text in wanted.items())]
    assert len(found) == 1, wanted
    return found[0]


def listed(rows: Rows, label: tuple[str, str]) -> dict[str, str]:
    return row_of(rows, section="sizes", what=label[0], unit=label[1])


def decimals_of(doubt: float) -> int:
    """Two figures of a doubt are worth telling, and never more than three decimals."""
    return max(0, min(3, 1 - math.floor(math.log10(doubt))))


@pytest.mark.parametrize("label", IN_THE_LIST, ids=" ".join)
def test_a_size_in_the_cut_list(rows: Rows, label: tuple[str, str]) -> None:
    """Each with the band that holds 95 of 100, by Student's t at the result's own degrees of freedom."""
    row, key = listed(rows, label), IN_THE_LIST[label]
    told = re.fullmatch(r"'?\+/- (\d+(?:\.\d+)?) \(95 %\)", row["note"])
    assert told
    digits = decimals_of(hand.band(key))
    if key in GUIDES:
        value, doubt = GUIDES[key]
        assert float(row["value"]) == pytest.approx(SIZES[key], rel=value)
        assert float(told[1]) == pytest.approx(hand.band(key), rel=doubt)
        assert all(len(text.partition(".")[2]) == digits for text in (row["value"], told[1]))
    else:
        wrong = [
            f"{text}, worked {worked:.5f}"
            for text, worked in ((row["value"], SIZES[key]), (told[1], hand.band(key)))
            if not same_as_printed(text, worked, digits)
        ]
        assert not wrong


def test_every_size_in_the_cut_list_is_worked(rows: Rows) -> None:
    others = {("drill", "mm"), ("saw cuts a fold", "")}
    assert {(r["what"], r["unit"]) for r in rows if r["section"] == "sizes"} == set(IN_THE_LIST) | others


def test_the_job_in_the_cut_list(rows: Rows) -> None:
    said = {row["what"]: row["value"] for row in rows if row["section"] == "job"}
    name, claws = "Demo: the harbour pair", f"{hand.CLAWS}"
    assert said == {"name": name, "alloy": "585 yellow", "stone": "spinel", "claws": claws}


@pytest.mark.parametrize("part", BLANKS)
def test_a_blank_in_the_cut_list(rows: Rows, part: str) -> None:
    key, stock, form, blank, drawer = BLANKS[part]
    worked = {
        "finished": SIZES[key],
        "before the mop": SIZES[f"{key}_before_polish"],
        "before papers": SIZES[f"{key}_before_papers"],
        "stock": SIZES[stock],
        f"{form} blank": SIZES[blank],
    }
    for what, size in worked.items():
        row = row_of(rows, section="stock", part=part, what=what)
        assert same_as_printed(row["value"], size, 3), what
        assert row["note"] == ("2 off" if part == "claw" else "")
    row = row_of(rows, section="stock", part=part, what="taken from the drawer")
    assert same_as_printed(row["value"], SIZES[drawer], 0)
    start = hand.START[drawer.removesuffix("_drawer")]
    wide = SIZES.get(f"{drawer}_wide")
    sheet = f"of {start:.2f} mm sheet, {wide:.0f} mm wide" if wide else f"of {start:.2f} mm wire"
    assert row["note"] == sheet


@pytest.mark.parametrize("joint", JOINTS)
def test_a_joint_in_the_cut_list(rows: Rows, joint: str) -> None:
    key, piece = JOINTS[joint]
    row = row_of(rows, section="solder", part=piece, what=joint)
    assert row["value"] == f"{SIZES[hand.HEATS[key] + '_flows']:.0f}"
    count = SIZES[f"{key}_pallions"]
    words = f"{hand.HEATS[key]} solder, {count:.0f} pallion{'' if count == 1 else 's'} ("
    assert row["note"].startswith(words)
    told = re.fullmatch(r"(\d+\.\d+) mm3\)", row["note"].removeprefix(words))
    assert told and same_as_printed(told[1], SIZES[f"{key}_solder"], 2)


@pytest.mark.parametrize("part", [label for label, unit in IN_THE_LIST if unit == "g"])
def test_a_weight_in_the_cut_list(rows: Rows, part: str) -> None:
    row, key = row_of(rows, section="weights", part=part), IN_THE_LIST[part, "g"]
    told = re.search(r"\+/- (\d+\.\d+) \(95 %\)", row["note"])
    assert told
    wrong = [
        f"{text}, worked {worked:.5f}"
        for text, worked in ((row["value"], SIZES[key]), (told[1], hand.band(key)))
        if not same_as_printed(text, worked, 3)
    ]
    assert not wrong


LEDGER = {
    ("weights", "metal taken from the drawer"): "metal_taken",
    ("weights", "comes back as offcuts and lemel"): "comes_back",
    ("weights", "lost as dust"): "dust",
    ("alloying", "Au for that metal"): "gold_to_melt",
    ("alloying", "Ag for that metal"): "silver_to_melt",
    ("alloying", "Cu for that metal"): "copper_to_melt",
}


@pytest.mark.parametrize("entry", LEDGER, ids=" ".join)
def test_metal_in_and_out_in_the_cut_list(rows: Rows, entry: tuple[str, str]) -> None:
    row = row_of(rows, section=entry[0], what=entry[1])
    worked = SIZES[LEDGER[entry]]
    assert row["unit"] == "g" and same_as_printed(row["value"], worked, 3), f"{row['value']}, {worked:.5f}"


@pytest.mark.parametrize(
    ("part", "ours", "pattern"),
    [("earring without its nut", "earring_weight", "pattern_weight"),
     ("friction nut", "nut_weight", "pattern_nut_weight")],
)  # fmt: skip
def test_the_balance_agrees(rows: Rows, part: str, ours: str, pattern: str) -> None:
    row = row_of(rows, section="weights", part=part)
    assert f"pattern {SIZES[pattern]:.3f} g, agrees: yes" in row["note"]
    doubt, freedom = hand.doubt_of_difference(ours, pattern)
    assert abs(SIZES[ours] - SIZES[pattern]) <= doubt * hand.for_95(freedom)


def test_drills_and_cuts_in_the_cut_list(rows: Rows) -> None:
    drill, cuts = row_of(rows, what="drill"), row_of(rows, what="saw cuts a fold")
    assert drill["value"] == f"{SIZES['drill']:.2f}"
    assert drill["note"] == ", ".join(f"{step:.2f}" for step in hand.STEPS)
    assert (
        cuts["value"] == f"{SIZES['fold_cuts']:.0f}"
        and cuts["note"] == f"{SIZES['fold_closes']:.0f} deg each"
    )


@pytest.mark.parametrize("words", RUNS)
def test_a_row_of_passes_in_the_cut_list(rows: Rows, card: dict[str, str], words: str) -> None:
    part = {"plate": "back plate", "ring": "gallery ring"}.get(RUNS[words][0], RUNS[words][0])
    row = row_of(rows, section="passes", part=part)
    assert row["value"].split(" > ") == run_of(card, words)
    assert row["note"] == f"{SIZES[RUNS[words][0] + '_passes']:.0f} passes"


@pytest.mark.parametrize("stage", hand.MINUTES)
def test_the_minutes_in_the_cut_list(rows: Rows, stage: str) -> None:
    least, likely, most = hand.MINUTES[stage]
    row = row_of(rows, section="time", what=stage)
    assert row["value"] == f"{likely}" and row["note"].startswith(f"{least} to {most};")


@pytest.mark.parametrize("what", hand.MONEY)
def test_the_price_in_the_cut_list(rows: Rows, what: str) -> None:
    row = row_of(rows, section="price", what=what)
    told = re.match(r"(\d+\.\d+) to (\d+\.\d+)", row["note"])
    assert told
    for text, worked in zip((row["value"], *told.groups()), hand.MONEY[what], strict=True):
        assert same_as_printed(text, worked, 2), f"{text}, worked {worked:.4f}"


def test_to_buy_or_to_make_and_the_hallmark_in_the_cut_list(rows: Rows) -> None:
    nut = row_of(rows, section="price", part="friction nut", what="buy or make")
    assert hand.nut_made(SIZES) > hand.NUT_BOUGHT
    assert (nut["value"], nut["note"]) == ("making it costs more than buying one", "")
    mark = row_of(rows, section="price", what="hallmark by weight")
    assert SIZES["metal_weight"] < hand.EXEMPT
    assert mark["value"] == "not needed by weight"
    assert mark["note"] == "limits of the UK; ask your assay office"


def test_no_row_of_the_cut_list_is_left_over(rows: Rows) -> None:
    counted = {"job": 4, "stock": 6 * len(BLANKS), "sizes": len(IN_THE_LIST) + 2, "passes": len(RUNS)}
    counted |= {"solder": len(JOINTS), "weights": len([unit for _, unit in IN_THE_LIST if unit == "g"]) + 3}
    counted |= {"alloying": 3, "time": len(hand.MINUTES), "price": len(hand.MONEY) + 2}
    assert Counter(row["section"] for row in rows) == counted


# --- the working itself, checked another way ------------------------------------------------------------


SAFE = (("seam", "claws"), ("crossing", "claws"), ("seam", "post"), ("claws", "post"), ("folds", "nut"))


def test_the_fires_come_in_a_safe_order() -> None:
    names = [name for name, _, _ in hand.usable_solders()]
    assert set(hand.HEATS.values()) <= set(names)
    for finished, fire in SAFE:
        assert hand.safe_after(hand.HEATS[finished], hand.HEATS[fire])
    # a harder solder for the claws would run the seam again, and a harder one for the post the claws
    assert not hand.safe_after("hard", "hard") and not hand.safe_after("medium", "medium")


def test_the_heart_closes_on_its_gap() -> None:
    """Two curls and the gap between them fill the base: sizes that were read apart agree."""
    assert abs(SIZES["gap_misfit"]) <= hand.band("gap_misfit")


def test_a_gauge_that_reads_wrong_reads_all_wrong_alike() -> None:
    """Two sizes from one gauge, one less the other, lose its shift; added together they double it."""
    shifted = hand.worked({**hand.MIDDLES, "micrometer": 0.01, "caliper": 0.02})
    moved = {key: shifted[key] - SIZES[key] for key in ("notch_depth", "girdle_over_ring", "post_wire")}
    assert moved == pytest.approx({"notch_depth": 0.0, "girdle_over_ring": 0.0, "post_wire": 0.01})
    assert shifted["way_round"] - SIZES["way_round"] == pytest.approx(math.pi * (0.02 + 2 * 0.01))


def test_the_doubts_hold_for_many_imagined_earrings() -> None:
    dice = random.Random(20)
    read = hand.inputs()
    made = [
        hand.worked({name: dice.gauss(value, doubt) for name, (value, doubt, _) in read.items()})
        for _ in range(1500)
    ]
    for key in ("staple_blank", "strip_length", "ring_volume", "mandrel", "earring_weight", "nut_weight"):
        spread = statistics.stdev(each[key] for each in made)
        assert spread == pytest.approx(hand.DOUBTS[key][0], rel=0.07), key


def test_students_t() -> None:
    """Against the table in every book of statistics."""
    for freedom, t in ((1, 12.706), (2, 4.303), (10, 2.228), (30, 2.042), (1e9, 1.960)):
        assert hand.for_95(freedom) == pytest.approx(t, abs=6e-4)


def leaning_claw(around: float) -> bd.Solid:
    """A claw's wire on the ring's place, leaning out by the flare, turned round the ring."""
    lean = math.radians(SIZES["flare"])
    out = bd.Vector(math.cos(around), math.sin(around), 0)
    along = out * math.sin(lean) + bd.Vector(0, 0, math.cos(lean))
    foot = out * SIZES["at_ring"] - along * 4
    return bd.Solid.make_cylinder(SIZES["claw_wire"] / 2, 8, bd.Plane(origin=foot, z_dir=along))


def test_the_ring_with_its_grooves_as_a_solid() -> None:
    """Round ring and leaning claws, where the paper took straight bars: alike to a few percent."""
    wire = SIZES["ring_wire"]
    whole = bd.Solid.make_torus((SIZES["ring_inside"] + wire) / 2, wire / 2)
    shared = [whole & leaning_claw((n + 0.5) * math.pi / 2) for n in range(hand.CLAWS)]
    filed = [bite.volume for bite in shared if bite]
    groove, _ = hand.groove_by_slices(wire, SIZES["claw_wire"], SIZES["groove"])
    assert filed == pytest.approx([groove] * hand.CLAWS, rel=0.03)
    assert whole.volume - sum(filed) == pytest.approx(SIZES["ring_volume"], rel=0.001)


def test_the_post_with_its_notch_as_a_solid() -> None:
    wire, deep, wide = (SIZES[name] for name in ("post_wire", "notch_depth", "notch_width"))
    at = bd.Plane((0, 0, SIZES["notch_from_tip"] - wide / 2))
    collar = bd.Solid.make_cylinder(wire, wide, at) - bd.Solid.make_cylinder(wire / 2 - deep, wide, at)
    made = bd.Solid.make_cylinder(wire / 2, SIZES["post_length"]) - collar
    assert made.volume == pytest.approx(SIZES["post_volume"], rel=1e-6)


def test_the_plate_with_its_hole_as_a_solid() -> None:
    thick = SIZES["plate_thickness"]
    made = bd.Solid.make_cylinder(SIZES["plate_diameter"] / 2, thick)
    made = made - bd.Solid.make_cylinder(SIZES["drill"] / 2, thick)
    assert made.volume == pytest.approx(SIZES["plate_volume"], rel=1e-9)


def staple_path(over: float) -> bd.Wire:
    """The middle of a staple, its claws running on by so much over the girdle."""
    lean = math.radians(SIZES["flare"])
    top = SIZES["girdle_height"] + over * math.cos(lean)
    out = SIZES["at_girdle"] + over * math.sin(lean)
    foot = SIZES["at_ring"] - SIZES["base_depth"] * math.tan(lean)
    low = -SIZES["base_depth"]
    corners = bd.Polyline((-out, 0, top), (-foot, 0, low), (foot, 0, low), (out, 0, top))
    return bd.Wire(corners.edges()).fillet_2d(
        SIZES["bend_inside"] + SIZES["claw_wire"] / 2, corners.vertices()[1:3]
    )


def test_the_staples_as_bent_wires() -> None:
    assert staple_path(0).length == pytest.approx(SIZES["staple_length"], abs=1e-6)
    path = staple_path(SIZES["tip_along"])
    across = bd.Plane(origin=path @ 0, z_dir=path % 0)
    bent = bd.sweep(bd.Face(bd.Wire.make_circle(SIZES["claw_wire"] / 2, across)), path=path)
    gap = bd.Pos(0, 0, -SIZES["base_depth"]) * bd.Box(SIZES["crossing_gap"], 2, 2)
    assert bent.volume + (bent - gap).volume == pytest.approx(SIZES["claws_volume"], rel=1e-5)


def test_the_scroll_as_it_lies_flat_drilled_and_sawn() -> None:
    long, wide, thick = SIZES["strip_length"], SIZES["strip_width"], SIZES["strip"]
    made = bd.Box(long, wide, thick) - bd.Cylinder(SIZES["drill"] / 2, thick)
    deep = SIZES["fold_depth"]
    for fold in (-SIZES["fold_lines"] / 2, SIZES["fold_lines"] / 2):
        for n in (-1, 0, 1):
            slot = bd.Box(hand.FOLD_KERF, wide, deep)
            place = fold + SIZES["fold_apart"] * n
            made = made - bd.Pos(place, 0, (thick - deep) / 2) * slot
    assert made.volume == pytest.approx(SIZES["scroll_volume"], rel=1e-9)


def test_a_mitred_heart_holds_as_much_as_a_sawn_one() -> None:
    """Base and arms as plain blocks that share their corners: the folds lose as much as the saw takes."""
    wide, thick = SIZES["strip_width"], SIZES["strip"]
    base = bd.Pos(0, 0, thick / 2) * bd.Box(SIZES["base"], wide, thick)
    arm = bd.Box(thick, wide, SIZES["riser"])
    across, up = SIZES["base"] / 2 - thick / 2, SIZES["riser"] / 2
    made = base + bd.Pos(-across, 0, up) * arm + bd.Pos(across, 0, up) * arm
    flat = (SIZES["base"] + 2 * SIZES["riser"]) * wide * thick
    assert flat - made.volume == pytest.approx(SIZES["fold_sawdust"], rel=0.05)
