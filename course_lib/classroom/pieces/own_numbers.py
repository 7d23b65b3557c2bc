"""Made-up jobs: for every code an earring of its own, sound enough to be made.

What a code leads to is drawn from the code alone by a hash, so it is the same on every computer and for
ever. An earring that could not be made is drawn again. All of them are invented.
"""

import hashlib
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path

from course_lib.bench.choices import choices_from
from course_lib.bench.filing import write_whole
from course_lib.bench.hole import choose_drill
from course_lib.bench.measuring import Reading, decimals_of
from course_lib.bench.plan import Plan
from course_lib.bench.refusals import NoDrill, Refused
from course_lib.bench.scroll import curl_over_all
from course_lib.bench.tables import numbers_of, practice, table_by
from course_lib.bench.whole_piece import PAVILION_SHARE
from course_lib.classroom.pieces.job_in_hand import CannotGoOn, JobInHand
from course_lib.classroom.pieces.learner_code import code_from, code_in, difficulty_of, read_code
from course_lib.classroom.pieces.own_folder import ANSWERS, kept_at

# Stands in every draw. Other rules of drawing need another number, or old codes would change their earring.
_RULES = 1
# So many drawings, and a code still has none: then something is wrong with the rules, not with the code.
_MOST_DRAWINGS = 200
# A size is drawn evenly from this range: least, most.
Range = tuple[float, float]


@dataclass(frozen=True)
class Difficulty:
    """What the jobs of one difficulty are drawn from.

    `stones` gives for each number of claws the range of the stone's diameter in mm; `closed` is the most
    that the closed micrometer shows, in steps of 0.001 mm.
    """

    stones: Mapping[int, Range]
    alloys: tuple[str, ...]
    gems: tuple[str, ...]
    post: Range
    closed: int


_EASY_ALLOYS = ("585 yellow", "750 yellow", "925 silver")
_USUAL_ALLOYS = (*_EASY_ALLOYS, "375 yellow", "585 pale yellow", "750 pink")
_EASY_GEMS = ("spinel", "corundum", "chrysoberyl", "cubic zirconia")
_USUAL_GEMS = (*_EASY_GEMS, "quartz", "topaz", "almandine", "tourmaline")
# 916 yellow is left out: so soft an alloy makes no post that stays straight.
KINDS: Mapping[str, Difficulty] = {
    "first": Difficulty({4: (4.4, 6.2)}, _EASY_ALLOYS, _EASY_GEMS, (0.88, 0.97), 0),
    "usual": Difficulty(
        {3: (3.1, 4.6), 4: (4.0, 6.8), 6: (6.0, 8.6)}, _USUAL_ALLOYS, _USUAL_GEMS, (0.84, 0.99), 3
    ),
    "hard": Difficulty(
        {3: (2.8, 5.4), 4: (3.6, 8.0), 6: (5.4, 10.0)},
        (*_USUAL_ALLOYS, "750 palladium white", "950 platinum"),
        (*_USUAL_GEMS, "peridot", "opal", "tanzanite", "zircon"),
        (0.80, 1.03),
        6,
    ),
}

# The same work for all: so many passes each stock takes, and so many anneals.
PASSES: Mapping[str, tuple[int, int]] = {
    "back plate": (7, 10),
    "scroll": (9, 12),
    "gallery ring": (8, 12),
    "claw": (8, 12),
    "post": (8, 12),
}
ANNEALS = (1, 2)
# Wire as it lies in a drawer, in mm.
_WIRES = (1.5, 1.6, 1.8, 2.0, 2.2, 2.4, 2.5, 2.8, 3.0)

# A narrower ring, against the stone, looks like a stalk.
_SMALLEST_RING = 0.36

# How far three readings of a gauge fall apart, in its own steps.
_APART = {"micrometer": (-2, 2), "caliper": (-1, 1), "loupe scale": (0, 1), "fine balance": (-1, 1)}


