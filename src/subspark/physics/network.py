"""Any direct-current circuit of resistors, sources, diodes and loads: voltages of its nodes.

A circuit is a list of branches between numbered nodes; node 0 is the common. The values of a
branch are arrays, so one list of branches is one topology and any number of circuits. Everything
but a load of constant power draws no less current at more voltage, and such a circuit has one state
only, which a damped Newton's method finds; loads of constant power are then met from above,
which gives their upper state or shows that there is none.

Every operation works on each circuit alone: a circuit among others has the same bits as by itself.
"""

# ruff: noqa: E741 - I is the trade's symbol of a current
from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np

from subspark.errors import InputError
from subspark.physics import _nodal
from subspark.physics._arrays import BoolArray, FloatArray, Floats, IntArray, floats
from subspark.physics._nodal import LEAST_OHMS, Curves

__all__ = [
    "LEAST_OHMS",
    "NOT_FOUND",
    "NO_STATE",
    "SOLVED",
    "UNKNOWN",
    "Branch",
    "Solution",
    "current_load",
    "diode",
    "power_load",
    "resistor",
    "solve",
    "source",
    "table_load",
    "table_source",
]

SOLVED: Final = 0
"""The circuit has the state that is returned."""

UNKNOWN: Final = 1
"""A value of the circuit is unknown or no possible one, or the state lies beyond a table."""

NO_STATE: Final = 2
"""No state exists in which every load has its least voltage: the circuit cannot work."""

NOT_FOUND: Final = 3
"""No state was found in the permitted number of steps; nothing is said of the circuit."""

_MOST_ROUNDS: Final = 500
_SETTLED: Final = 1e-13
_ROUNDING: Final = 1e-12
_RUNAWAY: Final = 1e3


@dataclass(frozen=True, eq=False)
class Branch:
    """What lies between two nodes; made by the functions of this module.

    The current from ``first`` to ``second`` by the voltage between them is ``at`` [A] at
    ``reference`` [V] with the slope ``slope`` [S], and above each of the ``knees`` [V] it is
    ``knee_I`` [A] and goes on with ``knee_slope`` [S]. ``low`` and ``high`` [V] are where this is
    known; ``U_least`` [V] is the voltage below which a load drops out; ``power`` [W] is drawn
    besides.
    """

    first: int
    second: int
    known: BoolArray
    reference: FloatArray
    at: FloatArray
    slope: FloatArray
    knees: tuple[FloatArray, ...] = ()
    knee_I: tuple[FloatArray, ...] = ()
    knee_slope: tuple[FloatArray, ...] = ()
    low: FloatArray | float = -np.inf
    high: FloatArray | float = np.inf
    U_least: FloatArray | float = -np.inf
    power: FloatArray | None = None


class Solution(NamedTuple):
    """State of the circuits; NaN where ``status`` is not ``SOLVED``.

    ``V`` [V] has the nodes along axis 0, the common first; ``I`` [A] the branches, in their order,
    positive from their first node to their second; ``residual`` [A] is the largest error of the
    sum of currents at a node.
    """

    V: FloatArray
    I: FloatArray
    residual: FloatArray
    status: IntArray


def resistor(first: int, second: int, R: Floats) -> Branch:
    """Make a resistor of ``R`` [ohm]; infinite for an open way.

    Less than ``LEAST_OHMS`` counts as ``LEAST_OHMS``, so that a lead without length needs no case
    of its own.
    """
    ohms = floats(R)
    return Branch(first, second, ohms >= 0.0, _ZERO, _ZERO, _conductance(ohms))


def source(
    first: int,
    second: int,
    U: Floats,
    R: Floats,
    I_limit: Floats = np.inf,
    *,
    sinks: bool = False,
) -> Branch:
    """Make a source of ``U`` [V] behind ``R`` [ohm], positive at ``first``.

    From ``I_limit`` [A] on, its current is constant. It takes no current back, unless it ``sinks``.
    Less than ``LEAST_OHMS`` counts as ``LEAST_OHMS``.
    """
    voltage, ohms, limit = np.broadcast_arrays(floats(U), floats(R), floats(I_limit))
    known = np.isfinite(voltage) & (ohms >= 0.0) & (limit >= 0.0)
    g = _conductance(ohms)
    limited = np.isfinite(limit) & (g > 0.0)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        corner = np.where(limited, voltage - limit / g, -np.inf)
    knees = [np.where(limited, corner, np.inf)]
    knee_I, knee_slope = [np.where(limited, -limit, 0.0)], [g]
    if not sinks:
        knees.append(voltage)
        knee_I.append(np.zeros_like(voltage))
        knee_slope.append(np.zeros_like(voltage))
    return Branch(
        first, second, known,
        reference=voltage,
        at=np.where(limited, -limit, 0.0),
        slope=np.where(limited, 0.0, g),
        knees=tuple(knees), knee_I=tuple(knee_I), knee_slope=tuple(knee_slope),
    )  # fmt: skip


