"""Reading an answer: a size as people write it, a quantity, what was measured, or a plain number."""

import math
import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from numbers import Real
from typing import Any

from course_lib.bench.refusals import Refused
from course_lib.bench.units import LENGTHS, is_gauge, quantity, size, split_size, unit_called, unit_of

# How a unit is written in a sentence, where pint writes it otherwise.
_WRITTEN = {
    "degree": "°", "degC": "°C", "delta_degC": "°C", "thou": "thou",
    "mm**2": "mm²", "mm**3": "mm³", "gram/cm**3": "g/cm³",
}  # fmt: skip
_KINDS = (
    ("mm", "a length"), ("gram", "a weight"), ("degree", "an angle"), ("degC", "a temperature"),
    ("mm**2", "an area"), ("mm**3", "a volume"), ("gram/cm**3", "a density"), ("newton", "a force"),
    ("MPa", "a stress"), ("minute", "a time"), ("", "a plain number"),
)  # fmt: skip

LONGEST_ANSWER = 200
# A calculation rarely ends after so few figures, and nobody types more.
_FIGURES_TYPED = 8
_LARGEST = 1e12


class CannotRead(Refused):
    """The answer is no size and no number; the message says why."""


@dataclass(frozen=True)
class Typed:
    """An answer that could be read.

    `number` stands before the unit as typed; `amount` is the quantity, or None where no unit was given;
    `place` is the last decimal place typed, in the typed unit (0.01 for ``0,81``), or None where that
    says nothing, as in a fraction or the result of a calculation.
    """

    number: float
    unit: str = ""
    amount: Any = None
    place: float | None = None


def is_blank(answer: Any) -> bool:
    """Nothing was answered yet.

    >>> is_blank(None), is_blank("  "), is_blank(0)
    (True, True, False)
    """
    return answer is None or answer is Ellipsis or (isinstance(answer, str) and not answer.strip())


def as_typed(answer: Any) -> str:
    """An answer as the record keeps it.

    >>> as_typed(size("0,8 mm")), as_typed(" 20 AWG ")
    ('0.8 mm', '20 AWG')
    """
    if isinstance(answer, str):
        return answer.strip()[:LONGEST_ANSWER]
    try:
        if not hasattr(answer, "m_as") and hasattr(answer, "value"):
            answer = answer.value
        text = f"{answer:~P}" if hasattr(answer, "m_as") else str(answer)
        return f"({type(answer).__name__})" if " at 0x" in text else text[:LONGEST_ANSWER]
    except Exception:  # whatever a stranger's object does when it is printed
        return f"({type(answer).__name__})"


# What people write beside a size and what changes nothing of it: ø in front, a full stop behind.
_BESIDE_A_SIZE = re.compile(r"^[=øØ⌀∅ ]+|(?<=[^\W\d])\.$")


def read_answer(answer: Any) -> Typed:
    """Read an answer in any of the forms a learner may give it.

    Args:
        answer: text as people write it, a pint quantity, something measured, or a number.

    Returns:
        What was typed.

    Raises:
        CannotRead: none of these.

    >>> read_answer("0,81 mm")
    Typed(number=0.81, unit='mm', amount=<Quantity(0.81, 'millimeter')>, place=0.01)
    >>> read_answer("12").amount is None, read_answer("ø 0.81 mm.").number
    (True, 0.81)
    """
    if isinstance(answer, str):
        return _from_text(answer)
    try:
        return _from_object(answer)
    except Refused:
        raise
    except Exception:  # whatever a stranger's object does when it is looked at
        raise CannotRead(f"{_short(as_typed(answer))} is not one number with its unit.") from None


def _from_object(answer: Any) -> Typed:
    if hasattr(answer, "m_as"):
        return _from_quantity(answer)
    if hasattr(answer, "value") and not isinstance(answer, type):
        return read_answer(answer.value)
    if isinstance(answer, tuple) and len(answer) == 2 and all(isinstance(part, int) for part in answer):
        raise CannotRead(
            f"Python takes {answer[0]},{answer[1]} for two numbers. Put quotes round the answer and its unit."
        )
    number = _one_number(answer)
    return Typed(number, place=_place_of_number(number))


