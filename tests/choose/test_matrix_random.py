"""Whole plants against catalogues with much left out, against a plain assessment of every pair."""

from __future__ import annotations

import dataclasses
from collections import Counter
from random import Random
from typing import Any

import numpy as np
import pytest

import subspark as ss
from choose.plants import WHOLE
from subspark.assess.engine import NO_RULE
from subspark.assess.function import FunctionCase
from subspark.choose import matrix_function, matrix_safety
from subspark.choose.candidates import with_source
from subspark.choose.fits import Search
from subspark.choose.longest import with_length
from subspark.choose.matrix import Board, Matrix
from subspark.model import Circuit, Datum, Plant
from subspark.rules import RULES, Verdict
from subspark.rules.function import KINDS, columns_of

MARGINS = (1.0, 0.9, 0.6)


def forgetful(record: Any, rng: Random, share: float) -> Any:
    """A record, and all records in it, some of whose figures were never entered."""
    changed = {}
    for one in dataclasses.fields(record):
        held = getattr(record, one.name)
        if isinstance(held, Datum):
            continue
        if getattr(held, "known", False) and hasattr(held, "si") and rng.random() < share:
            changed[one.name] = type(held)()
        elif isinstance(held, tuple) and held and isinstance(held[0], Datum):
            changed[one.name] = tuple(each for each in held if rng.random() >= share)
        elif isinstance(held, tuple) and held and dataclasses.is_dataclass(held[0]):
            changed[one.name] = tuple(forgetful(each, rng, share) for each in held)
    return dataclasses.replace(record, **changed)


def own_figures(source: ss.SourceType, rng: Random) -> ss.SourceType:
    """A source whose volts and amperes are its own."""
    outputs = []
    for output in source.outputs:
        if output.method == "entity" and output.Uo.known and output.Io.known:
            volts, amperes = (one.si * rng.uniform(0.7, 1.1) for one in (output.Uo, output.Io))
            output = dataclasses.replace(output, Uo=f"{volts:.3g} V", Io=f"{amperes:.3g} A")  # type: ignore[arg-type]  # noqa: PLW2901
        outputs.append(output)
    return dataclasses.replace(source, outputs=tuple(outputs))


def small(seed: int, circuits: int = 24, sources: int = 9) -> Plant:
    """A small plant: some circuits alike but for a length, everything with gaps in it."""
    rng = Random(seed)
    base = [
        one
        for one in WHOLE.circuits
        if len(one.sources) == 1 and one.method == "entity" and not one.system and one.runs
    ]
    base = rng.sample(base, 6)
    made: list[Circuit] = []
    for number in range(circuits):
        one = rng.choice(base)
        *front, last = (dataclasses.replace(run, number="") for run in one.runs)
        last = with_length(last, float(rng.choice([5, 60, 300, 900, 2500]) + rng.randint(0, 50)))
        if rng.random() < 0.08:
            last = dataclasses.replace(last, length=ss.Run().length)
        use = dataclasses.replace(one.sources[0], tag="")
        one = dataclasses.replace(one, tag=f"R-{number}", runs=(*front, last), sources=(use,))
        made.append(forgetful(one, rng, 0.05) if rng.random() < 0.2 else one)
    kept = {one.sources[0].source for one in made}
    names = kept | set(rng.sample([one.name for one in WHOLE.sources], sources))
    cabinets = {one.sources[0].cabinet for one in made}
    return dataclasses.replace(
        WHOLE,
        circuits=tuple(made),
        sources=tuple(
            forgetful(own_figures(one, rng), rng, 0.015)
            for one in WHOLE.sources
            if one.name in names
        ),
        apparatus=tuple(forgetful(one, rng, 0.015) for one in WHOLE.apparatus),
        simple=tuple(forgetful(one, rng, 0.015) for one in WHOLE.simple),
        cables=tuple(forgetful(one, rng, 0.015) for one in WHOLE.cables),
        declarations=tuple(
            one
            for one in WHOLE.declarations
            if one.scope != "circuit"
            and (one.scope != "cabinet" or one.of in cabinets)
            and (one.scope != "source" or one.of in names)
            and rng.random() > 0.02
        ),
    )


def whole(plant: Plant, search: Search, circuit: Circuit, at: int) -> tuple[Any, Any]:
    """What a plain assessment says of a circuit with a candidate: safety, and function."""
    changed = with_source(circuit, search.candidates[at])
    circuits = tuple(changed if one.tag == circuit.tag else one for one in plant.circuits)
    found = ss.assess(dataclasses.replace(plant, circuits=circuits), [circuit.tag])
    (summary,) = found.summaries()
    return summary, found.function[circuit.tag]


