"""What builders of circuits share whose input reads a current."""

from __future__ import annotations

from subspark.assess.function.cases import Figure
from subspark.assess.function.driving import (
    NAN,
    NONE,
    at_least,
    at_most,
    barrier_figures,
    cabinet,
)
from subspark.assess.function.facts import Facts, Item, Loop
from subspark.assess.function.line import Line, total
from subspark.model import What
from subspark.quantity import Spread
from subspark.rules.function.levels import level

__all__ = ["of_standard", "reading_figures", "with_series"]


def of_standard(facts: Facts, what: What, name: str, notes: list[str]) -> Spread:
    """A figure of the item; where it is silent that of the standard, noted as assumed."""
    if facts.rows(what):
        return facts.spread(what)
    found = level(name)
    if not found.serves:
        return Spread(NAN, NAN, NAN)
    notes.append(f"{what} of {facts.label} is not stated: that of {found.source} is taken")
    return Spread(found.low, found.nominal, found.high)


def reading_figures(source: Item, line: Line, series: Spread) -> dict[str, Figure]:
    """Columns of :class:`~subspark.rules.function.inputs.Reading` but volts and thresholds."""
    facts, barrier = source.facts, source.role == "shunt-diode barrier"
    hot, cold = cabinet(source)
    return {
        **barrier_figures(source),
        "leakage": at_most(facts.spread("leakage current")) if barrier else NONE,
        "hot": hot if barrier else 20.0,
        "cold": cold if barrier else 20.0,
        "line": total([line.ohms, series]),
        "on": at_least(facts.spread("on threshold")),
        "off": at_most(facts.spread("off threshold")),
        "broken": facts.spread("break threshold"),
    }


def with_series(loop: Loop) -> tuple[Spread, list[tuple[str, float]]]:
    """Ohms of what stands in series, together and by label."""
    items = loop.of_role("series element")
    ohms = [one.facts.spread("series resistance") for one in items]
    return total(ohms), [(one.label, each.high) for one, each in zip(items, ohms, strict=True)]
