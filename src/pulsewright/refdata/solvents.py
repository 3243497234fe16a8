"""Dye solvents at 20 degC and 101.325 kPa unless a value says otherwise."""

from __future__ import annotations

from pulsewright.refdata.rows import Datum, Solvent, about

_LIBRARY = "property libraries CoolProp, thermo, chemicals"
_20C = "20 degC, 101.325 kPa"
_25C = "25 degC"
_SOLUBILITY = "Battino, Rettich, Tominaga, J. Phys. Chem. Ref. Data (1983) is the evaluation; value from memory"
_CUTOFF = "wavelength where 1 cm absorbs 90 %; usual tables of spectroscopic solvents"
_LIMITS = "chemicals library; check the current edition of the local list"
_KELVIN = 273.15


def _library(value: float, unit: str, part: float, valid: str = _20C) -> Datum:
    return about(value, unit, part, "library", _LIBRARY, valid)


def _mass(value: float) -> Datum:
    return about(value * 1e-3, "kg/mol", 1e-4, "computed", "molecular formula and standard atomic weights")


def _celsius(value: float, half: float, tag: str = "library", source: str = _LIBRARY, valid: str = "") -> Datum:
    kelvin = value + _KELVIN
    return Datum(kelvin, "K", kelvin - half, kelvin + half, tag, source, valid)


def _memory(value: float, unit: str, part: float, tag: str = "memory-m", valid: str = _20C) -> Datum:
    return about(value, unit, part, tag, "usual handbooks", valid)


def _nm(value: float, half: float, tag: str = "memory-h") -> Datum:
    return Datum(value * 1e-9, "m", (value - half) * 1e-9, (value + half) * 1e-9, tag, _CUTOFF)


def _dndt(value: float, half: float, tag: str) -> Datum:
    return Datum(value, "1/K", value - half, value + half, tag, "measured values as remembered", "589 nm, near 20 degC")


def _vapour(kilopascal: float, part: float, tag: str = "memory-h") -> Datum:
    return about(kilopascal * 1e3, "Pa", part, tag, "usual vapour-pressure tables", _25C)


def _oxygen(value: float, part: float, tag: str) -> Datum:
    return about(value, "-", part, tag, _SOLUBILITY, "mole fraction in the liquid at 1 atm of oxygen, 25 degC")


#: Where no figure is known: between ethylene glycol and acetone, the ends of the organic solvents here.
_UNKNOWN_OXYGEN = Datum(
    2.5e-4,
    "-",
    6e-5,
    9e-4,
    "assumed",
    "bracket: from ethylene glycol to acetone; no figure of its own known",
    "mole fraction in the liquid at 1 atm of oxygen, 25 degC",
)


def _carbon_dioxide(value: float, part: float, tag: str) -> Datum:
    return about(
        value,
        "-",
        part,
        tag,
        "usual solubility tables",
        "mole fraction in the liquid at 1 atm of carbon dioxide, 25 degC",
    )


def _ppm(value: float, tag: str = "library", source: str = _LIMITS) -> Datum:
    return Datum(value * 1e-6, "-", None, None, tag, source, "mole fraction in air, 8 h mean")


def _short(value: float, tag: str = "library", source: str = _LIMITS) -> Datum:
    return Datum(value * 1e-6, "-", None, None, tag, source, "mole fraction in air, 15 min")


def _flammable(value: float, tag: str = "library") -> Datum:
    source = _LIBRARY if tag == "library" else "usual tables"
    return about(value * 1e-2, "-", 0.1, tag, source, "mole fraction of vapour in air")


