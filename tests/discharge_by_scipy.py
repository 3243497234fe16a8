"""The equations of the discharge once more, written plainly with NumPy and integrated by SciPy at tight tolerance.

Shares with the package only the tables and the records that describe a circuit. Names follow PHYSICS of the discharge:
capacitor voltages v, coil currents j, branch currents i, columns (u, s, layer, vapour, taken), energies per sink.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from pulsewright.physics.lamp.discharge import Branch, LampGroup, Network, Switch

Float = NDArray[np.float64]

SINKS = ("lamp column", "wall", "loop resistance", "switch", "electrodes", "light", "crowbar", "sections", "vapour")


def cubic(values: Float, x: float, axis: tuple[float, float]) -> Float:
    """Catmull-Rom along the first axis of a table, held at its ends."""
    count = len(values)
    if count == 1:
        return values[0]
    place = min(max((x - axis[0]) / axis[1], 0.0), count - 1.0)
    cell = min(int(place), count - 2)
    u = place - cell
    near = [values[min(max(cell + k, 0), count - 1)] for k in (-1, 0, 1, 2)]
    p = -0.5 * near[0] + 1.5 * near[1] - 1.5 * near[2] + 0.5 * near[3]
    q = near[0] - 2.5 * near[1] + 2.0 * near[2] - 0.5 * near[3]
    return ((p * u + q) * u + 0.5 * (near[2] - near[0])) * u + near[1]


def spark_growth(density: float) -> float:
    """Braginskii's law for the square of the radius: 0.93 mm at 1 kA, 1 us, 1.29 kg/m^3; in m^2/s for one ampere."""
    return 0.93e-3**2 / 1e-6 * (density / 1.29) ** (-1 / 3) / 1000.0 ** (2 / 3)


