"""The page of a circuit: sentence, ladder, trying without saving, saving as a change, merging."""

from __future__ import annotations

import base64
import re
from html import unescape

import pytest
from django.urls import reverse

import webplants
from subspark.assess import assess
from subspark.rules import Verdict
from webforms import form_of

TAG = "AT-4091"


@pytest.fixture
def plant():
    return webplants.stored()


@pytest.fixture
def engineer(plant):
    return webplants.client(webplants.person(plant, "engineer"))


def page(browser, plant, tag=TAG):
    return browser.get(reverse("circuit", args=[plant.slug, tag])).text


def trying(browser, plant, sent, tag=TAG):
    return browser.post(reverse("circuit-try", args=[plant.slug, tag]), sent)


def saving(browser, plant, sent, tag=TAG):
    return browser.post(reverse("circuit-save", args=[plant.slug, tag]), sent)


def length_field(sent):
    return next(name for name in sent if name.endswith("runs.0.length"))


def test_the_sentence_stands_first_and_every_rule_that_is_asked_is_a_rung(plant, engineer):
    text = unescape(page(engineer, plant))
    finding = assess(webplants.demo(), [TAG])[TAG]
    assert "Unsafe. Capacitance, 115 % used: 57.1 nF against 49.5 nF." in text
    safety = text[: text.index("Does it work?")]  # another question, with a ladder of its own
    rungs = re.findall(r'class="rung rung-([\w-]+)"', safety)
    asked = [one for one in finding.rules.values() if one.verdict is not Verdict.NOT_ASKED]
    assert sorted(rungs) == sorted(one.verdict.word for one in asked)
    for one in asked:
        assert one.sentence in text
        assert one.clause in text
    assert text.index("capacitance", text.index("Ladder of limits")) < text.index("inductance")
    assert "shorter or other cable" in text  # what would mend it


def test_the_form_as_it_stands_changes_nothing(plant, engineer):
    answer = trying(engineer, plant, form_of(page(engineer, plant)))
    assert "Trying" not in answer.text
    assert "115 % used" in answer.text


def test_trying_shows_the_new_verdict_and_saves_nothing(plant, engineer):
    sent = form_of(page(engineer, plant))
    sent[length_field(sent)] = "40"
    text = unescape(trying(engineer, plant, sent).text)
    assert "Nothing is saved" in text
    assert "Safe. Closest limit:" in text
    assert webplants.circuit(plant, TAG).runs[0].length.text == "180 m"
    plant.refresh_from_db()
    assert plant.revision == 1


def test_trying_a_number_of_the_catalogue_tells_who_else_would_turn(plant, engineer):
    sent = form_of(page(engineer, plant))
    panel = reverse("panel", args=[plant.slug, "sources", "RW-1126"])
    text = engineer.get(panel, {"number": "1"}).text
    sent |= form_of(f'<form id="try">{text}</form>')
    uo = next(name for name in sent if name.endswith("outputs.0.Uo"))
    sent[uo] = "40 V"
    text = unescape(trying(engineer, plant, sent).text)
    assert "would turn:" in text
    assert "safe → unsafe" in text


def test_what_cannot_be_read_is_told_beside_its_field_and_the_verdict_waits(plant, engineer):
    sent = form_of(page(engineer, plant))
    field = length_field(sent)
    sent[field] = "12,5 mH"
    text = trying(engineer, plant, sent).text
    assert f'data-at="{field}"' in text
    assert "the verdict waits" in text
    assert "Safe" not in text


def test_saving_keeps_the_reason_and_the_person(plant, engineer):
    sent = form_of(page(engineer, plant))
    sent |= {length_field(sent): "40 m", "why": "measured", "evidence.document": "site log 7"}
    answer = saving(engineer, plant, sent)
    assert answer.status_code == 302
    text = engineer.get(answer["Location"]).text
    assert "Saved as change" in text
    assert "measured" in text
    run = webplants.circuit(plant, TAG).runs[0]
    assert run.length.text == "40 m"
    assert run.length.evidence.document == "site log 7"
    change = engineer.get(reverse("change", args=[plant.slug, 2])).text
    assert "180 m" in change
    assert "40 m" in change


@pytest.mark.parametrize(
    ("given", "said"),
    [({"why": ""}, "wants its reason"), ({"area": "NOWHERE"}, "wanted an area of the plant")],
)
def test_what_cannot_be_saved_comes_back_with_all_that_was_entered(plant, engineer, given, said):
    sent = form_of(page(engineer, plant))
    sent |= {length_field(sent): "41.5 m", "why": "measured"}
    sent |= {f"0.{name}" if name == "area" else name: text for name, text in given.items()}
    answer = saving(engineer, plant, sent)
    assert answer.status_code == 422
    assert said in unescape(answer.text)
    assert form_of(answer.text)[length_field(sent)] == "41.5 m"
    assert webplants.circuit(plant, TAG).runs[0].length.text == "180 m"


def test_two_people_at_once_see_both_versions_and_merge(plant, engineer):
    other = webplants.client(webplants.person(plant, "engineer"))
    first, second = (form_of(page(browser, plant)) for browser in (engineer, other))
    saving(engineer, plant, first | {length_field(first): "40 m", "why": "by the first"})
    answer = saving(other, plant, second | {"0.service": "another service", "why": "by the second"})
    assert answer.status_code == 409
    text = unescape(answer.text)
    assert "by the first" in text
    assert "40 m" in text
    assert "another service" in text
    merged = form_of(answer.text) | {"why": "merged"}
    merged[length_field(merged)] = "40 m"
    assert saving(other, plant, merged).status_code == 302
    circuit = webplants.circuit(plant, TAG)
    assert (circuit.service, circuit.runs[0].length.text) == ("another service", "40 m")
    assert webplants.version(plant, "circuits", TAG) == 3


