"""The life of tidewater's fill and the sizing of its dye, kernels warm. `--once`: few shots."""

from __future__ import annotations

import argparse
import os
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

import pulsewright as pw


def timed(words: str, work: Callable[[], int]) -> None:
    """Print what a piece of work takes; `work` gives the number of shots it computed."""
    begin, spent = time.perf_counter(), time.process_time()
    shots = work()
    taken, busy = time.perf_counter() - begin, time.process_time() - spent
    print(f"{words}: {taken:.2f} s, {busy:.2f} s of processor; {shots} shots, {1e3 * busy / shots:.1f} ms each")


def main() -> None:
    """Print the time of both studies."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--once", action="store_true", help="a small map: for CI")
    once = parser.parse_args().once
    axes = (np.array([0.03, 0.06, 0.12]), np.array([0.3, 0.6, 0.8]), np.array([8e-3])) if once else (None, None, None)
    with tempfile.TemporaryDirectory() as folder:
        bench = pw.open(pw.new_bench(Path(folder) / "tidewater"))
        bench.shot(interval=False)
        timed("life of the fill, 1000 shots", lambda: bench.fill_life(1000).computed)
        timed("dye, coupler and bore", lambda: bench.size_dye(*axes).shots)
        print(f"{os.cpu_count()} cores")


if __name__ == "__main__":
    main()
