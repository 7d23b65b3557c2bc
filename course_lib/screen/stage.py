"""A stage of the job as something to move and to look at: controls, what follows from them, and a drawing.

Nothing here knows of sliders or of a page. A `Stage` says what can be moved and from where to where, works
out what follows, and draws it on a `Sheet`. The panel (`panel.py`) shows any stage; a lesson shows any of
its figures; a test moves it to both ends without a browser.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, ClassVar

from course_lib.bench.plan import Plan
from course_lib.bench.refusals import Refused
from course_lib.bench.suspicions import Remark
from course_lib.screen.pages import part_from
from course_lib.screen.sheet import Sheet
from course_lib.screen.svg import as_image

Values = Mapping[str, Any]


@dataclass(frozen=True, kw_only=True)
class Size:
    """A size to move: a slider with a box to type it exactly.

    Args:
        key: how the stage calls it.
        label: how the learner reads it, two or three words.
        pattern: its value in the job, in `unit`; the slider starts there.
        least, most: the ends of the slider.
        step: how far the slider goes at a time.
        unit: pint's name of the unit; empty for a plain number.
    """

    key: str
    label: str
    pattern: float
    least: float
    most: float
    step: float
    unit: str = "mm"


@dataclass(frozen=True, kw_only=True)
class Count:
    """A whole number to move."""

    key: str
    label: str
    pattern: int
    least: int
    most: int


@dataclass(frozen=True, kw_only=True)
class Pick:
    """One of a list to choose."""

    key: str
    label: str
    pattern: str
    options: Sequence[str]


@dataclass(frozen=True, kw_only=True)
class Walk:
    """A process to step through: next pass, next cut, next heat. Its value is the number of the step, from 0.

    How many steps there are, and how each is called, stands in `Seen.steps` under the same key.
    """

    key: str
    label: str


Control = Size | Count | Pick | Walk


@dataclass(frozen=True, kw_only=True)
class Seen:
    """What follows from the sizes as they are set.

    Args:
        rows: what and how much, for the short table; the number with its unit.
        words: the drawing in words, for whoever does not see it.
        warnings: what these sizes bring; `stop` where it cannot be made so.
        steps: for each `Walk`, the names of its steps as they are now.
        made: whatever the drawing needs.
    """

    rows: Sequence[tuple[str, str]]
    words: str
    warnings: Sequence[Remark] = ()
    steps: Mapping[str, Sequence[str]] = field(default_factory=dict)
    made: Any = None


class Stage:
    """A stage of the job. A subclass has `controls`, `see`, `draw`, and `draw_still` for what never moves."""

    title: ClassVar[str] = ""
    paper: ClassVar[tuple[float, float]] = (150.0, 90.0)  # width and height of the drawing, in mm

    def __init__(self, plan: Plan) -> None:
        self.plan = plan

    def controls(self) -> Sequence[Control]:
        """What can be moved, in the order shown."""
        raise NotImplementedError

    def see(self, at: Values) -> Seen:
        """What follows from these values, on plain numbers.

        Raises:
            Refused: they allow no piece at all; the panel says why and keeps the last drawing.
        """
        raise NotImplementedError

    def draw_still(self, sheet: Sheet) -> None:
        """What stays as it is whatever is moved: the pattern behind, scale, names. It lies underneath."""

    def draw(self, sheet: Sheet, seen: Seen) -> None:
        """What moves."""
        raise NotImplementedError

    def figures(self) -> Mapping[str, Callable[[], Figure]]:
        """Further drawings of this stage for a lesson, by name. ``panel`` is always there."""
        return {}

    def pattern_values(self) -> dict[str, Any]:
        """The values at which the panel opens: the job's own."""
        return {c.key: 0 if isinstance(c, Walk) else c.pattern for c in self.controls()}


@dataclass(frozen=True)
class Figure:
    """A drawing to be shown in a lesson, with its text alternative."""

    sheet: Sheet
    words: str

    def __repr__(self) -> str:
        return self.words

    def _repr_mimebundle_(self, **_: Any) -> dict[str, str]:
        return {"text/plain": self.words, "text/html": as_image(self.sheet, self.words)}


@dataclass(frozen=True)
class NotDrawn:
    """What a lesson shows where a job allows no drawing: why."""

    why: str

    def __repr__(self) -> str:
        return self.why

    def _repr_mimebundle_(self, **_: Any) -> dict[str, str]:
        return {"text/plain": self.why, "text/html": part_from("panel.html", "not_drawn", why=self.why)}


def drawn_figure(paper: tuple[float, float], draw: Callable[[Sheet], None], words: str) -> Figure:
    """A figure of its own: paper size in mm, what draws it, and the same in words."""
    sheet = Sheet(*paper)
    draw(sheet)
    return Figure(sheet, words)


def figure_of(stage: type[Stage], plan: Plan, name: str = "panel") -> Figure | NotDrawn:
    """A figure of a stage for a lesson.

    Args:
        stage: of course_lib.screen.stages.
        plan: of the job.
        name: one of its `figures`, or ``panel`` for the panel's drawing at the pattern's sizes.

    Returns:
        The figure; or, where the job's sizes allow no such drawing, a sentence that says why.
    """
    try:
        made = stage(plan)
        if name == "panel":
            seen = made.see(made.pattern_values())
            return drawn_figure(made.paper, lambda sheet: _both(made, sheet, seen), seen.words)
        return made.figures()[name]()
    except Refused as error:
        return NotDrawn(f"This cannot be drawn for your job: {error}")


def _both(stage: Stage, sheet: Sheet, seen: Seen) -> None:
    stage.draw_still(sheet)
    stage.draw(sheet, seen)


def around(
    key: str, label: str, pattern: float, step: float = 0.01, share: float = 0.4, least: float | None = None,
    most: float | None = None, unit: str = "mm",
) -> Size:  # fmt: skip
    """A size whose slider goes from `share` below the pattern to as much above it, in whole steps.

    >>> wire = around("wire", "claw wire", 0.803)
    >>> wire.least, wire.most, wire.pattern
    (0.48, 1.13, 0.803)
    """
    low = pattern * (1 - share) if least is None else least
    high = pattern * (1 + share) if most is None else most
    whole = [math.floor(low / step + 1e-9) * step, math.ceil(high / step - 1e-9) * step]
    return Size(
        key=key, label=label, pattern=pattern, least=round(max(whole[0], step), 9), most=round(whole[1], 9),
        step=step, unit=unit,
    )  # fmt: skip
