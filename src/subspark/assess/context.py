"""What every circuit of a plant shares while it is assessed: code, curves, catalogue by name."""

from __future__ import annotations

import math
import re
from collections import Counter, defaultdict
from collections.abc import Hashable
from dataclasses import dataclass, field, replace
from typing import Any, NamedTuple

from subspark.assess.declared import Declared, says_yes
from subspark.assess.outputs import power_into, voltage_into
from subspark.assess.places import Need, needs_of
from subspark.model import (
    SAFE_AREA,
    ApparatusType,
    Area,
    CableType,
    Certificate,
    Junction,
    Plant,
    SimpleType,
    SourceType,
)
from subspark.physics.ignition import Curves, standard_curves
from subspark.rules import Code, code

__all__ = ["Context", "Doubted", "certificate_state", "document_state", "listing"]

NAN = math.nan


class Doubted(NamedTuple):
    """Values of a certificate's column after the cross-check: a doubted one is NaN."""

    Co: float
    Lo: float
    Lo_Ro: float
    pairs: tuple[tuple[float, float], ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Context:
    """A plant, indexed.

    ``known`` keeps what was worked out for one circuit and is the same for others: rows of a
    source, an apparatus or a cable by all that they lean on. Where a key holds the identity of
    a thing, the value holds the thing, so that no other can take its place.
    """

    plant: Plant
    code: Code
    curves: Curves
    declared: Declared
    areas: dict[str, Area]
    sources: dict[str, SourceType]
    items: dict[str, ApparatusType | SimpleType]
    cables: dict[str, CableType]
    certificates: dict[str, Certificate]
    sharing: dict[str, int]
    shared_voltage: dict[str, float]
    unseparated: frozenset[str]
    junctions: dict[str, Junction]
    box_power: dict[str, float]
    sharers: dict[str, tuple[int, ...]]
    cables_of: dict[str, tuple[str, ...]]
    boxes: dict[str, str]
    checked: dict[tuple[int, int, float], Doubted] = field(default_factory=dict)
    known: dict[Hashable, Any] = field(default_factory=dict)
    _needs: dict[str, tuple[Need, ...]] = field(default_factory=dict)

    @classmethod
    def of(cls, plant: Plant, curves: Curves | None = None) -> Context:
        """Index a plant."""
        declared = Declared(plant.declarations)
        sources = {one.name: _answered(one, declared) for one in plant.sources}
        sharing: Counter[str] = Counter()
        voltage: dict[str, float] = {}
        sharers: dict[str, list[int]] = defaultdict(list)
        cables_of: dict[str, dict[str, None]] = defaultdict(dict)
        for place, circuit in enumerate(plant.circuits):
            for run in circuit.runs:
                if run.number:
                    cables_of[run.number][run.cable] = None
            highest = voltage_into(circuit, sources)
            for number in {run.number for run in circuit.runs if run.number}:
                sharing[number] += 1
                sharers[number].append(place)
                before = voltage.get(number, 0.0)
                voltage[number] = NAN if math.isnan(before + highest) else max(before, highest)
        return cls(
            plant=plant,
            code=code(plant.code),
            curves=curves or standard_curves(),
            declared=declared,
            areas={one.tag: one for one in plant.areas},
            sources=sources,
            items={
                **{one.name: one for one in plant.apparatus},
                **{one.name: one for one in plant.simple},
            },
            cables={one.name: one for one in plant.cables},
            certificates={one.number: one for one in plant.certificates},
            boxes={one.tag: one.area for one in plant.junctions},
            sharing=dict(sharing),
            shared_voltage=voltage,
            unseparated=_unseparated(plant, sources),
            junctions={one.tag: one for one in plant.junctions},
            box_power=_box_power(plant, sources),
            sharers={number: tuple(places) for number, places in sharers.items()},
            cables_of={number: tuple(names) for number, names in cables_of.items()},
        )

    def box(self, tag: str) -> tuple[float, float] | None:
        """Temperature of a junction box by the power of all its circuits, and its limit [degC].

        None where the tag is no junction, or one that states no thermal resistance or stands
        in a safe area.
        """
        junction = self.junctions.get(tag)
        if junction is None or not junction.Rth.known or junction.area == SAFE_AREA:
            return None
        area = self.areas.get(junction.area)
        hottest = NAN if area is None else area.ambient.high
        limits = [need.T_of_bodies for need in self.needs(junction.area)]
        limit = NAN if any(math.isnan(one) for one in limits) or not limits else min(limits)
        return hottest + junction.Rth.si * self.box_power[tag], limit

    def needs(self, area: str) -> tuple[Need, ...]:
        """What the atmospheres of an area ask; none in a safe area."""
        if area == SAFE_AREA:
            return ()
        found = self._needs.get(area)
        if found is None:
            found = self._needs[area] = needs_of(self.areas.get(area), self.code)
        return found


_SUFFIX = re.compile(r"\d\s?([XU])(?![0-9A-Za-z])")


def _answered(kind: SourceType, declared: Declared) -> SourceType:
    """The source, its cross-check answered where a declaration for that very source says so."""
    found = declared.find("cross-check answered", source=kind.name)
    if kind.cross_check or found is None or found.scope != "source" or not says_yes(found.value):
        return kind
    return replace(kind, cross_check="yes")


def _unseparated(plant: Plant, sources: dict[str, SourceType]) -> frozenset[str]:
    """Apparatus with a sensor side of its own that is not shown to be separated from the loop."""
    found = set()
    for circuit in plant.circuits:
        kinds = [sources[use.source] for use in circuit.sources]
        if kinds and all(kind.terminals_of for kind in kinds):
            found |= {kind.terminals_of for kind in kinds if kind.separated != "yes"}
    return frozenset(found)


def _box_power(plant: Plant, sources: dict[str, SourceType]) -> dict[str, float]:
    """Sum of Po over the circuits that end in each junction [W]; NaN where one is unknown."""
    power: dict[str, float] = defaultdict(float)
    for circuit in plant.circuits:
        total = power_into(circuit, sources, code(plant.code))
        for tag in dict.fromkeys(end for run in circuit.runs for end in (run.start, run.end)):
            power[tag] += total
    return power


def certificate_state(number: str, context: Context) -> float:
    """0 settled, NaN open or unknown, 1 refused (a component, or a condition not met)."""
    certificate = context.certificates.get(number)
    if certificate is None:
        return NAN
    printed = _SUFFIX.search(number)  # the number itself bears it, whatever the field says
    suffixes = {certificate.suffix, printed[1] if printed else ""}
    if "U" in suffixes:
        return 1.0
    if certificate.status == "withdrawn":
        return NAN
    if any(one.answered == "no" for one in certificate.conditions):
        return 1.0
    if "X" not in suffixes and not certificate.conditions:
        return 0.0
    if context.declared.holds("conditions answered", certificate=number):
        return 0.0
    answered = [one.answered == "yes" for one in certificate.conditions]
    return 0.0 if answered and all(answered) else NAN


def document_state(item: SourceType | ApparatusType, context: Context) -> float:
    """State of certificate and control drawing: 0 settled, NaN open or unknown, 1 refused.

    Where the code goes by control drawings, one whose number is not known leaves it open.
    """
    state = certificate_state(item.certificate, context)
    if context.code.by_drawing and not item.control_drawing and state == 0.0:
        return NAN
    return state


def listing(item: SourceType | ApparatusType, context: Context) -> str:
    """The codes of North America by which an item is listed, as its certificate says."""
    found = context.certificates.get(item.certificate)
    return "" if found is None else found.listing
