"""From the oracle's inputs to a plant of the library, so that both judge the same circuit.

The only translation is of form. Four facts that the inputs do not know are supplied, since the
library asks for them and the oracle does not: distance to other circuits, standard atmosphere,
air temperature of cabinets where no range is given for the source, and control drawings (which
the library asks for under the NEC only).
"""

from __future__ import annotations

import dataclasses
import re
from typing import Any

from subspark.errors import InputError
from subspark.model import (
    ApparatusType,
    Area,
    Atmosphere,
    CableType,
    Certificate,
    Circuit,
    Condition,
    Declaration,
    Entry,
    Limits,
    Mark,
    Member,
    Output,
    Pair,
    Plant,
    Port,
    PortSupply,
    Record,
    Run,
    SimpleType,
    SourceType,
    SourceUse,
    TemperatureRow,
)

Inputs = dict[str, Any]
NUMBERS = ("Ui", "Ii", "Pi", "Ci", "Li")


class UntranslatableError(Exception):
    """The inputs say something that the library's model has no place for."""


def _text(given: object) -> str:
    text = "" if given is None else str(given)
    return "" if text == "unknown" else text


def build(kind: type[Record], **fields: object) -> Any:
    """A record; a value that the library refuses counts as unknown, as the oracle has it."""
    try:
        return kind(**fields)
    except InputError:
        names = {one.name for one in dataclasses.fields(kind)}  # type: ignore[arg-type]
        kept = dict(fields)
        for name in sorted(names & set(fields)):
            if isinstance(fields[name], str) and name not in ("name", "tag", "source", "cable"):
                try:
                    kind(
                        **{
                            **{
                                k: v
                                for k, v in fields.items()
                                if k in ("name", "tag", "apparatus", "source", "temperature")
                                and k != name
                            },
                            name: fields[name],
                        }
                    )
                except InputError:
                    kept[name] = ""
                except TypeError:
                    continue
        return kind(**kept)


def _atmosphere(area: Inputs) -> Atmosphere:
    zone = _text(area.get("zone"))
    if area.get("division"):
        zone = f"Division {area['division']}"
    group = _text(area.get("group"))
    if group == "E" and zone == "Division 2":
        raise UntranslatableError("group E in Division 2: the library asks there for Division 1")
    if group == "I" and not zone:
        zone = "mine"
    temperature = _text(area.get("temperature"))
    return build(
        Atmosphere,
        zone=zone,
        hazard_class=_text(area.get("class")),
        group=group,
        temperature=temperature,
        epl=_text(area.get("EPL")),
    )


def _area(inputs: Inputs) -> Area:
    area = inputs["area"]
    rows = [{**area, **row} for row in area.get("atmospheres", [{}])]
    return build(
        Area,
        tag="A",
        atmospheres=tuple(_atmosphere(row) for row in rows),
        ambient=_text(area.get("ambient")),
        hybrid="no" if area.get("hybrid") == "no" else "",
    )


def _limits(given: Any) -> list[Limits]:
    rows: list[Inputs] = []
    if isinstance(given, dict):
        for key, values in given.items():
            level, _, group = key.rpartition(":")
            rows.append({"level": level.strip(), "group": group.strip(), **values})
    else:
        rows = list(given or [])
    out = []
    for row in rows:
        pairs = [
            build(Pair, Co=_text(p.get("Co")), Lo=_text(p.get("Lo"))) for p in row.get("pairs", [])
        ]
        out.append(
            build(
                Limits,
                level=_text(row.get("level")),
                group=_text(row.get("group")),
                Co=_text(row.get("Co")),
                Lo=_text(row.get("Lo")),
                Lo_Ro=_text(row.get("Lo/Ro")),
                pairs=tuple(pairs),
            )
        )
    return out


def _marks(thing: Inputs) -> tuple[Mark, ...]:
    rows = [
        {**thing, **row}
        for row in thing.get("alternatives", [{}])
        if row.get("method", "entity") == "entity"
    ]
    return tuple(_mark(row) for row in rows)


def _mark(row: Inputs) -> Mark:
    return build(
        Mark,
        level=_text(row.get("level")),
        group=_text(row.get("group")),
        epl=_text(row.get("EPL")),
        temperature=_text(row.get("temperature")),
        ambient=_text(row.get("ambient")),
    )


