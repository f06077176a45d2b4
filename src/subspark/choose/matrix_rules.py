"""Rules asked once of what differs for them: a table for each rule, read by two indices.

Each rule reads few columns, and few values of them differ, on the circuits' side and on the
sources'. So each is asked of every distinct side of the one against every distinct side of the
other that it reads, and what it says is gathered for the pairs. Which columns a rule reads is
not taken from its declaration: it is handed only those that are known to be told apart, and
where it reaches for another that one is told apart as well, and the rule is asked anew.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple, cast

import numpy as np
import numpy.typing as npt

from subspark.choose.table import SOURCE_COLUMNS
from subspark.rules import Code, Columns, settle
from subspark.rules.bound import holds
from subspark.rules.registry import Rule

__all__ = ["Distinct", "Held", "Reads", "Unlisted", "asked", "numbered"]

Bools = npt.NDArray[np.bool_]
Ints = npt.NDArray[np.intp]
Numbers = npt.NDArray[np.int32]
Arrays = dict[str, npt.NDArray[Any]]


def numbered(parts: Iterable[Ints], size: int) -> tuple[Numbers, Ints]:
    """Numbers that are equal where all parts are equal, and a place of each number."""
    code = np.zeros(size, dtype=np.intp)
    for one in parts:
        most = int(one.max(initial=0))
        if most:
            code = np.unique(code * (most + 1) + one, return_inverse=True)[1]
    _, first, code = np.unique(code, return_index=True, return_inverse=True)
    return code.astype(np.int32), first


class Distinct:
    """Columns of one side, shape (..., N): which of their N are alike, bit for bit."""

    def __init__(self, columns: Arrays, size: int) -> None:
        self.columns, self.size = columns, size
        self._codes: dict[str, Ints] = {}
        self._found: dict[frozenset[str], tuple[Numbers, Ints]] = {}

    def of(self, names: Iterable[str]) -> tuple[Numbers, Ints]:
        """The number of each by these columns, and a place that has each number."""
        key = frozenset(names)
        found = self._found.get(key)
        if found is None:
            found = self._found[key] = numbered([self._code(one) for one in sorted(key)], self.size)
        return found

    def _code(self, name: str) -> Ints:
        found = self._codes.get(name)
        if found is None:
            rows = np.ascontiguousarray(self.columns[name]).reshape(-1, self.size)
            bits = rows.view(np.int64) if rows.dtype == np.float64 else rows.astype(np.int64)
            parts = [
                np.unique(row, return_inverse=True)[1] for row in bits if (row != row[0]).any()
            ]
            found = self._codes[name] = numbered(parts, self.size)[0].astype(np.intp)
        return found


class Unlisted(Exception):  # noqa: N818 - a question, not an error
    """A rule reached for a column by which cases were not told apart."""

    def __init__(self, name: str) -> None:
        super().__init__(name)
        self.name = name


class Reads(NamedTuple):
    """Columns that a rule reads, of the circuits' side and of the sources'."""

    own: frozenset[str]
    source: frozenset[str]

    def more(self, name: str) -> Reads:
        """With one more; the default of an L/R holds up to some current of the source."""
        if name in SOURCE_COLUMNS:
            return Reads(self.own, self.source | {name})
        if name == "LR":
            return Reads(self.own | {"LR", "LR_default"}, self.source | {"I"})
        return Reads(self.own | {name}, self.source)


class Held:
    """Columns of which only those listed can be read; each is gathered when first read."""

    segments = None

    def __init__(
        self,
        code: Code,
        reads: Reads,
        own: Arrays,
        source: Arrays,
        at: tuple[Ints, Ints],
        *,
        crossed: bool,
        lengths: tuple[Ints, npt.NDArray[np.float64]] | None = None,
    ) -> None:
        self.code = code
        self.memo: dict[str, object] = {}
        self._reads, self._own, self._source, self._at = reads, own, source, at
        self._crossed, self._lengths = crossed, lengths

    def __getattr__(self, name: str) -> Any:  # noqa: ANN401 - a column, by its name
        if name not in self._own and name not in self._source:
            raise AttributeError(name)
        if name not in self._reads.own and name not in self._reads.source:
            raise Unlisted(name)
        if name in SOURCE_COLUMNS:
            held = self._source[name][..., self._at[1]]
            held = held[..., None, :] if self._crossed else held
        elif name == "LR":
            raw, default = self._side("LR"), self._side("LR_default")
            if default.any():
                beyond = ~(self.code.number("default L/R current") >= self.I)
                held = np.where(default & beyond, np.nan, raw)
            else:
                held = raw
        else:
            held = self._side(name)
            if name == "length" and self._lengths is not None and held.shape[0]:
                varied, metres = self._lengths
                held[varied, np.arange(metres.size)] = metres
        setattr(self, name, held)
        return held

    def _side(self, name: str) -> npt.NDArray[Any]:
        held = self._own[name][..., self._at[0]]
        return held[..., None] if self._crossed else held


def asked(
    rules: Sequence[Rule], held: Held, shape: tuple[int, ...], margin: float
) -> tuple[Bools, Bools]:
    """Whether rules hold, and whether none uses more than the margin as well.

    Raises
    ------
    Unlisted
        One of them reached for a column that is not listed.
    """
    safe: Any = np.ones((), dtype=bool)
    within: Any = np.ones((), dtype=bool)
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        for rule in rules:
            answer = rule.evaluate(cast("Columns", held))
            safe = safe & holds(answer)
            if rule.sort == "quantity" and margin < 1.0:
                within = within & ~(settle(answer, quantity=True).utilisation > margin)
    safe = np.broadcast_to(safe, shape)
    return safe, safe if margin >= 1.0 else np.broadcast_to(within & safe, shape)
