"""The other pages: what they show, and with how many queries."""

from __future__ import annotations

import base64
import io
import json
import re
from dataclasses import replace
from html import unescape

import openpyxl
import pytest
from django import db
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

import webplants
from subspark.store.kinds import KINDS, name_of
from webforms import form_of


@pytest.fixture(scope="module")
def plant():
    return webplants.stored(webplants.demo())


@pytest.fixture(scope="module")
def browser(plant):
    return webplants.client(webplants.person(plant, "administrator"))


def _get(browser, name, plant, *rest, **query):
    answer = browser.get(reverse(name, args=[plant.slug, *rest]), query)
    assert answer.status_code == 200
    return unescape(answer.text)


def test_the_first_page_has_a_bar_for_every_circuit(plant, browser):
    text = _get(browser, "plant", plant)
    assert text.count('class="b b-') == len(webplants.demo().circuits)
    assert "25 unsafe" in text
    assert "8 unproven" in text
    assert "answer the cross-check of Lo" in text  # what to ask for next


def test_a_large_plant_has_no_more_bars_than_a_screen_has_room():
    from subspark.desk.views.home import bars

    found = bars([(f"T-{n}", 1 + 2 * (n % 50 == 0), 0.5) for n in range(10_000)])
    assert len(found) <= 400
    assert sum(one.count for one in found) == 10_000
    assert found[0].word == "unsafe"


def test_filter_words_become_chips_and_a_link(plant, browser):
    text = _get(browser, "register", plant, q=["verdict:unsafe", "blend"])
    assert text.count('class="chip"') == 2
    assert "AT-4091" in text
    assert 'href="?q=blend"' in text  # without the first chip
    assert "PT-1101" not in text


def test_the_register_takes_as_many_queries_for_few_circuits_as_for_many(plant, browser):
    few = webplants.stored()
    other = webplants.client(webplants.person(few, "administrator"))
    counts = []
    for one, who in ((few, other), (plant, browser)):
        with CaptureQueriesContext(db.connection) as queries:
            _get(who, "register", one, q="verdict:safe", sort="used")
        counts.append(len(queries))
    assert counts[0] == counts[1] <= 8


def test_a_filter_is_kept_as_a_view_and_forgotten(plant, browser):
    browser.post(
        reverse("view-save", args=[plant.slug]), {"title": "worst", "query": "q=verdict:unsafe"}
    )
    text = _get(browser, "register", plant)
    assert "worst" in text
    from subspark.store.models import SavedView

    view = SavedView.objects.get(plant=plant, title="worst")
    browser.post(reverse("view-end", args=[plant.slug, view.pk]))
    assert "worst" not in _get(browser, "register", plant)


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind != "circuits"])
def test_each_kind_has_its_list_and_each_record_its_page(plant, browser, kind):
    text = _get(browser, "records", plant, kind)
    for record in getattr(webplants.demo(), kind):
        assert name_of(record) in text
    first = getattr(webplants.demo(), kind)[0]
    assert name_of(first) in _get(browser, "record", plant, kind, name_of(first))
    assert "New " in _get(browser, "record-new", plant, kind)


def test_a_slip_of_unit_is_told_as_it_is_typed(plant, browser):
    page = browser.get(reverse("record", args=[plant.slug, "sources", "RW-1126"])).text
    sent = form_of(page)
    field = next(name for name in sent if name.endswith("limits.0.Co"))
    address = reverse("record-try", args=[plant.slug, "sources", "RW-1126"])
    text = unescape(browser.post(address, sent | {field: "99 µF"}).text)
    assert "1000 times the reference; a slip of unit or column?" in text
    assert "slip" not in browser.post(address, sent | {field: "98 nF"}).text


def test_help_explains_every_rule_and_every_field(browser):
    from subspark.exchange.layout import COLUMNS
    from subspark.rules import RULES

    text = unescape(browser.get(reverse("help-rules")).text)
    assert all(rule.says in text and rule.remedy in text for rule in RULES)
    text = unescape(browser.get(reverse("help-fields")).text)
    assert all(one.note in text for columns in COLUMNS.values() for one in columns)


def test_a_change_is_checked_by_another_and_then_approved(plant):
    maker, checker, approver = (
        webplants.person(plant, role) for role in ("engineer", "checker", "approver")
    )
    from subspark.store import plants
    from subspark.store.plants import Edit

    area = webplants.demo().areas[0]
    changed = replace(area, title="another title")
    version = webplants.version(plant, "areas", area.tag)
    done = plants.change(
        plant.pk, [Edit(("areas", name_of(area)), changed, version)], "retitled", maker
    )
    address = reverse("change-review", args=[plant.slug, done.revision])
    page = reverse("change", args=[plant.slug, done.revision])
    browser = webplants.client(approver)
    assert "after it was checked" in browser.post(address, {"said": "approved"}).text
    browser = webplants.client(checker)
    assert browser.post(address, {"said": "approved"}).status_code == 403
    assert "remark" in browser.post(address, {"said": "sent back"}).text
    assert browser.post(address, {"said": "checked"}).status_code == 302
    browser = webplants.client(approver)
    assert browser.post(address, {"said": "approved"}).status_code == 302
    assert "approved" in browser.get(page).text
    assert "your own change" in webplants.client(maker).get(page).text


