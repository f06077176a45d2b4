"""Files as they come: other formats, damaged, locked, not there, made by other programs."""

from __future__ import annotations

import html
import io
import os
import zipfile
from pathlib import Path
from typing import Any

import openpyxl
import pytest
import xlsxwriter

from exchange.plants import small_plant
from exchange.spoiling import faults, spoiled
from subspark.errors import InputError, UsageError
from subspark.exchange import read_plant, read_workbook, write_plant, write_workbook
from subspark.exchange.layout import SHEETS
from subspark.exchange.workbook_open import faulty_in_xlsx
from subspark.model import Plant

Rows = list[list[Any]]


def rows_of(path: Path) -> dict[str, Rows]:
    book = openpyxl.load_workbook(path)
    return {
        sheet.title: [[cell.value for cell in row] for row in sheet.iter_rows()] for sheet in book
    }


def write_ods(path: Path, sheets: dict[str, Rows], errors: set[tuple[str, int, int]]) -> None:
    """An .ods by hand, with blank cells and equal rows folded as office programs do."""
    body = io.StringIO()
    for name, rows in sheets.items():
        body.write(f'<table:table table:name="{html.escape(name)}">')
        body.write('<table:table-column table:number-columns-repeated="40"/>')
        for number, row in enumerate(rows):
            body.write("<table:table-row>")
            blanks = 0
            for column, cell in enumerate(row):
                if cell is None and (name, number, column) not in errors:
                    blanks += 1
                    continue
                if blanks:
                    body.write(f'<table:table-cell table:number-columns-repeated="{blanks}"/>')
                    blanks = 0
                body.write(_ods_cell(cell, error=(name, number, column) in errors))
            body.write("</table:table-row>")
        body.write('<table:table-row table:number-rows-repeated="1000"><table:table-cell/>')
        body.write("</table:table-row></table:table>")
    spaces = " ".join(
        f'xmlns:{one}="urn:oasis:names:tc:opendocument:xmlns:{one}:1.0"'
        for one in ("office", "table", "text")
    )
    content = (
        f'<?xml version="1.0" encoding="UTF-8"?><office:document-content {spaces} '
        'xmlns:calcext="urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0" '
        'office:version="1.3"><office:body><office:spreadsheet>'
        f"{body.getvalue()}</office:spreadsheet></office:body></office:document-content>"
    )
    kind = "application/vnd.oasis.opendocument.spreadsheet"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("mimetype", kind)
        archive.writestr("content.xml", content)
        archive.writestr("META-INF/manifest.xml", "<manifest/>")


def _ods_cell(cell: object, *, error: bool) -> str:
    if error:
        return (
            '<table:table-cell table:formula="of:=1/0" office:value-type="string" '
            'office:string-value="" calcext:value-type="error"><text:p>#DIV/0!</text:p>'
            "</table:table-cell>"
        )
    if isinstance(cell, str):
        return (
            '<table:table-cell office:value-type="string"><text:p>'
            f"{html.escape(cell)}</text:p></table:table-cell>"
        )
    return f'<table:table-cell office:value-type="float" office:value="{cell}"/>'


def test_an_ods_is_read_as_the_same_plant(tmp_path: Path) -> None:
    write_workbook(small_plant(), tmp_path / "plant.xlsx")
    write_ods(tmp_path / "plant.ods", rows_of(tmp_path / "plant.xlsx"), set())
    assert read_plant(tmp_path / "plant.ods") == small_plant()


def test_the_error_of_a_formula_in_an_ods_is_no_blank(tmp_path: Path) -> None:
    write_workbook(small_plant(), tmp_path / "plant.xlsx")
    rows = rows_of(tmp_path / "plant.xlsx")
    column = rows["Runs"][0].index("Length [m]")
    write_ods(tmp_path / "plant.ods", rows, {("Runs", 2, column)})
    assert faults(tmp_path / "plant.ods") == [
        (
            "sheet Runs, row 3, column Length [m]: '#DIV/0!': the error of a formula; wanted "
            "a length "
            "with its unit, such as 350 m or 1200 ft"
        )
    ]


