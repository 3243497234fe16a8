"""The import rule: arrows between rooms go down only. Held by the syntax tree, so that an import
inside a function, under TYPE_CHECKING or by `importlib.import_module("...")` counts too.
"""

from __future__ import annotations

import ast
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

SOURCE = Path(__file__).resolve().parents[2] / "src" / "pulsewright"
PACKAGE = "pulsewright"

FLOOR_0 = frozenset({"errors", "units", "quantities", "records"})
FLOOR_1 = frozenset({"numerics", "physics", "refdata", "machine", "logbook"})
FLOOR_2 = frozenset({"measure", "engine", "drawing", "plant", "safety"})
FLOOR_3 = frozenset({"studies", "report"})

#: Room -> rooms it may import. A room may always import itself.
ALLOWED: dict[str, frozenset[str]] = {
    "errors": frozenset(),
    "units": frozenset({"errors"}),
    "quantities": frozenset({"errors", "units"}),
    "records": frozenset({"errors", "units", "quantities"}),
    "numerics": frozenset({"errors"}),
    "physics": frozenset({"numerics", "errors"}),
    "refdata": frozenset({"quantities", "units", "errors"}),
    "machine": frozenset({"refdata", "quantities", "units", "errors"}),
    "logbook": FLOOR_0,
    "measure": frozenset({"physics", "numerics"}) | FLOOR_0,
    "engine": frozenset({"machine", "refdata", "physics", "numerics"}) | FLOOR_0,
    "drawing": FLOOR_0,
    "plant": frozenset({"engine", "machine", "refdata", "physics"}) | FLOOR_0,
    "safety": frozenset({"engine", "plant", "machine", "refdata", "physics"}) | FLOOR_0,
    "studies": FLOOR_0 | FLOOR_1 | FLOOR_2,
    "report": FLOOR_0 | FLOOR_1 | FLOOR_2 | {"studies"},
    "workbench": FLOOR_0 | FLOOR_1 | FLOOR_2 | FLOOR_3,
    "web": frozenset({"workbench", "drawing"}) | FLOOR_0,
    "cli": frozenset({"workbench", "drawing"}) | FLOOR_0,
}

#: (module, what it imports) -> why it may.
EXCEPTIONS: dict[tuple[str, str], str] = {
    (
        "__init__",
        "workbench",
    ): "the front door: pw.open and pw.new_bench are the workbench's, loaded when used",
    ("__main__", "cli"): "`python -m pulsewright` is the command",
    ("cli", "web"): "the verbs serve and demo start the page's server; nothing else of it is used",
    ("cli", "__init__"): "the version, and pw.open, which is the workbench's",
}


def room(module: str) -> str:
    """Room of a dotted module name inside the package."""
    parts = module.split(".")
    return parts[1] if len(parts) > 1 else "__init__"


