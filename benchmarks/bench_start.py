"""Starting times as a person meets them, each in a new process, caches warm: import, help, check, formulas, one shot.

A run of each before the first that counts fills the caches of bytecode and kernels (PYTHONDONTWRITEBYTECODE, where
it is set, makes starts two to three times slower, so it is left out here). `--once` takes one round.
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path


def main() -> None:
    """Print the median of each."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--once", action="store_true", help="one round: for CI")
    rounds = 1 if parser.parse_args().once else 9
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}

    def start(*words: str) -> float:
        begin = time.perf_counter()
        subprocess.run([sys.executable, *words], check=True, stdout=subprocess.DEVNULL, env=environment)
        return time.perf_counter() - begin

    with tempfile.TemporaryDirectory() as folder:
        bench = str(Path(folder) / "tidewater")
        start("-m", "pulsewright", "new", bench)
        rows = {
            "python, nothing else": ("-c", ""),
            "import pulsewright": ("-c", "import pulsewright"),
            "pulsewright --help": ("-m", "pulsewright", "--help"),
            "pulsewright check": ("-m", "pulsewright", "check", bench),
            "pulsewright formula list": ("-m", "pulsewright", "formula", "list"),
            "pulsewright shot --no-interval": ("-m", "pulsewright", "shot", bench, "--no-interval"),
            "pulsewright shot": ("-m", "pulsewright", "shot", bench),
        }
        for name, words in rows.items():
            start(*words)
            times = [start(*words) for _ in range(rounds)]
            print(f"{name:32} median {statistics.median(times):6.3f} s, least {min(times):6.3f} s")


if __name__ == "__main__":
    main()
