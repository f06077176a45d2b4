"""A safe circuit to start from: one source, one transmitter, one run of cable.

Every test of a rule changes one thing of it. Fields of an output or of a set of parameters may be
given beside those of the source or apparatus that holds them.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from typing import Any

from subspark.assess import Finding, assess
from subspark.model import (
    ApparatusType,
    Area,
    Atmosphere,
    CableType,
    Certificate,
    Circuit,
    Declaration,
    Entry,
    Limits,
    Member,
    Output,
    Plant,
    Port,
    Run,
    SimpleType,
    SourceType,
    SourceUse,
)
from subspark.quantity import Evidence

SHEET = Evidence(document="data sheet", page="1")
TAG = "X"

AREA: Mapping[str, str] = {"zone": "1", "group": "IIC", "temperature": "T4"}
LIMITS = (
    Limits(group="IIC", Co="83 nF", Lo="4.1 mH", Lo_Ro="54 µH/ohm"),  # type: ignore[arg-type]
    Limits(group="IIB", Co="650 nF", Lo="16 mH", Lo_Ro="218 µH/ohm"),  # type: ignore[arg-type]
    Limits(group="IIA", Co="2.15 µF", Lo="32 mH", Lo_Ro="436 µH/ohm"),  # type: ignore[arg-type]
)
DECLARED: Mapping[str, str] = {
    "safe side voltage": "250 V",
    "source place": "safe area",
    "segregation": "50 mm",
    "atmospheric conditions": "standard",
    "cable construction": "evidenced",
    "cabinet ambient": "-20 to 40 °C",
    "apparatus isolation": "500 V",
}
BARRIER: Mapping[str, str] = {
    "barrier earth resistance": "0.5 ohm",
    "barrier earth conductors": "2 x 1.5 mm2",
}


def _split(given: Mapping[str, Any], inner: type) -> tuple[dict[str, Any], dict[str, Any]]:
    """Fields of the inner record, and the others."""
    names = {one.name for one in dataclasses.fields(inner)} - {"name", "evidence"}
    inside = {key: value for key, value in given.items() if key in names}
    return inside, {key: value for key, value in given.items() if key not in names}


def column(group: str = "IIC", **given: Any) -> Limits:
    """One column of limits."""
    return Limits(group=group, **given)


def source(name: str = "S1", **given: Any) -> SourceType:
    """A linear isolating source of 28 V and 300 ohm, or what is given in its place."""
    output: dict[str, Any] = {
        "shape": "linear",
        "Uo": "28 V",
        "Io": "93 mA",
        "Po": "651 mW",
        "Ci": "negligible",
        "Li": "negligible",
        "limits": LIMITS,
    }
    inside, outside = _split(given, Output)
    held: dict[str, Any] = {
        "certificate": f"cert {name}",
        "mark": "[Ex ia Ga] IIC",
        "isolation": "galvanic",
        "outputs": (Output(**{**output, **inside}),),
        "ports": (Port(Um="253 V"),),  # type: ignore[arg-type]
        "ambient": "-20 to 60 °C",
    }
    return SourceType(name=name, **{**held, **outside})


def barrier(name: str = "S1", **given: Any) -> SourceType:
    """The same as a shunt-diode barrier."""
    return source(name, **{"isolation": "earthed barrier", "polarity": "+", **given})


def transmitter(name: str = "T1", **given: Any) -> ApparatusType:
    """A certified two-wire transmitter, or what is given in its place."""
    entry: dict[str, Any] = {
        "mark": "Ex ia IIC T4 Ga Ta -40 °C to +60 °C",
        "Ui": "30 V",
        "Ii": "120 mA",
        "Pi": "900 mW",
        "Ci": "5 nF",
        "Li": "10 µH",
    }
    inside, outside = _split(given, Entry)
    held: dict[str, Any] = {
        "certificate": f"cert {name}",
        "powered": "no",
        "entries": (Entry(**{**entry, **inside}),),
    }
    return ApparatusType(name=name, **{**held, **outside})


def simple(name: str = "P1", **given: Any) -> SimpleType:
    """A resistance thermometer, or what is given in its place."""
    held: dict[str, Any] = {
        "sort": "passive",
        "Ci": "0",
        "Li": "0",
        "Rth": "100 K/W",
        "ambient": "-50 to 200 °C",
        "powered": "no",
        "assessed": "yes",
    }
    return SimpleType(name=name, **{**held, **given})


def cable(name: str = "K1", **given: Any) -> CableType:
    """An ordinary cable with a complete data sheet, or what is given in its place."""
    held: dict[str, Any] = {
        "C": "100 pF/m",
        "L": "0.7 µH/m",
        "R_loop": "24 ohm/km",
        "cores": 2,
        "screen": "none",
    }
    return CableType(name=name, **{**held, **given})


def plant(
    *,
    sources: Sequence[SourceType] = (source(),),
    items: Sequence[ApparatusType | SimpleType] = (transmitter(),),
    cables: Sequence[CableType] = (cable(),),
    runs: Sequence[Run | str] = ("200 m",),
    members: Sequence[Member] = (),
    uses: Sequence[SourceUse] = (),
    area: Mapping[str, Any] | Sequence[Mapping[str, Any]] = AREA,
    ambient: str = "-20 to 40 °C",
    areas: Sequence[Area] = (),
    declare: Mapping[str, str | None] | None = None,
    certificates: Sequence[Certificate] = (),
    more: Sequence[Circuit] = (),
    code: str = "IEC-2024",
    hybrid: str = "",
    **circuit: Any,
) -> Plant:
    """The safe plant with some of its parts replaced; ``declare`` None takes a statement back."""
    rows = [area] if isinstance(area, Mapping) else list(area)
    atmospheres = tuple(Atmosphere(**row) for row in rows)
    said = {**DECLARED, **(declare or {})}
    numbers = dict.fromkeys(
        one.certificate for one in (*sources, *items) if not isinstance(one, SimpleType)
    )
    given = {one.number: one for one in certificates}
    own = [given.get(number) or Certificate(number=number) for number in numbers if number]
    lengths = tuple(
        one if isinstance(one, Run) else Run(cable=cables[0].name, length=one)  # type: ignore[arg-type]
        for one in runs
    )
    return Plant(
        name="bench",
        code=code,
        areas=(
            Area(tag="A", atmospheres=atmospheres, ambient=ambient, hybrid=hybrid),  # type: ignore[arg-type]
            *areas,
        ),
        certificates=tuple(own),
        sources=tuple(sources),
        apparatus=tuple(one for one in items if isinstance(one, ApparatusType)),
        simple=tuple(one for one in items if isinstance(one, SimpleType)),
        cables=tuple(cables),
        circuits=(
            Circuit(
                tag=TAG,
                area="A",
                sources=tuple(uses) or tuple(SourceUse(source=one.name) for one in sources),
                members=tuple(members) or tuple(Member(apparatus=one.name) for one in items),
                runs=lengths,
                **circuit,
            ),
            *more,
        ),
        declarations=tuple(
            Declaration(fact=fact, value=value, evidence=SHEET)  # type: ignore[arg-type]
            for fact, value in said.items()
            if value is not None
        ),
    )


def judged(**parts: Any) -> Finding:
    """What the rules say of the circuit of such a plant."""
    return assess(plant(**parts))[TAG]


def verdict(**parts: Any) -> str:
    """The verdict in a word."""
    return judged(**parts).verdict.word


def said(rule: str, **parts: Any) -> str:
    """The verdict of one rule in the governing case."""
    return judged(**parts).rules[rule].verdict.word


def outcome(**parts: Any) -> tuple[str, str]:
    """Verdict and governing rule."""
    found = judged(**parts)
    return found.verdict.word, found.governing


WIDE = {"Ui": "60 V", "Ii": "1 A", "Pi": "10 W"}
"""Apparatus that no source of these tests exceeds."""

OF_24_V = {"Uo": "24 V", "Io": "80 mA", "Po": "480 mW"}
IB = {"limits": (column(Co="83 nF", Lo="4.1 mH"),), "mark": "[Ex ib Gb] IIC"}
GAS_AND_DUST_PARTS = {
    "sources": [source(mark="[Ex ia Ga] IIC; [Ex ia Da] IIIC")],
    "items": [transmitter(mark="Ex ia IIC T4 Ga; Ex ia IIIC T135 °C Da", Ci="0", Li="0")],
    "cables": [cable(L="0.1 µH/m")],
}
