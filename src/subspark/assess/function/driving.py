"""What builders of driven circuits share: figures of the source, air, bounds, staircases."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from subspark.assess.function.cases import Figure, Staircase, Step
from subspark.assess.function.facts import Facts, Item, Loop, Point
from subspark.assess.function.line import Line, total
from subspark.assess.members import place_of
from subspark.model import Member, What
from subspark.quantity import CURRENT, Spread, TemperatureRange, show

__all__ = [
    "NAN",
    "NONE",
    "NOT_STATED",
    "air",
    "at_least",
    "at_most",
    "barrier_figures",
    "cabinet",
    "descend",
    "driver_figures",
    "off_figures",
    "stated",
    "unbounded",
]

NAN = math.nan
NONE = Spread(0.0, 0.0, 0.0)
NOT_STATED = Spread(-math.inf, -math.inf, -math.inf)
"""A figure that is not given and of which nothing is asked."""


def at_least(figure: Spread) -> Spread:
    """What is required or guaranteed, given as a lower bound: the bound is the figure."""
    if math.isnan(figure.high) and not math.isnan(figure.low):
        return Spread(figure.low, figure.low, figure.low)
    return figure


def at_most(figure: Spread) -> Spread:
    """What is permitted, given as an upper bound: the bound is the figure."""
    if math.isnan(figure.nominal) and not math.isnan(figure.high):
        return Spread(figure.high, figure.high, figure.high)
    return figure


def unbounded(figure: Spread) -> Spread:
    """A figure of which only the least is known can be as great as it will."""
    if math.isnan(figure.high) and not math.isnan(figure.low):
        return Spread(figure.low, figure.nominal, math.inf)
    return figure


def stated(facts: Facts, what: What) -> Spread:
    """A figure where it is given; asking nothing where it is not."""
    return at_least(facts.spread(what)) if facts.rows(what) else NOT_STATED


def cabinet(source: Item) -> tuple[float, float]:
    """Highest and lowest ambient where the source stands [degC]."""
    coldest, hottest = source.around
    return hottest, coldest


def air(device: Item, loop: Loop) -> tuple[float, float]:
    """Highest and lowest temperature round a device [degC]; its mounting may be hotter."""
    use = device.use
    if not isinstance(use, Member):
        return NAN, NAN
    around: TemperatureRange = use.ambient
    if not around.known:
        area = loop.context.areas.get(place_of(use, loop.circuit))
        around = area.ambient if area is not None else TemperatureRange()
    if not around.known:
        return NAN, NAN
    process = use.process.si
    return around.high if math.isnan(process) else max(around.high, process), around.low


def barrier_figures(source: Item) -> dict[str, Figure]:
    """Ohms and volts of a barrier, its return channel included; none for another source."""
    facts, barrier = source.facts, source.role == "shunt-diode barrier"
    if not barrier:
        return {"barrier": 0.0, "end_to_end": NONE, "drop": NONE, "working": NONE}
    ohms = [facts.spread("end-to-end resistance")]
    if facts.rows("return resistance"):
        ohms.append(facts.spread("return resistance"))
    drops = [facts.spread(what) for what in _DROPS if facts.rows(what)]
    return {
        "barrier": 1.0,
        "end_to_end": total(ohms),
        "drop": total(drops),
        "working": at_least(facts.spread("working voltage")),
    }


_DROPS: tuple[What, ...] = ("voltage drop", "return voltage drop")


def driver_figures(source: Item, own: Facts) -> dict[str, Figure]:
    """Columns of :class:`~subspark.rules.function.driving.Driven` but the line."""
    facts, barrier = source.facts, source.role == "shunt-diode barrier"
    figures = {**barrier_figures(source), **off_figures(facts), "cold": 20.0}
    if not barrier:
        curve = facts.table("terminal voltage")
        limit = facts.spread("current limit")
        return {
            **figures,
            "open_voltage": NONE if curve else at_least(facts.spread("open-circuit voltage")),
            "inner": facts.spread("internal resistance"),
            "curve": curve,
            "tabled": float(bool(curve)),
            "limit": at_least(limit),
            **dict.fromkeys(("least", "fuse", "highest", "supply"), NONE),
        }
    end_to_end = figures["end_to_end"]
    least = facts.spread("least resistance")
    if math.isnan(least.low) and isinstance(end_to_end, Spread):
        least = Spread(end_to_end.low or NAN, end_to_end.nominal, end_to_end.high)
    return {
        **figures,
        "open_voltage": NONE,
        "inner": NONE,
        "curve": (),
        "tabled": 0.0,
        "limit": NONE,
        "least": at_least(least),
        "fuse": at_least(facts.spread("fuse current")),
        "highest": at_most(facts.spread("highest supply")),
        "supply": own.spread("supply voltage"),
        "cold": cabinet(source)[1],
    }


def off_figures(facts: Facts) -> dict[str, Figure]:
    """Volts and current of a driver that is off; one of them stated is enough."""
    volts, flows = stated(facts, "off-state voltage"), stated(facts, "monitoring current")
    if volts is NOT_STATED and flows is NOT_STATED:
        unknown = Spread(NAN, NAN, NAN)
        return {"off_volts": unknown, "monitoring": unknown}
    return {"off_volts": volts, "monitoring": flows}


def _spread(values: dict[str, Figure], name: str) -> Spread:
    held = values[name]
    return held if isinstance(held, Spread) else Spread(NAN, NAN, NAN)


def points_at(table: Sequence[Point], I: float) -> float:  # noqa: E741 - the symbol of current
    """Least volts of a falling table at a current; NaN beyond its last point."""
    if not table:
        return NAN
    if math.isnan(table[0].at) or table[0].at >= I:
        return table[0].value.low
    for here, after in itertools.pairwise(table):
        if here.at < I <= after.at:
            share = (I - here.at) / (after.at - here.at)
            return here.value.low + share * (after.value.low - here.value.low)
    return NAN


def descend(
    source: Item,
    values: dict[str, Figure],
    line: Line,
    I: float,  # noqa: E741 - the symbol of current
    *,
    title: str,
    needed: float,
    more: Sequence[tuple[str, float]] = (),
) -> Staircase:
    """The voltage budget of a driven load at a current, everything against it.

    ``more`` are ohms in series beyond the runs, by label.
    """
    parts: list[tuple[str, float]] = []
    curve = values["curve"]
    if values["barrier"] == 1.0:
        parts.append(("supply on the safe side, least", _spread(values, "supply").low))
        if _spread(values, "drop").high > 0.0:
            parts.append((f"diodes of {source.label}", -_spread(values, "drop").high))
        ohms = _spread(values, "end_to_end").high
        parts.append((f"resistance of {source.label}", -I * ohms))
    elif isinstance(curve, tuple) and not isinstance(curve, Spread) and curve:
        parts.append((f"{source.label} at that current", points_at(curve, I)))
    else:
        parts.append((f"{source.label}, open circuit", _spread(values, "open_voltage").low))
        inner = _spread(values, "inner").high
        parts.append((f"internal resistance of {source.label}", -I * inner))
    for run, ohms_of in line.runs:
        parts.append((f"run {run.number or run.cable or 'of cable'}", -I * ohms_of.high))
    parts += [(label, -I * ohms) for label, ohms in more if ohms > 0.0]
    return stack(parts, title=title, at=show(I, CURRENT, 4), needed=needed)


def stack(parts: Sequence[tuple[str, float]], *, title: str, at: str, needed: float) -> Staircase:
    """A staircase of volts: each part changes what is left."""
    steps: list[Step] = []
    left = 0.0
    for label, change in parts:
        left += change
        steps.append(Step(label, change, left))
    return Staircase(title=title, unit="V", at=at, steps=tuple(steps), left=left, needed=needed)