def fits(summary: Any, works: Any, margin: float, *, judged: bool) -> bool:
    """Whether a plain assessment lets a candidate serve."""
    good = summary.verdict is Verdict.SAFE and not (summary.utilisation or 0.0) > margin
    if not judged:
        return good
    return good and works.verdict is Verdict.SAFE and not (works.utilisation or 0.0) > margin


@pytest.mark.parametrize("seed", [0, 3, 4, 8, 11, 13])
def test_the_arrays_are_what_plain_assessments_say(seed: int) -> None:
    plant = small(seed)
    search = Search(plant)
    board = Board(search.table, search.function, plant.circuits)
    found = {margin: board.serving(margin).serves for margin in MARGINS}
    alone = Board(search.table, None, plant.circuits)
    safe = {margin: alone.serving(margin).serves for margin in MARGINS}
    said: Counter[str] = Counter()
    for index, circuit in enumerate(plant.circuits):
        if not board.exact[index]:
            continue
        judged = search.function.judgeable(circuit)
        safety, function = search.table.against(circuit), search.function.against(circuit)
        for at, candidate in enumerate(search.candidates):
            summary, works = whole(plant, search, circuit, at)
            where = (circuit.tag, candidate.label)
            rule = int(safety.governing[at])
            governing = "" if rule == NO_RULE else RULES[rule].name
            assert (safety.verdict[at], governing) == (summary.verdict, summary.governing), where
            if summary.utilisation is not None:
                assert safety.utilisation[at] == summary.utilisation, where
            assert (function.verdict[at], function.governing[at]) == (
                works.verdict,
                works.governing,
            ), where
            for margin in MARGINS:
                bare = fits(summary, works, margin, judged=False)
                assert safe[margin][index, at] == bare, (*where, margin)
                full = fits(summary, works, margin, judged=judged)
                assert found[margin][index, at] == full, (*where, margin)
            said[summary.verdict.word, works.verdict.word if judged else "not judged"] += 1  # type: ignore[index]
    assert {one[0] for one in said} == {"safe", "unsafe", "unproven"}
    assert found[1.0].any()


def boards(plant: Plant) -> list[Matrix]:
    search = Search(plant)
    board = Board(search.table, search.function, plant.circuits)
    return [board.serving(margin) for margin in MARGINS]


@pytest.mark.parametrize("seed", [11, 12])
def test_how_much_is_held_at_once_changes_nothing(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Key by key where tables would be large, few cases and pairs at once, sorted or marked."""
    plant = small(seed, circuits=60)
    before = boards(plant)
    for name, value in (("CHUNK", 7), ("CELLS", 40)):
        monkeypatch.setattr(matrix_safety, name, value)
    for name, value in (("PAIRS", 5), ("MARKS", 0)):
        monkeypatch.setattr(matrix_function, name, value)
    for one, other in zip(before, boards(plant), strict=True):
        assert np.array_equal(one.serves, other.serves)
    assert before[0].serves.any()


def of_side(case: FunctionCase, *, source: bool) -> dict[str, str]:
    """What a case of function has from its source, or from all else."""
    return {
        one.name: repr(case.values.get(one.name))
        for one in columns_of(KINDS[case.kind].columns)
        if (one.owner == "source") == source
    }


@pytest.mark.parametrize("seed", [21, 22])
def test_the_two_sides_of_function_are_each_their_own(seed: int) -> None:
    """A candidate's figures vary with nothing of the circuit, a circuit's with no candidate.

    Cases are shared between candidates that agree in all that was read of the first.
    """
    plant = small(seed, sources=30)
    clones = tuple(
        dataclasses.replace(one, name=f"{one.name} {number}")
        for one in plant.sources
        for number in (1, 2)
    )
    search = Search(plant, (*plant.sources, *clones))
    shared = 0
    for circuit in plant.circuits[::6]:
        found = search.function.sources(circuit)
        shared += len(found) - len({id(one) for one in found})
        own: dict[object, list[dict[str, str]]] = {}
        for at, candidate in enumerate(search.candidates):
            fresh = search.function.cases(with_source(circuit, candidate))
            kinds = tuple(one.kind for one in fresh)
            assert [one.kind for one in found[at]] == list(kinds)
            for one, other in zip(found[at], fresh, strict=True):
                assert of_side(one, source=True) == of_side(other, source=True), candidate.label
            mine = [of_side(one, source=False) for one in fresh]
            assert own.setdefault((search.function.role(at), kinds), mine) == mine, candidate.label
    assert shared > len(clones)
