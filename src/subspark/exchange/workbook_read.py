"""Reading a plant workbook: all of it, or one error that names every bad cell."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from subspark.errors import Fault, InputError, PlantError
from subspark.exchange.building import collector_at_rest
from subspark.exchange.cells import Cell, CellReader, is_blank, shown
from subspark.exchange.fields import fields_of, one_of
from subspark.exchange.layout import (
    CELL_EVIDENCE,
    COLUMNS,
    EXAMPLE,
    LISTS,
    README,
    SHEETS,
    Inline,
    Sheet,
    Slot,
    home_of,
    record_at,
)
from subspark.exchange.layout import Path as ListPath
from subspark.exchange.nodes import Node, RowError, Spot, build, faults_of_plant
from subspark.exchange.workbook_open import Rows, open_workbook
from subspark.model import SAFE_AREA, Plant, Record
from subspark.quantity import NO_EVIDENCE, Evidence, TemperatureRange, Value

__all__ = ["Sheets", "read_workbook"]

_REQUIRED_SHEETS = ("Plant", "Circuits")
_BY_TITLE = {sheet.title: sheet for sheet in (*SHEETS, CELL_EVIDENCE)}
_ORDER = {title: index for index, title in enumerate(_BY_TITLE)}
_COMPARED = re.compile(r"[^a-z0-9]")


@dataclass(slots=True, eq=False)
class _Row:
    """A row as read: its number, its nodes (own under "", inline groups by list), its owner."""

    number: int
    nodes: dict[str, Node]
    keys: dict[str, str]
    variant: str = ""
    evidence: Evidence = NO_EVIDENCE
    cells: dict[str, Cell] = field(default_factory=dict)


class _Faults:
    """Faults by their cells: one cell, one fault."""

    def __init__(self) -> None:
        self.found: dict[Spot, Fault] = {}

    def add(self, spot: Spot, value: object, wanted: str) -> None:
        """Keep the first fault of a cell."""
        text = value if isinstance(value, str) else shown(value)
        self.found.setdefault(spot, Fault(str(spot), text, wanted))

    def sorted(self) -> list[Fault]:
        """All faults as the reader of the workbook meets them."""
        return list(self.in_order().values())

    def in_order(self) -> dict[Spot, Fault]:
        """All faults by their cells, as the reader of the workbook meets them."""

        def place(item: tuple[Spot, Fault]) -> tuple[int, str, int, int]:
            spot = item[0]
            sheet = _BY_TITLE.get(spot.sheet)
            titles = [slot.title for slot in sheet.slots] if sheet else []
            column = titles.index(spot.title) if spot.title in titles else len(titles)
            return _ORDER.get(spot.sheet, -1), spot.sheet, spot.row, column

        return dict(sorted(self.found.items(), key=place))


def read_workbook(path: str | Path) -> Plant:
    """Read a plant from an .xlsx or .ods workbook.

    Parameters
    ----------
    path : str or Path
        The workbook, laid out as ``write_empty`` writes it. Columns may stand in any order;
        sheets and columns whose name begins with a parenthesis are not read.

    Returns
    -------
    Plant
        The whole plant.

    Raises
    ------
    PlantError
        Something in it is wrong: every bad cell is named, and nothing is taken over.
    InputError
        The file cannot be opened as a workbook.
    """
    with collector_at_rest():
        return _read(Path(path))


def _read(path: Path) -> Plant:
    faults = _Faults()
    tables = _tables(open_workbook(path), faults, path)
    built = _from_tables(tables, faults)
    if faults.found or built is None:
        raise PlantError(faults.sorted(), str(path)) from None
    return built


def _from_tables(tables: dict[str, Rows], faults: _Faults) -> Plant | None:
    """The plant of some sheets; faults are gathered, and None given where there is no plant."""
    readers = {sheet.title: _SheetReader(sheet, faults) for sheet in (*SHEETS, CELL_EVIDENCE)}
    for title, rows in tables.items():
        readers[title].read(rows)
    root = _root(readers["Plant"], faults)
    _settle_evidence(readers, faults)
    _attach(readers, root, faults)
    try:
        built = build(root)
    except PlantError as error:
        for spot, fault in faults_of_plant(root, error):
            hint = _near_reference(root, spot, fault)
            faults.add(spot, fault.value, fault.wanted + hint)
        built = None
    except RowError as error:
        faults.add(error.spot, "", error.wanted)
        built = None
    return built if isinstance(built, Plant) else None


class Sheets:
    """The sheets of a workbook, read as often as one likes while rows are taken out.

    Parameters
    ----------
    path : str or Path
        The workbook.
    """

    def __init__(self, path: str | Path) -> None:
        self.path = Path(path)
        faults = _Faults()
        self.tables = _tables(open_workbook(self.path), faults, self.path)
        self.strange = dict(faults.found)

    @classmethod
    def of(cls, tables: dict[str, Rows], path: Path) -> Sheets:
        """Sheets that are in memory already."""
        made = cls.__new__(cls)
        made.path, made.tables, made.strange = path, tables, {}
        return made

    def read(self) -> tuple[Plant | None, dict[Spot, Fault]]:
        """The plant of the rows that are there, and every fault by its cell, in order."""
        faults = _Faults()
        faults.found.update(self.strange)
        with collector_at_rest():
            built = _from_tables(self.tables, faults)
        return (None if faults.found else built), faults.in_order()


def _near(name: str, names: Iterable[str]) -> str:
    """A hint at the nearest of some names, or nothing."""
    plain = {_COMPARED.sub("", one.lower()): one for one in names}
    near = difflib.get_close_matches(_COMPARED.sub("", name.lower()), plain, n=1, cutoff=0.6)
    return f"; the nearest is {plain[near[0]]!r}" if near else ""


def _near_reference(root: Node, spot: Spot, fault: Fault) -> str:
    """A hint at the nearest name of the sheet that the cell refers to."""
    slot = _BY_TITLE[spot.sheet].by_title.get(spot.title)
    refers = slot.column.refers if slot else ""
    if not refers:
        return ""
    names = [SAFE_AREA] if refers == "Areas" else []
    for sheet in SHEETS:
        if sheet.title == refers or (refers == "Apparatus" and sheet.title == "Simple apparatus"):
            name = sheet.slots[0].column.field
            nodes = root.children.get(sheet.variants[""][0], [])
            names += [str(node.given[name]) for node in nodes]
    return _near(fault.value, names)


def _tables(sheets: list[tuple[str, Rows]], faults: _Faults, path: Path) -> dict[str, Rows]:
    """The sheets that are ours, by title."""
    tables: dict[str, Rows] = {}
    ours = {title.lower(): title for title in _BY_TITLE}
    ignored = {README.lower(), LISTS.lower()}
    strangers = []
    for name, rows in sheets:
        plain = " ".join(name.split()).lower()
        if plain in ignored or plain.startswith("("):
            continue
        if plain in ours:
            tables[ours[plain]] = rows
        else:
            strangers.append(name)
    if not tables:
        names = ", ".join(repr(name) for name, _ in sheets) or "none"
        raise InputError(
            f"{path}: this is no plant workbook: it has none of its sheets (found {names}); "
            "`subspark new` writes an empty one"
        )
    for name in strangers:
        wanted = "not a sheet of a plant workbook; put the name of your own sheet in parentheses"
        faults.add(Spot(name, 0), name, wanted + _near(name, _BY_TITLE.keys() - tables.keys()))
    for title in _REQUIRED_SHEETS:
        if title not in tables:
            wanted = "this sheet is missing; wanted it, with at least its headings"
            faults.add(Spot(title, 0), "", wanted)
    return {title: tables[title] for title in _BY_TITLE if title in tables}


class _SheetReader:
    """Reads the rows of one sheet into nodes."""

    def __init__(self, sheet: Sheet, faults: _Faults) -> None:
        self.sheet = sheet
        self.faults = faults
        self.rows: list[_Row] = []
        self.readers = {slot.title: CellReader(slot) for slot in sheet.slots}
        self.required = [
            slot
            for slot in sheet.slots
            if slot.required or (slot.inline and slot.field is not None and slot.field.required)
        ]
        self.items = {
            one.list: item
            for one in sheet.inlines
            if (item := fields_of(sheet.record)[one.list].item) is not None
        }

    def read(self, table: Rows) -> None:
        """Read every row below the headings."""
        columns = self._headings(table[0] if table else [])
        if columns is None:
            return
        first = min(
            (index for index, slot in columns if slot.title == self.sheet.slots[0].title),
            default=0,
        )
        for number, cells in enumerate(table[1:], start=2):
            if first < len(cells):
                head = cells[first]
                if isinstance(head, str) and head.lstrip().lower().startswith(EXAMPLE.strip()):
                    continue
            row = self._row(number, cells, columns)
            if row is not None:
                self.rows.append(row)

    def _headings(self, cells: list[Cell]) -> list[tuple[int, Slot]] | None:
        """Which column holds what, or None where the headings cannot be told."""
        sheet, columns, seen = self.sheet, [], set()
        known = {_plain_title(title): slot for title, slot in sheet.by_title.items()}
        strangers = []
        for index, cell in enumerate(cells):
            if is_blank(cell):
                continue
            name = shown(cell)
            slot = known.get(_plain_title(name))
            if slot is None:
                if not name.lstrip().startswith("("):
                    strangers.append(name)
                continue
            if slot.title in seen:
                self.faults.add(
                    Spot(sheet.title, 1, slot.title), name, "this heading stands twice; wanted once"
                )
                continue
            seen.add(slot.title)
            columns.append((index, slot))
        if not columns:
            found = ", ".join(repr(name) for name in strangers) or "a blank row"
            wanted = (
                f"no heading of this sheet in row 1; wanted {sheet.slots[0].title!r} and others"
            )
            self.faults.add(Spot(sheet.title, 1), found.strip("'"), wanted)
            return None
        for name in strangers:
            wanted = (
                "not a heading of this sheet; put the heading of your own column in parentheses"
                + _near(name, sheet.by_title.keys() - seen)
            )
            self.faults.add(Spot(sheet.title, 1, name), name, wanted)
        missing = [slot for slot in sheet.slots if slot.required and slot.title not in seen]
        for slot in missing:
            wanted = "this heading is missing in row 1; wanted a column of that heading"
            self.faults.add(Spot(sheet.title, 1, slot.title), "", wanted)
        return None if missing else columns

    def _row(self, number: int, cells: list[Cell], columns: list[tuple[int, Slot]]) -> _Row | None:
        row = _Row(number, {}, {})
        evidence: dict[str, Any] = {}
        width, bad = len(cells), False
        for index, slot in columns:
            if index >= width:
                continue
            cell = cells[index]
            if cell == "" or is_blank(cell):
                continue
            row.cells[slot.title] = cell
            try:
                value = self.readers[slot.title](cell)
            except InputError as error:
                self.faults.add(Spot(self.sheet.title, number, slot.title), cell, str(error))
                value, bad = None, True
            self._put(row, slot, value, evidence)
        if not row.cells:
            return None
        self._own(row)
        if not bad and evidence:
            row.evidence = Evidence(**evidence)
        self._check(row)
        return row

    def _own(self, row: _Row) -> Node:
        node = row.nodes.get("")
        if node is None:
            node = row.nodes[""] = Node(self.sheet.record, self.sheet, row.number)
        return node

    def _put(self, row: _Row, slot: Slot, value: Any, evidence: dict[str, Any]) -> None:  # noqa: ANN401 - whatever the model takes there
        name = slot.column.field
        if slot.role == "field":
            if value is not None:
                self._own(row).given[name] = value
        elif slot.role == "inline":
            node = row.nodes.get(slot.inline)
            if node is None:
                item = self.items[slot.inline]
                node = row.nodes[slot.inline] = Node(item, self.sheet, row.number, slot.inline)
            if value is not None:
                node.given[name] = value
        elif slot.role == "key":
            row.keys[slot.title] = value or ""
        elif slot.role == "number":
            self._own(row).number = value or ""
        elif slot.role == "variant":
            row.variant = value or ""
        elif value is not None:
            evidence[name] = value

    def _check(self, row: _Row) -> None:
        """Tell what is required and blank."""
        for slot in self.required:
            if slot.title not in row.cells and slot.inline in row.nodes:
                wanted = f"wanted {self.readers[slot.title].wanted}"
                self.faults.add(Spot(self.sheet.title, row.number, slot.title), "", wanted)
        for node in row.nodes.values():
            node.fill()


def _plain_title(title: str) -> str:
    """A heading as it is compared: spaces and the several signs for micro and ohm aside."""
    plain = "".join(title.split()).lower()
    for sign, word in (("\u03bc", "\u00b5"), ("\u2126", "ohm"), ("\u03c9", "ohm"), ("²", "2")):
        plain = plain.replace(sign, word)
    return plain


def _root(reader: _SheetReader, faults: _Faults) -> Node:
    for row in reader.rows[1:]:
        spot = Spot("Plant", row.number)
        faults.add(spot, next(iter(row.cells.values())), "a second plant; wanted one row")
    if reader.rows:
        return reader.rows[0].nodes[""]
    return Node(Plant, reader.sheet, 2)


# --- evidence -----------------------------------------------------------------------------


def _settle_evidence(readers: dict[str, _SheetReader], faults: _Faults) -> None:
    """Give the numbers and records of every row their evidence."""
    for reader in readers.values():
        if reader.sheet is CELL_EVIDENCE:
            continue
        for row in reader.rows:
            if row.evidence:
                _row_evidence(reader.sheet, row, faults)
    _cell_evidence(readers, faults)


def _row_evidence(sheet: Sheet, row: _Row, faults: _Faults) -> None:
    for inline, node in row.nodes.items():
        if "evidence" in fields_of(node.record):
            node.given["evidence"] = row.evidence
            continue
        numbers = 0
        for name, value in node.given.items():
            if isinstance(value, (Value, TemperatureRange)):
                node.given[name] = type(value)(value.text, row.evidence)
                numbers += 1
        if not numbers and inline == "":
            spot = Spot(sheet.title, row.number, "Evidence")
            wanted = "evidence beside no number; wanted a number in this row, or no evidence"
            faults.add(spot, str(row.evidence), wanted)


def _cell_evidence(readers: dict[str, _SheetReader], faults: _Faults) -> None:
    named: dict[str, dict[str, list[_Row]]] = {}
    for row in readers[CELL_EVIDENCE.title].rows:
        given = row.nodes[""].given
        title = given["sheet"]
        reader = readers.get(title)

        def fault(column: str, value: str, wanted: str, number: int = row.number) -> None:
            faults.add(Spot(CELL_EVIDENCE.title, number, column), value, wanted)

        if reader is None or reader.sheet is CELL_EVIDENCE:
            fault("Sheet", title, "wanted the name of a sheet" + _near(title, readers))
            continue
        if title not in named:
            named[title] = _by_name(reader)
        rows = named[title].get(given.get("name", ""), [])
        target = _nth(rows, given.get("row", ""))
        if target is None:
            name, nth = given.get("name", ""), given.get("row", "")
            if not rows:
                fault("Name", name, f"wanted what a row of sheet {title} begins with")
            else:
                fault("Row", nth, f"{len(rows)} rows begin with {name!r}; wanted 1 to {len(rows)}")
            continue
        _to_cell(reader, target, row, fault)


def _to_cell(reader: _SheetReader, target: _Row, row: _Row, fault: Any) -> None:  # noqa: ANN401 - a closure
    given, sheet = row.nodes[""].given, reader.sheet
    known = {_plain_title(slot.title): slot for slot in sheet.slots}
    slot = known.get(_plain_title(given["column"]))
    keeper = slot.column.evidence if slot else ""
    if (
        slot is None
        or slot.field is None
        or not (keeper or slot.field.sort in ("quantity", "range"))
    ):
        wanted = f"wanted the heading of a number of sheet {sheet.title}"
        numbers = [one.title for one in sheet.slots if one.field and one.field.sort == "quantity"]
        fault("Column", given["column"], wanted + _near(given["column"], numbers))
        return
    node = target.nodes.get(slot.inline)
    if node is None:
        fault(
            "Column", given["column"], f"the cells of this group are blank in row {target.number}"
        )
        return
    name = slot.column.field
    held = node.given.get(name, slot.field.default)
    if given.get("value", "") and not _same(reader.readers[slot.title], given["value"], held):
        now = getattr(held, "text", held) or "blank"
        wanted = (
            f"the cell now holds {now!r}; see whether this evidence still stands, and wanted that "
            "value here"
        )
        fault("Value", given["value"], wanted)
    if keeper:
        node.given[keeper] = row.evidence
    elif isinstance(held, (Value, TemperatureRange)):
        node.given[name] = type(held)(held.text, row.evidence)


def _same(reader: CellReader, said: str, held: object) -> bool:
    """Whether what the evidence was given for is what the cell holds."""
    try:
        value = reader(said)
    except InputError:
        return False
    return getattr(value, "text", value) == getattr(held, "text", held)


def _by_name(reader: _SheetReader) -> dict[str, list[_Row]]:
    rows: dict[str, list[_Row]] = {}
    first = reader.sheet.slots[0].title
    for row in reader.rows:
        name = " ".join(shown(row.cells.get(first, "")).split())
        rows.setdefault(name, []).append(row)
    return rows


def _nth(rows: list[_Row], said: str) -> _Row | None:
    if said == "":
        return rows[0] if len(rows) == 1 else None
    return rows[int(said) - 1] if said.isdecimal() and 0 < int(said) <= len(rows) else None


# --- owners -------------------------------------------------------------------------------

_Index = dict[ListPath, dict[str, list[Node]]]


def _attach(readers: dict[str, _SheetReader], root: Node, faults: _Faults) -> None:
    """Put every node under its owner, owners first."""
    index: _Index = {}
    rows = []
    for title, reader in readers.items():
        if title in ("Plant", CELL_EVIDENCE.title):
            continue
        for row in reader.rows:
            path = reader.sheet.variants.get(row.variant)
            if path is not None:
                rows.append((path, reader.sheet, row))
    rows.sort(key=lambda one: len(one[0]))  # stable: the order of the sheets is kept
    for path, sheet, row in rows:
        owner = root if len(path) == 1 else _owner(path, sheet, row, index, faults)
        if owner is None:  # told; what it refers to is looked at all the same
            if path[:-1] != ("circuits",):
                continue
            owner = Node(record_at(path[:-1]), sheet, row.number)
            owner.fill()
            root.add(path[0], owner)
        node = row.nodes[""]
        _enter(index, path, owner, node)
        owner.add(path[-1], node)
        for inline in sheet.inlines:
            child = row.nodes.get(inline.list)
            if child is not None:
                _enter_inline(index, path, inline, node, child)


def _enter_inline(index: _Index, path: ListPath, inline: Inline, node: Node, child: Node) -> None:
    _enter(index, (*path, inline.list), node, child)
    node.add(inline.list, child)


def _enter(index: _Index, path: ListPath, owner: Node, node: Node) -> None:
    """Make a node findable by its keys."""
    node.keys = (*owner.keys, *_own_keys(node))
    if node.keys:
        index.setdefault(path, {}).setdefault(node.keys[0], []).append(node)


def _own_keys(node: Node) -> tuple[str, ...]:
    keys = []
    for column in _key_columns(node.record):
        if column == "#":
            keys.append(node.number)
        else:
            one = fields_of(node.record)[column]
            keys.append(str(node.given.get(column, one.default) or ""))
    return tuple(keys)


def _key_columns(record: type[Record]) -> tuple[str, ...]:
    found = _KEYS.get(record)
    if found is None:
        found = _KEYS[record] = tuple(one.field for one in COLUMNS[record] if one.key)
    return found


_KEYS: dict[type[Record], tuple[str, ...]] = {}


def _owner(path: ListPath, sheet: Sheet, row: _Row, index: _Index, faults: _Faults) -> Node | None:
    """The node that a row belongs to; a fault where none or several fit."""
    slots = sheet.keys_for(path)
    for slot in sheet.slots:
        if slot.role == "key" and slot not in slots and row.keys.get(slot.title):
            spot = Spot(sheet.title, row.number, slot.title)
            faults.add(spot, row.keys[slot.title], f"wanted blank for {row.variant}")
    said = [row.keys.get(slot.title, "") for slot in slots]
    if said[0] == "":
        return None  # told already
    fits = index.get(path[:-1], {}).get(said[0], [])
    if not fits:
        spot = Spot(sheet.title, row.number, slots[0].title)
        names = index.get(path[:-1], {})
        faults.add(spot, said[0], _unknown_owner(path, names) + _near(said[0], names))
        return None
    for at, (slot, name) in enumerate(zip(slots, said, strict=True)):
        closer = [node for node in fits if name in ("", node.keys[at])]
        if not closer:
            known = tuple(dict.fromkeys(node.keys[at] for node in fits if node.keys[at]))
            wanted = f"wanted {one_of(known) if known else 'blank'}, for {said[0]!r}"
            faults.add(Spot(sheet.title, row.number, slot.title), name, wanted)
            return None
        fits = closer
    exact = [node for node in fits if list(node.keys) == said]
    if len(exact) == 1:
        return exact[0]
    if len(fits) > 1:
        titles = ", ".join(slot.title for slot in slots[1:])
        spot = Spot(sheet.title, row.number, slots[-1].title)
        faults.add(spot, said[-1], f"{len(fits)} rows fit; wanted {titles} of one of them")
        return None
    return fits[0]


def _unknown_owner(path: ListPath, names: dict[str, list[Node]]) -> str:
    sheet = home_of(path[:-1])[0]
    if len(path[:-1]) > 1 and not names:
        return f"wanted one that has a row of sheet {sheet.title}"
    return f"wanted the name of one of sheet {sheet.title}"
