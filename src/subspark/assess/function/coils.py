"""Valve circuits as rows: solenoid valves in parallel, line, driver or barrier with its supply."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np

from subspark.assess.function.cases import Figure, FunctionCase, Staircase, builder
from subspark.assess.function.driving import (
    NAN,
    NONE,
    NOT_STATED,
    air,
    at_least,
    at_most,
    descend,
    driver_figures,
    stated,
)
from subspark.assess.function.engine import block_columns
from subspark.assess.function.facts import Facts, Item, Loop
from subspark.assess.function.inputs import with_series
from subspark.assess.function.line import Line, line_of, total
from subspark.physics.conductors import resistance_at
from subspark.quantity import Spread
from subspark.rules.function.coils import coil_current, hot_coil

__all__ = ["valves"]

UNKNOWN = Spread(NAN, NAN, NAN)
_DRIVERS = frozenset({"output driver", "shunt-diode barrier"})


class _Beside(NamedTuple):
    """Coils in parallel: ohms together, diodes, current of boosters; with their hungriest end."""

    R: Spread
    V: Spread
    I: Spread  # noqa: E741 - the symbol of current


def _boosted(facts: Facts) -> bool:
    return bool(facts.rows("charge current"))


def _beside(others: Sequence[Item], boosted: bool, loop: Loop) -> _Beside:
    """The valves in parallel with one; of plain coils among boosters nothing is known."""
    none = Spread(math.inf, math.inf, math.inf)
    if any(_boosted(one.facts) is not boosted for one in others):
        return _Beside(UNKNOWN, UNKNOWN, UNKNOWN)
    if boosted:
        charges = [at_least(one.facts.spread("charge current")) for one in others]
        return _Beside(none, NONE, total(charges))
    if not others:
        return _Beside(none, NONE, NONE)
    siemens, volts = 0.0, math.inf
    for one in others:
        cold = float(resistance_at(one.facts.spread("coil resistance").low, air(one, loop)[1]))
        siemens += 1.0 / cold if cold > 0.0 else NAN
        volts = float(np.minimum(volts, one.facts.spread("bridge voltage").low))
    ohms = 1.0 / siemens
    return _Beside(Spread(ohms, ohms, ohms), Spread(volts, volts, volts), NONE)


def _warming(facts: Facts) -> dict[str, Figure]:
    """Self-heating, fixed or by the coil's own power; the latter where it is given."""
    if facts.rows("coil thermal resistance"):
        return {
            "by_power": 1.0,
            "thermal": facts.spread("coil thermal resistance"),
            "heating": NONE,
        }
    stated_here = bool(facts.rows("self-heating"))
    return {
        "by_power": 0.0 if stated_here else NAN,
        "thermal": NONE,
        "heating": facts.spread("self-heating"),
    }


def _criteria(facts: Facts) -> dict[str, Figure]:
    """What the valve asks, by current or volts; unknown where it asks by neither.

    Who pulls in holds: a hold current that is not given is not asked for.
    """
    pull = {
        "pull_in": stated(facts, "pull-in current"),
        "pull_volts": stated(facts, "pull-in voltage"),
        "pull_20": stated(facts, "pull-in voltage at 20 °C"),
    }
    if all(one is NOT_STATED for one in pull.values()):
        pull = dict.fromkeys(pull, UNKNOWN)
    if _boosted(facts) and pull["pull_volts"] is NOT_STATED:
        pull["pull_volts"] = UNKNOWN
    return {
        **pull,
        "hold": stated(facts, "hold current"),
        "drop_out": at_most(facts.spread("drop-out current")),
    }


def _valve(device: Item, others: Sequence[Item], loop: Loop) -> dict[str, Figure]:
    facts = device.facts
    boosted = _boosted(facts)
    beside = _beside(others, boosted, loop)
    hot, cold = air(device, loop)
    return {
        "R20": facts.spread("coil resistance"),
        "bridge": facts.spread("bridge voltage"),
        **_warming(facts),
        **_criteria(facts),
        "boosted": float(boosted),
        "charge": at_least(facts.spread("charge current")) if boosted else NONE,
        "charge_time": at_most(facts.spread("charge time")) if boosted else NONE,
        "others_R": beside.R,
        "others_V": beside.V,
        "others_I": beside.I,
        "hot_air": hot,
        "cold_air": cold,
        "cycle": at_least(loop.own.spread("cycle time")) if boosted else NONE,
    }


@builder
def valves(loop: Loop) -> Iterator[FunctionCase]:
    """One case for each solenoid valve; several on one driver stand in parallel."""
    source, devices = loop.source, loop.of_role("solenoid valve")
    if source is None or not devices or source.role not in _DRIVERS:
        return
    if loop.roles - {"solenoid valve", "series element"}:
        return
    line = line_of(loop)
    series, labels = with_series(loop)
    shared = {**driver_figures(source, loop.own), "line": total([line.ohms, series])}
    for device in devices:
        others = [one for one in devices if one is not device]
        yield _case(loop, source, device, line, labels, {**shared, **_valve(device, others, loop)})


def _case(
    loop: Loop,
    source: Item,
    device: Item,
    line: Line,
    labels: list[tuple[str, float]],
    values: dict[str, Figure],
) -> FunctionCase:
    case = FunctionCase(
        kind="valve circuit",
        of=device.label,
        values=values,
        notes=(*loop.own.notes, *source.facts.notes, *device.facts.notes, *line.notes),
    )
    return FunctionCase(
        kind=case.kind,
        of=case.of,
        values=values,
        notes=case.notes,
        stairs=lambda _: _stairs(source, device, line, labels, case),
    )


def _stairs(
    source: Item,
    device: Item,
    line: Line,
    labels: list[tuple[str, float]],
    case: FunctionCase,
) -> Staircase:
    """Volts at the current of the hot coils: what is left against what the valve needs there."""
    values = case.values

    def high(name: str) -> float:
        held = values[name]
        return held.high if isinstance(held, Spread) else NAN

    if values["boosted"] == 1.0:
        flows, needed = high("charge") + high("others_I"), high("pull_volts")
    else:
        flows, needed = _hot(case)
    return descend(
        source,
        values,
        line,
        flows,
        title=f"Volts to {device.label}",
        needed=needed,
        more=labels,
    )


def _hot(case: FunctionCase) -> tuple[float, float]:
    """Current of all coils with this one hot [A], and the volts that this one needs then."""
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        c = block_columns(case.kind, [case])
        ohms = hot_coil(c)
        mine = coil_current(c, ohms, c.bridge.high)
        volts = c.bridge.high + mine * ohms
        beside = np.maximum(volts - c.others_V.low, 0.0) / c.others_R.low
        wants = [
            float(one)
            for one in (
                c.bridge.high[0] + c.pull_in.high[0] * ohms[0],
                c.pull_volts.high[0],
                c.bridge.high[0] + (c.pull_20.high[0] - c.bridge.low[0]) / c.R20.low[0] * ohms[0],
            )
            if not np.isneginf(one)
        ]
    return float((mine + beside)[0]), max(wants, default=NAN)
