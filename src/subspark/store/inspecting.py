"""Inspections on site: what was found, and lengths as they were measured."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from typing import Any

from django.db.models import Count, OuterRef, QuerySet, Subquery
from django.utils import timezone

from subspark.errors import UsageError
from subspark.model import Circuit
from subspark.store.kinds import plain_of, read_content, text_of
from subspark.store.models import FOUND, GRADES, Inspection, Person, PlantRow, VerdictRow

__all__ = ["FOUND", "GRADES", "STATES", "in_state", "measured", "record", "states", "with_last"]

STATES = ("faults", "never", "in order")
"""What the last inspection of a circuit found, or that there was none."""

_BARE = re.compile(r"[\d.]+")
_LONGEST = 1000


def with_last(plant: int) -> QuerySet[Any]:
    """The register, each circuit with the day, grade and finding of its last inspection."""
    own = Inspection.objects.filter(plant_id=OuterRef("plant_id"), tag=OuterRef("tag"))
    latest = own.order_by("-day", "-pk")
    return VerdictRow.objects.filter(plant_id=plant).annotate(
        last_day=Subquery(latest.values("day")[:1]),
        last_grade=Subquery(latest.values("grade")[:1]),
        last_found=Subquery(latest.values("found")[:1]),
    )


def in_state(rows: QuerySet[Any], state: str) -> QuerySet[Any]:
    """Of the register with last inspections, the circuits of a state of :data:`STATES`."""
    if state == "never":
        return rows.filter(last_found=None)
    return rows.filter(last_found=state) if state in FOUND else rows


def states(plant: int) -> dict[str, int]:
    """How many circuits are in each state of :data:`STATES`, in two queries."""
    tags = Inspection.objects.filter(plant_id=plant).values("tag")
    inspected = with_last(plant).filter(tag__in=tags).values_list("last_found")
    counted = dict(inspected.order_by("last_found").annotate(Count("pk")))
    never = VerdictRow.objects.filter(plant_id=plant).count() - sum(counted.values())
    return {state: never if state == "never" else counted.get(state, 0) for state in STATES}


def measured(circuit: Circuit, lengths: Mapping[int, str], person: Person | None) -> Circuit:
    """A circuit with lengths as they were measured, by the number of the run from 0.

    A bare number is in metres; a length that is as it was, or blank, stays with its evidence.

    Raises
    ------
    PlantError
        A length cannot be read.
    """
    plain = plain_of(circuit)
    evidence = {"document": "measured on site", "page": timezone.localdate().isoformat()}
    if person is not None:
        evidence["by"] = str(person)
    for number, run in enumerate(plain.get("runs", [])):
        text = " ".join(lengths.get(number, "").split())[:100]
        held = run.get("length", "")
        was = held.get("text", "") if isinstance(held, dict) else held
        if _BARE.fullmatch(text):
            text = f"{text} m"
        if text and text != was:
            run["length"] = {"text": text, "evidence": evidence}
            run["as_built"] = "yes"
    made = read_content("circuits", text_of(plain))
    if not isinstance(made, Circuit):  # pragma: no cover - the content of a circuit is one
        raise UsageError("this is no circuit")
    return made


def record(plant: PlantRow, tag: str, person: Person, given: Mapping[str, str]) -> Inspection:
    """Keep an inspection of a circuit.

    Parameters
    ----------
    plant, tag : PlantRow, str
        The circuit.
    person : Person
        Who inspected it.
    given : mapping of str to str
        ``day`` (2026-03-01), ``grade``, ``found`` and ``remark``.

    Raises
    ------
    UsageError
        A day that is none or still to come, an unknown grade or finding, or faults without a
        remark that says which.
    """
    grade, found = given.get("grade", ""), given.get("found", "")
    remark = " ".join(given.get("remark", "").split())[:_LONGEST]
    if grade not in GRADES:
        raise UsageError(f"grade {grade!r}: wanted one of {', '.join(GRADES)}")
    if found not in FOUND:
        raise UsageError(f"found {found!r}: wanted one of {', '.join(FOUND)}")
    try:
        day = dt.date.fromisoformat(given.get("day", ""))
    except ValueError:
        raise UsageError(f"day {given.get('day', '')!r}: wanted such as 2026-03-01") from None
    if day > timezone.localdate() + dt.timedelta(days=1):  # it may be tomorrow elsewhere
        raise UsageError(f"day {day}: is still to come")
    if found == "faults" and not remark:
        raise UsageError("faults were found: the remark wants to say which")
    return Inspection.objects.create(
        plant=plant,
        tag=tag,
        revision=plant.revision,
        day=day,
        grade=grade,
        found=found,
        remark=remark,
        person=person,
        by=str(person),
    )
