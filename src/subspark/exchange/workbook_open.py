"""Opening a workbook: its sheets as rows of cells, or one clear message why not.

python-calamine reads values quickly, but tells neither the error of a formula nor a formula
without a stored result from a blank cell. A blank means *not known*, so both are looked for in
the file itself and put back in their places.
"""

from __future__ import annotations

import html
import io
import re
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import cast

from subspark.errors import InputError
from subspark.exchange.cells import ERROR, NOT_COMPUTED, Cell, FaultyCell

__all__ = ["faulty_in_xlsx", "open_workbook", "read_bytes"]

Places = dict[tuple[int, int], FaultyCell]
Rows = list[list[Cell]]

_LARGEST = 2**31  # bytes when unpacked; a plant of 100,000 circuits needs a tenth of it
_COMPOUND = bytes.fromhex("d0cf11e0a1b11ae1")  # encrypted .xlsx, and .xls of old

_SHEET = re.compile(rb"<(?:\w+:)?sheet\s([^>]*)>")
_RELATION = re.compile(rb"<(?:\w+:)?Relationship\s([^>]*)>")
_ATTRIBUTE = re.compile(rb"([\w:.-]+)\s*=\s*(?:\"([^\"]*)\"|'([^']*)')")
_XLSX_CELL = re.compile(rb"<(?:\w+:)?c\s([^>]*?)(?:/>|>(.*?)</(?:\w+:)?c>)", re.DOTALL)
_FORMULA = re.compile(rb"<(?:\w+:)?f[\s/>]")
_RESULT = re.compile(rb"<(?:\w+:)?v[^>]*>([^<]+)<")
_REFERENCE = re.compile(r"([A-Z]{1,3})(\d{1,7})")
_ODS_PART = re.compile(
    rb"<table:(table|table-row|table-cell|covered-table-cell)(?=[\s/>])([^>]*)>(?:\s*<text:p>([^<]*))?"
)


def read_bytes(path: Path) -> bytes:
    """The content of a file.

    Raises
    ------
    InputError
        It is missing, a folder, or not to be read; the message says which.
    """
    try:
        return path.read_bytes()
    except FileNotFoundError:
        raise InputError(f"{path}: there is no such file") from None
    except IsADirectoryError:
        raise InputError(f"{path}: this is a folder; wanted a file") from None
    except PermissionError:
        raise InputError(f"{path}: no permission to read this file") from None
    except OSError as error:
        raise InputError(f"{path}: cannot be read ({error.strerror})") from None


def open_workbook(path: Path) -> list[tuple[str, Rows]]:
    """Every sheet of a workbook with its rows, from the first row and column on.

    Raises
    ------
    InputError
        The file is missing, damaged, encrypted or no workbook.
    """
    data = read_bytes(path)
    faulty = _faulty_cells(path, data)
    return list(_sheets(path, data, faulty))


def _sheets(path: Path, data: bytes, faulty: dict[str, Places]) -> Iterator[tuple[str, Rows]]:
    import python_calamine

    try:
        book = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(data))
        for meta in book.sheets_metadata:
            if meta.typ is not python_calamine.SheetTypeEnum.WorkSheet:
                continue
            found = book.get_sheet_by_name(meta.name).to_python(skip_empty_area=False)
            rows = cast("Rows", found)
            for (row, column), cell in faulty.get(meta.name, {}).items():
                while len(rows) <= row:
                    rows.append([])
                rows[row].extend([""] * (column + 1 - len(rows[row])))
                rows[row][column] = cell
            yield meta.name, rows
    except python_calamine.PasswordError:
        raise InputError(f"{path}: the workbook is encrypted; save it without a password") from None
    except (python_calamine.CalamineError, OSError, ValueError) as error:
        raise InputError(f"{path}: this is no workbook that can be read ({error})") from None


