"""The kinds of record that a plant is made of, and how each is named.

A kind is called as the field of :class:`subspark.model.Plant` that lists it ("circuits").
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from typing import Any

from subspark.errors import UsageError
from subspark.exchange.document import read_record
from subspark.model import (
    ApparatusType,
    Area,
    CableType,
    Certificate,
    Circuit,
    Declaration,
    Junction,
    Record,
    SimpleType,
    SourceType,
    content,
)

__all__ = [
    "HEAD",
    "HEAD_KEY",
    "KINDS",
    "SCOPES",
    "Head",
    "Key",
    "Kind",
    "kind_of",
    "name_of",
    "plain_of",
    "read_content",
    "text_digest",
    "text_of",
]

HEAD = "plant"
"""The kind of the one record that holds the name of a plant and the code it is judged by."""

Key = tuple[str, str]
"""A record of a plant: its kind and its name."""


HEAD_KEY: Key = (HEAD, HEAD)


@dataclass(frozen=True, slots=True, kw_only=True)
class Head(Record):
    """The name of a plant, and the edition of the rules by which it is judged."""

    name: str = "plant"
    code: str = "IEC-2024"


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of record.

    ``field`` is the field of the plant, ``name`` the field by which records are told apart
    (blank: declarations, which are told apart by fact, scope and thing).
    """

    field: str
    record: type[Record]
    name: str
    noun: str
    title: str


KINDS: dict[str, Kind] = {
    one.field: one
    for one in (
        Kind("areas", Area, "tag", "area", "Areas"),
        Kind("certificates", Certificate, "number", "certificate", "Certificates"),
        Kind("sources", SourceType, "name", "source", "Sources"),
        Kind("apparatus", ApparatusType, "name", "apparatus", "Apparatus"),
        Kind("simple", SimpleType, "name", "simple apparatus", "Simple apparatus"),
        Kind("cables", CableType, "name", "cable type", "Cables"),
        Kind("junctions", Junction, "tag", "junction", "Junctions"),
        Kind("circuits", Circuit, "tag", "circuit", "Circuits"),
        Kind("declarations", Declaration, "", "declaration", "Declarations"),
    )
}
"""Every kind by the field of the plant, in the order of the plant."""

SCOPES = {
    "areas": "area",
    "certificates": "certificate",
    "sources": "source",
    "apparatus": "apparatus",
    "simple": "apparatus",
    "cables": "cable",
    "circuits": "circuit",
}
"""The scope of declarations that name a record of a kind."""


def kind_of(field: str) -> Kind:
    """The kind of that name.

    Raises
    ------
    UsageError
        There is none.
    """
    found = KINDS.get(field)
    if found is None:
        raise UsageError(f"{field!r} is no kind of record; wanted one of {', '.join(KINDS)}")
    return found


def name_of(record: Record) -> str:
    """The name by which a record is told apart from others of its kind."""
    if isinstance(record, Head):
        return HEAD
    if isinstance(record, Declaration):
        of = "" if record.scope == "plant" else f": {record.of}"
        return f"{record.fact}, {record.scope}{of}"
    for field in ("tag", "name", "number"):
        found = getattr(record, field, None)
        if isinstance(found, str):
            return found
    raise UsageError(f"a {type(record).__name__} has no name")


def text_of(plain: object) -> str:
    """Content as the text that is kept: equal contents, equal texts."""
    return json.dumps(plain, sort_keys=True, ensure_ascii=False, separators=(",", ":"))


def text_digest(text: str) -> str:
    """SHA-256 of a text, in hexadecimal."""
    return hashlib.sha256(text.encode()).hexdigest()


def read_content(field: str, text: str) -> Record:
    """The record of a kind from its kept text.

    Raises
    ------
    PlantError
        The text is not the content of such a record.
    """
    if field == HEAD:
        return read_record(Head, text)
    return read_record(kind_of(field).record, text)


def plain_of(record: Record) -> dict[str, Any]:
    """The content of a record as plain data."""
    plain = content(record)
    if not isinstance(plain, dict):  # pragma: no cover - a record's content is an object
        raise UsageError(f"{record!r} is no record")
    return plain
