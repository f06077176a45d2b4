"""The answer: types chosen, circuit by circuit, with its cost, its bound and what is proved."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, NamedTuple

import numpy as np

from subspark.choose.covering_problem import MILLION, Bools, Covering, Ints
from subspark.errors import SubsparkError

__all__ = ["Cost", "Order", "Progress", "Purchase", "Result", "Status", "confirmed", "gap"]

Order = Literal["cost", "types"]

Status = Literal[
    "proved optimal",
    "time limit reached",
    "cancelled",
    "not proved",
    "quick answer only",
    "quick answer only: highspy is not installed",
    "nothing to choose",
]


class Purchase(NamedTuple):
    """Modules of one type for one sharing group."""

    type: int
    group: int
    used: int
    installed: int
    bought: int


class Cost(NamedTuple):
    """What a plan costs: modules bought, types kept in stores, types replaced that work."""

    modules: Fraction
    stocking: Fraction
    changes: Fraction

    @property
    def total(self) -> Fraction:
        """All three together."""
        return self.modules + self.stocking + self.changes


def gap(found: Fraction | int, bound: Fraction | int) -> float:
    """How far, as a fraction of what was found, the optimum may still lie below it."""
    return float(Fraction(found - bound) / found) if found > bound else 0.0


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a search has come: the best plan, and what no plan can undercut.

    ``bound`` and ``gap`` are of the cost, ``types_bound`` of the number of types; where types
    come first, the cost is bounded among plans of no more types than the best has.
    """

    seconds: float
    types: int
    types_bound: int
    cost: Fraction
    bound: Fraction

    @property
    def gap(self) -> float:
        """Gap of the cost."""
        return gap(self.cost, self.bound)


@dataclass(frozen=True, eq=False, slots=True)
class Result:
    """The plan found, counted anew from the problem as it was given.

    Parameters
    ----------
    chosen : tuple of int
        Types kept in stores, in order: those in use and those forced.
    assignment : array of int, shape (n,)
        Type of each circuit; -1 where no type serves it.
    unserved : tuple of int
        Circuits that no type serves.
    purchases : tuple of Purchase
        Modules in use and to buy, by type and group.
    cost : Cost
        What the plan costs.
    bound : Fraction
        No plan costs less; where types come first, no plan of as few types.
    types_bound : int
        No plan keeps fewer types, at whatever cost; sharp only where types come first.
    proved : bool
        Whether the optimiser has proved that nothing is better in the order asked.
    status : str
        How the search ended, in words.
    order : {"cost", "types"}
        What came first.
    quick_types, quick_cost : int, Fraction
        The answer at once, to set beside it.
    seconds : float
        Time taken.
    """

    chosen: tuple[int, ...]
    assignment: Ints
    unserved: tuple[int, ...]
    purchases: tuple[Purchase, ...]
    cost: Cost
    bound: Fraction
    types_bound: int
    proved: bool
    status: Status
    order: Order
    quick_types: int
    quick_cost: Fraction
    seconds: float

    @property
    def gap(self) -> float:
        """How far, as a fraction of the cost, the least cost may still lie below it."""
        return gap(self.cost.total, self.bound)


def confirmed(
    problem: Covering, serves: Bools, assignment: Ints, chosen: tuple[int, ...]
) -> tuple[tuple[Purchase, ...], Cost]:
    """Count a plan anew, from the problem as given, in exact fractions.

    Nothing of the search is used: neither its classes nor its units nor its columns.

    Raises
    ------
    SubsparkError
        Where a circuit is on a type that may not serve it, or is left out though it could be.
    """
    existing, group, need = (
        np.asarray(one).tolist() for one in (problem.existing, problem.group, problem.need)
    )
    channels, installed = np.asarray(problem.channels).tolist(), np.asarray(problem.installed)
    change = np.asarray(problem.change).tolist()
    used: dict[tuple[int, int], int] = defaultdict(int)
    stays: dict[tuple[int, int], int] = defaultdict(int)
    changes = Fraction(0)
    for circuit, one in enumerate(assignment.tolist()):
        before = existing[circuit]
        if one < 0:
            if serves[circuit].any():
                raise _broken(f"circuit {circuit} was left out")
            if before >= 0:
                stays[before, group[circuit]] += need[circuit]
            continue
        if not serves[circuit, one] or one not in chosen:
            raise _broken(f"circuit {circuit} is on {problem.name(one)}, which may not serve it")
        used[one, group[circuit]] += need[circuit]
        if before >= 0 and before != one and serves[circuit, before]:
            changes += _exact(change[circuit])
    purchases, modules = [], Fraction(0)
    for (one, place), channels_used in sorted(used.items()):
        there = int(installed[one, place])
        over = max(0, channels_used - there * channels[one] + stays[one, place])
        bought = -(-over * (1 + problem.spare) // channels[one])
        purchases.append(Purchase(one, place, channels_used, there, int(bought)))
        if bought:
            modules += int(bought) * _exact(problem.price[one])
    stocking = sum((_exact(np.asarray(problem.stocking)[one]) for one in chosen), Fraction(0))
    return tuple(purchases), Cost(modules, stocking, changes)


def _exact(value: float) -> Fraction:
    """A cost as it prints, to a millionth."""
    return Fraction(round(Fraction(repr(float(value))) * MILLION), MILLION)


def _broken(what: str) -> SubsparkError:
    return SubsparkError(f"the plan found does not hold: {what}; nothing of it may be used")