def _faulty_cells(path: Path, data: bytes) -> dict[str, Places]:
    if data.startswith(_COMPOUND):
        raise InputError(
            f"{path}: the workbook is encrypted or of the old .xls format; save it as .xlsx "
            "without a password"
        )
    if not data.startswith(b"PK"):
        what = "the file is empty" if not data else "this is no workbook"
        raise InputError(f"{path}: {what}; wanted an .xlsx or .ods file")
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            if sum(one.file_size for one in archive.infolist()) > _LARGEST:
                raise InputError(f"{path}: unpacks to more than 2 GiB; this is no plant workbook")
            if any(one.flag_bits & 1 for one in archive.infolist()):
                raise InputError(f"{path}: the workbook is encrypted; save it without a password")
            parts = {name: archive.read(name) for name in archive.namelist()}
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, OSError):
        raise InputError(
            f"{path}: the file is damaged or not complete; open it in a spreadsheet program and "
            "save it again, or fetch it anew"
        ) from None
    if "content.xml" in parts:
        if b"manifest:encryption-data" in parts.get("META-INF/manifest.xml", b""):
            raise InputError(f"{path}: the workbook is encrypted; save it without a password")
        return _faulty_in_ods(parts["content.xml"])
    if "xl/workbook.xml" not in parts:
        raise InputError(f"{path}: this is no workbook; wanted an .xlsx or .ods file")
    return {name: faulty_in_xlsx(part) for name, part in _xlsx_sheets(parts)}


def _attributes(tag: bytes) -> dict[str, str]:
    return {
        name.decode("utf-8", "replace"): html.unescape((one or other).decode("utf-8", "replace"))
        for name, one, other in _ATTRIBUTE.findall(tag)
    }


def _xlsx_sheets(parts: dict[str, bytes]) -> Iterator[tuple[str, bytes]]:
    relations = {}
    for tag in _RELATION.findall(parts.get("xl/_rels/workbook.xml.rels", b"")):
        one = _attributes(tag)
        relations[one.get("Id", "")] = one.get("Target", "")
    for tag in _SHEET.findall(parts["xl/workbook.xml"]):
        one = _attributes(tag)
        target = next((relations.get(one[key], "") for key in one if key.endswith(":id")), "")
        part = target.lstrip("/") if target.startswith("/") else f"xl/{target}"
        if part in parts:
            yield one.get("name", ""), parts[part]


def faulty_in_xlsx(part: bytes) -> Places:
    """The cells of a sheet that hold an error, or a formula without a result."""
    places: Places = {}
    if not (re.search(rb"\bt=[\"']e[\"']", part) or _FORMULA.search(part)):
        return places
    for head, body in _XLSX_CELL.findall(part):
        one = _attributes(head)
        kind = one.get("t", "n")
        result = _RESULT.search(body)
        if kind == "e":
            text = html.unescape(result[1].decode("utf-8", "replace")) if result else "#ERROR"
            places[_place(one.get("r", ""))] = FaultyCell(text, ERROR)
        elif kind != "str" and result is None and _FORMULA.search(body):
            places[_place(one.get("r", ""))] = FaultyCell("formula", NOT_COMPUTED)
    return places


def _place(reference: str) -> tuple[int, int]:
    match = _REFERENCE.fullmatch(reference)
    if match is None:
        raise InputError(f"a cell without its place in the workbook ({reference!r})")
    column = 0
    for letter in match[1]:
        column = column * 26 + ord(letter) - ord("A") + 1
    return int(match[2]) - 1, column - 1


def _faulty_in_ods(content: bytes) -> dict[str, Places]:
    found: dict[str, Places] = {}
    if b'value-type="error"' not in content:
        return found
    sheet, row, column, step = "", 0, 0, 0
    for what, tag, text in _ODS_PART.findall(content):
        one = _attributes(tag)
        if what == b"table":
            sheet, row, step = one.get("table:name", ""), 0, 0
        elif what == b"table-row":
            row, column = row + step, 0
            step = int(one.get("table:number-rows-repeated", "1"))
        else:
            if one.get("calcext:value-type") == "error":
                shown = html.unescape(text.decode("utf-8", "replace")) or "#ERROR"
                found.setdefault(sheet, {})[row, column] = FaultyCell(shown, ERROR)
            column += int(one.get("table:number-columns-repeated", "1"))
    return found
