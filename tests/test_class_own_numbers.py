"""Own numbers: ten thousand made-up earrings, each checked anew from what its sheet says."""

import csv
import io
import math
import re
from collections import Counter
from functools import cache
from pathlib import Path
from statistics import mean
from typing import Any

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from course_lib.bench.refusals import Refused
from course_lib.bench.tables import table_by
from course_lib.classroom.pieces import own_numbers
from course_lib.classroom.pieces.job_in_hand import CannotGoOn, JobInHand
from course_lib.classroom.pieces.learner_code import DIFFICULTIES, code_from, difficulty_of, read_code
from course_lib.classroom.pieces.own_numbers import KINDS, PASSES, is_sound, made_up_jobs, my_job, sheet_of

MANY = 10_000
PUBLISHED = Path(__file__).parent / "published"
# Gauges show these steps, in mm and g (data/instruments.csv; a plug gauge shows the shanks of the drills).
STEPS = {"caliper": 0.01, "micrometer": 0.001, "loupe scale": 0.05, "fine balance": 0.001}


def rows_in(sheet: str) -> dict[tuple[str, str], dict[str, str]]:
    return {(row["part"], row["size"]): row for row in csv.DictReader(io.StringIO(sheet))}


def readings_in(row: dict[str, str]) -> list[float]:
    return [float(row[f"reading {at}"]) for at in (1, 2, 3)]


class Seen:
    """What is kept of ten thousand jobs: a row of plain numbers each, and a few words."""

    def __init__(self) -> None:
        self.numbers: dict[str, Any] = {}
        self.counts: Counter[Any] = Counter()
        self.codes: list[str] = []
        self.unsound: list[str] = []


@pytest.fixture(scope="module")
def many() -> Seen:
    """Draw, read and plan ten thousand; the plans are looked at and let go."""
    seen, columns = Seen(), []
    names = list(KINDS)
    for at in range(MANY):
        code = code_from(names[at % 3], f"ten thousand {at}")
        sheet, job = own_numbers._sound_one(code)
        plan = job.plan()
        seen.unsound += [f"{code}: {r}" for r in plan.remarks if r.stop or r.measure]
        seen.codes.append(code)
        columns.append(_numbers_of(sheet, job))
        _count(seen.counts, job, names[at % 3])
    seen.numbers = {key: np.array([row[key] for row in columns]) for key in columns[0]}
    return seen


def _numbers_of(sheet: str, job: JobInHand) -> dict[str, float]:
    rows = rows_in(sheet)
    closed = float(rows["micrometer", "closed reading"]["reading 1"])
    numbers: dict[str, float] = {"claws": float(rows["piece", "claws"]["reading 1"])}
    for (part, size), row in rows.items():
        if row["instrument"] == "eye" or size == "closed reading":
            continue
        each = readings_in(row)
        _hold_to_the_gauge(row["instrument"], each, f"{part}, {size}")
        # the closed gauge's reading is in every one of its readings; a shank is as wide as the hole or less
        off = (
            closed
            if row["instrument"] == "micrometer"
            else -0.015
            if row["instrument"] == "plug gauge"
            else 0
        )
        numbers[f"{part}, {size}"] = mean(each) - off
    numbers["turns"] = float(rows["scroll", "curl turns"]["reading 1"])
    alloy = table_by("alloys", "alloy")[rows["piece", "alloy"]["reading 1"]]
    numbers |= {
        "modulus": 1000 * float(alloy["elastic_modulus_GPa"]),
        "soft": float(alloy["yield_soft_MPa"]),
        "hard": float(alloy["yield_hard_MPa"]),
        "solidus": float(alloy["solidus_degC"]),
        "density": _density(alloy["composition_percent"]),
        "gravity": float(table_by("stones", "gem")[rows["stone", "gem"]["reading 1"]]["specific_gravity"]),
        "hardest": max(heat.flow_degC for heat in (*job.plan().setting_heats, *job.plan().nut_heats)),
        "heats": len(job.plan().setting_heats) + len(job.plan().nut_heats),
        "drill": job.plan().drill,
    }
    return numbers


@cache
def _density(composition: str) -> float:
    """By volumes that add up, with densities of the CRC Handbook (tests/published/element_densities.csv)."""
    words = composition.split()
    with (PUBLISHED / "element_densities.csv").open(encoding="utf-8") as file:
        known = {row["element"]: float(row["handbook_g_cm3"]) for row in csv.DictReader(file)}
    return 100 / sum(
        float(per_cent) / known[symbol] for symbol, per_cent in zip(words[::2], words[1::2], strict=True)
    )


