"""The tables in data/: each row with basis and source, each number in its range, and the rules kept."""

import csv
import itertools
from pathlib import Path

import pytest

from course_lib.bench.refusals import Refused
from course_lib.bench.tables import data_folder, find, frame, numbers_of, practice, rows_of, table_by
from tests.published_values import published, worked_example

BASES = ("standard", "handbook", "library", "common practice", "from memory", "invented")
NEEDS_SOURCE = ("standard", "handbook", "library")


def is_demo(path: Path) -> bool:
    return path.stem.startswith("demo")


TABLES = sorted(path.stem for path in data_folder().glob("*.csv") if not is_demo(path))

# Least and most that each column of numbers may hold; wide enough for other tables of the trade, and
# narrow enough to catch a value in the wrong unit or with a slipped point.
RANGES = {
    ("abrasives", "grain_um"): (3, 300),
    ("alloys", "fineness"): (333, 1000),
    ("alloys", "solidus_degC"): (750, 1800),
    ("alloys", "liquidus_degC"): (780, 1850),
    ("alloys", "anneal_at"): (0.3, 0.9),
    ("alloys", "roll_reduction"): (0.03, 0.3),
    ("alloys", "draw_reduction"): (0.05, 0.3),
    ("alloys", "elastic_modulus_GPa"): (70, 180),
    ("alloys", "yield_soft_MPa"): (30, 400),
    ("alloys", "yield_hard_MPa"): (200, 900),
    ("alloys", "density_give_or_take"): (0.002, 0.03),
    ("blades", "kerf_mm"): (0.1, 0.6),
    ("drawplate", "diameter_mm"): (0.2, 6),
    ("drills", "diameter_mm"): (0.2, 3),
    ("elements", "density_g_cm3"): (2, 23),
    ("hallmark_limits", "exempt_below_g"): (0.4, 10),
    ("instruments", "resolution"): (0.0005, 1),
    ("instruments", "reads_low_by"): (0, 0.05),
    ("instruments", "instrument_uncertainty"): (0.0003, 0.3),
    ("maker_scatter", "spread_mm"): (0.002, 0.2),
    ("minutes", "minutes_least"): (1, 240),
    ("minutes", "minutes_likely"): (1, 240),
    ("minutes", "minutes_most"): (1, 240),
    ("prices", "price_per_gram_fine"): (0.2, 500),
    ("prices", "scrap_share"): (0.3, 1),
    ("sheet_sizes", "least"): (0.01, 10),
    ("sheet_sizes", "most"): (0.2, 25),
    ("practice", "least"): (0, 200),
    ("practice", "most"): (0.01, 2000),
    ("solders", "solidus_degC"): (500, 1700),
    ("solders", "flow_degC"): (520, 1750),
    ("stones", "specific_gravity"): (1, 6.5),
    ("stones", "least"): (1, 6.5),
    ("stones", "most"): (1, 6.5),
    ("stones", "mohs"): (1, 10),
}
NOT_NUMBERS_FOR_A_RANGE = {("practice", "value"), ("blades", "blade"), ("glossary", "lesson")}


def number(text: str) -> float | None:
    try:
        return float(text)
    except ValueError:
        return None


def test_there_are_tables() -> None:
    assert {"abrasives", "alloys", "drills", "solders", "stones", "elements"} <= set(TABLES)


@pytest.mark.parametrize("table", TABLES)
def test_every_row_has_a_basis_and_a_source_that_fits_it(table: str) -> None:
    rows = rows_of(table)
    assert rows
    for row in rows:
        assert row["basis"] in BASES, row
        if row["basis"] in NEEDS_SOURCE:
            assert len(row["source"].strip()) > 8, row
        if row["basis"] == "library":
            assert any(c.isdigit() for c in row["source"]), f"package and version: {row}"


@pytest.mark.parametrize("table", TABLES)
def test_rows_are_whole_and_tidy(table: str) -> None:
    with (data_folder() / f"{table}.csv").open(encoding="utf-8", newline="") as file:
        head, *body = list(csv.reader(file))
    assert len(set(head)) == len(head)
    for row in body:
        assert len(row) == len(head), row
        assert all(cell == cell.strip() for cell in row), row


