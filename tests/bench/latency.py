"""How closely the picture follows the hand: the panel beside its floor and beside the usual way.

Run it on a machine that does nothing else:

    python -m tests.bench.latency [--rounds 4] [--steps 12] [--json FILE]

In every round each notebook is opened anew in a real JupyterLab in headless Chromium, in turn and in changing
order, warmed up, stepped by key, and dragged for two seconds. A step's lag runs from the key event to the
first task after the frame that shows the final picture; a drag's from the last move of the hand. All is
measured on two servers, as JupyterLab comes and with the course's no-delay setting. Printed are medians,
95th percentiles and ratios within this run; milliseconds from another machine mean nothing.
"""

import argparse
import json
import tempfile
import time
from contextlib import ExitStack
from pathlib import Path
from statistics import median
from typing import Any

import psutil
from playwright.sync_api import Browser

from tests.browser.lab import Lab, OpenNotebook, open_browser
from tests.browser.moves import ninety_fifth, one_drag, one_step
from tests.browser.notebooks import FLOOR, PANEL, USUAL, write_notebook

KINDS = {"floor": FLOOR, "usual": USUAL, "panel": PANEL}
WARM_UP = 4


def main() -> None:
    """Measure, and print the figures."""
    said = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    said.add_argument("--rounds", type=int, default=4)
    said.add_argument("--steps", type=int, default=12)
    said.add_argument("--json", type=Path)
    asked = said.parse_args()
    found: dict[str, dict[str, list[Any]]] = {}
    with tempfile.TemporaryDirectory() as folder, ExitStack() as stack:
        root = Path(folder) / "root"
        root.mkdir()
        for kind, cells in KINDS.items():
            write_notebook(root / f"{kind}.ipynb", cells)
        labs = {}
        for name, at_once in (("no delay", True), ("as it comes", False)):
            scratch = Path(folder) / name.replace(" ", "-")
            scratch.mkdir()
            labs[name] = stack.enter_context(Lab(root, scratch, at_once))
        browser = stack.enter_context(open_browser())
        for turn in range(asked.rounds):
            visits = [(server, kind) for server in labs for kind in KINDS]
            for server, kind in visits if turn % 2 == 0 else reversed(visits):
                wait_for_quiet()
                each = found.setdefault(f"{kind}, {server}", {"steps": [], "drags": []})
                visit(browser, labs[server], kind, asked.steps, each)
                print(f"round {turn + 1}: {kind}, {server}", flush=True)
    print_figures(found)
    if asked.json:
        kept = {
            name: {k: [vars(v) for v in values] for k, values in both.items()} for name, both in found.items()
        }
        asked.json.write_text(json.dumps(kept, indent=1))


def wait_for_quiet(limit: float = 20, share: float = 0.3) -> None:
    """Wait, not for ever, for a second in which the machine is nearly idle."""
    end = time.monotonic() + limit
    while time.monotonic() < end and psutil.cpu_percent(1.0) / 100 * (psutil.cpu_count() or 1) > share:
        pass


def visit(browser: Browser, lab: Lab, kind: str, steps: int, found: dict[str, list[Any]]) -> None:
    """Open one notebook, warm it up, and measure its steps and a drag."""
    notebook = OpenNotebook(browser, lab, f"{kind}.ipynb")
    try:
        notebook.run_all()
        notebook.page.wait_for_selector(".jp-OutputArea .noUi-handle", timeout=60_000)
        notebook.page.wait_for_timeout(800)
        handles = notebook.page.locator(".jp-OutputArea .noUi-handle")
        handle = handles.nth(0 if kind == "usual" else 1)
        handle.evaluate("e => e.scrollIntoView({block: 'start'})")
        for _ in range(WARM_UP):
            one_step(notebook, handle)
        found["steps"] += [one_step(notebook, handle) for _ in range(steps)]
        found["drags"].append(one_drag(notebook, handle, quiet=1500 if kind == "usual" else 700))
    finally:
        notebook.close()
        lab.end_kernels()


def print_figures(found: dict[str, dict[str, list[Any]]]) -> None:
    """The table of medians, and the ratios that matter."""
    heads = ("moves", "median", "95 %", "kB", "drag", "pict/s", "right", "bare", "jump")
    print("\n" + " " * 22 + "".join(f"{head:>8s}" for head in heads))
    for name, both in sorted(found.items()):
        steps, drags = both["steps"], both["drags"]
        lags = [step.lag for step in steps]
        bare = sum(each.bare for each in [*steps, *drags])
        jump = max(each.jump for each in [*steps, *drags])
        figures = (
            f"{len(lags)}", f"{median(lags):.1f}", f"{ninety_fifth(lags):.1f}",
            f"{median(step.bytes for step in steps) / 1000:.1f}", f"{median(d.lag for d in drags):.1f}",
            f"{median(d.a_second for d in drags):.1f}", f"{sum(d.right for d in drags)}/{len(drags)}",
            f"{bare}", f"{jump:.3f}",
        )  # fmt: skip
        print(f"{name:22s}" + "".join(f"{figure:>8s}" for figure in figures))
    for server in ("no delay", "as it comes"):
        floor, usual, panel = (found[f"{kind}, {server}"] for kind in ("floor", "usual", "panel"))
        of = {
            name: [s.lag for s in both["steps"]] for name, both in (("f", floor), ("u", usual), ("p", panel))
        }
        drag = [median(d.lag for d in both["drags"]) for both in (floor, usual, panel)]
        print(
            f"{server}: panel / floor {median(of['p']) / median(of['f']):.2f} at the median (aim 1.2), "
            f"{ninety_fifth(of['p']) / ninety_fifth(of['f']):.2f} at the 95th percentile (aim 1.5); "
            f"usual / panel {median(of['u']) / median(of['p']):.1f} (aim 8); "
            f"drag: panel / floor {drag[2] / drag[0]:.2f} (aim 1.3), usual / panel {drag[1] / drag[2]:.1f}"
        )


if __name__ == "__main__":
    main()
