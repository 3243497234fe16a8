"""Pressure-drop triggering of a build: the lamps are pumped until the bank that stands on them breaks them down."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from pulsewright.engine.coefficients import NINETY
from pulsewright.engine.lamp_breakdown import lamp_curve
from pulsewright.engine.trigger_head import Head, refused, started, told
from pulsewright.engine.trigger_record import FIRES_EARLY, PressureDrop, Range, TriggerStage
from pulsewright.physics.pulsed_power import pressure_drop as physics
from pulsewright.physics.pulsed_power.breakdown_curve import BreakdownCurve
from pulsewright.physics.pulsed_power.pressure_drop import Charging, Firing, Lags, Pumping, Repeats
from pulsewright.physics.pulsed_power.pump_down import effective_pump_speed
from pulsewright.physics.pulsed_power.statistical_lag import ionisation_wave_time
from pulsewright.quantities import show

METHOD = "pressure drop"
#: Mean wait for an electron in an untreated lamp in the dark: about 1e-2 s, up to seconds (Cernak, lecture, secondary).
DARK_LAG = Range(1e-2, 1e-3, 1.0)
#: The same where it is given without a spread: a factor of three either way; assumed.
GIVEN_LAG = 3.0
#: Speed of the ionisation wave that crosses a long tube before it breaks down (Ionikh 2020: 1e3 to 1e5 m/s). [m/s]
WAVE_SPEED = Range(1e4, 1e3, 1e5)
#: How well charge voltage, start pressure and pump speed repeat, standard deviation: common practice, no source.
REPEATS = Range(3e-3, 1e-3, 1e-2)
#: Chance of a failure from which it is told. [-]
TOLD = 0.01
SOURCE = (
    "pump-down and Paschen-type curve; Laue law (Phys. Plasmas 13, 083502 (2006)); wave speed: Ionikh, Plasma Phys. "
    "Rep. 46, 1015 (2020); a jitter of a few ms for automated systems is common practice with no source"
)

#: Failure -> what is told of it, and the next step.
FAILURES: dict[str, tuple[str, str]] = {
    physics.CHARGING: (
        "the lamps break down while the bank is still charging",
        "Raise trigger.start_pressure, begin to pump later (trigger.pump_start), or charge faster",
    ),
    physics.LEAK: (
        "the pressure stops above the one at which the lamps would break down",
        "Find the leak, use a better pump or a wider line, or raise the charge voltage",
    ),
    physics.LOW_CHARGE: (
        "the charge is too low to break the lamps down at any pressure the pump reaches",
        "Raise the charge voltage, or lower trigger.stop_pressure",
    ),
    physics.MISSED: (
        "the pressure passes the range in which the lamps can break down before they do",
        "Pump more slowly, raise the charge voltage, or let light with some ultraviolet fall on the electrodes",
    ),
}


@dataclass(frozen=True)
class System:
    """The pressure-drop system of a build in the terms of the physics."""

    curve: BreakdownCurve
    charging: Charging
    pumping: Pumping
    lag: Range
    formative: Range
    repeats: Range

    def firing(self, pump_start: float | None, repeats: float, lag: float, factor: float = 1.0) -> Firing:
        """What happens, with these spreads and every breakdown voltage times a factor."""
        middle, low, high = self.formative
        lags = Lags(lag, middle, (high - low) / (2 * NINETY))
        three = Repeats(repeats, repeats, repeats)
        curve = replace(self.curve.scaled(factor), spread=self.curve.spread)
        return physics.pressure_drop_firing(curve, self.charging, self.pumping, lags, three, pump_start)


def system(head: Head) -> System | None:
    """Its system, or None where the build does not say enough of it."""
    machine, trigger = head.machine, head.machine.trigger
    start, stop, speed, volume = trigger.start_pressure, trigger.stop_pressure, trigger.pump_speed, trigger.volume
    if start is None or stop is None or speed is None or volume is None:
        return None
    if trigger.conductance is not None:
        speed = float(effective_pump_speed(speed, trigger.conductance))
    charger = machine.charger
    return System(
        curve=lamp_curve(machine).scaled(head.inputs.reference.get("reference.trigger.breakdown_scale", 1.0)),
        charging=Charging(
            charger.method,
            machine.bank.capacitance,
            head.voltage,
            charger.current,
            charger.power,
            charger.resistance,
            charger.voltage_max,
            _drain(head),
        ),
        pumping=Pumping(start, stop, speed, volume, trigger.leak or 0.0),
        lag=_lag(head),
        formative=_formative(head),
        repeats=REPEATS if trigger.repeatability is None else Range(*(3 * (trigger.repeatability,))),
    )


def _drain(head: Head) -> float:
    """Bleeder and divider across the bank, in ohm; infinite where there is neither."""
    bank, meter = head.machine.bank, head.machine.meter
    conductance = 1.0 / (bank.bleeder_resistance or math.inf)
    if meter.upper_resistance is not None and meter.lower_resistance is not None:
        lower = 1.0 / (1.0 / meter.lower_resistance + 1.0 / (meter.input_resistance or math.inf))
        conductance += 1.0 / (meter.upper_resistance + lower)
    return 1.0 / conductance if conductance else math.inf


def _lag(head: Head) -> Range:
    given = head.machine.trigger.statistical_lag
    if given is None:
        return DARK_LAG
    spread = _spread(head, "statistical_lag")
    if spread:
        return Range(given, max(given - spread, 0.1 * given), given + spread)
    return Range(given, given / GIVEN_LAG, given * GIVEN_LAG)


def _formative(head: Head) -> Range:
    middle, low, high = (float(ionisation_wave_time(head.length, speed)) for speed in WAVE_SPEED)
    return Range(middle, high, low)


def _spread(head: Head, key: str) -> float:
    """90 % half-width that the build file states for an entry of the trigger, SI."""
    entry = head.inputs.build.entries.get(f"trigger.{key}")
    return float(entry.spread or 0.0) if entry is not None else 0.0


def pressure_drop(head: Head) -> TriggerStage:
    """The lamps are pumped until they break down."""
    found = system(head)
    if found is None:
        words = "the lamps are pumped until they break down; the build file does not say how"
        return started(head, METHOD, words, None, None, SOURCE)
    begin = head.machine.trigger.pump_start
    firing = found.firing(begin, found.repeats.value, found.lag.value)
    stage = TriggerStage(
        method=METHOD,
        outcome="fires",
        words=_words(head, found, firing),
        next_step="",
        firing_voltage=firing.voltage,
        delay=firing.delay,
        jitter=firing.jitter,
        delay_range=_delay_range(head, found, firing, begin),
        jitter_range=_jitter_range(found, firing),
        rise_time=head.rise_time(0.0),
        fill_pressure=dict.fromkeys(head.machine.lamps, firing.pressure),
        channel_radius=head.machine.trigger.channel_radius,
        channel_temperature=head.machine.trigger.channel_temperature,
        hold_off=_held(found, firing),
        pressure_drop=PressureDrop(
            firing,
            found.pumping.rest,
            found.pumping.time_constant,
            found.curve.words,
            found.curve.spread_at(firing.pressure),
            _repeat_period(head, found, firing),
        ),
        source=SOURCE,
    )
    return _told(head, found, _ended(head, stage, firing))


def _held(found: System, firing: Firing) -> Range:
    """Voltage that the lamps hold off when the charge ends, at the pressure they have then, in V."""
    at = found.pumping.pressure((found.charging.charge_time or 0.0) - firing.pump_start)
    at = max(at, found.curve.lowest_pressure)
    middle, factor = found.curve.voltage(at), math.exp(found.curve.spread_at(at))
    return Range(middle, middle / factor, middle * factor)


def _ended(head: Head, stage: TriggerStage, firing: Firing) -> TriggerStage:
    """The outcome in the words of the stage."""
    if firing.outcome == physics.FIRES:
        return stage
    what, step = FAILURES[firing.outcome]
    if firing.outcome == physics.CHARGING:
        words = (
            f"{what}: at {show('charge_voltage', firing.voltage)} and {show('fill_pressure', firing.pressure)}, before "
            f"the {show('charge_voltage', head.voltage)} that were set"
        )
        return replace(stage, outcome=FIRES_EARLY, words=words, next_step=step)
    # nothing flows in the lamps, at whatever pressure the pump leaves them
    return replace(refused(stage, f"{what} ({stage.words})", step), fill_pressure=head.fills)


def _words(head: Head, found: System, firing: Firing) -> str:
    """What the pressure does against the voltage that stands on the lamps."""
    rest = show("stop_pressure", found.pumping.rest)
    right = found.curve.right_pressure(head.voltage)
    volts = show("charge_voltage", head.voltage)
    if right is None:
        lowest = show("voltage", found.curve.lowest_voltage)
        return f"{volts} is below the lowest breakdown voltage, {lowest} at {_pressure(found.curve.lowest_pressure)}"
    if firing.outcome == physics.FIRES:
        return (
            f"{volts} breaks the lamps down at {_pressure(firing.pressure)}, {show('time', firing.delay or 0.0)} after "
            "pumping began"
        )
    return f"{volts} breaks the lamps down at {_pressure(right)}; pumping comes to rest at {rest}"


def _pressure(value: float) -> str:
    return show("fill_pressure", value)


def _delay_range(head: Head, found: System, firing: Firing, begin: float | None) -> tuple[float, float] | None:
    """90 % interval of the delay from what is not known of curve and pump; the shot-to-shot jitter is apart."""
    if firing.delay is None or firing.crossing is None:
        return None
    by_curve = []
    # where the lamps break down more easily they fire sooner
    spread = found.curve.spread_at(firing.pressure)
    for factor in (math.exp(-spread), math.exp(spread)):
        other = found.firing(begin, found.repeats.value, found.lag.value, factor)
        by_curve.append(other.delay)
    low = 0.0 if by_curve[0] is None else by_curve[0]
    high = math.inf if by_curve[1] is None else by_curve[1]
    high = min(high, 20 * found.pumping.time_constant)
    after, rest = firing.crossing - firing.pump_start, found.pumping.rest
    start = found.pumping.start_pressure
    trigger = head.machine.trigger
    speed = math.hypot(
        *(_spread(head, key) / value for key in ("pump_speed", "volume") if (value := getattr(trigger, key)))
    )
    pumped = math.hypot(after * speed, found.pumping.time_constant * _spread(head, "start_pressure") / (start - rest))
    down = math.hypot(firing.delay - min(low, firing.delay), pumped)
    return max(firing.delay - down, 0.0), firing.delay + math.hypot(max(high - firing.delay, 0.0), pumped)


def _jitter_range(found: System, firing: Firing) -> tuple[float, float] | None:
    """90 % interval of the jitter: its parts go with the repeatability, or with the lag."""
    if firing.jitter is None:
        return None
    waits, forms = (firing.parts[key] for key in ("waiting for an electron", "forming the arc"))
    set_by_repeats = math.sqrt(max(firing.jitter**2 - waits**2 - forms**2, 0.0)) / found.repeats.value
    low, high = (
        math.hypot(set_by_repeats * repeats, lag, forms)
        for repeats, lag in ((found.repeats.low, found.lag.low), (found.repeats.high, found.lag.high))
    )
    return min(low, firing.jitter), max(high, firing.jitter)


def _repeat_period(head: Head, found: System, firing: Firing) -> float | None:
    """Shortest time from shot to shot: charge, pump, fill; None where one of them is not known."""
    charge, fill = found.charging.charge_time, head.machine.trigger.fill_time
    if charge is None or fill is None or firing.delay is None:
        return None
    return max(charge, firing.pump_start + firing.delay) + fill


def _told(head: Head, found: System, stage: TriggerStage) -> TriggerStage:
    """The same with its findings: failures in the order of how often they happen, then what a careful person asks."""
    assert stage.pressure_drop is not None
    firing = stage.pressure_drop.firing
    for failure, chance in firing.chances.items():
        if firing.outcome == physics.FIRES and chance > TOLD:
            what, step = FAILURES[failure]
            message = (
                f"{what} in {100 * chance:.0f} % of the cases, by what is known of the curve ({found.curve.words})"
            )
            stage = told(stage, "warning", "trigger.method", message, f"At most {100 * TOLD:.0f} %", step)
    stage = _about_the_curve(head, stage)
    stage = _about_charging(head, found, stage)
    return _about_repeating(head, stage)


def _about_the_curve(head: Head, stage: TriggerStage) -> TriggerStage:
    assert stage.pressure_drop is not None
    if not head.machine.breakdowns:
        message = (
            "no breakdown of these lamps was measured: the law of a uniform gap stands for it, within a factor of 4"
        )
        step = "Measure pressure and voltage of a breakdown and enter [breakdowns.<id>]; two or more apart are better"
        stage = told(
            stage, "warning", "trigger.method", message, "It depends on length over radius, walls, light", step
        )
    for name, lamp in head.machine.lamps.items():
        fires = stage.fill_pressure[name]
        if stage.fires and abs(fires / lamp.fill_pressure - 1) > 0.1:
            message = f"its fill of {_pressure(lamp.fill_pressure)} is not used: it fires at {_pressure(fires)}"
            stage = told(stage, "note", f"lamps.{name}.fill_pressure", message)
    if head.machine.loop.lamps_connected != "series" and len(head.machine.lamps) > 1:
        message = "lamps side by side without a switch: the first to break down takes the bank, the others stay dark"
        stage = told(
            stage, "warning", "loop.lamps_connected", message, "One lamp, or lamps in series", "Put them in series"
        )
    return stage


def _about_charging(head: Head, found: System, stage: TriggerStage) -> TriggerStage:
    """The charge race, and a bank that is left to sag."""
    assert stage.pressure_drop is not None
    firing, full = stage.pressure_drop.firing, found.charging.charge_time
    earliest = firing.earliest_pump_start
    if stage.outcome == FIRES_EARLY and earliest is not None and head.machine.trigger.pump_start is not None:
        message = f"pumping begins {show('time', firing.pump_start)} after charging; the lamps then break down too soon"
        allowed = f"From {show('time', earliest)} on"
        stage = told(stage, "warning", "trigger.pump_start", message, allowed, "Begin to pump later")
    if full is None:
        message = "the entries of the charger do not reach this voltage or are missing: the charge race is not judged"
        stage = told(stage, "note", "charger.method", message)
    drain = found.charging.drain * head.machine.bank.capacitance
    if firing.delay and firing.delay > 0.02 * drain:
        message = (
            f"while it is pumped bleeder and divider take {-100 * math.expm1(-firing.delay / drain):.0f} % of the "
            "voltage, unless the charger stays on; it is computed as staying on"
        )
        stage = told(stage, "note", "bank.bleeder_resistance", message)
    return stage


def _about_repeating(head: Head, stage: TriggerStage) -> TriggerStage:
    assert stage.pressure_drop is not None
    shortest, wanted = stage.pressure_drop.repeat_period, head.machine.charger.repeat_period
    if shortest is not None and wanted is not None and wanted < shortest:
        message = f"{show('repeat_period', wanted)} is less than charging, pumping and filling take together"
        allowed = f"At least {show('repeat_period', shortest)}"
        stage = told(
            stage, "warning", "charger.repeat_period", message, allowed, "Wait longer, or pump and fill faster"
        )
    if wanted is not None:
        message = "a system that charges and pumps by itself fires without a human decision"
        step = "Let it need a held key for every charge; treat it as firing at any moment from the first volt"
        stage = told(stage, "warning", "trigger.method", message, "", step)
    return stage
