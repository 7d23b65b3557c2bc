"""Plain formulas of the sheet's sizes, as a teacher writes them: ``plate_diameter / 3``. Nothing is run.

A formula knows numbers, + - * / **, brackets, the functions of `FUNCTIONS` (angles in degrees), the sizes of
the job by their keys in ``data/sheet_sizes.csv``, the trade's choices by their keys in ``data/practice.csv``,
and the other sums of its exercise.
"""

import ast
import math
import operator
from collections.abc import Callable, Mapping
from difflib import get_close_matches
from typing import Any

from course_lib.bench.refusals import Refused
from course_lib.bench.tables import table_by
from course_lib.classroom.pieces.job_in_hand import JobInHand

_LONGEST = 500
_TWO: Mapping[type, Callable[[float, float], float]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.Pow: operator.pow,
}


def _of_degrees(function: Callable[[float], float]) -> Callable[[float], float]:
    return lambda angle: function(math.radians(angle))


def _in_degrees(function: Callable[[float], float]) -> Callable[[float], float]:
    return lambda ratio: math.degrees(function(ratio))


FUNCTIONS: Mapping[str, Callable[..., float]] = {
    "sqrt": math.sqrt,
    "sin": _of_degrees(math.sin),
    "cos": _of_degrees(math.cos),
    "tan": _of_degrees(math.tan),
    "asin": _in_degrees(math.asin),
    "acos": _in_degrees(math.acos),
    "atan": _in_degrees(math.atan),
    "min": min,
    "max": max,
    "abs": abs,
    "round": round,
    "ceil": math.ceil,
    "floor": math.floor,
}


class Numbers:
    """The numbers that a formula may name, for one job: its sizes, the trade's choices, sums and pi."""

    def __init__(self, job: JobInHand, sums: Mapping[str, str]) -> None:
        self._job, self._sums = job, sums
        self._known: dict[str, float] = {"pi": math.pi}
        self._open: list[str] = []

    def __getitem__(self, name: str) -> float:
        if name not in self._known:
            self._known[name] = self._worked_out(name)
        return self._known[name]

    def _worked_out(self, name: str) -> float:
        if name in self._sums:
            if name in self._open:
                raise Refused(f"the sum {name!r} leads back to itself")
            self._open.append(name)
            found = worked_out(self._sums[name], self)
            self._open.pop()
            return found
        if name in self._job.readings:
            return float(self._job.readings[name].value)
        if name in self._job.choices.numbers:
            return float(self._job.choices[name])
        if name in table_by("sheet_sizes", "key"):
            raise Refused(f"the sheet of this job has no {name}, which the formula needs")
        known = [*self._sums, *self._job.readings, *self._job.choices.numbers, "pi"]
        near = get_close_matches(name, known, n=1)
        raise Refused(
            f"{name!r} is no size, choice or sum" + (f": did you mean {near[0]!r}?" if near else "")
        )


def worked_out(formula: str | float, numbers: Any) -> float:
    """Work out a formula.

    Args:
        formula: such as ``"pi * (ring_inside + ring_wire)"``, or a number.
        numbers: gives a number by its name.

    Returns:
        A plain number.

    Raises:
        Refused: it is no formula, or it comes to no number; the message says why.

    >>> worked_out("2 * sqrt(a ** 2 + 9)", {"a": 4.0}), worked_out("sin(30)", {})
    (10.0, 0.49999999999999994)
    """
    try:
        if len(str(formula)) > _LONGEST:
            raise Refused("a formula so long is hard to check: make sums of its parts")
        found = _value(ast.parse(str(formula), mode="eval").body, numbers)
    except Refused:
        raise
    except SyntaxError as error:
        raise Refused(f"{formula!r} is no formula ({error.msg})") from None
    except ZeroDivisionError:
        raise Refused(f"{formula!r} divides by nothing on this job") from None
    except (ArithmeticError, ValueError, TypeError, KeyError, RecursionError) as error:
        raise Refused(f"{formula!r} comes to no number on this job ({error})") from None
    if not math.isfinite(found):
        raise Refused(f"{formula!r} comes to no ordinary number on this job")
    return float(found)


def _value(node: ast.AST, numbers: Any) -> float:
    match node:
        case ast.Constant(value=int() | float() as value) if not isinstance(value, bool):
            return float(value)
        case ast.Name(id=name):
            return float(numbers[name])
        case ast.UnaryOp(op=ast.USub(), operand=inner):
            return -_value(inner, numbers)
        case ast.BinOp(left=left, op=op, right=right) if type(op) in _TWO:
            return _TWO[type(op)](_value(left, numbers), _value(right, numbers))
        case ast.Call(func=ast.Name(id=name), args=args, keywords=[]) if name in FUNCTIONS:
            return float(FUNCTIONS[name](*(_value(each, numbers) for each in args)))
    raise Refused(
        f"{ast.unparse(node)[:60]!r} is nothing that a formula can hold: write numbers, names, + - * / **, "
        f"brackets and {', '.join(FUNCTIONS)}"
    )
