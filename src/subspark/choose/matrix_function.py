"""Function for a whole plant against a whole catalogue: asked of the pairs that are safe.

Each rule of function is won or lost once as a cable grows. So of a group of circuits that differ
in one length the first and the last are asked, and where one rule is won or lost between them,
those between by halves. What is equal on both sides is asked once.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from subspark.assess.function import FunctionCase
from subspark.assess.function.engine import block_columns, evaluate
from subspark.choose.candidates import with_source
from subspark.choose.matrix_groups import Group
from subspark.choose.matrix_rules import Distinct, Unlisted
from subspark.choose.table_function import FunctionTable
from subspark.model import Circuit
from subspark.quantity import Spread
from subspark.rules import Verdict
from subspark.rules.function import (
    KINDS,
    FunctionRule,
    Members,
    Table,
    Triple,
    columns_of,
    function_rules,
)

__all__ = ["FunctionMatrix", "Spans"]

Bools = npt.NDArray[np.bool_]
Ints = npt.NDArray[np.intp]
Numbers = npt.NDArray[np.int32]
Cases = tuple[FunctionCase, ...]
PAIRS = 1 << 14
"""Pairs judged at once: their columns stay in the cache."""
MARKS = 16
"""Up to so many marks for each pair tell what is distinct faster than sorting does."""
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


class _Side:
    """Cases of one kind on one side, as columns: which are alike in some of them."""

    def __init__(self, kind: str, cases: Sequence[FunctionCase], *, source: bool) -> None:
        self.columns = block_columns(kind, cases)
        self.names = frozenset(
            one.name for one in columns_of(KINDS[kind].columns) if (one.owner == "source") == source
        )
        held = {}
        for name in self.names:
            ends = getattr(self.columns, name)
            ends = ends if isinstance(ends, tuple) else (ends,)
            held[name] = np.concatenate([end.reshape(-1, len(cases)) for end in ends])
        self.distinct = Distinct(held, len(cases))


class _Cells:
    """Columns of pairs of which only those listed can be read; each gathered when first read."""

    def __init__(
        self, sides: tuple[_Side, _Side], reads: frozenset[str], at: tuple[Ints, Ints]
    ) -> None:
        self._sides, self._reads, self._at = sides, reads, at

    def __getattr__(self, name: str) -> Any:  # noqa: ANN401 - a column, by its name
        for side, at in zip(self._sides, self._at, strict=True):
            if name in side.names:
                if name not in self._reads:
                    raise Unlisted(name)
                held = _taken(getattr(side.columns, name), at)
                setattr(self, name, held)
                return held
        raise AttributeError(name)


class _Store:
    """Cases of the same kinds, of circuits and of sources, numbered as they come."""

    def __init__(self, kinds: tuple[str, ...]) -> None:
        self.kinds = kinds
        self.own: list[Cases] = []
        self.source: list[Cases] = []
        self._known: dict[int, int] = {}
        self._laid: tuple[int, int] = (-1, -1)
        self._sides: list[tuple[_Side, _Side]] = []
        self._reads: dict[tuple[int, str], frozenset[str]] = {}

    def source_number(self, cases: Cases) -> int:
        """The number of a candidate's cases; the very same are counted once."""
        found = self._known.setdefault(id(cases), len(self.source))
        if found == len(self.source):
            self.source.append(cases)
        return found

    def holds(
        self,
        own: Ints,
        source: Ints,
        margin: float,
        wanted: Bools | None = None,
        *,
        ends: bool = False,
    ) -> tuple[Bools, int]:
        """Whether each rule holds of pairs with no more than the margin used, (rules, P).

        After the rules of each case stands whether any of them asks something at all. What is
        not ``wanted``, of the same shape, need not be asked and is true. With ``ends`` the
        second half are the same pairs at the other end of their groups: where a rule holds at
        neither end, no more is asked.
        """
        self._lay_out()
        row, asked = 0, 0
        out = np.ones((sum(len(function_rules(kind)) + 1 for kind in self.kinds), own.size), bool)
        alive = np.arange(own.size)
        for at, kind in enumerate(self.kinds):
            rules = function_rules(kind)
            if wanted is not None and wanted[row + len(rules)].any():
                wanted = None  # all of them together tell whether something is asked
            something = np.zeros(own.size, dtype=bool)
            for number, rule in enumerate(rules):
                of = alive if wanted is None else np.flatnonzero(wanted[row + number])
                if not of.size:
                    continue
                said, count = self._said(at, rule, own[of], source[of], margin)
                good = (said & _GOOD) != 0
                out[row + number, of] = good
                something[of] |= (said & _SOMETHING) != 0
                asked += count
                if ends:
                    alive = alive[np.tile(np.logical_or(*np.split(good, 2)), 2)]
            row += len(rules) + 1
            if wanted is None:
                out[row - 1] = something
        return out, asked

    def _said(
        self, at: int, rule: FunctionRule, own: Ints, source: Ints, margin: float
    ) -> tuple[npt.NDArray[np.uint8], int]:
        """What a rule says of pairs: asked once of those that are alike in all that it reads."""
        ours, theirs = self._sides[at]
        reads = self._reads.get((at, rule.name), frozenset())
        while True:
            mine, first = ours.distinct.of(reads & ours.names)
            their, column = theirs.distinct.of(reads & theirs.names)
            code = mine[own].astype(np.intp) * column.size + their[source]
            cells, back = _distinct(code, first.size * column.size)
            row, place = np.divmod(cells, column.size)
            try:
                parts = [
                    self._asked(at, rule, reads, (first[row[cut]], column[place[cut]]), margin)
                    for cut in _cuts(cells.size)
                ]
            except Unlisted as more:
                reads |= {more.name}
                self._reads[at, rule.name] = reads
            else:
                return np.concatenate(parts)[back], cells.size

    def _asked(
        self,
        at: int,
        rule: FunctionRule,
        reads: frozenset[str],
        of: tuple[Ints, Ints],
        margin: float,
    ) -> npt.NDArray[np.uint8]:
        settled = evaluate(rule, _Cells(self._sides[at], reads, of))
        good = (settled.verdict <= Verdict.SAFE) & ~(settled.utilisation > margin)
        said = good * _GOOD + (settled.verdict == Verdict.SAFE) * _SOMETHING
        return np.broadcast_to(said.astype(np.uint8), of[0].shape)

    def _lay_out(self) -> None:
        sizes = (len(self.own), len(self.source))
        if sizes == self._laid:
            return
        for at, kind in enumerate(self.kinds):
            before = self._sides[at] if self._sides and len(self._sides) > at else (None, None)
            made = [
                kept
                if kept is not None and size == old
                else _Side(kind, [one[at] for one in side], source=source)
                for kept, side, size, old, source in zip(
                    before, (self.own, self.source), sizes, self._laid, (False, True), strict=True
                )
            ]
            self._sides[at : at + 1] = [(made[0], made[1])]
        self._laid = sizes


