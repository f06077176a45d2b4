"""The demo plant put together."""

from __future__ import annotations

from typing import Final

from subspark.demo.apparatus import APPARATUS, SIMPLE
from subspark.demo.building import Builder
from subspark.demo.cables import CABLES
from subspark.demo.circuits import BATCHES, ROUTES
from subspark.demo.faults import FAULTY_BATCHES, FAULTY_ROUTES
from subspark.demo.harder import HARDER_BOXES, harder_circuits
from subspark.demo.harder_catalogue import HARDER_APPARATUS, HARDER_SIMPLE, HARDER_SOURCES
from subspark.demo.places import AREAS, certificates, declarations
from subspark.demo.segments import (
    SEGMENT_APPARATUS,
    SEGMENT_BOXES,
    SEGMENT_CABLES,
    SEGMENT_DECLARATIONS,
    SEGMENT_SOURCES,
    segment_circuits,
)
from subspark.demo.sources import SOURCES
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
    builder = Builder({**ROUTES, **FAULTY_ROUTES})
    circuits = [
        circuit for batch in (*BATCHES, *FAULTY_BATCHES) for circuit in builder.circuits(batch)
    ]
    circuits += harder_circuits()
    circuits += segment_circuits()
    sources = (*SOURCES, *HARDER_SOURCES, *SEGMENT_SOURCES)
    apparatus = (*APPARATUS, *HARDER_APPARATUS, *SEGMENT_APPARATUS)
    numbers = [one.certificate for one in sources] + [one.certificate for one in apparatus]
    return Plant(
        name=_NAME,
        areas=AREAS,
        certificates=certificates(tuple(dict.fromkeys(numbers))),
        sources=sources,
        apparatus=apparatus,
        simple=(*SIMPLE, *HARDER_SIMPLE),
        cables=(*CABLES, *SEGMENT_CABLES),
        junctions=(*builder.junctions, *HARDER_BOXES, *SEGMENT_BOXES),
        circuits=tuple(circuits),
        declarations=(*declarations(), *SEGMENT_DECLARATIONS),
    )
