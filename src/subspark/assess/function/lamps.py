"""Lamp and sounder circuits as rows: devices, line, driver or barrier with its supply."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from subspark.assess.function.cases import Figure, FunctionCase, builder
from subspark.assess.function.driving import (
    NAN,
    air,
    at_least,
    at_most,
    descend,
    driver_figures,
)
from subspark.assess.function.engine import block_columns
from subspark.assess.function.facts import Item, Loop
from subspark.assess.function.inputs import with_series
from subspark.assess.function.line import Line, line_of, total
from subspark.quantity import Spread
from subspark.rules.function.lamps import forward

__all__ = ["lamp", "sounders"]

_DRIVERS = frozenset({"output driver", "shunt-diode barrier"})
_HEARD = ("sounder", "beacon")


@builder
def lamp(loop: Loop) -> Iterator[FunctionCase]:
    """One case for the one lamp of a circuit."""
    source, devices = loop.source, loop.of_role("lamp")
    if source is None or len(devices) != 1 or source.role not in _DRIVERS:
        return
    if loop.roles - {"lamp", "series element"}:
        return
    (device,) = devices
    facts, line = device.facts, line_of(loop)
    series, labels = with_series(loop)
    hot, cold = air(device, loop)
    own_R = facts.spread("series resistance")
    values: dict[str, Figure] = {
        **driver_figures(source, loop.own),
        "line": total([line.ohms, series]),
        "forward": facts.table("forward voltage"),
        "junctions": facts.spread("junctions"),
        "series": own_R,
        "visible": at_least(facts.spread("visible current")),
        "glow": at_most(facts.spread("glow current")),
        "hot_air": hot,
        "cold_air": cold,
    }
    case = FunctionCase(
        kind="lamp circuit",
        of=device.label,
        values=values,
        notes=(*loop.own.notes, *source.facts.notes, *facts.notes, *line.notes),
    )
    more = [*labels, (f"resistor of {device.label}", own_R.high)]
    yield FunctionCase(
        kind=case.kind,
        of=case.of,
        values=values,
        notes=case.notes,
        stairs=lambda _: descend(
            source,
            values,
            line,
            _high(values, "visible"),
            title=f"Volts to {device.label}",
            needed=_forward(case),
            more=more,
        ),
    )


def _high(values: dict[str, Figure], name: str) -> float:
    held = values[name]
    return held.high if isinstance(held, Spread) else NAN


def _forward(case: FunctionCase) -> float:
    with np.errstate(invalid="ignore"):
        c = block_columns(case.kind, [case])
        return float(forward(c, c.visible.high, most=True)[0])


def _current(device: Item) -> Spread:
    """The most that a device takes: at work, or at its start where that is stated [A]."""
    work = at_least(device.facts.spread("operating current"))
    if not device.facts.rows("start current"):
        return work
    start = at_least(device.facts.spread("start current"))
    low, nominal, high = (
        float(np.maximum(one, other)) for one, other in zip(work[:3], start[:3], strict=True)
    )
    return Spread(low, nominal, high)


@builder
def sounders(loop: Loop) -> Iterator[FunctionCase]:
    """One case for each sounder or beacon; several on one driver stand in parallel."""
    source, devices = loop.source, loop.of_role(*_HEARD)
    if source is None or not devices or source.role not in _DRIVERS:
        return
    if loop.roles - {*_HEARD, "series element"}:
        return
    line = line_of(loop)
    series, labels = with_series(loop)
    together = total([_current(one) for one in devices])
    shared = {
        **driver_figures(source, loop.own),
        "line": total([line.ohms, series]),
        "together": together,
    }
    for device in devices:
        yield _sounder(loop, source, device, line, labels, shared)


def _sounder(
    loop: Loop,
    source: Item,
    device: Item,
    line: Line,
    labels: list[tuple[str, float]],
    shared: dict[str, Figure],
) -> FunctionCase:
    facts = device.facts
    values = {
        **shared,
        "need": at_least(facts.spread("lowest supply voltage")),
        "alive": at_most(facts.spread("alive current")),
    }
    return FunctionCase(
        kind="sounder circuit",
        of=device.label,
        values=values,
        notes=(*loop.own.notes, *source.facts.notes, *facts.notes, *line.notes),
        stairs=lambda _: descend(
            source,
            values,
            line,
            _high(values, "together"),
            title=f"Volts to {device.label}",
            needed=_high(values, "need"),
            more=labels,
        ),
    )
