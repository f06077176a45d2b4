"""Asks the optimiser until what it chooses holds in the whole plant.

What serves what was told row by row; a choice is made of all rows at once. So the plant with the
choice made is assessed, and what does not hold there, or costs a neighbour its verdict, is struck
out before the optimiser is asked again.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple, Protocol

import numpy as np
import numpy.typing as npt

from subspark.assess import Assessment, assess
from subspark.choose.around import around
from subspark.choose.covering import Covering, Progress, Result
from subspark.choose.covering import fewest as cover
from subspark.choose.proposal import Ask
from subspark.choose.whatif import Difference, states
from subspark.errors import SubsparkError
from subspark.model import Plant
from subspark.physics.ignition import Curves
from subspark.rules import Verdict

__all__ = ["ROUNDS", "Choosing", "Settled", "Watcher", "holds", "settle"]

Bools = npt.NDArray[np.bool_]
Watcher = Callable[[Progress], bool | None]
ROUNDS = 60
"""Choices that are tried before it is given up."""


class Choosing(Protocol):
    """Rows that are to be served, candidates that may serve them, and the plant behind."""

    @property
    def plant(self) -> Plant:
        """The plant as it stands."""

    @property
    def ask(self) -> Ask:
        """What was asked."""

    @property
    def pairs(self) -> Bools:
        """Which candidate may serve which row, shape (rows, candidates); struck out in place."""

    @property
    def tags(self) -> Sequence[str]:
        """The circuit of each row."""

    @property
    def kept(self) -> Sequence[str]:
        """Circuits that are not asked and stay as they are."""

    def judgeable(self, tag: str) -> bool:
        """Whether it can be judged if the circuit works."""

    def covering(self) -> Covering:
        """The problem as it stands."""

    def choice(self, result: Result) -> list[int]:
        """The candidate of each row, -1 where it keeps what it has."""

    def made(self, choice: Sequence[int]) -> tuple[Plant, list[int]]:
        """The plant with a choice made, and the rows that change."""


class Settled(NamedTuple):
    """A choice that holds; ``first`` is the optimiser's answer before anything was struck out."""

    result: Result
    first: Result
    choice: list[int]
    made: Plant
    rounds: int
    struck: int


def holds(assessment: Assessment, tag: str, margin: float, *, function: bool) -> bool:
    """Whether a circuit is safe, works where that is asked, and keeps the margin."""
    return tag in _holding(assessment, {tag: function}, margin)


def _holding(assessment: Assessment, asked: dict[str, bool], margin: float) -> set[str]:
    out = set()
    for one in assessment.summaries():
        if one.tag not in asked or one.verdict is not Verdict.SAFE:
            continue
        used = [one.utilisation]
        if asked[one.tag]:
            works = assessment.function[one.tag]
            if works.verdict is not Verdict.SAFE:
                continue
            used.append(works.utilisation)
        if all(share is None or share <= margin for share in used):
            out.add(one.tag)
    return out


class _Bench:
    """One choice, laid over the plant."""

    def __init__(self, asked: Choosing, choice: list[int], curves: Curves | None) -> None:
        self.asked, self.choice, self.curves = asked, choice, curves
        self.made, self.changed = asked.made(choice)

    def strike(self) -> int:
        """Strike out what does not hold; how many pairs."""
        return self._own() or self._neighbours()

    def _out(self, rows: Sequence[int]) -> int:
        for row in rows:
            self.asked.pairs[row, self.choice[row]] = False
        return len(rows)

    def _own(self) -> int:
        """What does not hold of the rows that were served."""
        asked = self.asked
        served = {tag for tag, at in zip(asked.tags, self.choice, strict=True) if at >= 0}
        tags = [tag for tag in dict.fromkeys(asked.tags) if tag in served]
        if not tags:
            return 0
        good = _holding(
            assess(self.made, tags, curves=self.curves),
            {tag: asked.judgeable(tag) for tag in tags},
            asked.ask.margin,
        )
        rows = [
            row
            for row, (tag, at) in enumerate(zip(asked.tags, self.choice, strict=True))
            if at >= 0 and tag not in good
        ]
        fresh = set(self.changed)
        moved = {asked.tags[row] for row in rows if row in fresh}
        # Of a circuit with several rows the changes go first.
        return self._out([row for row in rows if row in fresh or asked.tags[row] not in moved])

    def _neighbours(self) -> int:
        """The changes that bear on circuits which keep what they have and would be worse."""
        asked = self.asked
        still = [tag for tag, at in zip(asked.tags, self.choice, strict=True) if at < 0]
        worse = _worse(asked.plant, self.made, [*asked.kept, *dict.fromkeys(still)], self.curves)
        if not worse:
            return 0
        near = around(self.made, [self.made.circuit(tag) for tag in worse])
        reached = {one.tag for one in near.circuits}
        struck = self._out([row for row in self.changed if asked.tags[row] in reached])
        if not struck:
            raise SubsparkError(
                f"circuit {worse[0]!r} would be worse though nothing near it changes; nothing is "
                "proposed"
            )
        return struck


def _worse(before: Plant, after: Plant, tags: Sequence[str], curves: Curves | None) -> list[str]:
    """The circuits of these that lose a verdict."""
    if not tags:
        return []
    old = states(assess(before, tags, curves=curves))
    new = states(assess(after, tags, curves=curves))
    return [tag for tag in tags if Difference(tag, old[tag], new[tag]).worse]


def settle(asked: Choosing, curves: Curves | None, progress: Watcher | None) -> Settled:
    """Choose until the choice holds in the whole plant.

    Raises
    ------
    SubsparkError
        Nothing that was found does.
    """
    struck = 0
    first: Result | None = None
    for number in range(1, ROUNDS + 1):
        result = cover(
            asked.covering(),
            order=asked.ask.order,
            time_limit=asked.ask.time_limit,
            progress=progress,
            unknown_prices="leave out",
        )
        first = result if first is None else first
        bench = _Bench(asked, asked.choice(result), curves)
        more = bench.strike()
        if not more:
            return Settled(result, first, bench.choice, bench.made, number, struck)
        struck += more
    raise SubsparkError(
        f"after {ROUNDS} rounds the choice still does not hold in the whole plant; nothing is "
        "proposed"
    )
