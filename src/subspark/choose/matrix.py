"""A whole plant against a whole catalogue: which candidate serves which circuit.

Circuits that differ in one length only stand in one group, sorted by it. Safety can only be lost
as a cable grows, so of a group the shortest circuit is tried first, then the longest, and only
where these differ the ones between, by halves: every answer is the engine's own for that very
circuit, and few are asked. Function is asked of what is safe; it holds for an interval of
lengths, so where it holds at both ends of a group it holds between.
"""

from __future__ import annotations

import dataclasses
import math
import os
from collections import Counter, defaultdict
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Any, NamedTuple, cast

import numpy as np
import numpy.typing as npt

from subspark.assess.columns import columns_of
from subspark.assess.context import Context
from subspark.assess.rows import Case
from subspark.choose.matrix_function import FunctionMatrix
from subspark.choose.table import SOURCE_COLUMNS, Bools, Floats, Table, plain
from subspark.choose.table_function import FunctionTable
from subspark.model import Circuit, Member, Run, SourceUse
from subspark.rules import RULES, Columns, settle
from subspark.rules.bound import holds

__all__ = ["Board", "Matrix", "grouped"]

Ints = npt.NDArray[np.intp]
BLOCK = 16384
_ROWS = 256
"""Pairs judged at once: their columns stay in the cache."""
_NAMES = tuple(
    one.name for one in dataclasses.fields(Columns) if one.name not in ("code", "memo", "segments")
)


@dataclass(frozen=True, slots=True)
class Matrix:
    """Which candidate serves which circuit, shape (n, m).

    ``exact`` tells the circuits of which this is the whole proof; of the others, bound to
    others by cable or box, it tells what cannot serve, and what remains is to be proved whole.
    """

    circuits: tuple[Circuit, ...]
    serves: Bools
    exact: Bools
    asked: int


class _Stack:
    """The candidates' side for every need and place, one behind the other: (..., keys x m)."""

    def __init__(self, table: Table) -> None:
        self.table = table
        self.size = len(table.candidates)
        self.number: dict[object, int] = {}
        self.sides: list[Columns] = []

    def key(self, circuit: Circuit, case: Case) -> int:
        """Number of the key of a case."""
        key = self.table.key(circuit, case.need)
        found = self.number.get(key)
        if found is None:
            found = self.number[key] = len(self.sides)
            self.sides.append(self.table.sources(circuit, case))
        return found

    def columns(self) -> dict[str, npt.NDArray[Any]]:
        """All of them as one."""
        held = {}
        for name in SOURCE_COLUMNS:
            parts = [getattr(one, name) for one in self.sides]
            if name in ("pair_Co", "pair_Lo"):
                longest = max(one.shape[0] for one in parts)
                parts = [_padded(one, longest) for one in parts]
            held[name] = np.concatenate(parts, axis=-1)
        return held


def _padded(pairs: Floats, longest: int) -> Floats:
    more = np.full((longest - pairs.shape[0], pairs.shape[1]), np.nan)
    return np.concatenate([pairs, more])


@dataclass(slots=True)
class _Own:
    """Cases of one shape: their own columns, and L/R with its default."""

    columns: dict[str, npt.NDArray[Any]]
    raw_LR: Floats
    default_LR: Bools


