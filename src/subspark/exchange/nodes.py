"""A plant while it is being read: records not yet built, each knowing the row it came from.

Every reader first gathers nodes and faults, then builds all records at once, so that what is
wrong in a cell and what is wrong between cells (an unknown name, a tag twice) are told
together, each at its place.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from subspark.errors import Fault, InputError, PlantError
from subspark.exchange.fields import Field, fields_of
from subspark.exchange.layout import Sheet, Slot
from subspark.model import Record

__all__ = ["Node", "RowError", "Spot", "build", "faults_of_plant"]


@dataclass(frozen=True, slots=True)
class Spot:
    """The place of a cell: its sheet, row (from 1, as spreadsheets count) and heading."""

    sheet: str
    row: int
    title: str = ""

    def __str__(self) -> str:
        column = f", column {self.title}" if self.title else ""
        row = f", row {self.row}" if self.row else ""
        return f"sheet {self.sheet}{row}{column}"


class RowError(InputError):
    """A record that refuses its fields together, at its row."""

    def __init__(self, spot: Spot, wanted: str) -> None:
        self.spot = spot
        self.wanted = wanted
        super().__init__(f"{spot}: {wanted}")


@dataclass(slots=True, eq=False)
class Node:
    """A record to be built: what was given, its children by list, and where it stands."""

    record: type[Record]
    sheet: Sheet
    row: int
    inline: str = ""
    given: dict[str, Any] = field(default_factory=dict)
    children: dict[str, list[Node]] = field(default_factory=dict)
    number: str = ""
    keys: tuple[str, ...] = ()
    guessed: bool = False

    def add(self, name: str, child: Node) -> None:
        """Put a child at the end of a list."""
        self.children.setdefault(name, []).append(child)

    def spot(self, name: str) -> Spot:
        """The cell of a field."""
        slot: Slot | None = self.sheet.by_field.get((self.inline, name))
        return Spot(self.sheet.title, self.row, slot.title if slot else "")

    def fill(self) -> None:
        """Stand something in for required fields that were refused, so that all can be built."""
        for one in _required(self.record):
            if one.name not in self.given:
                stand_in = one.choices[0] if one.choices else f"\ufffd{self.sheet.title}{self.row}"
                self.given[one.name] = stand_in
                self.guessed = self.guessed or bool(one.choices)


_REQUIRED: dict[type[Record], tuple[Field, ...]] = {}


def _required(record: type[Record]) -> tuple[Field, ...]:
    found = _REQUIRED.get(record)
    if found is None:
        found = tuple(one for one in fields_of(record).values() if one.required)
        _REQUIRED[record] = found
    return found


def build(node: Node) -> Record:
    """The record of a node, with all below it.

    Raises
    ------
    RowError
        The cells of a row are each right, but the record refuses them together.
    PlantError
        Something is wrong between the records.
    """
    lists = {
        name: tuple(build(child) for child in children) for name, children in node.children.items()
    }
    try:
        return node.record(**node.given, **lists)
    except (PlantError, RowError):
        raise
    except InputError as error:
        raise RowError(Spot(node.sheet.title, node.row), str(error)) from None


def faults_of_plant(root: Node, error: PlantError) -> list[tuple[Spot, Fault]]:
    """The faults that the plant found between its records, each at its cell."""
    found = []
    for fault in error.faults:
        node, *rest = root, *fault.path
        while len(rest) > 1:
            name, index, *rest = rest
            node = node.children[str(name)][int(index)]
        if node.guessed:  # a word that stands in may clash where the right one does not
            continue
        spot = node.spot(str(rest[0])) if rest else Spot(root.sheet.title, root.row)
        found.append((spot, Fault(str(spot), fault.value, fault.wanted)))
    return found
