"""Lamp fillings: the rare gases, nitrogen, oxygen, air."""

from __future__ import annotations

from pulsewright.refdata.rows import Datum, Gas, GasBlend, Line, about

_EV = 1.602176634e-19
_U = 1.66053906660e-27

_NIST = "NIST Atomic Spectra Database, ionisation energies; several public copies agree"
_LEVELS = (
    "standard tables of atomic energy levels, from memory: low terms to about 1e-3 eV (triply ionised to 0.1 eV), "
    "manifold means of the excited configurations to about 0.1 eV; higher levels are left out: "
    "the lowering of the ionisation energy cuts most of them"
)
_SIGMA_VALID = (
    "one number for a cross-section with a deep minimum (Ramsauer) between 0.3 and 1 eV and a broad maximum "
    "at 5 to 12 eV; it stands for the average over a hot electron distribution at about 1 to 1.5 eV, "
    "dominated by the fast electrons"
)
_BIBERMAN = Datum(
    1.5,
    "-",
    1.0,
    2.5,
    "memory-m",
    "usual range of the Biberman factor of heavy rare gases; 1.5 as in a first trial of this model",
    "300 to 1000 nm; the true factor depends on wavelength",
)


def _conductivity(value: float, tag: str = "memory-h") -> Datum:
    return about(value, "W/(m K)", 0.03, tag, "usual figure for the gas at 300 K")


def _exponent(value: float) -> Datum:
    return Datum(
        value, "-", 0.65, 0.8, "memory-m", "usual power law of the conductivity from 300 to 2000 K, carried on above"
    )


def _mass(value: float) -> Datum:
    return Datum(
        value * _U, "kg", (value - 0.006) * _U, (value + 0.006) * _U, "memory-h", "standard atomic weight (IUPAC)"
    )


def _ionisation(*rows: tuple[float, float, float]) -> tuple[Datum, ...]:
    return tuple(Datum(v * _EV, "J", low * _EV, high * _EV, "secondary", _NIST) for v, low, high in rows)


def _levels(*rows: tuple[float, float]) -> tuple[tuple[float, float], ...]:
    return tuple((g, e * _EV) for g, e in rows)


def _edge(value: float, low: float, high: float, words: str) -> Datum:
    return Datum(value * _EV, "J", low * _EV, high * _EV, "memory-m", words)


def _line(nanometres: float, strength: float, weight: float, energy: float) -> Line:
    return Line(nanometres * 1e-9, strength, (weight, energy * _EV), 0.2e-9)


#: 6s to 6p of xenon, vacuum wavelengths; oscillator strengths from transition probabilities as remembered.
_XENON_LINES = (
    _line(823.39, 0.29, 5, 8.315),
    _line(828.24, 0.126, 3, 8.437),
    _line(834.91, 0.73, 3, 9.570),
    _line(841.15, 0.020, 5, 8.315),
    _line(882.18, 0.49, 5, 8.315),
    _line(895.47, 0.20, 3, 8.437),
    _line(904.79, 0.123, 5, 8.315),
    _line(916.52, 0.35, 3, 8.437),
    _line(980.24, 0.18, 5, 8.315),
    _line(992.59, 0.44, 3, 8.437),
)

