"""One cell: from what a spreadsheet holds to what the model holds, and back without loss.

A bare number takes the unit of its heading, as the exact decimal that the spreadsheet shows;
a text with a unit is kept as it is. "negligible", "0", "not limiting" and a blank cell stay
four different things.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
import re
from collections.abc import Callable, Iterable
from decimal import Decimal

from subspark.errors import InputError
from subspark.exchange.fields import RANGE_WANTED, Field, refusal
from subspark.exchange.layout import Slot
from subspark.quantity import TemperatureRange, Value

__all__ = ["ERROR", "NOT_COMPUTED", "Cell", "CellReader", "FaultyCell", "is_blank", "shown", "told"]


class FaultyCell:
    """A cell that holds no value: the error of a formula, or a formula never computed."""

    __slots__ = ("text", "why")

    def __init__(self, text: str, why: str) -> None:
        self.text = text
        self.why = why


ERROR = "the error of a formula"
NOT_COMPUTED = (
    "a formula without a stored result; open the workbook in a spreadsheet program and save it"
)

Cell = str | float | bool | dt.datetime | dt.date | dt.time | dt.timedelta | FaultyCell
"""What a cell may hold. A blank one holds an empty text."""

_DIGITS = 15  # as many as a spreadsheet keeps of what is typed
_LONGEST = 15  # numbers with more digits before or behind the point keep their exponent
_NUMBER = re.compile(r"-?\d+(\.\d+)?(e[+-]\d+)?")
_BARE = re.compile(r"[-+\u2212]?[\d.,\s]*\d[\d.,\s]*(?:[eE][+-]?\d+)?")
_WHOLE = re.compile(r"-?[0-9]{1,100}")
_FRACTION = re.compile(r"-?[0-9]+([.,][0-9]+)?(e[+-]?[0-9]+)?", re.IGNORECASE)
_BARE_RANGE = re.compile(r".*\d")
_YES = {"yes": True, "no": False, "true": True, "false": False}


def number_text(number: float) -> str:
    """A number as the exact decimal that a spreadsheet shows: ``"0.1"``, ``"83"``."""
    exact = Decimal(f"{number:.{_DIGITS}g}")
    plain = f"{exact:f}"
    if "." in plain:
        plain = plain.rstrip("0").rstrip(".")
    if plain in ("-0", ""):
        plain = "0"
    return plain if len(plain.lstrip("-").replace(".", "")) <= _LONGEST + 5 else f"{number:.15g}"


def is_blank(cell: object) -> bool:
    """Whether there is nothing in the cell."""
    return isinstance(cell, str) and not cell.strip()


def shown(cell: object) -> str:
    """The cell in a message."""
    if isinstance(cell, FaultyCell):
        return cell.text
    if isinstance(cell, bool):
        return str(cell).upper()
    if isinstance(cell, (int, float)):
        return number_text(float(cell))
    return str(cell)


class CellReader:
    """Reads the cells of one column. Equal cells are read once.

    Raises
    ------
    InputError
        Its message is what was wanted instead.
    """

    def __init__(self, slot: Slot) -> None:
        self.slot = slot
        self.field = slot.field
        self.unit = slot.column.unit
        self._known: dict[tuple[type, object], object] = {}
        self._refused: dict[tuple[type, object], str] = {}
        self._take = self._taker()

    def __call__(self, cell: object) -> object:
        """What the cell holds, as the model's own type."""
        key = (cell.__class__, cell)
        if key in self._known:
            return self._known[key]
        if key in self._refused:
            raise InputError(self._refused[key])
        try:
            value = self._take(cell)
        except InputError as error:
            self._refused[key] = refusal(error)
            raise InputError(self._refused[key]) from None
        self._known[key] = value
        return value

    @property
    def wanted(self) -> str:
        """What the column takes."""
        if self.slot.choices and self.slot.role == "variant":
            return "one of " + ", ".join(self.slot.choices)
        return self.field.wanted if self.field is not None else "a text"

    def _taker(self) -> Callable[[object], object]:
        takers = {
            "quantity": self._quantity,
            "range": self._range,
            "choice": self._choice,
            "texts": self._texts,
            "integer": self._count,
            "number": self._count,
            "flag": self._flag,
        }
        return takers.get(self.field.sort, self._text) if self.field is not None else self._text

    def _plain(self, cell: object) -> str:
        """The text of a cell, or a refusal of what is neither text nor number."""
        if isinstance(cell, FaultyCell):
            raise InputError(f"{cell.why}; wanted {self.wanted}")
        if isinstance(cell, str):
            return cell.strip()
        if isinstance(cell, bool):
            raise InputError(f"a logical value; wanted {self.wanted}")
        if isinstance(cell, (int, float)):
            return number_text(float(cell))
        if isinstance(cell, (dt.time, dt.timedelta)):
            raise InputError(f"a time of day; wanted {self.wanted} (format the cell as text)")
        raise InputError(f"a date; wanted {self.wanted} (format the cell as text)")

    def _text(self, cell: object) -> object:
        text = " ".join(self._plain(cell).split())
        return self.field.take(text) if self.field is not None else text

    def _quantity(self, cell: object) -> object:
        text = self._plain(cell)
        kind = _known(self.field)
        if not isinstance(cell, str):
            return kind.take(f"{text} {self.unit}")
        try:
            return kind.take(text)
        except InputError:
            if _BARE.fullmatch(text):
                return kind.take(f"{text} {self.unit}")
            raise

    def _range(self, cell: object) -> object:
        text = self._plain(cell)
        kind = _known(self.field)
        if not isinstance(cell, str):
            raise InputError(f"one temperature; wanted {RANGE_WANTED}")
        try:
            return kind.take(text)
        except InputError:
            if _BARE_RANGE.fullmatch(text):
                return kind.take(f"{text} {self.unit}")
            raise

    def _choice(self, cell: object) -> object:
        kind = _known(self.field)
        if isinstance(cell, bool) and "yes" in kind.choices:
            cell = "yes" if cell else "no"
        text = " ".join(self._plain(cell).split())
        for choice in kind.choices:
            if text == choice or text.lower() == choice.lower():
                return choice
        raise InputError(f"wanted {kind.wanted}")

    def _texts(self, cell: object) -> object:
        rows = list(
            csv.reader([self._plain(cell)], delimiter=";", skipinitialspace=True, strict=False)
        )
        parts = [" ".join(part.split()) for part in rows[0]] if rows else []
        return _known(self.field).take([part for part in parts if part])

    def _count(self, cell: object) -> object:
        kind = _known(self.field)
        text = self._plain(cell)
        if kind.sort == "integer":
            if not _WHOLE.fullmatch(text):
                raise InputError(f"wanted {kind.wanted}")
            return kind.take(int(text))
        if not _FRACTION.fullmatch(text):
            raise InputError(f"wanted {kind.wanted}")
        return kind.take(float(text.replace(",", ".")))

    def _flag(self, cell: object) -> object:
        if isinstance(cell, bool):
            return cell
        said = _YES.get(self._plain(cell).lower())
        if said is None:
            raise InputError("wanted yes or blank")
        return said


