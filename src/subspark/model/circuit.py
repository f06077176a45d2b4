"""Circuits: which source, which apparatus, which runs of cable."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from subspark.model.base import Answer, Method, Record
from subspark.model.functional import Datum
from subspark.quantity import (
    Area,
    Evidence,
    Length,
    Temperature,
    TemperatureRange,
    ThermalResistance,
    Voltage,
)

__all__ = ["Circuit", "Junction", "Member", "PortSupply", "Run", "SourceUse"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Junction(Record):
    """A junction box or terminal strip, and the place where it stands.

    ``Rth`` is how much hotter its inside becomes per watt that all its circuits may bring;
    where it is stated the sum over the circuits that end there is judged.
    """

    tag: str
    area: str = ""
    Rth: ThermalResistance = ThermalResistance()
    title: str = ""
    evidence: Evidence = Evidence()


@dataclass(frozen=True, slots=True, kw_only=True)
class PortSupply(Record):
    """The rated voltage that may stand behind one port of a source under fault.

    A figure below 250 V counts only with the ``evidence`` that the supply is SELV, PELV, a
    safety transformer or a battery.
    """

    port: str = "supply"
    voltage: Voltage = Voltage()
    evidence: Evidence = Evidence()


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceUse(Record):
    """A source as used in a circuit: which outputs of which type, standing where.

    ``place`` is an area's tag or "safe area". ``earthing`` is by the source's isolation.
    """

    tag: str = ""
    source: str
    outputs: str = ""
    place: str = ""
    cabinet: str = ""
    place_ambient: TemperatureRange = TemperatureRange()
    polarity: Literal["+", "-", "a.c.", ""] = ""
    safe_side: tuple[PortSupply, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Member(Record):
    """A field apparatus as used in a circuit.

    ``place`` is an area's tag (blank: the circuit's own area). ``process`` is the hottest
    temperature that its mounting brings; ``ambient`` replaces the area's where it stands.
    ``temporary`` marks a service tool that is hung on for a while. A surge device states its
    ``distance`` to the boundary of zone 0 and the section of its ``earth_conductor``.
    """

    tag: str = ""
    apparatus: str
    connection: str = ""
    place: str = ""
    process: Temperature = Temperature()
    ambient: TemperatureRange = TemperatureRange()
    temporary: bool = False
    isolation: Answer = ""
    distance: Length = Length()
    earth_conductor: Area = Area()


@dataclass(frozen=True, slots=True, kw_only=True)
class Run(Record):
    """A length of cable between two points.

    ``cable`` names the type, ``number`` the cable itself: circuits whose runs bear the same
    number share one multicore. ``area`` is where it lies (blank: the circuit's own area).
    ``part`` says of a fieldbus segment whether the run belongs to its trunk or to a spur.
    ``parallel`` is how many cores are joined for each conductor, where it is more than one:
    fewer ohms, and more capacitance.
    """

    cable: str = ""
    length: Length = Length()
    number: str = ""
    start: str = ""
    end: str = ""
    area: str = ""
    part: Literal["trunk", "spur", ""] = ""
    screen: Literal["none", "floating", "earthed", "tied to one core", ""] = ""
    parallel: int | None = None
    as_built: Answer = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Circuit(Record):
    """One Ex i circuit.

    ``method`` is the way in which it is proved: by entity parameters, or as a segment of a
    fieldbus that keeps the limits of FISCO or 2-WISE and then needs no sum of C and L.
    ``joined`` states outright how several sources are joined where it is certain; blank
    leaves it to their polarity. ``system`` names the source type that holds the printed values
    of a certificate for the whole combination: they replace the calculation. ``bonding``
    answers whether bonding along the route is evidenced, where the circuit is earthed twice.
    ``function`` holds the figures by which it is judged whether the circuit works: supply and
    load on the safe side, alarm currents as set, budgets.
    """

    tag: str
    service: str = ""
    area: str = ""
    sources: tuple[SourceUse, ...] = ()
    members: tuple[Member, ...] = ()
    runs: tuple[Run, ...] = ()
    method: Method = "entity"
    joined: Literal["parallel", "series", ""] = ""
    system: str = ""
    bonding: Answer = ""
    function: tuple[Datum, ...] = ()
    document: str = ""
    revision: str = ""
    note: str = ""
    evidence: Evidence = Evidence()
