"""What a change would do: the difference in verdicts and margins, with nothing copied or saved."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from subspark.assess import Assessment, assess
from subspark.assess.function.findings import word
from subspark.choose.around import joined
from subspark.choose.change import Edit, apply
from subspark.model import Circuit, Plant
from subspark.physics.ignition import Curves
from subspark.rules import Verdict

__all__ = ["Difference", "State", "WhatIf", "touched", "what_if"]


@dataclass(frozen=True, slots=True)
class State:
    """How one circuit stands."""

    verdict: Verdict
    governing: str
    utilisation: float | None
    works: Verdict

    @property
    def margin(self) -> float | None:
        """What is left of the closest limit, as a share of it."""
        return None if self.utilisation is None else 1.0 - self.utilisation

    @property
    def works_word(self) -> str:
        """Whether it works, in a word."""
        return word(self.works)


@dataclass(frozen=True, slots=True)
class Difference:
    """One circuit before and after; None where it is not there."""

    tag: str
    before: State | None
    after: State | None

    @property
    def worse(self) -> bool:
        """Whether a verdict, of safety or of function, is worse than it was."""
        if self.before is None or self.after is None:
            return False
        return self.after.verdict > self.before.verdict or self.after.works > self.before.works

    @property
    def better(self) -> bool:
        """Whether a verdict is better than it was, and none worse."""
        if self.before is None or self.after is None or self.worse:
            return False
        return self.after.verdict < self.before.verdict or self.after.works < self.before.works


@dataclass(frozen=True, slots=True)
class WhatIf:
    """A change laid over a plant: the plant as it would be, and every circuit that differs."""

    plant: Plant
    judged: int
    differences: tuple[Difference, ...]

    @property
    def worse(self) -> list[Difference]:
        """The circuits that lose a verdict."""
        return [one for one in self.differences if one.worse]

    @property
    def better(self) -> list[Difference]:
        """The circuits that gain a verdict."""
        return [one for one in self.differences if one.better]


_CATALOGUE = ("areas", "certificates", "sources", "apparatus", "simple", "cables", "junctions")
_WHOLE = ("name", "code", "declarations")


def _names(record: object) -> str:
    for field in ("tag", "name", "number"):
        held = getattr(record, field, "")
        if held:
            return str(held)
    return ""


def _changed(before: Plant, after: Plant, field: str) -> set[str]:
    """Names of the records of a list that differ, were added or are gone."""
    old = {_names(one): one for one in getattr(before, field)}
    new = {_names(one): one for one in getattr(after, field)}
    return {
        name
        for name in old.keys() | new.keys()
        if old.get(name) is not new.get(name) and old.get(name) != new.get(name)
    }


def _uses(circuit: Circuit, plant: Plant, changed: dict[str, set[str]]) -> bool:
    """Whether a circuit leans on a changed record of the catalogue or of the places."""
    sources = {use.source for use in circuit.sources} | {circuit.system}
    items = {member.apparatus for member in circuit.members}
    places = {circuit.area, *(use.place for use in circuit.sources)}
    places |= {member.place for member in circuit.members} | {run.area for run in circuit.runs}
    ends = {end for run in circuit.runs for end in (run.start, run.end)}
    places |= {one.area for one in plant.junctions if one.tag in ends}
    named = (
        (sources, "sources"),
        (items, "apparatus"),
        (items, "simple"),
        ({run.cable for run in circuit.runs}, "cables"),
        (places, "areas"),
        (ends, "junctions"),
    )
    if any(names & changed[field] for names, field in named):
        return True
    certificates = changed["certificates"]
    held = [one.certificate for one in plant.sources if one.name in sources]
    held += [one.certificate for one in plant.apparatus if one.name in items]
    return bool(certificates.intersection(held))


def touched(before: Plant, after: Plant) -> list[str]:
    """Tags of the circuits of both plants that a change can bear on, in the order of the plant.

    Circuits that share a cable, a junction box or a device with one that is touched are touched
    too, however many steps away. A change of the code, of a declaration, or of an area that a
    declaration names as the place of sources touches all.
    """
    if any(getattr(before, name) != getattr(after, name) for name in _WHOLE):
        return [one.tag for one in after.circuits]
    changed = {field: _changed(before, after, field) for field in _CATALOGUE}
    if any(
        one.fact == "source place" and one.value in changed["areas"] for one in after.declarations
    ):
        return [one.tag for one in after.circuits]
    own = _changed(before, after, "circuits")
    found = set(own)
    for plant in (before, after):
        found |= {one.tag for one in plant.circuits if _uses(one, plant, changed)}
    known = -1
    while len(found) > known:
        known = len(found)
        for plant in (before, after):
            found |= _other_sides(plant, found)
            found |= joined(plant, found)
    return [one.tag for one in after.circuits if one.tag in found]


def _other_sides(plant: Plant, tags: set[str]) -> set[str]:
    """Circuits of apparatus whose sensor side is the source of one of these circuits."""
    devices = {one.name: one.terminals_of for one in plant.sources if one.terminals_of}
    touched_devices = {
        devices[use.source]
        for one in plant.circuits
        if one.tag in tags
        for use in one.sources
        if use.source in devices
    }
    return {
        one.tag
        for one in plant.circuits
        if touched_devices and any(m.apparatus in touched_devices for m in one.members)
    }


def states(assessment: Assessment) -> dict[str, State]:
    """How each circuit that was judged stands."""
    return {
        one.tag: State(
            one.verdict, one.governing, one.utilisation, assessment.function.verdict(one.tag)
        )
        for one in assessment.summaries()
    }


def _differs(one: State | None, other: State | None) -> bool:
    if one is None or other is None:
        return one is not other
    return (one.verdict, one.governing, one.works) != (
        other.verdict,
        other.governing,
        other.works,
    ) or not _same(one.utilisation, other.utilisation)


def _same(one: float | None, other: float | None) -> bool:
    return one == other or (one is not None and other is not None and math.isclose(one, other))


def what_if(
    plant: Plant, edits: Iterable[Edit], *, curves: Curves | None = None, all_: bool = False
) -> WhatIf:
    """Judge a plant with a change laid over it.

    Parameters
    ----------
    plant : Plant
    edits : iterable of Edit
        Other source, length, cable, ambient, group: see :func:`subspark.choose.change.edit`.
    curves : Curves, optional
        A printed table of ignition values in place of the reference values.
    all_ : bool
        Judge every circuit, not only those that the change can bear on.

    Returns
    -------
    WhatIf
        The circuits whose verdict, closest limit or margin would be another.
    """
    after = apply(plant, edits)
    tags = [one.tag for one in after.circuits] if all_ else touched(plant, after)
    there = {one.tag for one in plant.circuits}
    old = states(assess(plant, [tag for tag in tags if tag in there], curves=curves))
    new = states(assess(after, tags, curves=curves))
    gone = [one.tag for one in plant.circuits if one.tag not in {c.tag for c in after.circuits}]
    old |= states(assess(plant, gone, curves=curves))
    differences = tuple(
        Difference(tag, old.get(tag), new.get(tag))
        for tag in (*tags, *gone)
        if _differs(old.get(tag), new.get(tag))
    )
    return WhatIf(after, len(tags), differences)
