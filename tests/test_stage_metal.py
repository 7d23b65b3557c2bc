"""The panel of lesson 02: shares, weights and weighings, each worked again; and what it warns of."""

import math

import numpy as np
import pytest

from course_lib.classroom.pieces.job_in_hand import demo_job, demo_names
from course_lib.classroom.pieces.own_numbers import made_up_jobs
from course_lib.screen.sheet import Sheet
from course_lib.screen.stages.metal import AS_SHEET, MetalStage

# Periodictable 2.1.0, as data/elements.csv says; g/cm3.
DENSE = {"Au": 19.3, "Ag": 10.5, "Cu": 8.96, "Zn": 7.133, "Pd": 12.02, "Pt": 21.45, "Ni": 8.902}
PIECES = {name: demo_job(name) for name in demo_names()} | {job.title: job for job in made_up_jobs(12)}


def stage_of(name: str = "four claws") -> MetalStage:
    return MetalStage(PIECES[name].plan())


def texts(stage: MetalStage, **moved: float | str) -> str:
    return " ".join(str(remark) for remark in stage.see({**stage.pattern_values(), **moved}).warnings)


@pytest.mark.parametrize("name", PIECES)
def test_at_the_pattern_the_parts_add_up_to_what_the_plan_weighs(name: str) -> None:
    stage = stage_of(name)
    made = stage.see(stage.pattern_values()).made
    assert made.earring == pytest.approx(stage.plan.plain("earring_weight"), abs=1e-9)
    assert made.parts["post"] == pytest.approx(stage.plan.plain("post_weight"), abs=1e-9)
    assert "disagrees" not in texts(stage)
    assert made.found == pytest.approx(made.density, abs=made.doubt)
    assert sum(made.by_volume.values()) == pytest.approx(1)


@pytest.mark.parametrize("fineness", [300, 585, 750, 999])
@pytest.mark.parametrize(("mixed", "element"), [("silver", "Ag"), ("copper", "Cu"), ("nickel", "Ni")])
def test_weight_and_room_of_two_metals(fineness: float, mixed: str, element: str) -> None:
    """A hundred grams of two metals, in the cylinder: each fills its own room."""
    stage = stage_of()
    made = stage.see({**stage.pattern_values(), "fineness": fineness, "mixed": mixed}).made
    gold, other = fineness / 10 / DENSE["Au"], (100 - fineness / 10) / DENSE[element]
    assert made.density == pytest.approx(100 / (gold + other))
    assert made.by_volume["Au"] == pytest.approx(gold / (gold + other))
    assert made.shares == pytest.approx({"Au": fineness / 1000, element: 1 - fineness / 1000})


def test_a_thicker_wire_weighs_more_by_its_square() -> None:
    stage = stage_of()
    start = stage.pattern_values()
    before, thick = stage.see(start).made.parts, start["post"]
    after = stage.see({**start, "post": 1.1 * thick, "ring": 1.1 * start["ring"]}).made.parts
    long = stage.plan.job.readings["post_length"].value
    dense = stage.see(start).made.density
    more = math.pi / 4 * thick**2 * (1.1**2 - 1) * long * dense / 1000
    assert after["post"] - before["post"] == pytest.approx(more)
    inside, wire = stage.plan.job.readings["ring_inside"].value, start["ring"]
    # Pappus: the round area times the way of its middle
    torus = [math.pi / 4 * w**2 * math.pi * (inside + w) for w in (wire, 1.1 * wire)]
    assert after["gallery ring"] - before["gallery ring"] == pytest.approx(
        (torus[1] - torus[0]) * dense / 1000
    )


def test_what_the_balance_shows_of_a_lump() -> None:
    """Twenty grams of 585 yellow are so many cm3; the water carries that, to a division of the balance."""
    stage = stage_of()
    made = stage.see({**stage.pattern_values(), "scrap": 20.0, "water": 25.0}).made
    room = 20 / made.density
    assert made.scrap - made.in_water == pytest.approx(room * 0.997047, abs=0.003)  # water: Tanaka, 25 degC
    assert round(made.in_water * 1000, 6).is_integer()


def test_a_light_lump_tells_nothing_and_a_heavy_one_does() -> None:
    stage = stage_of()
    assert "tells nothing" in texts(stage, scrap=0.2)
    assert "tells nothing" not in texts(stage, scrap=10.0)
    doubts = [stage.see({**stage.pattern_values(), "scrap": scrap}).made.doubt for scrap in (1.0, 10.0)]
    assert doubts[0] == pytest.approx(10 * doubts[1], rel=0.05)


def test_a_bubble_makes_it_seem_lighter() -> None:
    stage = stage_of()
    assert "bubble carries 14 mg" in texts(stage, bubble=3.0)  # pi / 6 x 27 mm3 of water
    assert "bubble" not in texts(stage)


def test_nickel_stops_and_a_mark_is_a_least_value() -> None:
    stage = stage_of()
    nickel = stage.see({**stage.pattern_values(), "mixed": "nickel"}).warnings
    assert any(remark.stop and "nickel" in str(remark) for remark in nickel)
    assert "may not carry the fineness mark 585" in texts(stage, fineness=584)
    assert "may not carry" not in texts(stage, fineness=585)


def test_another_alloy_or_a_misread_wire_does_not_agree_with_the_balance() -> None:
    stage = stage_of()
    assert "disagrees" in texts(stage, fineness=750)
    assert "disagrees" in texts(stage, post=1.0)
    seen = stage.see({**stage.pattern_values(), "post": 1.0})
    sheet = Sheet(*stage.paper)
    stage.draw(sheet, seen)
    assert any("does not agree" in str(mark.looks[0]) for mark in sheet.marks() if mark.kind == "lettering")


def test_a_mix_that_the_sheet_has_already_is_not_offered_again() -> None:
    options = {name: stage_of(name).controls()[1].options for name in demo_names()}  # type: ignore[union-attr]
    assert all(AS_SHEET in each for each in options.values())
    assert "copper" not in options["six claws"] and "silver" not in options["six claws"]


def test_lump_and_bubble_are_drawn_to_scale() -> None:
    stage = stage_of()
    seen = stage.see({**stage.pattern_values(), "scrap": 20.0, "bubble": 4.0})
    sheet = Sheet(*stage.paper)
    stage.draw(sheet, seen)
    circles = sorted(mark.points[2] for mark in sheet.marks() if mark.kind == "circle")
    volume = 1000 * 20 / seen.made.density
    assert circles == pytest.approx([4.0, *2 * [(6 * volume / math.pi) ** (1 / 3)]])


@pytest.mark.parametrize("name", demo_names())
def test_each_bar_is_as_long_as_its_part_is_heavy(name: str) -> None:
    stage = stage_of(name)
    seen = stage.see(stage.pattern_values())
    sheet = Sheet(*stage.paper)
    stage._parts(stage._chart(sheet), seen.made)
    wide = [np.ptp(mark.points[:, 0]) for mark in sheet.marks() if mark.kind == "area"]
    weights = [*seen.made.parts.values(), seen.made.earring]
    assert np.array(wide) / sum(wide) == pytest.approx(np.array(weights) / sum(weights))


def test_the_figures_say_what_they_show_but_not_what_is_asked() -> None:
    stage = stage_of()
    words = {name: figure().words for name, figure in stage.figures().items()}
    assert "gold 58.5 %" in words["shares"] and "13.65" not in words["shares"]
    assert "together 0.433" in words["parts"] and "0.435" in words["parts"]
    assert not any(sign.isdigit() for sign in words["water"])
