"""The measuring sheet: read what a person filled in, whatever spreadsheet exported it.

A sheet is CSV, one row a size: part, size, unit, instrument, readings. Comma, semicolon or tab;
decimal point or comma; with or without a byte-order mark; blank lines and stray spaces. What cannot
be read is refused with its row, its column and what to write.
"""

import csv
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from statistics import median

from course_lib.bench.choices import check_choice
from course_lib.bench.csv_read import exported_text, filled_lines, filled_rows, split_lines
from course_lib.bench.measuring import Reading, combine_readings
from course_lib.bench.refusals import Refused
from course_lib.bench.tables import TableRow, find, rows_of, table_by
from course_lib.bench.units import (
    LENGTHS,
    WEIGHTS,
    is_gauge,
    quantity,
    size,
    split_size,
    unit_behind,
    unit_called,
)

LARGEST_SHEET = 1_000_000
_NOTHING = " ;,\t\r\n\u00a0\ufeff"
_COLUMNS = {
    "part": ("part", "parts"),
    "size": ("size", "size name", "name", "what"),
    "unit": ("unit", "units"),
    "instrument": ("instrument", "gauge", "tool"),
    "note": ("note", "notes", "comment", "comments"),
}


@dataclass(frozen=True, eq=False)
class MeasuringSheet:
    """What a measuring sheet says: names, counts, and the sizes that were read, in mm and g.

    `shared` names for each size the gauge it was read with and that gauge's own standard uncertainty,
    which all its readings have in common.
    """

    names: Mapping[str, str]
    counts: Mapping[str, float]
    readings: Mapping[str, Reading]
    shared: Mapping[str, tuple[str, float]]
    choices: Mapping[str, str]
    remarks: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class _Line:
    """One filled row: its number in the file, and its cells."""

    row: int
    part: str
    size: str
    unit: str
    instrument: str
    cells: tuple[tuple[str, str], ...]
    note: str = ""

    def refuse(self, column: str, message: str) -> Refused:
        return Refused(f"Row {self.row}, column '{column}': {message}")


def read_sheet(path: str | Path) -> MeasuringSheet:
    """Read a measuring sheet.

    Args:
        path: the CSV file.

    Returns:
        A `MeasuringSheet`.

    Raises:
        Refused: it is no such file, or a cell cannot be used; the message has row, column and remedy.
    """
    return sheet_from_text(exported_text(Path(path), "a measuring sheet", LARGEST_SHEET))


def sheet_from_text(text: str, all_needed: bool = True) -> MeasuringSheet:
    """The inner part of `read_sheet`, on the text of the file.

    Args:
        text: of the file.
        all_needed: refuse a sheet that lacks a size without which nothing can be planned.

    Returns:
        A `MeasuringSheet`.

    Raises:
        Refused: a cell cannot be used, or a needed row is missing.

    >>> try:
    ...     sheet_from_text("part;size;unit;instrument;readings\\npost;wire;mm;micrometer;0,90 0,91 0,89")
    ... except Refused as refusal:
    ...     print(str(refusal).split(". ")[0])
    The sheet has no row 'piece, alloy'
    """
    if not any(row.strip(_NOTHING) for row in text.splitlines()):
        raise Refused("The sheet is empty. Its first row is: part, size, unit, instrument, readings.")
    lines, comma = _lines(text)
    zero = _zero_errors(lines)
    names: dict[str, str] = {}
    counts: dict[str, float] = {}
    readings: dict[str, Reading] = {}
    shared: dict[str, tuple[str, float]] = {}
    choices: dict[str, str] = {}
    read_once: list[str] = []
    seen: dict[str, int] = {}
    for line in lines:
        if line.size.lower() == "closed reading":
            continue
        if line.part.lower() in ("choice", "our choice"):
            name = _choice_name(line)
            if name in choices:
                raise line.refuse("size", f"the choice '{line.size}' stands in another row too. Keep one.")
            choices[name] = _choice(line, name)
            continue
        known = _size_row(line)
        key = known["key"]
        if key in seen:
            raise line.refuse(
                "size", f"'{line.part}, {line.size}' is in row {seen[key]} too. Put all readings in one row."
            )
        seen[key] = line.row
        if known["kind"] == "name":
            names[key] = _name(line, key)
        elif known["kind"] == "count":
            counts[key] = _count(line, known)
        else:
            gauge = _instrument(line, known)
            readings[key] = _reading(line, known, gauge, zero, comma, read_once)
            shared[key] = (gauge["instrument"], gauge.amount("instrument_uncertainty", empty=0))
    if all_needed:
        _nothing_missing(seen)
    return MeasuringSheet(names, counts, readings, shared, choices, _of_single_readings(read_once))


