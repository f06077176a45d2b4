"""The page of the documentation on the workbook, written from its layout."""

from __future__ import annotations

from collections.abc import Iterator

from subspark.exchange.layout import CELL_EVIDENCE, SHEETS, Sheet
from subspark.exchange.workbook_style import readme

__all__ = ["workbook_page"]

_HEAD = """\
<!-- Written by tools/pages.py from the layout of the workbook; do not edit. -->
# The plant workbook

`subspark new FILE` writes an empty one; `subspark check FILE` reads it, .xlsx or .ods. Every \
bad cell is told in one go, with its sheet, row, column, value and what is wanted, and nothing \
is half-read. The same plant is one JSON document, with its schema by `subspark schema`; going \
from one to the other and back loses nothing.
"""
_READING = """\
## How it is read

- **Sheets** are known by name. A sheet whose name begins with a parenthesis is yours and not \
read; any other unknown sheet is a fault, so that a slip in a name never drops a sheet. Sheets \
that are not needed may be left out, but not Plant and Circuits.
- **Headings** stand in row 1, in any order. A column whose heading begins with a parenthesis \
is yours and not read; any other unknown heading is a fault. Columns that are not needed may be \
left out; what is missing is not known. Headings in the tables below that are marked * must be \
there.
- **Numbers** are in the unit of their heading, to the 15 digits that a spreadsheet shows. \
Text with a unit is read as it stands. A comma that may be a decimal or a thousands comma is \
refused.
- **Formulas** give their stored result. The error of a formula, a formula without a stored \
result, a date and a time of day are faults, never a blank.
- **Written** numbers are numbers only where nothing is lost, and text otherwise. Text that \
looks like a formula is written as text.
"""


def workbook_page() -> str:
    """Sheets and columns of the workbook as a page in Markdown."""
    return "\n".join([_HEAD, *_filling(), _READING, *_sheets()]).rstrip() + "\n"


def _filling() -> Iterator[str]:
    yield "## How to fill it\n"
    for style, name, words in readme():
        if style == "words" and name:
            yield f"- **{name}.** {words}"
    yield ""


def _sheets() -> Iterator[str]:
    yield "## Sheets\n"
    for sheet in (*SHEETS, CELL_EVIDENCE):
        yield from _sheet(sheet)


def _sheet(sheet: Sheet) -> Iterator[str]:
    yield f"### {sheet.title}\n"
    yield f"{sheet.says}\n"
    yield "| column | what stands there |"
    yield "| --- | --- |"
    for slot in sheet.slots:
        mark = " *" if slot.required else ""
        note = slot.note.replace("Required. ", "").replace(" Required.", "").replace("|", "\\|")
        yield f"| {slot.title}{mark} | {note} |"
    yield ""
