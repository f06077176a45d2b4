"""Two-wire transmitters at 4-20 mA, through a shunt-diode barrier or an isolator.

Levels of alarm: NAMUR NE 43 (from memory). HART figures: FSK physical layer (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from subspark.rules.bound import Bound
from subspark.rules.columns import NOTHING, Bools, Floats
from subspark.rules.function.columns import Table, Triple, column, interpolate
from subspark.rules.function.registry import function_rule, kind

__all__ = ["TwoWire"]

HART_PEAK = 0.5e-3
"""Peak of the HART signal current [A]; FSK physical layer, from memory."""
COLD_KNEE = 0.001
"""Fall of a working voltage per kelvin below 20 degC, as a share; from memory."""
LEAKAGE_DOUBLES = 10.0
"""Kelvin in which the leakage of a barrier doubles; common practice, no source."""
SPAN = 0.016


@kind("two-wire loop", "A two-wire transmitter that takes its supply from the loop, 4-20 mA.")
@dataclass(frozen=True, slots=True, kw_only=True)
class TwoWire:
    """Columns of two-wire loops; volts, amperes, ohms, degC.

    ``barrier`` is 1 where the source is a shunt-diode barrier and 0 where it is an isolator:
    then ``supply``, ``load`` and the barrier's own figures ask nothing.
    """

    barrier: Floats = column("source", "role of the source")
    open_voltage: Triple = column(
        "source", "open-circuit voltage, or terminal voltages, of the source"
    )
    inner: Triple = column("source", "internal resistance of the source")
    curve: Table = column("source", "terminal voltage of the source")
    tabled: Floats = column("source", "whether the source is given by a table")
    limit: Triple = column("source", "current limit of the source")
    end_to_end: Triple = column("source", "end-to-end resistance of the barrier")
    drop: Triple = column("source", "voltage drop of the barrier")
    working: Triple = column("source", "working voltage of the barrier")
    leakage: Triple = column("source", "leakage current of the barrier")
    least: Triple = column("source", "least resistance of the barrier")
    fuse: Triple = column("source", "fuse current of the barrier")
    highest: Triple = column("source", "highest supply of the barrier")
    return_working: Triple = column("source", "working voltage of the return channel")
    two_channel: Floats = column("source", "whether the barrier has a return channel")
    passes: Floats = column("source", "whether the source passes HART")
    port: Triple = column("source", "HART resistance of the source")
    hot: Floats = column("circuit", "highest ambient of the cabinet")
    cold: Floats = column("circuit", "lowest ambient of the cabinet")
    supply: Triple = column("circuit", "supply voltage on the safe side")
    load: Triple = column("circuit", "load resistance on the safe side")
    in_return: Floats = column("circuit", "load place")
    card: Triple = column("circuit", "input limit voltage of the card")
    budget: Triple = column("circuit", "error budget share")
    hart: Floats = column("circuit", "whether HART is used")
    margin: Triple = column("circuit", "margin")
    I_low: Triple = column("circuit", "low alarm current")
    I_high: Triple = column("circuit", "high alarm current")
    need: Table = column("device", "lift-off voltage of the transmitter")
    bearable: Triple = column("device", "highest operating voltage of the transmitter")
    C_device: Triple = column("device", "input capacitance of the transmitter")
    series: Table = column("device", "voltage drop of what stands in series")
    series_R: Triple = column("device", "series resistance of what stands in series")
    line: Triple = column("line", "resistance of the cable, both cores")
    C_line: Triple = column("line", "capacitance of the cable")


def currents(c: TwoWire) -> tuple[Floats, ...]:
    """The currents at which a loop is tested: both alarm ends and every breakpoint between.

    -inf where a breakpoint lies outside the ends. The difference of two piecewise linear
    curves is least at one of these.
    """
    top = highest_current(c)
    out = [c.I_low.low, top]
    for table in (c.curve, c.need, c.series):
        for at in table.at:
            inside = (c.I_low.low < at) & (top > at)
            out.append(np.where(inside, at, NOTHING))
    return tuple(out)


def highest_current(c: TwoWire) -> Floats:
    """High alarm, with the peak of the HART signal where HART is used [A]."""
    top: Floats = c.I_high.high + HART_PEAK * c.hart
    return top


def at_source(c: TwoWire, I: Floats, *, most: bool = False) -> Floats:  # noqa: E741
    """Volts at the hazardous terminals of the source at a current [V].

    Parameters
    ----------
    I : (S) [A]
    most : bool
        The greatest that it can be (high supply, least ohms), not the least.
    """
    is_barrier = c.barrier > 0.0
    if most:
        behind = c.supply.high - c.drop.low
        ohms = c.end_to_end.low + c.load.low
        tabled = interpolate(c.curve.at, c.curve.high, I)
        isolated = np.where(c.tabled > 0.0, tabled, c.open_voltage.high - I * c.inner.low)
    else:
        behind = c.supply.low - c.drop.high
        ohms = c.end_to_end.high + c.load.high
        tabled = interpolate(c.curve.at, c.curve.low, I, falling=True)
        isolated = np.where(c.tabled > 0.0, tabled, c.open_voltage.low - I * c.inner.high)
    return np.where(is_barrier, behind - I * ohms, isolated)


def in_series(c: TwoWire, I: Floats) -> Floats:  # noqa: E741
    """Volts lost in indicators and the like at a current [V]; 0 where there are none."""
    if c.series.at.shape[0] == 0:
        return np.zeros(())
    none = np.isnan(c.series.at).all(axis=0)
    return np.where(none, 0.0, interpolate(c.series.at, c.series.high, I))


def left(c: TwoWire, I: Floats) -> Floats:  # noqa: E741
    """Volts left at the transmitter at a current, everything against it [V]."""
    lost = I * (c.line.high + c.series_R.high) + in_series(c, I)
    remaining: Floats = at_source(c, I) - lost
    return remaining


@function_rule(
    "lift-off",
    TwoWire,
    says="At every current between the alarm ends the transmitter is left the volts it needs.",
    relation="lift-off voltage + margin <= volts left at the transmitter",
    unit="V",
    cites="NAMUR NE 43 for the alarm ends; Ohm's law",
    needs=(
        *("barrier", "open_voltage", "inner", "curve", "supply", "drop", "end_to_end", "load"),
        *("line", "series", "series_R", "need", "margin", "I_low", "I_high", "hart"),
    ),
    remedy="Thicker or shorter cable, a source with fewer ohms or more volts, a lower alarm "
    "current, a smaller load, no indicator.",
)
def lift_off(c: TwoWire) -> Bound:
    """Demand and limit at every tested current."""
    demands, limits, at = [], [], []
    for current in currents(c):
        asked = np.isfinite(current) | np.isnan(current)
        with np.errstate(invalid="ignore"):
            need = interpolate(c.need.at, c.need.high, current) + c.margin.high
            limit = left(c, current)
        demands.append(np.where(asked, need, NOTHING))
        limits.append(np.where(asked, limit, np.inf))
        at.append(current)
    shape = np.broadcast_shapes(*(one.shape for one in (*demands, *limits)))
    stacked = [
        np.stack([np.broadcast_to(one, shape) for one in row]) for row in (demands, limits, at)
    ]
    return Bound(stacked[0], stacked[1], over="current", at=stacked[2])


@function_rule(
    "operating voltage",
    TwoWire,
    says="At the low alarm the transmitter gets no more volts than it works with.",
    relation="volts at the transmitter at the low alarm <= highest operating voltage",
    unit="V",
    cites="Ohm's law, with the highest supply and the least ohms",
    needs=("barrier", "open_voltage", "supply", "drop", "line", "I_low", "bearable"),
    remedy="A source with fewer volts.",
)
def operating_voltage(c: TwoWire) -> Bound:
    """Volts at the low alarm with everything for them, against what is borne."""
    I = c.I_low.low  # noqa: E741 - the symbol of current
    most = at_source(c, I, most=True) - I * c.line.low
    return Bound(most, c.bearable.low)


@function_rule(
    "current limit",
    TwoWire,
    says="The source can deliver the highest current that the loop asks.",
    relation="high alarm current <= current limit",
    unit="A",
    cites="common practice, no source",
    needs=("barrier", "limit", "curve", "I_high", "hart"),
    remedy="A source with a higher current limit, or a lower alarm current.",
)
def current_limit(c: TwoWire) -> Bound:
    """Highest current against the limit; of an isolator given by a table, its last point."""
    last = np.fmax.reduce(c.curve.at, axis=0, initial=NOTHING)
    known = np.where((c.tabled > 0.0) & np.isnan(c.limit.low), last, c.limit.low)
    asked = np.where(c.barrier > 0.0, NOTHING, highest_current(c))
    return Bound(asked, known)


def _knee(c: TwoWire, working: Floats) -> Floats:
    """Working voltage at the coldest that the cabinet gets [V]."""
    fall = np.maximum(20.0 - c.cold, 0.0) * COLD_KNEE
    knee: Floats = working * (1.0 - fall)
    return knee


@function_rule(
    "working voltage",
    TwoWire,
    says="The supply stays below the voltage at which the barrier begins to conduct, also cold.",
    relation="highest supply <= working voltage when cold",
    unit="V",
    cites="barrier data sheets; the knee of the diodes is lowest cold (from memory)",
    needs=("barrier", "supply", "working", "cold"),
    remedy="A regulated supply with less voltage, or a barrier with a higher working voltage.",
)
def working_voltage(c: TwoWire) -> Bound:
    """Highest supply against the working voltage when cold."""
    return Bound(_of_barrier(c, c.supply.high), _knee(c, c.working.low))


@function_rule(
    "return channel",
    TwoWire,
    says="The terminal of the return channel stays below its working voltage.",
    relation="return drop + I x load <= working voltage of the return channel when cold",
    unit="V",
    cites="Ohm's law at the high alarm",
    needs=("barrier", "two_channel", "load", "in_return", "drop", "return_working", "I_high"),
    remedy="A return channel with a higher working voltage, or a smaller load.",
)
def return_channel(c: TwoWire) -> Bound:
    """Voltage of the return terminal at the high alarm."""
    rise = c.drop.high + highest_current(c) * c.load.high
    asked = (c.two_channel > 0.0) & (c.in_return > 0.0)
    return Bound(_of_barrier(c, np.where(asked, rise, NOTHING)), _knee(c, c.return_working.low))


@function_rule(
    "leakage",
    TwoWire,
    says="The leakage of a hot barrier does not spoil the signal.",
    relation="leakage at the highest ambient / 16 mA <= error budget",
    unit="%",
    cites="leakage doubles every 10 K (common practice, no source)",
    needs=("barrier", "leakage", "hot", "budget", "in_return"),
    remedy="A barrier with less leakage, a cooler cabinet, a supply further below its knee.",
)
def leakage(c: TwoWire) -> Bound:
    """Error by leakage; with the load in the return leg it does not pass the load."""
    hot = c.leakage.high * 2.0 ** (np.maximum(c.hot - 20.0, 0.0) / LEAKAGE_DOUBLES)
    error = np.where(c.in_return > 0.0, 0.0, hot / SPAN)
    return Bound(_of_barrier(c, error), c.budget.low)


@function_rule(
    "barrier fuse",
    TwoWire,
    says="A core that touches earth does not blow the fuse of the barrier.",
    relation="highest supply / least resistance <= fuse current",
    unit="A",
    cites="Ohm's law with the highest supply",
    needs=("barrier", "supply", "least", "fuse"),
    remedy="A barrier with a current-limited supply or a larger fuse; else keep fuses in stock.",
)
def barrier_fuse(c: TwoWire) -> Bound:
    """Current of a core that touches earth at the terminals of the barrier."""
    return Bound(_of_barrier(c, c.supply.high / c.least.low), c.fuse.low)


@function_rule(
    "barrier supply",
    TwoWire,
    says="The supply never exceeds what the barrier bears before its fuse blows.",
    relation="highest supply <= highest supply of the barrier",
    unit="V",
    cites="barrier data sheets",
    needs=("barrier", "supply", "highest"),
    remedy="A regulated supply with less voltage.",
)
def barrier_supply(c: TwoWire) -> Bound:
    """Highest supply against what the barrier bears."""
    return Bound(_of_barrier(c, c.supply.high), c.highest.low)


@function_rule(
    "input card",
    TwoWire,
    says="A short in the field does not put more volts on the input card than it endures.",
    relation="highest supply x load / (least resistance + load) <= input limit voltage",
    unit="V",
    cites="Ohm's law at a field short with the load in the return leg",
    needs=("barrier", "supply", "least", "load", "card", "in_return"),
    remedy="An input card that endures it, a series resistor, or the load in the supply leg.",
)
def input_card(c: TwoWire) -> Bound:
    """Voltage on the card at a field short; asked where the load is in the return leg."""
    short = c.supply.high * c.load.high / (c.least.low + c.load.high)
    return Bound(_of_barrier(c, np.where(c.in_return > 0.0, short, NOTHING)), c.card.low)


@function_rule(
    "HART",
    TwoWire,
    says="The modem sees enough ohms across its own port, and the source lets HART pass.",
    relation="230 ohm <= ohms across the modem's port",
    unit="ohm",
    cites="HART FSK physical layer (from memory)",
    needs=("hart", "passes", "port", "load", "barrier"),
    remedy="A resistor of 250 ohm across the modem's port, or a source that passes HART.",
)
def hart_port(c: TwoWire) -> Bound:
    """Least ohms against those across the port: the load by a barrier, else the isolator's own."""
    port = np.where(c.barrier > 0.0, c.load.low, c.port.low)
    passed = np.where(c.passes > 0.0, port, np.where(np.isnan(c.passes), np.nan, 0.0))
    return Bound(_with_hart(c, np.full(c.hart.shape, HART_LEAST)), passed)


