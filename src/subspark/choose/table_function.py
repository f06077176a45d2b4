"""Circuits against candidates by the rules of function, as :mod:`table` does by those of safety."""

from __future__ import annotations

import dataclasses
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from subspark.assess.context import Context
from subspark.assess.function import BUILDERS, FunctionCase
from subspark.assess.function.engine import Judged, block_columns, judge_columns
from subspark.assess.function.facts import Facts, declared_of, loop_of
from subspark.choose.candidates import Candidate, with_source
from subspark.choose.watched import Shared, Watched
from subspark.model import Circuit
from subspark.rules import Verdict
from subspark.rules.function import KINDS, columns_of

__all__ = ["FunctionAgainst", "FunctionTable", "judgeable"]

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class FunctionAgainst:
    """Whether one circuit works with each candidate, shape (m,); the rule that governs.

    ``governing`` is blank where the candidate is of no use to such a circuit, or where too
    little is known to tell the kind of circuit.
    """

    verdict: npt.NDArray[np.uint8]
    governing: list[str]
    utilisation: Floats


def _cases(circuit: Circuit, context: Context) -> tuple[FunctionCase, ...]:
    loop = loop_of(circuit, context)
    return tuple(case for build in BUILDERS for case in build(loop))


class Group(NamedTuple):
    """Candidates that make the same kinds of cases, with their columns for each case."""

    kinds: tuple[str, ...]
    places: npt.NDArray[np.intp]
    columns: tuple[Any, ...]


def judgeable(circuit: Circuit, context: Context) -> bool:
    """Whether function is a question in a circuit: some device of it has a role."""
    items = (context.items[one.apparatus] for one in circuit.members if not one.temporary)
    return any(row.what == "role" for item in items for row in item.function)


@dataclass(slots=True)
class FunctionTable:
    """The candidates' side of function, laid out once for circuits that ask alike."""

    context: Context
    candidates: tuple[Candidate, ...]
    _kept: dict[object, Shared[tuple[FunctionCase, ...]]] = field(default_factory=dict)
    _watched: tuple[Watched, Context] | None = None
    _scoped: frozenset[str] = frozenset()
    _groups: dict[object, list[Group]] = field(default_factory=dict)

    def judgeable(self, circuit: Circuit) -> bool:
        """Whether function is a question in this circuit."""
        return judgeable(circuit, self.context)

    def role(self, place: int) -> str:
        """The role of a candidate; blank where none is stated."""
        one = self.candidates[place]
        return Facts((one.kind.function,), part=one.outputs).word("role")

    def cases(self, circuit: Circuit) -> tuple[FunctionCase, ...]:
        """The cases of function of a circuit."""
        return _cases(circuit, self.context)

    def key(self, circuit: Circuit) -> object:
        """What the candidates' side depends on: figures of the circuit, roles, the place."""
        return (
            circuit.function,
            tuple(declared_of(circuit, self.context)),
            tuple(one.role for one in loop_of(circuit, self.context).devices),
            dataclasses.replace(
                circuit.sources[0], tag="", source="-", outputs="", polarity="", safe_side=()
            ),
            circuit.area,
        )

    def kept(self, circuit: Circuit) -> Callable[[int], tuple[FunctionCase, ...]]:
        """The cases of the circuit with the candidate at a place, for circuits that ask alike.

        Candidates that differ in nothing that their cases read share them.
        """
        key = self.key(circuit)
        shared = self._kept.get(key)
        if shared is None:
            watched, context = self._noting()

            def made(place: int) -> tuple[FunctionCase, ...]:
                return _cases(with_source(circuit, self.candidates[place]), context)

            shared = self._kept[key] = Shared(watched, made)
        found = shared

        def of(place: int) -> tuple[FunctionCase, ...]:
            one = self.candidates[place]
            scoped = one.kind.name if one.kind.name in self._scoped else ""
            ports = tuple(port.name for port in one.kind.ports)
            same = one.kind.name if one.kind.name == circuit.sources[0].source else ""
            return found.of(place, one.kind.name, (one.outputs, ports, scoped, same))

        return of

    def sources(self, circuit: Circuit) -> tuple[tuple[FunctionCase, ...], ...]:
        """The cases of the circuit with every candidate; kept for circuits that ask alike."""
        kept = self.kept(circuit)
        return tuple(kept(place) for place in range(len(self.candidates)))

    def _noting(self) -> tuple[Watched, Context]:
        """The candidates' types that note what is read of them, and a context that has them."""
        if self._watched is None:
            names = {one.kind.name for one in self.candidates}
            watched = Watched(self.context.sources[name] for name in names)
            sources = {**self.context.sources, **watched.copies}
            self._watched = watched, dataclasses.replace(self.context, sources=sources)
            self._scoped = frozenset(
                one.of for one in self.context.plant.declarations if one.scope == "source"
            )
        return self._watched

    def groups(self, circuit: Circuit) -> list[Group]:
        """Candidates that make the same kinds of cases; kept for circuits that ask alike."""
        key = self.key(circuit)
        found = self._groups.get(key)
        if found is None:
            sources = self.sources(circuit)
            alike: dict[tuple[str, tuple[str, ...]], list[int]] = defaultdict(list)
            for place in range(len(self.candidates)):
                kinds = tuple(one.kind for one in sources[place])
                if kinds:
                    alike[self.role(place), kinds].append(place)
            found = [
                Group(
                    kinds,
                    np.array(places, dtype=np.intp),
                    tuple(
                        block_columns(kind, [sources[place][index] for place in places])
                        for index, kind in enumerate(kinds)
                    ),
                )
                for (_, kinds), places in alike.items()
            ]
            self._groups[key] = found
        return found

    def against(self, circuit: Circuit) -> FunctionAgainst:
        """Judge whether a circuit works with each candidate in place of its one source."""
        count = len(self.candidates)
        verdict = np.full(count, int(Verdict.UNPROVEN), dtype=np.uint8)
        used = np.full(count, np.nan)
        governing = [""] * count
        for group in self.groups(circuit):
            own = self.cases(with_source(circuit, self.candidates[int(group.places[0])]))
            said, share, names = _judge(own, group)
            verdict[group.places] = np.where(said == 0, int(Verdict.UNPROVEN), said)
            used[group.places] = np.where(share < 0.0, np.nan, share)
            for place, name in zip(group.places.tolist(), names, strict=True):
                governing[place] = name
        return FunctionAgainst(verdict, governing, used)