def test_stored_results_of_formulas_are_read(tmp_path: Path) -> None:
    """A workbook of another program: formulas with their results."""
    path, plain = tmp_path / "made.xlsx", tmp_path / "plant.xlsx"
    write_workbook(small_plant(), plain)
    book = xlsxwriter.Workbook(path, {"strings_to_formulas": False})
    for name, rows in rows_of(plain).items():
        sheet = book.add_worksheet(name)
        for number, row in enumerate(rows):
            for column, cell in enumerate(row):
                sheet.write(number, column, cell)
    runs = book.get_worksheet_by_name("Runs")
    titles = rows_of(plain)["Runs"][0]
    runs.write_formula(1, titles.index("Length [m]"), "=4+6", None, 10)
    runs.write_formula(1, titles.index("Cable"), '="K"&"1"', None, "K1")
    book.close()
    assert read_workbook(path) == small_plant()


def test_an_error_and_a_formula_never_computed_are_no_blanks(tmp_path: Path) -> None:
    cells = {
        ("Runs", 2, "Length [m]"): "=4+6",
        ("Runs", 3, "Length [m]"): "#N/A",
        ("Runs", 3, "To"): "#REF!",
    }
    assert faults(spoiled(small_plant(), tmp_path / "plant.xlsx", cells)) == [
        (
            "sheet Runs, row 2, column Length [m]: 'formula': a formula without a stored "
            "result; open "
            "the workbook in a spreadsheet program and save it; wanted a length with its "
            "unit, such "
            "as 350 m or 1200 ft"
        ),
        (
            "sheet Runs, row 3, column Length [m]: '#N/A': the error of a formula; wanted a length "
            "with its unit, such as 350 m or 1200 ft"
        ),
        "sheet Runs, row 3, column To: '#REF!': the error of a formula; wanted a text",
    ]


def test_a_formula_that_gives_a_blank_text_is_a_blank() -> None:
    """As LibreOffice and its peers store it: the type says text, the result is empty."""
    cells = (
        b'<c r="A1" t="str"><f>IF(1,"","")</f><v></v></c><c r="B1" s="3"/>'
        b'<c r="C1" t="e"><f>1/0</f><v>#DIV/0!</v></c><c r="AA2"><f>1+1</f><v/></c>'
        b'<x:c r="D1"><x:f>1+1</x:f><x:v>2</x:v></x:c>'
    )
    assert sorted(faulty_in_xlsx(cells)) == [(0, 2), (1, 26)]


def damaged(path: Path) -> dict[str, bytes]:
    whole = path.read_bytes()
    middle = len(whole) // 2
    other = io.BytesIO()
    with zipfile.ZipFile(other, "w") as archive:
        archive.writestr("word/document.xml", "<w/>")
    return {
        "empty": b"",
        "text": b"Circuit;Source\nPT-1;S1\n",
        "truncated": whole[:middle],
        "flipped": whole[:middle] + bytes(100) + whole[middle + 100 :],
        "encrypted": bytes.fromhex("d0cf11e0a1b11ae1") + bytes(600),
        "other": other.getvalue(),
    }


@pytest.mark.parametrize(
    ("kind", "told"),
    [
        ("empty", "the file is empty; wanted an .xlsx or .ods file"),
        ("text", "this is no workbook; wanted an .xlsx or .ods file"),
        (
            "truncated",
            (
                "the file is damaged or not complete; open it in a spreadsheet program and save it "
                "again, or fetch it anew"
            ),
        ),
        (
            "flipped",
            (
                "the file is damaged or not complete; open it in a spreadsheet program and save it "
                "again, or fetch it anew"
            ),
        ),
        (
            "encrypted",
            (
                "the workbook is encrypted or of the old .xls format; save it as .xlsx without a "
                "password"
            ),
        ),
        ("other", "this is no workbook; wanted an .xlsx or .ods file"),
    ],
)
def test_what_is_no_workbook_is_told_in_one_line(tmp_path: Path, kind: str, told: str) -> None:
    path = tmp_path / "plant.xlsx"
    write_workbook(small_plant(), path)
    path.write_bytes(damaged(path)[kind])
    with pytest.raises(InputError) as caught:
        read_workbook(path)
    assert str(caught.value) == f"{path}: {told}"


