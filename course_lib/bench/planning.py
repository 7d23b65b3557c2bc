"""Planning: a measured pattern becomes the whole plan of its duplicate."""

import math
from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any

from course_lib.bench import price
from course_lib.bench.alloy import alloy_facts, solders_for
from course_lib.bench.carry import Carried, carry
from course_lib.bench.choices import Choices
from course_lib.bench.forming import Fold, saw_fold
from course_lib.bench.hole import choose_drill
from course_lib.bench.measuring import Reading
from course_lib.bench.measuring_sheet import label_of
from course_lib.bench.metal import fine_metals
from course_lib.bench.pattern import Pattern
from course_lib.bench.plan import Plan, metal_without_solder
from course_lib.bench.refusals import NoDrill, NoSolder
from course_lib.bench.solder import Heat, Solder, plan_heats
from course_lib.bench.stock import Blank, blanks_of, runs_of, starts_of, stock_sizes, worked_yield
from course_lib.bench.suspicions import Findings, Remark, in_order_of_harm, suspicions
from course_lib.bench.tables import numbers_of, table_by
from course_lib.bench.whole_piece import (
    NUT_FIRES,
    NUT_JOINTS,
    RESULTS,
    SETTING_FIRES,
    SETTING_JOINTS,
    Fixed,
    before_finish,
    work_out,
)


def make_plan(job: Pattern) -> Plan:
    """The work behind `Job.plan`."""
    alloy, choices, remarks = alloy_facts(job.alloy), job.choices, [Remark(text) for text in job.remarks]
    read = {key: reading.value for key, reading in job.readings.items()}
    rough = before_finish(read, choices)
    stocks = stock_sizes(rough, choices, remarks)
    starts = starts_of(job.readings, choices)
    runs = runs_of(stocks, starts, alloy, choices, remarks)
    drill, drill_steps = _drill(read["post_wire"], choices, remarks)
    fold = _fold(rough, choices)
    fixed = Fixed(
        job.claws,
        choices,
        drill,
        fold.cuts,
        alloy.elastic_modulus,
        alloy.yield_soft,
        worked_yield(runs["post"], alloy),
    )
    gravity, cut = _stone_readings(job.gem)
    doubted = {
        **_own_doubts(job),
        "density": Reading(alloy.density, alloy.density_doubt, math.inf),
        "specific_gravity": gravity,
        "stone_factor": cut,
    }
    gauge_of = {key: gauge for key, (gauge, _) in job.shared.items() if key in job.readings}

    def sums(moved: Mapping[str, Any]) -> dict[str, Any]:
        together = {key: moved[key] + moved[gauge] for key, gauge in gauge_of.items()}
        return work_out({**moved, **together}, fixed)

    carried = carry(sums, doubted, RESULTS)
    stone = table_by("stones", "gem")[job.gem]
    read_and_known = {**doubted, **job.readings}
    strip_yield = worked_yield(runs["scroll"], alloy)
    findings = Findings(read_and_known, carried, job.claws, choices, alloy.row, stone, strip_yield)
    remarks += suspicions(findings)
    solders = solders_for(job.alloy)
    margin = choices["solder_margin"]
    setting = _heats(SETTING_JOINTS, SETTING_FIRES, solders, alloy.solidus, margin, remarks)
    # the two gentlest solders for the nut, so that the curls keep more of their spring
    easiest = sorted(solders, key=lambda s: s.flow_degC)[:2]
    nut = _heats(NUT_JOINTS, NUT_FIRES, easiest, alloy.solidus, margin, remarks)
    blanks = tuple(blanks_of(job.claws, job.readings, choices, carried, rough, stocks, starts, alloy.density))
    return Plan(
        job,
        carried,
        blanks,
        runs,
        starts,
        drill,
        drill_steps,
        fold,
        setting,
        nut,
        tuple(in_order_of_harm(remarks)),
        *_money(job, carried, blanks),
    )


@cache
def _stone_readings(gem: str) -> tuple[Reading, Reading]:
    """Specific gravity of a gem, and the factor of its cut, each with its doubt."""
    row = table_by("stones", "gem")[gem]
    spread = (row.amount("most") - row.amount("least")) / 2 / math.sqrt(3)
    gravity = Reading(row.amount("specific_gravity"), spread, math.inf)
    return gravity, Reading(1.0, 0.04 / math.sqrt(3), math.inf)


def _own_doubts(job: Pattern) -> dict[str, Reading]:
    """Each reading with only the doubt that is its own, and each gauge with the doubt its readings share.

    A gauge that reads a little high reads every wire a little high: that must not average out.
    """
    own: dict[str, Reading] = {}
    for key, reading in job.readings.items():
        total = reading.standard_uncertainty**2
        rest = max(total - job.shared.get(key, ("", 0.0))[1] ** 2, 0.0)
        freedom = reading.degrees_of_freedom * (rest / total) ** 2 if total else reading.degrees_of_freedom
        own[key] = Reading(reading.value, math.sqrt(rest), max(freedom, 1.0))
    gauges = {gauge: Reading(0.0, doubt, math.inf) for gauge, doubt in job.shared.values()}
    return own | gauges


def _drill(post: float, choices: Choices, remarks: list[Remark]) -> tuple[float, tuple[float, ...]]:
    least, most = choices["hole_least"], choices["hole_most"]
    try:
        drill, _, steps = choose_drill(
            post, least, most, numbers_of("drills", "diameter_mm"), choices["hole_step"]
        )
    except NoDrill as error:
        remarks.append(Remark(str(error).split(": ", 1)[1], True, (label_of("post_wire"),)))
        return post + least, ()
    return drill, steps


def _heats(
    joints: Sequence[tuple[str, str]],
    fires: Sequence[Sequence[int]],
    solders: Sequence[Solder],
    solidus: float,
    margin: float,
    remarks: list[Remark],
) -> tuple[Heat, ...]:
    try:
        return tuple(plan_heats([name for name, _ in joints], solders, solidus, margin, fires))
    except NoSolder as error:
        remarks.append(Remark(str(error).split(": ", 1)[1], True))
        return ()


def _fold(rough: Mapping[str, float], choices: Choices) -> Fold:
    depth = choices["fold_share"] * rough["strip_thickness_before_polishing"]
    found: Fold = saw_fold.plain(choices["fold_angle"], choices.fold_kerf, depth)
    return found


def _money(job: Pattern, carried: Carried, blanks: Sequence[Blank]) -> tuple[price.Quote, bool]:
    """The quote, and whether the piece is heavy enough for a hallmark."""
    taken = sum(b.weight_g for b in blanks)
    leaves = metal_without_solder(carried, taken)
    facts = alloy_facts(job.alloy)
    hallmark = price.hallmark_needed(facts.row["metal"], leaves)
    stages, rates = price.stage_minutes(), price.rates_from(job.choices.__getitem__)
    nut_minutes = stages["plate and hole"][1] + stages["scroll"][1]
    nut = max(carried.results["nut_weight"].value - carried.results["nut_solder_weight"].value, 0.0)
    shares = fine_metals(job.alloy)
    asked = price.quote_plain(taken, leaves, shares, rates, stages, 0.0, hallmark, nut_minutes, nut)
    return asked, hallmark