def diode(first: int, second: int, U_forward: Floats, R_on: Floats = 0.0) -> Branch:
    """Make a diode that conducts from ``first`` to ``second``.

    Nothing flows up to ``U_forward`` [V], beyond it the excess over ``R_on`` [ohm].
    """
    forward, ohms = np.broadcast_arrays(floats(U_forward), floats(R_on))
    known = (forward >= 0.0) & np.isfinite(forward) & (ohms >= 0.0)
    return Branch(
        first, second, known, _ZERO, _ZERO, _ZERO,
        knees=(forward,), knee_I=(_ZERO,), knee_slope=(_conductance(ohms),),
    )  # fmt: skip


def current_load(first: int, second: int, I: Floats, U_least: Floats = 0.0) -> Branch:
    """Make a load of constant current ``I`` [A] that drops out below ``U_least`` [V].

    A least voltage of minus infinity lets the voltage fall without end, which shows how many volts
    are short.
    """
    current, least = np.broadcast_arrays(floats(I), floats(U_least))
    known = np.isfinite(current) & (least < np.inf)
    return Branch(first, second, known, _ZERO, current, _ZERO, U_least=least)


def power_load(first: int, P: Floats, U_least: Floats) -> Branch:
    """Make a load of constant power ``P`` [W] against the common; below ``U_least`` it drops out.

    ``U_least`` [V] is above zero.
    """
    power, least = np.broadcast_arrays(floats(P), floats(U_least))
    known = (power >= 0.0) & np.isfinite(power) & (least > 0.0) & np.isfinite(least)
    return Branch(first, 0, known, _ZERO, _ZERO, _ZERO, U_least=least, power=power)


def table_load(first: int, second: int, points_U: Floats, points_I: Floats) -> Branch:
    """Make a load whose current is known by points, straight between them, unknown beyond.

    Voltages [V] rise and currents [A] do not fall along axis 0; a shorter table is filled up with
    NaN at the end.
    """
    us, currents = _table(points_U, points_I)
    return _by_points(first, second, us, currents)


def table_source(first: int, second: int, points_I: Floats, points_U: Floats) -> Branch:
    """Make a source whose voltage is known by points, straight between them, unknown beyond.

    Currents [A] do not fall and voltages [V] do not rise along axis 0; a shorter table is filled
    up with NaN at the end. Where the first current is zero it takes no current back. An inner
    resistance of ``LEAST_OHMS`` is added.
    """
    currents, us = _table(points_I, points_U)
    with np.errstate(invalid="ignore", over="ignore"):
        us = us - LEAST_OHMS * currents
    count = np.isfinite(us).sum(axis=0)
    # The points in the order of rising voltage, the unknown ones still last.
    order = np.arange(us.shape[0])[(slice(None),) + (None,) * (us.ndim - 1)]
    order = np.where(order < count, count - 1 - order, order)
    branch = _by_points(
        first,
        second,
        floats(np.take_along_axis(us, order, axis=0)),
        floats(-np.take_along_axis(currents, order, axis=0)),
    )
    idle = currents[0] == 0.0
    return Branch(
        first, second, branch.known & (currents[0] >= 0.0), branch.reference, branch.at,
        branch.slope,
        knees=(*branch.knees, np.where(idle, us[0], np.inf)),
        knee_I=(*branch.knee_I, _ZERO),
        knee_slope=(*branch.knee_slope, _ZERO),
        low=branch.low,
        high=np.where(idle, np.inf, branch.high),
    )  # fmt: skip


