"""Reading a size: what the gauge showed, and how far it may be trusted."""

import functools
import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from course_lib.bench.refusals import Refused, WrongUnit
from course_lib.bench.units import Kind, as_list, plain, quantity

_UNITS = ("gram", "degree", "kelvin", "delta_degC", "newton")


@dataclass(frozen=True)
class Reading:
    """A measured value on plain numbers: the inner form of `Measured`.

    `shown` is what the gauge showed, one number a reading; empty for what was worked out.
    """

    value: float
    standard_uncertainty: float
    degrees_of_freedom: float
    shown: tuple[float, ...] = field(default=(), compare=False, repr=False)


@dataclass(frozen=True)
class Measured:
    """What a gauge told us.

    `value` and `standard_uncertainty` are quantities; `degrees_of_freedom` says how well the scatter
    is known (infinite where it comes from the gauge alone); `remark` is what a careful person adds.
    """

    value: Any
    standard_uncertainty: Any
    degrees_of_freedom: float
    remark: str = ""

    def expanded(self, confidence: float = 0.95) -> Any:
        """The half-width of the band that holds the size with this confidence.

        Source: JCGM 100:2008 annex G: Student's t at the effective degrees of freedom.

        >>> from course_lib.bench.units import size
        >>> wire = measured([size("0.81 mm"), size("0.80 mm"), size("0.82 mm")], size("0.01 mm"))
        >>> print(f"{wire.value:.3f~P} +/- {wire.expanded():.3f~P}")
        0.810 mm +/- 0.020 mm
        """
        return coverage(self.degrees_of_freedom, confidence) * self.standard_uncertainty


def combine_readings(
    readings: Sequence[float],
    resolution: float,
    zero_error: float = 0.0,
    instrument_uncertainty: float = 0.0,
) -> Reading:
    """The inner form of `measured`, on plain numbers of one unit."""
    count = len(readings)
    mean = math.fsum(readings) / count
    scatter = math.fsum((r - mean) ** 2 for r in readings) / (count - 1) / count if count > 1 else 0.0
    total = scatter + resolution**2 / 12 + instrument_uncertainty**2
    freedom = (count - 1) * (total / scatter) ** 2 if scatter > 0 else math.inf
    return Reading(mean - zero_error, math.sqrt(total), freedom, tuple(readings))


def measured(
    readings: Any, resolution: Any, zero_error: Any = None, instrument_uncertainty: Any = None
) -> Measured:
    """Turn repeated readings of one size into a value and how far it may be trusted.

    Args:
        readings: quantities of one kind (lengths, weights, ...), one or more; a list, or one array.
        resolution: the smallest step the gauge shows; counts as +/- half a step, rectangular.
        zero_error: what the closed gauge reads; it is taken off.
        instrument_uncertainty: the gauge's own standard uncertainty.

    Returns:
        A `Measured` in the unit of the first reading.

    Raises:
        Refused: no readings, a reading that is not an ordinary number, or negative.
        WrongUnit: a reading with no unit, or of another kind than the first.

    Source: JCGM 100:2008: mean and scatter 4.2, resolution F.2.2.1, sum 5.1.2, freedom G.4.1.

    >>> from course_lib.bench.units import size
    >>> wire = measured([size("0.82 mm"), size("0.80 mm")], size("0.01 mm"), zero_error=size("0.01 mm"))
    >>> print(f"{wire.value:.3f~P} {wire.standard_uncertainty:.4f~P}")
    0.800 mm 0.0104 mm
    """
    listed = as_list(readings)
    if not listed:
        raise Refused("measured: readings is empty. Take at least one reading, three or more if you can.")
    kind = _kind_of_reading(listed[0], "measured: readings[0]")
    plain_readings = [plain(r, kind, f"readings[{i}]", "measured") for i, r in enumerate(listed)]
    step = _step_of(kind)
    signed, at_least_zero = replace(step, zero=True, negative=True), replace(step, zero=True)
    zero = 0.0 if zero_error is None else plain(zero_error, signed, "zero_error", "measured")
    gauge = (
        0.0
        if instrument_uncertainty is None
        else plain(instrument_uncertainty, at_least_zero, "instrument_uncertainty", "measured")
    )
    found = combine_readings(plain_readings, plain(resolution, step, "resolution", "measured"), zero, gauge)
    if found.value <= 0 and not kind.negative:
        raise Refused(
            f"measured: zero_error came as {zero_error}, which leaves nothing of the size. Read the closed "
            "gauge again."
        )
    remark = "one reading only: its scatter is unknown; read it again" if len(listed) == 1 else ""
    return Measured(
        quantity(found.value, kind.unit),
        quantity(found.standard_uncertainty, step.unit),
        found.degrees_of_freedom,
        remark,
    )


