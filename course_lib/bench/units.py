"""Sizes with their units: the one place where pint meets the sums of the trade.

A sum is written once, on plain numbers or numpy arrays, in millimetres, grams, degrees Celsius,
newtons and megapascals. Its annotations say which (`Length`, `Mass`, ...). The decorator
`with_units` puts a thin layer around it: people call the sum with pint quantities and get
quantities back; `sum.plain(...)` is the inner form, for thousands of imagined earrings at once.
"""

import functools
import inspect
import math
import re
import typing
from collections.abc import Callable
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Annotated, Any

import numpy as np
import pint

from course_lib.bench.refusals import Refused, WrongUnit


@dataclass(frozen=True)
class Kind:
    """What an argument or a result is: its unit, what it is called, and how low it may go."""

    unit: str
    called: str
    example: str
    zero: bool = False
    negative: bool = False
    most: float = math.inf


Length = Annotated[float, Kind("mm", "a length", "size('0.8 mm')")]
LengthOrZero = Annotated[float, Kind("mm", "a length", "size('0.8 mm')", zero=True)]
SignedLength = Annotated[float, Kind("mm", "a length", "size('0.01 mm')", zero=True, negative=True)]
Area = Annotated[float, Kind("mm**2", "an area", "1.5 * mm**2")]
Volume = Annotated[float, Kind("mm**3", "a volume", "2.5 * mm**3")]
VolumeOrZero = Annotated[float, Kind("mm**3", "a volume", "2.5 * mm**3", zero=True)]
Mass = Annotated[float, Kind("gram", "a weight", "1.25 * gram")]
MassOrZero = Annotated[float, Kind("gram", "a weight", "1.25 * gram", zero=True)]
Carat = Annotated[float, Kind("carat", "a stone's weight", "0.5 * carat")]
Density = Annotated[float, Kind("gram/cm**3", "a density", "13.6 * gram / cm**3")]
DensityOrZero = Annotated[float, Kind("gram/cm**3", "a density", "0.0012 * gram / cm**3", zero=True)]
Force = Annotated[float, Kind("newton", "a force", "1.5 * newton")]
Stress = Annotated[float, Kind("MPa", "a stress", "90000 * MPa")]
Angle = Annotated[float, Kind("degree", "an angle", "90 * degree")]
SignedAngle = Annotated[float, Kind("degree", "an angle", "10 * degree", zero=True, negative=True)]
Temperature = Annotated[
    float, Kind("degC", "a temperature", "quantity(20, 'degC')", zero=True, negative=True)
]
TemperatureStep = Annotated[
    float, Kind("delta_degC", "a difference of temperature", "quantity(20, 'delta_degC')", zero=True)
]
Minutes = Annotated[float, Kind("minute", "a time", "15 * minute", zero=True)]
Share = Annotated[float, Kind("", "a share between 0 and 1", "0.3", zero=True, most=1)]
Factor = Annotated[float, Kind("", "a plain number", "2")]
FactorOrZero = Annotated[float, Kind("", "a plain number", "2", zero=True)]


@functools.cache
def registry() -> Any:
    """The one register of units. It is made at first use, for making it takes longer than a sum."""
    register = pint.get_application_registry()
    register.formatter.default_format = "~P"
    return register


@functools.cache
def unit_of(name: str) -> Any:
    """The pint unit of that name, looked up once."""
    return registry().Unit(name)


def quantity(value: Any, unit: str) -> Any:
    """Put a unit to a number (or an array of numbers).

    >>> print(quantity(0.8, "mm"))
    0.8 mm
    """
    return registry().Quantity(value, unit_of(unit))


_SIZES = ("mm", "cm", "um", "inch", "thou", "degree", "arcmin")
_OTHERS = ("gram", "mg", "kg", "carat", "degC", "kelvin", "newton", "MPa", "GPa", "minute", "hour")
_OFFERED = frozenset((*_SIZES, *_OTHERS))


def __getattr__(name: str) -> Any:
    """Units by name, so that a learner writes ``18.4 * mm`` after ``from ...units import mm``."""
    if name in _OFFERED:
        return unit_of(name)
    raise AttributeError(f"there is no unit or name {name!r} in {__name__}")


