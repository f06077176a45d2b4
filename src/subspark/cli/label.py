"""``subspark marking``: one Ex marking and its facts."""

from __future__ import annotations

import argparse
from collections.abc import Iterator

from subspark.cli.paper import Cell, Paper
from subspark.marking import Marking, read_marking

__all__ = ["marking"]

_ROLES = {
    "apparatus": "field apparatus: stands in the hazardous area",
    "associated": "associated apparatus: stands in the safe area and feeds Ex i circuits",
    "both": "stands in the hazardous area and feeds Ex i circuits",
}
_LABEL = 13


def marking(arguments: argparse.Namespace) -> int:
    """Run the command."""
    read = read_marking(arguments.text)
    paper = Paper()
    paper.line(Cell(read.text, "title"))
    several = len(read.alternatives) > 1
    for number, one in enumerate(read.alternatives, 1):
        paper.line("")
        if several:
            paper.line(f"alternative {number} (alternatives are never mixed)")
        for label, text in _facts(one):
            paper.labelled(label, text, _LABEL, 2)
        for note in one.notes:
            paper.labelled("note", note, _LABEL, 2)
    if read.tags:
        paper.line("")
        paper.labelled("beside it", ", ".join(read.tags), _LABEL, 2)
    for note in read.notes:
        paper.labelled("note", note, _LABEL, 2)
    return 0


def _facts(one: Marking) -> Iterator[tuple[str, str]]:
    found = {
        "dialect": one.dialect,
        "role": _ROLES.get(one.role, one.role),
        "directive": " ".join(
            part for part in (one.eu_group, one.category, one.atmosphere) if part
        ),
        "protection": ", ".join(one.protection),
        "level": one.level,
        "group": one.group,
        "serves": _served(one),
        "class": ", ".join(one.na_class),
        "division": one.na_division,
        "zone": one.na_zone,
        "groups": ", ".join(one.na_groups),
        "temperature": _temperature(one),
        "EPL": "/".join(one.epl) + (" (derived)" if one.epl and one.epl_derived else ""),
        "ambient": _ambient(one),
    }
    return ((label, text) for label, text in found.items() if text)


def _served(one: Marking) -> str:
    facts = [*one.served_protection, one.served_group, one.served_epl]
    derived = " (EPL derived)" if one.served_epl and one.served_epl_derived else ""
    text = ", ".join(fact for fact in facts if fact)
    return text + derived if text else ""


def _temperature(one: Marking) -> str:
    parts = []
    if one.surface_temperature is not None:
        layer = one.dust_layer_depth
        under = "" if layer is None else f" under {layer:g} mm of dust"
        parts.append(f"{one.surface_temperature:g} °C{under}")
    if one.temperature_classes:
        several = len(one.temperature_classes) > 1
        hottest = f" (counts as {one.temperature_classes[0]})" if several else ""
        parts.append(", ".join(one.temperature_classes) + hottest)
    return "; ".join(parts)


def _ambient(one: Marking) -> str:
    if one.ambient_max is None and one.ambient_min is None:
        return ""
    low = "" if one.ambient_min is None else f"{one.ambient_min:g} "
    high = "" if one.ambient_max is None else f"to {one.ambient_max:g} "
    return f"{low}{high}°C"
