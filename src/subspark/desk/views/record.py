"""Catalogue, places and declarations: one list a kind, one page a record."""

from __future__ import annotations

import json
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from subspark.desk import pictures
from subspark.desk.guard import in_plant
from subspark.desk.panels import Panel, Posted, names_for, panels_of, posted
from subspark.desk.views.circuit import conflict
from subspark.desk.views.home import judge_later
from subspark.errors import PlantError, UsageError
from subspark.exchange.layout import COLUMNS
from subspark.store import history, plants
from subspark.store.kinds import KINDS, Kind
from subspark.store.models import EntryRow, Evidence, VerdictRow
from subspark.store.people import Access
from subspark.store.plants import Edit
from subspark.store.trying import Trial, trial

__all__ = ["attempt", "listing", "new", "page", "remove", "save"]

_SHOWN = {
    "areas": ("title", "atmospheres", "ambient"),
    "certificates": ("issue", "suffix", "status", "conditions"),
    "sources": ("maker", "model", "certificate", "outputs"),
    "apparatus": ("maker", "model", "certificate", "entries"),
    "simple": ("sort", "item", "Ci", "Li", "assessed"),
    "cables": ("C", "L", "L_R", "section", "gauge", "multicore"),
    "junctions": ("title", "area", "Rth"),
    "declarations": ("value", "evidence"),
    "circuits": ("service", "area"),
}
_USED = 60
_MOST_DOUBTS = 8
_PAGE = 500


def _kind(kind: str) -> Kind:
    if kind not in KINDS:
        raise Http404
    return KINDS[kind]


@require_safe
@in_plant()
def listing(request: HttpRequest, access: Access, kind: str) -> HttpResponse:
    """Every record of a kind."""
    if kind == "circuits":
        return redirect("register", slug=access.plant.slug)
    of = _kind(kind)
    rows = EntryRow.objects.filter(plant=access.plant, kind=kind, gone=False).order_by("place")
    words = " ".join(request.GET.get("q", "").replace("\x00", "").split())[:120]
    if words:
        rows = rows.filter(content__icontains=words)
    columns = {one.field: one.heading for one in COLUMNS.get(of.record, ())}
    shown = _SHOWN[kind]
    with plants.held(access.plant.pk) as ledger:
        table = [
            (
                row.name,
                [_cell(name, json.loads(row.content).get(name)) for name in shown],
                len(ledger.users((kind, row.name))),
            )
            for row in rows[:_PAGE]
        ]
    given = {
        "kind": kind,
        "of": of,
        "heads": [columns.get(name, name.capitalize()) for name in shown],
        "table": table,
        "words": words,
        "more": rows.count() > _PAGE,
    }
    return render(request, "desk/records.html", given)


def _cell(name: str, held: object) -> str:
    """A field in a table: texts as they are, lists in a few words."""
    if held is None:
        return ""
    if isinstance(held, dict):
        return str(held.get("text", held.get("document", "")))
    if not isinstance(held, list):
        return str(held)
    if name == "atmospheres":
        return "; ".join(
            " ".join(str(one[part]) for part in ("zone", "group", "temperature") if part in one)
            + (f" ({', '.join(one['substances'])})" if one.get("substances") else "")
            for one in held
        )
    if name in ("outputs", "entries"):
        symbols = ("Uo", "Io", "Po") if name == "outputs" else ("Ui", "Ii", "Pi", "Ci", "Li")
        first = held[0] if held else {}
        parts = [f"{symbol} {_cell('', first[symbol])}" for symbol in symbols if symbol in first]
        more = f" and {len(held) - 1} more" if len(held) > 1 else ""
        return ", ".join(parts) + more
    if name == "conditions":
        open_ = sum(one.get("answered") != "yes" for one in held)
        return f"{len(held)}, {open_} open" if open_ else f"{len(held)}, all answered"
    return str(len(held))


@require_safe
@in_plant()
def page(request: HttpRequest, access: Access, kind: str, name: str) -> HttpResponse:
    """The page of a record."""
    if kind == "circuits":
        return redirect("circuit", slug=access.plant.slug, name=name)
    _kind(kind)
    panels = panels_of(access.plant, [(kind, name)])
    if not panels:
        raise Http404
    return _page(request, access, panels, kind, name)


def _page(
    request: HttpRequest,
    access: Access,
    panels: list[Panel],
    kind: str,
    name: str,
    status: int = 200,
    **more: Any,  # noqa: ANN401 - whatever the template is told
) -> HttpResponse:
    with plants.held(access.plant.pk) as ledger:
        users = sorted(ledger.users((kind, name)))
    rows = VerdictRow.objects.filter(plant=access.plant, tag__in=users[:_USED]).order_by("tag")
    given = {
        "panels": panels,
        "kind": kind,
        "of": KINDS[kind],
        "name": name,
        "names": names_for(access.plant),
        "users": rows.defer("search", "needs"),
        "user_count": len(users),
        "history": history.of_record(access.plant, kind, name, 8),
        "evidence": Evidence.objects.filter(plant=access.plant, kind=kind, record=name),
        "saved_revision": request.GET.get("saved", ""),
        "reference": _reference(access, kind, name),
        **more,
    }
    return render(request, "desk/record.html", given, status=status)


