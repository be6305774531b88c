"""The ladder of rooms, and which outside library may live where.

A room imports only from rooms to its left; the two in one step of the ladder do not import each other. The lists
below are exact: what stands here and is not used any more fails too, so that they always tell how things are.
"""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "src" / "kettleglass"

LADDER = (("science",), ("materials",), ("recipe",), ("cook",), ("batch",), ("workshop", "paper"), ("web", "cli"))
"""The rooms from left to right."""
STEP = {room: number for number, rooms in enumerate(LADDER) for room in rooms}
ROOT_FILES = {"__init__", "__main__", "errors", "units", "settings"}
"""Files that stand in no room; they import none, but for `__main__`, which is the command."""
DOORWAYS = {("cli/app.py", "kettleglass.web.serve")}
"""Imports that the ladder would forbid: the command that opens the pages has to reach the server."""

LIBRARIES = {
    "numpy": {"science", "materials", "recipe", "cook", "batch"},
    "sqlalchemy": {"workshop"},
    "alembic": {"workshop"},
    "starlette": {"web"},
    "jinja2": {"web"},
    "markupsafe": {"web"},
    "uvicorn": {"web"},
    "pydantic": {"web"},
    "click": {"cli"},
}
"""In which rooms each outside library is imported."""
INSIDE_FUNCTIONS = {"alembic"}
"""Libraries so slow to load that they are imported only where a function needs them."""
MIGRATIONS = "workshop/migrations/"
"""Loaded by Alembic itself, so Alembic is there already."""
NOT_IMPORTED = {"python-multipart"}
"""Dependencies that other libraries need of us: Starlette reads forms with it."""
LONGEST_FILE = 400
"""Lines."""


@dataclass(frozen=True)
class Import:
    """One import: in which file and line, of what module, and whether inside a function."""

    file: str
    line: int
    module: str
    inside_function: bool = False

    @property
    def room(self) -> str:
        """The room that imports."""
        return room_of(f"kettleglass.{self.file.removesuffix('.py').replace('/', '.')}")

    @property
    def target_room(self) -> str:
        """The room that is imported from; empty for what is not ours."""
        return room_of(self.module) if self.module.split(".")[0] == "kettleglass" else ""


def room_of(module: str) -> str:
    """The room, or the root file, that a module of ours stands in; a name in the package itself is in `__init__`."""
    name = [*module.split("."), "__init__"][1]
    return name if name in ROOT_FILES or name in STEP else "__init__"


def imports_of(tree: ast.AST, file: str, *, inside: bool = False) -> Iterator[Import]:
    """All imports below a node, modules named in text (for loading later) included."""
    for node in ast.iter_child_nodes(tree):
        here = inside or isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda)
        if isinstance(node, ast.Import):
            yield from (Import(file, node.lineno, alias.name, inside) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{file}:{node.lineno} imports relatively: name the room"
            assert node.module is not None
            names = [f"{node.module}.{alias.name}" for alias in node.names]
            yield from (Import(file, node.lineno, name, inside) for name in names)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            if re.fullmatch(r"kettleglass(\.\w+)+(:\w+)?", node.value):
                yield Import(file, node.lineno, node.value.split(":")[0], inside)
        else:
            yield from imports_of(node, file, inside=here)


def walk(package: Path) -> tuple[Import, ...]:
    """All imports of a package."""
    found: list[Import] = []
    for path in sorted(package.rglob("*.py")):
        found += imports_of(ast.parse(path.read_text(encoding="utf-8")), path.relative_to(package).as_posix())
    return tuple(found)


IMPORTS = walk(PACKAGE)


def leaks(imports: tuple[Import, ...]) -> list[str]:
    """What the ladder forbids, one line an import."""
    return [
        f"{found.file}:{found.line} imports {found.module}: {found.room} may not know {found.target_room}"
        for found in imports
        if (found.file, module_of(found, DOORWAYS)) not in DOORWAYS and not may_import(found.room, found.target_room)
    ]


def module_of(found: Import, doorways: set[tuple[str, str]]) -> str:
    """The imported module, without the name taken from it where a doorway names the module."""
    return next((module for _, module in doorways if f"{found.module}.".startswith(f"{module}.")), found.module)


def may_import(room: str, target: str) -> bool:
    """Whether the ladder lets one room import from another."""
    if target in {"", room} or target in ROOT_FILES or room == "__main__":
        return True
    return target in STEP and room in STEP and STEP[target] < STEP[room]


def test_every_room_stands_on_the_ladder():
    folders = {path.name for path in PACKAGE.iterdir() if path.is_dir() and path.name != "__pycache__"}
    assert folders == set(STEP)
    assert {path.stem for path in PACKAGE.glob("*.py")} == ROOT_FILES


def test_rooms_import_only_from_rooms_to_their_left():
    assert leaks(IMPORTS) == []


def test_doorways_are_used():
    used = {(found.file, module_of(found, DOORWAYS)) for found in IMPORTS}
    assert used >= DOORWAYS


@pytest.mark.parametrize(
    ("file", "source"),
    [
        ("science/pot.py", "from kettleglass.materials.fats import Fat"),
        ("science/pot.py", "def late():\n    import kettleglass.recipe"),
        ("recipe/work.py", "from kettleglass import workshop"),
        ("paper/svg.py", "from kettleglass.workshop import Notebook"),
        ("web/app.py", "from kettleglass.cli.show import table"),
        ("cli/recipe.py", "from kettleglass.web.serve import serve"),
        ("units.py", "from kettleglass.science.mixture import density"),
        ("recipe/work.py", "import_module('kettleglass.web.app')"),
        ("recipe/work.py", "serve('kettleglass.web.app:create_app')"),
    ],
)
def test_a_leak_is_noticed(file, source):
    assert len(leaks(tuple(imports_of(ast.parse(source), file)))) == 1


def outside(imports: tuple[Import, ...]) -> dict[str, set[str]]:
    """In which rooms each library is imported that is neither ours nor the standard library's."""
    rooms: dict[str, set[str]] = {}
    for found in imports:
        name = found.module.split(".")[0]
        if name != "kettleglass" and name not in sys.stdlib_module_names:
            rooms.setdefault(name, set()).add(found.room)
    return rooms


def test_outside_libraries_live_where_the_list_says():
    assert outside(IMPORTS) == LIBRARIES


def test_the_list_of_libraries_is_the_list_of_dependencies():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    names = {re.match(r"[\w.-]+", dependency).group() for dependency in project["dependencies"]}
    assert names == set(LIBRARIES) | NOT_IMPORTED


def test_slow_libraries_load_inside_functions():
    slow = [found for found in IMPORTS if found.module.split(".")[0] in INSIDE_FUNCTIONS]
    assert {found.module.split(".")[0] for found in slow if found.inside_function} == INSIDE_FUNCTIONS
    early = [found for found in slow if not found.inside_function and not found.file.startswith(MIGRATIONS)]
    assert early == []


def test_no_file_outgrows_its_room():
    folders = ("src", "tests", "tools", "benchmarks", "frontend/src")
    files = [path for folder in folders for kind in ("py", "ts", "css") for path in (ROOT / folder).rglob(f"*.{kind}")]
    own = [path for path in files if "static" not in path.parts]
    lines = {path.relative_to(ROOT).as_posix(): len(path.read_text(encoding="utf-8").splitlines()) for path in own}
    assert {name: count for name, count in lines.items() if count > LONGEST_FILE} == {}
    assert len(lines) > 50
