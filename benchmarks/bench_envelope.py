"""The envelope of tidewater at 60 voltages, with margins and their probabilities. `--once` takes 12 voltages.

Beside seconds it prints processor time over that of a fixed piece of work, so that two states of the code can be held
against each other on a machine that is not idle; and what samples of a shot cost.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from pathlib import Path

import numpy as np

import pulsewright as pw


def yardstick() -> float:
    """Processor time of a fixed piece of work, in s: exponentials of an array, and a loop."""
    begin, axis, total = time.process_time(), np.linspace(0.0, 1.0, 20_000), 0
    for _ in range(200):
        np.exp(axis).sum()
    for number in range(300_000):
        total += number * number
    return time.process_time() - begin


def main() -> None:
    """Print the time, cold and warm."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--once", action="store_true", help="12 voltages: for CI")
    points = 12 if parser.parse_args().once else 60
    with tempfile.TemporaryDirectory() as folder:
        bench = pw.open(pw.new_bench(Path(folder) / "tidewater"))
        bench.shot(9.5e3, interval=False)
        for stop in (12.0e3, 11.9e3):
            fixed = yardstick()
            begin, busy = time.perf_counter(), time.process_time()
            envelope = bench.envelope(start=5e3, stop=stop, points=points)
            taken, busy = time.perf_counter() - begin, time.process_time() - busy
            fixed = 0.5 * (fixed + yardstick())
            print(f"envelope, {points} voltages to {stop / 1e3:g} kV: {taken:.2f} s", end="; ")
            print(f"processor {busy:.2f} s, {busy / fixed:.0f} yardsticks", end="; ")
            print(
                f"threshold {envelope.threshold_voltage:.0f} V, highest {envelope.highest_voltage_within_limits:.0f} V"
            )
        count = 20 if points == 12 else 400
        for told in ("with what is made once", "again"):
            begin, busy = time.perf_counter(), time.process_time()
            bench.shot(9.5e3, interval=False, samples=count)
            taken, busy = time.perf_counter() - begin, time.process_time() - busy
            print(f"shot with {count} samples, {told}: {taken:.2f} s; processor {1e3 * busy / count:.1f} ms a sample")


if __name__ == "__main__":
    main()
