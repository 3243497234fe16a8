"""Diffraction loss at the edges of the mirrors."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import jn_zeros

from pulsewright.physics._domain import Number, plain, positive, within

#: Vainshtein's constant, -zeta(1/2)/sqrt(pi).
BETA = 0.824


def _edge_loss(fresnel_number: ArrayLike, first_term: float) -> NDArray[np.float64]:
    """First term over N, times the open-edge factor, as a fraction of power."""
    n = positive("fresnel_number", fresnel_number, "-")
    m = np.sqrt(8 * math.pi * n)
    return np.asarray(first_term / n * BETA * (m + BETA) * m**2 / ((m + BETA) ** 2 + BETA**2) ** 2)


def plane_strip_diffraction_loss(fresnel_number: ArrayLike, order: int = 1) -> Number:
    """Power lost per transit past the edges of plane-parallel strip mirrors.

    Parameters
    ----------
    fresnel_number : float or array (...)
        N, with half the width of the strip. [-]
    order : int
        Mode number, 1 for the lowest. [-]

    Returns
    -------
    loss : same shape
        Fraction of the power lost per transit. [-]

    Raises
    ------
    DomainError
        If fresnel_number is not positive or order below 1.

    Notes
    -----
    Valid: N of about 1 and more, low orders; 2 to 5 % from the exact eigenvalues. Not covered: ripple of the exact
    loss, tilt, curvature.
    Equation: (pi m^2/4N) beta (M + beta) M^2/((M + beta)^2 + beta^2)^2, M = sqrt(8 pi N), beta = 0.824.
    Source: Vainshtein, Sov. Phys. JETP 17, 709 (1963), from memory.

    Examples
    --------
    >>> round(100 * plane_strip_diffraction_loss(10.0), 3)
    0.349
    """
    m = float(within("order", order, 1.0, math.inf, "-"))
    return plain(_edge_loss(fresnel_number, math.pi * m**2 / 4))


def plane_circular_diffraction_loss(fresnel_number: ArrayLike, azimuthal_order: int = 0) -> Number:
    """Power lost per transit past the edges of plane-parallel round mirrors.

    Parameters
    ----------
    fresnel_number : float or array (...)
        N, with the radius of the mirror. [-]
    azimuthal_order : int
        0 for the lowest mode, 1 for the first azimuthal one. [-]

    Returns
    -------
    loss : same shape
        Fraction of the power lost per transit. [-]

    Raises
    ------
    DomainError
        If fresnel_number is not positive or azimuthal_order negative.

    Notes
    -----
    Valid: N of about 1 and more; 2 to 5 % from the exact eigenvalues. Not covered: ripple of the exact loss, tilt,
    higher radial orders.
    Equation: nu^2/(pi N) beta (M + beta) M^2/((M + beta)^2 + beta^2)^2, nu the first zero of the Bessel function.
    Source: Vainshtein, Sov. Phys. JETP 17, 709 (1963), from memory.

    Examples
    --------
    >>> round(100 * plane_circular_diffraction_loss(10.0), 3)
    0.818
    """
    order = int(within("azimuthal_order", azimuthal_order, 0.0, 20.0, "-"))
    nu = float(jn_zeros(order, 1)[0])
    return plain(_edge_loss(fresnel_number, nu**2 / math.pi))


def plane_circular_diffraction_loss_fit(fresnel_number: ArrayLike) -> Number:
    """Power lost per transit by the lowest mode of plane-parallel round mirrors, as a power law.

    Parameters
    ----------
    fresnel_number : float or array (...)
        N, with the radius of the mirror. [-]

    Returns
    -------
    loss : same shape
        Fraction of the power lost per transit. [-]

    Raises
    ------
    DomainError
        If fresnel_number is not positive.

    Notes
    -----
    Valid: N from 2 to about 50, within 8 %; 18 % high at N = 1. Not covered: other modes.
    Equation: 0.207 N^-1.4. Source: Fox and Li as quoted by Boyd and Gordon 1961, from memory.

    Examples
    --------
    >>> round(100 * plane_circular_diffraction_loss_fit(1.0), 1)
    20.7
    """
    return plain(0.207 * positive("fresnel_number", fresnel_number, "-") ** -1.4)


def confocal_circular_diffraction_loss(fresnel_number: ArrayLike) -> Number:
    """Power lost per transit by the lowest mode of symmetric confocal round mirrors.

    Parameters
    ----------
    fresnel_number : float or array (...)
        N, with the radius of the mirror. [-]

    Returns
    -------
    loss : same shape
        Fraction of the power lost per transit. [-]

    Raises
    ------
    DomainError
        If fresnel_number lies outside 0.5 to infinity.

    Notes
    -----
    Valid: large N; 22 % high at N = 0.8, 12 % at 1.2. Not covered: N below 0.5, where it exceeds the truth far.
    Equation: 16 pi^2 N exp(-4 pi N). Source: asymptote, from memory.

    Examples
    --------
    >>> round(confocal_circular_diffraction_loss(1.2) / 4.767e-5, 2)
    1.12
    """
    n = within("fresnel_number", fresnel_number, 0.5, math.inf, "-")
    return plain(16 * math.pi**2 * n * np.exp(-4 * math.pi * n))


def confocal_strip_diffraction_loss(fresnel_number: ArrayLike) -> Number:
    """Power lost per transit by the lowest mode of symmetric confocal strip mirrors.

    Parameters
    ----------
    fresnel_number : float or array (...)
        N, with half the width of the strip; a square mirror loses twice this. [-]

    Returns
    -------
    loss : same shape
        Fraction of the power lost per transit. [-]

    Raises
    ------
    DomainError
        If fresnel_number lies outside 0.5 to infinity.

    Notes
    -----
    Valid: large N; 11 % high at N = 0.8, 7 % at 1.2. Not covered: N below 0.5.
    Equation: 4 sqrt(pi c) exp(-2 c), c = 2 pi N. Source: asymptote, from memory.

    Examples
    --------
    >>> round(confocal_strip_diffraction_loss(0.8) / 6.162e-4, 2)
    1.11
    """
    c = 2 * math.pi * within("fresnel_number", fresnel_number, 0.5, math.inf, "-")
    return plain(4 * np.sqrt(math.pi * c) * np.exp(-2 * c))
