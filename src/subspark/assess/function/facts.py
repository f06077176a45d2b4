"""Functional figures found by their word: those of the circuit first, then of the item."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import NamedTuple, cast

from subspark.assess.context import Context
from subspark.assess.sources import air_round
from subspark.model import (
    TERMS,
    ApparatusType,
    Circuit,
    Datum,
    Fact,
    Member,
    SimpleType,
    SourceType,
    SourceUse,
    What,
)
from subspark.quantity import UNKNOWN_SPREAD, Kind, Spread

__all__ = ["DECLARED", "EXACT", "Facts", "Item", "Loop", "Point", "declared_of", "loop_of"]

DECLARED: frozenset[str] = frozenset(
    {
        "supply voltage",
        "load resistance",
        "load place",
        "input limit voltage",
        "conductor temperature",
        "HART",
        "margin",
    }
)
"""Figures of a circuit that a declaration can state for many at once."""


_IN_ORDER = sorted(DECLARED)
_STEP = 2
EXACT = ": no tolerance is stated, the figure is taken as exact"
"""The end of a note on a bare figure."""


class Point(NamedTuple):
    """A row of a table: the current [A; NaN where it holds at every one] and the figure."""

    at: float
    value: Spread


@dataclass(slots=True)
class Facts:
    """Figures in the order in which they count: the first list that has a word settles it.

    ``notes`` collects what was assumed of those that were used.
    """

    lists: tuple[tuple[Datum, ...], ...]
    label: str = ""
    part: str = ""
    notes: list[str] = field(default_factory=list)
    _found: dict[str, tuple[Datum, ...]] | None = field(default=None, repr=False, compare=False)

    def rows(self, what: What) -> tuple[Datum, ...]:
        """Every row of a word in the list that settles it; the part's own before the whole's."""
        if self._found is None:
            self._found = self._sorted()
        return self._found.get(what, ())

    def _sorted(self) -> dict[str, tuple[Datum, ...]]:
        """The rows that count, by their word."""
        found: dict[str, tuple[Datum, ...]] = {}
        for data in self.lists:
            own: dict[str, list[Datum]] = {}
            whole: dict[str, list[Datum]] = {}
            for one in data:
                if not one.part:
                    whole.setdefault(one.what, []).append(one)
                elif one.part == self.part:
                    own.setdefault(one.what, []).append(one)
            for what, rows in (whole | own).items():
                found.setdefault(what, tuple(rows))
        return found

    def word(self, what: What) -> str:
        """The word stated; blank where none is, or where two differ."""
        said = {one.value for one in self.rows(what)}
        return said.pop() if len(said) == 1 else ""

    def yes(self, what: What) -> float:
        """1 where the answer is yes, 0 where no, NaN where it is not given."""
        return {"yes": 1.0, "no": 0.0}.get(self.word(what), math.nan)

    def spread(self, what: What) -> Spread:
        """The figure with its ends; unknown where it stands in several rows that differ."""
        rows = self.rows(what)
        found = {one.spread for one in rows}
        if len(found) != 1:
            return UNKNOWN_SPREAD
        one = found.pop()
        self._note(what, one)
        return one

    def table(self, what: What, *, steps: bool = False) -> tuple[Point, ...]:
        """The figure against a current, rising; one row without a current holds at each.

        Two rows at one current contradict each other; with ``steps`` they are a step, in the
        order in which they stand.
        """
        rows = [Point(one.argument, one.spread) for one in self.rows(what)]
        for one in rows:
            self._note(what, one.value)
        most = max(Counter(row.at for row in rows).values(), default=0)
        if most > (_STEP if steps else 1) or (
            len(rows) > 1 and math.isnan(sum(r.at for r in rows))
        ):
            return ()
        return tuple(sorted(rows, key=lambda row: row.at))

    def _note(self, what: str, one: Spread) -> None:
        if one.exact and isinstance(TERMS[what].values, Kind):
            of = f" of {self.label}" if self.label else ""
            note = f"{what}{of}{EXACT}"
            if note not in self.notes:
                self.notes.append(note)


class Item(NamedTuple):
    """A source or apparatus of a circuit with its figures.

    ``around`` is the coldest and hottest air where a source stands [degC].
    """

    use: SourceUse | Member
    kind: SourceType | ApparatusType | SimpleType
    facts: Facts
    role: str
    around: tuple[float, float] = (math.nan, math.nan)

    @property
    def label(self) -> str:
        """Tag or name for people."""
        return self.use.tag or self.kind.name


@dataclass(frozen=True, slots=True)
class Loop:
    """A circuit as function sees it: sources, devices and own figures."""

    circuit: Circuit
    context: Context
    sources: tuple[Item, ...]
    devices: tuple[Item, ...]
    own: Facts

    @property
    def roles(self) -> frozenset[str]:
        """The roles of its devices."""
        return frozenset(one.role for one in self.devices if one.role)

    def of_role(self, *roles: str) -> tuple[Item, ...]:
        """Its devices of these roles, in order."""
        return tuple(one for one in self.devices if one.role in roles)

    @property
    def source(self) -> Item | None:
        """The one source that has a role; None where there is none, or several."""
        found = [one for one in self.sources if one.role] or list(self.sources)
        return found[0] if len(found) == 1 else None


def declared_of(circuit: Circuit, context: Context) -> Iterable[Datum]:
    """Declarations that state a functional figure of this circuit."""
    use = circuit.sources[0] if circuit.sources else None
    names = {
        "circuit": circuit.tag,
        "source": use.source if use else "",
        "cabinet": use.cabinet if use else "",
        "area": circuit.area,
    }
    for word in _IN_ORDER:
        found = context.declared.find(cast("Fact", word), **names)
        if found is None:
            continue
        key = ("datum", word, id(found))
        if key not in context.known:
            datum = Datum(what=cast("What", word), value=found.value, evidence=found.evidence)
            context.known[key] = (found, datum)
        yield context.known[key][-1]


def loop_of(circuit: Circuit, context: Context) -> Loop:
    """A circuit with the figures of all that it is made of."""
    stated = tuple(declared_of(circuit, context))
    own = Facts((circuit.function, stated))
    sources = []
    for use in circuit.sources:
        kind = context.sources[use.source]
        # The instrument behind a barrier belongs to the circuit: what is said there comes first.
        facts = Facts((circuit.function, kind.function), use.tag or kind.name, use.outputs)
        role = Facts((kind.function,), part=use.outputs).word("role")
        sources.append(Item(use, kind, facts, role, air_round(use, circuit, context)))
    devices = []
    for member in circuit.members:
        if member.temporary:
            continue
        item = context.items[member.apparatus]
        label = member.tag or item.name
        facts = Facts((item.function,), label, member.connection)
        devices.append(Item(member, item, facts, facts.word("role")))
    return Loop(circuit, context, tuple(sources), tuple(devices), own)
