"""A job: one measured pattern. A plan: everything that making its duplicate takes."""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache, cached_property
from pathlib import Path
from pkgutil import resolve_name
from types import MappingProxyType
from typing import Any

import course_lib
from course_lib.bench import price
from course_lib.bench.carry import Carried, carry
from course_lib.bench.choices import Choices, choices_from
from course_lib.bench.forming import Fold, Pass, on_mill_steps, plan_drawing, plan_rolling, saw_fold
from course_lib.bench.hole import choose_drill
from course_lib.bench.lemel import LossBudget, loss_budget
from course_lib.bench.measuring import Measured, Reading, coverage, difference_band
from course_lib.bench.metal import composition, fine_metals, mixed_density
from course_lib.bench.post import yield_when_worked
from course_lib.bench.refusals import NoDrill, NoRoute, NoSolder, Refused
from course_lib.bench.sheet import Sheet, label_of, read_sheet, sheet_from_text
from course_lib.bench.solder import Heat, Solder, joint_solder, pallion_volume, pallions, plan_heats
from course_lib.bench.suspicions import Findings, Remark, suspicions
from course_lib.bench.tables import Row, find, frame, numbers_of, rows_of, table_by
from course_lib.bench.units import quantity
from course_lib.bench.whole_piece import RESULTS, Fixed, before_finish, butt_joints, work_out

# Joints in the order they are made, the piece each belongs to, and the result that holds its area.
SETTING_JOINTS = (
    ("ring seam", "seam_area"),
    ("crossing", "crossing_area"),
    ("claws to ring", "groove_area"),
    ("post", "post_area"),
)
NUT_JOINTS = (("folds", "fold_area"), ("scroll to plate", "scroll_area"))

# Ring and crossed staples are soldered apart; from the third heat on all is in the fire together.
SETTING_FIRES = ((), (), (0, 1), (0, 1, 2))
NUT_FIRES = ((), (0,))

# Stocks: what is rolled or drawn, the size that is worked, and the choice that asks for hardness.
ROLLED = (("back plate", "plate_thickness", None), ("scroll", "strip_thickness", "spring_hardness"))
DRAWN = (
    ("gallery ring", "ring_wire", None),
    ("claw", "claw_wire", None),
    ("post", "post_wire", "post_hardness"),
)

_ALWAYS_KNOWN = math.inf


@dataclass(frozen=True, eq=False)
class Planned:
    """One size or weight of the plan, with its doubt."""

    label: str
    value: Any
    standard_uncertainty: Any
    degrees_of_freedom: float

    def expanded(self, confidence: float = 0.95) -> Any:
        """Half the width of the band that holds it with this confidence."""
        return Measured(self.value, self.standard_uncertainty, self.degrees_of_freedom).expanded(confidence)


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


