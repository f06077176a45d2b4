"""Signals on a line as rows: coil pick-ups, and devices of two-wire serial lines."""

from __future__ import annotations

import math
from collections.abc import Iterator

from subspark.assess.function.cases import Figure, FunctionCase, Staircase, builder
from subspark.assess.function.driving import (
    NAN,
    NONE,
    air,
    at_least,
    at_most,
    cabinet,
    stack,
    unbounded,
)
from subspark.assess.function.facts import Facts, Item, Loop
from subspark.assess.function.inputs import of_standard, with_series
from subspark.assess.function.line import Line, line_of, total
from subspark.physics.conductors import resistance_at
from subspark.quantity import VOLTAGE as VOLTS
from subspark.quantity import Spread, show
from subspark.rules.function.lines import UNIT_LOAD

__all__ = ["pick_up", "serial_line"]

UNKNOWN = Spread(NAN, NAN, NAN)
_TWO_LEGS = 2.0


def _legs(source: Item) -> Spread:
    """Both legs in series with a serial line [ohm].

    A coupler that states none guarantees its voltage at its terminals.
    """
    if source.role == "serial coupler" and not source.facts.rows("channel resistance"):
        return NONE
    low, nominal, high = source.facts.spread("channel resistance")[:3]
    return Spread(_TWO_LEGS * low, _TWO_LEGS * nominal, _TWO_LEGS * high)


def _through(source: Item) -> Spread:
    """Ohms through a barrier that a signal passes: its channel, and a return channel if any."""
    if source.role != "shunt-diode barrier":
        return NONE
    facts = source.facts
    ohms = [facts.spread("end-to-end resistance")]
    if facts.rows("return resistance"):
        ohms.append(facts.spread("return resistance"))
    return total(ohms)


def _plain(values: dict[str, Figure], name: str) -> Spread:
    held = values[name]
    return held if isinstance(held, Spread) else UNKNOWN


@builder
def pick_up(loop: Loop) -> Iterator[FunctionCase]:
    """One case for the one coil pick-up of a circuit."""
    source, devices = loop.source, loop.of_role("coil pick-up")
    if source is None or len(devices) != 1:
        return
    if source.role not in ("pulse input", "shunt-diode barrier"):
        return
    if loop.roles - {"coil pick-up", "series element"}:
        return
    (device,) = devices
    facts, line = device.facts, line_of(loop)
    series, labels = with_series(loop)
    barrier = source.role == "shunt-diode barrier"
    own = loop.own if loop.own.rows("highest frequency") else facts
    values: dict[str, Figure] = {
        "barrier": float(barrier),
        "channel": _through(source),
        "working": at_least(source.facts.spread("working voltage")) if barrier else NONE,
        "threshold": at_least(source.facts.spread("input threshold")),
        "input_R": unbounded(source.facts.spread("input resistance")),
        "rate": unbounded(Facts((source.kind.function,)).spread("highest frequency")),
        "signal": unbounded(facts.spread("coil voltage")),
        "peak": facts.spread("signal voltage"),
        "R20": facts.spread("coil resistance"),
        "L": facts.spread("coil inductance"),
        "hot_air": air(device, loop)[0],
        "cold": cabinet(source)[1] if barrier else 20.0,
        "frequency": at_most(own.spread("highest frequency")),
        "line": total([line.ohms, series]),
        "C_line": line.farads,
    }
    yield FunctionCase(
        kind="pick-up circuit",
        of=device.label,
        values=values,
        notes=(*loop.own.notes, *source.facts.notes, *facts.notes, *line.notes),
        stairs=lambda _: _pick_up_stairs(source, device, line, labels, values),
    )


def _pick_up_stairs(
    source: Item,
    device: Item,
    line: Line,
    labels: list[tuple[str, float]],
    values: dict[str, Figure],
) -> Staircase:
    """Volts of the signal at its lowest speed, and what is lost on the way to the input."""
    hot = values["hot_air"]
    around = hot if isinstance(hot, float) else NAN
    coil = float(resistance_at(_plain(values, "R20").high, around))
    barrier, input_R = _plain(values, "channel").high, _plain(values, "input_R").low
    signal = _plain(values, "signal").low
    flows = signal / (input_R + coil + _plain(values, "line").high + barrier)
    parts = [(f"{device.label} at the lowest speed", signal), ("its coil, hot", -flows * coil)]
    for run, ohms in line.runs:
        parts.append((f"run {run.number or run.cable or 'of cable'}", -flows * ohms.high))
    parts += [(label, -flows * ohms) for label, ohms in labels]
    if barrier > 0.0:
        parts.append((f"resistance of {source.label}", -flows * barrier))
    return stack(
        parts,
        title="Volts at the input",
        at=f"{show(signal, VOLTS, 3)} peak",
        needed=_plain(values, "threshold").high,
    )


