"""Radiation trapping: fluorescence that the solution absorbs again before it leaves the cell."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from pulsewright.physics._domain import Number, as_float, not_negative, plain, positive, within
from pulsewright.physics.chamber.cylinder import escape_probability


def trapped_fraction(emission: ArrayLike, absorption: ArrayLike, width: ArrayLike, radius: float) -> float:
    """Part of the fluorescence that is absorbed again inside a cylinder of solution.

    Parameters
    ----------
    emission : array (L,)
        Fluorescence per wavelength, any scale. [1/m]
    absorption : array (L,)
        Absorption coefficient of the dye. [1/m]
    width : array (L,)
        Width of each wavelength interval. [m]
    radius : float
        Of the solution. [m]

    Returns
    -------
    fraction : float
        Absorbed again. [-]

    Raises
    ------
    DomainError
        If a value is negative or nothing is emitted.

    Notes
    -----
    Valid: endless cylinder, emission even over the volume and in all directions, most dye in its ground state.
    Not covered: total reflection at the wall, light that the chamber's wall sends back (both keep more), emission
    gathered near the wall (which lets more out), gain.
    Equation: 1 - sum(E p dlambda) / sum(E dlambda), p the escape probability at each wavelength.
    Source: definition; escape by reciprocity as in `escape_probability`.

    Examples
    --------
    >>> round(trapped_fraction([1.0, 1.0], [0.0, 1e6], [1e-9, 1e-9], 4e-3), 2)   # half of it meets a black solution
    0.5
    """
    weight = not_negative("emission", emission, "1/m") * positive("width", width, "m")
    depth = not_negative("absorption", absorption, "1/m") * float(positive("radius", radius, "m"))
    escape = as_float(escape_probability(depth))
    total = float(positive("emission", weight.sum(), "-"))
    return float(np.clip(1.0 - float(weight @ escape) / total, 0.0, 1.0))


def trapped_lifetime(lifetime: ArrayLike, quantum_yield: ArrayLike, fraction: ArrayLike) -> Number:
    """Decay time of S1 when part of its fluorescence excites the dye anew.

    Parameters
    ----------
    lifetime : float or array (...)
        In dilute solution. [s]
    quantum_yield : float or array, broadcasts
        Of the fluorescence in dilute solution. [-]
    fraction : float or array, broadcasts
        Of the fluorescence that is absorbed again. [-]

    Returns
    -------
    lifetime : broadcast shape
        In the cell. [s]

    Raises
    ------
    DomainError
        If the lifetime is not positive, a fraction outside 0 to 1, or nothing ever leaves.

    Notes
    -----
    Valid: what is absorbed again reaches S1 and is emitted with the same spectrum and place.
    Not covered: the first rise, before the mean over the cell is reached.
    Equation: tau / (1 - y f). Source: balance of S1; Milne 1930 and Holstein, Phys. Rev. 72, 1212 (1947), for atoms
    (from memory).

    Examples
    --------
    >>> round(trapped_lifetime(3.5e-9, 0.95, 0.285) * 1e9, 2)
    4.8
    """
    kept = within("quantum_yield", quantum_yield, 0.0, 1.0, "-") * within("fraction", fraction, 0.0, 1.0, "-")
    lost = positive("1 - quantum_yield fraction", 1.0 - kept, "-")
    return plain(positive("lifetime", lifetime, "s") / lost)
