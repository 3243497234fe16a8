"""The steady arc of a keep-alive current, from which a simmered lamp starts."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pulsewright.errors import DomainError
from pulsewright.physics.lamp.tables import PlasmaTables

Float = NDArray[np.float64]

#: Arc radii tried, over that of the bore, and how many.
RADII = (0.02, 0.95, 160)


def steady_arc(tables: PlasmaTables, current: float, bore: float) -> tuple[float, float, float]:
    """Radius, temperature and field of a steady arc that does not fill its bore.

    Parameters
    ----------
    tables : PlasmaTables
        Of one gas and fill.
    current : float
        Direct current. [A]
    bore : float
        Inner diameter. [m]

    Returns
    -------
    radius : float
        Of the conducting core. [m]
    temperature : float
        Of the core. [K]
    field : float
        Along the arc. [V/m]

    Raises
    ------
    DomainError
        If current or bore is not positive, or no core of any radius can carry the current in the table's range.

    Notes
    -----
    Valid: some 0.05 to 10 A; an order-of-magnitude start for a pulse, factor 2 in radius.
    Not covered: convection; the core is taken at the density of the cold fill, though it is thinner at equal pressure,
    which a pulse makes up for within the time sound needs across the bore.
    Equation: I^2 eta / (pi a^2) = 2 pi a F(T, a) + 2 pi S(T) / ln(R / a), with the radius of the lowest field.
    Source: energy balance with a core of even temperature; principle of least voltage, Steenbeck (1932), from memory.

    Examples
    --------
    >>> from pulsewright.physics.lamp.tables import plasma_tables
    >>> t = plasma_tables(3.2e24, 2.18e-25, [1.943e-18], [[(1.0, 0.0)], [(6.0, 0.0)]], 2.5e-19, 4.8e-19)
    >>> radius, temperature, field = steady_arc(t, 1.0, 7e-3)
    >>> 1e-4 < radius < 3.5e-3, 4000 < temperature < 20000
    (True, True)
    """
    if not (current > 0 and bore > 0):
        raise DomainError(
            f"current {current:g} A in a bore of {bore:g} m",
            argument="current",
            allowed="A current and a bore above zero",
            next_step="Give both",
        )
    radius = np.geomspace(RADII[0], RADII[1], RADII[2]) * bore / 2
    first, step = tables.log_radius
    place = np.clip((np.log(radius) - first) / step, 0, tables.log_exitance.shape[2] - 1.001)
    below, part = place.astype(int), place - place.astype(int)
    sent = (1 - part) * tables.log_exitance[0][:, below] + part * tables.log_exitance[0][:, below + 1]
    resistivity = np.exp(tables.log_resistivity[0])[:, None]
    lost = 2 * np.pi * radius * np.exp(sent)
    lost += 2 * np.pi * np.exp(tables.log_heat_potential[0])[:, None] / np.log(bore / 2 / radius)
    excess = np.log(current**2 * resistivity / (np.pi * radius**2)) - np.log(lost)
    return _of_least_field(tables, current, radius, excess)


def _of_least_field(tables: PlasmaTables, current: float, radius: Float, excess: Float) -> tuple[float, float, float]:
    """Balance along the table for every radius, then the radius of the lowest field."""
    fields = np.full(len(radius), np.inf)
    kelvins = np.zeros(len(radius))
    for column in range(len(radius)):
        crossing = np.nonzero((excess[:-1, column] > 0) & (excess[1:, column] <= 0))[0]
        if len(crossing) == 0:
            continue
        row = int(crossing[-1])
        part = excess[row, column] / (excess[row, column] - excess[row + 1, column])
        eta = np.exp((1 - part) * tables.log_resistivity[0, row] + part * tables.log_resistivity[0, row + 1])
        fields[column] = current * eta / (np.pi * radius[column] ** 2)
        kelvins[column] = (1 - part) * tables.temperature[0, row] + part * tables.temperature[0, row + 1]
    best = int(np.argmin(fields))
    if not np.isfinite(fields[best]):
        raise DomainError(
            f"no steady arc of {current:g} A is found",
            argument="current",
            allowed="Some 0.05 to 10 A at tens to hundreds of torr",
            next_step="Use more keep-alive current",
        )
    return float(radius[best]), float(kelvins[best]), float(fields[best])
