"""Codes: which clauses, constants and tables an edition of a code brings.

Each code is one TOML table beside this module. A later edition extends an earlier one and
states only what differs; there is no ``if`` on an edition anywhere.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache, lru_cache
from importlib import resources
from typing import Any

import numpy as np

from subspark.errors import UsageError
from subspark.rules.columns import Floats
from subspark.rules.registry import ORDER

__all__ = ["CODES", "Code", "Constant", "Equivalent", "Group", "Zone", "code"]


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
    """A group: its family, rank within it, spark group, and the columns that serve it.

    ``least`` is the lowest rank of level and EPL that its atmosphere can ask, whatever the
    zone; ``letters`` are the North American groups all of which a Class and Division mark must
    list to serve it (none where such marks are not read).
    """

    family: str
    rank: int
    spark: str
    columns: tuple[str, ...]
    least: int = 0
    letters: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Equivalent:
    """The zones that a Class and Division holds, and what must be known before they are used."""

    zones: tuple[str, ...]
    caveat: str


@dataclass(frozen=True, slots=True, eq=False)
class Code:
    """An edition of a code. Frozen; ``name`` such as "IEC-2024".

    ``marked_classes`` says as which temperature class a marked one counts; ``hazard_classes``
    the family of groups of a North American class; ``marks`` which systems of marking are
    accepted: "yes", "listed" (where the certificate has the ``listing`` named here) or "no".
    ``by_drawing`` asks for the control drawing of listed apparatus. ``symbols`` are the code's
    own for those of IEC; ``feet`` says that lengths are shown in feet.
    """

    name: str
    title: str
    documents: tuple[str, ...]
    clauses: Mapping[str, str] = field(repr=False)
    constants: Mapping[str, Constant] = field(repr=False)
    temperature_classes: Mapping[str, float] = field(repr=False)
    marked_classes: Mapping[str, str] = field(repr=False)
    power_for_t4: tuple[Floats, Floats] = field(repr=False)
    power_in_dust: tuple[Floats, Floats] = field(repr=False)
    zones: Mapping[str, Zone] = field(repr=False)
    groups: Mapping[str, Group] = field(repr=False)
    hazard_classes: Mapping[str, str] = field(repr=False)
    places: Mapping[str, Equivalent] = field(repr=False)
    marks: Mapping[str, str] = field(repr=False)
    symbols: Mapping[str, str] = field(repr=False)
    listing: str = ""
    by_drawing: bool = False
    feet: bool = False

    def number(self, name: str) -> float:
        """A constant by name, SI."""
        return self.constants[name].value

    def clause(self, rule: str) -> str:
        """The clause on which a rule stands."""
        return self.clauses[rule]

    def t_class(self, name: str) -> float:
        """Highest surface temperature of a temperature class [degC]."""
        return self.temperature_classes[name]

    def marked_class(self, name: str) -> float:
        """Temperature for which a mark of that class counts here [degC]."""
        return self.temperature_classes[self.marked_classes.get(name, name)]

    def say(self, text: str) -> str:
        """A text of ours in the symbols of this code: "Uo <= Ui" as "Voc <= Vmax"."""
        return _say(text, self) if self.symbols else text


@lru_cache(maxsize=4096)
def _say(text: str, code: Code) -> str:
    longest_first = sorted(code.symbols, key=len, reverse=True)
    known = "|".join(re.escape(one) for one in longest_first)
    return re.sub(
        rf"(?<![\w/])(?:{known})(?![\w/])", lambda found: code.symbols[found.group()], text
    )


_FILES = {"IEC-2013": "iec-2013", "IEC-2024": "iec-2024", "NEC": "nec", "CEC": "cec"}
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
            table[section] = {**table.get(section, {}), **entries}
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
    power, in_dust = table["power_for_t4"], table["power_in_dust"]
    letters = table.get("letters", {})
    return Code(
        name=name,
        title=table["code"]["title"],
        documents=tuple(table["code"]["documents"]),
        clauses=table["clauses"],
        constants={key: Constant(**entry) for key, entry in table["constants"].items()},
        temperature_classes=table["temperature_classes"],
        power_for_t4=(np.asarray(power["ambient"]), np.asarray(power["watts"])),
        marked_classes=table.get("marked_classes", {}),
        power_in_dust=(np.asarray(in_dust["ambient"]), np.asarray(in_dust["watts"])),
        zones={key: Zone(**entry) for key, entry in table["zones"].items()},
        groups={
            key: Group(
                entry["family"],
                entry["rank"],
                entry["spark"],
                tuple(entry["columns"]),
                entry.get("least", 0),
                tuple(letters.get(key, ())),
            )
            for key, entry in table["groups"].items()
        },
        hazard_classes=table.get("hazard_classes", {}),
        places={
            key: Equivalent(tuple(entry["zones"]), entry["caveat"])
            for key, entry in table.get("places", {}).items()
        },
        marks=table["marks"],
        symbols=table.get("symbols", {}),
        listing=table["code"].get("listing", ""),
        by_drawing=table["code"].get("by_drawing", False),
        feet=table["code"].get("feet", False),
    )
