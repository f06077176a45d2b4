"""Function for a whole plant against a whole catalogue: asked of the pairs that are safe.

Each rule of function is won or lost once as a cable grows. So of a group of circuits that differ
in one length the first and the last are asked, and where one rule is won or lost between them,
those between by halves. What is equal on both sides is asked once.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from subspark.assess.function import FunctionCase
from subspark.assess.function.engine import block_columns, judge_columns
from subspark.choose.candidates import with_source
from subspark.choose.matrix_groups import Group
from subspark.choose.matrix_rules import Distinct
from subspark.choose.table_function import FunctionTable
from subspark.model import Circuit
from subspark.quantity import Spread
from subspark.rules import Verdict
from subspark.rules.function import KINDS, Members, Table, Triple, columns_of

__all__ = ["FunctionMatrix", "Spans"]

Bools = npt.NDArray[np.bool_]
Ints = npt.NDArray[np.intp]
Numbers = npt.NDArray[np.int32]
Cases = tuple[FunctionCase, ...]
PAIRS = 1 << 18
"""Pairs judged at once."""
NEW, NONE = -2, -1
"""Not made yet; nothing to be made."""


class Spans(NamedTuple):
    """Of each group and candidate, the circuits that are safe and work: ranks from, and up to.

    ``but`` tells of groups where that is too coarse which of their circuits work: group,
    candidates, and an array (circuits of the group, candidates).
    """

    start: Numbers
    stop: Numbers
    but: list[tuple[int, Ints, Bools]]
    asked: int


class _Store:
    """Cases of the same kinds, of circuits and of sources, numbered where they are alike."""

    def __init__(self, kinds: tuple[str, ...]) -> None:
        self.kinds = kinds
        self.own: list[Cases] = []
        self.source: list[Cases] = []
        self._known: dict[int, int] = {}
        self._laid: tuple[int, int] = (-1, -1)
        self._columns: list[tuple[Any, Any]] = []
        self._alike: tuple[Ints, Ints] = (np.zeros(0, np.intp), np.zeros(0, np.intp))

    def source_number(self, cases: Cases) -> int:
        """The number of a candidate's cases; the very same are counted once."""
        found = self._known.setdefault(id(cases), len(self.source))
        if found == len(self.source):
            self.source.append(cases)
        return found

    def holds(self, own: Ints, source: Ints, margin: float) -> tuple[Bools, int]:
        """Whether each rule holds of pairs with no more than the margin used, (rules, P)."""
        self._lay_out()
        mine, theirs = self._alike[0][own], self._alike[1][source]
        code = mine * np.intp(len(self.source)) + theirs
        distinct, back = np.unique(code, return_inverse=True)
        parts = [
            self._judged(*np.divmod(distinct[at : at + PAIRS], len(self.source)), margin)
            for at in range(0, distinct.size, PAIRS)
        ]
        return np.concatenate(parts, axis=1)[:, back], int(distinct.size)

    def _judged(self, own: Ints, source: Ints, margin: float) -> Bools:
        parts = []
        for kind, (ours, theirs) in zip(self.kinds, self._columns, strict=True):
            held = {}
            for one in columns_of(KINDS[kind].columns):
                side, at = (theirs, source) if one.owner == "source" else (ours, own)
                held[one.name] = _taken(getattr(side, one.name), at)
            judged = judge_columns(kind, dataclasses.replace(ours, **held), (own.size,))
            good = (judged.verdicts <= Verdict.SAFE) & ~(judged.utilisations > margin)
            something = (judged.verdicts == Verdict.SAFE).any(axis=0)  # must be asked
            parts += [good, something[None]]
        return np.concatenate(parts)

    def _lay_out(self) -> None:
        sizes = (len(self.own), len(self.source))
        if sizes == self._laid:
            return
        self._laid = sizes
        self._columns = [
            tuple(block_columns(kind, [one[at] for one in side]) for side in (self.own, self.source))  # type: ignore[misc]
            for at, kind in enumerate(self.kinds)
        ]
        self._alike = (self._numbers(0), self._numbers(1))

    def _numbers(self, side: int) -> Ints:
        """For each case the place of one that is alike in all that this side brings."""
        size = self._laid[side]
        held = {}
        for at, (kind, both) in enumerate(zip(self.kinds, self._columns, strict=True)):
            for one in columns_of(KINDS[kind].columns):
                if (one.owner == "source") == (side == 1):
                    ends = getattr(both[side], one.name)
                    ends = ends if isinstance(ends, tuple) else (ends,)
                    for number, end in enumerate(ends):
                        held[f"{at} {one.name} {number}"] = end
        number, first = Distinct(held, size).of(held)
        return first[number]