@dataclass
class Second:
    """One circuit; `solve` integrates it to an instant."""

    network: Network
    branches: list[Branch]
    lamps: list[LampGroup]
    voltage: float
    switch: Switch = field(default_factory=Switch)
    law: str = "equilibrium plasma"
    exponent: float = 0.85
    channels: bool = True

    def __post_init__(self) -> None:
        own = [branch.capacitance for branch in self.branches if branch.capacitance is not None]
        self.capacitors = np.array([*self.network.capacitance, *own])
        self.ladder = len(self.network.capacitance)
        self.vapours = any(lamp.vapour is not None for lamp in self.lamps)
        numbers = iter(range(self.ladder, len(self.capacitors)))
        self.supply = [self.ladder - 1 if b.capacitance is None else next(numbers) for b in self.branches]
        c, j, b, g = len(self.capacitors), max(self.ladder - 1, 0), len(self.branches), len(self.lamps)
        cuts = np.cumsum([c, j, b, b, 5 * g, len(SINKS), g])
        self.cut = [slice(int(a), int(z)) for a, z in zip([0, *cuts[:-1]], cuts, strict=True)]
        self.size = int(cuts[-1])
        self.filled = [math.nan] * g

    def full_square(self, lamp: LampGroup) -> float:
        return (lamp.bore**2 - lamp.inner_diameter**2) / 4

    def perimeter(self, lamp: LampGroup, square: float) -> float:
        """A circle; in an annulus, once as wide as the gap, a band whose perimeter grows in step with its area."""
        round_ = 2 * math.pi * math.sqrt(square)
        gap = (lamp.bore - lamp.inner_diameter) / 2
        if lamp.inner_diameter <= 0 or square <= gap**2 / 4:
            return round_
        part = (square - gap**2 / 4) / (self.full_square(lamp) - gap**2 / 4)
        walls = math.pi * (lamp.bore + lamp.inner_diameter)
        return math.pi * gap + part * (walls - math.pi * gap)

    def start(self) -> Float:
        y = np.zeros(self.size)
        y[self.cut[0]] = self.voltage
        if self.switch.channel is not None:
            y[self.cut[3]] = self.switch.channel.radius**2
        columns = y[self.cut[4]].reshape(-1, 5)
        for row, lamp in zip(columns, self.lamps, strict=True):
            whole = self.full_square(lamp)
            square = whole if self.law != "equilibrium plasma" else min(lamp.channel_radius**2, whole)
            table = lamp.tables
            row[1], row[2] = square, 2e-10
            row[0] = table.energy_at(lamp.channel_temperature) * table.number_density * math.pi * square
        y[self.cut[4]] = columns.ravel()
        return y

    def voltage_of(self, lamp: LampGroup, resistance: float, current: float) -> float:
        """Voltage of one column at a current of either sign."""
        if self.law == "equilibrium plasma":
            return resistance * current
        size, join = abs(current), lamp.joining_current
        if size <= join:
            return lamp.impedance * current / math.sqrt(size + 1)
        return math.copysign(lamp.impedance * join / math.sqrt(join + 1) * (size / join) ** self.exponent, current)

    def shares(self, members: list[int], current: float, resistance: Float) -> tuple[float, dict[int, float]]:
        """Common voltage and current of each lamp where they stand side by side."""
        fade = math.tanh(abs(current))

        def carried(g: int, volts: float) -> float:
            lamp = self.lamps[g]
            left = volts - lamp.electrode_drop * fade
            if left <= 0:
                return 0.0
            if self.law == "equilibrium plasma":
                return left / float(resistance[g])
            return float(brentq(lambda a: self.voltage_of(lamp, 0.0, a) - left, 0.0, 1e7, xtol=1e-10, rtol=1e-14))

        def excess(volts: float) -> float:
            return sum(self.lamps[g].count * carried(g, volts) for g in members) - abs(current)

        if current == 0:
            return 0.0, dict.fromkeys(members, 0.0)
        high = max(
            self.lamps[g].electrode_drop + abs(self.voltage_of(self.lamps[g], float(resistance[g]), abs(current)))
            for g in members
        )
        volts = float(brentq(excess, 0.0, 1.001 * high + 1e-9, xtol=1e-11, rtol=1e-14))
        return math.copysign(volts, current), {g: math.copysign(carried(g, volts), current) for g in members}

    def slopes(self, t: float, y: Float, closed: list[bool], full: list[bool], shorted: bool) -> Float:  # noqa: C901, PLR0912
        """Right-hand side."""
        v, j, i, gaps, flat, _, _ = (y[part] for part in self.cut)
        columns = flat.reshape(-1, 5)
        dy = np.zeros(self.size)
        dv, dj, di, dgap, dflat, dsink, dtaken = (dy[part] for part in self.cut)
        dcolumn = dflat.reshape(-1, 5)
        sink = dict.fromkeys(SINKS, 0.0)
        lit = [self.plasma(lamp, row, done) for lamp, row, done in zip(self.lamps, columns, full, strict=True)]
        resistance = np.array([found["resistance"] for found in lit])
        common, coils = self.network.inductance, []
        for b, branch in enumerate(self.branches):
            members = [g for g, lamp in enumerate(self.lamps) if lamp.branch == b]
            sign = math.tanh(i[b])
            if branch.parallel:
                volts, share = self.shares(members, float(i[b]), resistance)
                columns_volts = {
                    g: volts - math.copysign(self.lamps[g].electrode_drop * abs(sign), i[b]) for g in members
                }
                columns_volts = {g: columns_volts[g] if share[g] else 0.0 for g in members}
            else:
                share = dict.fromkeys(members, float(i[b]))
                columns_volts = {g: self.voltage_of(self.lamps[g], float(resistance[g]), float(i[b])) for g in members}
                volts = sum(
                    self.lamps[g].count * (columns_volts[g] + self.lamps[g].electrode_drop * sign) for g in members
                )
            own, rate = {}, {}
            for g in members:
                lamp, square = self.lamps[g], float(columns[g, 1])
                widening = 0.0
                if not full[g]:
                    widening = lamp.growth_factor**2 * spark_growth(lamp.tables.mass_density) * abs(share[g]) ** (2 / 3)
                dcolumn[g, 1] = widening
                # mu0 l / (2 pi) ln(a_bore / a)
                own[g] = 0.0 if full[g] else 2e-7 * lamp.length * math.log(math.sqrt(self.full_square(lamp) / square))
                rate[g] = -1e-7 * lamp.length * widening / square
            if not branch.parallel:
                coil = sum(self.lamps[g].count * own[g] for g in members)
                change = sum(self.lamps[g].count * rate[g] for g in members)
                field_share = share
            elif min(own.values()) > 0:
                coil = 1 / sum(self.lamps[g].count / own[g] for g in members)
                change = coil**2 * sum(self.lamps[g].count * rate[g] / own[g] ** 2 for g in members)
                field_share = {g: float(i[b]) * coil / own[g] for g in members}
            else:
                coil, change, field_share = 0.0, 0.0, share
            channel = self.switch.channel
            gap = channel.length / (channel.conductivity * math.pi * gaps[b]) if channel else 0.0
            if channel:
                dgap[b] = spark_growth(channel.density) * abs(i[b]) ** (2 / 3)
            losses = (
                (branch.resistance + self.switch.resistance + gap + change) * i[b] + self.switch.drop * sign + volts
            )
            coils.append((branch.inductance + coil, losses))
            sink["loop resistance"] += branch.resistance * i[b] ** 2
            sink["switch"] += (self.switch.resistance + gap) * i[b] ** 2 + self.switch.drop * sign * i[b]
            for g in members:
                lamp, found = self.lamps[g], lit[g]
                work = columns_volts[g] * share[g] + 0.5 * rate[g] * field_share[g] ** 2
                dcolumn[g, 0] = work / lamp.length - found["light"] - found["heat"]
                dcolumn[g, 2:] = found["thicken"], found["vapour"], found["soak"]
                sink["lamp column"] += lamp.count * work
                dtaken[g] = lamp.count * lamp.length * found["heat"]
                sink["wall"] += dtaken[g]
                sink["light"] += lamp.count * lamp.length * found["light"]
                if lamp.vapour is not None:
                    sink["vapour"] += lamp.count * lamp.length * found["vapour"] * lamp.vapour.formation_energy
                drop = volts - columns_volts[g] if branch.parallel else lamp.electrode_drop * sign
                sink["electrodes"] += lamp.count * drop * share[g]
        shared = [b for b in range(len(self.branches)) if closed[b] and self.supply[b] == self.ladder - 1 >= 0]
        total = sum(float(i[b]) for b in shared)
        # the common inductance couples the branches: a small linear system
        if shared:
            matrix = np.full((len(shared), len(shared)), common) + np.diag([coils[b][0] for b in shared])
            known = [v[self.ladder - 1] - self.network.resistance * total - coils[b][1] for b in shared]
            di[shared] = np.linalg.solve(matrix, known)
        for b in range(len(self.branches)):
            if closed[b]:
                if b not in shared:
                    di[b] = (v[self.supply[b]] - coils[b][1]) / coils[b][0]
                dv[self.supply[b]] -= i[b] / self.capacitors[self.supply[b]]
        sink["loop resistance"] += self.network.resistance * total**2
        for p in range(self.ladder - 1):
            dj[p] = (v[p] - v[p + 1] - self.network.section_resistance * j[p]) / self.network.section_inductance
            dv[p] -= j[p] / self.capacitors[p]
            dv[p + 1] += j[p] / self.capacitors[p + 1]
            sink["sections"] += self.network.section_resistance * j[p] ** 2
        crowbar = self.network.crowbar
        if crowbar is not None:
            last = float(v[self.ladder - 1])
            drawn = 0.0
            if crowbar.kind == "clamp diode" and last < -crowbar.drop:
                drawn = (last + crowbar.drop) / crowbar.resistance
            if crowbar.kind == "crowbar switch" and shorted and abs(last) > crowbar.drop:
                drawn = math.copysign(abs(last) - crowbar.drop, last) / crowbar.resistance
            dv[self.ladder - 1] -= drawn / self.capacitors[self.ladder - 1]
            sink["crowbar"] += drawn * last
        dsink[:] = [sink[name] for name in SINKS]
        return dy

    def plasma(self, lamp: LampGroup, row: Float, full: bool) -> dict[str, float]:
        """What one column needs and gives, per lamp and length."""
        energy, square, layer, vapour, taken = map(float, row)
        table, area = lamp.tables, math.pi * square
        cold = table.number_density * area
        heavy = cold + (max(vapour, 0.0) if self.vapours else 0.0)
        x, y = math.log(max(energy / heavy, 1e-60)), math.log(heavy / cold)
        around = self.perimeter(lamp, square)
        optical = 2 * area / around

        def scalar(values: Float) -> float:
            return float(cubic(cubic(values, y, table.log_density), x, table.log_energy))

        def surface(values: Float) -> float:
            return float(
                cubic(
                    cubic(cubic(values, y, table.log_density), x, table.log_energy), math.log(optical), table.log_radius
                )
            )

        below = min(x - table.log_energy[0], 0.0)
        found = {"resistance": math.exp(scalar(table.log_resistivity)) * lamp.length / area}
        found["light"] = around * math.exp(surface(table.log_exitance) + below)
        found.update(heat=0.0, thicken=0.0, vapour=0.0, soak=0.0)
        walls = math.pi * (lamp.bore + lamp.inner_diameter)
        if full:
            settled = max(lamp.layer_fraction * 4 * math.pi * self.full_square(lamp) / walls, math.sqrt(2e-10))
            flux = (
                lamp.wall_factor * math.exp(scalar(table.log_heat_potential) + below) / min(math.sqrt(layer), settled)
            )
            found["heat"] = around * flux
            found["thicken"] = math.pi * math.exp(scalar(table.log_diffusivity))
        if self.vapours:
            falling = (found["heat"] + around * math.exp(surface(table.log_wall_exitance) + below)) / walls
            found["soak"] = falling
            if full and lamp.vapour is not None:
                found["soak"] = min(falling, lamp.vapour.inertia / max(taken, 1.0))
                found["vapour"] = (falling - found["soak"]) * walls / lamp.vapour.formation_energy
        return found

    def solve(self, end: float, samples: int = 400, method: str = "LSODA", most: float = np.inf) -> tuple[Float, Float]:
        """Times and states from the trigger to `end`."""
        crowbar = self.network.crowbar
        instants = {branch.delay for branch in self.branches} | {0.0, end}
        if crowbar is not None and crowbar.kind == "crowbar switch":
            instants.add(crowbar.closing_time)
        stops = sorted(instant for instant in instants if instant <= end)
        y, t = self.start(), 0.0
        whole = [self.full_square(lamp) for lamp in self.lamps]
        full = [bool(row[1] >= s * (1 - 1e-12)) for row, s in zip(y[self.cut[4]].reshape(-1, 5), whole, strict=True)]
        times, states = [np.array([0.0])], [y[:, None]]
        allowed = 1e-10 * np.maximum(np.abs(y), 1e-3)
        allowed[self.cut[1]] = allowed[self.cut[2]] = 1e-6
        allowed[self.cut[4]] = np.tile([1e-9, 1e-16, 1e-18, 1e12, 1e-3], len(self.lamps))
        allowed[self.cut[3]] = 1e-18
        allowed[self.cut[5]] = allowed[self.cut[6]] = 1e-7
        for stop in stops[1:]:
            while t < stop:
                closed = [branch.delay <= t for branch in self.branches]
                shorted = crowbar is not None and crowbar.closing_time <= t
                events = []
                for g, done in enumerate(full):
                    if not done:
                        place = self.cut[4].start + 5 * g + 1

                        def fills(
                            _: float, state: Float, *__: object, place: int = place, s: float = whole[g]
                        ) -> float:
                            return float(state[place] - s)

                        fills.terminal, fills.direction = True, 1.0  # type: ignore[attr-defined]
                        events.append((g, fills))
                found = solve_ivp(
                    self.slopes,
                    (t, stop),
                    y,
                    method=method,
                    t_eval=None,
                    events=[event for _, event in events] or None,
                    args=(closed, full, shorted),
                    dense_output=True,
                    rtol=1e-10,
                    atol=allowed,
                    first_step=1e-12,
                    max_step=most,
                )
                assert found.success, found.message
                grid = np.linspace(t, found.t[-1], samples)[1:]
                times.append(grid)
                states.append(found.sol(grid))
                y, t = found.y[:, -1].copy(), float(found.t[-1])
                for (g, _), when in zip(events, found.t_events or [], strict=True):
                    if len(when):
                        full[g] = True
                        self.filled[g] = t
                        y[self.cut[4].start + 5 * g + 1] = whole[g]
                        y[self.cut[4].start + 5 * g + 2] = 2e-10
        return np.concatenate(times), np.concatenate(states, axis=1)

    def sinks(self, y: Float) -> dict[str, float]:
        """Energies counted so far."""
        return dict(zip(SINKS, map(float, y[self.cut[5]]), strict=True))
