"""Catalogue of the second building stage of the demo plant, for its harder circuits."""

from __future__ import annotations

from dataclasses import replace
from typing import Final, Literal, NamedTuple

from subspark.demo.sheets import Column, Sheet, Stage
from subspark.model import ApparatusType, SimpleType, SourceType
from subspark.quantity import (
    Area,
    Capacitance,
    Current,
    Evidence,
    Inductance,
    Power,
    SurgeCurrent,
    TemperatureRange,
    ThermalResistance,
    Voltage,
)

__all__ = ["HARDER_APPARATUS", "HARDER_SIMPLE", "HARDER_SOURCES"]

_ROWAN: Final = "Rowanfield Interfaces"
_ALDER: Final = "Alderbeck Barriers"
_LINDEN: Final = "Lindenmoor Supplies"
_KESTREL: Final = "Kestrelwood Instruments"
_DIPPER: Final = "Dipperstone Thermal"
_HERON: Final = "Heronsmere Level"
_WREN: Final = "Wrenbrook Switchgear"
_TEAL: Final = "Tealwater Gas Detection"
_NIGHTJAR: Final = "Nightjar Signals"
_SISKIN: Final = "Siskin Vale Machinery"

_SAFE: Final = "[Ex ia Ga] IIC"
_RETURN: Final = "diode return, no output current"


class _Source(NamedTuple):
    name: str
    maker: str
    what: str
    certificate: str
    values: str  # Uo, Io, Po
    columns: str  # "IIC: Co, Lo; IIB: Co, Lo"
    polarity: Literal["+", "-", "a.c.", ""] = ""
    mark: str = _SAFE
    pairs: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = ()
    no_current: str = ""
    rms: bool = False
    covers: tuple[str, ...] = ()
    terminals_of: str = ""
    separated: Literal["yes", "no", ""] = ""


_PAIRS: Final = (
    ("IIC", (("200 nF", "0.5 mH"), ("150 nF", "1 mH"))),
    ("IIB", (("1.1 µF", "1 mH"), ("0.9 µF", "4 mH"))),
)

_SOURCES: Final = (
    _Source(
        "RW-2012",
        _ROWAN,
        "low-energy supply, one of two beside each other",
        "DEMO 23.0201",
        "12.6 V, 40 mA, 126 mW",
        "IIC: 1.15 µF, 20 mH; IIB: 7.4 µF, 80 mH; IIIC: 7.4 µF, 80 mH",
        "+",
    ),
    _Source(
        "AB-12",
        _ALDER,
        "shunt-diode barrier, low energy",
        "DEMO 23.0211",
        "12 V, 35 mA, 105 mW",
        "IIC: 1.41 µF, 25 mH; IIB: 9 µF, 100 mH",
        "+",
    ),
    _Source(
        "AB-26S",
        _ALDER,
        "shunt-diode barrier, supply channel",
        "DEMO 23.0212",
        "26 V, 90 mA, 585 mW",
        "IIC: 99 nF, 4.3 mH; IIB: 770 nF, 17 mH",
        "+",
    ),
    _Source(
        "AB-26D",
        _ALDER,
        "shunt-diode barrier, diode return channel",
        "DEMO 23.0213",
        "26 V, 0 mA, 0 mW",
        "IIC: 99 nF, 4.3 mH; IIB: 770 nF, 17 mH",
        "+",
        no_current=_RETURN,
    ),
    _Source(
        "AB-10P",
        _ALDER,
        "shunt-diode barrier, positive signal channel",
        "DEMO 23.0214",
        "9.6 V, 50 mA, 120 mW",
        "IIC: 3.6 µF, 14 mH; IIB: 26 µF, 56 mH",
        "+",
    ),
    _Source(
        "AB-20N",
        _ALDER,
        "shunt-diode barrier, negative supply channel",
        "DEMO 23.0215",
        "20 V, 50 mA, 250 mW",
        "IIC: 220 nF, 14 mH; IIB: 1.41 µF, 56 mH",
        "-",
    ),
    _Source(
        "AB-24",
        _ALDER,
        "shunt-diode barrier, supply of half current",
        "DEMO 23.0216",
        "24 V, 60 mA, 360 mW",
        "IIC: 125 nF, 9.5 mH; IIB: 930 nF, 39 mH",
        "+",
    ),
    _Source(
        "AB-22A",
        _ALDER,
        "shunt-diode barrier for alternating signals",
        "DEMO 23.0217",
        "22 V, 50 mA, 389 mW",
        "IIC: 59 nF, 14 mH; IIB: 500 nF, 56 mH",
        "a.c.",
        rms=True,
    ),
    _Source(
        "LM-24S",
        _LINDEN,
        "system of two barriers AB-24, certified together",
        "DEMO 23.0221",
        "24.5 V, 118 mA, 723 mW",
        "IIC: 118 nF, 2.4 mH; IIB: 880 nF, 9.8 mH",
        "+",
        covers=("AB-24",),
    ),
    _Source(
        "LM-18Q",
        _LINDEN,
        "valve supply, trapezoidal, Co and Lo printed as pairs",
        "DEMO 23.0222",
        "18 V, 80 mA, 900 mW",
        "",
        pairs=_PAIRS,
    ),
    _Source(
        "DS-H60 sensor",
        _DIPPER,
        "sensor terminals of the head transmitter",
        "DEMO 23.0301",
        "6.5 V, 12 mA, 19.5 mW",
        "IIC: 20 µF, 200 mH; IIB: 400 µF, 800 mH",
        mark="Ex ia [ia Ga] IIC T4 Gb Ta -40 °C to +70 °C",
        terminals_of="DS-H60",
        separated="yes",
    ),
    _Source(
        "HM-T4 sensor",
        _HERON,
        "sensor terminals of the bin transmitter",
        "DEMO 23.0302",
        "5 V, 8 mA, 10 mW",
        "IIIC: 400 µF, 1 H",
        mark="Ex ia [ia Da] IIIC T100 °C Db Ta -40 °C to +60 °C",
        terminals_of="HM-T4",
        separated="yes",
    ),
    _Source(
        "DS-U9 sensor",
        _DIPPER,
        "sensor terminals of the universal transmitter",
        "DEMO 23.0303",
        "7.2 V, 12 mA, 21.6 mW",
        "IIC: 13 µF, 200 mH; IIB: 240 µF, 800 mH",
        mark="Ex ia [ia Ga] IIC T4 Gb Ta -40 °C to +70 °C",
        terminals_of="DS-U9",
    ),
    _Source(
        "KW-B2 terminals",
        _KESTREL,
        "output of the loop tester with battery",
        "DEMO 23.0304",
        "2 V, 32 mA, 16 mW",
        "IIC: 100 µF, 30 mH; IIB: 1 mF, 100 mH",
        "+",
        "Ex ia [ia Ga] IIC T4 Ga Ta -20 °C to +50 °C",
        terminals_of="KW-B2",
        separated="no",
    ),
)


