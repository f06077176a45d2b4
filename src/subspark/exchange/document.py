"""The plant as one JSON document, read strictly and written without loss.

    {"format": "subspark plant", "version": 1, "plant": {"name": ..., "circuits": [...], ...}}

A value is its text with unit, ``"83 nF"``, or that text with its evidence,
``{"text": "83 nF", "evidence": {"document": "...", "page": "3"}}``. What is left out is not
known or has its default. The published schema is :func:`subspark.exchange.schema.json_schema`.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from subspark.errors import Fault, InputError, PlantError
from subspark.exchange.building import collector_at_rest
from subspark.exchange.fields import Field, fields_of, refusal
from subspark.exchange.layout import SHEETS
from subspark.exchange.workbook_open import read_bytes
from subspark.model import Plant, Record, content
from subspark.quantity import Evidence, TemperatureRange

__all__ = ["FORMAT", "VERSION", "read_json", "read_record", "write_json"]

FORMAT = "subspark plant"
VERSION = 1

_Place = tuple[str | int, ...]
_NAMES = ("tag", "name", "number")
_EVIDENCE: dict[str, type] = {
    "document": str,
    "page": str,
    "note": str,
    "by": str,
    "assumed": bool,
}
_NOUNS = {sheet.record: sheet.noun for sheet in SHEETS}
_REFUSED = object()


class _Object(dict[str, Any]):
    """A JSON object that remembers which names it was given twice."""

    def __init__(self, pairs: list[tuple[str, Any]]) -> None:
        super().__init__(pairs)
        names = [name for name, _ in pairs]
        self.twice = sorted({name for name in names if names.count(name) > 1})


def write_json(plant: Plant) -> str:
    """Write a plant as one JSON document; equal plants give equal texts.

    Raises
    ------
    InputError
        It has a number that JSON cannot hold.
    """
    whole = {"format": FORMAT, "version": VERSION, "plant": content(plant)}
    try:
        return json.dumps(whole, ensure_ascii=False, indent=1, allow_nan=False) + "\n"
    except ValueError as error:  # pragma: no cover - the model refuses such numbers
        raise InputError(f"plant {plant.name!r}: {error}") from None


def read_json(source: str | Path) -> Plant:
    """Read a plant from a JSON document.

    Parameters
    ----------
    source : str or Path
        The text itself (a str), or the file that holds it (a Path).

    Returns
    -------
    Plant
        The whole plant.

    Raises
    ------
    PlantError
        Something in it is wrong: every fault is named, and nothing is taken over.
    InputError
        The file cannot be read, or is not JSON.
    """
    name = str(source) if isinstance(source, Path) else "plant document"
    reader = _Reader()
    with collector_at_rest():
        whole = _parsed(source, name)
        plant = reader.document(whole)
    if reader.faults or plant is None:
        faults = [
            Fault(_where(place, whole), value, wanted)
            for place, (value, wanted) in reader.faults.items()
        ]
        raise PlantError(faults, name)
    return plant


def read_record(record: type[Record], text: str) -> Record:
    """Read one record of a plant from the JSON text of its content.

    Parameters
    ----------
    record : type
        What it is: ``Circuit``, ``SourceType`` ...
    text : str
        Its content as :func:`subspark.model.content` gives it.

    Returns
    -------
    Record
        The record. What it refers to is not looked at.

    Raises
    ------
    PlantError
        Something in it is wrong: every fault is named, with its path from the record down.
    InputError
        The text is not JSON, or the fields of the record do not fit together.
    """
    reader = _Reader()
    noun = _NOUNS.get(record, record.__name__)
    built = reader.record(_parsed(text, noun), record)
    if reader.faults or built is None:
        faults = [
            Fault(".".join(str(part) for part in place) or noun, value, wanted, place)
            for place, (value, wanted) in reader.faults.items()
        ]
        raise PlantError(faults, noun)
    return built


def _parsed(source: str | Path, name: str) -> Any:  # noqa: ANN401 - whatever JSON holds
    text = source
    if isinstance(text, Path):
        try:
            text = read_bytes(text).decode("utf-8-sig")
        except UnicodeDecodeError:
            raise InputError(f"{name}: this is not JSON text in UTF-8") from None
    try:
        return json.loads(text, object_pairs_hook=_Object, parse_constant=_no_constant)
    except json.JSONDecodeError as error:
        raise InputError(
            f"{name}: this is not JSON (line {error.lineno}, column {error.colno}: {error.msg})"
        ) from None
    except RecursionError:
        raise InputError(f"{name}: this is nested too deeply for a plant document") from None
    except ValueError as error:
        raise InputError(f"{name}: this is not JSON ({error})") from None


def _no_constant(name: str) -> None:
    raise ValueError(f"{name} is not a number")


def _where(place: _Place, whole: object) -> str:
    """A place in words: ``circuit 'FT-101', run 1, length``."""
    if place[:1] != ("plant",):
        return ".".join(str(part) for part in place) or "document"
    words: list[str] = []
    record: type[Record] = Plant
    held = whole.get("plant") if isinstance(whole, dict) else None
    rest = list(place[1:])
    while rest:
        name, *rest = rest
        one = fields_of(record).get(str(name))
        held = held.get(name) if isinstance(held, dict) else None
        if one is None or one.item is None or not rest:
            words.extend(str(part) for part in (name, *rest))
            break
        index, *rest = rest
        record = one.item
        held = held[int(index)] if isinstance(held, list) else None
        words.append(f"{_NOUNS.get(record, name)} {_label(held, int(index), top=not words)}")
    return ", ".join(words) or "plant"


def _label(held: object, index: int, *, top: bool) -> str:
    if top and isinstance(held, dict):
        for name in _NAMES:
            if isinstance(held.get(name), str) and held[name].strip():
                return repr(held[name])
    return str(index + 1)


def _shown(given: object) -> str:
    if isinstance(given, str):
        return given
    text = json.dumps(given, ensure_ascii=False)
    return text if len(text) <= 60 else f"{text[:57]}..."


class _Reader:
    """Walks a document along the fields of the model and gathers faults by their places."""

    def __init__(self) -> None:
        self.faults: dict[_Place, tuple[str, str]] = {}
        self._takers: dict[str, Callable[[Any, Field, _Place], object]] = {
            "quantity": self._value,
            "range": self._value,
            "choice": self._choice,
            "text": self._text,
            "texts": self._texts,
            "integer": self._number,
            "number": self._number,
            "flag": self._flag,
            "evidence": self._evidence_field,
            "records": self._records,
        }

    def fault(self, place: _Place, given: object, wanted: str) -> object:
        """Keep the first fault of a place."""
        self.faults.setdefault(place, (_shown(given), wanted))
        return _REFUSED

    def document(self, whole: object) -> Plant | None:
        """Read the whole document."""
        if not isinstance(whole, _Object):
            self.fault((), whole, f'wanted an object such as {{"format": "{FORMAT}", ...}}')
            return None
        if not self._members(whole, ("format", "version", "plant"), ()):
            return None
        if whole["format"] != FORMAT:
            self.fault(("format",), whole["format"], f"wanted {FORMAT!r}")
        version = whole["version"]
        if version != VERSION or isinstance(version, bool):
            wanted = f"wanted {VERSION}, the version that this program reads"
            self.fault(("version",), version, wanted)
        if self.faults:  # what follows may mean something else there
            return None
        try:
            plant = self._record(whole["plant"], Plant, ("plant",))
        except PlantError as error:
            for fault in error.faults:
                self.fault(("plant", *fault.path), fault.value, fault.wanted)
            return None
        return plant if isinstance(plant, Plant) else None

    def record(self, whole: object, record: type[Record]) -> Record | None:
        """Read one record by itself."""
        built = self._record(whole, record, ())
        return built if isinstance(built, Record) else None

    def _members(self, given: _Object, names: tuple[str, ...], place: _Place) -> bool:
        self._known(given, names, place)
        for name in names:
            if name not in given:
                self.fault((*place, name), "", "missing; wanted")
        return all(name in given for name in names)

    def _known(self, given: _Object, names: tuple[str, ...], place: _Place) -> None:
        for name in given:
            if name not in names:
                self.fault((*place, name), given[name], f"no such field; wanted {_any(names)}")
        for name in given.twice:
            self.fault((*place, name), given[name], "given twice; wanted once")

    def _record(self, given: object, record: type[Record], place: _Place) -> object:
        fields = fields_of(record)
        if not isinstance(given, _Object):
            self.fault(place, given, "wanted an object")
            given = _Object([])
            return record(**self._stand_ins(fields, {}, place))
        self._known(given, tuple(fields), place)
        taken = {}
        for name, one in fields.items():
            if name in given:
                value = self._takers[one.sort](given[name], one, (*place, name))
                if value is not _REFUSED:
                    taken[name] = value
            elif one.required:
                self.fault((*place, name), "", f"missing; wanted {one.wanted}")
        return record(**self._stand_ins(fields, taken, place))

    @staticmethod
    def _stand_ins(
        fields: dict[str, Field], taken: dict[str, Any], place: _Place
    ) -> dict[str, Any]:
        """Fill required fields that were refused, so that references are looked at all the same."""
        for name, one in fields.items():
            if one.required and name not in taken:
                stand_in = "\ufffd" + ".".join(str(part) for part in place)
                taken[name] = one.choices[0] if one.choices else stand_in
        return taken

    def _taken(self, given: object, one: Field, place: _Place, shown: object) -> object:
        try:
            return one.take(given)
        except InputError as error:
            return self.fault(place, shown, refusal(error))

    def _value(self, given: Any, one: Field, place: _Place) -> object:  # noqa: ANN401 - any JSON
        evidence = Evidence()
        if isinstance(given, _Object):
            self._known(given, ("text", "evidence"), place)
            evidence = self._evidence(given.get("evidence", _Object([])), (*place, "evidence"))
            if "text" not in given:
                return self.fault((*place, "text"), "", f"missing; wanted {one.wanted}")
            given = given["text"]
        if not isinstance(given, str):
            return self.fault(place, given, f"wanted {one.wanted} (as a text)")
        value = self._taken(given, one, place, given)
        if value is _REFUSED or not evidence:
            return value
        kind = one.value if one.value is not None else TemperatureRange
        return kind(given, evidence)

    def _evidence_field(self, given: Any, _one: Field, place: _Place) -> object:  # noqa: ANN401 - any JSON
        return self._evidence(given, place)

    def _evidence(self, given: object, place: _Place) -> Evidence:
        if not isinstance(given, _Object):
            self.fault(place, given, 'wanted an object such as {"document": "...", "page": "3"}')
            return Evidence()
        self._known(given, tuple(_EVIDENCE), place)
        taken = {}
        for name, kind in _EVIDENCE.items():
            if name not in given:
                continue
            if isinstance(given[name], kind):
                taken[name] = given[name]
            else:
                wanted = "wanted true or false" if kind is bool else "wanted a text"
                self.fault((*place, name), given[name], wanted)
        return Evidence(**taken)

    def _choice(self, given: Any, one: Field, place: _Place) -> object:  # noqa: ANN401 - any JSON
        if isinstance(given, str) and given in one.choices:
            return given
        return self.fault(place, given, f"wanted {one.wanted}")

    def _text(self, given: Any, one: Field, place: _Place) -> object:  # noqa: ANN401 - any JSON
        if not isinstance(given, str):
            return self.fault(place, given, "wanted a text")
        return self._taken(given, one, place, given)

    def _texts(self, given: Any, one: Field, place: _Place) -> object:  # noqa: ANN401 - any JSON
        if not isinstance(given, list):
            return self.fault(place, given, "wanted a list of texts")
        for index, part in enumerate(given):
            if not isinstance(part, str):
                self.fault((*place, index), part, "wanted a text")
        return self._taken([part for part in given if isinstance(part, str)], one, place, given)

    def _number(self, given: Any, one: Field, place: _Place) -> object:  # noqa: ANN401 - any JSON
        if isinstance(given, bool) or not isinstance(given, (int, float)):
            return self.fault(place, given, f"wanted {one.wanted}")
        if one.sort == "integer":
            if not float(given).is_integer():
                return self.fault(place, given, f"wanted {one.wanted}")
            given = int(given)
        return self._taken(given, one, place, given)

    def _flag(self, given: Any, _one: Field, place: _Place) -> object:  # noqa: ANN401 - any JSON
        return (
            given if isinstance(given, bool) else self.fault(place, given, "wanted true or false")
        )

    def _records(self, given: Any, one: Field, place: _Place) -> object:  # noqa: ANN401 - any JSON
        if not isinstance(given, list) or one.item is None:
            return self.fault(place, given, "wanted a list of objects")
        return tuple(
            self._record(item, one.item, (*place, index)) for index, item in enumerate(given)
        )


def _any(names: tuple[str, ...]) -> str:
    return f"one of {', '.join(names)}"
