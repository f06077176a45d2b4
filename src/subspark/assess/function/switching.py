"""Switch circuits as rows: contact or proximity switch, leads, barrier, switch amplifier."""

from __future__ import annotations

import math
from collections.abc import Iterator

from subspark.assess.function.cases import Figure, FunctionCase, Staircase, builder
from subspark.assess.function.driving import (
    NAN,
    NONE,
    at_least,
    at_most,
    stack,
)
from subspark.assess.function.facts import Facts, Item, Loop
from subspark.assess.function.inputs import of_standard, reading_figures, with_series
from subspark.assess.function.line import Line, line_of, total
from subspark.model import What
from subspark.quantity import CURRENT, Spread, show
from subspark.rules.function.levels import level

__all__ = ["switch"]

UNKNOWN = Spread(NAN, NAN, NAN)
_SWITCHES = ("contact", "proximity switch")
_INPUTS = frozenset({"switch amplifier", "shunt-diode barrier", "pulse input"})
_OPEN = Spread(math.inf, math.inf, math.inf)
_THRESHOLDS: dict[str, tuple[What, str]] = {
    "on": ("on threshold", "switch on threshold"),
    "off": ("off threshold", "switch off threshold"),
    "broken": ("break threshold", "switch break threshold"),
    "short": ("short threshold", "switch short threshold"),
}


def _own_or_standard(source: Item, what: What, name: str, notes: list[str]) -> Spread:
    """A figure of the input; of a switch amplifier that is silent, that of the standard.

    What stands behind a barrier, or is a pulse input, may follow any other standard.
    """
    if source.role != "switch amplifier":
        return source.facts.spread(what)
    return of_standard(source.facts, what, name, notes)


def _input(source: Item, device: Item, notes: list[str]) -> dict[str, Figure]:
    """Volts, ohms and thresholds of the input.

    A proximity switch states its currents at the nominal source, so a silent amplifier is
    taken to be that; for a contact it may be any of those that the standard permits.
    """
    proximity = device.role == "proximity switch"
    volts = "switch nominal voltage" if proximity else "switch open-circuit voltage"
    ohms = "switch nominal resistance" if proximity else "switch source resistance"
    figures: dict[str, Figure] = {
        "open_voltage": _own_or_standard(source, "open-circuit voltage", volts, notes),
        "inner": _own_or_standard(source, "internal resistance", ohms, notes),
        "rate": at_least(Facts((source.kind.function,)).spread("highest frequency")),
    }
    for column, (what, name) in _THRESHOLDS.items():
        figures[column] = _own_or_standard(source, what, name, notes)
    for column, bound in (("on", at_least), ("off", at_most)):
        held = figures[column]
        figures[column] = bound(held) if isinstance(held, Spread) else held
    return figures


def _shown(closed: Spread, opened: Spread) -> dict[str, Figure]:
    return {"on_R": closed, "off_R": opened, "contact_R": NONE, "beside": NONE}


def _beside(first: Spread, second: Spread) -> Spread:
    """Two resistors in parallel, end by end."""
    low, nominal, high = (
        0.0 if one + other == 0.0 else one * other / (one + other)
        for one, other in zip(first[:3], second[:3], strict=True)
    )
    return Spread(low, nominal, high)


def _contact(facts: Facts) -> dict[str, Figure]:
    """Ohms of a contact with its resistors, in the topology that is stated."""
    topology = facts.word("resistor topology")
    series, parallel = facts.spread("series resistor"), facts.spread("parallel resistor")
    wetting = {"wetting": at_least(facts.spread("wetting current"))}
    if topology == "no resistors":
        return {**_shown(NONE, _OPEN), **wetting}
    if topology == "series only":
        return {**_shown(series, _OPEN), "contact_R": series, **wetting}
    if topology == "series with the parallel pair":
        both = total([series, parallel])
        return {**_shown(series, both), "contact_R": series, **wetting}
    if topology == "parallel outside":
        ratio = Spread(
            series.low / parallel.high if parallel.high != 0.0 else math.inf,
            series.nominal / parallel.nominal if parallel.nominal != 0.0 else math.inf,
            math.inf if parallel.low == 0.0 else series.high / parallel.low,
        )
        shown = _shown(_beside(series, parallel), parallel)
        return {**shown, "contact_R": series, "beside": ratio, **wetting}
    return {**dict.fromkeys(("on_R", "off_R", "contact_R", "beside"), UNKNOWN), **wetting}


def _ohms(current: float) -> float:
    """What draws that current from the nominal source [ohm]."""
    volts, behind = level("switch nominal voltage"), level("switch nominal resistance")
    if math.isnan(current):
        return NAN
    return math.inf if current <= 0.0 else max(volts.nominal / current - behind.nominal, 0.0)


