"""A whole plant against a whole catalogue, against the same asked pair by pair."""

from __future__ import annotations

import dataclasses
from random import Random

import numpy as np
import pytest

import subspark as ss
from choose.plants import BARE, WHOLE, bare
from subspark.choose.candidates import with_source
from subspark.choose.fits import Search
from subspark.choose.longest import with_length
from subspark.choose.matrix import Board
from subspark.choose.matrix_groups import grouped
from subspark.choose.matrix_rules import Distinct, Held, Reads, Unlisted, asked
from subspark.choose.matrix_safety import _one_by_one
from subspark.demo import build_division_plant
from subspark.model import Plant
from subspark.rules import RULES, Verdict

PLANT = BARE


def varied(plant: Plant, count: int, seed: int) -> Plant:
    """Circuits of a plant, many of them alike but for one length; some of unknown length."""
    rng = Random(seed)
    base = [
        one
        for one in plant.circuits
        if len(one.sources) == 1 and one.method == "entity" and not one.system and one.runs
    ]
    base = rng.sample(base, min(12, len(base)))
    circuits = []
    for number in range(count):
        one = rng.choice(base)
        *front, last = (dataclasses.replace(run, number="") for run in one.runs)
        length = with_length(last, float(rng.randint(5, 4000)))
        if rng.random() < 0.05:
            length = dataclasses.replace(last, length=ss.Run().length)
        uses = tuple(dataclasses.replace(use, tag="") for use in one.sources)
        circuits.append(
            dataclasses.replace(one, tag=f"X-{number}", runs=(*front, length), sources=uses)
        )
    cabinets = {use.cabinet for one in circuits for use in one.sources}
    return dataclasses.replace(
        plant,
        circuits=tuple(circuits),
        declarations=tuple(
            one
            for one in plant.declarations
            if one.scope != "circuit" and (one.scope != "cabinet" or one.of in cabinets)
        ),
    )


@pytest.mark.parametrize(("margin", "seed"), [(1.0, 1), (0.7, 2)])
def test_the_matrix_is_what_each_circuit_alone_says(margin: float, seed: int) -> None:
    """The arrays of one circuit are held against whole assessments in test_fits."""
    plant = varied(PLANT, 150, seed)
    search = Search(plant, margin=margin)
    found = Board(search.table, search.function, plant.circuits).serving(margin)
    assert found.exact.all()
    for index, circuit in enumerate(plant.circuits):
        alone = search.table.against(circuit)
        expected = (alone.verdict == Verdict.SAFE) & ~(alone.utilisation > margin)
        assert np.array_equal(found.serves[index], expected), circuit.tag
    assert found.asked < found.serves.size
    assert 0.02 < found.serves.mean() < 0.98


def test_the_matrix_agrees_with_whole_assessments_by_class_and_division() -> None:
    plant = bare(build_division_plant())
    search = Search(plant)
    circuits = [one for one in plant.circuits if len(one.sources) == 1 and one.method == "entity"]
    found = Board(search.table, search.function, circuits).serving()
    for index, circuit in enumerate(circuits):
        if not found.exact[index]:
            continue
        for at, candidate in enumerate(search.candidates):
            changed = with_source(circuit, candidate)
            whole = tuple(changed if one.tag == circuit.tag else one for one in plant.circuits)
            (summary,) = ss.assess(
                dataclasses.replace(plant, circuits=whole), [circuit.tag]
            ).summaries()
            assert (summary.verdict is Verdict.SAFE) == found.serves[index, at]


def test_circuits_that_differ_in_one_length_stand_together() -> None:
    plant = varied(PLANT, 200, 3)
    search = Search(plant)
    groups = grouped(plant.circuits, search.table.context)
    assert sum(group.members.size for group in groups) == 200
    assert len(groups) < 60
    for group in groups:
        assert np.all(np.diff(group.lengths) >= 0.0) or group.members.size == 1


def test_what_is_bound_to_others_is_not_called_exact() -> None:
    search = Search(PLANT)
    circuits = [PLANT.circuit(tag) for tag in ("PT-1001", "FT-1191")]
    found = Board(search.table, search.function, circuits).serving()
    assert found.exact.tolist() == [False, True]


def test_with_function_the_matrix_is_what_whole_assessments_say() -> None:
    """Circuits of the demo plant with their functional figures, some in cables of their own."""
    search = Search(WHOLE)
    circuits = [one for one in WHOLE.circuits if len(one.sources) == 1 and one.method == "entity"]
    board = Board(search.table, search.function, circuits)
    found = board.serving()
    chosen = [index for index in range(len(circuits)) if board.exact[index]][::25]
    assert len(chosen) > 2
    for index in chosen:
        circuit = circuits[index]
        judged = search.function.judgeable(circuit)
        for at, candidate in enumerate(search.candidates):
            changed = with_source(circuit, candidate)
            whole = tuple(changed if one.tag == circuit.tag else one for one in WHOLE.circuits)
            assessment = ss.assess(dataclasses.replace(WHOLE, circuits=whole), [circuit.tag])
            (summary,) = assessment.summaries()
            works = assessment.function.verdict(circuit.tag)
            expected = summary.verdict is Verdict.SAFE and (not judged or works is Verdict.SAFE)
            assert found.serves[index, at] == expected, (circuit.tag, candidate.label)


def test_what_a_rule_reads_is_told_apart_or_asked_for() -> None:
    """NaN is like NaN, 0 is not like -0; a column that is not listed is refused to a rule."""
    values = np.array([[1.0, np.nan, 1.0, np.nan, 0.0, -0.0]])
    side = Distinct({"Ui": values, "here": values == 1.0}, 6)
    number, first = side.of({"Ui"})
    assert number[0] == number[2]
    assert number[1] == number[3]
    assert len({*number.tolist()}) == first.size == 4
    assert np.array_equal(number[first], np.arange(4))
    assert side.of(set())[1].size == 1
    own, source = {"Ui": values}, {"U": np.ones(1)}
    at = (np.arange(6), np.arange(1))
    code = Search(PLANT).table.context.code
    held = Held(code, Reads(frozenset(), frozenset({"U"})), own, source, at, crossed=True)
    (voltage,) = (one for one in RULES if one.name == "voltage")
    with pytest.raises(Unlisted, match="Ui"):
        asked([voltage], held, (6, 1), 1.0)
    held = Held(
        code, Reads(frozenset(), frozenset()).more("Ui").more("U"), own, source, at, crossed=True
    )
    safe, _ = asked([voltage], held, (6, 1), 1.0)
    assert safe[:, 0].tolist() == [True, False, True, False, False, False]


def test_a_choice_that_keeps_the_margin_counts_only_where_it_is_the_first_that_is_safe() -> None:
    """Two alternatives: the first is safe up to 4 of 6 and fits up to 2, the second up to 5."""
    fits, safe = np.array([[2], [5]], dtype=np.int32), np.array([[4], [6]], dtype=np.int32)
    found = _one_by_one(((0, 0), (0, 1)), 0, fits, safe, 6)
    assert found[:, 0].tolist() == [True, True, False, False, True, False]
