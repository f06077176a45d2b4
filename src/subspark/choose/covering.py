"""The fewest types that serve all circuits, at the least cost, with what is proved about it.

A quick answer first; then each part of the problem goes to the optimiser, smallest first, within
a time limit. Whatever it says is counted anew before it is returned.

>>> import numpy as np
>>> serves = np.array([[1, 1, 0], [1, 0, 1], [0, 1, 1], [0, 1, 0]], dtype=bool)
>>> problem = Covering(serves=serves, price=np.array([80.0, 95.0, 70.0]), stocking=100.0)
>>> result = fewest(problem)
>>> result.chosen, result.assignment.tolist(), float(result.cost.total), result.status
((1, 2), [1, 2, 2, 1], 530.0, 'proved optimal')
"""

from __future__ import annotations

import dataclasses
import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from subspark.choose import covering_highs as highs
from subspark.choose.covering_bounds import cost_bound, types_bound
from subspark.choose.covering_problem import (
    Bools,
    Covering,
    Ints,
    Money,
    UnknownPrices,
    counted,
    usable,
)
from subspark.choose.covering_quick import quick_plan
from subspark.choose.covering_reduce import Part, Plan, parts, plan_cost
from subspark.choose.covering_result import (
    Cost,
    Order,
    Progress,
    Purchase,
    Result,
    Status,
    confirmed,
)
from subspark.errors import SubsparkError, UsageError

__all__ = ["Cost", "Covering", "CurvePoint", "Order", "Progress", "Purchase", "Result", "Watcher"]
__all__ += ["curve", "fewest"]

Watcher = Callable[[Progress], bool | None]
"""Told of progress several times a second, from the thread that asked; False ends the search."""

TIME_LIMIT = 60.0
TRIES = 2


@dataclass(slots=True)
class _State:
    """A part, the best plan known for it, and its bounds."""

    part: Part
    plan: Plan
    types: int
    cost: int
    types_bound: int = 0
    bound: int = 0
    proved: bool = False

    def better(self, plan: Plan, *, types_first: bool) -> None:
        """Take a plan over where it is better."""
        types, cost = plan_cost(self.part, plan)
        mine = (self.types if types_first else 0, self.cost)
        if (types if types_first else 0, cost) < mine:
            self.plan, self.types, self.cost = plan, types, cost


class _Idle(NamedTuple):
    """Forced types that serve no circuit: they are kept in stores all the same."""

    types: tuple[int, ...]
    cost: int


