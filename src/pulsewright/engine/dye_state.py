"""In what state the dye is: bleached by earlier shots, paired in water, kept apart by surfactant or alcohol."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pulsewright import refdata
from pulsewright.engine.liquid import water_fraction
from pulsewright.errors import Finding
from pulsewright.machine.parts import Machine
from pulsewright.physics.dye.aggregation import alone_in_micelle, free_monomers, micelles, mixed_dimer_constant
from pulsewright.refdata.rows import Datum, Dye

#: Shares of paired molecules from which it is told, and warned of.
TOLD_SHARE, WARNED_SHARE = 0.02, 0.10
#: Part of the volume that must be water before pairing is looked at.
LEAST_WATER = 0.01


@dataclass(frozen=True, slots=True)
class DyeState:
    """Amounts in mol/m^3. `dimers` counts pairs; `bleached` counts what earlier shots destroyed."""

    monomers: float
    dimers: float
    bleached: float
    choice: str

    @property
    def paired_share(self) -> float:
        """Molecules in pairs, of those left."""
        whole = self.monomers + 2 * self.dimers
        return 2 * self.dimers / whole if whole > 0 else 0.0


def dimer_constant(machine: Machine, row: Dye) -> Datum | None:
    """Constant of pairing in plain water, where the solution holds water and it is known."""
    return row.dimer_constant if water_fraction(machine) >= LEAST_WATER else None


def dye_state(machine: Machine, constant: float | None) -> DyeState:
    """Amounts of single, paired and bleached molecules; `constant` of pairing in plain water [m^3/mol], or None."""
    dye = machine.dye
    left = dye.concentration * (1.0 - dye.bleached_fraction)
    bleached = dye.concentration - left
    if constant is None:
        return DyeState(left, 0.0, bleached, "single molecules")
    single, choice = _single(machine, left, constant)
    return DyeState(single, (left - single) / 2.0, bleached, choice)


def _single(machine: Machine, left: float, constant: float) -> tuple[float, str]:
    """Single molecules [mol/m^3] and what decides over them."""
    number = _micelles(machine)
    if number > 0.0:
        return left * float(alone_in_micelle(left, number)), "one to a micelle, Poisson"
    water = water_fraction(machine)
    other = float(refdata.rule("dimer constant in alcohol").value)
    mixed = float(mixed_dimer_constant(constant, water, other))
    return float(free_monomers(left, mixed)), "balance of single molecules and pairs"


def _micelles(machine: Machine, end: str = "value") -> float:
    """Micelles [mol/m^3]; `end` "low" or "high": at that end of critical concentration and size."""
    row = refdata.surfactant(machine.dye.surfactant)
    if row.micelle_concentration is None or row.micelle_size is None:
        return 0.0
    critical, size = (getattr(datum, end) or datum.value for datum in (row.micelle_concentration, row.micelle_size))
    return float(micelles(machine.dye.surfactant_concentration, critical, size))


def state_findings(machine: Machine, row: Dye, state: DyeState) -> Iterator[Finding]:
    """What a careful person would want to know of dye in water."""
    dye = machine.dye
    if water_fraction(machine) < LEAST_WATER:
        if dye.surfactant != "none" and dye.surfactant_concentration > 0:
            yield Finding(
                "note",
                "dye.surfactant",
                f"{dye.surfactant} in {dye.solvent} without water: it makes no micelles there and is not counted",
                "A surfactant is for water",
                'Set dye.surfactant = "none"',
            )
        return
    yield from _below_critical(machine)
    if row.dimer_constant is None:
        yield Finding(
            "note",
            "dye.solvent",
            f"whether {row.name} pairs or clumps in water is not known; it counts as single molecules",
            "Many dyes clump in water above about 1e-5 mol/L",
            "Compare the absorption spectrum of the fill with that of a dilute one, or use an alcohol",
        )
    elif state.paired_share > TOLD_SHARE:
        yield _crowded(machine, row, state) if _micelles(machine) > 0 else _paired(machine, row, state)


def _below_critical(machine: Machine) -> Iterator[Finding]:
    dye, row = machine.dye, refdata.surfactant(machine.dye.surfactant)
    critical = row.micelle_concentration
    if critical is not None and dye.surfactant_concentration <= float(critical):
        yield Finding(
            "warning",
            "dye.surfactant_concentration",
            f"{dye.surfactant_concentration * 1e-3:.3g} mol/L of {row.name} is not above its critical micelle "
            "concentration: it keeps nothing apart, and just below it dyes of opposite charge clump",
            f"Above {float(critical) * 1e-3:.2g} mol/L ({_range(critical, 1e-3)})",
            "Use several times that",
        )


def _range(datum: Datum, scale: float) -> str:
    low = datum.value if datum.low is None else datum.low
    high = datum.value if datum.high is None else datum.high
    return f"{low * scale:.2g} to {high * scale:.2g}"


def _crowded(machine: Machine, row: Dye, state: DyeState) -> Finding:
    """More dye than micelles can keep apart."""
    left = state.monomers + 2 * state.dimers
    numbers = [max(_micelles(machine, end), 1e-9) for end in ("low", "high")]
    ends = [100 * (1 - float(alone_in_micelle(left, number))) for number in numbers]
    return Finding(
        "warning" if state.paired_share > WARNED_SHARE else "note",
        "dye.surfactant_concentration",
        f"{100 * state.paired_share:.0f} % of the {row.name} shares a micelle with another ({min(ends):.0f} to "
        f"{max(ends):.0f} % for the known range of micelles) and counts as paired",
        "One micelle to a molecule, and more",
        f"Add {machine.dye.surfactant}, or lower the concentration of the dye",
    )


def _paired(machine: Machine, row: Dye, state: DyeState) -> Finding:
    known = row.dimer_constant
    assert known is not None
    ends = [100 * dye_state(machine, end).paired_share for end in (known.low or known.value, known.high or known.value)]
    glow = "" if row.dimer_yield is None else f" (fluorescence yield about {float(row.dimer_yield):.1g}, not counted)"
    return Finding(
        "warning" if state.paired_share > WARNED_SHARE else "note",
        "dye.concentration",
        f"{100 * state.paired_share:.0f} % of the {row.name} is paired in this watery solution ({min(ends):.0f} to "
        f"{max(ends):.0f} % for the known range of the constant); pairs take pump and laser light and give next to "
        f"none{glow}; light passed on from single molecules to pairs is not modelled, a few per cent at 1e-4 mol/L",
        "Up to about 1e-5 mol/L in plain water",
        "Add surfactant well above its critical micelle concentration, or alcohol",
    )
