"""What has changed: the audit of a plant, and what checkers say of it."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from subspark.desk.guard import in_plant, refused
from subspark.store import history, plants
from subspark.store.history import altered
from subspark.store.models import ChangeRow
from subspark.store.people import Access

__all__ = ["listing", "page", "review"]

_PAGE = 60


@require_safe
@in_plant()
def listing(request: HttpRequest, access: Access) -> HttpResponse:
    """The changes of the plant, the latest first."""
    rows = ChangeRow.objects.filter(plant=access.plant).order_by("-revision")
    before = request.GET.get("before", "")
    if before.isdecimal() and len(before) < 15:
        rows = rows.filter(revision__lt=int(before))
    shown = list(rows.prefetch_related("reviews")[: _PAGE + 1])
    checked = request.GET.get("verify") == "1"
    given = {
        "rows": shown[:_PAGE],
        "next": shown[_PAGE - 1].revision if len(shown) > _PAGE else None,
        "checked": checked,
        "broken": plants.verify(access.plant.pk) if checked else [],
    }
    return render(request, "desk/changes.html", given)


@require_safe
@in_plant()
def page(request: HttpRequest, access: Access, revision: int) -> HttpResponse:
    """One change, with what was before and after."""
    row = get_object_or_404(ChangeRow, plant=access.plant, revision=revision)
    given = {
        "row": row,
        "altered": altered(row),
        "reviews": row.reviews.order_by("pk"),
        "own": row.person_id == request.user.pk,
        "checked": row.reviews.filter(said="checked").exists(),
    }
    return render(request, "desk/change.html", given)


@require_POST
@in_plant("check")
def review(request: HttpRequest, access: Access, revision: int) -> HttpResponse:
    """Say of a change that it was checked, is sent back, or is approved."""
    row = get_object_or_404(ChangeRow, plant=access.plant, revision=revision)
    said = request.POST.get("said", "")
    if said == "approved" and not access.may("approve"):
        return refused(request, PermissionError())
    history.review(row, request.user, said, request.POST.get("remark", ""))
    return redirect("change", slug=access.plant.slug, revision=revision)
