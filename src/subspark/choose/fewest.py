"""The fewest types that serve a whole plant: asked of the optimiser, proved by the rules.

The arrays say which type serves which circuit; the optimiser chooses; then the plant with the
choice made is assessed whole. A choice that does not hold there is struck out and the optimiser
asked again, so a proposal never leans on the arrays alone.
"""

from __future__ import annotations

import dataclasses
import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import numpy as np
import numpy.typing as npt

from subspark.choose.candidates import Candidate, use_of
from subspark.choose.change import Change, Edit
from subspark.choose.covering import Covering, Result, curve
from subspark.choose.fewest_cables import Told, fewest_cables
from subspark.choose.filters import facts_of, filtered
from subspark.choose.fits import Search
from subspark.choose.matrix import Board
from subspark.choose.proposal import Ask, Miss, Proposal, TypeLine
from subspark.choose.settling import Settled, Watcher, settle
from subspark.errors import UsageError
from subspark.model import Circuit, Plant, content
from subspark.physics.ignition import Curves

__all__ = ["Ask", "Miss", "Proposal", "TypeLine", "fewest", "margins"]

Bools = npt.NDArray[np.bool_]


class _Types:
    """The types behind the candidates: which candidate of a type a circuit would take."""

    def __init__(self, search: Search) -> None:
        self.kinds = list(dict.fromkeys(one.kind.name for one in search.candidates))
        number = {name: at for at, name in enumerate(self.kinds)}
        self.type_of = np.array([number[one.kind.name] for one in search.candidates])
        self.by_type: list[list[int]] = [[] for _ in self.kinds]
        for place, kind in enumerate(self.type_of.tolist()):
            self.by_type[kind].append(place)
        self.first: list[Candidate] = [search.candidates[one[0]] for one in self.by_type]
        self.number = number

    def serves(self, pairs: Bools) -> Bools:
        """Whether some output of a type serves a circuit, shape (n, types)."""
        out = np.zeros((pairs.shape[0], len(self.kinds)), dtype=bool)
        for kind, places in enumerate(self.by_type):
            out[:, kind] = pairs[:, places].any(axis=1)
        return out

    def prices(self) -> tuple[npt.NDArray[np.float64], bool]:
        """Prices, and whether any is stated; where none is, each module counts as 1."""
        found = np.array([facts_of(one).spread("price").nominal for one in self.first])
        if np.isnan(found).all():
            return np.ones(found.size), False
        return found, True

    def channels(self) -> npt.NDArray[np.int64]:
        """Channels of a module: as stated, else its outputs."""
        out = []
        for one, places in zip(self.first, self.by_type, strict=True):
            stated = facts_of(one).spread("channels").nominal
            out.append(len(places) if math.isnan(stated) else max(1, int(stated)))
        return np.array(out, dtype=np.int64)


def _asked(plant: Plant) -> tuple[list[Circuit], list[Circuit]]:
    """Circuits whose one source may be chosen, and those that are left as they are."""
    asked: list[Circuit] = []
    left: list[Circuit] = []
    for one in plant.circuits:
        free = len(one.sources) == 1 and one.method == "entity" and not one.system
        (asked if free else left).append(one)
    return asked, left


def _sharing(circuits: Sequence[Circuit]) -> npt.NDArray[np.int64]:
    """Numbers of the groups that may share a module: same cabinet, place, SIL, redundant half."""
    keys = []
    for one in circuits:
        use, said = one.sources[0], {row.what: row.value for row in one.function}
        keys.append((use.cabinet, use.place, said.get("SIL", ""), said.get("redundant half", "")))
    number = {key: at for at, key in enumerate(dict.fromkeys(keys))}
    return np.array([number[key] for key in keys], dtype=np.int64)


def _allowed(search: Search, circuits: Sequence[Circuit], pairs: Bools) -> Bools:
    """The pairs that no filter refuses or leaves open."""
    verdicts: dict[object, npt.NDArray[np.bool_]] = {}
    out = pairs.copy()
    for index, circuit in enumerate(circuits):
        passes = verdicts.get(circuit.function)
        if passes is None:
            found = [filtered(circuit, one, search.wishes) for one in search.candidates]
            passes = np.array([not one.refused and not one.open for one in found])
            verdicts[circuit.function] = passes
        out[index] &= passes
    return out


