"""Parts of the working: what the atmosphere asks, and what source, apparatus and cable bring."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from subspark.assess.context import Context
from subspark.assess.evidence import References, symbol
from subspark.assess.members import place_of
from subspark.assess.multicore import partners
from subspark.assess.places import level_name
from subspark.assess.rows import Case, MemberCase, RunRow, SourceCase
from subspark.assess.sources import source_places
from subspark.assess.tree import Block, Line, Section
from subspark.assess.words import epl_name, range_words
from subspark.model import (
    SAFE_AREA,
    ApparatusType,
    Area,
    Atmosphere,
    CableType,
    Circuit,
    Limits,
    Output,
    Run,
    SimpleType,
    SourceType,
)
from subspark.quantity import (
    C_PER_LENGTH,
    CAPACITANCE,
    CURRENT,
    INDUCTANCE,
    L_PER_LENGTH,
    L_PER_R,
    LENGTH,
    POWER,
    TEMPERATURE,
    THERMAL,
    VOLTAGE,
    TemperatureRange,
    Value,
    show,
)
from subspark.rules import Columns, temperature

__all__ = ["Subject", "apparatus", "atmosphere", "cable", "sources"]

_NEAR = 1e-9


@dataclass(frozen=True, slots=True)
class Subject:
    """What a working is about: one case of one circuit, its columns, and its evidence."""

    circuit: Circuit
    case: Case
    columns: Columns
    context: Context
    refs: References

    def owner(self, one: SourceCase | MemberCase) -> Circuit:
        """The circuit to which a source or apparatus belongs: in a merged case maybe another."""
        near = sorted(partners(self.circuit, self.context))
        for circuit in (self.circuit, *(self.context.plant.circuits[place] for place in near)):
            if isinstance(one, MemberCase):
                if one.member in circuit.members:
                    return circuit
            elif (one.use.tag, one.use.source) in {(u.tag, u.source) for u in circuit.sources}:
                return circuit
        return self.circuit

    def titled(self, title: str, owner: Circuit) -> str:
        """A title that names the other circuit where there is one."""
        other = owner.tag != self.circuit.tag
        return f"{title}, of circuit {owner.tag} in the same multicore" if other else title


def _said(subject: Subject, **values: Value) -> str:
    say = subject.context.code.say
    return ", ".join(f"{say(symbol(name))} {value}" for name, value in values.items())


def _range(given: TemperatureRange) -> str:
    return str(given) if given.known else "not known"


# --- atmosphere ----------------------------------------------------------------------------------


def _stated(subject: Subject) -> tuple[Area, Atmosphere]:
    """The area and atmosphere of a case as the plant states them."""
    need = subject.case.need
    area = subject.context.areas.get(need.area, Area(tag=need.area or "not stated"))
    for told, one in zip(subject.context.needs(need.area), area.atmospheres, strict=False):
        if told == need:
            return area, one
    return area, Atmosphere()


def _class_words(subject: Subject) -> str:
    limit = subject.case.need.T_limit
    if math.isnan(limit):
        return "surface temperature: not known"
    if limit == math.inf:
        return "no temperature is stated"
    classes = subject.context.code.temperature_classes
    name = next((key for key, value in classes.items() if value == limit), "")
    gas = subject.case.need.family == "II" and name
    return f"no surface above {show(limit, TEMPERATURE)}" + (f" ({name})" if gas else "")


def _dust_words(one: Atmosphere, subject: Subject) -> str:
    margin = subject.context.code.number("dust layer margin")
    parts = []
    if one.temperature:
        parts.append(f"stated {one.temperature}")
    if one.cloud_ignition.known:
        parts.append(f"2/3 of {one.cloud_ignition} (ignition of the cloud)")
    shallow = not one.layer_depth.si > subject.context.code.number("dust layer depth")
    if one.layer_ignition.known and shallow:
        parts.append(f"{one.layer_ignition} less {margin:g} K (ignition of the 5 mm layer)")
    if one.layer_limit.known:
        parts.append(f"{one.layer_limit} (tested at the depth of the layer)")
    return "the lowest of: " + "; ".join(parts) if parts else ""


def _buried_words(subject: Subject) -> str:
    ambient, watts = subject.context.code.power_in_dust
    pairs = (
        f"{show(float(watt), POWER)} at {show(float(air), TEMPERATURE)}"
        for air, watt in zip(ambient, watts, strict=True)
    )
    return f"of uncontrolled depth: by the power, at most {', '.join(pairs)}"


def atmosphere(subject: Subject) -> Section:
    """What the atmosphere asks, and why."""
    need, refs = subject.case.need, subject.refs
    area, one = _stated(subject)
    title = f"{area.tag}, {area.title}" if area.title else area.tag
    named = f"area {area.tag}"
    lines: list[Block] = [Line(title, "area", refs.cite(named, area.evidence))]
    asks = f"{need.zone or 'zone not known'}, group {need.group or 'not known'}"
    read = refs.cite(f"atmosphere of {named}", one.evidence, area.evidence)
    lines.append(Line(asks, "atmosphere", read))
    why = f"EPL {one.epl} is stated" if one.epl else f"{need.zone or 'unknown zone'}"
    asked = level_name(need.rank)
    level = f"level {asked} and EPL {epl_name(need.rank, need.family)}, by {why}"
    seen = refs.cite(f"EPL of {named}", one.epl_evidence, one.evidence) if one.epl else ()
    lines.append(Line(level if asked != "unknown" else "level not known", "asks", seen))
    lines.append(Line(_class_words(subject), "surfaces"))
    if need.family == "III" and (words := _dust_words(one, subject)):
        dust = {"cloud ignition": one.cloud_ignition, "layer ignition": one.layer_ignition}
        lines.append(Line(words, "", refs.values(named, one.evidence, **dust)))
    if need.in_dust:
        lines.append(Line(_buried_words(subject), "layer"))
    if need.family == "I" and one.coal_dust:
        lie = "can" if one.coal_dust == "yes" else "cannot"
        lines.append(Line(f"coal dust {lie} lie in layers", "layer"))
    lines += [Line(note, "substance") for note in need.assumptions]
    if need.columns:
        serve = ", ".join(need.columns)
        lines.append(Line(f"columns of a certificate that serve: {serve}", "columns"))
    air = refs.cite(f"ambient of {named}", area.ambient, area.evidence)
    lines.append(Line(_range(area.ambient), "ambient", air if area.ambient.known else ()))
    return Section("atmosphere", "What the atmosphere asks", tuple(lines))


# --- sources -------------------------------------------------------------------------------------


def _certificate(item: SourceType | ApparatusType, subject: Subject) -> Line:
    number = item.certificate
    found = subject.context.certificates.get(number)
    if found is None:
        return Line(number or "none named", "certificate")
    parts = [number, f"issue {found.issue}" if found.issue else "", found.status]
    if found.conditions:
        count = len(found.conditions)
        open_ = sum(one.answered != "yes" for one in found.conditions)
        state = "all answered" if not open_ else f"{open_} not answered one by one"
        parts.append(f"{count} special condition{'s' if count > 1 else ''}, {state}")
    elif found.suffix == "X":
        parts.append("suffix X, its conditions not listed")
    if found.listing:
        parts.append(f"listed for {found.listing}")
    if subject.context.code.by_drawing:
        parts.append(f"control drawing {item.control_drawing or 'not named'}")
    refs = subject.refs.cite(f"certificate {number}", found.evidence)
    return Line(", ".join(part for part in parts if part), "certificate", refs)


def _limits_used(one: SourceCase) -> Limits | None:
    return next(
        (
            limits
            for limits in one.output.limits
            if one.column and one.column == " ".join(p for p in (limits.level, limits.group) if p)
        ),
        None,
    )


def _shape(one: SourceCase) -> str:
    stated = one.output.shape
    if one.row.linear:
        return "linear by its document, and Po = Uo Io / 4 agrees within 5 %"
    if stated == "linear":
        return "linear by its document, but Po is not Uo Io / 4 within 5 %: counts as not linear"
    if not stated:
        return "not stated: counts as not linear"
    return f"{stated} by its document"


def _outputs(one: SourceCase, subject: Subject) -> Iterator[Line]:
    output, row, refs = one.output, one.row, subject.refs
    say = subject.context.code.say
    given = {"Uo": output.Uo, "Io": output.Io, "Po": output.Po}
    where = refs.values(one.label, one.kind.evidence, **given)
    yield Line(_said(subject, **given), f"output {output.name}", where)
    if output.no_current:
        yield Line(f"{say('Io')} = 0 by the words: {output.no_current}")
    if output.polarity:
        yield Line(say(_polarity(output)), "polarity")
    if not output.Po.known and not math.isnan(row.P):
        yield Line(say(f"Po is not stated: Uo x Io = {show(row.P, POWER)} is taken"))
    elif math.isnan(row.P) and output.Po.known:
        yield Line("Po as declared is set aside until its cross-check is answered (see warnings)")
    yield Line(say(_shape(one)), "shape")


def _polarity(output: Output) -> str:
    if output.polarity != "a.c.":
        return f"{output.polarity} to the common earth"
    return (
        f"a.c., Uo is {'the ' + output.peak if output.peak else 'not stated to be peak or r.m.s.'}"
    )


def _column(one: SourceCase, subject: Subject) -> Iterator[Line]:
    limits, row, say = _limits_used(one), one.row, subject.context.code.say
    printed = ", ".join(
        " ".join(part for part in (each.level, each.group) if part) for each in one.output.limits
    )
    if limits is None:
        yield Line(f"none of the printed columns ({printed or 'none'}) serves", "column used")
        return
    yield Line(
        f"{one.column}: of the printed ({printed}) the most generous that serves "
        f"{subject.case.need.group} at the level asked",
        "column used",
    )
    given = {"Co": limits.Co, "Lo": limits.Lo, "Lo_Ro": limits.Lo_Ro}
    where = subject.refs.values(f"{one.label}, column {one.column}", one.kind.evidence, **given)
    if any(value.known for value in given.values()):
        yield Line(_said(subject, **given), "may connect", where)
    doubted = [
        symbol(name)
        for name, value in given.items()
        if value.known and math.isnan(getattr(row, name))
    ]
    if doubted:
        yield Line(say(f"{' and '.join(doubted)} set aside until the cross-check is answered"))
    for number, pair in enumerate(limits.pairs, 1):
        both = {"Co": pair.Co, "Lo": pair.Lo}
        read = subject.refs.values(f"pair {number} of {one.label}", one.kind.evidence, **both)
        yield Line(_said(subject, **both), f"pair {number}", read)
    if limits.together == "yes":
        yield Line(say("a document lets Co and Lo be used at the same time, in full"))
    if one.row.together and one.kind.lumped_rule_words and limits.together != "yes":
        drawing = f"by control drawing {one.kind.control_drawing}"
        yield Line(
            f'{say("Co and Lo")} in full together, {drawing}: "{one.kind.lumped_rule_words}"'
        )


def _ports(one: SourceCase, subject: Subject) -> Iterator[Line]:
    stated = {supply.port: supply for supply in one.use.safe_side}
    for port, row in one.ports:
        behind = f"{show(row.behind, VOLTAGE)} behind it"
        refs = subject.refs.values(
            f"port {port.name} of {one.label}", one.kind.evidence, Um=port.Um
        )
        own = stated.get(port.name)
        if own is not None and own.voltage.known:
            if own.evidence:
                what = f"voltage behind {one.label}, {port.name}"
                refs += subject.refs.cite(what, own.evidence)
        elif not math.isnan(row.behind):
            behind = f"at most {show(row.behind, VOLTAGE)} behind it, as declared"
        yield Line(f"Um {port.Um}; {behind}", f"port {port.name}", refs)


_ISOLATION = {
    "galvanic": "galvanically isolated: earths no circuit",
    "earthed barrier": "shunt-diode barrier: earths the circuit at its bar",
    "": "not stated whether isolated or earthed",
}


def _where(one: SourceCase, place: str) -> str:
    parts = [place or "place not known"]
    if one.use.cabinet:
        parts.append(f"cabinet {one.use.cabinet}")
    air = range_words(one.row.cold, one.row.hot)
    return f"{', '.join(parts)}; air {air}, made for {range_words(one.row.Ta_min, one.row.Ta_max)}"


def sources(subject: Subject) -> Iterator[Section]:
    """Each source: output, shape, column, ports."""
    for one in subject.case.sources:
        kind = one.kind
        owner = subject.owner(one)
        placed = zip(owner.sources, source_places(owner, subject.context), strict=True)
        named = ", ".join(part for part in (kind.name, kind.model, kind.maker) if part)
        blocks: list[Block] = [
            Line(named, "type", subject.refs.cite(f"type {kind.name}", kind.evidence))
        ]
        blocks.append(_certificate(kind, subject))
        mark = one.mark
        serves = f"serves {mark.level or 'unknown level'}, {mark.group or 'unknown group'}"
        blocks.append(Line(f"{kind.mark}: {serves}" if kind.mark else serves, "marking"))
        place = next((where for use, where in placed if use.source == one.use.source), "")
        blocks.append(Line(_where(one, one.use.place or place), "stands in"))
        blocks.append(Line(_ISOLATION[kind.isolation], "earth"))
        blocks += [*_outputs(one, subject), *_column(one, subject), *_ports(one, subject)]
        yield Section("source", subject.titled(f"Source {one.label}", owner), tuple(blocks))


# --- apparatus -----------------------------------------------------------------------------------


def _alternatives(one: MemberCase) -> str:
    mark = one.mark
    if mark is None:
        return ""
    facts = [mark.level or "no level", mark.group or "no group", mark.epl, mark.temperature]
    return "taken as " + ", ".join(fact for fact in facts if fact)


def _energy(one: MemberCase) -> str:
    if one.row.energy == -math.inf:
        return "no supply of its own"
    if math.isnan(one.row.energy):
        return "supply of its own, or not known: what it feeds back is not shown"
    return f"supply of its own, but {one.item.energy or 'passive, as declared or by its figures'}"


def _surface(number: int, one: MemberCase, subject: Subject) -> Iterator[Line]:
    if not one.row.here:
        yield Line("stands in another atmosphere, where its surface is judged", "surface")
        return
    hottest = float(temperature.surface_temperature(subject.columns)[number, 0])
    limits = temperature.surface_limit(subject.columns)
    limit = float(limits[number, 0] if limits.ndim > 1 else limits[0])
    said = "no row of its table covers this" if hottest == math.inf else show(hottest, TEMPERATURE)
    yield Line(f"{said}; allowed {show(limit, TEMPERATURE)}", "surface")
    rows = one.temperatures if one.entry is not None and one.entry.rows else ()
    for power, high, low, celsius in rows:
        up_to = "any power" if power == math.inf else f"up to {show(power, POWER)}"
        yield Line(f"row: {show(celsius, TEMPERATURE)} {up_to}, {range_words(low, high)}")


def _held(one: MemberCase, subject: Subject) -> Iterator[Line]:
    item, refs = one.item, subject.refs
    if one.entry is not None:
        entry = one.entry
        accepts = {"Ui": entry.Ui, "Ii": entry.Ii, "Pi": entry.Pi}
        yield Line(
            _said(subject, **accepts), "accepts", refs.values(one.label, item.evidence, **accepts)
        )
        stores = {"Ci": entry.Ci, "Li": entry.Li}
        yield Line(
            _said(subject, **stores), "stores", refs.values(one.label, item.evidence, **stores)
        )
        gives = {"Uo": entry.Uo, "Io": entry.Io, "Po": entry.Po}
        if any(value.known for value in gives.values()):
            yield Line(
                _said(subject, **gives), "delivers", refs.values(one.label, item.evidence, **gives)
            )
        return
    if not isinstance(item, SimpleType):
        return
    held = {"Ci": item.Ci, "Li": item.Li}
    yield Line(_said(subject, **held), "stores", refs.values(one.label, item.evidence, **held))
    if item.sort == "generating":
        made = {"U": item.U, "I": item.I, "P": item.P}
        yield Line(
            _said(subject, **made), "generates", refs.values(one.label, item.evidence, **made)
        )
    if item.Rth.known:
        read = refs.values(one.label, item.evidence, Rth=item.Rth)
        yield Line(f"{show(item.Rth.si, THERMAL)} in still gas", "Rth", read)


def _isolated(one: MemberCase) -> str:
    answer = one.member.isolation or one.item.isolation
    words = {"yes": "withstands 500 V to earth", "no": "does not withstand 500 V: an earthed point"}
    return words.get(
        answer, "500 V to earth: see the declarations; else it may be an earthed point"
    )


def apparatus(subject: Subject) -> Iterator[Section]:
    """Each apparatus with the alternative of its marking that counts."""
    for number, one in enumerate(subject.case.members):
        item, row = one.item, one.row
        owner = subject.owner(one)
        certified = isinstance(item, ApparatusType)
        named = item.name if not isinstance(item, ApparatusType) else ", ".join(
            part for part in (item.name, item.model, item.maker) if part
        )  # fmt: skip
        where = subject.refs.cite(f"type {item.name}", item.evidence)
        blocks: list[Block] = [Line(named, "type", where)]
        if isinstance(item, ApparatusType):
            blocks.append(_certificate(item, subject))
        if certified:
            text = one.entry.mark if one.entry is not None else ""
            used = _alternatives(one)
            blocks.append(Line(f"{text}; {used}" if text else used, "marking"))
        elif isinstance(item, SimpleType):
            state = "assessed" if row.assessed == 0.0 else "no written assessment"
            blocks.append(
                Line(f"simple apparatus, {item.sort or 'kind not stated'}, {state}", "sort")
            )
        place = place_of(one.member, owner) or "place not known"
        air = (
            f"air {range_words(row.cold, row.hot)}, made for {range_words(row.Ta_min, row.Ta_max)}"
        )
        if row.hottest != row.hot and not math.isnan(row.hottest):
            air += f"; its mounting reaches {show(row.hottest, TEMPERATURE)}"
        blocks.append(Line(f"{place}; {air}", "stands in"))
        if one.member.temporary:
            blocks.append(Line("a service tool, hung on for a while", "use"))
        blocks += [*_held(one, subject), *_surface(number, one, subject)]
        blocks.append(Line(_energy(one), "energy"))
        blocks.append(Line(_isolated(one), "earth"))
        kind = "Apparatus" if certified else "Simple apparatus"
        title = subject.titled(f"{kind} {one.label}", owner)
        yield Section("apparatus", title, tuple(blocks))


# --- cable ---------------------------------------------------------------------------------------


def _same(a: float, b: float) -> bool:
    return math.isclose(a, b, rel_tol=_NEAR)


def _capacitance_words(cable: CableType, row: RunRow, subject: Subject) -> str:
    """How C' of a run was got."""
    core, screen = cable.C_core, cable.C_screen
    if cable.C.known:
        return "as its data sheet states it"
    if math.isnan(row.C):
        return "not known"
    if not core.known:
        return f"default, {subject.context.code.constants['default C'].clause}: an assumption"
    if _same(row.C, core.si):
        return f"core to core {core}"
    if _same(row.C, core.si + screen.si):
        return f"core to core {core} + core to screen {screen} (screen tied or earthed)"
    return f"core to core {core} + half of core to screen {screen} (screen floating)"


