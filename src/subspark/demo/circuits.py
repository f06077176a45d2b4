"""Circuits of the demo plant that are well kept: every one of them must come out safe."""

from __future__ import annotations

from typing import Final

from subspark.demo.building import Batch, Route, Use
from subspark.demo.cables import LOST, TRUNK_A, TRUNK_B, TRUNK_B_THIN

__all__ = ["BATCHES", "ROUTES"]

_PLAIN: Final = "FC 2x1.5"
_SCREENED: Final = "FC 2x0.75 screened"
_ARMOURED: Final = "FC 2x2.5 armoured"
_THREE: Final = "FC 3x1.0 screened"
_FOUR: Final = "FC 4x0.75 screened"
_THERMO: Final = "KX 2x0.5 compensating"
_PROBE: Final = "VX 3x0.35 probe"

ROUTES: Final = {
    "skid": Route("MC-1", _PLAIN, TRUNK_A, 210, "JB-11", "SKID-1"),
    "skid discrete": Route("MC-1", _PLAIN, TRUNK_B, 210, "JB-12", "SKID-1"),
    "skid barriers": Route("MC-3", _SCREENED, TRUNK_B, 150, "JB-13", "SKID-1"),
    "skid resistance": Route("MC-1", _FOUR, length=190),
    "skid thermo": Route("MC-1", _THERMO, length=190),
    "skid thermo barriers": Route("MC-3", _THERMO, length=140),
    "fence": Route("MC-1", _PLAIN, TRUNK_B, 230, "JB-14", "SKID-2"),
    "fence barriers": Route("MC-3", _SCREENED, TRUNK_B, 170, "JB-15", "SKID-2"),
    "skid field": Route("FC-1", _SCREENED, length=25),
    "skid old": Route("MC-1", LOST, length=120),
    "raw": Route("MC-1", _PLAIN, TRUNK_A, 320, "JB-21", "RAW-1"),
    "raw discrete": Route("MC-1", _PLAIN, TRUNK_B_THIN, 320, "JB-22", "RAW-1"),
    "raw resistance": Route("MC-1", _THREE, length=300),
    "raw field": Route("FC-2", _PLAIN, length=35),
    "clean": Route("MC-1", _PLAIN, TRUNK_B, 280, "JB-31", "CLEAN-1"),
    "blend": Route("MC-1", _PLAIN, TRUNK_A, 160, "JB-41", "BLEND-1"),
    "propane": Route("MC-3", _SCREENED, TRUNK_B, 240, "JB-44", "PROPANE-2"),
    "comp": Route("MC-1", _PLAIN, TRUNK_A, 130, "JB-45", "COMP-1"),
    "comp probes": Route("MC-1", _PROBE, _THREE, 130, "JB-46", "COMP-1"),
    "comp resistance": Route("MC-1", _FOUR, length=130),
    "elevator": Route("MC-2", _PLAIN, TRUNK_B, 240, "JB-51", "GALLERY-21"),
    "elevator alarms": Route("MC-2", _ARMOURED, length=260),
    "elevator resistance": Route("MC-2", _THREE, length=230),
}

_USES: Final = {
    "pressure, tool": (Use("KW-P30"), Use("KW-C1", tag="HC-1", temporary=True)),
    "pressure, display": (Use("KW-P30"), Use("KW-I5")),
    "head": (Use("DS-H55", "loop"),),
    "rail, surface": (Use("DS-R20"), Use("Pt100 surface sensor")),
    "setpoint": (Use("MT-P60", "setpoint"),),
    "position": (Use("MT-P60", "position"),),
    "gate": (Use("mechanical limit switch"), Use("end-of-line network")),
    "Pt100, 90 °C": (Use("Pt100", process="90 °C"),),
    "insulated, 180 °C": (Use("thermocouple, insulated tip", process="180 °C"),),
    "insulated": (Use("thermocouple, insulated tip"),),
    "earthed, 150 °C": (Use("thermocouple, earthed tip", process="150 °C"),),
}
"""Shorter names for what is more than one apparatus, or not used in the plainest way."""