@pytest.mark.parametrize("table", TABLES)
def test_every_number_lies_in_its_range(table: str) -> None:
    for column in rows_of(table)[0]:
        cells = [row[column] for row in rows_of(table) if row[column] != ""]
        if (
            not cells
            or any(number(cell) is None for cell in cells)
            or (table, column) in NOT_NUMBERS_FOR_A_RANGE
        ):
            continue
        assert (table, column) in RANGES, f"give {table}.{column} a range in this test"
        low, high = RANGES[table, column]
        for cell in cells:
            assert low <= float(cell) <= high, f"{table}.{column}: {cell}"


@pytest.mark.parametrize(("table", "column"), RANGES)
def test_columns_of_numbers_hold_only_numbers(table: str, column: str) -> None:
    cells = [row[column] for row in rows_of(table) if row[column] != ""]
    assert cells and all(number(cell) is not None for cell in cells)


@pytest.mark.parametrize(
    ("table", "key"),
    [
        ("abrasives", "grade"),
        ("alloys", "alloy"),
        ("blades", "blade"),
        ("elements", "element"),
        ("instruments", "instrument"),
        ("practice", "parameter"),
        ("prices", "metal"),
        ("sheet_sizes", "key"),
        ("stones", "gem"),
        ("minutes", "stage"),
        ("maker_scatter", "size"),
        ("drills", "diameter_mm"),
        ("drawplate", "diameter_mm"),
        ("hallmark_limits", "metal"),
    ],
)
def test_names_are_given_once(table: str, key: str) -> None:
    assert len(table_by(table, key)) == len(rows_of(table))


# --- rules that tables follow ---------------------------------------------------------------------
def test_drills_are_those_that_bs_328_stocks() -> None:
    """BS 328: 0.2 to 0.98 in steps of .00 .02 .05 .08; 1.0 to 2.95 in steps of 0.05. In whole hundredths."""
    small = [tenth * 10 + end for tenth in range(2, 10) for end in (0, 2, 5, 8)]
    assert [round(d * 100) for d in numbers_of("drills", "diameter_mm")] == small + list(range(100, 300, 5))


@pytest.mark.parametrize("table", ["drills", "drawplate", "blades"])
def test_sizes_of_tools_rise(table: str) -> None:
    column = {"blades": "kerf_mm"}.get(table, "diameter_mm")
    assert all(a < b for a, b in itertools.pairwise(numbers_of(table, column)))


def test_grains_fall() -> None:
    assert all(a > b for a, b in itertools.pairwise(numbers_of("abrasives", "grain_um")))
    numbers = [int(row["grade"].removeprefix("P")) for row in rows_of("abrasives")]
    assert numbers == sorted(numbers)


@pytest.mark.parametrize("row", rows_of("alloys"), ids=lambda r: r["alloy"])
def test_alloys_are_whole_and_melt_in_order(row: dict[str, str]) -> None:
    words = row["composition_percent"].split()
    assert sum(map(float, words[1::2])) == pytest.approx(100, abs=1e-9)
    assert set(words[::2]) <= set(table_by("elements", "element"))
    assert float(row["solidus_degC"]) < float(row["liquidus_degC"])
    assert float(row["yield_soft_MPa"]) < float(row["yield_hard_MPa"])
    assert float(row["roll_reduction"]) < float(row["anneal_at"])
    assert "Cd" not in words


@pytest.mark.parametrize("row", rows_of("solders"), ids=lambda r: f"{r['alloy']} {r['name']}")
def test_solders_melt_then_flow_below_their_alloy(row: dict[str, str]) -> None:
    alloy = table_by("alloys", "alloy")[row["alloy"]]
    assert float(row["solidus_degC"]) < float(row["flow_degC"]) < float(alloy["solidus_degC"])
    assert row["cadmium_free"] == "yes"


@pytest.mark.parametrize("alloy", sorted({row["alloy"] for row in rows_of("solders")}))
def test_hard_flows_above_medium_above_easy(alloy: str) -> None:
    of_this = {row["name"]: row for row in rows_of("solders") if row["alloy"] == alloy}
    order = [of_this[name] for name in ("hard", "medium", "easy")]
    for column in ("solidus_degC", "flow_degC"):
        assert float(order[0][column]) > float(order[1][column]) > float(order[2][column])


def test_every_alloy_has_solders() -> None:
    assert {row["alloy"] for row in rows_of("solders")} == {row["alloy"] for row in rows_of("alloys")}


