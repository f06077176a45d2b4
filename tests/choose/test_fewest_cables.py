"""The fewest cable types of a plant, against brute force by plain assessment of every choice."""

from __future__ import annotations

import dataclasses
import itertools
import math
from random import Random

import pytest

import subspark as ss
from small import BASE, item, make, plant, source
from subspark.choose.change import apply, read_change
from subspark.choose.covering import Progress
from subspark.choose.fewest import Ask, fewest
from subspark.demo import build_plant
from subspark.errors import UsageError
from subspark.model import Datum, Plant
from subspark.rules import Verdict

DEMO = build_plant()


def cable(name: str, C: str, price: str, **more: object) -> ss.CableType:
    """A pair with a price of a metre."""
    return make(
        ss.CableType,
        **{
            "name": name, "C": C, "L": "0.7 µH/m", "R_loop": "30 ohm/km", "cores": 2,
            "screen": "none", "function": (Datum(what="price", value=price),), **more,
        },
    )  # fmt: skip


def small(seed: int) -> Plant:
    """Five circuits of 28 V in hydrogen (83 nF), four pairs of other capacitance and price."""
    rng = Random(seed)
    cables = tuple(
        cable(f"K{n}", f"{rng.choice((60, 90, 130, 200))} pF/m", f"{rng.choice((1, 2, 3, 5))}")
        for n in range(4)
    )
    circuits = tuple(
        dataclasses.replace(
            BASE,
            tag=f"X{n}",
            runs=(
                make(ss.Run, cable=rng.choice(cables).name, length=f"{rng.randint(200, 800)} m"),
            ),
        )
        for n in range(5)
    )
    return plant(circuits[0], cables=cables, circuits=circuits)


def brute_force(one: Plant, ask: Ask) -> tuple[int, float]:
    """Fewest served last: most circuits served, then the order asked; types and cost."""
    names = [kind.name for kind in one.cables]
    price = {kind.name: float(kind.function[0].value) for kind in one.cables}
    serves: dict[str, list[str]] = {}
    for circuit, name in itertools.product(one.circuits, names):
        run = dataclasses.replace(circuit.runs[0], cable=name)
        changed = dataclasses.replace(circuit, runs=(run,))
        alone = dataclasses.replace(one, circuits=(changed,))
        (found,) = ss.assess(alone).summaries()
        if found.verdict is Verdict.SAFE and (found.utilisation or 0.0) <= ask.margin:
            serves.setdefault(circuit.tag, []).append(name)
    best = (math.inf, math.inf)
    asked = [circuit for circuit in one.circuits if circuit.tag in serves]
    for chosen in itertools.product(*(serves[circuit.tag] for circuit in asked)):
        cost = ask.stocking * len(set(chosen))
        for circuit, name in zip(asked, chosen, strict=True):
            now = circuit.runs[0].cable
            if name != now:
                cost += price[name] * math.ceil(circuit.runs[0].length.si)
                cost += ask.replacing if now in serves[circuit.tag] else 0.0
        key = (float(len(set(chosen))), cost) if ask.order == "types" else (cost, 0.0)
        best = min(best, key)
    return (int(best[0]), best[1]) if ask.order == "types" else (0, best[0])


@pytest.mark.parametrize("order", ["types", "cost"])
@pytest.mark.parametrize("seed", range(8))
def test_cables_are_those_of_brute_force(seed: int, order: str) -> None:
    one = small(seed)
    ask = Ask(of="cables", order=order, stocking=100.0, replacing=50.0, margin=0.97)  # type: ignore[arg-type]
    found = fewest(one, ask)
    types, cost = brute_force(one, ask)
    assert found.proved
    if order == "types":
        assert len(found.result.chosen) == types
    assert float(found.result.cost.total) == pytest.approx(cost)


