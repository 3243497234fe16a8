"""The shapes of the reference rows. Everything is SI; each value carries range, confidence and source.

A `Datum` is one value. `low` and `high` are the ends of its 90 % interval; both are None only
where nothing is known about the spread. `tag` says how well the value is supported:

- `source`: confirmed against the named source or its abstract;
- `secondary`: confirmed only in a copy or quotation of it;
- `library`: from a property library;
- `computed`: computed from stated inputs;
- `memory-h`, `memory-m`, `memory-l`: from memory, not confirmed, confidence high, medium, low;
- `assumed`: a bracket taken over from a similar substance because nothing is known.

A field that is None is not known.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields
from typing import Any

#: Confidence, best first.
TAGS: tuple[str, ...] = (
    "source",
    "secondary",
    "library",
    "computed",
    "memory-h",
    "memory-m",
    "memory-l",
    "assumed",
)


@dataclass(frozen=True, slots=True)
class Datum:
    """One value with SI unit, 90 % interval, confidence, source and validity; `float(datum)` is the value."""

    value: float
    unit: str
    low: float | None
    high: float | None
    tag: str
    source: str
    valid: str = ""

    def __float__(self) -> float:
        return self.value

    @property
    def spread(self) -> float:
        """Half-width of the 90 % interval; 0 where no interval is known."""
        return 0.0 if self.low is None or self.high is None else 0.5 * (self.high - self.low)


@dataclass(frozen=True, slots=True)
class Curve:
    """A curve against vacuum wavelength in m.

    `values` in `unit`, one for each of `wavelength`, which increases. `edge` is the curve's
    steepest feature with its range: shift the curve by `edge - edge.value` to carry the range.
    """

    wavelength: tuple[float, ...]
    values: tuple[float, ...]
    unit: str
    edge: Datum | None
    tag: str
    source: str
    valid: str = ""


@dataclass(frozen=True, slots=True)
class Gas:
    """A lamp filling. Energies in J, masses in kg.

    `levels[z]` are (statistical weight, energy above the ground level of that ion) for charge z
    from 0 to 3; a close manifold is one entry at its weighted mean. For a gas of molecules all this is of its atoms,
    `molecule` names the row of the molecule it is filled as, `thermal_conductivity` and its exponent are of the gas.
    `lines`: strong lines of the atom that can be added to its continuum.
    """

    name: str
    symbol: str
    atomic_mass: Datum
    ionisation_energies: tuple[Datum, ...]
    levels: tuple[tuple[tuple[float, float], ...], ...]
    levels_source: str
    momentum_transfer_cross_section: Datum
    biberman_factor: Datum
    continuum_edge_energy: Datum
    square_root_law_pressure: Datum | None
    thermal_conductivity: Datum
    conductivity_exponent: Datum
    molecule: str = ""
    lines: tuple[Line, ...] = ()
    line_strength: Datum | None = None
    line_broadening: Datum | None = None
    notes: str = ""

    @property
    def parts(self) -> tuple[tuple[str, float], ...]:
        """Names of gases and their mole fractions: itself."""
        return ((self.name, 1.0),)


@dataclass(frozen=True, slots=True)
class GasBlend:
    """A lamp filling mixed of other rows; `fractions` are mole fractions of the cold gas, in the order of `gases`."""

    name: str
    gases: tuple[str, ...]
    fractions: tuple[Datum, ...]
    notes: str = ""

    @property
    def parts(self) -> tuple[tuple[str, float], ...]:
        """Names of gases and their mole fractions, which add up to 1."""
        total = sum(float(part) for part in self.fractions)
        return tuple((gas, float(part) / total) for gas, part in zip(self.gases, self.fractions, strict=True))


@dataclass(frozen=True, slots=True)
class Line:
    """A spectral line of an atom: vacuum wavelength [m], absorption oscillator strength, lower level.

    `lower`: (statistical weight, energy above the ground level [J]); `stark_width`: full width at half maximum [m] at
    1e23 electrons per m3 and 10 000 K, taken as growing with the electron density.
    """

    wavelength: float
    oscillator_strength: float
    lower: tuple[float, float]
    stark_width: float


@dataclass(frozen=True, slots=True)
class Molecule:
    """A molecule of two atoms, in its ground and low electronic states. Energies in J.

    `atoms`: names of the gas or vapour rows of its atoms. `levels`: (statistical weight, energy).
    """

    name: str
    atoms: tuple[str, str]
    dissociation_energy: Datum
    rotational_constant: Datum
    vibrational_energy: Datum
    levels: tuple[tuple[float, float], ...]
    levels_source: str
    momentum_transfer_cross_section: Datum
    notes: str = ""


@dataclass(frozen=True, slots=True)
class Glass:
    """An envelope, cell or window glass. `absorption_coefficient` is napierian, in 1/m.

    `opaque_below`: wavelength below which light is taken up within a micrometre of the surface. `vaporisation_energy`
    per mass from the solid to `vapour`, atoms by name with their number per formula unit, bound as `vapour_molecules`
    (number per formula unit).
    """

    name: str
    words: str
    absorption_coefficient: Curve
    refractive_index: Datum
    density: Datum
    sound_speed: Datum
    fluoresces: bool
    opaque_below: Datum
    thermal_conductivity: Datum
    heat_capacity: Datum
    vaporising_temperature: Datum
    vaporisation_energy: Datum
    vapour: tuple[tuple[str, float], ...]
    vapour_molecules: tuple[tuple[str, float], ...]
    notes: str = ""


@dataclass(frozen=True, slots=True)
class Coolant:
    """What flows between lamp and chamber. None for `absorption_coefficient` means that nothing absorbs there."""

    name: str
    words: str
    absorption_coefficient: Curve | None
    refractive_index: Datum
    notes: str = ""


@dataclass(frozen=True, slots=True)
class Filter:
    """A filter jacket between lamp and dye; `transmission` of the whole part, None where there is no filter."""

    name: str
    words: str
    transmission: Curve | None
    notes: str = ""


@dataclass(frozen=True, slots=True)
class Wall:
    """A surface of the pump chamber; `reflectivity` is relative to that at 550 nm, None where it is taken as grey."""

    name: str
    words: str
    reflectivity: Curve | None
    notes: str = ""


@dataclass(frozen=True, slots=True)
class GaussianSum:
    """A normalised spectrum, sum of Gaussians in wavenumber.

    `components`: (amplitude, centre wavelength [m], standard deviation in wavenumber [1/m]).
    `shift` is added to every wavelength of the curve (solvent shift). [m]
    `known_from`, `known_to`: wavelengths between which data stand behind the sum. [m]
    """

    components: tuple[tuple[float, float, float], ...]
    shift: Datum
    known_from: float
    known_to: float
    rms: float
    solvent: str
    tag: str
    source: str


@dataclass(frozen=True, slots=True)
class MeasuredSpectrum:
    """A measured spectrum: `values` relative to the peak at each of `wavelength` [m], which increases.

    `shift` is added to every wavelength of the curve (solvent shift). [m]
    `known_from`, `known_to`: wavelengths between which it was measured. [m]
    """

    wavelength: tuple[float, ...]
    values: tuple[float, ...]
    shift: Datum
    known_from: float
    known_to: float
    solvent: str
    tag: str
    source: str


@dataclass(frozen=True, slots=True)
class Composition:
    """A property of a mixture of two solvents against the mass fraction of the first named; `spread` is relative."""

    mass_fraction: tuple[float, ...]
    values: tuple[float, ...]
    unit: str
    spread: float
    tag: str
    source: str
    valid: str = ""


@dataclass(frozen=True, slots=True)
class Dye:
    """A laser dye. Absorptivities decadic molar in m2/mol, rates in 1/s, quenching rates in m3/(mol s).

    `emission` None: not known, and a shot is refused. `second_quantum_yield` is another determination, kept beside
    the one in use. `excited_state_points`: measured cross-sections of S1 at single wavelengths [m], none of them inside
    the laser range. `dimer_constant` [m3/mol] is of the pair in plain water, `dimer_shift` [m] that of its absorption
    against the single molecule. `solubility`: [mol/m3] by name of the solvent.
    """

    name: str
    other_names: tuple[str, ...]
    cas: str
    molar_mass: Datum
    peak_molar_absorptivity: Datum
    absorption: GaussianSum | MeasuredSpectrum
    unknown_absorption_bound: Datum
    emission: GaussianSum | MeasuredSpectrum | None
    tail: Curve | None
    quantum_yield: Datum
    lifetime: Datum
    trapped_lifetime: Datum | None
    excited_state_absorption: Datum
    triplet_absorption: Datum
    intersystem_crossing_rate: Datum
    triplet_lifetime: Datum
    oxygen_triplet_quenching: Datum
    oxygen_singlet_quenching: Datum
    oxygen_triplet_yield: Datum
    bleaching_probability: Datum | None
    laser_range: Datum | None
    concentration: Datum | None
    notes: str = ""
    second_quantum_yield: Datum | None = None
    excited_state_points: tuple[tuple[float, Datum], ...] = ()
    dimer_constant: Datum | None = None
    dimer_yield: Datum | None = None
    dimer_shift: Datum | None = None
    solubility: tuple[tuple[str, Datum], ...] = ()
    hazards: str = ""


@dataclass(frozen=True, slots=True)
class Solvent:
    """A dye solvent at 20 degC and 101.325 kPa unless a value says otherwise. Fractions are mole fractions.

    None is not known; a shot that needs the value is refused by name.
    """

    name: str
    cas: str
    molar_mass: Datum
    density: Datum
    specific_heat: Datum | None
    viscosity: Datum | None
    thermal_conductivity: Datum | None
    expansion: Datum | None
    sound_speed: Datum | None
    refractive_index: Datum
    index_temperature_coefficient: Datum | None
    ultraviolet_cutoff: Datum | None
    vapour_pressure: Datum | None
    oxygen_mole_fraction: Datum | None
    carbon_dioxide_mole_fraction: Datum | None
    boiling_point: Datum
    melting_point: Datum
    flash_point: Datum | None
    flammable_low: Datum | None
    flammable_high: Datum | None
    autoignition: Datum | None
    exposure_limit: Datum | None
    short_exposure_limit: Datum | None
    hazards: str


@dataclass(frozen=True, slots=True)
class Mixture:
    """Two solvents mixed at 20 degC: what is tabulated, against the mass fraction of the first of `parts`.

    `van_laar`: the two constants of activity, first part first. None is not known: the mixing rule stands alone.
    """

    name: str
    parts: tuple[str, str]
    density: Composition | None
    viscosity: Composition | None
    refractive_index: Composition | None
    specific_heat: Composition | None
    sound_speed: Composition | None
    van_laar: tuple[Datum, Datum] | None
    notes: str = ""


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule of the trade that is one number, with its range."""

    name: str
    value: Datum
    notes: str = ""


