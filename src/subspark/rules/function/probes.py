"""Vibration probes on a negative supply, and two-wire accelerometers on a constant current.

All voltages are magnitudes: supply, signal and working voltage are negative together.
"""

# ruff: noqa: E741 - I is the trade's symbol of a current
from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from subspark.physics.loops import working_voltage_at
from subspark.rules.bound import All, Bound
from subspark.rules.columns import NOTHING, Floats
from subspark.rules.function.columns import Table, Triple, column, interpolate
from subspark.rules.function.registry import function_rule, kind

__all__ = ["Accelerometer", "Probe", "return_current", "supply_volts"]

TIMES_THE_SIGNAL = 3.0
"""How far the band lies above the highest frequency; common practice, no source."""

OWN_CURRENT = 1e-3
"""Current that an accelerometer keeps for itself [A]; common practice, no source."""


@kind("vibration probe", "A vibration or displacement probe on three wires, negative supply.")
@dataclass(frozen=True, slots=True, kw_only=True)
class Probe:
    """Columns of probes on three wires; magnitudes of volts, amperes, ohms, farads, hertz.

    ``feed``, ``through`` and ``common`` are the supply, signal and common channels of a barrier;
    ``lead`` is one core of the cable. Between ``signal_low`` and ``signal_high`` the output moves.
    ``drive`` is -inf where it is not stated.
    """

    barrier: Floats = column("source", "role of the source")
    open_voltage: Triple = column("source", "open-circuit voltage, or terminal voltages")
    inner: Triple = column("source", "internal resistance of the source")
    curve: Table = column("source", "terminal voltage of the source")
    tabled: Floats = column("source", "whether the source is given by a table")
    limit: Triple = column("source", "current limit of the source")
    feed: Triple = column("source", "end-to-end resistance of the barrier")
    drop: Triple = column("source", "voltage drop of the barrier")
    through: Triple = column("source", "signal resistance of the barrier")
    common: Triple = column("source", "common resistance of the barrier")
    return_drop: Triple = column("source", "return voltage drop of the barrier")
    working: Triple = column("source", "working voltage of the barrier")
    input_R: Triple = column("source", "input resistance of the monitor")
    cold: Floats = column("circuit", "lowest ambient of the cabinet")
    supply: Triple = column("circuit", "supply voltage on the safe side")
    budget: Triple = column("circuit", "error budget share")
    margin: Triple = column("circuit", "margin")
    frequency: Triple = column("circuit", "highest frequency of the signal")
    wires: Floats = column("device", "wires of the probe")
    I: Triple = column("device", "supply current of the probe")
    need: Triple = column("device", "lowest supply voltage of the probe")
    output_R: Triple = column("device", "output resistance of the probe")
    signal_low: Floats = column("device", "signal voltage of the probe")
    signal_high: Floats = column("device", "signal voltage of the probe")
    drive: Triple = column("device", "drive current of the probe")
    lead: Triple = column("line", "resistance of one core of the cable")
    C_line: Triple = column("line", "capacitance of the cable")


def return_current(c: Probe) -> Floats:
    """Current of the probe and of its signal, which go back by the common [A]."""
    I: Floats = c.I.high + c.signal_high / c.input_R.low
    return I


def supply_volts(c: Probe) -> Floats:
    """Volts behind the resistance of the barrier, or at the terminals of an isolator [V]."""
    tabled = interpolate(c.curve.at, c.curve.low, c.I.high, falling=True)
    open_ended = c.open_voltage.low - c.I.high * c.inner.high
    isolated = np.where(c.tabled > 0.0, tabled, open_ended)
    return np.where(c.barrier > 0.0, c.supply.low - c.drop.high, isolated)


@function_rule(
    "supply of the probe",
    Probe,
    says="The probe is left the volts that it needs.",
    relation="lowest supply voltage + margin <= supply - I (feed + lead) - return (common + lead)",
    unit="V",
    cites="Ohm's law with the lowest supply",
    needs=(
        *("barrier", "open_voltage", "inner", "curve", "supply", "drop", "feed", "common"),
        *("return_drop", "lead", "I", "signal_high", "input_R", "need", "margin", "wires"),
    ),
    remedy="Thicker or shorter cable, a barrier with fewer ohms, a higher supply.",
)
def supply_of_probe(c: Probe) -> Bound:
    """Lowest supply less what both ways lose; a probe on three wires only."""
    out = c.I.high * (c.feed.high + c.lead.high)
    back = c.return_drop.high + return_current(c) * (c.common.high + c.lead.high)
    left = supply_volts(c) - out - back
    return Bound(c.need.high + c.margin.high, np.where(c.wires == 3.0, left, np.nan))


