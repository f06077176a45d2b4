"""Plants in memory: one ledger a plant, brought up to date from the database before each use."""

from __future__ import annotations

import gc
import threading
from collections import OrderedDict
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from subspark.exchange.building import collector_at_rest
from subspark.model import Plant, Record
from subspark.store.kinds import Key, read_content
from subspark.store.ledger import Ledger
from subspark.store.models import ChangeRow, EntryRow, PlantRow

__all__ = ["changed", "held", "whole"]

_KEPT = 8  # ledgers kept in memory
_MANY = 1000
"""Records that come at once and stay: the collector of garbage need not look through them."""


class _Slot:
    """A ledger in memory, and the link of the chain of changes that it stands at."""

    def __init__(self) -> None:
        self.lock = threading.RLock()
        self.ledger: Ledger | None = None
        self.chain = ""


_SLOTS: OrderedDict[int, _Slot] = OrderedDict()
_SLOTS_LOCK = threading.Lock()


def _slot(plant: int) -> _Slot:
    with _SLOTS_LOCK:
        slot = _SLOTS.setdefault(plant, _Slot())
        _SLOTS.move_to_end(plant)
        while len(_SLOTS) > _KEPT:
            _SLOTS.popitem(last=False)
        return slot


@contextmanager
def held(plant: int, now: PlantRow | None = None) -> Iterator[Ledger]:
    """The ledger of a plant as the database now has it, for this thread alone.

    ``now`` is the row of the plant, where it was just read under its lock.
    """
    slot = _slot(plant)
    with slot.lock:
        if now is None:
            revision, chain = PlantRow.objects.values_list("revision", "chain").get(pk=plant)
        else:
            revision, chain = now.revision, now.chain
        if slot.ledger is None or (revision, chain) != (slot.ledger.revision, slot.chain):
            slot.ledger = _caught_up(plant, slot, revision, chain)
        yield slot.ledger


def changed(
    plant: int,
    before: tuple[int, str],
    now: PlantRow,
    records: Sequence[tuple[Key, Record | None, int]],
) -> None:
    """Take over a change that this process has written, once it is sure to stay.

    Only where the ledger stands at the link of the chain just before it; where it does not, or
    is in use by a writer who was quicker, the next use brings it up to date.
    """
    slot = _slot(plant)
    with slot.lock:
        ledger = slot.ledger
        if ledger is None or (ledger.revision, slot.chain) != before:
            return
        for key, record, place in records:
            if record is None:
                ledger.drop(key)
            else:
                ledger.put(key, record, place)
        ledger.revision, slot.chain = now.revision, now.chain
    if len(records) > _MANY:
        gc.freeze()


def _caught_up(plant: int, slot: _Slot, revision: int, chain: str) -> Ledger:
    """The ledger of a slot with what has changed since; a new one where it stands elsewhere.

    A ledger may hold what a transaction read of its own and then took back: its link is then
    none of the chain.
    """
    ledger = slot.ledger
    if ledger is None or ledger.revision >= revision or _link(plant, ledger) != slot.chain:
        ledger = Ledger(-1)
    fresh = EntryRow.objects.filter(plant_id=plant, revision__gt=ledger.revision).order_by("place")
    first = ledger.revision < 0
    if first:
        fresh = fresh.filter(gone=False)
    with collector_at_rest():
        ledger.revision = max(revision, _entered(ledger, fresh))
    if first:  # what is held for good need not be looked through for garbage again and again
        gc.freeze()
    slot.chain = chain if ledger.revision == revision else _link(plant, ledger)
    return ledger


def _link(plant: int, ledger: Ledger) -> str:
    """The link of the chain at the revision of a ledger; blank where there is none."""
    rows = ChangeRow.objects.filter(plant_id=plant, revision=ledger.revision)
    return str(rows.values_list("chain", flat=True).first() or "")


def _entered(ledger: Ledger, fresh: Any) -> int:  # noqa: ANN401 - a query
    """Enter records that changed; the latest revision among them."""
    latest = 0
    for kind, name, place, text, at, gone in fresh.values_list(
        "kind", "name", "place", "content", "revision", "gone"
    ):
        latest = max(latest, at)
        if gone:
            ledger.drop((kind, name))
        else:
            ledger.put((kind, name), read_content(kind, text), place)
    return latest


def whole(plant: int) -> Plant:
    """The whole plant as one object."""
    with held(plant) as ledger:
        return ledger.plant()
