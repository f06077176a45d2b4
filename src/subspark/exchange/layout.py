"""The plant workbook: its sheets, in order, and the slots (bound columns) of each.

A sheet holds the records of one list of the model, one a row, and names in its first columns
the record that each belongs to. Where a list usually has one member (the output of a source,
the run of a circuit), that one may stand on its owner's own row: an :class:`Inline` group.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal, cast

from subspark.exchange.columns import NUMBER, Column
from subspark.exchange.columns_catalogue import CATALOGUE
from subspark.exchange.columns_plant import PLANT
from subspark.exchange.fields import Field, fields_of
from subspark.model import Plant, Record
from subspark.quantity import NO_EVIDENCE, Evidence

__all__ = [
    "CELL_EVIDENCE",
    "COLUMNS",
    "EVIDENCE_FIELDS",
    "EXAMPLE",
    "LISTS",
    "README",
    "SHEETS",
    "Inline",
    "Path",
    "Sheet",
    "Slot",
    "home_of",
    "record_at",
]

Path = tuple[str, ...]
"""A list of the model by the fields that lead to it: ``("circuits", "runs")``."""

EXAMPLE = "e.g. "
"""A row whose first cell begins with this is an example and never read."""

README = "Read me"
LISTS = "(lists)"
"""The hidden sheet with the words of the drop-down lists. Sheets named in parentheses are
never read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CellEvidence(Record):
    """The evidence for one cell of another sheet, where it differs from that of its row."""

    sheet: str
    name: str = ""
    row: str = ""
    column: str
    value: str = ""
    evidence: Evidence = NO_EVIDENCE


def _undeclared(record: type[Record], columns: tuple[Column, ...]) -> Iterator[Column]:
    """A bare column for each field without one."""
    known = {one.field for one in columns} | {one.evidence for one in columns} | {"evidence"}
    for name, one in fields_of(record).items():
        if name in known or one.sort in ("records", "evidence"):
            continue
        unit = "°C" if one.sort == "range" else ""
        if one.kind is not None:
            unit = one.kind.example.partition(" or ")[0].partition(" ")[2]
        yield Column(name, name.replace("_", " ").capitalize(), "", unit)


_DECLARED: dict[type[Record], tuple[Column, ...]] = {
    **PLANT,
    **CATALOGUE,
    CellEvidence: (
        Column("sheet", "Sheet", "The sheet of the cell.", width=18, example="Sources"),
        Column(
            "name",
            "Name",
            "What stands in the first column of its row.",
            width=20,
            example="Isolator 28 V",
        ),
        Column("row", "Row", "Which one, where several rows begin so: 1, 2, ...", width=6),
        Column("column", "Column", "The heading of the cell's column.", width=16, example="Uo [V]"),
        Column(
            "value",
            "Value",
            "The value that this evidence was given for, checked against the cell so that "
            "evidence never outlives its value. Blank: not checked.",
            width=14,
            example="28 V",
        ),
    ),
}

COLUMNS: dict[type[Record], tuple[Column, ...]] = {
    record: (*columns, *_undeclared(record, columns)) for record, columns in _DECLARED.items()
}
"""Every column by its record. A field of the model that nobody has described gets a bare
column, so that nothing is ever lost; a test asks for its description."""

EVIDENCE_FIELDS: tuple[Column, ...] = (
    Column("document", "Evidence", "The document in which the row was read.", width=24),
    Column("page", "Page", "Its page.", width=7),
    Column("note", "Remark", "A remark on the evidence.", width=22),
    Column("by", "Read by", "Who read it.", width=10),
    Column("assumed", "Assumed", "yes: not read anywhere but taken.", width=9),
)
"""The last columns of a row: where it was read. They fill the fields of ``Evidence``."""

_LONGEST_LIST = 300
"""A longer list of words is left to the drop-down of its column, and to the documentation."""

Role = Literal["key", "variant", "number", "field", "inline", "evidence"]


@dataclass(frozen=True, slots=True)
class Inline:
    """A group of columns for the one member of a list, on its owner's row, behind ``after``."""

    list: str
    fields: tuple[str, ...]
    after: str