def test_a_reader_may_try_and_not_save(plant):
    reader = webplants.client(webplants.person(plant, "reader"))
    text = page(reader, plant)
    assert "Save as a change" not in text
    sent = form_of(text)
    sent[length_field(sent)] = "40 m"
    assert "Safe. Closest limit" in trying(reader, plant, sent).text
    assert saving(reader, plant, sent | {"why": "none of my business"}).status_code == 403
    assert webplants.circuit(plant, TAG).runs[0].length.text == "180 m"


def test_a_row_is_added_to_the_form_and_nothing_is_saved(plant, engineer):
    sent = form_of(page(engineer, plant))
    answer = trying(engineer, plant, sent | {"step": "add:0.runs"})
    assert 'name="0.runs.1.length"' in answer.text
    assert len(webplants.circuit(plant, TAG).runs) == 1


def test_a_circuit_is_made_and_removed(plant, engineer):
    address = reverse("record-new", args=[plant.slug, "circuits"])
    sent = form_of(engineer.get(address).text)
    sent |= {
        "0.tag": "NEW/1",
        "0.area": "BLEND-1",
        "0.sources.0.source": "RW-1126",
        "0.members.0.apparatus": "TG-9",
        "why": "a new loop",
    }
    sent = {name: text for name, text in sent.items() if not name.startswith("0.runs")}
    answer = engineer.post(address, sent)
    assert answer.status_code == 302, answer.text
    text = engineer.get(answer["Location"]).text
    assert "NEW/1" in text
    assert "Unproven" in text  # it has no cable yet
    gone = reverse("record-remove", args=[plant.slug, "circuits", "NEW/1"])
    assert engineer.post(gone, {"why": "not built", "version": "1"}).status_code == 302
    assert webplants.circuit(plant, "NEW/1") is None


def test_a_record_is_not_renamed_by_the_way(plant, engineer):
    sent = form_of(page(engineer, plant)) | {"0.tag": "OTHER", "why": "a new name"}
    answer = saving(engineer, plant, sent)
    assert answer.status_code == 422
    assert "keeps its name" in unescape(answer.text)


@pytest.mark.parametrize(
    "sent",
    [
        {},
        {"0!kind": "nonsense", "0!name": "x", "0!version": "1"},
        {"0!kind": "circuits", "0!name": TAG, "0!version": "999999999999999999999"},
        {"0!kind": "circuits", "0!name": "\x00", "0!version": "-1", "0.tag": "\x00"},
        {"0!kind": "circuits", "0!name": TAG, "0!version": "1", "0.runs.99999.length": "1 m"},
        {"step": "add:0.runs.0.nothing.at.all"},
    ],
)
def test_forms_that_no_page_has_made_are_told_so(plant, engineer, sent):
    for answer in (trying(engineer, plant, sent), saving(engineer, plant, sent | {"why": "x"})):
        assert answer.status_code in (200, 302, 400, 409, 422)
    plant.refresh_from_db()
    assert "Traceback" not in answer.text


def test_a_limit_opens_to_what_it_leans_on_and_where_that_was_read(plant, engineer):
    text = unescape(engineer.get(reverse("circuit", args=[plant.slug, TAG])).text)
    rung = re.search(r'data-keep="capacitance".*?</details>', text, re.DOTALL)[0]
    assert "sum Ci + Cc <= k Co" in rung
    assert "Co 99 nF" in rung
    assert "Ci 40 nF" in rung
    assert "180 m x 95 pF/m = 17.1 nF" in rung
    assert re.search(r"read in [^<]*DEMO 21.0001", rung)
    assert re.search(r"read in [^<]*Cable schedule CS-2", rung)
    assert "clause" in rung


def test_every_rule_says_where_its_working_stands():
    """A rule that is new must be given its lines; those of segments show a working of their own."""
    from subspark.desk.shown import LEANS
    from subspark.rules import RULES
    from subspark.rules.fieldbus import SEGMENT_RULES

    alone = {"surge device", "box temperature"}  # their working is in their own numbers
    assert {one.name for one in RULES} - set(SEGMENT_RULES) - alone == LEANS.keys()


def test_the_lines_that_a_limit_leans_on_are_there():
    """Each rule of the table finds lines in some circuit of the demo plant."""
    from subspark.desk.shown import LEANS, shown

    found = set()
    assessment = assess(webplants.demo())
    for circuit in webplants.demo().circuits:
        for rung in shown(assessment, circuit.tag).rungs:
            if rung.leans:
                found.add(rung.name)
    assert LEANS.keys() - found == set()


def test_the_plane_follows_what_is_tried_where_it_is_asked(plant, engineer):
    given = form_of(page(engineer, plant))
    given[length_field(given)] = "40 m"
    address = reverse("circuit-try", args=[plant.slug, TAG])
    assert "data:image" not in engineer.post(address, given).text
    text = engineer.post(address, {**given, "plane": "yes"}).text
    image = re.search(r'src="data:image/svg\+xml;base64,([^"]+)"', text)[1]
    assert "C 43.8 nF of 49.5 nF" in base64.b64decode(image).decode()
