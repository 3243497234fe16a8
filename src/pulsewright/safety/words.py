"""Numbers as people say them, for findings, cautions and the sheet."""

from __future__ import annotations

from pulsewright import units
from pulsewright.quantities import show


def energy(value: float) -> str:
    """Joules: "180 J"."""
    return units.format(value, "J")


def voltage(value: float) -> str:
    """Volts: "9.50 kV"."""
    return units.format(value, "V")


def current(value: float) -> str:
    """Amperes: "4.75 A"."""
    return units.format(value, "A")


def power(value: float) -> str:
    """Watts: "7.20 W"."""
    return units.format(value, "W")


def time(value: float) -> str:
    """A time: "44 ms", "12 s", "7.3 min", "2.1 h"."""
    if value < 100.0:
        return units.format(value, "s", 2)
    shown, unit = (value / 60.0, "min") if value < 6000.0 else (value / 3600.0, "h")
    return f"{shown:.1f} {unit}" if shown < 10 else f"{shown:.0f} {unit}"


def length(value: float) -> str:
    """A distance: "11 m", "1.1 km"."""
    return units.format(value, "m", 2) if value < 1e6 else f"{value / 1e3:.0f} km"


def share(value: float) -> str:
    """A fraction in per cent, two digits."""
    return f"{100 * value:.2g} %" if value < 0.995 else f"{100 * value:.0f} %"


def setting(part: float) -> str:
    """A voltage as a share, with the share of the energy that belongs to it: half the voltage is a quarter of it."""
    return f"{share(part)} of the voltage, {share(part**2)} of the energy"


def wavelength(value: float) -> str:
    """Nanometres: "590 nm"."""
    return f"{value * 1e9:.0f} nm"


def celsius(value: float) -> str:
    """Degrees Celsius: "12 degC"."""
    return f"{value - 273.15:.0f} degC"


def volume(value: float) -> str:
    """Litres: "6.00 L"."""
    return show("volume", value)


def sentence(text: str) -> str:
    """The text with its first letter raised and the rest as it is."""
    return text[:1].upper() + text[1:]