def plain(value: Any, kind: Kind, argument: str, by: str = "") -> Any:
    """The bare number (or array) of a quantity in the kind's unit, refused unless it is sound.

    Args:
        value: a pint quantity, or for a share or a factor a plain number.
        kind: what is wanted.
        argument: the name to say if it is refused.
        by: the name of the sum that asks.

    Returns:
        A float or array in ``kind.unit``.

    Raises:
        WrongUnit: a bare number, or a unit of another kind.
        Refused: NaN, infinity, or a size that is negative or nothing.

    >>> plain(size("1 in"), Kind("mm", "a length", "size('0.8 mm')"), "wire")
    25.4
    """
    here = f"{by}: {argument}" if by else argument
    if hasattr(value, "m_as"):
        number = _converted(value, kind, here)
    elif kind.unit:
        raise WrongUnit(
            f"{here} came as {value!r}, with no unit; it needs {kind.called}. Write for example "
            f"{kind.example}."
        )
    else:
        number = value
    return _sound(number, kind, here, value)


def _converted(value: Any, kind: Kind, here: str) -> Any:
    if kind.unit == "degree" and value.unitless:
        raise WrongUnit(f"{here} came as {value}, with no unit. Write for example {kind.example}.")
    try:
        if kind.unit == "delta_degC" and f"{value.units:D}" in ("degree_Celsius", "degree_Fahrenheit"):
            raise WrongUnit(
                f"{here} came as the temperature {value}; it needs a difference. Write for example "
                f"{kind.example}."
            )
        if kind.unit == "degC" and f"{value.units:D}".startswith("delta_"):
            raise WrongUnit(
                f"{here} came as {value}, a difference; it needs a temperature. Write for example "
                f"{kind.example}."
            )
        return value.m_as(kind.unit)
    except pint.errors.PintError as error:
        if isinstance(error, pint.DimensionalityError):
            raise WrongUnit(
                f"{here} came as {value}, which is not {kind.called}. Write for example {kind.example}."
            ) from None
        raise WrongUnit(f"{here} came as {value}: {error}. Write for example {kind.example}.") from None


def _sound(number: Any, kind: Kind, here: str, came: Any) -> Any:
    if isinstance(number, (bool, str)) or number is None:
        raise WrongUnit(f"{here} came as {came!r}; it needs {kind.called}, for example {kind.example}.")
    try:
        lowest = highest = float(number)
    except (TypeError, ValueError):
        try:
            values = np.asarray(number, dtype=float)
            lowest, highest = float(values.min()), float(values.max())
        except (TypeError, ValueError):
            raise WrongUnit(
                f"{here} came as {came!r}; it needs {kind.called}, for example {kind.example}."
            ) from None
        number = values
    else:
        number = lowest
    if not (math.isfinite(lowest) and math.isfinite(highest)):
        raise Refused(f"{here} came as {came}; it must be an ordinary number, for example {kind.example}.")
    if lowest < 0 and not kind.negative:
        raise Refused(
            f"{here} came as {came}; {kind.called} cannot be less than nothing. Write for example "
            f"{kind.example}."
        )
    if lowest == 0 and not kind.zero:
        raise Refused(f"{here} came as {came}; it must be more than nothing, for example {kind.example}.")
    if highest > kind.most:
        raise Refused(f"{here} came as {came}; it can be {kind.most:g} at most, for example {kind.example}.")
    return number


def kind_of(annotation: Any) -> Kind | None:
    """The `Kind` inside an annotation such as `Length` or `Length | None`, if there is one."""
    for found in getattr(annotation, "__metadata__", ()):
        if isinstance(found, Kind):
            return found
    for inner in typing.get_args(annotation):
        found = kind_of(inner)
        if found:
            return found
    return None


def as_list(values: Any) -> list[Any]:
    """Quantities as a list: of a list or array its members, of a single one itself."""
    single = hasattr(values, "magnitude") and np.ndim(values.magnitude) == 0
    return [values] if single else list(values)


def as_number(value: Any) -> Any:
    """A plain float where numpy made an array of one number; arrays stay as they are."""
    return value if np.ndim(value) else float(value)


