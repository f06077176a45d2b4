"""The register of circuits."""

from __future__ import annotations

from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from subspark.desk.guard import in_plant
from subspark.errors import UsageError
from subspark.rules import RULES
from subspark.store.models import SavedView
from subspark.store.people import Access
from subspark.store.register import FIELDS, PAGE, SORTS, listing, terms

__all__ = ["end_view", "page", "save_view"]

_LAST = 10_000_000
_MOST_VIEWS = 30


def _number(text: str) -> int:
    return min(int(text), _LAST) if text.isdecimal() and len(text) < 12 else 0


@require_safe
@in_plant()
def page(request: HttpRequest, access: Access) -> HttpResponse:
    """The register by a filter, in an order; further pages by htmx."""
    typed = [part for part in request.GET.getlist("q") if part.strip()]
    wanted = terms(typed)
    sort = request.GET.get("sort", "")
    sort = sort if sort in SORTS else "order"
    down = request.GET.get("down") == "1"
    start = _number(request.GET.get("start", "0"))
    found = listing(access.plant.pk, wanted, sort, down=down, start=start)
    base = [("q", term.text) for term in wanted]
    given = {
        "found": found,
        "terms": [(term, _address(_without(base, term.text), sort, down=down)) for term in wanted],
        "sort": sort,
        "down": down,
        "heads": _heads(base, sort, down=down),
        "next": None if found.next is None else _address(base, sort, down=down, start=found.next),
        "before": None
        if start == 0
        else _address(base, sort, down=down, start=max(0, start - PAGE)),
        "last": start + len(found.rows),
        "query": urlencode(base),
        "fields": FIELDS,
        "rules": [one.name for one in RULES],
        "verdicts": [
            (
                word,
                count,
                _address([*_verdictless(base), ("q", f"verdict:{word}")], sort, down=down),
            )
            for word, count in found.by_verdict.items()
        ],
    }
    if request.htmx and request.GET.get("part") == "more":
        return render(request, "desk/register_rows.html", given)
    if not request.htmx or request.htmx.boosted:
        given["views"] = SavedView.objects.filter(plant=access.plant, person=request.user)
    template = "desk/register_table.html" if _is_part(request) else "desk/register.html"
    return render(request, template, given)


def _is_part(request: HttpRequest) -> bool:
    return bool(request.htmx) and not request.htmx.boosted


def _without(base: list[tuple[str, str]], text: str) -> list[tuple[str, str]]:
    return [one for one in base if one[1] != text]


def _verdictless(base: list[tuple[str, str]]) -> list[tuple[str, str]]:
    return [one for one in base if not one[1].lower().startswith("verdict:")]


def _address(base: list[tuple[str, str]], sort: str, *, down: bool, start: int = 0) -> str:
    parts = list(base)
    if sort != "order":
        parts.append(("sort", sort))
    if down:
        parts.append(("down", "1"))
    if start:
        parts.append(("start", str(start)))
    return "?" + urlencode(parts)


def _heads(base: list[tuple[str, str]], sort: str, *, down: bool) -> dict[str, dict[str, str]]:
    """For each sortable column, where its heading leads and how it is sorted now."""
    heads = {}
    for name in SORTS:
        mine = name == sort
        first_down = name in ("used", "verdict", "open")
        turned = not down if mine else first_down
        heads[name] = {
            "href": _address(base, name, down=turned),
            "now": ("descending" if down else "ascending") if mine else "none",
        }
    return heads


@require_POST
@in_plant()
def save_view(request: HttpRequest, access: Access) -> HttpResponse:
    """Keep a filter under a name."""
    title = " ".join(request.POST.get("title", "").split())[:80]
    if not title:
        raise UsageError("a view wants a name")
    query = request.POST.get("query", "")[:1000]
    own = SavedView.objects.filter(plant=access.plant, person=request.user)
    if own.count() >= _MOST_VIEWS:
        raise UsageError(f"there are {_MOST_VIEWS} views already; remove one first")
    SavedView.objects.update_or_create(
        plant=access.plant, person=request.user, title=title, defaults={"query": query}
    )
    return redirect(reverse("register", args=[access.plant.slug]) + "?" + query)


@require_POST
@in_plant()
def end_view(request: HttpRequest, access: Access, number: int) -> HttpResponse:
    """Forget a view."""
    view = get_object_or_404(SavedView, pk=number, plant=access.plant, person=request.user)
    view.delete()
    return redirect("register", slug=access.plant.slug)
