"""Know the metal: density, fineness, alloying up and down, weighing in water."""

from collections.abc import Mapping
from numbers import Real
from typing import Any

import numpy as np

from course_lib.bench.refusals import Refused
from course_lib.bench.tables import find, rows_of, table_by
from course_lib.bench.units import (
    Density,
    DensityOrZero,
    Factor,
    FactorOrZero,
    Mass,
    MassOrZero,
    Temperature,
    Volume,
    VolumeOrZero,
    quantity,
    with_units,
)

# Marks that ISO 9202 and the UK's Hallmarking Act 1973 list and the course uses: the lowest fineness
# that each promises.
MARKS = {"gold": (375, 585, 750, 916, 990, 999), "platinum": (950,), "silver": (925,)}


def alloy_density(mass_fractions: Mapping[str, float]) -> Any:
    """Density of an alloy from what is in it.

    Args:
        mass_fractions: share by weight of each element, such as ``{"Au": 0.75, "Ag": 0.25}``; the
            shares add up to 1.

    Returns:
        The density in g/cm3.

    Raises:
        Refused: an unknown element, a share below 0, or shares that do not add up to 1 within 0.005.

    Formula: volumes add, 1/density = sum of share/density. Real gold-silver-copper alloys lie within
    about 1 % of it (Kraut and Stern, Gold Bulletin 33, 2000).

    >>> print(f"{alloy_density({'Au': 0.75, 'Ag': 0.125, 'Cu': 0.125}):.2f~P}")
    15.45 g/cm³
    """
    return quantity(mixed_density(mass_fractions), "gram/cm**3")


def mixed_density(mass_fractions: Mapping[str, float]) -> float:
    """The inner form of `alloy_density`, in g/cm3.

    Args:
        mass_fractions: shares by weight, from 0 to 1, by the sign of each element.

    Returns:
        The density, in g/cm3.

    Raises:
        Refused: an unknown element, or shares that do not add up to 1.
    """
    known = table_by("elements", "element")
    for element, share in mass_fractions.items():
        if element not in known:
            raise Refused(
                f"mass_fractions names {element!r}; the elements known here are {', '.join(known)}."
            )
        if not isinstance(share, Real) or isinstance(share, bool) or not 0 <= share <= 1:
            raise Refused(
                f"mass_fractions: {element} came as {share!r}; a share lies between 0 and 1, for example "
                "0.75."
            )
    total = sum(mass_fractions.values())
    if abs(total - 1) > 0.005:
        raise Refused(f"mass_fractions add up to {total:g}; all shares together make 1.")
    return total / sum(share / known[e].amount("density_g_cm3") for e, share in mass_fractions.items())


def composition(alloy: str) -> dict[str, float]:
    """What an alloy of data/alloys.csv is made of, as shares by weight.

    Raises:
        Refused: no such alloy, or its row cannot be read; the message has file, row and column.

    >>> composition("585 yellow")["Ag"]
    0.205
    """
    row = find("alloys", "alloy", alloy, "an alloy")
    words = row["composition_percent"].replace(",", ".").split()
    try:
        return {e: float(p) / 100 for e, p in zip(words[::2], words[1::2], strict=True)}
    except ValueError:
        said = row["composition_percent"]
        raise row.refuse(
            "composition_percent", f"{said!r} is no composition. Write for example Au 58.5 Ag 20.5 Cu 21."
        ) from None


@with_units
def weight_of(volume: Volume, density: Density) -> Mass:
    """Weight of a piece of metal.

    Args:
        volume: in mm3.
        density: in g/cm3.

    Returns:
        The weight in g.

    Formula: definition of density; 1 cm3 is 1000 mm3.

    >>> print(f"{weight_of(quantity(50, 'mm**3'), quantity(13.65, 'g/cm**3')):.4f~P}")
    0.6825 g
    """
    return volume * density / 1000


@with_units
def metal_to_add(
    weight: Mass, fineness: FactorOrZero, target: FactorOrZero, added_fineness: FactorOrZero
) -> MassOrZero:
    """How much of another metal brings an alloy to a new fineness, up or down.

    Args:
        weight: of the alloy there is.
        fineness: of that alloy, per mille as on the mark (585).
        target: the fineness wanted, per mille.
        added_fineness: of what is added: 1000 for fine gold, 0 for a master alloy with none.

    Returns:
        The weight to add, in g; nothing if it is fine enough already.

    Raises:
        Refused: a fineness over 1000, or a target that this addition can never reach.

    Formula: the fine metal before and added is the fine metal after.

    >>> print(f"{metal_to_add(quantity(10, 'gram'), 585, 750, 1000):.2f~P}")
    6.60 g
    """
    for name, value in (("fineness", fineness), ("target", target), ("added_fineness", added_fineness)):
        if np.any(np.greater(value, 1000)):
            raise Refused(
                f"metal_to_add: {name} came as {value}; fineness is per mille, 1000 at most, for example 585."
            )
    step, beyond = np.subtract(target, fineness), np.subtract(added_fineness, target)
    if np.any((step != 0) & (step * beyond <= 0)):
        way = "finer" if np.any(step > 0) else "less fine"
        raise Refused(
            f"metal_to_add: added_fineness came as {added_fineness}; to reach {target} it must be {way} "
            "than that."
        )
    added = weight * step / np.where(step == 0, 1.0, beyond)
    return added if np.ndim(added) else float(added)


