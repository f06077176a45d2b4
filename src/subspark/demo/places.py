"""Areas of the demo plant, its cabinets, and what is declared for many circuits at once."""

from __future__ import annotations

from typing import Final, Literal, NamedTuple

from subspark.model import SAFE_AREA, Area, Atmosphere, Certificate, Condition, Declaration, Fact
from subspark.quantity import Evidence, Temperature, TemperatureRange

__all__ = ["AREAS", "CABINETS", "OPEN_CONDITION", "Cabinet", "certificates", "declarations"]

_CLASSIFICATION: Final = Evidence(document="Area classification AC-2", page="7")
_MILL: Final = Evidence(document="Dust test report DT-5", page="2", note="ground maize")
_OUTDOORS: Final = TemperatureRange("-20 to 40 °C", Evidence(document="Site data SD-1", page="2"))


def _gas(
    zone: Literal["0", "1", "2"],
    group: str = "",
    temperature: str = "",
    substances: tuple[str, ...] = (),
) -> Atmosphere:
    return Atmosphere(
        zone=zone,
        group=group,
        temperature=temperature,
        substances=substances,
        evidence=_CLASSIFICATION,
    )


def _grain(zone: Literal["20", "21", "22"]) -> Atmosphere:
    laboratory = Evidence(document="Dust test report DT-4", page="3", note="barley and maize")
    return Atmosphere(
        zone=zone,
        group="IIIB",
        cloud_ignition=Temperature("400 °C", laboratory),
        layer_ignition=Temperature("300 °C", laboratory),
        evidence=_CLASSIFICATION,
    )


def _area(tag: str, title: str, *atmospheres: Atmosphere, ambient: str = "") -> Area:
    hottest = TemperatureRange(ambient, Evidence(document="Site data SD-1", page="3"))
    return Area(
        tag=tag,
        title=title,
        atmospheres=atmospheres,
        ambient=hottest if ambient else _OUTDOORS,
        hybrid="no" if len(atmospheres) > 1 else "",
        evidence=_CLASSIFICATION,
    )


AREAS: Final = (
    _area("SKID-0", "Hydrogen skid: vents and catch pots", _gas("0", "IIC", "T1")),
    _area("SKID-1", "Hydrogen skid: inside the canopy", _gas("1", "IIC", "T1")),
    _area("SKID-2", "Hydrogen skid: around the canopy", _gas("2", "IIC", "T1")),
    _area("RAW-1", "Raw biogas: digesters and gas line", _gas("1", "IIB", "T3")),
    _area("RAW-2", "Raw biogas: around digesters and gas line", _gas("2", "IIB", "T3")),
    _area("CLEAN-1", "Upgraded biogas: membranes and buffer", _gas("1", "IIA", "T1")),
    _area(
        "BLEND-1",
        "Blending: mixers and metering run",
        _gas("1", substances=("Methane", "Hydrogen", "Hydrogen sulfide")),
    ),
    _area("PROPANE-2", "Propane for the calorific value", _gas("2", substances=("74-98-6",))),
    _area(
        "COMP-1",
        "Compressor house",
        _gas("1", "IIB+H2", "T4"),
        ambient="5 to 50 °C",
    ),
    _area("BOOT-20", "Elevator boot and head: inside", _grain("20")),
    _area(
        "BIN-20",
        "Premix bin: inside, conductive dust",
        Atmosphere(zone="20", group="IIIC", temperature="135 °C", evidence=_CLASSIFICATION),
    ),
    _area("GALLERY-21", "Conveyor gallery", _grain("21")),
    _area("YARD-22", "Elevator: filter and intake pit", _grain("22")),
    _area(
        "MILL-21",
        "Hammer mill: feed and outlet",
        Atmosphere(
            zone="21",
            group="IIIB",
            cloud_ignition=Temperature("380 °C", _MILL),
            layer_ignition=Temperature("280 °C", _MILL),
            evidence=_CLASSIFICATION,
        ),
    ),
    _area(
        "SUMP-20",
        "Screenings sump: dust lies as deep as it falls",
        Atmosphere(
            zone="20",
            group="IIIB",
            cloud_ignition=Temperature("380 °C", _MILL),
            layer="uncontrolled",
            evidence=_CLASSIFICATION,
        ),
    ),
    _area(
        "CROSSING-2",
        "Where the gas line crosses under the gallery",
        _gas("2", "IIA", "T1"),
        _grain("22"),
    ),
)


class Cabinet(NamedTuple):
    """A cabinet with sources: where it stands, how warm it gets inside, its title."""

    place: str
    ambient: str
    title: str


