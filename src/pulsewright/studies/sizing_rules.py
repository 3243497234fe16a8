"""The closed forms behind sizing: every combination of lamps and banks at once, by the square-root law."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pulsewright.physics.lamp.square_law import (
    impedance_parameter,
    parallel_impedance_parameter,
    series_impedance_parameter,
)
from pulsewright.physics.pulsed_power.explosion import explosion_energy_range
from pulsewright.physics.pulsed_power.normalised import NormalisedDischarge, normalised_discharge
from pulsewright.studies.stock import BankParts
from pulsewright.studies.wish import Wish, definition_of

Float = NDArray[np.float64]

#: Damping parameters at which the normalised discharge is tabulated for the first look at all combinations.
DAMPINGS = np.geomspace(0.2, 3.0, 33)
#: Lamp resistance on the flat over the impedance of a network: outside, more than a quarter is reflected.
MATCH = (0.6, 1.6)
#: Smallest reversal a part is rated for, where its sheet says none. [-]
LEAST_REVERSAL = 0.01

#: alpha that is called critically damped in practice: the current hardly reverses.
CRITICAL = 0.8
#: Stresses below this part of their limit count as this: nobody buys parts to go lower. Our own choice.
COMFORT = 0.5

#: What is judged, in the order in which it is told; the last four are the stress that the score counts.
LIMITS = (
    "damping",
    "charge_voltage",
    "inductance",
    "voltage_rating",
    "explosion_fraction",
    "peak_current",
    "voltage_reversal",
)
STRESSES = LIMITS[-4:]


@dataclass(frozen=True, slots=True)
class LampChoice:
    """Like lamps, `count` of them; `impedance_parameter` of one and `total_impedance` of all together."""

    gas: str
    bore: float
    arc_length: float
    fill_pressure: float
    count: int
    connected: str
    impedance_parameter: float
    total_impedance: float

    @property
    def area(self) -> float:
        """Cross-section that the bank's current passes: of one lamp in series, of all side by side."""
        one = np.pi * self.bore**2 / 4
        return float(one * self.count if self.connected == "parallel" else one)


@dataclass(frozen=True, slots=True, eq=False)
class Screen:
    """Every combination: arrays (lamps, banks). `ratios` by limit, above 1 where a wish is missed."""

    lamps: tuple[LampChoice, ...]
    banks: tuple[BankParts, ...]
    charge_voltage: Float
    inductance: Float
    values: Mapping[str, Float]
    ratios: Mapping[str, Float]
    network: bool

    @property
    def stress(self) -> Float:
        """Largest stress over its limit."""
        return np.asarray(np.max([self.ratios[key] for key in STRESSES], axis=0))

    @property
    def parts(self) -> NDArray[np.int64]:
        """Capacitors of each bank, for every lamp."""
        return np.broadcast_to(np.array([bank.parts for bank in self.banks]), self.charge_voltage.shape)


def lamp_choices(wish: Wish) -> tuple[LampChoice, ...]:
    """Every combination of the lamps named."""
    found: dict[tuple[Any, ...], LampChoice] = {}
    for bore, length, fill, count, connected in itertools.product(
        wish.bores, wish.arc_lengths, wish.fill_pressures, wish.counts, wish.connected
    ):
        one = wish.impedance_parameter
        if one is None:
            one = float(impedance_parameter(length, bore, fill, wish.gas))
        joined = parallel_impedance_parameter if connected == "parallel" else series_impedance_parameter
        way = connected if count > 1 else "series"
        choice = LampChoice(wish.gas, bore, length, fill, count, way, one, float(joined(one, count)))
        found.setdefault((bore, length, fill, count, way), choice)
    return tuple(found.values())


@cache
def _shapes() -> tuple[NormalisedDischarge, ...]:
    return tuple(normalised_discharge(float(alpha)) for alpha in DAMPINGS)


def _column(name: str) -> Float:
    return np.array([getattr(shape, name) for shape in _shapes()])


