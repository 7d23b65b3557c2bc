"""The panel of lesson 12: rounds and bars counted anew, its curve read back, and what it warns of."""

import math
from dataclasses import replace

import numpy as np
import pytest

from course_lib.bench.imagined import COMPARED, MANY, imagine, spreads_of
from course_lib.classroom.pieces.job_in_hand import JobInHand, demo_job, demo_names
from course_lib.classroom.pieces.own_numbers import made_up_jobs
from course_lib.screen.sheet import SIGNAL, Sheet
from course_lib.screen.stage import Figure, figure_of
from course_lib.screen.stages.pair import EVEN, PairStage, imagined_for

from .drawn import crossing, off_the_paper

PIECES = {name: demo_job(name) for name in demo_names()} | {job.title: job for job in made_up_jobs(3)}
ARC = math.tan(math.radians(1 / 60))
STAGES: dict[str, PairStage] = {}


def stage_of(name: str = "four claws") -> PairStage:
    if name not in STAGES:
        STAGES[name] = PairStage(PIECES[name].plan())
    return STAGES[name]


def drawn(stage: PairStage, **moved: float | str) -> tuple[object, Sheet]:
    seen = stage.see({**stage.pattern_values(), **moved})
    sheet = Sheet(*stage.paper)
    stage.draw(sheet, seen)
    return seen, sheet


def texts(stage: PairStage, **moved: float | str) -> str:
    return " ".join(str(remark) for remark in stage.see({**stage.pattern_values(), **moved}).warnings)


def crosses(sheet: Sheet) -> int:
    """Crosses on the sheet: strokes of the one line in the signal ink, two to a cross."""
    marks = [m for m in sheet.marks() if m.kind == "line" and m.looks[0].ink == SIGNAL]
    assert len(marks) == 1
    points = marks[0].points
    return int(np.isfinite(points[:, 0]).sum()) // 4


def bars(sheet: Sheet, layer: float = 2) -> list[float]:
    """How long the bars are on the paper; those of layer 2.2 lie within those of layer 2."""
    areas = [mark for mark in sheet.marks() if mark.kind == "area" and mark.layer == layer]
    assert {float(mark.points[:, 0].min()) for mark in areas} == {108.0}
    assert all(mark.points[:, 0].max() <= 141.01 for mark in areas)
    return [float(np.ptp(mark.points[:, 0])) for mark in areas]


@pytest.mark.parametrize("name", PIECES)
@pytest.mark.parametrize(
    ("moved", "factors"),
    [
        ({}, (1, 1, 500)),
        ({"distance": 300.0}, (1, 1, 300)),
        ({"sight": 2.0}, (1, 1, 1000)),  # twice the angle is twice the distance
        ({"care": 50.0, "gauge": 200.0}, (0.5, 2, 500)),
    ],
)
def test_rounds_and_bars_are_what_is_counted_on_other_draws(
    name: str, moved: dict[str, float], factors: tuple[float, float, float]
) -> None:
    """Sizes drawn anew, with other numbers, from the standard deviations alone."""
    stage = stage_of(name)
    seen, sheet = drawn(stage, **moved)
    care, gauge, distance = factors
    draw, wide = np.random.default_rng(77), spreads_of(stage.plan)
    off = np.array(
        [
            care * each.by_hand * draw.standard_normal(60_000)
            + gauge * each.by_gauge * draw.standard_normal(60_000)
            for each in wide.values()
        ]
    )
    told_apart = np.abs(off) >= distance * ARC
    passing = 100 * float((~told_apart).all(axis=0).mean())
    # claws and ring hang together a little, and these draws do not
    assert 100 - crosses(sheet) == pytest.approx(passing, abs=1.7)
    alone = 100 * (told_apart & (told_apart.sum(axis=0) == 1)).mean(axis=1)
    found = [100 * seen.made.chance.costs[key] for key in COMPARED]  # type: ignore[attr-defined]
    assert found == pytest.approx(list(alone), abs=1.0)
    found = [100 * seen.made.chance.seen[key] for key in COMPARED]  # type: ignore[attr-defined]
    assert found == pytest.approx(list(100 * told_apart.mean(axis=1)), abs=1.0)