def test_a_workbook_cut_anywhere_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "plant.xlsx"
    write_workbook(small_plant(), path)
    whole = path.read_bytes()
    for end in range(1, len(whole), len(whole) // 40):
        path.write_bytes(whole[:end])
        with pytest.raises(InputError):
            read_workbook(path)


def test_a_workbook_of_something_else_is_told_by_its_sheets(tmp_path: Path) -> None:
    path = tmp_path / "budget.xlsx"
    book = openpyxl.Workbook()
    book.active.title = "Costs"
    book.save(path)
    with pytest.raises(InputError) as caught:
        read_workbook(path)
    assert str(caught.value) == (
        f"{path}: this is no plant workbook: it has none of its sheets (found 'Costs'); "
        "`subspark new` writes an empty one"
    )


def test_a_workbook_with_headings_alone_is_an_empty_plant(tmp_path: Path) -> None:
    path = tmp_path / "bare.xlsx"
    book = openpyxl.Workbook()
    for sheet in SHEETS:
        book.create_sheet(sheet.title).append([slot.title for slot in sheet.slots])
    del book["Sheet"]
    book.save(path)
    assert read_workbook(path) == Plant()


def test_a_workbook_of_blank_sheets_tells_each(tmp_path: Path) -> None:
    path = tmp_path / "blank.xlsx"
    book = openpyxl.Workbook()
    book.active.title = "Plant"
    book.create_sheet("Circuits")
    book.save(path)
    assert faults(path) == [
        (
            "sheet Plant, row 1: 'a blank row': no heading of this sheet in row 1; wanted "
            "'Plant' and "
            "others"
        ),
        (
            "sheet Circuits, row 1: 'a blank row': no heading of this sheet in row 1; wanted "
            "'Circuit' and others"
        ),
    ]


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    for name in ("plant.xlsx", "plant.ods", "plant.json"):
        with pytest.raises(InputError) as caught:
            read_plant(tmp_path / name)
        assert str(caught.value) == f"{tmp_path / name}: there is no such file"


def test_a_folder_is_no_file(tmp_path: Path) -> None:
    for name in ("plant.xlsx", "plant.json"):
        path = tmp_path / name
        path.mkdir()
        with pytest.raises(InputError) as caught:
            read_plant(path)
        assert str(caught.value) == f"{path}: this is a folder; wanted a file"
        with pytest.raises(InputError) as caught:
            write_plant(small_plant(), path)
        assert str(caught.value) == f"{path}: cannot be written: this is a folder; wanted a file"
    assert len(list(tmp_path.iterdir())) == 2


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    path = tmp_path / "no" / "plant.xlsx"
    with pytest.raises(InputError) as caught:
        write_plant(small_plant(), path)
    assert str(caught.value) == f"{path}: cannot be written: its folder does not exist"


@pytest.mark.skipif(os.geteuid() == 0, reason="the administrator may read everything")
def test_a_file_without_permission(tmp_path: Path) -> None:
    path = tmp_path / "plant.xlsx"
    path.write_bytes(b"")
    path.chmod(0)
    with pytest.raises(InputError, match="no permission to read this file"):
        read_plant(path)


def test_a_refused_permission_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise PermissionError

    path = tmp_path / "plant.xlsx"
    monkeypatch.setattr(Path, "read_bytes", refuse)
    with pytest.raises(InputError) as caught:
        read_plant(path)
    assert str(caught.value) == f"{path}: no permission to read this file"
    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(InputError) as caught:
        write_plant(small_plant(), path)
    assert str(caught.value) == (
        f"{path}: cannot be written: no permission to write here, or the file is open elsewhere"
    )


def test_other_kinds_of_file_are_named(tmp_path: Path) -> None:
    with pytest.raises(UsageError) as caught:
        read_plant(tmp_path / "plant.csv")
    assert str(caught.value) == (
        f"{tmp_path / 'plant.csv'}: cannot read this kind of file; wanted a name in .xlsx, .ods "
        "or .json"
    )
    with pytest.raises(UsageError) as caught:
        write_plant(small_plant(), tmp_path / "plant.ods")
    assert str(caught.value) == (
        f"{tmp_path / 'plant.ods'}: cannot write this kind of file; wanted a name in .xlsx or "
        ".json (.ods is read only)"
    )