@dataclass(frozen=True, eq=False)
class Job:
    """A measured pattern, ready to plan.

    `readings` are in mm and g by the keys of data/sheet_sizes.csv; `shared` names the gauge of each and
    its own standard uncertainty; `remarks` is what was noticed while reading the sheet.
    """

    title: str
    alloy: str
    gem: str
    claws: int
    readings: Mapping[str, Reading]
    choices: Choices
    shared: Mapping[str, tuple[str, float]]
    remarks: tuple[str, ...] = ()

    @classmethod
    def load(cls, path: str | Path) -> "Job":
        """Read a measuring sheet (see `course_lib.bench.sheet`).

        Args:
            path: a CSV file, one row a size: part, size, unit, instrument, readings.

        Returns:
            The job.

        Raises:
            Refused: with the row, the column and what to write.

        >>> from course_lib.bench.tables import data_folder
        >>> Job.load(data_folder() / "demo-four-claws.csv").alloy
        '585 yellow'
        """
        return cls.from_sheet(read_sheet(path), Path(path).stem.replace("-", " "))

    @classmethod
    def from_text(cls, text: str, title: str = "my earring") -> "Job":
        """A job from the text of a measuring sheet."""
        return cls.from_sheet(sheet_from_text(text), title)

    @classmethod
    def from_sheet(cls, sheet: Sheet, title: str) -> "Job":
        """A job from a sheet that has been read."""
        turns = sheet.counts["curl_turns"]
        # turns are read to the nearest eighth
        readings = {**sheet.readings, "curl_turns": Reading(turns, 0.125 / math.sqrt(12), _ALWAYS_KNOWN)}
        claws = int(sheet.counts["claws"])
        choices = choices_from(sheet.choices)
        title = sheet.names.get("title", title)
        alloy, gem = sheet.names["alloy"], sheet.names["gem"]
        return cls(title, alloy, gem, claws, MappingProxyType(readings), choices, sheet.shared, sheet.remarks)

    @cached_property
    def measured(self) -> Mapping[str, Measured]:
        """The readings as quantities, by their keys."""
        return MappingProxyType(
            {key: as_measured(key, reading) for key, reading in self.readings.items() if key != "curl_turns"}
        )

    def size(self, part: str, name: str) -> Any:
        """One measured size by the names of the sheet.

        >>> from course_lib.bench.tables import data_folder
        >>> job = Job.load(data_folder() / "demo-four-claws.csv")
        >>> print(f"{job.size('back plate', 'diameter'):.2f~P}")
        5.80 mm
        """
        for key, each in self.measured.items():
            if label_of(key) == f"{part}, {name}":
                return each.value
        raise Refused(f"'{part}, {name}' is not measured in this job.")

    def plan(self) -> "Plan":
        """Work out the whole duplicate.

        Returns:
            The `Plan`. What cannot be or looks wrong is in its remarks; the rest is planned all the same.

        >>> from course_lib.bench.tables import data_folder
        >>> plan = Job.load(data_folder() / "demo-four-claws.csv").plan()
        >>> [remark.text for remark in plan.remarks if remark.stop]
        []
        """
        return make_plan(self)


def as_measured(key: str, reading: Reading) -> Measured:
    """A reading with its unit."""
    unit = "gram" if key in ("weight", "nut_weight") else "mm"
    return Measured(
        quantity(reading.value, unit),
        quantity(reading.standard_uncertainty, unit),
        reading.degrees_of_freedom,
    )


@dataclass(frozen=True, eq=False)
class AlloyFacts:
    """What the sums need to know of an alloy, in g/cm3, degC, MPa and shares."""

    row: Row
    density: float
    density_doubt: float
    solidus: float
    anneal_at: float
    roll_reduction: float
    draw_reduction: float
    elastic_modulus: float
    yield_soft: float
    yield_hard: float


@cache
def alloy_facts(alloy: str) -> AlloyFacts:
    """The facts of an alloy of data/alloys.csv; its density is mixed from its composition."""
    row = find("alloys", "alloy", alloy, "an alloy")
    density = mixed_density(composition(alloy))
    return AlloyFacts(
        row,
        density,
        density * float(row["density_give_or_take"]) / math.sqrt(3),
        float(row["solidus_degC"]),
        float(row["anneal_at"]),
        float(row["roll_reduction"]),
        float(row["draw_reduction"]),
        float(row["elastic_modulus_GPa"]) * 1000,
        float(row["yield_soft_MPa"]),
        float(row["yield_hard_MPa"]),
    )


@cache
def solders_for(alloy: str) -> tuple[Solder, ...]:
    """The solders of data/solders.csv for an alloy."""
    return tuple(
        Solder(row["name"], float(row["solidus_degC"]), float(row["flow_degC"]))
        for row in rows_of("solders")
        if row["alloy"] == alloy
    )


@cache
def _stone_readings(gem: str) -> tuple[Reading, Reading]:
    """Specific gravity of a gem, and the factor of its cut, each with its doubt."""
    row = table_by("stones", "gem")[gem]
    spread = (float(row["most"]) - float(row["least"])) / 2 / math.sqrt(3)
    gravity = Reading(float(row["specific_gravity"]), spread, _ALWAYS_KNOWN)
    return gravity, Reading(1.0, 0.04 / math.sqrt(3), _ALWAYS_KNOWN)


