"""Loops, trees and networks against a NumPy floor: 100,000 circuits of each.

Floor: NumPy computing, for two-wire loops whose source and load are each one straight line, what
is left at both ends of a range of currents.

Run with ``python benchmarks/network.py [CIRCUITS]``; prints a table. Times are medians of several
runs taken in turn; only the ratio says something.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable

import numpy as np

from subspark.physics.characteristics import least_slack
from subspark.physics.network import (
    SOLVED,
    current_load,
    diode,
    power_load,
    resistor,
    solve,
    source,
)
from subspark.physics.trees import tree_of_currents, tree_of_powers

RUNS = 5
SPURS = 12


def jobs(n: int) -> dict[str, Callable[[], object]]:
    random = np.random.default_rng(0)
    U, R, cable = random.uniform(22, 28, n), random.uniform(100, 350, n), random.uniform(1, 40, n)
    lift_off = random.uniform(8, 12, n)
    load, power = random.uniform(4e-3, 15e-3, n), random.uniform(0.02, 0.1, n)

    def floor() -> object:
        total = R + cable
        return np.minimum(U - 0.0036 * total - lift_off, U - 0.022 * total - lift_off)

    source_I = np.repeat([[0.0], [0.02], [0.022], [0.025]], n, axis=1)
    source_U = U - R * source_I
    need_I = np.repeat([[0.0], [0.011], [0.025]], n, axis=1)
    need_U = np.stack([lift_off + 2.0, lift_off, lift_off])

    linear = [source(1, 0, U, R, sinks=True), resistor(1, 2, cable), current_load(2, 0, load)]
    bent = [
        source(1, 0, U, R, 0.05), resistor(1, 2, cable), diode(2, 3, 0.7, 5.0),
        current_load(3, 0, load), resistor(3, 4, cable), power_load(4, power, 4.0),
    ]  # fmt: skip

    parents = [-1, *(k // 2 * 2 for k in range(2 * SPURS - 1))]
    ohms = random.uniform(0.1, 3.0, (len(parents), n))
    draws = np.zeros((len(parents), n))
    draws[1::2] = random.uniform(0.01, 0.025, (SPURS, n))
    return {
        "floor: two straight lines": floor,
        "least slack, 4 and 3 points": lambda: least_slack(
            (source_I, source_U), cable, (need_I, need_U), 0.0036, 0.022
        ),
        f"tree of currents, {SPURS} spurs": lambda: tree_of_currents(parents, U, ohms, draws),
        f"tree of powers, {SPURS} spurs": lambda: tree_of_powers(parents, U, ohms, 9 * draws, 9.0),
        "network of 2 nodes, straight": lambda: solve(linear),
        "network of 4 nodes, limit, diode, power": lambda: solve(bent),
    }


def main() -> None:
    n = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    work = jobs(n)
    times: dict[str, list[float]] = {name: [] for name in work}
    for _ in range(RUNS):
        for name, job in work.items():
            start = time.perf_counter()
            result = job()
            times[name].append(time.perf_counter() - start)
            if hasattr(result, "status") and not (result.status == SOLVED).all():
                sys.exit(f"{name}: not every circuit was solved")
    floor = statistics.median(next(iter(times.values())))
    print(f"{n:,} circuits, median of {RUNS} runs")
    for name, taken in times.items():
        middle = statistics.median(taken)
        print(f"{name:42s} {1e3 * middle:9.1f} ms   {middle / floor:8.0f} x floor")


if __name__ == "__main__":
    main()
