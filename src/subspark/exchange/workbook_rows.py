"""A plant as the rows of its workbook: the way back of ``workbook_read``, without loss."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

from subspark.errors import Fault
from subspark.exchange.cells import told
from subspark.exchange.fields import Field, fields_of
from subspark.exchange.layout import (
    CELL_EVIDENCE,
    COLUMNS,
    EVIDENCE_FIELDS,
    EXAMPLE,
    SHEETS,
    Inline,
    Path,
    Sheet,
    Slot,
    home_of,
)
from subspark.model import Plant, Record
from subspark.quantity import Evidence, TemperatureRange, Value

__all__ = ["Row", "Table", "tables_of"]

Row = dict[str, str | float]
"""The cells of one row by heading; blank ones are left out."""

_LONGEST = 32767  # characters that a cell holds
_NOT_IN_XML = frozenset({"\ufffe", "\uffff", *map(chr, range(0xD800, 0xE000))})


@dataclass(slots=True)
class Table:
    """The rows of one sheet, and how many begin with each name."""

    sheet: Sheet
    rows: list[Row] = field(default_factory=list)
    names: Counter[str | float] = field(default_factory=Counter)

    def add(self, row: Row) -> tuple[str | float, int]:
        """Put a row at the end; its name and which one of that name it is."""
        name = row.get(self.sheet.slots[0].title, "")
        self.rows.append(row)
        self.names[name] += 1
        return name, self.names[name]


@dataclass(frozen=True, slots=True)
class _Remark:
    """The evidence for one cell."""

    sheet: str
    name: str | float
    nth: int
    title: str
    value: str
    evidence: Evidence


def tables_of(plant: Plant) -> tuple[list[Table], list[Fault]]:
    """The rows of every sheet, and what of the plant no workbook can hold."""
    writer = _Writer()
    writer.plant(plant)
    tables = [writer.tables[sheet.title] for sheet in (*SHEETS, CELL_EVIDENCE)]
    return tables, list(_faults(tables))


def _faults(tables: list[Table]) -> Iterator[Fault]:
    fine: set[str] = set()
    for table in tables:
        first = table.sheet.slots[0].title
        for number, row in enumerate(table.rows, start=2):
            for title, cell in row.items():
                if not isinstance(cell, str) or cell in fine:
                    continue
                where = f"sheet {table.sheet.title}, row {number}, column {title}"
                if len(cell) > _LONGEST:
                    yield Fault(where, f"{cell[:40]}...", f"too long; wanted {_LONGEST} at most")
                elif not _NOT_IN_XML.isdisjoint(cell):
                    yield Fault(where, ascii(cell), "has a character that no workbook can hold")
                elif title != first:
                    fine.add(cell)
            name = row.get(first, "")
            if isinstance(name, str) and name.lower().startswith(EXAMPLE.strip()):
                where = f"sheet {table.sheet.title}, row {number}, column {first}"
                yield Fault(where, name, f"begins with {EXAMPLE.strip()!r}, the mark of an example")


class _Writer:
    """Turns records into rows, from the plant down."""

    def __init__(self) -> None:
        self.tables = {sheet.title: Table(sheet) for sheet in (*SHEETS, CELL_EVIDENCE)}
        self.remarks: list[_Remark] = []

    def plant(self, plant: Plant) -> None:
        """Write the whole plant."""
        self._record(plant, (), {}, "")
        table = self.tables[CELL_EVIDENCE.title]
        for one in self.remarks:
            several = self.tables[one.sheet].names[one.name] > 1
            row: Row = {"Sheet": one.sheet, "Name": one.name, "Column": one.title}
            row |= {"Row": one.nth} if several else {}
            row |= {"Value": one.value}
            row |= _evidence_cells(one.evidence)
            table.add({title: cell for title, cell in row.items() if cell != ""})

    def _record(self, record: Record, path: Path, keys: dict[str, str], number: str) -> None:
        """Write one record on its own row, and all below it."""
        sheet, variant = home_of(path)
        row: Row = {}
        for slot in sheet.keys_for(path):
            named = _key(slot.level, slot.column.field)
            shared = (text for key, text in keys.items() if key.startswith(_key(slot.level, "")))
            row[slot.title] = keys[named] if named in keys else next(shared)
        if sheet.variant:
            row[sheet.variant] = variant
        for slot in sheet.slots:
            if slot.role == "number":
                row[slot.title] = number
            elif slot.role == "field":
                row[slot.title] = _cell(getattr(record, slot.column.field), slot)
        own = keys | _own_keys(record, len(path) - 1, number)
        standing = _row_evidence(sheet, record)
        row |= _evidence_cells(standing)
        inlined = {}
        for inline in sheet.inlines:
            child = _fits(getattr(record, inline.list), inline, sheet, standing)
            if child is not None:
                inlined[inline.list] = child
                row |= child_cells(child, inline, sheet)
        name, nth = self.tables[sheet.title].add(
            {title: cell for title, cell in row.items() if cell != ""}
        )
        self._remark(record, sheet, standing, name, nth)
        for one in fields_of(record.__class__).values():
            if one.sort == "records":
                self._list(record, one, path, own, inlined.get(one.name))

    def _list(
        self, record: Record, one: Field, path: Path, keys: dict[str, str], inlined: Record | None
    ) -> None:
        """Write the members of a list, each on its own row unless it stands on its owner's."""
        below = (*path, one.name)
        if inlined is not None:
            own = keys | _own_keys(inlined, len(below) - 1, "")
            for inner in fields_of(inlined.__class__).values():
                if inner.sort == "records":
                    self._list(inlined, inner, below, own, None)
            return
        members = getattr(record, one.name)
        level = len(below) - 1
        names = [tuple(_own_keys(member, level, "").values()) for member in members]
        counts = Counter(names)
        seen: Counter[tuple[str, ...]] = Counter()
        for member, name in zip(members, names, strict=True):
            seen[name] += 1
            number = str(seen[name]) if counts[name] > 1 else ""
            self._record(member, below, keys, number)

    def _remark(
        self, record: Record, sheet: Sheet, standing: Evidence, name: str | float, nth: int
    ) -> None:
        """Keep what the row itself cannot say about the evidence of its cells."""
        covered = standing if sheet.evidence == "numbers" else Evidence()
        for slot in sheet.slots:
            if slot.role != "field":
                continue
            value = getattr(record, slot.column.field)
            if isinstance(value, (Value, TemperatureRange)):
                given = covered if value.text else Evidence()
                if value.evidence != given:
                    self.remarks.append(
                        _Remark(sheet.title, name, nth, slot.title, value.text, value.evidence)
                    )
            elif slot.column.evidence:
                evidence = getattr(record, slot.column.evidence)
                if evidence:
                    self.remarks.append(
                        _Remark(sheet.title, name, nth, slot.title, str(value), evidence)
                    )


