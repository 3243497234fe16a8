"""The envelope of tidewater at 60 voltages, with margins and their probabilities. `--once` takes 12 voltages."""

from __future__ import annotations

import argparse
import tempfile
import time
from pathlib import Path

import pulsewright as pw


def main() -> None:
    """Print the time, cold and warm."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--once", action="store_true", help="12 voltages: for CI")
    points = 12 if parser.parse_args().once else 60
    with tempfile.TemporaryDirectory() as folder:
        bench = pw.open(pw.new_bench(Path(folder) / "tidewater"))
        bench.shot(9.5e3, interval=False)
        for stop in (12.0e3, 11.9e3):
            begin = time.perf_counter()
            envelope = bench.envelope(start=5e3, stop=stop, points=points)
            taken = time.perf_counter() - begin
            print(f"envelope, {points} voltages to {stop / 1e3:g} kV: {taken:.2f} s", end="; ")
            print(
                f"threshold {envelope.threshold_voltage:.0f} V, highest {envelope.highest_voltage_within_limits:.0f} V"
            )


if __name__ == "__main__":
    main()
