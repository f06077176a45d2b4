"""Trunks with spurs: voltages along a tree of cables with a load at any of its nodes.

A tree is a list of parents: node 0 is where the supply is, and node j hangs on node ``parents[j]``
by a cable, with a lower number. The values of the nodes stand along axis 0 of the arrays; the other
axes are circuits.
"""

# ruff: noqa: E741 - I is the trade's symbol of a current
from __future__ import annotations

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np

from subspark.errors import InputError
from subspark.physics._arrays import BoolArray, FloatArray, Floats, IntArray, floats
from subspark.physics.network import NO_STATE, NOT_FOUND, SOLVED, UNKNOWN

__all__ = ["Tree", "tree_of_currents", "tree_of_powers"]

_MOST_SWEEPS: Final = 100
_SETTLED: Final = 1e-14


class Tree(NamedTuple):
    """Voltage [V] at each node, and current [A] into each node through its cable.

    Both are NaN where ``status`` is not ``network.SOLVED``; it is ``UNKNOWN`` for a circuit with a
    NaN or negative value in it, ``NO_STATE`` where no state gives each load of power its least
    voltage, ``NOT_FOUND`` where the state was not found.
    """

    V: FloatArray
    I: FloatArray
    status: IntArray


def tree_of_currents(parents: Sequence[int], U: Floats, R: Floats, I: Floats) -> Tree:
    """Give the voltages along a tree of loads of constant current.

    Equation: ``V_j = V_parent - R_j I_j``, where ``I_j`` is the sum of the loads from there on.

    Parameters
    ----------
    parents : sequence of int
        Parent of each node; that of node 0 is -1.
    U : array_like of shape (...)
        Voltage of the supply [V].
    R : array_like of shape (j, ...)
        Resistance of the cable to each node, both cores [ohm]; that of node 0 is the resistance of
        the supply.
    I : array_like of shape (j, ...)
        Current that each node draws [A].

    Returns
    -------
    Tree
        Voltages below zero say how many volts are short.

    Raises
    ------
    InputError
        Where the parents are no tree, or the arrays have not one row for each node.

    Example
    -------
    12.8 V, a trunk of 4.92 ohm, on it two spurs with 20 mA and 24 mA:

    >>> tree = tree_of_currents([-1, 0, 1, 1], 12.8, [0.0, 4.92, 0.5, 1.0], [0.0, 0.0, 0.02, 0.024])
    >>> [f"{voltage:.3f}" for voltage in tree.V]
    ['12.800', '12.584', '12.574', '12.560']
    """
    supply, ohms, loads = _values(parents, U, R, I)
    known = _known(supply, ohms, loads)
    with np.errstate(invalid="ignore", over="ignore"):
        into = loads.copy()
        for node in range(len(parents) - 1, 0, -1):
            into[parents[node]] += into[node]
        V = _downward(parents, supply, ohms, into)
    status: IntArray = np.where(known, SOLVED, UNKNOWN)
    return Tree(np.where(known, V, np.nan), np.where(known, into, np.nan), status)


def tree_of_powers(
    parents: Sequence[int], U: Floats, R: Floats, P: Floats, U_least: Floats, I: Floats = 0.0
) -> Tree:
    """Give the voltages along a tree of loads of constant power, in their upper state.

    Equation: ``V_j = V_parent - R_j I_j`` with loads of ``I + P/V``. Newton's steps from the
    voltage of the supply fall to the upper state, because the tangent of ``P/V`` lies below it; a
    step that finds no falling state shows that there is none.

    Parameters
    ----------
    parents : sequence of int
        Parent of each node; that of node 0 is -1.
    U : array_like of shape (...)
        Voltage of the supply [V].
    R : array_like of shape (j, ...)
        Resistance of the cable to each node, both cores [ohm]; that of node 0 is the resistance of
        the supply.
    P : array_like of shape (j, ...)
        Power that each node draws [W].
    U_least : array_like
        Voltage below which a load of power drops out [V], above zero where there is one; one
        value, or of shape (j, ...).
    I : array_like, optional
        Current that each node draws besides [A]; one value, or of shape (j, ...).

    Returns
    -------
    Tree
        A load drops out where its voltage is below ``U_least``, by however little.

    Raises
    ------
    InputError
        Where the parents are no tree, or the arrays have not one row for each node.

    Example
    -------
    >>> tree = tree_of_powers([-1, 0], 9.6, [0.0, 16.1], [0.0, 0.54], 7.0)
    >>> f"{tree.V[1]:.2f} V"
    '8.59 V'
    """
    supply, ohms, powers, loads, least = _values(parents, U, R, P, I, U_least)
    known = _known(supply, ohms, powers, loads)
    with np.errstate(invalid="ignore"):
        known = known & ((least > 0.0) | (powers == 0.0)).all(axis=0)
    shape = powers.shape
    flat = [values.reshape(len(parents), -1) for values in (ohms, powers, loads, least)]
    V, into, status = _descend(parents, supply.reshape(-1), flat, known.reshape(-1))
    good = status == SOLVED
    V, into = np.where(good, V, np.nan), np.where(good, into, np.nan)
    return Tree(V.reshape(shape), into.reshape(shape), status.reshape(shape[1:]))