class _Draws:
    """Evenly spread numbers, each by its own name, that follow from a code and the number of the drawing.

    Each has a name of its own, so that a new one leaves all others as they are.
    """

    def __init__(self, code: str, drawing: int) -> None:
        self._start = f"{_RULES} {code} {drawing} "

    def _number(self, name: str) -> int:
        return int.from_bytes(hashlib.sha256((self._start + name).encode()).digest()[:6], "big")

    def between(self, name: str, least: float, most: float) -> float:
        """A number from a range."""
        return least + (most - least) * (self._number(name) / 2**48)

    def one_of(self, name: str, listed: Sequence[str]) -> str:
        """One of a list."""
        return listed[self._number(name) % len(listed)]

    def whole(self, name: str, least: int, most: int) -> int:
        """A whole number from a range, both ends possible."""
        return least + self._number(name) % (most - least + 1)


def my_job(code: str) -> JobInHand:
    """The job of a learner's code: an invented earring of their own.

    Args:
        code: from the ticket, for example ``"LO47-MI82-L"``.

    Returns:
        The job.

    Raises:
        CannotGoOn: it is no code; the message says what to look at.

    >>> my_job(code_from("first", "a doctest")).claws
    4
    """
    try:
        return kept_piece(code, kept_at(ANSWERS).parent) or job_of(code)
    except Refused as error:
        raise CannotGoOn(str(error)) from None


def keep_piece(job: JobInHand, folder: Path) -> None:
    """Keep the sheet of a code's earring beside its first answers.

    Which drawing of a code is sound hangs on the trade's tables too: should they change, the learner still
    has the earring that was begun.

    Args:
        job: in hand; one that came from no code is left alone.
        folder: where the answers are kept.
    """
    code = code_in(job.title)
    if code is None or _piece_of(code, folder).exists():
        return
    try:
        sheet = sheet_of(code)
        if job_of_sheet(sheet).digest == job.digest:
            write_whole(_piece_of(code, folder), sheet.encode())
    except Refused:  # the answers can be kept all the same
        return


def kept_piece(code: str, folder: Path) -> JobInHand | None:
    """The earring of a code as it was begun; None where none was, or what was kept cannot be read.

    Args:
        code: of the ticket.
        folder: where the answers are kept.
    """
    try:
        return job_of_sheet(_piece_of(read_code(code), folder).read_text(encoding="utf-8"))
    except (Refused, OSError, UnicodeDecodeError):
        return None


def _piece_of(code: str, folder: Path) -> Path:
    return folder / f"piece-{code}.csv"


def job_of(code: str) -> JobInHand:
    """The same as `my_job`, for whoever handles many.

    Raises:
        Refused: it is no code, or no sound job could be drawn, which no code has been seen to do.
    """
    return _sound_one(read_code(code))[1]


@lru_cache(maxsize=512)
def sheet_of(code: str) -> str:
    """The measuring sheet of a code, as CSV text.

    >>> print(sheet_of(code_from("first", "a doctest")).splitlines()[0])
    part,size,unit,instrument,reading 1,reading 2,reading 3,note
    """
    return _sound_one(read_code(code))[0]


def made_up_jobs(count: int, start: int = 0) -> list[JobInHand]:
    """So many jobs for tests, of every difficulty in turn, always the same ones.

    >>> [job.claws for job in made_up_jobs(1)]
    [4]
    """
    names = list(KINDS)
    codes = (code_from(names[at % len(names)], f"made up {at}") for at in range(start, start + count))
    return [job_of(code) for code in codes]


def job_of_sheet(sheet: str) -> JobInHand:
    """The job of a measuring sheet that was kept as text.

    Raises:
        Refused: with the row, the column and what to write.
    """
    found = JobInHand.from_text(sheet)
    assert isinstance(found, JobInHand)
    return found


