"""The integer programme of one part, written down.

Variables: y, whether a type is kept in stores; x, how many circuits of a class are on a type; b,
modules bought of a type for a group; u, channels in use of it where spare channels are asked.

    minimise    sum stocking y + sum price b + sum (change + price where by the channel) x
    where       sum over types of x = count                            each class
                x <= count y                                           each class and type
                spare * u <= channels b + spare * free y,  u = sum need x  each type and group
                sum y <= most types                                    where asked

x may be continuous for classes of need 1: with y, b and u whole, what is left is a transport
problem with whole capacities, which has whole corners. Where modules are of one channel, nothing
is free and no spare is asked, x itself is charged, with neither b nor u.

Further rows say what follows from the above for whole modules only after rounding: the classes of
a group that can only go to a set of types must find room there. They change no solution, but let
HiGHS round on modules alone, and prove in seconds what else takes minutes.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from subspark.choose.covering_problem import Bools, Ints
from subspark.choose.covering_reduce import Part, Plan, used_channels

__all__ = ["Layout", "Programme", "Rows", "plan_values", "programme"]

Floats = NDArray[np.float64]
Places = NDArray[np.integer]

MOST_SETS = 2_500
"""Classes up to which room is asked for every set of types; above, for whole groups."""


class Rows(NamedTuple):
    """Rows of a programme: places and values of what is not zero, lower and upper sides."""

    row: Places
    column: Places
    value: Floats
    lower: Floats
    upper: Floats


class Programme(NamedTuple):
    """Columns and rows to be minimised."""

    cost: Floats
    lower: Floats
    upper: Floats
    whole: Bools
    rows: Rows


class Layout:
    """Which column stands for what."""

    def __init__(self, part: Part) -> None:
        self.klass, self.type = np.nonzero(part.serves)
        groups = part.free.shape[1]
        cells, self.cell = np.unique(
            self.type * groups + part.group[self.klass], return_inverse=True
        )
        self.cell_type, self.cell_group = cells // groups, cells % groups
        self.free = part.free[self.cell_type, self.cell_group]
        self.spare = part.times != part.per
        simple = (part.channels[self.cell_type] == 1) & (self.free == 0)
        self.modular = ~simple | np.full(len(cells), self.spare)
        self.place = np.where(self.modular, np.cumsum(self.modular) - 1, -1)
        self.m, self.nx, self.nb = len(part.types), len(self.klass), int(self.modular.sum())
        self.nu = self.nb if self.spare else 0
        self.x = self.m + np.arange(self.nx)
        self.b = self.m + self.nx + np.arange(self.nb)
        self.u = self.m + self.nx + self.nb + np.arange(self.nu)
        self.size = self.m + self.nx + self.nb + self.nu
        self.in_module = np.flatnonzero(self.modular[self.cell])


class _Builder:
    """Rows gathered block by block."""

    def __init__(self) -> None:
        self._parts: list[tuple[Places, Places, Floats]] = []
        self._lower: list[Floats] = []
        self._upper: list[Floats] = []
        self._open: list[tuple[Places, Places, ArrayLike]] = []
        self._count = 0

    def entries(self, row: Places, column: Places, value: ArrayLike) -> _Builder:
        self._open.append((row, column, value))
        return self

    def block(self, count: int, lower: ArrayLike, upper: ArrayLike = np.inf) -> None:
        for row, column, value in self._open:
            values = np.array(np.broadcast_to(np.asarray(value, dtype=np.float64), row.shape))
            self._parts.append((row + self._count, column, values))
        self._open = []
        for side, into in ((lower, self._lower), (upper, self._upper)):
            into.append(np.array(np.broadcast_to(np.asarray(side, dtype=np.float64), (count,))))
        self._count += count

    def rows(self) -> Rows:
        row, column, value = (np.concatenate(one) for one in zip(*self._parts, strict=True))
        order = np.lexsort((column, row))
        return Rows(
            row[order],
            column[order],
            value[order],
            np.concatenate(self._lower),
            np.concatenate(self._upper),
        )


def programme(
    part: Part, layout: Layout, most_types: int | None, *, rooms: bool = True
) -> Programme:
    """Write the programme of least cost.

    Parameters
    ----------
    part : Part
        Classes and types.
    layout : Layout
        Places of the columns.
    most_types : int or None
        Types that may be in stores at most.
    rooms : bool
        Whether to add the rows of room, which change no solution.
    """
    modular, cell_type = layout.modular, layout.cell_type
    channels = part.channels[cell_type][modular]
    load = np.zeros(len(modular), dtype=np.int64)
    np.add.at(load, layout.cell, part.load[layout.klass])
    load = load[modular]
    over = np.maximum(load - layout.free[modular], 0) * part.times
    most = -(-over // (part.per * channels))
    by_channel = part.price[layout.type] * part.need[layout.klass]
    each = np.where(modular[layout.cell], 0, by_channel) + part.move[layout.klass, layout.type]
    count = part.count[layout.klass]
    return Programme(
        cost=np.concatenate(
            [part.stocking, each, part.price[cell_type][modular], np.zeros(layout.nu)]
        ).astype(np.float64),
        lower=np.concatenate([part.forced, np.zeros(layout.size - layout.m)]).astype(np.float64),
        upper=np.concatenate([np.ones(layout.m), count, most, load[: layout.nu]]).astype(
            np.float64
        ),
        whole=np.concatenate(
            [
                np.ones(layout.m, dtype=bool),
                part.need[layout.klass] > 1,
                np.ones(layout.nb + layout.nu, dtype=bool),
            ]
        ),
        rows=_rows(part, layout, most_types, rooms=rooms),
    )


def _rows(part: Part, layout: Layout, most_types: int | None, *, rooms: bool) -> Rows:
    build = _Builder()
    build.entries(layout.klass, layout.x, 1.0).block(len(part.count), part.count, part.count)
    pair = np.arange(layout.nx)
    build.entries(pair, layout.x, -1.0)
    build.entries(pair, layout.type, part.count[layout.klass]).block(layout.nx, 0.0)
    _module_rows(build, part, layout)
    if rooms:
        _room_rows(build, part, layout)
    if most_types is not None:
        build.entries(np.zeros(layout.m, dtype=np.int64), np.arange(layout.m), 1.0)
        build.block(1, -np.inf, most_types)
    return build.rows()


def _module_rows(build: _Builder, part: Part, layout: Layout) -> None:
    """Write what modules hold."""
    inside = layout.in_module
    cells = np.arange(layout.nb)
    place = layout.place[layout.cell[inside]]
    need = part.need[layout.klass[inside]]
    holds = part.channels[layout.cell_type][layout.modular] * part.per
    free = part.times * layout.free[layout.modular]
    if layout.spare:
        build.entries(place, layout.x[inside], -need)
        build.entries(cells, layout.u, 1.0).block(layout.nb, 0.0, 0.0)
        build.entries(cells, layout.u, -part.times)
    else:
        build.entries(place, layout.x[inside], -part.times * need)
    build.entries(cells, layout.cell_type[layout.modular], free)
    build.entries(cells, layout.b, holds).block(layout.nb, 0.0)


def _room_rows(build: _Builder, part: Part, layout: Layout) -> None:
    """Classes that can only go to a set of types must find room there."""
    if not layout.spare and part.channels.max(initial=1) == 1:
        return
    pair = np.full(part.serves.shape, -1, dtype=np.int64)
    pair[layout.klass, layout.type] = layout.x
    cell = np.full(part.free.shape, -1, dtype=np.int64)
    cell[layout.cell_type, layout.cell_group] = layout.place
    for group in range(part.free.shape[1]):
        rows = np.flatnonzero(part.group == group)
        serves = part.serves[rows]
        sets = np.asarray(serves.any(axis=0))[None]
        if len(part.count) <= MOST_SETS:
            sets = np.unique(np.concatenate([sets, serves]), axis=0)
        outside = (~sets).astype(np.float32) @ serves.T.astype(np.float32)
        for types, members in zip(sets, outside == 0, strict=True):
            _room_row(build, part, (pair, cell[:, group], group), types, rows[members])


def _room_row(
    build: _Builder,
    part: Part,
    places: tuple[Ints, Ints, int],
    types: Bools,
    classes: NDArray[np.intp],
) -> None:
    """Ask room for classes that only these types serve."""
    pair, cell, group = places
    modular = np.flatnonzero(types & (cell >= 0))
    simple = np.flatnonzero(types & (cell < 0))
    least = part.times * int(part.load[classes].sum())
    if not len(modular):
        return
    one_by_one = pair[np.ix_(classes, simple)]
    need = np.broadcast_to(part.need[classes, None], one_by_one.shape)
    there = one_by_one >= 0
    first = len(part.types) + int((pair >= 0).sum())
    free = np.flatnonzero(types & (part.free[:, group] > 0))
    build.entries(np.zeros_like(free), free, part.times * part.free[free, group])
    build.entries(np.zeros_like(modular), first + cell[modular], part.per * part.channels[modular])
    build.entries(np.zeros(int(there.sum()), dtype=np.int64), one_by_one[there], need[there])
    build.block(1, least)


def plan_values(part: Part, layout: Layout, plan: Plan) -> Floats:
    """Values of all columns under a plan, to start from."""
    used = used_channels(part, plan)[layout.cell_type, layout.cell_group][layout.modular]
    over = np.maximum(used - layout.free[layout.modular], 0) * part.times
    bought = -(-over // (part.channels[layout.cell_type][layout.modular] * part.per))
    stored = part.forced | plan.any(axis=0)
    each = plan[layout.klass, layout.type]
    return np.concatenate([stored, each, bought, used[: layout.nu]]).astype(np.float64)
