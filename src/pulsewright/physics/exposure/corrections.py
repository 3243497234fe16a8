"""Correction factors of the exposure limits, 400 to 1400 nm, for the editions that this package knows."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pulsewright.physics._choice import one_of
from pulsewright.physics._domain import Number, not_negative, plain, positive, within

#: IEC 60825-1:2014 and the older set that is still in law (Directive 2006/25/EC, ICNIRP 2000).
EDITIONS = ("IEC 60825-1:2014", "2006/25/EC")
#: Said wherever a number of these tables is shown.
OBTAIN_THE_STANDARD = "The table of this edition is carried from memory: obtain the standard before relying on it."

SMALLEST_SUBTENSE = 1.5e-3


def _nanometres(wavelength: ArrayLike) -> NDArray[np.float64]:
    return within("wavelength", wavelength, 400e-9, 1400e-9, "m") * 1e9


def near_infrared_factor(wavelength: ArrayLike) -> Number:
    """Correction factor C4 (also written C_A): less pigment absorption in the near infrared.

    Parameters
    ----------
    wavelength : float or array (...)
        Wavelength. [m]

    Returns
    -------
    factor : same shape
        C4. [-]

    Raises
    ------
    DomainError
        If wavelength lies outside 400 to 1400 nm.

    Notes
    -----
    Valid: 400 to 1400 nm, both editions. Not covered: other wavelengths.
    Equation: 1 below 700 nm; 10^(0.002 (lambda - 700)) to 1050 nm; 5 above.
    Source: Norwegian regulation on action and limit values, section 11-5.

    Examples
    --------
    >>> round(near_infrared_factor(800e-9), 3)
    1.585
    """
    nm = _nanometres(wavelength)
    return plain(np.where(nm < 700, 1.0, np.where(nm < 1050, 10 ** (0.002 * (np.minimum(nm, 1050) - 700)), 5.0)))


def photochemical_factor(wavelength: ArrayLike) -> Number:
    """Correction factor C3 (also written C_B) of the photochemical hazard.

    Parameters
    ----------
    wavelength : float or array (...)
        Wavelength. [m]

    Returns
    -------
    factor : same shape
        C3. [-]

    Raises
    ------
    DomainError
        If wavelength lies outside 400 to 600 nm.

    Notes
    -----
    Valid: 400 to 600 nm. Not covered: beyond, where the photochemical limit does not apply.
    Equation: 1 below 450 nm; 10^(0.02 (lambda - 450)) above.
    Source: Norwegian regulation on action and limit values, section 11-5.

    Examples
    --------
    >>> round(photochemical_factor(500e-9), 9)
    10.0
    """
    nm = within("wavelength", wavelength, 400e-9, 600e-9, "m") * 1e9
    return plain(10 ** (0.02 * np.maximum(nm - 450, 0.0)))


def water_absorption_factor(wavelength: ArrayLike, edition: str = "IEC 60825-1:2014") -> Number:
    """Correction factor C7 (also written C_C): absorption in front of the retina.

    Parameters
    ----------
    wavelength : float or array (...)
        Wavelength. [m]
    edition : {'IEC 60825-1:2014', '2006/25/EC'}
        Edition of the table.

    Returns
    -------
    factor : same shape
        C7. [-]

    Raises
    ------
    DomainError
        If wavelength lies outside 400 to 1400 nm, or the edition is not known.

    Notes
    -----
    Valid: 400 to 1400 nm. Not covered: the limit of the anterior eye, which the 2014 edition adds above 1200 nm.
    Equation: 1 to 1150 nm; 10^(0.018 (lambda - 1150)) to 1200 nm; then 8 (older), 8 + 10^(0.04 (lambda - 1250))
    (2014). Source: older: Norwegian regulation, section 11-5; 2014: from memory.

    Examples
    --------
    >>> water_absorption_factor(1064e-9), water_absorption_factor(1300e-9, "2006/25/EC")
    (1.0, 8.0)
    """
    nm = _nanometres(wavelength)
    above = 8.0 + (10 ** (0.04 * (nm - 1250)) if one_of("edition", edition, EDITIONS) == EDITIONS[0] else 0.0)
    between = 10 ** (0.018 * (np.clip(nm, 1150, 1200) - 1150))
    return plain(np.where(nm < 1200, between, above))


def largest_subtense(duration: ArrayLike, edition: str = "IEC 60825-1:2014") -> Number:
    """Angular subtense beyond which the retinal limit no longer rises with source size.

    Parameters
    ----------
    duration : float or array (...)
        Exposure duration. [s]
    edition : {'IEC 60825-1:2014', '2006/25/EC'}
        Edition of the table.

    Returns
    -------
    subtense : same shape
        alpha_max. [rad]

    Raises
    ------
    DomainError
        If duration is not positive, or the edition is not known.

    Notes
    -----
    Valid: 400 to 1400 nm. Not covered: other wavelengths.
    Equation: 2014: 5 mrad below 625 us, 200 sqrt(t) mrad to 0.25 s, 100 mrad above; older: 100 mrad.
    Source: from memory.

    Examples
    --------
    >>> largest_subtense(1e-6), largest_subtense(1e-6, "2006/25/EC")
    (0.005, 0.1)
    """
    t = positive("duration", duration, "s")
    if one_of("edition", edition, EDITIONS) == EDITIONS[1]:
        return plain(np.full_like(t, 0.1))
    return plain(np.clip(0.2 * np.sqrt(t), 0.005, 0.1))


def extended_source_factor(
    angular_subtense: ArrayLike, duration: ArrayLike, edition: str = "IEC 60825-1:2014"
) -> Number:
    """Correction factor C6 (also written C_E) of a source that is not a point.

    Parameters
    ----------
    angular_subtense : float or array (...)
        Angle that the apparent source takes up at the eye. [rad]
    duration : float or array, broadcasts
        Exposure duration. [s]
    edition : {'IEC 60825-1:2014', '2006/25/EC'}
        Edition of the table.

    Returns
    -------
    factor : broadcast shape
        C6. [-]

    Raises
    ------
    DomainError
        If angular_subtense is negative, duration not positive, or the edition is not known.

    Notes
    -----
    Valid: 400 to 1400 nm. A beam looked into is a point whatever its diameter. Not covered: uneven sources.
    Equation: 1 to 1.5 mrad; alpha/1.5 mrad to alpha_max; beyond it alpha_max/1.5 mrad (2014) or
    alpha^2/(1.5 * 100) mrad^2 (older). Source: older: Norwegian regulation, section 11-5; 2014: from memory.

    Examples
    --------
    >>> round(extended_source_factor(0.1, 1e-6), 2), round(extended_source_factor(0.1, 1e-6, "2006/25/EC"), 2)
    (3.33, 66.67)
    """
    alpha = np.maximum(not_negative("angular_subtense", angular_subtense, "rad"), SMALLEST_SUBTENSE)
    largest = np.asarray(largest_subtense(duration, edition))
    beyond = largest if one_of("edition", edition, EDITIONS) == EDITIONS[0] else alpha**2 / largest
    return plain(np.where(alpha <= largest, alpha, beyond) / SMALLEST_SUBTENSE)


def thermal_break_time(angular_subtense: ArrayLike) -> Number:
    """Duration T2 beyond which eye movement ends the growth of the thermal hazard.

    Parameters
    ----------
    angular_subtense : float or array (...)
        Angle that the apparent source takes up at the eye. [rad]

    Returns
    -------
    time : same shape
        T2. [s]

    Raises
    ------
    DomainError
        If angular_subtense is negative.

    Notes
    -----
    Valid: 400 to 1400 nm. Not covered: other wavelengths.
    Equation: 10 * 10^((alpha - 1.5)/98.5) s with alpha in mrad; 10 s below 1.5 mrad, 100 s above 100 mrad.
    Source: Norwegian regulation on action and limit values, section 11-5.

    Examples
    --------
    >>> thermal_break_time(0.0), thermal_break_time(0.2)
    (10.0, 100.0)
    """
    mrad = np.clip(not_negative("angular_subtense", angular_subtense, "rad") * 1e3, 1.5, 100.0)
    return plain(10 * 10 ** ((mrad - 1.5) / 98.5))


def photochemical_break_time(wavelength: ArrayLike) -> Number:
    """Duration T1 beyond which the photochemical limit rules.

    Parameters
    ----------
    wavelength : float or array (...)
        Wavelength. [m]

    Returns
    -------
    time : same shape
        T1. [s]

    Raises
    ------
    DomainError
        If wavelength lies outside 450 to 500 nm.

    Notes
    -----
    Valid: 450 to 500 nm, older set. Not covered: elsewhere.
    Equation: 10 * 10^(0.02 (lambda - 450)) s. Source: Norwegian regulation, section 11-5.

    Examples
    --------
    >>> round(photochemical_break_time(500e-9), 6)
    100.0
    """
    nm = within("wavelength", wavelength, 450e-9, 500e-9, "m") * 1e9
    return plain(10 * 10 ** (0.02 * (nm - 450)))


def photochemical_acceptance_angle(duration: ArrayLike) -> Number:
    """Acceptance angle over which the photochemical exposure is averaged.

    Parameters
    ----------
    duration : float or array (...)
        Exposure duration. [s]

    Returns
    -------
    angle : same shape
        gamma. [rad]

    Raises
    ------
    DomainError
        If duration is not positive.

    Notes
    -----
    Valid: 400 to 600 nm. Not covered: other wavelengths.
    Equation: 11 mrad to 100 s; 1.1 sqrt(t) mrad to 1e4 s; 110 mrad above.
    Source: Norwegian regulation on action and limit values, section 11-5.

    Examples
    --------
    >>> photochemical_acceptance_angle(10.0), round(photochemical_acceptance_angle(1e4), 6)
    (0.011, 0.11)
    """
    return plain(np.clip(1.1e-3 * np.sqrt(positive("duration", duration, "s")), 0.011, 0.11))