class _Class:
    """The own side of groups of circuits, for one class of candidates, laid out for pairs."""

    def __init__(
        self, groups: Sequence[Group], stand_in: int, stack: _Stack, context: Context
    ) -> None:
        self.stack, self.context = stack, context
        self.first = np.zeros(len(groups), dtype=np.intp)
        self.varied = np.array([one.varied for one in groups], dtype=np.intp)
        self.structure: list[tuple[tuple[int, int], ...]] = []
        keys: list[int] = []
        shape_of: list[int] = []
        place_of: list[int] = []
        shapes: dict[tuple[int, int], list[Case]] = {}
        for index, group in enumerate(groups):
            cases = stack.table.own_cases(group.circuit, stand_in)
            self.first[index] = len(keys)
            self.structure.append(tuple((one.atmosphere, one.option) for one in cases))
            for case in cases:
                keys.append(stack.key(group.circuit, case))
                shape = (len(case.members), len(case.runs))
                listed = shapes.setdefault(shape, [])
                shape_of.append(list(shapes).index(shape))
                place_of.append(len(listed))
                listed.append(case)
        self.owns = [self._own(cases) for cases in shapes.values()]
        self.key_of = np.array(keys, dtype=np.intp)
        self.shapes = np.array(shape_of, dtype=np.intp)
        self.places = np.array(place_of, dtype=np.intp)

    def _own(self, cases: Sequence[Case]) -> _Own:
        columns = columns_of(cases, self.context.code, self.context.curves)
        held = {name: getattr(columns, name) for name in _NAMES if name not in SOURCE_COLUMNS}
        rows = [[row for _, row in case.runs] for case in cases]
        raw = np.array([[row.LR for row in runs] for runs in rows]).T
        default = np.array([[row.LR_default for row in runs] for runs in rows]).T != 0
        count = len(cases)
        return _Own(held, raw.reshape(-1, count), default.reshape(-1, count))

    def safe(self, asked: Pairs, margin: float, whole: dict[str, Any]) -> Bools:
        """Of pairs, shape (P,): whether safe with no more than the margin used."""
        out = np.zeros(asked.group.size, dtype=bool)
        number = {kind: at for at, kind in enumerate(dict.fromkeys(self.structure))}
        kind_of = np.array([number[kind] for kind in self.structure], dtype=np.intp)[asked.group]
        for structure, at in number.items():
            (pairs,) = np.nonzero(kind_of == at)
            if pairs.size:
                out[pairs] = self._safe_alike(structure, asked.part(pairs), margin, whole)
        return out

    def _safe_alike(
        self,
        structure: tuple[tuple[int, int], ...],
        asked: Pairs,
        margin: float,
        whole: dict[str, Any],
    ) -> Bools:
        """Pairs whose circuits have the same atmospheres and choices of alternatives."""
        count = asked.group.size
        holds = np.ones(count, dtype=bool)
        by_atmosphere: dict[int, list[tuple[int, int]]] = defaultdict(list)
        for offset, (atmosphere, option) in enumerate(structure):
            by_atmosphere[atmosphere].append((option, offset))
        for options in by_atmosphere.values():
            found, fits = np.zeros(count, dtype=bool), np.zeros(count, dtype=bool)
            for _, offset in sorted(options):
                waiting = np.flatnonzero(holds & ~found)
                if not waiting.size:
                    break
                safe, within = self._judged(offset, asked.part(waiting), margin, whole)
                found[waiting[safe]] = True
                fits[waiting[safe]] = within[safe]
            holds &= fits
        return holds

    def _judged(
        self, offset: int, asked: Pairs, margin: float, whole: dict[str, Any]
    ) -> tuple[Bools, Bools]:
        """Whether pairs are safe in one of their cases, and whether within the margin."""
        cases = self.first[asked.group] + offset
        safe, fits = np.zeros(cases.size, dtype=bool), np.zeros(cases.size, dtype=bool)
        blocks = []
        for shape in range(len(self.owns)):
            (here,) = np.nonzero(self.shapes[cases] == shape)
            blocks += [(shape, here[start : start + BLOCK]) for start in range(0, here.size, BLOCK)]

        def one(block: tuple[int, Ints]) -> None:
            shape, at = block
            gather = _Gather(self, self.owns[shape], cases[at], asked.part(at), whole)
            safe[at], fits[at] = _hold(gather, margin)

        if len(blocks) == 1:
            one(blocks[0])
        elif blocks:
            with ThreadPoolExecutor(min(4, os.cpu_count() or 1)) as pool:
                for _ in pool.map(one, blocks):
                    pass
        return safe, fits


class _Gather:
    """Columns of pairs, each gathered when a rule first reads it."""

    segments = None

    def __init__(
        self, side: _Class, own: _Own, cases: Ints, asked: Pairs, whole: dict[str, Any]
    ) -> None:
        self.code = side.context.code
        self.memo: dict[str, object] = {}
        self._side, self._own, self._cases, self._asked = side, own, cases, asked
        self._whole = whole
        self._place = side.places[cases]
        self._column = side.key_of[cases] * side.stack.size + asked.candidate

    @property
    def size(self) -> int:
        """How many pairs."""
        return int(self._cases.size)

    def part(self, of: Ints) -> _Gather:
        """Some of the pairs."""
        return _Gather(self._side, self._own, self._cases[of], self._asked.part(of), self._whole)

    def __getattr__(self, name: str) -> Any:  # noqa: ANN401 - a column, by its name
        if name not in _KNOWN:
            raise AttributeError(name)
        if name in SOURCE_COLUMNS:
            held = self._whole[name][..., self._column]
        elif name == "length":
            held = self._own.columns[name][..., self._place]
            if held.shape[0]:
                varied = self._side.varied[self._asked.group]
                held[varied, np.arange(self.size)] = self._asked.length
        elif name == "LR" and self._own.default_LR.any():
            holds = self.code.number("default L/R current") >= self.I
            default = self._own.default_LR[:, self._place] & ~holds
            held = np.where(default, np.nan, self._own.raw_LR[:, self._place])
        else:
            held = self._own.columns[name][..., self._place]
        setattr(self, name, held)
        return held


