"""Safety for a whole plant against a whole catalogue: how many of each group are safe with each.

A rule that does not see the length of a cable is asked of what differs for it, in a table of its
own. Those that see it (charge and magnetic energy) are asked together, of the pairs that all the
others leave, for the shortest circuit of a group, then the longest, then by halves between.
"""

from __future__ import annotations

import dataclasses
import os
from collections import defaultdict
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from subspark.assess.columns import columns_of
from subspark.assess.rows import Case
from subspark.choose.matrix_groups import Group
from subspark.choose.matrix_rules import Arrays, Distinct, Held, Reads, Unlisted, asked, numbered
from subspark.choose.table import SOURCE_COLUMNS, Bools, Floats, Table
from subspark.model import Circuit
from subspark.rules import RULES, Columns
from subspark.rules.registry import Rule

__all__ = ["Counted", "SafetyMatrix"]

Ints = npt.NDArray[np.intp]
CHUNK = 16384
"""Pairs judged at once: their columns stay in the cache."""
CELLS = 1 << 22
"""Cases times candidates held at once."""
_NAMES = tuple(
    one.name for one in dataclasses.fields(Columns) if one.name not in ("code", "memo", "segments")
)
_OWN_NAMES = frozenset({*_NAMES, "LR_default"} - SOURCE_COLUMNS)
_Structure = tuple[tuple[int, int], ...]


class Counted(NamedTuple):
    """How many of each group, counted from the shortest, are safe with each candidate.

    ``counts`` is of shape (groups, m). ``but`` tells of groups where that is too coarse which of
    their circuits are: group, candidates, and an array (circuits of the group, candidates).
    """

    counts: npt.NDArray[np.int32]
    but: list[tuple[int, Ints, Bools]]
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

    def columns(self) -> Arrays:
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


class _Part(NamedTuple):
    """Cases and candidates of which every side is asked of every other.

    ``own`` numbers the sides of ``rows`` and ``first`` has a place of each number; ``source``
    numbers those of the candidates for each key, and ``places`` has a column of each.
    """

    rows: Ints
    own: npt.NDArray[np.int32]
    first: Ints
    source: npt.NDArray[np.int32]
    places: Ints


@dataclass(slots=True)
class _Plan:
    """One rule for cases of one shape: what it reads, and of which sides it is asked."""

    rule: Rule
    reads: Reads
    parts: list[_Part]


