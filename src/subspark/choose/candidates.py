"""Candidates: the sources of a catalogue as they would stand in a circuit, output by output."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable
from dataclasses import dataclass

from subspark.model import Circuit, Method, SourceType, SourceUse

__all__ = ["Candidate", "candidates_of", "use_of", "with_source"]


@dataclass(frozen=True, slots=True)
class Candidate:
    """One output of one type of source. ``outputs`` is blank where the type has one only."""

    kind: SourceType
    outputs: str

    @property
    def label(self) -> str:
        """Name for people."""
        return f"{self.kind.name} output {self.outputs}" if self.outputs else self.kind.name


def candidates_of(sources: Iterable[SourceType], method: Method = "entity") -> list[Candidate]:
    """Every output of every source that may feed a circuit of its own.

    Certificates for whole combinations and terminals of field apparatus are none.
    """
    found = []
    for kind in sources:
        if kind.covers or kind.terminals_of:
            continue
        own = [one for one in kind.outputs if one.method == method and "+" not in one.name]
        if len(own) == 1 or len(kind.outputs) <= 1:
            found += [Candidate(kind, "")] if own else []
        else:
            found += [Candidate(kind, one.name) for one in own]
    return found


def use_of(use: SourceUse, candidate: Candidate) -> SourceUse:
    """The candidate in the place of a source: same place and cabinet, its own polarity.

    The tag is kept only by the very same output: another one is another device, whose tag a
    person gives. What stands behind a port is kept where the candidate has a port of that name.
    """
    same = use.source == candidate.kind.name and use.outputs == candidate.outputs
    names = [port.name for port in candidate.kind.ports] or ["supply"]
    return dataclasses.replace(
        use,
        tag=use.tag if same else "",
        source=candidate.kind.name,
        outputs=candidate.outputs,
        polarity="",
        safe_side=tuple(one for one in use.safe_side if one.port in names),
    )


def with_source(circuit: Circuit, candidate: Candidate, at: int = 0) -> Circuit:
    """The circuit with the candidate in place of one of its sources."""
    uses = list(circuit.sources)
    uses[at] = use_of(uses[at], candidate)
    return dataclasses.replace(circuit, sources=tuple(uses))
