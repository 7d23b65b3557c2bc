"""Roll and draw: fewest passes, anneals before the metal tires, lengths that keep their volume."""

import bisect
import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from course_lib.bench.refusals import NoRoute, Refused
from course_lib.bench.tables import frame
from course_lib.bench.units import (
    Angle,
    Area,
    Factor,
    FactorOrZero,
    Kind,
    Length,
    LengthOrZero,
    as_list,
    as_number,
    plain,
    with_units,
)

_SLACK = 1e-9
_MOST_PASSES = 1000
_LENGTH = Kind("mm", "a length", "size('0.8 mm')")
_PART = Kind("", "a share between 0 and 1", "0.12", most=1)
_PART_OR_ZERO = Kind("", "a share between 0 and 1", "0.3", zero=True, most=1)


@dataclass(frozen=True)
class Pass:
    """One pass through the mill or one hole of the plate. Lengths in mm, reductions as shares."""

    size_mm: float
    reduction: float
    since_anneal: float
    anneal_before: bool
    length_ratio: float


def roll(
    start: Any,
    finish: Any,
    pass_reduction: float,
    anneal_at: float,
    worked: float = 0.0,
    end_worked: float = 0.0,
) -> Any:
    """The passes that roll a sheet or strip down: the fewest, then with the fewest anneals.

    Args:
        start: thickness now.
        finish: thickness wanted.
        pass_reduction: the most a pass may take, as a share of the thickness before it.
        anneal_at: the most cold reduction since the last anneal, as a share.
        worked: cold reduction that the metal already has at the start, as a share.
        end_worked: least cold reduction at the end, as a share, so that the strip springs.

    Returns:
        A table, a row a pass: ``thickness_mm, reduction, since_anneal, anneal_before, length_ratio``;
        `length_ratio` is the length after the pass over the length at the start (width kept).

    Raises:
        NoRoute: the finish is not thinner than the start, or cannot end as hard as asked.
        Refused: an argument that is not sound.

    Formula: cold reductions since an anneal add up as 1 - t/t0, not as percentages (Askeland and
    Phule, example 8.1). Rolling is taken as plane strain: no spread in width.

    >>> from course_lib.bench.units import size
    >>> table = roll(size("1.5 mm"), size("0.6 mm"), 0.15, 0.5)
    >>> len(table), int(table.anneal_before.sum())
    (6, 1)
    """
    passes = plan_rolling(
        plain(start, _LENGTH, "start", "roll"),
        plain(finish, _LENGTH, "finish", "roll"),
        *_limits("roll", pass_reduction, anneal_at, worked, end_worked),
    )
    return pass_table("thickness_mm", passes)


def draw(
    start: Any,
    finish: Any,
    holes: Sequence[Any],
    pass_reduction: float,
    anneal_at: float,
    worked: float = 0.0,
    end_worked: float = 0.0,
) -> Any:
    """The holes to draw a round wire through: the fewest, then with the fewest anneals.

    Args:
        start: diameter now.
        finish: diameter wanted; it must be one of the holes.
        holes: the diameters the plate really has.
        pass_reduction: the most area a pass may take, as a share.
        anneal_at: the most cold reduction of area since the last anneal, as a share.
        worked: cold reduction that the metal already has at the start, as a share.
        end_worked: least cold reduction at the end, as a share, so that the wire is stiff.

    Returns:
        A table, a row a pass: ``diameter_mm, reduction, since_anneal, anneal_before, length_ratio``.

    Raises:
        NoRoute: no choice of these holes does it; the message says why.
        Refused: an argument that is not sound.

    Formula: reduction of area 1 - (d/d0)^2; a practical limit for wire is 0.30 a pass (Groover,
    Fundamentals of Modern Manufacturing, 18.6.1).

    >>> from course_lib.bench.units import size
    >>> plate = [size(f"{d} mm") for d in ("0.8", "0.85", "0.9", "0.95", "1.0")]
    >>> list(draw(size("1.0 mm"), size("0.8 mm"), plate, 0.20, 0.5).diameter_mm)
    [0.9, 0.85, 0.8]
    """
    passes = plan_drawing(
        plain(start, _LENGTH, "start", "draw"),
        plain(finish, _LENGTH, "finish", "draw"),
        [plain(hole, _LENGTH, "holes", "draw") for hole in as_list(holes)],
        *_limits("draw", pass_reduction, anneal_at, worked, end_worked),
    )
    return pass_table("diameter_mm", passes)


