"""Analogue outputs to positioners and I/P converters, through a barrier or an isolator.

Behind a barrier the output card drives everything; of an isolator its own output drives the
field, and the card its safe-side input. Two positioners in series (split range) add up.
"""

# ruff: noqa: E741 - I is the trade's symbol of a current
from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from subspark.rules.bound import Bound
from subspark.rules.columns import NOTHING, Floats
from subspark.rules.function.columns import Table, Triple, column, interpolate
from subspark.rules.function.feeding import (
    Certified,
    behind,
    breakpoints,
    certain,
    decimal,
    hot_leakage,
    knee,
    lost,
    nothing_of,
    stacked,
)
from subspark.rules.function.hart import HART_LEAST, HART_PEAK, HART_REST, HART_TIME, wanted
from subspark.rules.function.registry import function_rule, kind

__all__ = ["Output", "needed"]

SPAN = 0.016
"""4 to 20 mA [A]."""


@kind("output loop", "An analogue output to positioners or I/P converters, 4-20 mA.")
@dataclass(frozen=True, slots=True, kw_only=True)
class Output(Certified):
    """Columns of output loops; volts, amperes, ohms, farads, degC.

    ``barrier`` is 1 where the source is a shunt-diode barrier: then ``card_compliance`` drives
    the field, else the isolator's own ``compliance`` or table. ``volts`` and ``ohms`` are what
    the field devices take together; ``electronic`` is 1 where they need a current to live.
    """

    barrier: Floats = column("source", "role of the source")
    curve: Table = column("source", "terminal voltage of the source")
    tabled: Floats = column("source", "whether the source is given by a table")
    compliance: Triple = column("source", "load compliance, or highest load, of the source")
    most_load: Triple = column("source", "highest load of the source")
    least_load: Triple = column("source", "lowest load of the source")
    takes: Floats = column("source", "whether the safe-side input of the isolator is given")
    input_volts: Table = column("source", "voltage drop of the isolator's safe-side input")
    input_R: Triple = column("source", "input resistance of the isolator's safe-side input")
    accuracy: Triple = column("source", "accuracy of the source")
    passes: Floats = column("source", "whether the source passes HART")
    port: Triple = column("source", "HART resistance of the source")
    end_to_end: Triple = column("source", "end-to-end resistance of the barrier")
    drop: Table = column("source", "voltage drop of the barrier")
    back: Triple = column("source", "return resistance of the barrier")
    back_drop: Triple = column("source", "return voltage drop of the barrier")
    working: Triple = column("source", "working voltage of the barrier")
    leakage: Triple = column("source", "leakage current of the barrier")
    highest: Triple = column("source", "highest supply of the barrier")
    card_compliance: Triple = column("circuit", "load compliance, or highest load, of the card")
    card_most: Triple = column("circuit", "highest load of the card")
    card_least: Triple = column("circuit", "lowest load of the card")
    card_given: Floats = column("circuit", "whether the card's compliance is given")
    card_open: Triple = column("circuit", "open-circuit voltage of the card")
    I_low: Triple = column("circuit", "low alarm current")
    I_high: Triple = column("circuit", "high alarm current")
    margin: Triple = column("circuit", "margin")
    budget: Triple = column("circuit", "error budget share")
    hot: Floats = column("circuit", "highest ambient of the cabinet")
    cold: Floats = column("circuit", "lowest ambient of the cabinet")
    hart: Floats = column("circuit", "whether HART is used")
    volts: Table = column("device", "voltage drop, or lift-off voltage, of the field device")
    ohms: Triple = column("device", "coil or series resistance of the field device")
    electronic: Floats = column("device", "role of the field device")
    alive: Triple = column("device", "alive current of the field device")
    modem: Triple = column("device", "HART resistance of the field device")
    C_device: Triple = column("device", "input capacitance of the field device")
    C_line: Triple = column("line", "capacitance of the cable")


def highest_current(c: Output) -> Floats:
    """Highest current of the output, with the peak of a HART signal [A]."""
    peak = np.where(c.hart > 0.0, HART_PEAK, np.where(c.hart == 0.0, 0.0, np.nan))
    return decimal(c.I_high.high + peak)


def _barrier_lost(c: Output, I: Floats, *, most: bool) -> Floats:
    end = "high" if most else "low"
    volts = lost(c.drop, getattr(c.drop, end), I) + getattr(c.back_drop, end)
    ohms = getattr(c.end_to_end, end) + getattr(c.back, end)
    there = volts + I * ohms
    return np.where(c.barrier > 0.0, there, np.where(c.barrier == 0.0, 0.0, np.nan))


def needed(c: Output, I: Floats, *, most: bool = True) -> Floats:
    """Volts that the driving output must give at a current, the most or the least [V]."""
    end = "high" if most else "low"
    devices = lost(c.volts, getattr(c.volts, end), I) + I * getattr(c.ohms, end)
    total: Floats = devices + behind(c, I, most=not most) + _barrier_lost(c, I, most=most)
    return total


