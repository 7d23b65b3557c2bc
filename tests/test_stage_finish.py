"""The panel of lesson 03: layers to scale, the size after each step, and what it warns of."""

from dataclasses import replace

import numpy as np
import pytest

from course_lib.bench.tables import rows_of
from course_lib.classroom.pieces.job_in_hand import JobInHand, demo_job, demo_names
from course_lib.classroom.pieces.own_numbers import made_up_jobs
from course_lib.screen.sheet import INK, PALE, PAPER, Sheet
from course_lib.screen.stage import Figure, figure_of
from course_lib.screen.stages.finish import AS_USUAL, NONE_SKIPPED, FinishStage

from .drawn import crossing, off_the_paper

GRAIN = {row["grade"]: float(row["grain_um"]) for row in rows_of("abrasives")}
PIECES = {name: demo_job(name) for name in demo_names()} | {job.title: job for job in made_up_jobs(12)}
# What the panel calls each stock, and what the plan does.
STOCKS = {
    "back plate": "back plate", "scroll strip": "scroll", "gallery ring wire": "gallery ring",
    "claw wire": "claw", "post wire": "post",
}  # fmt: skip


def stage_of(job: JobInHand | None = None) -> FinishStage:
    return FinishStage((job or demo_job()).plan())


def texts(stage: FinishStage, **moved: float | str) -> str:
    return " ".join(str(remark) for remark in stage.see({**stage.pattern_values(), **moved}).warnings)


@pytest.mark.parametrize("name", PIECES)
@pytest.mark.parametrize("stock", STOCKS)
def test_the_panel_stops_where_the_card_does(stock: str, name: str) -> None:
    """The card is worked by hand in tests/worked_example; panel and card must not differ."""
    stage = stage_of(PIECES[name])
    made = stage.see({**stage.pattern_values(), "part": stock}).made
    blank = next(b for b in stage.plan.blanks if b.part == STOCKS[stock])
    assert made.stop == pytest.approx(blank.stock_mm)
    assert made.before == pytest.approx(blank.before_sanding_mm)
    assert made.sizes[-2] == pytest.approx(blank.before_polishing_mm)
    assert made.sizes[-1] == pytest.approx(blank.finished_mm)


def test_the_size_after_each_step() -> None:
    """A third of each grain off each face, from the finished size upward, typed step by step."""
    stage = stage_of()
    seen = stage.see({**stage.pattern_values(), "mop": 7.0, "size": 110.0})
    size = 1.1 * stage.plan.job.readings["plate_thickness"].value
    shown = dict(seen.rows)
    assert shown["after the mop: finished"] == f"{size:.3f} mm"
    size += 2 * 0.007
    assert shown["after P2500, before the mop"] == f"{size:.3f} mm"
    for grade, above in (
        ("P2500", "after P1500"), ("P1500", "after P1000"), ("P1000", "after P600"), ("P600", "after P400"),
        ("P400", "before the papers"),
    ):  # fmt: skip
        size += 2 * 0.33 * GRAIN[grade] / 1000
        assert shown[above] == f"{size:.3f} mm"


@pytest.mark.parametrize("skipped", ["P600", "P1000", "P1500"])
def test_a_paper_left_out_of_the_middle_is_a_leap(skipped: str) -> None:
    stage = stage_of()
    assert "leap" not in texts(stage)
    assert "leap" in texts(stage, skip=skipped)
    assert skipped not in stage.see({**stage.pattern_values(), "skip": skipped}).made.ladder


def test_common_practice_of_doubling_the_number_at_most() -> None:
    """From P320 to P600 is less than double, and no leap; from P320 to P1000 is more."""
    stage = stage_of()
    assert stage.see({**stage.pattern_values(), "start": "P320"}).made.ladder[:2] == ("P320", "P400")
    assert "leap" not in texts(stage, start="P320", skip=NONE_SKIPPED)
    assert "P400 to P1000 is a leap" in texts(stage, start="P320", skip="P600")
    other = replace(demo_job().choices, papers=("P320", "P600", "P1200"))
    assert "leap" not in texts(stage_of(replace(demo_job(), choices=other)))


def test_what_the_mop_does() -> None:
    stage = stage_of()
    assert "rounds every edge" in texts(stage, mop=20.0) and "rounds" not in texts(stage, mop=10.0)
    assert "marks of the last paper" in texts(stage, mop=0.0)


def test_a_hole_that_leaves_too_much_asks_for_a_coarser_paper_as_the_card_does() -> None:
    stage = stage_of(demo_job("three claws"))
    said = texts(stage, part="gallery ring wire")
    assert "The next hole, 0.80 mm, leaves 12 µm more on every side" in said
    made = stage.see({**stage.pattern_values(), "part": "gallery ring wire"}).made
    # what those papers take, typed anew, is enough within the tenth that a rule of thumb is good for
    needed = (0.80 - made.finished) / 2 * 1000 - 5
    assert 0.33 * sum(GRAIN[grade] for grade in made.needed) >= 0.9 * needed
    assert f"begin with {made.needed[0]}" in said


def test_a_wire_thicker_than_every_hole_is_bought() -> None:
    stage = stage_of()
    stage.read["claw wire"] = 3.2
    seen = stage.see({**stage.pattern_values(), "part": "claw wire"})
    assert any(remark.stop and "Buy the wire" in str(remark) for remark in seen.warnings)


