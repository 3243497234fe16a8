"""What is said of a sized dye beside its numbers."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from pulsewright import machine as machines
from pulsewright import refdata
from pulsewright.errors import Finding
from pulsewright.quantities import show
from pulsewright.studies.dye_map import DyeMap, Place, at_ends

if TYPE_CHECKING:
    from pulsewright.studies.size_dye import DyeSizing

#: Light so uneven that the axis is left dark; our own choice of words.
UNEVEN = 0.3

NOTES = (
    (
        "Each point is a whole shot from pump light to output at the charge voltage of the bench; lamps and discharge "
        "are those of the bench. The chamber is followed anew for each bore."
    ),
    (
        "Flat: between these values the output stays within 5 and 10 % of the best, the others being best for each "
        "value. Stop where it is cheap: less dye, a coupler that is at hand, a bore that can be had."
    ),
    (
        "Ends: the best again with the absorption of excited dye, of triplets, their making, and the loss of a pass at "
        "the ends of their ranges; kept is what the sized values give there of the best that could be had."
    ),
    "Beam quality, heat and the length of the pulse are not weighed: see study pulse-quality.",
)
CAUTIONS = (
    "A better coupler or dye means more energy on windows, mirrors and eyes: read the margins before it is built.",
)
WORDS = {"concentration": "dye.concentration", "bore": "cell.bore"}


def findings(build: machines.Build, sizing: DyeSizing, found: DyeMap, rough: Place) -> Iterator[Finding]:
    """What a careful person would want to know before building it."""
    yield from _soluble(build, sizing)
    if sizing.best.output_energy <= 0:
        yield _nothing(sizing)
        return
    yield from _at_the_end(sizing, found, rough)
    yield from _limits(sizing)
    if sizing.best.evenness < UNEVEN:
        message = f"the axis gets {100 * sizing.best.evenness:.0f} % of the light of the wall: pumping is uneven"
        step = "Take the low end of the flat range of the concentration, or a smaller bore"
        yield Finding("note", "dye.concentration", message, f"{100 * UNEVEN:.0f} % or more", step)
    if sizing.ends and not sizing.firm:
        worst = min((row for row in sizing.ends if row.kept is not None), key=lambda row: row.kept or 0.0)
        message = (
            f"the optimum is not firm: with {worst.path.removeprefix('reference.')} at its {worst.end} end, the sized "
            f"values keep {100 * (worst.kept or 0.0):.0f} % of what could be had there"
        )
        step = "Measure output with two couplers before buying a third"
        yield Finding("note", worst.path, message, "90 % at every end", step)


def _nothing(sizing: DyeSizing) -> Finding:
    volts = show("charge_voltage", sizing.charge_voltage)
    message = f"nothing lases anywhere on the map at {volts}"
    allowed = "A charge voltage, lamps and cell that reach threshold"
    step = "Raise the charge voltage, or widen the ranges to higher reflectivity and smaller bores"
    return Finding("warning", "bank.charge_voltage", message, allowed, step)


def _at_the_end(sizing: DyeSizing, found: DyeMap, rough: Place) -> Iterator[Finding]:
    for name, end in at_ends(rough, found):
        path = WORDS.get(name, f"optics.{sizing.coupler}.reflectivity")
        value = show(name, getattr(rough, name))
        message = f"the best {name} lies at the {end} end of its range, {value}: more may lie beyond"
        yield Finding("note", path, message, "A best value inside the range", f"Widen it with --{name}")


def _soluble(build: machines.Build, sizing: DyeSizing) -> Iterator[Finding]:
    dye = build.machine.dye
    datum = refdata.solubility(dye.name, dye.solvent) if dye.name in refdata.names()["dye"] else None
    if datum is None:
        return
    most = datum.value if datum.low is None else datum.low
    if sizing.best.concentration > most:
        message = f"{show('concentration', sizing.best.concentration)} of {dye.name} may not dissolve in {dye.solvent}"
        allowed = f"At most {show('concentration', most)}: {datum.source} [{datum.tag}]"
        yield Finding("warning", "dye.concentration", message, allowed, "Take less, or another solvent")
    elif sizing.concentration.max() > most:
        message = f"part of the range may not dissolve: {dye.name} in {dye.solvent}"
        allowed = f"At most {show('concentration', most)}: {datum.source} [{datum.tag}]"
        yield Finding("note", "dye.concentration", message, allowed, "Lower the end of --concentration")


def _limits(sizing: DyeSizing) -> Iterator[Finding]:
    for row in sizing.stops[:1]:
        if row.ratio >= 1.0:
            inside = (
                "no point of the map that lases keeps them"
                if sizing.best_within is None
                else "the best inside the limits stands beside it"
            )
            message = f"at the best point {row.stress} reaches {row.ratio:.2g} times its limit ({row.source})"
            yield Finding("limit", row.item, message, f"Below its limit; {inside}", row.lower_by.capitalize())
    if not sizing.stops:
        message = "no optic of the bench has a damage limit, so nothing says what stops the best point"
        yield Finding(
            "note", f"optics.{sizing.coupler}.damage_fluence", message, "A limit", "Enter coating or threshold"
        )
