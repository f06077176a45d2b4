"""Sources that feed a circuit as figures of a row: barrier or isolator, instrument, series."""

# ruff: noqa: E741 - I is the trade's symbol of a current
from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from subspark.assess.function.cases import Figure, Staircase, Step
from subspark.assess.function.driving import NAN, NONE, at_least, at_most, cabinet
from subspark.assess.function.facts import Facts, Item, Loop, Point
from subspark.assess.function.line import Line, line_of, total
from subspark.assess.outputs import outputs_used
from subspark.model import SimpleType, SourceType, SourceUse, What
from subspark.quantity import CURRENT, UNKNOWN_SPREAD, Spread, show

__all__ = [
    "BARRIER",
    "NO_VOLTS",
    "UNKNOWN_VOLTS",
    "Budget",
    "Series",
    "certified_figures",
    "exactly",
    "fed_line",
    "feed_figures",
    "feed_parts",
    "figure",
    "first_of",
    "guaranteed",
    "in_series",
    "least_at",
    "line_figures",
    "plain",
    "points",
    "points_at",
    "staircase",
    "stated_volts",
    "summed",
    "type_facts",
]

BARRIER = "shunt-diode barrier"
NO_VOLTS: tuple[Point, ...] = (Point(NAN, NONE),)
"""No volts lost, whatever the current."""
UNKNOWN_VOLTS: tuple[Point, ...] = (Point(NAN, UNKNOWN_SPREAD),)
_LEGS = {"supply leg": 0.0, "return leg": 1.0}
_UNBOUNDED = Spread(math.inf, math.inf, math.inf)
_SERIES = ("indicator", "series element")


# --- figures as they are printed ------------------------------------------------------------------


def exactly(figure: Spread) -> Spread:
    """A figure given by one bound: the bound is the figure."""
    return at_most(at_least(figure))


def guaranteed(figure: Spread) -> Spread:
    """What is given as an upper bound only guarantees nothing."""
    if math.isnan(figure.nominal) and not math.isnan(figure.high):
        return Spread(NAN, NAN, figure.high)
    return figure


def first_of(what: What, *places: Facts) -> Spread:
    """The figure in the first place that states it."""
    for facts in places:
        if facts.rows(what):
            return facts.spread(what)
    return UNKNOWN_SPREAD


def type_facts(source: Item) -> Facts:
    """The figures of the type of source alone: what the circuit says of itself is left out."""
    use = source.use
    part = use.outputs if isinstance(use, SourceUse) else ""
    return Facts((source.kind.function,), source.label, part, source.facts.notes)


def _stated(facts: Facts, what: What, otherwise: Spread = NONE) -> Spread:
    return facts.spread(what) if facts.rows(what) else otherwise


def stated_volts(facts: Facts, what: What) -> tuple[Point, ...]:
    """A table of volts lost; none where it is not stated, unknown where it contradicts itself."""
    return (facts.table(what) or UNKNOWN_VOLTS) if facts.rows(what) else NO_VOLTS


# --- what stands in series ------------------------------------------------------------------------


class Series(NamedTuple):
    """Volts and ohms of what stands in series, together and each by its label."""

    volts: tuple[Point, ...]
    ohms: Spread
    parts: tuple[tuple[str, tuple[Point, ...], Spread], ...]
    lacks: tuple[str, ...]


def points_at(table: Sequence[Point], I: float) -> Spread:
    """A table at a current; unknown outside its points."""
    if len(table) == 1 and math.isnan(table[0].at):
        return table[0].value
    at = [one.at for one in table]
    if not at or not at[0] <= I <= at[-1]:
        return UNKNOWN_SPREAD
    low, nominal, high = (
        float(np.interp(I, at, [one.value[end] for one in table])) for end in range(3)
    )
    return Spread(low, nominal, high)


def summed(tables: Sequence[tuple[Point, ...]]) -> tuple[Point, ...]:
    """Sum of tables of volts against current, on all their currents."""
    currents = sorted({one.at for table in tables for one in table if not math.isnan(one.at)})
    if not currents:
        return (Point(NAN, total([table[0].value for table in tables])),)
    return tuple(Point(at, total([points_at(table, at) for table in tables])) for at in currents)


def in_series(loop: Loop) -> Series:
    """Indicators, surge protectors, loop isolators and splitters of a circuit.

    An apparatus of which nothing is said may stand in series; terminals have no ohms.
    """
    parts, lacks = [], []
    for one in loop.devices:
        if one.role in _SERIES:
            given = one.facts.rows("voltage drop") or one.facts.rows("series resistance")
            ohms = _stated(one.facts, "series resistance", NONE if given else UNKNOWN_SPREAD)
            parts.append((one.label, stated_volts(one.facts, "voltage drop"), ohms))
        elif not one.role and not _terminals(one):
            parts.append((one.label, NO_VOLTS, UNKNOWN_SPREAD))
            lacks.append(f"role of {one.label}")
    volts = summed([table for _, table, _ in parts]) if parts else NO_VOLTS
    return Series(volts, total([ohms for _, _, ohms in parts]), tuple(parts), tuple(lacks))


