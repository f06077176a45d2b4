"""The panels of a form: one for each record that the page lets one change."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.http import QueryDict

from subspark.desk.forms import Box, Group, apply_step, boxes, read_back
from subspark.errors import InputError, PlantError, UsageError
from subspark.model import Circuit, Record
from subspark.store.kinds import (
    HEAD,
    KINDS,
    Head,
    Key,
    kind_of,
    name_of,
    plain_of,
    read_content,
    text_of,
)
from subspark.store.ledger import Ledger
from subspark.store.models import EntryRow, Person, PlantRow
from subspark.store.plants import Edit, held

__all__ = [
    "Panel",
    "Posted",
    "filled_up",
    "linked",
    "names_for",
    "panels_of",
    "posted",
    "saved",
    "title_of",
]

_MOST_NAMES = 3000
_MOST_PANELS = 200


@dataclass(slots=True)
class Panel:
    """One record of a form. Its fields come when it is opened, where it is not ``loaded``."""

    number: int
    key: Key
    version: int
    content: Mapping[str, Any]
    users: int = 0
    faults: dict[str, str] = field(default_factory=dict)
    loaded: bool = True

    @property
    def title(self) -> str:
        """What it is, for people."""
        return title_of(self.key)

    @property
    def kind(self) -> str:
        """Its kind."""
        return self.key[0]

    @property
    def name(self) -> str:
        """Its name."""
        return self.key[1]

    @property
    def noun(self) -> str:
        """The noun of its kind."""
        return "plant" if self.key[0] == HEAD else KINDS[self.key[0]].noun

    @property
    def boxes(self) -> list[Box | Group]:
        """Its fields."""
        kind, number = _record(self.key[0]), str(self.number)
        found = boxes(kind, self.content, number, self.faults, fresh=self.version == 0)
        own = KINDS[self.key[0]].name if self.version and self.key[0] in KINDS else ""
        for box in found:
            if isinstance(box, Box) and own and box.field == own:
                box.fixed = True
        return found

    @property
    def open(self) -> bool:
        """Whether it stands open at first."""
        return self.number == 0 or bool(self.faults)


def title_of(key: Key) -> str:
    """A record for people: its noun and name."""
    return "plant" if key[0] == HEAD else f"{KINDS[key[0]].noun} {key[1]}"


def _record(kind: str) -> type[Record]:
    return Head if kind == HEAD else kind_of(kind).record


def saved(plant: PlantRow, keys: Iterable[Key]) -> dict[Key, EntryRow]:
    """The rows of some records that are there."""
    wanted = list(dict.fromkeys(keys))
    kinds, names = {kind for kind, _ in wanted}, {name for _, name in wanted}
    rows = EntryRow.objects.filter(plant=plant, kind__in=kinds, name__in=names, gone=False)
    found = {(row.kind, row.name): row for row in rows}
    return {key: found[key] for key in wanted if key in found}


def linked(circuit: Circuit) -> list[Key]:
    """The records that a circuit is made of, itself first."""
    keys: list[Key] = [("circuits", circuit.tag)]
    keys += [("sources", use.source) for use in circuit.sources]
    if circuit.system:
        keys.append(("sources", circuit.system))
    for member in circuit.members:
        keys += [("apparatus", member.apparatus), ("simple", member.apparatus)]
    keys += [("cables", run.cable) for run in circuit.runs]
    keys.append(("areas", circuit.area))
    keys += [("areas", member.place) for member in circuit.members if member.place]
    return list(dict.fromkeys(keys))


def panels_of(plant: PlantRow, keys: Iterable[Key]) -> list[Panel]:
    """Panels of records as they are saved."""
    rows = saved(plant, keys)
    with held(plant.pk) as ledger:
        users = {key: len(ledger.users(key)) for key in rows}
    return [
        Panel(number, key, row.version, json.loads(row.content), users[key], loaded=number == 0)
        for number, (key, row) in enumerate(rows.items())
    ]


def filled_up(plant: PlantRow, keys: Iterable[Key], read: Posted) -> list[Panel]:
    """The panels of a form that came back, and those of the page that were never opened."""
    there = {panel.key for panel in read.panels}
    free = max((panel.number for panel in read.panels), default=-1) + 1
    others = [panel for panel in panels_of(plant, keys) if panel.key not in there]
    for number, panel in enumerate(others, free):
        panel.number, panel.loaded = number, False
    return [*read.panels, *others]


def names_for(plant: PlantRow) -> dict[str, list[str]]:
    """The names that fields may refer to, by the list that offers them."""
    with held(plant.pk) as ledger:
        return {
            "names-areas": [*_names(ledger, "areas"), "safe area"],
            "names-certificates": _names(ledger, "certificates"),
            "names-sources": _names(ledger, "sources"),
            "names-apparatus-simple": _names(ledger, "apparatus") + _names(ledger, "simple"),
            "names-cables": _names(ledger, "cables"),
            "names-junctions": _names(ledger, "junctions"),
        }


def _names(ledger: Ledger, kind: str) -> list[str]:
    return [name_of(one) for one in ledger.ordered(kind)][:_MOST_NAMES]


@dataclass(slots=True)
class Posted:
    """A form as it came back: its records, or what is wrong with them, field by field."""

    panels: list[Panel]
    edits: list[Edit]
    faults: dict[str, str]

    def tell(self, error: PlantError) -> None:
        """Put faults between records beside the fields that they name."""
        for fault in error.faults:
            self.faults[self._field(fault.path)] = f"{fault}"
        self.share()

    def _field(self, path: tuple[str | int, ...]) -> str:
        for panel in self.panels:
            if tuple(path[:2]) == panel.key:
                return ".".join(str(part) for part in (panel.number, *path[2:]))
        return ".".join(str(part) for part in path)

    def share(self) -> None:
        """Give each panel the faults of its fields."""
        for panel in self.panels:
            start = f"{panel.number}."
            panel.faults = {at: told for at, told in self.faults.items() if at.startswith(start)}


def posted(form: QueryDict, plant: PlantRow, person: Person) -> Posted:
    """Read a form of panels: only records that differ from what is saved become edits."""
    given = {key: value for key, value in form.items() if isinstance(value, str)}
    step = given.pop("step", "")
    if step:
        given = apply_step(given, step)
    evidence = _evidence(given, person)
    read = Posted([], [], {})
    keys = list(_keys(given))
    rows = saved(plant, [key for _, key, _ in keys])
    for number, key, version in keys:
        content = read_back(_record(key[0]), given, str(number), evidence)
        panel = Panel(number, key, version, content)
        read.panels.append(panel)
        row = rows.get(key)
        if row is not None and text_of(content) == row.content:
            continue
        record = _built(read, panel)
        if record is None or (row is not None and text_of(plain_of(record)) == row.content):
            continue
        if version == 0:
            panel.key = (key[0], name_of(record))
        elif name_of(record) != key[1]:
            at = f"{number}.{KINDS[key[0]].name or 'fact'}" if key[0] in KINDS else str(number)
            read.faults[at] = f"{name_of(record)!r}: a record keeps its name; make a new one"
            continue
        read.edits.append(Edit(panel.key, record, version))
    read.share()
    return read


def _keys(given: Mapping[str, str]) -> Iterable[tuple[int, Key, int]]:
    for number in range(_MOST_PANELS):
        kind = given.get(f"{number}!kind")
        if kind is None:
            continue
        if kind != HEAD and kind not in KINDS:
            raise UsageError(f"{kind!r} is no kind of record")
        version = given.get(f"{number}!version", "0")
        yield (
            number,
            (kind, given.get(f"{number}!name", "")),
            int(version) if version.isdecimal() and len(version) < 12 else 0,
        )


def _evidence(given: Mapping[str, str], person: Person) -> dict[str, Any]:
    plain = {
        name: " ".join(given.get(f"evidence.{name}", "").split()) for name in ("document", "page")
    }
    told: dict[str, Any] = {name: text for name, text in plain.items() if text}
    if told:
        told["by"] = str(person)
    return told


def _built(read: Posted, panel: Panel) -> Record | None:
    try:
        return read_content(panel.key[0], text_of(panel.content))
    except PlantError as error:
        for fault in error.faults:
            at = ".".join(str(part) for part in (panel.number, *fault.path))
            shown = f"{fault.value!r}: " if fault.value else ""
            read.faults[at] = f"{shown}{fault.wanted}"
    except InputError as error:
        read.faults[str(panel.number)] = str(error)
    return None
