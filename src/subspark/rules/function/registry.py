"""The rules of function, declared: they ask whether a circuit works, never whether it is safe.

Each belongs to one kind of circuit, whose columns it reads. It has the shape of a safety rule,
demand and limit, and its verdict is told by other words: *works*, *fails*, *unproven*.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar

from subspark.rules.bound import All, Bound

__all__ = ["KINDS", "FunctionRule", "Kind", "function_rule", "function_rules", "kind", "kind_of"]

Columns = TypeVar("Columns")
UNITS = frozenset({"V", "A", "ohm", "W", "K", "%", "s", "Hz", "m", ""})


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of circuit: its name, what it is, and the class of its columns."""

    name: str
    says: str
    columns: type


@dataclass(frozen=True, slots=True)
class FunctionRule:
    """One question of function put to circuits of one kind.

    ``unit`` is that of both sides; ``cites`` says where the rule comes from; ``remedy`` what
    to do where it fails. ``near`` says that both sides lie close to each other by their nature,
    such as an alarm current and its threshold: where the rule holds, the share used is no
    measure of how near the circuit is to failing, and is not counted.
    """

    name: str
    kind: str
    says: str
    relation: str
    unit: str
    cites: str
    needs: tuple[str, ...]
    remedy: str
    evaluate: Callable[[Any], Bound | All]
    near: bool = False


KINDS: dict[str, Kind] = {}
_RULES: dict[str, dict[str, FunctionRule]] = {}


def kind(name: str, says: str) -> Callable[[type[Columns]], type[Columns]]:
    """Declare the columns of a kind of circuit."""

    def declare(columns: type[Columns]) -> type[Columns]:
        if name in KINDS:
            raise ValueError(f"kind {name!r} is declared twice")
        KINDS[name] = Kind(name, says, columns)
        _RULES[name] = {}
        return columns

    return declare


def kind_of(columns: type) -> Kind:
    """The kind that these columns are of."""
    return next(one for one in KINDS.values() if one.columns is columns)


def function_rule(  # noqa: PLR0913 - the parts of a declaration, each by its name
    name: str,
    of: type[Columns],
    *,
    says: str,
    relation: str,
    unit: str,
    cites: str,
    needs: tuple[str, ...],
    remedy: str,
    near: bool = False,
) -> Callable[[Callable[[Columns], Bound | All]], Callable[[Columns], Bound | All]]:
    """Declare a rule of function for the circuits whose columns are ``of``.

    Raises
    ------
    ValueError
        A name that stands twice, a column or unit that is not known, a part that is blank.
    """
    home = kind_of(of).name
    known = {one.name for one in dataclasses.fields(of)}  # type: ignore[arg-type]
    if name in _RULES[home]:
        raise ValueError(f"function rule {name!r} of {home!r} is declared twice")
    if unknown := [one for one in needs if one not in known]:
        raise ValueError(f"function rule {name!r} of {home!r} needs unknown columns {unknown}")
    if unit not in UNITS or not all((says, relation, cites, needs, remedy)):
        raise ValueError(f"function rule {name!r} of {home!r} lacks a part of its declaration")

    def declare(
        function: Callable[[Columns], Bound | All],
    ) -> Callable[[Columns], Bound | All]:
        _RULES[home][name] = FunctionRule(
            name, home, says, relation, unit, cites, needs, remedy, function, near
        )
        return function

    return declare


def function_rules(of: str) -> tuple[FunctionRule, ...]:
    """The rules of one kind of circuit, in the order of their declaration."""
    return tuple(_RULES[of].values())
