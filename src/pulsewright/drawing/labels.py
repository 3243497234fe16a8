"""Labels at the ends of lines, moved apart so that none covers another."""

from __future__ import annotations

from collections.abc import Sequence


def spread(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float | None]:
    """Positions at least `gap` apart, inside `low` to `high`, as near the wanted ones as the order allows.

    Where not all fit, the later ones in the sequence get None: put what matters first.
    """
    room = int((high - low) / gap + 1e-9) + 1 if high >= low else 0
    kept = sorted(range(min(len(wanted), room)), key=lambda i: (wanted[i], i))
    places = [min(max(wanted[i], low), high) for i in kept]
    for n in range(1, len(places)):
        places[n] = max(places[n], places[n - 1] + gap)
    ceiling = high
    for n in reversed(range(len(places))):
        places[n] = min(places[n], ceiling)
        ceiling = places[n] - gap
    out: list[float | None] = [None] * len(wanted)
    for place, i in zip(places, kept, strict=True):
        out[i] = place
    return out


def text_width(words: str, size: float = 12.0) -> float:
    """Rough width of a text in a sans-serif type, on the generous side. Common practice, no source."""
    narrow = sum(1 for c in words if c in " .,:;il|'()[]·⁻¹")
    return (len(words) - 0.5 * narrow) * size * 0.58


def fit(words: str, width: float, size: float = 12.0) -> str:
    """The words, cut where they would be wider than `width` px; a cut is shown by dots."""
    if text_width(words, size) <= width:
        return words
    while words and text_width(words + "...", size) > width:
        words = words[:-1]
    return words.rstrip(" ,") + "..."
