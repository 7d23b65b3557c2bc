"""Sizes and their units: gauges, drills, troy weights, what people write, and what is refused."""

import importlib
import itertools
import math
import pkgutil
from collections.abc import Callable, Iterator
from fractions import Fraction
from types import ModuleType
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import course_lib.bench
from course_lib.bench import units
from course_lib.bench.basket import basket
from course_lib.bench.finish import removal
from course_lib.bench.forming import draw, roll
from course_lib.bench.hole import drill_for
from course_lib.bench.measuring import coverage, decide, measured, readings_enough
from course_lib.bench.metal import alloy_density
from course_lib.bench.pair import compare
from course_lib.bench.price import quote
from course_lib.bench.refusals import Refused, WrongUnit
from course_lib.bench.solder import assign
from course_lib.bench.tables import frame
from course_lib.bench.units import Kind, Sum, gauge_size, nearest_gauge, quantity, size
from tests.published_values import published

UNHURRIED = settings(max_examples=200, deadline=None)


def bench_modules() -> list[ModuleType]:
    found = [m.name for m in pkgutil.iter_modules(course_lib.bench.__path__, "course_lib.bench.")]
    assert len(found) >= 15
    return [importlib.import_module(name) for name in found]


def all_sums() -> dict[str, Sum]:
    """Every sum with units, by module and name, found by looking rather than from a list."""
    found = {}
    for module in bench_modules():
        for name, value in vars(module).items():
            if isinstance(value, Sum) and value.plain.__module__ == module.__name__:
                found[f"{module.__name__.rsplit('.', 1)[1]}.{name}"] = value
    assert len(found) >= 25
    return found


SUMS = all_sums()


# --- gauges and drills ----------------------------------------------------------------------------
@pytest.mark.parametrize("row", published("wire_gauge"), ids=lambda r: r["gauge"])
def test_gauge_sizes_are_those_of_the_standard(row: dict[str, str]) -> None:
    in_mm = gauge_size(int(row["gauge"])).m_as("mm")
    assert in_mm == pytest.approx(float(row["mm"]), abs=5e-5)
    assert in_mm / 25.4 == pytest.approx(float(row["formula_inch"]), abs=5e-7)
    assert in_mm / 25.4 == pytest.approx(float(row["table_inch"]), abs=float(row["tolerance"]) + 1e-9)


def test_gauges_shrink_by_one_ratio_from_0000_to_36() -> None:
    """ASTM B258: 39 equal ratios between 0.4600 in (0000) and 0.0050 in (36)."""
    sizes = [gauge_size(n).m_as("inch") for n in range(-3, 37)]
    assert sizes[0] == pytest.approx(0.46) and sizes[-1] == pytest.approx(0.005)
    assert np.ptp([a / b for a, b in itertools.pairwise(sizes)]) < 1e-12


@pytest.mark.parametrize(
    ("written", "inch"),
    [
        ("0 AWG", 0.3249),
        ("00 AWG", 0.3648),
        ("000 AWG", 0.4096),
        ("0000 AWG", 0.46),
        ("4/0 AWG", 0.46),
        ("AWG 2/0", 0.3648),
    ],
)
def test_gauges_thicker_than_nought_are_written_with_more_noughts(written: str, inch: float) -> None:
    """ASTM B258; from memory 0.95, and 0.46 / 92^(1/39) a step."""
    assert size(written).m_as("inch") == pytest.approx(inch, abs=5e-5)


@pytest.mark.parametrize("row", published("inch_sizes"), ids=lambda r: r["designation"])
def test_inch_drill_sizes_are_read_as_written(row: dict[str, str]) -> None:
    assert size(row["written"]).m_as("mm") == pytest.approx(float(row["mm"]), abs=float(row["tolerance"]))


@UNHURRIED
@given(st.integers(-3, 56))
def test_a_gauge_is_nearest_to_its_own_size(number: int) -> None:
    assert nearest_gauge(gauge_size(number)) == number


@UNHURRIED
@given(st.floats(0.013, 11.6))
def test_no_other_gauge_is_nearer(thickness: float) -> None:
    gap = {n: abs(0.127 * 92 ** ((36 - n) / 39) - thickness) for n in range(-3, 57)}
    assert gap[nearest_gauge(quantity(thickness, "mm"))] == pytest.approx(min(gap.values()), abs=1e-12)