@dataclass(frozen=True, slots=True)
class Slot:
    """A column as it stands in a sheet.

    ``role`` says what it fills: a key of the owner, the variant of the sheet, the number of a
    row, a field of the record, a field of the ``inline`` list's member, or the evidence.
    ``level`` is the place of the owner on the way to the record.
    """

    role: Role
    column: Column
    title: str
    field: Field | None = None
    inline: str = ""
    level: int = 0
    choices: tuple[str, ...] = ()
    required: bool = False

    @property
    def note(self) -> str:
        """The note on the heading: what it means and what may stand there."""
        parts = [self.column.note, *self._accepts()]
        return " ".join(part for part in parts if part)

    def _accepts(self) -> Iterator[str]:
        if self.required:
            yield "Required."
        kind = self.field
        if kind is None:
            return
        if kind.sort == "quantity":
            yield f"A bare number is in {self.column.unit}; any other with its unit."
            if kind.words:
                words = " or ".join(f"'{word}'" for word in kind.words)
                yield f"{words} where a document says so."
            yield "Blank: not known."
        elif kind.sort == "choice":
            named = ", ".join(one for one in kind.choices if one)
            yield f"One of: {named}." if len(named) <= _LONGEST_LIST else "A word of the list."
        elif kind.sort == "texts":
            yield "Several are separated by semicolons."
        if self.column.refers:
            yield f"A name of sheet {self.column.refers}."
        if self.column.evidence:
            yield "Its evidence stands on sheet Cell evidence."


@dataclass(frozen=True)
class Sheet:
    """One sheet: ``variants`` maps what its variant column says to the list that a row is of.

    ``evidence`` "row" fills the record's own evidence; "numbers" gives every number of the row
    the evidence of the row; "" leaves both to sheet Cell evidence. ``everyday`` sheets are
    enough for most plants.
    """

    title: str
    noun: str
    says: str
    variants: dict[str, Path]
    evidence: Literal["row", "numbers", ""] = ""
    inlines: tuple[Inline, ...] = ()
    everyday: bool = False
    variant: str = ""
    owner: str = ""
    own: type[Record] | None = field(default=None)

    @cached_property
    def record(self) -> type[Record]:
        """The record of a row."""
        return self.own or record_at(next(iter(self.variants.values())))

    @cached_property
    def slots(self) -> tuple[Slot, ...]:
        """Every column of the sheet, from the left."""
        slots = [*self._keys()]
        for column in COLUMNS[self.record]:
            slots.append(_slot(self.record, column))
            for inline in self.inlines:
                if inline.after == column.field:
                    slots.extend(self._inline(inline))
        if self.evidence:
            slots.extend(_evidence_slots())
        return tuple(slots)

    @cached_property
    def by_title(self) -> dict[str, Slot]:
        """The columns by their headings."""
        return {slot.title: slot for slot in self.slots}

    @cached_property
    def by_field(self) -> dict[tuple[str, str], Slot]:
        """The columns by inline list (blank: the row's own record) and field."""
        return {
            (slot.inline, slot.column.field): slot
            for slot in self.slots
            if slot.role in ("field", "inline")
        }

    def keys_for(self, path: Path) -> tuple[Slot, ...]:
        """The columns that name the owner of a row of that list, from the plant down."""
        wanted = {
            (level, column.field)
            for level in range(len(path) - 1)
            for column in COLUMNS[record_at(path[: level + 1])]
            if column.key
        }
        keys = [slot for slot in self.slots if slot.role == "key"]
        return tuple(
            slot
            for slot in keys
            if (slot.level, slot.column.field) in wanted or (self.owner and slot.level == 0)
        )

    def _keys(self) -> Iterator[Slot]:
        seen = set()
        paths = sorted(self.variants.values(), key=len, reverse=True)
        for path in paths:
            for level in range(len(path) - 1):
                owner = record_at(path[: level + 1])
                for column in COLUMNS[owner]:
                    field = "" if level == 0 and self.owner else column.field
                    if not column.key or (level, field) in seen:
                        continue
                    seen.add((level, field))
                    title = self.owner if level == 0 and self.owner else column.key
                    yield Slot("key", column, title, level=level, required=level == 0)
                    if level == 0 and self.variant:
                        variant = Column("", self.variant, "Of what the row is.", width=16)
                        choices = tuple(self.variants)
                        yield Slot("variant", variant, self.variant, None, "", 0, choices, True)

    def _inline(self, inline: Inline) -> Iterator[Slot]:
        record = fields_of(self.record)[inline.list].item
        columns = {column.field: column for column in COLUMNS[record]} if record else {}
        for name in inline.fields:
            slot = _slot(record or self.record, columns[name])
            yield Slot("inline", slot.column, slot.title, slot.field, inline.list, 0, slot.choices)