@dataclass(frozen=True, eq=False)
class Plan:
    """The whole plan of one job.

    `sizes` are quantities by name (see `RESULTS`); `stock`, `passes`, `joints`, `weights`, `minutes` are
    tables. Both are made when they are first asked for; `plain` gives a result as a bare number.
    """

    job: Job
    carried: Carried
    blanks: tuple[Blank, ...]
    runs: Mapping[str, tuple[Pass, ...]]
    starts: Mapping[str, float]
    drill: float
    drill_steps: tuple[float, ...]
    fold: Fold
    setting_heats: tuple[Heat, ...]
    nut_heats: tuple[Heat, ...]
    remarks: tuple[Remark, ...]
    quote: price.Quote = field(repr=False)
    hallmark: bool = False

    def plain(self, name: str) -> float:
        """A result of `RESULTS` as a plain number in its unit."""
        return self.carried.results[name].value

    @cached_property
    def sizes(self) -> Mapping[str, Planned]:
        """Every planned size and weight as a quantity with its doubt, by the names of `RESULTS`."""
        return MappingProxyType({name: _planned(name, self.carried.results[name]) for name in RESULTS})

    @cached_property
    def stock(self) -> Any:
        """A row a blank: what to roll, draw and cut."""
        columns = tuple(Blank.__dataclass_fields__)
        return frame(columns, [tuple(getattr(b, c) for c in columns) for b in self.blanks])

    @cached_property
    def passes(self) -> Any:
        """A row a pass, for every stock: through which hole or to which thickness."""
        rolled = {part for part, _, _ in ROLLED}
        rows = [
            (
                part,
                "roll" if part in rolled else "draw",
                at,
                p.size_mm,
                p.reduction,
                p.since_anneal,
                p.anneal_before,
                p.length_ratio,
            )
            for part, run in self.runs.items()
            for at, p in enumerate(run, 1)
        ]
        columns = (
            "part",
            "how",
            "pass",
            "size_mm",
            "reduction",
            "since_anneal",
            "anneal_before",
            "length_ratio",
        )
        return frame(columns, rows)

    @cached_property
    def joints(self) -> Any:
        """A row a heat, in order: solder, its flow point, what to shield, and how much solder."""
        columns = ("piece", "joint", "solder", "flow_degC", "shield", "solder_mm3", "pallions")
        return frame(columns, list(self.joint_rows()))

    def joint_rows(self) -> Iterator[tuple[str, str, str, float, tuple[str, ...], float, int]]:
        """The rows of `joints`."""
        choices = self.job.choices
        one = pallion_volume.plain(choices["pallion_side"], choices["pallion_thickness"])
        areas = dict(SETTING_JOINTS + NUT_JOINTS)
        claws = self.job.claws
        places = {"claws to ring": claws, "crossing": butt_joints(claws), "folds": 2}
        for piece, heats in (("setting", self.setting_heats), ("nut", self.nut_heats)):
            for heat in heats:
                needed = joint_solder.plain(
                    self.plain(areas[heat.joint]), choices["solder_gap"], choices["solder_fillet"]
                )
                spots = places.get(heat.joint, 1)
                count = spots * pallions(needed / spots, one)
                yield piece, heat.joint, heat.solder, heat.flow_degC, heat.shield, needed, count

    @cached_property
    def weights(self) -> Any:
        """A row a part, with the doubt for 95 % and what the balance showed of the pattern."""
        columns = ("part", "weight_g", "uncertainty_g", "pattern_g", "agrees")
        return frame(columns, list(self.weight_rows()))

    def weight_rows(self) -> Iterator[tuple[str, float, float, float, str]]:
        """The rows of `weights`. The pattern's weight is NaN where it was not weighed."""
        for name in WEIGHED_PARTS:
            part = self.carried.results[name]
            pattern = self.job.readings.get({"earring_weight": "weight"}.get(name, name))
            band = coverage(part.degrees_of_freedom) * part.standard_uncertainty
            if pattern is None:
                yield RESULTS[name][0], part.value, band, math.nan, ""
                continue
            both = difference_band(part, pattern)
            agrees = "yes" if abs(pattern.value - part.value) <= both else "no"
            yield RESULTS[name][0], part.value, band, pattern.value, agrees

    @cached_property
    def metal_taken(self) -> float:
        """Metal that all blanks take from the drawer, in g."""
        return sum(blank.weight_g for blank in self.blanks)

    @cached_property
    def loss(self) -> LossBudget:
        """What comes back as offcuts and lemel, and what is lost, as plain numbers in g."""
        leaves = metal_without_solder(self.carried, self.metal_taken)
        found: LossBudget = loss_budget.plain(self.metal_taken, leaves, self.job.choices["lemel_recovered"])
        return found

    def to_alloy(self) -> dict[str, float]:
        """Fine metals to melt together, in g by element, if there is no such alloy in the drawer."""
        return {element: share * self.metal_taken for element, share in composition(self.job.alloy).items()}

    @cached_property
    def minutes(self) -> Any:
        """A row a stage: least, likely and most minutes."""
        stages = price.stage_minutes()
        return frame(("stage", "least", "likely", "most"), [(s, *m) for s, m in stages.items()])

    def card(self, path: str | Path) -> Path:
        """Write the bench card (``.pdf``) or the cut list (``.csv``).

        Args:
            path: where to; the ending says which.

        Returns:
            The path.

        Raises:
            Refused: another ending, or a folder that cannot be written to; nothing is overwritten then.
        """
        ending = Path(path).suffix.lower()
        if ending not in course_lib.CARD_WRITERS:
            kinds = " or ".join(course_lib.CARD_WRITERS)
            raise Refused(f"{path}: a card is written as {kinds}. Change the ending of the name.")
        write: Callable[[Plan, Path], Path] = resolve_name(course_lib.CARD_WRITERS[ending])
        return write(self, Path(path))