def _sound_one(code: str) -> tuple[str, JobInHand]:
    """The first drawing that can be made, as a sheet and as the job that was read from it."""
    kind = KINDS[difficulty_of(code)]
    for drawing in range(_MOST_DRAWINGS):
        found = _drawn(_Draws(code, drawing), kind, code)
        if found:
            return found
    raise Refused(f"No earring could be made up for {code}. Ask for another code.")


def _drawn(draws: _Draws, kind: Difficulty, code: str) -> tuple[str, JobInHand] | None:
    """One drawing, or None where it could not be made, or would be other work than everybody's."""
    piece = _piece(draws, kind)
    if piece is None:
        return None
    try:
        plan = _as_it_is(piece).plan()
        if not (is_sound(plan) and _is_same_work(plan)):
            return None
        sheet = _sheet(draws, kind, piece, plan, code)
        job = job_of_sheet(sheet)
    except Refused:  # a size that no such part has
        return None
    return (sheet, job) if is_sound(job.plan()) and _is_same_work(job.plan()) else None


def is_sound(plan: Plan) -> bool:
    """Whether a piece can be made as it was measured: nothing stops it, and no size needs measuring again.

    What is said of the stone or the alloy alone (heat, pickle) is no fault of a piece.
    """
    if any(remark.stop or remark.measure for remark in plan.remarks):
        return False
    return plan.plain("post_bends_at") >= plan.job.choices["slip_load"]


def _is_same_work(plan: Plan) -> bool:
    """About as many passes as everybody, and as many anneals on the way."""
    return all(
        least <= len(plan.runs[part]) <= most
        and ANNEALS[0] <= sum(each.anneal_before for each in plan.runs[part]) <= ANNEALS[1]
        for part, (least, most) in PASSES.items()
    )


@dataclass(frozen=True)
class _Piece:
    """An earring as it is, before any gauge is laid on it: its sizes in mm, and the turns of a curl."""

    alloy: str
    gem: str
    claws: int
    sizes: Mapping[str, float]


def _as_it_is(piece: _Piece) -> JobInHand:
    """The job of somebody who knows every size without a doubt."""
    exactly = {key: Reading(size, 0.0, math.inf) for key, size in piece.sizes.items()}
    return JobInHand("as it is", piece.alloy, piece.gem, piece.claws, exactly, choices_from({}), {})


def _piece(draws: _Draws, kind: Difficulty) -> _Piece | None:
    claws = int(draws.one_of("claws", [str(number) for number in kind.stones]))
    sizes: dict[str, float] = {}
    _draw_stone(draws, kind.stones[claws], sizes)
    _draw_basket(draws, sizes)
    _draw_post(draws, kind.post, sizes)
    if not _draw_nut(draws, sizes) or sizes["ring_inside"] < _SMALLEST_RING * sizes["stone_diameter"]:
        return None
    _draw_drawer(draws, sizes)
    return _Piece(draws.one_of("alloy", kind.alloys), draws.one_of("gem", kind.gems), claws, sizes)


def _draw_stone(draws: _Draws, diameters: Range, sizes: dict[str, float]) -> None:
    across = draws.between("stone", *diameters)
    sizes["stone_diameter"] = across
    sizes["stone_depth"] = across * draws.between("depth", 0.59, 0.67)
    # deeper than what stands for a pavilion that was not measured, so that the two can be told apart
    sizes["pavilion_depth"] = across * draws.between(
        "pavilion", PAVILION_SHARE + 0.008, PAVILION_SHARE + 0.03
    )


def _draw_basket(draws: _Draws, sizes: dict[str, float]) -> None:
    """Claws and ring about the stone: air under the culet, a lean outward, the ring a way up."""
    across = sizes["stone_diameter"]
    claw = 0.53 + 0.047 * across + draws.between("claw", -0.04, 0.05)
    ring = claw * draws.between("ring", 1.02, 1.16)
    sizes["claw_wire"], sizes["ring_wire"] = claw, ring
    sizes["base_to_girdle"] = sizes["pavilion_depth"] + claw + draws.between("air", 0.3, 0.62)
    # the ring lies on the base wires or above them, and leaves room for the girdle
    room = sizes["base_to_girdle"] - claw - ring
    sizes["base_to_ring"] = claw + ring + draws.between("up", 0.05, 0.3) * room
    over_ring = sizes["base_to_girdle"] - sizes["base_to_ring"] + ring / 2
    lean = math.tan(math.radians(draws.between("lean", 6, 13)))
    sizes["ring_inside"] = 2 * (across / 2 - ring - lean * over_ring)
    sizes["claw_tip"] = 0.3 + 0.08 * across + draws.between("tip", -0.06, 0.06)


