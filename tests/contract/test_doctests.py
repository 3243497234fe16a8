"""The examples in the docstrings run and give what they print."""

from __future__ import annotations

import doctest
import importlib
from pathlib import Path

import pytest
from contract.physics_functions import FUNCTIONS, SOURCE, PublicFunction

FLAGS = doctest.NORMALIZE_WHITESPACE | doctest.ELLIPSIS
#: Modules of other rooms whose examples are run as well.
OTHERS = sorted(
    ".".join(path.relative_to(SOURCE.parent).with_suffix("").parts)
    for room in ("numerics", "refdata", "units.py", "quantities.py")
    for path in ([SOURCE / room] if room.endswith(".py") else (SOURCE / room).rglob("*.py"))
    if ">>>" in path.read_text(encoding="utf-8")
)


def run(test: doctest.DocTest, place: str) -> None:
    """Run one docstring's examples; the failure shows what was expected and what came."""
    told: list[str] = []
    found = doctest.DocTestRunner(optionflags=FLAGS, verbose=False).run(test, out=told.append)
    assert found.failed == 0, f"{place}: {found.failed} of {found.attempted} examples fail\n" + "".join(told)


@pytest.mark.parametrize("function", FUNCTIONS, ids=str)
def test_examples_of_physics(function: PublicFunction) -> None:
    module = importlib.import_module(function.module)
    parser = doctest.DocTestParser()
    path = str(Path(str(module.__file__)))
    test = parser.get_doctest(function.text, dict(vars(module)), function.name, path, function.line)
    assert test.examples, f"{function.place}: has no example"
    run(test, function.place)


@pytest.mark.parametrize("name", OTHERS)
def test_examples_of_other_rooms(name: str) -> None:
    module = importlib.import_module(name)
    tests = [test for test in doctest.DocTestFinder().find(module) if test.examples]
    assert tests, name
    for test in tests:
        run(test, test.name)