@dataclass(frozen=True, slots=True)
class Coating:
    """An optical surface. `damage_fluence` was tested at `damage_wavelength` and `damage_duration`.

    `design_fluence` is the derated figure for 590 nm and 1 us. Thresholds scale with duration and
    wavelength to the power of the exponents; take the end of the range that gives the lower threshold.
    """

    name: str
    words: str
    damage_fluence: Datum
    damage_wavelength: float
    damage_duration: float
    design_fluence: Datum
    duration_exponent: Datum
    wavelength_exponent: Datum
    notes: str = ""


@dataclass(frozen=True, slots=True)
class Atmosphere:
    """The gas over the dye; `oxygen_fraction` is the mole fraction in the dry gas."""

    name: str
    oxygen_fraction: Datum
    hazards: str


@dataclass(frozen=True, slots=True)
class Quencher:
    """A triplet quencher. `triplet_quenching_rate` None means not known. Rates in m3/(mol s)."""

    name: str
    other_names: tuple[str, ...]
    cas: str
    molar_mass: Datum | None
    triplet_quenching_rate: Datum | None
    hazards: str
    notes: str = ""


@dataclass(frozen=True, slots=True)
class Surfactant:
    """A surfactant; above `micelle_concentration` [mol/m^3] it keeps dye molecules apart. None where not known.

    `micelle_size`: molecules in one micelle.
    """

    name: str
    other_names: tuple[str, ...]
    cas: str
    micelle_concentration: Datum | None
    hazards: str
    notes: str = ""
    molar_mass: Datum | None = None
    micelle_size: Datum | None = None


