"""The published JSON Schema of a plant document, made from the model and its descriptions."""

from __future__ import annotations

import inspect
from typing import Any

from subspark.exchange.columns import NUMBER
from subspark.exchange.document import FORMAT, VERSION
from subspark.exchange.fields import RANGE_WANTED, Field, fields_of
from subspark.exchange.layout import COLUMNS, EVIDENCE_FIELDS
from subspark.model import Plant, Record

__all__ = ["json_schema"]

_Schema = dict[str, Any]
_NOT_BLANK = r"\S"


def json_schema() -> _Schema:
    """JSON Schema (draft 2020-12) of a plant document.

    It refuses what is wrong in structure: unknown or missing fields, wrong types, words that
    are not among the choices. Numbers with units, and names that refer to others, are looked
    at by ``read_json``.
    """
    definitions: _Schema = {}
    _define(Plant, definitions)
    definitions["Evidence"] = _evidence()
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"urn:subspark:plant:{VERSION}",
        "title": "Plant document",
        "description": "A plant with its intrinsically safe circuits, as Subspark reads it.",
        "type": "object",
        "properties": {
            "format": {"const": FORMAT},
            "version": {"const": VERSION},
            "plant": {"$ref": "#/$defs/Plant"},
        },
        "required": ["format", "version", "plant"],
        "additionalProperties": False,
        "$defs": dict(sorted(definitions.items())),
    }


def _define(record: type[Record], definitions: _Schema) -> None:
    if record.__name__ in definitions:
        return
    definitions[record.__name__] = {}  # its place, before what it leads to
    notes = {one.field: one.note for one in COLUMNS.get(record, ()) if one.field != NUMBER}
    keepers = {one.evidence: one.heading for one in COLUMNS.get(record, ()) if one.evidence}
    properties: _Schema = {}
    for name, one in fields_of(record).items():
        note = notes.get(name, "")
        if name in keepers:
            note = f"Where the {keepers[name]} is stated."
        properties[name] = _property(one, note, definitions)
    definitions[record.__name__] = {
        "title": record.__name__,
        "description": inspect.cleandoc(record.__doc__ or "").partition("\n")[0],
        "type": "object",
        "properties": properties,
        "required": [name for name, one in fields_of(record).items() if one.required],
        "additionalProperties": False,
    }


def _property(one: Field, note: str, definitions: _Schema) -> _Schema:
    said: _Schema = {"description": note} if note else {}
    if one.sort == "records" and one.item is not None:
        _define(one.item, definitions)
        return {"type": "array", "items": {"$ref": f"#/$defs/{one.item.__name__}"}, **said}
    if one.sort == "evidence":
        return {"$ref": "#/$defs/Evidence", **said}
    if one.sort in ("quantity", "range"):
        name = "a temperature range" if one.kind is None else one.kind.name
        name = name.partition(" ")[2].replace(" ", "-")
        definitions.setdefault(name, _quantity(name, one))
        if one.words:
            words = " or ".join(f"'{word}'" for word in one.words)
            said["description"] = f"{note} {words} where a document says so.".strip()
        return {"$ref": f"#/$defs/{name}", **said}
    plain: dict[str, _Schema] = {
        "choice": {"enum": list(one.choices)},
        "text": {"type": "string"},
        "texts": {"type": "array", "items": {"type": "string"}},
        "integer": {"type": "integer"},
        "number": {"type": "number"},
        "flag": {"type": "boolean"},
    }
    shape = dict(plain[one.sort])
    if one.sort == "text" and one.required:
        shape["pattern"] = _NOT_BLANK
    if not one.required and one.sort in ("text", "choice") and one.default:
        shape["default"] = one.default
    return {**shape, **said}


def _quantity(name: str, one: Field) -> _Schema:
    wanted = RANGE_WANTED if one.kind is None else one.kind.wanted
    text = f"{wanted[0].upper()}{wanted[1:]}."
    if one.kind is not None:
        text += " Blank or unknown: not known."
    return {
        "title": name,
        "description": text,
        "oneOf": [
            {"type": "string"},
            {
                "type": "object",
                "properties": {
                    "text": {"type": "string"},
                    "evidence": {"$ref": "#/$defs/Evidence"},
                },
                "required": ["text"],
                "additionalProperties": False,
            },
        ],
    }


def _evidence() -> _Schema:
    return {
        "title": "Evidence",
        "description": "Where a number or statement was read, and by whom.",
        "type": "object",
        "properties": {
            one.field: {
                "type": "boolean" if one.field == "assumed" else "string",
                "description": one.note.removeprefix("yes: "),
            }
            for one in EVIDENCE_FIELDS
        },
        "additionalProperties": False,
    }
