"""The register: circuits filtered, sorted and counted by the database.

A filter is a list of terms. A term is ``field:words`` or bare words; all terms must hold:
``verdict:unsafe``, ``area:SKID-1``, ``limit:capacitance``, ``source:isolator``,
``apparatus:valve``, ``open:yes``, ``used:90`` (at least 90 %), or anything written in a circuit.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Count, Q, QuerySet

from subspark.assess import Missing
from subspark.assess.needs import rank
from subspark.rules import Verdict
from subspark.store.judging import needs_of_text
from subspark.store.models import VerdictRow

__all__ = [
    "FIELDS",
    "PAGE",
    "SORTS",
    "Listing",
    "Term",
    "band",
    "counts",
    "listing",
    "missing",
    "tags",
    "terms",
]

PAGE = 100
_MOST_TERMS = 12
_LONGEST_TERM = 120

FIELDS = {
    "tag": "the tag",
    "service": "the service",
    "area": "the area",
    "source": "the source type",
    "apparatus": "the apparatus type",
    "verdict": "safe, unsafe or unproven",
    "limit": "the closest limit: the name of a rule",
    "open": "yes: something is missing; no: nothing is",
    "used": "at least so many percent used",
    "works": "works, fails or unproven: whether the circuit does its work",
}
"""The fields of a filter, and what each looks at."""

SORTS: dict[str, tuple[str, ...]] = {
    "tag": ("tag",),
    "used": ("used", "tag"),
    "area": ("area", "tag"),
    "limit": ("governing", "tag"),
    "verdict": ("verdict", "used", "tag"),
    "open": ("open_points", "tag"),
    "order": ("entry__place",),
}
"""The columns by which the register is sorted."""

_WORDS = {"safe": Verdict.SAFE, "unproven": Verdict.UNPROVEN, "unsafe": Verdict.UNSAFE}
_TEXTS = {
    "tag": "tag",
    "service": "service",
    "area": "area",
    "source": "source",
    "apparatus": "apparatus",
    "limit": "governing",
}


@dataclass(frozen=True, slots=True)
class Term:
    """One term of a filter as it was written, with what it asks."""

    text: str
    field: str
    words: str

    @property
    def condition(self) -> Q:
        """The condition of the database."""
        if self.field == "verdict":
            found = _WORDS.get(self.words.lower())
            return Q(pk__in=[]) if found is None else Q(verdict=int(found))
        if self.field == "open":
            return Q(open_points=0) if self.words.lower() == "no" else Q(open_points__gt=0)
        if self.field == "used":
            return Q(used__gte=_share(self.words))
        if self.field == "works":
            return Q(works=self.words.lower())
        if self.field in _TEXTS:
            return Q(**{f"{_TEXTS[self.field]}__icontains": self.words})
        return Q(search__contains=self.words.lower())


def _share(words: str) -> float:
    try:
        return float(words.strip(" %<>=")) / 100
    except ValueError:
        return 0.0


def terms(texts: Iterable[str]) -> list[Term]:
    """The terms of a filter; blank and repeated ones are passed over."""
    found: dict[str, Term] = {}
    for given in texts:
        text = " ".join(given.replace("\x00", "").split())[:_LONGEST_TERM]
        field, colon, words = text.partition(":")
        if not text or text in found or len(found) >= _MOST_TERMS:
            continue
        known = colon and field.lower() in FIELDS and words.strip()
        found[text] = Term(text, field.lower() if known else "", words.strip() if known else text)
    return list(found.values())


@dataclass(frozen=True, slots=True)
class Listing:
    """One page of the register: its rows, how many there are in all, by verdict."""

    rows: list[VerdictRow]
    total: int
    by_verdict: dict[str, int]
    start: int

    @property
    def next(self) -> int | None:
        """Where the next page begins; None on the last."""
        after = self.start + len(self.rows)
        return after if after < self.total else None


def _filtered(plant: int, wanted: Sequence[Term]) -> QuerySet[Any]:
    rows = VerdictRow.objects.filter(plant_id=plant)
    for term in wanted:
        rows = rows.filter(term.condition)
    return rows


def counts(plant: int, wanted: Sequence[Term] = ()) -> dict[str, int]:
    """How many circuits are safe, unsafe and unproven."""
    grouped = _filtered(plant, wanted).order_by().values_list("verdict").annotate(Count("pk"))
    by_number = dict(grouped)
    return {word: by_number.get(int(verdict), 0) for word, verdict in _WORDS.items()}


def listing(
    plant: int, wanted: Sequence[Term], sort: str = "order", *, down: bool = False, start: int = 0
) -> Listing:
    """One page of the register, in two queries.

    Parameters
    ----------
    plant : int
        Its row.
    wanted : sequence of Term
        The filter.
    sort : str
        A key of :data:`SORTS`.
    down : bool
        Largest first.
    start : int
        The first row wanted, from 0.
    """
    by_verdict = counts(plant, wanted)
    order = [f"-{name}" if down else name for name in SORTS.get(sort, SORTS["order"])]
    rows = _filtered(plant, wanted).order_by(*order).defer("search", "needs")
    start = max(0, start)
    return Listing(list(rows[start : start + PAGE]), sum(by_verdict.values()), by_verdict, start)


def tags(plant: int, wanted: Sequence[Term]) -> list[str]:
    """The tags of all circuits of a filter, in the order of the plant."""
    rows = _filtered(plant, wanted).order_by("entry__place")
    return list(rows.values_list("tag", flat=True))


def band(plant: int) -> list[tuple[str, int, float]]:
    """Every circuit with its verdict and utilisation, unsafe first, the fullest first."""
    rows = VerdictRow.objects.filter(plant_id=plant)
    return list(rows.order_by("-used", "tag").values_list("tag", "verdict", "used"))


def missing(plant: int) -> list[Missing]:
    """The few values and declarations that would settle most unproven circuits."""
    rows = VerdictRow.objects.filter(plant_id=plant, open_points__gt=0)
    return rank(needs_of_text(text) for text in rows.values_list("needs", flat=True))
