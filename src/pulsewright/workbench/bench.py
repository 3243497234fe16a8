"""One bench folder, opened: its build, its faults, and the verbs that answer questions about it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from hashlib import sha256
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pulsewright import machine as machines
from pulsewright.engine.chain import Chain
from pulsewright.engine.chamber_rays import is_traced
from pulsewright.engine.inputs import SHELLS, inputs_of
from pulsewright.engine.own_dye_findings import own_dye_findings
from pulsewright.engine.ray_sample import RaySample, ray_sample
from pulsewright.engine.solution import refused
from pulsewright.errors import BuildError, Finding, NotModelledError, worst_first
from pulsewright.records import Envelope, Shot
from pulsewright.studies.bank_map import BankMap, bank_map
from pulsewright.studies.charge_and_dump import ChargeAndDump, charge_and_dump
from pulsewright.studies.dye_spectra import DyeSpectra, dye_spectra
from pulsewright.studies.envelope import compute_envelope
from pulsewright.studies.fill_life import FillLife, fill_life
from pulsewright.studies.lamp_law import LampLaw, lamp_law
from pulsewright.studies.pulse_quality import PulseQuality, pulse_quality
from pulsewright.studies.pump_down import PumpDown, pump_down
from pulsewright.studies.shot import compute_shot
from pulsewright.studies.size_dye import DyeSizing, size_dye
from pulsewright.studies.take_off import TakeOffMap, take_off_map
from pulsewright.studies.trigger_comparison import TriggerComparison, compare_triggers
from pulsewright.workbench.entries import entry_rows

Floats = NDArray[np.float64]

BUILD_FILE = "laser.toml"


def open_bench(path: str | Path) -> Bench:
    """Open a bench folder, or the build file in it; a faulty file opens too and lists its faults.

    Parameters
    ----------
    path : str or Path
        The folder that holds `laser.toml`, or that file.

    Returns
    -------
    bench : Bench
    """
    place = Path(path)
    return Bench(place / BUILD_FILE if place.is_dir() or place.suffix != ".toml" else place)


class Bench:
    """A laser in its folder.

    `build` is None while the file has errors; `findings` lists them. `shot` and `envelope` are pure in the build:
    overrides never touch the file. `write` is the only thing that does. `text_sha256` is of the build file,
    `content_sha256` of that and the measured files it names.
    """

    def __init__(self, file: Path) -> None:
        self.file = file
        self.path = file.parent
        self._chain = Chain()
        self.reload()

    def reload(self) -> None:
        """Read the build file again."""
        loaded = machines.load(self.file)
        self.build: machines.Build | None = loaded.build
        self.findings: tuple[Finding, ...] = tuple(loaded.findings)
        self.text_sha256: str = loaded.text_sha256
        self._files = loaded.files
        self.content_sha256: str = _of_all(loaded)

    def signature(self) -> tuple[tuple[int, ...] | None, ...]:
        """Times and sizes of the build file and the measured files it names: another one means that a reload is due."""
        return tuple(_stamp(place) for place in (self.file, *(self.path / name for name in self._files)))

    @property
    def name(self) -> str:
        """Name in the build file, or the folder's."""
        return self.build.name if self.build is not None else self.path.name

    def check(self) -> tuple[Finding, ...]:
        """Every finding of the build file, worst first, with what this version does not compute."""
        if self.build is None:
            return tuple(worst_first(self.findings))
        found = [*self.findings, *machines.not_modelled(self.build), *_of_dye(self.build)]
        return tuple(worst_first(dict.fromkeys(found)))

    def shot(
        self,
        charge_voltage: float | None = None,
        overrides: Mapping[str, str] | None = None,
        interval: bool = True,
        samples: int = 0,
        seed: int = 0,
        progress: Callable[[int, int], None] | None = None,
        quick: bool = False,
    ) -> Shot:
        """Compute one shot.

        Parameters
        ----------
        charge_voltage : float, optional
            Defaults to the build file's. [V]
        overrides : mapping of path to text, optional
            Entries for this shot, text with unit: `{"dye.concentration": "8e-5 mol/L"}`.
        interval : bool
            Also give a 90 % interval on the output energy, from the spreads of all inputs, by linear sensitivities.
        samples : int
            Shots computed with every input that has a range drawn anew, from which intervals and chances then come;
            0 for none, else 20 or more.
        seed : int
            What they are drawn from: the same seed gives the same samples.
        progress : callable, optional
            Called with (samples done, of how many); may raise to stop the work.
        quick : bool
            Follow the pump light by the closed form, whatever the build says: no rays are traced.

        Returns
        -------
        shot : Shot
            A frozen record.

        Raises
        ------
        BuildError
            If the build file is faulty, or an override is, or the number of samples or the seed.
        NotModelledError
            If the build asks for something that this version does not compute.
        """
        build = self._with(charge_voltage, overrides)
        return compute_shot(build, self._chain, None, interval, overrides, samples, seed, progress, quick=quick)

    def envelope(
        self,
        start: float | None = None,
        stop: float | None = None,
        points: int = 60,
        overrides: Mapping[str, str] | None = None,
        progress: Callable[[int, int], None] | None = None,
        samples: int = 0,
        seed: int = 0,
    ) -> Envelope:
        """Compute margins and output against charge voltage; arguments as in `shot`, voltages in V.

        Raises
        ------
        BuildError
            If the build file, the range, an override, the number of samples or the seed is faulty.
        NotModelledError
            If the build asks for something that this version does not compute.
        """
        build = self._with(None, overrides)
        return compute_envelope(build, self._chain, start, stop, points, overrides, progress, samples, seed)

    def triggers(
        self, charge_voltage: float | None = None, overrides: Mapping[str, str] | None = None
    ) -> TriggerComparison:
        """Compare every way to start the discharge of this head.

        Parameters
        ----------
        charge_voltage : float, optional
            Defaults to the build file's. [V]
        overrides : mapping of path to text, optional
            Entries for this study, as in `shot`.

        Raises
        ------
        BuildError
            If the build file is faulty, or an override is.
        """
        return compare_triggers(self._with(charge_voltage, overrides))

    def pump_down(self, charge_voltage: float | None = None, overrides: Mapping[str, str] | None = None) -> PumpDown:
        """Pressure and voltage against the breakdown curve, for a head triggered by a pressure drop; as `triggers`."""
        return pump_down(self._with(charge_voltage, overrides))

    def bank_map(
        self,
        axes: Mapping[str, Floats],
        overrides: Mapping[str, str] | None = None,
        progress: Callable[[int, int], None] | None = None,
    ) -> BankMap:
        """Map discharge and light over one to three entries: path to SI values; `lamps.*.bore` is every lamp."""
        return bank_map(self._with(None, overrides), axes, self._chain, progress)

    def take_off(
        self,
        second: str = "lamp_field",
        fill_pressures: Floats | None = None,
        seconds: Floats | None = None,
        overrides: Mapping[str, str] | None = None,
        progress: Callable[[int, int], None] | None = None,
    ) -> TakeOffMap:
        """Map the first microseconds over fill pressure and field (`lamp_field`) or `bore` of all lamps, SI values."""
        build = self._with(None, overrides)
        return take_off_map(build, self._chain, second, fill_pressures, seconds, progress)

    def fill_life(
        self,
        shots: int = 1000,
        fraction: float | None = None,
        loop: str | None = None,
        charge_voltage: float | None = None,
        overrides: Mapping[str, str] | None = None,
        progress: Callable[[int, int], None] | None = None,
    ) -> FillLife:
        """Follow the dye fill over many shots; `fraction` of the output at which it is changed, `loop` its id.

        Raises
        ------
        BuildError
            If the build file, an override, a number or the loop is faulty, or a way of renewal lacks what it needs.
        NotModelledError
            If the build asks for something that this version does not compute.
        """
        build = self._with(charge_voltage, overrides)
        return fill_life(build, self._chain, shots, fraction, loop, progress)

    def size_dye(
        self,
        concentrations: Floats | None = None,
        reflectivities: Floats | None = None,
        bores: Floats | None = None,
        charge_voltage: float | None = None,
        overrides: Mapping[str, str] | None = None,
        progress: Callable[[int, int], None] | None = None,
    ) -> DyeSizing:
        """Best concentration, coupler and bore of this head, SI values of the axes; how flat and how firm that is.

        Raises
        ------
        BuildError
            If the build file, an override or an axis is faulty.
        NotModelledError
            If the build asks for something that this version does not compute.
        """
        build = self._with(charge_voltage, overrides)
        return size_dye(build, self._chain, concentrations, reflectivities, bores, progress)

    def lamp_law(self, overrides: Mapping[str, str] | None = None) -> LampLaw:
        """Steady resistivity of the lamps against current density, beside the published law and Spitzer's.

        Raises
        ------
        BuildError
            If the build file is faulty, or an override is.
        """
        return lamp_law(self._with(None, overrides))

    def is_traced(self, overrides: Mapping[str, str] | None = None) -> bool:
        """Whether the chamber of a draft was traced before: then a shot of it traces no rays."""
        return is_traced(self._with(None, overrides).machine, SHELLS)

    def ray_sample(self, overrides: Mapping[str, str] | None = None, count: int = 16) -> RaySample:
        """Some rays of the pump chamber and the outlines that they meet, for drawing.

        Raises
        ------
        BuildError
            If the build file is faulty, or an override is.
        NotModelledError
            If the reference data lack what rays need of this dye.
        """
        return ray_sample(inputs_of(self._with(None, overrides)), count)

    def dye_spectra(self, overrides: Mapping[str, str] | None = None) -> DyeSpectra:
        """Cross-sections of the dye against wavelength, and where data end.

        Raises
        ------
        BuildError
            If the build file is faulty, or an override is.
        NotModelledError
            If the reference data lack what a shot needs of this dye.
        """
        return dye_spectra(self._with(None, overrides))

    def pulse_quality(
        self,
        charge_voltage: float | None = None,
        overrides: Mapping[str, str] | None = None,
        limit: float | None = None,
        progress: Callable[[int, int], None] | None = None,
    ) -> PulseQuality:
        """Hold one shot against the acoustic clock of its cell: when heat spoils it, what helps, when the next may be.

        Parameters
        ----------
        charge_voltage : float, optional
            Defaults to the build file's. [V]
        overrides : mapping of path to text, optional
            Entries for this study, as in `shot`.
        limit : float, optional
            Error of the wavefront from which on the pulse is called spoilt, rms in waves of one pass; 1/14 when not
            given. [-]
        progress : callable, optional
            Called with (alternatives computed, of how many).

        Raises
        ------
        BuildError
            If the build file is faulty, or an override is.
        NotModelledError
            If the build asks for something that this version does not compute.
        """
        return pulse_quality(self._with(charge_voltage, overrides), self._chain, None, limit, progress)

    def charge_and_dump(
        self,
        charge_voltage: float | None = None,
        overrides: Mapping[str, str] | None = None,
        shot: Shot | None = None,
    ) -> ChargeAndDump:
        """Charge, hold and dump of the bank as a timeline; needs no shot, and takes more from one.

        Parameters
        ----------
        charge_voltage : float, optional
            Defaults to the build file's. [V]
        overrides : mapping of path to text, optional
            Entries for this study, as in `shot`.
        shot : Shot, optional
            A shot of this bench, for its steepest current and what it leaves on the bank.

        Raises
        ------
        BuildError
            If the build file is faulty, or an override is.
        """
        return charge_and_dump(self._with(charge_voltage, overrides), None, shot)

    def draft(self, overrides: Mapping[str, str]) -> machines.Build:
        """The build with a draft laid over it, checked; nothing is written."""
        return self._sound().override(overrides, "draft") if overrides else self._sound()

    def write(self, changes: Mapping[str, str], expected_sha256: str) -> str:
        """Write entries into the build file; ConflictError when it changed since it was read. Returns the new hash."""
        self._sound().override(changes, "draft")
        digest = machines.save(self.file, changes, expected_sha256)
        self.reload()
        return digest

    def entry_rows(self, overrides: Mapping[str, str] | None = None) -> list[dict[str, Any]]:
        """Every entry with words, unit, range, spread, basis, source and layer, for a form."""
        return entry_rows(self.draft(overrides or {}))

    def not_modelled(self) -> tuple[Finding, ...]:
        """What the build asks for that this version does not compute."""
        return machines.not_modelled(self._sound())

    def _sound(self) -> machines.Build:
        if self.build is None:
            raise BuildError(*worst_first(self.findings))
        return self.build

    def _with(self, charge_voltage: float | None, overrides: Mapping[str, str] | None) -> machines.Build:
        changes = dict(overrides or {})
        if charge_voltage is not None:
            changes["bank.charge_voltage"] = _spelled(charge_voltage)
        build = self._sound()
        return build.override(changes) if changes else build