def _terminals(item: Item) -> bool:
    return isinstance(item.kind, SimpleType) and item.kind.item == "switch or terminal"


def line_figures(line: Line, series: Series) -> dict[str, Figure]:
    """Columns of the line and of what stands in series."""
    return {"line": line.ohms, "series": series.volts, "series_R": series.ohms}


# --- the source -----------------------------------------------------------------------------------


def certified_figures(source: Item, loop: Loop) -> dict[str, Figure]:
    """Uo, Io and shape of what the circuit uses of a source; several outputs add up."""
    kind, use = source.kind, source.use
    if not isinstance(kind, SourceType) or not isinstance(use, SourceUse):
        return {"Uo": NAN, "Io": NAN, "linear": NAN}
    outputs = outputs_used(use, kind, loop.circuit.method)
    linear = len(outputs) == 1 and outputs[0].shape == "linear"
    return {
        "Uo": sum(one.Uo.si for one in outputs),
        "Io": sum(one.Io.si for one in outputs),
        "linear": float(linear),
    }


def _barrier(facts: Facts, notes: list[str]) -> dict[str, Figure]:
    end_to_end, leakage = facts.spread("end-to-end resistance"), facts.spread("leakage current")
    least = facts.spread("least resistance")
    if math.isnan(least.low):
        least = Spread(end_to_end.low or NAN, end_to_end.nominal, end_to_end.high)
    regulates = bool(facts.rows("regulated voltage"))
    two_channel = bool(facts.rows("return resistance") or facts.rows("return voltage drop"))
    back_leakage = NONE
    if two_channel:
        back_leakage = _stated(facts, "return leakage current", leakage)
        if not facts.rows("return leakage current"):
            notes.append(f"leakage of the return channel of {facts.label} is taken as its other's")
    return {
        "end_to_end": end_to_end,
        "drop": stated_volts(facts, "voltage drop"),
        "regulated": _stated(facts, "regulated voltage", _UNBOUNDED),
        "own": _stated(facts, "own current", UNKNOWN_SPREAD if regulates else NONE),
        "back": _stated(facts, "return resistance"),
        "back_drop": _stated(facts, "return voltage drop"),
        "two_channel": float(two_channel),
        "working": exactly(facts.spread("working voltage")),
        "return_working": exactly(facts.spread("return working voltage")),
        "leakage": at_most(leakage),
        "return_leakage": at_most(back_leakage),
        "least": least,
        "fuse": exactly(facts.spread("fuse current")),
        "highest": exactly(facts.spread("highest supply")),
    }


_BARRIER_ONLY = (
    *("end_to_end", "own", "back", "back_drop", "working", "return_working", "leakage"),
    *("return_leakage", "least", "fuse", "highest"),
)


def _no_barrier() -> dict[str, Figure]:
    return {
        **dict.fromkeys(_BARRIER_ONLY, NONE),
        "drop": NO_VOLTS,
        "regulated": _UNBOUNDED,
        "two_channel": 0.0,
    }


def _isolator(facts: Facts) -> dict[str, Figure]:
    curve = facts.table("terminal voltage") if facts.rows("terminal voltage") else ()
    sure = tuple(Point(one.at, guaranteed(one.value)) for one in curve)
    contradicts = bool(facts.rows("terminal voltage")) and not curve
    return {
        "open_voltage": NONE if curve else guaranteed(facts.spread("open-circuit voltage")),
        "inner": NONE if curve else facts.spread("internal resistance"),
        "curve": UNKNOWN_VOLTS if contradicts else sure or NO_VOLTS,
        "tabled": float(bool(curve) or contradicts),
        "compliance": guaranteed(facts.spread("load compliance")),
        "most_load": exactly(facts.spread("highest load")),
    }


