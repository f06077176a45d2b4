"""Fieldbus segments: volts along trunk and spurs, currents, lengths.

A row is one device of a segment, or one coupler of a trunk. The tree of cables stands in it as the
ohms that the ways from the supply to two devices share. One member at a time is in fault: it draws
its additional current, or a coupler that of a shorted spur.
"""

# ruff: noqa: E741 - I is the trade's symbol of a current
from __future__ import annotations

import csv
import threading
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import NamedTuple

import numpy as np

from subspark.physics.paths import voltages_at_loads
from subspark.rules.bound import Bound
from subspark.rules.columns import NOTHING, Floats, total
from subspark.rules.function.columns import Members, Table, Triple, column, interpolate
from subspark.rules.function.levels import level
from subspark.rules.function.registry import function_rule, kind

__all__ = ["Segment", "State", "longest_spur", "state_with_fault", "worst_state"]

TOTAL_LENGTH = level("fieldbus total length").high
"""Trunk and spurs together [m]."""

_LAST = threading.local()
"""The columns that were asked last in this thread, with their states."""

ROUNDS = 12
"""Rounds in which powers and a table of the supply are brought together."""


@kind("fieldbus segment", "Devices of a fieldbus, a two-wire Ethernet link or a trunk of couplers.")
@dataclass(frozen=True, slots=True, kw_only=True)
class Segment:
    """Columns of segments, one row a device; volts, amperes, watts, ohms, metres.

    ``basic``, ``power``, ``fault`` and ``least`` are those of every device; ``way`` the ohms that
    the way of each shares with the way of this one, ``shared`` those of every two (none where no
    device draws power), ``reach`` the ohms of the whole way to this one. ``modulated`` is 1 for
    31.25 kbit/s, 0 for two-wire Ethernet.
    """

    supplies: Floats = column("source", "role of the source")
    open_voltage: Triple = column("source", "open-circuit voltage, or terminal voltages")
    inner: Triple = column("source", "internal resistance of the source")
    curve: Table = column("source", "terminal voltage of the source")
    tabled: Floats = column("source", "whether the source is given by a table")
    limit: Triple = column("source", "current limit of the source")
    highest: Floats = column("source", "highest voltage of the source")
    reserve: Triple = column("circuit", "reserve")
    tool: Triple = column("circuit", "basic current of the hand-held")
    margin: Triple = column("circuit", "margin")
    modulated: Floats = column("circuit", "whether it is a fieldbus of 31.25 kbit/s")
    stations: Floats = column("circuit", "stations of the whole segment")
    basic: Members = column("circuit", "basic current of every device")
    power: Members = column("circuit", "power of every device")
    fault: Members = column("circuit", "fault current, or spur current limit, of every device")
    least: Members = column("circuit", "least voltage of every device")
    need: Triple = column("device", "least voltage of the device")
    bearable: Triple = column("device", "highest operating voltage of the device")
    way: Members = column("line", "ohms of the ways (cables, start and end of each run)")
    shared: Members = column("line", "ohms of the ways (cables, start and end of each run)")
    reach: Triple = column("line", "ohms of the way (cables, start and end of each run)")
    spur: Triple = column("line", "length of the spur (trunk or spur of each run)")
    on_spur: Floats = column("line", "devices on the spur")
    length: Triple = column("line", "length of the runs")


class State(NamedTuple):
    """Currents of all devices (k, S) with one in fault [A], their sum, and volts at this one."""

    I: Floats
    total: Floats
    supply: Floats
    volts: Floats


def _supply(c: Segment, I: Floats) -> Floats:
    """Least volts at the terminals of the supply at a current [V]."""
    tabled = interpolate(c.curve.at, c.curve.low, I, falling=True)
    ended = np.where(c.tabled > 0.0, tabled, c.open_voltage.low - I * c.inner.high)
    return np.where(c.supplies > 0.0, ended, np.nan)


def state_with_fault(c: Segment, k: int) -> State:
    """The segment with its k-th device in fault, everything against it."""
    count = c.basic.high.shape[0]
    extra = [c.fault.high[j] if j == k else 0.0 for j in range(count)]
    fixed = np.stack([c.basic.high[j] + extra[j] for j in range(count)])
    I = fixed if c.shared.high.shape[0] == 0 else _with_power(c, fixed)
    current = total(I) + c.tool.high
    supply = _supply(c, current)
    lost = total(c.way.high * I) + c.reach.high * c.tool.high
    fed = np.isfinite(current) | np.isnan(current)
    return State(I, current, supply, np.where(fed, supply - lost, -np.inf))


def _with_power(c: Segment, fixed: Floats) -> Floats:
    """Currents with those that draw power, at the volts that they then have [A].

    A supply given by a table is taken at the current that they would draw at their least volts,
    and at less round by round: its volts are never taken for too high. Where there is no state the
    currents are infinite.
    """
    tool = c.tool.high
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        greatest = np.where(c.power.high > 0.0, c.power.high / c.least.high, c.power.high)
        last = np.fmax.reduce(c.curve.at, axis=0, initial=NOTHING)
        I = fixed + greatest
        current = total(I) + tool
        inner = np.where(c.tabled > 0.0, 0.0, c.inner.high)
        ohms = _shared(c) + inner
        for _ in range(ROUNDS if c.curve.at.shape[0] else 1):
            at = np.where(c.tabled > 0.0, np.minimum(current, last), 0.0)
            behind = _supply(c, at) - tool * (c.way.high + inner)
            V = voltages_at_loads(behind, ohms, fixed, c.power.high)
            I = fixed + np.where(c.power.high > 0.0, c.power.high / V, c.power.high)
            current = total(I) + tool
    return I


