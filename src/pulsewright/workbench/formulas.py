"""The formula shelf: every public physics function of single values, made from its docstring.

The shelf is read from the source text of `pulsewright.physics`, without importing it, so listing is quick. A formula
is on the shelf when its docstring is in full form and every argument and result is a single value; nothing is listed
by hand. Only the one module that holds a formula is imported when it is evaluated.
"""

from __future__ import annotations

import ast
import difflib
import importlib
import math
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Any

from pulsewright import quantities, units
from pulsewright.errors import Finding, PulsewrightError, QuantityError
from pulsewright.workbench.docstrings import Entry, faults, read_docstring

ROOM = "pulsewright.physics"
_YES = {"yes": True, "true": True, "1": True, "no": False, "false": False, "0": False}
_ARITHMETIC: dict[type[ast.operator], Any] = {
    ast.Add: lambda a, b: a + b,
    ast.Sub: lambda a, b: a - b,
    ast.Mult: lambda a, b: a * b,
    ast.Div: lambda a, b: a / b,
    ast.Pow: lambda a, b: a**b,
}


@dataclass(frozen=True, slots=True)
class FormulaParameter:
    """One argument of a formula.

    `default` is a text with unit, empty where the argument may be left out without one, None where it must be given.
    """

    name: str
    unit: str
    words: str
    default: str | None = None
    choices: tuple[str, ...] = ()
    type_words: str = "float"


@dataclass(frozen=True, slots=True)
class FormulaOutput:
    """One result of a formula, as it is declared; after evaluation with its SI value and text."""

    name: str
    unit: str
    words: str
    value: float | bool | str | None = None
    text: str = ""

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        return {"name": self.name, "value": self.value, "unit": self.unit, "text": self.text, "words": self.words}


@dataclass(frozen=True, slots=True)
class FormulaCard:
    """One formula of the shelf."""

    name: str
    title: str
    module: str
    function: str
    parameters: tuple[FormulaParameter, ...]
    results: tuple[FormulaOutput, ...]
    valid: str
    not_covered: str
    equation: str
    source: str
    example: str

    @property
    def spelling(self) -> str:
        """How to ask for it, with a place for every argument that must be given."""
        given = (f'{p.name}="{_sample(p)}"' for p in self.parameters if p.default is None)
        return " ".join((self.name, *given))

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        return {
            "name": self.name,
            "title": self.title,
            "module": self.module,
            "parameters": [
                {"name": p.name, "unit": p.unit, "words": p.words, "default": p.default, "choices": list(p.choices)}
                for p in self.parameters
            ],
            "results": [{"name": r.name, "unit": r.unit, "words": r.words} for r in self.results],
            "valid": self.valid,
            "not_covered": self.not_covered,
            "equation": self.equation,
            "source": self.source,
            "example": self.example,
            "spelling": self.spelling,
        }


@dataclass(frozen=True, slots=True)
class FormulaInput:
    """One argument as it was used: SI value and text."""

    name: str
    unit: str
    value: float | bool | str
    text: str

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        return {"name": self.name, "value": self.value, "unit": self.unit, "text": self.text}


@dataclass(frozen=True, slots=True)
class FormulaResult:
    """What a formula gave. Without results the findings say why."""

    name: str
    card: FormulaCard | None
    inputs: tuple[FormulaInput, ...] = ()
    results: tuple[FormulaOutput, ...] = ()
    findings: tuple[Finding, ...] = ()

    @property
    def ok(self) -> bool:
        """Whether there is a result."""
        return bool(self.results)

    def as_dict(self) -> dict[str, Any]:
        """For JSON; a result that is not finite has the value null and a finding."""
        card = self.card
        return {
            "name": self.name,
            "title": card.title if card else "",
            "results": [result.as_dict() for result in self.results],
            "inputs": [given.as_dict() for given in self.inputs],
            "equation": card.equation if card else "",
            "valid": card.valid if card else "",
            "not_covered": card.not_covered if card else "",
            "source": card.source if card else "",
            "findings": [finding.as_dict() for finding in self.findings],
        }


