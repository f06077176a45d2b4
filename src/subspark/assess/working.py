"""The whole working of one circuit, so that an engineer can follow it beside her calculator.

Nothing is judged here: numbers come from the columns of the case and from the functions of
:mod:`subspark.rules`, and are put into words.
"""

from __future__ import annotations

from collections.abc import Iterator

from subspark.assess.evidence import References, declarations
from subspark.assess.findings import Assessment, Finding, RuleFinding
from subspark.assess.needs import Need
from subspark.assess.tree import (
    Block,
    Check,
    Line,
    Reference,
    Section,
    Table,
    Working,
)
from subspark.assess.words import percent
from subspark.assess.working_energy import combination, stored
from subspark.assess.working_function import function
from subspark.assess.working_inputs import Subject, apparatus, atmosphere, cable, sources
from subspark.assess.working_segment import segment
from subspark.rules import Code, Verdict
from subspark.rules.fieldbus import SEGMENT_RULES

__all__ = ["Block", "Check", "Line", "Reference", "Section", "Table", "Working", "working"]

_MOST_NEEDS = 3  # told at the top; all of them have a section of their own


def _verdict(finding: Finding, needs: list[Need], code: Code, *, merged: bool) -> Section:
    lines: list[Block] = [Line(finding.sentence)]
    if len(finding.cases) > 1:
        lines.append(Line(f"{finding.case} (the worst of {len(finding.cases)})", "case"))
    lines.append(Line(finding.code, "by"))
    lines += [
        Line(f"{name}: {code.say(found.rule.remedy)}", "what would mend it")
        for name, found in finding.rules.items()
        if found.verdict is Verdict.UNSAFE
    ]
    if merged and finding.verdict is Verdict.UNSAFE:
        apart = finding.rules["shared cable"].rule.remedy
        lines.append(Line(f"shared cable: {apart}", "what would mend it"))
    lines += [Line(str(need), "what would show it") for need in needs[:_MOST_NEEDS]]
    if finding.without_tool is not None:
        lines.append(Line(finding.without_tool.word, "without the tool"))
    return Section("verdict", "Verdict", tuple(lines))


def _helps(found: RuleFinding) -> bool:
    """Whether the rule's remedy is to the point; an unknown quantity wants its value instead."""
    unproven = found.verdict is Verdict.UNPROVEN and found.rule.sort == "suitability"
    return found.verdict is Verdict.UNSAFE or unproven


def _check(found: RuleFinding, code: Code) -> Check:
    by = f" (by {found.by})" if found.by == "L/R" else ""
    return Check(
        rule=found.rule.name,
        verdict=found.verdict.word,
        says=found.rule.says,
        relation=code.say(found.rule.relation),
        numbers=found.sentence + by,
        utilisation=found.utilisation,
        clause=found.clause,
        remedy=code.say(found.rule.remedy) if _helps(found) else "",
    )


def _rules(finding: Finding, code: Code) -> Section:
    asked = [one for one in finding.rules.values() if one.verdict is not Verdict.NOT_ASKED]
    blocks: list[Block] = [_check(one, code) for one in asked]
    spared = [
        name
        for name, one in finding.rules.items()
        if one.verdict is Verdict.NOT_ASKED and name not in SEGMENT_RULES
    ]
    if spared:
        blocks.append(Line(", ".join(spared), "not asked here"))
    return Section("rules", "Every rule", tuple(blocks))


def _cases(finding: Finding) -> Iterator[Section]:
    if len(finding.cases) == 1:
        return
    rows = tuple(
        (
            one.name,
            one.verdict.word,
            one.governing,
            "" if one.utilisation is None else percent(one.utilisation),
        )
        for one in finding.cases
    )
    head = ("case", "verdict", "closest limit", "used")
    yield Section("cases", "Every case that counts", (Table(head, rows),))


def _leaned_on(subject: Subject) -> Section:
    blocks: list[Block] = list(
        declarations(subject.case, subject.circuit, subject.context, subject.refs)
    )
    return Section("declarations", "Declarations that it leans on", tuple(blocks) or _none())


def _none() -> tuple[Block, ...]:
    return (Line("none"),)


def _evidence(refs: References) -> Section:
    blocks: list[Block] = list(refs.listed)
    if refs.without:
        blocks.append(Line("; ".join(refs.without), "no evidence stated"))
    return Section("evidence", "Evidence", tuple(blocks) or _none())


def _notes(key: str, title: str, notes: tuple[str, ...]) -> Iterator[Section]:
    if notes:
        yield Section(key, title, tuple(Line(note) for note in notes))


def _missing(needs: list[Need]) -> Iterator[Section]:
    if needs:
        lines = tuple(Line(f"{need.of}: {need.what}", need.how) for need in needs)
        yield Section("missing", "What is missing", lines)


def working(assessment: Assessment, tag: str) -> Working:
    """The whole working of one circuit in its governing case.

    Parameters
    ----------
    assessment : Assessment
        In which the circuit was judged.
    tag : str
        The circuit.

    Returns
    -------
    Working
        Sections in the order in which they are read: verdict, atmosphere, sources, apparatus,
        cable, combination, stored energy (or fieldbus segment), rules, cases, function,
        assumptions, warnings, what is missing, declarations, evidence.

    Raises
    ------
    UsageError
        A tag that is not there or was not assessed.
    """
    finding = assessment[tag]
    place = assessment.governing_place(tag)
    needs = sorted(assessment.missing_of(tag))
    refs = References(assessment.context.code)
    subject = Subject(
        circuit=assessment.plant.circuit(tag),
        case=assessment.cases[place],
        columns=assessment.columns(place),
        context=assessment.context,
        refs=refs,
    )
    merged = subject.case.atmosphere < 0  # with other circuits of a multicore
    code = assessment.context.code
    sections: list[Section] = [
        _verdict(finding, needs, code, merged=merged),
        atmosphere(subject),
    ]
    sections += [*sources(subject), *apparatus(subject), *cable(subject)]
    energy = [*segment(subject, assessment)] or [stored(subject)]
    sections += [
        *combination(subject),
        *energy,
        _rules(finding, code),
        *_cases(finding),
        function(finding.works),
    ]
    sections += _notes("assumptions", "Assumptions", finding.assumptions)
    sections += _notes("warnings", "Warnings", finding.warnings)
    sections += _missing(needs)
    sections.append(_leaned_on(subject))
    sections.append(_evidence(refs))
    return Working(
        tag=finding.tag,
        service=finding.service,
        verdict=finding.verdict.word,
        sentence=finding.sentence,
        case=finding.case,
        code=finding.code,
        sections=tuple(sections),
    )
