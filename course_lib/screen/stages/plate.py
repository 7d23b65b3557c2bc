"""Lesson 05, back plate and hole: saw line, file line, and the drills to a hole that frees the post."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from course_lib.bench.hole import choose_drill
from course_lib.bench.job import Plan
from course_lib.bench.plate import disc_blank, plate_volume
from course_lib.bench.refusals import NoDrill
from course_lib.bench.suspicions import Remark
from course_lib.bench.tables import numbers_of
from course_lib.screen.drafting import LIFT_PEN, Placed
from course_lib.screen.sheet import GREY, HAIR, INK, OUTLINE, PALE, PAPER, THIN, Sheet
from course_lib.screen.stage import Control, Seen, Size, Stage, Values, Walk, around


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
            "saw outside the line, let the glue go",
            "file to the line",
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
