"""What fits, against a plain assessment of every pair, bit for bit."""

from __future__ import annotations

import dataclasses
import itertools

import numpy as np
import pytest

import subspark as ss
from choose.plants import BARE, WHOLE, bare
from subspark.assess.function import FunctionAssessment
from subspark.choose.candidates import candidates_of, with_source
from subspark.choose.filters import Wishes
from subspark.choose.fits import Search, fits
from subspark.choose.matrix import Board
from subspark.choose.table import Table, plain
from subspark.demo import build_division_plant
from subspark.errors import UsageError
from subspark.model import Datum, Plant
from subspark.rules import RULES, Verdict

PLANT = BARE
DIVISION = bare(build_division_plant())
NO_RULE = 255


def replaced(plant: Plant, tag: str, changed: ss.Circuit) -> Plant:
    circuits = tuple(changed if one.tag == tag else one for one in plant.circuits)
    return dataclasses.replace(plant, circuits=circuits)


@pytest.mark.parametrize("plant", [PLANT, DIVISION], ids=["zones", "divisions"])
def test_the_arrays_agree_with_a_whole_assessment_bit_for_bit(plant: Plant) -> None:
    candidates = candidates_of(plant.sources)
    table = Table.of(plant, candidates)
    chosen = [one for one in plant.circuits if plain(one, table.context)]
    assert len(chosen) >= 10
    for circuit in chosen[:: max(1, len(chosen) // 8)]:
        found = table.against(circuit)
        for at, one in enumerate(candidates):
            changed = replaced(plant, circuit.tag, with_source(circuit, one))
            (summary,) = ss.assess(changed, [circuit.tag]).summaries()
            index = int(found.governing[at])
            governing = "" if index == NO_RULE else RULES[index].name
            assert (int(summary.verdict), summary.governing) == (found.verdict[at], governing), (
                circuit.tag,
                one.label,
            )
            if summary.utilisation is not None:
                assert summary.utilisation == found.utilisation[at]


def test_the_list_is_that_of_a_plain_assessment_of_every_pair() -> None:
    """Also of circuits that share a cable, among their partners."""
    search = Search(PLANT)
    for tag in ("PT-1101", "PT-1001", "FT-1191", "LT-1002"):
        circuit = PLANT.circuit(tag)
        listed = search.fits(tag)
        assert len(listed) == len(search.candidates)
        for one in listed:
            changed = replaced(PLANT, tag, with_source(circuit, one.candidate))
            (summary,) = ss.assess(changed, [tag]).summaries()
            assert (one.verdict, one.governing) == (summary.verdict, summary.governing)
            assert one.utilisation == summary.utilisation
        assert [one.order for one in listed] == sorted(one.order for one in listed)


def test_the_best_few_of_a_shared_cable_are_the_first_of_the_whole_list() -> None:
    search = Search(PLANT)
    for tag, top in itertools.product(("PT-1001", "LSH-1001"), (1, 3, 7)):
        best, whole = search.fits(tag, top), search.fits(tag)
        assert [one.label for one in best] == [one.label for one in whole[:top]]
        assert all(one.proved for one in best)


def bound(plant: Plant) -> list[str]:
    """One circuit of each sort on which the arrays have no word: two sources, a segment."""
    sorts = {
        "several": [one.tag for one in plant.circuits if len(one.sources) > 1],
        "segment": [one.tag for one in plant.circuits if one.method != "entity"],
    }
    return [tags[0] for tags in sorts.values() if tags]


def test_the_best_few_of_several_sources_are_the_first_of_the_whole_list() -> None:
    tags = bound(PLANT)
    assert len(tags) == 2
    search = Search(PLANT)
    for tag, top in itertools.product(tags, (1, 3)):
        whole = []
        for candidate in search.candidates:
            changed = replaced(PLANT, tag, with_source(PLANT.circuit(tag), candidate))
            (summary,) = ss.assess(changed, [tag]).summaries()
            whole.append((candidate.label, summary.verdict, summary.utilisation))
        best = search.fits(tag, top)
        assert all(one.proved for one in best)
        assert [one.order for one in best] == sorted(one.order for one in search.fits(tag))[:top]
        for one in best:
            assert (one.label, one.verdict, one.utilisation) in whole


def test_a_margin_puts_what_is_too_near_to_a_limit_last() -> None:
    listed = fits(PLANT, "PT-1101", margin=0.5)
    for one in listed:
        if one.serves:
            assert one.used is not None
            assert one.used <= 0.5
        elif one.reason.startswith("margin: "):
            assert one.verdict.word == "safe"
            assert one.used is not None
            assert one.used > 0.5
    assert any(one.reason.startswith("margin: ") for one in listed)


def noted(plant: Plant, name: str, **figures: str) -> Plant:
    """The plant with figures of one source stated."""
    data = tuple(
        Datum(what=what.replace("_", " ").replace("line fault", "line-fault"), value=value)  # type: ignore[arg-type]
        for what, value in figures.items()
    )
    sources = tuple(
        dataclasses.replace(one, function=data) if one.name == name else one
        for one in plant.sources
    )
    return dataclasses.replace(plant, sources=sources)


def wishing(plant: Plant, tag: str, what: str, value: str) -> Plant:
    circuit = plant.circuit(tag)
    wish = Datum(what=what, value=value)  # type: ignore[arg-type]
    return replaced(plant, tag, dataclasses.replace(circuit, function=(wish,)))


def test_filters_refuse_accept_or_stay_open() -> None:
    """Own rule: a fact that is not stated neither takes nor refuses."""
    first = fits(PLANT, "PT-1101")[0].candidate.kind.name
    second = fits(PLANT, "PT-1101")[1].candidate.kind.name
    wanted = wishing(PLANT, "PT-1101", "line-fault detection", "yes")
    wanted = noted(
        noted(wanted, first, line_fault_detection="no"), second, line_fault_detection="yes"
    )
    by_name = {one.candidate.kind.name: one for one in fits(wanted, "PT-1101")}
    assert by_name[first].reason == "line-fault detection: wanted"
    assert by_name[first].tier == 5
    assert by_name[second].serves
    open_ = next(one for one in by_name.values() if one.verdict.word == "safe" and one.tier == 1)
    assert open_.reason == "line-fault detection: wanted, not stated"


def test_a_circuit_may_ask_for_modules_of_few_channels() -> None:
    """As for loops of which no two may fail together; common practice, no source."""
    first, second = (one.candidate.kind.name for one in fits(PLANT, "PT-1101")[:2])
    wanted = wishing(PLANT, "PT-1101", "channels", "1")
    wanted = noted(noted(wanted, first, channels="2"), second, channels="1")
    by_name = {one.candidate.kind.name: one for one in fits(wanted, "PT-1101")}
    assert by_name[first].reason == "channels: 1 at the most wanted"
    assert by_name[second].serves


def test_wishes_of_the_search_refuse() -> None:
    first = fits(PLANT, "PT-1101")[0]
    gone = noted(PLANT, first.candidate.kind.name, status="obsolete")
    by_name = {one.label: one for one in fits(gone, "PT-1101")}
    assert by_name[first.label].reason == "no longer made"
    kept = fits(gone, "PT-1101", wishes=Wishes(obsolete=True))
    assert {one.label: one for one in kept}[first.label].serves
    maker = first.candidate.kind.maker
    others = fits(PLANT, "PT-1101", wishes=Wishes(makers=(maker,)))
    assert {one.candidate.kind.maker for one in others if one.serves} == {maker}


def test_price_and_stock_decide_where_the_limits_do_not() -> None:
    twin = next(one for one in PLANT.sources if one.name == fits(PLANT, "PT-1101")[0].label)
    clones = tuple(
        dataclasses.replace(
            twin,
            name=f"twin {name}",
            function=(Datum(what="price", value=price), Datum(what="stock", value=stock)),
        )
        for name, price, stock in (("A", "200", "0"), ("B", "100", "1"), ("C", "100", "9"))
    )
    plant = dataclasses.replace(PLANT, sources=(*PLANT.sources, *clones))
    labels = [one.label for one in fits(plant, "PT-1101") if one.label.startswith("twin")]
    assert labels == ["twin C", "twin B", "twin A"]


def test_bad_questions_get_one_message() -> None:
    with pytest.raises(UsageError, match=r"margin 0: wanted a share above 0 and up to 1"):
        fits(PLANT, "PT-1101", margin=0.0)
    with pytest.raises(UsageError, match=r"PT-1101 has 1 sources; wanted one of them, from 1"):
        Search(PLANT).fits("PT-1101", at=4)


def sorts(plant: Plant, search: Search) -> list[ss.Circuit]:
    """One circuit of each sort: alike in the kinds of its cases and in the figures stated."""
    found: dict[object, ss.Circuit] = {}
    for one in plant.circuits:
        if len(one.sources) == 1 and one.method == "entity" and search.function.judgeable(one):
            kinds = tuple(case.kind for case in search.function.cases(one))
            found.setdefault((kinds, frozenset(row.what for row in one.function)), one)
    return list(found.values())


@pytest.mark.parametrize("plant", [WHOLE, build_division_plant()], ids=["zones", "divisions"])
def test_function_is_judged_as_a_whole_assessment_judges_it(plant: Plant) -> None:
    """Every candidate for each sort of circuit: whose figure a column is, is said in one place."""
    search = Search(plant)
    circuits = sorts(plant, search)
    assert circuits
    for circuit in circuits:
        found = search.function.against(circuit)
        for at, one in enumerate(search.candidates):
            changed = with_source(circuit, one)
            works = FunctionAssessment([changed], search.function.context)[circuit.tag]
            assert int(works.verdict) == found.verdict[at], (circuit.tag, one.label)
            assert works.governing == found.governing[at], (circuit.tag, one.label)
            used = None if np.isnan(found.utilisation[at]) else found.utilisation[at]
            assert works.utilisation == used, (circuit.tag, one.label)


def test_line_fault_detection_is_asked_of_each_source_for_itself() -> None:
    """A switch amplifier that tells line faults is held against more than one that tells none."""
    search = Search(WHOLE)
    (circuit, *_) = (
        one
        for one in WHOLE.circuits
        if plain(one, search.table.context)
        and [case.kind for case in search.function.cases(one)] == ["switch circuit"]
        and search.function.against(one).verdict.min() == Verdict.SAFE
    )
    said = tuple(one for one in circuit.function if one.what != "line-fault detection")
    circuit = dataclasses.replace(circuit, function=said)
    source = next(
        one.kind
        for one, verdict in zip(
            search.candidates, search.function.against(circuit).verdict, strict=True
        )
        if verdict == Verdict.SAFE
    )
    rest = tuple(one for one in source.function if one.what != "line-fault detection")
    kinds = [
        dataclasses.replace(
            source,
            name=f"amplifier {answer or 'unsaid'}",
            function=(*rest, Datum(what="line-fault detection", value=answer)) if answer else rest,
        )
        for answer in ("no", "yes", "")
    ]
    for order in itertools.permutations(kinds):
        among = Search(WHOLE, order)
        found = among.function.against(circuit)
        served = Board(among.table, among.function, [circuit]).serving().serves[0]
        plant = dataclasses.replace(WHOLE, sources=(*WHOLE.sources, *order))
        unproven = {
            one.kind.name
            for one, verdict in zip(among.candidates, found.verdict, strict=True)
            if verdict == Verdict.UNPROVEN
        }
        assert unproven == {"amplifier unsaid"}
        for at, one in enumerate(among.candidates):
            changed = replaced(plant, circuit.tag, with_source(circuit, one))
            works = ss.assess(changed, [circuit.tag]).function[circuit.tag]
            assert int(works.verdict) == found.verdict[at], one.label
            assert not served[at] or works.verdict is Verdict.SAFE, one.label
