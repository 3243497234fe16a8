"""Axis ticks by nice numbers. The page's drawing module follows the same rules, and a test compares them."""

from __future__ import annotations

import math

_SUPERSCRIPT = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")


def nice_step(span: float, count: int) -> float:
    """Smallest of 1, 2, 5 times a power of ten that gives at most `count` steps over `span`."""
    if not (span > 0.0 and math.isfinite(span)):
        return 1.0
    rough = span / max(count, 1)
    power = 10.0 ** math.floor(math.log10(rough))
    for factor in (1.0, 2.0, 5.0, 10.0):
        if factor * power >= rough * (1.0 - 1e-9):
            return factor * power
    return 10.0 * power


def padded(low: float, high: float, *, zero: bool) -> tuple[float, float]:
    """Widen a range by 4 % at each end; an end at zero stays there when `zero`. A range without width is given one."""
    if not (math.isfinite(low) and math.isfinite(high)):
        return 0.0, 1.0
    if high <= low:
        pad = abs(low) * 0.1 or 1.0
        return low - pad, high + pad
    pad = 0.04 * (high - low)
    return (low if zero and low == 0.0 else low - pad), (high if zero and high == 0.0 else high + pad)


def linear_ticks(low: float, high: float, count: int) -> list[tuple[float, str]]:
    """Ticks inside a range, with labels of as many decimals as the step needs."""
    step = nice_step(high - low, count)
    first = math.ceil(low / step - 1e-9)
    last = math.floor(high / step + 1e-9)
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    return [(i * step, tick_label(i * step, decimals)) for i in range(first, last + 1)]


def tick_label(value: float, decimals: int) -> str:
    """A tick's text; very large or small values as powers of ten."""
    if value != 0.0 and (abs(value) >= 1e5 or decimals > 4):
        exponent = math.floor(math.log10(abs(value)) + 1e-12)
        mantissa = value / 10.0**exponent
        head = f"{mantissa:.2f}".rstrip("0").rstrip(".")
        return f"{head}·10{str(exponent).translate(_SUPERSCRIPT)}" if head != "1" else power_label(exponent)
    return f"{0.0 if value == 0.0 else value:.{decimals}f}"


def power_label(exponent: int) -> str:
    """A power of ten as text."""
    return f"10{str(exponent).translate(_SUPERSCRIPT)}"


def log_range(low: float, high: float) -> tuple[float, float]:
    """A range of positive values with a little room; at least half a decade, at most nine decades below the top."""
    if not (high > 0.0 and math.isfinite(high)):
        return 0.1, 1.0
    if not low > 0.0:
        low = high * 1e-4
    low = max(low, high * 1e-9)
    if high < 3.2 * low:
        middle = math.sqrt(low * high)
        low, high = middle / 1.8, middle * 1.8
    return low / 1.15, high * 1.15


def log_ticks(low: float, high: float, count: int) -> list[tuple[float, str]]:
    """One tick a decade, thinned to at most `count`; 2 and 5 as well where few decades show for the room."""
    bottom, top = math.floor(math.log10(low)), math.ceil(math.log10(high))
    few = math.log10(high / low) <= (2.5 if count >= 4 else 1.5)
    stride = max(1, math.ceil((top - bottom - 1) / max(count, 1)))
    out: list[tuple[float, str]] = []
    for exponent in range(bottom, top + 1, stride):
        for factor in (1.0, 2.0, 5.0) if few else (1.0,):
            value = factor * 10.0**exponent
            if low * (1.0 - 1e-9) <= value <= high * (1.0 + 1e-9):
                out.append((value, _log_label(factor, exponent)))
    return out


def _log_label(factor: float, exponent: int) -> str:
    if -3 <= exponent <= 4:
        return f"{factor * 10.0**exponent:.{max(0, -exponent)}f}"
    return power_label(exponent) if factor == 1.0 else f"{factor:.0f}·{power_label(exponent)}"
