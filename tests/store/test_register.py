"""The register: what is found, in which order, and with how many queries."""

from __future__ import annotations

import pytest
from django import db
from django.test.utils import CaptureQueriesContext

import webplants
from subspark.assess import assess


@pytest.fixture(scope="module")
def plant():
    return webplants.stored(webplants.demo())


def _tags(plant, *texts, **named):
    from subspark.store import register

    found = register.listing(plant.pk, register.terms(texts), **named)
    return [one.tag for one in found.rows], found


def _expected(fits):
    return {one.tag for one in assess(webplants.demo()).summaries() if fits(one)}


def test_by_verdict_and_limit(plant):
    tags, found = _tags(plant, "verdict:unsafe")
    assert set(tags) == _expected(lambda one: one.verdict.word == "unsafe")
    assert found.by_verdict == {"safe": 0, "unproven": 0, "unsafe": len(tags)}
    tags, _ = _tags(plant, "verdict:unsafe", "limit:capacitance")
    assert "AT-4091" in tags
    assert set(tags) == _expected(
        lambda one: one.verdict.word == "unsafe" and one.governing == "capacitance"
    )


def test_by_words_in_any_field_capitals_aside(plant):
    assert _tags(plant, "BLEND composition")[0] == ["AT-4091"]
    assert "AT-4091" in _tags(plant, "tg-9")[0]  # its apparatus
    assert set(_tags(plant, "area:blend-1")[0]) == {
        one.tag for one in webplants.demo().circuits if one.area == "BLEND-1"
    }


def test_by_assumption_and_by_special_condition(plant):
    everything = assess(webplants.demo())
    note = next(one.assumptions[0] for one in everything if one.assumptions)
    with_it = {one.tag for one in everything if note in one.assumptions}
    words = note.lower()[:100]
    from subspark.store import register

    found = set()
    start = 0
    while start is not None:
        page = register.listing(plant.pk, register.terms([words]), start=start)
        found |= {one.tag for one in page.rows}
        start = page.next
    assert with_it <= found
    text = next(one.conditions[0].text for one in webplants.demo().certificates if one.conditions)
    assert _tags(plant, text[:80])[0]


def test_signs_of_the_database_are_only_characters(plant):
    assert _tags(plant, "%")[1].total < 298
    assert _tags(plant, "_____________________________________________")[0] == []
    assert _tags(plant, "' OR 1=1 --")[0] == []
    assert _tags(plant, "verdict:lovely")[0] == []


def test_the_fullest_first(plant):
    tags, found = _tags(plant, sort="used", down=True)
    used = [one.used for one in found.rows]
    assert used == sorted(used, reverse=True)
    assert tags[0] in ("PT-1194", "ZT-1192")  # 214 % of their voltage, by the demo's story


def test_pages_follow_one_another_without_gap(plant):
    from subspark.store.register import PAGE

    seen, start = [], 0
    while start is not None:
        tags, found = _tags(plant, sort="tag", start=start)
        seen += tags
        assert len(tags) <= PAGE
        start = found.next
    assert len(seen) == len(set(seen)) == len(webplants.demo().circuits)


@pytest.mark.parametrize("texts", [(), ("verdict:safe", "pressure")])
def test_a_page_takes_two_queries_however_many_circuits(plant, texts):
    few = webplants.stored()
    counts = []
    for one in (few, plant):
        with CaptureQueriesContext(db.connection) as queries:
            _tags(one, *texts, sort="used")
        counts.append(len(queries))
    assert counts == [2, 2]


def test_what_to_ask_for_next_is_that_of_the_whole_plant(plant):
    from subspark.store import register

    assert register.missing(plant.pk) == assess(webplants.demo()).missing()


def test_the_band_holds_every_circuit(plant):
    from subspark.store import register

    assert {tag for tag, _, _ in register.band(plant.pk)} == {
        one.tag for one in webplants.demo().circuits
    }
