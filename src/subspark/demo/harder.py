"""Harder circuits of the demo plant: several sources, shared multicores, terminals in the field.

They belong to the second building stage at Larkfen, on cabinets of its own. Every row but the last
ones is well kept; those behind ``_FAULTY`` are the deliberate faults of
:mod:`subspark.demo.harder_faults`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Final, Literal, NamedTuple

from subspark.demo.cables import OLD_FOUR, OLD_SIX
from subspark.demo.harder_catalogue import HARDER_SOURCES
from subspark.demo.places import CABINETS
from subspark.model import Circuit, Junction, Member, Run, SourceUse
from subspark.quantity import Area, Evidence, Length, Temperature, ThermalResistance

__all__ = ["HARDER_BOXES", "harder_circuits"]

_ISOLATORS: Final = "MC-4"
_BARRIERS: Final = "MC-5"
_IN_FIELD: Final = frozenset(one.name for one in HARDER_SOURCES if one.terminals_of)
_PLAIN: Final = "FC 2x1.5"
_SCREENED: Final = "FC 2x0.75 screened"
_BOXES: Final = Evidence(document="Box schedule BX-2")
_ARRESTERS: Final = Evidence(document="Lightning protection LP-1", page="6")

Screen = Literal["floating", "earthed", "tied to one core", ""]
Polarity = Literal["+", "-", "a.c.", ""]


class _Way(NamedTuple):
    """How a circuit gets into the field: straight, by a shared multicore, or by a box."""

    cable: str
    metres: int
    screen: Screen = ""
    shared: str = ""
    box: str = ""


_WAYS: Final = {
    "straight": _Way(_PLAIN, 160),
    "far": _Way(_PLAIN, 420),
    "four cores": _Way("FC 4x0.75 screened", 20, "earthed"),
    "earthed": _Way(_SCREENED, 150, "earthed"),
    "three cores": _Way("FC 3x1.0 screened", 150, "earthed"),
    "floating": _Way(_SCREENED, 480, "floating"),
    "tied": _Way(_SCREENED, 330, "tied to one core"),
    "thermo": _Way("KX 2x0.5 compensating", 150),
    "by box 61": _Way(_PLAIN, 130, box="JB-61"),
    "by box 62": _Way(_PLAIN, 300, box="JB-62"),
    "in W-61": _Way(OLD_SIX, 190, "earthed", "W-61"),
    "in W-62": _Way(OLD_FOUR, 140, "earthed", "W-62"),
    "in W-63": _Way(OLD_SIX, 260, "earthed", "W-63"),
    "in W-64": _Way(OLD_FOUR, 110, "earthed", "W-64"),
}

HARDER_BOXES: Final = (
    Junction(
        tag="JB-61",
        area="COMP-1",
        Rth=ThermalResistance("15 K/W", _BOXES),
        title="transmitters of the new compressor",
        evidence=_BOXES,
    ),
    Junction(
        tag="JB-62",
        area="RAW-1",
        Rth=ThermalResistance("85 K/W", _BOXES),
        title="small box, lagged against frost",
        evidence=_BOXES,
    ),
)

_MEMBERS: Final = {
    "arrester": Member(
        apparatus="NJ-A2",
        place="SKID-1",
        distance=Length("0.8 m", _ARRESTERS),
        earth_conductor=Area("4 mm2", _ARRESTERS),
    ),
    "arrester, far": Member(
        apparatus="NJ-A2",
        place="SKID-1",
        distance=Length("2 m", _ARRESTERS),
        earth_conductor=Area("4 mm2", _ARRESTERS),
    ),
    "Pt100, 90 °C": Member(
        apparatus="Pt100", process=Temperature("90 °C", Evidence(document="Line list LL-3"))
    ),
    "Pt100, 120 °C": Member(
        apparatus="Pt100", process=Temperature("120 °C", Evidence(document="Line list LL-3"))
    ),
    "insulated": Member(apparatus="thermocouple, insulated tip"),
}
"""Shorter names for apparatus that is not used in the plainest way."""

# first tag | area | way | sources, how joined | apparatus | one circuit for each of these services
_SAFE: Final = """
PT-1141 | SKID-1 | straight | RW-2012 & RW-2012 | KW-P30 | purge header; seal oil; lube oil
PI-1151 | SKID-1 | straight | RW-1110 + & RW-1110 + & RW-1110 + | KW-I5 | mean of three
VE-1141 | SKID-1 | three cores | AB-20N & AB-10P | SV-P9 | stage 1 drive end; stage 2 drive end
PT-1041 | SKID-0 | earthed | AB-26S & AB-26D | KW-P30 | catch pot 4; catch pot 5
LT-1041 | SKID-0 | earthed | AB-26S & AB-26D | HM-L12 | catch pot 4
PT-1051 | SKID-0 | earthed | AB-24 & AB-24, by LM-24S | KW-P30 | vent, from two bays; stack
HS-1151 | SKID-1 | in W-61 | RW-1107/1 | push button | stop, west; stop, east
ZS-1151 | SKID-1 | in W-61 | RW-1107/1 | mechanical limit switch | canopy door
TE-1151 | SKID-1 | in W-61 | RW-1110 | Pt100 | canopy air, west; canopy air, east
TE-1161 | SKID-1 | in W-61 | RW-1110 | insulated | canopy roof
PT-1161 | SKID-1 | in W-62 | AB-12 | KW-P30 | purge 1; purge 2; purge 3; purge 4
LS-1151 | SKID-1 | straight | RW-1107/1+2 | mechanical limit switch & push button | changeover
TT-1061 | SKID-1 | straight | RW-1126 | DS-H60 | catch pot 4; catch pot 5
TE-1061 | SKID-0 | four cores | DS-H60 sensor @SKID-1 | Pt100 | catch pot 4; catch pot 5
LT-1061 | SKID-0 | straight | RW-1126 | HM-L12 & arrester | seal pot 2; drain pot 2
PT-1171 | SKID-1 | straight | RW-2012 & KW-B2 terminals | KW-P30 & KW-B2 | with loop tester
FT-1161 | SKID-1 | tied | RW-1126 | KW-D42 | buffer, screen tied to one core
FT-1162 | SKID-1 | floating | RW-1126 | KW-D42 | buffer, screen floating
FT-1163 | SKID-1 | earthed | AB-28 | KW-D42 | buffer, screen on the earth bar
XV-1161 | SKID-1 | straight | LM-18Q | MT-V11 | buffer inlet; buffer outlet
TE-2051 | RAW-1 | thermo | RW-1110 | insulated & insulated | flare, difference; heater, difference
BE-2051 | RAW-1 | thermo | RW-1110 | flame photocell & flame photocell | flare, two views
AT-2051 | RAW-1 | far | RW-1126 | TG-20 | moisture; moisture behind the filter
ZE-2051 | RAW-1 | straight | RW-1110 & RW-1110, series | film resistor | mixer stroke
PI-2151 | RAW-2 | straight | LM-24C & LM-24C, parallel | KW-I5 | gas holder, from two bays
AT-2151 | RAW-2 | far | LM-24C | TG-2C | fence; pump pit
AT-4051 | BLEND-1 | straight | LM-22P | TG-9 | blend; blend behind the mixer
PT-4551 | COMP-1 | by box 61 | RW-1126 | KW-P30 | suction 2; discharge 2; oil 2; seal 2
ZT-4551 | COMP-1 | straight | RW-1136 | position potentiometer | guide vanes 2, by power
ZE-4551 | COMP-1 | straight | RW-1136 | film resistor | guide vanes 2, by its small surface
ZE-4552 | COMP-1 | straight | RW-1136 | wire-wound dropper | guide vanes 2, by power
TE-4551 | COMP-1 | earthed | AB-09 | Pt100, 90 °C | thrust 2, by thermal resistance
TT-5551 | MILL-21 | straight | RW-1126 | HM-T4 | mill bearing
TE-5551 | MILL-21 | four cores | HM-T4 sensor | Pt100 | mill bearing
ST-5551 | MILL-21 | straight | RW-1107/1 | WB-R2 | mill rotor; feed roll
PT-5551 | MILL-21 | straight | RW-1126 | KW-P31 | mill housing
LT-5651 | SUMP-20 | straight | RW-1126 | HM-L12 | screenings sump
TT-5651 | SUMP-20 | straight | RW-1126 | DS-H55/loop | screenings sump
"""

_FAULTY: Final = """
PI-1191 | SKID-1 | straight | RW-1126 + & RW-1126 + | KW-I5 | buffer panel, from two bays
VE-1191 | SKID-1 | three cores | AB-20N & AB-10P | SV-P8 | stage 2 far end
ZT-1192 | SKID-1 | in W-63 | RW-1107/1 | WB-E1 | recycle stroke
PT-1194 | SKID-1 | in W-63 | RW-2012 | KW-P30 | recycle
PI-1192 | SKID-1 | in W-64 | AB-24 | KW-I5 | panel 1
PI-1193 | SKID-1 | in W-64 | AB-24 | KW-I5 | panel 2
PI-1194 | SKID-1 | in W-64 | AB-24 | KW-I5 | panel 3
LT-1092 | SKID-0 | straight | RW-1126 | HM-L12 & arrester, far | catch pot 6
AT-2091 | RAW-1 | by box 62 | LM-15R | TG-5 | engine room
TE-4591 | COMP-1 | earthed | AB-09 | Pt100, 120 °C | discharge line
TE-1192 | SKID-1 | four cores | DS-U9 sensor | Pt100 | dryer
TT-1192 | SKID-1 | straight | RW-1126 | DS-U9 | dryer
AT-2092 | RAW-1 | far | RW-1126 | TG-21 | oxygen behind the air blower
PI-1195 | SKID-1 | straight | RW-1110 + & RW-1110 + & RW-1110 | KW-I5 | mean of three, dryer
ZT-1193 | SKID-1 | earthed | AB-22A | WB-L2 | piston stroke
BE-2091 | RAW-1 | thermo | RW-1110 | flame photocell & flame photocell & flame photocell | boiler
"""


def harder_circuits() -> list[Circuit]:
    """Build the circuits of the second stage, the faulty ones last."""
    builder = _Builder()
    lines = (_SAFE + _FAULTY).strip().splitlines()
    return [circuit for line in lines if line for circuit in builder.circuits(line)]


@dataclass(slots=True)
class _Builder:
    """Gives out slots of the two cabinets in the order in which circuits come."""

    _slots: dict[str, int] = field(default_factory=dict)

    def circuits(self, line: str) -> Iterator[Circuit]:
        """One circuit for each service of a line of the table."""
        head, area, way, sources, apparatus, services = (one.strip() for one in line.split("|"))
        letters, _, first = head.partition("-")
        names, _, joined = sources.partition(", ")
        for number, service in enumerate(services.split("; "), int(first)):
            tag = f"{letters}-{number}"
            yield Circuit(
                tag=tag,
                service=service,
                area=area,
                sources=tuple(self._source(name, number) for name in names.split(" & ")),
                members=tuple(_members(apparatus, tag)),
                runs=tuple(_runs(_WAYS[way], names, tag)),
                joined=_JOINED.get(joined, ""),
                system=joined.removeprefix("by ") if joined.startswith("by ") else "",
                document=f"LD-{number}-{letters}",
                revision="A",
                evidence=Evidence(document=f"LD-{number}-{letters}", page="1"),
            )

    def _source(self, text: str, number: int) -> SourceUse:
        """Read "NAME", "NAME +", "NAME/1" or, of terminals in the field, "NAME @AREA"."""
        name, _, place = text.partition(" @")
        if name in _IN_FIELD:
            letters = "HC" if name.startswith("KW") else "TT"
            return SourceUse(tag=f"{letters}-{number}", source=name, place=place)
        polarity = _POLARITY.get(name[-2:], "")
        name, _, outputs = name.removesuffix(f" {polarity}").partition("/")
        cabinet = _cabinet(name)
        self._slots[cabinet] = self._slots.get(cabinet, 0) + 1
        return SourceUse(
            tag=f"{cabinet}/{self._slots[cabinet]:03d}",
            source=name,
            outputs=outputs,
            place=CABINETS[cabinet].place,
            cabinet=cabinet,
            polarity=polarity,
        )


_JOINED: Final[dict[str, Literal["parallel", "series"]]] = {
    "parallel": "parallel",
    "series": "series",
}
_POLARITY: Final[dict[str, Polarity]] = {" +": "+", " -": "-"}


def _cabinet(sources: str) -> str:
    return _BARRIERS if sources.startswith("AB-") else _ISOLATORS


def _members(apparatus: str, tag: str) -> Iterator[Member]:
    for place, text in enumerate(apparatus.split(" & ")):
        name, _, connection = text.partition("/")
        one = _MEMBERS.get(text, Member(apparatus=name, connection=connection))
        own = tag if place == 0 else f"{tag}{chr(ord('A') + place - 1)}"
        yield Member(
            tag=own,
            apparatus=one.apparatus,
            connection=one.connection,
            place=one.place,
            process=one.process,
            distance=one.distance,
            earth_conductor=one.earth_conductor,
        )


def _runs(way: _Way, sources: str, tag: str) -> Iterator[Run]:
    start = f"TT-{tag[3:]}" if sources.partition(" @")[0] in _IN_FIELD else _cabinet(sources)
    yield _run(way.cable, way.metres, way.shared or f"C-{tag}", (start, way.box or tag), way.screen)
    if way.box:
        yield _run(_PLAIN, 12, f"C-{tag}-1", (way.box, tag), "")


def _run(cable: str, metres: int, number: str, ends: tuple[str, str], screen: Screen) -> Run:
    return Run(
        cable=cable,
        length=Length(f"{metres} m", Evidence(document="Cable schedule CS-3", note=number)),
        number=number,
        start=ends[0],
        end=ends[1],
        screen=screen,
        as_built="yes",
    )