WEIGHED_PARTS = (
    "ring_weight",
    "claws_weight",
    "post_weight",
    "solder_weight",
    "stone_weight",
    "earring_weight",
    "plate_weight",
    "scroll_weight",
    "nut_solder_weight",
    "nut_weight",
    "metal_weight",
)


def make_plan(job: Job) -> Plan:
    """The work behind `Job.plan`."""
    alloy, choices, remarks = alloy_facts(job.alloy), job.choices, [Remark(text) for text in job.remarks]
    read = {key: reading.value for key, reading in job.readings.items()}
    rough = before_finish(read, choices)
    stocks = _stock_sizes(rough, choices, remarks)
    starts = _starts(job)
    runs = _runs(stocks, starts, alloy, choices, remarks)
    drill, drill_steps = _drill(read["post_wire"], choices, remarks)
    fold = _fold(rough, choices)
    fixed = Fixed(
        job.claws,
        choices,
        drill,
        fold.cuts,
        alloy.elastic_modulus,
        alloy.yield_soft,
        _worked_yield(runs["post"], alloy),
    )
    gravity, cut = _stone_readings(job.gem)
    doubted = {
        **_own_doubts(job),
        "density": Reading(alloy.density, alloy.density_doubt, _ALWAYS_KNOWN),
        "specific_gravity": gravity,
        "stone_factor": cut,
    }
    gauge_of = {key: gauge for key, (gauge, _) in job.shared.items() if key in job.readings}

    def sums(moved: Mapping[str, Any]) -> dict[str, Any]:
        together = {key: moved[key] + moved[gauge] for key, gauge in gauge_of.items()}
        return work_out({**moved, **together}, fixed)

    carried = carry(sums, doubted, RESULTS)
    stone = table_by("stones", "gem")[job.gem]
    read_and_known = {**doubted, **job.readings}
    strip_yield = _worked_yield(runs["scroll"], alloy)
    findings = Findings(read_and_known, carried, job.claws, choices, alloy.row, stone, strip_yield)
    remarks += suspicions(findings)
    solders = solders_for(job.alloy)
    margin = choices["solder_margin"]
    setting = _heats(SETTING_JOINTS, SETTING_FIRES, solders, alloy.solidus, margin, remarks)
    # the two gentlest solders for the nut, so that the curls keep more of their spring
    easiest = sorted(solders, key=lambda s: s.flow_degC)[:2]
    nut = _heats(NUT_JOINTS, NUT_FIRES, easiest, alloy.solidus, margin, remarks)
    blanks = tuple(_blanks(job, carried, rough, stocks, starts, runs, alloy.density))
    return Plan(
        job,
        carried,
        blanks,
        runs,
        starts,
        drill,
        drill_steps,
        fold,
        setting,
        nut,
        tuple(sorted(remarks, key=lambda r: not r.stop)),
        *_money(job, carried, blanks),
    )