def _columns(text: str) -> tuple[Column, ...]:
    found = []
    for one in filter(None, text.split("; ")):
        group, _, values = one.partition(": ")
        Co, _, Lo = values.partition(", ")
        found.append((group, Co, Lo, ""))
    return tuple(found)


def _source(row: _Source) -> SourceType:
    sheet = Sheet(row.certificate)
    barrier = row.name.startswith("AB-")
    output = sheet.output(
        Stage(
            values=row.values,
            columns=_columns(row.columns),
            pairs=row.pairs,
            shape="trapezoidal" if row.pairs else "linear",
            polarity=row.polarity,
            no_current=row.no_current,
        )
    )
    in_field = bool(row.terminals_of)
    ports = () if in_field else sheet.ports("safe 250 V" if barrier else "supply 253 V")
    return SourceType(
        name=row.name,
        maker=row.maker,
        model=row.what,
        certificate=row.certificate,
        mark=row.mark,
        isolation="earthed barrier" if barrier else "galvanic",
        outputs=(replace(output, peak="r.m.s.") if row.rms else output,),
        ports=ports,
        ambient=TemperatureRange() if in_field else TemperatureRange("-20 to 60 °C", sheet.at(2)),
        terminals_of=row.terminals_of,
        covers=row.covers,
        separated=row.separated,
        evidence=sheet.at(1),
    )


HARDER_SOURCES: Final = tuple(_source(row) for row in _SOURCES)


class _Item(NamedTuple):
    name: str
    maker: str
    what: str
    certificate: str
    mark: str
    values: str  # Ui, Ii, Pi, Ci, Li
    powered: Literal["yes", "no"] = "no"
    energy: Literal["passive by its document", "source", ""] = ""
    connection: str = ""
    surge: str = ""


_HEAD: Final = "30 V, 130 mA, 800 mW, 1 nF, negligible"

