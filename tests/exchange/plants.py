"""Random plants, drawn field by field from the model itself, and a small one to spoil."""

from __future__ import annotations

import functools
from typing import Any

from hypothesis import reject
from hypothesis import strategies as st

from subspark.errors import InputError, PlantError
from subspark.exchange.fields import Field, fields_of
from subspark.model import (
    SAFE_AREA,
    ApparatusType,
    Area,
    Atmosphere,
    CableType,
    Certificate,
    Circuit,
    Condition,
    Declaration,
    Entry,
    Junction,
    Limits,
    Member,
    Output,
    Pair,
    Plant,
    Port,
    Record,
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
    Inductance,
    InductancePerLength,
    Length,
    Power,
    TemperatureRange,
    Voltage,
)

NASTY = (
    "=1+1",
    "+A1",
    "-5",
    "@SUM(A1)",
    '=HYPERLINK("x")',
    "101",
    "1.0",
    "007",
    "1-2",
    "TRUE",
    "#REF!",
    "'quoted",
    '"',
    "a;b",
    "http://example.invalid",
    "µ Ω ″ 漢 😀",
    "_x0041_",
    "{=A1}",
    "not limiting",
    "unknown",
    "-",
    "0",
)
ALPHABET = st.characters(exclude_categories=["Cs"], exclude_characters="\ufffe\uffff")
UNITS = {
    "a voltage": ("V", "mV", "kV"),
    "a current": ("mA", "A", "µA"),
    "a power": ("mW", "W"),
    "a capacitance": ("nF", "µF", "uF", "pF"),
    "an inductance": ("mH", "µH", "H"),
    "a resistance": ("ohm", "Ω"),
    "an inductance per resistance": ("µH/ohm", "mH/ohm"),
    "a capacitance per length": ("nF/km", "pF/m", "pF/ft"),
    "an inductance per length": ("mH/km", "µH/m"),
    "a resistance per length": ("ohm/km", "ohm/1000ft"),
    "a length": ("m", "mm", "ft", "km"),
    "an area": ("mm2", "cm2"),
    "a temperature": ("°C", "°F"),
    "a thermal resistance": ("K/W",),
    "a surge current": ("kA", "A"),
    "a wire gauge": ("AWG",),
}
NUMBERS = ("0", "1", "83", "83.0", "0.1", "0.65", "4.2", "0.083", "12,5", "1e3", "100", ".5", "007")
RANGES = ("", "-20 to 40 °C", "Ta: -20 °C to +60 °C", "unknown", "-4 to 104 °F", "0 to 0 °C")


def plain(text: str) -> str:
    return " ".join(text.split())


def texts() -> st.SearchStrategy[str]:
    return st.sampled_from(NASTY) | st.text(ALPHABET, max_size=12)


def names(least: int = 0, most: int = 3) -> st.SearchStrategy[list[str]]:
    """Different names that are not blank and not marked as an example."""
    fit = (
        texts()
        .map(plain)
        .filter(lambda text: text and not text.lower().startswith("e.g.") and text != SAFE_AREA)
    )
    return st.lists(fit, min_size=least, max_size=most, unique=True)


def evidences() -> st.SearchStrategy[Evidence]:
    return st.just(Evidence()) | st.builds(
        Evidence,
        document=texts(),
        page=st.sampled_from(("", "3", "iv")),
        note=texts(),
        by=st.sampled_from(("", "=A")),
        assumed=st.booleans(),
    )


@functools.cache
def printed(record: type[Record], name: str) -> list[str]:
    """Texts of many kinds that a quantity accepts."""
    one = fields_of(record)[name]
    assert one.kind is not None
    example = one.kind.example.partition(" or ")[0].partition(" ")[2]
    units = UNITS.get(one.kind.name, (example,))
    numbers = [f"{number}{space}{unit}" for number in NUMBERS for unit in units for space in " _"]
    words = ["", "unknown", "n/a", f"≤ 5 {units[0]}", "0", "-5 °C", "negligible", "not limiting"]
    words.append(one.kind.example.partition(" or ")[0])
    return [
        text for text in (*words, *(one.replace("_", "") for one in numbers)) if fits(one, text)
    ]


def fits(one: Field, text: str) -> bool:
    try:
        one.take(text)
    except InputError:
        return False
    return True


@st.composite
def quantities(draw: st.DrawFn, one: Field) -> object:
    texts = printed(one.record, one.name)
    text = draw(st.sampled_from(texts[:8]) | st.sampled_from(texts))
    assert one.value is not None
    return one.value(text, draw(evidences()))


