"""One list of texts at every place where a size is typed: all take the same words, and refuse the same."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from course_lib.bench.measuring_sheet import sheet_from_text
from course_lib.bench.refusals import Refused
from course_lib.bench.units import quantity, size
from course_lib.classroom.exercises.typed import read_answer
from course_lib.classroom.page.own_sheet import as_csv
from course_lib.classroom.page.sheet_form import questions, sheet_form, written_as
from course_lib.screen.stage import Size
from course_lib.screen.typed_size import typed_value

WIRE = Size(key="w", label="claw wire", pattern=0.9, least=0.3, most=2.5, step=0.01)
CLAW_WIRE = next(each for each in questions() if each.key == "claw_wire")
STONE_WEIGHT = next(each for each in questions() if each.key == "weight")
HEAD = ["part", "size", "unit", "instrument", "readings"]


def at_size(text: str) -> float:
    return float(size(text).m_as("mm"))


def at_answer(text: str) -> float:
    amount = read_answer(text).amount
    if amount is None or not amount.is_compatible_with("mm"):
        raise Refused("no length")
    return float(amount.m_as("mm"))


def at_panel(text: str) -> float:
    return typed_value(WIRE, text)


def from_row(part: str, size_name: str, unit: str, gauge: str, reading: str) -> Any:
    def quoted(cell: str) -> str:
        return '"' + cell.replace('"', '""') + '"'

    row = ",".join(map(quoted, (part, size_name, unit, gauge, reading)))
    return sheet_from_text("\n".join([",".join(HEAD), row]), all_needed=False).readings


def at_sheet(text: str) -> float:
    """The unit in its own column, as the sheet asks for it."""
    number = text.rstrip('abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZµμ&"″.')
    unit = text[len(number) :]
    if number[-1:] == "/" or not number:
        unit, number = text, ""
    return float(from_row("claw", "wire", unit, "micrometer", number)["claw_wire"].value)


def at_sheet_in_the_cell(text: str) -> float:
    """The unit behind the reading as well."""
    unit = text.lstrip("0123456789.,/½¼¾ -")
    return float(from_row("claw", "wire", unit, "micrometer", text)["claw_wire"].value)


def at_form(text: str) -> float:
    row = written_as(CLAW_WIRE, "micrometer", text)
    return float(sheet_from_text(as_csv([row]), all_needed=False).readings["claw_wire"].value)


DOORS: dict[str, Callable[[str], float]] = {
    "size": at_size, "answer": at_answer, "panel": at_panel, "sheet": at_sheet,
    "cell": at_sheet_in_the_cell, "form": at_form,
}  # fmt: skip
# What is written, and how many mm that is by the definition of its unit.
TAKEN = [
    ("0.9 mm", 0.9), ("0,9 mm", 0.9), ("0.9mm", 0.9), (".9 mm", 0.9), ("0.9 MM", 0.9), ("9/10 mm", 0.9),
    ("0.9 millimetre", 0.9), ("0.9 millimeters", 0.9), ("0.9 milimeter", 0.9), ("0.9 milimetres", 0.9),
    ("0.09 cm", 0.09 * 10), ("0.09 centimetres", 0.09 * 10), ("0.0009 m", 0.9), ("900 µm", 0.9),
    ("900 um", 0.9), ("900 micron", 0.9), ("900 microns", 0.9), ("900 micrometres", 0.9),
    ("900 micrometer", 0.9), ('0.035"', 0.035 * 25.4), ("0.035 in", 0.035 * 25.4),
    ("0.035 in.", 0.035 * 25.4), ("0,035 inches", 0.035 * 25.4), ("1/32 in", 25.4 / 32),
    ("3/64 inch", 25.4 * 3 / 64), ('1/32"', 25.4 / 32), ("35 thou", 0.889), ("1 1/2 mm", 1.5),
    # ASTM B258: a gauge number n is 0.127 mm times 92 to the power (36 - n)/39
    ("20 AWG", 0.127 * 92 ** (16 / 39)), ("20 ga", 0.127 * 92 ** (16 / 39)),
    ("20 b&s", 0.127 * 92 ** (16 / 39)), ("20 gauge", 0.127 * 92 ** (16 / 39)),
]  # fmt: skip
REFUSED = [
    "35 mil", "0.9 furlong", "0.9 g", "0.9 €", "0.9 mm/", "thick", "0.9 xx mm", "0.9 degC", "0.9 mm2",
    "-0.9 mm", "0 mm", "1/0 in", "77 AWG", "0.9 m m", "0.9.1 mm", "0.9 kg/m3",
]  # fmt: skip


@pytest.mark.parametrize("door", DOORS)
@pytest.mark.parametrize(("text", "in_mm"), TAKEN)
def test_a_length_is_read_alike_at_every_door(door: str, text: str, in_mm: float) -> None:
    assert DOORS[door](text) == pytest.approx(in_mm, rel=1e-9)


@pytest.mark.parametrize("door", DOORS)
@pytest.mark.parametrize("text", REFUSED)
def test_what_is_no_length_is_refused_at_every_door(door: str, text: str) -> None:
    if door == "answer" and text in ("-0.9 mm", "0 mm"):
        # an answer that is nothing or less is read, and is wrong
        assert at_answer(text) <= 0
        return
    with pytest.raises(Refused):
        DOORS[door](text)


@pytest.mark.parametrize(
    ("text", "in_gram"),
    [
        ("1.2 g", 1.2),
        ("1,2 grams", 1.2),
        ("1200 mg", 1.2),
        ("6 ct", 1.2),
        ("6 carats", 1.2),
        ("0.0012 kg", 1.2),
    ],
)
def test_a_weight_is_read_alike_at_every_door(text: str, in_gram: float) -> None:
    weight = Size(key="m", label="weight", pattern=1.2, least=0.1, most=9, step=0.1, unit="gram")
    row = written_as(STONE_WEIGHT, "fine balance", text)
    found = [
        read_answer(text).amount.m_as("gram"),
        typed_value(weight, text),
        sheet_from_text(as_csv([row]), all_needed=False).readings["weight"].value,
        sheet_from_text(as_csv([replace(row, readings=(text,))]), all_needed=False).readings["weight"].value,
    ]
    assert found == pytest.approx([in_gram] * 4)


@pytest.mark.parametrize(
    ("text", "unit", "amount"),
    [
        ("50 per cent", "percent", 50), ("50 %", "percent", 50), ("50 Percent", "percent", 50),
        ("10 mins", "minute", 10), ("10 min.", "minute", 10), ("0.5 hrs", "minute", 30),
        ("13.5 g/ccm", "gram/cm**3", 13.5), ("13,5 g/ml", "gram/cm**3", 13.5),
        ("13500 kg/m3", "gram/cm**3", 13.5), ("13500 kg/m³", "gram/cm**3", 13.5),
        ("700 °C", "degC", 700), ("700 celsius", "degC", 700), ("90 deg", "degree", 90),
        ("90000 N/mm2", "MPa", 90000), ("90 GPa", "MPa", 90000), ("2 newtons", "newton", 2),
        ("5 mm²", "mm**2", 5), ("5 mm^3", "mm**3", 5),
    ],
)  # fmt: skip
def test_other_units_are_read_alike_in_an_answer_and_in_a_panel(text: str, unit: str, amount: float) -> None:
    control = Size(key="k", label="it", pattern=amount, least=0, most=1e6, step=1, unit=unit)
    assert typed_value(control, text) == pytest.approx(amount)
    assert read_answer(text).amount.m_as(unit) == pytest.approx(amount)
    assert read_answer(text).amount.check(quantity(1, unit).dimensionality)


@pytest.mark.parametrize(
    ("unit", "cell", "in_mm"),
    [
        ("mm", "0.01 0.03", 0.02),
        ("in.", "0.001; 0.003", 0.0508),
        ("microns", "10 µm 30 µm", 0.02),
        ("thou", "1|3", 0.0508),
    ],
)
def test_a_closed_gauge_takes_several_readings_in_a_cell(unit: str, cell: str, in_mm: float) -> None:
    rows = [
        ",".join(HEAD),
        f"micrometer,closed reading,{unit},,{cell}",
        "claw,wire,mm,micrometer,0.9 0.9 0.9",
    ]
    found = sheet_from_text("\n".join(rows), all_needed=False).readings["claw_wire"]
    assert found.value == pytest.approx(0.9 - in_mm)


@pytest.mark.parametrize(
    ("text", "readings", "in_mm"),
    [
        ('0.035" 0.036"', ["0.035", "0.036"], 0.0355 * 25.4), ("9/10 8/10 mm", ["9/10", "8/10"], 0.85),
        ("0.81/0.83", ["0.81", "0.83"], 0.82), ("900 microns, 800 microns", ["900", "800"], 0.85),
        ("0.9 9/10", ["0.9", "9/10"], 0.9), ("0.9 mm 0.9 millimetres", ["0.9", "0.9"], 0.9),
    ],
)  # fmt: skip
def test_the_form_keeps_several_readings_as_typed(
    text: str, readings: list[str], in_mm: float, tmp_path: Path
) -> None:
    form = sheet_form(tmp_path / "mine.csv")
    form.fill(claw_wire=text)
    assert form.rows["claw_wire"].trouble == ""
    assert list(form.sheet.rows["claw_wire"].readings) == readings
    again = sheet_form(tmp_path / "mine.csv")
    assert again.rows["claw_wire"].trouble == ""
    assert at_form(again.rows["claw_wire"].box.value) == pytest.approx(in_mm)
