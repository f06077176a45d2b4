"""Field apparatus of the demo plant: certified types of invented makers, and simple ones."""

from __future__ import annotations

from dataclasses import replace
from typing import Final, Literal, NamedTuple

from subspark.demo.sheets import Sheet
from subspark.model import ApparatusType, Mark, SimpleType
from subspark.quantity import (
    Area,
    Capacitance,
    Current,
    Evidence,
    Inductance,
    Power,
    Temperature,
    TemperatureRange,
    ThermalResistance,
    Voltage,
)

__all__ = ["APPARATUS", "SIMPLE"]

_KESTREL: Final = "Kestrelwood Instruments"
_DIPPER: Final = "Dipperstone Thermal"
_HERON: Final = "Heronsmere Level"
_WREN: Final = "Wrenbrook Switchgear"
_MERLE: Final = "Merlethorpe Valves"
_TEAL: Final = "Tealwater Gas Detection"
_NIGHTJAR: Final = "Nightjar Signals"
_SISKIN: Final = "Siskin Vale Machinery"


class _Entry(NamedTuple):
    mark: str
    values: str  # Ui, Ii, Pi, Ci, Li
    rows: str = ""
    connection: str = ""


class _Row(NamedTuple):
    name: str
    maker: str
    what: str
    certificate: str
    entries: tuple[_Entry, ...]
    powered: Literal["yes", "no"] = "no"
    energy: Literal["within 1.5 V, 100 mA, 25 mW", ""] = ""


def _gas(temperature: str = "T4", ambient: str = "-40 °C to +60 °C") -> str:
    return f"Ex ia IIC {temperature} Ga Ta {ambient}"


def _dust(degrees: int, ambient: str = "-40 °C to +60 °C") -> str:
    return f"Ex ia IIIC T{degrees} °C Da Ta {ambient}"


_LOOP: Final = "30 V, 120 mA, 900 mW, 5 nF, 10 µH"
_LOOP_DUST: Final = "30 V, 120 mA, 750 mW, 5 nF, 10 µH"
_SWITCH: Final = "16 V, 25 mA, 64 mW, 90 nF, 100 µH"
_VALVE: Final = "28 V, 115 mA, 1.6 W, negligible, negligible"

