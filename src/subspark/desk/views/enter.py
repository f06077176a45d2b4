"""Signing in and out, and one's own account."""

from __future__ import annotations

from django.contrib.auth import authenticate, login, logout, update_session_auth_hash
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST, require_safe

from subspark.desk.guard import signed_in, told
from subspark.errors import UsageError
from subspark.store import people
from subspark.store.models import Token

__all__ = ["account", "by_link", "end_token", "password", "sign_in", "sign_out"]

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
            problem = "Too many attempts. Wait a quarter of an hour, or ask for a sign-in link."
            return render(
                request, "desk/sign_in.html", {"problem": problem, "name": name}, status=429
            )
        person = authenticate(request, username=name, password=request.POST.get("password", ""))
        if person is not None:
            people.forget_misses(name)
            login(request, person)
            return redirect(_onward(request))
        people.missed(name, place)
        problem = "Name or password is not right."
    return render(
        request,
        "desk/sign_in.html",
        {"problem": problem, "name": name, "next": _onward(request)},
        status=401 if problem else 200,
    )


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