def feed_figures(source: Item, loop: Loop, notes: list[str]) -> dict[str, Figure]:
    """Columns of :class:`~subspark.rules.function.feeding.Feed` but the line and the series."""
    own, facts, barrier = loop.own, source.facts, source.role == BARRIER
    hot, cold = cabinet(source) if barrier else (20.0, 20.0)
    shared = bool(own.rows("common resistance"))
    values: dict[str, Figure] = {
        **certified_figures(source, loop),
        "barrier": float(barrier) if source.role else NAN,
        "limit": guaranteed(facts.spread("current limit")),
        "supply": guaranteed(own.spread("supply voltage")) if barrier else NONE,
        "load": guaranteed(own.spread("load resistance")),
        "in_return": _LEGS.get(own.word("load place"), NAN) if barrier else 0.0,
        "card": exactly(own.spread("input limit voltage")) if barrier else NONE,
        "common": own.spread("common resistance") if shared and barrier else NONE,
        "others": own.spread("common current") if shared and barrier else NONE,
        "margin": at_least(own.spread("margin")) if own.rows("margin") else NONE,
        "hot": hot,
        "cold": cold,
    }
    # Of a source without a role only that is missing: the rest hangs on it.
    none: dict[str, Figure] = {
        **dict.fromkeys(("open_voltage", "inner", "compliance", "most_load"), NONE),
        "curve": NO_VOLTS,
        "tabled": 0.0,
    }
    if not source.role:
        return {**values, **_no_barrier(), **none}
    if barrier:
        return {**values, **none, **_barrier(facts, notes)}
    return {**values, **_no_barrier(), **_isolator(facts)}


# --- the staircase --------------------------------------------------------------------------------


def figure(values: dict[str, Figure], name: str) -> Spread:
    """A figure of a row."""
    held = values[name]
    return held if isinstance(held, Spread) else UNKNOWN_SPREAD


def plain(values: dict[str, Figure], name: str) -> float:
    """A plain number of a row."""
    held = values[name]
    return held if isinstance(held, float) else NAN


def points(values: dict[str, Figure], name: str) -> tuple[Point, ...]:
    """A table of a row."""
    held = values[name]
    return held if isinstance(held, tuple) and not isinstance(held, Spread) else ()


class Budget:
    """Steps of a staircase as they are taken; what takes nothing is left out."""

    def __init__(self) -> None:
        self.steps: list[Step] = []
        self.left = NAN

    def start(self, label: str, volts: float) -> None:
        """The first step: what is there."""
        self.left = volts
        self.steps.append(Step(label, volts, volts))

    def take(self, label: str, change: float) -> None:
        """A step that changes what is left."""
        if change != 0.0:
            self.left += change
            self.steps.append(Step(label, change, self.left))

    def cut(self, label: str, volts: float) -> None:
        """A step down to some volts, where more are left."""
        if self.left > volts:
            self.take(label, volts - self.left)


def feed_parts(budget: Budget, source: Item, values: dict[str, Figure], I: float) -> None:
    """The steps from the supply to the field terminals of the source, everything against it."""

    def high(name: str) -> float:
        return figure(values, name).high

    if plain(values, "barrier") > 0.0:
        load, last = high("load"), plain(values, "in_return") > 0.0
        budget.start("supply on the safe side, least", figure(values, "supply").low)
        if not last and load != 0.0:
            budget.take("load on the safe side", -(I + high("own")) * load)
        budget.take(f"volts lost in {source.label}", -points_at(points(values, "drop"), I).high)
        budget.cut(f"regulated by {source.label}", figure(values, "regulated").low)
        budget.take(f"resistance of {source.label}", -I * high("end_to_end"))
        if last:
            budget.take("load on the safe side", -I * load)
        budget.take("diodes of the return channel", -high("back_drop"))
        budget.take("resistance of the return channel", -I * high("back"))
        if high("common") != 0.0:
            budget.take("common return rail", -(I + high("others")) * high("common"))
    elif plain(values, "tabled") > 0.0:
        budget.start(f"{source.label} at that current", least_at(points(values, "curve"), I))
    else:
        budget.start(f"{source.label}, open circuit", figure(values, "open_voltage").low)
        budget.take(f"internal resistance of {source.label}", -I * high("inner"))


def least_at(curve: Sequence[Point], I: float) -> float:
    """Least volts of a falling table; its first point stands for lower currents too."""
    if curve and not math.isnan(curve[0].at) and curve[0].at > I:
        return curve[0].value.low
    return points_at(curve, I).low


def staircase(
    source: Item,
    line: Line,
    series: Series,
    values: dict[str, Figure],
    I: float,
    *,
    title: str,
    needed: float,
    more: Sequence[tuple[str, float]] = (),
) -> Staircase:
    """The voltage budget at a current, everything against it, to what is left at the device.

    ``more`` are further changes of what is left, by label.
    """
    budget = Budget()
    feed_parts(budget, source, values, I)
    for run, ohms in line.runs:
        budget.take(f"run {run.number or run.cable or 'of cable'}", -I * ohms.high)
    for label, table, ohms in series.parts:
        budget.take(label, -I * ohms.high - points_at(table, I).high)
    for label, change in more:
        budget.take(label, change)
    return Staircase(
        title=title,
        unit="V",
        at=show(I, CURRENT, 4),
        steps=tuple(budget.steps),
        left=budget.left,
        needed=needed,
    )


def fed_line(loop: Loop) -> tuple[Line, Series]:
    """The line of a circuit, and what stands in series on it."""
    return line_of(loop), in_series(loop)
