"""Imagined duplicates: against the normal distribution, counted by hand, and at both ends."""

import math
from statistics import NormalDist

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.stats import kstest

from course_lib.bench.imagined import (
    COMPARED,
    MANY,
    Imagined,
    Spread,
    chance_to_pass,
    imagine,
    limit_for,
    passes_by_normal,
    spreads_of,
    worst_of_each,
)
from course_lib.bench.plan import Plan
from course_lib.bench.refusals import Refused
from course_lib.bench.tables import table_by
from course_lib.classroom.pieces.job_in_hand import JobInHand, demo_job, demo_names
from course_lib.classroom.pieces.own_numbers import made_up_jobs

PIECES = {name: demo_job(name) for name in demo_names()} | {job.title: job for job in made_up_jobs(3)}


@pytest.fixture(params=demo_names(), name="imagined", scope="module")
def _imagined(request) -> Imagined:
    return imagine(demo_job(request.param).plan())


def spread(key: str) -> float:
    return float(table_by("maker_scatter", "size")[key]["spread_mm"])


def by_hand_of(job: JobInHand) -> dict[str, float]:
    """Standard deviations by the rule for independent doubts (JCGM 100:2008, 5.1.2), typed from the shapes.

    Claw to claw: of an even number straight across, of an odd number to the next claw. The stone lies in two
    bearings; of the claw's wire a half lies on each side of the girdle circle, twice.
    """
    across = 1.0 if job.claws % 2 == 0 else math.sin(math.pi / job.claws)
    own = {key: spread(key) for key in COMPARED if key in job.readings}
    return own | {
        "claw_spread": math.hypot(
            across * spread("stone_diameter"),
            2 * across * spread("bearing_cut"),
            (1 + across) * spread("claw_wire"),
        ),
        "ring_over_all": math.hypot(spread("ring_inside"), 2 * spread("ring_wire")),
        # a wider curl grows on both sides alike: its middle circle by as much
        "curl_over_all": spread("curl_inside"),
    }


def test_a_hundred_thousand_and_more_are_imagined_and_always_the_same(imagined: Imagined) -> None:
    assert MANY >= 100_000 and imagined.by_hand.shape == (len(COMPARED), MANY)
    first, again = (imagine(demo_job().plan(), 500) for _ in range(2))
    assert np.array_equal(first.by_hand, again.by_hand) and np.array_equal(first.by_gauge, again.by_gauge)


@pytest.mark.parametrize("demo", demo_names())
def test_each_size_scatters_as_the_table_and_the_sheet_say(demo: str) -> None:
    job = demo_job(demo)
    made = imagine(job.plan())
    hand = dict(zip(made.names, made.by_hand.std(axis=1), strict=True))
    gauge = dict(zip(made.names, made.by_gauge.std(axis=1), strict=True))
    assert hand == pytest.approx(by_hand_of(job), rel=0.02)
    for key in set(made.names) & set(job.readings):
        assert gauge[key] == pytest.approx(job.readings[key].standard_uncertainty, rel=0.02)


def test_the_draws_are_normal(imagined: Imagined) -> None:
    """Kolmogorov and Smirnov's test of scipy against the normal distribution, on a tenth of them."""
    for row in (*imagined.by_hand, *imagined.by_gauge):
        some = row[::10].astype(float)
        assert kstest(some / some.std(), "norm").pvalue > 1e-4
        assert abs(some.mean()) < 4 * some.std() / math.sqrt(len(some)) + 2e-3 * some.std()


@pytest.mark.parametrize("name", PIECES)
def test_spreads_worked_out_are_those_of_the_shapes(name: str) -> None:
    job = PIECES[name]
    found = spreads_of(job.plan())
    assert {key: each.by_hand for key, each in found.items()} == pytest.approx(by_hand_of(job), rel=1e-6)
    for key in set(COMPARED) & set(job.readings):
        assert found[key].by_gauge == pytest.approx(job.readings[key].standard_uncertainty, abs=1e-8)


@pytest.mark.parametrize("visible", [0.03, 0.06, 0.145])
def test_independent_sizes_pass_as_often_as_the_product_of_their_own_chances(visible: float) -> None:
    """Other draws than the course uses, against the normal distribution of the standard library."""
    spreads = {"a": 0.02, "b": 0.05, "c": 0.08}
    draw = np.random.default_rng(3)
    off = draw.standard_normal((3, 200_000)) * np.array(list(spreads.values()))[:, None]
    made = Imagined(tuple(spreads), off, np.zeros_like(off))
    single = {key: 2 * NormalDist(0, s).cdf(visible) - 1 for key, s in spreads.items()}
    expected = math.prod(single.values())
    found = chance_to_pass(made, visible)
    give_or_take = 4 * math.sqrt(0.25 / 200_000)
    assert found.passes == pytest.approx(expected, abs=give_or_take)
    for key, chance in single.items():
        assert found.seen[key] == pytest.approx(1 - chance, abs=give_or_take)
        # if it were perfect, the others would decide
        assert found.passes + found.costs[key] == pytest.approx(expected / chance, abs=2 * give_or_take)
    assert found.seen_most == "c" == max(found.costs, key=lambda key: found.costs[key])


