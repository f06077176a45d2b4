"""What every record of the model shares: frozen, checked when built, equal by content.

A record turns what it is given into its declared types (a text into a quantity, a list into
a tuple) and refuses what does not fit with one message that names record and field. It
computes nothing else.
"""

from __future__ import annotations

import dataclasses
import hashlib
import json
import math
import re
import types
import typing
from collections.abc import Callable, Iterable
from functools import cache
from typing import Any, Literal

from subspark.errors import InputError
from subspark.quantity import CAPACITANCE, INDUCTANCE, Evidence, TemperatureRange, Value

__all__ = ["Answer", "Method", "Record", "content", "digest", "takers"]

Answer = Literal["yes", "no", ""]
"""Yes, no, or not answered; not answered is never yes."""

Method = Literal["entity", "FISCO", "2-WISE"]
"""The way of proof that a circuit uses, or that a set of parameters serves; never mixed."""

_MAY_BE_NOT_LIMITING = frozenset({"Ii", "Pi"})
_MAY_BE_NEGLIGIBLE = (CAPACITANCE, INDUCTANCE)
_LOWEST_COUNTS = frozenset({"R_loop", "R_core", "strand", "test_voltage", "insulation"})
"""Fields whose lowest value decides: an upper bound, as a standard prints it, says nothing."""
_COLOURS = ("BK", "BN", "RD", "OG", "YE", "GN", "BU", "VT", "GY", "WH", "PK", "GD", "TQ", "SR")
_COLOUR = re.compile(f"({'|'.join(_COLOURS)}){{1,3}}")
"""Codes of IEC 60757, from memory; a core of two colours has both, as GNYE."""
Taker = Callable[[object], object]


def _take_value(kind: type[Value], name: str) -> Taker:
    def take(given: object) -> object:
        value = kind.of(given)
        if value.state == "not limiting" and name not in _MAY_BE_NOT_LIMITING:
            raise InputError(
                "'not limiting' can be declared of Ii and Pi only; wanted a number with its "
                "unit, or blank where it is not known"
            )
        if value.state == "negligible" and kind.kind not in _MAY_BE_NEGLIGIBLE:
            raise InputError(
                "'negligible' can be said of a capacitance or inductance only; wanted a number "
                "with its unit, or blank where it is not known"
            )
        if name in _LOWEST_COUNTS and value.text.startswith(("<", "≤")):
            raise InputError(
                f"{value.text!r} is an upper bound; wanted the lowest value, or blank where it "
                "is not known"
            )
        return value

    return take


def _take_choice(choices: tuple[object, ...]) -> Taker:
    def take(given: object) -> object:
        if given is None and "" in choices:
            return ""
        if isinstance(given, str):
            given = given.strip()
        if given not in choices:
            named = ", ".join(repr(choice) for choice in choices if choice != "")
            blank = " or blank" if "" in choices else ""
            raise InputError(f"{given!r} is not one of {named}{blank}")
        return given

    return take


def _take_tuple(item: Taker) -> Taker:
    def take(given: object) -> object:
        if given is None:
            return ()
        if isinstance(given, (str, bytes)) or not isinstance(given, Iterable):
            given = (given,)
        return tuple(item(one) for one in given)

    return take


def _take_text(given: object) -> object:
    if given is None:
        return ""
    if not isinstance(given, str):
        raise InputError(f"{given!r} is a {type(given).__name__}; wanted a text")
    return " ".join(given.split())


def _take_text_or(blank: object) -> Taker:
    """A text; a blank one takes the field's default, or is refused where there is none."""

    def take(given: object) -> object:
        text = _take_text(given)
        if text == "":
            if blank is dataclasses.MISSING:
                raise InputError("blank; wanted a text")
            return blank
        return text

    return take


