"""pupman.com mailing list, December 2018, message 00143 [secondary]: reversal 20 % to 85 %, life about one tenth."""

from __future__ import annotations

from pulsewright.physics.pulsed_power.capacitor_life import capacitor_life, quality_life_ratio, reversal_life_ratio


def test_about_one_tenth() -> None:
    assert 0.095 < reversal_life_ratio(0.85, 0.20) < 0.105


def test_quality_form_known_deviation() -> None:
    """Known deviation: the other form in circulation, Q^-1.6, gives 1/39, four times less; which is right is open."""
    assert 0.24 < quality_life_ratio(0.85, 0.20) / 0.1 < 0.27


def test_both_forms_are_shown() -> None:
    life = capacitor_life(1e5, 10e3, 10e3, 0.85, 0.20)
    assert 3.7 < life.by_reversal / life.by_quality < 4.0
