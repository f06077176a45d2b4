"""One circuit: verdict first, proof below, every number to be tried and changed in place."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from subspark.assess import Assessment
from subspark.desk import pictures
from subspark.desk.guard import in_plant
from subspark.desk.panels import Panel, Posted, filled_up, linked, names_for, panels_of, posted
from subspark.desk.shown import shown
from subspark.desk.views.home import judge_later
from subspark.errors import PlantError, SubsparkError, UsageError
from subspark.store import history, plants
from subspark.store.models import Evidence, VerdictRow
from subspark.store.people import Access
from subspark.store.trying import Trial, look, trial

__all__ = ["attempt", "conflict", "drawing", "page", "panel", "plane", "save"]


def _finding(access: Access, assessment: Assessment, tag: str) -> dict[str, Any]:
    """What the left side of the page shows."""
    circuit = assessment.plant.circuit(tag)
    return {
        "shown": shown(assessment, tag),
        "circuit": circuit,
        "tag": tag,
        "picture": pictures.drawing(assessment, tag),
        "plant": access.plant,
    }


@require_safe
@in_plant()
def page(request: HttpRequest, access: Access, name: str) -> HttpResponse:
    """The page of a circuit."""
    with plants.held(access.plant.pk) as ledger:
        circuit = ledger.circuit(name)
    if circuit is None:
        raise Http404
    panels = panels_of(access.plant, linked(circuit))
    before, after = _neighbours(access, name)
    given = {
        **_finding(access, look(access.plant.pk, name), name),
        "panels": panels,
        "names": names_for(access.plant),
        "history": history.of_record(access.plant, "circuits", name, 8),
        "evidence": Evidence.objects.filter(plant=access.plant, kind="circuits", record=name),
        "kind": "circuits",
        "before": before,
        "after": after,
        "saved_revision": request.GET.get("saved", ""),
    }
    return render(request, "desk/circuit.html", given)


def _neighbours(access: Access, tag: str) -> tuple[str | None, str | None]:
    rows = VerdictRow.objects.filter(plant=access.plant)
    before = rows.filter(tag__lt=tag).order_by("-tag").values_list("tag", flat=True).first()
    after = rows.filter(tag__gt=tag).order_by("tag").values_list("tag", flat=True).first()
    return before, after


@require_POST
@in_plant()
def attempt(request: HttpRequest, access: Access, name: str) -> HttpResponse:
    """Try: the verdict with the numbers of the form, nothing saved."""
    form = posted(request.POST, access.plant, request.user)
    if request.POST.get("step"):
        return _form(request, form, name)
    tried = _tried(access, form, name)
    if form.faults or tried is None:
        told = {"faults": form.faults, "tag": name, "plant": access.plant}
        return render(request, "desk/faults.html", told)
    given = {
        **_finding(access, tried.assessment, name),
        "trial": tried if form.edits else None,
        "edits": form.edits,
        "plane_image": _plane_image(tried.assessment, name) if "plane" in request.POST else "",
        "was": VerdictRow.objects.filter(plant=access.plant, tag=name).first(),
    }
    return render(request, "desk/finding.html", given)


def _plane_image(assessment: Assessment, tag: str) -> str:
    """The plane of a circuit as it is tried, inside the page; blank where it has none."""
    try:
        text = pictures.plane(assessment, tag)
    except SubsparkError:
        return ""
    return pictures.inside(text)


def _tried(access: Access, form: Posted, name: str) -> Trial | None:
    if form.faults:
        return None
    changes = {one.key: one.record for one in form.edits}
    try:
        return trial(access.plant.pk, changes, [name])
    except PlantError as error:
        form.tell(error)
    return None


def _form(request: HttpRequest, form: Posted, name: str) -> HttpResponse:
    """The form alone, after a row was added or dropped."""
    given = {
        "panels": _all(request.access, form, name),
        "names": names_for(request.access.plant),
        "tag": name,
        "plant": request.access.plant,
    }
    return render(request, "desk/panels.html", given)


def _all(access: Access, form: Posted, name: str) -> list[Panel]:
    """The panels of a form, and those of the circuit that were never opened."""
    with plants.held(access.plant.pk) as ledger:
        circuit = ledger.circuit(name)
    return form.panels if circuit is None else filled_up(access.plant, linked(circuit), form)


@require_safe
@in_plant()
def panel(request: HttpRequest, access: Access, kind: str, name: str) -> HttpResponse:
    """The fields of one record, for a panel that is opened."""
    number = request.GET.get("number", "")
    found = panels_of(access.plant, [(kind, name)])
    if not found or not number.isdecimal() or len(number) > 3:
        raise Http404
    found[0].number = int(number)
    return render(request, "desk/panel.html", {"panel": found[0]})


@require_POST
@in_plant("change")
def save(request: HttpRequest, access: Access, name: str) -> HttpResponse:
    """Save the form as a change."""
    form = posted(request.POST, access.plant, request.user)
    problem = ""
    if not form.faults:
        try:
            done = plants.change(
                access.plant.pk, form.edits, request.POST.get("why", ""), request.user
            )
        except plants.ConflictError as error:
            return conflict(request, form, error, name)
        except PlantError as error:
            form.tell(error)
        except UsageError as error:
            problem = str(error)
        else:
            judge_later(access, request, done)
            target = reverse("circuit", args=[access.plant.slug, name])
            return redirect(f"{target}?saved={done.revision}")
    given = {
        **_finding(access, look(access.plant.pk, name), name),
        "panels": _all(access, form, name),
        "names": names_for(access.plant),
        "faults": form.faults,
        "problem": problem,
        "why": request.POST.get("why", ""),
        "history": history.of_record(access.plant, "circuits", name, 8),
        "kind": "circuits",
    }
    return render(request, "desk/circuit.html", given, status=422)


def conflict(
    request: HttpRequest, form: Posted, error: plants.ConflictError, name: str
) -> HttpResponse:
    """Both versions of a record that two people changed at once, to be merged."""
    own = next((one for one in form.panels if one.key == error.key), None)
    mine = {} if own is None else dict(own.content)
    theirs = {} if error.theirs is None else _plain(error)
    for one in form.panels:
        if one.key == error.key:
            one.version = error.version
    given = {
        "error": error,
        "panels": form.panels,
        "differences": history.differences(theirs, mine),
        "theirs_gone": error.theirs is None,
        "names": names_for(request.access.plant),
        "tag": name,
        "why": request.POST.get("why", ""),
        "plant": request.access.plant,
    }
    return render(request, "desk/conflict.html", given, status=409)


def _plain(error: plants.ConflictError) -> dict[str, Any]:
    from subspark.store.kinds import plain_of

    return {} if error.theirs is None else plain_of(error.theirs)


@require_safe
@in_plant()
def drawing(request: HttpRequest, access: Access, name: str) -> HttpResponse:  # noqa: ARG001
    """The drawing of a circuit as a file of its own."""
    try:
        found = pictures.drawing(look(access.plant.pk, name), name)
    except SubsparkError:
        raise Http404 from None
    if found is None:
        raise Http404
    response = HttpResponse(found, content_type="image/svg+xml")
    response.headers["Content-Security-Policy"] = "default-src 'none'; style-src 'unsafe-inline'"
    return response


@require_safe
@in_plant()
def plane(request: HttpRequest, access: Access, name: str) -> HttpResponse:  # noqa: ARG001
    """The plane of capacitance and inductance, with the line along which cable grows."""
    try:
        found = pictures.plane(look(access.plant.pk, name), name)
    except SubsparkError:
        raise Http404 from None
    response = HttpResponse(found, content_type="image/svg+xml")
    response.headers["Content-Security-Policy"] = "default-src 'none'; style-src 'unsafe-inline'"
    return response
