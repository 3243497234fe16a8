"""Delay, jitter and firing voltage of gaps; time of a streamer along the glass; channel left by a pre-pulse."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import gamma, ndtr

from pulsewright.physics._domain import Number, not_negative, plain, positive

#: Streamers run along the glass of a lamp at about 1 cm in 60 ns (encyclopaedia article, secondary). [m/s]
STREAMER_SPEED = 0.01 / 60e-9
#: Delay of a triggered gap at nine tenths of its self-break voltage, and its e-foldings per unit of that fraction:
#: tens of ns at low overvoltage (from memory), some 10 ns near self-break and some 300 ns at three tenths (common
#: practice, no source).
GAP_DELAY, GAP_DELAY_RATE, GAP_REFERENCE = 10e-9, 5.7, 0.9
#: Part of the undamped peak current that a well damped lamp loop reaches (alpha 0.8: 0.4956, computed).
DAMPED_PEAK = 0.5
#: Growth of a free spark in air, a[mm] = 0.93 (rho / 1.29)^(-1/6) I[kA]^(1/3) t[us]^(1/2): Braginskii, from memory.
_GROWTH, _AIR = (0.93e-3) ** 2 * 1e6 / 1e3 ** (2.0 / 3.0), 1.29


def overvoltage_firing_voltage(self_break_voltage: ArrayLike, gap_rise: ArrayLike, lag: ArrayLike) -> Number:
    """Voltage at which a pulse-charged gap fires: its self-break, and what the voltage gains while the gap waits.

    Parameters
    ----------
    self_break_voltage : float or array (...)
        Voltage at which the gap fires when charged slowly. [V]
    gap_rise : float or array, broadcasts
        Rise of the voltage across the gap. [V/s]
    lag : float or array, broadcasts
        Mean statistical and formative lag together. [s]

    Returns
    -------
    firing_voltage : broadcast shape
        Voltage when it fires. [V]

    Raises
    ------
    DomainError
        If an argument is negative, or the self-break voltage is not positive.

    Notes
    -----
    Valid: a steady rise; a lag that does not depend on the overvoltage. Not covered: the lag falls with overvoltage,
    so this is an upper estimate for steep rises; erosion, which moves the self-break.
    Equation: V = V_sb + (dV/dt) t_lag. Source: definition of the lag.

    Examples
    --------
    >>> round(overvoltage_firing_voltage(10e3, 1e9, 1e-6))   # 1 kV/us, 1 us
    11000
    """
    gained = not_negative("gap_rise", gap_rise, "V/s") * not_negative("lag", lag, "s")
    return plain(positive("self_break_voltage", self_break_voltage, "V") + gained)


def overvoltage_jitter(
    self_break_voltage: ArrayLike, gap_rise: ArrayLike, self_break_spread: ArrayLike, lag_spread: ArrayLike
) -> Number:
    """Standard deviation of the instant at which a pulse-charged gap fires.

    Parameters
    ----------
    self_break_voltage : float or array (...)
        Voltage at which the gap fires when charged slowly. [V]
    gap_rise : float or array, broadcasts
        Rise of the voltage across the gap. [V/s]
    self_break_spread : float or array, broadcasts
        Standard deviation of the self-break voltage over its mean. [-]
    lag_spread : float or array, broadcasts
        Standard deviation of the lag. [s]

    Returns
    -------
    jitter : broadcast shape
        Standard deviation from shot to shot. [s]

    Raises
    ------
    DomainError
        If the voltage or the rise is not positive, or a spread is negative.

    Notes
    -----
    Valid: a steady rise, independent causes. Not covered: drift.
    Equation: sqrt((s V_sb / (dV/dt))^2 + s_lag^2). Source: propagation of errors.

    Examples
    --------
    3 % of 10 kV at 1 kV/us:

    >>> round(overvoltage_jitter(10e3, 1e9, 0.03, 0.0) * 1e9)
    300
    """
    volts = positive("self_break_voltage", self_break_voltage, "V")
    by_voltage = (
        not_negative("self_break_spread", self_break_spread, "-") * volts / positive("gap_rise", gap_rise, "V/s")
    )
    return plain(np.hypot(by_voltage, not_negative("lag_spread", lag_spread, "s")))


def triggered_gap_delay(working_fraction: ArrayLike) -> Number:
    """Delay of a triggered spark gap against how close to self-break it works.

    Parameters
    ----------
    working_fraction : float or array (...)
        Voltage across the gap over its self-break voltage. [-]

    Returns
    -------
    delay : broadcast shape
        From the trigger pulse to the current. [s]

    Raises
    ------
    DomainError
        If the fraction is not positive.

    Notes
    -----
    Valid: three-electrode gaps of some ten kV between three tenths of self-break and one, within a factor of three.
    Not covered: the type of gap, gas and trigger rise; laser and electron-beam triggering, which are faster.
    Equation: t = 10 ns exp(5.7 (0.9 - V / V_sb)). Source: common practice, no source, for the law; tens of ns at low
    overvoltage from memory; a trigatron at megavolts: 5.1 +- 0.5 ns (El'chaninov et al.).

    Examples
    --------
    >>> [round(triggered_gap_delay(part) * 1e9) for part in (0.9, 0.7, 0.5)]   # ns
    [10, 31, 98]
    """
    fraction = positive("working_fraction", working_fraction, "-")
    return plain(GAP_DELAY * np.exp(GAP_DELAY_RATE * (GAP_REFERENCE - fraction)))


def prefire_probability(
    charge_voltage: ArrayLike, self_break_voltage: ArrayLike, self_break_spread: ArrayLike
) -> Number:
    """Chance that a gap fires by itself at or below the voltage it is charged to.

    Parameters
    ----------
    charge_voltage : float or array (...)
        Voltage across the gap. [V]
    self_break_voltage : float or array, broadcasts
        Mean voltage at which it fires untriggered. [V]
    self_break_spread : float or array, broadcasts
        Standard deviation of that voltage over its mean. [-]

    Returns
    -------
    probability : broadcast shape
        Chance in one charge. [-]

    Raises
    ------
    DomainError
        If an argument is not positive.

    Notes
    -----
    Valid: a self-break that scatters normally. Not covered: its fall with wear, dirt, moisture and a hot gap.
    Equation: Phi((V - V_sb) / (s V_sb)). Source: definition of the spread.

    Examples
    --------
    >>> prefire_probability(10e3, 10e3, 0.03)
    0.5
    """
    mean = positive("self_break_voltage", self_break_voltage, "V")
    over = positive("charge_voltage", charge_voltage, "V") - mean
    return plain(np.asarray(ndtr(over / (positive("self_break_spread", self_break_spread, "-") * mean))))


def streamer_time(length: ArrayLike, wave_speed: ArrayLike = STREAMER_SPEED) -> Number:
    """Time for the streamer that an external trigger wire starts to run along the glass of a lamp.

    Parameters
    ----------
    length : float or array (...)
        Distance between the electrodes. [m]
    wave_speed : float or array, broadcasts
        Speed of the streamer; the default is 1 cm in 60 ns. [m/s]

    Returns
    -------
    delay : broadcast shape
        From the trigger pulse to the bridged gap. [s]

    Raises
    ------
    DomainError
        If the length is negative or the speed is not positive.

    Notes
    -----
    Valid: fills that streamers cross, hundreds of torr, dry glass. Not covered: low pressure; a jacket of conductive
    liquid, which shields the gas; the rise of the trigger transformer.
    Equation: t = l / v. Source: encyclopaedia article "Flashtube" (secondary): about 1 cm in 60 ns.

    Examples
    --------
    >>> round(streamer_time(0.1) * 1e6, 1)   # a 10 cm lamp, in us
    0.6
    """
    return plain(not_negative("length", length, "m") / positive("wave_speed", wave_speed, "m/s"))


def prepulse_channel_radius(
    channel_radius: ArrayLike,
    prepulse_capacitance: ArrayLike,
    prepulse_voltage: ArrayLike,
    prepulse_inductance: ArrayLike,
    mass_density: ArrayLike,
    growth_factor: ArrayLike = 1.0,
) -> Number:
    """Radius to which a pre-pulse widens the channel in a lamp before the main pulse.

    Parameters
    ----------
    channel_radius : float or array (...)
        Radius of the channel in which the pre-pulse starts. [m]
    prepulse_capacitance : float or array, broadcasts
        Capacitance of the pre-pulse bank. [F]
    prepulse_voltage : float or array, broadcasts
        Its voltage. [V]
    prepulse_inductance : float or array, broadcasts
        Inductance of its loop. [H]
    mass_density : float or array, broadcasts
        Mass per volume of the cold fill. [kg/m^3]
    growth_factor : float or array, broadcasts
        Factor on the speed at which the channel widens. [-]

    Returns
    -------
    channel_radius : broadcast shape
        Radius at the end of the pre-pulse. [m]

    Raises
    ------
    DomainError
        If an argument is not positive.

    Notes
    -----
    Valid: a damped pre-pulse, half a sine of half the undamped peak; free growth, so the bore bounds it.
    Not covered: cooling and shrinking between pre-pulse and main pulse; ringing; a lamp law of the pre-pulse.
    Equation: a^2 = a_0^2 + g^2 (0.93 mm)^2 (rho/1.29)^(-1/3) times the integral of |I_kA|^(2/3) dt in us.
    Source: growth of free sparks, Braginskii, Sov. Phys. JETP 7, 1068 (1958), constant from memory; not established
    for lamps.

    Examples
    --------
    100 nF at 9 kV through 2 uH in 0.7 kg/m^3, in mm:

    >>> round(prepulse_channel_radius(0.5e-3, 100e-9, 9e3, 2e-6, 0.7) * 1e3, 2)
    1.15
    """
    start = positive("channel_radius", channel_radius, "m")
    c = positive("prepulse_capacitance", prepulse_capacitance, "F")
    inductance = positive("prepulse_inductance", prepulse_inductance, "H")
    peak = DAMPED_PEAK * positive("prepulse_voltage", prepulse_voltage, "V") * np.sqrt(c / inductance)
    # integral of sin^(2/3) over half a period, times the half period over pi
    integral = np.sqrt(c * inductance) * np.sqrt(np.pi) * gamma(5.0 / 6.0) / gamma(4.0 / 3.0) * peak ** (2.0 / 3.0)
    thinner = (positive("mass_density", mass_density, "kg/m^3") / _AIR) ** (-1.0 / 3.0)
    grown = positive("growth_factor", growth_factor, "-") ** 2 * _GROWTH * thinner * integral
    return plain(np.sqrt(start**2 + grown))
