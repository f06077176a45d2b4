"""HART beside a current signal: ohms across a modem's port, ohms and farads of the loop.

A transmitter is a source of signal current: a modem sees the ohms across its own port and not
those in series with it. The figures are from memory of the physical layer; see the levels.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from subspark.rules.bound import All, Bound
from subspark.rules.columns import NOTHING, Floats
from subspark.rules.function.columns import Triple, column
from subspark.rules.function.feeding import Feed
from subspark.rules.function.levels import level
from subspark.rules.function.registry import function_rule

__all__ = ["HART_LEAST", "HART_PEAK", "HART_REST", "HART_TIME", "Hart", "hart_rules", "wanted"]

HART_LEAST = level("HART least resistance").nominal
"""Ohms that a modem needs across its port [ohm]."""

HART_PEAK = level("HART signal peak").nominal
"""Peak of the signal current [A]."""

HART_TIME = level("HART time constant").nominal
"""Greatest product of the ohms and the farads of a loop [s]."""

HART_REST = level("HART rest of the loop").nominal
"""Capacitance of a loop besides cable and field devices [F]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hart(Feed):
    """Columns of loops on which HART may be spoken.

    ``safe_modem`` and ``field_modem`` answer where a modem is connected; ``port`` are the ohms
    that an isolator puts across its modem's port.
    """

    passes: Floats = column("source", "whether the source passes HART")
    port: Triple = column("source", "HART resistance of the source")
    hart: Floats = column("circuit", "whether HART is used")
    safe_modem: Floats = column("circuit", "HART place")
    field_modem: Floats = column("circuit", "HART place")
    most_ohms: Triple = column("circuit", "HART highest resistance")
    C_device: Triple = column("device", "input capacitance of the transmitters")
    C_line: Triple = column("line", "capacitance of the cable")


def wanted(flag: Floats, demand: Floats, limit: Floats) -> Floats:
    """The demand where the flag is 1, nothing where it is 0; if not known, a demand that holds."""
    held = np.where(demand <= limit, demand, np.nan)
    return np.where(flag > 0.0, demand, np.where(flag == 0.0, NOTHING, held))


def _barrier_ohms(c: Hart, *, most: bool) -> Floats:
    end = 2 if most else 0
    return c.end_to_end[end] + c.back[end] + c.load[end]


def _loop_ohms(c: Hart) -> Floats:
    """Most ohms of the whole loop as its signal sees them [ohm]."""
    ours = np.where(c.barrier > 0.0, _barrier_ohms(c, most=True), c.port.high)
    ohms: Floats = ours + c.line.high + c.series_R.high
    return np.where(np.isnan(c.barrier), np.nan, ohms)


def hart_rules(of: type[Hart]) -> None:
    """Declare what HART asks, for a kind of circuit."""

    @function_rule(
        "HART",
        of,
        says="Each modem sees enough ohms across its own port, and the source lets HART pass.",
        relation="230 ohm <= ohms across the modem's port",
        unit="ohm",
        cites="HART FSK physical layer (from memory)",
        needs=("hart", "passes", "port", "load", "barrier", "safe_modem"),
        remedy="A resistor of 250 ohm across the modem's port, or a source that passes HART.",
    )
    def hart_port(c: Hart) -> All:
        """On the safe side the load or the isolator's own ohms; in the field the whole loop.

        Where the place is not told, the safe side is tried: a loop has no fewer ohms.
        """
        ours = np.where(np.isnan(c.port.low), c.load.low, c.port.low)
        port = np.where(c.barrier > 0.0, c.load.low, ours)
        passed = np.where(c.passes > 0.0, port, np.where(c.passes == 0.0, 0.0, np.nan))
        loop = np.where(c.barrier > 0.0, _barrier_ohms(c, most=False), c.port.low)
        afield = loop + c.line.low + c.series_R.low
        bounds = []
        for name, flag, ohms in (
            ("safe side", c.safe_modem, passed),
            ("field side", c.field_modem, afield),
        ):
            known = np.where(np.isnan(c.barrier), np.nan, ohms)
            demand = wanted(flag, np.full(1, HART_LEAST), known)
            bounds.append(Bound(wanted(c.hart, demand, known), known, what=name))
        return All(tuple(bounds))

    @function_rule(
        "HART load",
        of,
        says="The loop does not put too many ohms across its transmitter.",
        relation="ohms of the loop <= highest resistance of a HART loop",
        unit="ohm",
        cites="common guides, 1100 ohm; the specification's text says 600 ohm (from memory)",
        needs=("hart", "load", "end_to_end", "line", "barrier", "port", "most_ohms"),
        remedy="A smaller load, a barrier with fewer ohms, thicker or shorter cable.",
    )
    def hart_load(c: Hart) -> Bound:
        """Ohms of the whole loop."""
        return Bound(wanted(c.hart, _loop_ohms(c), c.most_ohms.low), c.most_ohms.low)

    @function_rule(
        "HART time constant",
        of,
        says="Cable and devices are not so capacitive that they swallow the signal.",
        relation="ohms of the loop x (devices + 10 nF + cable) <= 65 µs",
        unit="s",
        cites="HART FSK physical layer (from memory)",
        needs=("hart", "load", "end_to_end", "line", "barrier", "port", "C_line", "C_device"),
        remedy="Shorter cable, cable with less capacitance, fewer ohms.",
    )
    def hart_time(c: Hart) -> Bound:
        """Time constant, the ohms of the cable counted."""
        tau = _loop_ohms(c) * (c.C_line.high + c.C_device.high + HART_REST)
        limit = np.full(1, HART_TIME)
        return Bound(wanted(c.hart, tau, limit), limit)
