"""What the fields of the model hold, told once for every format that reads or writes them.

A :class:`Field` is read off the dataclass itself (type hint and default), so that a workbook,
a document and its schema cannot disagree with the model or with one another.
"""

from __future__ import annotations

import dataclasses
import types
import typing
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal

from subspark.errors import InputError, QuantityError
from subspark.model import Record
from subspark.model.base import takers
from subspark.quantity import Evidence, Kind, TemperatureRange, Value

__all__ = ["RANGE_WANTED", "Field", "Sort", "fields_of", "one_of", "refusal"]

Sort = Literal[
    "quantity",
    "range",
    "choice",
    "text",
    "texts",
    "integer",
    "number",
    "flag",
    "evidence",
    "records",
]
RANGE_WANTED = "a temperature range such as -20 to 40 °C"


@dataclass(frozen=True, slots=True)
class Field:
    """One field of one record.

    ``take`` is the model's own check; ``wanted`` says in words what the field accepts;
    ``default`` is what a blank stands for (None where the field must be given).
    """

    record: type[Record]
    name: str
    sort: Sort
    required: bool
    default: object
    wanted: str
    take: Callable[[object], object]
    value: type[Value] | None = None
    choices: tuple[str, ...] = ()
    item: type[Record] | None = None

    @property
    def kind(self) -> Kind | None:
        """The physical quantity, where the field is one."""
        return None if self.value is None else self.value.kind

    @property
    def words(self) -> tuple[str, ...]:
        """The words that may stand in place of a number: "negligible", "not limiting"."""
        if self.sort != "quantity":
            return ()
        return tuple(word for word in ("negligible", "not limiting") if self._takes(word))

    def _takes(self, word: str) -> bool:
        try:
            self.take(word)
        except InputError:
            return False
        return True


def one_of(choices: tuple[str, ...]) -> str:
    """Choices in words: ``"one of yes, no or blank"``."""
    named = [f"'{choice}'" if " " in choice else choice for choice in choices if choice]
    if "" in choices:
        named.append("blank")
    return "one of " + ", ".join(named[:-1]) + f" or {named[-1]}" if len(named) > 1 else named[0]


def _sort(hint: Any) -> Sort:  # noqa: ANN401 - a type hint is of no particular type
    origin = typing.get_origin(hint)
    if origin is Literal:
        return "choice"
    if origin is tuple:
        return "texts" if typing.get_args(hint)[0] is str else "records"
    if origin in (types.UnionType, typing.Union):
        return "integer" if int in typing.get_args(hint) else "number"
    if isinstance(hint, type) and issubclass(hint, Value):
        return "quantity"
    plain: dict[object, Sort] = {
        str: "text",
        bool: "flag",
        Evidence: "evidence",
        TemperatureRange: "range",
    }
    return plain[hint]


def _wanted(sort: Sort, hint: Any) -> str:  # noqa: ANN401 - a type hint is of no particular type
    if sort == "quantity":
        return str(hint.kind.wanted)
    if sort == "choice":
        return one_of(typing.get_args(hint))
    return {
        "range": RANGE_WANTED,
        "text": "a text",
        "texts": "texts separated by semicolons",
        "integer": "a whole number",
        "number": "a number",
        "flag": "yes or blank",
        "evidence": "evidence",
        "records": "a list",
    }[sort]


def _read_off(record: type[Record]) -> dict[str, Field]:
    hints = typing.get_type_hints(record)
    take = takers(record)
    found = {}
    for one in dataclasses.fields(typing.cast("Any", record)):
        if not one.init:
            continue
        hint = hints[one.name]
        sort = _sort(hint)
        required = one.default is dataclasses.MISSING
        found[one.name] = Field(
            record=record,
            name=one.name,
            sort=sort,
            required=required,
            default=None if required else one.default,
            wanted=_wanted(sort, hint),
            take=take[one.name],
            value=hint if sort == "quantity" else None,
            choices=typing.get_args(hint) if sort == "choice" else (),
            item=typing.get_args(hint)[0] if sort == "records" else None,
        )
    return found


_FIELDS: dict[type[Record], dict[str, Field]] = {}


def fields_of(record: type[Record]) -> dict[str, Field]:
    """Every field of a record, in the order of the model."""
    found = _FIELDS.get(record)
    if found is None:
        found = _FIELDS[record] = _read_off(record)
    return found


def refusal(error: InputError) -> str:
    """What is wrong and wanted, without the value, which the place of the fault names."""
    if isinstance(error, QuantityError):
        return f"{error.why}; wanted {error.wanted}"
    return str(error)
