"""The workbench: opens a bench folder and answers the verbs; the only writer of build files."""

from __future__ import annotations

from pulsewright.machine import BENCHES
from pulsewright.workbench.bench import BUILD_FILE, Bench, open_bench
from pulsewright.workbench.folders import new_bench
from pulsewright.workbench.sheets import safety_sheet

__all__ = ["BENCHES", "BUILD_FILE", "Bench", "new_bench", "open_bench", "safety_sheet"]
