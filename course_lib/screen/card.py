"""The bench card: the plan of one job on two sheets of A4, to work from at the bench."""

import io
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from matplotlib import rc_context, rcParamsDefault
from matplotlib.backends.backend_pdf import PdfPages

from course_lib.bench.filing import leave_others_alone, write_whole
from course_lib.bench.plan import Plan
from course_lib.bench.steps import Step, bench_steps, caution_text, size_text
from course_lib.bench.stock import Blank
from course_lib.bench.suspicions import Remark
from course_lib.screen.drafting import Placed
from course_lib.screen.outlines import Piece, piece_of
from course_lib.screen.paper import blank, height_of, letters, paragraph, table, tick_box, wrapped
from course_lib.screen.part_drawings import front_view, nut_view, plan_view
from course_lib.screen.sheet import A4, Look, Sheet, text_width
from course_lib.screen.templates import all_templates

LEFT, RIGHT = 12.0, A4[0] - 12.0
# the settings matplotlib comes with; the way it shows figures on a screen is left alone
_PLAIN = {name: value for name, value in rcParamsDefault.items() if not name.startswith(("backend", "_"))}
# How tall the remarks may be: on the first sheet the drawings still need their place.
_REMARKS_ROOM, _REMARKS_ROOM_LATER = 52.0, 150.0
# by this a card is known again, and any other PDF is left alone
_CREATOR = "The Lost Earring: bench card"
SCALES = (15, 12, 10, 8, 7, 6, 5, 4, 3, 2)


def write_card(plan: Plan, path: Path) -> Path:
    """Write the bench card as a PDF.

    Args:
        plan: of the job.
        path: where to.

    Returns:
        The path. The file is written whole or not at all.

    Raises:
        Refused: another file is there already, an invoice perhaps; it is left alone.
    """
    content = io.BytesIO()
    leave_others_alone(path, "bench card", _is_a_card)
    described = {"Title": f"Bench card: {plan.job.title}", "Creator": _CREATOR, "CreationDate": None}
    # a notebook's own settings (a tight box, another font) must not change the card
    with rc_context(_PLAIN), PdfPages(content, metadata=described) as pages:
        for sheet in card_pages(plan):
            pages.savefig(sheet.figure)
    return write_whole(path, content.getvalue())


def _is_a_card(content: bytes) -> bool:
    """Whether a file is a PDF that the card wrote: its description says so."""
    return content.startswith(b"%PDF-") and f"/Creator ({_CREATOR})".encode() in content


def card_pages(plan: Plan) -> list[Sheet]:
    """The sheets of the card."""
    first, remarks = _first_sheet(plan)
    sheets = [first]
    steps = bench_steps(plan)
    while steps or remarks:
        sheet, remarks, steps = _steps_sheet(plan, remarks, steps, len(sheets) + 1)
        sheets.append(sheet)
    return sheets


def _head(sheet: Sheet, plan: Plan, number: int) -> float:
    """Title, metal and stone: large on the first sheet, one line on the others. Returns the y under it."""
    job = plan.job
    large = number == 1
    y = 288.0 if large else 290.0
    size = 13.0 if large else 9.5
    title = wrapped(f"Bench card: {job.title}", RIGHT - LEFT - 20, size, True)
    letters(sheet, LEFT, y, title[0] + (" ..." if len(title) > 1 else ""), size, True)
    letters(sheet, RIGHT, y - 1 if large else y, f"sheet {number}", 8, side="right")
    if large:
        said = "All sizes in mm, of the finished piece unless it says otherwise."
        letters(sheet, LEFT, y - 7, f"{job.alloy}, {job.gem}, {job.claws} claws. {said}", 8)
    under = y - 11.8 if large else y - 5.2
    sheet.line(np.array([[LEFT, under], [RIGHT, under]]), Look(width=1.0))
    return under - 1.7


def _first_sheet(plan: Plan) -> tuple[Sheet, list[Remark]]:
    """The first sheet, and the remarks for which it has no room."""
    sheet = Sheet(*A4)
    y = _head(sheet, plan, 1)
    for at, label in enumerate(("Made by", "Begun", "Finished", "Checked by")):
        blank(sheet, LEFT + at * 47, y, 43, label)
    y, remarks = _remarks(sheet, plan.remarks, y - 6, _REMARKS_ROOM)
    piece = piece_of(plan)
    bottom = _drawings(sheet, piece, y - 2)
    y = _stock_table(sheet, plan, bottom - 3)
    _weights_table(sheet, plan, bottom - 3)
    y = min(y, bottom - 3 - 14 * 4.0 - 6)
    letters(sheet, LEFT, y - 3, "Templates at true size", 8.5, True)
    all_templates(Placed(sheet, LEFT, y - 7, 1), plan, RIGHT - LEFT)
    letters(sheet, LEFT, 11, caution_text("general", short=True), 7, True)
    return sheet, remarks


