"""Several learners at work at once on a real hub, and nobody's answers in another's record."""

import json
import os
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from course_lib.classroom.pieces.own_numbers import code_from, job_of

from .room import TOP, Room, proxy_path

pytestmark = pytest.mark.skipif(
    proxy_path() is None and os.environ.get("HUB_TESTS") != "must",
    reason="the hub's proxy is not on this computer: npm install configurable-http-proxy, or name it in "
    "HUB_PROXY",
)

LEARNERS = {name: code_from("usual", f"a test of the hub: {name}") for name in ("wilma", "karl", "ines")}
_OPEN = """
from course_lib.classroom.notebook import my_job, open_lesson
job = my_job({code!r})
lesson = open_lesson("07", job)
"""


@pytest.fixture(scope="module", name="room")
def _room(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Room]:
    with Room(tmp_path_factory.mktemp("hub")) as room:
        yield room


def work(room: Room, name: str) -> list[str]:
    """Open lesson 07 on one's own earring, and answer: wrong, then right, twelve times over."""
    seat = room.seat(name)
    seat.run(_OPEN.format(code=LEARNERS[name]))
    said = []
    for turn in range(12):
        said.append(seat.run(f'lesson.ask("wire", "{turn + 1}.5 mm").text'))
    job = job_of(LEARNERS[name])
    said.append(seat.run(f'lesson.ask("wire", "{job.plan().plain("ring_length"):.2f} mm").text'))
    said.append(seat.run("lesson.standing()"))
    return said


def records(home: Path) -> list[dict[str, str]]:
    file = home / "my-answers" / "answers.jsonl"
    return [json.loads(line) for line in file.read_text("utf-8").splitlines()]


def test_several_learners_work_at_once_and_nobody_writes_into_anothers_record(room: Room) -> None:
    before = sorted(path.name for path in (TOP / "lessons").iterdir())
    with ThreadPoolExecutor(len(LEARNERS)) as together:
        said = dict(zip(LEARNERS, together.map(lambda name: work(room, name), LEARNERS), strict=True))
    for name, code in LEARNERS.items():
        assert "Right." in said[name][-2] and "1 of 7" in said[name][-1]
        kept = records(room.homes / name)
        digest = job_of(code).digest
        assert len(kept) == 13
        assert {each["digest"] for each in kept} == {digest}
        assert [each["answer"] for each in kept[:12]] == [f"{turn + 1}.5 mm" for turn in range(12)]
    assert len({records(room.homes / name)[-1]["answer"] for name in LEARNERS}) == len(LEARNERS)
    # the shared lessons are as they were
    assert sorted(path.name for path in (TOP / "lessons").iterdir()) == before
