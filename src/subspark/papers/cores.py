"""Marks and colours of cores: derived where the data allow it, blank where they do not.

Marks are the number of the cable and that of the core, after IEC 62491; colours are codes of
IEC 60757; leads of thermocouples are those of IEC 60584-3, in North America those of ASTM E230.
All of them are from memory.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from subspark.assess import Assessment
from subspark.assess.context import Context
from subspark.model import Circuit, Run
from subspark.papers.drawings.allotment import Index, cores_of, index_of
from subspark.papers.drawings.leads import core_colours, lead_colours, lead_letter, leads_of
from subspark.papers.schedules import Brief, Cell, Column, Schedule
from subspark.papers.texts import Words

__all__ = ["cores"]

_CORES = (
    Column("number", 24, "tag"),
    Column("circuit", 22, "tag"),
    Column("from", 22, "tag"),
    Column("from_terminals", 18),
    Column("to", 22, "tag"),
    Column("to_terminals", 18),
    Column("pair", 10, "number"),
    Column("marks", 42),
    Column("colours", 22),
    Column("found", 22, "blank"),
    Column("by_what", 0),
)


def _names(count: int, pair: int, pairs: int) -> list[str]:
    """Cores as their cable marks them: by pair and letter in a multicore, else by number."""
    if pairs > 1 and 0 < pair <= pairs:
        return [f"{pair}{letter}" for letter in "abcd"[:count]]
    return [str(one + 1) for one in range(count)]


def _colours(
    circuit: Circuit, run: Run, pair: int, context: Context, say: Words
) -> tuple[str, str]:
    """Colours of the cores of a run as far as they are known, and where they come from.

    What the cable type states counts; what a standard would have beside it is told, too.
    """
    stated = core_colours(run, pair, context)
    if not stated:
        return _leads(circuit, run, context, say)
    letter = leads_of(circuit, run, context)
    wanted = lead_colours(letter, american=context.code.feet)
    if not letter or not wanted[0] or set(wanted) == set(stated):
        return ", ".join(stated), say("cores.stated")
    standard = say("cores.astm" if context.code.feet else "cores.iec")
    told = say("cores.not_as_standard", say("cores.legs", *wanted), standard, letter)
    return ", ".join(stated), told


def _leads(circuit: Circuit, run: Run, context: Context, say: Words) -> tuple[str, str]:
    """Colours of the leads of a thermocouple by a standard."""
    standard = say("cores.astm" if context.code.feet else "cores.iec")
    letter, sensor = leads_of(circuit, run, context), lead_letter(circuit, context)
    plus, minus = lead_colours(letter or sensor, american=context.code.feet)
    colours = say("cores.legs", plus, minus)
    if not plus:
        return "", say("cores.site")
    if letter:
        return colours, say("cores.by", standard, letter)
    return "", say("cores.if_alloys", sensor, colours, standard)


def _row(
    circuit: Circuit, run: Run, nth: int, context: Context, index: Index, say: Words
) -> tuple[Cell, ...]:
    cable = context.cables.get(run.cable)
    pairs = cable.pairs if cable is not None and cable.pairs else 0
    pair = index.pair(run.number, circuit.tag)
    name = run.number or f"({circuit.tag}, {say('answers.run', nth)})"
    cores_ = _names(cores_of(run, context), pair, pairs)
    marks = run.number + ", ".join(f":{core}" for core in cores_) if run.number else ""
    colours, told = _colours(circuit, run, pair, context, say)
    return (
        name,
        circuit.tag,
        run.start,
        ", ".join(index.terminals(run.start, circuit.tag)) if _box(run.start, context) else "",
        run.end,
        ", ".join(index.terminals(run.end, circuit.tag)) if _box(run.end, context) else "",
        pair if pairs > 1 else None,
        marks,
        colours,
        None,
        told,
    )


def _box(end: str, context: Context) -> bool:
    return end in context.junctions


def _rows(assessment: Assessment, say: Words) -> Iterator[tuple[Cell, ...]]:
    context, index = assessment.context, index_of(assessment)
    for circuit in assessment.plant.circuits:
        for nth, run in enumerate(circuit.runs, 1):
            yield _row(circuit, run, nth, context, index, say)


def cores(assessment: Assessment, _: Sequence[Brief], words: Words) -> Schedule:
    """Every pair of every cable with its marks and colours, and a blank for what is found."""
    return Schedule("cores", _CORES, tuple(_rows(assessment, words)))