def length_factor(definition: str) -> Float:
    """Pulse length over sqrt(L C) at the tabulated dampings."""
    fixed = {"time scale": 1.0, "three time scales": 3.0}
    if definition in fixed:
        return np.full(len(DAMPINGS), fixed[definition])
    return _column(f"normalised_width_{definition.split(maxsplit=1)[0]}")


def screen_single_mesh(wish: Wish, lamps: Sequence[LampChoice], banks: Sequence[BankParts]) -> Screen:
    """Voltage, inductance and damping that each bank needs with each lamp, and how far each wish is missed.

    alpha^2 / (f sqrt(share)) = K0^2 C^1.5 / (sqrt(2 E) t), with f = t / sqrt(L C) and share the part of the stored
    energy that the lamps get: algebra from the definitions of Markiewicz and Emmett (1966).
    """
    k0 = np.array([lamp.total_impedance for lamp in lamps])[:, None]
    capacitance = np.array([bank.capacitance for bank in banks])[None, :]
    factor, share = length_factor(definition_of(wish.definition)), _column("lamp_energy_share")
    form = np.maximum.accumulate(DAMPINGS**2 / (factor * np.sqrt(share)))
    wanted = k0**2 * capacitance**1.5 / (np.sqrt(2 * wish.energy) * wish.pulse_length)
    alpha = np.exp(np.interp(np.log(wanted), np.log(form), np.log(DAMPINGS)))
    alpha = np.where(wanted > form[-1], DAMPINGS[-1] * np.sqrt(wanted / form[-1]), alpha)
    alpha = np.where(wanted < form[0], DAMPINGS[0] * np.sqrt(wanted / form[0]), alpha)

    def at(values: Float) -> Float:
        return np.asarray(np.interp(alpha, DAMPINGS, values))

    scale = wish.pulse_length / at(factor)
    volts = np.sqrt(2 * wish.energy / at(share) / capacitance)
    inductance = scale**2 / capacitance
    values = {
        "damping": alpha,
        "peak_current": volts / np.sqrt(inductance / capacitance) * at(_column("normalised_peak")),
        "voltage_reversal": at(_column("voltage_reversal")),
        "explosion_fraction": _explosion(wish, lamps, scale, scale * at(_column("normalised_width_third"))),
    }
    ratios = {"damping": np.maximum(alpha / wish.damping[1], wish.damping[0] / alpha)}
    ratios.update(common_ratios(wish, banks, volts, inductance, values))
    return Screen(tuple(lamps), tuple(banks), volts, inductance, values, ratios, network=False)


def screen_network(wish: Wish, lamps: Sequence[LampChoice], banks: Sequence[BankParts]) -> Screen:
    """The same for a network of equal sections, each with one of these banks as its capacitor."""
    count = int(wish.sections or 1)
    k0 = np.array([lamp.total_impedance for lamp in lamps])[:, None]
    each = np.array([bank.capacitance for bank in banks])[None, :] + 0 * k0
    volts = np.sqrt(2 * wish.energy / (count * each))
    inductance = (wish.pulse_length / (2 * count)) ** 2 / each
    impedance = np.sqrt(inductance / each)
    current = ((np.sqrt(k0**2 + 4 * impedance * volts) - k0) / (2 * impedance)) ** 2
    match = k0 / np.sqrt(current) / impedance
    length = np.full_like(volts, wish.pulse_length)
    values = {
        "damping": match,
        "peak_current": current,
        "voltage_reversal": np.maximum((1 - match) / (1 + match), 0.0),
        "explosion_fraction": _explosion(wish, lamps, length / 3, length),
    }
    ratios = {"damping": np.maximum(match / MATCH[1], MATCH[0] / match)}
    ratios.update(common_ratios(wish, banks, volts, inductance, values))
    return Screen(tuple(lamps), tuple(banks), volts, inductance, values, ratios, network=True)


def _explosion(wish: Wish, lamps: Sequence[LampChoice], scale: Float, third: Float) -> Float:
    bore = np.array([lamp.bore for lamp in lamps])[:, None] + 0 * scale
    length = np.array([lamp.arc_length for lamp in lamps])[:, None] + 0 * scale
    each = wish.energy / np.array([lamp.count for lamp in lamps])[:, None]
    return np.asarray(each / np.asarray(explosion_energy_range(bore, length, scale, third).lowest))


