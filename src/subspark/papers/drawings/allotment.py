"""Pairs of cables and terminals of boxes, allotted over the whole plant."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from weakref import WeakKeyDictionary

from subspark.assess import Assessment
from subspark.assess.context import Context
from subspark.model import Run
from subspark.rules import Verdict

__all__ = ["Index", "cores_of", "index_of", "use_index"]


@dataclass(frozen=True, slots=True)
class Index:
    """Pairs of cables and terminals of boxes, allotted in the order of the circuits; verdicts.

    ``pairs`` and ``rows`` are by circuit: the number of its pair in each cable, and its first
    terminal and how many it has in each box.
    """

    verdicts: dict[str, Verdict]
    pairs: dict[str, dict[str, int]]
    rows: dict[str, dict[str, tuple[int, int]]]

    def terminals(self, junction: str, circuit: str) -> tuple[str, ...]:
        """Numbers of the terminals that a circuit has in a box."""
        first, cores = self.rows.get(circuit, {}).get(junction, (0, 0))
        return tuple(str(first + one) for one in range(cores))

    def pair(self, cable: str, circuit: str) -> int:
        """Number of the pair that a circuit has in a cable; 0 where it has none."""
        return self.pairs.get(circuit, {}).get(cable, 0)

    def of(self, tags: Iterable[str]) -> Index:
        """What it says of some circuits."""
        kept = list(tags)
        return Index(
            {tag: self.verdicts[tag] for tag in kept if tag in self.verdicts},
            {tag: self.pairs[tag] for tag in kept},
            {tag: self.rows[tag] for tag in kept},
        )


def _allotted(assessment: Assessment) -> Index:
    context = assessment.context
    used: dict[str, int] = defaultdict(int)
    taken: dict[str, int] = defaultdict(int)
    pairs: dict[str, dict[str, int]] = {}
    rows: dict[str, dict[str, tuple[int, int]]] = {}
    for circuit in context.plant.circuits:
        at: dict[str, int] = {}
        own: dict[str, int] = {}
        for run in circuit.runs:
            cores = cores_of(run, context)
            for end in (run.start, run.end):
                if end:
                    at[end] = max(at.get(end, 0), cores)
            if run.number and run.number not in own:
                taken[run.number] += 1
                own[run.number] = taken[run.number]
        pairs[circuit.tag] = own
        rows[circuit.tag] = {end: (used[end] + 1, cores) for end, cores in at.items()}
        for end, cores in at.items():
            used[end] += cores
    verdicts = {one.tag: one.verdict for one in assessment.summaries()}
    return Index(verdicts, pairs, rows)


_KNOWN: WeakKeyDictionary[Assessment, Index] = WeakKeyDictionary()


def index_of(assessment: Assessment) -> Index:
    """The allotment of a plant, made once for an assessment."""
    found = _KNOWN.get(assessment)
    if found is None:
        found = _KNOWN[assessment] = _allotted(assessment)
    return found


def use_index(assessment: Assessment, index: Index) -> None:
    """Give the assessment of a part of a plant the allotment of the whole."""
    _KNOWN[assessment] = index


def cores_of(run: Run, context: Context) -> int:
    """Conductors of a run that the circuit uses; two where it is not stated."""
    cable = context.cables.get(run.cable)
    count = None if cable is None else cable.cores
    return 2 if count is None else max(1, min(count, 4))