def _of_all(loaded: machines.Loaded) -> str:
    """Hash of the build file and of the measured files that were read."""
    curves = loaded.build.machine.curves.items() if loaded.build is not None else ()
    rows = (loaded.text_sha256, *(f"{path} {curve.sha256}" for path, curve in curves))
    return sha256("\n".join(rows).encode()).hexdigest() if len(rows) > 1 else loaded.text_sha256


def _stamp(place: Path) -> tuple[int, ...] | None:
    try:
        state = place.stat()
    except (OSError, ValueError):
        return None
    return state.st_mtime_ns, state.st_size, state.st_ino


def _of_dye(build: machines.Build) -> Iterator[Finding]:
    """What the solution lacks and what the user's own dye assumes, at the lines of the build file."""
    for finding in dict.fromkeys((*refused(build.machine), *own_dye_findings(build.machine))):
        entry = build.entries.get(finding.path)
        line = 0 if entry is None else entry.line
        yield replace(finding, file=build.file if line else "", line=line)


def _spelled(volts: float) -> str:
    """A voltage as a person writes it, where that is the very same number."""
    short = f"{volts / 1e3:.9g} kV"
    return short if math.isfinite(volts) and float(short[:-3]) * 1e3 == volts else f"{volts!r} V"


__all__ = ["BUILD_FILE", "Bench", "NotModelledError", "open_bench"]
