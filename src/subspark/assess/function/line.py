"""Ohms and farads of the runs of a circuit, with the ends that function needs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from subspark.assess.context import Context
from subspark.assess.function.facts import Loop
from subspark.assess.members import run_case, runs_of
from subspark.assess.readings import same
from subspark.model import SAFE_AREA, CableType, Run
from subspark.physics.conductors import (
    awg_area,
    highest_awg_resistance,
    highest_resistance,
    nominal_resistance,
    resistance_at,
)
from subspark.quantity import UNKNOWN_SPREAD, Spread

__all__ = ["Line", "core_ohms", "line_of", "run_ohms", "total"]

_CLASS = {"solid": 1, "stranded": 2, "flexible": 5}


class Line(NamedTuple):
    """Loop resistance [ohm] and capacitance [F] of runs in a row, and each run by itself."""

    ohms: Spread
    farads: Spread
    runs: tuple[tuple[Run, Spread], ...]
    notes: tuple[str, ...]


def total(parts: Sequence[Spread]) -> Spread:
    """Sum of figures, end by end."""
    low = nominal = high = 0.0
    for one in parts:
        low, nominal, high = low + one.low, nominal + one.nominal, high + one.high
    return Spread(low, nominal, high)


def core_ohms(cable: CableType) -> tuple[float, float, str]:
    """Highest and nominal resistance of one core at 20 degC [ohm/m], and what was assumed."""
    nominal = _nominal(cable)
    if cable.R_loop_max.known:
        return cable.R_loop_max.si / 2.0, _or(nominal, cable.R_loop_max.si / 2.0), ""
    if cable.R_core_max.known:
        return cable.R_core_max.si, _or(nominal, cable.R_core_max.si), ""
    classes = [_CLASS[cable.conductor]] if cable.conductor else [1, 2, 5]
    coated = {"yes": [True], "no": [False]}.get(cable.tinned, [False, True])
    if cable.section.known:
        found = [
            float(highest_resistance(cable.section.si, number, tin))
            for number in classes
            for tin in coated
        ]
        known = [one for one in found if not math.isnan(one)]
        note = ""
        if known and (not cable.conductor or not cable.tinned):
            note = "class of the conductor or tin not stated: the highest of IEC 60228 is taken"
        return max(known, default=math.nan), nominal, note
    if cable.gauge.known:
        stranded, tinned = cable.conductor != "solid", cable.tinned != "no"
        highest = float(highest_awg_resistance(cable.gauge.si, stranded, tinned))
        stated = cable.conductor and cable.tinned
        note = "" if stated else "lay or tin not stated: both are allowed for by ASTM B258"
        return highest, nominal, note
    return math.nan, math.nan, ""


def _or(first: float, second: float) -> float:
    return second if math.isnan(first) else first


def _nominal(cable: CableType) -> float:
    if cable.section.known:
        return float(nominal_resistance(cable.section.si))
    if cable.gauge.known:
        return float(nominal_resistance(awg_area(cable.gauge.si)))
    return math.nan


def _least(cable: CableType) -> float:
    """Least loop resistance at 20 degC [ohm/m]; nothing known is no ohms."""
    if cable.R_loop.known:
        return cable.R_loop.si
    return 2.0 * cable.R_core.si if cable.R_core.known else 0.0


def _temperatures(run: Run, loop: Loop) -> tuple[Spread, str]:
    stated = loop.own.spread("conductor temperature")
    if not math.isnan(stated.high):
        low = -273.0 if math.isnan(stated.low) else stated.low
        return Spread(low, 20.0, stated.high), ""
    place = run.area or loop.circuit.area
    area = loop.context.areas.get(place)
    if place == SAFE_AREA or area is None or not area.ambient.known:
        return UNKNOWN_SPREAD, ""
    return Spread(area.ambient.low, 20.0, area.ambient.high), (
        f"conductors of {run.number or run.cable or 'a run'} are taken at the ambient of {place}"
    )


def run_ohms(run: Run, loop: Loop) -> tuple[Spread, tuple[str, ...]]:
    """Loop resistance of a run, cold, nominal and hot [ohm], and what was assumed.

    The greatest: highest resistance of the cores at the hottest conductor. The nominal: nominal
    copper at 20 degC. The least: what a data sheet gives as the least, cold; else none.
    """
    cable = loop.context.cables.get(run.cable)
    length, cores = run.length.si, 1 if run.parallel is None else run.parallel
    if length == 0.0:
        return Spread(0.0, 0.0, 0.0), ()
    if cable is None or cores < 1:
        return UNKNOWN_SPREAD, ()
    temperature, where = _temperatures(run, loop)
    each = 2.0 * length / cores
    cold, nominal, hottest, note = _per_metre(cable, temperature, loop.context)
    hot = hottest * each
    least = 0.0 if math.isnan(cold) else cold * length / cores
    notes = tuple(one for one in (f"cable {cable.name}: {note}" if note else "", where) if one)
    return Spread(least, nominal * each, hot), notes


def _per_metre(
    cable: CableType, temperature: Spread, context: Context
) -> tuple[float, float, float, str]:
    """Ohms of a metre: least of the loop when cold, nominal and highest of a core when hot.

    Worked out once for all runs of a cable at the same temperatures.
    """
    key = ("ohms", cable.name, same(temperature[:3]))
    found: tuple[float, float, float, str] | None = context.known.get(key)
    if found is None:
        highest, nominal, note = core_ohms(cable)
        hot = float(resistance_at(np.float64(highest), np.float64(temperature.high)))
        cold = float(resistance_at(np.float64(_least(cable)), np.float64(temperature.low)))
        found = context.known[key] = (cold, nominal, hot, note)
    return found


def _run_farads(run: Run, loop: Loop) -> Spread:
    row = run_case(run, loop.circuit, loop.context, earthed=True).row
    farads = row.C * row.length if row.length > 0.0 or math.isnan(row.length) else 0.0
    return Spread(0.0, farads, farads)


def line_of(loop: Loop, runs: Sequence[Run] | None = None) -> Line:
    """Runs in a row, those of the whole circuit by default."""
    chosen = runs_of(loop.circuit) if runs is None else tuple(runs)
    parts, notes = [], []
    for run in chosen:
        ohms, told = run_ohms(run, loop)
        parts.append((run, ohms))
        notes += [note for note in told if note not in notes]
    farads = total([_run_farads(run, loop) for run in chosen])
    return Line(total([ohms for _, ohms in parts]), farads, tuple(parts), tuple(notes))
