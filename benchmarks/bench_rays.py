"""Rays of the pump chamber: a million of them, a default table, a map kept on disk. `--once` takes fewer rays."""

from __future__ import annotations

import argparse
import os
import statistics
import tempfile
import time
from collections.abc import Callable
from functools import partial

import numpy as np

from pulsewright import machine as machines
from pulsewright.engine import chamber_rays
from pulsewright.physics.chamber.ray_map import RAYS, RayMap, trace_light

BENCHES = ("tidewater", "lanternroom", "longwave", "millpond")
_NUMBERS, _ROOM = np.arange(1.0, 10_001.0), np.empty(10_000)


def timed(call: Callable[[], object], rounds: int) -> tuple[float, float]:
    """Median processor time, of all threads, and median time by the clock."""
    times = []
    for _ in range(rounds):
        begin, used = time.perf_counter(), time.process_time()
        call()
        times.append((time.process_time() - used, time.perf_counter() - begin))
    spent, passed = zip(*times, strict=True)
    return statistics.median(spent), statistics.median(passed)


def yardstick() -> None:
    """Four million square roots and quotients, in room that is kept: what the machine does at this moment."""
    for _ in range(400):
        np.sqrt(_NUMBERS, out=_ROOM)
        np.divide(1.0, _ROOM, out=_ROOM)


def main() -> None:
    """Print one line for each bench and kind of work, with its ratio to the yardstick of the same round."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--once", action="store_true", help="fewer rays, one round: for CI")
    once = parser.parse_args().once
    rounds, many = (1, 20_000) if once else (3, 1_000_000)
    threads = min(2, os.cpu_count() or 1)
    print(f"{'bench':12} {'what':38} {'processor':>9} {'clock':>9} {'ratio':>7}   standard error of the absorbed share")
    for name in BENCHES:
        build = machines.load_text(machines.bench_text(name)).build
        assert build is not None
        given = chamber_rays.recipe(build.machine, 8)
        scene, ladder = chamber_rays.scene(given), chamber_rays.OPTICAL_DEPTHS / given.cell.bore
        arcs = chamber_rays.arc_rungs()
        trace_light(scene, [300.0], [0.5], shells=8, rays=64)
        table = 2048 if once else RAYS
        work: dict[str, Callable[[], RayMap]] = {
            f"{many} rays, one coefficient, {threads} threads": partial(
                trace_light, scene, [300.0], [0.5], shells=8, rays=many, threads=threads
            ),
            f"table of {table} rays, one thread": partial(trace_light, scene, ladder, arcs, shells=8, rays=table),
        }
        for words, call in work.items():
            measure, _ = timed(yardstick, 5)
            spent, passed = timed(call, rounds)
            found = call()
            relative = found.standard_error / found.dye.sum(axis=-1)
            error = f"{100 * relative.min():.2f} to {100 * relative.max():.2f} %"
            print(f"{name:12} {words:38} {spent:8.3f}s {passed:8.3f}s {spent / measure:7.1f}   {error}")
    with tempfile.TemporaryDirectory() as folder:
        os.environ["PULSEWRIGHT_CACHE_DIR"] = folder
        chamber_rays.traced_map(given)
        chamber_rays.traced_map.cache_clear()
        spent, passed = timed(lambda: chamber_rays.traced_map(given), 1)
        print(f"{name:12} {'map from disk':38} {spent:8.4f}s {passed:8.4f}s")


if __name__ == "__main__":
    main()
