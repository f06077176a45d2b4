"""Mechanical contacts and proximity switches on an input to IEC 60947-5-6.

On is the higher current and off the lower, whatever the switch tells by it. Levels of the
standard are in ``data/levels.csv`` with their confidence; an input's own figures come first.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from subspark.physics.loops import working_voltage_at
from subspark.rules.bound import Bound
from subspark.rules.columns import NOTHING, Floats
from subspark.rules.function.columns import Triple, column
from subspark.rules.function.inputs import Reading, leaking, when
from subspark.rules.function.registry import function_rule, kind

__all__ = ["Switching", "current"]

SETTLED = 5.0
"""Time constants in half a period of a pulse; common practice, no source."""


@kind("switch circuit", "A contact or proximity switch on an input that tells on from off.")
@dataclass(frozen=True, slots=True, kw_only=True)
class Switching(Reading):
    """Columns of switch circuits; amperes, ohms, farads, hertz.

    ``monitored`` is 1 where line faults are to be told.
    ``on_R`` and ``off_R`` are what the switch shows at its terminals, its resistors included.
    Of a contact, ``contact_R`` is the resistor in its own branch and ``beside`` the ratio of
    that to the resistor across the branch (0 where that is across the contact, or none).
    """

    short: Triple = column("source", "short threshold of the input")
    rate: Triple = column("source", "highest frequency of the input")
    on_R: Triple = column("device", "resistors of the contact, or on current of the switch")
    off_R: Triple = column("device", "resistors of the contact, or off current of the switch")
    contact_R: Triple = column("device", "resistors of the contact")
    beside: Triple = column("device", "resistors of the contact")
    wetting: Triple = column("device", "wetting current of the contact")
    frequency: Triple = column("circuit", "highest frequency of the signal")
    monitored: Floats = column("source", "line-fault detection")
    C_line: Triple = column("line", "capacitance of the cable")


def current(c: Switching, ohms: Triple, *, most: bool) -> Floats:
    """Current of a switch that shows these ohms [A], at the end that is asked for."""
    if most:
        volts = c.open_voltage.high - c.drop.low
        behind = c.inner.low + c.end_to_end.low + c.line.low + ohms.low
    else:
        volts = c.open_voltage.low - c.drop.high
        behind = c.inner.high + c.end_to_end.high + c.line.high + ohms.high
    return np.maximum(volts, 0.0) / behind


_CIRCUIT = ("barrier", "open_voltage", "inner", "end_to_end", "drop", "line")


@function_rule(
    "on",
    Switching,
    says="A switch that is on draws enough current to be read as on.",
    relation="on threshold <= least current when on",
    unit="A",
    cites="IEC 60947-5-6 (from memory); Ohm's law",
    needs=("on", *_CIRCUIT, "on_R"),
    remedy="Fewer ohms in the leads or the barrier, a smaller series resistor, an isolating "
    "switch amplifier.",
)
def on(c: Switching) -> Bound:
    """Threshold against the least current: low volts, hot leads, most ohms."""
    return Bound(c.on.high, current(c, c.on_R, most=False))


@function_rule(
    "off",
    Switching,
    says="A switch that is off draws little enough current to be read as off.",
    relation="most current when off + leakage <= off threshold",
    unit="A",
    cites="IEC 60947-5-6 (from memory); Ohm's law",
    needs=("off", *_CIRCUIT, "off_R", "leakage", "hot"),
    remedy="A larger parallel resistor, or a barrier with less leakage.",
)
def off(c: Switching) -> Bound:
    """Most current, no leads, fewest ohms, against the threshold."""
    return Bound(current(c, c.off_R, most=True) + leaking(c), c.off.low)


@function_rule(
    "false break",
    Switching,
    says="A switch that is off is not taken for a broken lead.",
    relation="break threshold <= least current when off",
    unit="A",
    cites="IEC 60947-5-6 (from memory); Ohm's law",
    needs=("monitored", "broken", *_CIRCUIT, "off_R"),
    remedy="A smaller parallel resistor at the contact, fewer ohms in the leads, or no line "
    "monitoring.",
)
def false_break(c: Switching) -> Bound:
    """Current at which a break may be told against the least when off."""
    return Bound(when(c.monitored, c.broken.high), current(c, c.off_R, most=False))


@function_rule(
    "false short",
    Switching,
    says="A switch that is on is not taken for a shorted lead.",
    relation="ohms from which no short is told <= least ohms seen when on",
    unit="ohm",
    cites="IEC 60947-5-6 (from memory)",
    needs=("monitored", "short", "on_R", "line", "end_to_end"),
    remedy="A larger series resistor at the contact, or no line monitoring.",
)
def false_short(c: Switching) -> Bound:
    """Ohms from which a short is never told against those seen when on."""
    seen = c.on_R.low + c.line.low + c.end_to_end.low
    return Bound(when(c.monitored, c.short.high), seen)


@function_rule(
    "break told",
    Switching,
    says="A broken lead is surely told: what still flows is below the break threshold.",
    relation="leakage when hot <= current below which a break is told",
    unit="A",
    cites="IEC 60947-5-6; leakage doubles every 10 K (from memory)",
    needs=("monitored", "barrier", "leakage", "hot", "broken"),
    remedy="A barrier with less leakage, or an isolating switch amplifier.",
)
def break_told(c: Switching) -> Bound:
    """Leakage of the barrier, asked where there is one."""
    leak = np.where(c.barrier == 0.0, NOTHING, leaking(c))
    return Bound(when(c.monitored, leak), c.broken.low)


@function_rule(
    "short told",
    Switching,
    says="A short at the switch is surely told.",
    relation="ohms of leads and barrier <= ohms below which a short is told",
    unit="ohm",
    cites="IEC 60947-5-6 (from memory)",
    needs=("monitored", "short", *_CIRCUIT),
    remedy="Fewer ohms in the leads, an isolating switch amplifier for the barrier, or no line "
    "monitoring.",
)
def short_told(c: Switching) -> Bound:
    """Most ohms seen when the leads touch at the switch; a drop of volts counts as ohms."""
    leads = c.line.high + c.end_to_end.high
    flows = np.maximum(c.open_voltage.low - c.drop.high, 0.0) / (c.inner.high + leads)
    seen = leads + np.where(c.drop.high > 0.0, c.drop.high / flows, 0.0)
    return Bound(when(c.monitored, seen), c.short.low)


@function_rule(
    "wetting",
    Switching,
    says="The closed contact carries enough current to stay clean.",
    relation="wetting current <= least current through the contact",
    unit="A",
    cites="data sheets of contacts; Ohm's law",
    needs=("wetting", *_CIRCUIT, "contact_R", "beside"),
    remedy="A contact with gold surfaces, or fewer ohms.",
)
def wetting(c: Switching) -> Bound:
    """Current of the contact's own branch, everything against it."""
    outside = c.inner.high + c.end_to_end.high + c.line.high
    volts = np.maximum(c.open_voltage.low - c.drop.high, 0.0)
    return Bound(c.wetting.high, volts / (outside * (1.0 + c.beside.high) + c.contact_R.high))


