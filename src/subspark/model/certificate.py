"""Certificates and their special conditions; declarations that serve many circuits at once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from subspark.model.base import Answer, Record
from subspark.quantity import Evidence

__all__ = ["Certificate", "Condition", "Declaration", "Fact"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition(Record):
    """A specific condition of use of a certificate, and whether the plant meets it."""

    text: str
    answered: Answer = ""
    evidence: Evidence = Evidence()


@dataclass(frozen=True, slots=True, kw_only=True)
class Certificate(Record):
    """A certificate as issued.

    ``suffix`` X: conditions of use, each of which must be answered; U: a component, never
    to be used alone. ``status`` "withdrawn" leaves what leans on it unproven. ``listing`` names
    the codes of North America by whose laboratories the equipment is listed.
    """

    number: str
    issue: str = ""
    suffix: Literal["X", "U", ""] = ""
    status: Literal["in force", "superseded", "withdrawn", ""] = ""
    listing: Literal["NEC", "CEC", "NEC, CEC", ""] = ""
    conditions: tuple[Condition, ...] = ()
    evidence: Evidence = Evidence()


Fact = Literal[
    "safe side voltage",
    "source place",
    "apparatus isolation",
    "barrier earth resistance",
    "barrier earth conductors",
    "cable construction",
    "segregation",
    "bonding",
    "conditions answered",
    "passive",
    "cross-check answered",
    "atmospheric conditions",
    "cabinet ambient",
    "simple assessment",
    "fieldbus figures confirmed",
    "fieldbus edition",
    "supply voltage",
    "load resistance",
    "load place",
    "input limit voltage",
    "conductor temperature",
    "HART",
    "margin",
]
"""What a declaration can state. Each names a question that some rule asks; the last seven are
functional figures, in the words of :data:`subspark.model.TERMS`, and decide nothing of safety."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Declaration(Record):
    """A fact stated once that serves every circuit under its scope.

    ``scope`` says what kind of thing it holds for, ``of`` which one (blank for the plant).
    Where several apply the narrowest wins: circuit, then item, then cabinet, then area,
    then plant. ``value`` is the statement: ``"250 V"``, ``"yes"``, ``"2 x 1.5 mm2"``.
    """

    fact: Fact
    value: str
    scope: Literal[
        "plant", "area", "cabinet", "source", "apparatus", "cable", "certificate", "circuit"
    ] = "plant"
    of: str = ""
    evidence: Evidence = Evidence()
