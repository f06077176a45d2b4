"""Sources of the demo plant: isolators, supplies and shunt-diode barriers of invented makers."""

from __future__ import annotations

from typing import Final, Literal, NamedTuple

from subspark.demo.sheets import Column, Sheet, Stage
from subspark.model import SourceType
from subspark.quantity import TemperatureRange

__all__ = ["SOURCES"]

Isolation = Literal["galvanic", "earthed barrier"]

SAFE_GAS: Final = "[Ex ia Ga] IIC"
SAFE_BOTH: Final = "[Ex ia Ga] IIC; [Ex ia Da] IIIC"
ZONE_2: Final = "Ex ec [ia Ga] IIC T4 Gc; [Ex ia Da] IIIC"
ZONE_1: Final = "Ex db [ia Ga] IIC T6 Gb"
BOTH_PORTS: Final = "supply 253 V, signal 253 V"


class _Row(NamedTuple):
    name: str
    maker: str
    what: str
    certificate: str
    mark: str
    stages: tuple[Stage, ...]
    ports: str = BOTH_PORTS
    isolation: Isolation = "galvanic"
    ambient: str = "-20 to 60 °C"


def _four(
    IIC: tuple[str, str, str], IIB: tuple[str, str, str], IIA: tuple[str, str, str]
) -> tuple[Column, ...]:
    """Columns for gas, and that of dust, which uses the figures of IIB."""
    return (("IIC", *IIC), ("IIB", *IIB), ("IIA", *IIA), ("IIIC", *IIB))


_U26: Final = _four(
    ("99 nF", "4.3 mH", "60 µH/ohm"),
    ("770 nF", "17 mH", "240 µH/ohm"),
    ("2.6 µF", "34 mH", "480 µH/ohm"),
)
_U25: Final = _four(
    ("107 nF", "4.5 mH", "64 µH/ohm"),
    ("820 nF", "18 mH", "256 µH/ohm"),
    ("2.9 µF", "36 mH", "512 µH/ohm"),
)
_U25_VALVE: Final = _four(
    ("107 nF", "2.9 mH", "51 µH/ohm"),
    ("820 nF", "11.7 mH", "205 µH/ohm"),
    ("2.9 µF", "23 mH", "410 µH/ohm"),
)
_U28: Final = _four(
    ("83 nF", "4.1 mH", "54 µH/ohm"),
    ("650 nF", "16 mH", "218 µH/ohm"),
    ("2.15 µF", "32 mH", "436 µH/ohm"),
)
_U10_SWITCH: Final = _four(
    ("3.2 µF", "180 mH", "1.02 mH/ohm"),
    ("22 µF", "720 mH", "4.1 mH/ohm"),
    ("115 µF", "1.4 H", "8.2 mH/ohm"),
)
_U7_SENSOR: Final = _four(
    ("22 µF", "60 mH", "890 µH/ohm"),
    ("500 µF", "240 mH", "3.5 mH/ohm"),
    ("1 mF", "490 mH", "7.1 mH/ohm"),
)
_U9_BARRIER: Final = _four(
    ("4.9 µF", "4.3 mH", "175 µH/ohm"),
    ("40 µF", "17 mH", "700 µH/ohm"),
    ("500 µF", "35 mH", "1.4 mH/ohm"),
)
_U23: Final = _four(
    ("143 nF", "4.5 mH", "70 µH/ohm"),
    ("1.03 µF", "18 mH", "281 µH/ohm"),
    ("3.7 µF", "36 mH", "562 µH/ohm"),
)
_U27_VIBRATION: Final = _four(
    ("94 nF", "4.0 mH", "56 µH/ohm"),
    ("730 nF", "16 mH", "227 µH/ohm"),
    ("2.4 µF", "32 mH", "455 µH/ohm"),
)
_U24_LEVELS: Final = (
    ("ia, ib: IIC", "125 nF", "5.5 mH", "74 µH/ohm"),
    ("ia, ib: IIB", "930 nF", "22 mH", "296 µH/ohm"),
    ("ia, ib: IIA", "3.35 µF", "44 mH", "592 µH/ohm"),
    ("ia, ib: IIIC", "930 nF", "22 mH", "296 µH/ohm"),
    ("ic: IIC", "460 nF", "12.4 mH", "166 µH/ohm"),
    ("ic: IIB", "2.75 µF", "50 mH", "666 µH/ohm"),
)
_U24_IC: Final = (
    ("IIC", "460 nF", "12.4 mH", "166 µH/ohm"),
    ("IIB", "2.75 µF", "50 mH", "666 µH/ohm"),
    ("IIA", "11 µF", "100 mH", "1.33 mH/ohm"),
)
_U10_HEAD: Final = _four(
    ("3.6 µF", "0.88 mH", "74 µH/ohm"),
    ("26 µF", "3.5 mH", "296 µH/ohm"),
    ("210 µF", "7.1 mH", "592 µH/ohm"),
)
_PAIRS: Final = (
    ("IIC", (("165 nF", "0.5 mH"), ("120 nF", "2 mH"), ("90 nF", "5 mH"))),
    ("IIB", (("1.14 µF", "2 mH"), ("1.0 µF", "10 mH"), ("0.8 µF", "22 mH"))),
)
_TRAPEZOID: Final = (("IIC", "240 nF", "2 mH", ""), ("IIB", "1.6 µF", "8 mH", ""))
_RECTANGLE: Final = (("IIB", "2 µF", "0.6 mH", ""), ("IIA", "5 µF", "1.2 mH", ""))
_SLIPPED: Final = (("IIC", "99 nF", "4.3 H", ""),)