def list_formulas(search: str | None = None) -> list[FormulaCard]:
    """Cards of the shelf by name; with `search`, those in which every word of it occurs."""
    cards = sorted(_shelf().values(), key=lambda card: card.name)
    wanted = (search or "").casefold().split()
    return [card for card in cards if all(word in _searched(card) for word in wanted)]


def find_formula(name: str) -> FormulaCard | Finding:
    """The card of that name, alone or as package.name; otherwise a finding with the nearest names."""
    shelf = _shelf()
    by_path = {f"{_package(card.module)}.{card.function}": card for card in shelf.values()}
    card = shelf.get(name) or by_path.get(name)
    if card is not None:
        return card
    alike = [key for key, other in shelf.items() if other.function == name]
    near = alike or difflib.get_close_matches(name, shelf, n=3, cutoff=0.5)
    near = near or [key for key in shelf if name and name.casefold() in key][:3]
    return Finding(
        "error",
        name,
        "there are several formulas of this name" if alike else "there is no formula of this name",
        f"{len(shelf)} formulas are on the shelf",
        f"Perhaps {' or '.join(near)} was meant" if near else "List them, or search for a word",
    )


def evaluate(name: str, arguments: Mapping[str, str]) -> FormulaResult:
    """Evaluate a formula from texts with units.

    Parameters
    ----------
    name : str
        Name of a formula of the shelf.
    arguments : mapping of str to str
        Argument name to text, for instance `{"capacitance": "4 uF", "voltage": "9.5 kV"}`.

    Returns
    -------
    result : FormulaResult
        With results, or with findings that say what is wrong; it never raises for what a user wrote.
    """
    card = find_formula(name)
    if isinstance(card, Finding):
        return FormulaResult(name, None, findings=(card,))
    findings = [*_names_wrong(card, arguments)]
    given: list[FormulaInput] = []
    for parameter in card.parameters:
        if parameter.name in arguments:
            read = _read(parameter, arguments[parameter.name])
            (findings if isinstance(read, Finding) else given).append(read)  # type: ignore[arg-type]
    if findings:
        return FormulaResult(card.name, card, tuple(given), findings=tuple(findings))
    return _call(card, tuple(given))


def _searched(card: FormulaCard) -> str:
    parts = [card.name, card.title, card.module, card.equation, card.valid, card.source]
    parts += [f"{parameter.name} {parameter.words}" for parameter in card.parameters]
    parts += [f"{result.name} {result.words}" for result in card.results]
    return " ".join(parts).replace("_", " ").casefold() + " " + card.name


def _names_wrong(card: FormulaCard, arguments: Mapping[str, str]) -> Iterator[Finding]:
    names = [parameter.name for parameter in card.parameters]
    for key in arguments:
        if key not in names:
            near = difflib.get_close_matches(key, names, n=1, cutoff=0.5)
            step = f"Perhaps {near[0]} was meant" if near else f"Write {card.spelling}"
            yield Finding("error", key, f"{card.name} has no argument of this name", f"It has {', '.join(names)}", step)
    for parameter in card.parameters:
        if parameter.default is None and parameter.name not in arguments:
            allowed = _allowed(parameter)
            step = f'Write {parameter.name}="{_sample(parameter)}"'
            yield Finding("error", parameter.name, f"is missing: {parameter.words}", allowed, step)


def _allowed(parameter: FormulaParameter) -> str:
    if parameter.choices:
        return "One of " + ", ".join(parameter.choices)
    if parameter.type_words.startswith("bool"):
        return "yes or no"
    if parameter.unit in ("", "-"):
        return "A plain number"
    return f"A value in {', '.join(units.spellings(parameter.unit)[:4])} or alike"


def _sample(parameter: FormulaParameter) -> str:
    if parameter.choices:
        return parameter.choices[0]
    if parameter.type_words.startswith("bool"):
        return "yes"
    return "1" if parameter.unit in ("", "-") else f"1 {units.spellings(parameter.unit)[0]}"


