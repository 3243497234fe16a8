"""Exercise 4 of course OPI M01 C02, optique-ingenieur.org: eyewear for a mode-locked laser."""

from __future__ import annotations

from pulsewright.physics.exposure.eyewear import eyewear_letters, eyewear_scale_number

EXPOSURE = 8.42e2  # J/m^2, 800 nm


def test_femtosecond_train_needs_m_8_and_a_single_pulse_m_7() -> None:
    assert eyewear_letters(100e-15) == ("M",)
    assert eyewear_scale_number("M", EXPOSURE) == 7  # printed: L7, good to 1.5e3 J/m^2
    assert eyewear_scale_number("M", 1.5e3) == 7
    assert eyewear_scale_number("M", 1.51e3) == 8
    assert eyewear_scale_number("M", EXPOSURE, pulses=100) == 8  # printed: N^(1/4) H of some 3e3, M 800 L8
