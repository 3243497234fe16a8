"""State of a well-mixed fill of dye shot by shot: closed loop, bleed and feed, fresh fill, carbon bed.

One step is a shot, then the renewal of a part of the fill by new solution. What a shot sees is the state before it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pulsewright.physics._choice import one_of
from pulsewright.physics._domain import Number, not_negative, plain, positive, within

Float = NDArray[np.float64]


def _series(shots: Float, complement: Float) -> Float:
    """1 + q + ... + q^(n-1) for q = 1 - complement, without loss of digits where q is near 1; n need not be whole."""
    u = np.asarray(complement, dtype=float)
    safe = np.where(u > 0, u, 1.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        sums = -np.expm1(shots * np.log1p(-safe)) / safe
    return np.asarray(np.where(u > 0, np.where(shots > 0, sums, 0.0), shots))


def _power(shots: Float, complement: Float) -> Float:
    """q^n for q = 1 - complement."""
    return np.asarray((1.0 - complement) ** shots)


def dye_after_shot(dye_left: ArrayLike, bleached_per_shot: ArrayLike, renewed_fraction: ArrayLike) -> Number:
    """Dye left before the next shot: one shot, then the renewal behind it.

    Parameters
    ----------
    dye_left : float or array (...)
        Dye before the shot, over that of new solution. [-]
    bleached_per_shot : float or array, broadcasts
        Part of the dye there is that one shot destroys. [-]
    renewed_fraction : float or array, broadcasts
        Part of the solution that is new before the next shot. [-]

    Returns
    -------
    dye_left : broadcast shape
        Dye before the next shot, over that of new solution. [-]

    Raises
    ------
    DomainError
        If a fraction lies outside 0 to 1.

    Notes
    -----
    Valid: well-mixed solution, loss in proportion to the dye there is. Not covered: cells so dense that the light
    absorbed hardly depends on the dye, which lose up to 1/(1 - lost) times faster.
    Equation: d' = d (1 - b)(1 - r) + r. Source: balance of a stirred vessel.

    Examples
    --------
    >>> round(dye_after_shot(0.8, 0.01, 0.1), 4)
    0.8128
    """
    left = within("dye_left", dye_left, 0.0, 1.0, "-")
    bleached = within("bleached_per_shot", bleached_per_shot, 0.0, 1.0, "-")
    renewed = within("renewed_fraction", renewed_fraction, 0.0, 1.0, "-")
    return plain(left * (1 - bleached) * (1 - renewed) + renewed)


def products_after_shot(
    product_absorption: ArrayLike, products_per_shot: ArrayLike, renewed_fraction: ArrayLike
) -> Number:
    """Absorption by products before the next shot: one shot, then the renewal behind it.

    Parameters
    ----------
    product_absorption : float or array (...)
        Absorption at the laser wavelength before the shot, per length. [1/m]
    products_per_shot : float or array, broadcasts
        What one shot adds to it in the whole fill. [1/m]
    renewed_fraction : float or array, broadcasts
        Part of the solution that is new before the next shot. [-]

    Returns
    -------
    product_absorption : broadcast shape
        Absorption before the next shot, per length. [1/m]

    Raises
    ------
    DomainError
        If an absorption is negative or the fraction lies outside 0 to 1.

    Notes
    -----
    Valid: well-mixed solution, products in proportion to the dose. Not covered: products that clear again.
    Equation: a' = (a + g)(1 - r). Source: balance of a stirred vessel.

    Examples
    --------
    >>> round(products_after_shot(0.02, 0.005, 0.2), 6)
    0.02
    """
    there = not_negative("product_absorption", product_absorption, "1/m")
    added = not_negative("products_per_shot", products_per_shot, "1/m")
    renewed = within("renewed_fraction", renewed_fraction, 0.0, 1.0, "-")
    return plain((there + added) * (1 - renewed))


def dye_after_shots(
    shots: ArrayLike, bleached_per_shot: ArrayLike, renewed_fraction: ArrayLike, dye_left: ArrayLike = 1.0
) -> Number:
    """Dye left in a well-mixed fill after many shots, each followed by the same renewal.

    Parameters
    ----------
    shots : float or array (...)
        Shots fired; need not be whole, to interpolate. [-]
    bleached_per_shot : float or array, broadcasts
        Part of the dye there is that one shot destroys. [-]
    renewed_fraction : float or array, broadcasts
        Part of the solution that is new before each next shot; 0 for a closed loop. [-]
    dye_left : float or array, broadcasts
        Dye before the first shot, over that of new solution. [-]

    Returns
    -------
    dye_left : broadcast shape
        Dye before the next shot, over that of new solution. [-]

    Raises
    ------
    DomainError
        If the number is negative or a fraction lies outside 0 to 1.

    Notes
    -----
    Valid: as one shot of it. Not covered: evaporation, leaks, losses to walls and bed.
    Equation: closed form of the recursion d' = d (1 - b)(1 - r) + r. Source: balance of a stirred vessel.

    Examples
    --------
    A closed loop that loses a thousandth a shot:

    >>> round(dye_after_shots(1000, 1e-3, 0.0), 4)
    0.3677
    """
    number = not_negative("shots", shots, "-")
    bleached = within("bleached_per_shot", bleached_per_shot, 0.0, 1.0, "-")
    renewed = within("renewed_fraction", renewed_fraction, 0.0, 1.0, "-")
    missing = 1 - within("dye_left", dye_left, 0.0, 1.0, "-")
    complement = bleached + renewed - bleached * renewed
    gained = bleached * (1 - renewed) * _series(number, complement)
    return plain(1 - missing * _power(number, complement) - gained)


def products_after_shots(
    shots: ArrayLike, products_per_shot: ArrayLike, renewed_fraction: ArrayLike, product_absorption: ArrayLike = 0.0
) -> Number:
    """Absorption by products in a well-mixed fill after many shots, each followed by the same renewal.

    Parameters
    ----------
    shots : float or array (...)
        Shots fired; need not be whole, to interpolate. [-]
    products_per_shot : float or array, broadcasts
        What one shot adds in the whole fill. [1/m]
    renewed_fraction : float or array, broadcasts
        Part of the solution that is new, or freed of products, before each next shot. [-]
    product_absorption : float or array, broadcasts
        Absorption before the first shot, per length. [1/m]

    Returns
    -------
    product_absorption : broadcast shape
        Absorption before the next shot, per length. [1/m]

    Raises
    ------
    DomainError
        If a number or an absorption is negative or the fraction lies outside 0 to 1.

    Notes
    -----
    Valid: as one shot of it. Not covered: products that clear again, products that a bed does not hold.
    Equation: closed form of the recursion a' = (a + g)(1 - r). Source: balance of a stirred vessel.

    Examples
    --------
    A closed loop adds them up; with a tenth renewed they settle at nine shots' worth:

    >>> round(products_after_shots(1000, 1e-4, 0.0), 6), round(products_after_shots(1000, 1e-4, 0.1), 6)
    (0.1, 0.0009)
    """
    number = not_negative("shots", shots, "-")
    added = not_negative("products_per_shot", products_per_shot, "1/m")
    renewed = within("renewed_fraction", renewed_fraction, 0.0, 1.0, "-")
    there = not_negative("product_absorption", product_absorption, "1/m")
    return plain(there * _power(number, renewed) + added * (1 - renewed) * _series(number, renewed))


def dye_at_equilibrium(bleached_per_shot: ArrayLike, renewed_fraction: ArrayLike) -> Number:
    """Dye left before each shot once bleaching and renewal balance.

    Parameters
    ----------
    bleached_per_shot : float or array (...)
        Part of the dye there is that one shot destroys. [-]
    renewed_fraction : float or array, broadcasts
        Part of the solution that is new before each next shot. [-]

    Returns
    -------
    dye_left : broadcast shape
        Dye over that of new solution. [-]

    Raises
    ------
    DomainError
        If a fraction lies outside 0 to 1, or nothing is renewed.

    Notes
    -----
    Valid: well-mixed solution, many shots of the same energy. Not covered: evaporation.
    Equation: r / (1 - (1 - b)(1 - r)). Source: balance of a stirred vessel.

    Examples
    --------
    >>> dye_at_equilibrium(0.01, 1.0), round(dye_at_equilibrium(0.01, 0.01), 4)
    (1.0, 0.5025)
    """
    bleached = within("bleached_per_shot", bleached_per_shot, 0.0, 1.0, "-")
    renewed = positive("renewed_fraction", within("renewed_fraction", renewed_fraction, 0.0, 1.0, "-"), "-")
    return plain(renewed / (bleached + renewed - bleached * renewed))


def products_at_equilibrium(products_per_shot: ArrayLike, renewed_fraction: ArrayLike) -> Number:
    """Absorption by products before each shot once production and renewal balance.

    Parameters
    ----------
    products_per_shot : float or array (...)
        What one shot adds in the whole fill. [1/m]
    renewed_fraction : float or array, broadcasts
        Part of the solution that is new, or freed of products, before each next shot. [-]

    Returns
    -------
    product_absorption : broadcast shape
        Absorption per length. [1/m]

    Raises
    ------
    DomainError
        If an absorption is negative, the fraction lies outside 0 to 1, or nothing is renewed.

    Notes
    -----
    Valid: well-mixed solution, many shots of the same energy. Not covered: products that clear again.
    Equation: g (1 - r) / r. Source: balance of a stirred vessel.

    Examples
    --------
    >>> products_at_equilibrium(1e-4, 1.0), round(products_at_equilibrium(1e-4, 0.01), 6)
    (0.0, 0.0099)
    """
    added = not_negative("products_per_shot", products_per_shot, "1/m")
    renewed = positive("renewed_fraction", within("renewed_fraction", renewed_fraction, 0.0, 1.0, "-"), "-")
    return plain(added * (1 - renewed) / renewed)


def renewed_by_feed(volume_per_shot: ArrayLike, volume: ArrayLike) -> Number:
    """Part of a loop that is new after a shot when so much is bled off and fed.

    Parameters
    ----------
    volume_per_shot : float or array (...)
        Solution bled off, and as much fed, for each shot. [m^3]
    volume : float or array, broadcasts
        Solution in the whole loop. [m^3]

    Returns
    -------
    renewed_fraction : broadcast shape
        Part that is new. [-]

    Raises
    ------
    DomainError
        If the volume of a shot is negative or larger than the loop, or the loop has none.

    Notes
    -----
    Valid: old solution bled off first, then as much fed and mixed. Not covered: feeding while bleeding, which leaves
    more of the old: 1 - exp(-v / V) is renewed then, the same for small parts.
    Equation: v / V. Source: balance of a stirred vessel.

    Examples
    --------
    >>> renewed_by_feed(30e-6, 3e-3)
    0.01
    """
    whole = positive("volume", volume, "m^3")
    part = not_negative("volume_per_shot", volume_per_shot, "m^3") / whole
    return plain(within("volume_per_shot", part, 0.0, 1.0, "of the loop"))


def carried_over_fraction(
    volume_per_shot: ArrayLike, cell_volume: ArrayLike, cell_mixing: str = "swept from end to end"
) -> Number:
    """Part of the old fill left in the cell after so much new solution has passed through it.

    Parameters
    ----------
    volume_per_shot : float or array (...)
        New solution let through for each shot. [m^3]
    cell_volume : float or array, broadcasts
        Volume of the cell. [m^3]
    cell_mixing : {"swept from end to end", "well mixed"}
        The two bounds of what a real flush does.

    Returns
    -------
    fraction : broadcast shape
        Share of the old fill left. [-]

    Raises
    ------
    DomainError
        If the volume is negative, the cell has none, or there is no such way.

    Notes
    -----
    Valid: between the two ways lie real cells. Not covered: dead corners, which leave more.
    Equation: max(0, 1 - n) when swept, exp(-n) when mixed, n volumes of the cell. Source: balance of a stirred vessel.

    Examples
    --------
    >>> carried_over_fraction(20e-6, 10e-6), round(carried_over_fraction(20e-6, 10e-6, "well mixed"), 3)
    (0.0, 0.135)
    """
    cell = positive("cell_volume", cell_volume, "m^3")
    passed = not_negative("volume_per_shot", volume_per_shot, "m^3") / cell
    one_of("cell_mixing", cell_mixing, ("swept from end to end", "well mixed"))
    return plain(np.exp(-passed) if cell_mixing == "well mixed" else np.maximum(1 - passed, 0.0))


def removed_by_bed(bed_flow: ArrayLike, repeat_period: ArrayLike, volume: ArrayLike, bed_removal: ArrayLike) -> Number:
    """Part of a solute that a bed beside the loop takes out between two shots.

    Parameters
    ----------
    bed_flow : float or array (...)
        Volume flow through the bed. [m^3/s]
    repeat_period : float or array, broadcasts
        Time from one shot to the next. [s]
    volume : float or array, broadcasts
        Solution in the whole loop. [m^3]
    bed_removal : float or array, broadcasts
        Part that one pass of the bed takes out. [-]

    Returns
    -------
    fraction : broadcast shape
        Part of what was in the loop. [-]

    Raises
    ------
    DomainError
        If a flow or time is negative, the loop has no volume, or the part lies outside 0 to 1.

    Notes
    -----
    Valid: well-mixed loop, a bed whose removal stays as it is. Not covered: a bed that fills up, what it gives back;
    no figures of carbon beds for dye are published, so the removal must be measured.
    Equation: 1 - exp(-e q t / V). Source: balance of a stirred vessel with a side stream.

    Examples
    --------
    0.5 L/min through the bed for 30 s, 6 L in the loop, nine tenths taken out in a pass:

    >>> round(removed_by_bed(0.5e-3 / 60, 30.0, 6e-3, 0.9), 4)
    0.0368
    """
    passed = not_negative("bed_flow", bed_flow, "m^3/s") * not_negative("repeat_period", repeat_period, "s")
    turned = passed / positive("volume", volume, "m^3")
    return plain(-np.expm1(-within("bed_removal", bed_removal, 0.0, 1.0, "-") * turned))
