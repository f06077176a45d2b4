"""The demo plant for tests of choosing: with its functional figures, and without any."""

from __future__ import annotations

import dataclasses

from subspark.assess.function.facts import DECLARED
from subspark.demo import build_plant
from subspark.model import Plant

__all__ = ["BARE", "WHOLE", "bare"]


def bare(plant: Plant) -> Plant:
    """A plant without functional figures: safety alone is asked."""

    def without(records: tuple) -> tuple:
        return tuple(dataclasses.replace(one, function=()) for one in records)

    return dataclasses.replace(
        plant,
        sources=without(plant.sources),
        apparatus=without(plant.apparatus),
        simple=without(plant.simple),
        circuits=without(plant.circuits),
        declarations=tuple(one for one in plant.declarations if one.fact not in DECLARED),
    )


WHOLE = build_plant()
BARE = bare(WHOLE)