def _known(field: Field | None) -> Field:
    if field is None:  # pragma: no cover - takers are chosen by their field
        raise TypeError("this column has no field")
    return field


def told(value: object, unit: str) -> str | float:
    """What to write for a value of the model: a number only where nothing is lost by it."""
    if isinstance(value, Value | TemperatureRange):
        return _number_of(value.text, unit)
    if isinstance(value, bool):
        return "yes" if value else ""
    if value is None:
        return ""
    if isinstance(value, (int, float)):
        small = abs(value) < 10**_DIGITS
        return value if small and float(number_text(value)) == value else repr(value)
    if isinstance(value, str):
        return value
    if isinstance(value, tuple):
        return _joined(str(part) for part in value)
    raise TypeError(f"no cell for a {type(value).__name__}")


def _number_of(text: str, unit: str) -> str | float:
    number, space, rest = text.partition(" ")
    if space and rest == unit and _NUMBER.fullmatch(number):
        read = float(number)
        if number_text(read) == number:
            return read
    return text


def _joined(parts: Iterable[str]) -> str:
    line = io.StringIO()
    csv.writer(line, delimiter=";", lineterminator="").writerow(parts)
    return (
        re.sub(r";(?=\S)", "; ", line.getvalue()) if '"' not in line.getvalue() else line.getvalue()
    )
