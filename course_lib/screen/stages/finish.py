"""Lesson 03, the finish: what each paper and the mop take off, and the size to stop at before them."""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from course_lib.bench.finish import grain_um, marks_left, papers_for, stock_size
from course_lib.bench.plan import Plan
from course_lib.bench.stock import next_hole, next_on_mill
from course_lib.bench.suspicions import Remark
from course_lib.bench.tables import numbers_of, rows_of
from course_lib.screen.drafting import Placed, kept_apart
from course_lib.screen.outlines import circle
from course_lib.screen.sheet import (
    CAPITAL,
    GREY,
    HAIR,
    INK,
    PALE,
    PAPER,
    POINT,
    THIN,
    Look,
    Sheet,
)
from course_lib.screen.stage import (
    Control,
    Figure,
    Pick,
    Seen,
    Size,
    Stage,
    Values,
    Walk,
    drawn_figure,
)

NONE_SKIPPED, AS_USUAL = "none", "as usual"
# What is rolled or drawn, and the size of the sheet that is worked.
PARTS = {
    "back plate": "plate_thickness", "scroll strip": "strip_thickness", "gallery ring wire": "ring_wire",
    "claw wire": "claw_wire", "post wire": "post_wire",
}  # fmt: skip
# Common practice: the number of a paper is at most about twice that of the one before it, so its grain is
# hardly less than half of it. Beyond that a hand gives up before the old marks are gone.
_LEAP = 0.55
_MOST_OFF_MOP = 15.0  # µm; common practice: a mop that takes more rounds the edges
_MOST_ROWS = 12
_MANY, _MOST_GRAINS = 7, 9  # so many papers have their names in two rows; so many are drawn at most
# Where layers and grains lie on the paper, in mm.
_LAYERS_LOW, _LAYERS_HIGH, _BODY = 10.0, 60.0, 12.0
_GRAINS_WIDE, _NAME_WIDE = 62.0, 8.6
_SCALES = (1500, 1000, 800, 700, 600, 500, 400, 300, 200, 150, 100, 50, 30, 25, 20, 15, 10, 5)


@dataclass(frozen=True)
class _Taken:
    """A stock on its way: sizes in mm, and what each step takes off a face, the coarsest first."""

    part: str
    finished: float
    before: float
    stop: float
    ladder: tuple[str, ...]
    skipped: str
    takes: tuple[float, ...]
    marks: tuple[float, ...]
    done: int
    needed: tuple[str, ...]

    @property
    def is_wire(self) -> bool:
        """Drawn, and round."""
        return self.part.endswith("wire")

    @property
    def steps(self) -> tuple[str, ...]:
        """What takes each layer."""
        return (*self.ladder, "mop")

    @property
    def sizes(self) -> tuple[float, ...]:
        """The size before the papers and after each step, measured over both faces."""
        gone = np.concatenate([[0.0], np.cumsum(self.takes)])
        return tuple(float(self.before - 2 * off) for off in gone)


