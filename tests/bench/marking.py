"""How long marking takes, and how much memory: python -m tests.bench.marking [20 200 2000 20000]

Every file is the hand-in of another learner and holds 80 answers: three in four right, the others slips that
the course knows or guesses. Printed are the time a file for all of marking (judging, ledger, mark list,
report) and for merely reading and parsing the same files, each in a fresh Python; and the most memory that
Python held. What each learner's answers should be is worked out once a set work, and timed apart: for the
large classes the keys of forty real jobs are used again and again under other codes.
"""

import json
import random
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

from course_lib.classroom.exercises.course import lesson_numbers
from course_lib.classroom.exercises.exercise import Exercise
from course_lib.classroom.pieces.learner_code import code_from
from course_lib.classroom.pieces.own_numbers import job_of, sheet_of
from course_lib.classroom.school.class_keys import LearnersKey, key_of
from course_lib.classroom.school.marking import Marks
from course_lib.classroom.school.work_record import (
    Given,
    SetWork,
    asked_in,
    read_record,
    write_record,
)
from tests.invented_class import hand_in_of

ANSWERS, JOBS, SIZES = 80, 40, (20, 200, 2_000, 20_000)
DUE = datetime.now(UTC) - timedelta(days=1)

MARK = """
import resource, sys, time
from pathlib import Path
from course_lib.classroom.school.work_record import read_record
from course_lib.classroom.school.class_figures import class_figures
from course_lib.classroom.school.class_report import report_page
from course_lib.classroom.school.mark_list import write_mark_list, write_not_marked
from course_lib.classroom.school.marking import mark

def most_memory():
    # what the system counts for a program takes over what the one that started it had; this does not
    said = Path("/proc/self/status")
    if said.exists():
        return int(said.read_text().split("VmHWM:")[1].split()[0])
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss

place = Path(sys.argv[1])
before = most_memory()
start = time.perf_counter()
marks = mark(place / "in", read_record(place / "set-work.json"), place / "marks")
judged = time.perf_counter()
write_mark_list(marks, place / "marks" / "mark-list.csv")
write_not_marked(marks, place / "marks" / "not-marked.csv")
(place / "marks" / "report.html").write_bytes(report_page(marks, class_figures(marks)))
done = time.perf_counter()
assert not marks.not_marked and len(marks.counted) == int(sys.argv[2]), marks.not_marked[:3]
print(judged - start, done - judged, before, most_memory())
"""

MERELY_READ = """
import json, os, sys, time
start = time.perf_counter()
for entry in os.scandir(sys.argv[1]):
    with open(entry.path, "rb") as file:
        json.loads(file.read())
print(time.perf_counter() - start)
"""


def answers_of(asked: list[tuple[str, Exercise]], code: str) -> list[dict[str, str]]:
    """Eighty answers for the job of a code."""
    job, rng = job_of(code), random.Random(code)
    tries, now = [], DUE - timedelta(days=1)
    for lesson, exercise in asked:
        values = [exercise.expected(job)]
        values += [value for slip in exercise.slips if (value := slip.value(job)) is not None]
        value = values[0] if rng.random() < 0.75 else rng.choice(values)
        answer = exercise.written(value, job)
        now += timedelta(seconds=rng.randint(20, 200))
        found = exercise.judged(answer, job)
        tries.append(
            {
                "lesson": lesson, "exercise": exercise.name, "answer": answer, "verdict": str(found.found),
                "slip": found.slip, "seen": "", "time": now.isoformat(timespec="seconds"),
            }
        )  # fmt: skip
    return tries


def made_ready(place: Path, count: int, asked: list[tuple[str, Exercise]]) -> float:
    """Write a record, its keys and the hand-ins; return the seconds that one learner's key took."""
    codes = [code_from("usual", f"bench {at}") for at in range(JOBS)]
    sheets, tries = [sheet_of(code) for code in codes], [answers_of(asked, code) for code in codes]
    start = time.perf_counter()
    keys = [key_of([each for _, each in asked], job_of(code)) for code in codes[:20]]
    took = (time.perf_counter() - start) / 20
    keys += [key_of([each for _, each in asked], job_of(code)) for code in codes[20:]]
    lines = [LearnersKey.line_of(key) for key in keys]
    given = list({code_from("usual", f"learner {at}"): at for at in range(count + count // 100 + 1)})[:count]
    learners = tuple(
        Given(str(at), f"Learner {at}", code, job_of(codes[at % JOBS]).digest if at < JOBS else "")
        for at, code in enumerate(given)
    )
    digests = [each.digest for each in learners[:JOBS]]
    learners = tuple(
        Given(each.number, each.name, each.code, digests[at % JOBS]) for at, each in enumerate(learners)
    )
    names = tuple((lesson, each.name) for lesson, each in asked)
    work = SetWork("Bench", names, learners, DUE)
    of_all, choices = range(count), [job_of(code).choices for code in codes]
    write_record(
        work,
        [sheets[at % JOBS] for at in of_all],
        [choices[at % JOBS] for at in of_all],
        [keys[at % JOBS] for at in of_all],
        place / "set-work.json",
    )
    (place / "in").mkdir()
    for at, each in enumerate(learners):
        content = hand_in_of(each, tries[at % JOBS], DUE - timedelta(hours=2))
        (place / "in" / f"hand-in-{each.code}.json").write_bytes(content)
    (place / "marks").mkdir()
    marks = Marks(read_record(place / "set-work.json"), place / "marks")
    for at, each in enumerate(learners):
        marks.keys.put(each.code, lines[at % JOBS])
    marks.close()
    return took


def run(program: str, *arguments: object) -> list[float]:
    """Run a program in a fresh Python and return the numbers that it prints."""
    command = [sys.executable, "-c", program, *map(str, arguments)]
    ran = subprocess.run(command, capture_output=True, text=True, check=False)
    if ran.returncode:
        raise RuntimeError(ran.stderr)
    return [float(word) for word in ran.stdout.split()]


def main() -> None:
    """Print a line a size."""
    asked = [each for each in asked_in(lesson_numbers(), [], []) if not each[1].ticks][:ANSWERS]
    print("   files   judging   all of it   merely reading   ratio   memory at start   most   marked again")
    for count in [int(word) for word in sys.argv[1:]] or SIZES:
        place = Path(tempfile.mkdtemp())
        try:
            key = made_ready(place, count, asked)
            run(MERELY_READ, place / "in")  # once for the disk
            reading = min(run(MERELY_READ, place / "in")[0] for _ in range(3))
            judged, rest, before, most = run(MARK, place, count)
            again = sum(run(MARK, place, count)[:2])
        finally:
            shutil.rmtree(place)
        whole = judged + rest
        print(
            f"{count:8d}{1e6 * judged / count:7.0f} us{1e6 * whole / count:9.0f} "
            f"us{1e6 * reading / count:14.0f} us"
            f"{whole / reading:8.1f}{before / 1024:13.0f} MB{most / 1024:7.0f} "
            f"MB{1e6 * again / count:11.0f} us"
        )
    print(f"The key of one learner, {ANSWERS} exercises, once an work: {1e3 * key:.0f} ms")
    print(f"(this program itself: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB)")
    print(f"A file holds {len(json.dumps(answers_of(asked, code_from('usual', 'x')))) / 1000:.0f} kB.")


if __name__ == "__main__":
    main()