def _terminations(loop: Loop) -> Spread:
    """Termination at the far end: the circuit's own, or that of the one device that has one."""
    if loop.own.rows("termination"):
        return unbounded(loop.own.spread("termination"))
    found = [
        one.facts.spread("termination")
        for one in loop.of_role("serial device")
        if one.facts.rows("termination")
    ]
    return unbounded(found[0]) if len(found) == 1 else UNKNOWN


def _serial_source(source: Item, loop: Loop, notes: list[str]) -> dict[str, Figure]:
    """Figures of the coupler; behind a barrier those of the host, which the circuit states."""
    facts, far = source.facts, _terminations(loop)
    only = Facts((source.kind.function,), source.label)
    if source.role == "shunt-diode barrier":
        only = loop.own
        notes.append("the line is taken as terminated alike at both ends")
    return {
        "drive": at_least(facts.spread("differential voltage")),
        "load": at_least(of_standard(facts, "lowest load", "serial driver load", notes)),
        "threshold": at_least(
            of_standard(facts, "input threshold", "serial receiver threshold", notes)
        ),
        "near": unbounded(only.spread("termination")) if only is not loop.own else far,
        "own_load": at_most(only.spread("unit load")),
        "channel": _legs(source),
        "far": far,
    }


@builder
def serial_line(loop: Loop) -> Iterator[FunctionCase]:
    """One case for each device of a serial line."""
    source, devices = loop.source, loop.of_role("serial device")
    if source is None or not devices:
        return
    if source.role not in ("serial coupler", "shunt-diode barrier"):
        return
    if loop.roles - {"serial device", "series element"}:
        return
    line = line_of(loop)
    series, labels = with_series(loop)
    common: list[str] = []
    loads = total([at_most(one.facts.spread("unit load")) for one in devices])
    shared = {
        **_serial_source(source, loop, common),
        "loads": loads,
        "line": total([line.ohms, series]),
    }
    for device in devices:
        facts, notes = device.facts, list(common)
        values = {
            **shared,
            "device_drive": at_least(facts.spread("differential voltage")),
            "device_load": at_least(of_standard(facts, "lowest load", "serial driver load", notes)),
            "device_threshold": at_least(
                of_standard(facts, "input threshold", "serial receiver threshold", notes)
            ),
        }
        yield _serial_case(loop, source, device, line, labels, values, notes)


def _serial_case(
    loop: Loop,
    source: Item,
    device: Item,
    line: Line,
    labels: list[tuple[str, float]],
    values: dict[str, Figure],
    notes: list[str],
) -> FunctionCase:
    return FunctionCase(
        kind="serial line",
        of=device.label,
        values=values,
        notes=(
            *(*loop.own.notes, *source.facts.notes, *device.facts.notes),
            *(*line.notes, *notes),
        ),
        stairs=lambda _: _serial_stairs(source, device, line, labels, values),
    )


def _serial_stairs(
    source: Item,
    device: Item,
    line: Line,
    labels: list[tuple[str, float]],
    values: dict[str, Figure],
) -> Staircase:
    """Differential volts from the coupler to the device, every unit load at the far end."""
    far, loads = _plain(values, "far").low, _plain(values, "loads").high
    siemens = (1.0 / far if far > 0.0 else NAN) + loads / UNIT_LOAD
    end = 1.0 / siemens if siemens > 0.0 else math.inf
    drive, barrier = _plain(values, "drive").low, _plain(values, "channel").high
    flows = drive / (end + _plain(values, "line").high + barrier)
    parts = [(f"{source.label}, differential", drive)]
    if barrier > 0.0:
        parts.append((f"resistance of {source.label}", -flows * barrier))
    for run, ohms in line.runs:
        parts.append((f"run {run.number or run.cable or 'of cable'}", -flows * ohms.high))
    parts += [(label, -flows * ohms) for label, ohms in labels]
    return stack(
        parts,
        title=f"Volts at {device.label}",
        at=f"{show(drive, VOLTS, 3)} differential",
        needed=_plain(values, "device_threshold").high,
    )
