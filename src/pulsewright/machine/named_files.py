"""The measured files that a build names, read into its curves."""

from __future__ import annotations

from typing import cast

from pulsewright.errors import Finding, Grade
from pulsewright.machine.columns import Told
from pulsewright.machine.curves import Use, read_curve
from pulsewright.machine.schema import SECTIONS
from pulsewright.machine.tree import Reading

#: Keys that name a file, and what its curve is.
USES: dict[str, Use] = {
    "filter_file": "fraction",
    "reflectivity_file": "fraction",
    "absorption_file": "spectrum",
    "emission_file": "spectrum",
}
assert set(USES) == {f.key for s in SECTIONS.values() for f in s.fields.values() if f.kind == "file"}


def read_files(reading: Reading) -> None:
    """Read every file that an entry names; what is wrong with one that nothing uses is a warning."""
    for path, entry in reading.entries.items():
        use = USES.get(entry.key)
        if use is not None and isinstance(entry.value, str):
            _read(reading, path, entry.value, use)


def named_files(reading: Reading) -> tuple[str, ...]:
    """Names of the files that entries name, each once."""
    named = (entry.value for entry in reading.entries.values() if entry.key in USES)
    return tuple(dict.fromkeys(name for name in named if isinstance(name, str)))


def _read(reading: Reading, path: str, name: str, use: Use) -> None:
    used = in_use(reading, path)
    if reading.folder is None:
        message = f'there is no folder in which "{name}" could stand: this build was read from text'
        step = "Open the bench folder that holds the build file and this file"
        reading.fault(path, message, "A build file on disk", step, "error" if used else "warning")
        return
    read = read_curve(reading.folder, name, use)
    for told in read.told:
        _tell(reading, path, name, told, used)
    if read.curve is not None:
        reading.curves[path] = read.curve


def _tell(reading: Reading, path: str, name: str, told: Told, used: bool) -> None:
    """At its line of the measured file, or at the entry when the file as a whole is meant."""
    grade = cast("Grade", told.grade if used or told.grade != "error" else "warning")
    if told.line:
        finding = Finding(grade, path, told.message, told.allowed, told.next_step, name, told.line)
        reading.findings.append(finding)
        return
    message = told.message if name in told.message else f"{name}: {told.message}"
    reading.fault(path, message, told.allowed, told.next_step, grade)


def in_use(reading: Reading, path: str) -> bool:
    """Whether the shot reads what this entry names: the dye of the cell, the mirrors of the resonator."""
    section, part, *_ = path.split(".")
    if section == "dyes":
        return bool(reading.get("dye.name") == part)
    if section == "optics":
        return part in (reading.get("resonator.rear"), reading.get("resonator.coupler"))
    return True
