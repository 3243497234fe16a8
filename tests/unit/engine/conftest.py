"""Shots of variations of the demo bench, without its interval."""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Callable
from typing import Any

import pytest
import tomlkit

from pulsewright import machine
from pulsewright.engine.chain import Chain, Stages
from pulsewright.engine.inputs import inputs_of
from pulsewright.machine import Build
from pulsewright.records import Shot
from pulsewright.studies.shot import compute_shot

#: Changes of entries, path -> text; or what changes the tree of the build file.
Changes = dict[str, str]


def build_of(changes: Changes | None = None, shape: Callable[[dict[str, Any]], object] | None = None) -> Build:
    """The demo bench, reshaped and with entries overridden."""
    tree = copy.deepcopy(tomllib.loads(machine.bench_text("tidewater")))
    if shape is not None:
        shape(tree)
    loaded = machine.load_text(tomlkit.dumps(tree), "laser.toml")
    assert loaded.build is not None, loaded.findings
    return loaded.build.override(changes) if changes else loaded.build


@pytest.fixture
def stages_of() -> Callable[..., Stages]:
    """Stages of the demo bench with entries overridden."""

    def compute(changes: Changes | None = None, shape: Callable[[dict[str, Any]], object] | None = None) -> Stages:
        return Chain().run(inputs_of(build_of(changes, shape)))

    return compute


@pytest.fixture
def shot_of() -> Callable[..., Shot]:
    """A shot of the demo bench with entries overridden."""

    def compute(
        changes: Changes | None = None,
        shape: Callable[[dict[str, Any]], object] | None = None,
        interval: bool = False,
    ) -> Shot:
        return compute_shot(build_of(changes, shape), Chain(), interval=interval)

    return compute
