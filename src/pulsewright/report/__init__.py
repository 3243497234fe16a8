"""Records to printable pages."""

from __future__ import annotations

from pulsewright.report.safety_sheet import safety_sheet, style_source

__all__ = ["safety_sheet", "style_source"]
