"""Inspections: what was found on site, and the page for the phone in the field."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from subspark.desk.guard import in_plant, refused
from subspark.desk.shown import shown
from subspark.desk.views.home import judge_later
from subspark.errors import PlantError, UsageError
from subspark.model import Circuit
from subspark.store import inspecting, plants, register
from subspark.store.models import EntryRow, Inspection, VerdictRow
from subspark.store.people import Access
from subspark.store.plants import Edit
from subspark.store.trying import look, trial

__all__ = ["attempt", "listing", "page", "save"]

_PAGE = 100
_PAST = 8


@require_safe
@in_plant()
def listing(request: HttpRequest, access: Access) -> HttpResponse:
    """Every circuit with its last inspection."""
    wanted = register.terms(request.GET.getlist("q"))
    state = request.GET.get("state", "")
    rows = inspecting.with_last(access.plant.pk)
    for term in wanted:
        rows = rows.filter(term.condition)
    rows = inspecting.in_state(rows, state).order_by("tag").defer("search", "needs")
    after = request.GET.get("after", "")
    found = list((rows.filter(tag__gt=after) if after else rows)[: _PAGE + 1])
    given = {
        "rows": found[:_PAGE],
        "next": found[_PAGE - 1].tag if len(found) > _PAGE else "",
        "states": inspecting.states(access.plant.pk),
        "state": state if state in inspecting.STATES else "",
        "words": " ".join(term.text for term in wanted),
    }
    return render(request, "desk/inspections.html", given)


def _circuit(access: Access, name: str) -> Circuit:
    with plants.held(access.plant.pk) as ledger:
        found = ledger.circuit(name)
    if found is None:
        raise Http404
    return found


def _version(access: Access, name: str) -> int:
    rows = EntryRow.objects.filter(plant=access.plant, kind="circuits", name=name, gone=False)
    return int(rows.values_list("version", flat=True).get())


def _page(request: HttpRequest, access: Access, name: str, **more: Any) -> HttpResponse:  # noqa: ANN401
    circuit = _circuit(access, name)
    typed = _lengths(request) if request.method == "POST" else {}
    past = Inspection.objects.filter(plant=access.plant, tag=name)
    given = {
        "tag": name,
        "circuit": circuit,
        "runs": [
            (number, run, typed.get(number, run.length.text))
            for number, run in enumerate(circuit.runs)
        ],
        "own_version": _version(access, name),
        "shown": shown(look(access.plant.pk, name), name),
        "past": past.order_by("-day", "-pk")[:_PAST],
        "grades": inspecting.GRADES,
        "found": inspecting.FOUND,
        "today": timezone.localdate().isoformat(),
        "saved": request.GET.get("saved", ""),
        "sent": request.POST,
        **more,
    }
    return render(request, "desk/inspection.html", given, status=422 if "problem" in more else 200)


@require_safe
@in_plant()
def page(request: HttpRequest, access: Access, name: str) -> HttpResponse:
    """A circuit as one stands before it: its lengths, its verdict, what was found."""
    return _page(request, access, name)


def _lengths(request: HttpRequest) -> dict[int, str]:
    found = {}
    for key, text in request.POST.items():
        number = key.removeprefix("length.")
        if number != key and number.isdecimal() and len(number) < 4:
            found[int(number)] = text
    return found


def _told(error: PlantError) -> str:
    return "; ".join(f"{one.value!r}: {one.wanted}" for one in error.faults)


@require_POST
@in_plant()
def attempt(request: HttpRequest, access: Access, name: str) -> HttpResponse:
    """The verdict with the lengths of the form; nothing is saved."""
    circuit = _circuit(access, name)
    given: dict[str, Any] = {
        "tag": name,
        "was": VerdictRow.objects.filter(plant=access.plant, tag=name).first(),
    }
    try:
        made = inspecting.measured(circuit, _lengths(request), request.user)
        tried = trial(access.plant.pk, {("circuits", name): made}, [name])
    except PlantError as error:
        return render(request, "desk/measured.html", {**given, "problem": _told(error)})
    given |= {"shown": shown(tried.assessment, name), "turned": tried.turned}
    given["trying"] = made != circuit
    return render(request, "desk/measured.html", given)


@require_POST
@in_plant("inspect")
def save(request: HttpRequest, access: Access, name: str) -> HttpResponse:
    """Keep measured lengths as a change, and the inspection, both or neither."""
    circuit = _circuit(access, name)
    try:
        made = inspecting.measured(circuit, _lengths(request), request.user)
        if made != circuit and not access.may("change"):
            return refused(request, PermissionError())
        with transaction.atomic():
            told = _kept(request, access, name, made if made != circuit else None)
    except plants.ConflictError:
        problem = "Somebody changed this circuit meanwhile. What is saved now stands above; your "
        return _page(request, access, name, problem=f"{problem}lengths are still in the form.")
    except PlantError as error:
        return _page(request, access, name, problem=_told(error))
    except UsageError as error:
        return _page(request, access, name, problem=str(error))
    judge_later(access, request)
    return redirect(f"{reverse('inspection', args=[access.plant.slug, name])}?saved={told}")


def _kept(request: HttpRequest, access: Access, name: str, made: Circuit | None) -> str:
    """Keep what was found and, as a change, the lengths of a circuit; what was saved."""
    found = None
    if request.POST.get("found"):
        found = inspecting.record(access.plant, name, request.user, request.POST)
    if made is None:
        if found is None:
            raise UsageError("nothing was measured anew, and no finding was chosen")
        return "inspection"
    text = request.POST.get("version", "")
    version = int(text) if text.isdecimal() and len(text) < 12 else 0
    why = " ".join(request.POST.get("remark", "").split())[:400]
    why = f"{name}: length measured on site" + (f"; {why}" if why else "")
    edit = Edit(("circuits", name), made, version)
    revision = plants.change(access.plant.pk, [edit], why, request.user).revision
    if found is not None:
        Inspection.objects.filter(pk=found.pk).update(revision=revision)
    return str(revision)