_ROWS = (
    Gas(
        name="xenon",
        symbol="Xe",
        atomic_mass=_mass(131.293),
        ionisation_energies=_ionisation(
            (12.12984, 12.1298, 12.1299), (20.975, 20.97, 21.21), (31.05, 31.0, 32.13), (42.20, 40.9, 46.7)
        ),
        levels=(
            # 5p6; 6s and 6s'; 6p and 6p'; 5d and 5d'; 7s; 7p
            _levels(
                (1, 0.0),
                (8, 8.361),
                (4, 9.539),
                (24, 9.734),
                (12, 11.056),
                (40, 10.068),
                (20, 11.40),
                (8, 10.574),
                (24, 10.95),
            ),
            # 5p5; 5s5p6; 5p4(3P) 6s and 5d; 5p4(3P) 6p
            _levels((4, 0.0), (2, 1.3064), (2, 11.267), (18, 12.2), (90, 12.9), (54, 14.3)),
            _levels((5, 0.0), (1, 1.0080), (3, 1.2143), (5, 2.1200), (1, 4.476), (9, 12.6)),
            _levels((4, 0.0), (4, 1.645), (6, 2.171), (2, 3.48), (4, 4.42)),
        ),
        levels_source=_LEVELS,
        thermal_conductivity=_conductivity(5.6e-3),
        conductivity_exponent=_exponent(0.75),
        momentum_transfer_cross_section=Datum(
            2.5e-19,
            "m^2",
            0.8e-19,
            3.0e-19,
            "memory-m",
            "near the maximum of the measured curve; figure of a first trial of this model",
            _SIGMA_VALID,
        ),
        biberman_factor=_BIBERMAN,
        continuum_edge_energy=_edge(2.55, 2.4, 3.8, "binding energy of the 6p manifold (low) to 6s (high)"),
        square_root_law_pressure=Datum(
            59995.1,
            "Pa",
            59995.1 * 0.93,
            59995.1 * 1.07,
            "secondary",
            "450 torr in K0 = 1.28 (l/d)(p/450 torr)^0.2; lamp-maker form, a hobby page quotes it",
            "400 to 10 000 A/cm2, 200 to 1000 torr",
        ),
        lines=_XENON_LINES,
        line_strength=Datum(
            1.0,
            "-",
            0.75,
            1.3,
            "memory-m",
            "factor on all oscillator strengths; they add up to 1.1 for each lower level, as 6s to 6p should",
        ),
        line_broadening=Datum(
            1.0,
            "-",
            0.4,
            2.5,
            "memory-l",
            "factor on the widths: 0.2 nm full width at half maximum at 1e23 electrons per m3, order of magnitude",
            "some 1e22 to 1e25 electrons per m3",
        ),
    ),
    Gas(
        name="krypton",
        symbol="Kr",
        atomic_mass=_mass(83.798),
        ionisation_energies=_ionisation(
            (13.99961, 13.9996, 13.9997), (24.35984, 24.35, 24.37), (35.838, 35.6, 36.96), (50.85, 50.5, 52.6)
        ),
        levels=(
            # 4p6; 5s and 5s'; 5p and 5p'; 4d and 4d'; 6s; 6p
            _levels(
                (1, 0.0),
                (8, 9.959),
                (4, 10.623),
                (24, 11.48),
                (12, 12.14),
                (40, 12.13),
                (20, 12.80),
                (8, 12.364),
                (24, 12.78),
            ),
            # 4p5; 4s4p6; 4p4(3P) 5s, 4d, 5p
            _levels((4, 0.0), (2, 0.6658), (2, 13.514), (18, 14.3), (90, 15.4), (54, 16.8)),
            _levels((5, 0.0), (3, 0.5639), (1, 0.6587), (5, 1.8157), (1, 4.1013)),
            _levels((4, 0.0), (4, 2.112), (6, 2.318), (2, 3.850), (4, 4.142)),
        ),
        levels_source=_LEVELS,
        thermal_conductivity=_conductivity(9.5e-3),
        conductivity_exponent=_exponent(0.73),
        momentum_transfer_cross_section=Datum(
            1.2e-19,
            "m^2",
            0.4e-19,
            1.8e-19,
            "memory-l",
            "measured curve as remembered: maximum about 1.7e-19 m2 near 10 eV",
            _SIGMA_VALID,
        ),
        biberman_factor=_BIBERMAN,
        continuum_edge_energy=_edge(2.70, 2.5, 4.1, "binding energy of the 5p manifold (low) to 5s (high)"),
        square_root_law_pressure=Datum(
            107324.6,
            "Pa",
            107324.6 * 0.9,
            107324.6 * 1.1,
            "secondary",
            "805 torr in K0 = 1.28 (l/d)(p/805 torr)^0.2; lamp-maker form, a hobby page quotes it",
            "400 to 10 000 A/cm2, 200 to 1000 torr",
        ),
    ),
    Gas(
        name="argon",
        symbol="Ar",
        atomic_mass=_mass(39.948),
        ionisation_energies=_ionisation(
            (15.75961, 15.7595, 15.7597), (27.62967, 27.62, 27.64), (40.735, 40.6, 40.95), (59.58, 59.4, 59.9)
        ),
        levels=(
            # 3p6; 4s; 4p; 3d; 5s; 5p
            _levels((1, 0.0), (12, 11.652), (36, 13.17), (60, 14.09), (12, 14.16), (36, 14.57)),
            # 3p5; 3s3p6; 3p4(3P) 3d, 4s, 4p
            _levels((4, 0.0), (2, 0.1775), (2, 13.480), (90, 17.6), (18, 16.9), (54, 19.5)),
            _levels((5, 0.0), (3, 0.1379), (1, 0.1947), (5, 1.7370), (1, 4.1244)),
            _levels((4, 0.0), (4, 2.615), (6, 2.631), (2, 4.322), (4, 4.343)),
        ),
        levels_source=_LEVELS,
        thermal_conductivity=_conductivity(17.7e-3),
        conductivity_exponent=_exponent(0.70),
        momentum_transfer_cross_section=Datum(
            6.0e-20,
            "m^2",
            1.5e-20,
            1.5e-19,
            "memory-l",
            "measured curve as remembered: 1.5e-20 m2 at 1 eV, maximum about 1.5e-19 m2 near 12 eV",
            _SIGMA_VALID,
        ),
        biberman_factor=_BIBERMAN,
        continuum_edge_energy=_edge(2.85, 2.6, 4.2, "binding energy of the 4p manifold (low) to 4s (high)"),
        square_root_law_pressure=None,
        notes="No pressure constant of the square-root law is known for argon: ask for a measured K0.",
    ),
)