_ITEMS: Final = (
    _Item(
        "DS-H60",
        _DIPPER,
        "temperature head transmitter, sensor side separated",
        "DEMO 23.0301",
        "Ex ia [ia Ga] IIC T4 Gb Ta -40 °C to +70 °C",
        _HEAD,
        connection="loop",
    ),
    _Item(
        "HM-T4",
        _HERON,
        "bin temperature transmitter, sensor side separated",
        "DEMO 23.0302",
        "Ex ia [ia Da] IIIC T100 °C Db Ta -40 °C to +60 °C",
        "30 V, 130 mA, 700 mW, 1 nF, negligible",
    ),
    _Item(
        "DS-U9",
        _DIPPER,
        "universal temperature transmitter",
        "DEMO 23.0303",
        "Ex ia [ia Ga] IIC T4 Gb Ta -40 °C to +70 °C",
        _HEAD,
    ),
    _Item(
        "KW-B2",
        _KESTREL,
        "loop tester with battery, left in place",
        "DEMO 23.0304",
        "Ex ia [ia Ga] IIC T4 Ga Ta -20 °C to +50 °C",
        "30 V, 200 mA, 1.2 W, 2 nF, negligible",
        "yes",
        "source",
    ),
    _Item(
        "SV-P9",
        _SISKIN,
        "shaft proximity probe with driver, for unlike channels",
        "DEMO 23.0311",
        "Ex ia IIC T4 Ga Ta -35 °C to +85 °C",
        "32 V, 140 mA, 910 mW, 5.7 nF, 30 µH",
    ),
    _Item(
        "NJ-A2",
        _NIGHTJAR,
        "surge arrester",
        "DEMO 23.0312",
        "Ex ia IIC T6 Ga Ta -40 °C to +60 °C",
        "36 V, 500 mA, 3 W, 0.5 nF, negligible",
        surge="10 kA",
    ),
    _Item(
        "TG-20",
        _TEAL,
        "moisture analyser with mains supply, passive output",
        "DEMO 23.0313",
        "Ex db ia IIC T4 Gb Ta -20 °C to +50 °C",
        "30 V, 120 mA, 1 W, 4 nF, negligible",
        "yes",
        "passive by its document",
    ),
    _Item(
        "TG-21",
        _TEAL,
        "oxygen analyser with mains supply",
        "DEMO 23.0314",
        "Ex db ia IIC T4 Gb Ta -20 °C to +50 °C",
        "30 V, 120 mA, 1 W, 4 nF, negligible",
        "yes",
    ),
    _Item(
        "WB-E1",
        _WREN,
        "low-voltage position coder",
        "DEMO 23.0315",
        "Ex ia IIC T4 Ga Ta -40 °C to +60 °C",
        "10.5 V, 100 mA, 300 mW, 20 nF, negligible",
    ),
    _Item(
        "WB-L2",
        _WREN,
        "transformer of a stroke sensor",
        "DEMO 23.0316",
        "Ex ia IIC T4 Ga Ta -40 °C to +60 °C",
        "30 V, 100 mA, 800 mW, 2 nF, negligible",
    ),
)


def _item(row: _Item) -> ApparatusType:
    sheet = Sheet(row.certificate)
    return ApparatusType(
        name=row.name,
        maker=row.maker,
        model=row.what,
        certificate=row.certificate,
        entries=(sheet.entry(row.mark, row.values, connection=row.connection),),
        surge=bool(row.surge),
        discharge=SurgeCurrent(row.surge, sheet.at(4, "8/20 µs") if row.surge else Evidence()),
        powered=row.powered,
        energy=row.energy,
        evidence=sheet.at(1),
    )


HARDER_APPARATUS: Final = tuple(_item(row) for row in _ITEMS)


class _Simple(NamedTuple):
    name: str
    sort: Literal["passive", "generating"]
    Rth: str = ""
    surface: str = ""
    UIP: tuple[str, str, str] = ("", "", "")
    Ci: str = "0"


_SIMPLE: Final = (
    _Simple("film resistor", "passive", Rth="250 K/W", surface="60 mm2"),
    _Simple("wire-wound dropper", "passive", surface="900 mm2"),
    _Simple("flame photocell", "generating", Rth="80 K/W", UIP=("0.6 V", "30 mA", "8 mW")),
)


def _simple(number: int, row: _Simple) -> SimpleType:
    sheet = Sheet(f"Assessment of simple apparatus SB-{number:02d}")
    here = sheet.at(1)
    U, I, P = row.UIP  # noqa: E741 - the symbol of current
    return SimpleType(
        name=row.name,
        sort=row.sort,
        Ci=Capacitance(row.Ci, here),
        Li=Inductance("0", here),
        U=Voltage(U, here if U else Evidence()),
        I=Current(I, here if I else Evidence()),
        P=Power(P, here if P else Evidence()),
        Rth=ThermalResistance(row.Rth, sheet.at(2, "still gas") if row.Rth else Evidence()),
        surface=Area(row.surface, sheet.at(2) if row.surface else Evidence()),
        ambient=TemperatureRange("-40 to 120 °C", here),
        powered="no",
        assessed="yes",
        evidence=here,
    )


HARDER_SIMPLE: Final = tuple(_simple(number, row) for number, row in enumerate(_SIMPLE, 1))