def imported(tree: ast.AST, module: str, *, is_package: bool) -> Iterator[tuple[int, str]]:
    """Every dotted name inside the package that a module imports, with its line, wherever it stands."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = absolute(node, module, is_package=is_package)
            if base == PACKAGE:
                yield from ((node.lineno, f"{base}.{alias.name}") for alias in node.names)
            else:
                yield node.lineno, base
        elif isinstance(node, ast.Call):
            yield from ((node.lineno, name) for name in called_import(node))


def absolute(node: ast.ImportFrom, module: str, *, is_package: bool) -> str:
    """Absolute name of what `from ... import` names."""
    if node.level == 0:
        return node.module or ""
    parts = module.split(".")
    kept = parts[: len(parts) - node.level + (1 if is_package else 0)]
    return ".".join([*kept, *([node.module] if node.module else [])])


def called_import(node: ast.Call) -> Iterator[str]:
    """The name given to import_module or __import__, as far as it is written out."""
    name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
    if name not in ("import_module", "__import__") or not node.args:
        return
    first = node.args[0]
    if isinstance(first, ast.JoinedStr):
        first = first.values[0]
    if isinstance(first, ast.Constant) and isinstance(first.value, str):
        yield first.value.rstrip(".")


def violations(text: str, module: str, *, is_package: bool = False) -> list[str]:
    """What a module imports and must not."""
    here = room(module)
    allowed = ALLOWED.get(here, frozenset()) | {here}
    found = []
    for line, name in imported(ast.parse(text), module, is_package=is_package):
        if name != PACKAGE and not name.startswith(PACKAGE + "."):
            continue
        target = room(name)
        if target not in ROOMS:
            target = "__init__"  # a name of the package itself: `from pulsewright import __version__`
        if target not in allowed and (here, target) not in EXCEPTIONS:
            may = ", ".join(sorted(allowed - {here})) or "nothing"
            found.append(f"{module}:{line} imports {target}; {here} may import {may}")
    return found


ROOMS = frozenset(ALLOWED) | {"__init__", "__main__"}


def modules() -> list[tuple[str, Path]]:
    """Every module of the package with its dotted name."""
    found = []
    for path in sorted(SOURCE.rglob("*.py")):
        parts = [PACKAGE, *path.relative_to(SOURCE).with_suffix("").parts]
        if parts[-1] == "__init__":
            parts.pop()
        found.append((".".join(parts), path))
    return found


def test_every_import_goes_down() -> None:
    found = [
        line
        for name, path in modules()
        for line in violations(
            path.read_text("utf-8"), name, is_package=path.name == "__init__.py" and name.count(".") > 0
        )
    ]
    assert found == []


def test_every_module_stands_in_a_room_of_the_table() -> None:
    assert {room(name) for name, _ in modules()} <= ROOMS


def test_no_exception_is_idle() -> None:
    used = {
        (room(name), room(target) if room(target) in ROOMS else "__init__")
        for name, path in modules()
        for _, target in imported(ast.parse(path.read_text("utf-8")), name, is_package=path.name == "__init__.py")
        if target == PACKAGE or target.startswith(PACKAGE + ".")
    }
    assert set(EXCEPTIONS) <= used


def test_the_table_has_no_circle() -> None:
    def reached(start: str) -> set[str]:
        seen: set[str] = set()
        ahead = [start]
        while ahead:
            for target in ALLOWED[ahead.pop()]:
                if target not in seen:
                    seen.add(target)
                    ahead.append(target)
        return seen

    assert [name for name in ALLOWED if name in reached(name)] == []


@pytest.mark.parametrize(
    ("module", "text", "target"),
    [
        ("pulsewright.physics.lamp.light", "from pulsewright.machine import load", "machine"),
        ("pulsewright.physics.lamp.light", "import pulsewright.engine.chain", "engine"),
        ("pulsewright.physics.lamp.light", "def f():\n    from pulsewright.refdata import gases", "refdata"),
        ("pulsewright.physics.lamp.light", "from pulsewright import units", "units"),
        ("pulsewright.physics.lamp.light", "from ...machine import load", "machine"),
        ("pulsewright.physics.lamp.light", "import pulsewright", "__init__"),
        ("pulsewright.engine.chain", "import importlib\nimportlib.import_module('pulsewright.studies')", "studies"),
        ("pulsewright.engine.chain", "from pulsewright.workbench import Bench", "workbench"),
        ("pulsewright.cli.shot", "from pulsewright.engine import run", "engine"),
        ("pulsewright.cli.shot", "if TYPE_CHECKING:\n    from pulsewright.machine import Build", "machine"),
        ("pulsewright.web.app", "from pulsewright.cli import text", "cli"),
        ("pulsewright.errors", "from pulsewright.units import parse", "units"),
        ("pulsewright.drawing.svg", "from pulsewright.physics.beam import train", "physics"),
    ],
)
def test_a_planted_violation_is_found(module: str, text: str, target: str) -> None:
    found = violations(text, module)
    assert len(found) == 1
    assert f"imports {target};" in found[0]


#: Libraries that a physics module may use beside the standard library.
PHYSICS_LIBRARIES = frozenset({"numpy", "scipy", "numba"})

#: What of the standard library reaches outside: files, processes, network, clocks, chance without a seed.
REACHING_OUT = frozenset(
    {"csv", "glob", "http", "importlib", "io", "json", "logging", "mmap", "os", "pathlib", "pickle", "random"}
    | {"secrets", "shelve", "shutil", "socket", "sqlite3", "subprocess", "tempfile", "time", "tomllib", "urllib"}
)


def reaching_out(text: str) -> list[str]:
    """What a physics module imports that reaches outside or is not on the list, and calls of `open`."""
    found = []
    for node in ast.walk(ast.parse(text)):
        names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
        if isinstance(node, ast.ImportFrom) and node.level == 0:
            names = [node.module or ""]
        outside = {name.split(".")[0] for name in names} - PHYSICS_LIBRARIES - {PACKAGE}
        refused = {name for name in outside if name in REACHING_OUT or name not in sys.stdlib_module_names}
        found.extend(f"line {node.lineno}: imports {name}" for name in sorted(refused))
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "open":
            found.append(f"line {node.lineno}: opens a file")
    return found


def test_physics_reads_no_file() -> None:
    found = [
        f"{name} {line}"
        for name, path in modules()
        if room(name) == "physics"
        for line in reaching_out(path.read_text("utf-8"))
    ]
    assert found == []


def test_a_physics_function_that_reads_a_file_is_found() -> None:
    assert reaching_out("from pathlib import Path\ndef f():\n    import json\n    return open('x')") == [
        "line 1: imports pathlib",
        "line 3: imports json",
        "line 4: opens a file",
    ]


@pytest.mark.parametrize(
    ("module", "text"),
    [
        ("pulsewright.physics.lamp.light", "import numpy\nfrom pulsewright.numerics import roots"),
        ("pulsewright.physics.lamp.light", "from pulsewright.physics.lamp import plasma"),
        ("pulsewright.cli.serve", "def f():\n    from pulsewright.web import serve"),
        ("pulsewright.cli", "from pulsewright import __version__"),
    ],
)
def test_what_is_allowed_is_let_through(module: str, text: str) -> None:
    assert violations(text, module) == []