def mark_for(metal: str, fineness: float) -> int | None:
    """The highest mark an assay supports: there is no tolerance below a mark.

    Args:
        metal: gold, silver or platinum.
        fineness: what the assay found, per mille.

    Returns:
        The mark, or None if it is below the lowest listed here.

    Raises:
        Refused: a metal without marks here.

    Source: ISO 9202: values are minima.

    >>> mark_for("gold", 588), mark_for("gold", 584)
    (585, 375)
    """
    if metal not in MARKS:
        raise Refused(f"metal came as {metal!r}; the marks here are for {', '.join(MARKS)}.")
    return max((mark for mark in MARKS[metal] if fineness >= mark), default=None)


@with_units
def carats(fineness: Factor) -> Factor:
    """A fineness told in carats (parts of 24).

    >>> carats(750)
    18.0
    """
    return fineness * 24 / 1000


@with_units
def water_density(water_temperature: Temperature) -> Density:
    """Density of clean water at a temperature.

    Args:
        water_temperature: 0 to 40 degC.

    Returns:
        The density in g/cm3.

    Raises:
        Refused: outside 0 to 40 degC.

    Source: Tanaka et al., Metrologia 38 (2001) 301-309, equation 1.

    >>> print(f"{water_density(quantity(20, 'degC')):.6f~P}")
    0.998207 g/cm³
    """
    t = water_temperature
    if not (np.all(np.greater_equal(t, 0)) and np.all(np.less_equal(t, 40))):
        raise Refused(
            f"water_temperature came as {t} degC; it must lie between 0 and 40 degC, for example 20."
        )
    return 0.999974950 * (1 - (t - 3.983035) ** 2 * (t + 301.797) / (522528.9 * (t + 69.34881)))


@with_units
def density_in_water(
    weight_in_air: Mass,
    weight_in_water: Mass,
    water_temperature: Temperature,
    air_density: DensityOrZero = 0.0012,
) -> Density:
    """Density of a piece from weighing it in air and hanging in water.

    Args:
        weight_in_air: as the balance shows it.
        weight_in_water: hanging in water, the hook's own weight taken off.
        water_temperature: 0 to 40 degC.
        air_density: what the air around weighs; 0.0012 g/cm3 in an ordinary room.

    Returns:
        The density in g/cm3.

    Raises:
        Refused: the weight in water is not less than that in air.

    Source: buoyancy method (as in ISO 1183-1 and ISO 3369), with the lift of the air. Bubbles on the
    piece make it seem too light: brush them off.

    >>> coin = density_in_water(quantity(8.63, "gram"), quantity(7.8, "gram"), quantity(20, "degC"))
    >>> print(f"{coin:.3f~P}")
    10.368 g/cm³
    """
    if np.any(np.less_equal(weight_in_air, weight_in_water)):
        raise Refused(
            f"density_in_water: weight_in_water came as {weight_in_water} g, not less than the "
            f"{weight_in_air} g in air. Water carries part of the weight: read both again."
        )
    water = water_density.plain(water_temperature)
    return weight_in_air * (water - air_density) / (weight_in_air - weight_in_water) + air_density


@with_units
def weight_in_water(
    weight_in_air: Mass,
    density: Density,
    water_temperature: Temperature,
    bubble: VolumeOrZero = 0.0,
    air_density: DensityOrZero = 0.0012,
) -> Mass:
    """What a piece shows when it hangs in water: `density_in_water` the other way round.

    Args:
        weight_in_air: as the balance shows it.
        density: of the piece; more than that of water, or it floats.
        water_temperature: 0 to 40 degC.
        bubble: air that clings to the piece, in mm3.
        air_density: what the air around weighs; 0.0012 g/cm3 in an ordinary room.

    Returns:
        The weight in water, in g.

    Raises:
        Refused: the piece, with its bubble, would float.

    Source: Archimedes: the water carries the weight of what is pushed aside (buoyancy method, as in
    ISO 1183-1), with the lift of the air.

    >>> sunk = weight_in_water(quantity(8.63, "gram"), quantity(10.37, "g/cm**3"), quantity(20, "degC"))
    >>> print(f"{sunk:.3f~P}")
    7.800 g
    """
    lift = water_density.plain(water_temperature) - air_density
    room = weight_in_air / (density - air_density) + bubble / 1000
    left = weight_in_air - lift * room
    if np.any(np.less_equal(left, 0)):
        raise Refused(
            f"weight_in_water: density came as {density} g/cm3; with its bubble of {bubble} mm3 so light a "
            "piece floats, and a hanging balance shows nothing."
        )
    return left


def nickel_free(alloy: str) -> bool:
    """Whether an alloy's recipe holds no nickel. A recipe is no test: ask the supplier in writing.

    >>> nickel_free("750 palladium white")
    True
    """
    return "Ni" not in composition(alloy)


def fine_metals(alloy: str) -> dict[str, float]:
    """The shares of precious metal in an alloy, by the name of the metal.

    >>> fine_metals("750 palladium white")
    {'gold': 0.75, 'silver': 0.1, 'palladium': 0.15}
    """
    names = table_by("elements", "element")
    priced = {row["metal"] for row in rows_of("prices")}
    return {names[e]["name"]: share for e, share in composition(alloy).items() if names[e]["name"] in priced}
