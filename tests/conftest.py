"""What every test shares: where compiled kernels are kept, property-test settings, and Chromium."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import hypothesis
import pytest

ROOT = Path(__file__).resolve().parent.parent

# No deadline: timings are never tested. In CI the same examples are drawn every time.
hypothesis.settings.register_profile("here", deadline=None, print_blob=True)
hypothesis.settings.register_profile("ci", deadline=None, print_blob=True, derandomize=True)
hypothesis.settings.load_profile("ci" if os.environ.get("CI") == "true" else "here")

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
