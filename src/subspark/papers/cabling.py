"""Lists of cables, boxes and labels of a plant, as tables."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from subspark.assess import Assessment
from subspark.model import SAFE_AREA, CableType, Circuit, Plant, Run
from subspark.papers.drawings.allotment import cores_of, index_of
from subspark.papers.schedules import Brief, Cell, Column, Schedule
from subspark.papers.texts import Words
from subspark.quantity import POWER, TEMPERATURE, Value, show

__all__ = ["boxes", "cables", "labels", "lengths", "spares"]


@dataclass(slots=True)
class _Laid:
    """A cable as it is laid: its type and ends, and every circuit in it."""

    run: Run
    circuit: Circuit
    kind: CableType
    tags: list[str] = field(default_factory=list)
    lengths: dict[str, None] = field(default_factory=dict)

    @property
    def area(self) -> str:
        return self.run.area or self.circuit.area

    @property
    def length(self) -> str:
        return "; ".join(self.lengths)


def _laid(plant: Plant, words: Words) -> list[_Laid]:
    """Every cable once; a run without a number is a cable of its own."""
    kinds = {one.name: one for one in plant.cables}
    found: dict[tuple[str, str], _Laid] = {}
    for circuit in plant.circuits:
        for nth, run in enumerate(circuit.runs, 1):
            key = (run.number, "") if run.number else (f"{circuit.tag} run {nth}", circuit.tag)
            if key not in found:
                kind = kinds.get(run.cable) or CableType(
                    name=run.cable or words("answers.unstated")
                )
                found[key] = _Laid(run, circuit, kind)
            one = found[key]
            if circuit.tag not in one.tags:
                one.tags.append(circuit.tag)
            if run.length.known:
                one.lengths[str(run.length)] = None
    return list(found.values())


def _label(one: _Laid) -> str:
    return one.run.number or f"({one.circuit.tag})"


def _text(*values: Value) -> str:
    return next((str(value) for value in values if value.known), "")


def _cores(kind: CableType, words: Words) -> str:
    """What is in the cable: its pairs, or the cores that a circuit uses."""
    if kind.pairs and kind.pairs > 1:
        return words("cabling.pairs", kind.pairs)
    if kind.cores:
        return words("cabling.cores" if kind.cores > 1 else "cabling.core", kind.cores)
    return words("cabling.pair") if kind.pairs else ""


def _screen(one: _Laid) -> str:
    parts = [one.kind.screen, one.run.screen]
    return ", ".join(part for part in parts if part)


_CABLES = (
    Column("number", 22, "tag"),
    Column("type", 26),
    Column("from", 19, "tag"),
    Column("to", 19, "tag"),
    Column("area", 18, "tag"),
    Column("cores", 14),
    Column("section", 17),
    Column("length", 14),
    Column("built", 14),
    Column("C", 16),
    Column("L", 17),
    Column("LR", 17),
    Column("screen", 17),
    Column("class", 14),
    Column("insulation", 16, "blank"),
    Column("circuits", 0, "tag"),
)


def _built(run: Run, words: Words) -> str:
    named = {"yes": "answers.as_built", "no": "answers.design", "": "answers.unstated"}
    return words(named[run.as_built])


def _class(kind: CableType, words: Words, *, american: bool) -> str:
    """What the cable serves, in the words of the code: Ex i, or intrinsically safe."""
    name = words("cabling.intrinsically_safe" if american else "cabling.ex_i")
    return words("cabling.of_type", name, kind.multicore) if kind.multicore else name


def cables(assessment: Assessment, _: Sequence[Brief], words: Words) -> Schedule:
    """Every cable on one line, with a blank for its insulation test."""
    american = assessment.context.code.feet
    rows: list[tuple[Cell, ...]] = []
    for one in _laid(assessment.plant, words):
        kind, run = one.kind, one.run
        rows.append(
            (
                _label(one), kind.name, run.start, run.end, one.area, _cores(kind, words),
                _text(kind.section, kind.gauge), one.length, _built(run, words),
                _text(kind.C, kind.C_core), _text(kind.L), _text(kind.L_R), _screen(one),
                _class(kind, words, american=american), None, ", ".join(one.tags),
            )
        )  # fmt: skip
    return Schedule("cables", _CABLES, tuple(rows))


_SPARES = (
    Column("number", 22, "tag"),
    Column("type", 30),
    Column("from", 20, "tag"),
    Column("to", 20, "tag"),
    Column("cores", 24),
    Column("count", 14, "number"),
    Column("spare", 16, "number"),
    Column("treatment", 40, "blank"),
    Column("circuits", 0, "tag"),
)


def spares(assessment: Assessment, _: Sequence[Brief], words: Words) -> Schedule:
    """Multicores with what is left in them."""
    rows: list[tuple[Cell, ...]] = []
    for one in _laid(assessment.plant, words):
        if not one.kind.pairs:
            continue
        cores = 2 * one.kind.pairs
        used = len(one.tags) * cores_of(one.run, assessment.context)
        rows.append(
            (
                _label(one), one.kind.name, one.run.start, one.run.end, _cores(one.kind, words),
                len(one.tags), cores - used, None, ", ".join(one.tags),
            )
        )  # fmt: skip
    return Schedule("spares", _SPARES, tuple(rows))


_LENGTHS = (
    Column("number", 28, "tag"),
    Column("from", 24, "tag"),
    Column("to", 24, "tag"),
    Column("length", 20),
    Column("built", 18),
    Column("measured", 28, "blank"),
    Column("difference", 24, "blank"),
    Column("by", 30, "blank"),
    Column("evidence", 0),
)


def lengths(assessment: Assessment, _: Sequence[Brief], words: Words) -> Schedule:
    """The length by which each cable was judged, beside a blank for the one measured."""
    rows: list[tuple[Cell, ...]] = []
    for one in _laid(assessment.plant, words):
        read = one.run.length.evidence or one.circuit.evidence
        rows.append(
            (
                _label(one), one.run.start, one.run.end, one.length, _built(one.run, words),
                None, None, None, str(read),
            )
        )  # fmt: skip
    return Schedule("lengths", _LENGTHS, tuple(rows))


# --- boxes ---------------------------------------------------------------------------------------

_BOXES = (
    Column("box", 20, "tag"),
    Column("title", 36),
    Column("area", 20, "tag"),
    Column("count", 14, "number"),
    Column("terminals", 16, "number"),
    Column("power", 16),
    Column("heat", 14),
    Column("hottest", 26),
    Column("ip", 16, "blank"),
    Column("glands", 22, "blank"),
    Column("circuits", 0, "tag"),
)


def _ends(plant: Plant) -> dict[str, dict[str, None]]:
    """For each junction the circuits with a run that ends there, in the order of the plant."""
    found: dict[str, dict[str, None]] = {one.tag: {} for one in plant.junctions}
    for circuit in plant.circuits:
        for run in circuit.runs:
            for end in (run.start, run.end):
                if end in found:
                    found[end][circuit.tag] = None
    return found


def boxes(assessment: Assessment, _: Sequence[Brief], __: Words) -> Schedule:
    """Junction boxes with the power that they may have to bear, and blanks for the site."""
    context, plant, index = assessment.context, assessment.plant, index_of(assessment)
    ends = _ends(plant)
    rows: list[tuple[Cell, ...]] = []
    for one in plant.junctions:
        here = ends[one.tag]
        terminals = sum(len(index.terminals(one.tag, tag)) for tag in here)
        power = context.box_power.get(one.tag, 0.0)
        judged = context.box(one.tag)
        inside = ""
        if judged is not None:
            inside = f"{show(judged[0], TEMPERATURE)}, {show(judged[1], TEMPERATURE)}"
        rows.append(
            (
                one.tag, one.title, one.area, len(here), terminals,
                "" if math.isnan(power) or not here else show(power, POWER),
                _text(one.Rth), inside, None, None, ", ".join(here),
            )
        )  # fmt: skip
    return Schedule("boxes", _BOXES, tuple(rows))


# --- labels --------------------------------------------------------------------------------------

_ON_A_LABEL = 3
"""Circuits that a label names; a label is small."""

_LABELS = (
    Column("what", 38),
    Column("tag", 30, "tag"),
    Column("text", 0),
    Column("place", 50),
    Column("colour", 48),
)


def _of_circuit(circuit: Circuit, words: Words) -> Iterator[tuple[Cell, ...]]:
    for use in circuit.sources:
        where = ", ".join(part for part in (use.place, use.cabinet) if part)
        text = words("labels.circuit_text", circuit.tag, circuit.document or circuit.service)
        name = use.tag or use.source
        yield words("labels.circuit"), name, text.strip(), where, words("labels.blue")
    for member in circuit.members:
        name = member.tag or member.apparatus
        text = words("labels.apparatus_text", name)
        place = member.place or circuit.area
        yield words("labels.apparatus"), name, text, place, words("labels.plain")


def _cable_text(one: _Laid, words: Words) -> str:
    """Words of a label: few circuits by name, many by their number."""
    few = len(one.tags) <= _ON_A_LABEL
    circuits = ", ".join(one.tags) if few else words("labels.many", len(one.tags))
    return words("labels.cable_text", _label(one), circuits)


def labels(assessment: Assessment, _: Sequence[Brief], words: Words) -> Schedule:
    """What is to be marked, with which words, where, in which colour."""
    plant = assessment.plant
    rows: list[tuple[Cell, ...]] = []
    for circuit in plant.circuits:
        rows += _of_circuit(circuit, words)
    for one in _laid(plant, words):
        text = _cable_text(one, words)
        ends = " – ".join(end for end in (one.run.start, one.run.end) if end)
        rows.append((words("labels.cable"), _label(one), text, ends, words("labels.sheath")))
    rows += [
        (
            words("labels.box"), box.tag, words("labels.box_text", box.tag),
            box.area if box.area != SAFE_AREA else "", words("labels.blue"),
        )
        for box in plant.junctions
    ]  # fmt: skip
    return Schedule("labels", _LABELS, _unique(rows))


def _unique(rows: Iterable[tuple[Cell, ...]]) -> tuple[tuple[Cell, ...], ...]:
    return tuple(dict.fromkeys(rows))
