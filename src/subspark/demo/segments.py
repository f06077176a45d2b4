"""Fieldbus segments of the demo plant: FISCO in IIC, IIB and level ic, and one 2-WISE link."""

from __future__ import annotations

from dataclasses import replace
from typing import Final, Literal, NamedTuple

from subspark.demo.deliberate import DeliberateFault
from subspark.demo.places import CABINETS
from subspark.demo.sheets import Sheet, Stage
from subspark.model import (
    ApparatusType,
    CableType,
    Circuit,
    Declaration,
    Junction,
    Member,
    Method,
    Run,
    SourceType,
    SourceUse,
)
from subspark.quantity import (
    Capacitance,
    CapacitancePerLength,
    Evidence,
    InductancePerLength,
    Length,
    Resistance,
    ResistancePerLength,
    Temperature,
    TemperatureRange,
    Voltage,
)

__all__ = [
    "SEGMENT_APPARATUS",
    "SEGMENT_BOXES",
    "SEGMENT_CABLES",
    "SEGMENT_DECLARATIONS",
    "SEGMENT_FAULTS",
    "SEGMENT_SOURCES",
    "segment_circuits",
]

_CABLE: Final = "FB 2x1.0 fieldbus"
_FISCO: Final = "17.5 V, 380 mA, 5.32 W, 5 nF, 10 µH"
_ENTITY: Final = "24 V, 250 mA, 1.2 W, 5 nF, 10 µH"
_IC: Final = "17.5 V, , , 5 nF, 10 µH"
_GAS: Final = "Ex ia IIC T4 Ga Ta -40 °C to +60 °C"

# --- catalogue -----------------------------------------------------------------------------------


class _Supply(NamedTuple):
    name: str
    what: str
    certificate: str
    mark: str
    method: Method
    values: str
    entity: tuple[tuple[str, str, str, str], ...] = ()


_SUPPLIES: Final = (
    _Supply(
        "LM-60F",
        "fieldbus supply with terminator, for IIC",
        "DEMO 23.0201",
        "[Ex ia Ga] IIC",
        "FISCO",
        "14 V, 183 mA, 2.56 W",
    ),
    _Supply(
        "LM-61F",
        "fieldbus supply with terminator, for IIB",
        "DEMO 23.0202",
        "[Ex ia Ga] IIB; [Ex ia Da] IIIC",
        "FISCO",
        "14.8 V, 355 mA, 5.25 W",
        (("IIB", "4 µF", "0.25 mH", ""),),
    ),
    _Supply(
        "LM-62F",
        "fieldbus supply with terminator, level ic",
        "DEMO 23.0203",
        "[Ex ic Gc] IIB",
        "FISCO",
        "17 V, 360 mA, 6.12 W",
    ),
    _Supply(
        "LM-70W",
        "power source port of a two-wire Ethernet switch",
        "DEMO 23.0204",
        "[Ex ia Ga] IIC",
        "2-WISE",
        "15 V, 133 mA, 2 W",
    ),
)


def _supply(row: _Supply) -> SourceType:
    sheet = Sheet(row.certificate)
    own = replace(
        sheet.output(Stage(values=row.values, shape="rectangular")),
        method=row.method,
        terminator="yes" if row.method == "FISCO" else "",
    )
    outputs = [own]
    if row.entity:
        stage = Stage(values=row.values, columns=row.entity, shape="rectangular", name="1, entity")
        outputs.append(replace(sheet.output(stage, 5), terminator="yes"))
    return SourceType(
        name=row.name,
        maker="Lindenmoor Supplies",
        model=row.what,
        certificate=row.certificate,
        mark=row.mark,
        isolation="galvanic",
        outputs=tuple(outputs),
        ports=sheet.ports("supply 253 V, bus 253 V"),
        ambient=TemperatureRange("-20 to 60 °C", sheet.at(2)),
        evidence=sheet.at(1),
    )


class _Device(NamedTuple):
    name: str
    maker: str
    what: str
    certificate: str
    sets: tuple[tuple[Method, str, str], ...]  # method, mark, Ui Ii Pi Ci Li
    end: tuple[str, str] | None = None  # R and C of a terminator