def common_ratios(
    wish: Wish, banks: Sequence[BankParts], volts: Float, inductance: Float, values: Mapping[str, Float]
) -> dict[str, Float]:
    """How far voltage, inductance, lamps and capacitors are from what is allowed: 1 is the limit."""
    rating = np.array([bank.voltage_rating for bank in banks])
    least = wish.least_inductance + np.array([bank.inductance for bank in banks])
    current = np.array([bank.peak_current_rating or np.inf for bank in banks])
    reversal = np.array([_reversal_limit(bank) for bank in banks])
    return {
        "charge_voltage": np.maximum(volts / wish.charge_voltages[1], wish.charge_voltages[0] / volts),
        "inductance": least / inductance,
        "voltage_rating": volts / (wish.rating_part * rating),
        "explosion_fraction": values["explosion_fraction"] / wish.explosion_fraction,
        "peak_current": values["peak_current"] / current,
        "voltage_reversal": values["voltage_reversal"] / reversal,
    }


def _reversal_limit(bank: BankParts) -> float:
    return np.inf if bank.reversal_rating is None else max(bank.reversal_rating, LEAST_REVERSAL)


def comfort(stress: Float) -> Float:
    """Stress as the score counts it: below `COMFORT` nothing is gained by more parts."""
    return np.maximum(stress, COMFORT)


def ranked(screen: Screen) -> NDArray[np.int64]:
    """Combinations by score, best first, as flat indices.

    Inside every limit first; then those that are not over-rated for nothing; then those that no other beats in both
    number of parts and largest stress; then fewest parts, lowest stress, the damping nearest its target, the lowest
    voltage. Outside the limits: least sum of what is missed, as logarithms.
    """
    ratios = np.array([screen.ratios[key].ravel() for key in LIMITS])
    excess = np.sum(np.log(np.maximum(ratios, 1.0)), axis=0)
    spare = over_rated(screen).ravel()
    parts, stress = screen.parts.ravel(), comfort(screen.stress.ravel())
    beaten = dominated(parts, stress, (excess <= 0.0) & ~spare)
    aside = np.round(off_target(screen.values["damping"].ravel(), screen.network), 1)
    return np.lexsort((screen.charge_voltage.ravel(), aside, stress.round(3), parts, beaten, spare, excess))


def off_target(damping: Float, network: bool) -> Float:
    """How far alpha is from critical damping in practice, or a network's match from 1, as a logarithm."""
    return np.asarray(np.abs(np.log(damping / (1.0 if network else CRITICAL))))


def over_rated(screen: Screen) -> NDArray[np.bool_]:
    """Whether standard capacitors that differ in nothing but a lower rating would do as well."""
    found = np.zeros(screen.charge_voltage.shape, dtype=bool)
    alike: dict[tuple[Any, ...], list[int]] = {}
    for column, bank in enumerate(screen.banks):
        if len(bank.groups) == 1 and not bank.groups[0].capacitor.line:
            group = bank.groups[0]
            key = (group.capacitor.capacitance, group.in_series, group.in_parallel)
            alike.setdefault(key, []).append(column)
    for columns in alike.values():
        order = sorted(columns, key=lambda column: screen.banks[column].voltage_rating)
        enough = screen.ratios["voltage_rating"][:, order] <= 1.0
        found[:, order[1:]] = np.cumsum(enough, axis=1)[:, :-1] > 0
    return found


def dominated(parts: NDArray[np.int64], stress: Float, among: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Whether another has no more parts and less stress, or fewer parts and no more stress."""
    beaten = np.zeros(len(parts), dtype=bool)
    best = np.inf
    for number in np.unique(parts[among]):
        here = among & (parts == number)
        least = float(stress[here].min())
        beaten |= here & ((stress > least) | (least >= best))
        best = min(best, least)
    return beaten