def _draw_post(draws: _Draws, wires: Range, sizes: dict[str, float]) -> None:
    post = draws.between("post", *wires)
    sizes["post_wire"] = post
    sizes["post_length"] = draws.between("post length", 9.4, 11.2)
    sizes["notch_from_tip"] = draws.between("notch", 1.6, 2.3)
    sizes["notch_wire"] = post * draws.between("notch wire", 0.8, 0.86)
    sizes["notch_width"] = draws.between("notch width", 0.36, 0.5)


def _draw_nut(draws: _Draws, sizes: dict[str, float]) -> bool:
    """Plate and scroll about the post; False where no drill frees it."""
    post = sizes["post_wire"]
    try:
        drill, _, _ = choose_drill(
            post, practice("hole_least"), practice("hole_most"), numbers_of("drills", "diameter_mm"),
            practice("hole_step"),
        )  # fmt: skip
    except NoDrill:
        return False
    # drilled so, and worn a little since
    sizes["plate_hole"] = drill + draws.between("worn", 0.001, 0.04)
    thick = draws.between("strip", 0.33, 0.44)
    turns = 1 + draws.whole("turns", 0, 2) / 8
    inside = draws.between("curl", 0.52, 0.82)
    gap = post * draws.between("gap", 0.89, 0.93)
    sizes |= {"strip_thickness": thick, "curl_turns": turns, "curl_inside": inside, "curl_gap": gap}
    sizes["strip_width"] = draws.between("strip width", 2.1, 3.0)
    over_all = curl_over_all.plain((inside + thick) / 2, turns, thick, thick)
    sizes["base_length"] = gap + 2 * over_all + draws.between("base", -0.08, 0.08)
    sizes["plate_diameter"] = sizes["base_length"] + draws.between("plate", 0.6, 1.3)
    sizes["plate_thickness"] = thick * draws.between("plate thickness", 1.18, 1.35)
    return True


def _draw_drawer(draws: _Draws, sizes: dict[str, float]) -> None:
    """Sheet and wire to start from, so thick that everybody has about as many passes."""
    sheet = sizes["plate_thickness"] * draws.between("sheet", 2.75, 3.1)
    sizes["sheet_start"] = round(sheet, 1)
    wire = 2.25 * (sizes["ring_wire"] + sizes["claw_wire"] + sizes["post_wire"]) / 3
    sizes["wire_start"] = min(_WIRES, key=lambda size: abs(size - wire))


# Each size: its row on the sheet, the gauge that reads it, and how its readings come about.
_ROWS: tuple[tuple[str, str, str], ...] = (
    ("stone_diameter", "stone,diameter", "caliper"),
    ("stone_depth", "stone,depth", "caliper"),
    ("pavilion_depth", "stone,pavilion depth", "caliper"),
    ("ring_inside", "gallery ring,inside diameter", "caliper"),
    ("ring_wire", "gallery ring,wire", "micrometer"),
    ("claw_wire", "claw,wire", "micrometer"),
    ("base_to_girdle", "claw,base to girdle", "caliper"),
    ("base_to_ring", "claw,base to ring top", "caliper"),
    ("claw_tip", "claw,over the girdle", "loupe scale"),
    ("post_wire", "post,wire", "micrometer"),
    ("post_length", "post,length", "caliper"),
    ("notch_from_tip", "post,notch from tip", "caliper"),
    ("notch_wire", "post,notch wire", "micrometer"),
    ("notch_width", "post,notch width", "loupe scale"),
    ("plate_diameter", "back plate,diameter", "caliper"),
    ("plate_thickness", "back plate,thickness", "micrometer"),
    ("plate_hole", "back plate,hole", "plug gauge"),
    ("strip_thickness", "scroll,strip thickness", "micrometer"),
    ("strip_width", "scroll,strip width", "caliper"),
    ("base_length", "scroll,base length", "caliper"),
    ("curl_inside", "scroll,curl inside diameter", "plug gauge"),
    ("curl_gap", "scroll,gap", "plug gauge"),
    ("sheet_start", "stock,sheet thickness", "micrometer"),
    ("wire_start", "stock,wire diameter", "micrometer"),
)


