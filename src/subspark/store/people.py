"""People: who may do what in which plant, and how they get in."""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import dataclass
from datetime import timedelta

from django.contrib.auth.hashers import make_password
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import IntegrityError, transaction
from django.utils import timezone

from subspark.errors import UsageError
from subspark.store.models import (
    ROLES,
    Attempt,
    Identity,
    Membership,
    Person,
    PlantRow,
    SignIn,
    Token,
)

__all__ = [
    "MAY",
    "ROLES",
    "Access",
    "access",
    "crowded",
    "first_keeper",
    "invite",
    "locked_out",
    "make_person",
    "make_token",
    "missed",
    "person_of_identity",
    "person_of_token",
    "redeem",
    "set_email",
    "set_password",
    "set_role",
]

MAY: dict[str, frozenset[str]] = {
    "reader": frozenset({"read"}),
    "engineer": frozenset({"read", "change", "inspect"}),
    "checker": frozenset({"read", "check", "inspect"}),
    "approver": frozenset({"read", "check", "approve", "inspect"}),
    "administrator": frozenset({"read", "change", "check", "approve", "inspect", "manage"}),
}
"""What each role may do in its plant."""

LINK_LASTS = timedelta(minutes=30)
TOKEN_LASTS = timedelta(days=365)
_WINDOW = timedelta(minutes=15)
_MOST_NAME = 8
_MOST_PLACE = 40


@dataclass(frozen=True, slots=True)
class Access:
    """What one person may do in one plant."""

    person: Person
    plant: PlantRow
    role: str

    def may(self, what: str) -> bool:
        """Whether the role permits it."""
        return what in MAY.get(self.role, frozenset())


def access(person: Person, slug: str) -> Access | None:
    """The access of a person to a plant; None where there is none, or no such plant."""
    if person.keeper:
        plant = PlantRow.objects.filter(slug=slug).first()
        return None if plant is None else Access(person, plant, "administrator")
    found = (
        Membership.objects.select_related("plant").filter(person=person, plant__slug=slug).first()
    )
    return None if found is None else Access(person, found.plant, found.role)


def plants_of(person: Person) -> list[tuple[PlantRow, str]]:
    """Every plant that a person may see, with the role there."""
    if person.keeper:
        return [(plant, "administrator") for plant in PlantRow.objects.order_by("name")]
    rows = Membership.objects.select_related("plant").filter(person=person)
    return [(one.plant, one.role) for one in rows.order_by("plant__name")]


def make_person(name: str, full_name: str = "", *, keeper: bool = False, email: str = "") -> Person:
    """A new person without a password; a link, a password or an OpenID provider lets her in.

    Raises
    ------
    UsageError
        The name is blank, too long or taken, or the address is none.
    """
    name = " ".join(name.split())
    if not name or len(name) > 150 or not name.isprintable():
        raise UsageError("a person wants a name for signing in, of at most 150 characters")
    if Person.objects.filter(name__iexact=name).exists():
        raise UsageError(f"person {name!r}: there is one of that name already")
    with transaction.atomic():
        person = Person.objects.create(
            name=name, full_name=full_name[:200], keeper=keeper, password=make_password(None)
        )
        set_email(person, email)
    return person


def first_keeper() -> Person:
    """The person for whom a desk is opened on its own machine; made where there is none."""
    found = Person.objects.filter(keeper=True, is_active=True).order_by("pk").first()
    return found or make_person("keeper", "Keeper of the desk", keeper=True)


def set_password(person: Person, password: str) -> None:
    """Set a password.

    Raises
    ------
    UsageError
        It is too easily guessed.
    """
    try:
        validate_password(password, person)
    except ValidationError as error:
        raise UsageError(" ".join(error.messages)) from None
    person.set_password(password)
    person.save(update_fields=["password"])


def set_email(person: Person, email: str) -> None:
    """Set the e-mail address by which a person is first known at an OpenID provider.

    With another address, what is bound at a provider is bound no more.

    Raises
    ------
    UsageError
        It is no address, or that of somebody else.
    """
    email = email.strip()
    if email:
        try:
            validate_email(email)
        except ValidationError:
            raise UsageError(
                f"e-mail {email[:254]!r}: wanted an address such as a@b.example"
            ) from None
    others = Person.objects.exclude(pk=person.pk)
    if len(email) > 254 or (email and others.filter(email__iexact=email).exists()):
        raise UsageError(f"e-mail {email[:254]!r}: somebody else has it, or it is too long")
    if email.lower() == person.email.lower():
        return
    with transaction.atomic():
        Identity.objects.filter(person=person).delete()
        person.email = email
        person.save(update_fields=["email"])


