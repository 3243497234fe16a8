from __future__ import annotations

import colorsys
import itertools

import pytest

from pulsewright.drawing.colour import beam_colour


def hue(wavelength: float) -> float:
    text = beam_colour(wavelength)
    assert text is not None
    r, g, b = (int(text[i : i + 2], 16) / 255 for i in (1, 3, 5))
    return colorsys.rgb_to_hsv(r, g, b)[0] * 360


def test_hue_falls_from_violet_to_red() -> None:
    hues = [hue(nm * 1e-9) for nm in range(440, 651, 5)]
    assert all(b <= a + 1e-9 for a, b in itertools.pairwise(hues))
    assert hues[0] > 240
    assert hues[-1] == 0


@pytest.mark.parametrize(
    ("nanometres", "low", "high"), [(470, 200, 245), (530, 90, 150), (578, 40, 62), (592, 20, 40), (640, 0, 8)]
)
def test_names_of_hues(nanometres: int, low: float, high: float) -> None:
    assert low <= hue(nanometres * 1e-9) <= high


@pytest.mark.parametrize("wavelength", [None, 200e-9, 379e-9, 781e-9, 1064e-9])
def test_nothing_to_see(wavelength: float | None) -> None:
    assert beam_colour(wavelength) is None
