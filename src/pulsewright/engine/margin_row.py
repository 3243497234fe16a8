"""One stress against one limit, before its probability is known."""

from __future__ import annotations

from dataclasses import dataclass

from pulsewright.engine.inputs import Inputs
from pulsewright.quantities import QUANTITIES


@dataclass(frozen=True, slots=True)
class Stress:
    """One stress with its limit, both in the unit of `quantity`, a key of the nomenclature.

    `limit` None when it is not known; then `reason` says why and `next_step` what to do. `limit_spread` is the relative
    half-width of the limit, 90 %; `limit_entry` the entry of the build file that the limit goes with, if one does.
    """

    item: str
    words: str
    value: float
    quantity: str
    limit: float | None
    limit_spread: float
    source: str
    lower_by: str
    extrapolated: bool = False
    next_step: str = ""
    reason: str = "no limit is known"
    limit_entry: str = ""

    @property
    def key(self) -> str:
        """Item and stress: one row."""
        return f"{self.item}: {self.words}"

    @property
    def unit(self) -> str:
        """SI unit of stress and limit."""
        return QUANTITIES[self.quantity].unit


def rating(
    inputs: Inputs, item: str, words: str, value: float, quantity: str, entry: str, lower_by: str, source: str = ""
) -> Stress:
    """A stress against a rating in the build file, `entry`; the rating is in the unit of the stress.

    `source` is added to where the rating comes from.
    """
    section, _, key = entry.rpartition(".")
    part = getattr(inputs.machine, section.partition(".")[0])
    if "." in section:
        part = part[section.partition(".")[2]]
    limit: float | None = getattr(part, key)
    found = inputs.build.entries.get(entry)
    basis, spread = "", 0.0
    if found is not None and limit:
        basis = f"{found.basis}: {found.source}".rstrip(": ")
        spread = (found.spread or 0.0) / limit
    words_of_source = f"{entry} ({basis})" + (f"; {source}" if source else "")
    step = f"Enter {key} of each lamp" if item.startswith("lamps.") else f"Enter {entry}"
    return Stress(
        item, words, value, quantity, limit, spread, words_of_source, lower_by, next_step=step, limit_entry=entry
    )