def _own_doubts(job: Job) -> dict[str, Reading]:
    """Each reading with only the doubt that is its own, and each gauge with the doubt its readings share.

    A gauge that reads a little high reads every wire a little high: that must not average out.
    """
    own: dict[str, Reading] = {}
    for key, reading in job.readings.items():
        total = reading.standard_uncertainty**2
        rest = max(total - job.shared.get(key, ("", 0.0))[1] ** 2, 0.0)
        freedom = reading.degrees_of_freedom * (rest / total) ** 2 if total else reading.degrees_of_freedom
        own[key] = Reading(reading.value, math.sqrt(rest), max(freedom, 1.0))
    gauges = {gauge: Reading(0.0, doubt, _ALWAYS_KNOWN) for gauge, doubt in job.shared.values()}
    return own | gauges


def _planned(name: str, found: Reading) -> Planned:
    label, unit = RESULTS[name]
    return Planned(
        label,
        quantity(found.value, unit),
        quantity(found.standard_uncertainty, unit),
        found.degrees_of_freedom,
    )


def _stock_sizes(rough: Mapping[str, float], choices: Choices, remarks: list[Remark]) -> dict[str, float]:
    """What to roll or draw each worked stock to: the mill's next step, the plate's next hole."""
    step = choices["mill_step"]
    sizes = {key: math.ceil(rough[f"{key}_before_sanding"] / step - 1e-9) * step for _, key, _ in ROLLED}
    holes = numbers_of("drawplate", "diameter_mm")
    for part, key, _ in DRAWN:
        wanted = rough[f"{key}_before_sanding"]
        sizes[key] = min((h for h in holes if h >= wanted - 1e-9), default=wanted)
        if sizes[key] == wanted and wanted not in holes:
            remarks.append(
                Remark(f"{part}: the plate has no hole of {wanted:.2f} mm or more. Buy the wire.", True)
            )
    return sizes


def _starts(job: Job) -> dict[str, float]:
    """What each stock is made from: the sheet and the wire in the drawer."""
    drawer = {
        kind: job.readings[kind].value if kind in job.readings else job.choices[kind]
        for kind in ("sheet_start", "wire_start")
    }
    return {
        **{p: drawer["sheet_start"] for p, _, _ in ROLLED},
        **{p: drawer["wire_start"] for p, _, _ in DRAWN},
    }


