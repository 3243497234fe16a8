"""Numbers of switches, crowbars and lamp laws that a discharge reads where the build file does not give its own."""

from __future__ import annotations

from collections.abc import Iterator

from pulsewright.machine.parts import Machine
from pulsewright.refdata.rows import Datum

SPARK_GAPS = ("triggered spark gap", "overvoltage gap")

_GAP = {
    "switch.gap_field": Datum(
        3.0e6,
        "V/m",
        1.5e6,
        8.0e6,
        "memory-m",
        "self-break field of a spark gap, which gives its length: air at atmospheric pressure 3 MV/m; lower where the "
        "gap is set wide, higher where it is pressurised",
    ),
    "switch.gap_conductivity": Datum(
        2.0e4,
        "S/m",
        0.7e4,
        4.0e4,
        "memory-m",
        "spark channel, Braginskii, Sov. Phys. JETP 7, 1068 (1958), air; his law of growth widens it",
    ),
    "switch.gap_drop": Datum(
        40.0, "V", 20.0, 100.0, "memory-m", "falls at cathode and anode of an arc between metals, tens of volts"
    ),
}
_THYRATRON = {
    "switch.thyratron_drop": Datum(
        150.0, "V", 70.0, 500.0, "memory-m", "hydrogen thyratron in a fast pulse, makers' application notes"
    )
}
_HARD = {
    "switch.hard_resistance": Datum(
        0.02, "ohm", 0.005, 0.1, "memory-l", "stack of semiconductor switches for kilovolts and kiloamperes, closed"
    )
}
_CROWBAR = {
    "clamp diode": {
        "crowbar.diode_drop": Datum(
            15.0, "V", 5.0, 50.0, "memory-l", "stack of diodes for some 10 kV: 1 to 2 V for each of ten or more"
        )
    },
    "crowbar switch": {
        "crowbar.switch_drop": Datum(50.0, "V", 20.0, 150.0, "memory-l", "arc of a closed gap or ignitron")
    },
}
_STEEP = {
    "lamp.steep_exponent": Datum(
        0.85,
        "-",
        0.75,
        0.95,
        "source",
        "exponent of V against I of a fast pre-ionised lamp above some 2 kA/cm^2, credited to Marotta in the abstract "
        '"The plasma z-pinch effect on the I-V characteristic of fast discharge flash tubes"; its range is assumed',
    ),
    "lamp.joining_current_density": Datum(
        1.1e7,
        "A/m^2",
        0.6e7,
        2.0e7,
        "source",
        "between 0.6 kA/cm^2, below which 0.5 holds, and 2 kA/cm^2, same abstract",
    ),
}


def circuit_coefficients(machine: Machine) -> Iterator[tuple[str, Datum]]:
    """Name and datum of each that this machine's discharge reads."""
    kind = machine.switch.kind
    if machine.switch.drop is None and kind in SPARK_GAPS:
        yield from _GAP.items()
    if machine.switch.drop is None and kind == "thyratron":
        yield from _THYRATRON.items()
    if machine.switch.drop is None and kind == "hard switch" and machine.switch.resistance == 0:
        yield from _HARD.items()
    if machine.crowbar.kind in _CROWBAR and machine.crowbar.drop is None:
        yield from _CROWBAR[machine.crowbar.kind].items()
    if machine.loop.lamp_law == "steep law":
        yield from _STEEP.items()
