"""Choosing in the browser: what fits, what mends, the fewest types, applied as a change."""

from __future__ import annotations

import json
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from subspark.desk.guard import in_plant
from subspark.desk.views.home import judge_later
from subspark.errors import SubsparkError, UsageError
from subspark.store import choosing, jobs, plants
from subspark.store.models import JobRow
from subspark.store.people import Access

__all__ = ["accept", "apply", "fits", "page", "proposal", "repairs", "start"]

_LONGEST = 120.0
_SHOWN = 40


@require_safe
@in_plant()
def repairs(request: HttpRequest, access: Access, name: str) -> HttpResponse:
    """What would mend a circuit: each repair was proved before it is shown."""
    try:
        found = choosing.mending(access.plant.pk, name)
    except UsageError as error:
        raise Http404 from error
    rows = [(one, json.dumps(one.change.as_dict())) for one in found.repairs[:_SHOWN]]
    given = {"found": found, "rows": rows, "tag": name}
    return render(request, "desk/repairs.html", given)


@require_safe
@in_plant()
def fits(request: HttpRequest, access: Access, name: str) -> HttpResponse:
    """The sources of the catalogue for a circuit, best first."""
    try:
        found = choosing.fitting(access.plant.pk, name)
    except UsageError as error:
        if "no circuit" in str(error):
            raise Http404 from error
        return render(request, "desk/fits.html", {"message": str(error), "tag": name})
    return render(request, "desk/fits.html", {"found": found, "tag": name})


@require_POST
@in_plant("change")
def apply(request: HttpRequest, access: Access, name: str) -> HttpResponse:
    """Apply a repair of a circuit as a change."""
    _apply(request, access, _loaded(request.POST.get("change", "")))
    return redirect("circuit", slug=access.plant.slug, name=name)


def _loaded(text: str) -> Any:  # noqa: ANN401 - parsed JSON
    try:
        return json.loads(text)
    except (ValueError, RecursionError):
        raise UsageError("this is no change that the desk has proposed") from None


def _apply(request: HttpRequest, access: Access, given: Any) -> None:  # noqa: ANN401
    edits = choosing.edits_of(access.plant.pk, given)
    plants.change(access.plant.pk, edits, request.POST.get("why", ""), request.user)
    judge_later(access, request)


@require_safe
@in_plant()
def page(request: HttpRequest, access: Access) -> HttpResponse:
    """The fewest types that serve the plant: what is asked, and what was found."""
    rows = JobRow.objects.filter(plant=access.plant, sort="fewest").select_related("person")
    return render(request, "desk/choose.html", {"rows": rows.order_by("-pk")[:10]})


@require_POST
@in_plant("change")
def start(request: HttpRequest, access: Access) -> HttpResponse:
    """Ask for the fewest types; the answer is looked for in the background."""
    given = {
        "margin": _number(request, "margin", 100.0, 1.0, 100.0) / 100,
        "spare": _number(request, "spare", 0.0, 0.0, 100.0) / 100,
        "time_limit": _number(request, "seconds", 20.0, 1.0, _LONGEST),
        "of": "cables" if request.POST.get("of") == "cables" else "sources",
        "order": "cost" if request.POST.get("order") == "cost" else "types",
        "forbidden": [
            name.strip() for name in request.POST.get("forbidden", "").split(";") if name.strip()
        ],
    }
    what = "cable types" if given["of"] == "cables" else "types"
    job = jobs.ask("fewest", f"Choosing the fewest {what}", access.plant, request.user, given)
    return redirect("choose-seen", slug=access.plant.slug, number=job.pk)


def _number(request: HttpRequest, name: str, usual: float, least: float, most: float) -> float:
    text = request.POST.get(name, "").strip().rstrip("%").strip()
    if not text:
        return usual
    try:
        found = float(text)
    except ValueError:
        found = float("nan")
    if not least <= found <= most:
        raise UsageError(f"{name}: {text!r}; wanted a number from {least:g} to {most:g}")
    return found


def _job(access: Access, number: int) -> JobRow:
    row: JobRow = get_object_or_404(JobRow, pk=number, plant=access.plant, sort="fewest")
    return row


@require_safe
@in_plant()
def proposal(request: HttpRequest, access: Access, number: int) -> HttpResponse:
    """What was found, to be looked at before it is applied."""
    job = _job(access, number)
    result = json.loads(job.result)
    stands = True
    if job.state == "done" and result.get("change"):
        try:
            choosing.edits_of(access.plant.pk, result["change"])
        except SubsparkError:
            stands = False
    asked = json.loads(job.given)
    cables = asked.get("of") == "cables"
    given = {
        "job": job,
        "result": result,
        "stands": stands,
        "asked": asked,
        "cables": cables,
        "lost": "run" if cables else "circuit",
    }
    return render(request, "desk/proposal.html", given)


@require_POST
@in_plant("change")
def accept(request: HttpRequest, access: Access, number: int) -> HttpResponse:
    """Apply what was found as a change."""
    job = _job(access, number)
    result = json.loads(job.result)
    if job.state != "done" or not result.get("change"):
        raise UsageError("nothing was found that could be applied")
    _apply(request, access, result["change"])
    return redirect("plant", slug=access.plant.slug)
