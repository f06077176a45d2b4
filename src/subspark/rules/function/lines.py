"""Signals on a line: coil pick-ups into a pulse input, and two-wire serial lines."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from subspark.physics.conductors import resistance_at
from subspark.physics.loops import working_voltage_at
from subspark.rules.bound import Bound
from subspark.rules.columns import NOTHING, Floats
from subspark.rules.function.columns import Triple, column
from subspark.rules.function.levels import level
from subspark.rules.function.registry import function_rule, kind

__all__ = ["PickUp", "Serial"]

SETTLED = 5.0
"""Time constants in half a period of a pulse; common practice, no source."""


@kind("pick-up circuit", "A coil pick-up on a pulse input.")
@dataclass(frozen=True, slots=True, kw_only=True)
class PickUp:
    """Columns of pick-up circuits; volts, ohms, henries, farads, hertz, degC.

    ``signal`` is the peak at the lowest speed, ``peak`` that at the highest. ``channel`` is the
    resistance of the barrier, both legs (0 without one).
    """

    barrier: Floats = column("source", "role of the source")
    channel: Triple = column("source", "end-to-end resistance of the barrier")
    working: Triple = column("source", "working voltage of the barrier")
    threshold: Triple = column("source", "input threshold")
    input_R: Triple = column("source", "input resistance")
    rate: Triple = column("source", "highest frequency of the input")
    signal: Triple = column("device", "coil voltage of the pick-up")
    peak: Triple = column("device", "signal voltage of the pick-up")
    R20: Triple = column("device", "coil resistance of the pick-up")
    L: Triple = column("device", "coil inductance of the pick-up")
    hot_air: Floats = column("circuit", "highest ambient of the pick-up")
    cold: Floats = column("circuit", "lowest ambient of the cabinet")
    frequency: Triple = column("circuit", "highest frequency of the signal")
    line: Triple = column("line", "resistance of the cable, both cores")
    C_line: Triple = column("line", "capacitance of the cable")


def _before(c: PickUp) -> Floats:
    """Most ohms between the magnet and the input [ohm]: the coil hot."""
    total: Floats = resistance_at(c.R20.high, c.hot_air) + c.line.high + c.channel.high
    return total


@function_rule(
    "amplitude",
    PickUp,
    says="At the lowest speed the input sees the voltage that it needs.",
    relation="input threshold <= coil voltage x input / (input + coil + leads + barrier)",
    unit="V",
    cites="Ohm's law; copper by IEC 60228 (from memory)",
    needs=("threshold", "signal", "input_R", "R20", "hot_air", "channel", "line"),
    remedy="A more sensitive input, an input with more ohms, a smaller air gap.",
)
def amplitude(c: PickUp) -> Bound:
    """The signal less what is lost on its way, against the threshold."""
    share = c.input_R.low / (c.input_R.low + _before(c))
    return Bound(c.threshold.high, c.signal.low * share)


@function_rule(
    "pulse",
    PickUp,
    says="Coil and cable follow the pulses.",
    relation="5 x (resistance x capacitance + inductance / resistance) <= half a period",
    unit="s",
    cites="common practice, no source",
    needs=("frequency", "input_R", "R20", "L", "hot_air", "channel", "line", "C_line"),
    remedy="Shorter cable, cable with less capacitance, a pick-up with less inductance.",
)
def pulse(c: PickUp) -> Bound:
    """Both time constants together against half a period.

    The cable discharges through the coil's side and the input in parallel; the coil's current
    settles through both in series, where the fewest ohms hurt.
    """
    before, input_R = _before(c), c.input_R.high
    charging = before / (1.0 + before / input_R) * c.C_line.high
    fewest = c.R20.low + c.line.low + c.channel.low + c.input_R.low
    settling = c.L.high / fewest
    return Bound(SETTLED * (charging + settling), 0.5 / c.frequency.high)


@function_rule(
    "input rate",
    PickUp,
    says="The input follows the pulses.",
    relation="highest frequency of the signal <= highest frequency of the input",
    unit="Hz",
    cites="data sheets of pulse inputs",
    needs=("frequency", "rate"),
    remedy="A faster input.",
)
def input_rate(c: PickUp) -> Bound:
    """Frequency asked against frequency followed."""
    return Bound(c.frequency.high, c.rate.low)


@function_rule(
    "working voltage",
    PickUp,
    says="At the highest speed the barrier does not clip the signal.",
    relation="highest signal voltage <= working voltage when cold",
    unit="V",
    cites="barrier data sheets; the knee of the diodes is lowest cold (from memory)",
    needs=("barrier", "peak", "working", "cold"),
    remedy="A barrier with a higher working voltage.",
)
def working_voltage(c: PickUp) -> Bound:
    """Peak at the highest speed, asked where there is a barrier."""
    demand = np.where(c.barrier == 0.0, NOTHING, c.peak.high)
    return Bound(demand, working_voltage_at(c.working.low, c.cold))


UNIT_LOAD = level("serial unit load").nominal
"""Ohms of one unit load [ohm]; TIA-485, from memory."""

MOST_UNIT_LOADS = level("serial most unit loads").nominal


@kind("serial line", "A device on a two-wire differential serial line (TIA-485).")
@dataclass(frozen=True, slots=True, kw_only=True)
class Serial:
    """Columns of serial lines; volts, ohms.

    A driver guarantees its differential voltage at its ``load`` and above. ``near`` and ``far``
    are the terminating resistances at the coupler and at the far end; ``loads`` are the unit
    loads of every device. ``channel`` is the resistance of the barrier, both legs.
    """

    drive: Triple = column("source", "differential voltage of the coupler")
    load: Triple = column("source", "lowest load of the coupler")
    threshold: Triple = column("source", "input threshold of the coupler")
    near: Triple = column("source", "termination at the coupler")
    own_load: Triple = column("source", "unit load of the coupler")
    channel: Triple = column("source", "channel resistance of the barrier")
    far: Triple = column("circuit", "termination at the far end")
    loads: Triple = column("circuit", "unit load of every device")
    device_drive: Triple = column("device", "differential voltage of the device")
    device_load: Triple = column("device", "lowest load of the device")
    device_threshold: Triple = column("device", "input threshold of the device")
    line: Triple = column("line", "resistance of the cable, both cores")


def _beside(termination: Floats, loads: Floats) -> Floats:
    """Ohms of a termination with unit loads across it [ohm]."""
    ohms: Floats = 1.0 / (1.0 / termination + loads / UNIT_LOAD)
    return ohms


def _far(c: Serial) -> Floats:
    return _beside(c.far.low, c.loads.high)


def _near(c: Serial) -> Floats:
    return _beside(c.near.low, c.own_load.high)


@function_rule(
    "volts at the device",
    Serial,
    says="The device receives the differential voltage that it needs.",
    relation="threshold of the device <= coupler's voltage after leads, barrier and termination",
    unit="V",
    cites="TIA-485 (from memory); Ohm's law",
    needs=("drive", "device_threshold", "far", "loads", "channel", "line"),
    remedy="Thicker or shorter cable, fewer ohms in the barrier, fewer unit loads.",
)
def at_device(c: Serial) -> Bound:
    """Every unit load at the far end, the termination at its least."""
    end = _far(c)
    share = end / (end + c.line.high + c.channel.high)
    return Bound(c.device_threshold.high, c.drive.low * share)


@function_rule(
    "volts at the coupler",
    Serial,
    says="The coupler receives the differential voltage that it needs.",
    relation="threshold of the coupler <= device's voltage after leads, barrier and termination",
    unit="V",
    cites="TIA-485 (from memory); Ohm's law",
    needs=("device_drive", "threshold", "near", "own_load", "channel", "line"),
    remedy="Thicker or shorter cable, or fewer ohms in the barrier.",
)
def at_coupler(c: Serial) -> Bound:
    """From the far end to the coupler."""
    end = _near(c)
    share = end / (end + c.line.high + c.channel.high)
    return Bound(c.threshold.high, c.device_drive.low * share)


@function_rule(
    "load of the coupler",
    Serial,
    says="The coupler is not loaded with fewer ohms than its voltage holds for.",
    relation="lowest load <= ohms that the coupler sees",
    unit="ohm",
    cites="TIA-485 (from memory)",
    needs=("load", "near", "far", "loads", "own_load", "channel", "line"),
    remedy="Larger terminations, one termination less, fewer unit loads.",
)
def load_of_coupler(c: Serial) -> Bound:
    """Its own end, and the far end behind the fewest ohms."""
    beyond = _far(c) + c.line.low + c.channel.low
    return Bound(c.load.high, 1.0 / (1.0 / _near(c) + 1.0 / beyond))


@function_rule(
    "load of the device",
    Serial,
    says="The device is not loaded with fewer ohms than its voltage holds for.",
    relation="lowest load <= ohms that the device sees",
    unit="ohm",
    cites="TIA-485 (from memory)",
    needs=("device_load", "near", "far", "loads", "own_load", "channel", "line"),
    remedy="Larger terminations, one termination less, fewer unit loads.",
)
def load_of_device(c: Serial) -> Bound:
    """The far end, and the coupler's behind the fewest ohms."""
    beyond = _near(c) + c.line.low + c.channel.low
    return Bound(c.device_load.high, 1.0 / (1.0 / _far(c) + 1.0 / beyond))


@function_rule(
    "unit loads",
    Serial,
    says="There are no more unit loads on the line than a driver is made for.",
    relation="unit loads of devices and coupler <= 32",
    unit="",
    cites="TIA-485 (from memory)",
    needs=("loads", "own_load"),
    remedy="Fewer devices, devices of less unit load, or a repeater.",
)
def unit_loads(c: Serial) -> Bound:
    """Sum of the unit loads."""
    total = c.loads.high + c.own_load.high
    return Bound(total, np.full(total.shape, MOST_UNIT_LOADS))
