"""Stock: what to roll and draw, from which start, through which passes, and what to cut."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from course_lib.bench.alloy import AlloyFacts
from course_lib.bench.carry import Carried
from course_lib.bench.choices import Choices
from course_lib.bench.forming import Pass, on_mill_steps, plan_drawing, plan_rolling
from course_lib.bench.measuring import Reading
from course_lib.bench.post import yield_when_worked
from course_lib.bench.refusals import NoRoute
from course_lib.bench.suspicions import Remark
from course_lib.bench.tables import numbers_of

# Stocks: what is rolled or drawn, the size that is worked, and the choice that asks for hardness.
ROLLED = (("back plate", "plate_thickness", None), ("scroll", "strip_thickness", "spring_hardness"))
DRAWN = (
    ("gallery ring", "ring_wire", None),
    ("claw", "claw_wire", None),
    ("post", "post_wire", "post_hardness"),
)


@dataclass(frozen=True, eq=False)
class Blank:
    """A piece of stock to cut. Sizes in mm, weight in g; `blank_mm` is its length, or a disc's diameter.

    `start_...` is what to take from the drawer, in whole millimetres; `weight_g` is the weight of that.
    """

    part: str
    form: str
    number: int
    finished_mm: float
    before_polishing_mm: float
    before_sanding_mm: float
    stock_mm: float
    blank_mm: float
    width_mm: float
    start_mm: float
    start_length_mm: float
    start_width_mm: float
    weight_g: float


def next_on_mill(wanted: float, step: float) -> float:
    """The mill's next step that is no thinner, in mm.

    >>> round(next_on_mill(0.409, 0.01), 3)
    0.41
    """
    return math.ceil(wanted / step - 1e-9) * step


def next_hole(wanted: float) -> float | None:
    """The next hole of the drawplate that is no smaller, in mm; None if there is none so large.

    >>> next_hole(0.91)
    0.95
    """
    return min((h for h in numbers_of("drawplate", "diameter_mm") if h >= wanted - 1e-9), default=None)


def stock_sizes(rough: Mapping[str, float], choices: Choices, remarks: list[Remark]) -> dict[str, float]:
    """What to roll or draw each worked stock to: the mill's next step, the plate's next hole."""
    step = choices["mill_step"]
    sizes = {key: next_on_mill(rough[f"{key}_before_sanding"], step) for _, key, _ in ROLLED}
    for part, key, _ in DRAWN:
        wanted = rough[f"{key}_before_sanding"]
        hole = next_hole(wanted)
        sizes[key] = wanted if hole is None else hole
        if hole is None:
            remarks.append(
                Remark(f"{part}: the plate has no hole of {wanted:.2f} mm or more. Buy the wire.", True)
            )
    return sizes


def starts_of(readings: Mapping[str, Reading], choices: Choices) -> dict[str, float]:
    """What each stock is made from: the sheet and the wire in the drawer."""
    drawer = {
        kind: readings[kind].value if kind in readings else choices[kind]
        for kind in ("sheet_start", "wire_start")
    }
    return {
        **{p: drawer["sheet_start"] for p, _, _ in ROLLED},
        **{p: drawer["wire_start"] for p, _, _ in DRAWN},
    }


def runs_of(
    stocks: Mapping[str, float],
    starts: Mapping[str, float],
    alloy: AlloyFacts,
    choices: Choices,
    remarks: list[Remark],
) -> dict[str, tuple[Pass, ...]]:
    """The passes of every stock; where there is no route, a remark says why."""
    holes = numbers_of("drawplate", "diameter_mm")
    runs: dict[str, tuple[Pass, ...]] = {}
    for part, key, hardness in ROLLED + DRAWN:
        hard = choices[hardness] if hardness else 0.0
        run: Sequence[Pass] = ()
        try:
            if (part, key, hardness) in ROLLED:
                run = rolling_route(
                    starts[part], stocks[key], alloy.roll_reduction, alloy.anneal_at,
                    choices["mill_step"], hard,
                )  # fmt: skip
            else:
                run = drawing_route(
                    starts[part], stocks[key], holes, alloy.draw_reduction, alloy.anneal_at, hard
                )
        except NoRoute as error:
            remarks.append(
                Remark(f"{part}: {str(error).split(': ', 1)[1]}", True, (f"stock for the {part}",))
            )
        runs[part] = tuple(run)
    return runs


@cache
def rolling_route(
    start: float, finish: float, reduction: float, anneal_at: float, step: float, hard: float
) -> tuple[Pass, ...]:
    """Fewest passes; one or two more where only then every pass can be set on the mill's scale.

    Kept: sliders ask for the same route again and again.

    Args:
        start: thickness now, in mm.
        finish: thickness wanted, in mm.
        reduction: the most a pass may take, as a share of the thickness before it.
        anneal_at: the most cold reduction since the last anneal, as a share.
        step: of the mill's scale, in mm.
        hard: least cold reduction at the end, as a share.

    Returns:
        The passes, first to last.
    """
    fewest = passes = plan_rolling(start, finish, reduction, anneal_at, 0.0, hard)
    for more in range(3 if fewest else 0):
        if more:
            even = 1 - (finish / start) ** (1 / (len(fewest) + more))
            passes = plan_rolling(start, finish, min(reduction, even + 1e-9), anneal_at, 0.0, hard)
        settled = on_mill_steps(start, passes, step, reduction, anneal_at, hard)
        if settled is not passes:
            return tuple(settled)
    return tuple(fewest)


@cache
def drawing_route(
    start: float, finish: float, holes: tuple[float, ...], reduction: float, anneal_at: float, hard: float
) -> tuple[Pass, ...]:
    """`plan_drawing`, kept: sliders ask for the same route again and again.

    Args:
        start: diameter now, in mm.
        finish: diameter wanted, in mm.
        holes: the diameters the plate really has, in mm.
        reduction: the most area a pass may take, as a share.
        anneal_at: the most cold reduction of area since the last anneal, as a share.
        hard: least cold reduction of area at the end, as a share.

    Returns:
        The passes, first to last.
    """
    return tuple(plan_drawing(start, finish, holes, reduction, anneal_at, 0.0, hard))


def worked_yield(run: Sequence[Pass], alloy: AlloyFacts) -> float:
    """The yield stress after a run, in MPa, by how much it worked the metal since its last anneal."""
    worked = run[-1].since_anneal if run else 0.0
    return float(yield_when_worked.plain(alloy.yield_soft, alloy.yield_hard, worked, alloy.anneal_at))


def blanks_of(
    claws: int,
    readings: Mapping[str, Reading],
    choices: Choices,
    carried: Carried,
    rough: Mapping[str, float],
    stocks: Mapping[str, float],
    starts: Mapping[str, float],
    density: float,
) -> Iterator[Blank]:
    """Each blank, with the length of drawer stock it takes by constant volume.

    Args:
        claws: how many the basket has.
        readings: the sizes as measured, by key.
        choices: of the trade; `end_waste` in mm.
        carried: the results with their doubt.
        rough: sizes before polishing and before sanding, in mm.
        stocks: what each part is rolled or drawn to, in mm.
        starts: what each part starts from, in mm.
        density: in g/cm3.

    Yields:
        A `Blank` for each part.
    """
    results, waste = carried.results, choices["end_waste"]
    whole, half = divmod(claws, 2)
    if half:
        whole, half = 1, claws - 2
    disc, strip = results["plate_blank"].value, results["strip_length"].value
    strip_width = rough["strip_width_before_sanding"]
    staple = results["staple_blank"].value
    wires = [
        ("gallery ring", "ring_wire", 1, results["coil_length"].value),
        ("claw", "claw_wire", whole, staple),
    ]
    if half:
        wires.append(("claw", "claw_wire", half, staple / 2))
    wires.append(("post", "post_wire", 1, results["post_blank"].value))

    def blank(part: str, form: str, number: int, key: str, length: float, width: float) -> Blank:
        stock, start = stocks[key], starts[part]
        ratio = (stock / start) ** 2 if form == "wire" else stock / start
        # whole millimetres, rounded up, are what a person cuts
        taken = math.ceil(max(number * length + waste, 0.0) * min(ratio, 1.0) - 1e-9)
        wide = start if form == "wire" else float(math.ceil(width - 1e-9))
        section = math.pi / 4 * start**2 if form == "wire" else wide * start
        return Blank(
            part, form, number, readings[key].value,
            rough[f"{key}_before_polishing"], rough[f"{key}_before_sanding"], stock,
            length, width, start, taken, wide, section * taken * density / 1000,
        )  # fmt: skip

    yield blank("back plate", "disc", 1, "plate_thickness", disc, disc)
    yield blank("scroll", "strip", 1, "strip_thickness", strip, strip_width)
    for part, key, number, length in wires:
        yield blank(part, "wire", number, key, length, stocks[key])
