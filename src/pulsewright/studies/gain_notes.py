"""The gain of one shot for its record: arrays, numbers, words of its outcome, choices, and what to know of it."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from pulsewright.engine.chain import Stages
from pulsewright.engine.resonator import diffraction_loss
from pulsewright.errors import Finding
from pulsewright.quantities import show
from pulsewright.records import Array, Value

#: Part of the decay of S1 from which amplified spontaneous emission is told; part of the output that is not locked.
TOLD_AMPLIFIED, TOLD_UNLOCKED = 0.1, 0.1
#: Product of the mirrors' reflectivities below which gain and loss may not be spread evenly along the cavity. [-]
EVEN_GAIN = 0.05


def arrays(stages: Stages) -> dict[str, Array]:
    """Spectrum in time, mirrors and tuning, cross-sections, further cells."""
    gain, rates = stages.gain, stages.gain.bins.rates

    def by_bin(values: NDArray[np.float64], unit: str) -> Array:
        return Array(np.asarray(values, dtype=float), unit, ("laser_wavelength",))

    found = {
        "laser_width": by_bin(gain.laser_width, "m"),
        "spectrum_time": Array(gain.spectrum_time, "s", ("spectrum_time",)),
        "spectral_power": Array(gain.spectral_power, "W/m", ("spectrum_time", "laser_wavelength")),
        "mirror_rear": by_bin(gain.mirrors.rear, "-"),
        "mirror_coupler": by_bin(gain.mirrors.coupler, "-"),
        "emission_cross_section": by_bin(rates.emission, "m^2"),
        "absorption_cross_section": by_bin(rates.absorption, "m^2"),
        "excited_absorption_cross_section": by_bin(rates.excited_absorption, "m^2"),
        "triplet_absorption_cross_section": by_bin(rates.triplet_absorption, "m^2"),
    }
    if gain.tuning_loss.any():
        found["tuning_transmission"] = by_bin(np.exp(-gain.tuning_loss), "-")
    further = gain.record.further_inversion
    if further.shape[1]:
        axes = ("gain_time", "further_cell", "shell")
        density = (stages.dye.density * gain.mirrors.densities[1:])[:, None]
        found["further_inversion"] = Array(further * density, "1/m^3", axes)
        found["further_triplets"] = Array(gain.record.further_triplets * density, "1/m^3", axes)
    return found


def summary(stages: Stages) -> dict[str, Value]:
    """Locked part of the output, where a line is injected."""
    locked = stages.gain.locked_fraction
    return {} if locked is None else {"locked_fraction": Value(locked, "-")}


def outcome(stages: Stages) -> tuple[str, str]:
    """What the resonator did, in a word and with the reason."""
    gain = stages.gain
    short = -gain.record.peak_net_gain
    if gain.only_parasitic:
        return "lases in the parasitic path only", (
            f"the resonator's best round trip still loses {100 * (1 - np.exp(-short)):.0f} % of its light; the path "
            "between the parasitic ends gains more than it loses"
        )
    if short > 0:
        return "below threshold", f"the best round trip still loses {100 * (1 - np.exp(-short)):.0f} % of its light"
    if gain.wavelength is None:
        return "lased", "the net gain of a round trip passed one, but the coupler lets nothing out"
    return "lased", "the net gain of a round trip passed one"


def choices(stages: Stages) -> dict[str, str]:
    """Approximations of the gain that no entry of the build file decides."""
    machine, gain = stages.inputs.machine, stages.gain
    width, time, resonator = gain.laser_width, gain.record.time, stages.inputs.machine.resonator
    spread = (
        f"{width[0] * 1e9:.1f} nm"
        if np.ptp(width) < 1e-3 * width[0]
        else (f"{width.min() * 1e9:.2g} to {width.max() * 1e9:.2g} nm")
    )
    diffracted = diffraction_loss(stages.inputs, float(stages.dye.laser_wavelength.mean()))
    angle = 4 * np.pi - 2 * gain.mirrors.solid_angle
    found = {
        "resolution": f"{stages.inputs.shells} shells; {len(width)} bins of {spread}, to half of which the wavelength "
        f"is known; power every {(time[1] - time[0]) * 1e9:.0f} ns",
        "diffraction at the bore": f"{100 * diffracted:.2g} % a pass",
        "dye outside the pumped length": "absorbs at the laser wavelength, as ground state",
        "amplified spontaneous emission": f"empties S1 in every direction but the resonator's, {angle:.4g} sr; mean "
        "over the pumped column, its gain even along it and as in each shell; reflection at wall and ends left out",
    }
    if resonator.tuning != "free running":
        found["tuning element"] = (
            f"{resonator.tuning}, by its stated pass band of one pass; what makes that band, and walk-off, are not "
            "computed"
        )
    if gain.mirrors.source is not None:
        part = machine.optics[resonator.rear].reflectivity or float(gain.mirrors.rear.mean())
        found["injected line"] = (
            f"{100 * (1 - part):.3g} % of its power passes the rear mirror; spread over the whole bore, no interference"
        )
    if gain.mirrors.parasitic is not None:
        found["parasitic path"] = (
            f"follows every {gain.mirrors.parasitic.every}th bin over the pumped length, in each shell by itself"
        )
    if machine.cells:
        found["further cells"] = "take the same part of their light as the first cell; one field passes a shell of each"
    return found


def findings(stages: Stages) -> Iterator[Finding]:
    """What a careful person should know of this gain."""
    yield from _weak_mirrors(stages)
    yield from _parasitic(stages)
    yield from _line(stages)
    photons = stages.gain.record.photons
    lost = photons["amplified spontaneous emission"]
    if photons["absorbed"] > 0 and lost > TOLD_AMPLIFIED * photons["absorbed"]:
        yield Finding(
            "note",
            "cell.pumped_length",
            f"amplified spontaneous emission takes {100 * lost / photons['absorbed']:.0f} % of the excitation",
            "Gain is clamped by light that leaves the column sideways and along it, outside the beam",
            "More feedback, a shorter column or less dye keeps it for the beam",
        )


def _weak_mirrors(stages: Stages) -> Iterator[Finding]:
    mirrors, resonator = stages.gain.mirrors, stages.inputs.machine.resonator
    if resonator.blocked != "none":
        yield Finding(
            "note",
            f"resonator.{resonator.blocked}",
            f"the {'rear mirror' if resonator.blocked == 'rear' else 'coupler'} is covered: what lases does without it",
            "Only what other surfaces send back is left",
            'Set resonator.blocked = "none" for the laser itself',
        )
        return
    back = mirrors.rear * mirrors.coupler
    most = float(back.max())
    if most < EVEN_GAIN:
        yield Finding(
            "note",
            "resonator.coupler",
            f"the mirrors send back {100 * most:.2g} % in a round trip: gain and loss are computed as spread evenly "
            "along the cavity",
            f"{100 * EVEN_GAIN:g} % and more",
            "Read output as an estimate",
        )


def _parasitic(stages: Stages) -> Iterator[Finding]:
    record = stages.gain.record
    if record.parasitic_net_gain is None or record.parasitic_net_gain < 0:
        return
    made = record.photons["parasitic light"] + record.photons["output"]
    part = 100 * record.photons["parasitic light"] / made if made > 0 else 0.0
    yield Finding(
        "warning",
        "resonator.parasitic_reflectivity",
        f"the parasitic path lases: {part:.2g} % of the light that leaves goes into it",
        "It takes its inversion from the laser, and its light leaves where nobody expects it",
        "Tilt or coat the surfaces that send light back, or raise the feedback of the mirrors",
    )


def _line(stages: Stages) -> Iterator[Finding]:
    resonator, gain = stages.inputs.machine.resonator, stages.gain
    place, locked = resonator.injection_wavelength, gain.locked_fraction
    if resonator.injection_power and place is not None and resonator.blocked != "rear" and locked is None:
        low = float(gain.laser_wavelength[0] - 0.5 * gain.laser_width[0])
        high = float(gain.laser_wavelength[-1] + 0.5 * gain.laser_width[-1])
        yield Finding(
            "warning",
            "resonator.injection_wavelength",
            f"{show('wavelength', place)} lies outside the bins of the laser, and nothing is injected",
            f"{show('wavelength', low)} to {show('wavelength', high)}",
            "Choose a line inside",
        )
    if locked is not None and gain.wavelength is not None and locked < 1 - TOLD_UNLOCKED:
        yield Finding(
            "note",
            "resonator.injection_power",
            f"{100 * locked:.0f} % of the output is in the injected line",
            "The rest starts from spontaneous emission",
            "Inject more, nearer the free-running wavelength, or tune the resonator to the line",
        )
    tuned, low, high = resonator.tuned_wavelength, gain.laser_wavelength[0], gain.laser_wavelength[-1]
    if resonator.tuning not in ("free running", "etalon") and tuned is not None and not low <= tuned <= high:
        yield Finding(
            "warning",
            "resonator.tuned_wavelength",
            f"{show('wavelength', tuned)} lies outside the bins of the laser: nothing lases there",
            f"{show('wavelength', float(low))} to {show('wavelength', float(high))}",
            "Tune inside the band of the dye",
        )
