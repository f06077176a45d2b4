"""Findings as HTML for a notebook: small, self-contained, and readable without colour.

Light blue is kept for Ex i wiring and appears nowhere here.
"""

from __future__ import annotations

from html import escape
from itertools import islice
from typing import TYPE_CHECKING

from subspark.assess.words import percent
from subspark.rules import Verdict
from subspark.rules.fieldbus import SEGMENT_RULES

if TYPE_CHECKING:
    from subspark.assess.findings import Assessment, Finding, RuleFinding, Summary

__all__ = ["assessment_html", "finding_html"]

_COLOURS = {"safe": "#1B7F6B", "unsafe": "#C8442B", "unproven": "#A8741A"}
_SHAPES = {
    "safe": '<circle cx="6" cy="6" r="5" fill="{0}"/>',
    "unsafe": '<path d="M6 0 12 6 6 12 0 6Z" fill="{0}"/>',
    "unproven": '<circle cx="6" cy="6" r="4" fill="none" stroke="{0}" stroke-width="2"/>',
}
_MOST_ROWS = 50

_FRAME = "font:14px/1.45 system-ui,sans-serif;font-variant-numeric:tabular-nums;max-width:60em"
_CELL = "padding:2px 12px 2px 0;text-align:left;vertical-align:top"
_NUMBER = "padding:2px 12px 2px 0;text-align:right;vertical-align:top;white-space:nowrap"
_RULE = "border-top:1px solid #8886"
_QUIET = "opacity:.7;font-size:90%"


def _verdict(word: str) -> str:
    """Glyph and word of a verdict, in its colour."""
    colour = _COLOURS.get(word, "inherit")
    shape = _SHAPES.get(word, "").format(colour)
    glyph = f'<svg width="12" height="12" viewBox="0 0 12 12" aria-hidden="true">{shape}</svg> '
    said = f'<span style="color:{colour};font-weight:600">{escape(word)}</span>'
    return f'<span style="white-space:nowrap">{glyph if shape else ""}{said}</span>'


def _row(cells: list[tuple[str, str]], style: str = "") -> str:
    made = "".join(f'<td style="{kind}">{text}</td>' for kind, text in cells)
    return f'<tr style="{style}">{made}</tr>'


def _head(titles: list[tuple[str, str]]) -> str:
    made = "".join(
        f'<th scope="col" style="{kind};font-weight:400;opacity:.7">{escape(title)}</th>'
        for kind, title in titles
    )
    return f"<tr>{made}</tr>"


def _table(head: str, rows: list[str]) -> str:
    return f'<table style="border-collapse:collapse"><thead>{head}</thead><tbody>' + (
        "".join(rows) + "</tbody></table>"
    )


def _used(share: float | None) -> str:
    return "" if share is None else percent(share)


def _of_rule(name: str, found: RuleFinding) -> str:
    return _row(
        [
            (_CELL, escape(name)),
            (_CELL, escape(found.sentence)),
            (_NUMBER, _used(found.utilisation)),
            (_CELL, _verdict(found.verdict.word)),
            (f"{_CELL};{_QUIET}", escape(found.clause)),
        ],
        _RULE,
    )


def _notes(title: str, notes: tuple[str, ...]) -> str:
    if not notes:
        return ""
    items = "".join(f"<li>{escape(note)}</li>" for note in notes)
    return f'<p style="margin:8px 0 0">{escape(title)}</p><ul style="margin:0">{items}</ul>'


def finding_html(finding: Finding) -> str:
    """One circuit: its sentence, every rule that is asked, assumptions and warnings.

    Parameters
    ----------
    finding : Finding
        What the rules say of the circuit.

    Returns
    -------
    str
        A fragment of HTML that needs nothing else.
    """
    asked = {
        name: found
        for name, found in finding.rules.items()
        if found.verdict is not Verdict.NOT_ASKED
    }
    spared = [name for name in finding.rules if name not in asked and name not in SEGMENT_RULES]
    head = _head(
        [(_CELL, "rule"), (_CELL, "here"), (_NUMBER, "used"), (_CELL, "verdict"), (_CELL, "clause")]
    )
    service = f" {escape(finding.service)}" if finding.service else ""
    case = f"case {finding.case}; " if len(finding.cases) > 1 else ""
    parts = [
        f'<p style="margin:0"><b>{escape(finding.tag)}</b>{service} ',
        f"{_verdict(finding.verdict.word)}</p>",
        f'<p style="margin:4px 0 8px">{escape(finding.sentence)}</p>',
        _table(head, [_of_rule(name, found) for name, found in asked.items()]),
        f'<p style="{_QUIET}">Not asked: {escape(", ".join(spared))}.</p>' if spared else "",
        _notes("Assumptions", finding.assumptions),
        _notes("Warnings", finding.warnings),
        f'<p style="{_QUIET}">{escape(case)}by {escape(finding.code)}; curves: ',
        f"{escape(finding.curves)}</p>",
    ]
    return f'<div style="{_FRAME}">{"".join(parts)}</div>'


def _of_circuit(one: Summary) -> str:
    return _row(
        [
            (_CELL, _verdict(one.verdict.word)),
            (_CELL, escape(one.tag)),
            (_CELL, escape(one.service)),
            (_CELL, escape(one.area)),
            (_CELL, escape(one.governing)),
            (_NUMBER, _used(one.utilisation)),
        ],
        _RULE,
    )


def assessment_html(assessment: Assessment) -> str:
    """A plant: how many circuits are what, and the first of them, the worst verdicts first.

    Parameters
    ----------
    assessment : Assessment
        The judged plant.

    Returns
    -------
    str
        A fragment of HTML that needs nothing else.
    """
    counts = ", ".join(f"{count:,} {word}" for word, count in assessment.counts.items())
    ranked = sorted(assessment.summaries(), key=lambda one: -one.verdict)
    head = _head(
        [
            (_CELL, "verdict"),
            (_CELL, "tag"),
            (_CELL, "service"),
            (_CELL, "area"),
            (_CELL, "closest limit"),
            (_NUMBER, "used"),
        ]
    )
    rest = len(ranked) - _MOST_ROWS
    parts = [
        f'<p style="margin:0 0 8px"><b>{escape(assessment.plant.name)}</b> ',
        f"{len(assessment):,} circuits: {counts}</p>",
        _table(head, [_of_circuit(one) for one in islice(ranked, _MOST_ROWS)]),
        f'<p style="{_QUIET}">and {rest:,} more</p>' if rest > 0 else "",
        f'<p style="{_QUIET}">by {escape(assessment.context.code.title)}</p>',
    ]
    return f'<div style="{_FRAME}">{"".join(parts)}</div>'
