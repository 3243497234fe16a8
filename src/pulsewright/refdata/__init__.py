"""Reference data: dyes, solvents, gases, glasses, coatings and limits; each row sourced, with its validity and range."""

from __future__ import annotations

#: Kind of row -> its names, in the spelling of the build file.
_NAMES: dict[str, tuple[str, ...]] = {
    "dye": (
        "rhodamine 6G",
        "rhodamine 110",
        "rhodamine B",
        "sulforhodamine B",
        "rhodamine 101",
        "sulforhodamine 101",
        "fluorescein",
        "DCM",
        "cresyl violet",
        "oxazine 1",
        "coumarin 1",
        "coumarin 6",
        "coumarin 30",
        "coumarin 102",
        "coumarin 151",
        "coumarin 153",
        "coumarin 314",
    ),
    "solvent": ("methanol", "ethanol", "water", "ethylene glycol", "acetone"),
    "gas": ("xenon", "krypton", "argon"),
    "glass": ("clear fused silica", "ultraviolet-blocking fused silica", "borosilicate glass"),
    "coating": (
        "dielectric high reflector",
        "dielectric partial reflector",
        "broadband antireflection",
        "single-line antireflection",
        "protected silver",
        "protected aluminium",
        "bare fused silica",
        "bare crown glass",
        "bare glass, wetted by dye",
        "thin-film polariser",
        "sheet polariser",
        "absorbing neutral glass",
        "cemented",
    ),
    "coolant": ("none", "water"),
    "filter": ("none", "ultraviolet absorbing glass"),
    "atmosphere": ("air", "oxygen", "argon", "nitrogen", "carbon dioxide"),
    "quencher": ("none", "cyclooctatetraene", "DABCO"),
}


def names() -> dict[str, tuple[str, ...]]:
    """Names of every row, by kind, in the spelling of the build file."""
    return dict(_NAMES)
