"""The clean part of a workbook with faults: what can be taken over without leaning on the rest.

A record with a bad cell is left out whole, with all its rows: a circuit without one of its runs
would be another circuit. What leans on it is left out with it, also where no name leads there:
circuits of the same multicore or box (they would be judged as if it were not there), and
apparatus whose sensor side a circuit that was left out may open. Where it cannot be told what
leans on a bad row, there is no clean part.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path

from subspark.errors import Fault, InputError, PlantError
from subspark.exchange.cells import is_blank, shown
from subspark.exchange.layout import CELL_EVIDENCE, SHEETS, Sheet
from subspark.exchange.nodes import Spot
from subspark.exchange.workbook_open import Rows
from subspark.exchange.workbook_read import Sheets
from subspark.model import Plant

__all__ = ["Part", "clean_part"]

_BY_TITLE = {sheet.title: sheet for sheet in SHEETS}
_ROUNDS = 50
_ENDS = ("start", "end")


@dataclass(slots=True)
class Part:
    """What can be taken over.

    ``left_out`` names each record that stays behind, by kind, with the reason.
    """

    plant: Plant
    left_out: dict[tuple[str, str], str] = field(default_factory=dict)


def clean_part(path: str | Path | Sheets) -> Part:
    """The part of a workbook that has no fault and leans on none.

    Parameters
    ----------
    path : str, Path or Sheets
        The workbook, or its sheets, of which rows are then taken out.

    Returns
    -------
    Part
        The plant of the clean records, and what was left out.

    Raises
    ------
    PlantError
        There is no clean part: the faults say why.
    InputError
        The file cannot be opened as a workbook.
    """
    return _Sieve(path if isinstance(path, Sheets) else Sheets(path)).part()


class _Sieve:
    def __init__(self, sheets: Sheets) -> None:
        self.sheets = sheets
        self.left_out: dict[tuple[str, str], str] = {}
        self.numbers: set[str] = set()
        self.ends: set[str] = set()
        self.sides: set[str] = set()

    def part(self) -> Part:
        """Take faulty records out until none is left."""
        for turn in range(_ROUNDS):
            plant, faults = self.sheets.read()
            if plant is not None:
                return Part(self._without_leaning(plant), self.left_out)
            self._take_out(faults, first=turn == 0)
        raise InputError(f"{self.sheets.path}: no part of it is clean")

    def _take_out(self, faults: dict[Spot, Fault], *, first: bool) -> None:
        records: dict[tuple[str, str], str] = {}
        rows: set[tuple[str, int]] = set()
        stuck = []
        for spot, fault in faults.items():
            owner = self._owner(spot)
            if spot.sheet == "Declarations" and not first and spot.row > 1:
                rows.add((spot.sheet, spot.row))  # it names something that was left out
                name = f"row {spot.row}"
                self.left_out.setdefault(("declarations", name), str(fault))
            elif spot.sheet == CELL_EVIDENCE.title and spot.row > 1:
                rows.add((spot.sheet, spot.row))
            elif owner is None:
                stuck.append(fault)
            else:
                records.setdefault(owner, str(fault))
        if stuck:
            raise PlantError(stuck, f"{self.sheets.path}, no part can be taken over")
        for owner, why in records.items():
            self.left_out.setdefault(owner, why)
        self._drop(set(records), rows)

    def _owner(self, spot: Spot) -> tuple[str, str] | None:
        """The record of the plant to which a row belongs; None where it cannot be told."""
        sheet = _BY_TITLE.get(spot.sheet)
        if sheet is None or spot.row < 2 or spot.sheet in ("Plant", "Declarations"):
            return None
        owner = self._record_of(sheet, self._cells(sheet, spot.row))
        if owner is None:
            return None
        own = self.sheets.tables.get(_home(owner[0]).title, [])
        names = {
            self._record_of(_home(owner[0]), self._named(_home(owner[0]), own, row))
            for row in range(2, len(own) + 1)
        }
        return owner if owner in names else None

    def _cells(self, sheet: Sheet, row: int) -> dict[str, str]:
        table = self.sheets.tables.get(sheet.title, [])
        return self._named(sheet, table, row)

    @staticmethod
    def _named(sheet: Sheet, table: Rows, row: int) -> dict[str, str]:
        """The cells of a row by the titles of the sheet, as texts."""
        if not 0 < row <= len(table) or not table:
            return {}
        titles = {"".join(title.split()).lower(): title for title in sheet.by_title}
        found = {}
        for index, head in enumerate(table[0]):
            title = titles.get("".join(shown(head).split()).lower())
            cells = table[row - 1]
            if title and index < len(cells) and not is_blank(cells[index]):
                found[title] = " ".join(shown(cells[index]).split())
        return found

    @staticmethod
    def _record_of(sheet: Sheet, cells: dict[str, str]) -> tuple[str, str] | None:
        """The record that the first cell of a row names."""
        name = cells.get(sheet.slots[0].title, "")
        variant = next((slot.title for slot in sheet.slots if slot.role == "variant"), "")
        path = sheet.variants.get(cells.get(variant, "") if variant else "")
        return (path[0], name) if name and path else None

    def _drop(self, records: set[tuple[str, str]], rows: set[tuple[str, int]]) -> None:
        """Blank the rows of records and single rows, so that other rows keep their numbers."""
        for title, table in self.sheets.tables.items():
            sheet = _BY_TITLE.get(title)
            for row in range(2, len(table) + 1):
                cells = {} if sheet is None else self._named(sheet, table, row)
                owner = None if sheet is None else self._record_of(sheet, cells)
                if owner in records:
                    self._remember(sheet, cells, owner)
                if owner in records or (title, row) in rows:
                    table[row - 1] = []

    def _remember(
        self, sheet: Sheet | None, cells: dict[str, str], owner: tuple[str, str] | None
    ) -> None:
        """Keep by what others may lean on a row that is left out."""
        if sheet is None or owner is None:
            return
        for slot in sheet.slots:
            text = cells.get(slot.title, "")
            if not text or slot.role not in ("field", "inline"):
                continue
            of_run = slot.inline == "runs" or sheet.title == "Runs"
            if of_run and slot.column.field == "number":
                self.numbers.add(text)
            elif of_run and slot.column.field in _ENDS:
                self.ends.add(text)
            elif slot.column.field == "terminals_of":
                self.sides.add(text)
        if owner[0] == "junctions":
            self.ends.add(owner[1])

    def _without_leaning(self, plant: Plant) -> Plant:
        """The plant without circuits that lean on one that was left out."""
        out = set(self._leaning(plant))
        while out:
            for circuit in plant.circuits:
                if circuit.tag in out:
                    self.numbers |= {run.number for run in circuit.runs if run.number}
                    ends = {end for run in circuit.runs for end in (run.start, run.end)}
                    self.ends |= ends - {""}
                    why = "leans on something that is left out (a shared cable, box or apparatus)"
                    self.left_out.setdefault(("circuits", circuit.tag), why)
            plant = _reduced(plant, out)
            out = set(self._leaning(plant))
        return plant

    def _leaning(self, plant: Plant) -> Iterator[str]:
        if not any(kind == "circuits" for kind, _ in self.left_out) and not self.ends:
            return
        heated = self.ends & {one.tag for one in plant.junctions if one.Rth.known}
        gone = {name for kind, name in self.left_out if kind == "junctions"}
        sides = self.sides | {
            one.terminals_of for one in plant.sources if one.terminals_of and one.separated != "yes"
        }
        for circuit in plant.circuits:
            numbers = {run.number for run in circuit.runs if run.number}
            ends = {end for run in circuit.runs for end in (run.start, run.end)}
            items = {member.apparatus for member in circuit.members}
            if numbers & self.numbers or ends & (heated | gone) or items & sides:
                yield circuit.tag


def _reduced(plant: Plant, out: set[str]) -> Plant:
    """The plant without some circuits, and without declarations that then name nothing."""
    circuits = tuple(one for one in plant.circuits if one.tag not in out)
    cabinets = {use.cabinet for one in circuits for use in one.sources}
    kept = tuple(
        one
        for one in plant.declarations
        if not (one.scope == "circuit" and one.of in out)
        and not (one.scope == "cabinet" and one.of not in cabinets)
    )
    return replace(plant, circuits=circuits, declarations=kept)


def _home(kind: str) -> Sheet:
    """The sheet in which a record of the plant has its own row."""
    return next(sheet for sheet in SHEETS if sheet.variants.get("") == (kind,))