def _remarks(sheet: Sheet, remarks: Sequence[Remark], y: float, room: float) -> tuple[float, list[Remark]]:
    """What to see to before the saw comes out, as much as so many mm hold; the y under it, and what is left.

    Nothing is left off: the next sheet begins with what is left.
    """
    if not remarks:
        letters(sheet, LEFT, y, "Nothing in the readings looks wrong.", 7.5)
        return y - 4.5, []
    least, head = y - room, ""
    for at, remark in enumerate(remarks):
        above = "See to this first" if remark.stop else "Look at this before you saw"
        text = f"- {'STOP ' if remark.stop else ''}{remark}"
        lines = wrapped(text, RIGHT - LEFT - 2, 7, remark.stop)
        if at and y - height_of(len(lines), 7) - (4.4 if above != head else 0) < least:
            letters(sheet, LEFT + 2, y, f"- and {len(remarks) - at} more: on the next sheet.", 7)
            return y - 4, list(remarks[at:])
        if above != head:
            letters(sheet, LEFT, y, above, 8.5, True)
            y, head = y - 4.4, above
        y = paragraph(sheet, LEFT + 2, y, RIGHT - LEFT - 2, text, 7, remark.stop) - 0.4
    return y, []


def _drawings(sheet: Sheet, piece: Piece, top: float) -> float:
    """Front, plan and nut, at the largest scale that fits; returns the y under them."""
    up = max(piece.girdle + piece.tip, piece.girdle + piece.depth - piece.pavilion)
    tall = up + piece.base + piece.claw / 2 + piece.post_length
    wide = max(piece.stone, 2 * (piece.ring_inside / 2 + piece.ring_wire + piece.claw))
    room = top - 128
    scale = next((s for s in SCALES if s * tall + 14 <= room and s * (wide + piece.claw) <= 52), SCALES[-1])
    letters(sheet, LEFT, top, f"Drawn {scale} : 1", 8.5, True)
    letters(sheet, LEFT, top - 4.5, "In the plane of\none staple.\nStone dashed.", 7)
    front_view(Placed(sheet, LEFT + 46, top - 12 - up * scale, scale), piece)
    second = next((s for s in SCALES if s <= scale and s * max(wide, piece.plate) <= 56), SCALES[-1])
    across = 148.0
    half = max(piece.stone / 2, wide / 2) * second
    its_scale = f", {second} : 1" if second != scale else ""
    letters(sheet, 110, top, f"From above, stone out{its_scale}", 8.5, True)
    plan_view(Placed(sheet, across, top - 13 - half, second), piece)
    nut_top = top - 13 - 2 * half - 14
    letters(sheet, 110, nut_top, "Friction nut", 8.5, True)
    curl = piece.curl_inside + 2 * piece.strip * (1 + piece.turns)
    nut_view(Placed(sheet, across, nut_top - 12 - (curl + piece.strip) * second, second), piece)
    lower = nut_top - 12 - (curl + piece.strip + piece.plate_thick) * second - 14
    return min(top - 14 - tall * scale, lower)


def _stock_table(sheet: Sheet, plan: Plan, y: float) -> float:
    letters(sheet, LEFT, y, "Stock", 8.5, True)
    rows = [
        (
            b.part, f"{b.finished_mm:.2f}", f"{b.before_polishing_mm:.2f}", f"{b.before_sanding_mm:.2f}",
            size_text(b.stock_mm), _cut_text(plan, b), _drawer_text(b), "",
        )
        for b in plan.blanks
    ]  # fmt: skip
    hold = f"from the drawer,\nand {plan.job.choices['hold_length']:.0f} to hold"
    cuts = ("roll or\ndraw to", "cut", hold, "measured")
    head = ("part", "finished", "before\nthe mop", "before\npapers", *cuts)
    return table(sheet, LEFT, y - 4, (16, 11, 11, 11, 11, 21, 24, 14), head, rows, 6.2, 4.6)