def _ratio_words(cable: CableType, row: RunRow, open_: bool, subject: Subject) -> str:
    """How L/R of a run was got."""
    code = subject.context.code
    if cable.L_R.known:
        return "as its data sheet states it"
    if row.LR_default:
        top = show(code.number("default L/R current"), CURRENT)
        shut = "" if open_ else f"; closed above {top}"
        return f"default, {code.constants['default L/R'].clause}: an assumption{shut}"
    if math.isnan(row.LR):
        return "not known"
    if row.LR_assumed:
        less = 100.0 * (1.0 - code.number("copper allowance"))
        return f"nominal copper of {_conductor(cable)}, less {less:.0f} %, at the coldest air"
    if cable.R_loop.known:
        return f"L' / loop resistance {cable.R_loop}"
    return f"L' / (2 x core resistance {cable.R_core})"


def _conductor(cable: CableType) -> str:
    given = (str(one) for one in (cable.section, cable.gauge) if one.known)
    return ", ".join(given)


def _route(run: Run) -> str:
    ends = " to ".join(end for end in (run.start, run.end) if end)
    where = "in the safe area" if run.area == SAFE_AREA else (f"in {run.area}" if run.area else "")
    return ", ".join(part for part in (ends, where) if part)


def cable(subject: Subject) -> Iterator[Section]:
    """Each run: length x C' = C, length x L' = L, and L/R, with how each was got."""
    refs, feet = subject.refs, subject.context.code.feet
    blocks: list[Block] = []
    for number, (run, row) in enumerate(subject.case.runs):
        kind = subject.context.cables.get(run.cable) or CableType(name="not stated")
        label = run.number or f"run {number + 1}"
        parts = [kind.name, str(run.length), _route(run)]
        read = refs.cite(f"length of {label}", run.length, subject.circuit.evidence)
        blocks.append(
            Line(", ".join(p for p in parts if p), label, read if run.length.known else ())
        )
        length = show(row.length, LENGTH, feet=feet)
        cap = {"C": kind.C, "C_core": kind.C_core, "C_screen": kind.C_screen}
        read = refs.values(f"cable {kind.name}", kind.evidence, **cap)
        total = show(row.length * row.C, CAPACITANCE)
        sum_ = f"{length} x {show(row.C, C_PER_LENGTH, feet=feet)} = {total}"
        blocks.append(Line(f"{sum_}; C': {_capacitance_words(kind, row, subject)}", "  C", read))
        read = refs.values(f"cable {kind.name}", kind.evidence, L=kind.L)
        total = show(row.length * row.L, INDUCTANCE)
        how = "as its data sheet states it" if kind.L.known else (
            "not known" if math.isnan(row.L)
            else f"default, {subject.context.code.constants['default L'].clause}: an assumption"
        )  # fmt: skip
        sum_ = f"{length} x {show(row.L, L_PER_LENGTH, feet=feet)} = {total}"
        blocks.append(Line(f"{sum_}; L': {how}", "  L", read))
        ratio = {"L_R": kind.L_R, "R_loop": kind.R_loop, "R_core": kind.R_core,
                 "section": kind.section, "gauge": kind.gauge}  # fmt: skip
        read = refs.values(f"cable {kind.name}", kind.evidence, **ratio)
        used = float(subject.columns.LR[number, 0])
        said = show(row.LR, L_PER_R, 4)
        words = _ratio_words(kind, row, not math.isnan(used), subject)
        blocks.append(Line(words if said == words else f"{said}; {words}", "  L/R", read))
    if not blocks:
        blocks.append(Line("no run of cable is stated"))
    yield Section("cable", "Cable", tuple(blocks))
