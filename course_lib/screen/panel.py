"""The panel of a stage: sliders and boxes, the drawing, a short table, and what these sizes bring.

One page element holds all that moves, so that drawing, table and warnings always belong together; what
never moves lies under it and is sent once. An impossible size turns its box and says what would do; the
last good drawing stays.
"""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

import ipywidgets as widgets

from course_lib.bench.plan import Plan
from course_lib.bench.refusals import Refused
from course_lib.screen.page_parts import heard_and_seen
from course_lib.screen.pages import part_from
from course_lib.screen.sheet import Sheet
from course_lib.screen.stage import Control, Count, NotDrawn, Pick, Size, Stage, Walk
from course_lib.screen.svg import as_svg, marks_as_svg
from course_lib.screen.typed_size import typed_value, written

_WIDGET = "application/vnd.jupyter.widget-view+json"
_NAMED = {"description_width": "13em"}
_WIDE = "30em"
# within this share of a step, what a slider tells is only its own rounding of the size that was set
_ROUNDED = 0.5 + 1e-6


def stage_panel(stage: type[Stage], plan: Plan) -> "Panel | NotDrawn":
    """The panel of a stage, for one job.

    Args:
        stage: of course_lib.screen.stages.
        plan: of the job.

    Returns:
        The panel, which a notebook shows; or, where the job allows no drawing, a sentence that says why.
    """
    try:
        return Panel(stage(plan))
    except Refused as error:
        return NotDrawn(f"This cannot be shown for your job: {error}")


class Panel:
    """A stage on the page. `rows` are its controls by key, `seen` what it shows now."""

    def __init__(self, stage: Stage) -> None:
        self.stage = stage
        self.values = stage.pattern_values()
        self.seen = stage.see(self.values)
        self._still, self._moving = Sheet(*stage.paper), Sheet(*stage.paper)
        stage.draw_still(self._still)
        self.rows: dict[str, _Row] = {c.key: _row(c, self) for c in stage.controls()}
        self._troubles: dict[str, str] = {}
        self._busy = False
        self.under = _layer(part_from("panel.html", "still", drawing=as_svg(self._still, "")))
        self.page, self.trouble = _layer(), widgets.HTML()
        self.back = widgets.Button(description="Back to the pattern", layout=widgets.Layout(width="12em"))
        self.back.on_click(lambda _: self.set(**stage.pattern_values()))
        parts = [
            *(row.view for row in self.rows.values()),
            self.back,
            self.trouble,
            widgets.GridBox(
                [self.under, self.page],
                layout=widgets.Layout(grid_template_columns="100%", overflow="visible"),
            ),
        ]
        self.view = heard_and_seen(parts)
        self._show()

    def set(self, **values: Any) -> None:
        """Move several at once; the picture is made once."""
        with self._silently():
            self.values.update(values)
            for key, value in values.items():
                self.rows[key].show(value)
        self._troubles.clear()
        self._work()

    def moved(self, key: str, value: Any, exact: bool = False) -> None:
        """One control was moved, or its size typed exactly."""
        if self._busy:
            return
        self.values[key] = value
        self._troubles.pop(key, None)
        # the picture first: the eye is on it, and the box can follow
        self._work()
        with self._silently():
            self.rows[key].show(value, exact)

    def refused(self, key: str, why: str) -> None:
        """What was typed for one control will not do: its box says so, and the last drawing stays."""
        self._troubles[key] = why
        self.rows[key].mark(True)
        self._tell()

    @contextmanager
    def _silently(self) -> Iterator[None]:
        self._busy = True
        try:
            yield
        finally:
            self._busy = False

    def _work(self) -> None:
        try:
            self.seen = self.stage.see(self.values)
        except Refused as error:
            self._troubles[""] = str(error)
        else:
            self._troubles.pop("", None)
            self._show()
        self._tell()

    def _show(self) -> None:
        with self._silently():
            for key, names in self.seen.steps.items():
                self.values[key] = self.rows[key].name_steps(names, self.values[key])
        self.stage.draw(self._moving.begin(), self.seen)
        self._moving.end()
        svg = as_svg(self._moving, self.seen.words, None, marks_as_svg(self._moving))
        self.page.value = part_from(
            "panel.html", "seen", drawing=svg, rows=self.seen.rows, warnings=self.seen.warnings
        )

    def _tell(self) -> None:
        told = part_from("panel.html", "troubles", said=list(self._troubles.values()))
        if self.trouble.value != told:
            self.trouble.value = told

    def __repr__(self) -> str:
        told = [f"{what}: {much}" for what, much in self.seen.rows]
        return "\n".join([self.seen.words, *told, *map(str, self.seen.warnings)])

    def _repr_mimebundle_(self, **_: Any) -> dict[str, Any]:
        return {"text/plain": repr(self), _WIDGET: self.view._repr_mimebundle_()[_WIDGET]}


