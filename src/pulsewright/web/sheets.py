"""Which entries, curves, drawings, margins and cautions belong to which sheet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from pulsewright.records import Caution


@dataclass(frozen=True, slots=True)
class Sheet:
    """One view of the page.

    Parameters
    ----------
    sections : tuple of str
        Sections of the build file whose entries are set here; "optics:cavity" and "optics:train" part the optics.
    plots, drawings : tuple of str
        Ids, in the order of the sheet.
    numbers : tuple of str
        Keys of the shot's summary.
    budget : str
        Budget of the shot that is drawn, if any.
    hazards : tuple of str
        Hazards that are met here.
    stresses : tuple of str
        Sheets whose stresses stand in the stress table of this one.
    studies : tuple of str
        Studies shown here, by id; they follow the draft when it rests.
    works : tuple of str
        Long work that is asked for here, by id.
    fields, pictures : tuple of str
        Fine maps, and drawings that move with the shot, by id.
    """

    id: str
    name: str
    words: str
    sections: tuple[str, ...] = ()
    drawings: tuple[str, ...] = ()
    plots: tuple[str, ...] = ()
    numbers: tuple[str, ...] = ()
    budget: str = ""
    hazards: tuple[str, ...] = ()
    remark: str = ""
    stresses: tuple[str, ...] = ()
    studies: tuple[str, ...] = ()
    works: tuple[str, ...] = ()
    fields: tuple[str, ...] = ()
    pictures: tuple[str, ...] = ()


_ALL = (
    Sheet(
        "shot",
        "One shot",
        "the whole chain at this charge voltage",
        plots=("current", "radiated_power", "output_power", "output_spectrum"),
        numbers=(
            "charge_voltage",
            "stored_energy",
            "charge_time",
            "peak_current",
            "peak_current_density",
            "lamp_energy",
            "radiated_energy",
            "absorbed_pump_energy",
            "pump_standard_error",
            "output_energy",
            "energy_before_spoilt",
            "pulse_width",
            "peak_power",
            "wavelength",
            "efficiency",
            "waiting_time",
        ),
        budget="chain",
    ),
    Sheet(
        "bank",
        "Bank",
        "capacitors, charger, dump and the loop to the lamps",
        ("bank", "charger", "dump", "meter", "loop", "branches", "crowbar", "leads"),
        ("circuit",),
        ("voltages", "current", "branch_current", "capacitor_voltage"),
        (
            "stored_energy",
            "charge_time",
            "peak_current",
            "reversal",
            "voltage_reversal",
            "charge_per_shot",
            "capacitor_life",
        ),
        "discharge",
        ("stored energy",),
        stresses=("bank", "switch", "lamps"),
        studies=("charge",),
    ),
    Sheet(
        "switch",
        "Switch and trigger",
        "what closes the loop, and the channel the arc starts from",
        ("switch", "trigger", "breakdowns"),
        ("circuit",),
        ("current", "arc_radius"),
        (
            "firing_voltage",
            "firing_pressure",
            "trigger_delay",
            "trigger_jitter",
            "peak_current",
            "steepest_rise",
            "charge_per_shot",
            "action_integral",
        ),
        hazards=("starts by itself",),
        stresses=("switch",),
        studies=("pump_down", "triggers"),
    ),
    Sheet(
        "lamps",
        "Lamps",
        "the arc and its light",
        ("lamps",),
        (),
        ("plasma_temperature", "radiated_power", "arc_radius", "lamp_spectrum"),
        (
            "lamp_energy",
            "explosion_fraction",
            "explosion_at_third_maximum",
            "explosion_at_three_time_scales",
            "explosion_at_time_scale",
            "lamp_life",
            "wall_loading",
            "peak_current_density",
            "peak_temperature",
            "radiated_energy",
            "radiated_fraction",
            "band_fraction",
        ),
        "lamp column",
        ("lamp", "ozone"),
        stresses=("lamps",),
        studies=("lamp_law",),
        works=("map",),
    ),
    Sheet(
        "chamber",
        "Pump chamber",
        "how the light reaches the dye",
        ("chamber",),
        ("chamber",),
        ("absorbed_energy", "pump_rate"),
        ("radiated_energy", "absorbed_pump_energy", "pump_standard_error"),
        fields=("absorbed_spectrum",),
        pictures=("pump_map",),
    ),
    Sheet(
        "dye",
        "Dye cell",
        "the cell and the solution in it",
        ("cell", "cells", "dye", "dyes"),
        (),
        ("inversion", "triplets", "pump_rate", "wavefront_error"),
        (
            "absorbed_pump_energy",
            "pump_standard_error",
            "wavelength",
            "axis_reached",
            "shock_arrival",
            "spoilt_time",
            "widened_time",
            "energy_before_spoilt",
            "waiting_time",
            "flush_volume",
        ),
        hazards=("solvent", "dye", "gas"),
        studies=("pulse_quality", "dye_spectra"),
        fields=("spectral_power", "index_change"),
        pictures=("photon_flow",),
    ),
    Sheet(
        "loop",
        "Dye loop",
        "bottles, pump and flow",
        ("loops",),
        ("loop",),
        numbers=("waiting_time", "flush_volume"),
        works=("fill",),
    ),
    Sheet(
        "resonator",
        "Resonator",
        "mirrors and windows of the cavity",
        ("resonator", "optics:cavity"),
        ("resonator",),
        ("mirrors", "round_trip_gain", "output_power", "output_spectrum"),
        ("output_energy", "pulse_width", "peak_power", "wavelength", "efficiency"),
    ),
    Sheet(
        "train",
        "Beam train",
        "every surface from the output coupler to the target",
        ("optics:train",),
        ("train",),
        ("surface_fluence", "surface_diameter", "surface_irradiance"),
        ("output_energy", "energy_before_spoilt", "divergence_low", "divergence_high"),
        hazards=("beam",),
    ),
    Sheet(
        "target",
        "Target",
        "where the beam goes",
        ("target",),
        ("target",),
        ("output_power", "surface_fluence"),
        ("output_energy", "pulse_width", "peak_power"),
    ),
    Sheet(
        "room",
        "Room",
        "the air round the laser",
        ("room",),
        remark="No curve belongs to the room. Its pressure sets the oxygen in the dye; its volume and air changes"
        " set the vapour limits on the safety sheet.",
    ),
    Sheet("envelope", "Envelope", "output and margins against charge voltage"),
    Sheet("size", "Size a bank", "from a wish to capacitors, inductance and voltage; this bench stays as it is"),
    Sheet(
        "size_dye",
        "Size the dye",
        "concentration, coupler and bore for this head; this bench stays as it is",
        works=("size_dye",),
    ),
    Sheet("findings", "Findings", "everything that is wrong, near a limit, or worth knowing, worst first"),
    Sheet("formulas", "Formula shelf", "every formula by itself, with its validity and source"),
)

#: Every sheet, by id.
SHEETS: Mapping[str, Sheet] = {sheet.id: sheet for sheet in _ALL}
#: Sheets that stand in the list beside the strip; the others are the strip's own.
BESIDE = ("shot", "envelope", "size", "size_dye", "findings", "formulas")
_HAZARDS = {hazard: sheet.id for sheet in _ALL for hazard in sheet.hazards}
_SECTIONS = {section: sheet.id for sheet in _ALL for section in sheet.sections}
#: Reference data of the dye's side; the rest of it belongs to the lamps.
_DYE_DATA = ("dye", "solvent", "quencher", "atmosphere")


#: What is said of a hazard while no shot has been computed, and where none can be.
_GENERAL: Mapping[str, tuple[Caution, ...]] = {
    "bank": (
        Caution(
            "stored energy",
            "Stored energy and kilovolts kill, also after the supply is off. What this bank can do was not worked out.",
            "Dump, measure, short and ground before touching anything. Local codes and licensed practice decide.",
        ),
    ),
    "lamps": (
        Caution(
            "lamp",
            "A flashlamp can burst, is hot after firing, gives off ultraviolet, and is loud.",
            "Fire only with the chamber closed; cover eyes, skin and ears.",
        ),
    ),
    "dye": (
        Caution(
            "solvent",
            "Solvents and dyes are flammable and toxic; many dyes are little studied.",
            "No flame or spark near them; ventilate; gloves and goggles. Read the safety data sheets.",
        ),
    ),
    "train": (
        Caution(
            "beam",
            "How hazardous this beam is was not worked out.",
            "Treat it as class 4: eyewear for its wavelength, path closed. Local codes and licensed practice decide.",
        ),
    ),
}


def general_cautions(sheet: str) -> tuple[Caution, ...]:
    """Cautions of a sheet that hold whatever the shot."""
    return _GENERAL.get(sheet, ())


def sheet_of_hazard(hazard: str) -> str:
    """Sheet on which a hazard is met; the room's when none claims it."""
    return _HAZARDS.get(hazard, "room")


def sheet_of(path: str, places: Mapping[str, str]) -> str:
    """Sheet of an entry, a margin item or a finding; empty when it belongs to none.

    Parameters
    ----------
    path : str
        In build-file spelling.
    places : mapping of str to str
        Id of each optic to its place, cavity or train.
    """
    section, _, rest = path.partition(":")[0].partition(".")
    first = rest.partition(".")[0]
    if section == "optics":
        return _SECTIONS.get(f"optics:{places.get(first, 'cavity')}", "resonator")
    if section == "reference":
        return "dye" if first in _DYE_DATA else "lamps"
    return _SECTIONS.get(section, "")
