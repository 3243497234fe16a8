"""The public functions of pulsewright.physics, read from the source text; shared by the contract tests."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from pulsewright.workbench.docstrings import Docstring, faults, read_docstring

SOURCE = Path(__file__).resolve().parents[2] / "src" / "pulsewright"


@dataclass(frozen=True)
class PublicFunction:
    """One public function: where it stands, its arguments, its docstring."""

    module: str
    name: str
    line: int
    arguments: tuple[str, ...]
    text: str
    compiled: bool = False

    @property
    def place(self) -> str:
        """File and line, for a message."""
        return f"src/{self.module.replace('.', '/')}.py:{self.line} {self.name}"

    @property
    def docstring(self) -> Docstring:
        return read_docstring(self.text)

    @property
    def faults(self) -> list[str]:
        return faults(self.docstring, self.arguments)

    def __str__(self) -> str:
        return f"{self.module.removeprefix('pulsewright.physics.')}.{self.name}"


def public_functions() -> Iterator[PublicFunction]:
    """Every function without a leading underscore, in every module without one."""
    for path in sorted((SOURCE / "physics").rglob("*.py")):
        if path.name.startswith("_"):
            continue
        module = ".".join(path.relative_to(SOURCE.parent).with_suffix("").parts)
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                arguments = (*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs)
                names = tuple(argument.arg for argument in arguments)
                compiled = any("jit" in ast.unparse(decorator) for decorator in node.decorator_list)
                yield PublicFunction(module, node.name, node.lineno, names, ast.get_docstring(node) or "", compiled)


ALL = tuple(public_functions())
#: Those a person calls. A compiled kernel is reached through one of these, which documents it.
FUNCTIONS = tuple(function for function in ALL if not function.compiled)
KERNELS = tuple(function for function in ALL if function.compiled)