class Sum:
    """A sum of the trade as people call it: quantities in, quantities out. `.plain` is its inner form."""

    def __init__(self, inner: Callable[..., Any]) -> None:
        functools.update_wrapper(self, inner)
        self.plain = inner

    @functools.cached_property
    def _hints(self) -> dict[str, Any]:
        """The annotations, read at the first call: reading them all at import would take longer than pint."""
        return typing.get_type_hints(self.plain, include_extras=True)

    @functools.cached_property
    def _kinds(self) -> dict[str, Kind]:
        return {n: kind for n, hint in self._hints.items() if n != "return" and (kind := kind_of(hint))}

    @functools.cached_property
    def _optional(self) -> set[str]:
        return {name for name, hint in self._hints.items() if type(None) in typing.get_args(hint)}

    @functools.cached_property
    def _names(self) -> list[str]:
        return list(inspect.signature(self.plain).parameters)

    def __call__(self, *args: Any, **kwargs: Any) -> Any:
        """Check the arguments, run the sum on plain numbers, and put the units back."""
        name = self.plain.__name__
        given = dict(zip(self._names, args, strict=False)) | kwargs
        if len(args) > len(self._names) or len(given) != len(args) + len(kwargs):
            self.plain(*args, **kwargs)  # lets Python say which argument is one too many
        bare = {
            key: value
            if key not in self._kinds or (value is None and key in self._optional)
            else plain(value, self._kinds[key], key, name)
            for key, value in given.items()
        }
        return dressed(self.plain(**bare), self._hints.get("return"))

    def __repr__(self) -> str:
        return f"<the sum {self.plain.__name__}{inspect.signature(self.plain)}>"


def with_units(inner: Callable[..., Any]) -> Sum:
    """Make a sum on plain numbers one that takes and gives quantities (see the top of this file)."""
    return Sum(inner)


def dressed(result: Any, annotation: Any) -> Any:
    """Put units to a plain result: a number by its annotation, a record by those of its fields."""
    if isinstance(result, tuple) and (inner := typing.get_args(annotation)):
        return tuple(dressed(each, inner[0]) for each in result)
    if is_dataclass(result) and not isinstance(result, type):
        hints = typing.get_type_hints(type(result), include_extras=True)
        return replace(
            result,
            **{f.name: dressed(getattr(result, f.name), hints[f.name]) for f in fields(result) if f.init},
        )
    kind = kind_of(annotation)
    return quantity(result, kind.unit) if kind and kind.unit and result is not None else result


def shown(value: Any, unit: str, decimals: int = 2) -> str:
    """A quantity as it is written on the bench card.

    Args:
        value: a quantity of any kind.
        unit: in which it is written.
        decimals: how many places behind the point.

    Returns:
        Number and unit, as text.

    >>> shown(size("1/32 in"), "mm", 3)
    '0.794 mm'
    """
    return f"{value.m_as(unit):.{decimals}f} {unit}"


