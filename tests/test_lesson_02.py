"""Lesson 02: sheets whose balance disagrees or was never read, and its numbers worked again from outside."""

import math
from dataclasses import replace
from statistics import fmean, stdev

import pytest
from iapws import IAPWS95
from scipy.optimize import brentq
from scipy.stats import t as student

from course_lib.bench.metal import weight_in_water
from course_lib.bench.refusals import Refused
from course_lib.bench.tables import data_folder, rows_of
from course_lib.bench.units import quantity
from course_lib.classroom.exercises.course import find_lesson
from course_lib.classroom.exercises.exercise import text_for
from course_lib.classroom.exercises.judge import Found
from course_lib.classroom.exercises.lesson_check import faults_of_lesson
from course_lib.classroom.exercises.lessons.lesson_02 import SHORT, fine_to_mend, weights_shown
from course_lib.classroom.pieces.job_in_hand import JobInHand, demo_job, demo_names

from .published_values import worked_example

LESSON = find_lesson("02")
WEIGHT, BALANCE, ALLOY, MARK = (LESSON.exercise(name) for name in ("weight", "balance", "alloy", "mark"))
WEIGHED = "piece,weight,g,fine balance,0.435,0.434,0.435,clean and dry and without its nut\n"


def four_claws(weight_row: str) -> JobInHand:
    """The demo of four claws with another weight, or none."""
    sheet = (data_folder() / "demo-four-claws.csv").read_text("utf-8-sig")
    assert WEIGHED in sheet
    found = JobInHand.from_text(sheet.replace(WEIGHED, weight_row))
    assert isinstance(found, JobInHand)
    return found


# The demo's sizes make 0.433 g; the balance and the sizes together leave 0.008 g open.
SHEETS = {
    "agrees": WEIGHED,
    "differs": "piece,weight,g,fine balance,0.465,0.464,0.465,\n",
    "unknown": "",
}


@pytest.mark.parametrize("right", SHEETS)
def test_the_balance_agrees_differs_or_was_never_read(right: str) -> None:
    job = four_claws(SHEETS[right])
    assert BALANCE.expected(job) == right
    assert faults_of_lesson(LESSON, job) == []
    for choice in BALANCE.choices(job):
        verdict = BALANCE.judged(choice, job)
        assert verdict.is_right == (choice == right)
        if choice != right:
            assert verdict.found is Found.SLIP and verdict.says


def test_doubts_of_balance_and_sizes_as_a_learner_would_square_them() -> None:
    """The band of the balance from its three readings, its step and its limit of error; JCGM 100:2008."""
    readings, step, limit = (0.435, 0.434, 0.435), 0.001, 0.0006
    doubts = (stdev(readings) / math.sqrt(3), step / 2 / math.sqrt(3), limit)
    whole = math.hypot(*doubts)
    freedom = 2 * (whole / doubts[0]) ** 4  # Welch and Satterthwaite: only the scatter has few degrees
    own = 1000 * whole * student.ppf(0.975, freedom)
    job = four_claws(WEIGHED)
    assert f"0.435 g, give or take {own:.1f} mg" in text_for(BALANCE.task, job)
    weight = job.plan().plain("earring_weight")
    last = text_for(BALANCE.working, job).splitlines()
    assert f"{1000 * abs(fmean(readings) - weight):.1f} mg apart" in last[0]
    assert last[1].endswith(f"= {math.hypot(7.4, own):.1f} mg") and "they agree" in last[2]
    assert "do not agree" in text_for(BALANCE.working, four_claws(SHEETS["differs"]))
    assert "weigh the pattern" in text_for(BALANCE.working, four_claws(""))


@pytest.mark.parametrize("demo", demo_names())
def test_slips_of_the_post_are_what_their_sentences_say(demo: str) -> None:
    job = demo_job(demo)
    thick, long = job.readings["post_wire"].value, job.readings["post_length"].value
    right = WEIGHT.number(WEIGHT.expected(job))
    slips = {slip.name: slip.value(job) for slip in WEIGHT.slips}
    dense = 1000 * right / (math.pi / 4 * thick**2 * long)
    assert slips["thickness for half of it"] == pytest.approx(math.pi * thick**2 * long * dense / 1000)
    assert slips["a square wire"] == pytest.approx(thick**2 * long * dense / 1000)
    assert slips["weight of water"] == pytest.approx(math.pi / 4 * thick**2 * long / 1000)
    assert slips["volume left in mm³"] == pytest.approx(1000 * right)


