"""Loads on trees told by shared ohms: against the solver of trees, and where there is no state."""

from __future__ import annotations

import math

import numpy as np
import pytest

from subspark.physics.loops import power_load_voltage
from subspark.physics.paths import voltages_at_loads
from subspark.physics.trees import tree_of_powers


def test_one_load_is_the_closed_form():
    R = np.array([0.0, 1.0, 16.1, 42.66])
    V = voltages_at_loads(np.full((1, 4), 9.6), R[None, None], [[0.0]], [[0.54]])
    assert V[0] == pytest.approx(power_load_voltage(9.6, R, 0.54), rel=1e-7)


def test_too_much_power_leaves_nothing():
    # 9.6 V gives at most 9.6^2 / (4 R): 42.67 ohm for 0.54 W
    V = voltages_at_loads(np.full((1, 2), 9.6), [[[42.6, 42.7]]], [[0.0]], [[0.54]])
    assert V[0, 0] > 4.8
    assert V[0, 1] == 0.0


def test_a_load_that_cannot_be_fed_takes_all_with_it():
    R = [[[5.0], [5.0]], [[5.0], [60.0]]]
    assert voltages_at_loads([[9.6], [9.6]], R, [[0.01], [0.0]], [[0.0], [0.54]]).tolist() == [
        [0.0],
        [0.0],
    ]


@pytest.mark.parametrize("where", range(4))
def test_what_is_not_known_is_not_solved(where):
    values = [np.full((1, 1), 9.6), np.full((1, 1, 1), 1.0), np.zeros((1, 1)), np.full((1, 1), 0.5)]
    values[where] = values[where] * math.nan
    assert np.isnan(voltages_at_loads(*values)).all()


@pytest.mark.parametrize("seed", range(40))
def test_random_trees(seed):
    draw = np.random.default_rng(seed)
    count = int(draw.integers(2, 10))
    parents = [-1] + [int(draw.integers(0, node)) for node in range(1, count)]
    R = np.concatenate([[0.0], draw.uniform(0.0, 30.0, count - 1)])
    P = np.where(draw.random(count) < 0.7, draw.uniform(0.0, 1.0, count), 0.0)
    I = draw.uniform(0.0, 0.03, count)  # noqa: E741 - the symbol of current
    U = draw.uniform(9.0, 40.0, 5)
    ways: list[set[int]] = []
    for node in range(count):
        ways.append({node} | (ways[parents[node]] if node else set()))
    shared = np.array([[sum(R[at] for at in one & other) for other in ways] for one in ways])
    V = voltages_at_loads(
        np.broadcast_to(U, (count, 5)), shared[..., None], I[:, None], P[:, None]
    )  # fmt: skip
    tree = tree_of_powers(parents, U, R, P, 1e-6, I)
    none = np.isnan(tree.V)
    assert (V[none] == 0.0).all()
    assert V[~none] == pytest.approx(tree.V[~none], rel=1e-9)
