"""The lowest charge voltage at which the laser oscillates."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from scipy.optimize import brentq

from pulsewright.engine.chain import Chain
from pulsewright.engine.inputs import Inputs

#: Threshold is searched down to this part of the charger's highest voltage.
LOWEST_PART = 0.02
#: The threshold is located to this part of the highest voltage.
RESOLUTION = 2e-4


def peak_net_gain(inputs: Inputs, chain: Chain, charge_voltage: float) -> float:
    """Largest net logarithmic gain of a round trip over time, bins and shells; zero is threshold."""
    return float(chain.run(replace(inputs, charge_voltage=charge_voltage)).gain.record.peak_net_gain)


def threshold_between(
    inputs: Inputs, chain: Chain, below: float, above: float, known: Mapping[float, float] | None = None
) -> float:
    """Threshold between a voltage that does not lase and one that does, in V; `known` net gains are not run again."""
    gains = dict(known or {})

    def net_gain(volts: float) -> float:
        if volts not in gains:
            gains[volts] = peak_net_gain(inputs, chain, volts)
        return gains[volts]

    return float(brentq(net_gain, below, above, xtol=RESOLUTION * above, rtol=1e-6))


def threshold_below(inputs: Inputs, chain: Chain, above: float, lowest: float) -> float | None:
    """Threshold below a voltage that lases, going down by fifths; None when it lases all the way down, in V."""
    volts = above
    while volts > lowest:
        below = max(0.8 * volts, lowest)
        gain = peak_net_gain(inputs, chain, below)
        if gain < 0:
            return threshold_between(inputs, chain, below, volts, known={below: gain})
        volts = below
    return None
