"""Circuits against candidates by the rules of function, as :mod:`table` does by those of safety."""

from __future__ import annotations

import dataclasses
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt

from subspark.assess.context import Context
from subspark.assess.function import BUILDERS, FunctionCase
from subspark.assess.function.engine import Judged, block_columns, judge_columns
from subspark.assess.function.facts import Facts, declared_of, loop_of
from subspark.choose.candidates import Candidate, with_source
from subspark.model import Circuit
from subspark.rules import Verdict
from subspark.rules.function import KINDS, columns_of

__all__ = ["FunctionAgainst", "FunctionTable"]

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


@dataclass(slots=True)
class FunctionTable:
    """The candidates' side of function, laid out once for circuits that ask alike."""

    context: Context
    candidates: tuple[Candidate, ...]
    _kept: dict[object, tuple[tuple[FunctionCase, ...], ...]] = field(default_factory=dict)

    def roles(self) -> dict[str, list[int]]:
        """Candidates by their role."""
        found: dict[str, list[int]] = defaultdict(list)
        for place in range(len(self.candidates)):
            found[self.role(place)].append(place)
        return found

    def judgeable(self, circuit: Circuit) -> bool:
        """Whether function is a question in this circuit: some device of it has a role."""
        return bool(loop_of(circuit, self.context).roles)

    def role(self, place: int) -> str:
        """The role of a candidate; blank where none is stated."""
        one = self.candidates[place]
        return Facts((one.kind.function,), part=one.outputs).word("role")

    def cases(self, circuit: Circuit) -> tuple[FunctionCase, ...]:
        """The cases of function of a circuit."""
        loop = loop_of(circuit, self.context)
        return tuple(case for build in BUILDERS for case in build(loop))

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

    def sources(self, circuit: Circuit) -> tuple[tuple[FunctionCase, ...], ...]:
        """The cases of the circuit with every candidate; kept for circuits that ask alike."""
        key = self.key(circuit)
        found = self._kept.get(key)
        if found is None:
            found = tuple(self.cases(with_source(circuit, one)) for one in self.candidates)
            self._kept[key] = found
        return found

    def against(self, circuit: Circuit) -> FunctionAgainst:
        """Judge whether a circuit works with each candidate in place of its one source."""
        count = len(self.candidates)
        verdict = np.full(count, int(Verdict.UNPROVEN), dtype=np.uint8)
        used = np.full(count, -1.0)
        governing = [""] * count
        sources = self.sources(circuit)
        for places in self.roles().values():
            stand_in = self.cases(with_source(circuit, self.candidates[places[0]]))
            alike: dict[tuple[str, ...], list[int]] = defaultdict(list)
            for place in places:
                alike[tuple(one.kind for one in sources[place])].append(place)
            for kinds, group in alike.items():
                if not kinds:
                    continue
                own = stand_in
                if tuple(one.kind for one in own) != kinds:
                    own = self.cases(with_source(circuit, self.candidates[group[0]]))
                _judge(own, [sources[place] for place in group], group, verdict, used, governing)
        return FunctionAgainst(verdict, governing, np.where(used < 0.0, np.nan, used))


def _judge(
    own: Sequence[FunctionCase],
    sources: Sequence[Sequence[FunctionCase]],
    places: Sequence[int],
    verdict: npt.NDArray[np.uint8],
    used: Floats,
    governing: list[str],
) -> None:
    """Judge candidates that make the same kinds of cases, and keep the worst of each."""
    worst = np.zeros(len(places), dtype=np.int64)
    most = np.full(len(places), -1.0)
    names = [""] * len(places)
    for index, case in enumerate(own):
        columns = _columns(case, [one[index] for one in sources])
        judged = judge_columns(case.kind, columns, (len(places),))
        said, share, rule = ranked(judged)
        worse = (said > worst) | ((said == worst) & (share > most))
        for at in np.flatnonzero(worse).tolist():
            names[at] = judged.rules[int(rule[at])].name
        worst, most = np.where(worse, said, worst), np.where(worse, share, most)
    listed = np.array(places, dtype=np.intp)
    verdict[listed] = np.where(worst == 0, int(Verdict.UNPROVEN), worst)
    used[listed] = most
    for place, name in zip(places, names, strict=True):
        governing[place] = name


def ranked(judged: Judged) -> tuple[Any, Floats, Any]:
    """Worst verdict, its largest utilisation (-1: none) and its rule, as findings rank them."""
    worst = judged.verdicts.max(axis=0, initial=0)
    at_worst = judged.verdicts == worst
    shares = np.where(at_worst & ~np.isnan(judged.utilisations), judged.utilisations, -1.0)
    rule = np.argmax(shares, axis=0)
    most = np.take_along_axis(shares, rule[None], 0)[0]
    rule = np.where(most < 0.0, np.argmax(at_worst, axis=0), rule)
    return worst.astype(np.int64), most, rule


def _columns(own: FunctionCase, sources: Sequence[FunctionCase]) -> Any:  # noqa: ANN401
    """Columns of one case against candidates: of each source its figures, all else the case's."""
    theirs = block_columns(own.kind, sources)
    ours = block_columns(own.kind, [own])
    held = {
        one.name: getattr(theirs, one.name)
        for one in columns_of(KINDS[own.kind].columns)
        if one.owner == "source"
    }
    return dataclasses.replace(ours, **held)
