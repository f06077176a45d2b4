"""Sources that Larkfen could buy and does not: the rest of the demo catalogue.

Several makers offer nearly the same isolators and barriers, some of them no longer. No circuit
uses them; they are there so that choosing, and the fewest types for the plant, are real questions.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final, NamedTuple

from subspark.demo.sheets import Column, Sheet, Stage
from subspark.model import SourceType
from subspark.quantity import TemperatureRange

__all__ = ["WIDER_SOURCES"]

_SAFE: Final = "[Ex ia Ga] IIC; [Ex ia Da] IIIC"
_ZONE_2: Final = "Ex ec [ia Ga] IIC T4 Gc; [Ex ia Da] IIIC"
_RETURN: Final = "diode return, no output current"

_MAKERS: Final = {
    "AB": "Alderbeck Barriers",
    "BF": "Brackenfell Isolators",
    "CB": "Coldbrook Barriers",
    "LM": "Lindenmoor Supplies",
    "MP": "Marlpit Electronics",
    "RW": "Rowanfield Interfaces",
    "TW": "Thistlewick Interfaces",
}


class _Profile(NamedTuple):
    """What the certificates of nearly equal types have in common; dust has the column of IIB."""

    values: str
    IIC: str
    IIB: str
    IIA: str

    @property
    def columns(self) -> tuple[Column, ...]:
        printed = (("IIC", self.IIC), ("IIB", self.IIB), ("IIA", self.IIA), ("IIIC", self.IIB))
        return tuple(_column(group, text) for group, text in printed)


def _column(group: str, text: str) -> Column:
    Co, Lo, Lo_Ro = text.split(", ")
    return group, Co, Lo, Lo_Ro


_PROFILES: Final = {
    "25.2": _Profile(
        "25.2 V, 93 mA, 587 mW",
        "100 nF, 3.9 mH, 58 µH/ohm",
        "810 nF, 15 mH, 230 µH/ohm",
        "2.8 µF, 31 mH, 470 µH/ohm",
    ),
    "25.9": _Profile(
        "25.9 V, 92 mA, 596 mW",
        "99 nF, 4 mH, 57 µH/ohm",
        "760 nF, 16 mH, 230 µH/ohm",
        "2.6 µF, 32 mH, 460 µH/ohm",
    ),
    "26": _Profile(
        "26 V, 90 mA, 585 mW",
        "98 nF, 4.2 mH, 58 µH/ohm",
        "760 nF, 17 mH, 230 µH/ohm",
        "2.5 µF, 34 mH, 470 µH/ohm",
    ),
    "27": _Profile(
        "27 V, 87 mA, 588 mW",
        "89 nF, 4.5 mH, 58 µH/ohm",
        "690 nF, 18 mH, 230 µH/ohm",
        "2.3 µF, 36 mH, 460 µH/ohm",
    ),
    "23.1": _Profile(
        "23.1 V, 93 mA, 538 mW",
        "130 nF, 3.9 mH, 64 µH/ohm",
        "1 µF, 15 mH, 250 µH/ohm",
        "3.6 µF, 31 mH, 510 µH/ohm",
    ),
    "28": _Profile(
        "28 V, 93 mA, 651 mW",
        "82 nF, 3.9 mH, 52 µH/ohm",
        "640 nF, 15 mH, 210 µH/ohm",
        "2.1 µF, 31 mH, 420 µH/ohm",
    ),
    "28 strong": _Profile(
        "28 V, 116 mA, 812 mW",
        "82 nF, 2.5 mH, 42 µH/ohm",
        "640 nF, 10 mH, 160 µH/ohm",
        "2.1 µF, 20 mH, 330 µH/ohm",
    ),
    "22": _Profile(
        "22 V, 147 mA, 809 mW",
        "160 nF, 1.5 mH, 42 µH/ohm",
        "1.1 µF, 6.3 mH, 170 µH/ohm",
        "4.1 µF, 12 mH, 340 µH/ohm",
    ),
    "9": _Profile(
        "9 V, 90 mA, 203 mW",
        "4.8 µF, 4.2 mH, 170 µH/ohm",
        "39 µF, 17 mH, 680 µH/ohm",
        "490 µF, 34 mH, 1.3 mH/ohm",
    ),
    "switch 9.9": _Profile(
        "9.9 V, 14 mA, 35 mW",
        "3.1 µF, 170 mH, 0.99 mH/ohm",
        "21 µF, 700 mH, 3.9 mH/ohm",
        "110 µF, 1 H, 7.9 mH/ohm",
    ),
    "switch 10.5": _Profile(
        "10.5 V, 13 mA, 34.2 mW",
        "2.3 µF, 200 mH, 1 mH/ohm",
        "16 µF, 810 mH, 4 mH/ohm",
        "74 µF, 1 H, 8 mH/ohm",
    ),
    "valve 24": _Profile(
        "24 V, 105 mA, 630 mW",
        "120 nF, 3.1 mH, 54 µH/ohm",
        "920 nF, 12 mH, 210 µH/ohm",
        "3.3 µF, 25 mH, 430 µH/ohm",
    ),
    "valve 25.2": _Profile(
        "25.2 V, 110 mA, 693 mW",
        "100 nF, 2.8 mH, 49 µH/ohm",
        "810 nF, 11 mH, 190 µH/ohm",
        "2.8 µF, 22 mH, 390 µH/ohm",
    ),
    "output": _Profile(
        "25.2 V, 87 mA, 549 mW",
        "100 nF, 4.5 mH, 62 µH/ohm",
        "810 nF, 18 mH, 250 µH/ohm",
        "2.8 µF, 36 mH, 500 µH/ohm",
    ),
    "sensor": _Profile(
        "6.5 V, 20 mA, 32.5 mW",
        "24 µF, 86 mH, 1 mH/ohm",
        "560 µF, 340 mH, 4.2 mH/ohm",
        "990 µF, 680 mH, 8.4 mH/ohm",
    ),
    "probe": _Profile(
        "26.4 V, 93 mA, 614 mW",
        "95 nF, 3.9 mH, 56 µH/ohm",
        "730 nF, 15 mH, 220 µH/ohm",
        "2.4 µF, 31 mH, 440 µH/ohm",
    ),
}


class _Row(NamedTuple):
    """A type; ``make`` is two channels, zone 2, barrier, return (barrier of two) or probe."""

    name: str
    what: str
    certificate: str
    profile: str
    make: str = ""


# name | what it is | certificate | profile | make
_TABLE: Final = """
RW-1226 | two-wire transmitter supply, two channels | DEMO 24.0001 | 26 | two channels
RW-0926 | two-wire transmitter supply, first generation | DEMO 08.0002 | 26
TW-310 | two-wire transmitter supply | DEMO 24.0011 | 25.2
TW-311 | two-wire transmitter supply, SIL 3 | DEMO 24.0012 | 25.2
TW-312 | two-wire transmitter supply, two channels | DEMO 24.0013 | 25.2 | two channels
BF-5041 | two-wire transmitter supply | DEMO 24.0021 | 25.9
BF-5042 | two-wire transmitter supply, two channels | DEMO 24.0022 | 25.9 | two channels
BF-5049 | two-wire transmitter supply for zone 2 | DEMO 24.0023 | 25.9 | zone 2
MP-21 | two-wire transmitter supply | DEMO 24.0031 | 27
MP-22 | two-wire transmitter supply, two channels | DEMO 24.0032 | 27 | two channels
LM-23E | two-wire transmitter supply without HART | DEMO 22.0041 | 23.1
LM-26Z | two-wire transmitter supply for zone 2 | DEMO 24.0042 | 26 | zone 2
CB-728 | shunt-diode barrier, supply | DEMO 24.0051 | 28 | barrier
CB-728H | shunt-diode barrier, supply, few ohms | DEMO 24.0052 | 28 strong | barrier
CB-788 | shunt-diode barrier, supply and diode return | DEMO 24.0053 | 28 | return
CB-722 | shunt-diode barrier for valves | DEMO 24.0054 | 22 | barrier
CB-709 | shunt-diode barrier for sensors | DEMO 24.0055 | 9 | barrier
AB-28H | shunt-diode barrier, supply, few ohms | DEMO 24.0061 | 28 strong | barrier
AB-22 | shunt-diode barrier for valves | DEMO 24.0062 | 22 | barrier
TW-B28 | shunt-diode barrier, supply | DEMO 24.0071 | 28 | barrier
TW-B28R | shunt-diode barrier, supply and diode return | DEMO 24.0072 | 28 | return
MP-Z28 | shunt-diode barrier, supply | DEMO 15.0081 | 28 | barrier
RW-1207 | switch amplifier, two isolated channels | DEMO 24.0101 | switch 9.9 | two channels
RW-0907 | switch amplifier, first generation | DEMO 08.0102 | switch 9.9
TW-401 | switch amplifier | DEMO 24.0111 | switch 10.5
TW-402 | switch amplifier, two isolated channels | DEMO 24.0112 | switch 10.5 | two channels
BF-5011 | switch amplifier | DEMO 24.0121 | switch 10.5
BF-5012 | switch amplifier, two isolated channels | DEMO 24.0122 | switch 10.5 | two channels
MP-31 | switch amplifier | DEMO 24.0131 | switch 9.9
RW-1228 | solenoid driver with line monitoring | DEMO 24.0201 | valve 25.2
TW-501 | solenoid driver | DEMO 24.0211 | valve 24
BF-5025 | solenoid driver, SIL 3 | DEMO 24.0221 | valve 24
MP-41 | solenoid driver | DEMO 24.0231 | valve 25.2
TW-321 | analogue output isolator | DEMO 24.0301 | output
BF-5045 | analogue output isolator | DEMO 24.0311 | output
MP-25 | analogue output isolator | DEMO 24.0321 | 25.2
TW-610 | temperature input isolator | DEMO 24.0401 | sensor
BF-5074 | temperature input isolator | DEMO 24.0411 | sensor
MP-51 | temperature input isolator | DEMO 24.0421 | sensor
TW-511 | alarm driver | DEMO 24.0501 | 28
MP-45 | alarm driver | DEMO 24.0511 | 28
BF-5031 | vibration probe isolator | DEMO 24.0601 | probe | probe
TW-331 | vibration probe isolator | DEMO 24.0611 | probe | probe
"""


def _stages(row: _Row) -> tuple[Stage, ...]:
    profile = _PROFILES[row.profile]
    columns = profile.columns
    if row.make == "two channels":
        return tuple(Stage(values=profile.values, columns=columns, name=name) for name in "12")
    if row.make == "return":
        volts = profile.values.partition(",")[0]
        back = f"{volts}, 0 mA, 0 mW"
        supply = Stage(values=profile.values, columns=columns, polarity="+")
        return (
            supply,
            replace(supply, name="2", values=back, no_current=_RETURN),
            replace(supply, name="1+2"),
        )
    if row.make == "barrier":
        return (Stage(values=profile.values, columns=columns, polarity="+"),)
    if row.make == "probe":
        return (Stage(values=profile.values, columns=columns, polarity="-"),)
    return (Stage(values=profile.values, columns=columns),)


def _source(row: _Row) -> SourceType:
    sheet = Sheet(row.certificate)
    barrier = row.make in ("barrier", "return")
    return SourceType(
        name=row.name,
        maker=_MAKERS[row.name.partition("-")[0]],
        model=row.what,
        certificate=row.certificate,
        mark=_ZONE_2 if row.make == "zone 2" else _SAFE,
        isolation="earthed barrier" if barrier else "galvanic",
        outputs=tuple(sheet.output(stage) for stage in _stages(row)),
        ports=sheet.ports("safe 250 V" if barrier else "supply 253 V, signal 253 V"),
        ambient=TemperatureRange("-20 to 60 °C", sheet.at(2)),
        evidence=sheet.at(1),
    )


def _fieldbus(name: str, what: str, certificate: str, mark: str, values: str) -> SourceType:
    sheet = Sheet(certificate)
    output = sheet.output(Stage(values=values, shape="rectangular"))
    return SourceType(
        name=name,
        maker=_MAKERS[name.partition("-")[0]],
        model=what,
        certificate=certificate,
        mark=mark,
        isolation="galvanic",
        outputs=(replace(output, method="FISCO", terminator="yes"),),
        ports=sheet.ports("supply 253 V, bus 253 V"),
        ambient=TemperatureRange("-20 to 60 °C", sheet.at(2)),
        evidence=sheet.at(1),
    )


WIDER_SOURCES: Final = (
    *(
        _source(_Row(*(cell.strip() for cell in line.split("|"))))
        for line in _TABLE.strip().splitlines()
    ),
    _fieldbus(
        "TW-90F",
        "fieldbus supply with terminator, for IIC",
        "DEMO 24.0701",
        "[Ex ia Ga] IIC",
        "14 V, 183 mA, 2.56 W",
    ),
    _fieldbus(
        "BF-93F",
        "fieldbus supply with terminator, for IIB",
        "DEMO 24.0711",
        "[Ex ia Ga] IIB; [Ex ia Da] IIIC",
        "14.8 V, 355 mA, 5.25 W",
    ),
)
