"""Notebooks made for a test: the panel, the floor beneath it, and the usual way."""

from pathlib import Path

import nbformat

_SET_UP = """
from course_lib.classroom.notebook import demo_job
from course_lib.screen.panel import Panel, stage_panel
from course_lib.screen.stages.basket import STAGE
plan = demo_job().plan()
"""

# the panel of the course
PANEL = [_SET_UP, "stage_panel(STAGE, plan)"]

# the same panel, sending as much, and drawing nothing: no panel can be faster
FLOOR = [
    _SET_UP,
    """
class Floor(Panel):
    def _show(self):
        if not hasattr(self, "much"):
            super()._show()
            self.much = len(self.page.value)
        wide = 400 + 100 * self.values["claw"]
        box = f"<rect width='{wide:.1f}' height='90'/>"
        # as many letters as the panel sends; the page passes over them
        said = f"<svg width='690' height='420'>{box}</svg><!--"
        self.page.value = said + "x" * (self.much - len(said)) + "-->"

Floor(STAGE(plan))
""",
]

# what most courses do: `interact`, and a new pyplot figure at every move. It shows the same: three views,
# every mark of the drawing in its look, axes as pyplot makes them, and the table.
USUAL = [
    _SET_UP,
    """
%matplotlib inline
import matplotlib.pyplot as plt
import pandas as pd
from ipywidgets import FloatSlider, interact
from matplotlib.patches import Circle, Polygon
from course_lib.screen.sheet import LINE_STYLES, Sheet

stage = STAGE(plan)
start = stage.pattern_values()
control = next(c for c in stage.controls() if c.key == "claw")
""",
    """
def put(axes, mark):
    if mark.kind == "lettering":
        text, size, bold, ink, side, turned, _ = mark.looks
        axes.text(*mark.points, text, fontsize=size, rotation=turned, ha=side, color=ink, clip_on=True)
        return
    look = mark.looks[0]
    dashes = (0, LINE_STYLES[look.style]) if LINE_STYLES[look.style] else "-"
    line = {"lw": look.width, "ls": dashes, "zorder": mark.layer}
    if mark.kind == "line":
        axes.plot(*mark.points.T, color=look.ink, **line)
    elif mark.kind == "circle":
        x, y, across = mark.points
        axes.add_patch(Circle((x, y), across / 2, fc=look.fill or "none", ec=look.ink, **line))
    else:
        axes.add_patch(Polygon(mark.points, fc=look.fill or "none", ec=look.ink or "none", **line))
""",
    """
views = {"cut through the middle": (0, 85, 0, 80), "from above": (85, 150, 30, 84), "culet": (85, 150, 0, 30)}

def show(claw):
    seen, sheet = stage.see(start | {"claw": claw}), Sheet(*stage.paper)
    stage.draw_still(sheet)
    stage.draw(sheet, seen)
    figure, axes = plt.subplots(1, 3, figsize=(9, 4.3))
    for each, (title, (left, right, low, high)) in zip(axes, views.items()):
        for mark in sheet.marks():
            x, y = mark.points.ravel()[:2]
            if left <= x < right and low <= y < high:
                put(each, mark)
        each.set(xlim=(left, right), ylim=(low, high), aspect="equal", title=title)
    plt.show()
    display(pd.DataFrame(seen.rows, columns=["what", "much"]))
""",
    """
wire = FloatSlider(value=control.pattern, min=control.least, max=control.most, step=control.step,
                   description=control.label)
interact(show, claw=wire);
""",
]


def write_notebook(path: Path, cells: list[str]) -> Path:
    book = nbformat.v4.new_notebook()
    book.metadata["kernelspec"] = {"name": "python3", "display_name": "Python 3", "language": "python"}
    book.cells = [nbformat.v4.new_code_cell(cell.strip("\n")) for cell in cells]
    for at, cell in enumerate(book.cells):
        cell["id"] = f"cell-{at}"
    nbformat.write(book, path)
    return path
