"""The parameters of every part of a circuit, as printed, each with where it was read."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from subspark.assess import Assessment
from subspark.assess.rows import Case, MemberCase, SourceCase
from subspark.model import (
    ApparatusType,
    CableType,
    Certificate,
    Limits,
    Run,
    SimpleType,
    SourceType,
)
from subspark.papers.texts import Words
from subspark.quantity import Evidence, TemperatureRange, Value
from subspark.rules import Code

__all__ = ["limits_used", "parameters"]

Plain = dict[str, Any]


def limits_used(one: SourceCase) -> Limits | None:
    """The column of the certificate that the case uses; None where none serves."""
    for limits in one.output.limits:
        if one.column and one.column == " ".join(p for p in (limits.level, limits.group) if p):
            return limits
    return None


def _read(record: Evidence, *given: Value | TemperatureRange) -> str:
    """Where values were read: each place once, pages of one document together."""
    pages: dict[str, list[str]] = {}
    for one in given:
        if not one.known:
            continue
        place = one.evidence or record
        if not place:
            continue
        found = pages.setdefault(place.document or str(place), [])
        page = place.page if place.document else ""
        if page and page not in found:
            found.append(page)
    return "; ".join(
        f"{document}, p. {', '.join(numbers)}" if numbers else document
        for document, numbers in pages.items()
    )


def _certificate(number: str, known: dict[str, Certificate], words: Words) -> str:
    if not number:
        return words("answers.no_certificate")
    found = known.get(number)
    parts = [number]
    if found is not None:
        parts += [f"issue {found.issue}" if found.issue else "", found.status]
    return ", ".join(part for part in parts if part)


def _named(item: SourceType | ApparatusType | SimpleType) -> str:
    if isinstance(item, SimpleType):
        return item.name
    return ", ".join(part for part in (item.name, item.model, item.maker) if part)


def _value(value: Value) -> str:
    return str(value)


def _limit(value: Value, one: SourceCase, words: Words) -> str:
    """A limit on what may be connected; none is asked of the output of a fieldbus."""
    if value.known:
        return str(value)
    return words("answers.not_asked" if one.output.method != "entity" else "answers.unstated")


def _pairs(limits: Limits, code: Code) -> str:
    both = (f"{code.say('Co')} {pair.Co} with {code.say('Lo')} {pair.Lo}" for pair in limits.pairs)
    return "; ".join(both)


def _source(one: SourceCase, known: dict[str, Certificate], code: Code, words: Words) -> Plain:
    kind, output, limits = one.kind, one.output, limits_used(one)
    held = limits or Limits()
    Um = "; ".join(
        dict.fromkeys(str(port.Um) for port, _ in one.ports)
    )  # ports that differ are told apart in the working
    lines = [_named(kind), _certificate(kind.certificate, known, words), kind.mark]
    notes = []
    if kind.control_drawing:
        notes.append(f"{words('facts.drawing')} {kind.control_drawing}")
    if one.column:
        notes.append(f"column {one.column}")
    if held.pairs:
        notes.append(f"{words('answers.pairs')}: {_pairs(held, code)}")
    gives, takes = [output.Uo, output.Io, output.Po], [held.Co, held.Lo, held.Lo_Ro]
    ports = [port.Um for port, _ in one.ports]
    pairs = [value for pair in held.pairs for value in (pair.Co, pair.Lo)]
    return {
        "part": one.label,
        "lines": [line for line in lines if line],
        "notes": notes,
        "values": [*map(_value, gives), *(_limit(value, one, words) for value in takes), Um],
        "read": _read(kind.evidence, *gives, *takes, *ports, *pairs),
    }


def _apparatus(one: MemberCase, known: dict[str, Certificate], words: Words) -> Plain:
    item = one.item
    if isinstance(item, ApparatusType) and one.entry is not None:
        entry = one.entry
        values = [entry.Ui, entry.Ii, entry.Pi, entry.Ci, entry.Li]
        mark = one.mark
        surface = mark.temperature if mark is not None else ""
        ambient: TemperatureRange = mark.ambient if mark is not None else TemperatureRange()
        lines = [_named(item), _certificate(item.certificate, known, words), entry.mark]
        notes = [f"{words('facts.drawing')} {item.control_drawing}"] if item.control_drawing else []
        shown = [_value(value) for value in values]
        read = _read(item.evidence, *values)
        table = "table" if entry.rows else ""
        tail = [surface or table or "unknown", str(ambient) if ambient.known else "unknown"]
        return {"part": one.label, "lines": [line for line in lines if line], "notes": notes,
                "values": [*shown, *tail], "read": read}  # fmt: skip
    if not isinstance(item, SimpleType):  # a certified type without a set of parameters yet
        lines = [_named(item), _certificate(item.certificate, known, words)]
        return {"part": one.label, "lines": lines, "notes": [], "values": ["unknown"] * 7,
                "read": str(item.evidence)}  # fmt: skip
    nothing = words("answers.not_asked")
    hottest = str(item.hottest_surface) if item.hottest_surface.known else nothing
    ambient = item.ambient
    return {
        "part": one.label,
        "lines": [_named(item), words("answers.simple")],
        "notes": [],
        "values": [nothing, nothing, nothing, _value(item.Ci), _value(item.Li), hottest,
                   str(ambient) if ambient.known else nothing],
        "read": _read(item.evidence, item.Ci, item.Li) or str(item.evidence),
    }  # fmt: skip


def _built(run: Run, words: Words) -> str:
    named = {"yes": "answers.as_built", "no": "answers.design", "": "answers.unstated"}
    return words(named[run.as_built])


def _run(number: int, run: Run, cable: CableType | None, words: Words) -> Plain:
    kind = cable or CableType(name=words("answers.unstated"))
    values: list[Value] = [kind.C if kind.C.known else kind.C_core, kind.L, kind.L_R]
    return {
        "part": run.number or words("answers.run", number),
        "kind": kind.name,
        "from": run.start,
        "to": run.end,
        "length": str(run.length),
        "built": _built(run, words),
        "values": [_value(value) if value.known else words("answers.unstated") for value in values],
        "read": _read(kind.evidence, *values, run.length),
    }


def _heads(symbols: Iterable[str], code: Code) -> list[str]:
    return [code.say(symbol) for symbol in symbols]


def parameters(assessment: Assessment, case: Case, words: Words) -> Plain:
    """Tables of the sources, the apparatus and the runs of a case.

    Parameters
    ----------
    assessment : Assessment
        In which the case stands.
    case : Case
        Usually the governing one.
    words : Words
        The language.

    Returns
    -------
    dict
        ``sources``, ``apparatus`` and ``runs``, each with ``head`` (symbols of the code) and
        ``rows``; values are the texts of the documents.
    """
    context = assessment.context
    code, known = context.code, context.certificates
    return {
        "sources": {
            "head": _heads(("Uo", "Io", "Po", "Co", "Lo", "Lo/Ro", "Um"), code),
            "rows": [_source(one, known, code, words) for one in case.sources],
        },
        "apparatus": {
            "head": [*_heads(("Ui", "Ii", "Pi", "Ci", "Li"), code),
                     words("head.T"), words("head.Ta")],
            "rows": [_apparatus(one, known, words) for one in case.members],
        },
        "runs": {
            "head": ["C'", "L'", "L/R"],
            "rows": [
                _run(number, run, context.cables.get(run.cable), words)
                for number, (run, _) in enumerate(case.runs, 1)
            ],
        },
    }  # fmt: skip
