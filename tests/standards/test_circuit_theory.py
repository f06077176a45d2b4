"""Equivalents of sources against a nodal solution, and powers against a search for the maximum.

Source: circuit theory. The solver here knows nothing of equivalents: it writes one equation for
each node and each ideal voltage source, and lets linear algebra solve them.
"""

from itertools import combinations

import numpy as np
import pytest
from scipy import linalg, optimize

from subspark.physics.sources import (
    largest_matched_power,
    matched_power,
    parallel_thevenin,
    series_thevenin,
    trapezoid_power,
)


def load_voltage(U, R, load, series):
    """Solve the network of ideal sources, their resistors and a load; node 0 is the reference."""
    count = len(U)
    resistors, ideals = [], []  # (node, node, ohm) and (minus, plus, volt)
    fresh = 2  # node 1 is the upper pole of the load
    below = 0
    for k, (volts, ohms) in enumerate(zip(U, R, strict=True)):
        inner, fresh = fresh, fresh + 1
        ideals.append((below, inner, volts))
        if series:
            above = 1 if k == count - 1 else fresh
            fresh += above == fresh
            resistors.append((inner, above, ohms))
            below = above
        else:
            resistors.append((inner, 1, ohms))
    resistors.append((1, 0, load))
    size = fresh + len(ideals)
    A, b = np.zeros((size, size)), np.zeros(size)
    for i, j, ohms in resistors:
        for node, other in ((i, j), (j, i)):
            A[node, node] += 1 / ohms
            A[node, other] -= 1 / ohms
    for row, (minus, plus, volts) in enumerate(ideals, start=fresh):
        A[row, plus], A[row, minus], b[row] = 1.0, -1.0, volts
        A[plus, row] += 1.0
        A[minus, row] -= 1.0
    return linalg.solve(A[1:, 1:], b[1:])[0]  # node 0 is at zero


def random_sources(seed, count):
    rng = np.random.default_rng(seed)
    return rng.uniform(1.0, 40.0, count), rng.uniform(20.0, 2000.0, count)


def test_the_solver_on_a_divider():
    """Source: 10 V behind 100 ohm into 300 ohm is 7.5 V; 10 V and 20 V in series likewise."""
    assert load_voltage([10.0], [100.0], 300.0, series=False) == pytest.approx(7.5)
    assert load_voltage([10.0, 20.0], [100.0, 100.0], 300.0, series=True) == pytest.approx(18.0)
    assert load_voltage([10.0, 20.0], [100.0, 100.0], 100.0, series=False) == pytest.approx(10.0)


@pytest.mark.parametrize("series", [False, True])
@pytest.mark.parametrize("count", [1, 2, 3, 5, 8])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_equivalent_does_what_the_network_does(seed, count, series):
    """Source: nodal solution with two loads gives open-circuit voltage and resistance."""
    U, R = random_sources(seed, count)
    equivalent = (series_thevenin if series else parallel_thevenin)(U, U / R)
    first, second = 50.0, 700.0
    at_first = load_voltage(U, R, first, series)
    at_second = load_voltage(U, R, second, series)
    ohms = (at_second - at_first) / (at_first / first - at_second / second)
    volts = at_first * (1 + ohms / first)
    assert [float(part) for part in equivalent] == pytest.approx([volts, ohms], rel=1e-9)


def most_power(U, R, series):
    """Search the load that takes most, on a logarithmic scale of ohms."""

    def lost(log_load):
        load = np.exp(log_load)
        return -(load_voltage(U, R, load, series) ** 2) / load

    found = optimize.minimize_scalar(
        lost, bounds=(np.log(0.5), np.log(50e3)), method="bounded", options={"xatol": 1e-9}
    )
    return -found.fun


@pytest.mark.parametrize("series", [False, True])
@pytest.mark.parametrize("count", [1, 2, 4])
def test_matched_power_is_the_maximum_over_all_loads(count, series):
    """Source: search for the maximum on the nodal solution."""
    U, R = random_sources(10 + count, count)
    equivalent = (series_thevenin if series else parallel_thevenin)(U, U / R)
    assert matched_power(*equivalent) == pytest.approx(most_power(U, R, series), rel=1e-9)


@pytest.mark.parametrize("series", [False, True])
@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_largest_matched_power_is_the_maximum_over_all_loads_and_subsets(seed, series):
    """Source: search for the maximum on the nodal solution of every subset of four sources."""
    U, R = random_sources(100 + seed, 4)
    best = max(
        most_power(U[list(chosen)], R[list(chosen)], series)
        for size in range(1, 5)
        for chosen in combinations(range(4), size)
    )
    assert largest_matched_power(U, U / R, series) == pytest.approx(best, rel=1e-9)


def test_28_V_beside_5_V():
    """Source: arithmetic, 28 V/300 ohm beside 5 V/1 kohm.

    0.56 W by the equivalent, 0.65 W by the first alone.
    """
    U, R = np.array([28.0, 5.0]), np.array([300.0, 1000.0])
    assert matched_power(*parallel_thevenin(U, U / R)) == pytest.approx(0.558, abs=5e-4)
    assert largest_matched_power(U, U / R, False) == pytest.approx(28**2 / 1200, rel=1e-12)


@pytest.mark.parametrize("clip", [6.0, 12.0, 20.0, 24.0, 30.0, 47.0])
def test_trapezoid_power_is_the_maximum_along_its_characteristic(clip):
    """Source: search along the characteristic; 24 V, 48 V, 50 mA: 0.6 W stands in print."""
    current = np.linspace(0.0, 0.05, 2_000_001)
    voltage = np.minimum(clip, 48.0 - 960.0 * current)
    assert trapezoid_power(48.0, clip, 960.0) == pytest.approx((voltage * current).max(), rel=1e-6)