_SUPPLY: Final = "26 V, 90 mA, 585 mW"
_BARRIER: Final = "28 V, 93 mA, 651 mW"
_SWITCH: Final = "9.9 V, 14 mA, 35 mW"

_ROWAN: Final = "Rowanfield Interfaces"
_ALDER: Final = "Alderbeck Barriers"
_LINDEN: Final = "Lindenmoor Supplies"

_ROWS: Final = (
    _Row(
        "RW-1126",
        _ROWAN,
        "two-wire transmitter supply",
        "DEMO 21.0001",
        SAFE_BOTH,
        (Stage(values=_SUPPLY, columns=_U26),),
    ),
    _Row(
        "RW-1126 issue A",
        _ROWAN,
        "two-wire transmitter supply, first issue",
        "DEMO 21.0002",
        SAFE_GAS,
        (Stage(values=_SUPPLY, columns=_SLIPPED),),
    ),
    _Row(
        "RW-1125",
        _ROWAN,
        "two-wire transmitter supply for zone 2",
        "DEMO 21.0003X",
        ZONE_2,
        (Stage(values="25.2 V, 88 mA, 554 mW", columns=_U25),),
        ambient="-40 to 60 °C",
    ),
    _Row(
        "RW-1170",
        _ROWAN,
        "two-wire transmitter supply in a flameproof housing",
        "DEMO 21.0004X",
        ZONE_1,
        (Stage(values="25.2 V, 88 mA, 554 mW", columns=_U25),),
        ambient="-40 to 60 °C",
    ),
    _Row(
        "RW-1128",
        _ROWAN,
        "solenoid driver",
        "DEMO 21.0005",
        SAFE_BOTH,
        (Stage(values="25.2 V, 110 mA, 693 mW", columns=_U25_VALVE),),
    ),
    _Row(
        "RW-1136",
        _ROWAN,
        "analogue output isolator",
        "DEMO 21.0006",
        SAFE_BOTH,
        (Stage(values="23 V, 88 mA, 506 mW", columns=_U23),),
    ),
    _Row(
        "RW-1107",
        _ROWAN,
        "switch amplifier, two isolated channels",
        "DEMO 21.0007X",
        SAFE_BOTH,
        (
            Stage(values=_SWITCH, columns=_U10_SWITCH, name="1"),
            Stage(values=_SWITCH, columns=_U10_SWITCH, name="2"),
        ),
    ),
    _Row(
        "RW-1110",
        _ROWAN,
        "temperature input isolator",
        "DEMO 21.0008",
        SAFE_BOTH,
        (Stage(values="6.6 V, 24 mA, 39.6 mW", columns=_U7_SENSOR),),
    ),
    _Row(
        "RW-1150",
        _ROWAN,
        "alarm driver",
        "DEMO 21.0009",
        SAFE_BOTH,
        (Stage(values=_BARRIER, columns=_U28),),
    ),
    _Row(
        "RW-1160",
        _ROWAN,
        "vibration probe isolator",
        "DEMO 21.0010",
        SAFE_GAS,
        (Stage(values="26.6 V, 94 mA, 625 mW", columns=_U27_VIBRATION, polarity="-"),),
    ),
    _Row(
        "AB-28",
        _ALDER,
        "shunt-diode barrier, supply",
        "DEMO 20.0031",
        SAFE_BOTH,
        (Stage(values=_BARRIER, columns=_U28, polarity="+"),),
        "safe 250 V",
        "earthed barrier",
    ),
    _Row(
        "AB-28R",
        _ALDER,
        "shunt-diode barrier, supply and diode return",
        "DEMO 20.0032X",
        SAFE_BOTH,
        (
            Stage(values=_BARRIER, columns=_U28, name="1", polarity="+"),
            Stage(
                values="28 V, 0 mA, 0 mW",
                columns=_U28,
                name="2",
                polarity="+",
                no_current="diode return, no output current",
            ),
            Stage(values=_BARRIER, columns=_U28, name="1+2", polarity="+"),
        ),
        "safe 250 V",
        "earthed barrier",
    ),
    _Row(
        "AB-09",
        _ALDER,
        "shunt-diode barrier for thermocouples",
        "DEMO 20.0033",
        SAFE_GAS,
        (Stage(values="9 V, 90 mA, 203 mW", columns=_U9_BARRIER, polarity="+"),),
        "safe 250 V",
        "earthed barrier",
    ),
    _Row(
        "AB-24C",
        _ALDER,
        "shunt-diode barrier of level ic, for SELV systems",
        "DEMO 20.0034",
        "[Ex ic Gc] IIC",
        (Stage(values="24 V, 80 mA, 480 mW", columns=_U24_IC, polarity="+"),),
        "safe 60 V",
        "earthed barrier",
    ),
    _Row(
        "LM-24C",
        _LINDEN,
        "two-wire supply with columns for ia, ib and for ic",
        "DEMO 21.0041",
        SAFE_BOTH,
        (Stage(values="24 V, 80 mA, 480 mW", columns=_U24_LEVELS),),
    ),
    _Row(
        "LM-22P",
        _LINDEN,
        "two-wire supply, Co and Lo printed as pairs",
        "DEMO 21.0042",
        SAFE_GAS,
        (Stage(values="22 V, 80 mA, 440 mW", pairs=_PAIRS),),
    ),
    _Row(
        "LM-17T",
        _LINDEN,
        "valve supply, trapezoidal",
        "DEMO 21.0043X",
        SAFE_GAS,
        (Stage(values="17.4 V, 100 mA, 700 mW", columns=_TRAPEZOID, shape="trapezoidal"),),
    ),
    _Row(
        "LM-15R",
        _LINDEN,
        "analyser supply, rectangular",
        "DEMO 21.0044",
        "[Ex ib Gb] IIB",
        (
            Stage(
                values="15 V, 150 mA, 2.25 W",
                columns=_RECTANGLE,
                shape="rectangular",
                together="yes",
            ),
        ),
    ),
    _Row(
        "LM-10H",
        _LINDEN,
        "supply for hydrogen sensing heads",
        "DEMO 21.0045",
        SAFE_GAS,
        (Stage(values="9.6 V, 200 mA, 480 mW", columns=_U10_HEAD),),
    ),
)


def _source(row: _Row) -> SourceType:
    sheet = Sheet(row.certificate)
    return SourceType(
        name=row.name,
        maker=row.maker,
        model=row.what,
        certificate=row.certificate,
        mark=row.mark,
        isolation=row.isolation,
        outputs=tuple(sheet.output(stage) for stage in row.stages),
        ports=sheet.ports(row.ports),
        ambient=TemperatureRange(row.ambient, sheet.at(2)),
        evidence=sheet.at(1),
    )


SOURCES: Final = tuple(_source(row) for row in _ROWS)
