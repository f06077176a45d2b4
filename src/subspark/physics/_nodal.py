"""Newton's method for circuits whose branches draw no less current at more voltage.

The work of ``network``. Circuits stand along the last axis of every array, and no operation mixes
two of them or sums along an axis whose order of summing depends on how many there are.
"""

# ruff: noqa: E741 - I is the trade's symbol of a current
from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from subspark.physics._arrays import BoolArray, FloatArray, IntArray, floats

__all__ = ["LEAST_OHMS", "Curves", "solve_monotone", "without_leak"]

LEAST_OHMS: Final = 1e-4
"""Resistance [ohm] below which a branch counts as one of so much; 20 mA lose 2 uV in it."""

_LEAK: Final = 1e-15
"""Conductance [S] of every node to the common, so that a node beyond diodes has a voltage."""

_MOST_STEPS: Final = 100
_EXACT: Final = 1e-12
_FLOOR: Final = 1e-18
_NOISE: Final = 32.0 * float(np.finfo(np.float64).eps)


@dataclass(frozen=True, eq=False)
class Curves:
    """Piecewise straight currents of branches (b) of circuits (n) by voltage, knees (k) rising."""

    nodes: int
    first: IntArray
    second: IntArray
    reference: FloatArray
    at: FloatArray
    slope: FloatArray
    knees: FloatArray
    knee_I: FloatArray
    knee_slope: FloatArray

    def take(self, chosen: IntArray) -> Curves:
        """Give the chosen circuits."""
        return replace(
            self,
            reference=self.reference[:, chosen],
            at=self.at[:, chosen],
            slope=self.slope[:, chosen],
            knees=self.knees[:, :, chosen],
            knee_I=self.knee_I[:, :, chosen],
            knee_slope=self.knee_slope[:, :, chosen],
        )

    def with_offsets(self, branches: list[int], currents: FloatArray) -> Curves:
        """Give the same with constant currents in some branches, which have no slope."""
        at = self.at.copy()
        at[branches] = currents
        return replace(self, at=at)

    def currents(self, across: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Give currents [A] and slopes [S] (b, n) at voltages [V] across the branches."""
        slope = self.slope
        with np.errstate(invalid="ignore"):
            I = self.at + slope * (across - self.reference)
            for knee in range(self.knees.shape[1]):
                start, further = self.knees[:, knee], self.knee_slope[:, knee]
                past = across > start
                I = np.where(past, self.knee_I[:, knee] + further * (across - start), I)
                slope = np.where(past, further, slope)
        return I, slope

    def residual(self, V: FloatArray, I: FloatArray) -> FloatArray:
        """Give the currents [A] (nodes, n) that flow into each node; 0 at the common."""
        net = np.zeros_like(V)
        for branch, (a, b) in enumerate(zip(self.first, self.second, strict=True)):
            net[a] -= I[branch]
            net[b] += I[branch]
        net[0] = 0.0
        return net

    def tolerance(self, V: FloatArray, I: FloatArray, slope: FloatArray) -> FloatArray:
        """Give what rounding alone may leave at each node [A]."""
        size = np.full(V.shape, _FLOOR)
        for branch, (a, b) in enumerate(zip(self.first, self.second, strict=True)):
            noise = _EXACT * np.abs(I[branch])
            noise += _NOISE * slope[branch] * (np.abs(V[a]) + np.abs(V[b]))
            size[a] += noise
            size[b] += noise
        return size


def solve_monotone(curves: Curves, V: FloatArray) -> tuple[FloatArray, BoolArray]:
    """Find the voltages of the nodes.

    Parameters
    ----------
    curves : Curves
        Currents of the branches, nowhere falling.
    V : ndarray of shape (nodes, n)
        Where to begin [V].

    Returns
    -------
    tuple of two ndarrays
        Voltages [V] of shape (nodes, n), and of shape (n,) whether they were found.
    """
    V = V.copy()
    found = np.zeros(V.shape[1], dtype=np.bool_)
    order = _elimination_order(curves)
    active, part = np.arange(V.shape[1]), curves
    for _ in range(_MOST_STEPS):
        here = V[:, active]
        across = here[part.first] - here[part.second]
        I, slope = part.currents(across)
        net = part.residual(here, I) - _LEAK * here
        done = (np.abs(net) <= part.tolerance(here, I, slope)).all(axis=0)
        found[active[done]] = True
        if done.any():
            left = ~done
            active, part = active[left], part.take(np.flatnonzero(left))
            here, across, slope, net = here[:, left], across[:, left], slope[:, left], net[:, left]
        if not active.size:
            break
        step = _direction(part, order, slope, net)
        V[:, active] = here + _length(part, here, across, net, step) * step
    return V, found


def without_leak(curves: Curves, V: FloatArray) -> FloatArray:
    """Take out of the voltages that were found what the leak at the nodes has put into them."""
    I, slope = curves.currents(V[curves.first] - V[curves.second])
    net = curves.residual(V, I)
    other = V + _direction(curves, _elimination_order(curves), slope, net)
    other_I, _ = curves.currents(other[curves.first] - other[curves.second])
    left = np.abs(curves.residual(other, other_I)).max(axis=0)
    return np.where(left <= np.abs(net).max(axis=0), other, V)


def _elimination_order(curves: Curves) -> list[tuple[int, list[int]]]:
    """Give the nodes in the order of their elimination, with the neighbours each then has."""
    ends = zip(curves.first.tolist(), curves.second.tolist(), strict=True)
    near: dict[int, set[int]] = {node: {0} for node in range(1, curves.nodes)}
    near[0] = set(range(1, curves.nodes))
    for a, b in ends:
        near[a].add(b)
        near[b].add(a)
    order = []
    left = set(range(1, curves.nodes))
    while left:
        node = min(left, key=lambda number: (len(near[number]), -number))
        neighbours = sorted(near.pop(node))
        for one in neighbours:
            near[one] |= set(neighbours) - {one}
            near[one].discard(node)
        order.append((node, neighbours))
        left.remove(node)
    return order


def _direction(
    curves: Curves, order: list[tuple[int, list[int]]], slope: FloatArray, net: FloatArray
) -> FloatArray:
    """Solve the linear circuit of the slopes, by turning stars into meshes.

    Nothing is subtracted, so conductances of any size beside each other keep their digits.
    """
    between: dict[tuple[int, int], FloatArray] = {}

    def add(a: int, b: int, conductance: FloatArray) -> None:
        pair = (a, b) if a < b else (b, a)
        between[pair] = between[pair] + conductance if pair in between else conductance

    leak = np.full(net.shape[1], _LEAK)
    for node in range(1, curves.nodes):
        add(0, node, leak)
    for branch, (a, b) in enumerate(
        zip(curves.first.tolist(), curves.second.tolist(), strict=True)
    ):
        add(a, b, slope[branch])
    inflow = net.copy()
    stars = []
    for node, neighbours in order:
        arms = [between.pop((min(node, to), max(node, to))) for to in neighbours]
        total = arms[0]
        for arm in arms[1:]:
            total = total + arm
        shares = [arm / total for arm in arms]
        for place, to in enumerate(neighbours):
            inflow[to] += shares[place] * inflow[node]
            for other in range(place):
                add(neighbours[other], to, shares[other] * arms[place])
        stars.append((node, neighbours, shares, total))
    step = np.zeros_like(net)
    for node, neighbours, shares, total in reversed(stars):
        step[node] = inflow[node] / total
        for to, share in zip(neighbours, shares, strict=True):
            step[node] += share * step[to]
    return step


def _length(
    curves: Curves, V: FloatArray, across: FloatArray, net: FloatArray, step: FloatArray
) -> FloatArray:
    """Give how much of a step to take: all of it, or to where the content is least along it.

    The content of a circuit is convex and its slope along a step is piecewise straight, so that
    the place is found exactly between two knees.
    """
    along = step[curves.first] - step[curves.second]
    start = np.zeros(V.shape[1])
    for node in range(1, curves.nodes):
        start -= net[node] * step[node]
    length = np.ones(V.shape[1])
    ahead = _content_slope(curves, V, across, step, along, length)
    with np.errstate(invalid="ignore"):
        bad = np.flatnonzero(~(np.abs(ahead) <= 0.5 * np.abs(start)))
    if bad.size:
        length[bad] = _least_content(
            curves.take(bad), V[:, bad], across[:, bad], step[:, bad], along[:, bad]
        )
    return length


def _content_slope(
    curves: Curves,
    V: FloatArray,
    across: FloatArray,
    step: FloatArray,
    along: FloatArray,
    length: FloatArray,
) -> FloatArray:
    I, _ = curves.currents(across + length * along)
    total = np.zeros(V.shape[1])
    for node in range(1, curves.nodes):
        total += _LEAK * (V[node] + length * step[node]) * step[node]
    for branch in range(along.shape[0]):
        total += along[branch] * I[branch]
    return total


def _least_content(
    curves: Curves, V: FloatArray, across: FloatArray, step: FloatArray, along: FloatArray
) -> FloatArray:
    with np.errstate(divide="ignore", invalid="ignore"):
        places = (curves.knees - across[:, None]) / along[:, None]
    places = np.where(places > 0.0, places, np.inf).reshape(-1, V.shape[1])
    places = np.sort(np.concatenate([np.zeros((1, V.shape[1])), places]), axis=0)

    def slope_at(length: FloatArray) -> FloatArray:
        return _content_slope(curves, V, across, step, along, length)

    def place(number: IntArray) -> FloatArray:
        return floats(np.take_along_axis(places, number[None], axis=0)[0])

    # The last place where the content still falls: between ``low`` and ``high``.
    low = np.zeros(V.shape[1], dtype=np.intp)
    high = np.full(V.shape[1], places.shape[0], dtype=np.intp)
    for _ in range(int(places.shape[0]).bit_length()):
        middle = (low + high) // 2
        at = place(np.minimum(middle, places.shape[0] - 1))
        finite = np.isfinite(at)
        falls = finite & (slope_at(np.where(finite, at, 0.0)) < 0.0) & (middle > low)
        low, high = np.where(falls, middle, low), np.where(falls, high, middle)
        high = np.maximum(high, low + 1)
    left = place(low)
    right = place(np.minimum(high, places.shape[0] - 1))
    right = np.where(np.isfinite(right) & (right > left), right, left + 1.0)
    before, after = slope_at(left), slope_at(right)
    with np.errstate(divide="ignore", invalid="ignore"):
        further = -before * (right - left) / (after - before)
    return left + np.where(np.isfinite(further) & (further > 0.0), further, 0.0)
