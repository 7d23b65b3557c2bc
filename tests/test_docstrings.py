"""What the code says of itself: each public name explained; at the bench also annotated, with examples."""

import ast
import doctest
import importlib
import inspect
import pkgutil
import re
import typing
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

import course_lib.bench
from course_lib.bench.units import Kind, Sum

MODULES = [
    importlib.import_module(m.name)
    for m in pkgutil.iter_modules(course_lib.bench.__path__, "course_lib.bench.")
]

PACKAGE = Path(course_lib.__file__).parent
EVERY = sorted(PACKAGE.rglob("*.py"))

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


# What a number is measured or counted in, or which plain number it is.
UNIT = re.compile(
    r"\b(mm|µm|g|degC|N|MPa|points?|degrees?|per (cent|mille)|money|minutes?|uncertainty|deviation|lengths?|"
    r"sizes?|units?|numbers?|count|how (many|often|large)|factor|shares?|ratio|chances?|probability|times)\b"
)


@dataclass(frozen=True)
class Explained:
    """A public function as a caller meets it: its signature, its body, and what is said of it."""

    name: str
    code: ast.FunctionDef
    said: str
    # what its class says for all its methods, and what is said of the method that it stands for
    said_above: str
    stands_for: str

    @property
    def arguments(self) -> list[ast.arg]:
        given = self.code.args
        every = [*given.posonlyargs, *given.args, given.vararg, *given.kwonlyargs, given.kwarg]
        return [each for each in every if each is not None and each.arg not in ("self", "cls")]

    @property
    def entries(self) -> dict[str, str]:
        above = entries_of(self.said_above, "Its methods take")
        return {**above, **entries_of(self.stands_for, "Args"), **entries_of(self.said, "Args")}

    @property
    def returned(self) -> str:
        return section(self.said, "Returns") or section(self.said, "Yields")


def section(said: str, head: str) -> str:
    """What stands under a heading of a docstring."""
    found = re.search(rf"^{head}:\n((?: .*\n?|\n)*)", said, re.M)
    return found[1] if found else ""


def entries_of(said: str, head: str) -> dict[str, str]:
    """The arguments under a heading, each with what is said of it."""
    found: dict[str, str] = {}
    names: list[str] = []
    for line in section(said, head).splitlines():
        begun = re.match(r" {4}(\w+(?:, \w+)*): (.*)", line)
        names = begun[1].split(", ") if begun else names
        for name in names:
            found[name] = f"{found.get(name, '')} {begun[2] if begun else line.strip()}".strip()
    return found


def named_in(annotation: ast.expr | None) -> set[str]:
    """The types that an annotation names."""
    if isinstance(annotation, ast.Constant) and isinstance(annotation.value, str):
        annotation = ast.parse(annotation.value, mode="eval").body
    return {node.id for node in ast.walk(annotation) if isinstance(node, ast.Name)} if annotation else set()


TREES = {path: ast.parse(path.read_text(encoding="utf-8")) for path in EVERY}
CLASSES = {node.name: node for tree in TREES.values() for node in tree.body if isinstance(node, ast.ClassDef)}
# Types of the course say themselves what such a thing is: a job, a sheet, a length in mm.
OWN_TYPES = {
    *CLASSES,
    *(
        each.id
        for tree in TREES.values()
        for node in tree.body
        if isinstance(node, ast.Assign)
        for each in node.targets
        if isinstance(each, ast.Name) and re.fullmatch(r"[A-Z][a-z]\w*", each.id)
    ),
}


def of_the_base(owner: ast.ClassDef, method: str) -> str:
    """What the classes that one is made from say of a method."""
    said = []
    for base in owner.bases:
        above = CLASSES.get(ast.unparse(base).split("[")[0])
        for node in above.body if above else ():
            if isinstance(node, ast.FunctionDef) and node.name == method:
                said.append(ast.get_docstring(node) or "")
        said.append(of_the_base(above, method) if above else "")
    return "\n".join(filter(None, said))


