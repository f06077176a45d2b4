"""Asks the optimiser until what it chooses holds in the whole plant.

What serves what was told row by row; a choice is made of all rows at once. So the plant with the
choice made is assessed, and what does not hold there, or costs a neighbour its verdict, is struck
out before the optimiser is asked again. Circuits that hold one by one and not together keep what
they have, where that holds: a choice never leaves a circuit unserved that is served today.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterable, Sequence
from functools import cached_property
from typing import NamedTuple, Protocol

import numpy as np
import numpy.typing as npt

from subspark.assess import Assessment, assess
from subspark.choose.around import around, clusters, joined
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
    def present(self) -> npt.NDArray[np.intp]:
        """The candidate that each row has now, -1 where it is none of them."""

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


class _Base:
    """The plant as it stands: which circuits hold there, asked once."""

    def __init__(self, asked: Choosing, curves: Curves | None) -> None:
        self.asked, self.curves = asked, curves
        self.rows: dict[str, list[int]] = {}
        for row, tag in enumerate(asked.tags):
            self.rows.setdefault(tag, []).append(row)
        self._cluster = clusters(asked.plant)
        self._said: dict[str, tuple[object, bool]] = {}
        sides = {one.name for one in asked.plant.sources if one.terminals_of}
        beside = {
            one.tag
            for one in asked.plant.circuits
            if any(use.source in sides for use in one.sources)
        }
        self._sides = [row for row, tag in enumerate(asked.tags) if tag in beside]

    def good(self, made: Plant, choice: Sequence[int], tags: Sequence[str]) -> set[str]:
        """The circuits of these that hold in a plant made by a choice.

        What was said of a circuit is remembered while nothing changes that is joined with it.
        """
        chosen: dict[int, list[int]] = {}
        for row, tag in enumerate(self.asked.tags):
            chosen.setdefault(self._cluster[tag], []).append(choice[row])
        everywhere = tuple(choice[row] for row in self._sides)
        key = {tag: (tuple(chosen[self._cluster[tag]]), everywhere) for tag in tags}
        fresh = [tag for tag in tags if self._said.get(tag, (None,))[0] != key[tag]]
        if fresh:
            function = {tag: self.asked.judgeable(tag) for tag in fresh}
            judged = assess(made, fresh, curves=self.curves)
            good = _holding(judged, function, self.asked.ask.margin)
            self._said |= {tag: (key[tag], tag in good) for tag in fresh}
        return {tag for tag in tags if self._said[tag][1]}

    @cached_property
    def holding(self) -> set[str]:
        """The circuits that hold with what they have now."""
        asked = self.asked
        return _holding(
            assess(asked.plant, list(self.rows), curves=self.curves),
            {tag: asked.judgeable(tag) for tag in self.rows},
            asked.ask.margin,
        )


class _Bench:
    """One choice, laid over the plant."""

    def __init__(self, base: _Base, choice: list[int]) -> None:
        self.base, self.asked, self.curves = base, base.asked, base.curves
        self.choice = choice
        self.made, self.changed = self.asked.made(choice)

    def strike(self) -> int:
        """Strike out what does not hold; how many pairs."""
        return self._own() or self._neighbours()

    def _out(self, rows: Iterable[int]) -> int:
        """Strike out what was chosen for some rows."""
        count = 0
        for row in rows:
            count += int(self.asked.pairs[row, self.choice[row]])
            self.asked.pairs[row, self.choice[row]] = False
        return count

    def _keep(self, rows: Iterable[int]) -> int:
        """Leave some rows what they have now, and nothing else."""
        count = 0
        for row in rows:
            now = int(self.asked.present[row])
            count += int(self.asked.pairs[row].sum()) - 1
            self.asked.pairs[row] = False
            self.asked.pairs[row, now] = True
        return count

    def _own(self) -> int:
        """What does not hold of the rows that were served."""
        served = [tag for tag, rows in self.base.rows.items() if self._served(rows)]
        good = self.base.good(self.made, self.choice, served)
        failing = [tag for tag in served if tag not in good]
        fresh = set(self.changed)
        struck, done = 0, set[str]()
        for tag in failing:
            if tag in done:
                continue
            rows = [row for row in self.base.rows[tag] if self.choice[row] >= 0]
            moved = [row for row in rows if row in fresh]
            if moved and not self._alone(tag):
                struck += self._out(moved)
                continue
            group = joined(self.made, [tag])
            if self._may_stay(group):
                done |= group
                struck += self._keep(self._rows_of(group))
            else:  # of a circuit with several rows the changes go first
                struck += self._out(moved or rows)
        return struck

    def _served(self, rows: Iterable[int]) -> bool:
        return any(self.choice[row] >= 0 for row in rows)

    def _rows_of(self, group: Iterable[str]) -> list[int]:
        """The rows of a group that were served."""
        listed = (row for tag in sorted(group) for row in self.base.rows.get(tag, ()))
        return [row for row in listed if self.choice[row] >= 0]

    def _may_stay(self, group: set[str]) -> bool:
        """Whether a group that changes in some row holds with what it has now."""
        rows = self._rows_of(group)
        present, pairs = self.asked.present, self.asked.pairs
        return (
            any(self.choice[row] != present[row] for row in rows)
            and all(present[row] >= 0 and pairs[row, present[row]] for row in rows)
            and {self.asked.tags[row] for row in rows} <= self.base.holding
        )

    def _alone(self, tag: str) -> bool:
        """Whether a circuit holds as it was chosen while all others stay as they are."""
        before, after = self.asked.plant, self.made.circuit(tag)
        part = around(before, [before.circuit(tag)])
        circuits = tuple(after if one.tag == tag else one for one in part.circuits)
        judged = assess(dataclasses.replace(part, circuits=circuits), [tag], curves=self.curves)
        return holds(judged, tag, self.asked.ask.margin, function=self.asked.judgeable(tag))

    def _neighbours(self) -> int:
        """The changes that bear on circuits which keep what they have and would be worse."""
        asked = self.asked
        still = [tag for tag, rows in self.base.rows.items() if not self._served(rows)]
        worse = _worse(asked.plant, self.made, [*asked.kept, *still], self.curves)
        if not worse:
            return 0
        reached = joined(self.made, worse)
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
    base = _Base(asked, curves)
    for number in range(1, ROUNDS + 1):
        result = cover(
            asked.covering(),
            order=asked.ask.order,
            time_limit=asked.ask.time_limit,
            progress=progress,
            unknown_prices="leave out",
        )
        first = result if first is None else first
        bench = _Bench(base, asked.choice(result))
        more = bench.strike()
        if not more:
            return Settled(result, first, bench.choice, bench.made, number, struck)
        struck += more
    raise SubsparkError(
        f"after {ROUNDS} rounds the choice still does not hold in the whole plant; nothing is "
        "proposed"
    )