@function_rule(
    "current of the supply",
    Probe,
    says="The supply can deliver the current of the probe.",
    relation="supply current <= current limit",
    unit="A",
    cites="data sheets of probe supplies",
    needs=("barrier", "I", "limit"),
    remedy="A supply with a higher current limit.",
)
def supply_current(c: Probe) -> Bound:
    """Asked of an isolated supply; a table ends at its last current."""
    last = np.fmax.reduce(c.curve.at, axis=0, initial=NOTHING)
    known = np.where((c.tabled > 0.0) & np.isnan(c.limit.low), last, c.limit.low)
    return Bound(np.where(c.barrier > 0.0, NOTHING, c.I.high), known)


def before_input(c: Probe) -> Floats:
    """Ohms in the way of the signal [ohm]."""
    ohms: Floats = c.through.high + c.output_R.high + c.lead.high
    return ohms


@function_rule(
    "gain error",
    Probe,
    says="The ohms in the way of the signal do not lower it too much.",
    relation="R / (input resistance + R) <= error budget",
    unit="%",
    cites="Ohm's law; R is channel, output and lead together",
    needs=("through", "output_R", "lead", "input_R", "budget"),
    remedy="A monitor with a higher input resistance, a barrier with fewer ohms, calibration.",
)
def gain_error(c: Probe) -> Bound:
    """Share of the signal that is lost before the input."""
    R = before_input(c)
    return Bound(R / (c.input_R.low + R), c.budget.low)


@function_rule(
    "bandwidth",
    Probe,
    says="Ohms and cable do not swallow the highest frequency.",
    relation="3 x highest frequency <= 1 / (2 pi R x capacitance of the cable)",
    unit="Hz",
    cites="common practice, no source",
    needs=("through", "output_R", "lead", "C_line", "frequency"),
    remedy="Shorter cable, cable with less capacitance, a barrier with fewer ohms.",
)
def bandwidth(c: Probe) -> Bound:
    """Three times the signal against the corner of the low pass."""
    corner = 1.0 / (2.0 * np.pi * before_input(c) * c.C_line.high)
    return Bound(TIMES_THE_SIGNAL * c.frequency.high, corner)


def _slew(I: Floats, low: Floats, high: Floats, farads: Floats) -> Floats:
    """Highest frequency at which the current charges the cable to the peak [Hz]."""
    peak = (high - low) / 2.0
    highest: Floats = I / (2.0 * np.pi * farads * peak)
    return highest


@function_rule(
    "slew",
    Probe,
    says="Where its drive current is stated, the probe can charge the cable fast enough.",
    relation="highest frequency <= drive current / (2 pi x capacitance x peak)",
    unit="Hz",
    cites="a sine of that peak across the cable",
    needs=("drive", "signal_low", "signal_high", "C_line", "frequency"),
    remedy="Shorter cable, cable with less capacitance.",
)
def slew(c: Probe) -> Bound:
    """Asked where a drive current is stated."""
    asked = np.where(np.isneginf(c.drive.low), NOTHING, c.frequency.high)
    return Bound(asked, _slew(c.drive.low, c.signal_low, c.signal_high, c.C_line.high))


@function_rule(
    "working voltage",
    Probe,
    says="Supply and signal stay below the voltage at which the barrier begins to conduct.",
    relation="highest supply, highest signal <= working voltage when cold",
    unit="V",
    cites="barrier data sheets; the knee of the diodes is lowest cold (from memory)",
    needs=("barrier", "supply", "signal_high", "working", "cold"),
    remedy="A regulated supply with less voltage, or a barrier with a higher working voltage.",
)
def working_voltage(c: Probe) -> All:
    """Magnitudes against the knee, asked where there is a barrier."""
    knee = working_voltage_at(c.working.low, c.cold)
    bounds = (("supply", c.supply.high), ("signal", c.signal_high))
    return All(
        tuple(
            Bound(np.where(c.barrier == 0.0, NOTHING, volts), knee, what=what)
            for what, volts in bounds
        )
    )


