"""One part solved by HiGHS: started from a plan, watched, stopped on demand, never trusted.

HiGHS runs in a thread of its own, so that the caller hears of progress several times a second
and may stop the search or press Ctrl+C at any time. It works serially and with a fixed seed: the
same programme takes the same path, and what is proved comes out the same each time.
"""

from __future__ import annotations

import math
import threading
import time
from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from subspark.choose.covering_model import Layout, Programme, Rows, plan_values, programme
from subspark.choose.covering_problem import Bools, Ints
from subspark.choose.covering_reduce import Part, Plan, plan_cost

if TYPE_CHECKING:
    import highspy

__all__ = ["Answer", "Cover", "Watch", "available", "fewest_types", "least_cost"]

Floats = NDArray[np.float64]
Watch = Callable[[int | None], bool]
"""Told the bound so far (None: none yet) several times a second; False ends the search."""

ABSOLUTE_GAP = 0.5
"""Costs are whole numbers: a bound within half a unit, rounded up, is the optimum."""
RELATIVE_GAP = 1e-9
SLACK = 1e-3
"""Trimmed off a bound, in units, before it is rounded up: HiGHS counts in doubles."""
WHOLE = 1e-5
"""How far from whole HiGHS may leave a count before it is settled by a second step."""
TICK = 0.1
"""Seconds between two looks at a running search."""


class Answer(NamedTuple):
    """What HiGHS gave: a plan (None: none), a valid bound (None: none), whether it proved."""

    plan: Plan | None
    bound: int | None
    proved: bool


class Cover(NamedTuple):
    """A set of types that serves a part, as :class:`Answer`."""

    types: Bools | None
    bound: int | None
    proved: bool


class _Raw(NamedTuple):
    values: Floats | None
    bound: float
    optimal: bool


def available() -> bool:
    """Whether highspy is installed."""
    try:
        import highspy  # noqa: F401 - asked whether it is there
    except ImportError:
        return False
    return True


def _quiet() -> highspy.Highs:
    """Start HiGHS without its banner, which it prints before options can be set."""
    import highspy

    class Quiet(highspy.Highs):
        def enableCallbacks(self) -> None:
            self.silent()
            super().enableCallbacks()  # type: ignore[no-untyped-call] # highspy gives it none

    return Quiet()  # type: ignore[no-untyped-call] # highspy gives it none


def _loaded(model: Programme, *, relaxed: bool = False) -> highspy.Highs:
    """Hand a programme over to HiGHS."""
    import highspy

    solver = _quiet()
    # "threads" stays unset: with another number than the first of the process HiGHS fails.
    solver.setOptionValue("parallel", "off")
    solver.setOptionValue("random_seed", 0)
    solver.setOptionValue("mip_abs_gap", ABSOLUTE_GAP)
    solver.setOptionValue("mip_rel_gap", RELATIVE_GAP)
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(model.cost), len(model.rows.lower)
    lp.col_cost_, lp.col_lower_, lp.col_upper_ = model.cost, model.lower, model.upper
    lp.row_lower_, lp.row_upper_ = model.rows.lower, model.rows.upper
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    starts = np.searchsorted(model.rows.row, np.arange(len(model.rows.lower) + 1))
    lp.a_matrix_.start_ = starts
    lp.a_matrix_.index_ = model.rows.column.astype(np.int32)
    lp.a_matrix_.value_ = model.rows.value
    if not relaxed:
        kinds = highspy.HighsVarType
        lp.integrality_ = [kinds.kInteger if one else kinds.kContinuous for one in model.whole]
    solver.passModel(lp)
    return solver


def _run(model: Programme, start: Floats, seconds: float, watch: Watch) -> _Raw:
    """Solve a programme within a time, from a start, under a watch.

    HiGHS 1.16 may improve a start while presolving, report the better objective as optimal, and
    hand back the start unimproved. That shows in the objective, and it is then run without one.
    """
    until = time.perf_counter() + seconds
    raw = _run_once(model, start, seconds, watch)
    if raw.optimal and raw.values is not None:
        differs = abs(float(raw.values @ model.cost) - raw.bound)
        if differs > ABSOLUTE_GAP + RELATIVE_GAP * abs(raw.bound):
            again = _run_once(model, None, until - time.perf_counter(), watch)
            return again if again.values is not None else raw
    return raw


def _run_once(model: Programme, start: Floats | None, seconds: float, watch: Watch) -> _Raw:
    """Solve a programme in a thread of its own, and look at it now and then."""
    import highspy

    solver = _loaded(model)
    solver.setOptionValue("time_limit", max(seconds, TICK))
    if start is not None:
        known = highspy.HighsSolution()
        known.col_value = list(start)
        solver.setSolution(known)
    seen, stop = [-math.inf], threading.Event()

    def look(event: highspy.HighsCallbackEvent) -> None:
        seen[0] = event.data_out.mip_dual_bound
        if stop.is_set():
            event.interrupt()

    solver.cbMipInterrupt.subscribe(look)
    worker = threading.Thread(target=solver.run, daemon=True)
    worker.start()
    try:
        wait = TICK / 20
        while worker.is_alive():
            worker.join(wait)
            wait = min(2 * wait, TICK)
            if worker.is_alive() and not stop.is_set() and not watch(_floor(seen[0])):
                stop.set()
    finally:
        stop.set()
        worker.join()
    status, kinds = solver.getModelStatus(), highspy.HighsModelStatus
    if status not in {kinds.kOptimal, kinds.kTimeLimit, kinds.kInterrupt}:
        return _Raw(None, -math.inf, optimal=False)
    info = solver.getInfo()
    found = info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
    values = np.array(solver.getSolution().col_value) if found else None
    optimal = status == kinds.kOptimal
    return _Raw(values, float(info.mip_dual_bound), optimal)