def _hold_to_the_gauge(gauge: str, readings: list[float], called: str) -> None:
    for reading in readings:
        if gauge == "plug gauge":
            assert any(math.isclose(reading, shank) for shank in drills()), (called, reading)
        else:
            steps = reading / STEPS[gauge]
            assert abs(steps - round(steps)) < 1e-6, (called, reading)


@cache
def drills() -> tuple[float, ...]:
    """BS 328, stocked series: 0.2 to 0.98 in steps .00 .02 .05 .08; 1.0 to 2.95 in steps of 0.05."""
    small = [tenth / 10 + more for tenth in range(2, 10) for more in (0.0, 0.02, 0.05, 0.08)]
    return tuple(small + [1 + at / 20 for at in range(40)])


def _count(counts: Counter[Any], job: JobInHand, kind: str) -> None:
    counts[kind, "claws", job.claws] += 1
    counts[kind, "alloy", job.alloy] += 1
    counts[kind, "gem", job.gem] += 1
    for part, run in job.plan().runs.items():
        counts["passes", part, len(run)] += 1
        counts["anneals", part, sum(each.anneal_before for each in run)] += 1


def test_no_plan_of_ten_thousand_stops_or_asks_to_measure_again(many: Seen) -> None:
    assert many.unsound == []


def test_the_stone_sits_in_the_ring_and_its_point_hangs_free(many: Seen) -> None:
    """From the sheet alone: heights are from the underside of the base wires, which lie one claw thick."""
    n = many.numbers
    assert (n["stone, diameter"] > 1.3 * n["gallery ring, inside diameter"]).all()
    assert (n["stone, pavilion depth"] < n["stone, depth"]).all()
    air = n["claw, base to girdle"] - n["claw, wire"] - n["stone, pavilion depth"]
    assert (air > 0.2).all() and (air < 0.8).all()
    assert (n["claw, base to girdle"] > n["claw, base to ring top"] + 0.3).all()
    assert (n["claw, base to ring top"] >= n["claw, wire"] + n["gallery ring, wire"] - 0.02).all()


def test_the_claws_have_room_round_the_ring(many: Seen) -> None:
    n = many.numbers
    outside = n["gallery ring, inside diameter"] + 2 * n["gallery ring, wire"]
    straight_across = outside * np.sin(np.pi / n["claws"])
    assert (straight_across > 1.3 * n["claw, wire"]).all()


def test_a_drill_that_exists_frees_every_post(many: Seen) -> None:
    """Sizes of BS 328; two hundredths to twelve hundredths of play."""
    n = many.numbers
    play = np.array(drills())[None, :] - n["post, wire"][:, None]
    assert ((play >= 0.02 - 1e-9) & (play <= 0.12 + 1e-9)).any(axis=1).all()
    assert np.isin(np.round(n["drill"], 3), np.round(drills(), 3)).all()
    assert (n["back plate, hole"] > n["post, wire"]).all()
    assert (n["post, notch wire"] < n["post, wire"]).all() and (n["post, notch wire"] > 0.6).all()


def test_the_strip_grips_and_springs_back(many: Seen) -> None:
    """A cantilever pushed aside at its end: 3 E t y / (2 L^2) (Bansal, Strength of Materials, 13.1)."""
    n = many.numbers
    thick, aside = n["scroll, strip thickness"], (n["post, wire"] - n["scroll, gap"]) / 2
    assert (aside > 0).all()
    middle = (n["scroll, curl inside diameter"] + thick) / 2
    up = middle + thick * (n["turns"] - 0.75) + 1.5 * thick
    length = up + np.pi * (middle + thick * (n["turns"] - 0.25))
    stress = 1.5 * n["modulus"] * thick * aside / length**2
    assert (stress < n["hard"]).all()


def test_a_knock_does_not_bend_the_post(many: Seen) -> None:
    """A round bar bends for good at yield stress x pi d^3 / 32 / length; soft at its root, one newton."""
    n = many.numbers
    assert (n["soft"] * np.pi * n["post, wire"] ** 3 / 32 / n["post, length"] >= 0.99).all()


def test_every_joint_has_a_solder_that_the_metal_stands(many: Seen) -> None:
    n = many.numbers
    assert (n["heats"] == 6).all()
    assert (n["hardest"] <= n["solidus"] - 10).all()