class _Shape:
    """Cases with equal numbers of apparatus and runs: their columns, and a plan of every rule."""

    def __init__(self, cases: Sequence[Case], at: Ints, keys: Ints, side: SafetyMatrix) -> None:
        self.side, self.at, self.keys = side, at, keys
        context = side.table.context
        like = cases[0].sources  # read of none: sources differ in their number of ports
        plain = [dataclasses.replace(case, sources=like) for case in cases]
        columns = columns_of(plain, context.code, context.curves)
        held: Arrays = {one: getattr(columns, one) for one in _NAMES if one not in SOURCE_COLUMNS}
        rows = [[row for _, row in case.runs] for case in cases]
        count = len(cases)
        held["LR"] = np.array([[row.LR for row in one] for one in rows]).T.reshape(-1, count)
        default = np.array([[row.LR_default for row in one] for one in rows]).T.reshape(-1, count)
        held["LR_default"] = default != 0
        self.distinct = Distinct(held, count)
        self.plans: list[_Plan] = []
        self.by_length: list[Rule] = []
        for rule in RULES:
            plan = self._planned(rule)
            if plan is None:
                self.by_length.append(rule)
            else:
                self.plans.append(plan)

    def _planned(self, rule: Rule) -> _Plan | None:
        """What a rule reads and of what it is asked; None where it reads a length."""
        plan = _Plan(rule, Reads(frozenset(), frozenset()), [])
        while "length" not in plan.reads.own:
            plan.parts = self._parts(plan.reads)
            try:
                for part in plan.parts:
                    self.said(plan, part, 1.0)
            except Unlisted as more:
                plan.reads = plan.reads.more(more.name)
            else:
                return plan
        return None

    def _parts(self, reads: Reads) -> list[_Part]:
        """All at once; key by key where that would ask of more than there are pairs."""
        own, first = self.distinct.of(reads.own)
        source, places = self.side.sources.of(reads.source)
        count, size = self.keys.size, self.side.size
        table = source.reshape(-1, size)
        few = first.size * places.size <= max(count * size, CHUNK)
        if few or not (reads.own and reads.source):
            return [_Part(np.arange(count), own, first, table, places)]
        parts = []
        for key in np.unique(self.keys):
            (rows,) = np.nonzero(self.keys == key)
            mine, at = numbered([own[rows].astype(np.intp)], rows.size)
            theirs, column = numbered([table[key].astype(np.intp)], size)
            here = np.zeros(table.shape, dtype=np.int32)
            here[key] = theirs
            parts.append(_Part(rows, mine, rows[at], here, key * size + column))
        return parts

    def said(self, plan: _Plan, part: _Part, margin: float) -> tuple[Bools, Bools]:
        """What a rule says of the sides of a part, shape (A, B)."""
        width = part.places.size
        step = max(1, CELLS // 8 // width)
        found = []
        for start in range(0, part.first.size, step):
            first = part.first[start : start + step]
            held = Held(
                self.side.table.context.code,
                plan.reads,
                self.distinct.columns,
                self.side.columns,
                (first, part.places),
                crossed=True,
            )
            found.append(asked([plan.rule], held, (first.size, width), margin))
        if len(found) == 1:
            return found[0]
        return tuple(np.concatenate(one) for one in zip(*found, strict=True))  # type: ignore[return-value]


class _Local(NamedTuple):
    """The candidates of each key numbered by what the rules of length read of them.

    ``number`` is of shape (keys, m); ``column`` has a column of each key and number.
    """

    number: npt.NDArray[np.int32]
    column: Ints


class SafetyMatrix:
    """Groups of circuits against candidates by the rules of safety."""

    def __init__(self, table: Table, groups: Sequence[Group]) -> None:
        self.table, self.groups = table, groups
        self.size = len(table.candidates)
        self.sizes = np.array([group.members.size for group in groups], dtype=np.intp)
        self.start = np.concatenate([[0], np.cumsum(self.sizes)])[:-1].astype(np.intp)
        self.lengths = np.concatenate([np.zeros(0), *(group.lengths for group in groups)])
        stack = _Stack(table)
        cases: list[Case] = []
        keys: list[int] = []
        group_of: list[int] = []
        self.blocks: list[tuple[Ints, Ints, list[_Structure]]] = []
        for places in table.classes.values():
            first, structure = [], []
            for index, group in enumerate(groups):
                made = table.own_cases(group.circuit, int(places[0]))
                first.append(len(cases))
                structure.append(tuple((one.atmosphere, one.option) for one in made))
                keys += [stack.key(group.circuit, one) for one in made]
                group_of += [index] * len(made)
                cases += made
            self.blocks.append((places, np.array([*first, len(cases)], dtype=np.intp), structure))
        self.key_of = np.array(keys, dtype=np.intp)
        self.group_of = np.array(group_of, dtype=np.intp)
        self.varied = np.array([one.varied for one in groups], dtype=np.intp)
        self.columns = stack.columns() if stack.sides else {}
        self.sources = Distinct(self.columns, len(stack.sides) * self.size)
        shapes: dict[tuple[int, int], list[int]] = defaultdict(list)
        for at, case in enumerate(cases):
            shapes[len(case.members), len(case.runs)].append(at)
        self.shape_of = np.zeros(len(cases), dtype=np.intp)
        self.place_of = np.zeros(len(cases), dtype=np.intp)
        self.shapes: list[_Shape] = []
        for number, listed in enumerate(shapes.values()):
            of = np.array(listed, dtype=np.intp)
            self.shape_of[of], self.place_of[of] = number, np.arange(of.size)
            alike = [cases[one] for one in listed]
            self.shapes.append(_Shape(alike, of, self.key_of[of], self))
        self._names: frozenset[str] = frozenset()
        self._local = self._listed() if cases else None

    def _listed(self) -> _Local:
        keys = np.repeat(np.arange(self.sources.size // self.size), self.size)
        number, column = numbered(
            [keys, self.sources.of(self._names)[0].astype(np.intp)], keys.size
        )
        table = number.reshape(-1, self.size)
        lowest = table.min(axis=1)
        width = int((table.max(axis=1) - lowest).max()) + 1
        columns = np.zeros((table.shape[0], width), dtype=np.intp)
        columns[keys[column], np.arange(column.size) - lowest[keys[column]]] = column
        return _Local(table - lowest[:, None], columns)

    def counts(self, margin: float) -> Counted:
        """How many of each group are safe with each candidate, no more than the margin used."""
        out = np.zeros((len(self.groups), self.size), dtype=np.int32)
        but: list[tuple[int, Ints, Bools]] = []
        count = 0
        tables = _Tables(self, margin)
        for places, first, structure in self.blocks:
            for lower, upper in self._cuts(first, places.size):
                rows = np.arange(first[lower], first[upper])
                fits, safe, number = self._counted(
                    rows, places, tables, margin, structure[lower:upper]
                )
                count += number
                at = first[lower:upper] - first[lower]
                told, coarse = self._combined(structure[lower:upper], at, fits, safe)
                out[lower:upper, places] = told
                but += [(lower + one, places, which) for one, which in coarse]
        return Counted(out, but, count + tables.asked)

    def _cuts(self, first: Ints, width: int) -> Iterator[tuple[int, int]]:
        """Groups that are held at once, from and to."""
        step, lower, end = max(1, CELLS // max(1, width)), 0, first.size - 1
        while lower < end:
            upper = int(np.searchsorted(first, first[lower] + step, side="right")) - 1
            upper = min(end, max(lower + 1, upper))
            yield lower, upper
            lower = upper

    def _counted(
        self,
        rows: Ints,
        places: Ints,
        tables: _Tables,
        margin: float,
        structure: list[_Structure],
    ) -> tuple[npt.NDArray[np.int32], npt.NDArray[np.int32] | None, int]:
        """For cases and candidates of one class: how many fit, and where asked are safe."""
        safe, within = tables.gathered(rows, places)
        try:
            fits, count = self._halved(rows, places, within, margin, strict=True)
            if margin >= 1.0 or all(_single(one) for one in structure):
                return fits, None, count
            counts = [len(one) for one in structure]
            several = np.repeat([not _single(one) for one in structure], counts)
            open_ = safe & several[:, None]
            found, more = self._halved(rows, places, open_, margin, strict=False)
        except Unlisted as one:
            self._names |= {one.name}
            self._local = self._listed()
            return self._counted(rows, places, tables, margin, structure)
        return fits, found, count + more

    def _halved(
        self, rows: Ints, places: Ints, alive: Bools, margin: float, *, strict: bool
    ) -> tuple[npt.NDArray[np.int32], int]:
        """How many of each case's group hold by the rules of length, of pairs that are alive."""
        local = self._local
        if local is None:
            return np.zeros(alive.shape, dtype=np.int32), 0
        numbers = local.number[self.key_of[rows]]
        if places.size != self.size:
            numbers = numbers[:, places]
        cells = np.zeros((rows.size, local.column.shape[1]), dtype=np.int32)
        at, candidate = np.nonzero(alive)
        cells[at, numbers[at, candidate]] = 1
        row, number = np.nonzero(cells)
        cases = rows[row]
        columns = local.column[self.key_of[cases], number]
        sizes = self.sizes[self.group_of[cases]]
        asked_of = 0

        def holds(of: Ints, nth: Ints) -> Bools:
            nonlocal asked_of
            asked_of += of.size
            lengths = self.lengths[self.start[self.group_of[cases[of]]] + nth]
            found = self._by_length(cases[of], columns[of], lengths, margin)
            return found[1] if strict else found[0]

        every = np.arange(cases.size)
        count = holds(every, np.zeros_like(every)).astype(np.int32)
        (open_,) = np.nonzero((count == 1) & (sizes > 1))
        all_ = holds(open_, sizes[open_] - 1)
        count[open_[all_]] = sizes[open_[all_]]
        open_ = open_[~all_]
        low, high = np.ones(open_.size, dtype=np.intp), sizes[open_] - 1
        while True:
            (between,) = np.nonzero(low < high)
            if not between.size:
                break
            middle = (low[between] + high[between] + 1) // 2
            good = holds(open_[between], middle - 1)
            low[between] = np.where(good, middle, low[between])
            high[between] = np.where(good, high[between], middle - 1)
        count[open_] = low
        cells[row, number] = count
        out = np.take_along_axis(cells, numbers, axis=1)
        out *= alive
        return out, asked_of

    def _by_length(
        self, cases: Ints, columns: Ints, lengths: Floats, margin: float
    ) -> tuple[Bools, Bools]:
        """What the rules that read a length say of pairs, shape (P,)."""
        safe, within = np.ones(cases.size, dtype=bool), np.ones(cases.size, dtype=bool)
        chunks = []
        for number, shape in enumerate(self.shapes):
            (here,) = np.nonzero(self.shape_of[cases] == number)
            if shape.by_length:
                chunks += [(shape, here[at : at + CHUNK]) for at in range(0, here.size, CHUNK)]
        reads = Reads(_OWN_NAMES, self._names)

        def one(chunk: tuple[_Shape, Ints]) -> None:
            shape, at = chunk
            held = Held(
                self.table.context.code,
                reads,
                shape.distinct.columns,
                self.columns,
                (self.place_of[cases[at]], columns[at]),
                crossed=False,
                lengths=(self.varied[self.group_of[cases[at]]], lengths[at]),
            )
            safe[at], within[at] = asked(shape.by_length, held, (at.size,), margin)

        if sum(at.size for _, at in chunks) <= CHUNK:
            for chunk in chunks:
                one(chunk)
        else:
            with ThreadPoolExecutor(min(4, os.cpu_count() or 1)) as pool:
                for _ in pool.map(one, chunks):
                    pass
        return safe, within

    def _combined(
        self,
        structure: list[_Structure],
        first: Ints,
        fits: npt.NDArray[np.int32],
        safe: npt.NDArray[np.int32] | None,
    ) -> tuple[npt.NDArray[np.int32], list[tuple[int, Bools]]]:
        """Of cases one number for each group: best choice of alternatives, worst atmosphere.

        Where a margin is asked and there is a choice, the first that is safe is taken, whether
        or not it keeps the margin; then which of a group fit is told one by one.
        """
        out = np.zeros((len(structure), fits.shape[1]), dtype=np.int32)
        alike: dict[_Structure, list[int]] = defaultdict(list)
        for at, one in enumerate(structure):
            alike[one].append(at)
        coarse = []
        for kind, listed in alike.items():
            found: Any = None
            groups = np.array(listed, dtype=np.intp)
            for offsets in _atmospheres(kind):
                best = fits[first[groups] + offsets[0]]
                for offset in offsets[1:]:
                    best = np.maximum(best, fits[first[groups] + offset])
                found = best if found is None else np.minimum(found, best)
            if found is not None:
                out[groups] = found
            if safe is not None and not _single(kind):
                coarse += [
                    (at, _one_by_one(kind, int(first[at]), fits, safe, int(out[at].max())))
                    for at in listed
                ]
        return out, coarse


def _atmospheres(structure: _Structure) -> list[list[int]]:
    """Places of the cases of each atmosphere, in the order of its choices."""
    found: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for offset, (atmosphere, option) in enumerate(structure):
        found[atmosphere].append((option, offset))
    return [[offset for _, offset in sorted(one)] for one in found.values()]


def _single(structure: _Structure) -> bool:
    """Whether no atmosphere leaves a choice of alternatives."""
    return all(len(one) == 1 for one in _atmospheres(structure))


def _one_by_one(
    structure: _Structure,
    first: int,
    fits: npt.NDArray[np.int32],
    safe: npt.NDArray[np.int32],
    most: int,
) -> Bools:
    """Which of the first circuits of a group fit, shape (most, candidates)."""
    rank = np.arange(most, dtype=np.int32)[:, None]
    out = np.ones((most, fits.shape[1]), dtype=bool)
    for offsets in _atmospheres(structure):
        fit = np.zeros_like(out)
        before = np.zeros(fits.shape[1], dtype=np.int32)
        for offset in offsets:
            fit |= (rank >= before) & (rank < fits[first + offset])
            before = np.maximum(before, safe[first + offset])
        out &= fit
    return out


class _Tables:
    """What the rules that read no length say, worked out once for a margin."""

    def __init__(self, side: SafetyMatrix, margin: float) -> None:
        self.side, self.margin = side, margin
        self.asked = 0
        self.by_case = [np.ones(side.key_of.size, dtype=bool) for _ in range(2)]
        size = side.size
        keys = side.sources.size // size if size else 0
        self.by_source = [np.ones((keys, size), dtype=bool) for _ in range(2)]
        self.both: list[list[tuple[_Part, Bools, Bools]]] = []
        sources_done: set[tuple[str, Reads]] = set()
        for shape in side.shapes:
            held: list[tuple[_Part, Bools, Bools]] = []
            for plan in shape.plans:
                known = (plan.rule.name, plan.reads)
                if not plan.reads.own:
                    if known in sources_done:
                        continue
                    sources_done.add(known)
                for part in plan.parts:
                    self._take(shape, plan, part, held)
            self.both.append(held)

    def _take(
        self,
        shape: _Shape,
        plan: _Plan,
        part: _Part,
        held: list[tuple[_Part, Bools, Bools]],
    ) -> None:
        said = shape.said(plan, part, self.margin)
        self.asked += said[0].size
        if all(one.all() for one in said):
            return
        if not plan.reads.source:
            for which, one in enumerate(said):
                self.by_case[which][shape.at[part.rows]] &= one[part.own, 0]
        elif not plan.reads.own:
            for which, one in enumerate(said):
                self.by_source[which] &= one[0][part.source]
        else:
            held.append((part, *said))

    def gathered(self, rows: Ints, places: Ints) -> tuple[Bools, Bools]:
        """Whether cases hold with candidates, and within the margin as well, shape (R, B)."""
        side = self.side
        out = []
        for which in range(2 if self.margin < 1.0 else 1):
            found = self.by_source[which][side.key_of[rows]]
            found = found if places.size == side.size else found[:, places]
            found &= self.by_case[which][rows, None]
            for number, held in enumerate(self.both):
                (here,) = np.nonzero(side.shape_of[rows] == number)
                for part, *said in held if here.size else ():
                    self._take_out(found, rows, here, places, part, said[which])
            out.append(found)
        return out[0], out[-1]

    def _take_out(
        self, found: Bools, rows: Ints, here: Ints, places: Ints, part: _Part, said: Bools
    ) -> None:
        """Take out of some rows, of one shape, what a table says does not hold."""
        side = self.side
        place = side.place_of[rows[here]]
        at = np.minimum(np.searchsorted(part.rows, place), part.rows.size - 1)
        (inside,) = np.nonzero(part.rows[at] == place)
        if not inside.size:
            return
        mine, number = here[inside], part.own[at[inside]]
        numbers = part.source[side.key_of[rows[mine]]]
        if places.size != side.size:
            numbers = numbers[:, places]
        flat = numbers + (number * np.int32(said.shape[1]))[:, None]
        found[mine] &= said.ravel().take(flat)