@in_plant("change")
def new(request: HttpRequest, access: Access, kind: str) -> HttpResponse:
    """A form for a record that is not there yet."""
    of = _kind(kind)
    if request.method == "POST":
        return _save(request, access, kind, "")
    content: dict[str, Any] = {}
    if kind == "circuits":
        content = {"sources": [{}], "members": [{}], "runs": [{}]}
    for one in ("fact", "scope", "of"):
        if kind == "declarations" and request.GET.get(one):
            content[one] = request.GET[one][:200]
    panels = [Panel(0, (kind, ""), 0, content)]
    given = {"panels": panels, "kind": kind, "of": of, "names": names_for(access.plant)}
    return render(request, "desk/record_new.html", given)


@require_POST
@in_plant()
def attempt(request: HttpRequest, access: Access, kind: str, name: str) -> HttpResponse:
    """Try: who would be touched by the numbers of the form, nothing saved."""
    _kind(kind)
    form = posted(request.POST, access.plant, request.user)
    if request.POST.get("step"):
        again = {"panels": form.panels, "names": names_for(access.plant), "plant": access.plant}
        return render(request, "desk/panels.html", again)
    tried: Trial | None = None
    if not form.faults and form.edits:
        try:
            tried = trial(access.plant.pk, {one.key: one.record for one in form.edits})
        except PlantError as error:
            form.tell(error)
    if form.faults:
        return render(request, "desk/faults.html", {"faults": form.faults, "plant": access.plant})
    own = next((one.record for one in form.edits if one.key == (kind, name)), None)
    given = {
        "reference": pictures.reference(own) if own else _reference(access, kind, name),
        "trial": tried,
        "edits": form.edits,
        "plant": access.plant,
        "doubts": [] if tried is None else _doubts(tried, name),
    }
    return render(request, "desk/effects.html", given)


def _reference(access: Access, kind: str, name: str) -> str:
    """The figures of a saved source against the curves."""
    if kind != "sources":
        return ""
    with plants.held(access.plant.pk) as ledger:
        return pictures.reference(ledger.records[kind].get(name))


def _doubts(tried: Trial, name: str) -> list[str]:
    """What the assessment warns of where it names the record: a slip of a thousand, say."""
    notes = (note for case in tried.assessment.cases for note in case.warnings if name in note)
    return list(dict.fromkeys(notes))[:_MOST_DOUBTS]


@require_POST
@in_plant("change")
def save(request: HttpRequest, access: Access, kind: str, name: str) -> HttpResponse:
    """Save the form as a change."""
    _kind(kind)
    return _save(request, access, kind, name)


def _save(request: HttpRequest, access: Access, kind: str, name: str) -> HttpResponse:
    form = posted(request.POST, access.plant, request.user)
    problem = ""
    if request.POST.get("step"):
        return _again(request, access, form, kind, name, "")
    if not form.faults:
        try:
            done = plants.change(
                access.plant.pk, form.edits, request.POST.get("why", ""), request.user
            )
        except plants.ConflictError as error:
            return conflict(request, form, error, name or error.key[1])
        except PlantError as error:
            form.tell(error)
        except UsageError as error:
            problem = str(error)
        else:
            judge_later(access, request, done)
            made = form.edits[0].key[1]
            view = "circuit" if kind == "circuits" else "record"
            names = [made] if kind == "circuits" else [kind, made]
            target = reverse(view, args=[access.plant.slug, *names])
            return redirect(f"{target}?saved={done.revision}")
    return _again(request, access, form, kind, name, problem)


def _again(
    request: HttpRequest, access: Access, form: Posted, kind: str, name: str, problem: str
) -> HttpResponse:
    """The form with what is wrong in it."""
    told = {"faults": form.faults, "problem": problem, "why": request.POST.get("why", "")}
    status = 422 if form.faults or problem else 200
    if name:
        return _page(request, access, form.panels, kind, name, status, **told)
    given = {
        "panels": form.panels,
        "kind": kind,
        "of": KINDS[kind],
        "names": names_for(access.plant),
        **told,
    }
    return render(request, "desk/record_new.html", given, status=status)


@require_POST
@in_plant("change")
def remove(request: HttpRequest, access: Access, kind: str, name: str) -> HttpResponse:
    """Take a record out of the plant."""
    _kind(kind)
    version = request.POST.get("version", "")
    edit = Edit((kind, name), None, int(version) if version.isdecimal() else None)
    plants.change(access.plant.pk, [edit], request.POST.get("why", ""), request.user)
    judge_later(access, request)
    if kind == "circuits":
        return redirect("register", slug=access.plant.slug)
    return redirect("records", slug=access.plant.slug, kind=kind)