def test_the_proposal_holds_in_the_whole_plant_and_is_a_change() -> None:
    seen: list[Progress] = []
    tried: list[tuple[int, int]] = []
    found = fewest(
        DEMO,
        Ask(of="cables"),
        progress=seen.append,
        told=lambda done, of: tried.append((done, of)),
    )
    after = apply(DEMO, read_change(found.change.as_dict(), DEMO).edits)
    before = {one.tag: one for one in ss.assess(DEMO).summaries()}
    changed = {edit.place[1] for edit in found.change.edits}
    assert changed
    assert tried[-1][0] == tried[-1][1]
    for one in ss.assess(after).summaries():
        assert one.verdict <= before[one.tag].verdict, one
        if one.tag in changed:
            assert one.verdict is Verdict.SAFE, one
    assert found.proved
    assert found.types_after < found.types_before
    shared = {run.number for one in DEMO.circuits for run in one.runs if run.number}
    counted = {
        number: sum(run.number == number for one in DEMO.circuits for run in one.runs)
        for number in shared
    }
    for edit in found.change.edits:
        assert edit.place[4:] == ("cable",)
        run = DEMO.circuit(edit.place[1]).runs[int(edit.place[3]) - 1]
        assert counted.get(run.number, 1) == 1, "a shared cable stays"


def test_a_type_that_is_built_otherwise_takes_no_place() -> None:
    """Fewer cores, another screen, a multicore; a type no longer made stays only where it lies."""
    base = small(0)
    cheap = (
        cable("THIN", "40 pF/m", "0.1", cores=1),
        cable("SCREENED", "40 pF/m", "0.1", screen="overall"),
        cable("MULTI", "40 pF/m", "0.1", multicore="A", coverage=80.0, pairs=8),
        cable("OLD", "40 pF/m", "0.1", function=(Datum(what="status", value="obsolete"),)),
    )
    wider = dataclasses.replace(base, cables=(*base.cables, *cheap))
    ask = Ask(of="cables", order="cost", stocking=10.0)
    assert fewest(wider, ask).change.edits == fewest(base, ask).change.edits
    fitting = dataclasses.replace(wider, cables=(*wider.cables, cable("FIT", "40 pF/m", "0.1")))
    assert {edit.after for edit in fewest(fitting, ask).change.edits} == {"FIT"}


def test_circuits_that_no_cable_serves_are_told_with_why() -> None:
    one = small(1)
    far = dataclasses.replace(
        one.circuits[0], tag="FAR", runs=(make(ss.Run, cable="K0", length="9 km"),)
    )
    unknown = dataclasses.replace(one.circuits[0], tag="WHAT", members=())
    found = fewest(
        dataclasses.replace(one, circuits=(*one.circuits, far, unknown)), Ask(of="cables")
    )
    told = {miss.tag: miss.reason for miss in found.misses}
    assert told["FAR"].startswith("unsafe: capacitance")
    assert told["WHAT"].startswith("unproven: ")


def test_two_runs_of_a_circuit_that_only_serve_apart_are_not_chosen_together() -> None:
    """Either run could take K-HIGH (83 nF less 5 nF), both could not: proved in the whole."""
    kinds = (
        cable("K-A", "60 pF/m", "9"), cable("K-B", "61 pF/m", "9"), cable("K-HIGH", "110 pF/m", "1")
    )  # fmt: skip
    runs = tuple(make(ss.Run, cable=name, length="450 m") for name in ("K-A", "K-B"))
    circuit = dataclasses.replace(BASE, runs=runs)
    tx = item("tx")
    whole = plant(
        circuit, cables=kinds, apparatus=(tx,), sources=(source("iso", "28 V", "93 mA", "651 mW"),)
    )
    ask = Ask(of="cables", order="types", stocking=1.0)
    found = fewest(whole, ask)
    after = apply(whole, found.change.edits)
    assert ss.assess(after)["X"].verdict is Verdict.SAFE
    assert len(found.result.chosen) == 1
    both = {"K-HIGH"}
    assert {run.cable for run in after.circuits[0].runs} != both


def test_names_and_questions_that_cannot_be_are_refused() -> None:
    with pytest.raises(UsageError, match="cable 'NONE': not one that could be chosen"):
        fewest(small(0), Ask(of="cables", forbidden=("NONE",)))
    bare = dataclasses.replace(small(0), circuits=())
    with pytest.raises(UsageError, match="has no run whose cable could be chosen"):
        fewest(bare, Ask(of="cables"))
