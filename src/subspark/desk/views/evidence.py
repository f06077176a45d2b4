"""Files of evidence: a PDF or an image, kept outside of what the server shows, opened safely."""

from __future__ import annotations

import hashlib
import secrets
from pathlib import Path

from django.conf import settings
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST, require_safe

from subspark.desk.guard import in_plant
from subspark.errors import UsageError
from subspark.store import history
from subspark.store.models import Evidence
from subspark.store.people import Access

__all__ = ["attach", "show"]

LARGEST = 20 * 2**20
_MOST = 40
_STARTS = {
    b"%PDF-": ("application/pdf", ".pdf"),
    b"\x89PNG\r\n\x1a\n": ("image/png", ".png"),
    b"\xff\xd8\xff": ("image/jpeg", ".jpg"),
}
"""What a file may be, by how it begins: what it is called proves nothing."""


def _folder() -> Path:
    return Path(settings.SUBSPARK_FOLDER) / "evidence"


@require_POST
@in_plant("change")
def attach(request: HttpRequest, access: Access, kind: str, name: str) -> HttpResponse:
    """Keep a file as evidence of a record."""
    if history.entry(access.plant, kind, name) is None:
        raise Http404
    file = request.FILES.get("file")
    if file is None:
        raise UsageError("no file was chosen; wanted a PDF, PNG or JPEG")
    if file.size > LARGEST:
        raise UsageError(f"{file.name}: larger than {LARGEST // 2**20} MB")
    own = Evidence.objects.filter(plant=access.plant, kind=kind, record=name)
    if own.count() >= _MOST:
        raise UsageError(f"{name}: has {_MOST} files already")
    data = file.read()
    media, suffix = next(
        (found for start, found in _STARTS.items() if data.startswith(start)), ("", "")
    )
    if not media:
        raise UsageError(f"{file.name}: wanted a PDF, PNG or JPEG; this file is none of them")
    stored = secrets.token_hex(16) + suffix
    folder = _folder()
    folder.mkdir(parents=True, exist_ok=True)
    (folder / stored).write_bytes(data)
    title = "".join(char for char in Path(file.name).name if char.isprintable())[:200]
    Evidence.objects.create(
        plant=access.plant,
        kind=kind,
        record=name,
        title=title or stored,
        media=media,
        size=len(data),
        digest=hashlib.sha256(data).hexdigest(),
        stored=stored,
        by=str(request.user),
    )
    if kind == "circuits":
        return redirect("circuit", slug=access.plant.slug, name=name)
    return redirect("record", slug=access.plant.slug, kind=kind, name=name)


@require_safe
@in_plant()
def show(request: HttpRequest, access: Access, number: int) -> HttpResponse:  # noqa: ARG001
    """Give a file of evidence: nothing in it can run, nor reach the desk."""
    row = get_object_or_404(Evidence, pk=number, plant=access.plant)
    path = _folder() / row.stored
    if not path.is_file():
        raise Http404
    response = FileResponse(
        path.open("rb"), as_attachment=True, filename=row.title, content_type=row.media
    )
    response.headers["Content-Security-Policy"] = "default-src 'none'; sandbox"
    return response
