"""The trade's choices for one job: the defaults of data/practice.csv and what the sheet changes."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from course_lib.bench.finish import removal_mm
from course_lib.bench.refusals import Refused
from course_lib.bench.tables import TableRow, practice, rows_of, table_by

_NAMES = ("grades", "blade")
_WORDS = ("papers", "post_papers", "fold_blade", "ring_blade")
_UNITS = (
    "mm", "share", "degree", "degC", "delta_degC", "newton", "count", "money", "money an hour", *_NAMES,
)  # fmt: skip


@dataclass(frozen=True, eq=False)
class Choices:
    """Numbers by the parameter's name, and the choices that are names."""

    numbers: Mapping[str, float]
    papers: tuple[str, ...]
    post_papers: tuple[str, ...]
    fold_blade: str
    ring_blade: str

    def __getitem__(self, parameter: str) -> float:
        # of a row that was taken out of the table, `practice` says what is missing
        return self.numbers[parameter] if parameter in self.numbers else practice(parameter)

    @property
    def fold_kerf(self) -> float:
        """The kerf of the blade that cuts the folds, in mm."""
        return _kerf(self.fold_blade)

    @property
    def ring_kerf(self) -> float:
        """The kerf of the blade that opens the ring, in mm."""
        return _kerf(self.ring_blade)

    @property
    def sanding(self) -> float:
        """What the papers take off a face, in mm."""
        return removal_mm(self.papers, self["grain_share"])

    @property
    def post_sanding(self) -> float:
        """What the papers take off the drawn post, in mm a face."""
        return removal_mm(self.post_papers, self["grain_share"])


_NAMED = ("papers", "post_papers", "fold_blade", "ring_blade")


def choices_to_keep(choices: Choices) -> dict[str, Any]:
    """All choices as JSON can hold them, defaults too: for a record that must not change with the tables.

    >>> choices_to_keep(choices_from({}))["fold_blade"] == choices_from({}).fold_blade
    True
    """
    return {**choices.numbers, **{name: getattr(choices, name) for name in _NAMED}}


def choices_kept(kept: Mapping[str, Any]) -> Choices:
    """The choices that were kept; what the tables ask since then has its default.

    >>> choices_kept(choices_to_keep(choices_from({"post_spare": "2"})))["post_spare"]
    2.0
    """
    now = choices_from({})
    numbers = {name: value for name, value in kept.items() if name not in _NAMED}
    named = {name: kept.get(name, getattr(now, name)) for name in _NAMED}
    named |= {name: tuple(named[name]) for name in _NAMED if not isinstance(named[name], str)}
    return Choices({**now.numbers, **numbers}, **named)


def choices_from(changed: Mapping[str, str]) -> Choices:
    """The defaults, with those of one job in their place.

    Args:
        changed: parameter names of data/practice.csv and what the sheet says instead.

    Returns:
        The `Choices`.

    Raises:
        Refused: not a number, outside the least and most of the table, or no such blade or paper.

    >>> choices_from({"post_spare": "2"})["post_spare"]
    2.0
    """
    words: dict[str, str] = {}
    numbers: dict[str, float] = {}
    for row in rows_of("practice"):
        name = row["parameter"]
        text = changed.get(name, row["value"])
        if name not in changed and row["unit"] not in _NAMES:
            row.amount("value")
        number = check_choice(row, text)
        if number is None:
            words[name] = text
        else:
            numbers[name] = number
    for name in _WORDS:
        words.setdefault(name, table_by("practice", "parameter")[name]["value"])
    papers, post_papers = tuple(words["papers"].split()), tuple(words["post_papers"].split())
    found = Choices(numbers, papers, post_papers, words["fold_blade"], words["ring_blade"])
    if found["hole_most"] < found["hole_least"]:
        raise Refused("Choice 'hole most' is below 'hole least'. Exchange them.")
    return found


def check_choice(row: TableRow, text: str) -> float | None:
    """Check what is chosen against its row of data/practice.csv.

    Args:
        row: of the table.
        text: what is chosen.

    Returns:
        The number; None where the choice is made of names.

    Raises:
        Refused: not a number, outside the least and most of the table, or no such blade or paper.
    """
    if row["unit"] not in _UNITS:
        raise row.refuse(
            "unit", f"{row['unit']!r} is not a unit of a choice. Units are: {', '.join(_UNITS)}."
        )
    if row["unit"] == "grades":
        removal_mm(text.split(), 1)
    elif row["unit"] == "blade":
        _kerf(text)
    else:
        return _within(row, text)
    return None


def _within(row: TableRow, text: str) -> float:
    said = row["parameter"].replace("_", " ")
    try:
        number = float(text.replace(",", "."))
    except ValueError:
        raise Refused(
            f"Choice '{said}': {text!r} is not a number. Write for example {row['value']}."
        ) from None
    least, most = (row.amount(end) if row[end] else None for end in ("least", "most"))
    if number != number or (least is not None and number < least) or (most is not None and number > most):
        raise Refused(
            f"Choice '{said}': {text} lies outside {row['least']} to {row['most']} {row['unit']}. The "
            f"default is {row['value']}."
        )
    return number


def _kerf(blade: str) -> float:
    blades = table_by("blades", "blade")
    if blade not in blades:
        raise Refused(f"{blade!r} is not a saw blade known here. Blades: {', '.join(blades)}.")
    return blades[blade].amount("kerf_mm")