@pytest.mark.parametrize("bad", [57, -4, 20.5, "20", True, None, math.nan])
def test_no_such_gauge(bad: Any) -> None:
    with pytest.raises(Refused, match="number came as"):
        gauge_size(bad)


@pytest.mark.parametrize("bad", ["12.5 mm", "30 mm", "0.011 mm"])
def test_sizes_beyond_the_gauges(bad: str) -> None:
    with pytest.raises(Refused, match="size came as"):
        nearest_gauge(size(bad))


# --- weights --------------------------------------------------------------------------------------
@pytest.mark.parametrize("row", published("weight_units"), ids=lambda r: f"{r['unit']} in {r['in_unit']}")
def test_troy_and_other_units_are_exact(row: dict[str, str]) -> None:
    found = quantity(1.0, row["unit"]).m_as(row["in_unit"])
    assert found == pytest.approx(float(row["value"]), rel=float(row["tolerance"]))


def test_units_are_offered_by_name() -> None:
    assert (18.4 * units.mm).m_as("um") == pytest.approx(18400)
    assert (1 * units.thou).m_as("mm") == pytest.approx(0.0254)
    with pytest.raises(AttributeError, match="furlong"):
        _ = units.furlong


# --- sizes as people write them -------------------------------------------------------------------
WRITINGS = [
    ("0.8 mm", "0.8"),
    ("0,8 mm", "0.8"),
    ("0.8mm", "0.8"),
    (" 0.8  mm ", "0.8"),
    (".8 mm", "0.8"),
    (",8 mm", "0.8"),
    ("0.8 MM", "0.8"),
    ("0.8\u00a0mm", "0.8"),
    ("0.8 millimetres", "0.8"),
    ("0.8 millimeter", "0.8"),
    ("0.08 cm", "0.8"),
    ("800 um", "0.8"),
    ("800 µm", "0.8"),
    ("800 microns", "0.8"),
    ("+0.8 mm", "0.8"),
    ("1/32 in", "0.79375"),
    ("1/32in", "0.79375"),
    ("1/32 inch", "0.79375"),
    ('1/32"', "0.79375"),
    ("1/32 in.", "0.79375"),
    ("1 1/32 in", "26.19375"),
    ("1-1/32 in", "26.19375"),
    ("½ in", "12.7"),
    ("1½ in", "38.1"),
    ("1 ½ inches", "38.1"),
    ("0.0313 in", "0.79502"),
    ("12 thou", "0.3048"),
    ("1/2 mm", "0.5"),
    ("20 AWG", "0.8118209703737738"),
    ("20awg", "0.8118209703737738"),
    ("20 ga", "0.8118209703737738"),
    ("20 gauge", "0.8118209703737738"),
    ("AWG 20", "0.8118209703737738"),
    ("20 B&S", "0.8118209703737738"),
]


@pytest.mark.parametrize(("written", "in_mm"), WRITINGS)
def test_sizes_as_people_write_them(written: str, in_mm: str) -> None:
    assert size(written).m_as("mm") == pytest.approx(float(in_mm), rel=1e-12)


@pytest.mark.parametrize(
    "bad",
    [
        "",
        " ",
        "mm",
        "0.8",
        "eight mm",
        "0.8 kg",
        "0.8 mil",
        "12 mils",
        "1/0 in",
        "-1 mm",
        "\u22121 mm",
        "0 mm",
        "0.8 mm 3",
        "1.234,5 mm",
        "1.2.3 mm",
        "nan mm",
        "inf mm",
        "1e-3 mm",
        "60 AWG",
        "0.8 to 0.9 mm",
        "0.8 x 3 mm",
        "0.8 carat",
        0.8,
        None,
        7,
        "0,8,1 mm",
        "/32 in",
        "2 awg mm",
    ],
)
def test_sizes_that_cannot_be_read_say_what_to_write(bad: Any) -> None:
    with pytest.raises(Refused) as refusal:
        size(bad)
    assert any(word in str(refusal.value) for word in ("Write", "for example"))
    assert repr(bad) in str(refusal.value) or "number came as 60" in str(refusal.value)