def _of_single_readings(labels: list[str]) -> tuple[str, ...]:
    """One remark for all sizes that were read only once."""
    if not labels:
        return ()
    read = "Read it three times" if len(labels) == 1 else "Read each three times"
    return (f"{'; '.join(labels)}: one reading only, so its scatter is unknown. {read}.",)


def check_row(cells: Sequence[str], header: Sequence[str]) -> None:
    """Check one row alone, as it would be checked in a whole sheet.

    Args:
        cells: of the row.
        header: the sheet's first row.

    Raises:
        Refused: a cell cannot be used; the message has row, column and remedy.

    >>> head = ["part", "size", "unit", "instrument", "readings"]
    >>> check_row(["post", "wire", "mm", "caliper", "0.9"], head)
    """
    out = io.StringIO()
    csv.writer(out).writerows([header, cells])
    lines, comma = _lines(out.getvalue())
    for line in lines:
        if line.size.lower() == "closed reading":
            _closed_reading(line)
            continue
        known = _size_row(line)
        if known["kind"] == "name":
            _name(line, known["key"])
        elif known["kind"] == "count":
            _count(line, known)
        else:
            _reading(line, known, _instrument(line, known), {}, comma, [])


@dataclass(frozen=True)
class Written:
    """A row of a sheet as it was written, whether it is understood or not.

    `key` is that of data/sheet_sizes.csv, or empty for a row that is none of its sizes.
    """

    key: str
    part: str
    size: str
    unit: str
    instrument: str
    readings: tuple[str, ...]
    note: str = ""


def written_rows(text: str) -> list[Written]:
    """The filled rows of a sheet, none of them judged.

    Args:
        text: of the file.

    Returns:
        The rows in their order.

    Raises:
        Refused: it is no table, or its first row does not name the columns.

    >>> text = "part;size;unit;instrument;readings\\nstone;girdle;mm;;5,02\\nbox;lid;mm;;3"
    >>> [(row.key, row.size, row.readings) for row in written_rows(text)]
    [('stone_diameter', 'girdle', ('5,02',)), ('', 'lid', ('3',))]
    """
    found = []
    for line in _lines(text)[0]:
        try:
            key = _size_row(line)["key"]
        except Refused:
            key = ""
        readings = tuple(cell for _, cell in line.cells)
        found.append(Written(key, line.part, line.size, line.unit, line.instrument, readings, line.note))
    return found


def _lines(text: str) -> tuple[list[_Line], bool]:
    """The filled rows, and whether the file is separated by commas."""
    rows = split_lines(text)
    found = filled_rows(rows, next(filled_lines(rows), len(rows)))
    (_, heads), *filled = found.filled or ((0, []),)
    header = [cell.lower() for cell in heads]
    where = _columns(header)
    return [_line(row, cells, header, where) for row, cells in filled], found.separator == ","


def _columns(header: Sequence[str]) -> dict[str, int]:
    where = {
        column: header.index(said)
        for column, names in _COLUMNS.items()
        for said in names[::-1]
        if said in header
    }
    missing = [c for c in ("part", "size", "unit") if c not in where]
    if missing or not any(h.startswith("reading") for h in header):
        wanted = missing[0] if missing else "readings"
        raise Refused(
            f"The first row has no column '{wanted}'. Its first row is: part, size, unit, instrument, "
            "readings (or reading 1, reading 2, and so on)."
        )
    return where


def _line(row: int, cells: list[str], header: list[str], where: Mapping[str, int]) -> _Line:
    def cell(column: str) -> str:
        at = where.get(column, -1)
        return cells[at] if 0 <= at < len(cells) else ""

    taken = set(where.values())
    start = next(i for i, h in enumerate(header) if h.startswith("reading"))
    found = tuple(
        (header[i] if i < len(header) and header[i] else f"reading {i - start + 1}", text)
        for i, text in enumerate(cells)
        if i >= start
        and i not in taken
        and text
        and (i >= len(header) or not header[i] or header[i].startswith("reading"))
    )
    return _Line(row, cell("part"), cell("size"), cell("unit"), cell("instrument"), found, cell("note"))


