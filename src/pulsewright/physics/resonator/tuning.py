"""What a tuning element lets through in one pass, and bins that follow it."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pulsewright.physics._domain import Number, plain, positive, refuse, within

Float = NDArray[np.float64]

#: Largest loss of a pass that is counted: light that a prism or grating sends past the mirror is gone, and so much
#: loss nothing overcomes. [-]
MOST_LOSS = 20.0
#: Bins across an order of a periodic element, and its orders that are followed at most.
ORDER_BINS, MOST_ORDERS = 15, 40
#: The bins at the middle of a band are this part of its width, times the step of the sinh of the map: light that
#: passes thousands of times lases on the band of one pass over the root of that number.
FINEST = 1 / 64


def tuned_loss(wavelength: ArrayLike, tuned_wavelength: float, tuned_width: float, tuning_loss: float = 0.0) -> Number:
    """Loss of one pass through a prism, grating or plate with a single band.

    Parameters
    ----------
    wavelength : float or array (...)
        Vacuum wavelength. [m]
    tuned_wavelength : float
        Vacuum wavelength that passes best. [m]
    tuned_width : float
        Full width at half maximum of the transmission of one pass. [m]
    tuning_loss : float
        Fraction lost at the best wavelength. [-]

    Returns
    -------
    loss : same shape
        Negative logarithm of the transmission of one pass, at most 20. [-]

    Raises
    ------
    DomainError
        If a wavelength or width is not positive, or the loss not below 1.

    Notes
    -----
    Valid: the stated band as it is. Not covered: how the element's shape, place and the divergence of the beam make
    that band.
    Equation: -ln(1 - loss) + 4 ln 2 (lambda - lambda_t)^2 / width^2. Source: Gaussian band, definition.

    Examples
    --------
    >>> round(float(np.exp(-tuned_loss(590e-9, 589e-9, 2e-9))), 6)   # half at half the width
    0.5
    """
    away = positive("wavelength", wavelength, "m") - positive("tuned_wavelength", tuned_wavelength, "m")
    scaled = away / positive("tuned_width", tuned_width, "m")
    return plain(np.minimum(4 * np.log(2) * scaled**2 + _least(tuning_loss), MOST_LOSS))


def periodic_loss(
    wavelength: ArrayLike,
    tuned_wavelength: float,
    tuned_width: float,
    tuning_period: float,
    tuning_loss: float = 0.0,
) -> Number:
    """Loss of one pass through an etalon.

    Parameters
    ----------
    wavelength : float or array (...)
        Vacuum wavelength. [m]
    tuned_wavelength : float
        Vacuum wavelength of one of its pass bands. [m]
    tuned_width : float
        Full width at half maximum of a pass band. [m]
    tuning_period : float
        Distance between pass bands, the free spectral range. [m]
    tuning_loss : float
        Fraction lost at the best wavelength. [-]

    Returns
    -------
    loss : same shape
        Negative logarithm of the transmission of one pass, at most 20. [-]

    Raises
    ------
    DomainError
        If a length is not positive, the width not below the period, or the loss not below 1.

    Notes
    -----
    Valid: over a dye's band, where the period hardly changes. Not covered: walk-off of a tilted etalon; light that it
    sends back between mirrors.
    Equation: -ln T, T = (1 - loss) / (1 + sin^2(pi (lambda - lambda_t) / period) / sin^2(pi width / (2 period))).
    Source: Airy function, textbook.

    Examples
    --------
    >>> round(float(np.exp(-periodic_loss(589.25e-9, 589e-9, 0.5e-9, 5e-9))), 6)   # half at half the width
    0.5
    """
    period = positive("tuning_period", tuning_period, "m")
    away = positive("wavelength", wavelength, "m") - positive("tuned_wavelength", tuned_wavelength, "m")
    width = positive("tuned_width", tuned_width, "m")
    refuse("tuned_width", width, width >= period, "less than the period", "m")
    steepness = (np.sin(np.pi * away / period) / np.sin(0.5 * np.pi * width / period)) ** 2
    return plain(np.minimum(np.log1p(steepness) + _least(tuning_loss), MOST_LOSS))


def _least(tuning_loss: float) -> Float:
    given = within("tuning_loss", tuning_loss, 0.0, 1.0, "-")
    return np.asarray(-np.log1p(-np.minimum(given, 1.0 - np.exp(-MOST_LOSS))))


def tuned_edges(low: float, high: float, bins: int, centres: ArrayLike, tuned_width: float) -> Float:
    """Edges of bins that stand dense about pass bands and wide between them.

    Parameters
    ----------
    low : float
        Shortest wavelength. [m]
    high : float
        Longest wavelength. [m]
    bins : int
        Bins of a single band; a periodic element gets 15 for each of its orders. [-]
    centres : array (bands,)
        Middles of the pass bands, rising. [m]
    tuned_width : float
        Full width at half maximum of a band. [m]

    Returns
    -------
    edges : array (edges)
        Rising from low to high. [m]

    Raises
    ------
    DomainError
        If the width is not positive or the band is empty.

    Notes
    -----
    Valid: bands apart by more than their width. Not covered: more than 40 bands.
    Equation: edges at centre + width / 64 sinh(u), u uniform. Source: own choice.

    Examples
    --------
    >>> edges = tuned_edges(560e-9, 620e-9, 60, [589e-9], 1e-9)
    >>> bool(np.diff(edges).min() < 1e-9 / 150), len(edges)
    (True, 61)
    """
    finest = FINEST * float(positive("tuned_width", tuned_width, "m"))
    middle = np.atleast_1d(np.asarray(centres, dtype=float))
    refuse("high", np.asarray(high), high <= low, "above the shortest wavelength", "m")
    refuse("centres", middle, np.full(middle.shape, middle.size > MOST_ORDERS), f"at most {MOST_ORDERS} bands", "m")
    ends = np.concatenate([[low], 0.5 * (middle[1:] + middle[:-1]), [high]])
    count = bins if middle.size == 1 else ORDER_BINS
    parts = []
    for centre, first, last in zip(middle, ends[:-1], ends[1:], strict=True):
        turns = np.arcsinh((np.array([first, last]) - centre) / finest)
        parts.append(centre + finest * np.sinh(np.linspace(turns[0], turns[1], count + 1)))
    edges = np.concatenate([parts[0], *(part[1:] for part in parts[1:])])
    edges[0], edges[-1] = low, high
    return np.asarray(edges)


def pass_bands(low: float, high: float, tuned_wavelength: float, tuning_period: float) -> Float:
    """Middles of the pass bands of a periodic element between two wavelengths.

    Parameters
    ----------
    low : float
        Shortest wavelength. [m]
    high : float
        Longest wavelength. [m]
    tuned_wavelength : float
        Middle of one of its bands, anywhere. [m]
    tuning_period : float
        Distance between bands. [m]

    Returns
    -------
    centres : array (bands)
        Rising; empty when none lies between. [m]

    Raises
    ------
    DomainError
        If the period is not positive.

    Notes
    -----
    Valid: a period that hardly changes over the range. Not covered: dispersion.
    Equation: lambda_t + m period. Source: definition.

    Examples
    --------
    >>> [round(float(1e9 * x), 3) for x in pass_bands(580e-9, 600e-9, 589e-9, 8e-9)]
    [581.0, 589.0, 597.0]
    """
    period = float(positive("tuning_period", tuning_period, "m"))
    first, last = np.ceil((low - tuned_wavelength) / period), np.floor((high - tuned_wavelength) / period)
    return np.asarray(tuned_wavelength + period * np.arange(first, last + 1))
