"""Steady resistivity of the user's lamps against current density, beside the published law and the Spitzer floor.

Where model and law agree a lamp may be sized by the law; where they part, the curve says which way and by how much. The
balance is of heat and radiation, as the published check is held; a second curve adds heat conducted to the wall.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pulsewright import machine as machines
from pulsewright.engine.coefficients import NINETY
from pulsewright.engine.inputs import Inputs, Uncertain, inputs_of, uncertain_inputs
from pulsewright.engine.lamp_plasma import filled_diameter, lamp_tables
from pulsewright.engine.trigger import trigger_stage
from pulsewright.errors import BuildError, Finding
from pulsewright.machine.parts import Lamp
from pulsewright.physics.lamp.light import column_exitance
from pulsewright.physics.lamp.resistivity import (
    HIGHEST_CURRENT_DENSITY,
    LOWEST_CURRENT_DENSITY,
    spitzer_resistivity,
    square_law_resistivity,
)
from pulsewright.physics.lamp.square_law import REFERENCE_PRESSURE
from pulsewright.physics.lamp.tables import PlasmaTables, spectral_bands, steady_state
from pulsewright.studies.notes import HOTTEST_PLASMA

Float = NDArray[np.float64]

#: Current densities of the curves: 0.2 to 60 kA/cm^2. [A/m^2]
CURRENT_DENSITIES = np.geomspace(0.2e7, 60e7, 31)
#: The band that published radiated fractions of lamps refer to. [m]
USEFUL_BAND = (0.2e-6, 1.0e-6)
NOTES = (
    (
        "Steady balance in a bore that the arc fills: right for pulses long against filling and heating. In "
        "microseconds the start decides; see the take-off map."
    ),
    (
        "The published law, 1.13 / sqrt(j) ohm cm with p^0.2, was found between about 0.4 and 10 kA/cm^2 near 450 "
        "torr; beyond, it is drawn on to show where it leaves the plasma."
    ),
    (
        "Spitzer: fully ionised plasma of the model's temperature, ion charge and Coulomb logarithm; the model nears "
        "it from above as neutral atoms vanish."
    ),
    (
        "Radiated fractions are of the heat of the column in balance with light and conduction; drop at the "
        "electrodes, light taken up by the glass and heat left in the plasma lower them in a real shot."
    ),
    (
        f"Above some {HOTTEST_PLASMA:.0f} K ions of more than three charges and light below 50 nm are missing, and the "
        "tables end at 150000 K: read no number there."
    ),
)


@dataclass(frozen=True, slots=True, eq=False)
class LampCurve:
    """Curves of like lamps; arrays along `LampLaw.current_density`.

    `resistivity` from heat and radiation, with its 90 % range `resistivity_low` and `_high`; `wall_resistivity` with
    conduction to the wall; `law` and `spitzer` beside it [ohm m]; `temperature` [K]; `radiated_fraction` of the heat,
    `band_fraction` between 0.2 and 1 um [-]. `law` is nan where no pressure constant is published.
    """

    lamps: tuple[str, ...]
    gas: str
    bore: float
    fill_pressure: float
    resistivity: Float
    resistivity_low: Float
    resistivity_high: Float
    wall_resistivity: Float
    law: Float
    spitzer: Float
    temperature: Float
    radiated_fraction: Float
    band_fraction: Float


@dataclass(frozen=True, slots=True, eq=False)
class LampLaw:
    """The curves of a bench's lamps; `covered` says where the published law was found."""

    bench: str
    current_density: Float
    covered: NDArray[np.bool_]
    curves: tuple[LampCurve, ...]
    findings: tuple[Finding, ...]
    notes: tuple[str, ...] = NOTES
    hottest: float = HOTTEST_PLASMA

    def as_dict(self) -> dict[str, Any]:
        """For JSON; nan becomes None."""
        arrays = [
            name for name in LampCurve.__dataclass_fields__ if name not in ("lamps", "gas", "bore", "fill_pressure")
        ]
        return {
            "kind": "lamp law",
            "bench": self.bench,
            "current_density": self.current_density.tolist(),
            "covered": self.covered.tolist(),
            "curves": [
                {
                    "lamps": list(curve.lamps),
                    "gas": curve.gas,
                    "bore": curve.bore,
                    "fill_pressure": curve.fill_pressure,
                    **{name: _plain(getattr(curve, name)) for name in arrays},
                }
                for curve in self.curves
            ],
            "findings": [finding.as_dict() for finding in self.findings],
            "notes": list(self.notes),
        }


def lamp_law(build: machines.Build) -> LampLaw:
    """Steady resistivity of each kind of lamp of a build, beside the published law and the Spitzer floor.

    Parameters
    ----------
    build : Build
        With every layer applied.

    Raises
    ------
    BuildError
        If the build file is faulty.
    """
    wrong = [finding for finding in build.findings if finding.grade == "error"]
    if wrong:
        raise BuildError(*wrong)
    inputs = inputs_of(build)
    alike: dict[tuple[object, ...], list[str]] = {}
    pressures = trigger_stage(inputs).fill_pressure
    for name, lamp in build.machine.lamps.items():
        mix = lamp.gas, lamp.second_gas, lamp.second_gas_fraction, lamp.dead_volume, lamp.near_infrared_lines
        alike.setdefault((*mix, lamp.bore, filled_diameter(lamp), pressures[name]), []).append(name)
    curves = tuple(_curve(inputs, ids, pressures[ids[0]]) for ids in alike.values())
    densities = CURRENT_DENSITIES
    covered = (densities >= LOWEST_CURRENT_DENSITY) & (densities <= HIGHEST_CURRENT_DENSITY)
    return LampLaw(build.name, densities, covered, curves, tuple(_findings(curves)))