_NUMBER = r"\d+(?:[.,]\d+)?|[.,]\d+"
_WHOLE = re.compile(rf"(?P<sign>[-+\u2212]?)\s*(?P<number>{_NUMBER})\s*(?P<unit>[^\d\s].*)?")
_FRACTION = re.compile(
    r"(?P<sign>[-+\u2212]?)\s*(?:(?P<whole>\d+)[\s-]+)?(?P<top>\d+)\s*/\s*(?P<bottom>\d+)\s*(?P<unit>[^\d\s].*)?"
)
_GAUGE = re.compile(
    r"(?:(?P<a>\d+(?:/0)?)\s*(?:awg|ga|gauge|b\s*&\s*s)\.?|(?:awg|b\s*&\s*s|gauge)\s*(?P<b>\d+(?:/0)?))", re.I
)
_SIGNS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
# What people write for a unit, in small letters, by pint's name for it: the one list of such words.
_WORDS = {
    "mm": "mm millimetre millimetres millimeter millimeters milimetre milimetres milimeter milimeters",
    "cm": "cm centimetre centimetres centimeter centimeters",
    "m": "m metre metres meter meters",
    "um": "um µm μm micron microns micrometre micrometres micrometer micrometers",
    "inch": 'in inch inches " ″ ”',
    "thou": "thou thous",
    "gram": "g gram grams gramme grammes",
    "mg": "mg milligram milligrams",
    "kg": "kg kilogram kilograms",
    "carat": "ct cts carat carats",
    "mm**2": "mm2 mm² mm^2 mm**2",
    "mm**3": "mm3 mm³ mm^3 mm**3",
    "cm**3": "cm3 cm³ cm^3 cm**3 ccm cc ml",
    "gram/cm**3": "g/cm3 g/cm³ g/cm^3 g/cm**3 g/ccm g/cc g/ml",
    "kg/m**3": "kg/m3 kg/m³ kg/m^3 kg/m**3",
    "degree": "° deg degree degrees",
    "arcmin": "arcmin",
    "degC": "°c degc c celsius",
    "degF": "°f degf fahrenheit",
    "kelvin": "k kelvin",
    "newton": "n newton newtons",
    "MPa": "mpa megapascal megapascals n/mm2 n/mm²",
    "GPa": "gpa gigapascal gigapascals",
    "percent": "% percent",
    "minute": "min mins minute minutes",
    "hour": "h hr hrs hour hours",
}
LENGTHS = ("mm", "cm", "m", "um", "inch", "thou")
WEIGHTS = ("gram", "mg", "kg", "carat")
GAUGES = ("awg", "b&s", "ga", "gauge")
_NAMES = {word: name for name, words in _WORDS.items() for word in words.split()} | {"per cent": "percent"}


def unit_called(said: str) -> str:
    """The unit that a word stands for, by the name that `quantity` takes; empty if no such word is known.

    >>> unit_called("microns"), unit_called("in."), unit_called("Per cent"), unit_called("mil")
    ('um', 'inch', 'percent', '')
    """
    return _NAMES.get(" ".join(said.lower().split()).rstrip("."), "")


def is_gauge(said: str) -> bool:
    """Whether a word says that the number beside it is a wire gauge.

    >>> is_gauge("AWG"), is_gauge("B & S"), is_gauge("mm")
    (True, True, False)
    """
    return said.lower().replace(" ", "").rstrip(".") in GAUGES


@functools.cache
def unit_behind() -> re.Pattern[str]:
    """Finds a unit of length or weight, or a wire gauge, behind a number.

    >>> unit_behind().findall('0.035" 900 microns 20 awg 0.9 gallons')
    ['"', 'microns', 'awg']
    """
    words = [word for name in (*LENGTHS, *WEIGHTS) for word in _WORDS[name].split()]
    longest_first = sorted((*words, *GAUGES), key=len, reverse=True)
    one_of = "|".join(map(re.escape, longest_first))
    return re.compile(rf"(?i)(?<=[\d.,\s{''.join(_SIGNS)}])({one_of})(?![^\W\d_]|/|\^|\*|[²³])\.?")


_WRITE = "Write for example '0.8 mm', '0,8 mm', '20 AWG' or '1/32 in'."


_LONGEST_SIZE = 60


def split_size(text: str) -> tuple[float, str]:
    """The number and the unit, as typed, of a size written by hand.

    Args:
        text: such as ``"0.8 mm"``, ``"0,8 mm"`` or ``"1 1/32 in"``; not a gauge number.

    Returns:
        The number and whatever stands after it (an empty text if nothing does).

    Raises:
        Refused: there is no single number in it.

    >>> split_size("1 1/32 in")
    (1.03125, 'in')
    """
    if not isinstance(text, str):
        raise WrongUnit(f"a size came as {text!r}, which is not written as text. {_WRITE}")
    if len(text) > _LONGEST_SIZE:
        raise Refused(f"the size {text[:20]!r}... is {len(text)} signs long. {_WRITE}")
    tidy = " ".join(text.replace("\u00a0", " ").split())
    for sign, fraction in _SIGNS.items():
        tidy = tidy.replace(sign, f" {fraction}").strip()
    found = _FRACTION.fullmatch(tidy)
    if found:
        if int(found["bottom"]) == 0:
            raise Refused(f"the size {text!r} divides by nothing. {_WRITE}")
        number = int(found["whole"] or 0) + int(found["top"]) / int(found["bottom"])
    else:
        found = _WHOLE.fullmatch(tidy)
        if not found:
            raise Refused(f"the size {text!r} cannot be read as one number and a unit. {_WRITE}")
        number = float(found["number"].replace(",", "."))
    return (-number if found["sign"] in ("-", "\u2212") else number), (found["unit"] or "").strip()


