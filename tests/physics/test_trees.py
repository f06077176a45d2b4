"""Trunks with spurs, against the nodal solver, SciPy and hand calculation."""

# ruff: noqa: E741 - I is the trade's symbol of a current

import numpy as np
import pytest
from scipy.optimize import fsolve

from subspark.errors import InputError
from subspark.physics.network import (
    NO_STATE,
    NOT_FOUND,
    SOLVED,
    UNKNOWN,
    current_load,
    power_load,
    resistor,
    solve,
    source,
)
from subspark.physics.trees import tree_of_currents, tree_of_powers


def drawn(rng, many):
    """Draw the parents of a tree and the values of ``many`` circuits."""
    count = int(rng.integers(2, 12))
    parents = [-1, *(int(rng.integers(0, node)) for node in range(1, count))]
    R = rng.uniform(0.2, 40.0, (count, many))
    P = rng.uniform(0.0, 0.4, (count, many)) * (rng.random((count, 1)) < 0.6)
    I = rng.uniform(0.0, 0.02, (count, many)) * (rng.random((count, 1)) < 0.5)
    return parents, rng.uniform(9.0, 28.0, many), R, P, I


def as_network(parents, U, R, P, I, least):
    """The same tree by branches: node j of the tree is node j + 1."""
    branches = [source(1, 0, U, R[0], sinks=True)]
    branches += [resistor(parents[j] + 1, j + 1, R[j]) for j in range(1, len(parents))]
    for j in range(len(parents)):
        if P[j].any():
            branches.append(power_load(j + 1, P[j], least))
        if I[j].any():
            branches.append(current_load(j + 1, 0, I[j], -np.inf))
    return branches


def test_trees_of_currents_against_the_nodal_solver():
    rng = np.random.default_rng(21)
    for _ in range(40):
        parents, U, R, P, I = drawn(rng, 10)
        tree = tree_of_currents(parents, U, R, I)
        state = solve(as_network(parents, U, R, 0.0 * P, I, 1.0))
        found = state.status == SOLVED
        np.testing.assert_allclose(tree.V[:, found], state.V[1:, found], rtol=1e-10, atol=1e-10)
        assert (tree.status == SOLVED).all()


def test_trees_of_powers_against_the_nodal_solver():
    """Two methods of our own: Newton's from above here, simple repetition there."""
    rng = np.random.default_rng(22)
    both = none = 0
    for _ in range(60):
        parents, U, R, P, I = drawn(rng, 20)
        tree = tree_of_powers(parents, U, R, P, 4.0, I)
        state = solve(as_network(parents, U, R, P, I, 4.0))
        known = state.status != NOT_FOUND
        assert (tree.status == state.status)[known].all()
        good = (tree.status == SOLVED) & (state.status == SOLVED)
        np.testing.assert_allclose(tree.V[:, good], state.V[1:, good], rtol=1e-9)
        both, none = both + good.sum(), none + (tree.status == NO_STATE).sum()
    assert both > 600
    assert none > 100


def excess(V, parents, U, R, P, I):
    """Give the currents [mA] into the nodes less those out of them."""
    into = np.array([((V[parents[j]] if j else U) - V[j]) / R[j] for j in range(len(V))])
    out = P / V + I
    for j in range(1, len(V)):
        out[parents[j]] += into[j]
    return 1e3 * (into - out)


def test_trees_of_powers_against_scipy():
    """Source: SciPy's fsolve on the voltages of the nodes, from the supply's voltage down."""
    rng = np.random.default_rng(23)
    met = 0
    for _ in range(40):
        parents, U, R, P, I = drawn(rng, 5)
        tree = tree_of_powers(parents, U, R, P, 4.0, I)
        for n in np.flatnonzero(tree.status == SOLVED):
            values = (parents, U[n], R[:, n], P[:, n], I[:, n])
            theirs, info, _, _ = fsolve(excess, [U[n]] * len(parents), values, full_output=True)
            if np.abs(info["fvec"]).max() < 1e-8:
                met += 1
                np.testing.assert_allclose(theirs, tree.V[:, n], rtol=1e-8)
    assert met > 80


