"""Arya, Thomas, Bhujle and Bhawalkar, IEEE J. Quantum Electron. 36, 872 (2000), abstract [source]: more simmer current
(30 mA to 6 A) widens the arc and lowers the impedance factor. A trend: no figure is given.
"""

from __future__ import annotations

from pulsewright.physics.lamp.square_law import impedance_parameter, narrow_arc_impedance_parameter


def test_wider_arc_has_the_lower_impedance_parameter() -> None:
    full = impedance_parameter(0.1, 6e-3, 6e4)
    by_width = [float(narrow_arc_impedance_parameter(full, 6e-3, width)) for width in (2e-3, 4e-3, 6e-3)]
    assert by_width == sorted(by_width, reverse=True)
    assert by_width[-1] == float(full)
