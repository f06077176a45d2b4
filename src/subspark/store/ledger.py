"""A plant held record by record, so that one change looks only at what it touches.

Verdicts lean on more than the circuit itself: on the circuits of the same multicore, on those
that heat the same box, and on whether some circuit opens the sensor side of an apparatus. A
circuit of a shared multicore is judged with the choice of alternatives that each of its
partners makes for itself, which leans on the partner's own neighbours in turn. So what a
verdict needs is found in two steps (:meth:`Ledger.concerned`), and a change touches all that
can be reached by the same two steps (:meth:`Ledger.touched`). A change that alters only lengths
and words of a circuit goes less far (:meth:`Ledger.inward`).
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import fields, replace
from typing import cast

from subspark.assess.multicore import apart
from subspark.assess.outputs import voltage_into
from subspark.errors import Fault, PlantError
from subspark.model import (
    SAFE_AREA,
    CableType,
    Circuit,
    Declaration,
    Junction,
    Plant,
    Record,
    Run,
    SourceType,
)
from subspark.rules import code
from subspark.store.kinds import HEAD, KINDS, SCOPES, Head, Key, name_of

__all__ = ["Changes", "Ledger", "links", "refuse"]

Changes = Mapping[Key, Record | None]
"""Records as they shall be; None removes one."""

Link = tuple[str, str]


def links(circuit: Circuit) -> Iterator[Link]:
    """What a circuit refers to, by sort and name."""
    yield "area", circuit.area
    if circuit.system:
        yield "source", circuit.system
    for use in circuit.sources:
        yield "source", use.source
        yield "device", use.tag
        yield "area", use.place
        yield "cabinet", use.cabinet
    for member in circuit.members:
        yield "item", member.apparatus
        yield "area", member.place
    for run in circuit.runs:
        yield "cable", run.cable
        yield "number", run.number
        yield "area", run.area
        yield "end", run.start
        yield "end", run.end


_WORDS = frozenset({"service", "function", "document", "revision", "note", "evidence", "runs"})
_OUTSIDE = [one.name for one in fields(Circuit) if one.name not in _WORDS]
_OF_RUN = [one.name for one in fields(Run) if one.name != "length"]


def _outside(circuit: Circuit) -> list[object]:
    """What others may see of a circuit: all but lengths and words."""
    seen: list[object] = [getattr(circuit, name) for name in _OUTSIDE]
    seen += [[getattr(run, name) for name in _OF_RUN] for run in circuit.runs]
    return seen


class Ledger:
    """The records of a plant by kind and name, with who refers to what."""

    def __init__(self, revision: int = 0) -> None:
        self.revision = revision
        self.head = Head()
        self.records: dict[str, dict[str, Record]] = {kind: {} for kind in KINDS}
        self._place: dict[Key, int] = {}
        self._last = 0
        self._users: dict[Link, set[str]] = defaultdict(set)

    @classmethod
    def of(cls, plant: Plant) -> Ledger:
        """The ledger of a plant."""
        ledger = cls()
        ledger.head = Head(name=plant.name, code=plant.code)
        for kind in KINDS:
            for record in getattr(plant, kind):
                ledger.put((kind, name_of(record)), record)
        return ledger

    # --- records -----------------------------------------------------------------------------

    def get(self, key: Key) -> Record | None:
        """The record of that kind and name, or None."""
        kind, name = key
        if kind == HEAD:
            return self.head
        return self.records[kind].get(name)

    def circuit(self, tag: str) -> Circuit | None:
        """The circuit of that tag, or None."""
        found = self.records["circuits"].get(tag)
        return found if isinstance(found, Circuit) else None

    def put(self, key: Key, record: Record, place: int | None = None) -> None:
        """Enter a record, or replace it where it stands."""
        kind, name = key
        if isinstance(record, Head):
            self.head = record
            return
        self._unlink(key)
        self.records[kind][name] = record
        if place is not None:
            self._place[key] = place
        elif key not in self._place:
            self._place[key] = self._last + 1
        self._last = max(self._last, self._place[key])
        if isinstance(record, Circuit):
            for link in links(record):
                if link[1]:
                    self._users[link].add(name)

    def drop(self, key: Key) -> None:
        """Take a record out; its place is kept, should it come back."""
        self._unlink(key)
        self.records[key[0]].pop(key[1], None)

    def _unlink(self, key: Key) -> None:
        before = self.circuit(key[1]) if key[0] == "circuits" else None
        if before is not None:
            for link in links(before):
                self._users[link].discard(key[1])

    @contextmanager
    def draft(self, changes: Changes) -> Iterator[None]:
        """The plant as it would be with some changes, for a while."""
        before = {key: self.get(key) for key in changes}
        last = self._last
        try:
            self._apply(changes)
            yield
        finally:
            self._apply(before)
            for key, record in before.items():
                if record is None:
                    self._place.pop(key, None)
            self._last = last

    def _apply(self, changes: Changes) -> None:
        for key, record in changes.items():
            if record is None:
                self.drop(key)
            else:
                self.put(key, record)

    def ordered(self, kind: str, names: Iterable[str] | None = None) -> list[Record]:
        """Records of a kind in the order of the plant: all, or those named."""
        held = self.records[kind]
        wanted = held.keys() if names is None else held.keys() & set(names)
        place = self._place
        return [held[name] for name in sorted(wanted, key=lambda name: place[kind, name])]

    def plant(self) -> Plant:
        """The whole plant.

        Raises
        ------
        PlantError
            The records do not fit together.
        """
        whole = {kind: tuple(self.ordered(kind)) for kind in KINDS}
        return Plant(name=self.head.name, code=self.head.code, **whole)  # type: ignore[arg-type]

    # --- who leans on whom -------------------------------------------------------------------

    def users(self, key: Key) -> set[str]:
        """Tags of the circuits in which a record has a part, whether or not it is there still."""
        kind, name = key
        if kind in ("circuits", HEAD):
            return {name} if kind == "circuits" else set(self.records["circuits"])
        if kind == "declarations":
            return self._under(self.records[kind].get(name))
        if kind == "certificates":
            bearers = [
                (of, item)
                for of in ("sources", "apparatus")
                for item, record in self.records[of].items()
                if getattr(record, "certificate", "") == name
            ]
            return {tag for bearer in bearers for tag in self.users(bearer)}
        sort = {
            "areas": "area",
            "sources": "source",
            "apparatus": "item",
            "simple": "item",
            "cables": "cable",
            "junctions": "end",
        }[kind]
        found = set(self._users.get((sort, name), ()))
        if kind == "areas":
            for tag, junction in self.records["junctions"].items():
                if isinstance(junction, Junction) and junction.area == name:
                    found |= self._users.get(("end", tag), set())
            for one in self.records["declarations"].values():
                if isinstance(one, Declaration) and _place_of(one) == name:
                    found |= self._under(one)
        return found

    def _under(self, declaration: Record | None) -> set[str]:
        """Circuits for which a declaration may hold."""
        if not isinstance(declaration, Declaration):
            return set()
        if declaration.scope == "plant":
            return set(self.records["circuits"])
        if declaration.scope == "cabinet":
            return set(self._users.get(("cabinet", declaration.of), ()))
        kinds = [kind for kind, scope in SCOPES.items() if scope == declaration.scope]
        return {tag for kind in kinds for tag in self.users((kind, declaration.of))}

    def _opened(self, circuit: Circuit) -> set[str]:
        """Apparatus whose sensor side a circuit of its own leaves unseparated."""
        kinds = [self.records["sources"].get(use.source) for use in circuit.sources]
        own = [one for one in kinds if isinstance(one, SourceType)]
        if not own or not all(one.terminals_of for one in own):
            return set()
        return {one.terminals_of for one in own if one.separated != "yes"}

    def _witness(self, item: str) -> str | None:
        """One circuit that leaves the sensor side of an apparatus unseparated."""
        sides = [
            name
            for name, source in self.records["sources"].items()
            if isinstance(source, SourceType)
            and source.terminals_of == item
            and source.separated != "yes"
        ]
        for side in sides:
            for tag in sorted(self._users.get(("source", side), ())):
                circuit = self.circuit(tag)
                if circuit is not None and item in self._opened(circuit):
                    return tag
        return None

    def _heats(self, tag: str) -> bool:
        junction = self.records["junctions"].get(tag)
        return isinstance(junction, Junction) and junction.Rth.known and junction.area != SAFE_AREA

    def _joined(self, tags: set[str]) -> set[str]:
        """Circuits and those that share a multicore or heat a box with them."""
        numbers: set[str] = set()
        ends: set[str] = set()
        for tag in tags:
            circuit = self.circuit(tag)
            for run in () if circuit is None else circuit.runs:
                numbers.add(run.number)
                ends.add(run.start)
                ends.add(run.end)
        shared: list[Link] = [("number", one) for one in numbers if one]
        shared += [("end", one) for one in ends if one and self._heats(one)]
        return tags.union(*(self._users.get(link, ()) for link in shared))

    def _step(self, tags: set[str]) -> set[str]:
        joined = self._joined(tags)
        items = {
            member.apparatus
            for tag in joined
            if (circuit := self.circuit(tag)) is not None
            for member in circuit.members
        }
        sides = {
            one.terminals_of
            for one in self.records["sources"].values()
            if isinstance(one, SourceType) and one.terminals_of
        }
        return joined | {tag for item in items & sides if (tag := self._witness(item)) is not None}

    def concerned(self, tags: Iterable[str]) -> set[str]:
        """The circuits that must be at hand for the verdicts of some to be those of the plant."""
        return self._step(self._step(set(tags)))

    def inward(self, changes: Changes) -> frozenset[Key]:
        """The changes of circuits of which others see nothing, but where faults join them.

        They alter lengths and words of a circuit only. The changes must not be in yet.
        """
        return frozenset(
            (kind, name)
            for (kind, name), record in changes.items()
            if kind == "circuits"
            and isinstance(record, Circuit)
            and (before := self.circuit(name)) is not None
            and _outside(before) == _outside(record)
        )

    def touched(self, keys: Iterable[Key], inward: frozenset[Key] = frozenset()) -> set[str]:
        """Circuits whose verdict may lean on some records, as the ledger now stands.

        Parameters
        ----------
        keys : iterable of (kind, name)
            The records.
        inward : frozenset of (kind, name)
            Those that change as :meth:`inward` says: they touch the circuit itself, and those
            that share a multicore with it which does not keep them apart.
        """
        direct: set[str] = set()
        within: set[str] = set()
        for key in keys:
            if key in inward:
                within |= self._merging(key[1])
            else:
                direct |= self.users(key)
        direct &= self.records["circuits"].keys()
        opened = {
            item
            for tag in direct
            if (circuit := self.circuit(tag)) is not None
            for item in self._opened(circuit)
        }
        for item in opened:
            direct |= self._users.get(("item", item), set())
        return self._joined(self._joined(direct)) | within

    def _merging(self, tag: str) -> set[str]:
        """A circuit and those with which faults in a multicore may join it."""
        circuit = self.circuit(tag)
        if circuit is None:
            return set()
        numbers = {run.number for run in circuit.runs if run.number}
        return {tag}.union(
            *(self._users["number", one] for one in numbers if not self._kept_apart(one))
        )

    def _kept_apart(self, number: str) -> bool:
        """Whether a multicore keeps the circuits apart that share it."""
        sharers = [
            circuit
            for tag in self._users.get(("number", number), ())
            if (circuit := self.circuit(tag)) is not None
        ]
        names = {run.cable for one in sharers for run in one.runs if run.number == number}
        cables = [self.records["cables"].get(name) for name in names]
        sources = cast("dict[str, SourceType]", self.records["sources"])
        if any(use.source not in sources for one in sharers for use in one.sources):
            return False
        volts = [voltage_into(one, sources) for one in sharers]
        highest = math.nan if any(map(math.isnan, volts)) else max(volts, default=0.0)
        return apart(cast("list[CableType | None]", cables), highest, code(self.head.code))

    def worked_by(self, keys: Iterable[Key]) -> set[str]:
        """Circuits of which some records decide whether they work, as the ledger now stands.

        Each works by itself, by its own parts and what is declared of it: neighbours and
        certificates have no say in that.
        """
        found: set[str] = set()
        for key in keys:
            if key[0] != "certificates":
                found |= self.users(key)
        return found

    def sharers_of_devices(self, tags: Iterable[str]) -> set[str]:
        """Circuits that use outputs of the same devices: two may not use the same output."""
        found: set[str] = set()
        for tag in tags:
            circuit = self.circuit(tag)
            for use in () if circuit is None else circuit.sources:
                if use.tag:
                    found |= self._users.get(("device", use.tag), set())
        return found

    # --- a part of the plant -----------------------------------------------------------------

    def part(self, tags: Iterable[str], keys: Iterable[Key] = ()) -> Plant:
        """The plant with some circuits, all that they refer to, and no more.

        Parameters
        ----------
        tags : iterable of str
            Circuits; those concerned are to be among them.
        keys : iterable of (kind, name)
            Further records that shall be in it.

        Raises
        ------
        PlantError
            The records do not fit together.
        """
        chosen = _Choice(self, tags, keys)
        lists = {kind: tuple(self.ordered(kind, names)) for kind, names in chosen.names.items()}
        try:
            return Plant(name=self.head.name, code=self.head.code, **lists)  # type: ignore[arg-type]
        except PlantError as error:
            faults = [replace(one, path=_named(one.path, lists)) for one in error.faults]
            raise PlantError(faults, error.source) from None

    def orphans(self, changes: Changes) -> list[Fault]:
        """What would refer to nothing once some changes are made; they must not be in yet."""
        with self.draft(changes):
            faults = [
                Fault(
                    f"declaration {name!r}",
                    one.of,
                    f"names a thing that would be gone ({one.scope}); remove the declaration too",
                    ("declarations", name, "of"),
                )
                for name, one in self.records["declarations"].items()
                if isinstance(one, Declaration) and not self._stands(one)
            ]
            gone = [key for key, record in changes.items() if record is None]
            for kind, name in gone:
                faults += self._referrers(kind, name)
        return faults

    def _stands(self, one: Declaration) -> bool:
        if one.scope == "plant":
            return True
        if one.scope == "cabinet":
            return bool(self._users.get(("cabinet", one.of)))
        kinds = [kind for kind, scope in SCOPES.items() if scope == one.scope]
        return any(one.of in self.records[kind] for kind in kinds)

    def _referrers(self, kind: str, name: str) -> Iterator[Fault]:
        noun = KINDS[kind].noun
        if kind not in ("circuits", "junctions", "declarations"):
            used = sorted(self.users((kind, name))) if kind != "certificates" else []
            if used and not (kind in ("apparatus", "simple") and self._item(name)):
                more = f" and {len(used) - 3} more" if len(used) > 3 else ""
                wanted = f"is used by {', '.join(used[:3])}{more}; change those first"
                yield Fault(f"{noun} {name!r}", name, wanted, (kind, name))
        for field, of in (("certificate", "certificates"), ("terminals_of", "apparatus")):
            if kind == of or (field == "terminals_of" and kind == "simple"):
                for item in (*self.ordered("sources"), *self.ordered("apparatus")):
                    if getattr(item, field, "") == name and not self._item(name):
                        wanted = f"is named by {name_of(item)}; change that first"
                        yield Fault(f"{noun} {name!r}", name, wanted, (kind, name))

    def _item(self, name: str) -> bool:
        return name in self.records["apparatus"] or name in self.records["simple"]


class _Choice:
    """Names of the records that a part of a plant holds, by kind."""

    def __init__(self, ledger: Ledger, tags: Iterable[str], keys: Iterable[Key]) -> None:
        self.ledger = ledger
        self.names: dict[str, set[str]] = {kind: set() for kind in KINDS}
        self._cabinets: set[str] = set()
        for kind, name in keys:
            if kind not in (HEAD, "circuits"):
                self._take(kind, name)
        for tag in tags:
            circuit = ledger.circuit(tag)
            if circuit is not None:
                self.names["circuits"].add(tag)
                for link in links(circuit):
                    self._follow(*link)
        for name, one in ledger.records["declarations"].items():
            if isinstance(one, Declaration) and self._holds(one):
                self.names["declarations"].add(name)
                self._take("areas", _place_of(one))

    def _follow(self, sort: str, name: str) -> None:
        if sort == "cabinet":
            self._cabinets.add(name)
        elif sort == "item":
            self._take("apparatus", name)
            self._take("simple", name)
        elif sort in _KIND_OF:
            self._take(_KIND_OF[sort], name)

    def _take(self, kind: str, name: str) -> None:
        record = self.ledger.records[kind].get(name)
        if record is None or name in self.names[kind]:
            return
        self.names[kind].add(name)
        if kind in ("sources", "apparatus"):
            self._take("certificates", getattr(record, "certificate", ""))
        if isinstance(record, SourceType):
            self._follow("item", record.terminals_of)
        elif isinstance(record, Junction):
            self._take("areas", record.area)
        elif kind in ("apparatus", "simple"):  # one name for both is a fault, to be told
            self._take("simple" if kind == "apparatus" else "apparatus", name)
        elif isinstance(record, Declaration):
            self._target(record)

    def _target(self, one: Declaration) -> None:
        """What a declaration names comes along, so that its name is known."""
        if one.scope == "cabinet":
            users = self.ledger._users.get(("cabinet", one.of), set())  # noqa: SLF001 - of this module
            for tag in sorted(users)[:1]:
                self.names["circuits"].add(tag)
                circuit = self.ledger.circuit(tag)
                for link in () if circuit is None else links(circuit):
                    self._follow(*link)
            return
        for kind, scope in SCOPES.items():
            if scope != one.scope:
                continue
            if kind == "circuits":
                circuit = self.ledger.circuit(one.of)
                if circuit is not None:
                    self.names["circuits"].add(one.of)
                    for link in links(circuit):
                        self._follow(*link)
            else:
                self._take(kind, one.of)

    def _holds(self, one: Declaration) -> bool:
        if one.scope == "plant":
            return True
        if one.scope == "cabinet":
            return one.of in self._cabinets
        return any(
            one.of in self.names[kind] for kind, scope in SCOPES.items() if scope == one.scope
        )


def _place_of(one: Declaration) -> str:
    """The area that a declaration names as the place of sources; blank where it names none."""
    return one.value if one.fact == "source place" else ""


def _named(
    path: tuple[str | int, ...], lists: dict[str, tuple[Record, ...]]
) -> tuple[str | int, ...]:
    """A path from the plant down with the name of the record in place of its number."""
    if len(path) < 2 or not isinstance(path[1], int):
        return path
    kind = str(path[0])
    return (kind, name_of(lists[kind][path[1]]), *path[2:])


_KIND_OF = {"area": "areas", "source": "sources", "cable": "cables", "end": "junctions"}


def refuse(faults: list[Fault], source: str) -> None:
    """Raise what was found, if anything."""
    if faults:
        raise PlantError(faults, source)
