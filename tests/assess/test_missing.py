"""What is missing, ranked by how many circuits it would settle, checked by giving it.

Source: own engineering.
"""

from __future__ import annotations

import dataclasses

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from baseline import DECLARED, barrier, plant, source, transmitter
from subspark.assess import Need, assess
from subspark.assess.function.facts import DECLARED as FUNCTIONAL
from subspark.assess.needs import rank
from subspark.demo import build_plant
from subspark.model import Certificate, Condition, Declaration, Plant

WORDS = {
    "segregation": "segregation",
    "atmospheric conditions": "atmospheric conditions",
    "safe side voltage": "safe side voltage",
    "cabinet ambient": "cabinet ambient",
    "apparatus isolation": "apparatus isolation",
    "source place": "source place",
    "cable construction": "construction evidenced",
    "conditions answered": "its special conditions answered",
    "barrier earth resistance": "barrier earth",
    "barrier earth conductors": "barrier earth",
}
"""How the need for a declared fact begins."""


def answers(need: Need, declarations: tuple[Declaration, ...]) -> list[Declaration]:
    """Those of the declarations that answer a need."""
    scope, _, of = need.of.partition(" ")
    return [
        one
        for one in declarations
        if need.what.startswith(WORDS.get(one.fact, "nothing"))
        and (scope == "plant" or one.of == of or (scope == "cable" and one.scope == "plant"))
    ]


@pytest.fixture(scope="module")
def demo() -> Plant:
    return build_plant()


def test_every_count_is_what_giving_it_settles(demo):
    """The demo plant without a single declaration: given back in the order of the ranking."""
    current = dataclasses.replace(demo, declarations=())
    before = assess(current)
    assert before.counts["safe"] == 0
    unproven, given_back = before.counts["unproven"], 0
    for one in before.missing():
        found = [d for d in answers(one.need, demo.declarations) if d not in current.declarations]
        if not found:
            continue
        current = dataclasses.replace(current, declarations=(*current.declarations, *found))
        after = assess(current).counts["unproven"]
        assert unproven - after == one.settles, str(one.need)
        unproven = after
        given_back += len(found)
    functional = [one for one in demo.declarations if one.fact in FUNCTIONAL]
    assert given_back >= len(demo.declarations) - len(functional) - 2


def test_declarations_of_the_plant_come_first(demo):
    """What holds for the whole plant stands before what holds for one type."""
    missing = assess(dataclasses.replace(demo, declarations=())).missing()
    assert all(one.need.how in ("declaration", "answer") for one in missing[:10])
    plant_wide = [place for place, one in enumerate(missing) if one.need.of == "plant"]
    assert plant_wide[:3] == [0, 1, 2]


def test_few_declarations_settle_most_of_a_poorly_documented_plant(demo):
    """The point of the ranking: ten answers for more than half of some hundred circuits."""
    bare = assess(dataclasses.replace(demo, declarations=()))
    missing = bare.missing()
    assert sum(one.settles for one in missing[:10]) > bare.counts["unproven"] / 2
    assert sum(one.settles for one in missing) == bare.counts["unproven"]


def test_a_well_kept_plant_lacks_little(demo):
    found = assess(demo)
    missing = found.missing()
    assert sum(one.settles for one in missing) == found.counts["unproven"]
    assert all(one.touches <= found.counts["unproven"] for one in missing)


# --- one circuit: each thing taken away is what is asked for -----------------------------------


@pytest.mark.parametrize("fact", sorted(set(DECLARED) - {"apparatus isolation"}))
def test_the_declaration_that_is_missing_is_the_one_that_is_named(fact):
    found = assess(plant(declare={fact: None}))
    assert found["X"].verdict.word == "unproven"
    (one,) = found.missing()
    assert one.need.how == "declaration"
    assert one.need.what.startswith(WORDS[fact])
    assert (one.settles, one.alone, one.touches) == (1, 1, 1)


