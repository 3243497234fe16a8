"""The one nomenclature: key, symbol, unit, digits and words of every quantity.

A key is the same word as argument, record field, build-file key and column. To add a quantity,
add one line to a group below. The module is longer than others because it is that table.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from pulsewright import units
from pulsewright.errors import Finding, QuantityError


@dataclass(frozen=True, slots=True)
class Quantity:
    """One row of the nomenclature.

    Parameters
    ----------
    key : str
        The word used everywhere.
    symbol : str
        As in the equations.
    unit : str
        SI unit; "-" when dimensionless.
    display : str
        Unit it is shown in; the SI unit itself means an engineering prefix chosen by size.
    digits : int
        Significant digits shown.
    words : str
        What it is, for a reader.
    low, high : float
        Magnitudes beyond these are refused as absurd; 0 itself is judged elsewhere. [in `unit`]
    """

    key: str
    symbol: str
    unit: str
    display: str
    digits: int
    words: str
    low: float
    high: float


def _row(
    key: str, symbol: str, unit: str, display: str, low: float, high: float, words: str, digits: int = 3
) -> Quantity:
    return Quantity(key, symbol, unit, display or unit, digits, words, low, high)


def _argument(key: str, symbol: str, unit: str, display: str, words: str) -> Quantity:
    return Quantity(key, symbol, unit, display or unit, 3, words, 0.0, 1e300)


_ELECTRICAL = (
    _row("capacitance", "C", "F", "", 1e-12, 10, "capacitance"),
    _row("charge_voltage", "V_0", "V", "", 1e-3, 2e5, "voltage the bank is charged to"),
    _row("voltage", "V", "V", "", 1e-6, 1e7, "voltage"),
    _row("voltage_rating", "V_max", "V", "", 1, 1e6, "highest voltage the part is rated for"),
    _row("voltage_max", "V_max", "V", "", 1, 2e5, "highest voltage the charger reaches"),
    _row("bank_voltage", "V_C", "V", "", 0, 1e6, "voltage of the bank during the shot"),
    _row("capacitor_voltage", "V_C", "V", "", 0, 1e6, "voltage of each capacitor during the shot"),
    _row("lamp_voltage", "V_lamp", "V", "", 0, 1e6, "voltage across all lamps"),
    _row("drop", "V_s", "V", "", 1e-3, 1e5, "voltage lost in the closed switch, whatever the current"),
    _row("electrode_drop", "V_e", "V", "", 1e-3, 1e4, "voltage lost at both electrodes"),
    _row("threshold_voltage", "V_th", "V", "", 1e-3, 2e5, "lowest charge voltage that lases"),
    _row(
        "highest_voltage_within_limits", "V_lim", "V", "", 1e-3, 2e5, "highest charge voltage within the judged limits"
    ),
    _row("current", "I", "A", "", 1e-9, 1e7, "current"),
    _row("branch_current", "I_b", "A", "", 0, 1e7, "current of each loop of its own"),
    _row("peak_current", "I_pk", "A", "", 1e-9, 1e7, "highest current of the shot"),
    _row("peak_current_rating", "I_max", "A", "", 1e-3, 1e7, "highest peak current the part is rated for"),
    _row("peak_current_density", "j_pk", "A/m^2", "kA/cm^2", 1, 1e12, "highest current density in the bore"),
    _row("current_density", "j", "A/m^2", "A/cm^2", 1e-3, 1e13, "current density"),
    _row("reversal", "r", "-", "", 0, 1, "largest reversed current over the first peak"),
    _row("reversal_rating", "r_max", "-", "", 0, 1, "largest reversal the part is rated for, of the first peak"),
    _row("charge_rating", "Q_max", "C", "", 1e-9, 1e6, "highest charge passed in a shot"),
    _row("charge_per_shot", "Q", "C", "", 1e-12, 1e6, "charge passed in the shot, either way"),
    _row("action_integral", "A", "A^2*s", "", 1e-9, 1e12, "integral of the current squared"),
    _row("inductance", "L", "H", "", 1e-12, 10, "inductance"),
    _row("section_inductance", "L_n", "H", "", 1e-12, 10, "inductance of one section of the network"),
    _row("resistance", "R", "ohm", "", 1e-9, 1e12, "resistance"),
    _row("bleeder_resistance", "R_b", "ohm", "", 1, 1e13, "resistance across the bank that drains it slowly"),
    _row("resistivity", "eta", "ohm*m", "ohm*cm", 1e-9, 1e6, "resistivity"),
    _row("power", "P", "W", "", 1e-12, 1e12, "power"),
    _row("stored_energy", "E_0", "J", "", 1e-9, 1e6, "energy stored in the bank"),
    _row("lamp_energy", "E_lamp", "J", "", 1e-12, 1e6, "energy given to the lamps"),
    _row("sections", "n", "-", "", 1, 100, "number of sections of the network", 2),
)

_PULSE_POWER = (
    _row("life_rating", "N_max", "-", "", 1, 1e12, "shots the part is rated for"),
    _row("planned_shots", "N", "-", "", 1, 1e12, "shots that bank and lamps are meant to last"),
    _row("capacitor_life", "N_C", "-", "", 0, 1e15, "expected shots of the capacitors"),
    _row("lamp_life", "N_x", "-", "", 0, 1e12, "expected shots of the lamp that wears soonest"),
    _row("life_used", "u", "-", "%", 0, 1e12, "part of a life that the planned shots use"),
    _row("voltage_reversal", "r_V", "-", "", 0, 1, "largest reversed voltage of the bank over the charge voltage"),
    _row("steepest_rise", "dI/dt", "A/s", "kA/us", 0, 1e17, "steepest rise of the current"),
    _row("bleeder_power_rating", "P_b,max", "W", "", 1e-3, 1e5, "power the bleeder may carry all the time"),
    _row("repeat_period", "t_r", "s", "", 1e-4, 1e7, "time from one shot to the next"),
    _row("resistor_energy_rating", "E_R,max", "J", "", 1e-3, 1e7, "energy a charging resistor may take up in one shot"),
    _row("energy_rating", "E_max", "J", "", 1e-3, 1e8, "largest energy a resistor body takes at once"),
    _row("resistor_power_rating", "P_R,max", "W", "", 1e-3, 1e6, "mean power a charging resistor may carry"),
    _row("line_voltage", "V_w", "V", "", 1, 1e4, "voltage of the wall outlet, effective value"),
    _row("fuse_rating", "I_f", "A", "", 1e-2, 1e4, "current of the fuse in the wall line"),
    _row("conversion_efficiency", "eta_s", "-", "", 1e-3, 1, "power into the bank over power from the wall"),
    _row("power_factor", "cos phi", "-", "", 1e-2, 1, "real over apparent power drawn from the wall"),
    _row("upper_resistance", "R_1", "ohm", "", 1, 1e13, "upper arm of a voltage divider"),
    _row("lower_resistance", "R_2", "ohm", "", 1e-3, 1e12, "lower arm of a voltage divider"),
    _row("input_resistance", "R_in", "ohm", "", 1, 1e15, "input resistance of an instrument"),
    _row("upper_voltage_rating", "V_1,max", "V", "", 1, 1e6, "voltage the upper arm of a divider is rated for"),
    _row("upper_power_rating", "P_1,max", "W", "", 1e-3, 1e4, "power the upper arm of a divider is rated for"),
    _row("action_rating", "A_max", "A^2*s", "", 1e-9, 1e12, "integral of the current squared the part is rated for"),
    _row("rise_rating", "(dI/dt)_max", "A/s", "kA/us", 1e3, 1e16, "steepest rise of the current the part is rated for"),
    _row("pulse_voltage", "V_t", "V", "", 1, 1e6, "voltage of a trigger pulse"),
    _row("self_break_voltage", "V_sb", "V", "", 1, 1e6, "voltage at which a spark gap fires untriggered"),
    _row("gap_rise", "dV/dt", "V/s", "kV/us", 1, 1e16, "how fast a gap is pulse-charged"),
    _row("simmer_current", "I_s", "A", "", 1e-6, 1e3, "keep-alive current of a lamp"),
    _row("prepulse_capacitance", "C_p", "F", "", 1e-12, 1, "capacitance of a pre-pulse bank"),
    _row("prepulse_voltage", "V_p", "V", "", 1, 2e5, "voltage of a pre-pulse bank"),
    _row("prepulse_inductance", "L_p", "H", "", 1e-10, 10, "inductance of a pre-pulse loop"),
    _row("prepulse_delay", "t_p", "s", "", 1e-9, 1, "time from pre-pulse to main pulse"),
    _row("conductance", "C_v", "m^3/s", "L/min", 1e-12, 1e3, "conductance of a vacuum line"),
    _row("leak", "Q_l", "Pa*m^3/s", "", 0, 1e3, "gas that leaks in, pressure times volume flow"),
    _row("fill_time", "t_f", "s", "", 1e-3, 1e6, "time to fill the lamps back"),
    _row("statistical_lag", "t_s", "s", "", 1e-12, 1e4, "mean wait for a first electron"),
    _row("section_resistance", "R_n", "ohm", "", 0, 1e3, "resistance of one section of the network"),
    _row("clearance", "s_a", "m", "mm", 1e-5, 100, "smallest distance through air from live parts"),
    _row("creepage", "s_c", "m", "mm", 1e-5, 100, "smallest distance along an insulating surface"),
    _row("earth_inductance", "L_e", "H", "", 1e-12, 1, "inductance of a shared earth lead"),
    _row("delay", "t_d", "s", "", 0, 10, "time from the trigger to the closing of a switch"),
    _row("closing_time", "t_c", "s", "", 1e-9, 10, "time from the trigger to the closing of a crowbar"),
    _row("outer_diameter", "D", "m", "mm", 1e-5, 100, "inside diameter of an outer conductor"),
    _row("gap", "d", "m", "mm", 1e-7, 10, "distance between conductors or electrodes"),
    _row("thickness", "t", "m", "mm", 1e-7, 10, "thickness"),
    _row("ring_radius", "r_r", "m", "mm", 1e-4, 100, "radius of a ring of wire"),
    _row("wire_radius", "r_w", "m", "mm", 1e-6, 1, "radius of a wire"),
    _row("line_impedance", "Z_0", "ohm", "", 1e-3, 1e4, "impedance of a cable"),
    _row("velocity_factor", "v/c", "-", "", 1e-2, 1, "speed in a cable over that of light"),
    _row("in_parallel", "n", "-", "", 1, 1000, "how many alike side by side"),
    _row("breakdown_pressure", "p_b", "Pa", "torr", 1e-3, 1e7, "pressure at which lamps break down"),
    _row("breakdown_voltage", "V_b", "V", "", 1, 1e6, "voltage at which lamps break down"),
    _row("second_gas_fraction", "x_2", "-", "", 1e-6, 1, "part of the fill pressure that is a second gas"),
    _row("dead_volume", "V_d", "m^3", "cm^3", 0, 1, "cold volume the fill of a lamp expands into"),
    _row("wall_loading_rating", "H_w,max", "J/m^2", "J/cm^2", 1e-2, 1e9, "heat per area and shot a wall is rated for"),
)

_SIZING = (
    _row("in_band_energy", "E_b", "J", "", 0, 1e6, "light behind the lamp envelopes from 0.2 to 1 um"),
    _row("time_of_peak", "t_pk", "s", "", 0, 10, "time from the closing of the switch to the highest current"),
    _row("rise_time", "t_r", "s", "", 0, 10, "rise of the current from 10 to 90 % of its peak"),
    _row("width_half", "t_1/2", "s", "", 0, 10, "width of the current pulse at half its peak"),
    _row("voltage_reversal", "r_V", "-", "", 0, 1, "largest reversed bank voltage over the charge voltage"),
    _row("filling_time", "t_b", "s", "", 0, 10, "time until the arc fills the bore"),
    _row("half_current_delay", "t_h", "s", "", 0, 10, "time until the current reaches half its peak"),
    _row("light_rise_time", "t_l", "s", "", 0, 10, "rise of the radiated power from 10 to 90 % of its peak"),
    _row("law_fraction", "I/I_K0", "-", "", 0, 1e3, "peak current over what the square-root law promises"),
    _row("unconverted_fraction", "f_u", "-", "", 0, 1, "part of the energy not yet in the lamps at the current peak"),
    _row("lamp_field", "E_l", "V/m", "V/cm", 1, 1e8, "charge voltage over the arc length in series"),
    _row("section_capacitance", "C_n", "F", "", 1e-12, 10, "capacitance of one section of the network"),
    _row("match", "m", "-", "", 1e-3, 1e3, "lamp resistance on the flat of a pulse over the network's impedance"),
    _row("least_inductance", "L_min", "H", "", 1e-10, 1, "least inductance the loop can be built with"),
)

_LAMP = (
    _row("bore", "d", "m", "mm", 1e-5, 1, "inside diameter of the tube"),
    _row("inner_diameter", "d_i", "m", "mm", 1e-5, 1, "outside diameter of the inner tube"),
    _row("arc_length", "l", "m", "mm", 1e-4, 10, "distance between the electrodes"),
    _row("fill_pressure", "p", "Pa", "torr", 1e-2, 1e7, "pressure of the cold fill"),
    _row("wall_thickness", "w", "m", "mm", 1e-5, 0.1, "thickness of the wall"),
    _row("explosion_fraction", "f_x", "-", "", 0, 1e3, "lamp energy over the lowest published explosion energy"),
    _row("explosion_fraction_rating", "f_x,max", "-", "", 1e-4, 1, "fraction of the explosion energy that is accepted"),
    _row("explosion_at_third_maximum", "f_x,a", "-", "", 0, 1e3, "the same by the constant for the width at 1/3"),
    _row("explosion_at_three_time_scales", "f_x,b", "-", "", 0, 1e3, "the same by the constant for 3 sqrt(L C)"),
    _row("explosion_at_time_scale", "f_x,c", "-", "", 0, 1e3, "the same by the constant for sqrt(L C)"),
    _row("wall_loading", "H_w", "J/m^2", "J/cm^2", 0, 1e9, "energy given to the wall per area"),
    _row("plasma_temperature", "T", "K", "", 1, 1e6, "temperature of the plasma"),
    _row("arc_radius", "a", "m", "mm", 1e-7, 1, "radius of the arc"),
    _row("radiated_power", "P_rad", "W", "", 0, 1e13, "power radiated by the lamps"),
    _row("radiated_fraction", "f_rad", "-", "", 0, 2, "energy radiated by the lamps over that put into them"),
    _row(
        "band_fraction", "f_band", "-", "", 0, 2, "light behind the envelopes from 0.2 to 1 um over energy into lamps"
    ),
    _row("radiated_energy", "E_rad", "J", "", 0, 1e6, "energy radiated by the lamps"),
    _row("lamp_wavelength", "lambda", "m", "nm", 1e-9, 1e-4, "wavelength of the lamp light"),
    _row("lamp_spectrum", "E_lambda", "J/m", "J/nm", 0, 1e15, "energy radiated per wavelength over the shot"),
)

_TRIGGER = (
    _row("channel_radius", "a_0", "m", "mm", 1e-6, 0.1, "radius of the channel the trigger leaves"),
    _row("channel_temperature", "T_0", "K", "", 300, 1e5, "temperature of the channel the trigger leaves"),
    _row("growth_factor", "g", "-", "", 1e-3, 100, "factor on the speed at which the arc widens"),
    _row("start_pressure", "p_0", "Pa", "torr", 1e-3, 1e6, "pressure from which the lamp is pumped"),
    _row("stop_pressure", "p_u", "Pa", "torr", 1e-6, 1e6, "pressure the pump would reach"),
    _row("firing_voltage", "V_f", "V", "", 0, 1e6, "voltage of the bank when it fires"),
    _row("firing_pressure", "p_f", "Pa", "torr", 0, 1e7, "pressure in the lamps when they fire"),
    _row("trigger_delay", "t_d", "s", "", 0, 1e6, "from the command, or the start of pumping, to the current"),
    _row("trigger_jitter", "sigma_d", "s", "", 0, 1e6, "standard deviation of that delay from shot to shot"),
    _row("pump_start", "t_0", "s", "", 1e-3, 1e6, "time from the start of charging to that of pumping"),
    _row("repeatability", "sigma_r", "-", "%", 1e-6, 0.5, "how well settings repeat from shot to shot, relative", 2),
    _row("saturated_inductance", "L_s", "H", "", 1e-12, 1, "inductance that a saturated transformer leaves in a loop"),
    _row("pump_speed", "S", "m^3/s", "L/min", 1e-9, 10, "volume flow of the vacuum pump at the lamp"),
)

_CHAMBER_AND_CELL = (
    _row("semi_major", "A", "m", "mm", 1e-4, 5, "half of the long axis of the ellipse"),
    _row("semi_minor", "B", "m", "mm", 1e-4, 5, "half of the short axis of the ellipse"),
    _row("perimeter", "s", "m", "mm", 1e-3, 50, "length of the wall round the cross-section"),
    _row("diameter", "D", "m", "mm", 1e-5, 10, "diameter"),
    _row("length", "l", "m", "mm", 1e-4, 100, "length"),
    _row("pumped_length", "l_p", "m", "mm", 1e-4, 10, "length of dye the lamps light"),
    _row("width", "w", "m", "mm", 1e-5, 1, "width of the slab of dye"),
    _row("reflectivity", "R", "-", "", 1e-9, 1, "fraction of the light that is reflected"),
    _row("transmission", "T", "-", "", 1e-9, 1, "fraction of the light that passes"),
    _row("opening_fraction", "f_o", "-", "", 0, 1, "fraction of the wall area that is open"),
    _row("shell_radius", "r", "m", "mm", 1e-7, 1, "outer radius of a shell of dye"),
    _row("absorbed_energy", "E_abs", "J", "", 0, 1e6, "pump energy absorbed in a shell"),
    _row("absorbed_pump_energy", "E_abs", "J", "", 0, 1e6, "pump energy absorbed by the dye"),
    _row("absorbed_power", "P_a", "W", "", 0, 1e15, "power of the pump light that the dye absorbs"),
    _row("pump_absorption", "k", "1/m", "1/cm", 0, 1e8, "absorption coefficient of the dye solution"),
    _row("absorbed_spectrum", "E_abs,lambda", "J/m", "J/nm", 0, 1e15, "pump energy taken up per wavelength in a shell"),
    _row("pump_standard_error", "s_E", "-", "%", 0, 10, "standard error of that energy, by the rays"),
    _row("pump_rate", "W", "1/s", "", 0, 1e12, "photons absorbed per dye molecule and time"),
)

_DYE = (
    _row("concentration", "c", "mol/m^3", "mol/L", 1e-7, 1e4, "concentration of the dye"),
    _row("quencher_concentration", "c_q", "mol/m^3", "mol/L", 1e-7, 1e4, "concentration of the triplet quencher"),
    _row("temperature", "T", "K", "degC", 200, 400, "temperature"),
    _row("flow", "q", "m^3/s", "L/min", 1e-10, 1, "volume flow"),
    _row("volume", "V", "m^3", "L", 1e-9, 1e5, "volume"),
    _row("flush_time", "t_f", "s", "", 1e-6, 1e7, "time to pass one volume of the cell"),
    _row("inversion", "n_1", "1/m^3", "1/cm^3", 0, 1e30, "molecules in the upper level per volume"),
    _row("triplets", "n_T", "1/m^3", "1/cm^3", 0, 1e30, "molecules in the triplet level per volume"),
)

_LIGHT_INTO_DYE = (
    _row("lamp_distance", "d_l", "m", "mm", 1e-4, 10, "distance from the axis of the cell to that of a lamp"),
    _row("diffuse_fraction", "f_d", "-", "", 1e-6, 1, "part of the reflected light that is scattered"),
    _row("end_reflectivity", "R_e", "-", "", 1e-6, 1, "reflectivity of the end plates of the chamber"),
    _row("coolant_temperature", "T_c", "K", "degC", 200, 400, "temperature of the coolant"),
    _row("second_solvent_fraction", "x_2", "-", "", 1e-6, 1, "part of the volume that is a second solvent"),
    _row("surfactant_concentration", "c_s", "mol/m^3", "mol/L", 1e-7, 1e4, "concentration of a surfactant"),
    _row("bleached_fraction", "f_b", "-", "%", 1e-12, 1, "part of the dye that is destroyed"),
    _row("heat_time", "t", "s", "", 0, 1e6, "time since the switch closed, on the grid of the heat"),
    _row("heat_radius", "r", "m", "mm", 0, 1, "distance from the axis of the cell, in a slab from one face"),
    _row("index_change", "dn", "-", "", 0, 1, "change of refractive index by the heat of the pump"),
    _row("wavefront_error", "w", "-", "", 0, 1e6, "error of the wavefront after one pass, rms in waves"),
    _row("wavefront_rest", "w_r", "-", "", 0, 1e6, "that error with the best focus removed, rms in waves"),
    _row("spoilt_time", "t_s", "s", "", 0, 1e6, "wavefront spoilt after"),
    _row("widened_time", "t_w", "s", "", 0, 1e6, "rays widened beyond the beam's own divergence after"),
    _row("energy_before_spoilt", "E_s", "J", "", 0, 1e6, "output before the wavefront is spoilt"),
    _row("axis_reached", "t_R", "s", "", 0, 1e6, "sound from the wall reaches the axis after"),
    _row("shock_arrival", "t_p", "s", "", 0, 1e6, "push of a coaxial lamp reaches the dye after"),
    _row("waiting_time", "t_q", "s", "", 0, 1e9, "wait until the dye is even again for the next shot"),
    _row("flush_volume", "V_q", "m^3", "cm^3", 0, 1e3, "dye to pass the cell before the next shot"),
    _row("ray_angle", "theta", "rad", "mrad", 0, 10, "angle by which heat bends the rays in a pass, rms"),
    _row("product_absorption", "k_p", "1/m", "1/m", 1e-9, 1e4, "absorption by products at the laser wavelength"),
    _row("half_output_dose", "D_1/2", "J/m^3", "kJ/L", 1, 1e15, "lamp energy per volume to half the output"),
    _row("sample_concentration", "c", "mol/m^3", "mol/L", 1e-7, 1e4, "concentration of a measured sample"),
    _row("sample_length", "l", "m", "mm", 1e-6, 10, "length of a measured sample"),
    _row("absorption_peak", "lambda_a", "m", "nm", 1e-7, 3e-6, "wavelength of an absorption peak", 4),
    _row("absorption_width", "dlambda_a", "m", "nm", 1e-10, 1e-6, "full width at half maximum of an absorption band"),
    _row("emission_peak", "lambda_e", "m", "nm", 1e-7, 3e-6, "wavelength of a fluorescence peak", 4),
    _row("emission_width", "dlambda_e", "m", "nm", 1e-10, 1e-6, "full width at half maximum of fluorescence"),
    _row("pump_share", "f_p", "-", "", 1e-6, 1, "part of the lamps' light that goes to a cell"),
    _row("volume_per_shot", "V_s", "m^3", "cm^3", 1e-9, 1e5, "volume of solution renewed for each shot"),
    _row("bed_flow", "q_b", "m^3/s", "L/min", 1e-10, 1, "volume flow through a carbon bed"),
    _row("bed_product_removal", "f_b", "-", "", 1e-6, 1, "part of the products that one pass of a bed takes out"),
    _row("bed_dye_removal", "f_d", "-", "", 1e-6, 1, "part of the dye that one pass of a bed takes out"),
    _row("tuned_wavelength", "lambda_t", "m", "nm", 1e-7, 3e-6, "wavelength a tuning element lets through", 4),
    _row("tuned_width", "dlambda_t", "m", "nm", 1e-14, 1e-6, "width of what a tuning element lets through"),
    _row("tuning_period", "FSR", "m", "nm", 1e-13, 1e-6, "distance between pass bands of a tuning element"),
    _row("tuning_loss", "delta_t", "-", "", 1e-6, 1, "fraction lost in a tuning element in one pass"),
    _row("parasitic_reflectivity", "R_p", "-", "", 1e-9, 1, "reflectivity of each end of a parasitic path"),
    _row("parasitic_length", "L_p", "m", "mm", 1e-4, 10, "distance between the ends of a parasitic path"),
    _row("laser_width", "dlambda", "m", "nm", 1e-16, 1e-7, "width of a bin of the laser"),
    _row("spectrum_time", "t", "s", "", 0, 1e6, "middle of an interval over which the spectrum is a mean"),
    _row("spectral_power", "P_lambda", "W/m", "W/nm", 0, 1e24, "output power per wavelength"),
    _row("mirror_rear", "R_1", "-", "", 0, 1, "reflectivity of the rear mirror"),
    _row("mirror_coupler", "R_2", "-", "", 0, 1, "reflectivity of the output coupler"),
    _row("tuning_transmission", "T_t", "-", "", 0, 1, "transmission of the tuning element in one pass"),
    _row(
        "excited_absorption_cross_section", "sigma_S", "m^2", "cm^2", 0, 1e-15, "cross-section of the excited singlet"
    ),
    _row("triplet_absorption_cross_section", "sigma_T", "m^2", "cm^2", 0, 1e-15, "cross-section of the triplet"),
    _row("further_inversion", "n_1", "1/m^3", "1/cm^3", 0, 1e30, "molecules in the upper level of further cells"),
    _row("further_triplets", "n_T", "1/m^3", "1/cm^3", 0, 1e30, "molecules in the triplet level of further cells"),
    _row("locked_fraction", "f_l", "-", "%", 0, 1, "part of the output in the injected line"),
    _row("injection_power", "P_i", "W", "", 1e-12, 1e9, "power of a line sent into the resonator"),
    _row("injection_wavelength", "lambda_i", "m", "nm", 1e-7, 3e-6, "wavelength of that line", 4),
    _row("injection_width", "dlambda_i", "m", "pm", 1e-16, 1e-7, "full width at half maximum of that line"),
)

_RESONATOR_AND_OUTPUT = (
    _row("loss_per_pass", "delta", "-", "", 0, 1, "fraction lost in one pass, mirrors not counted"),
    _row("hot_spot_factor", "f_h", "-", "", 1, 100, "peak over mean fluence of the beam"),
    _row("curvature", "R_c", "m", "", 1e-3, 1e4, "radius of curvature, concave positive"),
    _row("round_trip_gain", "G", "-", "", 0, 1e6, "net gain of one round trip; 1 is threshold"),
    _row("time", "t", "s", "", 0, 1e6, "time since the switch closed"),
    _row("gain_time", "t", "s", "", 0, 1e6, "time since the switch closed, on the grid of the gain stage"),
    _row("output_power", "P", "W", "", 0, 1e13, "power of the output pulse"),
    _row("peak_power", "P_pk", "W", "", 0, 1e13, "highest power of the output pulse"),
    _row("output_energy", "E_out", "J", "", 0, 1e4, "energy of the output pulse"),
    _row("pulse_width", "t_w", "s", "", 1e-12, 1, "full width of the output pulse at half maximum of power"),
    _row("wavelength", "lambda", "m", "nm", 1e-9, 1e-4, "energy-weighted vacuum wavelength of the output", 4),
    _row("laser_wavelength", "lambda", "m", "nm", 1e-9, 1e-4, "wavelength of the laser light", 4),
    _row("output_spectrum", "E_lambda", "J/m", "J/nm", 0, 1e15, "output energy per wavelength"),
    _row("charge_time", "t_c", "s", "", 1e-6, 1e5, "time the charger needs to the charge voltage"),
    _row("peak_temperature", "T_max", "K", "", 1, 1e6, "highest temperature of the lamp plasma"),
    _row("absorption_cross_section", "sigma_a", "m^2", "cm^2", 0, 1e-15, "cross-section of ground-state absorption"),
    _row("efficiency", "eta", "-", "%", 0, 1, "output energy over stored energy"),
    _row("ratio", "x", "-", "", 0, 1e9, "stress over limit; at 1 the limit is reached"),
    _row("probability", "p", "-", "%", 0, 1, "probability that the limit is exceeded in this shot", 2),
)

_BEAM_AND_ROOM = (
    _row("distance", "z", "m", "", 1e-6, 1e5, "distance along the beam from the output coupler"),
    _row("angle", "theta", "rad", "deg", 1e-9, math.pi / 2, "angle of incidence"),
    _row("focal_length", "f", "m", "mm", 1e-4, 1e3, "focal length, converging positive"),
    _row("divergence_low", "theta", "rad", "mrad", 0, 10, "smallest credible full divergence"),
    _row("divergence_high", "theta", "rad", "mrad", 0, 10, "largest credible full divergence"),
    _row("surface_distance", "z", "m", "", 0, 1e5, "distance of a surface along the beam from the output coupler"),
    _row("surface_diameter", "D", "m", "mm", 0, 1e3, "diameter of the beam on a surface"),
    _row("surface_fluence", "H", "J/m^2", "J/cm^2", 0, 1e12, "peak fluence on a surface"),
    _row("surface_irradiance", "E", "W/m^2", "MW/cm^2", 0, 1e18, "peak irradiance on a surface"),
    _row("damage_fluence", "H_d", "J/m^2", "J/cm^2", 1e-2, 1e8, "fluence at which the surface was damaged in the test"),
    _row("damage_wavelength", "lambda_d", "m", "nm", 1e-8, 1e-4, "wavelength of that test"),
    _row("damage_duration", "tau_d", "s", "", 1e-15, 10, "pulse length of that test"),
    _row("altitude", "h", "m", "m", 1e-3, 9e3, "height above the sea"),
    _row("air_changes", "n", "1/s", "1/h", 1e-7, 10, "air changes of the room per time"),
)

# Arguments of formulas that are no keys of the build file; what they can be is judged by the formula.

_FORMULA_CIRCUIT = (
    _argument("arc_diameter", "d_a", "m", "mm", "diameter of the arc"),
    _argument("arc_growth_speed", "da/dt", "m/s", "", "speed at which the arc radius grows"),
    _argument("charge", "Q", "C", "", "electric charge"),
    _argument("charging_current", "I_c", "A", "", "current of the charging supply"),
    _argument("circuit_impedance", "Z_0", "ohm", "", "characteristic impedance of the circuit, sqrt(L / C)"),
    _argument("current_slope", "dI/dt", "A/s", "kA/us", "steepest rise of the current"),
    _argument("damping_parameter", "alpha", "-", "", "damping parameter of a square-root-law circuit"),
    _argument("drain_resistance", "R_d", "ohm", "", "bleeder and divider together, across the bank all the time"),
    _argument("final_voltage", "V_f", "V", "", "voltage to come down to"),
    _argument("half_period", "T/2", "s", "", "time between two zeros of the current"),
    _argument("impedance_constant", "k_0", "ohm*A^0.5", "", "factor of the impedance parameter of a lamp"),
    _argument("impedance_parameter", "K_0", "ohm*A^0.5", "", "lamp voltage over the square root of its current"),
    _argument("joining_current", "I_j", "A", "", "current at which two lamp laws join"),
    _argument("lamps", "n", "-", "", "number of lamps"),
    _argument("loop_resistance", "R_l", "ohm", "", "resistance of the loop without lamps and switch"),
    _argument("normalised_time", "tau", "-", "", "time over sqrt(L C)"),
    _argument("peak_voltage", "V_pk", "V", "", "highest voltage of the part"),
    _argument("pulse_length", "t_p", "s", "", "length of the current pulse, its definition named"),
    _argument("reference_current", "I_r", "A", "", "current at which a lamp voltage was taken"),
    _argument("reference_voltage", "V_r", "V", "", "lamp voltage at the reference current"),
    _argument("resistance_ratio", "R/Z_0", "-", "", "loop resistance over circuit impedance"),
    _argument("relative_permeability", "mu_r", "-", "", "permeability over that of vacuum"),
    _argument("reversal_exponent", "n_r", "-", "", "exponent of the reversal in a capacitor's life"),
    _argument("return_radius", "r_r", "m", "mm", "radius of the return conductor"),
    _argument("reading", "v", "V", "", "voltage that an instrument shows"),
    _argument("supplied_energy", "E_s", "J", "", "energy from the output of a charger"),
    _argument("supply_current", "I_s", "A", "", "highest current of a supply"),
    _argument("supply_power", "P_s", "W", "", "power a supply delivers into the bank"),
    _argument("supply_voltage", "V_s", "V", "", "voltage of a supply"),
    _argument("switch_drop", "V_s", "V", "", "constant part of the switch voltage"),
    _argument("switch_resistance", "R_s", "ohm", "", "resistive part of the switch"),
    _argument("time_scale", "T", "s", "", "sqrt(L C) of the circuit"),
    _argument("voltage_exponent", "n_V", "-", "", "exponent of the voltage in a capacitor's life"),
    _argument("voltage_fraction", "V/V_0", "-", "", "voltage now over voltage then"),
    _argument("width_third", "t_1/3", "s", "", "width of the current pulse at a third of its peak"),
)

_FORMULA_HIGH_VOLTAGE = (
    _argument("allowed_time", "t", "s", "", "time allowed"),
    _argument("ambient_temperature", "T_a", "K", "degC", "temperature of the surroundings"),
    _argument("creepage_rate", "E_c", "V/m", "kV/mm", "voltage per distance along a surface"),
    _argument("field_constant", "B", "V/(Pa m)", "", "Townsend constant B of a gas"),
    _argument("formative_lag", "t_f", "s", "", "mean time a breakdown takes to form"),
    _argument("lag", "t_l", "s", "", "statistical and formative lag of a breakdown together"),
    _argument("lag_spread", "sigma_l", "s", "", "standard deviation of the lag of a breakdown"),
    _argument("self_break_spread", "sigma_sb", "-", "", "standard deviation of a self-break voltage over its mean"),
    _argument("working_fraction", "V/V_sb", "-", "", "voltage of a gap over its self-break voltage"),
    _argument("formative_spread", "sigma_f", "s", "", "standard deviation of the formative lag"),
    _argument("impulse_voltage", "V_imp", "V", "", "highest impulse between two parts"),
    _argument("ionisation_constant", "A", "1/(Pa m)", "", "Townsend constant A of a gas"),
    _argument("logarithm_constant", "b", "-", "", "constant beside the logarithm of a two-constant breakdown law"),
    _argument("power_rating", "P_max", "W", "", "largest power the part is rated for"),
    _argument("secondary_emission", "gamma", "-", "", "electrons freed at the cathode per ion"),
    _argument("slope_constant", "a", "V/(Pa m)", "", "slope of a two-constant breakdown law"),
    _argument("volumetric_heat_capacity", "c_v", "J/(m^3 K)", "", "heat capacity per volume"),
    _argument("wave_speed", "v", "m/s", "", "speed of an ionisation wave"),
    _argument("working_voltage", "V_w", "V", "", "voltage that stands for long between two parts"),
)

_FORMULA_LAMP = (
    _argument("absorptance", "A", "-", "", "fraction of the light that is absorbed"),
    _argument("atomic_mass", "m_a", "kg", "", "mass of an atom"),
    _argument("biberman_factor", "xi", "-", "", "strength of the continuum against a hydrogenic one"),
    _argument("ceiling", "E_max", "J", "eV", "energy from which no level exists any more"),
    _argument("charge_density", "n_q", "1/m^3", "1/cm^3", "electron density plus ion densities times charge squared"),
    _argument("charge_square_density", "n_q", "1/m^3", "1/cm^3", "ion densities times charge squared, summed"),
    _argument("collision_cross_section", "sigma_m", "m^2", "", "momentum-transfer cross-section of electron and atom"),
    _argument("conductivity", "k", "W/(m K)", "", "thermal conductivity of a plasma"),
    _argument("conductivity_exponent", "s", "-", "", "power of the temperature with which a gas conducts better"),
    _argument("coulomb_logarithm", "ln L", "-", "", "Coulomb logarithm"),
    _argument("dead_ratio", "V_d/V_b", "-", "", "dead volume of a lamp over the volume of its bore"),
    _argument("edge_energy", "E_e", "J", "eV", "energy above which recombination adds no more continuum"),
    _argument("electron_density", "n_e", "1/m^3", "1/cm^3", "free electrons per volume"),
    _argument("explosion_constant", "k_x", "J/(m^2 s^0.5)", "", "constant of the explosion-energy law"),
    _argument("explosion_energy", "E_x", "J", "", "explosion energy of a lamp for a pulse"),
    _argument("fill_temperature", "T_f", "K", "K", "gas temperature at which the fill pressure holds"),
    _argument("atom_density", "n_a", "1/m^3", "1/cm^3", "neutral atoms of one kind per volume"),
    _argument("chord", "s", "m", "mm", "length of plasma that light crosses"),
    _argument("fractions", "x", "-", "", "part of each element in all nuclei"),
    _argument("free_particles", "f", "-", "", "free particles per nucleus"),
    _argument("gas_conductivity", "k_300", "W/(m K)", "", "thermal conductivity of a gas at 300 K"),
    _argument("heat_flux", "q", "W/m^2", "W/cm^2", "heat per area and time"),
    _argument("heat_potential", "S", "W/m", "", "thermal conductivity integrated over temperature"),
    _argument("highest_explosion_energy", "E_x,hi", "J", "", "highest published explosion energy"),
    _argument("ion_charge", "Z", "-", "", "charge number of the ions"),
    _argument("iterations", "n", "-", "", "most rounds before giving up"),
    _argument("largest_fraction", "f", "-", "", "thickest boundary layer over the bore"),
    _argument("layer", "delta", "m", "mm", "thickness of the boundary layer"),
    _argument("line_chord", "s_l", "m", "mm", "length of plasma for which lines are smeared over their bands"),
    _argument("logarithm", "ln L", "-", "", "logarithm that enters a law"),
    _argument("longest_wavelength", "lambda_2", "m", "nm", "long end of a band"),
    _argument("layer_fraction", "x", "-", "", "thickness of a settled cool layer over the bore"),
    _argument("lorenz_factor", "L", "-", "", "Lorenz number over (k/e)^2"),
    _argument("lowest_explosion_energy", "E_x,lo", "J", "", "lowest published explosion energy"),
    _argument("lowest_fraction", "f_min", "-", "", "smallest fraction that is counted as such"),
    _argument("mass_density", "rho", "kg/m^3", "", "mass per volume"),
    _argument("mean_charge", "Z_m", "-", "", "mean ion charge, weighted by charge"),
    _argument("neutral_density", "n_0", "1/m^3", "1/cm^3", "neutral atoms per volume"),
    _argument("neutral_fraction", "x_a", "-", "", "part of the heavy particles that is not ionised"),
    _argument("number_density", "n", "1/m^3", "1/cm^3", "particles per volume"),
    _argument("pressure_ratio", "P", "-", "", "pressure of hot gas over that of cold gas of the same density"),
    _argument("pulse_over_transit", "t/t_s", "-", "", "length of a pulse over the transit time of the pressure"),
    _argument("radiated_flux", "F_rad", "W/m^2", "W/cm^2", "power per area that leaves as light"),
    _argument("range_factor", "b", "-", "", "factor on the range of a close collision"),
    _argument("logarithm_constant", "b", "-", "", "constant beside the logarithm in a two-constant breakdown law"),
    _argument("rungs", "D", "-", "", "densities tabulated"),
    _argument("screening_length", "l_D", "m", "", "Debye length"),
    _argument("shortest_wavelength", "lambda_1", "m", "nm", "short end of a band"),
    _argument("solid_conductivity", "k", "W/(m K)", "", "thermal conductivity of a solid"),
    _argument("solid_density", "rho", "kg/m^3", "", "density of a solid"),
    _argument("start", "S_0", "W/m", "", "value with which an integral begins"),
    _argument("stop_fraction", "f", "-", "", "part of the stored energy at which a discharge is taken as over"),
    _argument("surface_absorptance", "A_s", "-", "", "part of the light that glass takes up at its very surface"),
    _argument("wall_factor", "f_w", "-", "", "heat conducted to the wall over that of a laminar layer"),
    _argument("wall_temperature", "T_w", "K", "", "temperature of a wall"),
)

_FORMULA_CHAMBER = (
    _argument("absorption", "a", "1/m", "1/cm", "absorption coefficient"),
    _argument("cell_area", "A_c", "m^2", "cm^2", "lit surface of the dye"),
    _argument("cell_volume", "V_c", "m^3", "cm^3", "volume of the cell"),
    _argument("centre_distance", "d", "m", "mm", "distance between two centres"),
    _argument("centre_x", "x", "m", "mm", "place of an axis across the section"),
    _argument("centre_y", "y", "m", "mm", "place of an axis across the section, the other coordinate"),
    _argument("coolant_absorption", "a_c", "1/m", "1/cm", "absorption coefficient of the coolant"),
    _argument("coolant_volume", "V_c", "m^3", "cm^3", "volume of the coolant in the chamber"),
    _argument("jacket_transmission", "T_j", "-", "", "transmission of one passage through what surrounds the dye"),
    _argument("lamp_absorptance", "A_l", "-", "", "share of the light on the lamps that they take"),
    _argument("lamp_area", "A_l", "m^2", "cm^2", "surface of all lamps"),
    _argument("optical_chord", "a s", "-", "", "absorption coefficient times chord"),
    _argument("optical_radius", "a r", "-", "", "absorption coefficient times radius"),
    _argument("shell_absorptances", "A_s", "-", "", "share of the light entering the dye that each shell absorbs"),
    _argument("shells", "n", "-", "", "number of shells"),
    _argument("surface", "S", "m^2", "cm^2", "area of a surface"),
    _argument("wall_area", "A_w", "m^2", "cm^2", "wall of the chamber, openings included"),
)

_FORMULA_DYE = (
    _argument("absorption_per_dose", "a_D", "m^3/J", "", "absorption created per lamp energy and volume of dye"),
    _argument("absorption_values", "a", "-", "", "absorption over that at its peak, as measured"),
    _argument("absorption_wavelength", "lambda", "m", "nm", "wavelengths of a measured absorption"),
    _argument("absorption_shift", "d_a", "m", "nm", "shift of the absorption by the solvent"),
    _argument("amplitude", "A", "-", "", "height of a Gaussian"),
    _argument("bleaching_probability", "p_b", "-", "", "molecules destroyed per absorbed photon"),
    _argument("centre", "lambda_0", "m", "nm", "wavelength at which a Gaussian peaks"),
    _argument("cross_section", "sigma", "m^2", "", "cross-section"),
    _argument("dye_amount", "n", "mol", "", "dye in the whole fill"),
    _argument("emission", "E", "1/m", "1/nm", "fluorescence in quanta per wavelength"),
    _argument("emission_cross_section", "sigma_e", "m^2", "", "stimulated-emission cross-section"),
    _argument("emission_values", "y", "-", "", "fluorescence per wavelength interval, as measured"),
    _argument("emission_wavelength", "lambda", "m", "nm", "wavelengths of a measured fluorescence"),
    _argument("emission_shift", "d_e", "m", "nm", "shift of the emission by the solvent"),
    _argument(
        "excited_state_absorption", "sigma_1", "m^2", "", "absorption cross-section of the first excited singlet"
    ),
    _argument("formation_rate", "k_f", "1/s", "", "triplets formed per excited singlet and time"),
    _argument("gas_fraction", "y", "-", "", "mole fraction of a gas in the dry atmosphere"),
    _argument("half_output_absorption", "A_1/2", "-", "%", "absorption in the head at which output is halved"),
    _argument("intersystem_crossing_rate", "k_ST", "1/s", "", "singlets that become triplets per time"),
    _argument("known_from", "lambda_k", "m", "nm", "shortest wavelength that data support"),
    _argument("lifetime", "tau", "s", "", "fluorescence lifetime"),
    _argument("molar_absorptivity", "eps", "m^2/mol", "", "decadic molar absorptivity"),
    _argument("mole_fraction", "x", "-", "", "mole fraction"),
    _argument("most_steps", "n", "-", "", "steps after which to give up"),
    _argument("oxygen", "[O2]", "mol/m^3", "mol/L", "dissolved oxygen"),
    _argument("oxygen_rate", "k_O2", "m^3/(mol s)", "", "quenching rate by oxygen"),
    _argument("oxygen_triplet_yield", "y", "-", "", "share of the singlets quenched by oxygen that become triplets"),
    _argument("peak_molar_absorptivity", "eps_pk", "m^2/mol", "", "highest decadic molar absorptivity"),
    _argument("pump_time", "t", "s", "", "times at which the pump is known"),
    _argument("quantum_yield", "Phi", "-", "", "fluorescence quantum yield"),
    _argument("quencher", "[Q]", "mol/m^3", "mol/L", "concentration of an added quencher"),
    _argument("quencher_rate", "k_Q", "m^3/(mol s)", "", "quenching rate by an added quencher"),
    _argument("refractive_index", "n", "-", "", "refractive index"),
    _argument("samples", "n", "-", "", "number of output times"),
    _argument("shift", "d", "m", "nm", "displacement to longer wavelengths"),
    _argument("solvent_density", "rho", "kg/m^3", "", "density of the solvent"),
    _argument("solvent_molar_mass", "M", "kg/mol", "g/mol", "molar mass of the solvent"),
    _argument("tail_values", "a", "-", "", "absorption in the tail over that at the peak"),
    _argument("tail_wavelength", "lambda", "m", "nm", "wavelengths of the tail"),
    _argument("tolerance", "eps", "-", "", "relative tolerance of a step"),
    _argument("trapped_fraction", "f_t", "-", "", "share of the emitted photons that excite another molecule"),
    _argument("triplet_absorption", "sigma_T", "m^2", "", "absorption cross-section of the lowest triplet"),
    _argument("triplet_lifetime", "tau_T", "s", "", "lifetime of the triplet"),
    _argument(
        "unknown_molar_absorptivity", "eps_u", "m^2/mol", "", "upper bound of the absorptivity where nothing is known"
    ),
    _argument("zero_line", "lambda_0", "m", "nm", "wavelength at which absorption and stimulated emission are equal"),
    _argument("zone_volume", "V_z", "m^3", "cm^3", "pumped volume of one zone"),
)

_FORMULA_RAYS = (
    _argument("count", "n", "-", "", "how many"),
    _argument("counts", "p_n", "-", "", "shares of the light that passed something 0, 1, 2 ... times"),
    _argument("lamp_count", "n", "-", "", "number of lamps"),
    _argument("media", "kappa_m", "1/m", "", "absorption coefficients of coolant, cell glass and lamp glass"),
    _argument("once", "t", "-", "", "what one passage leaves"),
    _argument("optical_thickness", "a d", "-", "", "absorption coefficient times thickness"),
    _argument("path_left", "T", "-", "", "part of the light that a medium leaves, at some absorption coefficients"),
    _argument("path_mean", "m", "m", "mm", "mean way through a medium"),
    _argument("rays", "N", "-", "", "number of rays"),
    _argument("seed", "s", "-", "", "seed of random numbers"),
    _argument("threads", "n", "-", "", "threads that share the work"),
)

_FORMULA_SOLUTION = (
    _argument("activity", "gamma", "-", "", "activity coefficient of a part of a mixture"),
    _argument("activity_constants", "A_12, A_21", "-", "", "logarithm of the activity coefficients of dilute parts"),
    _argument("dimer_constant", "K", "m^3/mol", "L/mol", "pairs of dye molecules over the square of single ones"),
    _argument("micelle_concentration", "cmc", "mol/m^3", "mol/L", "critical concentration of a surfactant"),
    _argument("micelle_number", "m", "mol/m^3", "mol/L", "concentration of micelles"),
    _argument("micelle_size", "N", "-", "", "molecules in one micelle"),
    _argument("other_constant", "K_o", "m^3/mol", "L/mol", "constant of pairing in another solvent"),
    _argument("surfactant", "c_s", "mol/m^3", "mol/L", "surfactant in the solution"),
    _argument("water_fraction", "v_w", "-", "", "part of the volume that is water"),
    _argument("decade_width", "d", "m", "nm", "step in wavelength over which absorption falls by ten"),
    _argument("density_ratio", "r", "-", "", "density of a mixture over that of volumes that add"),
    _argument("gas_mole_fraction", "x_g", "-", "", "mole fraction of a gas dissolved under 101.325 kPa of it"),
    _argument("interaction", "G", "-", "", "interaction of two liquids in viscosity"),
    _argument("mass_fraction", "w", "-", "", "part of the mass"),
    _argument("ultraviolet_cutoff", "lambda_c", "m", "nm", "wavelength at which 1 cm absorbs nine tenths"),
    _argument("volume_fraction", "v", "-", "", "part of the volume before mixing"),
    _argument("oxygen_mole_fraction", "x_O2", "-", "", "mole fraction of oxygen dissolved under 101.325 kPa of it"),
)

_FORMULA_KINETICS = (
    _argument("aspect", "a/l", "-", "", "radius over length of a column"),
    _argument("bins", "K", "-", "", "number of bins of wavelength"),
    _argument("centres", "lambda_m", "m", "nm", "middles of pass bands"),
    _argument("cone_tangent", "tan t", "-", "", "tangent of the half angle of a cone about the axis"),
    _argument("cross_sections", "sigma", "m^2", "cm^2", "cross-sections of the levels of a dye"),
    _argument("emission_share", "e_k", "-", "", "part of the fluorescence in a bin of wavelength"),
    _argument("gain_length", "g l", "-", "", "gain coefficient times length"),
    _argument("groups", "K_g", "-", "", "number of groups of bins"),
    _argument("high", "lambda_2", "m", "nm", "longest wavelength of a range"),
    _argument("low", "lambda_1", "m", "nm", "shortest wavelength of a range"),
    _argument("radiative", "k_r", "1/s", "", "rate at which an excited state emits"),
    _argument("s1_points", "N_S", "-", "", "points of a table along the excited singlet"),
    _argument("t1_points", "N_T", "-", "", "points of a table along the triplet"),
)

_FORMULA_SOUND = (
    _argument("absorbed_power", "P_abs", "W", "", "pump power absorbed in a shell"),
    _argument("cells", "n", "-", "", "cells of a grid"),
    _argument("courant", "C", "-", "", "step over the time in which sound crosses a cell"),
    _argument("extent", "R", "m", "mm", "radius of a bore, or thickness of a slab"),
    _argument("fourier_number", "Fo", "-", "", "diffusivity times time over the square of a radius"),
    _argument("gruneisen", "Gamma", "-", "", "Grueneisen parameter: pressure over heat per volume"),
    _argument("initial_pressure", "p_0", "Pa", "", "pressure at the start"),
    _argument("light_rate", "r", "1/s", "", "laser photons that leave a shell per time"),
    _argument("moment", "t", "s", "", "a moment of the shot"),
    _argument("outside_impedance", "Z", "Pa s/m", "", "acoustic impedance of what lies behind a wall"),
    _argument("path", "s", "m", "um", "optical path"),
    _argument("outside_pressure", "p_o", "Pa", "", "pressure on the outside of a wall"),
    _argument("poisson_ratio", "nu", "-", "", "Poisson's ratio"),
    _argument("radiative_rate", "k_r", "1/s", "", "rate at which fluorescence leaves an excited molecule"),
    _argument("radius_ratio", "r/R", "-", "", "distance from the axis over the radius of the bore"),
    _argument("singlet_count", "N_1", "-", "", "molecules in S1"),
    _argument("time_constant", "tau", "s", "", "time in which something falls to 37 %"),
    _argument("triplet_count", "N_T", "-", "", "molecules in T1"),
    _argument("wall_density", "rho_w", "kg/m^3", "", "density of the wall"),
    _argument("wave_limit", "w_l", "-", "", "error of a wavefront that is accepted, rms in waves"),
    _argument("waves", "w", "-", "", "path over wavelength"),
    _argument("weight", "g", "-", "", "part of a whole"),
)

_FORMULA_FILL = (
    _argument("bed_removal", "f_b", "-", "", "part of a solute that one pass of a bed takes out"),
    _argument("bleached_per_shot", "b", "-", "", "part of the dye that one shot destroys"),
    _argument("cell_evenness", "u", "-", "", "light in the innermost shell over that in the outermost"),
    _argument("dose", "D", "J/m^3", "kJ/L", "lamp energy per volume of solution"),
    _argument("dye_left", "d", "-", "", "dye over that of new solution"),
    _argument("dye_mass", "m", "kg", "g", "mass of dye"),
    _argument("other_absorption_per_dose", "a_D2", "m^3/J", "", "absorption created per dose in another head"),
    _argument("products_per_shot", "g", "1/m", "", "absorption by products that one shot adds"),
    _argument("renewed_fraction", "r", "-", "", "part of the solution that is new before the next shot"),
    _argument("shot_number", "n", "-", "", "number of a shot, counted from 1"),
    _argument("small_signal_gain", "g_0 l", "-", "", "logarithmic gain of one pass without the laser's own light"),
)

_FORMULA_RESONATOR = (
    _argument("azimuthal_order", "p", "-", "", "azimuthal order of a mode"),
    _argument("coupler_reflectivity", "R_2", "-", "", "reflectivity of the output coupler"),
    _argument("equivalent_number", "N_eq", "-", "", "equivalent Fresnel number"),
    _argument("first_curvature", "R_1", "m", "", "curvature of the first mirror, concave positive"),
    _argument("first_length", "l_1", "m", "", "distance from the first mirror to the lens"),
    _argument("first_parameter", "g_1", "-", "", "g of one mirror"),
    _argument("fresnel_number", "N_F", "-", "", "Fresnel number"),
    _argument("index_difference", "dn", "-", "", "difference of refractive index"),
    _argument("index_slope", "dn/dT", "1/K", "", "change of refractive index with temperature"),
    _argument(
        "index_temperature_coefficient",
        "dn/dT",
        "1/K",
        "",
        "change of refractive index with temperature at constant pressure",
    ),
    _argument("magnification", "M", "-", "", "magnification of a round trip"),
    _argument("optical_length", "L", "m", "", "optical distance between the mirrors"),
    _argument("order", "m", "-", "", "order of a mode"),
    _argument("rear_reflectivity", "R_1", "-", "", "reflectivity of the rear mirror"),
    _argument("resonator_length", "L", "m", "", "distance between the mirrors"),
    _argument("second_curvature", "R_2", "m", "", "curvature of the second mirror, concave positive"),
    _argument("second_length", "l_2", "m", "", "distance from the lens to the second mirror"),
    _argument("second_parameter", "g_2", "-", "", "g of the other mirror"),
)

_FORMULA_BEAM = (
    _argument("aperture", "D", "m", "mm", "clear diameter of an aperture"),
    _argument("aperture_radius", "a", "m", "mm", "radius of an aperture"),
    _argument("apertures", "D", "m", "mm", "clear diameter of each surface"),
    _argument("beam_propagation_ratio", "M^2", "-", "", "beam propagation ratio; 1 for a fundamental Gaussian"),
    _argument("beam_radius", "w", "m", "mm", "1/e^2 radius of a beam"),
    _argument("constant", "A", "m^2", "mm^2", "first coefficient of a caustic"),
    _argument("distances", "z", "m", "", "distance of each surface from the output coupler"),
    _argument("divergence", "theta", "rad", "mrad", "full divergence"),
    _argument("duration", "tau", "s", "", "length of a pulse"),
    _argument("duration_from", "tau_0", "s", "", "pulse length of a test"),
    _argument("duration_to", "tau", "s", "", "pulse length of use"),
    _argument("first_diameter", "D_1", "m", "mm", "beam diameter at the first plane"),
    _argument("first_reflectivity", "R_1", "-", "", "reflectivity of the surface met first"),
    _argument("fluence", "H", "J/m^2", "J/cm^2", "energy per area"),
    _argument("focal_lengths", "f", "m", "mm", "focal length of each surface"),
    _argument("fraction_high", "f_2", "-", "", "higher transmitted fraction"),
    _argument("fraction_low", "f_1", "-", "", "lower transmitted fraction"),
    _argument("ghost_diameter", "D_g", "m", "mm", "diameter of a ghost"),
    _argument("half_angle", "theta", "rad", "mrad", "angle to either side of the axis"),
    _argument("half_width", "a", "m", "mm", "half the width of a slit"),
    _argument("incubation_coefficient", "S", "-", "", "how strongly shots accumulate; 1 where they do not"),
    _argument("irradiance", "E", "W/m^2", "MW/cm^2", "power per area"),
    _argument("limit", "H_l", "J/m^2", "J/cm^2", "exposure that is permitted"),
    _argument("limit_spread", "s_l", "-", "", "relative spread of the limit"),
    _argument("linear", "B", "m", "mm", "second coefficient of a caustic"),
    _argument("position", "z", "m", "", "place along an axis"),
    _argument("quadratic", "C", "-", "", "third coefficient of a caustic"),
    _argument("radius", "r", "m", "mm", "radius"),
    _argument("second_diameter", "D_2", "m", "mm", "beam diameter at the second plane"),
    _argument("second_reflectivity", "R_2", "-", "", "reflectivity of the surface met second"),
    _argument("separation", "d", "m", "", "distance between two planes"),
    _argument("shots", "N", "-", "", "number of shots"),
    _argument("spot_diameter", "D", "m", "mm", "diameter of a spot"),
    _argument("spread", "s", "-", "", "half-width of the 90 % interval over the median"),
    _argument("stress", "x", "-", "", "stress, in the unit of the limit"),
    _argument("stress_limit", "x_l", "-", "", "limit of a stress, in the unit of the stress"),
    _argument("stress_spread", "s", "-", "", "relative spread of the stress"),
    _argument("threshold_energy", "E_th", "J", "", "energy at which a mark just appears"),
    _argument("throughputs", "T", "-", "", "fraction of the energy that goes on behind each surface"),
    _argument("waist_position", "z_0", "m", "", "place of the waist"),
    _argument("waist_radius", "w_0", "m", "mm", "1/e^2 radius at the waist"),
    _argument("wavelength_from", "lambda_0", "m", "nm", "wavelength of a test"),
    _argument("wavelength_to", "lambda", "m", "nm", "wavelength of use"),
)

_FORMULA_HEAT_AND_FLOW = (
    _argument("density", "rho", "kg/m^3", "", "mass per volume"),
    _argument("diffusivity", "kappa", "m^2/s", "mm^2/s", "thermal diffusivity"),
    _argument("expansion", "beta", "1/K", "", "volume expansion coefficient"),
    _argument("exponent", "n", "-", "", "exponent of a law"),
    _argument("heat_capacity", "c_p", "J/(kg K)", "", "specific heat of a solid"),
    _argument("heat_density", "q", "J/m^3", "J/cm^3", "heat per volume"),
    _argument("relative_roughness", "eps/D", "-", "", "roughness over inside diameter"),
    _argument("reynolds_number", "Re", "-", "", "Reynolds number"),
    _argument("roughness", "eps", "m", "um", "height of the roughness of a wall"),
    _argument("sound_speed", "c_s", "m/s", "", "speed of sound in the liquid"),
    _argument("specific_heat", "c_p", "J/(kg K)", "", "specific heat at constant pressure"),
    _argument("temperature_rise", "dT", "K", "K", "rise of temperature"),
    _argument("thermal_conductivity", "k", "W/(m K)", "", "thermal conductivity"),
    _argument("velocity", "v", "m/s", "", "mean velocity"),
    _argument("viscosity", "mu", "Pa s", "mPa s", "dynamic viscosity"),
    _argument("volume_flow", "q", "m^3/s", "L/min", "volume per time"),
    _argument("volumes", "n", "-", "", "volume passed through, in cell volumes"),
    _argument("wall_sound_speed", "c_w", "m/s", "", "speed of sound in the wall"),
)

_FORMULA_AIR_AND_EXPOSURE = (
    _argument("added_fraction", "x_a", "-", "", "volume fraction of an added gas"),
    _argument("air_change_rate", "n", "1/s", "1/h", "air flow over volume"),
    _argument("air_flow", "q", "m^3/s", "m^3/h", "fresh air per time"),
    _argument("angular_subtense", "alpha", "rad", "mrad", "angle the apparent source takes up at the eye"),
    _argument("cleanliness_class", "N", "-", "", "class of air cleanliness"),
    _argument("energy", "E", "J", "", "energy"),
    _argument("exposure", "H", "J/m^2", "J/cm^2", "radiant exposure"),
    _argument("floor_area", "A", "m^2", "m^2", "free floor area"),
    _argument("fraction", "x", "-", "", "fraction"),
    _argument("fraction_left", "c/c_0", "-", "", "fraction of the first concentration that is left"),
    _argument("frequency", "f", "Hz", "", "cycles or repetitions per time"),
    _argument("height", "h", "m", "m", "height"),
    _argument("liquid_volume", "V", "m^3", "L", "volume of a liquid"),
    _argument("lower_explosive_limit", "LEL", "-", "%", "lower explosive limit, as a volume fraction"),
    _argument("mass", "m", "kg", "", "mass"),
    _argument("mixing_factor", "k", "-", "", "how well air mixes; 1 when perfectly"),
    _argument("molar_mass", "M", "kg/mol", "g/mol", "molar mass"),
    _argument("oxygen_fraction", "x_O2", "-", "%", "volume fraction of oxygen"),
    _argument("particle_size", "d", "m", "um", "size of a particle"),
    _argument("pressure", "p", "Pa", "", "pressure"),
    _argument("pulses", "N", "-", "", "number of pulses"),
    _argument("share", "f", "-", "", "share of a limit to keep to"),
    _argument("total_pressure", "p", "Pa", "", "pressure above the liquid"),
    _argument("vapour", "V", "m^3", "L", "volume of pure vapour"),
    _argument("vapour_flow", "q", "m^3/s", "L/min", "volume of pure vapour per time"),
    _argument("vapour_pressure", "p_v", "Pa", "", "vapour pressure"),
)

#: Every quantity, by key.
QUANTITIES: Mapping[str, Quantity] = MappingProxyType(
    {
        row.key: row
        for group in (
            _ELECTRICAL,
            _PULSE_POWER,
            _SIZING,
            _LAMP,
            _TRIGGER,
            _CHAMBER_AND_CELL,
            _DYE,
            _LIGHT_INTO_DYE,
            _RESONATOR_AND_OUTPUT,
            _BEAM_AND_ROOM,
            _FORMULA_CIRCUIT,
            _FORMULA_HIGH_VOLTAGE,
            _FORMULA_LAMP,
            _FORMULA_CHAMBER,
            _FORMULA_DYE,
            _FORMULA_RAYS,
            _FORMULA_SOLUTION,
            _FORMULA_KINETICS,
            _FORMULA_SOUND,
            _FORMULA_FILL,
            _FORMULA_RESONATOR,
            _FORMULA_BEAM,
            _FORMULA_HEAT_AND_FLOW,
            _FORMULA_AIR_AND_EXPOSURE,
        )
        for row in group
    }
)


def show(key: str, value: float | None) -> str:
    """Text of an SI value in the unit and digits of its quantity.

    Examples
    --------
    >>> show("charge_voltage", 9500.0)
    '9.50 kV'
    >>> show("wavelength", None)
    'not known'
    """
    row = QUANTITIES[key]
    if value is None:
        return "not known"
    return units.format(value, row.unit, row.digits, display=row.display)


def read(key: str, text: str) -> float:
    """SI value of a text for this quantity; an absurd magnitude is refused too.

    Raises
    ------
    QuantityError
        If the text cannot be read, has another dimension, or is absurdly small or large.
    """
    value = units.parse(text, QUANTITIES[key].unit)
    refused = absurd(key, value, text)
    if refused is not None:
        raise QuantityError(refused)
    return value


def absurd(key: str, value: float, text: str = "") -> Finding | None:
    """An error finding when a magnitude lies beyond what this quantity can be, otherwise None.

    Zero is left to the caller: whether a thing may be absent depends on where it stands.
    """
    row = QUANTITIES[key]
    size = abs(value)
    if size == 0 or row.low <= size <= row.high or math.isinf(value):
        return None
    beyond = "large" if size > row.high else "small"
    allowed = f"{_limit(row, row.low)} to {_limit(row, row.high)}"
    prefix = _other_case(text, row) or "case matters, mJ and MJ differ 10^9-fold"
    step = "Check the number" if row.unit == "-" else f"Check the prefix: {prefix}"
    shown = text.strip() or show(key, value)
    return Finding("error", key, f"{shown} is absurdly {beyond} for the {row.words}", f"Allowed: {allowed}", step)


def _limit(row: Quantity, value: float) -> str:
    return units.format(value, row.unit, row.digits, display=row.display)


def _other_case(text: str, row: Quantity) -> str:
    """The same text with m and M exchanged, when that would be sensible."""
    number, _, unit = text.strip().rpartition(" ")
    if not number or unit[:1] not in ("m", "M"):
        return ""
    other = f"{number} {'M' if unit[0] == 'm' else 'm'}{unit[1:]}"
    try:
        value = units.parse(other, row.unit)
    except QuantityError:
        return ""
    return f'"{other}" was perhaps meant' if row.low <= abs(value) <= row.high else ""
