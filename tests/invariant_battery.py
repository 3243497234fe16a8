"""What holds for every shot that computes: energies, photons, populations, numbers."""

from __future__ import annotations

import numpy as np

from pulsewright.records import Shot

#: Excitations of S1: what makes and what ends them. Photons in the cavity likewise.
S1_GAINS = ("absorbed", "ground re-absorption")
S1_LOSSES = (
    "fluorescence",
    "internal conversion",
    "crossing to triplets",
    "oxygen quenching",
    "stimulated emission",
    "amplified spontaneous emission",
)
FIELD_GAINS = ("stimulated emission", "seed", "injected light")
FIELD_LOSSES = (
    "ground re-absorption",
    "excited-state absorption",
    "triplet absorption",
    "output",
    "cavity loss",
    "parasitic light",
)
#: Outcomes in which dye and light were followed to the end.
FOLLOWED = ("lased", "below threshold", "lases in the parasitic path only")


def assert_energy_closes(shot: Shot) -> None:
    """Every sink listed adds up to the stored energy, to 1e-3; so do the sinks of the lamp column."""
    stored = shot.summary["stored_energy"].value
    assert stored is not None
    discharge = shot.budgets["discharge"]
    assert abs(sum(discharge.values()) / stored - 1) < 1e-3
    assert all(value > -1e-6 * stored for value in discharge.values())
    column = shot.budgets["lamp column"]
    assert abs(sum(column.values()) - discharge["lamp column"]) < 1e-3 * stored


def assert_photons_close(shot: Shot) -> None:
    """Absorbed photons are all in a channel or stored."""
    photons = shot.budgets["photons"]
    absorbed = photons["absorbed"]
    assert absorbed > 0
    made = sum(photons[name] for name in S1_GAINS) + photons["seed"]
    ended = sum(photons[name] for name in S1_LOSSES)
    field = sum(photons[name] for name in FIELD_GAINS) - sum(photons[name] for name in FIELD_LOSSES)
    # what S1 keeps and what the field keeps at the end are counted together as `stored`
    assert abs(made - photons["seed"] - ended + field - photons["stored"]) < 1e-6 * absorbed
    assert photons["output"] <= photons["stimulated emission"] + photons["seed"] + photons["injected light"]


def assert_populations_in_range(shot: Shot, density: float) -> None:
    """No level holds less than nothing or more than the dye."""
    for name in ("inversion", "triplets"):
        values = shot.arrays[name].values
        assert values.min() > -1e-6 * density, name
    assert (shot.arrays["inversion"].values + shot.arrays["triplets"].values).max() < density


def assert_numbers_finite(shot: Shot) -> None:
    """No NaN anywhere, and every summary value is a number or has a reason."""
    for name, array in shot.arrays.items():
        assert np.all(np.isfinite(array.values)), name
    for key, value in shot.summary.items():
        assert (value.value is None and value.reason) or np.isfinite(value.value), key
    for row in shot.margins:
        assert np.isfinite(row.ratio), row.item
        assert 0 <= row.probability <= 1, row.item


def assert_power_integrates(shot: Shot) -> None:
    """Output energy is the integral of output power and of the output spectrum."""
    energy = shot.summary["output_energy"].value
    if shot.outcome != "lased" or not energy:
        return
    power = np.trapezoid(shot.arrays["output_power"].values, shot.arrays["gain_time"].values)
    width = shot.arrays["laser_width"].values
    assert abs(shot.arrays["output_spectrum"].values @ width / energy - 1) < 1e-9
    times, spectra = shot.arrays["spectrum_time"].values, shot.arrays["spectral_power"].values
    assert abs(float((spectra @ width).sum()) * (times[1] - times[0]) / energy - 1) < 1e-9
    # a sample is the mean of the power round it, so no spike is missed
    assert abs(power / energy - 1) < 1e-6


def assert_light_within_black_body(shot: Shot) -> None:
    """Light leaving the lamps needs at least the temperature of a black body of the same flux."""
    column = shot.budgets["lamp column"]
    given = 0.0
    if shot.provenance.choices["lamp law"] != "equilibrium plasma":
        # a law begins with a bore full of plasma that nothing has paid for; a shot says so
        given = max(0.0, -column["heat of the plasma at the end"])
    most = shot.budgets["discharge"]["lamp column"] + given
    assert shot.summary["radiated_energy"].value <= most * (1 + 1e-6)


def assert_all(shot: Shot, density: float) -> None:
    """The whole battery."""
    assert_energy_closes(shot)
    assert_numbers_finite(shot)
    if shot.outcome in FOLLOWED:
        assert_photons_close(shot)
        assert_populations_in_range(shot, density)
        assert_power_integrates(shot)
        assert_light_within_black_body(shot)
