"""Tables of a plasma that is a resistor: what circuits with a closed form are computed with."""

from __future__ import annotations

import numpy as np

from pulsewright.physics.lamp.tables import PlasmaTables, spectral_bands


def constant_tables(resistivity: float) -> PlasmaTables:
    """Tables of a column whose resistivity never changes and which sends out no light."""
    size, radii, bands = 40, 8, len(spectral_bands()[0])
    return PlasmaTables(
        number_density=1e24,
        mass_density=0.7,
        log_energy=(5.0 - np.log(1e24), 0.5),
        log_density=(0.0, 1.0),
        log_radius=(-11.0, 1.0),
        temperature=np.geomspace(3e3, 1e5, size)[None],
        electron_density=np.full((1, size), 1e23),
        log_resistivity=np.full((1, size), np.log(resistivity)),
        log_exitance=np.full((1, size, radii), -60.0),
        log_wall_exitance=np.full((1, size, radii), -60.0),
        log_absorption=np.full((1, size, bands), -60.0),
        log_heat_potential=np.full((1, size), -60.0),
        log_diffusivity=np.full((1, size), -60.0),
        logarithm=np.full((1, size), 3.0),
    )
