"""The part of a plant that can bear on some circuits, so that little need be judged for them."""

from __future__ import annotations

import dataclasses
from collections import defaultdict
from collections.abc import Sequence

from subspark.model import Circuit, Plant

__all__ = ["around"]


def around(plant: Plant, circuits: Sequence[Circuit]) -> Plant:
    """The plant with only those circuits that can bear on these: by shared cables and boxes."""
    ends: dict[str, list[int]] = defaultdict(list)
    boxes = {one.tag for one in plant.junctions if one.Rth.known}
    for place, one in enumerate(plant.circuits):
        for run in one.runs:
            for link in {run.number, *({run.start, run.end} & boxes)} - {""}:
                ends[link].append(place)
    place_of = {one.tag: place for place, one in enumerate(plant.circuits)}
    wanted = {place_of[one.tag] for one in circuits}
    reached: set[str] = set()
    fresh = list(wanted)
    while fresh:
        links = {
            link
            for place in fresh
            for run in plant.circuits[place].runs
            for link in {run.number, *({run.start, run.end} & boxes)} - {""}
        } - reached
        reached |= links
        fresh = [place for link in links for place in ends[link] if place not in wanted]
        wanted |= set(fresh)
    of_devices = {one.terminals_of for one in plant.sources if one.terminals_of}
    kept = tuple(
        one
        for place, one in enumerate(plant.circuits)
        if place in wanted or (of_devices and _sensor_side(one, plant))
    )
    declarations = tuple(
        one
        for one in plant.declarations
        if one.scope not in ("circuit", "cabinet") or _concerns(one.of, kept)
    )
    return dataclasses.replace(plant, circuits=kept, declarations=declarations)


def _sensor_side(circuit: Circuit, plant: Plant) -> bool:
    named = {one.name for one in plant.sources if one.terminals_of}
    return any(use.source in named for use in circuit.sources)


def _concerns(of: str, circuits: Sequence[Circuit]) -> bool:
    return any(one.tag == of or any(u.cabinet == of for u in one.sources) for one in circuits)
