"""Detector loops as rows: detectors, end-of-line resistor, line, barrier, panel."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from subspark.assess.function.cases import Figure, FunctionCase, Staircase, builder
from subspark.assess.function.driving import NAN, NONE, at_least, at_most, stack
from subspark.assess.function.engine import block_columns
from subspark.assess.function.facts import Item, Loop
from subspark.assess.function.inputs import reading_figures, with_series
from subspark.assess.function.line import Line, line_of, total
from subspark.quantity import CURRENT, Spread, show
from subspark.rules.function.detectors import feeding

__all__ = ["detector_loop"]

_DETECTORS = ("detector", "contact")
_PANELS = frozenset({"shunt-diode barrier", "switch amplifier", "repeater supply"})


def _resting(loop: Loop) -> Spread:
    """Quiescent current of all detectors; a contact at rest draws none."""
    if loop.own.rows("quiescent current"):
        return at_most(loop.own.spread("quiescent current"))
    return total(
        [
            NONE
            if one.role == "contact" and not one.facts.rows("quiescent current")
            else at_most(one.facts.spread("quiescent current"))
            for one in loop.of_role(*_DETECTORS)
        ]
    )


def _detector(device: Item) -> dict[str, Figure]:
    """What a detector shows in alarm; a call point is a resistor that a contact joins."""
    facts, contact = device.facts, device.role == "contact"
    plain = contact and not facts.rows("alarm resistance")
    return {
        "alarm_R": facts.spread("series resistor" if plain else "alarm resistance"),
        "alarm_V": NONE
        if contact and not facts.rows("forward voltage")
        else facts.spread("forward voltage"),
        "need": Spread(-np.inf, -np.inf, -np.inf)
        if contact and not facts.rows("lowest supply voltage")
        else at_least(facts.spread("lowest supply voltage")),
    }


@builder
def detector_loop(loop: Loop) -> Iterator[FunctionCase]:
    """One case for each detector or call point before an end-of-line resistor."""
    source, devices = loop.source, loop.of_role(*_DETECTORS)
    ends = loop.of_role("end-of-line resistor")
    if source is None or not devices or len(ends) != 1 or source.role not in _PANELS:
        return
    if loop.roles - {*_DETECTORS, "end-of-line resistor", "series element"}:
        return
    line = line_of(loop)
    series, labels = with_series(loop)
    facts = source.facts
    shared = {
        **reading_figures(source, line, series),
        "open_voltage": facts.spread("open-circuit voltage"),
        "inner": facts.spread("internal resistance"),
        "shorted": facts.spread("short current"),
        "end": ends[0].facts.spread("end-of-line resistance"),
        "resting": _resting(loop),
    }
    for device in devices:
        values = {**shared, **_detector(device)}
        notes = [*loop.own.notes, *facts.notes, *ends[0].facts.notes, *device.facts.notes]
        if len(devices) > 1:
            notes.append("alarm is told of one device at a time")
        yield _case(source, device, line, labels, values, (*notes, *line.notes))


def _case(
    source: Item,
    device: Item,
    line: Line,
    labels: list[tuple[str, float]],
    values: dict[str, Figure],
    notes: tuple[str, ...],
) -> FunctionCase:
    case = FunctionCase(kind="detector loop", of=device.label, values=values, notes=notes)
    return FunctionCase(
        kind=case.kind,
        of=case.of,
        values=values,
        notes=notes,
        stairs=lambda _: _stairs(source, device, line, labels, case),
    )


def _stairs(
    source: Item,
    device: Item,
    line: Line,
    labels: list[tuple[str, float]],
    case: FunctionCase,
) -> Staircase:
    """Volts across the pair at rest, every detector and the resistor taking their most."""
    values = case.values

    def figure(name: str) -> Spread:
        held = values[name]
        return held if isinstance(held, Spread) else Spread(NAN, NAN, NAN)

    I = _most_at_rest(case)  # noqa: E741 - the symbol of current
    barrier = values["barrier"] == 1.0
    feeder = "the panel" if barrier else source.label
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
        title=f"Volts to {device.label} at rest",
        at=show(I, CURRENT, 4),
        needed=max(figure("need").high, 0.0),
    )


def _most_at_rest(case: FunctionCase) -> float:
    """Current at rest with low volts and the loop taking its most [A]."""
    with np.errstate(invalid="ignore", divide="ignore"):
        return float(feeding(block_columns(case.kind, [case])).I[0])
