"""Reads the tables of figures that lie beside this floor's modules."""

from __future__ import annotations

import csv
from functools import lru_cache
from importlib.resources import files

__all__ = ["rows_of"]


@lru_cache
def rows_of(table: str) -> tuple[dict[str, str], ...]:
    """Give the rows of a table of ``physics/data`` by column; lines with # in front are words."""
    text = (files("subspark.physics") / "data" / table).read_text("utf-8")
    lines = [line for line in text.splitlines() if not line.startswith("#")]
    return tuple(csv.DictReader(lines))
