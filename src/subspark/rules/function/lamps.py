"""Lamps, sounders and beacons: seen or heard when on, dark or silent when off."""

# ruff: noqa: E741 - I is the trade's symbol of a current
from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from subspark.rules.bound import Bound
from subspark.rules.columns import NOTHING, Floats
from subspark.rules.function.columns import Table, Triple, column, interpolate
from subspark.rules.function.driving import (
    Driven,
    barrier_rules,
    last_current,
    off_current,
    volts_left,
)
from subspark.rules.function.levels import level
from subspark.rules.function.registry import function_rule, kind

__all__ = ["Lamp", "Sounder", "forward"]

PER_JUNCTION = level("junction voltage per kelvin").nominal
"""Rise of the forward voltage of one junction for each kelvin that it is colder [V/K]."""


@kind("lamp circuit", "A lamp of light-emitting diodes on a driver.")
@dataclass(frozen=True, slots=True, kw_only=True)
class Lamp(Driven):
    """Columns of lamp circuits; volts, amperes, ohms, degC.

    ``forward`` holds at 20 degC; with no ``junctions`` it is taken to hold at every temperature.
    """

    forward: Table = column("device", "forward voltage of the lamp")
    junctions: Triple = column("device", "junctions of the lamp")
    series: Triple = column("device", "series resistance of the lamp")
    visible: Triple = column("device", "visible current of the lamp")
    glow: Triple = column("device", "glow current of the lamp")
    hot_air: Floats = column("circuit", "highest ambient of the lamp")
    cold_air: Floats = column("circuit", "lowest ambient of the lamp")


def forward(c: Lamp, I: Floats, *, most: bool) -> Floats:
    """Forward voltage of the lamp at a current [V]: cold and high, or hot and low."""
    table = c.forward.high if most else c.forward.low
    count = c.junctions.high
    colder = np.where(count == 0.0, 0.0, 20.0 - (c.cold_air if most else c.hot_air))
    shift = PER_JUNCTION * count * (np.maximum(colder, 0.0) if most else np.minimum(colder, 0.0))
    out: Floats = interpolate(c.forward.at, table, I) + shift
    return out


_DRIVE = (
    *("barrier", "open_voltage", "inner", "curve", "limit", "supply", "drop", "end_to_end"),
    "line",
)


@function_rule(
    "visible",
    Lamp,
    says="At the current from which it is seen the cold lamp is left the volts that it needs.",
    relation="forward voltage when cold <= volts left at the visible current",
    unit="V",
    cites="data sheets of lamps; 2 mV/K a junction (from memory); Ohm's law",
    needs=(*_DRIVE, "forward", "junctions", "series", "visible", "cold_air"),
    remedy="Thicker or shorter cable, a driver with more volts or fewer ohms, a lamp of fewer "
    "junctions.",
)
def visible(c: Lamp) -> Bound:
    """Both curves at the one current: the source falls and the lamp rises with it."""
    I = c.visible.high
    left = volts_left(c, I) - I * (c.line.high + c.series.high)
    return Bound(forward(c, I, most=True), left)


@function_rule(
    "current limit",
    Lamp,
    says="The source can deliver the current from which the lamp is seen.",
    relation="visible current <= current limit",
    unit="A",
    cites="data sheets of drivers",
    needs=("barrier", "limit", "curve", "visible"),
    remedy="A driver with a higher current limit.",
)
def lamp_limit(c: Lamp) -> Bound:
    """Visible current against what the source surely gives."""
    return Bound(c.visible.high, last_current(c))


@function_rule(
    "dark, by voltage",
    Lamp,
    says="The voltage of a driver that is off does not make the hot lamp glow.",
    relation="off-state voltage left at the glow current <= forward voltage when hot",
    unit="V",
    cites="data sheets of lamps and drivers; Ohm's law",
    needs=(
        *("off_volts", "barrier", "inner", "end_to_end", "drop", "line"),
        *("forward", "junctions", "series", "glow", "hot_air"),
    ),
    remedy="A driver with less voltage when off, or a resistor across the lamp.",
)
def dark_by_voltage(c: Lamp) -> Bound:
    """What is left of the off-state voltage at the glow current, no ohms beyond the surest."""
    I = c.glow.low
    inner = np.where((c.tabled > 0.0) & np.isnan(c.inner.low), 0.0, c.inner.low)
    behind = np.where(c.barrier > 0.0, c.end_to_end.low, inner) + c.line.low + c.series.low
    drop = np.where(c.barrier > 0.0, c.drop.low, 0.0)
    volts = np.where(c.off_volts.high <= 0.0, NOTHING, c.off_volts.high - drop - I * behind)
    return Bound(volts, forward(c, I, most=False))


@function_rule(
    "dark, by monitoring",
    Lamp,
    says="The current of line monitoring does not make the lamp glow.",
    relation="monitoring current <= glow current",
    unit="A",
    cites="data sheets of lamps and drivers",
    needs=("monitoring", "glow"),
    remedy="Line monitoring off, or a resistor across the lamp.",
)
def dark_by_monitoring(c: Lamp) -> Bound:
    """Monitoring current against what leaves the lamp dark."""
    asked = np.where(c.monitoring.high <= 0.0, NOTHING, c.monitoring.high)
    return Bound(asked, c.glow.low)


barrier_rules(Lamp)


@kind("sounder circuit", "A sounder or beacon, alone or with others in parallel, on a driver.")
@dataclass(frozen=True, slots=True, kw_only=True)
class Sounder(Driven):
    """Columns of sounder circuits; volts, amperes.

    ``together`` is the current of every device of the circuit, at work or at its start.
    """

    need: Triple = column("device", "lowest supply voltage of the sounder or beacon")
    together: Triple = column("device", "operating current of every sounder and beacon")
    alive: Triple = column("device", "alive current of the sounder or beacon")


@function_rule(
    "operating voltage",
    Sounder,
    says="With every device at work, each is left the volts that it needs.",
    relation="lowest supply voltage <= volts left at the current of all devices",
    unit="V",
    cites="data sheets of sounders and beacons; Ohm's law",
    needs=(*_DRIVE, "need", "together"),
    remedy="Thicker or shorter cable, a driver with more volts or fewer ohms, fewer devices.",
)
def operating(c: Sounder) -> Bound:
    """Volts at the end of all the cable, every device taking its most."""
    I = c.together.high
    return Bound(c.need.high, volts_left(c, I) - I * c.line.high)


@function_rule(
    "current limit",
    Sounder,
    says="The source can deliver the current of every device.",
    relation="current of all devices <= current limit",
    unit="A",
    cites="data sheets of drivers",
    needs=("barrier", "limit", "curve", "together"),
    remedy="A driver with a higher current limit, or fewer devices.",
)
def sounder_limit(c: Sounder) -> Bound:
    """Current of all devices against what the source surely gives."""
    return Bound(c.together.high, last_current(c))


@function_rule(
    "silent",
    Sounder,
    says="When the driver is off, what still flows is too little to work with.",
    relation="off-state or monitoring current <= alive current",
    unit="A",
    cites="data sheets of sounders, beacons and drivers; Ohm's law",
    needs=("off_volts", "monitoring", "barrier", "inner", "end_to_end", "drop", "line", "alive"),
    remedy="A driver with less current when off, or line monitoring off.",
)
def silent(c: Sounder) -> Bound:
    """Most current when off, the device counted as no resistance at all."""
    none = np.zeros(1)
    flows = off_current(c, none, none)
    return Bound(np.where(np.isposinf(flows), np.nan, flows), c.alive.low)


barrier_rules(Sounder)