def _certificate(number: str, thing: Inputs) -> Certificate:
    suffix = _text(thing.get("suffix"))
    conditions = ()
    if suffix == "X":
        answered = "yes" if thing.get("conditions answered") == "yes" else ""
        conditions = (Condition(text="as printed", answered=answered),)
    return Certificate(number=number, suffix=suffix, conditions=conditions)


def _output(row: Inputs, name: str) -> Output:
    shape = _text(row.get("output"))
    together = "yes" if row.get("Co and Lo together") == "yes" else ""
    limits = [dataclasses.replace(one, together=together) for one in _limits(row.get("limits"))]
    return build(
        Output,
        name=name,
        shape="rectangular" if shape == "non-linear" else shape,
        Uo=_text(row.get("Uo")),
        Io=_text(row.get("Io")),
        Po=_text(row.get("Po")),
        Ci=_text(row.get("Ci")),
        Li=_text(row.get("Li")),
        no_current=_text(row.get("Io words")),
        polarity=_text(row.get("polarity")),
        peak="peak" if row.get("polarity") == "a.c." else "",
        limits=tuple(limits),
    )


class _Parts:
    def __init__(self) -> None:
        self.prefix = ""
        self.areas: list[Area] = []
        self.certificates: list[Certificate] = []
        self.sources: list[SourceType] = []
        self.uses: list[SourceUse] = []
        self.apparatus: list[ApparatusType] = []
        self.simple: list[SimpleType] = []
        self.members: list[Member] = []
        self.cables: list[CableType] = []
        self.runs: list[Run] = []
        self.declarations: list[Declaration] = []


def _ports(source: Inputs) -> tuple[tuple[Port, ...], tuple[PortSupply, ...]]:
    rows = source.get("ports") or [{**source, "name": "supply"}]
    ports, supplies = [], []
    for number, row in enumerate(rows):
        name = row.get("name") or str(number)
        ports.append(build(Port, name=name, Um=_text(row.get("Um"))))
        if _text(row.get("safe side")):
            supplies.append(
                build(
                    PortSupply,
                    port=name,
                    voltage=_text(row.get("safe side")),
                    evidence=_text(row.get("evidence")),
                )
            )
    return tuple(ports), tuple(supplies)


def _body(source: Inputs) -> tuple[Mark, ...]:
    body = source.get("body")
    if not body:
        return (Mark(),)
    if body == "none":
        return ()
    return (_mark(body),)


def _source(number: int, source: Inputs, parts: _Parts) -> None:
    name, cabinet = f"S{number}", f"C{number}"
    parts.certificates.append(_certificate(f"cert {name}", source))
    if "outputs" in source:
        shared = {key: value for key, value in source.items() if key != "outputs"}
        outputs = tuple(_output({**shared, **row}, key) for key, row in source["outputs"].items())
        used = source.get("outputs used", "")
    else:
        outputs, used = (_output(source, "1"),), ""
    allowed = {"level", "group", "EPL"}
    for row in source.get("alternatives", []):
        if set(row) - allowed:
            raise UntranslatableError(f"alternatives of a source with {sorted(set(row) - allowed)}")
    ports, supplies = _ports(source)
    place = source.get("place", "")
    if isinstance(place, dict):
        raise UntranslatableError("a source in a hazardous place of its own")
    air = _text(source.get("place ambient"))
    marked = _text(source.get("ambient"))
    if not air and not marked:
        air = "-20 to 40 C"
    parts.sources.append(
        build(
            SourceType,
            name=name,
            certificate=f"cert {name}",
            control_drawing="CD-1",
            serves=_marks(source),
            body=_body(source),
            isolation=_text(source.get("isolation")),
            outputs=outputs,
            ports=ports,
            ambient=marked,
            cross_check="yes" if source.get("cross-check answered") == "yes" else "",
        )
    )
    parts.uses.append(
        build(
            SourceUse,
            tag=parts.prefix + str(source.get("name", name)),
            source=name,
            outputs=used,
            place=place,
            cabinet=cabinet,
            place_ambient=air,
            safe_side=supplies,
        )
    )
    earth = source.get("barrier earth")
    if earth:
        _declare_earth(parts, earth, "cabinet", cabinet)