_BOTH: Final[tuple[tuple[Method, str, str], ...]] = (
    ("FISCO", _GAS, _FISCO),
    ("entity", _GAS, _ENTITY),
)
_DEVICES: Final = (
    _Device(
        "KW-P30F",
        "Kestrelwood Instruments",
        "pressure transmitter for fieldbus",
        "DEMO 23.0211",
        _BOTH,
    ),
    _Device(
        "DS-T8F",
        "Dipperstone Thermal",
        "temperature multiplexer for fieldbus",
        "DEMO 23.0212",
        _BOTH,
    ),
    _Device(
        "MT-P60F", "Merlethorpe Valves", "valve positioner for fieldbus", "DEMO 23.0213", _BOTH
    ),
    _Device(
        "HM-L12C",
        "Heronsmere Level",
        "level transmitter for fieldbus, level ic",
        "DEMO 23.0214",
        (("FISCO", "Ex ic IIC T4 Gc Ta -40 °C to +60 °C", _IC),),
    ),
    _Device(
        "KW-P30W",
        "Kestrelwood Instruments",
        "pressure transmitter for two-wire Ethernet",
        "DEMO 23.0215",
        (("2-WISE", _GAS, _FISCO),),
    ),
    _Device(
        "NJ-T1",
        "Nightjar Signals",
        "field terminator",
        "DEMO 23.0216",
        (("FISCO", _GAS, "24 V, 380 mA, 5.32 W, negligible, negligible"),),
        ("100 ohm", "1 µF"),
    ),
)


def _device(row: _Device) -> ApparatusType:
    sheet = Sheet(row.certificate)
    here = sheet.at(4)
    ohms, farads = row.end or ("", "")
    return ApparatusType(
        name=row.name,
        maker=row.maker,
        model=row.what,
        certificate=row.certificate,
        entries=tuple(
            replace(sheet.entry(mark, values), method=method) for method, mark, values in row.sets
        ),
        role="terminator" if row.end else "",
        R=Resistance(ohms, here if ohms else Evidence()),
        C=Capacitance(farads, here if farads else Evidence()),
        powered="no",
        evidence=sheet.at(1),
    )


def _cable() -> CableType:
    sheet = Sheet("Cable data sheet CD-21")
    here = sheet.at(1)
    return CableType(
        name=_CABLE,
        C_core=CapacitancePerLength("60 nF/km", here),
        C_screen=CapacitancePerLength("90 nF/km", here),
        L=InductancePerLength("0.65 mH/km", here),
        R_loop=ResistancePerLength("35 ohm/km", here),
        R_loop_max=ResistancePerLength("44 ohm/km", here),
        cores=2,
        screen="overall",
        coverage=90.0,
        strand=Length("0.2 mm", sheet.at(2)),
        test_voltage=Voltage("1.5 kV", sheet.at(2)),
        insulation=Length("0.5 mm", sheet.at(2)),
        rated_temperature=Temperature("80 °C", sheet.at(2)),
        evidence=here,
    )


SEGMENT_SOURCES: Final = tuple(_supply(row) for row in _SUPPLIES)
SEGMENT_APPARATUS: Final = tuple(_device(row) for row in _DEVICES)
SEGMENT_CABLES: Final = (_cable(),)

# --- circuits ------------------------------------------------------------------------------------

_TERMINATOR: Final = "NJ-T1"


class _Segment(NamedTuple):
    tag: str
    area: str
    service: str
    source: str
    trunk: tuple[int, ...]  # metres from the supply to the first box, and on from box to box
    spurs: tuple[int, ...]  # metres to each device, from the boxes in turn
    devices: tuple[str, ...]
    ends: int = 1  # terminators in the field
    method: Literal["FISCO", "2-WISE"] = "FISCO"


_SEGMENTS: Final = (
    _Segment(
        "FB-1101",
        "SKID-1",
        "compressor skid, stage 1",
        "LM-60F",
        (260, 40),
        (12, 25, 60, 8),
        ("KW-P30F", "DS-T8F", "MT-P60F", "KW-P30F"),
    ),
    _Segment(
        "FB-1102",
        "SKID-1",
        "compressor skid, stage 2",
        "LM-60F",
        (275, 35),
        (18, 30, 22),
        ("KW-P30F", "KW-P30F", "MT-P60F"),
    ),
    _Segment(
        "FB-2001",
        "RAW-1",
        "digesters, by the long way round",
        "LM-61F",
        (1250, 180),
        (40, 55, 35, 20),
        ("KW-P30F", "DS-T8F", "MT-P60F", "KW-P30F"),
    ),
    _Segment(
        "FB-2002",
        "RAW-1",
        "gas line",
        "LM-61F",
        (430,),
        (15, 28),
        ("KW-P30F", "MT-P60F"),
    ),
    _Segment(
        "FB-2101",
        "RAW-2",
        "pits and booster hut, level ic",
        "LM-62F",
        (390, 60),
        (14, 33, 21),
        ("HM-L12C", "HM-L12C", "HM-L12C"),
    ),
    _Segment(
        "FW-4001",
        "BLEND-1",
        "blend, two-wire Ethernet",
        "LM-70W",
        (),
        (185,),
        ("KW-P30W",),
        ends=0,
        method="2-WISE",
    ),
    _Segment(
        "FB-2091",
        "RAW-1",
        "flare",
        "LM-61F",
        (520, 90),
        (18, 78),
        ("KW-P30F", "MT-P60F"),
    ),
    _Segment(
        "FB-1191",
        "SKID-1",
        "trailer bay",
        "LM-60F",
        (240,),
        (16, 27),
        ("KW-P30F", "KW-P30F"),
        ends=2,
    ),
    _Segment(
        "FB-1181",
        "SKID-1",
        "filling bays, seven devices",
        "LM-60F",
        (900,),
        (8, 8, 8, 8, 8, 8, 8),
        ("KW-P30F", "KW-P30F", "MT-P60F", "MT-P60F", "MT-P60F", "DS-T8F", "DS-T8F"),
    ),
)


