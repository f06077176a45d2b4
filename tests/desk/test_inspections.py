"""Inspections on site: lengths as measured, findings, and who may keep what."""

from __future__ import annotations

from html import unescape

import pytest
from django.urls import reverse

import webplants

TAG = "AT-4091"  # 180 m, of which 100 m are permitted


@pytest.fixture
def plant():
    return webplants.stored()


def _kept():
    from subspark.store.models import Inspection

    return Inspection.objects


def _client(plant, role):
    return webplants.client(webplants.person(plant, role))


def _post(browser, plant, what, tag=TAG, **given):
    return browser.post(reverse(f"inspection-{what}", args=[plant.slug, tag]), given)


FOUND = {"found": "in order", "grade": "close", "day": "2026-03-01", "remark": ""}


def test_a_measured_length_is_tried_and_nothing_is_saved(plant):
    browser = _client(plant, "reader")
    text = unescape(_post(browser, plant, "try", **{"length.0": "40"}).text)
    assert "Trying." in text
    assert "Safe. Closest limit: capacitance, 88.5 % used" in text
    assert webplants.circuit(plant, TAG).runs[0].length.text == "180 m"
    text = unescape(_post(browser, plant, "try", **{"length.0": "12 mH"}).text)
    assert "'12 mH': " in text
    assert "Trying." not in text


def test_length_and_finding_are_kept_together(plant):
    browser = _client(plant, "engineer")
    page = unescape(browser.get(reverse("inspection", args=[plant.slug, TAG])).text)
    assert "Unsafe. Capacitance" in page
    given = {"length.0": "40", "version": "1", **FOUND}
    answer = _post(browser, plant, "save", **given)
    assert answer.status_code == 302
    page = unescape(browser.get(answer["Location"]).text)
    assert "Saved as change" in page
    assert "Safe. Closest limit" in page
    run = webplants.circuit(plant, TAG).runs[0]
    assert (run.length.text, run.as_built) == ("40 m", "yes")
    assert run.length.evidence.document == "measured on site"
    kept = _kept().get(plant=plant)
    assert (kept.tag, kept.grade, kept.found, kept.revision) == (TAG, "close", "in order", 2)
    text = unescape(browser.get(reverse("inspections", args=[plant.slug])).text)
    assert "1 in order at the last" in text
    assert "2026-03-01" in text


def test_what_is_not_measured_anew_keeps_its_evidence(plant):
    browser = _client(plant, "engineer")
    _post(browser, plant, "save", **{"length.0": "180 m", "version": "1"}, **FOUND)
    length = webplants.circuit(plant, TAG).runs[0].length
    assert length.evidence.document == "Cable schedule CS-2"
    plant.refresh_from_db()
    assert plant.revision == 1
    assert _kept().filter(plant=plant).count() == 1


def test_a_checker_keeps_findings_and_no_lengths_and_a_reader_neither(plant):
    checker, reader = _client(plant, "checker"), _client(plant, "reader")
    assert _post(checker, plant, "save", **FOUND).status_code == 302
    given = {"length.0": "40", "version": "1"}
    assert _post(checker, plant, "save", **given, **FOUND).status_code == 403
    assert _post(reader, plant, "save", **FOUND).status_code == 403
    assert webplants.circuit(plant, TAG).runs[0].length.text == "180 m"
    assert _kept().filter(plant=plant).count() == 1


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"found": ""}, "nothing was measured anew"),
        ({"found": "perhaps"}, "wanted one of in order, faults"),
        ({"grade": "quick"}, "wanted one of visual, close, detailed"),
        ({"day": "1st of March"}, "wanted such as 2026-03-01"),
        ({"day": "2999-01-01"}, "is still to come"),
        ({"found": "faults"}, "the remark wants to say which"),
        ({"length.0": "forty"}, "'forty'"),
        ({"length.0": "40", "grade": "quick"}, "wanted one of visual"),
    ],
)
def test_what_cannot_be_kept_is_told_and_nothing_is_kept(plant, given, told):
    browser = _client(plant, "engineer")
    answer = _post(browser, plant, "save", **{"version": "1", **FOUND, **given})
    assert answer.status_code == 422
    assert told in unescape(answer.text)
    assert not _kept().filter(plant=plant).exists()
    plant.refresh_from_db()
    assert plant.revision == 1


def test_of_two_who_measure_at_once_the_second_is_told_and_loses_nothing(plant):
    first, second = _client(plant, "engineer"), _client(plant, "engineer")
    _post(first, plant, "save", **{"length.0": "41", "version": "1"})
    answer = _post(second, plant, "save", **{"length.0": "42", "version": "1"}, **FOUND)
    assert answer.status_code == 422
    text = unescape(answer.text)
    assert "Somebody changed this circuit meanwhile" in text
    assert 'name="length.0" value="42"' in text
    assert 'name="version" value="2"' in text
    assert webplants.circuit(plant, TAG).runs[0].length.text == "41 m"
    assert not _kept().filter(plant=plant).exists()


def test_circuits_are_found_by_the_state_of_their_last_inspection(plant):
    browser = _client(plant, "engineer")
    faulty = {**FOUND, "found": "faults", "remark": "gland loose"}
    _post(browser, plant, "save", tag="PT-1101", **faulty)
    _post(browser, plant, "save", tag="PT-1102", **{**faulty, "day": "2026-02-01"})
    _post(browser, plant, "save", tag="PT-1102", **FOUND)
    address = reverse("inspections", args=[plant.slug])
    text = browser.get(address, {"state": "faults"}).text
    assert ">PT-1101</a>" in text
    assert ">PT-1102</a>" not in text
    text = browser.get(address, {"state": "in order"}).text
    assert ">PT-1102</a>" in text
    text = browser.get(address, {"state": "never"}).text
    assert ">AT-4091</a>" in text
    assert ">PT-1101</a>" not in text
    home = unescape(browser.get(reverse("plant", args=[plant.slug])).text)
    assert "with faults at the last inspection" in home


def test_a_strange_circuit_is_not_there(plant):
    browser = _client(plant, "engineer")
    for what in ("try", "save"):
        assert _post(browser, plant, what, tag="NOBODY", **FOUND).status_code == 404
    assert browser.get(reverse("inspection", args=[plant.slug, "NOBODY"])).status_code == 404


def test_the_list_takes_the_same_number_of_queries_however_many_were_inspected(plant):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    browser = _client(plant, "engineer")
    address = reverse("inspections", args=[plant.slug])
    browser.get(address)
    counted = []
    for tags in ((), ("PT-1101",), ("PT-1102", "TT-1001", "LT-1001", TAG)):
        for tag in tags:
            assert _post(browser, plant, "save", tag=tag, **FOUND).status_code == 302
        with CaptureQueriesContext(
            connection,
        ) as made:
            assert browser.get(address).status_code == 200
        counted.append(len(made))
    assert len(set(counted)) == 1, counted
