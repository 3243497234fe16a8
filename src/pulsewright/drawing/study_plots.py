"""Plots of the studies: charge, hold and dump."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from pulsewright.drawing.curves import display
from pulsewright.drawing.plot import Axis, Plot, curve

#: Every plot of a study: id -> title.
STUDY_TITLES: Mapping[str, str] = {
    "charge_timeline": "Bank voltage through charge, hold and dump",
}


def charge_plots(found: Any) -> tuple[Plot, ...]:
    """Voltage of the bank against time, and what it is when only the bleeder drains it."""
    t_unit, t_scale = display("time", found.time)
    v_unit, v_scale = display("voltage", found.voltage)
    time = found.time / t_scale
    curves = [curve("voltage", "bank", time, found.voltage / v_scale)]
    if np.isfinite(found.bleeder_voltage).any():
        curves.append(curve("bleeder_voltage", "bleeder alone", time, found.bleeder_voltage / v_scale, style=1))
    axes = Axis("time", t_unit), Axis("bank voltage", v_unit)
    return (Plot("charge_timeline", STUDY_TITLES["charge_timeline"], *axes, tuple(curves)),)
