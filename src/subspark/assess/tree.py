"""The working of a circuit as a tree: what every face (terminal, page, paper) draws from.

Texts are in the engineer's units; ``refs`` are numbers of the :class:`Reference` in which a
number stands.
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from typing import Any

__all__ = [
    "Block",
    "Check",
    "Line",
    "Reference",
    "Section",
    "Stair",
    "Stairs",
    "Table",
    "Working",
]


@dataclass(frozen=True, slots=True)
class Line:
    """One line: a label (may be blank), what is said, and where it was read."""

    text: str
    label: str = ""
    refs: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under headings."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Check:
    """One rule with its numbers put in. ``remedy`` is blank where the rule holds."""

    rule: str
    verdict: str
    says: str
    relation: str
    numbers: str
    utilisation: float | None
    clause: str
    remedy: str = ""


@dataclass(frozen=True, slots=True)
class Reference:
    """One place of evidence, and what was read there."""

    number: int
    text: str
    of: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Stair:
    """One step of a staircase. ``share`` is what is left as a share of the highest step."""

    label: str
    change: str
    left: str
    share: float | None


@dataclass(frozen=True, slots=True)
class Stairs:
    """A budget as a staircase: from what is there, step by step, to what is left and needed."""

    title: str
    at: str
    steps: tuple[Stair, ...]
    left: str
    needed: str
    left_share: float | None
    needed_share: float | None


Block = Line | Table | Check | Reference | Stairs


@dataclass(frozen=True, slots=True)
class Section:
    """A part of the working under its title. ``key`` names it for programs."""

    key: str
    title: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Working:
    """The whole working of one circuit in its governing case."""

    tag: str
    service: str
    verdict: str
    sentence: str
    case: str
    code: str
    sections: tuple[Section, ...]

    def section(self, key: str) -> Section | None:
        """The section of that key; None where the circuit has none."""
        return next((one for one in self.sections if one.key == key), None)

    def as_dict(self) -> dict[str, Any]:
        """Plain data for JSON; see docs/json.md."""
        head = ("tag", "service", "verdict", "sentence", "case", "code")
        plain: dict[str, Any] = {name: getattr(self, name) for name in head}
        plain["sections"] = [
            {
                "key": one.key,
                "title": one.title,
                "blocks": [
                    {"sort": type(block).__name__.lower(), **dataclasses.asdict(block)}
                    for block in one.blocks
                ],
            }
            for one in self.sections
        ]
        return plain
