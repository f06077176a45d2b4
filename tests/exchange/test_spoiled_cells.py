"""Every bad cell of a workbook is told in one go, at its place."""

from __future__ import annotations

import dataclasses
import datetime as dt
from pathlib import Path

import openpyxl
import pytest

from exchange.plants import small_plant
from exchange.spoiling import Cells, faults, spoiled
from subspark.errors import PlantError
from subspark.exchange import read_workbook
from subspark.model import Area, Junction, Plant

TWENTY: Cells = {
    ("Areas", 2, "Zone"): "3",
    ("Areas", 3, "Area"): "A1",
    ("Areas", 2, "Ambient [°C]"): "40 °C",
    ("Certificates", 2, "Suffix"): "Y",
    ("Conditions", 2, "Certificate"): "CERT 1",
    ("Sources", 2, "Uo [V]"): "28 volts",
    ("Sources", 2, "Io [mA]"): "93 nF",
    ("Sources", 2, "Po [mW]"): -651,
    ("Limits", 2, "Co [nF]"): "1,500",
    ("Limits", 3, "Output"): "2",
    ("Limits", 3, "Lo [mH]"): dt.datetime(2024, 1, 16, tzinfo=dt.UTC).replace(tzinfo=None),
    ("Junctions", 2, "Junction"): None,
    ("Apparatus", 2, "Ui [V]"): True,
    ("Simple apparatus", 2, "Item"): "valve",
    ("Cables", 2, "C [nF/km]"): "120 nF",
    ("Cables", 2, "Cores"): 1.5,
    ("Circuits", 2, "Length [m]"): "#REF!",
    ("Circuits", 2, "Source"): "S2",
    ("Circuit apparatus", 3, "Apparatus"): "Swich",
    ("Declarations", 3, "Of"): "K9",
}

TOLD = (Path(__file__).parent / "files" / "twenty-faults.txt").read_text(encoding="utf-8")


def test_twenty_spoiled_cells_are_twenty_messages(tmp_path: Path) -> None:
    plant = dataclasses.replace(small_plant(), areas=(*small_plant().areas, Area(tag="A3")))
    path = spoiled(plant, tmp_path / "plant.xlsx", TWENTY)
    with pytest.raises(PlantError) as caught:
        read_workbook(path)
    assert len(TWENTY) == len(caught.value.faults) == 20
    assert "\n".join(map(str, caught.value.faults)) + "\n" == TOLD
    assert str(caught.value).startswith(f"{path}: 20 faults, nothing was read\n")
    for sheet, row, title in TWENTY:
        assert f"sheet {sheet}, row {row}, column {title}: " in TOLD


def test_one_bad_name_is_told_where_it_stands_and_where_it_is_missed(tmp_path: Path) -> None:
    cells: Cells = {("Circuits", 3, "Circuit"): "PT-1", ("Runs", 2, "Cable"): "K2"}
    assert faults(spoiled(small_plant(), tmp_path / "plant.xlsx", cells)) == [
        "sheet Circuits, row 3, column Circuit: 'PT-1': stands more than once; wanted once",
        (
            "sheet Circuit apparatus, row 2, column Circuit: 'PT-2': wanted the name of one "
            "of sheet "
            "Circuits; the nearest is 'PT-1'"
        ),
        (
            "sheet Circuit apparatus, row 3, column Circuit: 'PT-2': wanted the name of one "
            "of sheet "
            "Circuits; the nearest is 'PT-1'"
        ),
        (
            "sheet Runs, row 2, column Circuit: 'PT-2': wanted the name of one of sheet "
            "Circuits; the "
            "nearest is 'PT-1'"
        ),
        "sheet Runs, row 2, column Cable: 'K2': wanted a cable type of the catalogue",
        (
            "sheet Runs, row 3, column Circuit: 'PT-2': wanted the name of one of sheet "
            "Circuits; the "
            "nearest is 'PT-1'"
        ),
    ]


