"""Several two-wire transmitters on one pair as rows, one each."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial

from subspark.assess.function.cases import Figure, FunctionCase, Staircase, builder
from subspark.assess.function.driving import NAN
from subspark.assess.function.facts import Item, Loop
from subspark.assess.function.feeding import (
    Series,
    exactly,
    fed_line,
    feed_figures,
    figure,
    line_figures,
    points,
    staircase,
)
from subspark.assess.function.hart import hart_figures
from subspark.assess.function.line import Line, total
from subspark.assess.function.two_wire import ROLES, SOURCES, needs_of, start_of
from subspark.quantity import Spread
from subspark.rules.function.hart import HART_PEAK

__all__ = ["multidrop"]

_NOTE = (
    "several transmitters share the pair: HART is taken to be used, every current to flow "
    "through the whole line; the time of a round of polling is not judged"
)
_SEVERAL = 2


def _larger(one: float, other: float) -> float:
    return NAN if math.isnan(one + other) else max(one, other)


def _currents(device: Item) -> tuple[Spread, Spread]:
    """Fixed current of a transmitter, and what it takes to start: no less than that."""
    fixed, start = exactly(device.facts.spread("fixed current")), start_of(device.facts)
    ends = [_larger(one, other) for one, other in zip(fixed[:3], start[:3], strict=True)]
    return fixed, Spread(ends[0], ends[1], ends[2])


@builder
def multidrop(loop: Loop) -> Iterator[FunctionCase]:
    """One case for each of several two-wire transmitters on one pair."""
    transmitters, source = loop.of_role("two-wire transmitter"), loop.source
    if len(transmitters) < _SEVERAL or source is None:
        return
    if loop.roles - ROLES or source.role not in SOURCES:
        return
    common = [_NOTE]
    line, series = fed_line(loop)
    currents = [_currents(one) for one in transmitters]
    shared: dict[str, Figure] = {
        **feed_figures(source, loop, common),
        **hart_figures(source, transmitters, loop, line, 1.0, common),
        **line_figures(line, series),
        "count": float(len(transmitters)),
        "I_all": total([fixed for fixed, _ in currents]),
        "I_starts": total([start for _, start in currents]),
    }
    for device, (fixed, start) in zip(transmitters, currents, strict=True):
        facts = device.facts
        values = {
            **shared,
            "I_own": fixed,
            "I_start": start,
            "need": needs_of(facts),
            "bearable": exactly(facts.spread("highest operating voltage")),
        }
        yield FunctionCase(
            kind="multidrop loop",
            of=device.label,
            values=values,
            notes=(*loop.own.notes, *source.facts.notes, *facts.notes, *line.notes, *common),
            stairs=partial(_stairs, source, device.label, line, series, values),
            lacks=series.lacks,
        )


def _stairs(
    source: Item, label: str, line: Line, series: Series, values: dict[str, Figure], at: float
) -> Staircase:
    """The voltage budget with all currents together, against the most that the device needs."""
    top = _larger(figure(values, "I_all").high + HART_PEAK, figure(values, "I_starts").high)
    needed = max((one.value.high for one in points(values, "need")), default=NAN)
    return staircase(
        source,
        line,
        series,
        values,
        round(top, 12) if math.isnan(at) else at,
        title=f"Volts to {label}",
        needed=needed + figure(values, "margin").high,
    )