def _present(circuits: Sequence[Circuit], search: Search) -> npt.NDArray[np.intp]:
    """The candidate that each circuit has now; -1 where it is none of them."""
    number = {(one.kind.name, one.outputs): at for at, one in enumerate(search.candidates)}
    single = {one.kind.name: at for at, one in enumerate(search.candidates)}
    found = []
    for one in circuits:
        use = one.sources[0]
        at = number.get((use.source, use.outputs))
        found.append(single.get(use.source, -1) if at is None and not use.outputs else at)
    return np.array([-1 if one is None else one for one in found], dtype=np.intp)


@dataclass(slots=True)
class _Problem:
    """A plant laid out for the optimiser, with what was struck out of it."""

    given: Plant
    ask: Ask
    search: Search
    board: Board
    circuits: list[Circuit]
    left: list[Circuit]
    pairs: Bools
    types: _Types
    present: npt.NDArray[np.intp]
    function: dict[str, bool]

    def covering(self) -> Covering:
        """The problem as it stands."""
        prices, _ = self.types.prices()
        serves = self.types.serves(self.pairs)
        here = self.present >= 0
        kind = np.where(here, self.types.type_of[np.maximum(self.present, 0)], -1)
        rows = np.arange(len(self.circuits))
        good = here & self.pairs[rows, np.maximum(self.present, 0)]
        existing = np.where(good, kind, -1)
        forced = {use.source for one in self.left for use in one.sources} & set(self.types.kinds)
        forced |= set(self.ask.forced)
        return Covering(
            serves=serves,
            price=prices,
            stocking=self.ask.stocking,
            channels=self.types.channels(),
            group=_sharing(self.circuits),
            spare=Fraction(repr(self.ask.spare)),
            existing=existing,
            change=self.ask.replacing,
            forced=tuple(self._named(sorted(forced))),
            forbidden=tuple(self._named(self.ask.forbidden)),
            names=self.types.kinds,
        )

    def _named(self, names: Sequence[str]) -> list[int]:
        unknown = [name for name in names if name not in self.types.number]
        if unknown:
            raise UsageError(f"source {unknown[0]!r}: not one that could be chosen")
        return [self.types.number[name] for name in names]

    def choice(self, result: Result) -> list[int]:
        """The candidate of each circuit: its present one where it stays, else outputs in turn."""
        used: Counter[int] = Counter()
        out = []
        for index, kind in enumerate(result.assignment.tolist()):
            if kind < 0:
                out.append(-1)
                continue
            now = int(self.present[index])
            serving = [one for one in self.types.by_type[kind] if self.pairs[index, one]]
            taken = now if now in serving else min(serving, key=lambda one: (used[one], one))
            used[taken] += 1
            out.append(taken)
        return out

    def made(self, choice: Sequence[int]) -> tuple[Plant, list[int]]:
        """The plant with a choice made, and the circuits that change."""
        changed: dict[str, Circuit] = {}
        places = []
        for index, (circuit, at) in enumerate(zip(self.circuits, choice, strict=True)):
            if at < 0 or at == int(self.present[index]):
                continue
            use = use_of(circuit.sources[0], self.search.candidates[at])
            changed[circuit.tag] = dataclasses.replace(circuit, sources=(use,))
            places.append(index)
        circuits = tuple(changed.get(one.tag, one) for one in self.search.plant.circuits)
        return dataclasses.replace(self.search.plant, circuits=circuits), places

    @property
    def tags(self) -> list[str]:
        """The circuit of each row."""
        return [one.tag for one in self.circuits]

    @property
    def kept(self) -> list[str]:
        """The circuits that are not asked."""
        return [one.tag for one in self.left]

    @property
    def plant(self) -> Plant:
        """The plant as it stands."""
        return self.search.plant

    def judgeable(self, tag: str) -> bool:
        """Whether it can be judged if a circuit works."""
        return self.function[tag]


def _laid_out(plant: Plant, ask: Ask, curves: Curves | None) -> _Problem:
    search = Search(plant, None, ask.wishes, ask.margin, curves)
    circuits, left = _asked(search.plant)
    if not circuits:
        raise UsageError(f"plant {plant.name!r} has no circuit whose source could be chosen")
    if not search.candidates:
        raise UsageError(f"plant {plant.name!r} has no source that could be chosen")
    board = Board(search.table, search.function, circuits)
    found = board.serving(ask.margin)
    return _Problem(
        given=plant,
        ask=ask,
        search=search,
        board=board,
        circuits=circuits,
        left=left,
        pairs=_allowed(search, circuits, found.serves),
        types=_Types(search),
        present=_present(circuits, search),
        function={one.tag: search.function.judgeable(one) for one in circuits},
    )


