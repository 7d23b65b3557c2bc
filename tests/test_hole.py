"""The hole in the back plate, and the gentle heat that frees the plate from its template."""

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from course_lib.bench.hole import drill_for
from course_lib.bench.plate import disc_blank, plate_volume
from course_lib.bench.refusals import NoDrill, Refused
from course_lib.bench.tables import numbers_of, practice
from course_lib.bench.units import quantity, size
from tests.published_values import published

UNHURRIED = settings(max_examples=150, deadline=None)
STOCKED = numbers_of("drills", "diameter_mm")


def mm(value: float) -> object:
    return quantity(value, "mm")


@pytest.mark.parametrize("row", published("metric_drills"), ids=lambda r: r["mm"])
def test_stocked_sizes(row: dict[str, str]) -> None:
    assert float(row["mm"]) in STOCKED


def test_the_hole_frees_the_post_by_a_hair_and_no_more() -> None:
    """Common practice: a hair is a few hundredths of a millimetre; the next drill down would not free it."""
    for hundredths in range(70, 121):
        post = hundredths / 100
        chosen = drill_for(mm(post), mm(practice("hole_least")), mm(practice("hole_most")))
        clearance = chosen.clearance.m_as("mm")
        assert practice("hole_least") - 1e-9 <= clearance <= 0.07 + 1e-9
        assert chosen.drill.m_as("mm") - post == pytest.approx(clearance)
        smaller = [d for d in STOCKED if d < chosen.drill.m_as("mm") - 1e-9]
        assert max(smaller) < post + practice("hole_least")


def fewest_steps(drills: list[int], last: int, step: int) -> int | None:
    """From the finished hole back, all drills that could come before, until one can start in the solid."""
    reached, count = {last}, 1
    while reached:
        if min(reached) <= 2 * step:
            return count
        reached = {d for d in drills for after in reached if after - step <= d < after}
        count += 1
    return None


@UNHURRIED
@given(
    st.lists(st.integers(40, 200), min_size=1, max_size=25, unique=True),
    st.integers(60, 150),
    st.integers(0, 10),
    st.integers(0, 15),
    st.integers(5, 60),
)
def test_the_smallest_drill_that_will_do(
    drills: list[int], post: int, least: int, more: int, step: int
) -> None:
    """In whole hundredths of a millimetre there is no rounding; try every drill."""
    most = least + more
    right = [d for d in drills if least <= d - post <= most]
    call = (mm(post / 100), mm(least / 100), mm(most / 100), [mm(d / 100) for d in drills], mm(step / 100))
    if not right:
        with pytest.raises(NoDrill, match="no drill between") as refusal:
            drill_for(*call)
        below = [d for d in drills if d < post + least]
        assert not below or f"{max(below) / 100:g} mm" in str(refusal.value)
        return
    chosen = drill_for(*call)
    assert round(chosen.drill.m_as("mm") * 100) == min(right)
    steps = [round(s.m_as("mm") * 100) for s in chosen.steps]
    assert steps[-1] == min(right) and set(steps) <= set(drills) and steps == sorted(steps)
    assert all(b - a <= step for a, b in itertools.pairwise(steps))
    assert len(steps) == fewest_steps(drills, min(right), step) or steps[0] > 2 * step
    # the pilot is small enough to start with, or nothing smaller could lead to it
    if steps[0] > 2 * step:
        assert not [d for d in drills if steps[0] - step <= d < steps[0]]


def test_limits_are_counted_in() -> None:
    drills = [size("0.92 mm"), size("1.00 mm")]
    assert drill_for(size("0.9 mm"), size("0.02 mm"), size("0.1 mm"), drills).drill.m_as("mm") == 0.92
    assert drill_for(size("0.9 mm"), size("0.03 mm"), size("0.1 mm"), drills).drill.m_as("mm") == 1.00
    with pytest.raises(NoDrill, match=r"nearest.*0\.92 mm and 1 mm.*broach"):
        drill_for(size("0.9 mm"), size("0.03 mm"), size("0.09 mm"), drills)
    with pytest.raises(NoDrill, match="none at all"):
        drill_for(size("0.9 mm"), size("0.03 mm"), size("0.09 mm"), [])
    with pytest.raises(Refused, match="most came as"):
        drill_for(size("0.9 mm"), size("0.1 mm"), size("0.02 mm"), drills)


@UNHURRIED
@given(st.floats(3, 14), st.floats(0, 0.5), st.floats(0, 0.5))
def test_allowances_lie_on_both_sides(diameter: float, file_back: float, saw: float) -> None:
    blank = disc_blank(mm(diameter), mm(file_back), mm(saw)).m_as("mm")
    assert blank / 2 - saw - file_back == pytest.approx(diameter / 2)


def test_a_hole_smaller_than_its_plate() -> None:
    with pytest.raises(Refused, match="hole came as"):
        plate_volume(size("1 mm"), size("0.5 mm"), size("6 mm"))


def test_instant_glue_lets_go_at_about_100_degrees() -> None:
    """Common practice."""
    assert practice("glue_let_go") == pytest.approx(100, abs=10)