_ROWS = (
    Solvent(
        name="methanol",
        cas="67-56-1",
        molar_mass=_mass(32.042),
        density=_library(791.0, "kg/m^3", 0.003),
        specific_heat=_library(2505.0, "J/(kg K)", 0.02),
        viscosity=_library(0.585e-3, "Pa s", 0.04),
        thermal_conductivity=_library(0.201, "W/(m K)", 0.04),
        expansion=_library(1.184e-3, "1/K", 0.03),
        sound_speed=_library(1116.0, "m/s", 0.01),
        refractive_index=_library(1.3288, "-", 0.001, "589 nm, 20 degC"),
        index_temperature_coefficient=_dndt(-3.95e-4, 0.3e-4, "memory-m"),
        ultraviolet_cutoff=_nm(205.0, 5.0),
        vapour_pressure=_vapour(16.9, 0.02),
        oxygen_mole_fraction=_oxygen(4.15e-4, 0.05, "memory-m"),
        carbon_dioxide_mole_fraction=_carbon_dioxide(6.9e-3, 0.3, "memory-l"),
        boiling_point=_celsius(64.5, 0.5),
        melting_point=_celsius(-98.0, 1.0),
        flash_point=_celsius(9.0, 3.0, valid="closed cup"),
        flammable_low=_flammable(6.0),
        flammable_high=_flammable(36.0),
        autoignition=_celsius(440.0, 25.0),
        exposure_limit=_ppm(200.0),
        short_exposure_limit=_short(250.0),
        hazards="Highly flammable, burns with a nearly invisible flame; poisonous by mouth, vapour and skin: "
        "damages the optic nerve.",
    ),
    Solvent(
        name="ethanol",
        cas="64-17-5",
        molar_mass=_mass(46.069),
        density=_library(789.4, "kg/m^3", 0.003),
        specific_heat=_library(2396.0, "J/(kg K)", 0.03),
        viscosity=_library(1.194e-3, "Pa s", 0.04),
        thermal_conductivity=_library(0.164, "W/(m K)", 0.04),
        expansion=_library(1.084e-3, "1/K", 0.03),
        sound_speed=_library(1159.0, "m/s", 0.01),
        refractive_index=_library(1.3611, "-", 0.001, "589 nm, 20 degC"),
        index_temperature_coefficient=_dndt(-4.0e-4, 0.3e-4, "memory-m"),
        ultraviolet_cutoff=_nm(210.0, 5.0),
        vapour_pressure=_vapour(7.87, 0.02),
        oxygen_mole_fraction=_oxygen(5.83e-4, 0.05, "memory-m"),
        carbon_dioxide_mole_fraction=_carbon_dioxide(6.6e-3, 0.3, "memory-l"),
        boiling_point=_celsius(78.4, 0.5),
        melting_point=_celsius(-114.0, 1.0),
        flash_point=_celsius(12.0, 3.0, valid="closed cup"),
        flammable_low=_flammable(3.1),
        flammable_high=_flammable(19.0),
        autoignition=Datum(
            673.15,
            "K",
            636.15,
            698.15,
            "library",
            _LIBRARY + "; other sources 363 to 425 degC",
            "depends on the method",
        ),
        exposure_limit=_ppm(1000.0),
        short_exposure_limit=_short(1000.0, "library", "short-term limit in the ACGIH list"),
        hazards="Highly flammable; vapour is heavier than air and travels to a distant spark.",
    ),
    Solvent(
        name="water",
        cas="7732-18-5",
        molar_mass=_mass(18.015),
        density=_library(998.2, "kg/m^3", 0.001),
        specific_heat=_library(4184.0, "J/(kg K)", 0.005),
        viscosity=_library(1.002e-3, "Pa s", 0.01),
        thermal_conductivity=_library(0.598, "W/(m K)", 0.02),
        expansion=_library(0.207e-3, "1/K", 0.02),
        sound_speed=_library(1482.0, "m/s", 0.003),
        refractive_index=about(1.3330, "-", 0.0005, "memory-h", "usual tables", "589 nm, 20 degC"),
        index_temperature_coefficient=_dndt(-0.9e-4, 0.1e-4, "memory-h"),
        ultraviolet_cutoff=_nm(190.0, 5.0),
        vapour_pressure=_vapour(3.169, 0.005),
        oxygen_mole_fraction=_oxygen(2.30e-5, 0.03, "memory-h"),
        carbon_dioxide_mole_fraction=_carbon_dioxide(6.1e-4, 0.05, "memory-h"),
        boiling_point=_celsius(100.0, 0.1),
        melting_point=_celsius(0.0, 0.1),
        flash_point=None,
        flammable_low=None,
        flammable_high=None,
        autoignition=None,
        exposure_limit=None,
        short_exposure_limit=None,
        hazards="Conducts when dirty: keep it away from high voltage.",
    ),
    Solvent(
        name="ethylene glycol",
        cas="107-21-1",
        molar_mass=_mass(62.068),
        density=_library(1113.4, "kg/m^3", 0.003),
        specific_heat=_library(2388.0, "J/(kg K)", 0.03),
        viscosity=Datum(20.8e-3, "Pa s", 19.9e-3, 21.0e-3, "library", _LIBRARY, _20C),
        thermal_conductivity=_library(0.246, "W/(m K)", 0.06),
        expansion=_library(0.630e-3, "1/K", 0.03),
        sound_speed=about(1660.0, "m/s", 0.015, "memory-m", "usual tables", _20C),
        refractive_index=_library(1.4318, "-", 0.001, "589 nm, 20 degC"),
        index_temperature_coefficient=_dndt(-2.6e-4, 0.3e-4, "memory-m"),
        ultraviolet_cutoff=_nm(210.0, 15.0),
        vapour_pressure=_vapour(0.012, 0.2),
        oxygen_mole_fraction=Datum(
            8.4e-5, "-", 5.6e-5, 1.12e-4, "memory-l", "1 to 2 mol/m3 at 1 atm of oxygen, from memory", "25 degC"
        ),
        carbon_dioxide_mole_fraction=None,
        boiling_point=_celsius(197.0, 1.0),
        melting_point=_celsius(-12.9, 1.0),
        flash_point=_celsius(
            111.0, 5.0, "memory-h", "usual tables; a library estimate of 92 degC is too low", "closed cup"
        ),
        flammable_low=_flammable(3.2),
        flammable_high=_flammable(15.3),
        autoignition=_celsius(400.0, 25.0, "memory-m", "usual tables"),
        exposure_limit=_ppm(25.0, "memory-m", "vapour; 10 mg/m3 for aerosol"),
        short_exposure_limit=_short(50.0, "memory-m", "vapour"),
        hazards="Poisonous when swallowed, sweet to the taste: keep away from children and animals.",
    ),
    Solvent(
        name="acetone",
        cas="67-64-1",
        molar_mass=_mass(58.080),
        density=_library(790.3, "kg/m^3", 0.003),
        specific_heat=_library(2131.0, "J/(kg K)", 0.02),
        viscosity=_library(0.331e-3, "Pa s", 0.05),
        thermal_conductivity=_library(0.152, "W/(m K)", 0.08),
        expansion=_library(1.404e-3, "1/K", 0.04),
        sound_speed=_library(1187.0, "m/s", 0.015),
        refractive_index=_library(1.3588, "-", 0.001, "589 nm, 20 degC"),
        index_temperature_coefficient=_dndt(-5.2e-4, 0.4e-4, "memory-m"),
        ultraviolet_cutoff=_nm(330.0, 5.0),
        vapour_pressure=_vapour(30.8, 0.02),
        oxygen_mole_fraction=_oxygen(8.38e-4, 0.08, "memory-m"),
        carbon_dioxide_mole_fraction=_carbon_dioxide(2.0e-2, 0.3, "memory-l"),
        boiling_point=_celsius(56.1, 0.5),
        melting_point=_celsius(-94.8, 1.0),
        flash_point=_celsius(-20.0, 3.0, valid="closed cup"),
        flammable_low=_flammable(2.5),
        flammable_high=_flammable(14.3),
        autoignition=_celsius(539.0, 75.0),
        exposure_limit=_ppm(250.0, "memory-h", "ACGIH list; older lists 500 and 750 ppm"),
        short_exposure_limit=_short(500.0, "memory-h", "ACGIH list"),
        hazards="Extremely flammable, flashes far below room temperature; attacks many plastics and seals.",
    ),
    Solvent(
        name="isopropanol",
        cas="67-63-0",
        molar_mass=_mass(60.095),
        density=_library(785.3, "kg/m^3", 0.003),
        specific_heat=_memory(2570.0, "J/(kg K)", 0.04),
        viscosity=_memory(2.38e-3, "Pa s", 0.05),
        thermal_conductivity=_memory(0.137, "W/(m K)", 0.05),
        expansion=_memory(1.09e-3, "1/K", 0.08),
        sound_speed=_memory(1156.0, "m/s", 0.015),
        refractive_index=_library(1.3776, "-", 0.001, "589 nm, 20 degC"),
        index_temperature_coefficient=_dndt(-4.1e-4, 0.4e-4, "memory-m"),
        ultraviolet_cutoff=_nm(207.0, 5.0),
        vapour_pressure=_vapour(5.9, 0.04),
        oxygen_mole_fraction=_oxygen(7.8e-4, 0.08, "memory-m"),
        carbon_dioxide_mole_fraction=None,
        boiling_point=_celsius(82.3, 0.5),
        melting_point=_celsius(-88.5, 2.0),
        flash_point=_celsius(12.0, 3.0, valid="closed cup"),
        flammable_low=_flammable(2.0),
        flammable_high=_flammable(12.7),
        autoignition=_celsius(399.0, 30.0),
        exposure_limit=_ppm(200.0),
        short_exposure_limit=_short(400.0),
        hazards="Highly flammable; vapour makes drowsy; old bottles form peroxides.",
    ),
    Solvent(
        name="trifluoroethanol",
        cas="75-89-8",
        molar_mass=_mass(100.040),
        density=_memory(1391.0, "kg/m^3", 0.004),
        specific_heat=_library(1753.0, "J/(kg K)", 0.05),
        viscosity=_memory(2.0e-3, "Pa s", 0.1),
        thermal_conductivity=_library(0.127, "W/(m K)", 0.10),
        expansion=_memory(1.2e-3, "1/K", 0.1, "memory-l"),
        sound_speed=_memory(845.0, "m/s", 0.03, "memory-l"),
        refractive_index=_library(1.291, "-", 0.001, "589 nm, 20 degC"),
        index_temperature_coefficient=None,
        ultraviolet_cutoff=_nm(195.0, 10.0, "memory-l"),
        vapour_pressure=_vapour(9.5, 0.1, "memory-m"),
        oxygen_mole_fraction=None,
        carbon_dioxide_mole_fraction=None,
        boiling_point=_celsius(74.0, 1.0),
        melting_point=_celsius(-43.5, 2.0),
        flash_point=_celsius(30.0, 3.0, valid="closed cup"),
        flammable_low=_flammable(8.4),
        flammable_high=_flammable(23.8),
        autoignition=_celsius(463.0, 25.0),
        exposure_limit=None,
        short_exposure_limit=None,
        hazards="Flammable; poisonous by mouth, skin and breath, may harm fertility: gloves, fume hood.",
    ),
    Solvent(
        name="dimethylformamide",
        cas="68-12-2",
        molar_mass=_mass(73.094),
        density=_library(949.0, "kg/m^3", 0.003),
        specific_heat=_library(2018.0, "J/(kg K)", 0.03),
        viscosity=_memory(0.86e-3, "Pa s", 0.06),
        thermal_conductivity=_memory(0.184, "W/(m K)", 0.06),
        expansion=_memory(1.0e-3, "1/K", 0.05),
        sound_speed=_memory(1477.0, "m/s", 0.015),
        refractive_index=_library(1.4305, "-", 0.001, "589 nm, 20 degC"),
        index_temperature_coefficient=_dndt(-4.6e-4, 0.4e-4, "memory-m"),
        ultraviolet_cutoff=_nm(268.0, 5.0),
        vapour_pressure=_vapour(0.52, 0.1, "memory-m"),
        oxygen_mole_fraction=_oxygen(3.6e-4, 0.3, "memory-l"),
        carbon_dioxide_mole_fraction=None,
        boiling_point=_celsius(153.0, 1.0),
        melting_point=_celsius(-60.5, 2.0),
        flash_point=_celsius(58.0, 3.0, valid="closed cup"),
        flammable_low=_flammable(1.8),
        flammable_high=_flammable(16.0),
        autoignition=_celsius(440.0, 15.0),
        exposure_limit=_ppm(10.0),
        short_exposure_limit=None,
        hazards="Harms the liver and the unborn child, goes through skin and many gloves; combustible.",
    ),
    Solvent(
        name="dimethyl sulfoxide",
        cas="67-68-5",
        molar_mass=_mass(78.133),
        density=_library(1101.0, "kg/m^3", 0.003),
        specific_heat=_library(1953.0, "J/(kg K)", 0.03),
        viscosity=_memory(2.2e-3, "Pa s", 0.06),
        thermal_conductivity=_library(0.222, "W/(m K)", 0.08),
        expansion=_memory(0.92e-3, "1/K", 0.08),
        sound_speed=_memory(1504.0, "m/s", 0.015),
        refractive_index=_library(1.479, "-", 0.001, "589 nm, 20 degC"),
        index_temperature_coefficient=_dndt(-4.4e-4, 0.5e-4, "memory-l"),
        ultraviolet_cutoff=_nm(268.0, 5.0),
        vapour_pressure=_vapour(0.08, 0.15, "memory-m"),
        oxygen_mole_fraction=_oxygen(1.55e-4, 0.2, "memory-m"),
        carbon_dioxide_mole_fraction=None,
        boiling_point=_celsius(191.0, 2.5),
        melting_point=_celsius(18.5, 1.0),
        flash_point=_celsius(88.0, 5.0, "memory-m", "usual tables", "closed cup"),
        flammable_low=_flammable(2.6, "memory-m"),
        flammable_high=_flammable(42.0, "memory-m"),
        autoignition=None,
        exposure_limit=None,
        short_exposure_limit=None,
        hazards="Carries what is dissolved in it through the skin, dye included; freezes below 18 degC; never heat "
        "it to boiling.",
    ),
    Solvent(
        name="benzyl alcohol",
        cas="100-51-6",
        molar_mass=_mass(108.138),
        density=_library(1045.0, "kg/m^3", 0.004),
        specific_heat=_memory(2000.0, "J/(kg K)", 0.05),
        viscosity=_memory(6.3e-3, "Pa s", 0.12),
        thermal_conductivity=_memory(0.160, "W/(m K)", 0.06),
        expansion=_memory(0.75e-3, "1/K", 0.06),
        sound_speed=_memory(1540.0, "m/s", 0.02),
        refractive_index=_library(1.540, "-", 0.001, "589 nm, 20 degC"),
        index_temperature_coefficient=_dndt(-4.0e-4, 0.6e-4, "memory-l"),
        ultraviolet_cutoff=_nm(280.0, 15.0, "memory-l"),
        vapour_pressure=_vapour(0.013, 0.3, "memory-m"),
        oxygen_mole_fraction=_UNKNOWN_OXYGEN,
        carbon_dioxide_mole_fraction=None,
        boiling_point=_celsius(205.3, 1.5),
        melting_point=_celsius(-15.3, 2.0),
        flash_point=_celsius(96.0, 6.0, "memory-m", "usual tables", "closed cup"),
        flammable_low=_flammable(1.3, "memory-m"),
        flammable_high=_flammable(13.0, "memory-m"),
        autoignition=_celsius(436.0, 15.0, "memory-m", "usual tables"),
        exposure_limit=None,
        short_exposure_limit=None,
        hazards="Irritates skin and eyes; attacks many plastics; combustible.",
    ),
    Solvent(
        name="propylene carbonate",
        cas="108-32-7",
        molar_mass=_mass(102.089),
        density=_memory(1205.0, "kg/m^3", 0.004),
        specific_heat=_memory(1640.0, "J/(kg K)", 0.05),
        viscosity=_memory(2.76e-3, "Pa s", 0.08),
        thermal_conductivity=_library(0.207, "W/(m K)", 0.10),
        expansion=_memory(0.95e-3, "1/K", 0.08),
        sound_speed=_memory(1450.0, "m/s", 0.025, "memory-l"),
        refractive_index=Datum(
            1.4189, "-", 1.4179, 1.4225, "library", _LIBRARY + "; other tables 1.4215", "589 nm, 20 degC"
        ),
        index_temperature_coefficient=_dndt(-3.8e-4, 0.6e-4, "memory-l"),
        ultraviolet_cutoff=_nm(235.0, 10.0, "memory-l"),
        vapour_pressure=_vapour(0.006, 0.5, "memory-l"),
        oxygen_mole_fraction=_UNKNOWN_OXYGEN,
        carbon_dioxide_mole_fraction=None,
        boiling_point=_celsius(242.0, 2.0, "memory-m", "usual tables"),
        melting_point=_celsius(-49.0, 2.0, "memory-m", "usual tables"),
        flash_point=_celsius(132.0, 6.0, "memory-m", "usual tables", "closed cup"),
        flammable_low=None,
        flammable_high=None,
        autoignition=_celsius(455.0, 20.0, "memory-l", "usual tables"),
        exposure_limit=None,
        short_exposure_limit=None,
        hazards="Irritates the eyes; combustible.",
    ),
)

SOLVENTS: dict[str, Solvent] = {row.name: row for row in _ROWS}
