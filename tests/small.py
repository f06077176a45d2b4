"""A small plant from plain texts, for tests: hydrogen zones 0 and 1, an isolator, a transmitter."""

from __future__ import annotations

from typing import Any

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
    SourceType,
    SourceUse,
)

__all__ = ["BASE", "FACTS", "item", "make", "plant", "source"]

FACTS = {
    "safe side voltage": "250 V",
    "source place": "safe area",
    "apparatus isolation": "500 V",
    "cable construction": "evidenced",
    "segregation": "50 mm",
    "atmospheric conditions": "standard",
    "cabinet ambient": "0 to 40 °C",
}


def make(kind: Any, **fields: Any) -> Any:
    """A record from plain texts."""
    return kind(**fields)


def source(name: str, U: str, I: str, P: str, **more: Any) -> SourceType:  # noqa: E741
    """A linear isolator for IIC, ia."""
    output = make(
        Output,
        shape="linear",
        Uo=U,
        Io=I,
        Po=P,
        polarity="+",
        limits=more.pop("limits", (make(Limits, group="IIC", Co="83 nF", Lo="3 mH"),)),
    )
    return make(
        SourceType,
        **{
            "name": name,
            "certificate": "C",
            "mark": "[Ex ia Ga] IIC",
            "isolation": "galvanic",
            "outputs": (output,),
            "ports": (make(Port, Um="253 V"),),
            **more,
        },
    )


def item(name: str, **more: Any) -> ApparatusType:
    """A transmitter for 30 V, 200 mA, 1.3 W."""
    entry = make(
        Entry,
        mark="Ex ia IIC T4 Ga",
        Ui="30 V",
        Ii="200 mA",
        Pi="1.3 W",
        Ci=more.pop("Ci", "5 nF"),
        Li="0",
    )
    return make(
        ApparatusType,
        **{"name": name, "certificate": "C", "powered": "no", "entries": (entry,), **more},
    )


def plant(circuit: Circuit, **more: Any) -> Plant:
    """A plant with hydrogen zones 0 and 1."""
    zones = {"Z0": "0", "Z1": "1"}
    return make(
        Plant,
        **{
            "code": "IEC-2013",
            "areas": tuple(
                make(
                    Area,
                    tag=tag,
                    atmospheres=(make(Atmosphere, zone=zone, group="IIC", temperature="T4"),),
                    ambient="-20 to 40 °C",
                )
                for tag, zone in zones.items()
            ),
            "certificates": (Certificate(number="C"),),
            "sources": (source("iso", "28 V", "93 mA", "651 mW"),),
            "apparatus": (item("tx"),),
            "cables": (
                make(CableType, name="W", C="100 pF/m", L="0.7 µH/m", R_loop="30 ohm/km", cores=2),
            ),
            "circuits": (circuit,),
            "declarations": tuple(make(Declaration, fact=k, value=v) for k, v in FACTS.items()),
            **more,
        },
    )


BASE = make(
    Circuit,
    tag="X",
    area="Z0",
    sources=(SourceUse(source="iso"),),
    members=(Member(apparatus="tx"),),
    runs=(make(Run, cable="W", length="100 m"),),
)
