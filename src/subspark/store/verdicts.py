"""The verdicts of a plant as rows of the register: written where they differ, renewed in blocks.

A row that waits to be judged again is unproven, whatever it was. Whether the circuit works is
kept on it where what changed has no part in that; where it has, the word is taken off, and
found again with the verdict.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from django.db import connection, transaction

from subspark.model import Plant
from subspark.rules import Verdict
from subspark.store import judging
from subspark.store.holding import held
from subspark.store.models import EntryRow, PlantRow, VerdictRow

__all__ = ["BLOCK", "Kept", "Report", "kept", "mark", "rejudge", "renew", "write"]

BLOCK = 1000
"""Circuits judged again at once: between two blocks others may write."""
BATCH = 400

Report = Callable[[int, int], None]
Kept = dict[str, tuple[Any, ...]]
"""Rows by tag: the row of the circuit, then the columns of :data:`_COLUMNS`."""

_COLUMNS = (
    *("service", "area", "source", "apparatus", "verdict", "governing", "utilisation", "used"),
    *("length", "open_points", "needs", "works", "search", "stale"),
)
_FLOATS = frozenset({"utilisation", "used", "length"})
_WORKS = 1 + _COLUMNS.index("works")
_UNPROVEN: dict[str, Any] = {
    "verdict": int(Verdict.UNPROVEN),
    "governing": "",
    "utilisation": None,
    "used": -1.0,
    "open_points": 0,
    "needs": "[]",
    "stale": True,
}


def _values(one: judging.Row) -> tuple[Any, ...]:
    return (
        one.service,
        one.area[:300],
        one.source,
        one.apparatus,
        one.verdict,
        one.governing,
        one.utilisation,
        -1.0 if one.utilisation is None else one.utilisation,
        one.length,
        one.open_points,
        one.needs,
        one.works,
        one.search,
        False,
    )


def kept(plant: int, tags: Iterable[str]) -> Kept:
    """The rows of some circuits as they stand in the register."""
    wanted = list(tags)
    rows = VerdictRow.objects.filter(plant_id=plant)
    if len(wanted) <= BATCH:
        rows = rows.filter(tag__in=wanted)
    return _by_tag(rows)


def _by_tag(rows: Any) -> Kept:  # noqa: ANN401 - a query
    return {tag: tuple(rest) for tag, *rest in rows.values_list("tag", "entry_id", *_COLUMNS)}


def judged(
    part: Plant, tags: Iterable[str], before: Kept, anew: Callable[[str], bool]
) -> list[judging.Row]:
    """Judge circuits of a part of a plant.

    Parameters
    ----------
    part : Plant
        It holds all that concerns them.
    tags : iterable of str
        Which circuits.
    before : Kept
        Their rows as they stand.
    anew : callable
        Whether it is to be found anew if a circuit works; for the others the word is kept,
        where there is one.
    """
    wanted = set(tags)
    order = [one.tag for one in part.circuits if one.tag in wanted]
    works = {tag: str(row[_WORKS]) for tag, row in before.items() if row[_WORKS] and not anew(tag)}
    return list(judging.rows(judging.judge(part, order), works))


def write(plant: int, rows: Iterable[judging.Row], before: Kept) -> None:
    """Write rows of the register, those that differ from what stands there."""
    made: dict[str, tuple[Any, ...]] = {}
    changed: list[tuple[int, tuple[Any, ...]]] = []
    differ: set[int] = set()
    for one in rows:
        fresh, was = _values(one), before.get(one.tag)
        if was is None:
            made[one.tag] = fresh
            continue
        places = [at for at, value in enumerate(fresh) if value != was[at + 1]]
        if places:
            differ.update(places)
            changed.append((was[0], fresh))
    if changed:
        columns = sorted(differ)
        _update(
            [_COLUMNS[at] for at in columns],
            [(*(fresh[at] for at in columns), entry) for entry, fresh in changed],
        )
    _insert(plant, {tag: dict(zip(_COLUMNS, fresh, strict=True)) for tag, fresh in made.items()})


def _update(columns: Sequence[str], rows: list[tuple[Any, ...]]) -> None:
    """Set columns of many rows, each to values of its own; the row of the circuit comes last.

    One statement a row costs least where the database is a library of this process, and one
    for many rows where it is a server.
    """
    quoted = connection.ops.quote_name
    table, key = quoted("store_verdictrow"), quoted("entry_id")
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            sets = ", ".join(f"{quoted(name)} = %s" for name in columns)
            cursor.executemany(f"UPDATE {table} SET {sets} WHERE {key} = %s", rows)  # noqa: S608 - names of ours
            return
        given = [f"v.column{at}" for at in range(1, len(columns) + 1)]
        sets = ", ".join(
            f"{quoted(name)} = {f'CAST({one} AS double precision)' if name in _FLOATS else one}"
            for name, one in zip(columns, given, strict=True)
        )
        row = f"({', '.join(['%s'] * (len(columns) + 1))})"
        for start in range(0, len(rows), BATCH):
            some = rows[start : start + BATCH]
            cursor.execute(
                f"UPDATE {table} SET {sets} FROM (VALUES {', '.join([row] * len(some))}) AS v "  # noqa: S608
                f"WHERE {table}.{key} = v.column{len(columns) + 1}",
                [value for one in some for value in one],
            )


def _insert(plant: int, made: dict[str, dict[str, Any]]) -> None:
    if not made:
        return
    entries = EntryRow.objects.filter(plant_id=plant, kind="circuits", gone=False)
    if len(made) <= BATCH:
        entries = entries.filter(name__in=list(made))
    ids = dict(entries.values_list("name", "pk"))
    VerdictRow.objects.bulk_create(
        [
            VerdictRow(entry_id=ids[tag], plant_id=plant, tag=tag, **columns)
            for tag, columns in made.items()
        ],
        batch_size=BATCH,
    )


def mark(plant: int, part: Plant, tags: set[str], anew: set[str]) -> None:
    """Leave circuits unproven until they are judged again; ``anew`` is as for :func:`judged`."""
    rows = VerdictRow.objects.filter(plant_id=plant)
    known = dict(rows.values_list("tag", "entry_id"))
    here = tags & known.keys()
    for values, of in ((_UNPROVEN, here - anew), ({**_UNPROVEN, "works": ""}, here & anew)):
        entries = sorted(known[tag] for tag in of)
        for start in range(0, len(entries), BATCH):
            VerdictRow.objects.filter(pk__in=entries[start : start + BATCH]).update(**values)
    fresh = tags - known.keys()
    _insert(
        plant,
        {
            one.tag: {
                "service": one.service,
                "area": one.area[:300],
                "source": ", ".join(use.source for use in one.sources),
                "apparatus": ", ".join(member.apparatus for member in one.members),
                "search": f"{one.tag}\n{one.service}\n{one.area}".lower(),
                **_UNPROVEN,
            }
            for one in part.circuits
            if one.tag in fresh
        },
    )


def renew() -> None:
    """Leave the circuits of each plant unproven that was judged by other rules or another table.

    A new version of the program may judge otherwise, and so may another ignition table: what
    they have not judged is not passed on as theirs.
    """
    now = judging.judged_by()
    for plant in PlantRow.objects.exclude(judged_by=now).values_list("pk", flat=True):
        with transaction.atomic():
            row = PlantRow.objects.select_for_update().get(pk=plant)
            VerdictRow.objects.filter(plant=row).update(**_UNPROVEN, works="")
            row.judged_by = now
            row.save(update_fields=["judged_by"])


def rejudge(
    plant: int, report: Report | None = None, stopped: Callable[[], bool] | None = None
) -> int:
    """Judge the circuits that wait for it, a block at a time.

    Parameters
    ----------
    plant : int
        Its row.
    report : callable, optional
        Told after each block how many are done, and of how many.
    stopped : callable, optional
        Whether to end before all are done; the rest stays unproven.

    Returns
    -------
    int
        How many were judged.
    """
    stale = VerdictRow.objects.filter(plant_id=plant, stale=True)
    total = stale.count()
    done = 0
    while not (stopped is not None and stopped()):
        with transaction.atomic():
            PlantRow.objects.select_for_update().get(pk=plant)
            before = _by_tag(stale.order_by("entry_id")[:BLOCK])
            if not before:
                break
            with held(plant) as ledger:
                part = ledger.part(ledger.concerned(before))
            write(plant, judged(part, before, before, lambda _: False), before)
        done += len(before)
        if report is not None:
            report(done, max(total, done))
    return done
