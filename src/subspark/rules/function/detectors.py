"""Detector loops with an end-of-line resistor: rest, alarm, break and short told apart.

The panel reads the current. Detectors at rest draw their quiescent current whatever the volts;
one in alarm is a resistance behind a fixed voltage, across the pair.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from subspark.physics.loops import working_voltage_at
from subspark.rules.bound import Bound
from subspark.rules.columns import NOTHING, Floats
from subspark.rules.function.columns import Triple, column
from subspark.rules.function.inputs import Reading, leaking
from subspark.rules.function.registry import function_rule, kind

__all__ = ["DetectorLoop", "Fed", "feeding", "flowing"]


@kind("detector loop", "Fire or gas detectors on a pair with an end-of-line resistor.")
@dataclass(frozen=True, slots=True, kw_only=True)
class DetectorLoop(Reading):
    """Columns of detector loops; volts, amperes, ohms.

    ``resting`` is the quiescent current of all detectors together, ``alarm_R`` and ``alarm_V``
    what one shows in alarm, ``need`` the volts that it needs at rest.
    """

    shorted: Triple = column("source", "short current of the input")
    end: Triple = column("device", "end-of-line resistance")
    resting: Triple = column("device", "quiescent current of the detectors together")
    alarm_R: Triple = column("device", "alarm resistance of the detector")
    alarm_V: Triple = column("device", "forward voltage of the detector in alarm")
    need: Triple = column("device", "lowest supply voltage of the detector")


class _Corner(NamedTuple):
    """One end of every figure that sets the current."""

    U: Floats
    R: Floats
    end: Floats
    resting: Floats
    alarm_R: Floats
    alarm_V: Floats


def _most(c: DetectorLoop) -> _Corner:
    return _Corner(
        c.open_voltage.high - c.drop.low,
        c.inner.low + c.end_to_end.low + c.line.low,
        c.end.low,
        c.resting.high,
        c.alarm_R.low,
        c.alarm_V.low,
    )


def _least(c: DetectorLoop) -> _Corner:
    return _Corner(
        c.open_voltage.low - c.drop.high,
        c.inner.high + c.end_to_end.high + c.line.high,
        c.end.high,
        c.resting.low,
        c.alarm_R.high,
        c.alarm_V.high,
    )


def _rest(x: _Corner) -> Floats:
    """Volts across the pair at rest; with too little for the detectors, none."""
    volts: Floats = np.maximum((x.U - x.resting * x.R) / (1.0 + x.R / x.end), 0.0)
    return volts


def _alarmed(x: _Corner) -> Floats:
    """Volts across the pair with one detector in alarm."""
    rest = _rest(x)
    pulled = (x.U - x.resting * x.R + x.alarm_V * x.R / x.alarm_R) / (
        1.0 + x.R / x.end + x.R / x.alarm_R
    )
    return np.where(rest > x.alarm_V, np.maximum(pulled, 0.0), rest + 0.0 * pulled)


def flowing(c: DetectorLoop, *, alarm: bool, most: bool) -> Floats:
    """Current that the panel reads, at rest or with one detector in alarm [A]."""
    x = _most(c) if most else _least(c)
    volts = _alarmed(x) if alarm else _rest(x)
    branch = np.maximum(volts - x.alarm_V, 0.0) / x.alarm_R if alarm else np.zeros(1)
    total: Floats = x.resting + volts / x.end + branch
    return total


class Fed(NamedTuple):
    """Current of the loop [A] and volts across the pair [V]."""

    I: Floats  # noqa: E741 - the symbol of current
    U: Floats


def feeding(c: DetectorLoop) -> Fed:
    """The loop at rest with low volts and most ohms, everything on it taking its most."""
    x = _least(c)._replace(resting=c.resting.high, end=c.end.low)
    volts = _rest(x)
    return Fed(x.resting + volts / x.end, volts)


_LOOP = ("barrier", "open_voltage", "inner", "end_to_end", "drop", "line", "end", "resting")


@function_rule(
    "alarm",
    DetectorLoop,
    says="One detector in alarm draws enough current to be told.",
    relation="alarm threshold <= least current with one in alarm",
    unit="A",
    cites="data sheets of panels; Ohm's law",
    needs=("on", *_LOOP, "alarm_R", "alarm_V"),
    remedy="Fewer ohms in the leads or the barrier, a smaller alarm resistance, an isolator.",
)
def alarm(c: DetectorLoop) -> Bound:
    """Threshold against the least current in alarm."""
    return Bound(c.on.high, flowing(c, alarm=True, most=False))


@function_rule(
    "no false alarm",
    DetectorLoop,
    says="The loop at rest is not taken for an alarm.",
    relation="most current at rest + leakage <= current up to which no alarm is told",
    unit="A",
    cites="data sheets of panels; Ohm's law",
    needs=("off", *_LOOP, "leakage", "hot"),
    remedy="A larger end-of-line resistor, or fewer detectors.",
)
def no_false_alarm(c: DetectorLoop) -> Bound:
    """Most current at rest against the threshold."""
    return Bound(flowing(c, alarm=False, most=True) + leaking(c), c.off.low)


@function_rule(
    "no false break",
    DetectorLoop,
    says="The loop at rest is not taken for a broken lead.",
    relation="break threshold <= least current at rest",
    unit="A",
    cites="data sheets of panels; Ohm's law",
    needs=("broken", *_LOOP),
    remedy="A smaller end-of-line resistor, or fewer ohms in the leads.",
)
def no_false_break(c: DetectorLoop) -> Bound:
    """Current at which a break may be told against the least at rest."""
    return Bound(c.broken.high, flowing(c, alarm=False, most=False))


@function_rule(
    "break told",
    DetectorLoop,
    says="A break before the end-of-line resistor is told, although every detector still draws.",
    relation="quiescent current of all detectors + leakage <= current below which a break is told",
    unit="A",
    cites="data sheets of panels and detectors",
    needs=("broken", "resting", "barrier", "leakage", "hot"),
    remedy="Fewer detectors on the loop, or detectors that draw less.",
)
def break_told(c: DetectorLoop) -> Bound:
    """What still flows when the resistor alone is lost."""
    return Bound(c.resting.high + leaking(c), c.broken.low)


@function_rule(
    "no false short",
    DetectorLoop,
    says="An alarm is not taken for a short.",
    relation="most current with one in alarm + leakage <= current up to which no short is told",
    unit="A",
    cites="data sheets of panels; Ohm's law",
    needs=("shorted", *_LOOP, "alarm_R", "alarm_V", "leakage", "hot"),
    remedy="A larger alarm resistance.",
)
def no_false_short(c: DetectorLoop) -> Bound:
    """Most current in alarm against the least at which a short may be told."""
    return Bound(flowing(c, alarm=True, most=True) + leaking(c), c.shorted.low)


@function_rule(
    "short told",
    DetectorLoop,
    says="A short at the far end is told.",
    relation="current from which a short is told <= least current of a short at the far end",
    unit="A",
    cites="data sheets of panels; Ohm's law",
    needs=("shorted", "barrier", "open_voltage", "inner", "end_to_end", "drop", "line"),
    remedy="Fewer ohms in the leads or the barrier, or an isolator.",
)
def short_told(c: DetectorLoop) -> Bound:
    """Current of a short behind all the ohms."""
    x = _least(c)
    return Bound(c.shorted.high, np.maximum(x.U, 0.0) / x.R)


@function_rule(
    "detector voltage",
    DetectorLoop,
    says="At rest every detector is left the volts that it needs.",
    relation="lowest supply voltage <= volts across the pair at rest",
    unit="V",
    cites="data sheets of detectors; Ohm's law",
    needs=("need", *_LOOP),
    remedy="Fewer detectors, thicker or shorter cable, a larger end-of-line resistor.",
)
def detector_voltage(c: DetectorLoop) -> Bound:
    """Least volts at the far end, every detector and the resistor taking their most."""
    return Bound(c.need.high, feeding(c).U)


@function_rule(
    "working voltage",
    DetectorLoop,
    says="The panel's voltage stays below that at which the barrier begins to conduct.",
    relation="highest open-circuit voltage <= working voltage when cold",
    unit="V",
    cites="barrier data sheets; the knee of the diodes is lowest cold (from memory)",
    needs=("barrier", "open_voltage", "working", "cold"),
    remedy="A barrier with a higher working voltage.",
)
def working_voltage(c: DetectorLoop) -> Bound:
    """Open-circuit voltage, asked where there is a barrier."""
    demand = np.where(c.barrier == 0.0, NOTHING, c.open_voltage.high)
    return Bound(demand, working_voltage_at(c.working.low, c.cold))
