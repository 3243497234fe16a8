"""The same kinetics at equal error: our stepper against SciPy's LSODA, BDF and Radau, in one run.

The shells of one shot of tidewater at 9.5 kV, every shell a stiff problem of its own. Each SciPy method gets a compiled
right-hand side and a compiled Jacobian, and each way into SciPy is tried (LSODA by `solve_ivp` and by `odeint`, BDF and
Radau with dense and with sparse Jacobian), with two rules for the absolute tolerances. The error is the sum over the
shells of what each is off, over the output energy, against Radau at 1e-10. For every method the loosest tolerance is
taken from which on all tighter ones on the ladder stay within 1e-4, and the quickest way with it is timed, in processor
time of one core. Decay by amplified spontaneous emission is in every method, from the same table. A run takes a minute
of processor time.
`--once` takes two shells, and the loosest tolerance that meets the error.
"""

from __future__ import annotations

import argparse
import statistics
import time
from collections.abc import Callable

import numpy as np
from kinetics_reference import ROUTES, Problem, problem
from numpy.typing import NDArray

from pulsewright.physics.dye.kinetics import ABSOLUTE

ERROR = 1e-4
LADDER = (1e-2, 3e-3, 1e-3, 3e-4, 1e-4, 3e-5, 1e-5, 3e-6)
#: Absolute over relative tolerances of populations and of photons: the kernel's own, and coarser ones for photons.
FLOORS = (ABSOLUTE, (ABSOLUTE[0], 100 * ABSOLUTE[1]))

Float = NDArray[np.float64]
Work = Callable[[], Float]


def median_time(work: Callable[[], object], rounds: int) -> float:
    """Median processor time of some work, in s: what else runs on the machine counts little."""
    times = []
    for _ in range(rounds):
        begin = time.thread_time()
        work()
        times.append(time.thread_time() - begin)
    return statistics.median(times)


def loosest(solve: Callable[[float], Float], truth: Float, once: bool) -> tuple[float, float] | None:
    """Loosest tolerance from which on all tighter ones meet the error, with its error; None when there is none."""
    best = None
    for tolerance in LADDER if once else reversed(LADDER):
        error = float(np.abs(solve(tolerance) - truth).sum() / truth.sum())
        if not error <= ERROR:
            if once:
                continue
            return best
        best = tolerance, error
        if once:
            return best
    return best


def rival(task: Problem, route: str, floors: tuple[float, float], shells: list[int]) -> Callable[[float], Float]:
    """All shells by one way into SciPy, as a function of the tolerance."""
    return lambda tolerance: np.array([task.by_scipy(route, shell, tolerance, floors) for shell in shells])


def best_of(task: Problem, method: str, shells: list[int], truth: Float, once: bool) -> tuple[float, float, str]:
    """Shortest time of a method over its ways and floors, with error and how."""
    found = []
    for route in ROUTES[method]:
        for floors in FLOORS[:1] if once else FLOORS:
            solve = rival(task, route, floors, shells)
            met = loosest(solve, truth, once)
            if met is not None:
                taken = median_time(lambda solve=solve, met=met: solve(met[0]), 1 if once else 3)
                found.append((taken, met[1], f"{route}, rtol {met[0]:g}, photons to {floors[1]:g} of it"))
                print(f"    {found[-1][2]}: {1e3 * taken:.1f} ms")
    return min(found)


def main() -> None:
    """Print times and ratios."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--once", action="store_true", help="two shells, one round: for CI")
    once = parser.parse_args().once
    task = problem()
    shells = [3, 7] if once else list(range(task.shells))
    truth = rival(task, "Radau", ABSOLUTE, shells)(1e-10)

    def ours(tolerance: float) -> Float:
        return task.by_kernel(tolerance, shells)

    met = loosest(ours, truth, once)
    assert met is not None, "our own method did not meet the error"
    base = median_time(lambda: ours(met[0]), 5 if once else 41)
    rows = [("ours", base, met[1], f"rtol {met[0]:g}")]
    rows += [(method, *best_of(task, method, shells, truth, once)) for method in ROUTES]
    print(f"{len(shells)} shells, {task.table.shape[1]} bins each, {truth.sum():.3f} J")
    print(f"{'method':>8} {'time ms':>9} {'ratio':>7} {'error':>9}  with")
    for name, taken, error, how in rows:
        print(f"{name:>8} {1e3 * taken:9.3f} {taken / base:7.1f} {error:9.1e}  {how}")


if __name__ == "__main__":
    main()