def _shared(c: Segment) -> Floats:
    """Ohms of every two ways, filled up to the devices of the largest segment."""
    ohms, count = c.shared.high, c.basic.high.shape[0]
    more = count - ohms.shape[0]
    return np.pad(ohms, ((0, more), (0, more), *((0, 0),) * (ohms.ndim - 2)))


def worst_state(c: Segment) -> list[State]:
    """The segment with each device in fault in turn; worked out once for the rules that ask it."""
    held: tuple[Segment, list[State]] | None = getattr(_LAST, "held", None)
    if held is not None and held[0] is c:
        return held[1]
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        states = [state_with_fault(c, k) for k in range(c.basic.high.shape[0])]
    _LAST.held = (c, states)
    return states


def _least_volts(c: Segment) -> Floats:
    states = worst_state(c)
    volts = states[0].volts
    for one in states[1:]:
        volts = np.minimum(volts, one.volts)
    return volts


@function_rule(
    "volts at the device",
    Segment,
    says="With one device in fault, or one spur shorted, every other is left the volts it needs.",
    relation="least voltage + margin <= supply - sum of ohms x currents along its way",
    unit="V",
    cites="IEC 61158-2 for 9 V (from memory); Ohm's law, powers in their upper state",
    needs=(
        *("supplies", "open_voltage", "inner", "curve", "basic", "power", "fault", "least"),
        *("way", "shared", "reach", "tool", "need", "margin"),
    ),
    remedy="Thicker or shorter cable, fewer devices, a supply of more volts, devices of less "
    "current or power.",
)
def volts_at_device(c: Segment) -> Bound:
    """Volts at the device with the fault that leaves least."""
    left = _least_volts(c)
    return Bound(c.need.high + c.margin.high, np.where(np.isneginf(left), 0.0, left))


@function_rule(
    "current of the segment",
    Segment,
    says="The supply feeds all devices, one of them in fault, a hand-held, and keeps its reserve.",
    relation="sum of currents + fault + hand-held <= current limit x (1 - reserve)",
    unit="A",
    cites="common practice, no source",
    needs=(
        *("basic", "power", "fault", "tool", "reserve", "limit", "curve"),
        *("supplies", "open_voltage", "shared", "least"),
    ),
    remedy="Fewer devices, devices of less current, a supply of more current.",
)
def current_of_segment(c: Segment) -> Bound:
    """Greatest sum against the limit; of a supply given by a table, its last current."""
    states = worst_state(c)
    most = states[0].total
    for one in states[1:]:
        most = np.maximum(most, one.total)
    last = np.fmax.reduce(c.curve.at, axis=0, initial=NOTHING)
    stated = (c.tabled > 0.0) & np.isnan(c.limit.low) & np.isfinite(last)
    limit = np.where(stated, last, c.limit.low) * (1.0 - c.reserve.high)
    return Bound(most, limit)


@function_rule(
    "operating voltage",
    Segment,
    says="The device bears the highest voltage of the supply.",
    relation="highest voltage of the supply <= highest operating voltage",
    unit="V",
    cites="IEC 61158-2 for 32 V (from memory)",
    needs=("modulated", "highest", "bearable"),
    remedy="A supply of fewer volts.",
)
def operating_voltage(c: Segment) -> Bound:
    """Asked of a fieldbus; without load no cable takes anything."""
    return Bound(_modulated(c, c.highest), c.bearable.low)


@lru_cache(maxsize=1)
def _spurs() -> list[tuple[float, tuple[float, ...]]]:
    text = (files("subspark.rules.function") / "data" / "spur-lengths.csv").read_text("utf-8")
    rows = csv.DictReader(line for line in text.splitlines() if not line.startswith("#"))
    names = ("one", "two", "three", "four")
    return [(float(row["most_devices"]), tuple(float(row[name]) for name in names)) for row in rows]


def longest_spur(devices: Floats, on_spur: Floats) -> Floats:
    """Greatest length of a spur by the devices on the segment and on the spur [m].

    0 beyond the table; unknown where a number is.
    """
    longest = np.where(np.isnan(devices) | np.isnan(on_spur), np.nan, 0.0)
    for most, lengths in reversed(_spurs()):
        for number, length in enumerate(lengths, 1):
            longest = np.where((devices <= most) & (on_spur == number), length, longest)
    return longest


@function_rule(
    "spur length",
    Segment,
    says="The spur is not longer than the number of devices allows.",
    relation="length of the spur <= length by devices on segment and spur",
    unit="m",
    cites="IEC 61158-2, annex on cable lengths (from memory)",
    needs=("modulated", "spur", "stations", "on_spur"),
    remedy="Lead the trunk closer to the device, fewer devices, one device a spur.",
)
def spur_length(c: Segment) -> Bound:
    """Asked of a fieldbus, of devices that are not on the trunk itself."""
    asked = np.where(c.spur.high == 0.0, NOTHING, c.spur.high)
    return Bound(_modulated(c, asked), longest_spur(c.stations, np.maximum(c.on_spur, 1.0)))


@function_rule(
    "segment length",
    Segment,
    says="Trunk and spurs together are not longer than the signal reaches.",
    relation="sum of all runs <= 1900 m",
    unit="m",
    cites="IEC 61158-2 with cable of type A (from memory)",
    needs=("modulated", "length"),
    remedy="A shorter trunk, another segment, a repeater.",
)
def segment_length(c: Segment) -> Bound:
    """Asked of a fieldbus."""
    demand = _modulated(c, c.length.high)
    return Bound(demand, np.full(demand.shape, TOTAL_LENGTH))


def _modulated(c: Segment, demand: Floats) -> Floats:
    return np.where(c.modulated > 0.0, demand, np.where(np.isnan(c.modulated), np.nan, NOTHING))
