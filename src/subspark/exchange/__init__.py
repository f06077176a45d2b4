"""Plants in and out: the workbook that people fill, and one JSON document.

``read_plant`` and ``write_plant`` choose by the suffix of the file. Nothing is half-read: what
is wrong in a file is told all at once, each fault at its cell or place. What a workbook holds
is described in one place, ``layout`` with its columns; libraries of file formats are imported
where they are used, so that a command which needs none starts without them.
"""

from pathlib import Path
from typing import Any

from subspark.exchange.files import read_plant, write_plant
from subspark.model import Plant

__all__ = [
    "json_schema",
    "read_json",
    "read_plant",
    "read_workbook",
    "write_empty",
    "write_json",
    "write_plant",
    "write_workbook",
]


def read_workbook(path: str | Path) -> Plant:
    """Read a plant from an .xlsx or .ods workbook; see ``workbook_read.read_workbook``."""
    from subspark.exchange.workbook_read import read_workbook as read

    return read(path)


def write_workbook(plant: Plant, path: str | Path) -> None:
    """Write a plant as an .xlsx workbook; see ``workbook_write.write_workbook``."""
    from subspark.exchange.workbook_write import write_workbook as write

    write(plant, path)


def write_empty(path: str | Path) -> None:
    """Write a workbook to be filled: headings, notes, lists and an example in each sheet."""
    from subspark.exchange.workbook_write import write_empty as write

    write(path)


def read_json(source: str | Path) -> Plant:
    """Read a plant from a JSON file (a Path) or from JSON text (a str)."""
    from subspark.exchange.document import read_json as read

    return read(source)


def write_json(plant: Plant) -> str:
    """Write a plant as one JSON document."""
    from subspark.exchange.document import write_json as write

    return write(plant)


def json_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of a plant document."""
    from subspark.exchange.schema import json_schema as schema

    return schema()
