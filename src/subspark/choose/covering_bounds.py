"""A lower bound of our own, valid before the optimiser has one: a dual solution by ascent.

Modules are counted by the channel, which costs no more than whole ones. What is left is the
problem of opening types and putting classes on them; every class may bid v for being served, as
long as no type's bids above its costs come to more than opening it. The sum of such bids is a
bound (Erlenkotter 1978; Bilde and Krarup 1977). Bids are raised in turn, level by level.

Free channels of installed modules are worth something: where u channels are in use and F are
free, whole modules cost at least rate * (u - F), and at least nothing, so also at least
worth * rate * (u - F) for any worth from 0 to 1. Every choice of worths, one for each type and
group, gives a bound; a few steps towards those where use meets what is free, and the best counts.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from subspark.choose.covering_reduce import Part

__all__ = ["ascent", "cost_bound", "types_bound"]

Floats = NDArray[np.float64]

MOST_STEPS = 40_000
"""Bids raised in all: a class of a large part is raised a few times, of a small one to the end."""
MOST_TRIES = 25
"""Worths of free channels tried; fewer in large parts."""
SLACK = 1e-6
"""Trimmed off a bound before it is rounded up, for the rounding of sums."""


def ascent(cost: Floats, opening: Floats, most_steps: int = MOST_STEPS) -> float:
    """Bound the cost of opening types and serving every class from an open one.

    Parameters
    ----------
    cost : array, shape (classes, types)
        Cost of a class on a type, inf where it is not served.
    opening : array, shape (types,)
        Cost of opening a type.
    most_steps : int
        Bids raised in all.
    """
    n = len(cost)
    if not n:
        return 0.0
    bid = cost.min(axis=1)
    slack = opening.astype(np.float64)
    levels = np.sort(cost, axis=1)
    few = np.argsort(np.isfinite(cost).sum(axis=1), kind="stable")
    steps, active = 0, list(few)
    while active and steps < most_steps:
        steps += len(active)
        again = []
        for one in active:
            most = float((np.maximum(cost[one], bid[one]) + slack).min())
            place = int(np.searchsorted(levels[one], bid[one], side="right"))
            next_level = levels[one, place] if place < levels.shape[1] else np.inf
            to = min(most, float(next_level))
            if to > bid[one]:
                reached = cost[one] < to
                slack[reached] -= to - np.maximum(cost[one, reached], bid[one])
                bid[one] = to
            if to < most:
                again.append(one)
        active = again
    excess = np.maximum(bid[:, None] - cost, 0).sum(axis=0) - opening
    return float(bid.sum() - np.maximum(excess, 0).sum())


def _rounded_up(bound: float) -> int:
    return max(0, math.ceil(bound - SLACK * max(1.0, abs(bound) * SLACK)))


def types_bound(part: Part) -> int:
    """Fewest types that can serve a part, at least."""
    opening = np.where(part.forced, 0.0, 1.0)
    cost = np.where(np.unique(part.serves, axis=0), 0.0, np.inf)
    return int(part.forced.sum()) + _rounded_up(ascent(cost, opening))


def cost_bound(part: Part) -> int:
    """Least cost of a part in units, at least, whatever the number of types."""
    rate = part.price * (part.times / (part.per * part.channels))
    moves = part.count[:, None] * part.move
    by_channel = part.load[:, None] * rate
    opening = np.where(part.forced, 0, part.stocking).astype(np.float64)
    stored = int(part.stocking[part.forced].sum())
    if not part.free.any():
        return stored + _rounded_up(
            ascent(np.where(part.serves, by_channel + moves, np.inf), opening)
        )
    has_free = part.free > 0
    worth, best = np.where(has_free, 0.5, 1.0), 0.0
    tries = max(3, min(MOST_TRIES, MOST_STEPS // max(1, len(part.count)) // 2))
    for step in range(tries):
        cost = np.where(part.serves, by_channel * worth[:, part.group].T + moves, np.inf)
        paid = float((worth * rate[:, None] * part.free).sum())
        best = max(best, ascent(cost, opening, max(MOST_STEPS // tries, 2 * len(cost))) - paid)
        used = np.zeros((part.free.shape[1], len(part.types)))
        np.add.at(used, (part.group, cost.argmin(axis=1)), part.load)
        short = np.clip((used.T - part.free) / np.maximum(part.free, 1), -1, 1)
        worth = np.where(has_free, np.clip(worth + 0.5 / (1 + step / 5) * short, 0, 1), 1.0)
    return stored + _rounded_up(best)