@dataclass(frozen=True, slots=True)
class Townsend:
    """Breakdown of a gas in a uniform gap: constants A and B of Townsend, electrons freed at the cathode per ion."""

    name: str
    ionisation_constant: Datum
    field_constant: Datum
    secondary_emission: Datum
    notes: str = ""


@dataclass(frozen=True, slots=True)
class Metal:
    """A metal for leads."""

    name: str
    resistivity: Datum
    relative_permeability: Datum
    notes: str = ""


Row = (
    Gas
    | GasBlend
    | Molecule
    | Townsend
    | Glass
    | Coolant
    | Filter
    | Wall
    | Dye
    | Solvent
    | Mixture
    | Rule
    | Coating
    | Atmosphere
    | Quencher
    | Surfactant
    | Metal
)


def about(value: float, unit: str, part: float, tag: str, source: str, valid: str = "") -> Datum:
    """A datum whose 90 % half-width is `part` of its value."""
    half = abs(value) * part
    return Datum(value, unit, value - half, value + half, tag, source, valid)


Sourced = Datum | Curve | GaussianSum | MeasuredSpectrum | Composition


def data_of(row: Any, prefix: str = "") -> Iterator[tuple[str, Sourced]]:
    """Every sourced value of a row with its field name, nested ones with a dot.

    Of a pair (label, value) the label stands in the name; a label that is a wavelength is told in nm.
    """
    for field in fields(row):
        value = getattr(row, field.name)
        members = enumerate(value) if isinstance(value, tuple) else ((None, value),)
        for index, found in members:
            labelled = isinstance(found, tuple) and len(found) == 2 and isinstance(found[1], Datum)
            member = found[1] if labelled else found
            label = _label(found[0]) if labelled else "" if index is None else f".{index}"
            name = prefix + field.name + label
            if isinstance(member, Sourced):
                yield name, member
            if isinstance(member, (Curve, GaussianSum, MeasuredSpectrum)):
                yield from data_of(member, name + ".")


def _label(key: Any) -> str:
    return f" at {1e9 * key:.0f} nm" if isinstance(key, float) else f" in {key}"