_TRANSMITTERS: Final = (
    _Row("KW-P30", _KESTREL, "pressure transmitter", "DEMO 22.0101X", (_Entry(_gas(), _LOOP),)),
    _Row(
        "KW-P31",
        _KESTREL,
        "pressure transmitter for gas and dust",
        "DEMO 22.0102X",
        (_Entry(_gas(), _LOOP), _Entry(_dust(135), _LOOP_DUST)),
    ),
    _Row(
        "KW-P30B",
        _KESTREL,
        "pressure transmitter with ceramic cell",
        "DEMO 22.0103",
        (_Entry("Ex ia IIB T4 Ga Ta -40 °C to +60 °C", _LOOP),),
    ),
    _Row(
        "KW-P24",
        _KESTREL,
        "pressure transmitter, low-voltage variant",
        "DEMO 22.0104",
        (_Entry(_gas(), "24 V, 120 mA, 900 mW, 5 nF, 10 µH"),),
    ),
    _Row(
        "KW-D40",
        _KESTREL,
        "differential pressure transmitter",
        "DEMO 22.0105X",
        (
            _Entry(
                "Ex ia IIC T6...T3 Ga Ta -40 °C to +70 °C",
                "30 V, 150 mA, 800 mW, 7 nF, 12 µH",
                "T6 -40 to 40 °C 300 mW; T4 -40 to 40 °C 800 mW; T3 -40 to 70 °C 800 mW",
            ),
        ),
    ),
    _Row(
        "KW-D42",
        _KESTREL,
        "differential pressure transmitter, second generation",
        "DEMO 22.0106",
        (
            _Entry(
                "Ex ia IIC T6...T4 Ga Ta -40 °C to +80 °C",
                "30 V, 150 mA, 1 W, 3 nF, negligible",
                "T6 -40 to 40 °C 450 mW; T5 -40 to 55 °C 700 mW; T4 -40 to 80 °C 1 W",
            ),
        ),
    ),
    _Row(
        "KW-P12",
        _KESTREL,
        "pressure transmitter of the first plant section",
        "DEMO 09.0107",
        (_Entry("EEx ia IIC T4", "28 V, 93 mA, 660 mW, 8 nF, 15 µH"),),
    ),
    _Row(
        "KW-Q15",
        _KESTREL,
        "draught transmitter",
        "DEMO 19.0108",
        (_Entry("II 1 G Ex ia IIC T4 Ga", "30 V, 120 mA, , 5 nF, negligible"),),
    ),
    _Row(
        "KW-F70",
        _KESTREL,
        "vortex flow transmitter",
        "DEMO 22.0109X",
        (_Entry(_gas("T4", "-40 °C to +70 °C"), "30 V, 130 mA, 1 W, 11 nF, 8 µH"),),
    ),
    _Row(
        "KW-I5",
        _KESTREL,
        "loop indicator",
        "DEMO 22.0110",
        (_Entry(_gas("T5"), "30 V, 200 mA, 1.3 W, 2 nF, 4 µH"),),
    ),
    _Row(
        "KW-I4",
        _KESTREL,
        "loop indicator of level ib",
        "DEMO 22.0111",
        (_Entry("Ex ib IIC T4 Gb Ta -40 °C to +60 °C", "30 V, 150 mA, 1 W, 2 nF, 4 µH"),),
    ),
    _Row(
        "KW-N1",
        _KESTREL,
        "room pressure transmitter",
        "DEMO 22.0112",
        (_Entry("Ex ia IIC T4 Ga", _LOOP),),
    ),
    _Row(
        "DS-H55",
        _DIPPER,
        "temperature head transmitter",
        "DEMO 22.0121X",
        (
            _Entry(
                "Ex ia IIC T6...T4 Ga Ta -40 °C to +85 °C",
                "30 V, 130 mA, 800 mW, negligible, negligible",
                "T6 -40 to 40 °C 660 mW; T5 -40 to 55 °C 700 mW; T4 -40 to 85 °C 800 mW",
                "loop",
            ),
            _Entry(
                "Ex ia IIIC T135 °C Da Ta -40 °C to +70 °C",
                "30 V, 130 mA, 650 mW, negligible, negligible",
                connection="loop",
            ),
        ),
    ),
    _Row(
        "DS-R20",
        _DIPPER,
        "rail temperature transmitter",
        "DEMO 22.0122",
        (_Entry(_gas(), "30 V, 100 mA, 700 mW, 1 nF, negligible"),),
    ),
    _Row(
        "HM-L12",
        _HERON,
        "guided radar level transmitter",
        "DEMO 22.0131X",
        (
            _Entry(_gas(), "30 V, 131 mA, 967 mW, 5.7 nF, negligible"),
            _Entry(_dust(120), "30 V, 131 mA, 750 mW, 5.7 nF, negligible"),
        ),
    ),
    _Row(
        "HM-M6",
        _HERON,
        "magnetostrictive level transmitter",
        "DEMO 22.0132",
        (_Entry(_gas("T5", "-40 °C to +55 °C"), "28 V, 100 mA, 700 mW, 12 nF, 25 µH"),),
    ),
)

_SWITCHES: Final = (
    _Row(
        "HM-C7",
        _HERON,
        "capacitive level switch",
        "DEMO 22.0133",
        (
            _Entry(_gas(), "16 V, 52 mA, 169 mW, 30 nF, 50 µH"),
            _Entry(_dust(100), "16 V, 52 mA, 169 mW, 30 nF, 50 µH"),
        ),
    ),
    _Row(
        "WB-N4",
        _WREN,
        "proximity switch",
        "DEMO 22.0141X",
        (
            _Entry(
                "Ex ia IIC T6...T4 Ga Ta -40 °C to +85 °C",
                _SWITCH,
                "T6 -40 to 55 °C 34 mW; T6 -40 to 45 °C 64 mW; T4 -40 to 85 °C 64 mW",
            ),
            _Entry("Ex ia IIIC T135 °C Da Ta -25 °C to +70 °C", _SWITCH),
        ),
    ),
    _Row(
        "WB-S8",
        _WREN,
        "slot sensor of a valve head",
        "DEMO 22.0142",
        (_Entry(_gas("T5", "-25 °C to +70 °C"), "16 V, 52 mA, 169 mW, 150 nF, 150 µH"),),
    ),
    _Row(
        "WB-R2",
        _WREN,
        "rotation monitor",
        "DEMO 22.0143",
        (_Entry(_dust(100), "15 V, 30 mA, 80 mW, 60 nF, 80 µH"),),
    ),
    _Row(
        "WB-Y3",
        _WREN,
        "belt alignment switch",
        "DEMO 22.0144",
        (_Entry(_dust(85), "30 V, 250 mA, not limiting, negligible, negligible"),),
    ),
    _Row(
        "WB-M3",
        _WREN,
        "heated moisture probe",
        "DEMO 22.0145",
        (_Entry(_dust(230), _LOOP_DUST),),
    ),
)