def any_of(draw: st.DrawFn, record: type[Record], **given: Any) -> Any:
    """A record with every field drawn that is not given."""
    taken = dict(given)
    for name, one in fields_of(record).items():
        if name in taken or one.sort == "records":
            continue
        if one.sort == "quantity":
            taken[name] = draw(quantities(one))
        elif one.sort == "range":
            taken[name] = TemperatureRange(draw(st.sampled_from(RANGES)), draw(evidences()))
        elif one.sort == "choice":
            taken[name] = draw(st.sampled_from(one.choices))
        elif one.sort == "text":
            words = texts().filter(lambda text: bool(text.strip())) if one.required else texts()
            taken[name] = draw(words)
        elif one.sort == "texts":
            taken[name] = tuple(draw(names()))
        elif one.sort == "integer":
            taken[name] = draw(st.none() | st.integers(0, 10**20))
        elif one.sort == "number":
            taken[name] = draw(st.none() | st.floats(0, 100))
        elif one.sort == "flag":
            taken[name] = draw(st.booleans())
        else:
            taken[name] = draw(evidences())
    return record(**taken)


COLOURED: tuple[dict[str, Any], ...] = (
    {"colours": ()},
    {"colours": ("GNYE",), "cores": None},
    {"colours": ("BU", "BK"), "cores": 2, "pairs": None},
    {"colours": ("BU", "BK", "WH", "RD"), "cores": 2, "pairs": 2},
)
"""Colours of cores, as many as there are; what is no colour is refused elsewhere."""


def several(draw: st.DrawFn, record: type[Record], most: int = 2, **given: Any) -> tuple[Any, ...]:
    return tuple(any_of(draw, record, **given) for _ in range(draw(st.integers(0, most))))


def _source(draw: st.DrawFn, name: str, certificates: list[str], types: list[str]) -> SourceType:
    record = fields_of(SourceType)
    outputs = []
    for output in draw(names(1, 2)):
        limits = [
            any_of(draw, Limits, pairs=several(draw, Pair)) for _ in range(draw(st.integers(0, 2)))
        ]
        if limits and draw(st.booleans()):
            limits.append(limits[0])  # nothing tells the two apart
        outputs.append(any_of(draw, Output, name=output, limits=tuple(limits)))
    mark = record["serves"].item
    assert mark is not None
    return any_of(
        draw,
        SourceType,
        name=name,
        certificate=draw(st.sampled_from(["", *certificates])),
        outputs=tuple(outputs),
        ports=tuple(any_of(draw, Port, name=port) for port in draw(names(0, 2))),
        terminals_of=draw(st.sampled_from(["", *types])),
        serves=several(draw, mark),
        body=several(draw, mark, 1),
    )


def _apparatus(draw: st.DrawFn, name: str, certificates: list[str]) -> ApparatusType:
    facts = fields_of(Entry)
    entries = []
    for connection in draw(st.sampled_from([("",), ("", ""), ("a",), ("a", "b", "a"), ("", "1")])):
        lists = {
            one.name: several(draw, one.item)
            for one in facts.values()
            if one.sort == "records" and one.item is not None
        }
        entries.append(any_of(draw, Entry, connection=connection, **lists))
    certificate = draw(st.sampled_from(["", *certificates]))
    return any_of(draw, ApparatusType, name=name, certificate=certificate, entries=tuple(entries))


def _circuit(
    draw: st.DrawFn,
    tag: str,
    areas: list[str],
    sources: tuple[SourceType, ...],
    items: list[tuple[str, list[str]]],
    cables: list[str],
) -> Circuit:
    place = st.sampled_from(["", SAFE_AREA, *areas])
    uses = []
    for _ in range(draw(st.integers(0, 2)) if sources else 0):
        source = draw(st.sampled_from(sources))
        outputs = [output.name for output in source.outputs]
        blank = [""] if len(outputs) == 1 else []
        supplies = fields_of(SourceUse)["safe_side"].item
        assert supplies is not None
        uses.append(
            any_of(
                draw,
                SourceUse,
                source=source.name,
                outputs=draw(st.sampled_from(outputs + blank)),
                place=draw(place),
                safe_side=tuple(
                    any_of(draw, supplies, port=port.name)
                    for port in source.ports
                    if draw(st.booleans())
                ),
            )
        )
    members = []
    for _ in range(draw(st.integers(0, 2)) if items else 0):
        name, connections = draw(st.sampled_from(items))
        connection = draw(st.sampled_from(connections))
        members.append(
            any_of(draw, Member, apparatus=name, connection=connection, place=draw(place))
        )
    runs = [
        any_of(draw, Run, cable=draw(st.sampled_from(["", *cables])), area=draw(place))
        for _ in range(draw(st.integers(0, 2)))
    ]
    return any_of(
        draw,
        Circuit,
        tag=tag,
        area=draw(place),
        system=draw(st.sampled_from(["", *(one.name for one in sources)])),
        sources=tuple(uses),
        members=tuple(members),
        runs=tuple(runs),
    )


