"""Columns of the catalogue: certificates, sources, apparatus, cables."""

from __future__ import annotations

from subspark.exchange.columns import NUMBER, Column
from subspark.model import (
    ApparatusType,
    CableType,
    Certificate,
    Condition,
    Datum,
    Entry,
    Limits,
    Mark,
    Output,
    Pair,
    Port,
    Record,
    SimpleType,
    SourceType,
    TemperatureRow,
)

__all__ = ["CATALOGUE"]

_WITHSTANDS = "Whether the Ex i terminals withstand 500 V to earth."
_ROLE = "terminator: a fieldbus terminator, with R and C in series."
_SURGE = "yes: a surge device."
_POWERED = "Whether it has a battery or a supply of its own."
_ENERGY = (
    "How the document settles what powered apparatus may feed back into the circuit. 'source': "
    "it is entered as a source too."
)
_ROLE = "Terminator: of a fieldbus segment, with its R and C in series."
_END_R = "Resistance of a fieldbus terminator."
_END_C = "Capacitance of a fieldbus terminator."
_RANGE = "Both ends, such as -20 to 40 °C."

CATALOGUE: dict[type[Record], tuple[Column, ...]] = {
    Datum: (
        Column(
            "what",
            "What",
            "Which figure; what each means stands in docs/function.md.",
            width=24,
            example="lift-off voltage",
        ),
        Column(
            "value",
            "Value",
            "With its unit and tolerance: 24 V ± 10 %, 21.6 to 28.8 V, <= 340 ohm, 10.5 V; or a "
            "word.",
            width=20,
            example="10.5 V",
        ),
        Column(
            "at",
            "At",
            "The current at which it holds; several rows make a table. Blank: at each.",
            width=11,
            example="22 mA",
        ),
        Column(
            "part",
            "Part of it",
            "The output, connection or channel that it holds for. Blank: the whole.",
            width=12,
        ),
    ),
    Certificate: (
        Column(
            "number",
            "Certificate",
            "The number as printed, once.",
            width=24,
            example="XYZ 24 ATEX 0001X",
            key="Certificate",
        ),
        Column("issue", "Issue", "Issue or supplement in hand.", width=9, example="2"),
        Column(
            "suffix",
            "Suffix",
            "X: has conditions of use, each of which is listed and answered. U: a component, "
            "never to be used alone.",
            width=7,
            example="X",
        ),
        Column("status", "Status", "Whether it is in force.", width=12, example="in force"),
        Column(
            "listing",
            "Listing",
            "North America: the codes by which the equipment is listed.",
            width=10,
        ),
    ),
    Condition: (
        Column(
            "text",
            "Condition",
            "The specific condition of use, in its own words.",
            width=60,
            example="The enclosure shall be protected from impact.",
        ),
        Column("answered", "Met", "Whether the plant meets it.", width=7, example="yes"),
    ),
    SourceType: (
        Column(
            "name",
            "Source",
            "The name of the type, once; circuits refer to it.",
            width=20,
            example="Isolator 28 V",
            key="Source",
        ),
        Column("maker", "Maker", "Who makes it.", width=14, example="Example Works"),
        Column("model", "Model", "The maker's designation.", width=14, example="EW-28"),
        Column(
            "certificate",
            "Certificate",
            "The number of its certificate.",
            width=22,
            example="XYZ 24 ATEX 0001X",
            refers="Certificates",
        ),
        Column(
            "control_drawing",
            "Control drawing",
            "North America: number of the control drawing by which it is installed.",
            width=16,
        ),
        Column(
            "lumped_rule_words",
            "Ca and La in full",
            "North America: the words of the control drawing by which Ca and La (Co and Lo) may "
            "be used in full together. Blank: halved where both are lumped.",
            width=18,
        ),
        Column(
            "mark",
            "Marking",
            "The Ex marking as printed; it may hold several alternatives.",
            width=24,
            example="II (1) G [Ex ia Ga] IIC",
        ),
        Column(
            "isolation",
            "Isolation",
            "Galvanic isolation, or a barrier that is earthed.",
            width=14,
            example="galvanic",
        ),
        Column("ambient", "Ambient", f"Permitted where it stands. {_RANGE}", "°C", 15),
        Column("surface", "Surface", "Highest surface temperature, in a hazardous area.", "°C", 9),
        Column(
            "covers",
            "Covers",
            "Where the source is a certificate for a whole combination: the source types that it "
            "stands for.",
            width=18,
        ),
        Column(
            "terminals_of",
            "Terminals of",
            "Where the source is terminals of field apparatus that deliver energy: which type.",
            width=16,
            refers="Apparatus",
        ),
        Column(
            "separated",
            "Separated",
            "Whether those are galvanically separated from its other terminals.",
            width=10,
        ),
        Column(
            "cross_check",
            "Checked",
            "yes: figures that a cross-check doubts were compared with the certificate and stand.",
            width=9,
        ),
    ),
    Output: (
        Column(
            "name",
            "Output",
            "Name of the output, or a printed row for several together (1+2). Blank: 1.",
            width=9,
            key="Output",
            example="1",
        ),
        Column(
            "shape",
            "Shape",
            "Output characteristic as the document states it. Blank counts as not linear.",
            width=12,
            example="linear",
        ),
        Column(
            "method",
            "Method",
            "The proof that these values serve. Terminals with values for several have one output "
            "for each.",
            width=9,
        ),
        Column("Uo", "Uo", "Highest output voltage.", "V", 9, 28),
        Column("Io", "Io", "Highest output current.", "mA", 9, 93),
        Column("Po", "Po", "Highest output power.", "mW", 9, 651),
        Column("Ci", "Ci", "Internal capacitance at the output.", "nF", 10, "negligible"),
        Column("Li", "Li", "Internal inductance at the output.", "µH", 10, "negligible"),
        Column(
            "no_current",
            "No current",
            "The words by which a document declares Io = 0, such as a diode return.",
            width=18,
        ),
        Column("polarity", "Polarity", "Polarity of the output.", width=9),
        Column("peak", "Peak", "For a.c.: whether Uo is the peak or r.m.s.", width=8),
        Column(
            "terminator",
            "Terminator",
            "Of a fieldbus supply: whether a terminator is built in.",
            width=11,
        ),
    ),
    Limits: (
        Column(
            "level",
            "Level",
            "Level of protection that the figures hold for. Blank: that of the output.",
            width=8,
            example="ia",
            key="Level",
        ),
        Column(
            "group",
            "Group",
            "One group, such as IIC, or the letters of a North American column (A, B).",
            width=9,
            example="IIC",
            key="Group",
        ),
        Column(
            NUMBER,
            "Row",
            "Only where output, level and group do not tell rows apart and sheet Pairs refers "
            "to one of them: 1, 2, ...",
            width=6,
            key="Row",
        ),
        Column("Co", "Co", "Highest capacitance that may be connected.", "nF", 10, 83),
        Column("Lo", "Lo", "Highest inductance that may be connected.", "mH", 10, 4.2),
        Column(
            "Lo_Ro",
            "Lo/Ro",
            "Highest inductance per resistance, instead of Lo.",
            "µH/ohm",
            13,
            55,
        ),
        Column(
            "together",
            "Together",
            "yes: the document says that Co and Lo may be used at the same time.",
            width=9,
        ),
    ),
    Pair: (
        Column("Co", "Co", "Capacitance of the pair.", "nF", 10, 60),
        Column("Lo", "Lo", "Inductance permitted with it.", "mH", 10, 1),
    ),
    Port: (
        Column("name", "Port", "Name of the safe-side terminals. Blank: supply.", width=12),
        Column("Um", "Um", "Highest voltage that the safe-side terminals withstand.", "V", 8, 253),
    ),
    ApparatusType: (
        Column(
            "name",
            "Apparatus",
            "The name of the type, once; circuits refer to it.",
            width=24,
            example="Transmitter P",
            key="Apparatus",
        ),
        Column("maker", "Maker", "Who makes it.", width=14, example="Example Works"),
        Column("model", "Model", "The maker's designation.", width=14, example="EW-P"),
        Column(
            "certificate",
            "Certificate",
            "The number of its certificate.",
            width=22,
            example="XYZ 24 ATEX 0001X",
            refers="Certificates",
        ),
        Column(
            "control_drawing",
            "Control drawing",
            "North America: number of the control drawing by which it is installed.",
            width=16,
        ),
        Column("role", "Role", _ROLE, width=11),
        Column("R", "Terminator R", _END_R, "ohm", 12),
        Column("C", "Terminator C", _END_C, "µF", 12),
        Column("isolation", "500 V", _WITHSTANDS, width=7, example="yes"),
        Column("surge", "Surge", _SURGE, width=7),
        Column(
            "discharge", "Discharge", "Discharge current of a surge device (8/20 µs).", "kA", 12
        ),
        Column("powered", "Powered", _POWERED, width=9, example="no"),
        Column("energy", "Own energy", _ENERGY, width=22),
    ),
    Entry: (
        Column(
            "connection",
            "Connection",
            "Name of the terminals. Blank where there is one set only.",
            width=13,
            key="Connection",
        ),
        Column(
            NUMBER,
            "Alternative",
            "Only where a connection has several sets and further sheets refer to one: 1, 2, ...",
            width=11,
            key="Alternative",
        ),
        Column(
            "method",
            "Method",
            "entity, or a set of another method, kept out of the entity proof. Blank: entity.",
            width=9,
        ),
        Column(
            "mark",
            "Marking",
            "The Ex marking as printed; it may hold several alternatives.",
            width=26,
            example="II 1 G Ex ia IIC T4 Ga",
        ),
        Column("Ui", "Ui", "Highest voltage that it accepts.", "V", 9, 30),
        Column("Ii", "Ii", "Highest current, or 'not limiting'.", "mA", 9, 120),
        Column("Pi", "Pi", "Highest power, or 'not limiting'.", "mW", 9, 900),
        Column("Ci", "Ci", "Internal capacitance.", "nF", 10, 5),
        Column("Li", "Li", "Internal inductance.", "µH", 10, "negligible"),
        Column("Uo", "Uo", "Voltage that these terminals themselves deliver.", "V", 9),
        Column("Io", "Io", "Current that these terminals themselves deliver.", "mA", 9),
        Column("Po", "Po", "Power that these terminals themselves deliver.", "mW", 9),
    ),
    TemperatureRow: (
        Column(
            "temperature",
            "T class",
            "Class or degrees as printed.",
            width=10,
            example="T4",
        ),
        Column("ambient", "Ambient", f"Where the row holds. {_RANGE}", "°C", 15, "-40 to 60 °C"),
        Column("Pi", "Pi", "Up to which power the row holds.", "mW", 9, 800),
    ),
    Mark: (
        Column(
            "system",
            "System",
            "System of the marking: IEC (ATEX too), AEx (zones of the NEC) or Division. Blank: by "
            "the group.",
            width=9,
        ),
        Column("level", "Level", "Level of protection.", width=8, example="ia"),
        Column("group", "Group", "One group, or North American letters.", width=12, example="IIC"),
        Column("epl", "EPL", "Equipment protection level.", width=6, example="Ga"),
        Column(
            "temperature",
            "T class",
            "A class, a range of classes, or degrees.",
            width=12,
            example="T4",
        ),
        Column("ambient", "Ambient", _RANGE, "°C", 15),
        Column("dust_category", "Dust category", "yes: a category of dust, such as 1 D.", width=9),
    ),
    SimpleType: (
        Column(
            "name",
            "Simple apparatus",
            "The name of the type, once; circuits refer to it.",
            width=24,
            example="Pt100 sensor",
            key="Simple apparatus",
        ),
        Column(
            "sort", "Sort", "Passive, storing energy, or generating.", width=11, example="passive"
        ),
        Column(
            "item",
            "Item",
            "Switch or terminal takes T6 up to 40 °C. Blank: other.",
            width=18,
            example="other",
        ),
        Column("role", "Role", _ROLE, width=11),
        Column("Ci", "Ci", "Internal capacitance.", "nF", 10, "negligible"),
        Column("Li", "Li", "Internal inductance.", "µH", 10, "negligible"),
        Column("U", "U", "Voltage that a generating item delivers.", "V", 8),
        Column("I", "I", "Current that a generating item delivers.", "mA", 8),
        Column("P", "P", "Power that a generating item delivers.", "mW", 8),
        Column("Rth", "Rth", "Thermal resistance in still gas.", "K/W", 10, 110),
        Column("surface", "Surface", "Area of its surface.", "mm2", 13),
        Column(
            "hottest_surface",
            "Hottest",
            "For dust and mines: highest surface temperature that the assessment shows, dust on it "
            "included.",
            "°C",
            11,
        ),
        Column("ambient", "Ambient", _RANGE, "°C", 15),
        Column("R", "Terminator R", _END_R, "ohm", 12),
        Column("C", "Terminator C", _END_C, "µF", 12),
        Column("isolation", "500 V", _WITHSTANDS, width=7, example="yes"),
        Column("surge", "Surge", _SURGE, width=7),
        Column(
            "discharge", "Discharge", "Discharge current of a surge device (8/20 µs).", "kA", 12
        ),
        Column("powered", "Powered", _POWERED, width=9),
        Column("energy", "Own energy", _ENERGY, width=22),
        Column(
            "assessed",
            "Assessed",
            "yes: assessed as simple apparatus, with the assessment as evidence.",
            width=9,
            example="yes",
        ),
    ),
    CableType: (
        Column(
            "name",
            "Cable",
            "The name of the type, once; runs refer to it.",
            width=20,
            example="2 x 1.5 screened",
            key="Cable",
        ),
        Column("C", "C", "Capacitance per length as used.", "nF/km", 11, 120),
        Column("C_core", "C core-core", "Capacitance per length, core to core.", "nF/km", 12),
        Column("C_screen", "C core-screen", "Capacitance per length, core to screen.", "nF/km", 14),
        Column("L", "L", "Inductance per length.", "mH/km", 11, 0.7),
        Column("L_R", "L/R", "Highest inductance per resistance.", "µH/ohm", 13, 25),
        Column(
            "R_loop",
            "R loop",
            "Lowest resistance per length of two cores in loop, a data sheet's minimum.",
            "ohm/km",
            13,
        ),
        Column(
            "R_loop_max",
            "R loop max",
            "Highest resistance per length of two cores in loop; asked of fieldbus segments only.",
            "ohm/km",
            13,
        ),
        Column("R_core", "R core", "Lowest resistance per length of one core.", "ohm/km", 13),
        Column(
            "R_core_max",
            "R core highest",
            "Highest resistance per length of one core at 20 °C; asked of function.",
            "ohm/km",
            14,
        ),
        Column("section", "Section", "Cross-section of one core.", "mm2", 13, 1.5),
        Column(
            "gauge",
            "Gauge",
            "American wire gauge of one core, such as 18 AWG, instead of a section.",
            "AWG",
            11,
        ),
        Column(
            "conductor",
            "Conductor",
            "Of IEC 60228: solid (class 1), stranded (2), flexible (5); asked of function.",
            width=10,
        ),
        Column("tinned", "Tinned", "Whether the copper is tinned; asked of function.", width=8),
        Column("cores", "Cores", "How many conductors one circuit may use.", width=7, example=2),
        Column("pairs", "Pairs", "How many pairs a multicore has.", width=7),
        Column(
            "colours",
            "Core colours",
            "Codes of IEC 60757, of the cores of one circuit or of all cores pair by pair, such as "
            "BK; WH. They are printed and decide nothing.",
            width=14,
        ),
        Column("screen", "Screen", "Screens of the cable.", width=11, example="overall"),
        Column("coverage", "Coverage", "Cover of each individual screen.", "%", 11),
        Column("strand", "Strand", "Diameter of the thinnest strand.", "mm", 10, 0.25),
        Column("test_voltage", "Test voltage", "Voltage of the insulation test.", "V", 12, 500),
        Column("insulation", "Insulation", "Thickness of the core insulation.", "mm", 12, 0.5),
        Column("rated_temperature", "Rated", "Highest temperature of the cable.", "°C", 9, 70),
        Column("multicore", "Multicore", "Type of a multicore by its construction.", width=10),
        Column(
            "fixed_and_protected",
            "Fixed",
            "yes: fixed and protected against damage along its way.",
            width=8,
        ),
        Column(
            "construction",
            "Construction",
            "yes: the construction meets what the standard asks of cables.",
            width=12,
        ),
    ),
}