def _size_row(line: _Line) -> TableRow:
    """The row of data/sheet_sizes.csv that this line fills in."""
    parts = list(dict.fromkeys(row["part"] for row in rows_of("sheet_sizes")))
    part, size = line.part.lower(), line.size.lower()
    if part not in parts:
        near = get_close_matches(part, parts, n=1, cutoff=0.5)
        offer = f"Write '{near[0]}'." if near else f"Parts are: {', '.join(parts)}."
        raise line.refuse("part", f"{line.part!r} is not a part known here. {offer}")
    sizes: dict[str, TableRow] = {}
    for row in rows_of("sheet_sizes"):
        if row["part"] == part:
            for name in (row["size"], *(n.strip() for n in row["also_said"].split(";"))):
                if name:
                    sizes.setdefault(name, row)
    if size not in sizes:
        near = get_close_matches(size, sizes, n=1, cutoff=0.5)
        listed = ", ".join(dict.fromkeys(row["size"] for row in sizes.values()))
        offer = f"Write '{near[0]}'." if near else f"Sizes of the {part} are: {listed}."
        raise line.refuse("size", f"{line.size!r} is not a size of the {part} known here. {offer}")
    return sizes[size]


def _only_text(line: _Line) -> str:
    if not line.cells:
        raise line.refuse(
            "readings", f"'{line.part}, {line.size}' is empty. Write it in the first column of readings."
        )
    return " ".join(text for _, text in line.cells)


# Names that must stand in a table: the table, the column, and what they are called.
_NAMED = {"alloy": ("alloys", "alloy", "an alloy"), "gem": ("stones", "gem", "a stone")}


def _name(line: _Line, key: str) -> str:
    """What stands in a row of words: a free title, or a name that a table holds."""
    said = _only_text(line)
    if key not in _NAMED:
        return said
    table, column, called = _NAMED[key]
    try:
        return find(table, column, said, called)[column]
    except Refused as error:
        raise line.refuse(line.cells[0][0], str(error)) from None


def _choice_name(line: _Line) -> str:
    names = {row["parameter"].replace("_", " "): row["parameter"] for row in rows_of("practice")}
    said = line.size.lower().replace("_", " ")
    if said not in names:
        near = get_close_matches(said, names, n=1, cutoff=0.5)
        offer = f"Write '{near[0]}'." if near else "They are in data/practice.csv."
        raise line.refuse("size", f"{line.size!r} is not a choice known here. {offer}")
    return names[said]


def _choice(line: _Line, name: str) -> str:
    """What the sheet chooses instead of the default, if the table allows it."""
    row, said = table_by("practice", "parameter")[name], _only_text(line)
    if line.unit and line.unit.lower() != row["unit"].lower():
        raise line.refuse("unit", f"{line.unit!r} is not the unit here. Write {row['unit']}, or nothing.")
    try:
        check_choice(row, said)
    except Refused as error:
        raise line.refuse(line.cells[0][0], str(error)) from None
    return said


def _count(line: _Line, known: TableRow) -> float:
    if len({text for _, text in line.cells}) > 1:
        raise line.refuse(
            line.cells[1][0], "a second count that differs from the first. Count again, write one."
        )
    column, text = line.cells[0] if line.cells else ("readings", "")
    number = _number(line, column, text)
    least, most = known.amount("least"), known.amount("most")
    if not least <= number <= most or (known["key"] == "claws" and number != int(number)):
        raise line.refuse(
            column,
            f"{text!r} cannot be the {line.size} of the {line.part}; it lies between {least:g} and {most:g}.",
        )
    return number


def _number(line: _Line, column: str, text: str) -> float:
    """A number as typed, with a point or a comma, or a fraction; refused if it is anything else."""
    if re.fullmatch(r"[-+\u2212]?\d{1,3}(?:[.,]\d{3})+[.,]\d+", text):
        raise line.refuse(
            column, f"{text!r} has two marks in one number. Write it with one, for example 1234.5."
        )
    try:
        number, rest = split_size(text)
    except Refused:
        raise line.refuse(column, f"{text!r} is not a number. Write for example 0.81 or 0,81.") from None
    if rest:
        raise line.refuse(column, f"{text!r} is not a number alone. Write for example 0.81 or 0,81.")
    return number


