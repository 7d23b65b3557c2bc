"""What a learner types into the box of a size: read with any unit, and refused in plain words."""

from functools import cache

from course_lib.bench.refusals import Refused, WrongUnit
from course_lib.bench.units import quantity, size, split_size, unit_called, unit_of
from course_lib.screen.stage import Size

# so many degrees more or less, which a workshop writes like a temperature
_DEGREES_APART = "delta_degC"


@cache
def sign_of(unit: str) -> str:
    """A unit as it is written behind a number.

    >>> sign_of("degC"), sign_of("mm"), sign_of("percent"), sign_of("delta_degC")
    ('°C', 'mm', '%', '°C')
    """
    if not unit:
        return ""
    if unit == _DEGREES_APART:
        return "°C"
    return f"{quantity(1.0, unit).units:~P}"


def written(control: Size, value: float, exact: bool = False) -> str:
    """A value as it stands in the box: as fine as the slider's step, or a place finer if it was typed.

    >>> wire = Size(key="w", label="wire", pattern=0.8, least=0.5, most=1.2, step=0.01)
    >>> written(wire, 0.8), written(wire, 0.8118, exact=True)
    ('0.80 mm', '0.812 mm')
    """
    places = len(f"{control.step:.6f}".rstrip("0").partition(".")[2])
    text = f"{value:.{places}f}"
    if exact and abs(float(text) - value) > control.step * 1e-3:
        text = f"{value:.{places + 1}f}"
    return f"{text} {sign_of(control.unit)}".strip()


def typed_value(control: Size, text: str) -> float:
    """What was typed, as a plain number in the unit of the control.

    Args:
        control: the size that the box belongs to.
        text: with any unit, such as ``"1/32 in"``; a bare number is taken in the unit that the box shows.

    Returns:
        The number, within the range that can be shown.

    Raises:
        Refused: it cannot be read, its unit is of another kind, or it lies outside the range.

    >>> wire = Size(key="w", label="claw wire", pattern=0.8, least=0.5, most=1.2, step=0.01)
    >>> round(typed_value(wire, "20 AWG"), 3), typed_value(wire, "0,9")
    (0.812, 0.9)
    """
    try:
        number = _number(control, text.strip())
    except Refused as error:
        raise Refused(f"{control.label}: {error}") from None
    if not control.least - 1e-9 <= number <= control.most + 1e-9:
        least, most = written(control, control.least), written(control, control.most)
        raise Refused(
            f"{control.label}: {written(control, number)} is outside what can be shown here. Write a size "
            f"from {least} to {most}; the pattern has {written(control, control.pattern)}."
        )
    return number


def _number(control: Size, text: str) -> float:
    example = f"Write for example '{written(control, control.pattern)}'."
    if not text:
        raise Refused(f"nothing is written. {example}")
    if control.unit == "mm" and not text[-1].isdigit():
        return float(size(text).m_as("mm"))
    try:
        number, unit = split_size(text)
    except Refused:
        raise Refused(f"{text[:30]!r} cannot be read as a number with its unit. {example}") from None
    if not unit or not control.unit:
        if unit:
            raise WrongUnit(f"{unit!r} is not expected: this is a plain number. {example}")
        return number
    name = unit_called(unit)
    if control.unit == _DEGREES_APART and name in ("degC", "degree"):
        return number
    if not name or not unit_of(name).is_compatible_with(unit_of(control.unit)):
        raise WrongUnit(f"{unit!r} is not a unit that does here. {example}")
    return float(quantity(number, name).m_as(control.unit))
