"""Levels of published standards for rules of function, each with its source and confidence."""

from __future__ import annotations

import csv
from functools import lru_cache
from importlib.resources import files
from typing import NamedTuple

__all__ = ["Level", "level", "levels"]


class Level(NamedTuple):
    """A figure of a standard: least, nominal and greatest [SI], and how far it is trusted."""

    name: str
    low: float
    nominal: float
    high: float
    unit: str
    source: str
    confidence: str

    @property
    def serves(self) -> bool:
        """Whether it may stand in where a data sheet is silent."""
        return self.confidence in ("high", "medium")


@lru_cache(maxsize=1)
def levels() -> dict[str, Level]:
    """Every level by its name, in the order of the table."""
    text = (files("subspark.rules.function") / "data" / "levels.csv").read_text("utf-8")
    rows = csv.DictReader(line for line in text.splitlines() if not line.startswith("#"))
    found: dict[str, Level] = {}
    for row in rows:
        low, nominal, high = float(row["low"]), float(row["nominal"]), float(row["high"])
        name = row["name"]
        if name in found or not low <= nominal <= high:
            raise ValueError(f"level {name!r}: stands twice, or its ends are the wrong way round")
        found[name] = Level(name, low, nominal, high, row["unit"], row["source"], row["confidence"])
    return found


def level(name: str) -> Level:
    """One level by its name.

    Raises
    ------
    KeyError
        No such level is in the table.
    """
    return levels()[name]
