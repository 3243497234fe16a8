"""The workbench: opens a bench folder and answers the verbs; the only writer of build files.

Its names are loaded when first used: the formula shelf lives in this room too, and listing it needs no engine.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pulsewright.machine import BENCHES
    from pulsewright.workbench.bench import BUILD_FILE, Bench, open_bench
    from pulsewright.workbench.folders import new_bench
    from pulsewright.workbench.sheets import safety_sheet
    from pulsewright.workbench.sizing import size_bank, write_candidate, write_sized_dye

__all__ = [
    "BENCHES",
    "BUILD_FILE",
    "Bench",
    "new_bench",
    "open_bench",
    "safety_sheet",
    "size_bank",
    "write_candidate",
    "write_sized_dye",
]

_HOMES = {
    "BENCHES": "pulsewright.machine",
    "BUILD_FILE": "pulsewright.workbench.bench",
    "Bench": "pulsewright.workbench.bench",
    "new_bench": "pulsewright.workbench.folders",
    "open_bench": "pulsewright.workbench.bench",
    "safety_sheet": "pulsewright.workbench.sheets",
    "size_bank": "pulsewright.workbench.sizing",
    "write_candidate": "pulsewright.workbench.sizing",
    "write_sized_dye": "pulsewright.workbench.sizing",
}


def __getattr__(name: str) -> Any:
    """The name from the module that defines it."""
    if name in _HOMES:
        return getattr(importlib.import_module(_HOMES[name]), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
