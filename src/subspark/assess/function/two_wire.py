"""Two-wire loops as rows: transmitter, what stands in series, line, source, instrument."""

# ruff: noqa: E741 - I is the trade's symbol of a current
from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

from subspark.assess.function.cases import Figure, FunctionCase, Staircase, builder
from subspark.assess.function.driving import NONE, at_least, at_most
from subspark.assess.function.facts import Facts, Item, Loop, Point
from subspark.assess.function.feeding import (
    BARRIER,
    Series,
    exactly,
    fed_line,
    feed_figures,
    figure,
    first_of,
    line_figures,
    plain,
    points,
    staircase,
    type_facts,
)
from subspark.assess.function.hart import hart_figures, used
from subspark.assess.function.line import Line
from subspark.model import What
from subspark.quantity import Spread
from subspark.rules.function.hart import HART_PEAK
from subspark.rules.function.levels import level

__all__ = ["needs_of", "start_of", "two_wire"]

ROLES = frozenset({"two-wire transmitter", "indicator", "series element", ""})
SOURCES = frozenset({BARRIER, "repeater supply", ""})


def needs_of(facts: Facts) -> tuple[Point, ...]:
    """Lift-off voltage against current, steps and all; a lower bound is the figure."""
    rows = facts.table("lift-off voltage", steps=True)
    return tuple(Point(one.at, at_least(one.value)) for one in rows)


def start_of(facts: Facts) -> Spread:
    """Current to start; 0 where none is stated: the device starts on its signal."""
    return at_most(facts.spread("start current")) if facts.rows("start current") else NONE


def _threshold(own: Facts, what: What, name: str, notes: list[str]) -> Spread:
    if own.rows(what):
        return exactly(own.spread(what))
    found = level(name)
    note = f"{what} of the input is not stated: that of {found.source} is taken"
    notes.append(note)
    return Spread(found.low, found.nominal, found.high)


def _alarms(loop: Loop, facts: Facts, notes: list[str]) -> dict[str, Figure]:
    """Alarm ends as set in the circuit, else of the transmitter; thresholds of the input."""
    own = loop.own
    return {
        "I_low": exactly(first_of("low alarm current", own, facts)),
        "I_high": exactly(first_of("high alarm current", own, facts)),
        "low_alarm": _threshold(own, "low alarm threshold", "signal low alarm", notes),
        "high_alarm": _threshold(own, "high alarm threshold", "signal high alarm", notes),
        "I_start": start_of(facts),
    }


@builder
def two_wire(loop: Loop) -> Iterator[FunctionCase]:
    """One case for a two-wire transmitter that stands alone in its loop."""
    transmitters, source = loop.of_role("two-wire transmitter"), loop.source
    if len(transmitters) != 1 or source is None:
        return
    if loop.roles - ROLES or source.role not in SOURCES:
        return
    (device,) = transmitters
    facts = device.facts
    notes: list[str] = []
    line, series = fed_line(loop)
    hart = used(loop, transmitters)
    accuracy = type_facts(source).spread("accuracy")
    values: dict[str, Figure] = {
        **feed_figures(source, loop, notes),
        **hart_figures(source, transmitters, loop, line, hart, notes),
        **line_figures(line, series),
        **_alarms(loop, facts, notes),
        "accuracy": NONE if source.role == BARRIER else at_most(accuracy),
        "budget": exactly(loop.own.spread("error budget share")),
        "need": needs_of(facts),
        "bearable": exactly(facts.spread("highest operating voltage")),
    }
    if not loop.own.rows("margin"):
        notes.append("no margin beyond the lift-off voltage is asked")
    yield FunctionCase(
        kind="two-wire loop",
        of=device.label,
        values=values,
        notes=(*loop.own.notes, *source.facts.notes, *facts.notes, *line.notes, *notes),
        stairs=lambda at: _stairs(source, device, series, line, values, at),
        lacks=series.lacks,
    )


def _stairs(
    source: Item,
    device: Item,
    series: Series,
    line: Line,
    values: dict[str, Figure],
    at: float,
) -> Staircase:
    """The voltage budget at a current; at the high alarm where the worst rule names none."""
    peak = HART_PEAK if plain(values, "hart") > 0.0 else 0.0
    I = round(figure(values, "I_high").high + peak, 12) if math.isnan(at) else at
    return staircase(
        source,
        line,
        series,
        values,
        I,
        title=f"Volts to {device.label}",
        needed=_needed(points(values, "need"), I) + figure(values, "margin").high,
    )


def _needed(table: tuple[Point, ...], I: float) -> float:
    """Volts needed at a current; the higher where the need steps there."""
    found = [one.value.high for one in table if math.isnan(one.at) or math.isclose(one.at, I)]
    for here, after in itertools.pairwise(table):
        if here.at < I < after.at:
            share = (I - here.at) / (after.at - here.at)
            found.append(here.value.high + share * (after.value.high - here.value.high))
    return max(found, default=math.nan)
