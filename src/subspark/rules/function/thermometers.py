"""Resistance thermometers and potentiometers on two, three or four wires.

Curves: IEC 60751 and others, see :mod:`subspark.physics.thermometry`. The error of the leads is
worst at an end of the measured range for each of its curves: the slope of platinum falls with the
temperature, that of nickel rises.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from subspark.physics.loops import leakage_at, working_voltage_at
from subspark.physics.thermometry import thermometer_resistance, thermometer_slope
from subspark.rules.bound import All, Bound
from subspark.rules.columns import NOTHING, Floats
from subspark.rules.function.columns import Triple, column
from subspark.rules.function.registry import function_rule, kind

__all__ = ["Potentiometer", "Thermometer", "error_at", "errors_at"]


@kind("resistance thermometer", "A resistance thermometer on two, three or four wires.")
@dataclass(frozen=True, slots=True, kw_only=True)
class Thermometer:
    """Columns of resistance thermometers; ohms, amperes, volts, degC, kelvins.

    ``barrier`` is 1 where a shunt-diode barrier stands between input and field. ``lead`` is one
    core, ``channel`` one channel of the barrier in series with it; ``skew`` the difference of the
    two measuring currents. ``taken_off`` are the ohms of both legs that the instrument takes off.
    Between ``coldest`` and ``hottest`` the temperature is measured.
    """

    barrier: Floats = column("source", "role of the source")
    channel: Triple = column("source", "channel resistance of the barrier")
    mismatch: Triple = column("source", "channel mismatch of the barrier")
    working: Triple = column("source", "working voltage of the barrier")
    leakage: Triple = column("source", "leakage current of the barrier")
    excitation: Triple = column("source", "excitation current of the input")
    skew: Triple = column("source", "current mismatch of the input")
    bias: Triple = column("source", "bias current of the input")
    leg_limit: Triple = column("source", "highest lead resistance of the input")
    volts: Triple = column("source", "open-circuit voltage of the input")
    hot: Floats = column("circuit", "highest ambient of the cabinet")
    cold: Floats = column("circuit", "lowest ambient of the cabinet")
    wires: Floats = column("circuit", "wires of the thermometer")
    lead_mismatch: Triple = column("circuit", "lead mismatch")
    taken_off: Triple = column("circuit", "compensated resistance")
    budget: Triple = column("circuit", "error budget")
    coldest: Floats = column("circuit", "measured temperature")
    hottest: Floats = column("circuit", "measured temperature")
    curve: Floats = column("device", "element of the thermometer")
    R0: Triple = column("device", "resistance at 0 °C of the thermometer")
    lead: Triple = column("line", "resistance of one core of the cable")


def by_wires(wires: Floats, two: Floats, three: Floats, four: Floats) -> Floats:
    """What holds for that number of wires; unknown for another."""
    other = np.where(wires == 4.0, four, np.nan)
    return np.where(wires == 2.0, two, np.where(wires == 3.0, three, other))


def residue(lead: Triple, channel: Triple, legs: float, taken_off: Triple) -> Floats:
    """Ohms of so many legs less those taken off, whichever way they are off more [ohm]."""
    most = legs * (lead.high + channel.high) - taken_off.low
    least = taken_off.high - legs * (lead.low + channel.low)
    return np.maximum(most, least)


def errors_at(c: Thermometer, t: Floats) -> dict[str, Floats]:
    """The parts of the error at a temperature [K]: legs, mismatches, currents.

    A leakage takes its share of the measuring current past the element, which then reads as fewer
    ohms: ``R I_leak / I``.
    """
    R0, curve = c.R0.low, c.curve
    slope = thermometer_slope(R0, t, curve)
    leg = c.lead.high + c.channel.high
    zero = np.zeros(())
    legs = residue(c.lead, c.channel, 2.0, c.taken_off)
    biased = c.bias.high * 2.0 * leg / c.excitation.low
    leaking = leakage_at(c.leakage.high, c.hot) / c.excitation.low
    past = np.where(c.barrier == 0.0, 0.0, leaking * thermometer_resistance(R0, t, curve))
    parts = {
        "both legs": (legs, zero, zero),
        "mismatch of the cores": (zero, c.lead_mismatch.high * c.lead.high, zero),
        "mismatch of the channels": (zero, c.mismatch.high, zero),
        "mismatch of the currents": (zero, c.skew.high * leg, zero),
        "bias current through the sensing legs": (zero, zero, biased),
        "leakage of the barrier": (past, past, past),
    }
    return {name: by_wires(c.wires, *ohms) / slope for name, ohms in parts.items()}


def error_at(c: Thermometer, t: Floats) -> Floats:
    """The whole error at a temperature, every part against it [K]."""
    total = np.zeros(())
    for part in errors_at(c, t).values():
        total = total + part
    return total


@function_rule(
    "lead error",
    Thermometer,
    says="Leads and barrier do not spoil the measured temperature, at either end of its range.",
    relation="ohms in error / slope of the element <= error budget",
    unit="K",
    cites="IEC 60751 for platinum (from memory); Ohm's law",
    needs=(
        *("barrier", "wires", "lead", "channel", "taken_off", "lead_mismatch", "mismatch", "skew"),
        *("bias", "excitation", "leakage", "hot", "curve", "R0", "coldest", "hottest", "budget"),
    ),
    remedy="Three or four wires, matched channels, thicker or shorter cable, an element of more "
    "ohms, an isolator in place of a barrier.",
)
def lead_error(c: Thermometer) -> All:
    """Error against budget at both ends of the measured range."""
    return All(
        (
            Bound(error_at(c, c.coldest), c.budget.low, what="lowest temperature"),
            Bound(error_at(c, c.hottest), c.budget.low, what="highest temperature"),
        )
    )


@function_rule(
    "ohms per leg",
    Thermometer,
    says="No leg has more ohms than the input allows, the channel of the barrier included.",
    relation="lead + channel <= highest lead resistance",
    unit="ohm",
    cites="data sheets of temperature inputs",
    needs=("lead", "channel", "leg_limit"),
    remedy="Thicker or shorter cable, a barrier with fewer ohms, an isolator.",
)
def ohms_per_leg(c: Thermometer) -> Bound:
    """One core and one channel against the limit of the input."""
    return Bound(c.lead.high + c.channel.high, c.leg_limit.low)


def volts_asked(c: Thermometer) -> Floats:
    """Volts that the measuring current asks, the element at its hottest [V].

    On three wires the common leg carries both currents.
    """
    two, three = np.full((), 2.0), np.full((), 3.0)
    legs = by_wires(c.wires, two, three, two)
    element = thermometer_resistance(c.R0.high, c.hottest, c.curve)
    asked: Floats = c.excitation.high * (element + legs * (c.lead.high + c.channel.high))
    return asked


@function_rule(
    "compliance",
    Thermometer,
    says="The input can drive its current, and the barrier does not begin to conduct.",
    relation="measuring current x (element + legs) <= open-circuit voltage, working voltage",
    unit="V",
    cites="Ohm's law at the highest temperature",
    needs=("barrier", "wires", "excitation", "R0", "curve", "hottest", "lead", "channel", "volts",
           "working", "cold"),
    remedy="A smaller measuring current, thicker cable, a barrier of a higher working voltage.",
)  # fmt: skip
def compliance(c: Thermometer) -> All:
    """Volts asked against those of the input, and against the knee of a cold barrier."""
    asked = volts_asked(c)
    at_barrier = np.where(c.barrier == 0.0, NOTHING, asked)
    return All(
        (
            Bound(asked, c.volts.low, what="input"),
            Bound(at_barrier, working_voltage_at(c.working.low, c.cold), what="barrier"),
        )
    )


@kind("potentiometer", "A potentiometer on two or three wires.")
@dataclass(frozen=True, slots=True, kw_only=True)
class Potentiometer:
    """Columns of potentiometers; ohms, and shares of span.

    ``least`` and ``most`` are the tracks that the input takes.
    """

    channel: Triple = column("source", "channel resistance of the barrier")
    leg_limit: Triple = column("source", "highest lead resistance of the input")
    least: Triple = column("source", "lowest load of the input")
    most: Triple = column("source", "highest load of the input")
    wires: Floats = column("circuit", "wires of the potentiometer")
    taken_off: Triple = column("circuit", "compensated resistance")
    budget: Triple = column("circuit", "error budget share")
    track: Triple = column("device", "track resistance of the potentiometer")
    lead: Triple = column("line", "resistance of one core of the cable")


@function_rule(
    "lead error",
    Potentiometer,
    says="Leads and barrier do not shift the ends of the span too far.",
    relation="ohms of a leg / (track + both legs) <= error budget",
    unit="%",
    cites="Ohm's law; on two wires both legs over the track",
    needs=("wires", "lead", "channel", "taken_off", "track", "budget"),
    remedy="A track of more ohms, thicker or shorter cable, ohms taken off in the instrument.",
)
def shift(c: Potentiometer) -> Bound:
    """Share of span by which an end of the track is read off, with most and fewest ohms."""
    most = c.lead.high + c.channel.high
    least = c.lead.low + c.channel.low
    track = c.track.low
    over = (most - c.taken_off.low / 2.0) / (track + 2.0 * most)
    under = (c.taken_off.high / 2.0 - least) / (track + 2.0 * least)
    two = residue(c.lead, c.channel, 2.0, c.taken_off) / track
    unknown = np.full((), np.nan)
    return Bound(by_wires(c.wires, two, np.maximum(over, under), unknown), c.budget.low)


@function_rule(
    "ohms per leg",
    Potentiometer,
    says="No leg has more ohms than the input allows, the channel of the barrier included.",
    relation="lead + channel <= highest lead resistance",
    unit="ohm",
    cites="data sheets of resistance inputs",
    needs=("lead", "channel", "leg_limit"),
    remedy="Thicker or shorter cable, a barrier with fewer ohms, an isolator.",
)
def ohms_per_leg_of_track(c: Potentiometer) -> Bound:
    """One core and one channel against the limit of the input."""
    return Bound(c.lead.high + c.channel.high, c.leg_limit.low)


@function_rule(
    "range of the track",
    Potentiometer,
    says="Track and leads lie within what the input takes.",
    relation="lowest load <= track + legs <= highest load",
    unit="ohm",
    cites="data sheets of resistance inputs",
    needs=("track", "lead", "channel", "least", "most"),
    remedy="An input for that track, or a track for that input.",
)
def track_range(c: Potentiometer) -> All:
    """The whole way through the track against both ends of what the input takes."""
    low = c.track.low + 2.0 * (c.lead.low + c.channel.low)
    high = c.track.high + 2.0 * (c.lead.high + c.channel.high)
    return All((Bound(c.least.high, low, what="least"), Bound(high, c.most.low, what="most")))
