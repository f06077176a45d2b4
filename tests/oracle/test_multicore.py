"""Circuits of a shared multicore: agreement with the exact oracle, and with brute force.

Source: IEC 60079-14 16.2.2 and IEC 60079-25 clause 9, from memory: up to two shorts and four opens
in a cable of neither type A nor B; whole circuits merge.
"""

from __future__ import annotations

import dataclasses
import itertools
import random

import numpy as np
import pytest

from oracle.adapter import UntranslatableError, plant_of
from oracle.generate import random_inputs
from oracle.oracle import judge
from subspark.assess import assess
from subspark.assess.book import CaseBook
from subspark.assess.context import Context
from subspark.assess.multicore import MergedSets, Portrait, portrait
from subspark.assess.places import Need
from subspark.model import (
    ApparatusType,
    Area,
    Atmosphere,
    CableType,
    Certificate,
    Circuit,
    Declaration,
    Entry,
    Limits,
    Member,
    Output,
    Plant,
    Port,
    Run,
    SourceType,
    SourceUse,
)


def test_agrees_with_the_oracle() -> None:
    """Verdicts of circuits in multicores are those of the oracle, merged cases included."""
    compared = 0
    for seed in range(8000):
        inputs = random_inputs(seed, extras=True)
        if "multicore" not in inputs or "service tool" in inputs:
            continue
        try:
            plant = plant_of(inputs)
        except UntranslatableError:
            continue
        expected = judge(inputs)
        found = assess(plant, ["X"])["X"]
        if expected["open points"] or expected["bad input"]:
            continue
        if any("mixed wiring" in one.name for one in found.cases):
            assert found.verdict.word != "safe", seed
            continue
        compared += 1
        assert found.verdict.word == expected["verdict"], seed
    assert compared > 60


def multicore_plant(count: int, *, isolation: str, kind: str = "other", seed: int = 1) -> Plant:
    """A plant of ``count`` unlike circuits in one multicore."""
    draw = random.Random(seed)
    sources, apparatus, circuits = [], [], []
    for i in range(count):
        U, I = draw.uniform(6, 12), draw.uniform(0.01, 0.05)  # noqa: E741 - symbols
        sources.append(
            SourceType(
                name=f"S{i}",
                certificate="C",
                mark="[Ex ib Gb] IIC",
                isolation=isolation,  # type: ignore[arg-type]
                ports=(Port(Um="253 V"),),  # type: ignore[arg-type]
                outputs=(
                    Output(
                        shape="linear",
                        Uo=round(U, 2),  # type: ignore[arg-type]
                        Io=round(I, 4),  # type: ignore[arg-type]
                        Po=round(U, 2) * round(I, 4) / 4,  # type: ignore[arg-type]
                        polarity="+",
                        limits=(Limits(group="IIC", Co="1 µF", Lo="5 mH"),),  # type: ignore[arg-type]
                    ),
                ),
            )
        )
        entry = Entry(
            mark="Ex ib IIC T4 Gb",
            Ui=round(draw.uniform(12, 40), 1),  # type: ignore[arg-type]
            Ii=round(draw.uniform(0.05, 0.3), 3),  # type: ignore[arg-type]
            Pi="1 W",  # type: ignore[arg-type]
            Ci=f"{draw.uniform(0, 20):.1f} nF",  # type: ignore[arg-type]
            Li="0",  # type: ignore[arg-type]
        )
        apparatus.append(
            ApparatusType(
                name=f"A{i}", certificate="C", isolation="yes", powered="no", entries=(entry,)
            )
        )
        circuits.append(
            Circuit(
                tag=f"K{i}",
                area="Z",
                sources=(SourceUse(source=f"S{i}"),),
                members=(Member(apparatus=f"A{i}"),),
                runs=(Run(cable="W", length=f"{draw.uniform(20, 200):.0f} m", number="M"),),  # type: ignore[arg-type]
            )
        )
    facts = {
        "safe side voltage": "250 V",
        "source place": "safe area",
        "cable construction": "evidenced",
        "segregation": "50 mm",
        "atmospheric conditions": "standard",
        "cabinet ambient": "0 to 40 °C",
        "barrier earth resistance": "0.5 ohm",
        "barrier earth conductors": "4 mm2",
    }
    return Plant(
        name="multicore",
        code="IEC-2013",
        areas=(
            Area(
                tag="Z",
                atmospheres=(Atmosphere(zone="1", group="IIC", temperature="T4"),),
                ambient="-20 to 40 °C",  # type: ignore[arg-type]
            ),
        ),
        certificates=(Certificate(number="C"),),
        sources=tuple(sources),
        apparatus=tuple(apparatus),
        cables=(
            CableType(
                name="W",
                C="100 pF/m",  # type: ignore[arg-type]
                L="0.7 µH/m",  # type: ignore[arg-type]
                R_loop="30 ohm/km",  # type: ignore[arg-type]
                cores=2,
                pairs=24,
                multicore=kind,  # type: ignore[arg-type]
            ),
        ),
        circuits=tuple(circuits),
        declarations=tuple(
            Declaration(fact=fact, value=value)  # type: ignore[arg-type]
            for fact, value in facts.items()
        ),
    )