def _runs(
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
                run = _roll_on_steps(starts[part], stocks[key], alloy, choices["mill_step"], hard)
            else:
                run = _route(starts[part], stocks[key], holes, alloy.draw_reduction, alloy.anneal_at, hard)
        except NoRoute as error:
            remarks.append(
                Remark(f"{part}: {str(error).split(': ', 1)[1]}", True, (f"stock for the {part}",))
            )
        runs[part] = tuple(run)
    return runs


def _roll_on_steps(
    start: float, finish: float, alloy: AlloyFacts, step: float, hard: float
) -> Sequence[Pass]:
    """Fewest passes; one or two more where only then every pass can be set on the mill's scale."""
    limits = (alloy.roll_reduction, alloy.anneal_at)
    fewest = passes = plan_rolling(start, finish, *limits, 0.0, hard)
    for more in range(3 if fewest else 0):
        if more:
            even = 1 - (finish / start) ** (1 / (len(fewest) + more))
            passes = plan_rolling(start, finish, min(limits[0], even + 1e-9), limits[1], 0.0, hard)
        settled = on_mill_steps(start, passes, step, *limits, hard)
        if settled is not passes:
            return settled
    return fewest


@cache
def _route(
    start: float, finish: float, holes: tuple[float, ...], reduction: float, anneal_at: float, hard: float
) -> tuple[Pass, ...]:
    """`plan_drawing`, kept: sliders ask for the same route again and again."""
    return tuple(plan_drawing(start, finish, holes, reduction, anneal_at, 0.0, hard))


def _worked_yield(run: Sequence[Pass], alloy: AlloyFacts) -> float:
    worked = run[-1].since_anneal if run else 0.0
    return float(yield_when_worked.plain(alloy.yield_soft, alloy.yield_hard, worked, alloy.anneal_at))


def _drill(post: float, choices: Choices, remarks: list[Remark]) -> tuple[float, tuple[float, ...]]:
    least, most = choices["hole_least"], choices["hole_most"]
    try:
        drill, _, steps = choose_drill(
            post, least, most, numbers_of("drills", "diameter_mm"), choices["hole_step"]
        )
    except NoDrill as error:
        remarks.append(Remark(str(error).split(": ", 1)[1], True, (label_of("post_wire"),)))
        return post + least, ()
    return drill, steps


def _heats(
    joints: Sequence[tuple[str, str]],
    fires: Sequence[Sequence[int]],
    solders: Sequence[Solder],
    solidus: float,
    margin: float,
    remarks: list[Remark],
) -> tuple[Heat, ...]:
    try:
        return tuple(plan_heats([name for name, _ in joints], solders, solidus, margin, fires))
    except NoSolder as error:
        remarks.append(Remark(str(error).split(": ", 1)[1], True))
        return ()


def _fold(rough: Mapping[str, float], choices: Choices) -> Fold:
    depth = choices["fold_share"] * rough["strip_thickness_before_polishing"]
    found: Fold = saw_fold.plain(choices["fold_angle"], choices.fold_kerf, depth)
    return found


def _blanks(
    job: Job,
    carried: Carried,
    rough: Mapping[str, float],
    stocks: Mapping[str, float],
    starts: Mapping[str, float],
    runs: Mapping[str, tuple[Pass, ...]],
    density: float,
) -> Iterator[Blank]:
    """Each blank, with the length of drawer stock it takes by constant volume."""
    results, waste = carried.results, job.choices["end_waste"]
    whole, half = divmod(job.claws, 2)
    if half:
        whole, half = 1, job.claws - 2
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
            part, form, number, job.readings[key].value,
            rough[f"{key}_before_polishing"], rough[f"{key}_before_sanding"], stock,
            length, width, start, taken, wide, section * taken * density / 1000,
        )  # fmt: skip

    yield blank("back plate", "disc", 1, "plate_thickness", disc, disc)
    yield blank("scroll", "strip", 1, "strip_thickness", strip, strip_width)
    for part, key, number, length in wires:
        yield blank(part, "wire", number, key, length, stocks[key])


def metal_without_solder(carried: Carried, taken: float) -> float:
    """Drawer metal that ends in earring and nut, in g; solder comes out of its own box."""
    metal, *solder = (
        carried.results[name].value for name in ("metal_weight", "solder_weight", "nut_solder_weight")
    )
    return max(0.0, min(metal - sum(solder), taken))


def _money(job: Job, carried: Carried, blanks: Sequence[Blank]) -> tuple[price.Quote, bool]:
    """The quote, and whether the piece is heavy enough for a hallmark."""
    taken = sum(b.weight_g for b in blanks)
    leaves = metal_without_solder(carried, taken)
    facts = alloy_facts(job.alloy)
    hallmark = price.hallmark_needed(facts.row["metal"], leaves)
    stages, rates = price.stage_minutes(), price.rates_from(job.choices.__getitem__)
    nut_minutes = stages["plate and hole"][1] + stages["scroll"][1]
    nut = max(carried.results["nut_weight"].value - carried.results["nut_solder_weight"].value, 0.0)
    shares = fine_metals(job.alloy)
    asked = price.quote_plain(taken, leaves, shares, rates, stages, 0.0, hallmark, nut_minutes, nut)
    return asked, hallmark