def _declare_earth(parts: _Parts, earth: Inputs, scope: str, of: str) -> None:
    for key in ("resistance", "conductors"):
        if not _text(earth.get(key)):
            continue
        fact = f"barrier earth {key}"
        parts.declarations.append(
            Declaration(fact=fact, scope=scope, of=of, value=_text(earth.get(key)))  # type: ignore[arg-type]
        )


def _place(item: Inputs) -> str:
    place = item.get("place", "")
    if place == "":
        return place
    raise UntranslatableError(f"apparatus in {place}")


def _entry(item: Inputs, row: Inputs) -> Entry:
    merged = {**item, **row}
    rows = tuple(
        build(
            TemperatureRow,
            temperature=_text(one.get("temperature")),
            ambient=_text(one.get("ambient")),
            Pi=_text(one.get("Pi")),
        )
        for one in merged.get("temperature rows", [])
    )
    own = {key: merged.get(key) for key in ("Uo", "Io", "Po")} if item.get("powered") else {}
    return build(
        Entry,
        method=merged.get("method", "entity"),
        marks=(_mark(merged),),
        rows=rows,
        **{key: _text(merged.get(key)) for key in NUMBERS},
        **{key: _text(value) for key, value in own.items()},
    )


def _apparatus(number: int, item: Inputs, parts: _Parts, temporary: bool) -> None:
    name = f"I{number}"
    isolation = _text(item.get("isolation 500 V"))
    powered = "yes" if item.get("powered") else "no"
    energy = ""
    if item.get("output") == "passive" or item.get("output") == "counted as a source":
        energy = "passive by its document"
    if item["kind"] == "simple":
        if powered == "yes" and _text(item.get("Uo")):
            raise UntranslatableError("simple apparatus with energy of its own")
        if _text(item.get("suffix")):
            raise UntranslatableError("simple apparatus with a certificate")
        if "Rth" in item and not _text(item["Rth"]):
            raise UntranslatableError("thermal resistance stated to be unknown")
        sort = item.get("type", "")
        parts.simple.append(
            build(
                SimpleType,
                name=name,
                sort="passive" if sort in ("switch", "plug", "terminals") else sort,
                item="switch or terminal" if sort in ("switch", "plug", "terminals") else "other",
                Ci=_text(item.get("Ci")),
                Li=_text(item.get("Li")),
                U=_text(item.get("U")),
                I=_text(item.get("I")),
                P=_text(item.get("P")),
                Rth=_text(item.get("Rth")),
                surface=_text(item.get("surface")),
                ambient=_text(item.get("ambient")),
                isolation=isolation,
                powered=powered,
                energy=energy,
                assessed="yes" if item.get("assessment") == "yes" else "",
            )
        )
    else:
        parts.certificates.append(_certificate(f"cert {name}", item))
        entries = tuple(_entry(item, row) for row in item.get("alternatives", [{}]))
        parts.apparatus.append(
            build(
                ApparatusType,
                name=name,
                certificate=f"cert {name}",
                control_drawing="CD-1",
                entries=entries,
                isolation=isolation,
                powered=powered,
                energy=energy,
            )
        )
    parts.members.append(
        build(
            Member,
            tag=item.get("name", name),
            apparatus=name,
            place=_place(item),
            process=_text(item.get("process")),
            temporary=temporary,
        )
    )


def _length(given: object) -> str:
    """A length as the library wants it: three digits behind a point of metres get a fourth."""
    return re.sub(r"^([1-9]\d{0,2}\.\d{3}) (m|ft)$", r"\g<1>0 \2", _text(given))


def _run(number: int, run: Inputs, parts: _Parts) -> None:
    name = f"K{number}"
    cores = run.get("cores", 2)
    parts.cables.append(
        build(
            CableType,
            name=name,
            C=_text(run.get("C")),
            C_core=_text(run.get("C_core")),
            C_screen=_text(run.get("C_screen")),
            L=_text(run.get("L")),
            L_R=_text(run.get("L/R")),
            R_loop=_text(run.get("R_loop")),
            R_core=_text(run.get("R_core")),
            cores=int(cores),
            construction={"evidenced": "yes", None: ""}.get(run.get("construction"), "no"),
        )
    )
    parts.runs.append(
        build(Run, cable=name, length=_length(run.get("length")), screen=_text(run.get("screen")))
    )


