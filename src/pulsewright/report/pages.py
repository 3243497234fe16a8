"""Pages from templates: HTML that needs nothing from outside, no script, ink on white."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import Any

from jinja2 import Environment, FunctionLoader, StrictUndefined


def template_text(name: str) -> str:
    """Source text of a template of this package."""
    return (files("pulsewright.report") / "templates" / name).read_text(encoding="utf-8")


@cache
def _environment() -> Environment:
    return Environment(
        loader=FunctionLoader(template_text),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )


def page(name: str, **fields: Any) -> str:
    """A template of this package filled with fields; every text is escaped, an unknown field is a fault."""
    return _environment().get_template(name).render(**fields)
