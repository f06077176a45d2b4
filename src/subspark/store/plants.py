"""Plants in the database: made, read, changed record by record, and given out again.

Every change is one transaction. It locks the plant, sees that nobody was quicker, sees that
the records still fit together, judges every circuit that it touches, and writes record,
version, change and verdicts together: what is acknowledged is complete, or nothing happened.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import connection, transaction
from django.utils import timezone
from django.utils.text import slugify

from subspark.errors import SubsparkError, UsageError
from subspark.model import Plant, Record
from subspark.rules import code
from subspark.store import judging, verdicts
from subspark.store.holding import changed, held, whole
from subspark.store.kinds import (
    HEAD,
    HEAD_KEY,
    KINDS,
    Head,
    Key,
    name_of,
    plain_of,
    read_content,
    text_digest,
    text_of,
)
from subspark.store.ledger import Changes, refuse
from subspark.store.models import ChangeRow, EntryRow, Person, PlantRow, VerdictRow, VersionRow
from subspark.store.verdicts import BATCH, rejudge

__all__ = [
    "INLINE",
    "ConflictError",
    "Done",
    "Edit",
    "backend",
    "change",
    "create",
    "held",
    "rejudge",
    "replacing",
    "verify",
    "whole",
]

INLINE = 1000
"""Circuits judged within the change itself; more are judged after it, unproven until then."""
_LONGEST = 300  # characters of a name


@dataclass(frozen=True, slots=True)
class Edit:
    """One record as it shall be (None: removed), and the version that was edited (0: new)."""

    key: Key
    record: Record | None
    version: int | None = None


@dataclass(frozen=True, slots=True)
class Done:
    """What a change did: circuits judged, and how many wait to be judged."""

    revision: int
    touched: int
    waiting: int


class ConflictError(SubsparkError):
    """Somebody was quicker: the record is no longer the version that was edited.

    Parameters
    ----------
    key : (kind, name)
        The record.
    version : int
        Its version now.
    theirs : Record or None
        As it now stands; None where it was removed.
    change : ChangeRow
        By whom and why.
    """

    def __init__(
        self, key: Key, version: int, theirs: Record | None, change: ChangeRow | None
    ) -> None:
        self.key = key
        self.version = version
        self.theirs = theirs
        self.change = change
        by = f" by {change.by} ({change.why})" if change else ""
        noun = "plant" if key[0] == HEAD else KINDS[key[0]].noun
        super().__init__(
            f"{noun} {key[1]!r} was changed meanwhile{by}; compare both versions and save again"
        )


# --- changes -------------------------------------------------------------------------------------


def create(plant: Plant, why: str, person: Person | None, by: str = "") -> PlantRow:
    """A new plant in the database.

    Raises
    ------
    UsageError
        Its code is none that the program knows.
    """
    code(plant.code)
    with transaction.atomic():
        row = PlantRow.objects.create(
            slug=_free_slug(plant.name),
            name=plant.name[:300],
            code=plant.code,
            judged_by=judging.judged_by(),
        )
        edits = [Edit(HEAD_KEY, Head(name=plant.name, code=plant.code), 0)]
        edits += [
            Edit((kind, name_of(record)), record, 0)
            for kind in KINDS
            for record in getattr(plant, kind)
        ]
        change(row.pk, edits, why, person, by)
    row.refresh_from_db()
    return row


def _free_slug(name: str) -> str:
    root = slugify(name)[:50].strip("-") or "plant"
    taken = set(PlantRow.objects.filter(slug__startswith=root).values_list("slug", flat=True))
    if root not in taken:
        return root
    return next(f"{root}-{n}" for n in range(2, len(taken) + 3) if f"{root}-{n}" not in taken)


def change(
    plant: int, edits: Sequence[Edit], why: str, person: Person | None, by: str = ""
) -> Done:
    """Change records of a plant, all or none.

    Parameters
    ----------
    plant : int
        Its row.
    edits : sequence of Edit
        Records as they shall be, each with the version that was seen.
    why : str
        The reason, kept for ever.
    person : Person, optional
        Who; ``by`` names who is no person of the desk (a command).

    Returns
    -------
    Done
        The new revision, and how many circuits were judged.

    Raises
    ------
    ConflictError
        Somebody changed one of the records meanwhile.
    PlantError
        The records would not fit together; each fault has its path from the kind down.
    UsageError
        No reason, or nothing to change.
    """
    why = " ".join(why.split())
    if not why:
        raise UsageError("a change wants its reason, in a few words")
    texts = {one.key: _kept_text(one) for one in edits}
    with transaction.atomic():
        row = PlantRow.objects.select_for_update().get(pk=plant)
        before = (row.revision, row.chain)
        entries = _entries(plant, [one.key for one in edits])
        for one in edits:
            _see_conflict(one, entries.get(one.key))
        real = [one for one in edits if _differs(entries.get(one.key), texts[one.key])]
        if not real:
            raise UsageError("nothing was changed")
        work = _Work(row, {one.key: one.record for one in real})
        done = _record(row, real, texts, entries, why, person, by)
        work.write()
        records = [(one.key, one.record, entries[one.key].place) for one in real]
        transaction.on_commit(lambda: changed(plant, before, row, records))
    return Done(done.revision, len(work.tags), work.waiting)


def _kept_text(edit: Edit) -> str:
    if edit.record is None:
        return ""
    name = name_of(edit.record)
    noun = "plant" if edit.key[0] == HEAD else KINDS[edit.key[0]].noun
    if name != edit.key[1]:
        raise UsageError(f"{noun} {edit.key[1]!r} cannot take the name {name!r}")
    if len(name) > _LONGEST:
        raise UsageError(f"{noun} {name[:40]!r}...: a name has at most {_LONGEST} characters")
    text = text_of(plain_of(edit.record))
    try:
        text.encode()
    except UnicodeEncodeError:
        raise UsageError(f"{noun} {name!r} has a character that cannot be kept") from None
    if "\\u0000" in text or "\x00" in name:
        raise UsageError(f"{noun} {name!r} has a character that cannot be kept")
    if isinstance(edit.record, Head):
        code(edit.record.code)
    return text


def _entries(plant: int, keys: Sequence[Key]) -> dict[Key, EntryRow]:
    held_rows = EntryRow.objects.filter(plant_id=plant)
    if len(keys) > BATCH:
        return {(one.kind, one.name): one for one in held_rows}
    kinds, names = {kind for kind, _ in keys}, {name for _, name in keys}
    wanted = set(keys)
    return {
        key: one
        for one in held_rows.filter(kind__in=kinds, name__in=names)
        if (key := (one.kind, one.name)) in wanted
    }


def _see_conflict(edit: Edit, entry: EntryRow | None) -> None:
    if edit.version is None:
        return
    now = 0 if entry is None else entry.version
    if entry is not None and entry.gone and edit.version == 0:
        return  # the name of something removed is free again
    if now == edit.version and not (entry is not None and entry.gone):
        return
    last = None
    if entry is not None:
        last = ChangeRow.objects.filter(versions__entry=entry, versions__version=now).first()
    theirs = None
    if entry is not None and not entry.gone:
        theirs = read_content(entry.kind, entry.content)
    raise ConflictError(edit.key, now, theirs, last)


def _differs(entry: EntryRow | None, text: str) -> bool:
    if entry is None or entry.gone:
        return text != ""
    return entry.content != text


class _Work:
    """The circuits that a change touches, and the part of the plant by which they are judged.

    ``anew`` are those of which it is to be found anew whether they work.
    """

    def __init__(self, plant: PlantRow, changes: Changes) -> None:
        self.plant = plant.pk
        with held(plant.pk, plant) as ledger:
            refuse(ledger.orphans(changes), "plant")
            inward = ledger.inward(changes)
            before, worked = ledger.touched(changes, inward), ledger.worked_by(changes)
            with ledger.draft(changes):
                here = ledger.records["circuits"].keys()
                self.tags = (before | ledger.touched(changes, inward)) & here
                self.anew = worked | ledger.worked_by(changes)
                few = len(self.tags) <= INLINE
                asked = ledger.concerned(self.tags) if few else self.tags
                own = {name for kind, name in changes if kind == "circuits"}
                asked = asked | ledger.sharers_of_devices(own)
                self.part = ledger.part(asked, [key for key in changes if changes[key] is not None])
        self.waiting = 0 if few else len(self.tags)

    def write(self) -> None:
        """Write the verdicts, or mark them to be found again."""
        if self.waiting:
            verdicts.mark(self.plant, self.part, self.tags, self.anew)
        elif self.tags:
            before = verdicts.kept(self.plant, self.tags)
            rows = verdicts.judged(self.part, self.tags, before, self.anew.__contains__)
            verdicts.write(self.plant, rows, before)


def _record(
    row: PlantRow,
    edits: Sequence[Edit],
    texts: dict[Key, str],
    entries: dict[Key, EntryRow],
    why: str,
    person: Person | None,
    by: str,
) -> ChangeRow:
    """Write records, versions and the change."""
    row.revision += 1
    place = 0
    if any(entries.get(one.key) is None or entries[one.key].gone for one in edits):
        last = EntryRow.objects.filter(plant=row).order_by("-place").values_list("place", flat=True)
        place = last.first() or 0
    made, kept = [], []
    for one in edits:
        text = texts[one.key]
        entry = entries.get(one.key)
        if entry is None:
            place += 1
            entry = EntryRow(plant=row, kind=one.key[0], name=one.key[1], place=place, version=0)
            made.append(entry)
        else:
            if entry.gone:
                place += 1
                entry.place = place
            kept.append(entry)
        entries[one.key] = entry
        entry.version += 1
        entry.revision = row.revision
        entry.gone = one.record is None
        entry.content = text
        entry.digest = text_digest(text)
    EntryRow.objects.bulk_create(made, batch_size=BATCH)
    fields = ["place", "version", "revision", "gone", "content", "digest"]
    if len(kept) == 1:
        kept[0].save(update_fields=fields)
    else:
        EntryRow.objects.bulk_update(kept, fields, batch_size=BATCH)
    done = ChangeRow(
        plant=row,
        revision=row.revision,
        at=timezone.now(),
        person=person,
        by=by or str(person or "subspark"),
        why=why,
        records=len(edits),
    )
    touched = [entries[one.key] for one in edits]
    done.chain = _chained(row.chain, done, [_said(one) for one in touched])
    done.save()
    VersionRow.objects.bulk_create(
        [
            VersionRow(
                entry=one, change=done, version=one.version, content=one.content, digest=one.digest
            )
            for one in touched
        ],
        batch_size=BATCH,
    )
    gone = [one for one in touched if one.gone]
    if gone:
        VerdictRow.objects.filter(entry__in=gone).delete()
    row.chain = done.chain
    head = next((one.record for one in edits if isinstance(one.record, Head)), None)
    if head is not None:
        row.name, row.code = head.name[:300], head.code
    row.save(update_fields=["revision", "chain", "name", "code"])
    return done


def _said(entry: EntryRow) -> tuple[str, str, int, str]:
    return entry.kind, entry.name, entry.version, entry.digest


def _chained(before: str, row: ChangeRow, said: Iterable[tuple[str, str, int, str]]) -> str:
    """Digest over a change and the digest of the one before."""
    at: datetime = row.at
    whole_text = text_of([before, row.revision, at.timestamp(), row.by, row.why, sorted(said)])
    return hashlib.sha256(whole_text.encode()).hexdigest()


def verify(plant: int) -> list[str]:
    """What in the changes of a plant is not as it was written; nothing where all is well."""
    found: list[str] = []
    chain = ""
    for row in ChangeRow.objects.filter(plant_id=plant).order_by("revision").iterator():
        versions = VersionRow.objects.filter(change=row).values_list(
            "entry__kind", "entry__name", "version", "content", "digest"
        )
        said = []
        for kind, name, version, text, digest in versions:
            if text_digest(text) != digest:
                found.append(f"change {row.revision}: {kind} {name} is not as it was saved")
            said.append((kind, name, version, digest))
        if _chained(chain, row, said) != row.chain:
            found.append(f"change {row.revision} is not as it was written")
        chain = row.chain
    if chain != PlantRow.objects.values_list("chain", flat=True).get(pk=plant):
        found.append("the last change is not the one that the plant names")
    return found


# --- another plant in place of this one ----------------------------------------------------------


def replacing(plant: int, other: Plant, *, remove: bool) -> list[Edit]:
    """The edits that turn a plant into another; what it lacks is removed only on request."""
    versions: dict[Key, int] = {
        (kind, name): version
        for kind, name, version in EntryRow.objects.filter(plant_id=plant, gone=False).values_list(
            "kind", "name", "version"
        )
    }
    head = Head(name=other.name, code=other.code)
    fresh: dict[Key, Record] = {HEAD_KEY: head}
    for kind in KINDS:
        for record in getattr(other, kind):
            fresh[kind, name_of(record)] = record
    with held(plant) as ledger:
        edits = [
            Edit(key, record, versions.get(key, 0))
            for key, record in fresh.items()
            if ledger.get(key) != record
        ]
    if remove:
        edits += [Edit(key, None, version) for key, version in versions.items() if key not in fresh]
    return edits


def backend() -> str:
    """The kind of database, for people."""
    names = {"sqlite": "SQLite", "postgresql": "PostgreSQL"}
    return names.get(connection.vendor, str(connection.vendor))