def test_fieldbus_trunk_at_20_and_50_degrees():
    """Source: arithmetic: 1 km of 44 ohm/km at 100 mA loses 4.40 V at 20 C, 4.92 V at 50 C."""
    ohms = np.array([[0.0, 0.0], [44.0, 44.0 * 284.5 / 254.5]])
    tree = tree_of_currents([-1, 0], 13.0, ohms, [0.0, 0.1])
    np.testing.assert_allclose(13.0 - tree.V[1], [4.40, 4.919], atol=5e-4)


def test_one_powered_load():
    """Source: arithmetic: (9.6 + sqrt(9.6^2 - 4 x 0.54 x 16.1)) / 2 = 8.588 V; at most 1.431 W."""
    tree = tree_of_powers([-1, 0], 9.6, [0.0, 16.1], np.array([[0.0] * 3, [0.54, 1.431, 1.432]]), 1)
    assert tree.V[1, 0] == pytest.approx(8.58761, abs=1e-5)
    assert tree.status.tolist() == [SOLVED, SOLVED, NO_STATE]
    assert np.isnan(tree.V[:, 2]).all()


def test_load_that_drops_out():
    tree = tree_of_powers([-1, 0], 9.6, [0.0, 16.1], [0.0, 0.54], [[1.0, 1.0], [8.5, 8.6]])
    assert tree.status.tolist() == [SOLVED, NO_STATE]


def test_resistance_of_the_supply_and_leads_without_length():
    """Source: arithmetic: 12 - 0.05 x 10 = 11.5 V everywhere."""
    tree = tree_of_currents([-1, 0, 1], 12.0, [10.0, 0.0, 0.0], [0.0, 0.02, 0.03])
    assert tree.V.tolist() == [11.5, 11.5, 11.5]
    assert tree.I.tolist() == [0.05, 0.05, 0.03]


def test_too_few_volts_are_shown_for_loads_of_current():
    """Source: arithmetic: 10 - 0.1 x 150 = -5 V."""
    assert tree_of_currents([-1, 0], 10.0, [0.0, 150.0], [0.0, 0.1]).V[1] == -5.0


def test_alone_is_the_same_as_among_others_bit_for_bit():
    rng = np.random.default_rng(24)
    for _ in range(10):
        parents, U, R, P, I = drawn(rng, 20)
        together = tree_of_powers(parents, U, R, P, 4.0, I)
        one = slice(13, 14)
        alone = tree_of_powers(parents, U[one], R[:, one], P[:, one], 4.0, I[:, one])
        for whole, single in zip(together, alone, strict=True):
            assert whole[..., one].tobytes() == single.tobytes()


def test_an_unknown_stays_with_its_circuit():
    parents, least = [-1, 0, 0], [[np.nan] * 4, [5.0] * 4, [5.0] * 4]
    R, P = np.full((3, 4), 5.0), np.array([[0.0] * 4, [0.2] * 4, [0.3] * 4])
    R[1, 0], P[2, 1] = np.nan, np.nan
    tree = tree_of_powers(parents, [20.0, 20.0, np.nan, 20.0], R, P, least)
    assert tree.status.tolist() == [UNKNOWN, UNKNOWN, UNKNOWN, SOLVED]
    assert np.isnan(tree.V[:, :3]).all()
    least[1][3] = np.nan
    assert tree_of_powers(parents, 20.0, R, P, least).status[3] == UNKNOWN
    loads = np.array([[0.0] * 3, [0.1, np.nan, -0.1]])
    assert tree_of_currents([-1, 0], 20.0, [0.0, 5.0], loads).status.tolist() == [0, 1, 1]


@pytest.mark.parametrize("parents", [[], [0], [-1, 1], [-1, 0, 5], [-1, -1]])
def test_parents_that_are_no_tree(parents):
    with pytest.raises(InputError, match="wanted -1 for node 0"):
        tree_of_currents(parents, 20.0, np.zeros(len(parents)), np.zeros(len(parents)))


def test_rows_that_are_not_the_nodes():
    with pytest.raises(InputError, match="wanted 2 rows"):
        tree_of_currents([-1, 0], 20.0, [0.0, 1.0, 2.0], [0.0, 1.0])
