"""Changes to a plant that can be read, reviewed, kept and applied: never a silent edit.

A change is a list of edits. Each names a place by the fields and names that lead to it, such as
``circuits / FT-101 / runs / 1 / length``, with what stood there and what is to stand there. A
plant is frozen, so applying a change gives another plant that shares all that did not change.
"""

from __future__ import annotations

import dataclasses
import typing
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, cast

from subspark.errors import InputError, PlantError, UsageError
from subspark.model import Plant, Record, content
from subspark.quantity import Evidence, TemperatureRange, Value

__all__ = ["Change", "Edit", "apply", "edit", "place_of", "read_change", "show_place", "value_at"]

FORMAT = "subspark change"
VERSION = 1
Step = str
_KEYS = ("tag", "name", "number", "what")
ADDED = "+"
"""The last step of a place where a record is added to a list."""


@dataclass(frozen=True, slots=True)
class Edit:
    """One edit: ``place`` leads to a field; ``after`` is its new content, ``before`` its old.

    Contents are texts, lists and objects, as in a plant document; None is blank.
    """

    place: tuple[Step, ...]
    before: Any
    after: Any

    @property
    def where(self) -> str:
        """The place for people."""
        return show_place(self.place)

    @property
    def sentence(self) -> str:
        """What changes, in words."""
        return f"{self.where}: {_shown(self.before)} becomes {_shown(self.after)}"


@dataclass(frozen=True, slots=True)
class Change:
    """Edits that belong together, why, and the digest of the plant that they were made for."""

    why: str
    digest: str
    edits: tuple[Edit, ...]

    def as_dict(self) -> dict[str, Any]:
        """Plain data for JSON."""
        return {
            "format": FORMAT,
            "version": VERSION,
            "why": self.why,
            "digest": self.digest,
            "edits": [
                {"place": list(one.place), "before": one.before, "after": one.after}
                for one in self.edits
            ],
        }


def _shown(value: Any) -> str:  # noqa: ANN401 - any content
    if value in (None, "", [], {}):
        return "blank"
    if isinstance(value, str):
        return value
    if isinstance(value, dict) and set(value) <= {"text", "evidence"}:
        return str(value.get("text", ""))
    return "; ".join(_shown(one) for one in value) if isinstance(value, list) else str(value)


def show_place(place: Sequence[Step]) -> str:
    """A place for people: its steps with slashes between."""
    return " / ".join(place)


def place_of(text: str) -> tuple[Step, ...]:
    """A place from its text, steps with slashes between; ``~1`` stands for a slash of a name."""
    return tuple(step.strip().replace("~1", "/") for step in text.split("/"))


def _key(record: Record) -> str:
    for name in _KEYS:
        held = getattr(record, name, None)
        if isinstance(held, str) and held:
            return held
    return ""


def _index(records: Sequence[Record], step: Step, place: Sequence[Step]) -> int:
    found = [i for i, one in enumerate(records) if _key(one) == step]
    if len(found) == 1:
        return found[0]
    if step.isdecimal() and 1 <= int(step) <= len(records):
        return int(step) - 1
    known = ", ".join(dict.fromkeys(filter(None, (_key(one) for one in records[:12]))))
    wanted = f"a number from 1 to {len(records)}" + (f" or one of {known}" if known else "")
    if not records:
        wanted = "nothing: the list is empty"
    raise UsageError(f"{show_place(place)}: {step!r} is not there; wanted {wanted}")


def _held(record: Record, name: str, place: Sequence[Step]) -> Any:  # noqa: ANN401 - any field
    names = [one.name for one in dataclasses.fields(cast("Any", record)) if one.init]
    if name not in names:
        wanted = ", ".join(names)
        raise UsageError(f"{show_place(place)}: no field {name!r}; wanted one of {wanted}")
    return getattr(record, name)


def value_at(plant: Plant, place: Sequence[Step]) -> Any:  # noqa: ANN401 - any content
    """The plain content of a place.

    Raises
    ------
    UsageError
        No such place.
    """
    thing: Any = plant
    for at, step in enumerate(place):
        if isinstance(thing, tuple) and step == ADDED and at == len(place) - 1:
            return None
        if isinstance(thing, tuple):
            thing = thing[_index(thing, step, place[:at])]
        else:
            thing = _held(thing, step, place)
    return content(thing)


def edit(plant: Plant, place: Sequence[Step], after: Any) -> Edit:  # noqa: ANN401 - any content
    """An edit of a place of a plant, with what stands there now."""
    return Edit(tuple(place), value_at(plant, place), after)


