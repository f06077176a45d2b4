"""What builders of sensor circuits share: figures of circuit or item, one core, staircases."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from typing import NamedTuple

from subspark.assess.function.cases import Figure, Staircase, Step
from subspark.assess.function.driving import NAN, NONE, at_least, at_most
from subspark.assess.function.facts import Facts, Item, Loop, Point
from subspark.assess.function.line import line_of, total
from subspark.model import What
from subspark.quantity import UNKNOWN_SPREAD, Spread

__all__ = [
    "Leads",
    "alone",
    "budget_of",
    "facts_of",
    "first",
    "first_word",
    "guaranteed",
    "half",
    "held",
    "if_stated",
    "leads_of",
    "number",
    "of_barrier",
    "role_of",
    "staircase",
]


class Leads(NamedTuple):
    """What lies between source and device: both cores of each part [ohm], and the farads."""

    ohms: Spread
    parts: tuple[tuple[str, Spread], ...]
    farads: Spread
    notes: tuple[str, ...]


def leads_of(loop: Loop) -> Leads:
    """The runs of a circuit and what stands in series with them."""
    line = line_of(loop)
    parts = [(f"run {run.number or run.cable or 'of cable'}", ohms) for run, ohms in line.runs]
    series = loop.of_role("series element")
    parts += [(one.label, one.facts.spread("series resistance")) for one in series]
    notes = [note for one in series for note in one.facts.notes]
    return Leads(
        total([ohms for _, ohms in parts]), tuple(parts), line.farads, (*line.notes, *notes)
    )


def alone(loop: Loop, role: str) -> Item | None:
    """The one device of a circuit in which nothing of another role stands but in series."""
    devices = loop.of_role(role)
    others = loop.roles - {role, "series element"}
    return devices[0] if len(devices) == 1 and not others else None


def facts_of(loop: Loop, device: Item) -> Facts:
    """Figures of a device: those that the circuit states of its tag come before its own."""
    tag = device.use.tag
    stated = tuple(
        dataclasses.replace(row, part="")
        for row in loop.circuit.function
        if tag and row.part == tag
    )
    facts = device.facts
    return Facts((stated, *facts.lists), facts.label, facts.part, facts.notes)


def first(what: What, *facts: Facts) -> Spread:
    """The figure of the first that states it."""
    for one in facts:
        if one.rows(what):
            return one.spread(what)
    return UNKNOWN_SPREAD


def first_word(what: What, *facts: Facts) -> str:
    """The word of the first that states it; blank where none does."""
    return next((one.word(what) for one in facts if one.rows(what)), "")


def number(word: str) -> float:
    """A word that is a number; NaN where it is blank."""
    return float(word) if word else NAN


def if_stated(facts: Facts, what: What) -> Spread:
    """A figure of something that there is only where it is stated."""
    return facts.spread(what) if facts.rows(what) else NONE


def of_barrier(source: Item, what: What) -> Spread:
    """A figure that a barrier must state; of another source 0 where it does not state it."""
    if source.role == "shunt-diode barrier":
        return source.facts.spread(what)
    return if_stated(source.facts, what)


def role_of(source: Item, role: str) -> float:
    """1 for a shunt-diode barrier, 0 for a source of that role, NaN for another.

    A temperature input takes resistance thermometers and thermocouples.
    """
    serves = {"shunt-diode barrier": 1.0, role: 0.0}
    if role in ("resistance input", "thermocouple input"):
        serves["temperature input"] = 0.0
    return serves.get(source.role, NAN)


def budget_of(what: What, *facts: Facts) -> Spread:
    """A permitted error; an upper bound is the figure."""
    return at_most(first(what, *facts))


def guaranteed(facts: Facts) -> tuple[Point, ...]:
    """The terminal voltage of a source at each current; a lower bound is the figure."""
    return tuple(Point(one.at, at_least(one.value)) for one in facts.table("terminal voltage"))


def half(ohms: Spread) -> Spread:
    """One of two equal parts: a core of a loop."""
    return Spread(ohms.low / 2.0, ohms.nominal / 2.0, ohms.high / 2.0)


def held(values: dict[str, Figure], name: str) -> Spread:
    """A column of a case that is a figure with its ends."""
    found = values[name]
    return found if isinstance(found, Spread) else UNKNOWN_SPREAD


def staircase(
    parts: Sequence[tuple[str, float]], *, title: str, unit: str, at: str, needed: float
) -> Staircase:
    """A budget: each part changes what is left."""
    steps: list[Step] = []
    left = 0.0
    for label, change in parts:
        left += change
        steps.append(Step(label, change, left))
    return Staircase(title=title, unit=unit, at=at, steps=tuple(steps), left=left, needed=needed)
