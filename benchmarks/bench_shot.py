"""One warm shot of tidewater with inputs not seen before: all stages, default resolution, processor time of one core.

Prints the median time of a shot whose charge voltage is new, of shots in which more is new, the time of each stage, and
the error of the output energy against SciPy's Radau at 1e-10 on the same kinetics with the same pump, which must be
within 1e-3. `--once` takes a few shots and two shells.
"""

from __future__ import annotations

import argparse
import os
import statistics
import time
from collections.abc import Callable, Iterator

import numpy as np
from kinetics_reference import problem

from pulsewright import machine
from pulsewright.engine import chain as chains
from pulsewright.engine.inputs import Inputs, inputs_of
from pulsewright.studies.shot import compute_shot

STAGES = (
    "trigger_stage",
    "discharge_stage",
    "light_stage",
    "solution",
    "pump_stage",
    "gain_stage",
    "beam_stage",
    "stresses",
)
ALLOWED = 1e-3


def fresh(build: machine.Build) -> dict[str, Callable[[int], machine.Build]]:
    """What is new in a shot, and the build of the n-th such shot."""
    voltage = {"bank.charge_voltage": 9.0e3}
    loop = {"loop.inductance": 1.5e-6, "dye.concentration": 0.06, **voltage}
    lamp = {f"lamps.{name}.fill_pressure": 1.4e4 for name in build.machine.lamps}

    def changed(values: dict[str, float]) -> Callable[[int], machine.Build]:
        def nth(n: int) -> machine.Build:
            made = build
            for path, value in values.items():
                made = made.replace(path, value * (1 + 1.37e-3 * (n + 1)))
            return made

        return nth

    return {
        "charge voltage": changed(voltage),
        "coupler, bore as before": changed({"optics.coupler.reflectivity": 0.3}),
        "voltage, inductance, concentration": changed(loop),
        "and fill pressure (new plasma tables)": changed({**loop, **lamp}),
    }


def shot_times(build: Callable[[int], machine.Build], chain: chains.Chain, count: int) -> Iterator[float]:
    """Times of the stages of shots from ready inputs."""
    for n in range(count):
        inputs = inputs_of(build(n))
        begin = time.thread_time()
        chain.run(inputs)
        yield time.thread_time() - begin


def stage_times(inputs: list[Inputs]) -> dict[str, float]:
    """Median time of every stage of shots whose inputs are all new."""
    found: dict[str, list[float]] = {name: [] for name in STAGES}
    originals = {name: getattr(chains, name) for name in STAGES}

    def watched(name: str) -> Callable[..., object]:
        def run(*arguments: object) -> object:
            begin = time.thread_time()
            value = originals[name](*arguments)
            found[name].append(time.thread_time() - begin)
            return value

        return run

    try:
        for name in STAGES:
            setattr(chains, name, watched(name))
        for item in inputs:
            chains.Chain().run(item)
    finally:
        for name, original in originals.items():
            setattr(chains, name, original)
    return {name: statistics.median(times) for name, times in found.items()}


def main() -> None:
    """Print times and the error."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--once", action="store_true", help="a few shots: for CI")
    once = parser.parse_args().once
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {max(os.sched_getaffinity(0))})
    build = machine.load_text(machine.bench_text("tidewater"), "laser.toml").build
    assert build is not None
    count = 3 if once else 101
    chain = chains.Chain()
    chain.run(inputs_of(build, 8.8e3))
    print("one warm shot, what is new in it:")
    for what, nth in fresh(build).items():
        times = list(shot_times(nth, chain, count if "tables" not in what else min(count, 15)))
        print(f"  {what:38} median {1e3 * statistics.median(times):7.2f} ms, least {1e3 * min(times):7.2f} ms")
    whole = []
    for n in range(count):
        begin = time.thread_time()
        compute_shot(build, chain, 9.7e3 + 3.1 * n, interval=False)
        whole.append(time.thread_time() - begin)
    print(f"  {'charge voltage, record and margins too':38} median {1e3 * statistics.median(whole):7.2f} ms")
    stages = stage_times([inputs_of(build, 9.71e3 + 3.1 * n) for n in range(count)])
    print(
        "by stage, everything new: " + ", ".join(f"{name} {1e3 * taken:.2f}" for name, taken in stages.items()) + " ms"
    )
    task = problem()
    shells = [3, 7] if once else list(range(task.shells))
    ours = task.by_kernel(task.stages.inputs.tolerance, shells)
    truth = np.array([task.by_scipy("Radau", shell, 1e-10) for shell in shells])
    error = ours.sum() / truth.sum() - 1
    print(f"output energy of {len(shells)} shells against Radau at 1e-10: {error:+.1e} of {truth.sum():.4f} J", end="")
    print(f" (worst shell {np.abs(ours / truth - 1).max():.1e}; allowed {ALLOWED:g})")
    if not abs(error) <= ALLOWED:
        raise SystemExit("the error is larger than allowed")


if __name__ == "__main__":
    main()
