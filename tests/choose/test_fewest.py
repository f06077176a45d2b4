"""The fewest types of whole plants, against brute force by plain assessment of every pair."""

from __future__ import annotations

import dataclasses
import itertools
from random import Random

import pytest

import subspark as ss
from choose.plants import BARE
from small import BASE, item, make, plant, source
from subspark.choose.candidates import candidates_of, with_source
from subspark.choose.change import apply, read_change
from subspark.choose.fewest import Ask, fewest, margins
from subspark.choose.fits import Search
from subspark.choose.settling import _worse
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


def joined_plant() -> Plant:
    """U in hydrogen and X in ethylene, in one multicore that does not keep them apart.

    U has 28 V 93 mA. With 5 V 5 mA beside it the joined circuit has 98 mA, below the 120 mA
    that hydrogen permits at 28 V; with another 28 V 93 mA it has 186 mA, which ethylene permits
    and hydrogen does not (reference table of IEC 60079-11 Annex A, from memory).
    """
    common = {"isolation": "earthed barrier"}
    limits = (
        make(ss.Limits, group="IIC", Co="83 nF", Lo="3 mH"),
        make(ss.Limits, group="IIB", Co="650 nF", Lo="12 mH"),
    )
    large = source("LARGE", "28 V", "93 mA", "651 mW", limits=limits, **common)
    little = source("LITTLE", "5 V", "5 mA", "6.25 mW", limits=limits, **common)
    areas = tuple(
        make(
            ss.Area,
            tag=tag,
            atmospheres=(make(ss.Atmosphere, zone="1", group=group, temperature="T4"),),
            ambient="-20 to 40 °C",
        )
        for tag, group in (("H2", "IIC"), ("C2H4", "IIB"))
    )
    entry = make(
        ss.Entry, mark="Ex ia IIC T4 Ga", Ui="30 V", Ii="400 mA", Pi="3 W", Ci="1 nF", Li="0"
    )
    device = dataclasses.replace(item("tx"), entries=(entry,))
    run = make(ss.Run, cable="MULTI", length="10 m", number="W-1")
    cable = make(
        ss.CableType, name="MULTI", C="100 pF/m", L="0.7 µH/m", R_loop="30 ohm/km", cores=8
    )
    circuits = tuple(
        dataclasses.replace(
            BASE, tag=tag, area=area, runs=(run,), sources=(ss.SourceUse(source=kind),)
        )
        for tag, area, kind in (("U", "H2", "LARGE"), ("X", "C2H4", "LITTLE"))
    )
    base = plant(BASE)
    earth = (
        make(ss.Declaration, fact="barrier earth resistance", value="0.5 ohm"),
        make(ss.Declaration, fact="barrier earth conductors", value="4 mm2"),
    )
    return dataclasses.replace(
        base,
        areas=areas,
        sources=(large, little),
        apparatus=(device,),
        cables=(cable,),
        circuits=circuits,
        declarations=(*base.declarations, *earth),
    )


def test_a_choice_never_costs_a_neighbour_its_verdict() -> None:
    """With LARGE on X both are unsafe: X keeps what it has, and is told as not served."""
    joined = joined_plant()
    assert [one.verdict.word for one in ss.assess(joined).summaries()] == ["safe", "safe"]
    found = fewest(joined, Ask(forbidden=("LITTLE",)))
    assert found.change.edits == ()
    assert "X" in {one.tag for one in found.misses}


def test_a_change_is_struck_where_a_circuit_that_was_not_asked_would_be_worse(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Such a verdict is mutual today (both are judged joined), so here it is put in by hand."""
    joined = joined_plant()
    (limits,) = (one for one in joined.sources[0].outputs[0].limits if one.group == "IIC")
    tiny = source("TINY", "5 V", "4 mA", "5 mW", limits=(limits,), isolation="earthed barrier")
    wishing = dataclasses.replace(joined.circuits[0], function=(Datum(what="SIL", value="2"),))
    offered = dataclasses.replace(
        joined, sources=(*joined.sources, tiny), circuits=(wishing, joined.circuits[1])
    )
    ask = Ask(forbidden=("LITTLE",))  # no source claims a SIL, so that nothing serves U
    free = fewest(offered, ask)
    assert [edit.place[1] for edit in free.change.edits] == ["X"]
    seen = []

    def worse(before: Plant, after: Plant, tags: list[str], _: object) -> list[str]:
        seen.append((tags, after.circuit("X").sources[0].source))
        return ["U"] if after.circuit("X") != before.circuit("X") else []

    monkeypatch.setattr("subspark.choose.settling._worse", worse)
    held = fewest(offered, ask)
    assert seen[0] == (["U"], "TINY")
    assert held.change.edits == ()
    assert held.rounds > free.rounds


def test_circuits_that_hold_one_by_one_and_not_together_keep_what_they_have() -> None:
    """LARGE beside LITTLE is 98 mA; LARGE beside LARGE 186 mA, above the 120 mA permitted."""
    joined = joined_plant()
    uses = (ss.SourceUse(source="LITTLE"),)
    circuits = tuple(dataclasses.replace(one, area="H2", sources=uses) for one in joined.circuits)
    found = fewest(dataclasses.replace(joined, circuits=circuits), Ask(forced=("LARGE",)))
    assert len(found.first.chosen) == 1
    assert found.rounds == 2
    assert found.change.edits == ()
    assert found.misses == ()
    assert not found.proved  # one of the two on LARGE is as few types, and was not tried


def test_nothing_is_proved_of_a_choice_that_serves_fewer() -> None:
    """The trunks W-62 and W-63 of the demo plant join circuits that nothing serves together."""
    found = fewest(PLANT)
    assert len(found.result.unserved) > len(found.first.unserved)
    assert not found.proved
    assert not found.types_proved


def test_a_verdict_lost_is_seen() -> None:
    joined = joined_plant()
    large = dataclasses.replace(joined.circuits[1], sources=(ss.SourceUse(source="LARGE"),))
    both = dataclasses.replace(joined, circuits=(joined.circuits[0], large))
    assert _worse(joined, both, ["U"], None) == ["U"]
    assert _worse(both, joined, ["U"], None) == []
    assert _worse(joined, both, [], None) == []


def test_redundant_halves_share_no_module() -> None:
    """Two circuits on modules of two channels: one module, or one for each half."""
    two = source("TWO", "28 V", "93 mA", "651 mW")
    two = dataclasses.replace(
        two, function=(Datum(what="channels", value="2"), Datum(what="price", value="100"))
    )
    gone = source("GONE", "40 V", "93 mA", "930 mW")
    circuits = tuple(
        dataclasses.replace(BASE, tag=tag, sources=(ss.SourceUse(source="GONE"),))
        for tag in ("A", "B")
    )
    whole = plant(BASE, circuits=circuits, sources=(two, gone))
    assert next((line.name, line.bought) for line in fewest(whole).lines) == ("TWO", 1)
    halves = tuple(
        dataclasses.replace(one, function=(Datum(what="redundant half", value=one.tag),))
        for one in circuits
    )
    apart = fewest(dataclasses.replace(whole, circuits=halves))
    assert next((line.name, line.bought) for line in apart.lines) == ("TWO", 2)
