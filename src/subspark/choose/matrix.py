"""A whole plant against a whole catalogue: which candidate serves which circuit.

Circuits that differ in one length only stand in one group, sorted by it. Safety can only be lost
as a cable grows, and each rule of function is won or lost once, so of a group those that a
candidate serves stand side by side: the first and the last of them are found by halves, and
every answer is the engine's own for that very circuit.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from subspark.choose.matrix_function import FunctionMatrix
from subspark.choose.matrix_groups import Group, grouped
from subspark.choose.matrix_safety import SafetyMatrix
from subspark.choose.table import Bools, Table, plain
from subspark.choose.table_function import FunctionTable
from subspark.model import Circuit

__all__ = ["Board", "Matrix"]

Ints = npt.NDArray[np.intp]
_ROWS = 64
"""Circuits filled in at once: what they need stays in the cache."""


@dataclass(frozen=True, slots=True)
class Matrix:
    """Which candidate serves which circuit, shape (n, m).

    ``exact`` tells the circuits of which this is the whole proof; of the others, bound to
    others by cable or box, it tells what cannot serve, and what remains is to be proved whole.
    ``asked`` counts how often a rule or a set of rules was asked of a pair.
    """

    circuits: tuple[Circuit, ...]
    serves: Bools
    exact: Bools
    asked: int


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
        groups = grouped(circuits, table.context, function=function is not None)
        self.groups: list[Group] = groups
        self._safety = SafetyMatrix(table, groups)
        self._function = (
            None if function is None else FunctionMatrix(function, self.circuits, groups)
        )
        sizes = self._safety.sizes
        self._group_of = np.repeat(np.arange(len(groups)), sizes)
        self._rank = np.arange(len(circuits)) - self._safety.start[self._group_of]
        self._members = np.concatenate([np.zeros(0, np.intp), *(one.members for one in groups)])
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
        safe = self._safety.counts(margin)
        start, stop, but, asked = None, safe.counts, list(safe.but), safe.asked
        if self._function is not None:
            works = self._function.spans(safe.counts, margin)
            start, stop = works.start, works.stop
            but += works.but
            asked += works.asked
        serves = self._filled(start, stop)
        for group, places, which in but:
            members = self.groups[group].members
            told = np.zeros((members.size, places.size), dtype=bool)
            told[: which.shape[0]] = which
            serves[np.ix_(members, places)] &= told
        return Matrix(self.circuits, serves, self.exact, asked)

    def _filled(self, start: npt.NDArray[np.int32] | None, stop: npt.NDArray[np.int32]) -> Bools:
        """The circuits of each group from one rank to another, for each candidate."""
        out = np.empty((len(self.circuits), stop.shape[1]), dtype=bool)
        few = int(self._safety.sizes.max(initial=0)) < np.iinfo(np.int16).max
        rank, last = (one.astype(np.int16) if few else one for one in (self._rank, stop))
        first = start if start is not None and start.any() else None
        for at in range(0, rank.size, _ROWS):
            rows = slice(at, at + _ROWS)
            of, nth = self._group_of[rows], rank[rows, None]
            told = nth < last[of]
            if first is not None:
                told &= nth >= first[of]
            out[self._members[rows]] = told
        return out
