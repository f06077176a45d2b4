"""Small plants of one circuit each, cut out of a large one, and every way to blank one datum."""

from __future__ import annotations

import dataclasses
import itertools
import typing
from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from subspark.model import Circuit, Declaration, Plant, Record
from subspark.quantity import Evidence, TemperatureRange, Value

Path = tuple[str | int, ...]


class Spoiled(NamedTuple):
    """A datum taken away: of which record and field, by what path, and what is left."""

    record: str
    field: str
    path: Path
    plant: Record

    @property
    def name(self) -> str:
        return f"{self.record}.{self.field}"


def _partner(plant: Plant, circuit: Circuit) -> list[Circuit]:
    """Another circuit in the same multicore, where there is one."""
    numbers = {run.number for run in circuit.runs if run.number}
    others = (
        one
        for one in plant.circuits
        if one is not circuit and numbers & {run.number for run in one.runs}
    )
    return list(itertools.islice(others, 1))


def names_used(plant: Plant, circuits: Sequence[Circuit]) -> dict[str, set[str]]:
    """Names of what circuits use, by the part of the plant that holds it."""
    sources = {use.source for one in circuits for use in one.sources}
    sources |= {one.system for one in circuits if one.system}
    items = {use.apparatus for one in circuits for use in one.members}
    items |= {one.terminals_of for one in plant.sources if one.name in sources}
    areas = {one.area for one in circuits} | {use.place for one in circuits for use in one.sources}
    areas |= {use.place for one in circuits for use in one.members}
    areas |= {run.area for one in circuits for run in one.runs}
    catalogue = [one for one in plant.sources if one.name in sources]
    certified = [one for one in plant.apparatus if one.name in items]
    return {
        "areas": areas,
        "certificates": {one.certificate for one in (*catalogue, *certified)},
        "sources": sources,
        "apparatus": items,
        "simple": items,
        "cables": {run.cable for one in circuits for run in one.runs},
        "junctions": {end for one in circuits for run in one.runs for end in (run.start, run.end)},
        "cabinets": {use.cabinet for one in circuits for use in one.sources},
        "circuits": {one.tag for one in circuits},
    }


def label(record: Any) -> str:
    """The name by which a record is referred to."""
    held: str = next(
        getattr(record, name) for name in ("tag", "name", "number") if hasattr(record, name)
    )
    return held


PART_OF = {"area": "areas", "cabinet": "cabinets", "source": "sources", "cable": "cables"}
PART_OF |= {"apparatus": "apparatus", "certificate": "certificates", "circuit": "circuits"}
PARTS = ("areas", "certificates", "sources", "apparatus", "simple", "cables", "junctions")


def cut_out(plant: Plant, circuit: Circuit) -> Plant:
    """The plant that has this circuit first, one that shares its cable, and what they use."""
    both = [circuit, *_partner(plant, circuit)]
    used = names_used(plant, both)
    kept = {
        part: tuple(one for one in getattr(plant, part) if label(one) in used[part])
        for part in PARTS
    }
    said = tuple(
        one
        for one in plant.declarations
        if one.scope == "plant" or one.of in used[PART_OF[one.scope]]
    )
    return dataclasses.replace(plant, **kept, circuits=tuple(both), declarations=said)


def covering(plant: Plant, tags: set[str]) -> list[Circuit]:
    """Few of the circuits, which together use all that these use."""
    left = [one for one in plant.circuits if one.tag in tags]

    def holds(one: Circuit) -> set[tuple[str, object]]:
        used = names_used(plant, [one])
        found: set[tuple[str, object]] = {
            (part, name)
            for part in ("areas", "sources", "apparatus", "cables", "cabinets")
            for name in used[part]
        }
        found.add(("members", len(one.members)))
        found.add(("safe side", any(use.safe_side for use in one.sources)))
        return found

    todo = set[tuple[str, object]]().union(*map(holds, left))
    chosen = []
    while todo:
        best = max(left, key=lambda one: len(holds(one) & todo))
        chosen.append(best)
        todo -= holds(best)
    return chosen


def _blank(value: object, hint: object, default: object) -> object:
    """What the field holds when nothing is known; the value itself where that cannot be said."""
    if isinstance(value, Value | TemperatureRange):
        return type(value)()
    if isinstance(value, Evidence):
        return Evidence()
    if typing.get_origin(hint) is typing.Literal:
        return "" if "" in typing.get_args(hint) else value
    return value if default is dataclasses.MISSING else default


def spoil(record: Record, path: Path = ()) -> Iterator[tuple[str, str, Path, Any]]:
    """Every record that has one datum less, of this one and of all within it."""
    hints = typing.get_type_hints(type(record))
    for one in dataclasses.fields(record):  # type: ignore[arg-type]
        value = getattr(record, one.name)
        here = (*path, one.name)
        if isinstance(value, tuple) and value and isinstance(value[0], Record):
            for at, item in enumerate(value):
                rest = (*value[:at], *value[at + 1 :])
                yield type(record).__name__, f"{one.name}[]", (*here, at), {one.name: rest}
                for kind, field, where, change in spoil(item, (*here, at)):
                    mended = _applied(item, change)
                    if mended is not None:
                        held = (*value[:at], mended, *value[at + 1 :])
                        yield kind, field, where, {one.name: held}
                    else:
                        yield kind, field, where, None
            continue
        if isinstance(value, tuple):
            for at in range(len(value)):
                rest = (*value[:at], *value[at + 1 :])
                yield type(record).__name__, f"{one.name}[]", (*here, at), {one.name: rest}
            continue
        blank = _blank(value, hints[one.name], one.default)
        if blank != value:
            yield type(record).__name__, one.name, here, {one.name: blank}


def _applied(record: Record, change: dict[str, Any] | None) -> Record | None:
    from subspark.errors import SubsparkError

    if change is None:
        return None
    try:
        return dataclasses.replace(record, **change)  # type: ignore[type-var]
    except SubsparkError:
        return None


def _is_of(held: Any, path: Path, used: dict[str, set[str]]) -> bool:
    if isinstance(held, Declaration):
        return held.scope == "plant" or held.of in used[PART_OF[held.scope]]
    return label(held) in used[str(path[0])]


def spoiled(plant: Plant) -> Iterator[Spoiled]:
    """Every plant with one datum less of its first circuit, where it can be built at all."""
    used = names_used(plant, plant.circuits[:1])
    for kind, field, path, change in spoil(plant):
        if len(path) > 1 and not _is_of(getattr(plant, str(path[0]))[path[1]], path, used):
            continue
        built = _applied(plant, change)
        if built is not None:
            yield Spoiled(kind, field, path, built)
