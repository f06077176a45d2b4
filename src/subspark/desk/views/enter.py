"""Signing in and out, and one's own account."""

from __future__ import annotations

import logging

from django.contrib.auth import authenticate, login, logout, update_session_auth_hash
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST, require_safe

from subspark.desk import openid
from subspark.desk.guard import signed_in, told
from subspark.errors import UsageError
from subspark.store import people
from subspark.store.models import Token

__all__ = [
    "account",
    "by_link",
    "by_openid",
    "end_token",
    "from_openid",
    "password",
    "sign_in",
    "sign_out",
]

_LOG = logging.getLogger("subspark.openid")
_MISSES = "Too many attempts. Wait a quarter of an hour, or ask for a sign-in link."

_BACKEND = "django.contrib.auth.backends.ModelBackend"


def _place(request: HttpRequest) -> str:
    return str(request.META.get("REMOTE_ADDR", ""))


def _onward(request: HttpRequest) -> str:
    """Where to go after signing in: an address of this desk, or the start."""
    after = request.POST.get("next") or request.GET.get("next") or ""
    fine = url_has_allowed_host_and_scheme(after, {request.get_host()}, request.is_secure())
    return after if fine else "/"


def sign_in(request: HttpRequest) -> HttpResponse:
    """Sign in by name and password; too many misses close the door for a quarter of an hour."""
    if request.user.is_authenticated and request.method != "POST":
        return redirect(_onward(request))
    problem = ""
    name = " ".join(request.POST.get("name", "").split())[:150]
    if request.method == "POST":
        place = _place(request)
        if people.locked_out(name, place):
            return _door(request, _MISSES, name, 429)
        person = authenticate(request, username=name, password=request.POST.get("password", ""))
        if person is not None:
            people.forget_misses(name)
            login(request, person)
            return redirect(_onward(request))
        people.missed(name, place)
        problem = "Name or password is not right."
    return _door(request, problem, name, 401 if problem else 200)


def _door(request: HttpRequest, problem: str, name: str = "", status: int = 200) -> HttpResponse:
    given = {
        "problem": problem,
        "name": name,
        "next": _onward(request),
        "provider": openid.provider(),
    }
    return render(request, "desk/sign_in.html", given, status=status)


@require_safe
def by_openid(request: HttpRequest) -> HttpResponse:
    """Send somebody to the OpenID provider; each start that comes to nothing counts as a miss."""
    known = openid.provider()
    if known is None:
        raise Http404
    place = _place(request)
    if people.crowded(place):
        return _door(request, _MISSES, status=429)
    try:
        answer = openid.begin(request, known, request.build_absolute_uri(reverse("openid-back")))
    except openid.RefusedError as error:
        return _refused(request, error)
    people.missed(_attempt(openid.state_of(answer)), place)
    request.session[_AFTER] = _onward(request)
    return answer


_AFTER = "openid-after"


def _attempt(state: str) -> str:
    """The name of an attempt through a provider."""
    return f"openid:{state}"[:150]


def _refused(request: HttpRequest, error: openid.RefusedError) -> HttpResponse:
    _LOG.warning("sign-in refused: %s", error)
    problem = "Your provider's answer could not be used, and nobody was signed in. Try once more."
    return _door(request, problem, status=401)


@require_safe
def from_openid(request: HttpRequest) -> HttpResponse:
    """Sign in whom the OpenID provider has sent back."""
    known = openid.provider()
    if known is None:
        raise Http404
    if people.crowded(_place(request)):
        return _door(request, _MISSES, status=429)
    after = request.session.get(_AFTER, "/")
    try:
        person = openid.finish(request, known)
    except openid.RefusedError as error:
        return _refused(request, error)
    except UsageError as error:
        return told(
            request, "Nobody was signed in", f"{str(error)[:1].upper()}{str(error)[1:]}.", 403
        )
    people.forget_misses(_attempt(request.GET.get("state", "")))
    login(request, person, backend=_BACKEND)
    return redirect(after)


def by_link(request: HttpRequest, secret: str) -> HttpResponse:
    """Sign in by a link that serves once. The page asks, so that a preview does not use it up."""
    if request.method != "POST":
        return render(request, "desk/enter.html", {"secret": secret})
    person = people.redeem(secret)
    if person is None:
        message = "This link was used already, is too old, or was never given out. Ask for another."
        return told(request, "This link does not open", message, 410)
    login(request, person, backend=_BACKEND)
    return redirect("start")


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """Sign out."""
    logout(request)
    return redirect("sign-in")


@require_safe
@signed_in
def account(request: HttpRequest) -> HttpResponse:
    """One's own account: password, tokens, plants."""
    return _account(request)


def _account(request: HttpRequest, problem: str = "", saved: str = "") -> HttpResponse:
    given = {
        "problem": problem,
        "saved": saved,
        "own": people.plants_of(request.user),
        "tokens": request.user.tokens.select_related("plant"),
        "has_password": request.user.has_usable_password(),
    }
    return render(request, "desk/account.html", given, status=422 if problem else 200)


@require_POST
@signed_in
def password(request: HttpRequest) -> HttpResponse:
    """Set one's own password."""
    person = request.user
    if person.has_usable_password() and not person.check_password(request.POST.get("old", "")):
        people.missed(person.name, _place(request))
        return _account(request, "The old password is not right.")
    fresh = request.POST.get("new", "")
    if fresh != request.POST.get("again", ""):
        return _account(request, "The two new passwords are not the same.")
    try:
        people.set_password(person, fresh)
    except UsageError as error:
        return _account(request, str(error))
    update_session_auth_hash(request, person)
    return _account(request, saved="Password changed.")


@require_POST
@signed_in
def end_token(request: HttpRequest, number: int) -> HttpResponse:
    """Make a token of one's own void."""
    get_object_or_404(Token, pk=number, person=request.user).delete()
    return redirect("account")