def _read(parameter: FormulaParameter, text: str) -> FormulaInput | Finding:
    """One argument from its text, or what is wrong with it."""
    name, shown = parameter.name, text.strip()
    if parameter.choices:
        if shown in parameter.choices:
            return FormulaInput(name, "", shown, shown)
        near = difflib.get_close_matches(shown, parameter.choices, n=1, cutoff=0.7)
        step = f'Write {name}="{(near or parameter.choices)[0]}"'
        message = f'"{shown}" is none of the choices. {parameter.words}'
        return Finding("error", name, message, _allowed(parameter), step)
    if parameter.type_words.startswith("bool"):
        if shown.casefold() in _YES:
            return FormulaInput(name, "", _YES[shown.casefold()], shown)
        return Finding("error", name, f'"{shown}" is neither yes nor no', _allowed(parameter), f'Write {name}="yes"')
    if parameter.type_words.startswith("str"):
        return FormulaInput(name, "", shown, shown)
    try:
        value = units.parse(text, parameter.unit)
    except QuantityError as refused:
        return replace(refused.findings[0], path=name)
    if parameter.type_words.startswith("int"):
        if not value.is_integer():
            return Finding("error", name, f"{shown} is not a whole number", "Whole numbers", f'Write {name}="1"')
        value = int(value)
    return FormulaInput(name, parameter.unit, value, shown)


def _call(card: FormulaCard, given: tuple[FormulaInput, ...]) -> FormulaResult:
    import numpy as np  # noqa: PLC0415  listing the shelf needs none of it

    function = getattr(importlib.import_module(card.module), card.function)
    try:
        with np.errstate(all="ignore"):
            raw = function(**{entry.name: entry.value for entry in given})
    except PulsewrightError as refused:
        return FormulaResult(card.name, card, given, findings=refused.findings)
    except (ArithmeticError, ValueError) as refused:
        finding = Finding(
            "error", card.name, f"cannot be computed at these values ({refused})", card.valid, "Change an argument"
        )
        return FormulaResult(card.name, card, given, findings=(finding,))
    values = [raw] if len(card.results) == 1 else list(raw)
    results = tuple(_filled(entry, value) for entry, value in zip(card.results, values, strict=True))
    findings = tuple(
        Finding("warning", entry.name, f"is {entry.text}", "A finite number", "Change an argument")
        for entry in results
        if entry.value is None
    )
    return FormulaResult(card.name, card, given, results, findings)


def _filled(entry: FormulaOutput, raw: Any) -> FormulaOutput:
    """A declared result with the value that came out."""
    value = raw.item() if hasattr(raw, "item") else raw
    if isinstance(value, tuple) and len(value) == 1:
        value = value[0]
    if isinstance(value, bool):
        return replace(entry, value=value, text="yes" if value else "no")
    if isinstance(value, str):
        return replace(entry, value=value, text=value)
    number = float(value)
    row = quantities.QUANTITIES.get(entry.name)
    display, digits = (row.display, row.digits) if row is not None and row.unit == entry.unit else ("", 4)
    text = units.format(number, entry.unit, max(digits, 4), display=display)
    return replace(entry, value=number if math.isfinite(number) else None, text=text)


# Making the shelf ------------------------------------------------------------------------------


@lru_cache(maxsize=1)
def _shelf() -> dict[str, FormulaCard]:
    cards = [card for module, tree in _modules(files(ROOM), ROOM) for card in _cards(module, tree)]
    times = Counter(card.function for card in cards)
    paths = Counter(f"{_package(card.module)}.{card.function}" for card in cards)
    shelf: dict[str, FormulaCard] = {}
    for card in cards:
        name = card.function
        if times[name] > 1:
            name = f"{_package(card.module)}.{card.function}"
            name = name if paths[name] == 1 else f"{card.module.removeprefix(ROOM + '.')}.{card.function}"
        shelf[name] = replace(card, name=name)
    return shelf


def _package(module: str) -> str:
    return module.removeprefix(ROOM + ".").split(".")[0]


def _modules(folder: Traversable, package: str) -> Iterator[tuple[str, ast.Module]]:
    """Every public module under a package, parsed and not imported."""
    for item in sorted(folder.iterdir(), key=lambda item: item.name):
        stem = item.name.removesuffix(".py")
        if item.name.startswith(("_", ".")):
            continue
        if item.is_dir():
            yield from _modules(item, f"{package}.{stem}")
        elif item.name.endswith(".py"):
            text = item.read_text(encoding="utf-8")
            if "Source:" in text:
                yield f"{package}.{stem}", ast.parse(text)


