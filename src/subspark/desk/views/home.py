"""The plants of a person, and the first page of one: the health of the whole in one look."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from urllib.parse import urlencode

from django.db.models import Count
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from subspark.assess import Missing
from subspark.desk.guard import in_plant, refused, signed_in
from subspark.desk.panels import Posted, panels_of, posted
from subspark.errors import PlantError, UsageError
from subspark.exchange.fields import fields_of
from subspark.model import Declaration, Plant
from subspark.rules import CODES, Verdict, code
from subspark.store import history, inspecting, people, register
from subspark.store import plants as store
from subspark.store.kinds import HEAD_KEY, KINDS
from subspark.store.models import EntryRow, JobRow, Membership, PlantRow, VerdictRow
from subspark.store.people import Access

__all__ = ["head", "new", "plant", "plants", "start"]

_BARS = 400
_NEEDS = 8
_CHANGES = 6


@require_safe
@signed_in
def start(request: HttpRequest) -> HttpResponse:
    """Go to the one plant, or to the list of them."""
    own = people.plants_of(request.user)
    if len(own) == 1:
        return redirect("plant", slug=own[0][0].slug)
    return redirect("plants")


@require_safe
@signed_in
def plants(request: HttpRequest) -> HttpResponse:
    """Every plant of this person."""
    own = people.plants_of(request.user)
    grouped = (
        VerdictRow.objects.filter(plant__in=[one for one, _ in own])
        .order_by()
        .values_list("plant", "verdict")
        .annotate(Count("pk"))
    )
    by_plant: dict[int, dict[str, int]] = {}
    for pk, verdict, count in grouped:
        by_plant.setdefault(pk, {})[Verdict(verdict).word] = count
    rows = [(one, role, by_plant.get(one.pk, {})) for one, role in own]
    return render(
        request,
        "desk/plants.html",
        {"rows": rows, "codes": [(name, code(name).title) for name in CODES], "empty": not rows},
    )


@require_POST
@signed_in
def new(request: HttpRequest) -> HttpResponse:
    """Make a plant: the demo, or an empty one."""
    if not request.user.keeper:
        return refused(request, PermissionError())
    sort = request.POST.get("sort", "")
    if sort == "demo":
        from subspark.demo import build_plant

        row = store.create(build_plant(), "the demo plant, taken in whole", request.user)
    elif sort == "empty":
        name = " ".join(request.POST.get("name", "").split())
        if not name:
            raise UsageError("a plant wants a name")
        made = Plant(name=name, code=request.POST.get("code", "IEC-2024"))
        row = store.create(made, "an empty plant, to be filled", request.user)
    else:
        raise UsageError("a plant is made as the demo, empty, or from a file")
    Membership.objects.get_or_create(
        plant=row, person=request.user, defaults={"role": "administrator"}
    )
    return redirect("plant", slug=row.slug)


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar of the band: a circuit, or several where they are too many."""

    x: int
    y: float
    height: float
    word: str
    tag: str
    says: str
    count: int