def _cut_text(plan: Plan, b: Blank) -> str:
    """What to cut, in a few words."""
    if b.form == "disc":
        return f"ø {b.blank_mm:.2f}"
    if b.form == "strip":
        return f"{b.blank_mm:.1f} x {b.width_mm:.2f}"
    if b.part == "gallery ring":
        return f"{b.blank_mm:.1f} for {plan.job.choices['coil_turns']:g} rings"
    return f"{b.number} x {b.blank_mm:.1f}"


def _drawer_text(b: Blank) -> str:
    """What to take from the drawer: a length, and the width of a sheet."""
    if b.form == "wire":
        return f"{b.start_length_mm:.0f} of ø {b.start_mm:.2f}"
    return f"{b.start_length_mm:.0f} x {b.start_width_mm:.0f} of {b.start_mm:.2f}"


def _weights_table(sheet: Sheet, plan: Plan, y: float) -> float:
    x = LEFT + 121
    letters(sheet, x, y, "Weights, g", 8.5, True)
    rows = [
        (part, f"{weight:.3f}", f"{band:.3f}", "" if pattern != pattern else f"{pattern:.3f}", agrees)
        for part, weight, band, pattern, agrees in plan.weight_rows()
    ]
    rows.append(("taken from the drawer", f"{plan.metal_taken:.3f}", "", "", ""))
    rows.append(("offcuts and lemel to keep", f"{plan.loss.comes_back:.3f}", "", "", ""))
    head = ("part", "planned", "+/-,\n95 %", "pattern", "agrees")
    return table(sheet, x, y - 4, (30, 9.5, 8, 9.5, 8.5), head, rows, 6.0, 4.0)


def _steps_sheet(
    plan: Plan, remarks: Sequence[Remark], steps: list[Step], number: int
) -> tuple[Sheet, list[Remark], list[Step]]:
    """The remarks that are left, and two columns of steps with boxes; and of both what did not fit."""
    sheet = Sheet(*A4)
    top = _head(sheet, plan, number)
    left: list[Remark] = []
    if remarks:
        top, left = _remarks(sheet, remarks, top, _REMARKS_ROOM_LATER)
    column_width = (RIGHT - LEFT - 6) / 2
    said: set[str] = set()
    stage = ""
    column, y = 0, top
    x = LEFT
    for at, step in enumerate(steps):
        new = [c for c in step.cautions if c not in said]
        needed = _step_height(step, new, column_width, step.stage != stage)
        if y - needed < 16:
            column += 1
            if column == 2:
                _foot(sheet)
                return sheet, left, steps[at:]
            y, x = top, LEFT + column_width + 6
        said.update(new)
        y = _draw_step(sheet, x, y, column_width, step, new, step.stage != stage)
        stage = step.stage
    _foot(sheet)
    return sheet, left, []


def _foot(sheet: Sheet) -> None:
    letters(sheet, LEFT, 11, caution_text("general", short=True), 7, True)


_STEP, _CAUTION = 7.0, 6.4


def _step_height(step: Step, cautions: list[str], width: float, new_stage: bool) -> float:
    lines = len(wrapped(step.text, width - 6, _STEP))
    warned = sum(len(wrapped(f"! {caution_text(c, True)}", width - 8, _CAUTION)) for c in cautions)
    return (
        height_of(lines, _STEP)
        + height_of(warned, _CAUTION)
        + (4.1 if step.note else 0)
        + 1.2
        + (5.5 if new_stage else 0)
    )


def _draw_step(
    sheet: Sheet, x: float, y: float, width: float, step: Step, cautions: list[str], new_stage: bool
) -> float:
    if new_stage:
        letters(sheet, x, y - 0.6, step.stage.capitalize(), 8.5, True)
        sheet.line(np.array([[x, y - 4.6], [x + width, y - 4.6]]), Look(width=0.5))
        y -= 5.5
    tick_box(sheet, x, y - 0.2)
    y = paragraph(sheet, x + 5, y, width - 6, step.text, _STEP)
    for name in cautions:
        lines = wrapped(f"! {caution_text(name, True)}", width - 8, _CAUTION)
        letters(sheet, x + 6, y, "\n".join(lines), _CAUTION, leaning=True)
        y -= height_of(len(lines), _CAUTION)
    if step.note:
        blank(sheet, x + 5, y - 0.8, min(46, text_width(step.note, 7) + 24), step.note, 7)
        y -= 4.1
    return y - 1.2
