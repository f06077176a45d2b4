"""Signing in through an OpenID provider, against a small one that these tests start."""

from __future__ import annotations

import itertools
from urllib.parse import parse_qs, urlencode, urlsplit

import pytest
from django.test import override_settings
from django.urls import reverse

import webplants
import webprovider
from subspark.errors import UsageError

pytest.importorskip("authlib", reason="the extra openid is not installed")

_NUMBER = itertools.count(1)


@pytest.fixture
def provider():
    from subspark.desk import openid as ours
    from subspark.desk.provider import Provider
    from subspark.store.models import Attempt

    ours._client.cache_clear()
    Attempt.objects.all().delete()
    with webprovider.serving() as found:
        known = Provider(found.issuer, webprovider.CLIENT, "a secret")
        with override_settings(SUBSPARK_OPENID=known):
            yield found
    Attempt.objects.all().delete()


@pytest.fixture
def ana(provider):
    """Somebody whom a keeper has entered with her address."""
    from subspark.store import people

    number = next(_NUMBER)
    made = people.make_person(f"ana-{number}", email=f"Ana{number}@works.example")
    provider.person = {
        "sub": f"s-{number}",
        "email": f"ana{number}@WORKS.example",
        "email_verified": True,
    }
    return made


def _sent_off(browser, after="/help"):
    answer = browser.get(f"{reverse('openid')}?{urlencode({'next': after})}")
    assert answer.status_code == 302, answer.content
    return answer.headers["Location"]


def _returned(provider, address):
    """Sign in at the provider; the way back, as a browser would ask it."""
    given = {name: values[0] for name, values in parse_qs(urlsplit(address).query).items()}
    back = urlsplit(provider.authorize(given))
    return f"{back.path}?{back.query}"


def _signed_in(browser):
    return browser.get(reverse("account")).status_code == 200


def _through(browser, provider):
    return browser.get(_returned(provider, _sent_off(browser)))


def test_somebody_who_was_entered_signs_in_by_code_with_pkce(provider, ana):
    browser = webplants.client()
    page = browser.get(f"{reverse('sign-in')}?next=/help")
    assert urlsplit(provider.issuer).netloc in page.content.decode()
    address = _sent_off(browser)
    asked = {name: values[0] for name, values in parse_qs(urlsplit(address).query).items()}
    assert address.startswith(f"{provider.issuer}/authorize?")
    assert asked["response_type"] == "code"
    assert asked["code_challenge_method"] == "S256"
    assert asked["client_id"] == webprovider.CLIENT
    assert asked["redirect_uri"] == "http://testserver/sign-in/openid/back"
    assert len(asked["state"]) >= 20
    assert len(asked["nonce"]) >= 16
    assert not _signed_in(browser)
    answer = browser.get(_returned(provider, address))
    assert (answer.status_code, answer.headers["Location"]) == (302, "/help")
    assert ana.name in browser.get(reverse("account")).content.decode()
    assert list(ana.identities.values_list("subject", flat=True)) == [provider.person["sub"]]


def test_she_is_known_by_her_subject_from_then_on(provider, ana):
    from subspark.store import people

    _through(webplants.client(), provider)
    other = people.make_person(f"bo-{ana.name}", email="bo@works.example")
    provider.person |= {"email": "bo@works.example", "email_verified": False}
    browser = webplants.client()
    _through(browser, provider)
    assert ana.name in browser.get(reverse("account")).content.decode()
    assert not other.identities.exists()
    people.set_email(other, "")


def test_roles_stay_those_of_the_desk(provider, ana):
    from subspark.store import people

    plant = webplants.stored()
    provider.person |= {"roles": ["administrator"], "groups": ["keeper"]}
    browser = webplants.client()
    _through(browser, provider)
    assert browser.get(reverse("plant", args=[plant.slug])).status_code == 404
    assert browser.get(reverse("everybody")).status_code == 403
    people.set_role(plant, ana, "reader")
    assert browser.get(reverse("plant", args=[plant.slug])).status_code == 200
    assert browser.get(reverse("import", args=[plant.slug])).status_code == 403


@pytest.mark.parametrize(
    "lie",
    [
        *("signature", "unsigned", "public key as secret", "issuer", "audience", "audiences"),
        *("no audience", "nonce", "no nonce", "expired", "no subject", "no token"),
    ],
)
@pytest.mark.usefixtures("ana")
def test_a_token_that_does_not_hold_signs_nobody_in(provider, lie, caplog):
    provider.lie = lie
    browser = webplants.client()
    answer = _through(browser, provider)
    assert answer.status_code == 401
    assert "nobody was signed in" in answer.content.decode()
    assert "sign-in refused" in caplog.text
    assert not _signed_in(browser)
    provider.lie = ""
    assert _through(browser, provider).status_code == 302  # it was the lie, and nothing else


@pytest.mark.usefixtures("ana")
def test_a_provider_that_calls_itself_otherwise_is_not_used(provider):
    provider.lie = "name"
    answer = webplants.client().get(reverse("openid"))
    assert answer.status_code == 401
    assert "Location" not in answer.headers


@pytest.mark.usefixtures("ana")
def test_a_provider_that_does_not_answer_is_one_clear_line():
    from subspark.desk import openid as ours
    from subspark.desk.provider import Provider

    ours._client.cache_clear()
    with webprovider.serving() as gone:
        issuer = gone.issuer
    with override_settings(SUBSPARK_OPENID=Provider(issuer, webprovider.CLIENT)):
        answer = webplants.client().get(reverse("openid"))
    assert answer.status_code == 401
    assert "Try once more" in answer.content.decode()


