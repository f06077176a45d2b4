"""The demo plant put together."""

from __future__ import annotations

from typing import Final

from subspark.demo.building import Builder
from subspark.demo.cables import CABLES
from subspark.demo.catalogue import ALL_APPARATUS, ALL_SIMPLE, ALL_SOURCES
from subspark.demo.circuits import BATCHES, ROUTES
from subspark.demo.faults import FAULTY_BATCHES, FAULTY_ROUTES
from subspark.demo.function_circuits import FUNCTION_DECLARATIONS, with_figures
from subspark.demo.function_faults import FUNCTION_BATCHES, FUNCTION_ROUTES, FUNCTION_TEXTS
from subspark.demo.harder import HARDER_BOXES, harder_circuits
from subspark.demo.places import AREAS, certificates, declarations
from subspark.demo.segments import (
    SEGMENT_BOXES,
    SEGMENT_CABLES,
    SEGMENT_DECLARATIONS,
    segment_circuits,
)
from subspark.model import Plant

__all__ = ["build_plant"]

_NAME: Final = "Larkfen blending station and elevator"


def build_plant() -> Plant:
    """Build the demo plant: invented, the same each time, with deliberate faults.

    Returns
    -------
    Plant
        A station that blends hydrogen into biogas with a grain elevator beside it. The faults
        are those of ``FAULTS``, and no others.
    """
    builder = Builder({**ROUTES, **FAULTY_ROUTES, **FUNCTION_ROUTES})
    batches = (*BATCHES, *FAULTY_BATCHES, *FUNCTION_BATCHES)
    circuits = [circuit for batch in batches for circuit in builder.circuits(batch)]
    circuits += harder_circuits()
    circuits += segment_circuits()
    cables = (*CABLES, *SEGMENT_CABLES)
    cores = {one.name: one.cores for one in cables}
    numbers = [one.certificate for one in ALL_SOURCES] + [one.certificate for one in ALL_APPARATUS]
    return Plant(
        name=_NAME,
        areas=AREAS,
        certificates=certificates(tuple(dict.fromkeys(numbers))),
        sources=ALL_SOURCES,
        apparatus=ALL_APPARATUS,
        simple=ALL_SIMPLE,
        cables=cables,
        junctions=(*builder.junctions, *HARDER_BOXES, *SEGMENT_BOXES),
        circuits=tuple(
            with_figures(one, cores, FUNCTION_TEXTS.get(one.tag, "")) for one in circuits
        ),
        declarations=(*declarations(), *SEGMENT_DECLARATIONS, *FUNCTION_DECLARATIONS),
    )
