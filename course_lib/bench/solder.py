"""Solder in order: hard, medium, easy, so that no finished joint flows again."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from course_lib.bench.refusals import NoSolder, Refused
from course_lib.bench.tables import frame
from course_lib.bench.units import (
    Area,
    FactorOrZero,
    Kind,
    Length,
    LengthOrZero,
    Volume,
    as_number,
    plain,
    with_units,
)

_HEAT = Kind("degC", "a temperature", "quantity(830, 'degC')", zero=True, negative=True)
_ROUNDING = 1e-9
_MARGIN = Kind("delta_degC", "a difference of temperature", "quantity(20, 'delta_degC')", zero=True)


@dataclass(frozen=True)
class Solder:
    """A solder: where it begins to melt and where it flows, in degC."""

    name: str
    solidus_degC: float
    flow_degC: float


@dataclass(frozen=True)
class Heat:
    """One heat: the joint made, its solder, and the finished joints to shield meanwhile."""

    joint: str
    solder: str
    flow_degC: float
    shield: tuple[str, ...]


def assign(joints: Sequence[str], solders: Any, metal_solidus: Any, margin: Any) -> Any:
    """Which solder for which joint, so that the fewest finished joints need shielding.

    Args:
        joints: their names, in the order they are made.
        solders: a table with the columns ``name, solidus_degC, flow_degC``.
        metal_solidus: temperature at which the metal itself begins to melt.
        margin: distance to keep, a difference of temperature.

    Returns:
        A table, a row a heat: ``joint, solder, flow_degC, shield``; `shield` is a tuple of names.

    Raises:
        NoSolder: no solder flows safely below the metal's solidus.
        Refused: no joints, a name twice, or a table that lacks a column.

    Basis: common practice: hard first, easy last. Where several choices shield equally few, each
    joint, in order, gets the solder that flows highest.

    >>> from course_lib.bench.tables import frame
    >>> from course_lib.bench.units import quantity
    >>> box = frame(("name", "solidus_degC", "flow_degC"),
    ...             [("hard", 760, 790), ("medium", 720, 745), ("easy", 680, 705)])
    >>> joints = ["ring seam", "crossing", "post"]
    >>> plan = assign(joints, box, quantity(830, "degC"), quantity(10, "delta_degC"))
    >>> list(plan.solder)
    ['hard', 'medium', 'easy']
    """
    missing = [c for c in ("name", "solidus_degC", "flow_degC") if c not in getattr(solders, "columns", ())]
    if missing:
        raise Refused(
            f"assign: solders lacks the column {missing[0]}; it needs name, solidus_degC and flow_degC."
        )
    box = [
        Solder(str(name), float(solidus), float(flow))
        for name, solidus, flow in zip(
            solders["name"], solders["solidus_degC"], solders["flow_degC"], strict=True
        )
    ]
    heats = plan_heats(
        list(joints),
        box,
        plain(metal_solidus, _HEAT, "metal_solidus", "assign"),
        plain(margin, _MARGIN, "margin", "assign"),
    )
    return frame(
        ("joint", "solder", "flow_degC", "shield"),
        [(h.joint, h.solder, h.flow_degC, h.shield) for h in heats],
    )


def plan_heats(
    joints: Sequence[str],
    solders: Sequence[Solder],
    metal_solidus: float,
    margin: float,
    in_the_fire: Sequence[Sequence[int]] | None = None,
) -> list[Heat]:
    """The inner form of `assign`, on plain temperatures.

    A joint is not in every later fire: a ring's seam is not yet there when the crossing is soldered.

    Args:
        joints: their names, in the order they are made.
        solders: those at hand.
        metal_solidus: where the metal begins to melt, in degC.
        margin: how many degrees are to be kept below what must not melt.
        in_the_fire: for each heat the places of the earlier joints that are heated with it; left out, all.

    Returns:
        A heat for each joint, in order.

    Raises:
        Refused: a joint comes twice or none comes, or a solder flows before it begins to melt.
        NoSolder: none flows far enough below the metal.
    """
    if not joints or len(set(joints)) != len(joints):
        raise Refused("assign: joints must be one name or more, each only once, in the order they are made.")
    for solder in solders:
        if not (math.isfinite(solder.solidus_degC) and solder.solidus_degC <= solder.flow_degC < math.inf):
            raise Refused(
                f"assign: the solder {solder.name!r} flows at {solder.flow_degC:g} degC and begins to melt "
                f"at {solder.solidus_degC:g}; it must begin to melt first."
            )
    usable = [s for s in solders if s.flow_degC <= metal_solidus - margin + _ROUNDING]
    if not usable:
        lowest = min(solders, key=lambda s: s.flow_degC, default=None)
        said = (
            f"the lowest, {lowest.name}, flows at {lowest.flow_degC:g} degC" if lowest else "there are none"
        )
        raise NoSolder(
            f"assign: cannot be done with these solders: the metal begins to melt at {metal_solidus:g} "
            f"degC and {margin:g} degrees are to be kept, but {said}. Get an easier solder."
        )
    usable.sort(key=lambda s: (-s.flow_degC, -s.solidus_degC, s.name))
    fires = [list(range(at)) for at in range(len(joints))] if in_the_fire is None else in_the_fire
    chosen = [usable[i] for i in _fewest_shields(fires, usable, margin)]
    return _heats(joints, chosen, fires, margin)


def _fewest_shields(
    fires: Sequence[Sequence[int]], usable: Sequence[Solder], margin: float
) -> tuple[int, ...]:
    """The choice with the fewest shields, as places in `usable`, hardest first where several are equal.

    What is still to come depends only on which solders hold the finished joints that later fires
    reach, not on which joint has which; so choices that leave the same are kept as one, the best.
    """
    melts = [[_flows_again(other, heat.flow_degC, margin) for other in usable] for heat in usable]
    later = [sum(1 << at for at, fire in enumerate(fires) if joint in fire) for joint in range(len(fires))]
    best: dict[tuple[tuple[int, int], ...], tuple[int, tuple[int, ...]]] = {(): (0, ())}
    for at, fire in enumerate(fires):
        following: dict[tuple[tuple[int, int], ...], tuple[int, tuple[int, ...]]] = {}
        for shields, chosen in best.values():
            for solder in range(len(usable)):
                added = sum(melts[solder][chosen[joint]] for joint in fire)
                way = (shields + added, (*chosen, solder))
                left = tuple(sorted((later[joint] >> (at + 1), s) for joint, s in enumerate(way[1])))
                if left not in following or way < following[left]:
                    following[left] = way
        best = following
    return min(best.values())[1]


def _flows_again(finished: Solder, heat_degC: float, margin: float) -> bool:
    return heat_degC > finished.solidus_degC - margin + _ROUNDING


def _heats(
    joints: Sequence[str], chosen: Sequence[Solder], fires: Sequence[Sequence[int]], margin: float
) -> list[Heat]:
    heats = []
    for joint, solder, fire in zip(joints, chosen, fires, strict=True):
        shield = tuple(joints[i] for i in fire if _flows_again(chosen[i], solder.flow_degC, margin))
        heats.append(Heat(joint, solder.name, solder.flow_degC, shield))
    return heats


@with_units
def joint_solder(area: Area, gap: LengthOrZero, fillet: FactorOrZero) -> Volume:
    """Solder that a joint takes.

    Args:
        area: of the faces that meet.
        gap: between them.
        fillet: what stays in the corner, as a share of what fills the gap.

    Returns:
        The volume in mm3.

    Basis: gap x area, and a fillet by common practice; gaps of 0.05 to 0.13 mm suit silver fillers
    (Machinery's Handbook, 31st ed., Table 1a).

    >>> from course_lib.bench.units import quantity, size
    >>> print(f"{joint_solder(quantity(2, 'mm**2'), size('0.05 mm'), 0.5):.3f~P}")
    0.150 mm³
    """
    return area * gap * (1 + fillet)


@with_units
def pallion_volume(side: Length, thickness: Length) -> Volume:
    """Solder in one square pallion.

    >>> from course_lib.bench.units import size
    >>> print(f"{pallion_volume(size('0.7 mm'), size('0.15 mm')):.4f~P}")
    0.0735 mm³
    """
    return side**2 * thickness


def pallions(volume: float, one: float) -> int:
    """How many whole pallions hold that volume of solder.

    >>> pallions(0.15, 0.0735)
    3
    """
    return max(1, math.ceil(volume / one - 1e-9))


@with_units
def round_joint(wire: Length) -> Area:
    """The area where a round wire is butted square against metal.

    >>> from course_lib.bench.units import size
    >>> print(f"{round_joint(size('0.9 mm')):.3f~P}")
    0.636 mm²
    """
    return np.pi / 4 * wire**2


@with_units
def groove_joint(ring_wire: Length, claw_wire: Length, groove_depth: Length) -> Area:
    """The area where a claw lies in its groove, strip by strip along the claw.

    Args:
        ring_wire: the ring's wire.
        claw_wire: the claw's wire.
        groove_depth: of the groove.

    Returns:
        The area in mm2.

    Formula: each strip of the groove's round floor is as long as the chord that its own depth cuts from
    the ring's wire; the ring is taken as straight over the width of a claw.

    >>> from course_lib.bench.units import size
    >>> print(f"{groove_joint(size('0.9 mm'), size('0.8 mm'), size('0.27 mm')):.3f~P}")
    0.665 mm²
    """
    claw, depth = np.asarray(claw_wire, dtype=float) / 2, np.asarray(groove_depth, dtype=float)
    edge = np.arccos(1 - np.minimum(depth, claw) / claw)
    # strips from the middle of the floor to its edge; by a sine, so that the square root ends gently there
    places = (np.arange(24) + 0.5) / 24 * np.pi / 2
    turned = edge[..., None] * np.sin(places)
    into = depth[..., None] - claw[..., None] * (1 - np.cos(turned))
    chord = 2 * np.sqrt(np.maximum(into * (np.asarray(ring_wire, dtype=float)[..., None] - into), 0))
    return as_number(2 * claw * edge * (chord * np.cos(places)).mean(axis=-1) * np.pi / 2)