def _limits(by: str, pass_reduction: Any, anneal_at: Any, worked: Any, end_worked: Any) -> tuple[float, ...]:
    limits = (
        plain(pass_reduction, _PART, "pass_reduction", by),
        plain(anneal_at, _PART, "anneal_at", by),
        plain(worked, _PART_OR_ZERO, "worked", by),
        plain(end_worked, _PART_OR_ZERO, "end_worked", by),
    )
    names = ("pass_reduction", "anneal_at", "worked", "end_worked")
    for name, value in zip(names, limits, strict=True):
        if value >= 1:
            raise Refused(f"{by}: {name} came as {value:g}; a share below 1 does, for example 0.12.")
    return limits


def pass_table(size_column: str, passes: Sequence[Pass]) -> Any:
    """A table of passes, with the column names of the contract."""
    columns = (size_column, "reduction", "since_anneal", "anneal_before", "length_ratio")
    rows = [(p.size_mm, p.reduction, p.since_anneal, p.anneal_before, p.length_ratio) for p in passes]
    return frame(columns, rows)


def plan_rolling(
    start: float,
    finish: float,
    pass_reduction: float,
    anneal_at: float,
    worked: float = 0.0,
    end_worked: float = 0.0,
) -> list[Pass]:
    """The inner form of `roll`.

    Written in logarithms, where reductions add: the whole way is ln(start/finish), a pass takes at
    most -ln(1 - pass_reduction), the way between two anneals is at most -ln(1 - anneal_at).

    Args:
        start: thickness now, in mm.
        finish: thickness wanted, in mm.
        pass_reduction: the most a pass may take, as a share of the thickness before it.
        anneal_at: the most cold reduction since the last anneal, as a share.
        worked: cold reduction that the metal already has at the start, as a share.
        end_worked: least cold reduction at the end, as a share.

    Returns:
        The passes, first to last; none where the metal is as thin already.

    Raises:
        NoRoute: the finish is not thinner than the start, or cannot end as hard as asked.
    """
    if finish > start * (1 + _SLACK):
        raise NoRoute(f"roll: {finish:g} mm is thicker than the start, {start:g} mm; rolling only thins.")
    way = math.log(start / finish)
    if way < _SLACK:
        _check_end(worked, end_worked, "roll", start, finish)
        return []
    one, between = -math.log1p(-pass_reduction), -math.log1p(-anneal_at)
    hard = -math.log1p(-end_worked) if end_worked else 0.0
    spent = -math.log1p(-worked) if worked else 0.0
    if hard > between + _SLACK:
        raise NoRoute(
            f"roll: the strip is to end {end_worked * 100:.0f} % worked, but it must be annealed at "
            f"{anneal_at * 100:.0f} %. Ask for less hardness."
        )
    if hard > way + spent + _SLACK:
        raise NoRoute(
            f"roll: from {start:g} to {finish:g} mm works the metal {(1 - finish / start) * 100:.0f} %, "
            f"less than the {end_worked * 100:.0f} % it should end with. Start thicker, or ask for less "
            "hardness."
        )
    if hard > way + _SLACK and spent + way > between + _SLACK:
        raise NoRoute(
            f"roll: the strip must be annealed on the way, and from {start:g} to {finish:g} mm works it "
            f"only {(1 - finish / start) * 100:.0f} % after that, less than the {end_worked * 100:.0f} % "
            "it should end with. Start thicker."
        )
    least = max(1, math.ceil(way / min(one, between) - _SLACK))
    if least > _MOST_PASSES:
        raise NoRoute(
            f"roll: from {start:g} to {finish:g} mm takes more than {_MOST_PASSES} passes within these "
            "limits. Let a pass take more, for example 0.12."
        )
    for count in range(least, least + 3):
        for runs in range(max(1, math.ceil(way / between - _SLACK)), count + 1):
            split = _share_out(way, count, runs, one, between, spent, hard)
            if split:
                return _rolled(start, finish, split, worked)
    raise NoRoute(f"roll: no run of passes leads from {start:g} to {finish:g} mm within these limits.")


