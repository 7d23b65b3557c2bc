"""A plan: everything that making the duplicate takes, as people hold it in their hands."""

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from pkgutil import resolve_name
from types import MappingProxyType
from typing import Any

from course_lib.bench import price
from course_lib.bench.carry import Carried
from course_lib.bench.forming import Fold, Pass
from course_lib.bench.lemel import LossBudget, loss_budget
from course_lib.bench.measuring import Measured, Reading, coverage, difference_band
from course_lib.bench.metal import composition
from course_lib.bench.pattern import Pattern
from course_lib.bench.refusals import Refused
from course_lib.bench.solder import Heat, joint_solder, pallion_volume, pallions
from course_lib.bench.stock import ROLLED, Blank
from course_lib.bench.suspicions import Remark
from course_lib.bench.tables import frame
from course_lib.bench.units import quantity
from course_lib.bench.whole_piece import NUT_JOINTS, RESULTS, SETTING_JOINTS, butt_joints

# Who writes a bench card of which kind, by file ending. The bench computes a plan and looks here by
# name, so it never has to know the room that draws.
CARD_WRITERS = {
    ".csv": "course_lib.bench.cut_list:write_cut_list",
    ".pdf": "course_lib.screen.card:write_card",
}


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
class Plan:
    """The whole plan of one job.

    `sizes` are quantities by name (see `RESULTS`); `stock`, `passes`, `joints`, `weights`, `minutes` are
    tables. Both are made when they are first asked for; `plain` gives a result as a bare number.
    """

    job: Pattern
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
        if ending not in CARD_WRITERS:
            kinds = " or ".join(CARD_WRITERS)
            raise Refused(f"{path}: a card is written as {kinds}. Change the ending of the name.")
        write: Callable[[Plan, Path], Path] = resolve_name(CARD_WRITERS[ending])
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


def metal_without_solder(carried: Carried, taken: float) -> float:
    """Drawer metal that ends in earring and nut, in g; solder comes out of its own box."""
    metal, *solder = (
        carried.results[name].value for name in ("metal_weight", "solder_weight", "nut_solder_weight")
    )
    return max(0.0, min(metal - sum(solder), taken))


def _planned(name: str, found: Reading) -> Planned:
    label, unit = RESULTS[name]
    return Planned(
        label,
        quantity(found.value, unit),
        quantity(found.standard_uncertainty, unit),
        found.degrees_of_freedom,
    )