def _decoded(hint: Any, given: Any) -> Any:  # noqa: ANN401 - any content, any field
    """Plain content as what a field takes: quantities with evidence, lists of records."""
    if isinstance(given, list) and typing.get_origin(hint) is tuple:
        item = typing.get_args(hint)[0]
        return tuple(_decoded(item, one) for one in given)
    if not isinstance(given, dict) or not isinstance(hint, type):
        return given
    try:
        if issubclass(hint, Evidence):
            return Evidence(**given)
        if issubclass(hint, Value | TemperatureRange):
            return hint(given.get("text", ""), Evidence(**given.get("evidence", {})))
        hints = typing.get_type_hints(hint)
        return hint(**{name: _decoded(hints.get(name), held) for name, held in given.items()})
    except TypeError:
        raise InputError(f"{given!r} does not fit; wanted the fields of {hint.__name__}") from None


def _put(record: Record, place: Sequence[Step], at: int, value: Any) -> Record:  # noqa: ANN401
    name = place[at]
    held = _held(record, name, place)
    if at == len(place) - 1:
        try:
            fresh = _decoded(typing.get_type_hints(type(record))[name], value)
        except InputError as error:
            raise UsageError(f"{show_place(place)}: {error}") from None
    else:
        if not isinstance(held, tuple):
            raise UsageError(f"{show_place(place)}: {name!r} is no list")
        if place[at + 1] == ADDED and at + 1 == len(place) - 1:
            return _with(record, name, (*held, _member(record, name, place, value)), place)
        index = _index(held, place[at + 1], place[: at + 1])
        if at + 1 == len(place) - 1:
            raise UsageError(f"{show_place(place)}: wanted a field of it")
        fresh = (
            *held[:index],
            _put(held[index], place, at + 2, value),
            *held[index + 1 :],
        )
    return _with(record, name, fresh, place)


def _with(record: Record, name: str, fresh: Any, place: Sequence[Step]) -> Record:  # noqa: ANN401
    try:
        return cast("Record", dataclasses.replace(cast("Any", record), **{name: fresh}))
    except PlantError:
        raise
    except InputError as error:
        raise UsageError(f"{show_place(place)}: {error}") from None


def _member(record: Record, name: str, place: Sequence[Step], value: Any) -> Any:  # noqa: ANN401
    """A record that is added to a list, from its plain content."""
    hint = typing.get_args(typing.get_type_hints(type(record))[name])[0]
    try:
        return _decoded(hint, value)
    except InputError as error:
        raise UsageError(f"{show_place(place)}: {error}") from None


def apply(plant: Plant, edits: Iterable[Edit]) -> Plant:
    """The plant with edits made; what they do not name is shared with it.

    Raises
    ------
    UsageError
        A place that is not there, or a value that may not stand there.
    PlantError
        The plant would not fit together.
    """
    for one in edits:
        plant = cast("Plant", _put(plant, one.place, 0, one.after))
    return plant


def read_change(given: Any, plant: Plant | None = None) -> Change:  # noqa: ANN401 - parsed JSON
    """A change from its plain data.

    Parameters
    ----------
    given : object
        Parsed JSON, as :meth:`Change.as_dict` writes it.
    plant : Plant, optional
        The plant that it is to be applied to: every place must hold what it held then.

    Raises
    ------
    UsageError
        It is no change, of a later version, or the plant has moved on.
    """
    if not isinstance(given, dict) or given.get("format") != FORMAT:
        raise UsageError(f"this is no change; wanted a JSON object with format {FORMAT!r}")
    if given.get("version") != VERSION:
        raise UsageError(f"a change of version {given.get('version')!r}; wanted {VERSION}")
    edits = []
    for number, one in enumerate(_list(given.get("edits")), 1):
        place = one.get("place") if isinstance(one, dict) else None
        if not isinstance(place, list) or not all(isinstance(step, str) for step in place):
            raise UsageError(f"edit {number} of the change: place is not a list of texts")
        edits.append(Edit(tuple(place), one.get("before"), one.get("after")))
    change = Change(str(given.get("why", "")), str(given.get("digest", "")), tuple(edits))
    if plant is not None:
        for made in change.edits:
            now = value_at(plant, made.place)
            if _plain(now) != _plain(made.before):
                raise UsageError(
                    f"{made.where}: holds {_shown(now)} now; the change was made where it held "
                    f"{_shown(made.before)}"
                )
    return change


def _list(given: Any) -> list[Any]:  # noqa: ANN401 - parsed JSON
    if not isinstance(given, list):
        raise UsageError("edits of the change: not a list")
    return given


def _plain(value: Any) -> Any:  # noqa: ANN401 - any content
    return None if value in ("", [], {}) else value
