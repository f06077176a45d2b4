"""People: accounts of the desk, and roles in a plant."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from subspark.desk import openid
from subspark.desk.guard import in_plant, refused, signed_in
from subspark.errors import UsageError
from subspark.store import people
from subspark.store.models import Membership, Person
from subspark.store.people import MAY, ROLES, Access

__all__ = ["active", "email", "everybody", "link", "new", "of_plant", "role", "token"]


def _keeper(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Only for a keeper of the desk."""

    @signed_in
    def wrapped(request: HttpRequest, **named: Any) -> HttpResponse:  # noqa: ANN401
        if not request.user.keeper:
            return refused(request, PermissionError())
        return view(request, **named)

    return wrapped


def _everybody(request: HttpRequest, **more: Any) -> HttpResponse:  # noqa: ANN401
    persons = Person.objects.order_by("name").prefetch_related("memberships__plant", "identities")
    given = {"persons": persons, "provider": openid.provider(), **more}
    return render(request, "desk/everybody.html", given)


@require_safe
@_keeper
def everybody(request: HttpRequest) -> HttpResponse:
    """Every person who may sign in."""
    return _everybody(request)


@require_POST
@_keeper
def new(request: HttpRequest) -> HttpResponse:
    """Make a person, and a link by which she signs in once."""
    person = people.make_person(
        request.POST.get("name", ""),
        " ".join(request.POST.get("full_name", "").split()),
        keeper=request.POST.get("keeper") == "yes",
        email=request.POST.get("email", ""),
    )
    return _everybody(request, invited=person, address=_invitation(request, person))


def _invitation(request: HttpRequest, person: Person) -> str:
    secret = people.invite(person)
    return str(request.build_absolute_uri(reverse("enter", args=[secret])))


@require_POST
@_keeper
def link(request: HttpRequest, number: int) -> HttpResponse:
    """A new link by which a person signs in once."""
    person = get_object_or_404(Person, pk=number, is_active=True)
    return _everybody(request, invited=person, address=_invitation(request, person))


@require_POST
@_keeper
def email(request: HttpRequest, number: int) -> HttpResponse:
    """Set a person's e-mail address, by which an OpenID provider first tells who she is."""
    people.set_email(get_object_or_404(Person, pk=number), request.POST.get("email", ""))
    return redirect("everybody")


@require_POST
@_keeper
def active(request: HttpRequest, number: int) -> HttpResponse:
    """Let a person in no more, or again."""
    person = get_object_or_404(Person, pk=number)
    if person.pk == request.user.pk:
        raise UsageError("nobody shuts herself out; another keeper can")
    person.is_active = request.POST.get("active") == "yes"
    person.save(update_fields=["is_active"])
    return redirect("everybody")


def _of_plant(request: HttpRequest, access: Access, **more: Any) -> HttpResponse:  # noqa: ANN401
    rows = Membership.objects.filter(plant=access.plant).select_related("person")
    given = {
        "rows": rows.order_by("person__name"),
        "roles": [(name, sorted(MAY[name])) for name in ROLES],
        "tokens": request.user.tokens.filter(plant=access.plant),
        **more,
    }
    if access.may("manage"):
        taken = rows.values_list("person", flat=True)
        given["others"] = Person.objects.filter(is_active=True).exclude(pk__in=taken)
    return render(request, "desk/people.html", given)


@require_safe
@in_plant()
def of_plant(request: HttpRequest, access: Access) -> HttpResponse:
    """Who may do what in the plant."""
    return _of_plant(request, access)


@require_POST
@in_plant("manage")
def role(request: HttpRequest, access: Access) -> HttpResponse:
    """Give a person a role, or take it away."""
    number = request.POST.get("person", "")
    person = get_object_or_404(Person, pk=int(number) if number.isdecimal() else 0)
    people.set_role(access.plant, person, request.POST.get("role", ""))
    return redirect("people", slug=access.plant.slug)


@require_POST
@in_plant()
def token(request: HttpRequest, access: Access) -> HttpResponse:
    """A token for programs, in this person's name and for this plant only."""
    made, secret = people.make_token(request.user, access.plant, request.POST.get("title", ""))
    return _of_plant(request, access, made=made, secret=secret)