def _tested(c: Output) -> list[Floats]:
    """Both ends of the range, the peak of HART, and every breakpoint between them."""
    quiet = c.I_high.high
    top = np.where(c.hart == 0.0, quiet, decimal(quiet + HART_PEAK))
    inner = breakpoints(c.I_low.low, top, c.curve, c.volts, c.series, c.drop)
    return [c.I_low.low, quiet, np.where(top > quiet, top, NOTHING), *inner]


def driven(c: Output, I: Floats) -> Floats:
    """Least volts that the driving output gives at a current [V].

    A highest load in ohms counts as its volts at the highest current: an output has no fewer
    volts at a lower one. Of two figures the lower counts.
    """
    top = np.maximum(I, c.I_high.high)
    card = np.fmin(c.card_compliance.low, top * c.card_most.low)
    tabled = interpolate(c.curve.at, c.curve.low, I, falling=True)
    own = np.fmin(c.compliance.low, top * c.most_load.low)
    isolator = np.where(c.tabled > 0.0, tabled, own)
    return np.where(c.barrier > 0.0, card, np.where(c.barrier == 0.0, isolator, np.nan))


@function_rule(
    "compliance",
    Output,
    says="At every current the output gives the volts that the field asks.",
    relation="volts of the devices + I x (leads + barrier) + margin <= compliance",
    unit="V",
    cites="Ohm's law; HART adds 0.5 mA at its peak (from memory)",
    needs=(
        *("barrier", "curve", "compliance", "card_compliance", "end_to_end", "drop", "back"),
        *("back_drop", "line", "series", "series_R", "volts", "ohms", "margin"),
        *("I_low", "I_high", "hart"),
    ),
    remedy="Thicker or shorter cable, a barrier with fewer ohms, an output with more volts, "
    "positioners on outputs of their own.",
)
def compliance(c: Output) -> Bound:
    """Volts asked against volts driven, at every tested current."""
    parts = []
    for I in _tested(c):
        out = np.isneginf(I)
        asked, limit = needed(c, I) + c.margin.high, driven(c, I)
        doubted = np.greater(I, c.I_high.high) & np.isnan(c.hart) & ~(asked <= limit)
        demand = np.where(out, NOTHING, np.where(doubted, np.nan, asked))
        parts.append((I, demand, np.where(out, np.inf, limit)))
    return stacked(parts)


@function_rule(
    "volts by certificate",
    Output,
    says="Safety data alone do not exclude that the field gets the volts it asks.",
    relation="volts of the devices <= Uo - I x (Uo / Io of a linear source + line)",
    unit="V",
    cites="Ohm's law: no source gives more than its certificate allows",
    needs=("Uo", "Io", "linear", "volts"),
    remedy="Another source: no card and no cable makes this one work.",
)
def by_certificate(c: Output) -> Bound:
    """Asks only where the circuit cannot work whatever the functional figures are."""
    parts = []
    for I in (np.full(1, 0.004), np.full(1, 0.020), c.I_low.high, c.I_high.low):
        need = lost(c.volts, c.volts.low, I) + I * c.ohms.low
        volts = np.where(c.Io < I, 0.0, certain(c, I))
        proved = need > volts
        parts.append((I, np.where(proved, need, NOTHING), np.where(proved, volts, 0.0)))
    return stacked(parts)


@function_rule(
    "lowest load",
    Output,
    says="At every current the output sees enough ohms to regulate.",
    relation="lowest load <= volts of the field / I",
    unit="ohm",
    cites="data sheets of outputs; asked where one states a lowest load",
    needs=("barrier", "least_load", "card_least", "volts", "ohms", "I_low", "I_high"),
    remedy="A resistor in series, or an output that regulates into a short circuit.",
)
def lowest_load(c: Output) -> Bound:
    """Least ohms that the driving output sees."""
    least = np.where(c.barrier > 0.0, c.card_least.high, c.least_load.high)
    parts = []
    for I in _tested(c):
        out = np.isneginf(I) | np.isnan(least)
        seen = needed(c, I, most=False) / I
        parts.append((I, np.where(out, NOTHING, least), np.where(out, np.inf, seen)))
    return stacked(parts)


@function_rule(
    "alive current",
    Output,
    says="At the lowest current of the output the positioner still lives, leakage taken off.",
    relation="alive current + leakage at the highest ambient <= lowest current",
    unit="A",
    cites="data sheets of positioners; leakage doubles every 10 K (common practice, no source)",
    needs=("electronic", "alive", "I_low", "barrier", "leakage", "hot"),
    remedy="A higher lowest current of the output, or a positioner that lives on less.",
)
def alive_current(c: Output) -> Bound:
    """Asked of electronics, and wherever an alive current is stated."""
    leak = c.barrier * hot_leakage(c.leakage.high, c.hot)
    asked = np.where(np.isnan(c.alive.high) & (c.electronic == 0.0), NOTHING, c.alive.high)
    return Bound(np.where(np.isneginf(asked), NOTHING, asked + leak), c.I_low.low)


