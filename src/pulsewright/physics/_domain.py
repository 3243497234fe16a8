"""Argument checks and the scalar-or-array convention shared by the physics functions."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pulsewright.errors import DomainError

#: What a formula takes and gives: one number or an array; shapes broadcast.
Number: TypeAlias = float | NDArray[np.float64]
#: What a comparison gives.
Flags: TypeAlias = bool | np.bool_ | NDArray[np.bool_]


def as_float(value: ArrayLike) -> NDArray[np.float64]:
    """The value as a float64 array; a scalar becomes an array without axes."""
    return np.asarray(value, dtype=np.float64)


def plain(value: NDArray[np.float64] | np.float64) -> Number:
    """A Python float for a result without axes, the array otherwise."""
    return float(value) if np.ndim(value) == 0 else np.asarray(value)


def _worst(value: NDArray[np.float64], wrong: Flags) -> float:
    return float(np.atleast_1d(value)[np.atleast_1d(wrong)][0])


def refuse(argument: str, value: NDArray[np.float64], wrong: Flags, allowed: str, unit: str) -> None:
    """Raise DomainError where `wrong`, naming the first such value."""
    if bool(wrong) if isinstance(wrong, bool | np.bool_) else wrong.any():
        shown = f"{_worst(value, np.asarray(wrong)):g} {unit}".rstrip(" -")
        raise DomainError(
            f"{shown} is outside the range of this formula",
            argument=argument,
            allowed=f"Allowed: {allowed}",
            next_step="Give a value in that range",
        )


def positive(argument: str, value: ArrayLike, unit: str) -> NDArray[np.float64]:
    """The value as an array, refused unless above zero (NaN is refused; infinity is not)."""
    array = as_float(value)
    enough: Flags = array > 0
    if enough is not np.True_:  # the common case, one number, is over here
        refuse(argument, array, np.logical_not(enough), "above 0", unit)
    return array


def not_negative(argument: str, value: ArrayLike, unit: str) -> NDArray[np.float64]:
    """The value as an array, refused when below zero or NaN."""
    array = as_float(value)
    refuse(argument, array, ~(array >= 0), "0 or above", unit)
    return array


def within(argument: str, value: ArrayLike, low: float, high: float, unit: str) -> NDArray[np.float64]:
    """The value as an array, refused outside [low, high] or when NaN."""
    array = as_float(value)
    refuse(argument, array, ~((array >= low) & (array <= high)), f"{low:g} to {high:g} {unit}".rstrip(" -"), unit)
    return array


def a_number(argument: str, value: ArrayLike, unit: str) -> NDArray[np.float64]:
    """The value as an array, refused when NaN."""
    array = as_float(value)
    refuse(argument, array, np.isnan(array), "a number", unit)
    return array


def increasing(argument: str, values: ArrayLike, unit: str) -> NDArray[np.float64]:
    """The values as an array, refused unless positive and each above the one before."""
    array = positive(argument, values, unit)
    if array.ndim != 1 or array.size < 2 or bool(np.any(np.diff(array) <= 0.0)):
        raise DomainError(
            f"{argument} does not increase",
            argument=argument,
            allowed="allowed: two or more increasing values",
            next_step="sort them",
        )
    return array
