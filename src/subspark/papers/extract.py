"""The part of a plant that the proof of one circuit needs: small enough to travel in a paper."""

from __future__ import annotations

import dataclasses
from collections import defaultdict
from collections.abc import Iterable, Iterator

from subspark.model import Circuit, Plant, SourceType

__all__ = ["Neighbours", "part_of"]


class Neighbours:
    """Which circuits of a plant meet.

    They do in a multicore, in a box whose power is summed, or inside an apparatus whose sensor
    side is a circuit of its own.
    """

    def __init__(self, plant: Plant) -> None:
        self.plant = plant
        self.place = {circuit.tag: place for place, circuit in enumerate(plant.circuits)}
        self._boxes = {one.tag for one in plant.junctions if one.Rth.known}
        self._in: dict[tuple[str, str], list[int]] = defaultdict(list)
        self._sensor_side: dict[str, int] = {}
        sources = {one.name: one for one in plant.sources}
        for place, circuit in enumerate(plant.circuits):
            for meeting in dict.fromkeys(self._meetings(circuit)):
                self._in[meeting].append(place)
            kinds = [sources[use.source] for use in circuit.sources]
            if kinds and all(kind.terminals_of for kind in kinds):
                for kind in kinds:
                    if kind.separated != "yes":
                        self._sensor_side.setdefault(kind.terminals_of, place)

    def _meetings(self, circuit: Circuit) -> Iterator[tuple[str, str]]:
        for run in circuit.runs:
            if run.number:
                yield "cable", run.number
            for end in (run.start, run.end):
                if end in self._boxes:
                    yield "box", end

    def of(self, place: int) -> set[int]:
        """Places of the circuits that meet the one at a place, itself too."""
        circuit = self.plant.circuits[place]
        found = {place}
        for meeting in self._meetings(circuit):
            found.update(self._in[meeting])
        for member in circuit.members:
            if member.apparatus in self._sensor_side:
                found.add(self._sensor_side[member.apparatus])
        return found

    def needed(self, tag: str) -> list[int]:
        """Places of every circuit that the verdict of one leans on, in the order of the plant.

        Those that meet it are judged beside it; of those that meet these only the facts count,
        so two steps are enough.
        """
        first = self.of(self.place[tag])
        return sorted(set().union(*(self.of(place) for place in first)))


def part_of(plant: Plant, tag: str, neighbours: Neighbours | None = None) -> Plant:
    """The part of a plant on which the verdict of one circuit leans.

    Parameters
    ----------
    plant : Plant
        The whole plant.
    tag : str
        The circuit.
    neighbours : Neighbours, optional
        Of that plant, where many circuits are asked for.

    Returns
    -------
    Plant
        The circuit, those that it meets, and what they refer to: catalogue, certificates, areas,
        boxes, declarations. Judged by itself it gives the circuit the same finding.
    """
    known = neighbours or Neighbours(plant)
    if tag not in known.place:
        plant.circuit(tag)  # refuses, with the nearest tags
    circuits = tuple(plant.circuits[place] for place in known.needed(tag))
    sources = _sources(plant, circuits)
    items = {one.apparatus for circuit in circuits for one in circuit.members}
    items |= {one.terminals_of for one in sources if one.terminals_of}
    runs = [run for circuit in circuits for run in circuit.runs]
    cables = {run.cable for run in runs}
    ends = {end for run in runs for end in (run.start, run.end)}
    junctions = tuple(one for one in plant.junctions if one.tag in ends)
    apparatus = tuple(one for one in plant.apparatus if one.name in items)
    certificates = {one.certificate for one in sources} | {one.certificate for one in apparatus}
    areas = {one.area for one in circuits} | {run.area for run in runs}
    areas |= {one.area for one in junctions}
    areas |= {use.place for circuit in circuits for use in circuit.sources}
    areas |= {one.place for circuit in circuits for one in circuit.members}
    kept = dataclasses.replace(
        plant,
        circuits=circuits,
        sources=sources,
        apparatus=apparatus,
        simple=tuple(one for one in plant.simple if one.name in items),
        cables=tuple(one for one in plant.cables if one.name in cables),
        junctions=junctions,
        certificates=tuple(one for one in plant.certificates if one.number in certificates),
        areas=tuple(one for one in plant.areas if one.tag in areas),
        declarations=(),
    )
    return _declared(kept, plant)


def _sources(plant: Plant, circuits: Iterable[Circuit]) -> tuple[SourceType, ...]:
    names = {use.source for circuit in circuits for use in circuit.sources}
    names |= {circuit.system for circuit in circuits}
    return tuple(one for one in plant.sources if one.name in names)


def _declared(kept: Plant, plant: Plant) -> Plant:
    """The part with the declarations that speak of something in it."""
    names = {
        "plant": None,
        "area": {one.tag for one in kept.areas},
        "cabinet": {use.cabinet for one in kept.circuits for use in one.sources},
        "source": {one.name for one in kept.sources},
        "apparatus": {one.name for one in kept.apparatus} | {one.name for one in kept.simple},
        "cable": {one.name for one in kept.cables},
        "certificate": {one.number for one in kept.certificates},
        "circuit": {one.tag for one in kept.circuits},
    }
    declarations = tuple(
        one
        for one in plant.declarations
        if (known := names[one.scope]) is None or one.of in known or one.of == "safe area"
    )
    return dataclasses.replace(kept, declarations=declarations)
