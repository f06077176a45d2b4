"""Copies of a circuit with all that bears on it, side by side in one plant, each changed.

The engine judges a plant. So that it judges hundreds of variants of one circuit in one call,
each variant stands in the plant with copies of everything that it leans on, under names of its
own: types, areas, cables, boxes, declarations, and the circuits that share a cable or box with
it. Nothing that one variant changes can be seen from another.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from functools import cached_property
from typing import Any, NamedTuple, TypeVar, cast

from subspark.assess import Assessment, assess
from subspark.assess.context import Context
from subspark.assess.function import FunctionAssessment
from subspark.choose.around import around
from subspark.choose.sensitivity_inputs import Input, put
from subspark.model import (
    SAFE_AREA,
    Area,
    Certificate,
    Circuit,
    Declaration,
    Junction,
    Member,
    Plant,
    Run,
    SourceType,
    SourceUse,
)
from subspark.physics.ignition import Curves
from subspark.rules import Verdict

__all__ = ["Answer", "Copies", "Variant", "part_of"]

T = TypeVar("T")
_LISTS = ("areas", "sources", "apparatus", "simple", "cables", "junctions", "circuits")
_SCOPES = frozenset({"circuit", "source", "apparatus", "cable", "area", "cabinet"})
_CHUNK = 256  # circuits judged at once: bounds memory, changes nothing


class Variant(NamedTuple):
    """One input at another value [SI]."""

    input: Input
    value: float


class Answer(NamedTuple):
    """What the engine says of a variant."""

    verdict: Verdict
    governing: str


def part_of(plant: Plant, tag: str) -> Plant:
    """The plant with only what can bear on one circuit."""
    near = around(plant, [plant.circuit(tag)]).circuits
    loops = [one for one in near if not _of_sensor_side(one, plant)]
    items = {member.apparatus for one in loops for member in one.members}
    items |= {member.apparatus for member in plant.circuit(tag).members}
    devices = {one.name: one.terminals_of for one in plant.sources if one.terminals_of}
    links = {link for one in loops for link in _links(one)} | set(_links(plant.circuit(tag)))
    circuits = tuple(
        one
        for one in near
        if one in loops
        or one.tag == tag
        or any(devices.get(use.source) in items for use in one.sources)
        or links.intersection(_links(one))
    )
    return _reduced(plant, circuits)


def _of_sensor_side(circuit: Circuit, plant: Plant) -> bool:
    named = {one.name for one in plant.sources if one.terminals_of}
    return any(use.source in named for use in circuit.sources)


def _links(circuit: Circuit) -> set[str]:
    return {link for run in circuit.runs for link in (run.number, run.start, run.end)} - {""}


def _reduced(plant: Plant, circuits: tuple[Circuit, ...]) -> Plant:
    """The plant with these circuits and only what they name."""
    sources = {use.source for one in circuits for use in one.sources}
    sources |= {one.system for one in circuits} - {""}
    items = {member.apparatus for one in circuits for member in one.members}
    items |= {one.terminals_of for one in plant.sources if one.name in sources}
    cables = {run.cable for one in circuits for run in one.runs}
    ends = {end for one in circuits for run in one.runs for end in (run.start, run.end)}
    boxes = tuple(one for one in plant.junctions if one.tag in ends)
    areas = {one.area for one in circuits} | {one.area for one in boxes}
    areas |= {use.place for one in circuits for use in one.sources}
    areas |= {member.place for one in circuits for member in one.members}
    areas |= {run.area for one in circuits for run in one.runs}
    areas |= {one.value for one in plant.declarations if one.fact == "source place"}
    kinds = tuple(one for one in plant.sources if one.name in sources)
    apparatus = tuple(one for one in plant.apparatus if one.name in items)
    numbers = {one.certificate for one in kinds} | {one.certificate for one in apparatus}
    names = {
        "circuit": {one.tag for one in circuits},
        "cabinet": {use.cabinet for one in circuits for use in one.sources},
        "source": sources,
        "apparatus": items,
        "cable": cables,
        "area": areas | {SAFE_AREA},
        "certificate": numbers,
    }
    return dataclasses.replace(
        plant,
        areas=tuple(one for one in plant.areas if one.tag in areas),
        certificates=tuple(one for one in plant.certificates if one.number in numbers),
        sources=kinds,
        apparatus=apparatus,
        simple=tuple(one for one in plant.simple if one.name in items),
        cables=tuple(one for one in plant.cables if one.name in cables),
        junctions=boxes,
        circuits=circuits,
        declarations=tuple(
            one
            for one in plant.declarations
            if one.scope == "plant" or (one.of in names[one.scope] and _there(one, plant))
        ),
    )


def _there(one: Declaration, plant: Plant) -> bool:
    return one.scope != "area" or one.of == SAFE_AREA or any(a.tag == one.of for a in plant.areas)


class _Named:
    """Records under the names of one copy."""

    def __init__(self, number: int) -> None:
        self.mark = f"#{number}"

    def name(self, text: str) -> str:
        """A name of this copy; blank stays blank."""
        return f"{text}{self.mark}" if text else ""

    def area(self, tag: str) -> str:
        """A place of this copy."""
        return tag if tag in ("", SAFE_AREA) else f"{tag}{self.mark}"

    def record(self, one: Any) -> Any:  # noqa: ANN401 - any record of a plant
        """A record of this copy."""
        if isinstance(one, Circuit):
            return self._circuit(one)
        if isinstance(one, SourceType):
            return dataclasses.replace(
                one,
                name=self.name(one.name),
                covers=tuple(map(self.name, one.covers)),
                terminals_of=self.name(one.terminals_of),
            )
        if isinstance(one, Area):
            return dataclasses.replace(one, tag=self.area(one.tag))
        if isinstance(one, Junction):
            return dataclasses.replace(one, tag=self.name(one.tag), area=self.area(one.area))
        if isinstance(one, Declaration):
            return self._declaration(one)
        return dataclasses.replace(one, name=self.name(one.name))

    def _declaration(self, one: Declaration) -> Declaration:
        of = self.area(one.of) if one.scope == "area" else self.name(one.of)
        value = self.area(one.value) if one.fact == "source place" else one.value
        return dataclasses.replace(one, of=of, value=value)

    def _circuit(self, one: Circuit) -> Circuit:
        parts = {run.number for run in one.runs} | {member.tag for member in one.members}
        return dataclasses.replace(
            one,
            tag=self.name(one.tag),
            area=self.area(one.area),
            sources=tuple(map(self._use, one.sources)),
            members=tuple(map(self._member, one.members)),
            runs=tuple(map(self._run, one.runs)),
            system=self.name(one.system),
            function=tuple(
                dataclasses.replace(datum, part=self.name(datum.part))
                if datum.part in parts
                else datum
                for datum in one.function
            ),
        )

    def _use(self, one: SourceUse) -> SourceUse:
        return dataclasses.replace(
            one,
            tag=self.name(one.tag),
            source=self.name(one.source),
            place=self.area(one.place),
            cabinet=self.name(one.cabinet),
        )

    def _member(self, one: Member) -> Member:
        return dataclasses.replace(
            one,
            tag=self.name(one.tag),
            apparatus=self.name(one.apparatus),
            place=self.area(one.place),
        )

    def _run(self, one: Run) -> Run:
        return dataclasses.replace(
            one,
            cable=self.name(one.cable),
            number=self.name(one.number),
            start=self.name(one.start),
            end=self.name(one.end),
            area=self.area(one.area),
        )


class Copies:
    """One circuit of a plant, judged with one input changed: many variants at a time."""

    def __init__(self, plant: Plant, tag: str, curves: Curves | None) -> None:
        self.part = part_of(plant, tag)
        self.tag, self.curves = tag, curves
        self._copies: list[dict[str, tuple[Any, ...]]] = []
        self._size = max(1, _CHUNK // len(self.part.circuits))

    @cached_property
    def assessment(self) -> Assessment:
        """The circuit as it is."""
        return assess(self.part, [self.tag], curves=self.curves)

    @cached_property
    def _shared(self) -> tuple[tuple[Certificate, ...], tuple[Declaration, ...]]:
        """What all copies share: certificates, declarations for the plant or a safe area."""
        return self.part.certificates, tuple(
            one for one in self.part.declarations if one.scope not in _SCOPES or one.of == SAFE_AREA
        )

    def _copy(self, number: int) -> dict[str, tuple[Any, ...]]:
        """The part under the names of a copy, made once."""
        while len(self._copies) <= number:
            named = _Named(len(self._copies))
            lists = {name: tuple(map(named.record, getattr(self.part, name))) for name in _LISTS}
            lists["declarations"] = tuple(
                named.record(one)
                for one in self.part.declarations
                if one.scope in _SCOPES and one.of != SAFE_AREA
            )
            self._copies.append(lists)
        return self._copies[number]

    def _plant(self, variants: Sequence[Variant]) -> tuple[Plant, list[str]]:
        """One plant of all variants, and the tags of the circuit in each."""
        certificates, declarations = self._shared
        lists: dict[str, list[Any]] = {name: [] for name in (*_LISTS, "declarations")}
        tags = []
        for number, one in enumerate(variants):
            tag = f"{self.tag}#{number}"
            tags.append(tag)
            for name, records in put(self._copy(number), one.input, one.value, tag).items():
                lists[name] += records
        lists["declarations"] += declarations
        whole = {name: tuple(records) for name, records in lists.items()}
        return (
            Plant(
                name=self.part.name,
                code=self.part.code,
                certificates=certificates,
                **cast("dict[str, Any]", whole),
            ),
            tags,
        )

    def both(self, variants: Sequence[Variant]) -> list[tuple[Answer, Verdict]]:
        """Safety of each variant, and whether it works."""
        out: list[tuple[Answer, Verdict]] = []
        for some in _cut(variants, self._size):
            plant, tags = self._plant(some)
            judged = assess(plant, tags, curves=self.curves)
            out += [
                (Answer(one.verdict, one.governing), judged.function.verdict(one.tag))
                for one in judged.summaries()
            ]
        return out

    def safety(self, variants: Sequence[Variant]) -> list[Answer]:
        """Safety of each variant."""
        out: list[Answer] = []
        for some in _cut(variants, self._size):
            plant, tags = self._plant(some)
            judged = assess(plant, tags, curves=self.curves)
            out += [Answer(one.verdict, one.governing) for one in judged.summaries()]
        return out

    def function(self, variants: Sequence[Variant], *, why: bool = False) -> list[Answer]:
        """Whether each variant works; with ``why`` also the rule that governs."""
        out: list[Answer] = []
        for some in _cut(variants, self._size):
            plant, tags = self._plant(some)
            circuits = [plant.circuit(tag) for tag in tags]
            judged = FunctionAssessment(circuits, Context.of(plant, self.curves))
            out += [
                Answer(judged.verdict(tag), judged[tag].governing if why else "") for tag in tags
            ]
        return out


def _cut(things: Sequence[T], size: int) -> list[Sequence[T]]:
    return [things[at : at + size] for at in range(0, len(things), size)]