class FinishStage(Stage):
    """A face of the metal, far enlarged: the layers that papers and mop take, and the ladder of grains."""

    title = "Finish"
    paper = (150.0, 96.0)

    def __init__(self, plan: Plan) -> None:
        super().__init__(plan)
        choices = plan.job.choices
        self.papers, self.post_papers = choices.papers, choices.post_papers
        self.share = choices["grain_share"]
        self.mop = 1000 * choices["polishing"]
        self.read = {part: plan.job.readings[key].value for part, key in PARTS.items()}
        self.most_mop = max(20.0, math.ceil(2 * self.mop))
        grades = [row["grade"] for row in rows_of("abrasives")]
        first = grades.index(self.papers[0])
        self.starts = (AS_USUAL, *grades[max(0, first - 2) : first + 3])
        ladders = [self._ladder("back plate", start, NONE_SKIPPED) for start in self.starts]
        most = max(sum(map(grain_um, ladder)) for ladder in ladders) * self.share + self.most_mop
        self.scale = _largest(_LAYERS_HIGH / (most / 1000))
        self.grain_scale = min(_grain_scale(each, _GRAINS_WIDE) for each in ladders)
        self.grain_high = max(grain_um(each[0]) for each in ladders) / 1000 * self.grain_scale
        self.whole_scale = _largest(31.0 / (1.2 * max(self.read.values()) + 2 * most / 1000), 30)

    def controls(self) -> Sequence[Control]:
        """Part, finished size, first paper, a paper left out, the mop, and the steps."""
        return (
            Pick(key="part", label="stock", pattern="back plate", options=tuple(PARTS)),
            Size(
                key="size", label="finished, of pattern's size", pattern=100, least=80, most=120, step=1,
                unit="percent",
            ),
            Pick(key="start", label="first paper", pattern=AS_USUAL, options=self.starts),
            Pick(
                key="skip", label="paper left out", pattern=NONE_SKIPPED,
                options=(NONE_SKIPPED, *self.papers[1:]),
            ),
            Size(
                key="mop", label="the mop takes", pattern=self.mop, least=0, most=self.most_mop, step=1,
                unit="um",
            ),
            Walk(key="step", label="step"),
        )  # fmt: skip

    def see(self, at: Values) -> Seen:
        """The layers, the size before papers and mop, and what to stop at."""
        made = self._taken(at)
        names = ("before the papers", *(f"after {grade}" for grade in made.ladder), "after the mop: finished")
        rows = list(zip(names, (f"{size:.3f} mm" for size in made.sizes), strict=True))
        # to be gauged before the mop, for nothing puts metal back
        rows[-2] = (f"{rows[-2][0]}, before the mop", rows[-2][1])
        if len(rows) > _MOST_ROWS:
            rows = [rows[0], *rows[-2:]]
        rows.insert(0, ("draw to" if made.is_wire else "stop rolling at", f"{made.stop:.2f} mm"))
        rows.append(("papers take, each face", f"{1000 * sum(made.takes[:-1]):.0f} µm"))
        words = (
            f"The {made.part}, {made.finished:.3f} mm when finished. Papers "
            f"{', '.join(made.ladder) or 'none'} (the first {at['start']}) take "
            f"{1000 * sum(made.takes[:-1]):.0f} µm off each face and the mop {at['mop']:.0f} µm, so it "
            f"measures {made.before:.3f} mm before them, and you {'draw' if made.is_wire else 'roll'} to "
            f"{made.stop:.2f} mm. Step {made.done + 1}, {names[made.done].split(':')[0]}: it measures "
            f"{made.sizes[made.done]:.3f} mm."
        )
        return Seen(
            rows=rows, words=words, warnings=list(self._warnings(made)), steps={"step": names}, made=made
        )

    def draw_still(self, sheet: Sheet) -> None:
        """What each picture is."""
        sheet.lettering((4, 90), f"One face, cut through, {self.scale} : 1", 8, True)
        sheet.lettering((84, 90), f"The whole, cut through, {self.whole_scale} : 1", 8, True)
        sheet.lettering((84, 86.2), "dashed: where the mill or the drawplate stops", 6.5, ink=GREY)
        sheet.lettering((84, 40), f"Grain of the papers, {self.grain_scale} : 1", 8, True)
        _scale_bar(sheet, 6.0, _LAYERS_LOW + _BODY, self.scale)

    def draw(self, sheet: Sheet, seen: Seen) -> None:
        """Layers, section and grains."""
        made: _Taken = seen.made
        _layers(sheet, made, 17.0, 32.0, self.scale)
        _section(Placed(sheet, 117, 66, self.whole_scale), made)
        _grains(sheet, made.ladder, 84.0, 19.0, self.grain_scale, self.grain_high, made.done)

    def figures(self) -> Mapping[str, Callable[[], Figure]]:
        """The ladder of papers, the layers of the back plate, and those of the post with a scale to read."""
        return {"ladder": self._ladder_alone, "layers": self._plate_layers, "post layers": self._post_layers}

    def _taken(self, at: Values) -> _Taken:
        part = at["part"]
        ladder = self._ladder(part, at["start"], at["skip"])
        takes = tuple(float(marks_left.plain(grain_um(grade) / 1000, self.share)) for grade in ladder)
        mop, finished = at["mop"] / 1000, self.read[part] * at["size"] / 100
        before = float(stock_size.plain(finished, sum(takes) + mop))
        stop = _next_size(before, part.endswith("wire"), self.plan.job.choices["mill_step"])
        needed = papers_for((stop - finished) / 2 - mop, ladder, self.share) if ladder else ()
        return _Taken(
            part, finished, before, stop, ladder, at["skip"], (*takes, mop), takes,
            min(at["step"], len(ladder) + 1), needed,
        )  # fmt: skip

    def _ladder(self, part: str, start: str, skip: str) -> tuple[str, ...]:
        """The papers of a part from the one that is first, without the one left out."""
        usual = self.post_papers if part == "post wire" else self.papers
        if start != AS_USUAL:
            usual = (start, *(grade for grade in self.papers if grain_um(grade) < grain_um(start)))
        return tuple(grade for grade in usual if grade != skip)

    def _warnings(self, made: _Taken) -> Iterator[Remark]:
        yield from _about_the_ladder(made)
        yield from _about_the_stop(made)
        yield from _about_the_mop(made.takes[-1])

    def _ladder_alone(self) -> Figure:
        scale = _grain_scale(self.papers, 110)
        high = max(grain_um(self.papers[0]) / 1000 * scale, 8.0)

        def draw(sheet: Sheet) -> None:
            sheet.lettering((4, high + 22), f"Grain of the papers, {scale} : 1", 8, True)
            _grains(sheet, self.papers, 6, 10 + high / 2, scale, high)

        told = ", ".join(f"{grade} {grain_um(grade):g} µm" for grade in self.papers)
        words = f"A circle for the grain of each paper, to one scale, with a bar of 0.1 mm: {told} across."
        return drawn_figure((120.0, high + 28), draw, words)

    def _plate_layers(self) -> Figure:
        made = self._taken(self.pattern_values())
        told = ", ".join(f"{step} {1000 * off:.1f}" for step, off in zip(made.steps, made.takes, strict=True))
        high = 4.0 + _BODY + sum(made.takes) * self.scale

        def draw(sheet: Sheet) -> None:
            sheet.lettering(
                (4, high + 8), f"One face of the back plate, cut through, {self.scale} : 1", 8, True
            )
            _layers(sheet, made, 17.0, 40.0, self.scale, low=4.0)
            _scale_bar(sheet, 6.0, 4.0 + _BODY, self.scale)

        words = (
            "One face of the back plate, cut through and far enlarged. Over what stays lie the layers that "
            f"each step takes, the first uppermost, in µm: {told}."
        )
        return drawn_figure((120.0, high + 14), draw, words)

    def _post_layers(self) -> Figure:
        made = self._taken({**self.pattern_values(), "part": "post wire"})
        scale = _largest(52.0 / sum(made.takes), 4000)
        step = next(s for s in (1, 2, 5, 10, 20, 50) if s * scale / 1000 >= 2.2)

        def draw(sheet: Sheet) -> None:
            sheet.lettering((4, 74), f"One side of the post, cut through, {scale} : 1", 8, True)
            _layers(sheet, made, 30.0, 40.0, scale, low=4.0, told=False)
            _micrometres(sheet, 24.0, 4.0 + _BODY, scale, step, 56.0)

        words = (
            "One side of the post, cut through and far enlarged: over what stays the layers that the mop and "
            f"the papers {', '.join(made.ladder)} take, beside a scale with a line every {step} µm. Nought "
            "is at the finished post."
        )
        return drawn_figure((112.0, 79.0), draw, words)