def _share_out(
    way: float, count: int, runs: int, one: float, between: float, spent: float, hard: float
) -> list[tuple[bool, int, float]] | None:
    """Share `count` passes and the whole way among `runs` runs between anneals, if it can be done.

    Returns (anneal before the run, passes, way) for each run. The first run has only what the metal's
    earlier work left it; if it has nothing left, it starts with an anneal.
    """
    for fresh in (False, True):
        room = [between - (0.0 if fresh else spent)] + [between] * (runs - 1)
        to_harden = hard - (0.0 if fresh or runs > 1 else spent)
        passes = _passes_for_runs(count, room, one, to_harden)
        if passes is None:
            continue
        most = [min(n * one, r) for n, r in zip(passes, room, strict=True)]
        if sum(most) < way - _SLACK:
            continue
        takes = _fill(most, way, to_harden)
        if takes:
            return list(zip([fresh] + [True] * (runs - 1), passes, takes, strict=True))
    return None


def _passes_for_runs(count: int, room: Sequence[float], one: float, hard: float) -> list[int] | None:
    """Give each run a pass, the last one what its hardness needs, then the rest where they gain most."""
    passes = [1] * len(room)
    passes[-1] = max(1, math.ceil(hard / one - _SLACK))
    left = count - sum(passes)
    if left < 0 or min(room) < _SLACK:
        return None
    whole = [math.floor(r / one + _SLACK) for r in room]  # passes of a run that can take all a pass may
    filled = [math.ceil(r / one - _SLACK) for r in room]  # passes after which a run can take no more
    by_rest = sorted(range(len(room)), key=lambda i: room[i] - whole[i] * one, reverse=True)
    for enough, order in ((whole, range(len(room) - 1, -1, -1)), (filled, by_rest)):
        for i in order:
            more = min(left, max(0, enough[i] - passes[i]))
            passes[i] += more
            left -= more
    passes[-1] += left
    return passes


def _fill(most: Sequence[float], way: float, hard: float) -> list[float] | None:
    """Share the way out by what each run can take, the last one at least `hard`; None if that is too much."""
    last = max(way * most[-1] / sum(most), hard)
    others = sum(most[:-1])
    if last > most[-1] + _SLACK or (last >= way if others else last > way + _SLACK):
        return None
    return [m * (way - last) / others for m in most[:-1]] + [last]


def _rolled(start: float, finish: float, split: list[tuple[bool, int, float]], worked: float) -> list[Pass]:
    passes: list[Pass] = []
    now, soft = start, start / (1 - worked)
    for anneal, count, take in split:
        for step in range(count):
            before = now
            now *= math.exp(-take / count)
            if anneal and step == 0:
                soft = before
            passes.append(Pass(now, 1 - now / before, 1 - now / soft, anneal and step == 0, start / now))
    last = passes[-1]
    before = passes[-2].size_mm if len(passes) > 1 else start
    passes[-1] = Pass(finish, 1 - finish / before, 1 - finish / soft, last.anneal_before, start / finish)
    return passes