def person_of_identity(issuer: str, subject: str, email: str, *, verified: bool) -> Person:
    """Who an OpenID provider says has signed in: only somebody whom a keeper has entered.

    The first time, the person is found by the e-mail address, which the provider must have
    verified; from then on by the provider's own name of her (its subject), and only by that.

    Raises
    ------
    UsageError
        Nobody here is meant.
    """
    bound = Identity.objects.select_related("person").filter(issuer=issuer, subject=subject).first()
    if bound is not None:
        if not bound.person.is_active:
            raise UsageError("your account here is shut; ask whoever keeps this desk")
        return bound.person
    if not email or not verified:
        raise UsageError("your provider does not say that your e-mail address is verified")
    person = Person.objects.filter(email__iexact=email, is_active=True).first()
    if person is None:
        raise UsageError(f"nobody here has the address {email}; ask whoever keeps this desk")
    try:
        with transaction.atomic():
            Identity.objects.create(person=person, issuer=issuer, subject=subject)
    except IntegrityError:
        raise UsageError(
            f"the account with the address {email} is bound to another sign-in of your provider; "
            "ask whoever keeps this desk"
        ) from None
    return person


def set_role(plant: PlantRow, person: Person, role: str) -> None:
    """Give a person a role in a plant; a blank one takes it away.

    Raises
    ------
    UsageError
        There is no such role.
    """
    if role == "":
        Membership.objects.filter(plant=plant, person=person).delete()
        Token.objects.filter(plant=plant, person=person).delete()
        return
    if role not in ROLES:
        raise UsageError(f"role {role!r}: wanted one of {', '.join(ROLES)}")
    Membership.objects.update_or_create(plant=plant, person=person, defaults={"role": role})


# --- secrets -------------------------------------------------------------------------------------


def _digest(secret: str) -> str:
    return hashlib.sha256(secret.encode("utf-8", "replace")).hexdigest()


def invite(person: Person, lasts: timedelta = LINK_LASTS) -> str:
    """The secret of a link that signs a person in once."""
    secret = secrets.token_urlsafe(32)
    SignIn.objects.create(person=person, digest=_digest(secret), until=timezone.now() + lasts)
    return secret


def redeem(secret: str) -> Person | None:
    """The person of a link, which is used up; None where it is unknown, used or too old."""
    now = timezone.now()
    unused = SignIn.objects.filter(
        digest=_digest(secret), used=None, until__gt=now, person__is_active=True
    )
    if unused.update(used=now) != 1:  # one statement: of two at once, one wins
        return None
    return SignIn.objects.select_related("person").get(digest=_digest(secret)).person


def make_token(person: Person, plant: PlantRow, title: str) -> tuple[Token, str]:
    """A token for programs, and its secret, which is shown once and never again."""
    title = " ".join(title.split())[:80]
    if not title:
        raise UsageError("a token wants a title that says what it is for")
    secret = f"subspark_{secrets.token_urlsafe(32)}"
    token = Token.objects.create(
        person=person,
        plant=plant,
        title=title,
        digest=_digest(secret),
        until=timezone.now() + TOKEN_LASTS,
    )
    return token, secret


def person_of_token(secret: str) -> tuple[Person, PlantRow] | None:
    """Whom a token speaks for, and for which plant; None where it is not valid."""
    now = timezone.now()
    found = (
        Token.objects.select_related("person", "plant")
        .filter(digest=_digest(secret), until__gt=now, person__is_active=True)
        .first()
    )
    if found is None:
        return None
    if found.seen is None or now - found.seen > timedelta(minutes=10):
        Token.objects.filter(pk=found.pk).update(seen=now)
    return found.person, found.plant


# --- the throttle --------------------------------------------------------------------------------


def locked_out(name: str, place: str) -> bool:
    """Whether too many sign-ins have failed of late, for that name or from that place."""
    since = timezone.now() - _WINDOW
    recent = Attempt.objects.filter(at__gt=since)
    if recent.filter(name=name.lower()[:150]).count() >= _MOST_NAME:
        return True
    return crowded(place)


def crowded(place: str) -> bool:
    """Whether too many sign-ins have failed of late from that place, whatever the names."""
    since = timezone.now() - _WINDOW
    recent = Attempt.objects.filter(at__gt=since, place=place[:64])
    return bool(recent.count() >= _MOST_PLACE)


def missed(name: str, place: str) -> None:
    """Note a sign-in that failed."""
    Attempt.objects.filter(at__lt=timezone.now() - _WINDOW * 4).delete()
    Attempt.objects.create(name=name.lower()[:150], place=place[:64])


def forget_misses(name: str) -> None:
    """A sign-in that succeeded clears its name."""
    Attempt.objects.filter(name=name.lower()[:150]).delete()
