"""Circuits that share a multicore which does not keep them apart: merged and proved together.

In a cable of neither type A nor type B, two shorts between conductors and four opens at once
are to be considered (IEC 60079-14 16.2.2.8, IEC 60079-25 clause 9, from memory). Two shorts
join two circuits that are isolated from each other, and two or three that have a common
return. Whole circuits merge: sources, apparatus and cables. Each source alone on the merged
load is a case too, since opens may take a source away.

The number of sets stays small by two reductions that change no verdict: circuits that are
equal in every number stand for each other (24 equal circuits give one pair and one triple),
and a set is judged once for all its members, since it is the same merged circuit for each.
"""

from __future__ import annotations

import dataclasses
import itertools
import math
from collections import Counter
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from subspark.assess.book import CaseBook
from subspark.assess.cases import MOST_SOURCES, way_of_merged
from subspark.assess.context import Context
from subspark.assess.members import combinations, run_case, runs_of
from subspark.assess.places import Need
from subspark.assess.readings import LEVELS, same
from subspark.assess.rows import Case, HeadRow, MemberCase, RunRow, SourceCase
from subspark.assess.sources import source_cases, unknown_source
from subspark.model import CableType, Circuit, Run
from subspark.rules import NOTHING, Code

__all__ = ["MergedSets", "Portrait", "apart", "merges", "partners"]

MOST_SETS = 20_000
"""Merged sets judged for one cable and atmosphere; above, the circuits are left unproven."""


class Portrait(NamedTuple):
    """A circuit as it enters a merged one, for one atmosphere."""

    circuit: int
    sources: tuple[SourceCase, ...]
    members: tuple[MemberCase, ...]
    runs: tuple[tuple[Run, RunRow], ...]
    common: bool

    @property
    def key(self) -> tuple[object, ...]:
        """Equal for circuits that are alike in every number and polarity."""
        return (
            tuple((same(one.row), one.use.polarity, one.pairs) for one in self.sources),
            tuple((same(one.row), tuple(map(same, one.temperatures))) for one in self.members),
            tuple(same(row) for _, row in self.runs),
            self.common,
        )


def apart(cables: Iterable[CableType | None], voltage: float, code: Code) -> bool:
    """Whether the cables of a multicore keep its circuits apart: each is type A or B by its data.

    Parameters
    ----------
    cables : iterable of CableType or None
        The types of all its runs; None where one is not known.
    voltage : float
        The highest that a circuit brings into it [V]; NaN where not known.
    code : Code
        The edition that says what type A and B ask.
    """
    least, highest = code.number("screen coverage"), code.number("type B voltage")
    for cable in cables:
        if cable is None:
            return False
        if cable.multicore == "A" and cable.coverage is not None and cable.coverage >= least:
            continue
        fixed = cable.multicore == "B" and cable.fixed_and_protected == "yes"
        if fixed and voltage <= highest:
            continue
        return False
    return True


def kept_apart(number: str, context: Context) -> bool:
    """Whether every run of a multicore is of type A or B as its data show."""
    cables = (context.cables.get(name) for name in context.cables_of[number])
    return apart(cables, context.shared_voltage[number], context.code)


def merges(circuit: Circuit, context: Context) -> tuple[str, ...]:
    """Multicores of a circuit in which faults may join it with others."""
    numbers = dict.fromkeys(run.number for run in circuit.runs if run.number)
    return tuple(
        number
        for number in numbers
        if context.sharing.get(number, 0) > 1 and not kept_apart(number, context)
    )


def partners(circuit: Circuit, context: Context) -> set[int]:
    """Places in the plant of every circuit that faults may join with this one, itself too."""
    return {one for number in merges(circuit, context) for one in context.sharers[number]}


def portrait(place: int, need: Need, option: int | None, context: Context) -> Portrait:
    """A circuit of the plant as it enters a merged one in an atmosphere.

    ``option`` is the choice of alternatives that its own proof uses there; elsewhere the first
    choice that reaches level and group is taken. A circuit whose source is not entered brings
    one of which nothing is known. Screens count as in an earthed circuit, since a fault may
    join this one with one that is.
    """
    circuit = context.plant.circuits[place]
    if circuit.method != "entity":  # no proof of a segment holds once others join it
        circuit, option = dataclasses.replace(circuit, method="entity"), None
    sources = tuple(source_cases(circuit, need, context)) or (unknown_source(need, context),)
    choices = list(combinations(circuit, circuit.members, need, context))
    chosen = choices[option] if option is not None else min(choices, key=_shortfall(need))
    kinds = {context.sources[use.source].isolation for use in circuit.sources}
    earthed = kinds != {"galvanic"}
    runs = tuple(
        (run, run_case(run, circuit, context, earthed=True).row) for run in runs_of(circuit)
    )
    return Portrait(place, sources, chosen, runs, common=earthed)


def _shortfall(need: Need) -> _Key:
    return _Key(need)


class _Key:
    def __init__(self, need: Need) -> None:
        self.need = need

    def __call__(self, members: tuple[MemberCase, ...]) -> int:
        rank, group = self.need.rank, self.need.group_rank
        return sum(
            (not one.row.level_a >= rank) + (not one.row.group_a >= group) for one in members
        )