def layers_in(sheet: Sheet) -> list[float]:
    """Heights of the layers that are still there, in mm of the sheet, the lowest first."""
    return [
        float(np.ptp(mark.points[:, 1]))
        for mark in sheet.marks()
        if mark.kind == "area" and mark.layer == 1.9 and mark.looks[0].ink == INK
    ]


@pytest.mark.parametrize("name", PIECES)
def test_layers_are_drawn_to_the_scale_that_is_said(name: str) -> None:
    stage = stage_of(PIECES[name])
    for start in stage.starts:
        seen = stage.see({**stage.pattern_values(), "start": start, "mop": stage.most_mop})
        sheet = Sheet(*stage.paper)
        stage.draw(sheet, seen)
        assert layers_in(sheet) == pytest.approx([takes * stage.scale for takes in reversed(seen.made.takes)])
        assert off_the_paper(sheet) == []
        assert max(mark.points[:, 1].max() for mark in sheet.marks() if mark.kind == "area") < 88


def test_step_by_step_the_layers_go() -> None:
    stage = stage_of()
    names = stage.see(stage.pattern_values()).steps["step"]
    left = []
    for at in range(len(names)):
        seen = stage.see({**stage.pattern_values(), "step": at})
        sheet = Sheet(*stage.paper)
        stage.draw(sheet, seen)
        left.append(len(layers_in(sheet)))
        assert f"it measures {seen.made.sizes[at]:.3f} mm" in seen.words.split("Step")[1]
    assert left == [6, 5, 4, 3, 2, 1, 0]


WORKSHOPS: dict[str, dict[str, object]] = {
    "usual": {},
    "two papers, a hard mop": {"papers": ("P600", "P1200"), "numbers": {"polishing": 0.05}},
    "one paper": {"papers": ("P1000",), "post_papers": ("P1000",)},
    "very coarse": {"papers": ("P80", "P150", "P280", "P500", "P1000", "P2000"), "post_papers": ("P80",)},
    "every paper": {"papers": tuple(GRAIN)},
    "no mop": {"numbers": {"polishing": 0.0}},
}


def in_workshop(name: str) -> FinishStage:
    job, changed = demo_job(), dict(WORKSHOPS[name])
    numbers = {**job.choices.numbers, **changed.pop("numbers", {})}  # type: ignore[dict-item]
    return stage_of(replace(job, choices=replace(job.choices, numbers=numbers, **changed)))  # type: ignore[arg-type]


@pytest.mark.parametrize("workshop", WORKSHOPS)
def test_other_papers_and_mops_are_drawn_too(workshop: str) -> None:
    stage = in_workshop(workshop)
    seen = stage.see(stage.pattern_values())
    still, moving = Sheet(*stage.paper), Sheet(*stage.paper)
    stage.draw_still(still)
    stage.draw(moving, seen)
    assert crossing(still, moving) == [] and off_the_paper(still, moving) == []
    assert len(seen.rows) <= 14
    assert seen.rows[-2] == ("after the mop: finished", f"{seen.made.finished:.3f} mm")
    for name, figure in stage.figures().items():
        assert crossing(figure().sheet) == [] and off_the_paper(figure().sheet) == [], name


@pytest.mark.parametrize("workshop", WORKSHOPS)
def test_the_post_can_be_read_off_its_picture(workshop: str) -> None:
    """The upper edge of the layers, on the scale as drawn and numbered, is what the exercise expects."""
    stage = in_workshop(workshop)
    figure = figure_of(FinishStage, stage.plan, "post layers")
    assert isinstance(figure, Figure)
    numbered = {
        float(mark.looks[0].split()[0]): float(mark.points[1])
        for mark in figure.sheet.marks()
        if mark.kind == "lettering" and mark.looks[0].endswith("µm")
    }
    values, places = np.array(list(numbered)), np.array(list(numbered.values()))
    slope, start = np.polyfit(places, values, 1)
    # figures stand half their height under their line
    half = places[0] - min(
        mark.points[:, 1].max() for mark in figure.sheet.marks()
        if mark.kind == "area" and mark.looks[0].fill == PAPER and mark.looks[0].width > 1
    )  # fmt: skip
    layers = [m for m in figure.sheet.marks() if m.kind == "area" and m.layer == 1.9]
    top = max(mark.points[:, 1].max() for mark in layers)
    choices = stage.plan.job.choices
    expected = 0.33 * sum(GRAIN[grade] for grade in choices.post_papers) + 1000 * choices["polishing"]
    assert slope * (top + half) + start == pytest.approx(expected, abs=0.01)
    assert expected <= max(values) + values[1] - values[0]
    assert f"{expected:.0f}" not in figure.words
    assert {mark.looks[0].fill for mark in layers} <= {PALE, PAPER}


def test_the_first_paper_as_usual_is_the_jobs_own() -> None:
    stage = stage_of()
    assert stage.starts[0] == AS_USUAL and stage.papers[0] in stage.starts
    post = stage.see({**stage.pattern_values(), "part": "post wire"}).made
    assert post.ladder == ("P1500", "P2500")
    assert (
        stage.see({**stage.pattern_values(), "part": "post wire", "start": "P600"}).made.ladder[0] == "P600"
    )
