"""The dossier of one circuit: everything that its sheets say, as plain data for the template.

Nothing is judged here. Texts and figures come from the finding and its working; verdicts are
those of :mod:`subspark.assess`.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterable, Iterator
from typing import Any

from subspark.assess import Assessment
from subspark.assess.findings import Finding
from subspark.assess.rows import Case
from subspark.assess.tree import Line, Section, Working
from subspark.assess.working import working
from subspark.errors import UsageError
from subspark.model import Certificate, Circuit, Condition
from subspark.papers.blocks import plain_section, rows_of_checks
from subspark.papers.parameters import parameters
from subspark.papers.signing import Signing
from subspark.papers.texts import Words, words
from subspark.rules import Verdict

__all__ = ["PAPERS", "conditions", "open_points", "sheet"]

PAPERS = ("a4", "letter")
"""The sizes of paper."""

_ABOVE = frozenset({"verdict", "rules", "assumptions", "warnings", "missing", "function"})
"""Sections of the working that have a place of their own on the sheets."""

_UNBROKEN = re.compile(
    r"(?<=\d) (?=(?:[pnµumkM]?(?:V|A|W|F|H|Ω|ohm|m|K|Hz|s|ft|J)|mm2?|AWG)\b|°|%)"
    r"|(?<=\bIEC) (?=\d)|(?<=\bEx) (?=i\w?\b)"
)
"""Gaps at which no line is broken: between a number and its unit, and inside a name."""

_PRINTED_X = re.compile(r"\d\s?X(?![0-9A-Za-z])")

Plain = dict[str, Any]
_UNSIGNED = Signing()


def _head(assessment: Assessment, circuit: Circuit, mark: str, say: Words) -> Plain:
    return {
        "plant": assessment.plant.name,
        "kind": say("dossier.kind"),
        "tag": circuit.tag,
        "service": circuit.service,
        "number": circuit.document or say("sheet.no_number"),
        "revision": circuit.revision or say("sheet.no_revision"),
        "mark": mark,
    }


def _standing(finding: Finding, signed: bool, say: Words) -> tuple[str, str, str]:
    """Title, a sentence under it, and the mark of every sheet."""
    if finding.verdict is Verdict.SAFE:
        if signed:
            return say("dossier.proof"), "", ""
        mark = f"{say('sheet.unsigned')}: {say('sheet.unsigned_why')}"
        return say("dossier.proof_unsigned"), "", mark
    unsafe = finding.verdict is Verdict.UNSAFE
    mark = f"{say('sheet.unsigned')}: {finding.verdict.word}, {say('sheet.open_why')}"
    return (
        say("dossier.open"),
        say("dossier.open_unsafe" if unsafe else "dossier.open_unproven"),
        mark,
    )


def _atmosphere_facts(told: Working, say: Words) -> Iterator[tuple[str, str]]:
    section = told.section("atmosphere")
    for key in ("area", "atmosphere", "asks", "surfaces", "ambient"):
        for one in section.blocks if section is not None else ():
            if isinstance(one, Line) and one.label == key:
                yield (say("facts.level") if key == "asks" else say(f"facts.{key}")), one.text
                break


def _facts(
    assessment: Assessment, finding: Finding, told: Working, open_: int, say: Words
) -> list[list[str]]:
    circuit, context = assessment.plant.circuit(finding.tag), assessment.context
    case = finding.case
    if len(finding.cases) > 1:
        case = say("facts.cases", case, len(finding.cases))
    rows = [*_atmosphere_facts(told, say)]
    rows += [
        (say("facts.method"), circuit.method),
        (say("facts.case"), case),
        (say("facts.code"), finding.code),
        (say("facts.curves"), f"{context.curves.name} ({context.curves.digest[:12]})"),
        (say("facts.function"), finding.works.sentence),
        (say("facts.open"), say("facts.open_count", open_) if open_ else say("facts.open_none")),
    ]
    return [list(row) for row in rows]


# --- open points and conditions ------------------------------------------------------------------


def _certificates(case: Case, assessment: Assessment) -> list[Certificate]:
    known = assessment.context.certificates
    numbers = [one.kind.certificate for one in case.sources]
    numbers += [getattr(one.item, "certificate", "") for one in case.members]
    return [known[number] for number in dict.fromkeys(numbers) if number in known]


def _answer(assessment: Assessment, number: str, one: Condition, say: Words) -> tuple[str, bool]:
    """The answer in words, and whether it is still open."""
    evidence = f" ({one.evidence})" if one.evidence else ""
    if one.answered == "yes":
        return f"{say('answers.yes')}{evidence}", False
    if one.answered == "no":
        return f"{say('answers.no')}{evidence}", True
    found = assessment.context.declared.find("conditions answered", certificate=number)
    if assessment.context.declared.holds("conditions answered", certificate=number) and found:
        where = f" ({found.evidence})" if found.evidence else ""
        return f"{say('answers.declared')}{where}", False
    return say("answers.open"), True


def _suffix_x(certificate: Certificate) -> bool:
    return certificate.suffix == "X" or _PRINTED_X.search(certificate.number) is not None


def conditions(
    assessment: Assessment, certificates: Iterable[Certificate], say: Words
) -> list[Plain]:
    """The special conditions of certificates, each with its answer.

    A certificate with the suffix X whose conditions are not entered has a row that says so.
    """
    rows = []
    for certificate in certificates:
        listed = certificate.conditions
        if not listed and _suffix_x(certificate):
            listed = (Condition(text=say("answers.not_listed")),)
        for one in listed:
            answer, open_ = _answer(assessment, certificate.number, one, say)
            rows.append({"certificate": certificate.number, "text": one.text, "answer": answer,
                         "open": open_})  # fmt: skip
    return rows


def _started(words: str) -> str:
    """Words as a sentence begins."""
    return words[:1].upper() + words[1:]


def open_points(assessment: Assessment, finding: Finding) -> list[list[str]]:
    """What keeps a circuit from being safe: rules that fail, then what is missing."""
    say = assessment.context.code.say
    points = [
        [f"{name} ({found.verdict.word})", f"{found.sentence}. {_started(say(found.rule.remedy))}"]
        for name, found in finding.rules.items()
        if found.verdict in (Verdict.UNSAFE, Verdict.UNPROVEN)
    ]
    points += [
        [need.how, f"{need.of}: {need.what}"] for need in sorted(assessment.missing_of(finding.tag))
    ]
    return points


# --- the whole -----------------------------------------------------------------------------------


def _drawing(assessment: Assessment, tag: str) -> Plain | None:
    """The block drawing as plain shapes."""
    from subspark.papers.drawings import circuit_drawing
    from subspark.papers.drawings.pdf import plain_shapes

    return plain_shapes(circuit_drawing(assessment, tag).sheets[0])


def _mending(told: Working, label: str) -> list[str]:
    section = told.section("verdict")
    blocks = section.blocks if section is not None else ()
    return [one.text for one in blocks if isinstance(one, Line) and one.label == label]


def _below(function: Section) -> Section:
    """The section on function without its first sentence, which stands above it."""
    return dataclasses.replace(function, blocks=function.blocks[1:])


def _equivalents(finding: Finding, rows: list[Plain] | None, say: Words) -> Plain | None:
    """What may stand in, and a sentence that says of what the list is; None where not asked."""
    if rows is None:
        return None
    sound = finding.verdict is Verdict.SAFE and finding.works.verdict is Verdict.SAFE
    note = "note" if rows else "none" if sound else "not_asked"
    return {"note": say(f"equivalents.{note}"), "rows": rows}


def unbroken(thing: Any) -> Any:  # noqa: ANN401 - plain data of any shape
    """The same data, with numbers kept beside their units."""
    if isinstance(thing, str):
        return _UNBROKEN.sub("\u00a0", thing)
    if isinstance(thing, list):
        return [unbroken(one) for one in thing]
    if isinstance(thing, dict):
        return {key: unbroken(one) for key, one in thing.items()}
    return thing


def sheet(
    assessment: Assessment,
    finding: Finding,
    *,
    paper: str = "a4",
    signing: Signing = _UNSIGNED,
    language: str = "en",
    equivalents: list[Plain] | None = None,
) -> Plain:
    """Everything that the dossier of one circuit prints.

    Parameters
    ----------
    assessment : Assessment
        In which the circuit was judged.
    finding : Finding
        What it says of the circuit.
    paper : str
        "a4" or "letter".
    signing : Signing
        Signatures of a safe circuit only; reason of the revision.
    language : str
        Of the fixed texts.
    equivalents : list of dict, optional
        What may stand in, in words; None where nobody asked.

    Returns
    -------
    dict
        Plain data for the template, texts and shares only.

    Raises
    ------
    UsageError
        A tag or paper that is not there, or a signature under what is open.
    """
    if paper not in PAPERS:
        raise UsageError(f"paper {paper!r}: wanted one of {', '.join(PAPERS)}")
    say = words(language)
    tag, told = finding.tag, working(assessment, finding.tag)
    signing.check([(tag, finding.verdict)])
    circuit = assessment.plant.circuit(tag)
    case = assessment.cases[assessment.governing_place(tag)]
    title, under, mark = _standing(finding, signing.complete, say)
    points = open_points(assessment, finding)
    rules, function = told.section("rules"), told.section("function")
    spared = [one.text for one in rules.blocks if isinstance(one, Line)] if rules else []
    made = {
        "paper": paper,
        "language": language,
        "head": _head(assessment, circuit, mark, say),
        "title": title,
        "under": under,
        "verdict": {"word": finding.verdict.word, "sentence": finding.sentence},
        "mend": _mending(told, "what would mend it"),
        "show": _mending(told, "what would show it"),
        "facts": _facts(assessment, finding, told, len(points), say),
        "rules": rows_of_checks(rules) if rules is not None else [],
        "not_asked": ", ".join(spared),
        "parameters": parameters(assessment, case, say),
        "sections": [plain_section(one) for one in told.sections if one.key not in _ABOVE],
        "works": {"word": finding.works.word, "sentence": finding.works.sentence},
        "function": None if function is None else plain_section(_below(function)),
        "conditions": conditions(assessment, _certificates(case, assessment), say),
        "open": points,
        "assumptions": list(finding.assumptions),
        "warnings": list(finding.warnings),
        "equivalents": _equivalents(finding, equivalents, say),
        "revisions": [[circuit.revision, signing.reason, signing.date], ["", "", ""]],
        "signatures": signing.rows(),
        "words": {
            name: say.section(name) for name in ("sheet", "dossier", "head", "equivalents")
        },
        "contents": say.listed("contents.items"),
        "cautions": say.listed("cautions.items"),
    }  # fmt: skip
    return {**unbroken(made), "drawing": _drawing(assessment, tag)}