@function_rule(
    "working voltage",
    Output,
    says="The volts that the field asks do not make the barrier conduct, also cold.",
    relation="volts at the barrier <= working voltage when cold",
    unit="V",
    cites="barrier data sheets; the knee of the diodes is lowest cold (from memory)",
    needs=("barrier", "working", "cold", "end_to_end", "line", "volts", "ohms", "I_high", "hart"),
    remedy="A barrier with a higher working voltage, or fewer volts in the field.",
)
def working_voltage(c: Output) -> Bound:
    """Volts at the safe terminals of the barrier at every tested current, peaks among them."""
    parts = []
    for I in _tested(c):
        volts = needed(c, I)
        limit = knee(c.working.low, c.cold, volts)
        doubted = np.greater(I, c.I_high.high) & np.isnan(c.hart) & ~(volts <= limit)
        asked = np.where(np.isneginf(I), NOTHING, np.where(doubted, np.nan, volts))
        parts.append((I, nothing_of(c.barrier, asked), limit))
    return stacked(parts)


@function_rule(
    "open-circuit voltage",
    Output,
    says="An output whose line is broken does not blow the fuse of the barrier.",
    relation="open-circuit voltage of the card <= highest supply of the barrier",
    unit="V",
    cites="barrier data sheets",
    needs=("barrier", "card_open", "highest"),
    remedy="An output with less open-circuit voltage, or a barrier that bears more.",
)
def open_circuit(c: Output) -> Bound:
    """Open-circuit volts of the card against what the barrier bears."""
    return Bound(nothing_of(c.barrier, c.card_open.high), c.highest.low)


@function_rule(
    "accuracy",
    Output,
    says="Leakage of a hot barrier, or the error of an isolator, does not spoil the signal.",
    relation="leakage at the highest ambient / 16 mA, or accuracy <= error budget",
    unit="%",
    cites="leakage doubles every 10 K (common practice, no source)",
    needs=("barrier", "leakage", "hot", "budget", "accuracy"),
    remedy="A barrier with less leakage, a cooler cabinet, a more accurate isolator.",
)
def accuracy(c: Output) -> Bound:
    """Share of the signal that does not reach the field; isolators where a budget is stated."""
    barrier = hot_leakage(c.leakage.high, c.hot) / SPAN
    isolator = np.where(np.isnan(c.budget.low), NOTHING, c.accuracy.high)
    demand = np.where(c.barrier > 0.0, barrier, np.where(c.barrier == 0.0, isolator, np.nan))
    return Bound(demand, c.budget.low)


@function_rule(
    "safe-side input",
    Output,
    says="The output card can drive the safe-side input of the isolator.",
    relation="highest current x input resistance + voltage drop <= compliance of the card",
    unit="V",
    cites="Ohm's law; asked where the isolator's input or the card's compliance is given",
    needs=("barrier", "input_volts", "input_R", "card_compliance", "I_high", "hart"),
    remedy="A card with more volts, or an isolator with a smaller input.",
)
def safe_side_input(c: Output) -> Bound:
    """Volts at the input of the isolator; a highest load in ohms counts at the same current."""
    I = highest_current(c)
    volts = lost(c.input_volts, c.input_volts.high, I) + I * c.input_R.high
    asked = np.where((c.takes == 0.0) & (c.card_given == 0.0), NOTHING, volts)
    demand = nothing_of(1.0 - c.barrier, asked)
    return Bound(demand, np.fmin(c.card_compliance.low, I * c.card_most.low))


@function_rule(
    "HART",
    Output,
    says="The modem of the output sees enough ohms, and the source lets HART pass.",
    relation="230 ohm <= ohms of positioner, leads and barrier",
    unit="ohm",
    cites="HART FSK physical layer (from memory)",
    needs=("hart", "passes", "modem", "barrier", "end_to_end", "port"),
    remedy="A resistor in series with the positioner, or a source that passes HART.",
)
def hart_port(c: Output) -> Bound:
    """Ohms across the port: an output is no short to the signal, so no load is needed beside."""
    field = c.modem.low + c.line.low + c.series_R.low
    barrier = field + c.end_to_end.low + c.back.low
    isolator = np.where(np.isnan(c.port.low), field, c.port.low)
    ohms = np.where(c.barrier > 0.0, barrier, isolator)
    passed = np.where(c.passes > 0.0, ohms, np.where(c.passes == 0.0, 0.0, np.nan))
    return Bound(wanted(c.hart, np.full(1, HART_LEAST), passed), passed)


@function_rule(
    "HART time constant",
    Output,
    says="Cable and devices are not so capacitive that they swallow the signal.",
    relation="(positioner + leads + barrier) x (devices + 10 nF + cable) <= 65 µs",
    unit="s",
    cites="HART FSK physical layer (from memory)",
    needs=("hart", "modem", "barrier", "end_to_end", "line", "C_line", "C_device"),
    remedy="Shorter cable, cable with less capacitance, fewer ohms.",
)
def hart_time(c: Output) -> Bound:
    """Time constant, the ohms of the cable counted."""
    through = np.where(c.barrier > 0.0, c.end_to_end.high + c.back.high, 0.0)
    ohms = c.modem.high + c.line.high + c.series_R.high + through
    tau = ohms * (c.C_line.high + c.C_device.high + HART_REST)
    limit = np.full(1, HART_TIME)
    return Bound(wanted(c.hart, tau, limit), limit)