def on_mill_steps(
    start: float,
    passes: list[Pass],
    step: float,
    pass_reduction: float,
    anneal_at: float,
    end_worked: float = 0.0,
) -> list[Pass]:
    """The same passes with the mill set to whole steps, where that keeps every limit; else as they are.

    Args:
        start: thickness before the first pass, in mm.
        passes: as `plan_rolling` gives them.
        step: of the mill's scale, in mm.
        pass_reduction: the most a pass may take, as a share of the thickness before it.
        anneal_at: the most cold reduction since the last anneal, as a share.
        end_worked: least cold reduction at the end, as a share.

    Returns:
        The passes with the mill set to whole steps, or those that came.
    """
    if not passes:
        return passes
    sizes = [p.size_mm for p in passes]
    for at in range(len(sizes) - 2, -1, -1):
        # no thicker than the next pass can still bring down to its own size
        highest = math.floor(sizes[at + 1] / (1 - pass_reduction) / step + _SLACK)
        sizes[at] = round(min(math.floor(sizes[at] / step + 0.5), highest) * step, 6)
    rounded = _at_sizes(start, sizes, passes)
    kept = all(0 < p.reduction <= pass_reduction + _SLACK and p.since_anneal <= anneal_at for p in rounded)
    return rounded if kept and rounded[-1].since_anneal >= end_worked - _SLACK else passes


def _at_sizes(start: float, sizes: Sequence[float], passes: Sequence[Pass]) -> list[Pass]:
    """The same passes and anneals at other thicknesses."""
    moved = []
    before = soft = start
    for size, p in zip(sizes, passes, strict=True):
        soft = before if p.anneal_before else soft
        moved.append(Pass(size, 1 - size / before, 1 - size / soft, p.anneal_before, start / size))
        before = size
    return moved


def _check_end(worked: float, end_worked: float, by: str, start: float, finish: float) -> None:
    if worked < end_worked - _SLACK:
        raise NoRoute(
            f"{by}: from {start:g} to {finish:g} mm does not work the metal, so it cannot end "
            f"{end_worked * 100:.0f} % worked. Start larger."
        )


def plan_drawing(
    start: float,
    finish: float,
    holes: Sequence[float],
    pass_reduction: float,
    anneal_at: float,
    worked: float = 0.0,
    end_worked: float = 0.0,
) -> list[Pass]:
    """The inner form of `draw`.

    Walks the plate from large to small. For each hole and each place of the last anneal it keeps the
    best way there: fewest passes, then fewest anneals. Limits are compared as diameters.

    Args:
        start: diameter now, in mm.
        finish: diameter wanted, in mm; it must be one of the holes.
        holes: the diameters the plate really has, in mm.
        pass_reduction: the most area a pass may take, as a share.
        anneal_at: the most cold reduction of area since the last anneal, as a share.
        worked: cold reduction of area that the metal already has at the start, as a share.
        end_worked: least cold reduction of area at the end, as a share.

    Returns:
        The passes, first to last; none where the wire is as thin already.

    Raises:
        NoRoute: no choice of these holes does it; the message says why.
    """
    if finish > start * (1 + _SLACK):
        raise NoRoute(f"draw: {finish:g} mm is thicker than the start, {start:g} mm; drawing only thins.")
    if finish > start * (1 - _SLACK):
        _check_end(worked, end_worked, "draw", start, finish)
        return []
    plate = sorted({h for h in holes if finish * (1 - _SLACK) <= h < start * (1 - _SLACK)}, reverse=True)
    if not plate or plate[-1] > finish * (1 + _SLACK):
        near = sorted(set(holes), key=lambda h: abs(h - finish))[:2]
        raise NoRoute(
            f"draw: the plate has no hole of {finish:g} mm; the nearest are "
            f"{' and '.join(f'{h:g}' for h in sorted(near))} mm."
            if near
            else "draw: the plate has no holes."
        )
    sizes = [start, *plate]
    shrink, tire = math.sqrt(1 - pass_reduction), math.sqrt(1 - anneal_at)
    soft_at_start = start / math.sqrt(1 - worked)
    route = _best_route(sizes, shrink, tire, soft_at_start, finish / math.sqrt(1 - end_worked))
    if route is None:
        raise NoRoute(_why_no_route(sizes, shrink, tire, pass_reduction, anneal_at, end_worked))
    return _drawn(sizes, route, soft_at_start)