def test_curls_gap_base_and_plate_fit(many: Seen) -> None:
    n = many.numbers
    thick = n["scroll, strip thickness"]
    # a spiral whose turns touch: half a turn before its end it is half a strip smaller
    curl = n["scroll, curl inside diameter"] + thick * (2 * n["turns"] + 1.5)
    both = 2 * curl + n["scroll, gap"]
    assert (np.abs(both - n["scroll, base length"]) < 0.05 * both).all()
    assert (n["back plate, diameter"] > n["scroll, base length"]).all()


def test_the_balance_agrees_with_the_sizes(many: Seen) -> None:
    """Roughly, from first principles: bars and a ring of round wire, and 0.0018 D^2 H SG carat of stone."""
    n = many.numbers
    ring = (
        np.pi
        * (n["gallery ring, inside diameter"] + n["gallery ring, wire"])
        * _section(n["gallery ring, wire"])
    )
    leg = n["claw, base to girdle"] + n["claw, over the girdle"]
    reach = (n["stone, diameter"] + n["gallery ring, inside diameter"]) / 4 + n["gallery ring, wire"] / 2
    claws = n["claws"] * (leg + reach - n["claw, wire"]) * _section(n["claw, wire"])
    post = n["post, length"] * _section(n["post, wire"])
    stone = 0.2 * 0.0018 * n["stone, diameter"] ** 2 * n["stone, depth"] * n["gravity"]
    grams = (ring + claws + post) * n["density"] / 1000 + stone
    ratio = n["piece, weight"] / grams
    assert (ratio > 0.85).all() and (ratio < 1.15).all(), (ratio.min(), ratio.max())


def _section(wire: Any) -> Any:
    return np.pi / 4 * wire**2


def test_everybody_has_the_same_work(many: Seen) -> None:
    for part, (least, most) in PASSES.items():
        passes = [number for (what, name, number) in many.counts if (what, name) == ("passes", part)]
        anneals = [number for (what, name, number) in many.counts if (what, name) == ("anneals", part)]
        assert least <= min(passes) and max(passes) <= most and most - least <= 4
        assert set(anneals) <= {1, 2}


def test_each_difficulty_shows_all_that_it_is_drawn_from(many: Seen) -> None:
    for name, kind in KINDS.items():
        for what, listed in (("claws", kind.stones), ("alloy", kind.alloys), ("gem", kind.gems)):
            found = {value for (of, said, value) in many.counts if (of, said) == (name, what)}
            assert found == set(listed)


def test_sizes_spread_evenly_enough_that_no_two_jobs_are_alike(many: Seen) -> None:
    keys = [key for key in many.numbers if ", " in key]
    table = np.round(np.array([many.numbers[key] for key in keys]).T, 6)
    assert len(np.unique(table, axis=0)) == len(set(many.codes)) > 0.999 * MANY
    # and not by one size alone: stone, claw and post together already tell all of a large school apart
    chosen = np.array([many.numbers[key] for key in ("stone, diameter", "claw, wire", "post, wire")]).T
    assert len(np.unique(np.round(chosen, 4), axis=0)) > 0.999 * MANY


def test_a_code_leads_to_its_earring_for_ever() -> None:
    """Written down on the day the rules were made. If this fails, no learner's ticket is good."""
    sheets = [sheet_of(code) for code in GOLDEN]
    assert [_short_of(sheet) for sheet in sheets] == list(GOLDEN.values())


def _short_of(sheet: str) -> str:
    rows = rows_in(sheet)
    names = [rows["piece", "alloy"], rows["piece", "claws"], rows["stone", "gem"]]
    sizes = [
        ("stone", "diameter"),
        ("gallery ring", "inside diameter"),
        ("post", "wire"),
        ("piece", "weight"),
    ]
    return "; ".join([row["reading 1"] for row in names] + [rows[size]["reading 2"] for size in sizes])


GOLDEN = {
    "SA80-GE96-K": "925 silver; 4; corundum; 5.96; 3.52; 0.943; 0.503",
    "ZO76-FE15-Z": "375 yellow; 6; almandine; 7.40; 4.71; 0.933; 0.913",
    "FO62-RE65-M": "925 silver; 6; cubic zirconia; 6.98; 4.15; 0.962; 0.836",
    "RU63-TA53-L": "585 pale yellow; 4; opal; 7.15; 4.49; 1.029; 0.750",
    "MU74-TA28-S": "750 palladium white; 3; topaz; 4.54; 2.19; 0.995; 0.381",
}


