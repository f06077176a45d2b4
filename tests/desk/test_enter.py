"""The door: links, passwords, cookies, headers; what is refused is refused in plain words."""

from __future__ import annotations

import re

import pytest
from django.urls import reverse

import webplants


@pytest.fixture(scope="module")
def plant():
    return webplants.stored()


def test_who_is_not_signed_in_is_led_to_the_door(plant):
    answer = webplants.client().get(reverse("plant", args=[plant.slug]))
    assert answer.status_code == 302
    assert answer["Location"].startswith(reverse("sign-in"))


def test_a_link_asks_first_and_then_signs_in_once():
    from subspark.store import people

    someone = webplants.person()
    address = reverse("enter", args=[people.invite(someone)])
    assert "once" in webplants.client().get(address).text  # a preview does not use it up
    first = webplants.client()
    assert first.post(address).status_code == 302
    assert first.get(reverse("account")).status_code == 200
    answer = webplants.client().post(address)
    assert answer.status_code == 410
    assert "used already" in answer.text


def test_name_and_password_sign_in_and_lead_onward_within_the_desk_only():
    from subspark.store import people

    someone = webplants.person()
    people.set_password(someone, "a long enough sentence")
    given = {"name": someone.name.upper(), "password": "a long enough sentence"}
    answer = webplants.client().post(reverse("sign-in"), {**given, "next": "/account"})
    assert answer["Location"] == "/account"
    answer = webplants.client().post(reverse("sign-in"), {**given, "next": "//elsewhere.example"})
    assert answer["Location"] == "/"


def test_a_wrong_password_is_told_without_saying_which_part_is_wrong_and_then_throttled():
    from subspark.store import people

    someone = webplants.person()
    people.set_password(someone, "a long enough sentence")
    said = set()
    for name in (someone.name, "nobody of that name"):
        answer = webplants.client().post(reverse("sign-in"), {"name": name, "password": "x"})
        assert answer.status_code == 401
        said.add(re.search(r'class="problem"[^>]*>([^<]+)', answer.text)[1])
    assert len(said) == 1
    for _ in range(8):
        webplants.client().post(reverse("sign-in"), {"name": someone.name, "password": "x"})
    right = {"name": someone.name, "password": "a long enough sentence"}
    assert webplants.client().post(reverse("sign-in"), right).status_code == 429


def test_cookies_and_headers_keep_the_page_to_itself(plant):
    from subspark.store import people

    someone = webplants.person(plant, "reader")
    browser = webplants.client()
    answer = browser.post(reverse("enter", args=[people.invite(someone)]))
    cookie = answer.cookies["subspark"]
    assert cookie["httponly"]
    assert cookie["samesite"] == "Lax"
    assert 0 < cookie["max-age"] <= 12 * 3600
    page = browser.get(reverse("plant", args=[plant.slug]))
    policy = page["Content-Security-Policy"]
    assert "default-src 'self'" in policy
    assert "unsafe" not in policy
    assert page["X-Frame-Options"] == "DENY"
    assert page["X-Content-Type-Options"] == "nosniff"
    assert page["Referrer-Policy"] == "same-origin"
    assert page["Cache-Control"] == "no-store"


def test_no_page_has_a_script_or_style_in_itself(plant):
    someone = webplants.person(plant, "administrator")
    browser = webplants.client(someone)
    for name in ("plant", "register", "changes", "people", "import", "export"):
        text = browser.get(reverse(name, args=[plant.slug])).text
        assert not re.search(r"<script(?![^>]*\ssrc=)|<style|\sstyle=|\son\w+=", text), name
        hosts = re.findall(r'(?:src|href|action)="(?:https?:)?//([^/"]+)', text)
        assert not hosts, name


def test_a_form_without_its_secret_is_not_taken(plant):
    from django.test import Client

    browser = Client(enforce_csrf_checks=True)
    browser.force_login(webplants.person(plant, "engineer"))
    answer = browser.post(
        reverse("circuit-save", args=[plant.slug, "AT-4091"]), {"why": "from elsewhere"}
    )
    assert answer.status_code == 403
    assert "out of date" in answer.text


def test_a_password_is_changed_only_by_who_knows_the_old_one():
    from subspark.store import people

    someone = webplants.person()
    people.set_password(someone, "a long enough sentence")
    browser = webplants.client(someone)
    fresh = {"new": "another long sentence", "again": "another long sentence"}
    assert "not right" in browser.post(reverse("password"), {"old": "guess", **fresh}).text
    given = {"old": "a long enough sentence", **fresh}
    assert "changed" in browser.post(reverse("password"), given).text
    assert browser.get(reverse("account")).status_code == 200  # still signed in
    someone.refresh_from_db()
    assert someone.check_password("another long sentence")


def test_who_is_shut_out_is_out_at_once(plant):
    someone = webplants.person(plant, "engineer")
    browser = webplants.client(someone)
    assert browser.get(reverse("plant", args=[plant.slug])).status_code == 200
    someone.is_active = False
    someone.save()
    assert browser.get(reverse("plant", args=[plant.slug])).status_code == 302
