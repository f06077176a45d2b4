"""Transmitters and gas detectors with supply wires of their own, by three or four wires.

The supply loses volts on its own two cores. With three wires the signal shares one of them:
its current costs volts there, and the supply current shifts the signal. A device that takes
constant power takes more current the fewer volts it gets.
"""

# ruff: noqa: E741 - I is the trade's symbol of a current
from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from subspark.physics.loops import power_load_voltage
from subspark.rules.bound import Bound
from subspark.rules.columns import NOTHING, Floats
from subspark.rules.function.columns import Triple, column
from subspark.rules.function.feeding import (
    Feed,
    breakpoints,
    certain,
    feed_rules,
    left,
    most_left,
    stacked,
)
from subspark.rules.function.registry import function_rule, kind

__all__ = ["NO_SIGNAL", "SIGNAL_CURRENT", "SIGNAL_VOLTAGE", "Powered", "highest_current", "shift"]

NO_SIGNAL, SIGNAL_CURRENT, SIGNAL_VOLTAGE = 0.0, 1.0, 2.0
THREE = 3.0


@kind("powered circuit", "A transmitter or gas detector with supply wires, by three or four wires.")
@dataclass(frozen=True, slots=True, kw_only=True)
class Powered(Feed):
    """Columns of powered devices; volts, amperes, watts, ohms.

    ``by_power`` is 1 where the device takes constant ``P``, 0 where it takes ``I_run``.
    ``charge`` comes on top while a store fills, ``I_start`` for a moment. ``sort`` is 1 where its
    signal is a current, 2 a voltage, 0 where it leaves by another circuit. ``channel`` is the
    signal channel of the barrier. The load of the feed stands for nothing here:
    ``signal_load`` is that of the signal.
    """

    channel: Triple = column("source", "signal resistance of the barrier")
    signal_load: Triple = column("circuit", "load resistance on the safe side")
    budget: Triple = column("circuit", "error budget share")
    by_power: Floats = column("device", "supply current, or power, of the device")
    I_run: Triple = column("device", "supply current, or power, of the device")
    P: Triple = column("device", "power of the device")
    charge: Triple = column("device", "charge current of the device")
    I_start: Triple = column("device", "start current of the device")
    U_least: Triple = column("device", "lowest supply voltage of the device")
    bearable: Triple = column("device", "highest operating voltage of the device")
    wires: Floats = column("device", "wires of the device")
    sort: Floats = column("device", "highest load, or signal voltage, of the device")
    I_signal: Triple = column("device", "high alarm current of the device")
    most_signal: Triple = column("device", "highest load of the device")
    signal: Triple = column("device", "signal voltage of the device")


def _need(c: Powered) -> Floats:
    volts: Floats = c.U_least.high + c.margin.high
    return volts


def running(c: Powered) -> Floats:
    """Most current at work [A]: of constant power that at the least volts."""
    return np.where(c.by_power > 0.0, c.P.high / _need(c), c.I_run.high)


def highest_current(c: Powered) -> Floats:
    """Most current that the source must give: at work and charging, or at the start [A]."""
    return np.maximum(running(c) + c.charge.high, c.I_start.high)


def _core(c: Powered) -> Floats:
    """Ohms of the core that signal and supply share with three wires [ohm]."""
    ohms: Floats = c.line.high / 2.0 + c.back.high + c.common.high
    return ohms


def shift(c: Powered) -> Floats:
    """Volts that the current of the signal costs on the shared core [V]."""
    shared = (c.wires == THREE) & (c.sort == SIGNAL_CURRENT)
    volts = np.where(shared, c.I_signal.high * _core(c), 0.0)
    return np.where(np.isnan(c.wires + c.sort), np.nan, volts)


def _at_power(c: Powered, I: Floats, volts: Floats) -> tuple[Floats, Floats]:
    """Volts at a load of constant power, and its current there [V, A].

    Exact test: ``Us >= Umin + (P / Umin) R``, which is ``volts`` against ``Umin``. The volts
    themselves are ``(Us + sqrt(Us^2 - 4 P R)) / 2``, for a source with a fixed resistance. Where
    ``Umin`` is not above half of ``Us`` a load can hang below it as it starts: then only the
    exact test shows that it works.
    """
    inner = np.where(c.barrier > 0.0, c.end_to_end.high + c.back.high + c.common.high, c.inner.high)
    R = inner + c.line.high + c.series_R.high
    Us = volts + I * R
    upper = power_load_voltage(Us, R, c.P.high)
    kept = volts >= _need(c)
    hangs = np.where(kept, upper, np.nan)
    linear = np.where(_need(c) > Us / 2.0, upper, hangs)
    tested = (c.tabled > 0.0) | (Us * Us < 4.0 * c.P.high * R)
    return np.where(tested, volts, linear), np.where(tested, I, c.P.high / upper)


