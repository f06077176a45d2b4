"""A circuit's finding as a page shows it: the ladder of limits, what would mend it, the working."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from subspark.assess import Assessment, Finding, RuleFinding
from subspark.assess.tree import Check, Line, Section, Stairs, Table
from subspark.assess.working import working
from subspark.rules import RULES, Verdict
from subspark.rules.fieldbus import SEGMENT_RULES

__all__ = ["Rung", "Shown", "shown"]

_TOP = ("verdict", "rules", "cases", "assumptions", "warnings", "missing", "function")
_FARTHEST = 1.45  # of a limit, to which the plane of C and L is drawn
_ORDER = {one.name: place for place, one in enumerate(RULES)}


@dataclass(frozen=True, slots=True)
class Rung:
    """One limit of the ladder."""

    found: RuleFinding
    check: Check
    governs: bool

    @property
    def name(self) -> str:
        """Name of the rule."""
        return self.found.rule.name

    @property
    def word(self) -> str:
        """Its verdict."""
        return self.found.verdict.word

    @property
    def anchor(self) -> str:
        """Where help explains it."""
        return self.name.replace(" ", "-")


@dataclass(frozen=True, slots=True)
class Plane:
    """Where a circuit stands among what may be connected: each side as a share of its limit.

    ``x``, ``y`` are places in a field of 0 to 150 by 0 to 150, of which 100 is the limit.
    """

    x: float
    y: float
    capacitance: RuleFinding
    inductance: RuleFinding
    beyond: bool


def _plane(finding: Finding) -> Plane | None:
    """The plane of a circuit whose capacitance and inductance both have numbers."""
    c, i = finding.rules.get("capacitance"), finding.rules.get("inductance")
    if c is None or i is None or i.by == "L/R":
        return None
    used = [one.utilisation for one in (c, i)]
    if any(one is None for one in used):
        return None
    x, y = (min(float(one or 0.0), _FARTHEST) * 100 for one in used)
    beyond = any((one or 0.0) > _FARTHEST for one in used)
    return Plane(x, 150.0 - y, c, i, beyond)


@dataclass(frozen=True, slots=True)
class Shown:
    """What the page of a circuit shows of its finding."""

    finding: Finding
    rungs: list[Rung]
    spared: list[str]
    mends: list[Line]
    cases: Table | None
    assumptions: tuple[str, ...]
    warnings: tuple[str, ...]
    missing: list[Line]
    inputs: list[dict[str, Any]]
    function: dict[str, Any] | None
    plane: Plane | None


def shown(assessment: Assessment, tag: str) -> Shown:
    """Prepare the finding of a circuit for its page."""
    finding = assessment[tag]
    tree = working(assessment, tag)
    checks = {one.rule: one for one in _blocks(tree.section("rules")) if isinstance(one, Check)}
    rungs = [
        Rung(found, checks[name], governs=name == finding.governing)
        for name, found in finding.rules.items()
        if name in checks
    ]
    rungs.sort(key=_rank)
    spared = [
        name
        for name, one in finding.rules.items()
        if one.verdict is Verdict.NOT_ASKED and name not in SEGMENT_RULES
    ]
    top = [one for one in _blocks(tree.section("verdict")) if isinstance(one, Line)]
    tables = [one for one in _blocks(tree.section("cases")) if isinstance(one, Table)]
    return Shown(
        finding=finding,
        rungs=rungs,
        spared=spared,
        mends=[one for one in top if one.label.startswith("what would")],
        cases=tables[0] if tables else None,
        assumptions=finding.assumptions,
        warnings=finding.warnings,
        missing=[one for one in _blocks(tree.section("missing")) if isinstance(one, Line)],
        inputs=[_plain(one) for one in tree.sections if one.key not in _TOP],
        plane=_plane(finding),
        function=_function(tree.section("function")),
    )


def _blocks(section: Section | None) -> tuple[Any, ...]:
    return () if section is None else section.blocks


def _rank(one: Rung) -> tuple[int, float, int]:
    used = one.found.utilisation
    return (-int(one.found.verdict), -(-1.0 if used is None else used), _ORDER[one.name])


def _function(section: Section | None) -> dict[str, Any] | None:
    """Whether the circuit works: its sentence, staircase, rules and what is not known."""
    if section is None:
        return None
    lines = [one for one in section.blocks if isinstance(one, Line)]
    return {
        "sentence": lines[0].text if lines else "",
        "mends": [one.text for one in lines if one.label.startswith("what would")],
        "missing": [one.text for one in lines if one.label == "not known"],
        "assumed": [one.text for one in lines if one.label == "assumed"],
        "stairs": [one for one in section.blocks if isinstance(one, Stairs)],
        "checks": [one for one in section.blocks if isinstance(one, Check)],
    }


def _plain(section: Section) -> dict[str, Any]:
    """A section with the sort of each block, for templates."""
    return {
        "key": section.key,
        "title": section.title,
        "blocks": [(type(one).__name__.lower(), one) for one in section.blocks],
    }