def _largest(most: float, cap: int = 1000) -> int:
    """The largest round scale that still fits."""
    return next((scale for scale in (4000, 3000, 2000, *_SCALES) if scale <= min(most, cap)), 1)


def _next_size(before: float, wire: bool, step: float) -> float:
    """Where the plate or the mill stops; wire that no hole is large enough for is bought at its size."""
    return next_on_mill(before, step) if not wire else next_hole(before) or before


def _layers(
    sheet: Sheet, made: _Taken, left: float, wide: float, scale: float, low: float = _LAYERS_LOW,
    told: bool = True,
) -> None:  # fmt: skip
    """What stays, hatched; over it what each step takes, the first uppermost; what is gone is dotted."""
    right = left + wide
    body = np.array([[left, low], [right, low], [right, low + _BODY], [left, low + _BODY]])
    sheet.area(body, Look(PAPER, INK, 1.1))
    Placed(sheet, 0, 0, 1).hatch(body, apart=1.6)
    half = CAPITAL * 7 * POINT / 2
    sheet.lettering((right + 3.2, low + _BODY / 2 - half), "what stays", 7)
    top = low + _BODY
    middles, says, inks = [], [], []
    for at in reversed(range(len(made.takes))):
        thick, gone = made.takes[at] * scale, at < made.done
        corners = [[left, top], [right, top], [right, top + thick], [left, top + thick]]
        look = Look(None, GREY, THIN, "dotted") if gone else Look(PALE if at % 2 else PAPER, INK, THIN)
        if made.takes[at] > 0:
            sheet.area(np.array(corners), look, 1.9)
            middles.append(top + thick / 2)
            number = f" {1000 * made.takes[at]:.1f} µm" if told else ""
            says.append(made.steps[at] + number + (", gone" if gone else ""))
            inks.append(GREY if gone else INK)
        top += thick
    # where there are more papers than lines of lettering, every second or third is named
    every = max(1, math.ceil(3.4 * len(says) / (top + 6 - low - _BODY)))
    middles, says, inks = middles[::every], says[::every], inks[::every]
    spread = kept_apart(middles, 3.4, low + _BODY + half, top + 6)
    for wanted, place, said, ink in zip(middles, spread, says, inks, strict=True):
        sheet.line([[right, wanted], [right + 2.5, place]], Look(None, ink, HAIR), 3)
        sheet.lettering((right + 3.2, place - half), said, 7, ink=ink)
    now = top - scale * sum(made.takes[: made.done])
    sheet.line([[left, now], [right, now]], Look(width=1.1), 4)