def bars(rows: list[tuple[str, int, float]]) -> list[Bar]:
    """The band of all circuits: unsafe first, the fullest first, no more than a page is wide."""
    ordered = sorted(rows, key=lambda one: (-one[1], -one[2], one[0]))
    step = max(1, -(-len(ordered) // _BARS))
    found = []
    for x, start_ in enumerate(range(0, len(ordered), step)):
        part = ordered[start_ : start_ + step]
        tag, verdict, used = part[0]
        height = 100.0 if used < 0 else max(2.0, min(used, 1.2) * 100)
        word = Verdict(verdict).word
        more = f" and {len(part) - 1} more" if len(part) > 1 else ""
        told = f"{tag}{more}: {word}" + ("" if used < 0 else f", {used:.0%} used")
        found.append(Bar(x, 120.0 - height, height, word, tag, told, len(part)))
    return found


@require_safe
@in_plant()
def plant(request: HttpRequest, access: Access) -> HttpResponse:
    """The first page of a plant."""
    row = access.plant
    band = register.band(row.pk)
    found = bars(band)
    kinds = dict(
        EntryRow.objects.filter(plant=row, gone=False)
        .order_by()
        .values_list("kind")
        .annotate(Count("pk"))
    )
    counts = dict.fromkeys(("safe", "unsafe", "unproven"), 0)
    for _, verdict, _ in band:
        counts[Verdict(verdict).word] += 1
    missing = register.missing(row.pk) if counts["unproven"] else []
    worst = (
        VerdictRow.objects.filter(plant=row, verdict=int(Verdict.UNSAFE))
        .order_by("-used", "tag")
        .defer("search", "needs")[:_NEEDS]
    )
    job = JobRow.objects.filter(plant=row, state__in=("waiting", "running")).order_by("pk").first()
    return render(
        request,
        "desk/plant.html",
        {
            "bars": found,
            "wide": max(1, len(found)) * 3,
            "counts": counts,
            "total": len(band),
            "missing": _led(row, missing[:_NEEDS]),
            "missing_more": max(0, len(missing) - _NEEDS),
            "worst": worst,
            "kinds": [(kind, one.title, kinds.get(kind, 0)) for kind, one in KINDS.items()],
            "changes": row.changes.order_by("-revision")[:_CHANGES],
            "points": _open_points(row),
            "stale": VerdictRow.objects.filter(plant=row, stale=True).count(),
            "job": job,
            "code": code(row.code).title,
        },
    )


_OF = {
    "source": "sources",
    "simple apparatus": "simple",
    "apparatus": "apparatus",
    "certificate": "certificates",
    "area": "areas",
    "cable": "cables",
    "junction": "junctions",
    "circuit": "circuits",
}
"""The kind of record that a need begins with, and where its page is."""

_FACTS = {
    "bonding evidenced": "bonding",
    "construction evidenced": "cable construction",
    "answer the cross-check": "cross-check answered",
    "its special conditions answered": "conditions answered",
    "barrier earth": "barrier earth resistance",
}
"""Facts that are asked for in other words than they are declared."""


def _led(row: PlantRow, missing: list[Missing]) -> list[tuple[Missing, str]]:
    """What to ask for next, each with the page where it is given; blank where there is none."""
    things = {one.need.of: _thing(one.need.of) for one in missing}
    there = set(
        EntryRow.objects.filter(
            plant=row, gone=False, name__in=[name for _, name in things.values()]
        ).values_list("kind", "name")
    )
    found = []
    for one in missing:
        word, name = things[one.need.of]
        key = (_OF.get(word, ""), name)
        address = ""
        if one.need.how in ("declaration", "answer"):
            address = _declared(row, word or one.need.of, name, one.need.what)
        elif key in there:
            address = reverse("record", args=[row.slug, *key])
            if key[0] == "circuits":
                address = reverse("circuit", args=[row.slug, name])
        found.append((one, address))
    return found


def _thing(of: str) -> tuple[str, str]:
    """The word and the name of "source RW-1126"."""
    for word in _OF:
        if of.startswith(f"{word} "):
            return word, of.removeprefix(f"{word} ")
    return "", of.removeprefix("cabinet ")


def _declared(row: PlantRow, word: str, name: str, what: str) -> str:
    """The form of a declaration, as far as it is known what is to be declared."""
    known = fields_of(Declaration)
    scope = "cabinet" if word.startswith("cabinet ") else word
    given = {}
    if scope in known["scope"].choices:
        given["scope"] = scope
        if scope != "plant":
            given["of"] = name
    begun = next((fact for start, fact in _FACTS.items() if what.startswith(start)), "")
    fact = begun or next((one for one in known["fact"].choices if one and what.startswith(one)), "")
    if fact:
        given["fact"] = fact
    address = reverse("record-new", args=[row.slug, "declarations"])
    return f"{address}?{urlencode(given)}" if given else address


def _open_points(row: PlantRow) -> list[tuple[int, str, str, str]]:
    """What stands open in a plant: how many, of what, and where it is seen."""
    issue = history.last_issue(row)
    states = Counter(
        history.standing(one) for one in history.since(row, 0 if issue is None else issue.revision)
    )
    circuits = VerdictRow.objects.filter(plant=row)
    lacking = circuits.filter(open_points__gt=0).count()
    failing = circuits.filter(works="fails").count()
    faulty = inspecting.states(row.pk)["faults"]
    lines = [
        (lacking, "circuit", "with something missing", "?q=open:yes"),
        (failing, "circuit", "that would not work", "?q=works:fails"),
        (faulty, "circuit", "with faults at the last inspection", "inspections"),
        (states["sent back"], "change", "sent back by a checker", "changes"),
        (states["waits"], "change", "not checked since the last issue", "changes"),
    ]
    return [one for one in lines if one[0]]


@in_plant("manage")
def head(request: HttpRequest, access: Access) -> HttpResponse:
    """The name of the plant and the code by which it is judged."""
    if request.method == "POST":
        form = posted(request.POST, access.plant, request.user)
        try:
            if not form.faults:
                store.change(access.plant.pk, form.edits, request.POST.get("why", ""), request.user)
                judge_later(access, request)
                return redirect("plant", slug=access.plant.slug)
        except PlantError as error:
            form.tell(error)
        return _head_page(request, form.panels, form, 422)
    return _head_page(request, panels_of(access.plant, [HEAD_KEY]), None, 200)


def _head_page(
    request: HttpRequest, panels: object, form: Posted | None, status: int
) -> HttpResponse:
    faults = {} if form is None else form.faults
    given = {
        "panels": panels,
        "faults": faults,
        "codes": [(name, code(name).title) for name in CODES],
        "why": request.POST.get("why", ""),
    }
    return render(request, "desk/head.html", given, status=status)


def judge_later(
    access: Access, request: HttpRequest, done: store.Done | None = None
) -> JobRow | None:
    """Put what waits to be judged in the queue, where a change (``done``) has left any."""
    from subspark.store import jobs

    if done is not None and not done.waiting:
        return None
    if not VerdictRow.objects.filter(plant=access.plant, stale=True).exists():
        return None
    given = {"plant": access.plant.pk}
    return jobs.ask("judge", "Judging circuits", access.plant, request.user, given)


def summary_of(row: PlantRow) -> dict[str, int]:
    """How many circuits are what; for the API."""
    return register.counts(row.pk)
