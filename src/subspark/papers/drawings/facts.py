"""What a drawing of a circuit shows: facts of the model and of the finding, as texts.

Nothing is judged here. Figures are those of the governing case, so that drawing, finding and
working print the same ones.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TypeVar

from subspark.assess import Assessment, Finding
from subspark.assess.context import Context
from subspark.assess.members import place_of
from subspark.assess.outputs import outputs_used
from subspark.assess.rows import Case, MemberCase, RunRow, SourceCase
from subspark.model import (
    SAFE_AREA,
    ApparatusType,
    Atmosphere,
    Circuit,
    Entry,
    Limits,
    Member,
    Output,
    Run,
    SimpleType,
    SourceType,
    SourceUse,
)
from subspark.papers.drawings.allotment import Index, cores_of, index_of
from subspark.papers.drawings.leads import core_colours
from subspark.papers.drawings.symbols import choose
from subspark.papers.drawings.words import say
from subspark.quantity import CAPACITANCE, INDUCTANCE, LENGTH, Value, show

__all__ = [
    "NBSP",
    "CircuitFacts",
    "JunctionFacts",
    "MemberFacts",
    "PortFacts",
    "RunFacts",
    "SourceFacts",
    "designation",
    "facts_of",
    "place_words",
]


@dataclass(frozen=True, slots=True)
class PortFacts:
    """A port on the safe side and what stands behind it."""

    name: str
    Um: str
    behind: str


@dataclass(frozen=True, slots=True)
class SourceFacts:
    """A source as used."""

    tag: str
    type: str
    model: str
    maker: str
    certificate: str
    drawing: str
    mark: str
    place: str
    hazardous: bool
    cabinet: str
    isolation: str
    outputs: tuple[str, ...]
    values: str
    limits: str
    earth: str
    ports: tuple[PortFacts, ...]
    terminals_of: str
    designation: str


@dataclass(frozen=True, slots=True)
class MemberFacts:
    """An apparatus as used."""

    tag: str
    named: bool
    type: str
    words: str
    maker: str
    certificate: str
    drawing: str
    mark: str
    place: str
    place_tag: str
    connection: str
    inputs: str
    stored: str
    delivers: str
    simple: str
    notes: tuple[str, ...]
    temporary: bool
    earthed: bool
    symbol: str
    designation: str
    Ci: float
    Li: float


@dataclass(frozen=True, slots=True)
class RunFacts:
    """A run of cable as used; ``C`` and ``L`` are of the whole run, as the rules took them."""

    label: str
    cable: str
    length: str
    metres: float
    built: str
    screen: str
    screened: bool
    area: str
    part: str
    cores: int
    colours: tuple[str, ...]
    pair: str
    start: str
    end: str
    C: float
    L: float
    C_per_m: float
    L_per_m: float

    @property
    def core_names(self) -> list[str]:
        """Cores as the cable marks them: by pair and letter in a multicore, else by number."""
        if self.pair:
            number = self.pair.split()[1]
            return [f"{number}{letter}" for letter in "abcd"[: self.cores]]
        return [str(one + 1) for one in range(self.cores)]


@dataclass(frozen=True, slots=True)
class JunctionFacts:
    """A junction box."""

    tag: str
    title: str
    place: str
    designation: str
    terminals: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CircuitFacts:
    """A circuit with all that a drawing of it shows."""

    plant: str
    circuit: Circuit
    finding: Finding
    context: Context
    case: Case
    sources: tuple[SourceFacts, ...]
    members: tuple[MemberFacts, ...]
    runs: tuple[RunFacts, ...]
    junctions: dict[str, JunctionFacts] = field(default_factory=dict)

    @property
    def designations(self) -> list[str]:
        """Designations of sources, apparatus and boxes; blank where there is none."""
        sources = [one.designation for one in self.sources]
        members = [one.designation for one in self.members]
        return [*sources, *members, *(one.designation for one in self.junctions.values())]

    @property
    def feet(self) -> bool:
        """Whether lengths are shown in feet."""
        return self.context.code.feet


NBSP = "\N{NO-BREAK SPACE}"
"""Holds a symbol, its number and its unit together; written as a plain blank."""
T = TypeVar("T")
K = TypeVar("K")

# --- words of single facts --------------------------------------------------------------------


_DESIGNATION = re.compile(r"[A-Za-z]+[A-Za-z0-9-]*\d")


def designation(area: str, place: str, tag: str) -> str:
    """Reference designation after IEC 81346, blank where a tag does not allow one.

    >>> designation("SKID-1", "MC-1", "PT-1001"), designation("A", "B", "MC-1/001")
    ('=SKID1 +MC1 -PT1001', '')
    """
    if not _DESIGNATION.fullmatch(tag):
        return ""
    parts = [("=", area), ("+", place), ("-", tag)]
    return " ".join(
        sign + text.replace("-", "")
        for sign, text in parts
        if text and re.fullmatch(r"[A-Za-z0-9-]+", text)
    )


def _atmosphere_words(one: Atmosphere) -> str:
    where = str(one.zone)
    if where and where[0].isdigit():
        where = f"zone {where}"
    elif one.hazard_class:
        where = f"Class {one.hazard_class} {where}".strip()
    group = one.group
    if group and one.hazard_class:
        group = f"Group {group}"
    asked = " ".join(part for part in (where, group, one.temperature) if part)
    gases = "" if one.group else ", ".join(one.substances)
    return f"{asked}: {gases}" if gases else asked


def place_words(tag: str, context: Context) -> str:
    """An area by its tag and what its atmospheres are."""
    if tag in ("", SAFE_AREA):
        return tag or say("place unknown")
    area = context.areas.get(tag)
    asked = "" if area is None else " and ".join(_atmosphere_words(one) for one in area.atmospheres)
    return f"{tag}: {asked}" if asked else tag


def _values(pairs: Iterable[tuple[str, Value]], *, blank: bool = True) -> str:
    return ", ".join(
        f"{name} {value}".replace(" ", NBSP) for name, value in pairs if blank or value.known
    )


def _certificate_words(number: str, context: Context) -> str:
    if not number:
        return say("no certificate")
    found = context.certificates.get(number)
    return number if found is None or not found.issue else f"{number}, issue {found.issue}"


# --- sources ----------------------------------------------------------------------------------


def _limits_words(limits: Limits) -> str:
    named = " ".join(part for part in (limits.level, limits.group) if part)
    if limits.pairs:
        pairs = "; ".join(f"Co {pair.Co} with Lo {pair.Lo}" for pair in limits.pairs)
        return f"{named}: {pairs}"
    ratio = (("Lo/Ro", limits.Lo_Ro),) if limits.Lo_Ro.known else ()
    return f"{named}: " + _values((("Co", limits.Co), ("Lo", limits.Lo), *ratio))


def _column(output: Output, column: str) -> str:
    for limits in output.limits:
        if " ".join(part for part in (limits.level, limits.group) if part) == column:
            return _limits_words(limits)
    return ""


def _ports(use: SourceUse, kind: SourceType, context: Context) -> tuple[PortFacts, ...]:
    stated = {supply.port: supply for supply in use.safe_side}
    names = {"source": use.source, "cabinet": use.cabinet, "area": use.place}
    declared = context.declared.value("safe side voltage", **names)
    out = []
    for port in kind.ports:
        supply = stated.get(port.name)
        behind = declared
        if supply is not None and supply.voltage.known:
            evidence = f" ({supply.evidence})" if supply.evidence else ""
            behind = f"{supply.voltage}{evidence}"
        elif declared:
            behind = f"at most {declared}"
        words = say("behind", what=behind) if behind else say("behind unknown")
        out.append(PortFacts(port.name, f"Um {port.Um}", words))
    return tuple(out)


def _earth_words(use: SourceUse, kind: SourceType, context: Context) -> str:
    if kind.isolation != "earthed barrier":
        return ""
    names = {"source": use.source, "cabinet": use.cabinet, "area": use.place}
    ohms = context.declared.value("barrier earth resistance", **names)
    wires = context.declared.value("barrier earth conductors", **names)
    said = ", ".join(one for one in (wires, ohms) if one)
    return say("barrier earth", what=said) if said else say("barrier earth unknown")


def _source_facts(
    use: SourceUse, found: SourceCase | None, circuit: Circuit, context: Context
) -> SourceFacts:
    kind, sayings = context.sources[use.source], context.code.say
    outputs = outputs_used(use, kind, circuit.method)
    values = "; ".join(_values((("Uo", one.Uo), ("Io", one.Io), ("Po", one.Po))) for one in outputs)
    alone = len(circuit.sources) == 1 and found is not None and not found.system
    limits = _column(found.output, found.column) if alone and found is not None else ""
    names = {"source": use.source, "cabinet": use.cabinet}
    place = use.place or context.declared.value("source place", **names)
    return SourceFacts(
        tag=use.tag or use.source,
        type=kind.name,
        model=kind.model,
        maker=kind.maker,
        certificate=_certificate_words(kind.certificate, context),
        drawing=kind.control_drawing,
        mark=kind.mark,
        place=place_words(place, context),
        hazardous=place not in ("", SAFE_AREA) or bool(kind.terminals_of),
        cabinet=use.cabinet,
        isolation=kind.isolation,
        outputs=tuple(one.name for one in outputs),
        values=sayings(values),
        limits=sayings(limits),
        earth=_earth_words(use, kind, context),
        ports=_ports(use, kind, context),
        terminals_of=kind.terminals_of,
        designation=designation(circuit.area, use.cabinet or use.place, use.tag),
    )


# --- apparatus --------------------------------------------------------------------------------


def _entry(member: Member, item: ApparatusType, circuit: Circuit) -> Entry | None:
    own = [one for one in item.entries if one.connection == member.connection]
    return next((one for one in own if one.method == circuit.method), own[0] if own else None)


def _isolation_words(member: Member, item: ApparatusType | SimpleType) -> str:
    answer = member.isolation or item.isolation
    return say(f"500 V {answer}") if answer else ""


def _member_facts(
    member: Member, found: MemberCase | None, circuit: Circuit, context: Context
) -> MemberFacts:
    item, sayings = context.items[member.apparatus], context.code.say
    place, notes = place_of(member, circuit), []
    if isinstance(item, SimpleType):
        entry, words = None, f"{item.name} {item.role}"
        inputs, mark, certificate, drawing, maker, model = "", "", "", "", "", ""
        stored = _values((("Ci", item.Ci), ("Li", item.Li)))
        given = (("U", item.U), ("I", item.I), ("P", item.P))
        simple = say("simple", sort=item.sort or "sort not stated")
        seen = str(item.evidence) if item.evidence else "yes"
        notes.append(say("assessed", what=seen) if item.assessed == "yes" else say("not assessed"))
    else:
        entry = found.entry if found and found.entry else _entry(member, item, circuit)
        words, model, maker, drawing = (
            f"{item.name} {item.model} {item.role}",
            item.model,
            item.maker,
            item.control_drawing,
        )
        certificate = _certificate_words(item.certificate, context)
        simple, mark = "", entry.mark if entry else ""
        entry = entry or Entry()
        inputs = _values((("Ui", entry.Ui), ("Ii", entry.Ii), ("Pi", entry.Pi)))
        stored = _values((("Ci", entry.Ci), ("Li", entry.Li)))
        given = (("Uo", entry.Uo), ("Io", entry.Io), ("Po", entry.Po))
    delivers = _values(given, blank=False)
    if member.process.known:
        notes.append(say("process", what=member.process))
    if isolated := _isolation_words(member, item):
        notes.append(isolated)
    tag = member.tag or member.apparatus
    return MemberFacts(
        tag=tag,
        named=bool(member.tag),
        type=member.apparatus,
        words=model,
        maker=maker,
        certificate=certificate,
        drawing=drawing,
        mark=mark,
        place=place_words(place, context),
        place_tag=place,
        connection=member.connection,
        inputs=sayings(inputs),
        stored=sayings(stored),
        delivers=say("delivers", what=sayings(delivers)) if delivers else "",
        simple=simple,
        notes=tuple(notes),
        temporary=member.temporary,
        earthed=(member.isolation or item.isolation) == "no",
        symbol=choose(words, tag),
        designation=designation(circuit.area, place, member.tag),
        Ci=math.nan if found is None else found.row.Ci,
        Li=math.nan if found is None else found.row.Li,
    )


# --- runs and boxes ---------------------------------------------------------------------------


def _screen_words(run: Run, context: Context) -> tuple[str, bool]:
    cable = context.cables.get(run.cable)
    has = cable is not None and cable.screen in ("overall", "individual")
    if run.screen:
        return say(f"screen {run.screen}"), run.screen != "none"
    kind = cable.screen if has and cable is not None else ""
    return (say("screen unstated", kind=kind) if kind else ""), has


def _run_facts(
    nth: int, run: Run, row: RunRow | None, circuit: Circuit, context: Context, index: Index
) -> RunFacts:
    cable, screen = context.cables.get(run.cable), _screen_words(run, context)
    pairs = None if cable is None else cable.pairs
    number = index.pair(run.number, circuit.tag)
    multicore = bool(pairs and pairs > 1 and 0 < number <= pairs)
    feet = context.code.feet
    length = run.length.text if run.length.known else ""
    if length and feet != ("ft" in length):
        length = f"{length} ({show(run.length.si, LENGTH, 4, feet=feet)})"
    metres = run.length.si
    return RunFacts(
        label=run.number or say("run", n=nth + 1),
        cable=run.cable or say("cable unknown"),
        length=length.replace(" ", NBSP) or say("length unknown"),
        metres=metres,
        built={"yes": say("as built"), "no": say("as designed")}.get(run.as_built, ""),
        screen=screen[0],
        screened=screen[1],
        area=run.area,
        part=run.part,
        cores=cores_of(run, context),
        colours=core_colours(run, number, context),
        pair=say("pair", n=number, of=pairs) if multicore else "",
        start=run.start,
        end=run.end,
        C=math.nan if row is None else row.length * row.C,
        L=math.nan if row is None else row.length * row.L,
        C_per_m=math.nan if row is None else row.C,
        L_per_m=math.nan if row is None else row.L,
    )


def _junction_facts(tag: str, circuit: Circuit, context: Context, index: Index) -> JunctionFacts:
    found = context.junctions.get(tag)
    place = found.area if found else ""
    return JunctionFacts(
        tag=tag,
        title=found.title if found else "",
        place=place_words(place, context) if place else "",
        designation=designation(circuit.area, place, tag),
        terminals=index.terminals(tag, circuit.tag),
    )


def stored_words(C: float, L: float) -> str:
    """Capacitance and inductance of a run in words."""
    both = (f"C {show(C, CAPACITANCE, 4)}", f"L {show(L, INDUCTANCE, 4)}")
    return ", ".join(one.replace(" ", NBSP) for one in both)


# --- the whole --------------------------------------------------------------------------------


def _match(wanted: Iterable[T], have: Iterable[tuple[T, K]]) -> list[K | None]:
    """What belongs to each wanted thing, each used once, by equality and in order."""
    left = list(have)
    out: list[K | None] = []
    for one in wanted:
        at = next((i for i, (key, _) in enumerate(left) if key == one), None)
        out.append(None if at is None else left.pop(at)[1])
    return out


def facts_of(assessment: Assessment, tag: str) -> CircuitFacts:
    """Gather what a drawing of one circuit shows.

    Parameters
    ----------
    assessment : Assessment
        The judged plant.
    tag : str
        The circuit.

    Returns
    -------
    CircuitFacts
        Texts and topology, with the finding.

    Raises
    ------
    UsageError
        No such circuit, or one that was not assessed.
    """
    finding = assessment[tag]
    context, circuit = assessment.context, assessment.plant.circuit(tag)
    index = index_of(assessment)
    case = assessment.cases[assessment.governing_place(tag)]
    sources = _match(circuit.sources, ((one.use, one) for one in case.sources))
    members = _match(circuit.members, ((one.member, one) for one in case.members))
    rows = _match(circuit.runs, case.runs)
    runs = tuple(
        _run_facts(nth, run, row, circuit, context, index)
        for nth, (run, row) in enumerate(zip(circuit.runs, rows, strict=True))
    )
    ends = dict.fromkeys(end for run in circuit.runs for end in (run.start, run.end) if end)
    return CircuitFacts(
        plant=assessment.plant.name,
        circuit=circuit,
        finding=finding,
        context=context,
        case=case,
        sources=tuple(
            _source_facts(use, found, circuit, context)
            for use, found in zip(circuit.sources, sources, strict=True)
        ),
        members=tuple(
            _member_facts(member, found, circuit, context)
            for member, found in zip(circuit.members, members, strict=True)
        ),
        runs=runs,
        junctions={one: _junction_facts(one, circuit, context, index) for one in ends},
    )