_OUTPUTS: Final = (
    _Row(
        "MT-V10",
        _MERLE,
        "solenoid pilot",
        "DEMO 22.0151X",
        (_Entry(_gas("T6", "-40 °C to +50 °C"), _VALVE),),
    ),
    _Row(
        "MT-V06",
        _MERLE,
        "low-power solenoid pilot",
        "DEMO 22.0152",
        (_Entry(_gas(), "28 V, 110 mA, 650 mW, negligible, negligible"),),
    ),
    _Row(
        "MT-V11",
        _MERLE,
        "solenoid pilot of the first plant section",
        "DEMO 12.0153",
        (_Entry(_gas(), "30 V, 150 mA, not limiting, negligible, negligible"),),
    ),
    _Row(
        "MT-P60",
        _MERLE,
        "valve positioner",
        "DEMO 22.0154X",
        (
            _Entry(_gas(), "29 V, 120 mA, 1 W, 22 nF, 20 µH", connection="setpoint"),
            _Entry(_gas(), "30 V, 120 mA, 1 W, 7 nF, negligible", connection="position"),
        ),
    ),
    _Row(
        "NJ-S3",
        _NIGHTJAR,
        "sounder",
        "DEMO 22.0161",
        (_Entry(_gas(), "28 V, 93 mA, 660 mW, 2 nF, negligible"),),
    ),
    _Row(
        "NJ-B4",
        _NIGHTJAR,
        "beacon",
        "DEMO 22.0162",
        (
            _Entry(_gas(), "28 V, 150 mA, 1 W, negligible, negligible"),
            _Entry(_dust(135), "28 V, 150 mA, 700 mW, negligible, negligible"),
        ),
    ),
    _Row(
        "NJ-L2",
        _NIGHTJAR,
        "signal lamp",
        "DEMO 22.0163",
        (_Entry(_gas(), "28 V, 110 mA, 700 mW, negligible, negligible"),),
    ),
)

_ANALYSIS: Final = (
    _Row(
        "TG-5",
        _TEAL,
        "hydrogen sulphide analyser head",
        "DEMO 22.0171X",
        (_Entry("Ex ib IIB T4 Gb Ta -20 °C to +50 °C", "16 V, 200 mA, 2.5 W, 60 nF, 20 µH"),),
    ),
    _Row(
        "TG-7",
        _TEAL,
        "gas detector, two-wire",
        "DEMO 22.0172X",
        (_Entry(_gas("T4", "-40 °C to +55 °C"), "30 V, 100 mA, 700 mW, 9 nF, negligible"),),
    ),
    _Row(
        "TG-8",
        _TEAL,
        "hydrogen sensing head",
        "DEMO 22.0173",
        (_Entry(_gas(), "11 V, 220 mA, 600 mW, negligible, 60 µH"),),
    ),
    _Row(
        "TG-9",
        _TEAL,
        "gas composition transmitter with filter choke",
        "DEMO 22.0174",
        (_Entry(_gas(), "30 V, 120 mA, 900 mW, 40 nF, 120 µH"),),
    ),
    _Row(
        "TG-2C",
        _TEAL,
        "area gas detector of level ic",
        "DEMO 22.0175",
        (_Entry("Ex ic IIC T4 Gc Ta -20 °C to +55 °C", "30 V, 100 mA, 700 mW, 176 nF, 4 µH"),),
    ),
    _Row(
        "SV-A1",
        _SISKIN,
        "vibration sensor",
        "DEMO 22.0181",
        (_Entry(_gas("T4", "-40 °C to +85 °C"), "30 V, 100 mA, 700 mW, 8 nF, negligible"),),
    ),
    _Row(
        "SV-P8",
        _SISKIN,
        "shaft proximity probe with driver",
        "DEMO 22.0182X",
        (_Entry(_gas("T4", "-35 °C to +85 °C"), "28 V, 140 mA, 910 mW, 5.7 nF, 30 µH"),),
    ),
    _Row(
        "KW-C1",
        _KESTREL,
        "hand-held communicator",
        "DEMO 22.0191",
        (_Entry(_gas("T4", "-20 °C to +50 °C"), "30 V, 120 mA, 1 W, 3 nF, negligible"),),
        "yes",
        "within 1.5 V, 100 mA, 25 mW",
    ),
)

