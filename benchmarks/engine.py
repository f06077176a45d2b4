"""The engine against a NumPy floor, in one run: every rule on a million circuits.

Floor: NumPy computing, unblocked, the five plain utilisations of ready columns as a (5, n) array
with argmax. Engine: one source, one to four apparatus and one to four runs a circuit, ready
member columns in, all rules, verdict, governing rule and utilisation out.

Run with ``python benchmarks/engine.py [CIRCUITS]``; prints a table. Times are medians of several
runs taken in turn; only the ratio says something.
"""

from __future__ import annotations

import resource
import statistics
import sys
import time
from collections.abc import Callable

import numpy as np

from subspark.assess.engine import judge
from subspark.rules import RULES, Columns, code
from subspark.rules.columns import Floats

MOST_MEMBERS = 4
RUNS = 5


def member_columns(n: int, k: int, r: int, random: np.random.Generator) -> Columns:
    """Ready columns of n circuits with k apparatus and r runs, all values varied."""

    def case(low: float, high: float) -> Floats:
        return random.uniform(low, high, n)

    def item(low: float, high: float) -> Floats:
        return random.uniform(low, high, (k, n))

    def same(shape: tuple[int, ...], value: float) -> Floats:
        return np.full(shape, value)

    yes, no = np.ones(n, dtype=bool), np.zeros(n, dtype=bool)
    source = {
        "source_level": same((1, n), 3.0),
        "source_group": same((1, n), 4.0),
        "source_epl_asked": same((1, n), 0.0),
        "source_epl": same((1, n), np.inf),
        "source_body_asked": same((1, n), -np.inf),
        "source_body": same((1, n), np.inf),
        "source_T_limit": same((1, n), np.inf),
        "source_T": same((1, n), -np.inf),
        "source_hot": random.uniform(30, 70, (1, n)),
        "source_cold": random.uniform(-20, 10, (1, n)),
        "source_Ta_max": same((1, n), 60.0),
        "source_Ta_min": same((1, n), -20.0),
        "source_conditions": same((1, n), 0.0),
    }
    return Columns(
        code=code("IEC-2024"),
        U=case(20, 29),
        I=case(0.05, 0.11),
        P=case(0.3, 0.8),
        Co=case(70e-9, 130e-9),
        Lo=case(2e-3, 5e-3),
        Lo_Ro=case(40e-6, 70e-6),
        half_cap=same((n,), 600e-9),
        pair_Co=np.empty((0, n)),
        pair_Lo=np.empty((0, n)),
        paired=no,
        linear=yes,
        together=no,
        source_C=same((n,), 0.0),
        source_L=same((n,), 0.0),
        permitted=same((n,), np.inf),
        calculated=no,
        level_asked=random.integers(1, 4, n).astype(float),
        level=same((n,), np.inf),
        group_asked=random.integers(1, 5, n).astype(float),
        T_limit=same((n,), 135.0),
        T_small=same((n,), 200.0),
        T_tiny=same((n,), 275.0),
        dust_power=np.zeros(n, dtype=bool),
        by_power=yes,
        earthed=random.integers(0, 2, n).astype(float),
        earth_limit=same((n,), 1.0),
        earth_ohm=case(0.1, 1.05),
        earth_wires=same((n,), 2.0),
        earth_section=same((n,), 2.5e-6),
        separation=same((n,), 0.05),
        atmosphere=same((n,), 0.0),
        shared_demand=same((n,), -np.inf),
        shared_limit=same((n,), np.inf),
        surge_inside=same((n,), -np.inf),
        surge_distance=same((n,), -np.inf),
        surge_section=same((n,), np.inf),
        surge_discharge=same((n,), np.inf),
        box_T=case(40.0, 90.0),
        box_limit=same((n,), 135.0),
        generating_U=case(0.0, 1.0),
        generating_I=case(0.0, 0.09),
        generating_P=case(0.0, 0.02),
        behind=same((1, n), 250.0),
        Um=same((1, n), 253.0),
        **source,
        Ui=item(25, 35),
        Ii=item(0.09, 0.2),
        Pi=item(0.6, 1.3),
        Ci=item(0.0, 10e-9),
        Li=item(0.0, 50e-6),
        level_a=same((k, n), 3.0),
        group_a=same((k, n), 4.0),
        here=np.ones((k, n), dtype=bool),
        epl_asked=same((k, n), 2.0),
        epl=same((k, n), 3.0),
        hot=same((k, n), 40.0),
        cold=same((k, n), -20.0),
        Ta_max=item(40, 70),
        Ta_min=item(-40, -20),
        row_P=same((1, k, n), np.inf),
        row_hot=same((1, k, n), np.inf),
        row_cold=same((1, k, n), -np.inf),
        row_T=same((1, k, n), 135.0),
        is_simple=random.random((k, n)) < 0.2,
        T_fixed=same((k, n), np.nan),
        Rth=item(20, 120),
        surface=item(10e-6, 3000e-6),
        hottest=same((k, n), 40.0),
        assessed=same((k, n), 0.0),
        conditions=same((k, n), 0.0),
        energy=same((k, n), -np.inf),
        length=random.uniform(5, 300, (r, n)),
        C=random.uniform(80e-12, 200e-12, (r, n)),
        L=random.uniform(0.5e-6, 1e-6, (r, n)),
        LR=random.uniform(10e-6, 40e-6, (r, n)),
        LR_assumed=np.zeros((r, n), dtype=bool),
        strand=same((r, n), np.inf),
        tested=same((r, n), 500.0),
        rated_T=same((r, n), 70.0),
        route_T=same((r, n), 40.0),
    )


