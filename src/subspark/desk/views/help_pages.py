"""Help in place: rules, fields, cautions, and a walk through the demo plant."""

from __future__ import annotations

from pathlib import Path

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from subspark.desk import fonts, pictures
from subspark.desk.guard import signed_in
from subspark.exchange.layout import COLUMNS
from subspark.rules import CODES, RULES, code
from subspark.store.kinds import KINDS

__all__ = ["api_page", "cautions", "drawing_style", "fields", "font", "index", "rules", "walk"]


@require_safe
@signed_in
def index(request: HttpRequest) -> HttpResponse:
    """Where help is."""
    return render(request, "desk/help.html", {})


@require_safe
@signed_in
def rules(request: HttpRequest) -> HttpResponse:
    """Every rule: what it says, its relation, its clauses, what to do where it fails."""
    listed = [
        (one, [(edition.title, edition.clause(one.name)) for edition in map(code, CODES)])
        for one in RULES
    ]
    return render(request, "desk/help_rules.html", {"rules": listed})


@require_safe
@signed_in
def fields(request: HttpRequest) -> HttpResponse:
    """Every field: what it means, and in which unit a bare number is."""
    nouns = {one.record: one.noun for one in KINDS.values()}
    listed = [
        (nouns.get(record, record.__name__), [one for one in columns if one.note])
        for record, columns in COLUMNS.items()
    ]
    return render(request, "desk/help_fields.html", {"records": listed})


@require_safe
@signed_in
def walk(request: HttpRequest) -> HttpResponse:
    """The first use, in a few steps."""
    return render(request, "desk/help_walk.html", {})


@require_safe
@signed_in
def cautions(request: HttpRequest) -> HttpResponse:
    """What decides, and what Subspark must never do."""
    return render(request, "desk/cautions.html", {})


@require_safe
def drawing_style(request: HttpRequest) -> HttpResponse:  # noqa: ARG001 - the same for all
    """The style of drawings, the same for all."""
    response = HttpResponse(pictures.style(), content_type="text/css")
    response.headers["Cache-Control"] = "max-age=3600"
    return response


@require_safe
def font(request: HttpRequest, name: str) -> HttpResponse:  # noqa: ARG001 - the same for all
    """A font of the pages, the same for all."""
    if name not in fonts.FONTS:
        raise Http404
    try:
        data = fonts.made(name, Path(settings.SUBSPARK_FOLDER) / "fonts")
    except fonts.NotThereError as error:
        raise Http404 from error
    response = HttpResponse(data, content_type="font/woff")
    response.headers["Cache-Control"] = "max-age=604800"
    return response


@require_safe
@signed_in
def api_page(request: HttpRequest) -> HttpResponse:
    """The API in words, made from its own description."""
    from subspark.desk.api import api

    schema = api.get_openapi_schema()
    listed = [
        (verb.upper(), address, told)
        for address, verbs in schema["paths"].items()
        for verb, told in verbs.items()
    ]
    return render(request, "desk/help_api.html", {"operations": listed})