def _judge(own: Sequence[FunctionCase], group: Group) -> tuple[Any, Floats, list[str]]:
    """Verdict, utilisation and governing rule of each candidate of a group."""
    count = group.places.size
    worst = np.zeros(count, dtype=np.int64)
    most = np.full(count, -1.0)
    names = np.full(count, "", dtype=object)
    for case, theirs in zip(own, group.columns, strict=True):
        judged = judge_columns(case.kind, _columns(case, theirs), (count,))
        said, share, rule = ranked(judged)
        worse = (said > worst) | ((said == worst) & (share > most))
        called = np.array([one.name for one in judged.rules], dtype=object)
        names = np.where(worse, called[rule], names)
        worst, most = np.where(worse, said, worst), np.where(worse, share, most)
    return worst, most, names.tolist()


def ranked(judged: Judged) -> tuple[Any, Floats, Any]:
    """Worst verdict, its largest utilisation (-1: none) and its rule, as findings rank them."""
    worst = judged.verdicts.max(axis=0, initial=0)
    at_worst = judged.verdicts == worst
    shares = np.where(at_worst & ~np.isnan(judged.utilisations), judged.utilisations, -1.0)
    rule = np.argmax(shares, axis=0)
    most = np.take_along_axis(shares, rule[None], 0)[0]
    rule = np.where(most < 0.0, np.argmax(at_worst, axis=0), rule)
    return worst.astype(np.int64), most, rule


def _columns(own: FunctionCase, theirs: Any) -> Any:  # noqa: ANN401 - of the case's kind
    """Columns of one case against candidates: of each source its figures, all else the case's."""
    ours = block_columns(own.kind, [own])
    held = {
        one.name: getattr(theirs, one.name)
        for one in columns_of(KINDS[own.kind].columns)
        if one.owner == "source"
    }
    return dataclasses.replace(ours, **held)