def _kind_of_reading(first: Any, here: str) -> Kind:
    if not hasattr(first, "m_as"):
        raise WrongUnit(f"{here} came as {first!r}, with no unit. Write for example size('0.8 mm').")
    unit = f"{first.units:D}"
    if unit in ("degree_Celsius", "degree_Fahrenheit"):
        return Kind("degC", "a temperature", "quantity(20, 'degC')", zero=True, negative=True)
    if first.is_compatible_with("mm"):
        return Kind("mm", "a length", "size('0.8 mm')")
    if not first.unitless and any(first.is_compatible_with(known) for known in _UNITS):
        return Kind(unit, f"a reading in {first.units}", f"quantity(1.0, '{unit}')")
    raise WrongUnit(
        f"{here} came as {first}; a reading is a length, a weight or an angle. Write for example size('0.8 "
        "mm')."
    )


def _step_of(kind: Kind) -> Kind:
    """What a difference of two such readings is: of two temperatures, a difference of temperature."""
    if kind.unit == "degC":
        return Kind("delta_degC", "a difference of temperature", "quantity(0.1, 'delta_degC')")
    return kind


def effective_freedom(components: Sequence[tuple[float, float]]) -> float:
    """How well a combined uncertainty is known, from (standard uncertainty, degrees of freedom) pairs.

    Source: Welch-Satterthwaite, JCGM 100:2008 G.4.1.

    >>> round(effective_freedom([(25, 18), (9.68, 25.6), (2.9, 50), (16.6, 2)]), 1)
    16.8
    """
    total = math.fsum(u**2 for u, _ in components)
    known = math.fsum(u**4 / freedom for u, freedom in components if freedom < math.inf)
    return total**2 / known if known > 0 else math.inf


@functools.lru_cache(maxsize=4096)
def coverage(degrees_of_freedom: float, confidence: float = 0.95) -> float:
    """How many standard uncertainties make a band of this confidence.

    Args:
        degrees_of_freedom: one or more, not needing to be whole; infinite for a normal curve.
        confidence: between 0 and 1.

    Returns:
        Student's t, two-sided.

    Raises:
        Refused: a confidence outside 0 to 1, or fewer degrees of freedom than a half.

    Source: JCGM 100:2008 table G.2.

    >>> round(coverage(16, 0.99), 2)
    2.92
    """
    if not 0 < confidence < 1:
        raise Refused(f"confidence came as {confidence}; it lies between 0 and 1, for example 0.95.")
    if not degrees_of_freedom >= 0.5:
        raise Refused(f"degrees_of_freedom came as {degrees_of_freedom}; it is 1 or more.")
    t, step = 0.0, 1.0
    for _ in range(200):
        # the curve bends downward from 0 on, so each tangent stops short of the answer, never past it
        step = (confidence - _within(t, degrees_of_freedom)) / (2 * _height(t, degrees_of_freedom))
        t += step
        if step <= 1e-13 * t:
            break
    return t


def _within(t: float, freedom: float) -> float:
    """The chance that Student's t lies between -t and t."""
    if freedom > 1e8:
        return math.erf(t / math.sqrt(2))
    return 1 - _beta_share(freedom / (freedom + t * t), freedom / 2)


def _height(t: float, freedom: float) -> float:
    """The height of Student's curve at t."""
    if freedom > 1e8:
        return math.exp(-t * t / 2) / math.sqrt(2 * math.pi)
    scale = math.lgamma((freedom + 1) / 2) - math.lgamma(freedom / 2) - 0.5 * math.log(freedom * math.pi)
    return math.exp(scale - (freedom + 1) / 2 * math.log1p(t * t / freedom))


