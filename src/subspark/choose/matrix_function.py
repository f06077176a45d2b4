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
from subspark.choose.table_function import FunctionTable, ranked
from subspark.model import Circuit
from subspark.rules import Verdict
from subspark.rules.function import KINDS, Members, Table, Triple, columns_of

__all__ = ["FunctionMatrix"]

Bools = npt.NDArray[np.bool_]
Ints = npt.NDArray[np.intp]
PAIRS = 32768
"""Pairs judged at once."""


class _Alike(NamedTuple):
    """Circuits that ask the same of the source, and the candidates of one role for them."""

    circuits: list[int]
    own: list[tuple[FunctionCase, ...]]
    candidates: list[int]
    sources: list[tuple[FunctionCase, ...]]


class FunctionMatrix:
    """Circuits against candidates by the rules of function."""

    def __init__(self, table: FunctionTable, circuits: Sequence[Circuit]) -> None:
        self.table = table
        self.circuits = circuits
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
            step = max(1, PAIRS // len(group.candidates))
            for start in range(0, len(group.circuits), step):
                of = slice(start, start + step)
                holds = _holds(group.own[of], group.sources, margin)
                works[np.ix_(group.circuits[of], group.candidates)] = holds
                asked += holds.size
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
            alike: dict[object, list[int]] = defaultdict(list)
            for place in wanted.tolist():
                kinds = tuple(one.kind for one in sources[place])
                if kinds:
                    alike[self.table.role(place), kinds].append(place)
            for (_, kinds), places in alike.items():  # type: ignore[misc]
                yield from self._own(indices, kinds, places, [sources[one] for one in places])

    def _own(
        self,
        indices: list[int],
        kinds: tuple[str, ...],
        places: list[int],
        sources: list[tuple[FunctionCase, ...]],
    ) -> Iterator[_Alike]:
        stand_in = self.table.candidates[places[0]]
        circuits, own = [], []
        for index in indices:
            cases = self.table.cases(with_source(self.circuits[index], stand_in))
            if tuple(one.kind for one in cases) == kinds:
                circuits.append(index)
                own.append(cases)
        if circuits:
            yield _Alike(circuits, own, places, sources)


def _holds(
    own: Sequence[tuple[FunctionCase, ...]],
    sources: Sequence[tuple[FunctionCase, ...]],
    margin: float,
) -> Bools:
    """Whether n circuits work with m candidates, with no more than the margin used."""
    shape = (len(own), len(sources))
    worst = np.zeros(shape, dtype=np.int64)
    most = np.full(shape, -1.0)
    for index, case in enumerate(own[0]):
        columns = _paired(case.kind, [one[index] for one in own], [one[index] for one in sources])
        said, used, _ = ranked(judge_columns(case.kind, columns, shape))
        most = np.where(said > worst, used, np.where(said == worst, np.maximum(most, used), most))
        worst = np.maximum(worst, said)
    holds: Bools = (worst == int(Verdict.SAFE)) & ~(most > margin)
    return holds


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