@function_rule(
    "working voltage",
    Switching,
    says="The input's own voltage stays below that at which the barrier begins to conduct.",
    relation="highest open-circuit voltage <= working voltage when cold",
    unit="V",
    cites="barrier data sheets; the knee of the diodes is lowest cold (from memory)",
    needs=("barrier", "open_voltage", "working", "cold"),
    remedy="A barrier with a higher working voltage.",
)
def working_voltage(c: Switching) -> Bound:
    """Open-circuit voltage, asked where there is a barrier."""
    demand = np.where(c.barrier == 0.0, NOTHING, c.open_voltage.high)
    return Bound(demand, working_voltage_at(c.working.low, c.cold))


def _pulsing(c: Switching, demand: Floats) -> Floats:
    """The demand where the switch pulses; nothing where it stands still."""
    return np.where(c.frequency.high == 0.0, NOTHING, demand)


@function_rule(
    "pulse",
    Switching,
    says="The cable charges and discharges fast enough for the pulses.",
    relation="5 x resistance x capacitance <= half a period",
    unit="s",
    cites="common practice, no source",
    needs=("frequency", "inner", "end_to_end", "line", "C_line"),
    remedy="Shorter cable, cable with less capacitance, fewer ohms.",
)
def pulse(c: Switching) -> Bound:
    """Settling time of the line against half a period."""
    tau = (c.inner.high + c.end_to_end.high + c.line.high) * c.C_line.high
    return Bound(_pulsing(c, SETTLED * tau), 0.5 / c.frequency.high)


@function_rule(
    "input rate",
    Switching,
    says="The input follows the pulses.",
    relation="highest frequency of the signal <= highest frequency of the input",
    unit="Hz",
    cites="data sheets of switch amplifiers",
    needs=("frequency", "rate"),
    remedy="A faster input.",
)
def input_rate(c: Switching) -> Bound:
    """Frequency asked against frequency followed."""
    return Bound(_pulsing(c, c.frequency.high), c.rate.low)
