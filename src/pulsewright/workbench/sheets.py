"""Printed sheets made from a bench."""

from __future__ import annotations

from pulsewright import report
from pulsewright.errors import BuildError, NotModelledError, worst_first
from pulsewright.records import Shot
from pulsewright.workbench.bench import Bench


def safety_sheet(bench: Bench) -> str:
    """The printable safety sheet of a bench, as HTML, with figures from a computed shot where one can be computed.

    Raises
    ------
    BuildError
        If the build file is faulty.
    """
    if bench.build is None:
        raise BuildError(*worst_first(bench.findings))
    shot: Shot | None
    try:
        shot = bench.shot()
    except NotModelledError:
        shot = None
    return report.safety_sheet(bench.build, shot)