def _circuit(tag: str, inputs: Inputs, parts: _Parts) -> Circuit:
    """One circuit; its types join those of the parts."""
    parts.uses, parts.members, parts.runs = [], [], []
    parts.prefix = "" if tag == "X" else f"{tag} "
    for source in inputs["sources"]:
        _source(len(parts.sources), source, parts)
    items = list(inputs.get("apparatus", []))
    for item in items:
        _apparatus(len(parts.apparatus) + len(parts.simple), item, parts, temporary=False)
    if "service tool" in inputs:
        number = len(parts.apparatus) + len(parts.simple)
        _apparatus(number, inputs["service tool"], parts, temporary=True)
    for run in inputs.get("runs", []):
        _run(len(parts.cables), run, parts)
    return Circuit(
        tag=tag,
        area="A",
        sources=tuple(parts.uses),
        members=tuple(parts.members),
        runs=tuple(parts.runs),
        joined=inputs.get("joined", ""),
    )


def _sharing(multicore: Inputs, circuits: list[Circuit], parts: _Parts) -> list[Circuit]:
    """The circuits with their first run in one multicore of the type stated."""
    returns = {"common": "earthed barrier", "isolated": "galvanic"}.get(
        multicore.get("returns", "")
    )
    if returns is None or any(one.isolation != returns for one in parts.sources):
        raise UntranslatableError("returns of a multicore other than by its sources")
    if any(not circuit.runs or len(circuit.sources) > 1 for circuit in circuits):
        raise UntranslatableError("circuit of a multicore without a run, or with several sources")
    if any(len(one.entries) > 1 for one in parts.apparatus):
        raise UntranslatableError("alternatives in a multicore")
    coverage = _text(multicore.get("screen coverage")).rstrip(" %")
    facts: dict[str, Any] = {
        "multicore": {"A": "A", "B": "B"}.get(multicore.get("type", ""), "other"),
        "coverage": float(coverage) if coverage else None,
        "fixed_and_protected": "yes" if multicore.get("fixed and protected") == "yes" else "",
    }
    first = {circuit.runs[0].cable for circuit in circuits}
    parts.cables = [
        dataclasses.replace(cable, **facts) if cable.name in first else cable
        for cable in parts.cables
    ]
    return [
        dataclasses.replace(
            circuit,
            runs=(dataclasses.replace(circuit.runs[0], number="M"), *circuit.runs[1:]),
        )
        for circuit in circuits
    ]


def plant_of(inputs: Inputs) -> Plant:
    """The plant with the one circuit "X" that the inputs describe.

    Raises
    ------
    UntranslatableError
        Something that the library's model has no place for yet (other circuits of a multicore,
        places other than the area).
    """
    parts = _Parts()
    circuits = [_circuit("X", inputs, parts)]
    multicore = inputs.get("multicore")
    if multicore:
        for other in multicore["other circuits"]:
            tag = f"{other.get('name', 'other')} {len(circuits)}"
            circuits.append(_circuit(tag, other, parts))
        circuits = _sharing(multicore, circuits, parts)
    said = inputs.get("declarations", {})
    facts = {
        "safe side voltage": said.get("safe side"),
        "source place": said.get("source place"),
        "apparatus isolation": said.get("apparatus isolation"),
        "cable construction": said.get("cable construction"),
        "bonding": said.get("bonding evidenced"),
        "segregation": "50 mm",
        "atmospheric conditions": "standard",
    }
    for fact, value in facts.items():
        if _text(value):
            parts.declarations.append(Declaration(fact=fact, value=_text(value)))  # type: ignore[arg-type]
    if said.get("barrier earth"):
        _declare_earth(parts, said["barrier earth"], "plant", "")
    return Plant(
        name="oracle",
        code="NEC" if inputs["area"].get("code") == "NEC" else "IEC-2013",
        areas=(_area(inputs),),
        certificates=tuple(parts.certificates),
        sources=tuple(parts.sources),
        apparatus=tuple(parts.apparatus),
        simple=tuple(parts.simple),
        cables=tuple(parts.cables),
        circuits=tuple(circuits),
        declarations=tuple(parts.declarations),
    )