def _scale_bar(sheet: Sheet, x: float, low: float, scale: float) -> None:
    """A standing bar of ten micrometres."""
    high = 0.01 * scale
    marks = [[x, low], [x + 2, low], [x + 1, low], [x + 1, low + high], [x, low + high], [x + 2, low + high]]
    sheet.line(marks, Look(width=0.7))
    sheet.lettering((x - 1.4, low + high + 1.4), "10 µm", 6.5)


def _micrometres(sheet: Sheet, x: float, low: float, scale: float, step: int, high: float) -> None:
    """A standing scale in micrometres, every fifth line long and numbered."""
    sheet.line([[x, low], [x, low + high]], Look(width=0.7))
    half = CAPITAL * 6.5 * POINT / 2
    for at in range(int(high / (scale / 1000) / step) + 1):
        y = low + at * step * scale / 1000
        long = at % 5 == 0
        sheet.line([[x - (2.6 if long else 1.4), y], [x, y]], Look(width=0.7))
        if long:
            sheet.lettering((x - 3.4, y - half), f"{at * step} µm", 6.5, side="right")


def _section(place: Placed, made: _Taken) -> None:
    """The part cut through, finished size within the size to stop at; a sheet is broken off at the sides."""
    for size, look in ((made.stop, Look(None, GREY, THIN, "dashed")), (made.finished, Look(PAPER, INK, 1.1))):
        layer = 2 if look.fill else 2.6
        if made.is_wire:
            place.sheet.circle((place.x, place.y), size * place.scale, look, layer)
        else:
            place.sheet.area(place.at(_bar(size)), look, layer)
    within = circle(made.finished, (0.0, 0.0), 48) if made.is_wire else _bar(made.finished)
    place.hatch(within, apart=1.1)
    if made.is_wire:
        place.centre_cross((0, 0), made.stop / 2 + 1.5 / place.scale)
    half, outer = made.finished / 2, made.stop / 2
    across = (half, outer) if made.is_wire else (_HALF_BAR, _HALF_BAR)
    far = 6 + (place.scale * outer if made.is_wire else 0)
    # a wire is measured from its top and bottom, straight across
    start = (0.0, 0.0) if made.is_wire else across
    place.dimension([start[0], -half], [start[0], half], far, f"{made.finished:.3f}", "y", 6.5)
    place.dimension([-start[1], -outer], [-start[1], outer], -far, f"{made.stop:.2f}", "y", 6.5)


_HALF_BAR = 0.7  # mm of the piece: half of what is shown of a sheet