def _floor(bound: float) -> int | None:
    """Give a bound in whole units, None where there is none."""
    if not math.isfinite(bound):
        return None
    return max(0, math.ceil(bound - max(SLACK, RELATIVE_GAP * abs(bound))))


def least_cost(
    part: Part, start: Plan, most_types: int | None, seconds: float, watch: Watch
) -> Answer:
    """Find the least cost of a part.

    Parameters
    ----------
    part : Part
        Classes and types.
    start : Plan
        A plan to start from, within ``most_types``.
    most_types : int or None
        Types that may be in stores at most.
    seconds : float
        Time limit.
    watch : callable
        See :data:`Watch`.
    """
    layout = Layout(part)
    model = programme(part, layout, most_types)
    raw = _run(model, plan_values(part, layout, start), seconds, watch)
    bound = _floor(raw.bound)
    plan = None if raw.values is None else _whole_plan(part, layout, model, raw.values)
    if plan is None or bound is None:
        return Answer(plan, bound, proved=False)
    types, cost = plan_cost(part, plan)
    if most_types is not None and types > most_types:
        return Answer(None, bound, proved=False)
    gap = cost - bound
    # A bound above the cost counted anew would mean a wrong bound: nothing is taken from it.
    if gap < -RELATIVE_GAP * cost:
        return Answer(plan, None, proved=False)
    proved = raw.optimal and gap <= RELATIVE_GAP * cost
    return Answer(plan, min(bound, cost), proved)


def _whole_plan(part: Part, layout: Layout, model: Programme, values: Floats) -> Plan | None:
    """Read the plan; where counts are not whole, settle them at a corner with the rest fixed."""
    counts = values[layout.x]
    if np.abs(counts - np.round(counts)).max(initial=0) > WHOLE:
        fixed = np.round(values[model.whole])
        lower, upper = model.lower.copy(), model.upper.copy()
        lower[model.whole] = upper[model.whole] = fixed
        solver = _loaded(model._replace(lower=lower, upper=upper), relaxed=True)
        solver.setOptionValue("solver", "simplex")
        solver.run()
        counts = np.array(solver.getSolution().col_value)[layout.x]
        if np.abs(counts - np.round(counts)).max(initial=0) > WHOLE:
            return None
    plan = np.zeros(part.serves.shape, dtype=np.int64)
    plan[layout.klass, layout.type] = np.round(counts).astype(np.int64)
    whole = (plan.sum(axis=1) == part.count).all() and (plan >= 0).all()
    return plan if whole else None


def fewest_types(part: Part, start: Bools, seconds: float, watch: Watch) -> Cover:
    """Find the fewest types that serve a part, whatever the cost.

    A class served wherever another one is served needs no row of its own, and a type that serves
    no more than another one needs no column.

    Parameters
    ----------
    part : Part
        Classes and types.
    start : array of bool
        Types that serve the part, to start from.
    seconds : float
        Time limit.
    watch : callable
        See :data:`Watch`.
    """
    rows = _hardest(np.unique(part.serves[~part.serves[:, part.forced].any(axis=1)], axis=0))
    forced = int(part.forced.sum())
    if not len(rows):
        return Cover(part.forced.copy(), forced, proved=True)
    keep = _widest(rows)
    row, column = np.nonzero(rows[:, keep])
    n, m = len(rows), len(keep)
    side = Rows(row, column, np.ones(len(row)), np.ones(n), np.full(n, np.inf))
    model = Programme(np.ones(m), np.zeros(m), np.ones(m), np.ones(m, dtype=bool), side)
    first = _carried_over(rows, keep, start)
    raw = _run(model, first.astype(np.float64), seconds, lambda bound: watch(_plus(bound, forced)))
    bound = _plus(_floor(raw.bound), forced)
    if raw.values is None:
        return Cover(None, bound, proved=False)
    types = part.forced.copy()
    types[keep[raw.values > 0.5]] = True
    if not part.serves[:, types].any(axis=1).all():
        return Cover(None, bound, proved=False)
    return Cover(types, bound, proved=raw.optimal and bound == int(types.sum()))


def _plus(bound: int | None, more: int) -> int | None:
    return None if bound is None else bound + more


def _hardest(rows: Bools) -> Bools:
    """Rows that contain no other row: what serves these serves all."""
    outside = rows.astype(np.float32) @ (~rows.T).astype(np.float32)
    within = outside.T == 0  # row k has all of row l, at [k, l]
    np.fill_diagonal(within, val=False)
    hardest: Bools = rows[~within.any(axis=1)]
    return hardest


def _widest(rows: Bools) -> Ints:
    """Places of columns that no other column contains; of equal ones the first."""
    within = rows.T.astype(np.float32) @ (~rows).astype(np.float32) == 0
    np.fill_diagonal(within, val=False)
    first = np.arange(rows.shape[1]) < np.arange(rows.shape[1])[:, None]
    return np.flatnonzero(~(within & (first | ~within.T)).any(axis=1) & rows.any(axis=0))


def _carried_over(rows: Bools, keep: Ints, start: Bools) -> Bools:
    """Give the start in terms of the columns kept: each type by one that contains it."""
    first = np.zeros(len(keep), dtype=bool)
    for one in np.flatnonzero(start & rows.any(axis=0)):
        contains = ~(rows[:, one, None] & ~rows[:, keep]).any(axis=0)
        first[np.flatnonzero(contains)[0]] = True
    return first
