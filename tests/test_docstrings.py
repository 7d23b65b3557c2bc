"""What the bench says of itself: each public name explained, annotated, and shown by an example that runs."""

import ast
import doctest
import importlib
import inspect
import pkgutil
import re
import typing
from types import ModuleType
from typing import Any

import pytest

import course_lib.bench
from course_lib.bench.units import Kind, Sum

MODULES = [
    importlib.import_module(m.name)
    for m in pkgutil.iter_modules(course_lib.bench.__path__, "course_lib.bench.")
]

# The names that checks from outside the project call, with the parameters they may name.
CONTRACT = {
    "units.size": ("text",),
    "units.gauge_size": ("number",),
    "units.nearest_gauge": ("size",),
    "measuring.measured": ("readings", "resolution", "zero_error", "instrument_uncertainty"),
    "measuring.decide": ("value", "expanded_uncertainty", "nominal", "tolerance"),
    "metal.alloy_density": ("mass_fractions",),
    "metal.metal_to_add": ("weight", "fineness", "target", "added_fineness"),
    "metal.density_in_water": ("weight_in_air", "weight_in_water", "water_temperature"),
    "finish.removal": ("grades",),
    "finish.stock_size": ("finished", "removal", "faces"),
    "forming.roll": ("start", "finish", "pass_reduction", "anneal_at"),
    "forming.draw": ("start", "finish", "holes", "pass_reduction", "anneal_at"),
    "forming.length_after": ("length", "area_before", "area_after"),
    "forming.largest_draft": ("friction", "roll_radius"),
    "forming.bend_length": ("angle", "inside_radius", "thickness", "neutral"),
    "forming.saw_fold": ("angle", "kerf", "cut_depth"),
    "ring.wire_for_ring": ("inside_diameter", "wire"),
    "ring.ring_volume": ("inside_diameter", "wire"),
    "ring.mandrel_for": ("inside_diameter", "wire", "kerf", "spring_back"),
    "ring.wire_for_coil": ("inside_diameter", "wire", "turns"),
    "scroll.curl_length": ("inner_radius", "turns", "pitch"),
    "scroll.grip": (
        "post",
        "gap",
        "strip_thickness",
        "strip_width",
        "free_length",
        "elastic_modulus",
        "friction",
    ),
    "basket.basket": (
        "stone_diameter",
        "ring_inside",
        "ring_wire",
        "claw_wire",
        "groove_depth",
        "girdle_height",
        "base_depth",
        "bearing_cut",
        "bend_radius",
        "claws",
    ),
    "hole.drill_for": ("post", "least", "most", "drills"),
    "hole.dimple_depth": ("thickness",),
    "solder.assign": ("joints", "solders", "metal_solidus", "margin"),
    "stone.round_weight": ("diameter", "depth", "specific_gravity", "girdle_factor"),
    "pair.smallest_visible": ("distance", "acuity"),
    "pair.compare": ("pattern", "duplicate", "distance"),
    "price.quote": (),
}


def public_of(module: ModuleType) -> dict[str, Any]:
    """The functions, sums and classes that a module makes itself and does not hide."""
    found = {}
    for name, value in vars(module).items():
        made_here = getattr(value, "__module__", None) == module.__name__
        if (
            made_here
            and not name.startswith("_")
            and (inspect.isroutine(value) or inspect.isclass(value) or isinstance(value, Sum))
        ):
            found[name] = value
    return found


PUBLIC = {
    f"{module.__name__.removeprefix('course_lib.bench.')}.{name}": value
    for module in MODULES
    for name, value in public_of(module).items()
}


def inner(value: Any) -> Any:
    return value.plain if isinstance(value, Sum) else value


def test_the_bench_is_found() -> None:
    assert len(MODULES) >= 15 and len(PUBLIC) >= 80


@pytest.mark.parametrize("module", MODULES, ids=lambda m: m.__name__.rsplit(".", 1)[1])
def test_every_example_in_a_docstring_runs(module: ModuleType) -> None:
    assert module.__doc__ and len(module.__doc__) > 20
    result = doctest.testmod(module, optionflags=doctest.ELLIPSIS)
    assert result.failed == 0


