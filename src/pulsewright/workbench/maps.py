"""Records of the studies, for what shows them."""

from __future__ import annotations

from pulsewright.studies.bank_map import BankMap
from pulsewright.studies.fill_life import Change, FillLife
from pulsewright.studies.lamp_law import LampCurve, LampLaw
from pulsewright.studies.pulse_quality import PulseQuality, QualityRow
from pulsewright.studies.pump_down import PumpDown
from pulsewright.studies.take_off import TakeOffMap
from pulsewright.studies.trigger_comparison import TriggerComparison, TriggerRow

__all__ = [
    "BankMap",
    "Change",
    "FillLife",
    "LampCurve",
    "LampLaw",
    "PulseQuality",
    "PumpDown",
    "QualityRow",
    "TakeOffMap",
    "TriggerComparison",
    "TriggerRow",
]
