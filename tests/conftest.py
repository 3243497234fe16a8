"""What every test shares: where compiled kernels are kept, property-test settings, and Chromium."""

from __future__ import annotations

import os
import shutil
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import hypothesis
import numpy as np
import pytest

ROOT = Path(__file__).resolve().parent.parent

# No deadline: timings are never tested. In CI the same examples are drawn every time.
hypothesis.settings.register_profile("here", deadline=None, print_blob=True)
hypothesis.settings.register_profile("ci", deadline=None, print_blob=True, derandomize=True)
hypothesis.settings.load_profile("ci" if os.environ.get("CI") == "true" else "here")

_approx = pytest.approx


def _scaled_approx(expected: Any, rel: Any = None, abs: Any = None, nan_ok: bool = False) -> Any:  # noqa: A002  pytest names it
    """`pytest.approx` whose absolute tolerance goes with what is expected.

    Its own, 1e-12, is larger than the energy of an atom in joules: whatever stood beside one would pass.
    """
    if abs is not None or expected is None:
        return _approx(expected, rel=rel, abs=abs, nan_ok=nan_ok)
    try:
        sizes = np.abs(np.asarray(list(expected.values()) if isinstance(expected, Mapping) else expected, dtype=float))
    except (TypeError, ValueError):
        return _approx(expected, rel=rel, nan_ok=nan_ok)
    largest = float(np.max(sizes[np.isfinite(sizes)], initial=0.0))
    least = 1e-12 * min(largest, 1.0) if largest > 0.0 else 1e-12
    return _approx(expected, rel=1e-6 if rel is None else rel, abs=least, nan_ok=nan_ok)


pytest.approx = _scaled_approx

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome", "msedge")
MAC_BROWSERS = (
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
)


def find_chromium() -> str | None:
    """Path of a Chromium, or None: the one named in PULSEWRIGHT_CHROMIUM first."""
    named = os.environ.get("PULSEWRIGHT_CHROMIUM")
    candidates = [named] if named else [*BROWSERS, *MAC_BROWSERS]
    found = (shutil.which(name) for name in candidates)
    return next((path for path in found if path), None)


def browser_required() -> bool:
    """Whether browser tests must run: in CI, or where asked for."""
    return os.environ.get("CI") == "true" or os.environ.get("PULSEWRIGHT_REQUIRE_BROWSER") == "1"


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark everything in tests/browser as `browser`; without Chromium it is not run, unless it must."""
    missing = find_chromium() is None and not browser_required()
    for item in items:
        if (ROOT / "tests" / "browser") in item.path.parents:
            item.add_marker(pytest.mark.browser)
        if missing and item.get_closest_marker("browser"):
            item.add_marker(pytest.mark.skip(reason="not run: no Chromium found"))


@pytest.fixture(scope="session")
def chromium_path() -> str:
    """Path of the Chromium to drive; fails where it must be there and is not."""
    path = find_chromium()
    if path is None:
        pytest.fail("no Chromium found, and browser tests must run here. Install it, or set PULSEWRIGHT_CHROMIUM.")
    return path


@pytest.fixture(scope="session")
def project_root() -> Path:
    """Folder of the project."""
    return ROOT