def solve(branches: Sequence[Branch]) -> Solution:
    """Find the state of circuits of one topology.

    Equation: at every node the currents of the branches sum to zero.

    Parameters
    ----------
    branches : sequence of Branch
        Branches; their values broadcast together. Nodes are numbered from 0, the common, without a
        gap.

    Returns
    -------
    Solution
        NaN for every circuit that has no state, whose state was not found, or that has an unknown
        in it: ``status`` says which. Where a load is of constant power, the upper state.

    Raises
    ------
    InputError
        Where there are no branches, a branch ends where it begins, or a node is left out.

    Validity
    --------
    The voltage of a node that nothing but blocking diodes reaches is one that they allow. Voltages
    are compared with least voltages and ends of tables to a billionth of a millivolt. Within about
    1 % of the largest power that can be drawn, the state may be reported as not found.

    Example
    -------
    24 V behind 300 ohm, limited to 30 mA; 30 ohm of cable; a load of 20 mA, then 40 mA:

    >>> state = solve([
    ...     source(1, 0, 24.0, 300.0, 0.03),
    ...     resistor(1, 2, 30.0),
    ...     current_load(2, 0, [0.02, 0.04]),
    ... ])
    >>> [f"{voltage:.2f}" for voltage in state.V[2]], state.status.tolist()
    (['17.40', 'nan'], [0, 2])
    """
    nodes = _nodes(branches)
    shape = _shape(branches)
    known = np.ones(shape, dtype=np.bool_)
    for branch in branches:
        known = known & branch.known
    known = known.ravel()
    chosen = np.flatnonzero(known)
    status = np.full(known.size, UNKNOWN, dtype=np.intp)
    V = np.full((nodes, known.size), np.nan)
    I = np.full((len(branches), known.size), np.nan)
    residual = np.full(known.size, np.nan)
    if chosen.size:
        rows = [_Row(branch, shape, chosen) for branch in branches]
        found = _solve(rows, nodes, chosen.size)
        good = found.status == SOLVED
        status[chosen] = found.status
        V[:, chosen] = np.where(good, found.V, np.nan)
        I[:, chosen] = np.where(good, found.I, np.nan)
        residual[chosen] = np.where(good, found.residual, np.nan)
    return Solution(
        V.reshape(nodes, *shape),
        I.reshape(len(branches), *shape),
        residual.reshape(shape),
        status.reshape(shape),
    )


_ZERO: Final = floats(0.0)


class _Row:
    """The values of one branch for the circuits that are worked out, as one row each."""

    def __init__(self, branch: Branch, shape: tuple[int, ...], chosen: IntArray) -> None:
        def flat(values: FloatArray | float) -> FloatArray:
            return floats(np.broadcast_to(values, shape).ravel()[chosen])

        self.first, self.second = branch.first, branch.second
        self.reference, self.at = flat(branch.reference), flat(branch.at)
        self.slope = flat(branch.slope)
        self.knees = [flat(values) for values in branch.knees]
        self.knee_I = [flat(values) for values in branch.knee_I]
        self.knee_slope = [flat(values) for values in branch.knee_slope]
        self.low, self.high = flat(branch.low), flat(branch.high)
        self.U_least = flat(branch.U_least)
        self.power = None if branch.power is None else flat(branch.power)


def _solve(rows: list[_Row], nodes: int, count: int) -> Solution:
    curves = _curves(rows, nodes)
    loads = [number for number, row in enumerate(rows) if row.power is not None]
    V, found = _nodal.solve_monotone(curves, np.zeros((nodes, count)))
    status = np.where(found, SOLVED, NOT_FOUND)
    if loads:
        V, status = _descend(rows, loads, curves, V, status)
        V = _nodal.without_leak(curves.with_offsets(loads, _drawn(rows, loads, V)), V)
        curves = curves.with_offsets(loads, _drawn(rows, loads, V))
    else:
        V = _nodal.without_leak(curves, V)
    across = V[curves.first] - V[curves.second]
    I, _ = curves.currents(across)
    residual = np.abs(curves.residual(V, I)).max(axis=0)
    status = np.where((status == SOLVED) & _below(rows, across), NO_STATE, status)
    runaway = (np.abs(V) > _RUNAWAY).any(axis=0)
    status = np.where((status == SOLVED) & runaway, NO_STATE, status)
    status = np.where((status == SOLVED) & _beyond(rows, across), UNKNOWN, status)
    return Solution(V, I, residual, np.asarray(status, dtype=np.intp))


def _descend(
    rows: list[_Row], loads: list[int], curves: Curves, V: FloatArray, status: IntArray
) -> tuple[FloatArray, IntArray]:
    """Draw the powers at the voltages found last, again and again.

    More current lowers every voltage, and less voltage raises the current of such a load: from the
    state without them the voltages only fall, and no state lies above them.
    """
    V, status = V.copy(), status.copy()
    active = np.flatnonzero(status == SOLVED)
    status[active] = NOT_FOUND
    for _ in range(_MOST_ROUNDS):
        if not active.size:
            break
        before = V[:, active]
        short = np.zeros(active.size, dtype=np.bool_)
        for number in loads:
            short |= before[rows[number].first] < _at_least(rows[number].U_least[active])
        status[active[short]] = NO_STATE
        active, before = active[~short], before[:, ~short]
        drawing = curves.take(active).with_offsets(loads, _drawn(rows, loads, before, active))
        after, found = _nodal.solve_monotone(drawing, before)
        V[:, active] = after
        with np.errstate(invalid="ignore"):
            change = np.abs(after - before) > _SETTLED * np.abs(before)
        at_loads = [rows[number].first for number in loads]
        done = found & ~change[at_loads].any(axis=0)
        status[active[done]] = SOLVED
        active = active[found & ~done]
    return V, status