@pytest.mark.parametrize("moved", [{}, {"distance": 150.0}, {"care": 200.0}, {"distance": 1500.0}])
def test_bars_are_as_long_as_the_figures_beside_them(moved: dict[str, float]) -> None:
    seen, sheet = drawn(stage_of(), **moved)
    chance = seen.made.chance  # type: ignore[attr-defined]
    often, alone = ([100 * found[key] for key in COMPARED] for found in (chance.seen, chance.costs))
    assert len(bars(sheet)) == len(COMPARED) == 13
    numbers = [m for m in sheet.marks() if m.kind == "lettering" and m.points[1] < 10]
    last = max(numbers, key=lambda m: m.points[0])
    scale = (last.points[0] - 108) / float(last.looks[0])
    assert bars(sheet) == pytest.approx([scale * each for each in often], abs=1e-6)
    assert bars(sheet, 2.2) == pytest.approx([scale * each for each in alone], abs=1e-6)
    told = [m.looks[0] for m in sheet.marks() if m.kind == "lettering"]
    for each in often:
        assert (f"{each:.1f}" if each >= 0.05 else "0") in told
    still = Sheet(*stage_of().paper)
    stage_of().draw_still(still)
    assert crossing(still, sheet) == [] and off_the_paper(still, sheet) == []


def test_a_longer_bar_means_more_while_the_scale_stays() -> None:
    """From 500 mm to 480: the scale has the same end, and every bar grows."""
    lengths = []
    for distance in (500.0, 480.0):
        _, sheet = drawn(stage_of(), distance=distance)
        lengths.append(max(bars(sheet)))
    assert lengths[1] > 1.05 * lengths[0]


def test_twice_the_care_on_one_size_shortens_its_bar_alone() -> None:
    stage = stage_of()
    options = stage.controls()[-1].options  # type: ignore[union-attr]
    assert options[0] == EVEN and len(options) == 6
    before = stage.see(stage.pattern_values()).made.chance
    for label in options[1:]:
        name = next(key for key, text in COMPARED.items() if text == label)
        after = stage.see({**stage.pattern_values(), "most": label}).made.chance
        assert after.seen[name] < 0.75 * before.seen[name]
        assert all(after.seen[key] == before.seen[key] for key in COMPARED if key != name)
        assert before.passes < after.passes <= before.passes + before.costs[name] + 1e-9


def test_what_it_warns_of() -> None:
    stage = stage_of()
    assert texts(stage) == ""
    assert "so near" in texts(stage, distance=200.0) and "so near" not in texts(stage, distance=260.0)
    assert "More than half" in texts(stage, distance=300.0)
    assert "Measure better" in texts(stage, gauge=300.0, care=50.0)
    assert "Measure better" not in texts(stage, gauge=300.0, care=200.0)


def test_the_duplicates_are_imagined_once_for_panel_and_drawings() -> None:
    stage = stage_of()
    assert imagined_for(stage.plan) is PairStage(stage.plan).imagined
    assert stage.imagined.by_hand.shape == (13, MANY) and MANY >= 100_000