def _current(facts: Facts, what: What, name: str, safety: bool, notes: list[str]) -> Spread:
    kind = "safety" if safety else "standard"
    return of_standard(facts, what, f"{kind} switch {name}", notes)


def _proximity(facts: Facts, notes: list[str]) -> dict[str, Figure]:
    """Ohms that a proximity switch shows, from its currents at the nominal source."""
    safety = facts.word("switch type") == "safety"
    on = _current(facts, "on current", "on current", safety, notes)
    off = _upper_alone(_current(facts, "off current", "off current", safety, notes))
    most_on, least_off = on.high, off.low
    stated_on, stated_off = bool(facts.rows("on current")), bool(facts.rows("off current"))
    if math.isnan(most_on) or not stated_on:
        most_on = NAN if safety else _least_ohms_current(facts, notes)
    if math.isnan(least_off) or not stated_off:
        least_off = NAN if safety else _least_off(facts, notes)
    notes.append(
        f"{facts.label} counts as the ohms that it shows at 8.2 V behind 1 kohm, at every voltage"
    )
    return {
        "on_R": Spread(_ohms(most_on), _ohms(on.nominal), _ohms(on.low)),
        "off_R": Spread(_ohms(off.high), _ohms(off.nominal), _ohms(least_off)),
        "contact_R": NONE,
        "beside": NONE,
        "wetting": Spread(-math.inf, -math.inf, -math.inf),
    }


def _upper_alone(figure: Spread) -> Spread:
    """An upper bound alone says nothing of the least; its own least of 0 is not stated."""
    if math.isnan(figure.nominal) and figure.low == 0.0:
        return Spread(NAN, figure.high, figure.high)
    return figure


def _least_ohms_current(facts: Facts, notes: list[str]) -> float:
    found = level("standard switch least on resistance")
    volts, behind = level("switch nominal voltage"), level("switch nominal resistance")
    notes.append(
        f"highest on current of {facts.label} is not stated: at least {found.low:g} ohm when on "
        f"is taken, {found.source}"
    )
    return volts.nominal / (behind.nominal + found.low)


def _least_off(facts: Facts, notes: list[str]) -> float:
    found = level("standard switch least off current")
    notes.append(
        f"least off current of {facts.label} is not stated: {show(found.low, CURRENT, 3)} is "
        f"taken, {found.source}"
    )
    return found.low


def _frequency(loop: Loop, device: Item) -> Spread:
    """Highest frequency that is asked; 0 where the switch is not said to pulse."""
    for facts in (loop.own, device.facts):
        if facts.rows("highest frequency"):
            return at_most(facts.spread("highest frequency"))
    return NONE


@builder
def switch(loop: Loop) -> Iterator[FunctionCase]:
    """One case for the one contact or proximity switch of a circuit."""
    source, devices = loop.source, loop.of_role(*_SWITCHES)
    if source is None or len(devices) != 1 or source.role not in _INPUTS:
        return
    if loop.roles - {*_SWITCHES, "series element"}:
        return
    (device,) = devices
    line = line_of(loop)
    notes: list[str] = []
    series, labels = with_series(loop)
    values = {
        **reading_figures(source, line, series),
        **_input(source, device, notes),
        **(_contact(device.facts) if device.role == "contact" else _proximity(device.facts, notes)),
        "frequency": _frequency(loop, device),
        "monitored": source.facts.yes("line-fault detection"),
        "C_line": line.farads,
    }
    yield FunctionCase(
        kind="switch circuit",
        of=device.label,
        values=values,
        notes=(*loop.own.notes, *source.facts.notes, *device.facts.notes, *line.notes, *notes),
        stairs=lambda _: _stairs(source, device, line, labels, values),
    )


def _stairs(
    source: Item,
    device: Item,
    line: Line,
    labels: list[tuple[str, float]],
    values: dict[str, Figure],
) -> Staircase:
    """Volts at the current that reads as on: what is left against what the switch takes."""

    def figure(name: str) -> Spread:
        held = values[name]
        return held if isinstance(held, Spread) else UNKNOWN

    I = figure("on").high  # noqa: E741 - the symbol of current
    barrier = values["barrier"] == 1.0
    feeder = "the input" if barrier else source.label
    parts = [
        (f"{feeder}, open circuit", figure("open_voltage").low),
        (f"internal resistance of {feeder}", -I * figure("inner").high),
    ]
    if barrier:
        if figure("drop").high > 0.0:
            parts.append((f"diodes of {source.label}", -figure("drop").high))
        parts.append((f"resistance of {source.label}", -I * figure("end_to_end").high))
    for run, ohms in line.runs:
        parts.append((f"run {run.number or run.cable or 'of cable'}", -I * ohms.high))
    parts += [(label, -I * ohms) for label, ohms in labels]
    return stack(
        parts,
        title=f"Volts to {device.label} when on",
        at=show(I, CURRENT, 4),
        needed=I * figure("on_R").high,
    )
