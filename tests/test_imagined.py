"""Imagined duplicates: against the normal distribution, counted by hand, and at both ends."""

import math
from statistics import NormalDist

import numpy as np
import pytest

from course_lib.bench.imagined import COMPARED, MANY, Imagined, chance_to_pass, imagine, passes_by_normal
from course_lib.bench.refusals import Refused
from course_lib.bench.tables import table_by
from course_lib.classroom.job_in_hand import demo_job, demo_names


@pytest.fixture(params=demo_names(), name="imagined")
def _imagined(request) -> Imagined:
    return imagine(demo_job(request.param).plan())


def spread(key: str) -> float:
    return float(table_by("maker_scatter", "size")[key]["spread_mm"])


def test_a_hundred_thousand_and_more_are_imagined_and_always_the_same(imagined: Imagined) -> None:
    assert MANY >= 100_000 and imagined.by_hand.shape == (MANY, len(COMPARED))
    first, again = (imagine(demo_job().plan(), 500) for _ in range(2))
    assert np.array_equal(first.by_hand, again.by_hand) and np.array_equal(first.by_gauge, again.by_gauge)


@pytest.mark.parametrize("demo", demo_names())
def test_each_size_scatters_as_the_table_and_the_sheet_say(demo: str) -> None:
    """Standard deviations; claw to claw by the rule for independent doubts (JCGM 100:2008, 5.1.2)."""
    job = demo_job(demo)
    made = imagine(job.plan())
    hand = dict(zip(made.names, made.by_hand.std(axis=0), strict=True))
    gauge = dict(zip(made.names, made.by_gauge.std(axis=0), strict=True))
    for key in set(made.names) & set(job.readings):
        assert hand[key] == pytest.approx(spread(key), rel=0.02)
        assert gauge[key] == pytest.approx(job.readings[key].standard_uncertainty, rel=0.02)
    across = 1.0 if job.claws % 2 == 0 else math.sin(math.pi / job.claws)
    # the bearing twice across; of the wire, half on each side of the girdle circle, twice
    wire = across + 1
    expected = math.hypot(2 * across * spread("bearing_cut"), wire * spread("claw_wire"))
    assert hand["claw_spread"] == pytest.approx(expected, rel=0.02)


@pytest.mark.parametrize("visible", [0.03, 0.06, 0.145])
def test_independent_sizes_pass_as_often_as_the_product_of_their_own_chances(visible: float) -> None:
    """Other draws than the course uses, against the normal distribution of the standard library."""
    spreads = [0.02, 0.05, 0.08]
    draw = np.random.default_rng(3)
    off = draw.standard_normal((200_000, 3)) * spreads
    made = Imagined(("a", "b", "c"), off, np.zeros_like(off))
    expected = math.prod(2 * NormalDist(0, s).cdf(visible) - 1 for s in spreads)
    found = chance_to_pass(made, visible)
    assert found.passes == pytest.approx(expected, abs=4 * math.sqrt(0.25 / 200_000))
    # without the widest size, those fail less often by just what it costs
    without = math.prod(2 * NormalDist(0, s).cdf(visible) - 1 for s in spreads[:2])
    assert found.passes + found.costs["c"] == pytest.approx(without, abs=0.005)
    assert found.dearest == "c"


def test_the_demo_passes_about_as_often_as_the_product_of_single_sizes(imagined: Imagined) -> None:
    """The sizes of an earring hang together a little (wire and claw to claw), so this holds only nearly."""
    both = imagined.by_hand + imagined.by_gauge
    expected = math.prod(passes_by_normal(float(s), 0.1) for s in both.std(axis=0))
    assert chance_to_pass(imagined, 0.1).passes == pytest.approx(expected, abs=0.03)


def test_from_very_near_none_passes_and_from_very_far_all(imagined: Imagined) -> None:
    assert chance_to_pass(imagined, 1e-4).passes < 0.001
    assert chance_to_pass(imagined, 2.0).passes == 1.0


def test_more_care_passes_more_often_and_the_gauge_sets_the_end(imagined: Imagined) -> None:
    chances = [chance_to_pass(imagined, 0.1, care).passes for care in (2.0, 1.0, 0.5, 0.0)]
    assert chances == sorted(chances)
    gauge_alone = (np.abs(imagined.by_gauge) < 0.1).all(axis=1).mean()
    assert chances[-1] == pytest.approx(gauge_alone)


def test_care_can_be_spent_on_one_size(imagined: Imagined) -> None:
    even = chance_to_pass(imagined, 0.1)
    spent = chance_to_pass(imagined, 0.1, {even.dearest: 0.5})
    assert even.passes < spent.passes <= even.passes + even.costs[even.dearest] + 1e-9


def test_fewer_than_two_are_refused() -> None:
    with pytest.raises(Refused, match="two duplicates or more"):
        imagine(demo_job().plan(), 1)


def test_one_size_alone_by_the_normal_distribution() -> None:
    assert passes_by_normal(1.0, 1.959964) == pytest.approx(0.95, abs=1e-6)  # the usual table value
    assert passes_by_normal(0.0, 0.1) == 1.0
