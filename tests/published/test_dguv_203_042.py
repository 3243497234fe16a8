"""DGUV Information 203-042: eyewear (table 2), alignment eyewear (section 2.2), simplified limits (table A6.1)."""

from __future__ import annotations

import pytest

from pulsewright.physics.exposure.corrections import EDITIONS
from pulsewright.physics.exposure.eyewear import eyewear_letters, eyewear_scale_number
from pulsewright.physics.exposure.permissible import eye_exposure_limit


@pytest.mark.parametrize(
    ("letter", "number", "largest"),
    [
        # D: 1e(n+1) W/m^2; I and R: 5e(n-3) J/m^2; M: 1.5e(n-4) J/m^2
        ("D", 1, 1e2),
        ("D", 6, 1e7),
        ("I", 5, 5e2),
        ("R", 7, 5e4),
        ("R", 10, 5e7),
        ("M", 8, 1.5e4),
    ],
)
def test_largest_exposure_of_a_scale_number(letter: str, number: int, largest: float) -> None:
    assert eyewear_scale_number(letter, largest) == number
    assert eyewear_scale_number(letter, largest * 1.001) == number + 1


@pytest.mark.parametrize(("duration", "letter"), [(1.0, "D"), (1e-3, "I"), (1e-8, "R"), (1e-12, "M")])
def test_letters_by_pulse_length(duration: float, letter: str) -> None:
    assert eyewear_letters(duration) == (letter,)


def test_border_between_i_and_r_asks_for_both() -> None:
    # "A 1 us dye pulse sits on the border": both letters.
    assert eyewear_letters(1e-6) == ("I", "R")


def test_longer_reaction_time_lowers_the_alignment_limit_to_sixty_per_cent() -> None:
    # 2 s instead of 0.25 s; printed: 60 % of class 2, 0.6 mW. The irradiance limit goes with t^(-1/4).
    ratio = (eye_exposure_limit(550e-9, 2.0) / 2.0) / (eye_exposure_limit(550e-9, 0.25) / 0.25)
    assert ratio == pytest.approx(0.60, abs=0.01)


@pytest.mark.parametrize("wavelength", [400e-9, 590e-9, 699e-9, 750e-9, 1064e-9, 1300e-9])
@pytest.mark.parametrize("duration", [1e-9, 1e-7, 1e-5, 4.9e-4])
def test_simplified_pulse_limit_never_exceeds_the_older_set(wavelength: float, duration: float) -> None:
    # table A6.1: 0.005 J/m^2 from 1 ns to 0.5 ms, 315 to 1400 nm, a simplification to the safe side. The rounded end
    # of the plateau (18 us, where 18 t^0.75 is 4.97e-3) leaves less than 1 %.
    assert eye_exposure_limit(wavelength, duration, edition=EDITIONS[1]) >= 0.005 * 0.99


def test_simplified_continuous_limit() -> None:
    # table A6.1: continuous light seen for 10 s: 10 W/m^2
    assert eye_exposure_limit(590e-9, 10.0) / 10.0 == pytest.approx(10.0, rel=0.02)
