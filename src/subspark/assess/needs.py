"""What is missing: for every unproven rule, the value or statement that would settle it.

A need names a thing of the catalogue or a declaration, not a circuit, wherever it can: one
answer then settles many circuits.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass

from subspark.assess.members import NOT_ENTERED
from subspark.assess.readings import system_of
from subspark.assess.rows import Case, MemberCase, Segment, SourceCase
from subspark.model import Mark, SimpleType
from subspark.quantity import Value
from subspark.rules.codes.fieldbus import editions

__all__ = ["Missing", "Need", "needs_for", "rank"]

_DECLARED_VOLTAGE = 250.0  # below this Um a figure of its own with evidence is asked [V]


@dataclass(frozen=True, slots=True, order=True)
class Need:
    """One missing value or statement: of what, which, and how it is given."""

    of: str
    what: str
    how: str = "value"

    def __str__(self) -> str:
        return f"{self.of}: {self.what}"


@dataclass(frozen=True, slots=True)
class Missing:
    """A need with what it would bring.

    ``settles`` circuits lack nothing once this and those ranked before it are given;
    ``alone`` lack only this; ``touches`` are all that lack it. That nothing is missing any
    more means that the circuit can be judged, not that it is safe.
    """

    need: Need
    settles: int
    alone: int
    touches: int


def _blank(value: Value) -> bool:
    return not value.known


def _declare(of: str, what: str) -> Need:
    return Need(of, what, "declaration")


def _source(one: SourceCase, what: str) -> Need:
    return Need(f"source {one.kind.name}", what)


def _item(one: MemberCase, what: str) -> Need:
    kind = "simple apparatus" if one.simple else "apparatus"
    return Need(f"{kind} {one.item.name}", what)


def _doubt(one: SourceCase, symbol: str) -> Iterator[Need]:
    for warning in one.warnings:
        if f"declared {symbol} " in warning:
            yield Need(f"source {one.kind.name}", f"answer the cross-check of {symbol}", "answer")
            return


def _limit(symbol_o: str, symbol_i: str) -> Callable[[Case], Iterator[Need]]:
    def find(case: Case) -> Iterator[Need]:
        for one in case.sources:
            value = getattr(one.output, symbol_o)
            if case.segment is None and one.output.method != "entity":
                yield _source(one, f"values for an entity proof; those of {one.output.method} "
                              "serve no other")  # fmt: skip
                continue
            if _blank(value) and symbol_o != "Po":
                yield _source(one, f"{symbol_o} of output {one.output.name}")
            elif symbol_o == "Io" and value.si == 0 and not one.output.no_current:
                yield _source(one, f"words by which Io = 0 of output {one.output.name} is declared")
            elif symbol_o == "Uo" and one.output.polarity == "a.c." and not one.output.peak:
                yield _source(one, "whether Uo of the a.c. output is the peak")
            yield from _doubt(one, symbol_o)
        for member in case.members:
            if member.entry is not None and _blank(getattr(member.entry, symbol_i)):
                yield _item(member, f"{symbol_i} (or the words that it is not limiting)")
        yield from _combined(case)

    return find


def _combination(case: Case) -> str:
    return "combination " + " + ".join(sorted({one.kind.name for one in case.sources}))


def _uncovered(case: Case, what: str) -> Need:
    how = f"no reference for {what} at its voltage and current; a document must cover it"
    return Need(_combination(case), how, "person")


def _permitted_current(case: Case) -> Iterator[Need]:
    yield from _combined(case)
    if len(case.sources) > 1:
        yield _uncovered(case, "the permitted current")


def _combined(case: Case) -> Iterator[Need]:
    if len(case.sources) > 1 and any(not one.row.linear and one.row.I != 0 for one in case.sources):
        yield Need(
            _combination(case),
            "sources are not all linear: a person must use the graphical method of IEC 60079-25, "
            "or a certificate must cover the combination",
            "person",
        )


def _held(case: Case, letter: str) -> Iterator[Need]:
    """Ci and Li of apparatus, the other of the two too where the lumped rule asks for it."""
    for member in case.members:
        held = member.entry if member.entry is not None else member.item
        for one in ("Ci", "Li"):
            if _blank(getattr(held, one)) and (one[0] == letter or _lumped_matters(case)):
                yield _item(member, one)


def _runs(case: Case, letter: str, sort: str) -> Iterator[Need]:
    for run, row in case.runs:
        if math.isnan(row.length):
            yield Need(f"run {run.number or run.cable or 'without cable'}", "its length")
        if math.isnan(getattr(row, letter)):
            yield Need(
                f"cable {run.cable or 'not stated'}",
                f"{sort} per metre (a default needs an ordinary cable of 2 or 3 cores)",
            )


def _permitted(case: Case, symbol: str) -> Iterator[Need]:
    """What a source lacks for its Co or Lo to be used."""
    for source in case.sources:
        if not source.column:
            serving = case.need.group or "the area"
            yield _source(source, f"a column of limits that serves {serving}")
        elif math.isnan(getattr(source.row, symbol)) and not source.pairs:
            doubts = list(_doubt(source, symbol))
            yield from doubts
            if not doubts:
                yield _source(source, f"{symbol} in column {source.column}")
        if not source.row.linear and not source.row.together and not source.pairs:
            yield _source(
                source,
                "not shown to be linear: pairs, or the document's words on Co and Lo together",
            )


def _stored(symbol: str, sort: str) -> Callable[[Case], Iterator[Need]]:
    letter = symbol[0]

    def find(case: Case) -> Iterator[Need]:
        yield from _held(case, letter)
        yield from _runs(case, letter, sort)
        yield from _permitted(case, symbol)
        yield from _combined(case)
        if len(case.sources) > 1:
            yield _uncovered(case, symbol)

    return find


def _lumped_matters(case: Case) -> bool:
    return any(one.column for one in case.sources)


def _supply(case: Case) -> Iterator[Need]:
    for source in case.sources:
        for port, row in source.ports:
            if math.isnan(row.Um):
                yield _source(source, f"Um of port {port.name}")
            elif math.isnan(row.behind):
                stated = next((one for one in source.use.safe_side if one.port == port.name), None)
                if stated is not None and stated.voltage.known:
                    yield Need(f"source {source.label}", "evidence of SELV, PELV or battery supply")
                elif row.Um < _DECLARED_VOLTAGE:
                    yield Need(
                        f"source {source.label}",
                        f"the rated voltage behind port {port.name}, Um only {port.Um}",
                    )
                else:
                    yield _declare("plant", "safe side voltage: highest behind the safe terminals")


def _marks(what: str) -> Callable[[Case], Iterator[Need]]:
    def find(case: Case) -> Iterator[Need]:
        if math.isnan(case.need.rank) or not case.need.group:
            yield Need(f"area {case.need.area or 'not stated'}", "zone and group of its atmosphere")
        for source in case.sources:
            if what == "level" and math.isnan(source.row.level):
                yield _source(source, "level of protection: its marking")
            if what == "group" and math.isnan(source.row.group):
                yield _source(source, _marking_wanted(case, source.mark))
        for member in case.members:
            value = member.row.level_a if what == "level" else member.row.group_a
            if math.isnan(value):
                wanted = f"{what} of its marking towards {case.need.group or 'the area'}"
                if what == "group" and member.mark is not None and member.mark.group:
                    wanted = _marking_wanted(case, member.mark)
                yield _item(member, wanted)

    return find


def _marking_wanted(case: Case, mark: Mark) -> str:
    """A marking, or a listing, that would serve the group in place of this one."""
    code, system = case.need.code, system_of(mark)
    wanted = f"a marking that covers {case.need.group or 'the group'}"
    if mark.group and code.marks[system] == "listed":
        listed = f"a certificate listed for {code.listing}"
        return f"{wanted}, or {listed}: an {system} marking alone is none"
    if mark.group and code.marks[system] == "no":
        return f"{wanted} and that {code.name} knows: a marking of North America is none"
    return wanted


def _temperature(case: Case) -> Iterator[Need]:
    if math.isnan(case.need.T_limit):
        yield Need(f"area {case.need.area or 'not stated'}", "temperature class or limit")
    for member in case.members:
        if not member.row.here:
            continue
        if math.isnan(member.row.hot):
            yield Need(f"area {case.need.area or 'not stated'}", "ambient temperature range")
        elif member.simple and math.isnan(member.row.T_fixed) and math.isnan(member.row.Rth):
            yield _item(member, "thermal resistance in still gas, or surface and power for T4")
        elif not member.simple and any(
            math.isnan(value) for row in member.temperatures for value in row
        ):
            degrees = " in degrees" if case.need.family != "II" else ""
            yield _item(member, f"temperature class of its marking{degrees}, and Pi of its rows")
    yield from _limit("Po", "Pi")(case)


def _ambient(case: Case) -> Iterator[Need]:
    for member in case.members:
        if member.row.here and math.isnan(member.row.hot):
            yield Need(f"area {case.need.area or 'not stated'}", "ambient temperature range")
        if member.row.here and math.isnan(member.row.Ta_max):
            yield _item(member, "ambient range that its materials bear")
    for source in case.sources:
        if math.isnan(source.row.hot):
            where = f"cabinet {source.use.cabinet}" if source.use.cabinet else "plant"
            yield _declare(where, "cabinet ambient: temperature range where sources stand")


def _simple(case: Case) -> Iterator[Need]:
    for member in case.members:
        item = member.item
        if not isinstance(item, SimpleType):
            continue
        if math.isnan(member.row.assessed):
            yield _item(member, "its written assessment")
        if item.sort == "generating":
            for symbol in ("U", "I", "P"):
                if _blank(getattr(item, symbol)):
                    yield _item(member, f"{symbol} that it generates")


def _earthing(case: Case) -> Iterator[Need]:
    for source in case.sources:
        if source.kind.isolation == "":
            yield _source(source, "whether it is galvanically isolated or an earthed barrier")
    answers = [one.member.isolation or one.item.isolation for one in case.members]
    barrier = any(one.kind.isolation != "galvanic" for one in case.sources)
    if case.head.earthed > barrier + answers.count("no"):  # some may be earthed, none is known to
        yield _declare("plant", "apparatus isolation: apparatus withstand 500 V to earth")
    else:
        yield _declare(
            f"area {case.need.area or 'not stated'}",
            "bonding evidenced along circuits that are earthed at two points",
        )


def _barrier(case: Case) -> Iterator[Need]:
    for source in case.sources:
        if source.kind.isolation != "galvanic":
            where = f"cabinet {source.use.cabinet}" if source.use.cabinet else "plant"
            yield _declare(where, "barrier earth: resistance and conductors")


def _place(case: Case) -> Iterator[Need]:
    if math.isnan(case.need.rank):
        yield Need(f"area {case.need.area or 'not stated'}", "zone of its atmosphere")
    for member in case.members:
        if math.isnan(member.row.epl) and member.row.here:
            yield _item(member, "EPL of its marking")
    for source in case.sources:
        if math.isnan(source.row.epl_asked):
            yield _declare("plant", "source place: where the sources stand")
        elif source.row.epl_asked > 0 and any(
            math.isnan(v) for v in (source.row.epl, source.row.body, source.row.T)
        ):
            yield _source(source, "marking of its own body: EPL, group, temperature")


def _conditions(case: Case) -> Iterator[Need]:
    for name, value, number, drawing in (
        *(
            (f"source {s.kind.name}", s.row.conditions, s.kind.certificate, s.kind.control_drawing)
            for s in case.sources
        ),
        *(
            (
                f"apparatus {m.item.name}",
                m.row.conditions,
                m.item.certificate,
                m.item.control_drawing,
            )
            for m in case.members
            if not isinstance(m.item, SimpleType)
        ),
    ):
        if math.isnan(value):
            if number and case.need.code.by_drawing and not drawing:
                yield Need(name, "number of the control drawing by which it is installed")
            elif number:
                yield Need(f"certificate {number}", "its special conditions answered", "answer")
            else:
                yield Need(name, "its certificate")


def _cable(case: Case) -> Iterator[Need]:
    for run, row in case.runs:
        if math.isnan(row.strand) or math.isnan(row.tested):
            yield _declare(f"cable {run.cable or 'not stated'}", "construction evidenced")
        if math.isnan(row.route_T):
            yield Need(f"area {run.area or case.need.area}", "ambient temperature range")


def _energy(case: Case) -> Iterator[Need]:
    for member in case.members:
        if math.isnan(member.row.energy):
            if member.item.powered == "yes":
                yield _item(member, "what its terminals can deliver, or that it is passive")
            else:
                yield _item(member, "whether it has a supply of its own")


def _of_plant(what: str) -> Callable[[Case], Iterator[Need]]:
    def find(_: Case) -> Iterator[Need]:
        yield _declare("plant", what)

    return find


def _shared(case: Case) -> Iterator[Need]:
    for run, _ in case.runs:
        if not run.number:
            yield Need(
                f"cable {run.cable or 'not stated'}",
                "the number of the multicore, by which it is known who shares it",
            )
        else:
            yield Need(
                f"cable {run.cable or 'not stated'}",
                "type A or B of the multicore; otherwise its circuits must be proved together",
            )


def _surge(case: Case) -> Iterator[Need]:
    for member in case.members:
        if member.item.surge:
            yield _item(member, "discharge current; distance to zone 0 and earth conductor of it")


def _box(case: Case) -> Iterator[Need]:
    ends = dict.fromkeys(end for run, _ in case.runs for end in (run.start, run.end) if end)
    yield Need(
        f"junction {' or '.join(ends)}", "area, its ambient and limit, and Po of all its circuits"
    )


def _segment_edition(segment: Segment) -> Iterator[Need]:
    method = segment.figures.method
    if segment.figures.edition not in editions(method):
        known = ", ".join(editions(method))
        yield _declare("plant", f"fieldbus edition, one of: {known}")


def _segment_confirmed(segment: Segment) -> Iterator[Need]:
    if segment.figures.doubted and math.isnan(segment.head.confirmed):
        yield _declare(
            "plant",
            f"fieldbus figures confirmed: {', '.join(segment.figures.doubted)} of "
            f"{segment.figures.edition} compared with the printed text, with evidence",
        )


def _segment_source(case: Case, segment: Segment) -> Iterator[Need]:
    method = segment.figures.method
    for one, row in zip(case.sources, segment.sources, strict=True):
        if math.isnan(row.own_output):
            yield _source(one, f"an output with its values for {method}")
            continue
        for symbol in ("Uo", "Io", "Po", "Ci", "Li"):
            if _blank(getattr(one.output, symbol)):
                yield _source(one, f"{symbol} of output {one.output.name}")


def _segment_device(case: Case, segment: Segment) -> Iterator[Need]:
    method = segment.figures.method
    for one, row in zip(case.members, segment.members, strict=True):
        if math.isnan(row.own_set):
            yield _item(one, f"its set for {method}; without one the segment is no {method}")
            continue
        held = one.item if one.entry is None else one.entry
        for symbol in ("Ci", "Li") if one.entry is None else ("Ui", "Ii", "Pi", "Ci", "Li"):
            if not row.is_terminator and _blank(getattr(held, symbol)):
                yield _item(one, symbol)
        if math.isnan(row.leak):
            yield _item(one, "that it is passive by its document, or what it feeds back")
        elif row.leak != -math.inf and "device leakage" in segment.figures.doubted:
            yield from _segment_confirmed(segment)


def _segment_terminators(case: Case, segment: Segment) -> Iterator[Need]:
    if math.isnan(segment.head.terminators):
        for source in case.sources:
            if not source.output.terminator:
                yield _source(source, "whether a terminator is built in")
    for one, row in zip(case.members, segment.members, strict=True):
        if row.is_terminator and math.isnan(row.end_R + row.end_C):
            yield _item(one, "R and C of the terminator")


def _segment_cable(case: Case, segment: Segment) -> Iterator[Need]:
    for (run, _), row in zip(case.runs, segment.runs, strict=True):
        cable = f"cable {run.cable or 'not stated'}"
        for what, values in (
            ("lowest and highest loop resistance per metre", (row.low_R, row.high_R)),
            ("inductance per metre, no default", (row.low_L, row.high_L)),
            ("capacitance per metre and use of the screen", (row.low_C, row.high_C)),
        ):
            if any(math.isnan(value) for value in values):
                yield Need(cable, what)
        if not run.screen and row.low_C != row.high_C:
            yield Need(f"run {run.number or run.cable}", "what is done with its screen")


def _segment_length(case: Case, segment: Segment) -> Iterator[Need]:
    if math.isnan(segment.head.is_IIC):
        yield Need(f"area {case.need.area or 'not stated'}", "group IIC, IIB or III")
    for run, row in case.runs:
        named = run.number or run.cable or "without cable"
        if math.isnan(row.length):
            yield Need(f"run {named}", "its length")
        if segment.figures.has("spur") and not (run.part and run.start and run.end):
            yield Need(f"run {named}", "trunk or spur, from and to")
    yield from _segment_confirmed(segment)


def _of_segment(
    find: Callable[[Case, Segment], Iterator[Need]],
) -> Callable[[Case], Iterator[Need]]:
    def found(case: Case) -> Iterator[Need]:
        if case.segment is not None:
            yield from _segment_edition(case.segment)
            yield from find(case, case.segment)

    return found


_FINDERS: Mapping[str, Callable[[Case], Iterator[Need]]] = {
    "voltage": _limit("Uo", "Ui"),
    "current": _limit("Io", "Ii"),
    "power": _limit("Po", "Pi"),
    "capacitance": _stored("Co", "capacitance"),
    "inductance": _stored("Lo", "inductance"),
    "permitted current": _permitted_current,
    "segment source": _of_segment(_segment_source),
    "segment device": _of_segment(_segment_device),
    "terminators": _of_segment(_segment_terminators),
    "segment cable": _of_segment(_segment_cable),
    "segment length": _of_segment(_segment_length),
    "segment count": _of_segment(lambda *_: iter(())),
    "supply": _supply,
    "level": _marks("level"),
    "group": _marks("group"),
    "temperature class": _temperature,
    "ambient": _ambient,
    "simple": _simple,
    "earthing": _earthing,
    "barrier earth": _barrier,
    "place": _place,
    "conditions": _conditions,
    "cable": _cable,
    "own energy": _energy,
    "segregation": _of_plant("segregation: distance to circuits that are not Ex i, or partition"),
    "atmosphere": _of_plant(
        "atmospheric conditions standard, and no hybrid mixture where gas and dust meet"
    ),
    "shared cable": _shared,
    "surge device": _surge,
    "box temperature": _box,
}


def needs_for(rule: str, case: Case, tag: str) -> frozenset[Need]:
    """What would settle an unproven rule of a case of the circuit ``tag``; never empty."""
    if not case.sources:
        return frozenset({Need(f"circuit {tag}", "its source")})
    found = frozenset(_FINDERS[rule](case))
    blank = frozenset(one for one in found if one.of == f"apparatus {NOT_ENTERED}")
    if blank:
        found = found - blank | {Need(f"circuit {tag}", "its apparatus")}
    return found or frozenset({Need(f"rule {rule}", "a person's judgement", "person")})


_SHARES = 720_720  # divisible by every number up to 16


def rank(needs_of: Iterable[frozenset[Need]]) -> list[Missing]:
    """Rank needs by how many circuits they settle, each after those before it.

    Parameters
    ----------
    needs_of : iterable of frozenset
        Open needs of each circuit that only lacks something.

    Returns
    -------
    list of Missing
        Greedy: first the one that leaves most circuits without an open need; where none does,
        the one that touches most.
    """
    grouped = Counter(one for one in needs_of if one)
    touches: Counter[Need] = Counter()
    alone: Counter[Need] = Counter()
    for needs, count in grouped.items():
        for need in needs:
            touches[need] += count
            if len(needs) == 1:
                alone[need] += count
    open_ = dict(grouped)
    out = []
    while open_:
        settles: Counter[Need] = Counter()
        near: Counter[Need] = Counter()  # whole numbers: their sum does not depend on an order
        for needs, count in open_.items():
            for need in needs:
                near[need] += count * (_SHARES // len(needs))
                if len(needs) == 1:
                    settles[need] += count
        best = max(near, key=lambda need: (settles[need], near[need], touches[need], str(need)))
        out.append(Missing(best, settles[best], alone[best], touches[best]))
        rest: Counter[frozenset[Need]] = Counter()
        for needs, count in open_.items():
            left = needs - {best}
            if left:
                rest[left] += count
        open_ = dict(rest)
    return out