def test_a_job_is_that_of_its_sheet_and_says_that_it_is_invented() -> None:
    code = code_from("usual", "sheet")
    job = my_job(code.lower())
    assert job.digest == JobInHand.from_text(sheet_of(code)).digest
    assert job.title == f"Made up: {code}" and "invented" in sheet_of(code)
    assert is_sound(job.plan())


def test_made_up_jobs_are_always_the_same_and_of_every_difficulty() -> None:
    one, other = made_up_jobs(6), made_up_jobs(6)
    assert [job.digest for job in one] == [job.digest for job in other]
    assert len({job.digest for job in one}) == 6
    assert made_up_jobs(2, start=4)[1].digest == one[5].digest


def test_what_cannot_be_made_is_refused_as_unsound() -> None:
    sheet = sheet_of(code_from("first", "spoilt"))
    deeper = re.sub(r"(stone,pavilion depth,mm,caliper),[\d.]+,[\d.]+,[\d.]+", r"\1,3.30,3.30,3.30", sheet)
    assert deeper != sheet
    assert not is_sound(JobInHand.from_text(deeper).plan())
    heavy = re.sub(r"(piece,weight,g,fine balance),[\d.]+,[\d.]+,[\d.]+", r"\1,0.9,0.9,0.9", sheet)
    assert not is_sound(JobInHand.from_text(heavy).plan())


# --- the code ------------------------------------------------------------------------------------------

ANY_CODE = st.builds(code_from, st.sampled_from(sorted(DIFFICULTIES.values())), st.text(max_size=20))
SIGNS = "BDFGKLMNPRSTVZAEIOU0123456789"


@given(ANY_CODE)
def test_a_code_is_read_however_it_is_written(code: str) -> None:
    assert read_code(code) == code
    for written in (
        code.lower(),
        code.replace("-", ""),
        code.replace("-", " "),
        f" {code}\n",
        code.replace("0", "o"),
    ):
        assert read_code(written) == code


@given(ANY_CODE, st.integers(0, 8), st.sampled_from(SIGNS))
def test_one_wrong_sign_is_noticed(code: str, at: int, sign: str) -> None:
    signs = list(code.replace("-", ""))
    was, signs[at] = signs[at], sign
    try:
        read = read_code("".join(signs))
    except Refused as refusal:
        assert "ticket" in str(refusal)
    else:
        # only a sign that is read as the very same one does no harm
        assert read == code and (was == sign or {was, sign} <= set("O0I1SZ528BGLDQ6"))


SAME_LOOKING = ({"O", "0"}, {"I", "1"}, {"S", "5"}, {"Z", "2"})


@given(ANY_CODE, st.integers(0, 7))
@example("RU75-DE88-K", 3)
def test_two_signs_that_changed_places_are_noticed(code: str, at: int) -> None:
    signs = list(code.replace("-", ""))
    if signs[at] == signs[at + 1]:
        return
    signs[at], signs[at + 1] = signs[at + 1], signs[at]
    try:
        # O and 0 that changed places are read as what must stand there, and no harm is done
        assert read_code("".join(signs)) == code
        assert {signs[at], signs[at + 1]} in SAME_LOOKING
    except Refused as refusal:
        assert "ticket" in str(refusal)


def test_most_guesses_are_no_code() -> None:
    """Of all that looks like a code, about one in sixty is one: a guess rarely lands in another's work."""
    rng = np.random.default_rng(7)
    kinds = ["BDFGKLMNPRSTVZ", "AEIOU", "0123456789", "0123456789"] * 2 + ["BDFGKLMNPRSTVZ"]
    guesses = ["".join(rng.choice(list(kind)) for kind in kinds) for _ in range(3000)]
    taken = 0
    for guess in guesses:
        try:
            read_code(guess)
        except Refused:
            continue
        taken += 1
    # three of five vowels, and one check letter of fourteen
    assert 0.5 < taken / 3000 / (3 / 5 / 29) < 1.6


@pytest.mark.parametrize(
    "bad", ["", "LO47", "LO47-MI82", "x" * 5000, "LO47-MI82-LR", "\u0000" * 9, None, 7, b"LO47", []]
)
def test_what_is_no_code_is_refused_kindly(bad: Any) -> None:
    with pytest.raises(CannotGoOn) as refusal:
        my_job(bad)
    assert "code" in str(refusal.value) and len(str(refusal.value)) < 300


def test_codes_say_their_difficulty_and_differ() -> None:
    for name in KINDS:
        assert difficulty_of(code_from(name, "x")) == name
    assert len({code_from("usual", str(at)) for at in range(2000)}) > 1990
    with pytest.raises(Refused, match="no difficulty"):
        code_from("impossible", "x")