def _taken(held: Any, at: Ints) -> Any:  # noqa: ANN401 - a triple, table or array
    if isinstance(held, Triple | Table | Members):
        return type(held)(*(end[..., at] for end in held))
    return held[..., at]


class _Lot(NamedTuple):
    """Candidates of one role that make cases of the same kinds."""

    role: str
    store: _Store


class FunctionMatrix:
    """Groups of circuits against candidates by the rules of function."""

    def __init__(
        self, table: FunctionTable, circuits: Sequence[Circuit], groups: Sequence[Group]
    ) -> None:
        self.table, self.circuits, self.groups = table, circuits, groups
        self.size = len(table.candidates)
        sizes = np.array([group.members.size for group in groups], dtype=np.intp)
        self.sizes = sizes
        self.begin = np.concatenate([[0], np.cumsum(sizes)])[:-1].astype(np.intp)
        self._keys: dict[object, int] = {}
        self._examples: list[Callable[[int], Cases]] = []
        self.key_of = np.array([self._key(group.circuit) for group in groups], dtype=np.intp)
        self.roles = [table.role(place) for place in range(self.size)]
        self.lots: list[_Lot] = []
        self._lot_of = np.full((len(self._examples), self.size), NEW, dtype=np.int32)
        self._source = np.full((len(self._examples), self.size), NEW, dtype=np.int32)
        self._own: list[Numbers] = []
        self._spanned: list[npt.NDArray[np.int8]] = []
        self._stand_in: list[int] = []

    def _key(self, circuit: Circuit) -> int:
        """Number of what the candidates' side depends on; none where function is no question."""
        if not self.table.judgeable(circuit):
            return NONE
        key = self.table.key(circuit)
        found = self._keys.get(key)
        if found is None:
            found = self._keys[key] = len(self._examples)
            self._examples.append(self.table.kept(circuit))
        return found

    def spans(self, counts: Numbers, margin: float) -> Spans:
        """Which circuits of each group, of those that are safe, work with each candidate.

        Circuits of which function cannot be judged at all are left as they are.
        """
        judged = self.key_of != NONE
        start, stop = np.zeros_like(counts), counts.copy()
        group, place = np.nonzero(counts * judged[:, None].astype(np.int32))
        stop[judged] = 0
        but: list[tuple[int, Ints, Bools]] = []
        asked = 0
        lots = self._lots(self.key_of[group], place)
        for number in range(len(self.lots)):
            (at,) = np.nonzero(lots == number)
            if not at.size:
                continue
            here = (group[at], place[at])
            found = self._of_lot(number, *here, counts[here], margin)
            start[here], stop[here] = found.start, np.minimum(found.stop, counts[here])
            but += found.but
            asked += found.asked
        return Spans(start, stop, but, asked)

    def _lots(self, key: Ints, place: Ints) -> Numbers:
        """The lot of each pair of a key and a candidate; what is not known yet is made."""
        found = self._lot_of[key, place]
        new = np.unique((key * self.size + place)[found == NEW])
        for one in new.tolist():
            at, candidate = divmod(one, self.size)
            cases = self._examples[at](candidate)
            kinds = tuple(case.kind for case in cases)
            if kinds:
                lot = self._lot(self.roles[candidate], kinds, candidate)
                self._lot_of[at, candidate] = lot
                self._source[at, candidate] = self.lots[lot].store.source_number(cases)
            else:
                self._lot_of[at, candidate] = NONE
        return found if not new.size else self._lot_of[key, place]

    def _lot(self, role: str, kinds: tuple[str, ...], candidate: int) -> int:
        for number, lot in enumerate(self.lots):
            if (lot.role, lot.store.kinds) == (role, kinds):
                return number
        stores = {lot.store.kinds: lot.store for lot in self.lots}
        self.lots.append(_Lot(role, stores.get(kinds) or _Store(kinds)))
        self._own.append(np.full(len(self.circuits), NEW, dtype=np.int32))
        self._spanned.append(np.full(len(self.groups), NEW, dtype=np.int8))
        self._stand_in.append(candidate)
        return len(self.lots) - 1

    def _owned(self, lot: int, group: Ints, nth: Ints) -> Numbers:
        """Numbers of the cases that circuits bring; NONE where their kinds are others."""
        at = self.begin[group] + nth
        numbers = self._own[lot]
        new, first = np.unique(at[numbers[at] == NEW], return_index=True)
        if new.size:
            whose = group[numbers[at] == NEW][first]
            store = self.lots[lot].store
            stand_in = self.table.candidates[self._stand_in[lot]]
            for one, of in zip(new.tolist(), whose.tolist(), strict=True):
                members = self.groups[of].members
                circuit = self.circuits[int(members[one - int(self.begin[of])])]
                cases = self.table.cases(with_source(circuit, stand_in))
                if tuple(case.kind for case in cases) == store.kinds:
                    numbers[one] = len(store.own)
                    store.own.append(cases)
                else:
                    numbers[one] = NONE
        return numbers[at]

    def _of_lot(
        self, lot: int, group: Ints, place: Ints, counts: Numbers, margin: float
    ) -> Spans:
        """Spans of pairs of one lot, shape (P,): of those safe, which work."""
        store = self.lots[lot].store
        source = self._source[self.key_of[group], place].astype(np.intp)
        last = self.sizes[group] - 1
        ends = [self._owned(lot, group, nth) for nth in (np.zeros_like(last), last)]
        spanned = self._span(lot, group, ends)
        start, stop = np.zeros_like(counts), np.zeros_like(counts)
        asked = 0

        def holds(of: Ints, nth: Ints) -> Bools:
            nonlocal asked
            own = self._owned(lot, group[of], nth).astype(np.intp)
            found, number = store.holds(own, source[of], margin)
            asked += number
            return found

        (at,) = np.nonzero(spanned)
        if at.size:
            size = at.size
            found = holds(np.concatenate([at, at]), np.concatenate([0 * last[at], last[at]]))
            first, final = found[:, :size], found[:, size:]
            stop[at] = np.where((first | final).all(axis=0), last[at] + 1, 0)
            lost, won = first & ~final, final & ~first
            for rules, ends_first in ((lost, True), (won, False)):
                (open_,) = np.nonzero(rules.any(axis=0) & (stop[at] > 0))
                mask = rules[:, open_]
                low, high = np.zeros(open_.size, dtype=np.intp), last[at[open_]]
                while True:  # the first at which any is lost, or all are won, is above low
                    (between,) = np.nonzero(high - low > 1)
                    if not between.size:
                        break
                    middle = (low[between] + high[between]) // 2
                    all_ = (holds(at[open_[between]], middle) | ~mask[:, between]).all(axis=0)
                    up = all_ if ends_first else ~all_
                    low[between] = np.where(up, middle, low[between])
                    high[between] = np.where(up, high[between], middle)
                if ends_first:
                    stop[at[open_]] = np.minimum(stop[at[open_]], high)
                else:
                    start[at[open_]] = high
        but = []
        (rest,) = np.nonzero(~spanned & (ends[0] != NONE))
        for one in np.unique(group[rest]).tolist():
            mine = rest[group[rest] == one]
            most = int(counts[mine].max())
            nth = np.repeat(np.arange(most), mine.size)
            of = np.tile(mine, most)
            known = self._owned(lot, group[of], nth) != NONE
            told = np.zeros(of.size, dtype=bool)
            if known.any():
                told[known] = holds(of[known], nth[known]).all(axis=0)
            but.append((one, place[mine], told.reshape(most, mine.size)))
            stop[mine] = most
        return Spans(start, stop, but, asked)

    def _span(self, lot: int, group: Ints, ends: list[Numbers]) -> Bools:
        """Of groups, whether only what their cable brings differs, and grows, from end to end."""
        known = self._spanned[lot]
        store = self.lots[lot].store
        for one in np.unique(group[known[group] == NEW]).tolist():
            at = int(np.flatnonzero(group == one)[0])
            first, last = int(ends[0][at]), int(ends[1][at])
            if NONE in (first, last):
                known[one] = 0
            else:
                known[one] = first == last or _grows(store.own[first], store.own[last])
        return known[group] == 1


def _grows(first: Cases, last: Cases) -> bool:
    """Whether two circuits differ in ohms and farads of their cable only, and none is less.

    Not where there are several cases, or the cable is told by more than single figures.
    """
    if len(first) != 1 or len(last) != 1 or first[0].kind != last[0].kind:
        return False
    line = {one.name for one in columns_of(KINDS[first[0].kind].columns) if one.owner == "line"}
    for name in first[0].values.keys() | last[0].values.keys():
        one, other = first[0].values.get(name), last[0].values.get(name)
        if name not in line:
            if repr(one) != repr(other):
                return False
            continue
        if not isinstance(one, Spread) or not isinstance(other, Spread):
            return False
        if not all(here <= there for here, there in zip(one[:3], other[:3], strict=True)):
            return False
    return bool(line)