def _cards(module: str, tree: ast.Module) -> Iterator[FormulaCard]:
    names = _constants(tree)
    for node in tree.body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            card = _card(module, node, names)
            if card is not None:
                yield card


def _constants(tree: ast.Module) -> dict[str, Any]:
    """Constants that a module defines, or takes from another module of the room; what is no literal is left out."""
    names: dict[str, Any] = {}
    for node in tree.body:
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith(ROOM + "."):
            capitals = [alias for alias in node.names if alias.name.isupper()]
            source = _constants_of(node.module or "") if capitals else {}
            names.update({alias.asname or alias.name: source.get(alias.name) for alias in capitals})
        elif isinstance(node, ast.Assign) and len(node.targets) == 1 and isinstance(node.targets[0], ast.Name):
            names[node.targets[0].id] = _constant(node.value, names)
    return {name: value for name, value in names.items() if value is not None}


@lru_cache(maxsize=64)
def _constants_of(module: str) -> dict[str, Any]:
    *folders, stem = module.removeprefix(ROOM + ".").split(".")
    source = files(ROOM).joinpath(*folders, f"{stem}.py")
    return _constants(ast.parse(source.read_text(encoding="utf-8"))) if source.is_file() else {}


def _card(module: str, node: ast.FunctionDef, names: Mapping[str, Any]) -> FormulaCard | None:
    """A card, or None when the docstring is not full or an argument or result is not a single value."""
    docstring = read_docstring(ast.get_docstring(node) or "")
    arguments = (*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs)
    if faults(docstring, tuple(argument.arg for argument in arguments)):
        return None
    single = all(entry.one_value for entry in docstring.parameters) and all(e.one_result for e in docstring.results)
    if not single or not arguments:
        return None
    defaults = _defaults(node)
    return FormulaCard(
        name=node.name,
        title=docstring.title,
        module=module,
        function=node.name,
        parameters=tuple(_parameter(entry, defaults, names) for entry in docstring.parameters),
        results=tuple(FormulaOutput(entry.name, entry.unit, entry.words) for entry in docstring.results),
        valid=docstring.notes["Valid"],
        not_covered=docstring.notes["Not covered"],
        equation=docstring.notes["Equation"],
        source=docstring.notes["Source"],
        example=docstring.example,
    )


def _defaults(node: ast.FunctionDef) -> dict[str, ast.expr]:
    positional = (*node.args.posonlyargs, *node.args.args)
    late = positional[len(positional) - len(node.args.defaults) :]
    pairs = [*zip(late, node.args.defaults, strict=True)]
    pairs += [(a, d) for a, d in zip(node.args.kwonlyargs, node.args.kw_defaults, strict=True) if d is not None]
    return {argument.arg: default for argument, default in pairs}


def _parameter(entry: Entry, defaults: Mapping[str, ast.expr], names: Mapping[str, Any]) -> FormulaParameter:
    node = defaults.get(entry.name)
    default = None if node is None else _default_text(entry, node, names)
    return FormulaParameter(entry.name, entry.unit, entry.words, default, entry.choices, entry.type_words)


def _default_text(entry: Entry, node: ast.expr, names: Mapping[str, Any]) -> str:
    if isinstance(node, ast.Constant) and node.value is None:
        return ""
    value = _constant(node, names)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return units.format(float(value), entry.unit, None)
    return value if isinstance(value, str) else ast.unparse(node)


def _constant(node: ast.expr, names: Mapping[str, Any]) -> Any:
    """Value of an expression of literals and earlier constants of the module; None where it has others."""
    if isinstance(node, ast.Constant):
        return node.value
    if isinstance(node, ast.Name):
        return names.get(node.id)
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
        value = _constant(node.operand, names)
        return -value if isinstance(value, int | float) else None
    if isinstance(node, ast.BinOp) and type(node.op) in _ARITHMETIC:
        left, right = _constant(node.left, names), _constant(node.right, names)
        if isinstance(left, int | float) and isinstance(right, int | float):
            return _ARITHMETIC[type(node.op)](left, right)
    return None