class MergedSets:
    """The merged sets of one multicore in one atmosphere, judged once for all its circuits."""

    def __init__(
        self, number: str, need: Need, portraits: list[Portrait], context: Context
    ) -> None:
        self.number = number
        self.need = need
        self.context = context
        self._portraits = portraits
        self._class_of: dict[int, int] = {}
        self._of_class: list[list[Portrait]] = []
        by_key: dict[tuple[object, ...], int] = {}
        for one in portraits:
            number_of = by_key.setdefault(one.key, len(by_key))
            if number_of == len(self._of_class):
                self._of_class.append([])
            self._of_class[number_of].append(one)
            self._class_of[one.circuit] = number_of
        self.sets = list(itertools.islice(self._sets(), MOST_SETS + 1))
        self.too_many = len(self.sets) > MOST_SETS
        self._book = CaseBook(context.code, context.curves)
        self._places: list[range] = []
        if not self.too_many:
            cases = [list(self._cases(group, -1)) for group in self.sets]
            entered = self._book.enter(case for group in cases for case in group)
            start = entered.start
            for group in cases:
                self._places.append(range(start, start + len(group)))
                start += len(group)

    def _sets(self) -> Iterator[tuple[int, ...]]:
        """Multisets of classes that two shorts can join: pairs, and triples of common return."""
        classes = range(len(self._of_class))
        sizes = [len(group) for group in self._of_class]
        for size in (2, 3):
            for group in itertools.combinations_with_replacement(classes, size):
                if any(count > sizes[one] for one, count in Counter(group).items()):
                    continue
                common = all(self._of_class[one][0].common for one in group)
                if size == 2 or common:
                    yield group

    def _pick(self, group: tuple[int, ...], viewer: int | None) -> list[Portrait]:
        """Circuits that make up a set, in plant order, the viewer among them."""
        out: list[Portrait] = []
        for one, count in Counter(group).items():
            pool = self._of_class[one]
            if viewer is not None and self._class_of[viewer] == one:
                pool = sorted(pool, key=lambda portrait: portrait.circuit != viewer)
            out += pool[:count]
        return sorted(
            out, key=lambda portrait: (self._class_of[portrait.circuit], portrait.circuit)
        )

    def _cases(self, group: tuple[int, ...], viewer: int) -> Iterator[Case]:
        picked = self._pick(group, viewer if viewer >= 0 else None)
        sources = [one for portrait in picked for one in portrait.sources]
        members = tuple(one for portrait in picked for one in portrait.members)
        runs = tuple(one for portrait in picked for one in portrait.runs)
        common = all(portrait.common for portrait in picked)
        tags = [
            self.context.plant.circuits[portrait.circuit].tag
            for portrait in picked
            if portrait.circuit != viewer
        ]
        for way in way_of_merged(sources, common=common):
            acting = tuple(sources[i] for i in way.members)
            yield Case(
                circuit=viewer,
                atmosphere=-1,
                option=0,
                aside=False,
                name=f"with {' + '.join(tags)}: {way.name}",
                need=self.need,
                head=self._head(acting, way.series, way.assessed),
                sources=acting[:MOST_SOURCES],
                members=members,
                runs=runs,
                warnings=()
                if way.assessed
                else (f"multicore {self.number}: polarity of the circuits is not stated",),
            )

    def _head(self, acting: tuple[SourceCase, ...], series: bool, assessed: bool) -> HeadRow:
        need = self.need
        ic_member = any(one.row.level == LEVELS["ic"] for one in acting)
        known = assessed and len(acting) <= MOST_SOURCES
        return HeadRow(
            series=float(series),
            combined=float(len(acting) > 1),
            by_document=0.0,
            spark=float(need.spark) if known else -1.0,
            factor=(1.0 if ic_member and need.rank == LEVELS["ic"] else 1.5) if known else math.nan,
            level_asked=need.rank,
            group_asked=need.group_rank,
            T_limit=need.T_limit,
            T_small=need.T_small,
            T_tiny=need.T_tiny,
            by_power=float(need.by_power),
            dust_power=float(need.in_dust),
            earthed=NOTHING,
            earth_limit=1.0,
            earth_ohm=NOTHING,
            earth_wires=2.0,
            earth_section=math.inf,
            separation=math.inf,
            atmosphere=0.0,
            shared_demand=NOTHING,
            shared_limit=math.inf,
            surge_inside=NOTHING,
            surge_distance=NOTHING,
            surge_section=math.inf,
            surge_discharge=math.inf,
            box_T=NOTHING,
            box_limit=math.inf,
            generating_U=NOTHING,
            generating_I=NOTHING,
            generating_P=NOTHING,
        )

    def worst_of(self, circuit: int) -> list[tuple[int, ...]]:
        """The set that is worst for a circuit: none where it joins with nobody."""
        own = self._class_of[circuit]
        mine = [number for number, group in enumerate(self.sets) if own in group]
        if not mine:
            return []
        places = [place for number in mine for place in self._places[number]]
        worst = self._book.worst(places)
        return [self.sets[number] for number in mine if worst in self._places[number]]

    def count_for(self, circuit: int) -> int:
        """How many different merged sets a circuit belongs to."""
        return sum(self._class_of[circuit] in group for group in self.sets)

    def cases_for(self, circuit: int, index: int) -> list[Case]:
        """The cases of the worst set of a circuit, named from its side; never proved if too many.

        ``circuit`` is its place in the plant, ``index`` its place among those assessed.
        """
        if self.too_many:
            mine = [self._portraits[i] for i in range(len(self._portraits))]
            own = next(one for one in mine if one.circuit == circuit)
            return [
                Case(
                    circuit=index,
                    atmosphere=-1,
                    option=0,
                    aside=False,
                    name=f"multicore {self.number}: too many unlike circuits",
                    need=self.need,
                    head=self._head(own.sources, series=False, assessed=False)._replace(
                        shared_demand=0.0, shared_limit=math.nan
                    ),
                    sources=own.sources[:MOST_SOURCES],
                    members=own.members,
                    runs=own.runs,
                )
            ]
        out: list[Case] = []
        for group in self.worst_of(circuit):
            out += [
                dataclasses.replace(case, circuit=index) for case in self._cases(group, circuit)
            ]
        return out
