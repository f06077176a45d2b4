"""Two-wire loops as rows: transmitter, what stands in series, line, source, instrument."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from subspark.assess.function.cases import Figure, FunctionCase, Staircase, Step, builder
from subspark.assess.function.facts import Facts, Item, Loop, Point
from subspark.assess.function.line import Line, line_of, total
from subspark.model import SourceUse
from subspark.quantity import CURRENT, UNKNOWN_SPREAD, Spread, show
from subspark.rules.function.two_wire import HART_PEAK

__all__ = ["two_wire"]

NAN = math.nan
NONE = Spread(0.0, 0.0, 0.0)
_LEGS = {"supply leg": 0.0, "return leg": 1.0}


def _cabinet(source: Item) -> tuple[float, float]:
    """Highest and lowest ambient where the source stands [degC]."""
    use = source.use
    if isinstance(use, SourceUse) and use.place_ambient.known:
        return use.place_ambient.high, use.place_ambient.low
    return NAN, NAN


def _in_series(loop: Loop) -> tuple[tuple[Point, ...], Spread, list[str]]:
    """Volts and ohms of what stands in series with the transmitter, and their labels."""
    tables = [one.facts.table("voltage drop") for one in loop.of_role("indicator")]
    ohms = [one.facts.spread("series resistance") for one in loop.of_role("series element")]
    labels = [one.label for one in loop.of_role("indicator", "series element")]
    if not tables:
        return (), total(ohms), labels
    if any(not table for table in tables):
        return (Point(NAN, UNKNOWN_SPREAD),), total(ohms), labels
    return _sum_of(tables), total(ohms), labels


def _sum_of(tables: list[tuple[Point, ...]]) -> tuple[Point, ...]:
    """Sum of tables of volts against current, on all their currents."""
    currents = sorted({one.at for table in tables for one in table if not math.isnan(one.at)})
    if not currents:
        return (Point(NAN, total([table[0].value for table in tables])),)
    return tuple(Point(at, total([_at(table, at) for table in tables])) for at in currents)


def _at(table: tuple[Point, ...], I: float) -> Spread:  # noqa: E741 - the symbol of current
    if len(table) == 1 and math.isnan(table[0].at):
        return table[0].value
    at = [one.at for one in table]
    if not at[0] <= I <= at[-1]:
        return UNKNOWN_SPREAD
    low, nominal, high = (
        float(np.interp(I, at, [one.value[end] for one in table])) for end in range(3)
    )
    return Spread(low, nominal, high)


def _source_figures(source: Item) -> dict[str, Figure]:
    facts, barrier = source.facts, source.role == "shunt-diode barrier"
    curve = () if barrier else facts.table("terminal voltage")
    drops = [facts.spread("voltage drop")] if facts.rows("voltage drop") else [NONE]
    ohms = [facts.spread("end-to-end resistance")]
    two_channel = bool(facts.rows("return resistance") or facts.rows("return voltage drop"))
    if facts.rows("return resistance"):
        ohms.append(facts.spread("return resistance"))
    if facts.rows("return voltage drop"):
        drops.append(facts.spread("return voltage drop"))
    least = facts.spread("least resistance")
    end_to_end = total(ohms)
    if math.isnan(least.low):
        least = Spread(end_to_end.low or NAN, end_to_end.nominal, end_to_end.high)
    return {
        "barrier": float(barrier) if source.role else NAN,
        "open_voltage": facts.spread("open-circuit voltage"),
        "inner": facts.spread("internal resistance"),
        "curve": curve,
        "tabled": float(bool(curve)),
        "limit": facts.spread("current limit"),
        "end_to_end": end_to_end,
        "drop": total(drops),
        "working": facts.spread("working voltage"),
        "leakage": facts.spread("leakage current"),
        "least": least,
        "fuse": facts.spread("fuse current"),
        "highest": facts.spread("highest supply"),
        "return_working": facts.spread("return working voltage"),
        "two_channel": float(two_channel),
        "passes": 1.0 if barrier else facts.yes("HART"),
        "port": facts.spread("HART resistance"),
    }


def _either(first: Facts, second: Facts, what: str) -> Spread:
    own = first.spread(what)  # type: ignore[arg-type]
    return second.spread(what) if math.isnan(own.nominal + own.high) else own  # type: ignore[arg-type]


@builder
def two_wire(loop: Loop) -> Iterator[FunctionCase]:
    """One case a two-wire transmitter that stands alone in its loop."""
    transmitters = loop.of_role("two-wire transmitter")
    source = loop.source
    if len(transmitters) != 1 or source is None:
        return
    (device,) = transmitters
    own, facts = loop.own, device.facts
    line = line_of(loop)
    series, series_R, labels = _in_series(loop)
    hot, cold = _cabinet(source)
    hart = own.yes("HART")
    if math.isnan(hart) and facts.yes("HART") == 0.0:
        hart = 0.0
    values: dict[str, Figure] = {
        **_source_figures(source),
        "hot": hot,
        "cold": cold,
        "supply": own.spread("supply voltage"),
        "load": own.spread("load resistance"),
        "in_return": _LEGS.get(own.word("load place"), NAN),
        "card": own.spread("input limit voltage"),
        "budget": own.spread("error budget share"),
        "hart": hart,
        "margin": own.spread("margin") if own.rows("margin") else NONE,
        "I_low": _either(own, facts, "low alarm current"),
        "I_high": _either(own, facts, "high alarm current"),
        "need": facts.table("lift-off voltage"),
        "bearable": facts.spread("highest operating voltage"),
        "C_device": facts.spread("input capacitance"),
        "series": series,
        "series_R": series_R,
        "line": line.ohms,
        "C_line": line.farads,
    }
    notes = (*own.notes, *source.facts.notes, *facts.notes, *line.notes)
    yield FunctionCase(
        kind="two-wire loop",
        of=device.label,
        values=values,
        notes=notes,
        stairs=lambda at: _stairs(source, device, labels, line, values, at),
    )


def _stairs(
    source: Item,
    device: Item,
    labels: list[str],
    line: Line,
    values: dict[str, Figure],
    at: float,
) -> Staircase | None:
    """The voltage budget at a current, everything against it; at the high alarm by default."""

    def figure(name: str) -> Spread:
        held = values[name]
        return held if isinstance(held, Spread) else UNKNOWN_SPREAD

    def plain(name: str) -> float:
        held = values[name]
        return held if isinstance(held, float) else NAN

    def points(name: str) -> tuple[Point, ...]:
        held = values[name]
        return held if isinstance(held, tuple) and not isinstance(held, Spread) else ()

    hart = plain("hart")
    highest = figure("I_high").high + (HART_PEAK if hart > 0.0 else 0.0)
    I = highest if math.isnan(at) else at  # noqa: E741 - the symbol of current
    steps: list[Step] = []
    left = NAN

    def step(label: str, change: float) -> None:
        nonlocal left
        left = change if not steps else left + change
        steps.append(Step(label, change, left))

    if plain("barrier") > 0.0:
        step("supply on the safe side, least", figure("supply").low)
        if figure("drop").high > 0.0:
            step(f"diodes of {source.label}", -figure("drop").high)
        step(f"resistance of {source.label}", -I * figure("end_to_end").high)
        step("load on the safe side", -I * figure("load").high)
    elif points("curve"):
        step(f"{source.label} at that current", _at(points("curve"), I).low)
    else:
        step(f"{source.label}, open circuit", figure("open_voltage").low)
        step(f"internal resistance of {source.label}", -I * figure("inner").high)
    for run, ohms in line.runs:
        step(f"run {run.number or run.cable or 'of cable'}", -I * ohms.high)
    if labels:
        lost = I * figure("series_R").high
        if points("series"):
            lost += _at(points("series"), I).high
        step(", ".join(labels), -lost)
    needed = _at(points("need"), I).high if points("need") else NAN
    return Staircase(
        title=f"Volts to {device.label}",
        unit="V",
        at=show(I, CURRENT, 4),
        steps=tuple(steps),
        left=left,
        needed=needed + figure("margin").high,
    )