_KNOWN = frozenset(_NAMES)
_FIRST = ("voltage", "power", "current", "level", "group", "supply", "capacitance", "inductance")
_ORDERED = sorted(
    RULES, key=lambda one: _FIRST.index(one.name) if one.name in _FIRST else len(_FIRST)
)
"""The rules by which most candidates fall stand first: those that fell are asked no more."""
_THINNED = 0.6


def _hold(columns: _Gather, margin: float) -> tuple[Bools, Bools]:
    """Whether every rule holds, and whether none uses more than the margin; shape (P,)."""
    count = columns.size
    safe, fits = np.zeros(count, dtype=bool), np.zeros(count, dtype=bool)
    alive = np.arange(count)
    good, within = np.ones(count, dtype=bool), np.ones(count, dtype=bool)
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        for rule in _ORDERED:
            quantity = rule.sort == "quantity" and margin < 1.0
            answer = rule.evaluate(cast("Columns", columns))
            good &= holds(answer)
            if quantity:
                within &= ~(settle(answer, quantity).utilisation > margin)
            left = int(np.count_nonzero(good))
            if left == 0:
                return safe, fits
            if left < _THINNED * alive.size:
                (kept,) = np.nonzero(good)
                alive, within = alive[kept], within[kept]
                columns, good = columns.part(kept), np.ones(kept.size, dtype=bool)
    safe[alive] = good
    fits[alive] = good & within
    return safe, fits


class Pairs(NamedTuple):
    """Pairs to be asked: a group of circuits at a length [m], and a candidate; shape (P,)."""

    group: Ints
    length: Floats
    candidate: Ints

    def part(self, of: Ints) -> Pairs:
        """Some of them."""
        return Pairs(self.group[of], self.length[of], self.candidate[of])


@dataclass(frozen=True, slots=True)
class Group:
    """Circuits that differ in one length only, the shortest first; ``circuit`` stands for all."""

    circuit: Circuit
    varied: int
    members: Ints
    lengths: Floats


_TOLD = frozenset(
    {"tag", "service", "document", "revision", "note", "evidence", "function", "as_built"}
)
"""What is said of a circuit or of its parts and bears on no rule of safety."""
_OF = {
    kind: tuple(one.name for one in dataclasses.fields(kind) if one.name not in _TOLD)
    for kind in (Circuit, Member, Run, SourceUse)
}


def _plain(thing: Circuit | Member | Run | SourceUse, but: frozenset[str]) -> tuple[object, ...]:
    return tuple(getattr(thing, name) for name in _OF[type(thing)] if name not in but)


_LISTS = frozenset({"sources", "members", "runs"})
_BY_CANDIDATE = frozenset({"source", "outputs", "polarity"})
_ENDS = frozenset({"start", "end", "number"})


def _key(circuit: Circuit, varied: int, context: Context, own: set[str]) -> object:
    """All of a circuit that its safety depends on, but for one length."""
    runs = []
    for at, run in enumerate(circuit.runs):
        ends = tuple(end if end in context.junctions else "" for end in (run.start, run.end))
        shared = run.number if context.sharing.get(run.number, 0) > 1 else ""
        named = bool(run.number)
        but = _ENDS | {"length"} if at == varied else _ENDS
        runs.append((_plain(run, but), ends, shared, named))
    return (
        _plain(circuit, _LISTS),
        tuple(_plain(one, _BY_CANDIDATE) for one in circuit.sources),
        tuple(_plain(one, frozenset()) for one in circuit.members),
        tuple(runs),
        circuit.tag if circuit.tag in own else "",
    )


def grouped(circuits: Sequence[Circuit], context: Context) -> list[Group]:
    """Circuits that differ in one length only, together; those of unknown length alone."""
    own = {one.of for one in context.plant.declarations if one.scope == "circuit"}
    common = Counter(run.length.text for one in circuits for run in one.runs)
    found: dict[object, list[tuple[float, int, int]]] = defaultdict(list)
    for index, circuit in enumerate(circuits):
        varied = _varied(circuit, common)
        length = circuit.runs[varied].length.si if circuit.runs else 0.0
        alone = index if math.isnan(length) else -1
        found[_key(circuit, varied, context, own), alone].append((length, index, varied))
    out = []
    for listed in found.values():
        listed.sort(key=lambda one: one[:2])
        members = np.array([index for _, index, _ in listed], dtype=np.intp)
        lengths = np.array([length for length, _, _ in listed])
        out.append(Group(circuits[int(members[0])], listed[0][2], members, lengths))
    return out


