"""Lesson 05, back plate and hole: saw line, file line, and the drills to a hole that frees the post."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from course_lib.bench.hole import choose_drill
from course_lib.bench.plan import Plan
from course_lib.bench.plate import disc_blank, plate_volume
from course_lib.bench.refusals import NoDrill
from course_lib.bench.suspicions import Remark
from course_lib.bench.tables import numbers_of
from course_lib.screen.drafting import LIFT_PEN, Placed
from course_lib.screen.sheet import GREY, HAIR, INK, OUTLINE, PALE, PAPER, THIN, Sheet
from course_lib.screen.stage import Control, Figure, Seen, Size, Stage, Values, Walk, around, drawn_figure


@dataclass(frozen=True)
class _Bored:
    """A plate on its way; mm. `drill` is None where no drill in the box frees the post."""

    plate: float
    file: float
    blank: float
    thick: float
    post: float
    drill: float | None
    bored: float
    step: int
    steps: tuple[str, ...]

    @property
    def is_sawn(self) -> bool:
        """Whether the disc is out of its sheet."""
        return self.step >= len(self.steps) - 2

    @property
    def is_filed(self) -> bool:
        """Whether it is filed to the line."""
        return self.step == len(self.steps) - 1


class PlateStage(Stage):
    """The plate from above and cut through, and the post in its hole, enlarged."""

    title = "Back plate and hole"
    paper = (150.0, 84.0)

    def __init__(self, plan: Plan) -> None:
        super().__init__(plan)
        read, choices = plan.job.readings, plan.job.choices
        self.plate, self.thick = read["plate_diameter"].value, read["plate_thickness"].value
        self.to_finish = plan.plain("plate_diameter_before_sanding") - self.plate
        self.post = read["post_wire"].value
        self.allow = (choices["file_allowance"], choices["saw_allowance"])
        self.least, self.most, self.hole_step = (
            choices[f"hole_{name}"] for name in ("least", "most", "step")
        )
        self.drills = numbers_of("drills", "diameter_mm")
        self.scale = max(1, int(52 / (1.3 * (self.plate + 2.5))))

    def controls(self) -> Sequence[Control]:
        """Plate, post, clearance and the steps."""
        return (
            around("plate", "plate across", self.plate, 0.05, 0.3),
            around("thick", "plate thickness", self.thick, 0.01, 0.5),
            around("post", "post wire", self.post, 0.01, 0.3),
            Size(
                key="least",
                label="least clearance",
                pattern=self.least,
                least=0,
                most=round(self.most, 2),
                step=0.01,
            ),
            Walk(key="step", label="step"),
        )

    def see(self, at: Values) -> Seen:
        """Blank, drill and clearance, and the drills on the way."""
        file = at["plate"] + self.to_finish
        blank = float(disc_blank.plain(file, *self.allow))
        try:
            drill, _, way = choose_drill(at["post"], at["least"], self.most, self.drills, self.hole_step)
        except NoDrill as error:
            drill, way, trouble = None, (), str(error).split(": ", 1)[1]
        else:
            trouble = ""
        steps = (
            "glue the paper template on",
            "punch the middle",
            *(f"drill {d:.2f} mm" for d in way),
            "saw outside the line",
            "file to the line, then let the glue go",
        )
        step = min(at["step"], len(steps) - 1)
        bored = way[min(step - 2, len(way) - 1)] if way and step >= 2 else 0.0
        made = _Bored(at["plate"], file, blank, at["thick"], at["post"], drill, bored, step, steps)
        rows = [("saw to", f"ø {blank:.2f} mm"), ("file to", f"ø {file:.2f} mm")]
        rows += [("finished", f"ø {at['plate']:.2f} mm")]
        if drill:
            rows += [("drill", f"ø {drill:.2f} mm"), ("clearance", f"{drill - at['post']:.2f} mm")]
            whole, hole = (plate_volume.plain(at["plate"], at["thick"], d) for d in (0.0, drill))
            rows.append(("metal that the hole takes", f"{whole - hole:.2f} mm³"))
        return Seen(
            rows=rows,
            words=_words(made),
            warnings=list(_warnings(made, trouble)),
            steps={"step": steps},
            made=made,
        )

    def figures(self) -> dict[str, Callable[[], Figure]]:
        """The two lines on the sheet, a pilot and a large drill on one mark, and a plate that leans."""
        return {"lines": self._lines, "marks": _marks, "lean": self._lean}

    def _lines(self) -> Figure:
        file = self.plate + self.to_finish
        scale = max(1, int(46 / (file + 2 * sum(self.allow))))

        def draw(sheet: Sheet) -> None:
            sheet.lettering((4, 66), f"Saw line and file line, from above, {scale} : 1", 8, True)
            place = Placed(sheet, 42, 34, scale)
            across = file + 2 * sum(self.allow)
            place.circle(across, fill=PAPER, dashed=True, width=THIN)
            place.circle(file + 2 * self.allow[0], fill=PALE, ink=GREY, width=HAIR, layer=2.1)
            place.circle(file, fill=PAPER, layer=2.2)
            place.centre_cross((0, 0), across / 2 + 0.3)
            slope = np.array([np.cos(0.6), np.sin(0.6)])
            reach = file / 2 + self.allow[0]
            place.note(list((reach + self.allow[1]) * slope), "the circle to saw", 14, 12)
            place.note([reach + self.allow[1] / 2, 0], f"left for the saw: {self.allow[1]:.2f}", 16, 3)
            slope = slope * [1, -1]
            place.note(
                list((file / 2 + self.allow[0] / 2) * slope),
                f"left for the file: {self.allow[0]:.2f}",
                18,
                -2,
            )
            place.dimension([-file / 2, 0], [file / 2, 0], -29, f"file to ø {file:.2f}", "x")

        words = (
            f"Three circles about one middle. The inner one, {file:.2f} mm across, is the line to file "
            "to. Round "
            f"it, on every side, lie {self.allow[0]:.2f} mm for the file, and round that "
            f"{self.allow[1]:.2f} mm "
            "for the saw. The outer circle, dashed, is the one to saw."
        )
        return drawn_figure((130.0, 71.0), draw, words)

    def _lean(self) -> Figure:
        # drawn with more room than any hole has: a true one could not be seen to lean
        lean, thick, half = 0.16, 12.0, 30.0
        wide = 9.0
        hole = (wide + thick * np.sin(lean)) / np.cos(lean)
        turned = np.array([[np.cos(lean), np.sin(lean)], [-np.sin(lean), np.cos(lean)]])

        def draw(sheet: Sheet) -> None:
            sheet.lettering((4, 62), "A plate that leans on its post (a sketch, not to scale)", 8, True)
            place = Placed(sheet, 46, 32, 1)
            for side in (-1, 1):
                low, high, near = -thick / 2, thick / 2, hole / 2
                part = np.array([[near, low], [half, low], [half, high], [near, high]])
                part = (part * [side, 1]) @ turned
                place.outline(part, PAPER)
                place.hatch(part, apart=1.6)
            rod = [[-wide / 2, -22], [wide / 2, -22], [wide / 2, 22], [-wide / 2, 22]]
            place.outline(rod, PALE, layer=2.3)
            place.line([[0, -25], [0, 25]], HAIR, GREY, "centre")
            place.note([wide / 2, 17], "post", 14, 2)
            for side in (-1, 1):
                place.circle(1.6, _touch(hole, thick, turned, side), INK, layer=4)
            place.note(_touch(hole, thick, turned, 1), "touches here", 36, 10)
            place.note(_touch(hole, thick, turned, -1), "and here", -10, -16)

        words = (
            "A plate cut through, with its post upright. The plate leans until the wall of its hole touches "
            "the post in two places: at the top on one side, at the bottom on the other. More room lets it "
            "lean more, a thicker plate less."
        )
        return drawn_figure((130.0, 67.0), draw, words)

    def draw_still(self, sheet: Sheet) -> None:
        """What each view is."""
        sheet.lettering((4, 78), f"From above, {self.scale} : 1", 8, True)
        sheet.lettering((90, 78), f"Cut through, {self.scale} : 1", 8, True)
        sheet.lettering((90, 46), f"Post in its hole, {self._large} : 1", 8, True)
        sheet.lettering((4, 3), "dashed: the line to file to", 6.5, ink=GREY)

    @property
    def _large(self) -> int:
        return max(1, int(15 / (1.3 * self.post)))

    def draw(self, sheet: Sheet, seen: Seen) -> None:
        """The plate as it stands at this step."""
        made: _Bored = seen.made
        self._above(Placed(sheet, 40, 41, self.scale), made)
        self._section(Placed(sheet, 116, 64, self.scale), made)
        self._fit(Placed(sheet, 116, 23, self._large), made)

    def _above(self, place: Placed, made: _Bored) -> None:
        if not made.is_sawn:
            half = made.blank / 2 + 1.2
            sheet = np.array([[-half, -half], [half, -half], [half, half], [-half, half]])
            place.outline(sheet, PALE, THIN)
        across = made.file if made.is_filed else made.blank
        place.circle(across, fill=PAPER, width=OUTLINE if made.is_sawn else THIN)
        if not made.is_filed:
            place.circle(made.file, width=THIN, ink=INK, dashed=True, layer=2.1)
        if made.bored:
            place.circle(made.bored, fill=PAPER, layer=2.3)
        elif made.step == 1:
            place.circle(0.25, fill=INK, layer=2.3)
        place.centre_cross((0, 0), made.blank / 2 + 0.4)
        low = -(made.blank / 2 + 1.2) * place.scale - 4
        word = "file to" if made.is_filed else "saw to"
        place.dimension([-across / 2, 0], [across / 2, 0], low, f"{word} ø {across:.2f}", "x")
        if made.bored:
            high = (made.blank / 2 + 1.2) * place.scale + 3
            place.dimension([-made.bored / 2, 0], [made.bored / 2, 0], high, f"ø {made.bored:.2f}", "x")

    def _section(self, place: Placed, made: _Bored) -> None:
        half, hole, thick = made.plate / 2, (made.drill or 0.0) / 2, made.thick / 2
        for side in (-1, 1):
            part = np.array(
                [[side * hole, -thick], [side * half, -thick], [side * half, thick], [side * hole, thick]]
            )
            place.outline(part, PAPER)
            place.hatch(part, apart=1.1)
        place.line([[0, -thick - 0.6], [0, thick + 0.6]], HAIR, GREY, "centre")
        place.dimension([-half, -thick], [half, -thick], -5, f"ø {made.plate:.2f}", "x")
        place.dimension([half, -thick], [half, thick], 4, f"{made.thick:.2f}", "y")

    def _fit(self, place: Placed, made: _Bored) -> None:
        """The post in its hole, leaning on one side as it does."""
        if not made.drill:
            place.circle(made.post, fill=PAPER)
            place.dimension([-made.post / 2, 0], [made.post / 2, 0], -14, f"post ø {made.post:.2f}", "x")
            return
        wall = made.drill / 2
        reach = wall + 3 / place.scale
        corners = np.array([[-reach, -reach], [reach, -reach], [reach, reach], [-reach, reach]])
        turned = np.linspace(0, 2 * np.pi, 49)
        place.hatch(corners, wall * np.column_stack([np.cos(turned), np.sin(turned)]), apart=1.1)
        place.circle(made.drill, fill=PAPER)
        play = (made.drill - made.post) / 2
        place.circle(made.post, (-play, 0.0), PALE, layer=2.2)
        cross = [[-play - 0.2, 0], [-play + 0.2, 0], *LIFT_PEN, [-play, -0.2], [-play, 0.2]]
        place.line(cross, HAIR, GREY)
        low = -reach * place.scale - 4
        place.dimension([-wall, 0], [wall, 0], low, f"hole ø {made.drill:.2f}", "x")
        edge = made.post / 2 - play
        place.dimension([edge, 0], [wall, 0], reach * place.scale + 2, f"{made.drill - made.post:.2f}", "x")


def _touch(hole: float, thick: float, turned: np.ndarray, side: int) -> list[float]:
    """The corner of a leaning hole that comes nearest to the post: right for 1, left for -1."""
    corners = [np.array([side * hole / 2, end * thick / 2]) @ turned for end in (-1, 1)]
    return [float(each) for each in min(corners, key=lambda corner: abs(corner[0]))]


def _marks() -> Figure:
    """A pilot and a large drill over the same punch mark: a sketch, and so the same for every piece."""

    def draw(sheet: Sheet) -> None:
        sheet.lettering(
            (4, 56), "Two drills over the same mark, from the side (a sketch, not to scale)", 8, True
        )
        for left, wide, edge, word in ((32, 7.0, 1.2, "pilot"), (92, 26.0, 6.0, "large drill")):
            place = Placed(sheet, left, 14, 1)
            block = np.array([[-24, -8], [24, -8], [24, 0], [2, 0], [0, -2], [-2, 0], [-24, 0]])
            place.outline(block, PAPER)
            place.hatch(block, apart=1.6)
            low, rise = (-1.0 if edge < 2 else 0.4), 0.6 * (wide - edge) / 2
            tip = [[-wide / 2, 30], [-wide / 2, low + rise], [-edge / 2, low], [edge / 2, low]]
            place.outline([*tip, [wide / 2, low + rise], [wide / 2, 30]], PALE, layer=2.3)
            place.lettering((0, 33), word, bold=True)
        Placed(sheet, 92, 14, 1).note([2.6, 0.4], "it only scrapes", 14, 8)
        Placed(sheet, 32, 14, 1).note([1.4, -0.6], "in the mark", 8, 8)

    words = (
        "Two drills stand over the same punch mark. The middle edge of each drill only scrapes. That of the "
        "pilot is narrower than the mark and sits in it; that of the large drill is wider than the mark and "
        "stands on top of it."
    )
    return drawn_figure((130.0, 61.0), draw, words)


def _words(made: _Bored) -> str:
    hole = (
        f"The hole is {made.drill:.2f} mm, {made.drill - made.post:.2f} mm more than the post of "
        f"{made.post:.2f} mm."
        if made.drill
        else f"No drill in the box frees the post of {made.post:.2f} mm."
    )
    return (
        f"A round plate {made.plate:.2f} mm across and {made.thick:.2f} mm thick, sawn at "
        f"{made.blank:.2f} mm and "
        f"filed to {made.file:.2f} mm. {hole} Step {made.step + 1} of {len(made.steps)}: "
        f"{made.steps[made.step]}."
    )


def _warnings(made: _Bored, trouble: str) -> Iterator[Remark]:
    if trouble:
        yield Remark(trouble, True)
        return
    if made.drill and made.drill - made.post < 0.015:
        yield Remark("The post will stick: solder, a burr or a speck of dust fills so small a clearance.")
    if made.drill and made.drill - made.post > 0.12:
        yield Remark("The post rattles in this hole: the nut tilts on the ear, and only the scroll holds it.")
    if made.drill and made.thick < made.drill / 4:
        yield Remark("The plate is thin for its hole: clamp it between wood, or the drill tears it.")
    if made.drill and made.plate < 3 * made.drill:
        yield Remark("Little metal is left round the hole.", made.plate < 1.5 * made.drill)


STAGE = PlateStage
