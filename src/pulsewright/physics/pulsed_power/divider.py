"""The voltage divider that reads a bank, with the instrument that loads it, and what it does when it breaks.

A divider that reads low is the most dangerous fault of a bank: it hides voltage. Before any work: measure by a second
way, short and ground; local codes and licensed practice decide.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pulsewright.physics._domain import Number, a_number, plain, positive

Float = NDArray[np.float64]


def _input(instrument: ArrayLike | None) -> Float:
    """Input of the instrument, infinite where it draws nothing."""
    return positive("input_resistance", np.inf if instrument is None else instrument, "ohm")


def _arms(upper: ArrayLike, lower: ArrayLike, instrument: ArrayLike | None) -> tuple[Float, Float]:
    """Upper arm, and lower arm with the instrument across it."""
    low = positive("lower_resistance", lower, "ohm")
    return (
        positive("upper_resistance", upper, "ohm"),
        1.0 / (1.0 / low + 1.0 / _input(instrument)),
    )


def divider_ratio(
    upper_resistance: ArrayLike, lower_resistance: ArrayLike, input_resistance: ArrayLike | None = None
) -> Number:
    """Bank voltage over the reading of an instrument across the lower arm of a divider.

    Parameters
    ----------
    upper_resistance : float or array (...)
        Upper arm. [ohm]
    lower_resistance : float or array, broadcasts
        Lower arm. [ohm]
    input_resistance : float or array, optional
        Input of the instrument, broadcasts; it draws nothing when left out. [ohm]

    Returns
    -------
    ratio : broadcast shape
        Volts on the bank for each volt read. [-]

    Raises
    ------
    DomainError
        If an argument is not positive.

    Notes
    -----
    Valid: steady voltage, resistances independent of voltage and temperature.
    Not covered: fast changes, which follow the stray capacitances; leakage along the body of the upper arm.
    Equation: (R1 + R2') / R2', R2' = R2 and Rin in parallel. Source: textbook, voltage divider.

    Examples
    --------
    >>> round(divider_ratio(1e9, 1e6, 10e6), 1)
    1101.0
    """
    upper, lower = _arms(upper_resistance, lower_resistance, input_resistance)
    return plain((upper + lower) / lower)


def bank_voltage_from_reading(
    reading: ArrayLike,
    upper_resistance: ArrayLike,
    lower_resistance: ArrayLike,
    input_resistance: ArrayLike | None = None,
) -> Number:
    """Bank voltage that belongs to a reading across the lower arm of a divider.

    Parameters
    ----------
    reading : float or array (...)
        Voltage that the instrument shows. [V]
    upper_resistance : float or array, broadcasts
        Upper arm. [ohm]
    lower_resistance : float or array, broadcasts
        Lower arm. [ohm]
    input_resistance : float or array, optional
        Input of the instrument, broadcasts; it draws nothing when left out. [ohm]

    Returns
    -------
    bank_voltage : broadcast shape
        Voltage on the bank, if divider and instrument are whole. [V]

    Raises
    ------
    DomainError
        If a resistance is not positive or the reading is no number.

    Notes
    -----
    Valid: steady voltage. Not covered: a broken upper arm or a shorted lower arm, which read zero at any voltage: a
    reading of zero is no proof.
    Equation: V = v (R1 + R2') / R2'. Source: textbook, voltage divider.

    Examples
    --------
    >>> round(bank_voltage_from_reading(0.949, 1e9, 100e3, 10e6))
    9586
    """
    ratio = np.asarray(divider_ratio(upper_resistance, lower_resistance, input_resistance))
    return plain(a_number("reading", reading, "V") * ratio)


def divider_loading_error(
    upper_resistance: ArrayLike, lower_resistance: ArrayLike, input_resistance: ArrayLike
) -> Number:
    """Relative error of the bank voltage when the load of the instrument is forgotten: it is taken too low.

    Parameters
    ----------
    upper_resistance : float or array (...)
        Upper arm. [ohm]
    lower_resistance : float or array, broadcasts
        Lower arm. [ohm]
    input_resistance : float or array, broadcasts
        Input of the instrument. [ohm]

    Returns
    -------
    relative_error : broadcast shape
        Voltage by the unloaded ratio over the true one, less 1; negative: the bank holds more than is read. [-]

    Raises
    ------
    DomainError
        If an argument is not positive.

    Notes
    -----
    Valid: steady voltage. Not covered: tolerance of the resistors, which comes on top.
    Equation: ((R1 + R2) / R2) (R2' / (R1 + R2')) - 1. Source: textbook, voltage divider.

    Examples
    --------
    >>> round(divider_loading_error(1e9, 1e6, 10e6), 3)
    -0.091
    """
    alone = np.asarray(divider_ratio(upper_resistance, lower_resistance))
    return plain(alone / np.asarray(divider_ratio(upper_resistance, lower_resistance, input_resistance)) - 1.0)


def upper_arm_voltage(
    voltage: ArrayLike,
    upper_resistance: ArrayLike,
    lower_resistance: ArrayLike,
    input_resistance: ArrayLike | None = None,
) -> Number:
    """Voltage that the upper arm of a divider stands.

    Parameters
    ----------
    voltage : float or array (...)
        Voltage on the bank. [V]
    upper_resistance : float or array, broadcasts
        Upper arm. [ohm]
    lower_resistance : float or array, broadcasts
        Lower arm. [ohm]
    input_resistance : float or array, optional
        Input of the instrument, broadcasts; it draws nothing when left out. [ohm]

    Returns
    -------
    upper_voltage : broadcast shape
        Voltage across the upper arm; its power is this squared over its resistance. [V]

    Raises
    ------
    DomainError
        If a resistance is not positive or the voltage is no number.

    Notes
    -----
    Valid: steady voltage. Not covered: how it parts along a chain of elements.
    Equation: V R1 / (R1 + R2'). Source: textbook, voltage divider.

    Examples
    --------
    >>> round(upper_arm_voltage(10e3, 1e9, 100e3))
    9999
    """
    upper, lower = _arms(upper_resistance, lower_resistance, input_resistance)
    return plain(a_number("voltage", voltage, "V") * upper / (upper + lower))


def open_arm_voltage(
    voltage: ArrayLike, upper_resistance: ArrayLike, input_resistance: ArrayLike | None = None
) -> Number:
    """Voltage on the instrument of a divider whose lower arm has opened.

    Parameters
    ----------
    voltage : float or array (...)
        Voltage on the bank. [V]
    upper_resistance : float or array, broadcasts
        Upper arm. [ohm]
    input_resistance : float or array, optional
        Input of the instrument, broadcasts; when left out it draws nothing and gets the full voltage. [ohm]

    Returns
    -------
    open_voltage : broadcast shape
        Voltage across the instrument, as long as its input stands it. [V]

    Raises
    ------
    DomainError
        If a resistance is not positive or the voltage is no number.

    Notes
    -----
    Valid: an input that stays a resistor. Not covered: its breakdown, and a flash-over of the upper arm, after which
    the full voltage and the energy of the bank stand on the instrument and whatever is wired to it.
    Equation: V Rin / (R1 + Rin). Source: textbook, voltage divider.

    Examples
    --------
    >>> round(open_arm_voltage(10e3, 1e9, 10e6), 1), open_arm_voltage(10e3, 1e9)
    (99.0, 10000.0)
    """
    upper = positive("upper_resistance", upper_resistance, "ohm")
    ratio = upper / _input(input_resistance)
    return plain(a_number("voltage", voltage, "V") / (1.0 + ratio))
