"""Wear of the dye: bleaching by absorbed light, and the products that absorb at the laser wavelength."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike
from scipy import constants

from pulsewright.physics._domain import Number, not_negative, plain, positive, within


def bleached_fraction(
    absorbed_energy: ArrayLike, wavelength: ArrayLike, bleaching_probability: ArrayLike, dye_amount: ArrayLike
) -> Number:
    """Part of a fill of dye destroyed by the light it absorbs, while little of it is gone.

    Parameters
    ----------
    absorbed_energy : float or array (...)
        Light absorbed by the dye. [J]
    wavelength : float or array, broadcasts
        Mean vacuum wavelength of that light. [m]
    bleaching_probability : float or array, broadcasts
        Molecules destroyed per absorbed photon. [-]
    dye_amount : float or array, broadcasts
        Dye in the whole fill. [mol]

    Returns
    -------
    fraction : broadcast shape
        Destroyed molecules over molecules present at the start; above about 0.3 read it as "used up". [-]

    Raises
    ------
    DomainError
        If an energy is negative, a probability outside 0 to 1, or wavelength or amount not positive.

    Notes
    -----
    Valid: fractions well below one, light below about 10 MW/m^2. Not covered: two-step photolysis at higher irradiance,
    the larger yields of ultraviolet bands, protection by stimulated emission.
    Equation: p (E lambda / h c) / (N_A n). Source: definition of the bleaching probability.

    Examples
    --------
    1 MJ of lamp input, 5 % absorbed at 530 nm, in a litre at 1e-4 mol/L, one molecule lost in 1e5 photons:

    >>> round(bleached_fraction(5e4, 530e-9, 1e-5, 1e-4), 3)
    0.022
    """
    light = not_negative("absorbed_energy", absorbed_energy, "J") * positive("wavelength", wavelength, "m")
    photons = light / (constants.h * constants.c)
    lost = photons * within("bleaching_probability", bleaching_probability, 0.0, 1.0, "-")
    return plain(lost / (constants.N_A * positive("dye_amount", dye_amount, "mol")))


def half_output_dose(absorption_per_dose: ArrayLike, half_output_absorption: ArrayLike = 0.012) -> Number:
    """Lamp energy per volume of dye after which the output has fallen to half.

    Parameters
    ----------
    absorption_per_dose : float or array (...)
        Absorption at the laser wavelength over the head, created per lamp energy and volume of dye. [m^3/J]
    half_output_absorption : float or array, broadcasts
        Absorption in the head at which output is halved; 0.012, with a range of 0.003 to 0.021. [-]

    Returns
    -------
    dose : broadcast shape
        Lamp energy per volume. [J/m^3]

    Raises
    ------
    DomainError
        If the absorption per dose is not positive or the limit outside 0 to 1.

    Notes
    -----
    Valid: coumarins and quinolones in a flashlamp head, whatever their concentration and solvent; only a tenth to a
    fifth of the dye is gone by then. Taken over for rhodamines as a discard rule. Heads compare by A1 tau1 = A2 tau2.
    Not covered: products that clear again, regenerated dye.
    Equation: A tau = 1.2 % +- 0.9 %. Source: Fletcher, Laser dye stability, Part 5, doi 10.1007/BF00885124, abstract.

    Examples
    --------
    A dye that gains 0.1 % absorption per 100 MJ/m^3 (100 kJ per litre):

    >>> half_output_dose(0.001 / 1e8)
    1200000000.0
    """
    limit = within("half_output_absorption", half_output_absorption, 0.0, 1.0, "-")
    return plain(limit / positive("absorption_per_dose", absorption_per_dose, "m^3/J"))


def transferred_half_output_dose(
    half_output_dose: ArrayLike, absorption_per_dose: ArrayLike, other_absorption_per_dose: ArrayLike
) -> Number:
    """Lamp energy per volume that halves the output in one head, from that of another head with the same dye.

    Parameters
    ----------
    half_output_dose : float or array (...)
        Dose to half the output in the head where it was measured. [J/m^3]
    absorption_per_dose : float or array, broadcasts
        Absorption at the laser wavelength created per dose in that head. [m^3/J]
    other_absorption_per_dose : float or array, broadcasts
        The same in the other head. [m^3/J]

    Returns
    -------
    half_output_dose : broadcast shape
        Dose to half the output in the other head. [J/m^3]

    Raises
    ------
    DomainError
        If any value is not positive.

    Notes
    -----
    Valid: coumarins and quinolones in flashlamp heads. Not covered: heads that tolerate more loss than each other.
    Equation: A1 tau1 = A2 tau2. Source: Fletcher, Laser dye stability, Part 5, doi 10.1007/BF00885124, abstract.

    Examples
    --------
    A head that makes twice the absorption from the same dose lives half as long:

    >>> transferred_half_output_dose(4e8, 1e-11, 2e-11)
    200000000.0
    """
    dose = positive("half_output_dose", half_output_dose, "J/m^3")
    ratio = positive("absorption_per_dose", absorption_per_dose, "m^3/J") / positive(
        "other_absorption_per_dose", other_absorption_per_dose, "m^3/J"
    )
    return plain(dose * ratio)


def bleached_amount(absorbed_energy: ArrayLike, wavelength: ArrayLike, bleaching_probability: ArrayLike) -> Number:
    """Dye destroyed by light of several bands, each with its own probability.

    Parameters
    ----------
    absorbed_energy : float or array (..., B)
        Light absorbed by the dye in each band. [J]
    wavelength : float or array (B,), broadcasts
        Vacuum wavelength of each band. [m]
    bleaching_probability : float or array (B,), broadcasts
        Molecules destroyed per absorbed photon in each band. [-]

    Returns
    -------
    dye_amount : array (...)
        Dye destroyed, summed over the bands. [mol]

    Raises
    ------
    DomainError
        If an energy is negative, a wavelength not positive or a probability outside 0 to 1.

    Notes
    -----
    Valid: light below about 10 MW/m^2. Not covered: two-step photolysis at higher irradiance, protection by stimulated
    emission. Equation: sum of p E lambda / (h c N_A). Source: definition of the bleaching probability.

    Examples
    --------
    50 kJ absorbed at 530 nm, one molecule lost in 1e5 photons, 1 kJ at 250 nm, one in 1e3:

    >>> round(1e6 * float(bleached_amount([5e4, 1e3], [530e-9, 250e-9], [1e-5, 1e-3])), 2)
    4.31
    """
    light = not_negative("absorbed_energy", absorbed_energy, "J") * positive("wavelength", wavelength, "m")
    lost = light * within("bleaching_probability", bleaching_probability, 0.0, 1.0, "-")
    summed = np.sum(np.atleast_1d(lost), axis=-1)
    return plain(summed / (constants.h * constants.c * constants.N_A))


def dose_per_shot(lamp_energy: ArrayLike, volume: ArrayLike) -> Number:
    """Lamp energy that one shot gives to each volume of the solution that shares it.

    Parameters
    ----------
    lamp_energy : float or array (...)
        Energy given to the lamps in one shot. [J]
    volume : float or array, broadcasts
        Solution that mixes between shots: the whole loop, or the cell alone when it stands. [m^3]

    Returns
    -------
    dose : broadcast shape
        Lamp energy per volume. [J/m^3]

    Raises
    ------
    DomainError
        If the energy is negative or the volume not positive.

    Notes
    -----
    Valid: solution that is mixed before the next shot. Not covered: layers within the cell.
    Equation: E / V. Source: definition.

    Examples
    --------
    150 J into the lamps, 6 litres in the loop:

    >>> dose_per_shot(150.0, 6e-3)
    25000.0
    """
    return plain(not_negative("lamp_energy", lamp_energy, "J") / positive("volume", volume, "m^3"))


def products_per_dose(dose: ArrayLike, absorption_per_dose: ArrayLike, length: ArrayLike) -> Number:
    """Absorption coefficient at the laser wavelength by products of a dose.

    Parameters
    ----------
    dose : float or array (...)
        Lamp energy per volume of solution. [J/m^3]
    absorption_per_dose : float or array, broadcasts
        Absorption over the length of the head, created per dose. [m^3/J]
    length : float or array, broadcasts
        Length of dye over which that absorption was seen. [m]

    Returns
    -------
    product_absorption : broadcast shape
        Absorption per length. [1/m]

    Raises
    ------
    DomainError
        If a dose is negative, or absorption per dose or length not positive.

    Notes
    -----
    Valid: absorptions of a few percent, where absorption and exponent are the same. Not covered: products that clear
    again, dose rates so high that photolysis takes two steps.
    Equation: A D / l. Source: definition of the absorption per dose.

    Examples
    --------
    1.2 % over 150 mm after 500 MJ per cubic metre:

    >>> round(float(products_per_dose(5e8, 0.012 / 5e8, 0.15)), 3)
    0.08
    """
    made = not_negative("dose", dose, "J/m^3") * positive("absorption_per_dose", absorption_per_dose, "m^3/J")
    return plain(made / positive("length", length, "m"))
