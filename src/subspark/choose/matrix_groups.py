"""Circuits of a plant that differ in one length only, brought together."""

from __future__ import annotations

import dataclasses
import math
from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from subspark.assess.context import Context
from subspark.model import Circuit, Member, Run, SourceUse

__all__ = ["Group", "grouped"]

Ints = npt.NDArray[np.intp]
Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Group:
    """Circuits that differ in one length only, the shortest first; ``circuit`` stands for all."""

    circuit: Circuit
    varied: int
    members: Ints
    lengths: Floats


_TOLD = frozenset(
    {"tag", "service", "document", "revision", "note", "evidence", "function", "as_built"}
)
"""What is said of a circuit or of its parts and bears on no rule of safety."""
_OF = {
    kind: tuple(one.name for one in dataclasses.fields(kind) if one.name not in _TOLD)
    for kind in (Circuit, Member, Run, SourceUse)
}


def _plain(thing: Circuit | Member | Run | SourceUse, but: frozenset[str]) -> tuple[object, ...]:
    return tuple(getattr(thing, name) for name in _OF[type(thing)] if name not in but)


_LISTS = frozenset({"sources", "members", "runs"})
_BY_CANDIDATE = frozenset({"source", "outputs", "polarity"})
_ENDS = frozenset({"start", "end", "number"})


def _key(circuit: Circuit, varied: int, context: Context, own: set[str]) -> object:
    """All of a circuit that its safety depends on, but for one length."""
    runs = []
    for at, run in enumerate(circuit.runs):
        ends = tuple(end if end in context.junctions else "" for end in (run.start, run.end))
        shared = run.number if context.sharing.get(run.number, 0) > 1 else ""
        named = bool(run.number)
        but = _ENDS | {"length"} if at == varied else _ENDS
        runs.append((_plain(run, but), ends, shared, named))
    return (
        _plain(circuit, _LISTS),
        tuple(_plain(one, _BY_CANDIDATE) for one in circuit.sources),
        tuple(_plain(one, frozenset()) for one in circuit.members),
        tuple(runs),
        circuit.tag if circuit.tag in own else "",
    )


def _working_key(circuit: Circuit) -> object:
    """What its function depends on besides: its figures, and what hangs at which end of a run.

    A name counts by where it stands again, not by its letters, unless a figure names a run.
    """
    seen = {"": -1}
    ends = [
        (seen.setdefault(run.start, len(seen)), seen.setdefault(run.end, len(seen)))
        for run in circuit.runs
    ]
    tags = [seen.get(one.tag, -1) for one in circuit.members]
    tags += [seen.get(one.tag, -1) for one in circuit.sources]
    tags += [seen.get(one.cabinet, -1) for one in circuit.sources]
    parts = any(one.part for one in circuit.function)
    numbers = tuple(run.number for run in circuit.runs) if parts else ()
    return circuit.function, tuple(ends), tuple(tags), seen.get(circuit.tag, -1), numbers


def grouped(
    circuits: Sequence[Circuit], context: Context, *, function: bool = False
) -> list[Group]:
    """Circuits that differ in one length only, together; those of unknown length alone.

    With ``function`` they agree in all that their function depends on too.
    """
    own = {one.of for one in context.plant.declarations if one.scope == "circuit"}
    common = Counter(run.length.text for one in circuits for run in one.runs)
    found: dict[object, list[tuple[float, int, int]]] = defaultdict(list)
    for index, circuit in enumerate(circuits):
        varied = _varied(circuit, common)
        length = circuit.runs[varied].length.si if circuit.runs else 0.0
        alone = index if math.isnan(length) else -1
        working = _working_key(circuit) if function else None
        found[_key(circuit, varied, context, own), working, alone].append((length, index, varied))
    out = []
    for listed in found.values():
        listed.sort(key=lambda one: one[:2])
        members = np.array([index for _, index, _ in listed], dtype=np.intp)
        lengths = np.array([length for length, _, _ in listed])
        out.append(Group(circuits[int(members[0])], listed[0][2], members, lengths))
    return out


def _varied(circuit: Circuit, common: Counter[str]) -> int:
    """The run by which circuits are sorted: the one whose length is the rarest, the last on a tie.

    The length of a trunk cable is that of many circuits, the length of its own cable one's own.
    """
    counts = [common[run.length.text] for run in circuit.runs]
    return len(counts) - 1 - counts[::-1].index(min(counts)) if counts else 0
