"""How many learners a machine holds: memory and start time of each, on a real hub.

    python -m tests.bench.hub [--learners 4]

Needs the proxy (`npm install configurable-http-proxy`, or its path in HUB_PROXY). Memory is what each
server and kernel have for themselves (shared pages not counted), with a lesson and a panel open.
"""

import argparse
import tempfile
import time
from pathlib import Path
from statistics import median

import psutil

from course_lib.classroom.pieces.own_numbers import code_from
from tests.hub.room import Room

_OPEN = """
from course_lib.classroom.notebook import my_job, open_lesson
lesson = open_lesson("08", my_job({code!r}))
lesson.panel()
"""


def main() -> None:
    """Seat learners one after another, and print what each took."""
    said = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    said.add_argument("--learners", type=int, default=4)
    learners = said.parse_args().learners
    with tempfile.TemporaryDirectory() as folder, Room(Path(folder)) as room:
        hub = _own_memory(psutil.Process(room.process.pid))
        begun, memory = [], []
        for at in range(learners):
            start = time.monotonic()
            seat = room.seat(f"learner{at}")
            ready = time.monotonic()
            seat.run(_OPEN.format(code=code_from("usual", f"bench {at}")))
            begun.append((ready - start, time.monotonic() - ready))
            memory.append(_own_memory(psutil.Process(room.process.pid)) - hub - sum(memory))
        free = psutil.virtual_memory().available / 1e6
        print(f"hub and proxy: {hub:.0f} MB")
        print(f"each learner: {median(memory):.0f} MB (server and kernel, a lesson and a panel open)")
        print(
            f"until the server is ready: {median(b for b, _ in begun):.1f} s; until the panel shows: + "
            f"{median(o for _, o in begun):.1f} s"
        )
        print(f"{free:.0f} MB are free here: room for about {free / median(memory):.0f} more at that rate")


def _own_memory(parent: psutil.Process) -> float:
    """What a process and all its children have for themselves, in MB."""
    total = 0
    for process in (parent, *parent.children(recursive=True)):
        try:
            total += process.memory_full_info().uss
        except psutil.NoSuchProcess:
            continue
    return total / 1e6


if __name__ == "__main__":
    main()
