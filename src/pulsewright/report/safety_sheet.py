"""The safety sheet as one printable page."""

from __future__ import annotations

import base64
import hashlib

from pulsewright.machine import Build
from pulsewright.records import Shot
from pulsewright.report.pages import page, template_text
from pulsewright.safety import sheet

_TEMPLATE = "safety_sheet.html"
_STYLE = "safety_sheet.css"


def safety_sheet(build: Build, shot: Shot | None = None) -> str:
    """The safety sheet of a machine: one page of HTML for A4 or Letter, ink on white, no script.

    Parameters
    ----------
    build : Build
        The machine.
    shot : Shot, optional
        A shot of it, for charge voltage, energy and wavelength of the beam.

    Returns
    -------
    html : str
        A whole document.
    """
    return page(_TEMPLATE, sheet=sheet(build, shot), style=template_text(_STYLE))


def style_source() -> str:
    """The word that lets a content security policy accept the sheet's style: `'sha256-...'`."""
    digest = hashlib.sha256(template_text(_STYLE).encode()).digest()
    return f"'sha256-{base64.b64encode(digest).decode()}'"
