"""The changes of a plant, and what each did: before and after, record by record."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.utils import timezone

from subspark.errors import UsageError
from subspark.store.kinds import HEAD, KINDS
from subspark.store.models import ChangeRow, EntryRow, Person, PlantRow, Review, VersionRow

__all__ = ["Altered", "Difference", "altered", "differences", "of_record", "review"]

_MOST = 400


@dataclass(frozen=True, slots=True)
class Difference:
    """One field that is not as it was."""

    path: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Altered:
    """One record of a change; ``before`` is None where it is new, ``after`` where removed."""

    kind: str
    name: str
    version: int
    before: dict[str, Any] | None
    after: dict[str, Any] | None

    @property
    def noun(self) -> str:
        """What it is, for people."""
        return "plant" if self.kind == HEAD else KINDS[self.kind].noun

    @property
    def differences(self) -> list[Difference]:
        """Every field that is not as it was."""
        return differences(self.before or {}, self.after or {})


def differences(before: object, after: object) -> list[Difference]:
    """What is not the same in two contents, by the path of the field."""
    old, new = dict(_leaves(before)), dict(_leaves(after))
    paths = dict.fromkeys([*old, *new])
    return [
        Difference(path, old.get(path, ""), new.get(path, ""))
        for path in paths
        if old.get(path, "") != new.get(path, "")
    ]


def _leaves(thing: object, path: str = "") -> Iterator[tuple[str, str]]:
    if isinstance(thing, dict):
        for name, held in thing.items():
            yield from _leaves(held, f"{path}.{name}" if path else str(name))
    elif isinstance(thing, list):
        for number, held in enumerate(thing, 1):
            yield from _leaves(held, f"{path} {number}")
    elif isinstance(thing, bool):
        yield path, "yes" if thing else "no"
    else:
        yield path, str(thing)


def altered(change: ChangeRow) -> list[Altered]:
    """The records of a change, with what they were before it; at most a few hundred."""
    now = list(
        VersionRow.objects.filter(change=change).select_related("entry").order_by("pk")[:_MOST]
    )
    wanted = {(one.entry_id, one.version - 1) for one in now if one.version > 1}
    earlier = VersionRow.objects.filter(
        entry__in=[entry for entry, _ in wanted], version__in={version for _, version in wanted}
    )
    before = {(one.entry_id, one.version): one.content for one in earlier}
    return [
        Altered(
            one.entry.kind,
            one.entry.name,
            one.version,
            _loaded(before.get((one.entry_id, one.version - 1), "")),
            _loaded(one.content),
        )
        for one in now
    ]


def _loaded(text: str) -> dict[str, Any] | None:
    return json.loads(text) if text else None


def of_record(plant: PlantRow, kind: str, name: str, most: int = 50) -> list[ChangeRow]:
    """The changes of one record, the latest first."""
    return list(
        ChangeRow.objects.filter(
            plant=plant, versions__entry__kind=kind, versions__entry__name=name
        ).order_by("-revision")[:most]
    )


def entry(plant: PlantRow, kind: str, name: str) -> EntryRow | None:
    """The row of a record that is there; None where there is none."""
    return EntryRow.objects.filter(plant=plant, kind=kind, name=name, gone=False).first()


SAYINGS = {"check": ("checked", "sent back"), "approve": ("approved",)}
"""What may be said of a change, by the permission that it takes."""


def review(change: ChangeRow, person: Person, said: str, remark: str) -> Review:
    """Say of a change that it was checked, is sent back, or is approved.

    Raises
    ------
    UsageError
        It is one's own change, the word is not known, or a change is sent back without a remark.
    """
    if said not in [one for said_by in SAYINGS.values() for one in said_by]:
        raise UsageError(f"{said!r}: wanted checked, sent back or approved")
    if change.person_id == person.pk:
        raise UsageError("your own change is for another person to check")
    remark = " ".join(remark.split())
    if said == "sent back" and not remark:
        raise UsageError("a change that is sent back wants a remark that says why")
    if said == "approved" and not change.reviews.filter(said="checked").exists():
        raise UsageError("a change is approved after it was checked")
    return Review.objects.create(
        change=change, person=person, by=str(person), at=timezone.now(), said=said, remark=remark
    )
