"""The formula shelf on the page."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pulsewright.errors import Finding
from pulsewright.workbench import formulas as shelf

#: Fields of a page that shows no formula.
NO_CARD: Mapping[str, Any] = {"card": None, "card_findings": [], "given": {}, "result": None}


def cards() -> list[dict[str, Any]]:
    """Every formula, with the text in which a search looks."""
    return [
        {
            "name": card.name,
            "title": card.title,
            "equation": card.equation,
            "search": f"{card.name} {card.title} {card.equation}".replace("_", " ").casefold(),
        }
        for card in shelf.list_formulas()
    ]


def card_page(name: str, given: Mapping[str, str]) -> dict[str, Any]:
    """One formula, with its result or its findings when arguments are given."""
    card = shelf.find_formula(name)
    if isinstance(card, Finding):
        return {"card": None, "card_findings": [card], "given": {}, "result": None}
    filled = {key: text for key, text in given.items() if text.strip()}
    result = shelf.evaluate(card.name, filled) if filled else None
    findings = list(result.findings) if result is not None else []
    return {"card": card, "card_findings": findings, "given": given, "result": result}