@pytest.mark.parametrize(
    ("parts", "need"),
    [
        (
            {"items": [transmitter(Ui="")]},
            "apparatus T1: Ui (or the words that it is not limiting)",
        ),
        (
            {"items": [transmitter(Pi="")]},
            "apparatus T1: Pi (or the words that it is not limiting)",
        ),
        ({"items": [transmitter(Ci="", Li="0")]}, "apparatus T1: Ci"),
        ({"items": [transmitter(powered="")]}, "apparatus T1: whether it has a supply of its own"),
        ({"items": [transmitter(certificate="")]}, "apparatus T1: its certificate"),
        ({"sources": [source(certificate="")]}, "source S1: its certificate"),
        ({"sources": [source(ports=())]}, "source S1: Um of port supply"),
        ({"runs": [""]}, "run K1: its length"),
        (
            {"certificates": [Certificate(number="cert T1", suffix="X")]},
            "certificate cert T1: its special conditions answered",
        ),
        (
            {"certificates": [Certificate(number="cert T1", conditions=Condition(text="a"))]},
            "certificate cert T1: its special conditions answered",
        ),
    ],
)
def test_a_missing_value_is_named(parts, need):
    found = assess(plant(**parts))
    assert found["X"].verdict.word == "unproven"
    assert need in [str(one.need) for one in found.missing()]


def test_a_barrier_asks_for_its_earth():
    found = assess(plant(sources=[barrier()]))
    assert [str(one.need) for one in found.missing()] == [
        "plant: barrier earth: resistance and conductors"
    ]


def test_an_unsafe_circuit_lacks_nothing():
    """It is judged: more data would not help it."""
    found = assess(plant(items=[transmitter(Ui="24 V", Pi="")]))
    assert found["X"].verdict.word == "unsafe"
    assert found.missing() == []


def test_every_unproven_circuit_is_told_something(demo):
    """Whatever one datum is blanked: never unproven without a word on what would help."""
    for name in ("areas", "certificates", "cables", "declarations"):
        built = demo
        if name == "areas":
            held = tuple(dataclasses.replace(one, atmospheres=()) for one in demo.areas)
        elif name == "cables":
            held = tuple(dataclasses.replace(one, C="", L="", cores=None) for one in demo.cables)
        elif name == "certificates":
            held = tuple(dataclasses.replace(one, status="withdrawn") for one in demo.certificates)
        else:
            held = ()
        found = assess(dataclasses.replace(built, **{name: held}))
        unproven = [one.tag for one in found.summaries() if one.verdict.word == "unproven"]
        assert unproven
        assert all(found.missing_of(tag) for tag in unproven)


# --- the ranking itself ------------------------------------------------------------------------

NEEDS = [Need("plant", what, "declaration") for what in "abcdef"]


@settings(max_examples=200, deadline=None)
@given(st.lists(st.frozensets(st.sampled_from(NEEDS), max_size=4), max_size=30))
def test_the_ranking_settles_every_circuit_once(lists):
    """Brute force: walked through in order, each need settles what it says."""
    ranked = rank(lists)
    open_ = [needs for needs in lists if needs]
    assert {one.need for one in ranked} == {need for needs in open_ for need in needs}
    assert [one.touches for one in ranked] == [
        sum(one.need in needs for needs in open_) for one in ranked
    ]
    assert [one.alone for one in ranked] == [
        sum(needs == {one.need} for needs in open_) for one in ranked
    ]
    given_: set[Need] = set()
    for one in ranked:
        before = sum(not needs <= given_ for needs in open_)
        given_.add(one.need)
        assert before - sum(not needs <= given_ for needs in open_) == one.settles


@settings(max_examples=100, deadline=None)
@given(st.lists(st.frozensets(st.sampled_from(NEEDS), max_size=4), max_size=20), st.randoms())
def test_the_ranking_does_not_depend_on_the_order_of_circuits(lists, rng):
    shuffled = list(lists)
    rng.shuffle(shuffled)
    assert rank(lists) == rank(shuffled)


def test_what_settles_most_stands_first():
    a, b, c = NEEDS[:3]
    ranked = rank([frozenset({a})] * 2 + [frozenset({b})] * 3 + [frozenset({a, b, c})])
    assert [(one.need, one.settles, one.alone, one.touches) for one in ranked] == [
        (b, 3, 3, 4),
        (a, 2, 2, 3),
        (c, 1, 0, 1),
    ]