@pytest.mark.parametrize("name", PIECES)
def test_the_curve_can_be_read_back_on_its_scales(name: str) -> None:
    """The height of the drawn curve, on the scales as drawn, is what is counted one by one."""
    stage = stage_of(name)
    figure = figure_of(PairStage, stage.plan, "far")
    assert isinstance(figure, Figure)
    curve = max((m.points for m in figure.sheet.marks() if m.kind == "line"), key=len)
    numbered = [
        (float(m.looks[0]), m.points)
        for m in figure.sheet.marks()
        if m.kind == "lettering" and m.looks[0].isdigit()
    ]
    low = min(point[1] for _, point in numbered)
    across = {value: point[0] for value, point in numbered if point[1] == low}
    up = {value: point[1] for value, point in numbered if point[0] == min(p[0] for _, p in numbered)}
    fit_x = np.polyfit(list(across.values()), list(across), 1)
    # figures of the upright scale stand a little under their line, all alike: the curve ends at all pairs
    fit_y = np.polyfit(list(up.values()), list(up), 1)
    lift = curve[0, 1] - (0 - fit_y[1]) / fit_y[0]
    made = imagine(stage.plan)
    off = np.abs(made.by_hand + made.by_gauge)
    for x, y in curve[::30]:
        distance = np.polyval(fit_x, x)
        passes = 100 * (off < distance * ARC).all(axis=0).mean()
        assert np.polyval(fit_y, y - lift) == pytest.approx(passes, abs=0.3)
    assert np.polyval(fit_y, curve[-1, 1] - lift) > 98.5


def from_afar(distance: float) -> JobInHand:
    job = demo_job()
    return replace(
        job, choices=replace(job.choices, numbers={**job.choices.numbers, "viewing_distance": distance})
    )


@pytest.mark.parametrize("distance", [200.0, 2000.0])
def test_from_very_near_and_from_very_far_all_is_drawn(distance: float) -> None:
    stage = PairStage(from_afar(distance).plan())
    for control in stage.controls():
        if hasattr(control, "least"):
            assert control.least <= control.pattern <= control.most
    _, sheet = drawn(stage)
    still = Sheet(*stage.paper)
    stage.draw_still(still)
    assert crossing(still, sheet) == [] and off_the_paper(still, sheet) == []
    for name, figure in stage.figures().items():
        shown = figure()
        assert crossing(shown.sheet) == [] and off_the_paper(shown.sheet) == [], name


def test_the_heap_has_its_limits_between_columns_and_holds_them_all() -> None:
    stage = stage_of()
    shown = stage.figures()["one size"]()
    off = np.abs(imagine(stage.plan).off("claw_tip"))
    assert f"Of 100 duplicates {100 * (off < 500 * ARC).mean():.0f} have claws" in shown.words
    columns = [m for m in shown.sheet.marks() if m.kind == "area" and m.layer == 2]
    grey = [m for m in columns if m.looks[0].fill != "#ffffff"]
    limits = sorted(
        {
            float(m.points[0, 0])
            for m in shown.sheet.marks()
            if m.kind == "line" and m.looks[0].style == "dashed"
        }
    )
    edges = [float(m.points[:, 0].min()) for m in grey] + [float(m.points[:, 0].max()) for m in grey]
    assert [min(edges), max(edges)] == pytest.approx(limits)
    heights = [float(np.ptp(m.points[:, 1])) for m in columns]
    hidden = sum(float(np.ptp(m.points[:, 1])) for m in grey) / sum(heights)
    assert hidden == pytest.approx((off < 500 * ARC).mean(), abs=0.001)


def test_whiskers_lie_as_their_words_say() -> None:
    """A wholly inside the grey, B and C across its edges, D wholly outside."""
    shown = stage_of().figures()["guard"]()
    box = next(m.points for m in shown.sheet.marks() if m.kind == "area" and m.layer == 1)
    left, right = box[:, 0].min(), box[:, 0].max()
    found = []
    for mark in (m for m in shown.sheet.marks() if m.kind == "line" and m.layer == 5):
        ends = mark.points[np.isfinite(mark.points[:, 0]), 0]
        inside = [left <= x <= right for x in (ends.min(), ends.max())]
        found.append("inside" if all(inside) else "across" if any(inside) else "outside")
    assert found == ["inside", "across", "across", "outside"]
    for name, word in zip("ABCD", found, strict=True):
        told = next(part for part in shown.words.split("; ") if f"{name}:" in part)
        assert word in told
