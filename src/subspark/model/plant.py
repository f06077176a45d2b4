"""The plant: catalogue, places, declarations and circuits in one frozen whole."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from subspark.errors import Fault, PlantError, UsageError
from subspark.model.apparatus import ApparatusType, SimpleType
from subspark.model.base import Method, Record, digest
from subspark.model.cable import CableType
from subspark.model.certificate import Certificate, Declaration
from subspark.model.circuit import Circuit, Junction, Member, SourceUse
from subspark.model.place import SAFE_AREA, Area
from subspark.model.source import SourceType

__all__ = ["Plant"]


Path = tuple[str | int, ...]


def _twice(where: str, named: Iterable[tuple[str, Path]]) -> Iterator[Fault]:
    """One fault for every name that stood before."""
    seen: set[str] = set()
    for name, path in named:
        if name in seen:
            yield Fault(where, name, "stands more than once; wanted once", path)
        seen.add(name)


def _an(noun: str) -> str:
    return f"an {noun}" if noun[0] in "aeiou" else f"a {noun}"


def _named(field: str, name: str, items: Iterable[Record]) -> Iterator[tuple[str, Path]]:
    for index, item in enumerate(items):
        yield getattr(item, name), (field, index, name)


def _no_certificate(where: str, number: str, path: Path) -> Fault:
    wanted = "wanted a certificate of the list"
    return Fault(f"{where}, certificate", number, wanted, (*path, "certificate"))


def _outputs_wanted(outputs: str, source: SourceType, method: Method) -> str:
    """What is wanted instead of these outputs; blank where they are right."""
    names = {output.name for output in source.outputs}
    serving = [output for output in source.outputs if output.method == method]
    if outputs == "" and (not names or 1 in (len(names), len(serving))):
        return ""  # one, or none yet: then nothing is known of it
    parts = {part.strip() for part in outputs.split("+")}
    if outputs in names or parts <= names:
        return ""
    known = ", ".join(sorted(names)) or "none"
    return f"wanted an output of source {source.name!r}: {known}"


def _port_faults(at: str, use: SourceUse, source: SourceType, path: Path) -> Iterator[Fault]:
    """What stands behind a port must be said of a port that there is, and once."""
    names = [port.name for port in source.ports] or ["supply"]
    where = f"{at}, port of source {source.name!r}"
    for nth, supply in enumerate(use.safe_side):
        if supply.port not in names:
            wanted = f"wanted a port of source {source.name!r}: {', '.join(names)}"
            yield Fault(where, supply.port, wanted, (*path, "safe_side", nth, "port"))
    named = (
        (supply.port, (*path, "safe_side", nth, "port")) for nth, supply in enumerate(use.safe_side)
    )
    yield from _twice(where, named)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plant(Record):
    """A whole plant. Building one checks every reference; all faults are told at once.

    ``code`` names the edition of the rules by which it is judged, such as "IEC-2024".
    """

    name: str = "plant"
    code: str = "IEC-2024"
    areas: tuple[Area, ...] = ()
    certificates: tuple[Certificate, ...] = ()
    sources: tuple[SourceType, ...] = ()
    apparatus: tuple[ApparatusType, ...] = ()
    simple: tuple[SimpleType, ...] = ()
    cables: tuple[CableType, ...] = ()
    junctions: tuple[Junction, ...] = ()
    circuits: tuple[Circuit, ...] = ()
    declarations: tuple[Declaration, ...] = ()

    def __post_init__(self) -> None:
        Record.__post_init__(self)
        faults = list(self._faults())
        if faults:
            raise PlantError(faults, self.name)

    def _faults(self) -> Iterator[Fault]:
        yield from _twice("areas", _named("areas", "tag", self.areas))
        yield from _twice("certificates", _named("certificates", "number", self.certificates))
        yield from _twice("sources", _named("sources", "name", self.sources))
        items = [
            *_named("apparatus", "name", self.apparatus),
            *_named("simple", "name", self.simple),
        ]
        yield from _twice("apparatus and simple apparatus", items)
        yield from _twice("cables", _named("cables", "name", self.cables))
        yield from _twice("junctions", _named("junctions", "tag", self.junctions))
        yield from _twice("circuits", _named("circuits", "tag", self.circuits))
        known = _Known(self)
        yield from self._catalogue_faults(known)
        for index, circuit in enumerate(self.circuits):
            yield from _circuit_faults(circuit, index, known)
        yield from self._terminals_used_twice(known)
        yield from self._declaration_faults(known)

    def _terminals_used_twice(self, known: _Known) -> Iterator[Fault]:
        """Outputs of one device (by its tag) that two circuits use: they are then one circuit."""
        users: dict[tuple[str, str], str] = {}
        for index, circuit in enumerate(self.circuits):
            for nth, use in enumerate(circuit.sources):
                source = known.sources.get(use.source)
                if not use.tag or source is None:
                    continue
                names = (
                    use.outputs.split("+") if use.outputs else [one.name for one in source.outputs]
                )
                for name in names:
                    other = users.setdefault((use.tag, name.strip()), circuit.tag)
                    if other != circuit.tag:
                        where = (
                            f"circuit {circuit.tag!r}, source {use.tag!r}, output {name.strip()}"
                        )
                        wanted = (
                            f"circuit {other!r} uses that output too; joined they are one circuit"
                        )
                        yield Fault(
                            where, use.tag, wanted, ("circuits", index, "sources", nth, "tag")
                        )

    def _catalogue_faults(self, known: _Known) -> Iterator[Fault]:
        for index, source in enumerate(self.sources):
            if source.certificate and source.certificate not in known.certificates:
                where, path = f"source {source.name!r}", ("sources", index)
                yield _no_certificate(where, source.certificate, path)
        for index, item in enumerate(self.apparatus):
            if item.certificate and item.certificate not in known.certificates:
                where, path = f"apparatus {item.name!r}", ("apparatus", index)
                yield _no_certificate(where, item.certificate, path)
        for index, source in enumerate(self.sources):
            if source.terminals_of and source.terminals_of not in known.items:
                where = f"source {source.name!r}, terminals of"
                wanted = "wanted an apparatus of the catalogue"
                yield Fault(where, source.terminals_of, wanted, ("sources", index, "terminals_of"))
            outputs = (
                (output.name, ("sources", index, "outputs", at, "name"))
                for at, output in enumerate(source.outputs)
            )
            yield from _twice(f"source {source.name!r}, outputs", outputs)
        for index, junction in enumerate(self.junctions):
            if junction.area and junction.area not in known.areas:
                where = f"junction {junction.tag!r}, area"
                yield Fault(where, junction.area, "wanted an area", ("junctions", index, "area"))

    def _declaration_faults(self, known: _Known) -> Iterator[Fault]:
        names = {
            "area": known.areas,
            "cabinet": {use.cabinet for one in self.circuits for use in one.sources if use.cabinet},
            "source": known.sources.keys(),
            "apparatus": known.items,
            "cable": known.cables,
            "certificate": known.certificates,
            "circuit": {one.tag for one in self.circuits},
        }
        seen: set[tuple[str, str, str]] = set()
        for index, one in enumerate(self.declarations):
            key = (one.fact, one.scope, "" if one.scope == "plant" else one.of)
            if key in seen:
                where = f"declarations, scope {one.scope} {key[2]}".rstrip()
                wanted = "stands more than once; wanted once"
                yield Fault(where, one.fact, wanted, ("declarations", index, "fact"))
            seen.add(key)
            if one.scope != "plant" and one.of not in names[one.scope]:
                where = f"declaration {one.fact!r}, scope {one.scope}"
                path = ("declarations", index, "of")
                yield Fault(
                    where, one.of, f"wanted the name of {_an(one.scope)} of the plant", path
                )

    def circuit(self, tag: str) -> Circuit:
        """The circuit of that tag.

        Raises
        ------
        UsageError
            There is none; the message offers the nearest tags.
        """
        for circuit in self.circuits:
            if circuit.tag == tag:
                return circuit
        import difflib

        near = difflib.get_close_matches(tag, [one.tag for one in self.circuits], n=3, cutoff=0.5)
        hint = f"; did you mean {' or '.join(near)}?" if near else ""
        raise UsageError(f"no circuit {tag!r} in plant {self.name!r}{hint}")

    @property
    def digest(self) -> str:
        """SHA-256 of the content of the plant."""
        return digest(self)


class _Known:
    """The names that a plant knows, to be referred to."""

    def __init__(self, plant: Plant) -> None:
        self.areas = {area.tag for area in plant.areas} | {SAFE_AREA}
        self.certificates = {one.number for one in plant.certificates}
        self.sources = {one.name: one for one in plant.sources}
        self.items = {one.name for one in plant.apparatus} | {one.name for one in plant.simple}
        self.cables = {one.name for one in plant.cables}
        self.connections = {
            one.name: {entry.connection for entry in one.entries} for one in plant.apparatus
        }


def _circuit_faults(circuit: Circuit, index: int, known: _Known) -> Iterator[Fault]:
    at, path = f"circuit {circuit.tag!r}", ("circuits", index)
    if circuit.area and circuit.area not in known.areas:
        wanted = "wanted an area of the plant"
        yield Fault(f"{at}, area", circuit.area, wanted, (*path, "area"))
    for nth, use in enumerate(circuit.sources):
        yield from _use_faults(at, use, circuit.method, (*path, "sources", nth), known)
    for nth, member in enumerate(circuit.members):
        yield from _member_faults(at, member, (*path, "members", nth), known)
    if circuit.system and circuit.system not in known.sources:
        wanted = "wanted a source of the catalogue"
        yield Fault(f"{at}, system", circuit.system, wanted, (*path, "system"))
    for nth, run in enumerate(circuit.runs):
        if run.cable and run.cable not in known.cables:
            wanted = "wanted a cable type of the catalogue"
            yield Fault(f"{at}, cable", run.cable, wanted, (*path, "runs", nth, "cable"))
        if run.area and run.area not in known.areas:
            wanted = f"wanted an area or {SAFE_AREA}"
            yield Fault(f"{at}, area of run", run.area, wanted, (*path, "runs", nth, "area"))


def _use_faults(
    at: str, use: SourceUse, method: Method, path: Path, known: _Known
) -> Iterator[Fault]:
    source = known.sources.get(use.source)
    if source is None:
        wanted = "wanted a source of the catalogue"
        yield Fault(f"{at}, source", use.source, wanted, (*path, "source"))
    else:
        if wanted := _outputs_wanted(use.outputs, source, method):
            yield Fault(f"{at}, outputs", use.outputs, wanted, (*path, "outputs"))
        yield from _port_faults(at, use, source, path)
    if use.place and use.place not in known.areas:
        wanted = f"wanted an area or {SAFE_AREA}"
        yield Fault(f"{at}, place of source", use.place, wanted, (*path, "place"))


def _member_faults(at: str, member: Member, path: Path, known: _Known) -> Iterator[Fault]:
    if member.apparatus not in known.items:
        wanted = "wanted an apparatus of the catalogue"
        yield Fault(f"{at}, apparatus", member.apparatus, wanted, (*path, "apparatus"))
    names = known.connections.get(member.apparatus, {member.connection})
    if member.connection not in names and not (
        member.connection == "" and len(names) <= 1  # one, or none yet
    ):
        wanted = "wanted a connection of the apparatus: " + ", ".join(sorted(names))
        yield Fault(f"{at}, connection", member.connection, wanted, (*path, "connection"))
    if member.place and member.place not in known.areas:
        yield Fault(f"{at}, place of apparatus", member.place, "wanted an area", (*path, "place"))
