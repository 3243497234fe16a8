"""Benches whose shots the battery runs."""

from __future__ import annotations

import pytest

from pulsewright import machine
from pulsewright.engine.chain import Chain
from pulsewright.machine import Build


def build_of(name: str) -> Build:
    """An example bench as a build."""
    loaded = machine.load_text(machine.bench_text(name), "laser.toml")
    assert loaded.build is not None, loaded.findings
    return loaded.build


def computes(build: Build) -> bool:
    """Whether this version computes a shot of it."""
    return not any(finding.grade == "error" for finding in machine.not_modelled(build))


#: Changes under which a bench that asks for something not modelled yet still shows its other parts.
AS_FAR_AS_CARRIED: dict[str, dict[str, str]] = {
    "tidewater": {},
    "longwave": {},
    "millpond": {},
}


@pytest.fixture(params=sorted(AS_FAR_AS_CARRIED))
def example(request: pytest.FixtureRequest) -> Build:
    """Every example bench that computes, as far as the model carries it."""
    build = build_of(request.param)
    changes = AS_FAR_AS_CARRIED[request.param]
    found = build.override(changes) if changes else build
    assert computes(found), machine.not_modelled(found)
    return found


@pytest.fixture(scope="session")
def chain() -> Chain:
    """One chain for the whole battery."""
    return Chain()
