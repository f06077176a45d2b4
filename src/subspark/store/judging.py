"""Circuits judged, as rows of the register. The verdicts are those of :mod:`subspark.assess`."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from types import MappingProxyType

from subspark.assess import Assessment, Need, assess
from subspark.assess.function import FunctionAssessment
from subspark.assess.function.findings import word
from subspark.exchange.curve_store import curves_in_use, kept_state
from subspark.model import Circuit, Plant
from subspark.physics.ignition import Curves
from subspark.rules import Verdict

__all__ = ["Row", "curves", "judge", "judged_by", "needs_of_text", "rows"]


@dataclass(frozen=True, slots=True)
class Row:
    """One circuit of the register."""

    tag: str
    service: str
    area: str
    source: str
    apparatus: str
    verdict: int
    governing: str
    utilisation: float | None
    length: float | None
    open_points: int
    needs: str
    works: str
    search: str


def curves() -> Curves:
    """The ignition table in use on this machine; read and checked again where it was changed."""
    state = kept_state()
    if not state:
        return curves_in_use()
    known = _READ.get(state)
    if known is None:
        known = curves_in_use()
        _READ.clear()
        _READ[state] = known
    return known


_READ: dict[tuple[int, ...], Curves] = {}
"""The table that was read last, by what tells that it was changed since."""


def judged_by() -> str:
    """The version of the program and the ignition table by which circuits are judged now."""
    return f"{_version()} {curves().digest}"


@cache
def _version() -> str:
    try:
        return version("subspark")
    except PackageNotFoundError:  # run from its files, without having been installed
        return ""


def judge(part: Plant, tags: Iterable[str]) -> Assessment:
    """Judge some circuits of a plant, or of a part that holds all that concerns them."""
    return assess(part, tags, curves=curves())


def rows(assessment: Assessment, works: Mapping[str, str] = MappingProxyType({})) -> Iterator[Row]:
    """The rows of the circuits that were judged.

    Parameters
    ----------
    assessment : Assessment
        Their verdicts.
    works : mapping of str to str
        Whether a circuit works, by tag, where that is known already; for the others it is
        found here.
    """
    asked = [one for one in assessment.circuits if one.tag not in works]
    function = FunctionAssessment(asked, assessment.context)
    conditions = {
        one.number: [condition.text for condition in one.conditions]
        for one in assessment.plant.certificates
    }
    kinds = {**assessment.context.sources, **assessment.context.items}
    for circuit, one in zip(assessment.circuits, assessment.summaries(), strict=True):
        unproven = one.verdict is Verdict.UNPROVEN
        needs = sorted(assessment.missing_of(one.tag)) if unproven else []
        source = ", ".join(dict.fromkeys(use.source for use in circuit.sources))
        apparatus = ", ".join(dict.fromkeys(member.apparatus for member in circuit.members))
        used = [use.source for use in circuit.sources]
        used += [member.apparatus for member in circuit.members]
        texts = (
            *(one.tag, one.service, one.area, source, apparatus, one.governing),
            *_names(circuit),
            *_notes(assessment, one.tag),
            *(
                text
                for name in used
                for text in conditions.get(getattr(kinds.get(name), "certificate", ""), ())
            ),
            *(str(need) for need in needs),
        )
        yield Row(
            tag=one.tag,
            service=one.service,
            area=one.area,
            source=source,
            apparatus=apparatus,
            verdict=int(one.verdict),
            governing=one.governing,
            utilisation=one.utilisation,
            length=_length(circuit),
            open_points=len(needs),
            needs=json.dumps([[need.of, need.what, need.how] for need in needs]),
            works=works.get(one.tag) or word(function.verdict(one.tag)),
            search="\n".join(dict.fromkeys(text.lower() for text in texts if text)),
        )


def _names(circuit: Circuit) -> Iterator[str]:
    for use in circuit.sources:
        yield from (use.tag, use.cabinet)
    for member in circuit.members:
        yield member.tag
    for run in circuit.runs:
        yield from (run.cable, run.number, run.start, run.end)
    yield circuit.document


def _notes(assessment: Assessment, tag: str) -> Iterator[str]:
    """Assumptions and warnings of the cases that count: they can be searched for."""
    for place in assessment.counted_places(tag):
        case = assessment.cases[place]
        yield from case.assumptions
        yield from case.warnings


def _length(circuit: Circuit) -> float | None:
    total = math.fsum(run.length.si for run in circuit.runs) if circuit.runs else math.nan
    return None if math.isnan(total) else total


def needs_of_text(text: str) -> frozenset[Need]:
    """What a circuit lacks, from the row that keeps it."""
    return frozenset(Need(*one) for one in json.loads(text))
