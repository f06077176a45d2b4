"""The problem made small: equal circuits grouped, dominated types dropped, parts taken apart.

**Equal circuits.** Circuits that the same types serve and that agree in need, group, existing
type and cost of change are one class with a count.

**Dominated types.** Type B is dropped for type A where A serves every circuit that B serves,
stocking A costs no more than stocking B, and ``price A * ceil(channels B / channels A) <=
price B``; B must not be forced, nothing of B may be installed, and A must have a price. Proof:
take a plan that uses B and move all of B's circuits to A, group by group. What B's k modules
held, ``spare * load <= k * channels B``, is held by ``k * ceil(channels B / channels A)`` further
modules of A, since rounding up a sum gives no more than the sum of the parts rounded up; they
cost no more than the k of B. No circuit had B before, so no cost of change appears that was not
paid. A in place of B adds no type. Hence no optimum is lost, whether cost or the number of types
comes first. Of two types that dominate each other the first stays.

Comparing prices per channel instead would be wrong: one circuit alone on a module of eight pays
for the module.

**Parts.** Circuits and types that no chain of "serves" joins are solved apart.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from subspark.choose.covering_problem import Bools, Covering, Ints, Money

__all__ = ["Part", "Plan", "dominated", "parts", "plan_cost", "reduced", "used_channels"]

Plan = Ints
"""How many circuits of each class are on each type, shape (classes, types)."""


@dataclass(frozen=True, eq=False, slots=True)
class Part:
    """Classes of equal circuits and the types that may serve them, joined with no other part.

    All costs are whole numbers of one unit. ``existing`` is a place among ``types``, -1 for none
    that works; ``free`` are channels installed and not taken by circuits that nothing serves.
    """

    serves: Bools
    count: Ints
    need: Ints
    group: Ints
    existing: Ints
    change: Ints
    members: tuple[Ints, ...]
    types: Ints
    price: Ints
    stocking: Ints
    channels: Ints
    free: Ints
    forced: Bools
    priced: Bools
    times: int
    per: int

    @property
    def load(self) -> Ints:
        """Channels that all circuits of each class take."""
        return self.count * self.need

    @property
    def move(self) -> Ints:
        """Cost of change for one circuit of a class on a type, shape (classes, types)."""
        away = np.arange(len(self.types)) != self.existing[:, None]
        return np.where(away & (self.existing >= 0)[:, None], self.change[:, None], 0)


def dominated(part: Part) -> Bools:
    """Types of a part that another type replaces at no loss; see the proof above."""
    rows = np.unique(part.serves, axis=0).astype(np.float32)
    cover = rows.T @ (1 - rows) == 0
    modules = -(-part.channels[:, None] // part.channels)
    cheaper = part.price * modules <= part.price[:, None]
    leaner = part.stocking <= part.stocking[:, None]
    loose = ~part.forced & ~part.free.any(axis=1)
    loose[part.existing[part.existing >= 0]] = False
    by = cover & cheaper & leaner & part.priced & loose[:, None]
    np.fill_diagonal(by, val=False)
    first = np.arange(len(part.types)) < np.arange(len(part.types))[:, None]
    return np.asarray((by & (first | ~by.T)).any(axis=1))


def parts(problem: Covering, serves: Bools, money: Money) -> Iterator[Part]:
    """Parts of a problem, smallest first, classes in an order that circuits' order cannot change.

    Parameters
    ----------
    problem : Covering
        What is to be covered.
    serves : array of bool
        Which type may serve which circuit, after :func:`~.covering_problem.usable`.
    money : Money
        Costs in whole units.
    """
    whole = reduced(problem, serves, money)
    apart = _taken_apart(whole.serves)
    pieces = [_with_types(_with_classes(whole, rows), columns) for rows, columns in apart]
    return iter(sorted(pieces, key=lambda part: (part.serves.size, int(part.types[0]))))


def reduced(problem: Covering, serves: Bools, money: Money) -> Part:
    """Equal circuits grouped and dominated types dropped, not yet taken apart."""
    whole = _whole(problem, serves, money)
    return _with_types(whole, np.flatnonzero(~dominated(whole) & whole.serves.any(axis=0)))


def _whole(problem: Covering, serves: Bools, money: Money) -> Part:
    """All circuits that can be served, equal ones grouped."""
    n, m = serves.shape
    rows = np.flatnonzero(serves.any(axis=1))
    existing = np.asarray(problem.existing)
    works = (existing >= 0) & serves[np.arange(n), existing] if m else np.zeros(n, dtype=bool)
    numbers = {
        "need": np.asarray(problem.need),
        "group": np.asarray(problem.group),
        "existing": np.where(works, existing, -1),
        "change": np.where(works, money.change, 0),
    }
    left, members = _classes(
        serves[rows], np.stack([one[rows] for one in numbers.values()], axis=1)
    )
    heads = rows[[int(one[0]) for one in members]] if members else rows
    ratio = 1 + Fraction(problem.spare)
    return Part(
        serves=left,
        count=np.array([len(one) for one in members], dtype=np.int64),
        **{name: one[heads] for name, one in numbers.items()},
        members=tuple(rows[one] for one in members),
        types=np.arange(m),
        price=money.price,
        stocking=money.stocking,
        channels=np.asarray(problem.channels),
        free=_free(problem, serves),
        forced=np.isin(np.arange(m), problem.forced),
        priced=~np.isnan(problem.price),
        times=ratio.numerator,
        per=ratio.denominator,
    )


def _free(problem: Covering, serves: Bools) -> Ints:
    """Channels installed, less those of circuits that nothing serves, which stay where they are."""
    free: Ints = np.asarray(problem.installed) * np.asarray(problem.channels)[:, None]
    existing, group = np.asarray(problem.existing), np.asarray(problem.group)
    stays = (existing >= 0) & ~serves.any(axis=1)
    np.subtract.at(free, (existing[stays], group[stays]), np.asarray(problem.need)[stays])
    return free


def _classes(serves: Bools, numbers: Ints) -> tuple[Bools, list[Ints]]:
    """Rows that differ, in order of their values, and the places of each."""
    if not len(serves):
        return serves, []
    packed = np.packbits(serves, axis=1)
    key = np.ascontiguousarray(
        np.concatenate(
            [packed, numbers.astype(">i8").view(np.uint8).reshape(len(numbers), -1)], axis=1
        )
    )
    flat = key.view(np.dtype((np.void, key.shape[1]))).ravel()
    _, head, inverse = np.unique(flat, return_index=True, return_inverse=True)
    order = np.argsort(inverse, kind="stable")
    cuts = np.searchsorted(inverse[order], np.arange(1, len(head)))
    return serves[head], np.split(order, cuts)


def _with_types(part: Part, keep: NDArray[np.intp]) -> Part:
    """Take a part with some of its types alone, classes that became equal joined."""
    place = np.full(len(part.types) + 1, -1, dtype=np.int64)
    place[keep] = np.arange(len(keep))
    existing = place[part.existing]
    numbers = np.stack([part.need, part.group, existing, part.change], axis=1)
    serves, joined = _classes(part.serves[:, keep], numbers)
    heads = [int(one[0]) for one in joined]
    return Part(
        serves=serves,
        count=np.array([part.count[one].sum() for one in joined], dtype=np.int64),
        need=part.need[heads],
        group=part.group[heads],
        existing=existing[heads],
        change=part.change[heads],
        members=tuple(np.sort(np.concatenate([part.members[i] for i in one])) for one in joined),
        types=part.types[keep],
        price=part.price[keep],
        stocking=part.stocking[keep],
        channels=part.channels[keep],
        free=part.free[keep],
        forced=part.forced[keep],
        priced=part.priced[keep],
        times=part.times,
        per=part.per,
    )


def _with_classes(part: Part, keep: NDArray[np.intp]) -> Part:
    """Take a part with some of its classes alone, groups numbered anew."""
    groups, group = np.unique(part.group[keep], return_inverse=True)
    return Part(
        serves=part.serves[keep],
        count=part.count[keep],
        need=part.need[keep],
        group=group.astype(np.int64),
        existing=part.existing[keep],
        change=part.change[keep],
        members=tuple(part.members[int(one)] for one in keep),
        types=part.types,
        price=part.price,
        stocking=part.stocking,
        channels=part.channels,
        free=part.free[:, groups],
        forced=part.forced,
        priced=part.priced,
        times=part.times,
        per=part.per,
    )


def _taken_apart(serves: Bools) -> Iterator[tuple[NDArray[np.intp], NDArray[np.intp]]]:
    """Rows and columns that "serves" joins, one set after the other."""
    rows = np.unique(serves, axis=0).astype(np.float32)
    joined = rows.T @ rows > 0
    left = np.ones(serves.shape[1], dtype=bool)
    while left.any():
        reached = np.zeros_like(left)
        reached[np.flatnonzero(left)[0]] = True
        while (wider := joined[reached].any(axis=0) | reached).sum() > reached.sum():
            reached = wider
        left &= ~reached
        yield np.flatnonzero(serves[:, reached].any(axis=1)), np.flatnonzero(reached)


def used_channels(part: Part, plan: Plan) -> Ints:
    """Channels in use by type and group under a plan, shape (types, groups)."""
    used = np.zeros((part.free.shape[1], len(part.types)), dtype=np.int64)
    np.add.at(used, part.group, plan * part.need[:, None])
    return used.T


def plan_cost(part: Part, plan: Plan) -> tuple[int, int]:
    """Types in stores and cost in units under a plan."""
    over = np.maximum(used_channels(part, plan) - part.free, 0)
    bought = -(-over * part.times // (part.channels[:, None] * part.per))
    stored = part.forced | plan.any(axis=0)
    cost = (bought.sum(axis=1) * part.price).sum() + part.stocking[stored].sum()
    return int(stored.sum()), int(cost + (plan * part.move).sum())
