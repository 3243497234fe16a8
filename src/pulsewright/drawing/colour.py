"""The colour of a wavelength on a screen, approximated.

Source: colour matching functions by the multi-lobe fit of C. Wyman, P.-P. Sloan, P. Shirley,
"Simple analytic approximations to the CIE XYZ color matching functions", J. Computer Graphics
Techniques 2(2), 1 (2013), equation 4; screen primaries and transfer curve of IEC 61966-2-1.
No screen can show a spectral colour: negative primaries are set to zero, and the rest is scaled
so that the strongest is full. Below 420 nm and above 650 nm, where the hue hardly changes and the
fit is poor, the colour of those wavelengths stands. The result names a hue, no brightness.
"""

from __future__ import annotations

import math

#: Peak, centre [nm], slope below and above the centre [1/nm] of each lobe.
_LOBES: dict[str, tuple[tuple[float, float, float, float], ...]] = {
    "x": ((0.362, 442.0, 0.0624, 0.0374), (1.056, 599.8, 0.0264, 0.0323), (-0.065, 501.1, 0.0490, 0.0382)),
    "y": ((0.821, 568.8, 0.0213, 0.0247), (0.286, 530.9, 0.0613, 0.0322)),
    "z": ((1.217, 437.0, 0.0845, 0.0278), (0.681, 459.0, 0.0385, 0.0725)),
}
_TO_LINEAR_RGB = (
    (3.2406, -1.5372, -0.4986),
    (-0.9689, 1.8758, 0.0415),
    (0.0557, -0.2040, 1.0570),
)
VISIBLE = (380e-9, 780e-9)
_STEADY = (420e-9, 650e-9)


def matching_functions(wavelength: float) -> tuple[float, float, float]:
    """CIE 1931 colour matching functions of a wavelength [m], by the fit named above."""
    nm = wavelength * 1e9

    def lobe(peak: float, centre: float, below: float, above: float) -> float:
        return peak * math.exp(-0.5 * ((nm - centre) * (below if nm < centre else above)) ** 2)

    x, y, z = (sum(lobe(*row) for row in _LOBES[name]) for name in "xyz")
    return x, y, z


def beam_colour(wavelength: float | None) -> str | None:
    """Screen colour of a wavelength [m] as `#rrggbb`; None where the eye sees nothing, or there is no beam."""
    if wavelength is None or not VISIBLE[0] <= wavelength <= VISIBLE[1]:
        return None
    xyz = matching_functions(min(max(wavelength, _STEADY[0]), _STEADY[1]))
    linear = [max(0.0, sum(a * b for a, b in zip(row, xyz, strict=True))) for row in _TO_LINEAR_RGB]
    return "#" + "".join(f"{round(255 * _encoded(value / max(linear))):02x}" for value in linear)


def _encoded(value: float) -> float:
    """Transfer curve of IEC 61966-2-1."""
    return 12.92 * value if value <= 0.0031308 else 1.055 * value ** (1 / 2.4) - 0.055
