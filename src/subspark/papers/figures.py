"""The figures that a dossier prints: each with its name, its text and, if any, its number."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import Any

from subspark.assess import Assessment
from subspark.assess.findings import Finding
from subspark.assess.function.cases import Staircase
from subspark.assess.words import percent
from subspark.assess.working_function import stairs
from subspark.papers.parameters import parameters
from subspark.papers.texts import words
from subspark.rules import Verdict

__all__ = ["Figure", "figures", "figures_of_equivalents"]

Figure = dict[str, Any]
"""``name``, ``text`` as printed, ``value`` in SI (None where it is a word)."""


def _figure(name: str, text: str, value: float | None = None) -> Figure:
    return {"name": name, "text": text, "value": value}


def _of_safety(finding: Finding) -> Iterator[Figure]:
    yield _figure("verdict", finding.verdict.word)
    yield _figure("sentence", finding.sentence, finding.utilisation)
    for name, one in finding.rules.items():
        if one.verdict is Verdict.NOT_ASKED:
            continue
        yield _figure(f"rule {name}: verdict", one.verdict.word)
        yield _figure(f"rule {name}: demand", one.demand_text, one.demand)
        if one.limit_text:
            yield _figure(f"rule {name}: limit", one.limit_text, one.limit)
        if one.utilisation is not None:
            yield _figure(f"rule {name}: used", percent(one.utilisation), one.utilisation)
    if len(finding.cases) > 1:
        for number, case in enumerate(finding.cases, 1):
            yield _figure(f"case {number}: verdict", case.verdict.word, case.utilisation)


def _of_function(finding: Finding) -> Iterator[Figure]:
    works = finding.works
    yield _figure("function: verdict", works.word.capitalize())
    yield _figure("function: sentence", works.sentence, works.utilisation)
    for name, one in works.rules.items():
        if one.verdict is not Verdict.NOT_ASKED:
            yield _figure(f"function {name}: verdict", one.word)
            yield _figure(f"function {name}: demand", one.demand_text, one.demand)
            yield _figure(f"function {name}: limit", one.limit_text, one.limit)
            if one.utilisation is not None:
                yield _figure(f"function {name}: used", percent(one.utilisation), one.utilisation)
    if works.staircase is not None and works.staircase.steps:
        yield from _of_stairs(works.staircase)


def _of_stairs(told: Staircase) -> Iterator[Figure]:
    """What each step takes and leaves, and what is needed."""
    shown = stairs(told)
    for number, (step, said) in enumerate(zip(told.steps, shown.steps, strict=True), 1):
        for what, text, value in (
            ("takes", said.change, step.change),
            ("leaves", said.left, step.left),
        ):
            if text:
                yield _figure(f"function, step {number} {step.label}: {what}", text, _known(value))
    if shown.needed:
        yield _figure("function, steps: needed", shown.needed, _known(told.needed))


def _known(value: float) -> float | None:
    return None if math.isnan(value) else value


def _of_parts(assessment: Assessment, tag: str, language: str) -> Iterator[Figure]:
    case = assessment.cases[assessment.governing_place(tag)]
    for sort, table in parameters(assessment, case, words(language)).items():
        for number, row in enumerate(table["rows"], 1):
            for symbol, text in zip(table["head"], row["values"], strict=True):
                yield _figure(f"{sort} {number} {row['part']}: {symbol}", text)
            if "length" in row:
                yield _figure(f"{sort} {number} {row['part']}: length", row["length"])


def figures(assessment: Assessment, finding: Finding, language: str = "en") -> list[Figure]:
    """Every figure of the dossier of a circuit that can be compared by its name.

    Parameters
    ----------
    assessment : Assessment
        In which the circuit was judged.
    finding : Finding
        What it says of the circuit.
    language : str
        Of the fixed texts among them ("not stated").

    Returns
    -------
    list of dict
        Verdicts, both sides of every rule with what is used, cases, function with the steps of
        its budget, and the parameters of every part.
    """
    return [
        *_of_safety(finding),
        *_of_function(finding),
        *_of_parts(assessment, finding.tag, language),
    ]


def figures_of_equivalents(rows: Iterable[dict[str, Any]]) -> list[Figure]:
    """What the dossier says of each type that may stand in.

    Parameters
    ----------
    rows : iterable of dict
        As :func:`subspark.papers.equivalents.equivalent_rows` gives them.
    """
    return [
        _figure(f"equivalent {number}: {key}", row[key])
        for number, row in enumerate(rows, 1)
        for key in ("type", "safe", "works")
    ]
