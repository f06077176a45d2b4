"""Long work as a page shows it."""

from __future__ import annotations

import json

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from subspark.desk.guard import signed_in
from subspark.store.models import JobRow
from subspark.store.people import access

__all__ = ["job", "stop"]


def _job(request: HttpRequest, number: int) -> JobRow:
    """A job of one's own, or of a plant that one may see."""
    row = JobRow.objects.select_related("plant", "person").filter(pk=number).first()
    if row is None:
        raise Http404
    found = None if row.plant is None else access(request.user, row.plant.slug)
    if found is None and row.person_id != request.user.pk:
        raise Http404
    request.access = found
    return row


@require_safe
@signed_in
def job(request: HttpRequest, number: int) -> HttpResponse:
    """How far a job is; the bar asks again by itself."""
    row = _job(request, number)
    given = {"job": row, "result": json.loads(row.result)}
    template = "desk/job_bar.html" if request.htmx else "desk/job.html"
    response = render(request, template, given)
    if request.htmx and row.state not in ("waiting", "running"):
        response.headers["HX-Refresh"] = "true"
    return response


@require_POST
@signed_in
def stop(request: HttpRequest, number: int) -> HttpResponse:
    """Ask a job to end."""
    row = _job(request, number)
    if row.person_id != request.user.pk and not (request.access and request.access.may("manage")):
        raise Http404
    JobRow.objects.filter(pk=row.pk, state__in=("waiting", "running")).update(stop=True)
    return redirect("job", number=number)
