"""Resistance thermometers and potentiometers as rows."""

from __future__ import annotations

import math
from collections.abc import Iterator

from subspark.assess.function.cases import Figure, FunctionCase, Staircase, builder
from subspark.assess.function.driving import NAN, at_least, at_most, cabinet
from subspark.assess.function.engine import block_columns
from subspark.assess.function.facts import Item, Loop
from subspark.assess.function.sensing import (
    Leads,
    alone,
    budget_of,
    facts_of,
    first,
    first_word,
    half,
    held,
    if_stated,
    leads_of,
    number,
    of_barrier,
    role_of,
    staircase,
)
from subspark.physics.thermometry import CURVES
from subspark.quantity import TEMPERATURE, show
from subspark.rules.function.thermometers import errors_at

__all__ = ["potentiometer", "resistance_thermometer"]

_CODES = {name: float(code) for code, name in enumerate(CURVES)}


@builder
def resistance_thermometer(loop: Loop) -> Iterator[FunctionCase]:
    """One case for the one resistance thermometer of a circuit."""
    source, device = loop.source, alone(loop, "resistance thermometer")
    if source is None or device is None:
        return
    own, facts, of_input = loop.own, facts_of(loop, device), source.facts
    leads = leads_of(loop)
    hot, cold = cabinet(source)
    measured = first("measured temperature", own, facts)
    values: dict[str, Figure] = {
        "barrier": role_of(source, "resistance input"),
        "channel": of_barrier(source, "channel resistance"),
        "mismatch": at_most(of_barrier(source, "channel mismatch")),
        "working": at_least(of_barrier(source, "working voltage")),
        "leakage": at_most(of_barrier(source, "leakage current")),
        "excitation": of_input.spread("excitation current"),
        "skew": at_most(of_input.spread("current mismatch")),
        "bias": at_most(of_input.spread("bias current")),
        "leg_limit": at_most(of_input.spread("highest lead resistance")),
        "volts": at_least(of_input.spread("open-circuit voltage")),
        "hot": hot,
        "cold": cold,
        "wires": number(first_word("wires", own, facts)),
        "lead_mismatch": at_most(own.spread("lead mismatch")),
        "taken_off": if_stated(own, "compensated resistance"),
        "budget": budget_of("error budget", own, facts),
        "coldest": measured.low,
        "hottest": measured.high,
        "curve": _CODES.get(facts.word("element"), NAN),
        "R0": facts.spread("resistance at 0 °C"),
        "lead": half(leads.ohms),
    }
    yield FunctionCase(
        kind="resistance thermometer",
        of=device.label,
        values=values,
        notes=(*own.notes, *of_input.notes, *facts.notes, *leads.notes),
        stairs=lambda _: _kelvins(device, values),
    )


def _kelvins(device: Item, values: dict[str, Figure]) -> Staircase:
    """The budget of error, and what every part takes of it, where the sum is greatest."""
    case = FunctionCase("resistance thermometer", device.label, values)
    columns = block_columns(case.kind, [case])
    told = []
    for t in (columns.coldest, columns.hottest):
        parts = errors_at(columns, t)
        each = [(name, -float(part.reshape(-1)[0])) for name, part in parts.items()]
        told.append((float(t[0]), [one for one in each if one[1] != 0.0]))
    t, each = min(told, key=lambda one: sum(change for _, change in one[1]))
    return staircase(
        [("error budget", held(values, "budget").low), *each],
        title=f"Error of {device.label}",
        unit="K",
        at="" if math.isnan(t) else show(t, TEMPERATURE, 4),
        needed=0.0,
    )


@builder
def potentiometer(loop: Loop) -> Iterator[FunctionCase]:
    """One case for the one potentiometer of a circuit."""
    source, device = loop.source, alone(loop, "potentiometer")
    if source is None or device is None:
        return
    own, facts, of_input = loop.own, facts_of(loop, device), source.facts
    leads = leads_of(loop)
    values: dict[str, Figure] = {
        "channel": of_barrier(source, "channel resistance"),
        "leg_limit": at_most(of_input.spread("highest lead resistance")),
        "least": at_least(of_input.spread("lowest load")),
        "most": at_most(of_input.spread("highest load")),
        "wires": number(first_word("wires", own, facts)),
        "taken_off": if_stated(own, "compensated resistance"),
        "budget": budget_of("error budget share", own, facts),
        "track": facts.spread("track resistance"),
        "lead": half(leads.ohms),
    }
    yield FunctionCase(
        kind="potentiometer",
        of=device.label,
        values=values,
        notes=(*own.notes, *of_input.notes, *facts.notes, *leads.notes),
        stairs=lambda _: _ohms(device, source, leads, values),
    )


def _ohms(device: Item, source: Item, leads: Leads, values: dict[str, Figure]) -> Staircase:
    """Ohms that a leg may have, and what every run and the barrier take of them."""
    parts = [("highest lead resistance", held(values, "leg_limit").low)]
    parts += [(label, -half(ohms).high) for label, ohms in leads.parts]
    channel = held(values, "channel").high
    if channel != 0.0:
        parts.append((f"channel of {source.label}", -channel))
    return staircase(parts, title=f"Ohms of a leg of {device.label}", unit="ohm", at="", needed=0.0)
