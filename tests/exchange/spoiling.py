"""A written workbook with some cells changed, by sheet, row and heading."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import openpyxl

from subspark.errors import PlantError
from subspark.exchange import read_workbook, write_workbook
from subspark.model import Plant

Cells = dict[tuple[str, int, str], Any]


def spoiled(plant: Plant, path: Path, cells: Cells) -> Path:
    """Write a plant, then put other things into cells."""
    write_workbook(plant, path)
    book = openpyxl.load_workbook(path)
    for (name, row, title), value in cells.items():
        sheet = book[name]
        titles = [cell.value for cell in sheet[1]]
        sheet.cell(row, titles.index(title) + 1).value = value
    book.save(path)
    return path


def faults(path: Path) -> list[str]:
    """What reading a workbook tells."""
    try:
        read_workbook(path)
    except PlantError as error:
        return [str(fault) for fault in error.faults]
    return []
