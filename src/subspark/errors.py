"""What can go wrong with input, and how it is said.

    SubsparkError
    ├── InputError          something read is not what was wanted
    │   ├── QuantityError   a number with a unit
    │   ├── MarkingError    an Ex marking; knows the offending part
    │   └── PlantError      one or many faults found in a plant, each with its place
    └── UsageError          a name, option or file that is not there

A message names the thing, the value and what is wanted; none ends in a traceback.
"""

from __future__ import annotations

from dataclasses import dataclass, field

__all__ = [
    "Fault",
    "InputError",
    "MarkingError",
    "PlantError",
    "QuantityError",
    "SubsparkError",
    "UsageError",
]


class SubsparkError(Exception):
    """Base of every error that this library raises on purpose."""


class InputError(SubsparkError):
    """Something that was read is not what was wanted."""


class UsageError(SubsparkError):
    """A name, option or file that is not there."""


class QuantityError(InputError):
    """A text that is not the quantity wanted.

    Parameters
    ----------
    text : str
        The text as read.
    wanted : str
        What would have been accepted, with an example.
    why : str
        What is wrong with the text.
    """

    def __init__(self, text: str, why: str, wanted: str) -> None:
        self.text = text
        self.why = why
        self.wanted = wanted
        super().__init__(f"{text!r}: {why}; wanted {wanted}")


class MarkingError(InputError):
    """A marking that cannot be read, with the offending part.

    Parameters
    ----------
    text : str
        The marking as read.
    start, end : int
        Where the offending part begins and ends in ``text`` (end exclusive).
    why : str
        What is wrong.
    wanted : str
        What would have been accepted there.
    """

    def __init__(self, text: str, start: int, end: int, why: str, wanted: str = "") -> None:
        self.text = text
        self.start = start
        self.end = end
        self.why = why
        self.wanted = wanted
        end_phrase = f"; wanted {wanted}" if wanted else ""
        super().__init__(f"{why}{end_phrase}\n  {text}\n  {' ' * start}{'^' * max(1, end - start)}")


@dataclass(frozen=True, slots=True)
class Fault:
    """One bad value and its place.

    ``where`` is the place in words: "sheet Circuits, row 14, column Area" or
    "circuits[3].runs[0].length". ``path`` is the same place for programs, from the plant down
    (``("circuits", 3, "runs", 0, "length")``), where the finder knows it; readers turn it into
    the cell that was read.
    """

    where: str
    value: str
    wanted: str
    path: tuple[str | int, ...] = field(default=(), compare=False, repr=False)

    def __str__(self) -> str:
        shown = f" {self.value!r}" if self.value != "" else " (blank)"
        return f"{self.where}:{shown}: {self.wanted}"


class PlantError(InputError):
    """One or many faults found in a plant; nothing of it was taken over."""

    def __init__(self, faults: list[Fault] | tuple[Fault, ...], source: str = "") -> None:
        self.faults = tuple(faults)
        self.source = source
        head = f"{source}: " if source else ""
        count = len(self.faults)
        noun = "fault" if count == 1 else "faults"
        lines = "\n".join(f"  {fault}" for fault in self.faults)
        super().__init__(f"{head}{count} {noun}, nothing was read\n{lines}")
