"""Fieldbus segments: the facts that FISCO and 2-WISE ask beyond those of every circuit.

A segment is described with what every circuit has: its sources, apparatus and runs. Terminators
are apparatus of that role or built into the source; a run is part of the trunk or of a spur.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from subspark.assess.context import Context
from subspark.assess.members import runs_of
from subspark.assess.outputs import outputs_used
from subspark.assess.places import Need
from subspark.assess.readings import SPARK
from subspark.assess.rows import (
    Case,
    MemberCase,
    Segment,
    SegmentMemberRow,
    SegmentRow,
    SegmentRunRow,
    SegmentSourceRow,
    SourceCase,
)
from subspark.model import CableType, Circuit, Output, Run, SimpleType
from subspark.quantity import Value
from subspark.rules import NOTHING
from subspark.rules.codes.fieldbus import Figures, edition_for, figures

__all__ = ["Spur", "as_segments", "confirmed", "figures_for", "spur_lengths"]

NAN = math.nan


def as_segments(cases: Iterable[Case], circuit: Circuit, context: Context) -> Iterator[Case]:
    """The cases of a circuit that is proved as a segment, with what its method asks."""
    table = figures_for(circuit, context)
    outputs = _outputs(circuit, context)
    known = 0.0 if confirmed(circuit, context) else NAN
    runs = runs_of(circuit)
    lengths = list(zip(runs, spur_lengths(runs), strict=True))
    active = float(sum(output.Io.si != 0.0 for output in outputs))
    for case in cases:
        members = tuple(_member(one, circuit, context) for one in case.members)
        devices = sum(not one.simple and not one.item.role for one in case.members)
        isolated = case.head.earthed == 0.0
        head = SegmentRow(
            confirmed=known,
            active=active,
            terminators=_terminators(case.members, outputs, table),
            stations=active + devices,
            is_IIC=_is_IIC(case.need),
        )
        segment = Segment(
            figures=table,
            head=head,
            sources=tuple(_source(one, circuit) for one in case.sources),
            members=members,
            runs=tuple(_run(run, spur, context, isolated) for run, spur in lengths),
        )
        # No default of a cable serves a segment, so none is told as an assumption.
        yield dataclasses.replace(case, segment=segment, assumptions=case.need.assumptions)


def figures_for(circuit: Circuit, context: Context) -> Figures:
    """The figures by which a segment goes: of the edition declared, else of the code."""
    stated = ""
    if circuit.method == "FISCO":
        stated = context.declared.value("fieldbus edition", circuit=circuit.tag, area=circuit.area)
    return figures(circuit.method, stated or edition_for(circuit.method, context.code.name))


def confirmed(circuit: Circuit, context: Context) -> bool:
    """Whether a person has confirmed the doubtful figures, with evidence."""
    names = {"circuit": circuit.tag, "area": circuit.area}
    found = context.declared.find("fieldbus figures confirmed", **names)
    if found is None or not context.declared.holds("fieldbus figures confirmed", **names):
        return False
    return bool(found.evidence) and not found.evidence.assumed


def _outputs(circuit: Circuit, context: Context) -> tuple[Output, ...]:
    return tuple(
        output
        for use in circuit.sources
        for output in outputs_used(use, context.sources[use.source], circuit.method)
    )


def _is_IIC(need: Need) -> float:
    return {SPARK["IIC"]: 1.0, SPARK["IIB"]: 0.0, SPARK["IIA"]: 0.0}.get(need.spark, NAN)


def _terminators(
    members: tuple[MemberCase, ...], outputs: tuple[Output, ...], table: Figures
) -> float:
    """Terminators in all; NaN where it is not known of an output whether it has one."""
    outside = float(sum(one.item.role == "terminator" for one in members))
    if any(not one.item.role and (one.item.R.known or one.item.C.known) for one in members):
        outside = NAN  # it has what a terminator has
    if not table.has("terminator resistance low"):
        return outside  # ports bring their own, and there is none outside
    built_in = {"yes": 1.0, "no": 0.0}
    return outside + sum(built_in.get(output.terminator, NAN) for output in outputs)


def _source(one: SourceCase, circuit: Circuit) -> SegmentSourceRow:
    own = 0.0 if one.output.method == circuit.method else NAN
    return SegmentSourceRow(own, one.output.Ci.si, one.output.Li.si)


def _member(one: MemberCase, circuit: Circuit, context: Context) -> SegmentMemberRow:
    own = NOTHING
    if one.entry is not None:
        own = 0.0 if one.entry.method == circuit.method else NAN
    return SegmentMemberRow(
        own_set=own,
        leak=_leak(one, circuit, context),
        is_terminator=float(one.item.role == "terminator"),
        end_R=_exact(one.item.R),
        end_C=_exact(one.item.C),
    )


def _leak(one: MemberCase, circuit: Circuit, context: Context) -> float:
    """Current that an apparatus may feed into the segment [A]; NaN where that is not shown."""
    item = one.item
    if isinstance(item, SimpleType):
        delivers: tuple[Value, ...] = (item.I, item.U, item.P)
    else:
        delivers = () if one.entry is None else (one.entry.Io, one.entry.Uo, one.entry.Po)
    if any(value.known for value in delivers):
        return delivers[0].si
    if isinstance(item, SimpleType) and item.sort == "generating":
        return NAN
    if item.powered == "no":
        return NOTHING
    passive = item.energy == "passive by its document" or context.declared.holds(
        "passive",
        circuit=circuit.tag,
        apparatus=item.name,
        area=one.member.place or circuit.area,
    )
    return 0.0 if passive and item.energy in ("", "passive by its document") else NAN


def _exact(value: Value) -> float:
    """A value for a window; an upper bound, as a data sheet may print it, is none."""
    return NAN if value.text.startswith(("<", "≤")) else value.si


# --- runs ----------------------------------------------------------------------------------------


class Spur(NamedTuple):
    """Least and greatest length of the spur that a run belongs to [m]; -inf for the trunk."""

    least: float
    most: float


def spur_lengths(runs: tuple[Run, ...]) -> list[Spur]:
    """Length of the whole spur that each run belongs to.

    Runs of a spur that meet away from the trunk are one spur. What is not stated (whether a run
    is trunk or spur, where it begins and ends) leaves a range: at the least the run alone, at
    the most every run with which it may be joined.
    """
    trunk = [run for run in runs if run.part == "trunk"]
    on_trunk = {end for run in trunk for end in (run.start, run.end)} | {""}
    certain = bool(trunk) and all(run.part and run.start and run.end for run in runs)
    loose = any(run.part != "trunk" and not (run.start and run.end) for run in runs)
    spurs = [number for number, run in enumerate(runs) if run.part != "trunk"]
    groups = [spurs] if loose else _joined(spurs, runs, on_trunk)
    out = [Spur(NOTHING, NOTHING)] * len(runs)
    for group in groups:
        lengths = [runs[number].length.si for number in group]
        known = sum(length for length in lengths if not math.isnan(length))
        for number in group:
            own = runs[number].length.si
            least = known if certain else (own if runs[number].part else NOTHING)
            out[number] = Spur(least, sum(lengths))
    return out


def _joined(spurs: list[int], runs: tuple[Run, ...], on_trunk: set[str]) -> list[list[int]]:
    """Spur runs in groups that meet at points away from the trunk."""
    groups: list[tuple[set[str], list[int]]] = []
    for number in spurs:
        points = {runs[number].start, runs[number].end} - on_trunk
        meeting = [group for group in groups if group[0] & points]
        for group in meeting:
            groups.remove(group)
            points |= group[0]
        groups.append((points, [one for group in meeting for one in group[1]] + [number]))
    return [numbers for _, numbers in groups]


def _run(run: Run, spur: Spur, context: Context, isolated: bool) -> SegmentRunRow:
    cable = context.cables.get(run.cable)
    if cable is None:
        return SegmentRunRow(spur.least, spur.most, *(NAN,) * 6)
    low_C, high_C = _capacitance(cable, run, isolated)
    low_R = cable.R_loop.si if cable.R_loop.known else 2.0 * cable.R_core.si
    return SegmentRunRow(
        least_spur=spur.least,
        most_spur=spur.most,
        low_C=low_C,
        high_C=high_C,
        low_L=_exact(cable.L),
        high_L=cable.L.si,
        low_R=low_R,
        high_R=cable.R_loop_max.si,
    )


def _capacitance(cable: CableType, run: Run, isolated: bool) -> tuple[float, float]:
    """C' of a run by the use of its screen, at the least and at the most [F/m].

    Core to core and half of core to screen where the segment is isolated from the screen, and
    all of it where the screen is tied to a core. What is not stated leaves the range.
    """
    if cable.C.known:
        return _exact(cable.C), cable.C.si
    core, screen = cable.C_core, cable.C_screen
    if cable.screen == "none" and run.screen in ("none", ""):
        return _exact(core), core.si
    most = core.si + screen.si
    if run.screen == "tied to one core":
        return _exact(core) + _exact(screen), most
    if run.screen == "floating" or (run.screen == "earthed" and isolated):
        return _exact(core) + _exact(screen) / 2.0, core.si + screen.si / 2.0
    return _exact(core) if run.screen in ("none", "") else _exact(core) + _exact(screen) / 2.0, most