def _boxes(one: _Segment) -> list[str]:
    _, _, number = one.tag.partition("-")
    return [f"JB-F{number}{chr(ord('A') + place)}" for place in range(len(one.trunk))]


def _run(
    metres: int, number: str, ends: tuple[str, str], part: Literal["trunk", "spur", ""]
) -> Run:
    return Run(
        cable=_CABLE,
        length=Length(f"{metres} m", Evidence(document="Cable schedule CS-4", note=number)),
        number=number,
        start=ends[0],
        end=ends[1],
        part=part,
        screen="earthed",
        as_built="yes",
    )


def _circuit(place: int, one: _Segment) -> Circuit:
    drawing = f"LD-{one.tag.partition('-')[2]}-{one.tag.partition('-')[0]}"
    supply = f"MC-1/F{place:02d}"
    boxes = _boxes(one)
    stops = [supply, *boxes]
    runs = [
        _run(metres, f"C-{one.tag}-{number}", (stops[number - 1], stops[number]), "trunk")
        for number, metres in enumerate(one.trunk, 1)
    ]
    tags = [f"{one.tag}{chr(ord('A') + number)}" for number in range(len(one.devices))]
    for number, (metres, tag) in enumerate(zip(one.spurs, tags, strict=True)):
        start = boxes[number % len(boxes)] if boxes else supply
        runs.append(_run(metres, f"C-{tag}", (start, tag), "spur" if boxes else ""))
    members = [Member(tag=tag, apparatus=name) for tag, name in zip(tags, one.devices, strict=True)]
    members += [
        Member(tag=f"{one.tag}T{number + 1}", apparatus=_TERMINATOR) for number in range(one.ends)
    ]
    return Circuit(
        tag=one.tag,
        service=one.service,
        area=one.area,
        method=one.method,
        sources=(
            SourceUse(tag=supply, source=one.source, place=CABINETS["MC-1"].place, cabinet="MC-1"),
        ),
        members=tuple(members),
        runs=tuple(runs),
        document=drawing,
        revision="A",
        evidence=Evidence(document=drawing, page="1"),
    )


def segment_circuits() -> list[Circuit]:
    """Return the circuits of the segments, those with a deliberate fault last."""
    return [_circuit(place, one) for place, one in enumerate(_SEGMENTS, 1)]


SEGMENT_BOXES: Final = tuple(
    Junction(
        tag=box,
        area=one.area,
        title=f"spur box of {one.tag}",
        evidence=Evidence(document="Box schedule BX-2"),
    )
    for one in _SEGMENTS
    for box in _boxes(one)
)

SEGMENT_DECLARATIONS: Final = (
    Declaration(
        fact="fieldbus figures confirmed",
        value="yes",
        scope="circuit",
        of="FW-4001",
        evidence=Evidence(
            document="Reading note RN-7",
            page="1",
            note="length and leakage compared with the printed IEC TS 60079-47",
            by="Ex engineer of the plant",
        ),
    ),
)

SEGMENT_FAULTS: Final = (
    DeliberateFault(
        tag="FB-2091",
        rule="segment length",
        verdict="unsafe",
        story="The spur to the positioner of the flare grew from 58 m to 78 m when the flare was "
        "moved; FISCO allows 60 m, and the entity way fails by power.",
        mended="Lead the trunk on to a box at the flare and leave a spur of less than 60 m.",
    ),
    DeliberateFault(
        tag="FB-1191",
        rule="terminators",
        verdict="unsafe",
        story="A terminator was fitted at either end of the trunk, although the supply has one "
        "built in: there are three.",
        mended="Take off the terminator beside the supply.",
    ),
)
