"""The fewest types of whole plants, against brute force by plain assessment of every pair."""

from __future__ import annotations

import dataclasses
import itertools
from random import Random

import pytest

import subspark as ss
from choose.plants import BARE
from subspark.choose.candidates import candidates_of, with_source
from subspark.choose.change import apply, read_change
from subspark.choose.fewest import Ask, fewest, margins
from subspark.choose.fits import Search
from subspark.choose.table import plain
from subspark.errors import UsageError
from subspark.model import Datum, Plant
from subspark.rules import Verdict

PLANT = BARE


def small(seed: int, circuits: int = 6, sources: int = 6) -> Plant:
    """A few circuits and sources of the demo plant, with prices; function left out."""
    rng = Random(seed)
    context = Search(PLANT).table.context
    chosen = [
        dataclasses.replace(
            one,
            function=(),
            sources=tuple(dataclasses.replace(use, tag="") for use in one.sources),
            members=one.members,
        )
        for one in rng.sample([one for one in PLANT.circuits if plain(one, context)], circuits)
    ]
    used = {one.sources[0].source for one in chosen}
    free = [one for one in PLANT.sources if one.outputs and not one.covers and not one.terminals_of]
    names = used | {one.name for one in rng.sample(free, max(0, sources - len(used)))}
    kept = tuple(
        dataclasses.replace(one, function=(Datum(what="price", value=str(rng.randint(50, 300))),))
        for one in PLANT.sources
        if one.name in names
    )
    cabinets = {use.cabinet for one in chosen for use in one.sources}
    tags = {one.tag for one in chosen}
    scopes = {"source": names, "cabinet": cabinets, "circuit": tags}
    return dataclasses.replace(
        PLANT,
        sources=kept,
        circuits=tuple(chosen),
        apparatus=tuple(dataclasses.replace(one, function=()) for one in PLANT.apparatus),
        simple=tuple(dataclasses.replace(one, function=()) for one in PLANT.simple),
        declarations=tuple(
            one
            for one in PLANT.declarations
            if one.scope not in scopes or one.of in scopes[one.scope]
        ),
    )


def brute_force(plant: Plant, margin: float) -> tuple[int, int]:
    """Fewest types, and circuits that nothing serves, by every subset of the types."""
    candidates = candidates_of(plant.sources)
    serving: list[set[str]] = []
    for circuit in plant.circuits:
        names = set()
        for one in candidates:
            changed = tuple(
                with_source(circuit, one) if other.tag == circuit.tag else other
                for other in plant.circuits
            )
            (found,) = ss.assess(
                dataclasses.replace(plant, circuits=changed), [circuit.tag]
            ).summaries()
            used = found.utilisation
            if found.verdict is Verdict.SAFE and (used is None or used <= margin):
                names.add(one.kind.name)
        serving.append(names)
    wanted = [names for names in serving if names]
    kinds = [one.name for one in plant.sources]
    for count in range(len(kinds) + 1):
        for chosen in itertools.combinations(kinds, count):
            if all(names & set(chosen) for names in wanted):
                return count, len(serving) - len(wanted)
    raise AssertionError


@pytest.mark.parametrize("seed", range(6))
def test_fewest_is_brute_force(seed: int) -> None:
    plant = small(seed)
    for margin in (1.0, 0.8):
        found = fewest(plant, Ask(margin=margin))
        types, unserved = brute_force(plant, margin)
        assert found.proved
        assert len(found.result.chosen) == types
        assert len(found.misses) == unserved


def test_the_proposal_holds_in_the_whole_plant_and_is_a_change() -> None:
    found = fewest(PLANT, Ask(margin=0.95))
    kept = read_change(found.change.as_dict(), PLANT)
    after = apply(PLANT, kept.edits)
    before = {one.tag: one for one in ss.assess(PLANT).summaries()}
    changed = {edit.place[1] for edit in found.change.edits}
    for one in ss.assess(after).summaries():
        if one.tag in changed:
            assert one.verdict is Verdict.SAFE, one
            assert one.utilisation is None or one.utilisation <= 0.95
        elif before[one.tag].verdict is Verdict.SAFE:
            assert one.verdict is Verdict.SAFE, one
    assert found.types_after < found.types_before
    assert found.first.types_bound <= len(found.result.chosen)
    assert found.first.quick_types >= found.first.types_bound


def test_circuits_that_nothing_serves_are_told_with_what_comes_nearest() -> None:
    found = fewest(PLANT)
    by_tag = {one.tag: one for one in found.misses}
    verdicts = {one.tag: one.verdict for one in ss.assess(PLANT).summaries()}
    assert by_tag
    for tag, miss in by_tag.items():
        assert verdicts[tag] is not Verdict.SAFE or miss.reason
        assert miss.nearest
        assert miss.reason


def test_a_larger_margin_never_serves_more() -> None:
    points = margins(PLANT, (1.0, 0.8, 0.6), Ask(time_limit=20.0))
    served = [one[3] for one in points]
    assert served == sorted(served, reverse=True)


def test_names_that_are_not_there_are_refused() -> None:
    with pytest.raises(UsageError, match=r"source 'NONE': not one that could be chosen"):
        fewest(PLANT, Ask(forced=("NONE",)))
