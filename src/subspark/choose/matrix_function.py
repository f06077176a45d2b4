"""Function for a whole plant against a whole catalogue: asked of the pairs that are safe."""

from __future__ import annotations

import dataclasses
from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from subspark.assess.function import FunctionCase
from subspark.assess.function.engine import block_columns, judge_columns
from subspark.choose.candidates import with_source
from subspark.choose.table_function import FunctionTable
from subspark.model import Circuit
from subspark.quantity import Spread
from subspark.rules import Verdict
from subspark.rules.function import KINDS, Members, Table, Triple, columns_of

__all__ = ["FunctionMatrix"]

Bools = npt.NDArray[np.bool_]
Ints = npt.NDArray[np.intp]
PAIRS = 32768
"""Pairs judged at once."""


class _Alike(NamedTuple):
    """Circuits that ask the same of the source, and the candidates of one role for them."""

    role: object
    circuits: list[int]
    own: list[tuple[FunctionCase, ...]]
    candidates: list[int]
    sources: list[tuple[FunctionCase, ...]]


class FunctionMatrix:
    """Circuits against candidates by the rules of function."""

    def __init__(self, table: FunctionTable, circuits: Sequence[Circuit]) -> None:
        self.table = table
        self.circuits = circuits
        self._cases: dict[tuple[int, object], tuple[FunctionCase, ...]] = {}
        self._chains: dict[object, list[list[int]]] = {}
        self.judged = np.array([table.judgeable(one) for one in circuits], dtype=bool)

    def narrow(self, serves: Bools, margin: float) -> int:
        """Take out of a matrix what does not work, or leaves too little margin.

        Circuits of which function cannot be judged at all are left as they are. Returns how
        many pairs were asked.
        """
        works = np.zeros_like(serves)
        works[~self.judged] = True
        asked = 0
        for group in self._groups(serves):
            key = (group.role, tuple(group.circuits))
            chains = self._chains.get(key)
            if chains is None:
                chains = self._chains[key] = list(_chains(group.own))
            for chain in chains:
                part = [group.own[at] for at in chain]
                holds, count = _along(part, group.sources, margin)
                rows = [group.circuits[at] for at in chain]
                works[np.ix_(rows, group.candidates)] = holds
                asked += count
        serves &= works
        return asked

    def _groups(self, serves: Bools) -> Iterator[_Alike]:
        """Circuits that ask alike with candidates of one role that are safe for one of them."""
        keys: dict[object, list[int]] = defaultdict(list)
        for index, circuit in enumerate(self.circuits):
            if self.judged[index] and serves[index].any():
                keys[self.table.key(circuit)].append(index)
        for indices in keys.values():
            sources = self.table.sources(self.circuits[indices[0]])
            (wanted,) = np.nonzero(serves[indices].any(axis=0))
            alike: dict[tuple[str, tuple[str, ...]], list[int]] = defaultdict(list)
            for place in wanted.tolist():
                kinds = tuple(one.kind for one in sources[place])
                if kinds:
                    alike[self.table.role(place), kinds].append(place)
            for role, places in alike.items():
                listed = [sources[one] for one in places]
                yield from self._own(role, indices, places, listed)

    def _own(
        self,
        role: tuple[str, tuple[str, ...]],
        indices: list[int],
        places: list[int],
        sources: list[tuple[FunctionCase, ...]],
    ) -> Iterator[_Alike]:
        stand_in = self.table.candidates[places[0]]
        circuits, own = [], []
        for index in indices:
            cases = self._cases.get((index, role))
            if cases is None:
                cases = self.table.cases(with_source(self.circuits[index], stand_in))
                self._cases[index, role] = cases
            if tuple(one.kind for one in cases) == role[1]:
                circuits.append(index)
                own.append(cases)
        if circuits:
            yield _Alike(role, circuits, own, places, sources)


Own = Sequence[tuple[FunctionCase, ...]]


