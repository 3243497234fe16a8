"""Ray (ABCD) matrices of a paraxial beam path, and second moments carried through them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pulsewright.physics._domain import Number, a_number, as_float, not_negative, plain, positive, refuse


class SecondMoments(NamedTuple):
    """Second moments of a beam, in full widths: squared diameter, product, squared divergence."""

    diameter_squared: Number
    product: Number
    divergence_squared: Number


def free_space(length: float) -> NDArray[np.float64]:
    """Ray matrix of a straight path in one medium.

    Parameters
    ----------
    length : float
        Length of the path, divided by the refractive index where that is not one. [m]

    Returns
    -------
    matrix : (2, 2)
        Ray matrix for (height [m], angle [rad]).

    Raises
    ------
    DomainError
        If length is negative.

    Notes
    -----
    Valid: paraxial rays. Not covered: diffraction, aberration.
    Equation: [[1, L], [0, 1]]. Source: Kogelnik and Li, "Laser beams and resonators", Appl. Opt. 5, 1550 (1966).

    Examples
    --------
    >>> free_space(2.0)
    array([[1., 2.],
           [0., 1.]])
    """
    span = float(not_negative("length", length, "m"))
    return np.array([[1.0, span], [0.0, 1.0]])


def thin_lens(focal_length: float) -> NDArray[np.float64]:
    """Ray matrix of a thin lens; an infinite focal length is a plane surface.

    Parameters
    ----------
    focal_length : float
        Focal length, positive for a converging lens; a mirror of radius R has R/2. [m]

    Returns
    -------
    matrix : (2, 2)
        Ray matrix for (height [m], angle [rad]).

    Raises
    ------
    DomainError
        If focal_length is 0.

    Notes
    -----
    Valid: paraxial rays. Not covered: aberration, thickness.
    Equation: [[1, 0], [-1/f, 1]]. Source: Kogelnik and Li, Appl. Opt. 5, 1550 (1966).

    Examples
    --------
    >>> thin_lens(0.5)
    array([[ 1.,  0.],
           [-2.,  1.]])
    """
    f = a_number("focal_length", focal_length, "m")
    refuse("focal_length", f, f == 0, "any length but 0", "m")
    return np.array([[1.0, 0.0], [float(-1.0 / f), 1.0]])


def compose(matrices: Sequence[ArrayLike]) -> NDArray[np.float64]:
    """Ray matrix of several elements met in the order given.

    Parameters
    ----------
    matrices : sequence of (2, 2)
        Ray matrices, the first met first.

    Returns
    -------
    matrix : (2, 2)
        Their product, the last on the left.

    Notes
    -----
    Valid: paraxial rays. Not covered: apertures, which are not linear.
    Equation: M = M_n ... M_2 M_1. Source: Kogelnik and Li, Appl. Opt. 5, 1550 (1966).

    Examples
    --------
    >>> compose([free_space(1.0), thin_lens(0.5), free_space(1.0)])
    array([[-1.,  0.],
           [-2., -1.]])
    """
    product = np.eye(2)
    for matrix in matrices:
        product = np.asarray(matrix, dtype=np.float64) @ product
    return product


def moments_of_waist(diameter: ArrayLike, divergence: ArrayLike) -> SecondMoments:
    """Second moments of a beam at its waist.

    Parameters
    ----------
    diameter : float or array (...)
        Waist diameter. [m]
    divergence : float or array, broadcasts
        Full divergence angle. [rad]

    Returns
    -------
    diameter_squared : broadcast shape
        Squared diameter. [m^2]
    product : broadcast shape
        Mixed moment, zero at a waist. [m rad]
    divergence_squared : broadcast shape
        Squared full divergence. [rad^2]

    Raises
    ------
    DomainError
        If diameter is not positive or divergence negative.

    Notes
    -----
    Valid: any beam with finite second moments. Not covered: astigmatism.
    Equation: (d^2, 0, Theta^2). Source: definition, ISO 11146-1.

    Examples
    --------
    >>> moments_of_waist(0.008, 0.0)
    SecondMoments(diameter_squared=6.4e-05, product=0.0, divergence_squared=0.0)
    """
    d, theta = np.broadcast_arrays(positive("diameter", diameter, "m"), not_negative("divergence", divergence, "rad"))
    return SecondMoments(plain(d**2), plain(np.zeros(d.shape)), plain(theta**2))


def transform(moments: SecondMoments, matrix: ArrayLike) -> SecondMoments:
    """Second moments after a ray matrix.

    Parameters
    ----------
    moments : SecondMoments (...)
        Moments before the element.
    matrix : (2, 2)
        Ray matrix of the element.

    Returns
    -------
    diameter_squared : (...)
        Squared diameter behind the element. [m^2]
    product : (...)
        Mixed moment behind it. [m rad]
    divergence_squared : (...)
        Squared full divergence behind it. [rad^2]

    Notes
    -----
    Valid: paraxial path without apertures; the product d^2 Theta^2 - p^2 is conserved. Not covered: aberration.
    Equation: P' = M P M^T. Source: definition of the moments; ISO 11146-1.

    Examples
    --------
    >>> round(transform(moments_of_waist(0.003, 0.004), free_space(1.0)).diameter_squared, 12)
    2.5e-05
    """
    (a, b), (c, d) = np.asarray(matrix, dtype=np.float64)
    xx, xt, tt = (as_float(moment) for moment in moments)
    return SecondMoments(
        plain(a * a * xx + 2 * a * b * xt + b * b * tt),
        plain(a * c * xx + (a * d + b * c) * xt + b * d * tt),
        plain(c * c * xx + 2 * c * d * xt + d * d * tt),
    )