def shapes() -> list[tuple[int, int]]:
    """Numbers of apparatus and runs: one to four of each, equally many circuits."""
    many = range(1, MOST_MEMBERS + 1)
    return [(k, r) for k in many for r in many]


def timed(run: Callable[[], object]) -> float:
    """Seconds of one run."""
    start = time.perf_counter()
    run()
    return time.perf_counter() - start


def floor_run(n: int, random: np.random.Generator) -> Callable[[], object]:
    """The floor: five plain utilisations and their argmax, unblocked."""
    demands = [random.uniform(0.1, 1.1, n) for _ in range(5)]
    limits = [random.uniform(0.9, 1.2, n) for _ in range(5)]

    def run() -> object:
        used = np.empty((5, n))
        for row, (demand, limit) in enumerate(zip(demands, limits, strict=True)):
            used[row] = demand / limit
        return used.argmax(axis=0), used.max(axis=0)

    return run


def measure(n: int) -> tuple[float, float, float]:
    """Median seconds of floor and engine, and the median of their ratios run by run."""
    random = np.random.default_rng(20261125)
    every = shapes()
    blocks = [member_columns(n // len(every), k, r, random) for k, r in every]
    floor = floor_run(n, random)

    def engine() -> object:
        return [judge(block) for block in blocks]

    floor(), engine()
    pairs = [(timed(floor), timed(engine)) for _ in range(RUNS)]
    return (
        statistics.median(one for one, _ in pairs),
        statistics.median(other for _, other in pairs),
        statistics.median(other / one for one, other in pairs),
    )


def main() -> None:
    """Print the table."""
    most = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    print(f"{len(RULES)} rules, one source, 1 to 4 apparatus, 1 to 4 runs")
    print(f"{'circuits':>10} {'floor ms':>9} {'engine ms':>10} {'ns a circuit':>13} {'ratio':>7}")
    size = 1_000
    while size <= most:
        floor, engine, ratio = measure(size)
        print(f"{size:>10} {1e3 * floor:>9.2f} {1e3 * engine:>10.1f} "
              f"{1e9 * engine / size:>13.0f} {ratio:>7.1f}")  # fmt: skip
        size *= 10
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024**2
    print(f"largest memory {peak:.2f} GiB")


if __name__ == "__main__":
    main()
