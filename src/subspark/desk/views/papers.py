"""Papers: the dossier of one circuit at once, those of the plant in the background."""

from __future__ import annotations

import importlib.util
import json
from datetime import UTC, datetime
from typing import Any

from django.http import FileResponse, Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.text import slugify
from django.views.decorators.http import require_POST, require_safe

from subspark.desk.guard import in_plant
from subspark.desk.tasks import KEPT_PAPERS, printed
from subspark.errors import UsageError
from subspark.store import jobs, register
from subspark.store.models import JobRow, VerdictRow
from subspark.store.people import Access
from subspark.store.trying import look

__all__ = ["available", "dossier", "fetch", "page", "start"]

_MOST_TICKED = 2000
_LONGEST = 100  # of a name
SORTS = {
    "dossiers": (
        "Dossiers",
        "one for each circuit: verdict, drawing, limits, evidence, and inside it the data",
    ),
    "inspection": (
        "Inspection sheets",
        "what is expected beside blanks for what is found, to be filled in by hand or on a screen",
    ),
    "drawings": ("Drawings", "of circuits, cables, cabinets and boxes"),
    "lists": ("Lists", "registers and schedules, as PDF and one workbook; always the whole plant"),
}
FORMATS = ("pdf", "dxf", "svg")
SHEETS = ("pdf", "xlsx")
"""How inspection sheets are written."""
SIGNERS = {"designer": ("change", "check"), "checker": ("check",), "approver": ("approve",)}
"""Who signs, and what one of must be permitted to whoever enters the name."""


def available() -> bool:
    """Whether papers can be printed here."""
    found = importlib.util.find_spec("subspark.papers") is not None
    return found and importlib.util.find_spec("typst") is not None


@require_safe
@in_plant()
def dossier(request: HttpRequest, access: Access, name: str) -> HttpResponse:
    """The dossier of a circuit as PDF, with the data that it was worked out from inside."""
    from subspark.papers.attachment import dossier as made
    from subspark.papers.attachment import print_dossier

    try:
        assessment = look(access.plant.pk, name)
    except UsageError as error:
        raise Http404 from error
    paper = "letter" if request.GET.get("paper") == "letter" else "a4"
    found = made(assessment, name, paper=paper)
    data = print_dossier(found.attachment, found.digest)
    response = HttpResponse(data, content_type="application/pdf")
    title = slugify(name) or "circuit"
    response.headers["Content-Disposition"] = f'attachment; filename="{title}.pdf"'
    return response


def _scope(access: Access, given: QueryDict) -> dict[str, Any]:
    """For which circuits: those named, those of a filter, or all."""
    tags = list(dict.fromkeys(one for one in given.getlist("tag") if one.strip()))
    if len(tags) > _MOST_TICKED:
        raise UsageError(f"{len(tags)} circuits are ticked; wanted {_MOST_TICKED} at the most")
    if tags:
        rows = VerdictRow.objects.filter(plant=access.plant, tag__in=tags)
        there = set(rows.values_list("tag", flat=True))
        if strange := next((one for one in tags if one not in there), None):
            raise UsageError(f"circuit {strange!r}: there is none of that tag in this plant")
        return {"tags": tags, "filter": [], "count": len(tags)}
    wanted = register.terms(given.getlist("q"))
    texts = [one.text for one in wanted]
    count = sum(register.counts(access.plant.pk, wanted).values())
    return {"tags": [], "filter": texts, "count": count}


@require_safe
@in_plant()
def page(request: HttpRequest, access: Access) -> HttpResponse:
    """What can be printed, for all circuits or some, and what was."""
    rows = JobRow.objects.filter(plant=access.plant, sort="papers").select_related("person")
    given = {
        "rows": [
            (one, json.loads(one.given), printed(one.pk).exists())
            for one in rows.order_by("-pk")[:KEPT_PAPERS]
        ],
        "sorts": SORTS,
        "formats": FORMATS,
        "sheets": SHEETS,
        "signers": [who for who, rights in SIGNERS.items() if any(map(access.may, rights))],
        "today": datetime.now(tz=UTC).date().isoformat(),
        "available": available(),
        "scope": _scope(access, request.GET),
    }
    return render(request, "desk/papers.html", given)


def _signatures(request: HttpRequest, access: Access) -> list[tuple[str, str, str]]:
    """The signatures of the form, as far as this person may enter them."""
    from subspark.papers.signing import Signature, Signing

    found = []
    for who, rights in SIGNERS.items():
        name = " ".join(request.POST.get(f"{who}-name", "").split())[:_LONGEST]
        if not name:
            continue
        if not any(map(access.may, rights)):
            raise UsageError(f"your role does not permit to enter the signature of the {who}")
        found.append((who, name, request.POST.get(f"{who}-date", "").strip()))
    Signing(tuple(Signature(*one) for one in found))
    return found


@require_POST
@in_plant()
def start(request: HttpRequest, access: Access) -> HttpResponse:
    """Print papers of the plant or of some circuits, in the background."""
    sorts = [one for one in request.POST.getlist("sort") if one in SORTS]
    if not sorts:
        raise UsageError("no sort of paper was chosen")
    if not available():
        raise UsageError("papers cannot be printed here: pip install 'subspark[papers]'")
    formats = [one for one in request.POST.getlist("format") if one in FORMATS]
    if "drawings" in sorts and not formats:
        raise UsageError("drawings were chosen, and no format of them; wanted PDF, DXF or SVG")
    sheets = [one for one in request.POST.getlist("sheet") if one in SHEETS]
    scope = _scope(access, request.POST)
    if not scope["count"]:
        raise UsageError("there is no circuit to print papers of")
    given = {
        "kinds": sorts,
        "drawings": formats or ["pdf"],
        "inspection": sheets or ["pdf"],
        "equivalents": request.POST.get("equivalents") == "yes",
        "paper": "letter" if request.POST.get("paper") == "letter" else "a4",
        "signatures": _signatures(request, access),
        "reason": " ".join(request.POST.get("reason", "").split())[:500],
        "tags": scope["tags"],
        "filter": scope["filter"],
    }
    title = (
        f"Printing papers of {scope['count']:,} {'circuit' if scope['count'] == 1 else 'circuits'}"
    )
    job = jobs.ask("papers", title, access.plant, request.user, given)
    return redirect("job", number=job.pk)


@require_safe
@in_plant()
def fetch(request: HttpRequest, access: Access, number: int) -> HttpResponse:  # noqa: ARG001
    """Papers that were printed."""
    job = get_object_or_404(JobRow, pk=number, plant=access.plant, sort="papers", state="done")
    path = printed(job.pk)
    if not path.is_file():
        raise Http404
    name = f"{access.plant.slug}-papers.zip"
    return FileResponse(path.open("rb"), as_attachment=True, filename=name)
