"""Devices with supply wires of their own as rows: supply, shared core, signal."""

# ruff: noqa: E741 - I is the trade's symbol of a current
from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial

from subspark.assess.function.cases import Figure, FunctionCase, Staircase, builder
from subspark.assess.function.driving import NAN, NONE, at_least, at_most
from subspark.assess.function.facts import Facts, Item, Loop
from subspark.assess.function.feeding import (
    BARRIER,
    Series,
    exactly,
    fed_line,
    feed_figures,
    figure,
    line_figures,
    plain,
    staircase,
)
from subspark.assess.function.line import Line
from subspark.physics.loops import power_load_voltage
from subspark.quantity import Spread
from subspark.rules.function.powered import NO_SIGNAL, SIGNAL_CURRENT, SIGNAL_VOLTAGE

__all__ = ["powered"]

ROLES = frozenset({"powered transmitter", "series element", ""})
SOURCES = frozenset({BARRIER, "repeater supply", "output driver", ""})
_WIRES = {"2": 2.0, "3": 3.0, "4": 4.0}


def _sort(facts: Facts, wires: float) -> float:
    """Whether the signal is a current, a voltage, or leaves by another circuit; NaN: not said."""
    if facts.rows("signal voltage"):
        return SIGNAL_VOLTAGE
    if facts.rows("high alarm current") or facts.rows("highest load"):
        return SIGNAL_CURRENT
    return NAN if wires == _WIRES["3"] or math.isnan(wires) else NO_SIGNAL


def _device_figures(facts: Facts) -> dict[str, Figure]:
    """Columns of the device; what its signal is not asks nothing."""
    wires = _WIRES.get(facts.word("wires"), NAN)
    sort = _sort(facts, wires)
    by_power = bool(facts.rows("power")) and not facts.rows("supply current")
    is_current, is_voltage = sort == SIGNAL_CURRENT, sort == SIGNAL_VOLTAGE

    def where(asked: bool, what: Spread) -> Spread:
        return what if asked else NONE

    return {
        "wires": wires,
        "sort": sort,
        "by_power": float(by_power),
        "P": where(by_power, at_most(facts.spread("power"))),
        "I_run": where(not by_power, at_most(facts.spread("supply current"))),
        "charge": _where_stated(facts, "charge current"),
        "I_start": _where_stated(facts, "start current"),
        "U_least": at_least(facts.spread("lowest supply voltage")),
        "bearable": exactly(facts.spread("highest operating voltage")),
        "I_signal": where(is_current, exactly(facts.spread("high alarm current"))),
        "most_signal": where(is_current, exactly(facts.spread("highest load"))),
        "signal": where(is_voltage, facts.spread("signal voltage")),
    }


def _where_stated(facts: Facts, what: str) -> Spread:
    return at_most(facts.spread(what)) if facts.rows(what) else NONE  # type: ignore[arg-type]


def _supply(source: Item, loop: Loop, notes: list[str]) -> dict[str, Figure]:
    """Columns of the feed: the load of the signal is none of the supply's."""
    values = feed_figures(source, loop, notes)
    facts, barrier = source.facts, source.role == BARRIER
    channel = NONE
    if barrier and facts.rows("signal resistance"):
        channel = facts.spread("signal resistance")
    return {
        **values,
        "load": NONE,
        "in_return": 0.0,
        "card": NONE,
        "compliance": NONE,
        "channel": channel,
    }


@builder
def powered(loop: Loop) -> Iterator[FunctionCase]:
    """One case for the one device with supply wires of a circuit."""
    devices, source = loop.of_role("powered transmitter"), loop.source
    if len(devices) != 1 or source is None:
        return
    if loop.roles - ROLES or source.role not in SOURCES:
        return
    (device,) = devices
    facts, own = device.facts, loop.own
    notes: list[str] = []
    line, series = fed_line(loop)
    figures = _device_figures(facts)
    asked = figures["sort"] != NO_SIGNAL
    values: dict[str, Figure] = {
        **_supply(source, loop, notes),
        **line_figures(line, series),
        **figures,
        "signal_load": own.spread("load resistance") if asked else NONE,
        "budget": exactly(own.spread("error budget share")),
    }
    if figures["by_power"] == 1.0:
        notes.append(f"{device.label} is taken to draw constant power at any voltage")
    if not asked:
        notes.append(f"the signal of {device.label} leaves by another circuit")
    yield FunctionCase(
        kind="powered circuit",
        of=device.label,
        values=values,
        notes=(*own.notes, *source.facts.notes, *facts.notes, *line.notes, *notes),
        stairs=partial(_stairs, source, device.label, line, series, values),
        lacks=series.lacks,
    )


def _stairs(
    source: Item, label: str, line: Line, series: Series, values: dict[str, Figure], at: float
) -> Staircase:
    """The voltage budget at a current; at that of its work where the worst rule names none."""
    if math.isnan(at) and plain(values, "by_power") > 0.0:
        return _at_power(source, label, line, series, values)
    needed = figure(values, "U_least").high + figure(values, "margin").high
    I = figure(values, "I_run").high if math.isnan(at) else at
    shared = 0.0
    if plain(values, "wires") == _WIRES["3"] and plain(values, "sort") == SIGNAL_CURRENT:
        core = figure(values, "line").high / 2.0
        core += figure(values, "back").high + figure(values, "common").high
        shared = -figure(values, "I_signal").high * core
    return staircase(
        source,
        line,
        series,
        values,
        I,
        title=f"Volts to {label}",
        needed=needed,
        more=[("current of the signal in the shared core", shared)],
    )


def _at_power(
    source: Item, label: str, line: Line, series: Series, values: dict[str, Figure]
) -> Staircase:
    """The voltage budget of a load of constant power, where its volts settle."""
    P, needed = figure(values, "P").high, figure(values, "U_least").high
    first = P / (needed + figure(values, "margin").high)
    at_first, at_half = (
        _stairs(source, label, line, series, values, I) for I in (first, 0.5 * first)
    )
    ohms = 2.0 * (at_half.left - at_first.left) / first
    settled = float(power_load_voltage(at_first.left + ohms * first, ohms, P))
    tabled = plain(values, "tabled") > 0.0
    if tabled or math.isnan(settled):
        return at_first
    return _stairs(source, label, line, series, values, P / settled)