_LIGHT_BIBERMAN = Datum(
    1.0,
    "-",
    0.6,
    2.0,
    "memory-l",
    "light atoms lie near the hydrogenic value; no curve at hand",
    "300 to 1000 nm; the true factor depends on wavelength",
)
_UNKNOWN_LAW = "No pressure constant of the square-root law is known: ask for a measured K0."

_LIGHT_ROWS = (
    Gas(
        name="helium",
        symbol="He",
        atomic_mass=_mass(4.0026),
        ionisation_energies=_ionisation((24.58739, 24.5873, 24.5875), (54.41777, 54.4177, 54.4178)),
        levels=(
            # 1s2; 2s; 2p; then the bare ion's n = 1 and 2
            _levels((1, 0.0), (3, 19.820), (1, 20.616), (9, 20.964), (3, 21.218)),
            _levels((2, 0.0), (8, 40.813)),
            _levels((1, 0.0)),
        ),
        levels_source=_LEVELS,
        momentum_transfer_cross_section=Datum(
            6.5e-20,
            "m^2",
            5.0e-20,
            7.0e-20,
            "memory-h",
            "measured curve as remembered: flat near 6.5e-20 m2 at 1 to 3 eV",
        ),
        biberman_factor=_LIGHT_BIBERMAN,
        continuum_edge_energy=_edge(3.6, 3.4, 4.8, "binding energy of the 2p triplet (low) to 2s (high)"),
        square_root_law_pressure=None,
        thermal_conductivity=_conductivity(0.156),
        conductivity_exponent=_exponent(0.69),
        notes=_UNKNOWN_LAW,
    ),
    Gas(
        name="neon",
        symbol="Ne",
        atomic_mass=_mass(20.1797),
        ionisation_energies=_ionisation(
            (21.56454, 21.5645, 21.5646), (40.96297, 40.962, 40.964), (63.423, 63.4, 63.5), (97.19, 97.0, 97.4)
        ),
        levels=(
            # 2p6; 3s; 3p; 4s; 3d
            _levels((1, 0.0), (12, 16.72), (36, 18.65), (12, 19.72), (60, 20.03)),
            _levels((4, 0.0), (2, 0.0968), (2, 26.910), (18, 27.4), (54, 31.0)),
            _levels((5, 0.0), (3, 0.0797), (1, 0.1141), (5, 3.204), (1, 6.912)),
            _levels((4, 0.0), (10, 5.10), (6, 7.74)),
        ),
        levels_source=_LEVELS,
        momentum_transfer_cross_section=Datum(
            2.0e-20, "m^2", 1.3e-20, 3.0e-20, "memory-m", "measured curve as remembered: 1.5e-20 m2 at 1 eV, rising"
        ),
        biberman_factor=_BIBERMAN,
        continuum_edge_energy=_edge(2.9, 2.7, 4.9, "binding energy of the 3p manifold (low) to 3s (high)"),
        square_root_law_pressure=None,
        thermal_conductivity=_conductivity(49.1e-3),
        conductivity_exponent=_exponent(0.66),
        notes=_UNKNOWN_LAW,
    ),
    Gas(
        name="nitrogen",
        symbol="N",
        atomic_mass=_mass(14.007),
        ionisation_energies=_ionisation(
            (14.53413, 14.534, 14.5343), (29.6013, 29.60, 29.602), (47.4453, 47.44, 47.45), (77.4735, 77.47, 77.48)
        ),
        levels=(
            # 2p3 4S, 2D, 2P; 3s 4P, 2P; 2s2p4 4P; 3p; 4s; 3d
            _levels(
                (4, 0.0),
                (10, 2.384),
                (6, 3.576),
                (12, 10.332),
                (6, 10.687),
                (12, 10.926),
                (54, 11.9),
                (18, 12.9),
                (90, 13.0),
            ),
            # 2p2 3P, 1D, 1S; 2s2p3 5S, 3D, 3P, 1D; 3s 3P and 1P
            _levels(
                (1, 0.0),
                (3, 0.0060),
                (5, 0.0162),
                (5, 1.8988),
                (1, 4.0527),
                (5, 5.80),
                (15, 11.436),
                (9, 13.541),
                (5, 17.877),
                (12, 18.47),
            ),
            _levels((2, 0.0), (4, 0.0216), (12, 7.098), (10, 12.53), (2, 16.24), (6, 18.09)),
            _levels((1, 0.0), (9, 8.33), (3, 16.20)),
        ),
        levels_source=_LEVELS,
        momentum_transfer_cross_section=Datum(
            1.2e-19, "m^2", 0.6e-19, 2.0e-19, "memory-l", "nitrogen atoms, order of magnitude as remembered"
        ),
        biberman_factor=_LIGHT_BIBERMAN,
        continuum_edge_energy=_edge(2.7, 2.4, 4.2, "binding energy of the 3p manifold (low) to 3s (high)"),
        square_root_law_pressure=None,
        thermal_conductivity=_conductivity(26.0e-3),
        conductivity_exponent=_exponent(0.75),
        molecule="N2",
        notes="Filled as molecules; levels, mass and cross-section are of the atoms. " + _UNKNOWN_LAW,
    ),
    Gas(
        name="oxygen",
        symbol="O",
        atomic_mass=_mass(15.999),
        ionisation_energies=_ionisation(
            (13.61805, 13.618, 13.6181), (35.1211, 35.117, 35.122), (54.9355, 54.93, 54.94), (77.4135, 77.41, 77.42)
        ),
        levels=(
            # 2p4 3P, 1D, 1S; 3s 5S, 3S; 3p 5P, 3P; 4s and 3d
            _levels(
                (5, 0.0),
                (3, 0.0196),
                (1, 0.0281),
                (5, 1.9674),
                (1, 4.1897),
                (5, 9.146),
                (3, 9.521),
                (15, 10.741),
                (9, 10.989),
                (48, 12.05),
            ),
            # 2p3 4S, 2D, 2P; 2s2p4 4P, 2D; 3s 4P
            _levels((4, 0.0), (10, 3.325), (6, 5.017), (12, 14.87), (10, 20.58), (12, 22.98)),
            _levels((1, 0.0), (3, 0.0140), (5, 0.0380), (5, 2.5136), (1, 5.354), (5, 7.478), (15, 14.88), (9, 17.65)),
            _levels((2, 0.0), (4, 0.0478), (12, 8.87), (10, 15.74)),
        ),
        levels_source=_LEVELS,
        momentum_transfer_cross_section=Datum(
            6.0e-20, "m^2", 4.0e-20, 9.0e-20, "memory-l", "oxygen atoms, order of magnitude as remembered"
        ),
        biberman_factor=_LIGHT_BIBERMAN,
        continuum_edge_energy=_edge(2.75, 2.5, 4.5, "binding energy of the 3p manifold (low) to 3s (high)"),
        square_root_law_pressure=None,
        thermal_conductivity=_conductivity(26.6e-3),
        conductivity_exponent=_exponent(0.75),
        molecule="O2",
        notes="Filled as molecules; levels, mass and cross-section are of the atoms. " + _UNKNOWN_LAW,
    ),
)

_AIR = GasBlend(
    "air",
    ("nitrogen", "oxygen", "argon"),
    (
        about(0.7808, "-", 0.001, "memory-h", "dry air"),
        about(0.2095, "-", 0.001, "memory-h", "dry air"),
        about(0.0093, "-", 0.01, "memory-h", "dry air"),
    ),
    "Dry; moisture, which a pumped lamp always has, is left out. Nitric oxide forms and is counted. " + _UNKNOWN_LAW,
)

GASES: dict[str, Gas | GasBlend] = {row.name: row for row in (*_ROWS, *_LIGHT_ROWS, _AIR)}