@UNHURRIED
@given(
    st.decimals("0.001", "999", places=3), st.sampled_from([".", ","]), st.sampled_from(["mm", " mm", "  MM"])
)
def test_a_written_size_is_read_back(number: Any, mark: str, unit: str) -> None:
    assert size(str(number).replace(".", mark) + unit).m_as("mm") == pytest.approx(float(number), rel=1e-15)


@UNHURRIED
@given(st.integers(0, 5), st.integers(1, 63), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_a_written_fraction_is_read_back(whole: int, top: int, bottom: int) -> None:
    written = f"{whole} {top}/{bottom} in" if whole else f"{top}/{bottom} in"
    exact = (Fraction(whole) + Fraction(top, bottom)) * Fraction("25.4")
    assert size(written).m_as("mm") == pytest.approx(float(exact), rel=1e-14)


@UNHURRIED
@given(st.text(max_size=14))
def test_no_text_whatever_ends_in_anything_but_a_size_or_a_refusal(text: str) -> None:
    try:
        assert size(text).m_as("mm") > 0
    except Refused as refusal:
        assert len(str(refusal)) > 20


# --- the door of every sum ------------------------------------------------------------------------
GOOD_BY_UNIT = {
    "mm": 1.0,
    "mm**2": 2.0,
    "mm**3": 3.0,
    "gram": 1.5,
    "carat": 0.5,
    "gram/cm**3": 13.6,
    "newton": 2.0,
    "MPa": 9e4,
    "degree": 60.0,
    "degC": 20.0,
    "delta_degC": 10.0,
    "minute": 12.0,
    "": 0.5,
}
# Values that go together, where one value a unit would not.
GOOD: dict[str, dict[str, float]] = {
    "basket.basket": {
        "stone_diameter": 5,
        "ring_inside": 2.6,
        "ring_wire": 0.9,
        "claw_wire": 0.8,
        "groove_depth": 0.27,
        "girdle_height": 2.2,
        "base_depth": 1.2,
        "bearing_cut": 0.27,
        "bend_radius": 0.4,
        "claws": 4,
    },
    "basket.crossing_gap": {"claws": 4},
    "basket.groove_volume": {"ring_wire": 0.9, "claw_wire": 0.8, "groove_depth": 0.27},
    "metal.density_in_water": {"weight_in_air": 1.5, "weight_in_water": 1.3, "air_density": 0.0012},
    "metal.weight_in_water": {"weight_in_air": 1.5, "density": 13.6, "bubble": 2, "air_density": 0.0012},
    "metal.metal_to_add": {"fineness": 585, "target": 750, "added_fineness": 980},
    "metal.carats": {"fineness": 585},
    "plate.plate_volume": {"diameter": 6, "thickness": 0.5, "hole": 0.92},
    "post.notch_volume": {"wire": 0.9, "depth": 0.08, "width": 0.4},
    "ring.mandrel_for": {"inside_diameter": 4, "wire": 0.9, "kerf": 0.22, "spring_back": 0.02},
    "scroll.fold_stands_out": {"angle": 90, "cuts": 3, "apart": 0.23},
    "scroll.grip": {
        "post": 0.9,
        "gap": 0.8,
        "strip_thickness": 0.4,
        "strip_width": 3,
        "free_length": 5,
        "friction": 0.2,
    },
    "solder.groove_joint": {"ring_wire": 0.9, "claw_wire": 0.8, "groove_depth": 0.27},
    "stone.round_weight": {"diameter": 5, "depth": 3, "specific_gravity": 3.52, "girdle_factor": 1.0},
}
OF_ANOTHER_KIND = {"mm": "gram", "gram": "mm", "": "mm"}


def arguments_of(name: str) -> dict[str, Kind]:
    return SUMS[name]._kinds


def good_call(name: str) -> dict[str, Any]:
    given_values = GOOD.get(name, {})
    return {
        argument: quantity(float(given_values.get(argument, GOOD_BY_UNIT[kind.unit])), kind.unit)
        if kind.unit
        else float(given_values.get(argument, GOOD_BY_UNIT[""]))
        for argument, kind in arguments_of(name).items()
    }


def bad_values(kind: Kind) -> Iterator[tuple[str, Any]]:
    def dressed(value: Any) -> Any:
        return quantity(value, kind.unit) if kind.unit else value

    if kind.unit:
        yield "bare", 1.0
        yield "whole and bare", 1
        yield "nothing but a unit name", kind.unit
    yield "text", "a"
    yield "None", None
    yield "True", True
    yield "NaN", dressed(math.nan)
    yield "infinite", dressed(math.inf)
    yield "less than infinite", dressed(-math.inf)
    yield "an array with a NaN", dressed(np.array([1.0, math.nan]))
    yield "an empty array", dressed(np.array([]))
    yield "another kind", quantity(1.0, OF_ANOTHER_KIND.get(kind.unit, "mm"))
    if not kind.negative:
        yield "negative", dressed(-1.0)
        yield "an array with a negative", dressed(np.array([0.5, -0.5]))
    if not kind.zero:
        yield "zero", dressed(0.0)
    if math.isfinite(kind.most):
        yield "too much", dressed(kind.most * 1.01)
    if kind.unit == "degC":
        yield "a difference of temperature", quantity(20.0, "delta_degC")
    if kind.unit == "delta_degC":
        yield "a temperature", quantity(20.0, "degC")
    if kind.unit == "degree":
        yield "an angle without a unit", quantity(1.0, "")


BAD_CALLS = [
    pytest.param(name, argument, value, id=f"{name}: {argument} is {what}")
    for name in SUMS
    for argument, kind in arguments_of(name).items()
    for what, value in bad_values(kind)
    if not (value is None and argument in SUMS[name]._optional)
]


def test_there_are_many_bad_calls() -> None:
    assert len(BAD_CALLS) > 600


@pytest.mark.parametrize(("name", "argument", "value"), BAD_CALLS)
def test_every_sum_refuses_and_names_the_argument(name: str, argument: str, value: Any) -> None:
    with pytest.raises(Refused) as refusal:
        SUMS[name](**(good_call(name) | {argument: value}))
    assert argument in str(refusal.value) and name.split(".")[1] in str(refusal.value)
    assert "for example" in str(refusal.value)


def numbers_in(result: Any) -> list[Any]:
    """The plain numbers or arrays of a result, whether it is a number, a tuple or a record."""
    if isinstance(result, tuple):
        return [n for each in result for n in numbers_in(each)]
    if hasattr(result, "__dataclass_fields__"):
        return [n for field in result.__dataclass_fields__ for n in numbers_in(getattr(result, field))]
    return [result.m if hasattr(result, "m") else result]


@pytest.mark.parametrize("name", SUMS)
def test_every_sum_answers_a_good_call_in_its_units(name: str) -> None:
    """If this fails for a new sum, put values that go together into GOOD."""
    for number in numbers_in(SUMS[name](**good_call(name))):
        assert np.all(np.isfinite(np.asarray(number, dtype=float)))


@pytest.mark.parametrize("name", SUMS)
def test_every_inner_form_takes_many_earrings_at_once(name: str) -> None:
    """Arrays give what the same numbers give one by one."""
    bare = {k: v.m if hasattr(v, "m") else v for k, v in good_call(name).items()}
    stretch = np.array([1.0, 1.003, 0.997])
    whole_numbers = ("claws",)
    many = {k: v * (np.ones(3) if k in whole_numbers else stretch) for k, v in bare.items()}
    together = numbers_in(SUMS[name].plain(**many))
    for i in range(3):
        alone = numbers_in(SUMS[name].plain(**{k: float(v[i]) for k, v in many.items()}))
        for one, of_many in zip(alone, together, strict=True):
            assert np.broadcast_to(of_many, 3)[i] == pytest.approx(one, rel=1e-12)


@pytest.mark.parametrize("name", SUMS)
def test_sums_take_any_unit_of_the_right_kind(name: str) -> None:
    other = {
        "mm": "inch",
        "gram": "pennyweight",
        "carat": "gram",
        "MPa": "psi",
        "degree": "radian",
        "degC": "kelvin",
        "delta_degC": "delta_degF",
        "mm**2": "cm**2",
        "mm**3": "inch**3",
        "newton": "pound_force",
        "gram/cm**3": "kg/m**3",
        "minute": "hour",
    }
    call = good_call(name)
    turned = {k: v.to(other[arguments_of(name)[k].unit]) if hasattr(v, "to") else v for k, v in call.items()}
    for here, there in zip(numbers_in(SUMS[name](**call)), numbers_in(SUMS[name](**turned)), strict=True):
        assert there == pytest.approx(here, rel=1e-9)


def test_wrong_names_and_too_many_arguments_are_python_errors() -> None:
    volume = SUMS["ring.ring_volume"]
    with pytest.raises(TypeError):
        volume(size("4 mm"), size("0.9 mm"), size("1 mm"))
    with pytest.raises(TypeError):
        volume(size("4 mm"), inside_diameter=size("0.9 mm"))
    with pytest.raises(TypeError):
        volume(size("4 mm"), thickness=size("0.9 mm"))
    with pytest.raises(TypeError):
        volume(size("4 mm"))


def test_a_wrong_unit_is_both_a_refusal_and_a_type_error() -> None:
    assert (
        issubclass(WrongUnit, Refused)
        and issubclass(WrongUnit, TypeError)
        and issubclass(Refused, ValueError)
    )


# --- the contract's other names, each argument bad in turn ----------------------------------------
MM = size("1 mm")
BOX = frame(("name", "solidus_degC", "flow_degC"), [("hard", 760, 790), ("easy", 680, 705)])
BY_HAND: dict[str, tuple[Callable[..., Any], dict[str, Any], dict[str, str]]] = {
    # the call, a good one, and each argument that is a quantity or a share
    "roll": (
        roll,
        {"start": size("1.5 mm"), "finish": size("0.6 mm"), "pass_reduction": 0.15, "anneal_at": 0.5},
        {
            "start": "mm",
            "finish": "mm",
            "pass_reduction": "share",
            "anneal_at": "share",
            "worked": "share or none",
            "end_worked": "share or none",
        },
    ),
    "draw": (
        draw,
        {
            "start": MM,
            "finish": size("0.8 mm"),
            "holes": [size("0.9 mm"), size("0.8 mm")],
            "pass_reduction": 0.25,
            "anneal_at": 0.5,
        },
        {
            "start": "mm",
            "finish": "mm",
            "pass_reduction": "share",
            "anneal_at": "share",
            "worked": "share or none",
            "end_worked": "share or none",
        },
    ),
    "measured": (
        measured,
        {"readings": [MM, MM], "resolution": size("0.01 mm")},
        {"resolution": "mm", "zero_error": "signed mm", "instrument_uncertainty": "mm or none"},
    ),
    "decide": (
        decide,
        {"value": MM, "expanded_uncertainty": size("0.01 mm"), "nominal": MM, "tolerance": size("0.02 mm")},
        {"value": "mm", "expanded_uncertainty": "mm or zero", "nominal": "mm", "tolerance": "mm"},
    ),
    "drill_for": (
        drill_for,
        {"post": size("0.9 mm"), "least": size("0.02 mm"), "most": size("0.1 mm")},
        {"post": "mm", "least": "mm or zero", "most": "mm or zero", "step": "mm or none"},
    ),
    "removal": (
        removal,
        {"grades": ["P400", "P1000"]},
        {"grain_share": "number or none", "polishing": "mm or none"},
    ),
    "assign": (
        assign,
        {
            "joints": ["seam", "post"],
            "solders": BOX,
            "metal_solidus": quantity(830, "degC"),
            "margin": quantity(10, "delta_degC"),
        },
        {"metal_solidus": "degC", "margin": "step or zero"},
    ),
    "quote": (
        quote,
        {
            "metal_in": quantity(3, "gram"),
            "metal_in_piece": quantity(1, "gram"),
            "fine_shares": {"gold": 0.585},
        },
        {"metal_in": "gram or zero", "metal_in_piece": "gram or zero", "nut_metal": "gram or none"},
    ),
    "readings_enough": (
        readings_enough,
        {"scatter": size("0.02 mm"), "floor": size("0.01 mm")},
        {"scatter": "mm", "floor": "mm"},
    ),
    "nearest_gauge": (nearest_gauge, {"size": MM}, {"size": "mm"}),
    "compare": (
        compare,
        {"pattern": {"a": MM}, "duplicate": {"a": MM}, "distance": size("500 mm")},
        {"distance": "mm"},
    ),
}


def bad_by_hand(kind: str) -> Iterator[tuple[str, Any]]:
    unit = {"share": "", "number": "", "degC": "degC", "step": "delta_degC", "gram": "gram"}.get(
        kind.split()[0], "mm"
    )

    def dressed(value: float) -> Any:
        return quantity(value, unit) if unit else value

    if unit:
        yield "bare", 1.0
    else:
        yield "with a unit", MM
    yield "text", "a"
    yield "NaN", dressed(math.nan)
    yield "infinite", dressed(math.inf)
    yield "another kind", quantity(1.0, "second")
    if "signed" not in kind and kind != "degC":
        yield "negative", dressed(-0.5)
    if not any(word in kind for word in ("none", "zero", "signed")) and kind != "degC":
        yield "zero", dressed(0.0)
    if "share" in kind:
        yield "one", 1.0
        yield "more than one", 1.2
    if "none" not in kind and "signed" not in kind:
        yield "None", None


BAD_BY_HAND = [
    pytest.param(name, argument, value, id=f"{name}: {argument} is {what}")
    for name, (_, _, bad_arguments) in BY_HAND.items()
    for argument, kind in bad_arguments.items()
    for what, value in bad_by_hand(kind)
]


@pytest.mark.parametrize(("name", "argument", "value"), BAD_BY_HAND)
def test_the_contract_refuses_and_names_the_argument(name: str, argument: str, value: Any) -> None:
    call, good, _ = BY_HAND[name]
    call(**good)
    with pytest.raises(Refused) as refusal:
        call(**(good | {argument: value}))
    assert argument in str(refusal.value), str(refusal.value)
    assert any(word in str(refusal.value) for word in ("for example", "Write", "Read")), str(refusal.value)


@pytest.mark.parametrize(
    "bad", [1.0, quantity(math.nan, "mm"), quantity(-1, "mm"), quantity(1, "gram"), quantity(0, "mm")]
)
def test_bad_members_of_a_list_are_refused_by_name(bad: Any) -> None:
    with pytest.raises(Refused, match="readings"):
        measured([MM, bad], size("0.01 mm"))
    with pytest.raises(Refused, match="holes"):
        draw(MM, size("0.8 mm"), [size("0.9 mm"), bad, size("0.8 mm")], 0.25, 0.5)
    with pytest.raises(Refused, match="drills"):
        drill_for(size("0.9 mm"), size("0.02 mm"), size("0.1 mm"), [size("0.95 mm"), bad])
    with pytest.raises(Refused, match="wire"):
        compare({"wire": MM}, {"wire": bad}, size("500 mm"))
    with pytest.raises(Refused, match="pavilion_depth"):
        basket(**good_call("basket.basket")).culet_clearance(bad)


@pytest.mark.parametrize("bad", [-0.1, 1.1, math.nan, math.inf, "0.5", True, None])
def test_bad_shares_of_an_alloy_are_refused(bad: Any) -> None:
    with pytest.raises(Refused, match="mass_fractions"):
        alloy_density({"Au": bad, "Cu": 0.5})


@pytest.mark.parametrize("bad", [0, 1, -0.5, 95, math.nan])
def test_bad_confidence_is_refused(bad: float) -> None:
    with pytest.raises(Refused, match="confidence"):
        coverage(5, bad)


def test_a_temperature_is_not_a_difference_of_temperature() -> None:
    """20 degC is 293.15 K; a margin of 20 is 20 K. Mixing them up must never pass."""
    with pytest.raises(WrongUnit, match="metal_solidus"):
        assign(["seam"], BOX, quantity(830, "delta_degC"), quantity(10, "delta_degC"))
    with pytest.raises(WrongUnit, match="margin"):
        assign(["seam"], BOX, quantity(830, "degC"), quantity(10, "degC"))
    in_kelvin = assign(["seam"], BOX, quantity(830 + 273.15, "kelvin"), quantity(10, "kelvin"))
    assert list(in_kelvin.solder) == ["hard"]