def brute_force(portraits: list[Portrait], circuit: int, need: Need, context: Context) -> int:
    """Worst verdict of a circuit over every pair and triple, none left out, none shared."""
    others = [one for one in portraits if one.circuit != circuit]
    own = next(one for one in portraits if one.circuit == circuit)
    worst = 0
    for size in (1, 2):
        for chosen in itertools.combinations(others, size):
            group = [own, *chosen]
            if size == 2 and not all(one.common for one in group):
                continue
            sets = MergedSets("M", need, group, context)
            cases = [
                case
                for one in sets.sets
                if len(one) == len(group)
                for case in sets._cases(one, circuit)
            ]
            book = CaseBook(context.code, context.curves)
            book.enter(cases)
            worst = max(worst, int(book.verdict.max()))
    return worst


@pytest.mark.parametrize("isolation", ["galvanic", "earthed barrier"])
@pytest.mark.parametrize("seed", range(6))
def test_reduction_is_brute_force(isolation: str, seed: int) -> None:
    """On a small cable the reduced sets give each circuit the worst verdict of all sets."""
    plant = multicore_plant(5, isolation=isolation, seed=seed)
    # Two circuits alike, so that classes are put to use.
    plant = dataclasses.replace(
        plant,
        circuits=(
            *plant.circuits,
            dataclasses.replace(plant.circuits[0], tag="K0 again"),
        ),
    )
    context = Context.of(plant)
    need = context.needs("Z")[0]
    portraits = [portrait(i, need, 0, context) for i in range(len(plant.circuits))]
    found = assess(plant)
    for place, circuit in enumerate(plant.circuits):
        own = [one for one in found[circuit.tag].cases if one.name.startswith("with ")]
        worst = max(int(one.verdict) for one in own)
        assert worst == brute_force(portraits, place, need, context)


def test_triples_join_on_a_common_return() -> None:
    """Three 24 V 60 mA barrier circuits: pairs 120 mA pass 174 mA, the triple's 180 mA does not.

    Isolated circuits are joined by pairs only. Own worked example by the reference table
    (IEC 60079-11 Annex A, from memory): 174 mA at 24 V in IIC.
    """
    plant = multicore_plant(3, isolation="earthed barrier")
    sources = tuple(
        dataclasses.replace(
            one,
            outputs=(
                dataclasses.replace(
                    one.outputs[0],
                    Uo="24 V",
                    Io="60 mA",
                    Po="360 mW",
                    limits=(Limits(group="IIC", Co="125 nF", Lo="5 mH"),),  # type: ignore[arg-type]
                ),
            ),
        )
        for one in plant.sources
    )
    items = tuple(
        dataclasses.replace(
            one,
            entries=(
                dataclasses.replace(one.entries[0], Ui="30 V", Ii="500 mA", Pi="2 W", Ci="0"),
            ),
        )
        for one in plant.apparatus
    )
    plant = dataclasses.replace(plant, sources=sources, apparatus=items)
    found = assess(plant)["K0"]
    assert found.verdict.word == "unsafe"
    assert found.governing == "permitted current"
    assert found.case == "with K1 + K2: parallel"
    two = dataclasses.replace(plant, circuits=plant.circuits[:2])
    assert assess(two)["K0"].verdict.word == "safe"


@pytest.mark.parametrize(("kind", "word"), [("A", "safe"), ("B", "safe"), ("", "unsafe")])
def test_types_a_and_b_keep_circuits_apart(kind: str, word: str) -> None:
    """28 V 93 mA circuits are fit each by itself; joined, 186 mA is above the 120 mA permitted."""
    plant = multicore_plant(2, isolation="earthed barrier", kind=kind)
    sources = tuple(
        dataclasses.replace(
            one,
            outputs=(
                dataclasses.replace(
                    one.outputs[0],
                    Uo="28 V",
                    Io="93 mA",
                    Po="651 mW",
                    limits=(Limits(group="IIC", Co="83 nF", Lo="4.2 mH"),),  # type: ignore[arg-type]
                ),
            ),
        )
        for one in plant.sources
    )
    items = tuple(
        dataclasses.replace(
            one,
            entries=(dataclasses.replace(one.entries[0], Ui="30 V", Ii="0.2 A", Pi="1 W"),),
        )
        for one in plant.apparatus
    )
    cables = tuple(
        dataclasses.replace(one, coverage=80.0, fixed_and_protected="yes") for one in plant.cables
    )
    plant = dataclasses.replace(plant, sources=sources, apparatus=items, cables=cables)
    assert assess(plant)["K0"].verdict.word == word


def test_one_circuit_and_plant_agree() -> None:
    """Asked alone or with all others, a circuit of a multicore has the same finding."""
    plant = multicore_plant(6, isolation="earthed barrier", seed=4)
    whole = assess(plant)
    for circuit in plant.circuits:
        alone = assess(plant, [circuit.tag])[circuit.tag]
        assert alone.as_dict() == whole[circuit.tag].as_dict()


def test_twenty_four_pairs_in_time() -> None:
    """24 unlike circuits of one cable: 276 pairs and 2,024 triples; growth is bounded.

    The number of sets is asserted; benchmarks/multicore.py times them.
    """
    plant = multicore_plant(24, isolation="earthed barrier")
    context = Context.of(plant)
    need = context.needs("Z")[0]
    portraits = [portrait(i, need, 0, context) for i in range(24)]
    sets = MergedSets("M", need, portraits, context)
    assert len(sets.sets) == 276 + 2024
    alike = dataclasses.replace(
        plant,
        circuits=tuple(dataclasses.replace(plant.circuits[0], tag=f"K{i}") for i in range(24)),
    )
    context = Context.of(alike)
    portraits = [portrait(i, need, 0, context) for i in range(24)]
    assert len(MergedSets("M", need, portraits, context).sets) == 2
    assert np.isfinite(sets._book.utilisation).any()
