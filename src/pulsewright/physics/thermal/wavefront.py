"""What a change of index does to a wavefront, and from when on a pulse is spoilt."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pulsewright.errors import DomainError
from pulsewright.physics._domain import Number, not_negative, plain, positive
from pulsewright.physics.thermal.settling import FIRST_MODE

Float = NDArray[np.float64]

#: Error of a wavefront, rms, at which a beam is no longer called diffraction-limited: a Strehl ratio of 0.8 (Marechal).
MARECHAL = 1.0 / 14.0
#: First zero of J0; J1 there; rms of the first mode J0 over a round aperture, its mean removed, over its amplitude.
_ZERO, _SLOPE = math.sqrt(FIRST_MODE), 0.5191474972894669
FIRST_MODE_RMS = math.sqrt(_SLOPE**2 - (2.0 * _SLOPE / _ZERO) ** 2)
#: Amplitude of that mode in a temperature that is even across the bore.
FIRST_MODE_AMPLITUDE = 2.0 / (_ZERO * _SLOPE)


@dataclass(frozen=True, slots=True, eq=False)
class ApertureErrors:
    """Errors of a wavefront over an aperture, in waves, against time (T,).

    `rms` with the mean removed; `rest` with the best focus removed too; `focus` the part that a lens would undo, edge
    against axis, positive where the edge is ahead in path; `peak_to_valley`.
    """

    rms: Float
    rest: Float
    focus: Float
    peak_to_valley: Float


def aperture_errors(waves: Float, radius: Float, weight: Float) -> ApertureErrors:
    """Root mean square, rest beside focus, and peak to valley of a wavefront over an aperture.

    Parameters
    ----------
    waves : array (T, N)
        Path in waves, at N distances from the axis. [-]
    radius : array (N,)
        These distances. [m]
    weight : array (N,)
        Part of the aperture at each of them. [-]

    Returns
    -------
    errors : ApertureErrors
        In waves.

    Raises
    ------
    DomainError
        If the shapes do not fit or the weights are not positive.

    Notes
    -----
    Valid: an evenly lit aperture. Not covered: tilt and astigmatism, which a round symmetric change does not make.
    Equation: rms of w - mean(w); rest: rms of w - a - b r^2 by weighted least squares. Source: definitions.

    Examples
    --------
    A pure lens of one wave from axis to edge leaves nothing but focus: rms 1/sqrt(12).

    >>> r = (np.arange(400) + 0.5) / 400
    >>> e = aperture_errors((r**2)[None, :], r, r / r.sum())
    >>> round(float(e.rms[0]), 3), round(float(e.rest[0]), 6), round(float(e.focus[0]), 3)
    (0.289, 0.0, 1.0)
    """
    if waves.ndim != 2 or waves.shape[1] != len(radius) or len(radius) != len(weight) or not np.all(weight > 0):
        raise DomainError(
            f"a wavefront of shape {waves.shape} on {len(radius)} radii with {len(weight)} weights",
            argument="waves",
            allowed="(time, radius), one positive weight a radius",
            next_step="Give radii and weights of the same grid",
        )
    part = weight / weight.sum()
    flat = waves - (waves @ part)[:, None]
    rms = np.sqrt((flat * flat) @ part)
    square = radius * radius
    shape = square - square @ part
    bend = (flat @ (part * shape)) / (shape * shape @ part)
    rest = flat - bend[:, None] * shape
    edge = 0.5 * (3.0 * radius[-1] - radius[-2]) if len(radius) > 1 else radius[-1]
    return ApertureErrors(
        rms=rms,
        rest=np.sqrt((rest * rest) @ part),
        focus=bend * edge**2,
        peak_to_valley=waves.max(axis=1) - waves.min(axis=1),
    )


def ray_angle(path: Float, radius: Float, weight: Float) -> Float:
    """Angle by which rays are bent, root mean square over an aperture.

    Parameters
    ----------
    path : array (T, N)
        Optical path, at N distances from the axis. [m]
    radius : array (N,)
        These distances, uniform. [m]
    weight : array (N,)
        Part of the aperture at each of them. [-]

    Returns
    -------
    angle : array (T,)
        Outside the liquid, towards the axis or away from it. [rad]

    Raises
    ------
    DomainError
        If the shapes do not fit.

    Notes
    -----
    Valid: small angles, rays that hardly move sideways inside. Not covered: what bending itself changes of the path.
    Equation: rms of d(path)/dr. Source: the eikonal equation.

    Examples
    --------
    >>> r = (np.arange(100) + 0.5) * 1e-4
    >>> round(float(ray_angle(2e-3 * r[None, :], r, r / r.sum())[0]), 9)
    0.002
    """
    if path.ndim != 2 or path.shape[1] != len(radius) or len(radius) != len(weight) or len(radius) < 2:
        raise DomainError(
            f"a path of shape {path.shape} on {len(radius)} radii with {len(weight)} weights",
            argument="path",
            allowed="(time, radius), two radii or more, one weight a radius",
            next_step="Give radii and weights of the same grid",
        )
    slope = np.empty_like(path)
    slope[:, 1:-1] = path[:, 2:] - path[:, :-2]
    slope[:, 0], slope[:, -1] = 2.0 * (path[:, 1] - path[:, 0]), 2.0 * (path[:, -1] - path[:, -2])
    slope /= 2.0 * (radius[1] - radius[0])
    return np.asarray(np.sqrt(slope * slope @ (weight / weight.sum())))


def first_crossing(time: Float, waves: Float, wave_limit: float) -> float | None:
    """First time at which the error of a wavefront passes a limit.

    Parameters
    ----------
    time : array (T,)
        Times, increasing. [s]
    waves : array (T,)
        Error of the wavefront in waves. [-]
    wave_limit : float
        Error that is accepted. [-]

    Returns
    -------
    moment : float or None
        Straight between the points; None where it never passes. [s]

    Notes
    -----
    Valid: values that the points resolve. Not covered: what happens between them.
    Equation: linear interpolation. Source: definition.

    Examples
    --------
    >>> first_crossing(np.array([0.0, 1.0, 2.0]), np.array([0.0, 0.0, 1.0]), 0.25)
    1.25
    """
    above = np.flatnonzero(np.asarray(waves) > wave_limit)
    if len(above) == 0:
        return None
    first = int(above[0])
    if first == 0:
        return float(time[0])
    low, high = float(waves[first - 1]), float(waves[first])
    return float(time[first - 1] + (wave_limit - low) / (high - low) * (time[first] - time[first - 1]))


def energy_until(time: Float, power: Float, moment: float) -> float:
    """Energy of a pulse up to a moment.

    Parameters
    ----------
    time : array (T,)
        Times, increasing. [s]
    power : array (T,)
        Power at these times. [W]
    moment : float
        Up to when. [s]

    Returns
    -------
    energy : float
        Energy. [J]

    Notes
    -----
    Valid: as the trapezia over the points. Not covered: what lies between them. Equation: int P dt. Source: definition.

    Examples
    --------
    >>> energy_until(np.array([0.0, 1.0, 2.0]), np.array([0.0, 2.0, 0.0]), 1.5)
    1.75
    """
    inside = time < moment
    at = np.append(time[inside], min(max(moment, float(time[0])), float(time[-1])))
    return float(np.trapezoid(np.interp(at, time, power), at))


def conduction_wait(waves: ArrayLike, time_constant: ArrayLike, wave_limit: ArrayLike = MARECHAL) -> Number:
    """Time until the temperature left by a shot in a stagnant bore disturbs a wavefront less than a limit.

    Parameters
    ----------
    waves : float or array (...)
        Path by the mean heat of the shot, once expanded, in waves. [-]
    time_constant : float or array, broadcasts
        Decay of the slowest mode, `thermal_settling_time`. [s]
    wave_limit : float or array, broadcasts
        Error that is accepted, rms in waves. [-]

    Returns
    -------
    wait : broadcast shape
        Time from the shot. [s]

    Raises
    ------
    DomainError
        If the waves are negative, or time constant or limit not positive.

    Notes
    -----
    Valid: heat even across the bore, wall held at its temperature; right once the slowest mode is alone (late).
    Not covered: convection, which mixes and disturbs at once; a wall that warms up.
    Equation: t = tau ln(0.462 w / limit): 1.602 is the slowest mode's amplitude in an even temperature, 0.288 its rms
    over the bore. Source: conduction in a cylinder, Carslaw and Jaeger (from memory), by Bessel functions.

    Examples
    --------
    Ten waves in a bore of 10 mm of ethanol:

    >>> round(conduction_wait(10.0, 50.0))
    208
    """
    start = FIRST_MODE_AMPLITUDE * FIRST_MODE_RMS * not_negative("waves", waves, "-")
    over = start / positive("wave_limit", wave_limit, "-")
    return plain(positive("time_constant", time_constant, "s") * np.log(np.maximum(over, 1.0)))