def _drawn(
    rows: list[_Row], loads: list[int], V: FloatArray, chosen: IntArray | None = None
) -> FloatArray:
    currents = []
    for number in loads:
        power = rows[number].power
        if power is None:  # pragma: no cover - the caller lists loads of power only
            continue
        with np.errstate(divide="ignore", invalid="ignore"):
            currents.append((power if chosen is None else power[chosen]) / V[rows[number].first])
    return np.stack(currents)


def _at_least(values: FloatArray) -> FloatArray:
    return values - _ROUNDING * np.where(np.isfinite(values), np.maximum(np.abs(values), 1.0), 0.0)


def _below(rows: list[_Row], across: FloatArray) -> BoolArray:
    below = np.zeros(across.shape[1], dtype=np.bool_)
    for row, voltage in zip(rows, across, strict=True):
        below |= voltage < _at_least(row.U_least)
    return below


def _beyond(rows: list[_Row], across: FloatArray) -> BoolArray:
    beyond = np.zeros(across.shape[1], dtype=np.bool_)
    for row, voltage in zip(rows, across, strict=True):
        beyond |= (voltage < _at_least(row.low)) | (-voltage < _at_least(-row.high))
    return beyond


def _curves(rows: list[_Row], nodes: int) -> Curves:
    most = max(len(row.knees) for row in rows)
    count = rows[0].at.size

    def padded(lists: list[list[FloatArray]], fill: float) -> FloatArray:
        out = np.full((len(rows), most, count), fill)
        for place, values in zip(out, lists, strict=True):
            for knee, value in zip(place, values, strict=False):
                knee[:] = value
        return out

    return Curves(
        nodes=nodes,
        first=np.array([row.first for row in rows]),
        second=np.array([row.second for row in rows]),
        reference=np.stack([row.reference for row in rows]),
        at=np.stack([row.at for row in rows]),
        slope=np.stack([row.slope for row in rows]),
        knees=padded([row.knees for row in rows], np.inf),
        knee_I=padded([row.knee_I for row in rows], 0.0),
        knee_slope=padded([row.knee_slope for row in rows], 0.0),
    )


def _conductance(ohms: FloatArray) -> FloatArray:
    with np.errstate(invalid="ignore"):
        return floats(1.0 / np.maximum(ohms, LEAST_OHMS))


def _nodes(branches: Sequence[Branch]) -> int:
    if not branches:
        raise InputError("a network without branches; wanted at least one")
    ends = {branch.first for branch in branches} | {branch.second for branch in branches}
    for branch in branches:
        if branch.first == branch.second:
            raise InputError(f"a branch from node {branch.first} to itself; wanted two nodes")
    if ends != set(range(len(ends))):
        raise InputError(f"nodes {sorted(ends)}; wanted 0, the common, and on without a gap")
    return len(ends)


def _shape(branches: Sequence[Branch]) -> tuple[int, ...]:
    shapes = [branch.known.shape for branch in branches]
    try:
        return np.broadcast_shapes(*shapes)
    except ValueError as error:
        raise InputError(f"branches of shapes {shapes}; wanted shapes that broadcast") from error


def _table(xs: Floats, ys: Floats) -> tuple[FloatArray, FloatArray]:
    first, second = np.broadcast_arrays(floats(xs), floats(ys))
    if first.ndim == 0 or first.shape[0] < 2:
        raise InputError(f"a table of shape {first.shape}; wanted two points or more along axis 0")
    empty = np.isnan(first) | np.isnan(second)
    return np.where(empty, np.nan, first), np.where(empty, np.nan, second)


def _by_points(first: int, second: int, us: FloatArray, currents: FloatArray) -> Branch:
    count = np.isfinite(us).sum(axis=0)
    with np.errstate(divide="ignore", invalid="ignore"):
        dU, dI = np.diff(us, axis=0), np.diff(currents, axis=0)
        wrong = ((dU <= 0.0) & ~((dU == 0.0) & (dI == 0.0))) | (dI < 0.0)
        slope = np.where(dU > 0.0, dI / dU, 0.0)
    place = np.arange(us.shape[0])[(slice(None),) + (None,) * (us.ndim - 1)]
    gap = (np.isnan(us) & (place < count)).any(axis=0)
    last = np.take_along_axis(us, np.maximum(count - 1, 0)[None], axis=0)[0]
    inner = range(1, us.shape[0] - 1)
    used = [place[k] < count - 1 for k in inner]
    return Branch(
        first, second, (count >= 2) & ~wrong.any(axis=0) & ~gap,
        reference=us[0], at=currents[0], slope=slope[0],
        knees=tuple(np.where(use, us[k], np.inf) for k, use in zip(inner, used, strict=True)),
        knee_I=tuple(np.where(use, currents[k], 0.0) for k, use in zip(inner, used, strict=True)),
        knee_slope=tuple(np.where(use, slope[k], 0.0) for k, use in zip(inner, used, strict=True)),
        low=us[0], high=last,
    )  # fmt: skip
