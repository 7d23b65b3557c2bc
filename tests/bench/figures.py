"""Speed, as ratios measured in one run: python -m tests.bench.figures (from the top folder).

Each figure sets our work beside something that anyone can measure on the same machine at the same
moment; only the ratio is worth keeping, for machines differ.
"""

import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from course_lib.bench.job import Job
from course_lib.bench.measuring import coverage
from course_lib.bench.stock import drawing_route
from course_lib.bench.tables import data_folder
from course_lib.bench.units import registry
from tests.bench.by_hand_in_units import one_earring
from tests.test_plan import fixed_of

DEMO = data_folder() / "demo-four-claws.csv"


def seconds(work: Callable[[], object], rounds: int) -> float:
    """The median of several rounds."""
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def imagined_earrings(count: int = 100_000, looped: int = 60) -> str:
    """The inner sums on many earrings at once, against a loop that calls the unit layer for each."""
    from course_lib.bench.whole_piece import work_out

    plan = Job.load(DEMO).plan()
    fixed = fixed_of(plan)
    chance = np.random.default_rng(1)
    drawn = {k: chance.normal(r.value, 0.002 * r.value, count) for k, r in plan.job.readings.items()}
    extra = {"density": 13.65, "specific_gravity": 3.6, "stone_factor": 1.0}
    drawn |= {k: chance.normal(v, 0.001 * v, count) for k, v in extra.items()}
    at_once = seconds(lambda: work_out(drawn, fixed), 5) / count
    singles = [{k: float(v[i]) for k, v in drawn.items()} for i in range(looped)]
    loop = seconds(lambda: [one_earring(each, fixed) for each in singles], 3) / looped
    return (
        f"imagined earrings: {at_once * 1e6:.2f} us each at once, {loop * 1e6:.0f} us each in a loop of "
        f"unit-layer calls: {loop / at_once:.0f} times faster (aim: 200 or more)"
    )


def whole_plan(rounds: int = 200) -> str:
    """A plan with all its quantities, against the time pint takes to make those quantities."""
    job = Job.load(DEMO)
    plan = job.plan()
    pairs = [(q.magnitude, q.units) for s in plan.sizes.values() for q in (s.value, s.standard_uncertainty)]
    make = registry().Quantity

    def fresh() -> None:
        drawing_route.cache_clear()
        coverage.cache_clear()
        _ = job.plan().sizes

    def with_tables() -> None:
        made = job.plan()
        _ = (made.sizes, made.stock, made.passes, made.joints, made.weights)

    pint_alone = seconds(lambda: [make(value, unit) for value, unit in pairs], rounds)
    planned, again, tables = (
        seconds(fresh, rounds),
        seconds(lambda: job.plan().sizes, rounds),
        seconds(with_tables, rounds),
    )
    return (
        f"whole plan, nothing remembered: {planned * 1e3:.2f} ms; pint alone for its {len(pairs)} "
        f"quantities: {pint_alone * 1e3:.2f} ms: {planned / pint_alone:.1f} times (aim: 5 or less); "
        "planned again "
        f"{again / pint_alone:.1f} times; with its four pandas tables {tables / pint_alone:.1f} times"
    )


def process(*words: str) -> float:
    """Seconds that a fresh Python takes."""
    start = time.perf_counter()
    subprocess.run([sys.executable, *words], check=True, capture_output=True, cwd=data_folder().parent)
    return time.perf_counter() - start


def processes(ours: tuple[str, ...], theirs: tuple[str, ...], rounds: int) -> tuple[float, float]:
    """Medians of two commands run turn by turn, after one unmeasured round."""
    pairs = [(process(*ours), process(*theirs)) for _ in range(rounds + 1)][1:]
    return statistics.median(p[0] for p in pairs), statistics.median(p[1] for p in pairs)


def importing(rounds: int = 11) -> str:
    """Every module of the bench against pint."""
    modules = sorted(p.stem for p in (data_folder().parent / "course_lib/bench").glob("[a-z]*.py"))
    ours, theirs = processes(
        ("-c", "import course_lib.bench, " + ", ".join(f"course_lib.bench.{m}" for m in modules)),
        ("-c", "import pint"),
        rounds,
    )
    bare, _ = processes(("-c", "import course_lib.bench"), ("-c", "pass"), 3)
    return (
        f"import of all {len(modules)} modules of the bench: {ours:.3f} s; import pint: {theirs:.3f} s: "
        f"{ours / theirs:.2f} times (aim: 1.3 or less); import course_lib.bench alone: "
        f"{bare / theirs:.2f} times"
    )


def card_process(rounds: int = 7) -> str:
    """The whole card command against importing pyplot."""
    with tempfile.TemporaryDirectory() as folder:
        out = str(Path(folder) / "card.pdf")
        ours, theirs = processes(
            ("-m", "course_lib", "card", str(DEMO), "-o", out), ("-c", "import matplotlib.pyplot"), rounds
        )
    return (
        f"card, whole process: {ours:.2f} s; import pyplot: {theirs:.2f} s: {ours / theirs:.1f} times "
        "(aim: 3 or less)"
    )


def main() -> None:
    """Print every figure."""
    for figure in (imagined_earrings, whole_plan, importing, card_process):
        print(figure())


if __name__ == "__main__":
    main()