def test_rows_that_refer_to_one_of_several_must_say_which(tmp_path: Path) -> None:
    cells: Cells = {
        ("Limits", 3, "Group"): "IIC",  # now two rows of the same output and group
        ("Temperature rows", 3, "Apparatus"): "P2",  # has connections a and b
        ("Temperature rows", 3, "T class"): "T4",
        ("Temperature rows", 4, "Apparatus"): "P2",
        ("Temperature rows", 4, "Connection"): "c",
        ("Temperature rows", 4, "T class"): "T4",
        ("Marks", 3, "Type"): "S1",
        ("Marks", 3, "Facts of"): "source body",
        ("Marks", 3, "Connection"): "a",
    }
    assert faults(spoiled(small_plant(), tmp_path / "plant.xlsx", cells)) == [
        (
            "sheet Pairs, row 2, column Row: (blank): 2 rows fit; wanted Output, Level, "
            "Group, Row of "
            "one of them"
        ),
        (
            "sheet Temperature rows, row 3, column Alternative: (blank): 2 rows fit; wanted "
            "Connection, Alternative of one of them"
        ),
        "sheet Temperature rows, row 4, column Connection: 'c': wanted one of a or b, for 'P2'",
        "sheet Marks, row 3, column Connection: 'a': wanted blank for source body",
    ]


def test_a_bare_row_of_a_group_asks_for_what_it_needs(tmp_path: Path) -> None:
    cells: Cells = {
        ("Circuits", 2, "Source"): None,
        ("Declarations", 4, "Value"): "yes",
        ("Runs", 4, "Evidence"): "Schedule",
        ("Runs", 4, "Circuit"): "PT-1",
    }
    told = faults(spoiled(small_plant(), tmp_path / "plant.xlsx", cells))
    assert told[0] == "sheet Circuits, row 2, column Source: (blank): wanted a text"
    assert told[1].startswith("sheet Declarations, row 4, column Fact: (blank): wanted one of ")
    assert told[2:] == [
        (
            "sheet Runs, row 4, column Evidence: 'Schedule': evidence beside no number; wanted a "
            "number in this row, or no evidence"
        )
    ]


def test_evidence_for_a_cell_never_outlives_its_value(tmp_path: Path) -> None:
    head = "Cell evidence"
    cells: Cells = {
        (head, 3, "Sheet"): "Cables",
        (head, 3, "Name"): "K1",
        (head, 3, "Column"): "C [nF/km]",
        (head, 3, "Value"): 100,
        (head, 4, "Sheet"): "Cable",
        (head, 4, "Column"): "C [nF/km]",
        (head, 5, "Sheet"): "Cables",
        (head, 5, "Name"): "K2",
        (head, 5, "Column"): "C [nF/km]",
        (head, 6, "Sheet"): "Cables",
        (head, 6, "Name"): "K1",
        (head, 6, "Column"): "Screen",
        (head, 7, "Sheet"): "Limits",
        (head, 7, "Name"): "S1",
        (head, 7, "Column"): "Co [nF]",
    }
    assert faults(spoiled(small_plant(), tmp_path / "plant.xlsx", cells)) == [
        (
            "sheet Cell evidence, row 3, column Value: '100': the cell now holds '120 nF/km'; see "
            "whether this evidence still stands, and wanted that value here"
        ),
        (
            "sheet Cell evidence, row 4, column Sheet: 'Cable': wanted the name of a sheet; the "
            "nearest is 'Cables'"
        ),
        (
            "sheet Cell evidence, row 5, column Name: 'K2': wanted what a row of sheet "
            "Cables begins "
            "with"
        ),
        (
            "sheet Cell evidence, row 6, column Column: 'Screen': wanted the heading of a "
            "number of "
            "sheet Cables"
        ),
        "sheet Cell evidence, row 7, column Row: (blank): 2 rows begin with 'S1'; wanted 1 to 2",
    ]


def test_evidence_for_a_cell_is_given_to_it(tmp_path: Path) -> None:
    head = "Cell evidence"
    cells: Cells = {
        (head, 3, "Sheet"): "Limits",
        (head, 3, "Name"): "S1",
        (head, 3, "Row"): 2,
        (head, 3, "Column"): "Lo [mH]",
        (head, 3, "Value"): 16,
        (head, 3, "Evidence"): "Control drawing",
        (head, 3, "Page"): 7,
        (head, 3, "Assumed"): "yes",
    }
    plant = read_workbook(spoiled(small_plant(), tmp_path / "plant.xlsx", cells))
    given = plant.sources[0].outputs[0].limits[1]
    assert str(given.Lo.evidence) == "Control drawing, p. 7, assumed"
    assert str(given.Co.evidence) == "Certificate S, p. 3"


def edited(tmp_path: Path, edit: object) -> Path:
    path = spoiled(small_plant(), tmp_path / "plant.xlsx", {})
    book = openpyxl.load_workbook(path)
    edit(book)  # type: ignore[operator]
    book.save(path)
    return path


