"""Drawings of more than one circuit: cables with several circuits, cabinets, junction boxes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import Literal, NamedTuple

from subspark.assess import Assessment
from subspark.papers.drawings import (
    Drawing,
    TitleFields,
    cabinet_earth_drawing,
    multicore_drawing,
    terminal_plan,
)
from subspark.papers.signing import Signing

__all__ = ["FORMATS", "FieldsOf", "PlantDrawing", "drawn", "fields_of", "plant_drawings", "size_of"]

FORMATS = ("pdf", "dxf", "svg")
"""How drawings can be written."""

Large = Literal["A3", "ANSI B"]
Small = Literal["A4", "ANSI A"]
FieldsOf = Callable[[Signing], TitleFields]


class PlantDrawing(NamedTuple):
    """A drawing of a plant: "cables", "cabinets" or "boxes", and the name of the thing."""

    sort: str
    name: str


def size_of(paper: str) -> tuple[Large, Small]:
    """The large and the small sheet that go with a paper."""
    return ("A3", "A4") if paper == "a4" else ("ANSI B", "ANSI A")


def fields_of(signing: Signing) -> TitleFields:
    """What the title block says of signatures: a date once all have signed."""
    return TitleFields(
        creator=signing.name("designer"), approver=signing.name("approver"), date=signing.date
    )


def plant_drawings(assessment: Assessment, tags: Iterable[str]) -> Iterator[PlantDrawing]:
    """The drawings that show any of some circuits, each once.

    Parameters
    ----------
    assessment : Assessment
        Of the whole plant.
    tags : iterable of str
        The circuits.

    Yields
    ------
    PlantDrawing
        Cables that hold several circuits or pairs, cabinets with sources, boxes of the plant.
    """
    context, plant = assessment.context, assessment.plant
    wanted = set(tags)
    circuits = [one for one in plant.circuits if one.tag in wanted]
    pairs = {one.name: one.pairs or 0 for one in plant.cables}
    cables = dict.fromkeys(
        run.number
        for circuit in circuits
        for run in circuit.runs
        if run.number and (len(context.sharers[run.number]) > 1 or pairs.get(run.cable, 0) > 1)
    )
    cabinets = dict.fromkeys(use.cabinet for one in circuits for use in one.sources if use.cabinet)
    ends = {end for one in circuits for run in one.runs for end in (run.start, run.end)}
    yield from (PlantDrawing("cables", name) for name in cables)
    yield from (PlantDrawing("cabinets", name) for name in cabinets)
    yield from (PlantDrawing("boxes", one.tag) for one in plant.junctions if one.tag in ends)


def drawn(assessment: Assessment, one: PlantDrawing, paper: str, signing: Signing) -> Drawing:
    """One of them, drawn."""
    large, small = size_of(paper)
    fields = fields_of(signing)
    if one.sort == "cables":
        return multicore_drawing(assessment, one.name, large, fields=fields)
    if one.sort == "cabinets":
        return cabinet_earth_drawing(assessment, one.name, small, fields=fields)
    return terminal_plan(assessment, one.name, small, fields=fields)
