"""A plant from its file, judged: what ``check`` and ``explain`` begin with."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence

from subspark.assess import Assessment, assess
from subspark.cli.busy import Busy
from subspark.errors import UsageError
from subspark.exchange import read_plant
from subspark.exchange.curve_store import curves_in_use
from subspark.rules import code as edition

__all__ = ["judged"]


def judged(
    path: str, tags: Sequence[str], code: str | None, busy: Busy, table: str | None = None
) -> Assessment:
    """Read a plant and judge it, by another edition or table where one is named."""
    if code is not None:
        edition(code)  # a wrong name is told before a long read
    plant = read_plant(path)
    if code is not None and code != plant.code:
        plant = dataclasses.replace(plant, code=code)
    if not plant.circuits:
        raise UsageError(f"{path}: has no circuits yet, so there is nothing to judge")
    named = tuple(dict.fromkeys(tags)) or None
    count = len(plant.circuits) if named is None else len(named)
    busy.says(f"judging {count:,} circuits")
    return assess(plant, named, curves=curves_in_use(table))
