"""Strain-gauge bridges on four or six wires, several cells in parallel."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from subspark.physics.loops import working_voltage_at
from subspark.rules.bound import Bound
from subspark.rules.columns import NOTHING, Floats, total
from subspark.rules.function.columns import Members, Triple, column
from subspark.rules.function.registry import function_rule, kind

__all__ = ["Bridge", "feeds", "together"]


@kind("bridge", "Strain-gauge bridges, one or several cells in parallel.")
@dataclass(frozen=True, slots=True, kw_only=True)
class Bridge:
    """Columns of bridges; volts, ohms, amperes, shares of span.

    ``channel`` is one channel of the barrier, ``lead`` one core of the cable. ``cells`` are the
    resistances of the cells, ``needs`` the least excitation of each.
    """

    barrier: Floats = column("source", "role of the source")
    channel: Triple = column("source", "channel resistance of the barrier")
    working: Triple = column("source", "working voltage of the barrier")
    excitation: Triple = column("source", "excitation voltage")
    limit: Triple = column("source", "current limit of the supply")
    input_R: Triple = column("source", "input resistance of the amplifier")
    cold: Floats = column("circuit", "lowest ambient of the cabinet")
    sensed: Floats = column("circuit", "sense wires")
    budget: Triple = column("circuit", "error budget share")
    cells: Members = column("device", "bridge resistance of every cell")
    needs: Members = column("device", "lowest supply voltage of every cell")
    lead: Triple = column("line", "resistance of one core of the cable")


def together(ohms: Floats) -> Floats:
    """Ohms of cells in parallel [ohm]."""
    with np.errstate(divide="ignore", invalid="ignore"):
        siemens = np.where(ohms == 0.0, 0.0, 1.0 / ohms)
        parallel: Floats = 1.0 / total(siemens)
    return parallel


def feeds(c: Bridge) -> tuple[Floats, Floats]:
    """Least and greatest ohms of both feeding legs [ohm]."""
    return 2.0 * (c.lead.low + c.channel.low), 2.0 * (c.lead.high + c.channel.high)


@function_rule(
    "excitation",
    Bridge,
    says="The bridge is left the excitation that its cells need.",
    relation="lowest supply voltage <= excitation x bridge / (bridge + both feeds)",
    unit="V",
    cites="Ohm's law, with the fewest ohms of the cells together",
    needs=("excitation", "cells", "needs", "lead", "channel"),
    remedy="Fewer cells, cells of more ohms, thicker cable, a barrier with fewer ohms.",
)
def excitation(c: Bridge) -> Bound:
    """What the most demanding cell needs against the volts at the bridge."""
    bridge = together(c.cells.low)
    left = c.excitation.low * bridge / (bridge + feeds(c)[1])
    return Bound(c.needs.high.max(axis=0, initial=0.0), left)


@function_rule(
    "sense wires",
    Bridge,
    says="Through a barrier the excitation is sensed at the bridge.",
    relation="barrier <= sense wires",
    unit="",
    cites="common practice, no source",
    needs=("barrier", "sensed"),
    remedy="Six wires.",
)
def sense_wires(c: Bridge) -> Bound:
    """Asked where there is a barrier."""
    return Bound(np.where(c.barrier == 0.0, NOTHING, c.barrier), c.sensed, exact=True)


@function_rule(
    "span error",
    Bridge,
    says="Leads that grow warmer, and ohms before the amplifier, do not change the span too much.",
    relation="drift of the feeds (four wires) + legs / (legs + input resistance) <= error budget",
    unit="%",
    cites="Ohm's law; the span is set at some temperature within the range of the conductors",
    needs=("sensed", "cells", "lead", "channel", "input_R", "budget"),
    remedy="Six wires, thicker or shorter cable, an amplifier with a higher input resistance.",
)
def span_error(c: Bridge) -> Bound:
    """Drift between the least and the greatest ohms, and loss before the amplifier."""
    least, most = feeds(c)
    bridge = together(c.cells.low)
    drift = most / (bridge + most) - least / (bridge + least)
    before = most / (most + c.input_R.low)
    sensed = np.where(c.sensed > 0.0, before, np.where(c.sensed == 0.0, drift, np.nan))
    return Bound(sensed + before, c.budget.low)


@function_rule(
    "current of the supply",
    Bridge,
    says="The supply can feed all cells together.",
    relation="excitation / (bridge + both feeds) <= current limit",
    unit="A",
    cites="Ohm's law, with the fewest ohms",
    needs=("excitation", "cells", "limit", "lead", "channel"),
    remedy="Fewer cells, cells of more ohms, a smaller excitation.",
)
def supply_current(c: Bridge) -> Bound:
    """Highest excitation over the fewest ohms."""
    return Bound(c.excitation.high / (together(c.cells.low) + feeds(c)[0]), c.limit.low)


@function_rule(
    "working voltage",
    Bridge,
    says="The excitation stays below the voltage at which the barrier begins to conduct.",
    relation="excitation <= working voltage when cold",
    unit="V",
    cites="barrier data sheets; the knee of the diodes is lowest cold (from memory)",
    needs=("barrier", "excitation", "working", "cold"),
    remedy="A smaller excitation, or a barrier with a higher working voltage.",
)
def working_voltage(c: Bridge) -> Bound:
    """Highest excitation, asked where there is a barrier."""
    demand = np.where(c.barrier == 0.0, NOTHING, c.excitation.high)
    return Bound(demand, working_voltage_at(c.working.low, c.cold))
