"""The one nomenclature: key, symbol, unit, digits and words of every quantity.

A key is the same word as argument, record field, build-file key and column. To add a quantity,
add one line to a group below.
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


_ELECTRICAL = (
    _row("capacitance", "C", "F", "", 1e-12, 10, "capacitance"),
    _row("charge_voltage", "V_0", "V", "", 1e-3, 2e5, "voltage the bank is charged to"),
    _row("voltage", "V", "V", "", 1e-6, 1e7, "voltage"),
    _row("voltage_rating", "V_max", "V", "", 1, 1e6, "highest voltage the part is rated for"),
    _row("voltage_max", "V_max", "V", "", 1, 2e5, "highest voltage the charger reaches"),
    _row("bank_voltage", "V_C", "V", "", 0, 1e6, "voltage of the bank during the shot"),
    _row("lamp_voltage", "V_lamp", "V", "", 0, 1e6, "voltage across all lamps"),
    _row("drop", "V_s", "V", "", 1e-3, 1e5, "voltage lost in the closed switch, whatever the current"),
    _row("electrode_drop", "V_e", "V", "", 1e-3, 1e4, "voltage lost at both electrodes"),
    _row("threshold_voltage", "V_th", "V", "", 1e-3, 2e5, "lowest charge voltage that lases"),
    _row(
        "highest_voltage_within_limits", "V_lim", "V", "", 1e-3, 2e5, "highest charge voltage within the judged limits"
    ),
    _row("current", "I", "A", "", 1e-9, 1e7, "current"),
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
    _row("resistivity", "eta", "ohm*m", "ohm*cm", 1e-9, 1e6, "resistivity of the plasma"),
    _row("power", "P", "W", "", 1e-12, 1e12, "power"),
    _row("stored_energy", "E_0", "J", "", 1e-9, 1e6, "energy stored in the bank"),
    _row("lamp_energy", "E_lamp", "J", "", 1e-12, 1e6, "energy given to the lamps"),
    _row("sections", "n", "-", "", 1, 100, "number of sections of the network", 2),
)

_LAMP = (
    _row("bore", "d", "m", "mm", 1e-5, 1, "inside diameter of the tube"),
    _row("inner_diameter", "d_i", "m", "mm", 1e-5, 1, "outside diameter of the inner tube"),
    _row("arc_length", "l", "m", "mm", 1e-4, 10, "distance between the electrodes"),
    _row("fill_pressure", "p", "Pa", "torr", 1e-2, 1e7, "pressure of the cold fill"),
    _row("wall_thickness", "w", "m", "mm", 1e-5, 0.1, "thickness of the wall"),
    _row("explosion_fraction", "f_x", "-", "", 0, 1e3, "lamp energy over the lowest published explosion energy"),
    _row("explosion_fraction_rating", "f_x,max", "-", "", 1e-4, 1, "fraction of the explosion energy that is accepted"),
    _row("wall_loading", "H_w", "J/m^2", "J/cm^2", 0, 1e9, "energy given to the wall per area"),
    _row("plasma_temperature", "T", "K", "", 1, 1e6, "temperature of the plasma"),
    _row("arc_radius", "a", "m", "mm", 1e-7, 1, "radius of the arc"),
    _row("radiated_power", "P_rad", "W", "", 0, 1e13, "power radiated by the lamps"),
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

#: Every quantity, by key.
QUANTITIES: Mapping[str, Quantity] = MappingProxyType(
    {
        row.key: row
        for group in (
            _ELECTRICAL,
            _LAMP,
            _TRIGGER,
            _CHAMBER_AND_CELL,
            _DYE,
            _RESONATOR_AND_OUTPUT,
            _BEAM_AND_ROOM,
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
