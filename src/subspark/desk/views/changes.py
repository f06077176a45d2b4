"""What has changed: the audit of a plant, and what checkers say of it."""

from __future__ import annotations

from collections import Counter

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from subspark.desk.guard import in_plant, refused
from subspark.errors import UsageError
from subspark.store import history, plants
from subspark.store.history import altered
from subspark.store.models import ChangeRow, VerdictRow
from subspark.store.people import Access
from subspark.store.register import counts

__all__ = ["listing", "page", "review", "review_since", "since"]

_PAGE = 60
_TOLD = 60  # records of which every field is told


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
    issue = history.last_issue(access.plant)
    after = history.since(access.plant, 0 if issue is None else issue.revision)
    given = {
        "rows": [(one, history.standing(one)) for one in shown[:_PAGE]],
        "issue": issue,
        "after": len(after),
        "states": _states(after),
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


def _states(rows: list[ChangeRow]) -> dict[str, int]:
    return dict(Counter(history.standing(one) for one in rows))


@require_safe
@in_plant()
def since(request: HttpRequest, access: Access) -> HttpResponse:
    """What all changes since the last issue come to, for a checker to sign or send back."""
    issue = history.last_issue(access.plant)
    start = 0 if issue is None else issue.revision
    rows = history.since(access.plant, start)
    altered_ = history.together(access.plant, start) if issue is not None else []
    tags = [one.name for one in altered_ if one.kind == "circuits" and one.after is not None]
    verdicts = VerdictRow.objects.filter(plant=access.plant, tag__in=tags)
    others = [one for one in rows if one.person_id != request.user.pk]
    given = {
        "issue": issue,
        "rows": [(one, history.standing(one)) for one in rows],
        "altered": altered_,
        "told": len(altered_) <= _TOLD,
        "verdicts": {one.tag: one for one in verdicts.defer("search", "needs")},
        "states": _states(rows),
        "start": start,
        "end": rows[-1].revision if rows else start,
        "own": len(rows) - len(others),
        "others": len(others),
        "counts": counts(access.plant.pk),
    }
    return render(request, "desk/since.html", given)


@require_POST
@in_plant("check")
def review_since(request: HttpRequest, access: Access) -> HttpResponse:
    """Say the same of all changes since the last issue, as far as they were shown."""
    said = request.POST.get("said", "")
    if said == "approved" and not access.may("approve"):
        return refused(request, PermissionError())
    ends = []
    for name in ("start", "end"):
        text = request.POST.get(name, "")
        if not text.isdecimal() or len(text) > 15:
            raise UsageError("this form is out of date; open the page anew")
        ends.append(int(text))
    history.review_all(
        access.plant, request.user, (ends[0], ends[1]), said, request.POST.get("remark", "")
    )
    return redirect("changes", slug=access.plant.slug)
