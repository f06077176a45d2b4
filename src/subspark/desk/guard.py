"""At the door: headers of every answer, who may see what, and errors as one clear page."""

from __future__ import annotations

import functools
import logging
from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.contrib.auth.views import redirect_to_login
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django_htmx.http import HttpResponseClientRedirect

from subspark import __version__
from subspark.errors import SubsparkError
from subspark.store.people import Access, access

__all__ = ["csrf_failed", "errors", "everywhere", "headers", "in_plant", "signed_in"]

POLICY = (
    "default-src 'self'; img-src 'self' data:; object-src 'none'; base-uri 'none'; "
    "form-action 'self'; frame-ancestors 'none'"
)
"""What a page may load: its own files only. No script or style stands in a page itself."""

_LOG = logging.getLogger("subspark.desk")
View = Callable[..., HttpResponse]


def headers(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[..., HttpResponse]:
    """Put the security headers on every answer."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response.headers.setdefault("Content-Security-Policy", POLICY)
        response.headers.setdefault("X-Frame-Options", "DENY")
        response.headers.setdefault(
            "Permissions-Policy", "camera=(), geolocation=(), microphone=(), payment=()"
        )
        response.headers.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        if not request.path.startswith(settings.STATIC_URL):
            response.headers.setdefault("Cache-Control", "no-store")
        return response

    return middleware


def errors(get_response: Callable[[HttpRequest], HttpResponse]) -> Any:  # noqa: ANN401 - middleware
    """Tell what is wrong with input on a page; an error of ours is logged and told as such."""
    return _Errors(get_response)


_FORMS = ("application/x-www-form-urlencoded", "multipart/form-data")


def _has_null(request: HttpRequest) -> bool:
    """Whether a text of a request holds the null character, which no database keeps."""
    texts = [request.path, *request.GET.values()]
    if request.method == "POST" and request.content_type in _FORMS:
        texts += [*request.POST.keys(), *request.POST.values()]
    return any("\x00" in text for text in texts)


class _Errors:
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if _has_null(request):
            return bad(request, ValueError())
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        if isinstance(error, SubsparkError):
            return told(request, "That cannot be done", str(error), 422)
        return None


def told(request: HttpRequest, title: str, message: str, status: int) -> HttpResponse:
    """A page that says one thing."""
    return render(request, "desk/told.html", {"title": title, "message": message}, status=status)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:  # noqa: ARG001 - Django
    """The page of what is not there, or not for this person: the same, so that nothing leaks."""
    return told(request, "Not here", "There is nothing under this address that you may see.", 404)


def failed(request: HttpRequest) -> HttpResponse:
    """The page of an error of ours."""
    return told(
        request,
        "An error of Subspark itself",
        "Nothing was saved. Please report what you did; the log of the server says where.",
        500,
    )


def refused(request: HttpRequest, exception: Exception) -> HttpResponse:  # noqa: ARG001 - Django
    """The page of a request that is refused."""
    return told(request, "Not permitted", "Your role does not permit this.", 403)


def bad(request: HttpRequest, exception: Exception) -> HttpResponse:  # noqa: ARG001 - Django
    """The page of a request that cannot be read."""
    return told(request, "Not understood", "This request could not be read.", 400)


def csrf_failed(request: HttpRequest, reason: str = "") -> HttpResponse:  # noqa: ARG001 - Django
    """The page of a form that does not come from a page of ours."""
    message = "This form is out of date, or was not sent by this desk. Open the page anew."
    return told(request, "Not taken", message, 403)


def signed_in(view: View) -> View:
    """Only for those who have signed in."""

    @functools.wraps(view)
    def wrapped(request: HttpRequest, *args: Any, **named: Any) -> HttpResponse:  # noqa: ANN401
        if request.user.is_authenticated:
            return view(request, *args, **named)
        if getattr(request, "htmx", False):
            return HttpResponseClientRedirect(reverse("sign-in"))
        answer: HttpResponse = redirect_to_login(request.get_full_path())
        return answer

    return wrapped


def in_plant(may: str = "read") -> Callable[[View], View]:
    """Only for those who may do that in the plant of the address.

    Who has no part in the plant is told that there is nothing, as if there were no such plant.
    """

    def decorate(view: View) -> View:
        @functools.wraps(view)
        @signed_in
        def wrapped(request: HttpRequest, slug: str, **named: Any) -> HttpResponse:  # noqa: ANN401
            found = access(request.user, slug)
            if found is None:
                raise Http404
            request.access = found
            if not found.may(may):
                return refused(request, PermissionError())
            return view(request, found, **named)

        wrapped.may = may  # type: ignore[attr-defined]
        return wrapped

    return decorate


_TABS = {
    "plant": "plant",
    "plant-head": "plant",
    "register": "circuits",
    "circuit": "circuits",
    "choose": "choose",
    "choose-seen": "choose",
    "changes": "changes",
    "change": "changes",
    "changes-since": "changes",
    "inspections": "inspections",
    "inspection": "inspections",
    "papers": "papers",
    "people": "people",
    "import": "import",
    "import-seen": "import",
    "export": "export",
}
"""The tab that each page stands under; those of records go by their kind."""


def everywhere(request: HttpRequest) -> dict[str, Any]:
    """What every page knows: where it is, and what this person may do there."""
    found: Access | None = getattr(request, "access", None)
    rights = (
        {}
        if found is None
        else {what: found.may(what) for what in ("change", "check", "approve", "inspect", "manage")}
    )
    return {
        "version": __version__,
        "access": found,
        "plant": None if found is None else found.plant,
        "may": rights,
        "tab": _TABS.get(getattr(request.resolver_match, "url_name", None) or "", ""),
        "htmx_settings": _HTMX,
    }


_HTMX = (
    '{"includeIndicatorStyles": false, "allowEval": false, "selfRequestsOnly": true, '
    '"historyCacheSize": 0, "refreshOnHistoryMiss": true, "defaultSettleDelay": 0, '
    '"responseHandling": [{"code": "204", "swap": false}, {"code": "[23]..", "swap": true}, '
    '{"code": "422", "swap": true}, {"code": "409", "swap": true}, '
    '{"code": "[45]..", "swap": false, "error": true}]}'
)
"""htmx without eval and without a style of its own, as the content policy wants it."""