# A mark typed in by its parts, as a certificate prints it in a table instead of one line.
_HYDROGEN_BLEND: Final = Mark(
    level="ia",
    group="IIB+H2",
    epl="Ga",
    temperature="T4",
    ambient=TemperatureRange("-20 to 60 °C"),
)


def _apparatus(row: _Row) -> ApparatusType:
    sheet = Sheet(row.certificate)
    return ApparatusType(
        name=row.name,
        maker=row.maker,
        model=row.what,
        certificate=row.certificate,
        entries=tuple(sheet.entry(*one) for one in row.entries),
        powered=row.powered,
        energy=row.energy,
        evidence=sheet.at(1),
    )


def _blend_meter() -> ApparatusType:
    sheet = Sheet("DEMO 22.0176")
    entry = sheet.entry("", "28 V, 100 mA, 800 mW, 6 nF, 10 µH")
    return ApparatusType(
        name="TG-4",
        maker=_TEAL,
        model="blend density meter",
        certificate=sheet.document,
        entries=(replace(entry, marks=(_HYDROGEN_BLEND,)),),
        powered="no",
        evidence=sheet.at(1),
    )


APPARATUS: Final = (
    *(_apparatus(row) for row in (*_TRANSMITTERS, *_SWITCHES, *_OUTPUTS, *_ANALYSIS)),
    _blend_meter(),
)


class _Simple(NamedTuple):
    name: str
    sort: Literal["passive", "storing", "generating"]
    item: Literal["switch or terminal", "other"] = "other"
    Rth: str = ""
    surface: str = ""
    hottest: str = ""
    Ci: str = "0"
    Li: str = "0"
    UIP: tuple[str, str, str] = ("", "", "")
    ambient: str = "-40 to 80 °C"
    isolation: Literal["yes", "no", ""] = ""


_THERMOCOUPLE: Final = ("50 mV", "10 mA", "0.5 mW")

_SIMPLE_ROWS: Final = (
    _Simple("mechanical limit switch", "passive", "switch or terminal"),
    _Simple("push button", "passive", "switch or terminal"),
    _Simple("reed float switch", "passive", "switch or terminal", ambient="-20 to 120 °C"),
    _Simple("Pt100", "passive", Rth="110 K/W", hottest="150 °C", ambient="-60 to 250 °C"),
    _Simple("Pt100 surface sensor", "passive", Rth="60 K/W", surface="300 mm2"),
    _Simple(
        "thermocouple, insulated tip",
        "generating",
        Rth="90 K/W",
        UIP=_THERMOCOUPLE,
        ambient="-60 to 600 °C",
    ),
    _Simple(
        "thermocouple, earthed tip",
        "generating",
        Rth="40 K/W",
        UIP=_THERMOCOUPLE,
        ambient="-60 to 600 °C",
        isolation="no",
    ),
    _Simple("position potentiometer", "passive", surface="1500 mm2", Li="1 µH"),
    _Simple("end-of-line network", "storing", surface="400 mm2", Ci="2.2 nF"),
)


def _simple(number: int, row: _Simple) -> SimpleType:
    sheet = Sheet(f"Assessment of simple apparatus SA-{number:02d}")
    here = sheet.at(1)
    U, I, P = row.UIP  # noqa: E741 - the symbol of current
    return SimpleType(
        name=row.name,
        sort=row.sort,
        item=row.item,
        Ci=Capacitance(row.Ci, here),
        Li=Inductance(row.Li, here),
        U=Voltage(U, here if U else Evidence()),
        I=Current(I, here if I else Evidence()),
        P=Power(P, here if P else Evidence()),
        Rth=ThermalResistance(row.Rth, sheet.at(2, "still gas") if row.Rth else Evidence()),
        surface=Area(row.surface, sheet.at(2) if row.surface else Evidence()),
        hottest_surface=Temperature(
            row.hottest,
            sheet.at(3, "under 5 mm of dust, at the highest Po") if row.hottest else Evidence(),
        ),
        ambient=TemperatureRange(row.ambient, here),
        isolation=row.isolation,
        powered="no",
        assessed="yes",
        evidence=here,
    )


SIMPLE: Final = tuple(_simple(number, row) for number, row in enumerate(_SIMPLE_ROWS, 1))