@pytest.mark.parametrize("alloy", [row["alloy"] for row in rows_of("alloys")])
def test_fine_metal_before_and_after_is_the_same_for_every_alloy(alloy: str) -> None:
    """Both sums of the lesson, found by trial: so much that the share of fine metal comes out right."""
    job = replace(demo_job(), alloy=alloy)
    fine = next(float(row["fineness"]) for row in rows_of("alloys") if row["alloy"] == alloy) / 1000
    down = brentq(lambda more: 10 / (10 + more) - fine, 0, 100)
    assert ALLOY.number(ALLOY.expected(job)) == pytest.approx(down, abs=1e-6)
    short = fine - SHORT / 1000
    up = brentq(lambda more: (10 * short + more) / (10 + more) - fine, 0, 100)
    assert fine_to_mend(job) == pytest.approx(up, abs=1e-6)
    assert f"{up:.2f} g of fine" in text_for(MARK.working, job)
    assert faults_of_lesson(LESSON, job) == []


def test_what_each_part_should_weigh_is_shown_with_the_pattern_where_it_was_weighed() -> None:
    rows = {row[0]: row[1:] for row in weights_shown(demo_job()).rows}
    parts = ("gallery ring", "claws", "post", "solder in the setting", "stone")
    together = float(rows["earring without its nut"][0].split()[0])
    assert sum(float(rows[part][0].split()[0]) for part in parts) == pytest.approx(together, abs=0.003)
    assert rows["earring without its nut"][2] == "0.435 g" and rows["claws"][2] == ""
    assert weights_shown(four_claws("")).rows[5][3] == ""


@pytest.mark.parametrize("demo", demo_names())
def test_the_metals_of_an_alloy_stand_in_one_row(demo: str) -> None:
    """Between commas in the task and between pluses in the working, as the tables have them."""
    job, density = demo_job(demo), LESSON.exercise("density")
    elements = {row["element"]: row for row in rows_of("elements")}
    mix = next(row["composition_percent"] for row in rows_of("alloys") if row["alloy"] == job.alloy).split()
    metals = [(share, elements[element]) for element, share in zip(mix[::2], mix[1::2], strict=True)]
    told = [f"{share} % {row['name']} ({float(row['density_g_cm3']):.2f} g/cm³)" for share, row in metals]
    sums = [f"{share} / {float(row['density_g_cm3']):.2f}" for share, row in metals]
    assert f"By weight it holds {', '.join(told)}; in" in text_for(density.task, job)
    assert f"its density: {' + '.join(sums)} = " in text_for(density.working, job)


# --- hanging in water ---


@pytest.mark.parametrize("density", ["15.45", "13.65", "11.2"])
def test_published_loss_of_a_gram_in_water(density: str) -> None:
    loss, tolerance = worked_example(f"loss in water a gram, {density} g/cm3, 20 degC")
    shown = weight_in_water(
        quantity(1.0, "gram"), quantity(float(density), "g/cm**3"), quantity(20, "degC"),
        air_density=quantity(0.0, "g/cm**3"),
    )  # fmt: skip
    assert 1000 - shown.m_as("mg") == pytest.approx(loss, abs=tolerance)


@pytest.mark.parametrize("temperature", [5, 20, 35])
def test_a_bubble_carries_the_water_that_it_pushes_aside(temperature: float) -> None:
    """Against the water of IAPWS-95: lump and bubble each push their own volume aside."""
    water = IAPWS95(T=temperature + 273.15, P=0.101325).rho / 1000
    lump = (quantity(7.3, "gram"), quantity(13.65, "g/cm**3"), quantity(temperature, "degC"))
    clean, clings = weight_in_water(*lump), weight_in_water(*lump, bubble=quantity(14.0, "mm**3"))
    assert (clean - clings).m_as("mg") == pytest.approx(14.0 * (water - 0.0012), abs=1e-3)


def test_what_floats_shows_nothing() -> None:
    with pytest.raises(Refused, match=r"weight_in_water: density came as 0.9 .*floats"):
        weight_in_water(quantity(1.0, "gram"), quantity(0.9, "g/cm**3"), quantity(20, "degC"))
