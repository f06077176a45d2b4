"""A second demo plant, by Class and Division: feet, wire gauges, control drawings.

A small solvent and hydrogenation works with a grain silo, invented like the other one. Its
marks are of three kinds: Class and Division, AEx by zones of the NEC, and one of IEC alone,
which is one of the three deliberate faults.
"""

from __future__ import annotations

from typing import Final, Literal, NamedTuple

from subspark.demo.deliberate import DeliberateFault
from subspark.demo.division_function import DIVISION_DECLARATIONS, DIVISION_FIGURES
from subspark.demo.function_data import figures
from subspark.model import (
    SAFE_AREA,
    ApparatusType,
    Area,
    Atmosphere,
    CableType,
    Certificate,
    Circuit,
    Datum,
    Declaration,
    Entry,
    Fact,
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
from subspark.quantity import (
    Capacitance,
    CapacitancePerLength,
    Current,
    Evidence,
    Gauge,
    Inductance,
    InductancePerLength,
    InductancePerResistance,
    Length,
    Power,
    Temperature,
    TemperatureRange,
    ThermalResistance,
    Voltage,
)

__all__ = ["DIVISION_FAULTS", "build_division_plant", "division_markdown"]

_NAME: Final = "Alder Creek solvent works"
_OUTDOORS: Final = TemperatureRange("-4 to 122 °F", Evidence(document="Site data SD-1", page="2"))
_SHEETS: Final = "Instrument index II-4"

DIVISION_FAULTS: Final = (
    DeliberateFault(
        tag="PT-312",
        rule="capacitance",
        verdict="unsafe",
        story="The unit was moved and the cable grew to 1900 ft: at 60 pF/ft, and 11 nF in the "
        "transmitter, more than Ca of groups A and B; the old length was on the drawing.",
        mended="A cable of 25 pF/ft by its data sheet, or a field cabinet nearer by.",
    ),
    DeliberateFault(
        tag="FT-318",
        rule="conditions",
        verdict="unproven",
        story="The flow meter came without its control drawing, and nobody asked for it.",
        mended="Get the control drawing of the meter, install by it, and note its number.",
    ),
    DeliberateFault(
        tag="LT-321",
        rule="group",
        verdict="unproven",
        story="A level gauge was taken over from a plant abroad: marked Ex ia IIC, but listed by "
        "no laboratory of the country.",
        mended="A gauge that is listed, or a field evaluation that lists this one.",
    ),
)
"""The mistakes that are built in on purpose: each in one circuit, each for exactly one rule."""


class _Source(NamedTuple):
    name: str
    maker: str
    mark: str
    drawing: str
    values: tuple[str, str, str]
    limits: tuple[tuple[str, str, str, str], ...]


_DIVISIONS: Final = "[Exia] Class I, II, III, Groups A-G"
_IN_DIVISION_2: Final = "Class I, Division 2, Groups A, B, C, D T4"
_SOURCES: Final = (
    _Source(
        "QB-28",
        "Quillback Controls",
        f"{_IN_DIVISION_2}; {_DIVISIONS}",
        "QB-28-CD rev 3",
        ("28 V", "93 mA", "651 mW"),
        (
            ("A, B", "83 nF", "4.1 mH", "54 µH/ohm"),
            ("C", "650 nF", "16 mH", "218 µH/ohm"),
            ("D", "2.15 µF", "32 mH", "436 µH/ohm"),
            ("E, F, G", "650 nF", "16 mH", "218 µH/ohm"),
        ),
    ),
    _Source(
        "QS-10",
        "Quillback Controls",
        _DIVISIONS,
        "QS-10-CD rev 1",
        ("10.5 V", "13 mA", "34 mW"),
        (
            ("A, B", "2.3 µF", "180 mH", ""),
            ("C", "16 µF", "700 mH", ""),
            ("D", "70 µF", "1 H", ""),
            ("E, F, G", "16 µF", "700 mH", ""),
        ),
    ),
    _Source(
        "HZ-25",
        "Hollin Zonework",
        "[AEx ia Ga] IIC; [AEx ia Da] IIIC",
        "HZ-25-CD rev B",
        ("25.2 V", "88 mA", "554 mW"),
        (
            ("IIC", "107 nF", "4.5 mH", "64 µH/ohm"),
            ("IIB", "820 nF", "18 mH", "256 µH/ohm"),
            ("IIA", "2.9 µF", "36 mH", "512 µH/ohm"),
            ("IIIC", "820 nF", "18 mH", "256 µH/ohm"),
        ),
    ),
    _Source(
        "NF-28",
        "Quillback Controls",
        "NIFW Class I, Division 2, Groups A, B, C, D T4",
        "NF-28-CD rev 2",
        ("28 V", "120 mA", "840 mW"),
        (
            ("A, B", "200 nF", "4.9 mH", ""),
            ("C", "1.4 µF", "19 mH", ""),
            ("D", "4 µF", "38 mH", ""),
        ),
    ),
)


class _Item(NamedTuple):
    name: str
    maker: str
    mark: str
    drawing: str
    values: tuple[str, str, str]
    stores: tuple[str, str]


_IS: Final = "IS Class I, II, III, Division 1, Groups A-G T4"
_ITEMS: Final = (
    _Item("PX-2", "Brightmoor", f"{_IS} Ta -40 °C to +70 °C", "PX-2-7001 rev C",
          ("30 V", "150 mA", "1 W"), ("11 nF", "0")),
    _Item("TX-5", "Brightmoor", "AEx ia IIC T4 Ga Ta -40 °C to +60 °C", "TX-5-7001 rev A",
          ("30 V", "130 mA", "800 mW"), ("2 nF", "10 µH")),
    _Item("VP-4", "Tarn Valve",
          "IS Class I, Division 1, Groups C, D T4 Ta -40 °C to +60 °C; "
          "NIFW Class I, Division 2, Groups A, B, C, D T4 Ta -40 °C to +60 °C",
          "VP-4-CD rev 2", ("30 V", "150 mA", "1 W"), ("5 nF", "0")),
    _Item("DX-3", "Brightmoor", "AEx ia IIIC T120 °C Da Ta -40 °C to +60 °C", "DX-3-7001 rev A",
          ("30 V", "130 mA", "800 mW"), ("3 nF", "0")),
    _Item("FM-6", "Tarn Valve", "IS Class I, Division 1, Groups A, B, C, D T4 Ta -40 °C to +60 °C",
          "", ("30 V", "110 mA", "900 mW"), ("3 nF", "negligible")),
    _Item("LG-8", "Oversea Gauges", "II 1 G Ex ia IIC T4 Ga Ta -40 °C to +60 °C", "LG-8-CD",
          ("30 V", "130 mA", "800 mW"), ("4 nF", "negligible")),
)  # fmt: skip

_NO_DATA: Final = "18 AWG pair, no data"
_PAIR: Final = "16 AWG pair"

_Division = Literal["Division 1", "Division 2"]


class _Loop(NamedTuple):
    tag: str
    service: str
    area: str
    source: str
    item: str
    feet: int
    cable: str = _NO_DATA


_LOOPS: Final = (
    _Loop("PT-301", "reactor pressure", "HYDRO-1", "QB-28", "PX-2", 900),
    _Loop("PT-302", "hydrogen header pressure", "HYDRO-1", "QB-28", "PX-2", 1200),
    _Loop("PT-303", "reactor jacket pressure", "HYDRO-1", "QB-28", "PX-2", 1500, _PAIR),
    _Loop("TT-304", "reactor temperature", "HYDRO-1", "HZ-25", "TX-5", 1100),
    _Loop("TT-305", "catalyst bed temperature", "HYDRO-1", "HZ-25", "TX-5", 1150),
    _Loop("LS-306", "separator high level", "HYDRO-1", "QS-10", "contact", 1300),
    _Loop("TE-307", "reactor skin temperature", "HYDRO-1", "QS-10", "RTD element", 700),
    _Loop("PT-312", "hydrogen feed pressure", "HYDRO-1", "QB-28", "PX-2", 1900),
    _Loop("PT-313", "solvent tank pressure", "TANK-1", "QB-28", "PX-2", 2400),
    _Loop("LT-314", "solvent tank level", "TANK-1", "HZ-25", "TX-5", 2600),
    _Loop("LS-315", "tank overfill", "TANK-1", "QS-10", "contact", 2500),
    _Loop("HV-316", "tank outlet valve", "TANK-1", "QB-28", "VP-4", 2200),
    _Loop("HV-317", "tank inlet valve", "TANK-1", "QB-28", "VP-4", 2250, _PAIR),
    _Loop("FT-318", "transfer flow", "TANK-1", "QB-28", "FM-6", 2000),
    _Loop("LT-321", "spare tank level", "TANK-1", "QB-28", "LG-8", 1800),
    _Loop("PV-331", "vent valve positioner", "RACK-1", "NF-28", "VP-4", 2800),
    _Loop("PV-332", "purge valve positioner", "RACK-1", "NF-28", "VP-4", 2900),
    _Loop("PT-333", "rack nitrogen pressure", "RACK-1", "QB-28", "PX-2", 3000),
    _Loop("LT-341", "silo level", "SILO-1", "HZ-25", "DX-3", 1600),
    _Loop("LT-342", "day bin level", "SILO-1", "HZ-25", "DX-3", 1700),
)

_DECLARED: Final[tuple[tuple[Fact, str, str], ...]] = (
    ("safe side voltage", "250 V", "Control room drawing CR-2"),
    ("source place", SAFE_AREA, "Control room drawing CR-2"),
    ("cabinet ambient", "41 to 113 °F", "Control room drawing CR-2"),
    ("segregation", "50 mm", "Inspection IN-7"),
    ("atmospheric conditions", "standard", "Classification AC-1"),
    ("cable construction", "yes", "Cable schedule CS-9"),
    ("apparatus isolation", "500 V", _SHEETS),
    ("passive", "yes", _SHEETS),
)


def build_division_plant() -> Plant:
    """Build the demo plant of Class and Division: invented, the same each time.

    Returns
    -------
    Plant
        Twenty circuits by the NEC. The faults are those of ``DIVISION_FAULTS``, and no others.
    """
    return Plant(
        name=_NAME,
        code="NEC",
        areas=_areas(),
        certificates=tuple(
            Certificate(
                number=_certificate(one.name),
                issue="1",
                status="in force",
                listing="" if one.name == "LG-8" else "NEC",
                evidence=Evidence(document=_certificate(one.name), page="1"),
            )
            for one in (*_SOURCES, *_ITEMS)
        ),
        sources=tuple(_source(one) for one in _SOURCES),
        apparatus=tuple(_apparatus(one) for one in _ITEMS),
        simple=_simple(),
        cables=_cables(),
        circuits=tuple(_circuit(number, one) for number, one in enumerate(_LOOPS, 1)),
        declarations=(
            *(
                Declaration(fact=fact, value=value, evidence=Evidence(document=document))
                for fact, value, document in _DECLARED
            ),
            *DIVISION_DECLARATIONS,
        ),
    )


def division_markdown() -> str:
    """Return the table of deliberate faults as Markdown."""
    head = "| circuit | caught by | verdict | what went wrong | how it is mended |"
    rows = [
        f"| {one.tag} | {one.rule} | {one.verdict} | {one.story} | {one.mended} |"
        for one in DIVISION_FAULTS
    ]
    return "\n".join((head, "| --- | --- | --- | --- | --- |", *rows)) + "\n"


def _certificate(name: str) -> str:
    return f"DEMO-US {name}"


def _figures_of(name: str) -> tuple[Datum, ...]:
    return figures(DIVISION_FIGURES.get(name, ""), f"Data sheet of {name}")


def _areas() -> tuple[Area, ...]:
    drawing = Evidence(document="Classification AC-1", page="1")
    cloud = Temperature("400 °C", Evidence(document="Dust report DR-1", page="3"))
    layer = Temperature("300 °C", Evidence(document="Dust report DR-1", page="4"))
    gas: tuple[tuple[str, str, _Division, str, str], ...] = (
        ("HYDRO-1", "hydrogenation", "Division 1", "B", "T4"),
        ("TANK-1", "solvent tanks", "Division 1", "D", "T3A"),
        ("RACK-1", "pipe rack", "Division 2", "C", "T4"),
    )
    areas = [
        Area(
            tag=tag,
            title=title,
            ambient=_OUTDOORS,
            atmospheres=(
                Atmosphere(
                    zone=division,
                    hazard_class="I",
                    group=group,
                    temperature=temperature,
                    evidence=drawing,
                ),
            ),
            evidence=drawing,
        )
        for tag, title, division, group, temperature in gas
    ]
    grain = Atmosphere(
        zone="Division 1",
        hazard_class="II",
        group="G",
        cloud_ignition=cloud,
        layer_ignition=layer,
        layer="controlled",
        evidence=drawing,
    )
    silo = Area(
        tag="SILO-1", title="grain silo", ambient=_OUTDOORS, atmospheres=(grain,), evidence=drawing
    )
    return (*areas, silo)


def _source(one: _Source) -> SourceType:
    sheet = Evidence(document=one.drawing, page="1")
    Uo, Io, Po = one.values
    return SourceType(
        name=one.name,
        maker=one.maker,
        certificate=_certificate(one.name),
        control_drawing=one.drawing,
        mark=one.mark,
        isolation="galvanic",
        outputs=(
            Output(
                shape="linear",
                Uo=Voltage(Uo, sheet),
                Io=Current(Io, sheet),
                Po=Power(Po, sheet),
                limits=tuple(
                    Limits(
                        group=group,
                        Co=Capacitance(Co, sheet),
                        Lo=Inductance(Lo, sheet),
                        Lo_Ro=InductancePerResistance(ratio, sheet if ratio else Evidence()),
                    )
                    for group, Co, Lo, ratio in one.limits
                ),
            ),
        ),
        ports=(Port(Um=Voltage("250 V", sheet)),),
        ambient=TemperatureRange("-4 to 140 °F", sheet),
        function=_figures_of(one.name),
        evidence=sheet,
    )


def _apparatus(one: _Item) -> ApparatusType:
    sheet = Evidence(document=one.drawing or _SHEETS, page="1")
    Ui, Ii, Pi = one.values
    Ci, Li = one.stores
    return ApparatusType(
        name=one.name,
        maker=one.maker,
        certificate=_certificate(one.name),
        control_drawing=one.drawing,
        entries=(
            Entry(
                mark=one.mark,
                Ui=Voltage(Ui, sheet),
                Ii=Current(Ii, sheet),
                Pi=Power(Pi, sheet),
                Ci=Capacitance(Ci, sheet),
                Li=Inductance(Li, sheet),
            ),
        ),
        powered="no",
        function=_figures_of(one.name),
        evidence=sheet,
    )


def _simple() -> tuple[SimpleType, ...]:
    assessed = Evidence(document="Simple apparatus SA-1", page="1", by="site engineer")
    air = TemperatureRange("-40 to 212 °F", assessed)
    nothing = Capacitance("negligible", assessed), Inductance("negligible", assessed)
    return tuple(
        SimpleType(
            name=name,
            sort="passive",
            Ci=nothing[0],
            Li=nothing[1],
            Rth=ThermalResistance(Rth, assessed),
            ambient=air,
            powered="no",
            assessed="yes",
            function=_figures_of(name),
            evidence=assessed,
        )
        for name, Rth in (("contact", "60 K/W"), ("RTD element", "110 K/W"))
    )


def _cables() -> tuple[CableType, ...]:
    schedule = Evidence(document="Cable schedule CS-9", page="2")
    sheet = Evidence(document="Cable data sheet CD-16", page="1")
    return (
        CableType(name=_NO_DATA, gauge=Gauge("18 AWG", schedule), cores=2, evidence=schedule),
        CableType(
            name=_PAIR,
            C=CapacitancePerLength("30 pF/ft", sheet),
            L=InductancePerLength("0.18 µH/ft", sheet),
            gauge=Gauge("16 AWG", sheet),
            cores=2,
            evidence=sheet,
        ),
    )


def _circuit(number: int, one: _Loop) -> Circuit:
    drawing = f"LD-{one.tag}"
    length = Length(f"{one.feet} ft", Evidence(document="Cable schedule CS-9", note=f"W-{one.tag}"))
    return Circuit(
        tag=one.tag,
        service=one.service,
        area=one.area,
        sources=(SourceUse(tag=f"C-1/{number:02d}", source=one.source, cabinet="C-1"),),
        members=(Member(tag=one.tag, apparatus=one.item),),
        runs=(
            Run(
                cable=one.cable,
                length=length,
                number=f"W-{one.tag}",
                start="C-1",
                end=one.tag,
                as_built="yes",
            ),
        ),
        document=drawing,
        revision="0",
        evidence=Evidence(document=drawing, page="1"),
    )
