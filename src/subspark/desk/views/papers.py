"""Papers: the dossier of one circuit at once, those of the plant in the background."""

from __future__ import annotations

import importlib.util

from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.text import slugify
from django.views.decorators.http import require_POST, require_safe

from subspark.desk.guard import in_plant
from subspark.desk.tasks import printed
from subspark.errors import UsageError
from subspark.store import jobs
from subspark.store.models import JobRow
from subspark.store.people import Access
from subspark.store.trying import look

__all__ = ["available", "dossier", "fetch", "page", "start"]

SORTS = {
    "dossiers": "dossiers of the circuits",
    "inspection": "inspection sheets",
    "lists": "lists of the plant",
    "drawings": "drawings",
}


def available() -> bool:
    """Whether papers can be printed here."""
    found = importlib.util.find_spec("subspark.papers") is not None
    return found and importlib.util.find_spec("typst") is not None


@require_safe
@in_plant()
def dossier(request: HttpRequest, access: Access, name: str) -> HttpResponse:  # noqa: ARG001
    """The dossier of a circuit as PDF, with the data that it was worked out from inside."""
    from subspark.papers.attachment import dossier as made
    from subspark.papers.attachment import print_dossier

    try:
        assessment = look(access.plant.pk, name)
    except UsageError as error:
        raise Http404 from error
    found = made(assessment, name)
    data = print_dossier(found.attachment, found.digest)
    response = HttpResponse(data, content_type="application/pdf")
    title = slugify(name) or "circuit"
    response.headers["Content-Disposition"] = f'attachment; filename="{title}.pdf"'
    return response


@require_safe
@in_plant()
def page(request: HttpRequest, access: Access) -> HttpResponse:
    """What can be printed, and what was."""
    rows = JobRow.objects.filter(plant=access.plant, sort="papers").select_related("person")
    given = {
        "rows": [(one, printed(one.pk).exists()) for one in rows.order_by("-pk")[:10]],
        "sorts": SORTS,
        "available": available(),
    }
    return render(request, "desk/papers.html", given)


@require_POST
@in_plant()
def start(request: HttpRequest, access: Access) -> HttpResponse:
    """Print papers of the plant, in the background."""
    sorts = [one for one in request.POST.getlist("sort") if one in SORTS]
    if not sorts:
        raise UsageError("no sort of paper was chosen")
    if not available():
        raise UsageError("papers cannot be printed here: pip install 'subspark[papers]'")
    paper = "letter" if request.POST.get("paper") == "letter" else "a4"
    given = {"plant": access.plant.pk, "kinds": sorts, "paper": paper}
    job = jobs.ask("papers", "Printing papers", access.plant, request.user, given)
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
