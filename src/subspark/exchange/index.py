"""An instrument index in a layout of its own, laid over a plant column by column.

The rows of the index become rows of the plant's own sheet of circuits: new ones at its end, and
those of a tag that is there with the cells that the index fills. The whole is then read as any
workbook, so that every fault is told, each at its row and column of the index.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from subspark.errors import Fault, UsageError
from subspark.exchange.cells import Cell, is_blank, shown
from subspark.exchange.layout import CELL_EVIDENCE, EVIDENCE_FIELDS, SHEETS, Sheet, Slot
from subspark.exchange.nodes import Spot
from subspark.exchange.workbook_open import Rows, open_workbook
from subspark.exchange.workbook_read import Sheets
from subspark.exchange.workbook_rows import tables_of
from subspark.model import Plant

__all__ = ["TARGETS", "Index", "Layout", "guess", "headings_of", "read_index", "sheets_of"]

_CIRCUITS: Sheet = next(sheet for sheet in SHEETS if sheet.title == "Circuits")
TARGETS: tuple[Slot, ...] = tuple(
    slot for slot in _CIRCUITS.slots if slot.role in ("field", "inline")
)
"""The columns of a circuit that an index may fill."""

_WORDS = {
    "Circuit": ("circuit", "tag", "tag no", "tag number", "loop", "loop no", "instrument tag"),
    "Service": ("service", "description", "service description", "function"),
    "Area": ("area", "hazardous area", "area tag", "unit"),
    "Source tag": ("barrier tag", "isolator tag", "module", "source tag"),
    "Source": ("source", "barrier", "barrier type", "isolator", "isolator type", "interface"),
    "Cabinet": ("cabinet", "panel", "marshalling"),
    "Apparatus tag": ("apparatus tag", "device tag"),
    "Apparatus": ("apparatus", "instrument", "instrument type", "device", "device type", "model"),
    "Cable": ("cable", "cable type"),
    "Length [m]": ("length", "cable length", "length m", "length in m", "route length"),
    "Cable no.": ("cable no", "cable number", "cable tag", "multicore"),
    "Drawing": ("drawing", "loop drawing", "document"),
    "Revision": ("revision", "rev"),
    "Note": ("note", "remark", "remarks", "comment"),
}
_CHILDREN = {"sources": "Circuit sources", "members": "Circuit apparatus", "runs": "Runs"}
_MOST_ROWS = 200_000


@dataclass(frozen=True, slots=True)
class Layout:
    """Which sheet, which row holds the headings (from 1), and which heading fills which column."""

    sheet: str
    heading: int
    columns: Mapping[str, str]


@dataclass(slots=True)
class Index:
    """An index laid over a plant: to be read, with the rows of the index behind its circuits."""

    sheets: Sheets
    layout: Layout
    rows: Rows
    origin: dict[tuple[str, int], int]
    refused: dict[Spot, Fault]

    def read(self) -> tuple[Plant | None, list[Fault]]:
        """The plant with the index laid over it, or every fault at its cell of the index."""
        plant, faults = self.sheets.read()
        told = [self._at_home(spot, fault) for spot, fault in faults.items()]
        told += self.refused.values()
        return (None if told else plant), told

    def _at_home(self, spot: Spot, fault: Fault) -> Fault:
        row = self.origin.get((spot.sheet, spot.row))
        if row is None:
            return fault
        heading = self.layout.columns.get(spot.title, spot.title)
        return replace(fault, where=str(Spot(self.layout.sheet, row, heading)))


def sheets_of(path: str | Path) -> list[tuple[str, Rows]]:
    """Every sheet of a workbook that has rows."""
    return [(name, rows) for name, rows in open_workbook(Path(path)) if rows]


def _plain(text: str) -> str:
    kept = "".join(one if one.isalnum() else " " for one in text.lower())
    return " ".join(kept.split())


def guess(headings: Sequence[str]) -> dict[str, str]:
    """Which heading fills which column, by its words; what is not sure is left out."""
    found: dict[str, str] = {}
    taken: set[str] = set()
    for slot in TARGETS:
        words = (_plain(slot.title), *_WORDS.get(slot.title, ()))
        for word in words:
            fits = [one for one in headings if _plain(one) == word and one not in taken]
            if fits:
                found[slot.title] = fits[0]
                taken.add(fits[0])
                break
    return found


def headings_of(rows: Rows, heading: int) -> list[str]:
    """The headings of a sheet in a row; repeated and blank ones are passed over."""
    if not 1 <= heading <= len(rows):
        raise UsageError(f"heading row {heading}: wanted one from 1 to {len(rows)}")
    cells = [" ".join(shown(cell).split()) for cell in rows[heading - 1] if not is_blank(cell)]
    return list(dict.fromkeys(cells))


def read_index(path: str | Path, layout: Layout, plant: Plant) -> Index:
    """Lay an index over a plant.

    Parameters
    ----------
    path : str or Path
        The workbook that holds the index.
    layout : Layout
        Which of its columns fills which of ours.
    plant : Plant
        With the catalogue that the index names.

    Raises
    ------
    UsageError
        A sheet, row, heading or column that is not there, or no column for the tag.
    """
    rows = dict(sheets_of(path)).get(layout.sheet)
    if rows is None:
        raise UsageError(f"sheet {layout.sheet!r}: there is none of that name in the file")
    places = _places(rows, layout)
    tables = _as_rows(plant)
    laid = _Laying(tables)
    for number in range(layout.heading + 1, min(len(rows), _MOST_ROWS) + 1):
        row = rows[number - 1]
        cells = {
            title: row[at]
            for title, at in places.items()
            if at < len(row) and not is_blank(row[at])
        }
        if _CIRCUITS.slots[0].title in cells:
            laid.put(cells, number, layout)
    return Index(Sheets.of(laid.matrices(), Path(path)), layout, rows, laid.origin, laid.refused)


def _places(rows: Rows, layout: Layout) -> dict[str, int]:
    known = {slot.title for slot in TARGETS}
    tag = _CIRCUITS.slots[0].title
    if tag not in layout.columns:
        raise UsageError(f"no column fills {tag!r}; wanted the one that holds the tags")
    headings_of(rows, layout.heading)
    cells = [" ".join(shown(cell).split()) for cell in rows[layout.heading - 1]]
    found = {}
    for title, heading in layout.columns.items():
        if title not in known:
            raise UsageError(f"{title!r} is no column of a circuit")
        if heading not in cells:
            raise UsageError(f"heading {heading!r}: there is none in row {layout.heading}")
        found[title] = cells.index(heading)
    return found


_Table = list[dict[str, Cell]]


def _as_rows(plant: Plant) -> dict[str, _Table]:
    tables, _ = tables_of(plant)
    return {table.sheet.title: [dict(row) for row in table.rows] for table in tables}


class _Laying:
    """The sheets of a plant while an index is laid over them."""

    def __init__(self, tables: dict[str, _Table]) -> None:
        self.tables = tables
        self.origin: dict[tuple[str, int], int] = {}
        self.refused: dict[Spot, Fault] = {}
        self._place: dict[str, int] = {
            str(row.get("Circuit", "")): at for at, row in enumerate(tables[_CIRCUITS.title])
        }
        self._children: dict[tuple[str, str], list[tuple[Sheet, int]]] = defaultdict(list)
        for name, title in _CHILDREN.items():
            sheet = next(one for one in SHEETS if one.title == title)
            for at, row in enumerate(tables.get(title, ())):
                self._children[name, str(row.get("Circuit", ""))].append((sheet, at))
        self._seen: dict[str, int] = {}

    def put(self, cells: dict[str, Cell], number: int, layout: Layout) -> None:
        """Lay one row of the index over the circuit of its tag, or enter a new one."""
        tag = " ".join(shown(cells["Circuit"]).split())
        rows = self.tables[_CIRCUITS.title]
        if tag in self._seen:
            spot = Spot(layout.sheet, number, layout.columns["Circuit"])
            wanted = f"stands in row {self._seen[tag]} too; wanted once"
            self.refused[spot] = Fault(str(spot), tag, wanted)
            return
        self._seen[tag] = number
        at = self._place.get(tag)
        if at is None:
            at = len(rows)
            rows.append({})
        for title, cell in cells.items():
            slot = _CIRCUITS.by_title[title]
            there = self._children.get((slot.inline, tag), [(_CIRCUITS, at)])
            if len(there) > 1:
                spot = Spot(layout.sheet, number, layout.columns[title])
                wanted = (
                    f"circuit {tag!r} has several {slot.inline} in the plant; an index holds one, "
                    "so change them on its own page and leave this cell blank"
                )
                self.refused[spot] = Fault(str(spot), shown(cell), wanted)
                continue
            sheet, place = there[0]
            row = self.tables[sheet.title][place]
            self.origin[sheet.title, place + 2] = number
            if shown(row.get(title, "")) != shown(cell):
                row[title] = cell
                self._forget(sheet, row, tag, title)
        self.origin[_CIRCUITS.title, at + 2] = number

    def _forget(self, sheet: Sheet, row: dict[str, Cell], tag: str, title: str) -> None:
        """The evidence of a cell does not outlive its value."""
        if sheet.evidence == "numbers":
            for column in EVIDENCE_FIELDS:
                row.pop(column.title, None)
        kept = self.tables[CELL_EVIDENCE.title]
        self.tables[CELL_EVIDENCE.title] = [
            row
            for row in kept
            if (row.get("Sheet"), row.get("Name"), row.get("Column")) != (sheet.title, tag, title)
        ]

    def matrices(self) -> dict[str, Rows]:
        """Every sheet as a reader wants it: the headings, then the rows."""
        found: dict[str, Rows] = {}
        for sheet in (*SHEETS, CELL_EVIDENCE):
            titles = [slot.title for slot in sheet.slots]
            head: list[Cell] = list(titles)
            body = [
                [row.get(title, "") for title in titles] for row in self.tables.get(sheet.title, ())
            ]
            found[sheet.title] = [head, *body]
        return found
