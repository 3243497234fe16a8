"""Safety: cautions, findings against limits with their sources, margins, and the sheet to hang on the wall.

It advises and documents. It never charges, fires or interlocks anything; local codes and licensed practice decide.
"""

from __future__ import annotations

from pulsewright.safety.bank_margins import bank_margins, bank_not_judged
from pulsewright.safety.figures import Figures, figures
from pulsewright.safety.hazards import cautions
from pulsewright.safety.judgements import findings, margins, not_judged
from pulsewright.safety.sheet import Checklist, Sheet, SheetRow, sheet

__all__ = [
    "Checklist",
    "Figures",
    "Sheet",
    "SheetRow",
    "bank_margins",
    "bank_not_judged",
    "cautions",
    "figures",
    "findings",
    "margins",
    "not_judged",
    "sheet",
]
