"""Several two-wire transmitters on one pair, each at a fixed current, that speak by HART.

Every current is taken to flow through the whole line, so each device stands at its far end.
The devices start together when the supply comes back. How long a round of polling takes is
not judged.
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
    feed_rules,
    highest_in,
    isolator_rules,
    left,
    most_left,
    stacked,
)
from subspark.rules.function.hart import HART_PEAK, Hart, hart_rules
from subspark.rules.function.levels import level
from subspark.rules.function.registry import function_rule, kind

__all__ = ["Multidrop", "together"]

SHORT_ADDRESSES = level("HART devices by a short address")


@kind("multidrop loop", "One of several two-wire transmitters with fixed currents on one pair.")
@dataclass(frozen=True, slots=True, kw_only=True)
class Multidrop(Hart):
    """Columns of a transmitter among others; volts, amperes, ohms.

    ``I_own`` is its fixed current, ``I_start`` what it takes to start (at least the fixed
    one); ``I_all`` and ``I_starts`` are the sums of all, its own among them.
    """

    count: Floats = column("device", "transmitters on the pair")
    I_own: Triple = column("device", "fixed current of the transmitter")
    I_start: Triple = column("device", "start current of the transmitter")
    I_all: Triple = column("device", "fixed current of every transmitter")
    I_starts: Triple = column("device", "start current of every transmitter")
    need: Table = column("device", "lift-off voltage of the transmitter")
    bearable: Triple = column("device", "highest operating voltage of the transmitter")


def together(c: Multidrop) -> Floats:
    """All currents at once, at the start or with the peak of the signal [A]."""
    return np.maximum(decimal(c.I_all.high + HART_PEAK), decimal(c.I_starts.high))


def _needs(c: Multidrop, *, most: bool) -> Floats:
    """The most, or the least, that the transmitter needs between its own currents [V]."""
    volts = c.need.high if most else c.need.low
    inner = breakpoints(c.I_own.low, c.I_start.high, c.need)
    out = highest_in(c.need.at, volts, c.I_own.low, highest=most)
    for I in (c.I_own.high, c.I_start.high, *inner):
        found = highest_in(c.need.at, volts, I, highest=most)
        better = np.maximum(out, found) if most else np.minimum(out, found)
        out = np.where(np.isneginf(I), out, better)
    return out


@function_rule(
    "lift-off",
    Multidrop,
    says="With all of them on the pair, also as they start, each is left the volts it needs.",
    relation="lift-off voltage + margin <= volts left at the far end",
    unit="V",
    cites="Ohm's law with the sum of the currents; HART adds 0.5 mA at its peak (from memory)",
    needs=(
        *("barrier", "open_voltage", "inner", "curve", "supply", "drop", "end_to_end"),
        *("regulated", "own", "back", "back_drop", "two_channel", "load", "common", "others"),
        *("line", "series", "series_R", "need", "margin", "I_own", "I_start", "I_all", "I_starts"),
    ),
    remedy="Fewer transmitters on the pair, thicker or shorter cable, a source with fewer ohms or "
    "more volts, lower fixed currents, a smaller load.",
)
def lift_off(c: Multidrop) -> Bound:
    """The most that it needs against what is left at all currents together, and before."""
    top = together(c)
    need = _needs(c, most=True) + c.margin.high
    parts = []
    for I in (top, *breakpoints(c.I_own.low, top, c.curve, c.series, c.drop)):
        out = np.isneginf(I)
        parts.append((I, np.where(out, NOTHING, need), np.where(out, np.inf, left(c, I))))
    return stacked(parts)


@function_rule(
    "volts by certificate",
    Multidrop,
    says="Safety data alone do not exclude that the transmitter gets the volts it needs.",
    relation="lift-off voltage <= Uo - I x (Uo / Io of a linear source + line)",
    unit="V",
    cites="Ohm's law: no source gives more than its certificate allows",
    needs=("Uo", "Io", "linear", "need", "I_all"),
    remedy="Another source: no supply and no cable makes this one work.",
)
def by_certificate(c: Multidrop) -> Bound:
    """Asks only where the circuit cannot work whatever the functional figures are."""
    I, need = c.I_all.low, _needs(c, most=False)
    volts = np.where(c.Io < I, 0.0, certain(c, I))
    proved = need > volts
    return stacked([(I, np.where(proved, need, NOTHING), np.where(proved, volts, 0.0))])


@function_rule(
    "operating voltage",
    Multidrop,
    says="Alone on the pair the transmitter gets no more volts than it works with.",
    relation="volts at the transmitter at its own fixed current <= highest operating voltage",
    unit="V",
    cites="Ohm's law, with the highest supply, the least ohms and cold conductors",
    needs=("barrier", "open_voltage", "curve", "supply", "drop", "line", "I_own", "bearable"),
    remedy="A source with fewer volts.",
)
def operating_voltage(c: Multidrop) -> Bound:
    """Volts at its own current with everything for them, the others not yet started."""
    return Bound(most_left(c, c.I_own.low, c.bearable.low), c.bearable.low)


@function_rule(
    "addresses",
    Multidrop,
    says="There are no more transmitters on the pair than have addresses.",
    relation="transmitters <= 15, or 63 from revision 6 on",
    unit="",
    cites="HART revisions 5 and 6 (from memory)",
    needs=("count",),
    remedy="Fewer transmitters on the pair.",
)
def addresses(c: Multidrop) -> Bound:
    """Beyond the addresses of revision 5 it hangs on the revision of each device."""
    few, many = SHORT_ADDRESSES.low, SHORT_ADDRESSES.high
    limit = np.where(c.count <= few, few, np.where(c.count > many, many, np.nan))
    return Bound(c.count, limit)


feed_rules(Multidrop, together, needs=("I_all", "I_starts"))
isolator_rules(Multidrop, together, needs=("I_all", "I_starts"))
hart_rules(Multidrop)
