"""Wear of the dye: bleaching by absorbed light, and the products that absorb at the laser wavelength."""

from __future__ import annotations

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