def _reading(
    line: _Line,
    known: TableRow,
    gauge: TableRow,
    zero: Mapping[str, float],
    comma: bool,
    read_once: list[str],
) -> Reading:
    unit, scale = _unit(line, known)
    read = [(column, text) for column, cell in line.cells for text in split_readings(cell, unit)]
    columns = [column for column, _ in read]
    values = [_scaled(line, column, text, unit, scale, comma) for column, text in read]
    label = f"{known['part']}, {known['size']}"
    if not values:
        raise line.refuse("readings", f"'{label}' has no reading. Measure it: {known['how']}.")
    _within_reason(line, known, columns, values)
    if len(values) == 1:
        read_once.append(label)
    off = zero.get(gauge["instrument"], 0.0) - gauge.amount("reads_low_by", empty=0)
    resolution = gauge.amount("resolution", empty=0)
    found = combine_readings(values, resolution, off, gauge.amount("instrument_uncertainty", empty=0))
    if not known.amount("least") <= found.value <= known.amount("most"):
        raise line.refuse(
            columns[0],
            f"with what the closed gauge reads taken off, {found.value:.4g} is left, which cannot be right. "
            f"Look at the row '{gauge['instrument']}, closed reading' too.",
        )
    return found


_ONE_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
# In mm and cm a slash parts two readings, but not where the lower number is one that fractions have.
_FRACTION = {"inch": r"\d+/\d+", **dict.fromkeys(("mm", "cm"), r"\d{1,3}/(?:2|4|8|10|16|32|64|100)")}


def split_readings(cell: str, unit: str) -> list[str]:
    """Several readings in one cell, apart by spaces, semicolons, bars or slashes.

    Args:
        cell: as it was written, with or without a unit behind each reading.
        unit: by its name, or ``awg``.

    Returns:
        The readings, each as it was written.

    >>> split_readings("0.81/0.82 mm", "mm"), split_readings("9/10 mm", "mm")
    (['0.81', '0.82 mm'], ['9/10 mm'])
    >>> split_readings("1 1/32 in; 1 in", "inch")
    ['1-1/32 in', '1 in']
    """
    if _ONE_NUMBER.fullmatch(cell):
        return [cell]
    cell = unit_behind().sub(r"~\1 ", cell)
    if unit == "awg":
        return [text for text in re.split(r"[;|\s~]+", cell) if text and not is_gauge(text)]
    cell = re.sub(r"\s*~", "~", cell)
    fraction = _FRACTION.get(unit, "(?!)")
    cell = re.sub(rf"(?<![\d.,/])(\d+)\s+(?={fraction}(?!\d))", r"\1-", cell)
    readings: list[str] = []
    for text in re.split(r"[;|\s]+", cell):
        whole = re.fullmatch(rf"[-+\u2212]?(?:\d+-)?{fraction}(?:~.*)?", text)
        readings += [text] if whole else text.split("/")
    return [text.replace("~", " ") for text in readings if text]


def _unit_of(said: str, weight: bool) -> tuple[str, float]:
    """The unit that was written, by its name, and how many mm or g it is; an empty name if it is none."""
    name = unit_called(said)
    if name not in (WEIGHTS if weight else LENGTHS):
        return "", 0.0
    right = "gram" if weight else "mm"
    return name, 1.0 if name == right else float(quantity(1.0, name).m_as(right))


def _unit(line: _Line, known: TableRow) -> tuple[str, float]:
    """The row's unit by pint's name (or ``awg``), and how many mm or g it is."""
    weight = known["kind"] == "weight"
    right = "g" if weight else "mm"
    if not line.unit:
        raise line.refuse("unit", f"no unit. Write {right}.")
    if not weight and is_gauge(line.unit):
        return "awg", 1.0
    unit, scale = _unit_of(line.unit, weight)
    if not unit:
        other = "a weight" if weight else "a length"
        raise line.refuse("unit", f"{line.unit!r} is not a unit of {other} known here. Write {right}.")
    return unit, scale


def _bare(line: _Line, column: str, text: str, unit: str) -> float:
    """The number of a reading; a unit behind it must be that of the row."""
    tail = re.fullmatch(r"(.*\S)\s+([^\d\s]+)", text)
    if tail:
        if unit_called(tail[2]) != unit:
            raise line.refuse(
                column,
                f"{text!r} has a unit of its own, but the row's unit is {line.unit!r}. Write all readings "
                "of a row in one unit.",
            )
        text = tail[1]
    return _number(line, column, text)


def _scaled(line: _Line, column: str, text: str, unit: str, scale: float, comma: bool) -> float:
    if unit == "awg":
        try:
            return float(size(f"{text} AWG").m)
        except Refused:
            raise line.refuse(column, f"{text!r} is not a wire gauge number. Write for example 20.") from None
    number = _bare(line, column, text, unit)
    if number < 0:
        raise line.refuse(column, f"{text!r} is less than nothing. Write the size without the sign.")
    if number == 0:
        hint = (
            " If commas are your decimal marks, export with semicolons between the columns." if comma else ""
        )
        raise line.refuse(column, f"{text!r} is nothing; a size is more than that.{hint}")
    return number * scale


