"""Codes: which clauses, constants and tables an edition of a code brings.

Each code is one TOML table beside this module. A later edition extends an earlier one and
states only what differs; there is no ``if`` on an edition anywhere.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib import resources
from typing import Any

import numpy as np

from subspark.errors import UsageError
from subspark.rules.columns import Floats
from subspark.rules.registry import ORDER

__all__ = ["CODES", "Code", "Constant", "Group", "Zone", "code"]


@dataclass(frozen=True, slots=True)
class Constant:
    """A number of a standard: SI value, unit, clause and how sure the citation is."""

    value: float
    unit: str
    clause: str
    confidence: str
    text: str = ""


@dataclass(frozen=True, slots=True)
class Zone:
    """What a zone asks: family of groups and rank of EPL and level (3 is ia, Ga)."""

    family: str
    rank: int


@dataclass(frozen=True, slots=True)
class Group:
    """A group: its family, rank within it, spark group, and the columns that serve it."""

    family: str
    rank: int
    spark: str
    columns: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Code:
    """An edition of a code. Frozen; ``name`` such as "IEC-2024"."""

    name: str
    title: str
    documents: tuple[str, ...]
    clauses: Mapping[str, str] = field(repr=False)
    constants: Mapping[str, Constant] = field(repr=False)
    temperature_classes: Mapping[str, float] = field(repr=False)
    power_for_t4: tuple[Floats, Floats] = field(repr=False)
    zones: Mapping[str, Zone] = field(repr=False)
    groups: Mapping[str, Group] = field(repr=False)

    def number(self, name: str) -> float:
        """A constant by name, SI."""
        return self.constants[name].value

    def clause(self, rule: str) -> str:
        """The clause on which a rule stands."""
        return self.clauses[rule]

    def t_class(self, name: str) -> float:
        """Highest surface temperature of a temperature class [degC]."""
        return self.temperature_classes[name]


_FILES = {"IEC-2013": "iec-2013", "IEC-2024": "iec-2024", "NEC": "nec"}
CODES = tuple(_FILES)
"""Names of the codes that can be chosen."""


def _table(stem: str) -> dict[str, Any]:
    text = resources.files("subspark.rules.codes").joinpath(f"{stem}.toml").read_text("utf-8")
    own = tomllib.loads(text)
    parent = own["code"].get("extends")
    if parent is None:
        return own
    table = _table(parent)
    rewrite = own.pop("rewrite", {})
    table["clauses"] = {rule: _cite(cited, rewrite) for rule, cited in table["clauses"].items()}
    for constant in table["constants"].values():
        constant["clause"] = _cite(constant["clause"], rewrite)
    for section, entries in own.items():
        if section == "code":
            table["code"] = entries
        else:
            table[section] = {**table[section], **entries}
    return table


def _cite(cited: str, rewrite: dict[str, str]) -> str:
    for old, new in rewrite.items():
        cited = cited.replace(old, new)
    return cited


@cache
def code(name: str) -> Code:
    """The code of that name.

    Raises
    ------
    UsageError
        No such code; the message lists those there are.
    """
    if name not in _FILES:
        raise UsageError(f"no code {name!r}; wanted one of {', '.join(CODES)}")
    table = _table(_FILES[name])
    if missing := [rule for rule in ORDER if rule not in table["clauses"]]:
        raise ValueError(f"code {name} has no clause for {missing}")
    power = table["power_for_t4"]
    return Code(
        name=name,
        title=table["code"]["title"],
        documents=tuple(table["code"]["documents"]),
        clauses=table["clauses"],
        constants={key: Constant(**entry) for key, entry in table["constants"].items()},
        temperature_classes=table["temperature_classes"],
        power_for_t4=(np.asarray(power["ambient"]), np.asarray(power["watts"])),
        zones={key: Zone(**entry) for key, entry in table["zones"].items()},
        groups={
            key: Group(entry["family"], entry["rank"], entry["spark"], tuple(entry["columns"]))
            for key, entry in table["groups"].items()
        },
    )