def _curve(inputs: Inputs, ids: list[str], pressure: float) -> LampCurve:
    lamp = inputs.machine.lamps[ids[0]]
    found = lamp_tables(inputs, lamp, pressure)
    width = filled_diameter(lamp)
    eta, kelvin, _ = balance(found, width, 0.0)
    walled, hot, places = balance(found, width, inputs.coefficient("plasma.wall_factor"))
    low, high = _range(inputs, lamp, pressure, eta)
    at = np.interp(np.log(kelvin), np.log(found.temperature[0]), np.arange(found.temperature.shape[1]))
    charge = np.maximum(found.electron_density[0] / found.number_density, 1.0)
    floor = spitzer_resistivity(kelvin, _along(found.logarithm[0], at), _along(charge, at))
    radiated, band = _shares(found, lamp, hot, places, walled)
    reference = None if lamp.second_gas else REFERENCE_PRESSURE.get(lamp.gas)
    law = np.full_like(eta, np.nan)
    if reference is not None:
        law = np.asarray(square_law_resistivity(CURRENT_DENSITIES)) * (pressure / reference) ** 0.2
    gas = lamp.gas if lamp.second_gas is None else f"{lamp.gas} with {lamp.second_gas}"
    return LampCurve(
        lamps=tuple(ids),
        gas=gas,
        bore=lamp.bore,
        fill_pressure=pressure,
        resistivity=eta,
        resistivity_low=low,
        resistivity_high=high,
        wall_resistivity=walled,
        law=law,
        spitzer=np.asarray(floor),
        temperature=kelvin,
        radiated_fraction=radiated,
        band_fraction=band,
    )


def balance(tables: PlasmaTables, bore: float, wall_factor: float) -> tuple[Float, Float, Float]:
    """Resistivity [ohm m], temperature [K] and place in the table at the current densities of the curves."""
    density, eta, kelvin = steady_state(tables, bore, wall_factor)
    wanted, known = np.log(CURRENT_DENSITIES), np.log(np.maximum.accumulate(density))
    places = np.interp(wanted, known, np.arange(len(known)))
    return np.exp(np.interp(wanted, known, np.log(eta))), np.exp(np.interp(wanted, known, np.log(kelvin))), places


def _along(values: Float, places: Float) -> Float:
    return np.interp(places, np.arange(len(values)), values)


def _range(inputs: Inputs, lamp: Lamp, pressure: float, middle: Float) -> tuple[Float, Float]:
    """90 % range of the resistivity from the ranges of the coefficients, added up as squares of logarithms."""
    down, up = np.zeros_like(middle), np.zeros_like(middle)
    for item in _read_by_tables(inputs):
        moved = [np.zeros_like(middle)]
        for change in (-item.down, item.up):
            varied = inputs.varied(item.path, item.value + change)
            eta, _, _ = balance(lamp_tables(varied, lamp, pressure), filled_diameter(lamp), 0.0)
            moved.append(np.log(eta / middle))
        down, up = down + np.min(moved, axis=0) ** 2, up + np.max(moved, axis=0) ** 2
    return middle * np.exp(-NINETY * np.sqrt(down)), middle * np.exp(NINETY * np.sqrt(up))


def _read_by_tables(inputs: Inputs) -> Iterable[Uncertain]:
    skipped = "reference.plasma.wall_factor"
    starts = tuple(f"reference.{name}." for name in ("plasma", *_elements(inputs)))
    return (item for item in uncertain_inputs(inputs) if item.path.startswith(starts) and item.path != skipped)


def _elements(inputs: Inputs) -> tuple[str, ...]:
    paths = [path.split(".") for path in inputs.reference]
    return tuple({words[1] for words in paths if words[-1] == "biberman_factor"})


def _shares(tables: PlasmaTables, lamp: Lamp, hot: Float, places: Float, eta: Float) -> tuple[Float, Float]:
    """Part of the heat that is radiated, over all wavelengths and inside the useful band."""
    centre, width = spectral_bands()
    index = np.clip(places.astype(int), 0, tables.temperature.shape[1] - 2)
    part = (places - index)[:, None]
    absorption = (1 - part) * tables.log_absorption[0, index] + part * tables.log_absorption[0, index + 1]
    diameter = filled_diameter(lamp)
    light = np.asarray(column_exitance(centre, hot[:, None], np.exp(absorption), diameter)) * width
    heat = eta * CURRENT_DENSITIES**2 * diameter / 4
    useful = (centre > USEFUL_BAND[0]) & (centre < USEFUL_BAND[1])
    return np.minimum(light.sum(axis=1) / heat, 1.0), np.minimum(light[:, useful].sum(axis=1) / heat, 1.0)


def _findings(curves: Iterable[LampCurve]) -> Iterable[Finding]:
    for curve in curves:
        if np.isnan(curve.law).all():
            yield Finding(
                "note",
                f"lamps.{curve.lamps[0]}",
                f"no pressure constant of the square-root law is published for {curve.gas}, so no law stands beside it",
                f"Published: {' and '.join(sorted(REFERENCE_PRESSURE))}, pure",
                "Measure current and voltage of the lamp",
            )


def _plain(values: Float) -> list[float | None]:
    return [float(value) if np.isfinite(value) else None for value in values]
