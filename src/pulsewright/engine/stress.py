"""What one discharge does to bank, switch and lamps: the figures behind their margins."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from pulsewright.engine.coefficients import life_exponent
from pulsewright.engine.electric import DischargeStage, LightStage
from pulsewright.engine.inputs import Inputs
from pulsewright.engine.trigger import TriggerStage
from pulsewright.machine.parts import Lamp, Machine
from pulsewright.physics.pulsed_power.capacitor_life import CapacitorLifeRange, capacitor_life_range
from pulsewright.physics.pulsed_power.explosion import (
    FORMS,
    LONGEST_PULSE,
    SHORTEST_PULSE,
    explosion_energy,
    explosion_energy_range,
)
from pulsewright.physics.pulsed_power.lamp_life import LOWEST_FRACTION, ShotRange, lamp_life_range

Float = NDArray[np.float64]

#: Range of the published explosion energies over their lowest, where only one of them can be applied (38 % at alpha =
#: 0.8, each with its own definition of pulse length).
ONE_FORM_SPREAD = 0.38
#: Definitions of pulse length in the order of the published forms, in words of `pulse_length.DEFINITIONS`.
THIRD, THREE, SCALE = "third maximum", "three time scales", "time scale"
#: A half cycle counts as ringing when its peak passes this part of the first.
RINGING = 0.1


@dataclass(frozen=True, slots=True)
class Explosion:
    """Explosion energies of one lamp: definition of pulse length -> energy [J], for the forms that can be applied.

    `widths`: the pulse length by each of those definitions [s]. `extrapolated`: the pulse is outside the range of the
    law.
    """

    energies: dict[str, float]
    widths: dict[str, float]
    extrapolated: bool

    @property
    def lowest(self) -> float:
        """The one to judge by, in J."""
        return min(self.energies.values())

    @property
    def highest(self) -> float:
        """Highest of those that can be applied, in J."""
        return max(self.energies.values())

    @property
    def spread(self) -> float:
        """Relative width of the range of published energies above the lowest."""
        return self.highest / self.lowest - 1 if len(self.energies) > 1 else ONE_FORM_SPREAD


@dataclass(frozen=True, slots=True)
class LampLoad:
    """What one lamp takes in one shot.

    `energy` of its column [J]; `wall_loading` [J/m^2]: heat conducted to the wall, light that the glass takes up, and
    what the plasma still holds in the end; `peak_current` [A]; `charge` [C]; `explosion` None where the published laws
    do not apply.
    """

    name: str
    energy: float
    wall_loading: float
    peak_current: float
    charge: float
    explosion: Explosion | None

    def life(self, exponent: float) -> ShotRange | None:
        """Expected shots by the lowest and the highest published explosion energy; None without a law or energy."""
        if self.explosion is None or not self.energy > 0:
            return None
        highest = self.explosion.lowest * (1 + self.explosion.spread)
        return _life(self.energy, self.explosion.lowest, highest, exponent)

    @property
    def capped(self) -> bool:
        """Whether the life by the lowest explosion energy is cut off where the law stops being believed."""
        return self.explosion is not None and self.energy < LOWEST_FRACTION * self.explosion.lowest


@dataclass(frozen=True, slots=True)
class BankLoad:
    """What the bank takes in one shot.

    `voltage_reversal` over the charge voltage, `current_reversal` over the first peak.
    """

    peak_current: float
    voltage_reversal: float
    current_reversal: float
    charge: float
    action_integral: float


@dataclass(frozen=True, slots=True)
class SwitchLoad:
    """What a switch takes in one shot; `steepest_rise` of the current at any instant, the first one included [A/s]."""

    peak_current: float
    charge: float
    action_integral: float
    steepest_rise: float


def bank_load(inputs: Inputs, discharge: DischargeStage) -> BankLoad:
    """Peak, reversal, charge and action of the bank in one shot; reversal of whichever capacitor reverses most."""
    record = discharge.record
    return BankLoad(
        peak_current=discharge.peak_current,
        voltage_reversal=float(max(0.0, -record.capacitor_voltage.min()) / inputs.charge_voltage),
        current_reversal=record.reversal,
        charge=record.charge,
        action_integral=record.action,
    )


def switch_load(discharge: DischargeStage) -> SwitchLoad:
    """What the switch takes in one shot; where each lamp has a loop and a switch of its own, the worst of them."""
    record = discharge.record
    size, step = np.abs(record.branch_current), np.diff(record.time)
    middle = 0.5 * (size[1:] + size[:-1])
    squares = 0.5 * (size[1:] ** 2 + size[:-1] ** 2)
    return SwitchLoad(
        peak_current=min(float(size.max()), discharge.peak_current) if size.shape[1] > 1 else discharge.peak_current,
        charge=float((step @ middle).max()),
        action_integral=float((step @ squares).max()),
        steepest_rise=max(record.steepest_rise),
    )


def bank_life(inputs: Inputs, voltage_reversal: float) -> CapacitorLifeRange | None:
    """Expected shots of the capacitors; None where a rating it needs is not known."""
    bank = inputs.machine.bank
    if bank.life_rating is None or bank.voltage_rating is None or bank.reversal_rating is None:
        return None
    return capacitor_life_range(
        bank.life_rating,
        inputs.charge_voltage,
        bank.voltage_rating,
        min(voltage_reversal, 1.0),
        bank.reversal_rating,
        life_exponent(inputs.reference, "voltage"),
        life_exponent(inputs.reference, "reversal"),
    )


def lamp_loads(
    inputs: Inputs, trigger: TriggerStage, discharge: DischargeStage, light: LightStage
) -> tuple[LampLoad, ...]:
    """Loads of every lamp, in the order of the groups of the discharge."""
    machine, record = inputs.machine, discharge.record
    size, step = np.abs(record.group_current), np.diff(record.time)
    charges = step @ (0.5 * (size[1:] + size[:-1]))
    # light that the glass takes up, and what the plasma still holds in the end, are shared as the energy is
    left = light.envelope_energy + max(record.plasma_energy, 0.0)
    given = sum(discharge.group_energy)
    found: list[LampLoad] = []
    for group, members in enumerate(discharge.members):
        width = width_at(record.time, size[:, group], 1 / 3)
        share = discharge.group_energy[group] / given if given > 0 else 1 / len(discharge.members)
        taken = (record.wall_energy[group] + left * share) / len(members)
        found.extend(
            LampLoad(
                name=name,
                energy=discharge.group_energy[group] / len(members),
                wall_loading=taken / wall_area(machine.lamps[name]),
                peak_current=float(size[:, group].max()),
                charge=float(charges[group]),
                explosion=explosion(machine, name, width, trigger.inductance),
            )
            for name in members
        )
    return tuple(found)


def wall_area(lamp: Lamp) -> float:
    """Area of the wall that the discharge of one lamp meets, in m^2."""
    return float(np.pi * (lamp.bore + (lamp.inner_diameter or 0.0)) * lamp.arc_length)


def width_at(time: Float, current: Float, part: float) -> float:
    """Time from the first to the last instant at which the current is a part of its peak, either way, in s."""
    size = np.abs(current)
    level = part * float(size.max())
    above = np.flatnonzero(size >= level)
    if not level > 0:
        return float(time[1])
    first, last = int(above[0]), int(above[-1])
    start, end = float(time[first]), float(time[last])
    if first > 0:
        start = float(np.interp(level, size[first - 1 : first + 1], time[first - 1 : first + 1]))
    if last + 1 < len(size):
        end = float(np.interp(-level, -size[last : last + 2], time[last : last + 2]))
    return max(end - start, float(time[1]))


def time_scale_of(machine: Machine, name: str, added: float = 0.0) -> float | None:
    """sqrt(L C) of the mesh of one lamp in s, with the inductance that the trigger adds; None where it has no meaning:
    networks and loops on a shared bank.
    """
    if machine.loop.network != "single mesh":
        return None
    inductance, capacitance = machine.loop.inductance, machine.bank.capacitance
    if machine.loop.lamps_connected == "separate loops":
        branch = machine.branches.get(name)
        if branch is None or branch.capacitance is None:
            return None
        inductance, capacitance = branch.inductance, branch.capacitance
    return float(((inductance + added) * capacitance) ** 0.5)


def explosion(machine: Machine, name: str, width_third: float, added: float = 0.0) -> Explosion | None:
    """Published explosion energies of one lamp, each with the pulse length that belongs to it; None when coaxial."""
    lamp = machine.lamps[name]
    if lamp.shape == "coaxial":
        return None
    return _explosion(lamp.bore, lamp.arc_length, width_third, time_scale_of(machine, name, added))


#: Alike lamps of one shot ask the same.
_life = lru_cache(maxsize=256)(lamp_life_range)


@lru_cache(maxsize=256)
def _explosion(bore: float, arc_length: float, width_third: float, scale: float | None) -> Explosion:
    """Alike lamps share it."""
    outside = not SHORTEST_PULSE <= width_third <= LONGEST_PULSE
    if scale is None:
        energy = float(explosion_energy(bore, arc_length, width_third, FORMS[0].constant))
        return Explosion({THIRD: energy}, {THIRD: width_third}, outside)
    found = explosion_energy_range(bore, arc_length, scale, width_third)
    energies = (found.by_third_maximum, found.by_three_time_scales, found.by_time_scale)
    names = (THIRD, THREE, SCALE)
    return Explosion(
        dict(zip(names, (float(energy) for energy in energies), strict=True)),
        dict(zip(names, (width_third, 3 * scale, scale), strict=True)),
        outside,
    )


def half_cycles(current: Float) -> int:
    """Half cycles of the current whose peak passes a tenth of the first: 1 where it does not ring."""
    strong = current[np.abs(current) > RINGING * float(np.max(np.abs(current), initial=0.0))]
    return 1 + int(np.count_nonzero(np.diff(np.sign(strong)))) if len(strong) else 0
