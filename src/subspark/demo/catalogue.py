"""The catalogue of the demo plant with its functional figures: sources, apparatus, simple."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from subspark.demo.apparatus import APPARATUS, SIMPLE
from subspark.demo.choosing_sources import choosing_of
from subspark.demo.function_data import figures
from subspark.demo.function_devices import DEVICE_FIGURES
from subspark.demo.function_sources import SOURCE_FIGURES
from subspark.demo.harder_catalogue import HARDER_APPARATUS, HARDER_SIMPLE, HARDER_SOURCES
from subspark.demo.segments import SEGMENT_APPARATUS, SEGMENT_SOURCES
from subspark.demo.sources import SOURCES
from subspark.demo.wider_catalogue import WIDER_SOURCES
from subspark.model import Datum, SourceType

__all__ = ["ALL_APPARATUS", "ALL_SIMPLE", "ALL_SOURCES"]

_CHOOSING: Final = choosing_of()


def _source(one: SourceType) -> SourceType:
    """The source with what it does when it works, and what one asks before it is bought."""
    works = figures(SOURCE_FIGURES.get(one.name, ""), f"Data sheet of {one.name}")
    asked = figures(_CHOOSING.get(one.name, ""), "Price and stock list PS-1", "1")
    return replace(one, function=(*works, *asked))


def _figures_of(name: str) -> tuple[Datum, ...]:
    return figures(DEVICE_FIGURES.get(name, ""), f"Data sheet of {name}")


ALL_SOURCES: Final = tuple(
    _source(one) for one in (*SOURCES, *HARDER_SOURCES, *SEGMENT_SOURCES, *WIDER_SOURCES)
)
ALL_APPARATUS: Final = tuple(
    replace(one, function=_figures_of(one.name))
    for one in (*APPARATUS, *HARDER_APPARATUS, *SEGMENT_APPARATUS)
)
ALL_SIMPLE: Final = tuple(
    replace(one, function=_figures_of(one.name)) for one in (*SIMPLE, *HARDER_SIMPLE)
)
