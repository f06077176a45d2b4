"""Strain-gauge bridges as rows: all cells of a circuit together."""

from __future__ import annotations

import math
from collections.abc import Iterator

from subspark.assess.function.cases import Each, Figure, FunctionCase, Staircase, builder
from subspark.assess.function.driving import NAN, at_least, cabinet, unbounded
from subspark.assess.function.facts import Facts, Item, Loop
from subspark.assess.function.sensing import (
    Leads,
    budget_of,
    facts_of,
    first_word,
    half,
    held,
    leads_of,
    of_barrier,
    role_of,
    staircase,
)

__all__ = ["bridge"]


def _sensed(own: Facts, cell: Facts) -> float:
    """1 with sense wires (six wires), 0 without (four), NaN where not said."""
    said = {"yes": 1.0, "no": 0.0}.get(first_word("sense wires", own, cell), NAN)
    return {"6": 1.0, "4": 0.0}.get(first_word("wires", own, cell), said)


@builder
def bridge(loop: Loop) -> Iterator[FunctionCase]:
    """One case for the cells of a circuit, in parallel. Each is fed over every run listed."""
    source, cells = loop.source, loop.of_role("bridge")
    if source is None or not cells or loop.roles - {"bridge", "series element"}:
        return
    own, facts = loop.own, [facts_of(loop, one) for one in cells]
    leads = leads_of(loop)
    sensed = {_sensed(own, one) for one in facts}
    values: dict[str, Figure] = {
        "barrier": role_of(source, "bridge supply"),
        "channel": of_barrier(source, "channel resistance"),
        "working": at_least(of_barrier(source, "working voltage")),
        "excitation": source.facts.spread("excitation voltage"),
        "limit": at_least(source.facts.spread("current limit")),
        "input_R": unbounded(source.facts.spread("input resistance")),
        "cold": cabinet(source)[1],
        "sensed": sensed.pop() if len(sensed) == 1 else NAN,
        "budget": budget_of("error budget share", own, *facts),
        "cells": Each(tuple(one.spread("bridge resistance") for one in facts)),
        "needs": Each(tuple(at_least(one.spread("lowest supply voltage")) for one in facts)),
        "lead": half(leads.ohms),
    }
    notes = [note for one in facts for note in one.notes]
    yield FunctionCase(
        kind="bridge",
        of=", ".join(one.label for one in cells),
        values=values,
        notes=(*own.notes, *source.facts.notes, *notes, *leads.notes),
        stairs=lambda _: _volts(source, cells, leads, values),
    )


def _volts(
    source: Item, cells: tuple[Item, ...], leads: Leads, values: dict[str, Figure]
) -> Staircase:
    """Excitation, and what both feeding legs lose of it, with the fewest ohms of the cells."""
    cell, needs = values["cells"], values["needs"]
    siemens = sum(_inverse(one.low) for one in cell.figures) if isinstance(cell, Each) else NAN
    supply, channel = held(values, "excitation").low, held(values, "channel").high
    feeds = 2.0 * (held(values, "lead").high + channel)
    I = supply / (_inverse(siemens) + feeds)  # noqa: E741 - the symbol of current
    parts = [(f"excitation by {source.label}", supply)]
    parts += [(label, -I * ohms.high) for label, ohms in leads.parts]
    if channel != 0.0:
        parts.append((f"feeding channels of {source.label}", -I * 2.0 * channel))
    asked = [one.high for one in needs.figures] if isinstance(needs, Each) else []
    return staircase(
        parts,
        title=f"Excitation of {', '.join(one.label for one in cells)}",
        unit="V",
        at="",
        needed=NAN if any(math.isnan(one) for one in asked) else max(asked, default=NAN),
    )


def _inverse(value: float) -> float:
    return 1.0 / value if value > 0.0 else (math.inf if value == 0.0 else NAN)
