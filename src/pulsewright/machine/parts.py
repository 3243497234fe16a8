"""The parts of a laser as frozen SI records; each key of the build file is declared here once.

The module is longer than others because it is that table.

A key that may be absent is None when it is. Documentary keys (`part`, `note`, ...) are kept for
the reader and nothing is computed from them.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

from pulsewright.machine import fields as f
from pulsewright.machine.curves import MeasuredCurve

_PART = "maker and type, for the build book"
_NOTE = "anything worth remembering"
#: More in series with the lamps is a slip of the prefix (Mohm for mohm). [ohm]
_MOST_OHMS = 1e3

TRIGGERS = (
    "triggered spark gap",
    "overvoltage gap",
    "thyratron",
    "ideal",
    "external wire",
    "series injection",
    "simmer",
    "pre-pulse",
    "pressure drop",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bank:
    """The capacitor bank that the switch closes onto the lamps."""

    capacitance: float = f.number("total capacitance seen by the switch", "4 uF")
    charge_voltage: float = f.number("voltage the bank is charged to for a shot", "9.5 kV")
    voltage_rating: float | None = f.optional("highest voltage the capacitors are rated for", "15 kV")
    peak_current_rating: float | None = f.optional("highest peak current the capacitors are rated for", "25 kA")
    reversal_rating: float | None = f.optional(
        "largest reversal the capacitors are rated for, as a fraction of the first peak", "0.2", zero=True, most=1.0
    )
    life_rating: float | None = f.optional("shots the capacitors are rated for at those ratings", "1e5")
    planned_shots: float | None = f.optional("shots that bank and lamps are meant to last", "1e4")
    bleeder_resistance: float | None = f.optional("resistor that drains the bank slowly, always connected", "20 Mohm")
    bleeder_power_rating: float | None = f.optional("power the bleeder may carry all the time", "25 W")
    part: str = f.text(_PART, "pulse capacitors, four in parallel")
    note: str = f.text(_NOTE, "labels photographed")


@dataclass(frozen=True, slots=True, kw_only=True)
class Charger:
    """The supply that charges the bank."""

    method: str = f.choice("how it charges", ("constant current", "constant power", "resistor"))
    current: float | None = f.optional("charging current, for constant current", "15 mA")
    power: float | None = f.optional("charging power, for constant power", "150 W")
    resistance: float | None = f.optional("charging resistor, for charging through a resistor", "100 kohm")
    voltage_max: float = f.number("highest voltage it reaches", "12 kV")
    repeat_period: float | None = f.optional("time from one shot to the next", "30 s")
    resistor_energy_rating: float | None = f.optional("energy the charging resistor may take up in one shot", "500 J")
    resistor_power_rating: float | None = f.optional("mean power the charging resistor may carry", "50 W")
    line_voltage: float | None = f.optional("voltage of the wall outlet, effective value", "230 V")
    fuse_rating: float | None = f.optional("current of the fuse in the wall line", "10 A")
    conversion_efficiency: float = f.defaulted(
        "power into the bank over power from the wall",
        {"value": 0.8, "spread": 0.1, "basis": "estimated", "source": "common practice, no source"},
        most=1.0,
    )
    power_factor: float = f.defaulted(
        "real over apparent power drawn from the wall",
        {"value": 0.7, "spread": 0.2, "basis": "estimated", "source": "common practice, no source"},
        most=1.0,
    )
    part: str = f.text(_PART, "rack supply")
    note: str = f.text(_NOTE, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Dump:
    """The resistor that takes the bank's energy when a shot is called off."""

    resistance: float | None = f.optional("resistance of the dump resistor", "2 kohm")
    volume: float | None = f.optional("volume of its body, which takes up the heat", "20 cm^3")
    energy_rating: float | None = f.optional("energy it may take up at once, from its data sheet", "5 kJ")
    duty: str = f.choice("how often it takes a full bank", ("infrequent", "continuous"), default="infrequent")
    part: str = f.text(_PART, "bulk ceramic resistor")
    note: str = f.text(_NOTE, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Meter:
    """The divider and the instrument that read the bank voltage."""

    upper_resistance: float | None = f.optional("upper arm of the divider", "1 Gohm")
    lower_resistance: float | None = f.optional("lower arm of the divider", "100 kohm")
    input_resistance: float | None = f.optional("input of the instrument across the lower arm", "10 Mohm")
    upper_voltage_rating: float | None = f.optional("voltage the upper arm is rated for", "20 kV")
    upper_power_rating: float | None = f.optional("power the upper arm is rated for", "2 W")
    supply: str = f.choice(
        "how the instrument is fed", ("not stated", "mains", "battery", "isolated"), default="not stated"
    )
    part: str = f.text(_PART, "high-voltage divider, panel meter")
    note: str = f.text(_NOTE, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Switch:
    """What closes the loop."""

    kind: str = f.choice(
        "kind of switch", ("triggered spark gap", "overvoltage gap", "thyratron", "hard switch", "none")
    )
    resistance: float = f.defaulted("resistance of the closed switch", "0 ohm", zero=True, most=_MOST_OHMS)
    drop: float | None = f.optional(
        "voltage lost in the closed switch, whatever the current; by its kind when not given", "200 V", zero=True
    )
    peak_current_rating: float | None = f.optional("highest peak current it is rated for", "25 kA")
    charge_rating: float | None = f.optional("charge it is rated to pass in one shot", "0.2 C")
    action_rating: float | None = f.optional("integral of the current squared it is rated for", "5e4 A^2*s")
    rise_rating: float | None = f.optional("steepest rise of the current it is rated for", "10 kA/us")
    part: str = f.text(_PART, "three-electrode gap")
    note: str = f.text(_NOTE, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Trigger:
    """What starts the discharge, and the channel it leaves in the cold gas."""

    method: str = f.choice("how the discharge is started", TRIGGERS)
    channel_radius: float = f.defaulted(
        "radius of the channel in which the arc starts",
        {"value": "0.5 mm", "spread": "0.3 mm", "basis": "estimated", "source": "common practice, no source"},
    )
    channel_temperature: float = f.defaulted(
        "temperature of that channel",
        {"value": "10000 K", "spread": "3000 K", "basis": "estimated", "source": "common practice, no source"},
    )
    growth_factor: float = f.defaulted(
        "factor on the speed at which the arc widens to the bore",
        {"value": 1.0, "spread": 0.4, "basis": "estimated", "source": "common practice, no source"},
    )
    pulse_voltage: float | None = f.optional("voltage of the trigger pulse", "25 kV")
    self_break_voltage: float | None = f.optional("voltage at which the spark gap fires untriggered", "11 kV")
    gap_rise: float | None = f.optional("how fast an overvoltage gap is pulse-charged", "1 kV/us")
    simmer_current: float | None = f.optional("keep-alive current, for simmer", "100 mA")
    prepulse_capacitance: float | None = f.optional("capacitance of the pre-pulse bank", "100 nF")
    prepulse_voltage: float | None = f.optional("voltage of the pre-pulse bank", "9 kV")
    prepulse_inductance: float | None = f.optional("inductance of the pre-pulse loop", "2 uH")
    prepulse_delay: float | None = f.optional("time from the pre-pulse to the main pulse", "20 us")
    start_pressure: float | None = f.optional("pressure from which the lamps are pumped, for pressure drop", "400 torr")
    stop_pressure: float | None = f.optional("pressure the pump would reach, for pressure drop", "1 torr", zero=True)
    pump_speed: float | None = f.optional("volume flow of the pump itself, for pressure drop", "20 L/min")
    conductance: float | None = f.optional("conductance of the line from lamp to pump, for pressure drop", "10 L/min")
    leak: float | None = f.optional("gas that leaks in, pressure times volume flow", "1e-3 Pa*m^3/s", zero=True)
    volume: float | None = f.optional("volume that is pumped, for pressure drop", "0.5 L")
    fill_time: float | None = f.optional("time to fill the lamps back to the start pressure", "2 s")
    statistical_lag: float | None = f.optional("mean wait for a first electron in the lamps", "1 ms")
    pump_start: float | None = f.optional(
        "time from the start of charging to that of pumping; when not given, pumping starts with a full bank",
        "5 s",
        zero=True,
    )
    repeatability: float | None = f.optional(
        "how well charge voltage, start pressure and pump speed repeat from shot to shot, standard deviation", "0.3 %"
    )
    saturated_inductance: float | None = f.optional(
        "inductance that the saturated transformer leaves in the loop, for series injection", "5 uH"
    )
    part: str = f.text(_PART, "trigger transformer")
    note: str = f.text(_NOTE, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Loop:
    """The discharge loop between bank and lamps: leads, busbars, network."""

    network: str = f.choice("shape of the network", ("single mesh", "pulse-forming network"))
    lamps_connected: str = f.choice("how several lamps are connected", ("series", "parallel", "separate loops"))
    lamp_law: str = f.choice(
        "what gives the lamp voltage: a plasma in equilibrium, or a law for quick sizing, square-root or steeper above",
        ("equilibrium plasma", "square-root law", "steep law"),
        default="equilibrium plasma",
    )
    inductance: float = f.number(
        "inductance of the whole loop, arcs at full bore included; with separate loops, of what they share", "1.5 uH"
    )
    resistance: float = f.number(
        "resistance of everything but arcs and switch; with separate loops, of what they share",
        "30 mohm",
        zero=True,
        most=_MOST_OHMS,
    )
    sections: int | None = f.count("number of sections, for a pulse-forming network", "6")
    section_inductance: float | None = f.optional(
        "inductance of the coil between two sections; the last coil, before the lamps, counts in inductance", "20 uH"
    )
    section_resistance: float = f.defaulted("resistance of such a coil", "0 ohm", zero=True, most=_MOST_OHMS)
    clearance: float | None = f.optional("smallest distance through air from live parts to anything else", "40 mm")
    creepage: float | None = f.optional("smallest distance along an insulating surface", "120 mm")
    earth_inductance: float | None = f.optional("inductance of the shared lead from the bank to earth", "300 nH")
    note: str = f.text(_NOTE, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Branch:
    """The loop of one lamp, where each lamp has its own; named as the lamp is."""

    inductance: float = f.number("inductance of this loop, its arc at full bore included", "1.5 uH")
    resistance: float = f.number(
        "resistance of this loop without arc and switch", "30 mohm", zero=True, most=_MOST_OHMS
    )
    delay: float = f.defaulted("time from the trigger to the closing of this loop's switch", "0 s", zero=True)
    capacitance: float | None = f.optional("capacitance of its own; the shared bank when not given", "2 uF")
    note: str = f.text(_NOTE, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Crowbar:
    """What shorts the bank during the shot: a diode against reversal, or a switch that ends the pulse."""

    kind: str = f.choice("kind", ("none", "clamp diode", "crowbar switch"), default="none")
    resistance: float = f.defaulted("resistance when it conducts", "10 mohm", most=_MOST_OHMS)
    drop: float | None = f.optional("voltage lost in it when it conducts, whatever the current", "2 V", zero=True)
    closing_time: float | None = f.optional("time from the trigger to its closing, for a crowbar switch", "15 us")
    part: str = f.text(_PART, "diode stack")
    note: str = f.text(_NOTE, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Lead:
    """One stretch of the discharge loop, to compute its inductance and resistance from its shape."""

    shape: str = f.choice("shape", ("coaxial", "strips", "wire ring", "cable"))
    length: float | None = f.optional("length along the current; not for a ring", "500 mm")
    inner_diameter: float | None = f.optional("outside diameter of the inner conductor, when coaxial", "10 mm")
    outer_diameter: float | None = f.optional("inside diameter of the outer conductor, when coaxial", "30 mm")
    width: float | None = f.optional("width of the strips", "50 mm")
    gap: float | None = f.optional("distance between the strips", "2 mm")
    thickness: float | None = f.optional("thickness of the strips or of the outer conductor", "1 mm")
    ring_radius: float | None = f.optional("radius of the ring", "150 mm")
    wire_radius: float | None = f.optional("radius of its wire", "3 mm")
    line_impedance: float | None = f.optional("impedance of the cable", "50 ohm")
    velocity_factor: float | None = f.optional("speed in the cable over that of light", "0.66", most=1.0)
    in_parallel: int | None = f.count("how many alike side by side", "4")
    metal: str = f.choice("metal", ("copper", "brass", "aluminium", "steel"), default="copper")
    note: str = f.text(_NOTE, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Breakdown:
    """One measured pair: the pressure at which the standing voltage broke the lamps down."""

    breakdown_pressure: float = f.number("pressure at which the lamps broke down", "20 torr")
    breakdown_voltage: float = f.number("voltage that stood on them", "6 kV")
    note: str = f.text(_NOTE, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Lamp:
    """One flashlamp."""

    shape: str = f.choice("shape of the discharge", ("linear", "coaxial"))
    gas: str = f.name("gas of the fill", "gas", "xenon")
    bore: float = f.number("inside diameter of the tube; of the outer tube when coaxial", "7 mm")
    inner_diameter: float | None = f.optional("outside diameter of the inner tube, when coaxial", "12 mm")
    arc_length: float = f.number("distance between the electrode tips", "150 mm")
    fill_pressure: float = f.number("pressure of the cold fill", "100 torr")
    second_gas: str | None = f.name("gas mixed into the fill", "gas", "krypton", absent=True)
    second_gas_fraction: float | None = f.optional("its part of the fill pressure", "0.1", below=1.0)
    dead_volume: float = f.defaulted(
        "cold volume behind the electrodes that the fill expands into", "0 cm^3", zero=True
    )
    wall_vapour: str = f.choice("whether vapour of the wall joins the plasma", ("none", "ablated"), default="none")
    near_infrared_lines: str = f.choice(
        "whether the strong near-infrared lines of xenon are added", ("left out", "added"), default="left out"
    )
    envelope: str = f.name("glass of the tube", "glass", "clear fused silica")
    wall_thickness: float = f.number("thickness of the tube wall", "1 mm")
    electrode_drop: float = f.defaulted(
        "voltage lost at both electrodes together",
        {"value": "15 V", "spread": "10 V", "basis": "estimated", "source": "common practice, no source"},
        zero=True,
    )
    explosion_fraction_rating: float = f.defaulted(
        "fraction of the lowest published explosion energy that is accepted", 0.3, most=1.0
    )
    peak_current_rating: float | None = f.optional("highest peak current its electrodes are rated for", "15 kA")
    charge_rating: float | None = f.optional("charge its electrodes are rated to pass in one shot", "0.2 C")
    wall_loading_rating: float | None = f.optional("heat per area and shot that its wall is rated for", "2 J/cm^2")
    part: str = f.text(_PART, "flashlamp, tungsten electrodes")
    note: str = f.text(_NOTE, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Chamber:
    """The pump chamber round lamps and cell."""

    reflector: str = f.choice(
        "shape of the reflector",
        ("double ellipse", "single ellipse", "multiple ellipse", "circular", "close-wrapped diffuse"),
    )
    light_method: str = f.choice(
        "how the light is followed: ray by ray, or as in an integrating sphere for a quick look",
        ("ray tracing", "closed form"),
        default="ray tracing",
    )
    semi_major: float | None = f.optional("half of the long axis of the ellipse", "25 mm")
    semi_minor: float | None = f.optional("half of the short axis of the ellipse", "22 mm")
    diameter: float | None = f.optional("inside diameter, for a circular reflector", "60 mm")
    perimeter: float | None = f.optional("length of the wall round the cross-section, for a close wrap", "120 mm")
    lamp_distance: float | None = f.optional(
        "from the axis of the cell to that of a lamp, where the reflector does not fix it; touching when not given",
        "9 mm",
    )
    length: float = f.number("inside length of the chamber", "160 mm")
    reflectivity: float = f.number("reflectivity of the wall for the pump light", "0.85", most=1.0)
    opening_fraction: float = f.number("open part of the wall area: ends, holes, ports", "0.05", zero=True, below=1.0)
    wall: str = f.name("surface of the wall, for its colour", "wall", "grey", default="grey")
    diffuse_fraction: float | None = f.optional(
        "part of the reflected light that the wall scatters; 1 for a diffuse wrap, otherwise 0, when not given",
        "0.1",
        zero=True,
        most=1.0,
    )
    end_reflectivity: float | None = f.optional(
        "reflectivity of the end plates; when not given, the ends count in opening_fraction", "0.5", zero=True, most=1.0
    )
    coolant: str = f.name("liquid round the lamps", "coolant", "water", default="none")
    coolant_temperature: float | None = f.optional(
        "temperature of the coolant at the cell; as the dye when not given", "20 degC"
    )
    filter: str = f.name("filter between lamps and cell", "filter", "ultraviolet absorbing glass", default="none")
    filter_file: str | None = f.file(
        "measured transmission of the filter against wavelength, instead of the row named above", "jacket.csv"
    )
    note: str = f.text(_NOTE, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """The dye cell."""

    shape: str = f.choice("shape of the dye", ("cylinder", "slab"))
    bore: float = f.number("inside diameter; the thickness of the dye when a slab", "8 mm")
    width: float | None = f.optional("width of the dye, when a slab", "20 mm")
    length: float = f.number("length filled with dye", "170 mm")
    pumped_length: float = f.number("part of the length that the lamps light", "150 mm")
    wall_thickness: float = f.number("thickness of the tube wall", "1 mm")
    glass: str = f.name("glass of the tube", "glass", "clear fused silica")
    part: str = f.text(_PART, "drawn tube, ends fire-polished")
    note: str = f.text(_NOTE, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Dye:
    """The dye solution."""

    name: str = f.name("dye, of the library or of [dyes.<id>]", "dye", "rhodamine 6G", own="dyes")
    solvent: str = f.name("solvent", "solvent", "ethanol")
    second_solvent: str | None = f.name("solvent mixed into it", "solvent", "water", absent=True)
    second_solvent_fraction: float | None = f.optional("its part of the volume, before mixing", "0.3", below=1.0)
    surfactant: str = f.name("surfactant in water", "surfactant", "none", default="none")
    surfactant_concentration: float = f.defaulted("concentration of the surfactant", "0 mol/L", zero=True)
    refractive_index: float | None = f.optional("of the solution; of the solvent when not given", "1.36")
    concentration: float = f.number("concentration of the dye", "6e-5 mol/L")
    temperature: float = f.defaulted("temperature of the solution in the cell", "20 degC")
    atmosphere: str = f.name("gas the solution is in equilibrium with", "atmosphere", "air", default="air")
    quencher: str = f.name("triplet quencher added", "quencher", "cyclooctatetraene", default="none")
    quencher_concentration: float = f.defaulted("concentration of the quencher", "0 mol/L", zero=True)
    bleached_fraction: float = f.defaulted("part of the dye that earlier shots destroyed", 0.0, zero=True, below=1.0)
    product_absorption: float = f.defaulted(
        "absorption at the laser wavelength by what became of it, per length", "0 1/m", zero=True
    )
    half_output_dose: float | None = f.optional(
        "lamp energy per volume of solution after which the output is halved, as measured", "200 kJ/L"
    )
    note: str = f.text(_NOTE, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnDye:
    """A dye of the user's own: from measured spectra, or from peak, width, yield and lifetime."""

    kindred: str = f.name(
        "library dye whose constants stand in for those not given below, with its ranges widened", "dye", "rhodamine 6G"
    )
    absorption_file: str | None = f.file("measured absorption against wavelength", "absorption.csv")
    absorption_kind: str = f.choice(
        "what the second column of that file is", ("molar absorptivity", "absorbance", "relative"), default="relative"
    )
    sample_concentration: float | None = f.optional("concentration of that sample, for absorbance", "1e-5 mol/L")
    sample_length: float | None = f.optional("length of that sample, for absorbance", "10 mm")
    emission_file: str | None = f.file(
        "measured fluorescence against wavelength, per wavelength interval, any scale", "emission.csv"
    )
    absorption_peak: float | None = f.optional("wavelength of the absorption peak, without a file", "530 nm")
    absorption_width: float | None = f.optional("its full width at half maximum, without a file", "31 nm")
    peak_molar_absorptivity: float | None = f.optional("decadic molar absorptivity at the peak", "1.1e5 L/(mol cm)")
    emission_peak: float | None = f.optional("wavelength of the fluorescence peak, without a file", "556 nm")
    emission_width: float | None = f.optional("its full width at half maximum, without a file", "43 nm")
    quantum_yield: float = f.number("fluorescence quantum yield", "0.9", most=1.0)
    lifetime: float = f.number("fluorescence lifetime in dilute solution", "4 ns")
    molar_mass: float | None = f.optional("molar mass, for weighing", "479 g/mol")
    excited_state_absorption: float | None = f.optional(
        "cross-section of S1 at the laser wavelength", "0.4e-16 cm^2", zero=True
    )
    triplet_absorption: float | None = f.optional(
        "cross-section of T1 at the laser wavelength", "0.5e-16 cm^2", zero=True
    )
    intersystem_crossing_rate: float | None = f.optional("rate from S1 to T1", "2e6 1/s", zero=True)
    triplet_lifetime: float | None = f.optional("lifetime of T1 without oxygen and quencher", "100 us")
    note: str = f.text(_NOTE, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class FurtherCell:
    """A further dye cell in the resonator, of the same bore and solution, behind the first."""

    length: float = f.number("length filled with dye", "170 mm")
    pumped_length: float = f.number("part of the length that lamps light", "150 mm", zero=True)
    pump_share: float = f.number(
        "part of the lamps' light that goes to it instead of the first cell", "0.5", zero=True, below=1.0
    )
    concentration: float | None = f.optional(
        "concentration of the dye; as in the first cell when not given", "6e-5 mol/L"
    )
    note: str = f.text(_NOTE, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class DyeLoop:
    """How the dye reaches the cell and what becomes of it."""

    method: str = f.choice(
        "how the fill is renewed", ("closed loop", "bleed and feed", "fresh fill", "regenerated", "stagnant")
    )
    flow: float | None = f.optional("volume flow through the cell", "3 L/min", zero=True)
    volume: float | None = f.optional("volume of solution in the whole loop", "6 L")
    volume_per_shot: float | None = f.optional(
        "volume renewed for each shot, for bleed and feed or fresh fill; one cell when not given", "20 cm^3"
    )
    bed_flow: float | None = f.optional("volume flow through the carbon bed, when regenerated", "0.5 L/min")
    bed_product_removal: float | None = f.optional(
        "part of the absorbing products that one pass of the bed takes out", "0.9", most=1.0
    )
    bed_dye_removal: float | None = f.optional(
        "part of the dye that one pass of the bed takes out", "0.9", zero=True, most=1.0
    )
    note: str = f.text(_NOTE, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Resonator:
    """The laser resonator."""

    length: float = f.number("distance from mirror to mirror", "400 mm")
    photon_field: str = f.choice(
        "whether each shell lases by itself or one mode is shared; auto decides by the Fresnel number",
        ("auto", "by shell", "single mode"),
        default="auto",
    )
    loss_per_pass: float = f.number(
        "fraction lost in one pass to windows, scatter and mirror absorption", "0.03", zero=True, below=1.0
    )
    hot_spot_factor: float = f.defaulted(
        "peak over mean fluence of the whole beam; never below what the shells themselves show",
        {"value": 2.5, "spread": 0.5, "basis": "estimated", "source": "2 to 3 without a relay image, from memory"},
    )
    tuning: str = f.choice(
        "tuning element, known by what it lets through in one pass",
        ("free running", "prism", "grating", "plate", "etalon"),
        default="free running",
    )
    tuned_wavelength: float | None = f.optional("vacuum wavelength that the tuning element lets through best", "589 nm")
    tuned_width: float | None = f.optional("full width at half maximum of what it lets through in one pass", "2 nm")
    tuning_period: float | None = f.optional("distance to its next pass band, for an etalon", "5 nm")
    tuning_loss: float = f.defaulted("fraction lost in the element in one pass at its best", 0.0, zero=True, below=1.0)
    blocked: str = f.choice(
        "which mirror is covered, to see what lases without it", ("none", "rear", "coupler"), default="none"
    )
    parasitic_reflectivity: float | None = f.optional(
        "reflectivity of each end of the strongest path beside the mirrors: windows, walls",
        "0.035",
        below=1.0,
    )
    parasitic_length: float | None = f.optional(
        "distance between these ends; the cell's length when not given", "170 mm"
    )
    injection_power: float | None = f.optional("power of a narrow line sent in along the axis", "1 mW")
    injection_wavelength: float | None = f.optional("its vacuum wavelength", "589.0 nm")
    injection_width: float | None = f.optional(
        "its full width at half maximum; narrower than a bin when not given", "10 pm"
    )
    rear: str = f.reference("id of the rear mirror", "optics", "rear")
    coupler: str = f.reference("id of the output coupler", "optics", "coupler")
    note: str = f.text(_NOTE, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Optic:
    """One optic, inside the cavity or in the beam train behind the output coupler."""

    kind: str = f.choice("kind of optic", ("mirror", "window", "lens"))
    place: str = f.choice("where it stands", ("cavity", "train"))
    reflectivity: float | None = f.optional("reflectivity at the laser wavelength", "0.99", most=1.0)
    reflectivity_file: str | None = f.file(
        "measured reflectivity of a resonator mirror against wavelength, instead of one number",
        "rear.csv",
    )
    transmission: float | None = f.optional("transmission at the laser wavelength", "0.98", most=1.0)
    distance: float | None = f.optional("distance along the beam from the output coupler, in the train", "600 mm")
    angle: float = f.defaulted("angle of incidence", "0 deg", zero=True, below=math.pi / 2)
    diameter: float | None = f.optional("clear diameter", "25 mm")
    focal_length: float | None = f.optional("focal length of a lens, converging positive", "500 mm", signed=True)
    curvature: float = f.defaulted(
        "radius of curvature, concave positive, or flat", "flat", signed=True, special={"flat": math.inf}
    )
    coating: str | None = f.name("coating or bare surface", "coating", "dielectric high reflector", absent=True)
    damage_fluence: float | None = f.optional("fluence at which a sample was damaged in a test", "10 J/cm^2")
    damage_wavelength: float | None = f.optional("wavelength of that test", "1064 nm")
    damage_duration: float | None = f.optional("pulse length of that test", "10 ns")
    part: str = f.text(_PART, "25 mm mirror")
    note: str = f.text(_NOTE, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """Where the beam goes."""

    distance: float | None = f.optional("distance along the beam from the output coupler", "1.9 m")
    material: str = f.text("what the beam meets, for the safety sheet", "water")
    note: str = f.text(_NOTE, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """The room the laser stands in."""

    temperature: float = f.defaulted("air temperature", "20 degC")
    altitude: float = f.defaulted("height above the sea", "0 m", zero=True, signed=True)
    volume: float | None = f.optional("volume of air", "60 m^3")
    air_changes: float | None = f.optional("air changes per time", "6 1/h", zero=True)
    note: str = f.text(_NOTE, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
    """One laser. Sections with ids are mappings in the order of the file; `curves` holds measured files by path."""

    bank: Bank
    charger: Charger
    dump: Dump
    meter: Meter
    switch: Switch
    trigger: Trigger
    loop: Loop
    branches: Mapping[str, Branch]
    crowbar: Crowbar
    leads: Mapping[str, Lead]
    breakdowns: Mapping[str, Breakdown]
    lamps: Mapping[str, Lamp]
    chamber: Chamber
    cell: Cell
    cells: Mapping[str, FurtherCell]
    dye: Dye
    dyes: Mapping[str, OwnDye]
    loops: Mapping[str, DyeLoop]
    resonator: Resonator
    optics: Mapping[str, Optic]
    target: Target
    room: Room
    curves: Mapping[str, MeasuredCurve] = field(default_factory=lambda: MappingProxyType({}))


#: Section -> record of its parts, words, and the least number of parts where parts have ids.
SECTION_ROWS: tuple[tuple[str, type[Any], str, int | None], ...] = (
    ("bank", Bank, "capacitor bank", None),
    ("charger", Charger, "charging supply", None),
    ("dump", Dump, "dump resistor", None),
    ("meter", Meter, "voltage divider and meter", None),
    ("switch", Switch, "switch", None),
    ("trigger", Trigger, "trigger", None),
    ("loop", Loop, "discharge loop", None),
    ("branches", Branch, "loops of single lamps", 0),
    ("crowbar", Crowbar, "crowbar or clamp diode", None),
    ("leads", Lead, "leads of the discharge loop", 0),
    ("breakdowns", Breakdown, "measured breakdowns of the lamps", 0),
    ("lamps", Lamp, "flashlamps", 1),
    ("chamber", Chamber, "pump chamber", None),
    ("cell", Cell, "dye cell", None),
    ("cells", FurtherCell, "further dye cells in series", 0),
    ("dye", Dye, "dye solution", None),
    ("dyes", OwnDye, "dyes of the user's own", 0),
    ("loops", DyeLoop, "dye loops", 0),
    ("resonator", Resonator, "resonator", None),
    ("optics", Optic, "optics of cavity and beam train", 2),
    ("target", Target, "target", None),
    ("room", Room, "room", None),
)
