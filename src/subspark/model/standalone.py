"""One circuit by itself, with all that it is made of: for a notebook or a script."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from subspark.model.apparatus import ApparatusType, SimpleType
from subspark.model.base import Method, Record
from subspark.model.cable import CableType
from subspark.model.certificate import Certificate, Declaration
from subspark.model.circuit import Circuit, Member, Run, SourceUse
from subspark.model.place import Area
from subspark.model.plant import Plant
from subspark.model.source import SourceType
from subspark.quantity import Length

__all__ = ["StandaloneCircuit", "StandaloneRun"]


@dataclass(frozen=True, slots=True, kw_only=True)
class StandaloneRun(Record):
    """A length of a cable type. ``start``, ``end`` and ``part`` are asked of segments only."""

    cable: CableType
    length: Length = Length()
    start: str = ""
    end: str = ""
    part: Literal["trunk", "spur", ""] = ""
    screen: Literal["none", "floating", "earthed", "tied to one core", ""] = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StandaloneCircuit(Record):
    """A circuit with its own area, sources, apparatus, cables and declarations.

    Sources that drive it together are all listed; ``joined`` states how where that is certain.
    """

    tag: str = "circuit"
    service: str = ""
    code: str = "IEC-2024"
    area: Area
    sources: tuple[SourceType, ...] = ()
    apparatus: tuple[ApparatusType | SimpleType, ...] = ()
    runs: tuple[StandaloneRun, ...] = ()
    method: Method = "entity"
    joined: Literal["parallel", "series", ""] = ""
    certificates: tuple[Certificate, ...] = ()
    declarations: tuple[Declaration, ...] = ()

    def plant(self) -> Plant:
        """The plant that has this one circuit."""
        certified = [one for one in self.apparatus if isinstance(one, ApparatusType)]
        simple = [one for one in self.apparatus if isinstance(one, SimpleType)]
        cables = tuple(dict.fromkeys(run.cable for run in self.runs))
        circuit = Circuit(
            tag=self.tag,
            service=self.service,
            area=self.area.tag,
            sources=tuple(SourceUse(source=one.name) for one in self.sources),
            members=tuple(Member(apparatus=one.name) for one in self.apparatus),
            runs=tuple(
                Run(
                    cable=run.cable.name,
                    length=run.length,
                    start=run.start,
                    end=run.end,
                    part=run.part,
                    screen=run.screen,
                )
                for run in self.runs
            ),
            method=self.method,
            joined=self.joined,
        )
        return Plant(
            name=self.tag,
            code=self.code,
            areas=(self.area,),
            certificates=self.certificates,
            sources=tuple(dict.fromkeys(self.sources)),
            apparatus=tuple(dict.fromkeys(certified)),
            simple=tuple(dict.fromkeys(simple)),
            cables=cables,
            circuits=(circuit,),
            declarations=self.declarations,
        )