CABINETS: Final = {
    "MC-1": Cabinet(SAFE_AREA, "5 to 45 °C", "isolators, gas side"),
    "MC-2": Cabinet(SAFE_AREA, "5 to 45 °C", "isolators, elevator"),
    "MC-3": Cabinet(SAFE_AREA, "5 to 40 °C", "shunt-diode barriers on one earth bar"),
    "MC-4": Cabinet(SAFE_AREA, "5 to 45 °C", "isolators of the second stage"),
    "MC-5": Cabinet(SAFE_AREA, "5 to 40 °C", "barriers of the second stage on one earth bar"),
    "FC-1": Cabinet("SKID-2", "-20 to 55 °C", "field cabinet beside the hydrogen skid"),
    "FC-2": Cabinet("RAW-1", "-20 to 55 °C", "flameproof housings at the gas line"),
}

_PLANT_WIDE: Final[tuple[tuple[Fact, str, str], ...]] = (
    ("safe side voltage", "250 V", "Electrical design basis ED-1, 230/400 V, 4.2"),
    ("source place", SAFE_AREA, "Cabinet schedule CS-1"),
    ("apparatus isolation", "500 V", "Insulation tests IT-1 to IT-14"),
    ("cable construction", "evidenced", "Cable specification CA-1, section 3"),
    ("segregation", "50 mm", "Inspection of terminals IN-5"),
    ("atmospheric conditions", "standard", "Area classification AC-2, section 1"),
)
_EARTH_BARS: Final = ("MC-3", "MC-5")
_BARRIER_EARTH: Final[tuple[tuple[Fact, str, str], ...]] = (
    ("barrier earth resistance", "0.6 ohm", "Earth test ET-3"),
    ("barrier earth conductors", "2 x 2.5 mm2", "Earthing drawing EG-3"),
)

_MET: Final = (
    "DEMO 21.0003X",
    "DEMO 21.0007X",
    "DEMO 20.0032X",
    "DEMO 21.0043X",
    "DEMO 22.0101X",
    "DEMO 22.0102X",
    "DEMO 22.0121X",
    "DEMO 22.0131X",
    "DEMO 22.0141X",
    "DEMO 22.0171X",
    "DEMO 22.0172X",
    "DEMO 22.0182X",
)
"""Certificates whose conditions are met in the whole plant, by one declaration each."""

_CONDITIONS: Final = {
    "DEMO 21.0004X": ("The housing is to be closed while its circuits are live.",),
    "DEMO 22.0105X": ("Electrostatic charge of the painted housing is to be avoided.",),
    "DEMO 22.0109X": (
        "Friction sparks of the titanium bluff body are to be excluded.",
        "The cable entry is to be sealed to IP66.",
    ),
    "DEMO 22.0151X": ("The plug is to be secured with the screw supplied.",),
    "DEMO 22.0154X": ("The feedback lever is to be protected from impact.",),
}

OPEN_CONDITION: Final = "DEMO 22.0109X"
"""The certificate of which one condition was never answered."""


def certificates(numbers: tuple[str, ...]) -> tuple[Certificate, ...]:
    """Return the certificates of the catalogue, with their conditions answered one by one."""
    walked = Evidence(document="Inspection IN-2", page="4")
    return tuple(
        Certificate(
            number=number,
            issue="1",
            suffix="X" if number.endswith("X") else "",
            status="in force",
            conditions=tuple(
                Condition(
                    text=text,
                    answered="" if number == OPEN_CONDITION else "yes",
                    evidence=Evidence() if number == OPEN_CONDITION else walked,
                )
                for text in _CONDITIONS.get(number, ())
            ),
            evidence=Evidence(document=number, page="1"),
        )
        for number in numbers
    )


def declarations() -> tuple[Declaration, ...]:
    """Return every fact that is stated once and serves many circuits."""
    whole = [
        Declaration(fact=fact, value=value, evidence=Evidence(document=document))
        for fact, value, document in _PLANT_WIDE
    ]
    bars = [
        Declaration(
            fact=fact, value=value, scope="cabinet", of=bar, evidence=Evidence(document=document)
        )
        for bar in _EARTH_BARS
        for fact, value, document in _BARRIER_EARTH
    ]
    warmth = [
        Declaration(
            fact="cabinet ambient",
            value=cabinet.ambient,
            scope="cabinet",
            of=tag,
            evidence=Evidence(document="Cabinet schedule CS-1", note=cabinet.title),
        )
        for tag, cabinet in CABINETS.items()
    ]
    met = [
        Declaration(
            fact="conditions answered",
            value="yes",
            scope="certificate",
            of=number,
            evidence=Evidence(document="Register of conditions RC-1"),
        )
        for number in _MET
    ]
    return (*whole, *bars, *warmth, *met)