def _descend(
    parents: Sequence[int], supply: FloatArray, flat: list[FloatArray], known: BoolArray
) -> tuple[FloatArray, FloatArray, IntArray]:
    V = np.array(np.broadcast_to(supply, flat[0].shape))
    into = np.zeros_like(V)
    status: IntArray = np.where(known, NOT_FOUND, UNKNOWN)
    active = np.flatnonzero(known)
    for _ in range(_MOST_SWEEPS):
        if not active.size:
            break
        ohms, powers, loads, least = (values[:, active] for values in flat)
        before, drawing = V[:, active], powers > 0.0
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            current = np.where(drawing, powers / before, 0.0)
            slope = np.where(drawing, -current / before, 0.0)
        fixed = loads + 2.0 * current
        after, flow, falls = _sweep(parents, supply[active], ohms, fixed, slope)
        V[:, active], into[:, active] = after, flow
        with np.errstate(invalid="ignore"):
            enough = falls & (~drawing | ((before >= least) & (after >= least))).all(axis=0)
            settled = (~drawing | (before - after <= _SETTLED * before)).all(axis=0)
        status[active[~enough]] = NO_STATE
        status[active[enough & settled]] = SOLVED
        active = active[enough & ~settled]
    return V, into, status


def _sweep(
    parents: Sequence[int],
    supply: FloatArray,
    ohms: FloatArray,
    fixed: FloatArray,
    slope: FloatArray,
) -> tuple[FloatArray, FloatArray, BoolArray]:
    """Solve a tree whose loads draw ``fixed + slope V``: up for what each cable sees, then down.

    Seen from its parent, what hangs on node j draws ``(J + G V_parent) / (1 + G R)``; the circuit
    has the state that continues the unloaded one only while every ``1 + G R`` is above zero.
    """
    J, G = fixed.copy(), slope.copy()
    share = np.ones_like(G)
    falls = np.ones(supply.shape, dtype=np.bool_)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        for node in range(len(parents) - 1, -1, -1):
            share[node] = 1.0 + G[node] * ohms[node]
            falls &= share[node] > 0.0
            if node:
                J[parents[node]] += J[node] / share[node]
                G[parents[node]] += G[node] / share[node]
        V, flow = np.empty_like(J), np.empty_like(J)
        for node in range(len(parents)):
            above = V[parents[node]] if node else supply
            flow[node] = (J[node] + G[node] * above) / share[node]
            V[node] = above - ohms[node] * flow[node]
    return V, flow, falls


def _downward(
    parents: Sequence[int], supply: FloatArray, ohms: FloatArray, into: FloatArray
) -> FloatArray:
    V = np.empty_like(into)
    for node in range(len(parents)):
        above = V[parents[node]] if node else supply
        V[node] = above - ohms[node] * into[node]
    return V


def _values(parents: Sequence[int], U: Floats, *by_node: Floats) -> list[FloatArray]:
    """Give the supply of shape (...), then the values of the nodes of shape (j, ...)."""
    count = len(parents)
    wrong = [node for node in range(1, count) if not 0 <= parents[node] < node]
    if not count or parents[0] != -1 or wrong:
        raise InputError(
            f"parents {list(parents)}; wanted -1 for node 0 and for every other a lower node"
        )
    supply = floats(U)
    rows = [floats(values) for values in by_node]
    for values in rows:
        if values.ndim and values.shape[0] != count:
            raise InputError(f"values of shape {values.shape}; wanted {count} rows, one a node")
    shape = np.broadcast_shapes(supply.shape, *(values.shape[1:] for values in rows))
    out = [np.broadcast_to(supply, shape)]
    for values in rows:
        missing = (1,) * (len(shape) + 1 - values.ndim)
        spread = values if not values.ndim else values.reshape(count, *missing, *values.shape[1:])
        out.append(np.broadcast_to(spread, (count, *shape)))
    return out


def _known(supply: FloatArray, *by_node: FloatArray) -> BoolArray:
    known: BoolArray = np.asarray(np.isfinite(supply))
    for values in by_node:
        known = known & (np.isfinite(values) & (values >= 0.0)).all(axis=0)
    return known