def fewest(
    plant: Plant,
    ask: Ask | None = None,
    *,
    curves: Curves | None = None,
    progress: Watcher | None = None,
    told: Told | None = None,
) -> Proposal:
    """Choose source types that serve every circuit of a plant with the margin asked.

    Parameters
    ----------
    plant : Plant
    ask : Ask, optional
    curves : Curves, optional
        A printed table of ignition values in place of the reference values.
    progress : callable, optional
        Told several times a second how far the optimiser is; ends it by False.

    Returns
    -------
    Proposal
        Types before and after, cost with bound and gap, circuits that nothing serves with
        what comes nearest, and the change to be reviewed. Every circuit that was asked was
        proved in the whole plant so changed, and no other lost a verdict.

    Raises
    ------
    UsageError
        Nothing to choose, or a name that is not there.
    SubsparkError
        The proposal could not be made to hold.
    """
    ask = Ask() if ask is None else ask
    if ask.of == "cables":
        return fewest_cables(plant, ask, curves=curves, progress=progress, told=told)
    problem = _laid_out(plant, ask, curves)
    return _proposal(problem, settle(problem, curves, progress))


def _edits(problem: _Problem, made: Plant) -> tuple[Edit, ...]:
    before = {one.tag: one for one in problem.given.circuits}
    return tuple(
        Edit(
            ("circuits", one.tag, "sources"),
            content(before[one.tag].sources),
            content(one.sources),
        )
        for one in made.circuits
        if before[one.tag].sources != one.sources
    )


def _proposal(problem: _Problem, found: Settled) -> Proposal:
    ask, search = problem.ask, problem.search
    result, made = found.result, found.made

    def uses(plant: Plant) -> Counter[str]:
        return Counter(use.source for one in plant.circuits for use in one.sources)

    before, after = uses(problem.given), uses(made)
    bought: Counter[str] = Counter()
    for one in result.purchases:
        bought[problem.types.kinds[one.type]] += one.bought
    prices, priced = problem.types.prices()
    chosen = {problem.types.kinds[at] for at in result.chosen}
    lines = []
    for name in dict.fromkeys((*before, *after)):
        kind = next(one for one in search.plant.sources if one.name == name)
        at = problem.types.number.get(name)
        price = None if at is None or not priced or math.isnan(prices[at]) else float(prices[at])
        counts = (before[name], after[name], bought[name])
        # A type that could not be chosen at all stays where it is: it is of any choice.
        lines.append(TypeLine(name, kind.maker, *counts, price, name in chosen or at is None))
    lines.sort(key=lambda one: (-one.after, -one.before, one.name))
    misses = []
    for index, at in enumerate(found.choice):
        if at < 0:
            tag = problem.circuits[index].tag
            (nearest,) = search.fits(tag, 1) or (None,)
            misses.append(Miss(tag, "" if nearest is None else nearest.label, _why(nearest)))
    why = f"fewest types: {ask.margin:.0%} of each limit at most, {ask.order} first"
    return Proposal(
        ask=ask,
        result=result,
        first=found.first,
        lines=tuple(lines),
        misses=tuple(misses),
        left=tuple(one.tag for one in problem.left),
        change=Change(why, problem.given.digest, _edits(problem, made)),
        priced=priced,
        rounds=found.rounds,
        struck=found.struck,
    )


def _why(nearest: Any) -> str:  # noqa: ANN401 - a fit, or none
    return "" if nearest is None else str(nearest.reason)


def margins(
    plant: Plant,
    asked: Sequence[float],
    ask: Ask | None = None,
    *,
    curves: Curves | None = None,
    progress: Watcher | None = None,
) -> list[tuple[float, int, float, int]]:
    """Margin asked against types needed: the largest share used, types, cost, circuits served.

    The choices of a curve are those of the optimiser by the arrays; :func:`fewest` proves one.
    """
    ask = Ask() if ask is None else ask
    problem = _laid_out(plant, dataclasses.replace(ask, margin=1.0), curves)
    search = problem.search

    def at(margin: float) -> Bools:
        found = problem.board.serving(margin)
        return problem.types.serves(_allowed(search, problem.circuits, found.serves))

    points = curve(
        problem.covering(),
        asked,
        at,
        order=ask.order,
        time_limit=ask.time_limit,
        progress=progress,
        unknown_prices="leave out",
    )
    return [(one.margin, one.types, one.cost, one.served) for one in points]
