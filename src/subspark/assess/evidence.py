"""Where the numbers of one circuit were read, numbered in the order in which they are met."""

from __future__ import annotations

import math
from collections.abc import Iterator

from subspark.assess.context import Context
from subspark.assess.members import place_of
from subspark.assess.rows import Case, MemberCase, SourceCase
from subspark.assess.tree import Line, Reference
from subspark.model import SAFE_AREA, Circuit, Declaration, Fact, Run, SimpleType
from subspark.quantity import Evidence, TemperatureRange, Value
from subspark.rules import Code

__all__ = ["References", "declarations", "symbol"]


_SYMBOLS = {"Lo_Ro": "Lo/Ro", "L_R": "L/R"}


def symbol(name: str) -> str:
    """The symbol or words of a field, as they are written on paper."""
    return _SYMBOLS.get(name, name.replace("_", " "))


class References:
    """The register of evidence of one working, in the symbols of its code."""

    def __init__(self, code: Code) -> None:
        self._code = code
        self._of: dict[Evidence, list[str]] = {}
        self.without: list[str] = []

    def cite(self, what: str, *places: Evidence | Value | TemperatureRange) -> tuple[int, ...]:
        """Note where something was read: the first place that is stated counts.

        Returns
        -------
        tuple of int
            Its number in the register, or none where no evidence is stated.
        """
        for place in places:
            found = place if isinstance(place, Evidence) else place.evidence
            if found:
                noted = self._of.setdefault(found, [])
                if what not in noted:
                    noted.append(what)
                return (list(self._of).index(found) + 1,)
        if what not in self.without:
            self.without.append(what)
        return ()

    def values(
        self, of: str, record: Evidence, **given: Value | TemperatureRange
    ) -> tuple[int, ...]:
        """Note where several values of one thing were read; those not known are passed over."""
        grouped: dict[Evidence, list[str]] = {}
        for name, value in given.items():
            if value.known:
                grouped.setdefault(value.evidence or record, []).append(
                    self._code.say(symbol(name))
                )
        found = [
            self.cite(f"{', '.join(names)} of {of}", place) for place, names in grouped.items()
        ]
        return tuple(dict.fromkeys(number for numbers in found for number in numbers))

    @property
    def listed(self) -> tuple[Reference, ...]:
        """Every place, in order."""
        return tuple(
            Reference(number, str(place), tuple(of))
            for number, (place, of) in enumerate(self._of.items(), 1)
        )


def _scope(one: Declaration) -> str:
    return "the whole plant" if one.scope == "plant" else f"{one.scope} {one.of}"


def _of_source(one: SourceCase) -> Iterator[tuple[Fact, dict[str, str]]]:
    use = one.use
    names = {"source": use.source, "cabinet": use.cabinet}
    area = use.place if use.place != SAFE_AREA else ""
    stated = {supply.port for supply in use.safe_side if supply.voltage.known}
    if any(port.name not in stated for port, _ in one.ports):
        yield "safe side voltage", {**names, "area": use.place}
    if not use.place:
        yield "source place", names
    if not use.place_ambient.known:
        yield "cabinet ambient", {**names, "area": area}
    if one.kind.isolation != "galvanic":
        yield "barrier earth resistance", {**names, "area": area}
        yield "barrier earth conductors", {**names, "area": area}
    if one.kind.certificate:
        yield "conditions answered", {"certificate": one.kind.certificate}


def _of_item(one: MemberCase, circuit: Circuit) -> Iterator[tuple[Fact, dict[str, str]]]:
    item = one.item
    names = {"apparatus": item.name, "area": place_of(one.member, circuit)}
    if not (one.member.isolation or item.isolation):
        yield "apparatus isolation", names
    if one.row.energy == 0.0 and not item.energy:
        yield "passive", names
    if isinstance(item, SimpleType):
        if not item.assessed:
            yield "simple assessment", names
    elif item.certificate:
        yield "conditions answered", {"certificate": item.certificate}


def _of_run(run: Run, circuit: Circuit, context: Context) -> Iterator[tuple[Fact, dict[str, str]]]:
    cable = context.cables.get(run.cable)
    if cable is None:
        yield "cable construction", {"area": run.area or circuit.area}
    elif cable.construction == "" and not (cable.strand.known and cable.test_voltage.known):
        names = {"cable": cable.name, "area": run.area or circuit.area}
        yield "cable construction", names


def _asked(case: Case, circuit: Circuit, context: Context) -> Iterator[tuple[Fact, dict[str, str]]]:
    for source in case.sources:
        yield from _of_source(source)
    for member in case.members:
        yield from _of_item(member, circuit)
    for run, _ in case.runs:
        yield from _of_run(run, circuit, context)
    if case.segment is not None:
        yield "fieldbus edition", {"area": circuit.area}
        if case.segment.head.confirmed == 0.0:
            yield "fieldbus figures confirmed", {"area": circuit.area}
    yield "segregation", {"area": circuit.area}
    yield "atmospheric conditions", {"area": case.need.area}
    if math.isinf(case.head.earth_limit) and not circuit.bonding:
        yield "bonding", {"area": circuit.area}


def declarations(
    case: Case, circuit: Circuit, context: Context, refs: References
) -> tuple[Line, ...]:
    """The declarations that a case leans on, with their scope and evidence."""
    found: dict[Declaration, None] = {}
    for fact, names in _asked(case, circuit, context):
        one = context.declared.find(fact, circuit=circuit.tag, **names)
        if one is not None:
            found[one] = None
    return tuple(
        Line(
            f"{one.value} ({_scope(one)})",
            one.fact,
            refs.cite(f"{one.fact} of {_scope(one)}", one.evidence),
        )
        for one in found
    )
