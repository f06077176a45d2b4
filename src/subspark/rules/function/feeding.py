"""Sources that feed what takes its supply from them: barriers with their supply, and isolators.

Volts are counted from the supply to the field: instrument, channel, return channel, common
rail, line, what stands in series. The instrument's load stands before the barrier (supply
leg) or behind its return channel (return leg); fuse, card and leakage differ by that.
"""

# ruff: noqa: E741 - I is the trade's symbol of a current
from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from subspark.physics import characteristics
from subspark.physics.loops import leakage_at, regulated_output, working_voltage_at
from subspark.rules.bound import Bound
from subspark.rules.columns import NOTHING, Floats
from subspark.rules.function.columns import Table, Triple, column, interpolate
from subspark.rules.function.registry import function_rule

__all__ = [
    "Certified",
    "Feed",
    "at_source",
    "behind",
    "breakpoints",
    "certain",
    "decimal",
    "either",
    "feed_rules",
    "greatest",
    "highest_in",
    "hot_leakage",
    "isolator_rules",
    "knee",
    "left",
    "leg",
    "lost",
    "most_left",
    "nothing_of",
    "stacked",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Certified:
    """What safety data alone say of a source, and the line; volts, amperes, ohms.

    ``linear`` is 1 where the document calls the source linear: then at least ``Uo / Io`` ohms
    stand in it. Otherwise only ``Uo`` bounds its volts.
    """

    Uo: Floats = column("source", "Uo of the source")
    Io: Floats = column("source", "Io of the source")
    linear: Floats = column("source", "shape of the source")
    line: Triple = column("line", "resistance of the cable, both cores")
    series: Table = column("device", "voltage drop of what stands in series")
    series_R: Triple = column("device", "series resistance of what stands in series")


@dataclass(frozen=True, slots=True, kw_only=True)
class Feed(Certified):
    """Columns of a source that feeds the circuit; volts, amperes, ohms, degC.

    ``barrier`` is 1 where the source is a shunt-diode barrier and 0 where it is an isolator:
    then ``supply`` and the barrier's own figures ask nothing. ``regulated`` is infinite for a
    barrier that does not regulate. ``back`` and ``back_drop`` are of the return channel,
    ``common`` and ``others`` of a return rail shared with other circuits.
    """

    barrier: Floats = column("source", "role of the source")
    open_voltage: Triple = column(
        "source", "open-circuit voltage, or terminal voltages, of the source"
    )
    inner: Triple = column("source", "internal resistance of the source")
    curve: Table = column("source", "terminal voltage of the source")
    tabled: Floats = column("source", "whether the source is given by a table")
    limit: Triple = column("source", "current limit of the source")
    compliance: Triple = column("source", "load compliance, or highest load, of the source")
    most_load: Triple = column("source", "highest load of the source")
    end_to_end: Triple = column("source", "end-to-end resistance of the barrier")
    drop: Table = column("source", "voltage drop of the barrier")
    regulated: Triple = column("source", "regulated voltage of the barrier")
    own: Triple = column("source", "own current of the barrier")
    back: Triple = column("source", "return resistance of the barrier")
    back_drop: Triple = column("source", "return voltage drop of the barrier")
    two_channel: Floats = column("source", "return channel of the barrier")
    working: Triple = column("source", "working voltage of the barrier")
    return_working: Triple = column("source", "working voltage of the return channel")
    leakage: Triple = column("source", "leakage current of the barrier")
    return_leakage: Triple = column("source", "leakage current of the return channel")
    least: Triple = column("source", "least resistance of the barrier")
    fuse: Triple = column("source", "fuse current of the barrier")
    highest: Triple = column("source", "highest supply of the barrier")
    supply: Triple = column("circuit", "supply voltage on the safe side")
    load: Triple = column("circuit", "load resistance on the safe side")
    in_return: Floats = column("circuit", "load place")
    card: Triple = column("circuit", "input limit voltage of the card")
    common: Triple = column("circuit", "common resistance of the return rail")
    others: Triple = column("circuit", "common current of the return rail")
    margin: Triple = column("circuit", "margin")
    hot: Floats = column("circuit", "highest ambient of the cabinet")
    cold: Floats = column("circuit", "lowest ambient of the cabinet")


# --- figures --------------------------------------------------------------------------------------


def either(flag: Floats, yes: Floats, no: Floats, limit: Floats) -> Floats:
    """A demand that hangs on a yes or no; where that is not known, what holds both ways."""
    most, least = np.maximum(yes, no), np.minimum(yes, no)
    unsaid = np.where(most <= limit, most, np.where(least > limit, least, np.nan))
    return np.where(flag > 0.0, yes, np.where(flag == 0.0, no, unsaid))


def nothing_of(flag: Floats, demand: Floats) -> Floats:
    """The demand where the flag is 1; nothing where it is 0; unknown where the flag is."""
    return np.where(flag == 0.0, NOTHING, np.where(np.isnan(flag), np.nan, demand))


def lost(table: Table, volts: Floats, I: Floats) -> Floats:
    """Volts lost in an item at a current [V]; 0 where there is no such item."""
    if table.at.shape[0] == 0:
        return np.zeros(1)
    none = np.isnan(table.at).all(axis=0)
    return np.where(none, 0.0, interpolate(table.at, volts, I))


def highest_in(at: Floats, volts: Floats, I: Floats, *, highest: bool = True) -> Floats:
    """Volts needed at a current; the higher (or lower) of two where the need steps there [V]."""
    if at.shape[0] == 0:
        return np.full(np.shape(I), np.nan)
    found = characteristics.interpolate(at, volts, I, highest=highest)
    return np.where(np.isposinf(at[0]), volts[0], found)


def breakpoints(low: Floats, high: Floats, *tables: Table) -> list[Floats]:
    """The currents of the tables between two currents; -inf in place of those outside.

    Points that lie outside in every case are left out.
    """
    found = [np.where((low < at) & (high > at), at, NOTHING) for table in tables for at in table.at]
    return [one for one in found if not np.isneginf(one).all()]


def stacked(parts: Sequence[tuple[Floats, Floats, Floats]]) -> Bound:
    """Demands and limits at several currents as one bound; (current, demand, limit) each."""
    shape = np.broadcast_shapes(*(one.shape for part in parts for one in part))
    at, demand, limit = (
        np.stack([np.broadcast_to(part[k], shape) for part in parts]) for k in range(3)
    )
    return Bound(demand, limit, over="current", at=at)


def decimal(I: Floats) -> Floats:
    """A sum of currents to the picoampere: as it would be printed, so that a table is met."""
    return np.round(I, 12)


def leg(c: Feed) -> Floats:
    """1 with the load in the return leg, 0 in the supply leg, NaN where not known.

    Without a return channel it can only stand in the supply leg.
    """
    single = (c.two_channel == 0.0) & (c.load.high > 0.0)
    stands: Floats = np.where(single & np.isnan(c.in_return), 0.0, c.in_return)
    return np.where(c.load.high == 0.0, 0.0, stands)


class _End(NamedTuple):
    """The end of each figure that leaves the fewest volts, or the most."""

    supply: Floats
    drop: Floats
    regulated: Floats
    ohms: Floats
    load: Floats
    own: Floats
    back: Floats
    back_drop: Floats
    others: Floats
    common: Floats


def _fewest(c: Feed) -> _End:
    return _End(
        *(c.supply.low, c.drop.high, c.regulated.low, c.end_to_end.high, c.load.high),
        *(c.own.high, c.back.high, c.back_drop.high, c.others.high, c.common.high),
    )


def _most(c: Feed) -> _End:
    return _End(
        *(c.supply.high, c.drop.low, c.regulated.high, c.end_to_end.low, c.load.low),
        *(c.own.low, c.back.low, c.back_drop.low, np.zeros(1), c.common.low),
    )


def _through_barrier(c: Feed, end: _End, I: Floats, *, most: bool) -> Floats:
    drop = lost(c.drop, end.drop, I)
    loaded = np.where(end.load > 0.0, (I + end.own) * end.load, 0.0)
    first = regulated_output(end.supply - loaded, drop, end.regulated, end.ohms, I)
    last = regulated_output(end.supply, drop, end.regulated, end.ohms + end.load, I)
    place = leg(c)
    unsaid = np.maximum(first, last) if most else np.minimum(first, last)
    volts = np.where(place > 0.0, last, np.where(place == 0.0, first, unsaid))
    broken = (place > 0.0) & (c.two_channel == 0.0)
    volts = np.where(broken, np.nan, volts)
    after: Floats = volts - end.back_drop - I * end.back - (I + end.others) * end.common
    return after


def at_source(c: Feed, I: Floats, *, most: bool = False) -> Floats:
    """Volts that the safe side leaves to the field circuit at a current [V].

    Equation: of a barrier ``min(Vs - I load - drop, Ureg) - I R - return drop - I return -
    (I + others) common``, with the load where it stands; of an isolator its terminal voltage.

    Parameters
    ----------
    I : (S) [A]
    most : bool
        The greatest that it can be, not the least.
    """
    end = _most(c) if most else _fewest(c)
    if most:
        curve = interpolate(c.curve.at, c.curve.high, I)
        line = c.open_voltage.high - I * c.inner.low
    else:
        curve = interpolate(c.curve.at, c.curve.low, I, falling=True)
        line = c.open_voltage.low - I * c.inner.high
    isolated = np.where(c.tabled > 0.0, curve, line)
    barrier = _through_barrier(c, end, I, most=most)
    return np.where(c.barrier > 0.0, barrier, np.where(c.barrier == 0.0, isolated, np.nan))


def behind(c: Certified, I: Floats, *, most: bool = False) -> Floats:
    """Volts lost behind the source at a current: line, and what stands in series [V]."""
    if most:
        return I * (c.line.low + c.series_R.low) + lost(c.series, c.series.low, I)
    return I * (c.line.high + c.series_R.high) + lost(c.series, c.series.high, I)


def left(c: Feed, I: Floats) -> Floats:
    """Volts left at the device at a current, everything against it [V]."""
    return at_source(c, I) - behind(c, I)


def certain(c: Certified, I: Floats) -> Floats:
    """Volts that the device cannot exceed at a current, by safety data alone [V].

    Equation: ``Uo - I (Uo / Io + line)`` of a linear source, else ``Uo - I line``; the line at
    its least. NaN where Uo is not known.
    """
    inner = np.where(c.linear > 0.0, c.Uo / c.Io, 0.0)
    ohms = np.where(np.isnan(inner), 0.0, inner)
    for one in (c.line.low, c.series_R.low):
        ohms = ohms + np.where(np.isnan(one), 0.0, one)
    bound: Floats = c.Uo - I * ohms
    return bound


def most_left(c: Feed, I: Floats, limit: Floats) -> Floats:
    """Most volts at the device at a current, everything for it [V].

    Where functional figures do not tell, what safety data allow is good enough to show that a
    limit is kept, and never that it is broken.
    """
    by_figures = at_source(c, I, most=True) - behind(c, I, most=True)
    bound = certain(c, I)
    kept = np.where(bound <= limit, bound, np.nan)
    return np.where(np.isnan(by_figures), kept, np.fmin(by_figures, bound))


def greatest(*figures: Floats) -> Floats:
    """The greatest of several figures; unknown where one is."""
    out = figures[0]
    for one in figures[1:]:
        out = np.maximum(out, one)
    return out


def knee(working: Floats, cold: Floats, demand: Floats) -> Floats:
    """Working voltage when cold [V]; above the printed one it fails however warm it stays."""
    printed = np.where(demand > working, working, np.nan)
    return np.where(np.isnan(cold), printed, working_voltage_at(working, cold))


def hot_leakage(leakage: Floats, hot: Floats) -> Floats:
    """Leakage at the hottest of the cabinet [A]; none stays none."""
    return np.where(leakage == 0.0, 0.0, leakage_at(leakage, hot))


# --- rules ----------------------------------------------------------------------------------------


def feed_rules(of: type[Feed], top: Callable[..., Floats], needs: tuple[str, ...]) -> None:
    """Declare what a barrier and its supply are asked, for a kind of circuit.

    Parameters
    ----------
    top : callable
        Highest current of the circuit [A] from its columns.
    needs : tuple of str
        The columns from which it takes that current.
    """

    @function_rule(
        "working voltage",
        of,
        says="The supply stays below the voltage at which the barrier begins to conduct, cold too.",
        relation="highest supply <= working voltage when cold",
        unit="V",
        cites="barrier data sheets; the knee of the diodes is lowest cold (from memory)",
        needs=("barrier", "supply", "working", "cold"),
        remedy="A regulated supply with less voltage, or a barrier with a higher working voltage.",
    )
    def working_voltage(c: Feed) -> Bound:
        """Field open: no current lowers the volts, and no peak of a signal raises them."""
        volts = np.minimum(c.supply.high, c.regulated.high)
        unsaid = np.isfinite(c.regulated.high) & np.isnan(c.working.low)
        demand = nothing_of(c.barrier, np.where(unsaid, NOTHING, volts))
        return Bound(demand, knee(c.working.low, c.cold, volts))

    @function_rule(
        "return channel",
        of,
        says="The terminal of the return channel stays below its working voltage.",
        relation="return drop + I (return + load) + rail <= working voltage of the return, cold",
        unit="V",
        cites="Ohm's law at the highest current",
        needs=(
            *("barrier", "two_channel", "load", "in_return", "back", "back_drop"),
            *("return_working", "cold", "common", "others", *needs),
        ),
        remedy="A return channel with a higher working voltage, or a smaller load.",
    )
    def return_channel(c: Feed) -> Bound:
        """Volts of the return terminal; asked where the load stands behind it."""
        I = top(c)
        rail = np.where(c.common.high > 0.0, (I + c.others.high) * c.common.high, 0.0)
        rise = c.back_drop.high + I * (c.back.high + c.load.high) + rail
        limit = knee(c.return_working.low, c.cold, rise)
        asked = either(leg(c), rise, np.full(1, NOTHING), limit)
        return Bound(nothing_of(c.barrier * c.two_channel, asked), limit)

    @function_rule(
        "barrier fuse",
        of,
        says="A core that touches earth does not blow the fuse of the barrier.",
        relation="highest supply / (least resistance + load before the barrier) <= fuse current",
        unit="A",
        cites="Ohm's law with the highest supply",
        needs=("barrier", "supply", "least", "load", "in_return", "fuse"),
        remedy="A barrier with a current-limited supply or a larger fuse; else keep fuses.",
    )
    def barrier_fuse(c: Feed) -> Bound:
        """Current of a core that touches earth at the terminals of the barrier."""
        volts = np.minimum(c.supply.high, c.regulated.high)
        behind_it, before_it = (
            np.fmin(volts / ohms, c.limit.high) for ohms in (c.least.low, c.least.low + c.load.low)
        )
        demand = either(leg(c), behind_it, before_it, c.fuse.low)
        return Bound(nothing_of(c.barrier, demand), c.fuse.low)

    @function_rule(
        "barrier supply",
        of,
        says="The supply never exceeds what the barrier bears before its fuse blows.",
        relation="highest supply <= highest supply of the barrier",
        unit="V",
        cites="barrier data sheets",
        needs=("barrier", "supply", "highest"),
        remedy="A regulated supply with less voltage.",
    )
    def barrier_supply(c: Feed) -> Bound:
        """Highest supply against what the barrier bears."""
        return Bound(nothing_of(c.barrier, c.supply.high), c.highest.low)

    @function_rule(
        "input card",
        of,
        says="A short in the field does not put more volts on the input card than it endures.",
        relation="highest supply x load / (least resistance + return + load) <= input limit",
        unit="V",
        cites="Ohm's law: core to earth with the load before the barrier, else core to core",
        needs=("barrier", "supply", "least", "load", "in_return", "card"),
        remedy="An input card that endures it, a series resistor, a barrier with more ohms.",
    )
    def input_card(c: Feed) -> Bound:
        """Volts across the load at the worst short."""
        to_earth = c.supply.high * c.load.high / (c.least.low + c.load.high)
        volts = np.minimum(c.supply.high, c.regulated.high) - c.back_drop.low
        across = volts * c.load.high / (c.least.low + c.back.low + c.load.high)
        most = c.limit.high * c.load.high
        demand = either(leg(c), np.fmin(across, most), np.fmin(to_earth, most), c.card.low)
        asked = np.where(c.load.high == 0.0, NOTHING, demand)
        return Bound(nothing_of(c.barrier, asked), c.card.low)

    @function_rule(
        "current limit",
        of,
        says="The source can deliver the highest current that the circuit asks.",
        relation="highest current <= current limit",
        unit="A",
        cites="common practice, no source",
        needs=("barrier", "limit", *needs),
        remedy="A source with a higher current limit, or a lower current.",
    )
    def current_limit(c: Feed) -> Bound:
        """Highest current against the limit; without one a table holds up to its last point."""
        I = top(c)
        last = np.fmax.reduce(c.curve.at, axis=0, initial=NOTHING)
        reached = np.where((c.tabled > 0.0) & (last >= I), last, np.nan)
        limit = np.where(np.isnan(c.limit.low), reached, c.limit.low)
        unlimited = (c.barrier > 0.0) & np.isnan(c.limit.low)
        return Bound(np.where(unlimited, NOTHING, I), limit)


def isolator_rules(of: type[Feed], top: Callable[..., Floats], needs: tuple[str, ...]) -> None:
    """Declare what the safe side of an isolator is asked, for a kind of circuit.

    Its parameters are those of :func:`feed_rules`.
    """

    @function_rule(
        "safe-side load",
        of,
        says="The isolator can drive its current through the load on its safe side.",
        relation="highest current x load <= load compliance",
        unit="V",
        cites="Ohm's law; data sheets of isolators",
        needs=("barrier", "load", "compliance", *needs),
        remedy="A smaller load, or an isolator that drives more volts.",
    )
    def safe_side_load(c: Feed) -> Bound:
        """Volts on the load; a highest load in ohms counts as its volts at the same current."""
        I = top(c)
        asked = np.where(c.load.high == 0.0, NOTHING, I * c.load.high)
        demand = nothing_of(1.0 - c.barrier, asked)
        return Bound(demand, np.fmin(c.compliance.low, I * c.most_load.low))