HART_LEAST = 230.0
HART_MOST = 1100.0
HART_TIME = 65e-6


@function_rule(
    "HART load",
    TwoWire,
    says="The modem does not see too many ohms.",
    relation="ohms of the loop <= 1100 ohm",
    unit="ohm",
    cites="common guides; the specification's text says 600 ohm (from memory)",
    needs=("hart", "load", "end_to_end", "line", "barrier", "port"),
    remedy="A smaller load or a barrier with fewer ohms.",
)
def hart_load(c: TwoWire) -> Bound:
    """Ohms of the whole loop as the signal sees it."""
    return Bound(_with_hart(c, _loop_ohms(c)), np.full(c.hart.shape, HART_MOST))


def _loop_ohms(c: TwoWire) -> Floats:
    ours = np.where(c.barrier > 0.0, c.end_to_end.high + c.load.high, c.port.high)
    ohms: Floats = ours + c.line.high + c.series_R.high
    return ohms


@function_rule(
    "HART time constant",
    TwoWire,
    says="Cable and devices are not so capacitive that they swallow the signal.",
    relation="ohms of the loop x capacitance <= 65 µs",
    unit="s",
    cites="HART FSK physical layer (from memory)",
    needs=("hart", "load", "end_to_end", "line", "barrier", "port", "C_line", "C_device"),
    remedy="Shorter cable, cable with less capacitance, fewer ohms.",
)
def hart_time(c: TwoWire) -> Bound:
    """Time constant, the ohms of the cable counted."""
    tau = _loop_ohms(c) * (c.C_line.high + c.C_device.high)
    return Bound(_with_hart(c, tau), np.full(c.hart.shape, HART_TIME))


def _of_barrier(c: TwoWire, demand: Floats) -> Floats:
    """The demand where the source is a barrier; nothing of an isolator."""
    return np.where(c.barrier == 0.0, NOTHING, demand)


def _with_hart(c: TwoWire, demand: Floats) -> Floats:
    """The demand where HART is used; unknown where that is not said."""
    used: Bools = c.hart > 0.0
    return np.where(used, demand, np.where(np.isnan(c.hart), np.nan, NOTHING))
