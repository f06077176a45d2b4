"""A choice of types for a plant: what was asked, what is proposed, and what is proved of it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from subspark.choose.change import Change
from subspark.choose.covering import Result
from subspark.choose.filters import Wishes

__all__ = ["Ask", "Miss", "Proposal", "TypeLine"]


@dataclass(frozen=True, slots=True)
class Ask:
    """What is asked of a standard choice of types.

    ``stocking`` is the cost of each further type kept in stores, ``replacing`` that of putting
    another type where one serves already, ``spare`` the share of channels kept free. ``forced``
    and ``forbidden`` name types. ``of`` says what is chosen.
    """

    margin: float = 1.0
    order: Literal["types", "cost"] = "types"
    stocking: float = 0.0
    replacing: float = 0.0
    spare: float = 0.0
    time_limit: float = 60.0
    wishes: Wishes = field(default_factory=Wishes)
    forced: tuple[str, ...] = ()
    forbidden: tuple[str, ...] = ()
    of: Literal["sources", "cables"] = "sources"


@dataclass(frozen=True, slots=True)
class TypeLine:
    """One type before and after: circuits on it, and modules to buy.

    ``chosen`` says that it is of the choice; a type that is not may stay in use only in circuits
    that nothing serves.
    """

    name: str
    maker: str
    before: int
    after: int
    bought: int
    price: float | None
    chosen: bool


@dataclass(frozen=True, slots=True)
class Miss:
    """A circuit that no type serves, and what comes nearest."""

    tag: str
    nearest: str
    reason: str


@dataclass(frozen=True, slots=True)
class Proposal:
    """A choice of types for a plant, as a change that can be reviewed and applied.

    ``left`` are circuits that were not asked (several sources, segments, certificates for a
    combination): they stay as they are, and their types stay in stores. ``first`` is the
    optimiser's answer before anything was struck out: its bounds hold for the whole problem,
    whatever was struck out after.
    """

    ask: Ask
    result: Result
    first: Result
    lines: tuple[TypeLine, ...]
    misses: tuple[Miss, ...]
    left: tuple[str, ...]
    change: Change
    priced: bool
    rounds: int
    struck: int

    @property
    def types_proved(self) -> bool:
        """Whether no choice keeps fewer types in stores."""
        return _strength(self.result, self.first)[0]

    @property
    def proved(self) -> bool:
        """Whether nothing is better in the order asked."""
        types, cost = _strength(self.result, self.first)
        return types and cost if self.ask.order == "types" else cost

    @property
    def gap(self) -> float:
        """How far the least cost may still lie below, as a share; of plans of as few types."""
        total = self.result.cost.total
        return float((total - self.first.bound) / total) if total > self.first.bound else 0.0

    @property
    def types_before(self) -> int:
        """How many types are in use now, in circuits that were asked and others."""
        return sum(one.before > 0 for one in self.lines)

    @property
    def types_unserved(self) -> int:
        """How many types would stay in use only in circuits that nothing serves."""
        return sum(one.after > 0 and not one.chosen for one in self.lines)

    @property
    def types_after(self) -> int:
        """How many types would be in use."""
        return sum(one.after > 0 for one in self.lines)


def _strength(found: Result, first: Result) -> tuple[bool, bool]:
    """Whether the number of types, and the cost, are proved to be the least.

    Of a choice that serves fewer circuits than the first answer nothing is proved: its bounds
    are of serving them all.
    """
    if len(found.unserved) > len(first.unserved):
        return False, False
    types = len(found.chosen) == first.types_bound
    if found.order == "types":
        return types, types and first.proved and found.cost.total <= first.bound
    return types, first.proved and found.cost.total <= first.bound