@pytest.mark.parametrize("row", rows_of("stones"), ids=lambda r: r["gem"])
def test_stones_weigh_within_their_own_range(row: dict[str, str]) -> None:
    assert float(row["least"]) <= float(row["specific_gravity"]) <= float(row["most"])
    assert row["heat_sensitive"] in ("yes", "no") and row["pickle_sensitive"] in ("yes", "no")


def test_organic_and_watery_stones_are_kept_from_heat() -> None:
    """Common practice: opal, amber, emerald and topaz are set last."""
    for gem in ("opal", "amber", "emerald", "topaz", "amethyst", "tanzanite"):
        assert find("stones", "gem", gem, "a stone")["heat_sensitive"] == "yes"


@pytest.mark.parametrize(
    "row", [r for r in rows_of("practice") if number(r["value"]) is not None], ids=lambda r: r["parameter"]
)
def test_choices_lie_within_their_own_limits(row: dict[str, str]) -> None:
    assert float(row["least"]) <= float(row["value"]) <= float(row["most"])
    if row["unit"] == "share":
        assert float(row["least"]) >= 0
    assert row["why"]


def test_the_wire_and_sheet_in_the_drawer_can_be_worked_down() -> None:
    assert practice("wire_start") in numbers_of("drawplate", "diameter_mm")
    assert practice("sheet_start") >= 1


@pytest.mark.parametrize("row", rows_of("sheet_sizes"), ids=lambda r: r["key"])
def test_sizes_that_are_measured_have_limits(row: dict[str, str]) -> None:
    if row["kind"] in ("length", "weight"):
        assert row["unit"] and float(row["least"]) < float(row["most"])
    assert row["needed"] in ("yes", "no") and row["how"]


@pytest.mark.parametrize(
    "row",
    [r for r in rows_of("instruments") if "limit of error" in r["source"]],
    ids=lambda r: r["instrument"],
)
def test_a_limit_of_error_counts_as_rectangular(row: dict[str, str]) -> None:
    """JCGM 100:2008 4.3.7: half-width over root three."""
    (limit,) = [float(word) for word in row["source"].split() if number(word) is not None]
    assert float(row["instrument_uncertainty"]) == pytest.approx(limit / 3**0.5, rel=0.05)


@pytest.mark.parametrize("row", published("cautions"), ids=lambda r: f"{r['step']}: {r['said']}")
def test_cautions_say_what_the_rules_say(row: dict[str, str]) -> None:
    assert row["said"] in table_by("cautions", "step")[row["step"]]["caution"]


def test_dangerous_steps_have_their_caution() -> None:
    steps = {
        "solder",
        "pickle",
        "glue",
        "saw",
        "roll",
        "drill",
        "polish",
        "sand",
        "alloy",
        "cadmium",
        "draw",
        "anneal",
        "set",
    }
    assert steps <= set(table_by("cautions", "step"))
    general = table_by("cautions", "step")["general"]["caution"].lower()
    assert "local rules" in general and "safety sheet" in general and "qualified person" in general


def test_demo_jobs_say_that_they_are_invented() -> None:
    demos = [path for path in data_folder().glob("*.csv") if is_demo(path)]
    assert demos
    for path in demos:
        assert "invented" in path.read_text(encoding="utf-8-sig").lower(), path.name


# --- how tables are read --------------------------------------------------------------------------
def test_rows_cannot_be_spoiled() -> None:
    with pytest.raises(TypeError):
        rows_of("drills")[0]["diameter_mm"] = "9"  # type: ignore[index]


def test_a_name_that_is_not_there_offers_the_nearest() -> None:
    with pytest.raises(Refused, match="Nearest: 585"):
        find("alloys", "alloy", "585 yelow", "an alloy")
    assert find("stones", "gem", "  Cubic   Zirconia ", "a stone")["gem"] == "cubic zirconia"


def test_a_frame_keeps_its_columns_when_empty() -> None:
    empty = frame(("a", "b"), [])
    assert list(empty.columns) == ["a", "b"] and len(empty) == 0
    assert frame(("a", "b"), [(1, "x"), (2, "y")])["b"].tolist() == ["x", "y"]


def test_the_pavilion_left_out_is_tolkowskys() -> None:
    value, _ = worked_example("pavilion of a brilliant, share of its diameter")
    row = table_by("sheet_sizes", "key")["pavilion_depth"]
    assert f"{value * 100:g} %" in row["how"] and "Tolkowsky" in row["source"]
