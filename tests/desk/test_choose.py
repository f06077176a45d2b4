"""Choosing and printing in the browser: looked at first, applied as a change, never when stale."""

from __future__ import annotations

import io
import json
import re
import zipfile
from html import unescape

import pytest
from django.urls import reverse

import webplants

TAG = "AT-4091"


@pytest.fixture
def plant():
    return webplants.stored()


@pytest.fixture
def engineer(plant):
    return webplants.client(webplants.person(plant, "engineer"))


def _work():
    from subspark.store import jobs

    while jobs.run_one():
        pass


def _offered(browser, plant):
    text = browser.get(reverse("repairs", args=[plant.slug, TAG])).text
    found = re.findall(r'name="change" value="([^"]+)"', text)
    return text, [json.loads(unescape(one)) for one in found]


def test_a_repair_is_offered_and_applied_as_a_change(plant, engineer):
    text, offered = _offered(engineer, plant)
    assert "shorten" in text
    first = offered[0]
    address = reverse("repair-apply", args=[plant.slug, TAG])
    answer = engineer.post(address, {"change": json.dumps(first), "why": "shorter"})
    assert answer.status_code == 302
    page = unescape(engineer.get(answer["Location"]).text)
    assert "Safe." in page
    assert "shorter" in page
    stale = engineer.post(address, {"change": json.dumps(first), "why": "again"})
    assert stale.status_code == 422
    assert "the change was made where it held" in unescape(stale.text)


def test_a_repair_of_what_is_sound_is_not_offered(plant, engineer):
    text = engineer.get(reverse("repairs", args=[plant.slug, "PT-1101"])).text
    assert "Nothing to mend" in text
    assert 'name="change"' not in text


def test_a_reader_sees_repairs_and_applies_none(plant):
    reader = webplants.client(webplants.person(plant, "reader"))
    text, offered = _offered(reader, plant)
    assert "shorten" in text
    assert offered == []
    address = reverse("repair-apply", args=[plant.slug, TAG])
    assert reader.post(address, {"change": "{}", "why": "x"}).status_code == 403


@pytest.mark.parametrize("junk", ["", "nonsense", "[]", "{}", '{"format": "x"}', "[" * 100_000])
def test_a_change_that_nobody_has_proposed_is_refused(plant, engineer, junk):
    address = reverse("repair-apply", args=[plant.slug, TAG])
    answer = engineer.post(address, {"change": junk, "why": "x"})
    assert answer.status_code == 422
    plant.refresh_from_db()
    assert plant.revision == 1


def test_sources_that_fit_are_listed_with_why_others_do_not(plant, engineer):
    text = engineer.get(reverse("fits", args=[plant.slug, TAG])).text
    assert "serves" in text
    assert "RW-1126" in text


def test_the_fewest_types_are_looked_for_in_the_background_and_applied(plant, engineer):
    from subspark.store import plants

    answer = engineer.post(reverse("choose-start", args=[plant.slug]), {"seconds": "5"})
    assert answer.status_code == 302
    assert "hx-get" in engineer.get(answer["Location"]).text
    _work()
    text = unescape(engineer.get(answer["Location"]).text)
    assert "instead of" in text
    found = engineer.post(f"{answer['Location']}/apply", {"why": "fewer types"})
    assert found.status_code == 302, unescape(found.text)
    plant.refresh_from_db()
    assert plant.revision == 2
    assert plants.verify(plant.pk) == []
    text = engineer.get(answer["Location"]).text
    assert "no longer fits" in text


@pytest.mark.parametrize(("name", "text"), [("seconds", "9999"), ("margin", "x"), ("spare", "nan")])
def test_what_is_asked_of_the_optimiser_is_bounded(plant, engineer, name, text):
    answer = engineer.post(reverse("choose-start", args=[plant.slug]), {name: text})
    assert answer.status_code == 422
    assert "wanted a number" in answer.text


def test_the_dossier_of_a_circuit_is_printed_at_once(plant, engineer):
    pytest.importorskip("typst", reason="the parts of the papers are not installed")
    answer = engineer.get(reverse("dossier", args=[plant.slug, TAG]))
    assert answer.status_code == 200
    assert answer.content.startswith(b"%PDF-")


def test_papers_of_the_plant_are_printed_in_the_background(plant, engineer):
    pytest.importorskip("typst", reason="the parts of the papers are not installed")
    answer = engineer.post(reverse("papers-start", args=[plant.slug]), {"sort": ["lists"]})
    _work()
    page = engineer.get(answer["Location"]).text
    link = re.search(r'href="([^"]+\.zip)"', page)[1]
    got = engineer.get(link)
    names = zipfile.ZipFile(io.BytesIO(b"".join(got.streaming_content))).namelist()
    got.close()
    assert any(name.endswith(".pdf") for name in names)
    assert engineer.post(reverse("papers-start", args=[plant.slug])).status_code == 422
