"""An answer at once: types added greedily, then dropped and swapped while that pays.

Types are first weighed with modules as if bought by the channel; circuits go to the cheapest
open type. Then modules are counted whole: circuits that alone open a module are moved to free
channels elsewhere where that costs less, open types are dropped, classes moved, and installed
types that were given up taken up again, while the whole cost falls.
All steps are bounded by counts, never by a clock, so the same input gives the same answer.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from subspark.choose.covering_problem import Bools, Ints
from subspark.choose.covering_reduce import Part, Plan, plan_cost, used_channels

__all__ = ["quick_plan"]

SWEEPS = 20
"""Rounds of drop and swap; a handful is the rule."""
MOST_SWAP_CELLS = 60_000_000
"""Sizes of the tables that swaps may look through in all, so that large plants stay quick."""
SHIFTS = 8
"""Rounds in which every class may move; fewer in large parts."""
MOST_SHIFTED = 4_000
"""Classes looked at in all in such rounds; one round at least."""
WORST_CELLS = 2_000
"""Modules looked at, one type and group each, for circuits that alone open them."""

Floats = NDArray[np.float64]


class _Weights(NamedTuple):
    """Cost of a whole class on a type by the channel (inf where not served), and of opening."""

    cost: Floats
    opening: Floats


def quick_plan(part: Part, *, types_first: bool) -> Plan:
    """Find a good plan for a part without the optimiser.

    Parameters
    ----------
    part : Part
        Classes and types.
    types_first : bool
        Whether the number of types comes before the cost.
    """
    weights = _weights(part, types_first=types_first)
    opened = _improved(weights, _opened(weights, part.forced), part.forced)
    plan = _repaired(part, _assigned(part, weights, opened))
    plan = _dropped(part, weights, plan, types_first=types_first)
    plan = _repaired(part, _shifted(part, plan, types_first=types_first))
    return plan if types_first else _reopened(part, plan)


def _weights(part: Part, *, types_first: bool) -> _Weights:
    rate = part.price * (part.times / (part.per * part.channels))
    kept = np.arange(len(part.types)) == part.existing[:, None]
    cost = np.where(kept, 0.0, part.load[:, None] * rate) + part.count[:, None] * part.move
    cost = np.where(part.serves, cost, np.inf)
    opening = part.stocking.astype(np.float64)
    if types_first:
        opening += 1 + np.where(part.serves, cost, 0).max(axis=1).sum() + part.stocking.sum()
    return _Weights(cost, np.where(part.forced, 0, opening))


def _opened(weights: _Weights, forced: Bools) -> Bools:
    """Types opened one by one, each time the one that saves most; first all must be served."""
    cost, opening = weights
    finite = np.where(np.isfinite(cost), cost, 0)
    unserved = finite.max(axis=1) + opening.max(initial=0) + 1
    opened = forced.copy()
    best = np.minimum(unserved, np.where(opened, cost, np.inf).min(axis=1, initial=np.inf))
    for _ in range(len(opened)):
        saved = np.maximum(best[:, None] - cost, 0).sum(axis=0) - opening
        saved[opened] = -np.inf
        one = int(saved.argmax())
        if saved[one] <= 0:
            break
        opened[one] = True
        best = np.minimum(best, cost[:, one])
    return opened


def _improved(weights: _Weights, opened: Bools, forced: Bools) -> Bools:
    """Drop and swap open types while the cost by the channel falls."""
    opened = opened.copy()
    budget = MOST_SWAP_CELLS
    for _ in range(SWEEPS):
        changed = False
        for out in np.flatnonzero(opened & ~forced):
            budget -= weights.cost.size
            if budget < 0:
                return opened
            rest = opened.copy()
            rest[out] = False
            gain, one = _replacement(weights, opened, rest, int(out))
            if gain > 1e-9:
                opened = rest
                if one >= 0:
                    opened[one] = True
                changed = True
        if not changed:
            break
    return opened


def _replacement(weights: _Weights, opened: Bools, rest: Bools, out: int) -> tuple[float, int]:
    """Return what dropping a type saves, alone (-1) or with the best type opened for it."""
    cost, opening = weights
    with_it = cost[:, opened].min(axis=1)
    without = cost[:, rest].min(axis=1, initial=np.inf)
    loss = (without - with_it).sum()
    best, one = opening[out] - loss, -1
    moved = np.flatnonzero(without > with_it)
    shut = np.flatnonzero(~opened)
    if len(shut) and len(moved):
        kept = np.flatnonzero(without <= with_it)
        reached = np.minimum(cost[np.ix_(moved, shut)], without[moved, None])
        extra = (reached - with_it[moved, None]).sum(axis=0)
        also = np.maximum(with_it[kept, None] - cost[np.ix_(kept, shut)], 0).sum(axis=0)
        gains = opening[out] - opening[shut] - extra + also
        place = int(gains.argmax())
        if gains[place] > best:
            best, one = float(gains[place]), int(shut[place])
    return float(best), one


def _assigned(part: Part, weights: _Weights, opened: Bools) -> Plan:
    """Return every class on its cheapest open type; of equals on the first."""
    best = np.where(opened, weights.cost, np.inf).argmin(axis=1)
    plan = np.zeros(part.serves.shape, dtype=np.int64)
    plan[np.arange(len(best)), best] = part.count
    return plan


def _reopened(part: Part, plan: Plan) -> Plan:
    """Take up again installed types that were given up, where their free channels pay for them."""
    best = plan_cost(part, plan)[1]
    for _ in range(SWEEPS):
        before = best
        for one in np.flatnonzero(~plan.any(axis=0) & part.free.any(axis=1)):
            other = plan.copy()
            home = part.existing == one
            other[home] = 0
            other[home, one] = part.count[home]
            other = _repaired(part, other, also=int(one))
            cost = plan_cost(part, other)[1]
            if cost < best:
                best, plan = cost, other
        if best == before:
            break
    return plan


def _repaired(part: Part, plan: Plan, also: int = -1) -> Plan:
    """Move circuits that alone open a module to free channels elsewhere, where that pays.

    ``also`` is a type that may be used though nothing is on it yet.
    """
    plan = plan.copy()
    opened = np.asarray(plan.any(axis=0))
    opened[also] |= also >= 0
    open_types = np.flatnonzero(opened)
    used = used_channels(part, plan)
    over, room = _rounding(part, used)
    cells = np.argwhere((over > 0) & (part.price[:, None] > 0))
    order = np.argsort(-part.price[cells[:, 0]], kind="stable")[:WORST_CELLS]
    for one, place in cells[order]:
        while True:
            over, room = _rounding(part, used)
            cell = (int(one), int(place), int(over[one, place]))
            if not cell[2] or not _emptied(part, plan, used, room, open_types, cell):
                break
    return plan


def _rounding(part: Part, used: Ints) -> tuple[Ints, Ints]:
    """Channels that make up the last module bought, and channels still free without buying."""
    above = np.maximum(used - part.free, 0)
    width = part.channels[:, None] * part.per
    bought = -(-above * part.times // width)
    over = np.where(bought > 0, above - (bought - 1) * width // part.times, 0)
    room = part.free + bought * width // part.times - used
    return over, room


def _emptied(  # one step of the repair, on shared tables
    part: Part,
    plan: Plan,
    used: Ints,
    room: Ints,
    open_types: NDArray[np.intp],
    cell: tuple[int, int, int],
) -> bool:
    """Take channels off a type in a group, so that a module is saved, if others have room."""
    one, place, wanted = cell
    free = room[:, place].copy()
    others = open_types[open_types != one]
    moves: list[tuple[int, int, int]] = []
    paid, left = 0, wanted
    rows = np.flatnonzero((part.group == place) & (plan[:, one] > 0))
    away = (part.existing[rows] >= 0)[:, None] & (
        np.arange(len(part.types)) != part.existing[rows, None]
    )
    move = np.where(away, part.change[rows, None], 0)
    for order in np.argsort(move[:, others].min(axis=1, initial=0) - move[:, one], kind="stable"):
        row = int(rows[order])
        count, need = int(plan[row, one]), int(part.need[row])
        for to in others[np.argsort(move[order, others], kind="stable")]:
            if left <= 0 or count <= 0:
                break
            fits = min(count, int(free[to]) // need, -(-left // need))
            if fits > 0 and part.serves[row, to]:
                moves.append((row, int(to), fits))
                paid += fits * int(move[order, to] - move[order, one])
                free[to] -= fits * need
                left -= fits * need
                count -= fits
    if left > 0 or paid >= part.price[one]:
        return False
    for row, to, fits in moves:
        plan[row, one] -= fits
        plan[row, to] += fits
        used[one, place] -= fits * part.need[row]
        used[to, place] += fits * part.need[row]
    return True


def _shifted(part: Part, plan: Plan, *, types_first: bool) -> Plan:
    """Move whole classes, one by one, to where modules counted whole are cheapest."""
    plan = plan.copy()
    used, on = used_channels(part, plan), plan.sum(axis=0)
    width = part.channels * part.per
    opening = np.where(part.forced, 0, part.stocking).astype(np.int64)
    shut = np.where(
        part.forced | ~np.bool_(types_first), 0, 1 + (part.price * part.load.sum()).sum()
    )

    def modules(group: int, channels: Ints) -> Ints:
        over = np.maximum(channels - part.free[:, group], 0) * part.times
        return np.asarray(-(-over // width) * part.price)

    for _ in range(max(1, min(SHIFTS, MOST_SHIFTED // len(part.count)))):
        moved = False
        for row, one in np.argwhere(plan):
            count, group = int(plan[row, one]), int(part.group[row])
            load = count * int(part.need[row])
            here = used[:, group]
            now = modules(group, here)
            cost = modules(group, here + load) - now
            cost += np.where(on > 0, 0, opening + shut)
            if part.existing[row] >= 0:
                cost += count * int(part.change[row])
                cost[part.existing[row]] -= count * int(part.change[row])
            left = here.copy()
            left[one] -= load
            stays = now[one] - modules(group, left)[one]
            if on[one] == count:
                stays += opening[one]
            if part.existing[row] >= 0 and part.existing[row] != one:
                stays += count * int(part.change[row])
            cost = np.where(part.serves[row], cost, np.iinfo(np.int64).max)
            cost[one] = stays
            to = int(cost.argmin())
            if cost[to] < stays:
                plan[row, to] += count
                plan[row, one] = 0
                used[to, group] += load
                used[one, group] -= load
                on[to] += count
                on[one] -= count
                moved = True
        if not moved:
            break
    return plan


def _dropped(part: Part, weights: _Weights, plan: Plan, *, types_first: bool) -> Plan:
    """Drop open types while the whole cost, modules counted whole, falls."""

    def worth(one: Plan) -> tuple[int, int]:
        types, cost = plan_cost(part, one)
        return (types if types_first else 0, cost)

    best = worth(plan)
    opened = np.asarray(plan.any(axis=0))
    for out in sorted(np.flatnonzero(opened & ~part.forced), key=lambda one: plan[:, one].sum()):
        rest = opened.copy()
        rest[out] = False
        if not part.serves[:, rest].any(axis=1).all():
            continue
        other = _repaired(part, _assigned(part, weights, rest))
        if worth(other) < best:
            best, plan, opened = worth(other), other, np.asarray(other.any(axis=0))
    return plan
