"""Cases of function: one device of one circuit, as a row of figures of its kind of circuit."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from subspark.assess.function.facts import Loop, Point
from subspark.quantity import Spread

__all__ = ["BUILDERS", "Build", "Each", "FunctionCase", "Staircase", "Step", "builder"]


@dataclass(frozen=True, slots=True)
class Each:
    """A figure of every member; ``square``, of every two of them, row by row."""

    figures: tuple[Spread, ...]
    square: bool = False

    @property
    def known(self) -> bool:
        """Whether both ends of every one are known."""
        return not any(math.isnan(one.low + one.high) for one in self.figures)


Figure = Spread | float | tuple[Point, ...] | Each


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a staircase: what it is, what it takes, what is left after it [SI].

    ``of`` counts the steps that stand for runs of cable.
    """

    label: str
    change: float
    left: float


@dataclass(frozen=True, slots=True)
class Staircase:
    """From what is there to what is left, against what is needed, at the worst corner.

    ``unit`` is "V", "ohm" or "K". ``at`` says where it was taken, such as "22.5 mA".
    """

    title: str
    unit: str
    at: str
    steps: tuple[Step, ...]
    left: float
    needed: float


@dataclass(frozen=True, slots=True)
class FunctionCase:
    """One row of figures: of which kind, of which device, and how its budget is told.

    ``values`` holds each column of the kind by its name: a :class:`Spread`, a plain number, the
    points of a table, or a figure of every member. ``of`` names the device for people.
    ``stairs`` gives the staircase at a current [A]; NaN takes the worst end. ``lacks`` names what
    is missing beside figures of columns.
    """

    kind: str
    of: str
    values: dict[str, Figure]
    notes: tuple[str, ...] = ()
    stairs: Callable[[float], Staircase | None] | None = None
    lacks: tuple[str, ...] = ()


Build = Callable[[Loop], Iterator[FunctionCase]]
BUILDERS: list[Build] = []
"""What makes cases of a circuit; each takes the circuits of its own kinds and yields their rows."""


def builder(function: Build) -> Build:
    """Declare what makes the cases of some kind of circuit."""
    BUILDERS.append(function)
    return function