@function_rule(
    "supply volts",
    Powered,
    says="At work, while it charges and as it starts the device is left the volts it needs.",
    relation="lowest supply voltage + margin <= volts left at the device",
    unit="V",
    cites="Ohm's law; constant power: U = (Us + sqrt(Us^2 - 4 P R)) / 2",
    needs=(
        *("barrier", "open_voltage", "inner", "curve", "supply", "drop", "end_to_end"),
        *("regulated", "back", "back_drop", "common", "others", "line", "series", "series_R"),
        *("by_power", "I_run", "P", "charge", "I_start", "U_least", "margin"),
        *("wires", "sort", "I_signal"),
    ),
    remedy="Thicker or shorter cable, cores in parallel, a source with fewer ohms or more volts.",
)
def supply_volts(c: Powered) -> Bound:
    """Volts at each state against what is needed."""
    run, need, lost_there = running(c), _need(c), shift(c)
    top = highest_current(c)
    inner = breakpoints(np.zeros(1), top, c.curve, c.series, c.drop)
    charging = np.where(c.charge.high == 0.0, NOTHING, run + c.charge.high)
    starting = np.where(c.I_start.high == 0.0, NOTHING, c.I_start.high)
    parts = []
    for I in (charging, starting, *inner):
        out = np.isneginf(I)
        volts = np.where(out, np.inf, left(c, I) - lost_there)
        parts.append((I, np.where(out, NOTHING, need), volts))
    volts = left(c, run) - lost_there
    reached, drawn = _at_power(c, run, volts)
    steady = np.where(c.by_power > 0.0, reached, volts)
    flows = np.where(c.by_power > 0.0, drawn, run)
    return stacked([(flows, need, steady), *parts])


@function_rule(
    "volts by certificate",
    Powered,
    says="Safety data alone do not exclude that the device gets the volts it needs.",
    relation="lowest supply voltage <= Uo - I x (Uo / Io of a linear source + line)",
    unit="V",
    cites="Ohm's law: no source gives more than its certificate allows",
    needs=("Uo", "Io", "linear", "U_least", "I_run"),
    remedy="Another source: no supply and no cable makes this one work.",
)
def by_certificate(c: Powered) -> Bound:
    """Asks only where the circuit cannot work whatever the functional figures are."""
    need = c.U_least.low
    I = np.where(c.by_power > 0.0, 0.0, c.I_run.low)
    I = np.where(np.isnan(I), 0.0, I)
    volts = np.where(c.Io < I, 0.0, certain(c, I))
    proved = need > volts
    return stacked([(I, np.where(proved, need, NOTHING), np.where(proved, volts, 0.0))])


@function_rule(
    "operating voltage",
    Powered,
    says="Before it starts the device gets no more volts than it works with.",
    relation="open-circuit volts at the device <= highest operating voltage",
    unit="V",
    cites="the highest supply, no current",
    needs=("barrier", "open_voltage", "curve", "supply", "drop", "bearable"),
    remedy="A source with fewer volts.",
)
def operating_voltage(c: Powered) -> Bound:
    """Open-circuit volts, everything for them, against what is borne."""
    return Bound(most_left(c, np.zeros(1), c.bearable.low), c.bearable.low)


@function_rule(
    "common lead",
    Powered,
    says="The supply current in the core that the signal shares does not spoil the signal.",
    relation="supply current x shared core / span of the signal <= error budget",
    unit="%",
    cites="Ohm's law; asked of a voltage signal by three wires",
    needs=("wires", "sort", "I_run", "line", "back", "common", "signal", "budget", "by_power", "P"),
    remedy="A fourth wire, thicker or shorter cable, a current signal.",
)
def common_lead(c: Powered) -> Bound:
    """Shift of the signal as a share of its span."""
    error = running(c) * _core(c) / (c.signal.high - c.signal.low)
    shared = (c.wires == THREE) & (c.sort == SIGNAL_VOLTAGE)
    return Bound(_asked(c, shared, error), c.budget.low)


@function_rule(
    "signal load",
    Powered,
    says="The device can drive its signal through the leads and the load on the safe side.",
    relation="load + signal channel + leads + shift of the shared core / I <= highest load",
    unit="ohm",
    cites="Ohm's law; asked of a current signal",
    needs=(
        *("wires", "sort", "signal_load", "channel", "line", "back", "common"),
        *("I_run", "by_power", "P", "I_signal", "most_signal"),
    ),
    remedy="A smaller load, thicker or shorter cable, a barrier with fewer ohms.",
)
def signal_load(c: Powered) -> Bound:
    """Ohms that the output sees, the shift of the shared core among them."""
    alone = c.line.high
    shared = c.line.high / 2.0 + _core(c) + running(c) * _core(c) / c.I_signal.high
    leads = np.where(c.wires == THREE, shared, alone)
    ohms = c.signal_load.high + c.channel.high + leads
    return Bound(_asked(c, c.sort == SIGNAL_CURRENT, ohms), c.most_signal.low)


def _asked(c: Powered, asked: Floats, demand: Floats) -> Floats:
    """The demand where it is asked; unknown where wires or signal are not known."""
    told = np.where(asked, demand, NOTHING)
    return np.where(np.isnan(c.wires + c.sort), np.nan, told)


feed_rules(Powered, highest_current, needs=("by_power", "I_run", "P", "charge", "I_start"))
