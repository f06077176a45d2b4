"""Subspark: proves, chooses, documents and keeps true the intrinsically safe circuits of a plant.

    >>> import subspark as ss
    >>> ss.__version__
    '0.1.0'

Verdicts are *safe*, *unsafe* and *unproven*; what is not known is never safe. The certificates,
the standards in force, local codes and a competent, licensed person decide.
"""

from __future__ import annotations

import sys
from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from subspark.assess import Assessment, Finding, RuleFinding, assess
    from subspark.errors import (
        InputError,
        MarkingError,
        PlantError,
        QuantityError,
        SubsparkError,
        UsageError,
    )
    from subspark.marking import read_marking
    from subspark.model import (
        ApparatusType,
        Area,
        Atmosphere,
        CableType,
        Certificate,
        Circuit,
        Condition,
        Datum,
        Declaration,
        Entry,
        Junction,
        Limits,
        Mark,
        Member,
        Output,
        Pair,
        Plant,
        Port,
        PortSupply,
        Run,
        SimpleType,
        SourceType,
        SourceUse,
        StandaloneCircuit,
        StandaloneRun,
        TemperatureRow,
    )
    from subspark.quantity import Evidence
    from subspark.rules import CODES, RULES, Verdict

__version__ = "0.1.0"

__all__ = [
    "CODES",
    "RULES",
    "ApparatusType",
    "Area",
    "Assessment",
    "Atmosphere",
    "CableType",
    "Certificate",
    "Circuit",
    "Condition",
    "Datum",
    "Declaration",
    "Entry",
    "Evidence",
    "Finding",
    "InputError",
    "Junction",
    "Limits",
    "Mark",
    "MarkingError",
    "Member",
    "Output",
    "Pair",
    "Plant",
    "PlantError",
    "Port",
    "PortSupply",
    "QuantityError",
    "RuleFinding",
    "Run",
    "SimpleType",
    "SourceType",
    "SourceUse",
    "StandaloneCircuit",
    "StandaloneRun",
    "SubsparkError",
    "TemperatureRow",
    "UsageError",
    "Verdict",
    "assess",
    "read_marking",
]

# Names are fetched when they are first used, so that `subspark --help` need not load NumPy.
_ROOMS = {
    "subspark.assess": (
        "Assessment",
        "Finding",
        "RuleFinding",
        "assess",
    ),
    "subspark.errors": (
        "InputError",
        "MarkingError",
        "PlantError",
        "QuantityError",
        "SubsparkError",
        "UsageError",
    ),
    "subspark.marking": ("read_marking",),
    "subspark.model": (
        "ApparatusType",
        "Area",
        "Atmosphere",
        "CableType",
        "Certificate",
        "Circuit",
        "Condition",
        "Datum",
        "Declaration",
        "Entry",
        "Junction",
        "Limits",
        "Mark",
        "Member",
        "Output",
        "Pair",
        "Plant",
        "Port",
        "PortSupply",
        "Run",
        "SimpleType",
        "SourceType",
        "SourceUse",
        "StandaloneCircuit",
        "StandaloneRun",
        "TemperatureRow",
    ),
    "subspark.quantity": ("Evidence",),
    "subspark.rules": (
        "CODES",
        "RULES",
        "Verdict",
    ),
}
_ROOM_OF = {name: room for room, names in _ROOMS.items() for name in names}


def __getattr__(name: str) -> object:
    room = _ROOM_OF.get(name)
    if room is None:
        raise AttributeError(f"module 'subspark' has no attribute {name!r}")
    value: object = getattr(import_module(room), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})


class _Face(ModuleType):
    """The public face, with ``assess`` always the function, never the package of that name.

    Importing a submodule binds it in its parent, which would hide the function.
    """

    @property
    def assess(self) -> object:
        """The function that judges a plant or a circuit."""
        return import_module("subspark.assess").assess

    @assess.setter
    def assess(self, _: object) -> None:
        """Leave the function where it is."""


sys.modules[__name__].__class__ = _Face
