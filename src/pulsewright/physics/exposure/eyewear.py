"""Eyewear by EN 207: test letter and scale number."""

from __future__ import annotations

import math

from pulsewright.physics._choice import one_of
from pulsewright.physics._domain import not_negative, positive, within

#: Within this factor of the border between two letters both are asked for; a choice of this package.
BORDER_FACTOR = 2.0


def eyewear_letters(duration: float) -> tuple[str, ...]:
    """Test letters that eyewear must carry for a pulse length.

    Parameters
    ----------
    duration : float
        Pulse length. [s]

    Returns
    -------
    letters : tuple of str
        D (longer than 0.25 s), I (1 us to 0.25 s), R (1 ns to 1 us), M (below 1 ns); two on a border. [-]

    Raises
    ------
    DomainError
        If duration is not positive.

    Notes
    -----
    Valid: single pulses. A train needs a D rating for its mean power too. Not covered: ISO 19818, which succeeds it.
    Equation: borders at 1 ns, 1 us and 0.25 s; within a factor of 2 of a border both letters (a choice of this
    package). Source: EN 207; DGUV Information 203-042 table 2.

    Examples
    --------
    >>> eyewear_letters(1e-6), eyewear_letters(7e-6)
    (('I', 'R'), ('I',))
    """
    t = float(positive("duration", duration, "s"))
    borders = (0.25, 1e-6, 1e-9)
    letters = "DIRM"
    index = sum(t <= border for border in borders)
    near = [i for i, border in enumerate(borders) if border / BORDER_FACTOR <= t <= border * BORDER_FACTOR]
    wanted = {index, *near, *(i + 1 for i in near)}
    return tuple(letters[i] for i in sorted(wanted))


def eyewear_scale_number(letter: str, exposure: float, pulses: float = 1.0) -> int:
    """Least EN 207 scale number that withstands and attenuates an exposure, 315 to 1400 nm.

    Parameters
    ----------
    letter : {'D', 'I', 'R', 'M'}
        Test letter.
    exposure : float
        Irradiance in W/m^2 for D, radiant exposure for I, R and M. [J/m^2]
    pulses : float
        Pulses that fall on the eyewear, in 5 to 10 s. [-]

    Returns
    -------
    number : int
        Scale number n of LBn; above 10 there is no eyewear. [-]

    Raises
    ------
    DomainError
        If the letter is not known, exposure negative, or pulses below 1.

    Notes
    -----
    Valid: 315 to 1400 nm, beams of 1 to 15 mm. Not covered: other wavelengths, the extra factor for mean powers above
    10 W.
    Equation: D: E <= 10^(n+1) W/m^2; I, R: H <= 5 * 10^(n-3) J/m^2; M: H <= 1.5 * 10^(n-4) J/m^2, with H multiplied
    by N^(1/4). Source: DGUV Information 203-042 table 2; exercise of optique-ingenieur.org for N^(1/4).

    Examples
    --------
    >>> eyewear_scale_number("R", 2.6e4), eyewear_scale_number("M", 842.0, pulses=100)
    (7, 8)
    """
    scale = {"D": 10.0, "I": 5e-3, "R": 5e-3, "M": 1.5e-4}
    one_of("letter", letter, scale)
    count = 1.0 if letter == "D" else float(within("pulses", pulses, 1.0, math.inf, "-")) ** 0.25
    stress = float(not_negative("exposure", exposure, "J/m^2")) * count
    if stress <= scale[letter]:
        return 0
    # An exposure that equals a step belongs to it, whatever the last bit of the logarithm.
    return math.ceil(math.log10(stress / scale[letter]) - 1e-9)
