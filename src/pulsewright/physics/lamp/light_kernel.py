"""Compiled: spectral power and absorptance of lamp columns along their waveforms."""

from __future__ import annotations

import math

import numpy as np
from numba import njit

from pulsewright.numerics import SUMS
from pulsewright.numerics.exponential import exp, expm1
from pulsewright.numerics.tables import locate

FIRST_RADIATION = 3.741771852192758e-16  # 2 pi h c^2 [W m^2], CODATA 2018
SECOND_RADIATION = 1.438776877e-2  # h c / k [m K], CODATA 2018


@njit(cache=True, nogil=True, error_model="numpy", fastmath=SUMS)
def column_light(  # type: ignore[no-untyped-def]
    log_energy, log_density, radius, temperature, absorption, axis, ladder, wavelength, width, chord, power, absorptance
):
    """Fill power per length and band (T, L) [W/m] and absorptance (T, L) of one column.

    `log_energy`, `log_density`, `radius`, `temperature` (T,); `absorption` (D, N, L) logarithms on the uniform axes
    `ladder` of the density and `axis` of the energy (first, step).
    """
    rungs, count = absorption.shape[0], absorption.shape[1]
    bands = wavelength.shape[0]
    strength, energy = np.empty(bands), np.empty(bands)
    for band in range(bands):
        strength[band] = 2.0 * math.pi * FIRST_RADIATION * width[band] / wavelength[band] ** 5
        energy[band] = SECOND_RADIATION / wavelength[band]
    for m in range(log_energy.shape[0]):
        i, u = locate(log_energy[m], axis[0], axis[1], count)
        depth = chord * 2.0 * radius[m]
        j, v, above = 0, 0.0, 0
        if rungs > 1:
            j, v = locate(log_density[m], ladder[0], ladder[1], rungs)
            above = j + 1
        for band in range(bands):
            value = (1.0 - u) * absorption[j, i, band] + u * absorption[j, i + 1, band]
            if rungs > 1:
                upper = (1.0 - u) * absorption[above, i, band] + u * absorption[above, i + 1, band]
                value = (1.0 - v) * value + v * upper
            taken = -expm1(-depth * exp(value))
            absorptance[m, band] = taken
            power[m, band] = radius[m] * strength[band] * taken / expm1(energy[band] / temperature[m])


@njit(cache=True, nogil=True, error_model="numpy", fastmath=SUMS)
def absorbed_in_shells(power, absorptance, fraction, ladder_step, photons, time):  # type: ignore[no-untyped-def]
    """Sum power (T, L) times the fraction that each shell takes, and the same in photons.

    `fraction` (L, A, Z) on a uniform ladder of lamp absorptance from 0 to 1; `photons` (L,) photons per joule that
    count; `time` (T,) [s]. Returns (T, Z) watts, (T, Z) photons per second, and the energy (L, A) that came at each
    rung of the ladder, by trapezia over time.
    """
    times, bands = power.shape
    rungs = fraction.shape[1]
    shells = fraction.shape[2]
    watts = np.zeros((times, shells))
    rate = np.zeros((times, shells))
    energy = np.zeros((bands, rungs))
    for m in range(times):
        lasts = 0.5 * (time[min(m + 1, times - 1)] - time[max(m - 1, 0)])
        for band in range(bands):
            i, u = locate(absorptance[m, band], 0.0, ladder_step, rungs)
            energy[band, i] += (1.0 - u) * power[m, band] * lasts
            energy[band, i + 1] += u * power[m, band] * lasts
            for z in range(shells):
                part = power[m, band] * ((1.0 - u) * fraction[band, i, z] + u * fraction[band, i + 1, z])
                watts[m, z] += part
                rate[m, z] += part * photons[band]
    return watts, rate, energy