class _Row:
    """One control on the page."""

    def __init__(self, control: Control, panel: Panel) -> None:
        self.control = control
        self.panel = panel
        self.view: widgets.Widget

    def show(self, value: Any, exact: bool = False) -> None:
        """Show a value without telling the panel."""

    def mark(self, wrong: bool) -> None:
        """Turn the box, or turn it back."""

    def name_steps(self, names: Sequence[str], now: int) -> int:
        """Take over the steps as they are now; returns the step shown."""
        return now


class _SizeRow(_Row):
    control: Size

    def __init__(self, control: Size, panel: Panel) -> None:
        super().__init__(control, panel)
        self.slider = widgets.FloatSlider(
            value=control.pattern, min=control.least, max=control.most, step=control.step,
            description=control.label, readout=False, style=_NAMED, layout=widgets.Layout(width=_WIDE),
        )  # fmt: skip
        self.box = widgets.Text(
            value=written(control, control.pattern), continuous_update=False,
            placeholder=written(control, control.pattern), layout=widgets.Layout(width="8em"),
        )  # fmt: skip
        self.box.add_class("course-box")
        self.slider.observe(self._slid, "value")
        self.box.observe(self._typed, "value")
        self.view = _in_a_row(self.slider, self.box)

    def _slid(self, change: Any) -> None:
        # the page rounds a typed size to the slider's step, and tells so: the size stays as typed
        if abs(change["new"] - self.panel.values[self.control.key]) > _ROUNDED * self.control.step:
            self.panel.moved(self.control.key, change["new"])

    def _typed(self, change: Any) -> None:
        if self.panel._busy:
            return
        try:
            value = typed_value(self.control, change["new"])
        except Refused as error:
            self.panel.refused(self.control.key, str(error))
            return
        self.panel.moved(self.control.key, value, True)

    def show(self, value: Any, exact: bool = False) -> None:
        self.mark(False)
        if abs(self.slider.value - value) > _ROUNDED * self.control.step:
            self.slider.value = value
        self.box.value = written(self.control, value, exact)

    def mark(self, wrong: bool) -> None:
        (self.box.add_class if wrong else self.box.remove_class)("course-wrong")


class _CountRow(_Row):
    control: Count

    def __init__(self, control: Count, panel: Panel) -> None:
        super().__init__(control, panel)
        self.slider = widgets.IntSlider(
            value=control.pattern, min=control.least, max=control.most, description=control.label,
            style=_NAMED, layout=widgets.Layout(width="34em"),
        )  # fmt: skip
        self.slider.observe(lambda change: panel.moved(control.key, change["new"]), "value")
        self.view = self.slider

    def show(self, value: Any, exact: bool = False) -> None:
        self.slider.value = value


class _PickRow(_Row):
    control: Pick

    def __init__(self, control: Pick, panel: Panel) -> None:
        super().__init__(control, panel)
        self.list = widgets.Dropdown(
            value=control.pattern, options=list(control.options), description=control.label, style=_NAMED,
            layout=widgets.Layout(width=_WIDE),
        )  # fmt: skip
        self.list.observe(lambda change: panel.moved(control.key, change["new"]), "value")
        self.view = self.list

    def show(self, value: Any, exact: bool = False) -> None:
        self.list.value = value


class _WalkRow(_Row):
    control: Walk

    def __init__(self, control: Walk, panel: Panel) -> None:
        super().__init__(control, panel)
        self.slider = widgets.IntSlider(
            value=0, min=0, max=0, description=control.label, readout=False, style=_NAMED,
            layout=widgets.Layout(width=_WIDE),
        )  # fmt: skip
        narrow = widgets.Layout(width="7.5em")
        self.before = widgets.Button(description="One back", layout=narrow)
        self.after = widgets.Button(description="Next", layout=narrow)
        self.name = widgets.HTML()
        self.before.on_click(lambda _: self._step(-1))
        self.after.on_click(lambda _: self._step(1))
        self.slider.observe(lambda change: panel.moved(control.key, change["new"]), "value")
        self.view = _in_a_row(self.slider, self.before, self.after, self.name)

    def _step(self, way: int) -> None:
        self.slider.value = min(max(self.slider.value + way, 0), self.slider.max)

    def show(self, value: Any, exact: bool = False) -> None:
        self.slider.value = value

    def name_steps(self, names: Sequence[str], now: int) -> int:
        now = min(now, len(names) - 1)
        self.slider.max = len(names) - 1
        self.slider.value = now
        said = part_from("panel.html", "step", now=now + 1, of=len(names), name=names[now])
        if self.name.value != said:
            self.name.value = said
        return now


_ROWS: dict[type, type[_Row]] = {Size: _SizeRow, Count: _CountRow, Pick: _PickRow, Walk: _WalkRow}


def _row(control: Control, panel: Panel) -> _Row:
    return _ROWS[type(control)](control, panel)


def _in_a_row(*parts: widgets.Widget) -> widgets.HBox:
    return widgets.HBox(list(parts), layout=widgets.Layout(flex_flow="row wrap"))


def _layer(page: str = "") -> widgets.HTML:
    """A layer of the picture; all of them lie in one place, one over another."""
    layer = widgets.HTML(page, layout=widgets.Layout(grid_area="1 / 1", width="100%", height="auto"))
    layer.add_class("course-layer")
    return layer
