"""The rules, declared: name, relation, unit, inputs, clauses; then one small function each.

A declaration that lacks something, names an unknown column or has no clause in every code is
refused when the package is imported. Order is the order of the register and decides ties.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from subspark.rules.bound import All, Bound
from subspark.rules.columns import Columns, Segments

__all__ = ["ORDER", "Rule", "registered", "rule"]

ORDER = (
    "voltage",
    "current",
    "power",
    "capacitance",
    "inductance",
    "permitted current",
    "segment source",
    "segment device",
    "terminators",
    "segment cable",
    "segment length",
    "segment count",
    "supply",
    "level",
    "group",
    "temperature class",
    "ambient",
    "simple",
    "earthing",
    "barrier earth",
    "place",
    "conditions",
    "cable",
    "own energy",
    "segregation",
    "atmosphere",
    "shared cable",
    "surge device",
    "box temperature",
)
"""Every rule, in the order in which ties and first findings are decided."""

Evaluate = Callable[[Columns], Bound | All]


@dataclass(frozen=True, slots=True)
class Rule:
    """One question put to a circuit.

    ``sort`` "quantity" has a utilisation; "suitability" holds or does not. ``needs`` are the
    columns that it reads; ``remedy`` is what to do where it fails or is not proved.
    """

    name: str
    says: str
    relation: str
    sort: Literal["quantity", "suitability"]
    unit: str
    needs: tuple[str, ...]
    remedy: str
    evaluate: Evaluate


_RULES: dict[str, Rule] = {}


def rule(
    name: str,
    *,
    says: str,
    relation: str,
    needs: tuple[str, ...],
    remedy: str,
    sort: Literal["quantity", "suitability"] = "suitability",
    unit: str = "",
) -> Callable[[Evaluate], Evaluate]:
    """Declare a rule.

    Raises
    ------
    ValueError
        A name that is not in :data:`ORDER` or stands twice, or a column that does not exist.
    """
    columns = {one.name for kind in (Columns, Segments) for one in dataclasses.fields(kind)}
    columns -= {"code", "memo", "segments"}
    if name not in ORDER or name in _RULES:
        raise ValueError(f"rule {name!r}: not in the order of rules, or declared twice")
    if missing := [column for column in needs if column not in columns]:
        raise ValueError(f"rule {name!r} needs unknown columns {missing}")
    if not (says and relation and remedy and needs):
        raise ValueError(f"rule {name!r} lacks a part of its declaration")

    def declare(function: Evaluate) -> Evaluate:
        _RULES[name] = Rule(name, says, relation, sort, unit, needs, remedy, function)
        return function

    return declare


def registered() -> tuple[Rule, ...]:
    """All declared rules, in order."""
    return tuple(_RULES[name] for name in ORDER if name in _RULES)