@kind("accelerometer", "A two-wire accelerometer on a constant current.")
@dataclass(frozen=True, slots=True, kw_only=True)
class Accelerometer:
    """Columns of accelerometers; volts, amperes, ohms, farads, hertz.

    Between ``signal_low`` and ``signal_high`` the output moves, its bias included. ``through``
    are supply, return and common channels together; ``line`` both cores.
    """

    barrier: Floats = column("source", "role of the source")
    I: Triple = column("source", "excitation current")
    volts: Triple = column("source", "open-circuit voltage of the constant-current supply")
    through: Triple = column("source", "end-to-end resistance of the barrier")
    drop: Triple = column("source", "voltage drop of the barrier")
    working: Triple = column("source", "working voltage of the barrier")
    cold: Floats = column("circuit", "lowest ambient of the cabinet")
    frequency: Triple = column("circuit", "highest frequency of the signal")
    signal_low: Floats = column("device", "signal voltage of the accelerometer")
    signal_high: Floats = column("device", "signal voltage of the accelerometer")
    least_I: Floats = column("device", "operating current of the accelerometer")
    most_I: Floats = column("device", "operating current of the accelerometer")
    line: Triple = column("line", "resistance of the cable, both cores")
    C_line: Triple = column("line", "capacitance of the cable")


@function_rule(
    "compliance",
    Accelerometer,
    says="The supply still drives its current at the peak of the signal.",
    relation="bias + peak + I (barrier + line) <= open-circuit voltage",
    unit="V",
    cites="Ohm's law at the peak",
    needs=("signal_high", "I", "through", "drop", "line", "volts"),
    remedy="A supply with more volts, a smaller current, thicker or shorter cable.",
)
def compliance(c: Accelerometer) -> Bound:
    """Volts at the peak with everything in the way."""
    lost = c.I.high * (c.through.high + c.line.high) + c.drop.high
    return Bound(c.signal_high + lost, c.volts.low)


@function_rule(
    "working voltage",
    Accelerometer,
    says="At the peak of the signal the barrier does not begin to conduct.",
    relation="bias + peak + I (barrier + line) <= working voltage when cold",
    unit="V",
    cites="barrier data sheets; the knee of the diodes is lowest cold (from memory)",
    needs=("barrier", "signal_high", "I", "line", "through", "drop", "working", "cold"),
    remedy="A barrier with a higher working voltage.",
)
def working_of_barrier(c: Accelerometer) -> Bound:
    """Volts at the terminals of the barrier, the return channel counted."""
    volts = c.signal_high + c.I.high * (c.through.high + c.line.high) + c.drop.high
    demand = np.where(c.barrier == 0.0, NOTHING, volts)
    return Bound(demand, working_voltage_at(c.working.low, c.cold))


@function_rule(
    "constant current",
    Accelerometer,
    says="The constant current lies within what the accelerometer takes.",
    relation="least operating current <= excitation current <= greatest operating current",
    unit="A",
    cites="data sheets of accelerometers",
    needs=("I", "least_I", "most_I"),
    remedy="Set the constant current within what the accelerometer takes.",
)
def constant_current(c: Accelerometer) -> All:
    """Both ends of the current against both ends of what is taken."""
    return All(
        (Bound(c.least_I, c.I.low, what="least"), Bound(c.I.high, c.most_I, what="greatest"))
    )


@function_rule(
    "slew",
    Accelerometer,
    says="The current that is left charges the cable fast enough.",
    relation="highest frequency <= (excitation current - 1 mA) / (2 pi x capacitance x peak)",
    unit="Hz",
    cites="common practice, no source",
    needs=("I", "signal_low", "signal_high", "C_line", "frequency"),
    remedy="A larger constant current, shorter cable, cable with less capacitance.",
)
def slew_of_current(c: Accelerometer) -> Bound:
    """Highest frequency against that which the current can drive at the full peak."""
    left = c.I.low - OWN_CURRENT
    return Bound(c.frequency.high, _slew(left, c.signal_low, c.signal_high, c.C_line.high))
