"""Distances in air and along surfaces that high voltage needs, by the tables of IEC 60664-1.

For parts of a product and of a rig. They are no distance for people: nobody reaches into a charged rig.
"""

from __future__ import annotations

import bisect

import numpy as np
from numpy.typing import ArrayLike

from pulsewright.errors import DomainError
from pulsewright.physics._choice import one_of
from pulsewright.physics._domain import Number, plain, positive, within

#: IEC 60664-1 Table F.2, to 2000 m: impulse voltage [kV], clearance [mm] in an inhomogeneous and a homogeneous field.
#: A of the first four rows and both of the last two: copies in a railway low-voltage table and connector catalogues.
#: B of 8, 10, 40, 50 and 60 kV: read from a scan of the same kind. All others from memory; 12 and 15 kV stand within
#: 0.3 mm of the straight line between their neighbours.
TABLE_F2 = (
    (1.5, 0.5, 0.3),
    (2.5, 1.5, 0.6),
    (4.0, 3.0, 1.2),
    (6.0, 5.5, 2.0),
    (8.0, 8.0, 3.0),
    (10.0, 11.0, 3.5),
    (12.0, 14.0, 4.5),
    (15.0, 18.0, 5.5),
    (20.0, 25.0, 8.0),
    (25.0, 33.0, 10.0),
    (30.0, 40.0, 12.5),
    (40.0, 60.0, 17.0),
    (50.0, 75.0, 22.0),
    (60.0, 90.0, 27.0),
    (80.0, 130.0, 35.0),
    (100.0, 170.0, 45.0),
)
#: IEC 60664-1 Table A.2: altitude [m] and factor on clearances (from memory).
TABLE_A2 = ((2000.0, 1.0), (3000.0, 1.14), (4000.0, 1.29), (5000.0, 1.48))


def clearance(impulse_voltage: float, field_shape: str = "inhomogeneous", altitude: float = 0.0) -> float:
    """Shortest distance in air between parts, by IEC 60664-1 Table F.2.

    Parameters
    ----------
    impulse_voltage : float
        Highest impulse between the parts, to 100 kV. [V]
    field_shape : {"inhomogeneous", "homogeneous"}
        Case A, for wiring and anything with edges; case B needs a proven field and a test.
    altitude : float
        Height above the sea, to 5000 m. [m]

    Returns
    -------
    clearance : float
        Distance in air. [m]

    Raises
    ------
    DomainError
        If the voltage is not above 0 or is beyond 100 kV, the altitude beyond 5000 m, or the field neither word.

    Notes
    -----
    Valid: basic insulation against impulses, clean air. A voltage between two rows takes the larger row: whether the
    edition in force lets this table be interpolated is not established here, and the larger row is safe either way.
    Not covered: steady voltage with partial discharge, creepage along surfaces, distances for people. The edition in
    force and licensed practice decide.
    Equation: lookup, times the factor of `altitude_clearance_factor`.
    Source: IEC 60664-1, Table F.2: rows as quoted in a railway low-voltage table and in connector catalogues, others
    from memory.

    Examples
    --------
    >>> clearance(4e3), clearance(95e3), clearance(100e3, "homogeneous")
    (0.003, 0.17, 0.045)
    """
    column = 1 if one_of("field_shape", field_shape, ("inhomogeneous", "homogeneous")) == "inhomogeneous" else 2
    kilovolts = float(positive("impulse_voltage", impulse_voltage, "V")) / 1e3
    row = bisect.bisect_left([row[0] for row in TABLE_F2], kilovolts)
    if row == len(TABLE_F2):
        raise DomainError(
            f"impulse_voltage is {kilovolts:g} kV",
            argument="impulse_voltage",
            allowed="Allowed: to 100 kV, the last row of the table",
            next_step="Use the standard itself",
        )
    return TABLE_F2[row][column] / 1e3 * float(altitude_clearance_factor(altitude))


def altitude_clearance_factor(altitude: ArrayLike) -> Number:
    """Factor by which a distance in air must grow above 2000 m.

    Parameters
    ----------
    altitude : float or array (...)
        Height above the sea, to 5000 m. [m]

    Returns
    -------
    altitude_factor : same shape
        Factor on the clearance; 1 up to 2000 m. [-]

    Raises
    ------
    DomainError
        If the altitude is outside -500 to 5000 m.

    Notes
    -----
    Valid: clearances in air. Not covered: creepage.
    Equation: lookup, straight between 2000 m: 1; 3000 m: 1.14; 4000 m: 1.29; 5000 m: 1.48.
    Source: IEC 60664-1, Table A.2 (from memory).

    Examples
    --------
    >>> altitude_clearance_factor(1500.0), altitude_clearance_factor(3000.0)
    (1.0, 1.14)
    """
    height = within("altitude", altitude, -500.0, 5000.0, "m")
    heights, factors = zip(*TABLE_A2, strict=True)
    return plain(np.interp(height, heights, factors))


def creepage(working_voltage: ArrayLike, creepage_rate: ArrayLike = 100e3) -> Number:
    """Shortest distance along an insulating surface, at so many kilovolts a metre.

    Parameters
    ----------
    working_voltage : float or array (...)
        Voltage that stands for long between the parts, effective value. [V]
    creepage_rate : float or array, broadcasts
        Voltage per distance; the default is 10 mm for each kilovolt. [V/m]

    Returns
    -------
    creepage : broadcast shape
        Distance along the surface. [m]

    Raises
    ------
    DomainError
        If the voltage is negative or the rate is not positive.

    Notes
    -----
    Valid: clean, dry laboratory (pollution degree 2), to about 10 kV.
    Not covered: dye, solvent or coolant on the surface, dust, humidity: up to three times as much (100, 140 and
    320 mm stand in the table for 10 kV).
    Equation: d = V / (100 kV/m). Source: IEC 60664-1, Table F.4, row of 10 kV: 100 mm (read from a scan).

    Examples
    --------
    >>> creepage(10e3)
    0.1
    """
    rate = positive("creepage_rate", creepage_rate, "V/m")
    volts = within("working_voltage", working_voltage, 0.0, 1e6, "V")
    return plain(volts / rate)