_HEAD = "part,size,unit,instrument,reading 1,reading 2,reading 3,note"


def _sheet(draws: _Draws, kind: Difficulty, piece: _Piece, plan: Plan, code: str) -> str:
    """The measuring sheet of whoever measured it."""
    closed = draws.whole("closed", 0, kind.closed)
    rows = [
        _HEAD,
        f"piece,name,,eye,Made up: {code},,,an invented earring for practice",
        f"piece,alloy,,eye,{piece.alloy},,,mark {piece.alloy.split()[0]} on the post",
        f"piece,claws,,eye,{piece.claws},,,",
        _weight_row(draws, plan, "piece", "earring_weight"),
        f"stone,gem,,eye,{piece.gem},,,",
        *(_size_row(draws, row, piece.sizes, closed) for row in _ROWS),
        f"scroll,curl turns,turns,eye,{piece.sizes['curl_turns']:g},,,",
        _weight_row(draws, plan, "nut", "nut_weight"),
        f"micrometer,closed reading,mm,micrometer,{closed / 1000:.3f},,,wiped and closed",
    ]
    return "\n".join([*rows, ""])


def _size_row(draws: _Draws, row: tuple[str, str, str], sizes: Mapping[str, float], closed: int) -> str:
    """The row of one size; `closed` is what the closed micrometer shows, in its steps."""
    key, place, gauge = row
    if gauge == "plug gauge":
        shown = _plug_readings(draws, key, sizes[key])
    else:
        shown = _readings(draws, key, sizes[key], gauge, closed if gauge == "micrometer" else 0)
    return f"{place},mm,{gauge},{','.join(shown)},"


def _readings(draws: _Draws, key: str, size: float, gauge: str, closed: int = 0) -> list[str]:
    """Three readings as the gauge shows them, each a step or so off; it shows `closed` steps too much."""
    step = _step_of(gauge)
    middle = round(size / step) + closed
    each = [middle + draws.whole(f"{key} {at}", *_APART[gauge]) for at in range(3)]
    return [f"{steps * step:.{decimals_of(step)}f}" for steps in each]


@cache
def _step_of(gauge: str) -> float:
    return table_by("instruments", "instrument")[gauge].amount("resolution")


def _plug_readings(draws: _Draws, key: str, size: float) -> list[str]:
    """The largest drill shank that enters; one time in three it is pushed in less far the third time."""
    shanks = [drill for drill in numbers_of("drills", "diameter_mm") if drill <= size]
    enters, before = shanks[-1], shanks[-2]
    third = before if draws.whole(f"{key} third", 0, 2) == 0 else enters
    return [f"{enters:.2f}", f"{enters:.2f}", f"{third:.2f}"]


def _weight_row(draws: _Draws, plan: Plan, part: str, result: str) -> str:
    """What the balance shows."""
    planned = plan.carried.results[result]
    # the alloy and the stone are not quite as heavy as the tables say
    weight = planned.value + draws.between(f"{part} off", -0.5, 0.5) * planned.standard_uncertainty
    shown = ",".join(_readings(draws, f"{part} weight", weight, "fine balance"))
    return f"{part},weight,g,fine balance,{shown},clean and dry"