def _chains(own: Own) -> Iterator[list[int]]:
    """Circuits that differ in their cable only, from the shortest to the longest.

    Each of ohms and farads, at each of its ends, grows along a chain; where one does not, or
    the cable is told by more than single figures, each circuit stands alone.
    """
    found: dict[object, list[int]] = defaultdict(list)
    for at, cases in enumerate(own):
        found[_key(cases, at)].append(at)
    for members in found.values():
        ends = np.array([_cable(own[at]) for at in members])
        order = np.lexsort(ends.T[::-1]) if ends.size else np.arange(len(members))
        if ends.size and not (np.diff(ends[order], axis=0) >= 0.0).all():
            yield from ([at] for at in members)
        else:
            yield [members[at] for at in order.tolist()]


def _line(case: FunctionCase) -> list[str]:
    return [one.name for one in columns_of(KINDS[case.kind].columns) if one.owner == "line"]


def _key(cases: tuple[FunctionCase, ...], at: int) -> object:
    """All that a circuit brings but for its cable; its own place where it stands alone."""
    if len(cases) != 1:
        return at
    (case,) = cases
    line = _line(case)
    held = [case.values.get(name) for name in line]
    if not held or not all(isinstance(one, Spread) for one in held):
        return at
    if any(np.isnan(one[:3]).any() for one in held if isinstance(one, Spread)):
        return at
    rest = tuple(sorted((name, value) for name, value in case.values.items() if name not in line))
    try:
        hash(rest)
    except TypeError:
        return at
    return case.kind, repr(rest)


def _cable(cases: tuple[FunctionCase, ...]) -> list[float]:
    if len(cases) != 1:
        return []
    held = [cases[0].values.get(name) for name in _line(cases[0])]
    return [end for one in held if isinstance(one, Spread) for end in one[:3]]


def _along(own: Own, sources: Own, margin: float) -> tuple[Bools, int]:
    """Whether the circuits of a chain work with candidates, and how many pairs were asked.

    Each rule is won or lost once as a cable grows. So where all hold at both ends of a chain
    they hold between, and where one fails at both it fails between; the rest is asked.
    """
    if len(own) < 3:
        return _all(own, sources, margin)
    first, last = _each_rule([own[0], own[-1]], sources, margin).transpose(1, 0, 2)
    asked = 2 * len(sources)
    holds = np.zeros((len(own), len(sources)), dtype=bool)
    both = (first & last).all(axis=0)
    holds[:, both] = True
    (open_,) = np.nonzero(~both & ~(~first & ~last).any(axis=0))
    if open_.size:
        found, count = _all(own, [sources[at] for at in open_.tolist()], margin)
        holds[:, open_] = found
        asked += count
    return holds, asked


def _all(own: Own, sources: Own, margin: float) -> tuple[Bools, int]:
    """Every circuit with every candidate, in blocks."""
    step = max(1, PAIRS // len(sources))
    parts = [
        _each_rule(own[start : start + step], sources, margin).all(axis=0)
        for start in range(0, len(own), step)
    ]
    return np.concatenate(parts), len(own) * len(sources)


def _each_rule(own: Own, sources: Own, margin: float) -> Bools:
    """Whether each rule holds with no more than the margin used, shape (rules, n, m)."""
    shape = (len(own), len(sources))
    parts = []
    for index, case in enumerate(own[0]):
        columns = _paired(case.kind, [one[index] for one in own], [one[index] for one in sources])
        judged = judge_columns(case.kind, columns, shape)
        good = (judged.verdicts <= Verdict.SAFE) & ~(judged.utilisations > margin)
        good[0] &= (judged.verdicts == Verdict.SAFE).any(axis=0)  # something must be asked
        parts.append(good)
    return np.concatenate(parts)


def _paired(kind: str, own: Sequence[FunctionCase], sources: Sequence[FunctionCase]) -> Any:  # noqa: ANN401
    """Columns of n cases against m candidates: (n, 1) and, of the source's figures, (1, m)."""
    ours, theirs = block_columns(kind, own), block_columns(kind, sources)
    held = {}
    for one in columns_of(KINDS[kind].columns):
        source = one.owner == "source"
        held[one.name] = _spread(getattr(theirs if source else ours, one.name), source=source)
    return dataclasses.replace(ours, **held)


def _spread(held: Any, *, source: bool) -> Any:  # noqa: ANN401 - a triple, table or array
    if isinstance(held, Triple | Table | Members):
        return type(held)(*(_spread(one, source=source) for one in held))
    return held[..., None, :] if source else held[..., None]