class _Search:
    """All parts, the clock and the watcher."""

    def __init__(self, problem: Covering, serves: Bools, order: Order, seconds: float) -> None:
        self.start = time.perf_counter()
        self.limit = seconds
        self.types_first = order == "types"
        self.money: Money = counted(problem)
        self.states = [
            _State(part, plan, *plan_cost(part, plan))
            for part in parts(problem, serves, self.money)
            for plan in [quick_plan(part, types_first=self.types_first)]
        ]
        placed = {int(one) for state in self.states for one in state.part.types}
        idle = tuple(one for one in problem.forced if one not in placed)
        self.idle = _Idle(idle, int(self.money.stocking[list(idle)].sum()))
        self.cancelled = False
        self.tell: Watcher | None = None

    @property
    def seconds(self) -> float:
        """Seconds since the start."""
        return time.perf_counter() - self.start

    def progress(self) -> Progress:
        """All parts together."""
        unit, idle = self.money.unit, self.idle
        return Progress(
            seconds=self.seconds,
            types=len(idle.types) + sum(one.types for one in self.states),
            types_bound=len(idle.types) + sum(one.types_bound for one in self.states),
            cost=(idle.cost + sum(one.cost for one in self.states)) * unit,
            bound=(idle.cost + sum(min(one.bound, one.cost) for one in self.states)) * unit,
        )

    def go_on(self) -> bool:
        """Tell of progress, and ask whether to go on."""
        if self.tell is not None and not self.cancelled and self.tell(self.progress()) is False:
            self.cancelled = True
        return not self.cancelled

    def bound_all(self) -> None:
        """Bounds of our own for every part."""
        for state in self.states:
            state.bound = min(cost_bound(state.part), state.cost)
            state.types_bound = min(types_bound(state.part), state.types)

    def solve(self) -> None:
        """Every part by the optimiser, smallest first; what time is left goes to a second try."""
        for _ in range(TRIES):
            unsolved = [state for state in self.states if not state.proved]
            for place, state in enumerate(unsolved):
                if self.cancelled or self.seconds >= self.limit:
                    return
                share = (self.limit - self.seconds) / (len(unsolved) - place)
                self._solve_part(state, share)
                self.go_on()

    def _solve_part(self, state: _State, seconds: float) -> None:
        until = self.seconds + seconds
        proved, most = True, None
        if self.types_first:
            proved = self._fewest_types(state, seconds)
            most = state.types

        def watch(bound: int | None) -> bool:
            if bound is not None:
                state.bound = max(state.bound, min(bound, state.cost))
            return self.go_on()

        if self.cancelled:
            return
        answer = highs.least_cost(state.part, state.plan, most, until - self.seconds, watch)
        if answer.plan is not None:
            state.better(answer.plan, types_first=self.types_first)
        if answer.bound is not None:
            state.bound = max(state.bound, min(answer.bound, state.cost))
        # The proof is of the optimiser's own plan; another one must be as good to share it.
        same = answer.plan is not None and plan_cost(state.part, answer.plan)[1] == state.cost
        state.proved = proved and answer.proved and same

    def _fewest_types(self, state: _State, seconds: float) -> bool:
        """Find the least number of types, and a plan of so many."""

        def watch(bound: int | None) -> bool:
            if bound is not None:
                state.types_bound = max(state.types_bound, min(bound, state.types))
            return self.go_on()

        start = state.part.forced | state.plan.any(axis=0)
        cover = highs.fewest_types(state.part, start, seconds / 2, watch)
        if cover.types is not None and int(cover.types.sum()) < state.types:
            state.better(_plan_with(state.part, cover.types), types_first=True)
        if cover.bound is not None:
            state.types_bound = max(state.types_bound, min(cover.bound, state.types))
        return cover.proved and state.types == state.types_bound


def _plan_with(part: Part, types: Bools) -> Plan:
    """Find a quick plan that uses these types alone, all of them forced."""
    columns = np.flatnonzero(types)
    place = np.full(len(part.types) + 1, -1, dtype=np.int64)
    place[columns] = np.arange(len(columns))
    inner = dataclasses.replace(
        part,
        serves=part.serves[:, columns],
        existing=place[part.existing],
        types=part.types[columns],
        price=part.price[columns],
        stocking=part.stocking[columns],
        channels=part.channels[columns],
        free=part.free[columns],
        forced=part.forced[columns],
        priced=part.priced[columns],
    )
    plan = np.zeros(part.serves.shape, dtype=np.int64)
    plan[:, columns] = quick_plan(inner, types_first=True)
    return plan


def fewest(
    problem: Covering,
    *,
    order: Order = "cost",
    time_limit: float = TIME_LIMIT,
    progress: Watcher | None = None,
    optimise: bool = True,
    unknown_prices: UnknownPrices = "refuse",
) -> Result:
    """Find types that serve every circuit that can be served, at the least cost.

    Parameters
    ----------
    problem : Covering
        Circuits, types and costs.
    order : {"cost", "types"}
        What counts first: the total cost, or the number of types and then the cost.
    time_limit : float
        Seconds after which the best plan found is returned with its bound.
    progress : callable, optional
        Called several times a second with a :class:`Progress`; ends the search by False.
    optimise : bool
        Whether to go on after the quick answer.
    unknown_prices : {"refuse", "leave out"}
        What to do with a type that has no price: refuse the problem, or let it stay only where
        it is installed.

    Returns
    -------
    Result
        The plan, counted anew. ``proved`` says whether the optimiser proved it. Equal problems
        give equal plans where they are proved: circuits are grouped and ordered by what is asked
        of them, of equal types the first given is taken, and HiGHS works serially.

    Raises
    ------
    InputError
        Where a price is missing, or costs are too large to be counted exactly.
    UsageError
        Where the order is none of the two, or the time limit is no time.
    SubsparkError
        Where a plan does not hold when it is counted anew.
    """
    if order not in {"cost", "types"}:
        raise UsageError(f"order: {order!r}; wanted 'cost' or 'types'")
    if not time_limit > 0:
        raise UsageError(f"time limit: {time_limit!r}; wanted seconds, more than 0")
    serves = usable(problem, unknown_prices)
    search = _Search(problem, serves, order, time_limit)
    quick = search.progress()
    search.tell = progress
    installed = highs.available()
    if search.go_on():
        search.bound_all()
        if optimise and installed:
            search.solve()
    return _result(problem, serves, search, quick, _status(search, optimise, installed))


