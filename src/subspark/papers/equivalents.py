"""Allowed equivalents: other types of the plant's catalogue with which a circuit still stands.

Each is proved: the circuit is assessed with it, among all that it meets, and is safe and works.
Only a circuit that is itself safe and works has equivalents.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Iterator, Sequence
from typing import Any, NamedTuple

from subspark.assess import Finding, assess
from subspark.assess.words import percent
from subspark.choose.candidates import with_source
from subspark.choose.fits import Search
from subspark.model import ApparatusType, Circuit, Plant, SimpleType, SourceType
from subspark.physics.ignition import Curves
from subspark.rules import Verdict

__all__ = [
    "MOST",
    "Equivalent",
    "catalogue_of",
    "equivalent_rows",
    "equivalents_of",
    "with_types",
    "within",
]

MOST = 5
"""Equivalents that are listed for each part."""

_TRIED = 60
"""Types that are tried for each apparatus."""

Item = ApparatusType | SimpleType


class Equivalent(NamedTuple):
    """A type in the place of a part: ``sort`` is "source" or "apparatus", ``at`` its place.

    ``outputs`` names the output of a source that has several.
    """

    sort: str
    at: int
    name: str
    outputs: str = ""


def _stands(finding: Finding) -> bool:
    return finding.verdict is Verdict.SAFE and finding.works.verdict is Verdict.SAFE


def _replaced(circuit: Circuit, one: Equivalent, search: Search | None, plant: Plant) -> Circuit:
    if one.sort == "apparatus":
        members = list(circuit.members)
        members[one.at] = dataclasses.replace(members[one.at], apparatus=one.name)
        return dataclasses.replace(circuit, members=tuple(members))
    known = search or Search(plant, [kind for kind in plant.sources if kind.name == one.name])
    candidate = next(
        held
        for held in known.candidates
        if (held.kind.name, held.outputs) == (one.name, one.outputs)
    )
    return with_source(circuit, candidate, one.at)


def _proved(plant: Plant, tag: str, changed: Circuit, curves: Curves) -> Finding:
    circuits = tuple(changed if one.tag == tag else one for one in plant.circuits)
    return assess(dataclasses.replace(plant, circuits=circuits), (tag,), curves=curves)[tag]


def _sources(plant: Plant, circuit: Circuit, curves: Curves) -> Iterator[Equivalent]:
    if not circuit.sources or circuit.system:
        return
    kinds = {one.name: one for one in plant.sources}
    search = Search(plant, curves=curves)
    for at, use in enumerate(circuit.sources):
        if kinds[use.source].terminals_of:
            continue
        found = 0
        for fit in search.fits(circuit.tag, 2 * MOST, at):
            if found == MOST or not fit.serves:
                break
            if fit.candidate.kind.name == use.source:
                continue
            one = Equivalent("source", at, fit.candidate.kind.name, fit.candidate.outputs)
            changed = _replaced(circuit, one, search, plant)
            if _stands(_proved(plant, circuit.tag, changed, curves)):
                found += 1
                yield one


def _items(plant: Plant) -> tuple[Item, ...]:
    return (*plant.apparatus, *plant.simple)


def _role(item: Item) -> str:
    stated = {row.value for row in item.function if row.what == "role"}
    return stated.pop() if len(stated) == 1 else ""


def _like(plant: Plant, now: Item, connection: str) -> Iterator[Item]:
    """Types that may stand in for one: of the same sort and role, without a sensor side."""
    sided = {one.terminals_of for one in plant.sources if one.terminals_of}
    if not _role(now) or now.name in sided:
        return
    listed: Sequence[Item] = plant.apparatus if isinstance(now, ApparatusType) else plant.simple
    for item in listed:
        if item.name == now.name or item.name in sided or _role(item) != _role(now):
            continue
        connections = {entry.connection for entry in getattr(item, "entries", ())}
        if not connection or connection in connections:
            yield item


def _apparatus(plant: Plant, circuit: Circuit, curves: Curves) -> Iterator[Equivalent]:
    items = {one.name: one for one in _items(plant)}
    for at, member in enumerate(circuit.members):
        found = 0
        like = _like(plant, items[member.apparatus], member.connection)
        for _, item in zip(range(_TRIED), like, strict=False):
            if found == MOST:
                break
            one = Equivalent("apparatus", at, item.name)
            changed = _replaced(circuit, one, None, plant)
            if _stands(_proved(plant, circuit.tag, changed, curves)):
                found += 1
                yield one


def catalogue_of(plant: Plant) -> Plant:
    """A plant without its circuits: the types that may stand in, and what is said of them."""
    kept = tuple(one for one in plant.declarations if one.scope not in ("circuit", "cabinet"))
    return dataclasses.replace(plant, circuits=(), declarations=kept)


def within(part: Plant, catalogue: Plant) -> Plant:
    """The part of a plant with the whole catalogue."""
    known = set(catalogue.declarations)
    more = tuple(one for one in part.declarations if one not in known)
    return dataclasses.replace(
        catalogue, circuits=part.circuits, declarations=(*catalogue.declarations, *more)
    )


def equivalents_of(plant: Plant, tag: str, curves: Curves) -> tuple[Equivalent, ...]:
    """The equivalents of every source and apparatus of a circuit.

    Parameters
    ----------
    plant : Plant
        The circuit and all that it meets, with the whole catalogue.
    tag : str
        The circuit.
    curves : Curves
        The ignition table in use.

    Returns
    -------
    tuple of Equivalent
        At most :data:`MOST` for each part, sources first, each proved safe and working; none of a
        circuit that is not safe or is not shown to work.
    """
    circuit = plant.circuit(tag)
    if not _stands(assess(plant, (tag,), curves=curves)[tag]):
        return ()
    return (*_sources(plant, circuit, curves), *_apparatus(plant, circuit, curves))


def with_types(part: Plant, whole: Plant, chosen: Iterable[Equivalent]) -> Plant:
    """The part of a plant with the types that may stand in, and their certificates."""
    names = {one.name for one in chosen}
    if not names:
        return part
    sources = {one.name for one in part.sources} | names
    items = {one.name for one in _items(part)} | names
    kept = tuple(one for one in whole.sources if one.name in sources)
    apparatus = tuple(one for one in whole.apparatus if one.name in items)
    numbers = {one.certificate for one in kept} | {one.certificate for one in apparatus}
    known = set(part.declarations)
    more = tuple(
        one
        for one in whole.declarations
        if one not in known
        and (
            (one.scope in ("source", "apparatus") and one.of in names)
            or (one.scope == "certificate" and one.of in numbers)
        )
    )
    return dataclasses.replace(
        part,
        sources=kept,
        apparatus=apparatus,
        simple=tuple(one for one in whole.simple if one.name in items),
        certificates=tuple(one for one in whole.certificates if one.number in numbers),
        declarations=(*part.declarations, *more),
    )


def _used(what: str, share: float | None) -> str:
    return what if share is None else f"{what}, {percent(share)}"


def _kind(plant: Plant, one: Equivalent) -> SourceType | Item:
    listed: Iterable[SourceType | Item] = plant.sources
    if one.sort == "apparatus":
        listed = _items(plant)
    return next(item for item in listed if item.name == one.name)


def equivalent_rows(
    plant: Plant, tag: str, chosen: Iterable[Equivalent], curves: Curves
) -> list[dict[str, Any]]:
    """Every equivalent in words, with its proof made anew.

    Parameters
    ----------
    plant : Plant
        In which the types are.
    tag : str
        The circuit.
    chosen : iterable of Equivalent
        What :func:`equivalents_of` found.
    curves : Curves
        The ignition table in use.

    Returns
    -------
    list of dict
        ``part``, ``now``, ``type``, ``certificate``, ``safe`` and ``works``, texts.
    """
    circuit = plant.circuit(tag)
    issues = {one.number: one for one in plant.certificates}
    rows = []
    for one in chosen:
        use = (circuit.sources if one.sort == "source" else circuit.members)[one.at]
        now = getattr(use, "source", "") or getattr(use, "apparatus", "")
        kind = _kind(plant, one)
        finding = _proved(plant, tag, _replaced(circuit, one, None, plant), curves)
        number = getattr(kind, "certificate", "")
        held = issues.get(number)
        named = [kind.name, getattr(kind, "model", ""), getattr(kind, "maker", "")]
        named.append(f"output {one.outputs}" if one.outputs else "")
        works = finding.works
        rows.append(
            {
                "part": use.tag or now,
                "now": now,
                "type": ", ".join(part for part in named if part),
                "certificate": (
                    f"{number}, issue {held.issue}" if held is not None and held.issue else number
                ),
                "safe": f"{finding.verdict.word}: {_used(finding.governing, finding.utilisation)}",
                "works": f"{works.word}: {_used(works.governing, works.utilisation)}",
            }
        )
    return rows
