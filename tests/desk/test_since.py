"""What a checker does: see what changed since the last issue, sign it or send it back."""

from __future__ import annotations

from dataclasses import replace
from html import unescape

import pytest
from django.urls import reverse

import webplants
from subspark.quantity import Length

TAG = "AT-4091"


@pytest.fixture
def history():
    from subspark.store import history

    return history


def _change(plant, record, why, author):
    from subspark.store import plants
    from subspark.store.plants import Edit

    version = webplants.version(plant, "circuits", record.tag)
    plants.change(plant.pk, [Edit(("circuits", record.tag), record, version)], why, author)


@pytest.fixture
def plant():
    return webplants.stored()


@pytest.fixture
def author(plant):
    return webplants.person(plant, "engineer")


def _length(plant, author, text):
    circuit = webplants.circuit(plant, TAG)
    run = replace(circuit.runs[0], length=Length(text))
    _change(plant, replace(circuit, runs=(run,)), f"now {text}", author)


def _page(browser, plant):
    return unescape(browser.get(reverse("changes-since", args=[plant.slug])).text)


def _say(browser, plant, said, start, end, remark=""):
    given = {"said": said, "start": start, "end": end, "remark": remark}
    return browser.post(reverse("changes-since-review", args=[plant.slug]), given)


def test_a_plant_is_issued_and_only_what_came_after_is_shown(plant, author):
    approver = webplants.client(webplants.person(plant, "approver"))
    assert "never issued" in _page(approver, plant)
    assert _say(approver, plant, "approved", 0, 1).status_code == 422  # it was not checked
    assert _say(approver, plant, "checked", 0, 1).status_code == 302
    assert _say(approver, plant, "approved", 0, 1).status_code == 302
    assert "Nothing has changed since change 1 was approved" in _page(approver, plant)
    _length(plant, author, "90 m")
    _length(plant, author, "40 m")
    text = _page(approver, plant)
    assert "2 changes since change" in text
    assert "1 record is not as it was" in text
    assert "<td>180 m</td><td>40 m</td>" in text
    assert "90 m</td>" not in text.partition("What they come to")[2]


def test_what_is_as_it_was_again_is_not_told(plant, author, history):
    before = webplants.circuit(plant, TAG)
    _length(plant, author, "90 m")
    assert [one.name for one in history.together(plant, 1)] == [TAG]
    _change(plant, before, "back", author)
    assert history.together(plant, 1) == []
    assert [one.name for one in history.together(plant, 2)] == [TAG]


def test_a_checker_signs_all_but_her_own_and_not_what_came_meanwhile(plant, author, history):
    who = webplants.person(plant, "administrator")
    checker = webplants.client(who)
    _length(plant, author, "90 m")
    _length(plant, who, "80 m")
    _length(plant, author, "70 m")
    assert "1 change of your own is for another person" in _page(checker, plant)
    assert _say(checker, plant, "checked", 1, 3).status_code == 302
    said = [history.standing(one) for one in history.since(plant, 0)]
    assert said == ["waits", "checked", "waits", "waits"]
    text = unescape(checker.get(reverse("changes", args=[plant.slug])).text)
    assert "3 not checked, 1 checked" in text


def test_changes_are_sent_back_with_a_remark_only_and_the_engineer_sees_it(plant, author):
    checker = webplants.client(webplants.person(plant, "checker"))
    _length(plant, author, "90 m")
    answer = _say(checker, plant, "sent back", 1, 2)
    assert answer.status_code == 422
    assert "wants a remark" in unescape(answer.text)
    assert _say(checker, plant, "sent back", 1, 2, "which drawing?").status_code == 302
    engineer = webplants.client(author)
    text = unescape(engineer.get(reverse("changes", args=[plant.slug])).text)
    assert "1 sent back" in text
    assert "which drawing?" in text
    home = unescape(engineer.get(reverse("plant", args=[plant.slug])).text)
    assert "sent back by a checker" in home


def test_who_changed_something_cannot_issue_it(plant, history):
    who = webplants.person(plant, "administrator")
    other = webplants.client(webplants.person(plant, "checker"))
    _length(plant, who, "90 m")
    _say(other, plant, "checked", 0, 2)
    answer = _say(webplants.client(who), plant, "approved", 0, 2)
    assert answer.status_code == 422
    assert "change 2 is your own" in unescape(answer.text)
    assert history.last_issue(plant) is None


def test_a_checker_does_not_approve_and_a_bad_form_is_told(plant):
    checker = webplants.client(webplants.person(plant, "checker"))
    assert _say(checker, plant, "approved", 0, 1).status_code == 403
    assert _say(checker, plant, "checked", "x", 1).status_code == 422
    assert _say(checker, plant, "well done", 0, 1).status_code == 422
