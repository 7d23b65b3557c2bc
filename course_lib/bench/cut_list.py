"""The cut list: the plan as plain rows that any spreadsheet opens."""

import math
import re
from collections.abc import Iterator
from pathlib import Path

from course_lib.bench.alloy import fire_is_known
from course_lib.bench.filing import leave_others_alone, write_whole
from course_lib.bench.for_spreadsheets import as_csv, csv_file
from course_lib.bench.plan import Plan
from course_lib.bench.price import stage_minutes
from course_lib.bench.steps import run_text, size_text

HEADER = ("section", "part", "what", "value", "unit", "note")
_BELOW_NOTHING = re.compile(r"-[0-9]+(?:\.[0-9]+)?")
_FIRST_ROW = b"\xef\xbb\xbf" + as_csv([HEADER]).strip().encode()


def cut_list_rows(plan: Plan) -> Iterator[tuple[str, ...]]:
    """Every row of the cut list: the job, remarks, stock, sizes, passes, joints, weights, time, price."""
    job = plan.job
    known = (("name", job.title), ("alloy", job.alloy), ("stone", job.gem), ("claws", str(job.claws)))
    for what, said in known:
        yield "job", "", what, said, "", ""
    for remark in plan.remarks:
        yield "see to first", "", "stop" if remark.stop else "look", "", "", str(remark)
    for b in plan.blanks:
        many = f"{b.number} off" if b.number > 1 else ""
        for what, value in (
            ("finished", b.finished_mm),
            ("before the mop", b.before_polishing_mm),
            ("before papers", b.before_sanding_mm),
            ("stock", b.stock_mm),
            (f"{b.form} blank", b.blank_mm),
        ):
            yield "stock", b.part, what, f"{value:.3f}", "mm", many
        kind = "wire" if b.form == "wire" else f"sheet, {b.start_width_mm:.0f} mm wide"
        note = f"of {b.start_mm:.2f} mm {kind}"
        yield "stock", b.part, "taken from the drawer", f"{b.start_length_mm:.0f}", "mm", note
    for planned in plan.sizes.values():
        value, unit = planned.value, f"{planned.value.units:~P}"
        band = planned.expanded().m
        digits = _decimals(band)
        yield "sizes", "", planned.label, f"{value.m:.{digits}f}", unit, f"+/- {band:.{digits}f} (95 %)"
    yield (
        "sizes",
        "back plate",
        "drill",
        size_text(plan.drill),
        "mm",
        ", ".join(map(size_text, plan.drill_steps)),
    )
    yield (
        "sizes",
        "scroll",
        "saw cuts a fold",
        str(plan.fold.cuts),
        "",
        f"{plan.fold.angle_per_cut:.0f} deg each",
    )
    for part, run in plan.runs.items():
        yield "passes", part, "sizes", run_text(plan.starts[part], run), "mm", f"{len(run)} passes"
    for piece, joint, solder, flow, shield, volume, count in plan.joint_rows():
        note = _joint_note(solder, count, volume, shield)
        if fire_is_known(job.alloy):
            yield "solder", piece, joint, f"{flow:.0f}", "degC", note
        else:
            yield "solder", piece, joint, "", "", f"{note}; how it is heated, ask the makers"
    for part, weight, band, pattern, agrees in plan.weight_rows():
        weighed = f"; pattern {pattern:.3f} g, agrees: {agrees}" if agrees else ""
        yield "weights", part, "weight", f"{weight:.3f}", "g", f"+/- {band:.3f} (95 %){weighed}"
    yield "weights", "", "metal taken from the drawer", f"{plan.metal_taken:.3f}", "g", ""
    yield (
        "weights",
        "",
        "comes back as offcuts and lemel",
        f"{plan.loss.comes_back:.3f}",
        "g",
        "keep for refining",
    )
    yield "weights", "", "lost as dust", f"{plan.loss.lost:.3f}", "g", ""
    for element, weight in plan.to_alloy().items():
        yield "alloying", "", f"{element} for that metal", f"{weight:.3f}", "g", "if you melt your own"
    for stage, (least, likely, most) in stage_minutes().items():
        yield (
            "time",
            "",
            stage,
            f"{likely:.0f}",
            "minutes",
            f"{least:.0f} to {most:.0f}; invented: put your own",
        )
    for what, low, likely, high in plan.quote.lines:
        yield (
            "price",
            "",
            what,
            f"{likely:.2f}",
            "money",
            f"{low:.2f} to {high:.2f}; prices are invented: put your own",
        )
    nut = "making it costs more than buying one" if plan.quote.buy_the_nut else "make it"
    yield "price", "friction nut", "buy or make", nut, "", ""
    mark = "needed by weight" if plan.hallmark else "not needed by weight"
    yield "price", "", "hallmark by weight", mark, "", "limits of the UK; ask your assay office"
    yield (
        "price",
        "",
        "quote",
        f"{plan.quote.likely:.2f}",
        "money",
        f"{plan.quote.low:.2f} to {plan.quote.high:.2f}",
    )


def _decimals(band: float) -> int:
    """Decimals worth writing: two figures of the doubt, three decimals at most."""
    return 3 if band <= 0 else min(3, max(0, 1 - math.floor(math.log10(band))))


def _joint_note(solder: str, count: int, volume: float, shield: tuple[str, ...]) -> str:
    keep = f"; shield {', '.join(shield)}" if shield else ""
    return f"{solder} solder, {count} {'pallion' if count == 1 else 'pallions'} ({volume:.2f} mm3){keep}"


def write_cut_list(plan: Plan, path: Path) -> Path:
    """Write the cut list as CSV, with a byte-order mark so that every spreadsheet reads its signs.

    Args:
        plan: of the job.
        path: where to.

    Returns:
        The path.

    Raises:
        Refused: a CSV of another kind is there already, a measuring sheet perhaps; it is left alone.
    """
    leave_others_alone(path, "cut list", lambda content: content.startswith(_FIRST_ROW))
    return write_whole(path, csv_file([HEADER, *map(_with_numbers, cut_list_rows(plan))]))


def _with_numbers(row: tuple[str, ...]) -> list[str | float]:
    """A row in which a number below nothing is a number, which no spreadsheet takes for a formula."""
    return [float(cell) if _BELOW_NOTHING.fullmatch(cell) else cell for cell in row]