def test_the_chain_of_changes_is_looked_through(plant, browser):
    assert "as it was written" in _get(browser, "changes", plant, verify="1")


def test_the_plant_goes_out_as_workbook_and_document(browser, plant):
    from subspark.exchange import read_json
    from subspark.store import plants

    answer = browser.get(reverse("export-file", args=[plant.slug, "json"]))
    assert read_json(answer.text).digest == plants.whole(plant.pk).digest
    answer = browser.get(reverse("export-file", args=[plant.slug, "workbook"]))
    assert "attachment" in answer["Content-Disposition"]
    book = openpyxl.load_workbook(io.BytesIO(answer.content), read_only=True)
    assert "Circuits" in book.sheetnames


@pytest.mark.parametrize(
    ("title", "data", "taken"),
    [
        ("certificate.pdf", b"%PDF-1.7 ...", True),
        ("photo.png", b"\x89PNG\r\n\x1a\n...", True),
        ("page.pdf", b"<html><script>alert(1)</script>", False),
        ("drawing.svg", b"<svg onload='alert(1)'/>", False),
        ("../../etc/passwd.pdf", b"%PDF-1.7 ...", True),
    ],
)
def test_evidence_is_taken_by_what_it_is_and_given_out_harmless(plant, browser, title, data, taken):
    from subspark.store.models import Evidence

    address = reverse("evidence-attach", args=[plant.slug, "sources", "RW-1126"])
    answer = browser.post(address, {"file": SimpleUploadedFile(title, data)})
    assert answer.status_code == (302 if taken else 422)
    if not taken:
        return
    row = Evidence.objects.filter(plant=plant).latest("pk")
    assert "/" not in row.title
    answer = browser.get(reverse("evidence", args=[plant.slug, row.pk]))
    assert b"".join(answer.streaming_content) == data
    assert answer["Content-Disposition"].startswith("attachment")
    assert "sandbox" in answer["Content-Security-Policy"]
    answer.close()


def test_another_code_judges_every_circuit_anew():
    from subspark.store import plants

    small = webplants.stored()
    who = webplants.client(webplants.person(small, "administrator"))
    sent = {"0!kind": "plant", "0!name": "plant", "0!version": "1", "0.name": "Renamed"}
    sent |= {"0.code": "IEC-2013", "why": "the plant is older"}
    answer = who.post(reverse("plant-head", args=[small.slug]), sent)
    assert answer.status_code == 302
    assert plants.whole(small.pk).code == "IEC-2013"
    assert "Renamed" in who.get(answer["Location"]).text


def test_a_keeper_makes_plants_and_people():
    keeper = webplants.client(webplants.person(keeper=True))
    answer = keeper.post(reverse("plant-new"), {"sort": "empty", "name": "A new one"})
    text = keeper.get(answer["Location"]).text
    assert "This plant is empty" in text
    answer = keeper.post(reverse("person-new"), {"name": "somebody new"})
    link = answer.text.partition("/enter/")[2].partition("<")[0]
    assert webplants.client().post(reverse("enter", args=[link])).status_code == 302
    assert keeper.post(reverse("plant-new"), {"sort": "other"}).status_code == 422


def test_a_page_that_is_not_there_says_no_more(browser, plant):
    for address in ("/nothing", "/p/unknown/", f"/p/{plant.slug}/k/nonsense", "/enter/"):
        answer = browser.get(address)
        assert answer.status_code == 404
        assert "Not here" in answer.text


def test_an_error_of_ours_is_told_without_its_inside(plant, monkeypatch):
    from subspark.desk.views import home

    someone = webplants.client(webplants.person(plant, "reader"))
    someone.raise_request_exception = False

    def broken(*_):
        raise ZeroDivisionError("secret inside")

    monkeypatch.setattr(home.register, "band", broken)
    answer = someone.get(reverse("plant", args=[plant.slug]))
    assert answer.status_code == 500
    assert "secret" not in answer.text
    assert "Nothing was saved" in answer.text


def test_the_schema_of_the_api_names_every_operation(browser):
    schema = json.loads(browser.get("/api/v1/openapi.json").text)
    assert "/api/v1/change" in schema["paths"]
    text = browser.get(reverse("help-api")).text
    assert all(address in text for address in schema["paths"])


def test_the_figures_of_a_source_stand_against_the_curves_and_follow_a_try(plant, browser):
    text = browser.get(reverse("record", args=[plant.slug, "sources", "RW-1126"])).text
    first = re.search(r'src="data:image/svg\+xml;base64,([^"]+)"', text)[1]
    assert "IIC 99 nF at 26 V" in base64.b64decode(first).decode()
    sent = form_of(text)
    sent["0.outputs.0.limits.0.Co"] = "99 µF"
    tried = browser.post(reverse("record-try", args=[plant.slug, "sources", "RW-1126"]), sent).text
    then = re.search(r'src="data:image/svg\+xml;base64,([^"]+)"', tried)[1]
    assert "IIC 99 µF at 26 V" in base64.b64decode(then).decode()
    other = browser.get(reverse("record", args=[plant.slug, "areas", "BLEND-1"])).text
    assert "data:image" not in other