_Way = tuple[int, int, tuple[int, ...]]


# passes, anneals, unevenness of the runs between anneals, unevenness of the passes
_Cost = tuple[int, int, float, float]


def _best_route(
    sizes: Sequence[float], shrink: float, tire: float, soft_at_start: float, hard_from: float
) -> list[tuple[int, bool]] | None:
    """Fewest passes, then fewest anneals, then the evenest spacing of anneals and passes.

    Given as (index of the size, annealed before it) pairs. Evenness is the sum of the squares of the
    logarithms of the runs between anneals, then of the passes: least where they are alike.
    """
    last = len(sizes) - 1
    upward = [-s for s in sizes]
    logs = [math.log(s) for s in sizes]
    log_soft = math.log(soft_at_start)
    # state: (place on the plate, place of the last anneal, -1 for "before the start")
    best: dict[tuple[int, int], _Cost] = {(0, -1): (0, 0, 0.0, 0.0)}
    came: dict[tuple[int, int], tuple[tuple[int, int], bool]] = {}
    layer = [(0, -1)]
    while layer:
        following: dict[tuple[int, int], _Cost] = {}
        for here in layer:
            place, soft = here
            passes, anneals, runs, steps = best[here]
            for anneal in (False, True):
                origin = sizes[place] if anneal else (soft_at_start if soft < 0 else sizes[soft])
                floor = max(sizes[place] * shrink, origin * tire) * (1 - _SLACK)
                run = ((log_soft if soft < 0 else logs[soft]) - logs[place]) ** 2 if anneal else 0.0
                for to in range(place + 1, bisect.bisect_right(upward, -floor)):
                    there = (to, place if anneal else soft)
                    if there in best:
                        continue
                    step = (logs[place] - logs[to]) ** 2
                    cost = (passes + 1, anneals + anneal, runs + run, steps + step)
                    if there not in following or cost < following[there]:
                        following[there] = cost
                        came[there] = (here, anneal)
        best.update(following)
        done = [
            ((cost[0], cost[1], cost[2] + _last_run(sizes, state, soft_at_start), cost[3]), state)
            for state, cost in following.items()
            if state[0] == last
            and (soft_at_start if state[1] < 0 else sizes[state[1]]) >= hard_from * (1 - _SLACK)
        ]
        if done:
            state = min(done)[1]
            route: list[tuple[int, bool]] = []
            while state in came:
                earlier, anneal = came[state]
                route.append((state[0], anneal))
                state = earlier
            return route[::-1]
        layer = list(following)
    return None


def _last_run(sizes: Sequence[float], state: tuple[int, int], soft_at_start: float) -> float:
    """How uneven the run since the last anneal is."""
    place, soft = state
    return math.log((soft_at_start if soft < 0 else sizes[soft]) / sizes[place]) ** 2


def _why_no_route(
    sizes: Sequence[float],
    shrink: float,
    tire: float,
    pass_reduction: float,
    anneal_at: float,
    end_worked: float,
) -> str:
    limit = max(shrink, tire)
    for before, after in pairwise(sizes):
        if after < before * limit * (1 - _SLACK):
            taken = 1 - (after / before) ** 2
            return (
                f"draw: from {before:g} mm the next hole is {after:g} mm, which takes {taken * 100:.0f} % "
                f"of the area; the limit is {(min(pass_reduction, anneal_at)) * 100:.0f} %. A hole between "
                "them is missing."
            )
    return (
        f"draw: the wire cannot end {end_worked * 100:.0f} % worked with these holes and an anneal at "
        f"{anneal_at * 100:.0f} %. Ask for less."
    )


def _drawn(sizes: Sequence[float], route: Sequence[tuple[int, bool]], soft: float) -> list[Pass]:
    passes, before = [], sizes[0]
    for place, anneal in route:
        now = sizes[place]
        soft = before if anneal else soft
        passes.append(
            Pass(now, 1 - (now / before) ** 2, 1 - (now / soft) ** 2, anneal, (sizes[0] / now) ** 2)
        )
        before = now
    return passes


