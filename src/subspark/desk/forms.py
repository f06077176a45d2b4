"""Records as forms: made from the fields of the model, read back into their content.

A field of a form is named by its path: ``0.runs.1.length`` is the length of the second run of
the first record of the form. Beside a number that has evidence, the form carries both as they
were; a number that was changed loses the evidence of the old one and takes that of the change.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from subspark.exchange.fields import Field, fields_of
from subspark.exchange.layout import COLUMNS, EVIDENCE_FIELDS
from subspark.model import Record

__all__ = ["Box", "Group", "apply_step", "boxes", "read_back"]

_BARE = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)(\s*[eE][+-]?\d+)?")
_BARE_RANGE = re.compile(r"[+-]?\d+(\.\d+)?\s*(to|\.\.\.?|…)\s*[+-]?\d+(\.\d+)?")
_MOST_ROWS = 400
_WIDE = ("note", "service", "title", "mark", "text", "lumped_rule_words", "no_current", "document")

_KINDS_OF_SHEET = {
    "Areas": ("areas",),
    "Certificates": ("certificates",),
    "Sources": ("sources",),
    "Apparatus": ("apparatus", "simple"),
    "Simple apparatus": ("simple",),
    "Cables": ("cables",),
    "Junctions": ("junctions",),
}
_TITLES = {
    "sources": ("Sources of the circuit", "source"),
    "members": ("Apparatus of the circuit", "apparatus"),
    "runs": ("Runs of cable", "run"),
    "outputs": ("Outputs", "output"),
    "limits": ("What may be connected", "column"),
    "pairs": ("Pairs of Co and Lo", "pair"),
    "ports": ("Safe-side ports", "port"),
    "safe_side": ("What stands behind the ports", "supply"),
    "entries": ("Sets of parameters", "set"),
    "rows": ("Temperature table", "row"),
    "marks": ("Facts of the marking", "alternative"),
    "serves": ("Circuits that it may feed", "alternative"),
    "body": ("Its own body", "alternative"),
    "atmospheres": ("Atmospheres", "atmosphere"),
    "conditions": ("Specific conditions of use", "condition"),
}


_ALWAYS = frozenset(
    {
        *("length", "area", "service", "source", "apparatus", "cable", "number", "certificate"),
        *("Uo", "Io", "Po", "Co", "Lo", "Ui", "Ii", "Pi", "Ci", "Li", "ambient", "zone", "value"),
    }
)
"""Fields that are shown also where they are blank."""
_SELDOM = frozenset(("safe_side", "pairs", "marks", "serves", "body", "rows", "ports", "function"))


@dataclass(slots=True)
class Box:
    """One field of a form."""

    name: str
    label: str
    note: str
    sort: str
    unit: str = ""
    value: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    required: bool = False
    wide: bool = False
    list: str = ""
    evidence: str = ""
    kept: str = ""
    original: str = ""
    fault: str = ""
    field: str = ""
    fresh: bool = False
    fixed: bool = False

    @property
    def rare(self) -> bool:
        """Whether it is blank and seldom filled, so that it stands behind "more fields"."""
        blank = not (self.value or self.required or self.fault or self.fresh)
        return self.sort.startswith("evidence") or (blank and self.field not in _ALWAYS)

    @property
    def id(self) -> str:
        """The identifier of the element."""
        return "f-" + self.name.replace(".", "-")


@dataclass(slots=True)
class Group:
    """A list of records within a record."""

    name: str
    title: str
    noun: str
    note: str = ""
    items: list[Item] = field(default_factory=list)
    sort: str = "group"

    @property
    def rare(self) -> bool:
        """Whether it is empty and seldom filled."""
        return not self.items and self.name.rpartition(".")[2] in _SELDOM


@dataclass(slots=True)
class Item:
    """One record of a group."""

    name: str
    number: int
    boxes: list[Box | Group]


def boxes(
    record: type[Record],
    content: Mapping[str, Any],
    path: str,
    faults: Mapping[str, str] | None = None,
    *,
    fresh: bool = False,
) -> list[Box | Group]:
    """The fields of a record with what they hold."""
    told = {} if faults is None else faults
    columns = {one.field: one for one in COLUMNS.get(record, ())}
    found: list[Box | Group] = []
    for name, one in fields_of(record).items():
        at = f"{path}.{name}"
        column = columns.get(name)
        label = column.heading if column else name.replace("_", " ").capitalize()
        if one.sort == "records":
            found.append(_group(one, content.get(name, []), at, told))
        elif one.sort == "evidence":
            found += _evidence(content.get(name, {}), at)
        else:
            box = Box(
                name=at,
                label=label,
                note=column.note if column else "",
                sort=one.sort,
                unit=column.unit if column else "",
                required=one.required,
                wide=name in _WIDE,
                list=_list_of(column.refers) if column else "",
                fault=told.get(at, ""),
                field=name,
                fresh=fresh,
            )
            _fill(box, one, content.get(name))
            found.append(box)
    return found


def _list_of(sheet: str) -> str:
    return "names-" + "-".join(_KINDS_OF_SHEET[sheet]) if sheet in _KINDS_OF_SHEET else ""


def _fill(box: Box, one: Field, held: object) -> None:
    if one.sort in ("quantity", "range") and isinstance(held, dict):
        evidence = held.get("evidence", {})
        box.value = str(held.get("text", ""))
        box.evidence = _evidence_words(evidence)
        box.kept = json.dumps(evidence, ensure_ascii=False)
    elif one.sort == "texts" and isinstance(held, list):
        box.value = "; ".join(str(part) for part in held)
    elif one.sort == "flag":
        box.value = "yes" if held is True else ""
    elif held is not None:
        box.value = str(held)
    elif one.sort in ("choice", "text") and isinstance(one.default, str):
        box.value = one.default
    if one.sort in ("quantity", "range"):
        box.original = box.value
    if one.sort == "choice":
        box.choices = tuple((choice, choice or "not stated") for choice in one.choices)


def _evidence_words(evidence: Mapping[str, Any]) -> str:
    parts = [str(evidence.get("document", ""))]
    if evidence.get("page"):
        parts.append(f"p. {evidence['page']}")
    if evidence.get("note"):
        parts.append(str(evidence["note"]))
    if evidence.get("by"):
        parts.append(f"by {evidence['by']}")
    if evidence.get("assumed"):
        parts.append("assumed")
    return ", ".join(part for part in parts if part)


def _evidence(held: Mapping[str, Any], at: str) -> list[Box | Group]:
    found: list[Box | Group] = []
    for column in EVIDENCE_FIELDS:
        value = held.get(column.field, "")
        found.append(
            Box(
                name=f"{at}.{column.field}",
                label=column.heading,
                note=column.note,
                sort="evidence-flag" if column.field == "assumed" else "evidence",
                value=("yes" if value is True else "") if column.field == "assumed" else str(value),
                wide=column.field in ("document", "note"),
                field=column.field,
            )
        )
    return found


def _group(one: Field, held: object, at: str, faults: Mapping[str, str]) -> Group:
    title, noun = _TITLES.get(one.name, (one.name.capitalize(), "row"))
    group = Group(name=at, title=title, noun=noun)
    rows = held if isinstance(held, list) else []
    for number, row in enumerate(rows[:_MOST_ROWS]):
        if one.item is not None:
            inner = boxes(one.item, row, f"{at}.{number}", faults)
            group.items.append(Item(f"{at}.{number}", number + 1, inner))
    return group


# --- back ----------------------------------------------------------------------------------------


def read_back(
    record: type[Record],
    posted: Mapping[str, str],
    path: str,
    evidence: Mapping[str, Any] | None = None,
) -> dict[str, Any]:
    """The content of a record from the fields of a form.

    Parameters
    ----------
    record : type
        What it is.
    posted : mapping of str to str
        The fields as they came.
    path : str
        The path of the record in the form.
    evidence : mapping, optional
        Where numbers that were changed have been read.
    """
    columns = {one.field: one for one in COLUMNS.get(record, ())}
    plain: dict[str, Any] = {}
    for name, one in fields_of(record).items():
        at = f"{path}.{name}"
        if one.sort == "records":
            rows = [
                read_back(one.item, posted, f"{at}.{number}", evidence)
                for number in _numbers(posted, at)
                if one.item is not None
            ]
            if rows:
                plain[name] = rows
            continue
        if one.sort == "evidence":
            held = _evidence_back(posted, at)
        else:
            column = columns.get(name)
            unit = column.unit if column else ""
            text = posted.get(at, "").strip()
            held = _back(one, text, "" if text == posted.get(f"{at}!o") else unit)
            if one.sort in ("quantity", "range"):
                held = _with_evidence(posted, at, held or "", evidence)
        if held not in ("", None, [], {}):
            plain[name] = held
    return plain


def _numbers(posted: Mapping[str, str], at: str) -> list[int]:
    """The numbers of the rows of a list that the form holds."""
    start = f"{at}."
    found = set()
    for key in posted:
        if key.startswith(start):
            number = key[len(start) :].partition(".")[0]
            if number.isdecimal() and len(number) < 5:
                found.add(int(number))
    return sorted(found)


def _back(one: Field, text: str, unit: str) -> Any:  # noqa: ANN401 - whatever the document holds
    if text == "" or (one.sort == "choice" and text == one.default):
        return None
    bare = {"quantity": _BARE, "range": _BARE_RANGE}.get(one.sort)
    if bare is not None and unit and bare.fullmatch(text):
        return f"{text} {unit}"
    if one.sort == "texts":
        return [part.strip() for part in text.split(";") if part.strip()]
    if one.sort == "flag":
        return text == "yes"
    if one.sort in ("integer", "number"):
        try:
            return int(text) if one.sort == "integer" else float(text)
        except ValueError:
            return text
    return text


def _with_evidence(
    posted: Mapping[str, str], at: str, text: str, evidence: Mapping[str, Any] | None
) -> Any:  # noqa: ANN401 - a text, or one with its evidence
    kept = posted.get(f"{at}!e", "")
    if kept and posted.get(f"{at}!o", "") == posted.get(at, "").strip():
        try:
            held = json.loads(kept)
        except ValueError:
            held = None
        return {"text": text, "evidence": held} if isinstance(held, dict) and held else text
    if text and evidence and posted.get(f"{at}!o", "") != posted.get(at, "").strip():
        return {"text": text, "evidence": dict(evidence)}
    return text


def _evidence_back(posted: Mapping[str, str], at: str) -> dict[str, Any]:
    plain: dict[str, Any] = {}
    for column in EVIDENCE_FIELDS:
        text = posted.get(f"{at}.{column.field}", "").strip()
        if text:
            plain[column.field] = text == "yes" if column.field == "assumed" else text
    return plain


def apply_step(posted: Mapping[str, str], step: str) -> dict[str, str]:
    """The fields of a form after a row was added to a list or dropped from it.

    ``step`` is ``add:0.runs`` or ``drop:0.runs.1``.
    """
    kept = dict(posted)
    verb, _, at = step.partition(":")
    if verb == "add":
        numbers = _numbers(posted, at)
        number = numbers[-1] + 1 if numbers else 0
        kept[f"{at}.{number}.!"] = ""
    elif verb == "drop":
        kept = {key: value for key, value in kept.items() if not key.startswith(f"{at}.")}
    return kept
