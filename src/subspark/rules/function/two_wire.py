"""Two-wire transmitters at 4-20 mA, through a shunt-diode barrier or an isolator.

A loop is tested at every current at which what is left can be least: both alarm ends, the
peak of a HART signal, the start, and every breakpoint of a characteristic between them.
"""

# ruff: noqa: E741 - I is the trade's symbol of a current
from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from subspark.rules.bound import Bound
from subspark.rules.columns import NOTHING, Floats
from subspark.rules.function.columns import Table, Triple, column
from subspark.rules.function.feeding import (
    breakpoints,
    certain,
    decimal,
    either,
    feed_rules,
    highest_in,
    hot_leakage,
    isolator_rules,
    left,
    leg,
    most_left,
    nothing_of,
    stacked,
)
from subspark.rules.function.hart import HART_PEAK, Hart, hart_rules
from subspark.rules.function.levels import level
from subspark.rules.function.registry import function_rule, kind

__all__ = ["TwoWire", "highest_current"]

SPAN = 0.016
"""4 to 20 mA [A]."""
SIGNAL = (0.004, 0.020)
"""The ends of the signal [A]."""
LEAST_MEASURED = level("signal least measured").nominal
MOST_MEASURED = level("signal most measured").nominal


@kind("two-wire loop", "A two-wire transmitter that takes its supply from the loop, 4-20 mA.")
@dataclass(frozen=True, slots=True, kw_only=True)
class TwoWire(Hart):
    """Columns of two-wire loops; volts, amperes, ohms, degC.

    ``I_start`` is what the transmitter takes to start, 0 where no more than its signal.
    """

    accuracy: Triple = column("source", "accuracy of the source")
    budget: Triple = column("circuit", "error budget share")
    I_low: Triple = column("circuit", "low alarm current")
    I_high: Triple = column("circuit", "high alarm current")
    low_alarm: Triple = column("circuit", "low alarm threshold of the input")
    high_alarm: Triple = column("circuit", "high alarm threshold of the input")
    I_start: Triple = column("device", "start current of the transmitter")
    need: Table = column("device", "lift-off voltage of the transmitter")
    bearable: Triple = column("device", "highest operating voltage of the transmitter")


def highest_current(c: TwoWire) -> Floats:
    """High alarm with the peak of a HART signal, or start [A]; NaN where HART is not settled."""
    peak = np.where(c.hart > 0.0, HART_PEAK, np.where(c.hart == 0.0, 0.0, np.nan))
    top: Floats = np.maximum(decimal(c.I_high.high + peak), c.I_start.high)
    return top


def _currents(c: TwoWire) -> tuple[list[Floats], Floats]:
    """The currents at which a loop is tested, and the highest without a peak of HART [A]."""
    quiet = np.maximum(c.I_high.high, c.I_start.high)
    peak = np.where(c.hart == 0.0, 0.0, HART_PEAK)
    top = np.maximum(decimal(c.I_high.high + peak), c.I_start.high)
    ends = [c.I_low.low, quiet, np.where(top > quiet, top, NOTHING)]
    inner = breakpoints(c.I_low.low, top, c.curve, c.need, c.series, c.drop)
    return [*ends, *inner], quiet


@function_rule(
    "lift-off",
    TwoWire,
    says="At every current between the alarm ends the transmitter is left the volts it needs.",
    relation="lift-off voltage + margin <= volts left at the transmitter",
    unit="V",
    cites="NAMUR NE 43 for the alarm ends; HART adds 0.5 mA at its peak (from memory); Ohm's law",
    needs=(
        *("barrier", "open_voltage", "inner", "curve", "supply", "drop", "end_to_end"),
        *("regulated", "own", "back", "back_drop", "two_channel", "load", "common", "others"),
        *("line", "series", "series_R", "need", "margin", "I_low", "I_high", "I_start", "hart"),
    ),
    remedy="Thicker or shorter cable, cores in parallel, a source with fewer ohms or more volts, "
    "a lower alarm current, a smaller load, no indicator.",
)
def lift_off(c: TwoWire) -> Bound:
    """Demand and limit at every tested current.

    The peak of a HART signal of which nothing is said counts where it does no harm, and
    leaves the question open where it does.
    """
    tested, quiet = _currents(c)
    parts = []
    for I in tested:
        need = highest_in(c.need.at, c.need.high, I) + c.margin.high
        limit = left(c, I)
        doubted = np.greater(I, quiet) & np.isnan(c.hart) & ~(need <= limit)
        demand = np.where(np.isneginf(I), NOTHING, np.where(doubted, np.nan, need))
        parts.append((I, demand, np.where(np.isneginf(I), np.inf, limit)))
    return stacked(parts)


@function_rule(
    "volts by certificate",
    TwoWire,
    says="Safety data alone do not exclude that the transmitter gets the volts it needs.",
    relation="lift-off voltage <= Uo - I x (Uo / Io of a linear source + line)",
    unit="V",
    cites="Ohm's law: no source gives more than its certificate allows",
    needs=("Uo", "Io", "linear", "need"),
    remedy="Another source: no supply and no cable makes this one work.",
)
def by_certificate(c: TwoWire) -> Bound:
    """Asks only where the circuit cannot work whatever the functional figures are."""
    inner = breakpoints(c.I_low.low, c.I_high.low, c.need)
    signal = [np.where(c.I_high.high < one, NOTHING, one) for one in SIGNAL]
    tested = [*signal, c.I_low.high, c.I_high.low, *inner]
    parts = []
    for I in tested:
        need = highest_in(c.need.at, c.need.low, I, highest=False)
        volts = np.where(c.Io < I, 0.0, certain(c, I))
        proved = np.isfinite(I) & (need > volts)
        parts.append((I, np.where(proved, need, NOTHING), np.where(proved, volts, 0.0)))
    return stacked(parts)