@with_units
def length_after(length: Length, area_before: Area, area_after: Area) -> Length:
    """How long a bar is after its section has changed: the volume stays.

    Args:
        length: before.
        area_before: section before.
        area_after: section after.

    Returns:
        The length after, in mm. Read backwards (areas exchanged) it gives the length to start from.

    Formula: volume constancy (Groover, Fundamentals of Modern Manufacturing, example 3.2).

    >>> from course_lib.bench.units import quantity, size
    >>> print(length_after(size("10 mm"), quantity(4, "mm**2"), quantity(1, "mm**2")))
    40.0 mm
    """
    return length * area_before / area_after


@with_units
def largest_draft(friction: Factor, roll_radius: Length) -> Length:
    """The most a mill can thin a sheet in one pass before its rolls slip.

    Args:
        friction: between roll and sheet, about 0.1 cold.
        roll_radius: of a roll.

    Returns:
        The draft (thickness before less thickness after), in mm.

    Source: Groover, Fundamentals of Modern Manufacturing, equation 18.8: d = friction^2 x radius.

    >>> from course_lib.bench.units import size
    >>> print(f"{largest_draft(0.12, size('250 mm')):.1f~P}")
    3.6 mm
    """
    return friction**2 * roll_radius


@with_units
def bend_length(
    angle: Angle, inside_radius: LengthOrZero, thickness: Length, neutral: FactorOrZero | None = None
) -> Length:
    """The length of metal that a bend uses up, along the line that neither stretches nor shortens.

    Args:
        angle: turned through.
        inside_radius: of the bend.
        thickness: of the sheet or wire.
        neutral: where the line lies, as a share of the thickness from the inside. Left out, it is
            0.33 for an inside radius under two thicknesses, else 0.5. For round wire take 0.5.

    Returns:
        The arc's length in mm.

    Raises:
        Refused: `neutral` over 1.

    Source: Groover, Fundamentals of Modern Manufacturing, equation 19.6.

    >>> from course_lib.bench.units import quantity, size
    >>> print(f"{bend_length(quantity(60, 'degree'), size('4.75 mm'), size('3.2 mm')):.2f~P}")
    6.08 mm
    """
    if neutral is None:
        neutral = as_number(np.where(np.less(inside_radius, 2 * np.asarray(thickness)), 0.33, 0.5))
    elif np.any(np.greater(neutral, 1)):
        raise Refused(
            f"bend_length: neutral came as {neutral}; it is a share of the thickness, 0 to 1, for example "
            "0.5."
        )
    return angle * (math.pi / 180) * (inside_radius + neutral * thickness)


@dataclass(frozen=True)
class Fold:
    """How a strip is folded by saw cuts. Each cut closes until its lips touch."""

    cuts: Any
    angle_per_cut: Angle


@with_units
def saw_fold(angle: Angle, kerf: Length, cut_depth: Length) -> Fold:
    """How many saw cuts, side by side, let a strip fold through an angle.

    Args:
        angle: to fold through.
        kerf: width of the cut.
        cut_depth: how deep it goes, about three quarters of the strip.

    Returns:
        `.cuts`, and `.angle_per_cut`, what one cut closes through.

    Formula: a slot of width k and depth d that folds about the middle of its floor closes when
    tan(a/2) = k/(2d). The little metal left under the cut is taken as thin.

    >>> from course_lib.bench.units import quantity, size
    >>> fold = saw_fold(quantity(90, "degree"), size("0.2 mm"), size("0.3 mm"))
    >>> fold.cuts, round(fold.angle_per_cut.m, 1)
    (3, 36.9)
    """
    each = 2 * np.degrees(np.arctan(kerf / (2 * np.asarray(cut_depth, dtype=float))))
    cuts = np.ceil(angle / each - _SLACK)
    return Fold(cuts if np.ndim(cuts) else int(cuts), as_number(each))