def _bar(thick: float) -> np.ndarray:
    half = thick / 2
    return np.array([[-_HALF_BAR, -half], [_HALF_BAR, -half], [_HALF_BAR, half], [-_HALF_BAR, half]])


def _drawn_grains(ladder: Sequence[str]) -> list[tuple[int, str]]:
    """The grains that are drawn, each with its place on the ladder: of very many, every second or third."""
    return list(enumerate(ladder))[:: max(1, math.ceil(len(ladder) / _MOST_GRAINS))]


def _grain_rooms(ladder: Sequence[str], scale: float) -> list[float]:
    """How much room each drawn grain takes with its name, in mm."""
    drawn = _drawn_grains(ladder)
    least = _NAME_WIDE if len(drawn) < _MANY else 5.0
    return [max(grain_um(grade) / 1000 * scale, least) + 1.0 for _, grade in drawn]


def _grain_scale(ladder: Sequence[str], wide: float) -> int:
    """The largest round scale at which a ladder's grains lie side by side."""
    return next((s for s in _SCALES if s <= 300 and sum(_grain_rooms(ladder, s)) <= wide), _SCALES[-1])


def _grains(
    sheet: Sheet, ladder: Sequence[str], left: float, middle: float, scale: float, most: float, done: int = 0
) -> None:
    """A grain of each paper as a circle, to one scale, with a bar of a tenth of a millimetre.

    `most` is how wide the widest may get, in mm of the sheet: names and bar keep clear of that.
    """
    x, high = left, max(most, 6.0) / 2
    drawn = _drawn_grains(ladder)
    for place, ((at, grade), room) in enumerate(zip(drawn, _grain_rooms(ladder, scale), strict=True)):
        across = grain_um(grade) / 1000 * scale
        look = Look(PAPER, GREY, THIN, "dotted") if at < done else Look(PALE, INK, 0.7)
        sheet.circle((x + room / 2, middle), across, look)
        drop = 4.0 if len(drawn) < _MANY or place % 2 == 0 else 7.5
        name = (x + room / 2, middle - high - drop)
        sheet.lettering(name, grade, 6.5, side="center", ink=GREY if at < done else INK)
        x += room
    y = middle + high + 4
    sheet.line([[left, y], [left + 0.1 * scale, y]], Look(width=1.0))
    sheet.line([[left, y - 0.8], [left, y + 0.8]], Look(width=0.7))
    sheet.line([[left + 0.1 * scale, y - 0.8], [left + 0.1 * scale, y + 0.8]], Look(width=0.7))
    sheet.lettering((left + 0.1 * scale + 1.5, y - 0.9), "0.1 mm", 6.5)


def _about_the_ladder(made: _Taken) -> Iterator[Remark]:
    for (one, before), (other, after) in pairwise((grade, grain_um(grade)) for grade in made.ladder):
        if after < _LEAP * before:
            marks = 1000 * made.marks[made.ladder.index(one)]
            own = 1000 * made.marks[made.ladder.index(other)]
            yield Remark(
                f"From {one} to {other} is a leap: marks of {one} go about {marks:.1f} µm deep, and {other} "
                f"usually takes {own:.1f} µm. Few hands rub so long. What is left comes up under the mop."
            )


def _about_the_stop(made: _Taken) -> Iterator[Remark]:
    if made.is_wire and made.stop not in numbers_of("drawplate", "diameter_mm"):
        yield Remark(f"The drawplate has no hole of {made.stop:.2f} mm or more. Buy the wire.", True)
    elif made.needed and made.needed != made.ladder:
        yield Remark(
            f"The next hole, {made.stop:.2f} mm, leaves {1000 * (made.stop - made.before) / 2:.0f} µm more "
            f"on every side than these papers take: begin with {made.needed[0]}, and gauge often."
            if made.is_wire
            else f"A division of the mill leaves more than these papers take: begin with {made.needed[0]}."
        )


def _about_the_mop(takes: float) -> Iterator[Remark]:
    if 1000 * takes > _MOST_OFF_MOP:
        yield Remark("A mop that takes so much rounds every edge. Leave more to the papers.")
    if takes == 0:
        yield Remark("Without the mop the marks of the last paper stay to be seen.")


STAGE = FinishStage