def size(text: str) -> Any:
    """Read a length as people write it at the bench.

    Args:
        text: ``"0.8 mm"``, ``"0,8 mm"``, ``"20 AWG"``, ``"1/32 in"``, ``"12 thou"``.

    Returns:
        The length in millimetres.

    Raises:
        Refused: it cannot be read, has no unit, or is not more than nothing. ``mil`` is refused,
            for some read it as a thousandth of an inch and some as a millimetre.

    Source: inch 25.4 mm exactly (international yard and pound agreement, 1959).

    >>> print(size("1/32 in"), size("0,8 mm"))
    0.79375 mm 0.8 mm
    """
    gauge = _GAUGE.fullmatch(text.strip()) if isinstance(text, str) else None
    if gauge:
        return gauge_size(_gauge_number(gauge["a"] or gauge["b"]))
    number, unit = split_size(text)
    if not unit:
        raise WrongUnit(f"the size {text!r} has no unit. {_WRITE}")
    if unit.lower() in ("mil", "mils"):
        raise WrongUnit(f"the size {text!r}: 'mil' is read in two ways. Write 'mm' or 'thou' (1/1000 inch).")
    name = unit_called(unit)
    if name not in LENGTHS:
        raise WrongUnit(f"the size {text!r}: {unit!r} is not a unit of length known here. {_WRITE}")
    length = quantity(quantity(number, name).m_as("mm"), "mm")
    plain(length, kind_of(Length) or Kind("mm", "a length", ""), f"the size {text!r}")
    return length


def _gauge_number(written: str) -> int:
    """Wire thicker than gauge 0 is written with more noughts: 00 or 2/0 is -1, 0000 or 4/0 is -3."""
    if written.endswith("/0"):
        return 1 - int(written[:-2])
    return int(written) if written.strip("0") else 1 - len(written)


def awg_mm(number: Any) -> Any:
    """The inner form of `gauge_size`: millimetres from the gauge number."""
    return 0.127 * 92.0 ** ((36 - number) / 39)


def gauge_size(number: int) -> Any:
    """The diameter that a wire gauge number stands for (AWG, also called B&S).

    Args:
        number: a whole number from -3 (the gauge 0000) to 56.

    Returns:
        The diameter in mm.

    Raises:
        Refused: no such gauge.

    Source: ASTM B258: d = 0.005 in x 92^((36 - n)/39).

    >>> print(f"{gauge_size(20):.4f~}")
    0.8118 mm
    """
    if isinstance(number, bool) or not isinstance(number, (int, np.integer)) or not -3 <= number <= 56:
        raise Refused(
            f"number came as {number!r}; a gauge is a whole number from -3 (0000) to 56, for example 20."
        )
    return quantity(awg_mm(int(number)), "mm")


def nearest_gauge(size: Any) -> int:
    """The gauge number whose wire is nearest to a size.

    Args:
        size: a diameter or thickness.

    Returns:
        The AWG (B&S) number.

    Raises:
        Refused: the size lies beyond the gauges 0000 to 56.

    Source: ASTM B258.

    >>> nearest_gauge(gauge_size(24))
    24
    """
    thickness = plain(size, Kind("mm", "a length", "size('0.8 mm')"), "size", "nearest_gauge")
    exact = 36 - 39 * math.log(thickness / 0.127) / math.log(92)
    if not -3.5 < exact < 56.5:
        raise Refused(f"size came as {size}; the gauges run from 0000 (11.68 mm) to 56 (0.0124 mm).")
    near = (math.floor(exact), math.ceil(exact))
    return min(max(min(near, key=lambda n: abs(awg_mm(n) - thickness)), -3), 56)
