"""Fractions of a mixture, checked."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pulsewright.errors import DomainError
from pulsewright.physics._domain import within

Float = NDArray[np.float64]


def fractions(argument: str, value: ArrayLike) -> Float:
    """Fractions along the last axis, which add up to one."""
    parts = within(argument, value, 0.0, 1.0, "-")
    if parts.ndim == 0 or bool(np.any(abs(parts.sum(axis=-1) - 1.0) > 1e-9)):
        raise DomainError(
            f"the parts of {argument} do not add up to 1",
            argument=argument,
            allowed="allowed: one fraction for each solvent, 1 in all",
            next_step="divide them by their sum",
        )
    return parts
