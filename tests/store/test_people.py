"""Who gets in, and what she may do."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

import webplants
from subspark.errors import UsageError


@pytest.fixture(scope="module")
def plant():
    return webplants.stored()


def test_a_link_lets_in_once():
    from subspark.store import people

    someone = webplants.person()
    secret = people.invite(someone)
    assert people.redeem(secret) == someone
    assert people.redeem(secret) is None
    assert people.redeem("never given out") is None


def test_a_link_grows_old():
    from subspark.store import people

    someone = webplants.person()
    assert people.redeem(people.invite(someone, timedelta(seconds=-1))) is None


def test_who_was_shut_out_gets_in_by_nothing(plant):
    from subspark.store import people

    someone = webplants.person(plant, "engineer")
    link = people.invite(someone)
    _, token = people.make_token(someone, plant, "a script")
    assert people.person_of_token(token) == (someone, plant)
    someone.is_active = False
    someone.save()
    assert people.redeem(link) is None
    assert people.person_of_token(token) is None


def test_secrets_are_not_kept(plant):
    from subspark.store import people
    from subspark.store.models import SignIn, Token

    someone = webplants.person(plant, "reader")
    link = people.invite(someone)
    token, secret = people.make_token(someone, plant, "a script")
    assert link not in str(SignIn.objects.filter(person=someone).values())
    assert secret not in str(Token.objects.filter(pk=token.pk).values())


def test_a_token_grows_old_and_ends_with_the_role(plant):
    from subspark.store import people
    from subspark.store.models import Token

    someone = webplants.person(plant, "reader")
    token, secret = people.make_token(someone, plant, "a script")
    people.set_role(plant, someone, "")
    assert people.person_of_token(secret) is None
    people.set_role(plant, someone, "reader")
    token, secret = people.make_token(someone, plant, "a script")
    Token.objects.filter(pk=token.pk).update(until=timezone.now())
    assert people.person_of_token(secret) is None


def test_names_differ_by_more_than_capitals():
    from subspark.store import people

    name = webplants.person().name
    with pytest.raises(UsageError, match="already"):
        people.make_person(name.upper())


@pytest.mark.parametrize("password", ["short", "password123", "1234567890"])
def test_a_password_that_is_easily_guessed_is_refused(password):
    from subspark.store import people

    with pytest.raises(UsageError):
        people.set_password(webplants.person(), password)


def test_passwords_are_kept_by_argon2():
    from subspark.store import people

    someone = webplants.person()
    people.set_password(someone, "a long enough sentence")
    assert someone.password.startswith("argon2$argon2id$")


def test_a_plant_is_reached_only_by_a_role_in_it(plant):
    from subspark.store import people

    other = webplants.stored()
    someone = webplants.person(plant, "engineer")
    assert people.access(someone, plant.slug).may("change")
    assert not people.access(someone, plant.slug).may("manage")
    assert people.access(someone, other.slug) is None
    assert people.access(webplants.person(), plant.slug) is None
    assert people.access(webplants.person(keeper=True), other.slug).may("manage")
    with pytest.raises(UsageError):
        people.set_role(plant, someone, "emperor")


def test_too_many_misses_close_the_door_for_that_name_only():
    from subspark.store import people

    someone, other = webplants.person(), webplants.person()
    for _ in range(8):
        assert not people.locked_out(someone.name, "192.0.2.1")
        people.missed(someone.name, "192.0.2.1")
    assert people.locked_out(someone.name.upper(), "192.0.2.2")
    assert not people.locked_out(other.name, "192.0.2.1")
    people.forget_misses(someone.name)
    assert not people.locked_out(someone.name, "192.0.2.1")
