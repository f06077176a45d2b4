"""Declarations: a fact stated once serves every circuit under it, the narrowest scope first."""

from __future__ import annotations

from collections.abc import Iterable

from subspark.model import Declaration, Fact

__all__ = ["Declared", "says_yes"]

_SCOPES = ("circuit", "certificate", "cable", "apparatus", "source", "cabinet", "area", "plant")


class Declared:
    """The declarations of a plant, found by fact and scope."""

    def __init__(self, declarations: Iterable[Declaration]) -> None:
        by: dict[str, dict[str, dict[str, Declaration]]] = {}
        for one in declarations:
            named = one.of if one.scope != "plant" else ""
            by.setdefault(one.fact, {}).setdefault(one.scope, {})[named] = one
        self._by = {
            fact: [(scope, scopes[scope]) for scope in _SCOPES if scope in scopes]
            for fact, scopes in by.items()
        }

    def find(self, fact: Fact, **names: str) -> Declaration | None:
        """The narrowest declaration of a fact for things so named.

        Parameters
        ----------
        fact : Fact
            What is asked.
        **names : str
            Names by scope: ``circuit="FT-101"``, ``area="A1"`` ...; blank names are passed over.
        """
        for scope, held in self._by.get(fact, ()):
            name = names.get(scope, "")
            if scope != "plant" and not name:
                continue
            found = held.get(name)
            if found is not None:
                return found
        return None

    def value(self, fact: Fact, **names: str) -> str:
        """The statement of the narrowest declaration, or blank."""
        found = self.find(fact, **names)
        return "" if found is None else found.value

    def holds(self, fact: Fact, **names: str) -> bool:
        """Whether a fact is declared with a word that says yes."""
        return says_yes(self.value(fact, **names))


_YES = frozenset({"yes", "evidenced", "standard", "passive", "answered", "assessed", "confirmed"})


def says_yes(value: str) -> bool:
    """Whether the statement of a declaration is a word that says yes."""
    return value.lower() in _YES
