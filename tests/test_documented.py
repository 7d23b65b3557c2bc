"""What README.md and DEVELOPERS.md show whole is run as it stands there."""

import re
from pathlib import Path

import course_lib
from course_lib.classroom.exercises.own_exercises import HUNDRED, load_own, tried
from course_lib.classroom.pieces.own_numbers import made_up_jobs
from tests.hub import room

TOP = Path(course_lib.__file__).resolve().parent.parent
DEVELOPERS = (TOP / "DEVELOPERS.md").read_text(encoding="utf-8")


def shown(after: str) -> str:
    """The first block of code after a heading."""
    block = re.search(
        r"^ *```(?:toml|python)\n(.*?)^ *```$", DEVELOPERS[DEVELOPERS.index(after) :], re.S | re.M
    )
    assert block is not None
    return block[1]


def test_the_teachers_own_exercise_is_sound_on_a_hundred_jobs(tmp_path: Path) -> None:
    (tmp_path / "our-hinge.toml").write_text(shown("### A teacher's own exercise"), encoding="utf-8")
    lesson = load_own(tmp_path / "our-hinge.toml")
    assert [each.name for each in lesson.exercises] == ["knuckle"]
    assert tried(lesson, made_up_jobs(HUNDRED)).sound


def test_the_sizes_of_a_job_are_called_as_the_table_says() -> None:
    [job] = made_up_jobs(1)
    named = (TOP / "data" / "sheet_sizes.csv").read_text(encoding="utf-8").splitlines()
    keys = {line.split(",")[named[0].split(",").index("key")] for line in named[1:]}
    assert set(job.readings) <= keys


def test_the_hub_that_is_tested_is_set_as_administrators_are_told() -> None:
    told = shown("### For whoever runs a JupyterHub")
    for setting in ("Spawner.notebook_dir", "COURSE_ANSWERS", "kernel_websocket_connection_class="):
        assert setting in told and setting in room.CONFIG
