"""Which part of a circuit breaks a limit or leaves a rule open, as the finding says."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable
from typing import Literal, NamedTuple

from subspark.assess import RuleFinding
from subspark.assess.words import percent
from subspark.papers.drawings.facts import CircuitFacts
from subspark.papers.drawings.words import say
from subspark.rules import Verdict

__all__ = ["Mark", "Part", "marks_of"]

Part = tuple[Literal["source", "member", "run", "circuit"], int]
"""A part of a circuit by its kind and place in the circuit's list."""


class Mark(NamedTuple):
    """Words for a part, and whether it breaks a limit (or only leaves it open)."""

    text: str
    breaks: bool


def marks_of(facts: CircuitFacts) -> dict[Part, list[Mark]]:
    """Marks by part: every rule that is unsafe or unproven, at the part that decides it.

    Where a sum breaks a limit its largest part is marked. A rule that no single part decides
    is marked at the circuit.
    """
    out: dict[Part, list[Mark]] = defaultdict(list)
    for name, found in facts.finding.rules.items():
        if found.verdict in (Verdict.UNSAFE, Verdict.UNPROVEN):
            part, largest = _part(name, found, facts)
            out[part].append(_mark(name, found, largest))
    return dict(out)


def _mark(name: str, found: RuleFinding, largest: str) -> Mark:
    if found.verdict is Verdict.UNPROVEN:
        return Mark(say("open", rule=name, what=found.comparison), breaks=False)
    if found.utilisation is None:
        return Mark(say("breaks plainly", rule=name, what=found.comparison), breaks=True)
    used = percent(found.utilisation)
    if largest:
        return Mark(say("largest part", rule=name, used=used, part=largest), breaks=True)
    return Mark(say("breaks", rule=name, used=used), breaks=True)


def _part(name: str, found: RuleFinding, facts: CircuitFacts) -> tuple[Part, str]:
    if found.of and (named := _named(found.of, facts)):
        return named, ""
    if name in ("capacitance", "inductance") and found.verdict is Verdict.UNSAFE:
        return _largest(name, facts)
    chosen = _BY_RULE.get(name)
    part = None if chosen is None else chosen(facts)
    return (part or ("circuit", 0)), ""


def _named(of: str, facts: CircuitFacts) -> Part | None:
    """The part that a finding names."""
    for nth, source in enumerate(facts.sources):
        if of == source.tag or of.startswith(f"{source.tag}, port"):
            return "source", nth
    for nth, member in enumerate(facts.members):
        if of == member.tag:
            return "member", nth
    for nth, run in enumerate(facts.runs):
        if of == run.label:
            return "run", nth
    return None


def _largest(name: str, facts: CircuitFacts) -> tuple[Part, str]:
    """The largest part of a sum; the circuit where a part is not known."""
    energy = name == "capacitance"
    parts: list[tuple[float, Part, str]] = [
        (one.Ci if energy else one.Li, ("member", nth), one.tag)
        for nth, one in enumerate(facts.members)
    ]
    parts += [
        (one.C if energy else one.L, ("run", nth), one.label) for nth, one in enumerate(facts.runs)
    ]
    if not parts or any(math.isnan(value) for value, _, _ in parts):
        return ("circuit", 0), ""
    _, part, label = max(parts, key=lambda one: one[0])
    return part, label if len(parts) > 1 else ""


def _first(fits: Callable[[int], bool], count: int) -> int | None:
    return next((nth for nth in range(count) if fits(nth)), None)


def _barrier(facts: CircuitFacts) -> Part | None:
    nth = _first(lambda i: facts.sources[i].isolation != "galvanic", len(facts.sources))
    return None if nth is None else ("source", nth)


def _first_source(facts: CircuitFacts) -> Part | None:
    return ("source", 0) if facts.sources else None


def _surge(facts: CircuitFacts) -> Part | None:
    nth = _first(lambda i: facts.members[i].symbol == "surge", len(facts.members))
    return None if nth is None else ("member", nth)


def _shared(facts: CircuitFacts) -> Part | None:
    nth = _first(lambda i: bool(facts.runs[i].pair), len(facts.runs))
    return None if nth is None else ("run", nth)


def _earthed(facts: CircuitFacts) -> Part | None:
    nth = _first(lambda i: facts.members[i].earthed, len(facts.members))
    return None if nth is None else ("member", nth)


_BY_RULE: dict[str, Callable[[CircuitFacts], Part | None]] = {
    "permitted current": _first_source,
    "barrier earth": _barrier,
    "earthing": _earthed,
    "supply": _first_source,
    "surge device": _surge,
    "shared cable": _shared,
}
