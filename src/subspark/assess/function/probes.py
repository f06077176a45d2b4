"""Vibration probes on a negative supply and two-wire accelerometers as rows."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from subspark.assess.function.cases import Figure, FunctionCase, Staircase, builder
from subspark.assess.function.driving import (
    NAN,
    at_least,
    at_most,
    cabinet,
    points_at,
    stated,
    unbounded,
)
from subspark.assess.function.engine import block_columns
from subspark.assess.function.facts import Facts, Item, Loop, Point
from subspark.assess.function.line import total
from subspark.assess.function.sensing import (
    Leads,
    alone,
    budget_of,
    facts_of,
    first,
    first_word,
    guaranteed,
    half,
    held,
    if_stated,
    leads_of,
    number,
    of_barrier,
    role_of,
    staircase,
)
from subspark.model import What
from subspark.quantity import CURRENT, Spread, show
from subspark.rules.function.probes import return_current

__all__ = ["vibration_probe"]

_DROPS: tuple[What, ...] = ("voltage drop", "return voltage drop")


@builder
def vibration_probe(loop: Loop) -> Iterator[FunctionCase]:
    """One case for the one vibration probe of a circuit; on two wires it is an accelerometer."""
    source, device = loop.source, alone(loop, "vibration probe")
    if source is None or device is None:
        return
    facts, leads = facts_of(loop, device), leads_of(loop)
    wires = first_word("wires", loop.own, facts)
    make = _accelerometer if wires == "2" else _probe
    yield make(loop, source, device, facts, leads)


def _notes(loop: Loop, source: Item, facts: Facts, leads: Leads) -> tuple[str, ...]:
    return (*loop.own.notes, *source.facts.notes, *facts.notes, *leads.notes)


def _probe(loop: Loop, source: Item, device: Item, facts: Facts, leads: Leads) -> FunctionCase:
    own, supply = loop.own, source.facts
    barrier = source.role == "shunt-diode barrier"
    curve = () if barrier else guaranteed(supply)
    signal = facts.spread("signal voltage")
    values: dict[str, Figure] = {
        "barrier": role_of(source, "probe supply"),
        "open_voltage": at_least(supply.spread("open-circuit voltage")),
        "inner": supply.spread("internal resistance"),
        "curve": curve,
        "tabled": float(bool(curve)),
        "limit": at_least(supply.spread("current limit")),
        "feed": of_barrier(source, "end-to-end resistance"),
        "drop": if_stated(supply, "voltage drop"),
        "through": of_barrier(source, "signal resistance"),
        "common": of_barrier(source, "common resistance"),
        "return_drop": if_stated(supply, "return voltage drop"),
        "working": at_least(of_barrier(source, "working voltage")),
        "input_R": unbounded(supply.spread("input resistance")),
        "cold": cabinet(source)[1],
        "supply": own.spread("supply voltage"),
        "budget": budget_of("error budget share", own, facts),
        "margin": if_stated(own, "margin"),
        "frequency": at_most(first("highest frequency", own, facts)),
        "wires": number(first_word("wires", own, facts)),
        "I": at_most(facts.spread("supply current")),
        "need": at_least(facts.spread("lowest supply voltage")),
        "output_R": at_most(facts.spread("output resistance")),
        "signal_low": signal.low,
        "signal_high": signal.high,
        "drive": stated(facts, "drive current"),
        "lead": half(leads.ohms),
        "C_line": leads.farads,
    }
    return FunctionCase(
        kind="vibration probe",
        of=device.label,
        values=values,
        notes=_notes(loop, source, facts, leads),
        stairs=lambda _: _volts(source, device, leads, values),
    )


def _volts(source: Item, device: Item, leads: Leads, values: dict[str, Figure]) -> Staircase:
    """The voltage budget of a probe: out by the supply core, back by the common."""
    case = FunctionCase("vibration probe", device.label, values)
    out = held(values, "I").high
    back = float(return_current(block_columns(case.kind, [case]))[0])
    parts = _at_source(source, values, out)
    both = out + back
    parts += [(f"{label}, out and back", -both * half(ohms).high) for label, ohms in leads.parts]
    if held(values, "return_drop").high > 0.0:
        parts.append((f"return of {source.label}", -held(values, "return_drop").high))
    common = held(values, "common").high
    if common != 0.0:
        parts.append((f"common channel of {source.label}", -back * common))
    return staircase(
        parts,
        title=f"Volts to {device.label} (magnitudes)",
        unit="V",
        at=show(out, CURRENT, 4) if not np.isnan(out) else "",
        needed=held(values, "need").high + held(values, "margin").high,
    )


def _at_source(
    source: Item,
    values: dict[str, Figure],
    I: float,  # noqa: E741 - the symbol of current
) -> list[tuple[str, float]]:
    """What the source gives at a current, and what its own ohms take of it."""
    feed = (f"resistance of {source.label}", -I * held(values, "feed").high)
    if values["barrier"] == 1.0:
        parts = [("supply on the safe side, least", held(values, "supply").low)]
        if held(values, "drop").high > 0.0:
            parts.append((f"diodes of {source.label}", -held(values, "drop").high))
        return [*parts, feed]
    inside = [feed] if held(values, "feed").high != 0.0 else []
    curve = _points(values["curve"])
    if curve:
        return [(f"{source.label} at that current", points_at(curve, I)), *inside]
    inner = (f"internal resistance of {source.label}", -I * held(values, "inner").high)
    return [(f"{source.label}, open circuit", held(values, "open_voltage").low), inner, *inside]


def _points(figure: Figure) -> tuple[Point, ...]:
    is_table = isinstance(figure, tuple) and not isinstance(figure, Spread)
    return figure if is_table else ()  # type: ignore[return-value]


def _accelerometer(
    loop: Loop, source: Item, device: Item, facts: Facts, leads: Leads
) -> FunctionCase:
    own, supply = loop.own, source.facts
    signal, takes = facts.spread("signal voltage"), facts.spread("operating current")
    through = [of_barrier(source, "end-to-end resistance")]
    through += [if_stated(supply, what) for what in ("return resistance", "common resistance")]
    values: dict[str, Figure] = {
        "barrier": role_of(source, "probe supply"),
        "I": supply.spread("excitation current"),
        "volts": at_least(supply.spread("open-circuit voltage")),
        "through": total(through),
        "drop": total([if_stated(supply, what) for what in _DROPS]),
        "working": at_least(of_barrier(source, "working voltage")),
        "cold": cabinet(source)[1],
        "frequency": at_most(first("highest frequency", own, facts)),
        "signal_low": signal.low,
        "signal_high": signal.high,
        "least_I": takes.low,
        "most_I": takes.high,
        "line": leads.ohms,
        "C_line": leads.farads,
    }
    return FunctionCase(
        kind="accelerometer",
        of=device.label,
        values=values,
        notes=_notes(loop, source, facts, leads),
        stairs=lambda _: _compliance(source, device, leads, values),
    )


def _compliance(source: Item, device: Item, leads: Leads, values: dict[str, Figure]) -> Staircase:
    """Volts of the constant-current supply, and what is left for bias and peak."""
    I = held(values, "I").high  # noqa: E741 - the symbol of current
    parts = [(f"{source.label}, open circuit", held(values, "volts").low)]
    if held(values, "drop").high > 0.0:
        parts.append((f"diodes of {source.label}", -held(values, "drop").high))
    if held(values, "through").high != 0.0:
        parts.append((f"resistance of {source.label}", -I * held(values, "through").high))
    parts += [(label, -I * ohms.high) for label, ohms in leads.parts]
    peak = values["signal_high"]
    return staircase(
        parts,
        title=f"Volts to {device.label} at the peak of its signal",
        unit="V",
        at="" if np.isnan(I) else show(I, CURRENT, 4),
        needed=peak if isinstance(peak, float) else NAN,
    )