@function_rule(
    "operating voltage",
    TwoWire,
    says="At the low alarm the transmitter gets no more volts than it works with.",
    relation="volts at the transmitter at the low alarm <= highest operating voltage",
    unit="V",
    cites="Ohm's law, with the highest supply, the least ohms and cold conductors",
    needs=("barrier", "open_voltage", "curve", "supply", "drop", "line", "I_low", "bearable"),
    remedy="A source with fewer volts.",
)
def operating_voltage(c: TwoWire) -> Bound:
    """Volts at the low alarm with everything for them, against what is borne."""
    return Bound(most_left(c, c.I_low.low, c.bearable.low), c.bearable.low)


@function_rule(
    "accuracy",
    TwoWire,
    says="Leakage of a hot barrier, or the error of an isolator, does not spoil the signal.",
    relation="(leakage at the highest ambient + own current) / 16 mA, or accuracy <= error budget",
    unit="%",
    cites="leakage doubles every 10 K (common practice, no source)",
    needs=("barrier", "leakage", "return_leakage", "own", "hot", "budget", "in_return", "accuracy"),
    remedy="A barrier with less leakage, a cooler cabinet, a supply further below its knee, "
    "a more accurate isolator.",
)
def accuracy(c: TwoWire) -> Bound:
    """Error by what passes the load and not the transmitter, or the other way round.

    With the load in the supply leg the supply channel's leakage adds; in the return leg only
    that of the return channel counts, and takes away. Isolators are asked where a budget is.
    """
    added = (hot_leakage(c.leakage.high, c.hot) + c.own.high) / SPAN
    taken = hot_leakage(c.return_leakage.high, c.hot) / SPAN
    barrier = either(leg(c), taken, added, c.budget.low)
    isolator = np.where(np.isnan(c.budget.low), NOTHING, c.accuracy.high)
    demand = np.where(c.barrier > 0.0, barrier, np.where(c.barrier == 0.0, isolator, np.nan))
    return Bound(demand, c.budget.low)


@function_rule(
    "low alarm",
    TwoWire,
    says="The low alarm of the transmitter is told as such at the input, leakage added.",
    relation="low alarm current + leakage <= low alarm threshold",
    unit="A",
    cites="NAMUR NE 43: 3.6 mA; up to 3.8 mA neither alarm nor measurement (from memory)",
    needs=("barrier", "I_low", "leakage", "own", "hot", "in_return", "low_alarm"),
    remedy="A lower alarm current, a barrier with less leakage, the load in the return leg, "
    "another threshold at the input.",
    near=True,
)
def low_alarm(c: TwoWire) -> Bound:
    """Lowest current as the load sees it; one that is still a measurement asks nothing."""
    more = hot_leakage(c.leakage.high, c.hot) + c.own.high
    seen = either(leg(c), c.I_low.high, c.I_low.high + more, c.low_alarm.low)
    read = np.where(c.barrier > 0.0, seen, np.where(c.barrier == 0.0, c.I_low.high, np.nan))
    return Bound(np.where(c.I_low.low >= LEAST_MEASURED, NOTHING, read), c.low_alarm.low)


@function_rule(
    "high alarm",
    TwoWire,
    says="The high alarm of the transmitter is told as such at the input, leakage taken off.",
    relation="high alarm threshold + leakage of the return channel <= high alarm current",
    unit="A",
    cites="NAMUR NE 43: 21 mA; from 20.5 mA neither alarm nor measurement (from memory)",
    needs=("barrier", "I_high", "return_leakage", "hot", "in_return", "high_alarm"),
    remedy="A higher alarm current, a barrier with less leakage, another threshold at the input.",
    near=True,
)
def high_alarm(c: TwoWire) -> Bound:
    """Highest current as the load sees it; one that is still a measurement asks nothing."""
    taken = hot_leakage(c.return_leakage.high, c.hot)
    threshold, current = c.high_alarm.high, c.I_high.low
    asked = either(leg(c), threshold + taken, threshold, current)
    told = np.where(c.barrier > 0.0, asked, np.where(c.barrier == 0.0, threshold, np.nan))
    return Bound(np.where(c.I_high.high <= MOST_MEASURED, NOTHING, told), current)


@function_rule(
    "return rail",
    TwoWire,
    says="The currents of other circuits in a common return rail do not spoil the signal.",
    relation="others x common resistance / (load x 16 mA) <= error budget",
    unit="%",
    cites="Ohm's law; asked with the load in the return leg and a common resistance stated",
    needs=("barrier", "common", "others", "load", "in_return", "budget"),
    remedy="A thicker return rail, fewer circuits on it, an input that measures across its load.",
)
def return_rail(c: TwoWire) -> Bound:
    """Shift of the rail as a share of the span across the load."""
    error = c.others.high * c.common.high / (c.load.low * SPAN)
    asked = either(leg(c), error, np.full(1, NOTHING), c.budget.low)
    return Bound(nothing_of(c.barrier * (c.common.high != 0.0), asked), c.budget.low)


feed_rules(TwoWire, highest_current, needs=("I_high", "I_start", "hart"))
isolator_rules(TwoWire, highest_current, needs=("I_high", "I_start", "hart"))
hart_rules(TwoWire)
