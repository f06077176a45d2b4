"""The part of a plant that can bear on some circuits, so that little need be judged for them."""

from __future__ import annotations

import dataclasses
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence

from subspark.model import Circuit, Plant

__all__ = ["around", "clusters", "joined"]


def _links(circuit: Circuit, boxes: set[str]) -> Iterator[str]:
    """The cables that a circuit shares, and the boxes that it heats together with others."""
    for run in circuit.runs:
        if run.number:
            yield f"cable {run.number}"
        yield from (f"box {end}" for end in (run.start, run.end) if end in boxes)


def joined(plant: Plant, tags: Iterable[str]) -> set[str]:
    """Circuits that are joined with these by a cable or a box, however many steps away."""
    boxes = {one.tag for one in plant.junctions if one.Rth.known}
    by_link: dict[str, list[Circuit]] = defaultdict(list)
    for one in plant.circuits:
        for link in _links(one, boxes):
            by_link[link].append(one)
    found = set(tags)
    fresh = [one for one in plant.circuits if one.tag in found]
    seen: set[str] = set()
    while fresh:
        links = {link for one in fresh for link in _links(one, boxes)} - seen
        seen |= links
        fresh = [one for link in links for one in by_link[link] if one.tag not in found]
        found |= {one.tag for one in fresh}
    return found


def clusters(plant: Plant) -> dict[str, int]:
    """Number of the cluster of each circuit; those of one number are joined, others are not."""
    boxes = {one.tag for one in plant.junctions if one.Rth.known}
    head = list(range(len(plant.circuits)))

    def top(place: int) -> int:
        while head[place] != place:
            head[place] = head[head[place]]
            place = head[place]
        return place

    first: dict[str, int] = {}
    for place, one in enumerate(plant.circuits):
        for link in _links(one, boxes):
            head[top(place)] = top(first.setdefault(link, place))
    return {one.tag: top(place) for place, one in enumerate(plant.circuits)}


def around(plant: Plant, circuits: Sequence[Circuit]) -> Plant:
    """The plant with only those circuits that can bear on these: by shared cables and boxes."""
    wanted = joined(plant, (one.tag for one in circuits))
    sides = {one.name for one in plant.sources if one.terminals_of}
    kept = tuple(
        one
        for one in plant.circuits
        if one.tag in wanted or (sides and any(use.source in sides for use in one.sources))
    )
    declarations = tuple(
        one
        for one in plant.declarations
        if one.scope not in ("circuit", "cabinet") or _concerns(one.of, kept)
    )
    return dataclasses.replace(plant, circuits=kept, declarations=declarations)


def _concerns(of: str, circuits: Sequence[Circuit]) -> bool:
    return any(one.tag == of or any(u.cabinet == of for u in one.sources) for one in circuits)
