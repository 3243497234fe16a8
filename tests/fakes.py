"""A bench that computes nothing: fixed records in the agreed shape, to test what shows them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np

from pulsewright.errors import BuildError, Finding
from pulsewright.records import Array, Caution, Envelope, Margin, NotJudged, Provenance, Shot, Stop, Value

LIMIT = Finding(
    "limit",
    "optics.window_rear",
    "peak fluence inside the cavity of 66 kJ/m^2 is above 50 kJ/m^2",
    "At most 5.0 J/cm^2",
    "Charge lower",
)
PROVENANCE = Provenance(
    versions={"pulsewright": "0.1.0", "numpy": "2"},
    values_fingerprint="0123456789abcdef" * 4,
    full_fingerprint="fedcba9876543210" * 4,
    layers={},
    sources=("a handbook, 1990",),
    choices={"plasma": "LTE"},
    counters={"steps": 400},
)
CAUTIONS = (
    Caution(
        "stored energy", "The bank holds 180 J at 9.50 kV, which kills", "Dump it, then short it, before you reach in"
    ),
    Caution("beam", "The beam is class 4", "Wear eyewear for its wavelength; close the path"),
)


def values(**summary: tuple[float | None, str]) -> dict[str, Value]:
    """A summary without intervals."""
    return {key: Value(value, unit) for key, (value, unit) in summary.items()}


def shot(charge_voltage: float = 9.5e3) -> Shot:
    """A shot with every part that the page of a shot shows."""
    time = np.linspace(0.0, 2e-5, 5)
    gain_time = np.linspace(0.0, 2e-5, 3)
    summary = values(
        charge_voltage=(charge_voltage, "V"),
        stored_energy=(180.5, "J"),
        peak_current=(5010.0, "A"),
        peak_current_density=(1.3e8, "A/m^2"),
        lamp_energy=(140.0, "J"),
        explosion_fraction=(0.26, "-"),
        radiated_energy=(81.0, "J"),
        absorbed_pump_energy=(12.0, "J"),
        pulse_width=(3.1e-6, "s"),
        peak_power=(2.4e5, "W"),
        wavelength=(592.3e-9, "m"),
        efficiency=(0.0045, "-"),
        divergence_low=(1e-4, "rad"),
        divergence_high=(0.02, "rad"),
        odd_number=(3.0, "m"),
    )
    summary["output_energy"] = Value(0.81, "J", 0.42, 1.27)
    summary["reversal"] = Value(None, "-", reason="the current does not reverse while it is computed")
    arrays = {
        "time": Array(time, "s", ("time",)),
        "current": Array(np.array([0.0, 3e3, 5e3, 2e3, np.nan]), "A", ("time",)),
        "pump_rate": Array(np.ones((5, 2)), "1/s", ("time", "shell")),
        "shell_radius": Array(np.array([2.83e-3, 4e-3]), "m", ("shell",)),
        "gain_time": Array(gain_time, "s", ("gain_time",)),
        "output_power": Array(np.array([0.0, 2.4e5, 0.0]), "W", ("gain_time",)),
    }
    return Shot(
        kind="simulated",
        start={"bench": "tidewater", "charge_voltage": charge_voltage, "overrides": {}},
        arrays=arrays,
        outcome="lased",
        reason="Net gain reached one 4.1 us after the switch closed",
        summary=summary,
        margins=(
            Margin(
                "lamps.east",
                "explosion fraction",
                0.26,
                "-",
                0.3,
                0.87,
                0.21,
                "lamp makers' data",
                "a lower charge voltage",
            ),
            Margin(
                "optics.window_rear",
                "peak fluence inside the cavity",
                6.6e4,
                "J/m^2",
                5e4,
                1.32,
                0.72,
                "a handbook, 1990",
                "a larger beam",
                "surface_fluence",
                True,
            ),
            Margin(
                "bank",
                "charge voltage",
                charge_voltage,
                "V",
                15e3,
                charge_voltage / 15e3,
                1e-7,
                "",
                "",
                "charge_voltage",
            ),
        ),
        not_judged=(
            NotJudged("optics.lens", "peak fluence", "no damage fluence is given", "Give optics.lens.damage_fluence"),
        ),
        findings=(LIMIT,),
        cautions=CAUTIONS,
        provenance=PROVENANCE,
        sensitivities=(("loop.inductance", -0.11), ("trigger.channel_radius", 0.2)),
    )


def envelope(points: int = 60, start: float = 5e3, stop: float = 12e3) -> Envelope:
    """An envelope with a threshold and a stop."""
    volts = np.linspace(start, stop, points)
    output = np.clip((volts - 7500.0) / 2500.0, 0.0, None)
    axis = ("charge_voltage",)
    arrays = {
        "charge_voltage": Array(volts, "V", axis),
        "output_energy": Array(output, "J", axis),
        "output_energy_low": Array(output * 0.5, "J", axis),
        "output_energy_high": Array(output * 1.5, "J", axis),
        "stored_energy": Array(2e-6 * volts**2, "J", axis),
        "pulse_width": Array(np.where(output > 0, 3e-6, np.nan), "s", axis),
        "ratio": Array(np.outer(volts / 10e3, [1.0, 0.5]), "-", ("charge_voltage", "item")),
        "probability": Array(np.full((points, 2), 0.1), "-", ("charge_voltage", "item")),
    }
    item = Stop("optics.window_rear", "peak fluence", 10e3, 5e4, "J/m^2", "a handbook, 1990", "a larger beam")
    return Envelope(
        start={"bench": "tidewater", "first": start, "last": stop, "points": points, "overrides": {}},
        arrays=arrays,
        items=("optics.window_rear", "lamps.east"),
        threshold_voltage=7.5e3,
        threshold_reason="",
        highest_voltage_within_limits=10e3,
        highest_reason="",
        limiting_item=item,
        stops=(item,),
        not_judged=shot().not_judged,
        findings=(),
        cautions=CAUTIONS,
        provenance=PROVENANCE,
    )


@dataclass
class FakeBench:
    """What `pw.open` gives, without any physics; `asked` holds what was asked of it."""

    findings: tuple[Finding, ...] = ()
    asked: dict[str, Any] = field(default_factory=dict)
    shot_findings: tuple[Finding, ...] = ()
    path: Path = Path("bench")

    def check(self) -> tuple[Finding, ...]:
        return self.findings

    def shot(
        self, charge_voltage: float | None = None, overrides: dict[str, str] | None = None, interval: bool = True
    ) -> Shot:
        self.asked = {"charge_voltage": charge_voltage, "overrides": overrides, "interval": interval}
        self.refuse()
        told = shot(charge_voltage or 9.5e3)
        within = tuple(row for row in told.margins if row.item != "optics.window_rear")
        return replace(told, findings=self.shot_findings, margins=within)

    def envelope(
        self,
        start: float | None = None,
        stop: float | None = None,
        points: int = 60,
        overrides: dict[str, str] | None = None,
        progress: Callable[[int, int], None] | None = None,
    ) -> Envelope:
        self.asked = {"start": start, "stop": stop, "points": points, "overrides": overrides}
        self.refuse()
        if progress is not None:
            progress(points, points)
        return envelope(points, start or 5e3, stop or 12e3)

    def refuse(self) -> None:
        errors = [row for row in self.findings if row.grade == "error"]
        if errors:
            raise BuildError(*errors)