def _cell(value: object, slot: Slot) -> str | float:
    """What to write; a choice that is the usual one is left blank."""
    if slot.field is not None and slot.field.sort == "choice" and value == slot.field.default:
        return ""
    return told(value, slot.column.unit)


def _key(level: int, name: str) -> str:
    return f"{level} {name}"


def _own_keys(record: Record, level: int, number: str) -> dict[str, str]:
    return {
        _key(level, column.field): number
        if column.field == "#"
        else str(getattr(record, column.field))
        for column in COLUMNS[record.__class__]
        if column.key
    }


def _numbers(record: Record) -> list[Value | TemperatureRange]:
    """The numbers of a record that are not blank."""
    values = (getattr(record, name) for name in fields_of(record.__class__))
    return [one for one in values if isinstance(one, (Value, TemperatureRange)) and one.text]


def _row_evidence(sheet: Sheet, record: Record) -> Evidence:
    """The evidence that stands on the row: the record's own, or the one most numbers share."""
    if sheet.evidence == "row":
        found = getattr(record, "evidence")  # noqa: B009 - such records have it
        return found if isinstance(found, Evidence) else Evidence()
    if sheet.evidence == "numbers":
        given = [one.evidence for one in _numbers(record)]
        if given and all(given):
            return Counter(given).most_common(1)[0][0]
    return Evidence()


def _evidence_cells(evidence: Evidence) -> Row:
    if not evidence:
        return {}
    cells = {one.title: told(getattr(evidence, one.field), "") for one in EVIDENCE_FIELDS}
    return {title: cell for title, cell in cells.items() if cell != ""}


def _fits(
    members: tuple[Record, ...], inline: Inline, sheet: Sheet, standing: Evidence
) -> Record | None:
    """The only member of a list, if its owner's row says all of it."""
    if len(members) != 1:
        return None
    member = members[0]
    for name, one in fields_of(member.__class__).items():
        if name in inline.fields or one.sort == "records":
            continue
        value = getattr(member, name)
        if name == "evidence":
            if value != standing:
                return None
        elif value != one.default:
            return None
    mine = getattr(member, "evidence", None)
    wanted = standing if mine is None else Evidence()
    for name in inline.fields:
        value = getattr(member, name)
        given = wanted if told(value, "") else Evidence()
        if isinstance(value, (Value, TemperatureRange)) and value.evidence != given:
            return None
    return member if child_cells(member, inline, sheet) else None


def child_cells(member: Record, inline: Inline, sheet: Sheet) -> Row:
    """The cells of a member that stands on its owner's row."""
    facts = fields_of(member.__class__)
    row: Row = {}
    for name in inline.fields:
        value = getattr(member, name)
        if value == facts[name].default:
            continue
        slot: Slot = sheet.by_field[inline.list, name]
        cell = told(value, slot.column.unit)
        if cell != "":
            row[slot.title] = cell
    return row
