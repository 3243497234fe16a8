"""pulsewright: one flashlamp-pumped dye laser in one file, one shot computed from end to end.

    import pulsewright as pw
    shot = pw.open("my-bench").shot(charge_voltage=9.0e3)
    shot.summary["output_energy"].value

Importing this package imports nothing heavy; `open` and `new_bench` load the rest when first used.
It computes and advises. It never charges, fires or interlocks anything.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pulsewright.workbench import Bench

__version__ = "0.1.0"

__all__ = ["__version__", "new_bench", "open"]


def open(path: str | Path) -> Bench:  # noqa: A001  the verb of the trade: one opens a bench folder
    """Open a bench folder, or the build file in it.

    A faulty build file opens too: its faults are the bench's `findings`.

    Parameters
    ----------
    path : str or Path
        The folder that holds `laser.toml`, or that file.

    Returns
    -------
    bench : Bench
    """
    from pulsewright.workbench import open_bench  # noqa: PLC0415  heavy, so only when used

    return open_bench(path)


def new_bench(directory: str | Path, source: str = "tidewater") -> Path:
    """Make a bench folder from one of the example benches.

    Parameters
    ----------
    directory : str or Path
        The folder to make; it must not exist.
    source : str
        Name of the example bench.

    Returns
    -------
    path : Path
        The folder made.

    Raises
    ------
    BuildError
        If the folder exists, or there is no such example bench.
    """
    from pulsewright.workbench import new_bench as make  # noqa: PLC0415  heavy, so only when used

    return make(directory, source)
