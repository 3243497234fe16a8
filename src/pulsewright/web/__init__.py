"""The local page of a bench: parse, call one verb of the workbench, show."""

from __future__ import annotations

from pulsewright.web.app import create_app
from pulsewright.web.serve import serve

__all__ = ["create_app", "serve"]