def _status(search: _Search, optimise: bool, installed: bool) -> Status:
    if not search.states:
        return "nothing to choose"
    if all(state.proved for state in search.states):
        return "proved optimal"
    if search.cancelled:
        return "cancelled"
    if not optimise:
        return "quick answer only"
    if not installed:
        return "quick answer only: highspy is not installed"
    return "time limit reached" if search.seconds >= search.limit else "not proved"


def _result(
    problem: Covering, serves: Bools, search: _Search, quick: Progress, status: Status
) -> Result:
    assignment = np.full(len(serves), -1, dtype=np.int64)
    chosen = set(search.idle.types)
    for state in search.states:
        chosen |= {int(one) for one in state.part.types[state.part.forced | state.plan.any(axis=0)]}
        _assign(state.part, state.plan, assignment)
    ordered = tuple(sorted(chosen))
    purchases, cost = confirmed(problem, serves, assignment, ordered)
    last = search.progress()
    if cost.total != last.cost or len(ordered) != last.types:
        raise SubsparkError(
            f"the plan found does not hold: it costs {float(cost.total):g} with {len(ordered)}"
            f" types, not {float(last.cost):g} with {last.types}; nothing of it may be used"
        )
    return Result(
        chosen=ordered,
        assignment=assignment,
        unserved=tuple(np.flatnonzero(~serves.any(axis=1)).tolist()),
        purchases=purchases,
        cost=cost,
        bound=last.bound,
        types_bound=last.types_bound,
        proved=status in {"proved optimal", "nothing to choose"},
        status=status,
        order="types" if search.types_first else "cost",
        quick_types=quick.types,
        quick_cost=quick.cost,
        seconds=search.seconds,
    )


def _assign(part: Part, plan: Plan, assignment: Ints) -> None:
    """Circuits of each class to its types in order: those that stay first, then the rest."""
    for members, row in zip(part.members, plan, strict=True):
        places = np.flatnonzero(row)
        assignment[members] = part.types[np.repeat(places, row[places])]


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """What a margin asks: the fewest types and the cost, and the plan itself."""

    margin: float
    types: int
    cost: float
    served: int
    result: Result


def curve(
    problem: Covering,
    margins: Iterable[float],
    serves_at: Callable[[float], Bools] | Iterable[Bools],
    *,
    order: Order = "types",
    time_limit: float = TIME_LIMIT,
    progress: Watcher | None = None,
    unknown_prices: UnknownPrices = "refuse",
) -> Iterator[CurvePoint]:
    """Margin asked against the types needed and their cost, one point after the other.

    Parameters
    ----------
    problem : Covering
        Circuits, types and costs; its ``serves`` is replaced for every margin.
    margins : iterable of float
        Margins, in any order.
    serves_at : callable, or iterable of arrays
        Which type serves which circuit with that margin: by a function, or one array each.
    order, time_limit, progress, unknown_prices
        As for :func:`fewest`, for each point.
    """
    asked = list(margins)
    tables = map(serves_at, asked) if callable(serves_at) else serves_at
    for margin, serves in zip(asked, tables, strict=True):
        result = fewest(
            dataclasses.replace(problem, serves=serves),
            order=order,
            time_limit=time_limit,
            progress=progress,
            unknown_prices=unknown_prices,
        )
        served = len(result.assignment) - len(result.unserved)
        yield CurvePoint(margin, len(result.chosen), float(result.cost.total), served, result)
        if result.status == "cancelled":
            return
