"""What a filter against ultraviolet costs in pump light and output, and what is known of the life it gives."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from pulsewright import machine as machines
from pulsewright.engine.chain import Chain, Stages
from pulsewright.studies.fill_wear import ULTRAVIOLET, absorbed_light

FILTER = "ultraviolet absorbing glass"
COUMARIN = "coumarin"
#: Words on the life gained, by what is published.
LONGER = (
    "longer, by how much is not told: borosilicate filters that cut at or below 300 nm, with argon over the dye, "
    "lengthened the life of coumarin 1, 102 and kin (US 4,479,223)"
)
NOT_KNOWN = "not known: nothing published is at hand on filters for this dye"


@dataclass(frozen=True, slots=True)
class FilterPrice:
    """The same shot without and with a filter; each pair is (without, with) [J]."""

    name: str
    present: bool
    absorbed_pump_energy: tuple[float, float]
    ultraviolet_energy: tuple[float, float]
    output_energy: tuple[float, float]
    life: str

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        return {key: getattr(self, key) for key in self.__dataclass_fields__}


def filter_price(build: machines.Build, stages: Stages, chain: Chain) -> FilterPrice | None:
    """The price of the filter at this charge voltage; None where another filter stands in its place."""
    chamber = build.machine.chamber
    if chamber.filter_file is not None or chamber.filter not in ("none", FILTER):
        return None
    present = chamber.filter == FILTER
    changed = build.override({"chamber.filter": "none" if present else FILTER})
    inputs = stages.inputs
    other = chain.run(replace(inputs, build=changed, traced_for=inputs.traced_for or inputs.machine))
    without, filtered = (other, stages) if present else (stages, other)
    pairs = (without, filtered)
    known = build.machine.dye.name.startswith(COUMARIN)
    return FilterPrice(
        name=FILTER,
        present=present,
        absorbed_pump_energy=_pair(*(float(one.pump.energy.sum()) for one in pairs)),
        ultraviolet_energy=_pair(*(_ultraviolet(one) for one in pairs)),
        output_energy=_pair(*(one.gain.output_energy for one in pairs)),
        life=LONGER if known else NOT_KNOWN,
    )


def _pair(first: float, second: float) -> tuple[float, float]:
    return first, second


def _ultraviolet(stages: Stages) -> float:
    return float(absorbed_light(stages)[stages.light.wavelength < ULTRAVIOLET].sum())
