"""Checks of the discharge circuit: what must be given together, and what is not used."""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Callable
from typing import Any

import pytest
import tomlkit

from pulsewright import machine

Change = Callable[[dict[str, Any]], None]
LOOP = {"inductance": "1 uH", "resistance": "20 mohm"}


def findings(change: Change) -> dict[str, tuple[str, str]]:
    """Grade and message by path of tidewater with a change."""
    tree = copy.deepcopy(tomllib.loads(machine.bench_text("tidewater")))
    change(tree)
    loaded = machine.load_text(tomlkit.dumps(tree), "laser.toml")
    for finding in loaded.findings:
        assert finding.allowed, finding
        assert finding.next_step, finding
    return {finding.path: (finding.grade, finding.message) for finding in loaded.findings}


def apart(tree: dict[str, Any], **own: str) -> None:
    tree["loop"]["lamps_connected"] = "separate loops"
    tree["branches"] = {name: dict(LOOP) for name in ("east", "west")}
    for name, capacitance in own.items():
        tree["branches"][name]["capacitance"] = capacitance


def network(tree: dict[str, Any]) -> None:
    tree["loop"].update(network="pulse-forming network", sections=4, section_inductance="2 uH")


CASES: dict[str, tuple[Change, dict[str, tuple[str, str]]]] = {
    "separate loops, complete": (apart, {}),
    "network, complete": (network, {}),
    "a lamp without its loop": (
        lambda tree: (apart(tree), tree["branches"].pop("west")),  # type: ignore[dict-item, func-returns-value]
        {"branches.west": ("error", "lamp west has no loop")},
    ),
    "a loop without its lamp": (
        lambda tree: (apart(tree), tree["branches"].update(nord=dict(LOOP))),  # type: ignore[dict-item, func-returns-value]
        {"branches.nord.inductance": ("error", 'there is no lamp "nord"')},
    ),
    "loops that nothing uses": (
        lambda tree: tree.update(branches={"east": dict(LOOP)}),
        {"branches.east.inductance": ("warning", "they are not used")},
    ),
    "a loop that closes a little later": (
        lambda tree: (apart(tree), tree["branches"]["west"].update(delay="100 us")),  # type: ignore[dict-item, func-returns-value]
        {},
    ),
    "a loop that closes long after the pulse": (
        lambda tree: (apart(tree), tree["branches"]["west"].update(delay="1 ms")),  # type: ignore[dict-item, func-returns-value]
        {"branches.west.delay": ("error", "this loop closes 316 times its sqrt(L C)")},
    ),
    "own capacitors that are the bank": (lambda tree: apart(tree, east="2 uF", west="2 uF"), {}),
    "own capacitors that are not the bank": (
        lambda tree: apart(tree, east="2 uF", west="1 uF"),
        {"bank.capacitance": ("error", "every loop has its own capacitor")},
    ),
    "own capacitors that leave nothing": (
        lambda tree: apart(tree, east="4 uF"),
        {"bank.capacitance": ("error", "leaves nothing")},
    ),
    "own capacitors and a network": (
        lambda tree: (apart(tree, east="2 uF", west="2 uF"), network(tree)),  # type: ignore[dict-item, func-returns-value]
        {"loop.network": ("error", "no shared bank")},
    ),
    "own capacitors and a crowbar": (
        lambda tree: (apart(tree, east="2 uF", west="2 uF"), tree.update(crowbar={"kind": "clamp diode"})),  # type: ignore[dict-item, func-returns-value]
        {"crowbar.kind": ("error", "no shared bank")},
    ),
    "sections of a single mesh": (
        lambda tree: tree["loop"].update(sections=4),
        {"loop.sections": ("warning", "is not used")},
    ),
    "one section": (
        lambda tree: (network(tree), tree["loop"].update(sections=1)),  # type: ignore[dict-item, func-returns-value]
        {"loop.sections": ("warning", "is a single mesh")},
    ),
    "crowbar without its time": (
        lambda tree: tree.update(crowbar={"kind": "crowbar switch"}),
        {"crowbar.closing_time": ("error", "needs the time")},
    ),
    "clamp with a time": (
        lambda tree: tree.update(crowbar={"kind": "clamp diode", "closing_time": "5 us"}),
        {"crowbar.closing_time": ("warning", "not used")},
    ),
    "values of a crowbar that is not there": (
        lambda tree: tree.update(crowbar={"drop": "20 V"}),
        {"crowbar.drop": ("warning", "there is no crowbar")},
    ),
    "crowbar with a wrong time": (
        lambda tree: tree.update(crowbar={"kind": "crowbar switch", "closing_time": "-5 us"}),
        {"crowbar.closing_time": ("error", "not possible")},
    ),
    "crowbar of no resistance": (
        lambda tree: tree.update(crowbar={"kind": "clamp diode", "resistance": "1 uohm"}),
        {"crowbar.resistance": ("error", "faster than is computed")},
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_findings(name: str) -> None:
    change, wanted = CASES[name]
    found = findings(change)
    assert set(found) == set(wanted)
    for path, (grade, words) in wanted.items():
        assert found[path][0] == grade
        assert words in found[path][1]