def _instrument(line: _Line, known: TableRow) -> TableRow:
    weight = known["kind"] == "weight"
    said = line.instrument or ("balance" if weight else "caliper")
    try:
        row = find("instruments", "instrument", said, "an instrument")
    except Refused as error:
        raise line.refuse("instrument", str(error)) from None
    if not row["resolution"] or (row["unit"] == "g") != weight:
        fits = [r["instrument"] for r in rows_of("instruments") if r["unit"] == ("g" if weight else "mm")]
        raise line.refuse("instrument", f"{said!r} does not measure this. Write one of: {', '.join(fits)}.")
    return row


def _within_reason(line: _Line, known: TableRow, columns: Sequence[str], values: Sequence[float]) -> None:
    """Refuse a reading that no such part has, and one far from its fellows; offer the likely slip."""
    unit = "g" if known["kind"] == "weight" else "mm"
    least, most = known.amount("least"), known.amount("most")
    middle = median(values)
    for column, value in zip(columns, values, strict=True):
        if least <= value <= most and (len(values) == 1 or abs(value - middle) <= 0.3 * middle):
            continue
        if least <= middle <= most and not (least <= value <= most and len(values) == 2):
            raise line.refuse(
                column,
                f"{value:.4g} {unit} is far from the other readings (about {middle:.4g} {unit}). Look for "
                "a slipped decimal mark, or read it again.",
            )
        raise line.refuse(column, _out_of_reason(line, known, value, unit, least, most))


def _out_of_reason(line: _Line, known: TableRow, value: float, unit: str, least: float, most: float) -> str:
    usual = f"the {known['size']} of the {known['part']} lies between {least:g} and {most:g} {unit}"
    if least <= value <= most:
        return f"the readings differ by more than a third. Read the {known['size']} again."
    if unit == "mm" and least <= value * 25.4 <= most:
        return (
            f"{value:.4g} mm cannot be right: {usual}. Read as inches it would be {value * 25.4:.2f} mm: "
            "if it was read in inches, write 'in' in the column 'unit'."
        )
    for slip in (10.0, 0.1, 100.0, 0.01):
        if least <= value * slip <= most:
            return f"{value:.4g} {unit} cannot be right: {usual}. Did you mean {value * slip:.4g}?"
    return f"{value:.4g} {unit} cannot be right: {usual}. Measure it again: {known['how']}."


def _zero_errors(lines: Sequence[_Line]) -> dict[str, float]:
    """What closed gauges read, from rows such as: micrometer, closed reading, mm, , 0.01."""
    found: dict[str, float] = {}
    for line in lines:
        if line.size.lower() == "closed reading":
            gauge, value = _closed_reading(line)
            if gauge in found:
                raise line.refuse(
                    "size", f"the closed {gauge} stands in another row too. Put both in one row."
                )
            found[gauge] = value
    return found


def _closed_reading(line: _Line) -> tuple[str, float]:
    """The gauge, and the mean of what it showed closed, in mm or g."""
    try:
        row = find("instruments", "instrument", line.part, "an instrument")
    except Refused as error:
        raise line.refuse("part", str(error)) from None
    right = row["unit"]
    unit, scale = _unit_of(line.unit or right, right == "g")
    if not unit:
        raise line.refuse("unit", f"{line.unit!r} is not a unit for a {row['instrument']}. Write {right}.")
    read = [(column, text) for column, cell in line.cells for text in split_readings(cell, unit)]
    values = [_bare(line, column, text, unit) * scale for column, text in read]
    if not values:
        raise line.refuse("readings", f"no reading. What does the closed {row['instrument']} show?")
    for (column, text), value in zip(read, values, strict=True):
        if abs(value) > 0.5:
            raise line.refuse(
                column, f"{text!r} is a large zero error. Clean the gauge and read it closed again."
            )
    return row["instrument"], sum(values) / len(values)


def _nothing_missing(seen: Mapping[str, int]) -> None:
    for row in rows_of("sheet_sizes"):
        if row["needed"] == "yes" and row["key"] not in seen:
            raise Refused(f"The sheet has no row '{row['part']}, {row['size']}'. Add one: {row['how']}.")


def label_of(key: str) -> str:
    """How a size is called on the sheet.

    >>> label_of("post_wire")
    'post, wire'
    """
    row = table_by("sheet_sizes", "key")[key]
    return f"{row['part']}, {row['size']}"
