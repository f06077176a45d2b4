"""Thermocouples as rows: the ohms of the pair that each run is made of."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from subspark.assess.function.cases import Figure, FunctionCase, Staircase, builder
from subspark.assess.function.driving import NAN, NONE, at_most, cabinet
from subspark.assess.function.engine import block_columns
from subspark.assess.function.facts import Facts, Item, Loop
from subspark.assess.function.line import run_ohms, total
from subspark.assess.function.sensing import (
    alone,
    budget_of,
    facts_of,
    first,
    held,
    if_stated,
    of_barrier,
    role_of,
    staircase,
)
from subspark.assess.members import runs_of
from subspark.model import Run
from subspark.physics.conductors import awg_area
from subspark.physics.thermometry import LEADS, THERMOCOUPLES, code_of
from subspark.physics.thermometry import thermocouple_loop_resistance as loop_resistance
from subspark.quantity import UNKNOWN_SPREAD, Spread
from subspark.rules.function.thermocouples import errors

__all__ = ["lead_ohms", "thermocouple"]

_CODES = {name: float(code) for code, name in enumerate(THERMOCOUPLES)}
_SURE = ("E", "J", "K", "N", "R", "S", "T", "EX", "JX", "KX", "NX", "TX")
"""Pairs whose resistivity is known well enough to stand in for a data sheet."""

ALLOWANCE = 1.1
"""What the ohms of a pair may be above the nominal of its alloys; common practice, no source."""


class _Lead(NamedTuple):
    label: str
    ohms: Spread
    notes: tuple[str, ...]


def _in_series(item: Item) -> _Lead:
    ohms = item.facts.spread("series resistance")
    return _Lead(item.label, ohms, tuple(item.facts.notes))


def _lead(run: Run, loop: Loop, pair: str) -> _Lead:
    """Both legs of a run: by the data sheet of its cable, else by the alloys of its pair."""
    cable = loop.context.cables.get(run.cable)
    cores = 1 if run.parallel is None else run.parallel
    label = f"run {run.number or run.cable or 'of cable'}"
    if run.length.si == 0.0:
        return _Lead(label, NONE, ())
    if cable is None or cores < 1:
        return _Lead(label, UNKNOWN_SPREAD, ())
    if cable.R_loop_max.known or cable.R_core_max.known:
        ohms, notes = run_ohms(run, loop)
        return _Lead(label, Spread(ohms.low, ohms.high, ohms.high), notes)
    said = Facts((loop.circuit.function,), part=run.number).word("lead pair")
    made_of = said or pair
    if made_of not in _SURE:
        return _Lead(label, UNKNOWN_SPREAD, ())
    area = cable.section.si if cable.section.known else float(awg_area(cable.gauge.si))
    nominal = float(loop_resistance(code_of(made_of, LEADS), area, run.length.si)) / cores
    name = run.number or run.cable
    notes = () if said else (f"{name} is taken for a cable of the alloys of type {pair}",)
    allowed = f"{name}: resistivity of the alloys from memory, 10 % more is allowed for"
    return _Lead(label, Spread(0.0, nominal, ALLOWANCE * nominal), (*notes, allowed))


def lead_ohms(run: Run, loop: Loop, pair: str) -> Spread:
    """Ohms of both legs of a run to a thermocouple of that letter, at 20 degC or hotter."""
    return _lead(run, loop, pair).ohms


@builder
def thermocouple(loop: Loop) -> Iterator[FunctionCase]:
    """One case for the one thermocouple of a circuit."""
    source, device = loop.source, alone(loop, "thermocouple")
    if source is None or device is None:
        return
    own, facts, of_input = loop.own, facts_of(loop, device), source.facts
    pair = facts.word("thermocouple type")
    leads = [_lead(run, loop, pair) for run in runs_of(loop.circuit)]
    leads += [_in_series(one) for one in loop.of_role("series element")]
    hot, cold = cabinet(source)
    measured = first("measured temperature", own, facts)
    barrier = source.role == "shunt-diode barrier"
    joint = own.spread("joint difference") if barrier else if_stated(own, "joint difference")
    known = not math.isnan(role_of(source, "thermocouple input"))
    values: dict[str, Figure] = {
        "channel": of_barrier(source, "channel resistance") if known else UNKNOWN_SPREAD,
        "bias": at_most(of_input.spread("bias current")),
        "loop_limit": at_most(of_input.spread("highest loop resistance")),
        "joint": _kelvins_of(at_most(joint)),
        "hot": hot,
        "cold": cold,
        "budget": budget_of("error budget", own, facts),
        "coldest": measured.low,
        "hottest": measured.high,
        "pair": _CODES.get(pair, NAN),
        "sensor": facts.spread("series resistance"),
        "lead": total([one.ohms for one in leads]),
    }
    told = dict.fromkeys(note for one in leads for note in one.notes)
    yield FunctionCase(
        kind="thermocouple",
        of=device.label,
        values=values,
        notes=(*own.notes, *of_input.notes, *facts.notes, *told),
        stairs=lambda _: _kelvins(device, leads, values),
    )


def _kelvins_of(joint: Spread) -> Spread:
    """Whichever way the terminals differ."""
    most = max(abs(joint.low), abs(joint.high)) if not math.isnan(joint.low) else joint.high
    return Spread(0.0, abs(joint.nominal), most)


def _kelvins(device: Item, leads: list[_Lead], values: dict[str, Figure]) -> Staircase:
    """The budget of error, and what every run, sensor, barrier and joint take of it."""
    case = FunctionCase("thermocouple", device.label, values)
    found = errors(block_columns(case.kind, [case]))
    parts = [("error budget", held(values, "budget").low)]
    cable, ohms = _one(found.pop("cable")), held(values, "lead").high
    for label, each, _ in leads:
        parts.append((label, -cable * (each.high / ohms if ohms > 0.0 else 0.0)))
    parts += [(name, -_one(error)) for name, error in found.items() if _one(error) != 0.0]
    return staircase(
        parts, title=f"Error of {device.label}", unit="K", at=_range(values), needed=0.0
    )


def _one(value: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> float:
    return float(value.reshape(-1)[0])


def _range(values: dict[str, Figure]) -> str:
    low, high = values["coldest"], values["hottest"]
    if not isinstance(low, float) or not isinstance(high, float) or math.isnan(low + high):
        return ""
    return f"the least of its volts per kelvin between {low:.4g} and {high:.4g} °C"