def _varied(circuit: Circuit, common: Counter[str]) -> int:
    """The run by which circuits are sorted: the one whose length is the rarest, the last on a tie.

    The length of a trunk cable is that of many circuits, the length of its own cable one's own.
    """
    counts = [common[run.length.text] for run in circuit.runs]
    return len(counts) - 1 - counts[::-1].index(min(counts)) if counts else 0


class Board:
    """Circuits and candidates laid out once, to be asked for any margin.

    Parameters
    ----------
    table : Table
        The candidates.
    function : FunctionTable, optional
        Where function is to be judged too.
    circuits : sequence of Circuit
        Circuits with one source, proved by entity parameters.
    """

    def __init__(
        self, table: Table, function: FunctionTable | None, circuits: Sequence[Circuit]
    ) -> None:
        self.table, self.circuits = table, tuple(circuits)
        self.groups = grouped(circuits, table.context)
        stack = _Stack(table)
        self._classes = [
            (_Class(self.groups, int(places[0]), stack, table.context), places)
            for places in table.classes.values()
        ]
        self._whole = stack.columns() if stack.sides else {}
        self._function = None if function is None else FunctionMatrix(function, self.circuits)
        self.exact = np.array([plain(one, table.context) for one in circuits], dtype=bool)

    def serving(self, margin: float = 1.0) -> Matrix:
        """Which candidate serves which circuit: safe, works where that can be judged, with margin.

        Parameters
        ----------
        margin : float
            The largest share of any limit, of safety or of function, that may be used.

        Returns
        -------
        Matrix
            The same, pair by pair, as a whole assessment of each circuit so changed.
        """
        serves = np.zeros((len(self.circuits), len(self.table.candidates)), dtype=bool)
        asked = 0
        for one, places in self._classes:
            asked += _fill(one, self.groups, places, margin, self._whole, serves)
        if self._function is not None:
            asked += self._function.narrow(serves, margin)
        return Matrix(self.circuits, serves, self.exact, asked)


def _fill(
    one: _Class,
    groups: Sequence[Group],
    places: Ints,
    margin: float,
    whole: dict[str, Any],
    serves: Bools,
) -> int:
    """Fill the columns of one class of candidates; how many pairs were asked of the engine."""
    if not groups or not places.size:
        return 0
    asked = 0
    sizes = np.array([group.members.size for group in groups], dtype=np.intp)
    start = np.concatenate([[0], np.cumsum(sizes)])[:-1]
    lengths = np.concatenate([group.lengths for group in groups])

    def safe(group: Ints, nth: Ints, candidate: Ints) -> Bools:
        """Whether the nth circuit of a group, from 0, is safe with a candidate."""
        nonlocal asked
        asked += group.size
        return one.safe(Pairs(group, lengths[start[group] + nth], candidate), margin, whole)

    group, candidate = (
        axis.ravel() for axis in np.meshgrid(np.arange(len(groups)), places, indexing="ij")
    )
    count = safe(group, np.zeros_like(group), candidate).astype(np.intp)
    open_ = np.flatnonzero((count == 1) & (sizes[group] > 1))
    all_ = safe(group[open_], sizes[group[open_]] - 1, candidate[open_])
    count[open_[all_]] = sizes[group[open_[all_]]]
    open_ = open_[~all_]
    low, high = np.ones(open_.size, dtype=np.intp), sizes[group[open_]] - 1
    while True:
        between = np.flatnonzero(low < high)
        if not between.size:
            break
        middle = (low[between] + high[between] + 1) // 2
        holds = safe(group[open_[between]], middle - 1, candidate[open_[between]])
        low[between] = np.where(holds, middle, low[between])
        high[between] = np.where(holds, high[between], middle - 1)
    count[open_] = low
    counts = count.reshape(len(groups), places.size).astype(np.int32)
    rank = np.concatenate([np.arange(size) for size in sizes]).astype(np.int32)
    members = np.concatenate([of.members for of in groups])
    whole_width = places.size == serves.shape[1]
    for first in range(0, members.size, _ROWS):
        rows = slice(first, first + _ROWS)
        of = np.repeat(np.arange(len(groups)), sizes)[rows]
        told = rank[rows, None] < counts[of]
        if whole_width:
            serves[members[rows]] = told
        else:
            serves[members[rows, None], places] = told
    return asked
