"""Plants in and out: files brought and looked at before anything is taken over; files given."""

from __future__ import annotations

import json
import tempfile
from pathlib import Path
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.text import slugify
from django.views.decorators.http import require_POST, require_safe

from subspark.desk.guard import in_plant, refused, signed_in
from subspark.desk.settings import LARGEST_FILE
from subspark.desk.tasks import incoming, keep_upload
from subspark.errors import UsageError
from subspark.exchange import index, write_empty, write_json, write_plant
from subspark.exchange.cells import shown
from subspark.exchange.workbook_open import Rows
from subspark.store import jobs, plants
from subspark.store.kinds import KINDS, text_digest, text_of
from subspark.store.models import IndexLayout, JobRow
from subspark.store.people import Access, access

__all__ = ["accept", "bring", "bring_new", "empty", "export", "export_file", "layout", "looked_at"]

_PREVIEW = 5
_WORKBOOK = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@signed_in
def bring_new(request: HttpRequest) -> HttpResponse:
    """Bring a file for a new plant."""
    if not request.user.keeper:
        return refused(request, PermissionError())
    if request.method == "POST":
        return _brought(request, None)
    return render(request, "desk/import.html", {"largest": LARGEST_FILE // 2**20})


@in_plant("change")
def bring(request: HttpRequest, access: Access) -> HttpResponse:
    """Bring a file into this plant."""
    if request.method == "POST":
        return _brought(request, access)
    return render(request, "desk/import.html", {"largest": LARGEST_FILE // 2**20})


def _brought(request: HttpRequest, found: Access | None) -> HttpResponse:
    file = request.FILES.get("file")
    if file is None:
        raise UsageError(
            "no file was chosen; wanted a workbook (.xlsx, .ods) or a document (.json)"
        )
    title = Path(file.name).name[:200]
    given = {"file": keep_upload(file.chunks(), title, LARGEST_FILE), "title": title}
    plant = None if found is None else found.plant
    job = jobs.ask("read", f"Reading {title}", plant, request.user, given)
    return redirect("import-seen", number=job.pk)


def _own_job(request: HttpRequest, number: int) -> JobRow:
    job = JobRow.objects.select_related("plant").filter(pk=number, person=request.user).first()
    if job is None:
        raise Http404
    if job.plant is not None:
        found = access(request.user, job.plant.slug)
        if found is None:
            raise Http404
        request.access = found
    return job


@require_safe
@signed_in
def looked_at(request: HttpRequest, number: int) -> HttpResponse:
    """What a file holds, or what is wrong with it."""
    job = _own_job(request, number)
    if job.sort != "read":
        raise Http404
    result: dict[str, Any] = json.loads(job.result)
    given = {
        "job": job,
        "title": json.loads(job.given)["title"],
        "result": result,
        "counts": _counts(result.get("counts")),
        "part_counts": _counts(result.get("part", {}).get("counts")),
        "mapped": bool(json.loads(job.given).get("layout")),
        "here": incoming(json.loads(job.given)["file"]).exists(),
    }
    return render(request, "desk/import_seen.html", given)


def _counts(counts: dict[str, int] | None) -> list[tuple[str, int]]:
    if not counts:
        return []
    return [(one.title, counts[kind]) for kind, one in KINDS.items() if counts.get(kind)]


@signed_in
def layout(request: HttpRequest, number: int) -> HttpResponse:
    """Say which column of an index fills which of ours; what was said before is remembered."""
    job = _own_job(request, number)
    if job.plant is None or not request.access.may("change"):
        raise Http404
    given = json.loads(job.given)
    path = incoming(given["file"])
    if job.sort != "read" or not path.exists() or path.suffix == ".json":
        raise UsageError("this file is not here any more; bring it again")
    sheets = dict(index.sheets_of(path))
    if not sheets:
        raise UsageError("this workbook has no rows")
    asked = request.POST if request.method == "POST" else request.GET
    sheet = asked.get("sheet", "")
    sheet = sheet if sheet in sheets else next(iter(sheets))
    rows = sheets[sheet]
    said = asked.get("heading", "")
    heading = int(said) if said.isdecimal() and len(said) < 6 else _likely(rows)
    headings = index.headings_of(rows, heading)
    digest = text_digest(text_of(headings))
    if request.method == "POST":
        columns = {
            slot.title: request.POST[f"c.{at}"]
            for at, slot in enumerate(index.TARGETS)
            if request.POST.get(f"c.{at}")
        }
        found = {"sheet": sheet, "heading": heading, "columns": columns}
        IndexLayout.objects.update_or_create(
            plant=job.plant, headings=digest, defaults={"given": json.dumps(found)}
        )
        again = jobs.ask("read", job.title, job.plant, request.user, {**given, "layout": found})
        return redirect("import-seen", number=again.pk)
    kept = IndexLayout.objects.filter(plant=job.plant, headings=digest).first()
    columns = json.loads(kept.given)["columns"] if kept else index.guess(headings)
    shown_rows = rows[heading : heading + _PREVIEW]
    return render(
        request,
        "desk/layout.html",
        {
            "job": job,
            "title": given["title"],
            "sheets": list(sheets),
            "sheet": sheet,
            "heading": heading,
            "headings": headings,
            "remembered": kept is not None,
            "targets": [
                (at, slot, columns.get(slot.title, "")) for at, slot in enumerate(index.TARGETS)
            ],
            "head": [shown(cell) for cell in rows[heading - 1]],
            "rows": [[shown(cell) for cell in row] for row in shown_rows],
        },
    )


def _likely(rows: Rows) -> int:
    """The row that most likely holds the headings: the fullest of the first ones."""
    first = rows[:20]
    full = [sum(bool(shown(cell).strip()) for cell in row) for row in first]
    return full.index(max(full)) + 1


@require_POST
@signed_in
def accept(request: HttpRequest, number: int) -> HttpResponse:
    """Take the file over: whole, or its clean part."""
    job = _own_job(request, number)
    if job.plant is None and not request.user.keeper:
        return refused(request, PermissionError())
    if job.plant is not None and not request.access.may("change"):
        return refused(request, PermissionError())
    result, given = json.loads(job.result), json.loads(job.given)
    part = request.POST.get("part") == "yes"
    if job.state != "done" or not (result.get("clean") or (part and "part" in result)):
        raise UsageError("this file cannot be taken over as it is")
    if not incoming(given["file"]).exists():
        raise UsageError("this file was taken over already; bring it again to do so again")
    title = given["title"]
    why = " ".join(request.POST.get("why", "").split()) or f"taken over from {title}"
    wanted = {
        "file": given["file"],
        "title": title,
        "part": part and not result.get("clean"),
        "layout": given.get("layout"),
        "remove": request.POST.get("remove") == "yes"
        and bool(result.get("clean"))
        and not given.get("layout"),
        "name": " ".join(request.POST.get("name", "").split())[:300],
        "why": why,
    }
    taking = jobs.ask("take", f"Taking over {title}", job.plant, request.user, wanted)
    return redirect("job", number=taking.pk)


@require_safe
@in_plant()
def export(request: HttpRequest, access: Access) -> HttpResponse:  # noqa: ARG001 - same for all
    """What can be taken out."""
    return render(request, "desk/export.html", {})


@require_safe
@in_plant()
def export_file(request: HttpRequest, access: Access, sort: str) -> HttpResponse:  # noqa: ARG001
    """The plant as a workbook or as one JSON document."""
    plant = plants.whole(access.plant.pk)
    name = slugify(plant.name) or "plant"
    if sort == "json":
        return _file(write_json(plant).encode(), f"{name}.json", "application/json")
    if sort != "workbook":
        raise Http404
    with tempfile.TemporaryDirectory(prefix="subspark-") as folder:
        path = Path(folder) / "plant.xlsx"
        write_plant(plant, path)
        return _file(path.read_bytes(), f"{name}.xlsx", _WORKBOOK)


@require_safe
@signed_in
def empty(request: HttpRequest) -> HttpResponse:  # noqa: ARG001 - same for all
    """An empty workbook to be filled."""
    with tempfile.TemporaryDirectory(prefix="subspark-") as folder:
        path = Path(folder) / "plant.xlsx"
        write_empty(path)
        return _file(path.read_bytes(), "plant.xlsx", _WORKBOOK)


def _file(data: bytes, name: str, media: str) -> HttpResponse:
    response = HttpResponse(data, content_type=media)
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
