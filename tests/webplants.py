"""Plants and people for tests of the store and the desk."""

from __future__ import annotations

import itertools
from functools import cache
from typing import Any

from subspark.demo import build_plant
from subspark.model import Plant
from subspark.store.ledger import Ledger

_NUMBER = itertools.count(1)

# AT-4091: capacitance 115 % (a deliberate fault of the demo plant); PT-1101 safe; the others
# share a multicore, a box with a thermal resistance or lack something.
TAGS = ("AT-4091", "PT-1101", "PT-1102", "TT-1001", "LT-1001", "PI-1191", "FT-4091")


@cache
def demo() -> Plant:
    """The demo plant."""
    return build_plant()


@cache
def small() -> Plant:
    """A few circuits of the demo plant with all that concerns them."""
    ledger = Ledger.of(demo())
    return ledger.part(ledger.concerned(TAGS))


def stored(plant: Plant | None = None) -> Any:
    """A plant in the database, anew for each test."""
    from subspark.store import plants

    return plants.create(small() if plant is None else plant, "taken in for a test", None, "test")


def person(plant: Any = None, role: str = "", *, keeper: bool = False) -> Any:
    """Somebody, with a role in a plant."""
    from subspark.store import people

    made = people.make_person(f"person-{next(_NUMBER)}", keeper=keeper)
    if role:
        people.set_role(plant, made, role)
    return made


def client(who: Any = None) -> Any:
    """A browser without a screen, signed in as somebody."""
    from django.test import Client

    made = Client(enforce_csrf_checks=False)
    if who is not None:
        made.force_login(who, backend="django.contrib.auth.backends.ModelBackend")
    return made


def circuit(plant: Any, tag: str) -> Any:
    """A circuit as it is saved."""
    from subspark.store import plants

    with plants.held(plant.pk) as ledger:
        return ledger.circuit(tag)


def version(plant: Any, kind: str, name: str) -> int:
    """The version of a record as it is saved."""
    from subspark.store.models import EntryRow

    return EntryRow.objects.get(plant=plant, kind=kind, name=name).version
