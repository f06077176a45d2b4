"""A circuit's finding as a page shows it: the ladder of limits, what would mend it, the working."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from subspark.assess import Assessment, Finding, RuleFinding
from subspark.assess.tree import Check, Line, Reference, Section, Stairs, Table, Working
from subspark.assess.working import working
from subspark.rules import RULES, Verdict
from subspark.rules.fieldbus import SEGMENT_RULES

__all__ = ["Rung", "Shown", "shown"]

_TOP = ("verdict", "rules", "cases", "assumptions", "warnings", "missing", "function")
_FARTHEST = 1.45  # of a limit, to which the plane of C and L is drawn
_ORDER = {one.name: place for place, one in enumerate(RULES)}


LEANS: dict[str, tuple[tuple[str, tuple[str, ...]], ...]] = {
    "voltage": (("source", ("output",)), ("combination", ("U",)), ("apparatus", ("accepts",))),
    "current": (("source", ("output",)), ("combination", ("I",)), ("apparatus", ("accepts",))),
    "power": (("source", ("output",)), ("combination", ("P",)), ("apparatus", ("accepts",))),
    "capacitance": (
        ("source", ("column used", "may connect")),
        ("combination", ("Co",)),
        ("apparatus", ("stores",)),
        ("cable", ("", "C")),
        ("energy", ("C in all", "k ", "lumped parts", "half of Co")),
    ),
    "inductance": (
        ("source", ("column used", "may connect")),
        ("combination", ("Lo",)),
        ("apparatus", ("stores",)),
        ("cable", ("", "L", "L/R")),
        ("energy", ("L in all", "k ", "lumped parts", "half of Lo", "by L/R")),
    ),
    "permitted current": (("combination", ("permitted I", "table", "I")),),
    "supply": (("source", ("port",)), ("declarations", ("safe side voltage",))),
    "level": (("atmosphere", ("asks",)), ("source", ("marking",)), ("apparatus", ("marking",))),
    "group": (
        ("atmosphere", ("atmosphere", "substance", "columns")),
        ("source", ("marking",)),
        ("apparatus", ("marking",)),
    ),
    "temperature class": (("atmosphere", ("surfaces",)), ("apparatus", ("marking", "surface"))),
    "ambient": (
        ("atmosphere", ("ambient",)),
        ("source", ("stands in",)),
        ("apparatus", ("stands in",)),
        ("declarations", ("cabinet ambient",)),
    ),
    "earthing": (
        ("source", ("earth",)),
        ("apparatus", ("earth",)),
        ("declarations", ("apparatus isolation",)),
    ),
    "barrier earth": (("source", ("earth",)), ("declarations", ("barrier earth",))),
    "place": (("atmosphere", ("asks",)), ("apparatus", ("marking", "stands in"))),
    "conditions": (
        ("source", ("certificate",)),
        ("apparatus", ("certificate",)),
        ("declarations", ("conditions answered",)),
    ),
    "cable": (("cable", ("",)), ("declarations", ("cable construction",))),
    "segregation": (("declarations", ("segregation",)),),
    "atmosphere": (("declarations", ("atmospheric conditions",)),),
    "own energy": (("apparatus", ("energy", "generates")),),
    "simple": (("apparatus", ("sort", "use")),),
    "shared cable": (("cable", ("", "pairs")), ("declarations", ("cable construction",))),
}
"""For each rule, the lines of the working that hold what it leans on: section and how their label
begins ("": that of a run). It is a matter of showing: the rule is not asked again."""


@dataclass(frozen=True, slots=True)
class Lean:
    """One line that a limit leans on, and where it was read."""

    of: str
    line: Line
    read_in: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Rung:
    """One limit of the ladder, with what it leans on."""

    found: RuleFinding
    check: Check
    governs: bool
    leans: tuple[Lean, ...] = ()

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
        Rung(found, checks[name], name == finding.governing, tuple(_leans(tree, name)))
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


def _leans(tree: Working, rule: str) -> Iterator[Lean]:
    """The lines of the working that hold what a rule leans on, each with where it was read."""
    evidence = {
        one.number: one.text
        for one in _blocks(tree.section("evidence"))
        if isinstance(one, Reference)
    }
    wanted = dict(LEANS.get(rule, ()))
    for section in tree.sections:
        for line in section.blocks if section.key in wanted else ():
            if isinstance(line, Line) and _begins(line, wanted[section.key], section.key):
                read_in = tuple(evidence[one] for one in line.refs if one in evidence)
                yield Lean(section.title, line, read_in)


def _begins(line: Line, starts: tuple[str, ...], section: str) -> bool:
    label = line.label
    if section == "cable":  # the label of a run is its own; those of its parts are set in
        return label.strip() in starts if label.startswith(" ") else "" in starts
    return any(label.startswith(one) for one in starts)


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
