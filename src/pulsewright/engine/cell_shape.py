"""Area, volume and zones of the dye in its cell: a round bore or a slab."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from pulsewright.machine.parts import Cell

Float = NDArray[np.float64]


def is_slab(cell: Cell) -> bool:
    """Whether the dye is a slab."""
    return cell.shape == "slab"


def width(cell: Cell) -> float:
    """Width of the dye across its thickness; of a round bore its diameter, in m."""
    return (cell.width or cell.bore) if is_slab(cell) else cell.bore


def cell_area(cell: Cell) -> float:
    """Cross-section of the dye, in m^2."""
    return cell.bore * width(cell) if is_slab(cell) else math.pi * cell.bore**2 / 4


def cell_volume(cell: Cell) -> float:
    """Volume of the dye that the lamps light, in m^3."""
    return cell_area(cell) * cell.pumped_length


def lit_area(cell: Cell) -> float:
    """Surface through which pump light enters: the side of a tube, both faces of a slab, in m^2."""
    around = 2 * width(cell) if is_slab(cell) else math.pi * cell.bore
    return around * cell.pumped_length


def half_width(cell: Cell) -> float:
    """Least distance from the axis to the wall, in m."""
    return min(cell.bore, width(cell)) / 2


def zone_edges(cell: Cell, zones: int) -> Float:
    """Outer radii of shells of equal area; of a slab the far sides of equal layers, from the first face, in m."""
    part = np.arange(1, zones + 1) / zones
    return np.asarray(cell.bore * part if is_slab(cell) else cell.bore / 2 * np.sqrt(part))
