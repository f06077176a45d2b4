"""The changes of a plant, and what each did: before and after, record by record."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.utils import timezone

from subspark.errors import UsageError
from subspark.store.kinds import HEAD, KINDS
from subspark.store.models import ChangeRow, EntryRow, Person, PlantRow, Review, VersionRow

__all__ = [
    "Altered",
    "Difference",
    "altered",
    "differences",
    "last_issue",
    "of_record",
    "review",
    "review_all",
    "since",
    "standing",
    "together",
]

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
            at = f"{path}.{name}" if path else str(name)
            # a number is told at its own path, be it with evidence or without
            yield from _leaves(held, path if name == "text" and path else at)
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


def standing(change: ChangeRow) -> str:
    """Where a change stands by what was last said of it; "waits" where nothing was."""
    said = [one.said for one in sorted(change.reviews.all(), key=lambda one: one.pk)]
    return said[-1] if said else "waits"


def last_issue(plant: PlantRow) -> ChangeRow | None:
    """The latest change that was approved: what the plant was issued as; None where never."""
    rows = ChangeRow.objects.filter(plant=plant, reviews__said="approved")
    return rows.order_by("-revision").first()


def since(plant: PlantRow, revision: int) -> list[ChangeRow]:
    """The changes after a revision, the first first."""
    rows = ChangeRow.objects.filter(plant=plant, revision__gt=revision)
    return list(rows.prefetch_related("reviews").order_by("revision")[:_MOST])


def together(plant: PlantRow, revision: int) -> list[Altered]:
    """What all changes after a revision come to, record by record; at most a few hundred.

    A record that is as it was again, or came and went, is not told.
    """
    touched = VersionRow.objects.filter(change__plant=plant, change__revision__gt=revision)
    entries = list(touched.values_list("entry", flat=True).distinct().order_by("entry")[:_MOST])
    before: dict[int, VersionRow] = {}
    after: dict[int, VersionRow] = {}
    rows = VersionRow.objects.filter(entry__in=entries).select_related("entry", "change")
    for one in rows.order_by("version"):
        (before if one.change.revision <= revision else after)[one.entry_id] = one
    found = []
    for number in entries:
        old, new = before.get(number), after[number]
        was = "" if old is None else old.content
        if was != new.content:
            key = (new.entry.kind, new.entry.name)
            found.append(Altered(*key, new.version, _loaded(was), _loaded(new.content)))
    return found


@transaction.atomic
def review_all(
    plant: PlantRow, person: Person, revisions: tuple[int, int], said: str, remark: str
) -> int:
    """Say the same of every change of others after one revision up to another; how many.

    Changes of one's own, and those of which it was last said, are passed over.

    Raises
    ------
    UsageError
        As :func:`review`; or there is none of which it could be said.
    """
    rows = ChangeRow.objects.filter(
        plant=plant, revision__gt=revisions[0], revision__lte=revisions[1]
    )
    rows = rows.prefetch_related("reviews").order_by("revision")
    wanted = [one for one in rows if standing(one) != said]
    if said == "checked":
        wanted = [one for one in wanted if standing(one) != "approved"]
    if said == "approved" and (own := [one for one in wanted if one.person_id == person.pk]):
        raise UsageError(f"change {own[0].revision} is your own: another person approves it")
    others = [one for one in wanted if one.person_id != person.pk]
    if not others:
        raise UsageError("there is no change of somebody else of which this could be said")
    for one in others:
        review(one, person, said, remark)
    return len(others)


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
        raise UsageError(f"change {change.revision} is approved after it was checked")
    return Review.objects.create(
        change=change, person=person, by=str(person), at=timezone.now(), said=said, remark=remark
    )
