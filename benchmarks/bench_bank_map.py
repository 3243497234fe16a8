"""A map of discharge and light of tidewater over capacitance, voltage and inductance. `--once`: few points."""

from __future__ import annotations

import argparse
import os
import tempfile
import time
from pathlib import Path

import numpy as np

import pulsewright as pw


def main() -> None:
    """Print the time of a map of points not seen before, kernels and tables warm."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--once", action="store_true", help="80 points: for CI")
    shape = (4, 5, 4) if parser.parse_args().once else (20, 25, 10)
    with tempfile.TemporaryDirectory() as folder:
        bench = pw.open(pw.new_bench(Path(folder) / "tidewater"))
        bench.bank_map({"bank.capacitance": np.array([3.3e-6, 3.4e-6])})
        axes = {
            "bank.capacitance": np.linspace(1e-6, 10e-6, shape[0]),
            "bank.charge_voltage": np.linspace(5e3, 14e3, shape[1]),
            "loop.inductance": np.linspace(0.5e-6, 5e-6, shape[2]),
        }
        begin, spent = time.perf_counter(), time.process_time()
        found = bench.bank_map(axes)
        taken, busy = time.perf_counter() - begin, time.process_time() - spent
        points = found.outcome.size
        print(
            f"bank map, {points} points: {taken:.2f} s, {1e3 * taken / points:.2f} ms a point; "
            f"{busy:.2f} s of processor; {os.cpu_count()} cores; {int((found.outcome == 'takes off').sum())} take off"
        )


if __name__ == "__main__":
    main()
