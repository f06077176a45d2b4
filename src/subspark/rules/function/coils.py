"""Solenoid valves: does the hot coil pull in and hold, does the cold one release."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from subspark.physics.conductors import resistance_at
from subspark.rules.bound import Bound
from subspark.rules.columns import NOTHING, Floats
from subspark.rules.function.columns import Triple, column
from subspark.rules.function.driving import (
    Driven,
    barrier_rules,
    last_current,
    least_current,
    off_current,
    unless,
    volts_left,
)
from subspark.rules.function.inputs import when
from subspark.rules.function.registry import function_rule, kind

__all__ = ["Solenoid", "coil_current", "hot_coil"]

_RISE = 1.0 / 254.5
"""Share of its resistance at 20 degC that copper gains with each kelvin; IEC 60228."""

_HALVINGS = 56


@kind("valve circuit", "A solenoid valve, alone or with others in parallel, on a driver.")
@dataclass(frozen=True, slots=True, kw_only=True)
class Solenoid(Driven):
    """Columns of valve circuits; volts, amperes, ohms, seconds, degC, K, K/W.

    What of the published criteria is not given is -inf and asks nothing, if another is.
    ``by_power`` is 1 where the coil warms by ``thermal`` and its own power, 0 where by
    ``heating``. ``boosted`` is 1 where electronics charge before they switch. ``others_R`` and
    ``others_V`` are the coils in parallel together, at their hungriest (infinite ohms: none);
    ``others_I`` is what boosters in parallel charge with.
    """

    R20: Triple = column("device", "coil resistance of the valve")
    bridge: Triple = column("device", "bridge voltage of the valve")
    heating: Triple = column("device", "self-heating of the valve")
    thermal: Triple = column("device", "coil thermal resistance of the valve")
    by_power: Floats = column("device", "self-heating or coil thermal resistance of the valve")
    pull_in: Triple = column("device", "pull-in current or voltage of the valve")
    pull_volts: Triple = column("device", "pull-in current or voltage of the valve")
    pull_20: Triple = column("device", "pull-in current or voltage of the valve")
    hold: Triple = column("device", "hold current of the valve")
    drop_out: Triple = column("device", "drop-out current of the valve")
    boosted: Floats = column("device", "charge current of the valve")
    charge: Triple = column("device", "charge current of the valve")
    charge_time: Triple = column("device", "charge time of the valve")
    others_R: Triple = column("device", "coil resistance of the valves in parallel")
    others_V: Triple = column("device", "bridge voltage of the valves in parallel")
    others_I: Triple = column("device", "charge current of the valves in parallel")
    hot_air: Floats = column("circuit", "highest ambient of the valve")
    cold_air: Floats = column("circuit", "lowest ambient of the valve")
    cycle: Triple = column("circuit", "cycle time")


def coil_current(c: Solenoid, ohms: Floats, bridge: Floats) -> Floats:
    """Least current of a coil of these ohms, the coils in parallel taking their most [A].

    Source and line meet the coils at one pair of terminals: all of the cable is counted as
    common. A coil conducts where the volts there exceed its diodes.
    """
    first_R, first_V = c.others_R.low, c.others_V.low
    both_R = 1.0 / (1.0 / ohms + 1.0 / first_R)
    both_V = (bridge / ohms + first_V / first_R) * both_R
    together = both_V + least_current(c, both_V, both_R) * both_R
    alone = first_V + least_current(c, first_V, first_R) * first_R
    mine = bridge + least_current(c, bridge, ohms) * ohms
    # Where the volts with both conducting do not reach the higher diodes, one conducts alone.
    single = np.where(bridge <= first_V, mine, alone)
    several = np.where(together >= np.maximum(bridge, first_V), together, single)
    several = np.where(np.isnan(together), np.nan, several)
    volts = np.where(np.isposinf(first_R), mine, several)
    return np.maximum(volts - bridge, 0.0) / ohms


def hot_coil(c: Solenoid, *, most: bool = True) -> Floats:
    """Most or fewest ohms of the coil when energised in the hottest air [ohm].

    Equation: ``R = R20 (234.5 + Ta + dT) / 254.5``, with ``dT = Rth I^2 R`` where the coil is
    given by its thermal resistance: a fixed point, from the cold side.
    """
    R20, bridge, heating, thermal = (
        one.high if most else one.low for one in (c.R20, c.bridge, c.heating, c.thermal)
    )
    fixed = resistance_at(R20, c.hot_air + heating)
    if not np.any(c.by_power > 0.0):
        return fixed
    slope = _RISE * R20 * thermal
    around = resistance_at(R20, c.hot_air)
    warmed = _fixed_point(
        around, slope, lambda R: coil_current(c, R, bridge), volts_left(c, np.zeros(1))
    )
    return np.where(c.by_power > 0.0, warmed, fixed)


def _fixed_point(
    around: Floats, slope: Floats, current: Callable[[Floats], Floats], volts: Floats
) -> Floats:
    """The ohms that a coil reaches from cold; the power is at most that of the first current."""
    most = current(around) * np.maximum(volts, 0.0)
    high = around + slope * most
    low = around + np.zeros_like(high)
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        warms = around + slope * current(middle) ** 2 * middle > middle
        low, high = np.where(warms, middle, low), np.where(warms, high, middle)
    return np.where(np.isnan(most), np.nan, high)


def _against_hottest(c: Solenoid, demand: Floats) -> Bound:
    """A demand against the least current of the hot coil, with the most ohms it may have [A]."""
    if np.isneginf(demand).all():  # the coil is dear to work out, and nothing asks for it
        return Bound(demand, np.zeros(1))
    return Bound(demand, coil_current(c, hot_coil(c), c.bridge.high))


_DRIVE = (
    *("barrier", "open_voltage", "inner", "curve", "limit", "supply", "drop", "end_to_end"),
    "line",
)
_COIL = (
    *("R20", "bridge", "heating", "thermal", "by_power", "hot_air"),
    *("others_R", "others_V"),
)


@function_rule(
    "pull-in current",
    Solenoid,
    says="The hot coil is given the current with which it surely pulls in.",
    relation="pull-in current <= least current of the hot coil",
    unit="A",
    cites="data sheets of valves; copper by IEC 60228 (from memory); Ohm's law",
    needs=("boosted", "pull_in", *_DRIVE, *_COIL),
    remedy="Thicker or shorter cable, a driver with more volts or fewer ohms, a valve that needs "
    "less current.",
)
def pull_in_current(c: Solenoid) -> Bound:
    """Pull-in current against the least of the hot coil."""
    return _against_hottest(c, unless(c.boosted, c.pull_in.high))


@function_rule(
    "pull-in at 20 °C",
    Solenoid,
    says="The hot coil is given the current that its pull-in voltage at 20 °C stands for.",
    relation="(pull-in voltage - bridge) / coil at 20 °C <= least current of the hot coil",
    unit="A",
    cites="Ohm's law: the pull of a coil goes with its current",
    needs=("boosted", "pull_20", *_DRIVE, *_COIL),
    remedy="Thicker or shorter cable, a driver with more volts or fewer ohms, a valve that needs "
    "less.",
)
def pull_in_cold(c: Solenoid) -> Bound:
    """A voltage at 20 degC made a current, the coil having its fewest ohms."""
    asked = np.where(
        np.isneginf(c.pull_20.high), NOTHING, (c.pull_20.high - c.bridge.low) / c.R20.low
    )
    return _against_hottest(c, unless(c.boosted, asked))


@function_rule(
    "pull-in voltage",
    Solenoid,
    says="The hot coil is given the volts with which it surely pulls in, at either tolerance.",
    relation="pull-in voltage, coil hot <= volts at the hot coil",
    unit="V",
    cites="data sheets of valves; copper by IEC 60228 (from memory); Ohm's law",
    needs=("boosted", "pull_volts", *_DRIVE, *_COIL),
    remedy="Thicker or shorter cable, a driver with more volts or fewer ohms, a valve that needs "
    "less.",
)
def pull_in_voltage(c: Solenoid) -> Bound:
    """The fewest hot ohms and the fewest diodes take the most current and leave the least volts."""
    asked = unless(c.boosted, c.pull_volts.high)
    if np.isneginf(asked).all():
        return Bound(asked, np.zeros(1))
    bridge, ohms = c.bridge.low, hot_coil(c, most=False)
    return Bound(asked, bridge + coil_current(c, ohms, bridge) * ohms)


@function_rule(
    "hold",
    Solenoid,
    says="The hot coil is given the current with which it surely holds.",
    relation="hold current <= least current of the hot coil",
    unit="A",
    cites="data sheets of valves; Ohm's law",
    needs=("boosted", "hold", *_DRIVE, *_COIL),
    remedy="Thicker or shorter cable, or a driver with more volts or fewer ohms.",
)
def hold(c: Solenoid) -> Bound:
    """Hold current against the least of the hot coil."""
    return _against_hottest(c, unless(c.boosted, c.hold.high))


@function_rule(
    "release",
    Solenoid,
    says="When the driver is off, what still flows through the cold coil lets it release.",
    relation="off-state or monitoring current, coil cold <= drop-out current",
    unit="A",
    cites="data sheets of valves and drivers; Ohm's law",
    needs=(
        *("off_volts", "monitoring", "drop_out"),
        *("barrier", "inner", "end_to_end", "drop", "line", "R20", "bridge", "cold_air"),
    ),
    remedy="A driver with less current when off, line monitoring off, or a valve that releases "
    "at more current.",
)
def release(c: Solenoid) -> Bound:
    """Most current when off: coil cold, fewest ohms, no cable beyond what surely is there."""
    cold = resistance_at(c.R20.low, c.cold_air)
    return Bound(off_current(c, c.bridge.low, cold), c.drop_out.low)


def _charging(c: Solenoid) -> Floats:
    total: Floats = c.charge.high + c.others_I.high
    return total


@function_rule(
    "booster voltage",
    Solenoid,
    says="While it charges, the booster is left the volts that it needs.",
    relation="pull-in voltage <= volts left at the charge current",
    unit="V",
    cites="data sheets of valves; Ohm's law",
    needs=("boosted", "charge", "pull_volts", "others_I", *_DRIVE),
    remedy="Thicker or shorter cable, or a driver with more volts or fewer ohms.",
)
def booster_voltage(c: Solenoid) -> Bound:
    """Volts at the valve at its charge current."""
    flows = _charging(c)
    return Bound(when(c.boosted, c.pull_volts.high), volts_left(c, flows) - flows * c.line.high)


@function_rule(
    "booster current",
    Solenoid,
    says="The driver gives the current with which the booster charges.",
    relation="charge current <= current limit",
    unit="A",
    cites="data sheets of valves and drivers",
    needs=("boosted", "charge", "others_I", "barrier", "limit", "curve"),
    remedy="A driver with a higher current limit.",
)
def booster_current(c: Solenoid) -> Bound:
    """Charge current against what the source surely gives."""
    return Bound(when(c.boosted, _charging(c)), last_current(c))


@function_rule(
    "booster time",
    Solenoid,
    says="Between two switchings there is time to charge again.",
    relation="charge time <= cycle time",
    unit="s",
    cites="data sheets of valves",
    needs=("boosted", "charge_time", "cycle"),
    remedy="Fewer switchings, or a booster that charges faster.",
)
def booster_time(c: Solenoid) -> Bound:
    """Charge time against the shortest time between two switchings."""
    return Bound(when(c.boosted, c.charge_time.high), c.cycle.low)


barrier_rules(Solenoid)