def test_headings_are_told_from_one_another(tmp_path: Path) -> None:
    def edit(book: openpyxl.Workbook) -> None:
        circuits = book["Circuits"]
        circuits["B1"] = "Servise"
        circuits.cell(1, circuits.max_column + 1).value = "(to do)"
        circuits.cell(2, circuits.max_column).value = "#REF!"
        book["Cables"]["B1"] = "Cable"
        book["Junctions"]["A1"] = "Tag"
        book["Areas"].insert_rows(1)
        book["Runs"].title = "Run"
        book.create_sheet("(my notes)")["A1"] = "anything"
        book["Plant"]["A3"] = "Another plant"

    assert faults(edited(tmp_path, edit)) == [
        (
            "sheet Run: 'Run': not a sheet of a plant workbook; put the name of your own sheet in "
            "parentheses; the nearest is 'Runs'"
        ),
        "sheet Plant, row 3: 'Another plant': a second plant; wanted one row",
        (
            "sheet Areas, row 1: 'a blank row': no heading of this sheet in row 1; wanted "
            "'Area' and "
            "others"
        ),
        "sheet Cables, row 1, column Cable: 'Cable': this heading stands twice; wanted once",
        (
            "sheet Circuits, row 1, column Servise: 'Servise': not a heading of this sheet; "
            "put the "
            "heading of your own column in parentheses; the nearest is 'Service'"
        ),
        "sheet Circuits, row 2, column Area: 'A1': wanted an area of the plant",
        "sheet Circuits, row 3, column Area: 'A1': wanted an area of the plant",
        (
            "sheet Junctions, row 1, column Junction: (blank): this heading is missing in row 1; "
            "wanted a column of that heading"
        ),
        (
            "sheet Junctions, row 1, column Tag: 'Tag': not a heading of this sheet; put the "
            "heading "
            "of your own column in parentheses"
        ),
    ]


def test_a_missing_sheet_is_told_where_it_must_not_be_missing(tmp_path: Path) -> None:
    def edit(book: openpyxl.Workbook) -> None:
        del book["Circuits"]
        del book["Pairs"]

    told = faults(edited(tmp_path, edit))
    assert told == [
        "sheet Circuits: (blank): this sheet is missing; wanted it, with at least its headings",
        (
            "sheet Circuit apparatus, row 2, column Circuit: 'PT-2': wanted the name of one "
            "of sheet "
            "Circuits"
        ),
        (
            "sheet Circuit apparatus, row 3, column Circuit: 'PT-2': wanted the name of one "
            "of sheet "
            "Circuits"
        ),
        "sheet Runs, row 2, column Circuit: 'PT-2': wanted the name of one of sheet Circuits",
        "sheet Runs, row 3, column Circuit: 'PT-2': wanted the name of one of sheet Circuits",
    ]


def test_columns_may_stand_in_any_order_and_unused_ones_be_left_out(tmp_path: Path) -> None:
    def edit(book: openpyxl.Workbook) -> None:
        cables = book["Cables"]
        rows = [[cell.value for cell in row] for row in cables.iter_rows(max_row=2)]
        kept = [index for index, cell in enumerate(rows[1]) if cell is not None]
        del book["Cables"]
        sheet = book.create_sheet(" cables ")
        for row in rows:
            sheet.append([row[index] for index in reversed(kept)])
        sheet["A1"] = str(sheet["A1"].value).upper()
        sheet["E1"] = "(remark)"
        sheet["E2"] = "#N/A"
        del book["Safe side"]

    assert read_workbook(edited(tmp_path, edit)) == small_plant()


def test_plain_texts_typed_as_numbers_are_read_as_text(tmp_path: Path) -> None:
    plant = Plant(areas=(Area(tag="x"),), junctions=(Junction(tag="y", area="x"),))
    cells: Cells = {
        ("Areas", 2, "Area"): 101,
        ("Areas", 2, "Zone"): 1,
        ("Areas", 2, "Hybrid mixture"): True,
        ("Junctions", 2, "Junction"): 10.5,
        ("Junctions", 2, "Area"): "101",
    }
    read = read_workbook(spoiled(plant, tmp_path / "plant.xlsx", cells))
    assert (read.areas[0].tag, read.junctions[0].tag) == ("101", "10.5")
    assert (read.areas[0].atmospheres[0].zone, read.areas[0].hybrid) == ("1", "yes")