def test_counted_duplicate_by_duplicate() -> None:
    """Forty duplicates of five sizes, looked at one by one."""
    draw = np.random.default_rng(11)
    hand, gauge = draw.normal(0, 0.06, (5, 40)), draw.normal(0, 0.03, (5, 40))
    care = {"a": 0.5, "c": 2.0}
    found = chance_to_pass(Imagined(tuple("abcde"), hand, gauge), 0.1, care, 1.5)
    passes, seen, costs = 0, dict.fromkeys("abcde", 0), dict.fromkeys("abcde", 0)
    for piece in range(40):
        off = {
            key: abs(care.get(key, 1.0) * hand[at, piece] + 1.5 * gauge[at, piece])
            for at, key in enumerate("abcde")
        }
        wrong = [key for key, by in off.items() if by >= 0.1]
        passes += not wrong
        for key in wrong:
            seen[key] += 1
            costs[key] += len(wrong) == 1
    assert found.passes == pytest.approx(passes / 40)
    assert found.seen == pytest.approx({key: n / 40 for key, n in seen.items()})
    assert found.costs == pytest.approx({key: n / 40 for key, n in costs.items()})


@pytest.mark.parametrize("share", [0.05, 0.5, 0.9, 0.95])
@pytest.mark.parametrize("demo", demo_names())
def test_counting_and_the_normal_distribution_agree(demo: str, share: float) -> None:
    """Two ways to one limit. Ring and claws hang together a little, so they agree nearly, and no better."""
    plan: Plan = demo_job(demo).plan()
    worst = worst_of_each(imagine(plan))
    assert limit_for(spreads_of(plan), share) == pytest.approx(np.quantile(worst, share), rel=0.01)


@pytest.mark.parametrize("share", [0.1, 0.8, 0.99])
def test_the_limit_by_a_root_of_scipy(share: float) -> None:
    wide = {"a": (0.03, 0.04), "b": (0.02, 0.0), "c": (0.05, 0.01)}

    def passes(limit: float) -> float:
        return math.prod(2 * NormalDist(0, math.hypot(*pair)).cdf(limit) - 1 for pair in wide.values())

    found = limit_for({key: Spread(*pair) for key, pair in wide.items()}, share)
    assert found == pytest.approx(brentq(lambda x: passes(x) - share, 1e-6, 1.0, xtol=1e-12), rel=1e-6)


def test_a_limit_that_cannot_be() -> None:
    for share in (0.0, 1.0, 1.5, math.nan):
        with pytest.raises(Refused, match="between 0 and 1"):
            limit_for({"a": Spread(0.03, 0.0)}, share)
    with pytest.raises(Refused, match="must scatter"):
        limit_for({"a": Spread(0.0, 0.0)}, 0.5)
    with pytest.raises(Refused, match="of 0 sizes"):
        limit_for({}, 0.5)


def test_the_worst_of_each_is_what_decides(imagined: Imagined) -> None:
    worst = worst_of_each(imagined)
    assert (np.diff(worst) >= 0).all() and len(worst) == MANY
    for visible in (0.05, 0.1, 0.2):
        passes = chance_to_pass(imagined, visible).passes
        assert (worst < np.float32(visible)).mean() == pytest.approx(passes, abs=1e-12)


def test_from_very_near_none_passes_and_from_very_far_all(imagined: Imagined) -> None:
    assert chance_to_pass(imagined, 1e-4).passes < 0.001
    assert chance_to_pass(imagined, 2.0).passes == 1.0


def test_more_care_passes_more_often_and_the_gauge_sets_the_end(imagined: Imagined) -> None:
    chances = [chance_to_pass(imagined, 0.1, care).passes for care in (2.0, 1.0, 0.5, 0.0)]
    assert chances == sorted(chances)
    gauge_alone = (np.abs(imagined.by_gauge) < 0.1).all(axis=0).mean()
    assert chances[-1] == pytest.approx(gauge_alone)


def test_a_better_gauge_passes_more_often_and_the_hand_sets_the_end(imagined: Imagined) -> None:
    chances = [chance_to_pass(imagined, 0.1, 1.0, gauge).passes for gauge in (3.0, 1.0, 0.5, 0.0)]
    assert chances == sorted(chances)
    assert chances[-1] == pytest.approx((np.abs(imagined.by_hand) < 0.1).all(axis=0).mean())


def test_how_far_one_size_is_off(imagined: Imagined) -> None:
    off = imagined.off("stone_diameter", 0.5, 2.0)
    assert imagined.names[0] == "stone_diameter"
    assert off[7] == pytest.approx(0.5 * imagined.by_hand[0, 7] + 2.0 * imagined.by_gauge[0, 7])


def test_care_can_be_spent_on_one_size(imagined: Imagined) -> None:
    even = chance_to_pass(imagined, 0.1)
    spent = chance_to_pass(imagined, 0.1, {even.seen_most: 0.5})
    assert even.passes < spent.passes <= even.passes + even.costs[even.seen_most] + 1e-9


def test_fewer_than_two_are_refused() -> None:
    with pytest.raises(Refused, match="two duplicates or more"):
        imagine(demo_job().plan(), 1)


def test_one_size_alone_by_the_normal_distribution() -> None:
    assert passes_by_normal(1.0, 1.959964) == pytest.approx(0.95, abs=1e-6)  # the usual table value
    assert passes_by_normal(0.0, 0.1) == 1.0