def _evidence_slots() -> Iterator[Slot]:
    facts = fields_of(cast("type[Record]", Evidence))  # no record, but a dataclass like them
    for column in EVIDENCE_FIELDS:
        one = facts[column.field]
        choices = ("yes",) if one.sort == "flag" else ()
        yield Slot("evidence", column, column.title, one, "", 0, choices)


def _slot(record: type[Record], column: Column) -> Slot:
    if column.field == NUMBER:
        return Slot("number", column, column.title)
    one = fields_of(record)[column.field]
    choices = one.choices if one.sort == "choice" else ("yes",) if one.sort == "flag" else ()
    return Slot("field", column, column.title, one, "", 0, choices, one.required)


def record_at(path: Path) -> type[Record]:
    """The record that a list of the model holds."""
    record: type[Record] = Plant
    for name in path:
        item = fields_of(record)[name].item
        if item is None:
            raise KeyError(path)
        record = item
    return record


def _sheet(
    title: str,
    noun: str,
    path: str,
    says: str,
    *inlines: Inline,
    evidence: Literal["row", "numbers", ""] = "",
    everyday: bool = False,
) -> Sheet:
    at = tuple(path.split("."))
    return Sheet(title, noun, says, {"": at}, evidence, inlines, everyday)


SHEETS: tuple[Sheet, ...] = (
    Sheet("Plant", "plant", "The plant itself, on one row.", {"": ()}, everyday=True),
    _sheet(
        "Areas",
        "area",
        "areas",
        "Places of the plant. An area's one atmosphere may stand on its row; several stand on "
        "sheet Atmospheres.",
        Inline(
            "atmospheres",
            (
                "zone",
                "hazard_class",
                "group",
                "temperature",
                "substances",
                "cloud_ignition",
                "layer_ignition",
                "epl",
            ),
            after="title",
        ),
        evidence="row",
        everyday=True,
    ),
    _sheet(
        "Certificates",
        "certificate",
        "certificates",
        "Certificates in hand.",
        evidence="row",
        everyday=True,
    ),
    _sheet(
        "Conditions",
        "condition",
        "certificates.conditions",
        "Specific conditions of use, one a row, and whether the plant meets each.",
        evidence="row",
        everyday=True,
    ),
    _sheet(
        "Sources",
        "source",
        "sources",
        "Types of source (associated apparatus). The one output and the one port of a type may "
        "stand on its row; several stand on sheets Outputs and Ports.",
        Inline(
            "outputs",
            ("name", "shape", "Uo", "Io", "Po", "Ci", "Li", "polarity"),
            after="isolation",
        ),
        Inline("ports", ("name", "Um"), after="isolation"),
        evidence="row",
        everyday=True,
    ),
    _sheet(
        "Limits",
        "limits",
        "sources.outputs.limits",
        "What a certificate lets each output be connected to, one row a group.",
        evidence="numbers",
        everyday=True,
    ),
    _sheet(
        "Apparatus",
        "apparatus",
        "apparatus",
        "Types of certified field apparatus. The one set of parameters of a type may stand on "
        "its row; several stand on sheet Connections.",
        Inline(
            "entries",
            ("connection", "mark", "Ui", "Ii", "Pi", "Ci", "Li"),
            after="certificate",
        ),
        evidence="row",
        everyday=True,
    ),
    _sheet(
        "Simple apparatus",
        "simple apparatus",
        "simple",
        "Types of simple apparatus, with the assessment that replaces a certificate.",
        evidence="row",
        everyday=True,
    ),
    _sheet("Cables", "cable", "cables", "Types of cable.", evidence="row", everyday=True),
    _sheet(
        "Circuits",
        "circuit",
        "circuits",
        "The circuits. The one source, apparatus and run of a circuit may stand on its row; "
        "several stand on sheets Circuit sources, Circuit apparatus and Runs.",
        Inline("sources", ("tag", "source", "outputs", "place", "cabinet"), after="area"),
        Inline("members", ("tag", "apparatus", "connection"), after="area"),
        Inline("runs", ("cable", "length", "number"), after="area"),
        evidence="row",
        everyday=True,
    ),
    _sheet(
        "Declarations",
        "declaration",
        "declarations",
        "Facts stated once, with evidence, that serve every circuit under their scope.",
        evidence="row",
        everyday=True,
    ),
    _sheet(
        "Atmospheres",
        "atmosphere",
        "areas.atmospheres",
        "Atmospheres of areas that have several, or whose evidence differs.",
        evidence="row",
    ),
    _sheet(
        "Outputs",
        "output",
        "sources.outputs",
        "Outputs of sources that have several, or whose evidence differs.",
        evidence="numbers",
    ),
    _sheet(
        "Pairs",
        "pair",
        "sources.outputs.limits.pairs",
        "Pairs of Co and Lo that may be used at the same time, under a row of sheet Limits.",
        evidence="numbers",
    ),
    _sheet("Ports", "port", "sources.ports", "Safe-side terminals of sources.", evidence="numbers"),
    _sheet(
        "Connections",
        "connection",
        "apparatus.entries",
        "Sets of parameters of apparatus that has several, or whose evidence differs.",
        evidence="numbers",
    ),
    _sheet(
        "Temperature rows",
        "temperature row",
        "apparatus.entries.rows",
        "Temperature tables of certificates: the class that holds up to a power, in an ambient.",
        evidence="numbers",
    ),
    Sheet(
        "Marks",
        "mark",
        "Facts of markings, where they are not to be read from the marking itself.",
        {
            "source serves": ("sources", "serves"),
            "source body": ("sources", "body"),
            "apparatus": ("apparatus", "entries", "marks"),
        },
        variant="Facts of",
        owner="Type",
    ),
    Sheet(
        "Function",
        "figure",
        "Functional figures, one a row: by them it is judged whether a circuit works. They decide "
        "nothing of safety.",
        {
            "source": ("sources", "function"),
            "apparatus": ("apparatus", "function"),
            "simple apparatus": ("simple", "function"),
            "cable": ("cables", "function"),
            "circuit": ("circuits", "function"),
        },
        "row",
        variant="Figure of",
        owner="Name",
    ),
    _sheet("Junctions", "junction", "junctions", "Boxes and terminal strips.", evidence="row"),
    _sheet(
        "Circuit sources",
        "source",
        "circuits.sources",
        "Sources of circuits that have several, or of which more is to be said.",
    ),
    _sheet(
        "Circuit apparatus",
        "apparatus",
        "circuits.members",
        "Apparatus of circuits that have several, or of which more is to be said.",
    ),
    _sheet(
        "Runs",
        "run",
        "circuits.runs",
        "Runs of cable of circuits that have several, or of which more is to be said.",
        evidence="numbers",
    ),
    _sheet(
        "Safe side",
        "safe-side supply",
        "circuits.sources.safe_side",
        "Rated voltages that may stand behind the ports of a circuit's source under fault.",
        evidence="row",
    ),
)

CELL_EVIDENCE = Sheet(
    "Cell evidence",
    "evidence",
    "Evidence for single cells, where it differs from that of their row.",
    {},
    evidence="row",
    own=CellEvidence,
)


def home_of(path: Path) -> tuple[Sheet, str]:
    """The sheet of a list, and what its variant column says there."""
    return _HOMES[path]


_HOMES = {path: (sheet, name) for sheet in SHEETS for name, path in sheet.variants.items()}
