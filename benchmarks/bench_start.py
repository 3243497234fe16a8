"""Starting times of the command, as a person meets them: help, check, one shot, each in a new process."""

from __future__ import annotations

import argparse
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path


def main() -> None:
    """Print the median of each."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--once", action="store_true", help="one round: for CI")
    rounds = 1 if parser.parse_args().once else 7
    with tempfile.TemporaryDirectory() as folder:
        bench = str(Path(folder) / "tidewater")
        command = [sys.executable, "-m", "pulsewright"]
        subprocess.run([*command, "new", bench], check=True, stdout=subprocess.DEVNULL)
        for words in (
            ["--help"],
            ["check", bench],
            ["formula", "list"],
            ["shot", bench, "--no-interval"],
            ["shot", bench],
        ):
            times = []
            for _ in range(rounds + 1):
                begin = time.perf_counter()
                subprocess.run([*command, *words], check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
                times.append(time.perf_counter() - begin)
            named = " ".join(word for word in words if word != bench)
            print(f"pulsewright {named:20} {statistics.median(times[1:]):6.3f} s")


if __name__ == "__main__":
    main()