def _beta_share(x: float, a: float) -> float:
    """The incomplete beta function I_x(a, 1/2), by its continued fraction.

    Source: NIST Digital Library of Mathematical Functions 8.17.22.
    """
    b = 0.5
    if x >= 1:
        return 1.0
    if x <= 0:
        return 0.0
    front = math.exp(
        math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log1p(-x)
    )
    if x < (a + 1) / (a + b + 2):
        return front * _continued(x, a, b) / a
    return 1 - front * _continued(1 - x, b, a) / b


def _continued(x: float, a: float, b: float) -> float:
    """Evaluate the continued fraction from its first term on, until a term changes nothing."""
    tiny = 1e-300
    c, d = 1.0, 1 / max(1 - (a + b) * x / (a + 1), tiny)
    value = d
    for m in range(1, 500):
        for term in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            d = 1 / (1 + term * d or tiny)
            c = 1 + term / c or tiny
            value *= c * d
        if abs(c * d - 1) < 1e-15:
            break
    return value


def difference_band(one: Reading, other: Reading, confidence: float = 0.95) -> float:
    """Half the width of the band of a difference between two independent values.

    Source: JCGM 100:2008 5.1.2, G.4.1 and annex G.

    >>> round(difference_band(Reading(1.0, 0.03, math.inf), Reading(1.1, 0.04, math.inf)), 3)
    0.098
    """
    pairs = [(r.standard_uncertainty, r.degrees_of_freedom) for r in (one, other)]
    return coverage(effective_freedom(pairs), confidence) * math.hypot(pairs[0][0], pairs[1][0])


def decide(value: Any, expanded_uncertainty: Any, nominal: Any, tolerance: Any) -> str:
    """Does a size keep to its tolerance, given how far the reading may be trusted?

    Args:
        value: what was measured.
        expanded_uncertainty: its band, half-width.
        nominal: what it should be.
        tolerance: how far it may be off, to either side.

    Returns:
        ``"accept"``, ``"reject"``, or ``"cannot say"`` when the band lies across the limit.

    Raises:
        Refused, WrongUnit: an argument that is not a sound quantity of the same kind.

    Source: ISO 14253-1:2017, the uncertainty counts against whoever proves.

    >>> from course_lib.bench.units import size
    >>> decide(size("0.91 mm"), size("0.008 mm"), size("0.92 mm"), size("0.02 mm"))
    'accept'
    """
    kind = _kind_of_reading(value, "decide: value")
    step = _step_of(kind)
    middle = plain(nominal, kind, "nominal", "decide")
    return guard_band(
        plain(value, kind, "value", "decide") - middle,
        plain(expanded_uncertainty, replace(step, zero=True), "expanded_uncertainty", "decide"),
        plain(tolerance, step, "tolerance", "decide"),
    )


def guard_band(difference: float, expanded_uncertainty: float, tolerance: float) -> str:
    """The inner form of `decide`, on the difference from the nominal size."""
    far, rounding = abs(difference), 1e-12 * max(abs(tolerance), abs(difference))
    if far + expanded_uncertainty <= tolerance + rounding:
        return "accept"
    if far - expanded_uncertainty > tolerance + rounding:
        return "reject"
    return "cannot say"


def readings_enough(scatter: Any, floor: Any, confidence: float = 0.95, most: int = 30) -> int:
    """How many readings bring their scatter down to what the gauge itself leaves in doubt.

    Args:
        scatter: the standard deviation of single readings.
        floor: the standard uncertainty that the gauge leaves however often it is read.
        confidence: as for `coverage`.
        most: the answer stops here.

    Returns:
        The number of readings, 2 or more.

    Basis: common practice; more readings than this gain almost nothing.

    >>> from course_lib.bench.units import size
    >>> readings_enough(size("0.02 mm"), size("0.012 mm"))
    6
    """
    kind = _step_of(_kind_of_reading(scatter, "readings_enough: scatter"))
    spread = plain(scatter, kind, "scatter", "readings_enough")
    rest = plain(floor, kind, "floor", "readings_enough")
    for count in range(2, most):
        if (
            coverage(count - 1, confidence) * spread / math.sqrt(count)
            <= coverage(math.inf, confidence) * rest
        ):
            return count
    return most


def decimals_of(step: float) -> int:
    """How many decimal places show a step.

    >>> decimals_of(0.01), decimals_of(0.05), decimals_of(1.0)
    (2, 2, 0)
    """
    return max(0, math.ceil(-math.log10(step) - 1e-9))