def explained_in(path: Path) -> Iterator[Explained]:
    """The public functions of a file; sums of lessons, properties and what a class hides stand apart."""
    owners = [node for node in TREES[path].body if isinstance(node, ast.ClassDef) and node.name[0] != "_"]
    for owner in (None, *owners):
        for node in owner.body if owner else TREES[path].body:
            if not isinstance(node, ast.FunctionDef) or node.name.startswith(("_", "work_")):
                continue
            if any(re.search(r"property|setter", ast.unparse(each)) for each in node.decorator_list):
                continue
            yield Explained(
                f"{owner.name}.{node.name}" if owner else node.name,
                node,
                ast.get_docstring(node) or "",
                ast.get_docstring(owner) or "" if owner else "",
                of_the_base(owner, node.name) if owner else "",
            )


def raised_by(code: ast.FunctionDef) -> Iterator[str]:
    """What a function raises itself, not in a function within it; "not written yet" is no refusal."""
    waiting: list[ast.AST] = list(code.body)
    while waiting:
        part = waiting.pop()
        if isinstance(part, ast.Raise) and part.exc and "NotImplementedError" not in ast.unparse(part.exc):
            yield ast.unparse(part.exc)
        if not isinstance(part, ast.FunctionDef | ast.Lambda | ast.ClassDef):
            waiting += ast.iter_child_nodes(part)


def left_out(each: Explained) -> Iterator[str]:
    """What a caller would have to read the source for.

    A function that takes three or more arguments whose types do not say what they are explains each of them;
    so does whoever explains any. What comes back is told there too, and every number with its unit, or which
    plain number it is. Whoever raises something says so.
    """
    has_args = bool(section(each.said, "Args"))
    plain = [one for one in each.arguments if not named_in(one.annotation) & OWN_TYPES]
    if (has_args or len(plain) >= 3) and not each.stands_for:
        for one in each.arguments if has_args else plain:
            if one.arg not in each.entries:
                yield f"does not explain {one.arg}"
    for one in each.arguments:
        said = each.entries.get(one.arg)
        if (
            said
            and "float" in named_in(one.annotation)
            and "Callable" not in named_in(one.annotation)
            and not UNIT.search(said)
        ):
            yield f"does not say in what {one.arg} is: {said!r}"
    if has_args and each.code.returns and ast.unparse(each.code.returns) != "None" and not each.returned:
        yield "does not say what comes back"
    if each.returned and "float" in named_in(each.code.returns) and not UNIT.search(each.returned):
        yield f"does not say in what it comes back: {each.returned.strip()!r}"
    if any(raised_by(each.code)) and not section(f"{each.said}\n{each.stands_for}", "Raises"):
        yield f"raises, and does not say so: {next(raised_by(each.code))[:60]}"


def test_every_room_is_held_to_it() -> None:
    assert len(EVERY) > 100 and sum(1 for path in EVERY for _ in explained_in(path)) > 500


@pytest.mark.parametrize("path", EVERY, ids=lambda path: path.relative_to(PACKAGE).as_posix())
def test_whoever_calls_a_function_need_not_read_its_source(path: Path) -> None:
    wanting = [f"{each.name} {said}" for each in explained_in(path) for said in left_out(each)]
    assert not wanting, "\n".join(wanting)


_ONE = "def cost(a: float) -> float:"


@pytest.mark.parametrize(
    ("head", "doc", "said"),
    [
        ("def cost(a: float, b: float, c: float) -> float:", "It costs.", "does not explain a"),
        (_ONE, "Args:\n    a: it.\n\nReturns:\n    In g.", "does not say in what a is"),
        (_ONE, "Args:\n    a: in g.", "does not say what comes back"),
        (_ONE, "Args:\n    a: in g.\n\nReturns:\n    It.", "does not say in what it comes back"),
        (f"{_ONE}\n    raise Refused('no')", "It costs.", "raises, and does not say so"),
        (f"{_ONE}\n    raise Refused('no')", "Raises:\n    Refused: always.", None),
        (_ONE, "Args:\n    a: in g.\n\nReturns:\n    In money.", None),
    ],
)
def test_a_docstring_that_leaves_something_out_is_found(head: str, doc: str, said: str | None) -> None:
    (code,) = ast.parse(f"{head}\n    return a").body
    assert isinstance(code, ast.FunctionDef)
    found = list(left_out(Explained("cost", code, f"It costs.\n\n{doc}", "", "")))
    assert [each[: len(said or "")] for each in found][:1] == ([said] if said else [])
