"""Part of the working: a fieldbus segment against the figures of its method, and the entity way."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterator

import numpy as np

from subspark.assess.findings import Assessment, Summary
from subspark.assess.rows import SegmentRunRow
from subspark.assess.tree import Block, Line, Section, Table
from subspark.assess.working_inputs import Subject
from subspark.model import Circuit, SourceType, SourceUse
from subspark.quantity import C_PER_LENGTH, L_PER_LENGTH, LENGTH, R_PER_LENGTH, Kind, show
from subspark.rules import fieldbus

__all__ = ["by_entity", "segment", "tried_by_entity"]


def tried_by_entity(assessment: Assessment, circuit: Circuit) -> Summary:
    """The circuit of a segment judged as if it were proved by entity parameters."""
    context = assessment.context
    uses = tuple(
        dataclasses.replace(use, outputs=_entity_output(use, context.sources[use.source]))
        for use in circuit.sources
    )
    changed = dataclasses.replace(circuit, method="entity", sources=uses)
    circuits = tuple(
        changed if one.tag == circuit.tag else one for one in assessment.plant.circuits
    )
    plant = dataclasses.replace(assessment.plant, circuits=circuits)
    return next(Assessment(plant, (changed,), context.curves).summaries())


def _entity_output(use: SourceUse, kind: SourceType) -> str:
    """The output to use instead: where none is named the sets are of the same terminals."""
    if use.outputs:
        return use.outputs
    own = [output.name for output in kind.outputs if output.method == "entity"]
    return own[0] if len(own) == 1 else ""


def by_entity(assessment: Assessment, circuit: Circuit) -> Line:
    """The verdict of the entity way, with the rule that decides it."""
    found = tried_by_entity(assessment, circuit)
    rule = f" ({found.governing})" if found.governing and found.verdict.word != "safe" else ""
    return Line(f"{found.verdict.word}{rule}", "by the entity way")


def _runs(subject: Subject) -> Table:
    case = subject.case
    rows = []
    held = case.segment.runs if case.segment is not None else ()
    spurs = case.segment is not None and case.segment.figures.has("spur")
    for number, ((run, row), more) in enumerate(zip(case.runs, held, strict=True), 1):
        rows.append(
            (
                run.number or f"run {number}",
                run.part or "not stated",
                show(row.length, LENGTH),
                _spur(more) if spurs else "",
                _range(more.low_R, more.high_R, R_PER_LENGTH),
                _range(more.low_L, more.high_L, L_PER_LENGTH),
                _range(more.low_C, more.high_C, C_PER_LENGTH),
            )
        )
    return Table(("run", "part", "length", "whole spur", "R'", "L'", "C'"), tuple(rows))


def segment(subject: Subject, assessment: Assessment) -> Iterator[Section]:
    """What the method asks of the segment as a whole; nothing for other circuits."""
    held, c = subject.case.segment, subject.columns
    if held is None:
        return
    table, head = held.figures, held.head
    blocks: list[Block] = [
        Line(f"{table.method}, figures of {table.edition} (from memory)", "method"),
        Line("no sum of C and L is asked of a segment that keeps these limits", "instead"),
        Line(f"{_figure(head.active)}; {_figure(head.terminators)} of "
             f"{_figure(table.constants['terminators'].value)}", "sources; terminators"),
        Line(f"{_figure(head.stations)} of {_figure(table.constants['stations'].value)}",
             "devices and source"),
    ]  # fmt: skip
    with np.errstate(invalid="ignore"):
        total, most = fieldbus.total_length(c), fieldbus.longest(c)
    blocks.append(Line(f"{show(float(total[0]), LENGTH)} of {show(float(most[0]), LENGTH)}",
                       "length in all"))  # fmt: skip
    if held.runs:
        blocks.append(_runs(subject))
    if table.doubted:
        state = "confirmed by a person, with evidence" if head.confirmed == 0.0 else (
            "of low confidence: they prove nothing until a person confirms them")  # fmt: skip
        blocks.append(Line(f"{', '.join(table.doubted)}: {state}", "figures in doubt"))
    blocks.append(by_entity(assessment, subject.circuit))
    yield Section("segment", "Fieldbus segment", tuple(blocks))


def _figure(value: float) -> str:
    return "unknown" if math.isnan(value) else f"{value:g}"


def _range(least: float, most: float, kind: Kind) -> str:
    if least == most or (math.isnan(least) and math.isnan(most)):
        return show(most, kind)
    low = "0" if least == -math.inf else show(least, kind)
    return f"{low} to {show(most, kind)}"


def _spur(row: SegmentRunRow) -> str:
    return "" if row.most_spur == -math.inf else _range(row.least_spur, row.most_spur, LENGTH)
