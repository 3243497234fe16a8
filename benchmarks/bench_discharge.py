"""Warm discharge and light with inputs not seen before, one core: the demo bench and every circuit made from it.

Prints median and least time of both stages together, steps and right-hand sides, and how far the energies are from
closing. `--once` takes three of each.
"""

from __future__ import annotations

import argparse
import copy
import os
import statistics
import time
import tomllib
from typing import Any

import tomlkit

from pulsewright import machine
from pulsewright.engine.electric import discharge_stage, light_stage
from pulsewright.engine.inputs import Inputs, inputs_of
from pulsewright.engine.trigger import trigger_stage

LOOP = {"inductance": "1.2 uH", "resistance": "20 mohm"}
NETWORK = {"network": "pulse-forming network", "sections": 6, "section_inductance": "1 uH"}
CIRCUITS: dict[str, dict[str, dict[str, Any]]] = {
    "as it is": {},
    "lamps in parallel": {"loop": {"lamps_connected": "parallel"}},
    "six sections": {"loop": NETWORK},
    "separate loops, the second late": {
        "loop": {"lamps_connected": "separate loops", "inductance": "0.2 uH"},
        "branches": {"east": LOOP, "west": {**LOOP, "delay": "1 us"}},
    },
    "clamp diode": {"crowbar": {"kind": "clamp diode", "resistance": "20 mohm"}},
    "spark gap by its channel": {"switch": {"drop": None}},
    "square-root law": {"loop": {"lamp_law": "square-root law"}},
    "wall vapour, 20 torr": {"lamps": {"wall_vapour": "ablated", "fill_pressure": "20 torr"}},
}


def changed(sections: dict[str, dict[str, Any]]) -> machine.Build:
    """The demo bench with keys changed; those of the lamps in each lamp."""
    tree = copy.deepcopy(tomllib.loads(machine.bench_text("tidewater")))
    for section, keys in sections.items():
        places = list(tree["lamps"].values()) if section == "lamps" else [tree.setdefault(section, {})]
        for place in places:
            place.update({key: value for key, value in keys.items() if value is not None})
            for key in [key for key, value in keys.items() if value is None]:
                del place[key]
    build = machine.load_text(tomlkit.dumps(tree), "laser.toml").build
    assert build is not None
    return build


def timed(inputs: Inputs) -> tuple[float, Any]:
    """Time of discharge and light, and the discharge."""
    trigger = trigger_stage(inputs)
    begin = time.perf_counter()
    found = discharge_stage(inputs, trigger)
    light_stage(inputs, found)
    return time.perf_counter() - begin, found


def main() -> None:
    """Print a line for each circuit."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--once", action="store_true", help="a few of each: for CI")
    count = 3 if parser.parse_args().once else 101
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {max(os.sched_getaffinity(0))})
    for name, sections in CIRCUITS.items():
        build = changed(sections)
        timed(inputs_of(build, 9.0e3))
        times, worst = [], 0.0
        for n in range(count):
            taken, found = timed(inputs_of(build, 9.1e3 + 13.7 * n))
            times.append(taken)
            worst = max(worst, abs(sum(found.record.energies.values()) / found.stored_energy - 1))
        counters = found.record.counters
        print(
            f"{name:34} median {1e3 * statistics.median(times):6.2f} ms, least {1e3 * min(times):6.2f} ms, "
            f"{counters['discharge steps']:5d} steps, {counters['discharge right-hand sides']:6d} right-hand sides, "
            f"energy closes to {worst:.0e}"
        )


if __name__ == "__main__":
    main()
