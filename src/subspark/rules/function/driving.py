"""Sources that drive a load: an output driver, or a supply behind a shunt-diode barrier.

A driver is given by its open-circuit voltage, internal resistance and current limit (a
trapezoid), or by guaranteed voltages at currents. What several kinds of circuits ask of such a
source stands here once.
"""

# ruff: noqa: E741 - I is the trade's symbol of a current
from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from subspark.physics.loops import working_voltage_at
from subspark.rules.bound import Bound
from subspark.rules.columns import NOTHING, Floats
from subspark.rules.function.columns import Table, Triple, column, interpolate
from subspark.rules.function.registry import function_rule

__all__ = [
    "Driven",
    "asked_of_barrier",
    "barrier_rules",
    "last_current",
    "least_current",
    "off_current",
    "unless",
    "volts_left",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Driven:
    """Columns of circuits in which a source drives a load; volts, amperes, ohms, degC.

    ``barrier`` is 1 where the source is a shunt-diode barrier and 0 where it is a driver: then
    ``supply`` and the barrier's own figures ask nothing. A driver without an electronic limit
    states its short-circuit current as ``limit``, which then never binds.
    """

    barrier: Floats = column("source", "role of the source")
    open_voltage: Triple = column("source", "open-circuit voltage of the driver")
    inner: Triple = column("source", "internal resistance of the driver")
    curve: Table = column("source", "terminal voltage of the driver")
    tabled: Floats = column("source", "whether the driver is given by a table")
    limit: Triple = column(
        "source", "current limit of the driver (of a linear one its short-circuit current)"
    )
    end_to_end: Triple = column("source", "end-to-end resistance of the barrier")
    drop: Triple = column("source", "voltage drop of the barrier")
    working: Triple = column("source", "working voltage of the barrier")
    least: Triple = column("source", "least resistance of the barrier")
    fuse: Triple = column("source", "fuse current of the barrier")
    highest: Triple = column("source", "highest supply of the barrier")
    off_volts: Triple = column("source", "off-state voltage of the driver")
    monitoring: Triple = column("source", "monitoring current of the driver")
    supply: Triple = column("circuit", "supply voltage on the safe side")
    cold: Floats = column("circuit", "lowest ambient of the cabinet")
    line: Triple = column("line", "resistance of the cable, both cores")


def volts_left(c: Driven, I: Floats) -> Floats:
    """Least volts at the hazardous terminals of the source at a current [V]."""
    behind = c.supply.low - c.drop.high - I * c.end_to_end.high
    tabled = interpolate(c.curve.at, c.curve.low, I, falling=True)
    driver = np.where(c.tabled > 0.0, tabled, c.open_voltage.low - I * c.inner.high)
    return np.where(c.barrier > 0.0, behind, driver)


def last_current(c: Driven) -> Floats:
    """Highest current that the source surely gives [A].

    A barrier has no limit of its own; a table gives nothing beyond its last point.
    """
    last = np.fmax.reduce(c.curve.at, axis=0, initial=NOTHING)
    tabled = np.where(np.isnan(c.limit.low), last, np.minimum(last, c.limit.low))
    return np.where(c.barrier > 0.0, np.inf, np.where(c.tabled > 0.0, tabled, c.limit.low))


def least_current(c: Driven, forward: Floats, ohms: Floats) -> Floats:
    """Least current through a load of a fixed voltage and a resistance, line included.

    Equation: ``U_source(I) = forward + I (line + ohms)``, not above the source's limit and not
    below zero.

    Parameters
    ----------
    forward : (S) [V]
        Volts below which the load takes nothing.
    ohms : (S) [ohm]
        Resistance of the load beyond them.
    """
    outside = c.line.high + ohms
    behind = (c.supply.low - c.drop.high - forward) / (c.end_to_end.high + outside)
    linear = (c.open_voltage.low - forward) / (c.inner.high + outside)
    driver = np.where(c.tabled > 0.0, _on_curve(c.curve, forward, outside), linear)
    free = np.where(c.barrier > 0.0, behind, driver)
    return np.minimum(np.maximum(free, 0.0), last_current(c))


def _on_curve(curve: Table, forward: Floats, ohms: Floats) -> Floats:
    """Where a falling table of least volts meets the load; its last current where it never does."""
    if curve.at.shape[0] == 0:
        return np.full(np.broadcast_shapes(np.shape(forward), np.shape(ohms)), np.nan)
    beyond = [low - forward - at * ohms for at, low in zip(curve.at, curve.low, strict=True)]
    before = (curve.low[0] - forward) / ohms
    first = np.isposinf(curve.at[0]) | (before <= curve.at[0])
    found = np.where(first, before, np.nan)
    for at, more in zip(curve.at, beyond, strict=True):
        found = np.where((more >= 0.0) & np.isfinite(at), at, found)
    for k in range(len(beyond) - 1):
        here, after = beyond[k], beyond[k + 1]
        crosses = (here >= 0.0) & (after < 0.0)
        share = here / (here - after)
        between = curve.at[k] + share * (curve.at[k + 1] - curve.at[k])
        found = np.where(crosses, between, found)
    return found


def off_current(c: Driven, forward: Floats, ohms: Floats) -> Floats:
    """Most current through a load when the source is off [A]; -inf where surely none flows.

    Either the off-state voltage drives it or the current of line monitoring passes; a source
    that states the one is not asked for the other (-inf).
    """
    inner = np.where((c.tabled > 0.0) & np.isnan(c.inner.low), 0.0, c.inner.low)
    behind = np.where(c.barrier > 0.0, c.end_to_end.low, inner) + c.line.low + ohms
    drop = np.where(c.barrier > 0.0, c.drop.low, 0.0)
    driven = np.maximum(c.off_volts.high - drop - forward, 0.0) / behind
    # Ohms count only where some volts are left to drive a current.
    none = c.off_volts.high <= 0.0
    driven = np.where(none, NOTHING, driven)
    most = np.maximum(driven, c.monitoring.high)
    return np.where(most <= 0.0, NOTHING, most)


def unless(flag: Floats, demand: Floats) -> Floats:
    """The demand where the flag is 0; nothing where it is 1; unknown where it is not known."""
    return np.where(flag > 0.0, NOTHING, np.where(flag == 0.0, demand, np.nan))


def asked_of_barrier(c: Driven, demand: Floats) -> Floats:
    """The demand where the source is a barrier; nothing of a driver."""
    return np.where(c.barrier == 0.0, NOTHING, demand)


def barrier_rules(of: type[Driven]) -> None:
    """Declare what a barrier asks of its supply, for a kind of circuit."""

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
    def working_voltage(c: Driven) -> Bound:
        return Bound(asked_of_barrier(c, c.supply.high), working_voltage_at(c.working.low, c.cold))

    @function_rule(
        "barrier fuse",
        of,
        says="A core that touches earth does not blow the fuse of the barrier.",
        relation="highest supply / least resistance <= fuse current",
        unit="A",
        cites="Ohm's law with the highest supply",
        needs=("barrier", "supply", "least", "fuse"),
        remedy="A barrier with a current-limited supply or a larger fuse; else keep fuses.",
    )
    def barrier_fuse(c: Driven) -> Bound:
        return Bound(asked_of_barrier(c, c.supply.high / c.least.low), c.fuse.low)

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
    def barrier_supply(c: Driven) -> Bound:
        return Bound(asked_of_barrier(c, c.supply.high), c.highest.low)