# first tag | area | route | source | apparatus | one circuit for each of these services
_TABLE: Final = """
PT-1001 | SKID-0 | skid | RW-1126 | KW-P30 | vent header; catch pot 1; catch pot 2; arrester
LT-1001 | SKID-0 | skid | RW-1126 | HM-L12 | catch pot 1; catch pot 2
LT-1011 | SKID-0 | skid | LM-22P | HM-M6 | seal pot; drain pot
TT-1001 | SKID-0 | skid barriers | AB-28R | head | vent; vent stack tip
LSH-1001 | SKID-0 | skid discrete | RW-1107 | HM-C7 | catch pot 1; catch pot 2; seal pot
TE-1001 | SKID-0 | skid resistance | RW-1110 | Pt100 | catch pot 1; catch pot 2; vent tip
PT-1101 | SKID-1 | skid | RW-1126 | pressure, tool | tube trailer, with hand-held communicator
PT-1102 | SKID-1 | skid | RW-1126 | KW-P30 | stage 1 in; stage 1 out; stage 2 out; buffer
PI-1111 | SKID-1 | skid | RW-1126 | pressure, display | unloading panel; buffer panel
PT-1121 | SKID-1 | skid barriers | AB-28 | KW-P12 | instrument air; nitrogen purge; seal gas
FT-1101 | SKID-1 | skid | RW-1126 | KW-D40 | hydrogen to blending; recycle; purge
FT-1111 | SKID-1 | skid old | RW-1126 | KW-D42 | seal gas; drain return
TT-1101 | SKID-1 | skid | RW-1126 | head | stage 1 in; stage 1 out; stage 2 out
TE-1111 | SKID-1 | skid thermo | RW-1110 | insulated, 180 °C | valve cover 1; valve cover 2
TE-1121 | SKID-1 | skid thermo | RW-1110 | earthed, 150 °C | cylinder 1; cylinder 2
TE-1131 | SKID-1 | skid thermo barriers | AB-09 | insulated | cooler outlet; lube oil
XV-1101 | SKID-1 | skid discrete | RW-1128 | MT-V10 | trailer; stage 1; stage 2; vent; blend
XV-1111 | SKID-1 | skid discrete | LM-17T | MT-V11 | purge; drain
ZS-1101 | SKID-1 | skid discrete | RW-1107 | WB-N4 | trailer open; trailer shut; stage 1 open;
    stage 1 shut; stage 2 open; stage 2 shut; vent open; vent shut
PV-1101 | SKID-1 | skid | RW-1136 | setpoint | recycle; to blending
AT-1101 | SKID-1 | skid discrete | LM-10H | TG-8 | canopy; stage 1; stage 2
HS-1101 | SKID-1 | skid discrete | RW-1107 | push button | stop; purge
PT-1201 | SKID-2 | skid field | RW-1125 | KW-N1 | fence line; fire water
AT-1201 | SKID-2 | fence | LM-24C | TG-2C | north; east
AT-1203 | SKID-2 | fence barriers | AB-24C, SELV | TG-2C | south
YA-1201 | SKID-2 | fence barriers | AB-28 | NJ-S3 | north; south
YB-1201 | SKID-2 | fence | RW-1150 | NJ-B4 | north; south
ZS-1201 | SKID-2 | fence | RW-1107 | gate | gate; trailer parked; trailer earthed
PT-2001 | RAW-1 | raw | RW-1126 | KW-P30 | digester 1; digester 2; gas holder; booster in;
    booster out
PT-2011 | RAW-1 | raw field | RW-1170 | KW-P30B | flare line; condensate pot
FT-2001 | RAW-1 | raw | RW-1126 | KW-D40 | digester 1; digester 2; flare
LT-2001 | RAW-1 | raw | RW-1126 | HM-L12 | digester 1; digester 2; pit
TT-2001 | RAW-1 | raw | RW-1126 | head | digester 1; digester 2; booster
TE-2001 | RAW-1 | raw resistance | RW-1110 | Pt100, 90 °C | heating flow; heating return
AT-2001 | RAW-1 | raw discrete | LM-15R | TG-5 | before filter; after filter
XV-2001 | RAW-1 | raw discrete | RW-1128 | MT-V10 | digester 1; digester 2; flare
ZS-2001 | RAW-1 | raw discrete | RW-1107 | WB-S8 | digester 1 open; digester 1 shut;
    digester 2 open; digester 2 shut; flare open; flare shut
PV-2001 | RAW-1 | raw | RW-1136 | setpoint | gas holder; booster bypass
ZT-2001 | RAW-1 | raw | RW-1126 | position | gas holder; booster bypass
ZT-2011 | RAW-1 | raw resistance | RW-1110 | position potentiometer | mixer gate
AT-2101 | RAW-2 | raw discrete | RW-1126 | TG-7 | booster hut; gas holder; pit
YA-2101 | RAW-2 | raw discrete | RW-1150 | NJ-S3 | booster hut; gas holder
YB-2101 | RAW-2 | raw discrete | RW-1150 | NJ-B4 | booster hut; gas holder
LSL-2101 | RAW-2 | raw discrete | RW-1107 | reed float switch | condensate; pit
PT-3001 | CLEAN-1 | clean | RW-1126 | KW-P30 | membrane 1; membrane 2; permeate; buffer
FT-3001 | CLEAN-1 | clean | RW-1126 | KW-D40 | feed; retentate
TT-3001 | CLEAN-1 | clean | RW-1126 | rail, surface | feed; retentate
LSH-3001 | CLEAN-1 | clean | RW-1107 | HM-C7 | coalescer 1; coalescer 2
XV-3001 | CLEAN-1 | clean | LM-17T | MT-V10 | feed; retentate; bypass
ZS-3001 | CLEAN-1 | clean | RW-1107 | WB-N4 | feed open; feed shut; outlet open; outlet shut
PT-4001 | BLEND-1 | blend | RW-1126 | KW-P30 | hydrogen; biogas; blend
FT-4001 | BLEND-1 | blend | RW-1126 | KW-D42 | hydrogen; biogas; blend
PV-4001 | BLEND-1 | blend | RW-1136 | setpoint | hydrogen; biogas
XV-4001 | BLEND-1 | blend | RW-1128 | MT-V10 | hydrogen; blend
ZS-4001 | BLEND-1 | blend | RW-1107 | WB-N4 | hydrogen open; hydrogen shut
PT-4101 | PROPANE-2 | propane | AB-28R | KW-P30 | tank; vaporiser
LT-4101 | PROPANE-2 | propane | AB-28R | HM-L12 | tank
TT-4101 | PROPANE-2 | propane | AB-28 | head | vaporiser
PT-4501 | COMP-1 | comp | RW-1126 | KW-P30 | suction; discharge; oil; seal
DT-4501 | COMP-1 | comp | RW-1126 | TG-4 | suction; discharge
FT-4501 | COMP-1 | comp | RW-1126 | KW-D42 | anti-surge
TT-4501 | COMP-1 | comp | RW-1126 | head | suction; discharge; oil
VT-4501 | COMP-1 | comp | RW-1126 | SV-A1 | gearbox; foundation
VE-4501 | COMP-1 | comp probes | RW-1160 | SV-P8 | drive end X; drive end Y; far end X; far end Y
TE-4501 | COMP-1 | comp resistance | RW-1110 | Pt100, 90 °C | drive end; far end; thrust
AT-4501 | COMP-1 | comp | RW-1126 | TG-7 | ceiling; pit
ZS-4501 | COMP-1 | comp | RW-1107 | WB-N4 | anti-surge open; anti-surge shut
XV-4501 | COMP-1 | comp | RW-1128 | MT-V10 | isolation
ST-5001 | BOOT-20 | elevator | RW-1107 | WB-R2 | boot pulley; head pulley
LSH-5001 | BOOT-20 | elevator | RW-1107 | HM-C7 | boot choke; head choke
LT-5101 | BIN-20 | elevator | RW-1126 | HM-L12 | premix bin
LSH-5101 | BIN-20 | elevator | RW-1107 | HM-C7 | premix bin, full; premix bin, feed
TT-5101 | BIN-20 | elevator | RW-1126 | head | premix bin, top; premix bin, cone
ST-5201 | GALLERY-21 | elevator | RW-1107 | WB-R2 | belt 1; belt 2
ZS-5201 | GALLERY-21 | elevator | RW-1126 | WB-Y3 | belt 1 left; belt 1 right; belt 2 left;
    belt 2 right
TE-5201 | GALLERY-21 | elevator resistance | RW-1110 | Pt100 | belt 1 bearing; belt 2 bearing
PT-5301 | YARD-22 | elevator | RW-1126 | KW-P31 | filter; fan
ZS-5301 | YARD-22 | elevator | RW-1107 | WB-N4 | intake slide open; intake slide shut
YB-5301 | YARD-22 | elevator alarms | RW-1150 | NJ-B4 | intake; gallery stair
PT-5401 | CROSSING-2 | elevator | RW-1126 | KW-P31 | gas line at the crossing
LSH-5401 | CROSSING-2 | elevator | RW-1107 | HM-C7 | crossing pit
"""


def _batch(line: str) -> Batch:
    head, area, route, source, apparatus, services = (part.strip() for part in line.split("|"))
    letters, _, first = head.partition("-")
    source, _, supply = source.partition(", ")
    return Batch(
        letters=letters,
        first=int(first),
        area=area,
        route=route,
        source=source,
        uses=_USES.get(apparatus, (Use(apparatus),)),
        services=tuple(service.strip() for service in services.split(";")),
        supply="SELV" if supply else "",
        device="PV" if apparatus == "position" else "",
    )


BATCHES: Final = tuple(
    _batch(line) for line in _TABLE.replace("\n    ", " ").splitlines() if line.strip()
)