_GOOD, _SOMETHING = np.uint8(1), np.uint8(2)


def _cuts(size: int) -> list[slice]:
    return [slice(at, at + PAIRS) for at in range(0, max(size, 1), PAIRS)]


def _distinct(code: Ints, most: int) -> tuple[Ints, Ints]:
    """Distinct numbers below some number, in order, and the place of each in them."""
    if most > MARKS * max(code.size, 1):
        found: tuple[Ints, Ints] = np.unique(code, return_inverse=True)
        return found
    marks = np.zeros(most, dtype=np.intp)
    marks[code] = 1
    (cells,) = np.nonzero(marks)
    marks[cells] = np.arange(cells.size)
    return cells, marks[code]


def _taken(held: Any, at: Ints) -> Any:  # noqa: ANN401 - a triple, table or array
    if isinstance(held, Triple | Table | Members):
        return type(held)(*(end[..., at] for end in held))
    return held[..., at]


class _Lot(NamedTuple):
    """Candidates of one role that make cases of the same kinds."""

    role: str
    store: _Store
    stand_in: int


class _Pairs(NamedTuple):
    """Pairs of groups and candidates, shape (P,): their lot, and how many are safe."""

    lot: Numbers
    group: Ints
    place: Ints
    counts: Numbers


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
        self.stores: list[_Store] = []
        self._own = np.zeros((0, len(circuits)), dtype=np.intp)
        self._spanned = np.zeros((0, len(groups)), dtype=np.int8)

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
        store_of = np.array([self.stores.index(lot.store) for lot in self.lots], dtype=np.intp)
        stores = np.where(lots >= 0, store_of[lots], NONE) if store_of.size else lots
        for number, store in enumerate(self.stores):
            (at,) = np.nonzero(stores == number)
            if not at.size:
                continue
            pairs = _Pairs(lots[at], group[at], place[at], counts[group[at], place[at]])
            found = self._of_store(store, pairs, margin)
            here = (pairs.group, pairs.place)
            start[here], stop[here] = found.start, np.minimum(found.stop, pairs.counts)
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
        store = next((one for one in self.stores if one.kinds == kinds), None)
        if store is None:
            store = _Store(kinds)
            self.stores.append(store)
        self.lots.append(_Lot(role, store, candidate))
        more = ((0, 1), (0, 0))
        self._own = np.pad(self._own, more, constant_values=NEW)
        self._spanned = np.pad(self._spanned, more, constant_values=NEW)
        return len(self.lots) - 1

    def _owned(self, lots: Numbers, group: Ints, nth: Ints) -> Ints:
        """Numbers of the cases that circuits bring; NONE where their kinds are others."""
        at = self.begin[group] + nth
        numbers: Ints = self._own[lots, at]
        (new,) = np.nonzero(numbers == NEW)
        if not new.size:
            return numbers
        _, first = np.unique(lots[new] * np.intp(self._own.shape[1]) + at[new], return_index=True)
        for one in new[first].tolist():
            lot, member = self.lots[int(lots[one])], self.groups[int(group[one])].members
            circuit = self.circuits[int(member[nth[one]])]
            cases = self.table.cases(with_source(circuit, self.table.candidates[lot.stand_in]))
            store, made = lot.store, NONE
            if tuple(case.kind for case in cases) == store.kinds:
                made = len(store.own)
                store.own.append(cases)
            self._own[lots[one], at[one]] = made
        numbers[new] = self._own[lots[new], at[new]]
        return numbers

    def _of_store(self, store: _Store, pairs: _Pairs, margin: float) -> Spans:
        """Spans of pairs of one store, shape (P,): of those safe, which work."""
        source = self._source[self.key_of[pairs.group], pairs.place].astype(np.intp)
        last = self.sizes[pairs.group] - 1
        ends = [self._owned(pairs.lot, pairs.group, nth) for nth in (np.zeros_like(last), last)]
        spanned = self._span(store, pairs, ends)
        start, stop = np.zeros_like(pairs.counts), np.zeros_like(pairs.counts)
        asked = 0

        def holds(of: Ints, nth: Ints, wanted: Bools | None = None, *, ends: bool = False) -> Bools:
            nonlocal asked
            own = self._owned(pairs.lot[of], pairs.group[of], nth)
            found, number = store.holds(own, source[of], margin, wanted, ends=ends)
            asked += number
            return found

        (at,) = np.nonzero(spanned)
        if at.size:
            nth = np.concatenate([np.zeros_like(at), last[at]])
            first, final = np.split(holds(np.tile(at, 2), nth, ends=True), 2, axis=1)
            stop[at] = np.where((first | final).all(axis=0), last[at] + 1, 0)
            turn = _turn(holds, at, first & ~final & (stop[at] > 0), last[at], won=False)
            stop[at[turn[0]]] = turn[1]
            turn = _turn(holds, at, final & ~first & (stop[at] > 0), last[at], won=True)
            start[at[turn[0]]] = turn[1]
        but = []
        (rest,) = np.nonzero(~spanned & (ends[0] != NONE))
        for one in np.unique(pairs.group[rest]).tolist():
            mine = rest[pairs.group[rest] == one]
            most = int(pairs.counts[mine].max())
            nth, of = np.repeat(np.arange(most), mine.size), np.tile(mine, most)
            known = self._owned(pairs.lot[of], pairs.group[of], nth) != NONE
            told = np.zeros(of.size, dtype=bool)
            if known.any():
                told[known] = holds(of[known], nth[known]).all(axis=0)
            but.append((one, pairs.place[mine], told.reshape(most, mine.size)))
            stop[mine] = most
        return Spans(start, stop, but, asked)

    def _span(self, store: _Store, pairs: _Pairs, ends: list[Ints]) -> Bools:
        """Of pairs, whether only what the cable brings differs and grows along the group."""
        known = self._spanned[pairs.lot, pairs.group]
        (new,) = np.nonzero(known == NEW)
        if not new.size:
            spanned: Bools = known == 1
            return spanned
        code = pairs.lot[new] * np.intp(len(self.groups)) + pairs.group[new]
        for one in new[np.unique(code, return_index=True)[1]].tolist():
            first, last = int(ends[0][one]), int(ends[1][one])
            grows = NONE not in (first, last) and (
                first == last or _grows(store.own[first], store.own[last])
            )
            self._spanned[pairs.lot[one], pairs.group[one]] = int(grows)
        found: Bools = self._spanned[pairs.lot, pairs.group] == 1
        return found


def _turn(
    holds: Callable[[Ints, Ints, Bools | None], Bools],
    at: Ints,
    rules: Bools,
    last: Ints,
    *,
    won: bool,
) -> tuple[Ints, Ints]:
    """Pairs of which rules are lost, or won, along their group, and the first rank at which."""
    (open_,) = np.nonzero(rules.any(axis=0))
    mask = rules[:, open_]
    low, high = np.zeros(open_.size, dtype=np.intp), last[open_]
    while True:
        (between,) = np.nonzero(high - low > 1)
        if not between.size:
            return open_, high
        middle = (low[between] + high[between]) // 2
        wanted = mask[:, between]
        all_ = (holds(at[open_[between]], middle, wanted) | ~wanted).all(axis=0)
        turned = all_ if won else ~all_
        high[between] = np.where(turned, middle, high[between])
        low[between] = np.where(turned, low[between], middle)


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