@pytest.mark.usefixtures("ana")
def test_the_state_must_be_that_of_this_browser_and_serves_once(provider):
    first, second = webplants.client(), webplants.client()
    back = _returned(provider, _sent_off(first))
    _sent_off(second)
    assert second.get(back).status_code == 401
    assert not _signed_in(second)
    assert first.get(back).status_code == 302
    assert webplants.client().get(back).status_code == 401
    first.post(reverse("sign-out"))
    assert first.get(back).status_code == 401
    assert not _signed_in(first)


@pytest.mark.usefixtures("ana")
def test_a_code_with_another_verifier_is_refused_by_the_provider(provider):
    browser = webplants.client()
    back = _returned(provider, _sent_off(browser))
    for asked in provider.codes.values():
        asked["code_challenge"] = "of-somebody-else"
    assert browser.get(back).status_code == 401


@pytest.mark.parametrize(
    ("claims", "told"),
    [
        ({"email_verified": False}, "is verified"),
        ({"email_verified": "true"}, "is verified"),
        ({"email_verified": None}, "is verified"),
        ({"email": ""}, "is verified"),
        ({"email": "nobody@works.example"}, "nobody here has the address"),
    ],
)
def test_who_is_not_meant_is_told_so_and_no_account_is_made(provider, ana, claims, told):
    from subspark.store.models import Person

    provider.person |= claims
    before = Person.objects.count()
    browser = webplants.client()
    answer = _through(browser, provider)
    assert answer.status_code == 403
    assert told in answer.content.decode().lower()
    assert Person.objects.count() == before
    assert not ana.identities.exists()
    assert not _signed_in(browser)


@pytest.mark.usefixtures("ana")
def test_an_account_is_not_taken_over_by_another_subject_of_its_address(provider):
    _through(webplants.client(), provider)
    provider.person |= {"sub": "somebody-else"}
    answer = _through(webplants.client(), provider)
    assert answer.status_code == 403
    assert "bound to another sign-in" in answer.content.decode()


def test_who_is_shut_out_stays_out_and_another_address_unbinds(provider, ana):
    from subspark.store import people

    _through(webplants.client(), provider)
    ana.is_active = False
    ana.save()
    assert _through(webplants.client(), provider).status_code == 403
    ana.is_active = True
    ana.save()
    people.set_email(ana, f"ana.new@{ana.name}.example")
    answer = _through(webplants.client(), provider)
    assert answer.status_code == 403
    assert "nobody here has the address" in answer.content.decode().lower()


def test_two_people_have_no_address_in_common(ana):
    from subspark.store import people

    other = people.make_person(f"other-{ana.name}")
    with pytest.raises(UsageError, match="somebody else has it"):
        people.set_email(other, ana.email.upper())
    with pytest.raises(UsageError, match="wanted an address"):
        people.set_email(other, "no address")


@pytest.mark.usefixtures("ana")
def test_starts_that_come_to_nothing_are_throttled_and_those_that_succeed_are_not(provider):
    for _ in range(3):
        browser = webplants.client()
        assert _through(browser, provider).status_code == 302
    from subspark.store.models import Attempt

    assert not Attempt.objects.exists()
    browser = webplants.client()
    statuses = [browser.get(reverse("openid")).status_code for _ in range(41)]
    assert statuses == [302] * 40 + [429]
    assert browser.get(f"{reverse('openid-back')}?code=a&state=b").status_code == 429


def test_misses_of_no_name_elsewhere_do_not_shut_the_provider_out(provider, ana):
    from subspark.store import people

    for _ in range(10):
        people.missed("", "192.0.2.1")
    assert _through(webplants.client(), provider).status_code == 302
    assert ana.identities.exists()


@pytest.mark.usefixtures("ana")
def test_pages_hold_to_the_policy_and_nothing_is_asked_before_somebody_asks(provider):
    page = webplants.client().get(reverse("sign-in"))
    assert page.headers["Content-Security-Policy"].startswith("default-src 'self'; ")
    assert "form-action 'self'" in page.headers["Content-Security-Policy"]
    assert provider.issuer not in page.headers["Content-Security-Policy"]
    assert provider.issuer not in page.content.decode()
    assert provider.asked == []


def test_where_no_provider_is_named_there_is_no_such_door():
    browser = webplants.client()
    assert browser.get(reverse("openid")).status_code == 404
    assert browser.get(reverse("openid-back")).status_code == 404
    assert "sign-in/openid" not in browser.get(reverse("sign-in")).content.decode()


@pytest.mark.usefixtures("ana")
def test_an_address_onward_to_another_host_is_not_followed(provider):
    browser = webplants.client()
    address = _sent_off(browser, "https://another.example/")
    assert browser.get(_returned(provider, address)).headers["Location"] == "/"


@pytest.mark.parametrize(
    ("issuer", "client", "told"),
    [
        ("http://works.example", "a", "wanted https"),
        ("works.example", "a", "wanted an address"),
        ("https://works.example/?a=b", "a", "wanted an address"),
        ("https://works.example", "", "wants the client"),
    ],
)
def test_a_provider_that_is_named_wrongly_is_refused_at_the_start(issuer, client, told):
    from subspark.desk.provider import Provider

    with pytest.raises(UsageError, match=told):
        Provider(issuer, client)


@pytest.mark.usefixtures("provider")
def test_a_keeper_enters_and_changes_an_address():
    from subspark.store.models import Person

    browser = webplants.client(webplants.person(keeper=True))
    name = f"cy-{next(_NUMBER)}"
    browser.post(reverse("person-new"), {"name": name, "email": f"{name}@works.example"})
    made = Person.objects.get(name=name)
    assert made.email == f"{name}@works.example"
    browser.post(reverse("person-email", args=[made.pk]), {"email": f"c@{name}.example"})
    made.refresh_from_db()
    assert made.email == f"c@{name}.example"
    assert f"c@{name}.example" in browser.get(reverse("everybody")).content.decode()