def _from_text(text: str) -> Typed:
    tidy = " ".join(text.split()).strip("'\u2018\u2019 ")
    tidy = _BESIDE_A_SIZE.sub("", tidy)
    try:
        number, unit = split_size(tidy)
    except Refused:
        return _gauge_in_front(tidy)
    if not abs(number) < _LARGEST:
        raise CannotRead(f"{_short(tidy)} is not an ordinary number.")
    if re.search(r"\d", unit.strip("23")):
        raise CannotRead(f"{_short(tidy)} holds more than one number.")
    place = _place_of_text(tidy)
    name = unit_called(unit)
    if not unit:
        return Typed(number, place=place)
    if name and name not in LENGTHS:
        return Typed(number, unit, quantity(number, name), place)
    amount = _length(tidy, number, unit)
    # a gauge number has no decimal places to speak of
    return Typed(number, unit, amount, None if is_gauge(unit) else place)


def _gauge_in_front(text: str) -> Typed:
    """``AWG 20`` has its number at the end, which only `size` knows how to read."""
    try:
        return Typed(math.nan, "AWG", size(text))
    except Refused:
        raise CannotRead(f"{_short(text)} cannot be read as one number and its unit.") from None


def _length(text: str, number: float, unit: str) -> Any:
    """A length. `size` refuses what is not more than nothing; here that is only a wrong answer."""
    try:
        return size(text) if number > 0 else size(f"1 {unit}") * number
    except Refused:
        if unit.lower() in ("mil", "mils"):
            raise CannotRead("'mil' is read in two ways. Write 'mm', or 'thou' for 1/1000 inch.") from None
        if is_gauge(unit):
            raise CannotRead(f"{_short(text)} is no gauge number: they run from 0 to 56.") from None
        raise CannotRead(f"{_short(unit)} is not a unit known here.") from None


def _from_quantity(answer: Any) -> Typed:
    number = _one_number(answer.magnitude)
    if str(answer.units) == "dimensionless":
        return Typed(number, place=_place_of_number(number))
    return Typed(number, f"{answer.units:~P}", answer, _place_of_number(number))


def _one_number(answer: Any) -> float:
    if isinstance(answer, bool):
        raise CannotRead(f"{answer} is not a size.")
    if not isinstance(answer, (Real, Decimal, Fraction)):
        shape = getattr(answer, "shape", None)
        if shape is None or math.prod(shape) != 1:
            raise CannotRead(f"{_short(as_typed(answer))} is not one number with its unit.")
    try:
        number = float(answer if not hasattr(answer, "item") else answer.item())
    except (TypeError, ValueError, OverflowError):
        raise CannotRead(f"{_short(as_typed(answer))} is not an ordinary number.") from None
    if not abs(number) < _LARGEST:
        raise CannotRead(f"{_short(as_typed(answer))} is not an ordinary number.")
    return number


def _place_of_text(text: str) -> float | None:
    found = re.search(r"\d*[.,]?(\d+)", text)
    if re.search(r"\d\s*/\s*\d", text) or not found:
        return None
    return 10.0 ** -len(found[1]) if re.search(r"[.,]\d", found[0]) else 1.0


def _place_of_number(number: Any) -> float | None:
    """The last decimal place of a number that was typed; None if it looks worked out."""
    text = repr(float(number))
    figures = text.replace("-", "").replace(".", "").lstrip("0")
    if "e" in text or len(figures) > _FIGURES_TYPED:
        return None
    return 10.0 ** -len(text.split(".")[1].rstrip("0"))


def _short(text: str) -> str:
    return repr(text if len(text) <= 40 else text[:37] + "...")


def written_unit(unit: str) -> str:
    """A unit as it is written behind a number.

    >>> written_unit("um"), written_unit("mm**2"), written_unit("gram")
    ('µm', 'mm²', 'g')
    """
    return _WRITTEN.get(unit) or f"{unit_of(unit):~P}"


def called_after(unit: str) -> str:
    """What kind of thing has this unit: a length, a weight, ...

    >>> called_after("carat"), called_after("thou"), called_after("percent")
    ('a weight', 'a length', 'a share')
    """
    # a per cent and an angle are both plain numbers to a unit library, and to nobody else
    if unit_of(unit) == unit_of("percent"):
        return "a share"
    for known, called in _KINDS:
        if unit_of(unit).is_compatible_with(unit_of(known)):
            return called
    return f"something in {written_unit(unit)}"
