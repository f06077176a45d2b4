"""What a change would do, with nothing saved: the verdict of a circuit, and who else is touched."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from subspark.assess import Assessment
from subspark.assess.findings import Summary
from subspark.errors import UsageError
from subspark.rules import Verdict
from subspark.store import judging
from subspark.store.ledger import Changes, refuse
from subspark.store.models import VerdictRow
from subspark.store.plants import held

__all__ = ["Effect", "Trial", "look", "trial"]

_SAMPLE = 3  # judged where they are too many, for what the assessment warns of
MOST_JUDGED = 200
"""Other circuits that a trial judges; above, it tells only how many are touched."""


@dataclass(frozen=True, slots=True)
class Effect:
    """A circuit whose verdict or closest limit a change would alter."""

    tag: str
    before: str
    after: str
    used_before: float | None
    used: float | None

    @property
    def turns(self) -> bool:
        """Whether the verdict itself is another."""
        return self.before != self.after


@dataclass(frozen=True, slots=True)
class Trial:
    """What some changes would do."""

    assessment: Assessment
    touched: int
    effects: tuple[Effect, ...]
    counted: bool

    @property
    def turned(self) -> list[Effect]:
        """The circuits whose verdict would be another."""
        return [one for one in self.effects if one.turns]


def look(plant: int, tag: str) -> Assessment:
    """One circuit judged as it stands.

    Raises
    ------
    UsageError
        There is no such circuit.
    """
    with held(plant) as ledger:
        if ledger.circuit(tag) is None:
            raise UsageError(f"no circuit {tag!r} in plant {ledger.head.name!r}")
        part = ledger.part(ledger.concerned([tag]))
    return judging.judge(part, [tag])


def trial(plant: int, changes: Changes, tags: Sequence[str] = ()) -> Trial:
    """Judge circuits as they would be with some changes.

    Parameters
    ----------
    plant : int
        Its row.
    changes : mapping of (kind, name) to record
        Records as they would be.
    tags : sequence of str
        Circuits that are wanted whether or not they are touched.

    Raises
    ------
    PlantError
        The records would not fit together.
    """
    with held(plant) as ledger:
        refuse(ledger.orphans(changes), "plant")
        inward = ledger.inward(changes)
        touched = ledger.touched(changes, inward)
        with ledger.draft(changes):
            here = ledger.records["circuits"].keys()
            touched = (touched | ledger.touched(changes, inward)) & here
            counted = len(touched) <= MOST_JUDGED
            sample = touched if counted else sorted(touched)[:_SAMPLE]
            asked = ({*tags} & here) | set(sample)
            own = {name for kind, name in changes if kind == "circuits"}
            around = ledger.concerned(asked) | ledger.sharers_of_devices(own)
            kept = [key for key, record in changes.items() if record is not None]
            part = ledger.part(around, kept)
    order = [one.tag for one in part.circuits if one.tag in asked]
    assessment = judging.judge(part, order)
    effects = tuple(_effects(plant, assessment.summaries(), set(tags))) if counted else ()
    return Trial(assessment, len(touched), effects, counted)


def _effects(plant: int, summaries: Iterable[Summary], but: set[str]) -> Iterable[Effect]:
    listed = [one for one in summaries if one.tag not in but]
    rows = VerdictRow.objects.filter(plant_id=plant, tag__in=[one.tag for one in listed])
    before = {
        tag: (verdict, used)
        for tag, verdict, used in rows.values_list("tag", "verdict", "utilisation")
    }
    for one in listed:
        was, used = before.get(one.tag, (int(Verdict.NOT_ASKED), None))
        if was != int(one.verdict) or used != one.utilisation:
            yield Effect(one.tag, Verdict(was).word, one.verdict.word, used, one.utilisation)
