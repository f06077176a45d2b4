"""Rows that circuits share are those that each would have by itself."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from subspark.assess import assess
from subspark.assess.context import Context
from subspark.demo import build_division_plant, build_plant
from subspark.model import Declaration, Plant


class Forgetful(dict):
    """A memory that finds nothing of what it keeps, until it has just been put there."""

    def get(self, _key, default=None):
        return default

    def __contains__(self, _key):
        return False


def _mixed(seed: int) -> Plant:
    """The demo plant with its circuits altered by chance, so that few are alike."""
    chance, plant = random.Random(seed), build_plant()
    areas = [one.tag for one in plant.areas]
    cables = [one.name for one in plant.cables]
    circuits = []
    for one in plant.circuits:
        runs = tuple(
            replace(
                run,
                screen=chance.choice((run.screen, "earthed", "floating", "none", "")),
                cable=chance.choice((run.cable, chance.choice(cables))),
                area=chance.choice((run.area, chance.choice(areas))),
                parallel=chance.choice((run.parallel, None, 2)),
                length=chance.choice((run.length, "", "20 m")),
            )
            for run in one.runs
        )
        members = tuple(
            replace(
                member,
                process=chance.choice(("", "80 °C")),
                ambient=chance.choice(("", "-5 to 35 °C")),
                isolation=chance.choice(("", "yes", "no")),
                place=chance.choice((member.place, chance.choice(areas))),
            )
            for member in one.members
        )
        sources = tuple(
            replace(
                use,
                place=chance.choice((use.place, "", chance.choice(areas))),
                polarity=chance.choice((use.polarity, "+", "-", "")),
            )
            for use in one.sources
        )
        circuits.append(replace(one, runs=runs, members=members, sources=sources))
    facts = ("cable construction", "passive", "simple assessment", "safe side voltage")
    stated = {(one.fact, one.scope, one.of) for one in plant.declarations}
    own = tuple(
        Declaration(fact=fact, value=chance.choice(("yes", "no", "40 V")), scope="circuit", of=tag)
        for tag in chance.sample([one.tag for one in plant.circuits], 40)
        for fact in facts
        if (fact, "circuit", tag) not in stated
    )
    return replace(plant, circuits=tuple(circuits), declarations=(*plant.declarations, *own))


def _told(plant: Plant) -> list[object]:
    found = assess(plant)
    return [(one.as_dict(), found.missing_of(one.tag)) for one in found]


PLANTS = {
    "demo": build_plant,
    "divisions": build_division_plant,
    **{f"mixed {seed}": lambda seed=seed: _mixed(seed) for seed in (1, 2, 3)},
}


@pytest.mark.parametrize("make", PLANTS.values(), ids=PLANTS)
def test_circuits_that_share_rows_have_the_findings_of_each_by_itself(make, monkeypatch):
    plant = make()
    shared = _told(plant)
    of = Context.of

    def forgetful(*given: object) -> Context:
        return replace(of(*given), known=Forgetful())

    monkeypatch.setattr(Context, "of", forgetful)
    assert _told(plant) == shared


def test_rows_are_shared_at_all():
    found = assess(build_plant())
    sorts = {key[0] for key in found.context.known}
    assert {"source", "apparatus", "simple", "run"} <= sorts
    assert len(found.context.known) < len(found.cases)