@st.composite
def plants(draw: st.DrawFn) -> Plant:
    """A plant of any content that the model accepts."""
    areas, certificates, cables = draw(names()), draw(names()), draw(names())
    types = draw(names(0, 3))
    sources = tuple(_source(draw, name, certificates, types) for name in draw(names(0, 2)))
    cut = draw(st.integers(0, len(types)))
    apparatus = tuple(_apparatus(draw, name, certificates) for name in types[:cut])
    simple = tuple(any_of(draw, SimpleType, name=name) for name in types[cut:])
    items = [(one.name, [entry.connection for entry in one.entries]) for one in apparatus]
    items += [(one.name, ["", "any"]) for one in simple]
    circuits = tuple(
        _circuit(draw, tag, areas, sources, items, cables) for tag in draw(names(0, 3))
    )
    known = {
        "plant": [""],
        "area": [*areas, SAFE_AREA],
        "cabinet": [use.cabinet for one in circuits for use in one.sources if use.cabinet],
        "source": [one.name for one in sources],
        "apparatus": types,
        "cable": cables,
        "certificate": certificates,
        "circuit": [one.tag for one in circuits],
    }
    declarations = {}
    for _ in range(draw(st.integers(0, 2))):
        scope = draw(st.sampled_from([scope for scope, of in known.items() if of]))
        one = any_of(draw, Declaration, scope=scope, of=draw(st.sampled_from(known[scope])))
        declarations[one.fact, one.scope, one.of] = one
    try:
        return any_of(
            draw,
            Plant,
            areas=tuple(
                any_of(draw, Area, tag=tag, atmospheres=several(draw, Atmosphere)) for tag in areas
            ),
            certificates=tuple(
                any_of(draw, Certificate, number=number, conditions=several(draw, Condition))
                for number in certificates
            ),
            sources=sources,
            apparatus=apparatus,
            simple=simple,
            cables=tuple(
                any_of(draw, CableType, name=name, **draw(st.sampled_from(COLOURED)))
                for name in cables
            ),
            junctions=tuple(
                any_of(draw, Junction, tag=tag, area=draw(st.sampled_from(["", *areas])))
                for tag in draw(names(0, 2))
            ),
            circuits=circuits,
            declarations=tuple(declarations.values()),
        )
    except PlantError:  # drawn without regard to what may stand together
        reject()


def small_plant() -> Plant:
    """Two circuits: one that fits a row, one with several of everything."""
    page = Evidence("Certificate S", "3")
    output = Output(
        shape="linear",
        Uo=Voltage("28 V"),
        Io=Current("93 mA"),
        Po=Power("651 mW"),
        limits=(
            Limits(
                group="IIC",
                Co=Capacitance("83 nF", page),
                Lo=Inductance("4.2 mH", page),
                pairs=(Pair(Co=Capacitance("60 nF"), Lo=Inductance("1 mH")),),
            ),
            Limits(group="IIB", Co=Capacitance("0.65 µF", page), Lo=Inductance("16 mH", page)),
        ),
    )
    entries = (
        Entry(
            mark="Ex ia IIC T4 Ga", Ui=Voltage("30 V"), Ii=Current("120 mA"), Ci=Capacitance("0")
        ),
    )
    return Plant(
        name="Small plant",
        areas=(
            Area(
                tag="A1",
                title="Skid",
                atmospheres=(Atmosphere(zone="1", substances=("hydrogen", "methane")),),
                ambient=TemperatureRange("-20 to 40 °C"),
            ),
        ),
        certificates=(
            Certificate(
                number="CERT 1X",
                suffix="X",
                conditions=(Condition(text="Keep it dry.", answered="yes"),),
            ),
        ),
        sources=(
            SourceType(
                name="S1",
                certificate="CERT 1X",
                outputs=(output,),
                ports=(Port(Um=Voltage("253 V")),),
            ),
        ),
        apparatus=(
            ApparatusType(name="P1", entries=entries, isolation="yes"),
            ApparatusType(name="P2", entries=(Entry(connection="a"), Entry(connection="b"))),
        ),
        simple=(SimpleType(name="Switch", item="switch or terminal", assessed="yes"),),
        cables=(
            CableType(
                name="K1",
                C=CapacitancePerLength("120 nF/km"),
                L=InductancePerLength("0.7 mH/km"),
                cores=2,
            ),
        ),
        junctions=(Junction(tag="JB1", area="A1"),),
        circuits=(
            Circuit(
                tag="PT-1",
                area="A1",
                sources=(SourceUse(tag="B1", source="S1", place="safe area", cabinet="C1"),),
                members=(Member(tag="PT-1", apparatus="P1"),),
                runs=(Run(cable="K1", length=Length("350 m")),),
            ),
            Circuit(
                tag="PT-2",
                area="A1",
                sources=(SourceUse(source="S1"),),
                members=(Member(apparatus="P2", connection="b"), Member(apparatus="Switch")),
                runs=(Run(cable="K1", length=Length("10 m")), Run(length=Length("1200 ft"))),
            ),
        ),
        declarations=(
            Declaration(fact="safe side voltage", value="250 V"),
            Declaration(fact="cable construction", value="yes", scope="cable", of="K1"),
        ),
    )
