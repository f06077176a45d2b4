"""What fits, what mends, which types serve a plant: asked of :mod:`subspark.choose`.

A proposal is a change that lists places and values. It is applied by turning it into edits of
records: it is refused where a place no longer holds what it held when the proposal was made.
"""

from __future__ import annotations

from typing import Any

from subspark.choose.change import apply, read_change
from subspark.choose.covering import Watcher
from subspark.choose.fewest import Ask, Proposal, fewest
from subspark.choose.fits import Fit, fits
from subspark.choose.repairs import Repairs, repairs
from subspark.errors import UsageError
from subspark.model import Plant
from subspark.store.holding import held, whole
from subspark.store.judging import curves
from subspark.store.kinds import KINDS, Key, name_of
from subspark.store.models import EntryRow
from subspark.store.plants import Edit

__all__ = ["bench", "edits_of", "fitting", "mending", "standard"]

_CATALOGUE = ("certificates", "sources", "apparatus", "simple", "cables")
MOST_FITS = 15


def bench(plant: int, tag: str) -> Plant:
    """A circuit with all that concerns it, and the whole catalogue to choose from.

    Raises
    ------
    UsageError
        There is no such circuit.
    """
    with held(plant) as ledger:
        if ledger.circuit(tag) is None:
            raise UsageError(f"no circuit {tag!r} in plant {ledger.head.name!r}")
        keys = [(kind, name) for kind in _CATALOGUE for name in ledger.records[kind]]
        return ledger.part(ledger.concerned([tag]), keys)


def mending(plant: int, tag: str) -> Repairs:
    """What would mend a circuit, the least effort first; each was proved."""
    return repairs(bench(plant, tag), tag, curves=curves())


def fitting(plant: int, tag: str) -> list[Fit]:
    """The sources of the catalogue that fit a circuit, best first, and the nearest that do not."""
    return fits(bench(plant, tag), tag, top=MOST_FITS, curves=curves())


def standard(plant: int, ask: Ask, progress: Watcher | None = None) -> Proposal:
    """The fewest types that serve a plant; see :func:`subspark.choose.fewest.fewest`."""
    return fewest(whole(plant), ask, curves=curves(), progress=progress)


def edits_of(plant: int, given: Any) -> list[Edit]:  # noqa: ANN401 - parsed JSON
    """The edits of records that a proposal comes to.

    Parameters
    ----------
    plant : int
        Its row.
    given : object
        A change as :meth:`subspark.choose.change.Change.as_dict` writes it.

    Raises
    ------
    UsageError
        It is no change, or the plant has moved on since.
    """
    before = whole(plant)
    change = read_change(given, before)
    after = apply(before, change.edits)
    fresh: list[tuple[Key, Any]] = []
    for kind in KINDS:
        was = {name_of(one): one for one in getattr(before, kind)}
        now = {name_of(one): one for one in getattr(after, kind)}
        fresh += [((kind, name), one) for name, one in now.items() if was.get(name) != one]
        fresh += [((kind, name), None) for name in was.keys() - now.keys()]
    rows = EntryRow.objects.filter(plant_id=plant, gone=False)
    versions = {
        (kind, name): version for kind, name, version in rows.values_list("kind", "name", "version")
    }
    return [Edit(key, record, versions.get(key, 0)) for key, record in fresh]
