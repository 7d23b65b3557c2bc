"""The workshop drawing of the whole piece: to its written scale, and nothing over anything else."""

import numpy as np
import pytest

from course_lib.classroom.pieces.job_in_hand import demo_job, demo_names
from course_lib.screen.whole_drawing import whole_drawing

from .drawn import crossing, letterings, off_the_paper


@pytest.mark.parametrize("demo", demo_names())
def test_the_drawing_is_to_scale_and_can_be_read(demo: str) -> None:
    plan = demo_job(demo).plan()
    sheet = whole_drawing(plan).sheet
    assert crossing(sheet) == [] and off_the_paper(sheet) == []
    texts = [text for text, _ in letterings(sheet)]
    scale = int(texts[0].split(", ")[1].split(" : ")[0])
    wide = [np.ptp(mark.points[:, 0]) for mark in sheet.marks() if mark.kind == "area"]
    tall = [np.ptp(mark.points[:, 1]) for mark in sheet.marks() if mark.kind == "area"]
    read = plan.job.readings
    assert any(each == pytest.approx(scale * read["stone_diameter"].value) for each in wide)
    assert any(each == pytest.approx(scale * read["post_length"].value) for each in tall)
    for size in ("stone_diameter", "claw_wire", "ring_wire", "post_length", "plate_diameter"):
        assert any(f"{read[size].value:.2f}" in text for text in texts), size


def test_its_words_name_every_part() -> None:
    words = whole_drawing(demo_job().plan()).words
    for part in ("claws", "stone", "gallery ring", "post", "plate", "scroll"):
        assert part in words
