"""The first-version beam: a bore-filling near field whose divergence is known as an interval only."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pulsewright.physics._domain import Number, not_negative, plain, positive, within
from pulsewright.physics.beam.train import propagate

#: Peak over mean fluence of a multimode dye beam without a relay image: 2 to 3, from memory.
HOT_SPOT_FACTOR = 2.5
HOT_SPOT_FACTOR_RANGE = (2.0, 3.0)
#: Divergences tried between the two bounds when the smallest and largest beam on a surface are sought.
DIVERGENCES_TRIED = 17


class BeamOnSurfaces(NamedTuple):
    """What the first-version beam does on every surface of a train; the last axis is `surface`."""

    divergence_low: float
    divergence_high: float
    diameter_low: NDArray[np.float64]
    diameter_high: NDArray[np.float64]
    energy: NDArray[np.float64]
    lost_low: NDArray[np.float64]
    lost_high: NDArray[np.float64]
    fluence: NDArray[np.float64]
    irradiance: NDArray[np.float64]


def diffraction_divergence(diameter: ArrayLike, wavelength: ArrayLike) -> Number:
    """Full divergence angle of an evenly filled round beam at the diffraction limit, to the first dark ring.

    Parameters
    ----------
    diameter : float or array (...)
        Diameter of the filled aperture. [m]
    wavelength : float or array, broadcasts
        Wavelength in the medium of propagation. [m]

    Returns
    -------
    divergence : broadcast shape
        Full angle between opposite sides of the first dark ring. [rad]

    Raises
    ------
    DomainError
        If diameter or wavelength is not positive.

    Notes
    -----
    Valid: flat phase, far field; 83.8 % of the power lies inside. Not covered: several modes.
    Equation: 2 * 1.21967 lambda/D, 1.21967 pi being the first zero of J1. Source: Airy pattern, textbook.

    Examples
    --------
    >>> round(diffraction_divergence(0.008, 590e-9) * 1e6, 1)
    179.9
    """
    d, wave = positive("diameter", diameter, "m"), positive("wavelength", wavelength, "m")
    return plain(2 * 1.2196698912665045 * wave / d)


def geometric_divergence(diameter: ArrayLike, resonator_length: ArrayLike) -> Number:
    """Full divergence angle that the geometry of a straight tube allows in one transit.

    Parameters
    ----------
    diameter : float or array (...)
        Bore of the tube. [m]
    resonator_length : float or array, broadcasts
        Distance between the mirrors. [m]

    Returns
    -------
    divergence : broadcast shape
        Full angle. [rad]

    Raises
    ------
    DomainError
        If an argument is not positive.

    Notes
    -----
    Valid: upper bound for plane mirrors; each round trip that the light makes narrows it. Not covered: lenses in the
    medium, tilted mirrors.
    Equation: bore/length. Source: geometry; from memory as the rule of the trade.

    Examples
    --------
    >>> geometric_divergence(0.008, 0.4)
    0.02
    """
    return plain(positive("diameter", diameter, "m") / positive("resonator_length", resonator_length, "m"))


def divergence_interval(
    diameter: ArrayLike, wavelength: ArrayLike, resonator_length: ArrayLike
) -> tuple[Number, Number]:
    """Interval that holds the full divergence angle of a bore-filling beam.

    Parameters
    ----------
    diameter : float or array (...)
        Bore that the beam fills. [m]
    wavelength : float or array, broadcasts
        Wavelength. [m]
    resonator_length : float or array, broadcasts
        Distance between the mirrors. [m]

    Returns
    -------
    divergence_low : broadcast shape
        Diffraction limit: full angle to the first dark ring. [rad]
    divergence_high : broadcast shape
        Geometric bound, never below the diffraction limit. [rad]

    Raises
    ------
    DomainError
        If an argument is not positive.

    Notes
    -----
    Valid: plane mirrors, evenly filled bore. Not covered: thermal lens, wavefront error beyond the bound.
    Equation: [2 * 1.22 lambda/D, max(D/L, 2 * 1.22 lambda/D)].
    Source: `diffraction_divergence`, `geometric_divergence`.

    Examples
    --------
    >>> [round(angle * 1e3, 3) for angle in divergence_interval(0.008, 590e-9, 0.4)]
    [0.18, 20.0]
    """
    low = diffraction_divergence(diameter, wavelength)
    return low, plain(np.maximum(geometric_divergence(diameter, resonator_length), low))


def mean_fluence(energy: ArrayLike, diameter: ArrayLike) -> Number:
    """Mean fluence of a round, evenly filled beam.

    Parameters
    ----------
    energy : float or array (...)
        Energy of the pulse. [J]
    diameter : float or array, broadcasts
        Beam diameter. [m]

    Returns
    -------
    fluence : broadcast shape
        Energy per area. [J/m^2]

    Raises
    ------
    DomainError
        If energy is negative or diameter not positive.

    Notes
    -----
    Valid: even filling. Not covered: hot spots, see `peak_fluence`.
    Equation: E/(pi d^2/4). Source: definition.

    Examples
    --------
    >>> round(mean_fluence(1.0, 0.007))
    25984
    """
    d = positive("diameter", diameter, "m")
    return plain(not_negative("energy", energy, "J") / (math.pi * d**2 / 4))


def peak_fluence(energy: ArrayLike, diameter: ArrayLike, hot_spot_factor: ArrayLike = HOT_SPOT_FACTOR) -> Number:
    """Fluence in the hot spots of a multimode beam.

    Parameters
    ----------
    energy : float or array (...)
        Energy of the pulse. [J]
    diameter : float or array, broadcasts
        Beam diameter. [m]
    hot_spot_factor : float or array, broadcasts
        Peak over mean fluence; 2 to 3 without a relay image, 1.5 with a good one. [-]

    Returns
    -------
    fluence : broadcast shape
        Peak fluence. [J/m^2]

    Raises
    ------
    DomainError
        If energy is negative, diameter not positive, or hot_spot_factor below 1.

    Notes
    -----
    Valid: multimode dye beam. Not covered: dust, self-focusing, spread from shot to shot.
    Equation: h E/(pi d^2/4). Source: factor from memory, 2 to 3; makers' guidance gives 2 for a Gaussian.

    Examples
    --------
    >>> round(peak_fluence(1.0, 0.008, 2.5))
    49736
    """
    factor = within("hot_spot_factor", hot_spot_factor, 1.0, math.inf, "-")
    return plain(factor * mean_fluence(energy, diameter))


def peak_irradiance(power: ArrayLike, diameter: ArrayLike, hot_spot_factor: ArrayLike = HOT_SPOT_FACTOR) -> Number:
    """Irradiance in the hot spots of a multimode beam.

    Parameters
    ----------
    power : float or array (...)
        Power of the beam. [W]
    diameter : float or array, broadcasts
        Beam diameter. [m]
    hot_spot_factor : float or array, broadcasts
        Peak over mean irradiance; 2 to 3 without a relay image, 1.5 with a good one. [-]

    Returns
    -------
    irradiance : broadcast shape
        Peak irradiance. [W/m^2]

    Raises
    ------
    DomainError
        If power is negative, diameter not positive, or hot_spot_factor below 1.

    Notes
    -----
    Valid: multimode dye beam. Not covered: spikes shorter than the time resolution of the power.
    Equation: h P/(pi d^2/4). Source: factor from memory, as in `peak_fluence`.

    Examples
    --------
    >>> round(peak_irradiance(10.0, 0.01, 1.0))
    127324
    """
    factor = within("hot_spot_factor", hot_spot_factor, 1.0, math.inf, "-")
    d = positive("diameter", diameter, "m")
    return plain(factor * not_negative("power", power, "W") / (math.pi * d**2 / 4))


def first_version(
    output_energy: float,
    peak_power: float,
    wavelength: float,
    bore: float,
    resonator_length: float,
    distances: ArrayLike,
    focal_lengths: ArrayLike,
    apertures: ArrayLike,
    throughputs: ArrayLike,
    hot_spot_factor: float = HOT_SPOT_FACTOR,
) -> BeamOnSurfaces:
    """The beam on every surface of a train, with the smallest credible beam for the margins.

    Parameters
    ----------
    output_energy : float
        Energy of the pulse behind the coupler. [J]
    peak_power : float
        Peak power behind the coupler. [W]
    wavelength : float
        Wavelength. [m]
    bore : float
        Bore of the dye cell, filled by the beam. [m]
    resonator_length : float
        Distance between the mirrors. [m]
    distances : array (surface)
        Distance of each surface from the coupler, in rising order. [m]
    focal_lengths : array (surface)
        Focal length of each surface; infinity for none. [m]
    apertures : array (surface)
        Clear diameter of each surface; infinity where it never clips. [m]
    throughputs : array (surface)
        Fraction of the energy that goes on behind each surface: reflectivity of a mirror, transmission of a lens. [-]
    hot_spot_factor : float
        Peak over mean fluence. [-]

    Returns
    -------
    divergence_low : float
        Diffraction limit, full angle. [rad]
    divergence_high : float
        Geometric bound, full angle. [rad]
    diameter_low : (surface)
        Smallest credible beam diameter on each surface. [m]
    diameter_high : (surface)
        Largest credible beam diameter, after clipping on the way. [m]
    energy : (surface)
        Most energy that can arrive at each surface: the least clipping on the way. [J]
    lost_low : (surface)
        Fraction stopped by the aperture of each surface, least divergent beam. [-]
    lost_high : (surface)
        The same, most divergent beam. [-]
    fluence : (surface)
        Peak fluence for the smallest credible beam. [J/m^2]
    irradiance : (surface)
        Peak irradiance for the smallest credible beam. [W/m^2]

    Raises
    ------
    DomainError
        If an argument cannot be used, or the lists differ in length.

    Notes
    -----
    Valid: evenly filled bore, plane mirrors, waist at the coupler. Not covered: modes, thermal lens, ghosts.
    Equation: `divergence_interval`, `propagate`, `peak_fluence`; 17 divergences between the bounds, worst on each
    surface taken. Source: as there; the hot-spot factor is from memory.

    Examples
    --------
    >>> beam = first_version(0.8, 1.1e5, 590e-9, 0.008, 0.4, [0.6], [float("inf")], [float("inf")], [0.99])
    >>> round(float(beam.diameter_low[0]) * 1e3, 3), round(float(beam.fluence[0]))
    (8.001, 39781)
    """
    low, high = (float(angle) for angle in divergence_interval(bore, wavelength, resonator_length))
    through = np.atleast_1d(within("throughputs", throughputs, 0.0, 1.0, "-"))
    diameters, lost = propagate(bore, np.geomspace(low, high, DIVERGENCES_TRIED), distances, focal_lengths, apertures)
    passed = np.cumprod((1.0 - lost) * through, axis=-1)
    arriving = np.concatenate([np.ones((len(passed), 1)), passed], axis=-1)[:, : len(through)]
    fluence = np.max(peak_fluence(output_energy * arriving, diameters, hot_spot_factor), axis=0)
    irradiance = np.max(peak_irradiance(peak_power * arriving, diameters, hot_spot_factor), axis=0)
    return BeamOnSurfaces(
        divergence_low=low,
        divergence_high=high,
        diameter_low=np.min(diameters, axis=0),
        diameter_high=np.max(diameters, axis=0),
        energy=output_energy * np.max(arriving, axis=0),
        lost_low=lost[0],
        lost_high=lost[-1],
        fluence=fluence,
        irradiance=irradiance,
    )


def circulating_fluence(
    output_energy: ArrayLike,
    reflectivity: ArrayLike,
    diameter: ArrayLike,
    hot_spot_factor: ArrayLike = HOT_SPOT_FACTOR,
) -> Number:
    """Peak fluence on an optic inside the cavity, both directions added.

    Parameters
    ----------
    output_energy : float or array (...)
        Energy of the pulse behind the coupler. [J]
    reflectivity : float or array, broadcasts
        Reflectivity of the coupler. [-]
    diameter : float or array, broadcasts
        Beam diameter inside the cavity. [m]
    hot_spot_factor : float or array, broadcasts
        Peak over mean fluence. [-]

    Returns
    -------
    fluence : broadcast shape
        Peak fluence through the pulse. [J/m^2]

    Raises
    ------
    DomainError
        If energy is negative, reflectivity outside 0 to below 1, diameter not positive, or hot_spot_factor below 1.

    Notes
    -----
    Valid: the coupler is the only useful loss near the optic. Not covered: spiking, standing wave, light sent back.
    Equation: h (1+R)/(1-R) E/(pi d^2/4). Source: definition of the transmitted fraction; factor from memory.

    Examples
    --------
    >>> round(circulating_fluence(1.0, 0.5, 0.008, 1.0) / mean_fluence(1.0, 0.008), 9)
    3.0
    """
    r = within("reflectivity", reflectivity, 0.0, 1.0 - 1e-12, "-")
    return plain((1 + r) / (1 - r) * peak_fluence(output_energy, diameter, hot_spot_factor))
