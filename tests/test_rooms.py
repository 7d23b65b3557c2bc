"""Rooms and one direction of imports, in which late and type-only ones count too; and no circle anywhere."""

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import course_lib

PACKAGE = Path(course_lib.__file__).parent
ROOMS = {room: sorted((PACKAGE / room).rglob("*.py")) for room in ("bench", "screen", "classroom")}
# The rooms of the classroom, from the lowest up: each may use those before it.
CLASSROOM = ("pieces", "exercises", "page", "school", "making")
EVERY = sorted(path for room in ROOMS.values() for path in room)
SLOW_OR_DRAWING = ("matplotlib", "ipywidgets", "IPython", "jinja2", "pandas")


def imports_of(path: Path) -> Iterator[tuple[str, str]]:
    """Every import of a file: the module's full name, and the function it stands in (empty at the top)."""
    package = ".".join(["course_lib", *path.relative_to(PACKAGE).parts[:-1]])

    def walk(node: ast.AST, inside: str) -> Iterator[tuple[str, str]]:
        for child in ast.iter_child_nodes(node):
            if isinstance(child, ast.Import):
                yield from ((alias.name, inside) for alias in child.names)
            elif isinstance(child, ast.ImportFrom):
                base = child.module or ""
                if child.level:
                    parts = package.split(".")[: len(package.split(".")) - child.level + 1]
                    base = ".".join([*parts, base] if base else parts)
                yield base, inside
                yield from ((f"{base}.{alias.name}", inside) for alias in child.names)
            name = child.name if isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef) else inside
            yield from walk(child, name)

    yield from walk(ast.parse(path.read_text(encoding="utf-8")), "")


def is_within(module: str, package: str) -> bool:
    return module == package or module.startswith(package + ".")


def test_every_room_has_files() -> None:
    assert len(ROOMS["bench"]) >= 15
    assert all(ROOMS.values())


@pytest.mark.parametrize(
    ("room", "closed"), [("bench", "screen"), ("bench", "classroom"), ("screen", "classroom")]
)
def test_no_room_looks_back(room: str, closed: str) -> None:
    for path in ROOMS[room]:
        for module, _ in imports_of(path):
            assert not is_within(module, f"course_lib.{closed}"), f"{path.name} imports {module}"


@pytest.mark.parametrize("room", CLASSROOM)
def test_no_room_of_the_classroom_looks_up(room: str) -> None:
    paths = sorted((PACKAGE / "classroom" / room).rglob("*.py"))
    assert len(paths) > 2
    for path in paths:
        for module, _ in imports_of(path):
            for closed in CLASSROOM[CLASSROOM.index(room) + 1 :]:
                assert not is_within(module, f"course_lib.classroom.{closed}"), f"{path} imports {module}"
            assert not is_within(module, "course_lib.classroom.notebook"), f"{path} imports {module}"


def test_nobody_imports_the_front_door() -> None:
    for path in EVERY:
        for module, _ in imports_of(path):
            assert module != "course_lib", f"{path} imports the package itself"


def test_no_two_files_need_one_another() -> None:
    """Follow every import, wherever it stands: nobody comes back to where they began."""
    names = {
        ".".join(["course_lib", *path.relative_to(PACKAGE).with_suffix("").parts]): path for path in EVERY
    }
    needs = {
        name: {module for module, _ in imports_of(path) if module in names and module != name}
        for name, path in names.items()
    }
    assert sum(map(len, needs.values())) > 300
    while needs:
        free = [name for name, others in needs.items() if not others & needs.keys()]
        assert free, f"in a circle: {sorted(needs)}"
        for name in free:
            del needs[name]


def test_the_bench_draws_nothing_and_loads_pandas_in_one_place_only() -> None:
    for path in ROOMS["bench"]:
        for module, inside in imports_of(path):
            if not any(is_within(module, name) for name in SLOW_OR_DRAWING):
                continue
            assert (path.name, inside, module) == ("tables.py", "frame", "pandas"), (
                f"{path.name} imports {module}"
            )


@pytest.mark.parametrize("room", ["bench", "screen"])
def test_nothing_needs_threads_processes_or_the_network(room: str) -> None:
    """The same rooms run in a browser, where there are none of these."""
    for path in ROOMS[room]:
        for module, _ in imports_of(path):
            for absent in (
                "subprocess",
                "threading",
                "multiprocessing",
                "concurrent",
                "socket",
                "urllib",
                "requests",
            ):
                assert not is_within(module, absent), f"{path.name} imports {module}"


@pytest.mark.parametrize("room", ["bench", "screen", "classroom"])
def test_modules_have_names_that_say_what_they_hold(room: str) -> None:
    for path in ROOMS[room]:
        assert path.stem not in ("utils", "util", "helpers", "common", "misc", "stuff"), path


def test_the_bench_loads_neither_drawing_nor_tables() -> None:
    """In a fresh Python: import every module of the bench, and see what came with it."""
    modules = [f"course_lib.bench.{path.stem}" for path in ROOMS["bench"] if path.stem != "__init__"]
    program = (
        "import importlib, sys\n"
        f"[importlib.import_module(name) for name in {modules!r}]\n"
        f"print([name for name in {[*SLOW_OR_DRAWING, 'course_lib.screen', 'course_lib.classroom']!r} "
        "if name in sys.modules])\n"
    )
    ran = subprocess.run(
        [sys.executable, "-c", program],
        cwd=PACKAGE.parent,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert ran.stdout.strip() == "[]", ran.stdout + ran.stderr