def _take_instance(kinds: tuple[type, ...]) -> Taker:
    def take(given: object) -> object:
        if float in kinds and isinstance(given, (int, float)) and not isinstance(given, bool):
            if not math.isfinite(given):
                raise InputError(f"{given!r} is not a finite number")
            return float(given)
        if isinstance(given, bool) and bool not in kinds:
            raise InputError(f"{given!r} is a bool; wanted {kinds[0].__name__}")
        if not isinstance(given, kinds):
            named = " or ".join(kind.__name__ for kind in kinds)
            raise InputError(f"{given!r} is a {type(given).__name__}; wanted {named}")
        return given

    return take


def _take_evidence(given: object) -> object:
    if given is None:
        return Evidence()
    if isinstance(given, str):
        return Evidence(document=given)
    return _take_instance((Evidence,))(given)


def _take_colour(given: object) -> object:
    if not (isinstance(given, str) and _COLOUR.fullmatch(given.strip())):
        raise InputError(
            f"{given!r} is no colour of IEC 60757; wanted codes such as BU or GNYE, one for each "
            f"core, made of {', '.join(_COLOURS)}"
        )
    return given.strip()


_CHECKED: dict[str, Taker] = {"colours": _take_colour}
"""Fields of texts of which each is looked at by itself."""


def _taker(hint: object, name: str) -> Taker:
    origin = typing.get_origin(hint)
    if origin is Literal:
        return _take_choice(typing.get_args(hint))
    if origin is tuple:
        item = _CHECKED.get(name) or _taker(typing.get_args(hint)[0], name)
        return _take_tuple(item)
    if origin in (types.UnionType, typing.Union):
        return _take_instance(typing.get_args(hint))
    if hint is str:
        return _take_text
    if hint is Evidence:
        return _take_evidence
    if hint is TemperatureRange:
        return TemperatureRange.of
    if not isinstance(hint, type):
        raise TypeError(f"field {name}: no way to take a {hint!r}")
    return _take_value(hint, name) if issubclass(hint, Value) else _take_instance((hint,))


_TAKERS: dict[type[Record], dict[str, Taker]] = {}


def takers(record: type[Record]) -> dict[str, Taker]:
    """For each field of a record, what turns a given thing into its declared type or refuses it."""
    known = _TAKERS.get(record)
    if known is None:
        hints = typing.get_type_hints(record)
        fields = [one for one in dataclasses.fields(typing.cast("Any", record)) if one.init]
        known = _TAKERS[record] = {
            one.name: _take_text_or(one.default)
            if hints[one.name] is str
            else _taker(hints[one.name], one.name)
            for one in fields
        }
    return known


class Record:
    """Base of the model's frozen dataclasses."""

    __slots__ = ()

    def __post_init__(self) -> None:
        for name, take in takers(type(self)).items():
            given = getattr(self, name)
            try:
                taken = take(given)
            except InputError as error:
                label = getattr(self, "tag", "") or getattr(self, "name", "")
                of = f" {label!r}" if isinstance(label, str) and label.strip() else ""
                raise InputError(f"{type(self).__name__}{of}, {name}: {error}") from None
            if taken is not given:
                object.__setattr__(self, name, taken)


def content(thing: object) -> object:
    """The content of a record as plain lists, dicts and texts; defaults are left out."""
    if isinstance(thing, Value | TemperatureRange):
        if not thing.evidence:
            return thing.text
        return {"text": thing.text, "evidence": content(thing.evidence)}
    if isinstance(thing, str):
        return thing
    if isinstance(thing, tuple):
        return [content(one) for one in thing]
    kind: Any = type(thing)
    fields = _kept(kind)
    if fields is None:
        return thing
    plain = {}
    for name, default in fields:
        held = getattr(thing, name)
        if held is default or held == default:
            continue
        shown = content(held)
        if shown not in ("", [], {}):
            plain[name] = shown
    return plain


@cache
def _kept(kind: type) -> tuple[tuple[str, object], ...] | None:
    """Fields of a kind of record with their defaults; None for what is no record."""
    if not dataclasses.is_dataclass(kind):
        return None
    return tuple((one.name, one.default) for one in dataclasses.fields(kind) if one.init)


def digest(thing: object) -> str:
    """SHA-256 of a record's content, in hexadecimal: equal contents, equal digests."""
    text = json.dumps(content(thing), sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()
