"""Columns of the plant itself: areas, circuits, declarations."""

from __future__ import annotations

from subspark.exchange.columns import NUMBER, Column
from subspark.model import (
    Area,
    Atmosphere,
    Circuit,
    Declaration,
    Junction,
    Member,
    Plant,
    PortSupply,
    Record,
    Run,
    SourceUse,
)

__all__ = ["PLANT"]

_WITHSTANDS = "Whether the Ex i terminals withstand 500 V to earth."
_RANGE = "Both ends, such as -20 to 40 °C."

PLANT: dict[type[Record], tuple[Column, ...]] = {
    Plant: (
        Column("name", "Plant", "The name of the plant.", width=36, example="Biogas station"),
        Column(
            "code",
            "Code",
            "The edition of the rules by which the plant is judged.",
            width=14,
            example="IEC-2024",
        ),
    ),
    Area: (
        Column("tag", "Area", "The tag of the area, once.", width=14, example="A-100", key="Area"),
        Column("title", "Title", "What the area is.", width=28, example="Blending skid"),
        Column("ambient", "Ambient", _RANGE, "°C", 15, "-20 to 40 °C"),
        Column(
            "hybrid",
            "Hybrid mixture",
            "Whether gas and dust may form a mixture; asked only where the area has both.",
            width=9,
        ),
    ),
    Atmosphere: (
        Column("zone", "Zone", "Zone of gas or dust, Division, or mine.", width=10, example="1"),
        Column(
            "hazard_class",
            "Class",
            "North American class: I gas, II dust, III fibres.",
            width=7,
        ),
        Column(
            "group",
            "Group",
            "The group of the atmosphere, such as IIC, IIIB, or A, B in North America. Blank "
            "where substances are named.",
            width=9,
            example="IIC",
        ),
        Column(
            "temperature",
            "T class",
            "Temperature class of a gas, or the highest surface temperature of a dust. Blank "
            "where substances are named.",
            width=9,
            example="T1",
        ),
        Column(
            "substances",
            "Substances",
            "Names or CAS numbers; group and temperature class of a gas follow from them where "
            "those are blank.",
            width=22,
            example="hydrogen; methane",
        ),
        Column(
            "cloud_ignition", "Cloud ignition", "Ignition temperature of a dust cloud.", "°C", 10
        ),
        Column(
            "layer_ignition",
            "Layer ignition",
            "Ignition temperature of a 5 mm layer of dust.",
            "°C",
            10,
        ),
        Column("layer_depth", "Layer depth", "Depth of the dust layer, where known.", "mm", 11),
        Column(
            "layer_limit",
            "Layer limit",
            "For layers above 5 mm: highest surface temperature that a test at the real depth "
            "permits.",
            "°C",
            10,
        ),
        Column(
            "layer",
            "Layer",
            "uncontrolled: dust of whatever depth; proved by the power that may be dissipated.",
            width=12,
        ),
        Column(
            "coal_dust",
            "Coal dust",
            "Of a mine: whether coal dust can lie in layers (150 °C; else 450 °C).",
            width=9,
        ),
        Column(
            "epl",
            "EPL",
            "Only where it differs from the usual one of the zone. A lower one needs evidence.",
            width=6,
            evidence="epl_evidence",
        ),
    ),
    Junction: (
        Column("tag", "Junction", "The tag of the box or strip, once.", width=14, example="JB-1"),
        Column("area", "Area", "Where it stands.", width=14, example="A-100", refers="Areas"),
        Column("title", "Title", "What it is.", width=28, example="Box on the skid"),
        Column(
            "Rth",
            "Rth",
            "How much hotter its inside becomes per watt of all circuits that end there.",
            "K/W",
            10,
        ),
    ),
    Circuit: (
        Column(
            "tag",
            "Circuit",
            "The tag of the circuit, once.",
            width=16,
            example="PT-101",
            key="Circuit",
        ),
        Column("service", "Service", "What it does.", width=26, example="Inlet pressure"),
        Column(
            "area", "Area", "The area that it serves.", width=12, example="A-100", refers="Areas"
        ),
        Column(
            "method",
            "Method",
            "How it is proved: by entity parameters, or as a fieldbus segment. Blank: entity.",
            width=9,
        ),
        Column(
            "joined",
            "Joined",
            "How several sources are joined, where it is certain. Blank: by their polarity.",
            width=10,
        ),
        Column(
            "system",
            "System",
            "The source type that holds the printed values of a certificate for the whole "
            "combination; they replace the calculation.",
            width=14,
            refers="Sources",
        ),
        Column(
            "bonding",
            "Bonding",
            "Whether bonding along the route is evidenced, where the circuit is earthed twice.",
            width=9,
        ),
        Column("document", "Drawing", "The circuit's own drawing.", width=14),
        Column("revision", "Revision", "Its revision.", width=9),
        Column("note", "Note", "Anything to remember.", width=22),
    ),
    SourceUse: (
        Column(
            NUMBER,
            "Source no.",
            "Only where a circuit has several sources and sheet Safe side refers to one: 1, 2, ...",
            width=10,
            key="Source no.",
        ),
        Column("tag", "Source tag", "The tag of this one.", width=14, example="B-101"),
        Column(
            "source",
            "Source",
            "The type of source.",
            width=18,
            example="Isolator 28 V",
            refers="Sources",
        ),
        Column(
            "outputs",
            "Output",
            "An output, several joined by + (1+2). Blank where the type has one only.",
            width=9,
        ),
        Column(
            "place",
            "Source in",
            "Where the source stands: an area, or safe area.",
            width=13,
            refers="Areas",
            example="safe area",
        ),
        Column("cabinet", "Cabinet", "The cabinet that it stands in.", width=11, example="C-1"),
        Column("place_ambient", "Cabinet ambient", f"Temperatures around it. {_RANGE}", "°C", 15),
        Column("polarity", "Source polarity", "How it is connected.", width=9),
    ),
    PortSupply: (
        Column("port", "Port", "A port of the source. Blank: supply.", width=12, example="supply"),
        Column(
            "voltage",
            "Voltage",
            "Rated voltage that may stand behind the port under fault. Below 250 V it counts "
            "only with evidence (SELV, PELV, safety transformer, battery).",
            "V",
            11,
            230,
        ),
    ),
    Member: (
        Column("tag", "Apparatus tag", "The tag of this one.", width=14, example="PT-101"),
        Column(
            "apparatus",
            "Apparatus",
            "The type of apparatus or simple apparatus.",
            width=20,
            example="Transmitter P",
            refers="Apparatus",
        ),
        Column(
            "connection",
            "Connection",
            "A connection of the type. Blank where it has one only.",
            width=12,
        ),
        Column(
            "place",
            "Apparatus in",
            "Where it stands, if not in the circuit's own area.",
            width=13,
            refers="Areas",
        ),
        Column("process", "Process", "Hottest temperature that its mounting brings.", "°C", 11),
        Column(
            "ambient",
            "Ambient here",
            f"Temperatures around it, if not the area's. {_RANGE}",
            "°C",
            15,
        ),
        Column("temporary", "Temporary", "yes: a service tool, hung on for a while.", width=10),
        Column("isolation", "500 V", _WITHSTANDS, width=7),
        Column("distance", "Distance", "Of a surge device: to the boundary of zone 0.", "m", 12),
        Column(
            "earth_conductor",
            "Earth conductor",
            "Of a surge device: section of the conductor that earths it.",
            "mm2",
            14,
        ),
    ),
    Run: (
        Column(
            "cable",
            "Cable",
            "The type of cable.",
            width=18,
            example="2 x 1.5 screened",
            refers="Cables",
        ),
        Column("length", "Length", "Length of the run.", "m", 11, 350),
        Column(
            "number",
            "Cable no.",
            "The cable itself; runs of the same number share one multicore.",
            width=13,
            example="W-101",
        ),
        Column("start", "From", "Where the run begins.", width=13, example="B-101"),
        Column("end", "To", "Where it ends.", width=13, example="PT-101"),
        Column(
            "area",
            "Run in",
            "Where it lies, if not in the circuit's own area.",
            width=13,
            refers="Areas",
        ),
        Column("part", "Part", "Of a fieldbus segment: trunk or spur.", width=8),
        Column("screen", "Screen use", "What is done with the screen.", width=15),
        Column(
            "parallel",
            "Joined cores",
            "Cores joined for each conductor, if more than one: fewer ohms, more capacitance.",
            width=12,
        ),
        Column("as_built", "As built", "yes: length as measured on site.", width=9),
    ),
    Declaration: (
        Column("fact", "Fact", "What is stated.", width=24, example="safe side voltage"),
        Column(
            "value",
            "Value",
            "The statement, with its unit where it has one: 250 V, yes, 2 x 1.5 mm2.",
            width=16,
            example="250 V",
        ),
        Column(
            "scope",
            "Scope",
            "What kind of thing it holds for; the narrowest wins. Blank: plant.",
            width=12,
            example="plant",
        ),
        Column("of", "Of", "Which one; blank for the plant.", width=18),
    ),
}
