"""Arguments that are one of a few words."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

from pulsewright.errors import DomainError


def one_of(argument: str, value: str, choices: Iterable[str]) -> str:
    """The value itself, refused with the nearest word unless it is one of the choices."""
    words = list(choices)
    if value in words:
        return value
    near = difflib.get_close_matches(str(value), words, n=1, cutoff=0.4)
    raise DomainError(
        f"{argument} is {value!r}",
        argument=argument,
        allowed="Allowed: " + ", ".join(f"{word!r}" for word in words),
        next_step=f"Perhaps {near[0]!r} was meant" if near else "Choose one of these",
    )