def test_doctest_sees_the_examples_of_sums() -> None:
    """A sum with units is an object, not a function: make sure its example is looked at all the same."""
    finder = doctest.DocTestFinder(exclude_empty=True)
    for name in CONTRACT:
        module = importlib.import_module(f"course_lib.bench.{name.split('.')[0]}")
        tests = {t.name.rsplit(".", 1)[1]: t for t in finder.find(module) if "." in t.name}
        by_hand = doctest.DocTestParser().get_examples(PUBLIC[name].__doc__)
        assert by_hand, f"{name} has no example"
        assert name.split(".")[1] in tests, f"doctest does not find {name}"


@pytest.mark.parametrize("name", PUBLIC)
def test_every_public_name_is_explained(name: str) -> None:
    said = inspect.getdoc(PUBLIC[name]) or ""
    assert len(said) > 15 and (said[0].isupper() or said[0] == "`"), name
    if inspect.isclass(PUBLIC[name]):
        for method, value in vars(PUBLIC[name]).items():
            if not method.startswith("_") and inspect.isfunction(value):
                assert inspect.getdoc(value), f"{name}.{method}"


@pytest.mark.parametrize("name", [n for n, v in PUBLIC.items() if not inspect.isclass(v)])
def test_every_public_function_is_annotated(name: str) -> None:
    function = inner(PUBLIC[name])
    hints = typing.get_type_hints(inspect.unwrap(function), include_extras=True)
    assert "return" in hints, f"{name} does not say what it returns"
    for parameter in inspect.signature(function).parameters:
        assert parameter in hints, f"{name} does not say what {parameter} is"


@pytest.mark.parametrize(("name", "parameters"), CONTRACT.items())
def test_names_of_the_contract(name: str, parameters: tuple[str, ...]) -> None:
    assert name in PUBLIC
    found = tuple(inspect.signature(inner(PUBLIC[name])).parameters)
    assert found[: len(parameters)] == parameters


@pytest.mark.parametrize("name", CONTRACT)
def test_the_contract_is_documented_whole(name: str) -> None:
    """Arguments by name, what comes back, and where the sum comes from."""
    said = inspect.getdoc(PUBLIC[name]) or ""
    assert "Args:" in said and "Returns:" in said and ">>>" in said
    assert re.search(r"(Source|Formula|Basis|ASTM|FEPA)", said), (
        f"{name} does not say where its sum comes from"
    )
    for parameter in inspect.signature(inner(PUBLIC[name])).parameters:
        assert re.search(rf"^\s+(\w+, )*{parameter}(, \w+)*:", said, re.M), (
            f"{name} does not explain {parameter}"
        )


def test_units_that_are_known_are_units_of_the_trade() -> None:
    """Every kind has an example that a person could type and a unit that exists."""
    from course_lib.bench import units

    kinds = [kind for value in vars(units).values() if (kind := units.kind_of(value))]
    assert len(kinds) >= 15 and all(isinstance(kind, Kind) for kind in kinds)
    offered = {
        name: units.unit_of(name)
        for name in ("mm", "gram", "cm", "carat", "newton", "MPa", "degree", "minute")
    }
    for kind in kinds:
        ast.parse(kind.example)
        came = eval(kind.example, {"size": units.size, "quantity": units.quantity, **offered})
        units.plain(came, kind, "the example")


@pytest.mark.parametrize("module", MODULES, ids=lambda m: m.__name__.rsplit(".", 1)[1])
def test_sources_are_told_in_full(module: ModuleType) -> None:
    """A line that begins with Source: names a work, with a year, a number or a section."""
    for block in re.findall(r"Source: (.*?)(?:\n\s*\n|\"\"\")", inspect.getsource(module), re.S):
        assert re.search(r"\d", block) or "method" in block, f"{module.__name__}: {block}"
